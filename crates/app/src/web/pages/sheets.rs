//! Sheets that are shown as they are printed: load, units, day, hanging,
//! drain, power, control.

use std::sync::Arc;

use axum::extract::{Path, State};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use quantity::UnitSystem;
use sheet::{Block, dossier, sheets};

use super::super::answers::Answer;
use super::super::app::App;
use super::super::refused::Refused;
use super::super::server::Visitor;
use super::super::view::blocks::blocks;
use super::super::view::layout::{Page, Place, page};
use super::super::work::answer_for;

pub(super) fn routes() -> Router<Arc<App>> {
    let mut router = Router::new();
    for (word, name, made) in SHEETS {
        let handler = move |state: State<Arc<App>>,
                            visitor: Extension<Visitor>,
                            at: Path<(String, String)>| {
            show(state, visitor, at, word, name, *made)
        };
        router = router.route(
            &format!("/jobs/{{job}}/rooms/{{room}}/{word}"),
            get(handler),
        );
    }
    router
}

type Made = fn(&Answer, UnitSystem) -> Vec<Block>;

/// Word in the address, name, and how its blocks are made.
const SHEETS: &[(&str, &str, Made)] = &[
    ("load", "Load", |a, units| {
        dossier::loads::blocks(&a.project.room, &a.design, units)
    }),
    ("units", "Units", |a, _| {
        dossier::selection::blocks(&a.project.room, &a.design)
    }),
    ("day", "Day", |a, units| {
        dossier::day::blocks(&a.project.room, &a.design, units)
    }),
    ("hanging", "Hanging", |a, units| {
        let (p, d) = (&a.project, &a.design);
        sheets::hanging::blocks(&p.room, &p.catalog, &d.placement, &d.hanging, units)
    }),
    ("drain", "Drain", |a, units| {
        let (p, d) = (&a.project, &a.design);
        sheets::drain::blocks(&p.room, &p.catalog, &d.placement, &d.drain, units)
    }),
    ("power", "Power", |a, units| {
        let (p, d) = (&a.project, &a.design);
        sheets::power::blocks(
            &p.room,
            &p.catalog,
            &d.placement,
            (&d.power, &d.control),
            units,
        )
    }),
    ("control", "Control", |a, units| {
        let (p, d) = (&a.project, &a.design);
        sheets::control::blocks(&p.room, &p.catalog, &d.placement, &d.control, units)
    }),
];

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    word: &'static str,
    name: &'static str,
    made: Made,
) -> Result<Markup, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    let units = answer.units(&visitor.session);
    let body = html! {
        h1 { (name) }
        (blocks(made(&answer, units), units))
    };
    Ok(page(
        &Page {
            title: name.into(),
            place: Place::Room {
                job: &job,
                room: &room,
                sheet: word,
                stamp: answer.stamp(),
            },
            session: &visitor.session,
            scripts: &[],
        },
        &body,
    ))
}

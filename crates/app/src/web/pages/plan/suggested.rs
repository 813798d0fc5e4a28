//! The best few sets of places that the search finds, each to be tried on the
//! plan.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::routing::get;
use axum::{Extension, Router};
use job::PlacedUnit;
use maud::{Markup, html};
use quantity::UnitSystem;
use sheet::{Block, sheets};

use super::places::written;
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::blocks::{blocks, figure};
use crate::web::view::layout::{Page, Place, encoded, page, sheet_href};
use crate::web::work::{answer_for, busy};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/jobs/{job}/rooms/{room}/plan/suggest", get(show))
}

/// Which start of the search.
#[derive(serde::Deserialize)]
struct Start {
    seed: Option<u64>,
}

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(start): Query<Start>,
) -> Result<Markup, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    let units = answer.units(&visitor.session);
    let stamp = answer.stamp();
    let at = sheet_href(&job, &room, "plan");
    let seed = start.seed.unwrap_or(job::placement::SEED);
    let body = busy(move || {
        let project = &answer.project;
        let set = answer.design.selection.design_set();
        let mut free = project.room.clone();
        // A search for the whole set: nothing is held where it is.
        for unit in &mut free.units {
            unit.at_m = None;
            unit.facing = None;
        }
        let found = job::placement::suggest(&free, &project.catalog, &set, seed)?;
        Ok(html! {
            h1 { "Suggested places" }
            @if found.best.is_empty() {
                p { "No places without a Stop finding were found." }
                (blocks(vec![Block::Findings(found.none_because.clone())], units))
            }
            @for (n, suggestion) in (1..).zip(&found.best) {
                h2 { (n) ". " (suggestion.trades.show(units)) }
                @let placed = job::Placement {
                    units: suggestion.units.clone(),
                    sensor_m: answer.design.placement.sensor_m,
                    ..job::Placement::default()
                };
                (figure(
                    &sheets::placement::plan(&free, &project.catalog, &placed, units),
                    "Places before they are tried: jets are drawn when they are.",
                    units,
                ))
                p { a.button href={ (at) "?" (query(&suggestion.units, units)) } { "Try these places" } }
            }
            p {
                a.button href={ (at) "/suggest?seed=" (seed.wrapping_add(1)) } { "Search from another start" }
                " " a.button href=(at) { "Back to the plan" }
            }
            p.remark { "The same start gives the same places. It is a search from several starts: good, quick, and no proof that nothing better exists." }
        })
    })
    .await?;
    Ok(page(
        &Page {
            title: "Suggested places".into(),
            place: Place::Room {
                job: &job,
                room: &room,
                sheet: "plan",
                stamp: &stamp,
            },
            session: &visitor.session,
            scripts: &[],
        },
        &body,
    ))
}

/// Places as the form of the plan carries them.
fn query(placed: &[PlacedUnit], units: UnitSystem) -> String {
    let mut pairs = Vec::new();
    for unit in placed {
        for (axis, m) in ["x", "y", "z"].iter().zip(unit.frame.at_m) {
            pairs.push(format!(
                "{axis}.{}={}",
                encoded(&unit.tag),
                encoded(&written(m, units))
            ));
        }
        pairs.push(format!(
            "facing.{}={}",
            encoded(&unit.tag),
            encoded(unit.frame.facing.word())
        ));
    }
    pairs.join("&")
}

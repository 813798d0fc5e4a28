//! Two variants side by side: a room as saved and as tried, or two rooms of a
//! job.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use quantity::UnitSystem;
use sheet::dossier::beside::{Figures, Side};
use sheet::dossier::figures;

use super::tried::{self, Asked, SAVED, TRIED, Trying, differing, sides, tables};
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::blocks::figure;
use crate::web::view::layout::{Page, Place, page, sheet_href};
use crate::web::work::{busy, texts};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/jobs/{job}/rooms/{room}/compare", get(show))
}

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, Refused> {
    busy(move || {
        let trying = Trying::new(&app, &job, &room, &asked)?;
        let at = sheet_href(&job, &room, "compare");
        let with = asked.get("with").filter(|w| !w.is_empty());
        if trying.is_wordy && with.is_none() {
            let clean = format!("{at}{}", trying.trial.query());
            return Ok(Redirect::to(&clean).into_response());
        }
        let units = trying.saved.units(&visitor.session);
        let folder = app.jobs.job(&job)?;
        let content = if let Some(other) = with {
            let answer = app.answers.best(texts(&folder.room_file(other)?)?)?;
            let sides = sides((&room, &trying.saved), (other, &answer));
            both(&sides, units)
        } else if let Some(tried) = &trying.tried {
            let place = (job.as_str(), room.as_str(), "compare");
            let sides = sides((SAVED, &trying.saved), (TRIED, tried));
            html! {
                (tried::panel(&trying, tried, place, &Figures::ALL, units))
                (days(&sides, units))
            }
        } else {
            html! { p { "Nothing stands beside " b { (room) } " yet: try a change above, or choose another room." } }
        };
        let others: Vec<String> = folder
            .rooms()
            .iter()
            .map(ToString::to_string)
            .filter(|r| *r != room)
            .collect();
        let body = html! {
            h1 { "Side by side" }
            @if !others.is_empty() {
                form method="get" action=(at) {
                    div.field {
                        label for="with" { "Another room of the job" }
                        select #with name="with" {
                            @for other in &others {
                                option value=(other) selected[with == Some(other)] { (other) }
                            }
                        }
                    }
                    button { "Put it beside " (room) }
                }
            }
            (tried::form(&trying, &at))
            div #answer { (content) }
        };
        Ok(page(
            &Page {
                title: "Side by side".into(),
                place: Place::Room {
                    job: &job,
                    room: &room,
                    sheet: "compare",
                    stamp: &trying.shown().stamp(),
                },
                session: &visitor.session,
                scripts: &["chart.js", "try.js"],
            },
            &body,
        )
        .into_response())
    })
    .await
}

/// Everything that two rooms are compared by.
fn both(both: &[Side<'_>; 2], units: UnitSystem) -> Markup {
    html! {
        div.pair { (tables(both, &Figures::ALL, units)) }
        (differing(both, true, units))
        (days(both, units))
    }
}

/// The day of each.
fn days(both: &[Side<'_>; 2], units: UnitSystem) -> Markup {
    html! {
        h2 { "The day of each" }
        div.beside {
            @for side in both {
                section aria-label=(side.name) {
                    h3 { (side.name) }
                    (figure(
                        &figures::day(side.room, side.design, None, units),
                        "Night shaded; target as a band; time outside it hatched.",
                        units,
                    ))
                }
            }
        }
    }
}

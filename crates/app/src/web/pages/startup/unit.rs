//! The steps of one unit, or of the whole room.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use axum::response::{IntoResponse, Redirect, Response};
use maud::{Markup, html};

use super::act::Tried;
use super::overview::{next, next_step, notices, steps_of, who};
use super::{Scene, WHOLE_ROOM, step};
use crate::record::{now, time_words};
use crate::web::app::App;
use crate::web::recording::new_key;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::layout::sheet_href;

pub(super) async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path((job, room, unit)): Path<(String, String, String)>,
) -> Result<Markup, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, (job, room)).await?;
    unit_page(&scene, &visitor, &unit, &Tried::default())
}

/// The unit that an address names; `None`: the whole room.
pub(super) fn unit_of<'a>(scene: &Scene, unit: &'a str) -> Result<Option<&'a str>, Refused> {
    let named = (unit != WHOLE_ROOM).then_some(unit);
    let is_there = scene
        .start
        .plan
        .steps
        .iter()
        .any(|s| s.unit.as_deref() == named);
    if is_there {
        Ok(named)
    } else {
        Err(Refused::NotFound(format!("The unit \"{unit}\"")))
    }
}

/// The page, with what was tried and not taken.
pub(super) fn unit_page(
    scene: &Scene,
    visitor: &Visitor,
    unit: &str,
    tried: &Tried,
) -> Result<Markup, Refused> {
    let unit = unit_of(scene, unit)?;
    let name = unit.unwrap_or("Room and controllers");
    let all = steps_of(scene, unit).count();
    let done = steps_of(scene, unit)
        .filter(|s| s.standing.is_dealt_with())
        .count();
    let next_id = next_step(scene, &|s| s.unit.as_deref() == unit).map(|(s, _)| &s.id);
    let of_unit = scene
        .start
        .plan
        .steps
        .iter()
        .zip(&scene.stands.state.steps)
        .filter(|(step, _)| step.unit.as_deref() == unit);
    let body = html! {
        div.field-page data-server-ms=(now().utc_ms) {
            (tried.summary())
            h1 { (name) ": " (done) " of " (all) }
            (notices(scene))
            @if scene.person.is_empty() { (who(scene)) }
            div.queue hidden role="status" {}
            p.bar {
                a.button href=(scene.href("")) { "All units" }
                label.pick { input type="checkbox" data-open-only; " open only" }
            }
            @for (step, state) in of_unit {
                (step::section(scene, (step, state), next_id == Some(&step.id), tried))
            }
            @if let Some(tag) = unit { (whole_unit(scene, tag, tried)) }
            (next(scene, Some(unit)))
        }
    };
    let wrong = if tried.is_empty() { "" } else { "Error: " };
    Ok(scene.page(
        &visitor.session,
        format!("{wrong}{done} of {all} · {name} · Start-up"),
        "startup.js",
        &body,
    ))
}

/// What stands for a unit as a whole where else a step is named.
pub(super) const WHOLE_UNIT: &str = "whole-unit";

/// Leaving a unit out as a whole, and taking it up again.
fn whole_unit(scene: &Scene, tag: &str, tried: &Tried) -> Markup {
    let is_tried = tried.step == WHOLE_UNIT;
    let typed = if is_tried {
        tried.text("reason")
    } else {
        String::new()
    };
    let act = |word: &str, label: &str, button: Markup| {
        html! {
            form method="post" action={ (scene.unit_href(Some(tag))) "/act" } data-queue {
                input type="hidden" name="key" value=(new_key());
                input type="hidden" name="step" value=(WHOLE_UNIT);
                input type="hidden" name="act" value=(word);
                @if scene.person.is_empty() {
                    div.field {
                        label for="whole-unit-who" { "Your name, as the hand-over shows it" }
                        input #whole-unit-who name="who" type="text" autocomplete="name" required
                            value=(if is_tried { tried.text("who") } else { String::new() });
                    }
                }
                label for="whole-unit-reason" { (label) }
                textarea #whole-unit-reason name="reason" rows="2" required { (typed) }
                (button)
            }
        }
    };
    html! {
        section.step id=(WHOLE_UNIT) {
            h2 { "Unit " (tag) " as a whole" }
            @if let Some(left_out) = scene.stands.state.unit_left_out(tag) {
                p.standing {
                    b { "Left out" } ": " (left_out.reason)
                    " · saved " time data-utc-ms=(left_out.at.utc_ms) { (time_words(left_out.at.utc_ms)) }
                    " by " (left_out.by)
                }
                p { "What was done of it before stays done. A step can be done all the same." }
                (act("take-up", "Why it is taken up again, delivered today say",
                    html! { button.main { "Take it up again" } }))
            } @else {
                details open[is_tried] {
                    summary { "Leave the whole unit out" }
                    p { "If it was not delivered, say. Each step that nothing is recorded of counts as left out for this reason, until the unit is taken up again." }
                    (act("skip-unit", "Why; the hand-over shows it",
                        html! { button.grave { "Leave " (tag) " out" } }))
                }
            }
        }
    }
}

/// What the code on a unit's label leads to: the unit of that tag in the room
/// of that name, whatever of the name fits on a label.
pub(super) async fn by_label(
    State(app): State<Arc<App>>,
    Path((design, room, tag)): Path<(String, String, String)>,
) -> Result<Response, Refused> {
    let mut found = Vec::new();
    for job in app.jobs.list() {
        for name in job.rooms() {
            let Ok(file) = job.room_file(name.as_str()) else {
                continue;
            };
            let Ok((project, _)) = super::at_hand(&file) else {
                continue;
            };
            let title = &project.room.name.value;
            let label = sheet::sheets::labels::payload(&design, title, &tag);
            if label
                == format!(
                    "DW/{}/{}/{}",
                    design.to_uppercase(),
                    room,
                    tag.to_uppercase()
                )
            {
                let id = job::design_id(&project.inputs(&project.codes_in_play()));
                let same = id.to_uppercase().starts_with(&design.to_uppercase());
                found.push((!same, job.name.to_string(), name.to_string()));
            }
        }
    }
    // The very design first; else a room of that name, which was changed since.
    found.sort();
    match found.first() {
        Some((_, job, name)) => {
            let at = sheet_href(job, name, "startup");
            let unit = super::encoded(&tag);
            Ok(Redirect::to(&format!("{at}/units/{unit}")).into_response())
        }
        None => Err(Refused::NotFound(format!(
            "The unit {tag} of a room {room}"
        ))),
    }
}

//! The first page of a start-up: who is there, units with how far they are,
//! findings, the record.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Path, State};
use axum::http::HeaderMap;
use job::startup::{BasisIs, Standing, Step, StepState};
use maud::{Markup, html};
use quantity::{Finding, Severity};

use super::Scene;
use crate::commands::start::{doubts, faults};
use crate::startup::kept;
use crate::web::app::App;
use crate::web::recording::new_key;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::layout::encoded;

pub(super) async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
) -> Result<Markup, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    let state = &scene.stands.state;
    let tally = state.tally();
    let dealt_with = state
        .steps
        .iter()
        .filter(|s| s.standing.is_dealt_with())
        .count();
    let body = html! {
        div.field-page {
            h1 { "Start-up" }
            (notices(&scene))
            @if scene.person.is_empty() { (who(&scene)) }
            (next(&scene, None))
            p.lead { (dealt_with) " of " (state.steps.len()) " steps dealt with" }
            @if 0 < dealt_with + tally.failed {
                p {
                    (tally.done) " done, " (tally.not_proven) " not proven, "
                    (tally.skipped) " left out, " (tally.failed) " failed"
                }
            }
            ul.places-list {
                @for unit in scene.start.plan.units() {
                    (place(&scene, unit))
                }
            }
            p {
                "Scan the code on a unit's label to come to its steps. "
                @if scene.server.is_some() {
                    a.button href=(scene.href("/labels.pdf")) download { "Labels with this address" }
                } @else {
                    "Labels can be printed once this machine is shared: their codes hold the address that phones reach it at."
                }
            }
            (findings(&scene))
            @if !scene.person.is_empty() { (who(&scene)) }
            h2 { "Hand-over" }
            @let all_done = next_step(&scene, &|_| true).is_none();
            p { a.button.main[all_done] href=(scene.href("/sign")) { "Sign and hand over" } }
            p {
                a.button href=(scene.href("/handover.pdf")) download { "Hand-over (PDF)" } " "
                a.button href=(scene.href("/card.pdf")) download { "Maintenance card (PDF)" }
            }
            (record(&scene))
        }
    };
    Ok(scene.page(&visitor.session, "Start-up".into(), "startup.js", &body))
}

/// What everybody must know before they go on.
pub(super) fn notices(scene: &Scene) -> Markup {
    html! {
        @if let Some(why) = &scene.kept_since {
            p.draft { (kept::words(why)) }
        }
        @if scene.stands.state.basis == BasisIs::Other {
            p.draft {
                "The files were changed since the start-up began. The next entry records that; what was begun against and what holds now are both kept."
            }
        }
        @for fault in faults(&scene.stands.read) {
            p.error { "■ The record: " (fault) }
        }
        @for doubt in doubts(&scene.stands.read) {
            p.remark { "○ The record: " (doubt) }
        }
    }
}

/// The step to go on with, of one unit or of all: one that can be done now,
/// else one that waits, else one that failed.
pub(super) fn next_step<'a>(
    scene: &'a Scene,
    among: &dyn Fn(&Step) -> bool,
) -> Option<(&'a Step, &'a StepState)> {
    let is: [fn(&Standing) -> bool; 3] = [
        |s| matches!(s, Standing::Open),
        |s| matches!(s, Standing::Waiting { .. }),
        |s| matches!(s, Standing::Failed),
    ];
    is.iter().find_map(|is| {
        let steps = scene.start.plan.steps.iter().zip(&scene.stands.state.steps);
        let mut of = steps.filter(|(step, state)| among(step) && is(&state.standing));
        of.next()
    })
}

/// What comes next, a tap away; on the page of a unit (`Some`) that of the
/// unit.
pub(super) fn next(scene: &Scene, page: Option<Option<&str>>) -> Markup {
    let among = |step: &Step| page.is_none_or(|unit| step.unit.as_deref() == unit);
    let here = next_step(scene, &among);
    let elsewhere = || next_step(scene, &|_| true);
    let word = |state: &StepState| match state.standing {
        Standing::Waiting { .. } => "Waits: ",
        Standing::Failed => "Put right: ",
        _ => "Next: ",
    };
    html! {
        p.at-hand data-renew="next" {
            @match (here, page) {
                (Some((step, state)), Some(_)) => {
                    a.button href={ "#" (encoded(&step.id)) } { (word(state)) (step.title.show(scene.units)) }
                }
                (Some((step, state)), None) => { (leads_to(scene, step, word(state))) }
                (None, _) => {
                    @match elsewhere() {
                        Some((step, state)) => (leads_to(scene, step, word(state))),
                        None => a.button.main href=(scene.href("/sign")) { "Next: sign and hand over" },
                    }
                }
            }
        }
    }
}

fn leads_to(scene: &Scene, step: &Step, word: &str) -> Markup {
    let unit = step.unit.as_deref();
    html! {
        a.button.main href={ (scene.unit_href(unit)) "#" (encoded(&step.id)) } {
            (word) (unit.unwrap_or("room")) " · " (step.title.show(scene.units))
        }
    }
}

/// The form that says who is there.
pub(super) fn who(scene: &Scene) -> Markup {
    html! {
        form.who method="post" action=(scene.href("/who")) {
            input type="hidden" name="back" value="" data-here;
            label for="who" { "Your name, as the hand-over shows it" }
            div.with-button {
                input #who name="who" type="text" value=(scene.person) autocomplete="name" required;
                button { "Keep" }
            }
        }
    }
}

/// States of the steps of a unit.
pub(super) fn steps_of<'a>(
    scene: &'a Scene,
    unit: Option<&'a str>,
) -> impl Iterator<Item = &'a StepState> {
    let of = scene.start.plan.steps.iter().zip(&scene.stands.state.steps);
    of.filter(move |(step, _)| step.unit.as_deref() == unit)
        .map(|(_, state)| state)
}

fn place(scene: &Scene, unit: Option<&str>) -> Markup {
    let count =
        |is: &dyn Fn(&Standing) -> bool| steps_of(scene, unit).filter(|s| is(&s.standing)).count();
    let all = count(&|_| true);
    let done = count(&Standing::is_dealt_with);
    let failed = count(&|s| matches!(s, Standing::Failed));
    let open = count(&|s| matches!(s, Standing::Open));
    let left_out = unit.is_some_and(|tag| scene.stands.state.unit_left_out(tag).is_some());
    html! {
        li {
            a.place href=(scene.unit_href(unit)) {
                b { (unit.unwrap_or("Room and controllers")) }
                span {
                    (done) " of " (all)
                    @if 0 < failed { " · ✕ " (failed) " failed" }
                    @if left_out { " · left out" }
                    @else if 0 < open { " · " (open) " open" }
                }
            }
        }
    }
}

fn findings(scene: &Scene) -> Markup {
    let state = &scene.stands.state;
    html! {
        @if !state.findings.is_empty() {
            h2 { "Findings that are open" }
            ul.findings { @for finding in &state.findings { (open_finding(scene, finding)) } }
        }
        @if !state.closed.is_empty() {
            h2 { "Findings that were closed" }
            ul {
                @for (finding, closed) in &state.closed {
                    li { b { (finding.place.0) } " " (finding.what.show(scene.units)) ": " (closed.how) }
                }
            }
        }
    }
}

/// Shape and word of a severity.
pub(super) const fn mark_of(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "■ Stop",
        Severity::Fix => "▲ Fix",
        Severity::Note => "○ Note",
    }
}

/// A finding with a form that says what was done about it.
fn open_finding(scene: &Scene, finding: &Finding) -> Markup {
    let word = match finding.severity {
        Severity::Stop => "stop",
        Severity::Fix => "fix",
        Severity::Note => "note",
    };
    let mark = mark_of(finding.severity);
    html! {
        li class=(word) {
            p.what {
                span.severity { (mark) } " " b { (finding.place.0) } " "
                (finding.what.show(scene.units))
            }
            p { b { "Why: " } (finding.why.show(scene.units)) }
            p { b { "Do: " } (finding.remedy.show(scene.units)) }
            details {
                summary { "It was put right, or is accepted" }
                form method="post" action=(scene.href("/close")) data-queue {
                    input type="hidden" name="key" value=(new_key());
                    input type="hidden" name="check" value=(finding.check);
                    input type="hidden" name="place" value=(finding.place.0);
                    label { "What was done, or why it is accepted"
                        textarea name="how" rows="2" required {}
                    }
                    button { "Close the finding" }
                }
            }
        }
    }
}

fn record(scene: &Scene) -> Markup {
    let read = &scene.stands.read;
    html! {
        details {
            summary { "The record: " (read.events.len()) " events, "
                (if read.is_whole() { "whole" } else { "not whole" }) }
            p { "Chain hash " code { (read.report.chain_hash()) } }
            ul {
                @for chain in &read.report.chains {
                    li {
                        (chain.names.iter().cloned().collect::<Vec<_>>().join(", ")) ": "
                        (chain.events) " events by "
                        (chain.people.iter().cloned().collect::<Vec<_>>().join(", "))
                    }
                }
            }
            p.remark { "Two records of one job are put together with: drywright start ROOM --merge OTHER/record.sqlite" }
        }
    }
}

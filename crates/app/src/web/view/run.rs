//! Where a run is, and the way to stop it.

use axum::Json;
use axum::response::{IntoResponse, Response};
use maud::{Markup, html};
use serde::Serialize;

use super::super::runs::{Run, State};

/// The panel of a run whose addresses begin with `at`; `done` tells what it
/// made.
pub(crate) fn panel<T>(at: &str, name: &str, run: &Run<T>, done: impl Fn(&T) -> String) -> Markup {
    let state = run.state();
    html! {
        section.run data-progress={ (at) "/progress" } data-open=(state.is_open()) aria-label=(name) {
            p.state role="status" { (words(&state, run, done)) }
            @if let State::At { done, of, .. } = &state {
                progress max=(of) value=(done) aria-label="How far this step is" {}
            }
            @if state.is_open() {
                noscript { p { a.button href=(at) { "Look again" } } }
                form method="post" action={ (at) "/stop" } { button.grave { "Stop this run" } }
            }
        }
    }
}

fn words<T>(state: &State<T>, run: &Run<T>, done: impl Fn(&T) -> String) -> String {
    match state {
        State::Waiting => "Waiting for another run to end.".into(),
        State::At { doing, done, of } if 1 < *of => {
            format!("At {doing}: {done} of {of}, for {} s.", run.for_s())
        }
        State::At { doing, .. } => format!("At {doing}, for {} s.", run.for_s()),
        State::Done(made) => done(made),
        State::Stopped => "Stopped; what was made earlier is as it was.".into(),
        State::Failed(why) => format!("Not finished: {why}"),
    }
}

/// Where a run is, for the script.
#[derive(Serialize)]
struct Progressed {
    number: u64,
    open: bool,
    words: String,
    done: usize,
    of: usize,
}

/// Where a run is, for the script.
pub(crate) fn progress<T>(run: &Run<T>, done: impl Fn(&T) -> String) -> Response {
    let state = run.state();
    let (steps, of) = match &state {
        State::At { done, of, .. } => (*done, *of),
        _ => (0, 0),
    };
    Json(Progressed {
        number: run.number,
        open: state.is_open(),
        words: words(&state, run, done),
        done: steps,
        of,
    })
    .into_response()
}

//! Pairing a phone: it gives the code, then waits until the laptop says yes.
//! Reading a page here never uses the code up.

use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Path, State};
use axum::http::{HeaderMap, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Form, Json, Router};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use crate::out;
use crate::web::app::App;
use crate::web::gate::{Door, Standing};
use crate::web::refused::Refused;
use crate::web::server::Peer;
use crate::web::view::layout;

/// What each try costs, right or wrong.
const DELAY: Duration = Duration::from_secs(1);
/// How often the page of who waits is asked for anew without script \[s\].
const LOOK_S: u32 = 4;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/pair", get(blank).post(pair))
        .route("/pair/wait", get(wait))
        .route("/pair/state", get(state))
        .route("/pair/{code}", get(with_code))
}

/// Only from the local network, and only while the app is offered there.
fn offered(app: &App, peer: Peer) -> Result<(), Refused> {
    match peer.door {
        Door::Lan { .. } if app.sharing.is_on() => Ok(()),
        _ => Err(Refused::NotFound("Pairing".to_owned())),
    }
}

async fn blank(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    offered(&app, peer)?;
    Ok(match app.gate.standing(&headers, peer.door) {
        Standing::In => Redirect::to("/").into_response(),
        Standing::Waits(_) => Redirect::to("/pair/wait").into_response(),
        Standing::Refused | Standing::Stranger => form("", "", false).into_response(),
    })
}

async fn with_code(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    Path(code): Path<String>,
) -> Result<Markup, Refused> {
    offered(&app, peer)?;
    Ok(form(&code, "", false))
}

#[derive(Deserialize)]
struct Given {
    code: String,
    #[serde(default)]
    name: String,
}

async fn pair(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    Form(given): Form<Given>,
) -> Result<Response, Refused> {
    offered(&app, peer)?;
    let cookie = app.gate.pair(&given.code, &given.name, peer.ip, peer.door);
    tokio::time::sleep(DELAY).await;
    let Some(cookie) = cookie else {
        let again = form(&given.code, &given.name, true);
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, again).into_response());
    };
    out::message(&format!(
        "{} asks to be let in; say yes or no on the page Sharing",
        peer.ip
    ));
    Ok(([(header::SET_COOKIE, cookie)], Redirect::to("/pair/wait")).into_response())
}

/// The same words whether a code is wrong, used up or too old: a guess learns
/// nothing.
const NOT_GOOD: &str = "This code is not good, or no longer. A code is good once, for ten minutes. \
    Look at the page Sharing on the laptop; ask there for a new one.";

fn form(code: &str, name: &str, is_wrong: bool) -> Markup {
    let title = match is_wrong {
        true => "Error: Pair this phone",
        false => "Pair this phone",
    };
    let invalid = is_wrong.then_some("true");
    let described = if is_wrong {
        "code-help code-error"
    } else {
        "code-help"
    };
    let body = html! {
        h1 { "Pair this phone" }
        @if is_wrong {
            div.problem tabindex="-1" {
                div role="alert" { h2 { "There is a problem" } p { a href="#code" { (NOT_GOOD) } } }
            }
        }
        p { "This lets the phone read and change the jobs on the laptop that runs the program. Then somebody at the laptop has to say yes." }
        form method="post" action="/pair" {
            div.field {
                label for="code" { "Code" }
                p.help #code-help { "Eight digits; they stand on the page Sharing on the laptop." }
                @if is_wrong { p.error #code-error { (NOT_GOOD) } }
                input #code name="code" type="text" inputmode="numeric" autocomplete="off"
                    spellcheck="false" value=(code) aria-describedby=(described) aria-invalid=[invalid];
            }
            div.field {
                label for="name" { "Whose phone this is" }
                p.help #name-help { "For the list on the laptop; may stay empty." }
                input #name name="name" type="text" autocomplete="off" value=(name) aria-describedby="name-help";
            }
            button.main { "Pair this phone" }
        }
    };
    layout::bare(title, &body)
}

async fn wait(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    offered(&app, peer)?;
    Ok(match app.gate.standing(&headers, peer.door) {
        Standing::In => Redirect::to("/").into_response(),
        Standing::Stranger => Redirect::to("/pair").into_response(),
        Standing::Refused => {
            let body = html! {
                h1 { "The laptop said no" }
                p { "This phone was not let in. If that was a mistake, ask for a new code on the laptop." }
                p { a.button.main href="/pair" { "Pair this phone" } }
            };
            let page = layout::bare("The laptop said no", &body);
            (StatusCode::FORBIDDEN, page).into_response()
        }
        Standing::Waits(shows) => {
            let body = html! {
                h1 { "Now the laptop has to say yes" }
                p { "On the laptop, on the page Sharing: let in the phone that shows" }
                p.shows { (shows) }
                div #status role="status" aria-live="polite" {}
                p { a.button.main href="/pair/wait" { "Look again" } }
            };
            layout::waiting("Wait for a yes", &["pair.js"], LOOK_S, &body).into_response()
        }
    })
}

async fn state(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    headers: HeaderMap,
) -> Result<Response, Refused> {
    offered(&app, peer)?;
    let waits = matches!(app.gate.standing(&headers, peer.door), Standing::Waits(_));
    Ok(Json(json!({ "waits": waits })).into_response())
}

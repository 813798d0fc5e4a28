//! Who may ask what: the name asked for, where a form comes from, and whether
//! the visitor has been let in.

use std::net::IpAddr;
use std::sync::Arc;

use axum::Extension;
use axum::extract::{Query, Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;

use super::super::app::App;
use super::super::gate::{Door, Session};
use super::super::refused::Refused;
use super::super::upload::MOST;
use super::super::view::layout;

/// The other end of the connection.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Peer {
    /// Its address.
    pub(crate) ip: IpAddr,
    /// Where it came in.
    pub(crate) door: Door,
}

/// Someone who has been let in.
#[derive(Clone, Debug)]
pub(crate) struct Visitor {
    /// Their session.
    pub(crate) session: Session,
}

/// Outermost: the Host must be one of our own names, so that a page from
/// elsewhere cannot reach us under a name of its own.
pub(super) async fn own_name(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    request: Request,
    next: Next,
) -> Response {
    let is_own = |name: &str| app.gate.names.is_own(name, peer.door);
    let said = only(request.headers(), header::HOST).is_some_and(is_own);
    let asked = request.uri().authority().is_none_or(|a| is_own(a.as_str()));
    if !said || !asked {
        return StatusCode::MISDIRECTED_REQUEST.into_response();
    }
    next.run(request).await
}

/// Whatever is not a mere reading must come from one of our own pages.
pub(super) async fn own_page(
    Extension(peer): Extension<Peer>,
    request: Request,
    next: Next,
) -> Response {
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return next.run(request).await;
    }
    let headers = request.headers();
    let host = only(headers, header::HOST).unwrap_or_default();
    let own = format!("{}://{host}", peer.door.scheme());
    let from_own = only(headers, header::ORIGIN) == Some(own.as_str());
    // A browser sends none over plain http on a local network.
    let mut sites = headers.get_all("sec-fetch-site").iter();
    if !from_own || !sites.all(|s| s == "same-origin") {
        return Refused::NotOurPage.into_response();
    }
    next.run(request).await
}

/// Largest form \[bytes\].
pub(crate) const FORM: usize = 256 * 1024;

/// What says of itself that it is too large is refused before it is read.
pub(super) async fn not_too_large(request: Request, next: Next) -> Response {
    let headers = request.headers();
    let said = only(headers, header::CONTENT_LENGTH).and_then(|l| l.parse::<u64>().ok());
    let is_upload =
        only(headers, header::CONTENT_TYPE).is_some_and(|t| t.starts_with("multipart/"));
    let most = if is_upload { MOST } else { FORM };
    if said.is_some_and(|bytes| most as u64 <= bytes) {
        let mut response = Refused::TooLarge.into_response();
        response
            .headers_mut()
            .insert(header::CONNECTION, HeaderValue::from_static("close"));
        return response;
    }
    next.run(request).await
}

/// Only those who have been let in; others are told how to be.
pub(super) async fn let_in(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    mut request: Request,
    next: Next,
) -> Response {
    let Some(admitted) = app.gate.admitted(request.headers(), peer.door) else {
        return match request.uri().path().starts_with("/api/") {
            true => (StatusCode::UNAUTHORIZED, "not let in\n").into_response(),
            false => stranger(peer.door),
        };
    };
    request.extensions_mut().insert(Visitor {
        session: admitted.session,
    });
    let mut response = next.run(request).await;
    if let Some(cookie) = admitted.renewed {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
    response
}

/// Swaps the key that the terminal printed for a cookie. Asking for the head
/// of the answer only is no entering.
pub(super) async fn enter(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
    method: Method,
    Query(query): Query<Key>,
) -> Response {
    let cookie = match method {
        Method::GET => app.gate.enter(&query.key, peer.door),
        _ => None,
    };
    match cookie {
        Some(cookie) => ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response(),
        None => stranger(peer.door),
    }
}

/// What `/enter` is asked with.
#[derive(serde::Deserialize)]
pub(super) struct Key {
    #[serde(default)]
    key: String,
}

/// Somebody who spoke plainly at an address that is encrypted.
pub(super) async fn encrypted(
    State(app): State<Arc<App>>,
    Extension(peer): Extension<Peer>,
) -> Response {
    match peer.door {
        Door::Lan { at, .. } => Redirect::temporary(&app.gate.names.at(at, "https", "/")),
        Door::Here => Redirect::temporary("/"),
    }
    .into_response()
}

fn stranger(door: Door) -> Response {
    let body = html! {
        h1 { "Not let in yet" }
        @match door {
            Door::Here => {
                p { "On the machine that runs the program: open the address that it printed in the terminal." }
            }
            Door::Lan { .. } => {
                p { "This phone is not paired with the machine that runs the program, or is so no longer." }
                p { a.button.main href="/pair" { "Pair this phone" } }
            }
        }
        p { "What you typed in another tab is still there; go back to it after you are let in." }
    };
    (
        StatusCode::UNAUTHORIZED,
        layout::bare("Not let in yet", &body),
    )
        .into_response()
}

/// The value of a header that stands there once; none where it stands twice
/// or is no text.
pub(crate) fn only(headers: &HeaderMap, name: impl header::AsHeaderName) -> Option<&str> {
    let mut all = headers.get_all(name).iter();
    match (all.next(), all.next()) {
        (Some(value), None) => value.to_str().ok(),
        _ => None,
    }
}

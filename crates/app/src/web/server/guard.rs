//! Who may ask what: the name asked for, where a form comes from, and whether
//! the visitor has been let in.

use std::net::IpAddr;
use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use maud::html;

use super::super::app::App;
use super::super::gate::Session;
use super::super::store::LARGEST;
use super::super::view::layout;

/// Address of the other end of the connection.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Peer(pub(crate) IpAddr);

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
    request: Request,
    next: Next,
) -> Response {
    let host = text(request.headers(), header::HOST).unwrap_or_default();
    if !app.gate.is_own_host(host) {
        return StatusCode::MISDIRECTED_REQUEST.into_response();
    }
    next.run(request).await
}

/// Whatever is not a mere reading must come from one of our own pages.
pub(super) async fn own_page(
    State(app): State<Arc<App>>,
    request: Request,
    next: Next,
) -> Response {
    if matches!(*request.method(), Method::GET | Method::HEAD) {
        return next.run(request).await;
    }
    let headers = request.headers();
    let host = text(headers, header::HOST).unwrap_or_default();
    let origin = text(headers, header::ORIGIN).unwrap_or_default();
    let site = text(headers, "sec-fetch-site").unwrap_or("same-origin");
    if origin != format!("{}://{host}", app.gate.scheme()) || site != "same-origin" {
        let body = html! {
            h1 { "Not taken" }
            p { "This did not come from a page of this program, so nothing was done." }
        };
        return (StatusCode::FORBIDDEN, layout::bare("Not taken", &body)).into_response();
    }
    next.run(request).await
}

/// Largest form \[bytes\].
pub(super) const FORM: usize = 256 * 1024;

/// What says of itself that it is too large is refused before it is read.
pub(super) async fn not_too_large(request: Request, next: Next) -> Response {
    let headers = request.headers();
    let said = text(headers, header::CONTENT_LENGTH).and_then(|l| l.parse::<u64>().ok());
    let is_upload =
        text(headers, header::CONTENT_TYPE).is_some_and(|t| t.starts_with("multipart/"));
    let most = if is_upload {
        LARGEST + 1024 * 1024
    } else {
        FORM
    };
    if said.is_some_and(|bytes| most as u64 <= bytes) {
        let body = html! {
            h1 { "Too large" }
            p { "What was sent is larger than this page takes; nothing was done. A form may have 256 kB, a zip 100 MB." }
        };
        let mut response = (
            StatusCode::PAYLOAD_TOO_LARGE,
            layout::bare("Too large", &body),
        )
            .into_response();
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
    mut request: Request,
    next: Next,
) -> Response {
    let session = app.gate.session(request.headers());
    match session {
        Some(session) => {
            request.extensions_mut().insert(Visitor { session });
            next.run(request).await
        }
        None if request.uri().path().starts_with("/api/") => {
            (StatusCode::UNAUTHORIZED, "not let in\n").into_response()
        }
        None => stranger(),
    }
}

/// Swaps the key that the terminal printed for a cookie.
pub(super) async fn enter(
    State(app): State<Arc<App>>,
    axum::Extension(peer): axum::Extension<Peer>,
    axum::extract::Query(query): axum::extract::Query<Key>,
) -> Response {
    match app.gate.enter(&query.key, peer.0) {
        Some(cookie) => ([(header::SET_COOKIE, cookie)], Redirect::to("/")).into_response(),
        None => stranger(),
    }
}

/// What `/enter` is asked with.
#[derive(serde::Deserialize)]
pub(super) struct Key {
    #[serde(default)]
    key: String,
}

fn stranger() -> Response {
    let body = html! {
        h1 { "Not let in yet" }
        p { "On the machine that runs the program: open the address that it printed in the terminal." }
        p { "What you typed in another tab is still there; go back to it after you are let in." }
    };
    (
        StatusCode::UNAUTHORIZED,
        layout::bare("Not let in yet", &body),
    )
        .into_response()
}

fn text(headers: &HeaderMap, name: impl header::AsHeaderName) -> Option<&str> {
    headers.get(name)?.to_str().ok()
}

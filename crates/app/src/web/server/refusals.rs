//! What the library below refuses in bare words becomes a page of ours.

use axum::body::to_bytes;
use axum::extract::Request;
use axum::http::{StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

use super::super::refused::Refused;

/// Longest remark of the library that is shown \[bytes\].
const LONGEST: usize = 2000;

/// Puts refusals into our words; those of the API stay as they are.
pub(super) async fn in_our_words(request: Request, next: Next) -> Response {
    let is_api = request.uri().path().starts_with("/api/");
    let response = next.run(request).await;
    if is_api || !response.status().is_client_error() || !is_bare(&response) {
        return response;
    }
    let (parts, body) = response.into_parts();
    let remark = to_bytes(body, LONGEST).await.unwrap_or_default();
    let remark = String::from_utf8_lossy(&remark).into_owned();
    let mut ours = match parts.status {
        StatusCode::PAYLOAD_TOO_LARGE => Refused::TooLarge,
        StatusCode::METHOD_NOT_ALLOWED => Refused::NoSuchAct,
        StatusCode::NOT_FOUND => Refused::NotFound("This".to_owned()),
        status => Refused::NotAForm(status, remark),
    }
    .into_response();
    for name in [header::ALLOW, header::CONNECTION] {
        if let Some(value) = parts.headers.get(&name) {
            ours.headers_mut().insert(name, value.clone());
        }
    }
    ours
}

fn is_bare(response: &Response) -> bool {
    match response.headers().get(header::CONTENT_TYPE) {
        None => true,
        Some(kind) => kind.as_bytes().starts_with(b"text/plain"),
    }
}

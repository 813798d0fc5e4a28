//! The second lock on forms: each carries a word that only pages drawn for its
//! visitor hold. The first one is where it comes from (`server::guard`).
//!
//! It is put into every form in one place, when a page is drawn, and looked at
//! in one place, before any handler: no form can be forgotten.

use std::future::poll_fn;
use std::pin::Pin;
use std::task::{Context, Poll};

use axum::body::{Body, Bytes, HttpBody, to_bytes};
use axum::extract::{FromRequest as _, Request};
use axum::http::{Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use axum::{Extension, Form};
use hyper::body::{Frame, SizeHint};
use maud::{Markup, PreEscaped, html};

use super::gate::same;
use super::refused::{DiskSaidNo, Refused, Resend};
use super::server::{FORM, Visitor, only};

/// Name of the field that carries it, and of the `meta` that scripts read.
pub(super) const FIELD: &str = "form-token";
/// Header in which scripts send it.
const HEADER: &str = "x-form-token";
/// The field stands first in a form: so much of an upload is looked at
/// \[bytes\].
const BEGINNING: usize = 1024;

/// Puts the token into every form of a page that changes something. Texts of
/// visitors hold neither `<` nor `"`, so what is found is markup.
pub(super) fn in_forms(page: Markup, token: &str) -> Markup {
    const POST: &str = "method=\"post\"";
    let field = format!("<input type=\"hidden\" name=\"{FIELD}\" value=\"{token}\">");
    let mut out = String::with_capacity(page.0.len() + 1024);
    let mut rest = page.0.as_str();
    while let Some(at) = rest.find("<form ") {
        let end = rest[at..].find('>').map_or(rest.len(), |n| at + n + 1);
        out.push_str(&rest[..end]);
        if rest[at..end].contains(POST) {
            out.push_str(&field);
        }
        rest = &rest[end..];
    }
    out.push_str(rest);
    // A button that sends a form of questions as one that changes something:
    // the others must not carry the token into the address.
    let button = format!("formmethod=\"post\" name=\"{FIELD}\" value=\"{token}\"");
    PreEscaped(out.replace("formmethod=\"post\"", &button))
}

/// Whatever is not a mere reading must carry the token of its visitor.
pub(super) async fn check(
    Extension(visitor): Extension<Visitor>,
    request: Request,
    next: Next,
) -> Response {
    let token = visitor.session.form_token;
    let headers = request.headers();
    let is_reading = matches!(*request.method(), Method::GET | Method::HEAD);
    if is_reading || only(headers, HEADER).is_some_and(|said| same(said, &token)) {
        return next.run(request).await;
    }
    let is_upload =
        only(headers, header::CONTENT_TYPE).is_some_and(|t| t.starts_with("multipart/"));
    let mut resend = Box::new(Resend {
        to: request.uri().to_string(),
        fields: None,
        form_token: token.clone(),
    });
    let (parts, body) = request.into_parts();
    if is_upload {
        let body = Begun::read(body).await;
        return match body.carries(&token) {
            true => next.run(Request::from_parts(parts, Body::new(body))).await,
            false => Refused::OldForm(resend).into_response(),
        };
    }
    let Ok(bytes) = to_bytes(body, FORM).await else {
        return Refused::TooLarge.into_response();
    };
    let copy = Request::from_parts(parts.clone(), Body::from(bytes.clone()));
    let form = Form::<Vec<(String, String)>>::from_request(copy, &()).await;
    resend.fields = form.ok().map(|Form(fields)| fields);
    let mut carried = resend
        .fields
        .iter()
        .flatten()
        .filter(|(name, _)| name == FIELD);
    if !carried.any(|(_, said)| same(said, &token)) {
        return Refused::OldForm(resend).into_response();
    }
    let response = next
        .run(Request::from_parts(parts, Body::from(bytes)))
        .await;
    // What was typed is not lost with what could not be written.
    match response.extensions().get::<DiskSaidNo>() {
        Some(DiskSaidNo(words)) => Refused::NotSaved(words.clone(), resend).into_response(),
        None => response,
    }
}

/// What was sent, to be looked at and sent again.
pub(super) fn again(resend: &Resend) -> Markup {
    let shown = resend
        .fields
        .iter()
        .flatten()
        .filter(|(name, _)| name != FIELD);
    let shown: Vec<&(String, String)> = shown.collect();
    html! {
        @if shown.is_empty() {
            p { "Go back, load that page anew, and send it again." }
        } @else {
            p { "What was sent stands here. If it is what you meant, send it now." }
            dl.sent {
                @for (name, text) in &shown { div { dt { (name) } dd { (text) } } }
            }
            form method="post" action=(resend.to) {
                input type="hidden" name=(FIELD) value=(resend.form_token);
                @for (name, text) in &shown { input type="hidden" name=(name) value=(text); }
                button.main { "Send it now" }
            }
        }
    }
}

/// An upload of which the beginning has been looked at.
struct Begun {
    first: Option<Bytes>,
    rest: Body,
}

impl Begun {
    async fn read(mut rest: Body) -> Self {
        let mut first = Vec::new();
        while first.len() < BEGINNING {
            match poll_fn(|cx| Pin::new(&mut rest).poll_frame(cx)).await {
                Some(Ok(frame)) => first.extend(frame.into_data().unwrap_or_default()),
                // Broken off: the handler meets the same end.
                Some(Err(_)) | None => break,
            }
        }
        Self {
            first: Some(first.into()),
            rest,
        }
    }

    fn carries(&self, token: &str) -> bool {
        let first = self.first.as_deref().unwrap_or_default();
        let first = String::from_utf8_lossy(first.get(..BEGINNING).unwrap_or(first));
        let field = format!("name=\"{FIELD}\"\r\n\r\n");
        first
            .split_once(&field)
            .and_then(|(_, rest)| rest.split("\r\n").next())
            .is_some_and(|said| same(said, token))
    }
}

impl HttpBody for Begun {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        match self.first.take() {
            Some(first) => Poll::Ready(Some(Ok(Frame::data(first)))),
            None => Pin::new(&mut self.rest).poll_frame(cx),
        }
    }

    fn size_hint(&self) -> SizeHint {
        let first = self.first.as_ref().map_or(0, |f| f.len() as u64);
        let rest = self.rest.size_hint();
        let mut hint = SizeHint::new();
        hint.set_lower(first + rest.lower());
        if let Some(upper) = rest.upper() {
            hint.set_upper(first + upper);
        }
        hint
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_form_that_changes_something_carries_the_token() {
        let page = html! {
            form method="post" action="/a" { p { "<form method=\"post\">" } }
            form method="get" { button formmethod="post" { "Save" } button { "Ask" } }
            form.x enctype="multipart/form-data" method="post" {}
            form {}
        };
        let out = in_forms(page, "T").0;
        let field = "<input type=\"hidden\" name=\"form-token\" value=\"T\">";
        assert_eq!(out.matches(field).count(), 2, "{out}");
        assert!(
            out.contains(&format!("action=\"/a\">{field}<p>&lt;form")),
            "{out}"
        );
        assert!(
            out.contains(&format!("method=\"post\">{field}</form>")),
            "{out}"
        );
        assert!(
            out.contains("<button formmethod=\"post\" name=\"form-token\" value=\"T\">"),
            "{out}"
        );
        assert!(out.contains("<button>Ask"), "{out}");
    }
}

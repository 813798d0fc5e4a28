//! Signing, and the papers of a hand-over.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use job::record::{Body, Signature, Signed, SignedBy, entered_since, last_signed};
use maud::{Markup, html};
use quantity::{UnitSystem, counted};
use sheet::report::Report;

use super::Scene;
use crate::startup::Paperwork;
use crate::web::app::App;
use crate::web::recording::{device, new_key, request};
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::work::busy;

/// Longest row of points that is kept, in all strokes together.
const MOST_POINTS: usize = 6_000;

pub(super) async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
) -> Result<Markup, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    let tally = scene.stands.state.tally();
    let not_done = tally.open + tally.closed;
    let body = html! {
        div.field-page {
            h1 { "Sign and hand over" }
            (super::overview::notices(&scene))
            @if scene.person.is_empty() { (super::overview::who(&scene)) }
            p.lead {
                (tally.done) " done, " (tally.not_proven) " not proven, " (tally.failed) " failed, "
                (tally.skipped) " left out, " (not_done) " not done"
            }
            @if 0 < not_done || 0 < tally.failed || !scene.stands.state.findings.is_empty() {
                p { "What is open stands on the hand-over and is signed with it: " (counted(scene.stands.state.findings.len(), "finding")) "." }
            }
            p { a.button href=(scene.href("/handover.pdf")) download { "Read the hand-over first (PDF)" } }
            (form(&scene, SignedBy::Installer, "installer", "Who started it up"))
            (form(&scene, SignedBy::Customer, "customer", "Who takes it over"))
            p { a.button href=(scene.href("")) { "Back to the start-up" } }
        }
    };
    Ok(scene.page(
        &visitor.session,
        "Sign and hand over".into(),
        "sign.js",
        &body,
    ))
}

fn form(scene: &Scene, by: SignedBy, word: &str, title: &str) -> Markup {
    let events = &scene.stands.events;
    html! {
        section.step {
            h2 { (title) }
            @if let Some((place, signed)) = last_signed(events, by) {
                @let at = events[place].at.utc_ms;
                @let since = entered_since(events, place);
                p.saved[since == 0].draft[0 < since] {
                    @if since == 0 { "✓ " }
                    "Signed by " (signed.name) " · " time data-utc-ms=(at) { (crate::record::time_words(at)) }
                    @if 0 < since {
                        ". Entered since then and not signed: " (since) ". Sign again."
                    }
                }
            }
            form method="post" action=(scene.href("/sign")) data-sign {
                input type="hidden" name="key" value=(new_key());
                input type="hidden" name="by" value=(word);
                input type="hidden" name="strokes" value="";
                div.field {
                    label for={ "name-" (word) } { "Name" }
                    input id={ "name-" (word) } name="name" type="text" autocomplete="off" required;
                }
                div.pad hidden {
                    p { "Sign here with a finger" }
                    canvas aria-label={ "Field for the signature: " (title) } width="1000" height="330" {}
                    button type="button" data-clear { "Clear" }
                }
                button.main { "Sign" }
                p.remark { "Without a drawn signature, a line on the printed sheet is left for it." }
            }
        }
    }
}

type Sent = BTreeMap<String, String>;

pub(super) async fn take(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    busy(move || {
        let of = |name: &str| sent.get(name).map_or("", |t| t.trim());
        let by = match of("by") {
            "installer" => SignedBy::Installer,
            "customer" => SignedBy::Customer,
            _ => return Err(Refused::BadRequest("It is not said who signs.".into())),
        };
        if of("name").is_empty() {
            return Err(Refused::Job("The name of who signs is missing.".into()));
        }
        let person = match scene.person.as_str() {
            "" => of("name"),
            person => person,
        };
        let body = Body::Signed(Signed {
            by,
            name: of("name").to_owned(),
            signature: signature(of("strokes"))?,
            heads: scene.store.verify()?.report.heads(),
        });
        let request = request(&visitor.session, of("key"), &format!("{sent:?}"));
        let who = (person, device(&visitor.session));
        scene
            .start
            .record(&scene.store, who, [body], request.as_ref())?;
        Ok(Redirect::to(&scene.href("/sign")).into_response())
    })
    .await
}

/// Strokes as the page sends them: JSON, rows of points.
fn signature(text: &str) -> Result<Signature, Refused> {
    if text.is_empty() {
        return Ok(Signature::OnPaper);
    }
    let strokes: Vec<Vec<[i32; 2]>> = serde_json::from_str(text)
        .map_err(|_| Refused::BadRequest("The signature did not arrive whole.".into()))?;
    if MOST_POINTS < strokes.iter().map(Vec::len).sum() {
        return Err(Refused::Job(
            "The signature has too many points; clear it and sign again.".into(),
        ));
    }
    if strokes.iter().all(Vec::is_empty) {
        return Ok(Signature::OnPaper);
    }
    Ok(Signature::Drawn(strokes))
}

pub(super) async fn handover(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
) -> Result<Response, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    paper(scene, "handover.pdf", |paperwork| paperwork.handover()).await
}

pub(super) async fn card(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
) -> Result<Response, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    paper(scene, "card.pdf", |paperwork| paperwork.card()).await
}

async fn paper(
    scene: Scene,
    name: &'static str,
    what: impl FnOnce(&Paperwork<'_>) -> Report + Send + 'static,
) -> Result<Response, Refused> {
    busy(move || {
        let read = scene.store.verify()?;
        let paperwork = Paperwork {
            start: &scene.start,
            store: &scene.store,
            stands: &scene.stands,
            read: &read,
            units: scene.units,
            kept_since: scene.kept_since.as_deref(),
        };
        let bytes = pdf(&what(&paperwork), scene.units)?;
        Ok(answer(name, bytes))
    })
    .await
}

fn pdf(report: &Report, units: UnitSystem) -> Result<Vec<u8>, Refused> {
    let paper = match units {
        UnitSystem::Us => sheet::Paper::Letter,
        UnitSystem::Metric => sheet::Paper::A4,
    };
    sheet::pdf::pdf(report, paper).map_err(|e| Refused::Job(e.to_string()))
}

fn answer(name: &str, bytes: Vec<u8>) -> Response {
    let disposition = format!("inline; filename=\"{name}\"");
    let mut response = ([(header::CONTENT_TYPE, "application/pdf")], bytes).into_response();
    if let Ok(value) = HeaderValue::from_str(&disposition) {
        response
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, value);
    }
    response
}

/// Labels whose code is an address of this server that a phone can reach.
pub(super) async fn labels(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
) -> Result<Response, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    let Some(server) = scene.server.clone() else {
        return Err(Refused::Job(
            "The code on a label holds the address at which phones reach this machine. Share it first (page \"Share\", or drywright serve --share), then print the labels.".into(),
        ));
    };
    paper(scene, "labels.pdf", move |paperwork| {
        paperwork.labels(&server)
    })
    .await
}

//! What happened, as it is sent by a form: checked, recorded, answered.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use job::record::{
    Body, Correction, FindingClosed, Hash, Measured, Reading, StepDone, StepSkipped, UnitSkipped,
};
use job::startup::{Standing, Step};
use maud::{Markup, html};

use super::super::choices::own_path;
use super::unit::{WHOLE_UNIT, unit_of, unit_page};
use super::{Scene, WHO};
use crate::commands::start::timer;
use crate::startup::{Fault, Form as Typed, Whole, entered, read_before, taken_up};
use crate::web::app::App;
use crate::web::recording::{device, request, sentence};
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::layout::encoded;
use crate::web::work::busy;

/// What was sent and not taken, with everything that was typed.
#[derive(Default)]
pub(super) struct Tried {
    /// Step that it was for.
    pub(super) step: String,
    texts: BTreeMap<String, String>,
    faults: Vec<Fault>,
}

impl Tried {
    pub(super) fn is_empty(&self) -> bool {
        self.faults.is_empty()
    }

    /// What was typed into a field.
    pub(super) fn text(&self, name: &str) -> String {
        self.texts.get(name).cloned().unwrap_or_default()
    }

    /// What is wrong with an entry.
    pub(super) fn fault(&self, entry: &str) -> Option<&Fault> {
        self.faults.iter().find(|f| f.entry == entry)
    }

    /// What is wrong, on top of the page; each line leads to its field.
    pub(super) fn summary(&self) -> Markup {
        html! {
            @if !self.is_empty() {
                div.problem #problems tabindex="-1" {
                    div role="alert" {
                        h2 { "There is a problem" }
                        ul {
                            @for fault in &self.faults {
                                @let at = match fault.entry.is_empty() {
                                    true => self.step.clone(),
                                    false => format!("{}-{}", self.step, fault.entry),
                                };
                                li { a href={ "#" (at) } { (fault.words) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

type Sent = BTreeMap<String, String>;

pub(super) async fn act(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path((job, room, unit)): Path<(String, String, String)>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    let mut scene = Scene::of(&app, &visitor, &headers, (job, room)).await?;
    unit_of(&scene, &unit)?;
    // Who has not yet said who they are says it with the step.
    let said = sent.get("who").map(|text| name_in(text));
    let named = said.filter(|name| scene.person.is_empty() && !name.is_empty());
    if let Some(name) = &named {
        scene.person.clone_from(name);
    }
    let mut response = recorded(scene, visitor, unit, sent).await?;
    if let Some(name) = named {
        remember(&mut response, &name);
    }
    Ok(response)
}

/// Records what was sent and leads back to its step.
async fn recorded(
    scene: Scene,
    visitor: Visitor,
    unit: String,
    sent: Sent,
) -> Result<Response, Refused> {
    busy(move || {
        let of = |name: &str| sent.get(name).map_or("", String::as_str);
        let about = About::of(&scene, &unit, &sent)?;
        let key = of("key").to_owned();
        let content = format!("{sent:?}");
        let request = request(&visitor.session, &key, &content);
        // What came before is answered as before, whatever has changed since.
        let came_before = match &request {
            Some(request) => scene.store.answered(request)?.is_some(),
            None => false,
        };
        let there = Redirect::to(&about.href(&scene));
        if came_before {
            return Ok(there.into_response());
        }
        let what = match about.bodies(&scene, &sent) {
            Ok(what) => what,
            Err(faults) => return refused(&scene, &visitor, &unit, &sent, faults),
        };
        let who = (scene.person.as_str(), device(&visitor.session));
        match scene
            .start
            .record(&scene.store, who, what, request.as_ref())
        {
            Ok(_) => Ok(there.into_response()),
            Err(crate::record::RecordError::BadEvent(why)) => {
                let fault = whole(sentence(&why.to_string()));
                refused(&scene, &visitor, &unit, &sent, vec![fault])
            }
            Err(error) => Err(error.into()),
        }
    })
    .await
}

/// What was sent is about.
enum About<'a> {
    /// A step.
    Step(&'a Step),
    /// The unit as a whole, by its tag.
    Unit(&'a str),
}

impl<'a> About<'a> {
    fn of(scene: &'a Scene, unit: &'a str, sent: &Sent) -> Result<Self, Refused> {
        let id = sent.get("step").map_or("", String::as_str);
        if id == WHOLE_UNIT {
            return match unit_of(scene, unit)? {
                Some(tag) => Ok(Self::Unit(tag)),
                None => Err(Refused::BadRequest(
                    "Only a unit can be left out as a whole.".into(),
                )),
            };
        }
        let step = scene.start.plan.step(id);
        step.map(Self::Step)
            .ok_or_else(|| Refused::NotFound(format!("The step \"{id}\"")))
    }

    /// Where it stands on its page.
    fn href(&self, scene: &Scene) -> String {
        let (unit, id) = match self {
            Self::Step(step) => (step.unit.as_deref(), step.id.as_str()),
            Self::Unit(tag) => (Some(*tag), WHOLE_UNIT),
        };
        format!("{}#{}", scene.unit_href(unit), encoded(id))
    }

    fn bodies(&self, scene: &Scene, sent: &Sent) -> Result<Vec<Body>, Vec<Fault>> {
        match self {
            Self::Step(step) => body(scene, step, sent).map(|body| vec![body]),
            Self::Unit(tag) => of_unit(scene, tag, sent),
        }
    }
}

/// A unit is left out as a whole, or taken up again.
fn of_unit(scene: &Scene, tag: &str, sent: &Sent) -> Result<Vec<Body>, Vec<Fault>> {
    let of = |name: &str| sent.get(name).map_or("", |t| t.trim());
    let wrong = |words: String| Err(vec![whole(words)]);
    named(scene)?;
    let reason = of("reason");
    match (of("act"), scene.stands.state.unit_left_out(tag)) {
        ("skip-unit", _) if reason.is_empty() => wrong(format!(
            "Say why {tag} is left out; the hand-over shows it."
        )),
        ("skip-unit", _) => Ok(vec![Body::UnitSkipped(UnitSkipped {
            unit: tag.to_owned(),
            reason: reason.to_owned(),
        })]),
        ("take-up", None) => wrong(format!("{tag} is not left out as a whole.")),
        ("take-up", Some(_)) if reason.is_empty() => wrong(format!(
            "Say why {tag} is taken up again, for example: delivered today."
        )),
        ("take-up", Some(left_out)) => Ok(taken_up(left_out, reason)),
        _ => wrong("It is not said what to do; open the page anew.".into()),
    }
}

/// Nothing is recorded of somebody without a name.
fn named(scene: &Scene) -> Result<(), Vec<Fault>> {
    if scene.person.trim().is_empty() {
        let words = "Say who you are first: the record names who did what.";
        return Err(vec![whole(words.to_owned())]);
    }
    Ok(())
}

/// The page again with what is wrong and everything that was typed.
fn refused(
    scene: &Scene,
    visitor: &Visitor,
    unit: &str,
    sent: &Sent,
    faults: Vec<Fault>,
) -> Result<Response, Refused> {
    let tried = Tried {
        step: sent.get("step").cloned().unwrap_or_default(),
        texts: sent.clone(),
        faults,
    };
    let page = unit_page(scene, visitor, unit, &tried)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// What is wrong with the form as a whole.
fn whole(words: String) -> Fault {
    Fault {
        entry: String::new(),
        words,
        may_be_meant: false,
    }
}

fn body(scene: &Scene, step: &Step, sent: &Sent) -> Result<Body, Vec<Fault>> {
    let of = |name: &str| sent.get(name).map_or("", |t| t.trim());
    let wrong = |words: &str| Err(vec![whole(words.to_owned())]);
    named(scene)?;
    match of("act") {
        "timer" => {
            so_far(scene, step)?;
            timer(step).map_err(|why| vec![whole(format!("{why:#}."))])
        }
        "skip" if of("reason").is_empty() => {
            wrong("Say why it is left out; the hand-over shows it.")
        }
        "skip" => Ok(Body::StepSkipped(StepSkipped {
            unit: step.unit.clone(),
            step: step.id.clone(),
            reason: of("reason").to_owned(),
        })),
        "measured" => {
            let (readings, _) = typed(scene, step, sent, (Whole::Part, &[]))?;
            if readings.is_empty() {
                return wrong("Nothing was entered.");
            }
            Ok(Body::Measured(Measured {
                unit: step.unit.clone(),
                step: step.id.clone(),
                readings,
                note: note(sent),
            }))
        }
        "done" => {
            let before = &so_far(scene, step)?;
            done(scene, step, sent, (Whole::Done { before }, &[])).map(Body::StepDone)
        }
        act @ ("correct" | "withdraw") => {
            let Ok(event) = Hash::read(of("of")) else {
                return wrong("It is not said which entry is corrected; open the page anew.");
            };
            if of("reason").is_empty() {
                return wrong("Say why it is corrected.");
            }
            let instead = match act {
                "correct" => {
                    let again = recorded_of(scene, step);
                    let part = (Whole::Part, again.as_slice());
                    Some(Body::StepDone(done(scene, step, sent, part)?))
                }
                _ => None,
            };
            Ok(Body::Correction(Box::new(Correction {
                of: event,
                reason: of("reason").to_owned(),
                instead,
            })))
        }
        _ => wrong("It is not said what to do; open the page anew."),
    }
}

/// Readings of a step so far, if it may be done now.
fn so_far(scene: &Scene, step: &Step) -> Result<Vec<Reading>, Vec<Fault>> {
    let state = scene.stands.state.step(&step.id);
    if let Some(Standing::Closed { waits_for }) = state.map(|s| &s.standing) {
        let first: Vec<String> = waits_for
            .iter()
            .filter_map(|id| scene.start.plan.step(id))
            .map(|s| s.title.show(scene.units))
            .collect();
        return Err(vec![whole(format!(
            "This step comes after: {}. Do these first, or leave them out with a reason.",
            first.join("; ")
        ))]);
    }
    Ok(state.map_or_else(Vec::new, |state| read_before(step, state)))
}

fn recorded_of(scene: &Scene, step: &Step) -> Vec<Reading> {
    let state = scene.stands.state.step(&step.id);
    let readings = state.into_iter().flat_map(|s| &s.readings);
    readings.map(|(_, r)| r.clone()).collect()
}

fn done(
    scene: &Scene,
    step: &Step,
    sent: &Sent,
    by: (Whole<'_>, &[Reading]),
) -> Result<StepDone, Vec<Fault>> {
    let (readings, answers) = typed(scene, step, sent, by)?;
    Ok(StepDone {
        unit: step.unit.clone(),
        step: step.id.clone(),
        readings,
        answers,
        note: note(sent),
        photos: Vec::new(),
    })
}

/// What is typed for a step; with the readings that are entered again.
fn typed(
    scene: &Scene,
    step: &Step,
    sent: &Sent,
    (whole, again): (Whole<'_>, &[Reading]),
) -> Result<(Vec<Reading>, Vec<job::record::Answer>), Vec<Fault>> {
    let with = |prefix: &'static str| {
        sent.iter()
            .filter_map(move |(name, text)| Some((name.strip_prefix(prefix)?.to_owned(), text)))
    };
    let of = |prefix: &'static str| -> Sent {
        with(prefix)
            .map(|(entry, text)| (entry, text.clone()))
            .collect()
    };
    let meant: Vec<String> = with("meant.").map(|(entry, _)| entry).collect();
    let form = Typed {
        texts: &of("e."),
        meant: &meant,
        instruments: &of("i."),
        accuracies: &of("a."),
        units: scene.units,
        again,
    };
    entered(step, &form, whole)
}

fn note(sent: &Sent) -> Option<String> {
    let note = sent.get("note").map_or("", |t| t.trim());
    (!note.is_empty()).then(|| note.to_owned())
}

/// Keeps who a visitor is, in their browser.
pub(super) async fn who(
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<Sent>,
) -> Response {
    let name = name_in(sent.get("who").map_or("", String::as_str));
    let home = super::sheet_href(&job, &room, "startup");
    // Only to a page of this start-up.
    let back = sent
        .get("back")
        .filter(|b| b.starts_with(&home) && own_path(b) == *b)
        .unwrap_or(&home);
    let mut response = Redirect::to(back).into_response();
    remember(&mut response, &name);
    response
}

/// The name in what was typed.
fn name_in(typed: &str) -> String {
    typed
        .trim()
        .chars()
        .filter(|c| !crate::letters::is_unseen(*c))
        .take(80)
        .collect()
}

fn remember(response: &mut Response, name: &str) {
    let cookie = format!(
        "{WHO}={}; HttpOnly; SameSite=Lax; Path=/; Max-Age=31536000",
        encoded(name)
    );
    if let Ok(cookie) = HeaderValue::from_str(&cookie) {
        response.headers_mut().append(header::SET_COOKIE, cookie);
    }
}

/// Closes a finding.
pub(super) async fn close(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path(at): Path<(String, String)>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, at).await?;
    busy(move || {
        let of = |name: &str| sent.get(name).map_or("", |t| t.trim()).to_owned();
        if scene.person.is_empty() {
            return Err(Refused::Job(
                "Say who you are first: the record names who did what.".into(),
            ));
        }
        let body = Body::FindingClosed(FindingClosed {
            check: of("check"),
            place: of("place"),
            how: of("how"),
        });
        let request = request(&visitor.session, &of("key"), &format!("{sent:?}"));
        let who = (scene.person.as_str(), device(&visitor.session));
        scene
            .start
            .record(&scene.store, who, [body], request.as_ref())?;
        Ok(Redirect::to(&scene.href("")).into_response())
    })
    .await
}

//! The survey as forms: what gives a first answer, then page by page.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Extension, Form};
use fields::{Field, Repeat, Section};
use maud::{Markup, html};
use quantity::UnitSystem;

use super::file::SurveyFile;
use super::groups::{FIRST, GROUPS, Group};
use crate::web::app::App;
use crate::web::gate::Session;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::form::{Filled, input, name_of, parts_of, summary};
use crate::web::view::layout::{Page, Place, job_href, page, sheet_href};
use crate::web::work::busy;

/// What a visitor asks of a page: `add` shows a blank section, `saved` says so.
type Asked = BTreeMap<String, String>;
/// A form as it comes.
type Sent = Vec<(String, String)>;

/// Which page of the survey.
#[derive(Clone, Copy)]
enum Which {
    First,
    Group(&'static Group),
    Site,
}

impl Which {
    fn title(self) -> &'static str {
        match self {
            Self::First => "Survey",
            Self::Group(group) => group.title,
            Self::Site => "Site",
        }
    }

    fn at(self, job: &str, room: &str) -> String {
        match self {
            Self::First => sheet_href(job, room, "survey"),
            Self::Group(group) => format!("{}/{}", sheet_href(job, room, "survey"), group.word),
            Self::Site => format!("{}/site", job_href(job)),
        }
    }

    fn file(self, app: &App, job: &str, room: &str) -> Result<SurveyFile, Refused> {
        match self {
            Self::Site => SurveyFile::site(app, job),
            _ => SurveyFile::room(app, job, room),
        }
    }
}

fn group_of(word: &str) -> Result<Which, Refused> {
    GROUPS
        .iter()
        .find(|g| g.word == word)
        .map(Which::Group)
        .ok_or_else(|| Refused::NotFound(format!("A page \"{word}\" of the survey")))
}

pub(super) async fn first(
    app: State<Arc<App>>,
    visitor: Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    shown(app, visitor, Which::First, job, room, asked).await
}

pub(super) async fn group(
    app: State<Arc<App>>,
    visitor: Extension<Visitor>,
    Path((job, room, group)): Path<(String, String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    shown(app, visitor, group_of(&group)?, job, room, asked).await
}

pub(super) async fn site(
    app: State<Arc<App>>,
    visitor: Extension<Visitor>,
    Path(job): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    shown(app, visitor, Which::Site, job, String::new(), asked).await
}

pub(super) async fn save_first(
    app: State<Arc<App>>,
    visitor: Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    saved(app, visitor, Which::First, job, room, sent).await
}

pub(super) async fn save_group(
    app: State<Arc<App>>,
    visitor: Extension<Visitor>,
    Path((job, room, group)): Path<(String, String, String)>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    saved(app, visitor, group_of(&group)?, job, room, sent).await
}

pub(super) async fn save_site(
    app: State<Arc<App>>,
    visitor: Extension<Visitor>,
    Path(job): Path<String>,
    Form(sent): Form<Sent>,
) -> Result<Response, Refused> {
    saved(app, visitor, Which::Site, job, String::new(), sent).await
}

async fn shown(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    which: Which,
    job: String,
    room: String,
    asked: Asked,
) -> Result<Markup, Refused> {
    busy(move || {
        let file = which.file(&app, &job, &room)?;
        let mut filled = file.filled(&file.version.text);
        blank(&file, &asked, &mut filled);
        let at = At {
            which,
            job: &job,
            room: &room,
            session: &visitor.session,
            base: &file.version.hash,
            is_typed: false,
        };
        Ok(at.page(&file, &filled, &asked))
    })
    .await
}

/// A section to be added, blank or with what another one says.
fn blank(file: &SurveyFile, asked: &Asked, filled: &mut Filled) {
    let sections = file.written(&file.version.text).unwrap_or_default();
    let Some(key) = asked.get("add") else { return };
    let count = sections.iter().filter(|w| w.section == *key).count();
    // The mark that this section is shown.
    filled.texts.insert(format!("+{key}"), count.to_string());
    let like = asked.get("like").and_then(|n| n.parse::<usize>().ok());
    let other = sections
        .iter()
        .find(|w| w.section == *key && Some(w.nth) == like);
    for (k, typed) in other.iter().flat_map(|w| &w.keys) {
        filled.texts.insert(name_of(key, count, k), typed.clone());
    }
}

async fn saved(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    which: Which,
    job: String,
    room: String,
    sent: Sent,
) -> Result<Response, Refused> {
    busy(move || {
        let file = which.file(&app, &job, &room)?;
        let base = sent
            .iter()
            .find(|(name, _)| name == "base")
            .map_or("", |(_, hash)| hash);
        let at = At {
            which,
            job: &job,
            room: &room,
            session: &visitor.session,
            base,
            is_typed: true,
        };
        let refused = |filled: &Filled| {
            let asked = Asked::new();
            (
                StatusCode::UNPROCESSABLE_ENTITY,
                at.page(&file, filled, &asked),
            )
                .into_response()
        };
        let text = match file.changes(&sent).and_then(|c| file.changed(&c)) {
            Ok(text) => text,
            Err(words) => {
                return Ok(refused(&Filled {
                    texts: sent.iter().cloned().collect(),
                    others: vec![words],
                    ..Filled::default()
                }));
            }
        };
        let filled = file.refused(&sent, &text);
        if filled.is_wrong() {
            return Ok(refused(&filled));
        }
        file.save(&text, base)?;
        Ok(Redirect::to(&format!("{}?saved=yes", which.at(&job, &room))).into_response())
    })
    .await
}

/// A page of the survey and who looks at it.
struct At<'a> {
    which: Which,
    job: &'a str,
    room: &'a str,
    session: &'a Session,
    /// Version that the form was drawn from.
    base: &'a str,
    /// Whether the fields hold what was just sent and not saved.
    is_typed: bool,
}

impl At<'_> {
    fn page(&self, file: &SurveyFile, filled: &Filled, asked: &Asked) -> Markup {
        let units = self.session.units_or(file.display());
        let at = self.which.at(self.job, self.room);
        let text_href = match self.which {
            Which::Site => format!("{}/site/text", job_href(self.job)),
            _ => sheet_href(self.job, self.room, "text"),
        };
        let body = html! {
            h1 { (self.which.title()) }
            @if asked.contains_key("saved") {
                p.saved role="status" data-saved {
                    "Saved." @if filled.is_wrong() { " What is listed here is still asked for." }
                }
            }
            (summary(filled))
            @if let Which::First = self.which {
                p { "Eight fields give a first answer; the band is then wide and says so. Every further page makes it narrower." }
            }
            form.survey method="post" action=(at) novalidate data-draft data-typed[self.is_typed] {
                input type="hidden" name="base" value=(self.base);
                @match self.which {
                    Which::First => { (first_fields(file, filled, units)) }
                    Which::Group(group) => {
                        @for key in group.sections { (self.section(file, key, filled, units, &at)) }
                    }
                    Which::Site => {
                        @for section in file.format.sections { (self.section(file, section.key, filled, units, &at)) }
                    }
                }
                button.main { "Save" }
            }
            @if !matches!(self.which, Which::Site) {
                h2 { "Pages of the survey" }
                ul.entries {
                    @let pages = std::iter::once((Which::First, "First answer"))
                        .chain(GROUPS.iter().map(|g| (Which::Group(g), g.title)));
                    @for (which, title) in pages {
                        @let there = which.at(self.job, self.room);
                        li { a href=(there) aria-current=[(there == at).then_some("page")] { (title) } }
                    }
                    li { a href={ (job_href(self.job)) "/site" } { "Site: what the rooms share" } }
                }
            }
            p { a href=(text_href) { "The file as text" } }
        };
        let title = match filled.is_wrong() {
            true => format!("Error: {}", self.which.title()),
            false => self.which.title().to_owned(),
        };
        page(
            &Page {
                title,
                place: match self.which {
                    Which::Site => Place::Job { job: self.job },
                    _ => Place::Room {
                        job: self.job,
                        room: self.room,
                        sheet: "survey",
                        stamp: "",
                    },
                },
                session: self.session,
                scripts: &["survey.js"],
            },
            &body,
        )
    }

    /// All entries of a section; those that repeat can be added and taken out.
    fn section(
        &self,
        file: &SurveyFile,
        key: &str,
        filled: &Filled,
        units: UnitSystem,
        at: &str,
    ) -> Markup {
        let Some(section) = file.format.section(key) else {
            return html! {};
        };
        let shown = count_shown(section, filled);
        let many = section.repeat == Repeat::Many;
        let is_wrong = filled
            .errors
            .keys()
            .any(|n| parts_of(n).is_some_and(|(s, ..)| s == key));
        let is_filled = filled
            .texts
            .iter()
            .any(|(n, t)| !t.is_empty() && parts_of(n).is_some_and(|(s, ..)| s == key));
        html! {
            details.section id=(key) open[is_wrong || is_filled || filled.texts.contains_key(&format!("+{key}"))] {
                summary { h2 { (section.title) @if many { " (" (shown) ")" } } }
                p { (section.help) }
                @for nth in 0..shown {
                    fieldset.entry {
                        @if many { legend { (section.title) " " (nth + 1) } }
                        div.inputs {
                            @for field in section.fields { (input(section, nth, field, filled, units)) }
                        }
                        @if many || (section.repeat == Repeat::Optional && is_filled) {
                            div.acts {
                                button.grave name="remove" value={ (key) "|" (nth) } {
                                    "Save, and take this out"
                                }
                                @if many { a.button href={ (at) "?add=" (key) "&like=" (nth) "#" (key) } { "Copy" } }
                            }
                        }
                    }
                }
                @if many { p { a.button href={ (at) "?add=" (key) "#" (key) } { "Add one" } } }
            }
        }
    }
}

/// How many entries of a section a form shows: what stands there, what was
/// typed, and one for a section that can stand once only.
fn count_shown(section: &Section, filled: &Filled) -> usize {
    let typed = filled
        .texts
        .keys()
        .chain(filled.errors.keys())
        .filter_map(|n| parts_of(n))
        .filter(|(s, ..)| *s == section.key)
        .map(|(_, nth, _)| nth + 1)
        .max()
        .unwrap_or(0);
    let added = filled
        .texts
        .get(&format!("+{}", section.key))
        .and_then(|n| n.parse::<usize>().ok())
        .map_or(0, |n| n + 1);
    let least = usize::from(section.repeat != Repeat::Many);
    typed.max(added).max(least)
}

fn first_fields(file: &SurveyFile, filled: &Filled, units: UnitSystem) -> Markup {
    let of = |(section, key): (&str, &str)| -> Option<(&'static Section, &'static Field)> {
        let section = file.format.section(section)?;
        let field = section.fields.iter().find(|f| f.key == key)?;
        Some((section, field))
    };
    html! {
        div.inputs {
            @for (section, field) in FIRST.into_iter().filter_map(of) {
                (input(section, 0, field, filled, units))
            }
        }
    }
}

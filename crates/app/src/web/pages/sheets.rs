//! Sheets that are shown as they are printed: load, units, day, hanging,
//! drain, power, control. On the first three a change can be tried.

use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Router};
use job::Effort;
use maud::{Markup, Render, html};
use quantity::{UnitSystem, Working};
use sheet::charts::Hours;
use sheet::dossier::beside::Figures;
use sheet::{Block, dossier, sheets};

use super::tried::{self, Asked, Trying};
use crate::web::answers::Answer;
use crate::web::app::App;
use crate::web::drawn::Content;
use crate::web::gate::Session;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::blocks::sheet;
use crate::web::view::layout::{Page, Place, page, sheet_href};
use crate::web::view::zoom;
use crate::web::work::{busy, texts};

pub(super) fn routes() -> Router<Arc<App>> {
    let mut router = Router::new();
    for sheet in SHEETS {
        let handler = move |State(app): State<Arc<App>>,
                            Extension(visitor): Extension<Visitor>,
                            Path((job, room)): Path<(String, String)>,
                            Query(asked): Query<Asked>| {
            busy(move || {
                let at = At {
                    app: &app,
                    session: &visitor.session,
                    job: &job,
                    room: &room,
                    sheet,
                    part: zoom::asked(asked.iter().map(|(k, v)| (k.as_str(), v.as_str()))),
                };
                match sheet.tried {
                    Some(figures) => at.with_trial(figures, &asked),
                    None => at.saved(),
                }
            })
        };
        let path = format!("/jobs/{{job}}/rooms/{{room}}/{}", sheet.word);
        router = router.route(&path, get(handler));
    }
    router
}

/// One kind of sheet.
struct Sheet {
    /// Its word in the address.
    word: &'static str,
    /// Its name.
    name: &'static str,
    /// Its blocks.
    blocks: fn(&Answer, Option<Hours>, UnitSystem) -> Vec<Block>,
    /// How its numbers came about.
    workings: fn(&Answer) -> Vec<Working>,
    /// The figures that stand beside the saved ones when a change is tried.
    tried: Option<Figures>,
}

const SHEETS: &[Sheet] = &[
    Sheet {
        word: "load",
        name: "Load",
        blocks: |a, part, units| dossier::loads::blocks(&a.project.room, &a.design, part, units),
        workings: |a| a.design.load.workings.clone(),
        tried: Some(Figures::Load),
    },
    Sheet {
        word: "units",
        name: "Units",
        blocks: |a, _, _| dossier::selection::blocks(&a.project.room, &a.design),
        workings: |a| a.design.selection.workings.clone(),
        tried: Some(Figures::Units),
    },
    Sheet {
        word: "day",
        name: "Day",
        blocks: |a, part, units| dossier::day::blocks(&a.project.room, &a.design, part, units),
        workings: |a| job::day::workings(&a.project.room, &a.design.day),
        tried: Some(Figures::Day),
    },
    Sheet {
        word: "hanging",
        name: "Hanging",
        blocks: |a, _, units| {
            let (p, d) = (&a.project, &a.design);
            sheets::hanging::blocks(&p.room, &p.catalog, &d.placement, &d.hanging, units)
        },
        workings: |a| a.design.hanging.workings.clone(),
        tried: None,
    },
    Sheet {
        word: "drain",
        name: "Drain",
        blocks: |a, _, units| {
            let (p, d) = (&a.project, &a.design);
            sheets::drain::blocks(&p.room, &p.catalog, &d.placement, &d.drain, units)
        },
        workings: |a| a.design.drain.workings.clone(),
        tried: None,
    },
    Sheet {
        word: "power",
        name: "Power",
        blocks: |a, _, units| {
            let (p, d) = (&a.project, &a.design);
            let fed = (&d.power, &d.control);
            sheets::power::blocks(&p.room, &p.catalog, &d.placement, fed, units)
        },
        workings: |a| a.design.power.workings.clone(),
        tried: None,
    },
    Sheet {
        word: "control",
        name: "Control",
        blocks: |a, _, _| sheets::control::blocks(&a.design.control),
        workings: |a| a.design.control.workings.clone(),
        tried: None,
    },
];

/// Sheets on which the full run says more than a first look.
const FULLER: [&str; 2] = ["units", "day"];

/// A sheet of a room and who looks at it.
struct At<'a> {
    app: &'a App,
    session: &'a Session,
    job: &'a str,
    room: &'a str,
    sheet: &'static Sheet,
    /// The part of the time that its charts show.
    part: Option<Hours>,
}

impl At<'_> {
    fn saved(&self) -> Result<Response, Refused> {
        let path = self.app.jobs.job(self.job)?.room_file(self.room)?;
        let answer = self.app.answers.best(texts(&path)?)?;
        let content = self.content(&answer, "", answer.units(self.session))?;
        Ok(self.page(&answer, &content).into_response())
    }

    fn with_trial(&self, figures: Figures, asked: &Asked) -> Result<Response, Refused> {
        let trying = Trying::new(self.app, self.job, self.room, asked)?;
        let at = sheet_href(self.job, self.room, self.sheet.word);
        if trying.is_wordy {
            let clean = format!("{at}{}", trying.trial.query());
            return Ok(Redirect::to(&clean).into_response());
        }
        let units = trying.saved.units(self.session);
        let place = (self.job, self.room, self.sheet.word);
        let sheet = self.content(trying.shown(), &trying.trial.query(), units)?;
        let content = html! {
            (tried::form(&trying, &at))
            div #answer {
                @if let Some(tried) = &trying.tried {
                    (tried::panel(&trying, tried, place, &[figures], units))
                    h2 { "The sheet as tried" }
                }
                (sheet)
            }
        };
        let page = self.page(trying.shown(), &content);
        Ok(match trying.filled.is_wrong() {
            true => (StatusCode::UNPROCESSABLE_ENTITY, page).into_response(),
            false => page.into_response(),
        })
    }

    /// `query` is the rest of the address.
    fn content(
        &self,
        answer: &Arc<Answer>,
        query: &str,
        units: UnitSystem,
    ) -> Result<Content, Refused> {
        let what = format!("{} {:?} {query}", self.sheet.word, self.part);
        self.app.drawn.of(answer, &what, units, || {
            let blocks = (self.sheet.blocks)(answer, self.part, units);
            let workings = (self.sheet.workings)(answer);
            Ok(sheet(blocks, workings, Some(query), units))
        })
    }

    fn page(&self, answer: &Answer, content: &impl Render) -> Markup {
        let scripts: &[&str] = match self.sheet.tried {
            Some(_) => &["chart.js", "try.js"],
            None => &["chart.js"],
        };
        page(
            &Page {
                title: self.sheet.name.into(),
                place: Place::Room {
                    job: self.job,
                    room: self.room,
                    sheet: self.sheet.word,
                    stamp: &answer.stamp(),
                },
                session: self.session,
                scripts,
            },
            &html! {
                h1 { (self.sheet.name) }
                @if answer.design.effort == Effort::Preview && FULLER.contains(&self.sheet.word) {
                    p.remark {
                        "This is a first look. "
                        a href=(sheet_href(self.job, self.room, "dossier")) { "Run it in full" }
                    }
                }
                (content)
            },
        )
    }
}

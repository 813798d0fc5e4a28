//! The start-up for one thumb: units, their steps, what is recorded of them.
//!
//! Every action is a plain form; the script queues them where nothing can be
//! reached, shows timers and photos.

mod act;
mod overview;
mod photo;
mod sign;
mod step;
mod unit;

use std::collections::VecDeque;
use std::path::{Path as FilePath, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::HeaderMap;
use axum::routing::{get, post};
use maud::Markup;
use percent_encoding::percent_decode_str;
use quantity::UnitSystem;

use super::share::reached_at;
use crate::project::Project;
use crate::record::{LARGEST_PHOTO, Store};
use crate::startup::kept::as_kept;
use crate::startup::{Stands, Start};
use crate::web::app::App;
use crate::web::gate::{Session, cookie};
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::store::{JobFolder, Name};
use crate::web::view::layout::{Page, Place, encoded, page, sheet_href};
use crate::web::work::{busy, read_project};

pub(super) fn routes() -> Router<Arc<App>> {
    let at = |more: &str| format!("/jobs/{{job}}/rooms/{{room}}/startup{more}");
    Router::new()
        .route(&at(""), get(overview::show))
        .route(&at("/who"), post(act::who))
        .route(&at("/close"), post(act::close))
        .route(&at("/units/{unit}"), get(unit::show))
        .route(&at("/units/{unit}/act"), post(act::act))
        .route(
            &at("/units/{unit}/photo"),
            post(photo::take).layer(DefaultBodyLimit::max(LARGEST_PHOTO + 64 * 1024)),
        )
        .route(&at("/photos/{hash}"), get(photo::show))
        .route(&at("/sign"), get(sign::show).post(sign::take))
        .route(&at("/handover.pdf"), get(sign::handover))
        .route(&at("/card.pdf"), get(sign::card))
        .route(&at("/labels.pdf"), get(sign::labels))
        .route("/DW/{design}/{room}/{tag}", get(unit::by_label))
}

/// The word that stands for the steps of the whole room in an address.
const WHOLE_ROOM: &str = "whole-room";

/// Steps made of room files, the latest asked last.
#[derive(Default)]
pub(crate) struct Starts(Mutex<VecDeque<Arc<Start>>>);

impl Starts {
    /// Steps kept; older ones go.
    const KEPT: usize = 8;

    fn of(&self, project: Project) -> Result<Arc<Start>, Refused> {
        let inputs = project.inputs(&project.codes_in_play());
        let is_it = |s: &Arc<Start>| s.inputs == inputs && s.project.path == project.path;
        let lock = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(start) = lock().iter().find(|s| is_it(s)) {
            return Ok(start.clone());
        }
        let start = Arc::new(Start::of(project).map_err(|e| Refused::Job(format!("{e:#}")))?);
        let mut kept = lock();
        kept.push_back(start.clone());
        while Self::KEPT < kept.len() {
            kept.pop_front();
        }
        Ok(start)
    }
}

/// A start-up as somebody looks at it.
struct Scene {
    job: String,
    room: String,
    start: Arc<Start>,
    store: Store,
    stands: Stands,
    units: UnitSystem,
    /// Who looks, as they said; empty before.
    person: String,
    /// Why the files could not be read, where it goes on by the record.
    kept_since: Option<String>,
    /// Where phones reach these pages, while they are shared.
    server: Option<String>,
}

/// The file of a room, also where it is gone and only the record tells of the
/// room.
fn room_file(folder: &JobFolder, room: &str) -> Result<PathBuf, Refused> {
    let gone = match folder.room_file(room) {
        Ok(file) => return Ok(file),
        Err(gone) => gone,
    };
    let Ok(name) = Name::new(room) else {
        return Err(gone);
    };
    let told = Store::of(folder.path()).read()?;
    if told.events.iter().any(|e| e.room == name.as_str()) {
        Ok(folder.new_room_file(&name))
    } else {
        Err(gone)
    }
}

/// A room as its files stand, else as the record keeps it, and why.
fn at_hand(file: &FilePath) -> Result<(Project, Option<String>), Refused> {
    let refused = match read_project(file) {
        Ok(project) => return Ok((project, None)),
        Err(refused) => refused,
    };
    let why = match &refused {
        Refused::Problems(all) => all
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("; "),
        Refused::Disk(error) => format!("{error:#}"),
        _ => return Err(refused),
    };
    match as_kept(file) {
        Ok(Some(project)) => Ok((project, Some(why))),
        _ => Err(refused),
    }
}

impl Scene {
    /// The start-up of a room as its files and its record stand.
    async fn of(
        app: &Arc<App>,
        visitor: &Visitor,
        headers: &HeaderMap,
        (job, room): (String, String),
    ) -> Result<Self, Refused> {
        let folder = app.jobs.job(&job)?;
        let server = reached_at(app);
        let app = app.clone();
        let session = visitor.session.clone();
        let person = person(headers);
        busy(move || {
            let (project, kept_since) = at_hand(&room_file(&folder, &room)?)?;
            let start = app.starts.of(project)?;
            let store = start.store();
            let stands = start.standing(&store)?;
            let units = session.units_or(start.project.room.site.display.value);
            Ok(Self {
                job,
                room,
                start,
                store,
                stands,
                units,
                person,
                kept_since,
                server,
            })
        })
        .await
    }

    fn href(&self, more: &str) -> String {
        format!("{}{more}", sheet_href(&self.job, &self.room, "startup"))
    }

    fn unit_href(&self, unit: Option<&str>) -> String {
        self.href(&format!(
            "/units/{}",
            unit.map_or(WHOLE_ROOM.into(), encoded)
        ))
    }

    /// A page of this start-up, with the script that it has beside the one of
    /// every page.
    fn page(&self, session: &Session, title: String, script: &str, body: &Markup) -> Markup {
        page(
            &Page {
                title,
                place: Place::Room {
                    job: &self.job,
                    room: &self.room,
                    sheet: "startup",
                    stamp: self.start.plan.design_id.get(..8).unwrap_or_default(),
                },
                session,
                scripts: &[script],
            },
            body,
        )
    }
}

/// Name of the cookie that says who a visitor is.
const WHO: &str = "drywright-who";

/// Who a visitor said to be; empty if they did not.
fn person(headers: &HeaderMap) -> String {
    cookie::named(headers, WHO)
        .next()
        .map(decoded)
        .unwrap_or_default()
}

/// What [`encoded`] made, back as it was.
fn decoded(text: &str) -> String {
    percent_decode_str(text).decode_utf8_lossy().into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_survive_a_cookie() {
        for name in ["A. Example", "Zoë; \"x\"=%41", "%", "100 %", "é"] {
            assert_eq!(decoded(&encoded(name)), name);
        }
        assert_eq!(decoded("%zz%4"), "%zz%4");
    }
}

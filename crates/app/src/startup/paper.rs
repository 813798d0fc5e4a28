//! The papers of a hand-over, from what is recorded.

use std::collections::BTreeMap;

use job::record::{Body, Hash};
use job::startup::Built;
use quantity::UnitSystem;
use sheet::dossier::title_of_site;
use sheet::numbers;
use sheet::report::{Photo, Report, TitleBlock};
use sheet::sheets::handover::{self, HandOver};
use sheet::sheets::labels;

use super::{Stands, Start};
use crate::commands::start::{doubts, faults};
use crate::record::{Read, Store, day_words, time_words};

/// What the papers are made from.
pub(crate) struct Paperwork<'a> {
    /// The room and its steps.
    pub(crate) start: &'a Start,
    /// The record.
    pub(crate) store: &'a Store,
    /// Where the start-up stands.
    pub(crate) stands: &'a Stands,
    /// The record looked through.
    pub(crate) read: &'a Read,
    /// Units of the reader.
    pub(crate) units: UnitSystem,
    /// Why the files could not be read, where the room is the record's.
    pub(crate) kept_since: Option<&'a str>,
}

impl Paperwork<'_> {
    /// What stands on every sheet.
    pub(crate) fn title(start: &Start, units: UnitSystem) -> TitleBlock {
        let mut title = TitleBlock {
            room: start.project.room.name.value.clone(),
            design_id: start.plan.design_id.clone(),
            ..title_of_site(&start.project.room.site, units)
        };
        if title.job.is_empty() {
            // Where no file names the job, its folder does.
            let folder = start.project.folder();
            let folder = folder.canonicalize().unwrap_or(folder);
            let name = folder.file_name().unwrap_or_default();
            title.job = name.to_string_lossy().into_owned();
        }
        title
    }

    /// The same on what the record tells: of the day of its last entry.
    fn title_by_record(&self) -> TitleBlock {
        let mut title = Self::title(self.start, self.units);
        if let Some(last) = self.stands.events.last() {
            title.date = format!("{} UTC", day_words(last.at.utc_ms, 0));
        }
        title
    }

    /// The hand-over.
    pub(crate) fn handover(&self) -> Report {
        handover::report(&self.all())
    }

    /// The card for the wall.
    pub(crate) fn card(&self) -> Report {
        handover::card(&self.all())
    }

    /// Labels whose codes hold the address at which the jobs are served.
    pub(crate) fn labels(&self, server: &str) -> Report {
        let start = self.start;
        let mut report = Report::new(TitleBlock {
            sheet_prefix: numbers::LABELS.into(),
            ..Self::title(start, self.units)
        });
        report.blocks = labels::blocks(
            &report.meta,
            &start.project.catalog,
            &start.placement,
            self.units,
            server,
        );
        report
    }

    fn all(&self) -> HandOver<'_> {
        let start = self.start;
        HandOver {
            title: self.title_by_record(),
            room: &start.project.room,
            built: Built {
                design_id: &start.plan.design_id,
                placement: &start.placement,
                hanging: &start.hanging,
                drain: &start.drain,
                power: &start.power,
                control: &start.control,
            },
            plan: &start.plan,
            state: &self.stands.state,
            events: &self.stands.events,
            chain_hash: self.read.report.chain_hash(),
            faults: faults(self.read),
            doubts: doubts(self.read),
            from_record: self.kept_since.is_some(),
            photos: self.photos(),
            when: &time_words,
            day: &day_words,
        }
    }

    /// What a photo is of: unit and step in words, and what was said to it.
    fn caption(&self, photo: &job::record::Photo) -> String {
        let step = photo.step.as_deref().map(|id| {
            let step = self.start.plan.step(id);
            step.map_or_else(|| id.to_owned(), |s| s.title.show(self.units))
        });
        let parts = [photo.unit.clone(), step, photo.caption.clone()];
        parts.into_iter().flatten().collect::<Vec<_>>().join(": ")
    }

    /// Photos that are there, as they were kept.
    fn photos(&self) -> BTreeMap<Hash, Photo> {
        let of = |body: &Body| match body {
            Body::Photo(photo) => {
                let jpeg = self.store.photo(&photo.hash)?;
                let caption = self.caption(photo);
                let shown = Photo::new(jpeg, photo.width, photo.height, caption);
                Some((photo.hash, shown))
            }
            _ => None,
        };
        self.stands
            .events
            .iter()
            .filter_map(|e| of(&e.body))
            .collect()
    }
}

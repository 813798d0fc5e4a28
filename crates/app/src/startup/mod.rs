//! A start-up on the disk: a room's plan of steps beside what is recorded of
//! it. Command line and pages are two faces of this.

mod enter;
pub(crate) mod kept;
mod paper;

use job::placement::Placement;
use job::record::{Body, Correction, Event, Hash};
use job::startup::{Built, Plan, State, UnitLeftOut, plan, state, to_record_first};
use job::{Control, Drain, Hanging, Inputs, Power, control, drain, hanging, power};

pub(crate) use enter::{
    Fault, Form, Whole, each_by_option, entered, read_before, says, typed_again,
};
pub(crate) use paper::Paperwork;

use crate::project::Project;
use crate::record::{Appended, Read, RecordError, Request, Store, now};

/// What is started up: a room as its files stand, and the steps for it.
pub(crate) struct Start {
    /// The files.
    pub(crate) project: Project,
    /// Their texts.
    pub(crate) inputs: Inputs,
    /// Where units are.
    pub(crate) placement: Placement,
    /// How they are carried.
    pub(crate) hanging: Hanging,
    /// Where their water goes.
    pub(crate) drain: Drain,
    /// What feeds them.
    pub(crate) power: Power,
    /// What tells them to run.
    pub(crate) control: Control,
    /// The steps.
    pub(crate) plan: Plan,
}

impl Start {
    /// The steps for a room as its files stand.
    pub(crate) fn of(project: Project) -> anyhow::Result<Self> {
        let inputs = project.inputs(&project.codes_in_play());
        let placement = crate::commands::placed(&project)?;
        let (room, catalog) = (&project.room, &project.catalog);
        let design_id = job::design_id(&inputs);
        let hanging = hanging::hang(room, catalog, &placement)?;
        let drain = drain::route(room, catalog, &placement)?;
        let power = power::feed(room, catalog, &placement)?;
        let control = control::wire(room, catalog, &placement)?;
        let plan = plan(
            room,
            catalog,
            Built {
                design_id: &design_id,
                placement: &placement,
                hanging: &hanging,
                drain: &drain,
                power: &power,
                control: &control,
            },
        )?;
        Ok(Self {
            inputs,
            placement,
            hanging,
            drain,
            power,
            control,
            plan,
            project,
        })
    }

    /// The record of the job that the room belongs to.
    pub(crate) fn store(&self) -> Store {
        Store::of(&self.project.folder())
    }

    /// What is recorded, and where the start-up stands by it.
    pub(crate) fn standing(&self, store: &Store) -> Result<Stands, RecordError> {
        let read = store.read()?;
        let events = self.own(&read);
        let state = state(&self.plan, &events, &now());
        Ok(Stands {
            read,
            events,
            state,
        })
    }

    /// Events of this room. What was altered counts no more.
    fn own(&self, read: &Read) -> Vec<Event> {
        let room = self.project.stem();
        let own = |e: &&Event| e.room == room && e.is_intact();
        read.events.iter().filter(own).cloned().collect()
    }

    /// Records what happened, the start or a change of the files first.
    pub(crate) fn record(
        &self,
        store: &Store,
        who: (&str, Option<&str>),
        what: impl IntoIterator<Item = Body>,
        request: Option<&Request>,
    ) -> Result<Appended, RecordError> {
        let events = self.own(&store.read()?);
        let bodies = to_record_first(&events, &self.inputs)
            .into_iter()
            .chain(what)
            .collect();
        store.append(&self.project.stem(), who, bodies, request)
    }
}

/// What takes a unit up again that was left out as a whole: everything that
/// says so is withdrawn.
pub(crate) fn taken_up(left_out: &UnitLeftOut, reason: &str) -> Vec<Body> {
    let withdrawn = |of: &Hash| {
        Body::Correction(Box::new(Correction {
            of: *of,
            reason: reason.to_owned(),
            instead: None,
        }))
    };
    left_out.events.iter().map(withdrawn).collect()
}

/// Where a start-up stands.
pub(crate) struct Stands {
    /// The whole record.
    pub(crate) read: Read,
    /// Events of this room.
    pub(crate) events: Vec<Event>,
    /// Its steps.
    pub(crate) state: State,
}

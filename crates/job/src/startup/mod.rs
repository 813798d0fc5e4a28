//! Step: starting the plant up, in an order that does no harm.
//!
//! [`plan`] makes the steps that this design and the records of its machines
//! call for; [`state`] says, from the events recorded so far, which are open,
//! waiting, done or failed. What a step must show is judged by
//! [`crate::acceptance`].

mod accept;
pub(crate) mod ask;
mod hazards;
mod instruments;
mod state;
mod step;
mod steps;

use equipment::Catalog;
use room::Room;

use crate::control::Control;
use crate::design::Design;
use crate::drain::Drain;
use crate::error::JobError;
use crate::hanging::Hanging;
use crate::placement::Placement;
use crate::power::Power;

pub use accept::{Acceptance, Entered, Machine, Taken, WantedSetpoint, judge};
pub use ask::{Asks, Doubt, Entry, IfNot, Must, NotTaken, Often, Quantity, YES};
pub use hazards::{Hazard, HazardKind, SOURCE as HAZARD_SOURCE};
pub use instruments::Instrument;
pub use state::{
    Attempt, BasisIs, Standing, State, StepState, Tally, UnitLeftOut, With, started_against, state,
    to_record_first,
};
pub use step::{Kind, Step, Wait, WaitFrom};

/// What is to be started up: the steps of a design that was built.
#[derive(Clone, Copy, Debug)]
pub struct Built<'a> {
    /// Id of the design.
    pub design_id: &'a str,
    /// Where units are.
    pub placement: &'a Placement,
    /// How they are carried.
    pub hanging: &'a Hanging,
    /// Where their water goes.
    pub drain: &'a Drain,
    /// What feeds them.
    pub power: &'a Power,
    /// What tells them to run.
    pub control: &'a Control,
}

impl<'a> From<&'a Design> for Built<'a> {
    fn from(design: &'a Design) -> Self {
        Self {
            design_id: &design.id,
            placement: &design.placement,
            hanging: &design.hanging,
            drain: &design.drain,
            power: &design.power,
            control: &design.control,
        }
    }
}

/// The steps of a start-up, each after those that it needs.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// Id of the design that it was made from.
    pub design_id: String,
    /// Steps: unit by unit, then those of the whole room.
    pub steps: Vec<Step>,
}

impl Plan {
    /// A step by its id.
    pub fn step(&self, id: &str) -> Option<&Step> {
        self.steps.iter().find(|s| s.id == id)
    }

    /// Tags of units in the order of the plan; `None`, the whole room, last.
    pub fn units(&self) -> Vec<Option<&str>> {
        let mut all: Vec<Option<&str>> = Vec::new();
        for step in &self.steps {
            let unit = step.unit.as_deref();
            if !all.contains(&unit) {
                all.push(unit);
            }
        }
        all.sort_by_key(Option::is_none);
        all
    }

    /// The steps of a unit.
    pub fn of_unit<'a>(&'a self, tag: &'a str) -> impl Iterator<Item = &'a Step> {
        self.steps
            .iter()
            .filter(move |s| s.unit.as_deref() == Some(tag))
    }
}

/// The steps that a design calls for.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn plan(room: &Room, catalog: &Catalog, built: Built<'_>) -> Result<Plan, JobError> {
    Ok(Plan {
        design_id: built.design_id.to_owned(),
        steps: steps::all(room, catalog, built)?,
    })
}

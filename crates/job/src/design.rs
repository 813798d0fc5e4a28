//! The trunk: one room through the steps, each reading only earlier ones.

use std::fmt::Write as _;

use equipment::Catalog;
use quantity::{Finding, Severity};
use room::Room;
use sha2::{Digest, Sha256};

use crate::control::{self, Control};
use crate::day::{self, BeforePlaces, Day};
use crate::drain::{self, Drain};
use crate::error::JobError;
use crate::hanging::{self, Hanging};
use crate::load::{self, Load};
use crate::parts::Part;
use crate::placement::{self, Placement};
use crate::power::{self, Power};
use crate::progress::{Effort, Progress};
use crate::selection::{self, Selection};
use crate::survey;

/// What a design was made from, as text: it is whole when zipped and handed on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Inputs {
    /// Text of the site file, if there is one.
    pub site: Option<String>,
    /// Text of the room file.
    pub room: String,
    /// Texts of the machine files used, by file name and in order.
    pub machines: Vec<(String, String)>,
}

/// A room designed.
#[derive(Clone, Debug)]
pub struct Design {
    /// Hash of the inputs: stale paper is told from fresh by it.
    pub id: String,
    /// How thoroughly it was worked out: a first look may choose otherwise than
    /// the full run of the same inputs.
    pub effort: Effort,
    /// Judgements of the survey itself.
    pub survey: Vec<Finding>,
    /// Water and heat.
    pub load: Load,
    /// Which units.
    pub selection: Selection,
    /// Where they go.
    pub placement: Placement,
    /// The day with them, where they are.
    pub day: Day,
    /// How they are carried.
    pub hanging: Hanging,
    /// Where their water goes.
    pub drain: Drain,
    /// What feeds them.
    pub power: Power,
    /// What tells them to run.
    pub control: Control,
}

impl Design {
    /// Findings of all steps, worst first, else in the order of the steps.
    pub fn findings(&self) -> Vec<&Finding> {
        let mut all: Vec<&Finding> = self
            .survey
            .iter()
            .chain(&self.load.findings)
            .chain(&self.selection.findings)
            .chain(&self.placement.findings)
            .chain(&self.day.findings)
            .chain(&self.hanging.findings)
            .chain(&self.drain.findings)
            .chain(&self.power.findings)
            .chain(&self.control.findings)
            .collect();
        all.sort_by_key(|f| std::cmp::Reverse(f.severity));
        all
    }

    /// What to buy, step by step.
    pub fn parts(&self) -> impl Iterator<Item = &Part> {
        self.hanging
            .parts
            .iter()
            .chain(&self.drain.parts)
            .chain(&self.power.parts)
            .chain(&self.control.parts)
    }

    /// Whether any finding says stop.
    pub fn stops(&self) -> bool {
        self.findings().iter().any(|f| f.severity == Severity::Stop)
    }
}

/// Designs one room.
///
/// # Errors
/// The room and the catalogue do not go together, the room cannot be run, or
/// the watcher said stop.
pub fn design(
    room: &Room,
    catalog: &Catalog,
    inputs: &Inputs,
    effort: Effort,
    progress: &dyn Progress,
) -> Result<Design, JobError> {
    progress.at("loads", 0, 1)?;
    let load = load::hourly(room, effort)?;
    let selection = selection::choose(room, &load, catalog, effort, progress)?;
    let set = selection.design_set();
    progress.at("places", 0, 1)?;
    let placement = placement::place(room, catalog, &set)?;
    progress.at("the day", 0, 1)?;
    let before = BeforePlaces::of(room, &selection);
    let day = day::prove_placed(room, &load, catalog, (&set, &placement), before)?;
    progress.at("the day", 1, 1)?;
    Ok(Design {
        id: design_id(inputs),
        effort,
        survey: survey::findings(room),
        load,
        selection,
        hanging: hanging::hang(room, catalog, &placement)?,
        drain: drain::route(room, catalog, &placement)?,
        power: power::feed(room, catalog, &placement)?,
        control: control::wire(room, catalog, &placement)?,
        placement,
        day,
    })
}

/// SHA-256 of the inputs as hexadecimal; each part is told apart by its length.
pub fn design_id(inputs: &Inputs) -> String {
    let mut hash = Sha256::new();
    let mut add = |text: &str| {
        hash.update((text.len() as u64).to_le_bytes());
        hash.update(text.as_bytes());
    };
    add(inputs.site.as_deref().unwrap_or(""));
    add(&inputs.room);
    for (name, text) in &inputs.machines {
        add(name);
        add(text);
    }
    hash.finalize().iter().fold(String::new(), |mut hex, byte| {
        // Writing to a String cannot fail.
        let _ = write!(hex, "{byte:02x}");
        hex
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn id_changes_with_each_part_and_with_nothing_else() {
        let inputs = Inputs {
            site: None,
            room: "a".into(),
            machines: vec![("m".into(), "b".into())],
        };
        let same = inputs.clone();
        assert_eq!(design_id(&inputs), design_id(&same));
        assert_eq!(design_id(&inputs).len(), 64);
        for changed in [
            Inputs {
                site: Some("s".into()),
                ..inputs.clone()
            },
            Inputs {
                room: "ab".into(),
                ..inputs.clone()
            },
            Inputs {
                machines: vec![("mb".into(), String::new())],
                ..inputs.clone()
            },
        ] {
            assert_ne!(design_id(&inputs), design_id(&changed));
        }
    }
}

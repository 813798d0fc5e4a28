//! What an event says.

use std::collections::BTreeMap;

use quantity::Value;
use serde::{Deserialize, Serialize};

use super::hash::Hash;
use super::report::Head;
use crate::design::{Inputs, design_id};

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Body {
    /// A start-up began against this design.
    Started(Basis),
    /// A file that the design is made from has changed since; both are kept.
    RoomChanged(Basis),
    /// A step was done.
    StepDone(StepDone),
    /// Readings of a step that goes on.
    Measured(Measured),
    /// A step was left out.
    StepSkipped(StepSkipped),
    /// A unit was left out as a whole.
    UnitSkipped(UnitSkipped),
    /// Something said before was wrong.
    Correction(Box<Correction>),
    /// A waiting time began; its instant is that of the event.
    TimerStarted(TimerStarted),
    /// Something worth writing down.
    Note(Note),
    /// A photo was kept.
    Photo(Photo),
    /// A finding was put right, or accepted.
    FindingClosed(FindingClosed),
    /// Somebody signed.
    Signed(Signed),
    /// A fault was looked for, and perhaps mended.
    Fault(FaultEntry),
}

/// The design that events refer to, with the texts that it was made from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Basis {
    /// Its id, [`design_id`] of the texts.
    pub design_id: String,
    /// Text of the site file, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<String>,
    /// Text of the room file.
    pub room: String,
    /// Texts of the machine files used, in order.
    pub machines: Vec<MachineText>,
}

/// A machine file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MachineText {
    /// File name.
    pub name: String,
    /// Text.
    pub text: String,
}

impl Basis {
    /// The basis that these inputs are.
    pub fn of(inputs: &Inputs) -> Self {
        Self {
            design_id: design_id(inputs),
            site: inputs.site.clone(),
            room: inputs.room.clone(),
            machines: inputs
                .machines
                .iter()
                .map(|(name, text)| MachineText {
                    name: name.clone(),
                    text: text.clone(),
                })
                .collect(),
        }
    }

    /// The inputs, for designing again.
    pub fn inputs(&self) -> Inputs {
        Inputs {
            site: self.site.clone(),
            room: self.room.clone(),
            machines: self
                .machines
                .iter()
                .map(|m| (m.name.clone(), m.text.clone()))
                .collect(),
        }
    }
}

/// One number read off an instrument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// What was asked for: the id of the entry of the step.
    pub entry: String,
    /// The number.
    pub value: Value,
    /// The text as it was typed, if it was typed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub typed: Option<String>,
    /// What it was read off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instrument: Option<String>,
    /// Its standard uncertainty, in the SI unit of the value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub standard_uncertainty: Option<f64>,
}

/// An answer to a question of a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// The id of the entry of the step.
    pub entry: String,
    /// What was answered: "yes", "no", or one of the entry's words.
    pub said: String,
}

/// A step was done.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepDone {
    /// Tag of the unit; `None`: the step is the whole room's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Id of the step.
    pub step: String,
    /// What was read.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub readings: Vec<Reading>,
    /// What was answered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub answers: Vec<Answer>,
    /// A remark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Photos, by the hash of what is kept of them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub photos: Vec<Hash>,
}

/// Readings of a step that goes on: air at intervals, water in the jug.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Tag of the unit; `None`: the step is the whole room's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Id of the step.
    pub step: String,
    /// What was read.
    pub readings: Vec<Reading>,
    /// A remark.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

/// A step was left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct StepSkipped {
    /// Tag of the unit; `None`: the step is the whole room's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Id of the step.
    pub step: String,
    /// Why; the hand-over shows it.
    pub reason: String,
}

/// A unit was left out as a whole: each of its steps that nothing is recorded
/// of, whenever that is merged in. Corrected away, it is taken up again.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitSkipped {
    /// Tag of the unit.
    pub unit: String,
    /// Why; the hand-over shows it.
    pub reason: String,
}

/// Something said before was wrong. Both stay in the record.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Correction {
    /// Hash of the event that was wrong; of a correction, to correct it again.
    pub of: Hash,
    /// Why.
    pub reason: String,
    /// What holds in its place; `None`: it never was so.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub instead: Option<Body>,
}

/// A waiting time began.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct TimerStarted {
    /// Tag of the unit; `None`: the step is the whole room's.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Id of the step.
    pub step: String,
    /// How long it lasts \[ms\].
    pub lasts_ms: u64,
}

/// Something worth writing down.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Note {
    /// Tag of the unit, if it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Id of the step, if it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// The words.
    pub text: String,
}

/// A photo that is kept beside the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// Tag of the unit, if it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// Id of the step, if it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<String>,
    /// Hash of the bytes that are kept.
    pub hash: Hash,
    /// How many bytes.
    pub bytes: u64,
    /// Width in dots.
    pub width: u32,
    /// Height in dots.
    pub height: u32,
    /// Words to it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub caption: Option<String>,
}

/// A finding was put right, or accepted as it is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FindingClosed {
    /// Name of its check.
    pub check: String,
    /// What it was about.
    pub place: String,
    /// What was done about it, or why it is accepted.
    pub how: String,
}

/// For whom somebody signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SignedBy {
    /// Who started the plant up.
    Installer,
    /// Who takes it over.
    Customer,
}

/// A signature as it was given.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Signature {
    /// Strokes drawn on a screen, each a row of points in thousandths of the
    /// field's width, x to the right and y down.
    Drawn(Vec<Vec<[i32; 2]>>),
    /// On the printed sheet.
    OnPaper,
}

/// Somebody signed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Signed {
    /// For whom.
    pub by: SignedBy,
    /// Name of who signed.
    pub name: String,
    /// The signature.
    pub signature: Signature,
    /// The last event of each device that was signed, by device id: what is
    /// lost after signing is seen by it.
    pub heads: BTreeMap<String, Head>,
}

/// A fault was looked for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FaultEntry {
    /// Tag of the unit, if it is about one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// What was seen, by the ids of symptoms.
    pub symptoms: Vec<String>,
    /// What was found, by the id of the cause; `None`: nothing yet.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cause: Option<String>,
    /// What was done.
    pub remedy: String,
    /// Whether it is mended.
    pub mended: Mended,
}

/// How a fault stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mended {
    /// Not yet.
    Open,
    /// It is.
    Done,
}

/// What of an event the record points at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct About<'a> {
    pub(super) unit: Option<&'a str>,
    pub(super) step: Option<&'a str>,
}

impl Body {
    /// The oldest format that knows what is said here: what an older program
    /// can read stays readable to it.
    pub(super) fn format(&self) -> u32 {
        match self {
            Self::UnitSkipped(_) => 2,
            Self::Correction(c) => c.instead.as_ref().map_or(1, Self::format),
            _ => 1,
        }
    }

    /// Unit and step that it is about.
    pub(super) fn about(&self) -> About<'_> {
        let (unit, step) = match self {
            Self::StepDone(s) => (&s.unit, Some(s.step.as_str())),
            Self::Measured(m) => (&m.unit, Some(m.step.as_str())),
            Self::StepSkipped(s) => (&s.unit, Some(s.step.as_str())),
            Self::TimerStarted(t) => (&t.unit, Some(t.step.as_str())),
            Self::Note(n) => (&n.unit, n.step.as_deref()),
            Self::Photo(p) => (&p.unit, p.step.as_deref()),
            Self::Fault(f) => (&f.unit, None),
            Self::UnitSkipped(u) => {
                return About {
                    unit: Some(&u.unit),
                    step: None,
                };
            }
            Self::Started(_)
            | Self::RoomChanged(_)
            | Self::Correction(_)
            | Self::FindingClosed(_)
            | Self::Signed(_) => (&None, None),
        };
        About {
            unit: unit.as_deref(),
            step,
        }
    }

    /// Tag of the unit that it is about, if it is about one.
    pub fn unit(&self) -> Option<&str> {
        self.about().unit
    }

    /// Id of the step that it is about, if it is about one.
    pub fn step(&self) -> Option<&str> {
        self.about().step
    }

    /// The readings in it.
    pub fn readings(&self) -> &[Reading] {
        match self {
            Self::StepDone(s) => &s.readings,
            Self::Measured(m) => &m.readings,
            _ => &[],
        }
    }

    /// What kind of event it is, in a word or two.
    pub const fn kind(&self) -> &'static str {
        match self {
            Self::Started(_) => "start",
            Self::RoomChanged(_) => "room changed",
            Self::StepDone(_) => "step done",
            Self::Measured(_) => "reading",
            Self::StepSkipped(_) => "step left out",
            Self::UnitSkipped(_) => "unit left out",
            Self::Correction(_) => "correction",
            Self::TimerStarted(_) => "timer",
            Self::Note(_) => "note",
            Self::Photo(_) => "photo",
            Self::FindingClosed(_) => "finding closed",
            Self::Signed(_) => "signature",
            Self::Fault(_) => "fault",
        }
    }
}

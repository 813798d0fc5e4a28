//! What is known of faults: causes, what is seen, tests. Read from one file,
//! `faults.toml`, which says how to extend it.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::OnceLock;

use equipment::{Cabinet, ControlFamily, Model};
use serde::Deserialize;
use thiserror::Error;

/// The file that is built in.
const BUILT_IN: &str = include_str!("faults.toml");

/// What must be so of a unit for a cause to be possible.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
pub enum Trait {
    /// The fan stands after the coil: the pan is under suction.
    #[serde(rename = "draw-through")]
    DrawThrough,
    /// The fan stands before the coil: the pan is under pressure.
    #[serde(rename = "blow-through")]
    BlowThrough,
    /// A controller talks to it over a data pair.
    #[serde(rename = "bus")]
    Bus,
    /// A contact runs it.
    #[serde(rename = "dry contact")]
    DryContact,
}

impl Trait {
    /// What is so of a unit that lacks it, in words.
    pub const fn lacking(self) -> &'static str {
        match self {
            Self::DrawThrough => {
                "by its record the unit's fan stands before the coil: its pan is under pressure, and nothing is sucked in at its drain"
            }
            Self::BlowThrough => {
                "by its record the unit's fan stands after the coil: its pan is under suction"
            }
            Self::Bus => "by its record no controller talks to the unit over a data pair",
            Self::DryContact => "by its record no contact runs the unit",
        }
    }
}

/// What a unit does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum UnitState {
    /// No lamp, no sound.
    Dark,
    /// Lit, but it does not run.
    Waiting,
    /// It runs.
    Running,
}

/// Some of the states of a unit.
pub(super) type States = BTreeSet<UnitState>;

/// The traits of a machine by its record.
pub fn traits(model: &Model) -> Vec<Trait> {
    let cabinet = match model.cabinet {
        Cabinet::DrawThrough => Trait::DrawThrough,
        Cabinet::BlowThrough => Trait::BlowThrough,
    };
    let control = match model.control.family {
        ControlFamily::DataPair | ControlFamily::PoweredBus => Some(Trait::Bus),
        ControlFamily::DryContact => Some(Trait::DryContact),
        ControlFamily::OnBoard | ControlFamily::ZeroToTenVolt => None,
    };
    std::iter::once(cabinet).chain(control).collect()
}

/// What can hurt while a test is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Danger {
    /// Nothing is opened or touched.
    Look,
    /// Live parts, or parts that must be proved dead.
    Electricity,
    /// Water near electrical parts, slippery floor.
    Water,
    /// Refrigerant under pressure.
    Refrigerant,
    /// Work overhead, turning fans.
    Height,
}

impl Danger {
    /// The caution to say with the test.
    pub const fn caution(self) -> &'static str {
        match self {
            Self::Look => "Nothing is opened.",
            Self::Electricity => {
                "Qualified person only. Lock out and prove dead before anything is touched; live measurements by the rules for live work. The unit restarts by itself."
            }
            Self::Water => {
                "Keep water off electrical parts and the floor dry; power off where the pan overflows."
            }
            Self::Refrigerant => "Licensed technician only; no flame, ventilate.",
            Self::Height => {
                "Firm stand or lift, not the benches; hands away from fan and fins; nobody beneath."
            }
        }
    }
}

/// A cause.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cause {
    /// Its id.
    pub id: String,
    /// What it is, in words.
    pub name: String,
    /// How often it is the cause among calls, relative to the others.
    pub weight: f64,
    /// What the unit must have for it to be possible.
    #[serde(default)]
    pub only: Option<Trait>,
    /// What to do about it.
    pub remedy: String,
}

/// Something that a caller can see.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Symptom {
    /// Its id.
    pub id: String,
    /// What is seen.
    pub words: String,
    /// States in which it is seen, and in no others.
    #[serde(default)]
    pub(super) is: Option<States>,
    /// States without which it cannot be seen.
    #[serde(default)]
    pub(super) needs: Option<States>,
    /// The symptom that it tells more of.
    #[serde(default)]
    pub(super) part_of: Option<String>,
    /// Probability under a cause that is not named.
    usual: f64,
    /// Probability by cause.
    given: BTreeMap<String, f64>,
}

/// A test that tells causes apart.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Test {
    /// Its id.
    pub id: String,
    /// The question that it answers.
    pub ask: String,
    /// How it is made.
    pub how: String,
    /// How long it takes \[min\].
    pub minutes: f64,
    /// What can hurt.
    pub danger: Danger,
    /// What it can come out as.
    pub outcomes: Vec<String>,
    /// States that each outcome means.
    #[serde(default)]
    pub(super) is: Option<Vec<States>>,
    /// States in which it can be made.
    #[serde(default)]
    pub(super) needs: Option<States>,
    /// What the unit must have for it to say anything.
    #[serde(default)]
    pub(super) only: Option<Trait>,
    /// Probabilities of the outcomes under a cause that is not named.
    usual: Vec<f64>,
    /// The same by cause.
    given: BTreeMap<String, Vec<f64>>,
}

impl Symptom {
    /// Probability that it is seen under a cause.
    pub fn probability(&self, cause: &str) -> f64 {
        self.given.get(cause).copied().unwrap_or(self.usual)
    }
}

impl Symptom {
    /// States in which it can be seen; `None`: any.
    pub(super) const fn states(&self) -> Option<&States> {
        match &self.is {
            Some(is) => Some(is),
            None => self.needs.as_ref(),
        }
    }
}

impl Test {
    /// Probabilities of its outcomes under a cause.
    pub fn probabilities(&self, cause: &str) -> &[f64] {
        self.given.get(cause).unwrap_or(&self.usual)
    }
}

/// All that is known.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Knowledge {
    /// Causes.
    #[serde(rename = "cause")]
    pub causes: Vec<Cause>,
    /// What can be seen.
    #[serde(rename = "symptom")]
    pub symptoms: Vec<Symptom>,
    /// Tests, in the order of a plain checklist.
    #[serde(rename = "test")]
    pub tests: Vec<Test>,
}

/// A file of causes that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum BadKnowledge {
    /// It is not TOML of this shape.
    #[error("{0}")]
    Unreadable(String),
    /// An id stands twice.
    #[error("the id {0:?} stands twice")]
    Twice(String),
    /// A symptom or test names a cause that is not there.
    #[error("{at:?} names the cause {cause:?}, which is not there")]
    NoSuchCause {
        /// The symptom or test.
        at: String,
        /// The cause.
        cause: String,
    },
    /// Probabilities that are none: each must lie above 0 and below 1, those of
    /// a test must add up to 1, one for each outcome.
    #[error(
        "{at:?}: each probability must lie above 0 and below 1, and those of a test must add up to 1, one for each outcome"
    )]
    NotProbabilities {
        /// The symptom or test.
        at: String,
    },
    /// A symptom that is part of one that is not there.
    #[error("{at:?} is part of {whole:?}, which is no symptom")]
    NoSuchWhole {
        /// The symptom.
        at: String,
        /// What it is said to be part of.
        whole: String,
    },
    /// Not one set of states for each outcome.
    #[error("{0:?}: \"is\" needs the states of each outcome")]
    NotStates(String),
    /// A weight or a time that is not above 0.
    #[error("{0:?}: weight and minutes must be above 0")]
    NotPositive(String),
}

impl Knowledge {
    /// What is built in.
    ///
    /// # Panics
    /// Never: a test reads the file.
    pub fn built_in() -> &'static Self {
        static READ: OnceLock<Knowledge> = OnceLock::new();
        #[allow(clippy::expect_used, reason = "the file is built in and tested")]
        READ.get_or_init(|| Self::read(BUILT_IN).expect("the built-in file can be read"))
    }

    /// Reads a file of causes.
    ///
    /// # Errors
    /// Not TOML of this shape, or figures that are no probabilities.
    pub fn read(text: &str) -> Result<Self, BadKnowledge> {
        let read: Self =
            toml::from_str(text).map_err(|e| BadKnowledge::Unreadable(e.to_string()))?;
        read.check()?;
        Ok(read)
    }

    fn check(&self) -> Result<(), BadKnowledge> {
        for ids in [
            self.causes.iter().map(|c| &c.id).collect::<Vec<_>>(),
            self.symptoms.iter().map(|s| &s.id).collect(),
            self.tests.iter().map(|t| &t.id).collect(),
        ] {
            if let Some(id) = ids
                .iter()
                .enumerate()
                .find(|(i, id)| ids[..*i].contains(id))
            {
                return Err(BadKnowledge::Twice(id.1.to_string()));
            }
        }
        let named = |at: &str, causes: Vec<&String>| match causes
            .into_iter()
            .find(|c| !self.causes.iter().any(|known| known.id == **c))
        {
            Some(cause) => Err(BadKnowledge::NoSuchCause {
                at: at.to_owned(),
                cause: cause.clone(),
            }),
            None => Ok(()),
        };
        let open = |p: &f64| 0.0 < *p && *p < 1.0;
        for cause in &self.causes {
            if !(0.0 < cause.weight && cause.weight.is_finite()) {
                return Err(BadKnowledge::NotPositive(cause.id.clone()));
            }
        }
        for s in &self.symptoms {
            named(&s.id, s.given.keys().collect())?;
            if !std::iter::once(&s.usual).chain(s.given.values()).all(open) {
                return Err(BadKnowledge::NotProbabilities { at: s.id.clone() });
            }
            if let Some(whole) = s.part_of.as_ref().filter(|w| self.symptom(w).is_none()) {
                return Err(BadKnowledge::NoSuchWhole {
                    at: s.id.clone(),
                    whole: whole.clone(),
                });
            }
        }
        for t in &self.tests {
            if t.is.as_ref().is_some_and(|is| is.len() != t.outcomes.len()) {
                return Err(BadKnowledge::NotStates(t.id.clone()));
            }
            named(&t.id, t.given.keys().collect())?;
            if !(0.0 < t.minutes && t.minutes.is_finite()) {
                return Err(BadKnowledge::NotPositive(t.id.clone()));
            }
            let fits = |ps: &Vec<f64>| {
                ps.len() == t.outcomes.len()
                    && ps.iter().all(open)
                    && (ps.iter().sum::<f64>() - 1.0).abs() < 1e-9
            };
            if !std::iter::once(&t.usual).chain(t.given.values()).all(fits) {
                return Err(BadKnowledge::NotProbabilities { at: t.id.clone() });
            }
        }
        Ok(())
    }

    /// The symptom of an id.
    pub fn symptom(&self, id: &str) -> Option<&Symptom> {
        self.symptoms.iter().find(|s| s.id == id)
    }

    /// The test of an id.
    pub fn test(&self, id: &str) -> Option<&Test> {
        self.tests.iter().find(|t| t.id == id)
    }
}

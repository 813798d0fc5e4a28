//! What a step must show, judged from what was entered.

mod around;
mod designed;
mod running;
mod standing;

use equipment::{Model, Plate};
use quantity::{Finding, Step as JobStep, Text, Value};

use super::ask::{Asks, Must, Often, YES};
use super::step::Step;
use crate::acceptance::{Estimate, Judgement, Verdict};
use crate::drain::trap::Trap;
use crate::hanging::Levelling;
use crate::record::{Moment, Reading, elapsed};

/// A machine where it stands, for asking its map.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    /// Its record.
    pub model: Box<Model>,
    /// Barometric pressure \[Pa\].
    pub pressure_pa: f64,
    /// Air that it moves against its ducts \[m³/s\]; `None` without ducts.
    pub ducted_m3_per_s: Option<f64>,
}

/// A setpoint that must be found again.
#[derive(Clone, Debug, PartialEq)]
pub struct WantedSetpoint {
    /// Entry that asks for it.
    pub entry: String,
    /// What was designed.
    pub value: Value,
    /// How far off it may be, in the SI unit of the value.
    pub within: f64,
}

/// What a step must show beside its questions, which are answered with yes.
#[derive(Clone, Debug, PartialEq)]
pub enum Acceptance {
    /// Nothing more.
    Answers,
    /// Stood upright long enough.
    Stood,
    /// Plate and device go together.
    Nameplate {
        /// Plate of the record.
        plate: Box<Plate>,
        /// Device of the power sheet \[A\]; `None`: the unit has no circuit.
        designed_a: Option<f64>,
    },
    /// Level both ways.
    Level(Levelling),
    /// A trap that works.
    Trap(Box<Trap>),
    /// Water enough to fill the trap \[kg\].
    Prime {
        /// What fills it.
        least_kg: f64,
    },
    /// A drain that takes more than the unit gives.
    DrainFlow {
        /// Peak of the unit \[kg/s\].
        peak_kg_per_s: f64,
        /// Fall as drawn \[m/m\].
        drawn_fall: f64,
    },
    /// Volts within the plate, alike on three phases.
    Volts {
        /// Rated voltage that the unit is hooked up by \[V\].
        rated_v: f64,
        /// Phases.
        phases: u32,
    },
    /// A setpoint that makes the unit run.
    Call {
        /// Whole width between on and off, in the unit of the setpoint.
        deadband: f64,
        /// Whether a greater number is drier air.
        greater: Greater,
    },
    /// Amps against plate and map.
    Amps {
        /// The machine.
        machine: Machine,
        /// Rated voltage that it is hooked up by \[V\].
        rated_v: f64,
    },
    /// Air that is warmer and drier after the unit than before.
    Air {
        /// Share of discharge at the inlet that the design reckoned with;
        /// `None`: not judged at this step.
        designed_share: Option<f64>,
        /// Barometric pressure \[Pa\].
        pressure_pa: f64,
    },
    /// Timed condensate against the map.
    Condensate(Machine),
    /// Back by itself, not before its delay.
    Restart {
        /// Delay of the record \[s\].
        delay_s: f64,
    },
    /// Units start so far apart \[s\].
    Stagger {
        /// Least time between two starts.
        apart_s: f64,
    },
    /// A sensor over salts.
    Salts,
    /// A sensor where it hangs, against a psychrometer.
    SensorInPlace {
        /// Barometric pressure \[Pa\].
        pressure_pa: f64,
    },
    /// Setpoints as designed.
    Setpoints(Vec<WantedSetpoint>),
}

/// What a greater number of a humidity means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Greater {
    /// Drier air: a vapour pressure deficit.
    Drier,
    /// Damper air.
    Damper,
}

/// A reading with its instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Taken<'a> {
    /// When.
    pub at: &'a Moment,
    /// What.
    pub reading: &'a Reading,
}

/// What was entered for a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Entered<'a> {
    /// Readings in order.
    pub readings: Vec<Taken<'a>>,
    /// Answers in order: entry, and what was said.
    pub answers: Vec<(&'a str, &'a str)>,
    /// When somebody started the step's time.
    pub begun: Option<&'a Moment>,
    /// When the step was done.
    pub done: &'a Moment,
    /// When the unit last began to run before that, as far as recorded.
    pub runs_since: Option<&'a Moment>,
    /// Steps that spoil a catch of water, done since the step's time was
    /// started, else since the step was last done; with when.
    pub spoiled_by: Vec<(&'a Step, &'a Moment)>,
}

impl<'a> Entered<'a> {
    /// The last reading of an entry.
    pub fn reading(&self, entry: &str) -> Option<&'a Reading> {
        self.series(entry).last().map(|t| t.reading)
    }

    /// All readings of an entry.
    pub fn series(&self, entry: &str) -> Vec<Taken<'a>> {
        let of = self.readings.iter().filter(|t| t.reading.entry == entry);
        of.copied().collect()
    }

    /// The last answer to an entry.
    pub fn answer(&self, entry: &str) -> Option<&'a str> {
        let mut of = self.answers.iter().rev();
        of.find(|(id, _)| *id == entry).map(|(_, said)| *said)
    }

    /// The last reading of an entry with its standard uncertainty: as entered,
    /// else that of the usual instrument.
    pub fn estimate(&self, step: &Step, entry: &str) -> Option<Estimate> {
        let quantity = step.entry(entry)?.quantity()?;
        let reading = self.reading(entry)?;
        let x = reading.value.si;
        let u = reading
            .standard_uncertainty
            .unwrap_or_else(|| quantity.instrument.standard_uncertainty(x));
        Some(Estimate::new(x, u))
    }

    /// Time from one instant to another \[s\].
    fn seconds(from: &Moment, to: &Moment) -> f64 {
        elapsed(from, to).ms as f64 / 1_000.0
    }
}

/// Judges a step: its questions, then what it must show.
pub fn judge(step: &Step, entered: &Entered<'_>) -> Judgement {
    let asked = questions(step, entered);
    let shown = match &step.acceptance {
        Acceptance::Answers => Judgement::plain(Verdict::Pass, Text::new()),
        Acceptance::Stood => standing::stood(step, entered),
        Acceptance::Nameplate { plate, designed_a } => {
            standing::nameplate(step, plate, *designed_a, entered)
        }
        Acceptance::Level(levelling) => standing::level(step, levelling, entered),
        Acceptance::Trap(drawn) => standing::trap(step, drawn, entered),
        Acceptance::Prime { least_kg } => standing::prime(step, *least_kg, entered),
        Acceptance::DrainFlow {
            peak_kg_per_s,
            drawn_fall,
        } => standing::drain_flow(step, *peak_kg_per_s, *drawn_fall, entered),
        Acceptance::Volts { rated_v, phases } => running::volts(step, *rated_v, *phases, entered),
        Acceptance::Call { deadband, greater } => around::call(step, *deadband, *greater, entered),
        Acceptance::Amps { machine, rated_v } => running::amps(step, machine, *rated_v, entered),
        Acceptance::Air {
            designed_share,
            pressure_pa,
        } => running::air(step, *designed_share, *pressure_pa, entered),
        Acceptance::Condensate(machine) => running::condensate(step, machine, entered),
        Acceptance::Restart { delay_s } => running::restart(step, *delay_s, entered),
        Acceptance::Stagger { apart_s } => around::stagger(step, *apart_s, entered),
        Acceptance::Salts => around::salts(step, entered),
        Acceptance::SensorInPlace { pressure_pa } => {
            around::sensor_in_place(step, *pressure_pa, entered)
        }
        Acceptance::Setpoints(wanted) => around::setpoints(step, wanted, entered),
    };
    asked.and(shown)
}

/// What was not entered, and what was answered with no.
fn questions(step: &Step, entered: &Entered<'_>) -> Judgement {
    let mut judgement = Judgement::plain(Verdict::Pass, Text::new());
    for entry in &step.entries {
        let (is, least) = match (&entry.asks, entry.often) {
            (Asks::Quantity(_), Often::Series(least)) => (entered.series(&entry.id).len(), least),
            (Asks::Quantity(_), Often::Once) => (entered.series(&entry.id).len(), 1),
            _ => (usize::from(entered.answer(&entry.id).is_some()), 1),
        };
        if is < least && entry.must == Must::Be {
            judgement = judgement.and(not_entered(&entry.title, is, least));
        }
        let Asks::YesNo(if_not) = &entry.asks else {
            continue;
        };
        if entered.answer(&entry.id).is_some_and(|said| said != YES) {
            let mut no = Judgement::plain(Verdict::Fail, Text::from("no: ").and(&entry.title));
            no.findings.push(Finding {
                check: format!("{}_{}", step.kind.slug(), entry.id)
                    .replace('-', "_")
                    .into(),
                severity: if_not.severity,
                step: JobStep::Startup,
                place: step.place(),
                what: Text::from("not so: ").and(&entry.title),
                measured: None,
                limit: None,
                why: step.reason.clone(),
                remedy: if_not.remedy.into(),
                source: quantity::Source::measured("answer on site", step.id.clone()),
            });
            judgement = judgement.and(no);
        }
    }
    judgement
}

fn not_entered(title: &Text, is: usize, least: usize) -> Judgement {
    if is == 0 {
        return Judgement {
            would_prove: vec![Text::from("enter: ").and(title)],
            ..Judgement::plain(Verdict::NotProven, Text::from("not entered: ").and(title))
        };
    }
    Judgement {
        would_prove: vec![Text::from(format!("enter {least} times: ")).and(title)],
        ..Judgement::plain(
            Verdict::NotProven,
            Text::from(format!("entered {is} of {least} times: ")).and(title),
        )
    }
}

/// A judgement that says nothing: what it needs was not entered, and
/// [`questions`] has said so where it must be.
fn silent() -> Judgement {
    Judgement::plain(Verdict::Pass, Text::new())
}

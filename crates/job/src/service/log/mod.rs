//! What a log of the room says about a fault, line by line. Each line answers
//! one question of the list by arithmetic over the readings, with their
//! uncertainty: it enters the ranking as a reading does, never as an opinion.
//!
//! Units, the room and its sensors are looked at in one file each.

mod alone;
mod room;
mod sensors;
mod unit;

use std::sync::LazyLock;

use ::room::Room;
use air::MoistAir;
use equipment::{Catalog, Model};
use quantity::{Band, Text};
use readings::Measure;
use roomsim::timetable::HumidityBand;

use super::rank::Known;
use crate::acceptance::Estimate;
use crate::proof::{
    Alone, Counted, FaultySensor, Lit, Proof, RunsFrom, Sensor, Series, UnitRuns, Unknown,
    names_unit, over_setpoint, unit_of_log,
};
use crate::settable::step_of;
use crate::stats;
use crate::zone::humidity_band;

/// Something that a log shows.
#[derive(Clone, Debug, PartialEq)]
pub enum Line {
    /// It answers a question, and counts.
    Counts(Known),
    /// It would answer a question that a person has answered; that stands.
    Told(Known),
    /// It answers nothing, and why.
    Silent(Text),
}

impl Line {
    /// What it answers, if it does.
    pub const fn known(&self) -> Option<&Known> {
        match self {
            Self::Counts(known) | Self::Told(known) => Some(known),
            Self::Silent(_) => None,
        }
    }

    /// What the log shows, in words.
    pub fn shows(&self) -> &Text {
        match self {
            Self::Counts(Known::Reading { said, .. }) | Self::Told(Known::Reading { said, .. }) => {
                said
            }
            Self::Silent(said) => said,
            // Lines are made of readings only.
            Self::Counts(_) | Self::Told(_) => &NOTHING,
        }
    }

    /// Probabilities of the outcomes of what it answers, were all alike likely
    /// before it; none where it answers nothing.
    pub fn outcomes(&self) -> Vec<f64> {
        let Some(Known::Reading { weights, .. }) = self.known() else {
            return Vec::new();
        };
        let sum: f64 = weights.iter().sum();
        weights.iter().map(|w| w / sum).collect()
    }
}

static NOTHING: Text = Text::new();

/// What a log of a room shows that bears on a fault, in the order of looking.
///
/// - `tag`: the unit that the call is about, of the room or as a channel of the
///   log names it; without it only the room is looked at, and the unit where
///   there is but one
/// - `model`: record of a unit that the room does not have, where it is known
/// - `set`: relative humidity that the control is set to, as told, 0 to 1; it
///   stands before that of the room file
pub fn from_log(
    room: &Room,
    catalog: &Catalog,
    proof: &Proof,
    (tag, model): (Option<&str>, Option<&Model>),
    set: Option<f64>,
) -> Vec<Line> {
    let look = Look {
        series: &proof.series,
        sensors: &proof.sensors,
        faults: &proof.faults,
        lit: Some(&proof.lit),
        units: &proof.units,
        runs_from: proof.runs_from,
        counted: proof.counted.as_ref(),
        of_room: Some((room, proof)),
        goes_in: step_of(room, catalog, proof.units.iter().map(|u| u.model.as_str())),
        set,
        pressure_pa: crate::airs::pressure_pa(&room.site),
    };
    let of_room = look.unit(tag);
    let other = match of_room {
        None => tag.and_then(|tag| unit_of_log(proof, tag)),
        Some(_) => None,
    };
    let record = |u: &UnitRuns| catalog.dehumidifiers.get(&u.model);
    let unit = of_room.or(other.as_ref());
    look.lines((tag, unit), unit.and_then(record).or(model), catalog)
}

/// What a log shows of which there is no room file: what air, power and state
/// tell by themselves; what needs the room is named.
///
/// - `tag`: the unit that the call is about, as a channel names it
/// - `model`: its record, where it is known
/// - `set`: relative humidity that the control is set to, as told, 0 to 1
pub fn from_log_alone(
    log: &Alone,
    (tag, model): (Option<&str>, Option<&Model>),
    set: Option<f64>,
    pressure_pa: f64,
) -> Vec<Line> {
    let look = Look {
        series: &log.series,
        sensors: &log.sensors,
        faults: &log.faults,
        lit: log.lit.as_ref(),
        units: &log.units,
        runs_from: RunsFrom::Log,
        counted: log.counted.as_ref(),
        of_room: None,
        goes_in: None,
        set,
        pressure_pa,
    };
    look.lines((tag, look.unit(tag)), model, &Catalog::default())
}

/// Splits off what counts beside what a person told; what answers the same
/// question as they did does not count again.
pub fn beside(lines: &mut [Line], told: &[Known]) -> Vec<Known> {
    let mut counts = Vec::new();
    for line in lines {
        if let Line::Counts(known) = line {
            if told.iter().any(|t| t.about() == known.about()) {
                *line = Line::Told(known.clone());
            } else {
                counts.push(known.clone());
            }
        }
    }
    counts
}

/// What is looked at.
struct Look<'a> {
    series: &'a Series,
    sensors: &'a [Sensor],
    faults: &'a [FaultySensor],
    /// `None` where nothing tells them.
    lit: Option<&'a Lit>,
    units: &'a [UnitRuns],
    runs_from: RunsFrom,
    counted: Option<&'a Counted>,
    /// The room and what was proved of it; `None` where there is no room file.
    of_room: Option<(&'a Room, &'a Proof)>,
    /// The coarsest step at which a humidity is set in the room.
    goes_in: Option<f64>,
    /// Relative humidity that the control is set to, as told.
    set: Option<f64>,
    pressure_pa: f64,
}

impl<'a> Look<'a> {
    /// The unit that it is about.
    fn unit(&self, tag: Option<&str>) -> Option<&'a UnitRuns> {
        match (tag, self.units) {
            (Some(tag), _) => {
                let same = |u: &&UnitRuns| u.tag == tag;
                // Power tells more than a state that was asked for.
                let named = |of: Measure| {
                    let is = |name: &str| {
                        let of_name = |s: &&Sensor| s.name == *name && s.measure == of;
                        self.sensors.iter().any(|s| of_name(&s))
                    };
                    let mut all = self.units.iter();
                    all.find(|u| names_unit(&u.tag, tag) && is(&u.tag))
                };
                self.units
                    .iter()
                    .find(same)
                    .or_else(|| named(Measure::UnitPower))
                    .or_else(|| named(Measure::UnitState))
            }
            (None, [only]) => Some(only),
            _ => None,
        }
    }

    fn lines(
        &self,
        (tag, unit): (Option<&str>, Option<&UnitRuns>),
        model: Option<&Model>,
        catalog: &Catalog,
    ) -> Vec<Line> {
        let mut lines = Vec::new();
        lines.extend(alone::air(self));
        match (unit, self.units) {
            (Some(unit), _) => lines.extend(unit::lines(self, unit, model)),
            (None, []) => lines.push(Line::Silent(
                "the log has no power or state of a unit: what it did is not known".into(),
            )),
            (None, all) => {
                let tags: Vec<&str> = all.iter().map(|u| u.tag.as_str()).collect();
                let why = match tag {
                    Some(tag) => format!("no channel is named after {tag}"),
                    None => "which unit it is about is not said".to_owned(),
                };
                let words = format!("{why} ({}): only the room is looked at", tags.join(", "));
                lines.push(Line::Silent(words.into()));
            }
        }
        lines.extend(room::lines(self, catalog));
        lines.push(sensors::line(self));
        lines.extend(alone::missing(self, model));
        lines
    }

    /// Steps in a time \[s\].
    fn steps(&self, s: f64) -> usize {
        (s / self.series.step_s).round().max(1.0) as usize
    }

    /// What was found of an unknown, where the log says much of it.
    fn found(&self, unknown: Unknown) -> Option<Estimate> {
        let (_, proof) = self.of_room?;
        let found = &proof.water.as_ref()?.found;
        let of = found.iter().find(|f| f.unknown == unknown)?;
        (of.left < MUCH_SAID).then(|| estimate(of.after))
    }

    /// Whether a room or the caller tells the setpoint.
    const fn has_setpoint(&self) -> bool {
        self.set.is_some() || self.of_room.is_some()
    }

    /// How far the air of a step is more humid than the setpoint, over half the
    /// deadband; `None` where the air or the setpoint is unknown.
    fn over_setpoint(&self, step: usize) -> Option<f64> {
        let deadband = self
            .of_room
            .map_or(*DEADBAND, |(room, _)| room.control.deadband.value);
        match (self.set, self.of_room) {
            (Some(set), _) => self
                .series
                .knows(step)
                .then(|| (self.series.rel_humidity[step] - set) / (deadband / 2.0)),
            (None, Some((room, _))) => over_setpoint(room, self.goes_in, self.series, step),
            (None, None) => None,
        }
    }

    /// By how much the air of a step is more humid than its target allows, were
    /// the humidity shown off by `shift`; in the unit of the target, above 0: too
    /// humid. Without a room the setpoint stands for the target.
    fn over_band(&self, step: usize, shift: f64) -> Option<f64> {
        let series = self.series;
        let rh = (series.rel_humidity[step] + shift).clamp(0.01, 1.0);
        let Some((room, proof)) = self.of_room else {
            let over = rh - (self.set? + *DEADBAND / 2.0);
            return over.is_finite().then_some(over);
        };
        proof.lit.period[step]?;
        let target = room.target_at(proof.lit.like_s[step]).humidity?;
        let air =
            || MoistAir::from_rel_humidity(series.dry_bulb_c[step], rh, self.pressure_pa).ok();
        match humidity_band(Some(target)) {
            HumidityBand::Relative(b) => Some(rh - b.high),
            HumidityBand::DewPointC(b) => Some(air()?.dew_point_c() - b.high),
            HumidityBand::VpdPa(b) => Some(b.low - air()?.vpd_pa()),
        }
    }
}

/// Whole width between switching on and off where there is no room file, as
/// relative humidity: what one without it is taken to say.
#[allow(clippy::expect_used, reason = "the format is built in and tested")]
static DEADBAND: LazyLock<f64> =
    LazyLock::new(|| ::room::default_of("control", "deadband").expect("a default"));
/// A log that leaves less than this of an unknown's deviation says much of it.
/// **Assumed**.
const MUCH_SAID: f64 = 0.5;
/// Share of cases that go the usual way of a fault. **Assumed**: a fault shows
/// in four of five nights or starts.
const USUAL_WAY: f64 = 0.8;
/// Cases beyond this say no more: those of one log are alike. **Assumed**.
const MOST_CASES: f64 = 10.0;
/// Readings that are looked at in a log, evenly over it.
const MOST_LOOKS: usize = 400;

/// A band from the 10th to the 90th percentile as a number with its
/// uncertainty.
fn estimate(band: Band) -> Estimate {
    Estimate::new(band.likely, (band.high - band.low) / (2.0 * stats::Z90))
}

/// With what probability cases came out as counted, were each outcome the
/// usual one; up to a factor.
fn habit(counts: &[usize]) -> Vec<f64> {
    let all: f64 = counts.iter().sum::<usize>() as f64;
    let scale = (MOST_CASES / all.max(1.0)).min(1.0);
    let other = (1.0 - USUAL_WAY) / (counts.len().max(2) - 1) as f64;
    (0..counts.len())
        .map(|usual| {
            let of = |i: usize| if i == usual { USUAL_WAY } else { other };
            let cases = counts.iter().enumerate();
            cases
                .map(|(i, n)| *n as f64 * scale * of(i).ln())
                .sum::<f64>()
                .exp()
        })
        .collect()
}

/// Evenly chosen ones, so many at most.
fn some(steps: &[usize]) -> impl Iterator<Item = usize> + '_ {
    let every = steps.len().div_ceil(MOST_LOOKS).max(1);
    steps.iter().copied().step_by(every)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn habits_follow_from_counts() {
        // Four of five nights one way: 0.8^4 0.2 against 0.2^4 0.8.
        let w = habit(&[4, 1]);
        assert!((w[0] / w[1] - 64.0).abs() < 1e-9);
        // A hundred nights say no more than ten.
        let (many, ten) = (habit(&[100, 0]), habit(&[10, 0]));
        assert!((many[0] / many[1] / (ten[0] / ten[1]) - 1.0).abs() < 1e-9);
        assert_eq!(habit(&[0, 0, 0]), [1.0, 1.0, 1.0]);
    }
}

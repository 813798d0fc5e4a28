//! What a log of the room says about a fault, line by line. Each line answers
//! one question of the list by arithmetic over the readings, with their
//! uncertainty: it enters the ranking as a reading does, never as an opinion.
//!
//! Units, the room and its sensors are looked at in one file each.

mod room;
mod sensors;
mod unit;

use ::room::Room;
use equipment::Catalog;
use quantity::{Band, Text};

use super::rank::Known;
use crate::acceptance::Estimate;
use crate::proof::{Proof, Unknown};
use crate::stats;

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

/// What a log shows that bears on a fault, in the order of looking.
///
/// - `tag`: the unit that the call is about; without it only the room is
///   looked at, and the unit where there is but one
pub fn from_log(room: &Room, catalog: &Catalog, proof: &Proof, tag: Option<&str>) -> Vec<Line> {
    let look = Look {
        room,
        proof,
        pressure_pa: crate::airs::pressure_pa(&room.site),
    };
    let of_tag = |tag: &str| proof.units.iter().find(|u| u.tag == tag);
    let unit = match (tag, &proof.units[..]) {
        (Some(tag), _) => of_tag(tag),
        (None, [only]) => Some(only),
        _ => None,
    };
    let model = unit.and_then(|u| catalog.dehumidifiers.get(&u.model));
    let mut lines = Vec::new();
    match unit.zip(model) {
        Some((unit, model)) => lines.extend(unit::lines(&look, unit, model)),
        None => lines.push(Line::Silent(
            "which unit it is about is not said: only the room is looked at".into(),
        )),
    }
    lines.extend(room::lines(&look, catalog));
    lines.push(sensors::line(proof));
    lines
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
    room: &'a Room,
    proof: &'a Proof,
    pressure_pa: f64,
}

impl Look<'_> {
    /// Steps in a time \[s\].
    fn steps(&self, s: f64) -> usize {
        (s / self.proof.series.step_s).round().max(1.0) as usize
    }

    /// What was found of an unknown, where the log says much of it.
    fn found(&self, unknown: Unknown) -> Option<Estimate> {
        let found = &self.proof.water.as_ref()?.found;
        let of = found.iter().find(|f| f.unknown == unknown)?;
        (of.left < MUCH_SAID).then(|| estimate(of.after))
    }
}

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

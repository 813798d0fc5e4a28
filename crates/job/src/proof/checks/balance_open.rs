//! The water balance could not be closed.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::fit::LEAST_WINDOWS;
use super::super::windows::WINDOW_S;
use super::super::{Found, Unknown};
use super::Proof;
use super::time;
use crate::finding::Said;
use crate::stats::Z90;

/// Deviations of what was known before beyond which something else is amiss.
const BEYOND: f64 = 2.0;
const LOG_MORE: &str = "Log dry bulb, relative humidity and the power of each unit for a week, every five minutes or oftener.";

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let (what, remedy) = match &proof.water {
        None => (
            Text::from("less than ")
                .value(time(LEAST_WINDOWS as f64 * WINDOW_S))
                .words(" of the log tell dry bulb, humidity and the running of all units at once: the water load was not found"),
            LOG_MORE,
        ),
        Some(w) if !w.settled => (
            Text::from("the search for what fits the log did not settle: take the load found as a hint only"),
            LOG_MORE,
        ),
        Some(w) => match of_coils(&w.found) {
            Some(times) => (
                Text::from("the balance closes only where cooling coils take ")
                    .value(Value::new(times, Dim::Number).digits(2))
                    .words(" times the water that is reckoned of them, more than such a reckoning is off: take the load found as a hint only"),
                "Count the water of units and cooling coils for a day, and put the count in with the log.",
            ),
            None => return Vec::new(),
        },
    };
    vec![
        Said {
            check: "balance_open",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("room"),
            what,
            why: "Without the balance nobody knows how much water the room really gives off.",
            remedy: remedy.into(),
            source: Source::assumed("two days are the least that shows both day and night twice"),
        }
        .finding(),
    ]
}

/// What cooling coils take over what is reckoned, where that is further from one
/// than was to be expected.
fn of_coils(found: &[Found]) -> Option<f64> {
    let of = found.iter().find(|f| f.unknown == Unknown::CoilWater)?;
    let deviation = (of.before.high / of.before.likely).ln() / Z90;
    let off = (of.after.likely / of.before.likely).ln().abs();
    (BEYOND * deviation < off).then_some(of.after.likely)
}

#[cfg(test)]
mod tests {
    use quantity::Band;

    use super::*;

    /// Known to a tenth: 1.15 is let pass, 1.3 and 0.7 are told.
    #[test]
    fn coils_that_take_more_or_less_than_can_be_are_told() {
        let found = |likely: f64| {
            [Found {
                unknown: Unknown::CoilWater,
                before: Band::new((-0.1 * Z90).exp(), 1.0, (0.1 * Z90).exp()),
                after: Band::new(0.9 * likely, likely, 1.1 * likely),
                left: 0.5,
            }]
        };
        assert_eq!(of_coils(&found(1.15)), None);
        assert_eq!(of_coils(&found(1.3)), Some(1.3));
        assert_eq!(of_coils(&found(0.7)), Some(0.7));
        assert_eq!(of_coils(&[]), None);
    }
}

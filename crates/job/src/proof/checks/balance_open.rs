//! The water balance could not be closed.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Open;
use super::super::fit::LEAST_WINDOWS;
use super::super::windows::WINDOW_S;
use super::Proof;
use super::time;
use crate::finding::Said;

const LOG_MORE: &str = "Log dry bulb, relative humidity and the power of each unit, or a counter of their water, for a week, every five minutes or oftener.";
const COUNT: &str =
    "Count the water of units and cooling coils for a day, and put the count in with the log.";

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    let only_where = |who: &str, times: f64, than: &str| {
        Text::from(format!("the balance closes only where {who} "))
            .value(Value::new(times, Dim::Number).digits(2))
            .words(format!(" times {than}: take the load found as a hint only"))
    };
    let (what, remedy) = match proof.water.as_ref().map(|w| w.open) {
        None => (
            Text::from("less than ")
                .value(time(LEAST_WINDOWS as f64 * WINDOW_S))
                .words(" of the log tell dry bulb, humidity and the running of all units at once: the water load was not found"),
            LOG_MORE,
        ),
        Some(None) => return Vec::new(),
        Some(Some(Open::Unsettled)) => (
            Text::from("the search for what fits the log did not settle: take the load found as a hint only"),
            LOG_MORE,
        ),
        Some(Some(Open::Coils(times))) => (
            only_where("cooling coils take", times, "the water that is reckoned of them, further off than such a reckoning is"),
            COUNT,
        ),
        Some(Some(Open::Store(times))) => (
            only_where("the room stores", times, "the water of its air (of a surveyed layer: what was surveyed), far more than rooms are known to"),
            "See that the columns are those of this room and its units, and its clock right; count the water of units for a day, and put the count in with the log.",
        ),
        Some(Some(Open::Units(times))) => (
            only_where("units remove", times, "what their records say, and what ran when is guessed"),
            "List the units that stand in the room, log the power or state of each, and count their water for a day.",
        ),
    };
    vec![
        Said {
            check: "balance_open",
            severity: Severity::Note,
            step: Step::Proof,
            place: Place::new("room"),
            what,
            why: "Without the balance nobody knows how much water the room really gives off; nothing is proposed and no units are chosen by it.",
            remedy: remedy.into(),
            source: Source::assumed("two days are the least that shows both day and night twice"),
        }
        .finding(),
    ]
}

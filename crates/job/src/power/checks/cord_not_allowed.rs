//! A cord where the rules do not take one.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

/// Longest cord to 120 V, and above \[m\]: 10 ft and 6 ft.
const CORD_M: (f64, f64) = (3.048, 1.829);
/// Most that a unit with a cord may be rated at \[A\].
const MOST_A: f64 = 40.0;
/// Highest voltage of a cord \[V\].
const MOST_V: f64 = 250.0;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter_map(|b| {
            let cord_m = b.cord_m?;
            let longest_m = if b.hookup.volts <= 125.0 { CORD_M.0 } else { CORD_M.1 };
            let said = |what: Text| Said {
                check: "cord_not_allowed",
                severity: Severity::Stop,
                step: Step::Power,
                place: super::unit(b),
                what,
                why: "cords are hurt, pulled and dripped on; they do not replace fixed wiring",
                remedy: "wire it to a disconnect (connection = \"hard-wired\"), or bring the receptacle nearer".into(),
                source: Source::published(
                    "NEC, trade extract",
                    "440.60 to 440.65, written for room air conditioners; 400.12 recalled",
                ),
            };
            let volts = |v: f64| Value::new(v, Dim::Voltage);
            let amps = |a: f64| Value::new(a, Dim::Current);
            let length = |m: f64| Value::new(m, Dim::Length);
            let tag = &b.tag;
            if b.plate.phases == 3 {
                let what = format!("{tag} is for three phases and has a cord");
                return Some(said(what.into()).finding());
            }
            let (what, measured, limit) = if MOST_V < b.hookup.volts {
                (" has a cord at ", volts(b.hookup.volts), volts(MOST_V))
            } else if MOST_A < b.plate.full_load_a {
                (" has a cord and draws ", amps(b.plate.full_load_a), amps(MOST_A))
            } else if longest_m + 1e-9 < cord_m {
                (" needs a cord of ", length(cord_m), length(longest_m))
            } else {
                return None;
            };
            let what = Text::from(format!("{tag}{what}"))
                .value(measured)
                .words(", at most ")
                .value(limit);
            Some(said(what).compared(measured, limit))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_short_cord_passes_and_each_limit_stops_it() {
        let with = |cord_m: f64, full_load_a: f64, volts: f64, phases: u32| {
            let corded = format!("{PANEL}[wiring]\nconnection = \"cord\"\n");
            let (room, mut power) = scene(&corded, &["generic-70"]);
            let b = &mut power.branches[0];
            assert!(b.cord_m.is_some());
            b.cord_m = Some(cord_m);
            b.plate.full_load_a = full_load_a;
            b.plate.phases = phases;
            b.hookup.volts = volts;
            check(&room, &power)
        };
        assert!(with(1.82, 40.0, 250.0, 1).is_empty() && with(3.04, 12.0, 120.0, 1).is_empty());
        assert_eq!(one(with(1.9, 12.0, 240.0, 1)).2, CORD_M.1);
        assert_eq!(one(with(3.1, 12.0, 120.0, 1)).2, CORD_M.0);
        assert_eq!(one(with(1.0, 41.0, 240.0, 1)).2, MOST_A);
        assert_eq!(one(with(1.0, 12.0, 277.0, 1)).2, MOST_V);
        assert_eq!(one(with(1.0, 12.0, 208.0, 3)).0.severity, Severity::Stop);
    }
}

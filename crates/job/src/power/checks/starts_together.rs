//! Units start together when the supply comes back.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .restarts
        .iter()
        .filter_map(|r| {
            let most = r
                .events
                .iter()
                .filter(|e| 1 < e.tags.len())
                .max_by_key(|e| e.tags.len())?;
            let tags: Vec<&str> = most.tags.iter().map(String::as_str).collect();
            let amps = |a: f64| Value::new(a, Dim::Current);
            Some(
                Said {
                    check: "starts_together",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: Place::new(format!("panel {}", r.panel)),
                    what: Text::from(format!(
                        "after an outage {} start together, as their delays are alike: a leg carries ",
                        tags.join(", ")
                    ))
                    .value(amps(r.peak_a))
                    .words(" for a moment, one after the other ")
                    .value(amps(r.staggered_peak_a)),
                    why: "the dip of the voltage keeps all of them from starting, and devices trip",
                    remedy: Text::from(
                        "use a control that steps the units ([[controller]], staging = \"step\"), or delay relays set ",
                    )
                    .value(Value::new(r.apart_s, Dim::Duration).digits(2))
                    .words(" apart or more; delays that are equal part nothing"),
                    source: Source::assumed(
                        "locked-rotor current of the plate, else 6 times full load, recalled; start and recovery 5 s, on a generator 20 s",
                    ),
                }
                .compared(amps(r.peak_a), amps(r.staggered_peak_a)),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn one_unit_passes_two_fail_and_a_stepping_control_mends_it() {
        let (room, power) = scene(PANEL, &["generic-70"]);
        assert!(check(&room, &power).is_empty());
        let (room, power) = scene(PANEL, &["generic-70", "generic-70"]);
        let (_, peak_a, apart_a) = one(check(&room, &power));
        let full_a = power.branches[0].plate.full_load_a;
        assert!((peak_a - 12.0 * full_a).abs() < 1e-9);
        assert!((apart_a - 7.0 * full_a).abs() < 1e-9);
        let stepped = format!(
            "{PANEL}[[controller]]\ntag = \"C1\"\nmodel = \"generic-relay-4\"\n[control]\nstaging = \"step\"\n"
        );
        let (room, power) = scene(&stepped, &["generic-70", "generic-70"]);
        assert!(check(&room, &power).is_empty());
    }
}

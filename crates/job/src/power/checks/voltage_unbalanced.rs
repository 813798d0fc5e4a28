//! Measured voltages between the phases differ.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use super::super::supply::{MOST_UNBALANCE, NEVER_UNBALANCE, unbalance};
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let three = |tag: &str| {
        let branch = power.branches.iter().find(|b| b.tag == tag);
        branch.is_some_and(|b| b.plate.phases == 3)
    };
    power
        .panels
        .iter()
        .filter(|p| p.rows.iter().any(|row| three(&row.name)))
        .filter_map(|p| {
            let found = unbalance(p.between_v?);
            if found <= MOST_UNBALANCE + 1e-9 {
                return None;
            }
            let stop = NEVER_UNBALANCE + 1e-9 < found;
            let limit = if stop { NEVER_UNBALANCE } else { MOST_UNBALANCE };
            let share = |x: f64| Value::new(x, Dim::Fraction);
            Some(
                Said {
                    check: "voltage_unbalanced",
                    severity: if stop { Severity::Stop } else { Severity::Fix },
                    step: Step::Power,
                    place: Place::new(format!("panel {}", p.name)),
                    what: Text::from("a voltage between phases is ")
                        .value(share(found))
                        .words(" off the mean of the three, at most ")
                        .value(share(limit)),
                    why: "a little unlike voltage makes currents of a three-phase motor very unlike: one winding overheats",
                    remedy: "share single-phase loads out again, look for a loose joint, ask the utility; measure again under load".into(),
                    source: Source::published(
                        "NEMA MG 1, as quoted publicly",
                        "full load to 1 %, never above 5 %",
                    ),
                }
                .compared(share(found), share(limit)),
            )
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    fn with(between_v: Option<[f64; 3]>, phases: u32) -> Vec<Finding> {
        let (room, mut power) = scene(PANEL, &["generic-70"]);
        power.branches[0].plate.phases = phases;
        power.panels[0].between_v = between_v;
        check(&room, &power)
    }

    #[test]
    fn one_per_cent_passes_more_is_mended_and_above_five_stops() {
        assert!(with(Some([404.0, 396.0, 400.0]), 3).is_empty());
        let (finding, measured, limit) = one(with(Some([404.1, 395.9, 400.0]), 3));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((measured - 0.010_25).abs() < 1e-9 && limit == 0.01);
        let (finding, ..) = one(with(Some([420.0, 380.0, 400.0]), 3));
        assert_eq!(finding.severity, Severity::Fix);
        let (finding, _, limit) = one(with(Some([420.1, 379.9, 400.0]), 3));
        assert_eq!((finding.severity, limit), (Severity::Stop, 0.05));
    }

    #[test]
    fn without_measured_volts_or_a_three_phase_unit_nothing_is_said() {
        assert!(with(None, 3).is_empty());
        assert!(with(Some([440.0, 360.0, 400.0]), 1).is_empty());
    }
}

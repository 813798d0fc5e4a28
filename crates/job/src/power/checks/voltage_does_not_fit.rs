//! The supply is too far from the rated voltage.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use super::super::supply::VOLTAGE_TOLERANCE;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter(|b| b.panel.is_some())
        .filter_map(|b| {
            let (volts, rated_v) = (b.hookup.volts, b.hookup.rated_v);
            let off = volts / rated_v - 1.0;
            if off.abs() <= VOLTAGE_TOLERANCE + 1e-9 {
                return None;
            }
            let limit_v = rated_v * (1.0 + VOLTAGE_TOLERANCE.copysign(off));
            let shown = |v: f64| Value::new(v, Dim::Voltage).digits(4);
            Some(
                Said {
                    check: "voltage_does_not_fit",
                    severity: Severity::Stop,
                    step: Step::Power,
                    place: super::unit(b),
                    what: Text::from(format!("{} is rated ", b.tag))
                        .value(shown(rated_v))
                        .words(", the panel gives ")
                        .value(shown(volts)),
                    why: "beyond a tenth of its voltage a compressor does not start, or overheats",
                    remedy: "use another panel, a model for this voltage, or a transformer that a licensed electrician sizes".into(),
                    source: Source::published(
                        "NEMA MG 1, as quoted publicly",
                        "12.44: within 10 % of rated voltage",
                    ),
                }
                .compared(shown(volts), shown(limit_v)),
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
    fn ten_per_cent_below_the_plate_is_let_pass() {
        let at = |volts: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].hookup.rated_v = 240.0;
            power.branches[0].hookup.volts = volts;
            check(&room, &power)
        };
        assert!(at(216.0).is_empty() && at(264.0).is_empty());
        let (finding, measured, limit) = one(at(215.0));
        assert_eq!(finding.severity, Severity::Stop);
        assert!((measured - 215.0).abs() < 1e-9 && (limit - 216.0).abs() < 1e-9);
        assert!((one(at(265.0)).2 - 264.0).abs() < 1e-9);
    }
}

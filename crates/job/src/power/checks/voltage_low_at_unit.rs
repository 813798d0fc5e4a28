//! The drop takes the unit below its voltage.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use super::super::supply::VOLTAGE_TOLERANCE;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .branches
        .iter()
        .filter_map(|b| {
            let run = b.run.as_ref()?;
            let limit_v = (1.0 - VOLTAGE_TOLERANCE) * b.hookup.rated_v;
            let at_unit_v = b.hookup.volts - run.drop_v;
            // A supply that is too low by itself is another finding.
            if b.hookup.volts < limit_v - 1e-6 || limit_v - 1e-6 <= at_unit_v {
                return None;
            }
            let shown = |v: f64| Value::new(v, Dim::Voltage).digits(4);
            Some(
                Said {
                    check: "voltage_low_at_unit",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: super::unit(b),
                    what: Text::from(format!("{} sees ", b.tag))
                        .value(shown(at_unit_v))
                        .words(" at full load, rated ")
                        .value(shown(b.hookup.rated_v)),
                    why: "below nine tenths of its voltage a compressor runs hot and may not start",
                    remedy:
                        "use a larger conductor, a nearer panel, or a model rated for this supply"
                            .into(),
                    source: Source::published(
                        "NEMA MG 1, as quoted publicly",
                        "12.44: within 10 % of rated voltage",
                    ),
                }
                .compared(shown(at_unit_v), shown(limit_v)),
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
    fn nine_tenths_at_the_unit_are_let_pass() {
        let with = |drop_v: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            let b = &mut power.branches[0];
            (b.hookup.volts, b.hookup.rated_v) = (208.0, 230.0);
            b.run.as_mut().unwrap().drop_v = drop_v;
            check(&room, &power)
        };
        assert!(with(1.0).is_empty());
        let (_, measured, limit) = one(with(1.1));
        assert!((measured - 206.9).abs() < 1e-9 && (limit - 207.0).abs() < 1e-9);
    }
}

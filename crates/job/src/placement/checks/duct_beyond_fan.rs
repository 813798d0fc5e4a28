//! Ducts take more pressure than the fan of the record is known to give.

use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};

use super::place;
use crate::finding::Said;
use crate::placement::scene::Scene;

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for u in &scene.units {
        let Some(last) = u.model.fan.points().last() else {
            continue;
        };
        let pressure = |pa: f64| Value::new(pa, Dim::Pressure);
        let found = u.unit.ducted.external_static_pa();
        let most = last.static_pa;
        if found <= most + 1e-9 {
            continue;
        }
        all.push(
            Said {
                check: "duct_beyond_fan",
                severity: Severity::Fix,
                step: Step::Placement,
                place: place(u),
                what: Text::from("its ducts take ")
                    .value(pressure(found))
                    .words(" and leave ")
                    .value(Value::new(u.unit.ducted.air_flow_m3_per_s, Dim::AirFlow))
                    .words("; its fan curve ends at ")
                    .value(pressure(most)),
                why: "beyond its curve nobody knows the air flow, and the coil may frost",
                remedy:
                    "make the ducts wider or shorter, with fewer bends, and stretch flexible duct"
                        .into(),
                source: Source::assumed("fan curve of the machine record"),
            }
            .compared(pressure(found), pressure(most)),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::super::rig::{hung, passes_and_fails};
    use super::*;

    #[test]
    fn the_fan_curve_is_the_cap() {
        // The curve ends at 0.5 in w.g. = 124.5 Pa and 588 cfm.
        let with = |m: f64| {
            hung("D1", [5.0, 4.0, 3.3])
                + &format!(
                    "[[duct]]\nunit = \"D1\"\nside = \"outlet\"\nlength = \"{m} m\"\ndiameter = \"0.2 m\"\n"
                )
        };
        // 0.2775 m³/s in 0.2 m: 8.83 m/s, about 4.4 Pa/m and 47 Pa at the end:
        // 124 Pa at about 18 m.
        let f = passes_and_fails(check, &with(15.0), &with(22.0));
        assert_eq!(f.severity, Severity::Fix);
    }
}

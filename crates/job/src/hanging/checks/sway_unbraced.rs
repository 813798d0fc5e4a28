//! A hung unit swings and needs braces.
//!
//! Ducts push it, people lean on it, an earthquake shakes it. Remedy: cables or
//! struts in two directions.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::Hanging;

/// Rod length up to which a unit hardly swings \[m\]: 12 in.
///
/// From memory of the exemption for piping and ducts on short hangers in ASCE 7.
const SHORT_M: f64 = 12.0 * 0.0254;

pub(super) fn check(_room: &Room, hanging: &Hanging) -> Vec<Finding> {
    hanging
        .units
        .iter()
        .filter_map(|unit| {
            let sway = unit.sway.as_ref()?;
            let said = |severity, what, source| Said {
                check: "sway_unbraced",
                severity,
                step: Step::Hanging,
                place: Place::new(unit.tag.clone()),
                what,
                why: "a unit that swings loosens its nuts, tears its drain and strikes what is beside it",
                remedy: "fit braces in two directions, one at each corner, as the licensed structural engineer says".into(),
                source,
            };
            let length = |m: f64| Value::new(m, Dim::Length);
            if let Some(force_n) = sway.seismic_n.filter(|n| 0.0 < *n) {
                return Some(
                    said(
                        Severity::Fix,
                        Text::from("the site has earthquakes: a horizontal force of ")
                            .value(Value::new(force_n, Dim::Force))
                            .words(" must be braced; units of this mass are not exempt"),
                        Source::published("ASCE 7-10, as transcribed", "13.1.4 and eq. 13.3-1"),
                    )
                    .finding(),
                );
            }
            if 0 < sway.ducts {
                return Some(
                    said(
                        Severity::Fix,
                        Text::from(format!(
                            "{} of its sides push at it through ducts; on its rods alone it swings",
                            sway.ducts
                        )),
                        Source::common_practice("ducted units are braced both ways"),
                    )
                    .finding(),
                );
            }
            (SHORT_M < sway.length_m).then(|| {
                said(
                    Severity::Note,
                    Text::from("on rods of ")
                        .value(length(sway.length_m))
                        .words(" it swings once in ")
                        .value(Value::new(sway.period_s, Dim::Duration)),
                    Source::memory("ASCE 7: hangers of 12 in and less need no brace", "for pipes and ducts"),
                )
                .compared(length(sway.length_m), length(SHORT_M))
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::bench::{SLAB, hung, of, room};
    use super::*;
    use crate::common::{one, says};
    use room::Mount;

    #[test]
    fn short_rods_need_no_brace() {
        let (room, mut hanging) = hung();
        let mut with = |m: f64| {
            if let Some(sway) = &mut hanging.units[0].sway {
                sway.length_m = m;
            }
            check(&room, &hanging)
        };
        assert!(with(0.3047).is_empty());
        let (finding, ..) = one(with(0.31));
        assert_eq!(finding.severity, Severity::Note);
    }

    #[test]
    fn ducts_and_earthquakes_ask_for_braces() {
        let ducted = room(&format!(
            "{SLAB}\n[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\n[[duct]]\nunit = \"D1\"\nside = \"outlet\"\nlength = \"3 m\"\ndiameter = \"0.3 m\""
        ));
        let shaken = room(&format!(
            "{SLAB}\n[hanging]\nseismic_acceleration = \"0.5\""
        ));
        let still = room(&format!("{SLAB}\n[hanging]\nseismic_acceleration = \"0\""));
        for room in [&ducted, &shaken] {
            let found = check(room, &of(room, Mount::Hung));
            assert_eq!(found[0].severity, Severity::Fix);
            says(&found[0]);
        }
        let found = check(&still, &of(&still, Mount::Hung));
        assert_eq!(found[0].severity, Severity::Note);
    }
}

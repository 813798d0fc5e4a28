//! Something stands before a panel.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    power
        .panels
        .iter()
        .flat_map(|p| {
            let space = p.working_space.iter();
            space.flat_map(move |space| {
                space.in_it.iter().map(move |(name, left_m)| {
                    let length = |m: f64| Value::new(m, Dim::Length);
                    Said {
                        check: "working_space_blocked",
                        severity: Severity::Fix,
                        step: Step::Power,
                        place: Place::new(format!("panel {}", p.name)),
                        what: Text::from(format!("{name} stands "))
                            .value(length(*left_m))
                            .words(" before the panel, which needs ")
                            .value(length(space.depth_m)),
                        why: "who works on a live panel must be able to step back",
                        remedy: Text::from(format!(
                            "move {name} out of the space before the panel, as wide as the panel and at least "
                        ))
                        .value(length(0.762)),
                        source: Source::published(
                            "NEC, as quoted publicly; IEC sites: by the local rules",
                            "Table 110.26(A)(1)",
                        ),
                    }
                    .compared(length(*left_m), length(space.depth_m))
                })
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn a_bench_at_three_feet_passes_and_nearer_fails() {
        let with = |x: &str| {
            let bench = format!(
                "{PANEL}[[bench]]\nname = \"bench 1\"\nat = [\"{x}\", \"2 m\", \"0.8 m\"]\n\
                 length = \"2 m\"\nwidth = \"1 m\"\n"
            );
            let (room, power) = scene(&bench, &["generic-70"]);
            check(&room, &power)
        };
        assert!(with("1.92 m").is_empty());
        let (_, measured, limit) = one(with("1.9 m"));
        assert!((measured - 0.9).abs() < 1e-9 && limit == 0.914);
    }
}

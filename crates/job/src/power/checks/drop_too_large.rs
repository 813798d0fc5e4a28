//! Too much voltage is lost on the way.

use quantity::{Dim, Finding, Severity, Step, Text, Value};
use room::Room;

use super::super::Power;
use crate::finding::Said;

pub(super) fn check(room: &Room, power: &Power) -> Vec<Finding> {
    let most = &room.wiring.max_drop;
    power
        .branches
        .iter()
        .filter_map(|b| {
            let run = b.run.as_ref()?;
            if run.drop <= most.value + 1e-9 {
                return None;
            }
            let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
            Some(
                Said {
                    check: "drop_too_large",
                    severity: Severity::Fix,
                    step: Step::Power,
                    place: super::unit(b),
                    what: Text::from(format!("the circuit of {} loses ", b.tag))
                        .value(share(run.drop))
                        .words(" of its voltage over ")
                        .value(Value::new(run.conductor_m, Dim::Length))
                        .words(format!(" of {}", b.size.name)),
                    why: "low voltage at the compressor: hot windings, hard starts",
                    remedy: "use a nearer panel, a shorter way, or a larger conductor than the sizes offered here".into(),
                    source: most.source(),
                }
                .compared(share(run.drop), share(most.value)),
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
    fn three_per_cent_are_let_pass() {
        let with = |drop: f64| {
            let (room, mut power) = scene(PANEL, &["generic-70"]);
            power.branches[0].run.as_mut().unwrap().drop = drop;
            check(&room, &power)
        };
        assert!(with(0.03).is_empty());
        let (_, measured, limit) = one(with(0.031));
        assert_eq!((measured, limit), (0.031, 0.03));
    }
}

//! A start pulls the generator down too far.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use super::super::Power;
use super::super::restart::MOST_DIP;
use crate::finding::Said;

pub(super) fn check(_room: &Room, power: &Power) -> Vec<Finding> {
    let Some(g) = power.generator.as_ref().filter(|g| MOST_DIP + 1e-9 < g.dip) else {
        return Vec::new();
    };
    let share = |x: f64| Value::new(x, Dim::Fraction);
    let remedy = if g.staggered_dip <= MOST_DIP + 1e-9 {
        Text::from("start the units one after the other: the dip is then ")
            .value(share(g.staggered_dip))
    } else {
        Text::from("use a larger generator, or put fewer units on it: one start alone dips ")
            .value(share(g.staggered_dip))
    };
    vec![
        Said {
            check: "generator_dips",
            severity: Severity::Fix,
            step: Step::Power,
            place: Place::new(g.name.clone()),
            what: Text::from("units that start together pull the generator down by ")
                .value(share(g.dip)),
            why: "contactors and controls let go near 70 to 80 % of their voltage",
            remedy,
            source: Source::memory("15 %, well above where contactors drop out", ""),
        }
        .compared(share(g.dip), share(MOST_DIP)),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::scene::*;
    use super::*;
    use crate::common::one;

    #[test]
    fn fifteen_per_cent_are_let_pass() {
        let with = |dip: f64| {
            let set = format!("{PANEL}[generator]\nrating = \"30 kVA\"\n");
            let (room, mut power) = scene(&set, &["generic-70"]);
            power.generator.as_mut().unwrap().dip = dip;
            check(&room, &power)
        };
        assert!(with(0.15).is_empty());
        let (_, measured, limit) = one(with(0.151));
        assert_eq!((measured, limit), (0.151, 0.15));
    }
}

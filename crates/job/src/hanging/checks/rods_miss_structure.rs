//! Rods do not come straight down from the members overhead.
//!
//! Strut channel across the members then carries the rods. Where spacing,
//! direction or the first member is not surveyed, it cannot be said whether
//! they meet. Remedy: survey the members, or move the unit.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::hanging::structure::{MEETS_M, Members, Overhead, overhead};
use crate::hanging::{CarriedUnit, Hanging};

const WHY: &str = "a rod that is bent over to a member, or fastened beside it, is overloaded: rods carry only straight tension";

pub(super) fn check(room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let members = match overhead(room) {
        Overhead::Members(members) => members,
        Overhead::MembersSomewhere => {
            return hanging
                .units
                .iter()
                .filter(|u| !u.rods.is_empty())
                .map(somewhere)
                .collect();
        }
        Overhead::Unknown | Overhead::Slab | Overhead::Panel => return Vec::new(),
    };
    hanging
        .units
        .iter()
        .filter_map(|unit| of_unit(unit, &members))
        .collect()
}

fn said(unit: &CarriedUnit, severity: Severity, what: Text, remedy: Text) -> Said {
    Said {
        check: "rods_miss_structure",
        severity,
        step: Step::Hanging,
        place: Place::new(unit.tag.clone()),
        what,
        why: WHY,
        remedy,
        source: Source::assumed("a rod meets a member within half of a narrow flange"),
    }
}

fn somewhere(unit: &CarriedUnit) -> Finding {
    said(
        unit,
        Severity::Fix,
        "spacing or direction of the members overhead was not surveyed: whether the rods meet them is open".into(),
        "measure the members; fill in spacing, runs and first in [structure]".into(),
    )
    .finding()
}

fn of_unit(unit: &CarriedUnit, members: &Members) -> Option<Finding> {
    if unit.rods.is_empty() {
        return None;
    }
    let offs: Option<Vec<f64>> = unit
        .rods
        .iter()
        .map(|r| members.off_m(r.foot_m[members.across]))
        .collect();
    let Some(offs) = offs else {
        return Some(
            said(
                unit,
                Severity::Note,
                "where the first member overhead is was not surveyed: the rods hang from strut channel across the members, wherever these are".into(),
                "find the members on site; say first in [structure] to draw the channel where it goes".into(),
            )
            .finding(),
        );
    };
    let worst = offs.into_iter().fold(0.0, f64::max);
    (MEETS_M < worst).then(|| {
        let length = |m: f64| Value::new(m, Dim::Length).digits(3);
        said(
            unit,
            Severity::Note,
            Text::from("a rod comes down ")
                .value(length(worst))
                .words(" beside the nearest member: two strut channels across the members carry the rods"),
            "build the channels as drawn, or move the unit so that its hanging points lie under members".into(),
        )
        .compared(length(worst), length(MEETS_M))
    })
}

#[cfg(test)]
mod tests {
    use super::super::bench::{JOISTS, of, room};
    use super::*;
    use crate::common::{one, says};
    use crate::hanging::Way;
    use room::Mount;

    #[test]
    fn rods_meet_members_within_half_a_flange() {
        // Members along y, at the rods' own spacing along x.
        let with = |first: f64| {
            let text = format!(
                "[structure]\nkind = \"strut\"\nspacing = \"40 in\"\nruns = \"y\"\nfirst = \"{first} m\""
            );
            room(&text)
        };
        // The rods of a unit in the middle of x = 2 m are 20 in to either side.
        let meets = 2.0 - 20.0 * 0.0254 - 0.0254 * 40.0;
        let near = with(meets + 0.024);
        let hanging = of(&near, Mount::Hung);
        assert!(check(&near, &hanging).is_empty());
        assert_eq!(hanging.units[0].way, Way::Rods);
        assert!(hanging.units[0].struts.is_empty());

        let off = with(meets + 0.026);
        let hanging = of(&off, Mount::Hung);
        let (_, measured, limit) = one(check(&off, &hanging));
        assert!((measured - 0.026).abs() < 1e-9 && limit == 0.025);
        assert_eq!(hanging.units[0].way, Way::RodsFromStrut);
        assert_eq!(hanging.units[0].struts.len(), 2);
    }

    #[test]
    fn members_that_were_not_surveyed_are_asked_for() {
        let some = room("[structure]\nkind = \"wood joist\"");
        let found = check(&some, &of(&some, Mount::Hung));
        assert_eq!(found[0].severity, Severity::Fix);
        says(&found[0]);
        let joists = room(JOISTS);
        let hanging = of(&joists, Mount::Hung);
        let found = check(&joists, &hanging);
        assert_eq!(found[0].severity, Severity::Note);
        says(&found[0]);
        assert_eq!(hanging.units[0].way, Way::RodsFromStrut);
        assert!(check(&joists, &of(&joists, Mount::Stand)).is_empty());
    }
}

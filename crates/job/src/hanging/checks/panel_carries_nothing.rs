//! Units hang from an insulated panel ceiling.
//!
//! Panels span their own weight and little more; a rod in their facing pulls
//! out. Remedy: rods through the panel to the structure above, or a stand.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use crate::finding::Said;
use crate::hanging::{Hanging, structure::Overhead, structure::overhead};

pub(super) fn check(room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let hung: Vec<&str> = hanging
        .units
        .iter()
        .filter(|u| !u.rods.is_empty())
        .map(|u| u.tag.as_str())
        .collect();
    if hung.is_empty() || overhead(room) != Overhead::Panel {
        return Vec::new();
    }
    vec![
        Said {
            check: "panel_carries_nothing",
            severity: Severity::Stop,
            step: Step::Hanging,
            place: Place::new("structure overhead"),
            what: Text::from(format!(
                "{} would hang from a panel ceiling, which carries nothing by itself",
                hung.join(", ")
            )),
            why: "a rod in the facing of a panel pulls out, and the unit falls",
            remedy: "take the rods through sealed sleeves to the structure above and say in [structure] what that is; or set the units on stands".into(),
            source: Source::common_practice("insulated ceiling panels carry no equipment"),
        }
        .finding(),
    ]
}

#[cfg(test)]
mod tests {
    use super::super::bench::{SLAB, of, room};
    use super::*;
    use crate::common::says;
    use room::Mount;

    #[test]
    fn a_panel_carries_no_unit() {
        let panel = room("[structure]\nkind = \"panel\"");
        let found = check(&panel, &of(&panel, Mount::Hung));
        assert_eq!(found.len(), 1);
        says(&found[0]);
        assert_eq!(found[0].severity, Severity::Stop);
        assert!(check(&panel, &of(&panel, Mount::Stand)).is_empty());
        let slab = room(SLAB);
        assert!(check(&slab, &of(&slab, Mount::Hung)).is_empty());
    }
}

//! The survey does not say what is overhead.
//!
//! Rods are then drawn up to the ceiling, and where they can start is open.
//! Remedy: look above the ceiling and fill in `[structure]`.

use quantity::{Finding, Place, Severity, Source, Step};
use room::Room;

use crate::finding::Said;
use crate::hanging::{Hanging, structure::Overhead, structure::overhead};

pub(super) fn check(room: &Room, hanging: &Hanging) -> Vec<Finding> {
    let hangs = hanging.units.iter().any(|u| !u.rods.is_empty());
    if !hangs || overhead(room) != Overhead::Unknown {
        return Vec::new();
    }
    vec![
        Said {
            check: "structure_unknown",
            severity: Severity::Fix,
            step: Step::Hanging,
            place: Place::new("structure overhead"),
            what: "units hang, but the survey does not say from what; rods are drawn up to the ceiling".into(),
            why: "rods must start from something that carries them, and their length follows from where it is",
            remedy: "look above the ceiling; fill in kind, underside, spacing, runs and first in [structure]; have a licensed structural engineer approve the loads".into(),
            source: Source::common_practice("hang equipment from structure that an engineer has approved"),
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
    fn a_hung_unit_needs_a_surveyed_structure() {
        let bare = room("");
        let found = check(&bare, &of(&bare, Mount::Hung));
        assert_eq!(found.len(), 1);
        says(&found[0]);
        assert!(check(&bare, &of(&bare, Mount::Stand)).is_empty());
        let slab = room(SLAB);
        assert!(check(&slab, &of(&slab, Mount::Hung)).is_empty());
    }
}

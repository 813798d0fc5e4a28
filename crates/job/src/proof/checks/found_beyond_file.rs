//! What was found is more or less than the room file takes.

use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::Room;

use super::super::Proposal;
use super::Proof;
use crate::finding::Said;

pub(super) fn check(_: &Room, proof: &Proof) -> Vec<Finding> {
    proof.proposals.iter().filter_map(finding).collect()
}

fn finding(proposal: &Proposal) -> Option<Finding> {
    let cut = proposal.cut?;
    let found = proposal.in_file(cut.found);
    let severity = if cut.takes_likely() {
        Severity::Fix
    } else {
        Severity::Note
    };
    Some(
        Said {
            check: "found_beyond_file",
            severity,
            step: Step::Proof,
            place: Place::new(format!("[{}] {}", proposal.section, proposal.key)),
            what: Text::from(format!(
                "the log gives {found}, more than the field can say; the proposal is {}",
                cut.words(proposal.unit)
            )),
            why: "A number at the end of its range is not what was found: the balance puts there what belongs to something that was not surveyed.",
            remedy: "Look for what the survey left out (water stored in media, walls or hung crop, a door that stands open, a unit that is not logged) and prove again; take the proposal over only where nothing is found.".into(),
            source: Source::assumed("fields of the room file end where rooms that are known end"),
        }
        .finding(),
    )
}

#[cfg(test)]
mod tests {
    use quantity::Band;

    use super::*;
    use crate::proof::Cut;

    #[test]
    fn only_what_was_cut_is_told_and_the_likely_value_weighs_more() {
        let of = |found: Option<Band>| Proposal {
            section: "envelope",
            nth: 0,
            key: "moisture_capacity",
            typed: "30.0".into(),
            what: "moisture capacity".into(),
            before: "1".into(),
            as_surveyed: Band::exact(1.0),
            as_found: Band::exact(30.0),
            cut: found.map(|found| Cut {
                found,
                allowed: [1.0, 30.0],
            }),
            unit_si: 1.0,
            unit: "",
        };
        assert!(finding(&of(None)).is_none());
        let edge = finding(&of(Some(Band::new(20.0, 28.0, 38.0)))).unwrap();
        assert_eq!(edge.severity, Severity::Note);
        let beyond = finding(&of(Some(Band::new(36.0, 44.0, 52.0)))).unwrap();
        assert_eq!(beyond.severity, Severity::Fix);
        let said = format!("{:?}", beyond.what);
        assert!(
            said.contains("36.0..44.0..52.0") && said.contains("cut at 30.0"),
            "{said}"
        );
    }
}

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
    let (severity, why, remedy) = if cut.likely_is_beyond() {
        (
            Severity::Fix,
            "A number at the end of its range is not what was found: the balance puts there what belongs to something that was not surveyed.",
            "Look for what the survey left out (water stored in media, walls or hung crop, a door that stands open, a unit that is not logged) and prove again; take the proposal over only where nothing is found.",
        )
    } else {
        (
            Severity::Note,
            "The likely value lies inside the field; of its spread only what the field can say is kept, so that it shows less doubt than the log left.",
            "Take the proposal over; a longer log narrows the spread.",
        )
    };
    let place = match &proposal.tag {
        Some(tag) => format!("unit {tag}, {}", proposal.key),
        None => format!("[{}] {}", proposal.section, proposal.key),
    };
    Some(
        Said {
            check: "found_beyond_file",
            severity,
            step: Step::Proof,
            place: Place::new(place),
            what: Text::from(format!(
                "the log gives {found}, {} than the field can say; the proposal is {}",
                cut.beyond(),
                cut.words(proposal.unit)
            )),
            why,
            remedy: remedy.into(),
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
        let of = |found: Option<Band>, tag: Option<&str>| Proposal {
            section: "unit",
            nth: 0,
            tag: tag.map(Into::into),
            key: "removal_factor",
            typed: "0.5".into(),
            what: "water that it removes".into(),
            before: "1".into(),
            as_surveyed: Band::exact(1.0),
            as_found: Band::exact(0.5),
            cut: found.map(|found| Cut {
                found,
                allowed: [0.5, 1.5],
            }),
            unit_si: 1.0,
            unit: "",
        };
        assert!(finding(&of(None, None)).is_none());
        let edge = finding(&of(Some(Band::new(0.4, 0.6, 0.8)), Some("D2"))).unwrap();
        assert_eq!(edge.severity, Severity::Note);
        assert_eq!(edge.place.0, "unit D2, removal_factor");
        let said = format!("{:?}", edge.what);
        assert!(
            said.contains("0.400..0.600..0.800, less than the field")
                && said.contains("cut at 0.500"),
            "{said}"
        );
        let beyond = finding(&of(Some(Band::new(1.6, 1.8, 2.0)), None)).unwrap();
        assert_eq!(beyond.severity, Severity::Fix);
        assert_eq!(beyond.place.0, "[unit] removal_factor");
        assert!(edge.why != beyond.why);
        let said = format!("{:?}", beyond.what);
        assert!(
            said.contains("more than the field") && said.contains("cut at 1.50"),
            "{said}"
        );
    }
}

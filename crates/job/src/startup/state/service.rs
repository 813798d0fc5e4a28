//! Faults that were looked for, as findings: open until they are written down
//! as mended, or closed like any other.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::State;
use crate::record::{Body, FaultEntry, FindingClosed, Kept, Mended};
use crate::service::Knowledge;

/// Name under which faults of the record are found.
const CHECK: &str = "fault_recorded";

/// Puts the faults of the record among the findings. What was last written of
/// a cause on a unit holds.
pub(super) fn add_faults(kept: &[Kept<'_>], state: &mut State) {
    for (place, kept_here) in kept.iter().enumerate() {
        let Some(Body::Fault(fault)) = kept_here.holds else {
            continue;
        };
        let later = |k: &&Kept<'_>| matches!(k.holds, Some(Body::Fault(l)) if same(fault, l));
        if kept[place + 1..].iter().any(|k| later(&k)) {
            continue;
        }
        let finding = finding(fault, &kept_here.first.writer.person);
        let closed = match fault.mended {
            Mended::Done => Some(FindingClosed {
                check: CHECK.into(),
                place: finding.place.0.to_string(),
                how: fault.remedy.clone(),
            }),
            Mended::Open => super::fold::closing(&kept[place..], &finding).cloned(),
        };
        match closed {
            Some(closed) => state.closed.push((finding, closed)),
            None => state.findings.push(finding),
        }
    }
}

/// Whether two entries are of one fault: an entry without a cause is followed
/// by one that has found it.
fn same(earlier: &FaultEntry, later: &FaultEntry) -> bool {
    earlier.unit == later.unit && (earlier.cause == later.cause || earlier.cause.is_none())
}

fn finding(fault: &FaultEntry, by: &str) -> Finding {
    let knowledge = Knowledge::built_in();
    let cause = fault.cause.as_deref().map(|id| {
        let known = knowledge.causes.iter().find(|c| c.id == id);
        known.map_or(id, |c| c.name.as_str())
    });
    let seen: Vec<&str> = fault
        .symptoms
        .iter()
        .map(|id| knowledge.symptom(id).map_or(id.as_str(), |s| &s.words))
        .collect();
    let seen = if seen.is_empty() {
        "nothing that was seen was noted".to_owned()
    } else {
        format!("seen: {}", seen.join("; "))
    };
    Finding {
        check: CHECK.into(),
        severity: Severity::Fix,
        step: Step::Service,
        place: match &fault.unit {
            Some(tag) => Place::new(format!("unit {tag}")),
            None => Place::new("room"),
        },
        what: Text::from(cause.map_or_else(
            || "a fault whose cause is not found yet".to_owned(),
            str::to_owned,
        )),
        measured: None,
        limit: None,
        why: Text::from(format!("{seen}; written down by {by}")),
        remedy: Text::from(fault.remedy.clone()),
        source: Source::measured("record", "entry of a fault"),
    }
}

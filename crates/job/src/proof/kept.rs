//! Whether a proof that was kept still is of the design that stands.

use quantity::{Finding, Place, Severity, Source, Step, Text};

use crate::finding::Said;

const SOURCE: Source = Source::assumed("a proof is of one design and of the logs it was made from");

/// What changed since a proof was kept: the design, by its id, and logs, by
/// their names.
pub fn changed_since(kept_id: &str, now_id: &str, changed_logs: &[String]) -> Vec<Finding> {
    let mut all = Vec::new();
    if kept_id != now_id {
        all.push(
            Said {
                check: "design_changed_since_proof",
                severity: Severity::Fix,
                step: Step::Proof,
                place: Place::new("design"),
                what: Text::from(format!(
                    "the proof was kept for design {kept_id:.8}; the design now is {now_id:.8}"
                )),
                why: "The room file, the site file or a machine file changed since: what the log is held against here is not what was built by when it ran.",
                remedy: "Log the room as it is now and prove it again; until then read this as what the old room would do by the new design.".into(),
                source: SOURCE,
            }
            .finding(),
        );
    }
    if !changed_logs.is_empty() {
        all.push(
            Said {
                check: "log_changed_since_proof",
                severity: Severity::Fix,
                step: Step::Proof,
                place: Place::new("log"),
                what: Text::from(format!(
                    "{} holds other readings than when the proof was kept",
                    changed_logs.join(", ")
                )),
                why: "What stands here is not what was seen when it was kept.",
                remedy: "Put the log back as it was, or keep the proof again.".into(),
                source: SOURCE,
            }
            .finding(),
        );
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_change_is_told_and_none_is_not() {
        let named = |kept: &str, logs: &[String]| -> Vec<String> {
            let all = changed_since(kept, "0123456789abcdef", logs);
            all.iter().map(|f| f.check.to_string()).collect()
        };
        assert!(named("0123456789abcdef", &[]).is_empty());
        assert_eq!(
            named("1123456789abcdef", &[]),
            ["design_changed_since_proof"]
        );
        let log = ["a.csv".to_owned()];
        assert_eq!(named("0123456789abcdef", &log), ["log_changed_since_proof"]);
    }
}

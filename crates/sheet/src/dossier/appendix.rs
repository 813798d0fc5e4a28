//! Findings in full, assumptions, cautions, workings.

use job::{Design, HoldRule};
use quantity::{Finding, Part, Severity, Source, Text, UnitSystem, Value};
use room::Room;

use crate::families::Families;
use crate::report::{Assumption, Block, Level};
use crate::shown;

pub(super) fn blocks(
    room: &Room,
    design: &Design,
    units: UnitSystem,
    before: &[Block],
    workings: &Families,
) -> Vec<Block> {
    let findings = not_yet(design, before);
    let mut blocks = Vec::new();
    if !findings.is_empty() {
        let head = if findings.iter().all(|f| f.severity == Severity::Note) {
            "Worth knowing"
        } else {
            "Further findings in full"
        };
        blocks.push(Block::Heading(Level::One, head.into()));
        blocks.push(Block::Findings(findings));
    }
    blocks.push(Block::Heading(Level::One, "What was assumed".into()));
    blocks.push(Block::Assumptions(assumptions(room, units)));
    blocks.push(Block::Heading(Level::One, "Cautions".into()));
    blocks.push(Block::Cautions(cautions()));
    if !workings.all.is_empty() {
        blocks.push(Block::Heading(Level::One, "Workings".into()));
        blocks.push(Block::Families(workings.all.clone()));
    }
    blocks
}

/// Findings that do not stand in full on a sheet before.
fn not_yet(design: &Design, before: &[Block]) -> Vec<Finding> {
    let shown: Vec<&Finding> = before
        .iter()
        .filter_map(|b| match b {
            Block::Findings(all) => Some(all),
            _ => None,
        })
        .flatten()
        .collect();
    let all = design.findings().into_iter();
    all.filter(|f| !shown.contains(f)).cloned().collect()
}

/// Assumptions of the survey, then those of the steps. What was taken alike on
/// the same grounds stands in one line.
fn assumptions(room: &Room, units: UnitSystem) -> Vec<Assumption> {
    let mut all: Vec<Assumption> = Vec::new();
    for a in &room.assumptions {
        let what = Text::from(a.what.trim_end_matches('.'));
        let taken = honest(&a.taken, units);
        let alike = all
            .iter_mut()
            .find(|o| o.what == what && o.taken == taken && o.source == a.source);
        match alike {
            Some(other) => {
                other.keys.push_str(", ");
                other.keys.push_str(&a.key);
            }
            None => all.push(Assumption {
                what,
                keys: a.key.clone(),
                taken,
                source: a.source.clone(),
            }),
        }
    }
    let of_program = [
        (
            "When a drawn day holds",
            "most of each period",
            HoldRule::SOURCE,
        ),
        (
            "Air states in the room",
            "one for the whole room",
            Source::assumed("well mixed by the circulation fans; placement shows where it is not"),
        ),
        (
            "What a unit removes, less what its record says",
            "±5 % of its own data, ±10 % where only a rating is known",
            Source::published(
                "Winkler, Christensen and Tomerlin 2011 against the example curves of a public simulation program",
                "the two sets differ by this much away from the rating point; ±5 % assumed for own data",
            ),
        ),
    ];
    all.extend(of_program.map(|(what, taken, source)| Assumption {
        what: what.into(),
        keys: String::new(),
        taken: taken.into(),
        source,
    }));
    all
}

/// A value that someone chose is shown with the digits in which it was chosen:
/// "3 min", not "3.00 min". Those are the fewest that say the same in the
/// reader's units, else in the metric ones, in which it was chosen then.
pub fn honest(text: &Text, units: UnitSystem) -> Text {
    text.parts()
        .iter()
        .fold(Text::new(), |out, part| match part {
            Part::Words(words) => out.words(words.clone()),
            Part::Place(place) => out.place(place.clone()),
            Part::Value(value) => out.words(as_chosen(*value, units)),
        })
}

fn as_chosen(value: Value, units: UnitSystem) -> String {
    let fewest = |system: UnitSystem| {
        let said = |digits: u8| quantity::read(&value.digits(digits).show(system), value.dim);
        let whole = said(value.digits).ok()?.si;
        (2..value.digits)
            .find(|d| said(*d).is_ok_and(|v| (v.si - whole).abs() <= 1e-9 * whole.abs()))
    };
    match (fewest(units), fewest(UnitSystem::Metric)) {
        (Some(digits), _) => without_idle_zeros(&shown::quantity(&value.digits(digits), units)),
        // Converted, it stays as near to what was chosen as two digits say.
        (None, Some(digits)) => shown::quantity(&value.digits(digits), units),
        (None, None) => shown::quantity(&value, units),
    }
}

/// Without zeros at the end of the number's places.
fn without_idle_zeros(shown: &str) -> String {
    let end = shown.find('\u{a0}').unwrap_or(shown.len());
    let (number, unit) = shown.split_at(end);
    let number = if number.contains('.') {
        number.trim_end_matches('0').trim_end_matches('.')
    } else {
        number
    };
    format!("{number}{unit}")
}

/// The usual cautions of the work that this dossier leads to.
fn cautions() -> Vec<Text> {
    [
        "Electricity: work on circuits and connections is for licensed electricians; lock out and test before touching.",
        "Lifting and height: units are heavier than they look; use rated lifting gear, keep people from under the load, and guard against falls.",
        "Structure: what may hang from a roof or ceiling is for a licensed engineer to say.",
        "Refrigerant: circuits are opened by certified people only; ventilate after a leak.",
        "Drinking water: condensate is not drinking water; drains end in an indirect waste with an air gap.",
        "Carbon dioxide and burners: measure before entering an enriched room; unvented burners need working sensors and ventilation.",
        "Local codes and the instructions of the maker stand above this dossier.",
    ]
    .map(Text::from)
    .to_vec()
}

#[cfg(test)]
mod tests {
    use quantity::Dim;

    use super::*;

    #[test]
    fn chosen_numbers_claim_no_digits() {
        let shown = |si: f64, dim: Dim, units: UnitSystem| {
            as_chosen(Value::new(si, dim), units).replace('\u{a0}', " ")
        };
        assert_eq!(shown(180.0, Dim::Duration, UnitSystem::Us), "3 min");
        assert_eq!(shown(0.9, Dim::Fraction, UnitSystem::Us), "90 %");
        assert_eq!(shown(1.0, Dim::Number, UnitSystem::Metric), "1");
        assert_eq!(
            shown(1.0, Dim::TemperatureDifference, UnitSystem::Us),
            "1.8 °F"
        );
        assert_eq!(shown(12.0, Dim::Temperature, UnitSystem::Metric), "12 °C");
        assert_eq!(shown(12.0, Dim::Temperature, UnitSystem::Us), "54 °F");
        // What was computed keeps its digits.
        assert_eq!(shown(0.2345, Dim::Fraction, UnitSystem::Us), "23.4 %");
    }
}

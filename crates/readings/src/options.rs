//! What a person says about a file, over what the file says itself.

use crate::clock::Zone;
use crate::elapsed::Begin;
use crate::measure::Role;
use crate::order::DateOrder;
use crate::refusal::{Ask, Refusal, Told};

/// What a person says about a file. Everything left out is taken from the file.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// Byte between cells.
    pub delimiter: Option<u8>,
    /// Byte before decimals, `.` or `,`.
    pub decimal: Option<u8>,
    /// Order of day, month and year.
    pub dates: Option<DateOrder>,
    /// Zone of times that name none.
    pub zone: Option<Zone>,
    /// What columns are.
    pub columns: Vec<ColumnChoice>,
    /// When it began, of a log that counts from its start.
    pub begin: Option<Begin>,
    /// Tags of the units that stand in the room: a column with nothing but a tag
    /// for its head tells of that unit.
    pub tags: Vec<String>,
}

impl Options {
    /// Whether a head is the tag of a unit and nothing else.
    pub(crate) fn is_tag(&self, head: &str) -> bool {
        let head = head.trim();
        self.tags.iter().any(|t| t.eq_ignore_ascii_case(head))
    }
}

/// What one column is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ColumnChoice {
    /// Its head, or `#3` for the third.
    pub column: String,
    /// What it is.
    pub role: Role,
    /// Its unit, if it was named.
    pub unit: Option<String>,
}

impl ColumnChoice {
    /// Reads `Name=dry bulb °F`, `#3=ignore`.
    ///
    /// # Errors
    /// No `=`, or words that name nothing.
    pub fn read(text: &str) -> Result<Self, Refusal> {
        let wrong = || {
            let words: Vec<&str> = crate::Measure::ALL
                .iter()
                .map(|m| m.word())
                .chain(Role::WORDS.iter().map(|(w, _)| *w))
                .collect();
            Refusal::Choice {
                why: format!(
                    "{text:?} says of no column what it is: WHAT is one of {}",
                    words.join(", ")
                ),
                ask: Ask::new(Told::Column, ["NAME=WHAT UNIT", "#3=WHAT"]),
            }
        };
        let (column, what) = text.rsplit_once('=').ok_or_else(wrong)?;
        let (role, unit) = match Role::from_words(what) {
            Some(role) => (role, None),
            None => {
                let (words, unit) = what.trim().rsplit_once(' ').ok_or_else(wrong)?;
                (
                    Role::from_words(words).ok_or_else(wrong)?,
                    Some(unit.to_owned()),
                )
            }
        };
        if let (Some(unit), Role::Reading(measure)) = (&unit, role)
            && measure.scale(unit).is_none()
        {
            return Err(Refusal::Choice {
                why: format!(
                    "{text:?}: {unit:?} is no unit of {}; units: {}",
                    measure.word(),
                    measure.units_in_words()
                ),
                ask: Ask::new(Told::Column, [format!("{column}={} UNIT", measure.word())]),
            });
        }
        Ok(Self {
            column: column.trim().to_owned(),
            role,
            unit,
        })
    }

    /// Whether it is about the column at `index`, from 0, with this head.
    pub(crate) fn is_about(&self, index: usize, head: &str) -> bool {
        match self
            .column
            .strip_prefix('#')
            .and_then(|n| n.parse::<usize>().ok())
        {
            Some(number) => number == index + 1,
            None => self.column.trim().eq_ignore_ascii_case(head.trim()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Measure;

    #[test]
    fn a_choice_names_column_role_and_unit() {
        let read = |t: &str| ColumnChoice::read(t).map(|c| (c.column, c.role, c.unit));
        assert_eq!(
            read("Canopy=dry bulb °F").unwrap(),
            (
                "Canopy".into(),
                Role::Reading(Measure::DryBulb),
                Some("°F".into())
            )
        );
        assert_eq!(
            read("#3=ignore").unwrap(),
            ("#3".into(), Role::Ignored, None)
        );
        for wrong in ["Canopy", "Canopy=warmth", "Canopy=vpd °C", "="] {
            assert!(
                matches!(read(wrong), Err(Refusal::Choice { .. })),
                "{wrong}"
            );
        }
    }
}

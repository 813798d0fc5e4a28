//! What was taken because a file does not say it.

use quantity::{Band, Dim, Source, Text, Value};
use serde::Serialize;

use crate::datum::Datum;
use crate::reading::Reading;
use crate::table::{Field, Kind, Section};

/// One input that nobody surveyed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Assumption {
    /// Dotted key; writing it in the file replaces the assumption.
    pub key: String,
    /// What the field is, from its table.
    pub what: &'static str,
    /// What was taken.
    pub taken: Text,
    /// What that rests on.
    pub source: Source,
}

impl Assumption {
    /// An assumption about a field, with what was taken in its place.
    pub fn new(section: &Section, field: &Field, taken: Text, source: Source) -> Self {
        Self {
            key: section.dotted(field.key),
            what: field.help,
            taken,
            source,
        }
    }

    /// An assumed number in a field of quantities.
    ///
    /// # Panics
    /// If the field holds no quantity: a mistake of the program.
    pub fn number(section: &Section, field: &Field, si: f64, source: Source) -> Self {
        Self::band(section, field, Band::exact(si), source)
    }

    /// An assumed band in a field of quantities.
    ///
    /// # Panics
    /// If the field holds no quantity: a mistake of the program.
    pub fn band(section: &Section, field: &Field, band: Band, source: Source) -> Self {
        let (Kind::Quantity { dim, .. } | Kind::Band { dim, .. }) = field.kind else {
            panic!("{} holds no quantity", section.dotted(field.key));
        };
        Self::new(section, field, band_text(band, dim), source)
    }
}

impl Reading {
    /// Every default that was taken, in the order of the tables.
    pub fn assumptions(&self) -> Vec<Assumption> {
        let mut list = Vec::new();
        for entry in &self.entries {
            for field in entry.section.fields {
                if let Some(given) = entry.data.get(field.key).filter(|g| g.is_assumed()) {
                    let taken = datum_text(&given.value, &field.kind);
                    list.push(Assumption::new(entry.section, field, taken, given.source()));
                }
            }
        }
        list
    }
}

fn datum_text(datum: &Datum, kind: &Kind) -> Text {
    match (datum, kind) {
        (Datum::Number(x), Kind::Quantity { dim, .. }) => band_text(Band::exact(*x), *dim),
        (Datum::Band(band), Kind::Band { dim, .. }) => band_text(*band, *dim),
        (Datum::Choice(word), _) => Text::from(*word),
        (Datum::Text(text) | Datum::Date(text), _) => Text::from(text.clone()),
        (Datum::Clock(s), _) => Text::from(format!("{:02}:{:02}", s / 3600, s / 60 % 60)),
        (Datum::Count(n), _) => Text::from(n.to_string()),
        // Lists, points and maps have no defaults.
        _ => Text::new(),
    }
}

/// One number, or low, likely and high.
fn band_text(band: Band, dim: Dim) -> Text {
    let show = |x: f64| Value::new(x, dim);
    if band.is_spread() {
        Text::new()
            .value(show(band.low))
            .words(" to ")
            .value(show(band.high))
            .words(", likely ")
            .value(show(band.likely))
    } else {
        Text::new().value(show(band.likely))
    }
}

//! The manual of a file kind, from the table.

use std::fmt::Write as _;

use crate::schema::range_words;
use crate::table::{Field, Format, Kind, Need, Repeat, Section};

impl Format {
    /// Markdown that lists every section and field.
    pub fn manual(&self) -> String {
        let mut out = format!("# The {}\n\n{}\n", self.name, self.help);
        for section in self.sections {
            section_text(&mut out, section);
        }
        out
    }
}

fn section_text(out: &mut String, section: &Section) {
    let head = match (section.key, section.repeat) {
        ("", _) => "before the first section".to_owned(),
        (key, Repeat::Many) => format!("`[[{key}]]`, any number"),
        (key, Repeat::Optional) => format!("`[{key}]`, where it applies"),
        (key, Repeat::Once) => format!("`[{key}]`"),
    };
    // Writing to a String cannot fail.
    let _ = write!(
        out,
        "\n## {}: {head}\n\n{}\n\n",
        section.title, section.help
    );
    out.push_str("| key | what it is | allowed | left out |\n|---|---|---|---|\n");
    for field in section.fields {
        let _ = writeln!(
            out,
            "| `{}` | {} | {} | {} |",
            field.key,
            cell(field.help),
            cell(&allowed(field)),
            cell(&left_out(field)),
        );
    }
}

fn allowed(field: &Field) -> String {
    match field.kind {
        Kind::Text => "words".to_owned(),
        Kind::Clock => "time of day, `\"07:00\"`".to_owned(),
        Kind::Date => "day, `\"2026-03-01\"`".to_owned(),
        Kind::Point => "three lengths, `[\"12 ft\", \"3 ft\", \"11 ft\"]`".to_owned(),
        Kind::Choice(words) => {
            let words: Vec<_> = words
                .iter()
                .map(|(word, help)| format!("`\"{word}\"` {help}"))
                .collect();
            words.join("; ")
        }
        ref kind => range_words(kind).unwrap_or_default(),
    }
}

fn left_out(field: &Field) -> String {
    match &field.need {
        Need::Required => "must be there".to_owned(),
        Need::Optional => "nothing is taken".to_owned(),
        Need::Default { text, source } => format!("`{text}` ({})", source.cite),
    }
}

/// Text that cannot break a table row.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace('\n', " ")
}

//! A [`Report`] put into words: units chosen, numbers rounded, rows made
//! equally long. Every writer (PDF, pages) renders this and nothing else, so
//! that paper and screen say the same.

use quantity::{Finding, Part, Severity, Text, UnitSystem, Value};

mod equations;
mod links;
mod parts;
mod tables;
mod workings;

pub use parts::{
    Piece, Set, Shown, ShownAssumption, ShownBlock, ShownCase, ShownColumn, ShownErrand,
    ShownFinding, ShownInput, ShownKeyFigure, ShownMeta, ShownSource, ShownTable, ShownWorking,
};
pub(crate) use tables::pad_decimals;
pub use tables::table;
pub use workings::source;

use workings::WorkingNumbers;

use crate::report::{Block, KeyFigure, KeyUnits, Level, Report};

/// The line about codes that stands on every sheet.
pub const DEFER: &str = "Defer to local codes and licensed practice.";

/// In which units the equations of workings hold.
pub const EQUATIONS_HOLD: &str = "Equations hold in SI units, temperatures in °C; \
                                  the values beside them are shown in the units of this report.";

/// Puts a report into words.
pub fn shown(report: &Report) -> Shown {
    let units = report.meta.units;
    let m = &report.meta;
    let mut figures = 0;
    let mut numbers = WorkingNumbers::default();
    let mut blocks: Vec<_> = report
        .blocks
        .iter()
        .map(|b| block(b, units, &mut figures, &mut numbers))
        .collect();
    close_ranks(&mut blocks);
    for (block, shown) in report.blocks.iter().zip(&mut blocks) {
        if let (Block::Table(table), ShownBlock::Table(shown)) = (block, shown) {
            shown.workings = links::of_table(table, &numbers.seen);
        }
    }
    let title = blocks
        .iter()
        .find_map(|b| match b {
            ShownBlock::Title { title, .. } if !title.is_empty() => Some(title.clone()),
            _ => None,
        })
        .unwrap_or_else(|| {
            [m.job.as_str(), m.room.as_str()]
                .join(" ")
                .trim()
                .to_owned()
        });
    Shown {
        meta: ShownMeta {
            job: m.job.clone(),
            room: m.room.clone(),
            sheet_prefix: m.sheet_prefix.clone(),
            revision: m.revision.clone(),
            date: m.date.clone(),
            design_id: m.design_id.chars().take(8).collect(),
            defer: DEFER,
        },
        title: if title.is_empty() {
            "Report".to_owned()
        } else {
            title
        },
        blocks,
    }
}

/// Greatest width and height of a photo on paper \[mm\].
const PHOTO_MM: (f64, f64) = (110.0, 75.0);

/// Headings may not skip a rank (PDF/UA-1, ISO 14289-1), nor need a writer of
/// reports think of it.
fn close_ranks(blocks: &mut [ShownBlock]) {
    let mut deepest = 1;
    for b in blocks {
        if let ShownBlock::Heading { level, .. } = b {
            *level = (*level).min(deepest);
            deepest = *level + 1;
        }
    }
}

fn block(
    block: &Block,
    units: UnitSystem,
    figures: &mut usize,
    numbers: &mut WorkingNumbers,
) -> ShownBlock {
    let say = |t: &Text| words(t, units);
    match block {
        Block::Title { title, subtitle } => ShownBlock::Title {
            title: say(title),
            subtitle: say(subtitle),
        },
        Block::Heading(level, text) => ShownBlock::Heading {
            level: match level {
                Level::One => 1,
                Level::Two => 2,
                Level::Three => 3,
            },
            text: say(text),
        },
        Block::Paragraph(text) => ShownBlock::Paragraph { text: say(text) },
        Block::Remark(text) => ShownBlock::Remark { text: say(text) },
        Block::Table(t) => ShownBlock::Table(table(t, units)),
        Block::Figure { drawing, caption } => {
            *figures += 1;
            ShownBlock::Figure {
                file: format!("figure-{figures}.svg"),
                width_mm: drawing.size.width_mm,
                height_mm: drawing.size.height_mm,
                caption: say(caption),
                alt: if drawing.alt.is_empty() {
                    drawing.title.clone()
                } else {
                    drawing.alt.clone()
                },
                drawing: drawing.clone(),
            }
        }
        Block::Photo(photo) => {
            *figures += 1;
            let (width, height) = (f64::from(photo.width), f64::from(photo.height));
            let scale = f64::min(PHOTO_MM.0 / width, PHOTO_MM.1 / height);
            ShownBlock::Photo {
                file: format!("figure-{figures}.jpg"),
                width_mm: scale * width,
                height_mm: scale * height,
                caption: photo.caption.clone(),
                alt: photo.caption.clone(),
                jpeg: photo.jpeg.clone(),
            }
        }
        Block::Findings(all) => ShownBlock::Findings {
            items: worst_first(all, units),
        },
        Block::FindingsInShort { findings, note } => ShownBlock::FindingsInShort {
            items: worst_first(findings, units),
            note: say(note),
        },
        Block::Workings(all) => {
            let mut items = Vec::new();
            let known = numbers.sources.len();
            for w in all {
                numbers.show(w, units, &mut items);
            }
            ShownBlock::Workings {
                note: EQUATIONS_HOLD,
                items,
                sources: numbers.sources[known..].to_vec(),
            }
        }
        Block::Families(all) => {
            let known = numbers.sources.len();
            let items = all.iter().map(|f| numbers.family(f, units)).collect();
            ShownBlock::Workings {
                note: EQUATIONS_HOLD,
                items,
                sources: numbers.sources[known..].to_vec(),
            }
        }
        Block::Assumptions(all) => ShownBlock::Assumptions {
            items: all
                .iter()
                .map(|a| ShownAssumption {
                    what: say(&a.what),
                    keys: a.keys.clone(),
                    taken: say(&a.taken),
                    source: source(&a.source),
                })
                .collect(),
        },
        Block::Cautions(all) => ShownBlock::Cautions {
            items: all.iter().map(say).collect(),
        },
        Block::Errands(all) => ShownBlock::Errands {
            items: all
                .iter()
                .map(|e| ShownErrand {
                    what: say(&e.what),
                    why: say(&e.why),
                })
                .collect(),
        },
        Block::KeyFigures(all) => ShownBlock::KeyFigures {
            items: all.iter().map(|k| key_figure(k, units)).collect(),
        },
        Block::PageBreak => ShownBlock::PageBreak,
    }
}

/// Findings as words, worst first; what is said of several places once.
pub fn worst_first(all: &[Finding], units: UnitSystem) -> Vec<ShownFinding> {
    let mut all = Finding::together(all);
    all.sort_by_key(|f| std::cmp::Reverse(f.severity));
    all.iter().map(|f| finding(f, units)).collect()
}

/// A text in the reader's units; a number never parts from its unit at the
/// end of a line.
pub fn words(text: &Text, units: UnitSystem) -> String {
    let mut out = String::new();
    for part in text.parts() {
        match part {
            Part::Words(w) => out.push_str(&counts_held_together(w)),
            Part::Value(v) => out.push_str(&quantity(v, units)),
            Part::Place(p) => out.push_str(&p.0),
        }
    }
    out
}

/// "2 × model" and "94 of 100" never break at the end of a line.
pub(crate) fn counts_held_together(words: &str) -> String {
    let mut out = words.replace(" × ", "\u{a0}×\u{a0}");
    let mut from = 0;
    while let Some(i) = out[from..].find(" of ").map(|i| from + i) {
        let digit = |c: Option<char>| c.is_some_and(|c| c.is_ascii_digit());
        if digit(out[..i].chars().next_back()) && digit(out[i + 4..].chars().next()) {
            out.replace_range(i..i + 4, "\u{a0}of\u{a0}");
        }
        from = i + 4;
    }
    out
}

/// A value with its unit, held together by a no-break space.
pub fn quantity(value: &Value, units: UnitSystem) -> String {
    if value.si.is_finite() {
        value.show(units).replace(' ', "\u{a0}")
    } else {
        "?".to_owned()
    }
}

fn key_figure(k: &KeyFigure, units: UnitSystem) -> ShownKeyFigure {
    let other = match units {
        UnitSystem::Metric => UnitSystem::Us,
        UnitSystem::Us => UnitSystem::Metric,
    };
    let known = k.value.si.is_finite();
    ShownKeyFigure {
        label: words(&k.label, units),
        number: if known {
            k.value.number(units)
        } else {
            "?".to_owned()
        },
        unit: k.value.dim.unit(units).to_string(),
        other: match k.units {
            KeyUnits::Both if known => format!("[{}]", quantity(&k.value, other)),
            _ => String::new(),
        },
        note: words(&k.note, units),
    }
}

fn finding(f: &Finding, units: UnitSystem) -> ShownFinding {
    let (severity, word) = match f.severity {
        Severity::Stop => ("stop", "Stop"),
        Severity::Fix => ("fix", "Fix"),
        Severity::Note => ("note", "Note"),
    };
    let say = |v: &Option<Value>| v.map(|v| quantity(&v, units));
    let numbers = match (say(&f.measured), say(&f.limit)) {
        (Some(m), Some(l)) => format!("{m}, limit {l}"),
        (Some(m), None) => m,
        (None, Some(l)) => format!("limit {l}"),
        (None, None) => String::new(),
    };
    ShownFinding {
        check: f.check.to_string(),
        severity,
        word,
        place: f.place.0.to_string(),
        what: words(&f.what, units),
        numbers,
        why: words(&f.why, units),
        remedy: words(&f.remedy, units),
        source: source(&f.source),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_not_parted() {
        assert_eq!(
            counts_held_together("2 × a + 1 × b hold 94 of 100 days, one of them"),
            "2\u{a0}×\u{a0}a + 1\u{a0}×\u{a0}b hold 94\u{a0}of\u{a0}100 days, one of them"
        );
        assert_eq!(counts_held_together(" of 3, 3 of "), " of 3, 3 of ");
    }
}

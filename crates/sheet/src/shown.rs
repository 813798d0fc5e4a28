//! A [`Report`] put into words: units chosen, numbers rounded, rows made
//! equally long. Every writer (PDF, pages) renders this and nothing else, so
//! that paper and screen say the same.

use std::fmt::Write;
use std::sync::Arc;

use quantity::{
    Dim, Equation, Finding, Input, Part, Severity, Source, SourceKind, Text, UnitSystem, Value,
    Working,
};
use serde::Serialize;

mod links;

use crate::drawing::{Drawing, Letters, Role, font};
use crate::families::{Family, FamilyInput};
use crate::report::{Align, Block, Cell, Column, KeyFigure, KeyUnits, Level, Report, Table};

/// A report as words.
#[derive(Clone, Debug, Serialize)]
pub struct Shown {
    /// Title block.
    pub meta: ShownMeta,
    /// Title of the document.
    pub title: String,
    /// Content in reading order.
    pub blocks: Vec<ShownBlock>,
}

/// The title block as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownMeta {
    /// Name of the job.
    pub job: String,
    /// Name of the room.
    pub room: String,
    /// Sheet code without the page number.
    pub sheet_prefix: String,
    /// Revision.
    pub revision: String,
    /// Date.
    pub date: String,
    /// First digits of the design id.
    pub design_id: String,
    /// What every sheet says about its use.
    pub defer: &'static str,
}

/// One piece of a shown report.
#[derive(Clone, Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum ShownBlock {
    /// Title.
    Title {
        /// The title.
        title: String,
        /// A line under it.
        subtitle: String,
    },
    /// Heading.
    Heading {
        /// Rank from 1.
        level: u8,
        /// Words.
        text: String,
    },
    /// Paragraph.
    Paragraph {
        /// Words.
        text: String,
    },
    /// Remark of second rank.
    Remark {
        /// Words.
        text: String,
    },
    /// Table.
    Table(ShownTable),
    /// Figure.
    Figure {
        /// Name of its SVG file.
        file: String,
        /// Width \[mm\].
        width_mm: f64,
        /// Height \[mm\].
        height_mm: f64,
        /// Caption.
        caption: String,
        /// Content in words.
        alt: String,
        /// The drawing itself.
        #[serde(skip)]
        drawing: Drawing,
    },
    /// Photo.
    Photo {
        /// Name of its JPEG file.
        file: String,
        /// Width \[mm\].
        width_mm: f64,
        /// Height \[mm\].
        height_mm: f64,
        /// Caption.
        caption: String,
        /// What it is of.
        alt: String,
        /// The picture itself.
        #[serde(skip)]
        jpeg: Arc<[u8]>,
    },
    /// Findings, worst first.
    Findings {
        /// The findings.
        items: Vec<ShownFinding>,
    },
    /// Findings in short, worst first.
    FindingsInShort {
        /// The findings.
        items: Vec<ShownFinding>,
        /// A sentence after them.
        note: String,
    },
    /// Workings.
    Workings {
        /// In which units the equations hold.
        note: &'static str,
        /// The workings; those that others build on stand before them.
        items: Vec<ShownWorking>,
        /// Where given inputs come from; inputs refer to them by number.
        sources: Vec<ShownSource>,
    },
    /// Assumptions.
    Assumptions {
        /// The assumptions.
        items: Vec<ShownAssumption>,
    },
    /// Cautions.
    Cautions {
        /// The cautions.
        items: Vec<String>,
    },
    /// Errands.
    Errands {
        /// The errands.
        items: Vec<ShownErrand>,
    },
    /// Key figures.
    KeyFigures {
        /// The figures.
        items: Vec<ShownKeyFigure>,
    },
    /// New page.
    PageBreak,
}

/// A table as words.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ShownTable {
    /// What it says.
    pub caption: String,
    /// Heads of its columns.
    pub columns: Vec<ShownColumn>,
    /// Rows, each as long as there are columns.
    pub rows: Vec<Vec<String>>,
    /// The row of sums.
    pub total: Option<Vec<String>>,
    /// Numbers of the workings that its cells come from, row by row and then
    /// of the sums; where the report has such workings.
    #[serde(skip)]
    pub workings: Vec<Vec<Option<usize>>>,
}

/// Head of a column.
#[derive(Clone, Debug, Serialize)]
pub struct ShownColumn {
    /// Words, with the unit after a comma.
    pub head: String,
    /// "left" or "right".
    pub align: &'static str,
    /// Width under which a word would break \[mm\].
    pub least_mm: f64,
    /// Width in which no cell breaks, and the head not more than once \[mm\].
    pub wished_mm: f64,
}

/// An assumption as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownAssumption {
    /// What.
    pub what: String,
    /// Keys of the file, or empty.
    pub keys: String,
    /// What was taken.
    pub taken: String,
    /// On what grounds.
    pub source: String,
}

/// A source that inputs of workings refer to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ShownSource {
    /// Its number, from 1.
    pub number: usize,
    /// The source in a line.
    pub text: String,
}

/// A finding as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownFinding {
    /// Name of the check that found it.
    #[serde(skip)]
    pub check: String,
    /// "stop", "fix" or "note": the shape that stands before it.
    pub severity: &'static str,
    /// The same as a word for the reader.
    pub word: &'static str,
    /// What it is about.
    pub place: String,
    /// What is so.
    pub what: String,
    /// Measured and limit, if both or one are known.
    pub numbers: String,
    /// Why it matters.
    pub why: String,
    /// What to do.
    pub remedy: String,
    /// What it rests on.
    pub source: String,
}

/// A working as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownWorking {
    /// Number, from 1.
    pub number: usize,
    /// Title that stands before it, or empty.
    pub chapter: String,
    /// What the result is.
    pub name: String,
    /// Symbol and equation, typeset.
    pub equation: Vec<Piece>,
    /// Name of the procedure, where there is no equation.
    pub procedure: Option<String>,
    /// Inputs.
    pub inputs: Vec<ShownInput>,
    /// Symbol of the result, typeset.
    pub symbol: Vec<Piece>,
    /// The result with its unit; empty where there are cases.
    pub result: String,
    /// Source of the equation.
    pub source: String,
    /// Symbols of the inputs that differ between cases.
    pub differ: Vec<Vec<Piece>>,
    /// The cases; none where one result is all.
    pub cases: Vec<ShownCase>,
}

/// A case of a working that is told once for several, as words.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct ShownCase {
    /// What it is about.
    pub label: String,
    /// Values of the inputs that differ, with their units.
    pub values: Vec<String>,
    /// The result with its unit.
    pub result: String,
}

/// An input of a working as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownInput {
    /// What it is.
    pub name: String,
    /// Symbol, typeset.
    pub symbol: Vec<Piece>,
    /// Value with its unit.
    pub value: String,
    /// The number of its source in brackets, or of the working that made it.
    pub from: String,
}

/// A piece of a typeset equation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Piece {
    /// The signs.
    pub text: String,
    /// How they are set.
    pub set: Set,
}

/// How a piece of an equation is set.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Set {
    /// Upright.
    Plain,
    /// Italic: a symbol.
    Symbol,
    /// Lowered.
    Sub,
    /// Raised.
    Sup,
}

/// An errand as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownErrand {
    /// What to do.
    pub what: String,
    /// What it decides.
    pub why: String,
}

/// A key figure as words.
#[derive(Clone, Debug, Serialize)]
pub struct ShownKeyFigure {
    /// What it is.
    pub label: String,
    /// The number without its unit.
    pub number: String,
    /// Its unit.
    pub unit: String,
    /// The same in the other system, in square brackets; or empty.
    pub other: String,
    /// What to know about it.
    pub note: String,
}

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

/// A source in a line.
pub fn source(source: &Source) -> String {
    let mut out = match source.kind {
        SourceKind::Published => source.cite.to_string(),
        SourceKind::CommonPractice => {
            format!("{} (common practice, no published source)", source.cite)
        }
        SourceKind::Assumed => format!("assumed: {}", source.cite),
        SourceKind::Measured => format!("measured: {}", source.cite),
        SourceKind::Memory => format!("{} (recalled, not looked up again)", source.cite),
    };
    // Of a surveyed file its name is enough, and the same wherever it lies.
    let place = match source.kind {
        SourceKind::Measured => source.place_in_it.rsplit(['/', '\\']).next(),
        _ => Some(source.place_in_it.as_ref()),
    };
    if let Some(place) = place.filter(|p| !p.is_empty()) {
        let _ = write!(out, ", {place}");
    }
    out
}

/// A table as words.
pub fn table(t: &Table, units: UnitSystem) -> ShownTable {
    let mut columns: Vec<ShownColumn> = t
        .columns
        .iter()
        .map(|c| ShownColumn {
            head: match c.dim.map(|d| d.unit(c.units.unwrap_or(units))) {
                Some(unit) if !unit.is_empty() => format!("{}, {unit}", words(&c.head, units)),
                _ => words(&c.head, units),
            },
            align: match c.align {
                Align::Left => "left",
                Align::Right => "right",
            },
            least_mm: 0.0,
            wished_mm: 0.0,
        })
        .collect();
    let row = |cells: &Vec<Cell>| {
        t.columns
            .iter()
            .enumerate()
            .map(|(i, c)| cells.get(i).map_or(String::new(), |x| cell(x, c, units)))
            .collect::<Vec<_>>()
    };
    let mut rows: Vec<Vec<String>> = t.rows.iter().map(row).collect();
    let mut total = t.total.as_ref().map(row);
    for (i, c) in t.columns.iter().enumerate() {
        if c.dim.is_some() {
            let column = rows
                .iter_mut()
                .chain(total.as_mut())
                .map(|r| &mut r[i])
                .collect();
            pad_decimals(column);
        }
    }
    for (i, c) in columns.iter_mut().enumerate() {
        let cells = rows.iter().map(|r| (r[i].as_str(), Role::Text));
        let sums = total.iter().map(|r| (r[i].as_str(), Role::TextStrong));
        let (head, strong) = (c.head.as_str(), Role::TextStrong);
        c.least_mm = longest_word_mm(head, strong);
        c.wished_mm = in_two_lines_mm(head, strong);
        for (cell, role) in cells.chain(sums) {
            c.least_mm = c.least_mm.max(longest_word_mm(cell, role));
            c.wished_mm = c.wished_mm.max(font::width_mm(cell, Letters::Note, role));
        }
    }
    ShownTable {
        caption: words(&t.caption, units),
        columns,
        rows,
        total,
        workings: Vec::new(),
    }
}

/// Width of the longest piece that holds together.
fn longest_word_mm(text: &str, role: Role) -> f64 {
    text.split(' ')
        .map(|word| font::width_mm(word, Letters::Note, role))
        .fold(0.0, f64::max)
}

/// The least width in which a text stands in two lines; in one if it is short.
fn in_two_lines_mm(text: &str, role: Role) -> f64 {
    const SHORT: usize = 12;
    let width = |s: &str| font::width_mm(s, Letters::Note, role);
    if text.chars().count() <= SHORT {
        return width(text);
    }
    text.match_indices(' ')
        .map(|(i, _)| width(&text[..i]).max(width(&text[i + 1..])))
        .fold(width(text), f64::min)
}

/// Puts figure spaces behind numbers with fewer decimals, so that right
/// alignment puts the decimal points under each other without claiming digits
/// that are not known.
pub(crate) fn pad_decimals(column: Vec<&mut String>) {
    let tail = |s: &str| s.rfind('.').map_or(0, |i| s.len() - i - 1);
    let is_number = |s: &str| s.ends_with(|c: char| c.is_ascii_digit());
    let most = column
        .iter()
        .filter(|s| is_number(s))
        .map(|s| tail(s))
        .max()
        .unwrap_or(0);
    for s in column {
        if is_number(s) {
            let missing = most - tail(s);
            if missing > 0 {
                if tail(s) == 0 {
                    // Width of the point itself.
                    s.push('\u{2008}');
                }
                s.extend(std::iter::repeat_n('\u{2007}', missing));
            }
        }
    }
}

fn cell(cell: &Cell, column: &Column, units: UnitSystem) -> String {
    let units = column.units.unwrap_or(units);
    match cell {
        Cell::Text(t) => whole_if_short(words(t, units)),
        Cell::Value(v) if !v.si.is_finite() => "?".to_owned(),
        Cell::Value(v) if column.dim == Some(v.dim) => v.number(units),
        Cell::Value(v) => quantity(v, units),
        Cell::Blank => String::new(),
        Cell::NotApplicable => "–".to_owned(),
        Cell::Unknown => "?".to_owned(),
    }
}

/// A cell of few words is not broken into lines.
fn whole_if_short(text: String) -> String {
    const SHORT: usize = 15;
    if text.chars().count() <= SHORT {
        text.replace(' ', "\u{a0}")
    } else {
        text
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

/// Gives each different working one number and shows it once, after those
/// that it builds on.
#[derive(Default)]
struct WorkingNumbers {
    seen: Vec<Working>,
    sources: Vec<ShownSource>,
}

impl WorkingNumbers {
    fn show(&mut self, w: &Working, units: UnitSystem, out: &mut Vec<ShownWorking>) -> usize {
        if let Some(i) = self.seen.iter().position(|s| s == w) {
            return i + 1;
        }
        let inputs: Vec<ShownInput> = w.inputs.iter().map(|i| self.input(i, units, out)).collect();
        self.seen.push(w.clone());
        let number = self.seen.len();
        let (symbol, equation, procedure) = set_equation(&w.symbol, &w.equation);
        out.push(ShownWorking {
            number,
            chapter: String::new(),
            name: w.name.to_string(),
            equation,
            procedure,
            inputs,
            symbol,
            result: worked(w.result, units),
            source: source(&w.source),
            differ: Vec::new(),
            cases: Vec::new(),
        });
        number
    }

    /// A family: what all cases share above, a row for each case that shows
    /// another number.
    fn family(&mut self, f: &Family, units: UnitSystem) -> ShownWorking {
        let mut cases: Vec<ShownCase> = Vec::new();
        for case in &f.cases {
            let values = case.values.iter().map(|v| worked(*v, units)).collect();
            let result = worked(case.result, units);
            let alike = cases
                .iter_mut()
                .find(|c| c.values == values && c.result == result);
            match alike {
                Some(other) => add_label(&mut other.label, &case.label),
                None => cases.push(ShownCase {
                    label: case.label.clone(),
                    values,
                    result,
                }),
            }
        }
        let (first, several) = match cases.as_slice() {
            [] => (ShownCase::default(), false),
            [one] => (one.clone(), false),
            [first, ..] => (first.clone(), true),
        };
        let differs: Vec<bool> = (0..f.inputs.len())
            .map(|i| cases.iter().any(|c| c.values.get(i) != first.values.get(i)))
            .collect();
        let (symbol, equation, procedure) = set_equation(&f.symbol, &f.equation);
        let inputs: Vec<ShownInput> = f
            .inputs
            .iter()
            .zip(&differs)
            .enumerate()
            .map(|(i, (input, differs))| ShownInput {
                name: input.name.clone(),
                symbol: typeset(&input.symbol),
                value: match first.values.get(i) {
                    Some(value) if !differs => value.clone(),
                    _ => "below".to_owned(),
                },
                from: self.from(input),
            })
            .collect();
        let name = match first.label.as_str() {
            label if !several && !label.is_empty() && 1 < f.cases.len() => {
                format!("{}: {label}", f.name)
            }
            _ => f.name.clone(),
        };
        for case in &mut cases {
            let mut keep = differs.iter();
            case.values
                .retain(|_| keep.next().copied().unwrap_or(false));
        }
        ShownWorking {
            number: f.number,
            chapter: f.chapter.clone().unwrap_or_default(),
            name,
            equation,
            procedure,
            inputs,
            symbol,
            result: if several { String::new() } else { first.result },
            source: format!("[{}]", self.source(source(&f.source))),
            differ: f
                .inputs
                .iter()
                .zip(&differs)
                .filter(|(_, differs)| **differs)
                .map(|(input, _)| typeset(&input.symbol))
                .collect(),
            cases: if several { cases } else { Vec::new() },
        }
    }

    /// Numbers of the workings or sources of an input.
    fn from(&mut self, input: &FamilyInput) -> String {
        let mut all: Vec<String> = input.from.iter().map(|n| format!("working {n}")).collect();
        for s in &input.sources {
            let number = format!("[{}]", self.source(source(s)));
            if !all.contains(&number) {
                all.push(number);
            }
        }
        all.join(" ")
    }

    fn input(&mut self, i: &Input, units: UnitSystem, out: &mut Vec<ShownWorking>) -> ShownInput {
        let from = match (&i.from, &i.source) {
            (Some(w), _) => format!("working {}", self.show(w, units, out)),
            (None, Some(s)) => format!("[{}]", self.source(source(s))),
            (None, None) => String::new(),
        };
        ShownInput {
            name: i.name.to_string(),
            symbol: typeset(&i.symbol),
            value: worked(i.value, units),
            from,
        }
    }

    /// The number of a source.
    fn source(&mut self, text: String) -> usize {
        if let Some(known) = self.sources.iter().find(|s| s.text == text) {
            return known.number;
        }
        let number = self.sources.len() + 1;
        self.sources.push(ShownSource { number, text });
        number
    }
}

/// Adds what a case is about to what others with its numbers are about.
fn add_label(all: &mut String, label: &str) {
    if label.is_empty() || all.split(", ").any(|known| known == label) {
        return;
    }
    if !all.is_empty() {
        all.push_str(", ");
    }
    all.push_str(label);
}

/// Symbol, equation after its symbol, name of the procedure.
fn set_equation(symbol: &str, equation: &Equation) -> (Vec<Piece>, Vec<Piece>, Option<String>) {
    let symbol = typeset(symbol);
    match equation {
        Equation::Algebra(text) => {
            let mut all = symbol.clone();
            all.push(Piece {
                text: " = ".to_owned(),
                set: Set::Plain,
            });
            all.extend(typeset(text));
            (symbol, all, None)
        }
        Equation::Procedure(name) => (symbol, Vec::new(), Some(name.to_string())),
    }
}

/// A value as workings show it. Heat of less than a millionth of a watt is
/// rounding; coefficients of curves are given in many digits, and zeros at
/// their end say nothing.
fn worked(value: Value, units: UnitSystem) -> String {
    if value.dim == Dim::Power && value.si.abs() < 1e-6 {
        return quantity(&Value { si: 0.0, ..value }, units);
    }
    let shown = quantity(&value, units);
    // A wire's diameter is no whole sixteenth of an inch: where rounding
    // leaves nothing, the other units say more.
    if value.si != 0.0 && !shown.contains(|c: char| ('1'..='9').contains(&c)) {
        return quantity(&value, UnitSystem::Metric);
    }
    const MEASURABLE: u8 = 6;
    if value.digits <= MEASURABLE || value.dim != Dim::Number || !shown.contains('.') {
        return shown;
    }
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// An equation in plain ASCII, typeset: symbols italic with what follows the
/// first `_` lowered and Greek letters that are spelled out, numbers after `^` raised, a raised dot for `*`, a true
/// minus for `-`. Nothing else is changed, so that it stays what was computed.
fn typeset(text: &str) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    let mut push = |text: &str, set: Set| {
        if text.is_empty() {
            return;
        }
        match out.last_mut() {
            Some(last) if last.set == set && set == Set::Plain => last.text.push_str(text),
            _ => out.push(Piece {
                text: text.to_owned(),
                set,
            }),
        }
    };
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let take = |ok: fn(char) -> bool| rest.find(|c| !ok(c)).unwrap_or(rest.len());
        if c.is_ascii_alphabetic() {
            let n = take(|c| c.is_ascii_alphanumeric() || c == '_');
            let name = &rest[..n];
            if matches!(name, "exp" | "ln" | "sqrt" | "min" | "max") {
                push(name, Set::Plain);
            } else {
                let (base, sub) = name.split_once('_').unwrap_or((name, ""));
                push(greek(base).unwrap_or(base), Set::Symbol);
                push(&sub.replace('_', " "), Set::Sub);
            }
            rest = &rest[n..];
        } else if c.is_ascii_digit() || c == '.' {
            let mut n = take(|c| c.is_ascii_digit() || c == '.');
            // An exponent belongs to the number.
            let tail = &rest[n..];
            let exponent = tail.strip_prefix(['e', 'E']).map(|t| {
                let digits = t.trim_start_matches(['+', '-']);
                (t.len() - digits.len(), digits)
            });
            if let Some((sign, digits)) = exponent {
                let k = digits
                    .find(|c: char| !c.is_ascii_digit())
                    .unwrap_or(digits.len());
                if k > 0 {
                    n += 1 + sign + k;
                }
            }
            push(&rest[..n].replace('-', "−"), Set::Plain);
            rest = &rest[n..];
        } else if c == '^' {
            let after = &rest[1..];
            let n = after
                .find(|c: char| !(c.is_ascii_digit() || c == '.'))
                .unwrap_or(after.len());
            if n > 0 {
                push(&after[..n], Set::Sup);
            } else {
                push("^", Set::Plain);
            }
            rest = &after[n..];
        } else {
            match c {
                '*' => push("·", Set::Plain),
                '-' => push("−", Set::Plain),
                c => push(c.encode_utf8(&mut [0; 4]), Set::Plain),
            }
            rest = &rest[c.len_utf8()..];
        }
    }
    out
}

/// The Greek letter that a name in ASCII stands for.
fn greek(name: &str) -> Option<&'static str> {
    Some(match name {
        "alpha" => "α",
        "beta" => "β",
        "gamma" => "γ",
        "delta" => "δ",
        "Delta" => "Δ",
        "epsilon" => "ε",
        "eta" => "η",
        "theta" => "θ",
        "lambda" => "λ",
        "mu" => "µ",
        "nu" => "ν",
        "rho" => "ρ",
        "sigma" => "σ",
        "tau" => "τ",
        "phi" => "φ",
        "psi" => "ψ",
        "omega" => "ω",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(pieces: &[Piece]) -> String {
        pieces
            .iter()
            .map(|p| match p.set {
                Set::Plain => p.text.clone(),
                Set::Symbol => format!("<{}>", p.text),
                Set::Sub => format!("_{{{}}}", p.text),
                Set::Sup => format!("^{{{}}}", p.text),
            })
            .collect()
    }

    #[test]
    fn equations_are_set_without_changing_them() {
        assert_eq!(
            flat(&typeset("m_da * (W_in - W_out)")),
            "<m>_{da} · (<W>_{in} − <W>_{out})"
        );
        assert_eq!(
            flat(&typeset("0.5*exp(-1.2e-3 * t) + x^2 / y^n")),
            "0.5·exp(−1.2e−3 · <t>) + <x>^{2} / <y>^<n>"
        );
        assert_eq!(flat(&typeset("")), "");
        assert_eq!(flat(&typeset("µ ≤ \"x\"")), "µ ≤ \"<x>\"");
    }

    #[test]
    fn counts_are_not_parted() {
        assert_eq!(
            counts_held_together("2 × a + 1 × b hold 94 of 100 days, one of them"),
            "2\u{a0}×\u{a0}a + 1\u{a0}×\u{a0}b hold 94\u{a0}of\u{a0}100 days, one of them"
        );
        assert_eq!(counts_held_together(" of 3, 3 of "), " of 3, 3 of ");
    }

    #[test]
    fn columns_know_what_they_need() {
        let t = Table {
            columns: vec![
                Column::words("Set"),
                Column::of("Lights on", Dim::WaterRate),
            ],
            rows: vec![vec![
                "1 × generic-150 + 2 × generic-70".into(),
                Value::new(1e-3, Dim::WaterRate).into(),
            ]],
            ..Table::default()
        };
        let shown = table(&t, UnitSystem::Us);
        let [set, water] = shown.columns.as_slice() else {
            panic!("two columns");
        };
        let width = |s: &str| font::width_mm(s, Letters::Note, Role::Text);
        assert!((set.least_mm - width("1\u{a0}×\u{a0}generic-150")).abs() < 1e-9);
        assert!((set.wished_mm - width(&shown.rows[0][0])).abs() < 1e-9);
        let whole = font::width_mm(&water.head, Letters::Note, Role::TextStrong);
        assert!(water.least_mm <= water.wished_mm && water.wished_mm < whole);
    }

    #[test]
    fn sources_of_inputs_are_listed_once() {
        let given = |symbol: &'static str, at: &'static str| {
            quantity::Input::given(
                "length",
                symbol,
                Value::new(2.0, Dim::Number),
                Source::measured("survey", at),
            )
        };
        let working = Working {
            name: "sum".into(),
            symbol: "s".into(),
            equation: Equation::Algebra("a + b".into()),
            inputs: vec![given("a", "some/where/x.toml:3"), given("b", "x.toml:3")],
            result: Value::new(4.0, Dim::Number),
            source: Source::assumed("sum"),
        };
        let mut numbers = WorkingNumbers::default();
        let mut out = Vec::new();
        numbers.show(&working, UnitSystem::Metric, &mut out);
        numbers.show(&working, UnitSystem::Metric, &mut out);
        assert_eq!(out.len(), 1);
        assert_eq!(
            (&*out[0].inputs[0].from, &*out[0].inputs[1].from),
            ("[1]", "[1]")
        );
        assert_eq!(numbers.sources[0].text, "measured: survey, x.toml:3");
    }

    #[test]
    fn decimals_line_up_without_new_digits() {
        let mut all = ["12".to_owned(), "3.25".to_owned(), "–".to_owned()];
        pad_decimals(all.iter_mut().collect());
        assert_eq!(all[0], "12\u{2008}\u{2007}\u{2007}");
        assert_eq!(all[1], "3.25");
        assert_eq!(all[2], "–");
    }
}

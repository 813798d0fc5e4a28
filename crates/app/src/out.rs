//! The terminal: results to standard output, messages to standard error.
//!
//! A reader that went away (`| head`) is no error: the work is finished, the
//! rest of the text goes nowhere.

use std::io::{ErrorKind, IsTerminal, Write};

use comfy_table::presets::NOTHING;
use comfy_table::{
    Attribute, Cell, CellAlignment, ColumnConstraint, ContentArrangement, LineStyle, Table,
    TableStyle, Width,
};
use quantity::{Equation, Finding, Severity, UnitSystem, Working};
use sheet::report::{Block, Report, TitleBlock};
use sheet::shown::{ShownBlock, ShownTable, shown};

use crate::json;

/// Writes to standard output. `Ok` also when the reader has gone.
pub(crate) fn print(text: &str) -> anyhow::Result<()> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() == ErrorKind::BrokenPipe => Ok(()),
        done => Ok(done?),
    }
}

/// Writes one line to standard error; a closed standard error is nobody's loss.
pub(crate) fn message(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}

/// No frame, one rule under the head.
const STYLE: TableStyle = NOTHING.header_separator(LineStyle::none().fill('─').junction(' '));

/// Width of tables that go into a file or a pipe \[signs\].
const PIPED_WIDTH: u16 = 120;

/// A table in the program's manner: head in bold, numbers to the right.
pub(crate) fn table(head: &[&str]) -> Table {
    let mut table = Table::new();
    table
        .load_style(STYLE)
        .set_content_arrangement(ContentArrangement::Dynamic)
        .set_header(
            head.iter()
                .map(|h| Cell::new(h).add_attribute(Attribute::Bold)),
        );
    if !std::io::stdout().is_terminal() {
        // A file or a pipe has no width; this one reads well and fits an
        // editor, a letter, a page.
        table.force_no_tty();
        table.set_width(PIPED_WIDTH);
    }
    table
}

/// Sets the columns from `first` on flush right, as numbers are.
pub(crate) fn numbers_right(table: &mut Table, first: usize) {
    for column in table.column_iter_mut().skip(first) {
        column.set_cell_alignment(CellAlignment::Right);
    }
}

/// Findings, worst first, each with what, why and what to do.
pub(crate) fn findings(findings: &[Finding], system: UnitSystem) -> String {
    if findings.is_empty() {
        return "No findings.\n".into();
    }
    let mut sorted = Finding::together(findings);
    sorted.sort_by_key(|f| std::cmp::Reverse(f.severity));
    sorted
        .iter()
        .map(|f| {
            format!(
                "{} {}: {}\n    why: {}\n    do:  {}\n",
                mark(f.severity),
                f.place.0,
                f.what.show(system),
                f.why.show(system),
                f.remedy.show(system),
            )
        })
        .collect()
}

/// Shape and word of a severity; never colour alone.
fn mark(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "■ Stop",
        Severity::Fix => "▲ Fix ",
        Severity::Note => "○ Note",
    }
}

/// Workings, each with its inputs and sources, inner ones indented. What many
/// build on is shown once, where it comes first.
pub(crate) fn workings(workings: &[Working], system: UnitSystem) -> String {
    let mut text = String::new();
    let mut shown = Vec::new();
    for working in workings {
        one_working(working, system, 0, &mut shown, &mut text);
    }
    text
}

fn one_working<'a>(
    working: &'a Working,
    system: UnitSystem,
    depth: usize,
    shown: &mut Vec<&'a Working>,
    text: &mut String,
) {
    let pad = "    ".repeat(depth);
    if shown.contains(&working) {
        let result = working.result.show(system);
        text.push_str(&format!("{pad}{}: {result}, as above\n", working.name));
        return;
    }
    shown.push(working);
    let how = match &working.equation {
        Equation::Algebra(rhs) => format!("{} = {rhs}", working.symbol),
        Equation::Procedure(name) => format!("{} by procedure: {name}", working.symbol),
    };
    text.push_str(&format!(
        "{pad}{}: {}\n{pad}    {how}\n",
        working.name,
        working.result.show(system)
    ));
    for input in &working.inputs {
        let source = input.source.as_ref().map(cite).unwrap_or_default();
        text.push_str(&format!(
            "{pad}    {} = {}  {}  {source}\n",
            input.symbol,
            input.value.show(system),
            input.name,
        ));
    }
    text.push_str(&format!("{pad}    source: {}\n", cite(&working.source)));
    for inner in working.inputs.iter().filter_map(|i| i.from.as_deref()) {
        one_working(inner, system, depth + 1, shown, text);
    }
}

/// A source in square brackets, with what kind of source it is.
pub(crate) fn cite(source: &quantity::Source) -> String {
    let kind = match source.kind {
        quantity::SourceKind::Published => "",
        quantity::SourceKind::CommonPractice => "common practice, no published source: ",
        quantity::SourceKind::Assumed => "assumed: ",
        quantity::SourceKind::Measured => "",
        quantity::SourceKind::Memory => "from memory, not looked up: ",
    };
    let place = if source.place_in_it.is_empty() {
        String::new()
    } else {
        format!(", {}", source.place_in_it)
    };
    format!("[{kind}{}{place}]", source.cite)
}

/// Blocks of a report as text: tables, findings, cautions; drawings by their
/// content in words.
pub(crate) fn blocks(blocks: Vec<Block>, system: UnitSystem) -> String {
    let mut report = Report::new(TitleBlock {
        units: system,
        ..TitleBlock::default()
    });
    report.blocks = blocks;
    let mut text = String::new();
    // The findings as this terminal shows them everywhere.
    for (block, shown) in report.blocks.iter().zip(shown(&report).blocks) {
        match (block, shown) {
            (Block::Findings(list), _) => text.push_str(&findings(list, system)),
            (Block::Workings(list), _) => text.push_str(&workings(list, system)),
            (
                _,
                ShownBlock::Heading { text: words, .. } | ShownBlock::Title { title: words, .. },
            ) => {
                text.push_str(&format!("{words}\n"));
            }
            (_, ShownBlock::Paragraph { text: words } | ShownBlock::Remark { text: words }) => {
                text.push_str(&format!("{words}\n"));
            }
            (_, ShownBlock::Table(shown)) => text.push_str(&shown_table(&shown)),
            (_, ShownBlock::Figure { caption, alt, .. }) => {
                text.push_str(&format!("[{caption}] {alt}\n"));
            }
            (_, ShownBlock::Cautions { items }) => {
                for caution in items {
                    text.push_str(&format!("  ! {caution}\n"));
                }
            }
            _ => continue,
        }
        text.push('\n');
    }
    text
}

fn shown_table(shown: &ShownTable) -> String {
    let heads: Vec<&str> = shown.columns.iter().map(|c| c.head.as_str()).collect();
    let mut table = table(&heads);
    for row in shown.rows.iter().chain(&shown.total) {
        table.add_row(row);
    }
    for (column, head) in table.column_iter_mut().zip(&shown.columns) {
        if head.align == "right" {
            column.set_cell_alignment(CellAlignment::Right);
        }
    }
    // A date or a code is not cut in two where there is room for it.
    let words: Vec<u16> = (0..shown.columns.len())
        .map(|i| longest_word(shown, i))
        .collect();
    if words
        .iter()
        .map(|n| n.saturating_add(PADDING))
        .fold(0, u16::saturating_add)
        <= table.width().unwrap_or(PIPED_WIDTH)
    {
        for (column, n) in table.column_iter_mut().zip(&words) {
            let least = Width::Fixed(n.saturating_add(PADDING));
            column.set_constraint(ColumnConstraint::LowerBoundary(least));
        }
    }
    let caption = if shown.caption.is_empty() {
        String::new()
    } else {
        format!("{}\n", shown.caption)
    };
    format!("{caption}{table}\n")
}

/// Blanks beside a cell.
const PADDING: u16 = 2;

/// Signs of the longest word of a column.
fn longest_word(shown: &ShownTable, column: usize) -> u16 {
    let head = shown.columns.get(column).map(|c| c.head.as_str());
    let rows = shown.rows.iter().chain(&shown.total);
    let cells = rows.filter_map(|row| row.get(column).map(String::as_str));
    let words = head
        .into_iter()
        .chain(cells)
        .flat_map(str::split_whitespace);
    let longest = words.map(|w| w.chars().count()).max().unwrap_or(0);
    u16::try_from(longest).unwrap_or(u16::MAX)
}

/// Writes a result as JSON, one document and a final newline.
pub(crate) fn json(result: &impl serde::Serialize) -> anyhow::Result<()> {
    print(&format!("{}\n", json::text(result)?))
}

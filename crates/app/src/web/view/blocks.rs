//! Blocks of a report as HTML: the same words as on paper.

use maud::{Markup, PreEscaped, html};
use quantity::{UnitSystem, Working};
use sheet::charts::Spot;
use sheet::report::{Report, TitleBlock};
use sheet::shown::{
    Piece, Set, ShownBlock, ShownFinding, ShownKeyFigure, ShownTable, ShownWorking, shown,
    table as shown_table,
};
use sheet::{Block, Drawing};

use super::tally::mark;
use super::zoom;

/// The blocks of a sheet and, after them, how its numbers came about: a number
/// in a table leads to its working. Parts of a chart's time can be asked for
/// where `query` gives the rest of the address.
pub(crate) fn sheet(
    mut all: Vec<Block>,
    workings: Vec<Working>,
    query: Option<&str>,
    units: UnitSystem,
) -> Markup {
    let before = all.len();
    if !workings.is_empty() {
        all.push(Block::Workings(workings));
    }
    let all = shown(&reported(all, units)).blocks;
    let (sheet, workings) = all.split_at(before);
    html! {
        @for (n, block) in sheet.iter().enumerate() {
            @match (block, query) {
                (ShownBlock::Figure { caption, drawing, .. }, Some(query)) => {
                    (zoomed(drawing, caption, &format!("chart-{n}"), query, units))
                }
                _ => { (one(block, units)) }
            }
        }
        @if !workings.is_empty() {
            details.workings {
                summary { h2 { "How these numbers came about" } }
                @for block in workings { (one(block, units)) }
            }
        }
    }
}

/// Blocks in reading order.
pub(crate) fn blocks(blocks: Vec<Block>, units: UnitSystem) -> Markup {
    let shown = shown(&reported(blocks, units));
    html! { @for block in &shown.blocks { (one(block, units)) } }
}

fn reported(blocks: Vec<Block>, units: UnitSystem) -> Report {
    Report {
        meta: TitleBlock {
            units,
            ..TitleBlock::default()
        },
        blocks,
    }
}

fn one(block: &ShownBlock, units: UnitSystem) -> Markup {
    html! {
        @match block {
            ShownBlock::Title { title, subtitle } => {
                p.lead { (title) }
                @if !subtitle.is_empty() { p { (subtitle) } }
            }
            ShownBlock::Heading { level: 1, text } => { h2 { (text) } }
            ShownBlock::Heading { level: 2, text } => { h3 { (text) } }
            ShownBlock::Heading { text, .. } => { h4 { (text) } }
            ShownBlock::Paragraph { text } => { p { (text) } }
            ShownBlock::Remark { text } => { p.remark { (text) } }
            ShownBlock::Table(table) => { (self::table(table)) }
            ShownBlock::Figure { caption, drawing, .. } => { (figure(drawing, caption, units)) }
            // Pages show photos from where they are kept.
            ShownBlock::Photo { caption, .. } => { p.remark { (caption) } }
            ShownBlock::Findings { items } => { (findings(items)) }
            ShownBlock::FindingsInShort { items, note } => {
                (findings(items))
                @if !note.is_empty() { p { (note) } }
            }
            ShownBlock::Workings { note, items, sources } => {
                p.remark { (note) }
                @for item in items { (working(item)) }
                @if !sources.is_empty() {
                    ol.sources {
                        @for source in sources {
                            li id={ "source-" (source.number) } value=(source.number) { (source.text) }
                        }
                    }
                }
            }
            ShownBlock::Assumptions { items } => {
                ul.assumptions {
                    @for a in items {
                        li {
                            (a.what)
                            @if !a.taken.is_empty() { ": " b { (a.taken) } }
                            " " span.remark { (a.source) }
                            @if !a.keys.is_empty() { " " code { (a.keys) } }
                        }
                    }
                }
            }
            ShownBlock::Cautions { items } => {
                section.cautions aria-label="Cautions" {
                    ul { @for c in items { li { (c) } } }
                }
            }
            ShownBlock::Errands { items } => {
                ul.errands { @for e in items { li { (e.what) " " span.remark { (e.why) } } } }
            }
            ShownBlock::KeyFigures { items } => {
                dl.figures { @for f in items { (key_figure(f)) } }
            }
            ShownBlock::PageBreak => {}
        }
    }
}

fn key_figure(figure: &ShownKeyFigure) -> Markup {
    html! {
        div {
            dt { (figure.label) }
            dd {
                span.large { (figure.number) " " (figure.unit) }
                @if !figure.other.is_empty() { " " span.other { (figure.other) } }
                @if !figure.note.is_empty() { p.remark { (figure.note) } }
            }
        }
    }
}

/// A drawing as it is printed, in its own box that may scroll sideways; the
/// numbers behind a chart as a table under it.
pub(crate) fn figure(drawing: &Drawing, caption: &str, units: UnitSystem) -> Markup {
    framed(drawing, caption, None, &html! {}, units)
}

/// The same with ways to parts of its time, where it has a time axis.
pub(crate) fn zoomed(
    drawing: &Drawing,
    caption: &str,
    id: &str,
    query: &str,
    units: UnitSystem,
) -> Markup {
    match drawing.behind.as_ref().and_then(|b| b.time.as_ref()) {
        Some(time) => {
            let links = zoom::links(time, query, id);
            framed(drawing, caption, Some(id), &links, units)
        }
        None => figure(drawing, caption, units),
    }
}

fn framed(
    drawing: &Drawing,
    caption: &str,
    id: Option<&str>,
    links: &Markup,
    units: UnitSystem,
) -> Markup {
    let read = drawing.behind.as_ref();
    html! {
        figure.drawing id=[id] data-top=[read.map(|b| b.top_mm)] data-bottom=[read.map(|b| b.bottom_mm)] {
            div.paper tabindex="0" role="group" aria-label=(caption) {
                (PreEscaped(sheet::svg::svg(drawing)))
            }
            // Shown by the style only where the box is narrower than the drawing.
            p.goes-on aria-hidden="true" { "◀ ▶ It goes on to the side: push it, or focus it and use the arrow keys." }
            (links)
            figcaption { (caption) }
            @if let Some(behind) = read {
                details.behind {
                    summary { "The numbers behind it" }
                    (rows(&shown_table(&behind.table, units), caption, &behind.spots))
                }
            }
        }
    }
}

/// A table in its own box that may scroll sideways.
pub(crate) fn table(table: &ShownTable) -> Markup {
    let label = if table.caption.is_empty() {
        "Table"
    } else {
        &table.caption
    };
    rows(table, label, &[])
}

/// Signs of a cell up to which it stands in one line.
const SHORT: usize = 16;
/// Columns of words from which on a table is one of words.
const WORDY: usize = 3;

/// A table whose rows may have places on a chart.
fn rows(table: &ShownTable, label: &str, spots: &[Spot]) -> Markup {
    let align = |i: usize| match table.columns.get(i) {
        Some(c) if c.align == "right" => "number",
        _ => "word",
    };
    // A tag or a moment is read whole.
    let class = |i: usize, cell: &str| match cell.chars().count() <= SHORT {
        true => format!("{} short", align(i)),
        false => align(i).to_owned(),
    };
    // Many words in narrow columns cannot be read on a phone: there each row
    // becomes a list of its cells, each with the head of its column.
    let words = (0..table.columns.len()).filter(|i| align(*i) == "word");
    let wordy = WORDY <= words.count();
    let head = |i: usize| table.columns.get(i).filter(|_| wordy).map(|c| &c.head);
    let working = |row: usize, column: usize| *table.workings.get(row)?.get(column)?;
    let cells = |nth: usize, row: &[String]| {
        html! {
            @for (i, cell) in row.iter().enumerate() {
                td class=(class(i, cell)) data-head=[head(i)] {
                    @match working(nth, i) {
                        Some(number) => {
                            // What lines up the points of a column is not underlined.
                            @let (said, after) = cell.split_at(cell.trim_end().len());
                            a.worked href={ "#working-" (number) } { span { (said) } (after) }
                        }
                        None => { (cell) }
                    }
                }
            }
        }
    };
    html! {
        // Beside the box: a caption in it would scroll away.
        @if !table.caption.is_empty() { p.caption { (table.caption) } }
        div.wide tabindex="0" role="region" aria-label=(label) {
            table.wordy[wordy] aria-label=(label) {
                thead {
                    tr { @for (i, c) in table.columns.iter().enumerate() { th scope="col" class=(align(i)) { (c.head) } } }
                }
                tbody {
                    @for (nth, row) in table.rows.iter().enumerate() {
                        @let spot = spots.get(nth);
                        tr data-x=[spot.map(|s| tenths(s.x_mm))] data-y=[spot.and_then(|s| s.y_mm).map(tenths)] {
                            (cells(nth, row))
                        }
                    }
                }
                @if let Some(total) = &table.total {
                    tfoot {
                        tr { (cells(table.rows.len(), total)) }
                    }
                }
            }
        }
    }
}

/// Millimetres to a tenth.
fn tenths(mm: f64) -> String {
    format!("{mm:.1}")
}

/// Findings: shape, word, what, why, what to do.
pub(crate) fn findings(items: &[ShownFinding]) -> Markup {
    findings_with(items, |_| html! {})
}

/// Findings, each with the way to where it is mended.
pub(crate) fn findings_with(
    items: &[ShownFinding],
    mend: impl Fn(&ShownFinding) -> Markup,
) -> Markup {
    html! {
        @if items.is_empty() {
            p { "No findings." }
        } @else {
            ul.findings {
                @for f in items {
                    li class=(f.severity) {
                        p.what {
                            span.severity { (mark(f.severity)) " " (f.word) }
                            " " b { (f.place) } " " (f.what)
                        }
                        @if !f.numbers.is_empty() { p.numbers { (f.numbers) } }
                        p { b { "Do: " } (f.remedy) }
                        (mend(f))
                        details { summary { "Why" } p { (f.why) } p.remark { (f.source) } }
                    }
                }
            }
        }
    }
}

/// How a number came about, folded away until it is asked.
pub(crate) fn working(working: &ShownWorking) -> Markup {
    html! {
        details.working id={ "working-" (working.number) } {
            summary { (working.name) ": " b { (working.result) } }
            p.equation {
                @if let Some(procedure) = &working.procedure {
                    (pieces(&working.symbol)) " by procedure: " (procedure)
                } @else { (pieces(&working.equation)) }
            }
            div.wide tabindex="0" role="region" aria-label={ "Inputs of " (working.name) } {
                table {
                    tbody {
                        @for input in &working.inputs {
                            tr {
                                td { (pieces(&input.symbol)) }
                                td.number { (input.value) }
                                td { (input.name) " " span.remark { (input.from) } }
                            }
                        }
                    }
                }
            }
            p.remark { (working.source) }
        }
    }
}

fn pieces(pieces: &[Piece]) -> Markup {
    html! {
        @for piece in pieces {
            @match piece.set {
                Set::Plain => { (piece.text) }
                Set::Symbol => { i { (piece.text) } }
                Set::Sub => { sub { (piece.text) } }
                Set::Sup => { sup { (piece.text) } }
            }
        }
    }
}

//! Figures of two designs beside each other, and what differs in their
//! findings.

use maud::{Markup, html};
use quantity::UnitSystem;
use sheet::Block;
use sheet::dossier::beside::{Figures, Side, findings_of_one, table};

use super::Trying;
use crate::web::answers::Answer;
use crate::web::view::blocks::blocks;
use crate::web::view::layout::{SHEETS, sheet_href};

/// Sheets on which a trial can be seen.
const TRIED_ON: [&str; 4] = ["load", "units", "day", "compare"];

/// What the two sides of a trial are called.
pub(in super::super) const SAVED: &str = "Saved";
pub(in super::super) const TRIED: &str = "Tried";

/// Two answers with what they are called.
pub(in super::super) fn sides<'a>(
    (name_a, a): (&'a str, &'a Answer),
    (name_b, b): (&'a str, &'a Answer),
) -> [Side<'a>; 2] {
    [(name_a, a), (name_b, b)].map(|(name, answer)| Side {
        name,
        room: &answer.project.room,
        design: &answer.design,
    })
}

/// Figures of both with their differences.
pub(in super::super) fn tables(
    sides: &[Side<'_>; 2],
    which: &[Figures],
    units: UnitSystem,
) -> Markup {
    let all = which
        .iter()
        .map(|w| Block::Table(table(&sides[0], &sides[1], *w)));
    blocks(all.collect(), units)
}

/// Findings that only one of them has.
pub(in super::super) fn differing(
    [a, b]: &[Side<'_>; 2],
    is_open: bool,
    units: UnitSystem,
) -> Markup {
    let only = |one: &Side<'_>, other: &Side<'_>| findings_of_one(one.design, other.design);
    let (of_a, of_b) = (only(a, b), only(b, a));
    let (count_a, count_b) = (of_a.len(), of_b.len());
    html! {
        @if count_a + count_b == 0 {
            p { "The findings are the same." }
        } @else {
            details.differing open[is_open] {
                summary {
                    "Findings that differ: " (b.name) " alone " (count_b) ", " (a.name) " alone " (count_a)
                }
                @for (side, findings) in [(b, of_b), (a, of_a)] {
                    @if !findings.is_empty() {
                        h3 { (side.name) " alone" }
                        (blocks(vec![Block::Findings(findings)], units))
                    }
                }
            }
        }
    }
}

/// What is tried beside what is saved, with the ways on from there. `word` is
/// the sheet that it stands on.
pub(in super::super) fn panel(
    trying: &Trying,
    tried: &Answer,
    (job, room, word): (&str, &str, &str),
    which: &[Figures],
    units: UnitSystem,
) -> Markup {
    let sides = sides((SAVED, &trying.saved), (TRIED, tried));
    let query = trying.trial.query();
    html! {
        section.trial aria-label="Tried, not saved" {
            h2 { "Tried, not saved" }
            (said(trying))
            (tables(&sides, which, units))
            (differing(&sides, word == "compare", units))
            nav aria-label="This trial on other sheets" {
                ul.ways {
                    @for (other, name) in SHEETS.iter().filter(|(w, _)| TRIED_ON.contains(w) && *w != word) {
                        li { a.button href={ (sheet_href(job, room, other)) (query) } { (name) } }
                    }
                    li { a.button href=(sheet_href(job, room, word)) { "Drop it" } }
                }
            }
            form method="post" action=(sheet_href(job, room, "try")) {
                input type="hidden" name="base" value=(trying.file.version.hash);
                input type="hidden" name="back" value=(word);
                @for (name, typed) in trying.trial.pairs() { input type="hidden" name=(name) value=(typed); }
                button.main { "Save these to the room file" }
            }
        }
    }
}

/// What was changed, one by one.
fn said(trying: &Trying) -> Markup {
    let all = trying.said();
    html! {
        ul {
            @for (label, saved, tried) in all {
                li { (label) ": " (or_empty(&saved)) " → " b { (or_empty(&tried)) } }
            }
        }
    }
}

fn or_empty(text: &str) -> &str {
    if text.is_empty() { "left empty" } else { text }
}

//! The dossier of designed rooms: whole, in words and numbers only, the same
//! each time, on both papers.
#![cfg(feature = "pdf")]

mod common;

use std::sync::LazyLock;

use common::{catalog, text};
use equipment::Catalog;
use hayro_syntax::Pdf;
use hayro_syntax::object::Object;
use job::{Design, Effort, Inputs, Silent};
use quantity::{Severity, UnitSystem};
use room::Room;
use sheet::Paper;
use sheet::dossier::{Dossier, Workings, dossier};
use sheet::pdf::pdf;
use sheet::report::Block;
use sheet::shown::{Shown, ShownBlock, shown};

/// A room under `cases/demo` with few models, simulated coarsely.
fn designed(name: &str) -> (Room, Catalog, Design) {
    let catalog = catalog();
    let site = text("cases/demo/site.toml");
    let file = format!("{name}.room.toml");
    let mut room = Room::read(
        Some(("site.toml", &site)),
        (&file, &text(&format!("cases/demo/{file}"))),
    )
    .unwrap_or_else(|p| panic!("{p:?}"));
    room.selection.models.truncate(2);
    let design =
        job::design(&room, &catalog, &Inputs::default(), Effort::Draft, &Silent).expect("a design");
    (room, catalog, design)
}

/// The lit room, designed once.
static LIT: LazyLock<(Room, Catalog, Design)> = LazyLock::new(|| designed("flower-2"));

/// Words that a number which is none would leave behind.
fn no_broken_numbers(text: &str) {
    let is_word = |w: &str| {
        text.split(|c: char| !c.is_alphanumeric())
            .any(|found| found == w)
    };
    for word in ["NaN", "inf", "Infinity"] {
        assert!(!is_word(word), "{word} is printed");
    }
}

/// Titles of the bookmarks of a PDF.
fn bookmarks(pdf: &Pdf) -> Vec<String> {
    pdf.objects()
        .into_iter()
        .filter_map(|object| match object {
            Object::Dict(dict) if dict.contains_key("Dest") && dict.contains_key("Parent") => {
                dict.get::<hayro_syntax::object::String<'_>>("Title")
            }
            _ => None,
        })
        .map(|title| String::from_utf8_lossy(title.as_bytes()).into_owned())
        .collect()
}

fn tables(report: &Shown) -> impl Iterator<Item = &sheet::shown::ShownTable> {
    report.blocks.iter().filter_map(|b| match b {
        ShownBlock::Table(t) => Some(t),
        _ => None,
    })
}

#[test]
fn a_lit_room_has_a_whole_dossier() {
    let (room, catalog, design) = &*LIT;
    for (units, paper) in [
        (UnitSystem::Us, Paper::Letter),
        (UnitSystem::Metric, Paper::A4),
    ] {
        let report = dossier(room, catalog, design, units, Workings::Appended);
        assert_eq!(report.meta.room, "Flower 2");
        assert!(!report.meta.job.is_empty() && !report.meta.date.is_empty());
        let said = shown(&report);
        no_broken_numbers(&serde_json::to_string(&said).unwrap());
        // Findings come before all numbers.
        assert!(matches!(said.blocks[0], ShownBlock::Title { .. }));
        assert!(matches!(said.blocks[1], ShownBlock::FindingsInShort { .. }));
        for t in tables(&said) {
            let cells = t.rows.iter().flatten().chain(t.total.iter().flatten());
            for cell in cells {
                // What feeds the other loads of a panel is truly not known, nor
                // the compressor's current where a plate does not state it.
                let may_be = ["Panel schedule", "Plates held"];
                let unknown = cell == "?" && !may_be.iter().any(|c| t.caption.starts_with(c));
                assert!(!unknown && !cell.contains("e−"), "{}: {cell}", t.caption);
            }
        }
        let once = pdf(&report, paper).unwrap();
        assert!(once == pdf(&report, paper).unwrap(), "two runs differ");
        let read = Pdf::new(once).expect("a PDF");
        let pages = read.pages().len();
        assert!((20..=48).contains(&pages), "{pages} pages");
        // Each chapter can be gone to by its bookmark.
        let marks = bookmarks(&read);
        for chapter in [
            "Placement of the units",
            "Hanging",
            "Drain",
            "Power",
            "Control",
            "Who does what",
            "Parts",
            "Unit labels",
            "Survey sheet",
            "Cautions",
            "Workings",
        ] {
            assert!(marks.iter().any(|m| m == chapter), "{chapter}: {marks:?}");
        }
        let short = dossier(room, catalog, design, units, Workings::LeftOut);
        let without = Pdf::new(pdf(&short, paper).unwrap()).expect("a PDF");
        let appendix = pages - without.pages().len();
        assert!((1..=14).contains(&appendix), "{appendix} pages of workings");
    }
    let whole = Dossier::new(room, catalog, design, UnitSystem::Us, Workings::LeftOut);
    let names: Vec<&str> = whole.drawings().map(|(name, _)| name).collect();
    for name in [
        "capacity",
        "load",
        "ranges",
        "day",
        "psychrometric",
        "placement-1",
        "hanging-1",
        "drain-1",
        "power-1",
        "control-1",
    ] {
        assert!(names.contains(&name), "{name} is not in {names:?}");
    }
    let plans: Vec<_> = whole.plans().map(|(name, _, _)| name).collect();
    assert_eq!(plans, ["plan", "hanging"]);
    for (_, drawing, view) in whole.plans() {
        assert!(drawing.views.iter().any(|v| v.name == view), "{view}");
    }
    for (name, drawing) in whole.drawings() {
        let svg = sheet::svg::svg(drawing);
        no_broken_numbers(&svg);
        assert!(svg.contains("<path") || svg.contains("<line"), "{name}");
    }
}

#[test]
fn a_room_without_light_speaks_of_no_light() {
    let (room, catalog, design) = designed("drying-1");
    assert!(room.light.is_none());
    let report = dossier(&room, &catalog, &design, UnitSystem::Us, Workings::LeftOut);
    for t in tables(&shown(&report)) {
        let heads = t.columns.iter().map(|c| &c.head);
        for cell in heads.chain(t.rows.iter().map(|r| &r[0])) {
            let cell = cell.to_lowercase();
            assert!(
                !cell.contains("lights on") && !cell.contains("lights\u{a0}on"),
                "{}: {cell}",
                t.caption
            );
        }
    }
    let whole = Dossier::new(&room, &catalog, &design, UnitSystem::Us, Workings::LeftOut);
    for (name, drawing) in whole.drawings() {
        let svg = sheet::svg::svg(drawing).to_lowercase();
        no_broken_numbers(&svg);
        assert!(!svg.contains("lights o"), "{name} speaks of lights");
    }
    assert!(pdf(&report, Paper::A4).is_ok());
}

#[test]
fn the_first_page_says_what_asks_for_action() {
    let (room, catalog, design) = &*LIT;
    let mut design = design.clone();
    let in_short = |design: &Design| {
        dossier(room, catalog, design, UnitSystem::Us, Workings::LeftOut)
            .blocks
            .into_iter()
            .find_map(|b| match b {
                Block::FindingsInShort { findings, note } => {
                    Some((findings, note.show(UnitSystem::Us)))
                }
                _ => None,
            })
            .expect("findings in short")
    };
    let finding = design.findings()[0].clone();
    design.survey.clear();
    design.load.findings.clear();
    design.selection.findings.clear();
    design.day.findings.clear();
    design.placement.findings.clear();
    design.hanging.findings.clear();
    design.drain.findings.clear();
    design.power.findings.clear();
    design.control.findings.clear();
    assert_eq!(in_short(&design).1, "Nothing asks for action.");

    let with = |severity| {
        let mut f = finding.clone();
        f.severity = severity;
        f
    };
    design.load.findings = vec![with(Severity::Note)];
    let (findings, note) = in_short(&design);
    assert!(findings.is_empty());
    assert_eq!(note, "Nothing asks for action; one remark further on.");

    design.day.findings = (0..7)
        .map(|i| quantity::Finding {
            what: quantity::Text::from(format!("fault {i}")),
            ..with(Severity::Fix)
        })
        .collect();
    design.day.findings.push(with(Severity::Stop));
    let (findings, note) = in_short(&design);
    assert_eq!(findings.len(), 3);
    assert_eq!(findings[0].severity, Severity::Stop);
    assert_eq!(
        note,
        "And 5 more; each stands in full with its sheet or at the end."
    );
}

//! The PDF writer: same bytes, right pages, any text survives.
#![cfg(feature = "pdf")]

#[path = "../examples/specimen/data.rs"]
mod data;
#[path = "../examples/specimen/report.rs"]
mod specimen;

use hayro_syntax::Pdf;
use quantity::{Dim, Text, UnitSystem, Value};
use sheet::pdf::pdf;
use sheet::report::{Block, Cell, Column, Level, Report, Table, TitleBlock};
use sheet::{Drawing, Paper};

fn read(bytes: &[u8]) -> Pdf {
    Pdf::new(bytes.to_vec()).expect("a PDF that another program reads")
}

fn title(pdf: &Pdf) -> String {
    let raw = pdf.metadata().title.clone().expect("a title");
    String::from_utf8_lossy(&raw).into_owned()
}

#[test]
fn same_report_same_bytes() {
    let report = specimen::specimen(UnitSystem::Metric);
    let first = pdf(&report, Paper::A4).unwrap();
    let again = std::thread::spawn(move || pdf(&report, Paper::A4).unwrap())
        .join()
        .unwrap();
    assert!(first == again, "two runs differ");
    let us = pdf(&specimen::specimen(UnitSystem::Us), Paper::A4).unwrap();
    assert!(first != us, "units make no difference");
}

#[test]
fn pages_title_and_paper_are_right() {
    let mut report = Report::new(TitleBlock {
        job: "Job".into(),
        room: "Room".into(),
        ..TitleBlock::default()
    });
    report.push(Block::Title {
        title: "Three pages".into(),
        subtitle: Text::new(),
    });
    for _ in 0..2 {
        report.push(Block::PageBreak);
        report.push(Block::Heading(Level::One, "Next".into()));
    }
    for (paper, width_pt, height_pt) in [(Paper::A4, 595.28, 841.89), (Paper::Letter, 612.0, 792.0)]
    {
        let bytes = pdf(&report, paper).unwrap();
        let read = read(&bytes);
        assert_eq!(read.pages().len(), 3);
        assert_eq!(title(&read), "Three pages");
        let (w, h) = read.pages()[0].render_dimensions();
        assert!((f64::from(w) - width_pt).abs() < 0.1 && (f64::from(h) - height_pt).abs() < 0.1);
    }
}

#[test]
fn a_wide_drawing_gets_a_lying_page() {
    let mut report = Report::new(TitleBlock::default());
    let mut drawing = Drawing::new(
        sheet::drawing::Size {
            width_mm: 250.0,
            height_mm: 140.0,
        },
        "Plan",
    );
    let mut view = sheet::View::paper("plan");
    view.rect(
        sheet::Role::Outline,
        sheet::drawing::at(1.0, 1.0),
        sheet::drawing::at(249.0, 139.0),
    );
    drawing.views.push(view);
    report.push(Block::Paragraph("Before.".into()));
    report.push(Block::Figure {
        drawing,
        caption: "Plan".into(),
    });
    report.push(Block::Paragraph("After.".into()));
    let bytes = pdf(&report, Paper::A4).unwrap();
    let read = read(&bytes);
    let wide: Vec<bool> = read
        .pages()
        .iter()
        .map(|p| p.render_dimensions())
        .map(|(w, h)| w > h)
        .collect();
    assert_eq!(wide, [false, true, false]);
}

/// Signs that mean something to the layout, to XML or to JSON; signs without a
/// glyph; invisible signs.
const HOSTILE: &str = "# $x$ \" ' < > & \\ #eval(\"1\") *b* _i_ @ref `raw` //c /*d*/ ] } \
                       ]]> <!-- {{}} %s \u{0} \u{1b}[0m \u{feff} \u{202e} 日本語 \u{1F4A7} \
                       \n\t - + = ~ \\u{41}";

#[test]
fn any_text_survives_in_every_place() {
    let text = || Text::from(HOSTILE);
    let mut report = specimen::specimen(UnitSystem::Us);
    report.meta = TitleBlock {
        job: HOSTILE.into(),
        room: HOSTILE.into(),
        sheet_prefix: HOSTILE.into(),
        revision: HOSTILE.into(),
        date: HOSTILE.into(),
        design_id: HOSTILE.into(),
        units: UnitSystem::Us,
    };
    report.blocks.insert(
        0,
        Block::Title {
            title: text(),
            subtitle: text(),
        },
    );
    report.push(Block::Heading(Level::Three, text()));
    report.push(Block::Remark(text()));
    report.push(Block::Cautions(vec![text()]));
    report.push(Block::Table(Table {
        caption: text(),
        columns: vec![Column::words(HOSTILE), Column::of(HOSTILE, Dim::Power)],
        rows: vec![
            vec![text().into(), Value::new(f64::NAN, Dim::Power).into()],
            vec![],
            vec![
                Cell::Blank,
                Cell::Unknown,
                Cell::NotApplicable,
                text().into(),
            ],
        ],
        total: Some(vec![]),
    }));
    let bytes = pdf(&report, Paper::Letter).unwrap();
    assert!(read(&bytes).pages().len() >= 5);
}

/// Ten narrow columns, in each words for three pages: they go on over the pages,
/// where a row that is held together would be cut off at the foot of one.
#[test]
fn a_cell_taller_than_a_page_goes_on_over_the_next() {
    let mut report = Report::new(TitleBlock::default());
    let long = |column: usize| {
        let words: Vec<String> = (0..160).map(|n| format!("{column}.{n}")).collect();
        Cell::from(words.join(" "))
    };
    report.push(Block::Table(Table {
        caption: "Narrow".into(),
        columns: (0..10)
            .map(|n| Column::words(format!("Column {n}")))
            .collect(),
        rows: vec![(0..10).map(long).collect()],
        total: None,
    }));
    let bytes = pdf(&report, Paper::A4).unwrap();
    assert!(3 <= read(&bytes).pages().len());
}

#[test]
fn empty_blocks_are_printed() {
    let mut report = Report::new(TitleBlock::default());
    for block in [
        Block::Findings(vec![]),
        Block::Workings(vec![]),
        Block::Assumptions(vec![]),
        Block::Cautions(vec![]),
        Block::Errands(vec![]),
        Block::KeyFigures(vec![]),
        Block::Table(Table::default()),
        Block::Table(Table {
            columns: vec![Column::words("Alone")],
            ..Table::default()
        }),
        Block::Paragraph(Text::new()),
        Block::PageBreak,
        Block::PageBreak,
    ] {
        report.push(block);
    }
    let bytes = pdf(&report, Paper::A4).unwrap();
    assert_eq!(read(&bytes).pages().len(), 1);
    let bytes = pdf(&Report::default(), Paper::A4).unwrap();
    assert_eq!(read(&bytes).pages().len(), 1);
}

#[test]
fn headings_may_skip_a_rank_without_an_error() {
    let mut report = Report::new(TitleBlock::default());
    report.push(Block::Heading(Level::Three, "Deep".into()));
    report.push(Block::Heading(Level::One, "Top".into()));
    assert!(pdf(&report, Paper::A4).is_ok());
}

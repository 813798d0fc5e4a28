//! A blank survey to print and carry: the fields of the room and site files,
//! with room to write. There is no second list of what to ask.

use fields::{Field, Format, Kind, Need, Repeat, Section};
use quantity::{Text, UnitSystem};
use room::Room;

use crate::numbers;
use crate::report::{Align, Block, Cell, Column, Level, Report, Table, TitleBlock};

/// Sections that a first visit asks for, in the order of a walk through the
/// room; the others are for a second visit or the office.
const FIRST: &[&str] = &[
    "room",
    "door",
    "light",
    "crop",
    "irrigation",
    "target.lights_on",
    "target.lights_off",
    "cooling",
    "unit",
    "drain",
    "panel",
    "structure",
    "bench",
    "supply",
    "obstacle",
    "access",
];

/// Sections that a room without light has no use for.
const LIT_ONLY: &[&str] = &["light", "target.lights_on"];

/// The form.
///
/// - `units`: in which lengths and flows are asked for first; both are read
pub fn form(site: &Format, room: &Format, units: UnitSystem) -> Report {
    let mut report = Report::new(TitleBlock {
        sheet_prefix: numbers::SURVEY.into(),
        units,
        ..TitleBlock::default()
    });
    report.push(Block::Title {
        title: "Survey of a crop room".into(),
        subtitle: "Write each number with its unit. Leave out what is not known: it is assumed, and shown as assumed."
            .into(),
    });
    report.push(Block::Paragraph(
        "x runs away from the door wall, y along it from its left end as seen when entering, z up from the floor. Take a photo of every nameplate."
            .into(),
    ));
    report.push(Block::Heading(Level::One, "Site".into()));
    for section in site.sections {
        push(&mut report, section, units);
    }
    report.push(Block::Heading(Level::One, "The room, first visit".into()));
    for key in FIRST {
        if let Some(section) = room.section(key) {
            push(&mut report, section, units);
        }
    }
    report.push(Block::Heading(
        Level::One,
        "What makes the answer narrower".into(),
    ));
    let shared = |s: &Section| site.section(s.key).is_some();
    for section in room.sections {
        if !FIRST.contains(&section.key) && !shared(section) {
            push(&mut report, section, units);
        }
    }
    report.push(Block::Cautions(vec![
        "Open no electrical enclosure that you are not licensed to open; read plates from outside.".into(),
        "Ask before entering after spraying or fumigation, and where carbon dioxide is added: measure it first.".into(),
        "Do not look into grow lights; wear eye protection. Climb only on a ladder or lift that you were trained on.".into(),
    ]));
    report
}

/// The first visit on one sheet, to carry in the job folder: what to note,
/// part by part, with room to write; of light only where the room has any.
///
/// - `units`: in which numbers are asked for first; both are read
pub fn one_sheet(room: &Room, format: &Format, units: UnitSystem) -> Vec<Block> {
    let lit = room.light.is_some();
    let rows = FIRST
        .iter()
        .filter(|key| lit || !LIT_ONLY.contains(key))
        .filter_map(|key| format.section(key))
        .map(|section| {
            let asked: Vec<String> = section
                .fields
                .iter()
                .map(|f| match &f.kind {
                    Kind::Quantity { dim, .. } | Kind::Band { dim, .. }
                        if !dim.unit(units).is_empty() =>
                    {
                        format!("{}\u{a0}({})", f.key, dim.unit(units))
                    }
                    _ => f.key.to_owned(),
                })
                .map(|words| words.replace('_', " "))
                .collect();
            vec![
                Cell::from(section.title),
                Cell::from(asked.join(", ")),
                Cell::from("\u{a0}".repeat(44)),
            ]
        })
        .collect();
    vec![
        Block::PageBreak,
        Block::Heading(Level::One, "Survey sheet".into()),
        Block::Paragraph(
            "Blank, to carry: what to note again on site, each number with its unit. What is not known stays empty. x runs away from the door wall, y along it, z up from the floor."
                .into(),
        ),
        Block::Table(Table {
            caption: Text::new(),
            columns: vec![
                Column::words("Part"),
                Column::words("To note"),
                Column::words("Found"),
            ],
            rows,
            total: None,
        }),
    ]
}

fn push(report: &mut Report, section: &Section, units: UnitSystem) {
    let times = match section.repeat {
        Repeat::Many => " (one form each)",
        Repeat::Optional => " (where it applies)",
        Repeat::Once => "",
    };
    report.push(Block::Heading(
        Level::Two,
        Text::from(format!("{}{times}", section.title)),
    ));
    report.push(Block::Table(Table {
        caption: Text::new(),
        columns: vec![
            Column::words("What"),
            Column::words("As"),
            Column {
                align: Align::Left,
                ..Column::words("Found")
            },
        ],
        rows: section.fields.iter().map(|f| row(f, units)).collect(),
        total: None,
    }));
}

fn row(field: &Field, units: UnitSystem) -> Vec<Cell> {
    let must = match field.need {
        Need::Required => " *",
        _ => "",
    };
    vec![
        Cell::from(format!("{}{must}", field.help.trim_end_matches('.'))),
        Cell::from(asked(&field.kind, units)),
        // Room to write on.
        Cell::from("\u{a0}".repeat(44)),
    ]
}

/// How an answer is to be written.
fn asked(kind: &Kind, units: UnitSystem) -> String {
    match kind {
        Kind::Quantity { dim, .. } => dim.unit(units).to_owned(),
        Kind::Band { dim, .. } => match dim.unit(units) {
            "" => "from..to".to_owned(),
            unit => format!("{unit}, or from..to"),
        },
        Kind::Text => "words".to_owned(),
        Kind::Choice(words) => words
            .iter()
            .map(|(word, _)| *word)
            .collect::<Vec<_>>()
            .join(" / "),
        Kind::Clock => "hh:mm".to_owned(),
        Kind::Date => "yyyy-mm-dd".to_owned(),
        Kind::Count { .. } => "count".to_owned(),
        Kind::Point => "x, y, z".to_owned(),
        Kind::List(of) => format!("{}, several", asked(of, units)),
        Kind::Map(columns) => columns
            .iter()
            .map(|c| c.name)
            .collect::<Vec<_>>()
            .join(", "),
    }
}

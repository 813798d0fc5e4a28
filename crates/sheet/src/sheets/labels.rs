//! Labels for the units: tag, job, room, plate, and a QR code that opens the
//! unit's page. Its address is known where the jobs are served, so that labels
//! are printed with the start-up; the dossier says how.

use equipment::Catalog;
use job::Placement;
use qrcode::{Color, EcLevel, QrCode, Version};
use quantity::{Dim, Text, UnitSystem, Value};

use super::kit::paper;
use crate::drawing::{Drawing, Label, Letters, PaperPoint, Role, Shape, Size, View, at};
use crate::report::{Block, Level, TitleBlock};

/// Width of one module of the code \[mm\]: read from a metre away by a phone. A
/// long address has more modules than fit the label so wide; they get narrower.
const MODULE_MM: f64 = 1.5;
/// Modules of white round the code that its standard asks for.
const QUIET: f64 = 4.0;
/// Size of a label \[mm\].
const LABEL: Size = Size {
    width_mm: 130.0,
    height_mm: 62.0,
};
/// Most letters of the code, so that it stays small enough.
const MOST: usize = 40;

/// Path of a unit's page below the address where jobs are served: capitals, figures and a few signs only,
/// which a code holds in the least space.
///
/// Design id, room and tag, cut to 40 letters; signs that the code's
/// alphanumeric mode lacks become "-".
pub fn payload(design_id: &str, room: &str, tag: &str) -> String {
    let plain = |text: &str| -> String {
        text.to_uppercase()
            .chars()
            .map(|c| match c {
                'A'..='Z' | '0'..='9' | ' ' | '.' | '-' | '+' => c,
                _ => '-',
            })
            .collect()
    };
    let id: String = plain(design_id).chars().take(8).collect();
    let tag = plain(tag);
    let spent = "DW/".len() + id.len() + 1 + 1 + tag.len();
    let room: String = plain(room)
        .chars()
        .take(MOST.saturating_sub(spent))
        .collect();
    format!("DW/{id}/{room}/{tag}").chars().take(MOST).collect()
}

/// The modules of a code, row by row, dark ones true; quartile correction.
pub fn modules(payload: &str) -> Option<(usize, Vec<bool>)> {
    let code = QrCode::with_version(payload, Version::Normal(3), EcLevel::Q)
        .or_else(|_| QrCode::with_error_correction_level(payload, EcLevel::Q))
        .ok()?;
    let dark = code.to_colors().iter().map(|c| *c == Color::Dark).collect();
    Some((code.width(), dark))
}

/// The label of one unit.
pub fn label(lines: &[String], tag: &str, payload: &str) -> Drawing {
    let mut view = View::paper("label");
    view.rect(
        Role::Frame,
        at(0.5, 0.5),
        at(LABEL.width_mm - 0.5, LABEL.height_mm - 0.5),
    );
    if let Some((width, dark)) = modules(payload) {
        let across = width as f64 + 2.0 * QUIET;
        let module_mm = MODULE_MM.min((LABEL.height_mm - 1.0) / across);
        let side = across * module_mm;
        let top = paper(
            LABEL.width_mm - side - 0.5 + QUIET * module_mm,
            0.5 * (LABEL.height_mm - side) + QUIET * module_mm,
        );
        code(&mut view, top, module_mm, width, &dark);
    }
    view.text(
        Role::TextStrong,
        Label::new(tag, at(6.0, 14.0)).letters(Letters::Label),
    );
    let mut y_mm = 22.0;
    for line in lines {
        view.text(
            Role::Text,
            Label::new(line, at(6.0, y_mm)).letters(Letters::Note),
        );
        y_mm += 5.0;
    }
    view.text(
        Role::TextQuiet,
        Label::new(payload, at(6.0, LABEL.height_mm - 3.5)),
    );
    Drawing {
        size: LABEL,
        title: format!("Label of {tag}"),
        alt: format!("Label of {tag}: {}. Code: {payload}.", lines.join("; ")),
        views: vec![view],
        notes: Vec::new(),
        behind: None,
    }
}

/// Each run of dark modules in a row as one rectangle.
fn code(view: &mut View, top: PaperPoint, module_mm: f64, width: usize, dark: &[bool]) {
    for (row, modules) in dark.chunks(width).enumerate() {
        let mut from = 0;
        for run in modules.chunk_by(|a, b| a == b) {
            let to = from + run.len();
            if run[0] {
                let x = |i: usize| top.x_mm + i as f64 * module_mm;
                let y = |i: usize| top.y_mm + i as f64 * module_mm;
                view.push(
                    Role::Code,
                    Shape::Polygon(vec![
                        at(x(from), y(row)),
                        at(x(to), y(row)),
                        at(x(to), y(row + 1)),
                        at(x(from), y(row + 1)),
                    ]),
                );
            }
            from = to;
        }
    }
}

/// The address that the code of a unit holds, in the capitals that a code
/// holds in the least space; names of machines and schemes know no case.
///
/// - `server`: where the jobs are served, as "http://192.0.2.7:8137"
fn address(server: &str, path: &str) -> String {
    let server = server.trim_end_matches('/').to_uppercase();
    format!("{server}/{}", path.replace(' ', "%20"))
}

/// The labels of all units, to print and stick on.
///
/// - `server`: where the jobs are served, as "http://192.0.2.7:8137"
pub fn blocks(
    about: &TitleBlock,
    catalog: &Catalog,
    placement: &Placement,
    units: UnitSystem,
    server: &str,
) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading(Level::One, "Unit labels".into()),
        Block::Paragraph(
            "Print at full size on matt white, stick each on the access side of its unit. A phone that was let in opens the unit's page by the code, as long as the jobs are served at the address under it."
                .into(),
        ),
    ];
    for unit in &placement.units {
        let mut lines = vec![
            format!("{} · {}", about.job, about.room),
            unit.model.clone(),
        ];
        if let Ok(record) = unit.record(catalog) {
            let shown = |si: f64, dim: Dim| Value::new(si, dim).digits(3).show(units);
            let plate = &record.plate;
            lines.push(format!(
                "{}, {} phase",
                shown(plate.volts, Dim::Voltage),
                plate.phases
            ));
            lines.push(format!(
                "MCA {}, MOCP {}",
                shown(plate.min_circuit_a, Dim::Current),
                shown(plate.max_protection_a, Dim::Current)
            ));
            lines.push(format!(
                "waits {} after power returns",
                shown(record.delays.restart_s, Dim::Duration)
            ));
        }
        let code = address(server, &payload(&about.design_id, &about.room, &unit.tag));
        blocks.push(Block::Figure {
            drawing: label(&lines, &unit.tag, &code),
            caption: Text::from(format!("Label of {}", unit.tag)),
        });
    }
    blocks
}

/// How to come by the labels, for the dossier: the address that their codes
/// hold is not known when a room is designed.
pub fn how_to_print(placement: &Placement) -> Vec<Block> {
    if placement.units.is_empty() {
        return Vec::new();
    }
    let tags: Vec<&str> = placement.units.iter().map(|u| u.tag.as_str()).collect();
    vec![
        Block::Heading(Level::One, "Unit labels".into()),
        Block::Paragraph(
            format!(
                "Each unit ({}) gets a label with its tag, job, room and plate, and a code that opens its page on a phone. The code holds the address at which the jobs are served on site, so the labels are printed there: start-up page, \"Labels with this address\", or drywright start ROOM --labels FILE --address ADDRESS.",
                tags.join(", ")
            )
            .into(),
        ),
    ]
}

//! Every invented job's dossier holds every sheet that a crew builds from, and
//! each of them has its cautions.

mod common;

use common::{catalog, root};
use job::{Effort, Inputs, Silent};
use quantity::UnitSystem;
use room::Room;
use sheet::Block;
use sheet::dossier::{Workings, dossier};

/// A job's dossier at a first look, with one model to choose from.
fn report(folder: &str, name: &str, units: UnitSystem) -> (Room, sheet::Report) {
    let path = root().join("cases").join(folder);
    let text = |file: &str| {
        std::fs::read_to_string(path.join(file)).unwrap_or_else(|e| panic!("{file}: {e}"))
    };
    let file = format!("{name}.room.toml");
    let mut room = Room::read(
        Some(("site.toml", &text("site.toml"))),
        (&file, &text(&file)),
    )
    .unwrap_or_else(|p| panic!("{p:?}"));
    room.selection.models.truncate(1);
    let catalog = catalog();
    let design = job::design(
        &room,
        &catalog,
        &Inputs::default(),
        Effort::Preview,
        &Silent,
    )
    .unwrap_or_else(|e| panic!("{e}"));
    assert!(!design.placement.units.is_empty(), "{name}: no unit");
    let report = dossier(&room, &catalog, &design, units, Workings::Appended);
    (room, report)
}

/// Titles of chapters and what follows each.
fn chapters(report: &sheet::Report) -> Vec<(String, Vec<&Block>)> {
    let mut all: Vec<(String, Vec<&Block>)> = Vec::new();
    for block in &report.blocks {
        match block {
            Block::Heading(sheet::report::Level::One, text) => {
                all.push((text.show(UnitSystem::Metric), Vec::new()));
            }
            other => {
                if let Some((_, blocks)) = all.last_mut() {
                    blocks.push(other);
                }
            }
        }
    }
    all
}

fn whole(folder: &str, name: &str, units: UnitSystem) {
    let (room, report) = report(folder, name, units);
    let chapters = chapters(&report);
    let chapter = |title: &str| {
        chapters
            .iter()
            .find(|(t, _)| t == title)
            .map(|(_, blocks)| blocks)
            .unwrap_or_else(|| panic!("{name}: no chapter {title}"))
    };
    // Without a panel there is no one-line diagram, but a finding that says so.
    let panels = usize::from(!room.panels.is_empty());
    // Where each unit runs by its own control there is nothing to wire.
    let controllers = usize::from(!room.controllers.is_empty());
    // Sheets with their drawings, findings and cautions.
    for (title, figures) in [
        ("Placement of the units", 3),
        ("Hanging", 2),
        ("Drain", 2),
        ("Power", panels),
        ("Control", controllers),
    ] {
        let blocks = chapter(title);
        let count = |of: fn(&Block) -> bool| blocks.iter().filter(|b| of(b)).count();
        let drawn = count(|b| matches!(b, Block::Figure { .. }));
        assert!(figures <= drawn, "{name}, {title}: {drawn} drawings");
        let findings: Vec<_> = blocks
            .iter()
            .filter_map(|b| match b {
                Block::Findings(all) => Some(all),
                _ => None,
            })
            .collect();
        assert_eq!(findings.len(), 1, "{name}, {title}");
        let says_why = title != "Power" || 0 < figures || !findings[0].is_empty();
        assert!(says_why, "{name}, {title}");
        let cautions = blocks.iter().find_map(|b| match b {
            Block::Cautions(all) => Some(all.len()),
            _ => None,
        });
        assert!(3 <= cautions.unwrap_or(0), "{name}, {title}: {cautions:?}");
        let workings = blocks.iter().any(|b| match b {
            Block::Remark(text) => text.show(units).starts_with("Workings at the end"),
            _ => false,
        });
        let wired = title != "Control" || 0 < figures;
        assert!(
            workings || !wired,
            "{name}, {title}: no way to its workings"
        );
    }
    for (title, kind) in [
        ("Who does what", "errands"),
        ("Parts", "table"),
        ("Unit labels", "paragraph"),
        ("Survey sheet", "table"),
        ("What was assumed", "assumptions"),
        ("Cautions", "cautions"),
        ("Workings", "families"),
    ] {
        let found = chapter(title).iter().any(|b| match b {
            Block::Errands(all) => kind == "errands" && !all.is_empty(),
            Block::Table(table) => kind == "table" && !table.rows.is_empty(),
            Block::Paragraph(_) => kind == "paragraph",
            Block::Assumptions(all) => kind == "assumptions" && !all.is_empty(),
            Block::Cautions(all) => kind == "cautions" && !all.is_empty(),
            Block::Families(all) => kind == "families" && !all.is_empty(),
            _ => false,
        });
        assert!(found, "{name}, {title}: no {kind}");
    }
}

// One test each, so that they run side by side.

#[test]
fn the_demo_flower_room() {
    whole("demo", "flower-2", UnitSystem::Us);
}

#[test]
fn the_demo_drying_room() {
    whole("demo", "drying-1", UnitSystem::Us);
}

#[test]
fn the_demo_vegetative_room() {
    whole("demo", "veg-1", UnitSystem::Us);
}

#[test]
fn the_drying_room() {
    whole("drying-room", "drying-room", UnitSystem::Metric);
}

#[test]
fn the_flower_room_at_altitude() {
    whole("flower-altitude", "flower-altitude", UnitSystem::Us);
}

#[test]
fn the_leafy_farm() {
    whole("leafy-farm", "leafy-farm", UnitSystem::Metric);
}

#[test]
fn the_propagation_room() {
    whole("propagation", "propagation", UnitSystem::Metric);
}

#[test]
fn the_vine_room() {
    whole("vine-room", "vine-room", UnitSystem::Us);
}

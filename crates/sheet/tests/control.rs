//! The control sheet: every conductor on a strip at both ends, nothing over
//! the edge, no text over another.
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Slack, catalog, problems, root};
use equipment::Catalog;
use job::placement::place;
use job::{Control, Placement, UnitSet};
use room::Room;
use sheet::drawing::{Drawing, Shape};
use sheet::report::Block;
use sheet::sheets::control::{blocks, pages, terminal_diagram};
use sheet::svg::svg;

fn wired(models: &[&str]) -> (Room, Catalog, Placement, Control) {
    let folder = root().join("cases/demo");
    let site = std::fs::read_to_string(folder.join("site.toml")).unwrap();
    let mut text = std::fs::read_to_string(folder.join("flower-2.room.toml")).unwrap();
    for (i, model) in models.iter().enumerate() {
        text += &format!(
            "\n[[unit]]\ntag = \"D{}\"\nmodel = \"{model}\"\nat = [\"{} ft\", \"3 ft\", \"11 ft\"]\nfacing = \"+y\"\n",
            i + 1,
            4 + 5 * i
        );
    }
    let room = Room::read(Some(("site.toml", &site)), ("flower-2.room.toml", &text)).unwrap();
    let catalog = catalog();
    let placement = place(&room, &catalog, &UnitSet::EMPTY).unwrap();
    let control = job::control::wire(&room, &catalog, &placement).unwrap();
    (room, catalog, placement, control)
}

const MIXED: [&str; 7] = [
    "generic-90-cold",
    "generic-90-cold",
    "generic-150",
    "generic-150",
    "generic-70",
    "generic-200",
    "generic-250",
];

fn diagrams(control: &Control) -> Vec<(String, Drawing)> {
    let mut drawings = Vec::new();
    for s in &control.assignment.served {
        for (i, page) in pages(control, Some(&s.controller)).iter().enumerate() {
            let drawing = terminal_diagram(control, Some(&s.controller), page);
            drawings.push((format!("{}-{i}", s.controller), drawing));
        }
    }
    drawings
}

#[test]
fn every_device_with_wires_stands_on_one_page_of_its_controller() {
    for models in [
        MIXED.to_vec(),
        vec!["generic-150"; 7],
        vec!["generic-70"; 4],
    ] {
        let (_, _, _, control) = wired(&models);
        for s in &control.assignment.served {
            let shown: Vec<&str> = pages(&control, Some(&s.controller))
                .iter()
                .flatten()
                .map(|d| d.tag.as_str())
                .collect();
            for unit in &s.units {
                assert_eq!(shown.iter().filter(|t| *t == unit).count(), 1, "{unit}");
            }
        }
    }
}

#[test]
fn diagrams_stay_on_the_page_and_no_text_lies_on_another() {
    const TOUCH: Slack = Slack {
        edge_mm: 0.1,
        overlap_mm: 0.0,
    };
    let mut found = Vec::new();
    for models in [
        MIXED.to_vec(),
        vec!["generic-150"; 7],
        vec!["generic-70"; 4],
    ] {
        let (_, _, _, control) = wired(&models);
        let all = diagrams(&control);
        assert!(!all.is_empty());
        for (name, d) in all {
            found.extend(problems(&name, &d, TOUCH));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn every_conductor_is_drawn_from_strip_to_strip() {
    let (_, _, _, control) = wired(&MIXED);
    let drawn: usize = diagrams(&control)
        .iter()
        .flat_map(|(_, d)| d.views.iter().flat_map(|v| &v.items))
        .filter(|i| matches!(i.shape, Shape::Polyline(_)))
        .count();
    assert_eq!(drawn, control.wires.len());
}

#[test]
fn the_sheet_holds_all_that_a_crew_needs() {
    let (_, _, _, control) = wired(&MIXED);
    let all = blocks(&control);
    let schedule = all.iter().any(|b| matches!(b, Block::Table(t) if t.rows.len() == control.wires.len() && t.columns.len() == 7));
    assert!(schedule);
    let form = all
        .iter()
        .any(|b| matches!(b, Block::Table(t) if t.rows.len() == control.wires.len() && t.columns.len() == 6));
    assert!(form);
    for b in &all {
        if let Block::Table(t) = b {
            assert!(t.rows.iter().all(|r| r.len() == t.columns.len()));
        }
    }
    assert!(matches!(all.last(), Some(Block::Cautions(c)) if !c.is_empty()));
    let none = blocks(&Control::default());
    assert!(none.iter().any(|b| matches!(b, Block::Paragraph(_))));
}

#[test]
fn a_bus_fed_by_its_first_unit_says_so() {
    let steps = |models: &[&str]| {
        let (_, _, _, control) = wired(models);
        let all = blocks(&control);
        format!("{all:?}")
    };
    let said = "cap the conductor";
    assert!(steps(&["generic-90-cold"; 2]).contains(said));
    assert!(!steps(&["generic-90-cold"]).contains(said));
}

/// Pictures to look at, into the folder that `LOOK` names.
#[test]
#[ignore = "writes pictures to look at"]
fn look() {
    let folder = std::path::PathBuf::from(std::env::var("LOOK").unwrap());
    for (set, models) in [
        ("mixed", MIXED.to_vec()),
        ("pair", vec!["generic-150"; 7]),
        ("bus", vec!["generic-90-cold"; 6]),
    ] {
        let (_, _, _, control) = wired(&models);
        for (name, d) in diagrams(&control) {
            let text = svg(&d);
            let mut options = resvg::usvg::Options::default();
            options
                .fontdb_mut()
                .load_font_data(sheet::drawing::font::REGULAR.to_vec());
            options
                .fontdb_mut()
                .load_font_data(sheet::drawing::font::SEMIBOLD.to_vec());
            let tree = resvg::usvg::Tree::from_str(&text, &options).unwrap();
            let size = tree.size().to_int_size().scale_by(2.0).unwrap();
            let mut map = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
            map.fill(resvg::tiny_skia::Color::WHITE);
            resvg::render(
                &tree,
                resvg::tiny_skia::Transform::from_scale(2.0, 2.0),
                &mut map.as_mut(),
            );
            map.save_png(folder.join(format!("{set}-{name}.png")))
                .unwrap();
        }
    }
}

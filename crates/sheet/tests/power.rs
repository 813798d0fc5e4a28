//! The sheet of rooms with and without a panel, in both unit systems.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Slack, catalog, problems, text};
use job::geometry::Frame;
use job::power::feed;
use job::{PlacedBy, PlacedUnit, Placement, Power};
use quantity::UnitSystem;
use room::{Facing, Mount, Room};

use sheet::Drawing;
use sheet::report::Block;
use sheet::sheets::power::blocks;

fn demo(more: &str, models: &[&str]) -> (Room, Placement, Power) {
    let site = text("cases/demo/site.toml");
    let room = text("cases/demo/flower-2.room.toml");
    let (before, _) = room.split_once("[[panel]]").unwrap();
    let room = Room::read(
        Some(("site.toml", &site)),
        ("flower-2.room.toml", &format!("{before}{more}")),
    )
    .unwrap();
    let units = models
        .iter()
        .enumerate()
        .map(|(i, model)| PlacedUnit {
            tag: format!("D{}", i + 1),
            model: (*model).to_owned(),
            frame: Frame {
                at_m: [2.0 + 2.4 * i as f64, 1.5 + 4.0 * (i % 2) as f64, 3.6],
                facing: Facing::PlusX,
            },
            mount: Mount::Hung,
            by: PlacedBy::Survey,
            short_circuit: 0.1,
            ducted: job::placement::Ducted::default(),
        })
        .collect();
    let placement = Placement {
        units,
        ..Placement::default()
    };
    let power = feed(&room, &catalog(), &placement).unwrap();
    (room, placement, power)
}

const SPLIT: &str = "[[panel]]\nname = \"LP-2\"\nat = [\"0 ft\", \"22 ft\", \"5 ft\"]\n\
    voltage = \"240 V\"\nphases = 1\nmain = \"200 A\"\nfree_spaces = 12\n\
    [[circuit]]\nname = \"wall fans\"\npanel = \"LP-2\"\ncurrent = \"5 A\"\nphases = \"A\"\n\
    [generator]\nrating = \"30 kVA\"\n";
const EUROPEAN: &str = "[[panel]]\nname = \"UV-1\"\nat = [\"0 m\", \"6 m\", \"1.5 m\"]\n\
    voltage = \"400 V\"\nphases = 3\n[wiring]\nrules = \"iec 60364\"\n";
const CORDED: &str = "[[panel]]\nname = \"LP-2\"\nat = [\"0 ft\", \"22 ft\", \"5 ft\"]\n\
    voltage = \"240 V\"\nphases = 1\n[wiring]\nconnection = \"cord\"\n";

fn sheets() -> Vec<(&'static str, Vec<Block>, UnitSystem)> {
    let cat = catalog();
    let mut out = Vec::new();
    for (name, more, models) in [
        ("split", SPLIT, &["generic-150"; 5][..]),
        ("european", EUROPEAN, &["generic-250", "generic-250"][..]),
        ("corded", CORDED, &["generic-30"][..]),
        ("none", "", &["generic-150"][..]),
    ] {
        let (room, placement, power) = demo(more, models);
        let control = job::control::wire(&room, &cat, &placement).unwrap();
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            out.push((
                name,
                blocks(&room, &cat, &placement, (&power, &control), units),
                units,
            ));
        }
    }
    out
}

fn figures(blocks: &[Block]) -> impl Iterator<Item = &Drawing> {
    blocks.iter().filter_map(|b| match b {
        Block::Figure { drawing, .. } => Some(drawing),
        _ => None,
    })
}

#[test]
fn texts_keep_apart_and_on_the_paper() {
    const NONE: Slack = Slack {
        edge_mm: 0.0,
        overlap_mm: 0.0,
    };
    let mut seen = 0;
    let mut found = Vec::new();
    for (name, blocks, units) in sheets() {
        for drawing in figures(&blocks) {
            found.extend(problems(&format!("{name} {units:?}"), drawing, NONE));
            for (label, _) in drawing.texts() {
                assert!(
                    !label.text.contains('…'),
                    "{name} {units:?}: {}",
                    label.text
                );
                seen += 1;
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert!(100 < seen);
}

#[test]
fn each_tag_stands_once_on_the_diagrams_and_once_in_the_schedule() {
    let (_, blocks, _) = sheets().swap_remove(0);
    for tag in ["D1", "D2", "D3", "D4", "D5"] {
        let drawn = figures(&blocks)
            .filter(|drawing| !drawing.title.starts_with("Ways"))
            .flat_map(Drawing::texts)
            .filter(|(label, _)| label.text == tag);
        assert_eq!(drawn.count(), 1, "{tag}");
        let Some(Block::Table(schedule)) = blocks.iter().find(|b| matches!(b, Block::Table(_)))
        else {
            panic!("no schedule");
        };
        let rows = schedule
            .rows
            .iter()
            .filter(|r| r.first() == Some(&sheet::report::Cell::Text(tag.into())));
        assert_eq!(rows.count(), 1, "{tag}");
    }
}

#[test]
fn a_room_without_a_panel_has_no_diagram_and_says_so() {
    let all = sheets();
    let (_, blocks, _) = all.iter().find(|(name, ..)| *name == "none").unwrap();
    assert_eq!(figures(blocks).count(), 0);
    let found = blocks
        .iter()
        .any(|b| matches!(b, Block::Findings(all) if all.iter().any(|f| f.check == "no_panel")));
    assert!(found);
    assert!(blocks.iter().any(|b| matches!(b, Block::Cautions(_))));
}

/// Writes the diagrams, to be looked at: `cargo test -p sheet look_at_power -- --ignored`.
#[test]
#[ignore = "writes files to be looked at"]
fn look_at_power() {
    let folder = std::env::temp_dir().join("power-sheet");
    std::fs::create_dir_all(&folder).unwrap();
    for (name, blocks, units) in sheets() {
        for (i, drawing) in figures(&blocks).enumerate() {
            let path = folder.join(format!("{name}-{units:?}-{i}"));
            let svg = sheet::svg::svg(drawing);
            std::fs::write(path.with_extension("svg"), &svg).unwrap();
            let mut options = resvg::usvg::Options::default();
            for bytes in [
                sheet::drawing::font::REGULAR,
                sheet::drawing::font::SEMIBOLD,
            ] {
                options.fontdb_mut().load_font_data(bytes.to_vec());
            }
            let tree = resvg::usvg::Tree::from_str(&svg, &options).unwrap();
            let size = tree.size().to_int_size().scale_by(1.6).unwrap();
            let mut map = resvg::tiny_skia::Pixmap::new(size.width(), size.height()).unwrap();
            map.fill(resvg::tiny_skia::Color::WHITE);
            let scale = resvg::tiny_skia::Transform::from_scale(1.6, 1.6);
            resvg::render(&tree, scale, &mut map.as_mut());
            map.save_png(path.with_extension("png")).unwrap();
        }
    }
}

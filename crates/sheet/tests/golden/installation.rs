//! The drawings of a small room with one unit, as they were last.

use job::geometry::Frame;
use job::hanging::hang;
use job::placement::{PlacedBy, PlacedUnit, Placement};
use quantity::UnitSystem;
use room::{Facing, Mount, Room};
use sheet::Block;
use sheet::sheets::{control, drain, hanging, placement, power};
use sheet::svg::svg;

use crate::common::catalog;

const ROOM: &str = r#"
[site]
pressure = "101325 Pa"
[room]
name = "Small"
length = "4 m"
width = "3 m"
height = "3 m"
[target.lights_on]
dry_bulb = "22 °C"
rh = "65..75 %"
[target.lights_off]
dry_bulb = "22 °C"
rh = "65..75 %"
[structure]
kind = "steel joist"
underside = "3 m"
spacing = "1.2 m"
runs = "y"
first = "0.6 m"
[[bench]]
name = "bench"
at = ["2.6 m", "1.5 m", "0 m"]
length = "2 m"
width = "1.2 m"
[[obstacle]]
kind = "sprinkler"
at = ["3.5 m", "2.5 m", "2.9 m"]
length = "0.1 m"
width = "0.1 m"
height = "0.1 m"
"#;

fn placed() -> Placement {
    Placement {
        units: vec![PlacedUnit {
            tag: "D1".into(),
            model: "generic-70".into(),
            frame: Frame {
                at_m: [1.4, 0.6, 2.3],
                facing: Facing::PlusX,
            },
            mount: Mount::Hung,
            by: PlacedBy::Survey,
            short_circuit: 0.1,
            ducted: job::placement::Ducted::default(),
        }],
        sensor_m: [2.6, 1.5, 1.2],
        ..Placement::default()
    }
}

fn room() -> Room {
    Room::read(None, ("small.room.toml", ROOM)).unwrap_or_else(|p| panic!("{p:?}"))
}

/// Drawings of a sheet, one under the other.
fn drawings(blocks: Vec<Block>) -> Vec<String> {
    blocks
        .into_iter()
        .filter_map(|b| match b {
            Block::Figure { drawing, .. } => Some(svg(&drawing)),
            _ => None,
        })
        .collect()
}

#[test]
fn plan_elevation_and_isometric_view() {
    let all = placement::blocks(&room(), &catalog(), &placed(), UnitSystem::Metric);
    let all = drawings(all);
    let [plan, elevation, isometric] = all.as_slice() else {
        panic!("{} drawings", all.len());
    };
    insta::assert_snapshot!("placement_plan", plan);
    insta::assert_snapshot!("placement_elevation", elevation);
    insta::assert_snapshot!("placement_isometric", isometric);
}

#[test]
fn hanging_layout_and_detail() {
    let (room, catalog, placed) = (room(), catalog(), placed());
    let found = hang(&room, &catalog, &placed).unwrap_or_else(|e| panic!("{e}"));
    let all = hanging::blocks(&room, &catalog, &placed, &found, UnitSystem::Metric);
    let all = drawings(all);
    let [layout, detail] = all.as_slice() else {
        panic!("{} drawings", all.len());
    };
    insta::assert_snapshot!("hanging_layout", layout);
    insta::assert_snapshot!("hanging_detail", detail);
}

/// A panel, a floor drain and the room as it was.
fn served() -> Room {
    let text = format!(
        "{ROOM}[[panel]]\nname = \"P1\"\nat = [\"0 m\", \"2.2 m\", \"1.5 m\"]\nvoltage = \"240 V\"\nphases = 1\nmain = \"60 A\"\n\
         [[drain]]\nat = [\"3.8 m\", \"0.3 m\", \"0 m\"]\n"
    );
    Room::read(None, ("small.room.toml", &text)).unwrap_or_else(|p| panic!("{p:?}"))
}

/// Each drawing of a sheet against what it was, by its place on the sheet.
fn as_before(sheet: &str, blocks: Vec<Block>) {
    let all = drawings(blocks);
    assert!(!all.is_empty());
    for (i, drawing) in all.iter().enumerate() {
        insta::assert_snapshot!(format!("{sheet}_{}", i + 1), drawing);
    }
}

#[test]
fn drain_sheet() {
    let (room, catalog, placed) = (served(), catalog(), placed());
    let found = job::drain::route(&room, &catalog, &placed).unwrap_or_else(|e| panic!("{e}"));
    as_before(
        "drain",
        drain::blocks(&room, &catalog, &placed, &found, UnitSystem::Metric),
    );
}

#[test]
fn power_and_control_sheets() {
    let (room, catalog, placed) = (served(), catalog(), placed());
    let fed = job::power::feed(&room, &catalog, &placed).unwrap_or_else(|e| panic!("{e}"));
    let wired = job::control::wire(&room, &catalog, &placed).unwrap_or_else(|e| panic!("{e}"));
    let units = UnitSystem::Metric;
    as_before(
        "power",
        power::blocks(&room, &catalog, &placed, (&fed, &wired), units),
    );
    as_before("control", control::blocks(&wired));
}

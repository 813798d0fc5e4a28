//! Sheet of the placement: whole, to scale, readable, in both systems.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Slack, catalog, problems, root};
use equipment::Catalog;
use job::{Placement, UnitSet, placement};
use quantity::UnitSystem;
use room::Room;
use sheet::drawing::{Drawing, Role, Shape, font};
use sheet::report::Block;
use sheet::sheets::placement::{blocks, elevation, isometric, plan};

const ROOMS: [(&str, &str, u32); 5] = [
    ("demo/flower-2.room.toml", "generic-150", 4),
    ("demo/drying-1.room.toml", "generic-70", 2),
    ("demo/veg-1.room.toml", "generic-150", 1),
    ("propagation/propagation.room.toml", "generic-70", 1),
    ("vine-room/vine-room.room.toml", "generic-200", 2),
];

fn placed(path: &str, model: &str, count: u32, catalog: &Catalog) -> (Room, Placement) {
    let path = root().join("cases").join(path);
    let site = std::fs::read_to_string(path.with_file_name("site.toml")).unwrap();
    let text = std::fs::read_to_string(&path).unwrap();
    let room = Room::read(Some(("site.toml", &site)), ("room", &text)).unwrap();
    let placement = placement::place(&room, catalog, &UnitSet::of(model, count)).unwrap();
    (room, placement)
}

const UNITS: [UnitSystem; 2] = [UnitSystem::Metric, UnitSystem::Us];

fn drawings(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    units: UnitSystem,
) -> [Drawing; 3] {
    [
        plan(room, catalog, placement, units),
        elevation(room, catalog, placement, units),
        isometric(room, catalog, placement, units),
    ]
}

#[test]
fn texts_lie_on_the_paper_and_not_on_each_other() {
    const TOUCH: Slack = Slack {
        edge_mm: 0.1,
        overlap_mm: 0.1,
    };
    let catalog = catalog();
    let mut found = Vec::new();
    for (path, model, count) in ROOMS {
        let (room, placement) = placed(path, model, count, &catalog);
        for units in UNITS {
            for drawing in drawings(&room, &catalog, &placement, units) {
                let title = format!("{path}: {} {units:?}", drawing.title);
                found.extend(problems(&title, &drawing, TOUCH));
                assert!(!drawing.alt.is_empty());
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// The plan's world is the room: each cabinet stands where its unit does.
#[test]
fn cabinets_stand_where_the_units_do() {
    let catalog = catalog();
    for (path, model, count) in ROOMS {
        let (room, placement) = placed(path, model, count, &catalog);
        let drawing = plan(&room, &catalog, &placement, UnitSystem::Us);
        let view = drawing.views.iter().find(|v| v.name == "plan").unwrap();
        for unit in &placement.units {
            let name = unit.tag.clone();
            let corners = view
                .items
                .iter()
                .find_map(|i| match &i.shape {
                    Shape::Polygon(p) if i.part.as_ref().is_some_and(|p| p.0 == name) => Some(p),
                    _ => None,
                })
                .unwrap_or_else(|| panic!("{path}: {name}"));
            let middle = |of: fn(&sheet::drawing::Point) -> f64| {
                corners.iter().map(of).sum::<f64>() / corners.len() as f64
            };
            assert!((middle(|p| p.x) - unit.frame.at_m[0]).abs() < 1e-9);
            assert!((middle(|p| p.y) - unit.frame.at_m[1]).abs() < 1e-9);
        }
        // To scale, so that it can be handed on at 1:1.
        sheet::dxf::dxf(&drawing, "plan", &[]).unwrap();
        let side = elevation(&room, &catalog, &placement, UnitSystem::Us);
        sheet::dxf::dxf(&side, "elevation", &[]).unwrap();
    }
}

#[test]
fn the_sheet_holds_drawings_tables_findings_and_cautions() {
    let catalog = catalog();
    let (room, placement) = placed("demo/flower-2.room.toml", "generic-150", 4, &catalog);
    for units in UNITS {
        let all = blocks(&room, &catalog, &placement, units);
        let count = |of: fn(&Block) -> bool| all.iter().filter(|b| of(b)).count();
        assert_eq!(count(|b| matches!(b, Block::Figure { .. })), 3);
        assert_eq!(count(|b| matches!(b, Block::Table(_))), 3);
        assert_eq!(count(|b| matches!(b, Block::Findings(_))), 1);
        assert_eq!(count(|b| matches!(b, Block::Cautions(_))), 1);
        let rows = all.iter().find_map(|b| match b {
            Block::Table(t) => Some(t.rows.len()),
            _ => None,
        });
        assert_eq!(rows, Some(placement.units.len()));
    }
}

/// Rooms without a unit, a bench, a door, a drain or a panel are drawn too.
#[test]
fn a_bare_room_is_drawn() {
    let room = Room::read(
        None,
        (
            "bare",
            "[room]\nname = \"Bare\"\nlength = \"3 m\"\nwidth = \"5 m\"\nheight = \"2.5 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n",
        ),
    )
    .unwrap();
    let catalog = catalog();
    let placement = placement::place(&room, &catalog, &UnitSet::EMPTY).unwrap();
    for drawing in drawings(&room, &catalog, &placement, UnitSystem::Metric) {
        let items = drawing.views.iter().flat_map(|v| &v.items);
        assert!(items.clone().count() > 4);
        assert!(
            items
                .clone()
                .all(|i| i.role != Role::Equipment || i.part.is_none())
        );
    }
}

/// To be looked at: `cargo test -p sheet --test placement -- --ignored`.
#[test]
#[ignore = "writes pictures to the folder for temporary files"]
fn pictures() {
    let catalog = catalog();
    for (path, model, count) in ROOMS {
        let (room, placement) = placed(path, model, count, &catalog);
        let name = path.rsplit('/').next().unwrap().replace(".room.toml", "");
        for units in UNITS {
            let each = drawings(&room, &catalog, &placement, units);
            for (drawing, kind) in each.iter().zip(["plan", "elevation", "isometric"]) {
                let svg = sheet::svg::svg(drawing);
                let mut options = resvg::usvg::Options::default();
                for bytes in [font::REGULAR, font::SEMIBOLD, font::ITALIC] {
                    options.fontdb_mut().load_font_data(bytes.to_vec());
                }
                let tree = resvg::usvg::Tree::from_str(&svg, &options).unwrap();
                let scale = 1400.0 / tree.size().width();
                let (w, h) = (1400, (tree.size().height() * scale).ceil() as u32);
                let mut map = resvg::tiny_skia::Pixmap::new(w, h).unwrap();
                map.fill(resvg::tiny_skia::Color::WHITE);
                let by = resvg::tiny_skia::Transform::from_scale(scale, scale);
                resvg::render(&tree, by, &mut map.as_mut());
                let file = format!("placement-{name}-{kind}-{units:?}.png");
                map.save_png(std::env::temp_dir().join(file)).unwrap();
            }
        }
    }
}

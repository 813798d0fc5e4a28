//! The hanging sheet: on its paper, no text on another, both systems of units.

mod common;

use common::{Slack, catalog, problems, text};
use job::geometry::Frame;
use job::hanging::{Hanging, hang};
use job::placement::{PlacedBy, PlacedUnit, Placement};
use quantity::UnitSystem;
use room::{Facing, Mount, Room};
use sheet::Drawing;
use sheet::report::Block;
use sheet::sheets::hanging;
use sheet::svg::svg;

fn demo(structure: &str) -> Room {
    let whole = text("cases/demo/flower-2.room.toml");
    let (before, after) = whole.split_once("[structure]").expect("a structure");
    let (_, after) = after.split_once("\n[").expect("a section after it");
    let room = format!("{before}[{after}{structure}");
    let site = text("cases/demo/site.toml");
    Room::read(Some(("site.toml", &site)), ("flower-2.room.toml", &room)).expect("a room")
}

fn small() -> Room {
    let text = "[site]\npressure = \"101325 Pa\"\n[room]\nname = \"Small\"\nlength = \"4 m\"\nwidth = \"3 m\"\nheight = \"3 m\"\n[target.lights_on]\ndry_bulb = \"22 °C\"\nrh = \"65..75 %\"\n[target.lights_off]\ndry_bulb = \"22 °C\"\nrh = \"65..75 %\"\n";
    Room::read(None, ("small.room.toml", text)).expect("a room")
}

fn unit(tag: &str, model: &str, at_m: [f64; 3], facing: Facing, mount: Mount) -> PlacedUnit {
    PlacedUnit {
        tag: tag.into(),
        model: model.into(),
        frame: Frame { at_m, facing },
        mount,
        by: PlacedBy::Survey,
        short_circuit: 0.1,
        ducted: job::placement::Ducted::default(),
    }
}

fn placed(units: Vec<PlacedUnit>) -> Placement {
    Placement {
        units,
        ..Placement::default()
    }
}

const JOISTS: &str = "\n[structure]\nkind = \"steel joist\"\nunderside = \"14 ft\"\nspacing = \"4 ft\"\nruns = \"y\"\nfirst = \"2 ft\"\n";

/// Rooms with their units: each way of carrying, wide and crowded.
fn cases() -> Vec<(&'static str, Room, Placement)> {
    let big = "generic-150";
    vec![
        (
            "demo",
            demo(JOISTS),
            placed(vec![
                unit("D1", big, [3.0, 1.2, 3.0], Facing::PlusX, Mount::Hung),
                unit("D2", big, [8.0, 1.2, 3.0], Facing::PlusX, Mount::Hung),
                unit("D3", big, [9.2, 6.1, 3.0], Facing::MinusX, Mount::Hung),
                unit("D4", big, [4.2, 6.1, 3.0], Facing::MinusX, Mount::Hung),
            ]),
        ),
        (
            "ways",
            demo(""),
            placed(vec![
                unit("D1", big, [2.0, 1.5, 3.0], Facing::PlusX, Mount::Hung),
                unit("D2", big, [5.5, 1.5, 3.0], Facing::PlusY, Mount::Trapeze),
                unit("D3", big, [9.0, 1.5, 1.0], Facing::MinusX, Mount::Stand),
                unit(
                    "D4",
                    "generic-70",
                    [9.0, 5.5, 3.0],
                    Facing::MinusY,
                    Mount::Hung,
                ),
                unit("D5", big, [2.0, 9.0, 1.0], Facing::PlusX, Mount::Outside),
            ]),
        ),
        (
            "small",
            small(),
            placed(vec![
                unit(
                    "D1",
                    "generic-70",
                    [1.0, 1.0, 2.2],
                    Facing::PlusX,
                    Mount::Hung,
                ),
                unit(
                    "D2",
                    "generic-70",
                    [1.1, 2.0, 2.2],
                    Facing::PlusX,
                    Mount::Hung,
                ),
            ]),
        ),
        (
            "too high",
            small(),
            placed(vec![unit(
                "D1",
                big,
                [2.0, 1.5, 3.1],
                Facing::PlusY,
                Mount::Hung,
            )]),
        ),
    ]
}

fn hung(room: &Room, placement: &Placement) -> Hanging {
    hang(room, &catalog(), placement).expect("known models")
}

fn drawings(units: UnitSystem) -> Vec<(String, Drawing)> {
    let mut out = Vec::new();
    for (name, room, placement) in cases() {
        let found = hung(&room, &placement);
        let blocks = hanging::blocks(&room, &catalog(), &placement, &found, units);
        for block in blocks {
            if let Block::Figure { drawing, caption } = block {
                assert!(!caption.is_empty() && !drawing.alt.is_empty());
                out.push((format!("{name}-{}", out.len()), drawing));
            }
        }
    }
    out
}

#[test]
fn figures_fit_the_page_and_their_texts_are_legible_and_apart() {
    const TOUCH: Slack = Slack {
        edge_mm: 0.0,
        overlap_mm: 0.1,
    };
    let mut found = Vec::new();
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        for (name, drawing) in drawings(units) {
            found.extend(problems(&format!("{name} {units:?}"), &drawing, TOUCH));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn the_sheet_names_every_rod_and_defers_to_the_engineer() {
    let (_, room, placement) = cases().swap_remove(0);
    let found = hung(&room, &placement);
    let blocks = hanging::blocks(&room, &catalog(), &placement, &found, UnitSystem::Us);
    let tables: Vec<&sheet::report::Table> = blocks
        .iter()
        .filter_map(|b| match b {
            Block::Table(t) => Some(t),
            _ => None,
        })
        .collect();
    for table in &tables {
        for row in &table.rows {
            assert_eq!(row.len(), table.columns.len());
        }
    }
    let rods = tables.iter().filter(|t| t.rows.len() == 16).count();
    assert!(2 <= rods, "places and loads of sixteen rods");
    let cautions = blocks.iter().any(|b| {
        matches!(b, Block::Cautions(c) if c[0].show(UnitSystem::Us).contains("licensed structural engineer"))
    });
    assert!(cautions);
    let none = hanging::blocks(
        &room,
        &catalog(),
        &Placement::default(),
        &Hanging::default(),
        UnitSystem::Us,
    );
    assert_eq!(none.len(), 2);
}

#[test]
fn the_layout_is_to_scale_in_metres_of_the_room() {
    let (_, room, placement) = cases().swap_remove(0);
    let found = hung(&room, &placement);
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        let drawing = hanging::layout(&room, &found, units);
        let view = drawing.views.iter().find(|v| v.name == hanging::VIEW);
        let view = view.expect("the view that is handed on");
        let t = view.transform;
        assert!((t.x_mm_per_unit - t.y_mm_per_unit).abs() < 1e-12);
        // Each rod is a dot where the table says.
        for rod in found.units.iter().flat_map(|u| &u.rods) {
            let drawn = view.items.iter().any(|i| {
                matches!(&i.shape, sheet::drawing::Shape::Circle { centre: at, .. }
                    if (at.x - rod.foot_m[0]).abs() < 1e-9 && (at.y - rod.foot_m[1]).abs() < 1e-9)
            });
            assert!(drawn, "{}", rod.tag);
        }
    }
}

/// Writes every figure as SVG and PNG for looking at.
#[test]
#[ignore = "writes files; run by hand to look at the sheets"]
fn look() {
    use resvg::{tiny_skia, usvg};
    let mut options = usvg::Options::default();
    for bytes in [
        sheet::drawing::font::REGULAR,
        sheet::drawing::font::SEMIBOLD,
        sheet::drawing::font::ITALIC,
    ] {
        options.fontdb_mut().load_font_data(bytes.to_vec());
    }
    let folder = std::env::temp_dir().join("hanging-look");
    std::fs::create_dir_all(&folder).expect("a folder");
    for (units, tail) in [(UnitSystem::Metric, "metric"), (UnitSystem::Us, "us")] {
        for (name, drawing) in drawings(units) {
            let text = svg(&drawing);
            std::fs::write(folder.join(format!("{name}-{tail}.svg")), &text).expect("written");
            let tree = usvg::Tree::from_str(&text, &options).expect("an SVG");
            let zoom = 1600.0 / tree.size().width();
            let (w, h) = (1600, (tree.size().height() * zoom) as u32);
            let mut map = tiny_skia::Pixmap::new(w, h).expect("a size");
            map.fill(tiny_skia::Color::WHITE);
            let scale = tiny_skia::Transform::from_scale(zoom, zoom);
            resvg::render(&tree, scale, &mut map.as_mut());
            map.save_png(folder.join(format!("{name}-{tail}.png")))
                .expect("written");
        }
    }
}

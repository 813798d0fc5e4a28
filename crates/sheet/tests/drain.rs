//! The drain sheet: nothing outside the paper, no text on another, true to
//! scale, whole for any room. With DRAIN_SHEET_FOLDER set, its figures are
//! written there to be looked at.

mod common;

use std::path::Path;

use common::{Slack, catalog, problems, text};
use equipment::Catalog;
use job::{Drain, Placement, UnitSet, drain, placement};
use quantity::UnitSystem;
use resvg::{tiny_skia, usvg};
use room::Room;
use sheet::drawing::{Role, Shape, font};
use sheet::report::Block;
use sheet::sheets::drain::{blocks, isometric, profile, route_plan, trap_section};
use sheet::svg::svg;
use sheet::{Drawing, View};

fn unit(tag: &str, model: &str, [x, y, z]: [f64; 3], facing: &str) -> String {
    format!(
        "[[unit]]\ntag = \"{tag}\"\nmodel = \"{model}\"\nat = [\"{x} m\", \"{y} m\", \"{z} m\"]\nfacing = \"{facing}\"\n"
    )
}

struct Case {
    name: &'static str,
    room: Room,
    placement: Placement,
    drain: Drain,
}

fn laid(name: &'static str, site: Option<&str>, text: &str, catalog: &Catalog) -> Case {
    let room = Room::read(site.map(|s| ("site.toml", s)), ("room.toml", text))
        .unwrap_or_else(|p| panic!("{name}: {p:?}"));
    let placement = placement::place(&room, catalog, &UnitSet::EMPTY).expect("placed");
    let drain = drain::route(&room, catalog, &placement).expect("routed");
    Case {
        name,
        room,
        placement,
        drain,
    }
}

fn cases() -> Vec<Case> {
    let catalog = catalog();
    let site = text("cases/demo/site.toml");
    let demo = text("cases/demo/flower-2.room.toml")
        + &unit("D1", "generic-150", [3.0, 1.6, 3.6], "+y")
        + &unit("D2", "generic-150", [9.0, 5.7, 3.6], "-y")
        + &unit("D3", "generic-70", [6.0, 5.7, 3.6], "-y")
        + "[[bench]]\nname = \"B1\"\nat = [\"6 m\", \"2.2 m\", \"0.6 m\"]\nlength = \"9 m\"\nwidth = \"1.5 m\"\n"
        + "[[obstacle]]\nname = \"post\"\nat = [\"6 m\", \"3.6 m\", \"2 m\"]\nlength = \"0.3 m\"\nwidth = \"0.3 m\"\nheight = \"4 m\"\n";
    let small = "[room]\nname = \"Small\"\nlength = \"3 m\"\nwidth = \"2.4 m\"\nheight = \"2.6 m\"\n[crop]\nkind = \"leafy greens\"\ncanopy = \"4 m2\"\n".to_owned()
        + "[target.lights_on]\ndry_bulb = \"22 °C\"\nrh = \"65..75 %\"\n"
        + &unit("D1", "generic-30", [1.2, 1.2, 2.0], "+x")
        + "[[drain]]\nname = \"sink\"\nkind = \"sink\"\nat = [\"2.7 m\", \"0.3 m\", \"0.9 m\"]\n";
    // Two drains, a vent, and things in the way.
    let round = demo.clone()
        + "[[drain]]\nname = \"FD-2\"\nat = [\"1.5 m\", \"1 m\", \"0 m\"]\n"
        + "[[obstacle]]\nname = \"chase\"\nat = [\"8 m\", \"7.1 m\", \"2 m\"]\nlength = \"0.6 m\"\nwidth = \"0.6 m\"\nheight = \"4 m\"\n"
        + "[[obstacle]]\nname = \"duct\"\nat = [\"5 m\", \"0.2 m\", \"3 m\"]\nlength = \"0.5 m\"\nwidth = \"0.4 m\"\nheight = \"2 m\"\n";
    let pumped = small.replace("\"2 m\"]\nfacing", "\"0.6 m\"]\nfacing");
    let drainless = small.split("[[drain]]").next().expect("text").to_owned();
    vec![
        laid("demo", Some(&site), &demo, &catalog),
        laid("round", Some(&site), &round, &catalog),
        laid("small", None, &small, &catalog),
        laid("pumped", None, &pumped, &catalog),
        laid("drainless", None, &drainless, &catalog),
    ]
}

fn drawings(case: &Case, units: UnitSystem) -> Vec<(String, Drawing)> {
    let mut all = vec![(
        format!("{}-plan", case.name),
        route_plan(&case.room, &case.drain, units),
    )];
    if !case.drain.runs.is_empty() {
        all.push((
            format!("{}-isometric", case.name),
            isometric(&case.room, &case.drain, units),
        ));
    }
    for unit in &case.drain.units {
        let name = |what: &str| format!("{}-{what}-{}", case.name, unit.tag);
        all.extend(profile(&case.drain, unit, units).map(|d| (name("profile"), d)));
        all.extend(trap_section(&case.drain, unit, units).map(|d| (name("trap"), d)));
    }
    all
}

fn tree(drawing: &Drawing) -> usvg::Tree {
    let mut options = usvg::Options::default();
    for bytes in [font::REGULAR, font::SEMIBOLD, font::ITALIC] {
        options.fontdb_mut().load_font_data(bytes.to_vec());
    }
    usvg::Tree::from_str(&svg(drawing), &options).expect("well-formed SVG")
}

/// Writes a figure to be looked at.
fn written(folder: &str, name: &str, drawing: &Drawing) {
    let tree = tree(drawing);
    let zoom = 2.0;
    let (w, h) = (tree.size().width() * zoom, tree.size().height() * zoom);
    let mut map = tiny_skia::Pixmap::new(w as u32, h as u32).expect("a size");
    map.fill(tiny_skia::Color::WHITE);
    resvg::render(
        &tree,
        tiny_skia::Transform::from_scale(zoom, zoom),
        &mut map.as_mut(),
    );
    map.save_png(Path::new(folder).join(format!("{name}.png")))
        .expect("written");
}

const TOUCH: Slack = Slack {
    edge_mm: 0.01,
    overlap_mm: 0.05,
};

#[test]
fn figures_fit_the_page_and_texts_keep_apart() {
    let mut found = Vec::new();
    for case in cases() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            for (name, drawing) in drawings(&case, units) {
                let name = format!("{name}-{units:?}");
                if let Ok(folder) = std::env::var("DRAIN_SHEET_FOLDER") {
                    written(&folder, &name, &drawing);
                }
                found.extend(problems(&name, &drawing, TOUCH));
                let texts = drawing.texts().count();
                assert!(4 <= texts, "{name}: {texts} texts");
            }
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// Longest side of the room's outline on paper.
fn outline_mm(view: &View) -> f64 {
    view.items
        .iter()
        .filter(|i| i.role == Role::Outline)
        .filter_map(|i| match &i.shape {
            Shape::Polygon(p) => {
                let x = p.iter().map(|p| view.transform.to_paper(*p).x_mm);
                Some(x.clone().fold(f64::NEG_INFINITY, f64::max) - x.fold(f64::INFINITY, f64::min))
            }
            _ => None,
        })
        .fold(0.0, f64::max)
}

#[test]
fn the_plan_is_to_scale() {
    let all = cases();
    let demo = &all[0];
    // 40 ft are 12.192 m: 121.92 mm at 1:100, 127 mm at 1/8 in = 1 ft.
    for (units, mm) in [(UnitSystem::Metric, 121.92), (UnitSystem::Us, 127.0)] {
        let drawing = route_plan(&demo.room, &demo.drain, units);
        assert!((outline_mm(&drawing.views[0]) - mm).abs() < 1e-6);
    }
}

/// A vent stands in the profile of each unit that has one, every drain has its
/// dimensions, and the isometric names all units and drains.
#[test]
fn vents_drains_and_units_are_drawn() {
    let words =
        |d: &Drawing| -> Vec<String> { d.texts().map(|(t, _)| t.text.to_string()).collect() };
    let mut vents = 0;
    for case in cases() {
        for unit in case.drain.units.iter().filter(|u| u.way.is_some()) {
            let drawing = profile(&case.drain, unit, UnitSystem::Metric).expect("a way");
            let drawn = words(&drawing).iter().any(|w| w.starts_with("V +"));
            assert_eq!(drawn, unit.vent.is_some(), "{} {}", case.name, unit.tag);
            vents += usize::from(drawn);
        }
        let plan = words(&route_plan(&case.room, &case.drain, UnitSystem::Metric));
        let room_m = [
            case.room.geometry.length_m.value,
            case.room.geometry.width_m.value,
        ];
        for run in &case.drain.runs {
            for (v, whole) in run.rim_m.iter().zip(room_m) {
                let span = format!("{:.0} [", 1000.0 * v.max(whole - v));
                assert!(
                    plan.iter().any(|w| w.starts_with(&span)),
                    "{} {span}",
                    case.name
                );
            }
        }
        let drawing = isometric(&case.room, &case.drain, UnitSystem::Metric);
        let seen = words(&drawing);
        let names = case
            .drain
            .runs
            .iter()
            .flat_map(|r| r.units.iter().chain([&r.drain]));
        for name in names {
            assert!(seen.contains(name), "{} {name}", case.name);
        }
    }
    assert!(0 < vents);
    assert!(cases().iter().any(|c| 1 < c.drain.runs.len()));
}

#[test]
fn arrows_of_the_plan_point_downhill() {
    for case in cases() {
        let drawing = route_plan(&case.room, &case.drain, UnitSystem::Metric);
        let arrows: Vec<(f64, f64, f64)> = drawing.views[0]
            .items
            .iter()
            .filter_map(|i| match i.shape {
                Shape::Arrowhead { tip, angle_rad } => Some((tip.x, tip.y, angle_rad)),
                _ => None,
            })
            .collect();
        assert_eq!(
            arrows.is_empty(),
            case.drain.runs.is_empty(),
            "{}",
            case.name
        );
        for (x, y, angle) in arrows {
            let falls = case.drain.runs.iter().any(|run| {
                run.segments.iter().any(|s| {
                    let (a, b) = (run.nodes[s.from].at_m, run.nodes[s.to].at_m);
                    let (dx, dy) = (b[0] - a[0], b[1] - a[1]);
                    let long = dx.hypot(dy);
                    let off = ((x - a[0]) * dy - (y - a[1]) * dx).abs() / long.max(1e-9);
                    let along = dx * angle.cos() + dy * angle.sin();
                    0.1 < long && off < 1e-6 && (along / long - 1.0).abs() < 1e-6 && b[2] < a[2]
                })
            });
            assert!(falls, "{}: arrow at {x} {y}", case.name);
        }
    }
}

#[test]
fn the_sheet_is_whole_for_any_room() {
    let catalog = catalog();
    for case in cases() {
        for units in [UnitSystem::Metric, UnitSystem::Us] {
            let all = blocks(&case.room, &catalog, &case.placement, &case.drain, units);
            let figures = all
                .iter()
                .filter(|b| matches!(b, Block::Figure { .. }))
                .count();
            let tables = all.iter().filter(|b| matches!(b, Block::Table(_))).count();
            let (least_figures, least_tables) = if case.drain.runs.is_empty() {
                (2, 1)
            } else {
                (4, 3)
            };
            assert!(
                least_figures <= figures && least_tables <= tables,
                "{}",
                case.name
            );
            assert!(all.iter().any(|b| matches!(b, Block::Findings(_))));
            assert!(
                all.iter()
                    .any(|b| matches!(b, Block::Cautions(c) if 4 < c.len()))
            );
        }
    }
}

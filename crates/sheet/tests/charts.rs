//! Every chart: nothing outside the paper, no text on another, nothing that
//! odd data can break.

#[path = "../examples/specimen/data.rs"]
mod data;

use proptest::prelude::*;
use quantity::{Band, Dim, UnitSystem};
use resvg::{tiny_skia, usvg};
use sheet::Drawing;
use sheet::charts::{
    CapacityChart, CapacityRow, DayChart, Hours, Humidity, LoadChart, Need, Panel, Part, PathPoint,
    Period, Process, PsychrometricChart, RangeChart, RangeRow, RunRow, Series, Spread, Target,
    TargetField, ZeroLine, capacity, day, load, plot, psychrometric, range,
};
use sheet::drawing::{PaperPoint, Role, Shape, font};
use sheet::svg::svg;

fn options() -> usvg::Options<'static> {
    let mut options = usvg::Options::default();
    let fonts = options.fontdb_mut();
    for bytes in [font::REGULAR, font::SEMIBOLD, font::ITALIC] {
        fonts.load_font_data(bytes.to_vec());
    }
    options
}

fn parse(drawing: &Drawing) -> usvg::Tree {
    usvg::Tree::from_str(&svg(drawing), &options()).expect("well-formed SVG")
}

/// Boxes of the ink of all texts as an independent program lays them out \[mm\].
fn text_boxes(group: &usvg::Group, per_mm: f32, out: &mut Vec<[f32; 4]>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(g) => text_boxes(g, per_mm, out),
            usvg::Node::Text(t) => {
                let ink = t.flattened().bounding_box();
                let b = ink.transform(t.abs_transform()).expect("a box");
                out.push([b.left(), b.top(), b.right(), b.bottom()].map(|x| x / per_mm));
            }
            _ => {}
        }
    }
}

#[test]
fn all_text_lies_on_the_paper() {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        for (name, drawing) in data::drawings(units) {
            let tree = parse(&drawing);
            let per_mm = tree.size().width() / drawing.size.width_mm as f32;
            let mut boxes = Vec::new();
            text_boxes(tree.root(), per_mm, &mut boxes);
            assert_eq!(
                boxes.len(),
                drawing.texts().count(),
                "{name}: a text was not drawn"
            );
            for [left, top, right, bottom] in boxes {
                let (w, h) = (drawing.size.width_mm as f32, drawing.size.height_mm as f32);
                assert!(
                    left >= 0.0 && top >= 0.0 && right <= w && bottom <= h,
                    "{name} {units:?}: text at {left} {top} {right} {bottom} of {w} × {h}"
                );
            }
        }
    }
}

/// Whether two convex outlines overlap (separating axes).
fn overlap(a: &[PaperPoint; 4], b: &[PaperPoint; 4]) -> bool {
    let edges = |o: &[PaperPoint; 4]| {
        [0, 1].map(|i| (o[i + 1].x_mm - o[i].x_mm, o[i + 1].y_mm - o[i].y_mm))
    };
    edges(a).into_iter().chain(edges(b)).all(|(dx, dy)| {
        let along = |o: &[PaperPoint; 4]| {
            let d = o.map(|p| p.x_mm * dx + p.y_mm * dy);
            let length = dx.hypot(dy);
            (
                d.iter().copied().fold(f64::INFINITY, f64::min) / length,
                d.iter().copied().fold(f64::NEG_INFINITY, f64::max) / length,
            )
        };
        let (a, b) = (along(a), along(b));
        // A hair of contact is no overlap.
        a.0 < b.1 - 0.05 && b.0 < a.1 - 0.05
    })
}

#[test]
fn no_text_lies_on_another() {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        for (name, drawing) in data::drawings(units) {
            let all: Vec<_> = drawing.texts().collect();
            for (i, (a, box_a)) in all.iter().enumerate() {
                for (b, box_b) in &all[i + 1..] {
                    assert!(
                        !overlap(box_a, box_b),
                        "{name} {units:?}: \"{}\" on \"{}\"",
                        a.text,
                        b.text
                    );
                }
            }
        }
    }
}

#[test]
fn measured_widths_agree_with_another_program() {
    for (name, drawing) in data::drawings(UnitSystem::Metric) {
        let tree = parse(&drawing);
        let per_mm = tree.size().width() / drawing.size.width_mm as f32;
        let mut boxes = Vec::new();
        text_boxes(tree.root(), per_mm, &mut boxes);
        for (b, (label, _)) in boxes.iter().zip(drawing.texts()) {
            if label.turn_deg == 0.0 {
                let ours = font::width_mm(label.text.trim(), label.letters, Role::Text) as f32;
                // Kerning and side bearings: a few per cent; half-bold is wider.
                let theirs = b[2] - b[0];
                assert!(
                    (theirs / ours - 1.0).abs() < 0.12 || (theirs - ours).abs() < 0.6,
                    "{name}: \"{}\" {theirs} {ours}",
                    label.text
                );
            }
        }
    }
}

#[test]
fn charts_are_not_blank_and_stay_legible_in_grey() {
    for (name, drawing) in data::drawings(UnitSystem::Metric) {
        let tree = parse(&drawing);
        let (w, h) = (tree.size().width() as u32, tree.size().height() as u32);
        let mut map = tiny_skia::Pixmap::new(w, h).expect("a size");
        map.fill(tiny_skia::Color::WHITE);
        resvg::render(&tree, tiny_skia::Transform::identity(), &mut map.as_mut());
        let inked = map
            .pixels()
            .iter()
            .filter(|p| {
                let grey = 0.299 * f32::from(p.red())
                    + 0.587 * f32::from(p.green())
                    + 0.114 * f32::from(p.blue());
                grey < 128.0
            })
            .count();
        let share = inked as f64 / f64::from(w * h);
        assert!(
            (0.002..0.35).contains(&share),
            "{name}: {share} of the paper is dark"
        );
    }
}

#[test]
fn day_path_is_where_its_states_are() {
    for units in [UnitSystem::Metric, UnitSystem::Us] {
        let chart = data::states();
        let plot = plot(&chart, units);
        let drawing = psychrometric(&chart, units);
        let marks: Vec<(f64, f64)> = drawing
            .views
            .iter()
            .flat_map(|v| v.items.iter().map(move |i| (v, i)))
            .filter(|(_, i)| matches!(i.role, Role::LightsOn | Role::LightsOff))
            .filter_map(|(v, i)| match &i.shape {
                Shape::Mark { at, .. } if v.name == "air states" => {
                    let paper = v.transform.to_paper(*at);
                    Some(plot.state(plot.transform.to_world(paper)))
                }
                _ => None,
            })
            .collect();
        assert!(marks.len() >= 8, "{marks:?}");
        for (t_c, w) in marks {
            let near = chart
                .path
                .iter()
                .any(|p| (p.dry_bulb_c - t_c).abs() < 0.01 && (p.humidity_ratio - w).abs() < 1e-5);
            assert!(near, "a mark at {t_c} °C, {w} that is no state of the path");
        }
    }
}

fn hostile() -> impl Strategy<Value = f64> {
    prop_oneof![
        4 => -50.0..50.0_f64,
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(f64::NEG_INFINITY),
        1 => Just(0.0),
        1 => Just(1e300),
        1 => Just(-1e-300),
    ]
}

const NAMES: [&str; 4] = [
    "",
    "a",
    "<&\"'>#$\\{}[]\u{0}\u{7}",
    "a very long name that cannot possibly fit into the room that a chart has for it",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nothing_breaks_a_chart(
        x in proptest::collection::vec(hostile(), 0..12),
        k in 0..NAMES.len(),
    ) {
        let name = || NAMES[k].to_owned();
        let get = |i: usize| x.get(i).copied().unwrap_or(f64::NAN);
        let pairs = || x.iter().zip(x.iter().skip(1)).map(|(a, b)| (*a, *b)).collect::<Vec<_>>();
        let hours = |i: usize| Hours { from_h: get(i), to_h: get(i + 1) };
        let drawings = [
            psychrometric(&PsychrometricChart {
                title: name(),
                pressure_pa: get(0),
                altitude_m: Some(get(1)),
                targets: vec![TargetField {
                    period: Period::LightsOn,
                    dry_bulb_c: (get(0), get(1)),
                    humidity: Humidity::Vpd { low_pa: get(2), high_pa: get(3), leaf_rise_k: get(4) },
                }],
                path: pairs().iter().map(|p| PathPoint {
                    clock_h: p.0,
                    dry_bulb_c: p.0,
                    humidity_ratio: p.1 / 1000.0,
                    period: if p.0 > 0.0 { Period::LightsOn } else { Period::LightsOff },
                }).collect(),
                processes: vec![Process { name: name(), states: pairs() }],
            }, UnitSystem::Us),
            day(&DayChart {
                title: name(),
                subtitle: name(),
                hours: hours(0),
                shown: Some(hours(2)),
                first_day: Some(get(3) as i64),
                start_clock_h: get(1),
                nights: vec![hours(2)],
                panels: vec![Panel {
                    name: name(),
                    dim: Dim::Temperature,
                    series: vec![Series { name: name(), points: pairs() }],
                    spread: Some(Spread { of: "draws", points: pairs().iter().map(|p| (p.0, p.1, p.0)).collect() }),
                    targets: vec![Target { hours: hours(1), low: Some(get(0)), high: Some(get(2)) }],
                    outside: vec![hours(3)],
                    zero: ZeroLine::Shown,
                }],
                runs: vec![RunRow { tag: name(), running: vec![hours(0)], waiting: vec![hours(1)], starts_per_h: get(0) }],
            }, UnitSystem::Metric),
            load(&LoadChart {
                title: name(),
                subtitle: name(),
                total: name(),
                dim: Dim::WaterRate,
                hours: x.clone(),
                shown: Some(hours(1)),
                start_clock_h: get(0),
                nights: vec![hours(0)],
                parts: vec![Part { name: name(), values: x.clone() }; 7],
                taken: vec![Part { name: name(), values: vec![] }],
            }, UnitSystem::Us),
            capacity(&CapacityChart {
                title: name(),
                subtitle: name(),
                rows: vec![CapacityRow { name: name(), remark: name(), rated: get(0), lights_on: Some(get(1)), lights_off: Some(get(2)) }],
                need: Need {
                    lights_on: Some(Band::new(get(0), get(1), get(2))),
                    lights_off: Some(Band::new(get(3), get(4), get(5))),
                },
            }, UnitSystem::Metric),
            range(&RangeChart {
                title: name(),
                subtitle: name(),
                quantity: name(),
                dim: Dim::Power,
                rows: vec![RangeRow { name: name(), band: Band::new(get(0), get(1), get(2)) }],
            }, UnitSystem::Metric),
        ];
        for d in drawings {
            let text = svg(&d);
            prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
            prop_assert!(usvg::Tree::from_str(&text, &usvg::Options::default()).is_ok());
        }
    }
}

#[test]
fn empty_charts_are_drawn() {
    let none = Need::default();
    for d in [
        psychrometric(
            &PsychrometricChart {
                title: String::new(),
                pressure_pa: 101_325.0,
                altitude_m: None,
                targets: vec![],
                path: vec![],
                processes: vec![],
            },
            UnitSystem::Metric,
        ),
        capacity(
            &CapacityChart {
                title: String::new(),
                subtitle: String::new(),
                rows: vec![],
                need: none,
            },
            UnitSystem::Us,
        ),
        load(
            &LoadChart {
                title: String::new(),
                subtitle: String::new(),
                total: String::new(),
                dim: Dim::Power,
                hours: vec![],
                shown: None,
                start_clock_h: 0.0,
                nights: vec![],
                parts: vec![],
                taken: vec![],
            },
            UnitSystem::Us,
        ),
    ] {
        let tree = parse(&d);
        assert!(tree.size().width() > 100.0 && tree.root().has_children());
    }
}

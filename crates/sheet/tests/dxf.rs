//! DXF read back by a reader of another origin, the `dxf` crate.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use dxf::entities::EntityType;
use sheet::drawing::{Anchor, Label, Letters, Mark, PaperPoint, Size, Stand, Transform, at};
use sheet::dxf::{DxfError, dxf};
use sheet::{Drawing, Role, Shape, View};

const RATIO: f64 = 50.0;

fn drawing() -> Drawing {
    let origin = PaperPoint {
        x_mm: 20.0,
        y_mm: 150.0,
    };
    let mut view = View::new("plan", Transform::scale(RATIO, origin));
    view.rect(Role::Outline, at(0.0, 0.0), at(12.0, 7.0));
    view.line(Role::Clearance, at(1.0, 1.0), at(3.0, 1.0));
    view.line(Role::Hidden, at(1.0, 1.0), at(1.0, 1.0));
    view.push(
        Role::Drain,
        Shape::Polyline(vec![
            at(0.0, 0.0),
            at(2.0, 0.0),
            at(f64::NAN, 0.0),
            at(3.0, 0.0),
            at(3.0, 2.0),
            at(4.0, 2.0),
        ]),
    );
    view.push(
        Role::Equipment,
        Shape::Circle {
            centre: at(5.0, 5.0),
            radius: 0.25,
        },
    );
    view.push(
        Role::Process,
        Shape::Arrowhead {
            tip: at(6.0, 3.0),
            angle_rad: 0.0,
        },
    );
    view.mark(Role::Equipment, Mark::Dot, at(2.0, 2.0));
    view.text(
        Role::Text,
        Label::new("D1 ±5 mm, 24 °C, Ø20", at(5.0, 5.0))
            .letters(Letters::Note)
            .anchor(Anchor::Middle, Stand::Middle)
            .turn(90.0),
    );
    Drawing {
        size: Size {
            width_mm: 180.0,
            height_mm: 160.0,
        },
        title: "plan".into(),
        alt: String::new(),
        views: vec![view],
        notes: Vec::new(),
        behind: None,
    }
}

fn read_back(text: &str) -> dxf::Drawing {
    assert!(text.is_ascii());
    dxf::Drawing::load(&mut text.as_bytes()).unwrap()
}

#[test]
fn another_reader_finds_everything_where_it_was_put() {
    let text = dxf(&drawing(), "plan", &["job X, room Y".into()]).unwrap();
    let read = read_back(&text);
    let declared: Vec<String> = read.layers().map(|l| l.name.clone()).collect();
    let mut counts = std::collections::BTreeMap::new();
    for entity in read.entities() {
        assert!(
            declared.contains(&entity.common.layer),
            "{}",
            entity.common.layer
        );
        *counts
            .entry((entity.common.layer.clone(), kind(&entity.specific)))
            .or_insert(0) += 1;
    }
    let count = |layer: &str, kind: &str| {
        counts
            .get(&(layer.to_owned(), kind.to_owned()))
            .copied()
            .unwrap_or(0)
    };
    assert_eq!(count("A-WALL", "polyline"), 1);
    assert_eq!(count("M-EQPM-CLRN", "line"), 1);
    // A line of no length is left out.
    assert_eq!(count("A-HIDN", "line"), 0);
    // A break in a run makes two.
    assert_eq!(count("P-DRAN", "line"), 1);
    assert_eq!(count("P-DRAN", "polyline"), 1);
    assert_eq!(count("M-EQPM", "circle"), 2);
    assert_eq!(count("M-HVAC-ARRW", "solid"), 1);
    assert_eq!(count("G-ANNO-DIMS", "line"), 1);
    // Its own three lines of notes, the job's, and the label.
    assert_eq!(count("G-ANNO-TEXT", "text"), 5);

    for entity in read.entities() {
        match &entity.specific {
            EntityType::Circle(c) if c.radius > 200.0 => {
                assert_eq!((c.center.x, c.center.y, c.radius), (5000.0, 5000.0, 250.0));
            }
            EntityType::Text(t) if t.value.starts_with("D1") => {
                assert_eq!(t.value, "D1 %%p5 mm, 24 %%dC, %%c20");
                // 2.5 mm on paper at 1:50.
                assert!((t.text_height - 125.0).abs() < 1e-9);
                assert!((t.rotation - 90.0).abs() < 1e-9);
                assert_eq!(t.second_alignment_point.x, 5000.0);
            }
            EntityType::Line(l) if entity.common.layer == "G-ANNO-DIMS" => {
                assert!((l.p2.x - l.p1.x - 1000.0).abs() < 1e-9);
            }
            _ => {}
        }
    }
    // The extents hold the room.
    assert!(text.contains("$EXTMIN") && text.contains("12000.0000"));
    assert!(!text.contains("NaN") && !text.contains("inf"));
    assert!(
        text.lines().count().is_multiple_of(2),
        "codes and values in pairs"
    );
}

fn kind(entity: &EntityType) -> String {
    match entity {
        EntityType::Line(_) => "line",
        EntityType::Polyline(_) => "polyline",
        EntityType::Circle(_) => "circle",
        EntityType::Arc(_) => "arc",
        EntityType::Solid(_) => "solid",
        EntityType::Text(_) => "text",
        _ => "other",
    }
    .to_owned()
}

#[test]
fn a_chart_is_refused_and_so_is_an_unknown_view() {
    let mut drawing = drawing();
    assert!(matches!(
        dxf(&drawing, "elevation", &[]),
        Err(DxfError::NoSuchView { .. })
    ));
    drawing.views[0].transform.x_mm_per_unit *= 2.0;
    assert_eq!(
        dxf(&drawing, "plan", &[]),
        Err(DxfError::NotToScale("plan".into()))
    );
}

#[test]
fn an_empty_view_is_still_a_file_that_opens() {
    let mut drawing = drawing();
    drawing.views[0].items.clear();
    let read = read_back(&dxf(&drawing, "plan", &[]).unwrap());
    assert_eq!(read.entities().count(), 4);
}

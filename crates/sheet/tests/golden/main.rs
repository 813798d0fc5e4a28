//! Our own past output, so that a change of looks is seen. Says nothing about
//! whether it is right.

#[path = "../common/mod.rs"]
mod common;
mod installation;

use quantity::{Band, Dim, Place, UnitSystem};
use sheet::charts::{RangeChart, RangeRow, range};
use sheet::drawing::{
    Drawing, Item, Label, Letters, Mark, PaperPoint, Role, Shape, Size, Transform, View, at,
};
use sheet::svg::svg;

#[test]
fn every_shape() {
    let mut view = View::new(
        "plan",
        Transform::scale(
            50.0,
            PaperPoint {
                x_mm: 10.0,
                y_mm: 60.0,
            },
        ),
    );
    view.rect(Role::Outline, at(0.0, 0.0), at(2.0, 1.5));
    view.rect(Role::Cut, at(0.0, 0.0), at(0.2, 0.1));
    view.line(Role::Hidden, at(0.0, 0.5), at(2.0, 0.5));
    view.push(
        Role::Drain,
        Shape::Polyline(vec![
            at(0.1, 0.1),
            at(f64::NAN, 0.0),
            at(0.5, 0.1),
            at(0.9, 0.2),
        ]),
    );
    view.push(
        Role::Equipment,
        Shape::Circle {
            centre: at(1.0, 1.0),
            radius: 0.2,
        },
    );
    view.push(
        Role::Centre,
        Shape::Arc {
            centre: at(1.0, 1.0),
            radius: 0.3,
            start_rad: 0.0,
            end_rad: 4.0,
        },
    );
    view.push(
        Role::Dimension,
        Shape::Arrowhead {
            tip: at(2.0, 0.5),
            angle_rad: 0.0,
        },
    );
    for (i, mark) in [
        Mark::Dot,
        Mark::Ring,
        Mark::Square,
        Mark::Triangle,
        Mark::Tick,
    ]
    .into_iter()
    .enumerate()
    {
        view.mark(Role::LightsOn, mark, at(0.2 + 0.2 * i as f64, 1.4));
    }
    view.items.push(Item {
        shape: Shape::Text(
            Label::new("D1 <\"&'>", at(1.0, 1.0))
                .letters(Letters::Note)
                .turn(30.0)
                .halo(),
        ),
        role: Role::TextStrong,
        part: Some(Place::new("unit D1")),
    });
    let mut drawing = Drawing::new(
        Size {
            width_mm: 60.0,
            height_mm: 70.0,
        },
        "Every shape",
    );
    drawing.alt = "Shapes & marks".into();
    drawing.views.push(view);
    insta::assert_snapshot!(svg(&drawing));
}

#[test]
fn range_chart() {
    let chart = RangeChart {
        title: "The lights-off rate is the least known number".into(),
        subtitle: String::new(),
        quantity: "Water given off".into(),
        dim: Dim::WaterRate,
        rows: vec![
            RangeRow {
                name: "Lights on".into(),
                band: Band::new(3.0e-3, 3.5e-3, 4.1e-3),
            },
            RangeRow {
                name: "Lights off".into(),
                band: Band::new(6.0e-4, 1.1e-3, 1.9e-3),
            },
        ],
    };
    insta::assert_snapshot!(svg(&range(&chart, UnitSystem::Metric)));
}

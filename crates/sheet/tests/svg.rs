//! The SVG writer.

use resvg::usvg;
use sheet::drawing::style::Pen;
use sheet::drawing::{Drawing, Label, PaperPoint, Role, Shape, Size, Transform, View, at};
use sheet::svg::svg;

fn drawing(view: View) -> Drawing {
    let mut d = Drawing::new(
        Size {
            width_mm: 100.0,
            height_mm: 50.0,
        },
        "A <title> & more",
    );
    d.views.push(view);
    d
}

#[test]
fn a_metre_of_room_is_twenty_millimetres_at_one_to_fifty() {
    let mut view = View::new(
        "plan",
        Transform::scale(
            50.0,
            PaperPoint {
                x_mm: 10.0,
                y_mm: 40.0,
            },
        ),
    );
    view.line(Role::Outline, at(0.0, 0.0), at(1.0, 0.5));
    let text = svg(&drawing(view));
    // y runs up in the room and down on paper.
    assert!(text.contains("d=\"M10 40L30 30\""), "{text}");
    assert!(text.contains(&format!("stroke-width=\"{}\"", Pen::WIDE.0)));
    assert!(text.contains("width=\"100mm\" height=\"50mm\" viewBox=\"0 0 100 50\""));
}

#[test]
fn hostile_text_stays_text() {
    let mut view = View::paper("v\"><script>");
    view.text(
        Role::Text,
        Label::new(
            "</text><script>alert(\"1\")</script>\u{0}&amp;",
            at(1.0, 10.0),
        ),
    );
    let text = svg(&drawing(view));
    assert!(!text.contains("<script"), "{text}");
    let tree = usvg::roxmltree::Document::parse(&text).unwrap();
    let words = tree
        .descendants()
        .find(|n| n.has_tag_name("text"))
        .and_then(|n| n.text())
        .unwrap();
    assert_eq!(words, "</text><script>alert(\"1\")</script>&amp;");
}

#[test]
fn what_is_not_finite_is_left_out() {
    let mut view = View::paper("odd");
    let nan = at(f64::NAN, 1.0);
    view.line(Role::Outline, nan, at(1.0, 1.0));
    view.push(Role::Outline, Shape::Polygon(vec![nan, nan, nan]));
    view.push(
        Role::Outline,
        Shape::Circle {
            centre: at(1.0, 1.0),
            radius: f64::INFINITY,
        },
    );
    view.push(
        Role::Outline,
        Shape::Arrowhead {
            tip: at(1.0, 1.0),
            angle_rad: f64::NAN,
        },
    );
    view.text(Role::Text, Label::new("nowhere", nan));
    view.push(
        Role::Outline,
        Shape::Polyline(vec![
            at(0.0, 0.0),
            at(5.0, 0.0),
            nan,
            at(7.0, 0.0),
            at(9.0, 0.0),
        ]),
    );
    let text = svg(&drawing(view));
    assert!(!text.contains("NaN") && !text.contains("inf"), "{text}");
    assert_eq!(
        text.matches("<path").count(),
        2,
        "the broken line, in two pieces"
    );
}

//! What sheets of a room share: the scale that fits, dimensions, tags,
//! leaders, a drawn scale bar, a legend.

use quantity::{Dim, UnitSystem, Value};

use crate::drawing::{
    Anchor, Label, Letters, PaperPoint, Point, Role, Shape, Size, Stand, Transform, View, at, font,
};

/// Inside of a page of either paper, portrait, less the lines of its heading
/// and caption \[mm\].
pub const PAGE: Size = Size {
    width_mm: 176.0,
    height_mm: 190.0,
};

/// Scales 1:n of ISO 5455, and those of US offices from 1/4 in to 1/8 in a
/// foot and beyond.
const METRIC: &[f64] = &[5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
const US: &[f64] = &[
    4.0, 8.0, 12.0, 16.0, 24.0, 48.0, 64.0, 96.0, 128.0, 192.0, 384.0, 768.0,
];

/// The largest usual scale 1:n at which `width_m` × `height_m` fits into
/// `room` on paper.
pub fn scale_that_fits(width_m: f64, height_m: f64, room: Size, units: UnitSystem) -> f64 {
    let scales = match units {
        UnitSystem::Metric => METRIC,
        UnitSystem::Us => US,
    };
    let fits =
        |n: f64| 1000.0 * width_m / n <= room.width_mm && 1000.0 * height_m / n <= room.height_mm;
    scales
        .iter()
        .copied()
        .find(|n| fits(*n))
        .unwrap_or_else(|| scales[scales.len() - 1])
}

/// The scale in words: "1:50", or "1/4 in = 1 ft (1:48)".
pub fn scale_words(ratio: f64, units: UnitSystem) -> String {
    let inches = match (units, ratio.round() as u32) {
        (UnitSystem::Us, 4) => "3 in",
        (UnitSystem::Us, 8) => "1 1/2 in",
        (UnitSystem::Us, 12) => "1 in",
        (UnitSystem::Us, 16) => "3/4 in",
        (UnitSystem::Us, 24) => "1/2 in",
        (UnitSystem::Us, 48) => "1/4 in",
        (UnitSystem::Us, 64) => "3/16 in",
        (UnitSystem::Us, 96) => "1/8 in",
        (UnitSystem::Us, 128) => "3/32 in",
        (UnitSystem::Us, 192) => "1/16 in",
        _ => return format!("1:{ratio:.0}"),
    };
    format!("{inches} = 1 ft (1:{ratio:.0})")
}

/// A length as it stands on a drawing: the reader's units first, the other in
/// square brackets.
pub fn length(m: f64, units: UnitSystem) -> String {
    let shown = |units| match units {
        // Millimetres throughout, as the building trade writes them.
        UnitSystem::Metric => format!("{:.0}", 1000.0 * m),
        UnitSystem::Us => Value::new(m, Dim::Length).digits(4).show(UnitSystem::Us),
    };
    let other = match units {
        UnitSystem::Metric => UnitSystem::Us,
        UnitSystem::Us => UnitSystem::Metric,
    };
    format!("{} [{}]", shown(units), shown(other))
}

/// Which side of a dimension's direction its line is drawn on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SideOf {
    /// On the left hand, going from the first point to the second.
    Left,
    /// On the right hand.
    Right,
}

/// A dimension between two points of the world, its line `away_mm` from them
/// on paper, with ticks and `text` over the line.
pub fn dimension(
    view: &mut View,
    (from, to): (Point, Point),
    side: SideOf,
    away_mm: f64,
    text: impl Into<String>,
) {
    let t = view.transform;
    let (a, b) = (t.to_paper(from), t.to_paper(to));
    let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
    let long = dx.hypot(dy);
    if long < 1e-6 {
        return;
    }
    let along = (dx / long, dy / long);
    // Paper has y down: the left hand is up when going right.
    let across = match side {
        SideOf::Left => (along.1, -along.0),
        SideOf::Right => (-along.1, along.0),
    };
    let off = |p: PaperPoint, mm: f64| PaperPoint {
        x_mm: p.x_mm + across.0 * mm,
        y_mm: p.y_mm + across.1 * mm,
    };
    let mut line = |p: PaperPoint, q: PaperPoint| {
        view.items.push(crate::drawing::Item {
            shape: Shape::Line {
                from: t.to_world(p),
                to: t.to_world(q),
            },
            role: Role::Dimension,
            part: None,
        });
    };
    for p in [a, b] {
        line(off(p, 1.5), off(p, away_mm + 2.0));
        let foot = off(p, away_mm);
        let tick = |s: f64| PaperPoint {
            x_mm: foot.x_mm + s * (along.0 + across.0),
            y_mm: foot.y_mm + s * (along.1 + across.1),
        };
        line(tick(-1.2), tick(1.2));
    }
    let (p, q) = (off(a, away_mm), off(b, away_mm));
    line(p, q);
    // Readable from the bottom and from the right.
    let mut turn_deg = -along.1.atan2(along.0).to_degrees();
    if turn_deg <= -90.0 + 1e-9 {
        turn_deg += 180.0;
    } else if turn_deg > 90.0 + 1e-9 {
        turn_deg -= 180.0;
    }
    let (text, beyond_mm) = that_fits(text.into(), long);
    let middle = PaperPoint {
        x_mm: 0.5 * (p.x_mm + q.x_mm) + along.0 * beyond_mm,
        y_mm: 0.5 * (p.y_mm + q.y_mm) + along.1 * beyond_mm,
    };
    let (sin, cos) = turn_deg.to_radians().sin_cos();
    let label = Label::new(text, t.to_world(middle))
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Base)
        .shift(-sin, -cos)
        .turn(turn_deg)
        .halo();
    view.text(Role::Text, label);
}

/// What of a dimension's text stands between its ends, and how far from their
/// middle: a short dimension is told in the reader's units alone; where even
/// these are too long, they stand beyond its end.
fn that_fits(text: String, long_mm: f64) -> (String, f64) {
    let width = |s: &str| font::width_mm(s, Letters::Note, Role::Text);
    if width(&text) <= long_mm {
        return (text, 0.0);
    }
    let first = text.split_once(" [").map_or(&*text, |(first, _)| first);
    let wide = width(first);
    let beyond = if wide <= long_mm {
        0.0
    } else {
        0.5 * (long_mm + wide) + 2.0
    };
    (first.to_owned(), beyond)
}

/// Where a tag stands that its part is too small to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Beside {
    /// Over the part.
    Over,
    /// At the left.
    Left,
    /// At the right.
    Right,
}

/// A tag in its box, or beside it where the box is too small on paper.
///
/// - `low`, `high`: corners of the box in the view's world
/// - `edge_mm`: room that the box itself needs along its edges \[mm of paper\]
pub fn tag_of(
    view: &mut View,
    (low, high): (Point, Point),
    edge_mm: f64,
    beside: Beside,
    text: impl Into<String>,
) {
    let text = text.into();
    let t = view.transform;
    let (a, b) = (t.to_paper(low), t.to_paper(high));
    let (wide_mm, high_mm) = ((b.x_mm - a.x_mm).abs(), (b.y_mm - a.y_mm).abs());
    let middle = at(0.5 * (low.x + high.x), 0.5 * (low.y + high.y));
    let text_mm = font::width_mm(&text, Letters::ViewTitle, Role::TextStrong);
    let cap_mm = Letters::ViewTitle.cap_mm();
    if text_mm + 2.0 * edge_mm <= wide_mm && cap_mm + 2.0 * edge_mm <= high_mm {
        return tag(view, middle, text);
    }
    const GAP_MM: f64 = 1.2;
    let (anchor, stand, right_mm, down_mm) = match beside {
        Beside::Over => (
            Anchor::Middle,
            Stand::Base,
            0.0,
            -0.5 * high_mm - edge_mm - GAP_MM,
        ),
        Beside::Left => (
            Anchor::End,
            Stand::Middle,
            -0.5 * wide_mm - edge_mm - GAP_MM,
            0.0,
        ),
        Beside::Right => (
            Anchor::Start,
            Stand::Middle,
            0.5 * wide_mm + edge_mm + GAP_MM,
            0.0,
        ),
    };
    view.text(
        Role::TextStrong,
        Label::new(text, middle)
            .letters(Letters::ViewTitle)
            .anchor(anchor, stand)
            .shift(right_mm, down_mm)
            .halo(),
    );
}

/// A tag in the middle of its part.
pub fn tag(view: &mut View, at: Point, text: impl Into<String>) {
    view.text(
        Role::TextStrong,
        Label::new(text, at)
            .letters(Letters::ViewTitle)
            .anchor(Anchor::Middle, Stand::Middle)
            .halo(),
    );
}

/// Title of a view with its scale, at a point of the paper.
pub fn view_title(view: &mut View, p: PaperPoint, title: &str, ratio: f64, units: UnitSystem) {
    let here = view.transform.to_world(p);
    view.text(
        Role::TextStrong,
        Label::new(title, here).letters(Letters::ViewTitle),
    );
    view.text(
        Role::TextQuiet,
        Label::new(scale_words(ratio, units), here)
            .letters(Letters::Note)
            .shift(0.0, 4.5),
    );
}

/// A scale bar drawn on the paper from `p`: it stays true after enlargement.
pub fn scale_bar(view: &mut View, p: PaperPoint, ratio: f64, units: UnitSystem) {
    let (step_m, name) = match units {
        UnitSystem::Metric => {
            let step = [0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0]
                .into_iter()
                .find(|m| 1000.0 * m / ratio >= 9.0)
                .unwrap_or(20.0);
            let name: Box<dyn Fn(u8) -> String> = Box::new(move |n| {
                let m = step * f64::from(n);
                if step < 1.0 {
                    format!("{:.0} mm", 1000.0 * m)
                } else {
                    format!("{m:.0} m")
                }
            });
            (step, name)
        }
        UnitSystem::Us => {
            let inches = [1.0, 2.0, 6.0, 12.0, 24.0, 60.0, 120.0]
                .into_iter()
                .find(|i| 25.4 * i / ratio >= 9.0)
                .unwrap_or(240.0);
            let name: Box<dyn Fn(u8) -> String> = Box::new(move |n| {
                let i = inches * f64::from(n);
                if inches < 12.0 {
                    format!("{i:.0} in")
                } else {
                    format!("{:.0} ft", i / 12.0)
                }
            });
            (inches * 0.0254, name)
        }
    };
    let step_mm = 1000.0 * step_m / ratio;
    let t = view.transform;
    let point = |i: f64, dy: f64| {
        t.to_world(PaperPoint {
            x_mm: p.x_mm + i * step_mm,
            y_mm: p.y_mm + dy,
        })
    };
    for i in 0..4_u8 {
        let role = if i % 2 == 0 {
            Role::Running
        } else {
            Role::Waiting
        };
        let i = f64::from(i);
        let corners = vec![
            point(i, 0.0),
            point(i + 1.0, 0.0),
            point(i + 1.0, 1.4),
            point(i, 1.4),
        ];
        view.push(role, Shape::Polygon(corners));
    }
    for i in [0_u8, 2, 4] {
        let label = if i == 0 { "0".to_owned() } else { name(i) };
        view.text(
            Role::Text,
            Label::new(label, point(f64::from(i), 1.4))
                .anchor(Anchor::Middle, Stand::Top)
                .shift(0.0, 0.8),
        );
    }
}

/// A legend: each line a sample of a role and what it means, from `p` down.
pub fn legend(view: &mut View, p: PaperPoint, lines: &[(Role, &str)]) {
    const STEP_MM: f64 = 4.6;
    let t = view.transform;
    for (i, (role, words)) in lines.iter().enumerate() {
        let y_mm = p.y_mm + STEP_MM * i as f64;
        let point = |dx: f64, dy: f64| {
            t.to_world(PaperPoint {
                x_mm: p.x_mm + dx,
                y_mm: y_mm + dy,
            })
        };
        if role.style().fill.is_some() {
            view.rect(*role, point(0.0, -1.3), point(8.0, 1.3));
        } else {
            view.line(*role, point(0.0, 0.0), point(8.0, 0.0));
        }
        view.text(
            Role::Text,
            Label::new(*words, point(10.0, 0.0))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
}

/// A view of the room's world at a scale, its origin at a point of the paper.
pub fn view(name: &str, ratio: f64, origin: PaperPoint) -> View {
    View::new(name, Transform::scale(ratio, origin))
}

/// A point of the paper.
pub const fn paper(x_mm: f64, y_mm: f64) -> PaperPoint {
    PaperPoint { x_mm, y_mm }
}

/// A box seen along an axis as a rectangle of two coordinates.
pub fn rectangle(view: &mut View, role: Role, low: (f64, f64), high: (f64, f64)) {
    view.rect(role, at(low.0, low.1), at(high.0, high.1));
}

/// A box on paper: least x, least y, greatest x, greatest y \[mm\].
pub(super) type Taken = [f64; 4];

/// The box around points on paper.
pub(super) fn around(corners: &[PaperPoint]) -> Taken {
    corners.iter().fold(
        [
            f64::INFINITY,
            f64::INFINITY,
            f64::NEG_INFINITY,
            f64::NEG_INFINITY,
        ],
        |b, p| {
            [
                b[0].min(p.x_mm),
                b[1].min(p.y_mm),
                b[2].max(p.x_mm),
                b[3].max(p.y_mm),
            ]
        },
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_usual_and_fit() {
        let room = Size {
            width_mm: 176.0,
            height_mm: 120.0,
        };
        // 12.19 m at 1:100 is 122 mm, at 1:50 it is 244 mm.
        assert_eq!(
            scale_that_fits(12.19, 7.32, room, UnitSystem::Metric),
            100.0
        );
        // A quarter of an inch in a foot is 1:48: 254 mm; 1:96: 127 mm.
        assert_eq!(scale_that_fits(12.19, 7.32, room, UnitSystem::Us), 96.0);
        assert_eq!(scale_words(96.0, UnitSystem::Us), "1/8 in = 1 ft (1:96)");
    }

    #[test]
    fn a_short_dimension_says_less_and_then_stands_outside() {
        let both = "2649 [8 ft 8 1/4 in]";
        assert_eq!(that_fits(both.into(), 60.0), (both.to_owned(), 0.0));
        assert_eq!(that_fits(both.into(), 15.0), ("2649".to_owned(), 0.0));
        let (words, beyond) = that_fits(both.into(), 4.0);
        assert_eq!(words, "2649");
        assert!(4.0 < beyond, "{beyond}");
    }

    #[test]
    fn a_tag_leaves_a_box_that_is_too_small() {
        let shift = |ratio: f64| {
            let mut v = view("plan", ratio, paper(100.0, 100.0));
            tag_of(
                &mut v,
                (at(0.0, 0.0), at(0.8, 0.4)),
                0.0,
                Beside::Over,
                "D1",
            );
            v.items.iter().find_map(|i| match &i.shape {
                Shape::Text(label) => Some(label.shift_mm),
                _ => None,
            })
        };
        assert_eq!(shift(50.0).map(|s| s.1), Some(0.0));
        assert!(shift(200.0).is_some_and(|s| s.1 < -2.0));
    }

    #[test]
    fn a_dimension_reads_from_the_bottom_and_from_the_right() {
        for (to, turn) in [
            (at(1.0, 0.0), 0.0),
            (at(-1.0, 0.0), 0.0),
            (at(0.0, 1.0), 90.0),
            (at(0.0, -1.0), 90.0),
        ] {
            let mut v = view("plan", 50.0, paper(100.0, 100.0));
            dimension(&mut v, (at(0.0, 0.0), to), SideOf::Left, 10.0, "1000");
            let turned = v.items.iter().find_map(|i| match &i.shape {
                Shape::Text(label) => Some(label.turn_deg),
                _ => None,
            });
            assert!((turned.unwrap() - turn).abs() < 1e-9, "{to:?} {turned:?}");
        }
    }

    #[test]
    fn lengths_stand_in_both_systems() {
        assert_eq!(length(1.2192, UnitSystem::Metric), "1219 [4 ft]");
        assert_eq!(length(1.2192, UnitSystem::Us), "4 ft [1219]");
    }
}

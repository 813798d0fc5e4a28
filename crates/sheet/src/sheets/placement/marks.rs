//! Signs that plan and elevation share.

use equipment::{Catalog, Model};
use job::placement::{Jet, JetKind};
use job::{PlacedUnit, Placement};

use crate::drawing::{PaperPoint, Point, Role, Shape, View};

/// Units whose record is at hand, with it.
pub(super) fn recorded<'a>(
    catalog: &'a Catalog,
    placement: &'a Placement,
) -> impl Iterator<Item = (&'a PlacedUnit, &'a Model)> {
    placement
        .units
        .iter()
        .filter_map(|u| Some((u, u.record(catalog).ok()?)))
}

/// Role of a jet's centre line.
pub(super) const fn role(kind: JetKind) -> Role {
    match kind {
        JetKind::Discharge => Role::Centre,
        JetKind::Supply => Role::LimitNight,
        JetKind::Fan => Role::WetBulb,
    }
}

/// Arrow along a jet from its opening to its reach, seen on two axes.
pub(super) fn jet(view: &mut View, jet: &Jet, (h, v): (usize, usize)) {
    let end = jet.point_m(jet.reach_m);
    let at = |p: [f64; 3]| Point { x: p[h], y: p[v] };
    let (from, to) = (at(jet.origin_m), at(end));
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    if dx.hypot(dy) < 0.05 {
        return;
    }
    view.line(role(jet.kind), from, to);
    view.push(
        Role::Dimension,
        Shape::Arrowhead {
            tip: to,
            angle_rad: dy.atan2(dx),
        },
    );
}

/// Open triangle where a unit draws: its point in the inlet, its base outside.
pub(super) fn inlet(view: &mut View, at: Point, outward: (f64, f64)) {
    const LONG_MM: f64 = 3.0;
    const HALF_MM: f64 = 1.4;
    let t = view.transform;
    let p = t.to_paper(at);
    let (ox, oy) = (outward.0, -outward.1);
    let corner = |along: f64, aside: f64| {
        t.to_world(PaperPoint {
            x_mm: p.x_mm + along * ox - aside * oy,
            y_mm: p.y_mm + along * oy + aside * ox,
        })
    };
    view.push(
        Role::Waiting,
        Shape::Polygon(vec![
            corner(0.3, 0.0),
            corner(LONG_MM, HALF_MM),
            corner(LONG_MM, -HALF_MM),
        ]),
    );
}

/// Filled arrowhead where a unit blows.
pub(super) fn outlet(view: &mut View, at: Point, outward: (f64, f64)) {
    const OFF_MM: f64 = 3.4;
    let t = view.transform;
    let p = t.to_paper(at);
    let tip = t.to_world(PaperPoint {
        x_mm: p.x_mm + OFF_MM * outward.0,
        y_mm: p.y_mm - OFF_MM * outward.1,
    });
    view.push(
        Role::Dimension,
        Shape::Arrowhead {
            tip,
            angle_rad: outward.1.atan2(outward.0),
        },
    );
}

//! Elevation of one unit for each way of carrying, and its rod from top to
//! bottom.

use job::geometry::Point as RoomPoint;
use job::hanging::strut::STRUT;
use job::hanging::{CarriedUnit, Hanging, HangingRod, StrutUse, Way};
use quantity::{Dim, Text, UnitSystem, Value};

use crate::drawing::{Anchor, Drawing, Label, Letters, Mark, Role, Shape, Size, Stand, View, at};
use crate::sheets::kit;

/// Paper of the elevation: its left, top, and greatest size \[mm\].
const LEFT_MM: f64 = 16.0;
const TOP_MM: f64 = 18.0;
const WIDE_MM: f64 = 66.0;
const HIGH_MM: f64 = 96.0;
/// Where the rod from top to bottom stands, and where its words start \[mm\].
const ROD_MM: f64 = 99.0;
const WORDS_MM: f64 = 105.0;

/// The first unit of each way of carrying, in the order of the units.
pub(super) fn one_of_each_way(hanging: &Hanging) -> Vec<&CarriedUnit> {
    let mut out: Vec<&CarriedUnit> = Vec::new();
    for unit in &hanging.units {
        let drawn = out
            .iter()
            .any(|u| u.way == unit.way && u.model == unit.model);
        if unit.way != Way::Outside && !drawn {
            out.push(unit);
        }
    }
    out
}

pub(super) const fn way_words(way: Way) -> &'static str {
    match way {
        Way::Rods => "hung on rods",
        Way::RodsFromStrut => "hung on rods from strut channel across the members",
        Way::Trapeze => "on a trapeze of strut channel",
        Way::Stand => "on a stand",
        Way::Outside => "outside the room",
    }
}

pub(super) fn caption(unit: &CarriedUnit) -> Text {
    Text::from(format!(
        "{}, {}: {}. Units of this model that are carried so are alike but for the length of their rods, which the table gives.",
        unit.tag,
        unit.model,
        way_words(unit.way)
    ))
}

/// A unit seen from its right side, or a trapeze from behind: what lies across
/// the view, from its middle \[m\].
struct Seen {
    /// Direction of the view's x in the room's plan.
    axis: [f64; 2],
    /// Middle of the cabinet \[m\].
    middle: RoomPoint,
    /// Half of the cabinet across the view \[m\].
    half_m: f64,
}

impl Seen {
    fn new(unit: &CarriedUnit) -> Self {
        let middle = unit.cabinet.middle_m();
        let size = unit.cabinet.size_m();
        // Front to back is from rod 3 to rod 1; a trapeze shows its channel.
        let pair = match (unit.way, unit.rods.as_slice()) {
            (Way::Trapeze, [a, b, ..]) => Some((a, b)),
            (_, [a, _, c, ..]) => Some((c, a)),
            _ => None,
        };
        let axis = pair
            .map(|(a, b)| [b.foot_m[0] - a.foot_m[0], b.foot_m[1] - a.foot_m[1]])
            .and_then(|[x, y]| {
                let long = x.hypot(y);
                (1e-9 < long).then(|| [x / long, y / long])
            })
            .unwrap_or(if size[1] < size[0] {
                [1.0, 0.0]
            } else {
                [0.0, 1.0]
            });
        Self {
            axis,
            middle,
            half_m: 0.5 * (axis[0].abs() * size[0] + axis[1].abs() * size[1]),
        }
    }

    fn across(&self, p: RoomPoint) -> f64 {
        (p[0] - self.middle[0]) * self.axis[0] + (p[1] - self.middle[1]) * self.axis[1]
    }
}

/// The detail of a unit that hangs or stands.
pub(super) fn drawing(unit: &CarriedUnit, units: UnitSystem) -> Drawing {
    let seen = Seen::new(unit);
    let (low, high) = (unit.cabinet.low_m[2], unit.cabinet.high_m[2]);
    let top = unit.rods.iter().map(|r| r.top_m).fold(high, f64::max);
    let bottom = if unit.way == Way::Stand { 0.0 } else { low };
    let reach = unit
        .struts
        .iter()
        .flat_map(|s| s.ends_m)
        .map(|p| seen.across(p).abs())
        // Channel across the members runs out of the view.
        .fold(seen.half_m, f64::max)
        .min(seen.half_m + 0.15);
    let ratio = kit::scale_that_fits(
        2.0 * reach,
        top - bottom + 0.1,
        Size {
            width_mm: WIDE_MM,
            height_mm: HIGH_MM,
        },
        units,
    );
    let mm = ratio / 1000.0;
    let origin = kit::paper(LEFT_MM + 0.5 * WIDE_MM, TOP_MM + 8.0 + (top - bottom) / mm);
    let mut view = kit::view("elevation", ratio, origin);
    let z = |height: f64| height - bottom;

    if unit.rods.is_empty() {
        stand(&mut view, unit, &seen, units);
    } else {
        hung(&mut view, unit, &seen, units, &z);
    }
    view.rect(
        Role::Equipment,
        at(-seen.half_m, z(low)),
        at(seen.half_m, z(high)),
    );
    let tag_z = z(low) + 0.75 * (high - low);
    kit::tag(&mut view, at(-0.62 * seen.half_m, tag_z), unit.tag.clone());
    let gravity = at(seen.across(unit.gravity_m), z(unit.gravity_m[2]));
    view.mark(Role::Outline, Mark::Ring, gravity);
    view.mark(Role::Outline, Mark::Tick, gravity);
    // Height of the cabinet, on the right.
    kit::dimension(
        &mut view,
        (at(seen.half_m, z(low)), at(seen.half_m, z(high))),
        kit::SideOf::Right,
        8.0,
        kit::length(high - low, units),
    );

    let mut notes = View::paper("notes");
    let title = match unit.way {
        Way::Trapeze => format!("{}, seen from behind", unit.tag),
        Way::Stand => format!("{}, seen from a long side", unit.tag),
        _ => format!("{}, seen from its right side", unit.tag),
    };
    kit::view_title(&mut notes, kit::paper(2.0, 5.0), &title, ratio, units);
    let foot_mm = origin.y_mm + 24.0;
    kit::scale_bar(&mut notes, kit::paper(LEFT_MM, foot_mm), ratio, units);
    let first = unit
        .rods
        .iter()
        .map(|r| seen.across(r.foot_m))
        .reduce(f64::min);
    let off = seen.across(unit.gravity_m) - first.unwrap_or(-seen.half_m);
    let from = match unit.way {
        Way::Trapeze => "left rods",
        Way::Stand | Way::Outside => "left edge",
        Way::Rods | Way::RodsFromStrut => "back rods",
    };
    let words = [
        "centre of gravity,".to_owned(),
        format!("{} from the {from}", kit::length(off, units)),
    ];
    key(&mut notes, foot_mm + 9.0, words);
    let rod_foot_mm = match unit.rods.first() {
        Some(rod) => rod_column(&mut notes, unit, rod, units),
        None => 0.0,
    };
    let mut drawing = Drawing::new(
        Size {
            width_mm: kit::PAGE.width_mm,
            height_mm: (foot_mm + 17.0).max(rod_foot_mm),
        },
        format!("Hanging detail of {}", unit.tag),
    );
    drawing.alt = format!(
        "Elevation of {}, {}, with its dimensions, and the parts of its rods from top to bottom.",
        unit.tag,
        way_words(unit.way)
    );
    drawing.views = vec![view, notes];
    drawing
}

/// What the ring means.
fn key(notes: &mut View, y_mm: f64, words: [String; 2]) {
    notes.mark(Role::Outline, Mark::Ring, at(LEFT_MM, y_mm));
    notes.mark(Role::Outline, Mark::Tick, at(LEFT_MM, y_mm));
    for (i, line) in words.into_iter().enumerate() {
        notes.text(
            Role::Text,
            Label::new(line, at(LEFT_MM + 3.5, y_mm + 4.4 * i as f64))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
}

/// Structure, rods, channel, and their dimensions.
fn hung(
    view: &mut View,
    unit: &CarriedUnit,
    seen: &Seen,
    units: UnitSystem,
    z: &dyn Fn(f64) -> f64,
) {
    let mm = view.transform.x_mm_per_unit.recip();
    let top = unit.rods.iter().map(|r| r.top_m).fold(0.0, f64::max);
    let across = unit.struts.iter().any(|s| s.used == StrutUse::Across);
    let underside = top + if across { STRUT.side_m } else { 0.0 };
    let wide = seen.half_m + 0.1;
    // Structure: a cut band 5 mm high on paper.
    view.rect(
        Role::Cut,
        at(-wide, z(underside)),
        at(wide, z(underside) + 5.0 * mm),
    );
    for strut in &unit.struts {
        let [a, b] = strut.ends_m.map(|p| seen.across(p));
        let height = match strut.used {
            StrutUse::Across => underside - STRUT.side_m,
            StrutUse::Trapeze => unit.cabinet.low_m[2] - STRUT.side_m,
        };
        // Seen along its length, or its end.
        let (from, to) = if (a - b).abs() < STRUT.side_m {
            (a - 0.5 * STRUT.side_m, a + 0.5 * STRUT.side_m)
        } else {
            let reach = wide.min(match strut.used {
                StrutUse::Across => wide,
                StrutUse::Trapeze => a.abs().max(b.abs()) + 0.05,
            });
            (a.min(b).max(-reach), a.max(b).min(reach))
        };
        let (from, to) = match strut.used {
            StrutUse::Trapeze => (from - 0.05, to + 0.05),
            StrutUse::Across => (from, to),
        };
        view.rect(
            Role::Waiting,
            at(from, z(height)),
            at(to, z(height + STRUT.side_m)),
        );
    }
    let mut places: Vec<f64> = Vec::new();
    let mut foot = unit.cabinet.high_m[2];
    for rod in &unit.rods {
        let x = seen.across(rod.foot_m);
        foot = rod.foot_m[2];
        if places.iter().any(|p| (p - x).abs() < 0.01) {
            continue;
        }
        places.push(x);
        view.line(Role::Series(0), at(x, z(foot)), at(x, z(rod.top_m)));
        if let Some(hanger) = rod.hanger {
            let middle = 0.5 * (foot + rod.top_m);
            let half = 0.5 * hanger.height_m;
            view.rect(
                Role::Waiting,
                at(x - 0.025, z(middle - half)),
                at(x + 0.025, z(middle + half)),
            );
        }
    }
    places.sort_by(f64::total_cmp);
    let left = -seen.half_m;
    // Free length of the rods, on the left.
    if foot < top {
        kit::dimension(
            view,
            (
                at(left.min(places[0]), z(foot)),
                at(left.min(places[0]), z(top)),
            ),
            kit::SideOf::Left,
            8.0,
            kit::length(top - foot, units),
        );
    }
    // Distance of the rods, under the cabinet.
    let under = z(unit.cabinet.low_m[2]
        - if unit.way == Way::Trapeze {
            STRUT.side_m
        } else {
            0.0
        });
    let (Some(first), Some(last)) = (places.first(), places.last()) else {
        return;
    };
    kit::dimension(
        view,
        (at(*first, under), at(*last, under)),
        kit::SideOf::Right,
        10.0,
        kit::length(last - first, units),
    );
}

/// Legs and floor, and their dimensions.
fn stand(view: &mut View, unit: &CarriedUnit, seen: &Seen, units: UnitSystem) {
    let mm = view.transform.x_mm_per_unit.recip();
    let low = unit.cabinet.low_m[2];
    let wide = seen.half_m + 0.15;
    view.rect(Role::Cut, at(-wide, -4.0 * mm), at(wide, 0.0));
    for x in [-seen.half_m, seen.half_m - 0.05] {
        if 0.0 < low {
            view.rect(Role::Waiting, at(x, 0.0), at(x + 0.05, low));
        }
    }
    if 0.0 < low {
        kit::dimension(
            view,
            (at(-seen.half_m, 0.0), at(-seen.half_m, low)),
            kit::SideOf::Left,
            8.0,
            kit::length(low, units),
        );
    }
    kit::dimension(
        view,
        (at(-seen.half_m, -4.0 * mm), at(seen.half_m, -4.0 * mm)),
        kit::SideOf::Right,
        10.0,
        kit::length(2.0 * seen.half_m, units),
    );
}

/// A piece on the rod from top to bottom.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Piece {
    Structure,
    Channel,
    Nut,
    Washer,
    Rod,
    Isolator,
    Plate,
}

impl Piece {
    /// Half its width and its height on paper \[mm\].
    const fn size(self) -> (f64, f64) {
        match self {
            Self::Structure => (11.0, 6.0),
            Self::Channel => (7.0, 7.0),
            Self::Nut => (3.2, 3.0),
            Self::Washer => (4.8, 1.0),
            Self::Rod => (1.0, 12.0),
            Self::Isolator => (6.0, 14.0),
            Self::Plate => (10.0, 2.4),
        }
    }

    const fn role(self) -> Role {
        match self {
            Self::Structure | Self::Plate => Role::Cut,
            Self::Channel | Self::Isolator => Role::Equipment,
            Self::Nut | Self::Washer | Self::Rod => Role::Waiting,
        }
    }
}

/// Pieces of a rod from the structure down, each with its words.
fn pieces(unit: &CarriedUnit, rod: &HangingRod, units: UnitSystem) -> Vec<(Piece, String)> {
    let size = rod.rod.word();
    let quiet = String::new;
    let across = unit.struts.iter().any(|s| s.used == StrutUse::Across);
    let mut out = vec![(
        Piece::Structure,
        "structure, fastening by the engineer".into(),
    )];
    if across {
        out.push((Piece::Channel, "strut channel, fixed at each member".into()));
        out.push((Piece::Washer, "square strut washer".into()));
    } else {
        out.push((Piece::Washer, "washer".into()));
    }
    out.push((Piece::Nut, quiet()));
    out.push((Piece::Nut, "two nuts, locked".into()));
    out.push((Piece::Rod, format!("{size} threaded rod")));
    if let Some(hanger) = rod.hanger {
        let rated = hanger.rated_n.map_or_else(
            || "by its maker's list".to_owned(),
            |n| format!("rated {} or more", Value::new(n, Dim::Force).show(units)),
        );
        out.push((Piece::Nut, quiet()));
        out.push((
            Piece::Isolator,
            format!("{} hanger, {rated}", hanger.kind.word()),
        ));
        out.push((Piece::Nut, "nut pair on each piece".into()));
        out.push((Piece::Rod, format!("{size} threaded rod")));
    }
    out.push((Piece::Nut, "nut: turn to level".into()));
    out.push((Piece::Washer, "washer".into()));
    if unit.way == Way::Trapeze {
        out.push((Piece::Channel, "strut channel under the unit".into()));
    } else {
        out.push((Piece::Plate, "hanging point of the unit".into()));
    }
    out.push((Piece::Washer, "washer".into()));
    out.push((Piece::Nut, quiet()));
    out.push((Piece::Nut, "two nuts, locked after levelling".into()));
    out
}

/// The rod from top to bottom; returns where it ends on paper \[mm\].
fn rod_column(notes: &mut View, unit: &CarriedUnit, rod: &HangingRod, units: UnitSystem) -> f64 {
    notes.text(
        Role::TextStrong,
        Label::new("A rod from top to bottom", at(ROD_MM - 15.0, 5.0)).letters(Letters::ViewTitle),
    );
    notes.text(
        Role::TextQuiet,
        Label::new("not to scale", at(ROD_MM - 15.0, 9.5)).letters(Letters::Note),
    );
    let pieces = pieces(unit, rod, units);
    let tall: f64 = pieces.iter().map(|(p, _)| p.size().1).sum();
    let mut y_mm = 14.0;
    let end_mm = y_mm + tall + 4.0;
    // The rod behind everything under the structure.
    notes.rect(
        Role::Waiting,
        at(ROD_MM - 1.0, y_mm + 3.0),
        at(ROD_MM + 1.0, end_mm),
    );
    let mut last_words_mm = f64::NEG_INFINITY;
    for (piece, words) in &pieces {
        let (half, high) = piece.size();
        if *piece != Piece::Rod {
            notes.rect(
                piece.role(),
                at(ROD_MM - half, y_mm),
                at(ROD_MM + half, y_mm + high),
            );
        }
        if !words.is_empty() {
            let here = y_mm + 0.5 * high;
            let line_mm = here.max(last_words_mm + 4.2);
            last_words_mm = line_mm;
            notes.push(
                Role::Leader,
                Shape::Polyline(vec![at(ROD_MM + half, here), at(WORDS_MM + 6.0, line_mm)]),
            );
            notes.text(
                Role::Text,
                Label::new(words.clone(), at(WORDS_MM + 7.0, line_mm))
                    .letters(Letters::Note)
                    .anchor(Anchor::Start, Stand::Middle),
            );
        }
        y_mm += high;
    }
    end_mm.max(last_words_mm + 2.0) + 2.0
}

//! The room as boxes and jets, for the checks and the search.

use equipment::{Catalog, Face, FilterState, Model};
use room::{Blow, DuctSide, Facing, Mount, ObstacleKind, Room};

use super::jets::{
    FREE_OPENING_K, Opening, beside_the_axis, centreline_m_per_s, half_width_m, throw_m,
};
use super::{PlacedUnit, inside};
use crate::error::JobError;
use crate::geometry::{Cuboid, Point, distance_m};

/// Speed at which a jet is taken to end \[m/s\].
pub const REACH_M_PER_S: f64 = 0.5;
/// Free share of the face that air leaves by: a grille or a fan's ring in it.
///
/// **Source** Assumed, until records name the opening.
pub(crate) const FREE_SHARE: f64 = 0.4;
/// Speed of a cooling supply of which no air flow is known \[m/s\]: Assumed.
const SUPPLY_M_PER_S: f64 = 3.0;
/// Diameter of a circulation fan \[m\]: Assumed, an 18 in fan.
const FAN_M: f64 = 0.45;

/// What stands, hangs or must stay free in the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThingKind {
    /// Bench, from the floor to its top.
    Bench,
    /// Crop on a bench.
    Canopy,
    /// Luminaire.
    Luminaire,
    /// Anything surveyed as an obstacle.
    Obstacle(ObstacleKind),
    /// Way through a door.
    Door,
    /// Aisle, up to its headroom.
    Aisle,
    /// Electrical panel with the space over and under it.
    Panel,
    /// Cabinet of a unit.
    Unit,
}

/// A thing as a box.
#[derive(Clone, Debug, PartialEq)]
pub struct Thing {
    /// What it is called.
    pub name: String,
    /// What it is.
    pub kind: ThingKind,
    /// Where it is \[m\].
    pub cuboid: Cuboid,
    /// Space to keep free on all sides, if surveyed \[m\].
    pub keep_clear_m: Option<f64>,
}

impl Thing {
    /// With the space that it keeps free around it \[m\].
    pub fn kept_clear(&self) -> Cuboid {
        self.cuboid.grown(self.keep_clear_m.unwrap_or(0.0))
    }
}

/// What blows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum JetKind {
    /// A unit's discharge: warm and dry.
    Discharge,
    /// A cooling supply: cold.
    Supply,
    /// A circulation fan.
    Fan,
}

/// A jet from an opening.
#[derive(Clone, Debug, PartialEq)]
pub struct Jet {
    /// Whose.
    pub from: String,
    /// What blows.
    pub kind: JetKind,
    /// Middle of the opening \[m\].
    pub origin_m: Point,
    /// Direction, of length 1.
    pub along: Point,
    /// The opening.
    pub opening: Opening,
    /// To where it still blows at [`REACH_M_PER_S`], a wall or a thing \[m\].
    pub reach_m: f64,
    /// To the wall or thing ahead, however slow \[m\].
    pub to_wall_m: f64,
}

/// Speed below which a unit's or supply's jet is not told from room air.
const STILL_M_PER_S: f64 = 0.01;

impl Jet {
    /// Point on its axis \[m\].
    pub fn point_m(&self, x_m: f64) -> Point {
        std::array::from_fn(|i| self.origin_m[i] + x_m * self.along[i])
    }

    /// Distance along its axis and beside it \[m\].
    fn along_and_aside_m(&self, p: Point) -> (f64, f64) {
        let v: Point = std::array::from_fn(|i| p[i] - self.origin_m[i]);
        let x: f64 = (0..3).map(|i| v[i] * self.along[i]).sum();
        let long2: f64 = v.iter().map(|c| c * c).sum();
        (x, (long2 - x * x).max(0.0).sqrt())
    }

    /// Speed at a point, nothing in between \[m/s\].
    pub fn free_speed_m_per_s(&self, p: Point) -> f64 {
        let (x, r) = self.along_and_aside_m(p);
        if x <= 0.0 {
            return 0.0;
        }
        let b = half_width_m(&self.opening, x);
        if r > 4.0 * b {
            return 0.0;
        }
        let speed = centreline_m_per_s(&self.opening, x) * beside_the_axis(r / b);
        if speed < STILL_M_PER_S { 0.0 } else { speed }
    }
}

/// Whether the straight way between two points passes through a box.
pub(crate) fn passes_through(from: Point, to: Point, cuboid: &Cuboid) -> bool {
    const TOUCH_M: f64 = 1e-6;
    let (mut enter, mut leave) = (0.0_f64, 1.0_f64);
    for i in 0..3 {
        let d = to[i] - from[i];
        let (low, high) = (cuboid.low_m[i] + TOUCH_M, cuboid.high_m[i] - TOUCH_M);
        if d.abs() < 1e-12 {
            if from[i] <= low || high <= from[i] {
                return false;
            }
            continue;
        }
        let (a, b) = ((low - from[i]) / d, (high - from[i]) / d);
        enter = enter.max(a.min(b));
        leave = leave.min(a.max(b));
    }
    enter < leave
}

/// A placed unit with its record.
#[derive(Clone, Debug)]
pub(crate) struct Seen<'a> {
    pub(crate) unit: &'a PlacedUnit,
    pub(crate) model: &'a Model,
    pub(crate) cabinet: Cuboid,
    /// Where it draws \[m\].
    pub(crate) inlet_m: Point,
    pub(crate) jet: Jet,
}

impl Seen<'_> {
    /// Whether it is in the room.
    pub(crate) fn in_room(&self) -> bool {
        self.unit.mount != Mount::Outside
    }
}

/// What does not move when units do.
#[derive(Clone, Debug)]
pub(crate) struct Fixed {
    pub(crate) inside: Cuboid,
    pub(crate) things: Vec<Thing>,
    pub(crate) ways: Vec<Thing>,
    /// Cold supplies and fans.
    pub(crate) jets: Vec<Jet>,
    pub(crate) sensor_m: Point,
}

/// The room with units in it.
pub(crate) struct Scene<'a> {
    pub(crate) room: &'a Room,
    pub(crate) fixed: &'a Fixed,
    pub(crate) units: Vec<Seen<'a>>,
}

fn named(name: Option<&quantity::Given<String>>, otherwise: &str) -> String {
    name.map_or_else(|| otherwise.to_owned(), |n| n.value.clone())
}

/// Height of the crop on a bench \[m\].
fn canopy_m(room: &Room, bench: &room::Bench) -> f64 {
    bench.canopy_m.as_ref().map_or_else(
        || {
            let crop = room.crop.as_ref();
            crop.and_then(|c| c.height_m.as_ref())
                .map_or(0.0, |h| h.value)
        },
        |h| h.value,
    )
}

/// Half the width that a panel of unknown size is taken with \[m\].
///
/// **Assumed** a panel 20 in wide; its space up and down by NEC 110.26(E),
/// recalled.
const PANEL_HALF_M: f64 = 0.254;

/// All that a pipe or a machine can meet: [`things`], [`ways`], panels with
/// the space over and under them, cabinets under their tags.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn everything(
    room: &Room,
    catalog: &Catalog,
    units: &[PlacedUnit],
) -> Result<Vec<Thing>, JobError> {
    let mut all = ways(room);
    all.extend(things(room));
    let top_m = inside(room).high_m[2];
    for panel in &room.panels {
        let [x, y, _] = panel.at_m.value;
        all.push(Thing {
            name: format!("panel {}", panel.name.value),
            kind: ThingKind::Panel,
            cuboid: Cuboid {
                low_m: [x - PANEL_HALF_M, y - PANEL_HALF_M, 0.0],
                high_m: [x + PANEL_HALF_M, y + PANEL_HALF_M, top_m],
            },
            keep_clear_m: None,
        });
    }
    for unit in units {
        all.push(Thing {
            name: unit.tag.clone(),
            kind: ThingKind::Unit,
            cuboid: unit.frame.cabinet(&unit.record(catalog)?.body),
            keep_clear_m: None,
        });
    }
    Ok(all)
}

/// What stands or hangs in the room beside the units, as boxes.
pub fn things(room: &Room) -> Vec<Thing> {
    let mut all = Vec::new();
    for bench in &room.benches {
        let [x, y, top] = bench.at_m.value;
        let (l, w) = (0.5 * bench.length_m.value, 0.5 * bench.width_m.value);
        let name = named(bench.name.as_ref(), "bench");
        let slab = |low: f64, high: f64| Cuboid {
            low_m: [x - l, y - w, low],
            high_m: [x + l, y + w, high],
        };
        all.push(Thing {
            name: name.clone(),
            kind: ThingKind::Bench,
            cuboid: slab(0.0, top.max(0.0)),
            keep_clear_m: None,
        });
        let canopy = canopy_m(room, bench);
        if canopy > 0.0 {
            all.push(Thing {
                name: format!("canopy on {name}"),
                kind: ThingKind::Canopy,
                cuboid: slab(top, top + canopy),
                keep_clear_m: None,
            });
        }
    }
    for row in &room.luminaires {
        let size = [row.length_m.value, row.width_m.value, row.height_m.value];
        for at in &row.at_m {
            all.push(Thing {
                name: named(row.name.as_ref(), "luminaire"),
                kind: ThingKind::Luminaire,
                cuboid: Cuboid::centred(at.value, size),
                keep_clear_m: None,
            });
        }
    }
    for o in &room.obstacles {
        let size = [o.length_m.value, o.width_m.value, o.height_m.value];
        all.push(Thing {
            name: named(o.name.as_ref(), o.kind.value.word()),
            kind: ThingKind::Obstacle(o.kind.value),
            cuboid: Cuboid::centred(o.at_m.value, size),
            keep_clear_m: o.keep_clear_m.as_ref().map(|k| k.value),
        });
    }
    all
}

/// Aisles, and the floor in front of doors as deep as they are wide.
pub fn ways(room: &Room) -> Vec<Thing> {
    let aisle = |a: &room::Aisle| {
        let [x, y, _] = a.at_m.value;
        let (l, w) = (0.5 * a.length_m.value, 0.5 * a.width_m.value);
        Thing {
            name: named(a.name.as_ref(), "aisle"),
            kind: ThingKind::Aisle,
            keep_clear_m: None,
            cuboid: Cuboid {
                low_m: [x - l, y - w, 0.0],
                high_m: [x + l, y + w, a.headroom_m.value],
            },
        }
    };
    let all = inside(room);
    let door = |d: &room::Door| {
        let (a, w, h) = (d.along_m.value, d.width_m.value, d.height_m.value);
        let [x, y, _] = all.high_m;
        let (low_m, high_m) = match d.wall.value {
            room::Wall::MinusX => ([0.0, a, 0.0], [w, a + w, h]),
            room::Wall::PlusX => ([x - w, a, 0.0], [x, a + w, h]),
            room::Wall::MinusY => ([a, 0.0, 0.0], [a + w, w, h]),
            room::Wall::PlusY => ([a, y - w, 0.0], [a + w, y, h]),
        };
        Thing {
            name: "way through the door".to_owned(),
            kind: ThingKind::Door,
            keep_clear_m: None,
            cuboid: Cuboid { low_m, high_m },
        }
    };
    room.aisles
        .iter()
        .map(aisle)
        .chain(room.doors.iter().map(door))
        .collect()
}

const fn facing(f: Facing) -> Point {
    match f {
        Facing::PlusX => [1.0, 0.0, 0.0],
        Facing::MinusX => [-1.0, 0.0, 0.0],
        Facing::PlusY => [0.0, 1.0, 0.0],
        Facing::MinusY => [0.0, -1.0, 0.0],
    }
}

const fn blow(b: Blow) -> Point {
    match b {
        Blow::PlusX => [1.0, 0.0, 0.0],
        Blow::MinusX => [-1.0, 0.0, 0.0],
        Blow::PlusY => [0.0, 1.0, 0.0],
        Blow::MinusY => [0.0, -1.0, 0.0],
        Blow::Down => [0.0, 0.0, -1.0],
        Blow::Up => [0.0, 0.0, 1.0],
    }
}

/// Air of one supply opening \[m³/s\], as far as it is known.
fn supply_flow(room: &Room, catalog: &Catalog, supply: &room::Supply) -> Option<f64> {
    if let Some(flow) = &supply.air_flow_m3_per_s {
        return Some(flow.value);
    }
    let of = supply.of.as_ref().map(|n| n.value.as_str());
    let cooling = match of {
        Some(name) => room.cooling.iter().find(|c| c.name == name)?,
        None => room.cooling.first()?,
    };
    let of_one = cooling.air_flow_m3_per_s.as_ref().map(|f| f.value);
    let of_one = of_one.or_else(|| {
        let model = cooling.model.as_ref()?;
        Some(catalog.coolers.get(&model.value)?.airflow_m3_per_s)
    })?;
    let same = |s: &&room::Supply| s.of.as_ref().map(|n| n.value.as_str()) == of;
    let openings = room.supplies.iter().filter(same).count().max(1);
    Some(of_one * f64::from(cooling.count.value) / openings as f64)
}

impl Fixed {
    pub(crate) fn of(room: &Room, catalog: &Catalog, sensor_m: Point) -> Self {
        let things = things(room);
        let mut jets = Vec::new();
        for (i, s) in room.supplies.iter().enumerate() {
            let area_m2 = s.width_m.value * s.height_m.value;
            let flow = supply_flow(room, catalog, s);
            jets.push(Jet {
                from: format!("cold supply {}", i + 1),
                kind: JetKind::Supply,
                origin_m: s.at_m.value,
                along: blow(s.blows.value),
                opening: Opening {
                    speed_m_per_s: flow.map_or(SUPPLY_M_PER_S, |q| q / area_m2),
                    area_m2,
                    decay_k: FREE_OPENING_K,
                },
                reach_m: 0.0,
                to_wall_m: 0.0,
            });
        }
        for mover in &room.air_movers {
            let (Some(way), Some(flow)) = (&mover.facing, &mover.air_flow_m3_per_s) else {
                continue;
            };
            let area_m2 = 0.25 * std::f64::consts::PI * FAN_M * FAN_M;
            for at in &mover.at_m {
                jets.push(Jet {
                    from: named(mover.name.as_ref(), "fan"),
                    kind: JetKind::Fan,
                    origin_m: at.value,
                    along: facing(way.value),
                    opening: Opening {
                        speed_m_per_s: flow.value / area_m2,
                        area_m2,
                        decay_k: FREE_OPENING_K,
                    },
                    reach_m: 0.0,
                    to_wall_m: 0.0,
                });
            }
        }
        let mut fixed = Self {
            inside: inside(room),
            things,
            ways: ways(room),
            jets: Vec::new(),
            sensor_m,
        };
        for jet in &mut jets {
            fixed.bound(jet, &[]);
        }
        fixed.jets = jets;
        fixed
    }

    /// Things that stop a jet.
    pub(crate) fn solids(&self) -> impl Iterator<Item = &Thing> {
        self.things
            .iter()
            .filter(|t| !matches!(t.kind, ThingKind::Obstacle(k) if small(k)))
    }

    /// How far a jet goes: to the wall or the first thing on its axis.
    fn bound(&self, jet: &mut Jet, cabinets: &[Cuboid]) {
        let mut to_wall = f64::INFINITY;
        for i in 0..3 {
            let (d, at) = (jet.along[i], jet.origin_m[i]);
            if d > 0.5 {
                to_wall = to_wall.min(self.inside.high_m[i] - at);
            } else if d < -0.5 {
                to_wall = to_wall.min(at - self.inside.low_m[i]);
            }
        }
        let to_wall = to_wall.max(0.0);
        let mut end = to_wall;
        for cuboid in self.solids().map(|t| &t.cuboid).chain(cabinets) {
            if passes_through(jet.origin_m, jet.point_m(end), cuboid) {
                let near = (0..3).find_map(|i| match jet.along[i] {
                    d if d > 0.5 => Some(cuboid.low_m[i] - jet.origin_m[i]),
                    d if d < -0.5 => Some(jet.origin_m[i] - cuboid.high_m[i]),
                    _ => None,
                });
                end = end.min(near.unwrap_or(end).max(0.0));
            }
        }
        jet.to_wall_m = end;
        jet.reach_m = throw_m(&jet.opening, REACH_M_PER_S).min(end);
    }
}

/// Too small to stop a jet or to be in its way.
const fn small(kind: ObstacleKind) -> bool {
    matches!(
        kind,
        ObstacleKind::Sprinkler
            | ObstacleKind::Detector
            | ObstacleKind::Pipe
            | ObstacleKind::Conduit
    )
}

/// Area of a face \[m²\].
pub(crate) fn face_m2(model: &Model, face: Face) -> f64 {
    let [l, w, h] = model.body.size_m;
    match face {
        Face::Front | Face::Back => w * h,
        Face::Left | Face::Right => l * h,
        Face::Top | Face::Bottom => l * w,
    }
}

/// Jet of a unit and where it draws, before anything stops the jet.
fn breath(room: &Room, unit: &PlacedUnit, model: &Model) -> (Jet, Point) {
    let (frame, body) = (&unit.frame, &model.body);
    let outward = frame.outward(body.inlet);
    let face = frame.face_m(body, body.inlet);
    let at = |side: DuctSide| {
        let mut ducts = room.ducts.iter();
        ducts
            .find(|d| d.unit.value == unit.tag && d.side.value == side)
            .and_then(|d| d.ends_m.as_ref().map(|e| (d, e.value)))
    };
    // Just before the face, so that its own cabinet does not hide it.
    let inlet_m = at(DuctSide::Inlet).map_or_else(
        || std::array::from_fn(|i| face[i] + 0.05 * outward[i]),
        |(_, end)| end,
    );
    let flow = if unit.ducted.air_flow_m3_per_s > 0.0 {
        unit.ducted.air_flow_m3_per_s
    } else {
        model.fan.airflow_m3_per_s(FilterState::Clean, 0.0)
    };
    let (origin_m, area_m2) = at(DuctSide::Outlet).map_or_else(
        || {
            let area = FREE_SHARE * face_m2(model, body.outlet);
            (frame.face_m(body, body.outlet), area)
        },
        |(duct, end)| {
            let area = match duct.section {
                room::DuctSection::Round { diameter_m } => {
                    0.25 * std::f64::consts::PI * diameter_m * diameter_m
                }
                room::DuctSection::Rectangular { width_m, height_m } => width_m * height_m,
            };
            (end, area)
        },
    );
    let jet = Jet {
        from: unit.tag.clone(),
        kind: JetKind::Discharge,
        origin_m,
        along: frame.outward(body.outlet),
        opening: Opening {
            speed_m_per_s: flow / area_m2,
            area_m2,
            decay_k: FREE_OPENING_K,
        },
        reach_m: 0.0,
        to_wall_m: 0.0,
    };
    (jet, inlet_m)
}

impl<'a> Scene<'a> {
    /// The room with these units.
    ///
    /// # Errors
    /// A model that the catalogue does not have.
    pub(crate) fn of(
        room: &'a Room,
        catalog: &'a Catalog,
        fixed: &'a Fixed,
        units: &'a [PlacedUnit],
    ) -> Result<Self, JobError> {
        let mut seen = Vec::with_capacity(units.len());
        for unit in units {
            let model = unit.record(catalog)?;
            let (jet, inlet_m) = breath(room, unit, model);
            seen.push(Seen {
                unit,
                model,
                cabinet: unit.frame.cabinet(&model.body),
                inlet_m,
                jet,
            });
        }
        for i in 0..seen.len() {
            let others: Vec<Cuboid> = (0..seen.len())
                .filter(|j| *j != i)
                .map(|j| seen[j].cabinet)
                .collect();
            let mut jet = seen[i].jet.clone();
            fixed.bound(&mut jet, &others);
            seen[i].jet = jet;
        }
        Ok(Self {
            room,
            fixed,
            units: seen,
        })
    }

    /// Speed of a jet at a point, 0 where something stands between \[m/s\].
    pub(crate) fn speed_m_per_s(&self, jet: &Jet, p: Point) -> f64 {
        let speed = jet.free_speed_m_per_s(p);
        if speed == 0.0 {
            return 0.0;
        }
        let hidden = |c: &Cuboid| passes_through(jet.origin_m, p, c);
        if self.fixed.solids().any(|t| hidden(&t.cuboid))
            || self.units.iter().any(|u| hidden(&u.cabinet))
        {
            return 0.0;
        }
        speed
    }

    /// Greatest speed of a jet on a thing \[m/s\].
    pub(crate) fn speed_on_m_per_s(&self, jet: &Jet, thing: &Thing) -> f64 {
        const STEPS: u32 = 24;
        let long = jet.to_wall_m;
        let mut most: f64 = 0.0;
        for n in 0..=STEPS {
            let x = long * (f64::from(n) + 0.5) / (f64::from(STEPS) + 0.5);
            let on_axis = jet.point_m(x);
            let nearest: Point = std::array::from_fn(|i| {
                on_axis[i].clamp(thing.cuboid.low_m[i], thing.cuboid.high_m[i])
            });
            let speed = jet.free_speed_m_per_s(nearest);
            if speed <= most {
                continue;
            }
            let hidden = |c: &Cuboid| passes_through(jet.origin_m, nearest, c);
            let behind = self
                .fixed
                .solids()
                .filter(|t| !std::ptr::eq(*t, thing))
                .any(|t| hidden(&t.cuboid))
                || self.units.iter().any(|u| hidden(&u.cabinet));
            if !behind {
                most = speed;
            }
        }
        most
    }

    /// Free depth in front of a face and what ends it \[m\]; no deeper than
    /// asked.
    pub(crate) fn free_depth_m(&self, i: usize, face: Face, asked_m: f64) -> (f64, String) {
        let me = &self.units[i];
        let column = me.unit.frame.before(&me.model.body, face, asked_m);
        let outward = me.unit.frame.outward(face);
        let depth = |c: &Cuboid| -> f64 {
            for (k, way) in outward.into_iter().enumerate() {
                if way > 0.5 {
                    return c.low_m[k] - me.cabinet.high_m[k];
                }
                if way < -0.5 {
                    return me.cabinet.low_m[k] - c.high_m[k];
                }
            }
            asked_m
        };
        let mut free = (asked_m, String::new());
        let mut shorter = |d: f64, name: &str| {
            if d.max(0.0) + 1e-6 < free.0 {
                free = (d.max(0.0), name.to_owned());
            }
        };
        for (k, way) in outward.into_iter().enumerate() {
            let (low, high) = (self.fixed.inside.low_m[k], self.fixed.inside.high_m[k]);
            if way > 0.5 {
                let name = if k == 2 { "the ceiling" } else { "the wall" };
                shorter(high - me.cabinet.high_m[k], name);
            } else if way < -0.5 {
                let name = if k == 2 { "the floor" } else { "the wall" };
                shorter(me.cabinet.low_m[k] - low, name);
            }
        }
        for thing in &self.fixed.things {
            if column.overlaps(&thing.cuboid) {
                shorter(depth(&thing.cuboid), &thing.name);
            }
        }
        for (j, other) in self.units.iter().enumerate() {
            if i != j && other.in_room() && column.overlaps(&other.cabinet) {
                shorter(depth(&other.cabinet), &other.unit.tag);
            }
        }
        free
    }

    /// Distance that the discharge goes until it is back at its own inlet:
    /// to the wall or thing ahead and from there \[m\].
    pub(crate) fn way_back_m(&self, i: usize) -> f64 {
        let me = &self.units[i];
        let turn = me.jet.point_m(me.jet.to_wall_m);
        (me.jet.to_wall_m + distance_m(turn, me.inlet_m)).max(0.1)
    }
}

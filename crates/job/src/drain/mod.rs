//! Step: where the condensate goes.
//!
//! Topics: [`water`] how much, [`trap`] and [`dry_out`], [`pipe`], [`pump`];
//! the line along the walls with its heights is laid by `network`.

mod bend;
mod checks;
pub mod dry_out;
mod grid;
mod network;
mod parts;
pub mod pipe;
pub mod pump;
mod ring;
pub mod trap;
pub mod water;
mod workings;

use equipment::{Cabinet, Catalog, Model, Role};
use quantity::{Finding, Place, Working};
use room::{DrainKind, Mount, Room};

use crate::error::JobError;
use crate::geometry::Point;
use crate::placement::{PlacedUnit, Placement, Thing, ThingKind, everything, inside};
use dry_out::{DryOut, Over};
use network::{Ground, Line, Member, OFF_WALL_M, Receiver, UNDER_CEILING_M};
use pipe::Demand;
use pump::Pump;
use ring::Ring;
use trap::{Trap, water_head_m};
use water::UnitWater;

pub(crate) use network::crosses;
pub use network::{Node, Part as LinePart, Segment, air_gap_m};
pub use room::EndTrap;

/// What this step found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Drain {
    /// Drain of each unit, in the order of the placement.
    pub units: Vec<UnitDrain>,
    /// Lines, one for each drain that takes water.
    pub runs: Vec<Run>,
    /// What stands, hangs and opens in the room.
    pub things: Vec<Thing>,
    /// What to buy for it.
    pub parts: Vec<crate::parts::Part>,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
}

/// The drain of one unit as far as its trap.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitDrain {
    /// Tag of the unit.
    pub tag: String,
    /// Code of its model.
    pub model: String,
    /// Its water.
    pub water: UnitWater,
    /// Centre of its drain outlet \[m\].
    pub outlet_m: Point,
    /// Where the outlet points.
    pub outward: Point,
    /// Inside diameter of the outlet \[m\].
    pub outlet_inside_m: f64,
    /// Lowest inside of the outlet \[m\].
    pub outlet_invert_m: f64,
    /// Pressure at the pan.
    pub pan: PanPressure,
    /// Its trap; `None`: pan and room are at one pressure.
    pub trap: Option<Trap>,
    /// Where the trap lets go: its outlet's invert \[m\].
    pub trap_end_m: Point,
    /// Vent after the trap.
    pub vent: Option<Vent>,
    /// How long an idle trap keeps its seal.
    pub dry_out: Option<DryOut>,
    /// What stops the unit when its pan fills.
    pub overflow: Overflow,
    /// What lies under it that water would harm.
    pub over: Option<String>,
    /// How it is carried.
    pub mount: Mount,
    /// Its way to the drain; `None`: there is none to lead it to.
    pub way: Option<UnitWay>,
}

/// Pressure at a pan against the room, without sign.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PanPressure {
    /// Below or above the room.
    pub cabinet: Cabinet,
    /// Of the record: dirty filter, fan fastest \[Pa\].
    pub record_pa: f64,
    /// What ducts add \[Pa\].
    pub ducts_pa: f64,
}

impl PanPressure {
    /// The worst \[Pa\].
    pub fn worst_pa(&self) -> f64 {
        self.record_pa.abs() + self.ducts_pa.abs()
    }
}

/// A vent after a trap.
#[derive(Clone, Debug, PartialEq)]
pub struct Vent {
    /// Why it is there.
    pub why: VentReason,
    /// Height at which it must end or above \[m\].
    pub top_m: f64,
}

/// Why a trap has a vent after it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum VentReason {
    /// Other units drain into the line.
    SharedLine,
    /// The line ends in a closed connection.
    ClosedDrain,
    /// The line is long, or drops: a full pipe would siphon the seal.
    LongLine,
}

/// What stops a unit whose pan fills.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Overflow {
    /// A float switch at this terminal of the unit.
    Terminal(String),
    /// The record names no terminal for a float switch.
    NoTerminal,
}

/// Way of a unit's water to its drain.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitWay {
    /// Line that it joins, in [`Drain::runs`].
    pub run: usize,
    /// Its first segment there.
    pub first: usize,
    /// Length in plan from trap to drain \[m\].
    pub length_m: f64,
    /// Height from the pan outlet's invert to the drain's rim \[m\].
    pub available_m: f64,
    /// Height that trap, fall and air gap take \[m\].
    pub needed_m: f64,
    /// Pump that lifts the water to where it falls.
    pub pump: Option<Pump>,
}

/// The line to one drain.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Name of the drain.
    pub drain: String,
    /// What receives the water.
    pub kind: DrainKind,
    /// Its rim or inlet \[m\].
    pub rim_m: Point,
    /// Gap of air between pipe and rim \[m\]; `None`: a closed connection.
    pub air_gap_m: Option<f64>,
    /// Points of the line.
    pub nodes: Vec<Node>,
    /// Its pieces.
    pub segments: Vec<Segment>,
    /// Tags of its units.
    pub units: Vec<String>,
    /// What its end carries.
    pub demand: Demand,
    /// Most water in a day \[kg\]: all units at their greatest removal.
    pub day_kg: f64,
    /// Whether a trap stands at its end.
    pub end_trap: EndTrap,
}

impl Run {
    /// Segments from one on to the drain.
    pub fn path(&self, first: usize) -> Vec<usize> {
        let mut path = Vec::new();
        let mut at = Some(first);
        while let Some(i) = at {
            // A line has no loops; a wrong one must not hang.
            if self.segments.len() <= path.len() {
                break;
            }
            let Some(segment) = self.segments.get(i) else {
                break;
            };
            path.push(i);
            at = segment.next;
        }
        path
    }

    /// Length of its pipe \[m\].
    pub fn pipe_m(&self) -> f64 {
        self.segments.iter().map(|s| s.length_m).sum()
    }
}

impl Drain {
    /// The line of a unit and its pieces in order.
    pub fn path_of(&self, unit: &UnitDrain) -> Option<(&Run, Vec<usize>)> {
        let way = unit.way.as_ref()?;
        let run = self.runs.get(way.run)?;
        Some((run, run.path(way.first)))
    }
}

/// Least fall of a line \[m/m\]: one percent, as the codes round an eighth of an
/// inch per foot.
pub const LEAST_FALL: f64 = 0.01;
/// Height of a vent's open end over the pan outlet's invert \[m\].
///
/// **Assumed** a pan two inches deep, and two inches over it: records do not
/// say how deep their pans are.
const VENT_OVER_OUTLET_M: f64 = 4.0 * 0.0254;
/// A line longer than this is vented even if it ends in the open \[m\]: 15 ft.
///
/// **Assumed** the length from which the Uniform Plumbing Code asks for a trap
/// at indirect waste.
const LONG_LINE_M: f64 = 15.0 * 0.3048;
/// From the outlet to where the trap lets go, in plan \[m\]. **Assumed** the
/// connector, two tees and the bend.
const TRAP_REACH_M: f64 = 0.30;
/// From the trap's end down to the water in a pump's tank \[m\]. **Assumed**.
const TANK_BELOW_M: f64 = 0.15;

/// Plans this step for the units in their places; what their ducts take is
/// added to the pressures at their pans.
///
/// # Errors
/// A model that the catalogue does not have, or air that cannot be.
pub fn route(room: &Room, catalog: &Catalog, placement: &Placement) -> Result<Drain, JobError> {
    let bounds = inside(room);
    let [length_m, width_m, _] = bounds.high_m;
    let ring = Ring::new([length_m, width_m], OFF_WALL_M);
    let mut drain = Drain {
        things: everything(room, catalog, &placement.units)?,
        ..Drain::default()
    };
    for unit in &placement.units {
        let model = unit.record(catalog)?;
        drain.units.push(unit_drain(
            room,
            unit,
            model,
            ducts_at_pan_pa(unit, model),
            &ring,
        )?);
    }
    for unit in &mut drain.units {
        unit.over = under(unit, room, &drain.things);
    }
    lay(room, &ring, &mut drain);
    for unit in &mut drain.units {
        unit.vent = vent(unit, &drain.runs);
    }
    drain.parts = parts::parts(room, &drain);
    drain.workings = workings::workings(&drain);
    drain.findings = checks::findings(&checks::Judged {
        room,
        drain: &drain,
        dew_point_c: water::wettest_dew_point_c(room)?,
    });
    Ok(drain)
}

/// What its ducts add to the pressure at a unit's pan \[Pa\]: before the fan a
/// pan feels the inlet's duct, after it the outlet's.
fn ducts_at_pan_pa(unit: &PlacedUnit, model: &Model) -> f64 {
    match model.cabinet {
        Cabinet::DrawThrough => unit.ducted.inlet_pa,
        Cabinet::BlowThrough => unit.ducted.outlet_pa,
    }
}

/// A unit's outlet, pan and trap.
fn unit_drain(
    room: &Room,
    unit: &PlacedUnit,
    model: &Model,
    ducts_pa: f64,
    ring: &Ring,
) -> Result<UnitDrain, JobError> {
    let outlet_m = unit.frame.to_room_m(model.body.drain_at_m);
    let outward = unit.frame.outward(model.body.drain);
    let outlet_inside_m = model.hanging.outlet_m.value;
    // Through the bottom, the outlet's plane is its invert.
    let sideways = outward[2].abs() < 0.5;
    let outlet_invert_m = if sideways {
        outlet_m[2] - 0.5 * outlet_inside_m
    } else {
        outlet_m[2]
    };
    let pan = PanPressure {
        cabinet: model.cabinet,
        record_pa: model.pan_pressure_pa,
        ducts_pa,
    };
    let water = water::unit_water(room, model)?;
    let demand = Demand {
        flow_kg_per_s: water.peak_kg_per_s,
        cooling_w: water.cooling_w,
        outlet_m: outlet_inside_m,
        fall: room.piping.fall.value,
    };
    let material = room.piping.material.value;
    let size = room.piping.size.as_ref().map_or_else(
        || pipe::least_size(material, &demand).unwrap_or(room::PipeSize::Two),
        |s| s.value,
    );
    let (bore_m, outside_m) = pipe::diameters_m(material, size);
    let trap = (pan.worst_pa() > 0.0)
        .then(|| Trap::new(pan.cabinet, water_head_m(pan.worst_pa()), bore_m, outside_m));
    let drop_m = trap.map_or(0.0, |t| t.built.drop_m);
    let reach = [
        outlet_m[0] + TRAP_REACH_M * outward[0],
        outlet_m[1] + TRAP_REACH_M * outward[1],
    ];
    let trap_end_m = ring.inside([reach[0], reach[1], outlet_invert_m - drop_m]);
    let idle = water::idle_air(room)?;
    let over = Over {
        dry_bulb_c: idle.dry_bulb_c(),
        rel_humidity: idle.rel_humidity(),
        pressure_pa: idle.pressure_pa(),
    };
    let float = model
        .control
        .terminals
        .iter()
        .find(|t| t.role == Some(Role::FloatSwitch));
    Ok(UnitDrain {
        tag: unit.tag.clone(),
        model: unit.model.clone(),
        water,
        outlet_m,
        outward,
        outlet_inside_m,
        outlet_invert_m,
        pan,
        trap,
        trap_end_m,
        vent: None,
        dry_out: trap.and_then(|t| DryOut::new(over, t.built.drop_m, t.built.seal_m)),
        overflow: float.map_or(Overflow::NoTerminal, |t| Overflow::Terminal(t.mark.clone())),
        over: None,
        mount: unit.mount,
        way: None,
    })
}

/// What water from a unit would fall on.
fn under(unit: &UnitDrain, room: &Room, things: &[Thing]) -> Option<String> {
    if unit.mount == Mount::Outside {
        return None;
    }
    let cabinet = things
        .iter()
        .find(|t| t.kind == ThingKind::Unit && t.name == unit.tag)?;
    let harmed = |t: &&Thing| {
        matches!(
            t.kind,
            ThingKind::Bench | ThingKind::Canopy | ThingKind::Luminaire | ThingKind::Panel
        ) && t.cuboid.low_m[2] < cabinet.cuboid.low_m[2]
            && (0..2).all(|i| {
                t.cuboid.low_m[i] < cabinet.cuboid.high_m[i]
                    && cabinet.cuboid.low_m[i] < t.cuboid.high_m[i]
            })
    };
    if let Some(thing) = things.iter().find(harmed) {
        return Some(thing.name.clone());
    }
    // Where no bench was surveyed, the crop may stand anywhere.
    let crop_somewhere = room.benches.is_empty() && room.crop.is_some();
    (crop_somewhere && unit.mount != Mount::Stand)
        .then(|| "the crop (no bench was surveyed)".into())
}

/// Lays the lines.
fn lay(room: &Room, ring: &Ring, drain: &mut Drain) {
    let receivers: Vec<Receiver> = room
        .drains
        .iter()
        .map(|d| Receiver {
            at_m: d.at_m.value,
            open: d.kind.value != DrainKind::Closed,
        })
        .collect();
    let ground = Ground {
        ring: *ring,
        piping: &room.piping,
        things: &drain.things,
        height_m: room.geometry.height_m.value,
    };
    let sources: Vec<(usize, network::Source)> = drain
        .units
        .iter()
        .enumerate()
        .filter(|(_, u)| u.mount != Mount::Outside)
        .map(|(i, u)| {
            let source = network::Source {
                tag: u.tag.clone(),
                start_m: u.trap_end_m,
                peak_kg_per_s: u.water.peak_kg_per_s,
                cooling_w: u.water.cooling_w,
                outlet_m: u.outlet_inside_m,
            };
            (i, source)
        })
        .collect();
    let ways: Vec<_> = sources
        .iter()
        .map(|(_, s)| ground.way(s, &receivers))
        .collect();
    let mut runs = Vec::new();
    let mut unit_ways: Vec<(usize, UnitWay)> = Vec::new();
    for (d, receiver) in receivers.iter().enumerate() {
        let mut indices = Vec::new();
        let mut members = Vec::new();
        for ((i, source), way) in sources.iter().zip(&ways) {
            if let Some(way) = way.filter(|w| w.drain == d) {
                indices.push(*i);
                members.push(Member { source, way });
            }
        }
        if members.is_empty() {
            continue;
        }
        let line = ground.line(receiver, &members);
        for (k, i) in indices.iter().enumerate() {
            let way = unit_way(&drain.units[*i], &line, k, receiver, runs.len());
            unit_ways.push((*i, way));
        }
        let units: Vec<&UnitDrain> = indices.iter().map(|i| &drain.units[*i]).collect();
        runs.push(run(&room.drains[d], d, receiver, line, &units));
    }
    for (i, way) in unit_ways {
        drain.units[i].way = Some(way);
    }
    drain.runs = runs;
}

fn unit_way(unit: &UnitDrain, line: &Line, k: usize, receiver: &Receiver, run: usize) -> UnitWay {
    let needed_z_m = line.needed_z_m[k];
    let start_z_m = line.start_z_m[k];
    let from_m = (unit.trap_end_m[2] - TANK_BELOW_M).max(0.0);
    let pump = (unit.trap_end_m[2] < needed_z_m).then(|| {
        // Straight up, and half a metre to place the pump.
        let length_m = start_z_m - from_m + 0.5;
        let peak_m3_per_s = unit.water.peak_kg_per_s / pipe::WATER_KG_PER_M3;
        Pump::new(peak_m3_per_s, from_m, start_z_m, length_m)
    });
    UnitWay {
        run,
        first: line.first[k],
        length_m: line.length_m[k],
        available_m: unit.outlet_invert_m - receiver.at_m[2],
        needed_m: unit.outlet_invert_m - unit.trap_end_m[2] + needed_z_m - receiver.at_m[2],
        pump,
    }
}

/// What a drain is called: its name, else its number in the room file.
pub(crate) fn name_of(drain: &room::Drain, place: usize) -> String {
    drain
        .name
        .as_ref()
        .map_or_else(|| format!("drain {}", place + 1), |n| n.value.clone())
}

fn run(
    surveyed: &room::Drain,
    place: usize,
    receiver: &Receiver,
    line: Line,
    units: &[&UnitDrain],
) -> Run {
    let last = line.segments.iter().find(|s| s.next.is_none());
    let demand = last.map_or(
        Demand {
            flow_kg_per_s: 0.0,
            cooling_w: 0.0,
            outlet_m: 0.0,
            fall: 0.0,
        },
        |s| s.demand,
    );
    Run {
        drain: name_of(surveyed, place),
        kind: surveyed.kind.value,
        rim_m: receiver.at_m,
        air_gap_m: line.air_gap_m,
        nodes: line.nodes,
        segments: line.segments,
        units: units.iter().map(|u| u.tag.clone()).collect(),
        demand,
        day_kg: units
            .iter()
            .map(|u| 86_400.0 * u.water.removal_kg_per_s)
            .sum(),
        end_trap: surveyed.end_trap.value,
    }
}

/// The vent that a unit's trap needs.
fn vent(unit: &UnitDrain, runs: &[Run]) -> Option<Vent> {
    let way = unit.way.as_ref()?;
    let run = runs.get(way.run)?;
    unit.trap?;
    let why = if run.air_gap_m.is_none() {
        VentReason::ClosedDrain
    } else if 1 < run.units.len() {
        VentReason::SharedLine
    } else if LONG_LINE_M < way.length_m {
        VentReason::LongLine
    } else {
        return None;
    };
    Some(Vent {
        why,
        top_m: unit.outlet_invert_m + VENT_OVER_OUTLET_M,
    })
}

pub(crate) fn place_of(tag: &str) -> Place {
    Place::new(tag.to_owned())
}

/// The highest that a pump may lift to in a room of this height \[m\].
pub(crate) const fn highest_lift_m(height_m: f64) -> f64 {
    height_m - UNDER_CEILING_M
}

#[cfg(test)]
mod tests {
    use super::checks::bench::{DRAIN, UNIT, bench};

    #[test]
    fn an_inlet_duct_deepens_the_trap_of_a_draw_through_cabinet() {
        let duct = |side: &str| {
            format!(
                "[[duct]]\nunit = \"D1\"\nside = \"{side}\"\nlength = \"10 m\"\ndiameter = \"300 mm\"\n"
            )
        };
        let plain = bench(&[UNIT, DRAIN]);
        let drop_m = |b: &super::checks::bench::Bench| b.drain.units[0].trap.unwrap().built.drop_m;
        let inlet = bench(&[UNIT, DRAIN, &duct("inlet")]);
        let pan = inlet.drain.units[0].pan;
        assert!(5.0 < pan.ducts_pa, "{}", pan.ducts_pa);
        // A millimetre of water is 9.80665 Pa.
        let more_m = drop_m(&inlet) - drop_m(&plain);
        assert!((more_m - pan.ducts_pa / 9806.65).abs() < 1e-4, "{more_m}");
        let outlet = bench(&[UNIT, DRAIN, &duct("outlet")]);
        assert!((drop_m(&outlet) - drop_m(&plain)).abs() < 1e-9);
    }
}

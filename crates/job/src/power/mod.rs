//! Step: what feeds the units.
//!
//! Supply against plate, protective device, conductor, voltage drop along the
//! route, disconnect, panel schedule, and what happens when the supply comes
//! back. NEC by default, IEC 60364 by choice. Codes are adopted and amended
//! locally: every figure is a default that the authority, the plate and a
//! licensed electrician overrule.

mod checks;
pub mod conductor;
pub mod device;
mod generator;
pub mod motor;
mod parts;
pub mod restart;
pub mod route;
pub mod schedule;
mod space;
pub mod supply;
mod workings;

use equipment::{Body, Catalog, Plate};
use quantity::{Finding, Working};
use room::{Circuit, Connection, Panel, Room, Staging, Surroundings, Unit, WiringRules};

use crate::error::JobError;
use crate::geometry::{Cuboid, Point, distance_m};
use crate::parts::Part;
use crate::placement::{PlacedUnit, Placement};

pub(crate) use checks::{generator_findings, panel_findings};
use conductor::{Ampacity, Conditions, Phases, Size};
pub use generator::GeneratorStart;
pub(crate) use generator::generator_start;
use restart::{Event, Starter};
use route::Disconnect;
use schedule::{PanelSchedule, UnitLoad};
use supply::{Hookup, Supply};
pub(crate) use workings::unbalance_working;

/// What this step found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Power {
    /// A circuit for each unit, in the order of the placement.
    pub branches: Vec<Branch>,
    /// Panels that feed units, in the order of the room file.
    pub panels: Vec<PanelSchedule>,
    /// What happens when the supply comes back, by panel.
    pub restarts: Vec<Restart>,
    /// What a start does to the generator, if there is one.
    pub generator: Option<GeneratorStart>,
    /// What to buy for it.
    pub parts: Vec<Part>,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
}

/// The circuit of a unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Branch {
    /// Tag of the unit.
    pub tag: String,
    /// Code of its model.
    pub model: String,
    /// Its electrical plate.
    pub plate: Plate,
    /// Name of its panel; `None`: no panel is there.
    pub panel: Option<String>,
    /// What the panel gives, or what the plate asks where there is none.
    pub supply: Supply,
    /// How it sits on the panel.
    pub hookup: Hookup,
    /// Protective device \[A\].
    pub device_a: f64,
    /// Conductor; the largest offered where none carries the circuit.
    pub size: Size,
    /// Its ampacity where it lies.
    pub ampacity: Ampacity,
    /// Current that the conductor must carry \[A\].
    pub needed_a: f64,
    /// Why it has this size.
    pub sized_by: SizedBy,
    /// Equipment grounding or protective conductor, by its trade size; `None`
    /// beyond the tables.
    pub ground: Option<&'static str>,
    /// Live conductors, a neutral among them where one is needed.
    pub conductors: u32,
    /// Where it runs; `None` without a panel.
    pub run: Option<Run>,
    /// How the unit is connected.
    pub connection: Connection,
    /// Where it is switched off; a plug serves for a cord.
    pub disconnect: Disconnect,
    /// Length of the cord, where it has one \[m\].
    pub cord_m: Option<f64>,
    /// Protection against faults to ground.
    pub ground_fault: GroundFault,
    /// Legs of the panel.
    pub legs: Vec<usize>,
    /// Current while it starts \[A\].
    pub locked_rotor_a: f64,
    /// From power-up to start, of its own control \[s\].
    pub restart_s: f64,
}

/// The way of a circuit.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Corners from the panel to the unit \[m\].
    pub route_m: Vec<Point>,
    /// Length along them \[m\].
    pub length_m: f64,
    /// The same with bends and tails, one way \[m\].
    pub conductor_m: f64,
    /// Voltage drop at full load \[V\].
    pub drop_v: f64,
    /// The same over the supply's voltage.
    pub drop: f64,
}

/// What a conductor was sized by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SizedBy {
    /// The current that it must carry.
    Current,
    /// The voltage drop.
    Drop,
}

/// Protection against faults to ground.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum GroundFault {
    /// Not asked for.
    None,
    /// Class A, trips at 4 to 6 mA (UL 943).
    ClassA,
    /// Residual current device, 30 mA.
    Residual30,
}

/// What happens on a panel when the supply comes back.
#[derive(Clone, Debug, PartialEq)]
pub struct Restart {
    /// Name of the panel.
    pub panel: String,
    /// Starts as they are, by time.
    pub events: Vec<Event>,
    /// Greatest current of a leg then \[A\].
    pub peak_a: f64,
    /// Starts one after the other.
    pub staggered: Vec<Event>,
    /// Greatest current of a leg then \[A\].
    pub staggered_peak_a: f64,
    /// Time between starts that keeps them apart \[s\].
    pub apart_s: f64,
    /// What starts do to the voltage; `None`: what the panel gives into a short
    /// circuit was not surveyed.
    pub dip: Option<SupplyDip>,
}

/// What starts do to the voltage at a panel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SupplyDip {
    /// Current into a short circuit there \[A\].
    pub fault_a: f64,
    /// Greatest current of rotors that start together, added as numbers over
    /// all legs, which is never too low \[A\].
    pub together_a: f64,
    /// Dip then, 0 to 1.
    pub together: f64,
    /// Dip with the largest unit starting alone, 0 to 1.
    pub one: f64,
}

impl Branch {
    /// One phase or three.
    pub const fn phases(&self) -> Phases {
        Phases::of(self.plate.phases)
    }

    /// Apparent power of its start \[VA\].
    pub fn start_va(&self) -> f64 {
        self.phases().power_factor() * self.hookup.volts * self.locked_rotor_a
    }

    /// Apparent power while it runs \[VA\].
    pub fn running_va(&self) -> f64 {
        self.phases().power_factor() * self.hookup.volts * self.plate.full_load_a
    }
}

/// The rules in words, with their edition.
pub const fn edition(rules: WiringRules) -> &'static str {
    match rules {
        WiringRules::Nec2023 => "NFPA 70 (NEC), 2023 edition",
        WiringRules::Iec60364 => "IEC 60364 (4-41:2005, 5-52:2009, 5-54:2011)",
    }
}

/// Plans this step for the units in their places.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn feed(room: &Room, catalog: &Catalog, placement: &Placement) -> Result<Power, JobError> {
    let rules = room.wiring.rules.value;
    let mut power = Power::default();
    let mut cabinets = Vec::new();
    for unit in &placement.units {
        let body = unit.record(catalog)?.body;
        cabinets.push((unit.tag.clone(), unit.frame.cabinet(&body)));
    }
    for (i, unit) in placement.units.iter().enumerate() {
        let model = unit.record(catalog)?;
        let others: Vec<Cuboid> = cabinets
            .iter()
            .enumerate()
            .filter(|(j, _)| *j != i)
            .map(|(_, (_, cabinet))| *cabinet)
            .collect();
        power.branches.push(branch(
            room,
            unit,
            &Machine {
                plate: model.plate,
                body: model.body,
                restart_s: model.delays.restart_s,
            },
            &others,
        ));
    }
    for panel in &room.panels {
        let units: Vec<UnitLoad> = power
            .branches
            .iter()
            .filter(|b| b.panel.as_deref() == Some(panel.name.value.as_str()))
            .map(|b| UnitLoad {
                tag: b.tag.clone(),
                poles: b.hookup.poles,
                full_load_a: b.plate.full_load_a,
                device_a: b.device_a,
            })
            .collect();
        let Some(supply) = power
            .branches
            .iter()
            .find(|b| b.panel.as_deref() == Some(panel.name.value.as_str()))
            .map(|b| b.supply)
        else {
            continue;
        };
        let circuits: Vec<&Circuit> = room
            .circuits
            .iter()
            .filter(|c| c.panel.value == panel.name.value)
            .collect();
        let mut made = schedule::schedule(panel, supply, &circuits, &units);
        made.working_space = space::before(room, panel, supply.to_ground_v, &cabinets);
        for b in &mut power.branches {
            if b.panel.as_deref().is_some_and(|name| made.is(name))
                && let Some(row) = made.row(&b.tag)
            {
                b.legs.clone_from(&row.legs);
            }
        }
        power.panels.push(made);
    }
    power.restarts = restarts(room, &power);
    power.generator = generator::of_room(room, &power);
    power.parts = parts::parts(rules, &power);
    power.workings = workings::workings(room, &power);
    power.findings = checks::findings(room, &power);
    Ok(power)
}

/// What a circuit needs of a record.
struct Machine {
    plate: Plate,
    body: Body,
    restart_s: f64,
}

/// The unit of the room file with this tag.
fn surveyed<'a>(room: &'a Room, tag: &str) -> Option<&'a Unit> {
    room.units.iter().find(|u| u.tag.value == tag)
}

/// The panel that a unit names; else, of those that fit its plate, the nearest;
/// else the nearest. `None` where there is none, or none of that name.
fn panel_for<'a>(room: &'a Room, tag: &str, plate: &Plate, face_m: Point) -> Option<&'a Panel> {
    if let Some(name) = surveyed(room, tag).and_then(|u| u.panel.as_ref()) {
        return room.panels.iter().find(|p| p.name.value == name.value);
    }
    let rules = room.wiring.rules.value;
    let nearest = |fitting: bool| {
        room.panels
            .iter()
            .filter(|p| {
                let supply = supply::supply(p, plate, rules);
                !fitting || fits(&supply, plate)
            })
            .min_by(|a, b| {
                distance_m(a.at_m.value, face_m).total_cmp(&distance_m(b.at_m.value, face_m))
            })
    };
    nearest(true).or_else(|| nearest(false))
}

/// Whether voltage, phases and frequency suit.
fn fits(supply: &Supply, plate: &Plate) -> bool {
    let hookup = supply::hookup(supply, plate);
    let off = (hookup.volts / hookup.rated_v - 1.0).abs();
    off <= supply::VOLTAGE_TOLERANCE + 1e-9
        && (plate.phases != 3 || supply.phases == 3)
        && (supply.hertz - plate.hertz).abs() < 1.0
}

fn branch(room: &Room, unit: &PlacedUnit, machine: &Machine, others: &[Cuboid]) -> Branch {
    let wiring = &room.wiring;
    let rules = wiring.rules.value;
    let plate = machine.plate;
    let face_m = unit.frame.face_m(&machine.body, machine.body.panel);
    let panel = panel_for(room, &unit.tag, &plate, face_m);
    let supply = panel.map_or_else(
        || Supply {
            volts: plate.volts,
            phases: plate.phases,
            to_ground_v: supply::usual_to_ground_v(plate.volts, plate.phases, rules),
            hertz: plate.hertz,
            legs: if plate.phases == 3 { 3 } else { 2 },
        },
        |p| supply::supply(p, &plate, rules),
    );
    let hookup = supply::hookup(&supply, &plate);
    let device_a = device::for_plate_a(rules, plate.min_circuit_a, plate.max_protection_a);
    let disconnect = route::disconnect(room, face_m, others);
    let connection = wiring.connection.value;
    let (stops, cord_m) = match connection {
        Connection::HardWired => (vec![disconnect.at_m, face_m], None),
        Connection::Cord => {
            // A receptacle over the unit, under the ceiling.
            let high_m = route::run_height_m(room, &[face_m]);
            let cord_m = high_m - face_m[2] + CORD_SLACK_M;
            (vec![[face_m[0], face_m[1], high_m]], Some(cord_m))
        }
    };
    let way = panel.map(|p| {
        let mut all = vec![p.at_m.value];
        all.extend(stops);
        let route_m = route::through(room, &all);
        let length_m = route::length_m(&route_m);
        (route_m, length_m, route::conductor_m(length_m))
    });
    let needed_a = match rules {
        WiringRules::Nec2023 => plate.min_circuit_a,
        WiringRules::Iec60364 => device_a,
    };
    let at = Conditions {
        rules,
        insulation_c: wiring.insulation_c.value,
        terminals_c: wiring.terminals_c.value,
        ambient_c: wiring.ambient_c.value,
        together: wiring.conductors_together.value,
    };
    let phases = Phases::of(plate.phases);
    let drop_v = |size: &Size| {
        way.as_ref().map_or(0.0, |(_, _, conductor_m)| {
            conductor::voltage_drop_v(phases, *conductor_m, plate.full_load_a, size.ohm_per_m)
        })
    };
    let sizes = conductor::sizes(rules);
    let carries = |size: &&Size| needed_a <= conductor::ampacity(size, at).allowed_a + 1e-9;
    let largest = sizes[sizes.len() - 1];
    let by_current = sizes.iter().find(carries).copied().unwrap_or(largest);
    let size = sizes
        .iter()
        .find(|s| carries(s) && drop_v(s) <= wiring.max_drop.value * hookup.volts)
        .copied()
        .unwrap_or(largest);
    let run = way.as_ref().map(|(route_m, length_m, conductor_m)| Run {
        route_m: route_m.clone(),
        length_m: *length_m,
        conductor_m: *conductor_m,
        drop_v: drop_v(&size),
        drop: drop_v(&size) / hookup.volts,
    });
    Branch {
        tag: unit.tag.clone(),
        model: unit.model.clone(),
        plate,
        panel: panel.map(|p| p.name.value.clone()),
        supply,
        hookup,
        device_a,
        size,
        ampacity: conductor::ampacity(&size, at),
        needed_a,
        sized_by: if size == by_current {
            SizedBy::Current
        } else {
            SizedBy::Drop
        },
        ground: ground(rules, device_a, size.area_mm2 / by_current.area_mm2, &size),
        conductors: match hookup.poles {
            1 => 2,
            poles => poles,
        },
        run,
        connection,
        disconnect,
        cord_m,
        ground_fault: ground_fault(room, &hookup, &plate, device_a),
        legs: Vec::new(),
        locked_rotor_a: motor::locked_rotor_a(&plate),
        restart_s: machine.restart_s,
    }
}

/// Cord beside the straight way from receptacle to unit \[m\].
///
/// **Assumed** a drip loop.
const CORD_SLACK_M: f64 = 0.3;

/// Size of the grounding conductor. NEC: by the device, larger in the measure
/// in which the phases are (250.122(B)); IEC: as the phases up to 16 mm².
fn ground(rules: WiringRules, device_a: f64, enlarged: f64, phase: &Size) -> Option<&'static str> {
    match rules {
        WiringRules::Iec60364 => Some(phase.name),
        WiringRules::Nec2023 => {
            let least = format!("{} AWG", device::ground_awg(device_a)?);
            let sizes = conductor::sizes(rules);
            let area_mm2 = sizes.iter().find(|s| s.name == least)?.area_mm2;
            // Never larger than the phases need be (250.122(A)).
            let asked_mm2 = (area_mm2 * enlarged).min(phase.area_mm2);
            sizes
                .iter()
                .find(|s| asked_mm2 <= s.area_mm2 + 1e-6)
                .map(|s| s.name)
        }
    }
}

/// Protection against faults to ground that the rules ask for: NEC 210.8(B)
/// for receptacles where it is damp, IEC 60364-4-41 for socket outlets to 32 A.
fn ground_fault(room: &Room, hookup: &Hookup, plate: &Plate, device_a: f64) -> GroundFault {
    let wiring = &room.wiring;
    if wiring.connection.value != Connection::Cord {
        return GroundFault::None;
    }
    match wiring.rules.value {
        WiringRules::Iec60364 if device_a <= 32.0 => GroundFault::Residual30,
        WiringRules::Nec2023
            if wiring.surroundings.value != Surroundings::Dry
                && hookup.to_ground_v <= 150.0
                && device_a <= if plate.phases == 3 { 100.0 } else { 50.0 } =>
        {
            GroundFault::ClassA
        }
        _ => GroundFault::None,
    }
}

/// Whether a controller steps this unit.
fn is_stepped(room: &Room, tag: &str) -> bool {
    room.control.staging.value == Staging::Step
        && room
            .controllers
            .iter()
            .any(|c| c.serves.is_empty() || c.serves.iter().any(|t| t.value == tag))
}

/// When each unit of these starts: its own delay, or in step where a controller
/// steps it.
fn starters<'a>(room: &Room, branches: impl Iterator<Item = &'a Branch>) -> Vec<Starter> {
    let mut stepped = 0;
    branches
        .map(|b| {
            let at_s = if is_stepped(room, &b.tag) {
                let first_s = b.restart_s.max(room.control.power_up_delay_s.value);
                stepped += 1;
                first_s + f64::from(stepped - 1) * room.control.stage_delay_s.value
            } else {
                b.restart_s
            };
            Starter {
                tag: b.tag.clone(),
                at_s,
                locked_rotor_a: b.locked_rotor_a,
                full_load_a: b.plate.full_load_a,
                legs: b.legs.clone(),
            }
        })
        .collect()
}

fn apart_s(room: &Room) -> f64 {
    if room.generator.is_some() {
        restart::STAGGER_GENERATOR_S
    } else {
        restart::STAGGER_UTILITY_S
    }
}

fn peak_a(events: &[Event]) -> f64 {
    events.iter().map(|e| e.peak_a).fold(0.0, f64::max)
}

fn restarts(room: &Room, power: &Power) -> Vec<Restart> {
    let (all, apart_s) = starters_of(room, power);
    power
        .panels
        .iter()
        .map(|panel| restart_of(panel, &all, apart_s))
        .collect()
}

/// When each unit of a room starts after an outage, and the time between
/// starts that keeps them apart \[s\].
pub(crate) fn starters_of(room: &Room, power: &Power) -> (Vec<Starter>, f64) {
    (starters(room, power.branches.iter()), apart_s(room))
}

/// What happens on a panel when the supply comes back to those that are on it.
pub(crate) fn restart_of(panel: &PanelSchedule, all: &[Starter], apart_s: f64) -> Restart {
    let on_it: Vec<Starter> = all
        .iter()
        .filter(|s| panel.row(&s.tag).is_some())
        .cloned()
        .collect();
    let mut base_a = [0.0; 3];
    for row in &panel.rows {
        if let schedule::RowKind::Other(_) = row.kind {
            for leg in &row.legs {
                base_a[*leg] += row.current_a;
            }
        }
    }
    let events = restart::events(&on_it, apart_s, &base_a);
    let apart = restart::staggered(&on_it, apart_s);
    let staggered = restart::events(&apart, apart_s, &base_a);
    let dip = panel
        .fault_a
        .map(|fault_a| supply_dip(fault_a, &events, &on_it));
    Restart {
        panel: panel.name.clone(),
        peak_a: peak_a(&events),
        events,
        staggered_peak_a: peak_a(&staggered),
        staggered,
        apart_s,
        dip,
    }
}

/// What starts on a panel do to its voltage.
fn supply_dip(fault_a: f64, events: &[Event], starters: &[Starter]) -> SupplyDip {
    let rotor_a = |event: &Event| -> f64 {
        let start = |s: &&Starter| event.tags.contains(&s.tag);
        let starting = starters.iter().filter(start);
        starting.map(|s| s.locked_rotor_a).sum()
    };
    let together_a = events.iter().map(rotor_a).fold(0.0, f64::max);
    let one_a = starters
        .iter()
        .map(|s| s.locked_rotor_a)
        .fold(0.0, f64::max);
    SupplyDip {
        fault_a,
        together_a,
        together: restart::utility_dip(together_a, fault_a),
        one: restart::utility_dip(one_a, fault_a),
    }
}

//! Step: what tells the units to run.
//!
//! Controllers are given to units, terminals are joined by their names, cables
//! are ordered, measured and sized, and setpoints are read from the targets.
//! What differs between machines comes from their records alone.

mod as_wired;
mod assign;
mod chain;
mod checks;
mod join;
mod parts;
mod read_wiring;
mod settings;
mod wires;

use equipment::{Catalog, ControlFamily, Terminal};
use quantity::{Finding, Working};
use room::Room;

use crate::error::JobError;
use crate::geometry::Point;
use crate::parts::Part;
use crate::placement::Placement;
use crate::settable::coarsest;

pub use as_wired::check_as_wired;
pub use assign::{Assignment, ChosenBy, Served};
pub use chain::{MAKE_UP_M, cable_length_m, least_cable};
pub use read_wiring::{WiringFault, read_as_wired};
pub use settings::{Moved, Setting};
pub use wires::{
    CABLE_C, GAUGES, ground_shift_v, longest_cable_m, resistance_ohm_per_m, thinnest_gauge,
    wire_diameter_m,
};

/// What a device of the control wiring is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DeviceKind {
    /// Controller on a wall.
    Controller,
    /// Unit.
    Unit,
    /// Float switch against overflow, by the installer.
    FloatSwitch,
}

/// Whether a device feeds its bus or is fed by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Supply {
    /// It feeds the bus.
    Gives,
    /// It is fed.
    Takes,
}

/// A device with terminals.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Tag on the drawings.
    pub tag: String,
    /// What it is.
    pub kind: DeviceKind,
    /// Code of its record; empty for a float switch.
    pub model: String,
    /// Family of a unit.
    pub family: Option<ControlFamily>,
    /// Where its terminals are \[m\].
    pub at_m: Point,
    /// Whether it feeds a bus.
    pub supply: Supply,
    /// Terminals in the order of the record.
    pub terminals: Vec<Terminal>,
    /// What to do at set-up, in order, from the record.
    pub set_up: Vec<String>,
}

impl Device {
    /// Its terminal with a mark.
    pub fn terminal(&self, mark: &str) -> Option<&Terminal> {
        self.terminals.iter().find(|t| t.mark == mark)
    }
}

/// A terminal of a device.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct End {
    /// Tag of the device.
    pub device: String,
    /// Mark of the terminal.
    pub terminal: String,
}

impl End {
    /// The terminal `terminal` of `device`.
    pub fn new(device: impl Into<String>, terminal: impl Into<String>) -> Self {
        Self {
            device: device.into(),
            terminal: terminal.into(),
        }
    }

    /// As it stands in a list: "D1:V+".
    pub fn words(&self) -> String {
        format!("{}:{}", self.device, self.terminal)
    }
}

/// Terminals that are one electrically.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Net {
    /// Number of its wires.
    pub number: u32,
    /// Circuit that it belongs to.
    pub circuit: u32,
    /// What it carries.
    pub signal: &'static str,
    /// Its terminals, in the order of landing.
    pub ends: Vec<End>,
}

/// One conductor.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wire {
    /// Number of its net.
    pub net: u32,
    /// What it carries.
    pub signal: &'static str,
    /// First end.
    pub from: End,
    /// Second end.
    pub to: End,
    /// Tag of its cable.
    pub cable: String,
}

/// What a cable is for; decides what it is made of and how far it may reach.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CableUse {
    /// Supply and data of a bus, two twisted pairs.
    Bus,
    /// Powered pair, one twisted pair.
    Pair,
    /// Run circuit through a dry contact.
    Contact,
    /// 0 to 10 V, screened pair.
    Signal,
    /// Alarm contact.
    Alarm,
    /// Float switch.
    Float,
}

impl CableUse {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Bus => "two twisted pairs",
            Self::Pair => "twisted pair",
            Self::Contact => "pair, run contact",
            Self::Signal => "screened pair",
            Self::Alarm => "pair, alarm",
            Self::Float => "pair, float switch",
        }
    }
}

/// A cable between two devices.
#[derive(Clone, Debug, PartialEq)]
pub struct Cable {
    /// Tag.
    pub tag: String,
    /// What it is for.
    pub of: CableUse,
    /// First device.
    pub from: String,
    /// Second device.
    pub to: String,
    /// Length with make-up \[m\].
    pub length_m: f64,
    /// Conductors in use.
    pub cores: u32,
    /// American gauge of its conductors.
    pub gauge: u32,
    /// Number of its line, in [`Control::lines`].
    pub line: usize,
}

/// Cables one after the other that carry one current, sized together.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Place in words ("bus of C1").
    pub name: String,
    /// What it is for.
    pub of: CableUse,
    /// Length that carries the supply \[m\].
    pub length_m: f64,
    /// Mean current over that length \[A\]; `None`: no record says.
    pub current_a: Option<f64>,
    /// Voltage \[V\]; `None`: no record says.
    pub voltage_v: Option<f64>,
    /// Drop that is allowed \[V\].
    pub allowed_v: Option<f64>,
    /// Drop out and back at the chosen gauge \[V\].
    pub drop_v: Option<f64>,
    /// Longest cable of that gauge \[m\].
    pub longest_m: Option<f64>,
    /// Gauge.
    pub gauge: u32,
    /// Devices in the order of the cable.
    pub order: Vec<String>,
}

/// A terminal that the wiring needs and the record does not have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unmatched {
    /// Device without it.
    pub device: String,
    /// What is not there ("data +").
    pub role: &'static str,
}

/// What this step found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Control {
    /// Which controller serves which units.
    pub assignment: Assignment,
    /// Everything with terminals: controllers, units, float switches.
    pub devices: Vec<Device>,
    /// Net list.
    pub nets: Vec<Net>,
    /// Conductors.
    pub wires: Vec<Wire>,
    /// Cables.
    pub cables: Vec<Cable>,
    /// Lines that were sized.
    pub lines: Vec<Line>,
    /// Terminals that are missing.
    pub unmatched: Vec<Unmatched>,
    /// Units whose float switch has no terminals.
    pub float_homeless: Vec<String>,
    /// Units whose alarm nobody watches.
    pub alarms_unwatched: Vec<String>,
    /// Setpoints by period.
    pub settings: Vec<Setting>,
    /// Where the sensor hangs \[m\].
    pub sensor_m: Point,
    /// Where the sensor hangs, in words.
    pub sensor_place: String,
    /// What to buy for it.
    pub parts: Vec<Part>,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
}

impl Control {
    /// A device by its tag.
    pub fn device(&self, tag: &str) -> Option<&Device> {
        self.devices.iter().find(|d| d.tag == tag)
    }

    /// Tag of the controller that serves a unit; `None`: its own humidistat, or
    /// nobody.
    pub fn controller_of(&self, unit: &str) -> Option<&str> {
        let mut served = self.assignment.served.iter();
        let of = served.find(|s| s.units.iter().any(|u| u == unit))?;
        Some(&of.controller)
    }

    /// The net of a terminal.
    pub fn net_of(&self, device: &str, terminal: &str) -> Option<&Net> {
        self.nets.iter().find(|n| {
            n.ends
                .iter()
                .any(|e| e.device == device && e.terminal == terminal)
        })
    }

    /// Every wire as an as-wired list that is right.
    pub fn as_designed(&self) -> Vec<(String, String)> {
        self.wires
            .iter()
            .map(|w| (w.from.words(), w.to.words()))
            .collect()
    }
}

/// Plans this step for the units in their places.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn wire(room: &Room, catalog: &Catalog, placement: &Placement) -> Result<Control, JobError> {
    let (assignment, controllers) = assign::assign(room, catalog, placement)?;
    let mut control = join::join(room, catalog, placement, &assignment, controllers)?;
    control.assignment = assignment;
    control.settings = settings::settings(room, step(catalog, placement, &control)?);
    control.sensor_m = placement.sensor_m;
    control
        .sensor_place
        .clone_from(&room.control.sensor_place.value);
    control.workings = workings(&control);
    control.parts = parts::parts(&control);
    control.findings = checks::findings(room, catalog, &control);
    Ok(control)
}

/// The coarsest step at which a humidity is set: on units with a humidistat of
/// their own, and on controllers.
fn step(
    catalog: &Catalog,
    placement: &Placement,
    control: &Control,
) -> Result<Option<f64>, JobError> {
    let units: Vec<_> = placement
        .units
        .iter()
        .map(|u| u.record(catalog))
        .collect::<Result<_, _>>()?;
    let served = control.assignment.served.iter();
    let controllers = served.filter_map(|s| catalog.controllers.get(&s.model));
    Ok(coarsest(units.into_iter(), controllers))
}

fn workings(control: &Control) -> Vec<Working> {
    let mut workings = Vec::new();
    for line in &control.lines {
        let Some(current_a) = line.current_a else {
            continue;
        };
        workings.push(wires::drop_working(
            &line.name,
            line.gauge,
            line.length_m,
            current_a,
        ));
        if line.of == CableUse::Bus {
            workings.push(wires::shift_working(
                &line.name,
                line.gauge,
                line.length_m,
                current_a,
            ));
        }
    }
    workings
}

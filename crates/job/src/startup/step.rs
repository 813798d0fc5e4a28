//! One step of a start-up.

use quantity::{Place, Text};

use super::accept::Acceptance;
use super::ask::Entry;
use super::hazards::Hazard;

/// What a step is about; the same for every unit that has it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// How the unit came and how long it has stood.
    Delivered,
    /// Plate against circuit.
    Nameplate,
    /// Rods or stand.
    Carried,
    /// Level both ways.
    Level,
    /// Trap to its dimensions.
    Trap,
    /// Trap primed.
    Prime,
    /// Drain takes a bucket.
    DrainFlow,
    /// Pump and its alarm.
    Pump,
    /// Filter in.
    Filter,
    /// Volts at the unit.
    Volts,
    /// Control conductors pulled and matched.
    ControlWires,
    /// Unit on.
    PowerOn,
    /// Direction of rotation.
    Rotation,
    /// Set-up by the record.
    SetUp,
    /// Setpoint below what the room has.
    Call,
    /// Wait out the delay.
    Delay,
    /// It runs.
    Running,
    /// Amps.
    Amps,
    /// Air in and out.
    Air,
    /// Condensate timed.
    Condensate,
    /// Overflow switch stops the unit.
    Overflow,
    /// Restart after a power cut.
    Restart,
    /// Sensor over salts.
    SensorSalts,
    /// Sensor where it hangs.
    SensorInPlace,
    /// Units start one after the other.
    Stagger,
    /// Setpoints as designed.
    Setpoints,
    /// Hand-over.
    HandOver,
}

impl Kind {
    /// The end of a step's id.
    pub const fn slug(self) -> &'static str {
        match self {
            Self::Delivered => "delivered",
            Self::Nameplate => "nameplate",
            Self::Carried => "carried",
            Self::Level => "level",
            Self::Trap => "trap",
            Self::Prime => "prime",
            Self::DrainFlow => "drain-flow",
            Self::Pump => "pump",
            Self::Filter => "filter",
            Self::Volts => "volts",
            Self::ControlWires => "control-wires",
            Self::PowerOn => "power-on",
            Self::Rotation => "rotation",
            Self::SetUp => "set-up",
            Self::Call => "call",
            Self::Delay => "delay",
            Self::Running => "running",
            Self::Amps => "amps",
            Self::Air => "air",
            Self::Condensate => "condensate",
            Self::Overflow => "overflow",
            Self::Restart => "restart",
            Self::SensorSalts => "sensor-salts",
            Self::SensorInPlace => "sensor-in-place",
            Self::Stagger => "stagger",
            Self::Setpoints => "setpoints",
            Self::HandOver => "hand-over",
        }
    }
}

impl Kind {
    /// Whether doing it stops the unit, or pours water that it did not take
    /// out of the air: water that is caught meanwhile proves nothing.
    pub const fn spoils_a_catch(self) -> bool {
        matches!(
            self,
            Self::Prime
                | Self::DrainFlow
                | Self::Pump
                | Self::PowerOn
                | Self::Rotation
                | Self::SetUp
                | Self::Overflow
                | Self::Restart
                | Self::Stagger
        )
    }
}

/// A waiting time before a step. Whoever sees that it is over records the step
/// as done; nobody is kept waiting by it.
#[derive(Clone, Debug, PartialEq)]
pub struct Wait {
    /// How long \[s\].
    pub lasts_s: f64,
    /// From when.
    pub from: WaitFrom,
}

/// From when a waiting time counts.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WaitFrom {
    /// From when the last of these steps was done, or a timer of this step was
    /// started since.
    Steps(Vec<String>),
    /// From when somebody starts it.
    Hand,
}

/// A step.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// Its id: tag of the unit, controller or "room", a point, and the kind.
    pub id: String,
    /// Tag of the unit; `None`: the whole room's.
    pub unit: Option<String>,
    /// What it is about.
    pub kind: Kind,
    /// What to do, in a line.
    pub title: Text,
    /// Why.
    pub reason: Text,
    /// How, where the title does not say it all.
    pub how: Text,
    /// What can hurt, and what to do about it.
    pub hazards: Vec<Hazard>,
    /// What to enter.
    pub entries: Vec<Entry>,
    /// Ids of the steps that must be done or left out before.
    pub needs: Vec<String>,
    /// What it must show.
    pub acceptance: Acceptance,
    /// Waiting time before it.
    pub wait: Option<Wait>,
}

impl Step {
    /// What findings of it are about.
    pub fn place(&self) -> Place {
        match &self.unit {
            Some(tag) => Place::new(format!("unit {tag}")),
            None => match self.id.split_once('.') {
                Some(("room", _)) | None => Place::new("room"),
                Some((tag, _)) => Place::new(format!("controller {tag}")),
            },
        }
    }

    /// An entry by its id.
    pub fn entry(&self, id: &str) -> Option<&Entry> {
        self.entries.iter().find(|e| e.id == id)
    }
}

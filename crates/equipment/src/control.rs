//! How machines are told to run: families, terminals, controllers.

use crate::provenance::Provenance;

/// Family of control.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ControlFamily {
    /// Humidistat in the unit itself.
    OnBoard,
    /// Remote control on a pair that carries supply and data together.
    DataPair,
    /// Remote control on four conductors: supply and data apart.
    PoweredBus,
    /// Dry contact from any controller.
    DryContact,
    /// 0 to 10 V from any controller.
    ZeroToTenVolt,
}

/// Each family with its word in machine files.
pub const CONTROL_FAMILIES: [(ControlFamily, &str); 5] = [
    (ControlFamily::OnBoard, "on-board humidistat"),
    (ControlFamily::DataPair, "data pair"),
    (ControlFamily::PoweredBus, "powered bus"),
    (ControlFamily::DryContact, "dry contact"),
    (ControlFamily::ZeroToTenVolt, "0-10 V"),
];

impl ControlFamily {
    /// The word for it.
    pub fn word(self) -> &'static str {
        CONTROL_FAMILIES
            .iter()
            .find(|(f, _)| *f == self)
            .map_or("", |(_, w)| w)
    }

    pub(crate) fn from_word(word: &str) -> Self {
        CONTROL_FAMILIES
            .iter()
            .find(|(_, w)| *w == word)
            .map_or(Self::OnBoard, |(f, _)| *f)
    }
}

/// What a terminal is for, as far as wiring goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Role {
    /// Positive supply of a bus.
    SupplyPlus,
    /// Negative supply of a bus, its reference.
    SupplyMinus,
    /// Positive data line.
    DataPlus,
    /// Negative data line.
    DataMinus,
    /// One conductor of a powered pair without polarity.
    Pair,
    /// Positive conductor of a powered pair.
    PairPlus,
    /// Negative conductor of a powered pair.
    PairMinus,
    /// Input that a closure switches; the device itself wets it.
    ContactInput,
    /// A closure that this device gives.
    Relay,
    /// 0 to 10 V.
    Signal,
    /// Reference of 0 to 10 V.
    SignalReference,
    /// Leave to run, closed to the reference.
    Enable,
    /// 24 V, hot side.
    Hot24,
    /// 24 V, common.
    Common24,
    /// Float switch that stops the unit when it opens.
    FloatSwitch,
    /// Alarm relay.
    Alarm,
    /// Input that watches an alarm relay.
    AlarmInput,
    /// Screen of a cable.
    Screen,
}

/// Each role with its word in machine files and what it means.
pub const ROLES: [(Role, &str, &str); 18] = [
    (Role::SupplyPlus, "supply +", "positive supply of a bus"),
    (
        Role::SupplyMinus,
        "supply -",
        "negative supply of a bus, its reference",
    ),
    (Role::DataPlus, "data +", "positive data line"),
    (Role::DataMinus, "data -", "negative data line"),
    (Role::Pair, "pair", "one of a powered pair without polarity"),
    (Role::PairPlus, "pair +", "positive of a powered pair"),
    (Role::PairMinus, "pair -", "negative of a powered pair"),
    (
        Role::ContactInput,
        "contact input",
        "input that a closure switches; feed no voltage in",
    ),
    (Role::Relay, "relay", "closure that this device gives"),
    (Role::Signal, "signal", "0 to 10 V"),
    (
        Role::SignalReference,
        "signal reference",
        "reference of 0 to 10 V",
    ),
    (
        Role::Enable,
        "enable",
        "leave to run, closed to the reference",
    ),
    (Role::Hot24, "24 V", "24 V, hot side"),
    (Role::Common24, "24 V common", "24 V, common"),
    (
        Role::FloatSwitch,
        "float switch",
        "float switch that stops the unit when it opens",
    ),
    (Role::Alarm, "alarm", "alarm relay"),
    (
        Role::AlarmInput,
        "alarm input",
        "input that watches an alarm relay",
    ),
    (Role::Screen, "screen", "screen of a cable"),
];

impl Role {
    /// The word for it.
    pub fn word(self) -> &'static str {
        ROLES
            .iter()
            .find(|(r, _, _)| *r == self)
            .map_or("", |(_, w, _)| w)
    }

    pub(crate) fn from_word(word: &str) -> Option<Self> {
        ROLES
            .iter()
            .find(|(_, w, _)| *w == word)
            .map(|(r, _, _)| *r)
    }
}

/// One terminal.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Terminal {
    /// Mark at the terminal.
    pub mark: String,
    /// What it is for, in words.
    pub used_for: String,
    /// What it is for, as far as wiring goes; `None`: the record does not say.
    pub role: Option<Role>,
    /// Terminals of one group belong together, as the two sides of one relay.
    pub group: Option<String>,
}

/// Control of a unit: family, terminals, set-up.
#[derive(Clone, Debug, PartialEq)]
pub struct Control {
    /// Family.
    pub family: ControlFamily,
    /// Voltage on its field wiring \[V\], if the record says so.
    pub volts: Option<f64>,
    /// Current in its field wiring \[A\], if the record says so.
    pub current_a: Option<f64>,
    /// Steps in which its own humidistat is set, as relative humidity, 0 to 1;
    /// `None`: the record does not say.
    pub setpoint_step: Option<f64>,
    /// Terminals.
    pub terminals: Vec<Terminal>,
    /// What to do at set-up, in order.
    pub set_up: Vec<String>,
}

/// A catalogue record of a controller that is not part of a unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Controller {
    /// Plain code; the key in the catalogue.
    pub code: String,
    /// What it is, in a line.
    pub description: String,
    /// Families of unit that it can tell to run.
    pub families: Vec<ControlFamily>,
    /// Most units that it can serve.
    pub max_units: u32,
    /// Voltage that it supplies to its field wiring \[V\].
    pub supply_v: Option<f64>,
    /// Apparent power that it can supply \[VA\].
    pub supply_va: Option<f64>,
    /// Greatest voltage on its relays \[V\].
    pub contact_v: Option<f64>,
    /// Greatest current through its relays \[A\].
    pub contact_a: Option<f64>,
    /// Steps in which a humidity is set, as relative humidity, 0 to 1; `None`:
    /// the record does not say.
    pub setpoint_step: Option<f64>,
    /// Terminals.
    pub terminals: Vec<Terminal>,
    /// What to do at set-up, in order.
    pub set_up: Vec<String>,
    /// Where the figures come from.
    pub provenance: Provenance,
}

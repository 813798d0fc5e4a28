//! Cooling, heating and air movers.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{AIR_SIDES, Facing, Side, choice, given};
use crate::period::Period;

const SETPOINT: Kind = Kind::quantity(Dim::Temperature, -10.0, 50.0);
const REST: Kind = Kind::quantity(Dim::Duration, 0.0, 7200.0);

const SETPOINT_ON: Field = Field::new(
    "setpoint_lights_on",
    SETPOINT,
    Need::Optional,
    "Thermostat with lights on; left out: the target.",
);
const SETPOINT_OFF: Field = Field::new(
    "setpoint_lights_off",
    SETPOINT,
    Need::Optional,
    "Thermostat with lights off; left out: the target.",
);
const DEADBAND: Field = Field::new(
    "deadband",
    Kind::quantity(Dim::TemperatureDifference, 0.0, 10.0),
    Need::default(
        "1 K",
        Source::common_practice("deadband of a room thermostat"),
    ),
    "Whole width between switching on and off, about the setpoint.",
);

pub(crate) const COOLING: Section = Section {
    key: "cooling",
    title: "Cooling",
    help: "Each cooling machine, by catalogue model or by its numbers.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "name",
            Kind::Text,
            Need::Optional,
            "What it is called; left out: \"cooling\" and a number.",
        ),
        Field::new(
            "model",
            Kind::Text,
            Need::Optional,
            "Model in the catalogue; its data stand below the numbers given here.",
        ),
        Field::new(
            "capacity",
            Kind::quantity(Dim::Cooling, 100.0, 1e7),
            Need::Optional,
            "Gross total capacity of one, at its rating point. Needed without a model.",
        ),
        Field::new(
            "sensible_share",
            Kind::quantity(Dim::Fraction, 0.05, 1.0),
            Need::Optional,
            "Sensible share of the capacity at that point.",
        ),
        Field::new(
            "air_flow",
            Kind::quantity(Dim::AirFlow, 0.001, 1000.0),
            Need::Optional,
            "Air flow of one.",
        ),
        Field::new(
            "coil_dew_point",
            Kind::quantity(Dim::Temperature, -20.0, 30.0),
            Need::Optional,
            "Apparatus dew point of the coil.",
        ),
        Field::new(
            "bypass_factor",
            Kind::quantity(Dim::Fraction, 0.0, 0.9),
            Need::Optional,
            "Bypass factor of the coil.",
        ),
        Field::new(
            "power",
            Kind::quantity(Dim::Power, 0.0, 1e7),
            Need::Optional,
            "Electrical power of compressor and outdoor fan of one.",
        ),
        Field::new(
            "fan_power",
            Kind::quantity(Dim::Power, 0.0, 1e6),
            Need::Optional,
            "Electrical power of the indoor fan of one.",
        ),
        Field::new(
            "count",
            Kind::count(1, 200),
            Need::default("1", Source::assumed("one, where nothing was said")),
            "How many of these.",
        ),
        Field::new(
            "fan",
            Kind::Choice(CoolingFan::WORDS),
            Need::default("auto", Source::assumed("the usual thermostat setting")),
            "Whether the indoor fan stops with the compressor.",
        ),
        Field::new(
            "control",
            Kind::Choice(CoolingControl::WORDS),
            Need::default("on-off", Source::assumed("a single-speed machine")),
            "How it meets its load.",
        ),
        SETPOINT_ON,
        SETPOINT_OFF,
        DEADBAND,
        Field::new(
            "min_on",
            REST,
            Need::default(
                "3 min",
                Source::common_practice("shortest run of a compressor"),
            ),
            "Shortest run.",
        ),
        Field::new(
            "min_off",
            REST,
            Need::default(
                "3 min",
                Source::common_practice("shortest rest of a compressor"),
            ),
            "Shortest rest.",
        ),
        Field::new(
            "cycling_loss",
            Kind::quantity(Dim::Fraction, 0.0, 0.5),
            Need::Optional,
            "c of part load: run fraction = load share / (1 - c (1 - load share)); left out: the model's.",
        ),
        Field::new(
            "coil_wet_time",
            Kind::quantity(Dim::Duration, 0.0, 7200.0),
            Need::default(
                "1400 s",
                Source::memory(
                    "Henderson et al. 2003 and Shirey, Henderson and Raustad 2006: 990 to 1740 s measured on air conditioners",
                    "",
                ),
            ),
            "Water held on the wet coil, as time of rated latent cooling; it dries off under a fan that never stops.",
        ),
        Field::new(
            "condenser_air",
            Kind::Choice(AIR_SIDES),
            Need::default("outdoor", Source::assumed("the condenser stands outdoors")),
            "Where its condenser stands.",
        ),
        Field::new(
            "condenser_temperature",
            Kind::quantity(Dim::Temperature, -40.0, 60.0),
            Need::Optional,
            "Constant temperature of air or water at the condenser, in place of the design day's.",
        ),
        Field::new(
            "at",
            Kind::Point,
            Need::Optional,
            "Centre of the indoor part.",
        ),
        Field::new(
            "facing",
            Kind::Choice(Facing::WORDS),
            Need::Optional,
            "Where its discharge points.",
        ),
        Field::new(
            "first_cost",
            Kind::quantity(Dim::Money, 0.0, 1e9),
            Need::Optional,
            "First cost of one.",
        ),
    ],
};

pub(crate) const HEATING: Section = Section {
    key: "heating",
    title: "Heating",
    help: "Heat that the room can call for.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "capacity",
            Kind::quantity(Dim::Power, 0.0, 1e7),
            Need::Required,
            "Heat it can give.",
        ),
        Field::new(
            "from",
            Kind::Choice(HeatSource::WORDS),
            Need::default(
                "electric",
                Source::assumed("where nothing was said: its power is its heat"),
            ),
            "Where the heat comes from.",
        ),
        SETPOINT_ON,
        SETPOINT_OFF,
        DEADBAND,
    ],
};

pub(crate) const AIR_MOVER: Section = Section {
    key: "air_mover",
    title: "Air movers",
    help: "Circulation fans.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Optional, "What it is called."),
        Field::new(
            "power",
            Kind::quantity(Dim::Power, 0.0, 1e5),
            Need::Required,
            "Electrical power of one.",
        ),
        Field::new(
            "count",
            Kind::count(1, 10_000),
            Need::default("1", Source::assumed("one, where nothing was said")),
            "How many of these.",
        ),
        Field::new(
            "runs",
            Kind::Choice(RunsWhen::WORDS),
            Need::default("always", Source::assumed("crop rooms keep air moving")),
            "When they run.",
        ),
        Field::new(
            "air_flow",
            Kind::quantity(Dim::AirFlow, 0.0, 1000.0),
            Need::Optional,
            "Air flow of one.",
        ),
        Field::new(
            "at",
            Kind::List(&Kind::Point),
            Need::Optional,
            "Centre of each.",
        ),
        Field::new(
            "facing",
            Kind::Choice(Facing::WORDS),
            Need::Optional,
            "Where they blow.",
        ),
    ],
};

choice! {
    /// Whether the indoor fan stops with the compressor.
    CoolingFan {
        Auto = "auto", "the fan stops with the compressor";
        Continuous = "continuous", "the fan never stops";
    }
}

choice! {
    /// How cooling meets its load.
    CoolingControl {
        Ideal = "ideal", "holds the setpoint exactly; for test cases and a first look";
        OnOff = "on-off", "one speed, switched by the thermostat";
        Modulating = "modulating", "capacity follows the load";
    }
}

choice! {
    /// Where heat comes from.
    HeatSource {
        Electric = "electric", "electric resistance";
        HotWater = "hot water", "hot water or steam from elsewhere";
        Gas = "gas", "vented gas heater";
    }
}

choice! {
    /// When something runs.
    RunsWhen {
        Always = "always", "day and night";
        LightsOn = "lights on", "while the lights are on";
        LightsOff = "lights off", "while the lights are off";
    }
}

impl RunsWhen {
    /// Whether it runs in a period.
    pub fn runs_in(self, period: Period) -> bool {
        match self {
            Self::Always => true,
            Self::LightsOn => period == Period::LightsOn,
            Self::LightsOff => period != Period::LightsOn,
        }
    }
}

/// One kind of cooling machine in the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Cooling {
    /// What it is called.
    pub name: String,
    /// Model in the catalogue.
    pub model: Option<Given<String>>,
    /// Gross total capacity of one at its rating point \[W\].
    pub capacity_w: Option<Given<f64>>,
    /// Sensible share of it.
    pub sensible_share: Option<Given<f64>>,
    /// Air flow of one \[m³/s\].
    pub air_flow_m3_per_s: Option<Given<f64>>,
    /// Apparatus dew point \[°C\].
    pub coil_dew_point_c: Option<Given<f64>>,
    /// Bypass factor.
    pub bypass_factor: Option<Given<f64>>,
    /// Power of compressor and outdoor fan of one \[W\].
    pub power_w: Option<Given<f64>>,
    /// Power of the indoor fan of one \[W\].
    pub fan_power_w: Option<Given<f64>>,
    /// How many.
    pub count: Given<u32>,
    /// Habit of the indoor fan.
    pub fan: Given<CoolingFan>,
    /// How it meets its load.
    pub control: Given<CoolingControl>,
    /// Thermostat with lights on \[°C\]; `None`: the target.
    pub setpoint_lights_on_c: Option<Given<f64>>,
    /// Thermostat with lights off \[°C\]; `None`: the target.
    pub setpoint_lights_off_c: Option<Given<f64>>,
    /// Deadband, whole width \[K\].
    pub deadband_k: Given<f64>,
    /// Shortest run \[s\].
    pub min_on_s: Given<f64>,
    /// Shortest rest \[s\].
    pub min_off_s: Given<f64>,
    /// c of part load; `None`: the model's.
    pub cycling_loss: Option<Given<f64>>,
    /// Water held on the coil as time of rated latent cooling \[s\].
    pub coil_wet_time_s: Given<f64>,
    /// Where the condenser stands: outdoor or adjacent.
    pub condenser_air: Given<Side>,
    /// Constant temperature at the condenser \[°C\].
    pub condenser_temperature_c: Option<Given<f64>>,
    /// Centre of the indoor part, x, y, z \[m\].
    pub at_m: Option<Given<[f64; 3]>>,
    /// Where its discharge points.
    pub facing: Option<Given<Facing>>,
    /// First cost of one.
    pub first_cost: Option<Given<f64>>,
}

/// Heating.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Heating {
    /// Heat it can give \[W\].
    pub capacity_w: Given<f64>,
    /// Where the heat comes from.
    pub from: Given<HeatSource>,
    /// Thermostat with lights on \[°C\]; `None`: the target.
    pub setpoint_lights_on_c: Option<Given<f64>>,
    /// Thermostat with lights off \[°C\]; `None`: the target.
    pub setpoint_lights_off_c: Option<Given<f64>>,
    /// Deadband, whole width \[K\].
    pub deadband_k: Given<f64>,
}

/// Circulation fans of one kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AirMover {
    /// What it is called.
    pub name: Option<Given<String>>,
    /// Power of one \[W\].
    pub power_w: Given<f64>,
    /// How many.
    pub count: Given<u32>,
    /// When they run.
    pub runs: Given<RunsWhen>,
    /// Air flow of one \[m³/s\].
    pub air_flow_m3_per_s: Option<Given<f64>>,
    /// Centre of each, x, y, z \[m\].
    pub at_m: Vec<Given<[f64; 3]>>,
    /// Where they blow.
    pub facing: Option<Given<Facing>>,
}

impl Cooling {
    pub(crate) fn new(e: &Entry, number: usize) -> Self {
        Self {
            name: e
                .text("name")
                .map_or_else(|| format!("cooling {number}"), |g| g.value),
            model: e.text("model"),
            capacity_w: e.value("capacity"),
            sensible_share: e.value("sensible_share"),
            air_flow_m3_per_s: e.value("air_flow"),
            coil_dew_point_c: e.value("coil_dew_point"),
            bypass_factor: e.value("bypass_factor"),
            power_w: e.value("power"),
            fan_power_w: e.value("fan_power"),
            count: e.need_count("count"),
            fan: given(e.need_choice("fan"), CoolingFan::from_word),
            control: given(e.need_choice("control"), CoolingControl::from_word),
            setpoint_lights_on_c: e.value("setpoint_lights_on"),
            setpoint_lights_off_c: e.value("setpoint_lights_off"),
            deadband_k: e.need_value("deadband"),
            min_on_s: e.need_value("min_on"),
            min_off_s: e.need_value("min_off"),
            cycling_loss: e.value("cycling_loss"),
            coil_wet_time_s: e.need_value("coil_wet_time"),
            condenser_air: given(e.need_choice("condenser_air"), Side::from_word),
            condenser_temperature_c: e.value("condenser_temperature"),
            at_m: e.point("at"),
            facing: e.choice("facing").map(|w| given(w, Facing::from_word)),
            first_cost: e.value("first_cost"),
        }
    }
}

impl Heating {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            capacity_w: e.need_value("capacity"),
            from: given(e.need_choice("from"), HeatSource::from_word),
            setpoint_lights_on_c: e.value("setpoint_lights_on"),
            setpoint_lights_off_c: e.value("setpoint_lights_off"),
            deadband_k: e.need_value("deadband"),
        }
    }
}

impl AirMover {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            power_w: e.need_value("power"),
            count: e.need_count("count"),
            runs: given(e.need_choice("runs"), RunsWhen::from_word),
            air_flow_m3_per_s: e.value("air_flow"),
            at_m: e.points("at"),
            facing: e.choice("facing").map(|w| given(w, Facing::from_word)),
        }
    }
}

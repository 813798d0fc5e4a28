//! How the dehumidifiers are controlled.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{choice, given};

pub(crate) const CONTROL: Section = Section {
    key: "control",
    title: "Humidity control",
    help: "What switches the dehumidifiers, and where it measures.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "deadband",
            Kind::quantity(Dim::RelHumidityDifference, 0.0, 0.3),
            Need::default(
                "4 %RH",
                Source::common_practice("differential of a room humidistat"),
            ),
            "Whole width between switching on and off, about an rh setpoint.",
        ),
        Field::new(
            "deadband_vpd",
            Kind::quantity(Dim::VapourPressure, 0.0, 1000.0),
            Need::default("0.1 kPa", Source::assumed("about 4 %RH near 24 °C")),
            "The same about a vpd setpoint.",
        ),
        Field::new(
            "deadband_dew_point",
            Kind::quantity(Dim::TemperatureDifference, 0.0, 10.0),
            Need::default("1 K", Source::assumed("about 4 %RH near 24 °C")),
            "The same about a dew_point setpoint.",
        ),
        Field::new(
            "sensor_place",
            Kind::Text,
            Need::default(
                "middle of the canopy",
                Source::common_practice("sensor in an aspirated housing at canopy height"),
            ),
            "Where the sensor hangs, in words.",
        ),
        Field::new(
            "sensor_at",
            Kind::Point,
            Need::Optional,
            "Where the sensor hangs.",
        ),
        Field::new(
            "sensor_lag",
            Kind::quantity(Dim::Duration, 0.0, 3600.0),
            Need::default("60 s", Source::assumed("a capacitive sensor in slow air")),
            "Time constant of the sensor.",
        ),
        Field::new(
            "sensor_offset",
            Kind::quantity(Dim::RelHumidityDifference, -0.2, 0.2),
            Need::default("0 %RH", Source::assumed("a sensor that reads true")),
            "What the sensor reads less what is true.",
        ),
        Field::new(
            "power_up_delay",
            Kind::quantity(Dim::Duration, 0.0, 3600.0),
            Need::default(
                "3 min",
                Source::common_practice("compressor rest after power comes back"),
            ),
            "Wait after power comes back.",
        ),
        Field::new(
            "min_on",
            Kind::quantity(Dim::Duration, 0.0, 7200.0),
            Need::default(
                "3 min",
                Source::common_practice("shortest run of a compressor"),
            ),
            "Shortest run.",
        ),
        Field::new(
            "min_off",
            Kind::quantity(Dim::Duration, 0.0, 7200.0),
            Need::default(
                "3 min",
                Source::common_practice("shortest rest of a compressor"),
            ),
            "Shortest rest.",
        ),
        Field::new(
            "staging",
            Kind::Choice(Staging::WORDS),
            Need::default(
                "step",
                Source::assumed("starts spread over time spare the supply"),
            ),
            "Whether units start together.",
        ),
        Field::new(
            "stage_delay",
            Kind::quantity(Dim::Duration, 0.0, 7200.0),
            Need::default(
                "2 min",
                Source::assumed("long enough to see what the last unit did"),
            ),
            "Wait between one unit's start and the next, when they step.",
        ),
        Field::new(
            "anticipation",
            Kind::quantity(Dim::Duration, 0.0, 14_400.0),
            Need::default(
                "0 min",
                Source::assumed("controls that do not know the light clock"),
            ),
            "How long before lights-off all units run, to meet the night dry.",
        ),
        Field::new(
            "fan",
            Kind::Choice(FanHabit::WORDS),
            Need::default(
                "as model",
                Source::assumed("the habit that its record states"),
            ),
            "Whether a unit's fan stops with its compressor.",
        ),
    ],
};

pub(crate) const CONTROLLER: Section = Section {
    key: "controller",
    title: "Controllers",
    help: "What tells units to run, where they do not decide by themselves.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "tag",
            Kind::Text,
            Need::Required,
            "Tag on the drawings, such as \"C1\"; each its own.",
        ),
        Field::new(
            "model",
            Kind::Text,
            Need::Required,
            "Controller in the catalogue.",
        ),
        Field::new("at", Kind::Point, Need::Optional, "Where it hangs."),
        Field::new(
            "serves",
            Kind::List(&Kind::Text),
            Need::Optional,
            "Tags of its units; left out: all that it fits and that no other serves.",
        ),
    ],
};

const RH: Field = Field::new(
    "rh",
    Kind::quantity(Dim::RelHumidity, 0.0, 1.0),
    Need::Optional,
    "Relative humidity.",
);
const VPD: Field = Field::new(
    "vpd",
    Kind::quantity(Dim::VapourPressure, 0.0, 10_000.0),
    Need::Optional,
    "Vapour pressure deficit, in place of rh.",
);
const DEW_POINT: Field = Field::new(
    "dew_point",
    Kind::quantity(Dim::Temperature, -40.0, 40.0),
    Need::Optional,
    "Dew point, in place of rh.",
);

pub(crate) const CONTROL_LIGHTS_ON: Section = Section {
    key: "control.lights_on",
    title: "Humidity setpoint with lights on",
    help: "Left out: the middle of the target.",
    repeat: Repeat::Once,
    fields: &[RH, VPD, DEW_POINT],
};

pub(crate) const CONTROL_LIGHTS_OFF: Section = Section {
    key: "control.lights_off",
    title: "Humidity setpoint with lights off",
    help: "Left out: the middle of the target.",
    repeat: Repeat::Once,
    fields: &[RH, VPD, DEW_POINT],
};

choice! {
    /// Whether units start together.
    Staging {
        Step = "step", "one after the other, as needed";
        All = "all", "all at once";
    }
}

choice! {
    /// Habit of a unit's fan.
    FanHabit {
        AsModel = "as model", "as the model's record says";
        FollowsCompressor = "follows compressor", "stops with the compressor";
        Continuous = "continuous", "never stops";
    }
}

/// A humidity setpoint.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Setpoint {
    /// Relative humidity, 0 to 1.
    RelHumidity(f64),
    /// Vapour pressure deficit \[Pa\].
    VpdPa(f64),
    /// Dew point \[°C\].
    DewPointC(f64),
}

/// How the dehumidifiers are controlled.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Control {
    /// Setpoint with lights on; `None`: the middle of the target.
    pub lights_on: Option<Given<Setpoint>>,
    /// Setpoint with lights off; `None`: the middle of the target.
    pub lights_off: Option<Given<Setpoint>>,
    /// Deadband about a relative humidity, whole width, 0 to 1.
    pub deadband: Given<f64>,
    /// Deadband about a VPD \[Pa\].
    pub deadband_vpd_pa: Given<f64>,
    /// Deadband about a dew point \[K\].
    pub deadband_dew_point_k: Given<f64>,
    /// Where the sensor hangs, in words.
    pub sensor_place: Given<String>,
    /// Where the sensor hangs, x, y, z \[m\].
    pub sensor_at_m: Option<Given<[f64; 3]>>,
    /// Time constant of the sensor \[s\].
    pub sensor_lag_s: Given<f64>,
    /// What the sensor reads less what is true, relative humidity 0 to 1.
    pub sensor_offset: Given<f64>,
    /// Wait after power comes back \[s\].
    pub power_up_delay_s: Given<f64>,
    /// Shortest run \[s\].
    pub min_on_s: Given<f64>,
    /// Shortest rest \[s\].
    pub min_off_s: Given<f64>,
    /// Whether units start together.
    pub staging: Given<Staging>,
    /// Wait between starts \[s\].
    pub stage_delay_s: Given<f64>,
    /// How long before lights-off all units run \[s\].
    pub anticipation_s: Given<f64>,
    /// Habit of the units' fans.
    pub fan: Given<FanHabit>,
}

impl Control {
    pub(crate) fn new(e: &Entry, lights_on: &Entry, lights_off: &Entry) -> Self {
        Self {
            lights_on: setpoint(lights_on),
            lights_off: setpoint(lights_off),
            deadband: e.need_value("deadband"),
            deadband_vpd_pa: e.need_value("deadband_vpd"),
            deadband_dew_point_k: e.need_value("deadband_dew_point"),
            sensor_place: e.need_text("sensor_place"),
            sensor_at_m: e.point("sensor_at"),
            sensor_lag_s: e.need_value("sensor_lag"),
            sensor_offset: e.need_value("sensor_offset"),
            power_up_delay_s: e.need_value("power_up_delay"),
            min_on_s: e.need_value("min_on"),
            min_off_s: e.need_value("min_off"),
            staging: given(e.need_choice("staging"), Staging::from_word),
            stage_delay_s: e.need_value("stage_delay"),
            anticipation_s: e.need_value("anticipation"),
            fan: given(e.need_choice("fan"), FanHabit::from_word),
        }
    }
}

fn setpoint(e: &Entry) -> Option<Given<Setpoint>> {
    let rh = e.value("rh").map(|g| g.map(Setpoint::RelHumidity));
    let vpd = e.value("vpd").map(|g| g.map(Setpoint::VpdPa));
    let dew_point = e.value("dew_point").map(|g| g.map(Setpoint::DewPointC));
    rh.or(vpd).or(dew_point)
}

/// A controller.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Controller {
    /// Tag on the drawings.
    pub tag: Given<String>,
    /// Controller in the catalogue.
    pub model: Given<String>,
    /// Where it hangs \[m\].
    pub at_m: Option<Given<[f64; 3]>>,
    /// Tags of its units; empty: all that it fits and that no other serves.
    pub serves: Vec<Given<String>>,
}

impl Controller {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            tag: e.need_text("tag"),
            model: e.need_text("model"),
            at_m: e.point("at"),
            serves: e.texts("serves"),
        }
    }
}

//! What the room is to hold, by period.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Band, Dim, Given, Source};
use serde::Serialize;

use crate::crop::Crop;

const DRY_BULB: Field = Field::new(
    "dry_bulb",
    Kind::band(Dim::Temperature, -10.0, 50.0),
    Need::Optional,
    "Dry bulb, one value or a range.",
);
const RH: Field = Field::new(
    "rh",
    Kind::band(Dim::RelHumidity, 0.0, 1.0),
    Need::Optional,
    "Relative humidity; or give vpd or dew_point.",
);
const VPD: Field = Field::new(
    "vpd",
    Kind::band(Dim::VapourPressure, 0.0, 10_000.0),
    Need::Optional,
    "Vapour pressure deficit of the air, in place of rh.",
);
const DEW_POINT: Field = Field::new(
    "dew_point",
    Kind::band(Dim::Temperature, -40.0, 40.0),
    Need::Optional,
    "Dew point, in place of rh.",
);
const FIELDS: &[Field] = &[DRY_BULB, RH, VPD, DEW_POINT];

pub(crate) const TARGET: Section = Section {
    key: "target",
    title: "Targets",
    help: "How the room passes from one period to the next.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "transition_length",
            Kind::quantity(Dim::Duration, 0.0, 43_200.0),
            Need::default(
                "60 min",
                Source::assumed("the hour in which lights-off shows"),
            ),
            "How long after lights-off the transition lasts.",
        ),
        Field::new(
            "ramp_down",
            Kind::quantity(Dim::Duration, 0.0, 43_200.0),
            Need::default(
                "0 min",
                Source::assumed("the setpoint steps: the hardest case"),
            ),
            "Time in which the dry-bulb setpoint goes to the night's after lights-off.",
        ),
        Field::new(
            "ramp_up",
            Kind::quantity(Dim::Duration, 0.0, 43_200.0),
            Need::default(
                "0 min",
                Source::assumed("the setpoint steps: the hardest case"),
            ),
            "Time in which the dry-bulb setpoint goes to the day's after lights-on.",
        ),
    ],
};

pub(crate) const TARGET_LIGHTS_ON: Section = Section {
    key: "target.lights_on",
    title: "Target with lights on",
    help: "Left out: the crop stage's.",
    repeat: Repeat::Once,
    fields: FIELDS,
};

pub(crate) const TARGET_TRANSITION: Section = Section {
    key: "target.transition",
    title: "Target in the transition",
    help: "Left out: as with lights off.",
    repeat: Repeat::Once,
    fields: FIELDS,
};

pub(crate) const TARGET_LIGHTS_OFF: Section = Section {
    key: "target.lights_off",
    title: "Target with lights off",
    help: "Left out: the crop stage's; without a crop, as with lights on.",
    repeat: Repeat::Once,
    fields: FIELDS,
};

/// Humidity, in the form in which it is to be held.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Humidity {
    /// Relative humidity, 0 to 1.
    RelHumidity(Band),
    /// Vapour pressure deficit of the air \[Pa\].
    VpdPa(Band),
    /// Dew point \[°C\].
    DewPointC(Band),
}

/// Target of one period.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Target {
    /// Dry bulb \[°C\]; the setpoint is the middle of the band.
    pub dry_bulb_c: Given<Band>,
    /// Humidity; `None` where nothing is to be held.
    pub humidity: Option<Given<Humidity>>,
}

/// Targets of all periods.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Targets {
    /// Lights on.
    pub lights_on: Target,
    /// Transition.
    pub transition: Target,
    /// Lights off.
    pub lights_off: Target,
    /// Length of the transition \[s\].
    pub transition_s: Given<f64>,
    /// Dry-bulb ramp after lights-off \[s\].
    pub ramp_down_s: Given<f64>,
    /// Dry-bulb ramp after lights-on \[s\].
    pub ramp_up_s: Given<f64>,
}

/// The humidity that a section of targets says.
pub(crate) fn humidity(e: &Entry) -> Option<Given<Humidity>> {
    let rh = e.band("rh").map(|g| g.map(Humidity::RelHumidity));
    let vpd = e.band("vpd").map(|g| g.map(Humidity::VpdPa));
    let dew_point = e.band("dew_point").map(|g| g.map(Humidity::DewPointC));
    rh.or(vpd).or(dew_point)
}

/// The sections of one file that hold targets.
pub(crate) struct TargetEntries<'a> {
    pub(crate) general: &'a Entry,
    pub(crate) lights_on: &'a Entry,
    pub(crate) transition: &'a Entry,
    pub(crate) lights_off: &'a Entry,
}

impl Targets {
    /// `None` where neither the file nor a crop says a dry bulb, which is a
    /// problem that the checks have said by then.
    pub(crate) fn new(e: &TargetEntries<'_>, crop: Option<&Crop>) -> Option<Self> {
        const AS_ON: Source = Source::assumed("as with lights on");
        const AS_OFF: Source = Source::assumed("as with lights off");
        let stage = crop.map(|c| c.stage.value.targets());
        let of_stage = |pick: fn(&crate::StageTargets) -> Band| {
            stage
                .as_ref()
                .map(|s| Given::assumed(pick(s), s.source.clone()))
        };
        let stage_humidity = || of_stage(|s| s.rel_humidity).map(|g| g.map(Humidity::RelHumidity));

        let on_c = e.lights_on.band("dry_bulb");
        let off_c = e.lights_off.band("dry_bulb");
        let on_humidity = humidity(e.lights_on);
        let off_humidity = humidity(e.lights_off);

        let lights_on = Target {
            dry_bulb_c: on_c
                .or_else(|| of_stage(|s| s.day_c))
                .or_else(|| off_c.clone().map(|g| assume(g, AS_OFF)))?,
            humidity: on_humidity
                .or_else(stage_humidity)
                .or_else(|| off_humidity.clone().map(|g| assume(g, AS_OFF))),
        };
        let lights_off = Target {
            dry_bulb_c: off_c
                .or_else(|| of_stage(|s| s.night_c))
                .unwrap_or_else(|| assume(lights_on.dry_bulb_c.clone(), AS_ON)),
            humidity: off_humidity
                .or_else(stage_humidity)
                .or_else(|| lights_on.humidity.clone().map(|g| assume(g, AS_ON))),
        };
        let transition = Target {
            dry_bulb_c: e
                .transition
                .band("dry_bulb")
                .unwrap_or_else(|| assume(lights_off.dry_bulb_c.clone(), AS_OFF)),
            humidity: humidity(e.transition)
                .or_else(|| lights_off.humidity.clone().map(|g| assume(g, AS_OFF))),
        };
        Some(Self {
            lights_on,
            transition,
            lights_off,
            transition_s: e.general.need_value("transition_length"),
            ramp_down_s: e.general.need_value("ramp_down"),
            ramp_up_s: e.general.need_value("ramp_up"),
        })
    }
}

fn assume<T>(given: Given<T>, source: Source) -> Given<T> {
    Given::assumed(given.value, source)
}

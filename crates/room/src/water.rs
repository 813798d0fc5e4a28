//! Water other than from leaves: irrigation, tanks, floors, wash-down, crop
//! hung to dry.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{FROM, Hours, TO, choice, given, hours};

const AREA: Kind = Kind::quantity(Dim::Area, 0.0, 100_000.0);
const WATER_TEMPERATURE: Kind = Kind::quantity(Dim::Temperature, 0.0, 60.0);

pub(crate) const IRRIGATION: Section = Section {
    key: "irrigation",
    title: "Irrigation",
    help: "When water is given, and what bare medium then dries.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new(
            "times",
            Kind::List(&Kind::Clock),
            Need::Required,
            "When water is given, each time of day.",
        ),
        Field::new(
            "amount",
            Kind::quantity(Dim::Water, 0.0, 1e6),
            Need::Optional,
            "Water given each time, whole room.",
        ),
        Field::new(
            "medium_area",
            AREA,
            Need::default("0 m2", Source::assumed("foliage or film covers the medium")),
            "Medium that lies open to the air.",
        ),
        Field::new(
            "wet_time",
            Kind::quantity(Dim::Duration, 0.0, 172_800.0),
            Need::default(
                "30 min",
                Source::assumed("depends on the medium; watch it once"),
            ),
            "Time for which the open medium stays fully wet after each watering.",
        ),
        Field::new(
            "half_time",
            Kind::quantity(Dim::Duration, 60.0, 864_000.0),
            Need::default(
                "2 h",
                Source::assumed("depends on the medium; watch it once"),
            ),
            "Time after that in which its drying rate halves.",
        ),
    ],
};

pub(crate) const TANK: Section = Section {
    key: "tank",
    title: "Tanks",
    help: "Open water: reservoirs, deep water culture, gutters.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Required, "What it is."),
        Field::new("area", AREA, Need::Required, "Water surface."),
        Field::new(
            "temperature",
            WATER_TEMPERATURE,
            Need::Optional,
            "Water temperature; left out: follows the room.",
        ),
        Field::new(
            "covered",
            Kind::quantity(Dim::Fraction, 0.0, 1.0),
            Need::default("0 %", Source::assumed("open water")),
            "Share of the surface under a lid or rafts.",
        ),
        Field::new(
            "air_speed",
            Kind::quantity(Dim::Speed, 0.0, 5.0),
            Need::Optional,
            "Air speed over the water; left out: still.",
        ),
    ],
};

pub(crate) const WET_FLOOR: Section = Section {
    key: "wet_floor",
    title: "Wet floor",
    help: "Floor that stays wet for hours.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("area", AREA, Need::Required, "Wet area."),
        Field::new(
            "temperature",
            WATER_TEMPERATURE,
            Need::Optional,
            "Floor temperature; left out: follows the room.",
        ),
        FROM,
        TO,
    ],
};

pub(crate) const WASH_DOWN: Section = Section {
    key: "washdown",
    title: "Wash-down",
    help: "Hosing down, after which a film of water dries.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("at", Kind::Clock, Need::Required, "When it starts."),
        Field::new("area", AREA, Need::Required, "Area that gets wet."),
        Field::new(
            "film",
            Kind::quantity(Dim::WaterDepth, 0.0, 20.0),
            Need::default(
                "0.3 mm",
                Source::assumed("a swept floor holds 0.1 to 0.5 mm"),
            ),
            "Depth of water left behind.",
        ),
        Field::new(
            "duration",
            Kind::quantity(Dim::Duration, 0.0, 86_400.0),
            Need::default("15 min", Source::assumed("one person with a hose")),
            "How long the hosing takes.",
        ),
        Field::new(
            "temperature",
            WATER_TEMPERATURE,
            Need::Optional,
            "Water temperature; left out: follows the room.",
        ),
    ],
};

pub(crate) const HUNG_CROP: Section = Section {
    key: "hung_crop",
    title: "Crop hung to dry",
    help: "Harvested crop that dries in the room, by a thin-layer curve.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "wet_mass",
            Kind::quantity(Dim::Mass, 0.0, 1e6),
            Need::Required,
            "Mass when hung.",
        ),
        Field::new(
            "moisture_start",
            Kind::quantity(Dim::Fraction, 0.01, 0.98),
            Need::default(
                "78 %",
                Source::assumed("fresh leafy matter; weigh and dry a sample"),
            ),
            "Water share of the mass when hung (wet basis).",
        ),
        Field::new(
            "moisture_end",
            Kind::quantity(Dim::Fraction, 0.0, 0.95),
            Need::default(
                "11 %",
                Source::common_practice("dry enough to store, near 10 to 12 % wet basis"),
            ),
            "Water share of the mass when done (wet basis).",
        ),
        Field::new(
            "drying_time",
            Kind::quantity(Dim::Duration, 3600.0, 60.0 * 86_400.0),
            Need::default(
                "10 day",
                Source::common_practice("slow drying takes 7 to 14 days"),
            ),
            "Time from hung to done.",
        ),
        Field::new(
            "hung_for",
            Kind::quantity(Dim::Duration, 0.0, 60.0 * 86_400.0),
            Need::default("0 h", Source::assumed("the first day gives off most water")),
            "How long it has hung when the day begins.",
        ),
        Field::new(
            "model",
            Kind::Choice(DryingModel::WORDS),
            Need::default(
                "newton",
                Source::assumed("one time constant, fitted to the drying time"),
            ),
            "Shape of the thin-layer drying curve.",
        ),
        Field::new(
            "rate_constant",
            Kind::quantity(Dim::Rate, 1e-9, 1e-2),
            Need::Optional,
            "k of the curve; left out: fitted to the drying time.",
        ),
        Field::new(
            "exponent",
            Kind::quantity(Dim::Number, 0.3, 3.0),
            Need::default("1", Source::assumed("the plain exponential curve")),
            "n of the Page curve.",
        ),
        Field::new(
            "equilibrium_moisture",
            Kind::quantity(Dim::Fraction, 0.0, 0.5),
            Need::default(
                "8 %",
                Source::assumed("a little drier than done, at the target air"),
            ),
            "Water share that it would reach in the end at the target air (wet basis).",
        ),
    ],
};

choice! {
    /// Shape of the thin-layer curve of the moisture ratio MR over time t.
    DryingModel {
        Newton = "newton", "MR = exp(-k t)";
        Page = "page", "MR = exp(-(k t)^n)";
    }
}

/// Irrigation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Irrigation {
    /// Seconds of day at which water is given, in order.
    pub times_s: Vec<Given<u32>>,
    /// Water each time \[kg\].
    pub amount_kg: Option<Given<f64>>,
    /// Medium open to the air \[m²\].
    pub medium_m2: Given<f64>,
    /// Fully wet for this long \[s\].
    pub wet_time_s: Given<f64>,
    /// Then the rate halves in this time \[s\].
    pub half_time_s: Given<f64>,
}

/// Open water.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tank {
    /// What it is.
    pub name: Given<String>,
    /// Water surface \[m²\].
    pub area_m2: Given<f64>,
    /// Water temperature \[°C\]; `None`: follows the room.
    pub temperature_c: Option<Given<f64>>,
    /// Share covered.
    pub covered: Given<f64>,
    /// Air speed over it \[m/s\]; `None`: still.
    pub air_speed_m_per_s: Option<Given<f64>>,
}

/// Floor that stays wet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WetFloor {
    /// Wet area \[m²\].
    pub area_m2: Given<f64>,
    /// Floor temperature \[°C\]; `None`: follows the room.
    pub temperature_c: Option<Given<f64>>,
    /// When it is wet.
    pub hours: Hours,
}

/// Hosing down.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WashDown {
    /// Second of day when it starts.
    pub at_s: Given<u32>,
    /// Area that gets wet \[m²\].
    pub area_m2: Given<f64>,
    /// Water left behind \[kg/m²\].
    pub film_kg_per_m2: Given<f64>,
    /// How long it takes \[s\].
    pub duration_s: Given<f64>,
    /// Water temperature \[°C\]; `None`: follows the room.
    pub temperature_c: Option<Given<f64>>,
}

/// Crop hung to dry.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HungCrop {
    /// Mass when hung \[kg\].
    pub wet_mass_kg: Given<f64>,
    /// Water share when hung, wet basis.
    pub moisture_start: Given<f64>,
    /// Water share when done, wet basis.
    pub moisture_end: Given<f64>,
    /// From hung to done \[s\].
    pub drying_time_s: Given<f64>,
    /// How long it has hung when the day begins \[s\].
    pub hung_for_s: Given<f64>,
    /// Shape of the curve.
    pub model: Given<DryingModel>,
    /// k \[1/s\], or `None` to fit it to the drying time. With the Page curve
    /// t is taken in units of 1/k: MR = exp(-(k t)^n).
    pub rate_constant_per_s: Option<Given<f64>>,
    /// n of the Page curve.
    pub exponent: Given<f64>,
    /// Water share in the end at the target air, wet basis.
    pub equilibrium_moisture: Given<f64>,
}

impl Irrigation {
    pub(crate) fn new(e: &Entry) -> Self {
        let mut times_s = e.clocks("times");
        times_s.sort_by_key(|t| t.value);
        Self {
            times_s,
            amount_kg: e.value("amount"),
            medium_m2: e.need_value("medium_area"),
            wet_time_s: e.need_value("wet_time"),
            half_time_s: e.need_value("half_time"),
        }
    }
}

impl Tank {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.need_text("name"),
            area_m2: e.need_value("area"),
            temperature_c: e.value("temperature"),
            covered: e.need_value("covered"),
            air_speed_m_per_s: e.value("air_speed"),
        }
    }
}

impl WetFloor {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            area_m2: e.need_value("area"),
            temperature_c: e.value("temperature"),
            hours: hours(e),
        }
    }
}

impl WashDown {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            at_s: e.need_clock("at"),
            area_m2: e.need_value("area"),
            film_kg_per_m2: e.need_value("film"),
            duration_s: e.need_value("duration"),
            temperature_c: e.value("temperature"),
        }
    }
}

impl HungCrop {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            wet_mass_kg: e.need_value("wet_mass"),
            moisture_start: e.need_value("moisture_start"),
            moisture_end: e.need_value("moisture_end"),
            drying_time_s: e.need_value("drying_time"),
            hung_for_s: e.need_value("hung_for"),
            model: given(e.need_choice("model"), DryingModel::from_word),
            rate_constant_per_s: e.value("rate_constant"),
            exponent: e.need_value("exponent"),
            equilibrium_moisture: e.need_value("equilibrium_moisture"),
        }
    }
}

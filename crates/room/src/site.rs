//! What rooms of one job share.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source, UnitSystem};
use serde::Serialize;

use crate::read::Layers;

const TEMPERATURE: Kind = Kind::quantity(Dim::Temperature, -50.0, 60.0);
const RH: Kind = Kind::quantity(Dim::RelHumidity, 0.0, 1.0);

pub(crate) const SITE: Section = Section {
    key: "site",
    title: "Site",
    help: "What all rooms of the job share. May stand in the site file or in the room file.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "job",
            Kind::Text,
            Need::Optional,
            "Name of the job, for the title block.",
        ),
        Field::new(
            "place",
            Kind::Text,
            Need::Optional,
            "Where the site is, in words.",
        ),
        Field::new(
            "altitude",
            Kind::quantity(Dim::Length, -430.0, 4000.0),
            Need::default(
                "0 m",
                Source::assumed("sea level, where nothing was surveyed"),
            ),
            "Height above sea level; gives the barometric pressure.",
        ),
        Field::new(
            "pressure",
            Kind::quantity(Dim::Pressure, 55_000.0, 110_000.0),
            Need::Optional,
            "Barometric pressure, if it was measured; stands above altitude.",
        ),
        Field::new(
            "revision",
            Kind::Text,
            Need::Optional,
            "Revision, for the title block.",
        ),
        Field::new("date", Kind::Date, Need::Optional, "Date of the revision."),
        Field::new("surveyed_by", Kind::Text, Need::Optional, "Who surveyed."),
        Field::new(
            "currency",
            Kind::Text,
            Need::Optional,
            "Currency of prices, such as \"EUR\".",
        ),
        Field::new(
            "tariff",
            Kind::quantity(Dim::EnergyPrice, 0.0, 1e-5),
            Need::Optional,
            "Price of electricity.",
        ),
        Field::new(
            "display",
            Kind::Choice(DISPLAY),
            Need::default("metric", Source::assumed("metric, where nothing was said")),
            "Units in which results are shown; both are always read.",
        ),
        Field::new(
            "code",
            Kind::Text,
            Need::Optional,
            "Local code that governs the work, in words.",
        ),
        Field::new(
            "ground_temperature",
            TEMPERATURE,
            Need::default(
                "12 °C",
                Source::assumed("a mild climate's yearly mean; measure or look it up"),
            ),
            "Temperature of the ground under the floor.",
        ),
    ],
};

const DISPLAY: &[fields::Word] = &[
    ("metric", "metres, °C, litres, kilowatts"),
    ("us", "feet, °F, pints and gallons"),
];

/// Fields of one air state: dry bulb and one humidity.
macro_rules! air_fields {
    ($dry_bulb:literal, $rh:literal, $why:literal $(, $more:expr)*) => {&[
        Field::new(
            "dry_bulb", TEMPERATURE,
            Need::default($dry_bulb, Source::assumed($why)),
            "Dry bulb.",
        ),
        Field::new(
            "rh", RH,
            Need::default($rh, Source::assumed($why)),
            "Relative humidity; or give wet_bulb or dew_point.",
        ),
        Field::new("wet_bulb", TEMPERATURE, Need::Optional, "Wet bulb, in place of rh."),
        Field::new("dew_point", TEMPERATURE, Need::Optional, "Dew point, in place of rh."),
        $($more,)*
    ]};
}

const DAILY_RANGE: Field = Field::new(
    "daily_range",
    Kind::quantity(Dim::TemperatureDifference, 0.0, 30.0),
    Need::default(
        "0 K",
        Source::assumed("the design state all day: on the safe side"),
    ),
    "Warmest less coolest dry bulb of the day; dry_bulb is the warmest.",
);
const WARMEST_AT: Field = Field::new(
    "warmest_at",
    Kind::Clock,
    Need::default(
        "15:00",
        Source::assumed("mid afternoon; counts only with a daily range"),
    ),
    "When the day is warmest.",
);

pub(crate) const SUMMER: Section = Section {
    key: "outdoor.summer",
    title: "Outdoor air, summer design day",
    help: "The humid or hot day that the plant must still hold.",
    repeat: Repeat::Once,
    fields: air_fields!(
        "32 °C",
        "60 %",
        "a warm humid design day; look up the site's own",
        DAILY_RANGE,
        WARMEST_AT
    ),
};

pub(crate) const WINTER: Section = Section {
    key: "outdoor.winter",
    title: "Outdoor air, winter design day",
    help: "The cold day that decides heating and condensation on cold surfaces.",
    repeat: Repeat::Once,
    fields: air_fields!(
        "-5 °C",
        "80 %",
        "a cold design day; look up the site's own",
        DAILY_RANGE,
        WARMEST_AT
    ),
};

pub(crate) const ADJACENT: Section = Section {
    key: "adjacent",
    title: "Space around the room",
    help: "Air of the corridor or hall that the room's walls and doors face.",
    repeat: Repeat::Once,
    fields: air_fields!("21 °C", "50 %", "an ordinary heated hall"),
};

/// What rooms of one job share.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Site {
    /// Name of the job.
    pub job: Option<Given<String>>,
    /// Where it is.
    pub place: Option<Given<String>>,
    /// Height above sea level \[m\].
    pub altitude_m: Given<f64>,
    /// Measured barometric pressure \[Pa\]; stands above the altitude.
    pub pressure_pa: Option<Given<f64>>,
    /// Revision.
    pub revision: Option<Given<String>>,
    /// Date of the revision, year-month-day.
    pub date: Option<Given<String>>,
    /// Who surveyed.
    pub surveyed_by: Option<Given<String>>,
    /// Currency of prices.
    pub currency: Option<Given<String>>,
    /// Price of electricity \[currency per J\].
    pub tariff_per_j: Option<Given<f64>>,
    /// Units in which results are shown.
    pub display: Given<UnitSystem>,
    /// Local code that governs the work.
    pub code: Option<Given<String>>,
    /// Temperature of the ground under the floor \[°C\].
    pub ground_c: Given<f64>,
    /// Summer design day.
    pub summer: DesignDay,
    /// Winter design day.
    pub winter: DesignDay,
    /// Air of the space around the room.
    pub adjacent: AirGiven,
}

/// An air state as surveyed: dry bulb and one humidity.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AirGiven {
    /// Dry bulb \[°C\].
    pub dry_bulb_c: Given<f64>,
    /// The humidity, as it was given.
    pub humidity: Given<AirHumidity>,
}

/// A humidity of an air state.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum AirHumidity {
    /// Relative humidity, 0 to 1.
    RelHumidity(f64),
    /// Wet bulb \[°C\].
    WetBulbC(f64),
    /// Dew point \[°C\].
    DewPointC(f64),
}

/// Outdoor air of a design day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DesignDay {
    /// The state at the warmest moment.
    pub air: AirGiven,
    /// Warmest less coolest dry bulb \[K\]; 0 for a constant day.
    pub daily_range_k: Given<f64>,
    /// Second of day of the warmest moment.
    pub warmest_at_s: Given<u32>,
}

impl DesignDay {
    /// Outdoor dry bulb at a second after midnight \[°C\]: a cosine through
    /// the warmest moment with the day's range. **Assumed** shape.
    pub fn dry_bulb_at_c(&self, second_of_day: f64) -> f64 {
        let phase = (second_of_day - f64::from(self.warmest_at_s.value)) / 86_400.0;
        let swing = (std::f64::consts::TAU * phase).cos();
        self.air.dry_bulb_c.value - self.daily_range_k.value / 2.0 * (1.0 - swing)
    }
}

impl Site {
    pub(crate) fn new(layers: &Layers<'_>) -> Self {
        let site = layers.section("site");
        Self {
            job: site.pick("job").text("job"),
            place: site.pick("place").text("place"),
            altitude_m: site.pick("altitude").need_value("altitude"),
            pressure_pa: site.pick("pressure").value("pressure"),
            revision: site.pick("revision").text("revision"),
            date: site.pick("date").date("date"),
            surveyed_by: site.pick("surveyed_by").text("surveyed_by"),
            currency: site.pick("currency").text("currency"),
            tariff_per_j: site.pick("tariff").value("tariff"),
            display: site
                .pick("display")
                .need_choice("display")
                .map(|w| match w {
                    "us" => UnitSystem::Us,
                    _ => UnitSystem::Metric,
                }),
            code: site.pick("code").text("code"),
            ground_c: site
                .pick("ground_temperature")
                .need_value("ground_temperature"),
            summer: design_day(layers, "outdoor.summer"),
            winter: design_day(layers, "outdoor.winter"),
            adjacent: air(layers, "adjacent"),
        }
    }
}

fn design_day(layers: &Layers<'_>, key: &str) -> DesignDay {
    let section = layers.section(key);
    DesignDay {
        air: air(layers, key),
        daily_range_k: section.pick("daily_range").need_value("daily_range"),
        warmest_at_s: section.pick("warmest_at").need_clock("warmest_at"),
    }
}

fn air(layers: &Layers<'_>, key: &str) -> AirGiven {
    let section = layers.section(key);
    AirGiven {
        dry_bulb_c: section.pick("dry_bulb").need_value("dry_bulb"),
        humidity: air_humidity(section.pick_any(&["rh", "wet_bulb", "dew_point"])),
    }
}

/// What the file says stands above the default relative humidity.
fn air_humidity(entry: &Entry) -> Given<AirHumidity> {
    if let Some(wet_bulb) = entry.value("wet_bulb") {
        wet_bulb.map(AirHumidity::WetBulbC)
    } else if let Some(dew_point) = entry.value("dew_point") {
        dew_point.map(AirHumidity::DewPointC)
    } else {
        entry.need_value("rh").map(AirHumidity::RelHumidity)
    }
}

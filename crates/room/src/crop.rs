//! The crop that stands in the room.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Band, Dim, Given, Source};
use serde::Serialize;

use crate::choice::{choice, given};
use crate::crop_class::{CropClass, CropKind, Stage};

const RESISTANCE: Kind = Kind::band(Dim::Resistance, 5.0, 20_000.0);

pub(crate) const CROP: Section = Section {
    key: "crop",
    title: "Crop",
    help: "What grows, how much of it, and what was measured of its water.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new(
            "kind",
            Kind::Choice(CropKind::WORDS),
            Need::Required,
            "Kind of crop; sets what is assumed below.",
        ),
        Field::new(
            "stage",
            Kind::Choice(Stage::WORDS),
            Need::Optional,
            "Stage; left out: the hardest of the kind.",
        ),
        Field::new(
            "canopy",
            Kind::quantity(Dim::Area, 0.0, 100_000.0),
            Need::Optional,
            "Canopy area, all tiers together, without aisles. Must be there unless kind is \"drying room\".",
        ),
        Field::new(
            "lai",
            Kind::band(Dim::Number, 0.05, 12.0),
            Need::Optional,
            "Leaf area per canopy area; left out: the kind's.",
        ),
        Field::new(
            "coverage",
            Kind::band(Dim::Fraction, 0.0, 1.0),
            Need::Optional,
            "Share of the light that the canopy intercepts; left out: the kind's.",
        ),
        Field::new(
            "reflected",
            Kind::quantity(Dim::Fraction, 0.0, 0.5),
            Need::default(
                "5 %",
                Source::published(
                    "Graamans et al. 2017, Plant factories; crop transpiration and energy balance, Agricultural Systems 153",
                    "reflection coefficient, read second hand",
                ),
            ),
            "Share of the intercepted light that the canopy sends back.",
        ),
        Field::new(
            "leaf_size",
            Kind::quantity(Dim::Length, 0.002, 1.0),
            Need::Optional,
            "Leaf size along the air flow.",
        ),
        Field::new(
            "height",
            Kind::quantity(Dim::Length, 0.0, 15.0),
            Need::Optional,
            "Top of the canopy above the floor.",
        ),
        Field::new(
            "air_movement",
            Kind::Choice(AirMovement::WORDS),
            Need::default(
                "fans on",
                Source::assumed("crop rooms run circulation fans"),
            ),
            "Air movement at the canopy.",
        ),
        Field::new(
            "air_speed",
            Kind::quantity(Dim::Speed, 0.0, 5.0),
            Need::Optional,
            "Air speed at the canopy, if measured.",
        ),
        Field::new(
            "leaf_air_resistance",
            RESISTANCE,
            Need::Optional,
            "Leaf to air resistance; stands above air_movement.",
        ),
        Field::new(
            "night_resistance",
            RESISTANCE,
            Need::Optional,
            "Leaf resistance with lights off; left out: the kind's wide band.",
        ),
        Field::new(
            "day_resistance_factor",
            Kind::band(Dim::Number, 0.1, 10.0),
            Need::Optional,
            "Leaf resistance with lights on, as a multiple of the published light response; left out: the kind's band.",
        ),
        Field::new(
            "stomatal_lag",
            Kind::quantity(Dim::Duration, 0.0, 7200.0),
            Need::default(
                "15 min",
                Source::memory("time constant of closing leaves, 10 to 20 min", ""),
            ),
            "Time constant with which leaf resistance follows the light.",
        ),
        Field::new(
            "co2",
            Kind::quantity(Dim::Co2, 100.0, 10_000.0),
            Need::default(
                "420 ppm",
                Source::assumed("outdoor air: no enrichment gives the higher water load"),
            ),
            "Carbon dioxide with lights on.",
        ),
        Field::new(
            "water_fed",
            Kind::band(Dim::WaterRate, 0.0, 100.0),
            Need::Optional,
            "Water fed to the crop, measured over three days or more.",
        ),
        Field::new(
            "runoff",
            Kind::band(Dim::Fraction, 0.0, 0.95),
            Need::Optional,
            "Share of the water fed that drains away.",
        ),
        Field::new(
            "vapour_share",
            Kind::quantity(Dim::Fraction, 0.5, 1.0),
            Need::Optional,
            "Share of the water taken up that leaves as vapour; left out: the kind's.",
        ),
    ],
};

choice! {
    /// Air movement at the canopy.
    AirMovement {
        FansOn = "fans on", "circulation fans stir the canopy";
        FansOff = "fans off", "still air in the canopy";
    }
}

impl AirMovement {
    /// Leaf to air resistance \[s/m\].
    fn leaf_air_s_per_m(self, class: &CropClass) -> Given<Band> {
        match self {
            Self::FansOn => class.leaf_air_s_per_m.clone(),
            Self::FansOff => Given::assumed(
                Band::new(150.0, 200.0, 300.0),
                Source::published(
                    "Graamans et al. 2017, Agricultural Systems 153, read second hand",
                    "section 3.1.3: 200 s/m with fans off; spread chosen",
                ),
            ),
        }
    }
}

/// The crop.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Crop {
    /// Kind.
    pub kind: Given<CropKind>,
    /// Stage.
    pub stage: Given<Stage>,
    /// Canopy area, all tiers \[m²\].
    pub canopy_m2: Given<f64>,
    /// Leaf area per canopy area.
    pub lai: Given<Band>,
    /// Share of the light that the canopy intercepts.
    pub coverage: Given<Band>,
    /// Share of the intercepted light sent back.
    pub reflected: Given<f64>,
    /// Leaf size \[m\].
    pub leaf_size_m: Option<Given<f64>>,
    /// Top of the canopy \[m\].
    pub height_m: Option<Given<f64>>,
    /// Air movement at the canopy.
    pub air_movement: Given<AirMovement>,
    /// Air speed at the canopy \[m/s\].
    pub air_speed_m_per_s: Option<Given<f64>>,
    /// Leaf to air resistance \[s/m\].
    pub leaf_air_s_per_m: Given<Band>,
    /// Leaf resistance with lights off \[s/m\].
    pub night_resistance_s_per_m: Given<Band>,
    /// Multiple of the published light response of leaf resistance.
    pub day_resistance_factor: Given<Band>,
    /// Time constant of the leaves \[s\].
    pub stomatal_lag_s: Given<f64>,
    /// Carbon dioxide with lights on \[ppm\].
    pub co2_ppm: Given<f64>,
    /// Water fed \[kg/s\], the day's mean.
    pub water_fed_kg_per_s: Option<Given<Band>>,
    /// Share of it that drains away.
    pub runoff: Option<Given<Band>>,
    /// Share of the water taken up that leaves as vapour.
    pub vapour_share: Given<f64>,
}

impl Crop {
    pub(crate) fn new(e: &Entry) -> Self {
        const HARDEST: Source = Source::assumed("the stage of this kind that is hardest to hold");
        const NONE: Source = Source::assumed("nothing grows in a drying room");
        let kind = given(e.need_choice("kind"), CropKind::from_word);
        let class = kind.value.class();
        let stage = match e.choice("stage") {
            Some(word) => given(word, Stage::from_word),
            None => Given::assumed(class.stage, HARDEST),
        };
        let air_movement = given(e.need_choice("air_movement"), AirMovement::from_word);
        let or = |key: &str, default: &Given<Band>| e.band(key).unwrap_or_else(|| default.clone());
        Self {
            kind,
            stage,
            canopy_m2: e.value("canopy").unwrap_or(Given::assumed(0.0, NONE)),
            lai: or("lai", &class.lai),
            coverage: or("coverage", &class.coverage),
            reflected: e.need_value("reflected"),
            leaf_size_m: e.value("leaf_size"),
            height_m: e.value("height"),
            leaf_air_s_per_m: or(
                "leaf_air_resistance",
                &air_movement.value.leaf_air_s_per_m(class),
            ),
            air_movement,
            air_speed_m_per_s: e.value("air_speed"),
            night_resistance_s_per_m: or("night_resistance", &class.night_resistance_s_per_m),
            day_resistance_factor: or("day_resistance_factor", &class.day_resistance_factor),
            stomatal_lag_s: e.need_value("stomatal_lag"),
            co2_ppm: e.need_value("co2"),
            water_fed_kg_per_s: e.band("water_fed"),
            runoff: e.band("runoff"),
            vapour_share: e
                .value("vapour_share")
                .unwrap_or_else(|| class.vapour_share.clone()),
        }
    }

    /// The class of its kind.
    pub fn class(&self) -> &'static CropClass {
        self.kind.value.class()
    }
}

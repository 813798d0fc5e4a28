//! Heat and water from people, burners and things with a plain number.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{FROM, Hours, TO, choice, given, hours};

pub(crate) const PEOPLE: Section = Section {
    key: "people",
    title: "People",
    help: "People at work in the room.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("count", Kind::count(1, 500), Need::Required, "How many."),
        Field::new(
            "activity",
            Kind::Choice(Activity::WORDS),
            Need::default("bench work", Source::assumed("tending plants")),
            "What they do.",
        ),
        FROM,
        TO,
    ],
};

pub(crate) const BURNER: Section = Section {
    key: "burner",
    title: "Carbon dioxide burner",
    help: "Give one of fuel_rate, co2_rate or heat.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("fuel", Kind::Choice(Fuel::WORDS), Need::Required, "Fuel."),
        Field::new(
            "fuel_rate",
            Kind::quantity(Dim::MassRate, 0.0, 1.0),
            Need::Optional,
            "Fuel burnt.",
        ),
        Field::new(
            "co2_rate",
            Kind::quantity(Dim::MassRate, 0.0, 3.0),
            Need::Optional,
            "Carbon dioxide given off.",
        ),
        Field::new(
            "heat",
            Kind::quantity(Dim::Power, 0.0, 1e7),
            Need::Optional,
            "Heat input by the nameplate (higher heating value).",
        ),
        Field::new(
            "flue",
            Kind::Choice(Flue::WORDS),
            Need::default(
                "unvented",
                Source::assumed("a burner for carbon dioxide has no flue"),
            ),
            "Where the burnt gas goes.",
        ),
        FROM,
        TO,
    ],
};

pub(crate) const GAIN: Section = Section {
    key: "gain",
    title: "Other gains",
    help: "Plain constant heat and water. Give latent in watts or water by mass, not both.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Required, "What it is."),
        Field::new(
            "sensible",
            Kind::quantity(Dim::Power, -1e7, 1e7),
            Need::default("0 W", Source::assumed("no sensible heat was given")),
            "Sensible heat to the room air.",
        ),
        Field::new(
            "latent",
            Kind::quantity(Dim::Power, 0.0, 1e7),
            Need::Optional,
            "Latent heat to the room air.",
        ),
        Field::new(
            "water",
            Kind::quantity(Dim::WaterRate, 0.0, 10.0),
            Need::Optional,
            "Vapour to the room air.",
        ),
        FROM,
        TO,
    ],
};

choice! {
    /// What people do.
    Activity {
        Seated = "seated", "seated, very light work";
        Office = "office work", "moderately active";
        BenchWork = "bench work", "light work at a bench";
        MachineWork = "machine work", "light work with machines, walking";
        Heavy = "heavy work", "carrying, digging";
        Lifting = "lifting", "heavy machine work, lifting";
    }
}

choice! {
    /// Fuel of a burner.
    Fuel {
        Propane = "propane", "propane";
        NaturalGas = "natural gas", "natural gas, taken as methane";
    }
}

choice! {
    /// Where burnt gas goes.
    Flue {
        Unvented = "unvented", "into the room, with its water";
        Vented = "vented", "outdoors";
    }
}

/// People in the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct People {
    /// How many.
    pub count: Given<u32>,
    /// What they do.
    pub activity: Given<Activity>,
    /// When.
    pub hours: Hours,
}

/// How much a burner burns, as it was given.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum BurnerRate {
    /// Fuel \[kg/s\].
    FuelKgPerS(f64),
    /// Carbon dioxide \[kg/s\].
    Co2KgPerS(f64),
    /// Heat input, higher heating value \[W\].
    HeatW(f64),
}

/// A burner.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Burner {
    /// Fuel.
    pub fuel: Given<Fuel>,
    /// How much it burns.
    pub rate: Given<BurnerRate>,
    /// Where the burnt gas goes.
    pub flue: Given<Flue>,
    /// When.
    pub hours: Hours,
}

/// Water of a plain gain, as it was given. The two are not the same thing:
/// watts become kilograms only by a chosen heat of vaporisation.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum GainWater {
    /// Latent heat \[W\].
    LatentW(f64),
    /// Vapour \[kg/s\].
    VapourKgPerS(f64),
}

/// A plain constant gain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gain {
    /// What it is.
    pub name: Given<String>,
    /// Sensible heat \[W\].
    pub sensible_w: Given<f64>,
    /// Its water.
    pub water: Option<Given<GainWater>>,
    /// When.
    pub hours: Hours,
}

impl People {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            count: e.need_count("count"),
            activity: given(e.need_choice("activity"), Activity::from_word),
            hours: hours(e),
        }
    }
}

impl Burner {
    /// `None` where none of the three rates was given, which is a problem that
    /// the checks have said by then.
    pub(crate) fn new(e: &Entry) -> Option<Self> {
        let fuel_rate = e.value("fuel_rate").map(|g| g.map(BurnerRate::FuelKgPerS));
        let co2_rate = e.value("co2_rate").map(|g| g.map(BurnerRate::Co2KgPerS));
        let heat = e.value("heat").map(|g| g.map(BurnerRate::HeatW));
        Some(Self {
            fuel: given(e.need_choice("fuel"), Fuel::from_word),
            rate: fuel_rate.or(co2_rate).or(heat)?,
            flue: given(e.need_choice("flue"), Flue::from_word),
            hours: hours(e),
        })
    }
}

impl Gain {
    pub(crate) fn new(e: &Entry) -> Self {
        let latent = e.value("latent").map(|g| g.map(GainWater::LatentW));
        let vapour = e.value("water").map(|g| g.map(GainWater::VapourKgPerS));
        Self {
            name: e.need_text("name"),
            sensible_w: e.need_value("sensible"),
            water: latent.or(vapour),
            hours: hours(e),
        }
    }
}

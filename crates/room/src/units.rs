//! Dehumidifiers that are there, and what may be chosen.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Band, Dim, Given, Source};
use serde::Serialize;

use crate::choice::{Facing, choice, given};
use crate::practice::Mount;

pub(crate) const UNIT: Section = Section {
    key: "unit",
    title: "Units present",
    help: "Each dehumidifier that hangs or stands in the room, or is decided on.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "tag",
            Kind::Text,
            Need::Required,
            "Tag on the drawings, such as \"D1\"; each its own.",
        ),
        Field::new(
            "model",
            Kind::Text,
            Need::Required,
            "Model in the catalogue.",
        ),
        Field::new("at", Kind::Point, Need::Optional, "Centre of the box."),
        Field::new(
            "facing",
            Kind::Choice(Facing::WORDS),
            Need::Optional,
            "Where the discharge points.",
        ),
        Field::new(
            "mount",
            Kind::Choice(Mount::WORDS),
            Need::Optional,
            "How it is carried; left out: as [hanging] says.",
        ),
        Field::new(
            "panel",
            Kind::Text,
            Need::Optional,
            "Name of the panel that feeds it; left out: the nearest that fits.",
        ),
        Field::new(
            "state",
            Kind::Choice(UnitState::WORDS),
            Need::default("in use", Source::assumed("a unit that is listed runs")),
            "Whether it runs.",
        ),
        Field::new(
            "removal_factor",
            Kind::band(Dim::Number, 0.01, 3.0),
            Need::Optional,
            "Water that it removes over what its record says, as measured or found in a log; left out: 1, with the spread of its record.",
        ),
    ],
};

pub(crate) const SELECTION: Section = Section {
    key: "selection",
    title: "Selection",
    help: "What may be chosen, and what the customer wants of it.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "models",
            Kind::List(&Kind::Text),
            Need::Optional,
            "Models to consider; left out: the whole catalogue.",
        ),
        Field::new(
            "max_count",
            Kind::count(1, 60),
            Need::default(
                "12",
                Source::assumed("more than a dozen calls for a larger model"),
            ),
            "Most units to consider.",
        ),
        Field::new(
            "spare",
            Kind::Choice(Spare::WORDS),
            Need::default(
                "none",
                Source::assumed("where the customer did not ask for one"),
            ),
            "Whether the room must hold with one unit out.",
        ),
        Field::new(
            "coil_credit",
            Kind::Choice(CoilCredit::WORDS),
            Need::default(
                "full",
                Source::assumed(
                    "the simulated coil takes water only while it cools; a finding says where that decides",
                ),
            ),
            "Whether water that the cooling coil takes counts.",
        ),
        Field::new(
            "days_to_hold",
            Kind::quantity(Dim::Fraction, 0.5, 1.0),
            Need::default("90 %", Source::assumed("nine of ten drawn days")),
            "Share of the drawn days in which the bands must hold.",
        ),
        Field::new(
            "short_circuit",
            Kind::quantity(Dim::Fraction, 0.0, 0.9),
            Need::default(
                "10 %",
                Source::assumed("until the units are placed and the air movement is solved"),
            ),
            "Share of a unit's discharge that it breathes again.",
        ),
    ],
};

pub(crate) const PRICE: Section = Section {
    key: "price",
    title: "Prices",
    help: "First cost of models, for the comparison.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "model",
            Kind::Text,
            Need::Required,
            "Model in the catalogue.",
        ),
        Field::new(
            "first_cost",
            Kind::quantity(Dim::Money, 0.0, 1e9),
            Need::Required,
            "First cost of one, hung and wired.",
        ),
    ],
};

choice! {
    /// Whether a unit runs.
    UnitState {
        InUse = "in use", "it runs";
        Off = "off", "switched off, kept as spare";
        Failed = "failed", "out of order";
    }
}

choice! {
    /// Whether the room must hold with one unit out.
    Spare {
        None = "none", "no spare";
        OneUnitOut = "one unit out", "the bands hold with any one unit out";
    }
}

choice! {
    /// Whether water that the cooling coil takes counts towards the units.
    CoilCredit {
        None = "none", "units carry all water";
        Full = "full", "what the coil takes in the simulated day counts";
    }
}

/// A dehumidifier in the room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unit {
    /// Tag on the drawings.
    pub tag: Given<String>,
    /// Model in the catalogue.
    pub model: Given<String>,
    /// Centre of the box, x, y, z \[m\].
    pub at_m: Option<Given<[f64; 3]>>,
    /// Where the discharge points.
    pub facing: Option<Given<Facing>>,
    /// How it is carried; `None`: as the room's hanging says.
    pub mount: Option<Given<Mount>>,
    /// Name of the panel that feeds it.
    pub panel: Option<Given<String>>,
    /// Whether it runs.
    pub state: Given<UnitState>,
    /// Water that it removes over what its record says; `None`: as the record
    /// says.
    pub removal_factor: Option<Given<Band>>,
}

/// First cost of a model.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Price {
    /// Model in the catalogue.
    pub model: Given<String>,
    /// First cost of one, in the site's currency.
    pub first_cost: Given<f64>,
}

/// What may be chosen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Selection {
    /// Models to consider; empty: the whole catalogue.
    pub models: Vec<Given<String>>,
    /// Most units to consider.
    pub max_count: Given<u32>,
    /// Spare wish.
    pub spare: Given<Spare>,
    /// Credit for coil water.
    pub coil_credit: Given<CoilCredit>,
    /// Share of drawn days that must hold.
    pub days_to_hold: Given<f64>,
    /// Assumed short-circuit share.
    pub short_circuit: Given<f64>,
    /// First costs.
    pub prices: Vec<Price>,
}

impl Unit {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            tag: e.need_text("tag"),
            model: e.need_text("model"),
            at_m: e.point("at"),
            facing: e.choice("facing").map(|w| given(w, Facing::from_word)),
            mount: e.choice("mount").map(|w| given(w, Mount::from_word)),
            panel: e.text("panel"),
            state: given(e.need_choice("state"), UnitState::from_word),
            removal_factor: e.band("removal_factor"),
        }
    }
}

impl Price {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            model: e.need_text("model"),
            first_cost: e.need_value("first_cost"),
        }
    }
}

impl Selection {
    pub(crate) fn new(e: &Entry, prices: Vec<Price>) -> Self {
        Self {
            models: e.texts("models"),
            max_count: e.need_count("max_count"),
            spare: given(e.need_choice("spare"), Spare::from_word),
            coil_credit: given(e.need_choice("coil_credit"), CoilCredit::from_word),
            days_to_hold: e.need_value("days_to_hold"),
            short_circuit: e.need_value("short_circuit"),
            prices,
        }
    }
}

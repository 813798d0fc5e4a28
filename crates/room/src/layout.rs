//! What stands, hangs and blows in the room: benches, aisles, luminaires,
//! openings of the cooling, obstacles, ducts of units, and the way in.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{choice, given};

const SPAN: Kind = Kind::quantity(Dim::Length, 0.005, 300.0);
const TALL: Kind = Kind::quantity(Dim::Length, 0.005, 30.0);

pub(crate) const BENCH: Section = Section {
    key: "bench",
    title: "Benches and beds",
    help: "Each bench, bed or rack with the canopy on it.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Optional, "What it is called."),
        Field::new(
            "at",
            Kind::Point,
            Need::Required,
            "Its middle in plan, and the height of its top.",
        ),
        Field::new("length", SPAN, Need::Required, "Along x."),
        Field::new("width", SPAN, Need::Required, "Along y."),
        Field::new(
            "canopy",
            Kind::quantity(Dim::Length, 0.0, 20.0),
            Need::Optional,
            "Height of the canopy above the top; left out: up to the crop's height.",
        ),
    ],
};

pub(crate) const AISLE: Section = Section {
    key: "aisle",
    title: "Aisles",
    help: "Where people walk and trolleys roll.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Optional, "What it is called."),
        Field::new(
            "at",
            Kind::Point,
            Need::Required,
            "Its middle, on the floor.",
        ),
        Field::new("length", SPAN, Need::Required, "Along x."),
        Field::new("width", SPAN, Need::Required, "Along y."),
        Field::new(
            "headroom",
            TALL,
            Need::default(
                "80 in",
                Source::memory(
                    "International Building Code, protruding objects in a way of egress: 80 in",
                    "1003.3, not read",
                ),
            ),
            "Height to keep free above the floor.",
        ),
    ],
};

pub(crate) const LUMINAIRE: Section = Section {
    key: "luminaire",
    title: "Luminaires",
    help: "Luminaires of one kind, or whole rows of them.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Optional, "What they are called."),
        Field::new(
            "at",
            Kind::List(&Kind::Point),
            Need::Required,
            "Centre of each.",
        ),
        Field::new("length", SPAN, Need::Required, "Along x, of one."),
        Field::new("width", SPAN, Need::Required, "Along y, of one."),
        Field::new(
            "height",
            TALL,
            Need::default(
                "0.15 m",
                Source::assumed("a flat luminaire with its driver"),
            ),
            "Of one.",
        ),
    ],
};

pub(crate) const SUPPLY: Section = Section {
    key: "supply",
    title: "Cold supply",
    help: "Each opening that the cooling blows from.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "of",
            Kind::Text,
            Need::Optional,
            "Name of the cooling that it belongs to.",
        ),
        Field::new("at", Kind::Point, Need::Required, "Centre of the opening."),
        Field::new(
            "blows",
            Kind::Choice(Blow::WORDS),
            Need::Required,
            "Where it blows.",
        ),
        Field::new("width", TALL, Need::Required, "Across, of the opening."),
        Field::new(
            "height",
            TALL,
            Need::Required,
            "The other way, of the opening.",
        ),
        Field::new(
            "air_flow",
            Kind::quantity(Dim::AirFlow, 0.001, 1000.0),
            Need::Optional,
            "Air through it; left out: an even share of the cooling's.",
        ),
    ],
};

pub(crate) const RETURN: Section = Section {
    key: "return",
    title: "Cooling return",
    help: "Each opening that the cooling draws from.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "of",
            Kind::Text,
            Need::Optional,
            "Name of the cooling that it belongs to.",
        ),
        Field::new("at", Kind::Point, Need::Required, "Centre of the opening."),
        Field::new("width", TALL, Need::Required, "Across, of the opening."),
        Field::new(
            "height",
            TALL,
            Need::Required,
            "The other way, of the opening.",
        ),
    ],
};

pub(crate) const OBSTACLE: Section = Section {
    key: "obstacle",
    title: "Obstacles",
    help: "What a unit, a rod or a pipe must keep clear of.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Optional, "What it is called."),
        Field::new(
            "kind",
            Kind::Choice(ObstacleKind::WORDS),
            Need::default("other", Source::assumed("where nothing was said")),
            "What it is.",
        ),
        Field::new("at", Kind::Point, Need::Required, "Its middle."),
        Field::new("length", SPAN, Need::Required, "Along x."),
        Field::new("width", SPAN, Need::Required, "Along y."),
        Field::new("height", TALL, Need::Required, "Along z."),
        Field::new(
            "keep_clear",
            Kind::quantity(Dim::Length, 0.0, 10.0),
            Need::Optional,
            "Space to keep free on all sides; left out: what its kind asks for.",
        ),
    ],
};

pub(crate) const ACCESS: Section = Section {
    key: "access",
    title: "The way in",
    help: "Smallest opening between the truck and the room, and the lift on site.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new("width", TALL, Need::Required, "Clear width."),
        Field::new("height", TALL, Need::Required, "Clear height."),
        Field::new(
            "lift_mass",
            Kind::quantity(Dim::Mass, 1.0, 100_000.0),
            Need::Optional,
            "What the lift may carry.",
        ),
        Field::new(
            "lift_height",
            TALL,
            Need::Optional,
            "How high its platform or fork goes.",
        ),
    ],
};

pub(crate) const DUCT: Section = Section {
    key: "duct",
    title: "Ducts of units",
    help: "Duct on a unit's inlet or outlet.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("unit", Kind::Text, Need::Required, "Tag of the unit."),
        Field::new(
            "side",
            Kind::Choice(DuctSide::WORDS),
            Need::Required,
            "Which side it is on.",
        ),
        Field::new("length", SPAN, Need::Required, "Length along the duct."),
        Field::new(
            "diameter",
            TALL,
            Need::Optional,
            "Inside diameter of a round duct.",
        ),
        Field::new("width", TALL, Need::Optional, "Of a rectangular duct."),
        Field::new("height", TALL, Need::Optional, "Of a rectangular duct."),
        Field::new(
            "wall",
            Kind::Choice(DuctWall::WORDS),
            Need::default("galvanised", Source::assumed("sheet metal duct")),
            "What it is made of.",
        ),
        Field::new(
            "elbows",
            Kind::count(0, 40),
            Need::default("0", Source::assumed("a straight duct")),
            "Quarter bends in it.",
        ),
        Field::new(
            "compression",
            Kind::quantity(Dim::Fraction, 0.0, 0.3),
            Need::default(
                "4 %",
                Source::assumed("flexible duct hung with care; counts only for it"),
            ),
            "How far a flexible duct is from fully stretched.",
        ),
        Field::new(
            "insulation",
            Kind::quantity(Dim::Length, 0.0, 0.3),
            Need::default("0 mm", Source::assumed("a bare duct")),
            "Thickness of the insulation around it, with a vapour barrier.",
        ),
        Field::new(
            "ends",
            Kind::Point,
            Need::Optional,
            "Where its other end opens into the room.",
        ),
    ],
};

choice! {
    /// Where an opening blows.
    Blow {
        PlusX = "+x", "away from the door wall";
        MinusX = "-x", "towards the door wall";
        PlusY = "+y", "towards the far side wall";
        MinusY = "-y", "towards the near side wall";
        Down = "down", "to the floor";
        Up = "up", "to the ceiling";
    }
}

choice! {
    /// What an obstacle is.
    ObstacleKind {
        Beam = "beam", "beam or girder";
        Column = "column", "column";
        Duct = "duct", "air duct";
        Pipe = "pipe", "pipe";
        Conduit = "conduit", "conduit, cable tray";
        Sprinkler = "sprinkler", "sprinkler head";
        Detector = "detector", "smoke or heat detector";
        Other = "other", "anything else";
    }
}

choice! {
    /// Side of a unit that a duct is on.
    DuctSide {
        Inlet = "inlet", "air to the unit";
        Outlet = "outlet", "air from the unit";
    }
}

choice! {
    /// What a duct is made of.
    DuctWall {
        Galvanised = "galvanised", "galvanised sheet";
        Flexible = "flexible", "flexible duct";
    }
}

/// A bench, bed or rack.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Bench {
    /// What it is called.
    pub name: Option<Given<String>>,
    /// Middle in plan, height of its top \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Along x \[m\].
    pub length_m: Given<f64>,
    /// Along y \[m\].
    pub width_m: Given<f64>,
    /// Canopy above the top \[m\].
    pub canopy_m: Option<Given<f64>>,
}

/// An aisle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Aisle {
    /// What it is called.
    pub name: Option<Given<String>>,
    /// Middle, on the floor \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Along x \[m\].
    pub length_m: Given<f64>,
    /// Along y \[m\].
    pub width_m: Given<f64>,
    /// Height to keep free \[m\].
    pub headroom_m: Given<f64>,
}

/// Luminaires of one kind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Luminaires {
    /// What they are called.
    pub name: Option<Given<String>>,
    /// Centre of each \[m\].
    pub at_m: Vec<Given<[f64; 3]>>,
    /// Along x \[m\].
    pub length_m: Given<f64>,
    /// Along y \[m\].
    pub width_m: Given<f64>,
    /// Along z \[m\].
    pub height_m: Given<f64>,
}

/// An opening that cooling blows from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Supply {
    /// Name of its cooling.
    pub of: Option<Given<String>>,
    /// Centre \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Where it blows.
    pub blows: Given<Blow>,
    /// Across \[m\].
    pub width_m: Given<f64>,
    /// The other way \[m\].
    pub height_m: Given<f64>,
    /// Air through it \[m³/s\].
    pub air_flow_m3_per_s: Option<Given<f64>>,
}

/// An opening that cooling draws from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Return {
    /// Name of its cooling.
    pub of: Option<Given<String>>,
    /// Centre \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Across \[m\].
    pub width_m: Given<f64>,
    /// The other way \[m\].
    pub height_m: Given<f64>,
}

/// An obstacle.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Obstacle {
    /// What it is called.
    pub name: Option<Given<String>>,
    /// What it is.
    pub kind: Given<ObstacleKind>,
    /// Middle \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Along x \[m\].
    pub length_m: Given<f64>,
    /// Along y \[m\].
    pub width_m: Given<f64>,
    /// Along z \[m\].
    pub height_m: Given<f64>,
    /// Space to keep free on all sides \[m\].
    pub keep_clear_m: Option<Given<f64>>,
}

/// The way in.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Access {
    /// Clear width of the smallest opening \[m\].
    pub width_m: Given<f64>,
    /// Clear height of the smallest opening \[m\].
    pub height_m: Given<f64>,
    /// What the lift may carry \[kg\].
    pub lift_mass_kg: Option<Given<f64>>,
    /// How high it lifts \[m\].
    pub lift_height_m: Option<Given<f64>>,
}

/// Duct on a unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Duct {
    /// Tag of the unit.
    pub unit: Given<String>,
    /// Which side.
    pub side: Given<DuctSide>,
    /// Length \[m\].
    pub length_m: Given<f64>,
    /// Cross-section.
    pub section: DuctSection,
    /// What it is made of.
    pub wall: Given<DuctWall>,
    /// Quarter bends.
    pub elbows: Given<u32>,
    /// How far a flexible duct is from fully stretched.
    pub compression: Given<f64>,
    /// Thickness of its insulation \[m\].
    pub insulation_m: Given<f64>,
    /// Where its other end opens \[m\].
    pub ends_m: Option<Given<[f64; 3]>>,
}

/// Cross-section of a duct.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DuctSection {
    /// Round.
    Round {
        /// Inside diameter \[m\].
        diameter_m: f64,
    },
    /// Rectangular.
    Rectangular {
        /// Width \[m\].
        width_m: f64,
        /// Height \[m\].
        height_m: f64,
    },
}

impl Bench {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            at_m: e.need_point("at"),
            length_m: e.need_value("length"),
            width_m: e.need_value("width"),
            canopy_m: e.value("canopy"),
        }
    }
}

impl Aisle {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            at_m: e.need_point("at"),
            length_m: e.need_value("length"),
            width_m: e.need_value("width"),
            headroom_m: e.need_value("headroom"),
        }
    }
}

impl Luminaires {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            at_m: e.points("at"),
            length_m: e.need_value("length"),
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
        }
    }
}

impl Supply {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            of: e.text("of"),
            at_m: e.need_point("at"),
            blows: given(e.need_choice("blows"), Blow::from_word),
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
            air_flow_m3_per_s: e.value("air_flow"),
        }
    }
}

impl Return {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            of: e.text("of"),
            at_m: e.need_point("at"),
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
        }
    }
}

impl Obstacle {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            kind: given(e.need_choice("kind"), ObstacleKind::from_word),
            at_m: e.need_point("at"),
            length_m: e.need_value("length"),
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
            keep_clear_m: e.value("keep_clear"),
        }
    }
}

impl Access {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
            lift_mass_kg: e.value("lift_mass"),
            lift_height_m: e.value("lift_height"),
        }
    }
}

impl Duct {
    /// `None` where the section is not said; the checks ask for it.
    pub(crate) fn new(e: &Entry) -> Option<Self> {
        let size = |key: &str| e.value(key).map(|g| g.value);
        let section = match (size("diameter"), size("width"), size("height")) {
            (Some(diameter_m), _, _) => DuctSection::Round { diameter_m },
            (None, Some(width_m), Some(height_m)) => DuctSection::Rectangular { width_m, height_m },
            _ => return None,
        };
        Some(Self {
            unit: e.need_text("unit"),
            side: given(e.need_choice("side"), DuctSide::from_word),
            length_m: e.need_value("length"),
            section,
            wall: given(e.need_choice("wall"), DuctWall::from_word),
            elbows: e.need_count("elbows"),
            compression: e.need_value("compression"),
            insulation_m: e.need_value("insulation"),
            ends_m: e.point("ends"),
        })
    }
}

//! What later steps hang from, drain to and feed from.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{choice, given};

pub(crate) const STRUCTURE: Section = Section {
    key: "structure",
    title: "Structure overhead",
    help: "What units can hang from.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new(
            "kind",
            Kind::Choice(StructureKind::WORDS),
            Need::Required,
            "What it is.",
        ),
        Field::new(
            "underside",
            Kind::quantity(Dim::Length, 0.5, 30.0),
            Need::Optional,
            "Height of its underside; left out: the ceiling.",
        ),
        Field::new(
            "spacing",
            Kind::quantity(Dim::Length, 0.1, 20.0),
            Need::Optional,
            "Distance between members.",
        ),
        Field::new(
            "runs",
            Kind::Choice(RUNS),
            Need::Optional,
            "Which way the members run.",
        ),
        Field::new(
            "first",
            Kind::quantity(Dim::Length, 0.0, 20.0),
            Need::Optional,
            "Middle of the first member, across the members from the wall at 0.",
        ),
    ],
};

const RUNS: &[fields::Word] = &[("x", "along the length"), ("y", "along the width")];

pub(crate) const DRAIN: Section = Section {
    key: "drain",
    title: "Drains",
    help: "Where condensate can go.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Optional, "What it is called."),
        Field::new(
            "at",
            Kind::Point,
            Need::Required,
            "Where its inlet is; z is its rim.",
        ),
        Field::new(
            "kind",
            Kind::Choice(DrainKind::WORDS),
            Need::default("floor drain", Source::assumed("where nothing was said")),
            "What receives the water.",
        ),
        Field::new(
            "end_trap",
            Kind::Choice(EndTrap::WORDS),
            Need::default(
                "none",
                Source::assumed("each unit has a trap of its own, and none is added at the end"),
            ),
            "Whether the condensate line has a trap of its own where it ends here.",
        ),
        Field::new(
            "size",
            Kind::quantity(Dim::Length, 0.005, 0.6),
            Need::Optional,
            "Inside diameter.",
        ),
        Field::new(
            "main",
            Kind::Text,
            Need::Optional,
            "Name of the drain main that it joins, where rooms share one; they are then added up.",
        ),
        Field::new(
            "main_size",
            Kind::quantity(Dim::Length, 0.005, 0.6),
            Need::Optional,
            "Inside diameter of that main.",
        ),
    ],
};

pub(crate) const PANEL: Section = Section {
    key: "panel",
    title: "Electrical panels",
    help: "Where circuits can start.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Required, "What it is called."),
        Field::new("at", Kind::Point, Need::Required, "Where it is."),
        Field::new(
            "voltage",
            Kind::quantity(Dim::Voltage, 12.0, 1000.0),
            Need::Optional,
            "Voltage between phases, or of the single phase.",
        ),
        Field::new("phases", Kind::count(1, 3), Need::Optional, "1 or 3."),
        Field::new(
            "spare_current",
            Kind::quantity(Dim::Current, 0.0, 10_000.0),
            Need::Optional,
            "Current that it can still give.",
        ),
        Field::new(
            "main",
            Kind::quantity(Dim::Current, 1.0, 10_000.0),
            Need::Optional,
            "Rating of its main device or feeder.",
        ),
        Field::new(
            "to_ground",
            Kind::quantity(Dim::Voltage, 12.0, 1000.0),
            Need::Optional,
            "Voltage of a phase to ground; left out: by the usual systems.",
        ),
        Field::new(
            "free_spaces",
            Kind::count(0, 400),
            Need::Optional,
            "Poles still free for breakers.",
        ),
        Field::new(
            "fault_current",
            Kind::quantity(Dim::Current, 10.0, 200_000.0),
            Need::Optional,
            "Current into a short circuit at the panel, as labelled or as the utility says.",
        ),
        Field::new(
            "voltage_ab",
            Kind::quantity(Dim::Voltage, 12.0, 1000.0),
            Need::Optional,
            "Measured between phases A and B, under the usual load.",
        ),
        Field::new(
            "voltage_bc",
            Kind::quantity(Dim::Voltage, 12.0, 1000.0),
            Need::Optional,
            "Measured between phases B and C.",
        ),
        Field::new(
            "voltage_ca",
            Kind::quantity(Dim::Voltage, 12.0, 1000.0),
            Need::Optional,
            "Measured between phases C and A.",
        ),
        Field::new(
            "frequency",
            Kind::Choice(FREQUENCIES),
            Need::Optional,
            "Frequency of the supply; left out: 60 Hz by NEC, 50 Hz by IEC.",
        ),
    ],
};

const FREQUENCIES: &[fields::Word] = &[("50 Hz", "50 Hz"), ("60 Hz", "60 Hz")];

pub(crate) const CIRCUIT: Section = Section {
    key: "circuit",
    title: "Other loads on panels",
    help: "What a panel feeds already, or will feed beside the units.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Required, "What it feeds."),
        Field::new("panel", Kind::Text, Need::Required, "Name of the panel."),
        Field::new(
            "current",
            Kind::quantity(Dim::Current, 0.0, 10_000.0),
            Need::Required,
            "Current that it draws.",
        ),
        Field::new(
            "phases",
            Kind::Choice(PHASES),
            Need::default("all", Source::assumed("loads on all phases of the panel")),
            "Phases that it loads.",
        ),
        Field::new(
            "runs",
            Kind::Choice(LoadTime::WORDS),
            Need::default("continuous", Source::assumed("on the safe side")),
            "Whether it runs three hours or more.",
        ),
    ],
};

const PHASES: &[fields::Word] = &[
    ("all", "all phases of the panel"),
    ("A", "phase A to neutral"),
    ("B", "phase B to neutral"),
    ("C", "phase C to neutral"),
    ("AB", "phases A and B"),
    ("BC", "phases B and C"),
    ("CA", "phases C and A"),
];

choice! {
    /// How long a load runs at a time.
    LoadTime {
        Continuous = "continuous", "three hours or more";
        Short = "short", "less than three hours";
    }
}

choice! {
    /// What receives the water.
    DrainKind {
        FloorDrain = "floor drain", "floor drain with its own trap";
        Standpipe = "standpipe", "trapped standpipe or hub";
        Sink = "sink", "sink or tray with its own trap";
        Gully = "gully", "open channel";
        Closed = "closed", "closed connection to a drain line";
    }
}

choice! {
    /// Whether a condensate line has a trap of its own at its end.
    EndTrap {
        None = "none", "no trap but the units' own";
        Fitted = "fitted", "one more, as some rules ask of long indirect waste";
    }
}

choice! {
    /// What units can hang from.
    StructureKind {
        WoodJoist = "wood joist", "wooden joists or trusses";
        SteelJoist = "steel joist", "open-web steel joists or beams";
        Concrete = "concrete", "concrete slab";
        Strut = "strut", "strut channel already hung";
        Panel = "panel", "insulated panel ceiling: carries nothing by itself";
    }
}

/// Structure overhead.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Structure {
    /// What it is.
    pub kind: Given<StructureKind>,
    /// Height of its underside \[m\]; `None`: the ceiling.
    pub underside_m: Option<Given<f64>>,
    /// Distance between members \[m\].
    pub spacing_m: Option<Given<f64>>,
    /// "x" or "y": which way the members run.
    pub runs: Option<Given<&'static str>>,
    /// Middle of the first member, across the members from the wall at 0 \[m\].
    pub first_m: Option<Given<f64>>,
}

/// A drain inlet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Drain {
    /// What it is called.
    pub name: Option<Given<String>>,
    /// x, y, z \[m\].
    pub at_m: Given<[f64; 3]>,
    /// What receives the water.
    pub kind: Given<DrainKind>,
    /// Trap at the end of the line that comes to it.
    pub end_trap: Given<EndTrap>,
    /// Inside diameter \[m\].
    pub size_m: Option<Given<f64>>,
    /// Name of the drain main that it joins.
    pub main: Option<Given<String>>,
    /// Inside diameter of that main \[m\].
    pub main_size_m: Option<Given<f64>>,
}

/// An electrical panel.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Panel {
    /// What it is called.
    pub name: Given<String>,
    /// x, y, z \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Voltage \[V\].
    pub voltage_v: Option<Given<f64>>,
    /// Number of phases.
    pub phases: Option<Given<u32>>,
    /// Current that it can still give \[A\].
    pub spare_current_a: Option<Given<f64>>,
    /// Rating of its main device or feeder \[A\].
    pub main_a: Option<Given<f64>>,
    /// Voltage of a phase to ground \[V\].
    pub to_ground_v: Option<Given<f64>>,
    /// Poles still free.
    pub free_spaces: Option<Given<u32>>,
    /// Frequency of the supply \[Hz\].
    pub hertz: Option<Given<f64>>,
    /// Current into a short circuit there \[A\].
    pub fault_a: Option<Given<f64>>,
    /// Measured between phases AB, BC and CA \[V\]; `None` where one of the
    /// three is missing.
    pub between_v: Option<[f64; 3]>,
}

/// A load on a panel that is not a unit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Circuit {
    /// What it feeds.
    pub name: Given<String>,
    /// Name of the panel.
    pub panel: Given<String>,
    /// Current \[A\].
    pub current_a: Given<f64>,
    /// Phases: "all", "A", "B", "C", "AB", "BC" or "CA".
    pub phases: Given<&'static str>,
    /// How long it runs at a time.
    pub runs: Given<LoadTime>,
}

impl Structure {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            kind: given(e.need_choice("kind"), StructureKind::from_word),
            underside_m: e.value("underside"),
            spacing_m: e.value("spacing"),
            runs: e.choice("runs"),
            first_m: e.value("first"),
        }
    }
}

impl Drain {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            at_m: e.need_point("at"),
            kind: given(e.need_choice("kind"), DrainKind::from_word),
            end_trap: given(e.need_choice("end_trap"), EndTrap::from_word),
            size_m: e.value("size"),
            main: e.text("main"),
            main_size_m: e.value("main_size"),
        }
    }
}

impl Panel {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.need_text("name"),
            at_m: e.need_point("at"),
            voltage_v: e.value("voltage"),
            phases: e.count("phases"),
            spare_current_a: e.value("spare_current"),
            main_a: e.value("main"),
            to_ground_v: e.value("to_ground"),
            free_spaces: e.count("free_spaces"),
            fault_a: e.value("fault_current"),
            between_v: match ["voltage_ab", "voltage_bc", "voltage_ca"].map(|key| e.value(key)) {
                [Some(ab), Some(bc), Some(ca)] => Some([ab.value, bc.value, ca.value]),
                _ => None,
            },
            hertz: e
                .choice("frequency")
                .map(|g| g.map(|word| if word == "50 Hz" { 50.0 } else { 60.0 })),
        }
    }
}

impl Circuit {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.need_text("name"),
            panel: e.need_text("panel"),
            current_a: e.need_value("current"),
            phases: e.need_choice("phases"),
            runs: given(e.need_choice("runs"), LoadTime::from_word),
        }
    }
}

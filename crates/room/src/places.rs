//! What later steps hang from, drain to and feed from.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given};
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
        Field::new("at", Kind::Point, Need::Required, "Where its inlet is."),
        Field::new(
            "size",
            Kind::quantity(Dim::Length, 0.005, 0.6),
            Need::Optional,
            "Inside diameter.",
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
    ],
};

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
}

/// A drain inlet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Drain {
    /// What it is called.
    pub name: Option<Given<String>>,
    /// x, y, z \[m\].
    pub at_m: Given<[f64; 3]>,
    /// Inside diameter \[m\].
    pub size_m: Option<Given<f64>>,
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
}

impl Structure {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            kind: given(e.need_choice("kind"), StructureKind::from_word),
            underside_m: e.value("underside"),
            spacing_m: e.value("spacing"),
            runs: e.choice("runs"),
        }
    }
}

impl Drain {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.text("name"),
            at_m: e.need_point("at"),
            size_m: e.value("size"),
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
        }
    }
}

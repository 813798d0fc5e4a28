//! Rules and materials that the crews work by: hanging, piping, wiring.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Dim, Given, Source};
use serde::Serialize;

use crate::choice::{choice, given};

pub(crate) const HANGING: Section = Section {
    key: "hanging",
    title: "Hanging",
    help: "How units are carried.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "mount",
            Kind::Choice(Mount::WORDS),
            Need::default("hung", Source::assumed("hung units leave the floor free")),
            "How units that say nothing else are carried.",
        ),
        Field::new(
            "rod",
            Kind::Choice(Rod::WORDS),
            Need::default(
                "3/8 in",
                Source::common_practice("least threaded rod for equipment overhead"),
            ),
            "Threaded rod.",
        ),
        Field::new(
            "load_factor",
            Kind::quantity(Dim::Number, 1.0, 4.0),
            Need::default(
                "1.5",
                Source::common_practice("1.25 to 2 for handling, water, filters, vibration"),
            ),
            "Factor on the computed load of a rod, a strut and an anchor.",
        ),
        Field::new(
            "isolators",
            Kind::Choice(Isolator::WORDS),
            Need::default(
                "rubber",
                Source::common_practice("small compressors on rubber"),
            ),
            "Vibration isolators in the rods.",
        ),
        Field::new(
            "strut_stress",
            Kind::quantity(Dim::Stress, 5e7, 3e8),
            Need::default(
                "19.8 ksi",
                Source::common_practice("0.6 of 33 ksi yield, no credit for cold work"),
            ),
            "Allowable bending stress of strut channel.",
        ),
        Field::new(
            "seismic_acceleration",
            Kind::quantity(Dim::Number, 0.0, 4.0),
            Need::Optional,
            "S_DS of the site (ASCE 7), in g, if the building has one.",
        ),
    ],
};

pub(crate) const PIPING: Section = Section {
    key: "piping",
    title: "Condensate piping",
    help: "Rules and materials of the drain.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "rules",
            Kind::Choice(PlumbingRules::WORDS),
            Need::default(
                "ipc",
                Source::assumed("ask the authority having jurisdiction"),
            ),
            "Plumbing rules in force.",
        ),
        Field::new(
            "material",
            Kind::Choice(PipeMaterial::WORDS),
            Need::default("pvc", Source::assumed("the usual condensate pipe")),
            "Pipe material.",
        ),
        Field::new(
            "size",
            Kind::Choice(PipeSize::WORDS),
            Need::Optional,
            "Nominal size; left out: the least that serves.",
        ),
        Field::new(
            "fall",
            Kind::quantity(Dim::Slope, 0.001, 0.2),
            Need::default(
                "0.125 in/ft",
                Source::published(
                    "International Plumbing Code 2021, as adopted by Chicago",
                    "314.2.1: 1 percent, an eighth of an inch per foot",
                ),
            ),
            "Least fall of a horizontal run.",
        ),
        Field::new(
            "support_spacing",
            Kind::quantity(Dim::Length, 0.2, 6.0),
            Need::default(
                "4 ft",
                Source::common_practice("horizontal plastic pipe every 4 ft"),
            ),
            "Greatest distance between supports of a horizontal run.",
        ),
        Field::new(
            "run_height",
            Kind::quantity(Dim::Length, 0.0, 30.0),
            Need::Optional,
            "Height of the run along the walls at its upper end; left out: below the unit's trap.",
        ),
    ],
};

pub(crate) const WIRING: Section = Section {
    key: "wiring",
    title: "Wiring",
    help: "Rules, conductors and surroundings of the circuits.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "rules",
            Kind::Choice(WiringRules::WORDS),
            Need::default(
                "nec 2023",
                Source::assumed("ask the authority having jurisdiction"),
            ),
            "Wiring rules in force.",
        ),
        Field::new(
            "insulation",
            Kind::Choice(&[("75 °C", "rated 75 °C"), ("90 °C", "rated 90 °C")]),
            Need::default("90 °C", Source::assumed("the usual building wire")),
            "Rating of the conductor's insulation (NEC).",
        ),
        Field::new(
            "terminals",
            Kind::Choice(&[("60 °C", "unmarked or 60 °C"), ("75 °C", "marked 75 °C")]),
            Need::default(
                "60 °C",
                Source::published(
                    "NEC, as quoted in an inspectors' journal",
                    "110.14(C): 100 A or less, unless marked",
                ),
            ),
            "Rating of the terminals at both ends (NEC).",
        ),
        Field::new(
            "ambient",
            Kind::quantity(Dim::Temperature, 10.0, 60.0),
            Need::default(
                "30 °C",
                Source::assumed("a warm room; the tables' own base"),
            ),
            "Air around the conductors.",
        ),
        Field::new(
            "conductors_together",
            Kind::count(2, 20),
            Need::default("3", Source::assumed("each circuit in a raceway of its own")),
            "Current-carrying conductors in one raceway.",
        ),
        Field::new(
            "max_drop",
            Kind::quantity(Dim::Fraction, 0.005, 0.1),
            Need::default(
                "3 %",
                Source::memory(
                    "NEC 210.19(A), informational note: 3 % on a branch",
                    "not read",
                ),
            ),
            "Greatest voltage drop of a branch circuit.",
        ),
        Field::new(
            "surroundings",
            Kind::Choice(Surroundings::WORDS),
            Need::default("damp", Source::assumed("a crop room")),
            "How wet it is where the unit is fed.",
        ),
        Field::new(
            "connection",
            Kind::Choice(Connection::WORDS),
            Need::default("hard-wired", Source::assumed("units overhead")),
            "How units are connected.",
        ),
    ],
};

pub(crate) const GENERATOR: Section = Section {
    key: "generator",
    title: "Generator",
    help: "A generator that feeds the units when the supply fails.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new(
            "name",
            Kind::Text,
            Need::default(
                "generator",
                Source::assumed("rooms of a job that say no name are on one generator"),
            ),
            "Name; rooms that say the same name are added up.",
        ),
        Field::new(
            "rating",
            Kind::quantity(Dim::ApparentPower, 500.0, 1e8),
            Need::Required,
            "Apparent power.",
        ),
        Field::new(
            "reactance",
            Kind::quantity(Dim::Number, 0.02, 1.0),
            Need::default(
                "0.20",
                Source::memory("subtransient reactance of small sets", ""),
            ),
            "Subtransient reactance, per unit of its rating.",
        ),
    ],
};

choice! {
    /// How a unit is carried.
    Mount {
        Hung = "hung", "on four rods straight from the structure";
        Trapeze = "trapeze", "on strut channel hung on rods beside the unit";
        Stand = "stand", "on a stand on the floor";
        Outside = "outside", "outside the room, with ducts";
    }
}

choice! {
    /// Threaded rod.
    Rod {
        QuarterInch = "1/4 in", "1/4-20";
        ThreeEighthsInch = "3/8 in", "3/8-16";
        HalfInch = "1/2 in", "1/2-13";
        FiveEighthsInch = "5/8 in", "5/8-11";
        M6 = "M6", "M6 × 1";
        M8 = "M8", "M8 × 1.25";
        M10 = "M10", "M10 × 1.5";
        M12 = "M12", "M12 × 1.75";
    }
}

choice! {
    /// Vibration isolator.
    Isolator {
        None = "none", "none";
        Rubber = "rubber", "rubber hangers";
        Spring = "spring", "spring hangers";
    }
}

choice! {
    /// Plumbing rules.
    PlumbingRules {
        Ipc = "ipc", "International Plumbing and Mechanical Codes, 2021";
        Upc = "upc", "Uniform Plumbing and Mechanical Codes";
    }
}

choice! {
    /// Pipe material.
    PipeMaterial {
        Pvc = "pvc", "PVC, schedule 40";
        Cpvc = "cpvc", "CPVC tube, SDR 11";
        Pex = "pex", "PEX tube, SDR 9";
        Copper = "copper", "copper tube, type M";
        Steel = "steel", "galvanised steel, schedule 40";
    }
}

choice! {
    /// Nominal pipe size.
    PipeSize {
        ThreeQuarters = "3/4 in", "DN 20";
        One = "1 in", "DN 25";
        OneAndQuarter = "1 1/4 in", "DN 32";
        OneAndHalf = "1 1/2 in", "DN 40";
        Two = "2 in", "DN 50";
    }
}

choice! {
    /// Wiring rules.
    WiringRules {
        Nec2023 = "nec 2023", "NFPA 70, 2023";
        Iec60364 = "iec 60364", "IEC 60364";
    }
}

choice! {
    /// How wet it is.
    Surroundings {
        Dry = "dry", "dry";
        Damp = "damp", "damp";
        Wet = "wet", "hosed down";
    }
}

choice! {
    /// How a unit is connected.
    Connection {
        HardWired = "hard-wired", "wired to a disconnect";
        Cord = "cord", "cord and plug";
    }
}

/// How units are carried.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hanging {
    /// How units that say nothing else are carried.
    pub mount: Given<Mount>,
    /// Threaded rod.
    pub rod: Given<Rod>,
    /// Factor on the computed load.
    pub load_factor: Given<f64>,
    /// Vibration isolators.
    pub isolators: Given<Isolator>,
    /// Allowable bending stress of strut \[Pa\].
    pub strut_stress_pa: Given<f64>,
    /// S_DS of ASCE 7 \[g\].
    pub seismic_acceleration_g: Option<Given<f64>>,
}

/// Rules and materials of the drain.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Piping {
    /// Rules in force.
    pub rules: Given<PlumbingRules>,
    /// Pipe material.
    pub material: Given<PipeMaterial>,
    /// Nominal size; `None`: the least that serves.
    pub size: Option<Given<PipeSize>>,
    /// Least fall \[m/m\].
    pub fall: Given<f64>,
    /// Distance between supports \[m\].
    pub support_spacing_m: Given<f64>,
    /// Height of the run at its upper end \[m\].
    pub run_height_m: Option<Given<f64>>,
}

/// Rules, conductors and surroundings of the circuits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wiring {
    /// Rules in force.
    pub rules: Given<WiringRules>,
    /// Rating of the insulation \[°C\].
    pub insulation_c: Given<f64>,
    /// Rating of the terminals \[°C\].
    pub terminals_c: Given<f64>,
    /// Air around the conductors \[°C\].
    pub ambient_c: Given<f64>,
    /// Current-carrying conductors in one raceway.
    pub conductors_together: Given<u32>,
    /// Greatest voltage drop of a branch.
    pub max_drop: Given<f64>,
    /// How wet it is.
    pub surroundings: Given<Surroundings>,
    /// How units are connected.
    pub connection: Given<Connection>,
}

/// A generator.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Generator {
    /// Name; rooms that say the same name are on one generator.
    pub name: Given<String>,
    /// Apparent power \[VA\].
    pub rating_va: Given<f64>,
    /// Subtransient reactance, per unit.
    pub reactance: Given<f64>,
}

impl Hanging {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            mount: given(e.need_choice("mount"), Mount::from_word),
            rod: given(e.need_choice("rod"), Rod::from_word),
            load_factor: e.need_value("load_factor"),
            isolators: given(e.need_choice("isolators"), Isolator::from_word),
            strut_stress_pa: e.need_value("strut_stress"),
            seismic_acceleration_g: e.value("seismic_acceleration"),
        }
    }
}

impl Piping {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            rules: given(e.need_choice("rules"), PlumbingRules::from_word),
            material: given(e.need_choice("material"), PipeMaterial::from_word),
            size: e.choice("size").map(|w| given(w, PipeSize::from_word)),
            fall: e.need_value("fall"),
            support_spacing_m: e.need_value("support_spacing"),
            run_height_m: e.value("run_height"),
        }
    }
}

impl Wiring {
    pub(crate) fn new(e: &Entry) -> Self {
        let degrees = |key: &str| {
            e.need_choice(key).map(|word| match word {
                "60 °C" => 60.0,
                "75 °C" => 75.0,
                _ => 90.0,
            })
        };
        Self {
            rules: given(e.need_choice("rules"), WiringRules::from_word),
            insulation_c: degrees("insulation"),
            terminals_c: degrees("terminals"),
            ambient_c: e.need_value("ambient"),
            conductors_together: e.need_count("conductors_together"),
            max_drop: e.need_value("max_drop"),
            surroundings: given(e.need_choice("surroundings"), Surroundings::from_word),
            connection: given(e.need_choice("connection"), Connection::from_word),
        }
    }
}

impl Generator {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.need_text("name"),
            rating_va: e.need_value("rating"),
            reactance: e.need_value("reactance"),
        }
    }
}

//! The table of fields of a dehumidifier's machine file.

use fields::{Column, Field, Format, Kind, Need, Repeat, Section, Word};
use quantity::{Dim, Source};

use crate::control::ROLES;
use crate::curve::CURVE_SOURCE;

const fn required(key: &'static str, kind: Kind, help: &'static str) -> Field {
    Field::new(key, kind, Need::Required, help)
}

const fn optional(key: &'static str, kind: Kind, help: &'static str) -> Field {
    Field::new(key, kind, Need::Optional, help)
}

const fn assumed(
    key: &'static str,
    kind: Kind,
    text: &'static str,
    reason: &'static str,
    help: &'static str,
) -> Field {
    Field::new(
        key,
        kind,
        Need::default(text, Source::assumed(reason)),
        help,
    )
}

const fn quantity(dim: Dim, min: f64, max: f64) -> Kind {
    Kind::quantity(dim, min, max)
}

/// Section `[source]`, the same in each machine file.
pub(super) const SOURCE: Section = Section {
    key: "source",
    title: "Where the figures come from",
    help: "An invented machine says so. A real one names its document.",
    repeat: Repeat::Once,
    fields: &[
        required(
            "existence",
            Kind::Choice(EXISTENCE),
            "whether such a machine exists",
        ),
        optional(
            "document",
            Kind::Text,
            "title of the document (real machines)",
        ),
        optional("page", Kind::Text, "page or table in it (real machines)"),
        optional(
            "date_read",
            Kind::Date,
            "day on which it was read (real machines)",
        ),
    ],
};

/// Section `[[figure]]`, the same in each machine file.
pub(super) const FIGURE: Section = Section {
    key: "figure",
    title: "Source of a single figure",
    help: "Where one figure comes from, when it is not the document as a whole.",
    repeat: Repeat::Many,
    fields: &[
        required("name", Kind::Text, "the figure, by its key in this file"),
        required("from", Kind::Text, "where it comes from"),
    ],
};

/// Section `[[terminal]]`, the same for units and controllers.
pub(super) const TERMINAL: Section = Section {
    key: "terminal",
    title: "Control terminals",
    help: "Mark, use and role of each terminal.",
    repeat: Repeat::Many,
    fields: &[
        required("mark", Kind::Text, "mark at the terminal"),
        required("used_for", Kind::Text, "what it is for, in words"),
        optional(
            "role",
            Kind::Choice(ROLE),
            "what it is for, as far as wiring goes; without it the wiring cannot be checked",
        ),
        optional(
            "group",
            Kind::Text,
            "terminals of one group belong together, as the two sides of one relay",
        ),
    ],
};

const ROLE: &[Word] = &{
    let mut words = [("", ""); ROLES.len()];
    let mut i = 0;
    while i < ROLES.len() {
        words[i] = (ROLES[i].1, ROLES[i].2);
        i += 1;
    }
    words
};

pub(super) const EXISTENCE: &[Word] = &[
    ("invented", "invented for demonstration; cannot be bought"),
    ("real", "exists; document, page and date read are given"),
];

const CONDITION: &[Word] = &[
    ("80 °F, 60 %", "26.67 °C and 60 %"),
    ("65 °F, 60 %", "18.33 °C and 60 %"),
    ("73 °F, 60 %", "22.78 °C and 60 %"),
    ("other", "dry bulb and relative humidity are given"),
];

const PERFORMANCE: &[Word] = &[
    ("table", "rows under [performance.table]"),
    ("curve", "coefficients under [performance.curve]"),
    (
        "closure",
        "carried from the first rating by physics, fitted to few points",
    ),
    ("rating only", "nothing but the rating is known"),
];

const HABIT: &[Word] = &[
    ("follows compressor", "stops with the compressor"),
    ("continuous", "never stops"),
];

const DEFROST: &[Word] = &[
    ("none", "none; the inlet window keeps it from frosting"),
    ("off-cycle", "compressor stops, fan goes on"),
    ("hot gas", "hot gas through the coil"),
];

const CABINET: &[Word] = &[
    (
        "draw-through",
        "fan after the coil; pan below room pressure",
    ),
    (
        "blow-through",
        "fan before the coil; pan above room pressure",
    ),
];

const FACE: &[Word] = &[
    ("front", "+x of the unit"),
    ("back", "-x"),
    ("left", "+y, on the left hand when looking to the front"),
    ("right", "-y"),
    ("top", "+z"),
    ("bottom", "-z"),
];

pub(super) const CONTROL: &[Word] = &[
    ("on-board humidistat", "humidistat in the unit"),
    (
        "data pair",
        "remote control on a pair that carries supply and data",
    ),
    (
        "powered bus",
        "remote control on four conductors, supply and data apart",
    ),
    ("dry contact", "dry contact from any controller"),
    ("0-10 V", "0 to 10 V from any controller"),
];

const FREQUENCY: &[Word] = &[
    ("60 Hz", "60 cycles a second"),
    ("50 Hz", "50 cycles a second"),
];

const DRY_BULB: Kind = quantity(Dim::Temperature, -10.0, 60.0);
const RH: Kind = quantity(Dim::RelHumidity, 0.05, 1.0);
const NUMBERS: Kind = Kind::List(&quantity(Dim::Number, -1e6, 1e6));
const SPAN: Kind = quantity(Dim::Length, 0.0, 5.0);

const fn min_t() -> Field {
    required(
        "min_dry_bulb",
        DRY_BULB,
        "lowest dry bulb at which they hold",
    )
}

const fn max_t() -> Field {
    required(
        "max_dry_bulb",
        DRY_BULB,
        "highest dry bulb at which they hold",
    )
}

const fn min_rh() -> Field {
    required("min_rh", RH, "lowest relative humidity at which they hold")
}

const fn max_rh() -> Field {
    required("max_rh", RH, "highest relative humidity at which they hold")
}

/// Machine file of a dehumidifier.
pub static MODEL_FORMAT: Format = Format {
    name: "machine file of a dehumidifier",
    help: "One file describes one model of dehumidifier: ratings, performance map, air flow, plate, body, control. Lengths on the body start at the centre of the box: x to the front, y to the left, z up.",
    sections: &[
        Section {
            key: "dehumidifier",
            title: "What it is",
            help: "Code and description.",
            repeat: Repeat::Once,
            fields: &[
                required(
                    "code",
                    Kind::Text,
                    "plain code by which room files name the model",
                ),
                required("description", Kind::Text, "what it is, in a line"),
                optional(
                    "price",
                    quantity(Dim::Money, 0.0, 1e7),
                    "first cost, in the currency of the site file",
                ),
            ],
        },
        SOURCE,
        FIGURE,
        Section {
            key: "rating",
            title: "Rated points",
            help: "Each with the air that it was taken at; the first is the reference of all else.",
            repeat: Repeat::Many,
            fields: &[
                required(
                    "condition",
                    Kind::Choice(CONDITION),
                    "standard air of the rating",
                ),
                optional(
                    "dry_bulb",
                    DRY_BULB,
                    "inlet dry bulb, where the condition is \"other\"",
                ),
                optional(
                    "rh",
                    RH,
                    "inlet relative humidity, where the condition is \"other\"",
                ),
                required(
                    "removal",
                    quantity(Dim::WaterRate, 1e-6, 0.05),
                    "water removed",
                ),
                optional(
                    "power",
                    quantity(Dim::Power, 20.0, 1e5),
                    "power drawn; or give energy_factor",
                ),
                optional(
                    "energy_factor",
                    quantity(Dim::WaterPerEnergy, 5e-8, 3e-6),
                    "water per energy; or give power",
                ),
            ],
        },
        Section {
            key: "performance",
            title: "Performance",
            help: "How removal and power follow the inlet air.",
            repeat: Repeat::Once,
            fields: &[
                required("kind", Kind::Choice(PERFORMANCE), "form of the data"),
                assumed(
                    "barometer",
                    quantity(Dim::Pressure, 60_000.0, 110_000.0),
                    "101325 Pa",
                    "data of makers hold near sea level unless they say otherwise",
                    "barometric pressure that the data hold at",
                ),
                Field::new(
                    "bypass_factor",
                    quantity(Dim::Number, 0.01, 0.6),
                    Need::default("0.20", CURVE_SOURCE),
                    "share of the air that leaves the coil as it came",
                ),
                Field::new(
                    "capacity_slope",
                    quantity(Dim::Number, -0.02, 0.08),
                    Need::default("0.015", CURVE_SOURCE),
                    "rise of the coil's capacity per kelvin of its temperature, share of the rated",
                ),
            ],
        },
        Section {
            key: "performance.table",
            title: "Performance table",
            help: "A full grid of dry bulb and relative humidity.",
            repeat: Repeat::Optional,
            fields: &[required(
                "rows",
                Kind::Map(&[
                    Column::required("dry bulb", Dim::Temperature, -10.0, 60.0),
                    Column::required("RH", Dim::RelHumidity, 0.05, 1.0),
                    Column::required("removal", Dim::WaterRate, 0.0, 0.05),
                    Column::required("power", Dim::Power, 20.0, 1e5),
                ]),
                "one row for each pair of dry bulb and relative humidity",
            )],
        },
        Section {
            key: "performance.curve",
            title: "Performance curve",
            help: "Biquadratics over the first rating: a + b T + c T^2 + d R + e R^2 + f T R, T in °C, R in percent.",
            repeat: Repeat::Optional,
            fields: &[
                required(
                    "removal",
                    NUMBERS,
                    "a, b, c, d, e, f of removal over rated removal",
                ),
                required(
                    "power",
                    NUMBERS,
                    "a, b, c, d, e, f of power over rated power",
                ),
                min_t(),
                max_t(),
                min_rh(),
                max_rh(),
            ],
        },
        Section {
            key: "performance.closure",
            title: "Performance by closure",
            help: "Few points only: removal by bypass factor and capacity slope, power as 1 + a (T - T_rated) + b (R - R_rated) over rated power.",
            repeat: Repeat::Optional,
            fields: &[
                required(
                    "power_per_k",
                    quantity(Dim::Number, -0.1, 0.1),
                    "a, per kelvin of dry bulb",
                ),
                required(
                    "power_per_percent",
                    quantity(Dim::Number, -0.1, 0.1),
                    "b, per percent of relative humidity",
                ),
                min_t(),
                max_t(),
                min_rh(),
                max_rh(),
            ],
        },
        Section {
            key: "fan",
            title: "Fan and filter",
            help: "Air flow against external static pressure with a clean filter.",
            repeat: Repeat::Once,
            fields: &[
                required(
                    "power",
                    quantity(Dim::Power, 1.0, 2e4),
                    "power of the fan alone",
                ),
                required(
                    "habit",
                    Kind::Choice(HABIT),
                    "what it does when the compressor stops",
                ),
                assumed(
                    "rated_static",
                    quantity(Dim::Pressure, 0.0, 1500.0),
                    "0 Pa",
                    "units without ducts are rated blowing free",
                    "external static pressure of the ratings",
                ),
                required(
                    "clean_filter",
                    quantity(Dim::Pressure, 0.0, 1500.0),
                    "pressure over the clean filter",
                ),
                required(
                    "dirty_filter",
                    quantity(Dim::Pressure, 0.0, 1500.0),
                    "pressure over the filter due for change, at the rated flow",
                ),
                required(
                    "rows",
                    Kind::Map(&[
                        Column::required("static", Dim::Pressure, 0.0, 2500.0),
                        Column::required("air flow", Dim::AirFlow, 0.005, 20.0),
                    ]),
                    "external static pressure and air flow, pressure rising",
                ),
            ],
        },
        Section {
            key: "limits",
            title: "Limits and delays",
            help: "Inlet window, defrost, and the delays of the unit's own control.",
            repeat: Repeat::Once,
            fields: &[
                required(
                    "min_inlet",
                    quantity(Dim::Temperature, -10.0, 30.0),
                    "lowest inlet dry bulb at which it runs",
                ),
                required(
                    "max_inlet",
                    quantity(Dim::Temperature, 20.0, 55.0),
                    "highest inlet dry bulb at which it runs",
                ),
                required("defrost", Kind::Choice(DEFROST), "how it gets rid of frost"),
                optional(
                    "defrost_start",
                    quantity(Dim::Temperature, -20.0, 5.0),
                    "coil temperature at which defrost starts",
                ),
                optional(
                    "defrost_end",
                    quantity(Dim::Temperature, 0.0, 30.0),
                    "coil temperature at which it ends",
                ),
                optional(
                    "defrost_share",
                    quantity(Dim::Fraction, 0.0, 0.5),
                    "share of the running time in defrost when frosting (hot gas)",
                ),
                Field::new(
                    "restart_delay",
                    quantity(Dim::Duration, 0.0, 1800.0),
                    Need::default(
                        "3 min",
                        Source::common_practice(
                            "three minutes protect a compressor from short cycling",
                        ),
                    ),
                    "from power-up or stop to start",
                ),
                Field::new(
                    "min_on",
                    quantity(Dim::Duration, 0.0, 3600.0),
                    Need::default(
                        "3 min",
                        Source::common_practice("least running time of a small compressor"),
                    ),
                    "least running time",
                ),
                Field::new(
                    "min_off",
                    quantity(Dim::Duration, 0.0, 3600.0),
                    Need::default(
                        "3 min",
                        Source::common_practice("least time off of a small compressor"),
                    ),
                    "least time off",
                ),
                required(
                    "pan_pressure",
                    quantity(Dim::Pressure, 0.0, 1500.0),
                    "greatest magnitude of the pressure at the drain pan against the room, dirty filter, fan fastest",
                ),
            ],
        },
        Section {
            key: "electric",
            title: "Electrical plate",
            help: "As on the nameplate.",
            repeat: Repeat::Once,
            fields: &[
                required(
                    "voltage",
                    quantity(Dim::Voltage, 80.0, 700.0),
                    "rated voltage",
                ),
                optional(
                    "low_voltage",
                    quantity(Dim::Voltage, 80.0, 700.0),
                    "lower rated voltage of a plate with two, as 208 V of 208/240 V",
                ),
                required("phases", Kind::count(1, 3), "1 or 3"),
                required(
                    "frequency",
                    Kind::Choice(FREQUENCY),
                    "frequency of the supply",
                ),
                required(
                    "full_load",
                    quantity(Dim::Current, 0.1, 400.0),
                    "rated (full-load) current",
                ),
                required(
                    "min_circuit",
                    quantity(Dim::Current, 0.1, 500.0),
                    "minimum circuit ampacity",
                ),
                required(
                    "max_protection",
                    quantity(Dim::Current, 1.0, 600.0),
                    "greatest overcurrent protection",
                ),
                optional(
                    "compressor_current",
                    quantity(Dim::Current, 0.1, 400.0),
                    "rated-load current of the compressor alone (RLA)",
                ),
                optional(
                    "locked_rotor",
                    quantity(Dim::Current, 0.5, 3000.0),
                    "current with the rotor locked (LRA)",
                ),
                required(
                    "standby",
                    quantity(Dim::Power, 0.0, 200.0),
                    "power when nothing runs",
                ),
            ],
        },
        Section {
            key: "refrigerant",
            title: "Refrigerant",
            help: "Designation and charge.",
            repeat: Repeat::Once,
            fields: &[
                required("name", Kind::Text, "designation, as R-32"),
                required(
                    "charge",
                    quantity(Dim::Mass, 0.01, 50.0),
                    "mass of the charge",
                ),
            ],
        },
        Section {
            key: "body",
            title: "Body",
            help: "Size, mass and faces. Lengths start at the centre of the box: x to the front, y to the left, z up.",
            repeat: Repeat::Once,
            fields: &[
                required("length", quantity(Dim::Length, 0.1, 5.0), "back to front"),
                required("width", quantity(Dim::Length, 0.1, 5.0), "right to left"),
                required("height", quantity(Dim::Length, 0.1, 5.0), "bottom to top"),
                required(
                    "mass_dry",
                    quantity(Dim::Mass, 1.0, 2000.0),
                    "mass without water",
                ),
                required(
                    "mass_wet",
                    quantity(Dim::Mass, 1.0, 2000.0),
                    "mass with the pan full",
                ),
                required(
                    "centre_of_gravity",
                    Kind::Point,
                    "from the centre of the box",
                ),
                required(
                    "cabinet",
                    Kind::Choice(CABINET),
                    "where the fan stands to the coil",
                ),
                required("inlet", Kind::Choice(FACE), "face that air enters by"),
                required("outlet", Kind::Choice(FACE), "face that air leaves by"),
                required(
                    "filter",
                    Kind::Choice(FACE),
                    "face that the filter is drawn from",
                ),
                required("panel", Kind::Choice(FACE), "face of the electrical panel"),
                required("drain", Kind::Choice(FACE), "face of the drain outlet"),
                required(
                    "drain_at",
                    Kind::Point,
                    "centre of the drain outlet, from the centre of the box",
                ),
            ],
        },
        Section {
            key: "hanging",
            title: "Hanging and pan",
            help: "Where rods go, and how the pan falls.",
            repeat: Repeat::Once,
            fields: &[
                optional(
                    "points",
                    Kind::List(&Kind::Point),
                    "the four hanging points, from the centre of the box",
                ),
                Field::new(
                    "pan_fall",
                    quantity(Dim::Slope, 0.0, 0.2),
                    Need::default(
                        "10 mm/m",
                        Source::memory(
                            "ASHRAE Standard 62.1, drain pans: an eighth of an inch per foot",
                            "5.10 in the editions of 2010 to 2019, not read",
                        ),
                    ),
                    "fall of the pan to its outlet with the cabinet level",
                ),
                assumed(
                    "outlet",
                    quantity(Dim::Length, 0.005, 0.1),
                    "3/4 in",
                    "the usual pan outlet",
                    "inside diameter of the drain outlet",
                ),
            ],
        },
        Section {
            key: "clearance",
            title: "Clearances",
            help: "Free space that the unit needs.",
            repeat: Repeat::Once,
            fields: &[
                required("front", SPAN, "at the front"),
                required("back", SPAN, "at the back"),
                required("left", SPAN, "on the left"),
                required("right", SPAN, "on the right"),
                required("top", SPAN, "above"),
                required("bottom", SPAN, "below"),
            ],
        },
        Section {
            key: "control",
            title: "Control",
            help: "How it is told to run, and what to do at set-up.",
            repeat: Repeat::Once,
            fields: &[
                required("family", Kind::Choice(CONTROL), "family of control"),
                optional(
                    "voltage",
                    quantity(Dim::Voltage, 0.0, 60.0),
                    "voltage on its field wiring",
                ),
                optional(
                    "current",
                    quantity(Dim::Current, 0.0, 10.0),
                    "current in its field wiring",
                ),
                optional(
                    "setpoint_step",
                    quantity(Dim::RelHumidityDifference, 0.001, 0.2),
                    "steps in which its own humidistat is set",
                ),
                required(
                    "set_up",
                    Kind::List(&Kind::Text),
                    "what to do at set-up, in order",
                ),
            ],
        },
        TERMINAL,
    ],
};

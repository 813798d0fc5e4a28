//! The table of fields of a cooling machine's file.

use fields::{Column, Field, Format, Kind, Need, Repeat, Section, Word};
use quantity::{Dim, Source};

use super::model_format::{FIGURE, SOURCE};

const fn required(key: &'static str, kind: Kind, help: &'static str) -> Field {
    Field::new(key, kind, Need::Required, help)
}

const KIND: &[Word] = &[
    ("map", "a map under [map.total] and [map.sensible]"),
    ("rated point", "the rating with public curves around it"),
    ("chilled water", "a coil with chilled water, under [water]"),
];

const CAPACITY: Kind = Kind::quantity(Dim::Cooling, 100.0, 2e6);

/// Machine file of a cooling machine.
pub static COOLER_FORMAT: Format = Format {
    name: "machine file of a cooling machine",
    help: "One file describes one cooling machine. Capacities are gross: before the heat of the indoor fan.",
    sections: &[
        Section {
            key: "cooler",
            title: "What it is",
            help: "Code, description and kind.",
            repeat: Repeat::Once,
            fields: &[
                required("code", Kind::Text, "plain code by which room files name it"),
                required("description", Kind::Text, "what it is, in a line"),
                required("kind", Kind::Choice(KIND), "how capacity follows the air"),
                Field::new(
                    "price",
                    Kind::quantity(Dim::Money, 0.0, 1e7),
                    Need::Optional,
                    "first cost, in the currency of the site file",
                ),
                required(
                    "air_flow",
                    Kind::quantity(Dim::AirFlow, 0.01, 100.0),
                    "air flow of the ratings",
                ),
                required(
                    "fan_power",
                    Kind::quantity(Dim::Power, 0.0, 1e5),
                    "power of the indoor fan, all of it into the air",
                ),
                Field::new(
                    "outdoor_fan_power",
                    Kind::quantity(Dim::Power, 0.0, 1e5),
                    Need::default("0 W", Source::assumed("machines without an outdoor fan")),
                    "power of the outdoor fan",
                ),
                Field::new(
                    "degradation",
                    Kind::quantity(Dim::Number, 0.0, 0.5),
                    Need::default(
                        "0.229",
                        Source::published(
                            "Neymark and Judkoff 2002, NREL/TP-550-30152",
                            "part-load rule of the cases E100 to E200",
                        ),
                    ),
                    "C of the part-load rule 1 - C (1 - part load)",
                ),
                Field::new(
                    "barometer",
                    Kind::quantity(Dim::Pressure, 60_000.0, 110_000.0),
                    Need::default(
                        "101325 Pa",
                        Source::assumed(
                            "data of makers hold near sea level unless they say otherwise",
                        ),
                    ),
                    "barometric pressure that the data hold at",
                ),
            ],
        },
        SOURCE,
        FIGURE,
        Section {
            key: "rating",
            title: "Rated point",
            help: "Gross capacities at one entering air.",
            repeat: Repeat::Once,
            fields: &[
                required(
                    "dry_bulb",
                    Kind::quantity(Dim::Temperature, 5.0, 45.0),
                    "entering dry bulb",
                ),
                required(
                    "wet_bulb",
                    Kind::quantity(Dim::Temperature, 0.0, 40.0),
                    "entering wet bulb",
                ),
                Field::new(
                    "outdoor",
                    Kind::quantity(Dim::Temperature, -20.0, 60.0),
                    Need::default(
                        "35 °C",
                        Source::common_practice("usual rating condition of air-cooled machines"),
                    ),
                    "outdoor dry bulb",
                ),
                required("total", CAPACITY, "gross total capacity"),
                required("sensible", CAPACITY, "gross sensible capacity"),
                Field::new(
                    "compressor",
                    Kind::quantity(Dim::Power, 0.0, 1e6),
                    Need::default("0 W", Source::assumed("machines without a compressor")),
                    "power of the compressor",
                ),
            ],
        },
        Section {
            key: "map.total",
            title: "Map of total capacity",
            help: "Gross total capacity of the wet coil and power of the compressor, over outdoor dry bulb and entering wet bulb: a full grid.",
            repeat: Repeat::Optional,
            fields: &[required(
                "rows",
                Kind::Map(&[
                    Column::required("outdoor", Dim::Temperature, -20.0, 60.0),
                    Column::required("wet bulb", Dim::Temperature, 0.0, 40.0),
                    Column::required("total", Dim::Cooling, 0.0, 2e6),
                    Column::required("compressor", Dim::Power, 0.0, 1e6),
                ]),
                "one row for each pair of outdoor dry bulb and wet bulb",
            )],
        },
        Section {
            key: "map.sensible",
            title: "Map of sensible capacity",
            help: "Gross sensible capacity over outdoor dry bulb, entering wet bulb and entering dry bulb: a full grid. Where it is over the total the coil is dry.",
            repeat: Repeat::Optional,
            fields: &[required(
                "rows",
                Kind::Map(&[
                    Column::required("outdoor", Dim::Temperature, -20.0, 60.0),
                    Column::required("wet bulb", Dim::Temperature, 0.0, 40.0),
                    Column::required("dry bulb", Dim::Temperature, 0.0, 60.0),
                    Column::required("sensible", Dim::Cooling, 0.0, 2e6),
                ]),
                "one row for each of the three temperatures",
            )],
        },
        Section {
            key: "water",
            title: "Chilled water",
            help: "Water of the rating.",
            repeat: Repeat::Optional,
            fields: &[
                required(
                    "supply",
                    Kind::quantity(Dim::Temperature, 1.0, 25.0),
                    "temperature of the supplied water",
                ),
                required(
                    "flow",
                    Kind::quantity(Dim::WaterRate, 0.001, 200.0),
                    "water flow with the valve open",
                ),
            ],
        },
    ],
};

//! The table of fields of a controller's file.

use fields::{Field, Format, Kind, Need, Repeat, Section};
use quantity::Dim;

use super::model_format::{CONTROL, FIGURE, SOURCE, TERMINAL};

const fn required(key: &'static str, kind: Kind, help: &'static str) -> Field {
    Field::new(key, kind, Need::Required, help)
}

const fn optional(key: &'static str, kind: Kind, help: &'static str) -> Field {
    Field::new(key, kind, Need::Optional, help)
}

/// Machine file of a controller.
pub static CONTROLLER_FORMAT: Format = Format {
    name: "machine file of a controller",
    help: "One file describes one controller that tells units to run and is no part of them.",
    sections: &[
        Section {
            key: "controller",
            title: "What it is",
            help: "Code, description and what it can tell to run.",
            repeat: Repeat::Once,
            fields: &[
                required("code", Kind::Text, "plain code by which room files name it"),
                required("description", Kind::Text, "what it is, in a line"),
                required(
                    "families",
                    Kind::List(&Kind::Choice(CONTROL)),
                    "families of unit that it can tell to run",
                ),
                required(
                    "max_units",
                    Kind::count(1, 250),
                    "most units that it can serve",
                ),
                optional(
                    "supply_voltage",
                    Kind::quantity(Dim::Voltage, 1.0, 60.0),
                    "voltage that it supplies to its field wiring",
                ),
                optional(
                    "supply_power",
                    Kind::quantity(Dim::ApparentPower, 0.1, 500.0),
                    "apparent power that it can supply",
                ),
                optional(
                    "contact_voltage",
                    Kind::quantity(Dim::Voltage, 1.0, 400.0),
                    "greatest voltage on its relays",
                ),
                optional(
                    "contact_current",
                    Kind::quantity(Dim::Current, 0.001, 30.0),
                    "greatest current through its relays",
                ),
                optional(
                    "setpoint_step",
                    Kind::quantity(Dim::RelHumidityDifference, 0.001, 0.2),
                    "steps in which a humidity is set on it",
                ),
                required(
                    "set_up",
                    Kind::List(&Kind::Text),
                    "what to do at set-up, in order",
                ),
            ],
        },
        SOURCE,
        FIGURE,
        TERMINAL,
    ],
};

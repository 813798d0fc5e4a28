//! How the numbers of a catch came about.

use equipment::{Model, Output};
use quantity::{Dim, Equation, Input, Source, Value, Working};

use super::{Collection, Condensate, HOLD_UP_KG, map_uncertainty};
use crate::acceptance::gum::{self, Budget, Named, rectangular};
use crate::acceptance::{Estimate, GUM};

pub(super) struct Budgets<'a> {
    pub(super) measured: &'a Budget,
    pub(super) inlet: &'a Budget,
    pub(super) air: [Estimate; 2],
    pub(super) out: &'a Output,
}

pub(super) fn all(
    model: &Model,
    collection: &Collection,
    found: &Condensate,
    budgets: &Budgets<'_>,
) -> Vec<Working> {
    let water = |si: f64| Value::new(si, Dim::WaterRate);
    let caught = Working {
        name: "water caught per time".into(),
        symbol: "m".into(),
        equation: Equation::Algebra("M / t".into()),
        inputs: vec![
            Input::given(
                "water caught",
                "M",
                Value::new(collection.water_kg, Dim::Water),
                Source::measured("reading of the jug", ""),
            ),
            Input::given(
                "time of catching",
                "t",
                Value::new(collection.over_s, Dim::Duration),
                Source::measured("watch", ""),
            ),
        ],
        result: water(found.measured.value),
        source: Source::published("water balance of the unit", ""),
    };
    let mass = |si: f64| Value::new(si, Dim::Water);
    let time = Value::new(collection.over_s, Dim::Duration);
    let ends_s = rectangular(collection.ends_to_s);
    let named = [
        Named {
            name: "the reading of the jug",
            symbol: "M",
            value: mass(collection.water_kg),
            standard_uncertainty: rectangular(collection.read_to_kg),
        },
        Named {
            name: "what pan, coil and trap hold more or less",
            symbol: "H",
            value: mass(0.0),
            standard_uncertainty: rectangular(HOLD_UP_KG),
        },
        Named {
            name: "the begin of the time",
            symbol: "t_1",
            value: time,
            standard_uncertainty: ends_s,
        },
        Named {
            name: "the end of the time",
            symbol: "t_2",
            value: time,
            standard_uncertainty: ends_s,
        },
    ];
    let measured = gum::expanded_working(
        "expanded uncertainty of the water caught per time",
        water(0.0),
        &named,
        budgets.measured,
    );
    let [dry_bulb, humidity] = budgets.air;
    let inlet_named = [
        Named {
            name: "dry bulb at the inlet",
            symbol: "T",
            value: Value::new(dry_bulb.value, Dim::Temperature),
            standard_uncertainty: dry_bulb.standard_uncertainty,
        },
        Named {
            name: "relative humidity at the inlet",
            symbol: "RH",
            value: Value::new(humidity.value, Dim::RelHumidity),
            standard_uncertainty: humidity.standard_uncertainty,
        },
    ];
    let inlet = Working {
        symbol: "U_inlet".into(),
        ..gum::expanded_working(
            "expanded uncertainty that the readings of the inlet add to the removal expected",
            water(0.0),
            &inlet_named,
            budgets.inlet,
        )
    };
    let share = map_uncertainty(model, budgets.out);
    let expected = Working {
        name: "removal expected at the inlet air".into(),
        symbol: "m_exp".into(),
        equation: Equation::Procedure("map of the unit's record at the mean inlet air".into()),
        inputs: vec![
            Input::given(
                "dry bulb at the inlet",
                "T",
                Value::new(dry_bulb.value, Dim::Temperature),
                Source::measured("mean of the readings", ""),
            ),
            Input::given(
                "relative humidity at the inlet",
                "RH",
                Value::new(humidity.value, Dim::RelHumidity),
                Source::measured("mean of the readings", ""),
            ),
        ],
        result: water(found.expected.value),
        source: Source::measured("machine record", model.code.clone()),
    };
    let map = Working {
        name: "expanded uncertainty of the map".into(),
        symbol: "U_map".into(),
        equation: Equation::Algebra("a * m_exp".into()),
        inputs: vec![
            Input::given(
                "expanded uncertainty of the map over its removal",
                "a",
                Value::new(share, Dim::Fraction).digits(2),
                Source::assumed(
                    "10 % inside the maker's data, 14 % by a rating and public curves, 30 % beyond the data",
                ),
            ),
            Input::computed(expected),
        ],
        result: water(share * found.expected.value).digits(2),
        source: Source::assumed("makers' tolerances are of this order"),
    };
    let together = Working {
        name: "what measured and expected may differ by".into(),
        symbol: "U_diff".into(),
        equation: Equation::Algebra("sqrt(U^2 + U_map^2 + U_inlet^2)".into()),
        inputs: vec![
            Input::computed(measured),
            Input::computed(map),
            Input::computed(inlet),
        ],
        result: water(found.difference_kg_per_s).digits(2),
        source: GUM,
    };
    vec![caught, together]
}

//! Workings of people, air exchange and burners.

use quantity::{Dim, Input, Value, Working};

use super::{Known, KnownAir, algebra};
use crate::air_exchange::air_exchange;
use crate::combustion::{Fuel, burner_from_fuel};
use crate::people::{Activity, person};
use crate::sources;

/// Water of people; as [`person`], times their number.
///
/// - `count`: how many; `activity`: what they do; `air`: room air
///
/// **Valid**, **Source** as there.
pub fn people_water(count: Known, activity: Activity, air: &KnownAir) -> Working {
    let one = person(activity, air.state.dry_bulb_c());
    let rate = count.si() * one.water_kg_per_s;
    algebra(
        "water given off by people",
        "w_people",
        "n * Q_lat / (2501000 - 2361 * T_a)",
        vec![
            count.input("people in the room", "n", Dim::Count),
            Input::given(
                "latent heat of one person",
                "Q_lat",
                Value::new(one.latent_w, Dim::Power),
                sources::PEOPLE,
            ),
            air.dry_bulb(),
        ],
        Value::new(rate, Dim::WaterRate),
        sources::PEOPLE,
    )
}

/// Heat of people to the air; as [`person`], times their number.
///
/// - `count`: how many; `activity`: what they do
///
/// **Valid**, **Source** as there.
pub fn people_heat(count: Known, activity: Activity) -> Working {
    let one_w = person(activity, 24.0).sensible_w;
    let heat_w = count.si() * one_w;
    algebra(
        "heat given off by people",
        "Q_people",
        "n * Q_sens",
        vec![
            count.input("people in the room", "n", Dim::Count),
            Input::given(
                "sensible heat of one person",
                "Q_sens",
                Value::new(one_w, Dim::Power),
                sources::PEOPLE,
            ),
        ],
        Value::new(heat_w, Dim::Power),
        sources::PEOPLE,
    )
}

/// Water brought by air exchange; as [`air_exchange`].
///
/// - `flow_m3_per_s`: at the outdoor state; `outdoor`, `indoor`: the two states
///
/// **Valid**, **Source** as there.
pub fn air_exchange_water(flow_m3_per_s: Known, outdoor: &KnownAir, indoor: &KnownAir) -> Working {
    let gain = air_exchange(&outdoor.state, &indoor.state, flow_m3_per_s.si());
    algebra(
        "water brought by air exchange",
        "w_air",
        "V_out / v_out * (W_out - W_in)",
        exchange_inputs(flow_m3_per_s, outdoor, indoor),
        Value::new(gain.water_kg_per_s, Dim::WaterRate),
        sources::BALANCE,
    )
}

/// Sensible heat brought by air exchange; as [`air_exchange`].
///
/// - `flow_m3_per_s`: at the outdoor state; `outdoor`, `indoor`: the two states
///
/// **Valid**, **Source** as there.
pub fn air_exchange_heat(flow_m3_per_s: Known, outdoor: &KnownAir, indoor: &KnownAir) -> Working {
    let gain = air_exchange(&outdoor.state, &indoor.state, flow_m3_per_s.si());
    let mut inputs = exchange_inputs(flow_m3_per_s, outdoor, indoor);
    inputs.truncate(3);
    let t_out = outdoor.state.dry_bulb_c();
    let t_in = indoor.state.dry_bulb_c();
    inputs.push(outdoor.input("outdoor dry bulb", "T_out", t_out, Dim::Temperature));
    inputs.push(indoor.input("room dry bulb", "T_in", t_in, Dim::Temperature));
    algebra(
        "sensible heat brought by air exchange",
        "Q_air",
        "V_out / v_out * (1006 + 1860 * W_out) * (T_out - T_in)",
        inputs,
        Value::new(gain.sensible_w, Dim::Power),
        sources::BALANCE,
    )
}

fn exchange_inputs(flow_m3_per_s: Known, outdoor: &KnownAir, indoor: &KnownAir) -> Vec<Input> {
    let v_out = outdoor.state.specific_volume_m3_per_kg();
    let w_out = outdoor.state.humidity_ratio();
    let w_in = indoor.state.humidity_ratio();
    vec![
        flow_m3_per_s.input("outdoor air that enters", "V_out", Dim::AirFlow),
        outdoor.input(
            "outdoor specific volume",
            "v_out",
            v_out,
            Dim::SpecificVolume,
        ),
        outdoor.input("outdoor humidity ratio", "W_out", w_out, Dim::HumidityRatio),
        indoor.input("room humidity ratio", "W_in", w_in, Dim::HumidityRatio),
    ]
}

/// Water made by a burner without a flue; as
/// [`burner_from_fuel`].
///
/// - `fuel`: what is burnt; `fuel_kg_per_s`: how much
///
/// **Valid**, **Source** as there.
pub fn burner_water(fuel: Fuel, fuel_kg_per_s: Known) -> Working {
    let per_kg = fuel.water_kg_per_kg();
    let rate = burner_from_fuel(fuel, fuel_kg_per_s.si()).water_kg_per_s;
    algebra(
        "water made by the burner",
        "w_burner",
        "m_fuel * y_H2O",
        vec![
            fuel_kg_per_s.input("fuel burnt", "m_fuel", Dim::MassRate),
            Input::given(
                "water per fuel, by mass",
                "y_H2O",
                Value::new(per_kg, Dim::Number).digits(4),
                sources::STOICHIOMETRY,
            ),
        ],
        Value::new(rate, Dim::WaterRate),
        sources::STOICHIOMETRY,
    )
}

/// Heat of a burner without a flue to the air; as
/// [`burner_from_fuel`].
///
/// - `fuel`: what is burnt; `fuel_kg_per_s`: how much
///
/// **Valid**, **Source** as there.
pub fn burner_heat(fuel: Fuel, fuel_kg_per_s: Known) -> Working {
    let lower = fuel.lower_heating_value_j_per_kg();
    let heat_w = burner_from_fuel(fuel, fuel_kg_per_s.si()).sensible_w;
    algebra(
        "heat of the burner to the air",
        "Q_burner",
        "m_fuel * LHV",
        vec![
            fuel_kg_per_s.input("fuel burnt", "m_fuel", Dim::MassRate),
            Input::given(
                "lower heating value [J/kg]",
                "LHV",
                Value::new(lower, Dim::Number),
                sources::HEATING_VALUES,
            ),
        ],
        Value::new(heat_w, Dim::Power),
        sources::HEATING_VALUES,
    )
}

//! Workings of wet surfaces: growing medium and open water.

use std::borrow::Cow;

use quantity::{Dim, Equation, Input, Source, Value, Working};

use super::{Known, KnownAir, algebra, gamma, slope, vpd};
use crate::medium::{MediumSurface, medium_water_kg_per_m2_s};
use crate::{sources, water_surface};

/// What reaches a surface of growing medium, and how it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownMedium {
    /// Light taken up \[W/m²\].
    pub absorbed_light_w_per_m2: Known,
    /// Resistance of the air layer \[s/m\].
    pub aero_resistance_s_per_m: Known,
    /// Resistance of the dry skin \[s/m\].
    pub skin_resistance_s_per_m: Known,
}

/// Water from growing medium; as [`medium_water_kg_per_m2_s`].
///
/// - `medium`: light and resistances; `air`: air above it
///
/// **Valid**, **Source** as there.
pub fn medium_water(medium: &KnownMedium, air: &KnownAir) -> Working {
    let surface = MediumSurface {
        absorbed_light_w_per_m2: medium.absorbed_light_w_per_m2.si(),
        aero_resistance_s_per_m: medium.aero_resistance_s_per_m.si(),
        skin_resistance_s_per_m: medium.skin_resistance_s_per_m.si(),
    };
    algebra(
        "water from the growing medium",
        "w_medium",
        "(slope * R_m + (1006 + 1860 * W_a) / v_a * VPD / r_a) / ((2501000 - 2361 * T_a) * (slope + gamma * (1 + r_m / r_a)))",
        vec![
            slope(air),
            medium.absorbed_light_w_per_m2.clone().input(
                "light on the medium",
                "R_m",
                Dim::HeatFlux,
            ),
            air.humidity_ratio(),
            air.specific_volume(),
            vpd(air),
            medium.aero_resistance_s_per_m.clone().input(
                "resistance of the air layer",
                "r_a",
                Dim::Resistance,
            ),
            air.dry_bulb(),
            gamma(air),
            medium.skin_resistance_s_per_m.clone().input(
                "resistance of the dry skin",
                "r_m",
                Dim::Resistance,
            ),
        ],
        Value::new(
            medium_water_kg_per_m2_s(&surface, &air.state),
            Dim::WaterFlux,
        ),
        sources::FAO_56,
    )
}

fn water_side_pressure(water_c: &Known) -> Input {
    Input::computed(Working {
        name: "saturation pressure at the water".into(),
        symbol: "p_w".into(),
        equation: Equation::Procedure(
            "saturation pressure over water or ice, ASHRAE Fundamentals 2017 ch. 1 eqs 5 and 6"
                .into(),
        ),
        inputs: vec![
            water_c
                .clone()
                .input("water temperature", "T_w", Dim::Temperature),
        ],
        result: Value::new(
            air::saturation_pressure_pa(water_c.si()),
            Dim::VapourPressure,
        )
        .digits(4),
        source: Source::published("ASHRAE Handbook, Fundamentals 2017", "ch. 1, eqs 5 and 6"),
    })
}

/// Water from a reservoir in still air; as [`water_surface::shah_kg_per_m2_s`].
///
/// - `water_c`: water temperature \[°C\]; `air`: room air
///
/// The equation shown is the larger of the two forms, the one that counts.
///
/// **Valid**, **Source** as there.
pub fn still_water(water_c: Known, air: &KnownAir) -> Working {
    let rate = water_surface::shah_kg_per_m2_s(water_c.si(), &air.state);
    let p_w_pa = air::saturation_pressure_pa(water_c.si());
    let forced = 5.0e-5 * (p_w_pa - air.state.vapour_pressure_pa()) / 3600.0;
    let (equation, inputs) = if rate <= 0.0 {
        (
            "0",
            vec![water_side_pressure(&water_c), air.vapour_pressure()],
        )
    } else if rate <= forced {
        (
            "0.00005 * (p_w - p_a) / 3600",
            vec![water_side_pressure(&water_c), air.vapour_pressure()],
        )
    } else {
        let pressure_pa = air.state.pressure_pa();
        let w_w = air::saturation_humidity_ratio(water_c.si(), pressure_pa);
        let v_w = air::specific_volume_m3_per_kg(water_c.si(), w_w, pressure_pa);
        let of_water = |name, symbol, si, dim| {
            Input::computed(Working {
                name: Cow::Borrowed(name),
                symbol: Cow::Borrowed(symbol),
                equation: Equation::Procedure("air saturated at the water's temperature".into()),
                inputs: vec![
                    water_c
                        .clone()
                        .input("water temperature", "T_w", Dim::Temperature),
                ],
                result: Value::new(si, dim).digits(5),
                source: sources::BALANCE,
            })
        };
        (
            "35 / v_w * (1 / v_a - 1 / v_w) ^ (1 / 3) * (W_w - W_a) / 3600",
            vec![
                of_water(
                    "specific volume at the water",
                    "v_w",
                    v_w,
                    Dim::SpecificVolume,
                ),
                air.specific_volume(),
                of_water(
                    "humidity ratio at the water",
                    "W_w",
                    w_w,
                    Dim::HumidityRatio,
                ),
                air.humidity_ratio(),
            ],
        )
    };
    algebra(
        "water from a still surface",
        "w_tank",
        equation,
        inputs,
        Value::new(rate, Dim::WaterFlux),
        sources::SHAH,
    )
}

/// Water from a surface under moving air; as
/// [`water_surface::handbook_kg_per_m2_s`].
///
/// - `water_c`: water temperature \[°C\]; `air`: room air;
///   `air_speed_m_per_s`: speed over it, 0 or more
///
/// **Valid**, **Source** as there.
pub fn blown_water(water_c: Known, air: &KnownAir, air_speed_m_per_s: Known) -> Working {
    let rate =
        water_surface::handbook_kg_per_m2_s(water_c.si(), &air.state, air_speed_m_per_s.si());
    algebra(
        "water from a surface under moving air",
        "w_tank",
        "(p_w - p_a) * (0.089 + 0.0782 * V) / (2501000 - 2361 * T_w)",
        vec![
            water_side_pressure(&water_c),
            air.vapour_pressure(),
            air_speed_m_per_s.input("air speed over the water", "V", Dim::Speed),
            water_c.input("water temperature", "T_w", Dim::Temperature),
        ],
        Value::new(rate, Dim::WaterFlux),
        sources::HANDBOOK_WATER_SURFACE,
    )
}

//! Workings of water balances: irrigation and a crop hung to dry.

use quantity::{Dim, Input, Source, Value, Working};

use super::{Known, algebra};
use crate::drying::HungCrop;
use crate::{irrigation, sources};

/// The ceiling that irrigation sets; as [`irrigation::ceiling_kg_per_s`].
///
/// - `applied_kg_per_s`, `runoff_kg_per_s`: means over some days
///
/// **Valid**, **Source** as there.
pub fn irrigation_ceiling(applied_kg_per_s: Known, runoff_kg_per_s: Known) -> Working {
    let rate = irrigation::ceiling_kg_per_s(applied_kg_per_s.si(), runoff_kg_per_s.si());
    algebra(
        "most that can evaporate of the water fed",
        "w_ceiling",
        "(1 - s_kept) * (applied - runoff)",
        vec![
            Input::given(
                "share kept in new growth",
                "s_kept",
                Value::new(irrigation::RETAINED_SHARE, Dim::Fraction),
                Source::published(
                    "Ohyama, Yamaguchi, Enjoji, Agronomy 10 (2020) 723",
                    "abstract: water use efficiency 4.0 %",
                ),
            ),
            applied_kg_per_s.input("water applied", "applied", Dim::WaterRate),
            runoff_kg_per_s.input("water run off", "runoff", Dim::WaterRate),
        ],
        Value::new(rate, Dim::WaterRate),
        sources::IRRIGATION_BALANCE,
    )
}

/// Water given off by a crop hung to dry, between two times; as
/// [`HungCrop::water_given_off_kg`].
///
/// - `crop`: as surveyed; `survey`: where it was written down
/// - `from_s`, `to_s`: times since hanging \[s\]
///
/// **Valid**, **Source** as there; the rate constant is derived from the survey.
pub fn drying_water(crop: &HungCrop, survey: &Source, from_s: f64, to_s: f64) -> Working {
    let given = |name: &'static str, symbol: &'static str, si: f64, dim: Dim| {
        Input::given(name, symbol, Value::new(si, dim), survey.clone())
    };
    let ratio = algebra(
        "share of free water left at take-down",
        "MR_end",
        "(m_end / (1 - m_end) - m_eq / (1 - m_eq)) / (m_start / (1 - m_start) - m_eq / (1 - m_eq))",
        vec![
            given(
                "moisture at take-down",
                "m_end",
                crop.end_moisture,
                Dim::Fraction,
            ),
            given(
                "moisture in balance with the air",
                "m_eq",
                crop.equilibrium_moisture,
                Dim::Fraction,
            ),
            given(
                "moisture when hung",
                "m_start",
                crop.start_moisture,
                Dim::Fraction,
            ),
        ],
        Value::new(crop.end_ratio(), Dim::Fraction),
        sources::THIN_LAYER,
    );
    algebra(
        "water given off by the hung crop",
        "w_drying",
        "M_wet * (1 - m_start) * (m_start / (1 - m_start) - m_eq / (1 - m_eq)) * (MR_end ^ ((t_from / t_end) ^ n) - MR_end ^ ((t_to / t_end) ^ n))",
        vec![
            given("mass when hung", "M_wet", crop.wet_mass_kg, Dim::Mass),
            given(
                "moisture when hung",
                "m_start",
                crop.start_moisture,
                Dim::Fraction,
            ),
            given(
                "moisture in balance with the air",
                "m_eq",
                crop.equilibrium_moisture,
                Dim::Fraction,
            ),
            Input::computed(ratio),
            given("from, since hanging", "t_from", from_s, Dim::Duration),
            given("to, since hanging", "t_to", to_s, Dim::Duration),
            given(
                "days to take-down",
                "t_end",
                crop.drying_time_s,
                Dim::Duration,
            ),
            given("shape of the curve", "n", crop.page_exponent, Dim::Number),
        ],
        Value::new(crop.water_given_off_kg(from_s, to_s), Dim::Water),
        sources::THIN_LAYER,
    )
}

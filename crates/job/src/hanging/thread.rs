//! Threaded rod: areas, and the load that a rod may carry.

use std::f64::consts::PI;

use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::Rod;

/// Newtons in a pound-force.
const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
/// Metres in an inch.
pub const INCH_M: f64 = 0.0254;
/// 9 ksi \[Pa\]: what the older column allows on the root of the thread.
pub const ROOT_STRESS_PA: f64 = 9000.0 * 6_894.757_293_168;

/// System of a thread: where its flanks end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ThreadSystem {
    /// Unified coarse (ASME B1.1).
    Unified,
    /// ISO metric coarse.
    Metric,
}

/// A thread.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thread {
    /// Its system.
    pub system: ThreadSystem,
    /// Nominal diameter \[m\].
    pub diameter_m: f64,
    /// Pitch \[m\].
    pub pitch_m: f64,
    /// Load of the older column of hanger tables \[lbf\], where it has one.
    pub table_lbf: Option<f64>,
}

/// The thread of a rod.
pub const fn thread(rod: Rod) -> Thread {
    const fn inch(numerator: f64, denominator: f64, per_inch: f64, table_lbf: f64) -> Thread {
        Thread {
            system: ThreadSystem::Unified,
            diameter_m: INCH_M * numerator / denominator,
            pitch_m: INCH_M / per_inch,
            table_lbf: Some(table_lbf),
        }
    }
    const fn metric(diameter_m: f64, pitch_m: f64) -> Thread {
        Thread {
            system: ThreadSystem::Metric,
            diameter_m,
            pitch_m,
            table_lbf: None,
        }
    }
    match rod {
        Rod::QuarterInch => inch(1.0, 4.0, 20.0, 240.0),
        Rod::ThreeEighthsInch => inch(3.0, 8.0, 16.0, 610.0),
        Rod::HalfInch => inch(1.0, 2.0, 13.0, 1130.0),
        Rod::FiveEighthsInch => inch(5.0, 8.0, 11.0, 1810.0),
        Rod::M6 => metric(6e-3, 1e-3),
        Rod::M8 => metric(8e-3, 1.25e-3),
        Rod::M10 => metric(10e-3, 1.5e-3),
        Rod::M12 => metric(12e-3, 1.75e-3),
    }
}

/// The sources of this file.
const TABLE: Source = Source::published(
    "table of hanger rod loads in a piping handbook, 2nd edition, 2009; the column of MSS SP-58 (1993 and before)",
    "carbon steel, 650 °F",
);
const ROOT: Source = Source::memory(
    "ISO 724 root diameter d3 = d − 1.22687 P, at the 9 ksi of hanger tables",
    "not read",
);

/// Tensile stress area of a thread \[m²\].
///
/// ```text
/// A_t = π/4 · (d − c · P)²      c = 0.9743 unified, 0.9382 metric
/// ```
///
/// - `thread`: diameter and pitch \[m\]
///
/// **Valid** coarse threads from 1/4 in or M6. Outside: the same formula.
/// **Error** none beside rounding of the constants.
/// **Source** ASME B1.1 (unified, read in an engineering reference); ISO 898-1
/// (metric, from memory).
/// **Checked** `tests/cross/rod_loads.csv`, areas of eight threads.
pub fn tensile_stress_area_m2(thread: &Thread) -> f64 {
    let c = match thread.system {
        ThreadSystem::Unified => 0.9743,
        ThreadSystem::Metric => 0.9382,
    };
    0.25 * PI * (thread.diameter_m - c * thread.pitch_m).powi(2)
}

/// Area of the root of a thread, as hanger tables use it \[m²\].
///
/// ```text
/// A_r = π/4 · (d − c · P)²      c = 1.3 unified, 1.22687 metric
/// ```
///
/// - `thread`: diameter and pitch \[m\]
///
/// **Valid** coarse threads from 1/4 in or M6. Outside: the same formula.
/// **Error** at most 1 % of the areas that published tables round
/// (0.027, 0.068, 0.126, 0.202 in²).
/// **Source** hanger tables (unified, read); ISO 724 (metric, from memory).
/// **Checked** `tests/published/rod_loads.csv`.
pub fn root_area_m2(thread: &Thread) -> f64 {
    0.25 * PI * (thread.diameter_m - root_depths(thread) * thread.pitch_m).powi(2)
}

const fn root_depths(thread: &Thread) -> f64 {
    match thread.system {
        ThreadSystem::Unified => 1.3,
        ThreadSystem::Metric => 1.22687,
    }
}

/// What a rod may carry in tension \[N\]: the older, lower column of hanger
/// tables for inch sizes; 9 ksi on the root area for metric ones. Not to be
/// raised at room temperature: the margin covers bending, damage of threads,
/// shock and unequal sharing.
pub fn allowable_n(rod: Rod) -> f64 {
    let thread = thread(rod);
    thread.table_lbf.map_or_else(
        || ROOT_STRESS_PA * root_area_m2(&thread),
        |lbf| lbf * POUND_FORCE_N,
    )
}

/// The same as a working.
pub fn allowable(rod: Rod) -> Working {
    let thread = thread(rod);
    let (equation, inputs, source) = match thread.table_lbf {
        Some(lbf) => (
            "F_lbf * N_lbf",
            vec![
                Input::given(
                    format!("load of the table for {} rod, pounds-force", rod.word()),
                    "F_lbf",
                    Value::new(lbf, Dim::Number),
                    TABLE,
                ),
                Input::given(
                    "newtons in a pound-force",
                    "N_lbf",
                    Value::new(POUND_FORCE_N, Dim::Number).digits(5),
                    Source::published("NIST Special Publication 811", "appendix B"),
                ),
            ],
            TABLE,
        ),
        None => (
            "sigma * 0.25 * 3.141592653589793 * (d - 1.22687 * P)^2",
            vec![
                Input::given(
                    "allowed stress on the root",
                    "sigma",
                    Value::new(ROOT_STRESS_PA, Dim::Stress),
                    TABLE,
                ),
                Input::given(
                    "diameter of the thread",
                    "d",
                    Value::new(thread.diameter_m, Dim::Length),
                    ROOT,
                ),
                Input::given("pitch", "P", Value::new(thread.pitch_m, Dim::Length), ROOT),
            ],
            ROOT,
        ),
    };
    Working {
        name: format!("allowed load of a {} rod", rod.word()).into(),
        symbol: "F_allow".into(),
        equation: Equation::Algebra(equation.into()),
        inputs,
        result: Value::new(allowable_n(rod), Dim::Force),
        source,
    }
}

/// Whether a rod is at least as thick as the default minimum, 3/8 in or M10.
pub fn reaches_minimum(rod: Rod) -> bool {
    // The thinner of the two nominal sizes; M8 and 1/4 in are below.
    const MINIMUM_M: f64 = 3.0 / 8.0 * INCH_M;
    MINIMUM_M - 1e-9 <= thread(rod).diameter_m
}

//! Conductors of control wiring: gauge, resistance, voltage drop, reach.

use std::f64::consts::PI;

use quantity::{Dim, Equation, Input, Source, Value, Working};

use crate::power::conductor::{
    COPPER_OHM_M, COPPER_PER_K, Phases, awg_diameter_m, copper_ohm_per_m, voltage_drop_v,
};

/// Temperature that control cable is reckoned at \[°C\].
pub const CABLE_C: f64 = 40.0;

/// Gauges of control cable, thin to thick.
pub const GAUGES: [u32; 5] = [24, 22, 20, 18, 16];

const COPPER: Source = Source::memory(
    "IEC 60028, resistance of annealed copper: 1/58 ohm mm²/m at 20 °C, 0.00393 per K; wire gauge of ASTM B258",
    "",
);

/// Source of the formula of voltage drop.
pub(super) const DROP: Source = Source::assumed("Ohm's law out and back along the cable");

/// Resistance of a solid copper wire per length \[ohm/m\]: that of
/// [`copper_ohm_per_m`] at the diameter of [`awg_diameter_m`].
///
/// - `gauge`: number of the American gauge, 36 to 0
/// - `t_c`: temperature of the conductor \[°C\]
///
/// **Valid** −20 to 120 °C.
/// **Checked** `tests/cross/power_wire.csv`, `tests/control.rs`.
pub fn resistance_ohm_per_m(gauge: u32, t_c: f64) -> f64 {
    let d_m = wire_diameter_m(gauge);
    copper_ohm_per_m(0.25 * PI * d_m * d_m, t_c)
}

/// Diameter of a solid wire of American gauge \[m\]: [`awg_diameter_m`].
pub fn wire_diameter_m(gauge: u32) -> f64 {
    awg_diameter_m(i32::try_from(gauge).unwrap_or(i32::MAX))
}

/// Longest cable for a voltage drop out and back \[m\].
///
/// ```text
/// L = dV / (2 r I)
/// ```
///
/// - `drop_v`: drop that is allowed \[V\]
/// - `resistance_ohm_per_m`: of one conductor
/// - `current_a`: current \[A\], above 0
///
/// **Valid** direct current and low-frequency alternating current.
/// **Source** Ohm's law.
/// **Checked** `tests/control.rs`, three gauges at two currents.
pub fn longest_cable_m(drop_v: f64, resistance_ohm_per_m: f64, current_a: f64) -> f64 {
    drop_v / (2.0 * resistance_ohm_per_m * current_a)
}

/// Shift of the reference between two ends of a bus \[V\].
///
/// ```text
/// dV = r L I
/// ```
///
/// - `resistance_ohm_per_m`: of the reference conductor
/// - `length_m`: of the cable
/// - `current_a`: supply current that comes back in it
///
/// **Valid** direct current. **Source** Ohm's law.
/// **Checked** `tests/control.rs`.
pub fn ground_shift_v(resistance_ohm_per_m: f64, length_m: f64, current_a: f64) -> f64 {
    resistance_ohm_per_m * length_m * current_a
}

/// The thinnest gauge whose reach is enough; `None` where none is.
pub fn thinnest_gauge(drop_v: f64, length_m: f64, current_a: f64) -> Option<u32> {
    GAUGES.into_iter().find(|g| {
        let r = resistance_ohm_per_m(*g, CABLE_C);
        voltage_drop_v(Phases::Single, length_m, current_a, r) <= drop_v
    })
}

/// How the resistance of a gauge came about.
pub(super) fn resistance_working(gauge: u32) -> Working {
    let input = |name: &'static str, symbol: &'static str, si, dim| {
        Input::given(name, symbol, Value::new(si, dim).digits(5), COPPER)
    };
    Working {
        name: format!("resistance of {gauge} AWG copper in a warm room").into(),
        symbol: "r".into(),
        equation: Equation::Algebra(
            "rho * (1 + alpha * (t - 20)) / (0.7853981633974483 * d^2)".into(),
        ),
        inputs: vec![
            input(
                "resistivity of copper [ohm m]",
                "rho",
                COPPER_OHM_M,
                Dim::Number,
            ),
            input(
                "its change with temperature [1/K]",
                "alpha",
                COPPER_PER_K,
                Dim::Number,
            ),
            input("temperature of the cable", "t", CABLE_C, Dim::Temperature),
            input(
                "diameter of the conductor",
                "d",
                wire_diameter_m(gauge),
                Dim::Length,
            ),
        ],
        result: Value::new(resistance_ohm_per_m(gauge, CABLE_C), Dim::LineResistance),
        source: COPPER,
    }
}

/// How the drop in a cable came about.
pub(super) fn drop_working(cable: &str, gauge: u32, length_m: f64, current_a: f64) -> Working {
    along(
        cable,
        gauge,
        (length_m, current_a),
        "voltage drop out and back",
        "2 * r * L * I",
        2.0,
    )
}

/// How the shift of a reference came about.
pub(super) fn shift_working(bus: &str, gauge: u32, length_m: f64, current_a: f64) -> Working {
    along(
        bus,
        gauge,
        (length_m, current_a),
        "shift of the reference",
        "r * L * I",
        1.0,
    )
}

fn along(
    place: &str,
    gauge: u32,
    (length_m, current_a): (f64, f64),
    name: &str,
    algebra: &'static str,
    conductors: f64,
) -> Working {
    let r = resistance_ohm_per_m(gauge, CABLE_C);
    let route = Source::assumed("routed up, along the walls and down");
    let record = Source::assumed("machine record");
    Working {
        name: format!("{name}, {place}").into(),
        symbol: "dV".into(),
        equation: Equation::Algebra(algebra.into()),
        inputs: vec![
            Input::computed(resistance_working(gauge)),
            Input::given(
                "length of the cable",
                "L",
                Value::new(length_m, Dim::Length),
                route,
            ),
            Input::given("current", "I", Value::new(current_a, Dim::Current), record),
        ],
        result: Value::new(conductors * r * length_m * current_a, Dim::Voltage),
        source: DROP,
    }
}

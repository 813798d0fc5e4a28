//! Removal from the air before and after a unit: a cross-check, because a
//! small difference of two large humidities is uncertain.

use air::MoistAir;
use quantity::{Dim, Equation, Input, Place, Severity, Source, Step, Text, Value, Working};

use super::gum::{self, Budget, Named};
use super::{Estimate, Judgement, Verdict};
use crate::finding::Said;

/// Whether one sensor read both airs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sensors {
    /// One, carried from inlet to discharge: what it is off cancels.
    One,
    /// Two.
    Two,
}

/// Air before and after a unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AirSide {
    /// Air flow at the inlet \[m³/s\].
    pub flow_m3_per_s: Estimate,
    /// Dry bulb at the inlet \[°C\].
    pub inlet_c: Estimate,
    /// Relative humidity at the inlet, 0 to 1.
    pub inlet_rh: Estimate,
    /// Dry bulb of the discharge \[°C\].
    pub outlet_c: Estimate,
    /// Relative humidity of the discharge, 0 to 1.
    pub outlet_rh: Estimate,
    /// Which sensors.
    pub sensors: Sensors,
    /// Barometric pressure \[Pa\].
    pub pressure_pa: f64,
}

/// Share of a sensor's variance that it carries along from place to place.
/// **Assumed** half: drift and calibration stay, repeatability and time do not.
const CARRIED: f64 = 0.5;

/// Water removed \[kg/s\] with its budget; inputs in the order flow, dry bulb
/// and humidity before, dry bulb and humidity after.
///
/// ```text
/// m = Q / v (W_1 − W_2)        v at the inlet
/// ```
///
/// `None` where one of the airs cannot be.
///
/// **Valid** steady running, the discharge well mixed where it is read.
/// **Error** carried from the readings; half of the result is usual.
/// **Source** water balance of the air; JCGM 100:2008 for the uncertainty.
/// **Checked** `tests/acceptance.rs`.
pub fn removal(a: &AirSide) -> Option<Budget> {
    let inputs = [
        a.flow_m3_per_s,
        a.inlet_c,
        a.inlet_rh,
        a.outlet_c,
        a.outlet_rh,
    ];
    let carried = match a.sensors {
        Sensors::One => CARRIED,
        Sensors::Two => 0.0,
    };
    let correlation = |i: usize, j: usize| match (i, j) {
        (1, 3) | (2, 4) => carried,
        _ => 0.0,
    };
    gum::propagate_correlated(&inputs, correlation, |x| {
        let before = MoistAir::from_rel_humidity(x[1], x[2], a.pressure_pa).ok()?;
        let after = MoistAir::from_rel_humidity(x[3], x[4], a.pressure_pa).ok()?;
        Some(
            x[0] / before.specific_volume_m3_per_kg()
                * (before.humidity_ratio() - after.humidity_ratio()),
        )
    })
}

/// Holds the air side against the condensate. It never fails a unit: it only
/// says whether the two agree.
pub fn cross_check(place: &Place, a: &AirSide, condensate: Estimate) -> Judgement {
    let water = |si: f64| Value::new(si, Dim::WaterRate).digits(2);
    let Some(budget) = removal(a) else {
        return Judgement::plain(
            Verdict::NotProven,
            "air before and after cannot be as it was read".into(),
        );
    };
    let by_air = budget.result;
    let within = by_air.expanded().hypot(condensate.expanded());
    let off = (by_air.value - condensate.value).abs();
    let said = Text::from("by the air ")
        .value(water(by_air.value))
        .words(" ±")
        .value(water(by_air.expanded()))
        .words(", by the jug ")
        .value(water(condensate.value))
        .words(" ±")
        .value(water(condensate.expanded()));
    let mut judgement = Judgement::plain(Verdict::Pass, said.clone());
    judgement.workings = workings(a, &budget);
    if within < off {
        judgement.verdict = Verdict::NotProven;
        judgement.would_prove.push(
            "read both airs again with one sensor, ten times its settling at each place, and the air flow at the filter"
                .into(),
        );
        judgement.findings.push(
            Said {
                check: "air_and_water_disagree",
                severity: Severity::Note,
                step: Step::Startup,
                place: place.clone(),
                what: said,
                why: "water that leaves the air must arrive in the jug: one of the readings is wrong, or water goes elsewhere",
                remedy: "look for water beside the drain, then read the airs again; the jug counts".into(),
                source: Source::published("water balance of the unit", ""),
            }
            .compared(water(by_air.value), water(condensate.value)),
        );
    }
    judgement
}

fn workings(a: &AirSide, budget: &Budget) -> Vec<Working> {
    let t = |e: Estimate| Value::new(e.value, Dim::Temperature);
    let rh = |e: Estimate| Value::new(e.value, Dim::RelHumidity);
    let named = [
        Named {
            name: "the air flow",
            symbol: "Q",
            value: Value::new(a.flow_m3_per_s.value, Dim::AirFlow),
            standard_uncertainty: a.flow_m3_per_s.standard_uncertainty,
        },
        Named {
            name: "dry bulb before",
            symbol: "T_1",
            value: t(a.inlet_c),
            standard_uncertainty: a.inlet_c.standard_uncertainty,
        },
        Named {
            name: "humidity before",
            symbol: "RH_1",
            value: rh(a.inlet_rh),
            standard_uncertainty: a.inlet_rh.standard_uncertainty,
        },
        Named {
            name: "dry bulb after",
            symbol: "T_2",
            value: t(a.outlet_c),
            standard_uncertainty: a.outlet_c.standard_uncertainty,
        },
        Named {
            name: "humidity after",
            symbol: "RH_2",
            value: rh(a.outlet_rh),
            standard_uncertainty: a.outlet_rh.standard_uncertainty,
        },
    ];
    let result = Value::new(budget.result.value, Dim::WaterRate).digits(2);
    let inputs = named
        .iter()
        .map(|n| Input::given(n.name, n.symbol, n.value, Source::measured("reading", "")))
        .collect();
    let mut uncertainty =
        gum::expanded_working("expanded uncertainty of that", result, &named, budget);
    if a.sensors == Sensors::One {
        // What is carried along adds with its sign, the rest as squares.
        uncertainty.equation = Equation::Algebra(
            "2 * sqrt(Z_Q^2 + (1 - r) * (Z_T_1^2 + Z_T_2^2 + Z_RH_1^2 + Z_RH_2^2) + r * ((Z_T_1 + Z_T_2)^2 + (Z_RH_1 + Z_RH_2)^2))"
                .into(),
        );
        uncertainty.inputs.push(Input::given(
            "correlation of one sensor with itself",
            "r",
            Value::new(CARRIED, Dim::Number).digits(1),
            Source::assumed("drift and calibration stay with the sensor, repeatability does not"),
        ));
    }
    vec![
        Working {
            name: "water removed, from the air before and after".into(),
            symbol: "m_air".into(),
            equation: Equation::Procedure(
                "air flow over the specific volume at the inlet, times the difference of the humidity ratios".into(),
            ),
            inputs,
            result,
            source: Source::published("water balance of the air", ""),
        },
        uncertainty,
    ]
}

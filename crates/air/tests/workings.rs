//! What is shown is what was computed: each equation is evaluated as printed.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use air::MoistAir;
use exmex::Express;
use quantity::{Equation, Working};

/// The result of an equation over its inputs, by an expression library.
fn evaluate(working: &Working) -> Option<f64> {
    let Equation::Algebra(text) = &working.equation else {
        return None;
    };
    let expression = exmex::parse::<f64>(text).unwrap_or_else(|e| panic!("{text}: {e}"));
    let values: Vec<f64> = expression
        .var_names()
        .iter()
        .map(|symbol| {
            let input = working.inputs.iter().find(|i| i.symbol == symbol.as_str());
            input
                .unwrap_or_else(|| panic!("{text}: {symbol} is no input"))
                .value
                .si
        })
        .collect();
    assert_eq!(
        values.len(),
        working.inputs.len(),
        "{text}: an input is not used"
    );
    Some(expression.eval(&values).unwrap())
}

fn check(working: &Working) -> usize {
    if let Some(result) = evaluate(working) {
        let want = working.result.si;
        assert!(
            (result - want).abs() <= 1e-9 * want.abs() + 1e-9,
            "{}: {result} shown, {want} computed",
            working.name
        );
    }
    let inside = working
        .inputs
        .iter()
        .filter_map(|i| i.from.as_deref())
        .map(check)
        .sum::<usize>();
    inside + usize::from(matches!(working.equation, Equation::Algebra(_)))
}

#[test]
fn each_equation_gives_its_result() {
    for (t_c, rh, p_pa) in [
        (24.0, 0.6, 83_523.5),
        (60.0, 0.3, 101_325.0),
        (2.0, 1.0, 101_325.0),
        (-15.0, 0.9, 61_640.0),
    ] {
        let air = MoistAir::from_rel_humidity(t_c, rh, p_pa).unwrap();
        let workings = air::state_workings(&air);
        let checked: usize = workings.iter().map(check).sum();
        // Seven equations at the top, six more inside them.
        assert_eq!(checked, 13);
        let by_name = |name: &str| {
            workings
                .iter()
                .find(|w| w.name == name)
                .map(|w| w.result.si)
        };
        assert_eq!(by_name("enthalpy"), Some(air.enthalpy_j_per_kg()));
        assert_eq!(by_name("wet bulb"), Some(air.wet_bulb_c()));
        assert_eq!(
            by_name(if t_c < 5.0 && rh < 1.0 {
                "frost point"
            } else {
                "dew point"
            }),
            Some(air.dew_point_c())
        );
    }
    for altitude_m in [0.0, 1600.0, 4000.0] {
        let working = air::pressure_working(altitude_m);
        assert_eq!(check(&working), 1);
        assert_eq!(
            working.result.si,
            air::pressure_from_altitude_pa(altitude_m)
        );
    }
}

//! What is printed is what was computed: each algebraic working, evaluated.

use std::fs;
use std::path::Path;

use air::MoistAir;
use equipment::{
    Catalog, FilterState, Model, Standard, rating_converted, rating_models_disagree,
    ratings_inconsistent,
};
use exmex::Express;
use quantity::{Equation, Working};

fn models() -> Vec<Model> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../catalog");
    let files: Vec<(String, String)> = fs::read_dir(root)
        .expect("a folder")
        .map(|f| f.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .map(|p| {
            (
                p.display().to_string(),
                fs::read_to_string(&p).expect("text"),
            )
        })
        .collect();
    Catalog::read(&files)
        .expect("readable")
        .dehumidifiers
        .into_values()
        .collect()
}

/// Evaluates a working and those that it rests on; how many were algebra.
fn evaluate(w: &Working) -> usize {
    let mut n: usize = w
        .inputs
        .iter()
        .filter_map(|i| i.from.as_deref())
        .map(evaluate)
        .sum();
    let Equation::Algebra(text) = &w.equation else {
        return n;
    };
    let expression = exmex::parse::<f64>(text).unwrap_or_else(|e| panic!("{text}: {e}"));
    let values: Vec<f64> = expression
        .var_names()
        .iter()
        .map(|name| {
            let input = w.inputs.iter().find(|i| i.symbol == *name);
            input
                .unwrap_or_else(|| panic!("{name} of {text} is no input"))
                .value
                .si
        })
        .collect();
    let got = expression.eval(&values).expect("a value");
    let scale = w.result.si.abs().max(1e-12);
    assert!(
        (got - w.result.si).abs() <= 1e-9 * scale,
        "{}: {text} gives {got}, not {}",
        w.name,
        w.result.si
    );
    n += 1;
    n
}

#[test]
fn workings_give_their_results() {
    let mut algebra = 0;
    for m in models() {
        for (t_c, rh, p_pa) in [
            (26.7, 0.60, 101_325.0),
            (22.0, 0.55, 101_325.0),
            (19.0, 0.85, 83_523.5),
            (24.0, 0.30, 101_325.0),
            (33.0, 0.70, 95_460.8),
        ] {
            let inlet = MoistAir::from_rel_humidity(t_c, rh, p_pa).expect("possible air");
            for filter in [FilterState::Clean, FilterState::Loaded(0.7)] {
                let Some(w) = m.workings(inlet, filter) else {
                    continue;
                };
                for w in [
                    &w.removal,
                    &w.power,
                    &w.energy_factor,
                    &w.sensible_to_room,
                    &w.net_heat_to_room,
                    &w.discharge,
                ] {
                    algebra += evaluate(w);
                }
            }
        }
        for (standard, _) in equipment::STANDARDS {
            if let Some(w) = m.rating().conversion_working(standard) {
                algebra += evaluate(&w);
            }
        }
    }
    assert!(algebra > 500, "{algebra}");
}

#[test]
fn a_rating_alone_is_doubted_where_two_methods_differ() {
    let air = |t_c, rh| MoistAir::from_rel_humidity(t_c, rh, 101_325.0).expect("possible air");
    for m in models() {
        let at_rating = air(m.rating().dry_bulb_c, m.rating().rel_humidity);
        assert!(
            rating_models_disagree(&m, &at_rating).is_none(),
            "{}",
            m.code
        );
        let dry = rating_models_disagree(&m, &air(18.0, 0.40));
        assert_eq!(dry.is_some(), m.code == "generic-30", "{}", m.code);
        assert!(ratings_inconsistent(&m).is_empty(), "{}", m.code);
    }
}

#[test]
fn a_second_rating_that_does_not_fit_is_found() {
    let mut m = models()
        .into_iter()
        .find(|m| m.code == "generic-30")
        .expect("it");
    let mut second = m.rating().converted(Standard::Warm).expect("a standard");
    m.ratings.push(second);
    assert!(ratings_inconsistent(&m).is_empty());
    second.removal_kg_per_s *= 0.85;
    m.ratings[1] = second;
    assert_eq!(ratings_inconsistent(&m).len(), 1);
}

#[test]
fn a_conversion_is_said() {
    for m in models() {
        let said = rating_converted(&m, Standard::Warm);
        assert_eq!(
            said.is_some(),
            m.rating().standard != Standard::Warm,
            "{}",
            m.code
        );
    }
}

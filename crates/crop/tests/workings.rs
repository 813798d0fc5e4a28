//! What is printed is what was computed: every equation text is evaluated over
//! its printed inputs and compared with its result, down to the last input.

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use air::MoistAir;
use crop::combustion::Fuel;
use crop::drying::HungCrop;
use crop::people::Activity;
use crop::workings::{
    CanopyInputs, Known, KnownAir, KnownCanopy, KnownMedium, air_exchange_heat, air_exchange_water,
    blown_water, burner_heat, burner_water, canopy_balance, canopy_by_hand, drying_water,
    irrigation_ceiling, medium_water, net_radiation, people_heat, people_water, still_water,
    stomatal_resistance,
};
use exmex::Express as _;
use quantity::{Dim, Equation, Source, Working};

fn survey() -> Source {
    Source::measured("survey", "test.room.toml:1")
}

fn known(si: f64) -> Known {
    Known::Given(si, survey())
}

fn air(dry_bulb_c: f64, rel_humidity: f64) -> KnownAir {
    KnownAir {
        state: MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, 101_325.0).unwrap(),
        source: survey(),
    }
}

/// Evaluates a working and all that it stands on; how many were algebraic.
fn evaluate(working: &Working) -> usize {
    let mut evaluated = 0;
    assert!(!working.inputs.is_empty(), "{} has no inputs", working.name);
    for input in &working.inputs {
        assert!(
            input.from.is_some() != input.source.is_some(),
            "{}",
            input.name
        );
        if let Some(from) = &input.from {
            assert_eq!(from.result, input.value, "{}", input.name);
            evaluated += evaluate(from);
        }
    }
    match &working.equation {
        Equation::Procedure(name) => assert!(!name.is_empty()),
        Equation::Algebra(text) => {
            assert!(text.is_ascii(), "{text}");
            let expression = exmex::parse::<f64>(text).unwrap();
            let values: Vec<f64> = expression
                .var_names()
                .iter()
                .map(|symbol| {
                    working
                        .inputs
                        .iter()
                        .find(|input| input.symbol == symbol.as_str())
                        .unwrap_or_else(|| panic!("{symbol} of {text} is no input"))
                        .value
                        .si
                })
                .collect();
            let printed = expression.eval(&values).unwrap();
            let result = working.result.si;
            assert!(
                (printed - result).abs() <= 1e-9 * result.abs().max(1e-9),
                "{text}: {printed} against {result}"
            );
            evaluated += 1;
        }
    }
    evaluated
}

fn canopy(lai: f64) -> KnownCanopy {
    KnownCanopy {
        lai: known(lai),
        coverage: known(0.9),
        leaf_aero_resistance_s_per_m: known(100.0),
        reflectance: known(0.05),
        photon_energy_j_per_umol: known(0.20),
    }
}

fn canopy_inputs(lai: f64, ppfd: f64) -> CanopyInputs {
    CanopyInputs {
        canopy: canopy(lai),
        air: air(21.0, 0.73),
        ppfd: known(ppfd),
        stomatal_resistance: stomatal_resistance(known(ppfd), Some(known(900.0))).into(),
    }
}

#[test]
fn stomata_and_light() {
    for co2 in [None, Some(150.0), Some(800.0), Some(2000.0)] {
        evaluate(&stomatal_resistance(known(600.0), co2.map(known)));
    }
    let plain = stomatal_resistance(known(600.0), None);
    assert!((plain.result.si - 157.5).abs() < 1e-9);
    assert_eq!(plain.result.dim, Dim::Resistance);
    assert_eq!(evaluate(&net_radiation(&canopy(3.0), known(600.0))), 1);
    evaluate(&net_radiation(&canopy(0.0), known(600.0)));
}

#[test]
fn canopy_opens_down_to_the_survey() {
    for (lai, ppfd) in [(3.0, 600.0), (2.0, 250.0), (5.0, 900.0), (3.0, 0.0)] {
        let workings = canopy_balance(&canopy_inputs(lai, ppfd));
        for working in [
            &workings.sensible,
            &workings.latent,
            &workings.latent_check,
            &workings.water,
        ] {
            assert!(evaluate(working) >= 3, "{}", working.name);
        }
        // The check of the procedure: both ways to the latent heat agree.
        let closed = workings.latent.result.si - workings.latent_check.result.si;
        assert!(closed.abs() < 1e-4, "{closed}");
        assert_eq!(workings.water.result.si, workings.flux.water_kg_per_m2_s);
    }
}

#[test]
fn the_leaf_procedure_names_its_solver_and_residual() {
    let workings = canopy_balance(&canopy_inputs(3.0, 600.0));
    let leaf = workings
        .sensible
        .inputs
        .iter()
        .find(|input| input.symbol == "T_s")
        .and_then(|input| input.from.as_ref())
        .unwrap();
    let Equation::Procedure(name) = &leaf.equation else {
        panic!("the leaf temperature has no closed form");
    };
    assert!(
        name.contains("Newton") && name.contains("R_net - H - LE ="),
        "{name}"
    );
}

#[test]
fn canopy_by_hand_is_the_closed_form() {
    let working = canopy_by_hand(&canopy_inputs(3.0, 600.0));
    assert!(evaluate(&working) >= 5);
}

#[test]
fn medium_and_water() {
    let medium = KnownMedium {
        absorbed_light_w_per_m2: known(20.0),
        aero_resistance_s_per_m: known(100.0),
        skin_resistance_s_per_m: known(50.0),
    };
    assert!(evaluate(&medium_water(&medium, &air(24.0, 0.6))) >= 2);
    // Buoyant, forced and none.
    for (water_c, air) in [
        (28.0, air(28.0, 0.5)),
        (20.0, air(24.0, 0.6)),
        (10.0, air(26.0, 0.9)),
    ] {
        assert_eq!(evaluate(&still_water(known(water_c), &air)), 1);
    }
    assert_eq!(
        evaluate(&blown_water(known(20.0), &air(24.0, 0.6), known(0.3))),
        1
    );
}

#[test]
fn people_air_burner_irrigation_drying() {
    evaluate(&people_water(
        known(3.0),
        Activity::LightBench,
        &air(26.0, 0.6),
    ));
    evaluate(&people_heat(known(3.0), Activity::LightBench));
    let (outdoor, indoor) = (air(32.0, 0.7), air(26.0, 0.6));
    evaluate(&air_exchange_water(known(0.03), &outdoor, &indoor));
    evaluate(&air_exchange_heat(known(0.03), &outdoor, &indoor));
    for fuel in [Fuel::Propane, Fuel::Methane] {
        evaluate(&burner_water(fuel, known(1e-4)));
        evaluate(&burner_heat(fuel, known(1e-4)));
    }
    evaluate(&irrigation_ceiling(known(0.01), known(0.0015)));
    for page_exponent in [0.7, 1.0] {
        let crop = HungCrop {
            wet_mass_kg: 100.0,
            start_moisture: 0.78,
            end_moisture: 0.12,
            equilibrium_moisture: 0.10,
            drying_time_s: 864_000.0,
            page_exponent,
        };
        assert_eq!(evaluate(&drying_water(&crop, &survey(), 0.0, 86_400.0)), 2);
    }
}

//! Laws that hold for all air: solvers converge, inversions round-trip,
//! directions are right, impossible air is refused.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use air::{AirError, MoistAir, Property};
use proptest::prelude::*;
use quantity::UnitSystem;

/// Dry bulb [°C], relative humidity, altitude [m] over the working range.
fn conditions() -> impl Strategy<Value = (f64, f64, f64)> {
    (-40.0..60.0, 0.0..=1.0, 0.0..4000.0)
}

fn air_at((t_c, rh, altitude_m): (f64, f64, f64)) -> MoistAir {
    MoistAir::from_rel_humidity(t_c, rh, air::pressure_from_altitude_pa(altitude_m)).unwrap()
}

/// All seven properties of a state.
fn properties(air: &MoistAir) -> [Property; 7] {
    [
        Property::DryBulb(air.dry_bulb_c()),
        Property::RelHumidity(air.rel_humidity()),
        Property::DewPoint(air.dew_point_c()),
        Property::WetBulb(air.wet_bulb_c()),
        Property::HumidityRatio(air.humidity_ratio()),
        Property::Vpd(air.vpd_pa()),
        Property::Enthalpy(air.enthalpy_j_per_kg()),
    ]
}

/// Pairs that are refused whatever their values.
fn is_dependent(a: &Property, b: &Property) -> bool {
    let names = [a.name(), b.name()];
    a.name() == b.name()
        || (names.contains(&"dew point") && names.contains(&"humidity ratio"))
        || (names.contains(&"wet bulb") && names.contains(&"enthalpy"))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn solvers_converge(conditions in conditions()) {
        let air = air_at(conditions);
        let (t_c, dew_c, wet_c) = (air.dry_bulb_c(), air.dew_point_c(), air.wet_bulb_c());
        prop_assert!(dew_c <= t_c + 1e-9, "dew point {dew_c} above {t_c}");
        prop_assert!(wet_c <= t_c, "wet bulb {wet_c} above {t_c}");
        prop_assert!(dew_c - 1e-6 <= wet_c, "wet bulb {wet_c} below dew point {dew_c}");

        // Each solver's answer, put back into its equation.
        if -100.0 < dew_c {
            let p_w_pa = air::saturation_pressure_pa(dew_c);
            prop_assert!((p_w_pa / air.vapour_pressure_pa() - 1.0).abs() < 1e-9);
        }
        let w = air::humidity_ratio_from_wet_bulb(t_c, wet_c, air.pressure_pa());
        prop_assert!((w - air.humidity_ratio()).abs() < 1e-12 + 1e-9 * w, "{w} {}", air.humidity_ratio());
        let back_c = air::dry_bulb_from_enthalpy_c(air.enthalpy_j_per_kg(), air.humidity_ratio());
        prop_assert!((back_c - t_c).abs() < 1e-9);
        let w = air::humidity_ratio_from_enthalpy(t_c, air.enthalpy_j_per_kg());
        prop_assert!((w - air.humidity_ratio()).abs() < 1e-12);
    }

    #[test]
    fn every_pair_comes_back_or_is_refused_by_name(
        t_c in -40.0..60.0, rh in 0.01..0.99, altitude_m in 0.0..4000.0,
    ) {
        let air = air_at((t_c, rh, altitude_m));
        let all = properties(&air);
        let mut solved = 0;
        for a in &all {
            for b in &all {
                let found = MoistAir::from_pair(*a, *b, air.pressure_pa());
                if is_dependent(a, b) {
                    let refused = matches!(found, Err(AirError::Dependent { .. }));
                    prop_assert!(refused, "{a} and {b}: {found:?}");
                    let message = found.unwrap_err().to_string();
                    prop_assert!(message.contains(a.name()) && message.contains(b.name()));
                } else {
                    let found = found.map_err(|e| TestCaseError::fail(format!("{a} and {b}: {e}")))?;
                    let off_k = (found.dry_bulb_c() - t_c).abs();
                    let off = (found.humidity_ratio() / air.humidity_ratio() - 1.0).abs();
                    prop_assert!(off_k < 1e-5 && off < 1e-5, "{a} and {b}: {found:?} for {air:?}");
                    solved += 1;
                }
            }
        }
        prop_assert_eq!(solved, 2 * 19);
    }

    #[test]
    fn drier_air_is_lower_in_every_measure(t_c in -40.0..60.0, rh in 0.02..=1.0, altitude_m in 0.0..4000.0) {
        let moist = air_at((t_c, rh, altitude_m));
        let dry = air_at((t_c, 0.9 * rh, altitude_m));
        prop_assert!(dry.dew_point_c() < moist.dew_point_c());
        prop_assert!(dry.wet_bulb_c() < moist.wet_bulb_c());
        prop_assert!(dry.humidity_ratio() < moist.humidity_ratio());
        prop_assert!(dry.enthalpy_j_per_kg() < moist.enthalpy_j_per_kg());
        prop_assert!(moist.vpd_pa() < dry.vpd_pa());
        prop_assert!(moist.density_kg_per_m3() < dry.density_kg_per_m3());
        prop_assert!(dry.specific_volume_m3_per_kg() < moist.specific_volume_m3_per_kg());
    }

    #[test]
    fn thinner_air_holds_more_water_per_kilogram(t_c in -40.0..60.0, rh in 0.02..=1.0, altitude_m in 0.0..3500.0) {
        let low = air_at((t_c, rh, altitude_m));
        let high = air_at((t_c, rh, altitude_m + 500.0));
        prop_assert!(low.humidity_ratio() < high.humidity_ratio());
        prop_assert!(low.specific_volume_m3_per_kg() < high.specific_volume_m3_per_kg());
        prop_assert!((low.vpd_pa() - high.vpd_pa()).abs() < 1e-6);
        prop_assert!((low.dew_point_c() - high.dew_point_c()).abs() < 1e-6);
    }

    #[test]
    fn saturation_rises_and_its_slope_is_its_derivative(t_c in -99.0..150.0) {
        let step_k = 1e-4;
        let (low, high) = (air::saturation_pressure_pa(t_c - step_k), air::saturation_pressure_pa(t_c + step_k));
        prop_assert!(low < high);
        // Across the triple point the two equations have different slopes.
        prop_assume!(step_k < f64::abs(t_c - 0.01));
        let slope = (high - low) / (2.0 * step_k);
        prop_assert!((air::saturation_slope_pa_per_k(t_c) / slope - 1.0).abs() < 1e-5);
    }

    #[test]
    fn ice_holds_less_than_supercooled_water(t_c in -40.0..-0.1) {
        prop_assert!(air::saturation_pressure_over_ice_pa(t_c) < air::saturation_pressure_over_water_pa(t_c));
    }

    #[test]
    fn any_numbers_give_air_or_a_reason(
        a in 0usize..7, b in 0usize..7,
        x in prop::num::f64::ANY, y in prop::num::f64::ANY, p in prop::num::f64::ANY,
    ) {
        let make = |kind, x| match kind {
            0 => Property::DryBulb(x),
            1 => Property::RelHumidity(x),
            2 => Property::DewPoint(x),
            3 => Property::WetBulb(x),
            4 => Property::HumidityRatio(x),
            5 => Property::Vpd(x),
            _ => Property::Enthalpy(x),
        };
        for p_pa in [p, 101_325.0] {
            match MoistAir::from_pair(make(a, x), make(b, y), p_pa) {
                Ok(air) => prop_assert!(air.rel_humidity() <= 1.0 && 0.0 <= air.humidity_ratio()),
                Err(e) => prop_assert!(!e.to_string().is_empty()),
            }
        }
    }

    #[test]
    fn values_in_range_give_air_or_a_reason(
        t in -60.0..95.0, rh in 0.0..=1.0, dew in -100.0..95.0, wet in -100.0..95.0,
        w in 0.0..1.0, vpd in 0.0..85_000.0, h in -60_000.0..2_800_000.0, p_pa in 50_000.0..110_000.0,
    ) {
        let all = [
            Property::DryBulb(t), Property::RelHumidity(rh), Property::DewPoint(dew), Property::WetBulb(wet),
            Property::HumidityRatio(w), Property::Vpd(vpd), Property::Enthalpy(h),
        ];
        for a in all {
            for b in all {
                let Ok(air) = MoistAir::from_pair(a, b, p_pa) else { continue };
                // What was asked for is what the state has.
                for asked in [a, b] {
                    let (got, scale) = match asked {
                        Property::DryBulb(_) => (air.dry_bulb_c(), 1.0),
                        Property::RelHumidity(_) => (air.rel_humidity(), 1.0),
                        Property::DewPoint(_) => (air.dew_point_c(), 1.0),
                        Property::HumidityRatio(_) => (air.humidity_ratio(), 1.0),
                        Property::Vpd(_) => (air.vpd_pa(), 1e4),
                        Property::Enthalpy(_) => (air.enthalpy_j_per_kg(), 1e5),
                        Property::WetBulb(wet_c) => {
                            // A frozen and a liquid bulb may both fit; so the equation is asked.
                            let back = air::humidity_ratio_from_wet_bulb(air.dry_bulb_c(), wet_c, p_pa);
                            prop_assert!((back - air.humidity_ratio()).abs() < 1e-5 * (1.0 + back), "{a} {b} {air:?}");
                            continue;
                        }
                    };
                    prop_assert!((got - asked.si()).abs() < 1e-5 * scale, "{a} and {b}: {asked} became {got}");
                }
            }
        }
    }
}

#[test]
fn ends_of_the_range() {
    for t_c in [-40.0, -0.001, 0.0, 0.005, 0.01, 0.02, 60.0] {
        for rh in [0.0, 1.0] {
            for altitude_m in [0.0, 4000.0] {
                let air = air_at((t_c, rh, altitude_m));
                assert!(air.dew_point_c().is_finite() && air.wet_bulb_c().is_finite());
                if rh == 1.0 {
                    assert!(
                        (air.dew_point_c() - t_c).abs() < 1e-6,
                        "{t_c}: {}",
                        air.dew_point_c()
                    );
                    assert!(
                        (air.wet_bulb_c() - t_c).abs() < 1e-6,
                        "{t_c}: {}",
                        air.wet_bulb_c()
                    );
                    assert!(air.vpd_pa() < 1e-6);
                    for other in properties(&air) {
                        let pair =
                            MoistAir::from_pair(Property::DryBulb(t_c), other, air.pressure_pa());
                        if other.name() != "dry bulb" {
                            assert!(
                                (pair.unwrap().humidity_ratio() / air.humidity_ratio() - 1.0).abs()
                                    < 1e-5
                            );
                        }
                    }
                } else {
                    assert_eq!(air.dew_point_c(), -100.0);
                    assert_eq!(air.humidity_ratio(), 0.0);
                }
            }
        }
    }
}

/// Where a liquid bulb above 0 °C and a frozen one below both balance, the
/// liquid one is reported, and either is accepted as input.
#[test]
fn wet_bulb_near_freezing_has_two_answers() {
    let p_pa = 101_325.0;
    let frozen =
        MoistAir::from_pair(Property::DryBulb(5.0), Property::WetBulb(-0.1), p_pa).unwrap();
    let liquid_c = frozen.wet_bulb_c();
    assert!((0.0..0.5).contains(&liquid_c), "{liquid_c}");
    let liquid =
        MoistAir::from_pair(Property::DryBulb(5.0), Property::WetBulb(liquid_c), p_pa).unwrap();
    assert!((liquid.humidity_ratio() - frozen.humidity_ratio()).abs() < 1e-12);
}

#[test]
fn refusals_say_what_and_why() {
    let p_pa = 101_325.0;
    for (first, second, words) in [
        (
            Property::DryBulb(20.0),
            Property::RelHumidity(1.2),
            "relative humidity is 120.0 %RH; 0 %RH to 100 %RH",
        ),
        (
            Property::DryBulb(20.0),
            Property::RelHumidity(-0.1),
            "relative humidity is −10.00 %RH",
        ),
        (
            Property::DryBulb(f64::NAN),
            Property::RelHumidity(0.5),
            "dry bulb is not a number",
        ),
        (
            Property::DryBulb(f64::INFINITY),
            Property::RelHumidity(0.5),
            "dry bulb is not a number",
        ),
        (
            Property::DryBulb(300.0),
            Property::RelHumidity(0.5),
            "−60.0 °C to 95.0 °C is allowed",
        ),
        (
            Property::DryBulb(20.0),
            Property::DewPoint(25.0),
            "cannot hold that much water",
        ),
        (
            Property::DryBulb(20.0),
            Property::HumidityRatio(0.02),
            "cannot hold that much water",
        ),
        (
            Property::DryBulb(20.0),
            Property::WetBulb(21.0),
            "never above the dry bulb",
        ),
        (
            Property::DryBulb(40.0),
            Property::WetBulb(5.0),
            "even dry air",
        ),
        (
            Property::DryBulb(20.0),
            Property::Vpd(2400.0),
            "more than the saturation pressure",
        ),
        (
            Property::DryBulb(20.0),
            Property::Enthalpy(10_000.0),
            "even dry air",
        ),
        (
            Property::DewPoint(10.0),
            Property::HumidityRatio(0.0076),
            "humidity ratio and dew point do not fix",
        ),
        (
            Property::WetBulb(10.0),
            Property::Enthalpy(29_000.0),
            "nearly coincide",
        ),
        (
            Property::Vpd(0.0),
            Property::RelHumidity(0.5),
            "no VPD at any temperature",
        ),
        (
            Property::RelHumidity(0.5),
            Property::RelHumidity(0.6),
            "given twice",
        ),
        (
            Property::HumidityRatio(0.01),
            Property::RelHumidity(0.0),
            "wholly dry air",
        ),
    ] {
        let refused = MoistAir::from_pair(first, second, p_pa)
            .unwrap_err()
            .to_string();
        assert!(refused.contains(words), "{first} and {second}: {refused}");
    }
}

/// One refusal, said in the units of either system: −60 °C is −76 °F, 95 °C is
/// 203 °F.
#[test]
fn refusals_speak_the_users_units() {
    let said = |refused: Result<MoistAir, AirError>| {
        let text = refused.unwrap_err().text();
        [UnitSystem::Metric, UnitSystem::Us].map(|system| text.show(system))
    };
    let [metric, us] = said(MoistAir::new(100.0, 0.005, 101_325.0));
    assert_eq!(
        metric,
        "dry bulb is 100.00 °C; −60.0 °C to 95.0 °C is allowed"
    );
    assert_eq!(us, "dry bulb is 212.00 °F; −76.0 °F to 203.0 °F is allowed");
    let [metric, us] = said(MoistAir::from_pair(
        Property::DryBulb(20.0),
        Property::WetBulb(25.0),
        101_325.0,
    ));
    assert!(
        metric.contains("dry bulb 20.00 °C and wet bulb 25.00 °C"),
        "{metric}"
    );
    assert!(
        us.contains("dry bulb 68.00 °F and wet bulb 77.00 °F"),
        "{us}"
    );
    assert!(!us.contains("°C"), "{us}");
    let [metric, us] = said(MoistAir::new(20.0, 0.020, 101_325.0));
    assert!(
        metric.contains("air at 20.00 °C") && us.contains("air at 68.00 °F"),
        "{us}"
    );
    let [metric, _] = said(MoistAir::new(20.0, 0.005, 20_000.0));
    assert!(
        metric.starts_with("barometric pressure is 20.00 kPa; 50.0 kPa to 110 kPa"),
        "{metric}"
    );
}

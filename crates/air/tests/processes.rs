//! Water and enthalpy balances of mixing, heating, wetting and cooling.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use air::{AirError, Mixture, MoistAir, Stream, Water};
use proptest::prelude::*;

fn air_at(t_c: f64, rh: f64) -> MoistAir {
    MoistAir::from_rel_humidity(t_c, rh, 101_325.0).unwrap()
}

fn enthalpy_w(stream: &Stream) -> f64 {
    stream.dry_air_kg_per_s * stream.air.enthalpy_j_per_kg()
}

fn water_kg_per_s(stream: &Stream) -> f64 {
    stream.dry_air_kg_per_s * stream.air.humidity_ratio()
}

/// Water and enthalpy that went in come out, in the air or in the fog.
fn balances(streams: &[Stream], out: &Mixture) -> Result<(), TestCaseError> {
    let water_in: f64 = streams.iter().map(water_kg_per_s).sum();
    let heat_in: f64 = streams.iter().map(enthalpy_w).sum();
    let flow: f64 = streams.iter().map(|s| s.dry_air_kg_per_s).sum();
    prop_assert!((water_kg_per_s(&out.stream) + out.fog_kg_per_s - water_in).abs() < 1e-9 * flow);
    prop_assert!((enthalpy_w(&out.stream) + out.fog_enthalpy_w - heat_in).abs() < 1e-3 * flow);
    prop_assert!(out.stream.air.rel_humidity() <= 1.0);
    prop_assert!(0.0 <= out.fog_kg_per_s);
    if 0.0 < out.fog_kg_per_s {
        prop_assert!(0.999_999 < out.stream.air.rel_humidity());
        // The fog has the temperature of the air: liquid above 0 °C, ice below.
        let t_c = out.stream.air.dry_bulb_c();
        let per_kg = out.fog_enthalpy_w / out.fog_kg_per_s;
        let (ice, liquid) = (
            air::ice_enthalpy_j_per_kg(t_c),
            air::water_enthalpy_j_per_kg(t_c),
        );
        // Divided by a little fog, rounding of the whole enthalpy shows.
        let rounding = 1.0 + 1e-6 * flow / out.fog_kg_per_s;
        if 1e-6 < t_c {
            prop_assert!((per_kg - liquid).abs() < rounding, "{per_kg} {liquid}");
        } else if t_c < -1e-6 {
            prop_assert!((per_kg - ice).abs() < rounding, "{per_kg} {ice}");
        } else {
            prop_assert!(ice - rounding < per_kg && per_kg < liquid + rounding);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn mixing_balances(
        (t1, rh1, m1) in (-40.0..60.0, 0.0..=1.0, 0.0..10.0),
        (t2, rh2, m2) in (-40.0..60.0, 0.0..=1.0, 0.01..10.0),
    ) {
        let streams = [
            Stream { air: air_at(t1, rh1), dry_air_kg_per_s: m1 },
            Stream { air: air_at(t2, rh2), dry_air_kg_per_s: m2 },
        ];
        balances(&streams, &air::mix(&streams).unwrap())?;
    }

    #[test]
    fn wetting_balances_and_spray_cools_to_the_wet_bulb(
        (t, rh) in (5.0..45.0, 0.05..0.9), share in 0.05..2.0,
    ) {
        let inlet = Stream { air: air_at(t, rh), dry_air_kg_per_s: 2.0 };
        let wet_c = inlet.air.wet_bulb_c();
        prop_assume!(0.5 < wet_c);
        let at_wet_bulb = air::saturation_humidity_ratio(wet_c, 101_325.0);
        let spray = Water {
            water_kg_per_s: share * 2.0 * (at_wet_bulb - inlet.air.humidity_ratio()),
            enthalpy_j_per_kg: air::water_enthalpy_j_per_kg(wet_c),
        };
        let out = air::humidify(inlet, spray).unwrap();
        let water_in = water_kg_per_s(&inlet) + spray.water_kg_per_s;
        prop_assert!((water_kg_per_s(&out.stream) + out.fog_kg_per_s - water_in).abs() < 1e-9);
        let heat_in = enthalpy_w(&inlet) + spray.water_kg_per_s * spray.enthalpy_j_per_kg;
        prop_assert!((enthalpy_w(&out.stream) + out.fog_enthalpy_w - heat_in).abs() < 1e-3);
        // Water of the wet-bulb temperature leaves the wet bulb as it was,
        // and no amount of it cools the air further: eq. 31 of the handbook.
        prop_assert!((out.stream.air.wet_bulb_c() - wet_c).abs() < 1e-5);
        prop_assert!(wet_c - 1e-5 < out.stream.air.dry_bulb_c());
        if 1.0 < share {
            prop_assert!((out.stream.air.dry_bulb_c() - wet_c).abs() < 1e-5);
        }
    }

    #[test]
    fn heating_there_and_back((t, rh) in (0.0..40.0, 0.05..0.95), heat_w in 0.0..20_000.0) {
        let inlet = Stream { air: air_at(t, rh), dry_air_kg_per_s: 1.0 };
        let warm = air::heat(inlet, heat_w).unwrap();
        prop_assert!(t <= warm.air.dry_bulb_c());
        prop_assert_eq!(warm.air.humidity_ratio(), inlet.air.humidity_ratio());
        let back = air::heat(warm, -heat_w).unwrap();
        prop_assert!((back.air.dry_bulb_c() - t).abs() < 1e-9);
    }

    #[test]
    fn a_coil_never_wets_and_never_leaves_more_than_saturation(
        (t, rh) in (-10.0..45.0, 0.05..=1.0), below_k in 0.0..25.0, bypass_factor in 0.0..=1.0,
    ) {
        let inlet = air_at(t, rh);
        let adp_c = t - below_k;
        let out = air::cool_to_adp(inlet, adp_c, bypass_factor).unwrap();
        prop_assert!(out.humidity_ratio() <= inlet.humidity_ratio() * (1.0 + 1e-9));
        prop_assert!(out.rel_humidity() <= 1.0);
        prop_assert!(adp_c - 1e-9 <= out.dry_bulb_c());
        prop_assert!(out.enthalpy_j_per_kg() <= inlet.enthalpy_j_per_kg() + 1e-6);
        // A coil above the dew point takes no water.
        if inlet.dew_point_c() < adp_c {
            prop_assert!((out.humidity_ratio() - inlet.humidity_ratio()).abs() < 1e-15);
        }
    }
}

#[test]
fn cold_and_warm_saturated_air_make_fog() {
    let streams = [
        Stream {
            air: air_at(2.0, 1.0),
            dry_air_kg_per_s: 1.0,
        },
        Stream {
            air: air_at(30.0, 1.0),
            dry_air_kg_per_s: 1.0,
        },
    ];
    let out = air::mix(&streams).unwrap();
    assert!(0.001 < out.fog_kg_per_s, "{out:?}");
    // Condensing warms the mixture above the mean of the two.
    assert!(16.0 < out.stream.air.dry_bulb_c());
}

#[test]
fn a_coil_at_its_ends() {
    let inlet = air_at(26.0, 0.6);
    let bypassed = air::cool_to_adp(inlet, 8.0, 1.0).unwrap();
    assert!((bypassed.dry_bulb_c() - 26.0).abs() < 1e-12);
    assert!((bypassed.humidity_ratio() - inlet.humidity_ratio()).abs() < 1e-15);
    let touched = air::cool_to_adp(inlet, 8.0, 0.0).unwrap();
    assert_eq!(touched.dry_bulb_c(), 8.0);
    assert!((touched.rel_humidity() - 1.0).abs() < 1e-12);
}

#[test]
fn what_cannot_be_is_refused() {
    let air = air_at(20.0, 0.5);
    let still = Stream {
        air,
        dry_air_kg_per_s: 0.0,
    };
    let flowing = Stream {
        air,
        dry_air_kg_per_s: 1.0,
    };
    let high = MoistAir::from_rel_humidity(20.0, 0.5, 90_000.0).unwrap();
    let elsewhere = Stream {
        air: high,
        dry_air_kg_per_s: 1.0,
    };
    let water = Water {
        water_kg_per_s: -1.0,
        enthalpy_j_per_kg: 0.0,
    };
    for (refused, words) in [
        (air::mix(&[]).map(drop), "there is no stream"),
        (air::mix(&[still]).map(drop), "nothing flows"),
        (
            air::mix(&[flowing, elsewhere]).map(drop),
            "not at one pressure",
        ),
        (
            air::mix(&[Stream {
                dry_air_kg_per_s: f64::NAN,
                ..flowing
            }])
            .map(drop),
            "flow of dry air is not a number",
        ),
        (air::heat(still, 1.0).map(drop), "nothing flows"),
        (air::heat(flowing, f64::NAN).map(drop), "is not a number"),
        (
            air::heat(flowing, 1e6).map(drop),
            "−60.0 °C to 95.0 °C is allowed",
        ),
        (
            air::heat(flowing, -15_000.0).map(drop),
            "cannot hold that much water",
        ),
        (
            air::humidify(flowing, water).map(drop),
            "water put in is −3600 kg/h",
        ),
        (
            air::cool_to_adp(air, 25.0, 0.2).map(drop),
            "apparatus dew point is 25.00 °C",
        ),
        (
            air::cool_to_adp(air, 5.0, 1.2).map(drop),
            "bypass factor is 120.0 %",
        ),
    ] {
        let message = refused.map_err(|e: AirError| e.to_string()).unwrap_err();
        assert!(message.contains(words), "{message}");
    }
}

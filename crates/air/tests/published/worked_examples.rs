//! Worked examples of ASHRAE Handbook - Fundamentals 2021 (SI), ch. 1, sections
//! 9 and 10. All at 101.325 kPa except where said; most answers were read off
//! a chart there, so that the tolerance is what can be read.

use air::{MoistAir, Property, Stream, Water};

use crate::Worst;

const P_PA: f64 = 101_325.0;

fn air_of(first: Property, second: Property) -> MoistAir {
    MoistAir::from_pair(first, second, P_PA).unwrap()
}

/// A stream given, as in the examples, by its volume flow [m³/s].
fn stream(air: MoistAir, volume_m3_per_s: f64) -> Stream {
    Stream {
        air,
        dry_air_kg_per_s: volume_m3_per_s / air.specific_volume_m3_per_kg(),
    }
}

fn check(name: &'static str, got: f64, want: f64, tolerance: f64) {
    let mut worst = Worst::of(name);
    worst.compare("answer", got, want, tolerance);
    worst.verdict();
}

/// Section 9, comparison of chart 1 (sea level) and chart 6 (84.54 kPa, 1500 m).
#[test]
fn one_state_on_two_charts() {
    for (p_pa, h, w, rh, v) in [
        (101_325.0, 99.5, 0.0230, 0.49, 0.920),
        (84_540.0, 114.1, 0.0286, 0.50, 1.111),
    ] {
        let air =
            MoistAir::from_pair(Property::DryBulb(40.0), Property::WetBulb(30.0), p_pa).unwrap();
        // Charts are drawn from real-gas properties: 0.7 %, see README.
        check(
            "chart, enthalpy",
            air.enthalpy_j_per_kg() / 1000.0,
            h,
            0.007 * h,
        );
        check("chart, humidity ratio", air.humidity_ratio(), w, 0.007 * w);
        check(
            "chart, relative humidity",
            air.rel_humidity(),
            rh,
            0.005 + 1e-9,
        );
        check(
            "chart, volume",
            air.specific_volume_m3_per_kg(),
            v,
            0.007 * v,
        );
    }
}

/// Example 1: 40 °C dry bulb, 20 °C wet bulb.
#[test]
fn state_from_dry_and_wet_bulb() {
    let air = air_of(Property::DryBulb(40.0), Property::WetBulb(20.0));
    // Half a digit read, and 0.7 % of the saturated air at the wet bulb
    // (14.8 g/kg), from which this humidity ratio is a difference.
    check(
        "example 1, humidity ratio",
        air.humidity_ratio(),
        0.0065,
        0.00005 + 0.007 * 0.0148,
    );
    check(
        "example 1, enthalpy",
        air.enthalpy_j_per_kg() / 1000.0,
        56.7,
        0.1,
    );
    check("example 1, dew point", air.dew_point_c(), 7.0, 0.5);
    check(
        "example 1, relative humidity",
        air.rel_humidity(),
        0.14,
        0.005,
    );
    check(
        "example 1, volume",
        air.specific_volume_m3_per_kg(),
        0.896,
        0.001,
    );
}

/// Example 2: 10 m³/s saturated at 2 °C, heated to 40 °C, takes 490 kW.
#[test]
fn sensible_heating() {
    let inlet = stream(MoistAir::saturated(2.0, P_PA).unwrap(), 10.0);
    let out = air::heat(inlet, 490_000.0).unwrap();
    // 490 was rounded to tens: 5 kW are 0.4 K.
    check(
        "example 2, leaving dry bulb",
        out.air.dry_bulb_c(),
        40.0,
        0.4,
    );
    check(
        "example 2, entering volume",
        inlet.air.specific_volume_m3_per_kg(),
        0.785,
        0.0005,
    );
    check(
        "example 2, entering humidity ratio",
        1000.0 * inlet.air.humidity_ratio(),
        4.38,
        0.007 * 4.38,
    );
}

/// Example 3: 5 m³/s of 30 °C, 50 % air cooled to saturation at 10 °C takes 197 kW.
#[test]
fn cooling_and_dehumidifying() {
    let inlet = stream(
        air_of(Property::DryBulb(30.0), Property::RelHumidity(0.5)),
        5.0,
    );
    let out = air::cool_to_adp(inlet.air, 10.0, 0.0).unwrap();
    let water = inlet.air.humidity_ratio() - out.humidity_ratio();
    let per_kg = inlet.air.enthalpy_j_per_kg()
        - out.enthalpy_j_per_kg()
        - water * air::water_enthalpy_j_per_kg(10.0);
    let cooling_kw = inlet.dry_air_kg_per_s * per_kg / 1000.0;
    // Chart readings of 0.1 kJ/kg at both ends, at 5.70 kg/s.
    check("example 3, cooling", cooling_kw, 197.0, 5.70 * 0.2);
}

/// Example 4: 2 m³/s at 4/2 °C wet bulb and 6.25 m³/s at 25 °C, 50 %.
#[test]
fn mixing() {
    let outdoor = stream(air_of(Property::DryBulb(4.0), Property::WetBulb(2.0)), 2.0);
    let room = stream(
        air_of(Property::DryBulb(25.0), Property::RelHumidity(0.5)),
        6.25,
    );
    // Flows from volumes of 0.789 and 0.858 m³/kg read to 0.001.
    check(
        "example 4, outdoor flow",
        outdoor.dry_air_kg_per_s,
        2.535,
        2.535 * 0.001 / 0.789,
    );
    check(
        "example 4, room flow",
        room.dry_air_kg_per_s,
        7.284,
        7.284 * 0.001 / 0.858,
    );
    let mixed = air::mix(&[outdoor, room]).unwrap();
    // Found with a ruler between chart lines of 1 K: a quarter of a line. The
    // example's own ratio of 0.742 along the line would give 19.58.
    check(
        "example 4, dry bulb",
        mixed.stream.air.dry_bulb_c(),
        19.5,
        0.25,
    );
    check(
        "example 4, wet bulb",
        mixed.stream.air.wet_bulb_c(),
        14.6,
        0.25,
    );
    assert_eq!(mixed.fog_kg_per_s, 0.0);
}

/// Example 5: 2 kg/s at 20/8 °C wet bulb, steam at 110 °C to a dew point of 13 °C.
#[test]
fn humidifying_with_steam() {
    let air = air_of(Property::DryBulb(20.0), Property::WetBulb(8.0));
    let inlet = Stream {
        air,
        dry_air_kg_per_s: 2.0,
    };
    // 0.015 kg/s printed; h_g of 2691.07 kJ/kg from table 3.
    let steam = Water {
        water_kg_per_s: 0.015,
        enthalpy_j_per_kg: 2_691_070.0,
    };
    let out = air::humidify(inlet, steam).unwrap();
    check(
        "example 5, dry bulb",
        out.stream.air.dry_bulb_c(),
        21.0,
        0.5,
    );
    // Half a digit of either humidity ratio read, 0.05 g/kg each, is 0.15 K of dew point.
    check(
        "example 5, dew point",
        out.stream.air.dew_point_c(),
        13.0,
        0.2,
    );
}

/// Example 6: a room at 25/19 °C wet bulb gains 9 kW and 0.0015 kg/s of vapour;
/// supply air at 15 °C. Found: wet bulb 14.0 °C, 0.873 kg/s, 0.724 m³/s.
#[test]
fn supply_air_of_a_room() {
    let supply = air_of(Property::DryBulb(15.0), Property::WetBulb(14.0));
    check(
        "example 6, supply volume",
        supply.specific_volume_m3_per_kg(),
        0.829,
        0.001,
    );
    let inlet = Stream {
        air: supply,
        dry_air_kg_per_s: 0.873,
    };
    let heated = air::heat(inlet, 9_000.0).unwrap();
    let vapour = Water {
        water_kg_per_s: 0.0015,
        enthalpy_j_per_kg: 2_555_580.0,
    };
    let room = air::humidify(heated, vapour).unwrap().stream.air;
    // 0.1 kJ/kg of chart reading in a difference of 14.7 is 0.7 % of 10 K.
    check("example 6, room dry bulb", room.dry_bulb_c(), 25.0, 0.1);
    check("example 6, room wet bulb", room.wet_bulb_c(), 19.0, 0.1);
}

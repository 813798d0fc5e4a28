//! Against an independent recomputation; see `cross/README.md`.

#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "a test may panic, and prints how close it came"
)]

mod support;

use air::MoistAir;
use crop::air_exchange::air_exchange;
use crop::canopy::{Canopy, canopy_flux, canopy_flux_linearised, net_radiation_w_per_m2};
use crop::combustion::{Fuel, burner_from_co2, burner_from_fuel};
use crop::envelope::{
    ColdSurface, condensation_kg_per_m2_s, largest_dry_u_w_per_m2_k, surface_c,
    surface_rel_humidity,
};
use crop::people::{Activity, person};
use crop::stanghellini::{
    TemperatureFactor, TomatoAir, TomatoCanopy, resistance_factors, water_kg_per_m2_s,
};
use crop::stomata::{co2_factor, lit_resistance_s_per_m};
use crop::water_surface::{handbook_kg_per_m2_s, shah_kg_per_m2_s};
use support::{Largest, air, rows};

#[test]
fn stomatal_resistance() {
    let mut largest = Largest::new("stomatal resistance [s/m]");
    for row in rows("cross/stomatal_resistance.csv") {
        let ppfd = row.number("ppfd_umol_per_m2_s");
        let error = lit_resistance_s_per_m(ppfd) - row.number("expected_s_per_m");
        largest.check(&ppfd.to_string(), error, 0.01);
    }
    largest.print();
}

#[test]
fn canopy_balance() {
    let mut radiation = Largest::new("net radiation [W/m2]");
    let mut leaf = Largest::new("leaf less air temperature [K]");
    let mut sensible = Largest::new("sensible heat [W/m2]");
    let mut water = Largest::new("canopy water [share]");
    let mut linearised = Largest::new("linearised canopy water [share]");
    for row in rows("cross/canopy_balance.csv") {
        let case = row.text("case");
        let air = MoistAir::from_rel_humidity(
            row.number("dry_bulb_c"),
            row.number("rel_humidity_pct") / 100.0,
            row.number("pressure_pa"),
        )
        .unwrap();
        let canopy = Canopy {
            lai: row.number("lai"),
            coverage: row.number("coverage"),
            leaf_aero_resistance_s_per_m: row.number("aero_resistance_s_per_m"),
            reflectance: 0.05,
            photon_energy_j_per_umol: 0.20,
        };
        let ppfd = row.number("ppfd_umol_per_m2_s");
        let printed = row.number("stomatal_resistance_s_per_m");
        // The table rounds resistances of lit leaves to 0.1 s/m.
        let r_s = if ppfd > 0.0 {
            lit_resistance_s_per_m(ppfd)
        } else {
            printed
        };
        assert!((r_s - printed).abs() <= 0.05, "case {case}");

        radiation.check(
            case,
            net_radiation_w_per_m2(&canopy, ppfd) - row.number("net_radiation_w_per_m2"),
            0.0075,
        );
        let flux = canopy_flux(&canopy, &air, ppfd, r_s);
        leaf.check(
            case,
            flux.leaf_c - air.dry_bulb_c() - row.number("leaf_rise_k"),
            0.05,
        );
        let sensible_per_k = flux.sensible_w_per_m2 / (flux.leaf_c - air.dry_bulb_c());
        sensible.check(
            case,
            flux.sensible_w_per_m2 - row.number("sensible_w_per_m2"),
            0.05 * sensible_per_k,
        );
        let grams = flux.water_kg_per_m2_s * 3.6e6;
        water.check(case, grams / row.number("water_g_per_m2_h") - 1.0, 0.01);
        let by_hand = canopy_flux_linearised(&canopy, &air, ppfd, r_s);
        linearised.check(
            case,
            by_hand.water_kg_per_m2_s * 3.6e6 / row.number("linearised_water_g_per_m2_h") - 1.0,
            0.01,
        );
    }
    for largest in [radiation, leaf, sensible, water, linearised] {
        largest.print();
    }
}

#[test]
fn stanghellini() {
    let mut largest = Largest::new("second opinion [share]");
    for row in rows("cross/stanghellini.csv") {
        let t_c = row.number("air_c");
        let canopy = TomatoCanopy {
            lai: 3.0,
            canopy_c: t_c,
            absorbed_w_per_m2: row.number("absorbed_w_per_m2"),
            leaf_vpd_pa: air(t_c, row.number("rel_humidity_pct")).vpd_pa(),
            co2_ppm: row.number("co2_ppm"),
        };
        let temperature = match row.text("temperature_factor") {
            "used" => TemperatureFactor::Used,
            "left out" => TemperatureFactor::LeftOut,
            other => panic!("{other:?}"),
        };
        let factors = resistance_factors(&canopy, temperature);
        let r_s = factors.resistance_s_per_m();
        let tomato_air = TomatoAir {
            heat_capacity_j_per_m3_k: 1.2 * 1006.0,
            latent_heat_j_per_kg: 2.45e6,
        };
        let ours = match row.text("quantity") {
            "light" => factors.light,
            "co2" => factors.co2,
            "vpd" => factors.vpd,
            "day_share" => factors.day_share,
            "resistance" => r_s,
            "water_g_per_m2_h" => water_kg_per_m2_s(&canopy, &tomato_air, r_s) * 3.6e6,
            other => panic!("{other:?}"),
        };
        let at = format!("{} {}", row.text("case"), row.text("quantity"));
        largest.check(&at, ours / row.number("expected") - 1.0, 0.005);
    }
    largest.print();
}

#[test]
fn envelope() {
    let mut temperature = Largest::new("surface and dew point [K]");
    let mut humidity = Largest::new("surface humidity [%RH]");
    let mut transmittance = Largest::new("largest dry U [W/(m2 K)]");
    for row in rows("cross/envelope.csv") {
        let air = air(row.number("inside_c"), row.number("rel_humidity_pct"));
        let surface = ColdSurface {
            u_w_per_m2_k: row.number("u_w_per_m2_k"),
            inside_resistance_m2_k_per_w: row.number("inside_resistance_m2_k_per_w"),
            outside_c: row.number("outside_c"),
        };
        let at = format!("U {} at {} C", surface.u_w_per_m2_k, surface.outside_c);
        let t_si = surface_c(&surface, air.dry_bulb_c());
        temperature.check(&at, t_si - row.number("surface_c"), 0.02);
        temperature.check(&at, air.dew_point_c() - row.number("dew_point_c"), 0.02);
        humidity.check(
            &at,
            100.0 * surface_rel_humidity(&air, t_si) - row.number("surface_rel_humidity_pct"),
            0.1,
        );
        transmittance.check(
            &at,
            largest_dry_u_w_per_m2_k(&air, &surface) - row.number("largest_dry_u_w_per_m2_k"),
            0.005,
        );
        let wet = condensation_kg_per_m2_s(&air, t_si, 3.0) > 0.0;
        assert_eq!(wet, row.text("result") == "wet", "{at}");
    }
    for largest in [temperature, humidity, transmittance] {
        largest.print();
    }
}

#[test]
fn other_sources() {
    let per_hour = 3600.0;
    let indoor = air(26.0, 60.0);
    let flow_m3_per_s = 100.0 / per_hour;
    // The heat of evaporation of the check is that of water at this temperature.
    let body_c = (2_501_000.0 - 2_435_000.0) / 2361.0;
    let mut largest = Largest::new("other sources [share]");
    for row in rows("cross/other_sources.csv") {
        let quantity = row.text("quantity");
        let reservoir = air(24.0, 60.0);
        let ours = match quantity {
            "shah_kg_per_m2_h" => shah_kg_per_m2_s(20.0, &reservoir) * per_hour,
            "handbook_kg_per_m2_h" => handbook_kg_per_m2_s(20.0, &reservoir, 0.1) * per_hour,
            "air_exchange_hot_kg_per_h" => {
                air_exchange(&air(32.0, 70.0), &indoor, flow_m3_per_s).water_kg_per_s * per_hour
            }
            "air_exchange_cold_kg_per_h" => {
                air_exchange(&air(-5.0, 80.0), &indoor, flow_m3_per_s).water_kg_per_s * per_hour
            }
            "person_light_bench_kg_per_h" => {
                person(Activity::LightBench, body_c).water_kg_per_s * per_hour
            }
            "person_heavy_kg_per_h" => person(Activity::Heavy, body_c).water_kg_per_s * per_hour,
            "propane_water_kg_per_kg" => burner_from_fuel(Fuel::Propane, 1.0).water_kg_per_s,
            "propane_co2_kg_per_kg" => burner_from_fuel(Fuel::Propane, 1.0).co2_kg_per_s,
            "propane_water_kg_per_kg_co2" => burner_from_co2(Fuel::Propane, 1.0).water_kg_per_s,
            "methane_water_kg_per_kg" => burner_from_fuel(Fuel::Methane, 1.0).water_kg_per_s,
            "methane_co2_kg_per_kg" => burner_from_fuel(Fuel::Methane, 1.0).co2_kg_per_s,
            "methane_water_kg_per_kg_co2" => burner_from_co2(Fuel::Methane, 1.0).water_kg_per_s,
            "co2_factor_800ppm" => co2_factor(800.0),
            "co2_factor_1000ppm" => co2_factor(1000.0),
            "co2_factor_1105ppm" => co2_factor(1105.0),
            other => panic!("{other:?}"),
        };
        largest.check(
            quantity,
            ours / row.number("expected") - 1.0,
            row.number("tolerance_share"),
        );
    }
    largest.print();
}

//! Whole-day figures against bands that a grower or a reviewer would expect.
//!
//! The leafy band stands on a greenhouse lettuce budget of 2.25 L/(m² d)
//! (Barbosa et al. 2015, IJERPH 12:6879: 41 kg/(m² y) at 20 L/kg, product
//! computed). For tall flowering crops no measurement of a whole indoor room
//! was found; that band is assumed. Leaf temperature: Nelson and Bugbee 2015,
//! PLoS ONE 10:e0138930 (within 2 K typical); Rouphael and Colla 2004, Aust. J.
//! Agric. Res. 55:931 (down to 5 K below, hot and dry).

#![allow(clippy::unwrap_used, reason = "a test may panic")]

use air::MoistAir;
use crop::canopy::{Canopy, canopy_flux};
use crop::stomata::{NIGHT, lit_resistance_s_per_m};

fn air(dry_bulb_c: f64, rel_humidity_pct: f64) -> MoistAir {
    MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity_pct / 100.0, 101_325.0).unwrap()
}

const CANOPY: Canopy = Canopy {
    coverage: 0.95,
    ..Canopy::CLOSED
};

/// (g/(m² h) lit, g/(m² h) dark) at two air states.
fn rates(lit: (f64, f64), dark: (f64, f64), ppfd: f64) -> (f64, f64) {
    let on = canopy_flux(
        &CANOPY,
        &air(lit.0, lit.1),
        ppfd,
        lit_resistance_s_per_m(ppfd),
    );
    let off = canopy_flux(&CANOPY, &air(dark.0, dark.1), 0.0, NIGHT.likely_s_per_m);
    (on.water_kg_per_m2_s * 3.6e6, off.water_kg_per_m2_s * 3.6e6)
}

#[test]
fn leafy_greens() {
    for ppfd in [150.0, 200.0, 250.0, 300.0] {
        let (on, off) = rates((22.0, 70.0), (20.0, 75.0), ppfd);
        // 90 to 150, given to ten grams.
        assert!((85.0..155.0).contains(&on), "{ppfd}: {on} g/m2h");
        let day = (16.0 * on + 8.0 * off) / 1000.0;
        assert!((1.5..=3.0).contains(&day), "{ppfd}: {day} L/m2d");
    }
}

#[test]
fn tall_flowering() {
    for ppfd in [800.0, 900.0, 1000.0] {
        let (on, off) = rates((27.0, 60.0), (22.0, 55.0), ppfd);
        assert!((250.0..=400.0).contains(&on), "{ppfd}: {on} g/m2h");
        let day = 12.0 * (on + off) / 1000.0;
        assert!((3.5..=6.0).contains(&day), "{ppfd}: {day} L/m2d");
    }
}

#[test]
fn leaves_stay_near_the_air() {
    for (t_c, rh) in [
        (20.0, 75.0),
        (22.0, 70.0),
        (24.0, 65.0),
        (27.0, 60.0),
        (28.0, 50.0),
    ] {
        for ppfd in [150.0, 300.0, 600.0, 900.0] {
            let flux = canopy_flux(&CANOPY, &air(t_c, rh), ppfd, lit_resistance_s_per_m(ppfd));
            let rise_k = flux.leaf_c - t_c;
            assert!(
                (-5.0..=2.0).contains(&rise_k),
                "{t_c} C {rh} % {ppfd}: {rise_k} K"
            );
        }
    }
}

#[test]
fn the_second_opinion_agrees_on_the_size_of_things() {
    // Two models of different crops: within a factor of two by day.
    use crop::stanghellini::{
        TemperatureFactor, TomatoAir, TomatoCanopy, resistance_factors, water_kg_per_m2_s,
    };
    let (air, ppfd) = (air(21.0, 73.0), 600.0);
    let leaf = canopy_flux(&Canopy::CLOSED, &air, ppfd, lit_resistance_s_per_m(ppfd));
    let tomato = TomatoCanopy {
        lai: 3.0,
        canopy_c: leaf.leaf_c,
        absorbed_w_per_m2: leaf.net_radiation_w_per_m2,
        leaf_vpd_pa: air.leaf_vpd_pa(leaf.leaf_c),
        co2_ppm: 400.0,
    };
    let r_s = resistance_factors(&tomato, TemperatureFactor::LeftOut).resistance_s_per_m();
    let second = water_kg_per_m2_s(
        &tomato,
        &TomatoAir {
            heat_capacity_j_per_m3_k: 1.2 * 1006.0,
            latent_heat_j_per_kg: 2.45e6,
        },
        r_s,
    );
    let ratio = second / leaf.water_kg_per_m2_s;
    assert!((0.5..=2.0).contains(&ratio), "{ratio}");
}

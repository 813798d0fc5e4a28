//! Answers that can be written down: decays, steady states, energy balances.

mod common;

use std::sync::Arc;

use common::{SEA_LEVEL_PA, canopy, empty_box, humidity_ratio, leak};
use roomsim::setup::{
    Boundary, Evaporation, Event, Exchange, Film, Lights, RunLength, Setup, ThermalMass, WashDown,
    WaterSurface, Zone,
};
use roomsim::timetable::{DayAir, Drying, Hours, LightHours, Spell, Supply, Timetable, WetFloor};
use roomsim::{HeatPath, Record, WaterPath, run};

fn days(setup: &mut Setup, warm_up: u32, counted: u32) {
    setup.run = RunLength {
        warm_up_days: warm_up,
        days: counted,
        ..setup.run
    };
}

// A warm room cooling through its envelope alone: T − T_out falls by the
// exponential of UA t / (m c).
#[test]
fn temperature_decays_by_the_exponential() {
    for step_s in [1.0, 60.0, 300.0] {
        // Dry enough that nothing condenses on the way down.
        let mut setup = empty_box(200.0, 30.0, 0.10);
        setup.zone.outdoor_conductance_w_per_k = 40.0;
        setup.run.step_s = step_s;
        setup.timetable = Arc::new(Timetable::new(Hours {
            outdoor: DayAir::constant(10.0, 0.004),
            ..Hours::default()
        }));
        let w = setup.start.humidity_ratio;
        let mass_kg = 200.0 / air::specific_volume_m3_per_kg(30.0, w, SEA_LEVEL_PA);
        let time_constant_s = mass_kg * (1006.0 + 1860.0 * w) / 40.0;
        let series = run(&setup, Record::Minutes).series.expect("a series");
        for hour in [0.5, 1.0, 2.0, 5.0] {
            let index = (hour * 3600.0 / step_s) as usize;
            let exact_c = 10.0 + 20.0 * (-hour * 3600.0 / time_constant_s).exp();
            let found_c = series.dry_bulb_c[index - 1];
            assert!(
                (found_c - exact_c).abs() < 2e-3,
                "{step_s} s, {hour} h: {found_c}, {exact_c}"
            );
        }
    }
}

// A leak from the space around and a fan that brings outdoor air into a room
// held at 24 °C: in balance, dry air in × (its W − W of the room) is nothing
// over both, so that W is their mean by dry air; and the fan stops with the
// power while the leak goes on, to the W of the space around alone.
#[test]
fn a_leak_and_a_fan_each_bring_their_own_air() {
    let (leak_m3_per_s, fan_m3_per_s) = (0.03, 0.09);
    let (around_c, around_w) = (20.0, 0.005);
    let (outdoor_c, outdoor_w) = (31.0, 0.015);
    let mut setup = empty_box(100.0, 24.0, 0.50);
    setup.zone.outdoor_conductance_w_per_k = 0.0;
    setup.zone.exchanges = vec![
        leak(leak_m3_per_s, Boundary::Adjacent),
        Exchange {
            flow_m3_per_s: fan_m3_per_s,
            with: Boundary::Outdoor,
            supply: Supply::Mains,
        },
    ];
    setup.timetable = Arc::new(Timetable::new(Hours {
        adjacent: DayAir::constant(around_c, around_w),
        outdoor: DayAir::constant(outdoor_c, outdoor_w),
        ..Hours::default()
    }));
    setup.events = vec![Event::PowerCut {
        at_s: 12.0 * 3600.0,
        lasts_s: 12.0 * 3600.0,
    }];
    setup.check().expect("a sound setup");
    let outcome = run(&setup, Record::Minutes);
    let series = outcome.series.expect("a series");
    let dry_air = |flow_m3_per_s: f64, t_c: f64, w: f64| {
        flow_m3_per_s / air::specific_volume_m3_per_kg(t_c, w, SEA_LEVEL_PA)
    };
    let leaks = dry_air(leak_m3_per_s, around_c, around_w);
    let blown = dry_air(fan_m3_per_s, outdoor_c, outdoor_w);
    // 20 air changes an hour have long settled by noon.
    let mixed_w = (leaks * around_w + blown * outdoor_w) / (leaks + blown);
    let noon = 12 * 60 - 1;
    assert!((series.humidity_ratio[noon] / mixed_w - 1.0).abs() < 1e-9);
    let per_k = |m: f64, w: f64| m * (1006.0 + 1860.0 * w);
    let (c_leak, c_fan) = (per_k(leaks, around_w), per_k(blown, outdoor_w));
    let mixed_c = (c_leak * around_c + c_fan * outdoor_c) / (c_leak + c_fan);
    assert!((series.dry_bulb_c[noon] - mixed_c).abs() < 1e-9);
    // The first step of the cut: water of the leak alone, at the mean of the
    // step between the two ends.
    let path = series.water_kg_per_s[noon + 1][WaterPath::Exchange as usize];
    let from = leaks * (around_w - mixed_w);
    let to = leaks * (around_w - series.humidity_ratio[noon + 1]);
    assert!(from < path && path < to, "{from} {path} {to}");
    assert!((series.humidity_ratio[1439] / around_w - 1.0).abs() < 1e-3);
    assert!(outcome.balance.worst_step_water_kg < 1e-12);
}

// Humid air replaced by drier: W − W_out falls by the exponential of the dry
// air exchanged over the dry air held.
#[test]
fn humidity_decays_by_the_exponential() {
    for step_s in [1.0, 60.0, 300.0] {
        let mut setup = empty_box(200.0, 20.0, 0.80);
        let w_out = humidity_ratio(20.0, 0.30, SEA_LEVEL_PA);
        setup.zone.exchanges = vec![leak(200.0 / 3600.0, Boundary::Outdoor)];
        setup.run.step_s = step_s;
        setup.timetable = Arc::new(Timetable::new(Hours {
            outdoor: DayAir::constant(20.0, w_out),
            ..Hours::default()
        }));
        let w = setup.start.humidity_ratio;
        let held_kg = 200.0 / air::specific_volume_m3_per_kg(20.0, w, SEA_LEVEL_PA);
        let rate_per_s =
            200.0 / 3600.0 / air::specific_volume_m3_per_kg(20.0, w_out, SEA_LEVEL_PA) / held_kg;
        let series = run(&setup, Record::Minutes).series.expect("a series");
        for hour in [0.5, 1.0, 2.0, 4.0] {
            let index = (hour * 3600.0 / step_s) as usize;
            let exact = w_out + (w - w_out) * (-hour * 3600.0 * rate_per_s).exp();
            let found = series.humidity_ratio[index - 1];
            assert!(
                (found - exact).abs() < 1e-6,
                "{step_s} s, {hour} h: {found}, {exact}"
            );
        }
    }
}

// A sealed box with a constant gain of heat and water: both rise in a straight
// line.
#[test]
fn constant_gains_rise_in_a_straight_line() {
    let mut setup = empty_box(500.0, 26.0, 0.60);
    setup.timetable = Arc::new(Timetable::new(Hours {
        other: vec![Spell::always(20.0, 0.5 / 86_400.0)],
        ..Hours::default()
    }));
    let outcome = run(&setup, Record::Minutes);
    let series = outcome.series.expect("a series");
    let mass_kg =
        500.0 / air::specific_volume_m3_per_kg(26.0, setup.start.humidity_ratio, SEA_LEVEL_PA);
    let rise = series.humidity_ratio[1439] - setup.start.humidity_ratio;
    assert!((rise * mass_kg - 0.5).abs() < 1e-9);
    let heat_j = 20.0 * 86_400.0;
    let rise_k = series.dry_bulb_c[1439] - 26.0;
    let c_j_per_k = mass_kg * (1006.0 + 1860.0 * (setup.start.humidity_ratio + 0.5 * rise));
    assert!((rise_k * c_j_per_k / heat_j - 1.0).abs() < 1e-3);
}

// Half a kilogram of water in 500 m³ at 26 °C: 60 to 64.0 % (worked with the
// ASHRAE 2017 relations; published nowhere, plain arithmetic).
#[test]
fn half_a_kilogram_in_a_sealed_room() {
    let mut setup = empty_box(500.0, 26.0, 0.60);
    setup.zone.outdoor_conductance_w_per_k = 1e5;
    setup.timetable = Arc::new(Timetable::new(Hours {
        outdoor: DayAir::constant(26.0, 0.01),
        other: vec![Spell::always(0.0, 0.5 / 86_400.0)],
        ..Hours::default()
    }));
    let series = run(&setup, Record::Minutes).series.expect("a series");
    assert!((series.rel_humidity[1439] - 0.640).abs() < 0.0005);
}

// Air and mass come to one temperature; the heat that the one loses the other
// gains.
#[test]
fn air_and_mass_share_their_heat() {
    let mut setup = empty_box(200.0, 30.0, 0.30);
    setup.zone.mass = Some(ThermalMass {
        capacity_j_per_k: 2.0e6,
        conductance_w_per_k: 500.0,
    });
    // A gain in the first hour pulls them apart; then they settle.
    setup.timetable = Arc::new(Timetable::new(Hours {
        other: vec![Spell {
            to_s: 3600.0,
            ..Spell::always(1500.0, 0.0)
        }],
        ..Hours::default()
    }));
    let series = run(&setup, Record::Minutes).series.expect("a series");
    let w = setup.start.humidity_ratio;
    let c_air =
        200.0 / air::specific_volume_m3_per_kg(30.0, w, SEA_LEVEL_PA) * (1006.0 + 1860.0 * w);
    let settled_c = 30.0 + 1500.0 * 3600.0 / (c_air + 2.0e6);
    assert!((series.dry_bulb_c[59] - series.mass_c[59]) > 1.0);
    assert!((series.dry_bulb_c[1439] - settled_c).abs() < 1e-6);
    assert!((series.mass_c[1439] - settled_c).abs() < 1e-6);
}

// Leaf temperature and water of the crop against the exact solution of the
// `crop` crate at the air of the same moment: 0.3 %.
#[test]
fn leaves_agree_with_the_exact_balance() {
    let mut setup = common::flowering_room();
    // Continuous control: the mean of a step is the mean of its two ends.
    setup.cooling[0].control = roomsim::setup::CoolingControl::Ideal;
    days(&mut setup, 1, 1);
    let outcome = run(&setup, Record::Minutes);
    let series = outcome.series.expect("a series");
    let canopy = setup.canopy.expect("a canopy");
    let hours = setup.timetable.hours();
    let mut compared = 0;
    let mut worst: f64 = 0.0;
    for i in 1..series.len() {
        // Long after a switching, when the stomata have followed.
        let minute = i % 1440;
        let settled = (600..1060).contains(&minute) || minute < 350;
        if !settled {
            continue;
        }
        let ppfd =
            hours.lights.fraction((minute as f64 + 0.5) * 60.0) * setup.lights.ppfd_umol_per_m2_s;
        let resistance = if ppfd > 0.0 {
            crop::stomata::lit_resistance_s_per_m(ppfd)
        } else {
            canopy.night_resistance_s_per_m
        };
        // The mean state of the step, as its flows are booked.
        let mean = |values: &[f64]| 0.5 * (values[i - 1] + values[i]);
        let air = air::MoistAir::new(
            mean(&series.dry_bulb_c),
            mean(&series.humidity_ratio),
            SEA_LEVEL_PA,
        )
        .expect("possible air");
        let exact = crop::canopy::canopy_flux(&canopy.leaves, &air, ppfd, resistance);
        let found = series.water_kg_per_s[i][WaterPath::Crop as usize] / canopy.area_m2;
        let off = (found / exact.water_kg_per_m2_s - 1.0).abs();
        worst = worst.max(off);
        compared += 1;
    }
    println!("{compared} minutes, worst {:.4} %", 100.0 * worst);
    assert!(compared > 700);
    assert!(worst < 0.003, "{worst}");
}

// λE = R_net − H for every step: what the leaves take as light and from the
// air they give back as vapour.
#[test]
fn leaves_give_back_as_vapour_what_they_take() {
    let setup = common::flowering_room();
    let series = run(&setup, Record::Minutes).series.expect("a series");
    let canopy = setup.canopy.expect("a canopy");
    let lit_w = canopy.area_m2
        * crop::canopy::net_radiation_w_per_m2(&canopy.leaves, setup.lights.ppfd_umol_per_m2_s);
    for i in 1..series.len() {
        let light_w = lit_w * series.light[i];
        let sensible_w = series.heat_w[i][HeatPath::Crop as usize];
        let water = series.water_kg_per_s[i][WaterPath::Crop as usize];
        let latent_w = water * air::latent_heat_j_per_kg(series.dry_bulb_c[i - 1]);
        assert!((light_w - sensible_w - latent_w).abs() < 1e-6 * (1.0 + latent_w.abs()));
    }
}

// Film drying: the whole film goes into the air, and the wet floor ends there.
#[test]
fn a_film_dries_up_and_no_more() {
    let mut setup = empty_box(400.0, 24.0, 0.50);
    setup.zone = Zone {
        outdoor_conductance_w_per_k: 300.0,
        mass: Some(ThermalMass {
            capacity_j_per_k: 5.0e6,
            conductance_w_per_k: 800.0,
        }),
        ..setup.zone
    };
    setup.floor = Some(Film {
        area_m2: 30.0,
        heat_transfer_w_per_m2_k: 6.0,
        cooling_time_s: 600.0,
        daily_wash_downs: vec![WashDown {
            time_s: 3600.0,
            film_kg: 2.0,
        }],
    });
    let outcome = run(&setup, Record::Minutes);
    let given_kg = outcome.summary.water_kg(WaterPath::Surfaces);
    assert!((given_kg - 2.0).abs() < 1e-9, "{given_kg}");
    // First minutes warm, then near the wet bulb: the first quarter of an hour
    // dries faster than the next.
    let series = outcome.series.expect("a series");
    let rate = |minute: usize| series.water_kg_per_s[minute][WaterPath::Surfaces as usize];
    assert!(rate(61) > 1.5 * rate(90));
    // And the next at h_c (T − T_wb) / λ, air of that minute.
    let air = air::MoistAir::new(
        series.dry_bulb_c[120],
        series.humidity_ratio[120],
        SEA_LEVEL_PA,
    )
    .expect("possible air");
    let expected = 30.0 * 6.0 * (air.dry_bulb_c() - air.wet_bulb_c())
        / air::latent_heat_j_per_kg(air.dry_bulb_c());
    assert!(
        (rate(120) / expected - 1.0).abs() < 0.05,
        "{} {expected}",
        rate(120)
    );
}

// A crop hung to dry in air held at 18 °C: at the reference its table, in other
// air the table times the ratio of deficits, never below 0 nor above 3 times;
// its heat of evaporation with it.
#[test]
fn a_hung_crop_answers_to_the_deficit_of_the_air() {
    const TABLE_KG_PER_S: f64 = 2.0e-4;
    const REFERENCE_PA: f64 = 800.0;
    let first = |rel_humidity: f64| {
        // So large that a step changes nothing.
        let mut setup = empty_box(1.0e7, 18.0, rel_humidity);
        setup.timetable = Arc::new(Timetable::new(Hours {
            drying: Some(Drying {
                water_kg_per_s: [TABLE_KG_PER_S; 24],
                reference_vpd_pa: REFERENCE_PA,
            }),
            ..Hours::default()
        }));
        setup.check().expect("a sound setup");
        let series = run(&setup, Record::Minutes).series.expect("a series");
        let water = series.water_kg_per_s[0][WaterPath::Drying as usize];
        let heat = series.heat_w[0][HeatPath::Drying as usize];
        assert!((heat + water * air::latent_heat_j_per_kg(18.0)).abs() < 1e-9);
        water / TABLE_KG_PER_S
    };
    let deficit_pa = |rh: f64| (1.0 - rh) * air::saturation_pressure_pa(18.0);
    let at_reference = 1.0 - REFERENCE_PA / air::saturation_pressure_pa(18.0);
    assert!((first(at_reference) - 1.0).abs() < 1e-5);
    for rh in [0.2, 0.45, 0.75, 0.95] {
        let expected = deficit_pa(rh) / REFERENCE_PA;
        assert!((first(rh) / expected - 1.0).abs() < 1e-4, "{rh}");
    }
    assert!(first(1.0).abs() < 1e-6);
    assert!(deficit_pa(0.0) / REFERENCE_PA < 3.0);
    let mut dry = empty_box(1.0e7, 30.0, 0.05);
    dry.timetable = Arc::new(Timetable::new(Hours {
        drying: Some(Drying {
            water_kg_per_s: [TABLE_KG_PER_S; 24],
            reference_vpd_pa: REFERENCE_PA,
        }),
        ..Hours::default()
    }));
    let series = run(&dry, Record::Minutes).series.expect("a series");
    let water = series.water_kg_per_s[0][WaterPath::Drying as usize];
    assert!((water / TABLE_KG_PER_S - 3.0).abs() < 1e-12);
}

// A sealed box held at one temperature in which a crop dries: W rises to that
// of saturated air by 1 − exp(−t/τ), τ = dry air · VPD_ref / (rate · dp/dW),
// whatever the step, since the vapour pressure is nearly straight in W.
#[test]
fn a_sealed_drying_room_comes_to_rest_at_saturation() {
    const RATE_KG_PER_S: f64 = 1.0e-4;
    let rises = [60.0, 600.0].map(|step_s| {
        let mut setup = empty_box(200.0, 18.0, 0.55);
        setup.zone.outdoor_conductance_w_per_k = 1e5;
        setup.run.step_s = step_s;
        setup.timetable = Arc::new(Timetable::new(Hours {
            outdoor: DayAir::constant(18.0, 0.005),
            drying: Some(Drying {
                water_kg_per_s: [RATE_KG_PER_S; 24],
                reference_vpd_pa: 800.0,
            }),
            ..Hours::default()
        }));
        let outcome = run(&setup, Record::Minutes);
        assert!(outcome.balance.worst_step_water_kg < 1e-12 * outcome.balance.water_turned_over_kg);
        let w = outcome.series.expect("a series").humidity_ratio;
        let held_kg =
            200.0 / air::specific_volume_m3_per_kg(18.0, setup.start.humidity_ratio, SEA_LEVEL_PA);
        let saturated = air::saturation_humidity_ratio(18.0, SEA_LEVEL_PA);
        let middle = 0.5 * (setup.start.humidity_ratio + saturated);
        let pa_per_w = SEA_LEVEL_PA * 0.621_945 / (0.621_945 + middle).powi(2);
        let time_constant_s = held_kg * 800.0 / (RATE_KG_PER_S * pa_per_w);
        for hour in [3.0_f64, 8.0] {
            let index = (hour * 3600.0 / step_s) as usize - 1;
            let left = (-hour * 3600.0 / time_constant_s).exp();
            let expected = saturated - (saturated - setup.start.humidity_ratio) * left;
            assert!(
                (w[index] / expected - 1.0).abs() < 2e-3,
                "{step_s} s, {hour} h: {} {expected}",
                w[index]
            );
        }
        let last = w[w.len() - 1];
        assert!(last <= saturated * (1.0 + 1e-6) && saturated * 0.999 < last);
        last
    });
    assert!((rises[0] / rises[1] - 1.0).abs() < 1e-6);
}

// Floor that lies wet from 22:00 to 02:30: water in those minutes only, at
// h_c (T − T_wb) / λ.
#[test]
fn a_floor_is_wet_in_its_hours_only() {
    let mut setup = empty_box(1.0e6, 24.0, 0.50);
    setup.floor = Some(Film {
        area_m2: 0.0,
        heat_transfer_w_per_m2_k: 6.0,
        cooling_time_s: 600.0,
        daily_wash_downs: Vec::new(),
    });
    setup.timetable = Arc::new(Timetable::new(Hours {
        wet_floor: vec![WetFloor {
            from_s: 22.0 * 3600.0,
            to_s: 2.5 * 3600.0,
            area_m2: 30.0,
        }],
        ..Hours::default()
    }));
    setup.check().expect("a sound setup");
    let series = run(&setup, Record::Minutes).series.expect("a series");
    for (minute, row) in series.water_kg_per_s.iter().enumerate() {
        let water = row[WaterPath::Surfaces as usize];
        if !(150..22 * 60).contains(&minute) {
            let air = air::MoistAir::new(
                series.dry_bulb_c[minute],
                series.humidity_ratio[minute],
                SEA_LEVEL_PA,
            )
            .expect("possible air");
            let expected = 30.0 * 6.0 * (air.dry_bulb_c() - air.wet_bulb_c())
                / air::latent_heat_j_per_kg(air.dry_bulb_c());
            // The film's balance and adiabatic saturation differ by so much.
            assert!(
                (water / expected - 1.0).abs() < 0.05,
                "{minute}: {water} {expected}"
            );
        } else {
            assert_eq!(water, 0.0, "{minute}");
        }
    }
    setup.floor = None;
    let error = setup.check().expect_err("no floor to wet").to_string();
    assert!(
        error.contains("the timetable wets the floor at 79200 s"),
        "{error}"
    );
}

// Open water against the equations of the `crop` crate at the same air.
#[test]
fn open_water_follows_its_equations() {
    let air_c = 24.0;
    for (water_c, law) in [
        (28.0, Evaporation::Still),
        (20.0, Evaporation::Still),
        (
            24.0,
            Evaporation::Blown {
                air_speed_m_per_s: 0.3,
                activity: 1.0,
            },
        ),
    ] {
        let mut setup = empty_box(5000.0, air_c, 0.50);
        setup.water_surfaces = vec![WaterSurface {
            area_m2: 2.0,
            water_c,
            law,
            heat_from_air: 1.0,
        }];
        let series = run(&setup, Record::Minutes).series.expect("a series");
        let air = air::MoistAir::from_rel_humidity(air_c, 0.50, SEA_LEVEL_PA).expect("air");
        let exact = match law {
            Evaporation::Still => crop::water_surface::shah_kg_per_m2_s(water_c, &air),
            Evaporation::Blown {
                air_speed_m_per_s, ..
            } => crop::water_surface::handbook_kg_per_m2_s(water_c, &air, air_speed_m_per_s),
        };
        let found = series.water_kg_per_s[0][WaterPath::Surfaces as usize] / 2.0;
        assert!(
            (found / exact - 1.0).abs() < 0.002,
            "{water_c}: {found} {exact}"
        );
    }
}

// Energy of a closed, adiabatic room over a periodic day: all electricity is
// heat removed by cooling plus what leaves with the condensate. Tolerance
// 0.5 %, as the identity is stated for.
#[test]
fn electricity_is_heat_removed_plus_condensate() {
    let mut setup = common::flowering_room();
    setup.zone.outdoor_conductance_w_per_k = 0.0;
    setup.zone.adjacent_conductance_w_per_k = 0.0;
    setup.zone.exchanges.clear();
    days(&mut setup, 10, 4);
    let summary = run(&setup, Record::Summary).summary;
    let machine = &summary.cooling[0];
    // Into the room: lamps, dehumidifiers, indoor fan. The compressor of the
    // cooling machine stands outside.
    let electricity_j =
        summary.energy.lights_j + summary.energy.dehumidifiers_j + machine.indoor_fan_j;
    // Off the room: sensible and latent heat less nothing, since the coil's
    // condensate is counted as vapour; the dehumidifiers' at 12 °C.
    let units_kg: f64 = summary.dehumidifiers.iter().map(|u| u.drained_kg).sum();
    let coil_condensate_j = machine.drained_kg * air::water_enthalpy_j_per_kg(22.0);
    let removed_j = machine.coil_sensible_j + machine.coil_latent_j - coil_condensate_j;
    let condensate_j = coil_condensate_j + units_kg * air::water_enthalpy_j_per_kg(12.0);
    // Crop and medium drink water at room temperature, which brings its own
    // enthalpy in.
    let drunk_kg = summary.water_kg(WaterPath::Crop);
    let water_in_j = drunk_kg * air::water_enthalpy_j_per_kg(25.0);
    let off = (removed_j + condensate_j) / (electricity_j + water_in_j) - 1.0;
    println!(
        "electricity {electricity_j:.4e} J, removed {removed_j:.4e} J, off {:.3} %",
        100.0 * off
    );
    assert!(off.abs() < 0.005, "{off}");
    // Over a periodic run condensate is transpiration.
    let condensed_kg = units_kg + machine.drained_kg;
    assert!(
        (condensed_kg / drunk_kg - 1.0).abs() < 0.005,
        "{condensed_kg} {drunk_kg}"
    );
}

// At lights-off the coil takes water only while it runs, and it runs for the
// sensible load: RTF = Q_s / Q_s,cap, ṁ = RTF · ṁ_ss.
#[test]
fn lights_off_latent_is_tied_to_run_time() {
    let mut setup = empty_box(300.0, 22.0, 0.60);
    let table = Arc::new(common::cooling_table(1.0, SEA_LEVEL_PA));
    setup.cooling = vec![roomsim::setup::Cooling {
        indoor_fan_w: 0.0,
        part_load_degradation: 0.0,
        ..common::cooling(&table, roomsim::setup::CoolingControl::Ideal)
    }];
    let hours = Hours {
        other: vec![Spell::always(1500.0, 1.0 / 3600.0)],
        outdoor: DayAir::constant(30.0, 0.01),
        targets: roomsim::timetable::Targets {
            lights_on: target(22.0),
            lights_off: target(22.0),
            transition: None,
            ramp_s: 0.0,
        },
        ..Hours::default()
    };
    setup.timetable = Arc::new(Timetable::new(hours));
    days(&mut setup, 3, 1);
    let summary = run(&setup, Record::Summary).summary;
    let machine = &summary.cooling[0];
    let state = summary.period(roomsim::Period::LightsOff);
    let steady = table.at(state.mean_dry_bulb_c, state.mean_humidity_ratio, 30.0);
    let run_fraction = machine.run_s / 86_400.0;
    assert!((run_fraction / (1500.0 / steady.gross_sensible_w) - 1.0).abs() < 0.002);
    let steady_kg_per_s = steady.latent_w / air::vapour_enthalpy_j_per_kg(state.mean_dry_bulb_c);
    let removed_kg = machine.drained_kg;
    assert!((removed_kg / (run_fraction * steady_kg_per_s * 86_400.0) - 1.0).abs() < 0.002);
}

fn target(cool_c: f64) -> roomsim::timetable::Target {
    roomsim::timetable::Target {
        cooling_setpoint_c: cool_c,
        heating_setpoint_c: cool_c - 10.0,
        ..Hours::default().targets.lights_on
    }
}

// The sheet's night: 100 m² of canopy in the dark at 22 °C and 55 % with
// 1200 s/m gives 6.2 kg/h and takes 4.2 kW from the air.
#[test]
fn a_dark_canopy_cools_its_air() {
    let mut setup = empty_box(1e5, 22.0, 0.55);
    let mut leaves = canopy(100.0);
    leaves.leaves.coverage = 0.9;
    leaves.stomatal_lag_s = 0.0;
    setup.canopy = Some(leaves);
    setup.lights = Lights::NONE;
    setup.timetable = Arc::new(Timetable::new(Hours {
        lights: LightHours {
            on_s: 0.0,
            photoperiod_s: 0.0,
            ramp_s: 0.0,
        },
        ..Hours::default()
    }));
    let series = run(&setup, Record::Minutes).series.expect("a series");
    let kg_per_h = 3600.0 * series.water_kg_per_s[0][WaterPath::Crop as usize];
    let sensible_w = series.heat_w[0][HeatPath::Crop as usize];
    assert!((kg_per_h / 6.21 - 1.0).abs() < 0.01, "{kg_per_h}");
    assert!((sensible_w / -4221.0 - 1.0).abs() < 0.01, "{sensible_w}");
}

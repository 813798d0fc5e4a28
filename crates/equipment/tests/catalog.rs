//! Every machine file of the project: it reads, gives its ratings back,
//! differs from the others, and keeps water and energy.

use std::fs;
use std::path::Path;

use air::MoistAir;
use equipment::{
    Catalog, CoolingKind, Data, Existence, FanHabit, FilterState, Performance, read_cooler,
    read_model, write_cooler, write_record,
};
use proptest::prelude::*;

fn folder(path: &str) -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let mut files: Vec<_> = fs::read_dir(root.join(path))
        .expect("a folder")
        .map(|f| f.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "toml"))
        .collect();
    files.sort();
    files
        .iter()
        .map(|p| {
            let name = p
                .file_name()
                .expect("a name")
                .to_string_lossy()
                .into_owned();
            (name, fs::read_to_string(p).expect("text"))
        })
        .collect()
}

fn catalog() -> Catalog {
    let mut files = folder("catalog");
    files.extend(folder("cases/published/catalog"));
    match Catalog::read(&files) {
        Ok(catalog) => catalog,
        Err(problems) => panic!("{problems}"),
    }
}

fn sea(t_c: f64, rh: f64) -> MoistAir {
    MoistAir::from_rel_humidity(t_c, rh, 101_325.0).expect("possible air")
}

#[test]
fn every_file_reads_and_says_that_it_is_invented() {
    let catalog = catalog();
    assert!(catalog.dehumidifiers.len() >= 6);
    assert!(catalog.dehumidifiers.contains_key("generic-150"));
    for (code, m) in &catalog.dehumidifiers {
        assert_eq!(m.provenance.existence, Existence::Invented, "{code}");
        assert!(!m.control.set_up.is_empty(), "{code}");
    }
    for (name, text) in folder("catalog") {
        assert!(text.contains("Invented for demonstration"), "{name}");
    }
}

/// Tags of units are D1, D2 and so on where nobody gives others: a terminal of
/// such a mark is told as one. The procedures are nobody's: they name no key,
/// menu or word on a panel.
#[test]
fn set_up_steps_take_no_terminal_for_a_unit_and_name_no_keys() {
    let catalog = catalog();
    let units = catalog
        .dehumidifiers
        .iter()
        .map(|(code, m)| (code, &m.control.set_up));
    let controls = catalog
        .controllers
        .iter()
        .map(|(code, c)| (code, &c.set_up));
    for (code, steps) in units.chain(controls) {
        for step in steps {
            let words = || step.split(|c: char| !c.is_ascii_alphanumeric());
            let like_a_tag = |w: &str| {
                let number = w.strip_prefix('D').unwrap_or_default();
                !number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())
            };
            assert!(
                !words().any(like_a_tag) || step.contains("not tags of units"),
                "{code}: {step}"
            );
            let on_a_panel = |w: &str| 4 <= w.len() && w.bytes().all(|b| b.is_ascii_uppercase());
            assert!(!words().any(on_a_panel), "{code}: {step}");
            for word in ["press", "key", "keys", "menu", "button"] {
                let named = words().any(|w| w.eq_ignore_ascii_case(word));
                assert!(!named, "{code}: {step}");
            }
        }
    }
}

#[test]
fn every_map_gives_its_ratings_back() {
    for (code, m) in &catalog().dehumidifiers {
        for (i, r) in m.ratings.iter().enumerate() {
            let out = m.at(sea(r.dry_bulb_c, r.rel_humidity), FilterState::Clean);
            let removal = out.removal_kg_per_s / r.removal_kg_per_s - 1.0;
            let power = out.power_w / r.power_w - 1.0;
            println!(
                "{code} {i}: removal {:+.2} %, power {:+.2} %",
                100.0 * removal,
                100.0 * power
            );
            assert!(
                removal.abs() < 0.03 && power.abs() < 0.03,
                "{code} {removal} {power}"
            );
        }
        if let Performance::Curve(c) = &m.performance {
            let r = m.rating();
            for curve in [&c.removal, &c.power] {
                let at = curve.at(r.dry_bulb_c, r.rel_humidity);
                assert!((0.9..=1.1).contains(&at), "{code} {at}");
            }
        }
    }
}

/// Six models must not be one map scaled: removal over removal at 26.67 °C
/// and 60 %, in cool night air, in dry warm air, in damp air, and the sensible
/// heat per kilogram removed.
#[test]
fn the_models_truly_differ() {
    let catalog = catalog();
    let prints: Vec<(String, [f64; 4])> = catalog
        .dehumidifiers
        .iter()
        .map(|(code, m)| {
            let at = |t_c, rh| m.at(sea(t_c, rh), FilterState::Clean);
            let base = at(48.0 / 1.8, 0.60).removal_kg_per_s;
            let cool = at(20.0, 0.60);
            let print = [
                cool.removal_kg_per_s / base,
                at(26.0, 0.45).removal_kg_per_s / base,
                at(24.0, 0.75).removal_kg_per_s / base,
                // Heat to the room in units of the water's own latent heat.
                cool.sensible_to_room_w / (cool.removal_kg_per_s * 2.45e6),
            ];
            println!("{code}: {print:.3?}");
            (code.clone(), print)
        })
        .collect();
    for (i, (a, x)) in prints.iter().enumerate() {
        for (b, y) in &prints[i + 1..] {
            let apart = x
                .iter()
                .zip(y)
                .map(|(p, q)| (p / q - 1.0).abs())
                .fold(0.0, f64::max);
            assert!(apart > 0.04, "{a} and {b} are one map: {apart}");
        }
    }
    let spread = |k: usize| {
        let list: Vec<f64> = prints.iter().map(|(_, p)| p[k]).collect();
        list.iter().copied().fold(0.0, f64::max)
            / list.iter().copied().fold(f64::INFINITY, f64::min)
    };
    // Cool night air against the rating: at least 15 % between best and worst.
    assert!(spread(0) > 1.15, "{}", spread(0));
    assert!(spread(1) > 1.20, "{}", spread(1));
}

#[test]
fn the_models_cover_the_kinds() {
    let catalog = catalog();
    let all = || catalog.dehumidifiers.values();
    let litres: Vec<f64> = all()
        .map(|m| {
            m.at(sea(48.0 / 1.8, 0.6), FilterState::Clean)
                .removal_kg_per_s
                * 86_400.0
                / 0.998
        })
        .collect();
    assert!(litres.iter().any(|x| *x < 35.0) && litres.iter().any(|x| *x > 240.0));
    for word in ["table", "curve", "rating only"] {
        assert!(all().any(|m| m.performance.word() == word), "{word}");
    }
    for (family, _) in equipment::CONTROL_FAMILIES {
        assert!(all().any(|m| m.control.family == family), "{family:?}");
    }
    for habit in [FanHabit::FollowsCompressor, FanHabit::Continuous] {
        assert!(all().any(|m| m.fan_habit == habit), "{habit:?}");
    }
    for (volts, phases) in [(120.0, 1), (240.0, 1), (208.0, 3), (400.0, 3)] {
        assert!(
            all().any(|m| m.plate.volts == volts && m.plate.phases == phases),
            "{volts}"
        );
    }
    let kinds = |f: fn(&CoolingKind) -> bool| catalog.coolers.values().any(|c| f(&c.kind));
    assert!(kinds(|k| matches!(k, CoolingKind::Map(_))));
    assert!(kinds(|k| matches!(k, CoolingKind::RatedPoint(_))));
    assert!(kinds(|k| matches!(k, CoolingKind::ChilledWater(_))));
}

#[test]
fn what_is_written_reads_back_as_the_same() {
    let catalog = catalog();
    for m in catalog.dehumidifiers.values() {
        let text = write_record(m);
        assert_eq!(
            &read_model("again.toml", &text).expect("readable"),
            m,
            "{text}"
        );
    }
    for c in catalog.coolers.values() {
        let text = write_cooler(c);
        assert_eq!(
            &read_cooler("again.toml", &text).expect("readable"),
            c,
            "{text}"
        );
    }
}

/// Removal rises with dry bulb and with relative humidity inside the data.
#[test]
fn removal_rises_inside_the_data() {
    for (code, m) in &catalog().dehumidifiers {
        let (range, _) = m.ranges();
        let n = 24;
        let at = |i: i32, j: i32| {
            let x = f64::from(i) / f64::from(n);
            let y = f64::from(j) / f64::from(n);
            let t_c = range.min_dry_bulb_c + x * (range.max_dry_bulb_c - range.min_dry_bulb_c);
            let rh = range.min_rel_humidity + y * (range.max_rel_humidity - range.min_rel_humidity);
            m.at(
                sea(t_c.clamp(m.min_inlet_c, m.max_inlet_c), rh),
                FilterState::Clean,
            )
            .removal_kg_per_s
        };
        for i in 0..=n {
            for j in 0..=n {
                let here = at(i, j) * (1.0 - 1e-9);
                assert!(i == n || at(i + 1, j) >= here, "{code} {i} {j}");
                assert!(j == n || at(i, j + 1) >= here, "{code} {i} {j}");
            }
        }
    }
}

#[test]
fn a_loaded_filter_and_altitude_move_the_right_way() {
    for (code, m) in &catalog().dehumidifiers {
        let air = sea(25.0, 0.6);
        let clean = m.at(air, FilterState::Clean);
        let loaded = m.at(air, FilterState::Loaded(1.0));
        assert!(loaded.airflow_m3_per_s < clean.airflow_m3_per_s, "{code}");
        // Less air through one stream of coil and condenser is no gain.
        assert!(loaded.removal_kg_per_s <= clean.removal_kg_per_s, "{code}");
        let choked = m.at_airflow(air, 0.3 * clean.airflow_m3_per_s);
        assert!(
            choked.removal_kg_per_s < 0.97 * clean.removal_kg_per_s,
            "{code}"
        );
        assert!(choked.coil_c < clean.coil_c, "{code}");
        assert!(
            loaded.discharge.dry_bulb_c() > clean.discharge.dry_bulb_c(),
            "{code}"
        );
        let high = MoistAir::from_rel_humidity(25.0, 0.6, 83_523.5).expect("possible air");
        let thin = m.at(high, FilterState::Clean);
        assert!(thin.dry_air_kg_per_s < clean.dry_air_kg_per_s, "{code}");
        assert!(thin.removal_kg_per_s > clean.removal_kg_per_s, "{code}");
        assert!(
            thin.discharge.dry_bulb_c() > clean.discharge.dry_bulb_c(),
            "{code}"
        );
        assert!(
            matches!(clean.data, Data::Inside),
            "{code} {:?}",
            clean.data
        );
    }
}

fn closes(catalog: &Catalog, inlet: MoistAir, loading: f64) -> Result<(), TestCaseError> {
    for (code, m) in &catalog.dehumidifiers {
        let out = m.at(inlet, FilterState::Loaded(loading));
        let numbers = [
            out.removal_kg_per_s,
            out.power_w,
            out.airflow_m3_per_s,
            out.sensible_to_room_w,
            out.net_heat_to_room_w,
            out.condensate_c,
            out.coil_c,
        ];
        prop_assert!(numbers.iter().all(|x| x.is_finite()), "{code} {out:?}");
        prop_assert!(out.removal_kg_per_s >= 0.0, "{code} {out:?}");
        prop_assert!(out.discharge.rel_humidity() <= 1.0 + 1e-9, "{code}");
        prop_assert!(out.off_coil.rel_humidity() <= 1.0 + 1e-6, "{code}");
        if !out.runs() {
            prop_assert!(out.removal_kg_per_s == 0.0 && out.power_w == m.standby_w);
            continue;
        }
        let da = out.dry_air_kg_per_s;
        let water = da * (inlet.humidity_ratio() - out.discharge.humidity_ratio());
        let scale = da * inlet.humidity_ratio().max(1e-3);
        prop_assert!(
            (water - out.removal_kg_per_s).abs() <= 1e-9 * scale,
            "{code} water"
        );
        let drained = out.removal_kg_per_s * air::water_enthalpy_j_per_kg(out.condensate_c);
        let gained = da * (out.discharge.enthalpy_j_per_kg() - inlet.enthalpy_j_per_kg());
        let flow = da * inlet.enthalpy_j_per_kg().abs().max(1e4);
        prop_assert!(
            (gained - (out.power_w - drained)).abs() <= 1e-9 * flow,
            "{code} energy"
        );
        prop_assert!(
            (gained - out.net_heat_to_room_w).abs() <= 1e-9 * flow,
            "{code} net"
        );
        let dry = air::enthalpy_j_per_kg(inlet.dry_bulb_c(), out.discharge.humidity_ratio());
        let sensible = da * (out.discharge.enthalpy_j_per_kg() - dry);
        prop_assert!(
            (sensible - out.sensible_to_room_w).abs() <= 1e-9 * flow,
            "{code} sensible"
        );
    }
    Ok(())
}

fn cools(
    catalog: &Catalog,
    entering: MoistAir,
    outdoor_c: f64,
    flow: f64,
) -> Result<(), TestCaseError> {
    for (code, c) in &catalog.coolers {
        let out = c.at(entering, outdoor_c, flow * c.airflow_m3_per_s);
        let numbers = [
            out.total_w,
            out.sensible_w,
            out.latent_w,
            out.water_kg_per_s,
            out.power_w(),
            out.adp_c,
        ];
        prop_assert!(numbers.iter().all(|x| x.is_finite()), "{code} {out:?}");
        prop_assert!(
            out.water_kg_per_s >= -1e-12 && out.total_w >= -1e-6,
            "{code} {out:?}"
        );
        prop_assert!(out.off_coil.rel_humidity() <= 1.0 + 1e-6, "{code}");
        prop_assert!(out.leaving.rel_humidity() <= 1.0 + 1e-6, "{code}");
        let da = out.dry_air_kg_per_s;
        let flow_w = da * entering.enthalpy_j_per_kg().abs().max(1e4);
        let total = da * (entering.enthalpy_j_per_kg() - out.off_coil.enthalpy_j_per_kg());
        prop_assert!((total - out.total_w).abs() <= 1e-9 * flow_w, "{code} total");
        let water = da * (entering.humidity_ratio() - out.off_coil.humidity_ratio());
        prop_assert!(
            (water - out.water_kg_per_s).abs() <= 1e-9 * da,
            "{code} water"
        );
        let fan = da * (out.leaving.enthalpy_j_per_kg() - out.off_coil.enthalpy_j_per_kg());
        prop_assert!(
            (fan - out.fan_w).abs() <= 1e-8 * flow_w,
            "{code} fan {fan} {}",
            out.fan_w
        );
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn water_and_energy_close_anywhere(
        t_c in -40.0..60.0_f64,
        rh in 0.0..=1.0_f64,
        altitude_m in 0.0..4000.0_f64,
        loading in 0.0..=1.0_f64,
        outdoor_c in -20.0..55.0_f64,
        flow in 0.3..1.5_f64,
    ) {
        thread_local! {
            static CATALOG: Catalog = catalog();
        }
        let p_pa = air::pressure_from_altitude_pa(altitude_m);
        let inlet = MoistAir::from_rel_humidity(t_c, rh, p_pa).expect("possible air");
        CATALOG.with(|c| {
            closes(c, inlet, loading)?;
            cools(c, inlet, outdoor_c, flow)
        })?;
    }
}

//! What must follow when one thing of a room changes, and what refuses.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Sheet, catalog, steps};
use job::{
    Day, Design, Effort, Inputs, JobError, Selection, Silent, Uncertain, UnitSet, day, design,
};
use quantity::{Severity, UnitSystem};
use roomsim::WaterPath;

/// The small room with a coil, so that credit for it can be given.
fn cooled() -> Sheet {
    Sheet::leafy().and("[[cooling]]\nname = \"AC\"\ncapacity = \"5 kW\"")
}

fn units(selection: &Selection) -> u32 {
    let chosen = selection.chosen.as_ref();
    chosen.expect("some set holds").judged.units.count()
}

fn designed(sheet: &Sheet) -> Result<Design, JobError> {
    let inputs = Inputs {
        room: sheet.0.clone(),
        ..Inputs::default()
    };
    design(&sheet.room(), catalog(), &inputs, Effort::Draft, &Silent)
}

#[test]
fn drier_target_needs_no_fewer_units() {
    let mut drier = Sheet::leafy();
    for period in ["target.lights_on", "target.lights_off"] {
        drier = drier.set(period, "rh", "\"50..60 %\"");
    }
    let (usual, drier) = (Sheet::leafy().selection(), drier.selection());
    // A step of 15 % is large enough to be seen in whole units.
    assert!(units(&usual) < units(&drier));
}

#[test]
fn more_canopy_needs_no_fewer_units() {
    let larger = Sheet::leafy().set("crop", "canopy", "\"28 m2\"");
    let (usual, larger) = (Sheet::leafy().selection(), larger.selection());
    assert!(units(&usual) < units(&larger));
}

#[test]
fn spare_needs_no_fewer_units() {
    let spare = Sheet::leafy().set("selection", "spare", "\"one unit out\"");
    let (usual, spare) = (Sheet::leafy().selection(), spare.selection());
    assert!(units(&usual) < units(&spare));
    let chosen = spare.chosen.unwrap();
    assert!(spare.findings.iter().all(|f| f.check != "no_spare"));
    assert!(0.9 <= chosen.one_unit_out.unwrap().held_share());
}

#[test]
fn no_credit_for_the_coil_needs_no_fewer_units() {
    let none = cooled().set("selection", "coil_credit", "\"none\"");
    let (usual, none) = (cooled().selection(), none.selection());
    assert!(units(&usual) < units(&none));
    let without = usual.chosen.unwrap().without_coil_water.unwrap();
    assert!(without.held_days <= without.days);
}

/// What runs off does not go into the air.
#[test]
fn more_runoff_means_less_water() {
    let water = |runoff: &str| {
        let sheet = Sheet::leafy().set("crop", "water_fed", "\"55 L/day\"");
        let load = sheet.set("crop", "runoff", runoff).load();
        assert!(load.measured.unwrap().agrees, "{runoff}");
        load.trust.per_canopy_kg_per_m2_day.likely
    };
    let (little, some, much) = (water("\"5 %\""), water("\"15 %\""), water("\"25 %\""));
    assert!(much < some && some < little, "{little} {some} {much}");
}

/// Thinner air of the same dry bulb and relative humidity holds the same water
/// in each cubic metre and takes less cooling to bring down: the coil runs
/// colder and takes more. What the condenser loses is not reckoned with.
#[test]
fn altitude_changes_capacity_and_not_the_rating() {
    let capacity = |altitude: &str| {
        let selection = Sheet::leafy()
            .without("site", "pressure")
            .set("site", "altitude", altitude)
            .set("selection", "short_circuit", "\"0 %\"")
            .set("selection", "max_count", "1")
            .selection();
        selection.capacities[0].clone()
    };
    let (sea, town) = (capacity("\"0 m\""), capacity("\"1600 m\""));
    assert_eq!(sea.rated_kg_per_s, town.rated_kg_per_s);
    let gain = town.lights_on.removal_kg_per_s / sea.lights_on.removal_kg_per_s;
    assert!(1.0 < gain, "{gain}");
    // It is the record's own answer for air of that pressure.
    let p_pa = air::pressure_from_altitude_pa(1600.0);
    let wet_edge = air::MoistAir::from_rel_humidity(22.0, 0.75, p_pa).unwrap();
    let model = &catalog().dehumidifiers["generic-30"];
    let out = model.at(wet_edge, equipment::FilterState::Clean);
    assert!((out.removal_kg_per_s / town.lights_on.removal_kg_per_s - 1.0).abs() < 1e-9);
}

#[test]
fn one_unit_out_holds_no_more_days() {
    for selection in [&steps().selection, &cooled().selection()] {
        assert!(!selection.candidates.is_empty());
        for c in &selection.candidates {
            let counted = c.counted(room::CoilCredit::Full);
            let out = c.one_unit_out.as_ref().unwrap();
            assert!(out.held_days <= counted.held_days);
            assert_eq!(out.units.count() + 1, counted.units.count());
        }
    }
}

/// The unit of the catalogue that is known to 41 °F only is not taken for a
/// room colder than that, and one that is made for the cold is.
#[test]
fn a_model_that_cannot_work_there_is_not_chosen() {
    let mut cold = Sheet::leafy().set(
        "selection",
        "models",
        "[\"generic-30\", \"generic-90-cold\"]",
    );
    for period in ["target.lights_on", "target.lights_off"] {
        cold = cold
            .set(period, "dry_bulb", "\"3 °C\"")
            .set(period, "rh", "\"75..85 %\"");
    }
    let selection = cold.selection();
    let at = |code: &str| {
        let mut all = selection.capacities.iter();
        all.find(|c| c.code == code)
            .unwrap()
            .lights_on
            .removal_kg_per_s
    };
    assert_eq!(at("generic-30"), 0.0);
    assert!(0.0 < at("generic-90-cold"));
    let tried = |code: &str| {
        let mut sets = selection.candidates.iter().map(|c| &c.judged.units);
        sets.any(|set| set.models().any(|m| m == code))
    };
    assert!(!tried("generic-30"));
    assert!(tried("generic-90-cold"));
}

#[test]
fn measures_are_listed_only_where_the_room_gives_occasion() {
    let listed = |sheet: &Sheet| {
        let selection = sheet.selection();
        let measures = selection.measures.iter();
        let said = measures.map(|m| m.what.show(quantity::UnitSystem::Metric));
        said.collect::<Vec<_>>().join("; ")
    };
    let plain = listed(&Sheet::leafy());
    for absent in ["hose", "floor", "runoff", "come down"] {
        assert!(!plain.contains(absent), "{absent}: {plain}");
    }
    // Of the control's steps of 5 % none that is drier than the 70 % set now lets
    // units stop inside 65 to 75 %.
    assert!(!plain.contains("dry edge"), "{plain}");
    let wide = Sheet::leafy()
        .set("target.lights_on", "rh", "\"60..80 %\"")
        .set("target.lights_off", "rh", "\"60..80 %\"");
    let wide = listed(&wide);
    assert!(
        wide.contains("dry edge of the target: 65.0 %RH with lights on, 65.0 %RH"),
        "{wide}"
    );
    let hosed = Sheet::leafy()
        .and("[[washdown]]\nat = \"20:00\"\narea = \"4 m2\"\nfilm = \"0.1 mm\"")
        .set("target.lights_off", "dry_bulb", "\"20 °C\"");
    let hosed = listed(&hosed);
    assert!(
        hosed.contains("hose") && hosed.contains("come down"),
        "{hosed}"
    );
}

/// Humid air leaks into a room without a crop: no leaf decides anything there,
/// though failing days fall into thirds of every input by chance.
#[test]
fn errands_are_listed_only_where_they_decide() {
    let cooling = "[[cooling]]\nname = \"AC\"\ncapacity = \"9 kW\"\ncontrol = \"ideal\"";
    let leaky = Sheet::dark()
        .and(&format!("{cooling}\nsensible_share = \"100 %\""))
        .set("selection", "coil_credit", "\"none\"")
        .set("envelope", "air_exchange", "\"0.1..2 ACH\"");
    let named = |sheet: &Sheet| {
        let errands = sheet.selection().errands;
        assert!(errands.iter().all(|e| 0 < e.decides()), "{errands:?}");
        assert!(errands.is_sorted_by(|a, b| b.decides() <= a.decides()));
        errands.into_iter().map(|e| e.input).collect::<Vec<_>>()
    };
    let leak = named(&leaky);
    assert!(leak.contains(&Uncertain::AirExchange), "{leak:?}");
    for leaves in [Uncertain::NightResistance, Uncertain::LeafArea] {
        assert!(!leak.contains(&leaves), "{leak:?}");
    }
    // A known leak is nothing to go and measure.
    let known = named(&leaky.set("envelope", "air_exchange", "\"0.5 ACH\""));
    assert!(!known.contains(&Uncertain::AirExchange), "{known:?}");
}

#[test]
fn own_discharge_at_the_inlet_costs_capacity() {
    let removal = |share: &str| {
        let selection = Sheet::leafy()
            .set("selection", "short_circuit", share)
            .set("selection", "max_count", "1")
            .selection();
        let on = &selection.capacities[0].lights_on;
        (on.removal_kg_per_s, on.inlet_dry_bulb_c)
    };
    let (none, some, much) = (removal("\"0 %\""), removal("\"10 %\""), removal("\"30 %\""));
    assert!(
        much.0 < some.0 && some.0 < none.0,
        "{none:?} {some:?} {much:?}"
    );
    assert!((none.1 - 22.0).abs() < 1e-9, "{none:?}");
    assert!(none.1 < some.1 && some.1 < much.1);
}

/// Days of a room with one unit, typical and judged.
fn day_with(sheet: &Sheet, count: u32) -> Day {
    let (room, load) = (sheet.room(), sheet.load());
    day::prove(&room, &load, catalog(), &UnitSet::of("generic-30", count)).unwrap()
}

fn water_kg(day: &Day, path: WaterPath) -> f64 {
    assert!(day.balance.run_water_kg.abs() < 1e-9);
    day.summary.water_kg(path)
}

/// A crop hung in a dark room, whose drying time was learnt at the target.
fn drying_room() -> Sheet {
    Sheet::dark()
        .set("crop", "kind", "\"drying room\"")
        .set("crop", "canopy", "\"0 m2\"")
        .set("target.lights_off", "dry_bulb", "\"18 °C\"")
        .set("target.lights_off", "rh", "\"55..60 %\"")
        .and("[[hung_crop]]\nwet_mass = \"200 kg\"\ndrying_time = \"10 day\"")
}

#[test]
fn a_wetter_room_dries_its_crop_slower() {
    let given_kg = |count: u32| water_kg(&day_with(&drying_room(), count), WaterPath::Drying);
    let (none, one, two) = (given_kg(0), given_kg(1), given_kg(2));
    // Without a unit the room fills up and the crop all but stops.
    assert!(none < 0.2 * one, "{none} {one}");
    assert!(one <= two, "{one} {two}");
    // Held near its target, the room gives about what its load says.
    let load = drying_room().load();
    let said_kg = load.water_kg_per_day.likely;
    assert!((two / said_kg - 1.0).abs() < 0.2, "{two} {said_kg}");
}

/// The surveyed transition, and no other period, is judged by its own target.
#[test]
fn a_transition_target_judges_the_transition() {
    let held = |rh: Option<&str>| {
        let sheet = Sheet::leafy();
        let sheet = rh.map_or(sheet.clone(), |rh| sheet.set("target.transition", "rh", rh));
        // A surveyed setpoint stays: only what is asked for differs.
        let sheet = sheet.set("control.lights_off", "rh", "\"70 %\"");
        day_with(&sheet, 2).judged.held_days_by_period
    };
    let (usual, strict, wide) = (
        held(None),
        held(Some("\"30..40 %\"")),
        held(Some("\"20..95 %\"")),
    );
    let days = |h: [Option<usize>; 3]| h[1].unwrap();
    assert!(
        days(strict) < days(usual) && days(usual) <= days(wide),
        "{strict:?} {usual:?} {wide:?}"
    );
    for other in [0, 2] {
        assert_eq!(usual[other], strict[other]);
        assert_eq!(usual[other], wide[other]);
    }
}

/// Air that a fan brings in is outdoor air, whatever the leak's side.
#[test]
fn a_fresh_air_fan_brings_outdoor_air() {
    let sheet = Sheet::dark()
        .set("envelope", "air_from", "\"adjacent\"")
        .set("envelope", "air_exchange", "\"0.2 ACH\"")
        .set("adjacent", "dry_bulb", "\"20 °C\"")
        .set("adjacent", "rh", "\"40 %\"")
        .set("outdoor.summer", "dry_bulb", "\"32 °C\"")
        .set("outdoor.summer", "rh", "\"60 %\"")
        .set("target.lights_off", "rh", "\"40..50 %\"");
    let fan = sheet.set("envelope", "fresh_air", "\"300 m3/h\"");
    let closed = day_with(&sheet, 4);
    assert!(water_kg(&closed, WaterPath::Exchange) < 1.0);
    let open = day_with(&fan, 4);
    let room_w = &open.series.humidity_ratio;
    let mean_w = room_w.iter().sum::<f64>() / room_w.len() as f64;
    // 300 m³/h at the design hour's density, from which cooler hours differ by
    // up to 4 %, and a leak of 64 m³/h at the state of the space around.
    let kg_per_day = |m3_per_h: f64, t_c: f64, rh: f64| {
        let air = air::MoistAir::from_rel_humidity(t_c, rh, 101_325.0).unwrap();
        let dry_air_kg_per_m3 = 1.0 / air.specific_volume_m3_per_kg();
        24.0 * m3_per_h * dry_air_kg_per_m3 * (air.humidity_ratio() - mean_w)
    };
    let by_hand = kg_per_day(300.0, 32.0, 0.60) + kg_per_day(64.0, 20.0, 0.40);
    let simulated = water_kg(&open, WaterPath::Exchange);
    assert!(
        (simulated / by_hand - 1.0).abs() < 0.05,
        "{simulated} {by_hand}"
    );
}

#[test]
fn a_wet_floor_gives_water_in_its_hours_only() {
    let series = |hours: &str| {
        let text = format!("[[wet_floor]]\narea = \"4 m2\"\n{hours}");
        let day = day_with(&Sheet::leafy().and(&text), 2);
        let of = |row: &[f64; WaterPath::COUNT]| row[WaterPath::Surfaces as usize];
        day.series.water_kg_per_s.iter().map(of).collect::<Vec<_>>()
    };
    let always = series("");
    let night = series("from = \"22:00\"\nto = \"02:30\"");
    assert!(always.iter().all(|&w| 0.0 < w));
    for (minute, &water) in night.iter().enumerate() {
        let wet = !(150..22 * 60).contains(&minute);
        assert_eq!(0.0 < water, wet, "{minute}");
    }
}

#[test]
fn unknown_model_is_refused_with_what_is_at_hand() {
    let sheet = Sheet::leafy().set("selection", "models", "[\"no-such\"]");
    match designed(&sheet) {
        Err(JobError::UnknownModel {
            model,
            at_hand,
            place,
        }) => {
            assert_eq!(model, "no-such");
            assert!(at_hand.contains("generic-30"), "{at_hand}");
            assert!(!place.is_empty());
        }
        other => panic!("{:?}", other.map(|d| d.id)),
    }
}

#[test]
fn unknown_model_of_a_unit_is_refused() {
    let sheet = Sheet::leafy().and("[[unit]]\ntag = \"D1\"\nmodel = \"no-such\"");
    assert!(matches!(
        designed(&sheet),
        Err(JobError::UnknownModel { .. })
    ));
}

/// A coil dew point near that of the rating's air asks for a coil warmer than
/// one that brings the capacity down at the usual air flow.
#[test]
fn a_coil_that_cannot_be_names_the_key_to_mend() {
    let cooling = |line: &str| {
        let text = format!("[[cooling]]\nname = \"AC\"\ncapacity = \"5 kW\"\n{line}");
        designed(&Sheet::leafy().and(&text))
    };
    for (line, keys) in [
        ("coil_dew_point = \"15 °C\"", "coil_dew_point or air_flow"),
        ("sensible_share = \"98 %\"", "sensible_share or air_flow"),
    ] {
        let said = cooling(line).unwrap_err().to_string();
        assert!(said.starts_with("AC: "), "{said}");
        assert!(said.ends_with(&format!("mend {keys}")), "{said}");
        for remedy in ["more air flow", "lower apparatus dew point"] {
            assert!(said.contains(remedy), "{said}");
        }
    }
    // The two remedies that it names.
    assert!(cooling("coil_dew_point = \"9 °C\"").is_ok());
    assert!(cooling("coil_dew_point = \"15 °C\"\nair_flow = \"6000 m3/h\"").is_ok());
}

#[test]
fn cooling_without_model_or_capacity_is_refused() {
    let sheet = Sheet::leafy().and("[[cooling]]\nname = \"AC\"\ncapacity = \"5 kW\"");
    let mut room = sheet.room();
    room.cooling[0].capacity_w = None;
    let inputs = Inputs::default();
    match design(&room, catalog(), &inputs, Effort::Draft, &Silent) {
        Err(JobError::CoolingWithoutCapacity { place }) => assert_eq!(place, "AC"),
        other => panic!("{:?}", other.map(|d| d.id)),
    }
}

#[test]
fn too_few_units_present_stop_the_job() {
    let few = Sheet::leafy().and("[[unit]]\ntag = \"D1\"\nmodel = \"generic-30\"");
    let design = designed(&few).unwrap();
    assert!(design.stops());
    let findings = design.findings();
    let found = findings.iter().find(|f| f.check == "present_units_fail");
    assert_eq!(found.unwrap().severity, Severity::Stop);
    let remedy = found.unwrap().remedy.show(UnitSystem::Metric);
    let install = format!(
        "install {}",
        design
            .selection
            .chosen
            .as_ref()
            .unwrap()
            .judged
            .units
            .words()
    );
    assert!(remedy.contains(&install), "{remedy}");
    // The day is proven with what is there, not with what should be.
    assert_eq!(design.day.units.count(), 1);
    assert!(1 < units(&design.selection));
    assert!(findings.is_sorted_by(|a, b| b.severity <= a.severity));
}

#[test]
fn threads_do_not_change_the_result() {
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.unwrap().install(|| designed(&cooled()).unwrap())
    };
    let (one, four) = (with(1), with(4));
    assert_eq!(one.id, four.id);
    assert_eq!(one.load.hours, four.load.hours);
    assert_eq!(one.selection.candidates, four.selection.candidates);
    assert_eq!(one.day.judged, four.day.judged);
    assert_eq!(one.day.spread, four.day.spread);
    assert_eq!(one.findings(), four.findings());
}

#[test]
fn id_follows_the_text() {
    let id = |sheet: &Sheet| designed(sheet).unwrap().id;
    let sheet = Sheet::leafy().set("selection", "max_count", "1");
    let first = id(&sheet);
    assert_eq!(first, id(&sheet));
    // A remark is part of the text, though not of the room.
    assert_ne!(first, id(&sheet.and("# seen again")));
}

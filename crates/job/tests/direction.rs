//! What must follow when one thing of a room changes, and what refuses.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Sheet, catalog};
use job::{Design, Effort, Inputs, JobError, Selection, Silent, design};
use quantity::Severity;

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
    design(&sheet.room(), catalog(), &inputs, Effort::Preview, &Silent)
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
    assert!(0.9 <= chosen.one_unit_out.held_share());
}

#[test]
fn no_credit_for_the_coil_needs_no_fewer_units() {
    let none = cooled().set("selection", "coil_credit", "\"none\"");
    let (usual, none) = (cooled().selection(), none.selection());
    assert!(units(&usual) < units(&none));
    let without = usual.chosen.unwrap().without_coil_water.unwrap();
    assert!(without.held_days <= without.days);
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

#[test]
fn too_few_units_present_stop_the_job() {
    let few = Sheet::leafy().and("[[unit]]\ntag = \"D1\"\nmodel = \"generic-30\"");
    let design = designed(&few).unwrap();
    assert!(design.stops());
    let findings = design.findings();
    let found = findings.iter().find(|f| f.check == "present_units_fail");
    assert_eq!(found.unwrap().severity, Severity::Stop);
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

//! The day of units in their places: each with its own share of dried air and
//! the air flow that its ducts leave it.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Sheet, Steps, catalog, steps};
use job::day::BeforePlaces;
use job::placement::Ducted;
use job::{Day, Load, Placement, Selection, UnitAir, day, placement};
use quantity::Severity;
use room::Room;
use roomsim::DehumidifierSummary;

/// The units that selection chose for the small room, in places.
fn placed(steps: &Steps) -> Placement {
    let set = steps.selection.design_set();
    let placed = placement::place(&steps.room, catalog(), &set).unwrap();
    assert_eq!(placed.units.len(), set.count() as usize);
    assert!(2 <= placed.units.len());
    placed
}

/// Its day with these shares, the last again for all further units.
fn day_with(shares: &[f64]) -> Day {
    let steps = steps();
    let mut placement = placed(steps);
    for (n, unit) in placement.units.iter_mut().enumerate() {
        unit.short_circuit = shares[n.min(shares.len() - 1)];
    }
    proved(&placement)
}

fn proved(placement: &Placement) -> Day {
    let steps = steps();
    let (room, load, selection) = (&steps.room, &steps.load, &steps.selection);
    prove(room, load, selection, placement)
}

fn prove(room: &Room, load: &Load, selection: &Selection, placement: &Placement) -> Day {
    let set = selection.design_set();
    let before = BeforePlaces::of(room, selection);
    day::prove_placed(room, load, catalog(), (&set, placement), before).unwrap()
}

/// Water taken while running [kg/s].
fn rate(unit: &DehumidifierSummary) -> f64 {
    assert!(0.0 < unit.run_s);
    unit.removed_kg / unit.run_s
}

fn stops(day: &Day) -> usize {
    let of_it = day.findings.iter().filter(|f| f.check == "fails_in_place");
    of_it
        .inspect(|f| assert_eq!(f.severity, Severity::Stop))
        .count()
}

#[test]
fn the_share_that_was_assumed_gives_the_day_that_was_assumed() {
    let steps = steps();
    let assumed = steps.room.selection.short_circuit.value;
    let set = steps.selection.design_set();
    let before = day::prove(&steps.room, &steps.load, catalog(), &set).unwrap();
    let day = day_with(&[assumed]);
    let summaries = [&day, &before].map(|d| format!("{:?}", d.summary));
    assert_eq!(summaries[0], summaries[1]);
    assert_eq!(day.judged, before.judged);
    // And that is what selection said of it.
    let said = day.before_places.unwrap();
    assert_eq!(said.held_days, day.judged.held_days);
    assert_eq!(said.days, day.judged.days);
    assert_eq!(said.short_circuit, assumed);
    assert!(before.before_places.is_none() && before.in_place.is_empty());
}

/// A unit that breathes its own discharge takes less while it runs than one
/// beside it that does not; of units with the mean share none does.
#[test]
fn each_unit_has_its_own_share() {
    let units = steps().selection.design_set().count() as usize;
    let own = day_with(&[0.6, 0.0]);
    let [first, second] = [0, 1].map(|n| rate(&own.summary.dehumidifiers[n]));
    assert!(first < 0.95 * second, "{first} {second}");
    let mean = day_with(&[0.6 / units as f64]);
    let [a, b] = [0, 1].map(|n| rate(&mean.summary.dehumidifiers[n]));
    assert!(
        first < a.min(b) && a.max(b) < second,
        "{first} {a} {b} {second}"
    );
    // The order is that of the tags.
    let turned = day_with(&[0.0, 0.6]);
    let [first, second] = [0, 1].map(|n| rate(&turned.summary.dehumidifiers[n]));
    assert!(second < 0.95 * first, "{first} {second}");
    let water = [own, mean, turned].map(|d| d.balance.run_water_kg.abs());
    assert!(water.iter().all(|kg| *kg < 1e-9), "{water:?}");
}

/// Ducts that leave a unit half its air cost it water; it is what its record
/// says of that air flow.
#[test]
fn ducts_take_air_and_with_it_water() {
    let steps = steps();
    let mut placement = placed(steps);
    for unit in &mut placement.units {
        unit.short_circuit = 0.0;
        assert!(!unit.ducted.is_ducted());
        assert_eq!(unit.air().ducted_m3_per_s, None);
    }
    let free = proved(&placement);
    let first = &mut placement.units[0];
    let moved_m3_per_s = 0.5 * first.ducted.air_flow_m3_per_s;
    first.ducted = Ducted {
        air_flow_m3_per_s: moved_m3_per_s,
        inlet_pa: 20.0,
        outlet_pa: 30.0,
    };
    assert_eq!(
        first.air(),
        UnitAir {
            short_circuit: 0.0,
            ducted_m3_per_s: Some(moved_m3_per_s)
        }
    );
    let ducted = proved(&placement);
    let [without, with] = [&free, &ducted].map(|d| rate(&d.summary.dehumidifiers[0]));
    assert!(with < without, "{with} {without}");
    // Near the share that the record gives at the mean of the day's air.
    let model = placement.units[0].record(catalog()).unwrap();
    let mean = &ducted.summary.periods[0];
    let p_pa = 101_325.0;
    let at = (mean.mean_dry_bulb_c, mean.mean_rel_humidity);
    let inlet = air::MoistAir::from_rel_humidity(at.0, at.1, p_pa).unwrap();
    let takes = |flow: f64| model.at_airflow(inlet, flow).removal_kg_per_s;
    let said = takes(moved_m3_per_s) / takes(2.0 * moved_m3_per_s);
    assert!(
        (with / without - said).abs() < 0.05,
        "{} {said}",
        with / without
    );
}

/// The room that was chosen to hold is told when its places undo that, and only
/// then.
#[test]
fn places_that_undo_the_selection_are_found() {
    let before = day_with(&[0.1]).before_places.unwrap();
    assert!(0.9 <= before.held_share());
    let good = day_with(&[0.0]);
    assert!(0.9 <= good.judged.held_share());
    assert_eq!(stops(&good), 0);
    let bad = day_with(&[0.9]);
    assert!(bad.judged.held_share() < 0.9);
    assert_eq!(stops(&bad), 1);
}

/// A unit that is out of use is no part of the day, wherever it stands.
#[test]
fn idle_units_lend_their_air_to_none() {
    let sheet = Sheet::leafy().and(
        "[[unit]]\ntag = \"D1\"\nmodel = \"generic-30\"\nstate = \"off\"\n\
         [[unit]]\ntag = \"D2\"\nmodel = \"generic-30\"",
    );
    let (room, load, selection) = (sheet.room(), sheet.load(), sheet.selection());
    let mut placement = placement::place(&room, catalog(), &selection.design_set()).unwrap();
    let mut idle = placement.units[0].clone();
    idle.tag = "D1".into();
    idle.short_circuit = 0.9;
    placement.units.insert(0, idle);
    let day = prove(&room, &load, &selection, &placement);
    let tags: Vec<&str> = day.in_place.iter().map(|u| u.tag.as_str()).collect();
    assert_eq!(tags, ["D2"]);
}

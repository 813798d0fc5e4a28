//! Checks of the placement: one file per fault, one ordered list.

mod breathes_again;
mod clearance_blocked;
mod cold_supply_into_inlet;
mod control_side_blocked;
mod discharge_into_inlet;
mod discharge_on_canopy;
mod discharge_on_luminaire;
mod discharge_on_sensor;
mod does_not_fit_way_in;
mod duct_beyond_fan;
mod duct_sweats;
mod filter_cannot_be_pulled;
mod headroom_short;
mod higher_than_room;
mod inlet_draws_on_canopy;
mod lift_too_short;
mod lift_too_weak;
mod no_overflow_protection;
mod outside_room;
mod overlaps;
mod panel_space_taken;
mod position_not_surveyed;
mod sensor_off_canopy;
mod sprinkler_too_near;
mod supply_on_sensor;

use quantity::{Dim, Finding, Place, Severity, Value};

use super::scene::{Scene, Seen, Thing, ThingKind};

pub use panel_space_taken::working_space;

type Check = fn(&Scene<'_>) -> Vec<Finding>;

/// All checks of this step, in the order of the report.
const CHECKS: &[Check] = &[
    higher_than_room::check,
    outside_room::check,
    overlaps::check,
    does_not_fit_way_in::check,
    lift_too_weak::check,
    lift_too_short::check,
    headroom_short::check,
    filter_cannot_be_pulled::check,
    panel_space_taken::check,
    control_side_blocked::check,
    clearance_blocked::check,
    sprinkler_too_near::check,
    cold_supply_into_inlet::check,
    discharge_into_inlet::check,
    breathes_again::check,
    discharge_on_sensor::check,
    supply_on_sensor::check,
    sensor_off_canopy::check,
    discharge_on_canopy::check,
    inlet_draws_on_canopy::check,
    discharge_on_luminaire::check,
    no_overflow_protection::check,
    duct_beyond_fan::check,
    duct_sweats::check,
    position_not_surveyed::check,
];

pub(super) fn findings(scene: &Scene<'_>) -> Vec<Finding> {
    CHECKS.iter().flat_map(|check| check(scene)).collect()
}

fn metres(si: f64) -> Value {
    Value::new(si, Dim::Length)
}

fn speed(si: f64) -> Value {
    Value::new(si, Dim::Speed).digits(2)
}

fn place(seen: &Seen<'_>) -> Place {
    Place::new(seen.unit.tag.clone())
}

/// The thing of a kind that a unit's discharge meets fastest, and the speed on
/// it \[m/s\], where that is more than may be.
fn blown_on<'a>(
    scene: &'a Scene<'_>,
    unit: &Seen<'_>,
    kind: ThingKind,
    let_pass_m_per_s: f64,
) -> Option<(&'a Thing, f64)> {
    let things = scene.fixed.things.iter();
    things
        .filter(|t| t.kind == kind)
        .map(|t| (t, scene.speed_on_m_per_s(&unit.jet, t)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|worst| let_pass_m_per_s < worst.1)
}

/// Speed of a jet at an inlet that is let pass: jets are told from room air
/// down to about this \[m/s\].
const INLET_LET_PASS_M_PER_S: f64 = 0.25;

/// How much a jet of this speed at an inlet matters; `None`: it is let pass.
fn at_inlet(found_m_per_s: f64) -> Option<Severity> {
    /// From here the inlet breathes mostly the jet's air.
    const STOP_M_PER_S: f64 = 0.5;
    if found_m_per_s <= INLET_LET_PASS_M_PER_S {
        None
    } else if STOP_M_PER_S < found_m_per_s {
        Some(Severity::Stop)
    } else {
        Some(Severity::Fix)
    }
}

/// Units inside the room.
fn in_room<'a, 'b>(scene: &'b Scene<'a>) -> impl Iterator<Item = (usize, &'b Seen<'a>)> {
    scene.units.iter().enumerate().filter(|(_, u)| u.in_room())
}

#[cfg(test)]
pub(crate) mod rig {
    use quantity::Finding;

    use super::Check;
    use crate::common;
    use crate::placement::scene::{Fixed, Scene};
    use crate::placement::{present, sensor_m};

    /// An empty hall of 10 × 8 × 4 m, with units and things to be added.
    pub(crate) const HALL: &str = r#"
[room]
name = "Hall"
length = "10 m"
width = "8 m"
height = "4 m"
[target.lights_on]
dry_bulb = "24 °C"
"#;

    /// A unit of this model there.
    pub(crate) fn unit(tag: &str, model: &str, at_m: [f64; 3], facing: &str) -> String {
        let [x, y, z] = at_m;
        format!(
            "[[unit]]\ntag = \"{tag}\"\nmodel = \"{model}\"\nat = [\"{x} m\", \"{y} m\", \"{z} m\"]\nfacing = \"{facing}\"\n"
        )
    }

    /// A hanging unit, 1.168 × 0.660 × 0.559 m, facing +x.
    pub(crate) fn hung(tag: &str, at_m: [f64; 3]) -> String {
        unit(tag, "generic-150", at_m, "+x")
    }

    /// What a check finds in the hall with these parts.
    pub(crate) fn found(check: Check, parts: &str) -> Vec<Finding> {
        found_in(check, &format!("{HALL}{parts}"))
    }

    /// What a check finds in the room of this text.
    pub(crate) fn found_in(check: Check, text: &str) -> Vec<Finding> {
        let room = common::read(text);
        let catalog = common::catalog();
        let units = present(&room, catalog).unwrap();
        let fixed = Fixed::of(&room, catalog, sensor_m(&room));
        let scene = Scene::of(&room, catalog, &fixed, &units).unwrap();
        check(&scene)
    }

    /// The check finds nothing in the one and one thing in the other.
    pub(crate) fn passes_and_fails(check: Check, passes: &str, fails: &str) -> Finding {
        let clear = found(check, passes);
        assert!(clear.is_empty(), "{clear:#?}");
        let mut one = found(check, fails);
        assert_eq!(one.len(), 1, "{one:#?}");
        one.remove(0)
    }
}

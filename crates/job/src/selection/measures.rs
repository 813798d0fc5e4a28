//! Cheaper measures than one more unit, tried on a set that just does not hold.

use equipment::Catalog;
use quantity::{Dim, Given, Text, Value};
use room::{CoilCredit, Humidity, Room, Setpoint};

use crate::cooling::CoilWaterCounts;
use crate::error::JobError;
use crate::settable::{coarsest, settable, stays_inside};
use crate::simulate::{HoldRule, Judged, judge};
use crate::uncertain::Draw;
use crate::units::UnitSet;
use crate::zone::{Circumstances, Compiled};

/// A change of the room or its controls, and what it does to the drawn days.
#[derive(Clone, Debug, PartialEq)]
pub struct Measure {
    /// What is changed.
    pub what: Text,
    /// The set that it was tried on.
    pub units: UnitSet,
    /// Drawn days that held before.
    pub before: usize,
    /// The drawn days with it.
    pub after: Judged,
}

/// Change of a room; `None` where the room gives no occasion for it.
type Change = fn(&Room) -> Option<Room>;

/// By how much the night is kept warmer \[K\].
const WARMER_BY_K: f64 = 2.0;

/// All measures, the cheapest first.
fn changes() -> [(Text, Change); 6] {
    let warmer = Text::from("keep the night ")
        .value(Value::new(WARMER_BY_K, Dim::TemperatureDifference).digits(2))
        .words(" warmer");
    [
        (
            "let the night temperature come down over an hour".into(),
            ramp,
        ),
        (
            "run all units for half an hour before lights-off".into(),
            anticipate,
        ),
        ("hose down two hours after lights-on".into(), hose_later),
        ("keep the floor dry and cover the medium".into(), dry_floor),
        (
            "water less, so that the runoff is halved".into(),
            less_runoff,
        ),
        (warmer, warmer_night),
    ]
}

/// Tries each measure that the room gives occasion for, one at a time.
///
/// - `before`: drawn days that hold without any
pub(super) fn tried(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    draws: &[Draw],
    rule: HoldRule,
    before: usize,
) -> Result<Vec<Measure>, JobError> {
    let with = |room: &Room| -> Result<Judged, JobError> {
        let models = set.groups().iter().map(|(m, _)| m.as_str());
        let compiled = Compiled::new(room, catalog, models, counted(room))?;
        judge(&compiled, set, draws, rule)
    };
    let step = setpoint_step(room, catalog, set);
    changes()
        .into_iter()
        .filter_map(|(what, change)| change(room).map(|changed| (what, changed)))
        .chain(drier_setpoint(room, step))
        .map(|(what, changed)| {
            Ok(Measure {
                what,
                units: set.clone(),
                before,
                after: with(&changed)?,
            })
        })
        .collect()
}

/// Under the room's wish for coil credit, as the sets are judged.
pub(super) fn counted(room: &Room) -> Circumstances {
    let coil_water = match room.selection.coil_credit.value {
        CoilCredit::None => CoilWaterCounts::No,
        CoilCredit::Full => CoilWaterCounts::Yes,
    };
    Circumstances {
        coil_water,
        ..Circumstances::DESIGN
    }
}

fn has_night(room: &Room) -> bool {
    room.light
        .as_ref()
        .is_some_and(|l| 0.0 < l.photoperiod_s.value && l.photoperiod_s.value < 86_400.0)
}

fn ramp(room: &Room) -> Option<Room> {
    let set_back = room.targets.lights_off.dry_bulb_c.value.likely
        < room.targets.lights_on.dry_bulb_c.value.likely;
    (has_night(room) && set_back && room.targets.ramp_down_s.value < 3600.0).then(|| {
        let mut changed = room.clone();
        changed.targets.ramp_down_s.value = 3600.0;
        changed
    })
}

fn anticipate(room: &Room) -> Option<Room> {
    (has_night(room) && room.control.anticipation_s.value < 1800.0).then(|| {
        let mut changed = room.clone();
        changed.control.anticipation_s.value = 1800.0;
        changed
    })
}

fn hose_later(room: &Room) -> Option<Room> {
    let light = room.light.as_ref()?;
    (has_night(room) && !room.washdowns.is_empty()).then(|| {
        let mut changed = room.clone();
        for wash in &mut changed.washdowns {
            wash.at_s.value = (light.on_s.value + 7200) % 86_400;
        }
        changed
    })
}

fn dry_floor(room: &Room) -> Option<Room> {
    let medium = room
        .irrigation
        .as_ref()
        .is_some_and(|i| 0.0 < i.medium_m2.value && !i.times_s.is_empty());
    (medium || !room.wet_floors.is_empty()).then(|| {
        let mut changed = room.clone();
        changed.wet_floors.clear();
        changed.irrigation = None;
        changed
    })
}

/// Water that runs off lies on the floor and in gutters: half the runoff is
/// taken as half the wet floor.
fn less_runoff(room: &Room) -> Option<Room> {
    let runs_off = room
        .crop
        .as_ref()
        .and_then(|c| c.runoff.as_ref())
        .is_some_and(|r| 0.0 < r.value.likely);
    (runs_off && !room.wet_floors.is_empty()).then(|| {
        let mut changed = room.clone();
        for floor in &mut changed.wet_floors {
            floor.area_m2.value /= 2.0;
        }
        changed
    })
}

fn warmer_night(room: &Room) -> Option<Room> {
    has_night(room).then(|| {
        let mut changed = room.clone();
        for target in [
            &mut changed.targets.lights_off,
            &mut changed.targets.transition,
        ] {
            target.dry_bulb_c.value = target.dry_bulb_c.value.map(|t| t + WARMER_BY_K);
        }
        for cooling in &mut changed.cooling {
            if let Some(setpoint) = &mut cooling.setpoint_lights_off_c {
                setpoint.value += WARMER_BY_K;
            }
        }
        changed
    })
}

/// The coarsest step at which the humidity is set for a set.
fn setpoint_step(room: &Room, catalog: &Catalog, set: &UnitSet) -> Option<f64> {
    let models = set
        .groups()
        .iter()
        .filter_map(|(code, _)| catalog.dehumidifiers.get(code));
    let controllers = room
        .controllers
        .iter()
        .filter_map(|c| catalog.controllers.get(&c.model.value));
    coarsest(models, controllers)
}

/// Where the setpoint at the dry edge of a target comes to lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Onto {
    /// On the edge itself.
    Edge,
    /// On the driest step in the target.
    Driest,
    /// On a step beside the target, in which there is none.
    Beside,
}

/// The dry edge of a target as it can be set.
fn dry_edge(target: Humidity, step: Option<f64>) -> (Setpoint, Onto) {
    match (target, step) {
        (Humidity::RelHumidity(b), Some(step)) => {
            // Its edge is the setpoint; units stop beyond it.
            let (target, deadband) = ([b.low, b.high], 0.0);
            let set = settable(b.low, target, deadband, step);
            let onto = if (set - b.low).abs() <= 1e-9 {
                Onto::Edge
            } else if stays_inside(set, target, deadband) {
                Onto::Driest
            } else {
                Onto::Beside
            };
            (Setpoint::RelHumidity(set), onto)
        }
        (Humidity::RelHumidity(b), None) => (Setpoint::RelHumidity(b.low), Onto::Edge),
        (Humidity::VpdPa(b), _) => (Setpoint::VpdPa(b.high), Onto::Edge),
        (Humidity::DewPointC(b), _) => (Setpoint::DewPointC(b.low), Onto::Edge),
    }
}

const fn value_of(setpoint: Setpoint) -> Value {
    match setpoint {
        Setpoint::RelHumidity(x) => Value::new(x, Dim::RelHumidity),
        Setpoint::VpdPa(x) => Value::new(x, Dim::VapourPressure),
        Setpoint::DewPointC(x) => Value::new(x, Dim::Temperature),
    }
}

/// The setpoint at the dry edge of the targets, and what to set.
fn drier_setpoint(room: &Room, step: Option<f64>) -> Option<(Text, Room)> {
    let spread = |h: &Given<Humidity>| match h.value {
        Humidity::RelHumidity(b) | Humidity::VpdPa(b) | Humidity::DewPointC(b) => b.is_spread(),
    };
    let on = room.targets.lights_on.humidity.as_ref()?;
    let off = room.targets.lights_off.humidity.as_ref()?;
    if !spread(on) && !spread(off) {
        return None;
    }
    let (by_day, day_onto) = dry_edge(on.value, step);
    let (by_night, night_onto) = dry_edge(off.value, step);
    let mut what = Text::from("set the humidity setpoint to the dry edge of the target: ")
        .value(value_of(by_day));
    let mut onto = vec![day_onto];
    if has_night(room) {
        onto.push(night_onto);
        what = what
            .words(" with lights on, ")
            .value(value_of(by_night))
            .words(" with lights off");
    }
    let why = match (onto.contains(&Onto::Driest), onto.contains(&Onto::Beside)) {
        (false, false) => None,
        (true, false) => Some("the driest in the target)"),
        (false, true) => Some("none lies in the target, it is the one beside it)"),
        (true, true) => Some("the driest in the target, beside it where none lies in it)"),
    };
    if let Some((step, why)) = step.zip(why) {
        what = what
            .words(" (the control goes in steps of ")
            .value(Value::new(step, Dim::RelHumidityDifference).digits(2))
            .words("; ")
            .words(why);
    }
    let mut changed = room.clone();
    let set = |setpoint: Setpoint, of: &Given<Humidity>| {
        Some(Given {
            value: setpoint,
            origin: of.origin.clone(),
        })
    };
    changed.control.lights_on = set(by_day, on);
    changed.control.lights_off = set(by_night, off);
    Some((what, changed))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::Sheet;
    use quantity::Part;

    fn words(text: &Text) -> String {
        text.parts()
            .iter()
            .map(|part| match part {
                Part::Words(w) => w.to_string(),
                Part::Value(v) => format!("{:.1}", v.si * 100.0),
                Part::Place(p) => p.0.to_string(),
            })
            .collect()
    }

    #[test]
    fn a_drier_setpoint_is_one_that_the_control_has() {
        let room = Sheet::leafy()
            .set("target.lights_on", "rh", "\"52..62 %\"")
            .set("target.lights_off", "rh", "\"60..72 %\"")
            .room();
        let set = |step| {
            let (what, changed) = drier_setpoint(&room, step).expect("the targets are spread");
            let of = |s: &Option<Given<Setpoint>>| match s.as_ref().map(|s| s.value) {
                Some(Setpoint::RelHumidity(x)) => (1000.0 * x).round() / 10.0,
                other => panic!("{other:?}"),
            };
            let control = &changed.control;
            (
                words(&what),
                of(&control.lights_on),
                of(&control.lights_off),
            )
        };
        let (what, by_day, by_night) = set(Some(0.05));
        assert_eq!((by_day, by_night), (55.0, 60.0));
        assert!(
            what.contains("55.0 with lights on, 60.0 with lights off"),
            "{what}"
        );
        assert!(what.contains("steps of 5.0; the driest in"), "{what}");
        // From 60 % on, by night only, that is the edge itself.
        let (what, by_day, by_night) = set(Some(0.15));
        assert_eq!((by_day, by_night), (60.0, 60.0));
        assert!(what.contains("the driest in the target)"), "{what}");
        // By day none lies in the target; 63 % is the driest by night.
        let (what, by_day, by_night) = set(Some(0.21));
        assert_eq!((by_day, by_night), (42.0, 63.0));
        assert!(what.contains("beside it where none lies"), "{what}");
        let (what, by_day, by_night) = set(None);
        assert_eq!((by_day, by_night), (52.0, 60.0));
        assert!(!what.contains("steps"), "{what}");
    }
}

//! Cheaper measures than one more unit, tried on a set that just does not hold.

use equipment::Catalog;
use quantity::{Dim, Given, Text, Value};
use room::{CoilCredit, Control, Humidity, Period, Room, Setpoint};

use crate::cooling::CoilWaterCounts;
use crate::error::JobError;
use crate::settable::{settable, stays_inside, step_of, wanted};
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
    let step = step_of(room, catalog, set.models());
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

/// The setpoint at which units stop at the dry edge of a target.
#[derive(Clone, Copy, Debug, PartialEq)]
struct DryEdge {
    setpoint: Setpoint,
    /// Whether they start and stop inside the target; where it is too narrow for
    /// that, they start at its humid edge.
    inside: bool,
    /// Whether a step of the control decides, not the edge.
    stepped: bool,
}

/// The dry edge of a target as it can be set.
fn dry_edge(control: &Control, target: Humidity, step: Option<f64>) -> DryEdge {
    let (band, width) = match target {
        Humidity::RelHumidity(b) => ([b.low, b.high], control.deadband.value),
        // Turned round: a greater deficit is drier air.
        Humidity::VpdPa(b) => ([-b.high, -b.low], control.deadband_vpd_pa.value),
        Humidity::DewPointC(b) => ([b.low, b.high], control.deadband_dew_point_k.value),
    };
    let edge = (band[0] + 0.5 * width).min(band[1] - 0.5 * width);
    let set = match (target, step) {
        (Humidity::RelHumidity(_), Some(step)) => settable(edge, band, width, step),
        _ => edge,
    };
    DryEdge {
        setpoint: match target {
            Humidity::RelHumidity(_) => Setpoint::RelHumidity(set),
            Humidity::VpdPa(_) => Setpoint::VpdPa(-set),
            Humidity::DewPointC(_) => Setpoint::DewPointC(set),
        },
        inside: stays_inside(set, band, width),
        stepped: 1e-9 < (set - edge).abs(),
    }
}

/// Whether one setpoint asks for drier air than another of its kind.
fn is_drier(this: Setpoint, than: Setpoint) -> bool {
    const TOUCH: f64 = 1e-6;
    match (this, than) {
        (Setpoint::RelHumidity(a), Setpoint::RelHumidity(b))
        | (Setpoint::DewPointC(a), Setpoint::DewPointC(b)) => a + TOUCH < b,
        (Setpoint::VpdPa(a), Setpoint::VpdPa(b)) => b + TOUCH < a,
        // Of two kinds neither is told drier: it is tried.
        _ => true,
    }
}

const fn value_of(setpoint: Setpoint) -> Value {
    match setpoint {
        Setpoint::RelHumidity(x) => Value::new(x, Dim::RelHumidity),
        Setpoint::VpdPa(x) => Value::new(x, Dim::VapourPressure),
        Setpoint::DewPointC(x) => Value::new(x, Dim::Temperature),
    }
}

/// The setpoint at the dry edge of the targets, and what to set; `None` where no
/// period is set damper than that now.
fn drier_setpoint(room: &Room, step: Option<f64>) -> Option<(Text, Room)> {
    let periods = [Period::LightsOn, Period::LightsOff];
    let periods = periods
        .into_iter()
        .filter(|p| 0.0 < room.period_length_s(*p));
    let now: Vec<(Period, Setpoint)> = periods
        .filter_map(|p| Some((p, wanted(room, p, step)?.set())))
        .collect();
    let edge = |(period, now): &(Period, Setpoint)| {
        let target = room.targets.of(*period).humidity.as_ref()?.value;
        let spread = match target {
            Humidity::RelHumidity(b) | Humidity::VpdPa(b) | Humidity::DewPointC(b) => b.is_spread(),
        };
        let edge = dry_edge(&room.control, target, step);
        (spread && is_drier(edge.setpoint, *now)).then_some(edge)
    };
    let edges: Vec<Option<DryEdge>> = now.iter().map(edge).collect();
    let moved = || edges.iter().flatten();
    moved().next()?;
    let mut what =
        Text::from("set the humidity setpoint so that units stop at the dry edge of the target: ");
    let mut changed = room.clone();
    for (i, ((period, now), edge)) in now.iter().zip(&edges).enumerate() {
        let setpoint = edge.map_or(*now, |e| e.setpoint);
        what = what
            .words(if i == 0 { "" } else { ", " })
            .value(value_of(setpoint));
        let is_lit = *period == Period::LightsOn;
        if 1 < edges.len() {
            let when = if is_lit {
                " with lights on"
            } else {
                " with lights off"
            };
            what = what.words(when);
        }
        let control = &mut changed.control;
        let set = if is_lit {
            &mut control.lights_on
        } else {
            &mut control.lights_off
        };
        if let Some(target) = &room.targets.of(*period).humidity {
            *set = Some(Given {
                value: setpoint,
                origin: target.origin.clone(),
            });
        }
    }
    if let Some(step) = step.filter(|_| moved().any(|e| e.stepped)) {
        what = what
            .words(" (the control goes in steps of ")
            .value(Value::new(step, Dim::RelHumidityDifference).digits(2))
            .words(")");
    }
    if moved().any(|e| !e.inside) {
        what = what.words(
            "; where no setpoint keeps them inside the target they start inside it and stop beyond its dry edge",
        );
    }
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

    /// What is said, and the setpoints by day and by night \[%\].
    fn drier(sheet: Sheet, step: Option<f64>) -> Option<(String, f64, f64)> {
        let (what, changed) = drier_setpoint(&sheet.room(), step)?;
        let of = |s: &Option<Given<Setpoint>>| match s.as_ref().map(|s| s.value) {
            Some(Setpoint::RelHumidity(x)) => (1000.0 * x).round() / 10.0,
            other => panic!("{other:?}"),
        };
        let control = &changed.control;
        Some((
            words(&what),
            of(&control.lights_on),
            of(&control.lights_off),
        ))
    }

    fn leafy(deadband: &str) -> Sheet {
        Sheet::leafy()
            .set("target.lights_on", "rh", "\"52..62 %\"")
            .set("target.lights_off", "rh", "\"60..72 %\"")
            .set("control", "deadband", deadband)
    }

    /// Units stop half a deadband below what is set.
    #[test]
    fn units_stop_at_the_dry_edge() {
        let (what, by_day, by_night) = drier(leafy("\"4 %RH\""), None).unwrap();
        assert_eq!((by_day, by_night), (54.0, 62.0));
        assert!(
            what.ends_with("54.0 with lights on, 62.0 with lights off"),
            "{what}"
        );
        let (_, by_day, by_night) = drier(leafy("\"1 %RH\""), None).unwrap();
        assert_eq!((by_day, by_night), (52.5, 60.5));
        // Narrower than the deadband by day: they start at 62 %.
        let (what, by_day, by_night) = drier(leafy("\"11 %RH\""), None).unwrap();
        assert_eq!((by_day, by_night), (56.5, 65.5));
        assert!(what.contains("stop beyond its dry edge"), "{what}");
        // As dry as that, or drier, by night already.
        let said = leafy("\"4 %RH\"").set("control.lights_off", "rh", "\"61 %\"");
        let (_, by_day, by_night) = drier(said, None).unwrap();
        assert_eq!((by_day, by_night), (54.0, 61.0));
        let said = leafy("\"4 %RH\"")
            .set("control.lights_on", "rh", "\"54 %\"")
            .set("control.lights_off", "rh", "\"61 %\"");
        assert_eq!(drier(said, None), None);
    }

    #[test]
    fn a_drier_setpoint_is_one_that_the_control_has() {
        // By night 65 % is set for the middle, and at 60 % units would stop at
        // 59 %; by day it is 60 % for 61 %.
        let wide = leafy("\"2 %RH\"").set("target.lights_on", "rh", "\"52..70 %\"");
        let (what, by_day, by_night) = drier(wide, Some(0.05)).unwrap();
        assert_eq!((by_day, by_night), (55.0, 65.0));
        assert!(what.contains("steps of 5.0"), "{what}");
        // Where the driest step is set already there is nothing to try.
        assert_eq!(drier(leafy("\"2 %RH\""), Some(0.05)), None);
        let (what, by_day, by_night) = drier(leafy("\"2 %RH\""), Some(0.01)).unwrap();
        assert_eq!((by_day, by_night), (53.0, 61.0));
        assert!(!what.contains("steps"), "{what}");
    }
}

//! Cheaper measures than one more unit, tried on a set that just does not hold.

use equipment::Catalog;
use quantity::{Dim, Text, Value};
use room::{CoilCredit, Room};

use crate::cooling::CoilWaterCounts;
use crate::error::JobError;
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
fn changes() -> [(Text, Change); 7] {
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
        (
            "set the humidity setpoint to the dry edge of the target".into(),
            drier_setpoint,
        ),
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
    changes()
        .into_iter()
        .filter_map(|(what, change)| change(room).map(|changed| (what, changed)))
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

fn drier_setpoint(room: &Room) -> Option<Room> {
    use quantity::Given;
    use room::{Humidity, Setpoint};
    let dry_edge = |h: &Given<Humidity>| {
        let edge = match h.value {
            Humidity::RelHumidity(b) => Setpoint::RelHumidity(b.low),
            Humidity::VpdPa(b) => Setpoint::VpdPa(b.high),
            Humidity::DewPointC(b) => Setpoint::DewPointC(b.low),
        };
        Given {
            value: edge,
            origin: h.origin.clone(),
        }
    };
    let spread = |h: &Given<Humidity>| match h.value {
        Humidity::RelHumidity(b) | Humidity::VpdPa(b) | Humidity::DewPointC(b) => b.is_spread(),
    };
    let on = room.targets.lights_on.humidity.as_ref()?;
    let off = room.targets.lights_off.humidity.as_ref()?;
    (spread(on) || spread(off)).then(|| {
        let mut changed = room.clone();
        changed.control.lights_on = Some(dry_edge(on));
        changed.control.lights_off = Some(dry_edge(off));
        changed
    })
}

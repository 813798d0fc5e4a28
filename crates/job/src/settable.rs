//! What is set at a control: as the room file says, else the middle of the
//! target; and a humidity goes in steps. The same for who sets it, for the
//! simulated day and for what a log is held against.

use equipment::{Catalog, ControlFamily, Controller, Model};
use quantity::Band;
use room::{Humidity, Period, Room, Setpoint};

/// Rounding of a setpoint that is on a step already, over the step.
const TOUCH: f64 = 1e-6;

/// The coarsest step of those at which a humidity is set, as relative humidity,
/// 0 to 1: the units with a humidistat of their own, and controllers. `None`
/// where no record tells one.
pub(crate) fn coarsest<'a>(
    models: impl Iterator<Item = &'a Model>,
    controllers: impl Iterator<Item = &'a Controller>,
) -> Option<f64> {
    let own = models
        .filter(|m| m.control.family == ControlFamily::OnBoard)
        .filter_map(|m| m.control.setpoint_step);
    own.chain(controllers.filter_map(|c| c.setpoint_step))
        .max_by(f64::total_cmp)
}

/// The coarsest step at which a humidity is set where these models run under the
/// controllers of the room file; models that are not in the catalogue count for
/// none.
pub(crate) fn step_of<'a>(
    room: &Room,
    catalog: &Catalog,
    models: impl Iterator<Item = &'a str>,
) -> Option<f64> {
    let models = models.filter_map(|code| catalog.dehumidifiers.get(code));
    let controllers = room.controllers.iter();
    coarsest(
        models,
        controllers.filter_map(|c| catalog.controllers.get(&c.model.value)),
    )
}

/// What is wanted of the control in a period, and what can be set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Wanted {
    /// As the room file says, else the middle of the target.
    pub(crate) setpoint: Setpoint,
    /// Whether the room file says it.
    pub(crate) said: bool,
    /// What the control can be set to.
    pub(crate) can_be: Setpoint,
}

impl Wanted {
    /// What is set: what the room file says stands as it says.
    pub(crate) const fn set(&self) -> Setpoint {
        if self.said {
            self.setpoint
        } else {
            self.can_be
        }
    }
}

/// What is wanted in a period; `None` where nothing is to be held.
///
/// - `step`: the coarsest step of relative humidity of those where it is set
pub(crate) fn wanted(room: &Room, period: Period, step: Option<f64>) -> Option<Wanted> {
    let said = match period {
        Period::LightsOn => room.control.lights_on.as_ref(),
        Period::Transition | Period::LightsOff => room.control.lights_off.as_ref(),
    };
    let target = room.targets.of(period).humidity.as_ref().map(|h| h.value);
    let setpoint = said.map(|s| s.value).or_else(|| target.map(middle))?;
    let can_be = match (setpoint, step) {
        (Setpoint::RelHumidity(x), Some(step)) => {
            let band = match target {
                Some(Humidity::RelHumidity(b)) => [b.low, b.high],
                _ => [0.0, 1.0],
            };
            let deadband = room.control.deadband.value;
            Setpoint::RelHumidity(settable(x, band, deadband, step))
        }
        _ => setpoint,
    };
    Some(Wanted {
        setpoint,
        said: said.is_some(),
        can_be,
    })
}

/// The middle of a target.
fn middle(target: Humidity) -> Setpoint {
    let half = |b: Band| 0.5 * (b.low + b.high);
    match target {
        Humidity::RelHumidity(b) => Setpoint::RelHumidity(half(b)),
        Humidity::VpdPa(b) => Setpoint::VpdPa(half(b)),
        Humidity::DewPointC(b) => Setpoint::DewPointC(half(b)),
    }
}

/// A relative humidity as it can be set: what is wanted where it is a step, else
/// a step at which units start and stop inside the target, the drier neighbour
/// rather than the damper one. Where no step does that, the highest at which they
/// start inside it: air that is too humid costs the crop and air that is too dry
/// costs electricity. It is never zero.
///
/// - `deadband`: whole width between on and off
pub(crate) fn settable(wanted: f64, target: [f64; 2], deadband: f64, step: f64) -> f64 {
    let [low, high] = target;
    let up = |x: f64| (x / step - TOUCH).ceil();
    let down = |x: f64| (x / step + TOUCH).floor();
    let drier = down(wanted);
    if drier == up(wanted) && 1.0 <= drier {
        return wanted;
    }
    let first = up(low + 0.5 * deadband).max(1.0);
    let last = down(high - 0.5 * deadband);
    let steps = if first <= last {
        drier.clamp(first, last)
    } else {
        drier.min(last).max(1.0)
    };
    steps * step
}

/// Whether units start and stop inside a target.
pub(crate) fn stays_inside(setpoint: f64, [low, high]: [f64; 2], deadband: f64) -> bool {
    let half = 0.5 * deadband;
    low - TOUCH <= setpoint - half && setpoint + half <= high + TOUCH
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{Sheet, catalog};
    use crate::simulate::ONE_DAY;
    use crate::units::UnitSet;
    use crate::zone::{Circumstances, Compiled};

    /// What is set \[%\] with steps and a deadband \[%\], and whether units stay
    /// inside the target.
    fn set(wanted: f64, target: [f64; 2], deadband: f64, step: f64) -> (f64, bool) {
        let (target, deadband) = (target.map(|x| x / 100.0), deadband / 100.0);
        let set = settable(wanted / 100.0, target, deadband, step / 100.0);
        (
            (set * 1000.0).round() / 10.0,
            stays_inside(set, target, deadband),
        )
    }

    #[test]
    fn units_start_and_stop_inside_the_target_where_a_step_does_that() {
        // The middle of 55 to 62 %: at 55 % units would stop at 53 %.
        assert_eq!(set(58.5, [55.0, 62.0], 4.0, 5.0), (60.0, true));
        // Without a deadband the drier neighbour does.
        assert_eq!(set(58.5, [55.0, 62.0], 0.0, 5.0), (55.0, true));
        // On a step already.
        assert_eq!(set(60.0, [55.0, 65.0], 4.0, 5.0), (60.0, true));
        assert_eq!(set(58.5, [55.0, 62.0], 4.0, 0.5), (58.5, true));
        // Both neighbours do: the drier one.
        assert_eq!(set(62.5, [52.0, 73.0], 4.0, 5.0), (60.0, true));
        // What was asked for lies outside.
        assert_eq!(set(71.0, [55.0, 63.0], 4.0, 5.0), (60.0, true));
        assert_eq!(set(70.0, [55.0, 62.0], 4.0, 5.0), (70.0, false));
    }

    #[test]
    fn where_no_step_keeps_them_inside_they_start_inside() {
        // At 60 % they would start at 62 %.
        assert_eq!(set(58.5, [57.0, 60.0], 4.0, 5.0), (55.0, false));
        assert_eq!(set(57.5, [56.0, 59.0], 4.0, 5.0), (55.0, false));
        // The target is narrower than the deadband.
        assert_eq!(set(60.25, [59.5, 61.0], 4.0, 0.5), (59.0, false));
    }

    #[test]
    fn no_humidity_of_zero_is_set() {
        assert_eq!(set(15.0, [10.0, 18.0], 4.0, 20.0), (20.0, false));
        assert_eq!(set(15.0, [0.0, 100.0], 4.0, 20.0), (20.0, true));
        assert_eq!(set(0.0, [0.0, 10.0], 0.0, 5.0), (5.0, true));
    }

    #[test]
    fn only_who_is_set_counts() {
        let catalog = catalog();
        let models = |codes: &[&str]| {
            let of = |c: &&str| &catalog.dehumidifiers[*c];
            coarsest(codes.iter().map(of), std::iter::empty())
        };
        assert_eq!(models(&["generic-30", "generic-150"]), Some(0.05));
        // It has no humidistat of its own: its controller's step counts.
        assert_eq!(models(&["generic-150"]), None);
        let mut controller = catalog.controllers["generic-relay-4"].clone();
        controller.setpoint_step = Some(0.01);
        let both = coarsest(std::iter::empty(), [&controller].into_iter());
        assert_eq!(both, Some(0.01));
    }

    /// 58 % is the middle of the target; of these generic-30 alone has a humidistat
    /// of its own, in steps of 5 %.
    #[test]
    fn the_day_is_simulated_with_what_is_set() {
        let leafy = Sheet::leafy().set("target.lights_on", "rh", "\"50..66 %\"");
        let said = leafy.set("control.lights_on", "rh", "\"57 %\"");
        for (sheet, code, percent) in [
            (&leafy, "generic-30", 55.0),
            (&leafy, "generic-150", 58.0),
            (&said, "generic-30", 57.0),
        ] {
            let room = sheet.room();
            let both = ["generic-30", "generic-150"].into_iter();
            let compiled = Compiled::new(&room, catalog(), both, Circumstances::DESIGN).unwrap();
            let draw = sheet.load().typical;
            let setup = compiled
                .setup(&draw, &UnitSet::of(code, 1), ONE_DAY)
                .unwrap();
            let target = setup.timetable.hours().targets.lights_on;
            let simulated = match target.humidity_setpoint {
                roomsim::timetable::Humidity::Relative(x) => x,
                other => panic!("{other:?}"),
            };
            let step = step_of(&room, catalog(), [code].into_iter());
            let told = wanted(&room, Period::LightsOn, step).unwrap().set();
            assert_eq!(told, Setpoint::RelHumidity(simulated), "{code}");
            assert!(
                (100.0 * simulated - percent).abs() < 1e-9,
                "{code} {simulated}"
            );
        }
    }
}

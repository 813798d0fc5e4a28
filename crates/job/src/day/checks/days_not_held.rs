//! Too few of the drawn days hold the target.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::Room;
use roomsim::Period;

use crate::day::Day;
use crate::finding::{Said, when_simulated};
use crate::simulate::HoldRule;

pub(super) fn check(room: &Room, day: &Day) -> Vec<Finding> {
    let wanted = room.selection.days_to_hold.value;
    let judged = &day.judged;
    if wanted <= judged.held_share() {
        return Vec::new();
    }
    let weakest = judged.weakest_period().unwrap_or(Period::LightsOff);
    let check = match weakest {
        Period::LightsOn => "day_too_wet",
        Period::Transition => "transition_too_wet",
        Period::LightsOff if 0.0 < day.summary.period(Period::LightsOn).time_s => "night_too_wet",
        Period::LightsOff => "room_too_wet",
    };
    let when = when_simulated(room, weakest);
    let worst = day.summary.period(weakest).highest_rel_humidity;
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    vec![
        Said {
            check,
            severity: Severity::Stop,
            step: Step::Day,
            place: Place::new("room"),
            what: Text::from(format!(
                "{} of {} drawn days hold with {}; most fail {when}, and a typical day reaches ",
                judged.held_days,
                judged.days,
                day.units.words()
            ))
            .value(Value::new(worst.value, Dim::RelHumidity).digits(2))
            .words(" there"),
            why: "wet air on leaves and cold surfaces is where mould begins",
            remedy:
                "add removal at that moment, or take one of the cheaper measures listed under selection"
                    .into(),
            source: HoldRule::SOURCE,
        }
        .compared(share(judged.held_share()), share(wanted)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    /// The day with so many of its drawn days held in one period and all in the
    /// others.
    fn held(days: usize, period: Period) -> Day {
        let mut day = steps().day.clone();
        day.judged.held_days = days;
        day.judged.held_days_by_period = [Some(day.judged.days); 3];
        day.judged.held_days_by_period[period as usize] = Some(days);
        day
    }

    /// Nine of ten days are wanted; a first look draws 20.
    #[test]
    fn nine_of_ten_days_are_enough_and_fewer_name_the_period() {
        let room = &steps().room;
        for (period, name) in [
            (Period::LightsOn, "day_too_wet"),
            (Period::Transition, "transition_too_wet"),
            (Period::LightsOff, "night_too_wet"),
        ] {
            assert!(check(room, &held(18, period)).is_empty(), "{name}");
            let (finding, measured, limit) = one(check(room, &held(17, period)));
            assert_eq!((&*finding.check, finding.severity), (name, Severity::Stop));
            assert_eq!((measured, limit), (0.85, 0.9));
        }
    }
}

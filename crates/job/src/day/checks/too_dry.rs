//! The room is drier than its target for long.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;
use roomsim::Period;

use crate::day::Day;
use crate::finding::{Said, when_simulated};

/// Share of a period that may be too dry.
///
/// **Assumed**: dry air costs growth, not the crop.
const ALLOWED: f64 = 0.25;

pub(super) fn check(room: &Room, day: &Day) -> Vec<Finding> {
    [
        (Period::LightsOn, "choose a smaller or slower cooling coil, raise its air flow, or add water by a humidifier: the coil takes more than the crop gives"),
        (Period::LightsOff, "raise the setpoint at that time, or choose units that stop at their setpoint"),
    ]
    .into_iter()
    .filter_map(|(period, remedy)| {
        let p = day.summary.period(period);
        (0.0 < p.time_s && ALLOWED < p.too_dry_s / p.time_s).then(|| {
            let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
            Said {
                check: "too_dry",
                severity: Severity::Note,
                step: Step::Day,
                place: Place::new("room"),
                what: Text::from(format!("{} the air is drier than its target for ", when_simulated(room, period)))
                    .value(share(p.too_dry_s / p.time_s))
                    .words(" of the time, down to ")
                    .value(Value::new(p.lowest_rel_humidity.value, Dim::RelHumidity).digits(2)),
                why: "dry air stresses leaves and costs electricity",
                remedy: remedy.into(),
                source: Source::assumed("a quarter of a period below the target is let pass"),
            }
            .compared(share(p.too_dry_s / p.time_s), share(ALLOWED))
        })
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{one, steps};

    #[test]
    fn a_quarter_of_a_period_is_let_pass() {
        for period in [Period::LightsOn, Period::LightsOff] {
            let too_dry = |share: f64| {
                let mut day = steps().day.clone();
                day.summary.periods.iter_mut().for_each(|p| {
                    p.too_dry_s = if p.period == period {
                        share * p.time_s
                    } else {
                        0.0
                    };
                });
                check(&steps().room, &day)
            };
            assert!(too_dry(0.25).is_empty());
            let (finding, measured, limit) = one(too_dry(0.251));
            assert_eq!(finding.severity, Severity::Note);
            assert!((measured - 0.251).abs() < 1e-12);
            assert_eq!(limit, 0.25);
        }
    }
}

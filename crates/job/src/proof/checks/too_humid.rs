//! The air was more humid than the target allows for longer than a held day may.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::{Period, Room};

use super::{Proof, share};
use crate::finding::{Said, when};
use crate::simulate::HoldRule;

pub(super) fn check(room: &Room, proof: &Proof) -> Vec<Finding> {
    let allowed = |p: Period| match p {
        Period::LightsOn => HoldRule::DEFAULT.lights_on,
        Period::Transition => HoldRule::DEFAULT.transition,
        Period::LightsOff => HoldRule::DEFAULT.lights_off,
    };
    Period::ALL
        .into_iter()
        .filter_map(|period| {
            let seen = &proof.periods[period as usize];
            let wet = seen.too_humid_share();
            (allowed(period) < wet).then(|| {
                Said {
                    check: "too_humid",
                    severity: Severity::Fix,
                    step: Step::Proof,
                    place: Place::new("room"),
                    what: Text::from(format!("{} the air is more humid than its target for ", when(room, period)))
                        .value(share(wet))
                        .words(" of the logged time; the highest relative humidity is ")
                        .value(Value::new(seen.highest_rel_humidity.0, Dim::RelHumidity).digits(2)),
                    why: "Mould and mildew answer to hours of humid air, not to means.",
                    remedy: "See whether units ran all that time: if they did, more removal or less water is needed; if not, mend their setpoint or their sensor.".into(),
                    source: HoldRule::SOURCE,
                }
                .compared(share(wet), share(allowed(period)))
            })
        })
        .collect()
}

//! A target so humid that leaves may get wet while it is held.

use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::{Period, Room};

use crate::airs::{self, Edge};
use crate::finding::{Said, when};

/// Relative humidity that stands for wet leaves.
const WET: f64 = 0.90;

pub(super) fn check(room: &Room) -> Vec<Finding> {
    let p_pa = airs::pressure_pa(&room.site);
    [Period::LightsOn, Period::LightsOff]
    .into_iter()
    .filter(|period| 0.0 < room.period_length_s(*period))
    .filter_map(|period| {
        let air = airs::air_of(room.targets.of(period), Edge::Wet, p_pa).ok()?;
        let rh = |x: f64| Value::new(x, Dim::RelHumidity).digits(2);
        (WET <= air.rel_humidity()).then(|| {
            Said {
                check: "target_too_humid",
                severity: Severity::Note,
                step: Step::Survey,
                place: Place::new("target"),
                what: Text::from(format!("the target {} allows ", when(room, period)))
                    .value(rh(air.rel_humidity())),
                why: "from about 90 % on, leaves are wet for hours wherever the air stands still",
                remedy: "ask the grower for the upper limit that is meant; cuttings want it, little else does".into(),
                source: Source::published(
                    "Sentelhas et al., leaf wetness from relative humidity (abstract)",
                    "hours at 90 % and more",
                ),
            }
            .compared(rh(air.rel_humidity()), rh(WET))
        })
    })
    .collect()
}

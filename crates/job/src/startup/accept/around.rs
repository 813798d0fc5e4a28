//! What controls, sensors and the whole room must show.

use quantity::{Dim, Severity, Source, Step as JobStep, Text, Value};

use super::{Entered, Greater, WantedSetpoint, silent};
use crate::acceptance::salts::{self, Salt, SaltPoint};
use crate::acceptance::{Estimate, Judgement, Verdict, gum, psychrometer};
use crate::finding::Said;
use crate::startup::step::Step;
use crate::startup::steps::ids;

pub(super) fn call(
    step: &Step,
    deadband: f64,
    greater: Greater,
    entered: &Entered<'_>,
) -> Judgement {
    let (Some(set), Some(shown)) = (
        entered.reading(ids::SET_TO).map(|r| r.value),
        entered.reading(ids::ROOM_SHOWS).map(|r| r.value),
    ) else {
        return silent();
    };
    let above = match greater {
        Greater::Damper => shown.si - set.si,
        Greater::Drier => set.si - shown.si,
    };
    let said = Text::from("set to ")
        .value(set)
        .words(", the room shows ")
        .value(shown);
    if 0.5 * deadband <= above {
        return Judgement::plain(Verdict::Pass, said);
    }
    let mut judgement = Judgement::plain(Verdict::Fail, said.clone());
    judgement.findings.push(
        Said {
            check: "does_not_call",
            severity: Severity::Fix,
            step: JobStep::Startup,
            place: step.place(),
            what: said,
            why: "the unit starts only where the room is damper than the setpoint by half the deadband",
            remedy: "set it ten percent drier than the room shows; where the room is too dry to start, wet the floor or wait".into(),
            source: Source::published("deadband of the design", ""),
        }
        .compared(set, shown),
    );
    judgement
}

pub(super) fn stagger(step: &Step, apart_s: f64, entered: &Entered<'_>) -> Judgement {
    let Some(seen) = entered.reading(ids::APART).map(|r| r.value.si) else {
        return silent();
    };
    let time = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let said = Text::from("least time between two starts ")
        .value(time(seen))
        .words(", designed ")
        .value(time(apart_s));
    // Two presses of a watch.
    if apart_s <= seen + 2.0 {
        return Judgement::plain(Verdict::Pass, said);
    }
    let mut judgement = Judgement::plain(Verdict::Fail, said);
    judgement.findings.push(
        Said {
            check: "start_together",
            severity: Severity::Fix,
            step: JobStep::Startup,
            place: step.place(),
            what: Text::from("two units started ")
                .value(time(seen))
                .words(" apart; designed are ")
                .value(time(apart_s)),
            why: "starting currents add up: the voltage dips, contactors drop out, the main device trips",
            remedy: "set the wait between starts at the controller, or another restart delay at each unit".into(),
            source: Source::assumed("time apart of the power sheet"),
        }
        .compared(time(seen), time(apart_s)),
    );
    judgement
}

pub(super) fn salts(step: &Step, entered: &Entered<'_>) -> Judgement {
    let number = |id: &str| entered.reading(id).map(|r| r.value.si);
    let (Some(jar_c), Some(settled_s)) = (number(ids::JAR_T), number(ids::SETTLED)) else {
        return silent();
    };
    let points: Vec<SaltPoint> = [
        (Salt::SodiumChloride, ids::OVER_NACL),
        (Salt::MagnesiumChloride, ids::OVER_MGCL2),
    ]
    .into_iter()
    .filter_map(|(salt, id)| {
        Some(SaltPoint {
            salt,
            jar_c,
            shown: number(id)?,
            settled_s,
        })
    })
    .collect();
    salts::judge(&step.place(), &points).judgement
}

/// How far a sensor may be off a psychrometer beside it, 0 to 1. Common
/// practice, no published source.
pub(super) const MOST_OFF: f64 = 0.05;

pub(super) fn sensor_in_place(step: &Step, pressure_pa: f64, entered: &Entered<'_>) -> Judgement {
    let (Some(dry), Some(wet), Some(shown)) = (
        entered.estimate(step, ids::DRY),
        entered.estimate(step, ids::WET),
        entered.reading(ids::SENSOR_SHOWS).map(|r| r.value.si),
    ) else {
        return silent();
    };
    let Some(budget) = gum::propagate(&[dry, wet], |x| {
        psychrometer::rel_humidity(x[0], x[1], pressure_pa)
    }) else {
        return Judgement {
            would_prove: vec![
                "wet the wick with clean water, keep it in moving air until it stands still, read again".into(),
            ],
            ..Judgement::plain(
                Verdict::NotProven,
                "dry and wet thermometer cannot be as they were read".into(),
            )
        };
    };
    let rh = budget.result;
    let difference = |si: f64| Value::new(si, Dim::RelHumidityDifference).digits(2);
    let off = Estimate::new(shown - rh.value, rh.standard_uncertainty);
    let said = Text::from("sensor ")
        .value(Value::new(shown, Dim::RelHumidity))
        .words(", psychrometer ")
        .value(Value::new(rh.value, Dim::RelHumidity))
        .words(" ±")
        .value(difference(rh.expanded()));
    let verdict = off.size().at_most(MOST_OFF);
    let mut judgement = Judgement::plain(verdict, said);
    judgement.workings = psychrometer::working(dry.value, wet.value, pressure_pa)
        .into_iter()
        .collect();
    match verdict {
        Verdict::Pass => {}
        Verdict::NotProven => judgement
            .would_prove
            .push("hold the sensor over salt: that is surer than a psychrometer".into()),
        Verdict::Fail => judgement.findings.push(
            Said {
                check: "sensor_off_in_place",
                severity: Severity::Fix,
                step: JobStep::Startup,
                place: step.place(),
                what: Text::from("the sensor is ")
                    .value(difference(off.value))
                    .words(" off the psychrometer beside it; at most ")
                    .value(difference(MOST_OFF)),
                why: "a sensor in the sun of the lamps or in a jet reads other air than the crop has: one kelvin is six percent of the humidity",
                remedy: "do in this order: shade and air it; move it out of jets and away from walls; hold it over salt; correct or replace it".into(),
                source: Source::common_practice("5 %RH between a sensor and a psychrometer beside it"),
            }
            .compared(difference(off.value.abs()), difference(MOST_OFF)),
        ),
    }
    judgement
}

pub(super) fn setpoints(
    step: &Step,
    wanted: &[WantedSetpoint],
    entered: &Entered<'_>,
) -> Judgement {
    let mut judgement = silent();
    for want in wanted {
        let Some(found) = entered.reading(&want.entry).map(|r| r.value) else {
            continue;
        };
        let said = Text::from("set to ")
            .value(found)
            .words(", designed ")
            .value(want.value);
        if (found.si - want.value.si).abs() <= want.within + 1e-12 {
            judgement = judgement.and(Judgement::plain(Verdict::Pass, said));
            continue;
        }
        let mut off = Judgement::plain(Verdict::Fail, said.clone());
        off.findings.push(
            Said {
                check: "setpoint_not_back",
                severity: Severity::Fix,
                step: JobStep::Startup,
                place: step.place(),
                what: said,
                why: "the room was designed at that setpoint; a test setpoint that stays dries the crop and the meter",
                remedy: "set it back, or change the target in the room file and design again".into(),
                source: Source::measured("room file", "control"),
            }
            .compared(found, want.value),
        );
        judgement = judgement.and(off);
    }
    judgement
}

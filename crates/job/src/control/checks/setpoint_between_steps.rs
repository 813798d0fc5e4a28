//! A setpoint lies between the steps of the control.

use equipment::Catalog;
use quantity::{Finding, Place, Severity, Source, Step, Text};
use room::{Period, Room};

use crate::control::{Control, Moved, Setting};
use crate::finding::{Said, when};
use crate::settable::stays_inside;

pub(super) fn check(room: &Room, _catalog: &Catalog, control: &Control) -> Vec<Finding> {
    let all = control.settings.iter();
    all.filter_map(|s| s.moved.map(|moved| finding(room, s, moved)))
        .collect()
}

fn finding(room: &Room, setting: &Setting, moved: Moved) -> Finding {
    let Moved { from, to, step, .. } = moved;
    let wanted = if moved.said {
        "the room file asks for "
    } else {
        "the middle of the target is "
    };
    let mut what = Text::from(format!("{} {wanted}", when(room, setting.period)))
        .value(from)
        .words(", which cannot be set: it goes in steps of ")
        .value(step);
    let leaves = setting.band.filter(|band| {
        let deadband = setting.deadband.si;
        !stays_inside(to.si, band.map(|b| b.si), deadband)
    });
    if let Some([low, high]) = leaves {
        what = what
            .words(". No step keeps the air inside the target of ")
            .value(low)
            .words(" to ")
            .value(high)
            .words(": set to ")
            .value(to)
            .words(" units start at ")
            .value(moved.on_at)
            .words(" and stop at ")
            .value(moved.off_at);
    }
    let (severity, remedy) = match (leaves, moved.said) {
        (Some(band), _) => (
            Severity::Fix,
            where_none(setting, moved, band.map(|b| b.si)),
        ),
        (None, true) => (
            Severity::Fix,
            Text::from("write ")
                .value(to)
                .words(" into the room file and set it, or choose a control with finer steps"),
        ),
        (None, false) => (
            Severity::Note,
            Text::from("set ").value(to).words(format!(
                "; where that is too {}, move the target so that its middle is a step",
                if to.si < from.si { "dry" } else { "humid" }
            )),
        ),
    };
    Said {
        check: "setpoint_between_steps",
        severity,
        step: Step::Control,
        place: Place::new(match setting.period {
            Period::LightsOn => "control, lights on",
            Period::Transition | Period::LightsOff => "control, lights off",
        }),
        what,
        why: "who stands at the control takes one of the steps beside it, and not each keeps the air inside the target",
        remedy,
        source: Source::assumed("units start and stop inside the target; where no step does that they start inside it: humid air costs the crop, dry air electricity"),
    }
    .compared(from, to)
}

/// What to do where no step keeps units inside the target.
fn where_none(setting: &Setting, moved: Moved, [low, high]: [f64; 2]) -> Text {
    let mut ways = vec!["widen the target"];
    let step = moved.step.si;
    if (low / step).ceil() <= (high / step).floor() {
        ways.push("narrow the deadband");
    }
    if setting.deadband.si <= high - low {
        ways.push("choose a control with finer steps");
    }
    let remedy = Text::from(ways.join(", or ")).words("; until then ");
    if moved.said {
        remedy
            .words("write ")
            .value(moved.to)
            .words(" into the room file and set it")
    } else {
        remedy.words("set ").value(moved.to)
    }
}

//! What must be so before a unit is switched on.

use equipment::Plate;
use quantity::{Dim, Severity, Source, Step as JobStep, Text, Value};

use super::{Entered, silent};
use crate::acceptance::drainage::{self, Bucket, BuiltTrap};
use crate::acceptance::level::{self, Tilt};
use crate::acceptance::{Judgement, Verdict};
use crate::drain::trap::Trap;
use crate::finding::Said;
use crate::hanging::{Direction, Levelling};
use crate::startup::step::Step;
use crate::startup::steps::ids;

/// Time upright after an upright journey, and after any other \[s\]. Common
/// practice, no published source: oil runs back into the compressor.
const UPRIGHT_S: f64 = 2.0 * 3600.0;
const LAID_S: f64 = 24.0 * 3600.0;

pub(super) fn stood(step: &Step, entered: &Entered<'_>) -> Judgement {
    let (Some(came), Some(stood)) = (
        entered.answer(ids::CAME),
        entered.reading(ids::STOOD).map(|r| r.value.si),
    ) else {
        return silent();
    };
    let least_s = if came == ids::UPRIGHT {
        UPRIGHT_S
    } else {
        LAID_S
    };
    let time = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let said = Text::from("has stood for ")
        .value(time(stood))
        .words(", wanted ")
        .value(time(least_s));
    if least_s <= stood {
        return Judgement::plain(Verdict::Pass, said);
    }
    let mut judgement = Judgement::plain(Verdict::Fail, said);
    judgement.findings.push(
        Said {
            check: "stood_too_short",
            severity: Severity::Stop,
            step: JobStep::Startup,
            place: step.place(),
            what: Text::from("the unit has stood upright for ")
                .value(time(stood))
                .words("; after its journey ")
                .value(time(least_s))
                .words(" are wanted"),
            why: "on its side, oil leaves the compressor; started without it, its bearings run dry",
            remedy: Text::from("leave it upright, switched off, for another ")
                .value(time(least_s - stood))
                .words("; the unit's own instructions rule"),
            source: Source::common_practice("a day after lying down, two hours otherwise"),
        }
        .compared(time(stood), time(least_s)),
    );
    judgement
}

pub(super) fn nameplate(
    step: &Step,
    plate: &Plate,
    designed_a: Option<f64>,
    entered: &Entered<'_>,
) -> Judgement {
    let number = |id: &str| entered.reading(id).map(|r| r.value.si);
    let amps = |si: f64| Value::new(si, Dim::Current);
    let mut judgement = silent();
    // A plate that differs from the record is another machine.
    for (id, what, record, value) in [
        (ids::PLATE_V, "volts", plate.volts, Dim::Voltage),
        (
            ids::PLATE_MCA,
            "circuit ampacity",
            plate.min_circuit_a,
            Dim::Current,
        ),
        (
            ids::PLATE_MOCP,
            "largest device",
            plate.max_protection_a,
            Dim::Current,
        ),
    ] {
        let Some(read) = number(id) else { continue };
        let low = if id == ids::PLATE_V {
            plate.low_volts
        } else {
            None
        };
        let same = |to: f64| (read / to - 1.0).abs() < 0.02;
        let shown = |si: f64| Value::new(si, value);
        if same(record) || low.is_some_and(same) {
            continue;
        }
        let what = Text::from(format!("the plate says {what} "))
            .value(shown(read))
            .words(", the record ")
            .value(shown(record));
        let mut other = Judgement::plain(Verdict::Fail, what.clone());
        other.findings.push(
            Said {
                check: "plate_differs",
                severity: Severity::Stop,
                step: JobStep::Startup,
                place: step.place(),
                what,
                why: "circuit, device and conductor were chosen by the record: with another plate they may not protect",
                remedy: "see that the right unit hangs here; else put the plate's figures into the machine file, design again, and have the circuit changed by a licensed electrician".into(),
                source: Source::measured("plate on site", step.id.clone()),
            }
            .compared(shown(read), shown(record)),
        );
        judgement = judgement.and(other);
    }
    let most = number(ids::PLATE_MOCP).unwrap_or(plate.max_protection_a);
    let least = number(ids::PLATE_MCA).unwrap_or(plate.min_circuit_a);
    // What the sheet shows is only said where it may stand: the plate rules.
    let sheet_a = designed_a.filter(|sheet| most < *sheet);
    if let Some(sheet) = sheet_a {
        let said = Text::from("the power sheet shows a device of ")
            .value(amps(sheet))
            .words("; the plate on the unit allows ")
            .value(amps(most));
        let mut above = Judgement::plain(Verdict::Fail, said.clone());
        above.findings.push(
            Said {
                check: "sheet_above_plate_on_site",
                severity: Severity::Stop,
                step: JobStep::Power,
                place: step.place(),
                what: said,
                why: "who works by the sheet fits a device that does not protect the unit",
                remedy: "do not work by this power sheet; read the plate again, put its figures into the machine file and make the power sheet anew".into(),
                source: Source::published("NFPA 70 (NEC)", "440.22; the plate rules"),
            }
            .compared(amps(sheet), amps(most)),
        );
        judgement = judgement.and(above);
    }
    let Some(device) = number(ids::DEVICE) else {
        return judgement;
    };
    let said = Text::from("device ")
        .value(amps(device))
        .words(", plate at most ")
        .value(amps(most));
    if most < device {
        let remedy = Text::from(
            "leave the unit off; have a licensed electrician change the device to one of ",
        )
        .value(amps(most))
        .words(" at most, as the plate says");
        let mut over = Judgement::plain(Verdict::Fail, said);
        over.findings.push(
            Said {
                check: "device_above_plate_on_site",
                severity: Severity::Stop,
                step: JobStep::Startup,
                place: step.place(),
                what: Text::from("the device in the panel is ")
                    .value(amps(device))
                    .words("; the plate allows ")
                    .value(amps(most)),
                why: "a device larger than the plate allows does not protect the unit",
                remedy: match sheet_a {
                    Some(sheet) => remedy
                        .words("; not the ")
                        .value(amps(sheet))
                        .words(" of the power sheet, which must be made anew from this plate"),
                    None => remedy,
                },
                source: Source::published("NFPA 70 (NEC)", "440.22; the plate rules"),
            }
            .compared(amps(device), amps(most)),
        );
        return judgement.and(over);
    }
    if device < 0.8 * least {
        let mut under = Judgement::plain(Verdict::Fail, said);
        under.findings.push(
            Said {
                check: "device_below_circuit_on_site",
                severity: Severity::Fix,
                step: JobStep::Startup,
                place: step.place(),
                what: Text::from("the device in the panel is ")
                    .value(amps(device))
                    .words("; the circuit is made for ")
                    .value(amps(least)),
                why: "it trips while the unit runs as it should",
                remedy: Text::from("have a licensed electrician see that the conductors carry ")
                    .value(amps(least))
                    .words(" and fit a device of at most ")
                    .value(amps(most))
                    .words(", as the plate says"),
                source: Source::published("NFPA 70 (NEC)", "440.4(B), 440.22"),
            }
            .compared(amps(device), amps(least)),
        );
        return judgement.and(under);
    }
    judgement.and(Judgement::plain(Verdict::Pass, said))
}

pub(super) fn level(step: &Step, levelling: &Levelling, entered: &Entered<'_>) -> Judgement {
    let tilt = |id: &str, way: Direction| {
        entered.estimate(step, id).map_or_else(silent, |slope| {
            level::judge(&step.place(), levelling, Tilt { way, slope })
        })
    };
    tilt(ids::TILT_FRONT, Direction::BackToFront).and(tilt(ids::TILT_LEFT, Direction::RightToLeft))
}

pub(super) fn trap(step: &Step, drawn: &Trap, entered: &Entered<'_>) -> Judgement {
    match (
        entered.estimate(step, ids::TRAP_DROP),
        entered.estimate(step, ids::TRAP_SEAL),
    ) {
        (Some(drop_m), Some(seal_m)) => {
            drainage::trap(&step.place(), drawn, BuiltTrap { drop_m, seal_m })
        }
        _ => silent(),
    }
}

pub(super) fn prime(step: &Step, least_kg: f64, entered: &Entered<'_>) -> Judgement {
    let Some(poured) = entered.estimate(step, ids::POURED) else {
        return silent();
    };
    let water = |si: f64| Value::new(si, Dim::Water).digits(2);
    let said = Text::from("poured ")
        .value(water(poured.value))
        .words(", filled by ")
        .value(water(least_kg));
    if least_kg <= poured.value + poured.expanded() {
        return Judgement::plain(Verdict::Pass, said);
    }
    let mut judgement = Judgement::plain(Verdict::Fail, said);
    judgement.findings.push(
        Said {
            check: "primed_too_little",
            severity: Severity::Fix,
            step: JobStep::Startup,
            place: step.place(),
            what: Text::from("")
                .value(water(poured.value))
                .words(" were poured into the trap; ")
                .value(water(least_kg))
                .words(" fill it"),
            why: "a trap without its water lets air through, and the pan keeps its own",
            remedy: "pour through the cleanout until water leaves the outlet; about twice the volume is usual".into(),
            source: Source::published("volume of the trap as drawn", ""),
        }
        .compared(water(poured.value), water(least_kg)),
    );
    judgement
}

pub(super) fn drain_flow(
    step: &Step,
    peak_kg_per_s: f64,
    drawn_fall: f64,
    entered: &Entered<'_>,
) -> Judgement {
    let flow = match (
        entered.estimate(step, ids::BUCKET),
        entered.estimate(step, ids::EMPTY_AFTER),
    ) {
        (Some(water_kg), Some(over_s)) => {
            drainage::flow(&step.place(), peak_kg_per_s, Bucket { water_kg, over_s })
        }
        _ => silent(),
    };
    let fall = entered
        .estimate(step, ids::FALL)
        .map_or_else(silent, |built| {
            drainage::fall(&step.place(), drawn_fall, built)
        });
    flow.and(fall)
}

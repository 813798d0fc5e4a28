//! What a running unit must show.

use air::MoistAir;
use equipment::FilterState;
use quantity::{Dim, Severity, Source, Step as JobStep, Text, Value};

use super::{Entered, Machine, silent};
use crate::acceptance::air_side::{self, AirSide, Sensors};
use crate::acceptance::condensate::{self, Collection, Running};
use crate::acceptance::electrical::{self, Draws};
use crate::acceptance::short_circuit::{self, Around};
use crate::acceptance::steadiness::AirReading;
use crate::acceptance::{Estimate, Judgement, Verdict};
use crate::finding::Said;
use crate::startup::step::Step;
use crate::startup::steps::ids;

pub(super) fn volts(step: &Step, rated_v: f64, phases: u32, entered: &Entered<'_>) -> Judgement {
    let read: Vec<Estimate> = ids::VOLTS
        .iter()
        .filter_map(|id| entered.estimate(step, id))
        .collect();
    if read.is_empty() {
        return silent();
    }
    let judged = electrical::volts(&step.place(), rated_v, &read);
    match (phases, <[Estimate; 3]>::try_from(read)) {
        (3, Ok(three)) => {
            // One meter read all three: what it is off is common to them.
            let repeat = three.map(|v| Estimate::new(v.value, 0.2 * v.standard_uncertainty));
            judged.and(electrical::unbalanced(&step.place(), repeat))
        }
        _ => judged,
    }
}

pub(super) fn amps(
    step: &Step,
    machine: &Machine,
    rated_v: f64,
    entered: &Entered<'_>,
) -> Judgement {
    let read: Vec<Estimate> = ids::AMPS
        .iter()
        .filter_map(|id| entered.estimate(step, id))
        .collect();
    if read.is_empty() {
        return silent();
    }
    let plate = &machine.model.plate;
    let expected = inlet(entered, machine).and_then(|inlet| {
        let here = ask(machine, inlet);
        let volts = entered
            .reading(ids::VOLTS[0])
            .map_or(rated_v, |r| r.value.si);
        (here.runs() && 0.0 < volts).then(|| Draws {
            full_load_a: plate.full_load_a,
            here_w: here.power_w,
            rated_w: machine.model.rating().power_w,
            volts,
            rated_v,
        })
    });
    electrical::amps(&step.place(), plate, expected, &read)
}

/// The last inlet air that was read.
fn inlet(entered: &Entered<'_>, machine: &Machine) -> Option<MoistAir> {
    let t_c = entered.reading(ids::INLET_T)?.value.si;
    let rh = entered.reading(ids::INLET_RH)?.value.si;
    MoistAir::from_rel_humidity(t_c, rh, machine.pressure_pa).ok()
}

fn ask(machine: &Machine, inlet: MoistAir) -> equipment::Output {
    machine.ducted_m3_per_s.map_or_else(
        || machine.model.at(inlet, FilterState::Clean),
        |flow| machine.model.at_airflow(inlet, flow),
    )
}

pub(super) fn air(
    step: &Step,
    designed_share: Option<f64>,
    pressure_pa: f64,
    entered: &Entered<'_>,
) -> Judgement {
    let read = |id: &str| entered.estimate(step, id);
    let (Some(inlet_c), Some(inlet_rh), Some(outlet_c), Some(outlet_rh)) = (
        read(ids::INLET_T),
        read(ids::INLET_RH),
        read(ids::DISCHARGE_T),
        read(ids::DISCHARGE_RH),
    ) else {
        return silent();
    };
    let works = dries(step, [inlet_c, inlet_rh, outlet_c, outlet_rh], pressure_pa)
        .and(ran_long_enough(step, entered));
    match (designed_share, read(ids::ROOM_T)) {
        (Some(designed), Some(room_c)) => {
            // One thermometer is carried round: what it is off cancels.
            let repeat = |e: Estimate| Estimate::new(e.value, 0.3 * e.standard_uncertainty);
            let around = Around {
                room_c: repeat(room_c),
                inlet_c: repeat(inlet_c),
                discharge_c: repeat(outlet_c),
            };
            works.and(short_circuit::judge(&step.place(), around, designed))
        }
        _ => works,
    }
}

/// Whether the air was read as long after the start as the step says.
fn ran_long_enough(step: &Step, entered: &Entered<'_>) -> Judgement {
    /// So much sooner is not too soon \[s\].
    const SLACK_S: f64 = 60.0;
    let read = entered.series(ids::INLET_T).last().map(|t| t.at);
    let (Some(wait), Some(since), Some(read)) = (&step.wait, entered.runs_since, read) else {
        return silent();
    };
    let ran_s = Entered::seconds(since, read);
    if wait.lasts_s - SLACK_S <= ran_s {
        return silent();
    }
    let duration = |s: f64| Value::new(s, Dim::Duration).digits(2);
    Judgement {
        would_prove: vec![
            Text::from("read the air again once it has run for ").value(duration(wait.lasts_s)),
        ],
        ..Judgement::plain(
            Verdict::NotProven,
            Text::from("it had run for only ").value(duration(ran_s)),
        )
    }
}

/// Whether the air leaves warmer and with less water than it came.
fn dries(step: &Step, [t_1, rh_1, t_2, rh_2]: [Estimate; 4], pressure_pa: f64) -> Judgement {
    let air = |t: Estimate, rh: Estimate| {
        MoistAir::from_rel_humidity(t.value, rh.value, pressure_pa).ok()
    };
    let (Some(before), Some(after)) = (air(t_1, rh_1), air(t_2, rh_2)) else {
        return Judgement::plain(
            Verdict::NotProven,
            "air before and after cannot be as it was read".into(),
        );
    };
    let temperature = |si: f64| Value::new(si, Dim::Temperature);
    let dew_point = |air: &MoistAir| temperature(air.dew_point_c()).digits(2);
    let said = Text::from("from ")
        .value(temperature(t_1.value))
        .words(", dew point ")
        .value(dew_point(&before))
        .words(", to ")
        .value(temperature(t_2.value))
        .words(", dew point ")
        .value(dew_point(&after));
    let warmer = t_1.value < t_2.value;
    let drier = after.dew_point_c() < before.dew_point_c();
    if warmer && drier {
        return Judgement::plain(Verdict::Pass, said);
    }
    // Humidity before and after is too uncertain to condemn a unit by.
    if warmer {
        return Judgement {
            would_prove: vec![
                "the timed condensate proves it; read both airs again with one sensor".into(),
            ],
            ..Judgement::plain(Verdict::NotProven, said)
        };
    }
    let mut judgement = Judgement::plain(Verdict::Fail, said);
    judgement.findings.push(
        Said {
            check: "discharge_not_warm",
            severity: Severity::Fix,
            step: JobStep::Startup,
            place: step.place(),
            what: Text::from("the air leaves at ")
                .value(temperature(t_2.value))
                .words(" and came at ")
                .value(temperature(t_1.value)),
            why: "a unit that works gives its power and the heat of the water to the air: its discharge is warmer than its inlet",
            remedy: "look in this order: is it still in its delay, does the fan run alone; is the setpoint above the room; is it defrosting; were the thermometers swapped; then have a licensed technician look at the compressor".into(),
            source: Source::published("energy balance of the unit", ""),
        }
        .compared(temperature(t_2.value), temperature(t_1.value)),
    );
    judgement
}

pub(super) fn condensate(step: &Step, machine: &Machine, entered: &Entered<'_>) -> Judgement {
    /// How well two presses of a button hit begin and end \[s\].
    const PRESSED_TO_S: f64 = 5.0;
    let begun = entered.begun.unwrap_or(entered.done);
    let typed = entered.reading(ids::OVER).map(|r| r.value.si);
    let (over_s, ends_to_s) = match (typed, entered.begun) {
        (Some(s), _) => (s, 1.0),
        (None, Some(begun)) => (Entered::seconds(begun, entered.done), PRESSED_TO_S),
        (None, None) => {
            return Judgement {
                would_prove: vec![
                    "start the time when the empty jug is put under the outlet, or enter it".into(),
                ],
                ..Judgement::plain(Verdict::NotProven, "no time was taken".into())
            };
        }
    };
    let (Some(water), Some(t), Some(rh)) = (
        entered.estimate(step, ids::WATER),
        entered.estimate(step, ids::INLET_T),
        entered.estimate(step, ids::INLET_RH),
    ) else {
        return silent();
    };
    let series = entered.series(ids::INLET_T);
    let steps = series.len().saturating_sub(1).max(1) as f64;
    // From paper, all entered at once, nobody knows when: taken as evenly
    // spread.
    let at_once = series.iter().all(|t| t.at == series[0].at);
    let inlet = series
        .iter()
        .zip(entered.series(ids::INLET_RH))
        .enumerate()
        .map(|(i, (t, rh))| AirReading {
            at_s: match entered.begun {
                Some(begun) if !at_once => Entered::seconds(begun, t.at),
                _ => i as f64 / steps * over_s,
            },
            dry_bulb_c: t.reading.value.si,
            rel_humidity: rh.reading.value.si,
        })
        .collect();
    let running = match entered.reading(ids::CYCLES).map(|r| r.value.si) {
        Some(n) if 0.5 < n => Running::Cycles(n.round() as u32),
        _ => Running::Through,
    };
    // Of what another watch timed, only the end is known.
    let before_s = if entered.begun.is_some() { 0.0 } else { over_s };
    let ran_before_s = entered.runs_since.map_or(0.0, |since| {
        (Entered::seconds(since, begun) - before_s).max(0.0)
    });
    let meanwhile = entered
        .spoiled_by
        .iter()
        .filter(|(_, at)| entered.begun.is_some() || Entered::seconds(at, entered.done) < over_s)
        .map(|(step, _)| step.title.clone())
        .collect();
    let collection = Collection {
        water_kg: water.value,
        read_to_kg: 3.0_f64.sqrt() * water.standard_uncertainty,
        over_s,
        ends_to_s,
        ran_before_s,
        running,
        meanwhile,
        inlet,
        thermometer_k: t.standard_uncertainty,
        hygrometer: rh.standard_uncertainty,
        pressure_pa: machine.pressure_pa,
        ducted_m3_per_s: machine.ducted_m3_per_s,
    };
    let Some(found) = condensate::judge(&step.place(), &machine.model, &collection) else {
        return Judgement {
            would_prove: vec!["read the inlet air again, and catch water anew".into()],
            ..Judgement::plain(
                Verdict::NotProven,
                "the inlet air cannot be as it was read, or no time passed".into(),
            )
        };
    };
    let check = match (
        entered.estimate(step, ids::DISCHARGE_T),
        entered.estimate(step, ids::DISCHARGE_RH),
        self::inlet(entered, machine),
    ) {
        (Some(outlet_c), Some(outlet_rh), Some(inlet)) => {
            // Nobody measured the flow: that of the fan's curve, to a tenth.
            let flow = ask(machine, inlet).airflow_m3_per_s;
            let air = AirSide {
                flow_m3_per_s: Estimate::new(flow, 0.05 * flow),
                inlet_c: t,
                inlet_rh: rh,
                outlet_c,
                outlet_rh,
                sensors: Sensors::One,
                pressure_pa: machine.pressure_pa,
            };
            air_side::cross_check(&step.place(), &air, found.measured)
        }
        _ => silent(),
    };
    // A cross-check adds what it says; the verdict is the jug's.
    let verdict = found.judgement.verdict;
    Judgement {
        verdict,
        ..found.judgement.and(check)
    }
}

pub(super) fn restart(step: &Step, delay_s: f64, entered: &Entered<'_>) -> Judgement {
    let Some(after) = entered.reading(ids::BACK_AFTER).map(|r| r.value.si) else {
        return silent();
    };
    let time = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let said = Text::from("back after ")
        .value(time(after))
        .words(", delay of the record ")
        .value(time(delay_s));
    // Records round to minutes, people to ten seconds.
    let least_s = 0.8 * delay_s - 10.0;
    if least_s <= after {
        return Judgement::plain(Verdict::Pass, said);
    }
    let mut judgement = Judgement::plain(Verdict::Fail, said);
    judgement.findings.push(
        Said {
            check: "restarts_too_soon",
            severity: Severity::Fix,
            step: JobStep::Startup,
            place: step.place(),
            what: Text::from("after the power cut it ran again in ")
                .value(time(after))
                .words("; its delay is ")
                .value(time(delay_s)),
            why: "a compressor that starts against pressure draws its locked-rotor current and trips, or breaks",
            remedy: "see whether only the fan started; see that no control bridges the delay; set the delay of the controller; then call a licensed technician".into(),
            source: Source::common_practice("three to five minutes until pressures are equal; the record rules"),
        }
        .compared(time(after), time(delay_s)),
    );
    judgement
}

//! Volts and amps of a running unit against its plate.

use equipment::Plate;
use quantity::{
    Dim, Equation, Finding, Input, Place, Severity, Source, Step, Text, Value, Working,
};

use super::{Estimate, Judgement, Verdict, read};
use crate::finding::Said;
use crate::power::supply::{MOST_UNBALANCE, NEVER_UNBALANCE, VOLTAGE_TOLERANCE, unbalance};
use crate::power::unbalance_working;

/// Share of the current expected below which a machine hardly works: of low
/// charge, of a compressor that does not run. Common practice, no published
/// source.
pub const LEAST_SHARE: f64 = 0.6;
/// Expanded uncertainty of the current expected, over it. **Assumed**: power
/// factor and the plate's rounding are not known.
const EXPECTED_TO: f64 = 0.15;

/// Voltage and current both read on a unit that runs steadily.
#[derive(Clone, Debug, PartialEq)]
pub struct Running {
    /// Volts between live conductors: one, or three.
    pub volts: Vec<Estimate>,
    /// Amps of each live leg.
    pub amps: Vec<Estimate>,
}

/// A limit that a reading must not pass.
struct Limit {
    check: &'static str,
    severity: Severity,
    what: Text,
    why: &'static str,
    remedy: Text,
    source: Source,
}

fn finding(place: &Place, limit: Limit, measured: Value, bound: Value) -> Finding {
    Said {
        check: limit.check,
        severity: limit.severity,
        step: Step::Startup,
        place: place.clone(),
        what: limit.what,
        why: limit.why,
        remedy: limit.remedy,
        source: limit.source,
    }
    .compared(measured, bound)
}

/// Judges volts under load against the rated voltage that the unit is hooked up
/// by.
pub fn volts(place: &Place, rated_v: f64, volts: &[Estimate]) -> Judgement {
    let value = |si: f64| Value::new(si, Dim::Voltage);
    let (low, high) = (
        (1.0 - VOLTAGE_TOLERANCE) * rated_v,
        (1.0 + VOLTAGE_TOLERANCE) * rated_v,
    );
    if volts.is_empty() {
        return unread("read the volts at the unit's terminals while it runs");
    }
    let mut judgement = Judgement::plain(Verdict::Pass, Text::new());
    for v in volts {
        let verdict = v.at_least(low).and(v.at_most(high));
        let mut this = Judgement::plain(
            verdict,
            Text::new()
                .value(value(v.value))
                .words(" ±")
                .value(value(v.expanded()).digits(1))
                .words(", allowed ")
                .value(value(low))
                .words(" to ")
                .value(value(high)),
        );
        if verdict == Verdict::NotProven {
            this.would_prove.push(
                "a true-rms meter of a better class, read under load at the unit's terminals"
                    .into(),
            );
        }
        if verdict == Verdict::Fail {
            let bound = if v.value < rated_v { low } else { high };
            this.findings.push(finding(
                place,
                Limit {
                    check: "volts_outside_plate",
                    severity: Severity::Stop,
                    what: Text::from("the supply is ")
                        .value(value(v.value))
                        .words("; the plate allows ")
                        .value(value(low))
                        .words(" to ")
                        .value(value(high)),
                    why: "a motor outside ±10 % of its voltage draws more current and burns, or does not start",
                    remedy: "switch the unit off; have a licensed electrician look at the tap, the joints and the drop along the circuit".into(),
                    source: Source::published(
                        "NEMA MG 1, 12.44, as quoted publicly",
                        "±10 % at rated frequency",
                    ),
                },
                value(v.value),
                value(bound),
            ));
        }
        judgement = judgement.and(this);
    }
    judgement
}

/// Judges the unbalance of three voltages.
pub fn unbalanced(place: &Place, volts: [Estimate; 3]) -> Judgement {
    let share = |si: f64| Value::new(si, Dim::Fraction).digits(2);
    let Some(budget) = super::gum::propagate(&volts, |v| Some(unbalance([v[0], v[1], v[2]])))
    else {
        return unread("read the volts between all three phases");
    };
    let u = budget.result;
    let verdict = u.at_most(MOST_UNBALANCE);
    let mut judgement = Judgement::plain(
        verdict,
        Text::from("unbalance ")
            .value(share(u.value))
            .words(", at most ")
            .value(share(MOST_UNBALANCE)),
    );
    judgement.workings = vec![unbalance_working(
        "unbalance of the voltages at the unit".to_owned(),
        volts.map(|v| v.value),
        &Source::measured("reading on site", ""),
    )];
    match verdict {
        Verdict::Pass => {}
        Verdict::NotProven => judgement.would_prove.push(
            "read all three again at once with one meter, five times, and take the means".into(),
        ),
        Verdict::Fail => {
            let stop = NEVER_UNBALANCE < u.value;
            let limit = if stop {
                NEVER_UNBALANCE
            } else {
                MOST_UNBALANCE
            };
            judgement.findings.push(finding(
                place,
                Limit {
                    check: "unbalanced_at_unit",
                    severity: if stop { Severity::Stop } else { Severity::Fix },
                    what: Text::from("a voltage is ")
                        .value(share(u.value))
                        .words(" off the mean of the three; at most ")
                        .value(share(limit)),
                    why: "a little unlike voltage makes the currents of a three-phase motor very unlike: one winding overheats",
                    remedy: "have a licensed electrician look for a loose lug and share single-phase loads out again".into(),
                    source: Source::published(
                        "NEMA MG 1, as quoted publicly",
                        "full load to 1 %, never above 5 %",
                    ),
                },
                share(u.value),
                share(limit),
            ));
        }
    }
    judgement
}

/// What a current is expected from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Draws {
    /// Full-load current of the plate \[A\].
    pub full_load_a: f64,
    /// Power by the map at the inlet air \[W\].
    pub here_w: f64,
    /// Power at the rating \[W\].
    pub rated_w: f64,
    /// Volts read \[V\].
    pub volts: f64,
    /// Rated voltage that the unit is hooked up by \[V\].
    pub rated_v: f64,
}

/// Current that a unit draws at an inlet air \[A\]: that of its plate, scaled by
/// power over rated power and by the voltage.
///
/// ```text
/// I = I_plate · P / P_rated · V_rated / V
/// ```
///
/// **Valid** at much the same power factor; volts above zero.
/// **Error** 15 %: a plate's current is rounded up.
/// **Assumed** a constant power factor.
pub fn expected_a(draws: Draws) -> Estimate {
    let d = draws;
    let a = d.full_load_a * d.here_w / d.rated_w * d.rated_v / d.volts;
    Estimate::new(a, 0.5 * EXPECTED_TO * a)
}

fn expected_working(draws: Draws) -> Working {
    let record = Source::measured("machine record", "");
    let power = |si: f64| Value::new(si, Dim::Power);
    let volts = |si: f64| Value::new(si, Dim::Voltage);
    let given = |name: &'static str, symbol: &'static str, value: Value| {
        Input::given(name, symbol, value, record.clone())
    };
    Working {
        name: "current expected at this air".into(),
        symbol: "I".into(),
        equation: Equation::Algebra("I_p * P / P_r * V_r / V".into()),
        inputs: vec![
            given(
                "full-load current",
                "I_p",
                Value::new(draws.full_load_a, Dim::Current),
            ),
            given("power by the map at this inlet", "P", power(draws.here_w)),
            given("power at the rating", "P_r", power(draws.rated_w)),
            given("rated voltage", "V_r", volts(draws.rated_v)),
            read("volts meanwhile", "V", volts(draws.volts)),
        ],
        result: Value::new(expected_a(draws).value, Dim::Current).digits(2),
        source: Source::assumed("a constant power factor; good to 15 %, plates round up"),
    }
}

/// Judges the current of each leg: above the circuit's ampacity stops, above
/// the plate's full load is to be mended, far below what is expected too.
pub fn amps(place: &Place, plate: &Plate, draws: Option<Draws>, amps: &[Estimate]) -> Judgement {
    if amps.is_empty() {
        return unread("clamp each live leg while the unit runs steadily");
    }
    let expected = draws.map(expected_a);
    let start = Judgement {
        workings: draws.map(expected_working).into_iter().collect(),
        ..Judgement::plain(Verdict::Pass, Text::new())
    };
    let mut judgement = amps
        .iter()
        .map(|a| leg(place, plate, expected, *a))
        .fold(start, Judgement::and);
    // The plate says how many are too many, the air how many are too few.
    if expected.is_none() && judgement.verdict == Verdict::Pass {
        judgement.verdict = Verdict::NotProven;
        judgement.would_prove.push(
            "read dry bulb and humidity at the inlet with the amps, in the range of the unit: how many are too few depends on them".into(),
        );
    }
    judgement
}

fn leg(place: &Place, plate: &Plate, expected: Option<Estimate>, a: Estimate) -> Judgement {
    let value = |si: f64| Value::new(si, Dim::Current);
    let (least, most) = (a.value - a.expanded(), a.value + a.expanded());
    let floor_a = expected.map(|e| LEAST_SHARE * e.value);
    let mut judgement = Judgement::plain(
        Verdict::Pass,
        Text::new()
            .value(value(a.value))
            .words(" ±")
            .value(value(a.expanded()).digits(1))
            .words(", plate ")
            .value(value(plate.full_load_a)),
    );
    let too_much = plate.full_load_a < least;
    let too_little = floor_a.is_some_and(|floor| most < floor);
    if too_much {
        let beyond_circuit = plate.min_circuit_a < least;
        let bound = if beyond_circuit {
            plate.min_circuit_a
        } else {
            plate.full_load_a
        };
        judgement.verdict = Verdict::Fail;
        judgement.findings.push(finding(
            place,
            Limit {
                check: "amps_above_plate",
                severity: if beyond_circuit {
                    Severity::Stop
                } else {
                    Severity::Fix
                },
                what: Text::from("a leg draws ")
                    .value(value(a.value))
                    .words(if beyond_circuit {
                        "; the circuit is made for "
                    } else {
                        "; the plate says "
                    })
                    .value(value(bound)),
                why: "more than full load: windings, contactor and conductor run hot, and the device trips in the end",
                remedy: "look in this order: are the volts low or unlike; are filter, coil or condenser dirty; is the inlet hotter than its range; then have a licensed technician look at the refrigerant".into(),
                source: Source::common_practice("likeliest causes first; limits from the plate"),
            },
            value(a.value),
            value(bound),
        ));
    } else if too_little {
        let bound = floor_a.unwrap_or_default();
        judgement.verdict = Verdict::Fail;
        judgement.findings.push(finding(
            place,
            Limit {
                check: "amps_too_low",
                severity: Severity::Fix,
                what: Text::from("a leg draws ")
                    .value(value(a.value))
                    .words("; working at this air it should draw ")
                    .value(value(bound))
                    .words(" at least"),
                why: "a compressor that does no work draws little: it stands still, or has little refrigerant to pump",
                remedy: "look in this order: is it still in its delay; is the setpoint above the room; does the fan run alone; then have a licensed technician look at compressor and refrigerant".into(),
                source: Source::common_practice("well below the expected current the coil does not work"),
            },
            value(a.value),
            value(bound),
        ));
    } else if plate.full_load_a < most || floor_a.is_some_and(|floor| least < floor) {
        judgement.verdict = Verdict::NotProven;
        judgement.would_prove.push(
            "a true-rms clamp of a better class on one conductor alone, at the middle of its range"
                .into(),
        );
    }
    judgement
}

fn unread(would_prove: &'static str) -> Judgement {
    Judgement {
        would_prove: vec![would_prove.into()],
        ..Judgement::plain(Verdict::NotProven, "nothing was read".into())
    }
}

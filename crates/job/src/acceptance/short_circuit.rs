//! How much of its own discharge a unit breathes.

use quantity::{Dim, Equation, Input, Place, Severity, Source, Step, Text, Value, Working};

use super::gum::{self, Named};
use super::{Estimate, Judgement, Verdict};
use crate::finding::Said;

/// Share above which a place is a fault, 0 to 1. **Assumed**.
pub const MOST: f64 = 0.10;

/// Dry bulbs around a running unit, read with one thermometer after the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Around {
    /// In the room, away from jets and units \[°C\].
    pub room_c: Estimate,
    /// At the inlet \[°C\].
    pub inlet_c: Estimate,
    /// In the discharge \[°C\].
    pub discharge_c: Estimate,
}

/// Share of the inlet air that was discharged before (0 to 1, without unit).
///
/// ```text
/// f = (T_in − T_room) / (T_out − T_room)
/// ```
///
/// - `around`: dry bulbs \[°C\]
///
/// `None` where room and discharge are not 1 K apart: the unit does not run,
/// or blows out no warmer than the room.
///
/// **Valid** one discharge mixing with room air, nothing else warm or cold at
/// the inlet.
/// **Error** carried from the readings; it can come out a little below 0.
/// **Source** mixing of two streams of air.
/// **Checked** `tests/acceptance.rs`.
pub fn share(around: Around) -> Option<gum::Budget> {
    const LEAST_K: f64 = 1.0;
    let f = |x: &[f64]| {
        let (room, inlet, discharge) = (x[0], x[1], x[2]);
        (LEAST_K <= (discharge - room).abs()).then(|| (inlet - room) / (discharge - room))
    };
    gum::propagate(&[around.room_c, around.inlet_c, around.discharge_c], f)
}

/// Judges a share against the one that the design reckoned with.
pub fn judge(place: &Place, around: Around, designed: f64) -> Judgement {
    let t = |si: f64| Value::new(si, Dim::Temperature);
    let fraction = |si: f64| Value::new(si, Dim::Fraction).digits(2);
    let Some(budget) = share(around) else {
        return Judgement {
            would_prove: vec![
                "read again while the compressor runs and the discharge is warm".into(),
            ],
            ..Judgement::plain(
                Verdict::NotProven,
                Text::from("discharge ")
                    .value(t(around.discharge_c.value))
                    .words(" and room ")
                    .value(t(around.room_c.value))
                    .words(" are too alike to tell"),
            )
        };
    };
    let f = budget.result;
    let limit = MOST.max(designed);
    let verdict = if f.value + f.expanded() <= limit {
        Verdict::Pass
    } else if limit < f.value - f.expanded() {
        Verdict::Fail
    } else {
        Verdict::NotProven
    };
    let mut judgement = Judgement::plain(
        verdict,
        Text::from("of its inlet air ")
            .value(fraction(f.value.max(0.0)))
            .words(" ±")
            .value(fraction(f.expanded()))
            .words(" is its own discharge; at most ")
            .value(fraction(limit)),
    );
    judgement.workings = workings(around, &budget);
    match verdict {
        Verdict::Pass => {}
        Verdict::NotProven => {
            // Readings this much better would decide, at the same share.
            let room_left = (limit - f.value).abs();
            let better = (room_left / f.expanded()).min(1.0);
            let worst = [around.room_c, around.inlet_c, around.discharge_c]
                .iter()
                .map(|e| e.standard_uncertainty)
                .fold(0.0, f64::max);
            judgement.would_prove.push(if better < 0.05 {
                "the share lies at the limit itself: no thermometer decides; turn the discharge away and read again".into()
            } else {
                Text::from("one thermometer for all three places, good to ")
                    .value(Value::new(better * worst, Dim::TemperatureDifference).digits(1))
                    .words(" (standard uncertainty), and the mean of five readings at each")
            });
        }
        Verdict::Fail => judgement.findings.push(
            Said {
                check: "breathes_itself",
                severity: Severity::Fix,
                step: Step::Startup,
                place: place.clone(),
                what: Text::from("of the inlet air ")
                    .value(fraction(f.value))
                    .words(" ±")
                    .value(fraction(f.expanded()))
                    .words(" is the unit's own discharge; at most ")
                    .value(fraction(limit)),
                why: "air that was dried before gives up less water: the unit runs warm and the room stays damp",
                remedy: "turn the discharge away from the inlet, take away what turns it back, fit a hood or a duct; then read all three again".into(),
                source: Source::assumed("a tenth, or what the design reckoned with if that is more"),
            }
            .compared(fraction(f.value), fraction(limit)),
        ),
    }
    judgement
}

fn workings(around: Around, budget: &gum::Budget) -> Vec<Working> {
    let t = |si: f64| Value::new(si, Dim::Temperature);
    let names = [
        ("dry bulb of the room", "T_room", around.room_c),
        ("dry bulb at the inlet", "T_in", around.inlet_c),
        ("dry bulb of the discharge", "T_out", around.discharge_c),
    ];
    let share = Value::new(budget.result.value, Dim::Fraction).digits(2);
    let named: Vec<Named> = names
        .iter()
        .map(|(name, symbol, e)| Named {
            name,
            symbol,
            value: t(e.value),
            standard_uncertainty: e.standard_uncertainty,
        })
        .collect();
    vec![
        Working {
            name: "share of the inlet air that was discharged before".into(),
            symbol: "f".into(),
            equation: Equation::Algebra("(T_in - T_room) / (T_out - T_room)".into()),
            inputs: names
                .iter()
                .map(|(name, symbol, e)| {
                    Input::given(*name, *symbol, t(e.value), Source::measured("reading", ""))
                })
                .collect(),
            result: share,
            source: Source::published("mixing of two streams of air, heat balance", ""),
        },
        gum::expanded_working("expanded uncertainty of that share", share, &named, budget),
    ]
}

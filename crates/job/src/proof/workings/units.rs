//! Workings of what units did, and of water counted.

use quantity::{Dim, Source, Value, Working};

use super::{algebra, definition, logged, procedure};
use crate::proof::{Proof, UnitRuns};

pub(super) fn workings(proof: &Proof) -> Vec<Working> {
    let mut all = Vec::new();
    for unit in &proof.units {
        all.extend(runs(proof, unit));
        all.extend(pull_down(unit));
    }
    all.extend(proof.counted.as_ref().map(|counted| {
        procedure(
            ("water counted".into(), "m_counted"),
            "sum of the amounts logged and of the rises of counters; where a counter was set back, what it shows since",
            vec![logged("time from the first to the last count", "s", counted.over_s, Dim::Duration)],
            Value::new(counted.all_kg, Dim::Water),
            definition(),
        )
    }));
    let most = proof.counted.as_ref().and_then(|c| Some((c, c.most_kg?)));
    all.extend(most.map(|(counted, most_kg)| {
        procedure(
            ("most water that units and cooling could take".into(), "m_most"),
            "all units, at the most that the room file says of them, and all cooling, each without a rest, in the logged air in which together they take most, times the time of the count; nothing rests on a count beyond three times this",
            vec![logged("time from the first to the last count", "s", counted.over_s, Dim::Duration)],
            Value::new(most_kg, Dim::Water).digits(3),
            Source::assumed("no record of a unit is wrong by a factor of three"),
        )
    }));
    all
}

fn runs(proof: &Proof, unit: &UnitRuns) -> Vec<Working> {
    let step_s = proof.series.step_s;
    let known: Vec<f64> = unit.run.iter().copied().filter(|x| x.is_finite()).collect();
    let (known_s, run_s) = (
        known.len() as f64 * step_s,
        known.iter().sum::<f64>() * step_s,
    );
    let Some(run_share) = unit.run_share.filter(|_| !known.is_empty()) else {
        return Vec::new();
    };
    let count = |n: usize| Value::new(n as f64, Dim::Count);
    let read = || {
        vec![logged(
            "time with readings",
            "s_known",
            known_s,
            Dim::Duration,
        )]
    };
    let tag = &unit.tag;
    let mut all = vec![algebra(
        (format!("share of the time that {tag} runs"), "x_run"),
        "s_run / s_known",
        vec![
            logged("time that it ran", "s_run", run_s, Dim::Duration),
            logged("time with readings", "s_known", known_s, Dim::Duration),
        ],
        Value::new(run_share, Dim::Fraction).digits(2),
        definition(),
    )];
    if unit.channel.is_none() {
        return all;
    }
    all.extend([
        procedure(
            (format!("starts of {tag}"), "n"),
            "times that it comes to run for more than half of a step after running for less",
            read(),
            count(unit.starts),
            definition(),
        ),
        procedure(
            (format!("most starts of {tag} in an hour"), "n_h"),
            "most of them in the hour that begins with any one",
            read(),
            count(unit.most_starts_per_hour),
            definition(),
        ),
    ]);
    all.extend(unit.usual_run_s.map(|s| {
        procedure(
            (format!("usual run of {tag}"), "s_usual"),
            "middle of the lengths of its whole runs, from each start to the next stop",
            read(),
            Value::new(s, Dim::Duration).digits(2),
            definition(),
        )
    }));
    all
}

fn pull_down(unit: &UnitRuns) -> Option<Working> {
    let down = unit.pull_down?;
    let rate = |kg_per_s: f64| (kg_per_s, Dim::WaterRate);
    let ((answered, dim), (asked, _)) = (rate(down.answered_kg_per_s), rate(down.asked_kg_per_s));
    Some(algebra(
        (
            format!(
                "answer of the air to {}, mean of {} switchings",
                unit.tag, down.switchings
            ),
            "k",
        ),
        "w_answer / w_asked",
        vec![
            logged(
                "change of slope of the humidity ratio, times the water that the room holds per humidity ratio",
                "w_answer",
                answered,
                dim,
            ),
            logged(
                "change of the water that it takes, by its record at the logged air",
                "w_asked",
                asked,
                dim,
            ),
        ],
        Value::new(down.factor, Dim::Fraction).digits(2),
        Source::published(
            "conservation of mass",
            "over ten minutes to each side of a switching",
        ),
    ))
}

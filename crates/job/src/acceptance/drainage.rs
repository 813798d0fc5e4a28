//! Trap, fall and flow of a drain as built, against the drawing.

use quantity::{
    Dim, Equation, Input, Place, STANDARD_GRAVITY_M_PER_S2, Severity, Source, Step, Text, Value,
    Working,
};

use super::gum::{self, Named};
use super::{Estimate, Judgement, Verdict, read};
use crate::drain::LEAST_FALL;
use crate::drain::trap::{self, GAUGE_WATER_KG_PER_M3, Rule, Short, Trap};
use crate::finding::Said;

/// A trap as it was measured.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BuiltTrap {
    /// From the pan outlet's invert down to the trap outlet's invert: H \[m\].
    pub drop_m: Estimate,
    /// From the trap outlet's invert down to the crown of the bend: J \[m\].
    pub seal_m: Estimate,
}

fn length(si: f64) -> Value {
    Value::new(si, Dim::Length)
}

/// Judges a trap by what water does in it, not by whether it equals the
/// drawing: it may be deeper.
pub fn trap(place: &Place, drawn: &Trap, built: BuiltTrap) -> Judgement {
    let at = |k: f64| {
        let side = |e: Estimate| e.value + k * e.expanded();
        trap::verdict(
            drawn.cabinet,
            drawn.head_m,
            Rule {
                drop_m: side(built.drop_m),
                seal_m: side(built.seal_m),
            },
        )
    };
    let here = at(0.0);
    let works =
        |v: trap::Verdict| matches!(v, trap::Verdict::Holds | trap::Verdict::Marginal { .. });
    let verdict = match (works(at(-1.0)), works(at(1.0))) {
        (true, _) => Verdict::Pass,
        (false, false) => Verdict::Fail,
        (false, true) => Verdict::NotProven,
    };
    let mut judgement = Judgement::plain(
        verdict,
        Text::from("H ")
            .value(length(built.drop_m.value))
            .words(", J ")
            .value(length(built.seal_m.value))
            .words("; drawn ")
            .value(length(drawn.built.drop_m))
            .words(" and ")
            .value(length(drawn.built.seal_m)),
    );
    judgement.workings = vec![head_working(drawn)];
    if verdict == Verdict::NotProven {
        judgement.would_prove.push(
            Text::from("measure again from invert to invert with a steel rule: at the limit ")
                .value(Value::new(drawn.head_m, Dim::Length))
                .words(" of water stands against it"),
        );
    }
    let said = |check, severity, what: Text, measured: f64, limit: f64, why| {
        Said {
            check,
            severity,
            step: Step::Startup,
            place: place.clone(),
            what,
            why,
            remedy: Text::from("rebuild it to H ")
                .value(length(drawn.rule.drop_m))
                .words(" and J ")
                .value(length(drawn.rule.seal_m))
                .words(" or more, or raise the unit; prime it, run the fan, look again"),
            source: Source::published(
                "hydrostatics",
                "the usual inch of margin is common practice",
            ),
        }
        .compared(length(measured), length(limit))
    };
    match here {
        trap::Verdict::PanHolds { depth_m } if verdict != Verdict::Pass => {
            judgement.findings.push(said(
                "trap_drop_short",
                Severity::Stop,
                Text::from("the trap's outlet is ")
                    .value(length(built.drop_m.value))
                    .words(" below the pan outlet; while the fan runs the pan would hold ")
                    .value(length(depth_m))
                    .words(" of water"),
                built.drop_m.value,
                drawn.head_m,
                "water cannot leave a pan that the fan pulls harder on than the drop weighs: it runs over the edge",
            ));
        }
        trap::Verdict::SealBlown { short_m } if verdict != Verdict::Pass => {
            judgement.findings.push(said(
                "trap_seal_short",
                Severity::Stop,
                Text::from("the seal is ")
                    .value(length(built.seal_m.value))
                    .words(" deep, ")
                    .value(length(short_m))
                    .words(" too little: each start blows it out"),
                built.seal_m.value,
                built.seal_m.value + short_m,
                "without a seal air rushes through the pan outlet and keeps the water in",
            ));
        }
        trap::Verdict::Marginal { short } => {
            let (drop, seal) = (built.drop_m.value, built.seal_m.value);
            let less = |name: &str, is: f64, wanted: f64| {
                Text::from(format!("{name} "))
                    .value(length(is))
                    .words(", wanted ")
                    .value(length(wanted))
            };
            let (h, j) = (
                less("H", drop, drawn.rule.drop_m),
                less("J", seal, drawn.rule.seal_m),
            );
            let (less, is, wanted) = match short {
                Short::Drop => (h, drop, drawn.rule.drop_m),
                Short::Seal => (j, seal, drawn.rule.seal_m),
                Short::Both => (h.words("; ").and(&j), drop, drawn.rule.drop_m),
            };
            judgement.findings.push(said(
                "trap_marginal",
                Severity::Note,
                Text::from("the trap works with less than the usual margin: ").and(&less),
                is,
                wanted,
                "a dirty filter or more duct takes the margin away",
            ));
        }
        _ => {}
    }
    judgement
}

/// Judges the fall of a line as built \[m/m\] against what was drawn.
pub fn fall(place: &Place, drawn: f64, built: Estimate) -> Judgement {
    let slope = |si: f64| Value::new(si, Dim::Slope).digits(2);
    let verdict = built.at_least(LEAST_FALL);
    let mut judgement = Judgement::plain(
        verdict,
        Text::from("falls ")
            .value(slope(built.value))
            .words(" ±")
            .value(slope(built.expanded()))
            .words(", drawn ")
            .value(slope(drawn))
            .words(", least ")
            .value(slope(LEAST_FALL)),
    );
    match verdict {
        Verdict::Pass => {}
        Verdict::NotProven => judgement.would_prove.push(
            "measure drop and length over the whole run: a longer base makes the fall surer".into(),
        ),
        Verdict::Fail => judgement.findings.push(
            Said {
                check: "line_falls_too_little",
                severity: Severity::Fix,
                step: Step::Startup,
                place: place.clone(),
                what: Text::from("the line falls ")
                    .value(slope(built.value))
                    .words("; the least is ")
                    .value(slope(LEAST_FALL)),
                why: "slime and sags hold water in a pipe that is nearly level",
                remedy: Text::from("hang it again to ")
                    .value(slope(drawn))
                    .words(" as drawn, a support at each joint, no sag between"),
                source: Source::published(
                    "International Plumbing Code 2021, as adopted by Chicago; Uniform Plumbing Code",
                    "314.2.1; 814.1",
                ),
            }
            .compared(slope(built.value), slope(LEAST_FALL)),
        ),
    }
    judgement
}

/// A bucket poured into a pan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bucket {
    /// Water poured \[kg\].
    pub water_kg: Estimate,
    /// Time until the last of it had left the pan \[s\].
    pub over_s: Estimate,
}

/// Judges a drain by a bucket: water must leave faster than the unit's peak.
pub fn flow(place: &Place, peak_kg_per_s: f64, bucket: Bucket) -> Judgement {
    let water = |si: f64| Value::new(si, Dim::WaterRate).digits(2);
    let inputs = [bucket.water_kg, bucket.over_s];
    let Some(budget) = gum::propagate(&inputs, |x| (0.0 < x[1]).then(|| x[0] / x[1])) else {
        return Judgement {
            would_prove: vec!["pour again and time it until the pan is empty".into()],
            ..Judgement::plain(Verdict::NotProven, "no time was read".into())
        };
    };
    let f = budget.result;
    let verdict = f.at_least(peak_kg_per_s);
    let mut judgement = Judgement::plain(
        verdict,
        Text::from("the drain takes ")
            .value(water(f.value))
            .words(" ±")
            .value(water(f.expanded()))
            .words(", peak of the unit ")
            .value(water(peak_kg_per_s)),
    );
    judgement.workings = flow_workings(bucket, &budget);
    match verdict {
        Verdict::Pass => {}
        Verdict::NotProven => judgement
            .would_prove
            .push("pour a larger bucket, faster, and time it from the first drop to the last".into()),
        Verdict::Fail => judgement.findings.push(
            Said {
                check: "drain_too_slow",
                severity: Severity::Stop,
                step: Step::Startup,
                place: place.clone(),
                what: Text::from("the drain takes ")
                    .value(water(f.value))
                    .words("; the unit gives up to ")
                    .value(water(peak_kg_per_s)),
                why: "what the drain does not take stands in the pan and runs over",
                remedy: "look in this order for a plug or swarf in the outlet, a blocked trap or line, an air lock between two traps, a sag, a closed line without vent; then pour again".into(),
                source: Source::common_practice("likeliest causes first; the peak is that of the drain step"),
            }
            .compared(water(f.value), water(peak_kg_per_s)),
        ),
    }
    judgement
}

fn head_working(drawn: &Trap) -> Working {
    let weight = STANDARD_GRAVITY_M_PER_S2 * GAUGE_WATER_KG_PER_M3;
    Working {
        name: "height of water that the pan's pressure holds".into(),
        symbol: "h".into(),
        equation: Equation::Algebra("p / (1000 * 9.80665)".into()),
        inputs: vec![Input::given(
            "worst pressure at the pan, filter dirty, fan fastest, with its ducts",
            "p",
            Value::new(weight * drawn.head_m, Dim::Pressure),
            Source::measured("drain sheet", ""),
        )],
        result: Value::new(drawn.head_m, Dim::Length),
        source: Source::published("hydrostatics", ""),
    }
}

fn flow_workings(bucket: Bucket, budget: &gum::Budget) -> Vec<Working> {
    let mass = Value::new(bucket.water_kg.value, Dim::Water);
    let time = Value::new(bucket.over_s.value, Dim::Duration);
    let result = Value::new(budget.result.value, Dim::WaterRate);
    let named = [
        Named {
            name: "the water poured",
            symbol: "M",
            value: mass,
            standard_uncertainty: bucket.water_kg.standard_uncertainty,
        },
        Named {
            name: "the time",
            symbol: "t",
            value: time,
            standard_uncertainty: bucket.over_s.standard_uncertainty,
        },
    ];
    vec![
        Working {
            name: "what the drain takes".into(),
            symbol: "m".into(),
            equation: Equation::Algebra("M / t".into()),
            inputs: vec![
                read("water poured", "M", mass),
                read("time until the pan was empty", "t", time),
            ],
            result,
            source: Source::published("water balance of the pan", ""),
        },
        gum::expanded_working("expanded uncertainty of that", result, &named, budget),
    ]
}

//! From symptom to cause: the file that is built in, the ranking, and what it
//! finds on many simulated calls.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::catalog;
use job::acceptance::Estimate;
use job::acceptance::short_circuit::Around;
use job::service::{
    BadCase, BadKnowledge, Cause, FOUND_AT, Knowledge, Known, Question, findings, for_and_against,
    next, rank, readings, traits,
};
use proptest::prelude::*;
use quantity::{Place, UnitSystem};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Calls simulated for each cause.
const CALLS: u64 = 200;

fn seen(id: &str) -> Known {
    Known::Symptom {
        id: id.into(),
        seen: true,
    }
}

fn outcome(test: &str, outcome: usize) -> Known {
    Known::Outcome {
        test: test.into(),
        outcome,
    }
}

/// One of several, by their probabilities.
fn drawn(ps: &[f64], rng: &mut ChaCha8Rng) -> usize {
    let mut left: f64 = rng.random();
    for (i, p) in ps.iter().enumerate() {
        left -= p;
        if left < 0.0 {
            return i;
        }
    }
    ps.len() - 1
}

/// What a caller tells at first: what is seen under this cause.
fn first_words(all: &Knowledge, cause: &Cause, rng: &mut ChaCha8Rng) -> Vec<Known> {
    all.symptoms
        .iter()
        .filter(|s| rng.random::<f64>() < s.probability(&cause.id))
        .map(|s| seen(&s.id))
        .collect()
}

/// The answer to an open question under a cause.
fn answered(question: Question<'_>, cause: &Cause, rng: &mut ChaCha8Rng) -> Known {
    match question {
        // The caller told what is seen: what was not told is not seen.
        Question::Symptom(s) => Known::Symptom {
            id: s.id.clone(),
            seen: false,
        },
        Question::Test(t) => outcome(&t.id, drawn(t.probabilities(&cause.id), rng)),
    }
}

/// How a call went.
struct Call {
    /// The cause is among the first two.
    among_two: bool,
    /// Tests made.
    tests: usize,
    /// Time that they took [min].
    minutes: f64,
}

/// A call in a world that is as `world` says, ranked by `all`.
fn call(
    (all, world): (&Knowledge, &Knowledge),
    cause: &Cause,
    by_list: bool,
    rng: &mut ChaCha8Rng,
) -> Call {
    let mut known = first_words(world, cause, rng);
    let mut tests = 0;
    let mut minutes = 0.0;
    loop {
        let ranking = rank(all, None, &known).unwrap();
        let question = if by_list {
            all.tests
                .iter()
                .find(|t| !known.iter().any(|k| k.about() == t.id))
                .map(Question::Test)
        } else {
            next(all, None, &known).first().map(|n| n.question)
        };
        let done = FOUND_AT <= ranking.causes[0].probability;
        let Some(question) = question.filter(|_| !done) else {
            let two = ranking.causes.iter().take(2).filter_map(|r| r.cause);
            return Call {
                among_two: two.into_iter().any(|c| c.id == cause.id),
                tests,
                minutes,
            };
        };
        if let Question::Test(t) = question {
            tests += 1;
            minutes += t.minutes;
        }
        let question = match question {
            Question::Test(t) => Question::Test(world.test(&t.id).unwrap()),
            symptom => symptom,
        };
        known.push(answered(question, cause, rng));
    }
}

/// The built-in file, as text.
const FILE: &str = include_str!("../src/service/faults.toml");

/// The file with each figure drawn anew: probabilities normal about theirs in
/// their logit (those of a test then made to add up to 1 again), weights
/// normal in their logarithm, both with this standard deviation.
fn drawn_world(spread: f64, rng: &mut ChaCha8Rng) -> Knowledge {
    let mut file: toml::Table = toml::from_str(FILE).unwrap();
    let mut z = || -> f64 { StandardNormal.sample(&mut *rng) };
    let mut moved = |p: f64| {
        let logit = (p / (1.0 - p)).ln() + spread * z();
        (1.0 / (1.0 + (-logit).exp())).clamp(1e-3, 1.0 - 1e-3)
    };
    let mut drawn = |value: &mut toml::Value| match value {
        toml::Value::Float(p) => *p = moved(*p),
        toml::Value::Array(ps) => {
            let all: Vec<f64> = ps.iter().map(|p| moved(p.as_float().unwrap())).collect();
            let sum: f64 = all.iter().sum();
            *ps = all.into_iter().map(|p| (p / sum).into()).collect();
        }
        other => panic!("{other:?}"),
    };
    for kind in ["symptom", "test"] {
        for one in file[kind].as_array_mut().unwrap() {
            let one = one.as_table_mut().unwrap();
            drawn(&mut one["usual"]);
            let given = one["given"].as_table_mut().unwrap();
            given.iter_mut().for_each(|(_, value)| drawn(value));
        }
    }
    for cause in file["cause"].as_array_mut().unwrap() {
        let weight = cause["weight"].as_float().unwrap();
        let z: f64 = StandardNormal.sample(rng);
        cause["weight"] = (weight * (spread * z).exp()).into();
    }
    file.try_into().unwrap()
}

/// Over calls whose causes come as often as their world has them: share with
/// the cause among the first two, tests and minutes a call, and the same by
/// the plain checklist.
struct Rates {
    among_two: f64,
    tests: f64,
    minutes: f64,
    tests_by_list: f64,
    minutes_by_list: f64,
}

fn rates(spread: f64, worlds: u64, calls: usize) -> Rates {
    let all = Knowledge::built_in();
    let per_world: Vec<[f64; 5]> = (0..worlds)
        .into_par_iter()
        .map(|seed| {
            let mut rng = ChaCha8Rng::seed_from_u64(7000 + seed);
            let world = drawn_world(spread, &mut rng);
            let sum: f64 = world.causes.iter().map(|c| c.weight).sum();
            let weights: Vec<f64> = world.causes.iter().map(|c| c.weight / sum).collect();
            let mut all_calls = [0.0; 5];
            for _ in 0..calls {
                let cause = &world.causes[drawn(&weights, &mut rng)];
                let best = call((all, &world), cause, false, &mut rng);
                let plain = call((all, &world), cause, true, &mut rng);
                let of = [
                    f64::from(u8::from(best.among_two)),
                    best.tests as f64,
                    best.minutes,
                    plain.tests as f64,
                    plain.minutes,
                ];
                all_calls.iter_mut().zip(of).for_each(|(a, x)| *a += x);
            }
            all_calls
        })
        .collect();
    let n = worlds as f64 * calls as f64;
    let [among_two, tests, minutes, tests_by_list, minutes_by_list] =
        std::array::from_fn(|k| per_world.iter().map(|w| w[k]).sum::<f64>() / n);
    Rates {
        among_two,
        tests,
        minutes,
        tests_by_list,
        minutes_by_list,
    }
}

/// The figures of the file are nobody's counts. In worlds that differ from it,
/// each figure by a factor of 1.65 in its odds (standard deviation 0.5 in the
/// logit), nine of ten calls still end with the cause among the first two.
/// At a factor of 20 (3 in the logit) they do not any more: the file may be
/// wrong, but not without bound.
#[test]
fn the_search_bears_a_world_that_is_not_as_the_file_says() {
    let moderate = rates(0.5, 60, 25);
    assert!(0.9 <= moderate.among_two, "{}", moderate.among_two);
    assert!(moderate.tests < moderate.tests_by_list);
    assert!(moderate.minutes < moderate.minutes_by_list);
    let far = rates(3.0, 40, 25);
    assert!(far.among_two < 0.9, "{}", far.among_two);
}

/// The figures of the note on the fault search come from: cargo test -p job --test service
/// -- --ignored --nocapture.
#[test]
#[ignore = "a table of figures, not a judgement"]
fn where_the_search_falls() {
    for spread in [0.0, 0.5, 1.0, 1.5, 2.0, 3.0] {
        let r = rates(spread, 100, 40);
        eprintln!(
            "spread {spread:4.2}: among two {:.3}; tests {:.1} against {:.1}, minutes {:.0} against {:.0}",
            r.among_two, r.tests, r.tests_by_list, r.minutes, r.minutes_by_list
        );
    }
}

#[test]
fn the_built_in_file_can_be_read_and_has_a_test_for_each_cause() {
    let all = Knowledge::built_in();
    for cause in &all.causes {
        let told = all.tests.iter().any(|t| {
            let (here, usual) = (t.probabilities(&cause.id), t.probabilities("no such cause"));
            here.iter().zip(usual).any(|(a, b)| 0.5 < (a - b).abs())
        });
        assert!(told, "no test tells {}", cause.id);
    }
}

/// For each cause: nine of ten calls end with it among the first two, with
/// fewer tests and in less time than by going through the list from the top.
#[test]
fn each_cause_is_found_and_sooner_than_by_a_checklist() {
    let all = Knowledge::built_in();
    for (n, cause) in all.causes.iter().enumerate() {
        let mut rng = ChaCha8Rng::seed_from_u64(1000 + n as u64);
        let calls: Vec<Call> = (0..CALLS)
            .map(|_| call((all, all), cause, false, &mut rng))
            .collect();
        let plain: Vec<Call> = (0..CALLS)
            .map(|_| call((all, all), cause, true, &mut rng))
            .collect();
        let found = calls.iter().filter(|c| c.among_two).count();
        let mean =
            |calls: &[Call], of: fn(&Call) -> f64| calls.iter().map(of).sum::<f64>() / CALLS as f64;
        let (tests, by_list) = (
            mean(&calls, |c| c.tests as f64),
            mean(&plain, |c| c.tests as f64),
        );
        assert!(
            9 * CALLS <= 10 * found as u64,
            "{}: {found} of {CALLS}",
            cause.id
        );
        assert!(tests < by_list, "{}: {tests} against {by_list}", cause.id);
        let (took, took_by_list) = (mean(&calls, |c| c.minutes), mean(&plain, |c| c.minutes));
        assert!(
            took < took_by_list,
            "{}: {took} against {took_by_list} min",
            cause.id
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever is answered in whatever order: probabilities add up, and the
    /// order does not matter.
    #[test]
    fn any_answers_in_any_order_rank_alike(
        picks in prop::collection::vec((0_usize..60, 0_usize..6), 0..25),
    ) {
        let all = Knowledge::built_in();
        let mut said: Vec<Known> = Vec::new();
        for (which, way) in picks {
            let known = match all.symptoms.get(which) {
                Some(s) => Known::Symptom { id: s.id.clone(), seen: way % 2 == 0 },
                None => {
                    let t = &all.tests[(which - all.symptoms.len()) % all.tests.len()];
                    outcome(&t.id, way % t.outcomes.len())
                }
            };
            if !said.iter().any(|k| k.about() == known.about()) {
                said.push(known);
            }
        }
        let ranking = rank(all, None, &said).unwrap();
        let sum: f64 = ranking.causes.iter().map(|r| r.probability).sum();
        prop_assert!((sum - 1.0).abs() < 1e-9);
        for n in next(all, None, &said) {
            prop_assert!(n.bits.is_finite() && 0.0 < n.minutes);
        }
        said.reverse();
        let other = rank(all, None, &said).unwrap();
        for (a, b) in ranking.causes.iter().zip(&other.causes) {
            prop_assert!((a.probability - b.probability).abs() < 1e-9);
        }
    }
}

#[test]
fn water_that_runs_when_the_fan_stops_is_the_trap() {
    let all = Knowledge::built_in();
    let ranking = rank(
        all,
        None,
        &[seen("water-at-cabinet"), seen("drains-when-stopped")],
    )
    .unwrap();
    let first: Vec<&str> = ranking
        .causes
        .iter()
        .take(3)
        .map(|r| r.cause.unwrap().id.as_str())
        .collect();
    assert!(first.iter().all(|id| id.contains("trap")), "{first:?}");
    assert!(ranking.explained);
    assert!(ranking.causes[0].why[0].bits > 1.0);
}

#[test]
fn evidence_that_does_not_go_together_is_said_to() {
    let all = Knowledge::built_in();
    // Sweating, frosted, out of level and dark, and it trips with the others.
    let ranking = rank(
        all,
        None,
        &[
            seen("dark"),
            seen("frost"),
            seen("drops-on-pipe"),
            outcome("level-check", 0),
            outcome("open-tee", 0),
            outcome("when-it-trips", 1),
        ],
    )
    .unwrap();
    assert!(!ranking.explained);
    assert_eq!(ranking.causes[0].cause, None);
    assert!(ranking.found().is_none());
}

fn not_seen(id: &str) -> Known {
    Known::Symptom {
        id: id.into(),
        seen: false,
    }
}

/// Names of all open questions.
fn open(known: &[Known]) -> Vec<&'static str> {
    let next = next(Knowledge::built_in(), None, known);
    next.iter()
        .map(|n| match n.question {
            Question::Symptom(s) => s.id.as_str(),
            Question::Test(t) => t.id.as_str(),
        })
        .collect()
}

#[test]
fn what_cannot_be_any_more_is_not_asked() {
    const OF_A_RUNNING_UNIT: [&str; 8] = [
        "short-cycles",
        "runs-little-water",
        "drains-when-stopped",
        "run-current",
        "coil-look",
        "condensate",
        "cycle-log",
        "share-breathed",
    ];
    const OF_A_WAITING_UNIT: [&str; 5] = [
        "wait-delay",
        "since-power-up",
        "lower-setpoint",
        "run-at-unit",
        "runs-locally-only",
    ];
    let none_of = |known: &[Known], ids: &[&str]| {
        let asked = open(known);
        assert!(!asked.is_empty());
        for id in ids {
            assert!(!asked.contains(id), "{known:?}: {asked:?}");
        }
    };
    let state = ["dark", "lit-not-running", "look-at-lamp"];
    none_of(&[seen("lit-not-running")], &OF_A_RUNNING_UNIT);
    none_of(&[seen("lit-not-running")], &state);
    none_of(&[outcome("look-at-lamp", 1)], &OF_A_RUNNING_UNIT);
    for known in [seen("dark"), outcome("look-at-lamp", 0)] {
        none_of(std::slice::from_ref(&known), &OF_A_RUNNING_UNIT);
        none_of(std::slice::from_ref(&known), &OF_A_WAITING_UNIT);
        none_of(&[known], &state);
    }
    none_of(&[seen("runs-little-water")], &OF_A_WAITING_UNIT);
    none_of(&[seen("runs-little-water")], &state);
    // Neither dark nor lit at rest: it runs.
    let runs = [not_seen("dark"), not_seen("lit-not-running")];
    none_of(&runs, &OF_A_WAITING_UNIT);
    none_of(
        &[not_seen("water-at-cabinet")],
        &["water-one-corner", "drains-when-stopped"],
    );
    // Where nothing is known of it, all of this may be asked.
    let first = open(&[]);
    for id in [
        "dark",
        "look-at-lamp",
        "runs-little-water",
        "water-one-corner",
    ] {
        assert!(first.contains(&id), "{id}: {first:?}");
    }
    // Nor is what cannot be at this unit, a blow-through one.
    let blow = traits(&catalog().dehumidifiers["generic-70"]);
    let next = next(
        Knowledge::built_in(),
        Some(&blow),
        &[seen("water-at-cabinet")],
    );
    let of_suction = ["paper-at-drain", "open-tee", "trap-against-suction"];
    assert!(next.iter().all(|n| !of_suction.contains(&n.id())));
}

/// What follows from what is seen is no evidence of its own: an answer to it
/// changes nothing, whatever the causes.
#[test]
fn what_follows_from_what_is_seen_does_not_count_again() {
    let all = Knowledge::built_in();
    let of = |known: &[Known]| {
        let ranking = rank(all, None, known).unwrap();
        let mut of: Vec<(Option<&str>, f64)> = ranking
            .causes
            .iter()
            .map(|r| (r.cause.map(|c| c.id.as_str()), r.probability))
            .collect();
        of.sort_by_key(|(id, _)| *id);
        of
    };
    for (first, follows) in [
        ("lit-not-running", not_seen("runs-little-water")),
        ("lit-not-running", not_seen("short-cycles")),
        ("lit-not-running", not_seen("dark")),
        ("lit-not-running", outcome("look-at-lamp", 1)),
        ("runs-little-water", not_seen("lit-not-running")),
        ("dark", outcome("look-at-lamp", 0)),
    ] {
        let alone = [seen(first)];
        let both = [follows.clone(), seen(first)];
        assert_eq!(of(&alone), of(&both), "{first}: {follows:?}");
    }
    // What does not follow counts, and so does what contradicts.
    let alone = of(&[seen("lit-not-running")]);
    assert_ne!(alone, of(&[seen("lit-not-running"), not_seen("frost")]));
    let lamp = outcome("look-at-lamp", 2);
    assert_ne!(alone, of(&[seen("lit-not-running"), lamp]));
}

/// A room stays wet under a unit that does not run: it speaks against no cause
/// of that.
#[test]
fn a_wet_room_contradicts_no_unit_that_rests() {
    let all = Knowledge::built_in();
    let ranking = rank(all, None, &[seen("room-wet")]).unwrap();
    let rest = |id: &str| {
        let p = |symptom: &str| all.symptom(symptom).unwrap().probability(id);
        0.5 <= p("dark") + p("lit-not-running")
    };
    for of in ranking
        .causes
        .iter()
        .filter(|r| r.cause.is_some_and(|c| rest(&c.id)))
    {
        let id = &of.cause.unwrap().id;
        let [_, against] = for_and_against(&of.why, all);
        assert!(against.is_empty(), "{id}: {against:?}");
    }
}

/// A caller who says that it is lit and does not run while the room is wet,
/// and an open float: what is asked until it is found. It took ten questions
/// while impossible ones were asked, two of them of a running unit.
#[test]
fn an_open_float_is_found_without_questions_that_cannot_apply() {
    let all = Knowledge::built_in();
    let mut known = vec![seen("lit-not-running"), seen("room-wet")];
    while rank(all, None, &known).unwrap().found().is_none() {
        let question = next(all, None, &known)[0].question;
        known.push(match question {
            Question::Symptom(s) => not_seen(&s.id),
            Question::Test(t) => {
                let ps = t.probabilities("float-open");
                let most = (0..ps.len()).max_by(|a, b| ps[*a].total_cmp(&ps[*b]));
                outcome(&t.id, most.unwrap())
            }
        });
    }
    let found = rank(all, None, &known).unwrap();
    assert_eq!(found.found().unwrap().id, "float-open");
    assert!(known.len() - 2 <= 8, "{known:?}");
}

#[test]
fn what_is_impossible_is_named_with_why() {
    let all = Knowledge::built_in();
    let place = Place::new("unit D1");
    let said = |ranking: &job::service::Ranking<'_>| -> Vec<(String, String, String)> {
        let found = findings(all, ranking, &place);
        let words = found.iter().map(|f| {
            let [what, why] = [&f.what, &f.why].map(|t| t.show(UnitSystem::Metric));
            (f.check.to_string(), what, why)
        });
        words.collect()
    };
    // Suction at a pan that is under pressure: by the record it cannot be.
    let model = &catalog().dehumidifiers["generic-70"];
    let of_unit = traits(model);
    let suction = readings::trap(Estimate::new(373.0, 18.0), Estimate::new(0.0127, 0.001));
    let ranking = rank(all, Some(&of_unit), std::slice::from_ref(&suction)).unwrap();
    assert!(ranking.explained);
    let told = said(&ranking);
    assert_eq!(told[0].0, "excluded_by_record");
    assert!(told[0].1.contains("suction of 373 Pa"), "{told:?}");
    assert!(told[0].2.contains("under pressure"), "{told:?}");
    // It does not count.
    let without = rank(all, Some(&of_unit), &[]).unwrap();
    assert_eq!(ranking.causes, without.causes);
    // At a draw-through unit it is evidence.
    let draw = traits(&catalog().dehumidifiers["generic-150"]);
    let ranking = rank(all, Some(&draw), &[suction]).unwrap();
    assert!(ranking.excluded.is_empty());

    // A cause that the record rules out is named, with why.
    let trap = [
        seen("water-at-cabinet"),
        seen("drains-when-stopped"),
        outcome("trap-look", 1),
        outcome("level-check", 1),
        outcome("pour-water", 1),
    ];
    let ranking = rank(all, Some(&of_unit), &trap).unwrap();
    assert!(!ranking.explained);
    let told = said(&ranking);
    assert!(
        told[0]
            .1
            .contains("its seal is less than the fan's suction"),
        "{told:?}"
    );
    assert!(told[0].1.contains("under pressure"), "{told:?}");

    // What cannot be so at one time, and what speaks against the nearest.
    let odd = [
        seen("dark"),
        seen("runs-little-water"),
        seen("frost"),
        seen("drops-on-pipe"),
        outcome("level-check", 0),
        outcome("open-tee", 0),
    ];
    let ranking = rank(all, None, &odd).unwrap();
    assert!(!ranking.explained);
    let (check, what, _) = said(&ranking).remove(0);
    assert_eq!(check, "not_explained");
    for words in [
        "cannot be so at one time: no lamp, no display, no sound; it runs, but little",
        "The nearest is: ",
        "against it speaks: ",
    ] {
        assert!(what.contains(words), "{words}: {what}");
    }
}

#[test]
fn what_cannot_be_used_is_refused_by_name() {
    let all = Knowledge::built_in();
    assert_eq!(
        rank(all, None, &[seen("no-such")]),
        Err(BadCase::Unknown {
            said: "no-such".into()
        })
    );
    assert_eq!(
        rank(all, None, &[outcome("level-check", 2)]),
        Err(BadCase::NoSuchOutcome {
            of: "level-check".into(),
            there: 2
        })
    );
    let twice = [outcome("level-check", 0), outcome("level-check", 1)];
    assert_eq!(
        rank(all, None, &twice),
        Err(BadCase::Contradicts("level-check".into()))
    );
    let same = [outcome("level-check", 0), outcome("level-check", 0)];
    assert_eq!(
        rank(all, None, &same).unwrap().causes[0].probability,
        rank(all, None, &same[..1]).unwrap().causes[0].probability
    );
}

#[test]
fn a_blow_through_unit_has_no_trap_that_suction_empties() {
    let all = Knowledge::built_in();
    let blow = [job::service::Trait::BlowThrough];
    let ranking = rank(all, Some(&blow), &[seen("water-at-cabinet")]).unwrap();
    assert!(ranking.causes.iter().all(|r| {
        r.cause
            .is_none_or(|c| !c.id.starts_with("trap") && c.id != "vent-before-trap")
    }));
    let draw = traits(&catalog().dehumidifiers["generic-150"]);
    let ranking = rank(all, Some(&draw), &[seen("water-at-cabinet")]).unwrap();
    assert!(
        ranking
            .causes
            .iter()
            .any(|r| r.cause.is_some_and(|c| c.id == "trap-dry"))
    );
}

fn weights(known: &Known) -> &[f64] {
    match known {
        Known::Reading { weights, .. } => weights,
        _ => panic!("a reading"),
    }
}

/// A tenth of a normal distribution lies beyond 1.2816 standard deviations
/// (standard table of the normal distribution).
#[test]
fn readings_become_outcomes_by_their_uncertainty() {
    let near = |a: f64, b: f64| assert!((a - b).abs() < 1e-3, "{a} {b}");
    let model = &catalog().dehumidifiers["generic-150"];

    // 0.75 of what is expected is the bound: a reading right on it is open.
    let w = readings::removal(Estimate::new(0.75e-3, 1e-5), Estimate::new(1e-3, 0.0)).unwrap();
    near(weights(&w)[1], 0.5);
    let u = 0.1 / 1.2816;
    let w = readings::removal(Estimate::new(0.85, u), Estimate::new(1.0, 0.0)).unwrap();
    near(weights(&w)[1], 0.1);
    assert!(readings::removal(Estimate::new(1.0, 0.1), Estimate::new(0.0, 0.0)).is_none());

    // Plate 11.6 A.
    let amps = |a: f64| readings::current(model, Estimate::new(a, 0.2)).unwrap();
    assert!(0.99 < weights(&amps(1.0))[0]);
    assert!(0.99 < weights(&amps(6.0))[1]);
    assert!(0.99 < weights(&amps(10.0))[2]);
    assert!(0.99 < weights(&amps(14.0))[3]);

    // 250 Pa lift water 25.5 mm (p = rho g h).
    let trap = |seal_m: f64| readings::trap(Estimate::new(250.0, 5.0), Estimate::new(seal_m, 1e-3));
    assert!(0.99 < weights(&trap(0.0205))[0]);
    assert!(0.99 < weights(&trap(0.0305))[1]);
    near(weights(&trap(250.0 / 9806.65))[0], 0.5);

    // Restart delay 3 min.
    let since = |s: f64| readings::since_power_up(model, Estimate::new(s, 10.0));
    assert!(0.99 < weights(&since(60.0))[0]);
    assert!(0.99 < weights(&since(600.0))[1]);

    let around = |inlet: f64| Around {
        room_c: Estimate::new(24.0, 0.1),
        inlet_c: Estimate::new(inlet, 0.1),
        discharge_c: Estimate::new(34.0, 0.1),
    };
    assert!(0.99 < weights(&readings::breathed(around(27.0)).unwrap())[0]);
    assert!(0.99 < weights(&readings::breathed(around(24.1)).unwrap())[1]);

    // Least inlet 56 °F; 317 pt/d at 80 °F 60 %.
    let inlet = |t: f64, rh: f64| {
        readings::inlet(
            model,
            Estimate::new(t, 0.2),
            Estimate::new(rh, 0.01),
            101_325.0,
        )
        .unwrap()
    };
    assert!(0.99 < weights(&inlet(10.0, 0.70))[0]);
    assert!(0.99 < weights(&inlet(20.0, 0.30))[1]);
    assert!(0.99 < weights(&inlet(26.7, 0.60))[2]);
}

/// A current far below the plate, with little water, points at the refrigerant.
#[test]
fn low_current_and_little_water_point_at_refrigerant() {
    let all = Knowledge::built_in();
    let model = &catalog().dehumidifiers["generic-150"];
    let known = [
        seen("runs-little-water"),
        readings::current(model, Estimate::new(5.5, 0.2)).unwrap(),
        readings::removal(
            Estimate::new(0.3e-3, 0.03e-3),
            Estimate::new(1.7e-3, 0.1e-3),
        )
        .unwrap(),
    ];
    let ranking = rank(all, Some(&traits(model)), &known).unwrap();
    assert_eq!(ranking.causes[0].cause.unwrap().id, "refrigerant-low");
}

#[test]
fn a_file_with_faults_is_refused() {
    let refused = |text: &str| Knowledge::read(text).unwrap_err();
    assert!(matches!(refused("cause = 3"), BadKnowledge::Unreadable(_)));
    let cause = "[[cause]]\nid = \"a\"\nname = \"a\"\nweight = 1.0\nremedy = \"r\"\n";
    let with = |more: &str| refused(&format!("{cause}{more}"));
    let symptom = |given: &str| {
        format!("[[symptom]]\nid = \"s\"\nwords = \"w\"\nusual = 0.1\ngiven = {{ {given} }}\n")
    };
    let test = |usual: &str| {
        format!(
            "{}[[test]]\nid = \"t\"\nask = \"?\"\nhow = \"h\"\nminutes = 1.0\ndanger = \"look\"\noutcomes = [\"x\", \"y\"]\nusual = {usual}\ngiven = {{}}\n",
            symptom("a = 0.5")
        )
    };
    assert_eq!(
        with(&format!("{cause}{}", test("[0.5, 0.5]"))),
        BadKnowledge::Twice("a".into())
    );
    assert!(matches!(
        with(&format!(
            "{}{}",
            symptom("b = 0.5"),
            test("[0.5, 0.5]").replace(&symptom("a = 0.5"), "")
        )),
        BadKnowledge::NoSuchCause { .. }
    ));
    for usual in ["[0.5, 0.6]", "[1.0, 0.0]", "[0.3, 0.3, 0.4]"] {
        assert!(
            matches!(with(&test(usual)), BadKnowledge::NotProbabilities { .. }),
            "{usual}"
        );
    }
    assert!(matches!(
        with(&test("[0.5, 0.5]").replace("minutes = 1.0", "minutes = 0.0")),
        BadKnowledge::NotPositive(_)
    ));
    let sound = format!("{cause}{}", test("[0.5, 0.5]"));
    assert!(Knowledge::read(&sound).is_ok());
    let part = sound.replace("words = \"w\"", "words = \"w\"\npart_of = \"no\"");
    assert!(matches!(refused(&part), BadKnowledge::NoSuchWhole { .. }));
    let states = sound.replace("ask = \"?\"", "ask = \"?\"\nis = [[\"dark\"]]");
    assert_eq!(refused(&states), BadKnowledge::NotStates("t".into()));
    let states = sound.replace("ask = \"?\"", "ask = \"?\"\nneeds = [\"lit\"]");
    assert!(matches!(refused(&states), BadKnowledge::Unreadable(_)));
}

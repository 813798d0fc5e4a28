//! The record: what is altered or lost is found where it is; records merge.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::collections::BTreeSet;

use job::Inputs;
use job::record::{
    BadEvent, BadText, Basis, Body, Correction, Draft, Event, FaultKind, Hash, Measured, Moment,
    Note, Reading, Report, Signature, Signed, SignedBy, StepDone, StepSkipped, Writer, from_text,
    in_force, last_of, merge, ordered, to_text, verify, verify_rows,
};
use proptest::prelude::*;
use quantity::{Dim, Value};

fn writer(device: &str) -> Writer {
    Writer {
        device: device.into(),
        device_name: format!("phone {device}"),
        person: "A. Example".into(),
    }
}

fn at(utc_ms: i64) -> Moment {
    Moment {
        utc_ms,
        clock: "boot".into(),
        ticks_ms: utc_ms.max(0).unsigned_abs(),
    }
}

fn draft(device: &str, utc_ms: i64, body: Body) -> Draft {
    Draft {
        room: "demo".into(),
        writer: writer(device),
        at: at(utc_ms),
        body,
    }
}

fn note(text: &str) -> Body {
    Body::Note(Note {
        unit: Some("D1".into()),
        step: None,
        text: text.into(),
    })
}

fn reading(si: f64) -> Reading {
    Reading {
        entry: "leg_1".into(),
        value: Value::new(si, Dim::Current),
        typed: Some("4.00 A".into()),
        instrument: Some("clamp 7".into()),
        standard_uncertainty: Some(0.1),
    }
}

fn done(si: f64) -> Body {
    Body::StepDone(StepDone {
        unit: Some("D1".into()),
        step: "D1.amps".into(),
        readings: vec![reading(si)],
        photos: vec![Hash::of(b"photo")],
        ..StepDone::default()
    })
}

fn basis() -> Basis {
    Basis::of(&Inputs {
        site: Some("[site]\n".into()),
        room: "[room]\nname = \"Prüfraum\"\n".into(),
        machines: vec![("m.toml".into(), "code = \"m\"".into())],
    })
}

/// A chain of a device with these bodies, a second apart.
fn chain(device: &str, bodies: impl IntoIterator<Item = Body>) -> Vec<Event> {
    let mut events: Vec<Event> = Vec::new();
    for (i, body) in bodies.into_iter().enumerate() {
        let made = draft(device, 1_000 * i as i64, body).after(events.last());
        events.push(made.unwrap());
    }
    events
}

fn kinds() -> Vec<Body> {
    vec![
        Body::Started(basis()),
        done(4.0),
        Body::StepSkipped(StepSkipped {
            unit: None,
            step: "room.sensor".into(),
            reason: "no ladder on site".into(),
        }),
        Body::Measured(Measured {
            unit: Some("D1".into()),
            step: "D1.condensate".into(),
            readings: vec![reading(0.1 + 0.2), reading(-1e-300)],
            note: Some("\"quoted\", \\ and é".into()),
        }),
        note("the last"),
    ]
}

fn faults(report: &Report) -> Vec<(&str, u64, FaultKind)> {
    report
        .faults
        .iter()
        .map(|f| (f.place.device.as_str(), f.place.seq, f.kind.clone()))
        .collect()
}

#[test]
fn a_chain_as_it_was_written_is_whole() {
    let events = chain("a", kinds());
    let report = verify(&events);
    assert!(report.is_whole() && report.faults.is_empty(), "{report:?}");
    let head = report.heads()["a"];
    assert_eq!((head.seq, head.hash), (5, events[4].hash));
    let texts: Vec<String> = events.iter().map(to_text).collect();
    let (read, from_rows) = verify_rows(texts.iter().map(String::as_str));
    assert_eq!((read, from_rows), (events, report));
}

#[test]
fn what_was_altered_is_named() {
    let events = chain("a", kinds());
    let mut content = events.clone();
    content[1].body = done(400.0);
    assert_eq!(faults(&verify(&content)), [("a", 2, FaultKind::Altered)]);
    let mut hash = events.clone();
    hash[1].hash = Hash::of(b"other");
    assert_eq!(faults(&verify(&hash)), [("a", 2, FaultKind::Altered)]);
    // An event that was moved is found where it stood.
    let mut moved = events.clone();
    moved[1].seq = 77;
    moved[2].writer.device = "z".into();
    assert_eq!(
        faults(&verify(&moved)),
        [("a", 2, FaultKind::Altered), ("a", 3, FaultKind::Altered)]
    );
    assert!(!verify(&moved).is_whole());
    let words: Vec<String> = verify(&moved).faults.iter().map(|f| f.words()).collect();
    assert_eq!(
        words[0],
        "event 2 of device a was altered after it was written"
    );
    // One hash stands for the whole: it changes with every event.
    let short = verify(&events[..4]);
    assert!(short.is_whole());
    assert_ne!(short.chain_hash(), verify(&events).chain_hash());
}

#[test]
fn what_is_missing_is_named() {
    let events = chain("a", kinds());
    let without = |gone: &[usize]| -> Vec<Event> {
        let kept = events.iter().enumerate().filter(|(i, _)| !gone.contains(i));
        kept.map(|(_, e)| e.clone()).collect()
    };
    let found = verify(&without(&[0]));
    assert_eq!(faults(&found), [("a", 1, FaultKind::Missing { to: 1 })]);
    let found = verify(&without(&[1, 2]));
    assert_eq!(faults(&found), [("a", 2, FaultKind::Missing { to: 3 })]);
}

#[test]
fn an_event_hashed_anew_no_longer_fits_its_neighbour() {
    let mut events = chain("a", kinds());
    events[1].body = done(400.0);
    events[1].hash = events[1].computed_hash();
    let report = verify(&events);
    assert_eq!(faults(&report), [("a", 3, FaultKind::Unlinked)]);
    assert!(!report.is_whole());
}

#[test]
fn what_is_cut_off_after_a_signature_is_seen() {
    let mut events = chain("a", kinds());
    let heads = verify(&events).heads();
    let signed = Body::Signed(Signed {
        by: SignedBy::Customer,
        name: "B. Example".into(),
        signature: Signature::Drawn(vec![vec![[1, 2], [3, 4]]]),
        heads,
    });
    let other = draft("b", 9_000, signed).after(None).unwrap();
    events.push(other);
    assert!(verify(&events).is_whole());
    events.remove(4);
    assert_eq!(
        faults(&verify(&events)),
        [("a", 5, FaultKind::SignedAndGone)]
    );
}

#[test]
fn two_devices_of_one_id_lose_nothing() {
    let a = chain("a", [Body::Started(basis()), note("left")]);
    let fork = draft("a", 1_500, note("right")).after(Some(&a[0])).unwrap();
    let all = merge(&a, std::slice::from_ref(&fork));
    assert_eq!(all.len(), 3);
    assert!(all.contains(&fork));
    let report = verify(&all);
    assert_eq!(faults(&report), [("a", 2, FaultKind::Twice { count: 2 })]);
    assert!(report.is_whole(), "nothing is lost");
    // Both go on.
    let last = last_of(&all, "a").unwrap();
    assert!(last.seq == 2 && last_of(&all, "b").is_none());
    let go_on = draft("a", 2_000, note("on")).after(Some(&fork)).unwrap();
    assert_eq!(verify(&merge(&all, &[go_on])).faults.len(), 1);
}

#[test]
fn a_spoilt_copy_is_mended_by_an_intact_one() {
    let events = chain("a", kinds());
    let mut spoilt = events.clone();
    spoilt[1].body = done(400.0);
    spoilt[3].hash = Hash::of(b"other");
    assert_eq!(merge(&spoilt, &events), ordered(events.clone()));
    assert_eq!(merge(&events, &spoilt), ordered(events));
}

#[test]
fn a_correction_holds_and_both_are_kept() {
    let mut a = chain("a", [Body::Started(basis()), done(400.0)]);
    let wrong = a[1].hash;
    let correct = |of, instead| {
        Body::Correction(Box::new(Correction {
            of,
            reason: "point forgotten".into(),
            instead,
        }))
    };
    let first = draft("b", 500, correct(wrong, Some(done(4.0))));
    let first = first.after(None).unwrap();
    // Written by a clock that runs behind: it stands before what it corrects.
    let all = merge(&a, std::slice::from_ref(&first));
    let held = in_force(&all);
    assert_eq!(held.len(), 2);
    assert_eq!(held[1].holds, Some(&done(4.0)));
    assert_eq!(held[1].first.body, done(400.0));
    assert_eq!(held[1].corrections, [&first]);
    assert!(!held[1].is_disputed());
    // A correction of the correction, on the other device: withdrawn.
    let again = draft("a", 5_000, correct(first.hash, None)).after(a.last());
    a.push(again.unwrap());
    let all = merge(&a, std::slice::from_ref(&first));
    let held = in_force(&all);
    assert_eq!((held.len(), held[1].holds), (2, None));
    assert!(held[1].is_disputed());
    assert_eq!(job::record::disputed(&all)[0].seq, 2);
    // Without what it corrects it is named and does nothing.
    let lone = verify(std::slice::from_ref(&first));
    assert_eq!(
        faults(&lone),
        [("b", 1, FaultKind::CorrectsNothing { of: wrong })]
    );
    assert!(in_force(&[first]).is_empty());
}

#[test]
fn a_design_id_that_its_texts_do_not_have_is_named() {
    let wrong = Basis {
        design_id: "0".repeat(64),
        ..basis()
    };
    let events = chain("a", [Body::Started(wrong)]);
    assert_eq!(
        faults(&verify(&events)),
        [("a", 1, FaultKind::WrongDesignId)]
    );
    assert_eq!(Basis::of(&basis().inputs()), basis());
}

#[test]
fn a_clock_set_back_is_told_and_keeps_the_order() {
    let mut a = chain("a", [note("one"), note("two")]);
    let set_back = Draft {
        at: Moment {
            utc_ms: -3_600_000,
            clock: "boot".into(),
            ticks_ms: 2_000,
        },
        ..draft("a", 0, note("three"))
    };
    let three = set_back.after(a.last()).unwrap();
    a.push(three);
    let all = ordered(a.clone());
    assert_eq!(all, a, "never before an earlier event of its device");
    let report = verify(&all);
    assert!(report.is_whole());
    assert_eq!(report.clocks_set.len(), 1);
    assert_eq!(report.clocks_set[0].place.seq, 3);
    assert_eq!(report.clocks_set[0].by_ms, -3_602_000);
}

#[test]
fn a_newer_record_is_refused_with_words() {
    let text = to_text(&chain("a", [note("one")])[0]);
    let newer = text.replacen("\"format\":1", "\"format\":9", 1);
    let why = from_text(&newer).unwrap_err();
    assert_eq!(why, BadText::Newer { found: 9 });
    assert!(why.to_string().contains("newer"), "{why}");
    // A kind of event that this version does not know is told the same way.
    assert!(from_text(&newer.replace("\"note\"", "\"dance\"")).unwrap_err() == why);
}

#[test]
fn a_torn_row_leaves_the_others_readable() {
    let events = chain("a", kinds());
    let mut texts: Vec<String> = events.iter().map(to_text).collect();
    let half = texts[2].len() / 2;
    texts[2].truncate(half);
    let (read, report) = verify_rows(texts.iter().map(String::as_str));
    assert_eq!(read.len(), 4);
    assert_eq!((report.torn.len(), report.torn[0].row), (1, 3));
    assert_eq!(faults(&report), [("a", 3, FaultKind::Missing { to: 3 })]);
    assert!(!report.is_whole());
}

#[test]
fn what_says_nothing_is_not_taken() {
    let refused = |body| draft("a", 0, body).after(None).unwrap_err();
    assert_eq!(refused(note("  ")), BadEvent::Empty("the note"));
    assert_eq!(
        refused(done(f64::NAN)),
        BadEvent::NotANumber("leg_1".into())
    );
    assert!(matches!(
        refused(note(&"x".repeat(4_001))),
        BadEvent::TooLong { length: 4_001, .. }
    ));
    let foreign = &chain("b", [note("one")])[0];
    assert_eq!(
        draft("a", 0, note("x")).after(Some(foreign)).unwrap_err(),
        BadEvent::OtherDevice("b".into())
    );
}

/// Chains of three devices, with corrections and forks among them, and three
/// subsets of all of their events.
fn records() -> impl Strategy<Value = [Vec<Event>; 3]> {
    let step = (0..3usize, -5_000..5_000i64, any::<u16>(), 0..7u8);
    proptest::collection::vec(step, 0..12).prop_map(|steps| {
        let mut all: Vec<Event> = Vec::new();
        let mut parts: [Vec<Event>; 3] = Default::default();
        for (device, shift, seed, places) in steps {
            let device = ["a", "b", "c"][device];
            let mut mine = all.iter().filter(|e| e.writer.device == device);
            // Now and then the chain is written on from its first event.
            let last = if seed % 5 == 0 {
                mine.next()
            } else {
                mine.next_back()
            };
            let body = match all.get(usize::from(seed) % 7) {
                Some(e) if seed % 3 == 0 => Body::Correction(Box::new(Correction {
                    of: e.hash,
                    reason: "typed wrong".into(),
                    instead: Some(done(f64::from(seed))),
                })),
                _ => done(f64::from(seed) / 7.0),
            };
            let mut event = draft(device, shift, body).after(last).unwrap();
            if seed % 11 == 0 {
                let good = event.clone();
                event.room = "other".into();
                parts[usize::from(places) % 3].push(good);
            }
            for (i, part) in parts.iter_mut().enumerate() {
                if places >> i & 1 == 1 {
                    part.push(event.clone());
                }
            }
            all.push(event);
        }
        parts
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(256) })]

    #[test]
    fn merging_is_a_union([a, b, c] in records()) {
        let ab = merge(&a, &b);
        prop_assert_eq!(&ab, &merge(&b, &a));
        prop_assert_eq!(merge(&ab, &c), merge(&a, &merge(&b, &c)));
        prop_assert_eq!(&merge(&ab, &ab), &ab);
        prop_assert_eq!(&merge(&ab, &a), &ab);
        // Nothing intact is lost, nothing is doubled.
        let hashes = |events: &[Event]| -> BTreeSet<Hash> {
            events.iter().filter(|e| e.is_intact()).map(|e| e.hash).collect()
        };
        let both: BTreeSet<Hash> = hashes(&a).union(&hashes(&b)).copied().collect();
        prop_assert_eq!(hashes(&ab), both);
        let texts: BTreeSet<String> = ab.iter().map(to_text).collect();
        prop_assert_eq!(texts.len(), ab.len());
    }

    #[test]
    fn in_the_merged_order_no_device_runs_backwards([a, b, _c] in records()) {
        let mut seen = std::collections::BTreeMap::new();
        for event in merge(&a, &b) {
            let last = seen.insert(event.writer.device.clone(), event.seq);
            prop_assert!(last.is_none_or(|seq| seq <= event.seq));
        }
    }

    #[test]
    fn any_byte_of_any_event_that_changes_is_found(
        which in 0..5usize, place in any::<prop::sample::Index>(), change in 1..=255u8
    ) {
        let events = chain("a", kinds());
        let mut texts: Vec<Vec<u8>> = events.iter().map(|e| to_text(e).into_bytes()).collect();
        let place = place.index(texts[which].len());
        texts[which][place] ^= change;
        let rows: Vec<String> = texts.iter().map(|t| String::from_utf8_lossy(t).into_owned()).collect();
        let (intact, report) = verify_rows(rows.iter().map(String::as_str));
        prop_assert!(!report.is_whole());
        // It is named: by its row, or by its number.
        let row = report.torn.iter().any(|t| t.row == which + 1);
        let number = report.faults.iter().any(|f| f.place.seq == which as u64 + 1 && f.place.device == "a");
        prop_assert!(row || number, "{report:?}");
        // The others are still there.
        for (i, event) in events.iter().enumerate() {
            prop_assert!(i == which || intact.contains(event));
        }
    }

    #[test]
    fn numbers_come_back_as_they_were(si in proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL | proptest::num::f64::ZERO) {
        let event = draft("a", 0, done(si)).after(None).unwrap();
        let back = from_text(&to_text(&event)).unwrap();
        prop_assert!(back.is_intact());
        prop_assert_eq!(back.body.readings()[0].value.si.to_bits(), si.to_bits());
    }
}

//! The hand-over: every step, reading, finding, photo and signature is on it.
#![cfg(feature = "pdf")]
#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::collections::BTreeMap;

use common::{catalog, text};
use hayro_syntax::Pdf;
use job::record::{
    Answer, Body, Correction, Draft, Event, FaultEntry, FindingClosed, Hash, Mended, Moment,
    Signature, Signed, SignedBy, StepDone, StepSkipped, UnitSkipped, Writer, verify,
};
use job::startup::{Built, Plan, State, plan, state};
use job::{UnitSet, control, drain, hanging, placement, power};
use quantity::UnitSystem;
use room::Room;
use sheet::Paper;
use sheet::report::{Block, Cell, Photo, Report, TitleBlock};
use sheet::sheets::handover::{HandOver, card, report};

/// A photo of one grey dot, as an encoder of the standard makes it.
const JPEG: &[u8] = include_bytes!("common/dot.jpg");

struct Site {
    room: Room,
    plan: Plan,
    events: Vec<Event>,
    state: State,
}

fn write(events: &mut Vec<Event>, body: Body) {
    let draft = Draft {
        room: "veg-1".into(),
        writer: Writer {
            device: "a".into(),
            device_name: "laptop".into(),
            person: "A. Example".into(),
        },
        at: Moment {
            utc_ms: 1_800_000_000_000 + 1_000 * events.len() as i64,
            clock: "boot".into(),
            ticks_ms: 1_000 * events.len() as u64,
        },
        body,
    };
    events.push(draft.after(events.last()).unwrap());
}

/// What is printed for a site with these papers.
fn papers(bodies: Vec<Body>, faults: Vec<String>) -> (Site, Report, Report) {
    papers_of("veg-1", &UnitSet::EMPTY, bodies, faults)
}

/// The same for a room of the demonstration, and these units beside those in
/// its file.
fn papers_of(
    name: &str,
    units: &UnitSet,
    bodies: Vec<Body>,
    faults: Vec<String>,
) -> (Site, Report, Report) {
    let catalog = catalog();
    let site = text("cases/demo/site.toml");
    let file = format!("{name}.room.toml");
    let room = text(&format!("cases/demo/{file}"));
    let room = Room::read(Some(("site.toml", &site)), (&file, &room)).unwrap();
    let placed = placement::place(&room, &catalog, units).unwrap();
    let (hung, drained) = (
        hanging::hang(&room, &catalog, &placed).unwrap(),
        drain::route(&room, &catalog, &placed).unwrap(),
    );
    let (fed, wired) = (
        power::feed(&room, &catalog, &placed).unwrap(),
        control::wire(&room, &catalog, &placed).unwrap(),
    );
    let built = Built {
        design_id: "0123456789",
        placement: &placed,
        hanging: &hung,
        drain: &drained,
        power: &fed,
        control: &wired,
    };
    let plan = plan(&room, &catalog, built).unwrap();
    let mut events = Vec::new();
    for body in bodies {
        write(&mut events, body);
    }
    let state = state(&plan, &events, &events[events.len() - 1].at);
    let photo = Photo::new(JPEG.to_vec(), 1, 1, "the filter".into());
    let of = HandOver {
        title: TitleBlock {
            job: "Job".into(),
            room: "Veg 1".into(),
            units: UnitSystem::Metric,
            ..TitleBlock::default()
        },
        room: &room,
        built,
        plan: &plan,
        state: &state,
        events: &events,
        chain_hash: verify(&events).chain_hash(),
        faults,
        doubts: vec!["the clock of device laptop (a) was set back by 24 h".into()],
        from_record: false,
        photos: BTreeMap::from([(Hash::of(JPEG), photo)]),
        when: &|ms| format!("at {ms}"),
        day: &|ms, months| format!("{ms}+{months}"),
    };
    let (report, card) = (report(&of), card(&of));
    let site = Site {
        room,
        plan,
        events,
        state,
    };
    (site, report, card)
}

fn done(step: &str, answers: &[(&str, &str)], photos: Vec<Hash>) -> Body {
    Body::StepDone(StepDone {
        unit: Some("D1".into()),
        step: step.into(),
        answers: answers
            .iter()
            .map(|(entry, said)| Answer {
                entry: (*entry).into(),
                said: (*said).into(),
            })
            .collect(),
        photos,
        ..StepDone::default()
    })
}

/// All words of a report, cell by cell.
fn words(report: &Report) -> String {
    let mut all = String::new();
    for block in &report.blocks {
        let say = |t: &quantity::Text| t.show(UnitSystem::Metric) + "\n";
        match block {
            Block::Heading(_, t) | Block::Paragraph(t) | Block::Remark(t) => all += &say(t),
            Block::Cautions(items) => all.extend(items.iter().map(say)),
            Block::Findings(findings) => all.extend(findings.iter().map(|f| say(&f.what))),
            Block::Table(table) => {
                for cell in table.rows.iter().flatten() {
                    if let Cell::Text(t) = cell {
                        all += &say(t);
                    }
                }
            }
            _ => {}
        }
    }
    all
}

#[test]
fn every_step_reading_photo_and_signature_is_on_it() {
    let strokes = vec![vec![[10, 20], [500, 200], [5_000, -50]]];
    let signed = |by, signature| {
        Body::Signed(Signed {
            by,
            name: "B. Example".into(),
            signature,
            heads: BTreeMap::new(),
        })
    };
    let (site, report, card) = papers(
        vec![
            done(
                "D1.filter",
                &[("in", "no")],
                vec![Hash::of(JPEG), Hash::of(b"gone")],
            ),
            Body::StepSkipped(StepSkipped {
                unit: Some("D1".into()),
                step: "D1.level".into(),
                reason: "no level at hand".into(),
            }),
            signed(SignedBy::Installer, Signature::Drawn(strokes)),
        ],
        Vec::new(),
    );
    let said = words(&report);
    for step in &site.plan.steps {
        let title = step.title.show(UnitSystem::Metric);
        assert!(said.contains(&title), "{title}");
    }
    let hash = verify(&site.events).chain_hash().to_string();
    let missing = format!(
        "Photo {} of D1.filter is missing",
        Hash::of(b"gone").short()
    );
    for wanted in [
        "no level at hand",
        "A. Example, at\u{a0}1800000000000",
        &hash,
        &missing,
        "0123456789",
    ] {
        assert!(said.contains(wanted), "{wanted}");
    }
    assert_eq!(site.state.findings.len(), 1, "the filter is not in");
    assert!(said.contains(&site.state.findings[0].what.show(UnitSystem::Metric)));
    assert!(!site.room.name.value.is_empty());
    let figures: Vec<&sheet::Drawing> = report
        .blocks
        .iter()
        .filter_map(|b| match b {
            Block::Figure { drawing, .. } => Some(drawing),
            _ => None,
        })
        .collect();
    assert_eq!(figures.len(), 2, "two signatures");
    assert!(
        figures[0].alt.contains("B. Example, signed"),
        "{}",
        figures[0].alt
    );
    assert!(figures[1].alt.contains("name, date"), "{}", figures[1].alt);
    // A stroke that left the field is held at its edge.
    let slack = common::Slack {
        edge_mm: 0.0,
        overlap_mm: 0.0,
    };
    assert_eq!(common::problems("signature", figures[0], slack), [""; 0]);
    let photos = report
        .blocks
        .iter()
        .filter(|b| matches!(b, Block::Photo(_)));
    assert_eq!(photos.count(), 1);

    assert!(
        !report.blocks.contains(&Block::PageBreak),
        "no page is left empty before the signatures"
    );
    let bytes = sheet::pdf::pdf(&report, Paper::A4).unwrap();
    let pages = Pdf::new(bytes).unwrap().pages().len();
    assert!((3..12).contains(&pages), "{pages}");
    let on_the_wall = words(&card);
    for wanted in [
        "Filter",
        "flush with clean water",
        "torque",
        "over salt",
        "Trap, priming",
    ] {
        assert!(on_the_wall.contains(wanted), "{wanted}");
    }
    let bytes = sheet::pdf::pdf(&card, Paper::Letter).unwrap();
    assert_eq!(Pdf::new(bytes).unwrap().pages().len(), 1);
}

#[test]
fn a_finding_that_was_closed_and_a_record_that_is_not_whole_are_told() {
    let answered = || done("D1.filter", &[("in", "no")], Vec::new());
    let (open, _, _) = papers(vec![answered()], Vec::new());
    let finding = &open.state.findings[0];
    let closed = Body::FindingClosed(FindingClosed {
        check: finding.check.to_string(),
        place: finding.place.0.to_string(),
        how: "a filter was fetched".into(),
    });
    let fault = "event 1 of device a was altered after it was written";
    let (_, report, _) = papers(vec![answered(), closed], vec![fault.into()]);
    let said = words(&report);
    assert!(said.contains("a filter was fetched"), "{said}");
    assert!(said.contains(&format!("not whole: {fault}")), "{said}");
    assert!(!said.contains("The record is whole"), "{said}");
}

#[test]
fn a_signature_says_what_it_covers() {
    let signed = || {
        Body::Signed(Signed {
            by: SignedBy::Customer,
            name: "B. Example".into(),
            signature: Signature::OnPaper,
            heads: BTreeMap::new(),
        })
    };
    let answered = || done("D1.filter", &[("in", "yes")], Vec::new());
    let (_, report, _) = papers(vec![answered(), signed()], Vec::new());
    let said = words(&report);
    assert!(said.contains("was set back by 24 h"), "{said}");
    assert!(
        said.contains("(2 entries). Nothing was entered since."),
        "{said}"
    );
    let (_, report, _) = papers(vec![answered(), signed(), answered()], Vec::new());
    let said = words(&report);
    assert!(said.contains("not signed: 1. Sign again."), "{said}");
}

#[test]
fn what_came_before_is_told_with_the_last_word() {
    let first = done("D1.filter", &[("in", "no")], Vec::new());
    let (before, _, _) = papers(vec![first.clone()], Vec::new());
    let corrected = Body::Correction(Box::new(Correction {
        of: before.events[0].hash,
        reason: "looked at the wrong unit".into(),
        instead: Some(first.clone()),
    }));
    let again = done("D1.filter", &[("in", "yes")], Vec::new());
    let (_, report, _) = papers(vec![first.clone(), corrected.clone()], Vec::new());
    let said = words(&report);
    assert!(
        said.contains("corrected by A. Example: looked at the wrong unit"),
        "{said}"
    );
    let (_, report, _) = papers(vec![first, again], Vec::new());
    let said = words(&report);
    assert!(
        said.contains("an earlier time: fail (A. Example, at 1800000000000): no: "),
        "{said}"
    );
    // The finding of then is not gone: it was put right, and how.
    assert!(said.contains("done again by A. Example: pass"), "{said}");
    // Nobody who takes the plant over shall take "closed" for settled.
    assert!(said.contains("not done") && !said.lines().any(|l| l == "closed"));
}

/// Who reads the sheet finds what somebody wrote down, in the unit in which
/// that was written down.
#[test]
fn readings_stand_as_they_were_typed_else_in_the_unit_of_their_instrument() {
    let reading = |entry: &str, si: f64, dim, typed: &str| job::record::Reading {
        entry: entry.into(),
        value: quantity::Value::new(si, dim),
        typed: Some(typed.into()),
        instrument: None,
        standard_uncertainty: None,
    };
    let step = |name: &str, readings| {
        Body::StepDone(StepDone {
            unit: Some("D1".into()),
            step: name.into(),
            readings,
            ..StepDone::default()
        })
    };
    let (_, report, _) = papers(
        vec![
            step(
                "D1.condensate",
                vec![reading("water", 3.028, quantity::Dim::Water, "0.80 gal")],
            ),
            step(
                "D1.restart",
                vec![reading("back_after", 190.0, quantity::Dim::Duration, "190")],
            ),
        ],
        Vec::new(),
    );
    let said = words(&report);
    assert!(said.contains("water caught: 0.80 gal"), "{said}");
    assert!(said.contains("the compressor ran: 190 s"), "{said}");
    // What is not proven stands among the findings, with what would prove it.
    let rows = report.blocks.iter().filter_map(|b| match b {
        Block::Table(table) if table.columns.len() == 4 => Some(&table.rows),
        _ => None,
    });
    let not_proven = rows.flatten().find(|row| {
        matches!(&row[1], Cell::Text(t) if t.show(UnitSystem::Metric) == "Time the condensate")
            && matches!(&row[0], Cell::Text(t) if t.show(UnitSystem::Metric) == "unit D1")
    });
    let Cell::Text(way) = &not_proven.unwrap()[3] else {
        panic!("no words");
    };
    let way = way.show(UnitSystem::Metric);
    assert!(way.contains("start the time"), "{way}");
}

#[test]
fn faults_of_the_record_are_findings_until_they_are_mended() {
    let fault = |cause: Option<&str>, mended| {
        Body::Fault(FaultEntry {
            unit: Some("D1".into()),
            symptoms: vec!["drips".into()],
            cause: cause.map(str::to_owned),
            remedy: "clear the drain".into(),
            mended,
        })
    };
    let open = |bodies| papers(bodies, Vec::new()).0.state;
    let looked_for = fault(None, Mended::Open);
    let found = fault(Some("drain-blocked"), Mended::Open);
    let mended = fault(Some("drain-blocked"), Mended::Done);
    let state = open(vec![looked_for.clone(), found.clone()]);
    assert_eq!(state.findings.len(), 1, "the later entry holds");
    assert_eq!(state.findings[0].place.0, "unit D1");
    assert_eq!(
        state.findings[0].remedy.show(UnitSystem::Metric),
        "clear the drain"
    );
    let state = open(vec![looked_for, found.clone(), mended]);
    assert_eq!((state.findings.len(), state.closed.len()), (0, 1));
    let closed = Body::FindingClosed(FindingClosed {
        check: "fault_recorded".into(),
        place: "unit D1".into(),
        how: "flushed".into(),
    });
    let state = open(vec![found, closed]);
    assert_eq!((state.findings.len(), state.closed.len()), (0, 1));
    assert_eq!(state.closed[0].1.how, "flushed");
}

fn taken_over() -> Body {
    Body::Signed(Signed {
        by: SignedBy::Customer,
        name: "C. Example".into(),
        signature: Signature::OnPaper,
        heads: BTreeMap::new(),
    })
}

/// What stands in a row of the card that begins so.
fn row(card: &Report, what: &str) -> Vec<String> {
    let rows = card.blocks.iter().filter_map(|b| match b {
        Block::Table(table) => Some(table.rows.iter()),
        _ => None,
    });
    let said = |cell: &Cell| match cell {
        Cell::Text(t) => t.show(UnitSystem::Metric),
        other => format!("{other:?}"),
    };
    let mut rows = rows
        .flatten()
        .map(|row| row.iter().map(said).collect::<Vec<_>>());
    rows.find(|row| row[0] == what)
        .unwrap_or_else(|| panic!("no row {what}"))
}

#[test]
fn the_card_for_the_wall_is_one_page() {
    let six = UnitSet::of("generic-70", 6);
    let rooms = [
        ("veg-1", UnitSet::EMPTY),
        ("flower-2", UnitSet::of("generic-200", 2)),
        ("flower-2", six),
        ("drying-1", UnitSet::of("generic-70", 1)),
    ];
    for (name, units) in rooms {
        for bodies in [
            vec![done("D1.filter", &[("in", "yes")], vec![])],
            vec![taken_over()],
        ] {
            let (site, _, card) = papers_of(name, &units, bodies, Vec::new());
            let tags = site.plan.units().len() - 1;
            let asked = usize::try_from(units.count()).unwrap();
            assert!(asked == 0 || tags == asked, "{name}: {tags}");
            for paper in [Paper::A4, Paper::Letter] {
                let bytes = sheet::pdf::pdf(&card, paper).unwrap();
                let pages = Pdf::new(bytes).unwrap().pages().len();
                assert_eq!(pages, 1, "{name}, {tags} units, {paper:?}");
            }
            for what in [
                "Filter",
                "Trap, priming",
                "Drain",
                "Humidity sensor",
                "Lugs and terminals",
            ] {
                row(&card, what);
            }
        }
    }
}

#[test]
fn the_card_says_when_things_were_done_and_are_due() {
    let line = |cell: &String| !cell.is_empty() && cell.chars().all(|c| c == '_');
    let filter = || done("D1.filter", &[("in", "yes")], Vec::new());
    let (_, _, before) = papers(vec![filter()], Vec::new());
    let [.., last, next] = &row(&before, "Filter")[..] else {
        panic!("no dates");
    };
    assert!(
        line(last) && line(next),
        "a line to write on: {last} {next}"
    );
    let (site, _, after) = papers(vec![filter(), taken_over()], Vec::new());
    let [in_at, over_at] = [0, 1].map(|i: usize| site.events[i].at.utc_ms);
    assert_eq!(
        row(&after, "Filter")[3..],
        [format!("{in_at}+0"), format!("{in_at}+1")]
    );
    // Left undone at the start-up: it is due.
    assert_eq!(row(&after, "Humidity sensor")[4], "now");
    // New at the hand-over.
    let lugs = row(&after, "Lugs and terminals");
    assert!(line(&lugs[3]));
    assert_eq!(lugs[4], format!("{over_at}+12"));
    assert!(words(&after).contains(&format!("Handed over {over_at}+0")));
}

#[test]
fn a_unit_that_was_left_out_makes_nothing_due_at_the_others() {
    let two = UnitSet::of("generic-200", 2);
    let filter = || done("D1.filter", &[("in", "yes")], Vec::new());
    let unit = Body::UnitSkipped(UnitSkipped {
        unit: "D2".into(),
        reason: "machine not delivered".into(),
    });
    let step = Body::StepSkipped(StepSkipped {
        unit: Some("D2".into()),
        step: "D2.filter".into(),
        reason: "no time".into(),
    });
    let dates = |bodies| {
        let (site, _, card) = papers_of("flower-2", &two, bodies, Vec::new());
        (site.events[0].at.utc_ms, row(&card, "Filter"))
    };
    let (in_at, with_unit) = dates(vec![filter(), unit.clone(), taken_over()]);
    assert_eq!(with_unit[3..], [format!("{in_at}+0"), format!("{in_at}+1")]);
    // The filter alone left out: it is due.
    let (_, by_itself) = dates(vec![filter(), step, taken_over()]);
    assert_eq!(by_itself[4], "now");
    // No unit is there yet: nothing is due, and there is a line to write on.
    let other = Body::UnitSkipped(UnitSkipped {
        unit: "D1".into(),
        reason: "machine not delivered".into(),
    });
    let (_, none) = dates(vec![other, unit, taken_over()]);
    assert!(none[3..].iter().all(|c| c.starts_with("__")), "{none:?}");
}

#[test]
fn a_room_without_lights_has_no_setpoint_of_lights() {
    let units = UnitSet::of("generic-70", 1);
    let (_, report, card) = papers_of("drying-1", &units, vec![taken_over()], Vec::new());
    for paper in [&report, &card] {
        assert!(!words(paper).contains("lights o"), "{}", words(paper));
        assert_eq!(row(paper, "all hours").len(), 5);
    }
    let (_, _, lit) = papers(vec![taken_over()], Vec::new());
    assert!(words(&lit).contains("lights on"));
}

#[test]
fn a_unit_that_was_left_out_is_told_once_with_its_reason() {
    let left_out = Body::UnitSkipped(UnitSkipped {
        unit: "D1".into(),
        reason: "machine not delivered".into(),
    });
    let filter = done("D1.filter", &[("in", "yes")], Vec::new());
    let (site, report, _) = papers(vec![filter, left_out], Vec::new());
    let said = words(&report);
    assert_eq!(said.matches("machine not delivered").count(), 2, "{said}");
    let out = site.plan.of_unit("D1").count() - 1;
    assert_eq!(site.state.tally().skipped, out);
    assert!(
        said.contains(&format!("{out} of its {} steps", out + 1)),
        "{said}"
    );
    assert!(said.contains("Left out as a whole by A. Example"));
}

//! A start-up from delivery to hand-over: which steps a design calls for, how
//! they open, wait, fail and come back.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use air::MoistAir;
use common::{Sheet, catalog, evaluate, says};
use equipment::FilterState;
use job::record::{
    Answer, Basis, Body, Correction, Draft, Event, FindingClosed, Hash, Measured, Moment, Reading,
    StepDone, StepSkipped, TimerStarted, UnitSkipped, Writer, merge, verify,
};
use job::startup::{
    Acceptance, Asks, BasisIs, Built, Doubt, Kind, Must, Often, Plan, Standing, State, Step,
    WaitFrom, With, plan, state, to_record_first,
};
use job::{
    Control, Drain, Hanging, Inputs, Placement, Power, UnitSet, control, drain, hanging, placement,
    power,
};
use quantity::{Severity, Text, UnitSystem, Value};
use room::Room;

const PANEL: &str = "[[panel]]\nname = \"P\"\nat = [\"0 m\", \"2 m\", \"1.5 m\"]\n\
    voltage = \"208 V\"\nphases = 3\nmain = \"100 A\"\nfree_spaces = 24\n";
const FLOOR_DRAIN: &str = "[[drain]]\nname = \"floor\"\nat = [\"9.5 m\", \"7.5 m\", \"0 m\"]\n";
const HIGH_DRAIN: &str = "[[drain]]\nname = \"high\"\nat = [\"9.5 m\", \"7.5 m\", \"3.9 m\"]\n";

struct Site {
    room: Room,
    placement: Placement,
    hanging: Hanging,
    drain: Drain,
    power: Power,
    control: Control,
}

impl Site {
    fn of(models: &[&str], more: &[&str]) -> Self {
        let mut sheet = Sheet::leafy();
        for (i, model) in models.iter().enumerate() {
            let (tag, x_m) = (i + 1, 1.5 + 2.0 * i as f64);
            sheet = sheet.and(&format!(
                "[[unit]]\ntag = \"D{tag}\"\nmodel = \"{model}\"\nat = [\"{x_m} m\", \"2 m\", \"3 m\"]\nfacing = \"+y\""
            ));
        }
        for text in more {
            sheet = sheet.and(text);
        }
        let room = sheet.room();
        let placement = placement::place(&room, catalog(), &UnitSet::EMPTY).unwrap();
        Self {
            hanging: hanging::hang(&room, catalog(), &placement).unwrap(),
            drain: drain::route(&room, catalog(), &placement).unwrap(),
            power: power::feed(&room, catalog(), &placement).unwrap(),
            control: control::wire(&room, catalog(), &placement).unwrap(),
            placement,
            room,
        }
    }

    fn plan(&self) -> Plan {
        let built = Built {
            design_id: "design",
            placement: &self.placement,
            hanging: &self.hanging,
            drain: &self.drain,
            power: &self.power,
            control: &self.control,
        };
        plan(&self.room, catalog(), built).unwrap()
    }
}

fn usual() -> Plan {
    Site::of(&["generic-70", "generic-200"], &[PANEL, FLOOR_DRAIN]).plan()
}

/// Somebody at work, with a watch.
struct Recorder {
    events: Vec<Event>,
    now: Moment,
    device: &'static str,
}

impl Recorder {
    fn new(device: &'static str) -> Self {
        Self {
            events: Vec::new(),
            now: Moment {
                utc_ms: 1_800_000_000_000,
                clock: format!("boot of {device}"),
                ticks_ms: 5_000,
            },
            device,
        }
    }

    fn later(&mut self, seconds: u64) -> &mut Self {
        self.now.ticks_ms += 1_000 * seconds;
        self.now.utc_ms += 1_000 * seconds as i64;
        self
    }

    fn write(&mut self, body: Body) -> Hash {
        let draft = Draft {
            room: "demo".into(),
            writer: Writer {
                device: self.device.into(),
                device_name: "a phone".into(),
                person: "A. Example".into(),
            },
            at: self.now.clone(),
            body,
        };
        let event = draft.after(self.events.last()).unwrap();
        let hash = event.hash;
        self.events.push(event);
        hash
    }

    fn skip(&mut self, step: &Step) {
        self.write(Body::StepSkipped(StepSkipped {
            unit: step.unit.clone(),
            step: step.id.clone(),
            reason: "not today".into(),
        }));
    }

    fn timer(&mut self, step: &Step) {
        self.write(Body::TimerStarted(TimerStarted {
            unit: step.unit.clone(),
            step: step.id.clone(),
            lasts_ms: 0,
        }));
    }

    fn state(&self, plan: &Plan) -> State {
        state(plan, &self.events, &self.now)
    }
}

/// What a sound plant answers to an entry.
fn good(step: &Step, entry: &job::startup::Entry) -> f64 {
    let plate = match &step.acceptance {
        Acceptance::Nameplate { plate, .. } => **plate,
        Acceptance::Amps { machine, .. } => machine.model.plate,
        _ => catalog().dehumidifiers["generic-70"].plate,
    };
    match (entry.id.as_str(), &step.acceptance) {
        ("stood", _) => 3.0 * 86_400.0,
        ("plate_volts", _) => plate.volts,
        ("plate_min_circuit", _) => plate.min_circuit_a,
        ("plate_max_protection" | "device", _) => plate.max_protection_a,
        ("low_at_front" | "low_at_left", _) => 0.0,
        ("trap_drop", Acceptance::Trap(t)) => t.built.drop_m + 0.003,
        ("trap_seal", Acceptance::Trap(t)) => t.built.seal_m + 0.003,
        ("poured", Acceptance::Prime { least_kg }) => 2.0 * least_kg,
        ("bucket", _) => 5.0,
        ("empty_after", Acceptance::DrainFlow { peak_kg_per_s, .. }) => 2.5 / peak_kg_per_s,
        ("fall", _) => 0.020,
        (id, Acceptance::Volts { rated_v, .. }) if id.starts_with("volts") => *rated_v,
        ("volts_1", Acceptance::Amps { rated_v, .. }) => *rated_v,
        ("room_shows", _) => 0.70,
        ("set_to", _) => 0.45,
        (id, _) if id.starts_with("amps") => 0.85 * plate.full_load_a,
        ("room_dry_bulb" | "inlet_dry_bulb", _) => 22.0,
        ("inlet_humidity", _) => 0.65,
        ("discharge_dry_bulb", _) => 31.0,
        ("discharge_humidity", _) => 0.32,
        ("water", Acceptance::Condensate(m)) => {
            let inlet = MoistAir::from_rel_humidity(22.0, 0.65, m.pressure_pa).unwrap();
            m.model.at(inlet, FilterState::Clean).removal_kg_per_s * 3_600.0
        }
        ("back_after", Acceptance::Restart { delay_s }) => *delay_s,
        ("apart", Acceptance::Stagger { apart_s }) => apart_s + 5.0,
        ("jar_temperature", _) => 25.0,
        ("settled", _) => 7_200.0,
        ("over_nacl", _) => 0.757,
        ("over_mgcl2", _) => 0.330,
        ("dry", _) => 24.0,
        ("wet", _) => 18.0,
        ("sensor_shows", _) => 0.56,
        (id, Acceptance::Setpoints(wanted)) => {
            wanted.iter().find(|w| w.entry == id).unwrap().value.si
        }
        (id, _) => panic!("{id} of {}", step.id),
    }
}

fn reading(step: &Step, id: &str, si: f64) -> Reading {
    let dim = step.entry(id).unwrap().quantity().unwrap().dim;
    Reading {
        entry: id.into(),
        value: Value::new(si, dim),
        typed: None,
        instrument: None,
        // A fair thermometer and a salt-checked hygrometer.
        standard_uncertainty: match id {
            "inlet_dry_bulb" => Some(0.2),
            "inlet_humidity" => Some(0.01),
            _ => None,
        },
    }
}

/// A step done on a sound plant; what may stay empty stays empty.
fn well(step: &Step) -> StepDone {
    let mut done = StepDone {
        unit: step.unit.clone(),
        step: step.id.clone(),
        ..StepDone::default()
    };
    for entry in step
        .entries
        .iter()
        .filter(|e| e.must == Must::Be || step.kind == Kind::Amps)
    {
        match &entry.asks {
            Asks::Quantity(_) => done
                .readings
                .push(reading(step, &entry.id, good(step, entry))),
            Asks::YesNo(_) => done.answers.push(answer(&entry.id, "yes")),
            Asks::Choice(words) => done.answers.push(answer(&entry.id, words[0])),
        }
    }
    done
}

fn answer(entry: &str, said: &str) -> Answer {
    Answer {
        entry: entry.into(),
        said: said.into(),
    }
}

/// Air into a unit while its water is caught.
fn air_in(step: &Step) -> Body {
    Body::Measured(Measured {
        unit: step.unit.clone(),
        step: step.id.clone(),
        readings: vec![
            reading(step, "inlet_dry_bulb", 22.0),
            reading(step, "inlet_humidity", 0.65),
        ],
        note: None,
    })
}

/// Does a step well, with all that it takes.
fn do_well(recorder: &mut Recorder, step: &Step) {
    if step.kind == Kind::Condensate {
        recorder.later(3_600);
        recorder.timer(step);
        for _ in 0..3 {
            recorder.write(air_in(step));
            recorder.later(1_200);
        }
    }
    recorder.write(Body::StepDone(well(step)));
    recorder.later(20);
}

/// Does all steps before one of a kind, waiting where it must be waited.
fn up_to(recorder: &mut Recorder, plan: &Plan, stop: impl Fn(&Step) -> bool) {
    for step in &plan.steps {
        if stop(step) {
            break;
        }
        loop {
            let now = recorder.state(plan);
            match &now.step(&step.id).unwrap().standing {
                Standing::Waiting { left_ms, .. } => {
                    recorder.later(left_ms.unsigned_abs() / 1_000 + 1);
                }
                Standing::Open => {
                    do_well(recorder, step);
                    break;
                }
                _ => break,
            }
        }
    }
}

fn said(state: &State, id: &str) -> String {
    let judgement = state.step(id).unwrap().judgement.as_ref();
    let judgement = judgement.unwrap_or_else(|| panic!("{id} was not done"));
    let texts: Vec<&Text> = std::iter::once(&judgement.said)
        .chain(&judgement.would_prove)
        .collect();
    texts
        .iter()
        .map(|t| t.show(UnitSystem::Metric))
        .collect::<Vec<_>>()
        .join("\n")
}

fn kinds<'a>(plan: &'a Plan, tag: &'a str) -> Vec<Kind> {
    plan.of_unit(tag).map(|s| s.kind).collect()
}

#[test]
fn steps_are_those_that_design_and_records_call_for() {
    let plan = usual();
    let (single, three) = (kinds(&plan, "D1"), kinds(&plan, "D2"));
    assert!(!single.contains(&Kind::Rotation) && three.contains(&Kind::Rotation));
    for tag in ["D1", "D2"] {
        let volts = plan.step(&format!("{tag}.volts")).unwrap();
        assert_eq!(volts.entries.len(), if tag == "D1" { 1 } else { 3 });
    }
    assert!(!single.contains(&Kind::Pump));
    assert!(plan.step("room.stagger").is_some());
    // Water that cannot fall needs a pump, and the pump an alarm.
    let lifted = Site::of(&["generic-70"], &[PANEL, HIGH_DRAIN]).plan();
    assert!(kinds(&lifted, "D1").contains(&Kind::Pump));
    assert!(
        lifted.step("room.stagger").is_none(),
        "one unit starts alone"
    );
    // Set-up is what the record lists, line by line, of units and controllers.
    let record = &catalog().dehumidifiers["generic-70"];
    let set_up = plan.step("D1.set-up").unwrap();
    assert_eq!(set_up.entries.len(), record.control.set_up.len());
    let controllers = plan
        .steps
        .iter()
        .filter(|s| s.unit.is_none() && s.kind == Kind::SetUp);
    assert_eq!(controllers.count(), 1);
    // The delay is the record's.
    let delay = plan.step("D2.delay").unwrap().wait.clone().unwrap();
    assert_eq!(delay.lasts_s, 300.0);
    let from = ["power-on", "rotation", "set-up"].map(|s| format!("D2.{s}"));
    let from = from.into_iter().chain(["C1.set-up".to_owned()]).collect();
    assert_eq!(delay.from, WaitFrom::Steps(from));
    // No unit waits for another: only the hand-over waits for all.
    for step in plan.of_unit("D1") {
        assert!(
            step.needs.iter().all(|n| !n.starts_with("D2")),
            "{}",
            step.id
        );
    }
    let controller = plan.step("C1.set-up").unwrap();
    assert!(controller.needs.is_empty());
}

/// Each model of the catalogue, alone.
#[test]
fn every_machine_of_the_catalogue_can_be_started() {
    for model in catalog().dehumidifiers.keys() {
        let plan = Site::of(&[model], &[PANEL, FLOOR_DRAIN]).plan();
        let ids: std::collections::BTreeSet<&str> =
            plan.steps.iter().map(|s| s.id.as_str()).collect();
        assert_eq!(ids.len(), plan.steps.len(), "{model}: one id, one step");
        let mut recorder = Recorder::new("a");
        up_to(&mut recorder, &plan, |_| false);
        let end = recorder.state(&plan);
        for (step, now) in plan.steps.iter().zip(&end.steps) {
            assert_eq!(
                now.standing,
                Standing::Done,
                "{model}: {}: {:?}",
                step.id,
                now
            );
        }
        assert!(end.findings.is_empty(), "{model}: {:?}", end.findings);
        let judged = end.steps.iter().filter_map(|s| s.judgement.as_ref());
        let evaluated: usize = judged.flat_map(|j| &j.workings).map(evaluate).sum();
        assert!(12 < evaluated, "{model}: {evaluated}");
        assert!(verify(&recorder.events).is_whole());
    }
}

/// The rooms of the demonstration, each with two units that the search places.
#[test]
fn rooms_of_the_demonstration_have_a_plan_in_order() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../cases/demo");
    let text = |name: &str| std::fs::read_to_string(folder.join(name)).unwrap();
    let site = text("site.toml");
    for name in [
        "flower-2.room.toml",
        "veg-1.room.toml",
        "drying-1.room.toml",
    ] {
        let room = Room::read(Some(("site.toml", &site)), (name, &text(name))).unwrap();
        let set = UnitSet::of("generic-70", 1).and("generic-90-cold", 1);
        let placement = placement::place(&room, catalog(), &set).unwrap();
        let site = Site {
            hanging: hanging::hang(&room, catalog(), &placement).unwrap(),
            drain: drain::route(&room, catalog(), &placement).unwrap(),
            power: power::feed(&room, catalog(), &placement).unwrap(),
            control: control::wire(&room, catalog(), &placement).unwrap(),
            placement,
            room,
        };
        let plan = site.plan();
        let mut before: Vec<&str> = Vec::new();
        for step in &plan.steps {
            for need in &step.needs {
                assert!(
                    before.contains(&need.as_str()),
                    "{name}: {} before {need}",
                    step.id
                );
            }
            before.push(&step.id);
        }
        assert_eq!(before.last(), Some(&"room.hand-over"), "{name}");
        for unit in &site.placement.units {
            let own = kinds(&plan, &unit.tag);
            for kind in [Kind::Trap, Kind::Prime, Kind::SetUp, Kind::Condensate] {
                assert!(own.contains(&kind), "{name}: {}: {kind:?}", unit.tag);
            }
        }
    }
}

#[test]
fn every_step_says_what_why_and_what_hurts() {
    for step in usual().steps {
        assert!(
            !step.title.is_empty() && !step.reason.is_empty(),
            "{}",
            step.id
        );
        let mut ids = std::collections::BTreeSet::new();
        for entry in &step.entries {
            assert!(ids.insert(&entry.id), "{}: {}", step.id, entry.id);
            if let Some(q) = entry.quantity() {
                assert!(
                    q.allowed[0] <= q.plausible[0] && q.plausible[1] <= q.allowed[1],
                    "{} {}",
                    step.id,
                    entry.id
                );
            }
            if let Asks::YesNo(if_not) = &entry.asks {
                assert!(!if_not.remedy.is_empty(), "{}: {}", step.id, entry.id);
            }
        }
        let dangerous = matches!(
            step.kind,
            Kind::Carried
                | Kind::Level
                | Kind::Nameplate
                | Kind::Volts
                | Kind::PowerOn
                | Kind::Amps
                | Kind::Restart
        );
        assert!(!dangerous || !step.hazards.is_empty(), "{}", step.id);
    }
}

#[test]
fn a_step_stays_closed_until_those_before_it_are_done() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    let begin = recorder.state(&plan);
    assert_eq!(begin.basis, BasisIs::NotStarted);
    let standing = |state: &State, id: &str| state.step(id).unwrap().standing.clone();
    assert_eq!(standing(&begin, "D1.delivered"), Standing::Open);
    assert_eq!(standing(&begin, "D1.filter"), Standing::Open, "any order");
    let Standing::Closed { waits_for } = standing(&begin, "D1.power-on") else {
        panic!("open")
    };
    assert!(waits_for.contains(&"D1.volts".into()) && waits_for.contains(&"D1.prime".into()));
    // Left out with a reason, it no longer stands in the way, and shows.
    recorder.write(Body::StepDone(well(plan.step("D1.carried").unwrap())));
    recorder.skip(plan.step("D1.level").unwrap());
    let now = recorder.state(&plan);
    assert_eq!(standing(&now, "D1.trap"), Standing::Open);
    assert_eq!(
        standing(&now, "D1.level"),
        Standing::Skipped {
            reason: "not today".into(),
            with: With::Itself,
        }
    );
    assert_eq!((now.tally().skipped, now.tally().done), (1, 1));
    // One unit does not wait for another.
    assert_eq!(standing(&now, "D2.delivered"), Standing::Open);
}

#[test]
fn the_delay_of_the_record_is_waited_out_by_the_clock_of_the_server() {
    let plan = Site::of(&["generic-200"], &[PANEL, FLOOR_DRAIN]).plan();
    let mut recorder = Recorder::new("a");
    up_to(&mut recorder, &plan, |s| s.id == "D1.delay");
    // From power-up or what was last set up, not from when somebody looked.
    let now = recorder.state(&plan);
    let at = |id: &str| now.step(id).unwrap().at.clone().unwrap();
    let from = at("C1.set-up");
    assert!(at("D1.power-on").utc_ms < from.utc_ms);
    let Standing::Waiting {
        until_utc_ms,
        left_ms,
    } = now.step("D1.delay").unwrap().standing
    else {
        panic!("{:?}", now.step("D1.delay"));
    };
    assert_eq!(until_utc_ms, from.utc_ms + 300_000);
    assert!(0 < left_ms && left_ms < 300_000);
    let closed = |s: &State| {
        matches!(
            s.step("D1.running").unwrap().standing,
            Standing::Closed { .. }
        )
    };
    assert!(closed(&now));
    // The clock of the server is set back by an hour: the wait is as long as it
    // was, and somebody is told.
    recorder.now.utc_ms -= 3_600_000;
    recorder.later(100);
    let set_back = recorder.state(&plan);
    let delay = set_back.step("D1.delay").unwrap();
    assert!(
        matches!(delay.standing, Standing::Waiting { left_ms: l, .. } if l == left_ms - 100_000)
    );
    assert_eq!(delay.clock_set_ms, -3_600_000, "{delay:?}");
    recorder.later(u64::try_from(left_ms).unwrap() / 1_000);
    let over = recorder.state(&plan);
    let delay = over.step("D1.delay").unwrap();
    assert_eq!(delay.standing, Standing::Done);
    // Over when the time was, not when it began; nobody did it.
    assert_eq!(delay.at.as_ref().unwrap().utc_ms, from.utc_ms + 300_000);
    assert_eq!(delay.by, None);
    assert_eq!(over.step("D1.running").unwrap().standing, Standing::Open);
    // Power was lost meanwhile: the timer is started anew.
    let delay = plan.step("D1.delay").unwrap();
    recorder.timer(delay);
    assert!(closed(&recorder.state(&plan)));
    // It runs already, says somebody who sees it: nobody is kept waiting.
    recorder.write(Body::StepDone(well(delay)));
    let seen = recorder.state(&plan);
    assert_eq!(seen.step("D1.running").unwrap().standing, Standing::Open);
}

#[test]
fn a_stop_keeps_what_follows_closed_until_it_is_put_right() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    up_to(&mut recorder, &plan, |s| s.id == "D1.volts");
    let volts = plan.step("D1.volts").unwrap();
    let mut low = well(volts);
    low.readings[0].value.si = 180.0;
    let wrong = recorder.write(Body::StepDone(low));
    let up_to_power = |r: &mut Recorder| up_to(r, &plan, |s| s.id == "D1.power-on");
    up_to_power(&mut recorder);
    let now = recorder.state(&plan);
    assert_eq!(now.step("D1.volts").unwrap().standing, Standing::Failed);
    assert_eq!(
        now.step("D1.power-on").unwrap().standing,
        Standing::Closed {
            waits_for: vec!["D1.volts".into()]
        }
    );
    let finding = &now.findings[0];
    says(finding);
    assert_eq!(
        (finding.check.as_ref(), finding.severity),
        ("volts_outside_plate", Severity::Stop)
    );
    let open =
        |r: &Recorder| r.state(&plan).step("D1.power-on").unwrap().standing == Standing::Open;

    // Three ways on: it was typed wrong, it was mended, it is accepted.
    let before = recorder.events.clone();
    recorder.write(Body::Correction(Box::new(Correction {
        of: wrong,
        reason: "1 for 2".into(),
        instead: Some(Body::StepDone(well(volts))),
    })));
    assert!(open(&recorder));
    let corrected = recorder.state(&plan);
    let corrected = corrected.step("D1.volts").unwrap();
    assert_eq!(
        (corrected.corrections.len(), corrected.event),
        (1, Some(wrong))
    );

    recorder.events = before.clone();
    recorder.later(600).write(Body::StepDone(well(volts)));
    assert!(open(&recorder));

    recorder.events = before;
    recorder.write(Body::FindingClosed(FindingClosed {
        check: "volts_outside_plate".into(),
        place: "unit D1".into(),
        how: "tap changed, 236 V".into(),
    }));
    assert!(open(&recorder));
    let closed = recorder.state(&plan);
    assert_eq!((closed.closed.len(), closed.findings.len()), (1, 0));
    // Failing again opens it again.
    let mut again = well(volts);
    again.readings[0].value.si = 181.0;
    recorder.later(60).write(Body::StepDone(again));
    assert!(!open(&recorder));
}

/// The plate on the unit rules over the record and over what was drawn by it.
#[test]
fn a_device_above_the_plate_is_brought_down_to_the_plate_not_to_the_sheet() {
    let plan = usual();
    let step = plan.step("D1.nameplate").unwrap();
    let Acceptance::Nameplate {
        designed_a: Some(sheet_a),
        ..
    } = step.acceptance
    else {
        panic!("{:?}", step.acceptance)
    };
    let plate_a = sheet_a - 5.0;
    let judged = |device_a: f64| {
        let mut recorder = Recorder::new("a");
        let mut done = well(step);
        for reading in &mut done.readings {
            match reading.entry.as_str() {
                "plate_max_protection" => reading.value.si = plate_a,
                "device" => reading.value.si = device_a,
                _ => {}
            }
        }
        recorder.write(Body::StepDone(done));
        recorder.state(&plan).findings
    };
    let of = |findings: &[quantity::Finding], check: &str| {
        findings.iter().find(|f| f.check == check).cloned()
    };
    let plate_a_words = Value::new(plate_a, quantity::Dim::Current).show(UnitSystem::Metric);
    let plate = format!("{plate_a_words} at most");
    let over = judged(sheet_a);
    let device = of(&over, "device_above_plate_on_site").unwrap();
    says(&device);
    let remedy = device.remedy.show(UnitSystem::Metric);
    assert!(remedy.contains(&plate), "{remedy}");
    assert!(remedy.contains("must be made anew"), "{remedy}");
    assert_eq!(device.severity, Severity::Stop);
    // Also with the right device in the panel, the sheet must not stand.
    for found in [over, judged(plate_a)] {
        let sheet = of(&found, "sheet_above_plate_on_site").unwrap();
        says(&sheet);
        assert_eq!(
            (sheet.step, sheet.severity),
            (quantity::Step::Power, Severity::Stop)
        );
    }
    assert!(of(&judged(plate_a), "device_above_plate_on_site").is_none());
    // One that is too small is not made larger than the plate allows.
    let small = of(&judged(1.0), "device_below_circuit_on_site").unwrap();
    let remedy = small.remedy.show(UnitSystem::Metric);
    assert!(
        remedy.contains(&format!("at most {plate_a_words}")),
        "{remedy}"
    );
}

/// A trap that works with less than the margin is done, and not silently.
#[test]
fn what_works_and_is_not_as_drawn_is_done_with_a_finding() {
    let plan = usual();
    let step = plan.step("D1.trap").unwrap();
    let Acceptance::Trap(drawn) = &step.acceptance else {
        panic!("{:?}", step.acceptance)
    };
    let judged = |seal_m: f64| {
        let mut recorder = Recorder::new("a");
        let mut done = well(step);
        done.readings[1].value.si = seal_m;
        recorder.write(Body::StepDone(done));
        let state = recorder.state(&plan);
        let step = state.step("D1.trap").unwrap();
        (step.standing.clone(), step.word())
    };
    assert_eq!(judged(drawn.built.seal_m), (Standing::Done, "done"));
    let shallow_m = 0.5 * (0.5 * drawn.head_m + drawn.rule.seal_m);
    assert_eq!(judged(shallow_m), (Standing::Done, "done, with a finding"));
}

#[test]
fn what_must_only_be_mended_does_not_stop_the_work() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    up_to(&mut recorder, &plan, |s| s.id == "D1.filter");
    let mut without = well(plan.step("D1.filter").unwrap());
    without.answers[0].said = "no".into();
    recorder.write(Body::StepDone(without));
    up_to(&mut recorder, &plan, |s| s.id == "D1.power-on");
    let now = recorder.state(&plan);
    assert_eq!(now.step("D1.filter").unwrap().standing, Standing::Failed);
    assert_eq!(now.step("D1.power-on").unwrap().standing, Standing::Open);
    assert_eq!(now.findings[0].check, "filter_in");
    assert_eq!(now.findings[0].severity, Severity::Fix);
}

#[test]
fn condensate_is_judged_by_the_map_at_the_air_that_was_read() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    up_to(&mut recorder, &plan, |s| s.id == "D2.condensate");
    let step = plan.step("D2.condensate").unwrap();
    let before = recorder.events.clone();
    let now = recorder.now.clone();

    do_well(&mut recorder, step);
    let good = recorder.state(&plan);
    assert_eq!(
        good.step(&step.id).unwrap().standing,
        Standing::Done,
        "{}",
        said(&good, &step.id)
    );
    let judgement = good.step(&step.id).unwrap().judgement.clone().unwrap();
    assert!(2 <= judgement.workings.len());

    // Half the water: it fails, with causes and the way back.
    (recorder.events, recorder.now) = (before.clone(), now.clone());
    do_well(&mut recorder, step);
    let Body::StepDone(mut half) = recorder.events.pop().unwrap().body else {
        panic!("not done")
    };
    let water = half
        .readings
        .iter_mut()
        .find(|r| r.entry == "water")
        .unwrap();
    water.value.si *= 0.5;
    recorder.now.utc_ms -= 20_000;
    recorder.now.ticks_ms -= 20_000;
    recorder.write(Body::StepDone(half));
    let bad = recorder.state(&plan);
    assert_eq!(bad.step(&step.id).unwrap().standing, Standing::Failed);
    let finding = bad
        .findings
        .iter()
        .find(|f| f.check == "removes_too_little")
        .unwrap();
    says(finding);

    // At once after the start, without time: nothing is proven, and said why.
    (recorder.events, recorder.now) = (before, now);
    recorder.write(Body::StepDone(well(step)));
    let soon = recorder.state(&plan);
    assert_eq!(soon.step(&step.id).unwrap().standing, Standing::NotProven);
    assert!(
        said(&soon, &step.id).contains("start the time"),
        "{}",
        said(&soon, &step.id)
    );
}

#[test]
fn a_test_that_stops_the_unit_begins_its_run_anew() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    up_to(&mut recorder, &plan, |s| s.id == "D1.condensate");
    recorder.later(7_200);
    let restart = plan.step("D1.restart").unwrap();
    recorder.write(Body::StepDone(well(restart)));
    let step = plan.step("D1.condensate").unwrap();
    recorder.later(60).timer(step);
    for _ in 0..3 {
        recorder.write(air_in(step));
        recorder.later(1_200);
    }
    recorder.write(Body::StepDone(well(step)));
    let now = recorder.state(&plan);
    assert_eq!(now.step(&step.id).unwrap().standing, Standing::NotProven);
    assert!(
        said(&now, &step.id).contains("had run for only"),
        "{}",
        said(&now, &step.id)
    );
}

/// Far too little water: only a fair catch condemns the unit by it.
#[test]
fn a_catch_that_was_not_fair_condemns_no_unit() {
    let plan = usual();
    let step = plan.step("D1.condensate").unwrap();
    let overflow = plan.step("D1.overflow").unwrap();
    let of = |readings: usize, spoil: bool| {
        let mut recorder = Recorder::new("a");
        up_to(&mut recorder, &plan, |s| s.id == "D1.condensate");
        recorder.later(3_600).timer(step);
        let cautioned = recorder
            .state(&plan)
            .step("D1.overflow")
            .unwrap()
            .caution
            .clone();
        assert!(cautioned.is_some(), "while water is caught");
        for i in 0..3 {
            if i < readings {
                recorder.write(air_in(step));
            }
            recorder.later(1_200);
        }
        if spoil {
            recorder.write(Body::StepDone(well(overflow)));
            recorder.later(60);
        }
        let mut done = well(step);
        done.readings.retain(|r| r.entry == "water");
        done.readings[0].value.si *= 0.1;
        recorder.write(Body::StepDone(done));
        let state = recorder.state(&plan);
        assert_eq!(state.step("D1.overflow").unwrap().caution, None);
        state
    };
    let standing = |state: &State| state.step(&step.id).unwrap().standing.clone();
    assert_eq!(standing(&of(3, false)), Standing::Failed);
    let few = of(1, false);
    assert_eq!(standing(&few), Standing::NotProven);
    let text = said(&few, &step.id);
    assert!(text.contains("entered 1 of 3 times"), "{text}");
    assert!(!text.contains("not entered"), "{text}");
    let spoiled = of(3, true);
    assert_eq!(standing(&spoiled), Standing::NotProven);
    let text = said(&spoiled, &step.id);
    assert!(
        text.contains("this was done: Try the overflow switch"),
        "{text}"
    );
    assert!(text.contains("leave the unit alone"), "{text}");
    assert!(spoiled.findings.is_empty());
}

#[test]
fn two_people_start_two_units_and_merge() {
    let plan = usual();
    let (mut ann, mut bob) = (Recorder::new("ann"), Recorder::new("bob"));
    for step in plan.of_unit("D1").take(6) {
        do_well(&mut ann, step);
    }
    for step in plan.of_unit("D2").take(6) {
        do_well(&mut bob, step);
    }
    let both = merge(&ann.events, &bob.events);
    assert_eq!(both, merge(&bob.events, &ann.events));
    let now = state(&plan, &both, &ann.now);
    assert_eq!(now.tally().done, 12);
    assert!(verify(&both).is_whole());
}

#[test]
fn a_room_file_that_changed_since_is_told() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    let mut basis = Basis::of(&Inputs {
        room: "[room]".into(),
        ..Inputs::default()
    });
    basis.design_id = "design".into();
    recorder.write(Body::Started(basis.clone()));
    assert_eq!(recorder.state(&plan).basis, BasisIs::Same);
    basis.design_id = "another".into();
    recorder.write(Body::RoomChanged(basis));
    assert_eq!(recorder.state(&plan).basis, BasisIs::Other);
}

#[test]
fn start_and_change_are_recorded_once() {
    let mut recorder = Recorder::new("a");
    let inputs = |room: &str| Inputs {
        room: room.into(),
        ..Inputs::default()
    };
    let first = to_record_first(&recorder.events, &inputs("one")).unwrap();
    assert_eq!(first.kind(), "start");
    recorder.write(first);
    assert_eq!(to_record_first(&recorder.events, &inputs("one")), None);
    let changed = to_record_first(&recorder.events, &inputs("two")).unwrap();
    assert_eq!(changed.kind(), "room changed");
    recorder.write(changed);
    assert_eq!(to_record_first(&recorder.events, &inputs("two")), None);
    // Back to what it was is a change too.
    assert!(to_record_first(&recorder.events, &inputs("one")).is_some());
    assert!(verify(&recorder.events).is_whole());
}

#[test]
fn readings_notes_and_photos_come_with_their_step() {
    let plan = usual();
    let step = plan.step("D1.condensate").unwrap();
    let mut recorder = Recorder::new("a");
    recorder.timer(step);
    let begun = recorder.now.clone();
    recorder.later(60).write(Body::Measured(Measured {
        unit: step.unit.clone(),
        step: step.id.clone(),
        readings: vec![reading(step, "inlet_dry_bulb", 22.0)],
        note: Some("fan on".into()),
    }));
    let going_on = recorder.state(&plan);
    let now = going_on.step(&step.id).unwrap();
    assert_eq!((now.readings.len(), now.begun.as_ref()), (1, Some(&begun)));
    assert_eq!(now.notes, [("A. Example".to_owned(), "fan on".to_owned())]);
    let mut done = well(step);
    done.photos = vec![Hash::of(b"jug")];
    recorder.write(Body::StepDone(done));
    recorder.write(Body::Photo(job::record::Photo {
        unit: step.unit.clone(),
        step: Some(step.id.clone()),
        hash: Hash::of(b"jug"),
        bytes: 3,
        width: 1,
        height: 1,
        caption: None,
    }));
    let end = recorder.state(&plan);
    let end = end.step(&step.id).unwrap();
    assert_eq!(end.photos, [Hash::of(b"jug")]);
    assert!(3 < end.readings.len());
}

#[test]
fn what_is_typed_wrong_is_asked_about() {
    let plan = usual();
    let amps = plan.step("D1.amps").unwrap().entry("amps_1").unwrap();
    let value = |text: &str, dim| quantity::read(text, dim).unwrap();
    let dim = amps.quantity().unwrap().dim;
    assert_eq!(amps.doubt(value("5.9 A", dim), UnitSystem::Metric), None);
    let Some(Doubt::Ask { said, perhaps }) = amps.doubt(value("400 A", dim), UnitSystem::Metric)
    else {
        panic!("taken")
    };
    assert_eq!(perhaps.unwrap().si, 4.0);
    assert!(said.contains("400 A"));
    let water = plan.step("D1.condensate").unwrap().entry("water").unwrap();
    let dim = water.quantity().unwrap().dim;
    assert!(matches!(
        water.doubt(value("-2 L", dim), UnitSystem::Metric),
        Some(Doubt::Refused(_))
    ));
    assert_eq!(water.often, Often::Once);
}

/// Records come in pieces, from several devices, with anything in them.
mod any_record {
    use super::*;
    use proptest::prelude::*;

    fn written() -> &'static (Plan, Vec<Event>, Moment) {
        static WRITTEN: std::sync::OnceLock<(Plan, Vec<Event>, Moment)> =
            std::sync::OnceLock::new();
        WRITTEN.get_or_init(|| {
            let plan = usual();
            let mut recorder = Recorder::new("a");
            up_to(&mut recorder, &plan, |_| false);
            (plan, recorder.events, recorder.now)
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(64) })]

        #[test]
        fn has_a_state(keep in proptest::collection::vec(any::<bool>(), 200), factor in -10.0..10.0_f64, now_ms in any::<i64>()) {
            let (plan, events, _) = written();
            let mut part: Vec<Event> = Vec::new();
            for (event, _) in events.iter().zip(keep).filter(|(_, keep)| *keep) {
                let mut body = event.body.clone();
                if let Body::StepDone(done) = &mut body {
                    for reading in &mut done.readings {
                        reading.value.si *= factor;
                    }
                }
                let draft = Draft { room: event.room.clone(), writer: event.writer.clone(), at: event.at.clone(), body };
                part.push(draft.after(part.last()).unwrap());
            }
            let now = Moment { utc_ms: now_ms, clock: "other".into(), ticks_ms: 0 };
            let found = state(plan, &part, &now);
            prop_assert_eq!(found.steps.len(), plan.steps.len());
            for (step, now) in plan.steps.iter().zip(&found.steps) {
                // What stands in the way is a step that is not done, or stops.
                if let Standing::Closed { waits_for } = &now.standing {
                    prop_assert!(!waits_for.is_empty());
                    for id in waits_for {
                        prop_assert!(step.needs.contains(id));
                        prop_assert!(found.step(id).unwrap().standing != Standing::Done);
                    }
                }
            }
            for finding in &found.findings {
                prop_assert!(!finding.what.show(UnitSystem::Us).is_empty());
                prop_assert!(!finding.remedy.show(UnitSystem::Us).is_empty());
            }
        }
    }
}

/// Units as instruments of the trade have them, from memory: steel rules in mm
/// or in, levels in mm/m or in/ft, jugs in L or pt, buckets in L or gal.
#[test]
fn every_entry_is_offered_in_the_unit_of_its_instrument() {
    let offered = |metric: &str, us: &str| vec![[metric.to_owned(), us.to_owned()]];
    let same = |unit: &str| offered(unit, unit);
    let mut seen = 0;
    let entries = usual().steps.into_iter().flat_map(|s| s.entries);
    for entry in entries {
        let Some(asked) = entry.quantity() else {
            continue;
        };
        let fit = match entry.id.as_str() {
            "plate_volts" | "volts_1" | "volts_2" | "volts_3" => same("V"),
            "plate_min_circuit" | "plate_max_protection" | "device" => same("A"),
            "amps_1" | "amps_2" | "amps_3" => same("A"),
            "low_at_front" | "low_at_left" | "fall" => offered("mm/m", "in/ft"),
            "trap_drop" | "trap_seal" => offered("mm", "in"),
            "poured" => [offered("mL", "fl oz"), offered("L", "pt")].concat(),
            "bucket" => offered("L", "gal"),
            "water" => [offered("L", "pt"), offered("L", "gal")].concat(),
            "empty_after" | "back_after" | "apart" => same("s"),
            "over" | "settled" => same("min"),
            "stood" => same("h"),
            "cycles" => same(""),
            "room_shows" | "set_to" | "inlet_humidity" | "discharge_humidity" | "over_nacl"
            | "over_mgcl2" | "sensor_shows" => same("%RH"),
            "room_dry_bulb" | "inlet_dry_bulb" | "discharge_dry_bulb" | "jar_temperature"
            | "dry" | "wet" => offered("°C", "°F"),
            id if id.starts_with("set_lights") => same("%RH"),
            id => panic!("which unit is {id} read in?"),
        };
        let is = [UnitSystem::Metric, UnitSystem::Us].map(|s| asked.unit(s).to_owned());
        assert!(fit.contains(&is), "{}: {is:?}", entry.id);
        seen += 1;
    }
    assert!(40 < seen, "{seen}");
}

fn unit_skipped(unit: &str, reason: &str) -> Body {
    Body::UnitSkipped(UnitSkipped {
        unit: unit.into(),
        reason: reason.into(),
    })
}

fn withdrawn(of: Hash) -> Body {
    Body::Correction(Box::new(Correction {
        of,
        reason: "delivered today".into(),
        instead: None,
    }))
}

#[test]
fn a_unit_is_left_out_as_a_whole_and_taken_up_again() {
    let plan = usual();
    let mut recorder = Recorder::new("a");
    let first = plan.of_unit("D2").next().unwrap();
    do_well(&mut recorder, first);
    let before = recorder.state(&plan);
    let left_out = recorder.write(unit_skipped("D2", "machine not delivered"));
    let now = recorder.state(&plan);
    for step in plan.of_unit("D2") {
        let standing = &now.step(&step.id).unwrap().standing;
        if step.id == first.id {
            assert_eq!(*standing, Standing::Done);
            continue;
        }
        let wanted = Standing::Skipped {
            reason: "machine not delivered".into(),
            with: With::Unit,
        };
        assert_eq!(*standing, wanted, "{}", step.id);
    }
    for step in plan.of_unit("D1") {
        let same = |s: &State| s.step(&step.id).unwrap().standing.clone();
        assert_eq!(same(&now), same(&before), "{}", step.id);
    }
    let said = now.unit_left_out("D2").unwrap();
    assert_eq!(
        (said.events.as_slice(), said.by.as_str()),
        (&[left_out][..], "A. Example")
    );
    // The hand-over does not wait for it.
    up_to(&mut recorder, &plan, |s| {
        s.kind == Kind::HandOver || s.unit.as_deref() == Some("D2")
    });
    for step in plan
        .steps
        .iter()
        .filter(|s| s.unit.is_none() && s.kind != Kind::HandOver)
    {
        do_well(&mut recorder, step);
    }
    for step in plan.of_unit("D1") {
        if !recorder
            .state(&plan)
            .step(&step.id)
            .unwrap()
            .standing
            .is_dealt_with()
        {
            recorder.skip(step);
        }
    }
    let now = recorder.state(&plan);
    assert_eq!(now.step("room.hand-over").unwrap().standing, Standing::Open);
    // One of its steps can be done all the same, and stays done.
    let filter = plan.step("D2.filter").unwrap();
    do_well(&mut recorder, filter);
    assert_eq!(
        recorder.state(&plan).step("D2.filter").unwrap().standing,
        Standing::Done
    );
    recorder.write(withdrawn(left_out));
    let now = recorder.state(&plan);
    assert_eq!(now.unit_left_out("D2"), None);
    assert_eq!(now.step("D2.filter").unwrap().standing, Standing::Done);
    assert_eq!(now.step("D2.carried").unwrap().standing, Standing::Open);
    assert!(matches!(
        now.step("room.hand-over").unwrap().standing,
        Standing::Closed { .. }
    ));
    assert!(verify(&recorder.events).is_whole());
}

/// What one person measured on a unit that another left out is not lost,
/// whichever of the two was first; and both must be taken back where both left
/// it out.
#[test]
fn leaving_a_unit_out_merges_with_work_on_it() {
    let plan = usual();
    for (ann_s, bob_s) in [(0, 600), (600, 0)] {
        let (mut ann, mut bob) = (Recorder::new("ann"), Recorder::new("bob"));
        ann.later(ann_s);
        bob.later(bob_s);
        let of_ann = ann.write(unit_skipped("D2", "not delivered"));
        let step = plan.of_unit("D2").next().unwrap();
        do_well(&mut bob, step);
        let both = merge(&ann.events, &bob.events);
        assert_eq!(both, merge(&bob.events, &ann.events));
        let now = state(&plan, &both, &ann.now);
        assert_eq!(now.step(&step.id).unwrap().standing, Standing::Done);
        assert_eq!(now.tally().skipped, plan.of_unit("D2").count() - 1);
        let of_bob = bob.write(unit_skipped("D2", "no power yet"));
        let both = merge(&ann.events, &bob.events);
        let left_out = state(&plan, &both, &ann.now)
            .unit_left_out("D2")
            .cloned()
            .unwrap();
        assert_eq!(left_out.events.len(), 2);
        ann.write(withdrawn(of_ann));
        ann.write(withdrawn(of_bob));
        let both = merge(&ann.events, &bob.events);
        assert_eq!(state(&plan, &both, &ann.now).units_left_out, []);
        assert!(verify(&both).is_whole());
    }
}

//! `drywright start`: the steps of a start-up, and what is recorded of them.

mod record;

use std::collections::BTreeMap;
use std::path::Path;

use anyhow::{Context as _, Result, bail};
use job::record::{
    Body, Correction, FindingClosed, Note, Reading, StepDone, StepSkipped, TimerStarted,
    UnitSkipped,
};
use job::startup::{BasisIs, Often, Standing, Step, With};
use quantity::{Severity, UnitSystem, counted};

pub(crate) use record::{doubts, faults};
use record::{mend, merge, verify};

use crate::cli::{Shown, StartArgs};
use crate::project::folder_of;
use crate::record::{LARGEST_PHOTO, Position, Store, Taken};
use crate::results::StartResult;
use crate::startup::kept::{self, AtHand};
use crate::startup::{
    Fault, Form, Paperwork, Stands, Start, Whole, each_by_option, entered, read_before, says,
    taken_up,
};
use crate::{Verdict, files, out};

pub(crate) fn run(args: &StartArgs, shown: Shown) -> Result<Verdict> {
    let at_hand = AtHand::of(&args.path);
    // What concerns the record alone does not ask for the room.
    let store = match &at_hand {
        Ok(at_hand) => Store::of(&at_hand.project.folder()),
        Err(_) if args.path.is_dir() => Store::of(&args.path),
        Err(_) => Store::of(&folder_of(&args.path)),
    };
    if args.mend {
        mend(&store)?;
    }
    if args.verify {
        return verify(&store);
    }
    if let Some(to) = &args.export {
        let exported = store.export(to)?;
        let without = match exported.without {
            0 => String::new(),
            n => format!(
                " {} that it names {} not here: --verify tells which.",
                counted(n, "photo"),
                if n == 1 { "is" } else { "are" }
            ),
        };
        out::print(&format!(
            "{} holds the whole record, {} in it; --merge takes it up elsewhere.{without}\n",
            to.display(),
            counted(exported.photos, "photo")
        ))?;
        return Ok(Verdict::Clear);
    }
    let AtHand {
        project,
        kept_since,
    } = at_hand?;
    if let Some(why) = &kept_since {
        out::message(&kept::words(why));
    }
    if let Some(other) = &args.merge {
        merge(&project, &store, other)?;
    }
    let units = project.units(shown);
    let start = Start::of(project)?;
    let what = asked(args, &start, &store, units)?;
    if !what.is_empty() {
        let who = name_of(args)?;
        let added = start.record(&store, (&who, None), what, None)?;
        out::message(&format!(
            "recorded: {} ({})",
            added.event.body.kind(),
            added.event.hash.short()
        ));
    }
    let stands = start.standing(&store)?;
    if args.handover.is_some() || args.labels.is_some() {
        let read = store.verify()?;
        let paperwork = Paperwork {
            start: &start,
            store: &store,
            stands: &stands,
            read: &read,
            units,
            kept_since: kept_since.as_deref(),
        };
        papers(args, &paperwork)?;
    }
    show(&start, &stands, args, shown, kept_since.as_deref())?;
    let stops = stands
        .state
        .findings
        .iter()
        .any(|f| f.severity == Severity::Stop);
    Ok(Verdict::from_stops(stops || !stands.read.is_whole()))
}

/// Writes the papers that are asked for.
fn papers(args: &StartArgs, paperwork: &Paperwork<'_>) -> Result<()> {
    let paper = super::design::paper(args.paper, paperwork.units);
    let mut all = Vec::new();
    if let Some(file) = &args.handover {
        all.push((file.clone(), paperwork.handover()));
        all.push((file.with_extension("card.pdf"), paperwork.card()));
    }
    if let (Some(file), Some(address)) = (&args.labels, &args.address) {
        let server = address.to_lowercase();
        let host = server
            .strip_prefix("http://")
            .or_else(|| server.strip_prefix("https://"))
            .map(|host| host.trim_end_matches('/'));
        if host.is_none_or(|h| h.is_empty() || h.contains(['/', ' ', '?', '#'])) {
            bail!(
                "--address {address:?} is no address of a server; write it as \"http://192.168.1.20:8137\""
            );
        }
        all.push((file.clone(), paperwork.labels(&server)));
    }
    for (to, report) in all {
        files::write_whole(&to, &sheet::pdf::pdf(&report, paper)?)?;
        out::message(&format!("written: {}", to.display()));
    }
    Ok(())
}

/// Who acts: as said, else as the machine knows the person.
fn name_of(args: &StartArgs) -> Result<String> {
    let var = |name| std::env::var(name).ok().filter(|v| !v.is_empty());
    args.by
        .clone()
        .or_else(|| var("USER"))
        .or_else(|| var("USERNAME"))
        .context("say who did it: --by NAME")
}

/// What the command line says that happened; empty: nothing, only show.
fn asked(args: &StartArgs, start: &Start, store: &Store, units: UnitSystem) -> Result<Vec<Body>> {
    match &args.take_up {
        Some(tag) => take_up(args, start, store, tag),
        None => Ok(one_asked(args, start, store, units)?.into_iter().collect()),
    }
}

/// A unit that was left out is taken up again.
fn take_up(args: &StartArgs, start: &Start, store: &Store, tag: &str) -> Result<Vec<Body>> {
    let tag = unit(start, tag)?;
    let stands = start.standing(store)?;
    let left_out = stands
        .state
        .unit_left_out(tag)
        .with_context(|| format!("{tag} is not left out as a whole"))?;
    let reason = args
        .reason
        .as_deref()
        .context("say why it is taken up again: --reason \"…\"")?;
    Ok(taken_up(left_out, reason))
}

/// A tag of a unit that the room has.
fn unit<'a>(start: &'a Start, tag: &str) -> Result<&'a str> {
    let all: Vec<&str> = start.plan.units().into_iter().flatten().collect();
    all.iter().find(|t| **t == tag).copied().with_context(|| {
        let all = all.join(", ");
        format!("there is no unit \"{tag}\"; the units are: {all}")
    })
}

/// What is said by one event.
fn one_asked(
    args: &StartArgs,
    start: &Start,
    store: &Store,
    units: UnitSystem,
) -> Result<Option<Body>> {
    if let Some(of) = &args.correct {
        return correction(args, start, store, of, units).map(Some);
    }
    if let Some(name) = &args.skip {
        let step = step(start, name, args.unit.as_deref())?;
        let reason = args
            .reason
            .clone()
            .context("say why it is left out, as the hand-over will show it: --reason \"…\"")?;
        return Ok(Some(Body::StepSkipped(StepSkipped {
            unit: step.unit.clone(),
            step: step.id.clone(),
            reason,
        })));
    }
    if let Some(tag) = &args.skip_unit {
        let reason = args
            .reason
            .clone()
            .context("say why it is left out, as the hand-over will show it: --reason \"…\"")?;
        return Ok(Some(Body::UnitSkipped(UnitSkipped {
            unit: unit(start, tag)?.to_owned(),
            reason,
        })));
    }
    if let Some(name) = &args.timer {
        let step = step(start, name, args.unit.as_deref())?;
        open_to_do(start, store, step)?;
        return timer(step).map(Some);
    }
    if let Some(check) = &args.close {
        let (check, place) = check.split_once('@').context(
            "name the finding as CHECK@PLACE, as it is shown, for instance \"amps_high@unit D1\"",
        )?;
        let how = args
            .reason
            .clone()
            .context("say what was done about it: --reason \"…\"")?;
        return Ok(Some(Body::FindingClosed(FindingClosed {
            check: check.to_owned(),
            place: place.to_owned(),
            how,
        })));
    }
    if let Some(file) = &args.photo {
        return photo(args, start, store, file).map(Some);
    }
    if let Some(name) = &args.done {
        let step = step(start, name, args.unit.as_deref())?;
        let before = open_to_do(start, store, step)?;
        return Ok(Some(Body::StepDone(done(args, step, &before, units)?)));
    }
    Ok(args.note.as_ref().map(|text| {
        Body::Note(Note {
            unit: args.unit.clone(),
            step: None,
            text: text.clone(),
        })
    }))
}

/// A photo from a file: kept, then recorded.
fn photo(args: &StartArgs, start: &Start, store: &Store, file: &Path) -> Result<Body> {
    let name = args
        .step
        .as_deref()
        .context("say which step the photo is of: --step STEP")?;
    let step = step(start, name, args.unit.as_deref())?;
    name_of(args)?;
    let shown = file.display();
    let size = std::fs::metadata(file).with_context(|| format!("cannot read {shown}"))?;
    if size.is_dir() {
        bail!("{shown} is a folder; a photo is asked");
    }
    if LARGEST_PHOTO as u64 <= size.len() {
        bail!(
            "{shown} has {:.0} MB; at most {} MB are taken: make it smaller",
            size.len() as f64 / 1e6,
            LARGEST_PHOTO / (1024 * 1024)
        );
    }
    let bytes = std::fs::read(file).with_context(|| format!("cannot read {shown}"))?;
    let position = if args.position {
        Position::Keep
    } else {
        Position::Drop
    };
    let taken = Taken::read(&bytes, position).with_context(|| format!("{shown} was not taken"))?;
    store.keep_photo(&taken)?;
    Ok(Body::Photo(taken.of_step(step)))
}

/// What starts the waiting time of a step, which is an error where it has none.
pub(crate) fn timer(step: &Step) -> Result<Body> {
    let wait = step
        .wait
        .as_ref()
        .with_context(|| format!("{} has no waiting time to start", step.id))?;
    Ok(Body::TimerStarted(TimerStarted {
        unit: step.unit.clone(),
        step: step.id.clone(),
        lasts_ms: (1_000.0 * wait.lasts_s).max(0.0) as u64,
    }))
}

/// The step of a name: its whole id, or its end with the unit beside it.
fn step<'a>(start: &'a Start, name: &str, unit: Option<&str>) -> Result<&'a Step> {
    let plan = &start.plan;
    let id = match unit {
        Some(unit) if plan.step(name).is_none() => format!("{unit}.{name}"),
        _ => name.to_owned(),
    };
    plan.step(&id).with_context(|| {
        let all: Vec<&str> = plan.steps.iter().map(|s| s.id.as_str()).collect();
        format!(
            "there is no step \"{id}\"; the steps are: {}",
            all.join(", ")
        )
    })
}

/// Readings of a step so far, if it may be done now.
fn open_to_do(start: &Start, store: &Store, step: &Step) -> Result<Vec<Reading>> {
    let stands = start.standing(store)?;
    let Some(state) = stands.state.step(&step.id) else {
        return Ok(Vec::new());
    };
    if let Standing::Closed { waits_for } = &state.standing {
        bail!(
            "{} waits for {}; do these first, or leave them out with --skip and a reason",
            step.id,
            waits_for.join(", ")
        );
    }
    Ok(read_before(step, state))
}

/// The entry and what is said of it.
fn of_entry<'a>(said: &'a str, what: &str, such_as: &str) -> Result<(&'a str, &'a str)> {
    let (entry, text) = said.split_once('=').with_context(|| {
        format!("\"{said}\" is no {what}; write it as ENTRY=VALUE, for instance \"{such_as}\"")
    })?;
    Ok((entry.trim(), text.trim()))
}

/// How far what was read off may be off, by entry.
fn accuracies(args: &StartArgs) -> Result<BTreeMap<String, String>> {
    let split = |said: &String| {
        let (entry, text) = of_entry(said, "accuracy", "l1=0.2 A")?;
        Ok((entry.to_owned(), text.to_owned()))
    };
    args.accuracies.iter().map(split).collect()
}

fn done(args: &StartArgs, step: &Step, before: &[Reading], units: UnitSystem) -> Result<StepDone> {
    let accuracies = accuracies(args)?;
    let mut readings = Vec::new();
    let mut answers = Vec::new();
    for (round, texts) in rounds(args, step)?.iter().enumerate() {
        let instruments = args.instrument.iter().flat_map(|name| {
            let entries = texts.keys().cloned();
            entries.map(|entry| (entry, name.clone()))
        });
        let form = Form {
            texts,
            meant: &args.meant,
            instruments: &instruments.collect(),
            accuracies: &accuracies,
            units,
            again: &[],
        };
        let whole = match round {
            0 => Whole::Done { before },
            _ => Whole::Part,
        };
        let (more, said) =
            entered(step, &form, whole).map_err(|faults| not_recorded(step, &faults))?;
        readings.extend(more);
        answers.extend(said);
    }
    Ok(StepDone {
        unit: step.unit.clone(),
        step: step.id.clone(),
        readings,
        answers,
        note: args.note.clone(),
        photos: Vec::new(),
    })
}

/// What is said of a step, entry by entry; what is read again and again goes
/// into one round after the other.
fn rounds(args: &StartArgs, step: &Step) -> Result<Vec<BTreeMap<String, String>>> {
    let mut rounds = vec![BTreeMap::new()];
    for said in args.readings.iter().chain(&args.answers) {
        let (entry, text) = of_entry(said, "reading", "l1=9.8 A")?;
        let free = rounds.iter().position(|r| !r.contains_key(entry));
        let is_series = step
            .entry(entry)
            .is_some_and(|e| matches!(e.often, Often::Series(_)));
        match free {
            Some(round) if round == 0 || is_series => {
                rounds[round].insert(entry.to_owned(), text.to_owned());
            }
            None if is_series => {
                rounds.push(BTreeMap::from([(entry.to_owned(), text.to_owned())]));
            }
            _ => bail!(
                "nothing was recorded of {}: \"{entry}\" is said more than once, and is asked for once",
                step.id
            ),
        }
    }
    Ok(rounds)
}

fn not_recorded(step: &Step, faults: &[Fault]) -> anyhow::Error {
    anyhow::anyhow!(
        "nothing was recorded of {}:{}",
        step.id,
        each_by_option(faults)
    )
}

/// A correction: what is entered anew in place of an event, or that it never
/// was so.
fn correction(
    args: &StartArgs,
    start: &Start,
    store: &Store,
    of: &str,
    units: UnitSystem,
) -> Result<Body> {
    let reason = args
        .reason
        .clone()
        .context("say why it is corrected: --reason \"…\"")?;
    let read = store.read()?;
    let mut named = read
        .events
        .iter()
        .filter(|e| 4 <= of.len() && e.hash.to_string().starts_with(of));
    let event = named
        .next()
        .with_context(|| format!("no event has a hash that begins with \"{of}\""))?;
    if named.next().is_some() {
        bail!("several events have a hash that begins with \"{of}\"; give more of it");
    }
    let instead = match &args.done {
        Some(name) => {
            let step = step(start, name, args.unit.as_deref())?;
            Some(Body::StepDone(done(args, step, &[], units)?))
        }
        None => None,
    };
    Ok(Body::Correction(Box::new(Correction {
        of: event.hash,
        reason,
        instead,
    })))
}

fn show(
    start: &Start,
    stands: &Stands,
    args: &StartArgs,
    shown: Shown,
    kept_since: Option<&str>,
) -> Result<()> {
    let units = start.project.units(shown);
    if shown.json {
        return out::json(&StartResult::new(start, stands, units, kept_since));
    }
    let tally = stands.state.tally();
    let mut text = format!(
        "{}: {} of {} steps done, {} not proven, {} failed, {} left out.\n",
        start.project.room.name.value,
        tally.done,
        stands.state.steps.len(),
        tally.not_proven,
        tally.failed,
        tally.skipped
    );
    text.push_str(match stands.state.basis {
        BasisIs::NotStarted => "Nothing is recorded yet; the first entry begins the start-up.\n",
        BasisIs::Same => "",
        BasisIs::Other => {
            "The files were changed since the start-up began; the next entry records that, and both are kept.\n"
        }
    });
    for fault in faults(&stands.read) {
        text.push_str(&format!("■ {fault}\n"));
    }
    for doubt in doubts(&stands.read) {
        text.push_str(&format!("○ {doubt}\n"));
    }
    for left_out in &stands.state.units_left_out {
        text.push_str(&format!(
            "{} is left out as a whole: {} ({}). Take it up again with --take-up {} --reason \"…\"\n",
            left_out.unit, left_out.reason, left_out.by, left_out.unit
        ));
    }
    let mut table = out::table(&["step", "what", "state", "to enter"]);
    for (step, state) in start.plan.steps.iter().zip(&stands.state.steps) {
        if args.unit.is_some() && args.unit != step.unit {
            continue;
        }
        table.add_row([
            step.id.clone(),
            step.title.show(units),
            match (&state.caution, &state.standing) {
                (Some(caution), now) => format!("{}; {}", standing(now), caution.show(units)),
                (None, Standing::Done) => state.word().to_owned(),
                (None, now) => standing(now),
            },
            match state.standing {
                Standing::Open | Standing::Failed | Standing::NotProven => {
                    let how = (!step.how.is_empty()).then(|| step.how.show(units));
                    let entries = step.entries.iter();
                    let all: Vec<String> = how
                        .into_iter()
                        .chain(entries.map(|e| format!("{}: {}", e.id, says(e, units))))
                        .collect();
                    all.join("\n")
                }
                _ => String::new(),
            },
        ]);
    }
    text.push_str(&format!("\n{table}\n\n"));
    if !stands.state.findings.is_empty() {
        text.push_str(&out::findings(&stands.state.findings, units));
    }
    if shown.working {
        for judgement in stands
            .state
            .steps
            .iter()
            .filter_map(|s| s.judgement.as_ref())
        {
            text.push_str(&out::workings(&judgement.workings, units));
        }
    }
    out::print(&text)
}

/// A time that is left, as a person says it: seconds only at its end.
fn left(ms: i64) -> String {
    const SECONDS_BELOW_S: i64 = 120;
    let seconds = (ms + 999) / 1_000;
    if seconds < SECONDS_BELOW_S {
        return format!("{seconds} s");
    }
    let minutes = (seconds + 59) / 60;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

/// How a step stands, in words.
pub(crate) fn standing(standing: &Standing) -> String {
    let word = standing.word();
    match standing {
        Standing::Closed { waits_for } => format!("{word}: after {}", waits_for.join(", ")),
        Standing::Waiting { left_ms, .. } => {
            format!("{word}: {} left", left(*left_ms))
        }
        Standing::Skipped {
            reason,
            with: With::Itself,
        } => format!("{word}: {reason}"),
        Standing::Skipped {
            reason,
            with: With::Unit,
        } => format!("{word} with its unit: {reason}"),
        _ => word.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::left;

    #[test]
    fn a_time_that_is_left_is_said_as_by_a_person() {
        for (ms, said) in [
            (400, "1 s"),
            (119_000, "119 s"),
            (120_000, "2 min"),
            (1_266_000, "22 min"),
            (3_600_000, "1 h"),
            (9_000_001, "2 h 31 min"),
        ] {
            assert_eq!(left(ms), said, "{ms}");
        }
    }
}

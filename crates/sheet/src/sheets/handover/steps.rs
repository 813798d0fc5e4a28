//! Steps of a hand-over: designed beside built, then every step with what was
//! read.

use job::startup::{Entry, Standing, Step, StepState};
use quantity::Text;

use super::{HandOver, is_with_unit};
use crate::report::{Block, Cell, Column, Level, Report, Table};

/// Verdicts in one table: what was designed, what was found.
pub(super) fn beside(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "As designed, as built".into()));
    let in_order = of.plan.units().into_iter().flat_map(|unit| {
        let steps = of.plan.steps.iter().zip(&of.state.steps);
        steps.filter(move |(s, _)| s.unit.as_deref() == unit)
    });
    let rows: Vec<Vec<Cell>> = in_order
        .filter(|(_, state)| !is_with_unit(&state.standing))
        .filter_map(|(step, state)| {
            let designed = step.designed()?;
            let found = match (&state.judgement, &state.standing) {
                (Some(judgement), _) if !judgement.said.is_empty() => {
                    Cell::Text(judgement.said.clone())
                }
                (_, Standing::Skipped { reason, .. }) => Cell::from(reason.clone()),
                _ => readings(of, state),
            };
            Some(vec![
                Cell::from(step.place().0.to_string()),
                Cell::Text(step.title.clone()),
                Cell::Text(designed),
                found,
                Cell::from(verdict(state)),
            ])
        })
        .collect();
    report.push(Block::Table(Table {
        columns: ["where", "step", "as designed", "as built", "verdict"]
            .map(Column::words)
            .into(),
        rows,
        ..Table::default()
    }));
}

/// What was read; where nothing was, what was answered.
fn readings(of: &HandOver<'_>, state: &StepState) -> Cell {
    let read = state.readings.iter().map(|(_, r)| of.read(&state.id, r));
    let mut all: Vec<Text> = read.collect();
    if all.is_empty() {
        all.extend(state.answers.iter().map(|a| {
            let name = of.entry_name(&state.id, &a.entry);
            name.words(format!(" – {}", a.said))
        }));
    }
    if all.is_empty() {
        return Cell::Blank;
    }
    Cell::Text(all.iter().enumerate().fold(Text::new(), |text, (i, one)| {
        text.words(if i == 0 { "" } else { "; " }).and(one)
    }))
}

/// Every step with its readings, answers, remarks and photos, unit by unit.
pub(super) fn all(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "Every step".into()));
    for unit in of.plan.units() {
        report.push(Block::Heading(
            Level::Two,
            unit.map_or("Room and controllers".into(), |tag| {
                Text::from(format!("Unit {tag}"))
            }),
        ));
        if let Some(left_out) = unit.and_then(|tag| of.state.unit_left_out(tag)) {
            report.push(Block::Paragraph(
                format!(
                    "Left out as a whole by {}, {}: {}",
                    left_out.by,
                    (of.when)(left_out.at.utc_ms),
                    left_out.reason
                )
                .into(),
            ));
            report.push(Block::Paragraph(with_unit(of, &left_out.unit)));
        }
        let (mut rows, mut photos) = (Vec::new(), Vec::new());
        let steps = of.plan.steps.iter().zip(&of.state.steps);
        for (step, state) in steps.filter(|(s, _)| s.unit.as_deref() == unit) {
            if !is_with_unit(&state.standing) {
                rows.push(row(of, step, state));
            }
            for hash in &state.photos {
                photos.push(match of.photos.get(hash) {
                    Some(photo) => Block::Photo(photo.clone()),
                    None => Block::Remark(
                        format!("Photo {} of {} is missing.", hash.short(), step.id).into(),
                    ),
                });
            }
        }
        if !rows.is_empty() {
            report.push(Block::Table(Table {
                columns: [
                    "step",
                    "state",
                    "what was read and answered",
                    "who, when (UTC)",
                ]
                .map(Column::words)
                .into(),
                rows,
                ..Table::default()
            }));
        }
        report.blocks.append(&mut photos);
    }
}

/// The steps that are left out with their unit, in a line.
fn with_unit(of: &HandOver<'_>, unit: &str) -> Text {
    let steps = of.plan.steps.iter().zip(&of.state.steps);
    let left_out =
        steps.filter(|(s, state)| s.unit.as_deref() == Some(unit) && is_with_unit(&state.standing));
    let mut text = Text::from("Left out with it: ");
    for (i, (step, _)) in left_out.enumerate() {
        text = text.words(if i == 0 { "" } else { "; " }).and(&step.title);
    }
    text.words(".")
}

/// How a step stands, for who takes the plant over.
fn verdict(state: &StepState) -> &'static str {
    match state.standing {
        Standing::Open | Standing::Waiting { .. } | Standing::Closed { .. } => "not done",
        _ => state.word(),
    }
}

/// An instant for a column whose head names the zone; it stays on one line.
fn in_column(of: &HandOver<'_>, utc_ms: i64) -> String {
    let when = (of.when)(utc_ms);
    when.trim_end_matches(" UTC").replace(' ', "\u{a0}")
}

fn row(of: &HandOver<'_>, step: &Step, state: &StepState) -> Vec<Cell> {
    let mut said = Text::new();
    let mut first = true;
    let mut add = |text: &Text| {
        let gap = if std::mem::take(&mut first) { "" } else { "; " };
        said = std::mem::take(&mut said).words(gap).and(text);
    };
    for (_, reading) in &state.readings {
        let mut text = of.read(&step.id, reading);
        let usual = step
            .entry(&reading.entry)
            .and_then(Entry::quantity)
            .map(|q| q.instrument.name());
        if let Some(instrument) = reading.instrument.as_deref()
            && Some(instrument) != usual
        {
            text = text.words(format!(" ({instrument})"));
        }
        add(&text);
    }
    for answer in &state.answers {
        add(&of
            .entry_name(&step.id, &answer.entry)
            .words(format!(" – {}", answer.said)));
    }
    if let Some(judgement) = &state.judgement
        && !judgement.said.is_empty()
    {
        add(&judgement.said);
    }
    for way in state.judgement.iter().flat_map(|j| &j.would_prove) {
        add(&Text::from("would prove it: ").and(way));
    }
    for (who, note) in &state.notes {
        add(&Text::from(format!("{who}: {note}")));
    }
    if let Standing::Skipped { reason, .. } = &state.standing {
        add(&Text::from(format!("left out: {reason}")));
    }
    for (by, why) in &state.corrections {
        add(&Text::from(format!("corrected by {by}: {why}")));
    }
    for reading in &state.before {
        add(&Text::from("before: ").and(&of.read(&step.id, reading)));
    }
    for attempt in &state.earlier {
        let earlier = Text::from(format!(
            "an earlier time: {} ({}, {})",
            attempt.verdict.word(),
            attempt.by,
            (of.when)(attempt.at.utc_ms)
        ));
        add(&if attempt.said.is_empty() {
            earlier
        } else {
            earlier.words(": ").and(&attempt.said)
        });
    }
    let who = match (&state.by, &state.at) {
        (Some(by), Some(at)) => format!("{by}, {}", in_column(of, at.utc_ms)),
        // Nobody did it: its time ran out.
        (None, Some(at)) => format!("by the clock, {}", in_column(of, at.utc_ms)),
        _ => String::new(),
    };
    vec![
        Cell::Text(step.title.clone()),
        Cell::from(verdict(state)),
        Cell::Text(said),
        Cell::from(who),
    ]
}

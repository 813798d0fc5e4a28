//! Steps of a hand-over: designed beside built, then every step with what was
//! read.

use job::startup::{Acceptance, Kind, Standing, Step, StepState};
use quantity::{Dim, Text, Value};

use super::HandOver;
use crate::report::{Block, Cell, Column, Level, Report, Table};

/// Verdicts in one table: what was designed, what was found.
pub(super) fn beside(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "As designed, as built".into()));
    let in_order = units(of).into_iter().flat_map(|unit| {
        let steps = of.plan.steps.iter().zip(&of.state.steps);
        steps.filter(move |(s, _)| s.unit.as_deref() == unit)
    });
    let rows: Vec<Vec<Cell>> = in_order
        .filter_map(|(step, state)| {
            let designed = designed(of, step)?;
            let found = match &state.judgement {
                Some(judgement) if !judgement.said.is_empty() => Cell::Text(judgement.said.clone()),
                _ => readings(of, state),
            };
            Some(vec![
                Cell::from(step.place().0.to_string()),
                Cell::Text(step.title.clone()),
                Cell::Text(designed),
                found,
                Cell::from(verdict(&state.standing)),
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

/// What the design says about a step, if it says a number.
fn designed(of: &HandOver<'_>, step: &Step) -> Option<Text> {
    let value = |si: f64, dim: Dim| Value::new(si, dim).digits(3);
    Some(match &step.acceptance {
        Acceptance::Nameplate { plate } => Text::new()
            .value(value(plate.volts, Dim::Voltage))
            .words(", at least ")
            .value(value(plate.min_circuit_a, Dim::Current))
            .words(" of circuit, at most ")
            .value(value(plate.max_protection_a, Dim::Current))
            .words(" of protection"),
        Acceptance::Prime { least_kg } => {
            Text::from("trap filled: at least ").value(value(*least_kg, Dim::Water))
        }
        Acceptance::DrainFlow {
            peak_kg_per_s,
            drawn_fall,
        } => Text::from("takes ")
            .value(value(*peak_kg_per_s, Dim::WaterRate))
            .words(" at a fall of ")
            .value(value(*drawn_fall, Dim::Fraction).digits(2)),
        Acceptance::Volts { rated_v, phases } => Text::new()
            .value(value(*rated_v, Dim::Voltage))
            .words(format!(", {phases} phase")),
        Acceptance::Amps { rated_v, .. } => {
            Text::from("within the plate at ").value(value(*rated_v, Dim::Voltage))
        }
        Acceptance::Air {
            designed_share: Some(share),
            ..
        } => Text::from("short-circuit share ").value(value(*share, Dim::Fraction).digits(2)),
        Acceptance::Condensate(machine) => {
            let rated = machine.model.ratings.first()?;
            Text::new()
                .value(value(rated.removal_kg_per_s, Dim::WaterRate))
                .words(" at ")
                .value(value(rated.dry_bulb_c, Dim::Temperature))
                .words(", ")
                .value(value(rated.rel_humidity, Dim::RelHumidity).digits(2))
                .words("; at the measured air what its map says")
        }
        Acceptance::Restart { delay_s } => {
            Text::from("not before ").value(value(*delay_s, Dim::Duration).digits(2))
        }
        Acceptance::Stagger { apart_s } => Text::from("at least ")
            .value(value(*apart_s, Dim::Duration).digits(2))
            .words(" apart"),
        Acceptance::Setpoints(wanted) => {
            let mut text = Text::new();
            for (i, want) in wanted.iter().enumerate() {
                text = text
                    .words(if i == 0 { "" } else { "; " })
                    .and(&of.entry_name(&step.id, &want.entry));
            }
            text
        }
        Acceptance::Level(_) => "level both ways, within the record's limit".into(),
        Acceptance::Trap(_) => "as drawn on the drain sheet".into(),
        _ if step.kind == Kind::Carried => "as drawn on the hanging sheet".into(),
        _ => return None,
    })
}

/// What was read; where nothing was, what was answered.
fn readings(of: &HandOver<'_>, state: &StepState) -> Cell {
    let read = state.readings.iter().map(|(_, r)| {
        let name = of.entry_name(&state.id, &r.entry);
        name.words(": ").value(r.value)
    });
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
    report.push(Block::PageBreak);
    report.push(Block::Heading(Level::One, "Every step".into()));
    for unit in units(of) {
        report.push(Block::Heading(
            Level::Two,
            unit.map_or("Room and controllers".into(), |tag| {
                Text::from(format!("Unit {tag}"))
            }),
        ));
        let (mut rows, mut photos) = (Vec::new(), Vec::new());
        let steps = of.plan.steps.iter().zip(&of.state.steps);
        for (step, state) in steps.filter(|(s, _)| s.unit.as_deref() == unit) {
            rows.push(row(of, step, state));
            for hash in &state.photos {
                photos.push(match of.photos.get(hash) {
                    Some(photo) => Block::Photo(photo.clone()),
                    None => Block::Remark(
                        format!("Photo {} of {} is missing.", hash.short(), step.id).into(),
                    ),
                });
            }
        }
        report.push(Block::Table(Table {
            columns: ["step", "state", "what was read and answered", "who, when"]
                .map(Column::words)
                .into(),
            rows,
            ..Table::default()
        }));
        report.blocks.append(&mut photos);
    }
}

/// How a step stands, for who takes the plant over.
fn verdict(standing: &Standing) -> &'static str {
    match standing {
        Standing::Open | Standing::Waiting { .. } | Standing::Closed { .. } => "not done",
        done => done.word(),
    }
}

/// Tags of units in the order of the plan, then the whole room.
fn units<'a>(of: &HandOver<'a>) -> Vec<Option<&'a str>> {
    let mut all: Vec<Option<&str>> = Vec::new();
    for step in &of.plan.steps {
        let unit = step.unit.as_deref();
        if !all.contains(&unit) {
            all.push(unit);
        }
    }
    all.sort_by_key(Option::is_none);
    all
}

fn row(of: &HandOver<'_>, step: &Step, state: &StepState) -> Vec<Cell> {
    let mut said = Text::new();
    let mut first = true;
    let mut add = |text: &Text| {
        let gap = if std::mem::take(&mut first) { "" } else { "; " };
        said = std::mem::take(&mut said).words(gap).and(text);
    };
    for (_, reading) in &state.readings {
        let mut text = of
            .entry_name(&step.id, &reading.entry)
            .words(": ")
            .value(reading.value);
        if let Some(instrument) = &reading.instrument {
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
    for (who, note) in &state.notes {
        add(&Text::from(format!("{who}: {note}")));
    }
    if let Standing::Skipped { reason } = &state.standing {
        add(&Text::from(format!("left out: {reason}")));
    }
    for (by, why) in &state.corrections {
        add(&Text::from(format!("corrected by {by}: {why}")));
    }
    for reading in &state.before {
        add(&Text::from("before: ")
            .and(&of.entry_name(&step.id, &reading.entry))
            .words(" ")
            .value(reading.value));
    }
    for attempt in &state.earlier {
        add(&Text::from(format!(
            "an earlier time: {} ({}, {})",
            attempt.verdict.word(),
            attempt.by,
            (of.when)(attempt.at.utc_ms)
        )));
    }
    let who = match (&state.by, &state.at) {
        (Some(by), Some(at)) => format!("{by}, {}", (of.when)(at.utc_ms)),
        (None, Some(at)) => (of.when)(at.utc_ms),
        _ => String::new(),
    };
    vec![
        Cell::Text(step.title.clone()),
        Cell::from(verdict(&state.standing)),
        Cell::Text(said),
        Cell::from(who),
    ]
}

//! The hand-over: what was designed beside what was built and measured, what
//! is open, how to keep it well, and two signatures. And the card for the wall.

mod card;
mod maintenance;
mod signature;
mod steps;

use std::collections::BTreeMap;
use std::sync::Arc;

use job::record::{Event, Hash, Reading};
use job::startup::{Built, HAZARD_SOURCE, HazardKind, Plan, Standing, State, With};
use quantity::{Part, Text, names_unit};
use room::Room;

use crate::numbers;
use crate::report::{Block, Cell, Column, Level, Photo, Report, Table, TitleBlock};

pub use card::card;

/// What is handed over.
pub struct HandOver<'a> {
    /// Job, room, units.
    pub title: TitleBlock,
    /// The room.
    pub room: &'a Room,
    /// What was built.
    pub built: Built<'a>,
    /// The steps.
    pub plan: &'a Plan,
    /// How they stand.
    pub state: &'a State,
    /// What was recorded of the room, in order.
    pub events: &'a [Event],
    /// Hash over the ends of all chains.
    pub chain_hash: Hash,
    /// What is wrong with the record, in sentences; none if it is whole.
    pub faults: Vec<String>,
    /// What must be known to read the record, in sentences: clocks that were
    /// set, devices of one name.
    pub doubts: Vec<String>,
    /// Whether the room is as the record keeps it, since its files could not be
    /// read.
    pub from_record: bool,
    /// Photos by their hashes.
    pub photos: BTreeMap<Hash, Photo>,
    /// An instant in words, from milliseconds since 1970.
    pub when: &'a dyn Fn(i64) -> String,
    /// The day so many months after an instant in words.
    pub day: &'a dyn Fn(i64, u32) -> String,
}

impl HandOver<'_> {
    fn entry_name(&self, step: &str, entry: &str) -> Text {
        let found = self.plan.step(step).and_then(|s| s.entry(entry));
        let title = found.map_or_else(|| Text::from(entry.to_owned()), |e| e.title.clone());
        // A line of a set-up is a sentence; what it is answered with follows.
        match title.parts() {
            [Part::Words(words)] => Text::from(words.trim_end_matches('.').to_owned()),
            _ => title,
        }
    }

    /// A reading with its name, as it was typed where that says its unit, else
    /// in the unit of its instrument.
    fn read(&self, step: &str, reading: &Reading) -> Text {
        let entry = self.plan.step(step).and_then(|s| s.entry(&reading.entry));
        let name = self.entry_name(step, &reading.entry).words(": ");
        let typed = reading.typed.as_deref().filter(|t| names_unit(t));
        match (typed, entry.and_then(|e| e.quantity())) {
            (Some(typed), _) => name.words(typed.to_owned()),
            (None, Some(asked)) => {
                let most = asked.plausible[1];
                name.words(reading.value.show_on_site(most, self.title.units))
            }
            (None, None) => name.value(reading.value),
        }
    }
}

/// The hand-over as a report.
pub fn report(of: &HandOver<'_>) -> Report {
    let mut report = Report::new(TitleBlock {
        sheet_prefix: numbers::HAND_OVER.into(),
        ..of.title.clone()
    });
    report.blocks = vec![Block::Title {
        title: "Hand-over".into(),
        subtitle: format!("{} · {}", of.title.job, of.title.room).into(),
    }];
    let tally = of.state.tally();
    report.push(Block::Paragraph(
        format!(
            "{} of {} steps done as they shall be, {} not proven, {} failed, {} left out, {} not done.",
            tally.done,
            of.state.steps.len(),
            tally.not_proven,
            tally.failed,
            tally.skipped,
            tally.open + tally.closed
        )
        .into(),
    ));
    record(of, &mut report);
    findings(of, &mut report);
    setpoints(of, &mut report);
    steps::beside(of, &mut report);
    steps::all(of, &mut report);
    maintenance::chapter(of, &mut report);
    cautions(of, &mut report);
    signature::both(of, &mut report);
    report
}

/// What the paper rests on.
fn record(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Paragraph(
        format!(
            "Design {}. Record: {} events of this room; chain hash {}.",
            of.plan.design_id,
            of.events.len(),
            of.chain_hash
        )
        .into(),
    ));
    if let (Some(first), Some(last)) = (of.events.first(), of.events.last()) {
        report.push(Block::Paragraph(
            format!(
                "First entry {}, last entry {}.",
                (of.when)(first.at.utc_ms),
                (of.when)(last.at.utc_ms)
            )
            .into(),
        ));
    }
    if of.faults.is_empty() {
        report.push(Block::Remark(
            "The record is whole: nothing was altered or is missing. Whoever has it can check that the hash above is its own.".into(),
        ));
    } else {
        report.push(Block::Cautions(
            of.faults
                .iter()
                .map(|f| Text::from(format!("The record is not whole: {f}.")))
                .collect(),
        ));
    }
    if !of.doubts.is_empty() {
        let said = |d: &String| Text::from(format!("Of the record: {d}."));
        report.push(Block::Cautions(of.doubts.iter().map(said).collect()));
    }
    if of.from_record {
        report.push(Block::Cautions(vec![
            "The files of the room could not be read when this was made: the room is as the record keeps it.".into(),
        ]));
    }
    if of.state.basis == job::startup::BasisIs::Other {
        report.push(Block::Cautions(vec![
            "The design files were changed after the last entry of the record.".into(),
        ]));
    }
    let changes: Vec<Text> = of
        .events
        .iter()
        .filter_map(|e| match &e.body {
            job::record::Body::RoomChanged(basis) => Some(Text::from(format!(
                "The design files were changed during the start-up ({}, by {}): design {} from then on.",
                (of.when)(e.at.utc_ms),
                e.writer.person,
                basis.design_id.get(..8).unwrap_or_default()
            ))),
            _ => None,
        })
        .collect();
    if !changes.is_empty() {
        report.push(Block::Cautions(changes));
    }
}

fn findings(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "Findings".into()));
    report.push(Block::Heading(Level::Two, "Open".into()));
    report.push(Block::Findings(of.state.findings.clone()));
    let tally = of.state.tally();
    let undecided = tally.not_proven + tally.open + tally.closed;
    if 0 < undecided {
        report.push(Block::Paragraph(
            format!(
                "Findings come from steps that were judged: {undecided} of {} are not proven or not done, and stand below.",
                of.state.steps.len()
            )
            .into(),
        ));
    }
    let not_proven = not_proven(of);
    if !not_proven.is_empty() {
        report.push(Block::Heading(Level::Two, "Not proven".into()));
        report.push(Block::Table(Table {
            columns: ["where", "step", "what was found", "what would prove it"]
                .map(Column::words)
                .into(),
            rows: not_proven,
            ..Table::default()
        }));
    }
    let left_out = left_out(of);
    if !left_out.is_empty() {
        report.push(Block::Heading(Level::Two, "Left out".into()));
        report.push(Block::Table(Table {
            columns: ["where", "step", "why"].map(Column::words).into(),
            rows: left_out,
            ..Table::default()
        }));
    }
    if !of.state.closed.is_empty() {
        report.push(Block::Heading(Level::Two, "Closed".into()));
        report.push(Block::Table(Table {
            columns: ["where", "what it was", "what was done"]
                .map(Column::words)
                .into(),
            rows: of
                .state
                .closed
                .iter()
                .map(|(finding, closed)| {
                    vec![
                        Cell::from(finding.place.0.to_string()),
                        Cell::Text(finding.what.clone()),
                        Cell::from(closed.how.clone()),
                    ]
                })
                .collect(),
            ..Table::default()
        }));
    }
}

/// Steps whose readings do not decide, and what would.
fn not_proven(of: &HandOver<'_>) -> Vec<Vec<Cell>> {
    let joined = |all: &[Text]| {
        all.iter().enumerate().fold(Text::new(), |text, (i, one)| {
            text.words(if i == 0 { "" } else { "; " }).and(one)
        })
    };
    let steps = of.plan.steps.iter().zip(&of.state.steps);
    steps
        .filter(|(_, state)| state.standing == Standing::NotProven)
        .filter_map(|(step, state)| {
            let judgement = state.judgement.as_ref()?;
            Some(vec![
                Cell::from(step.place().0.to_string()),
                Cell::Text(step.title.clone()),
                Cell::Text(judgement.said.clone()),
                Cell::Text(joined(&judgement.would_prove)),
            ])
        })
        .collect()
}

/// Units that were left out as a whole, then steps by themselves.
fn left_out(of: &HandOver<'_>) -> Vec<Vec<Cell>> {
    let steps = || of.plan.steps.iter().zip(&of.state.steps);
    let units = of.state.units_left_out.iter().filter_map(|unit| {
        let of_unit = steps().filter(|(s, _)| s.unit.as_deref() == Some(unit.unit.as_str()));
        let (mut all, mut out) = (0, 0);
        for (_, state) in of_unit {
            all += 1;
            out += usize::from(is_with_unit(&state.standing));
        }
        (0 < out).then(|| {
            vec![
                Cell::from(format!("unit {}", unit.unit)),
                Cell::from(if out == all {
                    format!("the whole unit, {all} steps")
                } else {
                    format!("the whole unit: {out} of its {all} steps; of the others something is recorded")
                }),
                Cell::from(unit.reason.clone()),
            ]
        })
    });
    let alone = steps().filter_map(|(step, state)| match &state.standing {
        Standing::Skipped {
            reason,
            with: With::Itself,
        } => Some(vec![
            Cell::from(step.place().0.to_string()),
            Cell::Text(step.title.clone()),
            Cell::from(reason.clone()),
        ]),
        _ => None,
    });
    units.chain(alone).collect()
}

/// Whether a step is left out because its whole unit is.
const fn is_with_unit(standing: &Standing) -> bool {
    matches!(
        standing,
        Standing::Skipped {
            with: With::Unit,
            ..
        }
    )
}

fn setpoints(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "Setpoints".into()));
    report.push(Block::Table(setpoint_table(of)));
}

/// Setpoints by period.
fn setpoint_table(of: &HandOver<'_>) -> Table {
    Table {
        columns: vec![
            Column::words("when"),
            Column::mixed("setpoint"),
            Column::mixed("deadband"),
            Column::mixed("units start at"),
            Column::mixed("units stop at"),
        ],
        rows: of
            .built
            .control
            .settings
            .iter()
            .map(|s| {
                vec![
                    s.when.into(),
                    s.setpoint.into(),
                    s.deadband.into(),
                    s.on_at.into(),
                    s.off_at.into(),
                ]
            })
            .collect(),
        ..Table::default()
    }
}

/// Each caution of the steps once, and whose rules hold.
fn cautions(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "Cautions".into()));
    let mut seen: BTreeMap<HazardKind, &'static str> = BTreeMap::new();
    for hazard in of.plan.steps.iter().flat_map(|s| &s.hazards) {
        seen.entry(hazard.kind).or_insert(hazard.caution);
    }
    let mut all: Vec<Text> = seen.into_values().map(Text::from).collect();
    all.push("Reminders, no safety plan: local codes, the site's rules and the machines' instructions rule; licensed trades do electrical, structural, refrigerant and drain work.".into());
    report.push(Block::Cautions(all));
    report.push(Block::Remark(
        format!("{}; {}.", HAZARD_SOURCE.cite, HAZARD_SOURCE.place_in_it).into(),
    ));
}

impl Photo {
    /// A photo from its bytes and size.
    pub fn new(jpeg: Vec<u8>, width: u32, height: u32, caption: String) -> Self {
        Self {
            jpeg: Arc::from(jpeg),
            width: width.max(1),
            height: height.max(1),
            caption,
        }
    }
}

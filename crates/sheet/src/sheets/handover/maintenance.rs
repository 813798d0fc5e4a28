//! What keeps the plant well: what to do, how, how often, and from when that
//! counts.

use job::record::{Body, SignedBy};
use job::startup::{Kind, Standing};
use quantity::{Dim, Text, Value, WATER_KG_PER_L};

use super::HandOver;
use crate::report::{Block, Cell, Column, Level, Report, Table};

/// How often something is done.
enum Every {
    /// After so many months at the latest, in these words.
    Months(u32, &'static str),
    /// After standing still.
    Stop(Text),
}

/// Something to be done again and again.
struct Task {
    what: &'static str,
    how: Text,
    every: Every,
    /// Steps of the start-up that did it the first time; none if it was new
    /// then.
    first_done_by: &'static [Kind],
}

/// Line to write a date on.
const LINE: &str = "____________";

/// Every task of this plant.
///
/// **Assumed** intervals: common practice, no published source. That of
/// priming is from the evaporation of the seal.
fn tasks(of: &HandOver<'_>) -> Vec<Task> {
    let task = |what, how: &'static str, every, first_done_by| Task {
        what,
        how: how.into(),
        every,
        first_done_by,
    };
    let month = || Every::Months(1, "every month");
    let half_year = || Every::Months(6, "every 6 months");
    let year = || Every::Months(12, "every year");
    let has = |kind: Kind| of.plan.steps.iter().any(|s| s.kind == kind);
    let mut all = vec![task(
        "Filter",
        "look at it against light; clean or change when it is grey",
        month(),
        &[Kind::Filter],
    )];
    if has(Kind::DrainFlow) {
        all.push(task(
            "Trap and pan",
            "look for slime and standing water; see the water run off",
            month(),
            &[Kind::DrainFlow],
        ));
        all.push(task(
            "Drain",
            "flush with clean water from the cleanout until it runs clear at the end",
            Every::Months(3, "every 3 months"),
            &[Kind::DrainFlow],
        ));
    }
    all.extend(prime(of));
    all.push(task(
        "Coil",
        "clean as the instructions say; no spray of the crop into it",
        Every::Months(6, "every 6 to 12 months"),
        &[],
    ));
    all.push(task(
        "Humidity sensor",
        "check over salt (NaCl and MgCl2); change when more than 3 %RH off at both",
        half_year(),
        &[Kind::SensorSalts],
    ));
    if has(Kind::Overflow) {
        all.push(task(
            "Overflow switch",
            "lift it: the unit must stop and say so",
            half_year(),
            &[Kind::Overflow],
        ));
    }
    all.push(task(
        "Lugs and terminals",
        "torque as marked on the device, locked out, by a licensed electrician",
        year(),
        &[],
    ));
    if has(Kind::Carried) {
        all.push(task(
            "Rods, nuts, bolts",
            "look for rust and loose nuts; torque as the instructions of anchor and rod say",
            year(),
            &[Kind::Carried],
        ));
    }
    all
}

/// Priming after a stop, one row for all units: the soonest that a trap is dry,
/// and the most that fills one.
fn prime(of: &HandOver<'_>) -> Option<Task> {
    let units = &of.built.drain.units;
    let dry_s = units.iter().filter_map(|u| u.dry_out.map(|d| d.shortest_s));
    let dry_s = dry_s.reduce(f64::min)?;
    let traps = units.iter().filter_map(|u| u.trap);
    let most_kg = traps
        .map(|t| 1_000.0 * WATER_KG_PER_L * t.priming_m3)
        .reduce(f64::max);
    let mut how = Text::from("pour water into the pan until it runs off");
    if let Some(kg) = most_kg {
        how = how
            .words(", at least ")
            .value(Value::new(kg, Dim::Water).digits(2));
    }
    Some(Task {
        what: "Trap, priming",
        how,
        every: Every::Stop(
            Text::from("after a stop of ").value(Value::new(dry_s, Dim::Duration).digits(1)),
        ),
        first_done_by: &[Kind::Prime],
    })
}

/// Chapter of the hand-over.
pub(super) fn chapter(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "Maintenance".into()));
    let rows = tasks(of)
        .into_iter()
        .map(|t| vec![Cell::from(t.what), Cell::Text(t.how), often(&t.every)])
        .collect();
    report.push(Block::Table(Table {
        columns: ["what", "how", "when"].map(Column::words).into(),
        rows,
        ..Table::default()
    }));
    report.push(Block::Remark(
        "Intervals: common practice, no published source; the machine's instructions rule where they say otherwise. Priming: from the evaporation of the seal, shortest case.".into(),
    ));
}

/// Table of the card: with when each was last done and is next due, as far as
/// the record knows; else lines to write on.
pub(super) fn with_dates(of: &HandOver<'_>) -> Table {
    let handed_over = handed_over_ms(of);
    let rows = tasks(of)
        .into_iter()
        .map(|t| {
            let [last, next] = dates(of, handed_over, &t);
            vec![
                Cell::from(t.what),
                Cell::Text(t.how),
                often(&t.every),
                last,
                next,
            ]
        })
        .collect();
    Table {
        columns: ["what", "how", "when", "last done", "next due"]
            .map(Column::words)
            .into(),
        rows,
        ..Table::default()
    }
}

fn often(every: &Every) -> Cell {
    match every {
        Every::Months(_, words) => Cell::from(*words),
        Every::Stop(words) => Cell::Text(words.clone()),
    }
}

/// When the plant was handed over: when who takes it over signed last, else
/// when that step was done.
pub(super) fn handed_over_ms(of: &HandOver<'_>) -> Option<i64> {
    let signed = of.events.iter().rev().find_map(|e| match &e.body {
        Body::Signed(signed) if signed.by == SignedBy::Customer => Some(e.at.utc_ms),
        _ => None,
    });
    signed.or_else(|| done_ms(of, &[Kind::HandOver]))
}

/// When the last of the steps of these kinds was done well; `None` where one
/// was not, or there is none.
fn done_ms(of: &HandOver<'_>, kinds: &[Kind]) -> Option<i64> {
    let steps = of.plan.steps.iter().zip(&of.state.steps);
    let mut oldest = None;
    for (_, state) in steps.filter(|(s, _)| kinds.contains(&s.kind)) {
        let at = match (&state.standing, &state.at) {
            (Standing::Done, Some(at)) => at.utc_ms,
            _ => return None,
        };
        oldest = Some(oldest.map_or(at, |before: i64| before.min(at)));
    }
    oldest
}

fn dates(of: &HandOver<'_>, handed_over: Option<i64>, task: &Task) -> [Cell; 2] {
    let line = || Cell::from(LINE);
    let Some(handed_over) = handed_over else {
        return [line(), line()];
    };
    let first = done_ms(of, task.first_done_by);
    let last = first.map_or_else(line, |ms| Cell::from((of.day)(ms, 0)));
    let next = match (&task.every, first) {
        (Every::Stop(_), _) => Cell::NotApplicable,
        // The start-up should have done it and did not.
        (Every::Months(..), None) if !task.first_done_by.is_empty() => Cell::from("now"),
        (Every::Months(months, _), _) => {
            Cell::from((of.day)(first.unwrap_or(handed_over), *months))
        }
    };
    [last, next]
}

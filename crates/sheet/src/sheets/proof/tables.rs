//! Tables of the proof.

use job::proof::{Again, Proof, Proposal, RunsFrom, Water};
use quantity::{Dim, Text, Value};
use readings::{Count, DateOrder, Role, TimeAt, WallClock};
use room::{Period, Room};

use super::LogRead;
use crate::report::{Cell, Column, Table};

fn share(x: f64) -> Cell {
    Value::new(x, Dim::Fraction).digits(2).into()
}

fn rh(x: f64) -> Cell {
    Value::new(x, Dim::RelHumidity).digits(2).into()
}

fn time(s: f64) -> Cell {
    Value::new(s, Dim::Duration).digits(2).into()
}

/// A factor near one: what is just above it is not rounded down to it.
pub(super) fn factor(x: f64, dim: Dim) -> Value {
    Value::new(x, dim).digits(if x < 0.995 { 2 } else { 3 })
}

/// By how much a band was narrowed, where it was.
fn narrowed(left: f64) -> Cell {
    const LEAST: f64 = 0.005;
    if 1.0 - left < LEAST {
        "nothing".into()
    } else {
        share(1.0 - left)
    }
}

/// By period.
pub(super) fn periods(room: &Room, proof: &Proof) -> Table {
    let rows = Period::ALL
        .into_iter()
        .filter(|p| 0.0 < proof.periods[*p as usize].known_s)
        .map(|period| {
            let p = &proof.periods[period as usize];
            let (highest, at) = p.highest_rel_humidity;
            vec![
                Cell::from(crate::dossier::loads::period_words(room, period)),
                Value::new(p.mean_dry_bulb_c, Dim::Temperature).into(),
                rh(p.mean_rel_humidity),
                Value::new(p.mean_vpd_pa, Dim::VapourPressure)
                    .digits(2)
                    .into(),
                Value::new(p.mean_dew_point_c, Dim::Temperature).into(),
                rh(highest),
                proof.series.moment(at).into(),
                share(p.in_band_share()),
                share(p.too_humid_share()),
                time(proof.surfaces.leaf_risk_s[period as usize]),
            ]
        })
        .collect();
    Table {
        caption: "The logged air by period, against the targets of the room file".into(),
        columns: vec![
            Column::words("Period"),
            Column::of("Mean dry bulb", Dim::Temperature),
            Column::of("Mean RH", Dim::RelHumidity),
            Column::of("Mean VPD", Dim::VapourPressure),
            Column::of("Mean dew point", Dim::Temperature),
            Column::of("Highest RH", Dim::RelHumidity),
            Column::words("at"),
            Column::of("In target", Dim::Fraction),
            Column::of("Too humid", Dim::Fraction),
            Column::mixed("Leaves at risk"),
        ],
        rows,
        total: None,
    }
}

/// The worst nights.
pub(super) fn nights(proof: &Proof) -> Table {
    let rows = proof
        .nights
        .iter()
        .map(|n| {
            vec![
                Cell::from(proof.series.moment(n.from)),
                time(n.known_s),
                time(n.too_humid_s),
                rh(n.highest_rel_humidity.0),
                Value::new(n.lowest_vpd_pa.0, Dim::VapourPressure)
                    .digits(2)
                    .into(),
                time(n.leaf_risk_s),
                n.least_margin_k.map_or(Cell::NotApplicable, |(k, _)| {
                    Value::new(k, Dim::TemperatureDifference).digits(2).into()
                }),
            ]
        })
        .collect();
    Table {
        caption: "The worst nights, the worst first".into(),
        columns: vec![
            Column::words("From"),
            Column::mixed("Known"),
            Column::mixed("Too humid"),
            Column::of("Highest RH", Dim::RelHumidity),
            Column::of("Least VPD", Dim::VapourPressure),
            Column::mixed("Leaves at risk"),
            Column::of("Least surface margin", Dim::TemperatureDifference),
        ],
        rows,
        total: None,
    }
}

/// What the units did.
pub(super) fn units(proof: &Proof) -> Table {
    let rows = proof
        .units
        .iter()
        .map(|u| {
            let (no_channel, no_answer) = match (&u.channel, proof.runs_from) {
                (Some(_), _) => ("", "too few switchings"),
                (None, RunsFrom::Log) => ("not in the log", "not in the log"),
                (None, RunsFrom::Count) => ("by counted water", "not in the log"),
                (None, RunsFrom::Setpoint) => ("not in the log", "not in the log"),
            };
            let is_seen = u.channel.is_some();
            let starts = |n: usize| match is_seen {
                true => Value::new(n as f64, Dim::Count).into(),
                false => Cell::NotApplicable,
            };
            vec![
                Cell::from(u.tag.clone()),
                u.model.clone().into(),
                u.channel
                    .clone()
                    .map_or_else(|| Cell::from(no_channel), Cell::from),
                match u.run_share {
                    Some(x) => share(x),
                    None => Cell::NotApplicable,
                },
                starts(u.starts),
                starts(u.most_starts_per_hour),
                u.usual_run_s.map_or(Cell::NotApplicable, time),
                u.pull_down.map_or_else(
                    || no_answer.into(),
                    |p| {
                        Text::new()
                            .value(factor(p.factor, Dim::Fraction))
                            .words(" ± ")
                            .value(Value::new(2.0 * p.deviation, Dim::Fraction).digits(2))
                            .into()
                    },
                ),
            ]
        })
        .collect();
    Table {
        caption:
            "The units; the answer of the air at their switchings is over what their record says"
                .into(),
        columns: vec![
            Column::words("Unit"),
            Column::words("Model"),
            Column::words("Channel"),
            Column::of("Runs", Dim::Fraction),
            Column::of("Starts", Dim::Count),
            Column::of("Most in an hour", Dim::Count),
            Column::mixed("Usual run"),
            Column::mixed("Answer"),
        ],
        rows,
        total: None,
    }
}

/// What a channel was taken for.
pub(super) fn channels(log: &LogRead<'_>) -> Table {
    let mut rows: Vec<Vec<Cell>> = log
        .taken
        .channels
        .iter()
        .map(|c| {
            vec![
                Cell::from(c.name.clone()),
                c.measure.word().into(),
                c.unit.into(),
                c.why.clone().into(),
                Value::new(c.readings as f64, Dim::Count).digits(7).into(),
                Value::new(c.missing.all() as f64, Dim::Count)
                    .digits(7)
                    .into(),
            ]
        })
        .collect();
    let columns = log.taken.layout.columns.iter();
    let others = columns.filter(|c| !matches!(c.role, Role::Reading(_) | Role::Value));
    for column in others {
        rows.push(vec![
            Cell::from(column.head.clone()),
            column.role.word().into(),
            Cell::NotApplicable,
            column.why.clone().into(),
            Cell::NotApplicable,
            Cell::NotApplicable,
        ]);
    }
    for (name, why) in &log.taken.unused {
        rows.push(vec![
            Cell::from(name.clone()),
            Role::Ignored.word().into(),
            Cell::NotApplicable,
            why.clone().into(),
            Cell::NotApplicable,
            Cell::NotApplicable,
        ]);
    }
    Table {
        caption: Text::from(format!("{}: what each column was taken for", log.file)),
        columns: vec![
            Column::words("Column"),
            Column::words("Taken for"),
            Column::words("Unit"),
            Column::words("Because of"),
            Column::of("Readings", Dim::Count),
            Column::of("Without", Dim::Count),
        ],
        rows,
        total: None,
    }
}

/// How a log was read, in words.
pub(super) fn reading(log: &LogRead<'_>) -> Text {
    let t = log.taken;
    let delimiter = match t.layout.delimiter {
        b'\t' => "tab".to_owned(),
        b' ' => "blank".to_owned(),
        b => format!("\"{}\"", char::from(b)),
    };
    let clock = match &t.clock {
        WallClock::Own => "no zone: the logger's own clock".to_owned(),
        WallClock::Of(zone) => format!("zone {}", zone.name()),
        WallClock::Written(_) => "offsets written in the rows".to_owned(),
    };
    let dates = match (t.layout.time, t.layout.order) {
        (
            TimeAt::Count {
                count: Count::Since { unit, begin_s, .. },
                ..
            },
            _,
        ) => format!(
            ", {} counted from {} {:02}:{:02}, as said",
            unit.words(),
            readings::date(begin_s.div_euclid(86_400)),
            begin_s.rem_euclid(86_400) / 3600,
            begin_s.rem_euclid(3600) / 60,
        ),
        (TimeAt::Count { .. }, _) | (_, None) => String::new(),
        (_, Some(order)) => format!(
            ", dates {} ({})",
            match order {
                DateOrder::Ymd => "year first",
                DateOrder::Dmy => "day first",
                DateOrder::Mdy => "month first",
            },
            t.layout.order_why
        ),
    };
    let mut words = format!(
        "{} rows from line {}, {} rejected, {} repeated, {} out of order; {}, {delimiter} between cells, decimal \"{}\"{dates}; {clock}.",
        t.rows,
        t.layout.first_line,
        t.rejects_all(),
        t.repeats,
        t.out_of_order,
        t.encoding,
        char::from(t.layout.marks.decimal),
    );
    for (reason, count) in &t.rejects {
        let lines: Vec<String> = t
            .rejected
            .iter()
            .filter(|r| r.reason == *reason)
            .take(5)
            .map(|r| r.line.to_string())
            .collect();
        words += &format!(
            " {count} with {} (lines {}).",
            reason.words(),
            lines.join(", ")
        );
    }
    for channel in t.channels.iter().filter(|c| !c.bad.is_empty()) {
        let cells: Vec<String> = channel
            .bad
            .iter()
            .map(|b| format!("line {} \"{}\"", b.line, b.text))
            .collect();
        let all = channel.missing.unreadable + channel.missing.impossible;
        let more = match all.saturating_sub(cells.len() as u64) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        words += &format!(
            " {}: not taken for {}: {}{more}.",
            channel.name,
            channel.measure.word(),
            cells.join(", ")
        );
    }
    for change in &t.changes {
        words += &match change {
            readings::ClockChange::HourTwice { line } => {
                format!(" From line {line} the hour runs a second time: the clock was put back.")
            }
            readings::ClockChange::HourMissing { line } => format!(
                " Line {line} has a time that the zone's clock left out: the logger was not put forward."
            ),
            readings::ClockChange::SetBack { line } => format!(
                " At line {line} the times go back by about an hour: the zone of the log's clock is not told."
            ),
        };
    }
    words.into()
}

/// What was found of each unknown.
pub(super) fn found(water: &Water) -> Table {
    let rows = water
        .found
        .iter()
        .map(|f| {
            let v = |x: f64| {
                Cell::from(match f.unknown.dim() {
                    Dim::Number => factor(x, Dim::Number),
                    dim => Value::new(x, dim).digits(2),
                })
            };
            vec![
                Cell::from(water.words_of(f.unknown)),
                v(f.before.low),
                v(f.before.likely),
                v(f.before.high),
                v(f.after.low),
                v(f.after.likely),
                v(f.after.high),
                narrowed(f.left),
            ]
        })
        .collect();
    Table {
        caption: "What the log says of what was not known; low and high: 10th and 90th percentile"
            .into(),
        columns: vec![
            Column::words("Unknown"),
            Column::mixed("Before: low"),
            Column::mixed("likely"),
            Column::mixed("high"),
            Column::mixed("After: low"),
            Column::mixed("likely"),
            Column::mixed("high"),
            Column::mixed("Narrowed by"),
        ],
        rows,
        total: None,
    }
}

/// What is proposed, marked where it is not what was found.
fn as_found(proposal: &Proposal) -> String {
    match proposal.cut {
        Some(cut) => format!(
            "{} ({}; the log gives {})",
            proposal.typed,
            cut.words(proposal.unit),
            proposal.in_file(cut.found)
        ),
        None => proposal.typed.clone(),
    }
}

/// The proposed changes of the room file.
pub(super) fn proposals(all: &[Proposal]) -> Table {
    let rows = all
        .iter()
        .map(|p| {
            vec![
                Cell::from(format!("[{}] {}", p.section, p.key)),
                p.what.clone().into(),
                p.before.clone().into(),
                as_found(p).into(),
            ]
        })
        .collect();
    Table {
        caption: "Proposed change of the room file".into(),
        columns: vec![
            Column::words("Key"),
            Column::words("What"),
            Column::words("As surveyed"),
            Column::words("As found"),
        ],
        rows,
        total: None,
    }
}

/// The selection again, as surveyed beside as found.
pub(super) fn again(again: &Again) -> Table {
    let days = |held: usize, of: usize| Cell::from(format!("{held} of {of}"));
    let (surveyed, of_surveyed) = again.surveyed;
    let (found, of_found) = again.found;
    let mut rows = vec![vec![
        Cell::from(again.units.words()),
        days(surveyed, of_surveyed),
        days(found, of_found),
    ]];
    if again.capacity.is_some() {
        let (held, of) = again.found_units_as_surveyed;
        rows.push(vec![
            "the same units at what was surveyed of them".into(),
            days(surveyed, of_surveyed),
            days(held, of),
        ]);
    }
    for ((what, held), before) in again.tried.iter().zip(&again.tried_as_surveyed) {
        rows.push(vec![
            Cell::from(Text::from("and: ").and(what)),
            before.map_or(Cell::NotApplicable, |held| days(held, of_surveyed)),
            days(*held, of_found),
        ]);
    }
    if let Some(needed) = &again.needed {
        rows.push(vec![
            "the least set that would do, the units that are there first".into(),
            Cell::Blank,
            Cell::from(needed.words()),
        ]);
    }
    Table {
        caption: "Drawn days held by the units that are there; measures cheapest first".into(),
        columns: vec![
            Column::words("With"),
            Column::words("As surveyed"),
            Column::words("As found"),
        ],
        rows,
        total: None,
    }
}

#[cfg(test)]
mod tests {
    use quantity::UnitSystem;

    use super::*;

    #[test]
    fn factors_and_narrowings_say_what_they_are() {
        let factor = |x| factor(x, Dim::Fraction).show(UnitSystem::Us);
        assert_eq!(factor(1.039), "104 %");
        assert_eq!(factor(0.951), "95 %");
        for left in [1.085, 1.000_68, 1.0, 0.997] {
            assert_eq!(narrowed(left), Cell::from("nothing"), "{left}");
        }
        assert_eq!(narrowed(0.4), share(0.6));
    }
}

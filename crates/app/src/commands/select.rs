//! `drywright select`: which units and how many.

use std::path::Path;

use anyhow::Result;
use job::selection::Candidate;
use job::{Effort, Judged, Load, Selection};
use quantity::{Dim, Finding, Severity, UnitSystem, Value};

use crate::Verdict;
use crate::cli::Shown;
use crate::out;
use crate::project::one_room;
use crate::results::SelectionResult;
use crate::watch::Watch;

pub(crate) fn run(path: &Path, effort: Effort, shown: Shown) -> Result<Verdict> {
    let project = one_room(path)?;
    let watch = Watch::new();
    let load: Load = job::load::hourly(&project.room, effort)?;
    let chosen = job::selection::choose(&project.room, &load, &project.catalog, effort, &watch);
    watch.done();
    let selection = chosen?;
    let mut found: Vec<Finding> = job::survey::findings(&project.room);
    found.extend(load.findings.iter().cloned());
    found.extend(selection.findings.iter().cloned());
    if shown.json {
        out::json(&SelectionResult::new(&project.room.name.value, &selection))?;
    } else {
        let units = project.units(shown);
        out::print(&format!(
            "{}\n{}",
            text(&selection, units),
            out::findings(&found, units)
        ))?;
        if shown.working {
            out::print(&format!("\n{}", out::workings(&selection.workings, units)))?;
        }
    }
    Ok(Verdict::from_stops(
        found.iter().any(|f| f.severity == Severity::Stop),
    ))
}

pub(super) fn text(selection: &Selection, units: UnitSystem) -> String {
    let mut table = out::table(&[
        "set",
        "",
        "days held",
        "one unit out",
        "rated",
        "lights on",
        "lights off",
        "electricity a day",
    ]);
    let capacity = |c: &Candidate, pick: &dyn Fn(&job::selection::ModelCapacity) -> f64| {
        let sum: f64 = c
            .judged
            .units
            .groups()
            .iter()
            .filter_map(|(code, n)| {
                let one = selection.capacities.iter().find(|m| m.code == *code)?;
                Some(pick(one) * f64::from(*n))
            })
            .sum();
        Value::new(sum, Dim::WaterRate).show(units)
    };
    let held = |j: &Judged| format!("{} of {}", j.held_days, j.days);
    let mut add = |c: &Candidate, remark: &str| {
        table.add_row([
            c.judged.units.words(),
            remark.to_owned(),
            held(c.counted(selection.coil_credit)),
            c.one_unit_out
                .as_ref()
                .map_or_else(|| "full run".to_owned(), held),
            capacity(c, &|m| m.rated_kg_per_s),
            capacity(c, &|m| m.lights_on.removal_kg_per_s),
            capacity(c, &|m| m.lights_off.removal_kg_per_s),
            Value::new(c.judged.units_j_per_day.likely, Dim::Energy)
                .digits(2)
                .show(units),
        ]);
    };
    if let Some(present) = &selection.present {
        add(present, "in the room");
    }
    for c in &selection.candidates {
        add(c, &selection.remark(c).show(units));
    }
    out::numbers_right(&mut table, 2);
    let mut lines = format!("{table}\n");
    if let Some(binding) = selection.binding {
        let moment = match binding {
            roomsim::Period::LightsOn => "lights-on",
            roomsim::Period::Transition => "the transition",
            roomsim::Period::LightsOff => "lights-off",
        };
        let fewer = selection.one_fewer.as_ref().map(|fewer| {
            let words = selection.one_fewer_words();
            format!(
                " ({words} holds {} of {} days)",
                fewer.held_days, fewer.days
            )
        });
        lines.push_str(&format!(
            "\nWhat decides: {moment}{}.\n",
            fewer.unwrap_or_default()
        ));
    }
    if let Some(left_out) = selection.effort.left_out() {
        lines.push_str(&format!("\n{left_out}\n"));
    }
    for m in &selection.measures {
        if selection.days_to_hold <= m.after.held_share() {
            lines.push_str(&format!(
                "Instead of one more unit: {}; {} of {} days hold (before {}).\n",
                m.what.show(units),
                m.after.held_days,
                m.after.days,
                m.before
            ));
        }
    }
    let nearest = selection.measures.iter().max_by_key(|m| m.after.held_days);
    if let Some(m) = nearest.filter(|m| m.after.held_share() < selection.days_to_hold) {
        lines.push_str(&format!(
            "None of the cheaper measures tried stands in for one more unit; the nearest: {}, {} of {} days (before {}).\n",
            m.what.show(units),
            m.after.held_days,
            m.after.days,
            m.before
        ));
    }
    for e in &selection.errands {
        lines.push_str(&format!(
            "To measure: {} ({} or {} units hang on it)\n",
            e.what,
            e.units_if_low.min(e.units_if_high),
            e.units_if_low.max(e.units_if_high)
        ));
    }
    lines
}

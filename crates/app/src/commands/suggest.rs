//! `drywright place ROOM --suggest`: the best few sets of places, and what
//! each trades.

use std::path::Path;

use anyhow::Result;
use job::placement::{PlacedUnit, Suggestions, suggest};
use quantity::{Dim, UnitSystem, Value};

use crate::Verdict;
use crate::cli::Shown;
use crate::out;
use crate::project::one_room;
use crate::results::SuggestionsResult;

pub(crate) fn run(path: &Path, seed: u64, shown: Shown) -> Result<Verdict> {
    let project = one_room(path)?;
    let set = super::step::unit_set(&project)?;
    let found = suggest(&project.room, &project.catalog, &set, seed)?;
    if shown.json {
        out::json(&SuggestionsResult::new(
            &project.room.name.value,
            seed,
            &found,
        ))?;
    } else {
        out::print(&text(&found, project.units(shown)))?;
    }
    Ok(Verdict::from_stops(found.best.is_empty()))
}

fn text(found: &Suggestions, units: UnitSystem) -> String {
    if found.best.is_empty() {
        return format!(
            "No places without a Stop finding were found.\n\n{}",
            out::findings(&found.none_because, units)
        );
    }
    let length = |m: f64| Value::new(m, Dim::Length).digits(3).show(units);
    let mut text = String::new();
    for (number, suggestion) in (1..).zip(&found.best) {
        let mut table = out::table(&["tag", "model", "x", "y", "z, centre", "front points"]);
        for u in &suggestion.units {
            let [x, y, z] = u.frame.at_m.map(length);
            table.add_row([
                u.tag.clone(),
                u.model.clone(),
                x,
                y,
                z,
                u.frame.facing.word().to_owned(),
            ]);
        }
        out::numbers_right(&mut table, 2);
        text.push_str(&format!(
            "{number}. {}\n\n{table}\n\n",
            suggestion.trades.show(units)
        ));
    }
    text.push_str("To take the first, write this into the room file, checked on site:\n\n");
    if let Some(first) = found.best.first() {
        for unit in &first.units {
            text.push_str(&section(unit, units));
        }
    }
    text
}

/// A unit as it stands in a room file, to the centimetre or the half inch.
fn section(unit: &PlacedUnit, units: UnitSystem) -> String {
    let at = unit.frame.at_m.map(|m| match units {
        UnitSystem::Metric => format!("\"{:.2} m\"", m),
        UnitSystem::Us => format!("\"{:.1} in\"", (m / 0.0127).round() / 2.0),
    });
    format!(
        "[[unit]]\ntag = \"{}\"\nmodel = \"{}\"\nat = [{}]\nfacing = \"{}\"\n\n",
        unit.tag,
        unit.model,
        at.join(", "),
        unit.frame.facing.word()
    )
}

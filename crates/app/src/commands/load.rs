//! `drywright load`: water and heat by source.

use std::path::Path;

use anyhow::Result;
use job::{Effort, Load};
use quantity::{Dim, Finding, Severity, UnitSystem, Value};
use room::Period;

use crate::Verdict;
use crate::cli::Shown;
use crate::out;
use crate::project::{Project, one_room};
use crate::results::LoadResult;

pub(crate) fn run(path: &Path, shown: Shown) -> Result<Verdict> {
    let project = one_room(path)?;
    let load = job::load::hourly(&project.room, Effort::Full)?;
    let mut found: Vec<Finding> = job::survey::findings(&project.room);
    found.extend(load.findings.iter().cloned());
    if shown.json {
        out::json(&LoadResult::new(&project.room.name.value, &load))?;
    } else {
        let units = project.units(shown);
        out::print(&format!(
            "{}\n{}",
            text(&project, &load, units),
            out::findings(&found, units)
        ))?;
        if shown.working {
            out::print(&format!("\n{}", out::workings(&load.workings, units)))?;
        }
    }
    Ok(Verdict::from_stops(
        found.iter().any(|f| f.severity == Severity::Stop),
    ))
}

pub(super) const fn period_words(period: Period) -> &'static str {
    match period {
        Period::LightsOn => "lights on",
        Period::Transition => "transition",
        Period::LightsOff => "lights off",
    }
}

fn text(project: &Project, load: &Load, units: UnitSystem) -> String {
    let mut table = out::table(&[
        "period",
        "source",
        "water, low",
        "likely",
        "high",
        "sensible heat",
    ]);
    for period in &load.periods {
        let water = |x: f64| Value::new(x, Dim::WaterRate).show(units);
        let all = period.mean.water_kg_per_s;
        let most_w = period
            .mean
            .sources
            .iter()
            .map(|s| s.mean_sensible_w.abs())
            .fold(0.0, f64::max);
        // What a millionth of the largest is left by rounding is nothing.
        let heat = |w: f64| {
            let w = if w.abs() < 1e-6 * most_w { 0.0 } else { w };
            Value::new(w, Dim::Power).digits(2).show(units)
        };
        for s in &period.mean.sources {
            table.add_row([
                period_words(period.period).to_owned(),
                s.source.word().to_owned(),
                water(s.water_kg_per_s.low),
                water(s.water_kg_per_s.likely),
                water(s.water_kg_per_s.high),
                heat(s.mean_sensible_w),
            ]);
        }
        table.add_row([
            period_words(period.period).to_owned(),
            "all sources together".to_owned(),
            water(all.low),
            water(all.likely),
            water(all.high),
            heat(period.mean.sensible_w.likely),
        ]);
    }
    out::numbers_right(&mut table, 2);
    let day = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate).show(units);
    let flux = |kg: f64| {
        Value::new(kg / 86_400.0, Dim::WaterFlux)
            .digits(2)
            .show(units)
    };
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2).show(units);
    let t = &load.trust;
    let mut lines = format!(
        "{}: water into the air {} ({} to {})\n\n{table}\n",
        project.room.name.value,
        day(load.water_kg_per_day.likely),
        day(load.water_kg_per_day.low),
        day(load.water_kg_per_day.high),
    );
    lines.push_str(
        "Rates while each period lasts. Low and high of all sources together are those of whole draws, not sums of the column.\n",
    );
    if 0.0 < t.per_canopy_kg_per_m2_day.high {
        lines.push_str(&format!(
            "\nper canopy area: {}",
            flux(t.per_canopy_kg_per_m2_day.likely)
        ));
    }
    if let Some(fed) = t.share_of_water_fed {
        lines.push_str(&format!(" · of the water fed: {}", share(fed.likely)));
    }
    if let Some(light) = t.per_light_energy_kg_per_j {
        lines.push_str(&format!(
            " · per light energy: {}",
            Value::new(light.likely, Dim::WaterPerEnergy)
                .digits(2)
                .show(units)
        ));
    }
    if let Some(night) = t.night_share {
        lines.push_str(&format!(
            " · night rate over day rate: {} ({} to {})",
            share(night.likely),
            share(night.low),
            share(night.high)
        ));
    }
    lines.push('\n');
    lines
}

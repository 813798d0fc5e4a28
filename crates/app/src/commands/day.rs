//! `drywright day`: the room minute by minute.

use std::path::Path;

use anyhow::{Context, Result};
use job::{Day, Effort};
use quantity::{Dim, Finding, Severity, UnitSystem, Value};
use roomsim::{Period, WaterPath};

use crate::Verdict;
use crate::cli::Shown;
use crate::files;
use crate::out;
use crate::project::one_room;
use crate::results::DayResult;

pub(crate) fn run(path: &Path, csv: Option<&Path>, shown: Shown) -> Result<Verdict> {
    let project = one_room(path)?;
    let room = &project.room;
    let load = job::load::hourly(room, Effort::Full)?;
    let set = match job::selection::present_set(room) {
        Some(set) => set,
        None => super::step::chosen(&project, &load)?,
    };
    let catalog = &project.catalog;
    let placement = job::placement::place(room, catalog, &set)?;
    let day = job::day::prove_placed(room, &load, catalog, (&set, &placement), None)?;
    if let Some(file) = csv {
        files::write_whole(file, &minutes(&day)?)?;
    }
    let mut found: Vec<Finding> = job::survey::findings(room);
    found.extend(day.findings.iter().cloned());
    if shown.json {
        out::json(&DayResult::new(&room.name.value, &day))?;
    } else {
        let units = project.units(shown);
        out::print(&format!(
            "{}\n{}",
            text(&day, units),
            out::findings(&found, units)
        ))?;
    }
    Ok(Verdict::from_stops(
        found.iter().any(|f| f.severity == Severity::Stop),
    ))
}

fn text(day: &Day, units: UnitSystem) -> String {
    let mut table = out::table(&[
        "period",
        "mean",
        "mean RH",
        "highest RH",
        "least VPD",
        "too wet",
        "drawn days held",
    ]);
    for (period, name) in [
        (Period::LightsOn, "lights on"),
        (Period::Transition, "transition"),
        (Period::LightsOff, "lights off"),
    ] {
        let p = day.summary.period(period);
        let Some(held) = day.judged.held_days_by_period[period as usize] else {
            continue;
        };
        let rh = |x: f64| Value::new(x, Dim::RelHumidity).digits(2).show(units);
        table.add_row([
            name.to_owned(),
            Value::new(p.mean_dry_bulb_c, Dim::Temperature).show(units),
            rh(p.mean_rel_humidity),
            rh(p.highest_rel_humidity.value),
            Value::new(p.lowest_vpd_pa.value, Dim::VapourPressure)
                .digits(2)
                .show(units),
            Value::new(p.too_humid_s, Dim::Duration)
                .digits(2)
                .show(units),
            format!("{held} of {}", day.judged.days),
        ]);
    }
    out::numbers_right(&mut table, 1);
    let kwh = |j: f64| Value::new(j, Dim::Energy).digits(3).show(units);
    let e = &day.summary.energy;
    format!(
        "With {}, a typical day:\n\n{table}\n\nelectricity: units {}, cooling {}, lights {}, all {}\n",
        day.units.words(),
        kwh(e.dehumidifiers_j),
        kwh(e.cooling_j),
        kwh(e.lights_j),
        kwh(e.total_j()),
    )
}

/// The minutes as CSV; units stand in the heads.
fn minutes(day: &Day) -> Result<Vec<u8>> {
    let s = &day.series;
    let mut csv = csv::Writer::from_writer(Vec::new());
    csv.write_record([
        "time_h",
        "dry_bulb_c",
        "rel_humidity_percent",
        "vpd_kpa",
        "dew_point_c",
        "leaf_c",
        "crop_water_kg_per_h",
        "units_water_kg_per_h",
        "cooling_water_kg_per_h",
        "units_running",
        "units_w",
        "cooling_w",
    ])?;
    for i in 0..s.len() {
        let water = |path: WaterPath| s.water_kg_per_s[i][path as usize] * 3600.0;
        let row: [String; 12] = [
            format!("{:.4}", s.time_s(i) / 3600.0),
            format!("{:.2}", s.dry_bulb_c[i]),
            format!("{:.1}", 100.0 * s.rel_humidity[i]),
            format!("{:.3}", s.vpd_pa[i] / 1000.0),
            format!("{:.2}", s.dew_point_c[i]),
            format!("{:.2}", s.leaf_c[i]),
            format!("{:.3}", water(WaterPath::Crop)),
            format!("{:.3}", water(WaterPath::Dehumidifiers)),
            format!("{:.3}", water(WaterPath::Cooling)),
            s.dehumidifiers_on[i].count_ones().to_string(),
            format!("{:.0}", s.dehumidifiers_w[i]),
            format!("{:.0}", s.cooling_w[i]),
        ];
        csv.write_record(&row)?;
    }
    csv.into_inner().context("cannot finish the CSV")
}

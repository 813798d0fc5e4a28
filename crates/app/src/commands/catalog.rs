//! `drywright catalog`: machines at hand; a record for a real machine.

use std::path::{Path, PathBuf};

use air::MoistAir;
use anyhow::{Context, Result, bail};
use equipment::{
    Catalog, Cell, Datasheet, FilterState, Model, Rating, Standard, TablePoint, fit_record,
    read_machine, read_model, write_record,
};
use quantity::{Dim, UnitSystem, Value};
use schemars::JsonSchema;
use serde::Serialize;

use crate::Verdict;
use crate::cli::{CatalogCommand, CatalogNewArgs, Shown};
use crate::project::{file_stem, files_of, machine_files, refused};
use crate::{files, out};

/// Air of a crop room by day and by night, at which models are set side by
/// side \[°C, 0 to 1\].
const DAY: (f64, f64) = (26.0, 0.55);
const NIGHT: (f64, f64) = (20.0, 0.55);
const SEA_LEVEL_PA: f64 = 101_325.0;

pub(crate) fn run(command: &CatalogCommand, shown: Shown) -> Result<Verdict> {
    match command {
        CatalogCommand::List { dir } => list(dir.as_deref(), shown),
        CatalogCommand::Check { paths } => check(paths, shown),
        CatalogCommand::New(args) => new(args, shown),
    }
}

fn units(shown: Shown) -> UnitSystem {
    shown.units.map_or(UnitSystem::Metric, Into::into)
}

/// One dehumidifier of the list.
#[derive(Serialize, JsonSchema)]
pub(crate) struct ListedModel {
    code: String,
    description: String,
    rated_kg_per_h: f64,
    rated_at: &'static str,
    /// Carried to 80 °F and 60 % by the public curve where it was rated
    /// elsewhere.
    warm_rating_kg_per_h: f64,
    at_26_c_55_percent_kg_per_h: f64,
    at_20_c_55_percent_kg_per_h: f64,
    energy_factor_at_26_c_kg_per_kwh: f64,
    volts: f64,
    phases: u32,
}

fn list(dir: Option<&Path>, shown: Shown) -> Result<Verdict> {
    let machine_files = match dir {
        Some(dir) => {
            let found = files_of(dir)?;
            if found.is_empty() {
                bail!("{} holds no machine files (*.toml)", dir.display());
            }
            found
        }
        None => machine_files(Path::new("."))?,
    };
    let catalog = Catalog::read(&machine_files).map_err(|p| refused(&p))?;
    let models: Vec<ListedModel> = catalog
        .dehumidifiers
        .values()
        .map(listed)
        .collect::<Result<_>>()?;
    if shown.json {
        out::json(&models)?;
        return Ok(Verdict::Clear);
    }
    let system = units(shown);
    let water = |kg_per_h: f64| Value::new(kg_per_h / 3600.0, Dim::WaterRate).show(system);
    let mut table = out::table(&[
        "model",
        "rated at",
        "rated",
        "at 80 °F, 60 %",
        "at 26 °C, 55 %",
        "at 20 °C, 55 %",
        "energy factor",
        "supply",
    ]);
    for m in &models {
        table.add_row([
            m.code.clone(),
            m.rated_at.to_owned(),
            water(m.rated_kg_per_h),
            water(m.warm_rating_kg_per_h),
            water(m.at_26_c_55_percent_kg_per_h),
            water(m.at_20_c_55_percent_kg_per_h),
            Value::new(
                m.energy_factor_at_26_c_kg_per_kwh / 3.6e6,
                Dim::WaterPerEnergy,
            )
            .show(system),
            format!("{:.0} V, {} phase", m.volts, m.phases),
        ]);
    }
    out::numbers_right(&mut table, 2);
    let mut coolers = out::table(&["cooling machine", "capacity", "what it is"]);
    for c in catalog.coolers.values() {
        coolers.add_row([
            c.code.clone(),
            Value::new(c.rating.total_w, Dim::Cooling).show(system),
            c.description.clone(),
        ]);
    }
    out::print(&format!(
        "{table}\n\nRatings at other air were carried to 80 °F and 60 % by a public curve (±10 %) before they stand side by side.\n\n{coolers}\n"
    ))?;
    Ok(Verdict::Clear)
}

fn listed(model: &Model) -> Result<ListedModel> {
    let Some(rating) = model.ratings.first() else {
        bail!("{} has no rating", model.code);
    };
    let at = |(dry_bulb_c, rel_humidity): (f64, f64)| -> Result<equipment::Output> {
        let inlet = MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, SEA_LEVEL_PA)?;
        Ok(model.at(inlet, FilterState::Clean))
    };
    let warm = match rating.standard {
        Standard::Warm => *rating,
        _ => rating.converted(Standard::Warm).unwrap_or(*rating),
    };
    let day = at(DAY)?;
    Ok(ListedModel {
        code: model.code.clone(),
        description: model.description.clone(),
        rated_kg_per_h: rating.removal_kg_per_s * 3600.0,
        rated_at: rating.standard.word(),
        warm_rating_kg_per_h: warm.removal_kg_per_s * 3600.0,
        at_26_c_55_percent_kg_per_h: day.removal_kg_per_s * 3600.0,
        at_20_c_55_percent_kg_per_h: at(NIGHT)?.removal_kg_per_s * 3600.0,
        energy_factor_at_26_c_kg_per_kwh: day.energy_factor_kg_per_j() * 3.6e6,
        volts: model.plate.volts,
        phases: model.plate.phases,
    })
}

fn check(paths: &[PathBuf], shown: Shown) -> Result<Verdict> {
    if paths.is_empty() {
        bail!("name machine files or folders of them: drywright catalog check catalog");
    }
    let mut machines = Vec::new();
    for path in paths {
        if path.is_dir() {
            machines.extend(files_of(path)?);
        } else {
            machines.push((path.display().to_string(), files::read_text(path)?));
        }
    }
    let catalog = Catalog::read(&machines).map_err(|p| refused(&p))?;
    let inlet = MoistAir::from_rel_humidity(NIGHT.0, NIGHT.1, SEA_LEVEL_PA)?;
    let mut found = Vec::new();
    for model in catalog.dehumidifiers.values() {
        found.extend(equipment::ratings_inconsistent(model));
        found.extend(equipment::rating_models_disagree(model, &inlet));
    }
    if shown.json {
        out::json(&crate::results::findings(&found))?;
    } else {
        out::print(&format!(
            "{} machine files can be read.\n\n{}",
            machines.len(),
            out::findings(&found, units(shown))
        ))?;
    }
    Ok(Verdict::from_stops(
        found.iter().any(|f| f.severity == quantity::Severity::Stop),
    ))
}

fn new(args: &CatalogNewArgs, shown: Shown) -> Result<Verdict> {
    let path = args
        .out
        .clone()
        .unwrap_or_else(|| Path::new("catalog").join(format!("{}.toml", args.code)));
    if path.exists() {
        bail!(
            "{} exists and is not written over; name another file with --out",
            path.display()
        );
    }
    let points: Vec<TablePoint> = args
        .points
        .iter()
        .map(|text| point(text))
        .collect::<Result<_>>()?;
    let Some(first) = points.first() else {
        bail!(
            "at least two datasheet points are needed: --point \"80 °F, 60 %, 150 pint/day, 1.05 kW\""
        );
    };
    let text = draft(args, first)?;
    let draft = read_model("nameplate", &text).map_err(|p| refused(&p))?;
    let rating: Rating = draft
        .ratings
        .first()
        .copied()
        .context("the first point cannot serve as the rating")?;
    let sheet = Datasheet {
        rating,
        points,
        airflow_m3_per_s: flag("--airflow", &args.airflow, Dim::AirFlow)?,
        pressure_pa: SEA_LEVEL_PA,
        document: args.document.clone(),
        page: args.page.clone(),
        read_on: args.read.clone(),
    };
    let (model, fitted) = fit_record(&draft, &sheet)?;
    let written = write_record(&model);
    // What is written must be readable before it is written.
    read_machine(&file_stem(&path.display().to_string()), &written).map_err(|p| refused(&p))?;
    files::write_whole(&path, written.as_bytes())?;
    let percent = |x: f64| Value::new(x, Dim::Fraction).digits(2).show(units(shown));
    out::print(&format!(
        "{}: {}.\nResidual of removal {} rms, {} at most; of power {} rms, {} at most (share of the rated).\nAssumed, to be replaced from the maker's papers: fan curve, faces, clearances, delays, limits, refrigerant charge, pan pressure.\n",
        path.display(),
        fitted.method.words(),
        percent(fitted.removal.rms),
        percent(fitted.removal.max),
        percent(fitted.power.rms),
        percent(fitted.power.max),
    ))?;
    Ok(Verdict::Clear)
}

/// "dry bulb, RH, removal, power".
fn point(text: &str) -> Result<TablePoint> {
    let parts: Vec<&str> = text.split(", ").map(str::trim).collect();
    let [dry_bulb, rh, removal, power] = parts[..] else {
        bail!(
            "--point \"{text}\" has {} parts; four are asked: \"dry bulb, RH, removal, power\"",
            parts.len()
        );
    };
    Ok(TablePoint {
        dry_bulb_c: flag("--point", dry_bulb, Dim::Temperature)?,
        rel_humidity: flag("--point", rh, Dim::RelHumidity)?,
        cell: Cell {
            removal_kg_per_s: flag("--point", removal, Dim::WaterRate)?,
            power_w: flag("--point", power, Dim::Power)?,
        },
    })
}

fn flag(name: &'static str, text: &str, dim: Dim) -> Result<f64> {
    Ok(quantity::read(text, dim).context(name)?.si)
}

/// A machine file of the nameplate alone; what it does not tell is assumed, and
/// the file says so.
fn draft(args: &CatalogNewArgs, first: &TablePoint) -> Result<String> {
    let size: Vec<f64> = args
        .size
        .split(", ")
        .map(|s| flag("--size", s.trim(), Dim::Length))
        .collect::<Result<_>>()?;
    let [length_m, width_m, height_m] = size[..] else {
        bail!(
            "--size \"{}\" has {} parts; three are asked: length, width, height",
            args.size,
            size.len()
        );
    };
    let mass_kg = flag("--mass", &args.mass, Dim::Mass)?;
    let amps = flag("--amps", &args.amps, Dim::Current)?;
    let volts = flag("--volts", &args.volts, Dim::Voltage)?;
    let flow = flag("--airflow", &args.airflow, Dim::AirFlow)?;
    let standard = [Standard::Warm, Standard::Portable, Standard::Ducted]
        .into_iter()
        .find(|s| {
            s.air().is_some_and(|(t, rh)| {
                (t - first.dry_bulb_c).abs() < 0.3 && (rh - first.rel_humidity).abs() < 0.005
            })
        })
        .unwrap_or(Standard::Other);
    let place = match standard {
        Standard::Other => format!(
            "dry_bulb = \"{} °C\"\nrh = \"{} %\"\n",
            first.dry_bulb_c,
            100.0 * first.rel_humidity
        ),
        _ => String::new(),
    };
    let quoted = |s: &str| s.replace(['"', '\\'], "'");
    let share = |x: f64| format!("{:.6} m3/s", x * flow);
    Ok(format!(
        r#"[dehumidifier]
code = "{code}"
description = "from {document}, {page}"
[source]
existence = "real"
document = "{document}"
page = "{page}"
date_read = "{read}"
[[figure]]
name = "fan"
from = "assumed: air flow falls to three quarters at 75 Pa; tenth of the power for the fan"
[[figure]]
name = "body"
from = "size and mass from the nameplate; faces, centre and clearances assumed"
[[figure]]
name = "limits"
from = "assumed: 5 to 38 °C, off-cycle defrost, three minutes of rest"
[[rating]]
condition = "{condition}"
{place}removal = "{removal} kg/h"
power = "{power} W"
[performance]
kind = "rating only"
[fan]
power = "{fan} W"
habit = "follows compressor"
rated_static = "0 Pa"
clean_filter = "10 Pa"
dirty_filter = "40 Pa"
columns = ["static Pa", "air flow m3/s"]
rows = [[0, {f0}], [25, {f1}], [50, {f2}], [75, {f3}]]
[limits]
min_inlet = "5 °C"
max_inlet = "38 °C"
defrost = "off-cycle"
defrost_start = "-2 °C"
defrost_end = "5 °C"
restart_delay = "3 min"
min_on = "3 min"
min_off = "3 min"
pan_pressure = "60 Pa"
[electric]
voltage = "{volts} V"
phases = {phases}
frequency = "60 Hz"
full_load = "{amps} A"
min_circuit = "{mca} A"
max_protection = "{mop} A"
standby = "3 W"
[refrigerant]
name = "not given"
charge = "0.5 kg"
[body]
length = "{length_m} m"
width = "{width_m} m"
height = "{height_m} m"
mass_dry = "{mass_kg} kg"
mass_wet = "{wet} kg"
centre_of_gravity = ["0 m", "0 m", "0 m"]
cabinet = "draw-through"
inlet = "back"
outlet = "front"
filter = "back"
panel = "right"
drain = "bottom"
drain_at = ["0 m", "0 m", "{drain} m"]
[clearance]
front = "0.6 m"
back = "0.3 m"
left = "0.3 m"
right = "0.9 m"
top = "0.1 m"
bottom = "0.1 m"
[control]
family = "on-board humidistat"
set_up = ["Follow the maker's papers: none were entered."]
"#,
        code = quoted(&args.code),
        document = quoted(&args.document),
        page = quoted(&args.page),
        read = quoted(&args.read),
        condition = standard.word(),
        removal = first.cell.removal_kg_per_s * 3600.0,
        power = first.cell.power_w,
        fan = 0.1 * first.cell.power_w,
        f0 = share(1.0).trim_end_matches(" m3/s"),
        f1 = share(0.93).trim_end_matches(" m3/s"),
        f2 = share(0.85).trim_end_matches(" m3/s"),
        f3 = share(0.75).trim_end_matches(" m3/s"),
        phases = args.phases,
        mca = (1.25 * amps).ceil(),
        mop = ((1.75 * amps / 5.0).ceil() * 5.0).max(15.0),
        wet = mass_kg + 2.0,
        drain = -height_m / 2.0,
    ))
}

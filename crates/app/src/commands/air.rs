//! `drywright air`: one air state from any two of its properties.

use air::{MoistAir, Property};
use anyhow::{Context, Result, anyhow, bail};
use quantity::{Dim, UnitSystem, Value};
use schemars::JsonSchema;
use serde::Serialize;

use crate::Verdict;
use crate::cli::{AirArgs, Shown};
use crate::out;

/// One air state, units in the keys.
#[derive(Serialize, JsonSchema)]
pub(crate) struct AirResult {
    schema: &'static str,
    dry_bulb_c: f64,
    rel_humidity: f64,
    humidity_ratio_kg_per_kg: f64,
    dew_point_c: f64,
    wet_bulb_c: f64,
    enthalpy_kj_per_kg: f64,
    specific_volume_m3_per_kg: f64,
    density_kg_per_m3: f64,
    vapour_pressure_kpa: f64,
    vpd_kpa: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    leaf_vpd_kpa: Option<f64>,
    pressure_pa: f64,
}

impl AirResult {
    fn new(state: &MoistAir, leaf_c: Option<f64>) -> Self {
        Self {
            schema: "drywright/air/1",
            dry_bulb_c: state.dry_bulb_c(),
            rel_humidity: state.rel_humidity(),
            humidity_ratio_kg_per_kg: state.humidity_ratio(),
            dew_point_c: state.dew_point_c(),
            wet_bulb_c: state.wet_bulb_c(),
            enthalpy_kj_per_kg: state.enthalpy_j_per_kg() / 1000.0,
            specific_volume_m3_per_kg: state.specific_volume_m3_per_kg(),
            density_kg_per_m3: state.density_kg_per_m3(),
            vapour_pressure_kpa: state.vapour_pressure_pa() / 1000.0,
            vpd_kpa: state.vpd_pa() / 1000.0,
            leaf_vpd_kpa: leaf_c.map(|t| state.leaf_vpd_pa(t) / 1000.0),
            pressure_pa: state.pressure_pa(),
        }
    }
}

pub(crate) fn run(args: &AirArgs, shown: Shown) -> Result<Verdict> {
    let system = shown.units.map_or(UnitSystem::Metric, Into::into);
    let pressure_pa = pressure(args, system)?;
    let [first, second] = properties(args)?;
    let state = MoistAir::from_pair(first, second, pressure_pa)
        .map_err(|e| anyhow!(e.text().show(system)))?;
    let leaf_c = option("--leaf", args.leaf.as_deref(), Dim::Temperature)?;
    if shown.json {
        out::json(&AirResult::new(&state, leaf_c))?;
        return Ok(Verdict::Clear);
    }
    out::print(&text(&state, leaf_c, system))?;
    if shown.working {
        out::print(&format!(
            "\n{}",
            out::workings(&air::state_workings(&state), system)
        ))?;
    }
    Ok(Verdict::Clear)
}

/// The pressure asked for, or that of the altitude, or that of sea level.
fn pressure(args: &AirArgs, system: UnitSystem) -> Result<f64> {
    if let Some(p) = option("--pressure", args.pressure.as_deref(), Dim::Pressure)? {
        return Ok(p);
    }
    let altitude_m = option("--altitude", args.altitude.as_deref(), Dim::Length)?.unwrap_or(0.0);
    if !(-500.0..=5000.0).contains(&altitude_m) {
        let [given, low, high] =
            [altitude_m, -500.0, 5000.0].map(|m| Value::new(m, Dim::Length).show(system));
        bail!("--altitude is {given}; allowed: {low} to {high}");
    }
    Ok(air::pressure_from_altitude_pa(altitude_m))
}

/// The two properties given; more or fewer are refused by count.
fn properties(args: &AirArgs) -> Result<[Property; 2]> {
    type Make = fn(f64) -> Property;
    let asked: [(&str, &Option<String>, Dim, Make); 7] = [
        (
            "--dry-bulb",
            &args.dry_bulb,
            Dim::Temperature,
            Property::DryBulb,
        ),
        ("--rh", &args.rh, Dim::RelHumidity, Property::RelHumidity),
        (
            "--dew-point",
            &args.dew_point,
            Dim::Temperature,
            Property::DewPoint,
        ),
        (
            "--wet-bulb",
            &args.wet_bulb,
            Dim::Temperature,
            Property::WetBulb,
        ),
        (
            "--humidity-ratio",
            &args.humidity_ratio,
            Dim::HumidityRatio,
            Property::HumidityRatio,
        ),
        ("--vpd", &args.vpd, Dim::VapourPressure, Property::Vpd),
        (
            "--enthalpy",
            &args.enthalpy,
            Dim::Enthalpy,
            Property::Enthalpy,
        ),
    ];
    let mut given = Vec::new();
    for (flag, text, dim, make) in asked {
        if let Some(si) = option(flag, text.as_deref(), dim)? {
            given.push((flag, make(si)));
        }
    }
    match given[..] {
        [(_, a), (_, b)] => Ok([a, b]),
        _ => bail!(
            "an air state needs exactly two properties, {} given{}; \
             choose two of --dry-bulb --rh --dew-point --wet-bulb --humidity-ratio --vpd --enthalpy, \
             e.g. drywright air --dry-bulb \"24 C\" --rh \"60 %\" --altitude \"1600 m\"",
            given.len(),
            given
                .iter()
                .map(|(f, _)| format!(" {f}"))
                .collect::<String>(),
        ),
    }
}

fn option(flag: &str, text: Option<&str>, dim: Dim) -> Result<Option<f64>> {
    text.map(|t| {
        quantity::read(t, dim)
            .map(|v| v.si)
            .with_context(|| flag.to_owned())
    })
    .transpose()
}

fn text(state: &MoistAir, leaf_c: Option<f64>, system: UnitSystem) -> String {
    let mut rows = vec![
        (
            "dry bulb",
            Value::new(state.dry_bulb_c(), Dim::Temperature).digits(4),
        ),
        (
            "relative humidity",
            Value::new(state.rel_humidity(), Dim::RelHumidity),
        ),
        (
            "humidity ratio",
            Value::new(state.humidity_ratio(), Dim::HumidityRatio).digits(4),
        ),
        (
            "dew point",
            Value::new(state.dew_point_c(), Dim::Temperature).digits(4),
        ),
        (
            "wet bulb",
            Value::new(state.wet_bulb_c(), Dim::Temperature).digits(4),
        ),
        (
            "enthalpy",
            Value::new(state.enthalpy_j_per_kg(), Dim::Enthalpy).digits(4),
        ),
        (
            "specific volume",
            Value::new(state.specific_volume_m3_per_kg(), Dim::SpecificVolume).digits(4),
        ),
        (
            "density",
            Value::new(state.density_kg_per_m3(), Dim::Density).digits(4),
        ),
        ("VPD (air)", Value::new(state.vpd_pa(), Dim::VapourPressure)),
    ];
    if let Some(leaf_c) = leaf_c {
        rows.push((
            "leaf VPD",
            Value::new(state.leaf_vpd_pa(leaf_c), Dim::VapourPressure),
        ));
    }
    rows.push((
        "pressure",
        Value::new(state.pressure_pa(), Dim::Pressure).digits(5),
    ));
    let mut table = out::table(&["air state", ""]);
    for (name, value) in rows {
        table.add_row([name.to_owned(), value.show(system)]);
    }
    out::numbers_right(&mut table, 1);
    format!("{table}\n")
}

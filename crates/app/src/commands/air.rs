//! `drywright air`: one air state from any two of its properties.

use air::{MoistAir, Property};
use anyhow::{Result, anyhow};
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
    pub(crate) fn new(state: &MoistAir, leaf_c: Option<f64>) -> Self {
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
    let (state, leaf_c) = state(args, system).map_err(|p| anyhow!("{}", p.on_command_line()))?;
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

/// Why an air state cannot be given, and by which of what was asked.
#[derive(Debug)]
pub(crate) struct AirProblem {
    /// Name of the property, pressure or altitude, as in "dew_point"; none
    /// where all together are at fault.
    pub(crate) field: Option<&'static str>,
    /// What is wrong.
    pub(crate) words: String,
}

impl AirProblem {
    /// The same for someone who wrote flags.
    fn on_command_line(&self) -> String {
        match self.field {
            Some(field) => format!("--{}: {}", field.replace('_', "-"), self.words),
            None => self.words.clone(),
        }
    }
}

/// The air state that two properties and a pressure give, and the leaf's
/// temperature if one was given.
///
/// # Errors
/// Anything that cannot be read, other than two properties, or no such air.
pub(crate) fn state(
    args: &AirArgs,
    system: UnitSystem,
) -> Result<(MoistAir, Option<f64>), AirProblem> {
    let pressure_pa = pressure(args, system)?;
    let [first, second] = properties(args)?;
    let state = MoistAir::from_pair(first, second, pressure_pa).map_err(|e| AirProblem {
        field: None,
        words: e.text().show(system),
    })?;
    Ok((state, read("leaf", args.leaf.as_deref(), Dim::Temperature)?))
}

/// The pressure asked for, or that of the altitude, or that of sea level.
fn pressure(args: &AirArgs, system: UnitSystem) -> Result<f64, AirProblem> {
    if let Some(p) = read("pressure", args.pressure.as_deref(), Dim::Pressure)? {
        return Ok(p);
    }
    let altitude_m = read("altitude", args.altitude.as_deref(), Dim::Length)?.unwrap_or(0.0);
    if !(-500.0..=5000.0).contains(&altitude_m) {
        let [given, low, high] =
            [altitude_m, -500.0, 5000.0].map(|m| Value::new(m, Dim::Length).show(system));
        return Err(AirProblem {
            field: Some("altitude"),
            words: format!("it is {given}; allowed: {low} to {high}"),
        });
    }
    Ok(air::pressure_from_altitude_pa(altitude_m))
}

/// The two properties given; more or fewer are refused by count.
fn properties(args: &AirArgs) -> Result<[Property; 2], AirProblem> {
    type Make = fn(f64) -> Property;
    let asked: [(&str, &Option<String>, Dim, Make); 7] = [
        (
            "dry_bulb",
            &args.dry_bulb,
            Dim::Temperature,
            Property::DryBulb,
        ),
        ("rh", &args.rh, Dim::RelHumidity, Property::RelHumidity),
        (
            "dew_point",
            &args.dew_point,
            Dim::Temperature,
            Property::DewPoint,
        ),
        (
            "wet_bulb",
            &args.wet_bulb,
            Dim::Temperature,
            Property::WetBulb,
        ),
        (
            "humidity_ratio",
            &args.humidity_ratio,
            Dim::HumidityRatio,
            Property::HumidityRatio,
        ),
        ("vpd", &args.vpd, Dim::VapourPressure, Property::Vpd),
        (
            "enthalpy",
            &args.enthalpy,
            Dim::Enthalpy,
            Property::Enthalpy,
        ),
    ];
    let mut given = Vec::new();
    for (field, text, dim, make) in asked {
        if let Some(si) = read(field, text.as_deref(), dim)? {
            given.push((field, make(si)));
        }
    }
    match given[..] {
        [(_, a), (_, b)] => Ok([a, b]),
        _ => {
            let flag = |f: &str| format!(" --{}", f.replace('_', "-"));
            Err(AirProblem {
                field: None,
                words: format!(
                    "an air state needs exactly two properties, {} given{}; \
                     choose two of{}, \
                     e.g. drywright air --dry-bulb \"24 C\" --rh \"60 %\" --altitude \"1600 m\"",
                    given.len(),
                    given.iter().map(|(f, _)| flag(f)).collect::<String>(),
                    asked.iter().map(|(f, ..)| flag(f)).collect::<String>(),
                ),
            })
        }
    }
}

fn read(field: &'static str, text: Option<&str>, dim: Dim) -> Result<Option<f64>, AirProblem> {
    text.map(|t| {
        quantity::read(t, dim)
            .map(|v| v.si)
            .map_err(|e| AirProblem {
                field: Some(field),
                words: e.to_string(),
            })
    })
    .transpose()
}

/// What there is to say of a state: name and value.
pub(crate) fn rows(state: &MoistAir, leaf_c: Option<f64>) -> Vec<(&'static str, Value)> {
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
    rows
}

fn text(state: &MoistAir, leaf_c: Option<f64>, system: UnitSystem) -> String {
    let mut table = out::table(&["air state", ""]);
    for (name, value) in rows(state, leaf_c) {
        table.add_row([name.to_owned(), value.show(system)]);
    }
    out::numbers_right(&mut table, 1);
    format!("{table}\n")
}

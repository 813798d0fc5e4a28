//! `drywright catalog check`: read and judge machine files.

use std::path::PathBuf;

use air::MoistAir;
use anyhow::{Result, bail};
use equipment::{Catalog, Model};
use quantity::{Finding, Severity};
use schemars::JsonSchema;
use serde::Serialize;

use super::{DAY, NIGHT, SEA_LEVEL_PA, units};
use crate::Verdict;
use crate::cli::Shown;
use crate::project::{files_of, refused};
use crate::results::{FindingResult, findings};
use crate::{files, out};

/// Machine files read, with what gives to think about.
#[derive(Serialize, JsonSchema)]
pub(crate) struct CatalogCheckResult {
    schema: &'static str,
    files: Vec<String>,
    findings: Vec<FindingResult>,
}

pub(super) fn run(paths: &[PathBuf], shown: Shown) -> Result<Verdict> {
    let machines = read(paths)?;
    let catalog = Catalog::read(&machines).map_err(|p| refused(&p))?;
    let mut found = Vec::new();
    for model in catalog.dehumidifiers.values() {
        found.extend(equipment::ratings_inconsistent(model));
        found.extend(models_disagree(model)?);
    }
    if shown.json {
        out::json(&CatalogCheckResult {
            schema: "drywright/catalog-check/1",
            files: machines.into_iter().map(|(name, _)| name).collect(),
            findings: findings(&found),
        })?;
    } else {
        let noun = if machines.len() == 1 {
            "machine file"
        } else {
            "machine files"
        };
        out::print(&format!(
            "{} {noun} can be read.\n\n{}",
            machines.len(),
            out::findings(&found, units(shown))
        ))?;
    }
    Ok(Verdict::from_stops(
        found.iter().any(|f| f.severity == Severity::Stop),
    ))
}

/// Every machine file that the paths mean: name and text.
fn read(paths: &[PathBuf]) -> Result<Vec<(String, String)>> {
    let mut machines = Vec::new();
    for path in paths {
        if path.is_dir() {
            let found = files_of(path)?;
            if found.is_empty() {
                bail!("{} holds no machine files (*.toml)", path.display());
            }
            machines.extend(found);
        } else {
            machines.push((path.display().to_string(), files::read_text(path)?));
        }
    }
    Ok(machines)
}

/// Where the two ways to carry a lone rating are furthest apart, of the air of
/// a crop room by day and by night.
fn models_disagree(model: &Model) -> Result<Option<Finding>> {
    let mut worst: Option<Finding> = None;
    for (dry_bulb_c, rel_humidity) in [DAY, NIGHT] {
        let inlet = MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, SEA_LEVEL_PA)?;
        let found = equipment::rating_models_disagree(model, &inlet);
        let apart = |f: &Option<Finding>| f.as_ref().and_then(|f| f.measured).map_or(0.0, |m| m.si);
        if apart(&worst) < apart(&found) {
            worst = found;
        }
    }
    Ok(worst)
}

//! `drywright catalog`: machines at hand, and records for real machines.

mod check;
mod draft;
mod list;
pub(crate) mod new;

use anyhow::Result;
use quantity::UnitSystem;

use crate::Verdict;
use crate::cli::{CatalogCommand, Shown};

pub(crate) use check::CatalogCheckResult;
pub(crate) use list::CatalogResult;
pub(crate) use list::air_words;
pub(crate) use new::NewRecordResult;

/// Air of a crop room by day and by night, at which models are set side by
/// side \[°C, 0 to 1\].
pub(crate) const DAY: (f64, f64) = (26.0, 0.55);
pub(crate) const NIGHT: (f64, f64) = (20.0, 0.55);
pub(crate) const SEA_LEVEL_PA: f64 = 101_325.0;

pub(crate) fn run(command: &CatalogCommand, shown: Shown) -> Result<Verdict> {
    match command {
        CatalogCommand::List { dir } => list::run(dir.as_deref(), shown),
        CatalogCommand::Check { paths } => check::run(paths, shown),
        CatalogCommand::New(args) => new::run(args, shown),
    }
}

fn units(shown: Shown) -> UnitSystem {
    shown.units.map_or(UnitSystem::Metric, Into::into)
}

//! `drywright survey`: the blank form to print and carry.

use std::path::Path;

use anyhow::Result;
use quantity::UnitSystem;

use crate::Verdict;
use crate::cli::{Paper, Shown};
use crate::files;
use crate::out;

pub(crate) fn run(file: &Path, paper: Option<Paper>, shown: Shown) -> Result<Verdict> {
    let units = shown.units.map_or(UnitSystem::Metric, Into::into);
    let form = sheet::sheets::survey::form(&room::SITE_FORMAT, &room::ROOM_FORMAT, units);
    let pdf = sheet::pdf::pdf(&form, super::design::paper(paper, units))?;
    files::write_whole(file, &pdf)?;
    out::message(&format!("written: {}", file.display()));
    Ok(Verdict::Clear)
}

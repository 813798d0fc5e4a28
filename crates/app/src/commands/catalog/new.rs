//! `drywright catalog new`: a record for a real machine.

use std::path::Path;

use anyhow::{Result, bail};
use equipment::{
    Cell, Datasheet, Fitted, Method, TablePoint, fit_record, read_model, write_record,
};
use fields::Problems;
use quantity::{Dim, UnitSystem, Value};
use schemars::JsonSchema;
use serde::Serialize;

use super::draft::Draft;
use super::units;
use crate::Verdict;
use crate::cli::{CatalogNewArgs, OverOld, Shown};
use crate::project::refused;
use crate::{files, out};

/// A record made, and how well it goes through its points.
#[derive(Serialize, JsonSchema)]
pub(crate) struct NewRecordResult {
    schema: &'static str,
    file: String,
    code: String,
    method: &'static str,
    points: usize,
    /// Numbers that the method fits, the rating among them; only more points
    /// than these say how good the fit is.
    free_numbers: usize,
    /// Shares of the rated removal and power.
    removal_residual_rms: f64,
    removal_residual_max: f64,
    power_residual_rms: f64,
    power_residual_max: f64,
    /// Keys of the file that neither nameplate nor datasheet told.
    assumed: Vec<String>,
}

/// Residual above which the points are worth a second look: so far do public
/// curve sets differ from each other.
const POOR_FIT: f64 = 0.10;

pub(super) fn run(args: &CatalogNewArgs, shown: Shown) -> Result<Verdict> {
    plain(&args.code)?;
    let path = args
        .out
        .clone()
        .unwrap_or_else(|| Path::new("catalog").join(format!("{}.toml", args.code)));
    if path.exists() && args.over_old() == OverOld::Refuse {
        bail!(
            "{} exists and is not written over; name another file with --out, or say --force",
            path.display()
        );
    }
    let made = record(args)?;
    files::write_whole(&path, made.text.as_bytes())?;
    let result = result(&path, args, &made);
    if shown.json {
        out::json(&result)?;
    } else {
        out::print(&text(&result, units(shown)))?;
    }
    Ok(Verdict::Clear)
}

/// A code is also a file name: letters, digits, `-`, `_` and `.` only.
pub(crate) fn plain(code: &str) -> Result<()> {
    let good = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
    if !(1..=64).contains(&code.len())
        || !code.chars().all(good)
        || !code.starts_with(|c: char| c.is_ascii_alphanumeric())
    {
        bail!(
            "--code \"{code}\" cannot name a file; allowed: 1 to 64 letters, digits, - _ . beginning with a letter or digit, e.g. unit-70"
        );
    }
    Ok(())
}

/// A record as it is written, and how it was found.
pub(crate) struct Made {
    /// Text of the machine file.
    pub(crate) text: String,
    fitted: Fitted,
    assumed: Vec<String>,
}

/// The record that nameplate and datasheet points give.
///
/// # Errors
/// What was said cannot be read, or cannot be fitted; told by flags.
pub(crate) fn record(args: &CatalogNewArgs) -> Result<Made> {
    let draft = Draft::new(args)?;
    let model = read_model("nameplate", draft.text()).map_err(|p| by_flag(&draft, &p))?;
    let sheet = Datasheet {
        rating: *model.rating(),
        points: model
            .ratings
            .iter()
            .map(|r| TablePoint {
                dry_bulb_c: r.dry_bulb_c,
                rel_humidity: r.rel_humidity,
                cell: Cell {
                    removal_kg_per_s: r.removal_kg_per_s,
                    power_w: r.power_w,
                },
            })
            .collect(),
        airflow_m3_per_s: model.fan.rated_m3_per_s(),
        pressure_pa: model.data_pressure_pa,
        document: args.document.clone(),
        page: args.page.clone(),
        read_on: args.read.clone(),
    };
    let (model, fitted) = fit_record(&model, &sheet)?;
    let text = write_record(&model);
    // What is about to be written must say what was meant.
    match read_model(&args.code, &text) {
        Ok(back) if back == model => {}
        Ok(_) => bail!("the record does not read back as it was made; nothing was written"),
        Err(p) => return Err(refused(&p)),
    }
    Ok(Made {
        text,
        fitted,
        assumed: draft.assumed(),
    })
}

/// Problems of the draft, told by the flags that the person wrote: the draft
/// itself is seen by nobody.
fn by_flag(draft: &Draft, problems: &Problems) -> anyhow::Error {
    let list: String = problems
        .iter()
        .map(|p| {
            let mut line = format!("\n{}", draft.flag(p.line, &p.key));
            if !p.read.is_empty() {
                line.push_str(&format!(" = {}", p.read));
            }
            line.push_str(&format!(": {}", p.what));
            for more in [("allowed: ", &p.allowed), ("", &p.mend)] {
                if !more.1.is_empty() {
                    line.push_str(&format!("; {}{}", more.0, more.1));
                }
            }
            line
        })
        .collect();
    anyhow::anyhow!("nothing was written:{list}")
}

fn result(path: &Path, args: &CatalogNewArgs, made: &Made) -> NewRecordResult {
    NewRecordResult {
        schema: "drywright/catalog-new/1",
        file: path.display().to_string(),
        code: args.code.clone(),
        method: made.fitted.method.words(),
        points: args.points.len(),
        free_numbers: match made.fitted.method {
            Method::Biquadratic => 6,
            Method::ClosureSlope => 2,
            Method::ClosureBoth => 3,
        },
        removal_residual_rms: made.fitted.removal.rms,
        removal_residual_max: made.fitted.removal.max,
        power_residual_rms: made.fitted.power.rms,
        power_residual_max: made.fitted.power.max,
        assumed: made.assumed.clone(),
    }
}

fn text(r: &NewRecordResult, system: UnitSystem) -> String {
    let percent = |x: f64| Value::new(x, Dim::Fraction).digits(2).show(system);
    let mut text = format!(
        "{}: {} points, {}.\n\
         Residual of removal {} rms, {} at most; of power {} rms, {} at most (share of the rated).\n",
        r.file,
        r.points,
        r.method,
        percent(r.removal_residual_rms),
        percent(r.removal_residual_max),
        percent(r.power_residual_rms),
        percent(r.power_residual_max),
    );
    if r.points <= r.free_numbers {
        text.push_str(
            "As many numbers were fitted as there are points: the residual proves nothing, one more point would.\n",
        );
    }
    if POOR_FIT < r.removal_residual_max.max(r.power_residual_max) {
        text.push_str(
            "The fit is poor: look for a slip of the pen in the points, or add points between them.\n",
        );
    }
    text.push_str(&format!(
        "Assumed, marked in the file, to be replaced from the maker's papers: {}.\n",
        r.assumed.join(", ")
    ));
    text
}

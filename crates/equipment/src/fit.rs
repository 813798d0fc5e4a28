//! A record for a real machine, from its nameplate and a few datasheet points.

use air::MoistAir;
use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use crate::closure::{
    Closure, ClosureError, ClosureRating, USUAL_BYPASS_FACTOR, USUAL_SLOPE_PER_K,
};
use crate::curve::{Biquadratic, Range};
use crate::fan::FilterState;
use crate::model::{ClosureData, Curve, Model, Performance};
use crate::provenance::{Existence, Provenance};
use crate::rating::Rating;
use crate::table::TablePoint;

/// What is known of a machine's performance, and from where.
#[derive(Clone, Debug, PartialEq)]
pub struct Datasheet {
    /// The rated point that the datasheet puts first.
    pub rating: Rating,
    /// Points of the datasheet: inlet air, removal, power.
    pub points: Vec<TablePoint>,
    /// Air flow at the rating \[m³/s\].
    pub airflow_m3_per_s: f64,
    /// Barometric pressure that the points hold at \[Pa\].
    pub pressure_pa: f64,
    /// Title of the document.
    pub document: String,
    /// Page or table in it.
    pub page: String,
    /// Day on which it was read, ISO.
    pub read_on: String,
}

/// A performance map fitted to points.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The map.
    pub performance: Performance,
    /// Bypass factor to go with it.
    pub bypass_factor: f64,
    /// Capacity slope to go with it \[1/K\].
    pub slope_per_k: f64,
    /// How it was found.
    pub method: Method,
    /// Residual of removal, share of the rated.
    pub removal: Residual,
    /// Residual of power, share of the rated.
    pub power: Residual,
}

/// How a map was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Least squares of two biquadratics.
    Biquadratic,
    /// Closure with the slope fitted, bypass factor as usual.
    ClosureSlope,
    /// Closure with slope and bypass factor fitted.
    ClosureBoth,
}

impl Method {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Biquadratic => "biquadratics by least squares",
            Self::ClosureSlope => "closure, capacity slope fitted, usual bypass factor",
            Self::ClosureBoth => "closure, capacity slope and bypass factor fitted",
        }
    }
}

/// How far a fit is from its points, as a share of the rated value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// Root mean square.
    pub rms: f64,
    /// Largest, either way.
    pub max: f64,
}

/// Why nothing can be fitted.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum FitError {
    /// No points, or only one.
    #[error(
        "{count} datasheet point(s): at least two beside each other are needed; with the rating alone write kind = \"rating only\""
    )]
    TooFew {
        /// How many were given.
        count: usize,
    },
    /// All points at one air.
    #[error(
        "all points lie within {span_k:.1} K and {span_percent:.0} %RH: nothing can be told of other air; add a point at least 3 K or 10 %RH away"
    )]
    OneAir {
        /// Span of dry bulb \[K\].
        span_k: f64,
        /// Span of relative humidity, percent.
        span_percent: f64,
    },
    /// A number that cannot be.
    #[error("point {index}: {what} is {value}; it must be a positive number")]
    NotPositive {
        /// Which point, from 1.
        index: usize,
        /// Which number.
        what: &'static str,
        /// What was given.
        value: f64,
    },
    /// The points do not belong to the rating.
    #[error(
        "at the air of the rating the points say {ratio:.2} times the rated removal: check units and condition"
    )]
    NotTheRating {
        /// Removal by the map over rated removal.
        ratio: f64,
    },
    /// Draft and datasheet disagree on the air flow.
    #[error(
        "the fan curve of the draft gives {draft_m3_per_s:.4} m³/s at its rated pressure, the datasheet {sheet_m3_per_s:.4} m³/s: make the fan curve pass through the rated air flow"
    )]
    AirFlow {
        /// Rated flow of the draft \[m³/s\].
        draft_m3_per_s: f64,
        /// Rated flow of the datasheet \[m³/s\].
        sheet_m3_per_s: f64,
    },
    /// No document named.
    #[error("a record of a real machine names its {what}")]
    NoDocument {
        /// What is missing.
        what: &'static str,
    },
    /// No closure goes through the rating.
    #[error(transparent)]
    Closure(#[from] ClosureError),
}

/// Points needed for two biquadratics of six coefficients.
const CURVE_POINTS: usize = 6;
/// Least singular value over the largest below which points count as badly
/// spread. **Assumed**: at 0.03 an error of 1 % in a point can become 30 % in
/// a coefficient.
const LEAST_SPREAD: f64 = 0.03;

/// Fits a performance map.
///
/// With six or more points that are well spread over dry bulb and relative
/// humidity: biquadratics by least squares (singular value decomposition). If
/// these fall where they must rise, or miss the rating by more than 10 %, or
/// with two to five points: the closure through the rating, its capacity slope
/// fitted, with three points or more its bypass factor too.
///
/// # Errors
/// [`FitError`]: too few points, all at one air, numbers that cannot be,
/// points that do not belong to the rating, no document named.
pub fn fit(sheet: &Datasheet) -> Result<Fitted, FitError> {
    refuse(sheet)?;
    let curve = if sheet.points.len() >= CURVE_POINTS {
        fit_curve(sheet)
    } else {
        None
    };
    curve.map_or_else(|| fit_closure(sheet), Ok)
}

/// A record for a real machine: the `draft` (read from a file with
/// kind = "rating only": plate, body, fan, control) with rating, map and
/// provenance of the datasheet.
///
/// # Errors
/// As [`fit`]; also a fan curve that does not pass through the rated air flow
/// within 1 %.
pub fn fit_record(draft: &Model, sheet: &Datasheet) -> Result<(Model, Fitted), FitError> {
    let draft_m3_per_s = draft.fan.rated_m3_per_s();
    let off = sheet.airflow_m3_per_s / draft_m3_per_s - 1.0;
    if off.abs() > 0.01 || off.is_nan() {
        return Err(FitError::AirFlow {
            draft_m3_per_s,
            sheet_m3_per_s: sheet.airflow_m3_per_s,
        });
    }
    // One number from here on: the curve's, which the file holds.
    let sheet = &Datasheet {
        airflow_m3_per_s: draft_m3_per_s,
        ..sheet.clone()
    };
    let fitted = fit(sheet)?;
    let closure = closure(sheet, fitted.bypass_factor, fitted.slope_per_k)?;
    let mut figures = draft.provenance.figures.clone();
    figures.push((
        "performance".to_owned(),
        format!(
            "{} points of the document, {}; residual of removal {:.1} % rms, {:.1} % at most; of power {:.1} % rms, {:.1} % at most",
            sheet.points.len(),
            fitted.method.words(),
            100.0 * fitted.removal.rms,
            100.0 * fitted.removal.max,
            100.0 * fitted.power.rms,
            100.0 * fitted.power.max,
        ),
    ));
    let model = Model {
        ratings: vec![sheet.rating],
        performance: fitted.performance.clone(),
        data_pressure_pa: sheet.pressure_pa,
        bypass_factor: fitted.bypass_factor,
        closure,
        provenance: Provenance {
            existence: Existence::Documented {
                document: sheet.document.clone(),
                page: sheet.page.clone(),
                read_on: sheet.read_on.clone(),
            },
            figures,
        },
        ..draft.clone()
    };
    Ok((model, fitted))
}

/// How far a record is from points, as shares of its rating: removal, power.
pub fn residual(model: &Model, points: &[TablePoint]) -> (Residual, Residual) {
    let rating = model.rating();
    let outputs: Vec<(f64, f64)> = points
        .iter()
        .filter_map(|p| {
            let air =
                MoistAir::from_rel_humidity(p.dry_bulb_c, p.rel_humidity, model.data_pressure_pa)
                    .ok()?;
            let out = model.at(air, FilterState::Clean);
            Some((
                (out.removal_kg_per_s - p.cell.removal_kg_per_s) / rating.removal_kg_per_s,
                (out.power_w - p.cell.power_w) / rating.power_w,
            ))
        })
        .collect();
    (
        of(outputs.iter().map(|o| o.0)),
        of(outputs.iter().map(|o| o.1)),
    )
}

fn of(errors: impl Iterator<Item = f64>) -> Residual {
    let (mut n, mut squares, mut max) = (0.0, 0.0, 0.0_f64);
    for e in errors {
        n += 1.0;
        squares += e * e;
        max = max.max(e.abs());
    }
    Residual {
        rms: (squares / f64::max(n, 1.0)).sqrt(),
        max,
    }
}

fn refuse(sheet: &Datasheet) -> Result<(), FitError> {
    for (what, text) in [
        ("document", &sheet.document),
        ("page", &sheet.page),
        ("day of reading", &sheet.read_on),
    ] {
        if text.trim().is_empty() {
            return Err(FitError::NoDocument { what });
        }
    }
    let count = sheet.points.len();
    if count < 2 {
        return Err(FitError::TooFew { count });
    }
    for (i, p) in sheet.points.iter().enumerate() {
        for (what, value) in [
            ("removal", p.cell.removal_kg_per_s),
            ("power", p.cell.power_w),
            ("relative humidity", p.rel_humidity),
        ] {
            if !(value > 0.0 && value.is_finite()) {
                return Err(FitError::NotPositive {
                    index: i + 1,
                    what,
                    value,
                });
            }
        }
    }
    let range = range(&sheet.points);
    let span_k = range.max_dry_bulb_c - range.min_dry_bulb_c;
    let span_percent = 100.0 * (range.max_rel_humidity - range.min_rel_humidity);
    if span_k < 3.0 && span_percent < 10.0 {
        return Err(FitError::OneAir {
            span_k,
            span_percent,
        });
    }
    Ok(())
}

/// The box around the points.
fn range(points: &[TablePoint]) -> Range {
    let mut r = Range {
        min_dry_bulb_c: f64::INFINITY,
        max_dry_bulb_c: f64::NEG_INFINITY,
        min_rel_humidity: f64::INFINITY,
        max_rel_humidity: f64::NEG_INFINITY,
    };
    for p in points {
        r.min_dry_bulb_c = r.min_dry_bulb_c.min(p.dry_bulb_c);
        r.max_dry_bulb_c = r.max_dry_bulb_c.max(p.dry_bulb_c);
        r.min_rel_humidity = r.min_rel_humidity.min(p.rel_humidity);
        r.max_rel_humidity = r.max_rel_humidity.max(p.rel_humidity);
    }
    r
}

/// Least squares of both biquadratics; nothing if the points are badly spread
/// or the result is not fit for use.
fn fit_curve(sheet: &Datasheet) -> Option<Fitted> {
    let valid = range(&sheet.points);
    // Centred and scaled, so that the singular values tell of the spread and
    // not of the units.
    let scale = |low: f64, high: f64| (0.5 * (low + high), (0.5 * (high - low)).max(1e-9));
    let (t_0, t_1) = scale(valid.min_dry_bulb_c, valid.max_dry_bulb_c);
    let (r_0, r_1) = scale(
        100.0 * valid.min_rel_humidity,
        100.0 * valid.max_rel_humidity,
    );
    let rows = sheet.points.len();
    let matrix = DMatrix::from_fn(rows, 6, |i, j| {
        let p = &sheet.points[i];
        let x = (p.dry_bulb_c - t_0) / t_1;
        let y = (100.0 * p.rel_humidity - r_0) / r_1;
        [1.0, x, x * x, y, y * y, x * y][j]
    });
    let svd = matrix.svd(true, true);
    let largest = svd.singular_values.max();
    let least = svd.singular_values.min();
    if least < LEAST_SPREAD * largest {
        return None;
    }
    let solve = |values: Vec<f64>| -> Option<Biquadratic> {
        let x = svd.solve(&DVector::from_vec(values), 1e-12).ok()?;
        let n = [x[0], x[1], x[2], x[3], x[4], x[5]];
        Some(unscaled(n, (t_0, t_1), (r_0, r_1)))
    };
    let rating = &sheet.rating;
    let list = |take: fn(&TablePoint) -> f64, by: f64| -> Vec<f64> {
        sheet.points.iter().map(|p| take(p) / by).collect()
    };
    let removal = solve(list(|p| p.cell.removal_kg_per_s, rating.removal_kg_per_s))?;
    let power = solve(list(|p| p.cell.power_w, rating.power_w))?;
    let curve = Curve {
        removal,
        power,
        valid,
    };
    let at_rating = |c: &Biquadratic| c.at(rating.dry_bulb_c, rating.rel_humidity);
    let near = |x: f64| (0.97..=1.03).contains(&x);
    if !curve.rises() || !near(at_rating(&removal)) || !near(at_rating(&power)) {
        return None;
    }
    let errors = |curve: &Biquadratic, take: fn(&TablePoint) -> f64, by: f64| {
        of(sheet
            .points
            .iter()
            .map(|p| curve.at(p.dry_bulb_c, p.rel_humidity) - take(p) / by))
    };
    Some(Fitted {
        performance: Performance::Curve(curve),
        bypass_factor: USUAL_BYPASS_FACTOR,
        slope_per_k: USUAL_SLOPE_PER_K,
        method: Method::Biquadratic,
        removal: errors(
            &removal,
            |p| p.cell.removal_kg_per_s,
            rating.removal_kg_per_s,
        ),
        power: errors(&power, |p| p.cell.power_w, rating.power_w),
    })
    .filter(|f| {
        // Without a closure that air flow and removal allow, no record.
        closure(sheet, f.bypass_factor, f.slope_per_k).is_ok()
    })
}

/// From the centred and scaled polynomial back to T and R.
fn unscaled(n: [f64; 6], (t_0, t_1): (f64, f64), (r_0, r_1): (f64, f64)) -> Biquadratic {
    let [k, x, xx, y, yy, xy] = n;
    let (b2, d2, f) = (xx / (t_1 * t_1), yy / (r_1 * r_1), xy / (t_1 * r_1));
    Biquadratic {
        a: k - x * t_0 / t_1 + b2 * t_0 * t_0 - y * r_0 / r_1 + d2 * r_0 * r_0 + f * t_0 * r_0,
        b: x / t_1 - 2.0 * b2 * t_0 - f * r_0,
        c: b2,
        d: y / r_1 - 2.0 * d2 * r_0 - f * t_0,
        e: d2,
        f,
    }
}

fn closure(sheet: &Datasheet, bypass_factor: f64, slope_per_k: f64) -> Result<Closure, FitError> {
    let rating = &sheet.rating;
    let inlet =
        MoistAir::from_rel_humidity(rating.dry_bulb_c, rating.rel_humidity, sheet.pressure_pa)
            .map_err(|_| FitError::NotPositive {
                index: 0,
                what: "pressure",
                value: sheet.pressure_pa,
            })?;
    Ok(Closure::from_rating(&ClosureRating {
        inlet,
        removal_kg_per_s: rating.removal_kg_per_s,
        airflow_m3_per_s: sheet.airflow_m3_per_s,
        bypass_factor,
        slope_per_k,
    })?)
}

fn fit_closure(sheet: &Datasheet) -> Result<Fitted, FitError> {
    let rating = &sheet.rating;
    let airs: Vec<(MoistAir, f64)> = sheet
        .points
        .iter()
        .filter_map(|p| {
            let air = MoistAir::from_rel_humidity(p.dry_bulb_c, p.rel_humidity, sheet.pressure_pa)
                .ok()?;
            Some((air, p.cell.removal_kg_per_s / rating.removal_kg_per_s))
        })
        .collect();
    let errors = |c: &Closure| -> Residual {
        of(airs.iter().map(|(air, ratio)| {
            c.at(air, sheet.airflow_m3_per_s).water_kg_per_s / rating.removal_kg_per_s - ratio
        }))
    };
    let (method, bypass_factors) = if sheet.points.len() >= 3 {
        (Method::ClosureBoth, (0.05, 0.45))
    } else {
        (
            Method::ClosureSlope,
            (USUAL_BYPASS_FACTOR, USUAL_BYPASS_FACTOR),
        )
    };
    let (bypass_factor, slope_per_k, removal) = search(bypass_factors, (-0.01, 0.06), |bf, k| {
        closure(sheet, bf, k).ok().map(|c| errors(&c))
    })
    .map_or_else(
        || {
            closure(sheet, USUAL_BYPASS_FACTOR, USUAL_SLOPE_PER_K)
                .map(|c| (USUAL_BYPASS_FACTOR, USUAL_SLOPE_PER_K, errors(&c)))
        },
        Ok,
    )?;
    if removal.max > 0.25 {
        let nearest = airs.iter().zip(&sheet.points).min_by(|a, b| {
            let far = |p: &TablePoint| {
                (p.dry_bulb_c - rating.dry_bulb_c).abs()
                    + 50.0 * (p.rel_humidity - rating.rel_humidity).abs()
            };
            far(a.1).total_cmp(&far(b.1))
        });
        if let Some(((_, ratio), _)) = nearest {
            return Err(FitError::NotTheRating { ratio: *ratio });
        }
    }
    let (per_k, per_percent) = power_slopes(sheet);
    let power = of(sheet.points.iter().map(|p| {
        1.0 + per_k * (p.dry_bulb_c - rating.dry_bulb_c)
            + per_percent * 100.0 * (p.rel_humidity - rating.rel_humidity)
            - p.cell.power_w / rating.power_w
    }));
    let mut valid = range(&sheet.points);
    valid.min_dry_bulb_c = valid.min_dry_bulb_c.min(rating.dry_bulb_c);
    valid.max_dry_bulb_c = valid.max_dry_bulb_c.max(rating.dry_bulb_c);
    valid.min_rel_humidity = valid.min_rel_humidity.min(rating.rel_humidity);
    valid.max_rel_humidity = valid.max_rel_humidity.max(rating.rel_humidity);
    Ok(Fitted {
        performance: Performance::Closure(ClosureData {
            power_per_k: per_k,
            power_per_percent: per_percent,
            valid,
        }),
        bypass_factor,
        slope_per_k,
        method,
        removal,
        power,
    })
}

/// Least squares of the two power slopes through the rating; a direction in
/// which the points do not spread gets none.
fn power_slopes(sheet: &Datasheet) -> (f64, f64) {
    let rating = &sheet.rating;
    let (mut xx, mut xy, mut yy, mut xz, mut yz) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for p in &sheet.points {
        let x = p.dry_bulb_c - rating.dry_bulb_c;
        let y = 100.0 * (p.rel_humidity - rating.rel_humidity);
        let z = p.cell.power_w / rating.power_w - 1.0;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
    }
    let det = xx * yy - xy * xy;
    let limit = |s: f64| s.clamp(-0.1, 0.1);
    if det > 0.05 * xx * yy && det > 1e-9 {
        (
            limit((xz * yy - yz * xy) / det),
            limit((yz * xx - xz * xy) / det),
        )
    } else if xx >= yy && xx > 0.0 {
        (limit(xz / xx), 0.0)
    } else if yy > 0.0 {
        (0.0, limit(yz / yy))
    } else {
        (0.0, 0.0)
    }
}

/// Grid that closes in on the least rms.
fn search(
    (bf_low, bf_high): (f64, f64),
    (k_low, k_high): (f64, f64),
    rms: impl Fn(f64, f64) -> Option<Residual>,
) -> Option<(f64, f64, Residual)> {
    const N: i32 = 12;
    let mut best: Option<(f64, f64, Residual)> = None;
    let (mut bf_c, mut bf_d) = (0.5 * (bf_low + bf_high), 0.5 * (bf_high - bf_low));
    let (mut k_c, mut k_d) = (0.5 * (k_low + k_high), 0.5 * (k_high - k_low));
    for _ in 0..7 {
        for i in -N..=N {
            let bf = (bf_c + bf_d * f64::from(i) / f64::from(N)).clamp(bf_low, bf_high);
            for j in -N..=N {
                let k = (k_c + k_d * f64::from(j) / f64::from(N)).clamp(k_low, k_high);
                if let Some(r) = rms(bf, k)
                    && best.is_none_or(|b| r.rms < b.2.rms)
                {
                    best = Some((bf, k, r));
                }
            }
            if bf_d == 0.0 {
                break;
            }
        }
        let (bf, k, _) = best?;
        (bf_c, k_c) = (bf, k);
        bf_d *= 0.3;
        k_d *= 0.3;
    }
    // Four digits are more than a datasheet tells.
    let (bf, k, _) = best?;
    let (bf, k) = ((bf * 1e4).round() / 1e4, (k * 1e5).round() / 1e5);
    rms(bf, k).map(|r| (bf, k, r))
}

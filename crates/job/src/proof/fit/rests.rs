//! What the balance leaves open in each window, and how alike that is.

use super::super::physics::{Physics, WindowWater};
use super::super::unknown::Point;

/// Rests beyond so many deviations count less (Huber): a door stood open.
pub(super) const FAR: f64 = 2.5;
/// Least spread of a window's rest over what passes through it: no balance of a
/// room is better.
///
/// **Assumed**.
const MODEL_SPREAD: f64 = 0.03;

/// Rests of the balance at a point.
#[derive(Clone, Debug)]
pub(super) struct Rests {
    /// Of each window \[kg\].
    pub(super) windows_kg: Vec<f64>,
    /// Logarithm of removed over counted; `None` without counts.
    pub(super) counted: Option<f64>,
    /// Least deviation of a rest \[kg\].
    least_kg: f64,
}

impl Rests {
    pub(super) fn at(physics: &Physics<'_>, point: &Point) -> Self {
        let water = physics.water(point);
        let through: f64 = water.iter().map(|w| w.crop.abs() + w.units.abs()).sum();
        Self {
            windows_kg: water.iter().map(WindowWater::rest).collect(),
            counted: counted(physics, &water),
            least_kg: MODEL_SPREAD * through / (2.0 * water.len() as f64),
        }
    }

    /// Standard deviation of a rest \[kg\].
    pub(super) fn deviation(&self) -> f64 {
        spread(&self.windows_kg).max(self.least_kg).max(1e-9)
    }

    /// By how much its square is raised, since rests are alike.
    pub(super) fn raised(&self) -> f64 {
        raised(&self.windows_kg)
    }
}

/// Logarithm of removed over counted water, where enough was counted.
fn counted(physics: &Physics<'_>, water: &[WindowWater]) -> Option<f64> {
    let known = || {
        let windows = physics.windows.iter().zip(water);
        windows.filter(|(window, _)| window.counted_kg.is_finite())
    };
    let counted: f64 = known().map(|(window, _)| window.counted_kg).sum();
    let removed: f64 = known().map(|(_, water)| water.units).sum();
    // Less than half a day of counts, or none at all, says nothing.
    (24 <= known().count() && 0.0 < counted).then(|| (removed.max(1e-9) / counted).ln())
}

/// Spread of rests by their middle distance from zero: robust to a few far
/// ones.
fn spread(rests: &[f64]) -> f64 {
    let mut sizes: Vec<f64> = rests.iter().map(|r| r.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    let middle = sizes.get(sizes.len() / 2).copied().unwrap_or(f64::NAN);
    // Middle distance of a normal deviate: 0.6745 of its standard deviation.
    let by_middle = middle / 0.674_49;
    let cut = FAR * by_middle;
    let squares: f64 = rests.iter().map(|r| r.abs().min(cut).powi(2)).sum();
    (squares / rests.len().max(1) as f64).sqrt().max(by_middle)
}

/// By how much the variance is raised, since rests are alike: those that follow
/// each other, 1 + 2 Σ of their correlations up to the first that is not
/// positive, over half a day at most; and those of the same hour of other days,
/// 1 + (days − 1) times theirs, since what the model lacks comes again each day.
fn raised(rests: &[f64]) -> f64 {
    const DAY: usize = 48;
    let n = rests.len();
    let squares: f64 = rests.iter().map(|r| r * r).sum();
    if squares <= 0.0 {
        return 1.0;
    }
    let correlation = |lag: usize| {
        let with: f64 = rests[lag..].iter().zip(rests).map(|(a, b)| a * b).sum();
        with / squares * n as f64 / (n - lag) as f64
    };
    let following: f64 = (1..=DAY / 2)
        .take_while(|lag| lag * 4 <= n)
        .map(correlation)
        .take_while(|c| 0.0 < *c)
        .sum();
    let days = n as f64 / DAY as f64;
    let again = if DAY < n {
        correlation(DAY).clamp(0.0, 1.0)
    } else {
        0.0
    };
    (1.0 + 2.0 * following) * (1.0 + (days - 1.0).max(0.0) * again)
}

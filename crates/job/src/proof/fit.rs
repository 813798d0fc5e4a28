//! What the log says of what was not known: least squares on the balance, and
//! what the survey knew before.
//!
//! The rest of each window is taken as normal about zero, the unknowns as
//! normal about what was known before; the middle is found by Gauss-Newton, the
//! spread is that of the parabola there (Laplace). Rests that are alike, one
//! after the other or at the same hour of each day, count for fewer.

use nalgebra::{Matrix, SMatrix, SVector};
use quantity::Band;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

use crate::stats;

use super::physics::{Physics, WindowWater};
use super::pull_down::Held;
use super::unknown::{COUNT, Point, Unknown};
use super::windows::WINDOW_S;

/// Least windows that a fit is made from: two days.
pub(super) const LEAST_WINDOWS: usize = 96;
/// Rounds of Gauss-Newton, and of the spread of the rests with them.
const ROUNDS: usize = 20;
/// A round that moves all unknowns by less than this share of their spread
/// ends the search.
const SETTLED: f64 = 0.01;
/// Rests beyond so many deviations count less (Huber): a door stood open.
const FAR: f64 = 2.5;
/// Spread of counted water: a bucket or a tipping counter, as a share.
///
/// **Assumed**; includes what stays on coils and in pans over a day.
const COUNTED_SPREAD: f64 = 0.03;
/// Least spread of a window's rest over what passes through it: no balance of a
/// room is better.
///
/// **Assumed**.
const MODEL_SPREAD: f64 = 0.03;
/// Points drawn from the found spread.
pub(super) const POINTS: usize = 120;
const SEED: u64 = 0x10_9f17;

/// Deviate of the 90th percentile.
pub(super) const Z90: f64 = 1.281_551_565_5;

type Square = SMatrix<f64, COUNT, COUNT>;
type Column = SVector<f64, COUNT>;

/// What was found of one unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Found {
    /// Which.
    pub unknown: Unknown,
    /// Known before the log.
    pub before: Band,
    /// Known after it.
    pub after: Band,
    /// Standard deviation after over that before: near 1, the log said nothing
    /// of it.
    pub left: f64,
}

impl Found {
    /// Standard deviation after the log; of the logarithm for factors.
    pub fn deviation(&self) -> f64 {
        if self.unknown.is_factor() {
            (self.after.high / self.after.likely).ln() / Z90
        } else {
            (self.after.high - self.after.likely) / Z90
        }
    }
}

/// A fit.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    pub(super) point: Point,
    /// Of what is free; nothing else moves.
    pub(super) covariance: Square,
    /// Standard deviation of the rest of a window \[kg\].
    pub(super) rest_kg: f64,
    /// By which the variance was raised for rests that follow each other.
    pub(super) raised: f64,
    pub(super) settled: bool,
}

/// Finds the unknowns.
pub(super) fn fit(physics: &Physics<'_>) -> Option<Fit> {
    if physics.windows.len() < LEAST_WINDOWS {
        return None;
    }
    let before = physics.before;
    let free: Vec<usize> = (0..COUNT).filter(|&i| 0.0 < before.deviation[i]).collect();
    let first = search(physics, before.middle, &free, 1.0)?;
    // The middle is found again with the weight that the log is given in the
    // bands: what the model lacks comes again each day, and would draw the middle
    // further from what was known before than so few rests can.
    let raised = raised(&first.now.rests);
    let Search {
        point,
        now,
        settled,
    } = search(physics, first.point, &free, raised)?;
    let rest_kg = now.deviation();
    let normal = now.normal(physics, &point, rest_kg, raised);
    let mut covariance = normal.hessian.try_inverse()?;
    for i in (0..COUNT).filter(|i| !free.contains(i)) {
        covariance[(i, i)] = 0.0;
    }
    Some(Fit {
        point,
        covariance,
        rest_kg,
        raised,
        settled,
    })
}

/// Where a search ended.
struct Search {
    point: Point,
    now: Slopes,
    settled: bool,
}

/// Gauss-Newton with damping from a point, the variance of rests raised.
fn search(physics: &Physics<'_>, from: Point, free: &[usize], raised: f64) -> Option<Search> {
    let before = physics.before;
    let mut point = from;
    let mut damping = 1e-3;
    let mut settled = false;
    let mut now = Slopes::at(physics, &point, free);
    for _ in 0..ROUNDS {
        let rest_kg = now.deviation();
        let weighed_kg = rest_kg * raised.sqrt();
        let normal = now.normal(physics, &point, rest_kg, raised);
        let cost = now.cost(physics, &point, weighed_kg);
        let mut stiff = normal.hessian;
        for &i in free {
            stiff[(i, i)] *= 1.0 + damping;
        }
        let step = stiff.cholesky()?.solve(&normal.gradient);
        let moved: Point = std::array::from_fn(|i| point[i] + step[i]);
        let next = Slopes::at(physics, &moved, free);
        if cost <= next.cost(physics, &moved, weighed_kg) {
            // No better there: go less far, or stay where nothing is better.
            damping *= 10.0;
            settled = 1e4 < damping;
        } else {
            let most = free
                .iter()
                .map(|&i| (step[i] / before.deviation[i]).abs())
                .fold(0.0, f64::max);
            (point, now) = (moved, next);
            damping = (damping / 5.0).max(1e-6);
            settled = most < SETTLED;
        }
        if settled {
            break;
        }
    }
    Some(Search {
        point,
        now,
        settled,
    })
}

/// Rests and their slopes over the unknowns.
struct Slopes {
    /// Rest of each window \[kg\].
    rests: Vec<f64>,
    /// Slopes of it, by unknown.
    slopes: Vec<Vec<f64>>,
    /// Logarithm of removed over counted, and its slopes; `None` without counts.
    counted: Option<(f64, Point)>,
    free: Vec<usize>,
    /// Least deviation of a rest \[kg\].
    least_kg: f64,
}

impl Slopes {
    fn at(physics: &Physics<'_>, point: &Point, free: &[usize]) -> Self {
        /// Share of the spread known before over which slopes are taken.
        const ASIDE: f64 = 0.05;
        let aside = |i: usize| ASIDE * physics.before.deviation[i];
        let mut points = vec![*point];
        for &i in free {
            let mut moved = *point;
            moved[i] += aside(i);
            points.push(moved);
        }
        let waters: Vec<Vec<WindowWater>> = points.par_iter().map(|p| physics.water(p)).collect();
        let rests: Vec<f64> = waters[0].iter().map(WindowWater::rest).collect();
        let mut slopes = vec![vec![0.0; rests.len()]; COUNT];
        for (k, &i) in free.iter().enumerate() {
            for (w, slope) in slopes[i].iter_mut().enumerate() {
                *slope = (waters[k + 1][w].rest() - rests[w]) / aside(i);
            }
        }
        let counted = counted(physics, &waters[0]).map(|(ratio, known)| {
            let mut slope = [0.0; COUNT];
            for (k, &i) in free.iter().enumerate() {
                let moved = ratio_of(physics, &waters[k + 1], &known);
                slope[i] = (moved - ratio) / aside(i);
            }
            (ratio, slope)
        });
        Self {
            rests,
            slopes,
            counted,
            free: free.to_vec(),
            least_kg: MODEL_SPREAD
                * waters[0]
                    .iter()
                    .map(|w| w.crop.abs() + w.units.abs())
                    .sum::<f64>()
                / (2.0 * waters[0].len() as f64),
        }
    }

    /// Standard deviation of a rest \[kg\].
    fn deviation(&self) -> f64 {
        spread(&self.rests).max(self.least_kg).max(1e-9)
    }

    /// What the search makes least: squares of rests over their deviation, of
    /// far ones less, and of what is off from what was known before.
    fn cost(&self, physics: &Physics<'_>, point: &Point, rest_kg: f64) -> f64 {
        let huber = |x: f64| {
            let x = x.abs();
            if x < FAR {
                x * x
            } else {
                FAR * (2.0 * x - FAR)
            }
        };
        let before = physics.before;
        let of_before: f64 = self
            .free
            .iter()
            .map(|&i| ((point[i] - before.middle[i]) / before.deviation[i]).powi(2))
            .sum();
        let of_rests: f64 = self.rests.iter().map(|r| huber(r / rest_kg)).sum();
        let of_count = self
            .counted
            .as_ref()
            .map_or(0.0, |(r, _)| huber(r / COUNTED_SPREAD));
        of_before + of_rests + of_count
    }

    fn normal(&self, physics: &Physics<'_>, point: &Point, rest_kg: f64, raised: f64) -> Normal {
        let before = physics.before;
        let mut hessian = Square::identity();
        let mut gradient = Column::zeros();
        for &i in &self.free {
            hessian[(i, i)] = 1.0 / before.deviation[i].powi(2);
            gradient[i] = (before.middle[i] - point[i]) / before.deviation[i].powi(2);
        }
        let mut add = |rest: f64, slope: &dyn Fn(usize) -> f64, deviation: f64| {
            let far = (rest / deviation).abs();
            let weight = if FAR < far { FAR / far } else { 1.0 };
            let weight = weight / deviation.powi(2);
            for &i in &self.free {
                gradient[i] -= weight * slope(i) * rest;
                for &j in &self.free {
                    hessian[(i, j)] += weight * slope(i) * slope(j);
                }
            }
        };
        let deviation = rest_kg * raised.sqrt();
        for (w, rest) in self.rests.iter().enumerate() {
            add(*rest, &|i| self.slopes[i][w], deviation);
        }
        if let Some((ratio, slope)) = &self.counted {
            add(*ratio, &|i| slope[i], COUNTED_SPREAD);
        }
        Normal { hessian, gradient }
    }
}

/// What the room holds of water as found; as known before, without a fit.
pub(super) fn held(physics: &Physics<'_>, fit: Option<&Fit>) -> Held {
    let i = Unknown::Store as usize;
    let (middle, deviation) = fit.map_or(
        (physics.before.middle[i], physics.before.deviation[i]),
        |fit| (fit.point[i], fit.covariance[(i, i)].max(0.0).sqrt()),
    );
    physics.held(middle.exp(), deviation)
}

struct Normal {
    hessian: Square,
    gradient: Column,
}

/// Windows whose removal was counted: logarithm of removed over counted.
fn counted(physics: &Physics<'_>, water: &[WindowWater]) -> Option<(f64, Vec<usize>)> {
    let known: Vec<usize> = (0..water.len())
        .filter(|&w| physics.windows[w].counted_kg.is_finite())
        .collect();
    let all: f64 = known.iter().map(|&w| physics.windows[w].counted_kg).sum();
    // Less than half a day of counts, or none at all, says nothing.
    (24 <= known.len() && 0.0 < all).then(|| (ratio_of(physics, water, &known), known))
}

fn ratio_of(physics: &Physics<'_>, water: &[WindowWater], known: &[usize]) -> f64 {
    let removed: f64 = known.iter().map(|&w| water[w].units).sum();
    let counted: f64 = known.iter().map(|&w| physics.windows[w].counted_kg).sum();
    (removed.max(1e-9) / counted).ln()
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

impl Fit {
    /// What was found of each unknown that was free.
    pub(super) fn found(&self, physics: &Physics<'_>) -> Vec<Found> {
        let before = physics.before;
        Unknown::ALL
            .into_iter()
            .filter(|u| 0.0 < before.deviation[*u as usize])
            .map(|unknown| {
                let i = unknown as usize;
                let band = |middle: f64, deviation: f64| {
                    let at = |z: f64| {
                        let x = middle + z * deviation;
                        if unknown.is_factor() { x.exp() } else { x }
                    };
                    Band::new(at(-Z90), at(0.0), at(Z90))
                };
                let deviation = self.deviation(i);
                Found {
                    unknown,
                    before: band(before.middle[i], before.deviation[i]),
                    after: band(self.point[i], deviation),
                    left: deviation / before.deviation[i],
                }
            })
            .collect()
    }

    /// Standard deviation found of what is fitted at an index.
    pub(super) fn deviation(&self, of: usize) -> f64 {
        self.covariance[(of, of)].max(0.0).sqrt()
    }

    /// Lower triangular root of the correlations found of what is fitted at some
    /// indices; what is not free goes with nothing.
    pub(super) fn correlation_root<const N: usize>(&self, of: [usize; N]) -> [[f64; N]; N] {
        let correlation = SMatrix::<f64, N, N>::from_fn(|i, j| {
            let both = self.deviation(of[i]) * self.deviation(of[j]);
            match i == j {
                true => 1.0,
                false if 0.0 < both => self.covariance[(of[i], of[j])] / both,
                false => 0.0,
            }
        });
        let root = correlation
            .cholesky()
            .map_or_else(SMatrix::identity, |c| c.l());
        std::array::from_fn(|i| std::array::from_fn(|j| root[(i, j)]))
    }

    /// Points drawn from the found spread, always the same.
    pub(super) fn points(&self) -> Vec<Point> {
        let mut generator = ChaCha8Rng::seed_from_u64(SEED);
        // What is not free has no variance: a little lets the root be taken.
        let mut covariance = self.covariance;
        for i in 0..COUNT {
            covariance[(i, i)] += 1e-12;
        }
        let root = Matrix::cholesky(covariance).map(|c| c.l());
        (0..POINTS)
            .map(|_| {
                let z = Column::from_fn(|_, _| StandardNormal.sample(&mut generator));
                let moved = root.as_ref().map_or_else(Column::zeros, |l| l * z);
                std::array::from_fn(|i| self.point[i] + moved[i])
            })
            .collect()
    }
}

/// Load of each hour of the day \[kg/s\] and of a day \[kg\], found and drawn;
/// nothing for an hour that is never known.
pub(super) fn loads(
    physics: &Physics<'_>,
    fit: &Fit,
    hour_of: impl Fn(usize) -> usize + Sync,
) -> ([Option<Band>; 24], Option<Band>) {
    let of_points: Vec<[f64; 24]> = fit
        .points()
        .par_iter()
        .map(|point| {
            let mut sums = [(0.0, 0.0); 24];
            for (window, water) in physics.windows.iter().zip(physics.water(point)) {
                let (kg, s) = &mut sums[hour_of(window.step)];
                *kg += water.load();
                *s += WINDOW_S;
            }
            sums.map(|(kg, s)| kg / s)
        })
        .collect();
    let band = |of: &dyn Fn(&[f64; 24]) -> f64| {
        let values: Vec<f64> = of_points.iter().map(of).collect();
        let known = values.iter().all(|x| x.is_finite());
        known.then(|| stats::band(&values, &vec![1.0; values.len()]))
    };
    let hours = std::array::from_fn(|hour| band(&|p| p[hour]));
    (hours, band(&|p| p.iter().sum::<f64>() * 3600.0))
}

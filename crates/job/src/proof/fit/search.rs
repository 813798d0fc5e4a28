//! Gauss-Newton on the rests of the balance and on what was known before.

use nalgebra::{SMatrix, SVector};
use rayon::prelude::*;

use super::super::physics::Physics;
use super::super::unknown::{COUNT, Point};
use super::rests::{FAR, Rests};

/// Rounds, and of the spread of the rests with them.
const ROUNDS: usize = 40;
/// Steps along which slopes are followed before they are taken anew.
const MOST_FOLLOWED: usize = 4;
/// A step that makes the squared deviations less by no more than this ends the
/// search, unless damping held it back.
const SETTLED: f64 = 0.02;
/// Damping from which a step is held back.
const HELD_BACK: f64 = 0.1;
/// Damping at which no step is taken any more.
const STIFFEST: f64 = 1e3;
/// Spread of counted water: a bucket or a tipping counter, as a share.
///
/// **Assumed**; includes what stays on coils and in pans over a day.
pub(super) const COUNTED_SPREAD: f64 = 0.03;

type Square = SMatrix<f64, COUNT, COUNT>;
type Column = SVector<f64, COUNT>;

/// What a search is drawn to.
#[derive(Clone, Debug)]
pub(super) struct Aim {
    /// What was known before.
    pub(super) middle: Point,
    /// Rest of each window \[kg\].
    pub(super) rests_kg: Vec<f64>,
    /// Logarithm of removed over counted.
    pub(super) counted: f64,
}

impl Aim {
    /// At what was known and logged: no rest at all.
    pub(super) fn as_logged(physics: &Physics<'_>) -> Self {
        Self {
            middle: physics.before.middle,
            rests_kg: vec![0.0; physics.windows.len()],
            counted: 0.0,
        }
    }
}

/// How a search weighs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weight {
    /// Standard deviation of a rest \[kg\]; found with the rests if not given.
    pub(super) rest_kg: Option<f64>,
    /// By which the variance of rests is raised.
    pub(super) raised: f64,
}

/// Where a search ended.
pub(super) struct Search {
    pub(super) point: Point,
    pub(super) rests: Rests,
    /// By which the variance of rests was raised.
    pub(super) raised: f64,
    /// A step was taken at all.
    pub(super) moved: bool,
    pub(super) settled: bool,
}

/// Gauss-Newton with damping from a point.
pub(super) fn search(
    physics: &Physics<'_>,
    from: Point,
    free: &[usize],
    weight: Weight,
    aim: &Aim,
) -> Option<Search> {
    let before = physics.before;
    let mut point = from;
    let mut damping = 1e-3;
    let (mut has_moved, mut settled) = (false, false);
    let mut now = Rests::at(physics, &point);
    let mut slopes = Slopes::at(physics, &point, &now, free, aim);
    for _ in 0..ROUNDS {
        let off = Off {
            physics,
            free,
            aim,
            rest_kg: weight.rest_kg.unwrap_or_else(|| now.deviation()) * weight.raised.sqrt(),
        };
        let normal = off.normal(&point, &now, &slopes);
        let mut stiff = normal.hessian;
        for &i in free {
            stiff[(i, i)] *= 1.0 + damping;
        }
        let step = stiff.cholesky()?.solve(&normal.gradient);
        let moved: Point = std::array::from_fn(|i| point[i] + step[i]);
        let next = Rests::at(physics, &moved);
        let gain = off.cost(&point, &now) - off.cost(&moved, &next);
        if 0.0 < gain {
            has_moved = true;
            if gain < SETTLED && damping < HELD_BACK {
                (point, now) = (moved, next);
                settled = true;
                break;
            }
            let step: Point = std::array::from_fn(|i| match before.deviation[i] {
                deviation if 0.0 < deviation => step[i] / deviation,
                _ => 0.0,
            });
            damping = (damping / 5.0).max(1e-6);
            slopes.follow(&before.deviation, &step, &now, &next);
            (point, now) = (moved, next);
            if MOST_FOLLOWED < slopes.followed {
                slopes = Slopes::at(physics, &point, &now, free, aim);
            }
        } else if 0 < slopes.followed {
            slopes = Slopes::at(physics, &point, &now, free, aim);
        } else {
            // No better there: go less far. Where no step is better though slopes
            // fall, an unknown lies at a bend, and that is the end.
            damping *= 10.0;
            if STIFFEST < damping {
                settled = true;
                break;
            }
        }
    }
    Some(Search {
        point,
        rests: now,
        raised: weight.raised,
        moved: has_moved,
        settled,
    })
}

/// What a search makes least at the rests of a point, and where that falls.
struct Off<'p, 'a> {
    physics: &'p Physics<'a>,
    free: &'p [usize],
    aim: &'p Aim,
    /// Standard deviation by which rests are weighed \[kg\].
    rest_kg: f64,
}

struct Normal {
    hessian: Square,
    gradient: Column,
}

impl Off<'_, '_> {
    /// Squares of rests over their deviation, of far ones less, and of what is
    /// off from what was known before.
    fn cost(&self, point: &Point, rests: &Rests) -> f64 {
        let huber = |x: f64| {
            let x = x.abs();
            if x < FAR {
                x * x
            } else {
                FAR * (2.0 * x - FAR)
            }
        };
        let deviation = &self.physics.before.deviation;
        let of_before: f64 = self
            .free
            .iter()
            .map(|&i| ((point[i] - self.aim.middle[i]) / deviation[i]).powi(2))
            .sum();
        let of_rests: f64 = rests
            .windows_kg
            .iter()
            .zip(&self.aim.rests_kg)
            .map(|(rest, aim)| huber((rest - aim) / self.rest_kg))
            .sum();
        let of_count = rests.counted.map_or(0.0, |ratio| {
            huber((ratio - self.aim.counted) / COUNTED_SPREAD)
        });
        of_before + of_rests + of_count
    }

    fn normal(&self, point: &Point, rests: &Rests, slopes: &Slopes) -> Normal {
        let deviation = &self.physics.before.deviation;
        let mut hessian = Square::identity();
        let mut gradient = Column::zeros();
        for &i in self.free {
            hessian[(i, i)] = 1.0 / deviation[i].powi(2);
            gradient[i] = (self.aim.middle[i] - point[i]) / deviation[i].powi(2);
        }
        let mut add = |off: f64, slope: &Point, deviation: f64| {
            let far = (off / deviation).abs();
            let weight = if FAR < far { FAR / far } else { 1.0 };
            let weight = weight / deviation.powi(2);
            for &i in self.free {
                gradient[i] -= weight * slope[i] * off;
                for &j in self.free {
                    hessian[(i, j)] += weight * slope[i] * slope[j];
                }
            }
        };
        let windows = rests.windows_kg.iter().zip(&self.aim.rests_kg);
        for ((rest, aim), slope) in windows.zip(&slopes.windows) {
            add(rest - aim, slope, self.rest_kg);
        }
        if let Some(ratio) = rests.counted {
            add(ratio - self.aim.counted, &slopes.counted, COUNTED_SPREAD);
        }
        Normal { hessian, gradient }
    }
}

/// How rests change with the unknowns.
struct Slopes {
    /// Steps along which they were followed since they were taken.
    followed: usize,
    /// Of the rest of each window.
    windows: Vec<Point>,
    /// Of the logarithm of removed over counted.
    counted: Point,
}

impl Slopes {
    fn at(physics: &Physics<'_>, point: &Point, here: &Rests, free: &[usize], aim: &Aim) -> Self {
        /// Share of the spread known before over which slopes are taken.
        const ASIDE: f64 = 0.05;
        let aside: Vec<(usize, f64, Rests)> = free
            .par_iter()
            .map(|&i| {
                // Towards where the search is drawn: a slope may be another there.
                let towards = if aim.middle[i] < point[i] { -1.0 } else { 1.0 };
                let step = towards * ASIDE * physics.before.deviation[i];
                let mut moved = *point;
                moved[i] += step;
                (i, step, Rests::at(physics, &moved))
            })
            .collect();
        let mut slopes = Self {
            followed: 0,
            windows: vec![[0.0; COUNT]; here.windows_kg.len()],
            counted: [0.0; COUNT],
        };
        for (i, step, there) in aside {
            let windows = here.windows_kg.iter().zip(&there.windows_kg);
            for (slope, (here, there)) in slopes.windows.iter_mut().zip(windows) {
                slope[i] = (there - here) / step;
            }
            if let (Some(here), Some(there)) = (here.counted, there.counted) {
                slopes.counted[i] = (there - here) / step;
            }
        }
        slopes
    }

    /// Changes them so that they give what a step did, and no more.
    ///
    /// - `step`: in deviations of what was known before
    ///
    /// **Source** Broyden 1965, Math. Comp. 19(92), 577–593, from memory.
    fn follow(&mut self, deviation: &Point, step: &Point, from: &Rests, to: &Rests) {
        let squares: f64 = step.iter().map(|s| s * s).sum();
        let mend = |slope: &mut Point, change: f64| {
            let told: f64 = (0..COUNT).map(|i| slope[i] * deviation[i] * step[i]).sum();
            for i in (0..COUNT).filter(|&i| 0.0 < deviation[i]) {
                slope[i] += (change - told) * step[i] / (squares * deviation[i]);
            }
        };
        let windows = from.windows_kg.iter().zip(&to.windows_kg);
        for (slope, (from, to)) in self.windows.iter_mut().zip(windows) {
            mend(slope, to - from);
        }
        if let (Some(from), Some(to)) = (from.counted, to.counted) {
            mend(&mut self.counted, to - from);
        }
        self.followed += 1;
    }
}

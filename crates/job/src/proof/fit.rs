//! What the log says of what was not known: least squares on the balance, and
//! what the survey knew before.
//!
//! The rest of each window is taken as normal about zero, the unknowns as
//! normal about what was known before. The middle is found by Gauss-Newton.
//! Bands come from fits drawn at random: what was known before and every rest
//! are moved by as much as they spread, and the search is made again. Where the
//! balance is straight in the unknowns that draws from their distribution; where
//! it bends, as between leaves, the air at them and their area, the drawn fits
//! follow the bend, which a parabola at the middle would not. Rests that are
//! alike, one after the other or at the same hour of each day, count for fewer.
//!
//! **Source** Oliver, He and Reynolds 1996, "Conditioning permeability fields to
//! pressure data" (randomised maximum likelihood), from memory.

use nalgebra::SMatrix;
use quantity::Band;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

use crate::stats;

use super::physics::Physics;
use super::pull_down::Held;
use super::unknown::{ASKED, COUNT, Point, Unknown};
use super::windows::WINDOW_S;
use search::{Aim, COUNTED_SPREAD, Search, Weight, search};

mod rests;
mod search;

/// Least windows that a fit is made from: two days.
pub(super) const LEAST_WINDOWS: usize = 96;
/// Begins from which is searched until a search settles.
const BEGINS: usize = 4;
/// Fits drawn.
const POINTS: usize = 60;
/// Share of drawn fits that may stop before they settle.
const MOST_UNSETTLED: f64 = 0.2;
const SEED: u64 = 0x10_9f17;

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

/// A fit.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    /// Where what was logged is explained best: likely values, flows and stores
    /// are those there. Bands are those of the drawn fits.
    pub(super) point: Point,
    /// Fits drawn around it.
    pub(super) drawn: Vec<Point>,
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
    let as_logged = Aim::as_logged(physics);
    let Search {
        point,
        rests,
        settled,
        raised,
        ..
    } = from_several(physics, &free, &as_logged)?;
    let rest_kg = rests.deviation();
    let weight = Weight {
        rest_kg: Some(rest_kg),
        raised,
    };
    let searches: Vec<Search> = aims(physics, &free, rest_kg * raised.sqrt())
        .par_iter()
        .filter_map(|aim| {
            // What is beside may bend at its likely value, so that no step leads
            // away from there: each begins where it is drawn to.
            let mut from = point;
            from[ASKED..].copy_from_slice(&aim.middle[ASKED..]);
            search(physics, from, &free, weight, aim)
        })
        .filter(|search| search.moved)
        .collect();
    let drawn_settled = searches.iter().filter(|search| search.settled).count();
    if searches.len() < POINTS / 2 {
        return None;
    }
    Some(Fit {
        point,
        rest_kg,
        raised,
        settled: settled && (1.0 - MOST_UNSETTLED) * POINTS as f64 <= drawn_settled as f64,
        drawn: searches.into_iter().map(|search| search.point).collect(),
    })
}

/// The first search that settles, of those from several begins: from a far one,
/// or from a bend, a search may not get away. Where none settles, the first.
fn from_several(physics: &Physics<'_>, free: &[usize], aim: &Aim) -> Option<Search> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let mut z = || -> f64 { StandardNormal.sample(&mut generator) };
    let before = physics.before;
    let mut otherwise = None;
    for n in 0..BEGINS {
        let mut begin = before.middle;
        if 0 < n {
            for &i in free {
                begin[i] += before.deviation[i] * z();
            }
        }
        let alike = |raised: f64| Weight {
            rest_kg: None,
            raised,
        };
        let Some(first) = search(physics, begin, free, alike(1.0), aim) else {
            continue;
        };
        // The end is found again with the weight that the log is given in the
        // bands: what the model lacks comes again each day, and would draw it
        // further from what was known before than so few rests can.
        let raised = alike(first.rests.raised());
        let Some(second) = search(physics, first.point, free, raised, aim) else {
            continue;
        };
        // Where no step was taken at all, nothing was found.
        let settled = second.settled && (first.moved || second.moved);
        if settled {
            return Some(second);
        }
        otherwise.get_or_insert(Search { settled, ..second });
    }
    otherwise
}

/// What drawn fits are drawn to, always the same for one log.
fn aims(physics: &Physics<'_>, free: &[usize], rest_kg: f64) -> Vec<Aim> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    let mut z = || -> f64 { StandardNormal.sample(&mut generator) };
    (0..POINTS)
        .map(|_| {
            let mut aim = Aim::as_logged(physics);
            for &i in free {
                aim.middle[i] += physics.before.deviation[i] * z();
            }
            aim.rests_kg.fill_with(|| rest_kg * z());
            aim.counted = COUNTED_SPREAD * z();
            aim
        })
        .collect()
}

/// What the room holds of water as found; as known before, without a fit.
pub(super) fn held(physics: &Physics<'_>, fit: Option<&Fit>) -> Held {
    let i = Unknown::Store as usize;
    let (middle, deviation) = fit.map_or(
        (physics.before.middle[i], physics.before.deviation[i]),
        |fit| (fit.point[i], fit.deviation(i)),
    );
    physics.held(middle.exp(), deviation)
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
                let shown = |x: f64| if unknown.is_factor() { x.exp() } else { x };
                let at = |z: f64| shown(before.middle[i] + z * before.deviation[i]);
                Found {
                    unknown,
                    before: Band::new(at(-stats::Z90), at(0.0), at(stats::Z90)),
                    after: self.band(i).map(shown),
                    left: self.deviation(i) / before.deviation[i],
                }
            })
            .collect()
    }

    /// Of what is fitted at an index, over the drawn fits.
    fn drawn_of(&self, i: usize) -> impl Iterator<Item = f64> {
        self.drawn.iter().map(move |p| p[i])
    }

    /// 10th and 90th percentile of the drawn fits, about what is likely.
    fn band(&self, i: usize) -> Band {
        let drawn: Vec<f64> = self.drawn_of(i).collect();
        about(self.point[i], &drawn)
    }

    /// Mean of the drawn fits.
    pub(super) fn mean(&self, i: usize) -> f64 {
        self.drawn_of(i).sum::<f64>() / self.drawn.len() as f64
    }

    /// Standard deviation of the drawn fits.
    pub(super) fn deviation(&self, i: usize) -> f64 {
        self.covariance(i, i).sqrt()
    }

    fn covariance(&self, i: usize, j: usize) -> f64 {
        let (of_i, of_j) = (self.mean(i), self.mean(j));
        let products = self.drawn.iter().map(|p| (p[i] - of_i) * (p[j] - of_j));
        products.sum::<f64>() / (self.drawn.len() as f64 - 1.0)
    }

    /// Lower triangular root of the correlations found of what is fitted at some
    /// indices; what is not free goes with nothing.
    pub(super) fn correlation_root<const N: usize>(&self, of: [usize; N]) -> [[f64; N]; N] {
        let correlation = SMatrix::<f64, N, N>::from_fn(|i, j| {
            let both = self.deviation(of[i]) * self.deviation(of[j]);
            match i == j {
                true => 1.0,
                false if 0.0 < both => self.covariance(of[i], of[j]) / both,
                false => 0.0,
            }
        });
        let root = correlation
            .cholesky()
            .map_or_else(SMatrix::identity, |c| c.l());
        std::array::from_fn(|i| std::array::from_fn(|j| root[(i, j)]))
    }
}

/// 10th and 90th percentile of what was drawn, reaching to what is likely.
fn about(likely: f64, drawn: &[f64]) -> Band {
    let drawn = stats::band(drawn, &vec![1.0; drawn.len()]);
    Band::new(drawn.low.min(likely), likely, drawn.high.max(likely))
}

/// Load of each hour of the day \[kg/s\] and of a day \[kg\], found and drawn;
/// nothing for an hour that is never known.
pub(super) fn loads(
    physics: &Physics<'_>,
    fit: &Fit,
    hour_of: impl Fn(usize) -> usize + Sync,
) -> ([Option<Band>; 24], Option<Band>) {
    let of_point = |point: &Point| {
        let mut sums = [(0.0, 0.0); 24];
        for (window, water) in physics.windows.iter().zip(physics.water(point)) {
            let (kg, s) = &mut sums[hour_of(window.step)];
            *kg += water.load();
            *s += WINDOW_S;
        }
        sums.map(|(kg, s)| kg / s)
    };
    let likely: [f64; 24] = of_point(&fit.point);
    let drawn: Vec<[f64; 24]> = fit.drawn.par_iter().map(of_point).collect();
    let band = |of: &dyn Fn(&[f64; 24]) -> f64| {
        let values: Vec<f64> = drawn.iter().map(of).collect();
        let known = of(&likely).is_finite() && values.iter().all(|x| x.is_finite());
        known.then(|| about(of(&likely), &values))
    };
    let hours = std::array::from_fn(|hour| band(&|p| p[hour]));
    (hours, band(&|p| p.iter().sum::<f64>() * 3600.0))
}

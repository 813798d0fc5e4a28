//! What is not known exactly, drawn with a fixed seed.
//!
//! A [`Draw`] holds one standard normal deviate per uncertain input; the value
//! follows from the band that the survey or the crop class gives it
//! ([`Draw::value`]). A deviate of zero everywhere is the likely case.

use quantity::Band;
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, StandardNormal};

use crate::stats::from_band;

/// Seed of all draws: one design, one answer.
const SEED: u64 = 0x00d0_17e5_0001;

/// An input that is known as a band only.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum Uncertain {
    /// Leaf resistance with lights off.
    NightResistance = 0,
    /// Leaf resistance with lights on, against the published light response.
    DayResistance,
    /// Resistance of the air layer at the leaf.
    LeafAir,
    /// Leaf area index.
    LeafArea,
    /// Share of the light that the canopy takes up.
    Coverage,
    /// Air exchange through gaps and doors.
    AirExchange,
    /// What a unit removes against what its record says.
    UnitCapacity,
}

impl Uncertain {
    /// All, in the order of their numbers.
    pub const ALL: [Self; 7] = [
        Self::NightResistance,
        Self::DayResistance,
        Self::LeafAir,
        Self::LeafArea,
        Self::Coverage,
        Self::AirExchange,
        Self::UnitCapacity,
    ];

    /// What it is called in sentences.
    pub const fn name(self) -> &'static str {
        match self {
            Self::NightResistance => "leaf resistance with lights off",
            Self::DayResistance => "leaf resistance with lights on",
            Self::LeafAir => "air movement at the leaves",
            Self::LeafArea => "leaf area",
            Self::Coverage => "canopy cover",
            Self::AirExchange => "air exchange",
            Self::UnitCapacity => "what a unit really removes",
        }
    }

    /// What to do on site to know it better.
    pub const fn errand(self) -> &'static str {
        match self {
            Self::NightResistance => {
                "Weigh a few potted plants at lights-off and again at lights-on, or catch the condensate of one night: it tells the water given off in the dark."
            }
            Self::DayResistance => {
                "Measure water fed and runoff for three days: the difference is what the canopy gives off."
            }
            Self::LeafAir => {
                "Measure air speed among the leaves at five places, fans as they will run."
            }
            Self::LeafArea => {
                "Count leaf layers at five places, or measure light above and below the canopy."
            }
            Self::Coverage => "Measure the floor or bench area really under leaves.",
            Self::AirExchange => {
                "Let carbon dioxide decay overnight with the dosing off and log it: the slope is the air exchange."
            }
            Self::UnitCapacity => {
                "Ask the maker for the performance table over dry bulb and humidity, with document and page."
            }
        }
    }
}

/// One possible world: a standard normal deviate per uncertain input.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Draw {
    deviates: [f64; Uncertain::ALL.len()],
}

impl Draw {
    /// Every input at its likely value.
    pub const LIKELY: Self = Self {
        deviates: [0.0; Uncertain::ALL.len()],
    };

    /// The value of an input that is known as `band`.
    pub fn value(&self, input: Uncertain, band: Band) -> f64 {
        from_band(band, self.deviate(input))
    }

    /// The same world with another deviate of one input.
    pub(crate) const fn with(mut self, input: Uncertain, deviate: f64) -> Self {
        self.deviates[input as usize] = deviate;
        self
    }

    /// The same world with some inputs tied to each other.
    pub(crate) fn tied<const N: usize>(&self, ties: &Ties<N>) -> Self {
        let free = ties.inputs.map(|input| self.deviate(input));
        let mut tied = *self;
        for (i, input) in ties.inputs.into_iter().enumerate() {
            let together: f64 = ties.root[i].iter().zip(free).map(|(r, z)| r * z).sum();
            tied.deviates[input as usize] = ties.middle[i] + ties.spread[i] * together;
        }
        tied
    }

    /// The deviate itself.
    pub const fn deviate(&self, input: Uncertain) -> f64 {
        self.deviates[input as usize]
    }
}

/// How inputs go together.
#[derive(Clone, Debug)]
pub(crate) struct Ties<const N: usize> {
    /// Which inputs.
    pub(crate) inputs: [Uncertain; N],
    /// Where each lies, as a deviate of its band; 0 in its middle.
    pub(crate) middle: [f64; N],
    /// How far it spreads, in deviates of its band; 1 as the band says.
    pub(crate) spread: [f64; N],
    /// Lower triangular root of their correlations, row by row.
    pub(crate) root: [[f64; N]; N],
}

/// `count` draws; the same ones each time.
pub(crate) fn draw(count: usize) -> Vec<Draw> {
    let mut generator = ChaCha8Rng::seed_from_u64(SEED);
    (0..count)
        .map(|_| Draw {
            deviates: std::array::from_fn(|_| StandardNormal.sample(&mut generator)),
        })
        .collect()
}

/// `count` draws of equal weight that stand for weighted ones: systematic
/// resampling, so that a draw of weight w comes w·count times to within one.
pub(crate) fn resample(draws: &[Draw], weights: &[f64], count: usize) -> Vec<Draw> {
    let total: f64 = weights.iter().sum();
    let mut picked = Vec::with_capacity(count);
    let mut below = 0.0;
    for (draw, weight) in draws.iter().zip(weights) {
        below += weight / total * count as f64;
        while picked.len() < count && picked.len() as f64 + 0.5 <= below {
            picked.push(*draw);
        }
    }
    // Rounding may leave the last place open.
    while let (true, Some(last)) = (picked.len() < count, draws.last()) {
        picked.push(*last);
    }
    picked
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_are_the_same_each_time_and_normal() {
        let a = draw(4000);
        assert_eq!(a, draw(4000));
        let night: Vec<f64> = a
            .iter()
            .map(|d| d.deviate(Uncertain::NightResistance))
            .collect();
        let mean = night.iter().sum::<f64>() / 4000.0;
        let variance = night.iter().map(|z| (z - mean).powi(2)).sum::<f64>() / 4000.0;
        assert!(mean.abs() < 0.06, "{mean}");
        assert!((variance - 1.0).abs() < 0.08, "{variance}");
    }

    #[test]
    fn more_draws_begin_with_the_fewer() {
        assert_eq!(draw(50)[..], draw(200)[..50]);
    }

    /// Of two tied by 0.8 the second goes with the first by so much, stays
    /// standard normal, and all others stay as they are.
    #[test]
    fn tied_inputs_go_together() {
        let inputs = [Uncertain::NightResistance, Uncertain::UnitCapacity];
        let ties = Ties {
            inputs,
            middle: [0.0; 2],
            spread: [1.0; 2],
            root: [[1.0, 0.0], [0.8, 0.6]],
        };
        let free = draw(4000);
        let tied: Vec<Draw> = free.iter().map(|d| d.tied(&ties)).collect();
        let mean = |of: &dyn Fn(&Draw) -> f64| tied.iter().map(of).sum::<f64>() / 4000.0;
        let [night, capacity] = inputs;
        let together = mean(&|d| d.deviate(night) * d.deviate(capacity));
        assert!((together - 0.8).abs() < 0.05, "{together}");
        let variance = mean(&|d| d.deviate(capacity).powi(2));
        assert!((variance - 1.0).abs() < 0.08, "{variance}");
        let same = |u: Uncertain| {
            free.iter()
                .zip(&tied)
                .all(|(a, b)| a.deviate(u) == b.deviate(u))
        };
        assert!(same(night) && same(Uncertain::LeafArea));
        let moved = Ties {
            middle: [0.0, 2.0],
            spread: [1.0, 0.0],
            ..ties
        };
        assert_eq!(free[0].tied(&moved).deviate(capacity), 2.0);
    }

    #[test]
    fn resampling_follows_the_weights() {
        let draws = draw(4);
        let picked = resample(&draws, &[0.0, 3.0, 0.0, 1.0], 8);
        let of = |i: usize| picked.iter().filter(|d| **d == draws[i]).count();
        assert_eq!((of(0), of(1), of(2), of(3)), (0, 6, 0, 2));
    }
}

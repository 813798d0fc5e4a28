//! Water on a coil: it must be wetted before any drains, and a fan that runs
//! on while the compressor rests carries it back into the room.
//!
//! The rate of evaporation falls in a straight line over time, as in Henderson
//! and Rengarajan 1996 (ASHRAE Trans. 102(1); citation recalled, algorithm as
//! in `equipment::net_latent_share`, which is the same in closed form for
//! steady cycling and is what the tests compare with).

use crate::setup::CoilWater;

/// Wet-bulb depression at which the evaporation ratio is rated \[K\].
pub(crate) const RATED_DEPRESSION_K: f64 = 7.3;

/// A coil and its water, step by step.
#[derive(Clone, Copy, Debug)]
pub struct Coil {
    capacity_kg: f64,
    /// Fall of the root of the filling per kelvin of depression and step.
    drying_per_k: f64,
    /// exp(−Δt/τ) and its mean over the step.
    lag_end: f64,
    lag_mean: f64,
    /// What removal still lacks of its full rate, 0 to 1.
    lacking: f64,
    water_kg: f64,
}

impl Coil {
    /// A dry coil, for steps of `step_s` \[s\].
    pub fn new(coil: &CoilWater, step_s: f64) -> Self {
        let x = if coil.start_time_constant_s > 0.0 {
            step_s / coil.start_time_constant_s
        } else {
            f64::INFINITY
        };
        let lag_end = (-x).exp();
        Self {
            capacity_kg: coil.capacity_kg,
            drying_per_k: if coil.capacity_kg > 0.0 {
                coil.evaporation_ratio * coil.rated_removal_kg_per_s * step_s
                    / (2.0 * coil.capacity_kg * RATED_DEPRESSION_K)
            } else {
                0.0
            },
            lag_end,
            lag_mean: if x.is_finite() {
                (1.0 - lag_end) / x
            } else {
                0.0
            },
            lacking: 1.0,
            water_kg: 0.0,
        }
    }

    /// Water on it \[kg\].
    pub const fn water_kg(&self) -> f64 {
        self.water_kg
    }

    /// Mean share of the full removal over a step of running.
    #[inline]
    pub fn running(&mut self) -> f64 {
        let share = 1.0 - self.lacking * self.lag_mean;
        self.lacking *= self.lag_end;
        share
    }

    /// Takes up condensed water; gives back what drains \[kg\].
    #[inline]
    pub fn wet(&mut self, condensed_kg: f64) -> f64 {
        let held_kg = self.water_kg + condensed_kg;
        self.water_kg = held_kg.clamp(0.0, self.capacity_kg);
        held_kg - self.water_kg
    }

    /// A step of rest with the fan off.
    #[inline]
    pub const fn resting(&mut self) {
        self.lacking = 1.0;
    }

    /// A step of rest with the fan on: water that goes back to the air \[kg\].
    #[inline]
    pub fn drying(&mut self, wet_bulb_depression_k: f64) -> f64 {
        self.lacking = 1.0;
        if self.water_kg <= 0.0 {
            return 0.0;
        }
        let before_kg = self.water_kg;
        let root = (before_kg / self.capacity_kg).sqrt()
            - self.drying_per_k * wet_bulb_depression_k.max(0.0);
        let root = root.max(0.0);
        self.water_kg = self.capacity_kg * root * root;
        before_kg - self.water_kg
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Net share of the steady removal at a run-time fraction, cycling as the
    /// published part-load model has it, in steps of one second.
    fn simulated_share(run_time_fraction: f64) -> f64 {
        const REMOVAL_KG_PER_S: f64 = 1e-3;
        let water = CoilWater {
            capacity_kg: REMOVAL_KG_PER_S * 1400.0,
            rated_removal_kg_per_s: REMOVAL_KG_PER_S,
            evaporation_ratio: 1.5,
            start_time_constant_s: 45.0,
        };
        let mut coil = Coil::new(&water, 1.0);
        let on_s = (3600.0 / (4.0 * 3.0 * (1.0 - run_time_fraction))).round() as usize;
        let off_s = (3600.0 / (4.0 * 3.0 * run_time_fraction)).round() as usize;
        let (mut drained_kg, mut full_kg) = (0.0, 0.0);
        for cycle in 0..40 {
            for _ in 0..on_s {
                let condensed_kg = REMOVAL_KG_PER_S * coil.running();
                let out_kg = coil.wet(condensed_kg);
                if cycle >= 20 {
                    drained_kg += out_kg;
                    full_kg += condensed_kg;
                }
            }
            for _ in 0..off_s {
                coil.drying(RATED_DEPRESSION_K);
            }
        }
        drained_kg / full_kg
    }

    // Net latent shares of the published part-load model at rated wetness:
    // N 3/h, τ 45 s, t_wet 1400 s, γ 1.5. Recomputed from the printed
    // equations; the model's own shares are good to about 0.01 there, since it
    // drops two small exponentials that the cycle here keeps.
    #[test]
    fn cycling_gives_the_published_net_shares() {
        for (run_time_fraction, share) in [(0.9, 0.846), (0.8, 0.652), (0.7, 0.404), (0.6, 0.079)] {
            let simulated = simulated_share(run_time_fraction);
            assert!(
                (simulated - share).abs() < 0.02,
                "run time {run_time_fraction}: {simulated} against {share}"
            );
        }
        assert!(simulated_share(0.5) < 0.005);
    }
}

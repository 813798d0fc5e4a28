//! What of a cooling coil's latent output is left where its fan never stops.

use equipment::{CoilWetness, FanAlwaysOn, net_latent_share};

use crate::coil::RATED_DEPRESSION_K;
use crate::setup::CoilWater;

const NODES: usize = 65;

/// Net share of the steady latent output over the run fraction.
#[derive(Clone, Debug)]
pub struct LatentShares(Box<[f64; NODES]>);

impl LatentShares {
    /// Of a coil under a fan that never stops; `None` for a coil that is rated
    /// for no water.
    ///
    /// **Source** [`net_latent_share`], with the latent capacity now taken as
    /// that of the rating.
    pub fn of(coil: &CoilWater) -> Option<Self> {
        if coil.rated_removal_kg_per_s <= 0.0 {
            return None;
        }
        let wetness = CoilWetness {
            start_time_constant_s: coil.start_time_constant_s,
            wetting_time_s: coil.capacity_kg / coil.rated_removal_kg_per_s,
            evaporation_ratio: coil.evaporation_ratio,
            ..CoilWetness::published(1.0)
        };
        Some(Self(Box::new(std::array::from_fn(|i| {
            net_latent_share(
                &wetness,
                FanAlwaysOn {
                    run_time_fraction: i as f64 / (NODES - 1) as f64,
                    latent_w: 1.0,
                    wet_bulb_depression_k: RATED_DEPRESSION_K,
                },
            )
        }))))
    }

    /// At a run fraction, 0 to 1.
    #[inline]
    pub fn at(&self, run_fraction: f64) -> f64 {
        let x = run_fraction.clamp(0.0, 1.0) * (NODES - 1) as f64;
        let i = (x as usize).min(NODES - 2);
        self.0[i] + (x - i as f64) * (self.0[i + 1] - self.0[i])
    }
}

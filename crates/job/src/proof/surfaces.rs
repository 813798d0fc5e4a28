//! How near leaves and the coldest surface come to the dew point.

use crop::canopy::canopy_flux;
use readings::Measure;
use room::{Period, Room};
use roomsim::setup::ColdSurfaceBoundary;

use super::lights::Lit;
use super::series::{Sensor, Series, middle};
use crate::airs;
use crate::load::given_off;
use crate::uncertain::Draw;
use crate::zone::coldest_surface;

/// A leaf is at risk of wetness where the air at its temperature is this humid,
/// 0 to 1, as the simulated day counts it.
const LEAF_RISK: f64 = 0.9;

/// Where a temperature comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Temperature {
    /// Logged.
    Logged,
    /// Reckoned from the air of the log.
    Reckoned,
    /// Reckoned, with outdoor air as on the winter design day.
    ReckonedForWinter,
}

impl Temperature {
    /// In words.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Logged => "logged",
            Self::Reckoned => "reckoned from the logged air",
            Self::ReckonedForWinter => "reckoned for outdoor air of the winter design day",
        }
    }
}

/// Leaves and the coldest surface over the log.
#[derive(Clone, Debug, PartialEq)]
pub struct Surfaces {
    /// The coldest surface above the dew point \[K\] by step; empty without one.
    pub margin_k: Vec<f64>,
    /// What that rests on.
    pub margin_from: Temperature,
    /// Name of the surface.
    pub surface: Option<String>,
    /// Least margin \[K\] and its step.
    pub least_margin_k: Option<(f64, usize)>,
    /// Time with that surface at or below the dew point \[s\].
    pub wet_s: f64,
    /// What the leaf temperature rests on; `None` without a crop.
    pub leaf_from: Option<Temperature>,
    /// Whether leaves are at risk of wetness, by step.
    pub leaf_risk: Vec<bool>,
    /// Time with leaves at risk \[s\], lights-on, transition, lights-off.
    pub leaf_risk_s: [f64; 3],
    /// The longest such spell \[s\].
    pub longest_leaf_risk_s: f64,
}

/// Reckons the margins.
pub(super) fn surfaces(room: &Room, series: &Series, lit: &Lit, sensors: &[Sensor]) -> Surfaces {
    let all = vec![true; sensors.len()];
    let of = |m| middle(sensors, &all, m, series.len());
    let logged = coldest_of(sensors, series.len());
    let outdoor = of(Measure::OutdoorDryBulb);
    let (margin_from, surface_c) = surface_c(room, series, logged, &outdoor);
    let margin_k: Vec<f64> = surface_c
        .iter()
        .zip(&series.dew_point_c)
        .map(|(t, dew)| t - dew)
        .collect();
    let least_margin_k = margin_k
        .iter()
        .enumerate()
        .filter(|(_, m)| m.is_finite())
        .min_by(|a, b| a.1.total_cmp(b.1))
        .map(|(i, m)| (*m, i));
    let (leaf_from, leaf_risk) = leaves(room, series, lit, &of(Measure::Leaf));
    let mut leaf_risk_s = [0.0; 3];
    let (mut longest, mut now) = (0.0_f64, 0.0);
    for (i, risk) in leaf_risk.iter().enumerate() {
        if *risk {
            now += series.step_s;
            longest = longest.max(now);
            leaf_risk_s[lit.period[i].unwrap_or(Period::LightsOff) as usize] += series.step_s;
        } else {
            now = 0.0;
        }
    }
    Surfaces {
        wet_s: margin_k.iter().filter(|m| **m <= 0.0).count() as f64 * series.step_s,
        surface: room.cold_surfaces.first().map(|s| s.name.value.clone()),
        margin_k,
        margin_from,
        least_margin_k,
        leaf_from,
        leaf_risk,
        leaf_risk_s,
        longest_leaf_risk_s: longest,
    }
}

/// The lowest of the logged surfaces at each step; `None` without any.
fn coldest_of(sensors: &[Sensor], steps: usize) -> Option<Vec<f64>> {
    let mut those = sensors
        .iter()
        .filter(|s| s.measure == Measure::Surface)
        .peekable();
    those.peek()?;
    let mut lowest = vec![f64::NAN; steps];
    for sensor in those {
        for (low, x) in lowest.iter_mut().zip(&sensor.values) {
            *low = low.min(*x);
        }
    }
    Some(lowest)
}

fn surface_c(
    room: &Room,
    series: &Series,
    logged: Option<Vec<f64>>,
    outdoor_c: &[f64],
) -> (Temperature, Vec<f64>) {
    if let Some(logged) = logged {
        return (Temperature::Logged, logged);
    }
    let Some(surface) = coldest_surface(room) else {
        return (Temperature::Reckoned, vec![f64::NAN; series.len()]);
    };
    let (from, beyond_c): (Temperature, Box<dyn Fn(usize) -> f64>) = match surface.boundary {
        ColdSurfaceBoundary::At(t) => (Temperature::Reckoned, Box::new(move |_| t)),
        ColdSurfaceBoundary::Adjacent => {
            let t = room.site.adjacent.dry_bulb_c.value;
            (Temperature::Reckoned, Box::new(move |_| t))
        }
        ColdSurfaceBoundary::Outdoor if outdoor_c.iter().any(|t| t.is_finite()) => {
            (Temperature::Reckoned, Box::new(|i| outdoor_c[i]))
        }
        ColdSurfaceBoundary::Outdoor => {
            let t = room.site.winter.air.dry_bulb_c.value;
            (Temperature::ReckonedForWinter, Box::new(move |_| t))
        }
    };
    let share = surface.transmittance_w_per_m2_k * surface.surface_resistance_m2_k_per_w;
    let all = (0..series.len())
        .map(|i| {
            let inside_c = series.dry_bulb_c[i];
            inside_c - share * (inside_c - beyond_c(i))
        })
        .collect();
    (from, all)
}

/// Whether leaves are at risk at each step.
fn leaves(
    room: &Room,
    series: &Series,
    lit: &Lit,
    logged_c: &[f64],
) -> (Option<Temperature>, Vec<bool>) {
    let logged = logged_c.iter().any(|t| t.is_finite());
    let canopy = given_off::canopy_of(room, &Draw::LIKELY);
    let from = match (logged, &canopy) {
        (true, _) => Some(Temperature::Logged),
        (false, Some(_)) => Some(Temperature::Reckoned),
        (false, None) => None,
    };
    let pressure_pa = airs::pressure_pa(&room.site);
    let resistance = |light: f64| given_off::stomatal_target(room, &Draw::LIKELY, light);
    let risk = (0..series.len())
        .map(|i| {
            // Far from saturation no leaf is wet: most steps need no leaf.
            if !series.knows(i) || lit.period[i].is_none() || series.rel_humidity[i] < 0.7 {
                return false;
            }
            let leaf_c = match (&canopy, logged) {
                (_, true) => logged_c[i],
                (Some(canopy), false) => {
                    let Ok(air) = air::MoistAir::new(
                        series.dry_bulb_c[i],
                        series.humidity_ratio[i],
                        pressure_pa,
                    ) else {
                        return false;
                    };
                    let light = lit.share[i];
                    let ppfd = given_off::ppfd(room) * light;
                    canopy_flux(canopy, &air, ppfd, resistance(light)).leaf_c
                }
                (None, false) => return false,
            };
            let vapour_pa =
                series.rel_humidity[i] * air::saturation_pressure_pa(series.dry_bulb_c[i]);
            LEAF_RISK * air::saturation_pressure_pa(leaf_c) <= vapour_pa
                || leaf_c - series.dew_point_c[i] < 1.0
        })
        .collect();
    (from, risk)
}

//! From the air flow and pressure of the data to those of the site.

use air::{MoistAir, Property};

use crate::closure::USUAL_SLOPE_PER_K;
use crate::cooling::output::Asked;
use crate::cooling::split::{Split, split_by_bypass};
use crate::cooling::{Cooler, CoolerConditions};

/// Total and sensible heat at the air flow and pressure of `now`, from what
/// the data say at their own flow and pressure and the same dry and wet bulb.
///
/// ```text
/// Q = Q_data [1 + k (ADP − ADP_data)],   BF = BF_data^(m_data / m)
/// share = share_data + SHR(Q, BF, m) − SHR(Q_data, BF_data, m_data)
/// ```
///
/// Nothing changes where flow and pressure are those of the data.
///
/// **Error** unknown; lost condenser air at altitude is left out.
/// **Assumed** the slope k is that of the dehumidifier closure.
pub(super) fn carry(cooler: &Cooler, now: &CoolerConditions, data: Asked) -> Asked {
    let same_flow = (now.airflow_m3_per_s / cooler.airflow_m3_per_s - 1.0).abs() < 1e-9;
    let same_pressure = (now.entering.pressure_pa() - cooler.data_pressure_pa).abs() < 0.5;
    if same_flow && same_pressure || data.total_w <= 0.0 {
        return data;
    }
    let Some(carried) = shift(cooler, now, &data) else {
        return data;
    };
    Asked {
        total_w: carried.0,
        sensible_w: carried.1,
        ..data
    }
}

/// The entering air at the pressure of the data, by dry and wet bulb.
pub(super) fn entering_at_data(cooler: &Cooler, entering: &MoistAir) -> Option<MoistAir> {
    if (entering.pressure_pa() - cooler.data_pressure_pa).abs() < 0.5 {
        return Some(*entering);
    }
    let t_c = entering.dry_bulb_c();
    MoistAir::from_pair(
        Property::DryBulb(t_c),
        Property::WetBulb(entering.wet_bulb_c().min(t_c)),
        cooler.data_pressure_pa,
    )
    .ok()
}

/// The capacity from 0 to twice `start_w` at which a falling `surplus_w` passes
/// zero, by fifty halvings \[W\].
///
/// Most halvings are decided by a secant that has closed in on the place
/// before, so that `surplus_w` is asked a dozen times and not fifty.
fn halved(start_w: f64, surplus_w: impl Fn(f64) -> f64) -> f64 {
    /// Share to either side of the place within which rounding may turn signs.
    const NEAR: f64 = 1e-12;
    let (mut known_low, mut known_high) = (0.0, 2.0 * start_w);
    let (mut a, mut f_a) = (start_w, surplus_w(start_w));
    let mut b = a + f_a;
    for _ in 0..12 {
        if !(0.0 < b && b < 2.0 * start_w) {
            break;
        }
        let f_b = surplus_w(b);
        let next = b - f_b * (b - a) / (f_b - f_a);
        (a, f_a) = (b, f_b);
        let settled = (next - b).abs() <= 0.1 * NEAR * b;
        b = next;
        if settled || !next.is_finite() {
            break;
        }
    }
    if 0.0 < b && b < 2.0 * start_w {
        let (low, high) = (b * (1.0 - NEAR), b * (1.0 + NEAR));
        if 0.0 < surplus_w(low) {
            known_low = low;
        }
        if surplus_w(high) <= 0.0 {
            known_high = high;
        }
    }
    let (mut low, mut high) = (0.0, 2.0 * start_w);
    for _ in 0..50 {
        let mid = 0.5 * (low + high);
        let short = mid <= known_low || mid < known_high && 0.0 < surplus_w(mid);
        if short {
            low = mid;
        } else {
            high = mid;
        }
    }
    0.5 * (low + high)
}

fn shift(cooler: &Cooler, now: &CoolerConditions, data: &Asked) -> Option<(f64, f64)> {
    let there = entering_at_data(cooler, &now.entering)?;
    let m_there = cooler.rated_dry_air_kg_per_s();
    let m = now.dry_air_kg_per_s();
    let bf = cooler.bypass_factor.powf(m_there / m);
    let reference = split_by_bypass(&there, data.total_w, m_there, cooler.bypass_factor)?;
    // Warmer coil, more capacity; more capacity, colder coil: one answer.
    let offer =
        |s: &Split| data.total_w * (1.0 + USUAL_SLOPE_PER_K * (s.adp_c - reference.adp_c)).max(0.0);
    let surplus_w = |w: f64| split_by_bypass(&now.entering, w, m, bf).map_or(-w, |s| offer(&s) - w);
    let total_w = halved(data.total_w, surplus_w);
    let here = split_by_bypass(&now.entering, total_w, m, bf)?;
    let share = data.sensible_w / data.total_w + here.sensible_w / total_w
        - reference.sensible_w / data.total_w;
    Some((total_w, share.clamp(0.0, 1.0) * total_w))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    /// Fifty halvings that are all asked.
    fn all_asked(start_w: f64, surplus_w: impl Fn(f64) -> f64) -> f64 {
        let (mut low, mut high) = (0.0, 2.0 * start_w);
        for _ in 0..50 {
            let mid = 0.5 * (low + high);
            if 0.0 < surplus_w(mid) {
                low = mid;
            } else {
                high = mid;
            }
        }
        0.5 * (low + high)
    }

    #[test]
    fn the_short_way_ends_where_all_halvings_do() {
        let curves: [fn(f64, f64) -> f64; 5] = [
            |k, w| 14e3 * (1.0 - k * w / 14e3) - w,
            // Bent, as saturation is.
            |k, w| 14e3 * (-k * w / 14e3).exp() - w,
            // A kink where the coil turns dry.
            |k, w| 14e3 - k * (w - 13e3).max(0.0) - w,
            // No air has the enthalpy that the coil would need.
            |k, w| if 13e3 + 1e3 * k < w { -w } else { 14e3 - w },
            // More than twice the data, and nothing at all.
            |k, w| if k < 1.0 { 1e9 - w } else { -1.0 - w },
        ];
        for curve in curves {
            for i in 0..200 {
                let k = 0.013 * f64::from(i);
                let asked = Cell::new(0);
                let found = halved(14e3, |w| {
                    asked.set(asked.get() + 1);
                    curve(k, w)
                });
                let all = all_asked(14e3, |w| curve(k, w));
                assert_eq!(found.to_bits(), all.to_bits(), "{k}: {found} {all}");
                assert!(asked.get() <= 66, "{}", asked.get());
            }
        }
    }

    #[test]
    fn a_smooth_offer_is_asked_few_times() {
        let asked = Cell::new(0);
        halved(14e3, |w| {
            asked.set(asked.get() + 1);
            14e3 * (-0.3 * w / 14e3).exp() - w
        });
        assert!(asked.get() < 25, "{}", asked.get());
    }
}

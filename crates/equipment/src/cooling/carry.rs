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

fn shift(cooler: &Cooler, now: &CoolerConditions, data: &Asked) -> Option<(f64, f64)> {
    let there = entering_at_data(cooler, &now.entering)?;
    let m_there = cooler.rated_dry_air_kg_per_s();
    let m = now.dry_air_kg_per_s();
    let bf = cooler.bypass_factor.powf(m_there / m);
    let reference = split_by_bypass(&there, data.total_w, m_there, cooler.bypass_factor)?;
    // Warmer coil, more capacity; more capacity, colder coil: one answer.
    let offer =
        |s: &Split| data.total_w * (1.0 + USUAL_SLOPE_PER_K * (s.adp_c - reference.adp_c)).max(0.0);
    let (mut low, mut high) = (0.0, 2.0 * data.total_w);
    for _ in 0..50 {
        let mid = 0.5 * (low + high);
        match split_by_bypass(&now.entering, mid, m, bf) {
            Some(s) if offer(&s) > mid => low = mid,
            _ => high = mid,
        }
    }
    let total_w = 0.5 * (low + high);
    let here = split_by_bypass(&now.entering, total_w, m, bf)?;
    let share = data.sensible_w / data.total_w + here.sensible_w / total_w
        - reference.sensible_w / data.total_w;
    Some((total_w, share.clamp(0.0, 1.0) * total_w))
}

//! What a cooling machine does at an entering state.

use air::{MoistAir, dry_bulb_from_enthalpy_c, enthalpy_j_per_kg, vapour_enthalpy_j_per_kg};

use crate::closure::{CoilPass, CoilState, pass_coil};
use crate::cooling::{Cooler, CoolerConditions};

/// What a cooling machine does while it runs.
///
/// `total_w = sensible_w + latent_w = m_da (h_entering − h_off_coil)`; latent
/// heat is the enthalpy of the vapour at the entering dry bulb. The fan's
/// power comes on top, between `off_coil` and `leaving`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoolerOutput {
    /// Heat out of the air, gross of the fan \[W\].
    pub total_w: f64,
    /// Sensible part, gross of the fan \[W\].
    pub sensible_w: f64,
    /// Latent part \[W\].
    pub latent_w: f64,
    /// Water taken out \[kg/s\].
    pub water_kg_per_s: f64,
    /// Dry air through the coil \[kg/s\].
    pub dry_air_kg_per_s: f64,
    /// Air after the coil.
    pub off_coil: MoistAir,
    /// Air blown out, after the fan.
    pub leaving: MoistAir,
    /// Temperature of the water that drains \[°C\].
    pub condensate_c: f64,
    /// Power of the compressor \[W\].
    pub compressor_w: f64,
    /// Power of the indoor fan \[W\].
    pub fan_w: f64,
    /// Power of the outdoor fan \[W\].
    pub outdoor_fan_w: f64,
    /// Mean surface temperature of the coil \[°C\].
    pub adp_c: f64,
    /// What the numbers rest on.
    pub data: CoolerData,
}

impl CoolerOutput {
    /// All power \[W\].
    pub const fn power_w(&self) -> f64 {
        self.compressor_w + self.fan_w + self.outdoor_fan_w
    }

    /// Sensible cooling that reaches the room, less the fan's heat \[W\].
    pub const fn net_sensible_w(&self) -> f64 {
        self.sensible_w - self.fan_w
    }

    /// Total cooling that reaches the room, less the fan's heat \[W\].
    pub const fn net_total_w(&self) -> f64 {
        self.total_w - self.fan_w
    }
}

/// Whether a [`CoolerOutput`] is inside the data.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum CoolerData {
    /// Inside.
    Inside,
    /// Entering wet bulb outside the data.
    BeyondWetBulb,
    /// Entering dry bulb outside the data.
    BeyondDryBulb,
    /// Outdoor dry bulb outside the data.
    BeyondOutdoor,
    /// Air flow far from the rated.
    BeyondAirflow,
    /// Coil below 0 °C: it will ice up.
    Icing,
}

/// Total and sensible heat that data ask for.
#[derive(Clone, Copy)]
pub(super) struct Asked {
    pub(super) total_w: f64,
    pub(super) sensible_w: f64,
    pub(super) compressor_w: f64,
    pub(super) adp_c: Option<f64>,
    pub(super) data: CoolerData,
}

/// Puts the heat asked for on the air. Air that would leave above saturation
/// gives up more water and less temperature at the same total.
pub(super) fn settle(cooler: &Cooler, now: &CoolerConditions, asked: Asked) -> CoolerOutput {
    let air_in = &now.entering;
    let p_pa = air_in.pressure_pa();
    let m = now.dry_air_kg_per_s();
    if m <= 0.0 || !m.is_finite() {
        return idle(now, CoolerData::BeyondAirflow);
    }
    let (t_in, w_in) = (air_in.dry_bulb_c(), air_in.humidity_ratio());
    let h_g = vapour_enthalpy_j_per_kg(t_in);
    let total_w = asked.total_w.max(0.0);
    let latent_w = (total_w - asked.sensible_w).clamp(0.0, m * w_in * h_g);
    let h_off = air_in.enthalpy_j_per_kg() - total_w / m;
    let w_off = w_in - latent_w / (m * h_g);
    let t_off = dry_bulb_from_enthalpy_c(h_off, w_off);
    let off_coil = MoistAir::new(t_off, w_off, p_pa).ok().or_else(|| {
        saturated_at_enthalpy(h_off, p_pa, t_in).filter(|s| s.humidity_ratio() <= w_in)
    });
    let Some(off_coil) = off_coil else {
        // So much heat out of so little air is no machine: the air flow is
        // far too small for the data.
        return coldest(cooler, now, m, &asked);
    };
    finish(cooler, now, off_coil, &asked)
}

/// What a coil pass makes of a machine without compressor.
pub(super) fn from_pass(
    cooler: &Cooler,
    now: &CoolerConditions,
    pass: &CoilPass,
    data: CoolerData,
) -> CoolerOutput {
    let asked = Asked {
        total_w: pass.sensible_w + pass.latent_w,
        sensible_w: pass.sensible_w,
        compressor_w: 0.0,
        adp_c: Some(pass.adp_c),
        data,
    };
    finish(cooler, now, pass.off_coil, &asked)
}

/// The most that this little air can give: a coil at −20 °C.
fn coldest(cooler: &Cooler, now: &CoolerConditions, m: f64, asked: &Asked) -> CoolerOutput {
    let coil = CoilState {
        dry_air_kg_per_s: m,
        adp_c: crate::closure::LOWEST_COIL_C.min(now.entering.dry_bulb_c()),
        bypass_factor: 0.0,
    };
    let pass = pass_coil(&now.entering, coil);
    let asked = Asked {
        adp_c: Some(pass.adp_c),
        data: CoolerData::BeyondAirflow,
        ..*asked
    };
    finish(cooler, now, pass.off_coil, &asked)
}

fn finish(
    cooler: &Cooler,
    now: &CoolerConditions,
    off_coil: MoistAir,
    asked: &Asked,
) -> CoolerOutput {
    let air_in = &now.entering;
    let m = now.dry_air_kg_per_s();
    let turned = enthalpy_j_per_kg(air_in.dry_bulb_c(), off_coil.humidity_ratio());
    let sensible_w = m * (turned - off_coil.enthalpy_j_per_kg());
    let latent_w = m * (air_in.enthalpy_j_per_kg() - turned);
    let flow_ratio = now.airflow_m3_per_s / cooler.airflow_m3_per_s;
    let fan_w = cooler.fan_w * flow_ratio;
    let w = off_coil.humidity_ratio();
    let t_out = dry_bulb_from_enthalpy_c(off_coil.enthalpy_j_per_kg() + fan_w / m, w);
    let leaving = MoistAir::new(t_out, w, air_in.pressure_pa()).unwrap_or(off_coil);
    let adp_c = asked.adp_c.unwrap_or_else(|| off_coil.dew_point_c());
    CoolerOutput {
        total_w: sensible_w + latent_w,
        sensible_w,
        latent_w,
        water_kg_per_s: m * (air_in.humidity_ratio() - w),
        dry_air_kg_per_s: m,
        off_coil,
        leaving,
        condensate_c: off_coil.dry_bulb_c().max(0.0),
        compressor_w: asked.compressor_w,
        fan_w,
        outdoor_fan_w: cooler.outdoor_fan_w,
        adp_c,
        data: if asked.data == CoolerData::Inside && adp_c < 0.0 {
            CoolerData::Icing
        } else {
            asked.data
        },
    }
}

/// Nothing moves.
pub(super) fn idle(now: &CoolerConditions, data: CoolerData) -> CoolerOutput {
    CoolerOutput {
        total_w: 0.0,
        sensible_w: 0.0,
        latent_w: 0.0,
        water_kg_per_s: 0.0,
        dry_air_kg_per_s: 0.0,
        off_coil: now.entering,
        leaving: now.entering,
        condensate_c: now.entering.dry_bulb_c().max(0.0),
        compressor_w: 0.0,
        fan_w: 0.0,
        outdoor_fan_w: 0.0,
        adp_c: now.entering.dry_bulb_c(),
        data,
    }
}

/// Saturated air of this enthalpy, if there is any between −40 °C and `most_c`.
pub(super) fn saturated_at_enthalpy(h_j_per_kg: f64, p_pa: f64, most_c: f64) -> Option<MoistAir> {
    let excess =
        |t_c: f64| enthalpy_j_per_kg(t_c, air::saturation_humidity_ratio(t_c, p_pa)) - h_j_per_kg;
    let (mut low_c, mut high_c) = (-40.0, most_c);
    if excess(low_c) > 0.0 || excess(high_c) < 0.0 {
        return None;
    }
    // Newton from above inside a bracket: the enthalpy of saturation is convex.
    let mut t_c = high_c;
    for _ in 0..100 {
        let f = excess(t_c);
        if f > 0.0 {
            high_c = t_c;
        } else {
            low_c = t_c;
        }
        let slope = (excess(t_c + 1e-3) - excess(t_c - 1e-3)) / 2e-3;
        let next_c = t_c - f / slope;
        let next_c = if next_c > low_c && next_c < high_c {
            next_c
        } else {
            0.5 * (low_c + high_c)
        };
        if (next_c - t_c).abs() < 1e-11 {
            break;
        }
        t_c = next_c;
    }
    MoistAir::saturated(t_c, p_pa).ok()
}

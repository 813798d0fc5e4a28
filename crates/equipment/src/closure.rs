//! A cold coil as an apparatus dew point and a bypass factor, and the closure
//! that carries one rating to other inlet air, other air flow and altitude.
//!
//! Everything that this crate says beyond a maker's own data rests on the
//! functions of this file.

use air::{
    MoistAir, cool_to_adp, dew_point_from_vapour_pressure_c, enthalpy_j_per_kg,
    humidity_ratio_from_vapour_pressure, specific_volume_m3_per_kg,
    vapour_pressure_from_humidity_ratio_pa, water_enthalpy_j_per_kg,
};
use thiserror::Error;

/// Lowest coil mean surface temperature that is believed \[°C\]. **Assumed**:
/// small refrigerant machines trip on low pressure before that.
pub const LOWEST_COIL_C: f64 = -20.0;

/// Bypass factor taken when a record gives none. **Assumed**, with
/// [`USUAL_SLOPE_PER_K`]: the pair that fits the public curve set A best.
pub const USUAL_BYPASS_FACTOR: f64 = 0.20;

/// Rise of cooling capacity per kelvin of coil temperature taken when a record
/// gives none \[1/K\]. **Assumed**: with [`USUAL_BYPASS_FACTOR`] it reproduces
/// the public curve set A over 18.3 to 32.2 °C and 40 to 80 % with 0.029 rms.
pub const USUAL_SLOPE_PER_K: f64 = 0.015;

/// What a coil does to a stream of air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilPass {
    /// Apparatus dew point, mean surface temperature of the coil \[°C\].
    pub adp_c: f64,
    /// Share of the air that leaves as it came.
    pub bypass_factor: f64,
    /// Dry air through the coil \[kg/s\].
    pub dry_air_kg_per_s: f64,
    /// Air that leaves the coil.
    pub off_coil: MoistAir,
    /// Water taken out \[kg/s\].
    pub water_kg_per_s: f64,
    /// Temperature at which the water drains \[°C\]; frost drains melted.
    pub condensate_c: f64,
    /// Sensible heat out of the air, at its entering dry bulb \[W\].
    pub sensible_w: f64,
    /// Latent heat out of the air, as vapour at the entering dry bulb \[W\].
    pub latent_w: f64,
}

impl CoilPass {
    /// Heat that the coil takes up: the air's less what drains with the water
    /// \[W\].
    pub fn coil_w(&self) -> f64 {
        self.sensible_w + self.latent_w
            - self.water_kg_per_s * water_enthalpy_j_per_kg(self.condensate_c)
    }

    /// Sensible share of the heat out of the air; 1 for a coil that does
    /// nothing.
    pub fn sensible_share(&self) -> f64 {
        let total_w = self.sensible_w + self.latent_w;
        if total_w == 0.0 {
            1.0
        } else {
            self.sensible_w / total_w
        }
    }

    /// The pass that turns `inlet` into `off_coil`.
    fn between(inlet: &MoistAir, off_coil: MoistAir, coil: CoilState) -> Self {
        let m = coil.dry_air_kg_per_s;
        let turned = enthalpy_j_per_kg(inlet.dry_bulb_c(), off_coil.humidity_ratio());
        Self {
            adp_c: coil.adp_c,
            bypass_factor: coil.bypass_factor,
            dry_air_kg_per_s: m,
            off_coil,
            water_kg_per_s: m * (inlet.humidity_ratio() - off_coil.humidity_ratio()),
            condensate_c: off_coil.dry_bulb_c().max(0.0),
            sensible_w: m * (turned - off_coil.enthalpy_j_per_kg()),
            latent_w: m * (inlet.enthalpy_j_per_kg() - turned),
        }
    }
}

/// What enters a coil, with the coil's state.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilState {
    /// Dry air through the coil \[kg/s\].
    pub dry_air_kg_per_s: f64,
    /// Apparatus dew point \[°C\].
    pub adp_c: f64,
    /// Bypass factor, 0 to 1.
    pub bypass_factor: f64,
}

/// Air through a coil of known apparatus dew point and bypass factor, with the
/// heat and water that leave it.
///
/// ```text
/// Q_s = m_da [h(T_in, W_out) − h_out];   Q_lat = m_da [h_in − h(T_in, W_out)]
/// m_w = m_da (W_in − W_out)
/// ```
///
/// The state of the leaving air is that of [`air::cool_to_adp`].
///
/// - `inlet`: entering air
/// - `coil`: dry air flow \[kg/s\], apparatus dew point \[°C\], bypass factor
///
/// **Valid** ADP −40 °C to the inlet dry bulb; a coil as warm as the air or
/// warmer does nothing. Below 0 °C the surface is ice.
/// **Error** the method is exact for a coil of one surface temperature; against
/// the published map of 96 wet points 0.8 % rms (`tests/published/coil_split.rs`).
/// **Source** coil bypass-factor method, ASHRAE Handbook (recalled).
/// **Checked** `tests/cross/closure.rs`.
pub fn pass_coil(inlet: &MoistAir, coil: CoilState) -> CoilPass {
    let off_coil = cool_to_adp(*inlet, coil.adp_c, coil.bypass_factor).unwrap_or(*inlet);
    CoilPass::between(inlet, off_coil, coil)
}

/// Why a rating cannot be carried by the closure.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum ClosureError {
    /// The air flow carries too little water.
    #[error(
        "an air flow of {airflow_m3_per_s:.4} m³/s cannot give {removal_kg_per_s:.3e} kg/s of water at the rated air with a bypass factor of {bypass_factor:.2}: the coil would have to be colder than {LOWEST_COIL_C} °C"
    )]
    AirFlowTooSmall {
        /// Rated air flow \[m³/s\].
        airflow_m3_per_s: f64,
        /// Rated removal \[kg/s\].
        removal_kg_per_s: f64,
        /// Bypass factor.
        bypass_factor: f64,
    },
    /// A number is not positive and finite.
    #[error("{what} must be a positive number, not {value}")]
    NotPositive {
        /// Which number.
        what: &'static str,
        /// What was given.
        value: f64,
    },
}

/// One rating, as the closure needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosureRating {
    /// Inlet air at the rating.
    pub inlet: MoistAir,
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Air flow at the inlet \[m³/s\].
    pub airflow_m3_per_s: f64,
    /// Bypass factor at that flow.
    pub bypass_factor: f64,
    /// Rise of cooling capacity per kelvin of coil temperature \[1/K\].
    pub slope_per_k: f64,
}

/// A refrigerant machine reduced to four numbers.
///
/// ```text
/// Q_coil(ADP) = Q_r [1 + k (ADP − ADP_r)],   BF = BF_r^(m_r / m_da)
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Closure {
    /// Heat that the coil takes up at the rating \[W\].
    pub rated_coil_w: f64,
    /// Apparatus dew point at the rating \[°C\].
    pub rated_adp_c: f64,
    /// k, rise of capacity per kelvin of coil temperature \[1/K\].
    pub slope_per_k: f64,
    /// Bypass factor at the rated air flow and pressure.
    pub rated_bypass_factor: f64,
    /// Air flow at the rating \[m³/s\].
    pub airflow_m3_per_s: f64,
    /// Barometric pressure at the rating \[Pa\].
    pub pressure_pa: f64,
}

impl Closure {
    /// The closure through one rating.
    ///
    /// **Valid** inlet 10 to 40 °C, bypass factor 0.01 to 0.6.
    /// **Source** method chosen here; see [`USUAL_SLOPE_PER_K`].
    /// **Checked** `tests/cross/closure.rs`: 50 L/day, 0.1371 m³/s, 0.20 give
    /// 11.76 °C and 3368 W.
    ///
    /// # Errors
    /// [`ClosureError`] when a number is not positive, or when the air flow
    /// cannot carry that much water.
    pub fn from_rating(r: &ClosureRating) -> Result<Self, ClosureError> {
        for (what, value) in [
            ("removal", r.removal_kg_per_s),
            ("air flow", r.airflow_m3_per_s),
            ("bypass factor", r.bypass_factor),
        ] {
            if !(value > 0.0 && value.is_finite()) {
                return Err(ClosureError::NotPositive { what, value });
            }
        }
        let m = r.airflow_m3_per_s / r.inlet.specific_volume_m3_per_kg();
        let pass = pass_at_removal(&r.inlet, r.removal_kg_per_s, m, r.bypass_factor);
        // A removal that was capped is a removal that the air cannot give.
        if pass.water_kg_per_s < r.removal_kg_per_s * (1.0 - 1e-9) {
            return Err(ClosureError::AirFlowTooSmall {
                airflow_m3_per_s: r.airflow_m3_per_s,
                removal_kg_per_s: r.removal_kg_per_s,
                bypass_factor: r.bypass_factor,
            });
        }
        Ok(Self {
            rated_coil_w: pass.coil_w(),
            rated_adp_c: pass.adp_c,
            slope_per_k: r.slope_per_k,
            rated_bypass_factor: r.bypass_factor,
            airflow_m3_per_s: r.airflow_m3_per_s,
            pressure_pa: r.inlet.pressure_pa(),
        })
    }

    /// Bypass factor at another air flow \[m³/s\] or pressure.
    ///
    /// ```text
    /// BF = exp(−A_o / m_da) = BF_r^(m_r / m_da)
    /// ```
    ///
    /// m_r is the dry air of the rated flow at the same dry bulb and relative
    /// humidity and the rated pressure: what the temperature of the air does
    /// to its mass is left out, so that one number belongs to one machine.
    ///
    /// **Valid** flow 0.3 to 1.5 of the rated. **Source** as carried in public
    /// whole-building simulation programs (recalled).
    /// **Checked** `tests/cross/closure.rs`: 0.20 becomes 0.141 at 1600 m.
    pub fn bypass_factor(&self, inlet: &MoistAir, airflow_m3_per_s: f64) -> f64 {
        let flow = self.airflow_m3_per_s / airflow_m3_per_s;
        if (inlet.pressure_pa() - self.pressure_pa).abs() < 0.5 {
            return self.rated_bypass_factor.powf(flow);
        }
        let w = humidity_ratio_from_vapour_pressure(inlet.vapour_pressure_pa(), self.pressure_pa);
        let v_rated = specific_volume_m3_per_kg(inlet.dry_bulb_c(), w, self.pressure_pa);
        let thinner = inlet.specific_volume_m3_per_kg() / v_rated;
        self.rated_bypass_factor.powf(flow * thinner)
    }

    /// What the coil does at this inlet air and air flow \[m³/s\].
    ///
    /// The altitude enters by the pressure of `inlet`: the volume flow is
    /// kept, so less mass passes and the coil runs colder. Lost condenser air
    /// is left out, so results at altitude are an upper bound.
    ///
    /// **Valid** 10 to 40 °C, 20 to 100 %, 0 to 4000 m; finite everywhere.
    /// **Error** against public set A 0.029 rms, 0.070 at most, of the rating.
    /// **Source** chosen and tested here; see [`USUAL_SLOPE_PER_K`].
    pub fn at(&self, inlet: &MoistAir, airflow_m3_per_s: f64) -> CoilPass {
        let m = airflow_m3_per_s / inlet.specific_volume_m3_per_kg();
        let bypass_factor = self.bypass_factor(inlet, airflow_m3_per_s);
        solve_adp(inlet, m, bypass_factor, |adp_c| {
            self.rated_coil_w * (1.0 + self.slope_per_k * (adp_c - self.rated_adp_c)).max(0.0)
        })
    }
}

/// The coil whose take-up of heat meets what `capacity_w` offers at its own
/// temperature.
///
/// The take-up falls with the coil temperature and the offer must not, so
/// there is one answer; it is sought between −40 °C and the inlet dry bulb
/// with the Illinois form of false position.
pub(crate) fn solve_adp(
    inlet: &MoistAir,
    dry_air_kg_per_s: f64,
    bypass_factor: f64,
    capacity_w: impl Fn(f64) -> f64,
) -> CoilPass {
    let pass = |adp_c| {
        pass_coil(
            inlet,
            CoilState {
                dry_air_kg_per_s,
                adp_c,
                bypass_factor,
            },
        )
    };
    let excess = |p: &CoilPass| p.coil_w() - capacity_w(p.adp_c);
    let (mut low_c, mut high_c) = (-40.0_f64, inlet.dry_bulb_c().max(-39.0));
    let coldest = pass(low_c);
    let (mut f_low, mut f_high) = (excess(&coldest), excess(&pass(high_c)));
    if f_low <= 0.0 {
        return coldest;
    }
    let mut kept_low = None;
    let mut best = coldest;
    for _ in 0..80 {
        let mid_c = if f_low > f_high {
            (low_c * f_high - high_c * f_low) / (f_high - f_low)
        } else {
            0.5 * (low_c + high_c)
        };
        best = pass(mid_c);
        let f_mid = excess(&best);
        if f_mid.abs() <= 1e-12 * best.coil_w().abs() || high_c - low_c < 1e-12 {
            break;
        }
        if f_mid > 0.0 {
            low_c = mid_c;
            f_low = f_mid;
            if kept_low == Some(false) {
                f_high *= 0.5;
            }
            kept_low = Some(false);
        } else {
            high_c = mid_c;
            f_high = f_mid;
            if kept_low == Some(true) {
                f_low *= 0.5;
            }
            kept_low = Some(true);
        }
    }
    best
}

/// The coil that takes out this much water from this air, or, if that would
/// need a coil colder than [`LOWEST_COIL_C`], the most that can be taken out.
///
/// ```text
/// W_s(ADP) = W_in − (m_w / m_da) / (1 − BF)
/// ```
///
/// **Valid** removal ≥ 0. **Source** inverse of [`pass_coil`].
pub fn pass_at_removal(
    inlet: &MoistAir,
    removal_kg_per_s: f64,
    dry_air_kg_per_s: f64,
    bypass_factor: f64,
) -> CoilPass {
    let t_c = inlet.dry_bulb_c();
    let state = |adp_c| CoilState {
        dry_air_kg_per_s,
        adp_c,
        bypass_factor,
    };
    if removal_kg_per_s <= 0.0 {
        // How cold a dry coil is cannot be told from the water; it is taken
        // at the dew point, the coldest that touches no water.
        return CoilPass::between(inlet, *inlet, state(inlet.dew_point_c().max(LOWEST_COIL_C)));
    }
    let most = pass_coil(inlet, state(LOWEST_COIL_C.min(t_c)));
    if removal_kg_per_s >= most.water_kg_per_s {
        return most;
    }
    let w_adp =
        inlet.humidity_ratio() - removal_kg_per_s / (dry_air_kg_per_s * (1.0 - bypass_factor));
    let p_w_pa = vapour_pressure_from_humidity_ratio_pa(w_adp, inlet.pressure_pa());
    let adp_c = dew_point_from_vapour_pressure_c(p_w_pa).clamp(LOWEST_COIL_C, t_c);
    let mut pass = pass_coil(inlet, state(adp_c));
    // The fog of nearly saturated air comes on top of the straight line; the
    // coil is then a little warmer than the line says.
    if pass.water_kg_per_s > removal_kg_per_s * (1.0 + 1e-9) {
        let (mut low_c, mut high_c) = (adp_c, t_c);
        for _ in 0..60 {
            let mid_c = 0.5 * (low_c + high_c);
            pass = pass_coil(inlet, state(mid_c));
            if pass.water_kg_per_s > removal_kg_per_s {
                low_c = mid_c;
            } else {
                high_c = mid_c;
            }
        }
    }
    pass
}

/// Share of its removal that a frosting coil keeps, defrost included, 0 to 1,
/// for a unit without hot gas.
///
/// ```text
/// ADP  2.0  0.4  −2.2  −4.0 °C
/// kept 1    0.91  0.80  0.69     straight lines; 0.06 per K below; never under 0.3
/// ```
///
/// - `adp_c`: apparatus dew point of the coil without frost \[°C\]
///
/// **Valid** ADP −10 to 5 °C.
/// **Error** unknown; the mean coil temperature hides the coldest row, which
/// frosts first.
/// **Source** ratio of the public curve set A (which was measured with frost)
/// to the closure without frost at 15, 12 and 10 °C and 60 %; that it starts
/// at 2 °C and how it goes on below is **Assumed**.
/// **Checked** `tests/cross/frost.rs`.
pub fn frost_share(adp_c: f64) -> f64 {
    const POINTS: [(f64, f64); 4] = [(-4.0, 0.69), (-2.2, 0.80), (0.4, 0.91), (2.0, 1.0)];
    let (coldest, least) = POINTS[0];
    if adp_c < coldest {
        return (least - 0.06 * (coldest - adp_c)).max(0.3);
    }
    for pair in POINTS.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        if adp_c < x1 {
            return y0 + (y1 - y0) * (adp_c - x0) / (x1 - x0);
        }
    }
    1.0
}

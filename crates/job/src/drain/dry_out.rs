//! How long an idle trap keeps its seal.

/// Gas constant of water vapour \[J/(kg K)\].
const R_VAPOUR: f64 = 461.5;
/// Water in a trap \[kg/m³\], near room temperature.
const WATER_KG_PER_M3: f64 = 998.0;
/// Air that a running fan draws over the water \[m/s\].
///
/// **Assumed**: the fan of a unit that makes no water.
const SWEPT_M_PER_S: f64 = 0.5;

/// Air over the water of a trap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Over {
    /// Dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Pressure \[Pa\].
    pub pressure_pa: f64,
}

/// Diffusivity of water vapour in air \[m²/s\].
///
/// ```text
/// D = 1.87e-10 T^2.072 / (P / 101 325 Pa)        T in K
/// ```
///
/// - `t_c`: temperature \[°C\]
/// - `pressure_pa`: pressure \[Pa\]
///
/// **Valid** 282 to 450 K.
/// **Source** Marrero and Mason, J. Phys. Chem. Ref. Data 1 (1972), recalled.
/// **Checked** `tests/drain.rs`.
pub fn vapour_diffusivity_m2_per_s(t_c: f64, pressure_pa: f64) -> f64 {
    1.87e-10 * (t_c + 273.15).powf(2.072) / (pressure_pa / 101_325.0)
}

/// Evaporation times path length through still air \[kg/(m s)\].
///
/// ```text
/// K = P D / (R_w T) · ln( (P − p_air) / (P − p_sat) )
/// ```
///
/// - `over`: air that the vapour goes to
///
/// **Valid** water and air at one temperature, no draught in the leg.
/// **Source** Stefan's diffusion through a stagnant gas.
/// **Checked** `tests/drain.rs`.
pub fn stefan_kg_per_m_s(over: &Over) -> f64 {
    let p_sat = air::saturation_pressure_over_water_pa(over.dry_bulb_c);
    let p_air = over.rel_humidity * p_sat;
    let d = vapour_diffusivity_m2_per_s(over.dry_bulb_c, over.pressure_pa);
    over.pressure_pa * d / (R_VAPOUR * (over.dry_bulb_c + 273.15))
        * ((over.pressure_pa - p_air) / (over.pressure_pa - p_sat)).ln()
}

/// How many of the legs are open to air.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Open {
    /// Both: water leaves by two surfaces.
    BothLegs,
    /// One, which takes the water of both.
    OneLeg,
}

/// Time until diffusion has taken the seal \[s\].
///
/// ```text
/// t = rho ((x + J)² − x²) / (2 K)        one open leg: twice that
/// ```
///
/// - `path_m`: still air from the water to moving air at the start, x \[m\]
/// - `seal_m`: J \[m\]
/// - `stefan`: K \[kg/(m s)\], above zero
///
/// **Valid** as [`stefan_kg_per_m_s`]; an upper bound of the time.
/// **Source** integrated from N = K / x.
/// **Checked** `tests/drain.rs`.
pub fn diffusion_time_s(path_m: f64, seal_m: f64, stefan: f64, open: Open) -> f64 {
    let end_m = path_m + seal_m;
    let both = WATER_KG_PER_M3 * (end_m * end_m - path_m * path_m) / (2.0 * stefan);
    match open {
        Open::BothLegs => both,
        Open::OneLeg => 2.0 * both,
    }
}

/// Evaporation from water that air sweeps over \[kg/(m² s)\].
///
/// ```text
/// w = (p_sat − p_air) (0.089 + 0.0782 v) / Y        p in kPa, v in m/s, Y in kJ/kg
/// ```
///
/// - `over`: the air
/// - `speed_m_per_s`: v
///
/// **Valid** open water; in a narrow leg an upper bound of the loss.
/// **Source** ASHRAE Applications, evaporation from pools, recalled.
/// **Checked** `tests/drain.rs`.
pub fn swept_kg_per_m2_s(over: &Over, speed_m_per_s: f64) -> f64 {
    let p_sat = air::saturation_pressure_over_water_pa(over.dry_bulb_c);
    let short_kpa = 1e-3 * p_sat * (1.0 - over.rel_humidity);
    let latent_kj_per_kg = 1e-3 * air::latent_heat_j_per_kg(over.dry_bulb_c);
    short_kpa * (0.089 + 0.0782 * speed_m_per_s) / latent_kj_per_kg
}

/// How long a seal lasts without new water.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DryOut {
    /// Air that it was reckoned with.
    pub over: Over,
    /// Shortest: air swept over the water \[s\].
    pub shortest_s: f64,
    /// Longest: still air in both legs \[s\].
    pub longest_s: f64,
}

impl DryOut {
    /// For a seal under air; nothing where the air is saturated and the seal
    /// lasts for good.
    pub fn new(over: Over, path_m: f64, seal_m: f64) -> Option<Self> {
        let stefan = stefan_kg_per_m_s(&over);
        let swept = swept_kg_per_m2_s(&over, SWEPT_M_PER_S);
        (stefan > 0.0 && swept > 0.0).then(|| Self {
            over,
            shortest_s: WATER_KG_PER_M3 * seal_m / swept,
            longest_s: diffusion_time_s(path_m, seal_m, stefan, Open::BothLegs),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ROOM: Over = Over {
        dry_bulb_c: 24.0,
        rel_humidity: 0.5,
        pressure_pa: 101_325.0,
    };

    #[test]
    fn drier_air_and_a_shorter_path_dry_a_trap_sooner() {
        let time = |over, path, seal| DryOut::new(over, path, seal).unwrap();
        let base = time(ROOM, 0.075, 0.038);
        assert!(
            time(
                Over {
                    rel_humidity: 0.4,
                    ..ROOM
                },
                0.075,
                0.038
            )
            .longest_s
                < base.longest_s
        );
        assert!(time(ROOM, 0.02, 0.038).longest_s < base.longest_s);
        assert!(time(ROOM, 0.075, 0.02).shortest_s < base.shortest_s);
        assert!(base.shortest_s < base.longest_s);
        assert_eq!(
            DryOut::new(
                Over {
                    rel_humidity: 1.0,
                    ..ROOM
                },
                0.075,
                0.038
            ),
            None
        );
        let k = stefan_kg_per_m_s(&ROOM);
        let both = diffusion_time_s(0.075, 0.038, k, Open::BothLegs);
        assert!((diffusion_time_s(0.075, 0.038, k, Open::OneLeg) / both - 2.0).abs() < 1e-12);
    }
}

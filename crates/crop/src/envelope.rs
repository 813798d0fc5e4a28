//! Cold surfaces of a room: how cold, how damp, how wet.

use air::MoistAir;

/// A piece of envelope between room and outdoors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColdSurface {
    /// Thermal transmittance \[W/(m² K)\].
    pub u_w_per_m2_k: f64,
    /// Resistance at the inside surface \[m² K/W\].
    pub inside_resistance_m2_k_per_w: f64,
    /// Temperature on the far side \[°C\].
    pub outside_c: f64,
}

/// Inside surface resistance of a wall \[m² K/W\] (heat flows level).
///
/// **Source** ISO 6946:2007, table 1, read in two public implementations.
pub const R_SI_WALL_M2_K_PER_W: f64 = 0.13;
/// Inside surface resistance of a ceiling \[m² K/W\] (heat flows up).
///
/// **Source** ISO 6946:2007, table 1, read in two public implementations.
pub const R_SI_CEILING_M2_K_PER_W: f64 = 0.10;
/// Inside surface resistance of a floor \[m² K/W\] (heat flows down).
///
/// **Source** ISO 6946:2007, table 1, read in two public implementations.
pub const R_SI_FLOOR_M2_K_PER_W: f64 = 0.17;
/// Inside surface resistance of opaque parts for the mould check \[m² K/W\]:
/// corners and behind things.
///
/// **Source** ISO 13788:2012, read in public worked notes.
pub const R_SI_MOULD_M2_K_PER_W: f64 = 0.25;
/// Relative humidity at a surface above which mould can grow.
///
/// **Source** ISO 13788:2012, read in public worked notes.
pub const MOULD_REL_HUMIDITY: f64 = 0.80;

/// Temperature of the inside surface \[°C\].
///
/// ```text
/// T_si = T_i − U·R_si·(T_i − T_e)
/// ```
///
/// - `surface`: transmittance, surface resistance, far-side temperature
/// - `inside_c`: air temperature of the room \[°C\]
///
/// **Valid** steady heat flow through plain areas; corners and fixings are
/// colder. U·R_si must be below 1.
/// **Error** of U and R_si.
/// **Source** ISO 13788:2012 and ISO 6946:2007, read in public worked notes.
/// **Checked** `tests/published/iso_13788.csv`, `tests/cross/envelope.csv`.
///
/// ```
/// use crop::envelope::{ColdSurface, surface_c};
/// let wall = ColdSurface {
///     u_w_per_m2_k: 1.169, inside_resistance_m2_k_per_w: 0.25, outside_c: -13.0,
/// };
/// assert!((surface_c(&wall, 20.6) - 10.7804).abs() < 0.0001);
/// ```
pub fn surface_c(surface: &ColdSurface, inside_c: f64) -> f64 {
    inside_c
        - surface.u_w_per_m2_k
            * surface.inside_resistance_m2_k_per_w
            * (inside_c - surface.outside_c)
}

/// Temperature factor of the inside surface, f_Rsi \[–\].
///
/// ```text
/// f_Rsi = (T_si − T_e)/(T_i − T_e) = 1 − U·R_si
/// ```
///
/// - `surface`: transmittance and surface resistance
///
/// **Valid**, **Error** as [`surface_c`].
/// **Source** ISO 13788:2012, read in public worked notes.
/// **Checked** `tests/published/iso_13788.csv`.
///
/// ```
/// use crop::envelope::{ColdSurface, temperature_factor};
/// let wall = ColdSurface {
///     u_w_per_m2_k: 1.169, inside_resistance_m2_k_per_w: 0.25, outside_c: -13.0,
/// };
/// assert!((temperature_factor(&wall) - 0.708).abs() < 0.0005);
/// ```
pub fn temperature_factor(surface: &ColdSurface) -> f64 {
    1.0 - surface.u_w_per_m2_k * surface.inside_resistance_m2_k_per_w
}

/// Relative humidity of room air brought to a surface's temperature \[–\].
///
/// ```text
/// φ_si = p_w / p_ws(T_si)
/// ```
///
/// - `air`: room air; `surface_c`: temperature of the surface \[°C\]
///
/// **Valid** any surface; above 1 means that it is wet. Mould can grow from
/// [`MOULD_REL_HUMIDITY`].
/// **Error** of the surface temperature: 1 K is about 6 %.
/// **Source** ISO 13788:2012.
/// **Checked** `tests/cross/envelope.csv`.
///
/// ```
/// use air::MoistAir;
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// assert!((crop::envelope::surface_rel_humidity(&air, 21.5625) - 0.696).abs() < 0.001);
/// ```
pub fn surface_rel_humidity(air: &MoistAir, surface_c: f64) -> f64 {
    air.vapour_pressure_pa() / air::saturation_pressure_pa(surface_c)
}

/// Largest transmittance at which a surface stays dry \[W/(m² K)\].
///
/// ```text
/// U_max = (T_i − T_dp) / [ R_si·(T_i − T_e) ]
/// ```
///
/// - `air`: room air; `surface`: its surface resistance and far side
///
/// **Valid** far side colder than the room; otherwise any transmittance is dry
/// and the answer is infinite.
/// **Error** of R_si.
/// **Source** ISO 13788:2012, solved for U.
/// **Checked** `tests/cross/envelope.csv`.
///
/// ```
/// use air::MoistAir;
/// use crop::envelope::{ColdSurface, largest_dry_u_w_per_m2_k};
/// let air = MoistAir::from_rel_humidity(26.0, 0.65, 101_325.0).unwrap();
/// let wall = ColdSurface {
///     u_w_per_m2_k: 0.35, inside_resistance_m2_k_per_w: 0.13, outside_c: -10.0,
/// };
/// assert!((largest_dry_u_w_per_m2_k(&air, &wall) - 1.514).abs() < 0.005);
/// ```
pub fn largest_dry_u_w_per_m2_k(air: &MoistAir, surface: &ColdSurface) -> f64 {
    let drop_k = air.dry_bulb_c() - surface.outside_c;
    if drop_k <= 0.0 {
        return f64::INFINITY;
    }
    (air.dry_bulb_c() - air.dew_point_c()) / (surface.inside_resistance_m2_k_per_w * drop_k)
}

/// Water condensing on a cold surface \[kg/(m² s)\].
///
/// ```text
/// ṁ = h_c/c_p · (W − W_s(T_si)),  c_p = 1006 + 1860·W      (Lewis number 1)
/// ```
///
/// - `air`: room air
/// - `surface_c`: temperature of the surface \[°C\]
/// - `film_coefficient_w_per_m2_k`: heat transfer by convection \[W/(m² K)\]
///
/// **Valid** surfaces at or below the dew point; zero above it. The heat that
/// condensing sets free warms the surface: the answer is high-side then.
/// **Error** some 10 % from the Lewis relation, more from the coefficient.
/// **Source** Lewis relation, ASHRAE Handbook, Fundamentals 2017, ch. 6,
/// recalled and not looked up.
/// **Checked** unit tests of this file.
///
/// ```
/// use air::MoistAir;
/// let air = MoistAir::from_rel_humidity(26.0, 0.65, 101_325.0).unwrap();
/// assert!(crop::envelope::condensation_kg_per_m2_s(&air, 17.58, 3.0) > 0.0);
/// assert_eq!(crop::envelope::condensation_kg_per_m2_s(&air, 24.36, 3.0), 0.0);
/// ```
pub fn condensation_kg_per_m2_s(
    air: &MoistAir,
    surface_c: f64,
    film_coefficient_w_per_m2_k: f64,
) -> f64 {
    let excess =
        air.humidity_ratio() - air::saturation_humidity_ratio(surface_c, air.pressure_pa());
    film_coefficient_w_per_m2_k / (1006.0 + 1860.0 * air.humidity_ratio()) * excess.max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air() -> MoistAir {
        MoistAir::from_rel_humidity(26.0, 0.65, 101_325.0).unwrap()
    }

    #[test]
    fn the_dew_point_divides_wet_from_dry() {
        let dew_c = air().dew_point_c();
        assert_eq!(condensation_kg_per_m2_s(&air(), dew_c + 0.01, 5.0), 0.0);
        assert!(condensation_kg_per_m2_s(&air(), dew_c - 0.01, 5.0) > 0.0);
        assert!(surface_rel_humidity(&air(), dew_c + 0.01) < 1.0);
        assert!(surface_rel_humidity(&air(), dew_c - 0.01) > 1.0);
    }

    #[test]
    fn at_the_largest_dry_u_the_surface_is_at_the_dew_point() {
        let mut wall = ColdSurface {
            u_w_per_m2_k: 0.3,
            inside_resistance_m2_k_per_w: R_SI_WALL_M2_K_PER_W,
            outside_c: -10.0,
        };
        wall.u_w_per_m2_k = largest_dry_u_w_per_m2_k(&air(), &wall);
        assert!((surface_c(&wall, 26.0) - air().dew_point_c()).abs() < 1e-9);
        let inside_wall = ColdSurface {
            outside_c: 26.0,
            ..wall
        };
        assert_eq!(
            largest_dry_u_w_per_m2_k(&air(), &inside_wall),
            f64::INFINITY
        );
    }

    #[test]
    fn colder_surfaces_take_more() {
        let mild = condensation_kg_per_m2_s(&air(), 15.0, 5.0);
        let cold = condensation_kg_per_m2_s(&air(), 5.0, 5.0);
        let ice = condensation_kg_per_m2_s(&air(), -10.0, 5.0);
        assert!(mild < cold && cold < ice && ice.is_finite());
    }
}

//! Water from open surfaces: reservoirs, troughs, wet floors, wash-down.

use air::{MoistAir, latent_heat_j_per_kg};

use crate::air_side::AirSide;
use crate::stomata::Lag;

/// Heat carried over by vapour pressure under an air stream \[W/(m² Pa)\]:
/// the handbook's (0.089 + 0.0782 V) in kW/(m² kPa), which is the same number.
fn handbook_w_per_m2_pa(air_speed_m_per_s: f64) -> f64 {
    0.089 + 0.0782 * air_speed_m_per_s.max(0.0)
}

/// Water evaporating from a surface under moving air \[kg/(m² s)\].
///
/// ```text
/// E = (p_w − p_a) · (0.089 + 0.0782·V) / Y        p in Pa, V in m/s, Y in J/kg
/// ```
///
/// - `water_c`: temperature of the water surface \[°C\]
/// - `air`: state of the air above it
/// - `air_speed_m_per_s`: speed over the surface \[m/s\]
///
/// **Valid** air speed 0.05 to 1 m/s. Negative where room vapour condenses on
/// cold water. Multiply by 0.5 for a quiet pool (recalled), and see
/// [`shah_kg_per_m2_s`] for still air.
/// **Error** measured quiet pools gave 74 % of it (Smith, Löf, Jones, ASHRAE
/// Trans. 104(1A), 1998, abstract).
/// **Source** ASHRAE Handbook, HVAC Applications, natatoriums; SI constants
/// recalled and not looked up.
/// **Checked** `tests/cross/other_sources.csv`.
///
/// ```
/// use air::MoistAir;
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let e = crop::water_surface::handbook_kg_per_m2_s(20.0, &air, 0.1);
/// assert!((e * 3600.0 - 0.0778).abs() < 0.0008);
/// ```
pub fn handbook_kg_per_m2_s(water_c: f64, air: &MoistAir, air_speed_m_per_s: f64) -> f64 {
    (air::saturation_pressure_pa(water_c) - air.vapour_pressure_pa())
        * handbook_w_per_m2_pa(air_speed_m_per_s)
        / latent_heat_j_per_kg(water_c)
}

/// Water evaporating from an undisturbed surface in still air \[kg/(m² s)\].
///
/// ```text
/// E = max( 35·ρ_w·(ρ_r − ρ_w)^(1/3)·(W_w − W_r),  5.0e-5·(p_w − p_r) )   in kg/(m² h)
/// ρ: kg of dry air per m³ of mixture; w: saturated at the water, r: the room
/// ```
///
/// - `water_c`: temperature of the water surface \[°C\]
/// - `air`: state of the room air
///
/// **Valid** water 7 to 94 °C, air 6 to 35 °C, 28 to 95 % RH. Zero, never
/// negative, where the room would condense on the water. The first term is
/// zero where room air is lighter than air at the surface.
/// **Error** mean deviation 18 % over 11 data sets (Shah 2002, abstract).
/// **Source** Shah, ASHRAE Trans. 120(2) (2014), SE-14-001. The density is that
/// of dry air: with moist density the published table is not met.
/// **Checked** `tests/published/shah_lookup.csv`, `tests/cross/other_sources.csv`.
///
/// ```
/// use air::MoistAir;
/// let air = MoistAir::from_rel_humidity(28.0, 0.50, 101_325.0).unwrap();
/// let e = crop::water_surface::shah_kg_per_m2_s(28.0, &air);
/// assert!((e * 3600.0 - 0.1360).abs() < 0.0005);
/// ```
pub fn shah_kg_per_m2_s(water_c: f64, air: &MoistAir) -> f64 {
    let p_w_pa = air::saturation_pressure_pa(water_c);
    let forced = 5.0e-5 * (p_w_pa - air.vapour_pressure_pa());
    if p_w_pa >= air.pressure_pa() {
        // Boiling: the buoyant term has no meaning there.
        return forced.max(0.0) / 3600.0;
    }
    let saturated_ratio = air::saturation_humidity_ratio(water_c, air.pressure_pa());
    let surface_kg_per_m3 =
        1.0 / air::specific_volume_m3_per_kg(water_c, saturated_ratio, air.pressure_pa());
    let lift_kg_per_m3 = (1.0 / air.specific_volume_m3_per_kg() - surface_kg_per_m3).max(0.0);
    let buoyant = 35.0
        * surface_kg_per_m3
        * lift_kg_per_m3.cbrt()
        * (saturated_ratio - air.humidity_ratio());
    buoyant.max(forced).max(0.0) / 3600.0
}

/// How the air moves over a water surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum AirOverWater {
    /// No fan reaches it.
    Still,
    /// A fan blows over it at this speed \[m/s\].
    Moving {
        /// Air speed over the surface \[m/s\].
        air_speed_m_per_s: f64,
    },
}

/// Water evaporating from a reservoir or trough \[kg/(m² s)\].
///
/// ```text
/// still: Shah;   moving: the larger of the handbook form and Shah
/// ```
///
/// - `water_c`: temperature of the water surface \[°C\]
/// - `air`: state of the room air
/// - `over`: how the air moves over it
///
/// **Valid**, **Error** as [`shah_kg_per_m2_s`] and [`handbook_kg_per_m2_s`].
/// Never negative.
/// **Assumed** which form serves which air.
/// **Checked** unit tests of this file.
///
/// ```
/// use air::MoistAir;
/// use crop::water_surface::{AirOverWater, open_water_kg_per_m2_s};
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let still = open_water_kg_per_m2_s(20.0, &air, AirOverWater::Still);
/// let blown = open_water_kg_per_m2_s(20.0, &air, AirOverWater::Moving { air_speed_m_per_s: 0.3 });
/// assert!(still < blown);
/// ```
pub fn open_water_kg_per_m2_s(water_c: f64, air: &MoistAir, over: AirOverWater) -> f64 {
    let still = shah_kg_per_m2_s(water_c, air);
    match over {
        AirOverWater::Still => still,
        AirOverWater::Moving { air_speed_m_per_s } => {
            still.max(handbook_kg_per_m2_s(water_c, air, air_speed_m_per_s))
        }
    }
}

/// A film of water on a floor: finite, and gone once it has dried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Film {
    /// Water left \[kg/m²\]; 1 kg/m² is about 1 mm.
    pub water_kg_per_m2: f64,
    /// Temperature of its surface \[°C\].
    pub surface_c: f64,
}

/// What a film gave off during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmStep {
    /// The film at the end.
    pub left: Film,
    /// Water given off \[kg/m²\].
    pub evaporated_kg_per_m2: f64,
    /// Heat that the air gave to the film \[J/m²\]; the floor gave the rest of
    /// the heat of evaporation.
    pub heat_from_air_j_per_m2: f64,
}

/// How a film's surroundings are during a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FilmAir {
    /// Air speed over the film \[m/s\].
    pub air_speed_m_per_s: f64,
    /// Time constant with which the film leaves the floor's temperature for the
    /// wet bulb \[s\].
    pub cooling_time_constant_s: f64,
}

/// Time constant with which a film on a concrete floor tends to the wet bulb \[s\].
///
/// **Assumed**: the floor keeps the film warm for the first minutes.
pub const FILM_COOLING_TIME_CONSTANT_S: f64 = 600.0;

/// One step in the life of a film on a floor.
///
/// ```text
/// t_s → wet bulb, first order
/// E = handbook form at t_s;   water −= E·Δt, at most what is there
/// heat from air = h·(t_air − t_s),   h = (0.089 + 0.0782·V)·γ    (Lewis)
/// ```
///
/// - `film`: the film at the start; `air`: the room air
/// - `around`: air speed and cooling time
/// - `step_s`: length of the step \[s\]
///
/// **Valid** films of 0.05 to 2 kg/m². At the wet bulb the heat from the air is
/// the heat of evaporation, so a blown film dries at h·(t_air − t_wb)/λ. No
/// vapour condenses onto a film here. The rate is taken at the surface
/// temperature of the middle of the step: keep steps below half the cooling time.
/// **Error** film mass after wash-down is the doubt: 0.1 to 0.5 kg/m².
/// **Assumed** the handbook form of [`handbook_kg_per_m2_s`] and a first-order
/// approach to the wet bulb.
/// **Checked** unit tests of this file: mass kept, halved steps, wet-bulb rate.
///
/// ```
/// use air::MoistAir;
/// use crop::water_surface::{Film, FilmAir, film_step};
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let around = FilmAir { air_speed_m_per_s: 0.5, cooling_time_constant_s: 600.0 };
/// let film = Film { water_kg_per_m2: 0.3, surface_c: 22.0 };
/// let step = film_step(&film, &air, &around, 60.0);
/// assert_eq!(step.left.water_kg_per_m2 + step.evaporated_kg_per_m2, 0.3);
/// ```
pub fn film_step(film: &Film, air: &MoistAir, around: &FilmAir, step_s: f64) -> FilmStep {
    let wet_bulb_c = air.wet_bulb_c();
    let after = |passed_s| {
        let lag = Lag {
            passed_s,
            time_constant_s: around.cooling_time_constant_s,
        };
        wet_bulb_c + (film.surface_c - wet_bulb_c) * lag.left()
    };
    let left_c = after(step_s);
    let water_kg_per_m2 = film.water_kg_per_m2.max(0.0);
    let middle_c = after(0.5 * step_s);
    let rate = handbook_kg_per_m2_s(middle_c, air, around.air_speed_m_per_s).max(0.0);
    let evaporated_kg_per_m2 = (rate * step_s).min(water_kg_per_m2);
    let wet_s = if rate > 0.0 {
        evaporated_kg_per_m2 / rate
    } else if water_kg_per_m2 > 0.0 {
        step_s
    } else {
        0.0
    };
    let film_coefficient_w_per_m2_k = handbook_w_per_m2_pa(around.air_speed_m_per_s)
        * AirSide::of(air).psychrometric_constant_pa_per_k();
    FilmStep {
        left: Film {
            water_kg_per_m2: water_kg_per_m2 - evaporated_kg_per_m2,
            surface_c: left_c,
        },
        evaporated_kg_per_m2,
        heat_from_air_j_per_m2: film_coefficient_w_per_m2_k * (air.dry_bulb_c() - middle_c) * wet_s,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air(dry_bulb_c: f64, rel_humidity: f64) -> MoistAir {
        MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, 101_325.0).unwrap()
    }

    const AROUND: FilmAir = FilmAir {
        air_speed_m_per_s: 0.3,
        cooling_time_constant_s: FILM_COOLING_TIME_CONSTANT_S,
    };

    fn dry_down(step_s: f64) -> (f64, f64) {
        let air = air(24.0, 0.6);
        let mut film = Film {
            water_kg_per_m2: 0.3,
            surface_c: 24.0,
        };
        let (mut given, mut dry_at_s, mut t_s) = (0.0, f64::NAN, 0.0);
        while t_s < 48.0 * 3600.0 {
            let step = film_step(&film, &air, &AROUND, step_s);
            given += step.evaporated_kg_per_m2;
            film = step.left;
            t_s += step_s;
            if film.water_kg_per_m2 == 0.0 && dry_at_s.is_nan() {
                dry_at_s = t_s;
            }
        }
        (given, dry_at_s)
    }

    #[test]
    fn a_film_gives_what_it_held_and_no_more() {
        let (given, dry_at_s) = dry_down(60.0);
        assert!((given - 0.3).abs() < 1e-12);
        assert!(dry_at_s > 1800.0 && dry_at_s < 12.0 * 3600.0, "{dry_at_s}");
    }

    #[test]
    fn halving_the_step_hardly_moves_the_time_to_dry() {
        let (_, coarse) = dry_down(60.0);
        let (_, fine) = dry_down(5.0);
        assert!((coarse - fine).abs() <= 65.0, "{coarse} {fine}");
    }

    #[test]
    fn at_the_wet_bulb_the_air_pays_for_the_vapour() {
        let air = air(24.0, 0.6);
        let film = Film {
            water_kg_per_m2: 1.0,
            surface_c: air.wet_bulb_c(),
        };
        let step = film_step(&film, &air, &AROUND, 60.0);
        let latent = step.evaporated_kg_per_m2 * latent_heat_j_per_kg(film.surface_c);
        // The psychrometric constant leaves out that the vapour thins the air:
        // about the mean vapour share twice over, 4 % here.
        let ratio = step.heat_from_air_j_per_m2 / latent;
        assert!((ratio - 1.0).abs() < 0.04, "{ratio}");
    }

    #[test]
    fn warmer_water_and_drier_air_give_more() {
        let base = shah_kg_per_m2_s(24.0, &air(24.0, 0.6));
        assert!(shah_kg_per_m2_s(27.0, &air(24.0, 0.6)) > base);
        assert!(shah_kg_per_m2_s(24.0, &air(24.0, 0.5)) > base);
        let slow = handbook_kg_per_m2_s(24.0, &air(24.0, 0.6), 0.1);
        assert!(handbook_kg_per_m2_s(24.0, &air(24.0, 0.6), 0.5) > slow);
    }

    #[test]
    fn cold_water_gives_nothing() {
        let damp = air(26.0, 0.9);
        assert_eq!(shah_kg_per_m2_s(10.0, &damp), 0.0);
        assert!(handbook_kg_per_m2_s(10.0, &damp, 0.2) < 0.0);
        assert_eq!(
            open_water_kg_per_m2_s(
                10.0,
                &damp,
                AirOverWater::Moving {
                    air_speed_m_per_s: 0.2
                }
            ),
            0.0
        );
    }

    #[test]
    fn extremes_stay_finite() {
        for water_c in [0.0, 50.0, 99.0, 110.0] {
            assert!(shah_kg_per_m2_s(water_c, &air(24.0, 1.0)).is_finite());
        }
        let dry = Film {
            water_kg_per_m2: 0.0,
            surface_c: 20.0,
        };
        let step = film_step(&dry, &air(24.0, 1.0), &AROUND, 60.0);
        assert_eq!(step.evaporated_kg_per_m2, 0.0);
        assert_eq!(step.heat_from_air_j_per_m2, 0.0);
    }
}

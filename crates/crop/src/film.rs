//! Wet floors and wash-down: a film of water that dries and is gone.

use air::MoistAir;

use crate::Lag;
use crate::air_side::AirSide;
use crate::water_surface::{handbook_kg_per_m2_s, handbook_w_per_m2_pa};

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
/// use crop::film::{Film, FilmAir, film_step};
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
    FilmStep {
        left: Film {
            water_kg_per_m2: water_kg_per_m2 - evaporated_kg_per_m2,
            surface_c: left_c,
        },
        evaporated_kg_per_m2,
        heat_from_air_j_per_m2: film_w_per_m2_k(air, around)
            * (air.dry_bulb_c() - middle_c)
            * wet_s,
    }
}

/// Heat transfer from air to a film \[W/(m² K)\], alike to that of its water.
///
/// ```text
/// h = (0.089 + 0.0782·V)·γ    (Lewis)
/// ```
///
/// - `air`: state of the room air; `around`: air speed
///
/// **Valid** air speed 0.05 to 1 m/s.
/// **Error** **Source** those of [`handbook_kg_per_m2_s`].
///
/// ```
/// use air::MoistAir;
/// use crop::film::{FilmAir, film_w_per_m2_k};
/// let air = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
/// let around = FilmAir { air_speed_m_per_s: 0.1, cooling_time_constant_s: 600.0 };
/// assert!((film_w_per_m2_k(&air, &around) - 6.5).abs() < 0.2);
/// ```
pub fn film_w_per_m2_k(air: &MoistAir, around: &FilmAir) -> f64 {
    handbook_w_per_m2_pa(around.air_speed_m_per_s)
        * AirSide::of(air).psychrometric_constant_pa_per_k()
}

#[cfg(test)]
mod tests {
    use super::*;
    use air::latent_heat_j_per_kg;

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
    fn a_dry_floor_gives_nothing() {
        let dry = Film {
            water_kg_per_m2: 0.0,
            surface_c: 20.0,
        };
        let step = film_step(&dry, &air(24.0, 1.0), &AROUND, 60.0);
        assert_eq!(step.evaporated_kg_per_m2, 0.0);
        assert_eq!(step.heat_from_air_j_per_m2, 0.0);
    }
}

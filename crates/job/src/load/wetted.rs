//! Films that hosing leaves on the floor, as they dry in the air of the room.

use air::MoistAir;
use crop::film::{Film, film_step};
use room::WashDown;

use crate::machines::FLOOR_AIR;

use super::given_off::STEP_S;

/// What films give off and what that takes.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Dried {
    pub(crate) water_kg_per_s: f64,
    pub(crate) from_air_w: f64,
    pub(crate) from_floor_w: f64,
}

/// The film of each wash-down of a room.
pub(crate) struct Films<'r>(Vec<(&'r WashDown, Film)>);

impl<'r> Films<'r> {
    /// On a floor that is dry.
    pub(crate) fn dry(washdowns: &'r [WashDown]) -> Self {
        let film = Film {
            water_kg_per_m2: 0.0,
            surface_c: 0.0,
        };
        Self(washdowns.iter().map(|wash| (wash, film)).collect())
    }

    /// As the hosing of the day before left them at a second of the day, had the
    /// air been like this ever since.
    pub(crate) fn left_at(washdowns: &'r [WashDown], second: f64, air: &MoistAir) -> Self {
        let left = washdowns.iter().map(|wash| {
            let since_s = (second - f64::from(wash.at_s.value)).rem_euclid(86_400.0);
            let mut film = hosed(wash, air.dry_bulb_c());
            for _ in 0..(since_s / STEP_S) as usize {
                film = film_step(&film, air, &FLOOR_AIR, STEP_S).left;
            }
            (wash, film)
        });
        Self(left.collect())
    }

    /// Dries them over a step. What is hosed within it lies there from its begin,
    /// on a floor of this temperature.
    ///
    /// - `middle_s`: second of the day of the middle of the step
    pub(crate) fn dry_on(
        &mut self,
        middle_s: f64,
        step_s: f64,
        air: &MoistAir,
        floor_c: f64,
    ) -> Dried {
        let mut dried = Dried::default();
        for (wash, film) in &mut self.0 {
            let since_begin_s = f64::from(wash.at_s.value) - (middle_s - step_s / 2.0);
            if since_begin_s.rem_euclid(86_400.0) < step_s {
                *film = hosed(wash, floor_c);
            }
            if 0.0 < film.water_kg_per_m2 {
                let step = film_step(film, air, &FLOOR_AIR, step_s);
                let per_s = wash.area_m2.value / step_s;
                let water_kg_per_s = step.evaporated_kg_per_m2 * per_s;
                let from_air_w = step.heat_from_air_j_per_m2 * per_s;
                let heat_w = water_kg_per_s * air::latent_heat_j_per_kg(step.left.surface_c);
                dried.water_kg_per_s += water_kg_per_s;
                dried.from_air_w += from_air_w;
                dried.from_floor_w += heat_w - from_air_w;
                *film = step.left;
            }
        }
        dried
    }
}

/// The film that a wash-down leaves.
fn hosed(wash: &WashDown, floor_c: f64) -> Film {
    Film {
        water_kg_per_m2: wash.film_kg_per_m2.value,
        surface_c: wash.temperature_c.as_ref().map_or(floor_c, |t| t.value),
    }
}

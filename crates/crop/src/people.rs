//! Heat and water given off by people.

use air::latent_heat_j_per_kg;

/// What the people do, after the table's degrees of activity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Activity {
    /// Seated, very light work.
    SeatedVeryLight,
    /// Moderately active office work.
    ModerateOffice,
    /// Light bench work.
    LightBench,
    /// Light machine work.
    LightMachine,
    /// Heavy work.
    Heavy,
    /// Heavy machine work, lifting.
    HeavyMachine,
}

/// Heat and water of one person.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PersonGain {
    /// Heat to the air and surfaces \[W\].
    pub sensible_w: f64,
    /// Heat carried as vapour \[W\].
    pub latent_w: f64,
    /// Water given off \[kg/s\].
    pub water_kg_per_s: f64,
}

/// Heat and water of one person \[W, kg/s\].
///
/// ```text
/// table of sensible and latent heat by activity;   water = latent / λ(t_air)
/// ```
///
/// - `activity`: what the person does
/// - `air_c`: air temperature, for the heat of evaporation \[°C\]
///
/// **Valid** rooms near 24 °C. In warmer air the sum holds and more of it goes
/// as vapour; the table's split is kept.
/// **Error** the table is given to 5 W.
/// **Source** ASHRAE Handbook, Fundamentals 2021, ch. 18, table 1, read in a
/// public package.
/// **Checked** `tests/published/people.csv`.
///
/// ```
/// use crop::people::{Activity, person};
/// let p = person(Activity::LightBench, 28.0);
/// assert!((p.water_kg_per_s * 3600.0 - 0.207).abs() < 0.001);
/// ```
pub fn person(activity: Activity, air_c: f64) -> PersonGain {
    let (sensible_w, latent_w) = match activity {
        Activity::SeatedVeryLight => (70.0, 45.0),
        Activity::ModerateOffice => (75.0, 55.0),
        Activity::LightBench => (80.0, 140.0),
        Activity::LightMachine => (110.0, 185.0),
        Activity::Heavy => (170.0, 255.0),
        Activity::HeavyMachine => (185.0, 285.0),
    };
    PersonGain {
        sensible_w,
        latent_w,
        water_kg_per_s: latent_w / latent_heat_j_per_kg(air_c),
    }
}

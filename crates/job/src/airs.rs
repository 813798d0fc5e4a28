//! Air states that the survey names: targets, outdoors, the space around.

use air::{MoistAir, Property};
use quantity::Band;
use room::{AirGiven, AirHumidity, DesignDay, Humidity, Room, Site, Target};
use roomsim::timetable::DayAir;

use crate::error::JobError;

/// Which design day surrounds the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Season {
    /// Summer design day.
    Summer,
    /// Winter design day.
    Winter,
}

/// Relative humidity taken where nothing is to be held: only to have an air
/// state to reckon leakage and coils with.
const NO_TARGET_REL_HUMIDITY: f64 = 0.6;

/// Barometric pressure of the site \[Pa\].
pub fn pressure_pa(site: &Site) -> f64 {
    match &site.pressure_pa {
        Some(measured) => measured.value,
        None => air::pressure_from_altitude_pa(site.altitude_m.value),
    }
}

/// A point in the band of a humidity target.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Edge {
    /// The most humid air that the target allows.
    Wet,
    /// The middle.
    Middle,
}

/// Air at a dry bulb and at the wet edge or the middle of a humidity target.
///
/// # Errors
/// The two do not go together at this pressure.
pub fn target_air(
    dry_bulb_c: f64,
    humidity: Option<Humidity>,
    edge: Edge,
    pressure_pa: f64,
) -> Result<MoistAir, JobError> {
    // More VPD is drier; more of the other two is wetter.
    let high = |b: Band| if edge == Edge::Wet { b.high } else { b.likely };
    let low = |b: Band| if edge == Edge::Wet { b.low } else { b.likely };
    let property = match humidity {
        Some(Humidity::RelHumidity(b)) => Property::RelHumidity(high(b)),
        Some(Humidity::VpdPa(b)) => {
            let driest_pa = air::saturation_pressure_pa(dry_bulb_c);
            Property::Vpd(low(b).min(driest_pa))
        }
        Some(Humidity::DewPointC(b)) => Property::DewPoint(high(b).min(dry_bulb_c)),
        None => Property::RelHumidity(NO_TARGET_REL_HUMIDITY),
    };
    MoistAir::from_pair(Property::DryBulb(dry_bulb_c), property, pressure_pa).map_err(|e| {
        JobError::Air {
            place: "target".into(),
            reason: e.to_string(),
        }
    })
}

/// Air of a target, at the middle of its dry bulb.
///
/// # Errors
/// As [`target_air`].
pub fn air_of(target: &Target, edge: Edge, pressure_pa: f64) -> Result<MoistAir, JobError> {
    target_air(
        target.dry_bulb_c.value.likely,
        target.humidity.as_ref().map(|h| h.value),
        edge,
        pressure_pa,
    )
}

/// Air as it was surveyed.
///
/// # Errors
/// The two properties do not go together.
pub fn surveyed_air(given: &AirGiven, place: &str, pressure_pa: f64) -> Result<MoistAir, JobError> {
    let humidity = match given.humidity.value {
        AirHumidity::RelHumidity(x) => Property::RelHumidity(x),
        AirHumidity::WetBulbC(t) => Property::WetBulb(t),
        AirHumidity::DewPointC(t) => Property::DewPoint(t),
    };
    MoistAir::from_pair(
        Property::DryBulb(given.dry_bulb_c.value),
        humidity,
        pressure_pa,
    )
    .map_err(|e| JobError::Air {
        place: place.into(),
        reason: e.to_string(),
    })
}

/// Air around a room over a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Surroundings {
    /// Outdoor air, hour by hour.
    pub outdoor: DayAir,
    /// Air of the space around.
    pub adjacent: MoistAir,
}

/// Air around the room on a design day.
///
/// # Errors
/// Surveyed air that cannot be.
pub fn surroundings(room: &Room, season: Season) -> Result<Surroundings, JobError> {
    let p_pa = pressure_pa(&room.site);
    let (day, place) = match season {
        Season::Summer => (&room.site.summer, "outdoor.summer"),
        Season::Winter => (&room.site.winter, "outdoor.winter"),
    };
    Ok(Surroundings {
        outdoor: outdoor_day(day, place, p_pa)?,
        adjacent: surveyed_air(&room.site.adjacent, "adjacent", p_pa)?,
    })
}

/// The design day's air, its humidity ratio the same all day but never above
/// saturation.
fn outdoor_day(day: &DesignDay, place: &str, p_pa: f64) -> Result<DayAir, JobError> {
    let design = surveyed_air(&day.air, place, p_pa)?;
    let dry_bulb_c: [f64; 24] = std::array::from_fn(|hour| day.dry_bulb_at_c(hour as f64 * 3600.0));
    let humidity_ratio = dry_bulb_c.map(|t_c| {
        design
            .humidity_ratio()
            .min(air::saturation_humidity_ratio(t_c, p_pa))
    });
    Ok(DayAir {
        dry_bulb_c,
        humidity_ratio,
    })
}

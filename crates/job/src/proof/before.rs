//! What is known of the unknowns before the log speaks.

use quantity::Band;
use room::Room;
use roomsim::setup::Fan;

use super::coolers::Coolers;
use super::units::{RoomUnit, RunsFrom};
use super::unknown::{ASKED, COUNT, Point, Unknown};

/// Middle and standard deviation of what is known beforehand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Before {
    pub(super) middle: Point,
    pub(super) deviation: Point,
}

/// What is known before the log: the survey's bands, wide enough to be wrong.
pub(super) fn before(
    room: &Room,
    units: &[RoomUnit],
    from: RunsFrom,
    counted: bool,
    coolers: &Coolers,
) -> Before {
    /// Standard deviations between 10th and 90th percentile.
    const TEN_TO_NINETY: f64 = 2.563;
    let spread = |band: Band| {
        if 0.0 < band.low {
            (band.high / band.low).ln() / TEN_TO_NINETY
        } else {
            0.0
        }
    };
    let mut before = Before {
        middle: [0.0; COUNT],
        deviation: [0.0; COUNT],
    };
    let mut set = |u: Unknown, middle: f64, deviation: f64| {
        before.middle[u as usize] = middle;
        before.deviation[u as usize] = deviation;
    };
    if let Some(crop) = &room.crop {
        let night = crop.night_resistance_s_per_m.value;
        let day = crop.day_resistance_factor.value;
        set(
            Unknown::NightResistance,
            night.likely.ln(),
            spread(night).max(0.6),
        );
        set(
            Unknown::DayResistance,
            day.likely.ln(),
            spread(day).max(0.4),
        );
    }
    let exchange = room.envelope.air_exchange_per_s.value;
    set(
        Unknown::AirExchange,
        exchange.likely.max(1e-9).ln(),
        if 0.0 < exchange.likely {
            spread(exchange).max(0.15)
        } else {
            0.0
        },
    );
    // The widest counts. Units on a site may be dirty or short of refrigerant; far
    // off, where their water was counted and the count says it. Assumed: a tenth, and a third.
    const ON_SITE: f64 = 0.1;
    const FAR_OFF: f64 = 0.35;
    let record = units
        .iter()
        .map(|u| spread(u.over_record))
        .fold(0.0, f64::max);
    let capacity = record.max(match from {
        RunsFrom::Log | RunsFrom::Setpoint if !counted => ON_SITE,
        _ => FAR_OFF,
    });
    set(
        Unknown::UnitCapacity,
        0.0,
        if units.is_empty() { 0.0 } else { capacity },
    );
    // Air alone is the least that a room stores; leaves, media and walls add to
    // it. Assumed: twice the air where nobody surveyed it.
    let store = match (&room.moisture_buffer, &room.envelope.moisture_capacity) {
        (Some(_), _) => 1.0,
        (None, capacity) if capacity.is_assumed() => 2.0 * capacity.value,
        (None, capacity) => capacity.value,
    };
    set(Unknown::Store, store.ln(), 0.5);
    // Electronic sensors of relative humidity hold 2 to 3 %RH; from memory.
    set(Unknown::SensorOffset, 0.0, 0.012);
    // Published shares for coils of air conditioners; units may differ. Counted
    // water is what was left after it.
    let dries = from != RunsFrom::Count && units.iter().any(|u| u.fan == Fan::Continuous);
    set(Unknown::CoilDrying, 0.0, if dries { 0.3 } else { 0.0 });
    // The heat that cooling carries and what of it is water: a tenth each.
    // Assumed.
    set(
        Unknown::CoilWater,
        0.0,
        if coolers.is_empty() { 0.0 } else { 0.15 },
    );
    for deviation in &mut before.deviation[ASKED..] {
        *deviation = if room.crop.is_some() { 1.0 } else { 0.0 };
    }
    before
}

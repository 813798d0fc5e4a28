//! What to write into the room file, and what the selection says with it.

use equipment::Catalog;
use quantity::{Band, Source, Text};
use room::Room;

use super::Water;
use super::fit::Found;
use super::physics::Unknown;
use crate::error::JobError;
use crate::load;
use crate::progress::{Effort, Progress};
use crate::selection::{self, Measure, Selection};
use crate::units::UnitSet;

/// A proposed change of the room file.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Section of the file.
    pub section: &'static str,
    /// Key in it.
    pub key: &'static str,
    /// As a person would type it.
    pub typed: String,
    /// What it is.
    pub what: &'static str,
    /// As surveyed, or as assumed where it was not, as the file would say it.
    pub before: String,
    /// The same as numbers in the unit of the file.
    pub as_surveyed: Band,
    /// As found.
    pub as_found: Band,
    /// What one of the file's unit is in SI.
    pub unit_si: f64,
    /// The unit as the file writes it; empty for plain numbers.
    pub unit: &'static str,
}

/// An unknown of which this share of its spread is left was not found.
const FOUND_LEFT: f64 = 0.8;

/// Which unknowns stand where in the file.
fn place(unknown: Unknown, room: &Room) -> Option<(&'static str, &'static str, &'static str, f64)> {
    Some(match unknown {
        Unknown::NightResistance => ("crop", "night_resistance", "s/m", 1.0),
        Unknown::DayResistance => ("crop", "day_resistance_factor", "", 1.0),
        Unknown::AirExchange => ("envelope", "air_exchange", "1/h", 1.0 / 3600.0),
        // The buffer's capacity stands per area and stays as surveyed.
        Unknown::Store if room.moisture_buffer.is_none() => {
            ("envelope", "moisture_capacity", "", 1.0)
        }
        Unknown::Store
        | Unknown::UnitCapacity
        | Unknown::SensorOffset
        | Unknown::CoilWater
        | Unknown::CoilDrying => {
            return None;
        }
    })
}

/// What the room file says of an unknown; `None` where nothing grows.
fn surveyed(room: &Room, unknown: Unknown) -> Option<Band> {
    let crop = room.crop.as_ref();
    match unknown {
        Unknown::NightResistance => crop.map(|c| c.night_resistance_s_per_m.value),
        Unknown::DayResistance => crop.map(|c| c.day_resistance_factor.value),
        Unknown::AirExchange => Some(room.envelope.air_exchange_per_s.value),
        Unknown::Store => Some(Band::exact(room.envelope.moisture_capacity.value)),
        _ => None,
    }
}

/// What the log decided better than the survey.
pub(super) fn proposals(room: &Room, water: &Water) -> Vec<Proposal> {
    water
        .found
        .iter()
        .filter(|f| f.left < FOUND_LEFT)
        .filter_map(|f| {
            let (section, key, unit, unit_si) = place(f.unknown, room)?;
            let as_found = within(f).map(|x| x / unit_si);
            let as_surveyed = surveyed(room, f.unknown)?.map(|x| x / unit_si);
            // One number stands for the capacity; it has no spread in the file.
            let typed = |b: Band| {
                let number = match f.unknown {
                    Unknown::Store => three_digits(b.likely),
                    _ if !b.is_spread() => three_digits(b.likely),
                    _ => [b.low, b.likely, b.high].map(three_digits).join(".."),
                };
                format!("{number} {unit}").trim().to_owned()
            };
            Some(Proposal {
                section,
                key,
                typed: typed(as_found),
                before: typed(as_surveyed),
                what: f.unknown.words(),
                as_surveyed,
                as_found,
                unit_si,
                unit,
            })
        })
        .collect()
}

/// What was found, inside what the room file takes.
fn within(found: &Found) -> Band {
    let (low, high) = match found.unknown {
        Unknown::NightResistance => (5.0, 20_000.0),
        Unknown::DayResistance => (0.1, 10.0),
        Unknown::AirExchange => (0.0, 100.0 / 3600.0),
        Unknown::Store => (1.0, 30.0),
        _ => (f64::NEG_INFINITY, f64::INFINITY),
    };
    found.after.map(|x| x.clamp(low, high))
}

/// Three significant digits in plain decimals.
fn three_digits(x: f64) -> String {
    if x == 0.0 || !x.is_finite() {
        return "0".into();
    }
    let decimals = (2 - x.abs().log10().floor() as i32).max(0);
    let rounded = (x * 10_f64.powi(2 - x.abs().log10().floor() as i32)).round()
        / 10_f64.powi(2 - x.abs().log10().floor() as i32);
    format!("{rounded:.*}", decimals as usize)
}

/// The selection with what was found, beside that of the survey.
#[derive(Clone, Debug)]
pub struct Again {
    /// The units that are there.
    pub units: UnitSet,
    /// Drawn days that they hold, of how many, as surveyed.
    pub surveyed: (usize, usize),
    /// The same as found.
    pub found: (usize, usize),
    /// Whether they are enough, as found.
    pub enough: bool,
    /// Share of drawn days that must hold.
    pub days_to_hold: f64,
    /// The least set that would do as found, if the search found one.
    pub needed: Option<UnitSet>,
    /// The cheapest measure that makes them enough: what, and drawn days held.
    pub cheapest: Option<(Text, usize)>,
    /// All measures tried, the cheapest first: what, and drawn days held.
    pub tried: Vec<(Text, usize)>,
}

impl Again {
    /// What it rests on.
    pub const SOURCE: Source = Source::assumed(
        "drawn days with the unknowns as the log left them; weather and targets of the room file",
    );
}

/// The room as found.
pub(super) fn room_as_found(room: &Room, water: &Water) -> Room {
    let mut found = room.clone();
    for f in &water.found {
        let after = within(f);
        match f.unknown {
            Unknown::NightResistance => {
                if let Some(crop) = &mut found.crop {
                    crop.night_resistance_s_per_m.value = after;
                }
            }
            Unknown::DayResistance => {
                if let Some(crop) = &mut found.crop {
                    crop.day_resistance_factor.value = after;
                    // The log has what the meter of the feed was to tell.
                    crop.water_fed_kg_per_s = None;
                }
            }
            Unknown::AirExchange => found.envelope.air_exchange_per_s.value = after,
            Unknown::Store if room.moisture_buffer.is_none() => {
                found.envelope.moisture_capacity.value = after.likely;
            }
            Unknown::Store => {
                if let Some(buffer) = &mut found.moisture_buffer {
                    buffer.capacity_kg_per_m2.value *= after.likely;
                }
            }
            Unknown::UnitCapacity
            | Unknown::SensorOffset
            | Unknown::CoilWater
            | Unknown::CoilDrying => {}
        }
    }
    found
}

/// Judges the units that are there on the room as found.
pub(super) fn again(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    water: &Water,
    effort: Effort,
    progress: &dyn Progress,
) -> Result<Again, JobError> {
    let choose = |room: &Room| -> Result<Selection, JobError> {
        let load = load::hourly(room, effort)?;
        selection::choose(room, &load, catalog, effort, progress)
    };
    let with_units = |room: &Room| {
        let load = load::hourly(room, effort)?;
        selection::judge_set(room, &load, catalog, set)
    };
    let found_room = room_as_found(room, water);
    let (surveyed, _) = with_units(room)?;
    let (found, measures) = with_units(&found_room)?;
    let to_hold = room.selection.days_to_hold.value;
    let enough = to_hold <= found.held_share();
    let holds = |m: &&Measure| to_hold <= m.after.held_share();
    let needed = if enough {
        None
    } else {
        choose(&found_room)?.chosen.map(|c| c.judged.units)
    };
    Ok(Again {
        units: set.clone(),
        surveyed: (surveyed.held_days, surveyed.days),
        found: (found.held_days, found.days),
        enough,
        days_to_hold: to_hold,
        needed,
        cheapest: measures
            .iter()
            .find(holds)
            .filter(|_| !enough)
            .map(|m| (m.what.clone(), m.after.held_days)),
        tried: measures
            .into_iter()
            .map(|m| (m.what, m.after.held_days))
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_digits_are_plain() {
        let all: Vec<String> = [1234.4, 0.123_44, 12.0, 1.0, 99.96, 0.001_235]
            .map(three_digits)
            .into();
        assert_eq!(all, ["1230", "0.123", "12.0", "1.00", "100.0", "0.00124"]);
    }
}

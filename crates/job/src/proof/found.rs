//! What to write into the room file, and what the selection says with it.

use equipment::Catalog;
use quantity::{Band, Given, Source, Text};
use room::{Room, Unit, UnitState, allowed};

use super::Water;
use super::fit::{Fit, Found};
use super::units::RunsFrom;
use super::unknown::{ASKED, BESIDE, Unknown};
use crate::error::JobError;
use crate::load::{self, Load};
use crate::progress::{Effort, Progress};
use crate::selection::{self, Measure, Selection};
use crate::simulate::Judged;
use crate::uncertain::{Ties, Uncertain};
use crate::units::UnitSet;
use crate::zone::capacity_band;

/// A proposed change of the room file.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Section of the file.
    pub section: &'static str,
    /// Which of several sections of that name, from 0 in the order of the file.
    pub nth: usize,
    /// Tag of the unit that it is about.
    pub tag: Option<String>,
    /// Key in it.
    pub key: &'static str,
    /// As a person would type it.
    pub typed: String,
    /// What it is.
    pub what: String,
    /// As surveyed, or as assumed where it was not, as the file would say it.
    pub before: String,
    /// The same as numbers in the unit of the file.
    pub as_surveyed: Band,
    /// As found, inside what the file takes.
    pub as_found: Band,
    /// Where what was found lies beyond what the file takes.
    pub cut: Option<Cut>,
    /// What one of the file's unit is in SI.
    pub unit_si: f64,
    /// The unit as the file writes it; empty for plain numbers.
    pub unit: &'static str,
}

impl Proposal {
    /// A number of this field as the file writes it.
    pub fn in_file(&self, band: Band) -> String {
        in_file(band, self.unit)
    }
}

/// What was found does not go into the file as it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cut {
    /// As the log gives it and as it would be typed, in the unit of the file.
    pub found: Band,
    /// Least and greatest that the file takes, in its unit.
    pub allowed: [f64; 2],
}

impl Cut {
    /// The ends of the field that it was cut at.
    pub fn ends(&self) -> impl Iterator<Item = f64> {
        let [least, greatest] = self.allowed;
        let low = (self.found.low < least).then_some(least);
        low.into_iter()
            .chain((greatest < self.found.high).then_some(greatest))
    }

    /// Whether even the likely value lies beyond the file.
    pub fn likely_is_beyond(&self) -> bool {
        let [least, greatest] = self.allowed;
        self.found.likely < least || greatest < self.found.likely
    }

    /// On which side what was found lies beyond the field.
    pub fn beyond(&self) -> &'static str {
        let [least, greatest] = self.allowed;
        match (self.found.low < least, greatest < self.found.high) {
            (true, true) => "less and more",
            (true, false) => "less",
            _ => "more",
        }
    }

    /// The ends as they stand in the file.
    pub fn words(&self, unit: &str) -> String {
        let ends: Vec<String> = self.ends().map(three_digits).collect();
        format!("cut at {} {unit}", ends.join(" and "))
            .trim_end()
            .to_owned()
    }
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
        // Of each unit by itself.
        Unknown::UnitCapacity => ("unit", "removal_factor", "", 1.0),
        Unknown::Store | Unknown::SensorOffset | Unknown::CoilWater | Unknown::CoilDrying => {
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
pub(super) fn proposals(room: &Room, catalog: &Catalog, water: &Water) -> Vec<Proposal> {
    let mut all = Vec::new();
    for found in water.found.iter().filter(|f| f.left < FOUND_LEFT) {
        let Some((section, key, unit, unit_si)) = place(found.unknown, room) else {
            continue;
        };
        let mut add = |(nth, tag), what: String, as_surveyed: Band, found_si: Band| {
            let in_file = |x: f64| x / unit_si;
            let as_surveyed = as_surveyed.map(in_file);
            let as_found = within(section, key, found_si).map(in_file);
            let cut = allowed(section, key)
                .map(|allowed| Cut {
                    found: as_typed(found.unknown, found_si).map(in_file),
                    allowed: allowed.map(in_file),
                })
                .filter(|cut| cut.ends().next().is_some());
            all.push(Proposal {
                section,
                nth,
                tag,
                key,
                typed: typed(found.unknown, as_found, unit),
                before: typed(found.unknown, as_surveyed, unit),
                what,
                as_surveyed,
                as_found,
                cut,
                unit_si,
                unit,
            });
        };
        if found.unknown != Unknown::UnitCapacity {
            if let Some(as_surveyed) = surveyed(room, found.unknown) {
                add(
                    (0, None),
                    water.words_of(found.unknown).into(),
                    as_surveyed,
                    found.after,
                );
            }
        } else if water.runs_from == RunsFrom::Log {
            for (nth, unit) in room.units.iter().enumerate() {
                if unit.state.value == UnitState::InUse {
                    let what = format!(
                        "water that {} removes, over its record; the balance tells all units alike",
                        unit.tag.value
                    );
                    let as_surveyed = over_record(room, catalog, nth);
                    let tag = Some(unit.tag.value.clone());
                    add((nth, tag), what, as_surveyed, of_unit(as_surveyed, found));
                }
            }
        }
    }
    all
}

/// As a person would type it.
fn typed(unknown: Unknown, band: Band, unit: &str) -> String {
    in_file(as_typed(unknown, band), unit)
}

/// One number stands for the capacity; it has no spread in the file.
const fn as_typed(unknown: Unknown, band: Band) -> Band {
    match unknown {
        Unknown::Store => Band::exact(band.likely),
        _ => band,
    }
}

/// A number or a range as the room file writes it.
fn in_file(band: Band, unit: &str) -> String {
    let number = if band.is_spread() {
        [band.low, band.likely, band.high]
            .map(three_digits)
            .join("..")
    } else {
        three_digits(band.likely)
    };
    format!("{number} {unit}").trim().to_owned()
}

/// What the nth unit of the room file removes over its record, as surveyed.
fn over_record(room: &Room, catalog: &Catalog, nth: usize) -> Band {
    let unit = &room.units[nth];
    let of_record = || {
        let model = catalog.dehumidifiers.get(&unit.model.value);
        model.map_or(Band::exact(1.0), capacity_band)
    };
    unit.removal_factor
        .as_ref()
        .map_or_else(of_record, |factor| factor.value)
}

/// The room with each running unit at what was found of all of them.
fn units_as_found(room: &Room, catalog: &Catalog, found: &Found) -> Room {
    let mut changed = room.clone();
    for (nth, unit) in changed.units.iter_mut().enumerate() {
        if unit.state.value == UnitState::InUse {
            let factor = of_unit(over_record(room, catalog, nth), found);
            let factor = within("unit", "removal_factor", factor);
            unit.removal_factor = Some(Given::assumed(factor, Again::SOURCE));
        }
    }
    changed
}

/// What a unit removes over its record, by what was found of all units.
fn of_unit(as_surveyed: Band, found: &Found) -> Band {
    found.after.map(|x| as_surveyed.likely * x)
}

/// What was found \[SI\], inside what the room file takes.
fn within(section: &str, key: &str, found: Band) -> Band {
    match allowed(section, key) {
        Some([least, greatest]) => found.map(|x| x.clamp(least, greatest)),
        None => found,
    }
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

/// What the units remove over their records.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CapacityFound {
    /// As surveyed: as the room file says of them, else as records are.
    pub surveyed: Band,
    /// As found.
    pub found: Band,
}

/// The selection with what was found, beside that of the survey.
#[derive(Clone, Debug)]
pub struct Again {
    /// The units that are there.
    pub units: UnitSet,
    /// Drawn days that they hold, of how many, as surveyed.
    pub surveyed: (usize, usize),
    /// The same as found: the room's water and what the units remove.
    pub found: (usize, usize),
    /// The same with the water as found and the units as surveyed: what serving
    /// them would bring.
    pub found_units_as_surveyed: (usize, usize),
    /// What the units remove; `None` where no log tells when they ran, so that
    /// nothing was found of it, or there are none.
    pub capacity: Option<CapacityFound>,
    /// Whether they are enough, as found.
    pub enough: bool,
    /// Share of drawn days that must hold.
    pub days_to_hold: f64,
    /// The least set that would do as found, the units that are there first, if
    /// the search found one.
    pub needed: Option<UnitSet>,
    /// The cheapest measure that makes them enough: what, and drawn days held.
    pub cheapest: Option<(Text, usize)>,
    /// All measures tried, the cheapest first: what, and drawn days held.
    pub tried: Vec<(Text, usize)>,
    /// The same measures on the room as surveyed: drawn days held; `None` where
    /// it gave no occasion for one.
    pub tried_as_surveyed: Vec<Option<usize>>,
}

impl Again {
    /// What it rests on.
    pub const SOURCE: Source = Source::assumed(
        "drawn days with the unknowns as the log left them, tied as the log ties them; weather and targets of the room file",
    );
}

/// The room as found, what units remove left as surveyed.
fn water_as_found(room: &Room, water: &Water) -> Room {
    let mut found = room.clone();
    for f in &water.found {
        let after = match place(f.unknown, room) {
            Some((section, key, ..)) => within(section, key, f.after),
            None => f.after,
        };
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

/// The room with the units of a set as if the file listed them: they were there
/// when it was logged.
fn with_listed(room: &Room, set: &UnitSet) -> Room {
    const LOGGED: Source = Source::assumed("the units of the design ran while it was logged");
    let mut listed = room.clone();
    if listed.units.is_empty() {
        listed.units = (1..)
            .zip(set.models())
            .map(|(n, model)| Unit {
                tag: Given::assumed(format!("D{n}"), LOGGED),
                model: Given::assumed(model.to_owned(), LOGGED),
                at_m: None,
                facing: None,
                mount: None,
                panel: None,
                state: Given::assumed(UnitState::InUse, LOGGED),
                removal_factor: None,
            })
            .collect();
    }
    listed
}

/// Which draws the log ties to each other, and by which unknown.
const TIED: [(Uncertain, Unknown); 4] = [
    (Uncertain::NightResistance, Unknown::NightResistance),
    (Uncertain::DayResistance, Unknown::DayResistance),
    (Uncertain::AirExchange, Unknown::AirExchange),
    (Uncertain::UnitCapacity, Unknown::UnitCapacity),
];
const TIES: usize = TIED.len() + BESIDE.len();

/// How the log leaves the draws: a room that gives off more goes with units that
/// remove more, since the log saw the difference. The bands of the room as found
/// have middle and spread of what was asked for; of what is beside they are left
/// as surveyed.
fn ties(fit: &Fit) -> Ties<TIES> {
    let asked = |i: usize| TIED.get(i).copied();
    let fitted: [usize; TIES] =
        std::array::from_fn(|i| asked(i).map_or(ASKED + i - TIED.len(), |(_, u)| u as usize));
    let of_beside = |of: &dyn Fn(usize) -> f64, otherwise: f64| {
        std::array::from_fn(|i| asked(i).map_or_else(|| of(fitted[i]), |_| otherwise))
    };
    Ties {
        inputs: std::array::from_fn(|i| {
            asked(i).map_or(BESIDE[i.saturating_sub(TIED.len())], |(input, _)| input)
        }),
        middle: of_beside(&|k| fit.mean(k), 0.0),
        spread: of_beside(&|k| fit.deviation(k), 1.0),
        root: fit.correlation_root(fitted),
    }
}

/// The drawn worlds of a load as the log leaves them.
fn tied(mut load: Load, fit: &Fit) -> Load {
    let ties = ties(fit);
    for draw in load.draws.iter_mut().chain([&mut load.typical]) {
        *draw = draw.tied(&ties);
    }
    load
}

/// Judges the units that are there on the room as found.
pub(super) fn again(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    (water, fit): (&Water, &Fit),
    effort: Effort,
    progress: &dyn Progress,
) -> Result<Again, JobError> {
    let judge = |room: &Room, load: &Load| selection::judge_set(room, load, catalog, set);
    let surveyed_room = with_listed(room, set);
    let (surveyed, surveyed_measures) = judge(&surveyed_room, &load::hourly(room, effort)?)?;

    let by_record = water_as_found(&surveyed_room, water);
    let of_units = water
        .found
        .iter()
        .find(|f| f.unknown == Unknown::UnitCapacity && water.runs_from == RunsFrom::Log);
    let found_room = match of_units {
        Some(found) => units_as_found(&by_record, catalog, found),
        None => by_record.clone(),
    };
    let untied = load::hourly(&by_record, effort)?;
    let load = match of_units {
        Some(_) => tied(untied.clone(), fit),
        None => untied.clone(),
    };
    let (found, measures) = judge(&found_room, &load)?;
    let units_as_surveyed = match of_units {
        Some(_) => selection::judge_alone(&by_record, &untied, catalog, set)?,
        None => found.clone(),
    };

    let to_hold = room.selection.days_to_hold.value;
    let enough = to_hold <= found.held_share();
    let needed = if enough {
        None
    } else {
        let again: Selection = selection::choose(&found_room, &load, catalog, effort, progress)?;
        again.chosen.map(|c| c.judged.units)
    };
    let capacity = of_units.and_then(|_| capacity(&surveyed_room, &found_room, catalog));
    let mut tried: Vec<(Text, Judged)> = measures.into_iter().map(|m| (m.what, m.after)).collect();
    let of_surveyed = |what: &Text| {
        let same = |m: &&Measure| m.what == *what;
        surveyed_measures
            .iter()
            .find(same)
            .map(|m| m.after.held_days)
    };
    let mut tried_as_surveyed: Vec<Option<usize>> =
        tried.iter().map(|(what, _)| of_surveyed(what)).collect();
    if capacity.is_some_and(|c| c.found.high < c.surveyed.likely) {
        tried.push((SERVICE.into(), units_as_surveyed.clone()));
        tried_as_surveyed.push(None);
    }
    let holds = |judged: &Judged| to_hold <= judged.held_share();
    Ok(Again {
        units: set.clone(),
        surveyed: (surveyed.held_days, surveyed.days),
        found: (found.held_days, found.days),
        found_units_as_surveyed: (units_as_surveyed.held_days, units_as_surveyed.days),
        capacity,
        enough,
        days_to_hold: to_hold,
        needed,
        cheapest: tried
            .iter()
            .find(|(_, judged)| holds(judged))
            .filter(|_| !enough)
            .map(|(what, judged)| (what.clone(), judged.held_days)),
        tried: tried
            .into_iter()
            .map(|(what, judged)| (what, judged.held_days))
            .collect(),
        tried_as_surveyed,
    })
}

/// The measure that brings units back to their records.
const SERVICE: &str =
    "clean and service the units, so that they remove again what was surveyed of them";

/// What running units remove over their records: of all of them the mean.
fn capacity(surveyed: &Room, found: &Room, catalog: &Catalog) -> Option<CapacityFound> {
    let mean = |room: &Room| {
        let all: Vec<Band> = (0..room.units.len())
            .filter(|&nth| room.units[nth].state.value == UnitState::InUse)
            .map(|nth| over_record(room, catalog, nth))
            .collect();
        let n = all.len() as f64;
        let of = |pick: fn(&Band) -> f64| all.iter().map(pick).sum::<f64>() / n;
        (!all.is_empty()).then(|| Band::new(of(|b| b.low), of(|b| b.likely), of(|b| b.high)))
    };
    Some(CapacityFound {
        surveyed: mean(surveyed)?,
        found: mean(found)?,
    })
}

#[cfg(test)]
mod tests {
    use super::super::truth;
    use super::super::unknown::StoreOver;
    use super::*;

    /// What the log gives beyond a field is cut at its end, marked, and told;
    /// what lies inside is not.
    #[test]
    fn what_the_file_cannot_hold_is_cut_and_told() {
        let room = truth::sheet().room();
        let proposal = |low: f64, likely: f64, high: f64| {
            let water = truth::water_of(Unknown::Store, Band::new(low, likely, high));
            let mut all = proposals(&room, crate::common::catalog(), &water);
            assert_eq!(all.len(), 1, "{all:?}");
            all.remove(0)
        };
        let inside = proposal(4.0, 5.0, 6.0);
        assert_eq!((inside.typed.as_str(), inside.cut), ("5.00", None));
        // One number is typed, and that lies inside.
        let edge = proposal(20.0, 28.0, 38.0);
        assert_eq!((edge.typed.as_str(), edge.cut), ("28.0", None));
        let beyond = proposal(36.0, 44.0, 52.0);
        let cut = beyond.cut.expect("44 is more than the file takes");
        assert_eq!(beyond.typed, "30.0");
        assert!(cut.likely_is_beyond());
        assert_eq!(
            (cut.words(beyond.unit), cut.beyond()),
            ("cut at 30.0".into(), "more")
        );
        assert_eq!(beyond.in_file(cut.found), "44.0");
        let below = proposal(0.2, 0.6, 2.0);
        let cut = below.cut.expect("0.6 is less than the file takes");
        assert_eq!(
            (cut.words(""), cut.beyond()),
            ("cut at 1.00".into(), "less")
        );
    }

    /// A spread is typed as it is: it is cut where only one of its ends lies
    /// beyond, and each unit is told by its tag.
    #[test]
    fn the_spread_of_each_unit_is_cut_by_itself() {
        let room = truth::sheet().room();
        let [least, greatest] = allowed("unit", "removal_factor").unwrap();
        let surveyed = over_record(&room, crate::common::catalog(), 0).likely;
        let all = |low: f64, likely: f64, high: f64| {
            let band = Band::new(low, likely, high).map(|x| x / surveyed);
            let water = truth::water_of(Unknown::UnitCapacity, band);
            proposals(&room, crate::common::catalog(), &water)
        };
        let low = all(0.5 * least, 0.8, 0.9);
        let tags: Vec<&str> = low.iter().filter_map(|p| p.tag.as_deref()).collect();
        assert_eq!(tags, ["D1", "D2", "D3"]);
        let cut = low[1].cut.expect("its low end is less than the file takes");
        assert!(!cut.likely_is_beyond());
        assert_eq!(cut.beyond(), "less");
        let both = all(0.5 * least, 0.8, 2.0 * greatest);
        assert_eq!(both[0].cut.map(|c| c.beyond()), Some("less and more"));
    }

    /// A buffer's capacity is found over what was surveyed of it: the bounds of
    /// the store of air do not apply.
    #[test]
    fn a_buffer_may_be_found_smaller_than_surveyed() {
        let buffer = "[moisture_buffer]\narea = \"40 m2\"\ncapacity = \"0.2 mm\"\nresistance = \"200 s/m\"\n";
        let room = truth::sheet().and(buffer).room();
        let water = truth::water_of(Unknown::Store, Band::new(0.4, 0.5, 0.6));
        let held = |room: &Room| {
            room.moisture_buffer
                .as_ref()
                .unwrap()
                .capacity_kg_per_m2
                .value
        };
        let words = |room: &Room| Unknown::Store.words(StoreOver::of(room));
        assert!(words(&room).contains("of the moisture buffer"));
        assert!(words(&truth::sheet().room()).contains("of the air"));
        let found = held(&water_as_found(&room, &water));
        assert!((found / held(&room) - 0.5).abs() < 1e-12, "{found}");
        assert!(proposals(&room, crate::common::catalog(), &water).is_empty());
    }

    #[test]
    fn three_digits_are_plain() {
        let all: Vec<String> = [1234.4, 0.123_44, 12.0, 1.0, 99.96, 0.001_235]
            .map(three_digits)
            .into();
        assert_eq!(all, ["1230", "0.123", "12.0", "1.00", "100.0", "0.00124"]);
    }
}

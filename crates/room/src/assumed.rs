//! Everything that was assumed about a room, for the list that the engineer
//! goes through.

use fields::{Assumption, Reading};
use quantity::{Band, Given, Text};

use crate::control::{Control, Setpoint};
use crate::read::{ROOM_FORMAT, SHARED};
use crate::room::Room;
use crate::target::{Humidity, Target};

/// Defaults that count for nothing once another key of the section is said.
const SUPERSEDED: &[(&str, &str)] = &[
    ("envelope.wall_u", "conductance"),
    ("envelope.roof_u", "conductance"),
    ("envelope.floor_u", "conductance"),
    ("envelope.wall_side", "conductance"),
    ("envelope.roof_side", "conductance"),
    ("envelope.floor_side", "conductance"),
    ("envelope.thermal_mass", "heat_capacity"),
    ("envelope.seal", "air_exchange"),
    ("light.reaching_canopy", "ppfd"),
    ("light.efficacy", "ppfd"),
    ("crop.air_movement", "leaf_air_resistance"),
    ("site.altitude", "pressure"),
    ("outdoor.summer.rh", "wet_bulb"),
    ("outdoor.summer.rh", "dew_point"),
    ("outdoor.winter.rh", "wet_bulb"),
    ("outdoor.winter.rh", "dew_point"),
    ("adjacent.rh", "wet_bulb"),
    ("adjacent.rh", "dew_point"),
];

/// Every assumption that counts: defaults of the tables, then what the crop
/// class and the geometry stand in for.
pub(crate) fn assumptions(site: Option<&Reading>, file: &Reading, room: &Room) -> Vec<Assumption> {
    let shared = |key: &str| SHARED.iter().any(|s| section_of(key) == s.key);
    let readings: Vec<&Reading> = site.into_iter().chain([file]).collect();
    let said = |section: &str, key: &str| {
        readings.iter().any(|r| {
            let has = SHARED.iter().any(|s| s.key == section) || std::ptr::eq(*r, file);
            has && r.sections(section).any(|e| e.says(key))
        })
    };
    let counts = |a: &Assumption| {
        let (section, key) = (section_of(&a.key), last_of(&a.key));
        let superseded = SUPERSEDED
            .iter()
            .any(|(k, by)| *k == a.key && said(section, by));
        let said_in_other_file = shared(&a.key) && said(section, key);
        !superseded && !said_in_other_file
    };
    let of_file = file.assumptions();
    // With a site file the shared defaults are its own, said once.
    let of_file = of_file
        .into_iter()
        .filter(|a| site.is_none() || !shared(&a.key));
    let of_site = site.map(Reading::assumptions).unwrap_or_default();
    let mut list: Vec<_> = of_file
        .chain(of_site)
        .filter(counts)
        .filter(|a| !without_purpose(a, file, &room.control))
        .collect();
    list.append(&mut stood_in(room));
    without_repeats(list)
}

/// Of several sections of one kind that took the same default, one line.
fn without_repeats(list: Vec<Assumption>) -> Vec<Assumption> {
    let mut once: Vec<Assumption> = Vec::with_capacity(list.len());
    for assumption in list {
        if !once.contains(&assumption) {
            once.push(assumption);
        }
    }
    once
}

/// Defaults that no part of this room uses.
fn without_purpose(a: &Assumption, file: &Reading, control: &Control) -> bool {
    match a.key.as_str() {
        "envelope.conductance_side" => !file.once("envelope").says("conductance"),
        "control.deadband_vpd" => !controls_by(control, |s| matches!(s, Setpoint::VpdPa(_))),
        "control.deadband_dew_point" => {
            !controls_by(control, |s| matches!(s, Setpoint::DewPointC(_)))
        }
        _ => false,
    }
}

fn controls_by(control: &Control, form: impl Fn(&Setpoint) -> bool) -> bool {
    let setpoints = [&control.lights_on, &control.lights_off];
    setpoints
        .into_iter()
        .flatten()
        .any(|given| form(&given.value))
}

fn section_of(key: &str) -> &str {
    key.rsplit_once('.').map_or("", |(section, _)| section)
}

fn last_of(key: &str) -> &str {
    key.rsplit_once('.').map_or(key, |(_, last)| last)
}

/// What crop class and geometry stand in for.
fn stood_in(room: &Room) -> Vec<Assumption> {
    let mut list = List(Vec::new());
    let envelope = &room.envelope;
    if envelope.heat_capacity_j_per_k.value > 0.0 {
        list.number("envelope.heat_capacity", &envelope.heat_capacity_j_per_k);
    }
    list.band("envelope.air_exchange", &envelope.air_exchange_per_s);
    if let Some(light) = &room.light {
        list.number("light.ppfd", &light.ppfd_umol_per_m2_s);
        list.number("light.photoperiod", &light.photoperiod_s);
    }
    if let Some(crop) = room.crop.as_ref().filter(|c| c.canopy_m2.value > 0.0) {
        list.word("crop.stage", &crop.stage, |s| s.word());
        list.band("crop.lai", &crop.lai);
        list.band("crop.coverage", &crop.coverage);
        list.band("crop.leaf_air_resistance", &crop.leaf_air_s_per_m);
        list.band("crop.night_resistance", &crop.night_resistance_s_per_m);
        list.band("crop.day_resistance_factor", &crop.day_resistance_factor);
        list.number("crop.vapour_share", &crop.vapour_share);
    }
    list.target("target.lights_on", &room.targets.lights_on);
    list.target("target.transition", &room.targets.transition);
    list.target("target.lights_off", &room.targets.lights_off);
    list.0
}

struct List(Vec<Assumption>);

impl List {
    fn number(&mut self, key: &str, given: &Given<f64>) {
        self.band(key, &given.clone().map(Band::exact));
    }

    fn band(&mut self, key: &str, given: &Given<Band>) {
        if given.is_assumed() {
            let (section, field) = find(key);
            let assumed = Assumption::band(section, field, given.value, given.source());
            self.0.push(assumed);
        }
    }

    fn word<T: Copy>(&mut self, key: &str, given: &Given<T>, word: impl Fn(T) -> &'static str) {
        if given.is_assumed() {
            let (section, field) = find(key);
            let taken = Text::from(word(given.value));
            let assumed = Assumption::new(section, field, taken, given.source());
            self.0.push(assumed);
        }
    }

    fn target(&mut self, section: &str, target: &Target) {
        self.band(&format!("{section}.dry_bulb"), &target.dry_bulb_c);
        if let Some(humidity) = &target.humidity {
            let (key, band) = match humidity.value {
                Humidity::RelHumidity(band) => ("rh", band),
                Humidity::VpdPa(band) => ("vpd", band),
                Humidity::DewPointC(band) => ("dew_point", band),
            };
            let given = humidity.clone().map(|_| band);
            self.band(&format!("{section}.{key}"), &given);
        }
    }
}

/// The field of the room file with a dotted key.
fn find(key: &str) -> (&'static fields::Section, &'static fields::Field) {
    let section = ROOM_FORMAT.section(section_of(key));
    let field = section.and_then(|s| s.field(last_of(key)));
    section
        .zip(field)
        .unwrap_or_else(|| panic!("{key} is not in the table"))
}

//! What was read on a call, as a caller gives it: by name, each with the
//! uncertainty of the usual instrument.

use std::collections::BTreeMap;

use air::MoistAir;
use equipment::{Cabinet, FilterState, Model};
use quantity::{Dim, Text};

use super::rank::Known;
use super::readings;
use crate::acceptance::condensate::map_uncertainty;
use crate::acceptance::short_circuit::Around;
use crate::acceptance::{COVERAGE, Estimate};
use crate::startup::ask::usual;
use crate::startup::{Instrument, Quantity};

/// A reading that can be given.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Its name.
    pub id: &'static str,
    /// What is read, and where.
    pub words: &'static str,
    asks: fn(Against<'_>) -> Quantity,
}

/// What a reading is held against before it is believed.
#[derive(Clone, Copy, Debug, Default)]
pub struct Against<'a> {
    /// Record of the unit, where it is known.
    pub model: Option<&'a Model>,
    /// Barometric pressure of the place, where it is known \[Pa\].
    pub pressure_pa: Option<f64>,
}

impl Entry {
    /// What is asked: its dimension, what can be and what is likely here.
    pub fn asks(&self, against: Against<'_>) -> Quantity {
        (self.asks)(against)
    }
}

const fn entry(id: &'static str, words: &'static str, asks: fn(Against<'_>) -> Quantity) -> Entry {
    Entry { id, words, asks }
}

/// All readings that can be given, in the order of asking.
pub const ENTRIES: [Entry; 12] = [
    entry(
        "inlet-dry-bulb",
        "dry bulb a hand's breadth before the filter",
        |_| usual::dry_bulb(Instrument::Thermometer),
    ),
    entry("inlet-rh", "relative humidity at the same place", |_| {
        usual::humidity(Instrument::Hygrometer)
    }),
    entry(
        "room-dry-bulb",
        "dry bulb in the room, away from jets and units",
        |_| usual::dry_bulb(Instrument::Thermometer),
    ),
    entry("discharge-dry-bulb", "dry bulb in the discharge", |_| {
        usual::discharge()
    }),
    entry(
        "condensate",
        "water caught per time, after an hour of steady running",
        condensate,
    ),
    entry(
        "current",
        "current of one supply conductor while it runs",
        current,
    ),
    entry("voltage", "voltage at the unit's supply terminals", voltage),
    entry("suction", "suction in the cabinet at the pan", suction),
    entry("seal", "depth of the seal that the trap has", |_| {
        Quantity {
            dim: Dim::Length,
            allowed: [0.0, 1.0],
            plausible: [0.0, 0.3],
            instrument: Instrument::Rule,
        }
    }),
    entry(
        "since-power-up",
        "time since power came back or the unit stopped",
        |_| Quantity {
            allowed: [0.0, 20.0 * 365.0 * DAY_S],
            ..usual::duration([0.0, 30.0 * DAY_S], Instrument::Told)
        },
    ),
    entry("pressure", "barometric pressure", barometer),
    entry(
        "setpoint",
        "relative humidity that the control is set to; a log is held against it",
        |_| usual::humidity(Instrument::Told),
    ),
];

const DAY_S: f64 = 86_400.0;
/// Water that no unit takes out \[kg/s\]: 10 t a day. **Assumed**.
const NO_UNIT_KG_PER_S: f64 = 1e4 / DAY_S;

/// Water caught. **Assumed**, as in all of these: likely is up to half more than
/// the best point of the record; without one, up to a tonne a day.
fn condensate(against: Against<'_>) -> Quantity {
    let best = against.model.map(|m| {
        let rated = m.ratings.iter().map(|r| r.removal_kg_per_s);
        1.5 * rated.fold(0.0, f64::max)
    });
    Quantity {
        dim: Dim::WaterRate,
        allowed: [0.0, NO_UNIT_KG_PER_S],
        plausible: [0.0, best.unwrap_or(0.1 * NO_UNIT_KG_PER_S)],
        instrument: Instrument::Jug,
    }
}

/// A running unit, sound or not: its fan alone may draw little.
fn current(against: Against<'_>) -> Quantity {
    const LARGE_A: f64 = 40.0;
    let full_a = against.model.map_or(LARGE_A, |m| m.plate.full_load_a);
    let amps = usual::amps(full_a, Instrument::Clamp);
    Quantity {
        plausible: [0.0, amps.plausible[1]],
        ..amps
    }
}

/// Around what the plate allows. What is far below it may be so in a fault, and
/// shows as well where a probe touches nothing: it is asked about.
fn voltage(against: Against<'_>) -> Quantity {
    let [low_v, high_v] = against.model.map_or([100.0, 480.0], |m| {
        let plate = &m.plate;
        [plate.low_volts.unwrap_or(plate.volts), plate.volts]
    });
    Quantity {
        plausible: [
            usual::volts(low_v).plausible[0],
            usual::volts(high_v).plausible[1],
        ],
        ..usual::volts(high_v)
    }
}

/// Up to twice what the record has for a dirty filter and the fan at its
/// fastest.
fn suction(against: Against<'_>) -> Quantity {
    const MUCH_PA: f64 = 500.0;
    // A pan under pressure has none: the record then excludes it, by name.
    let sucks = |m: &&Model| m.cabinet == Cabinet::DrawThrough;
    let of_record = against.model.filter(sucks);
    let worst_pa = of_record.map_or(MUCH_PA, |m| m.pan_pressure_pa.abs());
    Quantity {
        dim: Dim::Pressure,
        allowed: [0.0, 5_000.0],
        plausible: [0.0, 2.0 * worst_pa],
        instrument: Instrument::Told,
    }
}

/// From the highest ground that is lived on to a high at sea level; where the
/// place is known, as the weather moves it.
fn barometer(against: Against<'_>) -> Quantity {
    let plausible = match against.pressure_pa {
        Some(pa) => [0.95 * pa, 1.05 * pa],
        None => [65e3, 105e3],
    };
    Quantity {
        dim: Dim::Pressure,
        allowed: [50e3, 110e3],
        plausible,
        instrument: Instrument::Told,
    }
}

/// Standard uncertainties of usual instruments. **Assumed**: a pocket
/// thermometer, a hygrometer checked once a year, a clamp meter, a pressure
/// gauge, a rule, a bucket with a clock, a memory of when.
pub(super) const THERMOMETER_K: f64 = 0.3;
pub(super) const HYGROMETER: f64 = 0.02;
const CLAMP_SHARE: f64 = 0.02;
const VOLTMETER_SHARE: f64 = 0.01;
const GAUGE_SHARE: f64 = 0.05;
const RULE_M: f64 = 0.003;
const BUCKET_SHARE: f64 = 0.05;
const REMEMBERED_SHARE: f64 = 0.2;

/// Readings by name, SI.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Taken(BTreeMap<&'static str, f64>);

impl Taken {
    /// Adds a reading \[SI\]; `false` where there is none of this name.
    pub fn add(&mut self, id: &str, si: f64) -> bool {
        let Some(entry) = ENTRIES.iter().find(|e| e.id == id) else {
            return false;
        };
        self.0.insert(entry.id, si);
        true
    }

    /// The reading of a name \[SI\].
    pub fn get(&self, id: &str) -> Option<f64> {
        self.0.get(id).copied()
    }

    fn relative(&self, id: &str, share: f64) -> Option<Estimate> {
        let value = self.get(id)?;
        Some(Estimate::new(value, share * value.abs()))
    }

    fn absolute(&self, id: &str, u: f64) -> Option<Estimate> {
        Some(Estimate::new(self.get(id)?, u))
    }

    /// What the readings say, and what of them could not be used and why.
    ///
    /// - `model`: of the unit, where it is known
    /// - `pressure_pa`: barometric, where it was not read \[Pa\]
    pub fn weighed(&self, model: Option<&Model>, pressure_pa: f64) -> (Vec<Known>, Vec<Text>) {
        let mut known = Vec::new();
        let mut unused: Vec<Text> = Vec::new();
        let pressure_pa = self.get("pressure").unwrap_or(pressure_pa);
        let dry_bulb = self.absolute("inlet-dry-bulb", THERMOMETER_K);
        let rh = self.absolute("inlet-rh", HYGROMETER);
        let mut one = |wanted: bool, found: Option<Known>, why: &'static str| match found {
            Some(k) => known.push(k),
            None if wanted => unused.push(why.into()),
            None => {}
        };

        let air = dry_bulb.zip(rh);
        one(
            dry_bulb.is_some() || rh.is_some(),
            model
                .zip(air)
                .and_then(|(m, (t, rh))| readings::inlet(m, t, rh, pressure_pa)),
            "the air at the inlet needs dry bulb, relative humidity and the unit's model",
        );
        let caught = self.relative("condensate", BUCKET_SHARE);
        one(
            caught.is_some(),
            model
                .zip(air)
                .zip(caught)
                .and_then(|((m, (t, rh)), caught)| {
                    let expected = expected(m, t.value, rh.value, pressure_pa)?;
                    readings::removal(caught, expected)
                }),
            "the water caught needs the air at the inlet, in which some is expected, and the unit's model",
        );
        let amps = self.relative("current", CLAMP_SHARE);
        one(
            amps.is_some(),
            model.zip(amps).and_then(|(m, a)| readings::current(m, a)),
            "the current needs the unit's model",
        );
        let volts = self.relative("voltage", VOLTMETER_SHARE);
        one(
            volts.is_some(),
            model.zip(volts).and_then(|(m, v)| readings::voltage(m, v)),
            "the voltage needs the unit's model",
        );
        let suction = self.relative("suction", GAUGE_SHARE);
        let seal = self.absolute("seal", RULE_M);
        one(
            suction.is_some() || seal.is_some(),
            suction.zip(seal).map(|(p, s)| readings::trap(p, s)),
            "the trap needs both: suction at the pan and depth of its seal",
        );
        let room = self.absolute("room-dry-bulb", THERMOMETER_K);
        let discharge = self.absolute("discharge-dry-bulb", THERMOMETER_K);
        one(
            room.is_some() || discharge.is_some(),
            match (room, dry_bulb, discharge) {
                (Some(room_c), Some(inlet_c), Some(discharge_c)) => readings::breathed(Around {
                    room_c,
                    inlet_c,
                    discharge_c,
                }),
                _ => None,
            },
            "what it breathes again needs three dry bulbs: room, inlet, and a discharge that is at least 1 K warmer than the room",
        );
        let since = self.relative("since-power-up", REMEMBERED_SHARE);
        one(
            since.is_some(),
            model
                .zip(since)
                .map(|(m, s)| readings::since_power_up(m, s)),
            "the time since power-up needs the unit's model",
        );
        (known, unused)
    }
}

/// What the map expects at an inlet, with the map's own uncertainty \[kg/s\].
fn expected(model: &Model, t_c: f64, rh: f64, pressure_pa: f64) -> Option<Estimate> {
    let inlet = MoistAir::from_rel_humidity(t_c, rh, pressure_pa).ok()?;
    let out = model.at(inlet, FilterState::Clean);
    let u = map_uncertainty(model, &out) / COVERAGE * out.removal_kg_per_s;
    Some(Estimate::new(out.removal_kg_per_s, u))
}

//! The day of the surveyed room: targets, setpoints and what comes and goes by
//! the hour.

use quantity::Band;
use room::{Humidity, Period, Room, Setpoint, Side};
use roomsim::setup::HumiditySpan;
use roomsim::timetable::{
    Anticipate, Anticipation, DAY_S, DayAir, Drying, Hours, HumidityBand, LightHours, Range, Spell,
    Supply, Target, Targets, Timetable, WetFloor,
};

use crate::airs::{self, Edge, Season};
use crate::error::JobError;
use crate::machines;
use crate::settable::wanted;

/// Half-width that counts as "at target" where the survey gives one number
/// for the dry bulb \[K\].
///
/// Common practice, no published source.
pub const DRY_BULB_TOLERANCE_K: f64 = 1.5;

/// The same for relative humidity, VPD \[Pa\] and dew point \[K\].
///
/// Common practice, no published source.
pub const HUMIDITY_TOLERANCE: HumiditySpan = HumiditySpan {
    rel_humidity: 0.05,
    vpd_pa: 150.0,
    dew_point_k: 1.5,
};

/// With lights on or off, or on the way from on to off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Lit {
    On,
    Off,
    Transition,
}

/// The period whose targets and setpoints hold; lamps that never burn have none
/// of their own.
fn period(room: &Room, lit: Lit) -> Period {
    let burns = |l: &room::Light| 0.0 < l.photoperiod_s.value;
    match lit {
        Lit::On if room.light.as_ref().is_some_and(burns) => Period::LightsOn,
        Lit::On | Lit::Off => Period::LightsOff,
        Lit::Transition => Period::Transition,
    }
}

pub(super) fn target(room: &Room, lit: Lit) -> &room::Target {
    room.targets.of(period(room, lit))
}

/// The target after lights-off, where one of its own was surveyed.
fn transition_target(room: &Room, step: Option<f64>) -> Option<Target> {
    let transition = &room.targets.transition;
    let surveyed = !transition.dry_bulb_c.is_assumed()
        || transition
            .humidity
            .as_ref()
            .is_some_and(|h| !h.is_assumed());
    surveyed.then(|| sim_target(room, Lit::Transition, step))
}

/// Setpoint of the thermostat: of the first cooling machine that has one, else
/// the middle of the target \[°C\].
pub(super) fn cooling_setpoint(room: &Room, lit: Lit) -> f64 {
    let given = room.cooling.iter().find_map(|c| match lit {
        Lit::On => c.setpoint_lights_on_c.as_ref(),
        Lit::Off | Lit::Transition => c.setpoint_lights_off_c.as_ref(),
    });
    given.map_or(target(room, lit).dry_bulb_c.value.likely, |g| g.value)
}

/// Setpoint of the heating: surveyed, or so far below the cooling's that the
/// two do not fight \[°C\].
fn heating_setpoint(room: &Room, lit: Lit) -> f64 {
    let given = room.heating.iter().find_map(|h| match lit {
        Lit::On => h.setpoint_lights_on_c.as_ref(),
        Lit::Off | Lit::Transition => h.setpoint_lights_off_c.as_ref(),
    });
    let cooling_c = cooling_setpoint(room, lit);
    let band = target(room, lit).dry_bulb_c.value;
    given
        .map_or(band.low.min(band.likely - DRY_BULB_TOLERANCE_K), |g| {
            g.value
        })
        .min(cooling_c)
}

/// - `step`: the coarsest step of relative humidity of those where it is set
pub(super) fn timetable(
    room: &Room,
    season: Season,
    step: Option<f64>,
) -> Result<Timetable, JobError> {
    let around = airs::surroundings(room, season)?;
    let spell = |hours: room::Hours, sensible_w: f64, water_kg_per_s: f64, supply: Supply| {
        let (from_s, to_s) = from_to(hours);
        Spell {
            from_s,
            to_s,
            sensible_w,
            water_kg_per_s,
            electric_w: 0.0,
            supply,
        }
    };
    let people = room.people.iter().map(|p| {
        let one = crop::people::person(
            machines::activity(p),
            target(room, Lit::On).dry_bulb_c.value.likely,
        );
        let count = f64::from(p.count.value);
        spell(
            p.hours,
            count * one.sensible_w,
            count * one.water_kg_per_s,
            Supply::Own,
        )
    });
    let burner = room.burners.iter().map(|b| {
        let gain = machines::burner_gain(b);
        spell(b.hours, gain.sensible_w, gain.water_kg_per_s, Supply::Mains)
    });
    let gains = room.gains.iter().map(|g| {
        let water = match g.water.as_ref().map(|w| w.value) {
            Some(room::GainWater::VapourKgPerS(rate)) => rate,
            _ => 0.0,
        };
        spell(g.hours, g.sensible_w.value, water, Supply::Mains)
    });
    let latent_gain_w = room
        .gains
        .iter()
        .filter_map(|g| match g.water.as_ref()?.value {
            room::GainWater::LatentW(w) => Some(w),
            room::GainWater::VapourKgPerS(_) => None,
        })
        .sum();
    let light = room.light.as_ref();
    Ok(Timetable::new(Hours {
        lights: light.map_or(
            LightHours {
                on_s: 0.0,
                photoperiod_s: 0.0,
                ramp_s: 0.0,
            },
            |l| LightHours {
                on_s: f64::from(l.on_s.value),
                photoperiod_s: l.photoperiod_s.value,
                ramp_s: l.ramp_s.value,
            },
        ),
        targets: Targets {
            lights_on: sim_target(room, Lit::On, step),
            lights_off: sim_target(room, Lit::Off, step),
            transition: transition_target(room, step),
            ramp_s: room.targets.ramp_down_s.value,
        },
        transition_s: room.targets.transition_s.value,
        anticipation: anticipation(room),
        outdoor: around.outdoor,
        adjacent: DayAir::constant(
            around.adjacent.dry_bulb_c(),
            around.adjacent.humidity_ratio(),
        ),
        people: people.collect(),
        burner: burner.collect(),
        other: gains
            .chain(fans(room))
            .chain(ground(room, around.adjacent.dry_bulb_c()))
            .collect(),
        latent_gain_w,
        drying: drying(room)?,
        wet_floor: wet_floor(room),
        irrigation_s: room
            .irrigation
            .iter()
            .flat_map(|i| &i.times_s)
            .map(|t| f64::from(t.value))
            .collect(),
    }))
}

/// What the floor loses to the ground beyond what it would lose to the space
/// around: the zone has one conductance for both, and
/// G (T_g − T) = G (T_a − T) + G (T_g − T_a), the last a constant.
fn ground(room: &Room, adjacent_c: f64) -> Option<Spell> {
    let conductance = room.envelope.conductance_w_per_k(Side::Ground);
    let sensible_w = conductance * (room.site.ground_c.value - adjacent_c);
    (sensible_w != 0.0).then(|| Spell {
        supply: Supply::Own,
        ..Spell::always(sensible_w, 0.0)
    })
}

/// Circulation fans: their power is heat.
fn fans(room: &Room) -> impl Iterator<Item = Spell> {
    let light = room.light.as_ref();
    room.air_movers.iter().map(move |fan| {
        let power_w = fan.power_w.value * f64::from(fan.count.value);
        let (on_s, off_s) = light.map_or((0.0, 0.0), |l| {
            let on_s = f64::from(l.on_s.value);
            (on_s, (on_s + l.photoperiod_s.value).rem_euclid(DAY_S))
        });
        let (from_s, to_s) = match fan.runs.value {
            room::RunsWhen::Always => (0.0, DAY_S),
            room::RunsWhen::LightsOn => (on_s, off_s),
            room::RunsWhen::LightsOff => (off_s, on_s),
        };
        Spell {
            from_s,
            to_s,
            sensible_w: power_w,
            water_kg_per_s: 0.0,
            electric_w: power_w,
            supply: Supply::Mains,
        }
    })
}

/// Begin and end of surveyed hours \[s\].
fn from_to(hours: room::Hours) -> (f64, f64) {
    match hours {
        room::Hours::Always => (0.0, DAY_S),
        room::Hours::Between { from_s, to_s } => (f64::from(from_s), f64::from(to_s)),
    }
}

/// The hung crops by their surveyed curves, which hold at the room's targets:
/// the reference is the mean deficit of the target air over the day.
///
/// # Errors
/// A target that cannot be at this pressure.
fn drying(room: &Room) -> Result<Option<Drying>, JobError> {
    /// Least reference deficit \[Pa\]: a target of saturated air, in which
    /// nothing dries, is not the air that a drying time was learnt in.
    const LEAST_REFERENCE_PA: f64 = 50.0;
    if room.hung_crops.is_empty() {
        return Ok(None);
    }
    let pressure_pa = airs::pressure_pa(&room.site);
    let mut vpd_pa = 0.0;
    for hour in 0..24 {
        let target = room.target_at((f64::from(hour) + 0.5) * 3600.0);
        let air = airs::target_air(
            target.dry_bulb_c.likely,
            target.humidity,
            Edge::Middle,
            pressure_pa,
        )?;
        vpd_pa += air.vpd_pa() / 24.0;
    }
    let water_kg_per_s = std::array::from_fn(|hour| {
        let of = |hung: &room::HungCrop| {
            let from_s = hung.hung_for_s.value + hour as f64 * 3600.0;
            machines::hung_crop(hung).water_given_off_kg(from_s, from_s + 3600.0) / 3600.0
        };
        room.hung_crops.iter().map(of).sum()
    });
    Ok(Some(Drying {
        water_kg_per_s,
        reference_vpd_pa: vpd_pa.max(LEAST_REFERENCE_PA),
    }))
}

/// Floor that lies wet, in its hours.
fn wet_floor(room: &Room) -> Vec<WetFloor> {
    room.wet_floors
        .iter()
        .map(|floor| {
            let (from_s, to_s) = from_to(floor.hours);
            WetFloor {
                from_s,
                to_s,
                area_m2: floor.area_m2.value,
            }
        })
        .collect()
}

/// All units run for some time before lights-off.
fn anticipation(room: &Room) -> Option<Anticipation> {
    let lead_s = room.control.anticipation_s.value;
    (0.0 < lead_s).then_some(Anticipation {
        lead_s,
        action: Anticipate::RunAll,
    })
}

fn sim_target(room: &Room, lit: Lit, step: Option<f64>) -> Target {
    let surveyed = target(room, lit);
    let t = surveyed.dry_bulb_c.value;
    let dry_bulb_band_c = if t.is_spread() {
        Range {
            low: t.low,
            high: t.high,
        }
    } else {
        Range {
            low: t.likely - DRY_BULB_TOLERANCE_K,
            high: t.likely + DRY_BULB_TOLERANCE_K,
        }
    };
    Target {
        cooling_setpoint_c: cooling_setpoint(room, lit),
        heating_setpoint_c: heating_setpoint(room, lit),
        humidity_setpoint: humidity_setpoint(room, lit, step),
        dry_bulb_band_c,
        humidity_band: humidity_band(surveyed.humidity.as_ref().map(|h| h.value)),
    }
}

/// What is set; where nothing is to be held, a setpoint that never calls.
fn humidity_setpoint(room: &Room, lit: Lit, step: Option<f64>) -> roomsim::timetable::Humidity {
    use roomsim::timetable::Humidity as Sim;
    match wanted(room, period(room, lit), step).map(|w| w.set()) {
        Some(Setpoint::RelHumidity(x)) => Sim::Relative(x),
        Some(Setpoint::VpdPa(x)) => Sim::VpdPa(x),
        Some(Setpoint::DewPointC(x)) => Sim::DewPointC(x),
        None => Sim::Relative(1.0),
    }
}

/// The target's band; one number is widened by what counts as at target.
pub(crate) fn humidity_band(humidity: Option<Humidity>) -> HumidityBand {
    let widened = |b: Band, by: f64| {
        if b.is_spread() {
            Range {
                low: b.low,
                high: b.high,
            }
        } else {
            Range {
                low: b.likely - by,
                high: b.likely + by,
            }
        }
    };
    match humidity {
        Some(Humidity::RelHumidity(b)) => {
            HumidityBand::Relative(widened(b, HUMIDITY_TOLERANCE.rel_humidity))
        }
        Some(Humidity::VpdPa(b)) => HumidityBand::VpdPa(widened(b, HUMIDITY_TOLERANCE.vpd_pa)),
        Some(Humidity::DewPointC(b)) => {
            HumidityBand::DewPointC(widened(b, HUMIDITY_TOLERANCE.dew_point_k))
        }
        None => HumidityBand::Relative(Range {
            low: 0.0,
            high: 1.0,
        }),
    }
}

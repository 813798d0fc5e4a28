//! What recurs every day.
//!
//! A [`Timetable`] is given in the terms of the survey and turned once into one
//! [`Row`] per step of the day, so that the hot loop only reads. Runs that
//! differ in scalars share one timetable and its rows.

use std::sync::{Arc, OnceLock};

/// Seconds of a day.
pub const DAY_S: f64 = 86_400.0;

/// What recurs every day. Build with [`Timetable::new`].
#[derive(Debug)]
pub struct Timetable {
    pub(crate) hours: Hours,
    rows: OnceLock<(RowKey, Arc<[Row]>)>,
}

/// The plain contents of a [`Timetable`]. Times of day are seconds after
/// midnight; what crosses midnight goes on the next morning.
#[derive(Clone, Debug, PartialEq)]
pub struct Hours {
    /// When the lamps burn.
    pub lights: LightHours,
    /// What is aimed at in light and in dark.
    pub targets: Targets,
    /// Time after each switching of the lamps that counts as transition \[s\].
    pub transition_s: f64,
    /// What the dehumidifiers do shortly before the lamps go out.
    pub anticipation: Option<Anticipation>,
    /// Outdoor air.
    pub outdoor: DayAir,
    /// Air of the adjacent space.
    pub adjacent: DayAir,
    /// People, by spell.
    pub people: Vec<Spell>,
    /// Carbon dioxide burner, by spell.
    pub burner: Vec<Spell>,
    /// Fans, pumps and whatever else gives heat or water, by spell.
    pub other: Vec<Spell>,
    /// Latent heat given off by what is not named above \[W\]; turned into
    /// water with the enthalpy of vapour at room temperature.
    pub latent_gain_w: f64,
    /// A harvested crop hung to dry.
    pub drying: Option<Drying>,
    /// Floor that lies wet at certain hours; needs [`Setup::floor`](crate::Setup::floor).
    pub wet_floor: Vec<WetFloor>,
    /// Times of day of irrigation \[s\].
    pub irrigation_s: Vec<f64>,
}

impl Default for Hours {
    /// Dark all day, no targets that anything acts on, 20 °C and 50 % around.
    fn default() -> Self {
        let target = Target {
            cooling_setpoint_c: 24.0,
            heating_setpoint_c: 18.0,
            humidity_setpoint: Humidity::Relative(0.6),
            dry_bulb_band_c: Range {
                low: 18.0,
                high: 26.0,
            },
            humidity_band: HumidityBand::Relative(Range {
                low: 0.0,
                high: 0.7,
            }),
        };
        Self {
            lights: LightHours {
                on_s: 0.0,
                photoperiod_s: 0.0,
                ramp_s: 0.0,
            },
            targets: Targets {
                lights_on: target,
                lights_off: target,
                transition: None,
                ramp_s: 0.0,
            },
            transition_s: 3600.0,
            anticipation: None,
            outdoor: DayAir::constant(20.0, 0.007_262),
            adjacent: DayAir::constant(20.0, 0.007_262),
            people: Vec::new(),
            burner: Vec::new(),
            other: Vec::new(),
            latent_gain_w: 0.0,
            drying: None,
            wet_floor: Vec::new(),
            irrigation_s: Vec::new(),
        }
    }
}

/// When the lamps burn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LightHours {
    /// They begin to come on \[s\].
    pub on_s: f64,
    /// From the begin of coming on to the end of going out \[s\]; 0 never, a
    /// day always.
    pub photoperiod_s: f64,
    /// Time from dark to full light, and back, inside the photoperiod \[s\].
    pub ramp_s: f64,
}

/// Targets in light and in dark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Targets {
    /// While the lamps burn.
    pub lights_on: Target,
    /// While they do not.
    pub lights_off: Target,
    /// In the transition after lights-off; `None` for that of lights-off. The
    /// transition after lights-on has the target of lights-on.
    pub transition: Option<Target>,
    /// Time over which setpoints glide after each switching \[s\]; setpoints of
    /// unlike kind change at half time.
    pub ramp_s: f64,
}

/// What is aimed at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Target {
    /// Cooling setpoint \[°C\].
    pub cooling_setpoint_c: f64,
    /// Heating setpoint \[°C\], not above the cooling setpoint.
    pub heating_setpoint_c: f64,
    /// Setpoint of the dehumidifiers.
    pub humidity_setpoint: Humidity,
    /// Dry bulb that counts as in band \[°C\].
    pub dry_bulb_band_c: Range,
    /// Humidity that counts as in band.
    pub humidity_band: HumidityBand,
}

/// A humidity in one of the terms in which it is controlled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Relative humidity, 0 to 1.
    Relative(f64),
    /// Vapour pressure deficit of the air \[Pa\].
    VpdPa(f64),
    /// Dew point \[°C\].
    DewPointC(f64),
}

/// A humidity band in one of the terms in which it is stated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HumidityBand {
    /// Relative humidity, 0 to 1.
    Relative(Range),
    /// Vapour pressure deficit of the air \[Pa\].
    VpdPa(Range),
    /// Dew point \[°C\].
    DewPointC(Range),
}

/// From low to high, both included.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

/// What the dehumidifiers do shortly before the lamps go out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anticipation {
    /// How long before the lamps begin to go out \[s\].
    pub lead_s: f64,
    /// What they do then.
    pub action: Anticipate,
}

/// What is done in anticipation of lights-off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Anticipate {
    /// Every unit runs.
    RunAll,
    /// The setpoint is drier by this much.
    DrierBy(crate::setup::HumiditySpan),
}

/// Air over a day, at each full hour, straight lines between.
#[derive(Clone, Debug, PartialEq)]
pub struct DayAir {
    /// Dry bulb at hour 0 to 23 \[°C\].
    pub dry_bulb_c: [f64; 24],
    /// Humidity ratio at hour 0 to 23 \[kg/kg dry air\].
    pub humidity_ratio: [f64; 24],
}

impl DayAir {
    /// The same air all day: dry bulb \[°C\] and humidity ratio.
    pub const fn constant(dry_bulb_c: f64, humidity_ratio: f64) -> Self {
        Self {
            dry_bulb_c: [dry_bulb_c; 24],
            humidity_ratio: [humidity_ratio; 24],
        }
    }
}

/// Heat and water given off from one time of day to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spell {
    /// Begin \[s\].
    pub from_s: f64,
    /// End \[s\]; at or before the begin means the next morning, and a begin
    /// of 0 with an end of 86 400 the whole day.
    pub to_s: f64,
    /// Sensible heat to the air \[W\].
    pub sensible_w: f64,
    /// Water vapour \[kg/s\].
    pub water_kg_per_s: f64,
    /// Electrical power that this takes \[W\] (a fan's equals its heat, a
    /// person's is 0).
    pub electric_w: f64,
    /// Whether a power cut stops it.
    pub supply: Supply,
}

/// What keeps a [`Spell`] going.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Supply {
    /// Stops when the power is cut.
    Mains,
    /// Goes on (people, fuel without controls).
    Own,
}

/// A harvested crop hung to dry.
///
/// ```text
/// water = rate of the hour · VPD / VPD_ref,  factor from 0 to 3
/// ```
///
/// Held constant: how far the crop has dried by each hour of the day, which is
/// what the rates say. Not held: what it gives off there, which answers to the
/// air at once. Water given off beyond the rates, or kept back, is therefore in
/// the balance of the room on that day, but does not hurry or hold up the hours
/// after it, and a run of several days repeats the one. Over the whole time
/// that the crop hangs its water is what hangs there; air that is drier than
/// the reference all that time would bring it out sooner, not more of it.
///
/// The law and its source stand at [`crop::drying::humidity_factor`]. The heat
/// of evaporation comes from the air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drying {
    /// Water given off in the reference air, at each full hour, straight lines
    /// between \[kg/s\].
    pub water_kg_per_s: [f64; 24],
    /// Vapour pressure deficit of the reference air \[Pa\], above zero.
    pub reference_vpd_pa: f64,
}

/// Floor that lies wet from one time of day to another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WetFloor {
    /// Begin \[s\].
    pub from_s: f64,
    /// End \[s\], as in a [`Spell`].
    pub to_s: f64,
    /// Area \[m²\].
    pub area_m2: f64,
}

/// Part of the day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(u8)]
pub enum Period {
    /// Lamps burn, transition over.
    LightsOn = 0,
    /// Shortly after a switching of the lamps.
    Transition = 1,
    /// Lamps off, transition over.
    LightsOff = 2,
}

impl Period {
    /// All, in the order of their numbers.
    pub const ALL: [Self; 3] = [Self::LightsOn, Self::Transition, Self::LightsOff];
}

/// One step of the day, ready to read. Values hold at the middle of the step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Row {
    pub(crate) light: f64,
    pub(crate) cooling_setpoint_c: f64,
    pub(crate) heating_setpoint_c: f64,
    pub(crate) humidity_setpoint: Humidity,
    pub(crate) outdoor_c: f64,
    pub(crate) outdoor_humidity_ratio: f64,
    pub(crate) outdoor_dry_air_kg_per_m3: f64,
    pub(crate) adjacent_c: f64,
    pub(crate) adjacent_humidity_ratio: f64,
    pub(crate) adjacent_dry_air_kg_per_m3: f64,
    /// Of people, burner and other together.
    pub(crate) spells: SpellSum,
    /// Of those that go on without power.
    pub(crate) spells_without_power: SpellSum,
    pub(crate) drying_kg_per_s: f64,
    pub(crate) wet_floor_m2: f64,
    pub(crate) period: Period,
    pub(crate) judged_by: JudgedBy,
    pub(crate) force_units: bool,
    pub(crate) irrigate: bool,
}

/// Which of the targets judges this step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub(crate) enum JudgedBy {
    LightsOn = 0,
    LightsOff = 1,
    Transition = 2,
}

/// Sums over the spells of a step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct SpellSum {
    pub(crate) people: HeatAndWater,
    pub(crate) burner: HeatAndWater,
    pub(crate) other: HeatAndWater,
    pub(crate) electric_w: f64,
}

/// Heat and water.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct HeatAndWater {
    pub(crate) sensible_w: f64,
    pub(crate) water_kg_per_s: f64,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct RowKey {
    step_s: f64,
    pressure_pa: f64,
}

impl Clone for Timetable {
    fn clone(&self) -> Self {
        Self::new(self.hours.clone())
    }
}

impl Timetable {
    /// A timetable of these hours.
    pub const fn new(hours: Hours) -> Self {
        Self {
            hours,
            rows: OnceLock::new(),
        }
    }

    /// What it was made of.
    pub const fn hours(&self) -> &Hours {
        &self.hours
    }

    /// Cooling setpoint at each step of the day \[°C\], with its glides.
    ///
    /// - `step_s`: a whole part of a day \[s\]
    /// - `pressure_pa`: of the room's setup, whose rows are at hand \[Pa\]
    pub fn cooling_setpoints_c(&self, step_s: f64, pressure_pa: f64) -> Vec<f64> {
        let rows = self.rows(step_s, pressure_pa);
        rows.iter().map(|row| row.cooling_setpoint_c).collect()
    }

    /// One row per step; kept for the step and pressure first asked for.
    pub(crate) fn rows(&self, step_s: f64, pressure_pa: f64) -> Arc<[Row]> {
        let key = RowKey {
            step_s,
            pressure_pa,
        };
        let (kept_key, rows) = self.rows.get_or_init(|| (key, self.compile(key)));
        if *kept_key == key {
            Arc::clone(rows)
        } else {
            self.compile(key)
        }
    }

    fn compile(&self, key: RowKey) -> Arc<[Row]> {
        // A day is a whole number of steps; `Setup::check` has seen to it.
        let steps = (DAY_S / key.step_s).round() as usize;
        (0..steps).map(|i| self.row(i, key)).collect()
    }

    fn row(&self, index: usize, key: RowKey) -> Row {
        let hours = &self.hours;
        let begin_s = index as f64 * key.step_s;
        let middle_s = begin_s + 0.5 * key.step_s;
        let clock = hours.lights.clock(middle_s);
        let share_on = hours.share_of_lights_on_target(clock);
        let anticipating = hours.anticipating(clock);
        let on = &hours.targets.lights_on;
        let (off, off_judge) = match &hours.targets.transition {
            Some(target) if !clock.lit && clock.since_switch_s < hours.transition_s => {
                (target, JudgedBy::Transition)
            }
            _ => (&hours.targets.lights_off, JudgedBy::LightsOff),
        };
        let mut humidity_setpoint = glide(off.humidity_setpoint, on.humidity_setpoint, share_on);
        let mut force_units = false;
        match anticipating {
            Some(Anticipate::RunAll) => force_units = true,
            Some(Anticipate::DrierBy(span)) => {
                humidity_setpoint = drier(humidity_setpoint, span);
            }
            None => {}
        }
        let outdoor = at_hour(&hours.outdoor, middle_s);
        let adjacent = at_hour(&hours.adjacent, middle_s);
        let density =
            |(t_c, w): (f64, f64)| 1.0 / air::specific_volume_m3_per_kg(t_c, w, key.pressure_pa);
        Row {
            light: hours.lights.fraction(middle_s),
            cooling_setpoint_c: mix(off.cooling_setpoint_c, on.cooling_setpoint_c, share_on),
            heating_setpoint_c: mix(off.heating_setpoint_c, on.heating_setpoint_c, share_on),
            humidity_setpoint,
            outdoor_c: outdoor.0,
            outdoor_humidity_ratio: outdoor.1,
            outdoor_dry_air_kg_per_m3: density(outdoor),
            adjacent_c: adjacent.0,
            adjacent_humidity_ratio: adjacent.1,
            adjacent_dry_air_kg_per_m3: density(adjacent),
            spells: hours.spells(begin_s, key.step_s, |_| true),
            spells_without_power: hours
                .spells(begin_s, key.step_s, |spell| spell.supply == Supply::Own),
            drying_kg_per_s: hours
                .drying
                .map_or(0.0, |drying| hourly(&drying.water_kg_per_s, middle_s)),
            wet_floor_m2: hours
                .wet_floor
                .iter()
                .map(|wet| wet.area_m2 * share_of_step(wet.from_s, wet.to_s, begin_s, key.step_s))
                .sum(),
            period: if clock.since_switch_s < hours.transition_s {
                Period::Transition
            } else if clock.lit {
                Period::LightsOn
            } else {
                Period::LightsOff
            },
            judged_by: if clock.lit {
                JudgedBy::LightsOn
            } else {
                off_judge
            },
            force_units,
            irrigate: hours
                .irrigation_s
                .iter()
                .any(|&t_s| begin_s <= t_s && t_s < begin_s + key.step_s),
        }
    }
}

/// Where a moment stands between the switchings of the lamps.
#[derive(Clone, Copy, Debug)]
struct Clock {
    lit: bool,
    since_switch_s: f64,
    /// Time to the begin of going out; infinite in the dark.
    to_lights_off_s: f64,
}

impl LightHours {
    /// Light at a time of day, 0 dark to 1 full.
    pub fn fraction(&self, time_s: f64) -> f64 {
        if self.photoperiod_s <= 0.0 {
            return 0.0;
        }
        if self.photoperiod_s >= DAY_S {
            return 1.0;
        }
        let since_s = (time_s - self.on_s).rem_euclid(DAY_S);
        if since_s >= self.photoperiod_s {
            return 0.0;
        }
        if self.ramp_s <= 0.0 {
            return 1.0;
        }
        let up = since_s / self.ramp_s;
        let down = (self.photoperiod_s - since_s) / self.ramp_s;
        up.min(down).min(1.0)
    }

    fn clock(&self, time_s: f64) -> Clock {
        let never = f64::INFINITY;
        if self.photoperiod_s <= 0.0 {
            return Clock {
                lit: false,
                since_switch_s: never,
                to_lights_off_s: never,
            };
        }
        if self.photoperiod_s >= DAY_S {
            return Clock {
                lit: true,
                since_switch_s: never,
                to_lights_off_s: never,
            };
        }
        let since_on_s = (time_s - self.on_s).rem_euclid(DAY_S);
        // The lamps count as off from the begin of going out: what the air
        // does then belongs to lights-off.
        let lit_s = (self.photoperiod_s - self.ramp_s).max(0.0);
        if since_on_s < lit_s {
            Clock {
                lit: true,
                since_switch_s: since_on_s,
                to_lights_off_s: lit_s - since_on_s,
            }
        } else {
            Clock {
                lit: false,
                since_switch_s: since_on_s - lit_s,
                to_lights_off_s: never,
            }
        }
    }
}

impl Hours {
    fn share_of_lights_on_target(&self, clock: Clock) -> f64 {
        let done = if self.targets.ramp_s > 0.0 {
            (clock.since_switch_s / self.targets.ramp_s).min(1.0)
        } else {
            1.0
        };
        if clock.lit { done } else { 1.0 - done }
    }

    fn anticipating(&self, clock: Clock) -> Option<Anticipate> {
        self.anticipation
            .filter(|a| clock.to_lights_off_s <= a.lead_s)
            .map(|a| a.action)
    }

    fn spells(&self, begin_s: f64, step_s: f64, counts: impl Fn(&Spell) -> bool) -> SpellSum {
        let mut electric_w = 0.0;
        let mut sum = |spells: &[Spell]| {
            let mut all = HeatAndWater::default();
            for spell in spells.iter().filter(|spell| counts(spell)) {
                let share = share_of_step(spell.from_s, spell.to_s, begin_s, step_s);
                all.sensible_w += share * spell.sensible_w;
                all.water_kg_per_s += share * spell.water_kg_per_s;
                electric_w += share * spell.electric_w;
            }
            all
        };
        SpellSum {
            people: sum(&self.people),
            burner: sum(&self.burner),
            other: sum(&self.other),
            electric_w,
        }
    }
}

impl Spell {
    /// Heat and water of this spell all day long, from the mains.
    pub const fn always(sensible_w: f64, water_kg_per_s: f64) -> Self {
        Self {
            from_s: 0.0,
            to_s: DAY_S,
            sensible_w,
            water_kg_per_s,
            electric_w: 0.0,
            supply: Supply::Mains,
        }
    }
}

/// Share of a step that a spell covers.
fn share_of_step(from_s: f64, to_s: f64, begin_s: f64, step_s: f64) -> f64 {
    let overlap =
        |from_s: f64, to_s: f64| ((begin_s + step_s).min(to_s) - begin_s.max(from_s)).max(0.0);
    let covered_s = if from_s < to_s {
        overlap(from_s, to_s)
    } else {
        overlap(from_s, DAY_S) + overlap(0.0, to_s)
    };
    covered_s / step_s
}

fn mix(from: f64, to: f64, share: f64) -> f64 {
    from + share * (to - from)
}

fn glide(from: Humidity, to: Humidity, share: f64) -> Humidity {
    use Humidity::{DewPointC, Relative, VpdPa};
    match (from, to) {
        (Relative(a), Relative(b)) => Relative(mix(a, b, share)),
        (VpdPa(a), VpdPa(b)) => VpdPa(mix(a, b, share)),
        (DewPointC(a), DewPointC(b)) => DewPointC(mix(a, b, share)),
        _ if share < 0.5 => from,
        _ => to,
    }
}

fn drier(setpoint: Humidity, by: crate::setup::HumiditySpan) -> Humidity {
    match setpoint {
        Humidity::Relative(rh) => Humidity::Relative((rh - by.rel_humidity).max(0.0)),
        Humidity::VpdPa(vpd_pa) => Humidity::VpdPa(vpd_pa + by.vpd_pa),
        Humidity::DewPointC(t_c) => Humidity::DewPointC(t_c - by.dew_point_k),
    }
}

fn at_hour(day: &DayAir, time_s: f64) -> (f64, f64) {
    (
        hourly(&day.dry_bulb_c, time_s),
        hourly(&day.humidity_ratio, time_s),
    )
}

fn hourly(table: &[f64; 24], time_s: f64) -> f64 {
    let hour = (time_s / 3600.0).rem_euclid(24.0);
    let before = (hour as usize).min(23);
    mix(
        table[before],
        table[(before + 1) % 24],
        hour - before as f64,
    )
}

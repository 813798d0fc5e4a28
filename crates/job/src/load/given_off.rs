//! What each source gives off in one drawn day, with the room at its targets.

use std::ops::Range;

use air::MoistAir;
use crop::Lag;
use crop::canopy::{Canopy, canopy_flux};
use crop::medium::{
    DryingPulse, MediumSurface, light_on_medium_w_per_m2, medium_water_kg_per_m2_s,
};
use crop::people::person;
use crop::stomata;
use crop::water_surface::{AirOverWater, open_water_kg_per_m2_s};
use quantity::Band;
use room::{GainWater, Hours, Irrigation, Period, Room, WashDown};

use crate::airs::{self, Edge, Season, Surroundings};
use crate::error::JobError;
use crate::machines;
use crate::uncertain::{Draw, Uncertain};

use super::wetted::{Dried, Films};

/// Where water or heat comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum LoadSource {
    /// Leaves.
    Canopy = 0,
    /// Growing medium open to the air.
    Medium,
    /// Tanks and wet floor.
    OpenWater,
    /// Hosing down.
    WashDown,
    /// Crop hung to dry.
    HungCrop,
    /// People.
    People,
    /// Carbon dioxide burner.
    Burner,
    /// Air exchange.
    AirExchange,
    /// Other gains.
    Other,
    /// Lights, less what leaves take up.
    Lights,
    /// Circulation fans.
    Fans,
    /// Walls, roof and floor.
    Envelope,
}

/// All sources, in the order of their numbers.
pub const SOURCES: [LoadSource; 12] = [
    LoadSource::Canopy,
    LoadSource::Medium,
    LoadSource::OpenWater,
    LoadSource::WashDown,
    LoadSource::HungCrop,
    LoadSource::People,
    LoadSource::Burner,
    LoadSource::AirExchange,
    LoadSource::Other,
    LoadSource::Lights,
    LoadSource::Fans,
    LoadSource::Envelope,
];

impl LoadSource {
    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Canopy => "canopy",
            Self::Medium => "growing medium",
            Self::OpenWater => "tanks and wet floor",
            Self::WashDown => "wash-down",
            Self::HungCrop => "crop hung to dry",
            Self::People => "people",
            Self::Burner => "burner",
            Self::AirExchange => "air exchange",
            Self::Other => "other gains",
            Self::Lights => "lights",
            Self::Fans => "fans",
            Self::Envelope => "walls, roof, floor",
        }
    }
}

/// Time between the points at which the day is reckoned \[s\].
pub(crate) const STEP_S: f64 = 900.0;
const STEPS: usize = 96;
const STEPS_PER_HOUR: usize = 4;

/// Water and heat by source, each the mean of a part of the day.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Flows {
    water_kg_per_s: [f64; SOURCES.len()],
    sensible_w: [f64; SOURCES.len()],
}

impl Flows {
    pub(crate) fn water(&self, source: LoadSource) -> f64 {
        self.water_kg_per_s[source as usize]
    }

    pub(crate) fn sensible(&self, source: LoadSource) -> f64 {
        self.sensible_w[source as usize]
    }

    pub(crate) fn total_water(&self) -> f64 {
        self.water_kg_per_s.iter().sum()
    }

    pub(crate) fn total_sensible(&self) -> f64 {
        self.sensible_w.iter().sum()
    }

    fn add(&mut self, source: LoadSource, water_kg_per_s: f64, sensible_w: f64) {
        self.water_kg_per_s[source as usize] += water_kg_per_s;
        self.sensible_w[source as usize] += sensible_w;
    }

    fn mean<'a>(parts: impl Iterator<Item = &'a Self>) -> Self {
        let mut sum = Self::default();
        let mut count = 0.0;
        for part in parts {
            count += 1.0;
            for i in 0..SOURCES.len() {
                sum.water_kg_per_s[i] += part.water_kg_per_s[i];
                sum.sensible_w[i] += part.sensible_w[i];
            }
        }
        if 0.0 < count {
            sum.water_kg_per_s.iter_mut().for_each(|x| *x /= count);
            sum.sensible_w.iter_mut().for_each(|x| *x /= count);
        }
        sum
    }
}

/// One drawn day, step by step.
#[derive(Clone, Debug)]
pub(crate) struct DayGivenOff {
    steps: Vec<Flows>,
    periods: Vec<Period>,
}

impl DayGivenOff {
    /// Mean over clock hours.
    pub(crate) fn hours(&self, hours: Range<usize>) -> Flows {
        let steps = hours.start * STEPS_PER_HOUR..hours.end * STEPS_PER_HOUR;
        Flows::mean(self.steps[steps].iter())
    }

    /// Mean over a period; nothing where it has no length.
    pub(crate) fn period(&self, period: Period) -> Flows {
        let inside = self.steps.iter().zip(&self.periods);
        Flows::mean(inside.filter(|(_, p)| **p == period).map(|(f, _)| f))
    }

    /// Water of all sources in the day \[kg\].
    pub(crate) fn water_kg_per_day(&self) -> f64 {
        self.hours(0..24).total_water() * 86_400.0
    }

    /// Water that comes out of what was fed: canopy and medium \[kg/day\].
    pub(crate) fn crop_water_kg_per_day(&self) -> f64 {
        let day = self.hours(0..24);
        (day.water(LoadSource::Canopy) + day.water(LoadSource::Medium)) * 86_400.0
    }

    /// Mean canopy rate with lights off over that with lights on; `None` where
    /// one of the two does not exist.
    pub(crate) fn night_share(&self) -> Option<f64> {
        let of = |p: Period| self.period(p).water(LoadSource::Canopy);
        let (on, off) = (of(Period::LightsOn), of(Period::LightsOff));
        (0.0 < on && self.periods.contains(&Period::LightsOff)).then(|| off / on)
    }

    /// Whether a source gives or takes anything.
    pub(crate) fn gives(&self, source: LoadSource) -> bool {
        self.steps
            .iter()
            .any(|f| f.water(source) != 0.0 || f.sensible(source) != 0.0)
    }
}

/// A room made ready to be asked for drawn days.
#[derive(Debug)]
pub(crate) struct GivenOff<'a> {
    room: &'a Room,
    around: Surroundings,
    steps: Vec<Moment>,
    /// Water from films left by hosing, step by step: the air is the target's
    /// in every draw.
    film_kg_per_s: [f64; STEPS],
}

/// What does not depend on the draw at one step of the day.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Moment {
    /// After midnight \[s\].
    pub(crate) time_s: f64,
    pub(crate) period: Period,
    /// Share of full light.
    pub(crate) light: f64,
    /// Air of the room.
    pub(crate) air: MoistAir,
    pub(crate) outdoor: MoistAir,
}

impl<'a> GivenOff<'a> {
    pub(crate) fn new(room: &'a Room, season: Season) -> Result<Self, JobError> {
        let around = airs::surroundings(room, season)?;
        let p_pa = airs::pressure_pa(&room.site);
        let steps = (0..STEPS)
            .map(|i| {
                let time_s = (i as f64 + 0.5) * STEP_S;
                let target = room.target_at(time_s);
                let hour = (time_s / 3600.0) as usize;
                Ok(Moment {
                    time_s,
                    period: room.period_at(time_s),
                    light: room.light_share_at(time_s),
                    air: airs::target_air(
                        target.dry_bulb_c.likely,
                        target.humidity,
                        Edge::Middle,
                        p_pa,
                    )?,
                    outdoor: MoistAir::new(
                        around.outdoor.dry_bulb_c[hour],
                        around.outdoor.humidity_ratio[hour],
                        p_pa,
                    )
                    .map_err(|e| JobError::Air {
                        place: "outdoor air".into(),
                        reason: e.to_string(),
                    })?,
                })
            })
            .collect::<Result<Vec<_>, JobError>>()?;
        Ok(Self {
            film_kg_per_s: films(&room.washdowns, &steps),
            room,
            around,
            steps,
        })
    }

    /// The same day with another room's leaves, gains and exchange.
    pub(crate) fn with_room<'b>(&self, room: &'b Room) -> GivenOff<'b> {
        GivenOff {
            room,
            around: self.around.clone(),
            steps: self.steps.clone(),
            film_kg_per_s: self.film_kg_per_s,
        }
    }

    /// Length of a period in the day, as reckoned here \[s\].
    pub(crate) fn length_s(&self, period: Period) -> f64 {
        let steps = self.steps.iter().filter(|m| m.period == period);
        steps.count() as f64 * STEP_S
    }

    /// One drawn day.
    pub(crate) fn day(&self, draw: &Draw) -> DayGivenOff {
        let mut leaf_s_per_m = self.stomata_before_midnight(draw);
        let steps = self
            .steps
            .iter()
            .enumerate()
            .map(|(step, m)| {
                leaf_s_per_m = self.next_stomata(draw, m, leaf_s_per_m);
                // What the floor gives for it comes from the air in the end.
                let water_kg_per_s = self.film_kg_per_s[step];
                let films = Dried {
                    water_kg_per_s,
                    from_air_w: evaporation_w(water_kg_per_s, &m.air),
                    from_floor_w: 0.0,
                };
                self.at(draw, m, leaf_s_per_m, &films)
            })
            .collect();
        DayGivenOff {
            steps,
            periods: self.steps.iter().map(|m| m.period).collect(),
        }
    }

    /// What all sources give off at one moment, in any air.
    ///
    /// - `leaf_s_per_m`: stomatal resistance now
    /// - `films`: what films left by hosing give and take
    pub(crate) fn at(&self, draw: &Draw, m: &Moment, leaf_s_per_m: f64, films: &Dried) -> Flows {
        let mut flows = Flows::default();
        self.canopy_and_lights(draw, m, leaf_s_per_m, &mut flows);
        self.medium(draw, m, &mut flows);
        self.open_water(m, &mut flows);
        flows.add(
            LoadSource::WashDown,
            films.water_kg_per_s,
            -films.from_air_w,
        );
        self.hung_crop(m, &mut flows);
        self.people(m, &mut flows);
        self.burners(m, &mut flows);
        self.other(m, &mut flows);
        self.fans(m, &mut flows);
        self.air_exchange(draw, m, &mut flows);
        self.envelope(m, &mut flows);
        flows
    }

    /// Air of the room at its targets, in the middle of a period: what the
    /// workings show. `None` where the period has no length.
    pub(crate) fn moment_of(&self, period: Period) -> Option<(MoistAir, f64)> {
        let inside: Vec<&Moment> = self.steps.iter().filter(|m| m.period == period).collect();
        let middle = inside.get(inside.len() / 2)?;
        Some((middle.air, middle.light))
    }

    /// Outdoor air at the middle of a period.
    pub(crate) fn outdoor_of(&self, period: Period) -> Option<MoistAir> {
        let inside: Vec<&Moment> = self.steps.iter().filter(|m| m.period == period).collect();
        Some(inside.get(inside.len() / 2)?.outdoor)
    }

    /// Share of a period that lies inside these hours.
    pub(crate) fn share_inside(&self, hours: Hours, period: Period) -> f64 {
        self.mean_over(period, |m| f64::from(u8::from(inside(hours, m))))
    }

    /// Mean over a period of [`medium_wet_share`].
    pub(crate) fn wet_share(&self, irrigation: &Irrigation, period: Period) -> f64 {
        self.mean_over(period, |m| medium_wet_share(irrigation, m))
    }

    /// Water that the film of a wash-down gives off in a period \[kg\].
    pub(crate) fn film_kg(&self, wash: &WashDown, period: Period) -> f64 {
        let rates = films(std::slice::from_ref(wash), &self.steps);
        let inside = self.steps.iter().zip(rates);
        let inside = inside.filter(|(m, _)| m.period == period);
        inside.map(|(_, kg_per_s)| kg_per_s * STEP_S).sum()
    }

    /// Stretches of a period without a break, from midnight to midnight \[s\].
    pub(crate) fn stretches(&self, period: Period) -> Vec<(f64, f64)> {
        let mut found: Vec<(f64, f64)> = Vec::new();
        for m in self.steps.iter().filter(|m| m.period == period) {
            let (from_s, to_s) = (m.time_s - STEP_S / 2.0, m.time_s + STEP_S / 2.0);
            match found.last_mut() {
                Some(last) if from_s - last.1 < STEP_S / 2.0 => last.1 = to_s,
                _ => found.push((from_s, to_s)),
            }
        }
        found
    }

    fn mean_over(&self, period: Period, pick: impl Fn(&Moment) -> f64) -> f64 {
        let inside: Vec<f64> = self
            .steps
            .iter()
            .filter(|m| m.period == period)
            .map(pick)
            .collect();
        inside.iter().sum::<f64>() / inside.len().max(1) as f64
    }

    /// Outdoor air of the design day at a time of day.
    pub(crate) fn outdoor_at(&self, second_of_day: f64) -> MoistAir {
        let step = (second_of_day / STEP_S) as usize % STEPS;
        self.steps[step].outdoor
    }

    /// Air of the space around.
    pub(crate) const fn adjacent(&self) -> MoistAir {
        self.around.adjacent
    }

    /// Water of the canopy with lights on by the second opinion \[kg/s\].
    pub(crate) fn second_opinion_kg_per_s(&self) -> Option<f64> {
        use crop::stanghellini as s;
        let (crop, light) = (self.room.crop.as_ref()?, self.room.light.as_ref()?);
        let (air, share) = self.moment_of(Period::LightsOn)?;
        let lai = crop.lai.value.likely;
        if lai <= 0.0 {
            return None;
        }
        let canopy = s::TomatoCanopy {
            lai,
            canopy_c: air.dry_bulb_c(),
            absorbed_w_per_m2: crop::canopy::net_radiation_w_per_m2(
                &canopy_of(self.room, &Draw::LIKELY)?,
                light.ppfd_umol_per_m2_s.value * share,
            ),
            leaf_vpd_pa: air.vpd_pa(),
            co2_ppm: crop.co2_ppm.value,
        };
        let resistance =
            s::resistance_factors(&canopy, s::TemperatureFactor::Used).resistance_s_per_m();
        let given_off = s::water_kg_per_m2_s(
            &canopy,
            &s::TomatoAir {
                heat_capacity_j_per_m3_k: (1006.0 + 1860.0 * air.humidity_ratio())
                    / air.specific_volume_m3_per_kg(),
                latent_heat_j_per_kg: air::latent_heat_j_per_kg(air.dry_bulb_c()),
            },
            resistance,
        );
        Some(given_off * crop.canopy_m2.value)
    }

    /// Stomata follow light with a lag; a day that repeats starts where the
    /// day before it ended.
    fn stomata_before_midnight(&self, draw: &Draw) -> f64 {
        let mut now = stomatal_target(self.room, draw, 0.0);
        for m in &self.steps {
            now = self.next_stomata(draw, m, now);
        }
        now
    }

    fn next_stomata(&self, draw: &Draw, m: &Moment, now_s_per_m: f64) -> f64 {
        let lag_s = self
            .room
            .crop
            .as_ref()
            .map_or(0.0, |c| c.stomatal_lag_s.value);
        stomata::lagged_resistance_s_per_m(
            now_s_per_m,
            stomatal_target(self.room, draw, m.light),
            Lag {
                passed_s: STEP_S,
                time_constant_s: lag_s,
            },
        )
    }

    fn canopy_and_lights(&self, draw: &Draw, m: &Moment, leaf_s_per_m: f64, flows: &mut Flows) {
        let lights_w = self
            .room
            .light
            .as_ref()
            .map_or(0.0, |l| l.power_w.value * l.heat_in_room.value * m.light);
        let Some((crop, canopy)) = self.room.crop.as_ref().zip(canopy_of(self.room, draw)) else {
            flows.add(LoadSource::Lights, 0.0, lights_w);
            return;
        };
        let flux = canopy_flux(&canopy, &m.air, ppfd(self.room) * m.light, leaf_s_per_m);
        let area_m2 = crop.canopy_m2.value;
        // What leaves take up of the light is not heat of the lights any more;
        // never more than the lights give.
        let taken_w = (flux.net_radiation_w_per_m2 * area_m2).min(lights_w);
        flows.add(LoadSource::Lights, 0.0, lights_w - taken_w);
        flows.add(
            LoadSource::Canopy,
            flux.water_kg_per_m2_s * area_m2,
            flux.sensible_w_per_m2 * area_m2,
        );
    }

    fn medium(&self, draw: &Draw, m: &Moment, flows: &mut Flows) {
        let Some(irrigation) = &self.room.irrigation else {
            return;
        };
        let surface = MediumSurface {
            absorbed_light_w_per_m2: light_on_medium(self.room, draw) * m.light,
            aero_resistance_s_per_m: leaf_air(self.room, draw),
            skin_resistance_s_per_m: 0.0,
        };
        let water = medium_water_kg_per_m2_s(&surface, &m.air)
            * irrigation.medium_m2.value
            * medium_wet_share(irrigation, m);
        flows.add(LoadSource::Medium, water, -evaporation_w(water, &m.air));
    }

    fn open_water(&self, m: &Moment, flows: &mut Flows) {
        let p = &m.air;
        let mut water = 0.0;
        for tank in &self.room.tanks {
            let water_c = tank
                .temperature_c
                .as_ref()
                .map_or(p.dry_bulb_c(), |t| t.value);
            let over = tank
                .air_speed_m_per_s
                .as_ref()
                .map_or(AirOverWater::Still, |v| AirOverWater::Moving {
                    air_speed_m_per_s: v.value,
                });
            water += open_water_kg_per_m2_s(water_c, p, over)
                * tank.area_m2.value
                * (1.0 - tank.covered.value);
        }
        for floor in &self.room.wet_floors {
            if floor.hours.contain(m.time_s as u32) {
                let water_c = floor
                    .temperature_c
                    .as_ref()
                    .map_or(p.wet_bulb_c(), |t| t.value);
                water +=
                    open_water_kg_per_m2_s(water_c, p, AirOverWater::Still) * floor.area_m2.value;
            }
        }
        flows.add(LoadSource::OpenWater, water, -evaporation_w(water, p));
    }

    fn hung_crop(&self, m: &Moment, flows: &mut Flows) {
        for hung in &self.room.hung_crops {
            let crop = machines::hung_crop(hung);
            let from_s = hung.hung_for_s.value + m.time_s - STEP_S / 2.0;
            let water = crop.water_given_off_kg(from_s, from_s + STEP_S) / STEP_S;
            flows.add(LoadSource::HungCrop, water, -evaporation_w(water, &m.air));
        }
    }

    fn people(&self, m: &Moment, flows: &mut Flows) {
        for people in &self.room.people {
            if inside(people.hours, m) {
                let one = person(machines::activity(people), m.air.dry_bulb_c());
                let count = f64::from(people.count.value);
                flows.add(
                    LoadSource::People,
                    count * one.water_kg_per_s,
                    count * one.sensible_w,
                );
            }
        }
    }

    fn burners(&self, m: &Moment, flows: &mut Flows) {
        for burner in &self.room.burners {
            if inside(burner.hours, m) {
                let gain = machines::burner_gain(burner);
                flows.add(LoadSource::Burner, gain.water_kg_per_s, gain.sensible_w);
            }
        }
    }

    fn other(&self, m: &Moment, flows: &mut Flows) {
        for gain in &self.room.gains {
            if inside(gain.hours, m) {
                let water = match gain.water.as_ref().map(|w| w.value) {
                    Some(GainWater::VapourKgPerS(rate)) => rate,
                    Some(GainWater::LatentW(latent_w)) => {
                        latent_w / air::vapour_enthalpy_j_per_kg(m.air.dry_bulb_c())
                    }
                    None => 0.0,
                };
                flows.add(LoadSource::Other, water, gain.sensible_w.value);
            }
        }
    }

    fn fans(&self, m: &Moment, flows: &mut Flows) {
        for fan in &self.room.air_movers {
            if fan.runs.value.runs_in(m.period) {
                let power_w = fan.power_w.value * f64::from(fan.count.value);
                flows.add(LoadSource::Fans, 0.0, power_w);
            }
        }
    }

    fn air_exchange(&self, draw: &Draw, m: &Moment, flows: &mut Flows) {
        let from = match self.room.envelope.air_from.value {
            room::Side::Outdoor => &m.outdoor,
            _ => &self.around.adjacent,
        };
        let leak = machines::leak_m3_per_s(self.room, draw);
        for (outside, flow_m3_per_s) in [
            (from, leak),
            (&m.outdoor, self.room.envelope.fresh_air_m3_per_s.value),
        ] {
            let gain = crop::air_exchange::air_exchange(outside, &m.air, flow_m3_per_s);
            flows.add(
                LoadSource::AirExchange,
                gain.water_kg_per_s,
                gain.sensible_w,
            );
        }
    }

    fn envelope(&self, m: &Moment, flows: &mut Flows) {
        let envelope = &self.room.envelope;
        let inside_c = m.air.dry_bulb_c();
        let heat_w: f64 = [
            (room::Side::Outdoor, m.outdoor.dry_bulb_c()),
            (room::Side::Adjacent, self.around.adjacent.dry_bulb_c()),
            (room::Side::Ground, self.room.site.ground_c.value),
        ]
        .into_iter()
        .map(|(side, outside_c)| envelope.conductance_w_per_k(side) * (outside_c - inside_c))
        .sum();
        flows.add(LoadSource::Envelope, 0.0, heat_w);
    }
}

/// Water that films of wash-downs give off at each step of a day like those
/// before \[kg/s\].
fn films(washdowns: &[WashDown], steps: &[Moment]) -> [f64; STEPS] {
    let mut films = Films::dry(washdowns);
    let mut day = || {
        std::array::from_fn(|i| {
            let now = &steps[i];
            let floor_c = now.air.dry_bulb_c();
            films
                .dry_on(now.time_s, STEP_S, &now.air, floor_c)
                .water_kg_per_s
        })
    };
    let _the_day_before: [f64; STEPS] = day();
    day()
}

/// Rate of the open medium as a share of its rate when wet; 0 if it is never
/// watered.
fn medium_wet_share(irrigation: &Irrigation, m: &Moment) -> f64 {
    let since_s = irrigation
        .times_s
        .iter()
        .map(|t| (m.time_s - f64::from(t.value)).rem_euclid(86_400.0))
        .fold(f64::INFINITY, f64::min);
    if since_s.is_infinite() {
        return 0.0;
    }
    let pulse = DryingPulse {
        wet_s: irrigation.wet_time_s.value,
        half_time_s: irrigation.half_time_s.value,
    };
    pulse.share_of_wet_rate(since_s)
}

fn inside(hours: Hours, m: &Moment) -> bool {
    hours.contain(m.time_s as u32)
}

/// Heat that evaporation takes from the air \[W\].
fn evaporation_w(water_kg_per_s: f64, air: &MoistAir) -> f64 {
    water_kg_per_s * air::latent_heat_j_per_kg(air.dry_bulb_c())
}

/// Photon flux at the canopy, all lamps on \[µmol/(m² s)\].
pub(crate) fn ppfd(room: &Room) -> f64 {
    room.light
        .as_ref()
        .map_or(0.0, |l| l.ppfd_umol_per_m2_s.value)
}

/// Resistance of the air layer at the leaf in this draw \[s/m\].
pub(crate) fn leaf_air(room: &Room, draw: &Draw) -> f64 {
    room.crop
        .as_ref()
        .map_or(crop::canopy::AERO_RESISTANCE_FANS_ON_S_PER_M, |c| {
            draw.value(Uncertain::LeafAir, c.leaf_air_s_per_m.value)
        })
}

/// The canopy in this draw; `None` where nothing grows.
pub(crate) fn canopy_of(room: &Room, draw: &Draw) -> Option<Canopy> {
    let crop = room.crop.as_ref()?;
    let lai = draw.value(Uncertain::LeafArea, crop.lai.value);
    (0.0 < lai && 0.0 < crop.canopy_m2.value).then(|| Canopy {
        lai,
        coverage: draw
            .value(Uncertain::Coverage, crop.coverage.value)
            .clamp(0.0, 1.0),
        leaf_aero_resistance_s_per_m: leaf_air(room, draw),
        reflectance: crop.reflected.value,
        photon_energy_j_per_umol: room
            .light
            .as_ref()
            .map_or(Canopy::CLOSED.photon_energy_j_per_umol, |l| {
                l.light_energy_j_per_umol.value
            }),
    })
}

/// Light that reaches the medium under the canopy, all lamps on \[W/m²\].
pub(crate) fn light_on_medium(room: &Room, draw: &Draw) -> f64 {
    let light_w_per_m2 = room
        .light
        .as_ref()
        .map_or(0.0, |l| ppfd(room) * l.light_energy_j_per_umol.value);
    let lai = room
        .crop
        .as_ref()
        .map_or(0.0, |c| draw.value(Uncertain::LeafArea, c.lai.value));
    light_on_medium_w_per_m2(light_w_per_m2, lai)
}

/// Stomatal resistance that leaves tend to at a share of full light \[s/m\].
///
/// By day the published light response times the draw's factor; in the dark the draw's night resistance. Dim light never
/// closes leaves further than the dark does.
pub(crate) fn stomatal_target(room: &Room, draw: &Draw, light: f64) -> f64 {
    let Some(crop) = &room.crop else {
        return stomata::lit_resistance_s_per_m(0.0);
    };
    let night = draw.value(
        Uncertain::NightResistance,
        crop.night_resistance_s_per_m.value,
    );
    if light <= 0.0 {
        return night;
    }
    let day = stomata::lit_resistance_s_per_m(ppfd(room) * light) * day_factor(crop, draw);
    day.min(night)
}

/// Factor on the published light response in this draw.
///
/// Carbon dioxide closes leaves somewhat; how much is not agreed on (the
/// published factor for tomato worsens the agreement with sealed wheat rooms),
/// so that it widens the dry side of the spread and does not move its middle.
pub(crate) fn day_factor(crop: &room::Crop, draw: &Draw) -> f64 {
    let band = crop.day_resistance_factor.value;
    let closed = stomata::co2_factor(crop.co2_ppm.value);
    draw.value(
        Uncertain::DayResistance,
        Band {
            high: band.high.max(band.likely * closed),
            ..band
        },
    )
}

//! Cooling machines and heating: what they do this step.

use crate::air_now::MachineAir;
use crate::bank::Supply;
use crate::coil::Coil;
use crate::latent_share::LatentShares;
use crate::linear::{Capacity, Change, Flow, Propagator};
use crate::outcome::CoolingSummary;
use crate::parts::Pair;
use crate::performance::{CoolingNow, PointData};
use crate::setup::{Cooling, CoolingControl, Fan, Heating, HeatingControl};
use crate::starts::Starts;

/// One cooling machine.
#[derive(Debug)]
pub(crate) struct Cooler<'a> {
    machine: &'a Cooling,
    step_s: f64,
    on: bool,
    in_state_s: f64,
    blocked_s: f64,
    pub(crate) failed: bool,
    coil: Option<Coil>,
    /// Net latent share over run fraction, for continuous control with a fan
    /// that never stops.
    latent_shares: Option<LatentShares>,
    now: CoolingNow,
    /// Output over full output this step, and at what the slopes count.
    pub(crate) share: f64,
    share_of_slopes: f64,
    /// Share of the compressor's time.
    pub(crate) run_fraction: f64,
    pub(crate) heat: Flow,
    pub(crate) water: Flow,
    /// Water taken, re-evaporation not deducted.
    removal: Flow,
    pub(crate) compressor_w: f64,
    pub(crate) fan_w: f64,
    reevaporated_kg_per_s: f64,
    vapour_enthalpy_j_per_kg: f64,
    evaporation_heat_j_per_kg: f64,
    /// Since counting began; the powers are summed apart, step by step.
    sum: CoolingSummary,
    compressor_sum_w: f64,
    fan_sum_w: f64,
    starts: Starts,
}

impl<'a> Cooler<'a> {
    pub(crate) fn new(machine: &'a Cooling, step_s: f64) -> Self {
        let continuous = !matches!(machine.control, CoolingControl::Thermostat { .. });
        let latent_shares = match (&machine.coil, machine.fan) {
            (Some(coil), Fan::Continuous) if continuous => LatentShares::of(coil),
            _ => None,
        };
        let coil = if continuous {
            None
        } else {
            machine.coil.as_ref()
        };
        Self {
            machine,
            step_s,
            on: false,
            in_state_s: f64::INFINITY,
            blocked_s: 0.0,
            failed: false,
            coil: coil.map(|coil| Coil::new(coil, step_s)),
            latent_shares,
            now: CoolingNow::default(),
            share: 0.0,
            share_of_slopes: 0.0,
            run_fraction: 0.0,
            heat: Flow::ZERO,
            water: Flow::ZERO,
            removal: Flow::ZERO,
            compressor_w: 0.0,
            fan_w: 0.0,
            reevaporated_kg_per_s: 0.0,
            vapour_enthalpy_j_per_kg: 0.0,
            evaporation_heat_j_per_kg: 0.0,
            sum: CoolingSummary::default(),
            compressor_sum_w: 0.0,
            fan_sum_w: 0.0,
            starts: Starts::default(),
        }
    }

    /// Water on the coil \[kg\].
    pub(crate) fn coil_water_kg(&self) -> f64 {
        self.coil.as_ref().map_or(0.0, Coil::water_kg)
    }

    pub(crate) const fn power_is_back(&mut self) {
        self.blocked_s = self.machine.restart_delay_s;
    }

    pub(crate) const fn switch_off(&mut self) {
        if self.on {
            self.on = false;
            self.in_state_s = 0.0;
        }
    }

    const fn is_ideal(&self) -> bool {
        matches!(self.machine.control, CoolingControl::Ideal)
    }

    /// Whether it may run at all this step; counts its waiting time down.
    #[inline]
    fn ready(&mut self, supply: Supply) -> bool {
        if supply == Supply::Cut || self.failed {
            return false;
        }
        if self.blocked_s > 0.0 {
            self.blocked_s -= self.step_s;
            return false;
        }
        true
    }

    /// Decides by the air at the start of the step, where the control does.
    #[inline]
    pub(crate) fn decide(
        &mut self,
        air: &MachineAir,
        setpoint_c: f64,
        supply: Supply,
        time_s: f64,
    ) {
        let ready = self.ready(supply);
        self.vapour_enthalpy_j_per_kg = air.vapour_enthalpy_j_per_kg;
        self.evaporation_heat_j_per_kg = air.evaporation_heat_j_per_kg;
        self.share_of_slopes = self.share;
        match self.machine.control {
            CoolingControl::Ideal => {
                if !ready {
                    self.share = 0.0;
                    self.share_of_slopes = 0.0;
                }
                self.on = ready;
            }
            CoolingControl::Thermostat {
                deadband_k,
                offset_k,
                min_on_s,
                min_off_s,
            } => {
                self.in_state_s += self.step_s;
                let excess_k = air.dry_bulb_c - setpoint_c - offset_k;
                if !ready {
                    self.switch_off();
                } else if self.on {
                    if excess_k < -0.5 * deadband_k && self.in_state_s >= min_on_s {
                        self.switch_off();
                    }
                } else if excess_k > 0.5 * deadband_k && self.in_state_s >= min_off_s {
                    self.on = true;
                    self.starts.count(time_s);
                    self.in_state_s = 0.0;
                }
                self.share = if self.on { 1.0 } else { 0.0 };
                self.share_of_slopes = self.share;
            }
            CoolingControl::Modulating { band_k, min_share } => {
                let wanted = (air.dry_bulb_c - setpoint_c) / band_k;
                self.share = if ready && wanted > 0.0 {
                    wanted.clamp(min_share, 1.0)
                } else {
                    0.0
                };
                self.share_of_slopes = self.share;
                self.on = self.share > 0.0;
            }
        }
        if self.on {
            self.now = self
                .machine
                .table
                .now(air.dry_bulb_c, air.humidity_ratio, air.outdoor_c);
        }
        if !self.is_ideal() {
            self.set_flows(air, setpoint_c, supply);
        }
    }

    /// Run fraction at this share of the full output.
    #[inline]
    fn run_fraction_at(&self, share: f64) -> f64 {
        match self.machine.control {
            CoolingControl::Thermostat { .. } => share,
            _ if share <= 0.0 => 0.0,
            _ => (share / (1.0 - self.machine.part_load_degradation * (1.0 - share))).min(1.0),
        }
    }

    /// Net share of the steady latent output at a run fraction.
    #[inline]
    fn latent_share_at(&self, run_fraction: f64) -> f64 {
        self.latent_shares
            .as_ref()
            .map_or(1.0, |shares| shares.at(run_fraction))
    }

    /// Full output into the air: heat and water per unit of share, at the
    /// start, with slopes. The indoor fan counts where it stops with the
    /// compressor.
    #[inline]
    fn full(&self, latent_share: f64, air: &MachineAir) -> (Flow, Flow) {
        let n = &self.now;
        let fan_w = match self.machine.fan {
            Fan::Auto => self.machine.indoor_fan_w,
            Fan::Continuous => 0.0,
        };
        // What the coil does not condense it takes as sensible heat.
        let unspent = 1.0 - latent_share;
        let heat = Flow {
            start: fan_w - n.gross_sensible_w - unspent * n.latent_w,
            per_k: -n.sensible_w_per_k,
            per_w: -n.sensible_w_per_humidity_ratio - unspent * n.latent_w_per_humidity_ratio,
        };
        let per_latent = latent_share / air.vapour_enthalpy_j_per_kg;
        let water = Flow {
            start: -n.latent_w * per_latent,
            per_k: 0.0,
            per_w: -n.latent_w_per_humidity_ratio * per_latent,
        };
        (heat, water)
    }

    /// Sets flows and powers of a machine whose share is known.
    #[inline]
    fn set_flows(&mut self, air: &MachineAir, setpoint_c: f64, supply: Supply) {
        self.run_fraction = self.run_fraction_at(self.share);
        let fan_on = supply == Supply::On && !self.failed;
        let always_fan_w = match self.machine.fan {
            Fan::Continuous if fan_on => self.machine.indoor_fan_w,
            _ => 0.0,
        };
        self.compressor_w = self.run_fraction * self.now.power_w;
        self.fan_w = match self.machine.fan {
            Fan::Auto => self.run_fraction * self.machine.indoor_fan_w,
            Fan::Continuous => always_fan_w,
        };
        self.reevaporated_kg_per_s = 0.0;
        if !self.on {
            self.heat = Flow::constant(always_fan_w);
            self.water = Flow::ZERO;
            self.removal = Flow::ZERO;
            if let Some(coil) = &mut self.coil {
                if always_fan_w > 0.0 {
                    self.reevaporated_kg_per_s =
                        coil.drying(air.wet_bulb_depression_k()) / self.step_s;
                    self.heat.start -= self.reevaporated_kg_per_s * air.evaporation_heat_j_per_kg;
                    self.water = Flow::constant(self.reevaporated_kg_per_s);
                } else {
                    coil.resting();
                }
            }
            return;
        }
        let latent_share = match &mut self.coil {
            Some(coil) => coil.running(),
            None => self.latent_share_at(self.run_fraction),
        };
        let (heat, water) = self.full(latent_share, air);
        self.heat = scaled(heat, self.share, self.share_of_slopes);
        if let CoolingControl::Modulating { band_k, .. } = self.machine.control
            && air.dry_bulb_c > setpoint_c
            && air.dry_bulb_c < setpoint_c + band_k
        {
            // The output follows the air within the step.
            self.heat.per_k += heat.start / band_k;
        }
        self.heat.start += always_fan_w;
        self.water = scaled(water, self.share, self.share_of_slopes);
        self.removal = self.water.times(-1.0);
    }

    /// Puts the water taken this step on the coil, drains the rest and adds it
    /// all up.
    #[inline]
    pub(crate) fn settle(&mut self, mean: Change) {
        let step_s = self.step_s;
        let sum = &mut self.sum;
        self.compressor_sum_w += self.compressor_w;
        self.fan_sum_w += self.fan_w;
        if self.on {
            let removed_kg = self.removal.mean(mean) * step_s;
            sum.removed_kg += removed_kg;
            sum.drained_kg += match &mut self.coil {
                None => removed_kg,
                Some(coil) => coil.wet(removed_kg),
            };
            sum.coil_latent_j += removed_kg * self.vapour_enthalpy_j_per_kg;
            sum.coil_sensible_j += (self.fan_w - self.heat.mean(mean)) * step_s;
            sum.run_s += self.run_fraction * step_s;
            if self.run_fraction > 0.0 && self.now.data != PointData::Inside {
                sum.beyond_data_s += step_s;
            }
        } else if self.reevaporated_kg_per_s > 0.0 {
            let back_kg = self.reevaporated_kg_per_s * step_s;
            sum.reevaporated_kg += back_kg;
            sum.coil_latent_j -= back_kg * self.evaporation_heat_j_per_kg;
            sum.coil_sensible_j += back_kg * self.evaporation_heat_j_per_kg;
        }
    }

    /// Begins to count.
    pub(crate) fn count_from_now(&mut self) {
        self.sum = CoolingSummary::default();
        self.compressor_sum_w = 0.0;
        self.fan_sum_w = 0.0;
        self.starts = Starts::default();
    }

    /// What it did since counting began.
    pub(crate) const fn summary(&self) -> CoolingSummary {
        CoolingSummary {
            compressor_j: self.compressor_sum_w * self.step_s,
            indoor_fan_j: self.fan_sum_w * self.step_s,
            starts: self.starts.all,
            most_starts_in_an_hour: self.starts.most_in_an_hour,
            ..self.sum
        }
    }
}

#[inline]
fn scaled(flow: Flow, share: f64, share_of_slopes: f64) -> Flow {
    Flow {
        start: share * flow.start,
        per_k: share_of_slopes * flow.per_k,
        per_w: share_of_slopes * flow.per_w,
    }
}

/// The heating.
#[derive(Debug)]
pub(crate) struct Heater {
    heating: Option<Heating>,
    on: bool,
    pub(crate) heat_w: f64,
}

impl Heater {
    pub(crate) const fn new(heating: Option<Heating>) -> Self {
        Self {
            heating,
            on: false,
            heat_w: 0.0,
        }
    }

    /// Thermostat control, by the air at the start of the step.
    #[inline]
    pub(crate) fn decide(&mut self, dry_bulb_c: f64, setpoint_c: f64, supply: Supply) {
        self.heat_w = 0.0;
        let Some(Heating {
            capacity_w,
            control: HeatingControl::Thermostat { deadband_k },
            ..
        }) = self.heating
        else {
            return;
        };
        if supply == Supply::Cut {
            self.on = false;
            return;
        }
        if dry_bulb_c < setpoint_c - 0.5 * deadband_k {
            self.on = true;
        } else if dry_bulb_c > setpoint_c + 0.5 * deadband_k {
            self.on = false;
        }
        if self.on {
            self.heat_w = capacity_w;
        }
    }
}

/// Everything else that acts on the air this step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Rest {
    pub(crate) heat: Flow,
    pub(crate) water: Flow,
    pub(crate) capacity: Capacity,
    pub(crate) supply: Supply,
    pub(crate) cooling_setpoint_c: f64,
    pub(crate) heating_setpoint_c: f64,
}

/// The step solved.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Solved {
    /// All heat and water at the start of the step.
    pub(crate) heat_w: f64,
    pub(crate) water_kg_per_s: f64,
    /// The part of all cooling machines.
    pub(crate) cooling: Pair,
    pub(crate) propagator: Propagator,
}

/// Sets machines under continuous control so that the step ends on its
/// setpoint, as far as their capacity goes, and solves the step.
#[inline]
pub(crate) fn solve(
    coolers: &mut [Cooler<'_>],
    heater: &mut Heater,
    air: &MachineAir,
    rest: &Rest,
) -> Solved {
    let mut ideal_cooling = false;
    let ideal_heating = rest.supply == Supply::On
        && matches!(
            heater.heating,
            Some(Heating {
                control: HeatingControl::Ideal,
                ..
            })
        );
    let mut cooling = Pair::default();
    for cooler in coolers.iter_mut() {
        if cooler.is_ideal() {
            if cooler.on {
                ideal_cooling = true;
                continue;
            }
            cooler.set_flows(air, rest.cooling_setpoint_c, rest.supply);
        }
        cooling.heat = cooling.heat.plus(cooler.heat);
        cooling.water = cooling.water.plus(cooler.water);
    }
    let mut base = *rest;
    base.heat.start += heater.heat_w;
    if ideal_cooling {
        let others = Rest {
            heat: base.heat.plus(cooling.heat),
            water: base.water.plus(cooling.water),
            ..base
        };
        let ideal = hold(coolers, air, &others);
        cooling.heat = cooling.heat.plus(ideal.heat);
        cooling.water = cooling.water.plus(ideal.water);
    }
    let mut heat = base.heat.plus(cooling.heat);
    let water = base.water.plus(cooling.water);
    let propagator = Propagator::new(heat, water, rest.capacity);
    if ideal_heating {
        let short_k =
            rest.heating_setpoint_c - air.dry_bulb_c - propagator.end(heat.start, water.start).k;
        if short_k > 0.0 {
            let capacity_w = heater.heating.map_or(0.0, |h| h.capacity_w);
            let asked_w = short_k / propagator.end(1.0, 0.0).k;
            heater.heat_w = asked_w.min(capacity_w);
            heat.start += heater.heat_w;
        }
    }
    Solved {
        heat_w: heat.start,
        water_kg_per_s: water.start,
        cooling,
        propagator,
    }
}

/// Finds the common share of full output of all ideal machines, and their flows.
fn hold(coolers: &mut [Cooler<'_>], air: &MachineAir, base: &Rest) -> Pair {
    const TRIES: usize = 6;
    const CLOSE: f64 = 0.01;
    // The slopes of the machines count at the share of the step before; where
    // the share found differs much, once more with that.
    let mut of_slopes = coolers
        .iter()
        .find(|c| c.is_ideal() && c.on)
        .map_or(0.0, |c| c.share);
    for attempt in 1..=TRIES {
        let (mut full_heat, mut full_water) = (Flow::ZERO, Flow::ZERO);
        let mut always_w = 0.0;
        for cooler in coolers.iter().filter(|c| c.is_ideal() && c.on) {
            let latent_share = cooler.latent_share_at(cooler.run_fraction_at(of_slopes));
            let (heat, water) = cooler.full(latent_share, air);
            full_heat = full_heat.plus(heat);
            full_water = full_water.plus(water);
            if cooler.machine.fan == Fan::Continuous {
                always_w += cooler.machine.indoor_fan_w;
            }
        }
        let slopes_only = |full: Flow| Flow {
            start: 0.0,
            ..full.times(of_slopes)
        };
        let heat = base
            .heat
            .plus(slopes_only(full_heat))
            .plus(Flow::constant(always_w));
        let water = base.water.plus(slopes_only(full_water));
        let propagator = Propagator::new(heat, water, base.capacity);
        let free_k = propagator.end(heat.start, water.start).k;
        let full_k = propagator.end(full_heat.start, full_water.start).k;
        let over_k = air.dry_bulb_c + free_k - base.cooling_setpoint_c;
        let share = if over_k > 0.0 && full_k < 0.0 {
            (over_k / -full_k).min(1.0)
        } else {
            0.0
        };
        let settled = if share == 0.0 {
            of_slopes == 0.0
        } else {
            (share - of_slopes).abs() <= CLOSE
        };
        if settled || attempt == TRIES {
            let mut total = Pair::default();
            for cooler in coolers.iter_mut().filter(|c| c.is_ideal() && c.on) {
                cooler.share = share;
                cooler.share_of_slopes = if share > 0.0 { of_slopes } else { 0.0 };
                cooler.set_flows(air, base.cooling_setpoint_c, base.supply);
                total.heat = total.heat.plus(cooler.heat);
                total.water = total.water.plus(cooler.water);
            }
            return total;
        }
        of_slopes = share;
    }
    Pair::default()
}

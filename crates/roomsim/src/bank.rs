//! The dehumidifiers of the room: who runs, what they do.

use crate::coil::Coil;
use crate::linear::{Change, Flow};
use crate::performance::{PointData, RemovalNow, RemovalTable};
use crate::sensor::Excess;
use crate::setup::{Dehumidifier, Fan};

/// Air and powers of the step, as the machines feel them.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MachineAir {
    pub(crate) dry_bulb_c: f64,
    pub(crate) humidity_ratio: f64,
    pub(crate) rel_humidity: f64,
    /// Slope of relative humidity over dry bulb at constant humidity ratio.
    pub(crate) rel_humidity_per_k: f64,
    /// Slope of relative humidity over humidity ratio.
    pub(crate) rel_humidity_per_w: f64,
    pub(crate) vapour_enthalpy_j_per_kg: f64,
    pub(crate) evaporation_heat_j_per_kg: f64,
    pub(crate) wet_bulb_depression_k: f64,
    pub(crate) outdoor_c: f64,
}

/// What is asked of the machines this step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Supply {
    On,
    Cut,
}

/// All dehumidifiers.
#[derive(Debug)]
pub(crate) struct Bank<'a> {
    tables: Vec<&'a RemovalTable>,
    now: Vec<RemovalNow>,
    pub(crate) units: Vec<Unit>,
}

/// One dehumidifier.
#[derive(Clone, Debug)]
pub(crate) struct Unit {
    table: usize,
    step_s: f64,
    pub(crate) on: bool,
    in_state_s: f64,
    blocked_s: f64,
    failed: bool,
    removal_factor: f64,
    power_factor: f64,
    min_on_s: f64,
    min_off_s: f64,
    restart_delay_s: f64,
    resting_w: f64,
    fan: Fan,
    coil: Option<Coil>,
    defrost: Option<DefrostState>,
    /// Of this step.
    pub(crate) power_w: f64,
    pub(crate) removal: Flow,
    pub(crate) reevaporated_kg_per_s: f64,
    pub(crate) removed_kg: f64,
    pub(crate) drained_kg: f64,
    pub(crate) working: Working,
    pub(crate) data: PointData,
}

/// What the unit does in this step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Working {
    Resting,
    Running,
    Defrosting,
}

#[derive(Clone, Copy, Debug)]
struct DefrostState {
    after_s: f64,
    lasts_s: f64,
    power_w: f64,
    frosting_s: f64,
    left_s: f64,
}

impl<'a> Bank<'a> {
    pub(crate) fn new(machines: &'a [Dehumidifier], step_s: f64) -> Self {
        let mut tables: Vec<&RemovalTable> = Vec::new();
        let units = machines
            .iter()
            .map(|machine| {
                let table = tables
                    .iter()
                    .position(|&known| std::ptr::eq(known, &*machine.table))
                    .unwrap_or_else(|| {
                        tables.push(&machine.table);
                        tables.len() - 1
                    });
                Unit::new(machine, table, step_s)
            })
            .collect();
        Self {
            now: vec![RemovalNow::default(); tables.len()],
            tables,
            units,
        }
    }

    pub(crate) fn power_is_back(&mut self) {
        for unit in &mut self.units {
            unit.blocked_s = unit.restart_delay_s;
        }
    }

    pub(crate) fn power_is_cut(&mut self) {
        for unit in &mut self.units {
            unit.switch_off();
        }
    }

    pub(crate) fn fails(&mut self, index: usize) {
        if let Some(unit) = self.units.get_mut(index) {
            unit.switch_off();
            unit.failed = true;
        }
    }

    pub(crate) fn filter_loaded(&mut self, index: usize, removal_factor: f64, power_factor: f64) {
        if let Some(unit) = self.units.get_mut(index) {
            unit.removal_factor = removal_factor;
            unit.power_factor = power_factor;
        }
    }

    /// Switches units and finds their flows for this step: heat to the air and
    /// water to the air.
    #[inline]
    pub(crate) fn flows(
        &mut self,
        air: &MachineAir,
        excess: &Excess,
        force: bool,
        supply: Supply,
    ) -> (Flow, Flow) {
        let mut heat = Flow::ZERO;
        let mut water = Flow::ZERO;
        if self.units.is_empty() {
            return (heat, water);
        }
        let mut stage = 0.0;
        let mut running = false;
        for unit in &mut self.units {
            unit.decide(excess, stage, force, supply);
            running |= unit.working == Working::Running;
            stage += excess.stage;
        }
        if running {
            for (now, table) in self.now.iter_mut().zip(&self.tables) {
                *now = table.now(air.dry_bulb_c, air.rel_humidity);
            }
        }
        for unit in &mut self.units {
            let (unit_heat, unit_water) = match unit.working {
                Working::Running => unit.run(&self.now[unit.table], self.tables[unit.table], air),
                Working::Defrosting | Working::Resting => unit.rest(air, supply),
            };
            heat = heat.plus(unit_heat);
            water = water.plus(unit_water);
        }
        (heat, water)
    }
}

impl Unit {
    fn new(machine: &Dehumidifier, table: usize, step_s: f64) -> Self {
        let resting_w = match machine.fan {
            Fan::Auto => machine.standby_w,
            Fan::Continuous => machine.standby_w + machine.fan_w,
        };
        Self {
            table,
            step_s,
            on: false,
            in_state_s: f64::INFINITY,
            blocked_s: 0.0,
            failed: false,
            removal_factor: 1.0,
            power_factor: 1.0,
            min_on_s: machine.min_on_s,
            min_off_s: machine.min_off_s,
            restart_delay_s: machine.restart_delay_s,
            resting_w,
            fan: machine.fan,
            coil: machine.coil.as_ref().map(|coil| Coil::new(coil, step_s)),
            defrost: machine.defrost.map(|d| DefrostState {
                after_s: d.after_s,
                lasts_s: d.lasts_s,
                power_w: d.power_w,
                frosting_s: 0.0,
                left_s: 0.0,
            }),
            power_w: 0.0,
            removal: Flow::ZERO,
            reevaporated_kg_per_s: 0.0,
            removed_kg: 0.0,
            drained_kg: 0.0,
            working: Working::Resting,
            data: PointData::Inside,
        }
    }

    fn switch_off(&mut self) {
        if self.on {
            self.on = false;
            self.in_state_s = 0.0;
        }
    }

    /// Water on the coil \[kg\].
    pub(crate) fn coil_water_kg(&self) -> f64 {
        self.coil.as_ref().map_or(0.0, Coil::water_kg)
    }

    #[inline]
    fn decide(&mut self, excess: &Excess, stage: f64, force: bool, supply: Supply) {
        if supply == Supply::Cut || self.failed {
            self.working = Working::Resting;
            return;
        }
        self.in_state_s += self.step_s;
        let value = excess.value - stage;
        if self.on {
            if value < -excess.half_deadband && !force && self.in_state_s >= self.min_on_s {
                self.on = false;
                self.in_state_s = 0.0;
            }
        } else if self.blocked_s > 0.0 {
            self.blocked_s -= self.step_s;
        } else if (value > excess.half_deadband || force) && self.in_state_s >= self.min_off_s {
            self.on = true;
            self.in_state_s = 0.0;
        }
        self.working = if !self.on {
            Working::Resting
        } else if let Some(defrost) = &mut self.defrost
            && defrost.left_s > 0.0
        {
            defrost.left_s -= self.step_s;
            Working::Defrosting
        } else {
            Working::Running
        };
    }

    #[inline]
    fn run(&mut self, now: &RemovalNow, table: &RemovalTable, air: &MachineAir) -> (Flow, Flow) {
        self.data = table.data_near(air.dry_bulb_c, air.rel_humidity);
        if let Some(defrost) = &mut self.defrost {
            if self.data == PointData::Frosting {
                defrost.frosting_s += self.step_s;
                if defrost.frosting_s >= defrost.after_s {
                    defrost.frosting_s = 0.0;
                    defrost.left_s = defrost.lasts_s;
                }
            } else {
                defrost.frosting_s = 0.0;
            }
        }
        let share = self.removal_factor * self.coil.as_mut().map_or(1.0, Coil::running);
        self.removal = Flow {
            start: share * now.removal_kg_per_s,
            per_k: share
                * (now.removal_per_k + now.removal_per_rel_humidity * air.rel_humidity_per_k),
            per_w: share * now.removal_per_rel_humidity * air.rel_humidity_per_w,
        };
        self.power_w = self.power_factor * now.power_w;
        self.reevaporated_kg_per_s = 0.0;
        // Power less what drains, plus the heat of condensation given back.
        let mut heat = self.removal.times(air.vapour_enthalpy_j_per_kg);
        heat.start += self.power_w - share * now.drained_heat_w;
        (heat, self.removal.times(-1.0))
    }

    #[inline]
    fn rest(&mut self, air: &MachineAir, supply: Supply) -> (Flow, Flow) {
        self.removal = Flow::ZERO;
        self.reevaporated_kg_per_s = 0.0;
        self.power_w = match supply {
            Supply::Cut => 0.0,
            Supply::On if self.failed => 0.0,
            Supply::On if self.working == Working::Defrosting => {
                self.defrost.map_or(self.resting_w, |d| d.power_w)
            }
            Supply::On => self.resting_w,
        };
        let fan_runs = self.fan == Fan::Continuous && supply == Supply::On && !self.failed;
        if let Some(coil) = &mut self.coil {
            if fan_runs {
                self.reevaporated_kg_per_s = coil.drying(air.wet_bulb_depression_k) / self.step_s;
            } else {
                coil.resting();
            }
        }
        let heat_w = self.power_w - self.reevaporated_kg_per_s * air.evaporation_heat_j_per_kg;
        (
            Flow::constant(heat_w),
            Flow::constant(self.reevaporated_kg_per_s),
        )
    }

    /// Puts the water taken this step on the coil and drains the rest.
    #[inline]
    pub(crate) fn settle(&mut self, mean: Change) {
        self.removed_kg = self.removal.mean(mean) * self.step_s;
        self.drained_kg = match &mut self.coil {
            None => self.removed_kg,
            Some(coil) => coil.wet(self.removed_kg),
        };
    }
}

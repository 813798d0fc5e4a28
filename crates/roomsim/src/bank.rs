//! The dehumidifiers of the room: who runs, what they do.

use crate::air_now::MachineAir;
use crate::coil::Coil;
use crate::linear::{Change, Flow};
use crate::outcome::DehumidifierSummary;
use crate::parts::Pair;
use crate::performance::{PointData, RemovalNow, RemovalTable};
use crate::sensor::Excess;
use crate::setup::{Dehumidifier, Fan, Staging};
use crate::starts::Starts;

/// Whether there is power.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Supply {
    On = 0,
    Cut = 1,
}

/// What is asked of the dehumidifiers this step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Ask {
    /// Run whatever the sensor says.
    pub(crate) force: bool,
    pub(crate) time_s: f64,
}

/// All dehumidifiers.
#[derive(Debug)]
pub(crate) struct Bank<'a> {
    kinds: Vec<Kind<'a>>,
    pub(crate) units: Vec<Unit>,
    /// Whose turn it is, where units start and stop one by one.
    turns: Option<Turns>,
    /// Power of all units in this step \[W\].
    pub(crate) power_w: f64,
    /// How many units run in this step.
    pub(crate) count: usize,
}

/// Units that start and stop one by one.
#[derive(Clone, Copy, Debug)]
struct Turns {
    wait_s: f64,
    started_at_s: f64,
    stopped_at_s: f64,
}

/// What a unit may do in this step.
#[derive(Clone, Copy, Debug)]
struct May {
    start: bool,
    stop: bool,
}

/// A table that one or more units share, read once a step.
#[derive(Clone, Debug)]
struct Kind<'a> {
    table: &'a RemovalTable,
    now: RemovalNow,
    /// Removal at this step's air, with its slopes; read once a unit runs.
    removal: Flow,
    is_read: bool,
    /// Of the full removal, all units of this kind that run in this step.
    share: f64,
}

impl Kind<'_> {
    /// Reads the table at the air of this step.
    #[inline(never)]
    fn read(&mut self, air: &MachineAir) {
        self.is_read = true;
        let now = self.table.now(air.dry_bulb_c, air.rel_humidity);
        self.removal = Flow {
            start: now.removal_kg_per_s,
            per_k: now.removal_per_k + now.removal_per_rel_humidity * air.rel_humidity_per_k,
            per_w: now.removal_per_rel_humidity * air.rel_humidity_per_w,
        };
        self.now = now;
    }
}

/// A step while its units are gone through.
struct Step<'s, 'a> {
    air: &'s MachineAir,
    kinds: &'s mut [Kind<'a>],
    count: usize,
    power_w: f64,
    reevaporated_kg_per_s: f64,
}

impl Step<'_, '_> {
    /// Lets a unit run or rest as it has decided.
    #[inline]
    fn take(&mut self, unit: &mut Unit) {
        if unit.working == Working::Running {
            let kind = &mut self.kinds[unit.kind];
            if !kind.is_read {
                kind.read(self.air);
            }
            unit.run(&kind.now);
            kind.share += unit.share;
            self.count += 1;
        } else {
            self.reevaporated_kg_per_s += unit.rest(self.air);
        }
        self.power_w += unit.power_w;
        unit.sum.power_w += unit.power_w;
    }

    /// Flows of all units.
    #[inline]
    fn sum(&self) -> Pair {
        let mut removal = Flow::ZERO;
        let mut drained_w = 0.0;
        if self.count > 0 {
            for kind in &*self.kinds {
                removal = removal.plus(kind.removal.times(kind.share));
                drained_w += kind.share * kind.now.drained_heat_w;
            }
        }
        // Power less what drains, plus the heat of condensation given back.
        let mut heat = removal.times(self.air.vapour_enthalpy_j_per_kg);
        heat.start += self.power_w
            - drained_w
            - self.reevaporated_kg_per_s * self.air.evaporation_heat_j_per_kg;
        let mut water = removal.times(-1.0);
        water.start += self.reevaporated_kg_per_s;
        Pair { heat, water }
    }
}

/// One dehumidifier.
#[derive(Clone, Debug)]
pub(crate) struct Unit {
    kind: usize,
    step_s: f64,
    on: bool,
    /// Until when it must run on or rest on.
    may_switch_at_s: f64,
    /// Without power or failed.
    is_dead: bool,
    failed: bool,
    own_factor: f64,
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
    power_w: f64,
    /// Of the full removal.
    share: f64,
    working: Working,
    data: PointData,
    /// Since counting began.
    sum: Sum,
    starts: Starts,
}

/// What a unit did, summed step by step.
#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    power_w: f64,
    removed_kg: f64,
    drained_kg: f64,
    reevaporated_kg: f64,
    /// Running, in the order of `PointData`.
    steps: [u32; PointData::COUNT],
}

/// What the unit does in this step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Working {
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
    pub(crate) fn new(machines: &'a [Dehumidifier], staging: Staging, step_s: f64) -> Self {
        let mut kinds: Vec<Kind<'_>> = Vec::new();
        let units = machines
            .iter()
            .map(|machine| {
                let kind = kinds
                    .iter()
                    .position(|known| std::ptr::eq(known.table, &*machine.table))
                    .unwrap_or_else(|| {
                        kinds.push(Kind {
                            table: &machine.table,
                            now: RemovalNow::default(),
                            removal: Flow::ZERO,
                            is_read: false,
                            share: 0.0,
                        });
                        kinds.len() - 1
                    });
                Unit::new(machine, kind, step_s)
            })
            .collect();
        Self {
            kinds,
            units,
            turns: match staging {
                Staging::OneByOne { wait_s } => Some(Turns {
                    wait_s,
                    started_at_s: f64::NEG_INFINITY,
                    stopped_at_s: f64::NEG_INFINITY,
                }),
                Staging::Together | Staging::Stepped(_) => None,
            },
            power_w: 0.0,
            count: 0,
        }
    }

    /// Which units run, the first in the lowest bit.
    pub(crate) fn running(&self) -> u64 {
        self.units
            .iter()
            .take(64)
            .enumerate()
            .filter(|(_, unit)| unit.working == Working::Running)
            .fold(0, |bits, (index, _)| bits | 1 << index)
    }

    pub(crate) fn power_is_back(&mut self, time_s: f64) {
        for unit in &mut self.units {
            if !unit.failed {
                unit.may_switch_at_s = unit.may_switch_at_s.max(time_s + unit.restart_delay_s);
                unit.is_dead = false;
            }
        }
    }

    pub(crate) fn power_is_cut(&mut self, time_s: f64) {
        for unit in &mut self.units {
            unit.dies(time_s);
        }
    }

    pub(crate) fn fails(&mut self, index: usize, time_s: f64) {
        if let Some(unit) = self.units.get_mut(index) {
            unit.dies(time_s);
            unit.failed = true;
        }
    }

    pub(crate) fn filter_loaded(&mut self, index: usize, removal_factor: f64, power_factor: f64) {
        if let Some(unit) = self.units.get_mut(index) {
            unit.removal_factor = unit.own_factor * removal_factor;
            unit.power_factor = power_factor;
        }
    }

    /// Switches units one by one, each waiting for its turn.
    #[inline(never)]
    fn switch_in_turn(units: &mut [Unit], turns: &mut Turns, excess: &Excess, ask: &Ask) {
        let mut may = May {
            start: turns.wait_s <= ask.time_s - turns.started_at_s,
            stop: false,
        };
        let may_stop = turns.wait_s <= ask.time_s - turns.stopped_at_s;
        let last_on = units.iter().rposition(|unit| unit.on);
        for (index, unit) in units.iter_mut().enumerate() {
            let was_on = unit.on;
            may.stop = may_stop && Some(index) == last_on;
            unit.decide(excess.value, excess.half_deadband, ask, may);
            if unit.on && !was_on {
                turns.started_at_s = ask.time_s;
                may.start = false;
            } else if was_on && !unit.on {
                turns.stopped_at_s = ask.time_s;
            }
        }
    }

    /// Switches units by the reading of the sensor and finds their flows for
    /// this step.
    #[inline]
    pub(crate) fn flows(&mut self, air: &MachineAir, excess: &Excess, ask: Ask) -> Pair {
        const AT_ONCE: May = May {
            start: true,
            stop: true,
        };
        for kind in &mut self.kinds {
            kind.share = 0.0;
            kind.is_read = false;
        }
        let mut step = Step {
            air,
            kinds: &mut self.kinds,
            count: 0,
            power_w: 0.0,
            reevaporated_kg_per_s: 0.0,
        };
        if let Some(turns) = &mut self.turns {
            Self::switch_in_turn(&mut self.units, turns, excess, &ask);
        }
        let mut value = excess.value;
        for unit in &mut self.units {
            if self.turns.is_none() {
                unit.decide(value, excess.half_deadband, &ask, AT_ONCE);
                value -= excess.stage;
            }
            step.take(unit);
        }
        self.count = step.count;
        self.power_w = step.power_w;
        step.sum()
    }

    /// Puts the water taken this step on the coils, drains the rest and adds
    /// it all up.
    #[inline]
    pub(crate) fn settle(&mut self, mean: Change) {
        if self.count == 0 {
            return;
        }
        for unit in &mut self.units {
            if unit.working == Working::Running {
                let kg_per_s = self.kinds[unit.kind].removal.mean(mean);
                unit.settle(unit.share * kg_per_s * unit.step_s);
            }
        }
    }

    /// Begins to count.
    pub(crate) fn count_from_now(&mut self) {
        for unit in &mut self.units {
            unit.sum = Sum::default();
            unit.starts = Starts::default();
        }
    }

    /// What each unit did since counting began.
    pub(crate) fn summaries(&self) -> Vec<DehumidifierSummary> {
        self.units.iter().map(Unit::summary).collect()
    }
}

impl Unit {
    fn new(machine: &Dehumidifier, kind: usize, step_s: f64) -> Self {
        let resting_w = match machine.fan {
            Fan::Auto => machine.standby_w,
            Fan::Continuous => machine.standby_w + machine.fan_w,
        };
        Self {
            kind,
            step_s,
            on: false,
            may_switch_at_s: f64::NEG_INFINITY,
            is_dead: false,
            failed: false,
            own_factor: machine.removal_factor,
            removal_factor: machine.removal_factor,
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
            share: 0.0,
            working: Working::Resting,
            data: PointData::Inside,
            sum: Sum::default(),
            starts: Starts::default(),
        }
    }

    const fn switch_off(&mut self, time_s: f64) {
        if self.on {
            self.on = false;
            self.may_switch_at_s = time_s + self.min_off_s;
        }
    }

    const fn dies(&mut self, time_s: f64) {
        self.switch_off(time_s);
        self.is_dead = true;
    }

    /// Water on the coil \[kg\].
    pub(crate) fn coil_water_kg(&self) -> f64 {
        self.coil.as_ref().map_or(0.0, Coil::water_kg)
    }

    #[inline]
    fn decide(&mut self, value: f64, half_deadband: f64, ask: &Ask, may: May) {
        if self.on {
            if value < -half_deadband
                && may.stop
                && !ask.force
                && ask.time_s >= self.may_switch_at_s
            {
                self.switch_off(ask.time_s);
            }
        } else if (value > half_deadband || ask.force)
            && may.start
            && ask.time_s >= self.may_switch_at_s
            && !self.is_dead
        {
            self.on = true;
            self.starts.count(ask.time_s);
            self.may_switch_at_s = ask.time_s + self.min_on_s;
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
    fn run(&mut self, now: &RemovalNow) {
        self.data = now.data;
        if let Some(defrost) = &mut self.defrost {
            defrost.watch(now.data, self.step_s);
        }
        self.share = match &mut self.coil {
            None => self.removal_factor,
            Some(coil) => self.removal_factor * coil.running(),
        };
        self.power_w = self.power_factor * now.power_w;
    }

    /// A step of rest; water that goes back to the air \[kg/s\].
    #[inline]
    fn rest(&mut self, air: &MachineAir) -> f64 {
        self.power_w = match &self.defrost {
            _ if self.is_dead => 0.0,
            Some(defrost) if self.working == Working::Defrosting => defrost.power_w,
            _ => self.resting_w,
        };
        let Some(coil) = &mut self.coil else {
            return 0.0;
        };
        if self.fan == Fan::Auto || self.is_dead {
            coil.resting();
            return 0.0;
        }
        let back_kg = coil.drying(air.wet_bulb_depression_k());
        self.sum.reevaporated_kg += back_kg;
        back_kg / self.step_s
    }

    /// Puts the water taken this step on the coil and drains the rest.
    #[inline]
    fn settle(&mut self, removed_kg: f64) {
        let sum = &mut self.sum;
        sum.steps[self.data as usize] += 1;
        sum.removed_kg += removed_kg;
        sum.drained_kg += match &mut self.coil {
            None => removed_kg,
            Some(coil) => coil.wet(removed_kg),
        };
    }

    fn summary(&self) -> DehumidifierSummary {
        let sum = &self.sum;
        let time_s = |steps: u32| f64::from(steps) * self.step_s;
        DehumidifierSummary {
            energy_j: sum.power_w * self.step_s,
            removed_kg: sum.removed_kg,
            drained_kg: sum.drained_kg,
            reevaporated_kg: sum.reevaporated_kg,
            run_s: time_s(sum.steps.iter().sum()),
            starts: self.starts.all,
            most_starts_in_an_hour: self.starts.most_in_an_hour,
            frosting_s: time_s(sum.steps[PointData::Frosting as usize]),
            beyond_data_s: time_s(sum.steps[PointData::Beyond as usize]),
        }
    }
}

impl DefrostState {
    /// Counts frosting time and calls for a pause when it is due.
    fn watch(&mut self, data: PointData, step_s: f64) {
        if data != PointData::Frosting {
            self.frosting_s = 0.0;
            return;
        }
        self.frosting_s += step_s;
        if self.frosting_s >= self.after_s {
            self.frosting_s = 0.0;
            self.left_s = self.lasts_s;
        }
    }
}

//! Sums, extremes and times of the counted days.

use crate::linear::Change;
use crate::outcome::{
    Balance, CoolingSummary, Disturbance, EnergySummary, HeatPath, Moment, Outcome, PeriodSummary,
    Record, Recovery, Series, Summary, WaterPath,
};
use crate::setup::Setup;
use crate::simulation::Simulation;
use crate::timetable::{HumidityBand, Period, Range, Row, Target};

/// A leaf this close above the dew point is at risk \[K\].
const LEAF_MARGIN_K: f64 = 1.0;
/// Relative humidity at leaf temperature from which a leaf is at risk.
const LEAF_RISK_RH: f64 = 0.9;
/// Further above the dew point no leaf is at [`LEAF_RISK_RH`]: saturation
/// pressure rises by 3.6 % a kelvin or more at up to 95 °C.
const LEAF_SAFE_K: f64 = 3.0;
/// Warmer than the cooling setpoint by more than this is a shortfall \[K\].
const SHORTFALL_K: f64 = 1.0;
/// In band for so long on end counts as recovered \[s\].
const RECOVERED_S: f64 = 1800.0;

/// A step as it was.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StepSeen {
    pub(crate) time_s: f64,
    pub(crate) mean: Change,
    pub(crate) start_c: f64,
    pub(crate) start_w: f64,
    pub(crate) heat_w: [f64; HeatPath::COUNT],
    pub(crate) water_kg_per_s: [f64; WaterPath::COUNT],
    pub(crate) surface_c: Option<f64>,
    pub(crate) light: f64,
    pub(crate) power_is_back: bool,
    pub(crate) washed: bool,
}

impl StepSeen {
    /// To be filled in.
    pub(crate) const NOTHING: Self = Self {
        time_s: 0.0,
        mean: Change { k: 0.0, w: 0.0 },
        start_c: 0.0,
        start_w: 0.0,
        heat_w: [0.0; HeatPath::COUNT],
        water_kg_per_s: [0.0; WaterPath::COUNT],
        surface_c: None,
        light: 0.0,
        power_is_back: false,
        washed: false,
    };
}

/// The books of a run.
#[derive(Debug)]
pub(crate) struct Tally<'a> {
    setup: &'a Setup,
    step_s: f64,
    /// In the order of `JudgedBy`.
    bands: [Bands; 3],
    periods: [PeriodTally; 3],
    /// Lit steps, weighed by light.
    light: f64,
    /// Electrical power of what is neither lamp nor machine \[W\], summed.
    other_w: f64,
    recoveries: Vec<Recovery>,
    watch: Option<Watch>,
    surface_margin: Option<Moment>,
    surface_wet_s: f64,
    leaf_margin: Option<Moment>,
    leaf_risk_s: f64,
    leaf_spell_s: f64,
    longest_leaf_spell_s: f64,
    shortfall_s: f64,
    all_units_s: f64,
    balance: Balance,
    stores_at_begin: Stores,
    series: Option<Series>,
}

#[derive(Clone, Copy, Debug)]
struct Watch {
    from_s: f64,
    after: Disturbance,
    in_band_s: f64,
    highest_rel_humidity: f64,
    highest_dry_bulb_c: f64,
}

#[derive(Clone, Copy, Debug)]
struct Bands {
    dry_bulb_c: Range,
    humidity: HumidityBand,
}

/// Where a humidity lies against its band.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Against {
    TooDry,
    In,
    TooHumid,
}

#[derive(Clone, Copy, Debug)]
struct PeriodTally {
    steps: u64,
    dry_bulb_in: u64,
    humidity_in: u64,
    both_in: u64,
    too_humid: u64,
    too_dry: u64,
    rel_humidity: Extremes,
    vpd_pa: Extremes,
    dry_bulb_c: Extremes,
    dry_bulb_sum: f64,
    humidity_ratio_sum: f64,
    rel_humidity_sum: f64,
    water: [f64; WaterPath::COUNT],
    heat: [f64; HeatPath::COUNT],
}

#[derive(Clone, Copy, Debug)]
struct Extremes {
    low: Moment,
    high: Moment,
}

impl Extremes {
    const NONE: Self = Self {
        low: Moment {
            at_s: 0.0,
            value: f64::INFINITY,
        },
        high: Moment {
            at_s: 0.0,
            value: f64::NEG_INFINITY,
        },
    };

    #[inline]
    fn see(&mut self, at_s: f64, value: f64) {
        if value < self.low.value {
            self.low = Moment { at_s, value };
        }
        if value > self.high.value {
            self.high = Moment { at_s, value };
        }
    }
}

impl PeriodTally {
    const NONE: Self = Self {
        steps: 0,
        dry_bulb_in: 0,
        humidity_in: 0,
        both_in: 0,
        too_humid: 0,
        too_dry: 0,
        rel_humidity: Extremes::NONE,
        vpd_pa: Extremes::NONE,
        dry_bulb_c: Extremes::NONE,
        dry_bulb_sum: 0.0,
        humidity_ratio_sum: 0.0,
        rel_humidity_sum: 0.0,
        water: [0.0; WaterPath::COUNT],
        heat: [0.0; HeatPath::COUNT],
    };

    fn summary(&self, period: Period, step_s: f64) -> PeriodSummary {
        let time = |steps: u64| steps as f64 * step_s;
        let mean = |sum: f64| {
            if self.steps > 0 {
                sum / self.steps as f64
            } else {
                0.0
            }
        };
        // A part of the day that never came has no extremes.
        let moment = |m: Moment| {
            if m.value.is_finite() {
                m
            } else {
                Moment {
                    at_s: 0.0,
                    value: 0.0,
                }
            }
        };
        PeriodSummary {
            period,
            time_s: time(self.steps),
            dry_bulb_in_band_s: time(self.dry_bulb_in),
            humidity_in_band_s: time(self.humidity_in),
            both_in_band_s: time(self.both_in),
            too_humid_s: time(self.too_humid),
            too_dry_s: time(self.too_dry),
            highest_rel_humidity: moment(self.rel_humidity.high),
            lowest_rel_humidity: moment(self.rel_humidity.low),
            lowest_vpd_pa: moment(self.vpd_pa.low),
            highest_vpd_pa: moment(self.vpd_pa.high),
            highest_dry_bulb_c: moment(self.dry_bulb_c.high),
            lowest_dry_bulb_c: moment(self.dry_bulb_c.low),
            mean_dry_bulb_c: mean(self.dry_bulb_sum),
            mean_humidity_ratio: mean(self.humidity_ratio_sum),
            mean_rel_humidity: mean(self.rel_humidity_sum),
            water_kg: self.water.map(|kg_per_s| kg_per_s * step_s),
            heat_j: self.heat.map(|w| w * step_s),
        }
    }
}

impl Bands {
    fn of(target: &Target) -> Self {
        Self {
            dry_bulb_c: target.dry_bulb_band_c,
            humidity: target.humidity_band,
        }
    }

    #[inline]
    fn humidity(&self, rel_humidity: f64, vpd_pa: f64, dew_point_c: f64) -> Against {
        let against = |value: f64, band: Range| {
            if value > band.high {
                Against::TooHumid
            } else if value < band.low {
                Against::TooDry
            } else {
                Against::In
            }
        };
        match self.humidity {
            HumidityBand::Relative(band) => against(rel_humidity, band),
            // A small deficit is humid air: the band is read from its far end.
            HumidityBand::VpdPa(band) => against(
                -vpd_pa,
                Range {
                    low: -band.high,
                    high: -band.low,
                },
            ),
            HumidityBand::DewPointC(band) => against(dew_point_c, band),
        }
    }

    #[inline]
    fn holds_dry_bulb(&self, dry_bulb_c: f64) -> bool {
        self.dry_bulb_c.low <= dry_bulb_c && dry_bulb_c <= self.dry_bulb_c.high
    }
}

impl<'a> Tally<'a> {
    pub(crate) fn new(setup: &'a Setup, record: Record, steps_per_day: usize) -> Self {
        let step_s = setup.run.step_s;
        let steps = steps_per_day * setup.run.days as usize;
        let targets = &setup.timetable.hours.targets;
        let coolers = setup.cooling.len();
        Self {
            setup,
            step_s,
            bands: [
                Bands::of(&targets.lights_on),
                Bands::of(&targets.lights_off),
                Bands::of(targets.transition.as_ref().unwrap_or(&targets.lights_off)),
            ],
            periods: [PeriodTally::NONE; 3],
            light: 0.0,
            other_w: 0.0,
            recoveries: Vec::new(),
            watch: None,
            surface_margin: None,
            surface_wet_s: 0.0,
            leaf_margin: None,
            leaf_risk_s: 0.0,
            leaf_spell_s: 0.0,
            longest_leaf_spell_s: 0.0,
            shortfall_s: 0.0,
            all_units_s: 0.0,
            balance: Balance::default(),
            stores_at_begin: Stores::default(),
            series: match record {
                Record::Summary => None,
                Record::Minutes => Some(series_for(step_s, steps, coolers)),
            },
        }
    }

    /// Starts counting with this much water in the air.
    pub(crate) fn begin(&mut self, simulation: &Simulation<'_>) {
        self.stores_at_begin = Stores::of(simulation);
    }

    /// Counts one step.
    #[inline]
    pub(crate) fn count(&mut self, row: &Row, seen: &StepSeen, now: &Simulation<'_>) {
        let step_s = self.step_s;
        let at_s = seen.time_s + step_s;
        let dry_bulb_c = now.dry_bulb_c;
        let rel_humidity = now.humid.rel_humidity;
        let vpd_pa = now.humid.vpd_pa();
        let bands = &self.bands[row.judged_by as usize];
        let dry_bulb_in = bands.holds_dry_bulb(dry_bulb_c);
        let humidity = bands.humidity(rel_humidity, vpd_pa, now.dew_point_c);
        let both_in = dry_bulb_in && humidity == Against::In;

        let period = &mut self.periods[row.period as usize];
        period.steps += 1;
        period.dry_bulb_in += u64::from(dry_bulb_in);
        period.humidity_in += u64::from(humidity == Against::In);
        period.both_in += u64::from(both_in);
        period.too_humid += u64::from(humidity == Against::TooHumid);
        period.too_dry += u64::from(humidity == Against::TooDry);
        period.rel_humidity.see(at_s, rel_humidity);
        period.vpd_pa.see(at_s, vpd_pa);
        period.dry_bulb_c.see(at_s, dry_bulb_c);
        period.dry_bulb_sum += dry_bulb_c;
        period.humidity_ratio_sum += now.humidity_ratio;
        period.rel_humidity_sum += rel_humidity;
        for (sum, flow) in period.water.iter_mut().zip(&seen.water_kg_per_s) {
            *sum += flow;
        }
        for (sum, flow) in period.heat.iter_mut().zip(&seen.heat_w) {
            *sum += flow;
        }

        let margin_k = seen.surface_c.map(|surface_c| surface_c - now.dew_point_c);
        if let Some(margin_k) = margin_k {
            keep_lowest(&mut self.surface_margin, at_s, margin_k);
            if margin_k <= 0.0 {
                self.surface_wet_s += step_s;
            }
        }
        if self.setup.canopy.is_some() {
            self.leaves(now, at_s);
        }
        if dry_bulb_c > row.cooling_setpoint_c + SHORTFALL_K && !self.setup.cooling.is_empty() {
            self.shortfall_s += step_s;
        }
        self.light += seen.light;
        self.other_w += now.other_electric_w(row);
        let bank = &now.bank;
        if bank.count > 0 && bank.count == bank.units.len() {
            self.all_units_s += step_s;
        }
        self.watch(seen, both_in, rel_humidity, dry_bulb_c);
        self.close(seen, now);
        if let Some(series) = &mut self.series {
            series.dry_bulb_c.push(dry_bulb_c);
            series.humidity_ratio.push(now.humidity_ratio);
            series.rel_humidity.push(rel_humidity);
            series.vpd_pa.push(vpd_pa);
            series.dew_point_c.push(now.dew_point_c);
            series.leaf_c.push(now.leaf_c);
            series.mass_c.push(now.mass_now_c());
            series.surface_margin_k.push(margin_k.unwrap_or(f64::NAN));
            series.light.push(seen.light);
            series.water_kg_per_s.push(seen.water_kg_per_s);
            series.heat_w.push(seen.heat_w);
            series.dehumidifiers_on.push(now.bank.running());
            series
                .cooling_run
                .extend(now.coolers.iter().map(|cooler| cooler.run_fraction));
            series.lights_w.push(seen.light * self.setup.lights.power_w);
            series
                .cooling_w
                .push(now.coolers.iter().map(|c| c.compressor_w + c.fan_w).sum());
            series.dehumidifiers_w.push(bank.power_w);
            series.heating_w.push(now.heater.heat_w);
            series.period.push(row.period);
        }
    }

    #[inline]
    fn leaves(&mut self, now: &Simulation<'_>, at_s: f64) {
        let leaf_margin_k = now.leaf_c - now.dew_point_c;
        keep_lowest(&mut self.leaf_margin, at_s, leaf_margin_k);
        let at_risk = leaf_margin_k < LEAF_MARGIN_K
            || leaf_margin_k < LEAF_SAFE_K
                && now.humid.vapour_pressure_pa
                    >= LEAF_RISK_RH * now.table.pressure(now.leaf_c).value;
        if at_risk {
            self.leaf_risk_s += self.step_s;
            self.leaf_spell_s += self.step_s;
            self.longest_leaf_spell_s = self.longest_leaf_spell_s.max(self.leaf_spell_s);
        } else {
            self.leaf_spell_s = 0.0;
        }
    }

    #[inline]
    fn watch(&mut self, seen: &StepSeen, both_in: bool, rel_humidity: f64, dry_bulb_c: f64) {
        if seen.power_is_back || seen.washed {
            self.give_up_watching();
            self.watch = Some(Watch {
                from_s: seen.time_s,
                after: if seen.power_is_back {
                    Disturbance::PowerCut
                } else {
                    Disturbance::WashDown
                },
                in_band_s: 0.0,
                highest_rel_humidity: rel_humidity,
                highest_dry_bulb_c: dry_bulb_c,
            });
        }
        let Some(watch) = &mut self.watch else {
            return;
        };
        watch.highest_rel_humidity = watch.highest_rel_humidity.max(rel_humidity);
        watch.highest_dry_bulb_c = watch.highest_dry_bulb_c.max(dry_bulb_c);
        watch.in_band_s = if both_in {
            watch.in_band_s + self.step_s
        } else {
            0.0
        };
        if watch.in_band_s >= RECOVERED_S {
            let recovery = Recovery {
                from_s: watch.from_s,
                after: watch.after,
                in_band_after_s: Some(
                    (seen.time_s + self.step_s - watch.in_band_s - watch.from_s).max(0.0),
                ),
                highest_rel_humidity: watch.highest_rel_humidity,
                highest_dry_bulb_c: watch.highest_dry_bulb_c,
            };
            self.recoveries.push(recovery);
            self.watch = None;
        }
    }

    fn give_up_watching(&mut self) {
        if let Some(watch) = self.watch.take() {
            self.recoveries.push(Recovery {
                from_s: watch.from_s,
                after: watch.after,
                in_band_after_s: None,
                highest_rel_humidity: watch.highest_rel_humidity,
                highest_dry_bulb_c: watch.highest_dry_bulb_c,
            });
        }
    }

    /// Checks that the step's flows are what the air's state changed by.
    #[inline]
    fn close(&mut self, seen: &StepSeen, now: &Simulation<'_>) {
        let mass_kg = now.constants.dry_air_kg;
        let water_kg = sum(&seen.water_kg_per_s) * self.step_s;
        let heat_j = sum(&seen.heat_w) * self.step_s;
        let off_kg = water_kg - mass_kg * (now.humidity_ratio - seen.start_w);
        // Vapour enters and leaves with its enthalpy at the end of the step:
        // h₁ − h₀ = (1006 + 1860 W₀) ΔT + (2 501 000 + 1860 T₁) ΔW exactly.
        let vapour_j_per_kg = air::vapour_enthalpy_j_per_kg(now.dry_bulb_c);
        let enthalpy = air::enthalpy_j_per_kg(now.dry_bulb_c, now.humidity_ratio)
            - air::enthalpy_j_per_kg(seen.start_c, seen.start_w);
        let off_j = heat_j + water_kg * vapour_j_per_kg - mass_kg * enthalpy;
        let balance = &mut self.balance;
        balance.worst_step_water_kg = balance.worst_step_water_kg.max(off_kg.abs());
        balance.worst_step_energy_j = balance.worst_step_energy_j.max(off_j.abs());
    }

    pub(crate) fn finish(mut self, now: &Simulation<'_>) -> Outcome {
        self.give_up_watching();
        let periods = Period::ALL.map(|p| self.periods[p as usize].summary(p, self.step_s));
        let mut balance = self.balance;
        let mut given_kg = 0.0;
        for period in &periods {
            for kg in &period.water_kg {
                given_kg += kg;
                balance.water_turned_over_kg += kg.abs();
            }
            for j in &period.heat_j {
                balance.energy_turned_over_j += j.abs();
            }
        }
        let stores = Stores::of(now);
        let begin = self.stores_at_begin;
        balance.run_water_kg = given_kg - (stores.air_kg - begin.air_kg);
        let storage: f64 = periods
            .iter()
            .map(|p| p.water_kg[WaterPath::Storage as usize])
            .sum();
        balance.run_storage_kg = storage + (stores.storage_kg - begin.storage_kg);
        let units = now.bank.summaries();
        let coolers: Vec<CoolingSummary> = now.coolers.iter().map(|c| c.summary()).collect();
        let heating_heat_j: f64 = periods
            .iter()
            .map(|p| p.heat_j[HeatPath::Heating as usize])
            .sum();
        let energy = EnergySummary {
            lights_j: self.light * self.setup.lights.power_w * self.step_s,
            cooling_j: coolers
                .iter()
                .map(|cooler| cooler.compressor_j + cooler.indoor_fan_j)
                .sum(),
            heating_heat_j,
            heating_j: heating_heat_j
                * self
                    .setup
                    .heating
                    .map_or(0.0, |heating| heating.electricity_per_heat),
            dehumidifiers_j: units.iter().map(|unit| unit.energy_j).sum(),
            other_j: self.other_w * self.step_s,
        };
        let through_coils: f64 = units
            .iter()
            .map(|unit| unit.removed_kg - unit.drained_kg - unit.reevaporated_kg)
            .chain(
                coolers
                    .iter()
                    .map(|cooler| cooler.removed_kg - cooler.drained_kg - cooler.reevaporated_kg),
            )
            .sum();
        balance.run_coils_kg = through_coils - (stores.coils_kg - begin.coils_kg);
        Outcome {
            summary: Summary {
                days: self.setup.run.days,
                periods,
                energy,
                dehumidifiers: units,
                cooling: coolers,
                recoveries: self.recoveries,
                least_surface_margin_k: self.surface_margin,
                surface_wet_s: self.surface_wet_s,
                leaf_wetness_risk_s: self.leaf_risk_s,
                longest_leaf_wetness_risk_s: self.longest_leaf_spell_s,
                least_leaf_margin_k: self.leaf_margin,
                cooling_shortfall_s: self.shortfall_s,
                all_dehumidifiers_s: self.all_units_s,
            },
            series: self.series,
            balance,
        }
    }
}

/// Water held here and there.
#[derive(Clone, Copy, Debug, Default)]
struct Stores {
    /// By the air itself.
    air_kg: f64,
    /// By the moisture storage and by what the multiplier stands for.
    storage_kg: f64,
    /// By the coils.
    coils_kg: f64,
}

impl Stores {
    fn of(now: &Simulation<'_>) -> Self {
        let c = &now.constants;
        let units: f64 = now.bank.units.iter().map(|u| u.coil_water_kg()).sum();
        let coolers: f64 = now.coolers.iter().map(|c| c.coil_water_kg()).sum();
        Self {
            air_kg: c.dry_air_kg * now.humidity_ratio,
            storage_kg: now.storage.held_kg()
                + (c.moist_mass_kg - c.dry_air_kg) * now.humidity_ratio,
            coils_kg: units + coolers,
        }
    }
}

/// Sum in four strands, which a processor adds side by side.
#[inline]
fn sum<const N: usize>(values: &[f64; N]) -> f64 {
    let mut strands = [0.0; 4];
    for (i, value) in values.iter().enumerate() {
        strands[i % 4] += value;
    }
    (strands[0] + strands[1]) + (strands[2] + strands[3])
}

#[inline]
fn keep_lowest(kept: &mut Option<Moment>, at_s: f64, value: f64) {
    if kept.is_none_or(|moment| value < moment.value) {
        *kept = Some(Moment { at_s, value });
    }
}

fn series_for(step_s: f64, steps: usize, coolers: usize) -> Series {
    Series {
        step_s,
        dry_bulb_c: Vec::with_capacity(steps),
        humidity_ratio: Vec::with_capacity(steps),
        rel_humidity: Vec::with_capacity(steps),
        vpd_pa: Vec::with_capacity(steps),
        dew_point_c: Vec::with_capacity(steps),
        leaf_c: Vec::with_capacity(steps),
        mass_c: Vec::with_capacity(steps),
        surface_margin_k: Vec::with_capacity(steps),
        light: Vec::with_capacity(steps),
        water_kg_per_s: Vec::with_capacity(steps),
        heat_w: Vec::with_capacity(steps),
        dehumidifiers_on: Vec::with_capacity(steps),
        cooling_run: Vec::with_capacity(steps * coolers),
        lights_w: Vec::with_capacity(steps),
        cooling_w: Vec::with_capacity(steps),
        dehumidifiers_w: Vec::with_capacity(steps),
        heating_w: Vec::with_capacity(steps),
        period: Vec::with_capacity(steps),
    }
}

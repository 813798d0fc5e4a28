//! Step 1: how much water and heat the room is given, by source and by hour.
//!
//! The room is taken to be at its targets; what the air really does is the
//! affair of `day`. Uncertain inputs are drawn; where water fed and runoff
//! were measured, the draws are weighted by how well they agree with it.

mod checks;
pub(crate) mod given_off;
mod measured;
pub(crate) mod wetted;
mod workings;

use quantity::{Band, Finding, Working};
use rayon::prelude::*;
use room::{Period, Room};

pub use given_off::{LoadSource, SOURCES};
pub(crate) use workings::water_of_all_sources;

pub(crate) use measured::vapour_of;
pub use measured::{Measured, RUNOFF_NOT_MEASURED};

use crate::airs::Season;
use crate::error::JobError;
use crate::progress::Effort;
use crate::stats;
use crate::uncertain::{Draw, draw, resample};
use given_off::{DayGivenOff, GivenOff};

/// Water and heat of one source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SourceLoad {
    /// Which.
    pub source: LoadSource,
    /// Water \[kg/s\], low / likely / high; negative where it takes water away.
    pub water_kg_per_s: Band,
    /// Sensible heat to the air \[W\].
    pub sensible_w: Band,
    /// Mean over the draws \[kg/s\]: these add up, medians do not.
    pub mean_water_kg_per_s: f64,
    /// Mean over the draws \[W\].
    pub mean_sensible_w: f64,
}

/// One hour of the day, or one period.
#[derive(Clone, Debug, PartialEq)]
pub struct LoadSpan {
    /// Water of all sources \[kg/s\].
    pub water_kg_per_s: Band,
    /// Sensible heat of all sources, machines not counted \[W\].
    pub sensible_w: Band,
    /// By source; those that give nothing all day are left out.
    pub sources: Vec<SourceLoad>,
}

/// What one period asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct PeriodLoad {
    /// Which.
    pub period: Period,
    /// Its length in the day \[s\].
    pub length_s: f64,
    /// Mean over the period.
    pub mean: LoadSpan,
}

/// Lines by which people of the trade judge whether a load is sane.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trust {
    /// Water given off by canopy and medium per canopy area \[kg/(m² day)\].
    pub per_canopy_kg_per_m2_day: Band,
    /// The same over the water fed; `None` where that was not measured.
    pub share_of_water_fed: Option<Band>,
    /// Water of canopy and medium per electrical light energy \[kg/J\].
    pub per_light_energy_kg_per_j: Option<Band>,
    /// Mean night rate of the canopy over its mean day rate.
    pub night_share: Option<Band>,
}

/// What step 1 found.
#[derive(Clone, Debug)]
pub struct Load {
    /// How thoroughly.
    pub effort: Effort,
    /// Hour 0 to 23 of the clock.
    pub hours: Vec<LoadSpan>,
    /// Lights-on, transition, lights-off; those of no length are left out.
    pub periods: Vec<PeriodLoad>,
    /// Water of all sources in a day \[kg\].
    pub water_kg_per_day: Band,
    /// Lines to judge it by.
    pub trust: Trust,
    /// Measured water, and how the draws agree with it.
    pub measured: Option<Measured>,
    /// Second opinion on the canopy's water with lights on, after Stanghellini
    /// \[kg/s\]; `None` without crop or light.
    pub second_opinion_kg_per_s: Option<f64>,
    /// Draws of equal weight for the simulated days.
    pub draws: Vec<Draw>,
    /// The draw nearest the middle of all, over the day and in each period.
    pub typical: Draw,
    /// How the numbers came about.
    pub workings: Vec<Working>,
    /// Judgements.
    pub findings: Vec<Finding>,
}

impl Load {
    /// The load of a period, if it has any length.
    pub fn period(&self, period: Period) -> Option<&PeriodLoad> {
        self.periods.iter().find(|p| p.period == period)
    }
}

/// Water and heat of the room, hour by hour, on the summer design day.
///
/// # Errors
/// Air that cannot be: a target or surroundings at this pressure.
pub fn hourly(room: &Room, effort: Effort) -> Result<Load, JobError> {
    let given_off = GivenOff::new(room, Season::Summer)?;
    let draws = draw(effort.draws());
    let days: Vec<DayGivenOff> = draws.par_iter().map(|d| given_off.day(d)).collect();

    let measured = measured::measured(room, &days);
    let weights = measured
        .as_ref()
        .map_or_else(|| vec![1.0; draws.len()], |m| m.weights.clone());

    let shown = Shown::of(&days);
    let hours = (0..24)
        .map(|h| span(&days, &weights, &shown, |d| d.hours(h..h + 1)))
        .collect();
    let periods = Period::ALL
        .into_iter()
        .map(|period| (period, given_off.length_s(period)))
        .filter(|&(_, length_s)| 0.0 < length_s)
        .map(|(period, length_s)| PeriodLoad {
            period,
            length_s,
            mean: span(&days, &weights, &shown, |d| d.period(period)),
        })
        .collect();
    let day_totals: Vec<f64> = days.iter().map(|d| d.water_kg_per_day()).collect();
    let water_kg_per_day = stats::band(&day_totals, &weights);
    let typical = typical(&draws, &days, &weights);
    let mut load = Load {
        effort,
        hours,
        periods,
        water_kg_per_day,
        trust: trust(room, &days, &weights),
        measured,
        second_opinion_kg_per_s: given_off.second_opinion_kg_per_s(),
        draws: resample(&draws, &weights, effort.simulated()),
        typical,
        workings: Vec::new(),
        findings: Vec::new(),
    };
    load.workings = workings::workings(room, &given_off, &load);
    load.findings = checks::findings(room, &load);
    Ok(load)
}

/// Sources that give or take anything in any draw.
struct Shown(Vec<LoadSource>);

impl Shown {
    fn of(days: &[DayGivenOff]) -> Self {
        Self(
            SOURCES
                .into_iter()
                .filter(|&s| days.iter().any(|d| d.gives(s)))
                .collect(),
        )
    }
}

/// Bands of water and heat over the draws, for the part of the day that
/// `part` picks out of each.
fn span(
    days: &[DayGivenOff],
    weights: &[f64],
    shown: &Shown,
    part: impl Fn(&DayGivenOff) -> given_off::Flows,
) -> LoadSpan {
    let parts: Vec<given_off::Flows> = days.iter().map(part).collect();
    let over = |pick: &dyn Fn(&given_off::Flows) -> f64| {
        let values: Vec<f64> = parts.iter().map(pick).collect();
        (stats::band(&values, weights), stats::mean(&values, weights))
    };
    let sources = shown
        .0
        .iter()
        .map(|&source| {
            let (water_kg_per_s, mean_water_kg_per_s) = over(&|f| f.water(source));
            let (sensible_w, mean_sensible_w) = over(&|f| f.sensible(source));
            SourceLoad {
                source,
                water_kg_per_s,
                sensible_w,
                mean_water_kg_per_s,
                mean_sensible_w,
            }
        })
        .collect();
    LoadSpan {
        water_kg_per_s: over(&|f| f.total_water()).0,
        sensible_w: over(&|f| f.total_sensible()).0,
        sources,
    }
}

fn trust(room: &Room, days: &[DayGivenOff], weights: &[f64]) -> Trust {
    let canopy_m2 = room.crop.as_ref().map_or(0.0, |c| c.canopy_m2.value);
    let band = |pick: &dyn Fn(&DayGivenOff) -> f64| {
        let values: Vec<f64> = days.iter().map(pick).collect();
        stats::band(&values, weights)
    };
    let crop = band(&|d| d.crop_water_kg_per_day());
    let fed_kg_per_day = room
        .crop
        .as_ref()
        .and_then(|c| c.water_fed_kg_per_s.as_ref())
        .map(|fed| fed.value.likely * 86_400.0);
    let light_j_per_day = room
        .light
        .as_ref()
        .map_or(0.0, |l| l.power_w.value * l.photoperiod_s.value);
    let over = |b: Band, by: f64| b.map(|x| x / by);
    let grows = 0.0 < canopy_m2 && 0.0 < crop.high;
    Trust {
        per_canopy_kg_per_m2_day: if grows {
            over(crop, canopy_m2)
        } else {
            Band::exact(0.0)
        },
        share_of_water_fed: fed_kg_per_day.filter(|&f| 0.0 < f).map(|f| over(crop, f)),
        per_light_energy_kg_per_j: (grows && 0.0 < light_j_per_day)
            .then(|| over(crop, light_j_per_day)),
        night_share: (grows && days.iter().all(|d| d.night_share().is_some()))
            .then(|| band(&|d| d.night_share().unwrap_or(f64::NAN))),
    }
}

/// The draw of some weight that is nearest the middle of all in its day total
/// and in every period at once: by the total alone, a wet night could stand
/// against a dry day.
///
/// Distances are squared, in parts of each middle.
fn typical(draws: &[Draw], days: &[DayGivenOff], weights: &[f64]) -> Draw {
    let total = |d: &DayGivenOff| d.water_kg_per_day();
    let mut measures: Vec<Vec<f64>> = vec![days.iter().map(total).collect()];
    for period in Period::ALL {
        let mean = |d: &DayGivenOff| d.period(period).total_water();
        measures.push(days.iter().map(mean).collect());
    }
    let mut distance = vec![0.0; draws.len()];
    for values in &measures {
        let middle = stats::percentile(values, weights, 0.5);
        if middle == 0.0 {
            continue;
        }
        for (d, x) in distance.iter_mut().zip(values) {
            *d += ((x - middle) / middle).powi(2);
        }
    }
    (0..draws.len())
        .filter(|&i| 0.0 < weights[i])
        .min_by(|&a, &b| distance[a].total_cmp(&distance[b]))
        .map_or(Draw::LIKELY, |i| draws[i])
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Among any hundred draws. The draw nearest by the day's total alone misses the
    /// dark of some of them by a third.
    #[test]
    fn the_typical_day_is_typical_in_each_period() {
        let text = include_str!("../../tests/rooms/leafy.room.toml");
        let room = Room::read(None, ("leafy.room.toml", text)).unwrap();
        let given_off = GivenOff::new(&room, Season::Summer).unwrap();
        for draws in draw(1000).chunks(100) {
            let days: Vec<DayGivenOff> = draws.iter().map(|d| given_off.day(d)).collect();
            let weights = vec![1.0; draws.len()];
            let day = given_off.day(&typical(draws, &days, &weights));
            for period in Period::ALL {
                let mean = |d: &DayGivenOff| d.period(period).total_water();
                let values: Vec<f64> = days.iter().map(mean).collect();
                let off = mean(&day) / stats::percentile(&values, &weights, 0.5) - 1.0;
                assert!(off.abs() < 0.15, "{period:?}: {off}");
            }
        }
    }
}

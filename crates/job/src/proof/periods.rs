//! Time in band by period, and how the air moves when the lights switch.

use room::Room;
use roomsim::timetable::HumidityBand;

use super::lights::Lit;
use super::series::Series;
use crate::zone::{DRY_BULB_TOLERANCE_K, humidity_band};

/// What one period of the day saw.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct PeriodSeen {
    /// Time with readings \[s\].
    pub known_s: f64,
    /// Dry bulb inside its target \[s\].
    pub dry_bulb_in_s: f64,
    /// Above it \[s\].
    pub too_warm_s: f64,
    /// Humidity inside its target \[s\].
    pub humidity_in_s: f64,
    /// More humid than the target allows \[s\].
    pub too_humid_s: f64,
    /// Both inside \[s\].
    pub both_in_s: f64,
    /// Mean dry bulb \[°C\].
    pub mean_dry_bulb_c: f64,
    /// Mean relative humidity, 0 to 1.
    pub mean_rel_humidity: f64,
    /// Mean VPD of the air \[Pa\].
    pub mean_vpd_pa: f64,
    /// Mean dew point \[°C\].
    pub mean_dew_point_c: f64,
    /// Highest relative humidity and its step.
    pub highest_rel_humidity: (f64, usize),
    /// Least VPD \[Pa\] and its step.
    pub lowest_vpd_pa: (f64, usize),
}

impl PeriodSeen {
    /// Share of the known time that is too humid, 0 to 1.
    pub fn too_humid_share(&self) -> f64 {
        share(self.too_humid_s, self.known_s)
    }

    /// Share of the known time with both in band, 0 to 1.
    pub fn in_band_share(&self) -> f64 {
        share(self.both_in_s, self.known_s)
    }
}

fn share(part: f64, all: f64) -> f64 {
    if 0.0 < all { part / all } else { 0.0 }
}

/// Against its target at one step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct InBand {
    pub(super) dry_bulb: std::cmp::Ordering,
    /// Greater: more humid than the target allows.
    pub(super) humidity: std::cmp::Ordering,
}

/// Where the air of a step lies against the target.
pub(super) fn in_band(room: &Room, series: &Series, like_s: f64, step: usize) -> InBand {
    use std::cmp::Ordering::{Equal, Greater, Less};
    let target = room.target_at(like_s);
    let t = target.dry_bulb_c;
    let (low, high) = if t.is_spread() {
        (t.low, t.high)
    } else {
        (
            t.likely - DRY_BULB_TOLERANCE_K,
            t.likely + DRY_BULB_TOLERANCE_K,
        )
    };
    let place = |x: f64, low: f64, high: f64| {
        if x < low {
            Less
        } else if high < x {
            Greater
        } else {
            Equal
        }
    };
    let humidity = match humidity_band(target.humidity) {
        HumidityBand::Relative(b) => place(series.rel_humidity[step], b.low, b.high),
        HumidityBand::DewPointC(b) => place(series.dew_point_c[step], b.low, b.high),
        // Less VPD is more humid.
        HumidityBand::VpdPa(b) => place(series.vpd_pa[step], b.low, b.high).reverse(),
    };
    InBand {
        dry_bulb: place(series.dry_bulb_c[step], low, high),
        humidity,
    }
}

/// The three periods in the order of [`room::Period::ALL`].
pub(super) fn seen(room: &Room, series: &Series, lit: &Lit) -> [PeriodSeen; 3] {
    use std::cmp::Ordering::{Equal, Greater};
    let mut all = [PeriodSeen::default(); 3];
    for p in &mut all {
        p.highest_rel_humidity.0 = f64::NEG_INFINITY;
        p.lowest_vpd_pa.0 = f64::INFINITY;
    }
    for i in series.known() {
        let Some(period) = lit.period[i] else {
            continue;
        };
        let p = &mut all[period as usize];
        let place = in_band(room, series, lit.like_s[i], i);
        let dt = series.step_s;
        p.known_s += dt;
        p.dry_bulb_in_s += if place.dry_bulb == Equal { dt } else { 0.0 };
        p.too_warm_s += if place.dry_bulb == Greater { dt } else { 0.0 };
        p.humidity_in_s += if place.humidity == Equal { dt } else { 0.0 };
        p.too_humid_s += if place.humidity == Greater { dt } else { 0.0 };
        if place.dry_bulb == Equal && place.humidity == Equal {
            p.both_in_s += dt;
        }
        p.mean_dry_bulb_c += series.dry_bulb_c[i] * dt;
        p.mean_rel_humidity += series.rel_humidity[i] * dt;
        p.mean_vpd_pa += series.vpd_pa[i] * dt;
        p.mean_dew_point_c += series.dew_point_c[i] * dt;
        if p.highest_rel_humidity.0 < series.rel_humidity[i] {
            p.highest_rel_humidity = (series.rel_humidity[i], i);
        }
        if series.vpd_pa[i] < p.lowest_vpd_pa.0 {
            p.lowest_vpd_pa = (series.vpd_pa[i], i);
        }
    }
    for p in all.iter_mut().filter(|p| 0.0 < p.known_s) {
        p.mean_dry_bulb_c /= p.known_s;
        p.mean_rel_humidity /= p.known_s;
        p.mean_vpd_pa /= p.known_s;
        p.mean_dew_point_c /= p.known_s;
    }
    all
}

/// How the air moves in the half hour after the lights switch; means over all
/// switchings that the log shows whole.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Switching {
    /// Switchings counted.
    pub count: usize,
    /// Change of dry bulb \[K\].
    pub dry_bulb_k: f64,
    /// Change of relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Change of humidity ratio \[kg/kg\].
    pub humidity_ratio: f64,
    /// Highest dry bulb in two hours after, above the mean of the hour that
    /// follows them \[K\]: mean of the switchings after which both are known;
    /// `None` where there are none.
    pub overshoot_k: Option<f64>,
    /// The same of the humidity ratio \[kg/kg\].
    pub overshoot_kg_per_kg: Option<f64>,
}

/// After a switching at which steps.
pub(super) fn switching(series: &Series, at: &[usize]) -> Switching {
    let steps = |s: f64| (s / series.step_s).round().max(1.0) as usize;
    let (before, after, two_hours, three_hours) =
        (steps(300.0), steps(1800.0), steps(7200.0), steps(10_800.0));
    let mut sum = Switching::default();
    let (mut over_k, mut over_kg_per_kg) = (Vec::new(), Vec::new());
    for &i in at {
        let (Some(a), b) = (i.checked_sub(before), i + after) else {
            continue;
        };
        if series.len() <= i + three_hours || !series.knows(a) || !series.knows(b) {
            continue;
        }
        sum.count += 1;
        sum.dry_bulb_k += series.dry_bulb_c[b] - series.dry_bulb_c[a];
        sum.rel_humidity += series.rel_humidity[b] - series.rel_humidity[a];
        sum.humidity_ratio += series.humidity_ratio[b] - series.humidity_ratio[a];
        for (of, over) in [
            (&series.dry_bulb_c, &mut over_k),
            (&series.humidity_ratio, &mut over_kg_per_kg),
        ] {
            over.extend(overshoot(of, i, i + two_hours, i + three_hours));
        }
    }
    if 0 < sum.count {
        let n = sum.count as f64;
        sum.dry_bulb_k /= n;
        sum.rel_humidity /= n;
        sum.humidity_ratio /= n;
    }
    sum.overshoot_k = mean(&over_k);
    sum.overshoot_kg_per_kg = mean(&over_kg_per_kg);
    sum
}

/// Highest value from a switching to `settled`, above the mean from then to
/// `end`; `None` where either is not known.
fn overshoot(of: &[f64], at: usize, settled: usize, end: usize) -> Option<f64> {
    let known =
        |part: &[f64]| -> Vec<f64> { part.iter().copied().filter(|x| x.is_finite()).collect() };
    let highest = known(&of[at..settled]).into_iter().max_by(f64::total_cmp)?;
    Some(highest - mean(&known(&of[settled..end]))?)
}

fn mean(all: &[f64]) -> Option<f64> {
    (!all.is_empty()).then(|| all.iter().sum::<f64>() / all.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two switchings overshoot by 2 K and by 4 K; after a third the logger is
    /// silent before the air has come to rest: it tells nothing of the overshoot,
    /// but counts where the air is known.
    #[test]
    fn a_switching_without_a_rest_does_not_count_as_one_without_overshoot() {
        let step_s = 60.0;
        let at = [600, 1200, 1800];
        let mut dry_bulb_c = vec![20.0; 2400];
        let mut humidity_ratio = vec![0.010; 2400];
        for (i, over) in at.into_iter().zip([2.0, 4.0, 9.0]) {
            dry_bulb_c[i + 20] += over;
            humidity_ratio[i + 20] += 0.001 * over;
        }
        for of in [&mut dry_bulb_c, &mut humidity_ratio] {
            of[1800 + 120..1800 + 180].fill(f64::NAN);
        }
        let series = Series {
            step_s,
            instant_s: (0..2400).map(|i| 60 * i).collect(),
            dry_bulb_c,
            rel_humidity: vec![0.6; 2400],
            humidity_ratio,
            ..Series::default()
        };
        let seen = switching(&series, &at);
        assert_eq!(seen.count, 3);
        let close = |x: Option<f64>, y: f64| (x.unwrap() - y).abs() < 1e-9;
        assert!(close(seen.overshoot_k, 3.0), "{seen:?}");
        assert!(close(seen.overshoot_kg_per_kg, 0.003), "{seen:?}");
        let alone = switching(&series, &at[2..]);
        assert_eq!((alone.count, alone.overshoot_k), (1, None));
    }
}

//! The log hour by hour and day by day, and its worst nights.

use room::{Period, Room};

use super::lights::Lit;
use super::periods::in_band;
use super::series::Series;
use super::surfaces::Surfaces;

/// One day of the log, hour by hour of the wall clock; `None` where less than
/// half of an hour is known.
#[derive(Clone, Debug, PartialEq)]
pub struct DayHours {
    /// Day since 1970 on the wall clock.
    pub day: i64,
    /// The hours.
    pub hours: [Option<Hour>; 24],
}

/// One hour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// Mean dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Mean relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// Mean VPD \[Pa\].
    pub vpd_pa: f64,
    /// Share of it that is too humid, 0 to 1.
    pub too_humid: f64,
}

/// All days of the log.
pub(super) fn days(room: &Room, series: &Series, lit: &Lit) -> Vec<DayHours> {
    let mut days: Vec<DayHours> = Vec::new();
    let mut sums = [[0.0_f64; 5]; 24];
    let mut close = |day: i64, sums: &mut [[f64; 5]; 24]| {
        let hours = sums.map(|[n, t, rh, vpd, wet]| {
            (1800.0 <= n * series.step_s).then(|| Hour {
                dry_bulb_c: t / n,
                rel_humidity: rh / n,
                vpd_pa: vpd / n,
                too_humid: wet / n,
            })
        });
        if hours.iter().any(Option::is_some) {
            days.push(DayHours { day, hours });
        }
        *sums = [[0.0; 5]; 24];
    };
    let mut before = series.day.first().copied();
    for i in 0..series.len() {
        if let Some(day) = before
            && day != series.day[i]
        {
            close(day, &mut sums);
            before = Some(series.day[i]);
        }
        if !series.knows(i) {
            continue;
        }
        let hour = &mut sums[(series.second[i] / 3600) as usize % 24];
        let wet = lit.period[i].is_some()
            && in_band(room, series, lit.like_s[i], i).humidity == std::cmp::Ordering::Greater;
        for (sum, x) in hour.iter_mut().zip([
            1.0,
            series.dry_bulb_c[i],
            series.rel_humidity[i],
            series.vpd_pa[i],
            f64::from(u8::from(wet)),
        ]) {
            *sum += x;
        }
    }
    if let Some(day) = before {
        close(day, &mut sums);
    }
    days
}

/// One night: from lights-off to lights-on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Night {
    /// First step.
    pub from: usize,
    /// Step after the last.
    pub to: usize,
    /// Time with readings \[s\].
    pub known_s: f64,
    /// Time too humid \[s\].
    pub too_humid_s: f64,
    /// Highest relative humidity, 0 to 1, and its step.
    pub highest_rel_humidity: (f64, usize),
    /// Least VPD \[Pa\] and its step.
    pub lowest_vpd_pa: (f64, usize),
    /// Time with leaves at risk of wetness \[s\].
    pub leaf_risk_s: f64,
    /// Least margin of the coldest surface \[K\] and its step; `None` without
    /// one.
    pub least_margin_k: Option<(f64, usize)>,
}

/// Nights that are shown.
pub const NIGHTS_SHOWN: usize = 5;

/// The worst nights, the worst first: by time too humid, then by the highest
/// humidity. A room without nights is cut at midnight.
pub(super) fn worst(room: &Room, series: &Series, lit: &Lit, surfaces: &Surfaces) -> Vec<Night> {
    let dark = |i: usize| matches!(lit.period[i], Some(Period::Transition | Period::LightsOff));
    let mut nights = Vec::new();
    let mut from = None;
    for i in 0..=series.len() {
        let goes_on = i < series.len() && dark(i);
        let cut = goes_on && lit.went_out.is_empty() && 0 < i && series.day[i] != series.day[i - 1];
        match (from, goes_on) {
            (None, true) => from = Some(i),
            (Some(start), still) if !still || cut => {
                nights.extend(night(room, series, lit, surfaces, start..i));
                from = still.then_some(i);
            }
            _ => {}
        }
    }
    nights.sort_by(|a, b| {
        let key = |n: &Night| (n.too_humid_s, n.highest_rel_humidity.0);
        key(b)
            .partial_cmp(&key(a))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    nights.truncate(NIGHTS_SHOWN);
    nights
}

fn night(
    room: &Room,
    series: &Series,
    lit: &Lit,
    surfaces: &Surfaces,
    steps: std::ops::Range<usize>,
) -> Option<Night> {
    let mut night = Night {
        from: steps.start,
        to: steps.end,
        known_s: 0.0,
        too_humid_s: 0.0,
        highest_rel_humidity: (0.0, steps.start),
        lowest_vpd_pa: (f64::INFINITY, steps.start),
        leaf_risk_s: 0.0,
        least_margin_k: None,
    };
    for i in steps.filter(|&i| series.knows(i)) {
        night.known_s += series.step_s;
        let place = in_band(room, series, lit.like_s[i], i).humidity;
        if place == std::cmp::Ordering::Greater {
            night.too_humid_s += series.step_s;
        }
        if night.highest_rel_humidity.0 < series.rel_humidity[i] {
            night.highest_rel_humidity = (series.rel_humidity[i], i);
        }
        if series.vpd_pa[i] < night.lowest_vpd_pa.0 {
            night.lowest_vpd_pa = (series.vpd_pa[i], i);
        }
        if surfaces.leaf_risk[i] {
            night.leaf_risk_s += series.step_s;
        }
        let margin_k = surfaces.margin_k[i];
        let is_least = night.least_margin_k.is_none_or(|(k, _)| margin_k < k);
        if margin_k.is_finite() && is_least {
            night.least_margin_k = Some((margin_k, i));
        }
    }
    // A night of which half an hour is known tells nothing.
    (3600.0 <= night.known_s).then_some(night)
}

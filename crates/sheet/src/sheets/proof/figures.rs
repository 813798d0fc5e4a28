//! Figures of the proof.

use job::proof::{Lit, Proof, RunsFrom, UnitRuns, Water};
use quantity::{Band, Dim, UnitSystem};
use readings::date;
use room::{Period, Room};

use crate::charts::{
    self, DayChart, HourCell, Hours, HoursChart, HoursRow, Panel, RunRow, Series, Spread, ZeroLine,
};
use crate::drawing::Drawing;

/// Days in one map.
const DAYS_IN_MAP: usize = 31;
/// Days that are shown at all, the last of the log.
const DAYS_SHOWN: usize = 62;

/// Maps of hours by day, a month each.
pub(super) fn days(proof: &Proof, units: UnitSystem) -> Vec<Drawing> {
    let from = proof.days.len().saturating_sub(DAYS_SHOWN);
    proof.days[from..]
        .chunks(DAYS_IN_MAP)
        .map(|days| {
            let rows = days
                .iter()
                .map(|d| HoursRow {
                    name: date(d.day),
                    cells: d.hours.map(|h| {
                        h.map(|h| HourCell {
                            rel_humidity: h.rel_humidity,
                            too_humid: h.too_humid,
                        })
                    }),
                })
                .collect();
            let chart = HoursChart {
                title: "Relative humidity, hour by hour and day by day".into(),
                subtitle: if from == 0 {
                    String::new()
                } else {
                    format!("the last {DAYS_SHOWN} of {} days", proof.days.len())
                },
                rows,
            };
            charts::hours(&chart, units)
        })
        .collect()
}

/// Middle and spread of all days over the time of day.
pub(super) fn bands(room: &Room, proof: &Proof, units: UnitSystem) -> Drawing {
    const SLOTS: usize = 96;
    let series = &proof.series;
    let panel = |name: &str, dim: Dim, values: &[f64]| {
        let mut slots: Vec<Vec<f64>> = vec![Vec::new(); SLOTS];
        for (x, second) in values.iter().zip(&series.second) {
            if x.is_finite() {
                slots[*second as usize * SLOTS / 86_400].push(*x);
            }
        }
        let mut middle = Vec::new();
        let mut spread = Vec::new();
        for (i, slot) in slots.iter_mut().enumerate() {
            slot.sort_by(f64::total_cmp);
            let at = |share: f64| slot.get((share * slot.len() as f64) as usize).copied();
            let hour = (i as f64 + 0.5) * 24.0 / SLOTS as f64;
            let (low, mid, high) = (at(0.1), at(0.5), at(0.9));
            middle.push((hour, mid.unwrap_or(f64::NAN)));
            spread.push((hour, low.unwrap_or(f64::NAN), high.unwrap_or(f64::NAN)));
        }
        Panel {
            name: name.into(),
            dim,
            series: vec![Series {
                name: name.into(),
                points: middle,
            }],
            spread: Some(Spread {
                of: "days",
                points: spread,
            }),
            targets: Vec::new(),
            outside: Vec::new(),
            zero: ZeroLine::Free,
        }
    };
    let chart = DayChart {
        title: "A day of the log".into(),
        subtitle: String::new(),
        hours: Hours {
            from_h: 0.0,
            to_h: 24.0,
        },
        shown: None,
        first_day: None,
        start_clock_h: 0.0,
        nights: by_file(room),
        panels: vec![
            panel("Dry bulb", Dim::Temperature, &series.dry_bulb_c),
            panel("Relative humidity", Dim::RelHumidity, &series.rel_humidity),
            panel("VPD", Dim::VapourPressure, &series.vpd_pa),
        ],
        runs: Vec::new(),
    };
    charts::day(&chart, units)
}

/// The nights of the room file.
fn by_file(room: &Room) -> Vec<Hours> {
    stretches(0..1440, |m| {
        room.light.is_some() && room.period_at(m as f64 * 60.0) != Period::LightsOn
    })
    .into_iter()
    .map(|(a, b)| Hours {
        from_h: a as f64 / 60.0,
        to_h: b as f64 / 60.0,
    })
    .collect()
}

/// Stretches over which something is so.
fn stretches(range: std::ops::Range<usize>, is: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let end = range.end;
    let mut all: Vec<(usize, usize)> = Vec::new();
    for i in range.filter(|i| is(*i)) {
        match all.last_mut() {
            Some((_, to)) if *to == i => *to = i + 1,
            _ => all.push((i, (i + 1).min(end))),
        }
    }
    all
}

/// Units of which the log tells when they ran; runs that are only reckoned are
/// not drawn as if they had been seen.
fn logged_units(proof: &Proof) -> impl Iterator<Item = &UnitRuns> {
    let is_logged = proof.runs_from == RunsFrom::Log;
    let units = proof.units.iter().filter(move |_| is_logged);
    units.filter(|u| u.run.iter().any(|x| x.is_finite()))
}

/// The worst night with two hours to each side.
pub(super) fn worst_night(proof: &Proof, units: UnitSystem) -> Drawing {
    let series = &proof.series;
    let night = &proof.nights[0];
    let aside = (7200.0 / series.step_s) as usize;
    let from = night.from.saturating_sub(aside);
    let to = (night.to + aside).min(series.len());
    let hour = |i: usize| (i - from) as f64 * series.step_s / 3600.0;
    let panel = |name: &str, dim: Dim, values: &[f64]| Panel {
        name: name.into(),
        dim,
        series: vec![Series {
            name: name.into(),
            points: (from..to).map(|i| (hour(i), values[i])).collect(),
        }],
        spread: None,
        targets: Vec::new(),
        outside: Vec::new(),
        zero: ZeroLine::Free,
    };
    let hours = |(a, b): (usize, usize)| Hours {
        from_h: hour(a),
        to_h: hour(b),
    };
    let runs = logged_units(proof)
        .map(|u| RunRow {
            tag: u.tag.clone(),
            running: stretches(from..to, |i| 0.5 <= u.run[i])
                .into_iter()
                .map(hours)
                .collect(),
            waiting: Vec::new(),
            starts_per_h: (from.max(1)..to)
                .filter(|&i| u.run[i - 1] < 0.5 && 0.5 <= u.run[i])
                .count() as f64
                / hour(to).max(1.0),
        })
        .collect();
    let mut panels = vec![
        panel("Dry bulb", Dim::Temperature, &series.dry_bulb_c),
        panel("Relative humidity", Dim::RelHumidity, &series.rel_humidity),
        panel("VPD", Dim::VapourPressure, &series.vpd_pa),
    ];
    if proof.surfaces.margin_k.iter().any(|m| m.is_finite()) {
        panels.push(Panel {
            zero: ZeroLine::Shown,
            ..panel(
                "Coldest surface above dew point",
                Dim::TemperatureDifference,
                &proof.surfaces.margin_k,
            )
        });
    }
    let chart = DayChart {
        title: format!("The worst night, from {}", series.moment(night.from)),
        subtitle: String::new(),
        hours: Hours {
            from_h: 0.0,
            to_h: hour(to),
        },
        shown: None,
        first_day: None,
        start_clock_h: f64::from(series.second[from]) / 3600.0,
        nights: vec![hours((night.from, night.to))],
        panels,
        runs,
    };
    charts::day(&chart, units)
}

/// The room's air over the whole log, or over a part of it in hours from the
/// midnight before it.
pub fn series(proof: &Proof, shown: Option<Hours>, units: UnitSystem) -> Drawing {
    let series = &proof.series;
    let first_day = series.day.first().copied().unwrap_or(0);
    // By the instants: a clock that is put back makes no time run twice.
    let begin_s = series.second.first().map_or(0.0, |s| f64::from(*s));
    let first_s = series.instant_s.first().copied().unwrap_or(0);
    let hour = |i: usize| {
        let since_s = series
            .instant_s
            .get(i)
            .map_or(0, |s| s.saturating_sub(first_s));
        (begin_s + since_s as f64) / 3600.0
    };
    let end_h = series.len().checked_sub(1).map_or(24.0, hour) + series.step_s / 3600.0;
    let panel = |name: &str, dim: Dim, values: &[f64], zero: ZeroLine| Panel {
        name: name.into(),
        dim,
        series: vec![Series {
            name: name.into(),
            points: values
                .iter()
                .enumerate()
                .map(|(i, x)| (hour(i), *x))
                .collect(),
        }],
        spread: None,
        targets: Vec::new(),
        outside: Vec::new(),
        zero,
    };
    let free = ZeroLine::Free;
    let mut panels = vec![
        panel("Dry bulb", Dim::Temperature, &series.dry_bulb_c, free),
        panel(
            "Relative humidity",
            Dim::RelHumidity,
            &series.rel_humidity,
            free,
        ),
        panel("VPD", Dim::VapourPressure, &series.vpd_pa, free),
    ];
    let margin_k = &proof.surfaces.margin_k;
    if margin_k.iter().any(|m| m.is_finite()) {
        let name = "Coldest surface above dew point";
        panels.push(panel(
            name,
            Dim::TemperatureDifference,
            margin_k,
            ZeroLine::Shown,
        ));
    }
    let at = |(from, to): (usize, usize)| Hours {
        from_h: hour(from),
        to_h: if to < series.len() { hour(to) } else { end_h },
    };
    let runs = logged_units(proof)
        .map(|u| {
            let all = stretches(0..u.run.len(), |i| 0.5 <= u.run[i]);
            RunRow {
                tag: u.tag.clone(),
                starts_per_h: all.len() as f64 / (end_h - begin_s / 3600.0).max(1.0),
                running: all.into_iter().map(at).collect(),
                waiting: Vec::new(),
            }
        })
        .collect();
    let chart = DayChart {
        title: "The log as it ran".into(),
        subtitle: "lowest and highest in each column of the picture".into(),
        hours: Hours {
            from_h: begin_s / 3600.0,
            to_h: end_h,
        },
        shown,
        first_day: Some(first_day),
        start_clock_h: 0.0,
        nights: nights(&proof.lit, series.len())
            .into_iter()
            .map(at)
            .collect(),
        panels,
        runs,
    };
    charts::day(&chart, units)
}

/// What stands under [`series`].
pub fn series_caption(proof: &Proof) -> &'static str {
    if logged_units(proof).next().is_some() {
        "Night shaded; below, when units ran."
    } else {
        "Night shaded. The log does not tell when units ran."
    }
}

/// Steps from each time that the lights went out to the next that they came on.
fn nights(lit: &Lit, steps: usize) -> Vec<(usize, usize)> {
    let next_on = |out: usize| lit.came_on.iter().copied().find(|on| out < *on);
    let mut all: Vec<(usize, usize)> = Vec::new();
    let first_on = lit.came_on.first().copied().unwrap_or(0);
    if lit.went_out.first().is_none_or(|out| first_on < *out) && 0 < first_on {
        all.push((0, first_on));
    }
    let outs = lit.went_out.iter();
    all.extend(outs.map(|out| (*out, next_on(*out).unwrap_or(steps))));
    all
}

/// Load found beside load surveyed, over the clock.
pub(super) fn load(water: &Water, units: UnitSystem) -> Drawing {
    let points = |of: &dyn Fn(usize) -> Option<Band>| -> Vec<(f64, Option<Band>)> {
        (0..24).map(|h| (h as f64 + 0.5, of(h))).collect()
    };
    let found = points(&|h| water.hours[h]);
    let surveyed = points(&|h| water.surveyed.get(h).copied());
    let line = |name: &str, from: &[(f64, Option<Band>)]| Series {
        name: name.into(),
        points: from
            .iter()
            .map(|(h, b)| (*h, b.map_or(f64::NAN, |b| b.likely)))
            .collect(),
    };
    let chart = DayChart {
        title: "Water given off, as found and as surveyed".into(),
        subtitle: String::new(),
        hours: Hours {
            from_h: 0.0,
            to_h: 24.0,
        },
        shown: None,
        first_day: None,
        start_clock_h: 0.0,
        nights: Vec::new(),
        panels: vec![Panel {
            name: "Water of all sources".into(),
            dim: Dim::WaterRate,
            series: vec![line("as found", &found), line("as surveyed", &surveyed)],
            spread: Some(Spread {
                of: "draws",
                points: found
                    .iter()
                    .map(|(h, b)| b.map_or((*h, f64::NAN, f64::NAN), |b| (*h, b.low, b.high)))
                    .collect(),
            }),
            targets: Vec::new(),
            outside: Vec::new(),
            zero: ZeroLine::Shown,
        }],
        runs: Vec::new(),
    };
    charts::day(&chart, units)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_are_joined() {
        assert_eq!(stretches(0..6, |i| i != 2 && i != 5), [(0, 2), (3, 5)]);
    }
}

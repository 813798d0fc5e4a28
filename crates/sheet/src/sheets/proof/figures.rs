//! Figures of the proof.

use job::proof::{Proof, Water};
use quantity::{Band, Dim, UnitSystem};
use room::{Period, Room};

use crate::charts::{
    self, DayChart, HourCell, Hours, HoursChart, HoursRow, Panel, RunRow, Series, Spread, ZeroLine,
};
use crate::drawing::Drawing;

/// Days in one map.
const DAYS_IN_MAP: usize = 31;
/// Days that are shown at all, the last of the log.
const DAYS_SHOWN: usize = 62;

/// A day since 1970 as a date.
///
/// **Source** the count of days of the proleptic Gregorian calendar with years
/// from March, so that the leap day comes last.
pub(super) fn date(day: i64) -> String {
    let z = day + 719_468;
    let era = z.div_euclid(146_097);
    let day_of_era = z.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 {
        shifted + 3
    } else {
        shifted - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

/// Date and time of a step.
pub(super) fn moment(proof: &Proof, step: usize) -> String {
    let series = &proof.series;
    let (Some(day), Some(second)) = (series.day.get(step), series.second.get(step)) else {
        return "?".into();
    };
    format!(
        "{} {:02}:{:02}",
        date(*day),
        second / 3600,
        second / 60 % 60
    )
}

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

/// The worst night with two hours to each side.
pub(super) fn worst_night(proof: &Proof, units: UnitSystem) -> Drawing {
    let series = &proof.series;
    let night = &proof.nights[0];
    let aside = (7200.0 / series.step_s) as usize;
    let from = night.from.saturating_sub(aside);
    let to = (night.to + aside).min(series.len());
    let hour = |i: usize| (i - from) as f64 * series.step_s / 3600.0;
    // A point each five minutes is as fine as paper shows.
    let every = ((300.0 / series.step_s) as usize).max(1);
    let panel = |name: &str, dim: Dim, values: &[f64]| Panel {
        name: name.into(),
        dim,
        series: vec![Series {
            name: name.into(),
            points: (from..to)
                .step_by(every)
                .map(|i| (hour(i), values[i]))
                .collect(),
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
    let runs = proof
        .units
        .iter()
        .filter(|u| u.run.iter().any(|x| x.is_finite()))
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
        title: format!("The worst night, from {}", moment(proof, night.from)),
        subtitle: String::new(),
        hours: Hours {
            from_h: 0.0,
            to_h: hour(to),
        },
        start_clock_h: f64::from(series.second[from]) / 3600.0,
        nights: vec![hours((night.from, night.to))],
        panels,
        runs,
    };
    charts::day(&chart, units)
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

    /// 2000-02-29 is day 11 016 and 2025-03-01 day 20 148 (POSIX time / 86 400).
    #[test]
    fn days_are_dates() {
        for (day, text) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (20_148, "2025-03-01"),
            (-1, "1969-12-31"),
        ] {
            assert_eq!(date(day), text);
        }
    }

    #[test]
    fn stretches_are_joined() {
        assert_eq!(stretches(0..6, |i| i != 2 && i != 5), [(0, 2), (3, 5)]);
    }
}

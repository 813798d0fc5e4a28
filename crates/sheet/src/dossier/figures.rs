//! The figures of a room, each a pure drawing of what was found.

use job::Design;
use quantity::{Band, Dim, UnitSystem, Value};
use room::{Humidity as RoomHumidity, Period as RoomPeriod, Room};
use roomsim::timetable::DAY_S;
use roomsim::{Series as DaySeries, WaterPath};

use super::loads::period_words;
use crate::charts::{
    self, CapacityChart, CapacityRow, DayChart, Hours, Humidity, LoadChart, Need, Panel, Part,
    PathPoint, Period, PsychrometricChart, RangeChart, RangeRow, RunRow, Series, Spread, Target,
    TargetField, ZeroLine,
};
use crate::drawing::Drawing;

/// Rated capacity beside capacity at room air, with what is needed.
pub fn capacity(design: &Design, units: UnitSystem) -> Drawing {
    let selection = &design.selection;
    let has = |period| design.load.period(period).is_some();
    let row = |words: String, remark: &str, groups: &[(String, u32)]| {
        let sum = |pick: &dyn Fn(&job::selection::ModelCapacity) -> f64| {
            groups
                .iter()
                .filter_map(|(code, count)| {
                    let one = selection.capacities.iter().find(|c| c.code == *code)?;
                    Some(pick(one) * f64::from(*count))
                })
                .sum()
        };
        CapacityRow {
            name: words,
            remark: remark.to_owned(),
            rated: sum(&|c| c.rated_kg_per_s),
            lights_on: has(RoomPeriod::LightsOn).then(|| sum(&|c| c.lights_on.removal_kg_per_s)),
            lights_off: has(RoomPeriod::LightsOff).then(|| sum(&|c| c.lights_off.removal_kg_per_s)),
        }
    };
    let mut rows = Vec::new();
    for (candidate, remark) in [
        (&selection.present, "in the room"),
        (&selection.chosen, "chosen"),
        (&selection.runner_up, "runner-up"),
    ] {
        if let Some(c) = candidate {
            rows.push(row(c.judged.units.words(), remark, c.judged.units.groups()));
        }
    }
    if rows.is_empty()
        && let Some(best) = selection.candidates.first()
    {
        rows.push(row(
            best.judged.units.words(),
            "best tried",
            best.judged.units.groups(),
        ));
    }
    let need = |period| {
        let given = design.load.period(period)?.mean.water_kg_per_s;
        let coils = coil_water_kg_per_s(design, period);
        Some(Band {
            low: (given.low - coils).max(0.0),
            likely: (given.likely - coils).max(0.0),
            high: (given.high - coils).max(0.0),
        })
    };
    let chart = CapacityChart {
        title: "Capacity as rated and at this room's air".into(),
        subtitle: capacity_subtitle(design, units),
        rows,
        need: Need {
            lights_on: need(RoomPeriod::LightsOn),
            lights_off: need(RoomPeriod::LightsOff),
        },
    };
    charts::capacity(&chart, units)
}

/// What the need is, with what the cooling coils take where they take most.
fn capacity_subtitle(design: &Design, units: UnitSystem) -> String {
    let with = |period| {
        let coils = coil_water_kg_per_s(design, period);
        (0.0 < coils).then(|| Value::new(coils, Dim::WaterRate).digits(2).show(units))
    };
    let on = with(RoomPeriod::LightsOn).map(|c| format!("{c} with lights on"));
    let off = with(RoomPeriod::LightsOff).map(|c| match design.load.period(RoomPeriod::LightsOn) {
        Some(_) => format!("{c} with lights off"),
        None => c,
    });
    match on.or(off) {
        Some(coils) => {
            format!(
                "Needed of the units: the mean load without what cooling coils remove ({coils})"
            )
        }
        None => "Needed: mean load of each period".to_owned(),
    }
}

/// Water that the cooling coils take out of the air in a period of the typical
/// day \[kg/s\].
pub(super) fn coil_water_kg_per_s(design: &Design, period: RoomPeriod) -> f64 {
    let simulated = match period {
        RoomPeriod::LightsOn => roomsim::Period::LightsOn,
        RoomPeriod::Transition => roomsim::Period::Transition,
        RoomPeriod::LightsOff => roomsim::Period::LightsOff,
    };
    let p = design.day.summary.period(simulated);
    if p.time_s <= 0.0 {
        return 0.0;
    }
    (-p.water_kg[WaterPath::Cooling as usize] / p.time_s).max(0.0)
}

/// Water by source over the clock, or over a part of it.
pub fn load(room: &Room, design: &Design, shown: Option<Hours>, units: UnitSystem) -> Drawing {
    let hours = &design.load.hours;
    let sources = hours.first().map_or(0, |h| h.sources.len());
    let part = |i: usize| Part {
        name: hours[0].sources[i].source.word().to_owned(),
        values: hours
            .iter()
            .map(|h| h.sources[i].mean_water_kg_per_s)
            .collect(),
    };
    let total = |p: &Part| p.values.iter().sum::<f64>();
    let mut given: Vec<Part> = Vec::new();
    let mut taken: Vec<Part> = Vec::new();
    for p in (0..sources).map(part) {
        if 0.0 < total(&p) {
            given.push(p);
        } else if total(&p) < 0.0 {
            taken.push(Part {
                values: p.values.iter().map(|x| -x).collect(),
                ..p
            });
        }
    }
    given.sort_by(|a, b| unsteadiness(a).total_cmp(&unsteadiness(b)));
    let peak = hours
        .iter()
        .enumerate()
        .max_by(|(_, a), (_, b)| a.water_kg_per_s.likely.total_cmp(&b.water_kg_per_s.likely))
        .map_or(0, |(h, _)| h);
    let chart = LoadChart {
        title: format!("Most water at {peak:02}:00 to {:02}:00", (peak + 1) % 24),
        subtitle: "Water given to the air by source, mean of the drawn days".into(),
        total: "all sources".into(),
        dim: Dim::WaterRate,
        hours: (0..hours.len()).map(|h| h as f64 + 0.5).collect(),
        shown,
        start_clock_h: 0.0,
        nights: nights(room),
        parts: given,
        taken,
    };
    charts::load(&chart, units)
}

/// Standard deviation over mean: the steadiest part lies at the bottom.
fn unsteadiness(part: &Part) -> f64 {
    let n = part.values.len() as f64;
    let mean = part.values.iter().sum::<f64>() / n;
    let variance = part.values.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / n;
    variance.sqrt() / mean
}

/// Low, likely and high water of each period.
pub fn ranges(room: &Room, design: &Design, units: UnitSystem) -> Drawing {
    let chart = RangeChart {
        title: "How well the water is known".into(),
        subtitle: "Mean rate over each period, 10-90 % of draws".into(),
        quantity: "Water given to the air".into(),
        dim: Dim::WaterRate,
        rows: design
            .load
            .periods
            .iter()
            .map(|p| RangeRow {
                name: period_words(room, p.period).to_owned(),
                band: p.mean.water_kg_per_s,
            })
            .collect(),
    };
    charts::range(&chart, units)
}

/// Curves of the typical day, or of a part of it.
pub fn day(room: &Room, design: &Design, shown: Option<Hours>, units: UnitSystem) -> Drawing {
    let d = &design.day;
    let s = &d.series;
    let spread = |bands: &[Band]| Spread {
        of: "draws",
        points: bands
            .iter()
            .enumerate()
            .map(|(i, b)| {
                let h = (i + 1) as f64 * job::day::SPREAD_STEP_S / 3600.0;
                (h, b.low, b.high)
            })
            .collect(),
    };
    let panel = |name: &str, dim: Dim, values: &[f64], bands: &[Band], targets: Vec<Target>| {
        let outside = outside(s, values, &targets);
        Panel {
            name: name.to_owned(),
            dim,
            series: vec![Series {
                name: name.to_owned(),
                points: thinned(s, values, shown),
            }],
            spread: Some(spread(bands)),
            targets,
            outside,
            zero: ZeroLine::Free,
        }
    };
    let water = |name: &str, paths: &[WaterPath]| Series {
        name: name.to_owned(),
        points: averaged(s, |i| {
            paths.iter().map(|p| s.water_kg_per_s[i][*p as usize]).sum()
        }),
    };
    let panels = vec![
        panel(
            "Dry bulb",
            Dim::Temperature,
            &s.dry_bulb_c,
            &d.spread.dry_bulb_c,
            dry_bulb_targets(room),
        ),
        panel(
            "Relative humidity",
            Dim::RelHumidity,
            &s.rel_humidity,
            &d.spread.rel_humidity,
            humidity_targets(room, job::HUMIDITY_TOLERANCE.rel_humidity, |h| match h {
                RoomHumidity::RelHumidity(b) => Some(b),
                _ => None,
            }),
        ),
        panel(
            "VPD of the air",
            Dim::VapourPressure,
            &s.vpd_pa,
            &d.spread.vpd_pa,
            humidity_targets(room, job::HUMIDITY_TOLERANCE.vpd_pa, |h| match h {
                RoomHumidity::VpdPa(b) => Some(b),
                _ => None,
            }),
        ),
        Panel {
            name: "Water to and from the air".into(),
            dim: Dim::WaterRate,
            series: vec![
                water(
                    "crop",
                    &[WaterPath::Crop, WaterPath::Medium, WaterPath::Drying],
                ),
                water("units", &[WaterPath::Dehumidifiers]),
                water("cooling", &[WaterPath::Cooling]),
            ],
            spread: None,
            targets: Vec::new(),
            outside: Vec::new(),
            zero: ZeroLine::Shown,
        },
    ];
    let chart = DayChart {
        title: day_title(design),
        subtitle: format!("Typical drawn day with {}", d.units.words()),
        hours: Hours {
            from_h: 0.0,
            to_h: 24.0,
        },
        shown,
        first_day: None,
        start_clock_h: 0.0,
        nights: nights(room),
        panels,
        runs: runs(design),
    };
    charts::day(&chart, units)
}

fn day_title(design: &Design) -> String {
    let wet_h: f64 = design
        .day
        .summary
        .periods
        .iter()
        .map(|p| p.too_humid_s)
        .sum::<f64>()
        / 3600.0
        / f64::from(design.day.summary.days);
    if wet_h <= 0.0 {
        "Never above the wet limit".into()
    } else if wet_h < 1.0 {
        let minutes = (60.0 * wet_h).ceil();
        format!("Above the wet limit for {minutes:.0} min")
    } else {
        format!("Above the wet limit for {wet_h:.1} h")
    }
}

/// One value in five minutes is as fine as the paper shows of a day; of a part
/// of it every value is shown.
fn thinned(s: &DaySeries, values: &[f64], shown: Option<Hours>) -> Vec<(f64, f64)> {
    let every = match shown {
        None => (300.0 / s.step_s).round().max(1.0) as usize,
        Some(_) => 1,
    };
    values
        .iter()
        .enumerate()
        .step_by(every)
        .map(|(i, v)| (s.time_s(i) / 3600.0, *v))
        .collect()
}

/// Means over a quarter of an hour: machines that switch would scribble.
fn averaged(s: &DaySeries, value: impl Fn(usize) -> f64) -> Vec<(f64, f64)> {
    let block = (900.0 / s.step_s).round().max(1.0) as usize;
    (0..s.len() / block)
        .map(|b| {
            let steps = b * block..(b + 1) * block;
            let mean = steps.clone().map(&value).sum::<f64>() / block as f64;
            (s.time_s(steps.start + block / 2) / 3600.0, mean)
        })
        .collect()
}

/// Hours in which `values` leave the limits that hold then.
fn outside(s: &DaySeries, values: &[f64], targets: &[Target]) -> Vec<Hours> {
    let is_out = |i: usize| {
        let h = s.time_s(i) / 3600.0;
        targets.iter().any(|t| {
            t.hours.from_h <= h
                && h < t.hours.to_h
                && (t.low.is_some_and(|l| values[i] < l) || t.high.is_some_and(|l| l < values[i]))
        })
    };
    stretches(s, is_out)
}

/// Stretches of time in which a condition holds.
fn stretches(s: &DaySeries, holds: impl Fn(usize) -> bool) -> Vec<Hours> {
    let mut found = Vec::new();
    let mut since: Option<f64> = None;
    for i in 0..s.len() {
        let begin_h = (s.time_s(i) - s.step_s) / 3600.0;
        match (holds(i), since) {
            (true, None) => since = Some(begin_h),
            (false, Some(from_h)) => {
                found.push(Hours {
                    from_h,
                    to_h: begin_h,
                });
                since = None;
            }
            _ => {}
        }
    }
    if let Some(from_h) = since {
        found.push(Hours {
            from_h,
            to_h: s.time_s(s.len().saturating_sub(1)) / 3600.0,
        });
    }
    found
}

fn runs(design: &Design) -> Vec<RunRow> {
    let d = &design.day;
    d.units
        .models()
        .zip(&d.summary.dehumidifiers)
        .enumerate()
        .map(|(unit, (_, sums))| RunRow {
            tag: format!("D{}", unit + 1),
            running: stretches(&d.series, |i| d.series.dehumidifiers_on[i] >> unit & 1 == 1),
            waiting: Vec::new(),
            starts_per_h: f64::from(sums.starts) / (24.0 * f64::from(d.summary.days)),
        })
        .collect()
}

/// Hours of the clock with lights off, to be shaded; none in a room that is
/// never lit, where all hours are alike.
pub(super) fn nights(room: &Room) -> Vec<Hours> {
    if room.light.is_some() {
        hours_of(room, Lit::Off)
    } else {
        Vec::new()
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Lit {
    On,
    Off,
}

fn hours_of(room: &Room, lit: Lit) -> Vec<Hours> {
    let lit = lit == Lit::On;
    let whole = Hours {
        from_h: 0.0,
        to_h: 24.0,
    };
    let Some(light) = room.light.as_ref().filter(|l| 0.0 < l.photoperiod_s.value) else {
        return if lit { Vec::new() } else { vec![whole] };
    };
    if DAY_S <= light.photoperiod_s.value {
        return if lit { vec![whole] } else { Vec::new() };
    }
    let on_h = f64::from(light.on_s.value) / 3600.0;
    let off_h = (on_h + light.photoperiod_s.value / 3600.0).rem_euclid(24.0);
    let (from_h, to_h) = if lit { (on_h, off_h) } else { (off_h, on_h) };
    if from_h < to_h {
        vec![Hours { from_h, to_h }]
    } else {
        [Hours { from_h: 0.0, to_h }, Hours { from_h, to_h: 24.0 }]
            .into_iter()
            .filter(|h| h.from_h < h.to_h)
            .collect()
    }
}

fn targets_by_period(room: &Room, of: impl Fn(&room::Target) -> Option<Band>) -> Vec<Target> {
    let one = |hours: Vec<Hours>, period: RoomPeriod| {
        let band = of(room.targets.of(period));
        hours.into_iter().filter_map(move |hours| {
            let b = band?;
            Some(Target {
                hours,
                low: Some(b.low),
                high: Some(b.high),
            })
        })
    };
    one(hours_of(room, Lit::On), RoomPeriod::LightsOn)
        .chain(one(hours_of(room, Lit::Off), RoomPeriod::LightsOff))
        .collect()
}

fn dry_bulb_targets(room: &Room) -> Vec<Target> {
    targets_by_period(room, |t| {
        Some(widened(t.dry_bulb_c.value, job::DRY_BULB_TOLERANCE_K))
    })
}

/// - `within`: how far one number may be missed, in the unit of the band
fn humidity_targets(
    room: &Room,
    within: f64,
    pick: impl Fn(RoomHumidity) -> Option<Band>,
) -> Vec<Target> {
    targets_by_period(room, |t| {
        Some(widened(pick(t.humidity.as_ref()?.value)?, within))
    })
}

/// A target as the day is judged by it: one number stands for what counts as
/// on target.
fn widened(b: Band, by: f64) -> Band {
    if b.is_spread() {
        b
    } else {
        Band::new(b.low - by, b.likely, b.high + by)
    }
}

/// The day's path on the psychrometric chart.
pub fn psychrometric(room: &Room, design: &Design, units: UnitSystem) -> Drawing {
    let s = &design.day.series;
    let hours = s.len() as f64 * s.step_s / 3600.0;
    let path = (0..hours as usize)
        .map(|h| {
            let per_hour = (3600.0 / s.step_s) as usize;
            let steps = h * per_hour..(h + 1) * per_hour;
            let lit = steps.clone().filter(|&i| 0.5 < s.light[i]).count() * 2 > per_hour;
            PathPoint {
                clock_h: h as f64 + 0.5,
                dry_bulb_c: median(&s.dry_bulb_c[steps.clone()]),
                humidity_ratio: median(&s.humidity_ratio[steps]),
                period: if lit {
                    Period::LightsOn
                } else {
                    Period::LightsOff
                },
            }
        })
        .collect();
    let field = |period: RoomPeriod, shown: Period| {
        let target = room.targets.of(period);
        let t = target.dry_bulb_c.value;
        let humidity = match target.humidity.as_ref()?.value {
            RoomHumidity::RelHumidity(b) => {
                let b = widened(b, job::HUMIDITY_TOLERANCE.rel_humidity);
                Humidity::Rel {
                    low: b.low,
                    high: b.high,
                }
            }
            RoomHumidity::VpdPa(b) => {
                let b = widened(b, job::HUMIDITY_TOLERANCE.vpd_pa);
                Humidity::Vpd {
                    low_pa: b.low,
                    high_pa: b.high,
                    leaf_rise_k: 0.0,
                }
            }
            RoomHumidity::DewPointC(_) => return None,
        };
        let dry_bulb = widened(t, job::DRY_BULB_TOLERANCE_K);
        Some(TargetField {
            period: shown,
            dry_bulb_c: (dry_bulb.low, dry_bulb.high),
            humidity,
        })
    };
    let mut targets = Vec::new();
    if 0.0 < room.period_length_s(RoomPeriod::LightsOn) {
        targets.extend(field(RoomPeriod::LightsOn, Period::LightsOn));
    }
    if 0.0 < room.period_length_s(RoomPeriod::LightsOff) {
        targets.extend(field(RoomPeriod::LightsOff, Period::LightsOff));
    }
    let chart = PsychrometricChart {
        title: format!("The day of {}", room.name.value),
        pressure_pa: job::airs::pressure_pa(&room.site),
        altitude_m: room
            .site
            .pressure_pa
            .is_none()
            .then_some(room.site.altitude_m.value),
        targets,
        path,
        processes: Vec::new(),
    };
    charts::psychrometric(&chart, units)
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(f64::NAN)
}

//! Workings of the water found: the moisture balance turned round.

use quantity::{Dim, Input, Source, Value, Working};

use super::{LOG, algebra, logged, procedure};
use crate::proof::fit::Fit;
use crate::proof::physics::{Physics, WindowWater};
use crate::proof::windows::WINDOW_S;
use crate::proof::{Again, Found, Unknown, Water};

const BALANCE: Source =
    Source::published("conservation of mass", "moisture of one well-mixed room");
const LEAST_SQUARES: Source = Source::assumed(
    "least squares on the rests of all half hours and on what the survey knew, by Gauss and Newton; its spread from fits drawn at random",
);

pub(super) fn workings(water: &Water, physics: &Physics<'_>, fit: &Fit) -> Vec<Working> {
    let at_middle = physics.water(&fit.point);
    let n = at_middle.len() as f64;
    let over_s = n * WINDOW_S;
    let rate = |pick: Pick<'_>| at_middle.iter().map(pick).sum::<f64>() / over_s;
    let units = units(water, &rate, fit);
    let cooling = cooling(water, &rate, fit);
    let stored = stored(physics, &at_middle, over_s, fit);
    let load = algebra(
        (
            "water given off, mean of the log, where it is explained best".into(),
            "w_load",
        ),
        "w_units + w_cooling - w_stored",
        vec![
            Input::computed(units.clone()),
            Input::computed(cooling.clone()),
            Input::computed(stored),
        ],
        Value::new(rate(&WindowWater::load), Dim::WaterRate),
        BALANCE,
    );
    let mut all = vec![units, cooling, load.clone()];
    all.extend(of_a_day(water, &load, fit));
    all.push(rest(water, n));
    all.extend(
        water
            .found
            .iter()
            .flat_map(|f| unknown(f, water, n, fit.drawn.len())),
    );
    all
}

/// A part of the water of a window \[kg\].
type Pick<'a> = &'a dyn Fn(&WindowWater) -> f64;
/// Mean rate of a part over the log \[kg/s\].
type Rate<'a> = &'a dyn Fn(Pick<'_>) -> f64;

/// The factor of an unknown where what was logged is explained best.
fn factor(water: &Water, fit: &Fit, unknown: Unknown, symbol: &'static str) -> Input {
    Input::given(
        format!(
            "{}, where the log is explained best",
            water.words_of(unknown)
        ),
        symbol,
        Value::new(fit.point[unknown as usize].exp(), Dim::Number),
        LEAST_SQUARES,
    )
}

fn units(water: &Water, rate: Rate<'_>, fit: &Fit) -> Working {
    let by_record = Source::measured(
        LOG,
        "record of each unit at the air of each step, by the share of the step that it ran",
    );
    algebra(
        ("water that the units take".into(), "w_units"),
        "k_units * w_record - k_drying * w_back",
        vec![
            factor(water, fit, Unknown::UnitCapacity, "k_units"),
            Input::given(
                "water by their records along the log",
                "w_record",
                Value::new(rate(&|w| w.by_record), Dim::WaterRate),
                by_record,
            ),
            factor(water, fit, Unknown::CoilDrying, "k_drying"),
            Input::given(
                "water that goes back from resting coils as reckoned",
                "w_back",
                Value::new(rate(&|w| w.back), Dim::WaterRate),
                Source::measured(LOG, "wet coils under fans that go on running"),
            ),
        ],
        // The same number as the report shows.
        Value::new(water.removed_kg_per_day.0 / 86_400.0, Dim::WaterRate).digits(2),
        BALANCE,
    )
}

fn cooling(water: &Water, rate: Rate<'_>, fit: &Fit) -> Working {
    let found = rate(&|w| w.cooling);
    let k = fit.point[Unknown::CoilWater as usize].exp();
    algebra(
        ("water that the cooling coils take".into(), "w_cooling"),
        "k_coil * w_ratio",
        vec![
            factor(water, fit, Unknown::CoilWater, "k_coil"),
            Input::given(
                "heat that cooling must carry, times the ratio of latent to sensible heat of its machines at the logged air, over the enthalpy of vapour",
                "w_ratio",
                Value::new(found / k, Dim::WaterRate),
                Source::assumed(
                    "cooling carries what lights, leaves, walls and units give to the air, less what warms it",
                ),
            ),
        ],
        // The same number as the report shows.
        Value::new(water.removed_kg_per_day.1 / 86_400.0, Dim::WaterRate).digits(2),
        BALANCE,
    )
}

fn stored(physics: &Physics<'_>, all: &[WindowWater], over_s: f64, fit: &Fit) -> Working {
    let mean = |kg: f64| kg / over_s;
    let multiple = all.first().map_or(1.0, |w| w.multiple);
    let change: f64 = all.iter().map(|w| w.change).sum();
    let stored: f64 = all.iter().map(|w| w.stored).sum();
    let of_air = -physics.air_kg * multiple * change;
    // What rounding leaves of a difference of equals is nothing.
    const ROUNDING: f64 = 1e-9;
    let flows: f64 = all.iter().map(|w| w.stored.abs()).sum();
    let of_layer = match stored - of_air {
        kg if kg.abs() <= ROUNDING * flows => 0.0,
        kg => kg,
    };
    let source = if multiple == fit.point[Unknown::Store as usize].exp() {
        LEAST_SQUARES
    } else {
        Source::measured("the room file", "envelope")
    };
    algebra(
        (
            "water that comes out of the air and of what stores it".into(),
            "w_stored",
        ),
        "w_layer - m_air * M * dW / s",
        vec![
            logged(
                "water out of the surveyed layer",
                "w_layer",
                mean(of_layer),
                Dim::WaterRate,
            ),
            Input::given(
                "dry air of the room",
                "m_air",
                Value::new(physics.air_kg, Dim::Mass),
                Source::measured(
                    "volume of the room file over the specific volume of its usual air",
                    "",
                ),
            ),
            Input::given(
                "moisture capacity over that of the air",
                "M",
                Value::new(multiple, Dim::Number),
                source,
            ),
            logged(
                "rise of the humidity ratio, summed over all half hours",
                "dW",
                change,
                Dim::HumidityRatio,
            ),
            logged("time of all half hours", "s", over_s, Dim::Duration),
        ],
        Value::new(mean(stored), Dim::WaterRate),
        BALANCE,
    )
}

/// Low, likely and high of the load of a day.
fn of_a_day(water: &Water, load: &Working, fit: &Fit) -> Vec<Working> {
    let Some(day) = water.kg_per_day else {
        return Vec::new();
    };
    let drawn = format!(
        "{} fits drawn at random; for each the balance of every half hour, its mean by hour of the day, and the mean of the 24 hours; reaching to what is likely",
        fit.drawn.len()
    );
    let likely = "the balance of every half hour where the log is explained best, its mean by hour of the day, and the mean of the 24 hours";
    [
        (day.low, "10th percentile", drawn.clone()),
        (day.likely, "likely", likely.into()),
        (day.high, "90th percentile", drawn),
    ]
    .map(|(kg, which, how)| {
        procedure(
            (
                format!("water that the room gives off over a day, {which}"),
                "w_day",
            ),
            how,
            vec![Input::computed(load.clone())],
            Value::new(kg / 86_400.0, Dim::WaterRate).digits(2),
            LEAST_SQUARES,
        )
    })
    .into()
}

fn rest(water: &Water, n: f64) -> Working {
    procedure(
        ("water that a half hour leaves unexplained".into(), "m_rest"),
        "spread of given off + stored - taken over all half hours where the log is explained best, far ones cut, those beside a switching of lights that only the room file tells of counted a quarter, at least 3 % of what passes",
        vec![logged("half hours", "n", n, Dim::Count)],
        Value::new(water.rest_kg, Dim::Water).digits(2),
        BALANCE,
    )
}

/// Low, likely and high of an unknown.
fn unknown(found: &Found, water: &Water, n: f64, fits: usize) -> Vec<Working> {
    let dim = found.unknown.dim();
    let value = |si: f64| Value::new(si, dim).digits(2);
    let words = water.words_of(found.unknown);
    let known = |name: &'static str, symbol: &'static str, si: f64| {
        Input::given(
            name,
            symbol,
            value(si),
            Source::assumed("the survey, its defaults and the spread taken for them"),
        )
    };
    let of = |which: &str, how: &'static str, result: f64| {
        procedure(
            (format!("{words}, as found, {which}"), "x"),
            how,
            vec![
                known("10th percentile before", "x_low", found.before.low),
                known("likely before", "x_likely", found.before.likely),
                known("90th percentile before", "x_high", found.before.high),
                logged("half hours", "n", n, Dim::Count),
                logged("spread of a rest", "m_rest", water.rest_kg, Dim::Water),
                logged(
                    "by which its variance is raised, since rests are alike",
                    "r",
                    water.raised,
                    Dim::Number,
                ),
                logged("fits drawn", "n_fits", fits as f64, Dim::Count),
            ],
            value(result),
            LEAST_SQUARES,
        )
    };
    const DRAWN: &str = "percentile of fits drawn at random: what was known before and the rest of each half hour are moved by as much as they spread, then least squares on the balance and on what was known; reaching to what is likely";
    const LIKELY: &str = "least squares on the balance of each half hour and on what was known";
    vec![
        of("likely", LIKELY, found.after.likely),
        of("10th percentile", DRAWN, found.after.low),
        of("90th percentile", DRAWN, found.after.high),
    ]
}

/// The drawn days that the units hold as found.
pub(super) fn days_held(again: &Again) -> Working {
    let (held, days) = again.found;
    algebra(
        ("share of drawn days held, as found".into(), "x_held"),
        "n_held / n_days",
        vec![
            Input::given(
                "drawn days that hold, with the water and the units as found",
                "n_held",
                Value::new(held as f64, Dim::Count),
                Again::SOURCE,
            ),
            Input::given(
                "drawn days simulated",
                "n_days",
                Value::new(days as f64, Dim::Count),
                Again::SOURCE,
            ),
        ],
        Value::new(held as f64 / days.max(1) as f64, Dim::Fraction).digits(2),
        Again::SOURCE,
    )
}

//! How the figures of the typical day came about. The day itself is a
//! procedure; shares and rates follow from what it summed up.

use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::Room;
use roomsim::{Period, PeriodSummary, WaterPath};

use super::Day;
use crate::finding::when_simulated;

const SIMULATED: Source = Source::assumed(
    "one well-mixed room stepped by the minute under its controls, one day to settle and one counted; the draw nearest the middle of all",
);
const PARTS: Source = Source::assumed("a part over the whole");
const DAY_S: f64 = 86_400.0;

/// A path of water in words.
pub const fn path_word(path: WaterPath) -> &'static str {
    match path {
        WaterPath::Crop => "canopy",
        WaterPath::Medium => "growing medium",
        WaterPath::Surfaces => "tanks and wet floor",
        WaterPath::People => "people",
        WaterPath::Burner => "burner",
        WaterPath::Drying => "crop hung to dry",
        WaterPath::Other => "other gains",
        WaterPath::Exchange => "air exchange",
        WaterPath::Storage => "stored in contents",
        WaterPath::Cooling => "cooling coils",
        WaterPath::Dehumidifiers => "dehumidifiers",
        WaterPath::Condensation => "dew on surfaces",
    }
}

/// The figures of each period, then the water by path.
pub fn workings(room: &Room, day: &Day) -> Vec<Working> {
    let mut all = Vec::new();
    for period in [Period::LightsOn, Period::Transition, Period::LightsOff] {
        let p = day.summary.period(period);
        if 0.0 < p.time_s {
            all.extend(of_period(p, when_simulated(room, period)));
        }
    }
    let days = f64::from(day.summary.days);
    for path in WaterPath::ALL {
        let kg = day.summary.water_kg(path);
        if kg != 0.0 {
            all.push(rate(path, kg, days));
        }
    }
    all
}

fn of_period(p: &PeriodSummary, when: &str) -> [Working; 6] {
    let found = |what: &str, symbol: &'static str, how: &'static str, result: Value| Working {
        name: format!("{what} {when}").into(),
        symbol: symbol.into(),
        equation: Equation::Procedure(how.into()),
        inputs: Vec::new(),
        result,
        source: SIMULATED,
    };
    let share = |what: &str, symbol: &'static str, part_s: f64| Working {
        name: format!("{what} {when}").into(),
        symbol: symbol.into(),
        equation: Equation::Algebra("t / t_period".into()),
        inputs: vec![
            Input::given("time so", "t", Value::new(part_s, Dim::Duration), SIMULATED),
            Input::given(
                "length of the period",
                "t_period",
                Value::new(p.time_s, Dim::Duration),
                SIMULATED,
            ),
        ],
        result: Value::new(part_s / p.time_s, Dim::Fraction).digits(2),
        source: PARTS,
    };
    const MEAN: &str = "mean over the minutes of the period in the typical day";
    const MOST: &str = "the highest minute of the period in the typical day";
    const LEAST: &str = "the lowest minute of the period in the typical day";
    let rh = |x: f64| Value::new(x, Dim::RelHumidity).digits(2);
    [
        found(
            "mean dry bulb",
            "T",
            MEAN,
            Value::new(p.mean_dry_bulb_c, Dim::Temperature),
        ),
        found(
            "mean relative humidity",
            "phi",
            MEAN,
            rh(p.mean_rel_humidity),
        ),
        found(
            "highest relative humidity",
            "phi_max",
            MOST,
            rh(p.highest_rel_humidity.value),
        ),
        found(
            "least VPD of the air",
            "VPD_min",
            LEAST,
            Value::new(p.lowest_vpd_pa.value, Dim::VapourPressure).digits(2),
        ),
        share(
            "share of time in the humidity band",
            "s_in",
            p.humidity_in_band_s,
        ),
        share("share of time too wet", "s_wet", p.too_humid_s),
    ]
}

/// Water of one path as a rate over the day.
fn rate(path: WaterPath, kg: f64, days: f64) -> Working {
    let given = |name: &'static str, symbol: &'static str, value: Value| {
        Input::given(name, symbol, value, SIMULATED)
    };
    Working {
        name: format!("water by {} a day", path_word(path)).into(),
        symbol: "m_rate".into(),
        equation: Equation::Algebra("m / n / t_day".into()),
        inputs: vec![
            given(
                "water over the days counted",
                "m",
                Value::new(kg, Dim::Water),
            ),
            given("days counted", "n", Value::new(days, Dim::Count)),
            given("length of a day", "t_day", Value::new(DAY_S, Dim::Duration)),
        ],
        result: Value::new(kg / days / DAY_S, Dim::WaterRate),
        source: PARTS,
    }
}

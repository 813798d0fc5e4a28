//! A humidity sensor held over saturated salt solutions.

use quantity::{
    Dim, Equation, Finding, Input, Place, Severity, Source, Step, Text, Value, Working,
};

use super::gum::rectangular;
use super::{Estimate, GUM, Judgement, Verdict, read};
use crate::finding::Said;

/// A salt whose saturated solution keeps the air over it at a known humidity.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Salt {
    /// Lithium chloride, 11 %.
    LithiumChloride,
    /// Magnesium chloride, 33 %.
    MagnesiumChloride,
    /// Sodium chloride, 75 %.
    SodiumChloride,
    /// Potassium chloride, 84 %.
    PotassiumChloride,
}

/// Each salt with its word, coefficients of its humidity in percent over °C,
/// and the uncertainty of that in percent at 5, 10 to 40 °C.
const SALTS: [(Salt, &str, [f64; 4], [f64; 8]); 4] = [
    (
        Salt::LithiumChloride,
        "LiCl",
        // The sign of the second one is often copied wrong: the printed table
        // is flat from 5 to 25 °C.
        [11.2323, 0.008_242_45, -2.148_90e-4, 0.0],
        [0.47, 0.41, 0.35, 0.31, 0.27, 0.24, 0.22, 0.21],
    ),
    (
        Salt::MagnesiumChloride,
        "MgCl2",
        [33.6686, -0.007_973_97, -1.089_88e-3, 0.0],
        [0.28, 0.24, 0.21, 0.18, 0.16, 0.14, 0.13, 0.13],
    ),
    (
        Salt::SodiumChloride,
        "NaCl",
        [75.5164, 0.039_832_1, -2.654_59e-3, 2.848e-5],
        [0.27, 0.22, 0.18, 0.14, 0.12, 0.11, 0.12, 0.13],
    ),
    (
        Salt::PotassiumChloride,
        "KCl",
        [88.6190, -0.193_340, 8.997_06e-4, 0.0],
        [0.45, 0.39, 0.33, 0.29, 0.26, 0.25, 0.25, 0.25],
    ),
];

/// Where the coefficients come from.
pub const GREENSPAN: Source = Source::published(
    "Greenspan 1977, J. Res. NBS 81A:89-96",
    "coefficients read second hand, uncertainties from memory",
);

impl Salt {
    /// All of them.
    pub const ALL: [Self; 4] = [
        Self::LithiumChloride,
        Self::MagnesiumChloride,
        Self::SodiumChloride,
        Self::PotassiumChloride,
    ];

    fn row(self) -> &'static (Salt, &'static str, [f64; 4], [f64; 8]) {
        let place = SALTS.iter().position(|(s, ..)| *s == self);
        &SALTS[place.unwrap_or(0)]
    }

    /// Its formula.
    pub fn word(self) -> &'static str {
        self.row().1
    }

    /// The salt of a formula.
    pub fn from_word(word: &str) -> Option<Self> {
        SALTS.iter().find(|(_, w, ..)| *w == word).map(|r| r.0)
    }
}

/// Relative humidity (0 to 1) over a saturated solution, with its standard
/// uncertainty.
///
/// ```text
/// RH = a_0 + a_1 t + a_2 t² + a_3 t³        in percent
/// ```
///
/// - `t_c`: temperature of solution and air \[°C\]
///
/// `None` outside 5 to 40 °C.
///
/// **Valid** slurry with undissolved salt, sealed, solution and sensor at one
/// temperature (1 K between them is 5 %RH near 75 %).
/// **Error** the uncertainty given; the printed one is taken as expanded,
/// coverage 2.
/// **Source** [`GREENSPAN`]; also OIML R 121.
/// **Checked** `tests/published/salts.csv`.
pub fn rel_humidity(salt: Salt, t_c: f64) -> Option<Estimate> {
    const FROM_C: f64 = 5.0;
    const STEP_K: f64 = 5.0;
    if !(FROM_C..=40.0).contains(&t_c) {
        return None;
    }
    let (_, _, a, uncertain) = salt.row();
    let percent = a[0] + t_c * (a[1] + t_c * (a[2] + t_c * a[3]));
    let place = (t_c - FROM_C) / STEP_K;
    let below = (place.floor() as usize).min(uncertain.len() - 2);
    let part = place - below as f64;
    let expanded = uncertain[below] + part * (uncertain[below + 1] - uncertain[below]);
    Some(Estimate::new(percent / 100.0, expanded / 200.0))
}

/// A sensor's reading over a salt.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SaltPoint {
    /// Which salt.
    pub salt: Salt,
    /// Temperature in the jar \[°C\].
    pub jar_c: f64,
    /// What the sensor shows, 0 to 1.
    pub shown: f64,
    /// Time in the jar \[s\].
    pub settled_s: f64,
}

/// What makes a sensor unfit, 0 to 1. **Source** common practice, no published
/// source.
pub const MOST_OFF: f64 = 0.03;
/// Least time in the jar \[s\]. **Source** common practice, no published
/// source: 20 min for a small bare sensor, an hour and more for one in its
/// housing. A room's sensor is in its housing.
pub const LEAST_SETTLED_S: f64 = 3_600.0;
/// What jar and sensor may differ in temperature, unseen \[K\]. **Assumed**.
const GRADIENT_K: f64 = 0.2;
/// Change of relative humidity with temperature, of the value \[1/K\]: the
/// slope of saturation pressure near 25 °C.
const RELATIVE_PER_K: f64 = 0.06;
/// Half of the last digit of a sensor that shows whole tenths, 0 to 1.
const RESOLUTION: f64 = 0.000_5;

/// A linear correction: true = shown · gain + offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// Gain.
    pub gain: f64,
    /// Offset, 0 to 1.
    pub offset: f64,
}

/// A checked sensor.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    /// The verdict.
    pub judgement: Judgement,
    /// By how much it reads too high, in the order of the points.
    pub off: Vec<Estimate>,
    /// What takes it out: of two points a line, of one an offset; nothing
    /// where no point could be used.
    pub correction: Option<Correction>,
}

/// Judges a sensor by its points.
pub fn judge(place: &Place, points: &[SaltPoint]) -> Checked {
    let mut judgement = Judgement::plain(Verdict::Pass, Text::new());
    let mut off = Vec::new();
    let mut used: Vec<(f64, f64)> = Vec::new();
    for point in points {
        let Some(true_rh) = rel_humidity(point.salt, point.jar_c) else {
            judgement = judgement.and(unusable(
                format!("{}: the jar is outside 5 to 40 °C", point.salt.word()).into(),
                "put jar and sensor where it is 5 to 40 °C".into(),
            ));
            continue;
        };
        let has_settled = LEAST_SETTLED_S <= point.settled_s;
        if !has_settled {
            judgement = judgement.and(unusable(
                Text::from("in the jar for only ")
                    .value(Value::new(point.settled_s, Dim::Duration).digits(2)),
                Text::from("leave the sensor in the closed jar for ")
                    .value(Value::new(LEAST_SETTLED_S, Dim::Duration).digits(2))
                    .words(" at least, and until it no longer moves"),
            ));
        }
        let gradient = rectangular(GRADIENT_K) * RELATIVE_PER_K * true_rh.value;
        let u = true_rh
            .standard_uncertainty
            .hypot(gradient)
            .hypot(rectangular(RESOLUTION));
        let by = Estimate::new(point.shown - true_rh.value, u);
        // A sensor on its way to what it will show is not off.
        let verdict = match by.size().at_most(MOST_OFF) {
            Verdict::Fail if !has_settled => Verdict::NotProven,
            verdict => verdict,
        };
        let difference = |si: f64| Value::new(si, Dim::RelHumidityDifference).digits(2);
        let mut this = Judgement::plain(
            verdict,
            Text::from(format!("over {} it shows ", point.salt.word()))
                .value(Value::new(point.shown, Dim::RelHumidity))
                .words(" for ")
                .value(Value::new(true_rh.value, Dim::RelHumidity))
                .words(", ±")
                .value(difference(by.expanded())),
        );
        this.workings = workings(point, true_rh, u);
        if verdict == Verdict::NotProven && has_settled {
            this.would_prove.push(
                "wrap the jar so that it has one temperature, wait an hour, read again; if it still lies at the limit, correct the sensor by what it is off"
                    .into(),
            );
        }
        if verdict == Verdict::Fail {
            this.findings
                .push(sensor_off(place, point.salt, by, difference));
        }
        judgement = judgement.and(this);
        off.push(by);
        used.push((point.shown, true_rh.value));
    }
    if used.len() < 2 {
        judgement = judgement.and(unusable(
            format!("{} of 2 salt points", used.len()).into(),
            "hold the sensor over NaCl (75 %) and MgCl2 (33 %): one point does not tell an offset from a wrong slope"
                .into(),
        ));
    }
    let correction = match used.as_slice() {
        [] => None,
        [(shown, is)] => Some(Correction {
            gain: 1.0,
            offset: is - shown,
        }),
        [(shown_a, is_a), .., (shown_b, is_b)] if (shown_a - shown_b).abs() < 0.05 => {
            Some(Correction {
                gain: 1.0,
                offset: 0.5 * (is_a + is_b - shown_a - shown_b),
            })
        }
        [(shown_a, is_a), .., (shown_b, is_b)] => {
            let gain = (is_a - is_b) / (shown_a - shown_b);
            Some(Correction {
                gain,
                offset: is_a - gain * shown_a,
            })
        }
    };
    Checked {
        judgement,
        off,
        correction,
    }
}

fn unusable(said: Text, would_prove: Text) -> Judgement {
    Judgement {
        would_prove: vec![would_prove],
        ..Judgement::plain(Verdict::NotProven, said)
    }
}

fn sensor_off(
    place: &Place,
    salt: Salt,
    by: Estimate,
    difference: impl Fn(f64) -> Value,
) -> Finding {
    Said {
        check: "sensor_off",
        severity: Severity::Fix,
        step: Step::Startup,
        place: place.clone(),
        what: Text::from(format!("over {} the sensor is ", salt.word()))
            .value(difference(by.value))
            .words(" off, ±")
            .value(difference(by.expanded()))
            .words("; at most ")
            .value(difference(MOST_OFF)),
        why: "the units dry to what the sensor shows: a room that is held at a wrong reading is wet or dry by as much",
        remedy: "enter the correction in the controller or replace the sensor, then hold it over both salts again".into(),
        source: Source::common_practice("act when more than 3 %RH off at two salt points"),
    }
    .compared(difference(by.value.abs()), difference(MOST_OFF))
}

fn workings(point: &SaltPoint, true_rh: Estimate, u: f64) -> Vec<Working> {
    let (_, word, a, _) = point.salt.row();
    let number = |si: f64| Value::new(si, Dim::Number).digits(6);
    let coefficients = [("a_0", a[0]), ("a_1", a[1]), ("a_2", a[2]), ("a_3", a[3])];
    let mut inputs = vec![read(
        "temperature in the jar",
        "t",
        Value::new(point.jar_c, Dim::Temperature),
    )];
    inputs.extend(
        coefficients.map(|(symbol, x)| Input::given("coefficient", symbol, number(x), GREENSPAN)),
    );
    let difference = |si: f64| Value::new(si, Dim::RelHumidityDifference).digits(2);
    let part = |name: &'static str, symbol: &'static str, si: f64, source: Source| {
        Input::given(name, symbol, difference(si), source)
    };
    vec![
        Working {
            name: format!("humidity over {word}").into(),
            symbol: "RH".into(),
            equation: Equation::Algebra("(a_0 + a_1 * t + a_2 * t^2 + a_3 * t^3) / 100".into()),
            inputs,
            result: Value::new(true_rh.value, Dim::RelHumidity),
            source: GREENSPAN,
        },
        Working {
            name: format!("expanded uncertainty of the comparison over {word}").into(),
            symbol: "U".into(),
            equation: Equation::Algebra("2 * sqrt(u_s^2 + u_t^2 + u_d^2)".into()),
            inputs: vec![
                part(
                    "of the salt",
                    "u_s",
                    true_rh.standard_uncertainty,
                    GREENSPAN,
                ),
                part(
                    "of jar and sensor unlike in temperature",
                    "u_t",
                    rectangular(GRADIENT_K) * RELATIVE_PER_K * true_rh.value,
                    Source::assumed("0.2 K unseen; 6 % of the humidity per kelvin"),
                ),
                part(
                    "of the last digit shown",
                    "u_d",
                    rectangular(RESOLUTION),
                    Source::assumed("a sensor that shows tenths of a percent"),
                ),
            ],
            result: difference(2.0 * u),
            source: GUM,
        },
    ]
}

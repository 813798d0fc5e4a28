//! Uncertainty of what is computed from uncertain numbers.

use std::borrow::Cow;

use quantity::{Equation, Input, Source, Value, Working};

use super::{COVERAGE, Estimate, GUM};

/// What one input adds to the uncertainty of a result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Change of the result for one standard uncertainty of the input, with its
    /// sign, in the unit of the result.
    pub of_result: f64,
}

/// A result with what makes it uncertain.
#[derive(Clone, Debug, PartialEq)]
pub struct Budget {
    /// The result.
    pub result: Estimate,
    /// Contributions, in the order of the inputs.
    pub contributions: Vec<Contribution>,
}

/// Carries uncertainties of independent inputs through a function.
///
/// ```text
/// u² = Σ Z_i²        Z_i = ½ [f(…, x_i + u_i, …) − f(…, x_i − u_i, …)]
/// ```
///
/// - `inputs`: numbers with their standard uncertainties, not correlated
/// - `f`: the function; `None` where it has no value
///
/// `None` if `f` has no value at the inputs, or on neither side of one; where
/// it has one on one side only, the difference to that side is taken.
///
/// **Valid** where `f` is nearly straight over the uncertainties.
/// **Error** of the second order in the uncertainties; see the test against
/// Monte Carlo.
/// **Source** JCGM 100:2008, 5.1.2 and 5.1.3 note 2.
/// **Checked** `tests/acceptance.rs`.
pub fn propagate(inputs: &[Estimate], f: impl Fn(&[f64]) -> Option<f64>) -> Option<Budget> {
    propagate_correlated(inputs, |_, _| 0.0, f)
}

/// As [`propagate`], with correlated inputs.
///
/// ```text
/// u² = Σ Σ Z_i Z_j r_ij        r_ii = 1
/// ```
///
/// - `correlation`: r_ij of two different inputs by their places, −1 to 1
///
/// **Source** JCGM 100:2008, 5.2.2, equation 16.
/// **Checked** `tests/acceptance.rs`: example H.2 of the same guide.
pub fn propagate_correlated(
    inputs: &[Estimate],
    correlation: impl Fn(usize, usize) -> f64,
    f: impl Fn(&[f64]) -> Option<f64>,
) -> Option<Budget> {
    let values: Vec<f64> = inputs.iter().map(|i| i.value).collect();
    let value = f(&values)?;
    let mut z = Vec::with_capacity(inputs.len());
    for (i, input) in inputs.iter().enumerate() {
        let shifted = |by: f64| {
            let mut x = values.clone();
            x[i] += by;
            f(&x)
        };
        let u = input.standard_uncertainty;
        z.push(match (shifted(u), shifted(-u)) {
            (Some(up), Some(down)) => 0.5 * (up - down),
            (Some(up), None) => up - value,
            (None, Some(down)) => value - down,
            (None, None) => return None,
        });
    }
    let mut variance = 0.0;
    for (i, a) in z.iter().enumerate() {
        variance += a * a;
        for (j, b) in z.iter().enumerate().skip(i + 1) {
            variance += 2.0 * a * b * correlation(i, j);
        }
    }
    Some(Budget {
        // Rounding may leave a perfect correlation a hair below zero.
        result: Estimate::new(value, variance.max(0.0).sqrt()),
        contributions: z
            .into_iter()
            .map(|of_result| Contribution { of_result })
            .collect(),
    })
}

/// Standard uncertainty of what lies anywhere within ±`half_width`, no place
/// likelier than another; in the unit of the half-width.
///
/// **Source** JCGM 100:2008, 4.3.7: a/√3.
pub fn rectangular(half_width: f64) -> f64 {
    half_width.abs() / 3.0_f64.sqrt()
}

/// An input of a budget with its name, for its working.
pub(crate) struct Named {
    pub(crate) name: &'static str,
    pub(crate) symbol: &'static str,
    pub(crate) value: Value,
    pub(crate) standard_uncertainty: f64,
}

/// How an expanded uncertainty came about: the contributions of independent
/// inputs, squared and added.
pub(crate) fn expanded_working(
    name: impl Into<Cow<'static, str>>,
    of: Value,
    inputs: &[Named],
    budget: &Budget,
) -> Working {
    let mut terms = Vec::new();
    let mut from = Vec::new();
    for (input, z) in inputs.iter().zip(&budget.contributions) {
        let symbol = format!("Z_{}", input.symbol);
        terms.push(format!("{symbol}^2"));
        let result = Value {
            si: z.of_result,
            ..of
        };
        from.push(Input::computed(Working {
            name: format!("what {} adds", input.name).into(),
            symbol: symbol.into(),
            equation: Equation::Procedure(
                "half the difference of the result with the input one standard uncertainty up and down"
                    .into(),
            ),
            inputs: vec![
                Input::given(
                    input.name,
                    input.symbol,
                    input.value,
                    Source::measured("reading", ""),
                ),
                Input::given(
                    format!("standard uncertainty of {}", input.name),
                    format!("u_{}", input.symbol),
                    uncertainty_value(input),
                    Source::measured("instrument, or its usual class", ""),
                ),
            ],
            result: result.digits(2),
            source: GUM,
        }));
    }
    Working {
        name: name.into(),
        symbol: "U".into(),
        equation: Equation::Algebra(format!("2 * sqrt({})", terms.join(" + ")).into()),
        inputs: from,
        result: Value {
            si: COVERAGE * budget.result.standard_uncertainty,
            ..of
        }
        .digits(2),
        source: GUM,
    }
}

/// An uncertainty of a temperature is a difference, and so of a humidity.
fn uncertainty_value(input: &Named) -> Value {
    use quantity::Dim;
    let dim = match input.value.dim {
        Dim::Temperature => Dim::TemperatureDifference,
        Dim::RelHumidity => Dim::RelHumidityDifference,
        other => other,
    };
    Value::new(input.standard_uncertainty, dim).digits(2)
}

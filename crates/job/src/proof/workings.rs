//! How the numbers of the proof came about.

mod air;
mod balance;
mod units;

use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::Room;

use super::Proof;
use super::fit::Fit;
use super::physics::Physics;

const LOG: &str = "the log";

/// Workings of all that the proof shows, in its order.
pub(super) fn workings(
    room: &Room,
    proof: &Proof,
    fitted: Option<(&Physics<'_>, &Fit)>,
) -> Vec<Working> {
    let mut all = air::workings(room, proof);
    all.extend(units::workings(proof));
    if let (Some(water), Some((physics, fit))) = (&proof.water, fitted) {
        all.extend(balance::workings(water, physics, fit));
    }
    if let Some(again) = &proof.again {
        all.push(balance::days_held(again));
    }
    all
}

/// A result of an equation.
fn algebra(
    (name, symbol): (String, &'static str),
    equation: &'static str,
    inputs: Vec<Input>,
    result: Value,
    source: Source,
) -> Working {
    Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Algebra(equation.into()),
        inputs,
        result,
        source,
    }
}

/// A result of a named procedure.
fn procedure(
    (name, symbol): (String, &'static str),
    how: impl Into<std::borrow::Cow<'static, str>>,
    inputs: Vec<Input>,
    result: Value,
    source: Source,
) -> Working {
    Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Procedure(how.into()),
        inputs,
        result,
        source,
    }
}

/// An input that the log tells.
fn logged(name: &'static str, symbol: &'static str, si: f64, dim: Dim) -> Input {
    Input::given(name, symbol, Value::new(si, dim), Source::measured(LOG, ""))
}

fn definition() -> Source {
    Source::published("definition", "")
}

//! How the numbers of this crate came about, for the page where they are shown.
//!
//! Each function computes with the equation of its family and lays down inputs,
//! equation and source beside the result. Equations stand in the symbols of the
//! inputs and can be evaluated; what no closed form gives (the leaf
//! temperature) is a named procedure that shows its residual.
//!
//! Inputs come as [`Known`]: given by survey or default, or worked out before.

mod balance;
mod canopy;
mod gains;
mod stomata;
mod surfaces;

use std::borrow::Cow;

use air::MoistAir;
use quantity::{Dim, Equation, Given, Input, Source, Value, Working};

use crate::air_side::AirSide;
use crate::sources;

pub use balance::{drying_water, irrigation_ceiling};
pub use canopy::{
    CanopyInputs, CanopyWorkings, KnownCanopy, canopy_balance, canopy_by_hand, net_radiation,
};
pub use gains::{
    air_exchange_heat, air_exchange_water, burner_heat, burner_water, people_heat, people_water,
};
pub use stomata::stomatal_resistance;
pub use surfaces::{KnownMedium, blown_water, medium_water, still_water};

/// An input and how it is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Known {
    /// Given, with its source.
    Given(f64, Source),
    /// Worked out before.
    Computed(Working),
}

impl Known {
    /// The number \[SI\].
    pub const fn si(&self) -> f64 {
        match self {
            Self::Given(si, _) => *si,
            Self::Computed(working) => working.result.si,
        }
    }

    /// As an input under the name and symbol that an equation uses.
    pub(super) fn input(self, name: &'static str, symbol: &'static str, dim: Dim) -> Input {
        match self {
            Self::Given(si, source) => Input::given(name, symbol, Value::new(si, dim), source),
            Self::Computed(working) => Input {
                name: name.into(),
                symbol: symbol.into(),
                value: working.result,
                from: Some(Box::new(working)),
                source: None,
            },
        }
    }
}

impl From<&Given<f64>> for Known {
    fn from(given: &Given<f64>) -> Self {
        Self::Given(given.value, given.source())
    }
}

impl From<Working> for Known {
    fn from(working: Working) -> Self {
        Self::Computed(working)
    }
}

/// An air state and how it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownAir {
    /// The state.
    pub state: MoistAir,
    /// Where it comes from (a target of the survey, a simulated moment).
    pub source: Source,
}

impl KnownAir {
    pub(super) fn input(
        &self,
        name: &'static str,
        symbol: &'static str,
        si: f64,
        dim: Dim,
    ) -> Input {
        Input::given(
            name,
            symbol,
            Value::new(si, dim).digits(4),
            self.source.clone(),
        )
    }

    pub(super) fn dry_bulb(&self) -> Input {
        self.input(
            "air dry bulb",
            "T_a",
            self.state.dry_bulb_c(),
            Dim::Temperature,
        )
    }

    pub(super) fn vapour_pressure(&self) -> Input {
        let p = self.state.vapour_pressure_pa();
        self.input("vapour pressure of the air", "p_a", p, Dim::VapourPressure)
    }

    pub(super) fn humidity_ratio(&self) -> Input {
        let w = self.state.humidity_ratio();
        self.input("humidity ratio of the air", "W_a", w, Dim::HumidityRatio)
    }

    pub(super) fn specific_volume(&self) -> Input {
        let v = self.state.specific_volume_m3_per_kg();
        self.input("specific volume of the air", "v_a", v, Dim::SpecificVolume)
    }
}

pub(super) fn algebra(
    name: &'static str,
    symbol: &'static str,
    equation: impl Into<Cow<'static, str>>,
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

pub(super) fn slope(air: &KnownAir) -> Input {
    Input::computed(Working {
        name: "slope of the saturation pressure [Pa/K]".into(),
        symbol: "slope".into(),
        equation: Equation::Procedure(
            "derivative of the saturation pressure at air temperature".into(),
        ),
        inputs: vec![air.dry_bulb()],
        result: Value::new(
            air::saturation_slope_pa_per_k(air.state.dry_bulb_c()),
            Dim::Number,
        )
        .digits(4),
        source: Source::published("ASHRAE Handbook, Fundamentals 2017", "ch. 1, eqs 5 and 6"),
    })
}

pub(super) fn gamma(air: &KnownAir) -> Input {
    let pressure_pa = air.state.pressure_pa();
    Input::computed(algebra(
        "psychrometric constant [Pa/K]",
        "gamma",
        "(1006 + 1860 * W_a) / (1 + W_a) * p / (0.622 * (2501000 - 2361 * T_a))",
        vec![
            air.humidity_ratio(),
            air.input("barometric pressure", "p", pressure_pa, Dim::Pressure),
            air.dry_bulb(),
        ],
        Value::new(
            AirSide::of(&air.state).psychrometric_constant_pa_per_k(),
            Dim::Number,
        )
        .digits(4),
        sources::FAO_56,
    ))
}

pub(super) fn vpd(air: &KnownAir) -> Input {
    air.input(
        "vapour pressure deficit of the air",
        "VPD",
        AirSide::of(&air.state).vpd_pa(),
        Dim::VapourPressure,
    )
}

//! What a dehumidifier does at an inlet state.

use air::MoistAir;

use crate::rating::energy_factor_kg_per_j;

/// What a dehumidifier does while it runs at an inlet state.
///
/// Water and energy close exactly:
///
/// ```text
/// m_da (W_in − W_out) = m_w
/// m_da (h_out − h_in) = P − m_w h_f(T_condensate)
/// sensible = P + m_w [h_g(T_in) − h_f(T_condensate)]
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Power drawn \[W\].
    pub power_w: f64,
    /// Air flow at the inlet \[m³/s\]; 0 when off.
    pub airflow_m3_per_s: f64,
    /// Dry air \[kg/s\]; 0 when off.
    pub dry_air_kg_per_s: f64,
    /// Air after the coil, before the condenser.
    pub off_coil: MoistAir,
    /// Air blown out.
    pub discharge: MoistAir,
    /// Dry-bulb heat given to the room \[W\].
    pub sensible_to_room_w: f64,
    /// Enthalpy given to the room, negative if more drains with the water
    /// than the power brings \[W\].
    pub net_heat_to_room_w: f64,
    /// Temperature of the water that drains \[°C\].
    pub condensate_c: f64,
    /// Mean surface temperature of the coil \[°C\].
    pub coil_c: f64,
    /// What the numbers rest on.
    pub data: Data,
    /// What was done to the data.
    pub corrections: Corrections,
}

impl Output {
    /// Water per energy \[kg/J\]; 0 when off.
    pub const fn energy_factor_kg_per_j(&self) -> f64 {
        energy_factor_kg_per_j(self.removal_kg_per_s, self.power_w)
    }

    /// Whether the unit runs at this inlet state.
    pub fn runs(&self) -> bool {
        self.airflow_m3_per_s > 0.0
    }
}

/// What the numbers of an [`Output`] rest on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Data {
    /// The unit's own data, between their points.
    Inside,
    /// Outside the data: carried on with the closure, or off.
    Beyond {
        /// In which direction.
        what: Beyond,
    },
    /// Inside the data, with a coil below 0 °C: the data hold what defrost
    /// costs, minute by minute it comes in pieces.
    Frosting {
        /// Mean surface temperature of the coil \[°C\].
        coil_c: f64,
    },
}

/// How an inlet state lies beyond the data.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Beyond {
    /// Colder than the data.
    Colder,
    /// Warmer than the data.
    Warmer,
    /// Drier than the data.
    Drier,
    /// Damper than the data.
    Damper,
    /// Colder than the unit may run: off.
    TooColdToRun,
    /// Warmer than the unit may run, or blowing out hotter than its condenser
    /// bears: off.
    TooHotToRun,
    /// The data ask for more water than this air can give up: held at what a
    /// coil of [`crate::closure::LOWEST_COIL_C`] takes.
    MoreThanPhysical,
}

impl Beyond {
    /// In words, to follow "the inlet air is" or to stand alone.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Colder => "colder than the data",
            Self::Warmer => "warmer than the data",
            Self::Drier => "drier than the data",
            Self::Damper => "damper than the data",
            Self::TooColdToRun => "too cold for the unit to run",
            Self::TooHotToRun => "too hot for the unit to run",
            Self::MoreThanPhysical => "too dry for the removal that the data state",
        }
    }
}

/// Factors that were put on the removal of the data; 1 is none.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corrections {
    /// Closure at this air, pressure and air flow over closure at the point
    /// of the data: altitude, filter and what lies beyond the data.
    pub closure: f64,
    /// Frost, more than the data hold.
    pub frost: f64,
    /// What this air can give up at all.
    pub cap: f64,
}

impl Corrections {
    /// None.
    pub const NONE: Self = Self {
        closure: 1.0,
        frost: 1.0,
        cap: 1.0,
    };
}

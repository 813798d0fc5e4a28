//! An inlet as a sink: how far it draws, and what it draws again.

use quantity::Source;

/// Air drawn to an opening.
pub const DALLA_VALLE: Source = Source::published(
    "DallaValle's capture equation, as an engineering handbook page gives it",
    "unflanged and flanged openings, out to 1.5 diameters",
);

/// Whether a wall lies round an opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flange {
    /// Free on all sides.
    None,
    /// In a wall or cabinet side.
    Wide,
}

/// An opening that draws air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Inlet {
    /// Air drawn \[m³/s\].
    pub air_flow_m3_per_s: f64,
    /// Area \[m²\].
    pub area_m2: f64,
    /// What is round it.
    pub flange: Flange,
}

/// Speed in front of an inlet, on its axis \[m/s\].
///
/// ```text
/// V = c Q / (10 x² + A)        c = 1, flanged 1.33
/// ```
///
/// - `x_m`: distance from the opening \[m\]
///
/// **Valid** to about 1.5 diameters; close in and far out it is an order of
/// size only. **Source** [`DALLA_VALLE`].
pub fn suction_m_per_s(inlet: &Inlet, x_m: f64) -> f64 {
    let c = match inlet.flange {
        Flange::None => 1.0,
        Flange::Wide => 1.33,
    };
    c * inlet.air_flow_m3_per_s / (10.0 * x_m * x_m + inlet.area_m2)
}

/// Dry bulbs, or humidity ratios, that tell what a unit breathes again.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Breathed {
    /// Of the room.
    pub room: f64,
    /// At the inlet.
    pub inlet: f64,
    /// At the outlet.
    pub outlet: f64,
}

/// Share of the inlet air that is the unit's own discharge; `None` where
/// outlet and room do not differ.
///
/// ```text
/// f = (T_in − T_room) / (T_out − T_room)
/// ```
///
/// **Valid** steady, a room mixed but for the jet. **Source** mixing of two
/// streams, derived.
pub fn breathed_again(b: &Breathed) -> Option<f64> {
    let span = b.outlet - b.room;
    (span.abs() > 1e-9).then(|| (b.inlet - b.room) / span)
}

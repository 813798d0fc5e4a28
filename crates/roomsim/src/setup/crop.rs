//! Lamps and leaves.

/// The lamps. When they burn is in the timetable.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lights {
    /// Electrical power that ends as heat in this room, all lamps on \[W\].
    pub power_w: f64,
    /// Photon flux density at the canopy, all lamps on \[µmol/(m² s)\].
    pub ppfd_umol_per_m2_s: f64,
    /// Share of the heat not taken up by leaves that goes to the thermal mass
    /// first (radiation on floor and walls), 0 to 1; without a mass all goes to
    /// the air.
    pub share_to_mass: f64,
}

impl Lights {
    /// No lamps.
    pub const NONE: Self = Self {
        power_w: 0.0,
        ppfd_umol_per_m2_s: 0.0,
        share_to_mass: 0.0,
    };
}

/// The crop as one big leaf in energy balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Canopy {
    /// Cultivated area \[m²\].
    pub area_m2: f64,
    /// Leaves and light, per cultivated area; its air-layer resistance is that
    /// with the air movers running.
    pub leaves: ::crop::Canopy,
    /// Air-layer resistance while the power is cut \[s/m\].
    pub still_air_resistance_s_per_m: f64,
    /// Factor on the stomatal resistance in light (draws, calibration).
    pub day_resistance_factor: f64,
    /// Factor for the carbon dioxide of the room, 1 at ambient.
    pub co2_factor: f64,
    /// Stomatal resistance in the dark \[s/m\].
    pub night_resistance_s_per_m: f64,
    /// Time constant of stomatal opening and closing \[s\]; 0 acts at once.
    pub stomatal_lag_s: f64,
}

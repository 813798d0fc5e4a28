//! Water that lies open.

/// Open water kept at its level and temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterSurface {
    /// Area \[m²\].
    pub area_m2: f64,
    /// Water temperature \[°C\].
    pub water_c: f64,
    /// Which equation.
    pub law: Evaporation,
    /// Share of the heat of evaporation that the room air gives, 0 to 1; the
    /// rest comes from a heater or the ground.
    pub heat_from_air: f64,
}

/// How fast open water evaporates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Evaporation {
    /// Undisturbed water: Shah's larger-of-two.
    Still,
    /// Air blown over it: the handbook form, with an activity factor.
    Blown {
        /// Air speed over the water \[m/s\].
        air_speed_m_per_s: f64,
        /// Activity factor \[–\], 0.5 quiet to 1 stirred.
        activity: f64,
    },
}

/// A film of water on the floor, dried by the air over it.
#[derive(Clone, Debug, PartialEq)]
pub struct Film {
    /// Area that wash-downs and spills wet \[m²\]; floor that lies wet at certain
    /// hours is in the timetable and comes on top.
    pub area_m2: f64,
    /// Heat transfer coefficient between film and air \[W/(m² K)\].
    pub heat_transfer_w_per_m2_k: f64,
    /// Time in which the film cools from floor temperature towards the wet
    /// bulb \[s\].
    pub cooling_time_s: f64,
    /// Wash-downs that recur every day.
    pub daily_wash_downs: Vec<WashDown>,
}

/// One wash-down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WashDown {
    /// Time of day \[s\].
    pub time_s: f64,
    /// Water left on the floor \[kg\].
    pub film_kg: f64,
}

/// Uncovered growing medium.
///
/// After each irrigation it evaporates as a wet surface for a while, then at a
/// rate that halves in each half-time, and stops when the water given is gone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Medium {
    /// Uncovered area \[m²\].
    pub area_m2: f64,
    /// Resistance of the air layer over it \[s/m\].
    pub aero_resistance_s_per_m: f64,
    /// Resistance of the wet surface itself \[s/m\]; 0 for free water.
    pub surface_resistance_s_per_m: f64,
    /// Share of the light energy at canopy height that reaches and is taken up
    /// by the medium, 0 to 1.
    pub light_share: f64,
    /// Light energy per photon \[J/µmol\].
    pub photon_energy_j_per_umol: f64,
    /// Water that each irrigation makes available to evaporate \[kg\].
    pub water_per_irrigation_kg: f64,
    /// Time at the full rate after an irrigation \[s\].
    pub constant_rate_s: f64,
    /// Half-time of the rate after that \[s\].
    pub half_time_s: f64,
}

//! Moist air: what state it is in, and what mixing, heating, cooling and
//! wetting do to it.
//!
//! The equations are plain functions, numbers in and numbers out, one idea to
//! a file. [`MoistAir`] is the state that travels; its constructors are the
//! only place where impossible air is refused.
//!
//! Conventions: temperatures in °C, pressures in Pa, humidity ratio in kg of
//! water per kg of **dry** air, relative humidity 0 to 1 (over ice below the
//! triple point), enthalpy in J per kg of dry air with zero for dry air at
//! 0 °C and liquid water at 0 °C.
//!
//! ```
//! use air::{MoistAir, Property};
//! let p_pa = air::pressure_from_altitude_pa(1600.0);
//! let room = MoistAir::from_pair(Property::DryBulb(24.0), Property::RelHumidity(0.6), p_pa)?;
//! assert!((room.dew_point_c() - 15.76).abs() < 0.01);
//! # Ok::<(), air::AirError>(())
//! ```

mod altitude;
mod coil;
mod enthalpy;
mod error;
mod humidity;
mod mixing;
mod pair;
mod saturation;
mod solve;
mod state;
mod volume;
mod vpd;
mod wet_bulb;
mod workings;

pub use altitude::{pressure_from_altitude_pa, temperature_from_altitude_c};
pub use coil::cool_to_adp;
pub use enthalpy::{
    dry_bulb_from_enthalpy_c, enthalpy_j_per_kg, humidity_ratio_from_enthalpy,
    ice_enthalpy_j_per_kg, latent_heat_j_per_kg, vapour_enthalpy_j_per_kg, water_enthalpy_j_per_kg,
};
pub use error::AirError;
pub use humidity::{
    humidity_ratio_from_vapour_pressure, saturation_humidity_ratio,
    vapour_pressure_from_humidity_ratio_pa,
};
pub use mixing::{Mixture, Stream, Water, heat, humidify, mix};
pub use pair::Property;
pub use saturation::{
    dew_point_from_vapour_pressure_c, saturation_pressure_over_ice_pa,
    saturation_pressure_over_water_pa, saturation_pressure_pa, saturation_slope_pa_per_k,
};
pub use state::MoistAir;
pub use volume::{density_kg_per_m3, specific_volume_m3_per_kg};
pub use vpd::{leaf_vpd_pa, vpd_pa};
pub use wet_bulb::{humidity_ratio_from_wet_bulb, wet_bulb_c};
pub use workings::{pressure_working, state_workings};

/// Kelvin at 0 °C.
pub(crate) const ZERO_C_K: f64 = 273.15;

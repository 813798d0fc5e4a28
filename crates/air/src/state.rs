//! A state of moist air.

use quantity::Dim;

use crate::enthalpy::enthalpy_j_per_kg;
use crate::error::{AirError, check_range};
use crate::humidity::{
    humidity_ratio_from_vapour_pressure, vapour_pressure_from_humidity_ratio_pa,
};
use crate::saturation::{dew_point_from_vapour_pressure_c, saturation_pressure_pa};
use crate::volume::{density_kg_per_m3, specific_volume_m3_per_kg};
use crate::vpd::{leaf_vpd_pa, vpd_pa};
use crate::wet_bulb::wet_bulb_c;

/// How far above saturation rounding may put a state before it is refused,
/// as a share of the saturation pressure.
const ROUNDING: f64 = 1e-6;

/// A possible state of moist air: dry bulb, humidity ratio and pressure, from
/// which all else follows.
///
/// A value of this type is never supersaturated, negative or NaN.
///
/// ```
/// let room = air::MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0)?;
/// assert!((room.vpd_pa() - 1194.0).abs() < 1.0);
/// # Ok::<(), air::AirError>(())
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MoistAir {
    dry_bulb_c: f64,
    humidity_ratio: f64,
    pressure_pa: f64,
}

impl MoistAir {
    /// Dry bulbs that are accepted \[°C\]: from outdoor winter air to the
    /// discharge of a machine.
    pub const DRY_BULB_RANGE_C: (f64, f64) = (-60.0, 95.0);
    /// Humidity ratios that are accepted \[kg water/kg dry air\].
    pub const HUMIDITY_RATIO_RANGE: (f64, f64) = (0.0, 1.0);
    /// Pressures that are accepted \[Pa\]: some 5 600 m down to below sea level.
    pub const PRESSURE_RANGE_PA: (f64, f64) = (50_000.0, 110_000.0);

    /// Air of this dry bulb, humidity ratio and barometric pressure.
    ///
    /// - `dry_bulb_c`: −60 to 95 °C
    /// - `humidity_ratio`: 0 to saturation, at most 1 kg/kg
    /// - `pressure_pa`: 50 000 to 110 000 Pa
    ///
    /// A humidity ratio above saturation by no more than rounding (one part
    /// in a million) is taken as saturation.
    ///
    /// # Errors
    /// What is not a number, out of range or supersaturated, and why.
    pub fn new(dry_bulb_c: f64, humidity_ratio: f64, pressure_pa: f64) -> Result<Self, AirError> {
        check_pressure(pressure_pa)?;
        check_range(
            "dry bulb",
            dry_bulb_c,
            Self::DRY_BULB_RANGE_C,
            Dim::Temperature,
        )?;
        check_range(
            "humidity ratio",
            humidity_ratio,
            Self::HUMIDITY_RATIO_RANGE,
            Dim::HumidityRatio,
        )?;
        let p_w_pa = vapour_pressure_from_humidity_ratio_pa(humidity_ratio, pressure_pa);
        let p_ws_pa = saturation_pressure_pa(dry_bulb_c);
        if p_w_pa <= p_ws_pa {
            return Ok(Self {
                dry_bulb_c,
                humidity_ratio,
                pressure_pa,
            });
        }
        if p_w_pa <= p_ws_pa * (1.0 + ROUNDING) {
            return Ok(Self {
                dry_bulb_c,
                humidity_ratio: humidity_ratio_from_vapour_pressure(p_ws_pa, pressure_pa),
                pressure_pa,
            });
        }
        Err(AirError::Supersaturated {
            dry_bulb_c,
            vapour_pressure_pa: p_w_pa,
            saturation_pressure_pa: p_ws_pa,
        })
    }

    /// Air of this dry bulb \[°C\], relative humidity (0 to 1; over ice up to
    /// 0.01 °C) and barometric pressure \[Pa\].
    ///
    /// # Errors
    /// As [`MoistAir::new`]; also where the vapour alone would exceed the
    /// barometric pressure.
    pub fn from_rel_humidity(
        dry_bulb_c: f64,
        rel_humidity: f64,
        pressure_pa: f64,
    ) -> Result<Self, AirError> {
        check_pressure(pressure_pa)?;
        check_range(
            "dry bulb",
            dry_bulb_c,
            Self::DRY_BULB_RANGE_C,
            Dim::Temperature,
        )?;
        check_range(
            "relative humidity",
            rel_humidity,
            (0.0, 1.0),
            Dim::RelHumidity,
        )?;
        Self::from_vapour_pressure(
            dry_bulb_c,
            rel_humidity * saturation_pressure_pa(dry_bulb_c),
            pressure_pa,
        )
    }

    /// Air of this dry bulb \[°C\], vapour pressure \[Pa\] and barometric
    /// pressure \[Pa\].
    ///
    /// # Errors
    /// As [`MoistAir::new`].
    pub fn from_vapour_pressure(
        dry_bulb_c: f64,
        vapour_pressure_pa: f64,
        pressure_pa: f64,
    ) -> Result<Self, AirError> {
        check_range(
            "vapour pressure",
            vapour_pressure_pa,
            (0.0, 0.6 * pressure_pa),
            Dim::VapourPressure,
        )?;
        let humidity_ratio = humidity_ratio_from_vapour_pressure(vapour_pressure_pa, pressure_pa);
        Self::new(dry_bulb_c, humidity_ratio, pressure_pa)
    }

    /// Saturated air of this temperature \[°C\] and barometric pressure \[Pa\].
    ///
    /// # Errors
    /// As [`MoistAir::from_rel_humidity`].
    pub fn saturated(dry_bulb_c: f64, pressure_pa: f64) -> Result<Self, AirError> {
        Self::from_rel_humidity(dry_bulb_c, 1.0, pressure_pa)
    }

    /// Dry bulb \[°C\].
    #[inline]
    pub const fn dry_bulb_c(&self) -> f64 {
        self.dry_bulb_c
    }

    /// Humidity ratio \[kg water/kg dry air\].
    #[inline]
    pub const fn humidity_ratio(&self) -> f64 {
        self.humidity_ratio
    }

    /// Barometric pressure \[Pa\].
    #[inline]
    pub const fn pressure_pa(&self) -> f64 {
        self.pressure_pa
    }

    /// Vapour pressure \[Pa\].
    #[inline]
    pub fn vapour_pressure_pa(&self) -> f64 {
        vapour_pressure_from_humidity_ratio_pa(self.humidity_ratio, self.pressure_pa)
    }

    /// Relative humidity, 0 to 1; over ice up to 0.01 °C.
    #[inline]
    pub fn rel_humidity(&self) -> f64 {
        (self.vapour_pressure_pa() / saturation_pressure_pa(self.dry_bulb_c)).min(1.0)
    }

    /// Dew point, or frost point below 0.01 °C \[°C\]; −100 for wholly dry air.
    #[inline]
    pub fn dew_point_c(&self) -> f64 {
        dew_point_from_vapour_pressure_c(self.vapour_pressure_pa())
    }

    /// Wet bulb \[°C\]; see [`wet_bulb_c`](crate::wet_bulb_c).
    #[inline]
    pub fn wet_bulb_c(&self) -> f64 {
        wet_bulb_c(self.dry_bulb_c, self.humidity_ratio, self.pressure_pa)
    }

    /// Enthalpy \[J/kg dry air\].
    #[inline]
    pub fn enthalpy_j_per_kg(&self) -> f64 {
        enthalpy_j_per_kg(self.dry_bulb_c, self.humidity_ratio)
    }

    /// Volume that holds one kilogram of dry air \[m³/kg dry air\].
    #[inline]
    pub fn specific_volume_m3_per_kg(&self) -> f64 {
        specific_volume_m3_per_kg(self.dry_bulb_c, self.humidity_ratio, self.pressure_pa)
    }

    /// Density, vapour included \[kg/m³\].
    #[inline]
    pub fn density_kg_per_m3(&self) -> f64 {
        density_kg_per_m3(self.dry_bulb_c, self.humidity_ratio, self.pressure_pa)
    }

    /// Vapour pressure deficit of the air \[Pa\].
    #[inline]
    pub fn vpd_pa(&self) -> f64 {
        vpd_pa(self.dry_bulb_c, self.vapour_pressure_pa()).max(0.0)
    }

    /// Vapour pressure deficit of a leaf at `leaf_c` \[°C\] in this air \[Pa\].
    #[inline]
    pub fn leaf_vpd_pa(&self, leaf_c: f64) -> f64 {
        leaf_vpd_pa(leaf_c, self.vapour_pressure_pa())
    }
}

/// Refuses a pressure that no room has.
pub(crate) fn check_pressure(pressure_pa: f64) -> Result<(), AirError> {
    check_range(
        "barometric pressure",
        pressure_pa,
        MoistAir::PRESSURE_RANGE_PA,
        Dim::Pressure,
    )
}

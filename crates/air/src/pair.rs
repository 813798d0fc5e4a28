//! Air from any two independent properties.

use std::fmt;

use quantity::{Dim, UnitSystem, Value};

use crate::enthalpy::{
    dry_bulb_from_enthalpy_c, enthalpy_j_per_kg, humidity_ratio_from_enthalpy,
    ice_enthalpy_j_per_kg, vapour_enthalpy_j_per_kg, water_enthalpy_j_per_kg,
};
use crate::error::{AirError, check_range};
use crate::humidity::{humidity_ratio_from_vapour_pressure, saturation_humidity_ratio};
use crate::saturation::{LOWEST_C, dew_point_from_vapour_pressure_c, saturation_pressure_pa};
use crate::solve::rising_root;
use crate::state::{MoistAir, check_pressure};
use crate::wet_bulb::humidity_ratio_from_wet_bulb;

/// One property of moist air with its value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Property {
    /// Dry bulb \[°C\].
    DryBulb(f64),
    /// Relative humidity, 0 to 1; over ice up to 0.01 °C.
    RelHumidity(f64),
    /// Dew point, or frost point below 0.01 °C \[°C\].
    DewPoint(f64),
    /// Wet bulb \[°C\]; below 0 °C of a frozen bulb.
    WetBulb(f64),
    /// Humidity ratio \[kg water/kg dry air\].
    HumidityRatio(f64),
    /// Vapour pressure deficit of the air \[Pa\].
    Vpd(f64),
    /// Enthalpy \[J/kg dry air\].
    Enthalpy(f64),
}

impl Property {
    /// What it is called.
    pub const fn name(&self) -> &'static str {
        match self {
            Self::DryBulb(_) => "dry bulb",
            Self::RelHumidity(_) => "relative humidity",
            Self::DewPoint(_) => "dew point",
            Self::WetBulb(_) => "wet bulb",
            Self::HumidityRatio(_) => "humidity ratio",
            Self::Vpd(_) => "VPD",
            Self::Enthalpy(_) => "enthalpy",
        }
    }

    /// Its value, in SI (°C for temperatures).
    pub const fn si(&self) -> f64 {
        match *self {
            Self::DryBulb(x)
            | Self::RelHumidity(x)
            | Self::DewPoint(x)
            | Self::WetBulb(x)
            | Self::HumidityRatio(x)
            | Self::Vpd(x)
            | Self::Enthalpy(x) => x,
        }
    }

    /// What kind of quantity it is.
    pub const fn dim(&self) -> Dim {
        match self {
            Self::DryBulb(_) | Self::DewPoint(_) | Self::WetBulb(_) => Dim::Temperature,
            Self::RelHumidity(_) => Dim::RelHumidity,
            Self::HumidityRatio(_) => Dim::HumidityRatio,
            Self::Vpd(_) => Dim::VapourPressure,
            Self::Enthalpy(_) => Dim::Enthalpy,
        }
    }

    /// Its value with its kind, to be shown.
    pub const fn value(&self) -> Value {
        Value::new(self.si(), self.dim()).digits(4)
    }

    const fn range(&self) -> (f64, f64) {
        match self {
            Self::DryBulb(_) => MoistAir::DRY_BULB_RANGE_C,
            Self::RelHumidity(_) => (0.0, 1.0),
            Self::DewPoint(_) | Self::WetBulb(_) => (LOWEST_C, MoistAir::DRY_BULB_RANGE_C.1),
            Self::HumidityRatio(_) => MoistAir::HUMIDITY_RATIO_RANGE,
            Self::Vpd(_) => (0.0, 85_000.0),
            Self::Enthalpy(_) => (-60_500.0, 2_800_000.0),
        }
    }

    fn check(&self) -> Result<(), AirError> {
        check_range(self.name(), self.si(), self.range(), self.dim())
    }

    /// Place in the order in which pairs are matched.
    const fn rank(&self) -> u8 {
        match self {
            Self::DryBulb(_) => 0,
            Self::HumidityRatio(_) => 1,
            Self::DewPoint(_) => 2,
            Self::RelHumidity(_) => 3,
            Self::Vpd(_) => 4,
            Self::WetBulb(_) => 5,
            Self::Enthalpy(_) => 6,
        }
    }
}

impl fmt::Display for Property {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {}",
            self.name(),
            self.value().show(UnitSystem::Metric)
        )
    }
}

impl MoistAir {
    /// Air from any two independent properties, in either order.
    ///
    /// Nineteen of the twenty-one pairs are solved. Dew point with humidity
    /// ratio is refused (each follows from the other), and wet bulb with
    /// enthalpy (they say nearly the same, so that the dry bulb would hang on
    /// the last digits).
    ///
    /// # Errors
    /// As [`MoistAir::new`]; also pairs that are dependent, and values that
    /// no air has together.
    pub fn from_pair(
        first: Property,
        second: Property,
        pressure_pa: f64,
    ) -> Result<Self, AirError> {
        check_pressure(pressure_pa)?;
        first.check()?;
        second.check()?;
        let pair = if second.rank() < first.rank() {
            (second, first)
        } else {
            (first, second)
        };
        solve(pair, pressure_pa)
    }
}

fn solve((first, second): (Property, Property), p_pa: f64) -> Result<MoistAir, AirError> {
    use Property::{DewPoint, DryBulb, Enthalpy, HumidityRatio, RelHumidity, Vpd, WetBulb};

    let dependent = |reason| {
        Err(AirError::Dependent {
            first: first.name(),
            second: second.name(),
            reason,
        })
    };
    let no_air = |reason| AirError::NoSuchAir {
        first,
        second,
        reason,
    };
    if first.rank() == second.rank() {
        return dependent("it is one property given twice");
    }
    match (first, second) {
        (DewPoint(_), HumidityRatio(_)) | (HumidityRatio(_), DewPoint(_)) => dependent(
            "at a given pressure each follows from the other, and neither tells the temperature",
        ),
        (WetBulb(_), Enthalpy(_)) => dependent(
            "lines of constant wet bulb and of constant enthalpy nearly coincide, so that the \
             dry bulb would hang on the last digits",
        ),

        (DryBulb(t_c), RelHumidity(rh)) => MoistAir::from_rel_humidity(t_c, rh, p_pa),
        (DryBulb(t_c), HumidityRatio(w)) => MoistAir::new(t_c, w, p_pa),
        (DryBulb(t_c), DewPoint(dew_c)) => {
            MoistAir::from_vapour_pressure(t_c, vapour_pressure_at_dew_point_pa(dew_c), p_pa)
        }
        (DryBulb(t_c), Vpd(vpd_pa)) => {
            let p_w_pa = saturation_pressure_pa(t_c) - vpd_pa;
            if p_w_pa < 0.0 {
                return Err(no_air("the VPD is more than the saturation pressure"));
            }
            MoistAir::from_vapour_pressure(t_c, p_w_pa, p_pa)
        }
        (DryBulb(t_c), WetBulb(wet_c)) => {
            if t_c < wet_c {
                return Err(no_air("the wet bulb is never above the dry bulb"));
            }
            let w = humidity_ratio_from_wet_bulb(t_c, wet_c, p_pa);
            if w < 0.0 {
                return Err(no_air("even dry air has a higher wet bulb"));
            }
            MoistAir::new(t_c, w, p_pa)
        }
        (DryBulb(t_c), Enthalpy(h)) => {
            let w = humidity_ratio_from_enthalpy(t_c, h);
            if w < 0.0 {
                return Err(no_air("even dry air of that dry bulb has more enthalpy"));
            }
            MoistAir::new(t_c, w, p_pa)
        }

        (HumidityRatio(w), other) => from_vapour((w, vapour(w, p_pa)), other, p_pa, no_air),
        (DewPoint(dew_c), other) => {
            let p_w_pa = vapour_pressure_at_dew_point_pa(dew_c);
            let w = humidity_ratio_from_vapour_pressure(p_w_pa, p_pa);
            from_vapour((w, p_w_pa), other, p_pa, no_air)
        }

        (RelHumidity(rh), Vpd(vpd_pa)) => {
            if rh == 1.0 || vpd_pa == 0.0 {
                return Err(no_air(
                    "saturated air has no VPD at any temperature, so that the dry bulb stays open",
                ));
            }
            let t_c = dew_point_from_vapour_pressure_c(vpd_pa / (1.0 - rh));
            MoistAir::from_rel_humidity(t_c, rh, p_pa)
        }
        (RelHumidity(rh), WetBulb(wet_c)) => {
            let t_c = search((wet_c, WARMEST_C), no_air, |t_c| {
                let p_w_pa = rh * saturation_pressure_pa(t_c);
                let w = humidity_ratio_from_vapour_pressure(p_w_pa, p_pa);
                w - humidity_ratio_from_wet_bulb(t_c, wet_c, p_pa)
            })?;
            MoistAir::from_rel_humidity(t_c, rh, p_pa)
        }
        (RelHumidity(rh), Enthalpy(h)) => {
            let t_c = search((COLDEST_C, WARMEST_C), no_air, |t_c| {
                let p_w_pa = rh * saturation_pressure_pa(t_c);
                enthalpy_j_per_kg(t_c, humidity_ratio_from_vapour_pressure(p_w_pa, p_pa)) - h
            })?;
            MoistAir::from_rel_humidity(t_c, rh, p_pa)
        }
        (Vpd(vpd_pa), WetBulb(wet_c)) => {
            let dry_c = dew_point_from_vapour_pressure_c(vpd_pa);
            let t_c = search((wet_c.max(dry_c), WARMEST_C), no_air, |t_c| {
                let p_w_pa = saturation_pressure_pa(t_c) - vpd_pa;
                let w = humidity_ratio_from_vapour_pressure(p_w_pa, p_pa);
                w - humidity_ratio_from_wet_bulb(t_c, wet_c, p_pa)
            })?;
            vpd_air(t_c, vpd_pa, p_pa)
        }
        (Vpd(vpd_pa), Enthalpy(h)) => {
            let dry_c = dew_point_from_vapour_pressure_c(vpd_pa);
            let t_c = search((dry_c.max(COLDEST_C), WARMEST_C), no_air, |t_c| {
                let p_w_pa = saturation_pressure_pa(t_c) - vpd_pa;
                enthalpy_j_per_kg(t_c, humidity_ratio_from_vapour_pressure(p_w_pa, p_pa)) - h
            })?;
            vpd_air(t_c, vpd_pa, p_pa)
        }
        // The pairs are sorted by rank, so that none of the rest can come.
        _ => dependent("the pair is not one that this program solves"),
    }
}

/// How far past the end of its bracket a root may lie from rounding alone \[K\].
const SLACK_K: f64 = 1e-6;

const COLDEST_C: f64 = MoistAir::DRY_BULB_RANGE_C.0;
const WARMEST_C: f64 = MoistAir::DRY_BULB_RANGE_C.1;

/// Vapour pressure at a dew point; the lowest dew point stands for dry air.
fn vapour_pressure_at_dew_point_pa(dew_c: f64) -> f64 {
    if dew_c <= LOWEST_C {
        0.0
    } else {
        saturation_pressure_pa(dew_c)
    }
}

fn vapour(w: f64, p_pa: f64) -> f64 {
    crate::humidity::vapour_pressure_from_humidity_ratio_pa(w, p_pa)
}

/// Air of known water content and one more property than that.
fn from_vapour(
    (w, p_w_pa): (f64, f64),
    other: Property,
    p_pa: f64,
    no_air: impl Fn(&'static str) -> AirError,
) -> Result<MoistAir, AirError> {
    use Property::{Enthalpy, RelHumidity, Vpd, WetBulb};
    let t_c = match other {
        RelHumidity(0.0) => {
            return Err(no_air(
                "only wholly dry air has no relative humidity, and that at any temperature",
            ));
        }
        RelHumidity(rh) => dew_point_from_vapour_pressure_c(p_w_pa / rh),
        Vpd(vpd_pa) => dew_point_from_vapour_pressure_c(p_w_pa + vpd_pa),
        Enthalpy(h) => dry_bulb_from_enthalpy_c(h, w),
        WetBulb(wet_c) => dry_bulb_from_wet_bulb_c(w, wet_c, p_pa),
        _ => return Err(no_air("the pair is not one that this program solves")),
    };
    if let WetBulb(wet_c) = other
        && t_c < wet_c - SLACK_K
    {
        return Err(no_air("air saturated at that wet bulb holds less water"));
    }
    MoistAir::new(t_c, w, p_pa)
}

/// Eq. 33 or 35, which are linear in the dry bulb, solved for it.
fn dry_bulb_from_wet_bulb_c(w: f64, wet_c: f64, p_pa: f64) -> f64 {
    let h_l = if 0.0 <= wet_c {
        water_enthalpy_j_per_kg(wet_c)
    } else {
        ice_enthalpy_j_per_kg(wet_c)
    };
    let w_s = saturation_humidity_ratio(wet_c, p_pa);
    let latent = vapour_enthalpy_j_per_kg(wet_c) - h_l;
    (latent * w_s + 1006.0 * wet_c - w * (2_501_000.0 - h_l)) / (1006.0 + 1860.0 * w)
}

/// Air of a temperature found from its VPD; a vapour pressure that rounding
/// put below nothing is nothing.
fn vpd_air(t_c: f64, vpd_pa: f64, p_pa: f64) -> Result<MoistAir, AirError> {
    let p_w_pa = (saturation_pressure_pa(t_c) - vpd_pa).max(0.0);
    MoistAir::from_vapour_pressure(t_c, p_w_pa, p_pa)
}

/// The temperature at which `f`, which rises with it, is nothing.
fn search(
    (low, high): (f64, f64),
    no_air: impl Fn(&'static str) -> AirError,
    f: impl Fn(f64) -> f64,
) -> Result<f64, AirError> {
    let low = low - SLACK_K;
    if high < low || 0.0 < f(low) {
        return Err(no_air("they contradict each other"));
    }
    if f(high) < 0.0 {
        return Err(no_air("it would be too hot"));
    }
    let rise = |t_c: f64| {
        let step_k = 1e-4;
        let value = f(t_c);
        (value, (f(t_c + step_k) - value) / step_k)
    };
    Ok(rising_root((low, high), 0.5 * (low + high), rise))
}

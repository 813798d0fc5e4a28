//! The one table of units: what may be written for each kind of quantity.
//!
//! `si = number × factor + offset`. The first unit of a kind is the one that
//! speaks for it. How the names in a unit may be spelled is in `spellings`;
//! which unit is shown to whom is in `face`.

use std::f64::consts::PI;
use std::sync::LazyLock;

use crate::Dim;
use crate::definitions::*;
use crate::unit_text::UnitText;

/// A unit of one kind of quantity.
#[derive(Debug)]
pub(crate) struct Unit {
    /// As it is shown; also its first spelling.
    pub(crate) shown: &'static str,
    pub(crate) factor: f64,
    pub(crate) offset: f64,
    /// Other wordings that are not mere spellings of the names in `shown`.
    also: &'static [&'static str],
}

impl Unit {
    pub(crate) fn to_si(&self, number: f64) -> f64 {
        number * self.factor + self.offset
    }

    pub(crate) fn number(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }
}

const fn unit(shown: &'static str, factor: f64) -> Unit {
    offset(shown, factor, 0.0)
}

const fn offset(shown: &'static str, factor: f64, offset: f64) -> Unit {
    Unit {
        shown,
        factor,
        offset,
        also: &[],
    }
}

const fn also(shown: &'static str, factor: f64, also: &'static [&'static str]) -> Unit {
    Unit {
        shown,
        factor,
        offset: 0.0,
        also,
    }
}

const LENGTH: &[Unit] = &[
    unit("m", 1.0),
    unit("cm", 1e-2),
    unit("mm", 1e-3),
    unit("km", 1e3),
    unit("ft", FOOT_M),
    unit("in", INCH_M),
    unit("yd", YARD_M),
    unit("mi", MILE_M),
];

const AREA: &[Unit] = &[
    unit("m²", 1.0),
    unit("cm²", 1e-4),
    unit("mm²", 1e-6),
    unit("ft²", FOOT2_M2),
    unit("in²", INCH_M * INCH_M),
];

const VOLUME: &[Unit] = &[
    unit("m³", 1.0),
    unit("L", LITRE_M3),
    unit("ft³", FOOT3_M3),
    unit("gal", GALLON_M3),
];

const TEMPERATURE: &[Unit] = &[
    unit("°C", 1.0),
    offset("°F", FAHRENHEIT_K, -32.0 * FAHRENHEIT_K),
    offset("K", 1.0, -ZERO_CELSIUS_K),
];

const TEMPERATURE_DIFFERENCE: &[Unit] =
    &[unit("K", 1.0), unit("°C", 1.0), unit("°F", FAHRENHEIT_K)];

const REL_HUMIDITY: &[Unit] = &[unit("%RH", 0.01), unit("%", 0.01)];

const REL_HUMIDITY_DIFFERENCE: &[Unit] = &[
    unit("%RH", 0.01),
    unit("%", 0.01),
    also("points", 0.01, &["% points", "points RH"]),
];

const FRACTION: &[Unit] = &[unit("%", 0.01)];

const NONE: &[Unit] = &[];

const PRESSURE: &[Unit] = &[
    unit("Pa", 1.0),
    unit("hPa", 100.0),
    unit("kPa", 1000.0),
    unit("mbar", 100.0),
    unit("bar", 1e5),
    unit("in w.g.", INCH_WATER_PA),
    unit("in Hg", INCH_MERCURY_PA),
    unit("mm Hg", MM_MERCURY_PA),
    unit("psi", PSI_PA),
];

const VAPOUR_PRESSURE: &[Unit] = &[
    unit("kPa", 1000.0),
    unit("Pa", 1.0),
    unit("hPa", 100.0),
    unit("mbar", 100.0),
    unit("in Hg", INCH_MERCURY_PA),
    unit("psi", PSI_PA),
];

const HUMIDITY_RATIO: &[Unit] = &[
    unit("g/kg", 1e-3),
    unit("kg/kg", 1.0),
    unit("gr/lb", 1.0 / 7000.0),
    unit("lb/lb", 1.0),
];

const MASS: &[Unit] = &[
    unit("kg", 1.0),
    unit("g", 1e-3),
    unit("mg", 1e-6),
    also("t", 1000.0, &["metric ton"]),
    unit("lb", POUND_KG),
    unit("oz", OUNCE_KG),
    unit("gr", GRAIN_KG),
    also("ton", SHORT_TON_KG, &["short ton"]),
];

const WATER: &[Unit] = &[
    unit("L", WATER_KG_PER_L),
    unit("mL", WATER_KG_PER_L * 1e-3),
    unit("m³", WATER_KG_PER_M3),
    unit("gal", GALLON_M3 * WATER_KG_PER_M3),
    unit("qt", QUART_M3 * WATER_KG_PER_M3),
    unit("pt", PINT_M3 * WATER_KG_PER_M3),
    unit("fl oz", FLUID_OUNCE_M3 * WATER_KG_PER_M3),
    unit("kg", 1.0),
    unit("g", 1e-3),
    unit("lb", POUND_KG),
];

const WATER_RATE: &[Unit] = &[
    unit("L/d", WATER_KG_PER_L / DAY_S),
    unit("L/h", WATER_KG_PER_L / HOUR_S),
    unit("L/min", WATER_KG_PER_L / MINUTE_S),
    unit("L/s", WATER_KG_PER_L),
    unit("mL/min", WATER_KG_PER_L * 1e-3 / MINUTE_S),
    unit("m³/d", WATER_KG_PER_M3 / DAY_S),
    unit("m³/h", WATER_KG_PER_M3 / HOUR_S),
    unit("pt/d", PINT_M3 * WATER_KG_PER_M3 / DAY_S),
    unit("pt/h", PINT_M3 * WATER_KG_PER_M3 / HOUR_S),
    unit("gal/d", GALLON_M3 * WATER_KG_PER_M3 / DAY_S),
    unit("gal/h", GALLON_M3 * WATER_KG_PER_M3 / HOUR_S),
    unit("gal/min", GALLON_M3 * WATER_KG_PER_M3 / MINUTE_S),
    unit("kg/s", 1.0),
    unit("kg/h", 1.0 / HOUR_S),
    unit("kg/d", 1.0 / DAY_S),
    unit("g/s", 1e-3),
    unit("g/h", 1e-3 / HOUR_S),
    unit("lb/h", POUND_KG / HOUR_S),
    unit("lb/d", POUND_KG / DAY_S),
];

const WATER_FLUX: &[Unit] = &[
    unit("L/m²/d", WATER_KG_PER_L / DAY_S),
    unit("L/m²/h", WATER_KG_PER_L / HOUR_S),
    unit("mm/d", WATER_KG_PER_L / DAY_S),
    unit("mm/h", WATER_KG_PER_L / HOUR_S),
    unit("gal/ft²/d", GALLON_M3 * WATER_KG_PER_M3 / FOOT2_M2 / DAY_S),
    unit("pt/ft²/d", PINT_M3 * WATER_KG_PER_M3 / FOOT2_M2 / DAY_S),
    unit("kg/m²/s", 1.0),
    unit("kg/m²/h", 1.0 / HOUR_S),
    unit("kg/m²/d", 1.0 / DAY_S),
    unit("g/m²/s", 1e-3),
    unit("g/m²/h", 1e-3 / HOUR_S),
    unit("mg/m²/s", 1e-6),
    unit("lb/ft²/h", POUND_KG / FOOT2_M2 / HOUR_S),
    unit("lb/ft²/d", POUND_KG / FOOT2_M2 / DAY_S),
];

const WATER_DEPTH: &[Unit] = &[
    unit("mm", WATER_KG_PER_L),
    unit("in", INCH_M * WATER_KG_PER_M3),
    unit("L/m²", WATER_KG_PER_L),
    unit("gal/ft²", GALLON_M3 * WATER_KG_PER_M3 / FOOT2_M2),
    unit("kg/m²", 1.0),
    unit("g/m²", 1e-3),
    unit("lb/ft²", POUND_KG / FOOT2_M2),
];

const MASS_RATE: &[Unit] = &[
    unit("kg/h", 1.0 / HOUR_S),
    unit("kg/d", 1.0 / DAY_S),
    unit("kg/s", 1.0),
    unit("g/s", 1e-3),
    unit("g/h", 1e-3 / HOUR_S),
    unit("lb/h", POUND_KG / HOUR_S),
    unit("lb/d", POUND_KG / DAY_S),
];

const AIR_FLOW: &[Unit] = &[
    unit("m³/h", 1.0 / HOUR_S),
    unit("m³/s", 1.0),
    unit("m³/min", 1.0 / MINUTE_S),
    unit("L/s", LITRE_M3),
    unit("L/min", LITRE_M3 / MINUTE_S),
    unit("cfm", FOOT3_M3 / MINUTE_S),
    unit("ft³/h", FOOT3_M3 / HOUR_S),
];

const AIR_CHANGE: &[Unit] = &[
    also("ACH", 1.0 / HOUR_S, &["/h"]),
    unit("/min", 1.0 / MINUTE_S),
    unit("/d", 1.0 / DAY_S),
    unit("/s", 1.0),
];

const SPEED: &[Unit] = &[
    unit("m/s", 1.0),
    unit("km/h", 1000.0 / HOUR_S),
    unit("m/min", 1.0 / MINUTE_S),
    unit("fpm", FOOT_M / MINUTE_S),
    unit("ft/s", FOOT_M),
    unit("mph", MILE_M / HOUR_S),
];

const POWER: &[Unit] = &[
    unit("W", 1.0),
    unit("kW", 1e3),
    unit("MW", 1e6),
    unit("Btu/h", BTU_PER_H_W),
    unit("kBtu/h", 1e3 * BTU_PER_H_W),
    unit("ton", COOLING_TON_W),
    unit("hp", HORSEPOWER_W),
];

/// "ton" is 12 000 Btu/h here; under `MASS` it is the US short ton.
const COOLING: &[Unit] = &[
    unit("kW", 1e3),
    unit("W", 1.0),
    unit("MW", 1e6),
    unit("Btu/h", BTU_PER_H_W),
    unit("kBtu/h", 1e3 * BTU_PER_H_W),
    unit("ton", COOLING_TON_W),
];

const HEAT_FLUX: &[Unit] = &[
    unit("W/m²", 1.0),
    unit("kW/m²", 1e3),
    unit("W/ft²", 1.0 / FOOT2_M2),
    unit("Btu/(h·ft²)", BTU_PER_H_W / FOOT2_M2),
];

const ENERGY: &[Unit] = &[
    unit("kWh", KWH_J),
    unit("Wh", 3600.0),
    unit("MWh", 1e3 * KWH_J),
    unit("J", 1.0),
    unit("kJ", 1e3),
    unit("MJ", 1e6),
    unit("Btu", BTU_J),
    unit("kBtu", 1e3 * BTU_J),
];

const PHOTON_FLUX: &[Unit] = &[unit("µmol/m²/s", 1.0), unit("mol/m²/d", 1e6 / DAY_S)];

const PHOTON_EFFICACY: &[Unit] = &[unit("µmol/J", 1.0), unit("mol/kWh", 1e6 / KWH_J)];

const PHOTON_ENERGY: &[Unit] = &[unit("J/µmol", 1.0), unit("kJ/mol", 1e-3)];

const TRANSMITTANCE: &[Unit] = &[
    unit("W/(m²·K)", 1.0),
    unit("W/(m²·°C)", 1.0),
    unit("Btu/(h·ft²·°F)", BTU_PER_H_W / FOOT2_M2 / FAHRENHEIT_K),
];

const CONDUCTANCE: &[Unit] = &[
    unit("W/K", 1.0),
    unit("W/°C", 1.0),
    unit("kW/K", 1e3),
    unit("Btu/(h·°F)", BTU_PER_H_W / FAHRENHEIT_K),
];

const HEAT_CAPACITY: &[Unit] = &[
    unit("kJ/K", 1e3),
    unit("J/K", 1.0),
    unit("MJ/K", 1e6),
    unit("Wh/K", 3600.0),
    unit("Btu/°F", BTU_J / FAHRENHEIT_K),
];

const AREAL_HEAT_CAPACITY: &[Unit] = &[
    unit("kJ/(m²·K)", 1e3),
    unit("J/(m²·K)", 1.0),
    unit("Wh/(m²·K)", 3600.0),
    unit("Btu/(ft²·°F)", BTU_J / FOOT2_M2 / FAHRENHEIT_K),
];

const RESISTANCE: &[Unit] = &[unit("s/m", 1.0), unit("s/cm", 100.0)];

const DURATION: &[Unit] = &[
    unit("h", HOUR_S),
    unit("min", MINUTE_S),
    unit("s", 1.0),
    unit("d", DAY_S),
    unit("wk", 7.0 * DAY_S),
];

const RATE: &[Unit] = &[
    unit("/h", 1.0 / HOUR_S),
    unit("/d", 1.0 / DAY_S),
    unit("/min", 1.0 / MINUTE_S),
    unit("/s", 1.0),
];

/// Zero stays where moist air in SI has it, dry air at 0 °C: US charts, which
/// start at 0 °F, read 7.7 Btu/lb more for the same air.
const ENTHALPY: &[Unit] = &[
    unit("kJ/kg", 1e3),
    unit("J/kg", 1.0),
    unit("Btu/lb", BTU_J / POUND_KG),
];

const SPECIFIC_VOLUME: &[Unit] = &[unit("m³/kg", 1.0), unit("ft³/lb", FOOT3_M3 / POUND_KG)];

const DENSITY: &[Unit] = &[
    unit("kg/m³", 1.0),
    unit("g/L", 1.0),
    unit("kg/L", 1e3),
    unit("lb/ft³", POUND_KG / FOOT3_M3),
];

const WATER_PER_ENERGY: &[Unit] = &[
    unit("L/kWh", WATER_KG_PER_L / KWH_J),
    unit("pt/kWh", PINT_M3 * WATER_KG_PER_M3 / KWH_J),
    unit("gal/kWh", GALLON_M3 * WATER_KG_PER_M3 / KWH_J),
    unit("kg/kWh", 1.0 / KWH_J),
    unit("g/kWh", 1e-3 / KWH_J),
    unit("lb/kWh", POUND_KG / KWH_J),
    unit("kg/MJ", 1e-6),
    unit("kg/J", 1.0),
];

const CO2: &[Unit] = &[also("ppm", 1.0, &["ppm CO2", "µmol/mol"]), unit("%", 1e4)];

const VOLTAGE: &[Unit] = &[unit("V", 1.0), unit("kV", 1e3)];

const CURRENT: &[Unit] = &[unit("A", 1.0), unit("mA", 1e-3)];

const ANGLE: &[Unit] = &[unit("°", PI / 180.0), unit("rad", 1.0)];

const ENERGY_PRICE: &[Unit] = &[unit("/kWh", 1.0 / KWH_J), unit("/MWh", 1e-3 / KWH_J)];

const SLOPE: &[Unit] = &[
    unit("%", 0.01),
    unit("mm/m", 1e-3),
    unit("in/ft", 1.0 / 12.0),
];

const FORCE: &[Unit] = &[unit("N", 1.0), unit("kN", 1e3), unit("lbf", POUND_FORCE_N)];

const MOMENT: &[Unit] = &[
    unit("N·m", 1.0),
    unit("in·lbf", INCH_M * POUND_FORCE_N),
    unit("ft·lbf", FOOT_M * POUND_FORCE_N),
];

const STRESS: &[Unit] = &[
    unit("MPa", 1e6),
    unit("Pa", 1.0),
    unit("psi", PSI_PA),
    unit("ksi", 1e3 * PSI_PA),
];

const APPARENT_POWER: &[Unit] = &[unit("kVA", 1e3), unit("VA", 1.0)];

const LINE_RESISTANCE: &[Unit] = &[
    unit("Ω/km", 1e-3),
    unit("Ω/m", 1.0),
    unit("Ω/kft", 1e-3 / FOOT_M),
];

/// The units in which a quantity of this kind may be written; none where a
/// bare number is asked.
pub(crate) const fn units(dim: Dim) -> &'static [Unit] {
    match dim {
        Dim::Length => LENGTH,
        Dim::Area => AREA,
        Dim::Volume => VOLUME,
        Dim::Temperature => TEMPERATURE,
        Dim::TemperatureDifference => TEMPERATURE_DIFFERENCE,
        Dim::RelHumidity => REL_HUMIDITY,
        Dim::RelHumidityDifference => REL_HUMIDITY_DIFFERENCE,
        Dim::Fraction => FRACTION,
        Dim::Number | Dim::Count | Dim::Money => NONE,
        Dim::Pressure => PRESSURE,
        Dim::VapourPressure => VAPOUR_PRESSURE,
        Dim::HumidityRatio => HUMIDITY_RATIO,
        Dim::Mass => MASS,
        Dim::Water => WATER,
        Dim::WaterRate => WATER_RATE,
        Dim::WaterFlux => WATER_FLUX,
        Dim::WaterDepth => WATER_DEPTH,
        Dim::MassRate => MASS_RATE,
        Dim::AirFlow => AIR_FLOW,
        Dim::AirChange => AIR_CHANGE,
        Dim::Speed => SPEED,
        Dim::Power => POWER,
        Dim::Cooling => COOLING,
        Dim::HeatFlux => HEAT_FLUX,
        Dim::Energy => ENERGY,
        Dim::PhotonFlux => PHOTON_FLUX,
        Dim::PhotonEfficacy => PHOTON_EFFICACY,
        Dim::PhotonEnergy => PHOTON_ENERGY,
        Dim::Transmittance => TRANSMITTANCE,
        Dim::Conductance => CONDUCTANCE,
        Dim::HeatCapacity => HEAT_CAPACITY,
        Dim::ArealHeatCapacity => AREAL_HEAT_CAPACITY,
        Dim::Resistance => RESISTANCE,
        Dim::Duration => DURATION,
        Dim::Rate => RATE,
        Dim::Enthalpy => ENTHALPY,
        Dim::SpecificVolume => SPECIFIC_VOLUME,
        Dim::Density => DENSITY,
        Dim::WaterPerEnergy => WATER_PER_ENERGY,
        Dim::Co2 => CO2,
        Dim::Voltage => VOLTAGE,
        Dim::Current => CURRENT,
        Dim::Angle => ANGLE,
        Dim::EnergyPrice => ENERGY_PRICE,
        Dim::Slope => SLOPE,
        Dim::Force => FORCE,
        Dim::Moment => MOMENT,
        Dim::Stress => STRESS,
        Dim::ApparentPower => APPARENT_POWER,
        Dim::LineResistance => LINE_RESISTANCE,
    }
}

/// The wordings of every unit taken apart, by kind.
static WORDINGS: LazyLock<Vec<Vec<(UnitText, &'static Unit)>>> = LazyLock::new(|| {
    Dim::ALL
        .iter()
        .map(|&dim| {
            units(dim)
                .iter()
                .flat_map(|u| {
                    std::iter::once(u.shown)
                        .chain(u.also.iter().copied())
                        .filter_map(move |w| Some((UnitText::parse(w).ok()?, u)))
                })
                .collect()
        })
        .collect()
});

/// The unit of this kind that `text` names.
pub(crate) fn find(dim: Dim, text: &UnitText) -> Option<&'static Unit> {
    WORDINGS[dim as usize]
        .iter()
        .find(|(wording, _)| wording == text)
        .map(|(_, unit)| *unit)
}

/// The unit of this kind that is shown as `shown`.
pub(crate) fn shown_as(dim: Dim, shown: &str) -> Option<&'static Unit> {
    units(dim).iter().find(|u| u.shown == shown)
}

/// What kind of quantity `text` is a unit of: the kind that it speaks for,
/// or else any.
pub(crate) fn kind_of(text: &UnitText) -> Option<Dim> {
    let speaks_for = |dim: &Dim| {
        WORDINGS[*dim as usize]
            .first()
            .is_some_and(|(wording, _)| wording == text)
    };
    let all = || Dim::ALL.iter().copied();
    all()
        .find(speaks_for)
        .or_else(|| all().find(|&dim| find(dim, text).is_some()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_wording_can_be_taken_apart_and_is_unique_in_its_kind() {
        for dim in Dim::ALL {
            let wordings = &WORDINGS[dim as usize];
            let written: usize = units(dim).iter().map(|u| 1 + u.also.len()).sum();
            assert_eq!(wordings.len(), written, "{dim:?}");
            for (i, (a, u)) in wordings.iter().enumerate() {
                assert!(u.factor > 0.0 && u.factor.is_finite());
                for (b, _) in &wordings[..i] {
                    assert_ne!(a, b, "{dim:?} {}", u.shown);
                }
            }
        }
    }

    #[test]
    fn a_bare_number_is_enough_only_where_a_unit_makes_no_sense() {
        let bare: Vec<_> = Dim::ALL
            .into_iter()
            .filter(|&d| units(d).is_empty())
            .collect();
        assert_eq!(bare, [Dim::Number, Dim::Count, Dim::Money]);
    }
}

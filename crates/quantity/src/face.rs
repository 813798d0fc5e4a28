//! How each kind of quantity is called and in which unit it is shown.

use crate::{Dim, UnitSystem};

/// From this magnitude on (SI), show in this unit.
pub(crate) struct Step {
    pub(crate) from: f64,
    pub(crate) unit: &'static str,
}

/// Units and example of a kind of quantity in one unit system.
pub(crate) struct Side {
    /// By rising magnitude; the first holds from zero.
    pub(crate) steps: &'static [Step],
    /// In the head of a table, one for all magnitudes.
    pub(crate) head: &'static str,
    /// How one is written.
    pub(crate) example: &'static str,
}

/// The face of a kind of quantity.
pub(crate) struct Face {
    /// With its article: "a length".
    pub(crate) noun: &'static str,
    pub(crate) metric: Side,
    pub(crate) us: Side,
}

impl Face {
    pub(crate) const fn side(&self, system: UnitSystem) -> &Side {
        match system {
            UnitSystem::Metric => &self.metric,
            UnitSystem::Us => &self.us,
        }
    }
}

macro_rules! face {
    ($noun:literal,
     [$($mu:literal from $mf:literal),*] $mh:literal $me:literal,
     [$($uu:literal from $uf:literal),*] $uh:literal $ue:literal) => {
        &Face {
            noun: $noun,
            metric: Side {
                steps: &[$(Step { from: $mf, unit: $mu }),*],
                head: $mh,
                example: $me,
            },
            us: Side {
                steps: &[$(Step { from: $uf, unit: $uu }),*],
                head: $uh,
                example: $ue,
            },
        }
    };
    ($noun:literal, $u:literal $me:literal, $uu:literal $ue:literal) => {
        face!($noun, [$u from 0.0] $u $me, [$uu from 0.0] $uu $ue)
    };
    ($noun:literal, bare $e:literal) => {
        face!($noun, [] "" $e, [] "" $e)
    };
}

/// The face of `dim`.
///
/// Trade usage decides where the systems agree: vapour pressure in kPa, power
/// in W and kW and energy in kWh are shown so to both. Cooling is Btu/h and
/// kBtu/h to US users: the plate of a machine says so, and tons would hide the
/// last digits of small ones. US lengths become feet and inches in `print`.
pub(crate) const fn face(dim: Dim) -> &'static Face {
    match dim {
        Dim::Length => face!("a length",
            ["mm" from 0.0, "m" from 0.1] "m" "11.1 m",
            ["ft" from 0.0] "ft" "36 ft 6 in"),
        Dim::Area => face!("an area", "m²" "60 m²", "ft²" "640 ft²"),
        Dim::Volume => face!("a volume of space", "m³" "250 m³", "ft³" "9000 ft³"),
        Dim::Temperature => face!("a temperature", "°C" "25.5 °C", "°F" "78 °F"),
        Dim::TemperatureDifference => {
            face!("a temperature difference", "K" "2.2 K", "°F" "4 °F")
        }
        Dim::RelHumidity => face!("a relative humidity", "%RH" "62 %RH", "%RH" "62 %RH"),
        Dim::RelHumidityDifference => {
            face!("a difference of relative humidity", "%RH" "5 %RH", "%RH" "5 %RH")
        }
        Dim::Fraction => face!("a share", "%" "15 %", "%" "15 %"),
        Dim::Number => face!("a plain number", bare "1.5"),
        Dim::Count => face!("a count", bare "4"),
        Dim::Pressure => face!("a pressure",
            ["Pa" from 0.0, "kPa" from 1e4] "Pa" "200 Pa",
            ["in w.g." from 0.0, "in Hg" from 1e4] "in w.g." "0.8 in w.g."),
        Dim::VapourPressure => face!("a vapour pressure", "kPa" "1.1 kPa", "kPa" "1.1 kPa"),
        Dim::HumidityRatio => face!("a humidity ratio", "g/kg" "11.5 g/kg", "gr/lb" "80 gr/lb"),
        Dim::Mass => face!("a mass", "kg" "85 kg", "lb" "187 lb"),
        Dim::Water => face!("an amount of water",
            ["mL" from 0.0, "L" from 0.1] "L" "40 L",
            ["fl oz" from 0.0, "pt" from 0.472_230, "gal" from 3.777_841] "gal" "10.5 gal"),
        Dim::WaterRate => face!("a water flow", "L/d" "150 L/d", "pt/d" "300 pt/d"),
        Dim::WaterFlux => {
            face!("a water flow per area", "L/m²/d" "4.0 L/m²/d", "gal/ft²/d" "0.10 gal/ft²/d")
        }
        Dim::WaterDepth => face!("a depth of water", "mm" "1.0 mm", "in" "0.04 in"),
        Dim::MassRate => face!("a mass flow", "kg/h" "2.0 kg/h", "lb/h" "4.4 lb/h"),
        Dim::AirFlow => face!("an air flow", "m³/h" "2000 m³/h", "cfm" "1200 cfm"),
        Dim::AirChange => face!("an air change rate", "ACH" "0.5 ACH", "ACH" "0.5 ACH"),
        Dim::Speed => face!("a speed", "m/s" "0.5 m/s", "fpm" "100 fpm"),
        Dim::Power => face!("a power",
            ["W" from 0.0, "kW" from 1e3] "kW" "21.6 kW",
            ["W" from 0.0, "kW" from 1e3] "kW" "21.6 kW"),
        Dim::Cooling => face!("a cooling capacity",
            ["W" from 0.0, "kW" from 1e3] "kW" "17.6 kW",
            ["Btu/h" from 0.0, "kBtu/h" from 293.071] "kBtu/h" "5 ton"),
        Dim::HeatFlux => {
            face!("a heat flow per area", "W/m²" "50 W/m²", "Btu/(h·ft²)" "16 Btu/(h·ft²)")
        }
        Dim::Energy => face!("an energy", "kWh" "120 kWh", "kWh" "120 kWh"),
        Dim::PhotonFlux => {
            face!("a photon flux density", "µmol/m²/s" "900 µmol/m²/s", "µmol/m²/s" "900 µmol/m²/s")
        }
        Dim::PhotonEfficacy => {
            face!("a photon efficacy", "µmol/J" "2.8 µmol/J", "µmol/J" "2.8 µmol/J")
        }
        Dim::PhotonEnergy => {
            face!("an energy per photon", "J/µmol" "0.21 J/µmol", "J/µmol" "0.21 J/µmol")
        }
        Dim::Transmittance => face!("a thermal transmittance (U-value)",
            ["W/(m²·K)" from 0.0] "W/(m²·K)" "0.30 W/(m²·K)",
            ["Btu/(h·ft²·°F)" from 0.0] "Btu/(h·ft²·°F)" "0.053 Btu/(h·ft²·°F)"),
        Dim::Conductance => {
            face!("a heat conductance", "W/K" "120 W/K", "Btu/(h·°F)" "230 Btu/(h·°F)")
        }
        Dim::HeatCapacity => face!("a heat capacity", "kJ/K" "900 kJ/K", "Btu/°F" "470 Btu/°F"),
        Dim::ArealHeatCapacity => face!("a heat capacity per area",
            ["kJ/(m²·K)" from 0.0] "kJ/(m²·K)" "45 kJ/(m²·K)",
            ["Btu/(ft²·°F)" from 0.0] "Btu/(ft²·°F)" "2.2 Btu/(ft²·°F)"),
        Dim::Resistance => face!("a resistance to vapour", "s/m" "100 s/m", "s/m" "100 s/m"),
        Dim::Duration => face!("a time",
            ["s" from 0.0, "min" from 120.0, "h" from 7200.0, "d" from 259_200.0] "h" "12 h",
            ["s" from 0.0, "min" from 120.0, "h" from 7200.0, "d" from 259_200.0] "h" "12 h"),
        Dim::Rate => face!("a rate of events", "/h" "6 /h", "/h" "6 /h"),
        Dim::Enthalpy => face!("a specific enthalpy", "kJ/kg" "55 kJ/kg", "Btu/lb" "24 Btu/lb"),
        Dim::SpecificVolume => {
            face!("a specific volume", "m³/kg" "0.86 m³/kg", "ft³/lb" "13.8 ft³/lb")
        }
        Dim::Density => face!("a density", "kg/m³" "1.2 kg/m³", "lb/ft³" "0.075 lb/ft³"),
        Dim::WaterPerEnergy => {
            face!("an amount of water per energy", "L/kWh" "2.5 L/kWh", "pt/kWh" "5.3 pt/kWh")
        }
        Dim::Co2 => face!("a carbon dioxide content", "ppm" "1000 ppm", "ppm" "1000 ppm"),
        Dim::Voltage => face!("a voltage", "V" "230 V", "V" "208 V"),
        Dim::Current => face!("a current", "A" "16 A", "A" "20 A"),
        Dim::Angle => face!("an angle", "°" "45 °", "°" "45 °"),
        Dim::Money => face!("an amount of money", bare "4800"),
        Dim::EnergyPrice => {
            face!("a price of electricity", "/kWh" "0.25 /kWh", "/kWh" "0.12 /kWh")
        }
        Dim::Slope => face!("a fall", "mm/m" "10 mm/m", "in/ft" "0.125 in/ft"),
        Dim::Force => face!("a force",
            ["N" from 0.0, "kN" from 1e4] "N" "1470 N",
            ["lbf" from 0.0] "lbf" "330 lbf"),
        Dim::Moment => face!("a bending moment", "N·m" "75 N·m", "in·lbf" "660 in·lbf"),
        Dim::Stress => face!("a stress",
            ["MPa" from 0.0] "MPa" "62 MPa",
            ["psi" from 0.0, "ksi" from 6.8948e6] "ksi" "9 ksi"),
        Dim::ApparentPower => face!("an apparent power",
            ["VA" from 0.0, "kVA" from 1e3] "kVA" "30 kVA",
            ["VA" from 0.0, "kVA" from 1e3] "kVA" "30 kVA"),
        Dim::LineResistance => {
            face!("a resistance per length", "Ω/km" "6.3 Ω/km", "Ω/kft" "1.93 Ω/kft")
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{shown_as, units};

    #[test]
    fn every_unit_shown_is_in_the_unit_table() {
        for dim in Dim::ALL {
            for system in [UnitSystem::Metric, UnitSystem::Us] {
                let side = face(dim).side(system);
                assert_eq!(side.steps.is_empty(), units(dim).is_empty());
                assert_eq!(side.head.is_empty(), units(dim).is_empty());
                for unit in side.steps.iter().map(|s| s.unit).chain([side.head]) {
                    assert!(
                        unit.is_empty() || shown_as(dim, unit).is_some(),
                        "{dim:?} {unit}"
                    );
                }
                assert!(side.steps.first().is_none_or(|s| s.from == 0.0));
                assert!(side.steps.is_sorted_by(|a, b| a.from < b.from));
            }
        }
    }

    #[test]
    fn every_example_can_be_read() {
        for dim in Dim::ALL {
            for system in [UnitSystem::Metric, UnitSystem::Us] {
                let example = face(dim).side(system).example;
                assert!(crate::read(example, dim).is_ok(), "{dim:?} {example}");
            }
        }
    }
}

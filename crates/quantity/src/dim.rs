//! The kinds of quantity that a field can hold.

use serde::{Deserialize, Serialize};

/// The user's choice of units for what is shown. Reading accepts both always.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Metres, °C, litres, kilowatts.
    #[default]
    Metric,
    /// US customary: feet, °F, pints and gallons, Btu/h.
    Us,
}

/// What kind of quantity a number is. Each has one SI unit, given here, in
/// which the program holds it (°C is the one exception to SI).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Dim {
    /// Length \[m\].
    Length,
    /// Area \[m²\].
    Area,
    /// Volume of space \[m³\].
    Volume,
    /// Temperature \[°C\]. Not a difference.
    Temperature,
    /// Temperature difference \[K\]: a deadband of "4 °F" is 2.2 K.
    TemperatureDifference,
    /// Relative humidity, 0 to 1.
    RelHumidity,
    /// Difference of relative humidity, 0 to 1 ("5 %RH" of deadband is 0.05).
    RelHumidityDifference,
    /// Share or efficiency, 0 to 1 ("15 %" is 0.15).
    Fraction,
    /// Plain number.
    Number,
    /// Count of things.
    Count,
    /// Barometric or fan pressure \[Pa\].
    Pressure,
    /// Vapour pressure or vapour pressure deficit \[Pa\].
    VapourPressure,
    /// Humidity ratio \[kg water per kg dry air\].
    HumidityRatio,
    /// Mass \[kg\].
    Mass,
    /// Amount of water \[kg\]; read by mass, or by volume at 0.998 kg/L.
    Water,
    /// Water flow \[kg/s\]; read by mass, or by volume at 0.998 kg/L.
    WaterRate,
    /// Water flow per area \[kg/(m² s)\]; as [`Dim::WaterRate`].
    WaterFlux,
    /// Water per area \[kg/m²\]; a film of 1 mm is 0.998 kg/m².
    WaterDepth,
    /// Fuel or dry-matter flow \[kg/s\].
    MassRate,
    /// Volume flow of air \[m³/s\].
    AirFlow,
    /// Air changes \[1/s\].
    AirChange,
    /// Air speed \[m/s\].
    Speed,
    /// Electrical power or heat flow \[W\].
    Power,
    /// Cooling capacity \[W\]; "5 ton" is a refrigeration ton here.
    Cooling,
    /// Heat flow per area \[W/m²\].
    HeatFlux,
    /// Energy \[J\].
    Energy,
    /// Photosynthetic photon flux density \[µmol/(m² s)\].
    PhotonFlux,
    /// Photon efficacy of a luminaire \[µmol/J\].
    PhotonEfficacy,
    /// Energy carried by light per photon \[J/µmol\].
    PhotonEnergy,
    /// Thermal transmittance, U-value \[W/(m² K)\].
    Transmittance,
    /// Heat conductance \[W/K\].
    Conductance,
    /// Heat capacity \[J/K\].
    HeatCapacity,
    /// Heat capacity per area \[J/(m² K)\].
    ArealHeatCapacity,
    /// Resistance of leaf or air to vapour \[s/m\].
    Resistance,
    /// Time \[s\].
    Duration,
    /// Starts, events \[1/s\].
    Rate,
    /// Specific enthalpy of moist air \[J/kg dry air\].
    Enthalpy,
    /// Specific volume \[m³/kg dry air\].
    SpecificVolume,
    /// Density \[kg/m³\].
    Density,
    /// Water removed per electrical energy, energy factor \[kg/J\].
    WaterPerEnergy,
    /// Mole fraction of carbon dioxide \[ppm\].
    Co2,
    /// Voltage \[V\].
    Voltage,
    /// Current \[A\].
    Current,
    /// Angle \[rad\].
    Angle,
    /// Money, in the currency that the site file names.
    Money,
    /// Price of electricity \[currency per J\].
    EnergyPrice,
    /// Fall over length \[m/m\].
    Slope,
    /// Force \[N\].
    Force,
    /// Bending moment \[N·m\].
    Moment,
    /// Stress \[Pa\].
    Stress,
    /// Apparent power \[VA\].
    ApparentPower,
    /// Resistance of a conductor per length \[Ω/m\].
    LineResistance,
}

impl Dim {
    /// Every kind, in the order of its declaration.
    pub const ALL: [Dim; 52] = [
        Dim::Length,
        Dim::Area,
        Dim::Volume,
        Dim::Temperature,
        Dim::TemperatureDifference,
        Dim::RelHumidity,
        Dim::RelHumidityDifference,
        Dim::Fraction,
        Dim::Number,
        Dim::Count,
        Dim::Pressure,
        Dim::VapourPressure,
        Dim::HumidityRatio,
        Dim::Mass,
        Dim::Water,
        Dim::WaterRate,
        Dim::WaterFlux,
        Dim::WaterDepth,
        Dim::MassRate,
        Dim::AirFlow,
        Dim::AirChange,
        Dim::Speed,
        Dim::Power,
        Dim::Cooling,
        Dim::HeatFlux,
        Dim::Energy,
        Dim::PhotonFlux,
        Dim::PhotonEfficacy,
        Dim::PhotonEnergy,
        Dim::Transmittance,
        Dim::Conductance,
        Dim::HeatCapacity,
        Dim::ArealHeatCapacity,
        Dim::Resistance,
        Dim::Duration,
        Dim::Rate,
        Dim::Enthalpy,
        Dim::SpecificVolume,
        Dim::Density,
        Dim::WaterPerEnergy,
        Dim::Co2,
        Dim::Voltage,
        Dim::Current,
        Dim::Angle,
        Dim::Money,
        Dim::EnergyPrice,
        Dim::Slope,
        Dim::Force,
        Dim::Moment,
        Dim::Stress,
        Dim::ApparentPower,
        Dim::LineResistance,
    ];
}

const _: () = {
    let mut i = 0;
    while i < Dim::ALL.len() {
        assert!(Dim::ALL[i] as usize == i, "Dim::ALL is out of step");
        i += 1;
    }
    assert!(Dim::LineResistance as usize + 1 == Dim::ALL.len());
};

impl Dim {
    /// What kind of quantity a difference of two of this kind is, and with it the
    /// accuracy of one: degrees and shares of humidity differ by other units than
    /// they are told in.
    #[must_use]
    pub const fn of_difference(self) -> Self {
        match self {
            Self::Temperature => Self::TemperatureDifference,
            Self::RelHumidity => Self::RelHumidityDifference,
            other => other,
        }
    }

    /// The SI unit in which a [`crate::Value`] of this kind is held, as it
    /// stands at the end of a name or of a JSON key; empty for plain numbers,
    /// shares and counts.
    pub const fn suffix(self) -> &'static str {
        match self {
            Self::Length => "m",
            Self::Area => "m2",
            Self::Volume => "m3",
            Self::Temperature => "c",
            Self::TemperatureDifference => "k",
            Self::RelHumidity
            | Self::RelHumidityDifference
            | Self::Fraction
            | Self::Number
            | Self::Count
            | Self::Money => "",
            Self::Pressure | Self::VapourPressure | Self::Stress => "pa",
            Self::HumidityRatio => "kg_per_kg",
            Self::Mass | Self::Water => "kg",
            Self::WaterRate | Self::MassRate => "kg_per_s",
            Self::WaterFlux => "kg_per_m2_s",
            Self::WaterDepth => "kg_per_m2",
            Self::AirFlow => "m3_per_s",
            Self::AirChange | Self::Rate => "per_s",
            Self::Speed => "m_per_s",
            Self::Power | Self::Cooling => "w",
            Self::HeatFlux => "w_per_m2",
            Self::Energy => "j",
            Self::PhotonFlux => "umol_per_m2_s",
            Self::PhotonEfficacy => "umol_per_j",
            Self::PhotonEnergy => "j_per_umol",
            Self::Transmittance => "w_per_m2_k",
            Self::Conductance => "w_per_k",
            Self::HeatCapacity => "j_per_k",
            Self::ArealHeatCapacity => "j_per_m2_k",
            Self::Resistance => "s_per_m",
            Self::Duration => "s",
            Self::Enthalpy => "j_per_kg",
            Self::SpecificVolume => "m3_per_kg",
            Self::Density => "kg_per_m3",
            Self::WaterPerEnergy => "kg_per_j",
            Self::Co2 => "ppm",
            Self::Voltage => "v",
            Self::Current => "a",
            Self::Angle => "rad",
            Self::EnergyPrice => "per_j",
            Self::Slope => "m_per_m",
            Self::Force => "n",
            Self::Moment => "n_m",
            Self::ApparentPower => "va",
            Self::LineResistance => "ohm_per_m",
        }
    }
}

//! Water, carbon dioxide and heat of fuel burnt in the room without a flue.

/// Fuel of a burner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fuel {
    /// Propane, C3H8.
    Propane,
    /// Methane, CH4; stands for natural gas where its make-up is not known.
    Methane,
}

// Standard atomic weights, IUPAC 2007 [g/mol].
const CARBON: f64 = 12.0107;
const HYDROGEN: f64 = 1.00794;
const OXYGEN: f64 = 15.9994;

impl Fuel {
    /// Atoms of carbon and hydrogen in a molecule.
    const fn atoms(self) -> (f64, f64) {
        match self {
            Self::Propane => (3.0, 8.0),
            Self::Methane => (1.0, 4.0),
        }
    }

    const fn molar_mass(self) -> f64 {
        let (carbon, hydrogen) = self.atoms();
        carbon * CARBON + hydrogen * HYDROGEN
    }

    /// Water made per fuel burnt \[kg/kg\], complete combustion.
    pub const fn water_kg_per_kg(self) -> f64 {
        let (_, hydrogen) = self.atoms();
        hydrogen / 2.0 * (2.0 * HYDROGEN + OXYGEN) / self.molar_mass()
    }

    /// Carbon dioxide made per fuel burnt \[kg/kg\], complete combustion.
    pub const fn co2_kg_per_kg(self) -> f64 {
        let (carbon, _) = self.atoms();
        carbon * (CARBON + 2.0 * OXYGEN) / self.molar_mass()
    }

    /// Heat of burning with the water left as vapour \[J/kg\].
    pub const fn lower_heating_value_j_per_kg(self) -> f64 {
        match self {
            Self::Propane => 46.35e6,
            Self::Methane => 50.0e6,
        }
    }

    /// Heat of burning with the water condensed \[J/kg\].
    pub const fn higher_heating_value_j_per_kg(self) -> f64 {
        match self {
            Self::Propane => 50.35e6,
            Self::Methane => 55.5e6,
        }
    }
}

/// What a burner without a flue gives to its room.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BurnerGain {
    /// Fuel burnt \[kg/s\].
    pub fuel_kg_per_s: f64,
    /// Water made \[kg/s\].
    pub water_kg_per_s: f64,
    /// Carbon dioxide made \[kg/s\].
    pub co2_kg_per_s: f64,
    /// Heat to the air \[W\].
    pub sensible_w: f64,
    /// Heat carried as vapour \[W\].
    pub latent_w: f64,
}

/// What burning fuel gives to the room.
///
/// ```text
/// CxHy + (x + y/4) O2 → x CO2 + y/2 H2O
/// sensible = fuel · LHV        latent = fuel · (HHV − LHV)
/// ```
///
/// - `fuel`: what is burnt
/// - `fuel_kg_per_s`: how much \[kg/s\]
///
/// **Valid** complete combustion without a flue; all heat and water stay.
/// **Error** masses 0.01 % (atomic weights); heating values 0.5 %; latent heat
/// and water agree within 1 % through the heat of evaporation at 25 °C.
/// **Source** stoichiometry with the standard atomic weights of IUPAC (2007);
/// heating values from handbooks, recalled and not looked up.
/// **Checked** `tests/cross/other_sources.csv`.
///
/// ```
/// use crop::combustion::{Fuel, burner_from_fuel};
/// let b = burner_from_fuel(Fuel::Propane, 1.0 / 3600.0);
/// assert!((b.water_kg_per_s * 3600.0 - 1.6342).abs() < 1e-4);
/// ```
pub fn burner_from_fuel(fuel: Fuel, fuel_kg_per_s: f64) -> BurnerGain {
    let lower = fuel.lower_heating_value_j_per_kg();
    let higher = fuel.higher_heating_value_j_per_kg();
    BurnerGain {
        fuel_kg_per_s,
        water_kg_per_s: fuel_kg_per_s * fuel.water_kg_per_kg(),
        co2_kg_per_s: fuel_kg_per_s * fuel.co2_kg_per_kg(),
        sensible_w: fuel_kg_per_s * lower,
        latent_w: fuel_kg_per_s * (higher - lower),
    }
}

/// What a burner gives to the room that makes this much carbon dioxide.
///
/// ```text
/// fuel = CO2 / (CO2 per fuel), then as burner_from_fuel
/// ```
///
/// - `fuel`: what is burnt
/// - `co2_kg_per_s`: carbon dioxide made \[kg/s\]
///
/// **Valid**, **Error**, **Source** as [`burner_from_fuel`].
/// **Checked** `tests/cross/other_sources.csv` (water per carbon dioxide).
///
/// ```
/// use crop::combustion::{Fuel, burner_from_co2};
/// let b = burner_from_co2(Fuel::Methane, 1.0 / 3600.0);
/// assert!((b.water_kg_per_s * 3600.0 - 0.8187).abs() < 1e-4);
/// ```
pub fn burner_from_co2(fuel: Fuel, co2_kg_per_s: f64) -> BurnerGain {
    burner_from_fuel(fuel, co2_kg_per_s / fuel.co2_kg_per_kg())
}

/// What a burner of this heat input gives to the room.
///
/// ```text
/// fuel = input / HHV, then as burner_from_fuel
/// ```
///
/// - `fuel`: what is burnt
/// - `input_w`: heat input on the higher heating value, as plates state it in
///   North America \[W\]
///
/// **Valid**, **Error**, **Source** as [`burner_from_fuel`].
/// **Checked** unit tests of this file.
///
/// ```
/// use crop::combustion::{Fuel, burner_from_input};
/// let b = burner_from_input(Fuel::Propane, 5000.0);
/// assert!((b.sensible_w + b.latent_w - 5000.0).abs() < 1e-9);
/// ```
pub fn burner_from_input(fuel: Fuel, input_w: f64) -> BurnerGain {
    burner_from_fuel(fuel, input_w / fuel.higher_heating_value_j_per_kg())
}

#[cfg(test)]
mod tests {
    use super::*;
    use air::latent_heat_j_per_kg;

    #[test]
    fn latent_heat_agrees_with_the_water() {
        // The heating values are rounded to 0.05 and 0.1 MJ/kg: 1 to 2 % of
        // their difference; they happen to agree within 1 %.
        for fuel in [Fuel::Propane, Fuel::Methane] {
            let b = burner_from_fuel(fuel, 1.0);
            let from_water = b.water_kg_per_s * latent_heat_j_per_kg(25.0);
            assert!((b.latent_w / from_water - 1.0).abs() < 0.01, "{fuel:?}");
        }
    }

    #[test]
    fn mass_is_kept() {
        // Fuel and oxygen in, water and carbon dioxide out.
        let propane = Fuel::Propane;
        let oxygen_per_fuel = 5.0 * 2.0 * OXYGEN / propane.molar_mass();
        let made = propane.water_kg_per_kg() + propane.co2_kg_per_kg();
        assert!((made - 1.0 - oxygen_per_fuel).abs() < 1e-12);
    }
}

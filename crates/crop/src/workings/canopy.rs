//! Workings of the canopy: light, heat and water.

use quantity::{Dim, Equation, Input, Source, Value, Working};

use super::{Known, KnownAir, algebra, gamma, slope, vpd};
use crate::air_side::vapour_density_kg_per_m3;
use crate::canopy::{self, Canopy, CanopyFlux};
use crate::sources;

/// A canopy and how each part of it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownCanopy {
    /// Leaf area index.
    pub lai: Known,
    /// Share covered, 0 to 1.
    pub coverage: Known,
    /// Air layer resistance \[s/m\].
    pub leaf_aero_resistance_s_per_m: Known,
    /// Share reflected, 0 to 1.
    pub reflectance: Known,
    /// Energy per photon \[J/µmol\].
    pub photon_energy_j_per_umol: Known,
}

impl KnownCanopy {
    /// The numbers alone.
    pub const fn numbers(&self) -> Canopy {
        Canopy {
            lai: self.lai.si(),
            coverage: self.coverage.si(),
            leaf_aero_resistance_s_per_m: self.leaf_aero_resistance_s_per_m.si(),
            reflectance: self.reflectance.si(),
            photon_energy_j_per_umol: self.photon_energy_j_per_umol.si(),
        }
    }

    /// Leaf area that the balance uses: the surveyed one, or the cap.
    fn active_lai(&self) -> Input {
        let lai = self.lai.si();
        let active = self.numbers().active_lai();
        if (0.0..=canopy::ACTIVE_LAI_CAP).contains(&lai) {
            return self
                .lai
                .clone()
                .input("leaf area index", "LAI", Dim::Number);
        }
        Input::computed(algebra(
            "leaf area index that counts",
            "LAI",
            if lai > 0.0 { "3" } else { "0" },
            vec![
                self.lai
                    .clone()
                    .input("leaf area index of the crop", "LAI_crop", Dim::Number),
            ],
            Value::new(active, Dim::Number),
            sources::GRAAMANS_2017,
        ))
    }

    fn aero_resistance(&self) -> Input {
        self.leaf_aero_resistance_s_per_m.clone().input(
            "resistance of the air layer",
            "r_a",
            Dim::Resistance,
        )
    }
}

/// Light that a canopy takes up; as [`canopy::net_radiation_w_per_m2`].
///
/// - `canopy`: its parts, with leaves; `ppfd`: light \[µmol/(m² s)\], 0 or more
///
/// **Valid**, **Source** as there.
pub fn net_radiation(canopy: &KnownCanopy, ppfd: Known) -> Working {
    let r_net = canopy::net_radiation_w_per_m2(&canopy.numbers(), ppfd.si());
    algebra(
        "light taken up by the canopy",
        "R_net",
        if canopy.numbers().active_lai() > 0.0 {
            "(1 - rho_r) * e_ph * PPFD * cover"
        } else {
            "0"
        },
        vec![
            canopy
                .reflectance
                .clone()
                .input("reflectance of the canopy", "rho_r", Dim::Fraction),
            canopy.photon_energy_j_per_umol.clone().input(
                "energy per photon",
                "e_ph",
                Dim::PhotonEnergy,
            ),
            ppfd.input("light at the canopy", "PPFD", Dim::PhotonFlux),
            canopy
                .coverage
                .clone()
                .input("share of the ground covered", "cover", Dim::Fraction),
        ],
        Value::new(r_net, Dim::HeatFlux),
        sources::GRAAMANS_2017,
    )
}

/// Leaf temperature, heat and water of a canopy, each opened to its working.
#[derive(Clone, Debug, PartialEq)]
pub struct CanopyWorkings {
    /// Heat to the air \[W/m²\].
    pub sensible: Working,
    /// Heat carried as vapour \[W/m²\], from the sensible one and the light.
    pub latent: Working,
    /// Heat carried as vapour \[W/m²\] by the vapour equation alone: the check
    /// that the leaf temperature found closes the balance.
    pub latent_check: Working,
    /// Water given off \[kg/(m² s)\].
    pub water: Working,
    /// The flows that they explain.
    pub flux: CanopyFlux,
}

/// What the canopy workings start from.
#[derive(Clone, Debug, PartialEq)]
pub struct CanopyInputs {
    /// Leaves and air layer.
    pub canopy: KnownCanopy,
    /// Air around them.
    pub air: KnownAir,
    /// Light at the canopy \[µmol/(m² s)\].
    pub ppfd: Known,
    /// Stomatal resistance \[s/m\].
    pub stomatal_resistance: Known,
}

/// The exact canopy balance, as [`canopy::canopy_flux`].
///
/// - `inputs`: canopy with leaves, air, light, stomatal resistance
///
/// **Valid**, **Source** as there. Without leaves the leaf temperature is that
/// of the air and all flows are zero.
pub fn canopy_balance(inputs: &CanopyInputs) -> CanopyWorkings {
    let air = &inputs.air;
    let numbers = inputs.canopy.numbers();
    let r_s_si = inputs.stomatal_resistance.si();
    let flux = canopy::canopy_flux(&numbers, &air.state, inputs.ppfd.si(), r_s_si);
    let r_net = net_radiation(&inputs.canopy, inputs.ppfd.clone());
    let r_s = || {
        inputs
            .stomatal_resistance
            .clone()
            .input("stomatal resistance", "r_s", Dim::Resistance)
    };

    let leaf_vapour_pa = air::saturation_pressure_pa(flux.leaf_c);
    let vapour_kg_per_m3 = vapour_density_kg_per_m3(leaf_vapour_pa, flux.leaf_c)
        - vapour_density_kg_per_m3(air.state.vapour_pressure_pa(), air.state.dry_bulb_c());
    let by_vapour_w_per_m2 =
        numbers.active_lai() * air::latent_heat_j_per_kg(air.state.dry_bulb_c()) * vapour_kg_per_m3
            / (r_s_si + numbers.leaf_aero_resistance_s_per_m);
    let residual = flux.net_radiation_w_per_m2 - flux.sensible_w_per_m2 - by_vapour_w_per_m2;

    let leaf = Working {
        name: "leaf temperature".into(),
        symbol: "T_s".into(),
        equation: Equation::Procedure(
            format!(
                "bracketed Newton solution of R_net - H - LE = 0 for the leaf temperature, exact saturation pressure; R_net - H - LE = {residual:.1e} W/m2 there"
            )
            .into(),
        ),
        inputs: vec![
            Input::computed(r_net.clone()),
            inputs.canopy.active_lai(),
            inputs.canopy.aero_resistance(),
            r_s(),
            air.dry_bulb(),
            air.vapour_pressure(),
            air.humidity_ratio(),
            air.specific_volume(),
        ],
        result: Value::new(flux.leaf_c, Dim::Temperature).digits(4),
        source: sources::GRAAMANS_2017,
    };
    let leaf_vapour = Working {
        name: "saturation pressure at the leaf".into(),
        symbol: "p_s".into(),
        equation: Equation::Procedure(
            "saturation pressure over water or ice, ASHRAE Fundamentals 2017 ch. 1 eqs 5 and 6"
                .into(),
        ),
        inputs: vec![Input::computed(leaf.clone())],
        result: Value::new(leaf_vapour_pa, Dim::VapourPressure).digits(4),
        source: Source::published("ASHRAE Handbook, Fundamentals 2017", "ch. 1, eqs 5 and 6"),
    };

    let sensible = algebra(
        "heat from canopy to air",
        "H",
        "LAI * (1006 + 1860 * W_a) / v_a * (T_s - T_a) / r_a",
        vec![
            inputs.canopy.active_lai(),
            air.humidity_ratio(),
            air.specific_volume(),
            Input::computed(leaf.clone()),
            air.dry_bulb(),
            inputs.canopy.aero_resistance(),
        ],
        Value::new(flux.sensible_w_per_m2, Dim::HeatFlux),
        sources::GRAAMANS_2017,
    );
    let latent_check = algebra(
        "heat carried as vapour, by the vapour equation",
        "LE_v",
        "LAI * (2501000 - 2361 * T_a) * (p_s / (461.5 * (T_s + 273.15)) - p_a / (461.5 * (T_a + 273.15))) / (r_s + r_a)",
        vec![
            inputs.canopy.active_lai(),
            air.dry_bulb(),
            Input::computed(leaf_vapour),
            Input::computed(leaf),
            air.vapour_pressure(),
            r_s(),
            inputs.canopy.aero_resistance(),
        ],
        Value::new(by_vapour_w_per_m2, Dim::HeatFlux),
        sources::GRAAMANS_2017,
    );
    let latent = algebra(
        "heat carried as vapour",
        "LE",
        "R_net - H",
        vec![Input::computed(r_net), Input::computed(sensible.clone())],
        Value::new(flux.latent_w_per_m2, Dim::HeatFlux),
        sources::GRAAMANS_2017,
    );
    let water = canopy_water(latent.clone(), air, flux.water_kg_per_m2_s);
    CanopyWorkings {
        sensible,
        latent,
        latent_check,
        water,
        flux,
    }
}

/// Water from latent heat, λ at air temperature.
fn canopy_water(latent: Working, air: &KnownAir, water_kg_per_m2_s: f64) -> Working {
    algebra(
        "water given off by the canopy",
        "w_canopy",
        "LE / (2501000 - 2361 * T_a)",
        vec![Input::computed(latent), air.dry_bulb()],
        Value::new(water_kg_per_m2_s, Dim::WaterFlux),
        sources::FAO_56,
    )
}

/// The canopy in closed form, to check by hand; as
/// [`canopy::canopy_flux_linearised`].
///
/// - `inputs`: canopy with leaves, air, light, stomatal resistance
///
/// Gives the water; its latent heat is an input of it.
///
/// **Valid**, **Source** as there.
pub fn canopy_by_hand(inputs: &CanopyInputs) -> Working {
    let air = &inputs.air;
    let numbers = inputs.canopy.numbers();
    let r_s_si = inputs.stomatal_resistance.si();
    let flux = canopy::canopy_flux_linearised(&numbers, &air.state, inputs.ppfd.si(), r_s_si);
    let latent = algebra(
        "heat carried as vapour, in closed form",
        "LE",
        "(slope * R_net + LAI * (1006 + 1860 * W_a) / v_a * VPD / r_a) / (slope + gamma * (1 + r_s / r_a))",
        vec![
            slope(air),
            Input::computed(net_radiation(&inputs.canopy, inputs.ppfd.clone())),
            inputs.canopy.active_lai(),
            air.humidity_ratio(),
            air.specific_volume(),
            vpd(air),
            gamma(air),
            inputs
                .stomatal_resistance
                .clone()
                .input("stomatal resistance", "r_s", Dim::Resistance),
            inputs.canopy.aero_resistance(),
        ],
        Value::new(flux.latent_w_per_m2, Dim::HeatFlux),
        sources::GRAAMANS_2017,
    );
    canopy_water(latent, air, flux.water_kg_per_m2_s)
}

//! How the numbers of this crate came about, for the page where they are shown.
//!
//! Each function computes with the equation of its family and lays down inputs,
//! equation and source beside the result. Equations stand in the symbols of the
//! inputs and can be evaluated; what no closed form gives (the leaf
//! temperature) is a named procedure that shows its residual.
//!
//! Inputs come as [`Known`]: given by survey or default, or worked out before.

use std::borrow::Cow;

use air::MoistAir;
use quantity::{Dim, Equation, Given, Input, Source, Value, Working};

use crate::air_side::{AirSide, VAPOUR_GAS_CONSTANT_J_PER_KG_K, ZERO_C_K};
use crate::canopy::{self, Canopy, CanopyFlux};
use crate::combustion::Fuel;
use crate::medium::{MediumSurface, medium_water_kg_per_m2_s};
use crate::people::{Activity, person};
use crate::{irrigation, sources, stomata, water_surface};

/// An input and how it is known.
#[derive(Clone, Debug, PartialEq)]
pub enum Known {
    /// Given, with its source.
    Given(f64, Source),
    /// Worked out before.
    Computed(Working),
}

impl Known {
    /// The number \[SI\].
    pub const fn si(&self) -> f64 {
        match self {
            Self::Given(si, _) => *si,
            Self::Computed(working) => working.result.si,
        }
    }

    /// As an input under the name and symbol that an equation uses.
    fn input(self, name: &'static str, symbol: &'static str, dim: Dim) -> Input {
        match self {
            Self::Given(si, source) => Input::given(name, symbol, Value::new(si, dim), source),
            Self::Computed(working) => Input {
                name: name.into(),
                symbol: symbol.into(),
                value: working.result,
                from: Some(Box::new(working)),
                source: None,
            },
        }
    }
}

impl From<&Given<f64>> for Known {
    fn from(given: &Given<f64>) -> Self {
        Self::Given(given.value, given.source())
    }
}

impl From<Working> for Known {
    fn from(working: Working) -> Self {
        Self::Computed(working)
    }
}

/// An air state and how it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownAir {
    /// The state.
    pub state: MoistAir,
    /// Where it comes from (a target of the survey, a simulated moment).
    pub source: Source,
}

impl KnownAir {
    fn input(&self, name: &'static str, symbol: &'static str, si: f64, dim: Dim) -> Input {
        Input::given(name, symbol, Value::new(si, dim).digits(4), self.source.clone())
    }

    fn dry_bulb(&self) -> Input {
        self.input("air dry bulb", "T_a", self.state.dry_bulb_c(), Dim::Temperature)
    }

    fn vapour_pressure(&self) -> Input {
        let p = self.state.vapour_pressure_pa();
        self.input("vapour pressure of the air", "p_a", p, Dim::VapourPressure)
    }

    fn humidity_ratio(&self) -> Input {
        let w = self.state.humidity_ratio();
        self.input("humidity ratio of the air", "W_a", w, Dim::HumidityRatio)
    }

    fn specific_volume(&self) -> Input {
        let v = self.state.specific_volume_m3_per_kg();
        self.input("specific volume of the air", "v_a", v, Dim::SpecificVolume)
    }
}

fn algebra(
    name: &'static str,
    symbol: &'static str,
    equation: impl Into<Cow<'static, str>>,
    inputs: Vec<Input>,
    result: Value,
    source: Source,
) -> Working {
    Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Algebra(equation.into()),
        inputs,
        result,
        source,
    }
}

/// Stomatal resistance of lit leaves.
///
/// As [`stomata::lit_resistance_s_per_m`], times [`stomata::co2_factor`] where
/// CO2 is given.
///
/// - `ppfd`: photon flux density \[µmol/(m² s)\], 0 or more; `co2_ppm`: CO2, if known
pub fn stomatal_resistance(ppfd: Known, co2_ppm: Option<Known>) -> Working {
    let lit = stomata::lit_resistance_s_per_m(ppfd.si());
    let mut inputs = vec![ppfd.input("light at the canopy", "PPFD", Dim::PhotonFlux)];
    let (equation, r_s) = match co2_ppm {
        None => ("60 * (1500 + PPFD) / (200 + PPFD)", lit),
        Some(co2) => {
            let factor = co2_factor(co2);
            let r_s = lit * factor.result.si;
            inputs.push(Input::computed(factor));
            ("60 * (1500 + PPFD) / (200 + PPFD) * f_CO2", r_s)
        }
    };
    algebra(
        "stomatal resistance, lights on",
        "r_s",
        equation,
        inputs,
        Value::new(r_s, Dim::Resistance),
        sources::GRAAMANS_2017,
    )
}

/// Factor of carbon dioxide; below 200 ppm and at the cap it is a plain number.
fn co2_factor(co2: Known) -> Working {
    let ppm = co2.si();
    let factor = stomata::co2_factor(ppm);
    let equation = if factor >= 1.5 {
        "1.5"
    } else if ppm <= 200.0 {
        "1"
    } else {
        "1 + 0.00000061 * (CO2 - 200) ^ 2"
    };
    algebra(
        "closing of the pores by carbon dioxide (1 to 1.5)",
        "f_CO2",
        equation,
        vec![co2.input("carbon dioxide", "CO2", Dim::Co2)],
        Value::new(factor, Dim::Number),
        sources::STANGHELLINI_1987,
    )
}

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
            return self.lai.clone().input("leaf area index", "LAI", Dim::Number);
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
        self.leaf_aero_resistance_s_per_m
            .clone()
            .input("resistance of the air layer", "r_a", Dim::Resistance)
    }
}

/// Light that a canopy takes up; as [`canopy::net_radiation_w_per_m2`].
///
/// - `canopy`: its parts, with leaves; `ppfd`: light \[µmol/(m² s)\], 0 or more
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
    let by_vapour_w_per_m2 = numbers.active_lai()
        * air::latent_heat_j_per_kg(air.state.dry_bulb_c())
        * (leaf_vapour_pa / (VAPOUR_GAS_CONSTANT_J_PER_KG_K * (flux.leaf_c + ZERO_C_K))
            - air.state.vapour_pressure_pa()
                / (VAPOUR_GAS_CONSTANT_J_PER_KG_K * (air.state.dry_bulb_c() + ZERO_C_K)))
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

fn slope(air: &KnownAir) -> Input {
    Input::computed(Working {
        name: "slope of the saturation pressure [Pa/K]".into(),
        symbol: "slope".into(),
        equation: Equation::Procedure(
            "derivative of the saturation pressure at air temperature".into(),
        ),
        inputs: vec![air.dry_bulb()],
        result: Value::new(
            air::saturation_slope_pa_per_k(air.state.dry_bulb_c()),
            Dim::Number,
        )
        .digits(4),
        source: Source::published("ASHRAE Handbook, Fundamentals 2017", "ch. 1, eqs 5 and 6"),
    })
}

fn gamma(air: &KnownAir) -> Input {
    let pressure_pa = air.state.pressure_pa();
    Input::computed(algebra(
        "psychrometric constant [Pa/K]",
        "gamma",
        "(1006 + 1860 * W_a) / (1 + W_a) * p / (0.622 * (2501000 - 2361 * T_a))",
        vec![
            air.humidity_ratio(),
            air.input("barometric pressure", "p", pressure_pa, Dim::Pressure),
            air.dry_bulb(),
        ],
        Value::new(
            AirSide::of(&air.state).psychrometric_constant_pa_per_k(),
            Dim::Number,
        )
        .digits(4),
        sources::FAO_56,
    ))
}

fn vpd(air: &KnownAir) -> Input {
    air.input(
        "vapour pressure deficit of the air",
        "VPD",
        AirSide::of(&air.state).vpd_pa(),
        Dim::VapourPressure,
    )
}

/// What reaches a surface of growing medium, and how it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct KnownMedium {
    /// Light taken up \[W/m²\].
    pub absorbed_light_w_per_m2: Known,
    /// Resistance of the air layer \[s/m\].
    pub aero_resistance_s_per_m: Known,
    /// Resistance of the dry skin \[s/m\].
    pub skin_resistance_s_per_m: Known,
}

/// Water from growing medium; as [`medium_water_kg_per_m2_s`].
///
/// - `medium`: light and resistances; `air`: air above it
pub fn medium_water(medium: &KnownMedium, air: &KnownAir) -> Working {
    let surface = MediumSurface {
        absorbed_light_w_per_m2: medium.absorbed_light_w_per_m2.si(),
        aero_resistance_s_per_m: medium.aero_resistance_s_per_m.si(),
        skin_resistance_s_per_m: medium.skin_resistance_s_per_m.si(),
    };
    algebra(
        "water from the growing medium",
        "w_medium",
        "(slope * R_m + (1006 + 1860 * W_a) / v_a * VPD / r_a) / ((2501000 - 2361 * T_a) * (slope + gamma * (1 + r_m / r_a)))",
        vec![
            slope(air),
            medium.absorbed_light_w_per_m2.clone().input(
                "light on the medium",
                "R_m",
                Dim::HeatFlux,
            ),
            air.humidity_ratio(),
            air.specific_volume(),
            vpd(air),
            medium.aero_resistance_s_per_m.clone().input(
                "resistance of the air layer",
                "r_a",
                Dim::Resistance,
            ),
            air.dry_bulb(),
            gamma(air),
            medium.skin_resistance_s_per_m.clone().input(
                "resistance of the dry skin",
                "r_m",
                Dim::Resistance,
            ),
        ],
        Value::new(
            medium_water_kg_per_m2_s(&surface, &air.state),
            Dim::WaterFlux,
        ),
        sources::FAO_56,
    )
}

fn water_side_pressure(water_c: &Known) -> Input {
    Input::computed(Working {
        name: "saturation pressure at the water".into(),
        symbol: "p_w".into(),
        equation: Equation::Procedure(
            "saturation pressure over water or ice, ASHRAE Fundamentals 2017 ch. 1 eqs 5 and 6"
                .into(),
        ),
        inputs: vec![water_c.clone().input(
            "water temperature",
            "T_w",
            Dim::Temperature,
        )],
        result: Value::new(
            air::saturation_pressure_pa(water_c.si()),
            Dim::VapourPressure,
        )
        .digits(4),
        source: Source::published("ASHRAE Handbook, Fundamentals 2017", "ch. 1, eqs 5 and 6"),
    })
}

/// Water from a reservoir in still air; as [`water_surface::shah_kg_per_m2_s`].
///
/// - `water_c`: water temperature \[°C\]; `air`: room air
///
/// The equation shown is the larger of the two forms, the one that counts.
pub fn still_water(water_c: Known, air: &KnownAir) -> Working {
    let rate = water_surface::shah_kg_per_m2_s(water_c.si(), &air.state);
    let p_w_pa = air::saturation_pressure_pa(water_c.si());
    let forced = 5.0e-5 * (p_w_pa - air.state.vapour_pressure_pa()) / 3600.0;
    let (equation, inputs) = if rate <= 0.0 {
        ("0", vec![water_side_pressure(&water_c), air.vapour_pressure()])
    } else if rate <= forced {
        (
            "0.00005 * (p_w - p_a) / 3600",
            vec![water_side_pressure(&water_c), air.vapour_pressure()],
        )
    } else {
        let pressure_pa = air.state.pressure_pa();
        let w_w = air::saturation_humidity_ratio(water_c.si(), pressure_pa);
        let v_w = air::specific_volume_m3_per_kg(water_c.si(), w_w, pressure_pa);
        let of_water = |name, symbol, si, dim| {
            Input::computed(Working {
                name: Cow::Borrowed(name),
                symbol: Cow::Borrowed(symbol),
                equation: Equation::Procedure("air saturated at the water's temperature".into()),
                inputs: vec![water_c.clone().input("water temperature", "T_w", Dim::Temperature)],
                result: Value::new(si, dim).digits(5),
                source: sources::BALANCE,
            })
        };
        (
            "35 / v_w * (1 / v_a - 1 / v_w) ^ (1 / 3) * (W_w - W_a) / 3600",
            vec![
                of_water("specific volume at the water", "v_w", v_w, Dim::SpecificVolume),
                air.specific_volume(),
                of_water("humidity ratio at the water", "W_w", w_w, Dim::HumidityRatio),
                air.humidity_ratio(),
            ],
        )
    };
    algebra(
        "water from a still surface",
        "w_tank",
        equation,
        inputs,
        Value::new(rate, Dim::WaterFlux),
        sources::SHAH,
    )
}

/// Water from a surface under moving air; as
/// [`water_surface::handbook_kg_per_m2_s`].
///
/// - `water_c`: water temperature \[°C\]; `air`: room air;
///   `air_speed_m_per_s`: speed over it, 0 or more
pub fn blown_water(water_c: Known, air: &KnownAir, air_speed_m_per_s: Known) -> Working {
    let rate = water_surface::handbook_kg_per_m2_s(
        water_c.si(),
        &air.state,
        air_speed_m_per_s.si(),
    );
    algebra(
        "water from a surface under moving air",
        "w_tank",
        "(p_w - p_a) * (0.089 + 0.0782 * V) / (2501000 - 2361 * T_w)",
        vec![
            water_side_pressure(&water_c),
            air.vapour_pressure(),
            air_speed_m_per_s.input("air speed over the water", "V", Dim::Speed),
            water_c.input("water temperature", "T_w", Dim::Temperature),
        ],
        Value::new(rate, Dim::WaterFlux),
        sources::HANDBOOK_WATER_SURFACE,
    )
}

/// Water of people; as [`person`], times their number.
///
/// - `count`: how many; `activity`: what they do; `air`: room air
pub fn people_water(count: Known, activity: Activity, air: &KnownAir) -> Working {
    let one = person(activity, air.state.dry_bulb_c());
    let rate = count.si() * one.water_kg_per_s;
    algebra(
        "water given off by people",
        "w_people",
        "n * Q_lat / (2501000 - 2361 * T_a)",
        vec![
            count.input("people in the room", "n", Dim::Count),
            Input::given(
                "latent heat of one person",
                "Q_lat",
                Value::new(one.latent_w, Dim::Power),
                sources::PEOPLE,
            ),
            air.dry_bulb(),
        ],
        Value::new(rate, Dim::WaterRate),
        sources::PEOPLE,
    )
}

/// Heat of people to the air; as [`person`], times their number.
///
/// - `count`: how many; `activity`: what they do
pub fn people_heat(count: Known, activity: Activity) -> Working {
    let one_w = person(activity, 24.0).sensible_w;
    let heat_w = count.si() * one_w;
    algebra(
        "heat given off by people",
        "Q_people",
        "n * Q_sens",
        vec![
            count.input("people in the room", "n", Dim::Count),
            Input::given(
                "sensible heat of one person",
                "Q_sens",
                Value::new(one_w, Dim::Power),
                sources::PEOPLE,
            ),
        ],
        Value::new(heat_w, Dim::Power),
        sources::PEOPLE,
    )
}

/// Water brought by air exchange; as [`crate::air_exchange::air_exchange`].
///
/// - `flow_m3_per_s`: at the outdoor state; `outdoor`, `indoor`: the two states
pub fn air_exchange_water(flow_m3_per_s: Known, outdoor: &KnownAir, indoor: &KnownAir) -> Working {
    let gain = crate::air_exchange::air_exchange(
        &outdoor.state,
        &indoor.state,
        flow_m3_per_s.si(),
    );
    algebra(
        "water brought by air exchange",
        "w_air",
        "V_out / v_out * (W_out - W_in)",
        exchange_inputs(flow_m3_per_s, outdoor, indoor),
        Value::new(gain.water_kg_per_s, Dim::WaterRate),
        sources::BALANCE,
    )
}

/// Sensible heat brought by air exchange; as [`air_exchange_water`].
///
/// - `flow_m3_per_s`: at the outdoor state; `outdoor`, `indoor`: the two states
pub fn air_exchange_heat(flow_m3_per_s: Known, outdoor: &KnownAir, indoor: &KnownAir) -> Working {
    let gain = crate::air_exchange::air_exchange(
        &outdoor.state,
        &indoor.state,
        flow_m3_per_s.si(),
    );
    let mut inputs = exchange_inputs(flow_m3_per_s, outdoor, indoor);
    inputs.truncate(3);
    let t_out = outdoor.state.dry_bulb_c();
    let t_in = indoor.state.dry_bulb_c();
    inputs.push(outdoor.input("outdoor dry bulb", "T_out", t_out, Dim::Temperature));
    inputs.push(indoor.input("room dry bulb", "T_in", t_in, Dim::Temperature));
    algebra(
        "sensible heat brought by air exchange",
        "Q_air",
        "V_out / v_out * (1006 + 1860 * W_out) * (T_out - T_in)",
        inputs,
        Value::new(gain.sensible_w, Dim::Power),
        sources::BALANCE,
    )
}

fn exchange_inputs(flow_m3_per_s: Known, outdoor: &KnownAir, indoor: &KnownAir) -> Vec<Input> {
    let v_out = outdoor.state.specific_volume_m3_per_kg();
    let w_out = outdoor.state.humidity_ratio();
    let w_in = indoor.state.humidity_ratio();
    vec![
        flow_m3_per_s.input("outdoor air that enters", "V_out", Dim::AirFlow),
        outdoor.input("outdoor specific volume", "v_out", v_out, Dim::SpecificVolume),
        outdoor.input("outdoor humidity ratio", "W_out", w_out, Dim::HumidityRatio),
        indoor.input("room humidity ratio", "W_in", w_in, Dim::HumidityRatio),
    ]
}

/// Water made by a burner without a flue; as
/// [`crate::combustion::burner_from_fuel`].
///
/// - `fuel`: what is burnt; `fuel_kg_per_s`: how much
pub fn burner_water(fuel: Fuel, fuel_kg_per_s: Known) -> Working {
    let per_kg = fuel.water_kg_per_kg();
    let rate = fuel_kg_per_s.si() * per_kg;
    algebra(
        "water made by the burner",
        "w_burner",
        "m_fuel * y_H2O",
        vec![
            fuel_kg_per_s.input("fuel burnt", "m_fuel", Dim::MassRate),
            Input::given(
                "water per fuel, by mass",
                "y_H2O",
                Value::new(per_kg, Dim::Number).digits(4),
                sources::STOICHIOMETRY,
            ),
        ],
        Value::new(rate, Dim::WaterRate),
        sources::STOICHIOMETRY,
    )
}

/// Heat of a burner without a flue to the air; as
/// [`crate::combustion::burner_from_fuel`].
///
/// - `fuel`: what is burnt; `fuel_kg_per_s`: how much
pub fn burner_heat(fuel: Fuel, fuel_kg_per_s: Known) -> Working {
    let lower = fuel.lower_heating_value_j_per_kg();
    let heat_w = fuel_kg_per_s.si() * lower;
    algebra(
        "heat of the burner to the air",
        "Q_burner",
        "m_fuel * LHV",
        vec![
            fuel_kg_per_s.input("fuel burnt", "m_fuel", Dim::MassRate),
            Input::given(
                "lower heating value [J/kg]",
                "LHV",
                Value::new(lower, Dim::Number),
                sources::HEATING_VALUES,
            ),
        ],
        Value::new(heat_w, Dim::Power),
        sources::HEATING_VALUES,
    )
}

/// The ceiling that irrigation sets; as [`irrigation::ceiling_kg_per_s`].
///
/// - `applied_kg_per_s`, `runoff_kg_per_s`: means over some days
pub fn irrigation_ceiling(applied_kg_per_s: Known, runoff_kg_per_s: Known) -> Working {
    let rate = irrigation::ceiling_kg_per_s(applied_kg_per_s.si(), runoff_kg_per_s.si());
    algebra(
        "most that can evaporate of the water fed",
        "w_ceiling",
        "(1 - s_kept) * (applied - runoff)",
        vec![
            Input::given(
                "share kept in new growth",
                "s_kept",
                Value::new(irrigation::RETAINED_SHARE, Dim::Fraction),
                Source::published(
                    "Ohyama, Yamaguchi, Enjoji, Agronomy 10 (2020) 723",
                    "abstract: water use efficiency 4.0 %",
                ),
            ),
            applied_kg_per_s.input("water applied", "applied", Dim::WaterRate),
            runoff_kg_per_s.input("water run off", "runoff", Dim::WaterRate),
        ],
        Value::new(rate, Dim::WaterRate),
        sources::IRRIGATION_BALANCE,
    )
}

/// Water given off by a crop hung to dry, between two times; as
/// [`crate::drying::HungCrop::water_given_off_kg`].
///
/// - `crop`: as surveyed; `survey`: where it was written down
/// - `from_s`, `to_s`: times since hanging \[s\]
pub fn drying_water(
    crop: &crate::drying::HungCrop,
    survey: &Source,
    from_s: f64,
    to_s: f64,
) -> Working {
    let given = |name: &'static str, symbol: &'static str, si: f64, dim: Dim| {
        Input::given(name, symbol, Value::new(si, dim), survey.clone())
    };
    let ratio = algebra(
        "share of free water left at take-down",
        "MR_end",
        "(m_end / (1 - m_end) - m_eq / (1 - m_eq)) / (m_start / (1 - m_start) - m_eq / (1 - m_eq))",
        vec![
            given("moisture at take-down", "m_end", crop.end_moisture, Dim::Fraction),
            given(
                "moisture in balance with the air",
                "m_eq",
                crop.equilibrium_moisture,
                Dim::Fraction,
            ),
            given("moisture when hung", "m_start", crop.start_moisture, Dim::Fraction),
        ],
        Value::new(crop.end_ratio(), Dim::Fraction),
        sources::THIN_LAYER,
    );
    algebra(
        "water given off by the hung crop",
        "w_drying",
        "M_wet * (1 - m_start) * (m_start / (1 - m_start) - m_eq / (1 - m_eq)) * (MR_end ^ ((t_from / t_end) ^ n) - MR_end ^ ((t_to / t_end) ^ n))",
        vec![
            given("mass when hung", "M_wet", crop.wet_mass_kg, Dim::Mass),
            given("moisture when hung", "m_start", crop.start_moisture, Dim::Fraction),
            given(
                "moisture in balance with the air",
                "m_eq",
                crop.equilibrium_moisture,
                Dim::Fraction,
            ),
            Input::computed(ratio),
            given("from, since hanging", "t_from", from_s, Dim::Duration),
            given("to, since hanging", "t_to", to_s, Dim::Duration),
            given("days to take-down", "t_end", crop.drying_time_s, Dim::Duration),
            given("shape of the curve", "n", crop.page_exponent, Dim::Number),
        ],
        Value::new(crop.water_given_off_kg(from_s, to_s), Dim::Water),
        sources::THIN_LAYER,
    )
}

//! Pressure that ducts take, and the air that a unit still moves.

use equipment::{FilterState, Model};
use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::{Duct, DuctSection, DuctSide, DuctWall};

use std::f64::consts::PI;

use crate::friction::colebrook;

/// Friction in ducts.
pub const FRICTION: Source = Source::memory(
    "ASHRAE Handbook, Fundamentals, duct design; Colebrook 1939",
    "roughness 0.09 mm galvanised, 0.9 mm flexible fully stretched",
);
/// Rectangular ducts.
pub const EQUIVALENT: Source = Source::published(
    "design handbook citing the ASHRAE Handbook: equal friction at equal flow",
    "D_e = 1.30 (a b)^0.625 / (a + b)^0.25",
);
/// Flexible ducts that are not stretched.
pub const COMPRESSION: Source = Source::memory(
    "Abushakra, Walker and Sherman, compression of flexible ducts",
    "pressure drop correction; coefficients not read again",
);
/// Elbows.
pub const ELBOW: Source = Source::published(
    "ASHRAE Handbook, Fundamentals 2009, SI, fitting tables",
    "CD3-1: stamped elbow, r/D 1.5: 0.16 at 125 mm, 0.11 at 200 to 250 mm",
);

/// Viscosity of room air \[Pa s\].
const VISCOSITY_PA_S: f64 = 1.83e-5;
/// Loss of a plain duct end: air going in, air going out, in velocity heads.
const ENTRY: f64 = 0.5;
const EXIT: f64 = 1.0;

/// Air in a duct.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DuctFlow {
    /// Air flow \[m³/s\].
    pub air_flow_m3_per_s: f64,
    /// Inside diameter, or that of equal friction \[m\].
    pub diameter_m: f64,
    /// Roughness of the wall \[m\].
    pub roughness_m: f64,
    /// Density of the air \[kg/m³\].
    pub density_kg_per_m3: f64,
    /// Viscosity of the air \[Pa s\].
    pub viscosity_pa_s: f64,
}

impl DuctFlow {
    /// Mean speed \[m/s\].
    pub fn speed_m_per_s(&self) -> f64 {
        4.0 * self.air_flow_m3_per_s / (PI * self.diameter_m.powi(2))
    }

    /// Reynolds number.
    pub fn reynolds(&self) -> f64 {
        self.density_kg_per_m3 * self.speed_m_per_s() * self.diameter_m / self.viscosity_pa_s
    }
}

/// Friction factor (Darcy) by Colebrook, 64 / Re below Re 2300.
///
/// **Valid** Re above 4000 for the turbulent branch. **Source** [`FRICTION`].
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds < 2300.0 {
        return 64.0 / reynolds.max(1.0);
    }
    colebrook(reynolds, relative_roughness)
}

/// Friction factor (Darcy) by Haaland, within about 2 % of Colebrook.
///
/// ```text
/// 1/√f = −1.8 log10((ε / 3.7 D)^1.11 + 6.9 / Re)
/// ```
///
/// **Valid** Re above 4000. **Source** Haaland 1983, recalled.
pub fn haaland(reynolds: f64, relative_roughness: f64) -> f64 {
    let root = -1.8 * ((relative_roughness / 3.7).powf(1.11) + 6.9 / reynolds).log10();
    1.0 / (root * root)
}

/// Friction of a straight duct \[Pa/m\].
///
/// ```text
/// Δp / L = f ρ V² / (2 D)
/// ```
///
/// **Valid** as [`friction_factor`]. **Source** [`FRICTION`].
pub fn friction_pa_per_m(flow: &DuctFlow) -> f64 {
    let f = friction_factor(flow.reynolds(), flow.roughness_m / flow.diameter_m);
    f * flow.density_kg_per_m3 * flow.speed_m_per_s().powi(2) / (2.0 * flow.diameter_m)
}

/// Diameter of the round duct with the friction of a rectangular one \[m\].
///
/// ```text
/// D_e = 1.30 (a b)^0.625 / (a + b)^0.25
/// ```
///
/// **Valid** sides up to 1:4. **Source** [`EQUIVALENT`].
pub fn equivalent_diameter_m(width_m: f64, height_m: f64) -> f64 {
    1.30 * (width_m * height_m).powf(0.625) / (width_m + height_m).powf(0.25)
}

/// Friction of a flexible duct over that of the same duct fully stretched.
///
/// ```text
/// PDCF = 1 + 0.58 r exp(−0.00496 D)      r in percent, D in mm
/// ```
///
/// - `compression`: how far it is from stretched, 0 to 0.3
///
/// **Valid** 150 to 400 mm, to about 30 %. **Source** [`COMPRESSION`].
pub fn flexible_factor(compression: f64, diameter_m: f64) -> f64 {
    1.0 + 0.58 * (100.0 * compression) * (-0.00496 * 1000.0 * diameter_m).exp()
}

/// Temperatures about a duct that must not sweat \[°C\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sweating {
    /// Air around it.
    pub ambient_c: f64,
    /// Dew point of that air.
    pub dew_point_c: f64,
    /// Air in it.
    pub duct_c: f64,
}

/// Least insulation so that a duct does not sweat \[m² K/W\].
///
/// ```text
/// R ≥ R_o (T_dp − T_duct) / (T_amb − T_dp)      R_o = 0.12 m² K/W
/// ```
///
/// **Valid** dew point below ambient; 0 where the duct is warmer than the dew
/// point, infinite where the air is saturated. **Source** heat balance of the
/// surface, derived.
pub fn insulation_m2_k_per_w(s: &Sweating) -> f64 {
    (FILM_M2_K_PER_W * (s.dew_point_c - s.duct_c) / (s.ambient_c - s.dew_point_c)).max(0.0)
}

/// Resistance of the air film on a duct \[m² K/W\]. **Assumed**.
const FILM_M2_K_PER_W: f64 = 0.12;
/// Conductivity of duct insulation \[W/m K\]: mineral wool or closed cell,
/// recalled.
pub const INSULATION_W_PER_M_K: f64 = 0.04;

/// Heat through the wall of a duct with its insulation \[W\].
///
/// ```text
/// Q = A ΔT / (R_o + t / k)
/// ```
///
/// - `difference_k`: between the air on its two sides \[K\], of either sign
///
/// **Valid** thin insulation; the duct's own wall and inner film left out: an
/// upper bound. **Source** steady conduction.
pub fn heat_w(duct: &Duct, difference_k: f64) -> f64 {
    let around_m = match duct.section {
        DuctSection::Round { diameter_m } => PI * diameter_m,
        DuctSection::Rectangular { width_m, height_m } => 2.0 * (width_m + height_m),
    };
    let resistance = FILM_M2_K_PER_W + duct.insulation_m.value / INSULATION_W_PER_M_K;
    around_m * duct.length_m.value * difference_k.abs() / resistance
}

/// Area of a round duct \[m²\].
pub(crate) fn round_m2(diameter_m: f64) -> f64 {
    0.25 * PI * diameter_m.powi(2)
}

/// Loss of a quarter bend in velocity heads, straight between the table's ends.
///
/// **Valid** 125 to 250 mm; beyond them the ends hold. **Source** [`ELBOW`].
pub fn elbow(diameter_m: f64) -> f64 {
    let x = ((diameter_m - 0.125) / (0.200 - 0.125)).clamp(0.0, 1.0);
    0.16 - 0.05 * x
}

/// Pressure that a duct takes at an air flow \[Pa\].
///
/// ```text
/// Δp = (f L / D) ρ V² / 2 · PDCF + (n C + C_end) ρ V² / 2
/// ```
///
/// The end is a plain one: 0.5 velocity heads where air goes in, 1 where it
/// goes out.
///
/// **Valid** turbulent flow. **Source** [`FRICTION`], [`ELBOW`].
pub fn loss_pa(duct: &Duct, air_flow_m3_per_s: f64, density_kg_per_m3: f64) -> f64 {
    let (diameter_m, area_m2) = match duct.section {
        DuctSection::Round { diameter_m } => (diameter_m, round_m2(diameter_m)),
        DuctSection::Rectangular { width_m, height_m } => {
            (equivalent_diameter_m(width_m, height_m), width_m * height_m)
        }
    };
    let (roughness_m, factor) = match duct.wall.value {
        DuctWall::Galvanised => (9e-5, 1.0),
        DuctWall::Flexible => (9e-4, flexible_factor(duct.compression.value, diameter_m)),
    };
    if air_flow_m3_per_s <= 0.0 {
        return 0.0;
    }
    let friction = friction_pa_per_m(&DuctFlow {
        air_flow_m3_per_s,
        diameter_m,
        roughness_m,
        density_kg_per_m3,
        viscosity_pa_s: VISCOSITY_PA_S,
    });
    let speed = air_flow_m3_per_s / area_m2;
    let end = match duct.side.value {
        DuctSide::Inlet => ENTRY,
        DuctSide::Outlet => EXIT,
    };
    let heads = f64::from(duct.elbows.value) * elbow(diameter_m) + end;
    friction * duct.length_m.value * factor + heads * 0.5 * density_kg_per_m3 * speed * speed
}

/// A unit with its ducts, in balance with its fan.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ducted {
    /// Air that it moves, filter clean \[m³/s\].
    pub air_flow_m3_per_s: f64,
    /// Pressure that the inlet duct takes \[Pa\].
    pub inlet_pa: f64,
    /// Pressure that the outlet duct takes \[Pa\].
    pub outlet_pa: f64,
}

impl Ducted {
    /// All of it \[Pa\].
    pub fn external_static_pa(&self) -> f64 {
        self.inlet_pa + self.outlet_pa
    }

    /// Whether there are any ducts: they take pressure.
    pub fn is_ducted(&self) -> bool {
        0.0 < self.external_static_pa()
    }
}

/// Air flow at which the ducts take what the fan gives, by halving.
pub fn balance(model: &Model, ducts: &[&Duct], density_kg_per_m3: f64) -> Ducted {
    let side = |side: DuctSide, flow: f64| -> f64 {
        ducts
            .iter()
            .filter(|d| d.side.value == side)
            .map(|d| loss_pa(d, flow, density_kg_per_m3))
            .sum()
    };
    let fan = |static_pa: f64| model.fan.airflow_m3_per_s(FilterState::Clean, static_pa);
    let (mut low, mut high) = (0.0, fan(0.0));
    if !ducts.is_empty() {
        for _ in 0..50 {
            let flow = 0.5 * (low + high);
            let static_pa = side(DuctSide::Inlet, flow) + side(DuctSide::Outlet, flow);
            if fan(static_pa) > flow {
                low = flow;
            } else {
                high = flow;
            }
        }
    }
    Ducted {
        air_flow_m3_per_s: high,
        inlet_pa: side(DuctSide::Inlet, high),
        outlet_pa: side(DuctSide::Outlet, high),
    }
}

/// How the pressure of a unit's ducts came about.
pub(super) fn working(tag: &str, ducted: &Ducted) -> Working {
    let pressure = |name: &'static str, symbol: &'static str, si: f64| Input {
        name: name.into(),
        symbol: symbol.into(),
        value: Value::new(si, Dim::Pressure),
        from: Some(Box::new(Working {
            name: name.into(),
            symbol: symbol.into(),
            equation: Equation::Procedure(
                "friction by Colebrook, bends and ends, at the air flow that the fan still moves"
                    .into(),
            ),
            inputs: vec![Input::given(
                "air flow in balance with the fan",
                "Q",
                Value::new(ducted.air_flow_m3_per_s, Dim::AirFlow),
                Source::assumed("fan curve of the record, filter clean"),
            )],
            result: Value::new(si, Dim::Pressure),
            source: FRICTION,
        })),
        source: None,
    };
    Working {
        name: format!("external static pressure of {tag}").into(),
        symbol: "p_ext".into(),
        equation: Equation::Algebra("p_in + p_out".into()),
        inputs: vec![
            pressure("pressure of the inlet duct", "p_in", ducted.inlet_pa),
            pressure("pressure of the outlet duct", "p_out", ducted.outlet_pa),
        ],
        result: Value::new(ducted.external_static_pa(), Dim::Pressure),
        source: FRICTION,
    }
}

//! Pipe: diameters, the code's table, partly full flow.

use std::f64::consts::PI;

use quantity::Source;
use room::{PipeMaterial, PipeSize};

/// Roughness by Manning of new smooth plastic or copper, for design.
///
/// **Source** hydraulics handbooks, e.g. Chow, Open-Channel Hydraulics (1959),
/// recalled: 0.009 to 0.011; slimed 0.013.
pub const MANNING_N: f64 = 0.010;

/// Largest share of its half-full capacity that a line is used to.
///
/// **Assumed**: films of millimetres, slime and sags are not in Manning's
/// formula.
pub const SHARE_OF_HALF_FULL: f64 = 0.5;

/// Water in the line \[kg/m³\], at 15 °C.
pub const WATER_KG_PER_M3: f64 = 999.1;

/// A ton of refrigeration \[W\].
pub const TON_W: f64 = 3516.853;

/// Least inside diameter of a drain of one unit \[m\]: 3/4 in.
pub const LEAST_INSIDE_M: f64 = 0.75 * 0.0254;

/// Where [`LEAST_INSIDE_M`] and [`size_for_tons`] are from.
pub const TABLE_SOURCE: Source = Source::published(
    "International Plumbing Code 2021 as adopted by Chicago; International Mechanical Code as adopted by Rapid City, 2019",
    "314.2.2 and 307.2.2, least size of condensate drains",
);

/// The sizes from the smallest.
pub const SIZES: [PipeSize; 5] = [
    PipeSize::ThreeQuarters,
    PipeSize::One,
    PipeSize::OneAndQuarter,
    PipeSize::OneAndHalf,
    PipeSize::Two,
];

/// Cooling capacity that each size may serve \[ton\].
const TABLE_TON: [f64; 5] = [20.0, 40.0, 90.0, 125.0, 250.0];

const fn row(size: PipeSize) -> usize {
    match size {
        PipeSize::ThreeQuarters => 0,
        PipeSize::One => 1,
        PipeSize::OneAndQuarter => 2,
        PipeSize::OneAndHalf => 3,
        PipeSize::Two => 4,
    }
}

/// The bore that a size is called after \[m\].
pub const fn nominal_m(size: PipeSize) -> f64 {
    const IN: f64 = 0.0254;
    match size {
        PipeSize::ThreeQuarters => 0.75 * IN,
        PipeSize::One => IN,
        PipeSize::OneAndQuarter => 1.25 * IN,
        PipeSize::OneAndHalf => 1.5 * IN,
        PipeSize::Two => 2.0 * IN,
    }
}

/// Inside and outside diameter \[m\].
///
/// **Source** schedule 40 steel and PVC: ASME B36.10M and ASTM D1785, nominal.
/// Others recalled: copper ASTM B88 type M, CPVC ASTM D2846 SDR 11, PEX ASTM
/// F876 SDR 9; the tubes' outside is 1/8 in over nominal and their wall the
/// least that the standard allows.
pub fn diameters_m(material: PipeMaterial, size: PipeSize) -> (f64, f64) {
    const IN: f64 = 0.0254;
    const SCHEDULE_40_MM: [(f64, f64); 5] = [
        (20.96, 26.67),
        (26.64, 33.40),
        (35.08, 42.16),
        (40.94, 48.26),
        (52.48, 60.33),
    ];
    const TUBE_OUTSIDE_IN: [f64; 5] = [0.875, 1.125, 1.375, 1.625, 2.125];
    let i = row(size);
    let tube = |wall_in: [f64; 5]| {
        (
            (TUBE_OUTSIDE_IN[i] - 2.0 * wall_in[i]) * IN,
            TUBE_OUTSIDE_IN[i] * IN,
        )
    };
    match material {
        PipeMaterial::Pvc | PipeMaterial::Steel => {
            let (inside, outside) = SCHEDULE_40_MM[i];
            (1e-3 * inside, 1e-3 * outside)
        }
        PipeMaterial::Copper => tube([0.032, 0.035, 0.042, 0.049, 0.058]),
        PipeMaterial::Cpvc => tube([0.080, 0.102, 0.125, 0.148, 0.193]),
        PipeMaterial::Pex => tube([0.097, 0.125, 0.153, 0.181, 0.236]),
    }
}

/// The least size for the cooling capacity on a common line, by the code's
/// table; nothing beyond it.
///
/// - `cooling_w`: cooling capacity of the units that drain into it \[W\]
///
/// **Valid** up to 250 tons.
/// **Source** [`TABLE_SOURCE`]; the Uniform codes have the same steps (UMC
/// 2003, in a summary).
/// **Checked** `tests/drain.rs`.
pub fn size_for_tons(cooling_w: f64) -> Option<PipeSize> {
    // Limits of the table are read to a thousandth of a ton.
    const READ: f64 = 1.000_05;
    SIZES
        .into_iter()
        .zip(TABLE_TON)
        .find(|(_, ton)| cooling_w / TON_W <= ton * READ)
        .map(|(size, _)| size)
}

/// Speed in a pipe half full \[m/s\].
///
/// ```text
/// v = 1/n (D/4)^(2/3) S^(1/2)
/// ```
///
/// - `inside_m`: D \[m\]
/// - `fall`: S \[m/m\]
/// - `manning_n`: roughness n
///
/// **Valid** uniform, rough, turbulent flow with a free surface; optimistic for
/// films of millimetres in small pipes.
/// **Source** Manning's formula.
/// **Checked** `tests/drain.rs`.
pub fn half_full_speed_m_per_s(inside_m: f64, fall: f64, manning_n: f64) -> f64 {
    (0.25 * inside_m).powf(2.0 / 3.0) * fall.max(0.0).sqrt() / manning_n
}

/// Flow in a pipe half full \[m³/s\].
///
/// ```text
/// Q = pi D²/8 · v
/// ```
///
/// Arguments, validity and source as [`half_full_speed_m_per_s`].
pub fn half_full_flow_m3_per_s(inside_m: f64, fall: f64, manning_n: f64) -> f64 {
    0.125 * PI * inside_m * inside_m * half_full_speed_m_per_s(inside_m, fall, manning_n)
}

/// Flow in a pipe filled to a depth \[m³/s\].
///
/// ```text
/// Q = 1/n A R^(2/3) S^(1/2)    theta = 2 acos(1 − 2 y/D)
/// A = D²/8 (theta − sin theta)    R = D/4 (1 − sin(theta)/theta)
/// ```
///
/// - `depth_share`: y/D, 0 to 1
///
/// Validity and source as [`half_full_speed_m_per_s`].
pub fn partly_full_flow_m3_per_s(
    inside_m: f64,
    fall: f64,
    manning_n: f64,
    depth_share: f64,
) -> f64 {
    let theta = 2.0 * (1.0 - 2.0 * depth_share.clamp(0.0, 1.0)).acos();
    if theta <= 0.0 {
        return 0.0;
    }
    let area = inside_m * inside_m / 8.0 * (theta - theta.sin());
    let radius = 0.25 * inside_m * (1.0 - theta.sin() / theta);
    area * radius.powf(2.0 / 3.0) * fall.max(0.0).sqrt() / manning_n
}

/// What a line may carry \[kg/s\]: [`SHARE_OF_HALF_FULL`] of its flow half
/// full.
pub fn capacity_kg_per_s(inside_m: f64, fall: f64) -> f64 {
    SHARE_OF_HALF_FULL * WATER_KG_PER_M3 * half_full_flow_m3_per_s(inside_m, fall, MANNING_N)
}

/// What a line must serve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Demand {
    /// Peak flow \[kg/s\].
    pub flow_kg_per_s: f64,
    /// Cooling capacity of its units \[W\].
    pub cooling_w: f64,
    /// Largest pan outlet upstream, inside \[m\].
    pub outlet_m: f64,
    /// Fall \[m/m\].
    pub fall: f64,
}

/// The least size of a material that serves; nothing if none does.
///
/// It must be as large as the pan outlets, 3/4 in inside, as the table says by
/// cooling capacity, and carry the flow.
pub fn least_size(material: PipeMaterial, demand: &Demand) -> Option<PipeSize> {
    let by_table = row(size_for_tons(demand.cooling_w)?);
    SIZES
        .into_iter()
        .skip(by_table)
        .find(|size| serves(material, *size, demand))
}

/// Whether a size serves, as [`least_size`].
pub fn serves(material: PipeMaterial, size: PipeSize, demand: &Demand) -> bool {
    // Nominal bores are rounded to hundredths of a millimetre.
    const ROUNDED_M: f64 = 1e-5;
    let (inside_m, _) = diameters_m(material, size);
    size_for_tons(demand.cooling_w).is_some_and(|least| row(least) <= row(size))
        && demand.outlet_m.max(LEAST_INSIDE_M) <= inside_m + ROUNDED_M
        && demand.flow_kg_per_s <= capacity_kg_per_s(inside_m, demand.fall)
}

/// The larger of two sizes.
pub const fn larger(a: PipeSize, b: PipeSize) -> PipeSize {
    if row(a) < row(b) { b } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tubes_of_three_quarters_are_less_than_three_quarters_inside() {
        use PipeMaterial as M;
        let inside = |m| diameters_m(m, PipeSize::ThreeQuarters).0;
        for (material, under) in [
            (M::Pvc, false),
            (M::Steel, false),
            (M::Copper, false),
            (M::Cpvc, true),
            (M::Pex, true),
        ] {
            assert_eq!(inside(material) < LEAST_INSIDE_M, under, "{material:?}");
        }
        // ASTM sizes as remembered in inches: 0.68 and 0.71.
        assert!((inside(M::Pex) / 0.0254 - 0.68).abs() < 0.005);
        assert!((inside(M::Cpvc) / 0.0254 - 0.715).abs() < 0.005);
        let small = Demand {
            flow_kg_per_s: 0.003,
            cooling_w: 7000.0,
            outlet_m: 0.019,
            fall: 1.0 / 96.0,
        };
        assert_eq!(least_size(M::Pvc, &small), Some(PipeSize::ThreeQuarters));
        assert_eq!(least_size(M::Pex, &small), Some(PipeSize::One));
    }

    #[test]
    fn a_size_serves_up_to_its_limits() {
        let base = Demand {
            flow_kg_per_s: 0.001,
            cooling_w: 1000.0,
            outlet_m: 0.0,
            fall: 1.0 / 96.0,
        };
        let pvc = |demand: Demand| least_size(PipeMaterial::Pvc, &demand);
        let limit = capacity_kg_per_s(0.02096, base.fall);
        assert_eq!(
            pvc(Demand {
                flow_kg_per_s: limit,
                ..base
            }),
            Some(PipeSize::ThreeQuarters)
        );
        assert_eq!(
            pvc(Demand {
                flow_kg_per_s: 1.001 * limit,
                ..base
            }),
            Some(PipeSize::One)
        );
        assert_eq!(
            pvc(Demand {
                outlet_m: 0.0209,
                ..base
            }),
            Some(PipeSize::ThreeQuarters)
        );
        assert_eq!(
            pvc(Demand {
                outlet_m: 0.0215,
                ..base
            }),
            Some(PipeSize::One)
        );
        assert_eq!(
            pvc(Demand {
                cooling_w: 20.0 * TON_W,
                ..base
            }),
            Some(PipeSize::ThreeQuarters)
        );
        assert_eq!(
            pvc(Demand {
                cooling_w: 20.1 * TON_W,
                ..base
            }),
            Some(PipeSize::One)
        );
        assert_eq!(
            pvc(Demand {
                cooling_w: 251.0 * TON_W,
                ..base
            }),
            None
        );
    }

    #[test]
    fn half_full_is_partly_full_to_the_half() {
        let half = half_full_flow_m3_per_s(0.03, 0.01, 0.01);
        let partly = partly_full_flow_m3_per_s(0.03, 0.01, 0.01, 0.5);
        assert!((half / partly - 1.0).abs() < 1e-12);
        assert!(partly_full_flow_m3_per_s(0.03, 0.01, 0.01, 0.3) < half);
        assert_eq!(partly_full_flow_m3_per_s(0.03, 0.01, 0.01, 0.0), 0.0);
    }
}

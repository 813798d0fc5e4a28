//! Strut channel as a beam.

use super::thread::INCH_M;

/// Strut channel 1 5/8 × 1 5/8 in, 12 gauge, plain back.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Section {
    /// Second moment of area \[m⁴\].
    pub inertia_m4: f64,
    /// Section modulus \[m³\].
    pub modulus_m3: f64,
    /// Young's modulus \[Pa\].
    pub youngs_pa: f64,
    /// Mass per length \[kg/m\].
    pub mass_kg_per_m: f64,
    /// Depth and width \[m\].
    pub side_m: f64,
}

/// The section that is used throughout.
///
/// **Source** tables of the MFMA-4 era, from memory; our own rectangles bracket
/// them, so good to about 10 %. A slotted back is weaker by the maker's factor.
pub const STRUT: Section = Section {
    inertia_m4: 0.185 * INCH_M * INCH_M * INCH_M * INCH_M,
    modulus_m3: 0.202 * INCH_M * INCH_M * INCH_M,
    youngs_pa: 29.5e6 * 6_894.757_293_168,
    mass_kg_per_m: 1.9 * 0.453_592_37 / 0.3048,
    side_m: 1.625 * INCH_M,
};

/// Deflection allowed, as a part of the span.
///
/// **Assumed**: the usual limit for supports of equipment.
pub const SAG_PER_SPAN: f64 = 1.0 / 240.0;

/// Longest span that stands without a brace against twisting \[m\]: 48 in, from
/// memory of strut tables.
pub const UNBRACED_M: f64 = 48.0 * INCH_M;

/// A simple beam under one kind of load.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum BeamLoad {
    /// One load at mid-span \[N\].
    Middle {
        /// The load \[N\].
        load_n: f64,
    },
    /// A load spread evenly over the middle part of the span.
    Spread {
        /// The whole load \[N\].
        total_n: f64,
        /// Length that it is spread over, at most the span \[m\].
        over_m: f64,
    },
    /// Two equal loads, each as far from its end.
    TwoPoints {
        /// Each load \[N\].
        each_n: f64,
        /// From its end \[m\].
        from_end_m: f64,
    },
}

/// Largest bending moment of a simple beam \[N·m\].
///
/// ```text
/// middle      M = P L / 4
/// spread      M = W (2 L − w) / 8       W L / 8 over the whole span
/// two points  M = P c
/// ```
///
/// - `span_m`: L \[m\]
/// - `load`: P, W \[N\], w, c \[m\]
///
/// **Valid** simple supports, small deflection, w ≤ L, c ≤ L/2. Outside: a
/// number that means nothing.
/// **Error** none: statics.
/// **Source** beam formulas of structural handbooks, derived again.
/// **Checked** `tests/hanging.rs`, 661 in·lbf and 1984 in·lbf.
pub fn moment_n_m(span_m: f64, load: &BeamLoad) -> f64 {
    match *load {
        BeamLoad::Middle { load_n } => load_n * span_m / 4.0,
        BeamLoad::Spread { total_n, over_m } => total_n * (2.0 * span_m - over_m) / 8.0,
        BeamLoad::TwoPoints { each_n, from_end_m } => each_n * from_end_m,
    }
}

/// Deflection of a simple beam at mid-span \[m\].
///
/// ```text
/// middle      d = P L³ / (48 E I)
/// spread      d = W (8 L³ − 4 w² L + w³) / (384 E I)    5 W L³ / (384 E I)
/// two points  d = P c (3 L² − 4 c²) / (24 E I)
/// ```
///
/// - `span_m`: L \[m\]
/// - `load`: P, W \[N\], w, c \[m\]
/// - `section`: E \[Pa\], I \[m⁴\]
///
/// **Valid** as [`moment_n_m`].
/// **Error** none beside the section's 10 %.
/// **Source** beam formulas of structural handbooks, derived again.
/// **Checked** `tests/hanging.rs`, 0.0336 in and 0.070 in.
pub fn deflection_m(span_m: f64, load: &BeamLoad, section: &Section) -> f64 {
    let stiffness = section.youngs_pa * section.inertia_m4;
    match *load {
        BeamLoad::Middle { load_n } => load_n * span_m.powi(3) / (48.0 * stiffness),
        BeamLoad::Spread { total_n, over_m } => {
            total_n * (8.0 * span_m.powi(3) - 4.0 * over_m.powi(2) * span_m + over_m.powi(3))
                / (384.0 * stiffness)
        }
        BeamLoad::TwoPoints { each_n, from_end_m } => {
            each_n * from_end_m * (3.0 * span_m.powi(2) - 4.0 * from_end_m.powi(2))
                / (24.0 * stiffness)
        }
    }
}

/// Largest moment that two equal loads at a fixed distance make in a simple
/// span, wherever they stand on it \[N·m\].
///
/// ```text
/// s < 0.586 L    M = P (L − s/2)² / (2 L)
/// else           M = P L / 4              one load alone at mid-span
/// ```
///
/// - `span_m`: L \[m\]
/// - `apart_m`: distance of the loads s \[m\]
/// - `each_n`: each load P \[N\]
///
/// **Valid** simple span; on a channel over several members this is on the
/// safe side.
/// **Error** none: statics.
/// **Source** two equal moving loads, structural handbooks, derived again.
/// **Checked** beside the code against a raster of positions.
pub fn moving_pair_moment_n_m(span_m: f64, apart_m: f64, each_n: f64) -> f64 {
    let alone = each_n * span_m / 4.0;
    if apart_m < span_m {
        let pair = each_n * (span_m - 0.5 * apart_m).powi(2) / (2.0 * span_m);
        pair.max(alone)
    } else {
        alone
    }
}

/// Total load, spread evenly over a span, that a stress allows \[N\].
///
/// ```text
/// W = 8 σ S / L
/// ```
///
/// - `span_m`: L \[m\]
/// - `stress_pa`: allowed stress σ \[Pa\]
/// - `section`: S \[m³\]
///
/// **Valid** simple span, braced against twisting.
/// **Error** the section's 10 %.
/// **Source** beam formulas of structural handbooks.
/// **Checked** `tests/hanging.rs`, span table.
pub fn spread_by_stress_n(span_m: f64, stress_pa: f64, section: &Section) -> f64 {
    8.0 * stress_pa * section.modulus_m3 / span_m
}

/// Total load, spread evenly over a span, that the deflection allows \[N\].
///
/// ```text
/// W = 384 E I / (5 L³) · L/240
/// ```
///
/// - `span_m`: L \[m\]
/// - `section`: E \[Pa\], I \[m⁴\]
///
/// **Valid** simple span.
/// **Error** the section's 10 %.
/// **Source** beam formulas of structural handbooks.
/// **Checked** `tests/hanging.rs`, span table.
pub fn spread_by_deflection_n(span_m: f64, section: &Section) -> f64 {
    SAG_PER_SPAN * 384.0 * section.youngs_pa * section.inertia_m4 / (5.0 * span_m.powi(2))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// One load more: the sum of what each does, by superposition on a raster.
    fn raster_moment(span: f64, apart: f64, each: f64) -> f64 {
        let mut worst: f64 = 0.0;
        for i in 0..=2000 {
            let first = span * f64::from(i) / 2000.0;
            for at in [first, first + apart] {
                let moment: f64 = [first, first + apart]
                    .iter()
                    .filter(|p| 0.0 <= **p && **p <= span)
                    .map(|p| {
                        if at <= *p {
                            each * (span - p) * at / span
                        } else {
                            each * p * (span - at) / span
                        }
                    })
                    .sum();
                if at <= span {
                    worst = worst.max(moment);
                }
            }
        }
        worst
    }

    #[test]
    fn a_moving_pair_is_worst_where_the_formula_says() {
        for apart in [0.1, 0.4, 0.58, 0.6, 0.9, 1.5] {
            let by_formula = moving_pair_moment_n_m(1.0, apart, 100.0);
            let by_raster = raster_moment(1.0, apart, 100.0);
            assert!(
                (by_formula / by_raster - 1.0).abs() < 1e-3,
                "{apart}: {by_formula} {by_raster}"
            );
        }
    }

    #[test]
    fn spread_reaches_from_a_point_to_the_whole_span() {
        let spread = |over_m| BeamLoad::Spread {
            total_n: 600.0,
            over_m,
        };
        let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-12, "{a} {b}");
        let point = BeamLoad::Middle { load_n: 600.0 };
        close(moment_n_m(1.2, &spread(0.0)), moment_n_m(1.2, &point));
        close(
            deflection_m(1.2, &spread(0.0), &STRUT),
            deflection_m(1.2, &point, &STRUT),
        );
        close(moment_n_m(1.2, &spread(1.2)), 600.0 * 1.2 / 8.0);
        // An even load sags 5/8 of a point load; at equal moment a point load
        // sags 0.8 of an even one.
        close(
            deflection_m(1.2, &spread(1.2), &STRUT) / deflection_m(1.2, &point, &STRUT),
            0.625,
        );
    }
}

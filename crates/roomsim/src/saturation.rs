//! Saturation pressure and vapour density from a fine table.
//!
//! One cubic for every kelvin: no exponential in the
//! hot loop. A border of cells falls on 0.01 °C, where the curve has its kink between
//! ice and water.

use std::sync::OnceLock;

use crate::floor::cell;

/// Begin of the first cell \[°C\]: 0.01 °C is a border.
const FIRST_C: f64 = -69.99;
/// Cells, one a kelvin: up to 100 °C.
const CELLS: usize = 170;
/// Gas constant of vapour in the leaf equations \[J/(kg K)\].
const VAPOUR_J_PER_KG_K: f64 = 461.5;

/// Cubics of saturation pressure and of saturated vapour density.
#[derive(Debug)]
pub(crate) struct Saturation {
    pressure_pa: Box<[[f64; 4]; CELLS]>,
    density_kg_per_m3: Box<[[f64; 4]; CELLS]>,
}

/// A value and its slope over temperature.
#[derive(Clone, Copy, Debug)]
pub(crate) struct WithSlope {
    pub(crate) value: f64,
    pub(crate) per_k: f64,
}

impl Saturation {
    /// The table, made at first use.
    pub(crate) fn table() -> &'static Self {
        static TABLE: OnceLock<Saturation> = OnceLock::new();
        TABLE.get_or_init(Self::new)
    }

    fn new() -> Self {
        let density =
            |t_c: f64| air::saturation_pressure_pa(t_c) / (VAPOUR_J_PER_KG_K * (t_c + 273.15));
        Self {
            pressure_pa: cubics(air::saturation_pressure_pa),
            density_kg_per_m3: cubics(density),
        }
    }

    /// Saturation pressure \[Pa\] at −69.99 to 100 °C; beyond, the nearest.
    #[inline]
    pub(crate) fn pressure(&self, t_c: f64) -> WithSlope {
        read(&self.pressure_pa, t_c)
    }

    /// Density of saturated vapour \[kg/m³\] at −69.99 to 100 °C.
    #[inline]
    pub(crate) fn density(&self, t_c: f64) -> WithSlope {
        read(&self.density_kg_per_m3, t_c)
    }

    /// Dew point \[°C\] at a vapour pressure, from a guess near by, to 0.001 K.
    ///
    /// Newton's steps on the logarithm, which is nearly straight: one of 0.3 K
    /// is right to 0.001 K.
    #[inline]
    pub(crate) fn dew_point_from(&self, vapour_pressure_pa: f64, guess_c: f64) -> f64 {
        let mut t_c = guess_c;
        for _ in 0..40 {
            let p = self.pressure(t_c);
            // ln(p_w/p) ≈ 2 (p_w − p)/(p_w + p).
            let step_k = 2.0 * (vapour_pressure_pa - p.value) * p.value
                / ((vapour_pressure_pa + p.value) * p.per_k);
            t_c = (t_c + step_k).clamp(FIRST_C, 100.0);
            if step_k.abs() < 0.3 {
                break;
            }
        }
        t_c
    }
}

#[inline]
fn read(cells: &[[f64; 4]; CELLS], t_c: f64) -> WithSlope {
    // Just short of the end, so that the cell is always there.
    let raw = (t_c - FIRST_C).max(0.0).min(CELLS as f64 - 1e-9);
    let (index, x) = cell(raw);
    let [a, b, c, d] = cells[index];
    WithSlope {
        value: a + x * (b + x * (c + x * d)),
        per_k: b + x * (2.0 * c + x * (3.0 * d)),
    }
}

/// One cubic a kelvin through four points inside it, so that the kink at
/// 0.01 °C stays a kink.
fn cubics(f: impl Fn(f64) -> f64) -> Box<[[f64; 4]; CELLS]> {
    Box::new(std::array::from_fn(|i| {
        let left = FIRST_C + i as f64;
        let (f0, f1, f2, f3) = (
            f(left + 1e-9),
            f(left + 1.0 / 3.0),
            f(left + 2.0 / 3.0),
            f(left + 1.0 - 1e-9),
        );
        let b = -5.5 * f0 + 9.0 * f1 - 4.5 * f2 + f3;
        let c = 9.0 * f0 - 22.5 * f1 + 18.0 * f2 - 4.5 * f3;
        let d = -4.5 * f0 + 13.5 * f1 - 13.5 * f2 + 4.5 * f3;
        [f0, b, c, d]
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_follows_the_equation() {
        let table = Saturation::table();
        let mut worst: f64 = 0.0;
        for i in 0..160_000 {
            let t_c = -60.0 + 0.001 * f64::from(i);
            let exact = air::saturation_pressure_pa(t_c);
            worst = worst.max((table.pressure(t_c).value / exact - 1.0).abs());
        }
        assert!(worst < 1e-6, "worst relative error {worst:e}");
    }

    #[test]
    fn slope_follows_the_equation() {
        let table = Saturation::table();
        for t_c in [-20.3, -1.2, 0.5, 13.37, 24.9, 41.1] {
            let exact = (air::saturation_pressure_pa(t_c + 0.01)
                - air::saturation_pressure_pa(t_c - 0.01))
                / 0.02;
            assert!(
                (table.pressure(t_c).per_k / exact - 1.0).abs() < 1e-4,
                "{t_c}"
            );
        }
    }

    #[test]
    fn dew_point_comes_back_from_far_and_near() {
        let table = Saturation::table();
        for dew_c in [-35.0, -3.0, 4.0, 18.58, 29.0] {
            let p_pa = air::saturation_pressure_pa(dew_c);
            for guess_c in [dew_c - 0.3, -20.0, 25.0] {
                let found_c = table.dew_point_from(p_pa, guess_c);
                assert!(
                    (found_c - dew_c).abs() < 2e-3,
                    "{dew_c} from {guess_c}: {found_c}"
                );
            }
        }
    }
}

//! One step of two coupled linear equations, air temperature and humidity
//! ratio, stable at any step and closed to rounding.
//!
//! ```text
//! y' = f − K (y − y₀)          X = K·Δt
//! y₁ − y₀ = φ(X) f Δt          ȳ − y₀ = ψ(X) f Δt
//! φ = D⁻¹ (I + X/2 + X²/6)     ψ = D⁻¹ (I/2 + X/3 + X²/6)     D = I + X + X²/2 + X³/6
//! ```
//!
//! φ and ψ are those of the exact solution with exp(−X) taken as D⁻¹ (third
//! order, damped for stiff K). Since φ = I − X ψ holds exactly, the change of
//! y is exactly what the flows at the mean state ȳ add up to, whatever the
//! step. Powers of a 2×2 matrix are αI + βX (Cayley and Hamilton), so nothing
//! but a few products is left.

/// A flow at the start of the step and its slopes over dry bulb and humidity
/// ratio. Positive is to the room air.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Flow {
    pub(crate) start: f64,
    pub(crate) per_k: f64,
    pub(crate) per_w: f64,
}

impl Flow {
    pub(crate) const ZERO: Self = Self {
        start: 0.0,
        per_k: 0.0,
        per_w: 0.0,
    };

    #[inline]
    pub(crate) const fn constant(start: f64) -> Self {
        Self {
            start,
            per_k: 0.0,
            per_w: 0.0,
        }
    }

    #[inline]
    pub(crate) fn plus(self, other: Self) -> Self {
        Self {
            start: self.start + other.start,
            per_k: self.per_k + other.per_k,
            per_w: self.per_w + other.per_w,
        }
    }

    #[inline]
    pub(crate) fn times(self, factor: f64) -> Self {
        Self {
            start: self.start * factor,
            per_k: self.per_k * factor,
            per_w: self.per_w * factor,
        }
    }

    /// The flow, or near and above `most` a constant one of at most that: the
    /// last of a store runs out at an even rate.
    #[inline]
    pub(crate) fn at_most(self, most: f64) -> Self {
        if self.start < 0.9 * most {
            self
        } else {
            Self::constant(self.start.min(most))
        }
    }

    /// Mean over the step.
    #[inline]
    pub(crate) fn mean(self, mean: Change) -> f64 {
        self.start + self.per_k * mean.k + self.per_w * mean.w
    }
}

/// A change of the air: dry bulb \[K\] and humidity ratio.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Change {
    pub(crate) k: f64,
    pub(crate) w: f64,
}

/// What the zone's air takes to warm and to moisten.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Capacity {
    /// Step over heat capacity \[s K/J\].
    pub(crate) step_per_heat: f64,
    /// Step over mass that holds water \[s/kg\].
    pub(crate) step_per_mass: f64,
}

/// Turns flows into changes of the air over one step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Propagator {
    x: [[f64; 2]; 2],
    end: Poly,
    mean: Poly,
    capacity: Capacity,
}

/// αI + βX.
#[derive(Clone, Copy, Debug)]
struct Poly {
    alpha: f64,
    beta: f64,
}

impl Propagator {
    /// - `heat`: all sensible flows that act over the step, for their slopes
    /// - `water`: all water flows
    #[inline]
    pub(crate) fn new(heat: Flow, water: Flow, capacity: Capacity) -> Self {
        let Capacity {
            step_per_heat,
            step_per_mass,
        } = capacity;
        let x = [
            [-heat.per_k * step_per_heat, -heat.per_w * step_per_heat],
            [-water.per_k * step_per_mass, -water.per_w * step_per_mass],
        ];
        let trace = x[0][0] + x[1][1];
        let det = x[0][0] * x[1][1] - x[0][1] * x[1][0];
        // D = αI + βX, from X² = tr·X − det·I and X³ = (tr² − det)·X − tr·det·I.
        let alpha = 1.0 - det * (1.0 / 2.0) - trace * det * (1.0 / 6.0);
        let beta = 1.0 + trace * (1.0 / 2.0) + (trace * trace - det) * (1.0 / 6.0);
        let scale = 1.0 / (alpha * alpha + alpha * beta * trace + beta * beta * det);
        let over_d = |n: Poly| Poly {
            alpha: (n.alpha * (alpha + beta * trace) + n.beta * beta * det) * scale,
            beta: (n.beta * alpha - n.alpha * beta) * scale,
        };
        let end = over_d(Poly {
            alpha: 1.0 - det * (1.0 / 6.0),
            beta: 1.0 / 2.0 + trace * (1.0 / 6.0),
        });
        let mean = over_d(Poly {
            alpha: 1.0 / 2.0 - det * (1.0 / 6.0),
            beta: 1.0 / 3.0 + trace * (1.0 / 6.0),
        });
        Self {
            x,
            end,
            mean,
            capacity,
        }
    }

    /// Change to the end of the step from these flows at its start.
    #[inline]
    pub(crate) fn end(&self, heat_w: f64, water_kg_per_s: f64) -> Change {
        self.apply(self.end, heat_w, water_kg_per_s)
    }

    /// Mean change over the step from these flows at its start.
    #[inline]
    pub(crate) fn mean(&self, heat_w: f64, water_kg_per_s: f64) -> Change {
        self.apply(self.mean, heat_w, water_kg_per_s)
    }

    #[inline]
    fn apply(&self, poly: Poly, heat_w: f64, water_kg_per_s: f64) -> Change {
        let k = heat_w * self.capacity.step_per_heat;
        let w = water_kg_per_s * self.capacity.step_per_mass;
        Change {
            k: poly.alpha * k + poly.beta * (self.x[0][0] * k + self.x[0][1] * w),
            w: poly.alpha * w + poly.beta * (self.x[1][0] * k + self.x[1][1] * w),
        }
    }
}

/// Mean of exp(−x t) over t from 0 to 1, for x of 0 and more: what is left of
/// a conductance whose far side follows within the step.
#[inline]
pub(crate) fn mean_decay(x: f64) -> f64 {
    (1.0 + x * (0.5 + x * (1.0 / 6.0))) / (1.0 + x * (1.0 + x * (0.5 + x * (1.0 / 6.0))))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_decay_follows_the_exponential() {
        let heat = Flow {
            start: 0.0,
            per_k: -200.0,
            per_w: 0.0,
        };
        let capacity = Capacity {
            step_per_heat: 60.0 / 100_000.0,
            step_per_mass: 60.0 / 500.0,
        };
        let p = Propagator::new(heat, Flow::ZERO, capacity);
        let x: f64 = 0.12;
        let change = p.end(1000.0, 0.0);
        let exact_k = 1000.0 / 200.0 * (1.0 - (-x).exp());
        assert!((change.k / exact_k - 1.0).abs() < 1e-4);
    }

    #[test]
    fn what_flows_at_the_mean_is_what_changes() {
        let heat = Flow {
            start: -3.0e4,
            per_k: -9.0e3,
            per_w: 2.0e6,
        };
        let water = Flow {
            start: 4.0e-3,
            per_k: 3.0e-3,
            per_w: -1.9,
        };
        for step_s in [1.0, 60.0, 600.0, 86_400.0] {
            let (c, m) = (4.8e5, 470.0);
            let capacity = Capacity {
                step_per_heat: step_s / c,
                step_per_mass: step_s / m,
            };
            let p = Propagator::new(heat, water, capacity);
            let end = p.end(heat.start, water.start);
            let mean = p.mean(heat.start, water.start);
            let heat_j = heat.mean(mean) * step_s;
            let water_kg = water.mean(mean) * step_s;
            assert!((end.k * c - heat_j).abs() < 1e-9 * c, "{step_s}");
            assert!((end.w * m - water_kg).abs() < 1e-9 * m, "{step_s}");
        }
    }

    #[test]
    fn a_stiff_flow_is_damped_not_thrown_about() {
        let heat = Flow {
            start: 1e6,
            per_k: -1e5,
            per_w: 0.0,
        };
        let capacity = Capacity {
            step_per_heat: 600.0 / 1e4,
            step_per_mass: 1.0,
        };
        let change = Propagator::new(heat, Flow::ZERO, capacity).end(heat.start, 0.0);
        assert!((change.k - 10.0).abs() < 0.01);
    }
}

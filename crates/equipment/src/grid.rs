//! Outputs on a grid, for loops that ask a million times.
//!
//! [`Model::at`] solves for the coil temperature and takes some microseconds;
//! a grid answers in nanoseconds, straight between its nodes.

use air::{MoistAir, saturation_humidity_ratio};

use crate::cooling::{Cooler, CoolerConditions, Valve};
use crate::fan::FilterState;
use crate::model::Model;

/// Step of dry bulb \[K\].
const STEP_K: f64 = 0.5;
/// Steps from dry to saturated air.
const STEPS: usize = 50;

/// Numbers over dry bulb and degree of saturation W / W_s.
#[derive(Clone, Debug, PartialEq)]
struct Lattice<const N: usize> {
    start_c: f64,
    saturation: Vec<f64>,
    nodes: Vec<[f64; N]>,
}

impl<const N: usize> Lattice<N> {
    /// Asks `at` at every node between two dry bulbs.
    fn new(
        (start_c, end_c): (f64, f64),
        pressure_pa: f64,
        mut at: impl FnMut(MoistAir) -> [f64; N],
    ) -> Self {
        let n = (((end_c - start_c) / STEP_K).ceil() as usize).max(1);
        let mut saturation = Vec::with_capacity(n + 1);
        let mut nodes = Vec::with_capacity((n + 1) * (STEPS + 1));
        for i in 0..=n {
            let t_c = start_c + STEP_K * i as f64;
            let w_s = saturation_humidity_ratio(t_c, pressure_pa);
            saturation.push(w_s);
            for j in 0..=STEPS {
                let w = w_s * j as f64 / STEPS as f64;
                let node = MoistAir::new(t_c, w, pressure_pa).map_or([0.0; N], &mut at);
                nodes.push(node);
            }
        }
        Self {
            start_c,
            saturation,
            nodes,
        }
    }

    /// Straight between the nodes; outside, the nearest edge.
    #[inline]
    fn at(&self, dry_bulb_c: f64, humidity_ratio: f64) -> [f64; N] {
        let last = self.saturation.len() - 2;
        let x = ((dry_bulb_c - self.start_c) / STEP_K).max(0.0);
        let i = (x as usize).min(last);
        let x = (x - i as f64).min(1.0);
        let w_s = self.saturation[i] + x * (self.saturation[i + 1] - self.saturation[i]);
        let y = (humidity_ratio / w_s * STEPS as f64).clamp(0.0, STEPS as f64);
        let j = (y as usize).min(STEPS - 1);
        let y = y - j as f64;
        let row = i * (STEPS + 1) + j;
        let (a, b) = (&self.nodes[row], &self.nodes[row + 1]);
        let (c, d) = (&self.nodes[row + STEPS + 1], &self.nodes[row + STEPS + 2]);
        let mut out = [0.0; N];
        for k in 0..N {
            let low = a[k] + y * (b[k] - a[k]);
            let high = c[k] + y * (d[k] - c[k]);
            out[k] = low + x * (high - low);
        }
        out
    }
}

/// A dehumidifier at one pressure and filter state, on a grid.
#[derive(Clone, Debug, PartialEq)]
pub struct ModelGrid {
    lattice: Lattice<3>,
    window_c: (f64, f64),
    airflow_m3_per_s: f64,
    standby_w: f64,
}

/// What a [`ModelGrid`] says; heat to the room follows as in
/// [`crate::Output`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridOutput {
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Power drawn \[W\].
    pub power_w: f64,
    /// Temperature of the water that drains \[°C\].
    pub condensate_c: f64,
    /// Air flow at the inlet \[m³/s\]; 0 outside the inlet window.
    pub airflow_m3_per_s: f64,
}

impl Model {
    /// The unit on a grid over its inlet window.
    ///
    /// - `pressure_pa`: barometric pressure
    /// - `filter`: state of the filter
    ///
    /// **Error** 1 % of the rated removal and power at most, 0.3 % at the
    /// pressure of the data (`tests/grid.rs`).
    pub fn grid(&self, pressure_pa: f64, filter: FilterState) -> ModelGrid {
        let airflow_m3_per_s = self.fan.airflow_m3_per_s(filter, self.fan.rated_static_pa);
        let window_c = (self.min_inlet_c, self.max_inlet_c);
        let lattice = Lattice::new(window_c, pressure_pa, |air| {
            // The last node may lie a little over the window.
            let t_c = air.dry_bulb_c().min(self.max_inlet_c);
            let inside = MoistAir::new(
                t_c,
                air.humidity_ratio()
                    .min(saturation_humidity_ratio(t_c, pressure_pa)),
                pressure_pa,
            )
            .unwrap_or(air);
            let out = self.at_airflow(inside, airflow_m3_per_s);
            [out.removal_kg_per_s, out.power_w, out.condensate_c]
        });
        ModelGrid {
            lattice,
            window_c,
            airflow_m3_per_s,
            standby_w: self.standby_w,
        }
    }
}

impl ModelGrid {
    /// What the unit does at this inlet air.
    ///
    /// - `dry_bulb_c`: inlet dry bulb \[°C\]
    /// - `humidity_ratio`: inlet humidity ratio
    #[inline]
    pub fn at(&self, dry_bulb_c: f64, humidity_ratio: f64) -> GridOutput {
        if dry_bulb_c < self.window_c.0 || dry_bulb_c > self.window_c.1 {
            return GridOutput {
                removal_kg_per_s: 0.0,
                power_w: self.standby_w,
                condensate_c: dry_bulb_c.max(0.0),
                airflow_m3_per_s: 0.0,
            };
        }
        let [removal_kg_per_s, power_w, condensate_c] = self.lattice.at(dry_bulb_c, humidity_ratio);
        GridOutput {
            removal_kg_per_s,
            power_w,
            condensate_c,
            airflow_m3_per_s: self.airflow_m3_per_s,
        }
    }
}

/// A cooling machine at one pressure, air flow and valve, on a grid.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolerGrid {
    outdoors_c: Vec<f64>,
    lattices: Vec<Lattice<5>>,
}

/// What a [`CoolerGrid`] says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoolerGridOutput {
    /// Sensible heat out of the air, gross of the fan \[W\].
    pub sensible_w: f64,
    /// Latent heat out of the air \[W\].
    pub latent_w: f64,
    /// Water taken out \[kg/s\].
    pub water_kg_per_s: f64,
    /// Power of the compressor \[W\].
    pub compressor_w: f64,
    /// Temperature of the water that drains \[°C\].
    pub condensate_c: f64,
}

/// What is held while a [`CoolerGrid`] is made.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolerGridAxes {
    /// Outdoor dry bulbs, rising, at least one \[°C\].
    pub outdoors_c: Vec<f64>,
    /// Least and greatest entering dry bulb \[°C\].
    pub dry_bulbs_c: (f64, f64),
    /// Barometric pressure \[Pa\].
    pub pressure_pa: f64,
    /// Air flow \[m³/s\]; see [`crate::cooling::standard_dry_air_kg_per_s`].
    pub airflow_m3_per_s: f64,
    /// Water valve.
    pub valve: Valve,
}

impl Cooler {
    /// The machine on a grid.
    ///
    /// **Error** 1 % of the rated capacity for outdoor steps up to 5 K.
    pub fn grid(&self, axes: &CoolerGridAxes) -> CoolerGrid {
        let lattices = axes
            .outdoors_c
            .iter()
            .map(|&outdoor_c| {
                Lattice::new(axes.dry_bulbs_c, axes.pressure_pa, |entering| {
                    let out = self.under(&CoolerConditions {
                        entering,
                        outdoor_c,
                        airflow_m3_per_s: axes.airflow_m3_per_s,
                        valve: axes.valve,
                    });
                    [
                        out.sensible_w,
                        out.latent_w,
                        out.water_kg_per_s,
                        out.compressor_w,
                        out.condensate_c,
                    ]
                })
            })
            .collect();
        CoolerGrid {
            outdoors_c: axes.outdoors_c.clone(),
            lattices,
        }
    }
}

impl CoolerGrid {
    /// What the machine does at this entering air and outdoor dry bulb.
    ///
    /// - `dry_bulb_c`, `humidity_ratio`: entering air
    /// - `outdoor_c`: outdoor dry bulb \[°C\]; outside the axis, its end
    #[inline]
    pub fn at(&self, dry_bulb_c: f64, humidity_ratio: f64, outdoor_c: f64) -> CoolerGridOutput {
        let first = &self.lattices[0];
        let [
            sensible_w,
            latent_w,
            water_kg_per_s,
            compressor_w,
            condensate_c,
        ] = if self.outdoors_c.len() == 1 {
            first.at(dry_bulb_c, humidity_ratio)
        } else {
            let (i, x) = crate::table::bracket(&self.outdoors_c, outdoor_c);
            let low = self.lattices[i].at(dry_bulb_c, humidity_ratio);
            let high = self.lattices[i + 1].at(dry_bulb_c, humidity_ratio);
            std::array::from_fn(|k| low[k] + x * (high[k] - low[k]))
        };
        CoolerGridOutput {
            sensible_w,
            latent_w,
            water_kg_per_s,
            compressor_w,
            condensate_c,
        }
    }
}

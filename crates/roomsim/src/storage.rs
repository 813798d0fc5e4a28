//! Water that the room's materials take up and give back.

use crate::linear::{Change, mean_decay};
use crate::parts::PerW;
use crate::setup::MoistureStorage;

/// A moisture store and how full it is.
#[derive(Clone, Debug)]
pub(crate) enum Storage {
    None,
    Layer(Layer),
    Wall(Box<Wall>),
}

/// The air that a store feels at the start of a step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct StorageAir {
    pub(crate) vapour_pressure_pa: f64,
    pub(crate) vapour_pressure_per_w: f64,
    /// Saturation pressure at the temperature of the store \[Pa\].
    pub(crate) saturation_pa: f64,
}

impl Storage {
    /// A store in balance with air of this relative humidity.
    pub(crate) fn new(kind: &MoistureStorage, rel_humidity: f64, step_s: f64) -> Self {
        match *kind {
            MoistureStorage::None => Self::None,
            MoistureStorage::Layer {
                capacity_kg,
                conductance_kg_per_s_pa,
            } => Self::Layer(Layer {
                capacity_kg,
                conductance_kg_per_s_pa,
                rel_humidity,
                step_per_capacity_s_per_kg: step_s / capacity_kg,
            }),
            MoistureStorage::Wall {
                area_m2,
                thickness_m,
                permeability_kg_per_m_s_pa,
                capacity_kg_per_m3,
                surface_kg_per_m2_s_pa,
                cells,
            } => {
                // Thin at the surface, where a day's wave lives; each cell is
                // a fifth thicker than the one before.
                const GROWTH: f64 = 1.2;
                let first_m = thickness_m * (GROWTH - 1.0) / (GROWTH.powi(cells as i32) - 1.0);
                let width_m = |i: usize| first_m * GROWTH.powi(i as i32);
                let delta = permeability_kg_per_m_s_pa * area_m2;
                let surface = 1.0 / (surface_kg_per_m2_s_pa * area_m2);
                let conductance = (0..cells)
                    .map(|i| match i.checked_sub(1) {
                        None => 1.0 / (surface + 0.5 * width_m(0) / delta),
                        Some(before) => 2.0 * delta / (width_m(before) + width_m(i)),
                    })
                    .collect();
                Self::Wall(Box::new(Wall {
                    capacity_kg: (0..cells)
                        .map(|i| capacity_kg_per_m3 * area_m2 * width_m(i))
                        .collect(),
                    conductance,
                    rel_humidity: vec![rel_humidity; cells],
                    given: vec![0.0; cells],
                    followed: vec![0.0; cells],
                    step_s,
                }))
            }
        }
    }

    /// Whether there is a store at all.
    #[inline]
    pub(crate) const fn holds(&self) -> bool {
        !matches!(self, Self::None)
    }

    /// Flow from the store to the air \[kg/s\].
    #[inline]
    pub(crate) fn flow(&mut self, air: &StorageAir) -> PerW {
        match self {
            Self::None => PerW::default(),
            Self::Layer(layer) => layer.flow(air),
            Self::Wall(wall) => wall.flow(air),
        }
    }

    /// Books the step: `flow` as given by [`Storage::flow`] at the mean change
    /// of the air.
    #[inline]
    pub(crate) fn advance(&mut self, flow: PerW, mean: Change, air: &StorageAir) {
        match self {
            Self::None => {}
            Self::Layer(layer) => {
                layer.rel_humidity -= flow.mean(mean) * layer.step_per_capacity_s_per_kg;
            }
            Self::Wall(wall) => wall.advance(mean, air),
        }
    }

    /// Water held \[kg\].
    pub(crate) fn held_kg(&self) -> f64 {
        match self {
            Self::None => 0.0,
            Self::Layer(layer) => layer.capacity_kg * layer.rel_humidity,
            Self::Wall(wall) => wall
                .capacity_kg
                .iter()
                .zip(&wall.rel_humidity)
                .map(|(c, r)| c * r)
                .sum(),
        }
    }
}

/// One layer at one relative humidity.
#[derive(Clone, Debug)]
pub(crate) struct Layer {
    capacity_kg: f64,
    conductance_kg_per_s_pa: f64,
    rel_humidity: f64,
    step_per_capacity_s_per_kg: f64,
}

impl Layer {
    #[inline]
    fn flow(&self, air: &StorageAir) -> PerW {
        // The layer follows within the step; what the air feels on average is
        // a smaller conductance to the layer as it was.
        let x = self.conductance_kg_per_s_pa * air.saturation_pa * self.step_per_capacity_s_per_kg;
        let g = self.conductance_kg_per_s_pa * mean_decay(x);
        PerW {
            start: g * (self.rel_humidity * air.saturation_pa - air.vapour_pressure_pa),
            per_w: -g * air.vapour_pressure_per_w,
        }
    }
}

/// A material in cells, the first at the surface, sealed behind the last.
#[derive(Clone, Debug)]
pub(crate) struct Wall {
    capacity_kg: Vec<f64>,
    /// From the cell before (or the air) \[kg/(s Pa)\].
    conductance: Vec<f64>,
    rel_humidity: Vec<f64>,
    /// New humidity of a cell = given + followed · new humidity of the cell
    /// before it (or of the air).
    given: Vec<f64>,
    followed: Vec<f64>,
    step_s: f64,
}

impl Wall {
    /// Backward Euler, eliminated from the sealed side to the surface, so that
    /// the flow into the wall is linear in the vapour pressure of the air.
    fn flow(&mut self, air: &StorageAir) -> PerW {
        let mut deeper = 0.0;
        let mut deeper_given = 0.0;
        let mut deeper_followed = 0.0;
        for i in (0..self.capacity_kg.len()).rev() {
            let held = self.capacity_kg[i] / self.step_s;
            let before = self.conductance[i] * air.saturation_pa;
            let diagonal = held + before + deeper * (1.0 - deeper_followed);
            self.given[i] = (held * self.rel_humidity[i] + deeper * deeper_given) / diagonal;
            self.followed[i] = before / diagonal;
            deeper = before;
            deeper_given = self.given[i];
            deeper_followed = self.followed[i];
        }
        let g = self.conductance[0];
        let open = g * (1.0 - self.followed[0]);
        PerW {
            start: g * air.saturation_pa * self.given[0] - open * air.vapour_pressure_pa,
            per_w: -open * air.vapour_pressure_per_w,
        }
    }

    fn advance(&mut self, mean: Change, air: &StorageAir) {
        let p_pa = air.vapour_pressure_pa + air.vapour_pressure_per_w * mean.w;
        let mut before = p_pa / air.saturation_pa;
        for i in 0..self.rel_humidity.len() {
            before = self.given[i] + self.followed[i] * before;
            self.rel_humidity[i] = before;
        }
    }
}

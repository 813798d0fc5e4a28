//! The flows of a step, path by path, and their sums.

use crate::linear::{Change, Flow};
use crate::outcome::{HeatPath, WaterPath};

/// Heat and water of one path that answers to the air within the step.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Pair {
    pub(crate) heat: Flow,
    pub(crate) water: Flow,
}

/// Heat and water of one path that does not.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Fixed {
    pub(crate) heat_w: f64,
    pub(crate) water_kg_per_s: f64,
}

/// Heat that answers to the dry bulb only.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct PerK {
    pub(crate) start: f64,
    pub(crate) per_k: f64,
}

impl PerK {
    #[inline]
    fn mean(self, mean: Change) -> f64 {
        self.start + self.per_k * mean.k
    }
}

/// Water that answers to the humidity ratio only.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct PerW {
    pub(crate) start: f64,
    pub(crate) per_w: f64,
}

impl PerW {
    #[inline]
    pub(crate) fn mean(self, mean: Change) -> f64 {
        self.start + self.per_w * mean.w
    }
}

/// All flows of a step but those of cooling and heating, which are found last.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Parts {
    pub(crate) lights_w: f64,
    pub(crate) people: Fixed,
    pub(crate) burner: Fixed,
    pub(crate) other: Fixed,
    pub(crate) crop: Pair,
    pub(crate) dehumidifiers: Pair,
    pub(crate) envelope: PerK,
    pub(crate) exchange_heat: PerK,
    pub(crate) exchange_water: PerW,
    pub(crate) mass: PerK,
    pub(crate) storage: PerW,
    pub(crate) condensation: PerW,
    /// Medium, surfaces and drying crop, where something is wet.
    pub(crate) wet: Option<Wet>,
}

/// Water that lies open or dries out of a hung crop.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Wet {
    pub(crate) medium: Pair,
    pub(crate) surfaces: Pair,
    pub(crate) drying: Pair,
}

impl Parts {
    /// Sum of all heat and of all water.
    #[inline]
    pub(crate) fn sum(&self) -> Pair {
        let (crop, units) = (&self.crop, &self.dehumidifiers);
        let mut sum = Pair {
            heat: Flow {
                start: (crop.heat.start + units.heat.start)
                    + (self.envelope.start + self.exchange_heat.start)
                    + (self.mass.start + self.lights_w)
                    + (self.people.heat_w + self.burner.heat_w)
                    + self.other.heat_w,
                per_k: (crop.heat.per_k + units.heat.per_k)
                    + (self.envelope.per_k + self.exchange_heat.per_k)
                    + self.mass.per_k,
                per_w: crop.heat.per_w + units.heat.per_w,
            },
            water: Flow {
                start: (crop.water.start + units.water.start)
                    + (self.exchange_water.start + self.storage.start)
                    + (self.condensation.start + self.people.water_kg_per_s)
                    + (self.burner.water_kg_per_s + self.other.water_kg_per_s),
                per_k: crop.water.per_k + units.water.per_k,
                per_w: (crop.water.per_w + units.water.per_w)
                    + (self.exchange_water.per_w + self.storage.per_w)
                    + self.condensation.per_w,
            },
        };
        if let Some(wet) = &self.wet {
            for pair in [&wet.medium, &wet.surfaces, &wet.drying] {
                sum.heat = sum.heat.plus(pair.heat);
                sum.water = sum.water.plus(pair.water);
            }
        }
        sum
    }

    /// Mean heat of each path \[W\].
    #[inline]
    pub(crate) fn heat_w(
        &self,
        cooling: Flow,
        heating_w: f64,
        mean: Change,
    ) -> [f64; HeatPath::COUNT] {
        let [medium_w, surfaces_w, drying_w] = self.wet.as_ref().map_or([0.0; 3], |wet| {
            [&wet.medium, &wet.surfaces, &wet.drying].map(|pair| pair.heat.mean(mean))
        });
        // In the order of `HeatPath`; a test compares.
        [
            self.lights_w,
            self.crop.heat.mean(mean),
            medium_w,
            surfaces_w,
            self.people.heat_w,
            self.burner.heat_w,
            drying_w,
            self.other.heat_w,
            self.envelope.mean(mean),
            self.exchange_heat.mean(mean),
            self.mass.mean(mean),
            cooling.mean(mean),
            heating_w,
            self.dehumidifiers.heat.mean(mean),
            0.0,
        ]
    }

    /// Mean water of each path \[kg/s\].
    #[inline]
    pub(crate) fn water_kg_per_s(&self, cooling: Flow, mean: Change) -> [f64; WaterPath::COUNT] {
        let [medium, surfaces, drying] = self.wet.as_ref().map_or([0.0; 3], |wet| {
            [&wet.medium, &wet.surfaces, &wet.drying].map(|pair| pair.water.mean(mean))
        });
        // In the order of `WaterPath`; a test compares.
        [
            self.crop.water.mean(mean),
            medium,
            surfaces,
            self.people.water_kg_per_s,
            self.burner.water_kg_per_s,
            drying,
            self.other.water_kg_per_s,
            self.exchange_water.mean(mean),
            self.storage.mean(mean),
            cooling.mean(mean),
            self.dehumidifiers.water.mean(mean),
            self.condensation.mean(mean),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_path_stands_in_its_place() {
        let fixed = |x: f64| Fixed {
            heat_w: x,
            water_kg_per_s: x,
        };
        let pair = |x: f64| Pair {
            heat: Flow::constant(x),
            water: Flow::constant(x),
        };
        let per_k = |start: f64| PerK { start, per_k: 0.0 };
        let per_w = |start: f64| PerW { start, per_w: 0.0 };
        let parts = Parts {
            lights_w: 1.0,
            people: fixed(2.0),
            burner: fixed(3.0),
            other: fixed(5.0),
            crop: pair(6.0),
            wet: Some(Wet {
                medium: pair(7.0),
                surfaces: pair(8.0),
                drying: pair(4.0),
            }),
            exchange_heat: per_k(9.0),
            exchange_water: per_w(9.0),
            dehumidifiers: pair(10.0),
            envelope: per_k(11.0),
            mass: per_k(12.0),
            storage: per_w(13.0),
            condensation: per_w(14.0),
        };
        let mean = Change::default();
        let heat = parts.heat_w(Flow::constant(15.0), 16.0, mean);
        let of = |path: HeatPath| heat[path as usize];
        assert_eq!(of(HeatPath::Lights), 1.0);
        assert_eq!(of(HeatPath::People), 2.0);
        assert_eq!(of(HeatPath::Burner), 3.0);
        assert_eq!(of(HeatPath::Drying), 4.0);
        assert_eq!(of(HeatPath::Other), 5.0);
        assert_eq!(of(HeatPath::Crop), 6.0);
        assert_eq!(of(HeatPath::Medium), 7.0);
        assert_eq!(of(HeatPath::Surfaces), 8.0);
        assert_eq!(of(HeatPath::Exchange), 9.0);
        assert_eq!(of(HeatPath::Dehumidifiers), 10.0);
        assert_eq!(of(HeatPath::Envelope), 11.0);
        assert_eq!(of(HeatPath::Mass), 12.0);
        assert_eq!(of(HeatPath::Cooling), 15.0);
        assert_eq!(of(HeatPath::Heating), 16.0);
        let water = parts.water_kg_per_s(Flow::constant(15.0), mean);
        let of = |path: WaterPath| water[path as usize];
        assert_eq!(of(WaterPath::People), 2.0);
        assert_eq!(of(WaterPath::Burner), 3.0);
        assert_eq!(of(WaterPath::Drying), 4.0);
        assert_eq!(of(WaterPath::Other), 5.0);
        assert_eq!(of(WaterPath::Crop), 6.0);
        assert_eq!(of(WaterPath::Medium), 7.0);
        assert_eq!(of(WaterPath::Surfaces), 8.0);
        assert_eq!(of(WaterPath::Exchange), 9.0);
        assert_eq!(of(WaterPath::Dehumidifiers), 10.0);
        assert_eq!(of(WaterPath::Storage), 13.0);
        assert_eq!(of(WaterPath::Condensation), 14.0);
        assert_eq!(of(WaterPath::Cooling), 15.0);
        let sum = parts.sum();
        assert_eq!(sum.heat.start, heat.iter().sum::<f64>() - 31.0);
        assert_eq!(sum.water.start, water.iter().sum::<f64>() - 15.0);
    }
}

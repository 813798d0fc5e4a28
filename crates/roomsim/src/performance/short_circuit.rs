//! A unit that breathes part of its own discharge.

use air::{
    dry_bulb_from_enthalpy_c, enthalpy_j_per_kg, saturation_pressure_pa,
    vapour_pressure_from_humidity_ratio_pa,
};

use super::removal::{RemovalPoint, RemovalTable};
use super::{PointData, TableError};

impl RemovalTable {
    /// The same machine where `share` of its inlet air is its own discharge.
    ///
    /// ```text
    /// W_in = (1 − s) W_room + s W_out,   W_out = W_in − m_w(T_in, φ_in) / m_da
    /// h_in = (1 − s) h_room + s h_out,   h_out = h_in + (P − m_w h_f) / m_da
    /// ```
    ///
    /// - `share`: s, 0 to 0.95
    ///
    /// Solved at every node by repeated substitution, halved steps; the table
    /// made takes room air as this one takes inlet air.
    ///
    /// # Errors
    /// [`TableError::ShortCircuit`] for a share outside its range.
    pub fn with_short_circuit(&self, share: f64) -> Result<Self, TableError> {
        if !(0.0..=0.95).contains(&share) {
            return Err(TableError::ShortCircuit(share));
        }
        if share == 0.0 {
            return Ok(self.clone());
        }
        let pressure_pa = self.pressure_pa();
        Self::tabulate(self.axes(), pressure_pa, |dry_bulb_c, rel_humidity| {
            let p_w_pa = rel_humidity * saturation_pressure_pa(dry_bulb_c);
            let room = Inlet {
                enthalpy_j_per_kg: 0.0,
                humidity_ratio: air::humidity_ratio_from_vapour_pressure(p_w_pa, pressure_pa),
            };
            let room = Inlet {
                enthalpy_j_per_kg: enthalpy_j_per_kg(dry_bulb_c, room.humidity_ratio),
                ..room
            };
            self.breathing(room, share)
        })
    }

    fn breathing(&self, room: Inlet, share: f64) -> RemovalPoint {
        const STEPS: usize = 60;
        let back = share / (1.0 - share);
        let mut inlet = room;
        let mut point = self.at_inlet(inlet);
        for _ in 0..STEPS {
            if point.dry_air_kg_per_s <= 0.0 {
                // Off at its own warm air: it would start again when that is
                // gone. Counted as it is there, off.
                break;
            }
            let dried = point.removal_kg_per_s / point.dry_air_kg_per_s;
            let warmed = (point.power_w - point.drained_heat_w) / point.dry_air_kg_per_s;
            let next = Inlet {
                humidity_ratio: (room.humidity_ratio - back * dried).max(0.0),
                enthalpy_j_per_kg: room.enthalpy_j_per_kg + back * warmed,
            };
            inlet = Inlet {
                humidity_ratio: 0.5 * (inlet.humidity_ratio + next.humidity_ratio),
                enthalpy_j_per_kg: 0.5 * (inlet.enthalpy_j_per_kg + next.enthalpy_j_per_kg),
            };
            point = self.at_inlet(inlet);
        }
        point
    }

    fn at_inlet(&self, inlet: Inlet) -> RemovalPoint {
        let t_c = dry_bulb_from_enthalpy_c(inlet.enthalpy_j_per_kg, inlet.humidity_ratio);
        let p_w_pa =
            vapour_pressure_from_humidity_ratio_pa(inlet.humidity_ratio, self.pressure_pa());
        let rel_humidity = (p_w_pa / saturation_pressure_pa(t_c.clamp(-60.0, 95.0))).min(1.0);
        let point = self.at(t_c, rel_humidity);
        RemovalPoint {
            data: if rel_humidity > 0.0 {
                point.data
            } else {
                PointData::Beyond
            },
            ..point
        }
    }
}

#[derive(Clone, Copy)]
struct Inlet {
    enthalpy_j_per_kg: f64,
    humidity_ratio: f64,
}

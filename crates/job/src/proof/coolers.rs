//! Water that cooling coils take while they carry the room's heat away.

use std::sync::Arc;

use air::MoistAir;
use equipment::Catalog;
use room::Room;
use roomsim::CoolingTable;

use crate::airs::{self, Season};
use crate::cooling::{self, CoilWaterCounts, CoolingAt};
use crate::error::JobError;
use crate::machines::Nodes;

/// The cooling machines of a room.
pub(super) struct Coolers(Vec<Arc<CoolingTable>>);

impl Coolers {
    /// Those that were surveyed, else the one that is assumed.
    ///
    /// # Errors
    /// Machines or surroundings that cannot be.
    pub(super) fn of_room(
        room: &Room,
        catalog: &Catalog,
        pressure_pa: f64,
    ) -> Result<Self, JobError> {
        let around = airs::surroundings(room, Season::Summer)?;
        let winter = airs::surroundings(room, Season::Winter)?;
        let both = || {
            around
                .outdoor
                .dry_bulb_c
                .iter()
                .chain(&winter.outdoor.dry_bulb_c)
        };
        let setpoint_c = room.targets.lights_on.dry_bulb_c.value.likely;
        let at = CoolingAt {
            setpoint_c,
            pressure_pa,
            outdoor_c: (
                both().copied().fold(f64::INFINITY, f64::min),
                both().copied().fold(f64::NEG_INFINITY, f64::max),
            ),
            water: CoilWaterCounts::Yes,
            nodes: Nodes::Coarse,
        };
        if cooling::is_assumed(room) {
            return Ok(Self(vec![cooling::assumed_table(
                room,
                setpoint_c,
                pressure_pa,
            )?]));
        }
        let mut all = Vec::new();
        for cooling in &room.cooling {
            let cooler = cooling::cooler(cooling, catalog)?;
            let table = cooling::cooling_table(&cooler, at)?;
            all.extend(std::iter::repeat_n(table, cooling.count.value as usize));
        }
        Ok(Self(all))
    }

    /// Whether there are none.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Water that cooling takes while it carries this heat away \[kg/s\]: by the
    /// ratio of latent to sensible heat of its machines at this air.
    pub(super) fn water_kg_per_s(&self, air: &MoistAir, outdoor_c: f64, heat_w: f64) -> f64 {
        if heat_w <= 0.0 {
            return 0.0;
        }
        let (mut sensible_w, mut latent_w) = (0.0, 0.0);
        for table in &self.0 {
            let point = table.at(air.dry_bulb_c(), air.humidity_ratio(), outdoor_c);
            sensible_w += point.gross_sensible_w;
            latent_w += point.latent_w;
        }
        if sensible_w <= 0.0 {
            return 0.0;
        }
        let share = (heat_w / sensible_w).min(1.0);
        share * latent_w / air::vapour_enthalpy_j_per_kg(air.dry_bulb_c())
    }
}

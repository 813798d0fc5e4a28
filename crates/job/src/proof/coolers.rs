//! Water that cooling coils take while they carry the room's heat away.

use std::sync::Arc;

use air::MoistAir;
use equipment::Catalog;
use room::{CoolingControl, Room};
use roomsim::setup::Fan;
use roomsim::{CoolingTable, LatentShares};

use crate::airs::{self, Season};
use crate::cooling::{self, CoilWaterCounts, CoolingAt};
use crate::error::JobError;
use crate::machines::Nodes;
use crate::zone;

/// The cooling machines of a room, those that are alike together.
pub(super) struct Coolers(Vec<Machine>);

struct Machine {
    count: f64,
    table: Arc<CoolingTable>,
    fan: Fan,
    fan_w: f64,
    /// C_d of the part-load rule; nothing for one that switches on and off.
    degradation: f64,
    /// Latent output left by a fan that never stops.
    latent: Option<LatentShares>,
}

/// Output of machines at one air.
#[derive(Clone, Copy, Default)]
struct Output {
    sensible_w: f64,
    latent_w: f64,
}

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
            return Ok(Self(vec![Machine {
                count: 1.0,
                table: cooling::assumed_table(room, setpoint_c, pressure_pa)?,
                fan: Fan::Auto,
                fan_w: 0.0,
                degradation: 0.0,
                latent: None,
            }]));
        }
        let mut all = Vec::new();
        for cooling in &room.cooling {
            let cooler = cooling::cooler(cooling, catalog)?;
            let (fan, coil) = zone::cooling_fan(cooling, &cooler);
            all.push(Machine {
                count: f64::from(cooling.count.value),
                table: cooling::cooling_table(&cooler, at)?,
                fan,
                fan_w: cooler.fan_w,
                degradation: match cooling.control.value {
                    CoolingControl::OnOff => 0.0,
                    CoolingControl::Ideal | CoolingControl::Modulating => cooler.degradation,
                },
                latent: coil.as_ref().and_then(LatentShares::of),
            });
        }
        Ok(Self(all))
    }

    /// Whether there are none.
    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Water that cooling takes while it carries this heat away \[kg/s\]: all
    /// machines run at that share of their output which carries it with the heat
    /// of their fans; what a coil gives back to a fan that never stops, it takes
    /// as sensible heat instead.
    pub(super) fn water_kg_per_s(&self, air: &MoistAir, outdoor_c: f64, heat_w: f64) -> f64 {
        let resting = Output::default();
        let resting_w: f64 = self.0.iter().map(|m| m.at(0.0, &resting).sensible_w).sum();
        if heat_w <= resting_w {
            return 0.0;
        }
        let full: Vec<Output> = self
            .0
            .iter()
            .map(|machine| {
                let t = &machine.table;
                let point = t.at(air.dry_bulb_c(), air.humidity_ratio(), outdoor_c);
                Output {
                    sensible_w: point.gross_sensible_w,
                    latent_w: point.latent_w,
                }
            })
            .collect();
        let at = |share: f64| {
            let mut sum = Output::default();
            for (machine, full) in self.0.iter().zip(&full) {
                let now = machine.at(share, full);
                sum.sensible_w += now.sensible_w;
                sum.latent_w += now.latent_w;
            }
            sum
        };
        // A sixteen-thousandth of the output is near enough.
        let (mut low, mut high) = (0.0, 1.0);
        if at(high).sensible_w <= heat_w {
            low = high;
        }
        for _ in 0..14 {
            let middle = f64::midpoint(low, high);
            if at(middle).sensible_w < heat_w {
                low = middle;
            } else {
                high = middle;
            }
        }
        at(f64::midpoint(low, high)).latent_w / air::vapour_enthalpy_j_per_kg(air.dry_bulb_c())
    }
}

impl Machine {
    /// Output of all that are alike into the room at a share of the full one of
    /// each, the heat of their fans taken off.
    fn at(&self, share: f64, full: &Output) -> Output {
        let run = share / (1.0 - self.degradation * (1.0 - share));
        let left = self.latent.as_ref().map_or(1.0, |shares| shares.at(run));
        let fan_w = match self.fan {
            Fan::Auto => run * self.fan_w,
            Fan::Continuous => self.fan_w,
        };
        Output {
            sensible_w: self.count
                * (share * (full.sensible_w + (1.0 - left) * full.latent_w) - fan_w),
            latent_w: self.count * share * left * full.latent_w,
        }
    }
}

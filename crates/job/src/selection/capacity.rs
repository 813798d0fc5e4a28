//! What one unit of each model does at rated air and at the room's.

use air::MoistAir;
use equipment::{Beyond, Catalog, Data, FilterState, Model, Output};
use room::{Period, Room};

use crate::airs::{self, Edge};
use crate::error::JobError;
use crate::load::Load;
use crate::machines;

/// One unit at one moment of the room.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// Dry bulb at the inlet \[°C\].
    pub inlet_dry_bulb_c: f64,
    /// Relative humidity at the inlet.
    pub inlet_rel_humidity: f64,
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Power \[W\].
    pub power_w: f64,
    /// Sensible heat to the room \[W\].
    pub sensible_w: f64,
    /// Dry bulb of the discharge \[°C\].
    pub discharge_c: f64,
    /// Water per energy \[kg/J\].
    pub energy_factor_kg_per_j: f64,
    /// How the inlet lies to the record's data; `None` inside.
    pub beyond: Option<&'static str>,
}

/// One model, rated and at room air.
#[derive(Clone, Debug, PartialEq)]
pub struct ModelCapacity {
    /// Its code.
    pub code: String,
    /// Rated removal \[kg/s\].
    pub rated_kg_per_s: f64,
    /// Name of the rating's standard condition.
    pub rated_at: String,
    /// At the wet edge of the target with lights on.
    pub lights_on: Moment,
    /// At the wet edge of the target with lights off.
    pub lights_off: Moment,
}

impl ModelCapacity {
    /// At the wet edge of the target of a period.
    pub(super) const fn at(&self, period: Period) -> &Moment {
        match period {
            Period::LightsOn => &self.lights_on,
            Period::Transition | Period::LightsOff => &self.lights_off,
        }
    }

    /// Units needed by the steady balance of the worst period: likely load over
    /// capacity at the wet edge, no credit for coils or storage. `None` if the
    /// model takes nothing there.
    pub fn screened_count(&self, load: &Load) -> Option<u32> {
        let mut most = 1;
        for period in &load.periods {
            let capacity = self.at(period.period).removal_kg_per_s;
            let wanted = period.mean.water_kg_per_s.likely;
            if 0.0 < wanted {
                if capacity <= 0.0 {
                    return None;
                }
                most = most.max((wanted / capacity).ceil().min(1000.0) as u32);
            }
        }
        Some(most)
    }
}

/// Every model at room air, its assumed share of its own discharge at the
/// inlet included.
///
/// # Errors
/// An unknown model, or a target that cannot be.
pub(super) fn at_room_air(
    room: &Room,
    catalog: &Catalog,
    models: &[String],
) -> Result<Vec<ModelCapacity>, JobError> {
    let p_pa = airs::pressure_pa(&room.site);
    let on = airs::air_of(&room.targets.lights_on, Edge::Wet, p_pa)?;
    let off = airs::air_of(&room.targets.lights_off, Edge::Wet, p_pa)?;
    let share = room.selection.short_circuit.value;
    models
        .iter()
        .map(|code| {
            let model = machines::record(&catalog.dehumidifiers, code, "selection")?;
            let rated = model.ratings.first();
            Ok(ModelCapacity {
                code: code.clone(),
                rated_kg_per_s: rated.map_or(0.0, |r| r.removal_kg_per_s),
                rated_at: rated.map_or_else(String::new, |r| r.standard.word().to_owned()),
                lights_on: moment(model, on, share),
                lights_off: moment(model, off, share),
            })
        })
        .collect()
}

/// One unit in this room air.
fn moment(model: &Model, room_air: MoistAir, short_circuit: f64) -> Moment {
    let (inlet, out) = with_own_discharge(model, room_air, short_circuit);
    Moment {
        inlet_dry_bulb_c: inlet.dry_bulb_c(),
        inlet_rel_humidity: inlet.rel_humidity(),
        removal_kg_per_s: out.removal_kg_per_s,
        power_w: out.power_w,
        sensible_w: out.sensible_to_room_w,
        discharge_c: out.discharge.dry_bulb_c(),
        energy_factor_kg_per_j: out.energy_factor_kg_per_j(),
        beyond: match out.data {
            Data::Inside => None,
            Data::Beyond { what } => Some(Beyond::words(what)),
            Data::Frosting { .. } => Some("so cold that the coil frosts"),
        },
    }
}

/// Inlet and output of a unit that breathes a share of its own discharge: the
/// two are found together, by substitution.
fn with_own_discharge(model: &Model, room_air: MoistAir, share: f64) -> (MoistAir, Output) {
    let mut inlet = room_air;
    let mut out = model.at(inlet, FilterState::Clean);
    // Shares are small, so each round leaves a fraction of the last change.
    for _ in 0..30 {
        let mixed = |room: f64, own: f64| (1.0 - share) * room + share * own;
        let next = MoistAir::new(
            mixed(room_air.dry_bulb_c(), out.discharge.dry_bulb_c()),
            mixed(room_air.humidity_ratio(), out.discharge.humidity_ratio()),
            room_air.pressure_pa(),
        );
        let Ok(next) = next else { break };
        let moved_k = (next.dry_bulb_c() - inlet.dry_bulb_c()).abs();
        inlet = next;
        out = model.at(inlet, FilterState::Clean);
        if moved_k < 1e-6 {
            break;
        }
    }
    (inlet, out)
}

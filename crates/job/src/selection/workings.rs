//! How capacity at room air and the screened count came about.

use air::MoistAir;
use equipment::{Catalog, FilterState};
use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::{Period, Room};

use super::capacity::ModelCapacity;
use crate::airs;
use crate::finding::when;
use crate::load::{Load, water_of_all_sources};

/// For each model: removal, power and discharge at room air by its record, and
/// the count of the screen.
pub(super) fn workings(
    room: &Room,
    load: &Load,
    catalog: &Catalog,
    capacities: &[&ModelCapacity],
) -> Vec<Working> {
    let p_pa = airs::pressure_pa(&room.site);
    let mut all = Vec::new();
    for period in [Period::LightsOn, Period::LightsOff] {
        if load.period(period).is_none() {
            continue;
        }
        for &capacity in capacities {
            let Some(model) = catalog.dehumidifiers.get(&capacity.code) else {
                continue;
            };
            let moment = capacity.at(period);
            // The air that the unit breathes: the room's wet edge with the share
            // of its own discharge.
            let inlet = MoistAir::from_rel_humidity(
                moment.inlet_dry_bulb_c,
                moment.inlet_rel_humidity.min(1.0),
                p_pa,
            );
            let at_inlet = inlet
                .ok()
                .and_then(|a| model.workings(a, FilterState::Clean));
            if let Some(w) = at_inlet {
                all.extend(screen(room, load, period, capacity, w.removal.clone()));
                all.extend([
                    w.removal,
                    w.power,
                    w.energy_factor,
                    w.sensible_to_room,
                    w.discharge,
                ]);
            }
        }
    }
    all
}

/// N = load over capacity at the wet edge of the target.
fn screen(
    room: &Room,
    load: &Load,
    period: Period,
    capacity: &ModelCapacity,
    removal: Working,
) -> Option<Working> {
    let wanted = load.period(period)?.mean.water_kg_per_s.likely;
    let one = removal.result.si;
    if one <= 0.0 {
        return None;
    }
    Some(Working {
        name: format!(
            "units of {} that carry the load {}",
            capacity.code,
            when(room, period)
        )
        .into(),
        symbol: "N".into(),
        equation: Equation::Algebra("w_load / w_unit".into()),
        inputs: vec![
            Input {
                symbol: "w_load".into(),
                ..Input::computed(water_of_all_sources(load, period)?.clone())
            },
            Input {
                symbol: "w_unit".into(),
                ..Input::computed(removal)
            },
        ],
        result: Value::new(wanted / one, Dim::Number),
        source: Source::published("conservation of mass", "steady state, no coil, no storage"),
    })
}

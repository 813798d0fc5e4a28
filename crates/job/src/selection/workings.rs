//! How capacity at room air and the screened count came about.

use equipment::FilterState;
use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::{Period, Room};

use super::capacity::{ModelCapacity, Moment};
use crate::airs::{self, Edge};
use crate::error::JobError;
use crate::load::Load;
use crate::zone::Compiled;

/// For each model: removal, power and discharge at room air by its record, and
/// the count of the screen.
pub(super) fn workings(
    room: &Room,
    load: &Load,
    compiled: &Compiled<'_>,
    capacities: &[&ModelCapacity],
) -> Result<Vec<Working>, JobError> {
    let p_pa = airs::pressure_pa(&room.site);
    let mut all = Vec::new();
    for period in [Period::LightsOn, Period::LightsOff] {
        if load.period(period).is_none() {
            continue;
        }
        let air = airs::air_of(room.targets.of(period), Edge::Wet, p_pa)?;
        for &capacity in capacities {
            let model = compiled.model(&capacity.code);
            if let Some(w) = model.workings(air, FilterState::Clean) {
                all.extend([
                    w.removal,
                    w.power,
                    w.energy_factor,
                    w.sensible_to_room,
                    w.discharge,
                ]);
            }
            all.extend(screen(load, period, capacity));
        }
    }
    Ok(all)
}

/// N = load over capacity at the wet edge of the target.
fn screen(load: &Load, period: Period, capacity: &ModelCapacity) -> Option<Working> {
    let moment: &Moment = match period {
        Period::LightsOn => &capacity.lights_on,
        Period::Transition | Period::LightsOff => &capacity.lights_off,
    };
    let wanted = load.period(period)?.mean.water_kg_per_s.likely;
    if moment.removal_kg_per_s <= 0.0 {
        return None;
    }
    let when = match period {
        Period::LightsOn => "on",
        Period::Transition | Period::LightsOff => "off",
    };
    Some(Working {
        name: format!("units of {} that carry the load, lights {when}", capacity.code).into(),
        symbol: "N".into(),
        equation: Equation::Algebra("w_load / w_unit".into()),
        inputs: vec![
            Input::computed(Working {
                name: format!("water of all sources, lights {when}").into(),
                symbol: "w_load".into(),
                equation: Equation::Procedure(
                    "median of the drawn days, each the sum of its sources over the period".into(),
                ),
                inputs: Vec::new(),
                result: Value::new(wanted, Dim::WaterRate),
                source: Source::assumed(
                    "spreads of the survey and the crop class; weighted by measured water where given",
                ),
            }),
            Input::computed(Working {
                name: format!(
                    "water that one {} takes at {:.1} °C and {:.0} % at its inlet",
                    capacity.code,
                    moment.inlet_dry_bulb_c,
                    100.0 * moment.inlet_rel_humidity
                )
                .into(),
                symbol: "w_unit".into(),
                equation: Equation::Procedure(
                    "the record's data at the inlet air, short-circuit share included by substitution"
                        .into(),
                ),
                inputs: Vec::new(),
                result: Value::new(moment.removal_kg_per_s, Dim::WaterRate),
                source: Source::assumed("the machine's record"),
            }),
        ],
        result: Value::new(wanted / moment.removal_kg_per_s, Dim::Number),
        source: Source::published("conservation of mass", "steady state, no coil, no storage"),
    })
}

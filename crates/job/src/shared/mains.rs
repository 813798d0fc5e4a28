//! Drain mains that take the water of several rooms.

use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::PipeSize;

use super::{InRoom, named_by_several};
use crate::drain::Run;
use crate::drain::pipe::{self, Demand};

/// A drain main.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedMain {
    /// Its name.
    pub name: String,
    /// Names of the rooms that drain into it.
    pub rooms: Vec<String>,
    /// Peak flow of each room \[kg/s\].
    pub room_kg_per_s: Vec<f64>,
    /// What it must serve, all rooms together.
    pub demand: Demand,
    /// Water of a day \[kg\].
    pub day_kg: f64,
    /// The least size that serves; `None`: none of the table does.
    pub least: Option<PipeSize>,
    /// Its inside, the least that any room says \[m\].
    pub surveyed_m: Option<f64>,
}

/// Mains that drains of several rooms name.
pub(super) fn mains(rooms: &[InRoom<'_>]) -> Vec<SharedMain> {
    named_by_several(rooms, |r| {
        r.room
            .drains
            .iter()
            .filter_map(|d| Some(d.main.as_ref()?.value.as_str()))
            .collect()
    })
    .into_iter()
    .filter_map(|(name, into_it)| shared_main(name, &into_it))
    .collect()
}

fn shared_main(name: &str, into_it: &[InRoom<'_>]) -> Option<SharedMain> {
    let material = into_it.first()?.room.piping.material.value;
    let mut main = SharedMain {
        name: name.to_owned(),
        rooms: Vec::new(),
        room_kg_per_s: Vec::new(),
        demand: Demand {
            flow_kg_per_s: 0.0,
            cooling_w: 0.0,
            outlet_m: 0.0,
            fall: f64::INFINITY,
        },
        day_kg: 0.0,
        least: None,
        surveyed_m: None,
    };
    for in_it in into_it {
        let mut flow_kg_per_s = 0.0;
        for (drain, run) in lines(in_it) {
            if drain.main.as_ref().is_none_or(|m| m.value != name) {
                continue;
            }
            if let Some(size) = &drain.main_size_m {
                let least_m = main.surveyed_m.unwrap_or(f64::INFINITY);
                main.surveyed_m = Some(least_m.min(size.value));
            }
            let Some(run) = run else { continue };
            flow_kg_per_s += run.demand.flow_kg_per_s;
            main.demand.cooling_w += run.demand.cooling_w;
            main.demand.outlet_m = main.demand.outlet_m.max(run.demand.outlet_m);
            main.day_kg += run.day_kg;
        }
        main.demand.flow_kg_per_s += flow_kg_per_s;
        main.demand.fall = main.demand.fall.min(in_it.room.piping.fall.value);
        main.rooms.push(in_it.room.name.value.clone());
        main.room_kg_per_s.push(flow_kg_per_s);
    }
    main.least = pipe::least_size(material, &main.demand);
    Some(main)
}

/// Drains of a room, each with the line that ends in it.
fn lines<'a>(in_it: &InRoom<'a>) -> impl Iterator<Item = (&'a room::Drain, Option<&'a Run>)> {
    let runs = &in_it.drain.runs;
    in_it.room.drains.iter().enumerate().map(move |(i, drain)| {
        let name = crate::drain::name_of(drain, i);
        (drain, runs.iter().find(|r| r.drain == name))
    })
}

/// The peak flow of a main.
pub(super) fn working(main: &SharedMain) -> Option<Working> {
    if main.rooms.is_empty() {
        return None;
    }
    let rate = |kg_per_s: f64| Value::new(kg_per_s, Dim::WaterRate);
    let symbols: Vec<String> = (1..=main.rooms.len()).map(|i| format!("m_{i}")).collect();
    Some(Working {
        name: format!("{}, peak flow of all rooms", main.name).into(),
        symbol: "m".into(),
        equation: Equation::Algebra(symbols.join(" + ").into()),
        inputs: main
            .rooms
            .iter()
            .zip(&main.room_kg_per_s)
            .zip(symbols)
            .map(|((room, flow), symbol)| {
                Input::given(
                    format!("peak flow of {room}"),
                    symbol,
                    rate(*flow),
                    Source::measured("drain of the room", room.clone()),
                )
            })
            .collect(),
        result: rate(main.demand.flow_kg_per_s),
        source: Source::assumed("peaks of rooms may meet: added as they are"),
    })
}

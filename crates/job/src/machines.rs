//! The room's own words for what stands in it, put into the terms of `crop`
//! and `equipment`. No equations of its own.

use std::collections::BTreeMap;
use std::sync::Arc;

use crop::combustion::{self, BurnerGain};
use crop::film::FilmAir;
use crop::people;
use equipment::{FilterState, Model};
use room::{Activity, Burner, BurnerRate, Flue, Fuel, HungCrop, People, Room};
use roomsim::{RemovalAxes, RemovalTable};

use crate::error::JobError;
use crate::remembered::Remembered;
use crate::uncertain::{Draw, Uncertain};
use crate::units::UnitAir;

/// Air over a floor that has been hosed.
///
/// **Assumed** 0.1 m/s: under benches, away from fans.
pub(crate) const FLOOR_AIR: FilmAir = FilmAir {
    air_speed_m_per_s: 0.1,
    cooling_time_constant_s: crop::film::FILM_COOLING_TIME_CONSTANT_S,
};

/// Air that leaks in, at the state that it comes in \[m³/s\].
pub(crate) fn leak_m3_per_s(room: &Room, draw: &Draw) -> f64 {
    draw.value(
        Uncertain::AirExchange,
        room.envelope.air_exchange_per_s.value,
    )
    .max(0.0)
        * room.volume_m3()
}

/// What people do, in the terms of the table of heat gains.
pub(crate) fn activity(people: &People) -> people::Activity {
    match people.activity.value {
        Activity::Seated => people::Activity::SeatedVeryLight,
        Activity::Office => people::Activity::ModerateOffice,
        Activity::BenchWork => people::Activity::LightBench,
        Activity::MachineWork => people::Activity::LightMachine,
        Activity::Heavy => people::Activity::Heavy,
        Activity::Lifting => people::Activity::HeavyMachine,
    }
}

/// Fuel of a burner.
pub(crate) fn fuel(burner: &Burner) -> combustion::Fuel {
    match burner.fuel.value {
        Fuel::Propane => combustion::Fuel::Propane,
        Fuel::NaturalGas => combustion::Fuel::Methane,
    }
}

/// What a burner gives to the room; a vented one gives nothing but its fuel.
pub(crate) fn burner_gain(burner: &Burner) -> BurnerGain {
    let fuel = fuel(burner);
    let gain = match burner.rate.value {
        BurnerRate::FuelKgPerS(rate) => combustion::burner_from_fuel(fuel, rate),
        BurnerRate::Co2KgPerS(rate) => combustion::burner_from_co2(fuel, rate),
        BurnerRate::HeatW(heat_w) => combustion::burner_from_input(fuel, heat_w),
    };
    match burner.flue.value {
        Flue::Unvented => gain,
        Flue::Vented => BurnerGain {
            water_kg_per_s: 0.0,
            co2_kg_per_s: 0.0,
            sensible_w: 0.0,
            latent_w: 0.0,
            ..gain
        },
    }
}

/// The drying curve of a hung crop. A surveyed rate constant stands in the
/// place of the drying time, which then follows from it.
pub(crate) fn hung_crop(hung: &HungCrop) -> crop::drying::HungCrop {
    let exponent = match hung.model.value {
        room::DryingModel::Newton => crop::drying::LEWIS_EXPONENT,
        room::DryingModel::Page => hung.exponent.value,
    };
    let by_time = crop::drying::HungCrop {
        wet_mass_kg: hung.wet_mass_kg.value,
        start_moisture: hung.moisture_start.value,
        end_moisture: hung.moisture_end.value,
        equilibrium_moisture: hung.equilibrium_moisture.value,
        drying_time_s: hung.drying_time_s.value,
        page_exponent: exponent,
    };
    match &hung.rate_constant_per_s {
        None => by_time,
        Some(k) => crop::drying::HungCrop {
            drying_time_s: (-by_time.end_ratio().ln()).powf(1.0 / exponent) / k.value,
            ..by_time
        },
    }
}

/// The record with this code among those of one kind.
///
/// # Errors
/// It is not in the catalogue.
pub(crate) fn record<'a, T>(
    known: &'a BTreeMap<String, T>,
    code: &str,
    place: &str,
) -> Result<&'a T, JobError> {
    known.get(code).ok_or_else(|| JobError::UnknownModel {
        place: place.to_owned(),
        model: code.to_owned(),
        at_hand: if known.is_empty() {
            "none".to_owned()
        } else {
            known.keys().cloned().collect::<Vec<_>>().join(", ")
        },
    })
}

/// How finely machines are tabulated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Nodes {
    /// As a result that is built on needs.
    Fine,
    /// As a first look needs: half to a tenth of the nodes.
    Coarse,
}

/// A removal table by record, pressure \[Pa\], air, nodes.
type RemovalKey = (Model, f64, UnitAir, Nodes);

static REMOVALS: Remembered<RemovalKey, RemovalTable> = Remembered::new(64);

/// What a unit does at each room air of this pressure, with a share of dried
/// air at its inlet and the air flow that its ducts leave it.
///
/// # Errors
/// The record cannot be tabulated there.
pub(crate) fn removal_table(
    model: &Model,
    pressure_pa: f64,
    air: UnitAir,
    nodes: Nodes,
) -> Result<Arc<RemovalTable>, JobError> {
    let axes = match nodes {
        Nodes::Fine => RemovalAxes::default(),
        Nodes::Coarse => RemovalAxes::COARSE,
    };
    let key = |air: UnitAir| (model.clone(), pressure_pa, air, nodes);
    let unmixed = UnitAir {
        short_circuit: 0.0,
        ..air
    };
    let alone = REMOVALS.of(key(unmixed), || match air.ducted_m3_per_s {
        None => RemovalTable::compile_at(axes, model, pressure_pa, FilterState::Clean),
        Some(moved) => RemovalTable::compile_moving(axes, model, pressure_pa, moved),
    });
    alone
        .and_then(|alone| match air.short_circuit {
            0.0 => Ok(alone),
            share => REMOVALS.of(key(air), || alone.with_short_circuit(share)),
        })
        .map_err(|e| machine_error(&model.code, &e))
}

pub(crate) fn machine_error(machine: &str, reason: &dyn std::error::Error) -> JobError {
    JobError::Machine {
        machine: machine.to_owned(),
        reason: reason.to_string(),
    }
}

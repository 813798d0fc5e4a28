//! Streams of air: mixing, heating, wetting.

use quantity::Dim;

use crate::enthalpy::dry_bulb_from_enthalpy_c;
use crate::enthalpy::{enthalpy_j_per_kg, ice_enthalpy_j_per_kg, water_enthalpy_j_per_kg};
use crate::error::{AirError, check_range};
use crate::humidity::saturation_humidity_ratio;
use crate::humidity::vapour_pressure_from_humidity_ratio_pa;
use crate::saturation::{LOWEST_C, saturation_pressure_pa};
use crate::solve::rising_root;
use crate::state::MoistAir;

/// Largest stream that is taken for meant \[kg dry air/s\].
const LARGEST_FLOW_KG_PER_S: f64 = 1e6;

/// Air that flows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stream {
    /// Its state.
    pub air: MoistAir,
    /// How much of it, counted as dry air \[kg/s\].
    pub dry_air_kg_per_s: f64,
}

/// Water or vapour that is put into a stream of air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Water {
    /// How much \[kg/s\].
    pub water_kg_per_s: f64,
    /// Its enthalpy: [`water_enthalpy_j_per_kg`](crate::water_enthalpy_j_per_kg)
    /// for a spray, [`vapour_enthalpy_j_per_kg`](crate::vapour_enthalpy_j_per_kg)
    /// for steam \[J/kg\].
    pub enthalpy_j_per_kg: f64,
}

/// A stream, and the fog that would not stay in it as vapour.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mixture {
    /// The air; saturated where there is fog.
    pub stream: Stream,
    /// Water that is fog, liquid or ice, at the temperature of the air \[kg/s\].
    pub fog_kg_per_s: f64,
    /// Enthalpy that the fog holds \[W\].
    pub fog_enthalpy_w: f64,
}

/// Adiabatic mixing of streams at one pressure.
///
/// ```text
/// W = Σ m·W / Σ m,   h = Σ m·h / Σ m
/// ```
///
/// If that point lies above saturation, the mixture fogs: it settles at the
/// temperature where saturated air and the water left over hold that
/// enthalpy together (below 0 °C the fog is ice; at 0 °C it may be part of each).
///
/// - `streams`: at least one, together with some flow
///
/// **Valid** as [`MoistAir`].
/// **Error** none: water and enthalpy balance to rounding.
/// **Source** balances of mass and enthalpy.
/// **Checked** `tests/published/worked_examples.rs` (example 4), balances in `tests/processes.rs`.
///
/// # Errors
/// No flow, a negative flow, or streams of different pressure.
pub fn mix(streams: &[Stream]) -> Result<Mixture, AirError> {
    let refuse = |reason| AirError::Process {
        process: "mixing",
        reason,
    };
    let first = streams
        .first()
        .ok_or_else(|| refuse("there is no stream"))?;
    let p_pa = first.air.pressure_pa();
    let (mut flow, mut water, mut enthalpy) = (0.0, 0.0, 0.0);
    for stream in streams {
        check_flow(stream.dry_air_kg_per_s)?;
        if stream.air.pressure_pa() != p_pa {
            return Err(refuse("the streams are not at one pressure"));
        }
        flow += stream.dry_air_kg_per_s;
        water += stream.dry_air_kg_per_s * stream.air.humidity_ratio();
        enthalpy += stream.dry_air_kg_per_s * stream.air.enthalpy_j_per_kg();
    }
    if flow == 0.0 {
        return Err(refuse("nothing flows"));
    }
    settle(flow, water / flow, enthalpy / flow, p_pa)
}

/// Heats a stream (cools it, if negative) without touching its water.
///
/// ```text
/// h_out = h_in + Q / m
/// ```
///
/// - `stream`: the air and its flow, more than nothing
/// - `heat_w`: heat put in \[W\]
///
/// **Valid** as [`MoistAir`].
/// **Error** none beyond the enthalpy equation.
/// **Source** balance of enthalpy.
/// **Checked** `tests/processes.rs`.
///
/// # Errors
/// No flow; air too hot; cooling below the dew point (that is a coil: see
/// [`cool_to_adp`](crate::cool_to_adp)).
pub fn heat(stream: Stream, heat_w: f64) -> Result<Stream, AirError> {
    let flow = some_flow(stream)?;
    let w = stream.air.humidity_ratio();
    let h = stream.air.enthalpy_j_per_kg() + heat_w / flow;
    let air = MoistAir::new(dry_bulb_from_enthalpy_c(h, w), w, stream.air.pressure_pa())?;
    Ok(Stream { air, ..stream })
}

/// Puts water into a stream: spray, wet pad or steam, by the enthalpy of the water.
///
/// ```text
/// W_out = W_in + m_w / m,   h_out = h_in + m_w · h_w / m
/// ```
///
/// More than the air can hold stays as fog; see [`mix`].
///
/// - `stream`: the air and its flow, more than nothing
/// - `water`: what is put in
///
/// **Valid** as [`MoistAir`].
/// **Error** none: water and enthalpy balance to rounding.
/// **Source** balances of mass and enthalpy.
/// **Checked** `tests/processes.rs`.
///
/// # Errors
/// No flow; negative water; air out of range.
pub fn humidify(stream: Stream, water: Water) -> Result<Mixture, AirError> {
    let flow = some_flow(stream)?;
    check_range(
        "water put in",
        water.water_kg_per_s,
        (0.0, LARGEST_FLOW_KG_PER_S),
        Dim::MassRate,
    )?;
    let w = stream.air.humidity_ratio() + water.water_kg_per_s / flow;
    let h = stream.air.enthalpy_j_per_kg() + water.water_kg_per_s * water.enthalpy_j_per_kg / flow;
    settle(flow, w, h, stream.air.pressure_pa())
}

/// The state of air with this much water and enthalpy in all, fog set apart.
pub(crate) fn settle(flow: f64, w: f64, h: f64, p_pa: f64) -> Result<Mixture, AirError> {
    let t_c = dry_bulb_from_enthalpy_c(h, w);
    if vapour_pressure_from_humidity_ratio_pa(w, p_pa) <= saturation_pressure_pa(t_c) {
        let air = MoistAir::new(t_c, w, p_pa)?;
        return Ok(Mixture {
            stream: Stream {
                air,
                dry_air_kg_per_s: flow,
            },
            fog_kg_per_s: 0.0,
            fog_enthalpy_w: 0.0,
        });
    }
    let t_c = fog_temperature_c(w, h, p_pa);
    let air = MoistAir::saturated(t_c, p_pa)?;
    Ok(Mixture {
        stream: Stream {
            air,
            dry_air_kg_per_s: flow,
        },
        fog_kg_per_s: flow * (w - air.humidity_ratio()),
        fog_enthalpy_w: flow * (h - air.enthalpy_j_per_kg()),
    })
}

/// Temperature at which saturated air and left-over water hold `h` together.
fn fog_temperature_c(w: f64, h: f64, p_pa: f64) -> f64 {
    let excess = |t_c: f64, h_l: f64| {
        let w_s = saturation_humidity_ratio(t_c, p_pa).min(w);
        enthalpy_j_per_kg(t_c, w_s) + (w - w_s) * h_l - h
    };
    let liquid = |t_c: f64| excess(t_c, water_enthalpy_j_per_kg(t_c));
    let ice = |t_c: f64| excess(t_c, ice_enthalpy_j_per_kg(t_c));
    let slope = |f: &dyn Fn(f64) -> f64, t_c: f64| (f(t_c + 1e-4) - f(t_c)) / 1e-4;
    if liquid(0.0) <= 0.0 {
        let highest_c = MoistAir::DRY_BULB_RANGE_C.1;
        rising_root((0.0, highest_c), 10.0, |t_c| {
            (liquid(t_c), slope(&liquid, t_c))
        })
    } else if 0.0 <= ice(0.0) {
        rising_root((LOWEST_C, 0.0), -5.0, |t_c| (ice(t_c), slope(&ice, t_c)))
    } else {
        0.0
    }
}

fn check_flow(dry_air_kg_per_s: f64) -> Result<(), AirError> {
    check_range(
        "flow of dry air",
        dry_air_kg_per_s,
        (0.0, LARGEST_FLOW_KG_PER_S),
        Dim::MassRate,
    )
}

fn some_flow(stream: Stream) -> Result<f64, AirError> {
    check_flow(stream.dry_air_kg_per_s)?;
    if stream.dry_air_kg_per_s == 0.0 {
        return Err(AirError::Process {
            process: "changing a stream",
            reason: "nothing flows",
        });
    }
    Ok(stream.dry_air_kg_per_s)
}

//! Workings of what passes the envelope: air and heat.

use crop::workings::{Known, KnownAir, air_exchange_heat, air_exchange_water};
use quantity::{Dim, Equation, Given, Input, Source, Value, Working};
use room::{Fabric, Face, Side};

use super::{Likely, OfSource};
use crate::load::given_off::LoadSource;
use crate::machines;
use crate::uncertain::Draw;

/// Air that leaks in, and air that a fan brings.
pub(super) fn air_exchange(of: &Likely<'_>) -> OfSource {
    let envelope = &of.room.envelope;
    let from = match envelope.air_from.value {
        Side::Outdoor => outdoor(of),
        _ => KnownAir {
            state: of.given_off.adjacent(),
            source: of.room.site.adjacent.dry_bulb_c.source(),
        },
    };
    let fresh = &envelope.fresh_air_m3_per_s;
    let streams = [
        (leak(of), from),
        (Known::Given(fresh.value, fresh.source()), outdoor(of)),
    ];
    let (mut water, mut heat) = (Vec::new(), Vec::new());
    for (flow, outside) in streams {
        if 0.0 < flow.si() {
            water.push(air_exchange_water(flow.clone(), &outside, &of.air));
            heat.push(air_exchange_heat(flow, &outside, &of.air));
        }
    }
    OfSource::new(LoadSource::AirExchange, water, heat)
}

fn outdoor(of: &Likely<'_>) -> KnownAir {
    KnownAir {
        state: of.outdoor,
        source: of.room.site.summer.air.dry_bulb_c.source(),
    }
}

fn leak(of: &Likely<'_>) -> Known {
    let exchange = &of.room.envelope.air_exchange_per_s;
    Known::Computed(Working {
        name: "air that leaks in, likely case".into(),
        symbol: "V_leak".into(),
        equation: Equation::Algebra("n * V_room".into()),
        inputs: vec![
            Input::given(
                "air changes",
                "n",
                Value::new(exchange.value.likely, Dim::AirChange),
                exchange.source(),
            ),
            Input::given(
                "volume of the room",
                "V_room",
                Value::new(of.room.volume_m3(), Dim::Volume),
                of.room.geometry.length_m.source(),
            ),
        ],
        result: Value::new(
            machines::leak_m3_per_s(of.room, &Draw::LIKELY),
            Dim::AirFlow,
        ),
        source: Source::published("definition of air changes", ""),
    })
}

/// Heat through walls, roof and floor.
pub(super) fn envelope(of: &Likely<'_>) -> OfSource {
    let heat = match &of.room.envelope.fabric {
        Fabric::Faces(faces) => faces.iter().map(|face| through_face(of, face)).collect(),
        Fabric::Whole {
            conductance_w_per_k,
            side,
        } => vec![through(
            of,
            "all faces",
            side.value,
            "G",
            conductance_w_per_k.value,
            vec![given(
                "conductance of all faces",
                "G",
                conductance_w_per_k,
                Dim::Conductance,
            )],
        )],
    };
    OfSource::new(LoadSource::Envelope, Vec::new(), heat)
}

fn through_face(of: &Likely<'_>, face: &Face) -> Working {
    through(
        of,
        face.name,
        face.side.value,
        "U * A",
        face.area_m2.value * face.u_w_per_m2_k.value,
        vec![
            given("U-value", "U", &face.u_w_per_m2_k, Dim::Transmittance),
            given("area", "A", &face.area_m2, Dim::Area),
        ],
    )
}

fn through(
    of: &Likely<'_>,
    what: &str,
    side: Side,
    conductance: &str,
    conductance_w_per_k: f64,
    mut inputs: Vec<Input>,
) -> Working {
    let site = &of.room.site;
    let (beyond_c, source) = match side {
        Side::Outdoor => (of.outdoor.dry_bulb_c(), site.summer.air.dry_bulb_c.source()),
        Side::Adjacent => (
            of.given_off.adjacent().dry_bulb_c(),
            site.adjacent.dry_bulb_c.source(),
        ),
        Side::Ground => (site.ground_c.value, site.ground_c.source()),
    };
    inputs.push(Input::given(
        format!("temperature beyond: {}", side.word()),
        "T_beyond",
        Value::new(beyond_c, Dim::Temperature).digits(4),
        source,
    ));
    inputs.push(of.dry_bulb());
    Working {
        name: format!("heat through {what} {}", of.when).into(),
        symbol: "Q_face".into(),
        equation: Equation::Algebra(format!("{conductance} * (T_beyond - T_a)").into()),
        inputs,
        result: Value::new(
            conductance_w_per_k * (beyond_c - of.air.state.dry_bulb_c()),
            Dim::Power,
        ),
        source: Source::published(
            "conduction in steady state, ISO 6946:2007",
            "transmittance times area times difference",
        ),
    }
}

fn given(name: &'static str, symbol: &'static str, x: &Given<f64>, dim: Dim) -> Input {
    Input::given(name, symbol, Value::new(x.value, dim), x.source())
}

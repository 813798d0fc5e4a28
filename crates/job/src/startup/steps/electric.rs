//! Plate, volts, and switching on.

use quantity::{Dim, Text, Value};

use super::{Scene, ids, of_kinds};
use crate::startup::accept::Acceptance;
use crate::startup::ask::{Entry, usual};
use crate::startup::hazards::{ELECTRICITY, ROTATING, STARTS};
use crate::startup::instruments::Instrument;
use crate::startup::step::{Kind, Step};

pub(super) fn before(scene: &Scene<'_>) -> Vec<Step> {
    let plate = scene.model.plate;
    let told = |id, title: &'static str, around: f64| {
        Entry::number(id, title, usual::amps(around, Instrument::Told))
    };
    let mut volts = usual::volts(plate.volts);
    volts.instrument = Instrument::Told;
    let nameplate = scene
        .step(
            Kind::Nameplate,
            "Hold the plate against the circuit",
            "circuit and device were chosen by the record: the plate on the unit rules",
        )
        .hazards(&[ELECTRICITY])
        .asks([
            Entry::number(ids::PLATE_V, "volts on the plate", volts),
            told(ids::PLATE_MCA, "minimum circuit ampacity on the plate", plate.min_circuit_a),
            told(
                ids::PLATE_MOCP,
                "largest overcurrent protection on the plate",
                plate.max_protection_a,
            ),
            told(ids::DEVICE, "device in the panel", plate.max_protection_a),
            Entry::yes(
                "model",
                format!("the plate says {}", scene.model.code),
                "see that the unit hangs where it belongs; if it is another machine, design again with its record",
            )
            .stops(),
            Entry::yes(
                "disconnect",
                "disconnect within sight, labelled with the unit's tag",
                "have a licensed electrician fit it as on the power sheet",
            ),
        ])
        .accepts(Acceptance::Nameplate {
            plate: Box::new(plate),
            designed_a: scene.branch().map(|b| b.device_a),
        });
    let filter = scene
        .step(
            Kind::Filter,
            "Put the filter in",
            "without it the coil clogs in a week; the wrong way round it collapses",
        )
        .asks([Entry::yes(
            "in",
            "clean filter in, arrow with the air, door shut",
            "fit the filter of the record's size",
        )]);
    vec![nameplate, filter, the_volts(scene)]
}

fn the_volts(scene: &Scene<'_>) -> Step {
    let branch = scene.branch();
    let rated_v = branch.map_or(scene.model.plate.volts, |b| b.hookup.rated_v);
    let phases = scene.model.plate.phases;
    let titles: &[&str] = if phases == 3 {
        &["volts L1 to L2", "volts L2 to L3", "volts L3 to L1"]
    } else {
        &["volts between the live conductors"]
    };
    let entries = ids::VOLTS
        .iter()
        .zip(titles)
        .map(|(id, title)| Entry::number(id, (*title).to_owned(), usual::volts(rated_v)));
    scene
        .step(
            Kind::Volts,
            if phases == 3 {
                "Measure the volts between all three phases"
            } else {
                "Measure the volts"
            },
            Text::from("rated ")
                .value(Value::new(rated_v, Dim::Voltage))
                .words(": a motor outside ±10 % of it burns or does not start"),
        )
        .hazards(&[ELECTRICITY])
        .asks(entries)
        .needs([scene.id(Kind::Nameplate)])
        .accepts(Acceptance::Volts { rated_v, phases })
}

pub(super) fn on(scene: &Scene<'_>, before: &[Step]) -> Vec<Step> {
    let needs = before.iter().map(|s| s.id.clone());
    let power_on = scene
        .step(
            Kind::PowerOn,
            "Switch the unit on",
            "it is carried, drained, filtered, fed: now it may have power; its delay begins",
        )
        .hazards(&[ELECTRICITY, STARTS, ROTATING])
        .asks([
            Entry::yes(
                "holds",
                "device holds, no smell, no smoke, no alarm",
                "switch off and lock out; if it tripped at once, look for a short or a wrong conductor; if the control fuse is gone, find the control conductor on the wrong terminal before the fuse is replaced",
            )
            .stops(),
        ])
        .needs(needs);
    let mut steps = vec![power_on];
    if scene.model.plate.phases == 3 {
        steps.push(
            scene
                .step(
                    Kind::Rotation,
                    "See the direction of rotation",
                    "on swapped phases the fan blows little, and a scroll compressor runs backwards and is spoilt",
                )
                .hazards(&[ELECTRICITY, ROTATING])
                .asks([Entry::yes(
                    "right",
                    "fan turns with its arrow, air leaves at the outlet",
                    "switch off and lock out; have a licensed electrician swap two phases at the disconnect",
                )
                .stops()])
                .needs(of_kinds(&steps, &[Kind::PowerOn])),
        );
    }
    steps
}

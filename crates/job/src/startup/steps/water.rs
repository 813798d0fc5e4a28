//! Trap, drain, pump.

use quantity::{Dim, Text, Value};

use super::{Scene, ids};
use crate::drain::UnitDrain;
use crate::drain::pipe::WATER_KG_PER_M3;
use crate::startup::accept::Acceptance;
use crate::startup::ask::{Entry, Quantity, usual};
use crate::startup::hazards::{ELECTRICITY, HEIGHT, WATER};
use crate::startup::instruments::Instrument;
use crate::startup::step::{Kind, Step};

pub(super) fn steps(scene: &Scene<'_>) -> Vec<Step> {
    let drains = &scene.built.drain.units;
    let Some(drain) = drains.iter().find(|d| d.tag == scene.unit.tag) else {
        return Vec::new();
    };
    let mut steps = Vec::new();
    if let Some(trap) = drain.trap {
        steps.push(the_trap(scene, drain, &trap));
        steps.push(prime(scene, WATER_KG_PER_M3 * trap.priming_m3));
    }
    steps.push(flow(scene, drain));
    let pump = drain.way.as_ref().and_then(|w| w.pump);
    if let Some(pump) = pump {
        steps.push(
            scene
                .step(
                    Kind::Pump,
                    "Try the pump and its alarm",
                    Text::from("the water is lifted by ")
                        .value(Value::new(pump.lift_m(), Dim::Length))
                        .words(": without the pump, or with it stuck, it runs over"),
                )
                .hazards(&[WATER, ELECTRICITY])
                .asks([
                    Entry::yes(
                        "starts",
                        "pour water into its tank: it starts, empties, stops",
                        "free the float, plug the pump in, turn the check valve the right way round, take kinks out of the tube; pour again",
                    )
                    .stops(),
                    Entry::yes(
                        "alarm",
                        "lift the high-level float: the unit is stopped",
                        "wire the high-level switch into the unit's float terminals or its run contact",
                    )
                    .stops(),
                ])
                .needs([scene.id(Kind::DrainFlow)]),
        );
    }
    steps
}

fn the_trap(scene: &Scene<'_>, drain: &UnitDrain, trap: &crate::drain::trap::Trap) -> Step {
    let length = |drawn_m: f64| Quantity {
        dim: Dim::Length,
        allowed: [0.0, 2.0],
        plausible: [0.3 * drawn_m, f64::max(4.0 * drawn_m, 0.3)],
        instrument: Instrument::Rule,
    };
    let mut entries = vec![
        Entry::number(
            ids::TRAP_DROP,
            "H: from the pan outlet's lowest inside down to the trap outlet's",
            length(trap.built.drop_m),
        ),
        Entry::number(
            ids::TRAP_SEAL,
            "J: from the trap outlet's lowest inside down to the top of the bottom bend's bore",
            length(trap.built.seal_m),
        ),
        Entry::yes(
            "plugged",
            "cleanout on the pan side plugged tight",
            "fit the plug with a seal: an open tee there lets air in, and the pan keeps its water",
        ),
    ];
    if let Some(vent) = &drain.vent {
        entries.push(Entry::yes(
            "vent",
            Text::from("vent after the trap, open, its top ")
                .value(Value::new(vent.top_m, Dim::Length))
                .words(" above the floor or higher"),
            "fit the open tee of the drain sheet after the trap, never before it",
        ));
    }
    scene
        .step(
            Kind::Trap,
            "Measure the trap",
            "a trap that is too shallow is blown empty, one that drops too little keeps water in the pan",
        )
        .hazards(&[HEIGHT])
        .asks(entries)
        .needs([scene.id(Kind::Level)])
        .accepts(Acceptance::Trap(Box::new(*trap)))
}

fn prime(scene: &Scene<'_>, least_kg: f64) -> Step {
    scene
        .step(
            Kind::Prime,
            "Prime the trap",
            Text::from("an empty trap is no trap; ")
                .value(Value::new(least_kg, Dim::Water).digits(2))
                .words(" fill it"),
        )
        .hazards(&[HEIGHT, WATER])
        .asks([
            Entry::number(
                ids::POURED,
                "water poured until it left the outlet",
                usual::water([0.5 * least_kg, f64::max(2.0, 20.0 * least_kg)]),
            ),
            Entry::yes(
                "left",
                "water left the outlet",
                "pour on; if none leaves, clear the outlet and see that the line falls all the way",
            )
            .stops(),
        ])
        .needs([scene.id(Kind::Trap)])
        .accepts(Acceptance::Prime { least_kg })
}

fn flow(scene: &Scene<'_>, drain: &UnitDrain) -> Step {
    let peak_kg_per_s = drain.water.peak_kg_per_s;
    scene
        .step(
            Kind::DrainFlow,
            "Pour a bucket into the pan",
            Text::from("the drain must take more than the unit gives at its peak, ")
                .value(Value::new(peak_kg_per_s, Dim::WaterRate).digits(2)),
        )
        .hazards(&[HEIGHT, WATER])
        .asks([
            Entry::number(ids::BUCKET, "water poured", usual::water([1.0, 30.0])),
            Entry::number(
                ids::EMPTY_AFTER,
                "time until the pan was empty",
                usual::duration([5.0, 1_800.0], Instrument::Watch),
            ),
            Entry::number(
                ids::FALL,
                "fall of the line, drop over its whole length",
                Quantity {
                    dim: Dim::Slope,
                    allowed: [-0.5, 1.0],
                    plausible: [0.005, 0.06],
                    instrument: Instrument::Level,
                },
            )
            .optional(),
            Entry::yes(
                "dry",
                "no drop anywhere but at the drain",
                "tighten, glue or seal where it drips; pour again",
            )
            .stops(),
            Entry::yes(
                "gap",
                "it ends over its drain as drawn, with its gap of air",
                "cut the pipe to the gap of the drain sheet: no pipe of condensate dips into a sewer",
            ),
        ])
        .needs([scene.id(Kind::Level), scene.id(Kind::Prime)])
        .accepts(Acceptance::DrainFlow {
            peak_kg_per_s,
            drawn_fall: scene.room.piping.fall.value,
        })
}

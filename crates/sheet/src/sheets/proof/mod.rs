//! What logs prove of a room: the part of the dossier, and of `prove`.

mod figures;
mod tables;

use job::proof::{Again, Counted, Proof};
use quantity::{Band, Dim, Text, UnitSystem, Value};
use readings::{Taken, date};
use room::Room;

pub use figures::{series, series_caption};

use crate::report::{Block, KeyFigure, KeyUnits, Level};

/// A log file as it was read.
#[derive(Clone, Copy, Debug)]
pub struct LogRead<'a> {
    /// Its name.
    pub file: &'a str,
    /// What was made of it.
    pub taken: &'a Taken,
}

/// All blocks in reading order.
pub fn blocks(room: &Room, proof: &Proof, logs: &[LogRead<'_>], units: UnitSystem) -> Vec<Block> {
    let mut out = vec![
        Block::Heading(Level::One, "Proof from logs".into()),
        Block::Paragraph(span(proof)),
        Block::KeyFigures(key_figures(proof)),
        Block::Findings(proof.findings.clone()),
        Block::Heading(Level::Two, "The room".into()),
        Block::Table(tables::periods(room, proof)),
        Block::Remark(switchings(proof)),
    ];
    out.extend(
        figures::days(proof, units)
            .into_iter()
            .map(|drawing| Block::Figure {
                drawing,
                caption: "Numbers are the mean relative humidity of the hour.".into(),
            }),
    );
    out.push(Block::Figure {
        drawing: figures::bands(room, proof, units),
        caption: "Middle of all days at each time of day; the pale band holds eight of ten days."
            .into(),
    });
    if !proof.nights.is_empty() {
        out.push(Block::Heading(Level::Two, "Nights".into()));
        out.push(Block::Table(tables::nights(proof)));
        out.push(Block::Figure {
            drawing: figures::worst_night(proof, units),
            caption: "The worst night, with the hours before and after it.".into(),
        });
    }
    out.push(Block::Remark(surfaces(proof)));
    if !proof.units.is_empty() {
        out.push(Block::Heading(Level::Two, "The units".into()));
        out.push(Block::Table(tables::units(proof)));
        out.push(Block::Remark(
            Text::from("When units ran: ")
                .words(proof.runs_from.words())
                .words("."),
        ));
    }
    out.extend(water(room, proof, units));
    out.push(Block::Heading(
        Level::Two,
        "The logs as they were read".into(),
    ));
    for log in logs {
        out.push(Block::Table(tables::channels(log)));
        out.push(Block::Remark(tables::reading(log)));
    }
    out
}

fn span(proof: &Proof) -> Text {
    let series = &proof.series;
    let all = series.len() as f64 * series.step_s;
    let known = series.known().count() as f64 * series.step_s;
    let day = |i: usize| date(series.day[i]);
    let (first, last) = (day(0), day(series.len().saturating_sub(1)));
    Text::from(format!("{first} to {last}: "))
        .value(Value::new(all, Dim::Duration))
        .words(", of which the air is known for ")
        .value(Value::new(known, Dim::Duration))
        .words(". Lights: ")
        .words(proof.lit.from.words())
        .words(".")
}

fn key_figures(proof: &Proof) -> Vec<KeyFigure> {
    let figure = |label: &'static str, value: Value, note: Text| KeyFigure {
        label: label.into(),
        value,
        units: KeyUnits::Reader,
        note,
    };
    let (inside, known) = proof
        .periods
        .iter()
        .fold((0.0, 0.0), |(i, k), p| (i + p.both_in_s, k + p.known_s));
    let mut all = vec![figure(
        "Time with dry bulb and humidity in target",
        Value::new(
            if known > 0.0 { inside / known } else { 0.0 },
            Dim::Fraction,
        )
        .digits(2),
        Text::new(),
    )];
    if let Some(water) = &proof.water
        && let Some(day) = water.kg_per_day
    {
        let rate = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate).digits(2);
        all.push(figure(
            "Water the room gives off",
            rate(day.likely),
            Text::from(match water.open {
                Some(_) => "a hint only, the balance is open: ",
                None => "",
            })
            .value(rate(day.low))
            .words(" to ")
            .value(rate(day.high))
            .words("; as surveyed ")
            .value(rate(water.surveyed_kg_per_day.likely)),
        ));
    }
    if let Some(again) = &proof.again {
        all.push(figure(
            "Drawn days held, as found",
            Value::new(
                again.found.0 as f64 / again.found.1.max(1) as f64,
                Dim::Fraction,
            )
            .digits(2),
            Text::from(again.units.words()),
        ));
    }
    all
}

fn switchings(proof: &Proof) -> Text {
    let said = |text: Text, s: &job::proof::Switching| {
        text.value(Value::new(s.dry_bulb_k, Dim::TemperatureDifference).digits(2))
            .words(", ")
            .value(Value::new(s.rel_humidity, Dim::RelHumidityDifference).digits(2))
            .words(", humidity ratio ")
            .value(Value::new(s.humidity_ratio, Dim::HumidityRatio).digits(2))
            .words(format!(" (mean of {})", s.count))
    };
    let mut text = Text::new();
    if 0 < proof.lights_off.count {
        text = said(
            Text::from("In the half hour after lights-off the air changes by "),
            &proof.lights_off,
        )
        .words(". ");
    }
    if 0 < proof.lights_on.count {
        let on = &proof.lights_on;
        text = said(text.words("After lights-on by "), on);
        if let Some((k, kg_per_kg)) = on.overshoot_k.zip(on.overshoot_kg_per_kg) {
            text = text
                .words("; in two hours it stands at most ")
                .value(Value::new(k, Dim::TemperatureDifference).digits(2))
                .words(" and ")
                .value(Value::new(kg_per_kg, Dim::HumidityRatio).digits(2))
                .words(" above where it comes to rest");
        }
        text = text.words(".");
    }
    if text.is_empty() {
        text = Text::from("No switching of the lights is seen whole.");
    }
    text
}

fn surfaces(proof: &Proof) -> Text {
    let s = &proof.surfaces;
    let mut text = Text::new();
    if let Some((least_k, _)) = s.least_margin_k {
        let name = s.surface.as_deref().unwrap_or("The coldest surface");
        let by = Value::new(least_k.abs(), Dim::TemperatureDifference).digits(2);
        let from = s.margin_from.words();
        text = if least_k < 0.0 {
            text.words(format!("{name} goes down to "))
                .value(by)
                .words(format!(" below the dew point (its temperature: {from}). "))
        } else {
            text.words(format!("{name} comes within "))
                .value(by)
                .words(format!(" of the dew point (its temperature: {from}). "))
        };
    }
    if let Some(from) = s.leaf_from {
        text = text
            .words("Leaves are at risk of wetness for ")
            .value(Value::new(s.leaf_risk_s.iter().sum(), Dim::Duration).digits(2))
            .words(format!(" in all (leaf temperature: {}). ", from.words()));
    }
    if let Some(seen) = &proof.irrigation {
        text = text.words(format!(
            "Irrigation begins {:.1} times a day. ",
            seen.per_day
        ));
    }
    if let Some(counted) = &proof.counted {
        text = text
            .words("Water counted: ")
            .value(Value::new(counted.all_kg, Dim::Water))
            .words(" over ")
            .value(Value::new(counted.over_s, Dim::Duration))
            .words(if counted.is_impossible() {
                ", more than could be taken: nothing rests on it. "
            } else {
                ". "
            });
    }
    if text.is_empty() {
        text = Text::from("No surface, no crop and no counter: nothing to say of margins.");
    }
    text
}

/// What the units were taken to remove, and what that rests on.
fn capacity(proof: &Proof, again: &Again) -> Text {
    let factor = |x: f64| tables::factor(x, Dim::Fraction);
    let band = |text: Text, b: Band| {
        text.value(factor(b.likely))
            .words(" (")
            .value(factor(b.low))
            .words(" to ")
            .value(factor(b.high))
            .words(")")
    };
    let Some(capacity) = again.capacity else {
        return "No log tells when units ran: they are judged at what was surveyed of them.".into();
    };
    let said = band(
        Text::from("Water that the units remove, over their records: as found "),
        capacity.found,
    );
    let said = band(said.words("; as surveyed "), capacity.surveyed);
    let is_believed = |c: &Counted| !c.is_impossible();
    if proof.counted.as_ref().is_some_and(is_believed) {
        said.words(". It rests on the water that was counted.")
    } else if proof.counted.is_some() {
        said.words(". It rests on their records: more water was counted than could be taken.")
    } else {
        said.words(". No water was counted, so that it rests on their records: one day of condensate in a bucket tells more.")
    }
}

fn water(room: &Room, proof: &Proof, units: UnitSystem) -> Vec<Block> {
    let Some(water) = &proof.water else {
        return Vec::new();
    };
    let rate = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate).digits(2);
    let (by_units, by_coils) = water.removed_kg_per_day;
    let mut out = vec![
        Block::Heading(Level::Two, "The water that the room gives off".into()),
        Block::Paragraph(
            Text::from("Found by closing the moisture balance of every half hour over ")
                .value(Value::new(water.over_s, Dim::Duration))
                .words(": change of the water held, less what units took (")
                .value(rate(by_units))
                .words(", their records at the logged air times what was found of them) and what cooling took (")
                .value(rate(by_coils))
                .words(", reckoned from the heat that it carried). A half hour leaves ")
                .value(Value::new(water.rest_kg, Dim::Water).digits(2))
                .words(" unexplained."),
        ),
        Block::Figure {
            drawing: figures::load(water, units),
            caption: "Line: as found, with the 10th and 90th percentile; dashed: as surveyed, at the targets.".into(),
        },
        Block::Table(tables::found(water)),
    ];
    // Why the table begins elsewhere than the proposal's "as surveyed".
    if room.moisture_buffer.is_none() && room.envelope.moisture_capacity.is_assumed() {
        out.push(Block::Remark(
            Text::from("Nobody surveyed the moisture capacity: the ")
                .value(Value::new(room.envelope.moisture_capacity.value, Dim::Number))
                .words(" of the room file is the air alone, the least that a room holds. The log is read from twice that, since leaves, media and walls add to it."),
        ));
    }
    out.push(match (water.open, proof.proposals.is_empty()) {
        (Some(_), _) => Block::Remark(
            "A hint only, since the balance is open (see the findings): nothing is proposed and no units are chosen by it.".into(),
        ),
        (None, true) => {
            Block::Remark("The log decides nothing that the room file can say better.".into())
        }
        (None, false) => Block::Table(tables::proposals(&proof.proposals)),
    });
    if let Some(again) = &proof.again {
        out.push(Block::Heading(
            Level::Two,
            "The units again, with what was found".into(),
        ));
        out.push(Block::Table(tables::again(again)));
        out.push(Block::Remark(capacity(proof, again)));
    }
    out
}

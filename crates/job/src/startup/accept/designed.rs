//! What the design says that a step shall show, in words.

use quantity::{Dim, Text, Value};

use super::{Acceptance, around};
use crate::acceptance::salts;
use crate::power::supply::VOLTAGE_TOLERANCE;
use crate::startup::step::{Kind, Step};

impl Step {
    /// What the design asks of it, to read before and to hold beside what was
    /// found; `None`: no more than its questions.
    pub fn designed(&self) -> Option<Text> {
        let value = |si: f64, dim: Dim| Value::new(si, dim).digits(3);
        Some(match &self.acceptance {
            Acceptance::Nameplate { plate, .. } => Text::new()
                .value(value(plate.volts, Dim::Voltage))
                .words(", at least ")
                .value(value(plate.min_circuit_a, Dim::Current))
                .words(" of circuit, at most ")
                .value(value(plate.max_protection_a, Dim::Current))
                .words(" of protection"),
            Acceptance::Level(levelling) => Text::from("within ±")
                .value(value(levelling.tolerance, Dim::Slope).digits(2))
                .words(" both ways"),
            Acceptance::Trap(trap) => Text::from("H ")
                .value(value(trap.built.drop_m, Dim::Length))
                .words(" and J ")
                .value(value(trap.built.seal_m, Dim::Length))
                .words(" as drawn, or deeper"),
            Acceptance::Prime { least_kg } => {
                Text::from("at least ").value(value(*least_kg, Dim::Water).digits(2))
            }
            Acceptance::DrainFlow {
                peak_kg_per_s,
                drawn_fall,
            } => Text::from("takes ")
                .value(value(*peak_kg_per_s, Dim::WaterRate).digits(2))
                .words(" at a fall of ")
                .value(value(*drawn_fall, Dim::Slope).digits(2)),
            Acceptance::Volts { rated_v, phases } => Text::new()
                .value(value((1.0 - VOLTAGE_TOLERANCE) * rated_v, Dim::Voltage))
                .words(" to ")
                .value(value((1.0 + VOLTAGE_TOLERANCE) * rated_v, Dim::Voltage))
                .words(format!(", {phases} phase")),
            Acceptance::Amps { machine, rated_v } => Text::from("at most ")
                .value(value(machine.model.plate.full_load_a, Dim::Current))
                .words(" by the plate at ")
                .value(value(*rated_v, Dim::Voltage)),
            Acceptance::Air {
                designed_share: Some(share),
                ..
            } => Text::from("short-circuit share ").value(value(*share, Dim::Fraction).digits(2)),
            Acceptance::Condensate(machine) => {
                let rated = machine.model.ratings.first()?;
                Text::new()
                    .value(value(rated.removal_kg_per_s, Dim::WaterRate))
                    .words(" at ")
                    .value(value(rated.dry_bulb_c, Dim::Temperature))
                    .words(", ")
                    .value(value(rated.rel_humidity, Dim::RelHumidity).digits(2))
                    .words("; at the measured air what its map says")
            }
            Acceptance::Restart { delay_s } => {
                Text::from("not before ").value(value(*delay_s, Dim::Duration).digits(2))
            }
            Acceptance::Stagger { apart_s } => Text::from("at least ")
                .value(value(*apart_s, Dim::Duration).digits(2))
                .words(" apart"),
            Acceptance::Setpoints(wanted) => {
                let mut text = Text::new();
                for (i, want) in wanted.iter().enumerate() {
                    let title = self.entry(&want.entry).map(|e| e.title.clone());
                    text = text
                        .words(if i == 0 { "" } else { "; " })
                        .and(&title.unwrap_or_default())
                        .words(" ")
                        .value(want.value);
                }
                text
            }
            Acceptance::Salts => off_by_at_most(salts::MOST_OFF),
            Acceptance::SensorInPlace { .. } => off_by_at_most(around::MOST_OFF),
            _ if self.kind == Kind::Carried => "as drawn on the hanging sheet".into(),
            _ => return None,
        })
    }
}

fn off_by_at_most(most: f64) -> Text {
    Text::from("off by at most ").value(Value::new(most, Dim::RelHumidityDifference).digits(2))
}

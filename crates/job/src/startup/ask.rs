//! What a step asks to be entered, and when what is typed is doubted.

use quantity::{Dim, Severity, Text, UnitSystem, Value};

use super::instruments::Instrument;

/// The answer that says so.
pub const YES: &str = "yes";

/// Whether an entry may stay empty.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Must {
    /// Without it the step cannot be judged.
    Be,
    /// It sharpens the verdict.
    May,
}

/// How often an entry is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Often {
    /// Once.
    Once,
    /// Again and again while the step goes on, this often at least.
    Series(usize),
}

/// A quantity that is asked for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Quantity {
    /// Its kind.
    pub dim: Dim,
    /// Least and greatest that can be, in SI: beyond it nothing is taken.
    pub allowed: [f64; 2],
    /// Least and greatest that is likely here, in SI: beyond it one is asked.
    pub plausible: [f64; 2],
    /// What it is read off.
    pub instrument: Instrument,
}

/// What "no" means where "yes" is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct IfNot {
    /// How much it matters.
    pub severity: Severity,
    /// Likeliest causes and the way back.
    pub remedy: &'static str,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub enum Asks {
    /// A quantity.
    Quantity(Quantity),
    /// Whether something is so; "yes" is wanted.
    YesNo(IfNot),
    /// One of these words.
    Choice(Vec<&'static str>),
}

/// An entry of a step.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Its id within the step.
    pub id: String,
    /// What to enter.
    pub title: Text,
    /// What is asked.
    pub asks: Asks,
    /// Whether it may stay empty.
    pub must: Must,
    /// How often.
    pub often: Often,
}

/// What is typed and not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotTaken {
    /// Why, with what was read and what is allowed.
    pub words: String,
    /// Whether it is taken if it is said to be meant.
    pub may_be_meant: bool,
}

/// Why a number is not simply taken.
#[derive(Clone, Debug, PartialEq)]
pub enum Doubt {
    /// It cannot be; in words.
    Refused(String),
    /// It can be, but hardly here: ask whether it is meant.
    Ask {
        /// What to ask.
        said: String,
        /// What was perhaps meant: the same digits, the point elsewhere.
        perhaps: Option<Value>,
    },
}

impl Quantity {
    /// The unit of a number that is typed without one; it stands beside the
    /// field.
    pub fn unit(&self, system: UnitSystem) -> &'static str {
        self.dim.unit_on_site(self.plausible[1], system)
    }

    /// How far it may be off, as a quantity that is asked for itself: in the unit
    /// of its field, but for what differs in another than it is told in.
    #[must_use]
    pub const fn accuracy(&self) -> Self {
        Self {
            dim: self.dim.of_difference(),
            ..*self
        }
    }

    /// A number in that unit, and in that of the other system where it differs.
    pub fn show_both(&self, value: Value, primary: UnitSystem) -> String {
        let other = match primary {
            UnitSystem::Metric => UnitSystem::Us,
            UnitSystem::Us => UnitSystem::Metric,
        };
        let [first, second] = [primary, other].map(|s| value.show_on_site(self.plausible[1], s));
        if first == second {
            first
        } else {
            format!("{first} [{second}]")
        }
    }

    /// A number with its unit, or a bare one in the unit that stands beside the
    /// field; neither is weighed yet.
    ///
    /// # Errors
    /// What is wrong with the text, and what can be typed.
    pub fn read(&self, text: &str, units: UnitSystem) -> Result<Value, NotTaken> {
        let with_unit = quantity::read(text, self.dim);
        if with_unit.is_err() && !quantity::names_unit(text) {
            let unit = self.unit(units);
            if let Ok(value) = quantity::read(&format!("{text} {unit}"), self.dim) {
                return Ok(value);
            }
        }
        with_unit.map_err(|e| NotTaken {
            words: e.to_string(),
            may_be_meant: false,
        })
    }

    /// Whether a number is taken.
    ///
    /// # Errors
    /// It cannot be, or it is unusual here and not said to be meant.
    pub fn weigh(&self, value: Value, units: UnitSystem, is_meant: bool) -> Result<(), NotTaken> {
        match self.doubt(value, units) {
            Some(Doubt::Refused(words)) => Err(NotTaken {
                words,
                may_be_meant: false,
            }),
            Some(Doubt::Ask { said: words, .. }) if !is_meant => Err(NotTaken {
                words,
                may_be_meant: true,
            }),
            Some(Doubt::Ask { .. }) | None => Ok(()),
        }
    }

    /// What is doubtful about a number, in words of these units; `None`:
    /// nothing. All numbers in it are in the unit of the field.
    pub fn doubt(&self, value: Value, units: UnitSystem) -> Option<Doubt> {
        // No fewer digits than what they are held against.
        let digits = value.digits.max(3);
        let shown = |si: f64| {
            let value = Value {
                si,
                dim: self.dim,
                digits,
            };
            value.show_on_site(self.plausible[1], units)
        };
        let within = |range: [f64; 2], x: f64| range[0] <= x && x <= range[1];
        let range = |range: [f64; 2]| format!("{} to {}", shown(range[0]), shown(range[1]));
        if value.dim != self.dim {
            let said = format!("{} is wanted here", self.dim.noun());
            return Some(Doubt::Refused(said));
        }
        let typed = value.show_on_site(self.plausible[1], units);
        if !within(self.allowed, value.si) {
            let can = range(self.allowed);
            return Some(Doubt::Refused(format!("{typed} cannot be; {can} can")));
        }
        if within(self.plausible, value.si) {
            return None;
        }
        let points: &[f64] = match self.dim {
            // 0 °C is no beginning.
            Dim::Temperature => &[],
            _ => &[0.01, 0.1, 10.0, 100.0, 0.001, 1000.0],
        };
        let perhaps = points
            .iter()
            .map(|factor| factor * value.si)
            .find(|si| *si != 0.0 && within(self.plausible, *si))
            .map(|si| Value { si, ..value });
        let meant = match perhaps {
            Some(meant) => format!("is {} meant?", meant.show_on_site(self.plausible[1], units)),
            None => "is it meant?".into(),
        };
        let likely = range(self.plausible);
        let said = format!("{typed} is unusual here, where {likely} is likely; {meant}");
        Some(Doubt::Ask { said, perhaps })
    }
}

impl Entry {
    /// The quantity that it asks for, if it asks for one.
    pub const fn quantity(&self) -> Option<&Quantity> {
        match &self.asks {
            Asks::Quantity(q) => Some(q),
            Asks::YesNo(_) | Asks::Choice(_) => None,
        }
    }

    /// What is doubtful about a number typed here; `None`: nothing.
    pub fn doubt(&self, value: Value, units: UnitSystem) -> Option<Doubt> {
        match self.quantity() {
            Some(quantity) => quantity.doubt(value, units),
            None => Some(Doubt::Refused("no number is asked for here".into())),
        }
    }

    /// Whether an answer is one of those that can be given here.
    pub fn takes(&self, said: &str) -> bool {
        match &self.asks {
            Asks::YesNo(_) => said == YES || said == "no",
            Asks::Choice(words) => words.contains(&said),
            Asks::Quantity(_) => false,
        }
    }

    pub(super) fn number(id: &str, title: impl Into<Text>, quantity: Quantity) -> Self {
        Self {
            id: id.to_owned(),
            title: title.into(),
            asks: Asks::Quantity(quantity),
            must: Must::Be,
            often: Often::Once,
        }
    }

    /// A question to which "no" is put right before hand-over.
    pub(super) fn yes(id: impl Into<String>, title: impl Into<Text>, remedy: &'static str) -> Self {
        Self {
            id: id.into(),
            title: title.into(),
            asks: Asks::YesNo(IfNot {
                severity: Severity::Fix,
                remedy,
            }),
            must: Must::Be,
            often: Often::Once,
        }
    }

    pub(super) fn choice(id: &str, title: impl Into<Text>, words: Vec<&'static str>) -> Self {
        Self {
            asks: Asks::Choice(words),
            ..Self::yes(id, title, "")
        }
    }

    /// The same question; after "no" nothing goes on.
    #[must_use]
    pub(super) fn stops(self) -> Self {
        let asks = match self.asks {
            Asks::YesNo(if_not) => Asks::YesNo(IfNot {
                severity: Severity::Stop,
                ..if_not
            }),
            other => other,
        };
        Self { asks, ..self }
    }

    #[must_use]
    pub(super) fn optional(self) -> Self {
        Self {
            must: Must::May,
            ..self
        }
    }

    #[must_use]
    pub(super) fn series(self, least: usize) -> Self {
        Self {
            often: Often::Series(least),
            ..self
        }
    }
}

/// Quantities that several steps, and calls about a fault, ask for.
pub(crate) mod usual {
    use super::*;

    pub(crate) fn dry_bulb(instrument: Instrument) -> Quantity {
        Quantity {
            dim: Dim::Temperature,
            allowed: [-40.0, 90.0],
            plausible: [5.0, 45.0],
            instrument,
        }
    }

    pub(crate) fn discharge() -> Quantity {
        Quantity {
            plausible: [15.0, 65.0],
            ..dry_bulb(Instrument::Thermometer)
        }
    }

    pub(crate) fn humidity(instrument: Instrument) -> Quantity {
        Quantity {
            dim: Dim::RelHumidity,
            allowed: [0.0, 1.0],
            plausible: [0.15, 0.95],
            instrument,
        }
    }

    pub(crate) fn duration(plausible: [f64; 2], instrument: Instrument) -> Quantity {
        Quantity {
            dim: Dim::Duration,
            allowed: [0.0, 90.0 * 86_400.0],
            plausible,
            instrument,
        }
    }

    pub(crate) fn water(plausible: [f64; 2]) -> Quantity {
        Quantity {
            dim: Dim::Water,
            allowed: [0.0, 500.0],
            plausible,
            instrument: Instrument::Jug,
        }
    }

    pub(crate) fn volts(rated_v: f64) -> Quantity {
        Quantity {
            dim: Dim::Voltage,
            allowed: [0.0, 1_000.0],
            plausible: [0.8 * rated_v, 1.2 * rated_v],
            instrument: Instrument::Voltmeter,
        }
    }

    pub(crate) fn amps(around_a: f64, instrument: Instrument) -> Quantity {
        Quantity {
            dim: Dim::Current,
            allowed: [0.0, 2_000.0],
            plausible: [0.2 * around_a, 2.0 * around_a],
            instrument,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use quantity::UnitSystem::Metric;

    #[test]
    fn four_hundred_amps_for_four_is_asked_about() {
        let amps = usual::amps(4.4, Instrument::Clamp);
        let value = |si| Value::new(si, Dim::Current);
        assert_eq!(amps.doubt(value(4.0), Metric), None);
        let Some(Doubt::Ask { said, perhaps }) = amps.doubt(value(400.0), Metric) else {
            panic!("taken");
        };
        assert_eq!(perhaps.map(|v| v.si), Some(4.0));
        assert!(said.contains("400 A"), "{said}");
        assert!(said.ends_with("is 4.00 A meant?"));
        let refused = amps.doubt(value(-4.0), Metric);
        assert!(matches!(refused, Some(Doubt::Refused(_))));
    }

    #[test]
    fn limits_are_told_in_the_unit_of_the_field_and_to_enough_digits() {
        let asked = |quantity: Quantity, si, units| match quantity
            .doubt(Value::new(si, quantity.dim), units)
        {
            Some(Doubt::Ask { said, .. }) => said,
            other => panic!("{other:?}"),
        };
        // 1.2 x 220 V.
        let volts = usual::volts(220.0);
        assert!(asked(volts, 270.0, Metric).contains("176 V to 264 V is likely"));
        let fine = Value::new(264.04, Dim::Voltage).digits(5);
        let Some(Doubt::Ask { said, .. }) = volts.doubt(fine, Metric) else {
            panic!("taken");
        };
        assert!(
            said.starts_with("264.04 V") && said.contains("to 264.00 V"),
            "{said}"
        );
        // A field in seconds tells no minutes, one in millilitres no litres.
        let wait = usual::duration([30.0, 600.0], Instrument::Watch);
        let said = asked(wait, 1_200.0, Metric);
        assert!(said.contains("30.0 s to 600 s"), "{said}");
        let cup = usual::water([0.1, 1.5]);
        let said = asked(cup, 1.8, Metric);
        assert!(said.contains("100 mL to 1500 mL"), "{said}");
    }

    #[test]
    fn negative_litres_and_other_units_are_refused_with_words() {
        let water = usual::water([0.1, 10.0]);
        let refused = |value: Value| match water.doubt(value, Metric) {
            Some(Doubt::Refused(said)) => said,
            other => panic!("{other:?}"),
        };
        assert!(refused(Value::new(-2.0, Dim::Water)).contains("cannot be"));
        assert!(refused(Value::new(2.0, Dim::Current)).contains("is wanted here"));
        assert!(refused(Value::new(f64::NAN, Dim::Water)).contains("cannot be"));
    }

    #[test]
    fn answers_are_of_their_entry() {
        let yes = Entry::yes("a", "ready", "make it ready");
        assert!(yes.takes("yes") && yes.takes("no") && !yes.takes("perhaps"));
        let choice = Entry::choice("b", "how", vec!["upright", "lay down"]);
        assert!(choice.takes("upright") && !choice.takes("yes"));
        assert!(yes.doubt(Value::new(1.0, Dim::Number), Metric).is_some());
    }
}

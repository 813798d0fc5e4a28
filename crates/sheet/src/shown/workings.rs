//! Workings, numbered, with the sources that they share.

use std::fmt::Write;

use quantity::{Dim, Equation, Input, Source, SourceKind, UnitSystem, Value, Working};

use super::equations::typeset;
use super::{Piece, Set, ShownCase, ShownInput, ShownSource, ShownWorking, quantity};
use crate::families::{Family, FamilyInput};

/// A source in a line.
pub fn source(source: &Source) -> String {
    let mut out = match source.kind {
        SourceKind::Published => source.cite.to_string(),
        SourceKind::CommonPractice => {
            format!("{} (common practice, no published source)", source.cite)
        }
        SourceKind::Assumed => format!("assumed: {}", source.cite),
        SourceKind::Measured => format!("measured: {}", source.cite),
        SourceKind::Memory => format!("{} (recalled, not looked up again)", source.cite),
    };
    // Of a surveyed file its name is enough, and the same wherever it lies.
    let place = match source.kind {
        SourceKind::Measured => source.place_in_it.rsplit(['/', '\\']).next(),
        _ => Some(source.place_in_it.as_ref()),
    };
    if let Some(place) = place.filter(|p| !p.is_empty()) {
        let _ = write!(out, ", {place}");
    }
    out
}

/// Gives each different working one number and shows it once, after those
/// that it builds on.
#[derive(Default)]
pub(super) struct WorkingNumbers {
    pub(super) seen: Vec<Working>,
    pub(super) sources: Vec<ShownSource>,
}

impl WorkingNumbers {
    pub(super) fn show(
        &mut self,
        w: &Working,
        units: UnitSystem,
        out: &mut Vec<ShownWorking>,
    ) -> usize {
        if let Some(i) = self.seen.iter().position(|s| s == w) {
            return i + 1;
        }
        let inputs: Vec<ShownInput> = w.inputs.iter().map(|i| self.input(i, units, out)).collect();
        self.seen.push(w.clone());
        let number = self.seen.len();
        let (symbol, equation, procedure) = set_equation(&w.symbol, &w.equation);
        out.push(ShownWorking {
            number,
            chapter: String::new(),
            name: w.name.to_string(),
            equation,
            procedure,
            inputs,
            symbol,
            result: worked(w.result, units),
            source: source(&w.source),
            differ: Vec::new(),
            cases: Vec::new(),
        });
        number
    }

    /// A family: what all cases share above, a row for each case that shows
    /// another number.
    pub(super) fn family(&mut self, f: &Family, units: UnitSystem) -> ShownWorking {
        let mut cases: Vec<ShownCase> = Vec::new();
        for case in &f.cases {
            let values = case.values.iter().map(|v| worked(*v, units)).collect();
            let result = worked(case.result, units);
            let alike = cases
                .iter_mut()
                .find(|c| c.values == values && c.result == result);
            match alike {
                Some(other) => add_label(&mut other.label, &case.label),
                None => cases.push(ShownCase {
                    label: case.label.clone(),
                    values,
                    result,
                }),
            }
        }
        let (first, several) = match cases.as_slice() {
            [] => (ShownCase::default(), false),
            [one] => (one.clone(), false),
            [first, ..] => (first.clone(), true),
        };
        let differs: Vec<bool> = (0..f.inputs.len())
            .map(|i| cases.iter().any(|c| c.values.get(i) != first.values.get(i)))
            .collect();
        let (symbol, equation, procedure) = set_equation(&f.symbol, &f.equation);
        let inputs: Vec<ShownInput> = f
            .inputs
            .iter()
            .zip(&differs)
            .enumerate()
            .map(|(i, (input, differs))| ShownInput {
                name: input.name.clone(),
                symbol: typeset(&input.symbol),
                value: match first.values.get(i) {
                    Some(value) if !differs => value.clone(),
                    _ => "below".to_owned(),
                },
                from: self.from(input),
            })
            .collect();
        let name = match first.label.as_str() {
            label if !several && !label.is_empty() && 1 < f.cases.len() => {
                format!("{}: {label}", f.name)
            }
            _ => f.name.clone(),
        };
        for case in &mut cases {
            let mut keep = differs.iter();
            case.values
                .retain(|_| keep.next().copied().unwrap_or(false));
        }
        ShownWorking {
            number: f.number,
            chapter: f.chapter.clone().unwrap_or_default(),
            name,
            equation,
            procedure,
            inputs,
            symbol,
            result: if several { String::new() } else { first.result },
            source: format!("[{}]", self.source(source(&f.source))),
            differ: f
                .inputs
                .iter()
                .zip(&differs)
                .filter(|(_, differs)| **differs)
                .map(|(input, _)| typeset(&input.symbol))
                .collect(),
            cases: if several { cases } else { Vec::new() },
        }
    }

    /// Numbers of the workings or sources of an input.
    fn from(&mut self, input: &FamilyInput) -> String {
        let mut all: Vec<String> = input.from.iter().map(|n| format!("working {n}")).collect();
        for s in &input.sources {
            let number = format!("[{}]", self.source(source(s)));
            if !all.contains(&number) {
                all.push(number);
            }
        }
        all.join(" ")
    }

    fn input(&mut self, i: &Input, units: UnitSystem, out: &mut Vec<ShownWorking>) -> ShownInput {
        let from = match (&i.from, &i.source) {
            (Some(w), _) => format!("working {}", self.show(w, units, out)),
            (None, Some(s)) => format!("[{}]", self.source(source(s))),
            (None, None) => String::new(),
        };
        ShownInput {
            name: i.name.to_string(),
            symbol: typeset(&i.symbol),
            value: worked(i.value, units),
            from,
        }
    }

    /// The number of a source.
    pub(super) fn source(&mut self, text: String) -> usize {
        if let Some(known) = self.sources.iter().find(|s| s.text == text) {
            return known.number;
        }
        let number = self.sources.len() + 1;
        self.sources.push(ShownSource { number, text });
        number
    }
}

/// Adds what a case is about to what others with its numbers are about.
fn add_label(all: &mut String, label: &str) {
    if label.is_empty() || all.split(", ").any(|known| known == label) {
        return;
    }
    if !all.is_empty() {
        all.push_str(", ");
    }
    all.push_str(label);
}

/// Symbol, equation after its symbol, name of the procedure.
fn set_equation(symbol: &str, equation: &Equation) -> (Vec<Piece>, Vec<Piece>, Option<String>) {
    let symbol = typeset(symbol);
    match equation {
        Equation::Algebra(text) => {
            let mut all = symbol.clone();
            all.push(Piece {
                text: " = ".to_owned(),
                set: Set::Plain,
            });
            all.extend(typeset(text));
            (symbol, all, None)
        }
        Equation::Procedure(name) => (symbol, Vec::new(), Some(name.to_string())),
    }
}

/// A value as workings show it. Heat of less than a millionth of a watt is
/// rounding; coefficients of curves are given in many digits, and zeros at
/// their end say nothing.
fn worked(value: Value, units: UnitSystem) -> String {
    if value.dim == Dim::Power && value.si.abs() < 1e-6 {
        return quantity(&Value { si: 0.0, ..value }, units);
    }
    let shown = quantity(&value, units);
    // A wire's diameter is no whole sixteenth of an inch: where rounding
    // leaves nothing, the other units say more.
    if value.si != 0.0 && !shown.contains(|c: char| ('1'..='9').contains(&c)) {
        return quantity(&value, UnitSystem::Metric);
    }
    const MEASURABLE: u8 = 6;
    if value.digits <= MEASURABLE || value.dim != Dim::Number || !shown.contains('.') {
        return shown;
    }
    shown.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sources_of_inputs_are_listed_once() {
        let given = |symbol: &'static str, at: &'static str| {
            quantity::Input::given(
                "length",
                symbol,
                Value::new(2.0, Dim::Number),
                Source::measured("survey", at),
            )
        };
        let working = Working {
            name: "sum".into(),
            symbol: "s".into(),
            equation: Equation::Algebra("a + b".into()),
            inputs: vec![given("a", "some/where/x.toml:3"), given("b", "x.toml:3")],
            result: Value::new(4.0, Dim::Number),
            source: Source::assumed("sum"),
        };
        let mut numbers = WorkingNumbers::default();
        let mut out = Vec::new();
        numbers.show(&working, UnitSystem::Metric, &mut out);
        numbers.show(&working, UnitSystem::Metric, &mut out);
        assert_eq!(out.len(), 1);
        assert_eq!(
            (&*out[0].inputs[0].from, &*out[0].inputs[1].from),
            ("[1]", "[1]")
        );
        assert_eq!(numbers.sources[0].text, "measured: survey, x.toml:3");
    }
}

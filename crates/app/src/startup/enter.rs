//! What is typed for a step, as readings and answers, or what is wrong with
//! it.

use std::collections::BTreeMap;

use job::acceptance::gum;
use job::record::{Answer, Reading};
use job::startup::{Asks, Entry, Must, NotTaken, Often, Quantity, Step, StepState};
use quantity::{Dim, UnitSystem, Value};

/// What is typed for the entries of a step.
pub(crate) struct Form<'a> {
    /// Texts by entry.
    pub(crate) texts: &'a BTreeMap<String, String>,
    /// Entries whose unusual number is meant.
    pub(crate) meant: &'a [String],
    /// What each entry was read off, where that is said.
    pub(crate) instruments: &'a BTreeMap<String, String>,
    /// How far each may be off, where that is said.
    pub(crate) accuracies: &'a BTreeMap<String, String>,
    /// In which units a bare number is.
    pub(crate) units: UnitSystem,
    /// Readings that are entered again: where a number is the same, its reading
    /// stays as it was recorded.
    pub(crate) again: &'a [Reading],
}

/// What is wrong with an entry.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Fault {
    /// Which.
    pub(crate) entry: String,
    /// What, to be shown beside it.
    pub(crate) words: String,
    /// Whether it is taken if it is said to be meant.
    pub(crate) may_be_meant: bool,
}

/// Faults as the command line tells them, one a line.
pub(crate) fn each_by_option(faults: &[Fault]) -> String {
    let line = |f: &Fault| {
        let hint = if f.may_be_meant {
            format!(" If it is meant, add --meant {}", f.entry)
        } else {
            String::new()
        };
        let end = if f.words.ends_with('?') { "" } else { "." };
        format!("\n  {}: {}{end}{hint}", f.entry, f.words)
    };
    faults.iter().map(line).collect()
}

/// Readings and answers of what is typed. Of a step that goes on, nothing
/// needs to be there; to be done it needs all that must be.
///
/// # Errors
/// Everything that is wrong, entry by entry.
pub(crate) fn entered(
    step: &Step,
    form: &Form<'_>,
    whole: Whole<'_>,
) -> Result<(Vec<Reading>, Vec<Answer>), Vec<Fault>> {
    let (mut readings, mut answers, mut faults) = (Vec::new(), Vec::new(), Vec::new());
    for entry in &step.entries {
        let text = form.texts.get(&entry.id).map_or("", |t| t.trim());
        if text.is_empty() {
            if let Whole::Done { before } = whole
                && entry.must == Must::Be
                && missing(entry, before)
            {
                faults.push(fault(entry, lacking(entry, form.units)));
            }
            continue;
        }
        match &entry.asks {
            Asks::Quantity(quantity) => match number(entry, quantity, text, form) {
                Ok(reading) => readings.push(reading),
                Err(fault) => faults.push(fault),
            },
            Asks::YesNo(_) | Asks::Choice(_) => {
                let said = answer(text);
                if entry.takes(&said) {
                    answers.push(Answer {
                        entry: entry.id.clone(),
                        said,
                    });
                } else {
                    faults.push(fault(entry, lacking(entry, form.units)));
                }
            }
        }
    }
    let known = |id: &String| step.entry(id).is_some();
    for (id, text) in form.texts {
        if !known(id) && !text.trim().is_empty() {
            let all: Vec<&str> = step.entries.iter().map(|e| e.id.as_str()).collect();
            faults.push(Fault {
                entry: id.clone(),
                words: format!(
                    "\"{id}\" is not asked for at {}; it asks for: {}",
                    step.id,
                    all.join(", ")
                ),
                may_be_meant: false,
            });
        }
    }
    if faults.is_empty() {
        Ok((readings, answers))
    } else {
        Err(faults)
    }
}

/// Whether what is typed must be all.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Whole<'a> {
    /// The step goes on.
    Part,
    /// The step is done with it; these were read before.
    Done {
        /// Readings of the step so far.
        before: &'a [Reading],
    },
}

/// Readings of a step that need not be entered again to be done: all so far; of
/// one that was done before only series, since it is done anew.
pub(crate) fn read_before(step: &Step, state: &StepState) -> Vec<Reading> {
    let goes_on = |r: &Reading| {
        let once = |entry: &Entry| entry.often == Often::Once;
        state.event.is_none() || !step.entry(&r.entry).is_some_and(once)
    };
    let readings = state.readings.iter().map(|(_, r)| r);
    readings.filter(|r| goes_on(r)).cloned().collect()
}

/// Whether an entry lacks a reading. A series may be read before; whether it is
/// long enough is for the judgement to say.
fn missing(entry: &Entry, before: &[Reading]) -> bool {
    !before.iter().any(|r| r.entry == entry.id)
}

fn lacking(entry: &Entry, units: UnitSystem) -> String {
    let title = entry.title.show(units);
    match &entry.asks {
        Asks::Quantity(q) => format!(
            "{title}: enter {}, for instance \"{}\"",
            q.dim.noun(),
            example(q, units)
        ),
        Asks::YesNo(_) => format!("{title}: answer yes or no"),
        Asks::Choice(words) => format!("{title}: choose one of {}", words.join(", ")),
    }
}

fn example(quantity: &Quantity, units: UnitSystem) -> String {
    let [low, high] = quantity.plausible;
    Value::new(0.5 * (low + high), quantity.dim)
        .digits(2)
        .show(units)
}

fn answer(text: &str) -> String {
    match text.to_lowercase().as_str() {
        "y" | "yes" => "yes".into(),
        "n" | "no" => "no".into(),
        _ => text.to_owned(),
    }
}

fn number(
    entry: &Entry,
    quantity: &Quantity,
    text: &str,
    form: &Form<'_>,
) -> Result<Reading, Fault> {
    let told = |not: NotTaken| Fault {
        words: format!("{}: {}", entry.title.show(form.units), not.words),
        entry: entry.id.clone(),
        may_be_meant: not.may_be_meant,
    };
    let value = quantity.read(text, form.units).map_err(told)?;
    let instrument = said(form.instruments, &entry.id);
    let accuracy = said(form.accuracies, &entry.id);
    if let Some(recorded) = last_of(&entry.id, form.again)
        && is_same(value, recorded.value)
        && instrument.is_none()
        && accuracy.is_none()
    {
        // It was weighed when it was entered.
        return Ok(recorded.clone());
    }
    let is_meant = form.meant.contains(&entry.id);
    quantity.weigh(value, form.units, is_meant).map_err(told)?;
    Ok(Reading {
        entry: entry.id.clone(),
        value,
        typed: Some(text.to_owned()),
        instrument: Some(
            instrument
                .unwrap_or_else(|| quantity.instrument.name())
                .to_owned(),
        ),
        standard_uncertainty: Some(match accuracy {
            Some(text) => half_width(text, quantity, form.units)
                .map(gum::rectangular)
                .map_err(|words| {
                    fault(
                        entry,
                        format!("{}, accuracy: {words}", entry.title.show(form.units)),
                    )
                })?,
            None => quantity.instrument.standard_uncertainty(value.si),
        }),
    })
}

/// What is said of an entry, if anything is.
fn said<'a>(of: &'a BTreeMap<String, String>, entry: &str) -> Option<&'a str> {
    of.get(entry).map(|t| t.trim()).filter(|t| !t.is_empty())
}

/// How far an instrument may be off either way, in the SI unit of what is asked.
fn half_width(text: &str, asked: &Quantity, units: UnitSystem) -> Result<f64, String> {
    let text = text.trim_start_matches(['±', '+', '-', '/', ' ']);
    let accuracy = asked.accuracy();
    let value = accuracy.read(text, units).map_err(|not| not.words)?;
    let most = asked.plausible[1] - asked.plausible[0];
    if 0.0 < value.si && value.si < most {
        Ok(value.si)
    } else {
        Err(format!(
            "\"{text}\" is no accuracy; above 0 and below {}, for instance \"0.5\"",
            Value::new(most, accuracy.dim).digits(2).show(units)
        ))
    }
}

/// The last reading of an entry.
fn last_of<'a>(entry: &str, readings: &'a [Reading]) -> Option<&'a Reading> {
    readings.iter().rev().find(|r| r.entry == entry)
}

/// What is to be typed to enter a reading again: as it was typed, where that
/// means the same in these units, else the number with its unit and so many
/// digits that it does, else in the units of the other system.
pub(crate) fn typed_again(reading: &Reading, asked: &Quantity, units: UnitSystem) -> String {
    /// Digits that tell any two numbers apart.
    const ALL: u8 = 17;
    let value = reading.value;
    let other = match units {
        UnitSystem::Metric => UnitSystem::Us,
        UnitSystem::Us => UnitSystem::Metric,
    };
    let shown = [units, other].into_iter().flat_map(|system| {
        let digits = value.digits.min(ALL)..=ALL;
        digits.map(move |d| value.digits(d).show_on_site(asked.plausible[1], system))
    });
    let mut texts = reading.typed.clone().into_iter().chain(shown);
    texts
        .find(|text| {
            let read = asked.read(text, units);
            read.is_ok_and(|v| is_same(v, value))
        })
        .unwrap_or_else(|| value.show(units))
}

/// Whether two numbers are one, but for the rounding between units.
fn is_same(a: Value, b: Value) -> bool {
    const NEAR: f64 = 1e-12;
    let least = match a.dim {
        // 0 °C is no small temperature.
        Dim::Temperature => 1.0,
        _ => 0.0,
    };
    a.dim == b.dim && (a.si - b.si).abs() <= NEAR * b.si.abs().max(least)
}

fn fault(entry: &Entry, words: String) -> Fault {
    Fault {
        entry: entry.id.clone(),
        words,
        may_be_meant: false,
    }
}

/// What an entry asks for, with how often.
pub(crate) fn says(entry: &Entry, units: UnitSystem) -> String {
    let title = entry.title.show(units);
    let often = match entry.often {
        Often::Once => String::new(),
        Often::Series(least) => format!(", at least {least} times"),
    };
    let may = match entry.must {
        Must::Be => "",
        Must::May => " (if you can)",
    };
    let unit = match entry.quantity().map(|q| q.unit(units)) {
        Some(unit) if !unit.is_empty() => format!(", {unit}"),
        _ => String::new(),
    };
    format!("{title}{unit}{often}{may}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use job::startup::Instrument;
    use quantity::UnitSystem::{Metric, Us};

    fn recorded(typed: &str, dim: Dim, typed_in: Option<&str>) -> Reading {
        Reading {
            entry: "a".into(),
            value: quantity::read(typed, dim).unwrap(),
            typed: typed_in.map(str::to_owned),
            instrument: None,
            standard_uncertainty: None,
        }
    }

    /// An accuracy is read in the unit of a difference; without one the usual class
    /// holds, and both are kept with the instrument.
    #[test]
    fn a_better_instrument_is_kept_with_its_accuracy() {
        let entry = Entry {
            id: "t".into(),
            title: "air".into(),
            asks: Asks::Quantity(Quantity {
                dim: Dim::Temperature,
                allowed: [-40.0, 80.0],
                plausible: [5.0, 45.0],
                instrument: Instrument::Thermometer,
            }),
            must: Must::Be,
            often: Often::Once,
        };
        let typed = |instrument: &str, accuracy: &str| {
            let of = |text: &str| BTreeMap::from([("t".to_owned(), text.to_owned())]);
            let form = Form {
                texts: &of("71.3"),
                meant: &[],
                instruments: &of(instrument),
                accuracies: &of(accuracy),
                units: Us,
                again: &[],
            };
            number(&entry, entry.quantity().unwrap(), "71.3", &form)
        };
        let usual = typed("", "").unwrap();
        assert_eq!(usual.instrument.as_deref(), Some("thermometer"));
        let of_class = Instrument::Thermometer.standard_uncertainty(usual.value.si);
        assert_eq!(usual.standard_uncertainty, Some(of_class));
        let better = typed("platinum probe 7", "±0.18 °F").unwrap();
        assert_eq!(better.instrument.as_deref(), Some("platinum probe 7"));
        let u = better.standard_uncertainty.unwrap();
        assert!((u - 0.1 / 3.0_f64.sqrt()).abs() < 1e-9, "{u}");
        assert_eq!(typed("", "0.18").unwrap().standard_uncertainty, Some(u));
        for wrong in ["0", "-", "abc", "100 °F"] {
            let said = typed("", wrong).unwrap_err().words;
            assert!(said.contains("accuracy"), "{wrong}: {said}");
        }
    }

    #[test]
    fn what_is_offered_again_means_the_same_in_any_units() {
        for (typed, dim, most) in [
            ("4.5 in", Dim::Length, 0.3),
            ("115 mm", Dim::Length, 0.3),
            ("4 7/16 in", Dim::Length, 5.0),
            ("71.3 °F", Dim::Temperature, 45.0),
            ("32 °F", Dim::Temperature, 45.0),
            ("12.7 fl oz", Dim::Water, 1.5),
            ("350 mL", Dim::Water, 1.5),
            ("7 min", Dim::Duration, 600.0),
            ("52.5 %", Dim::RelHumidity, 0.95),
            ("208.7 V", Dim::Voltage, 250.0),
        ] {
            let asked = Quantity {
                dim,
                allowed: [-1e9, 1e9],
                plausible: [0.0, most],
                instrument: Instrument::Thermometer,
            };
            for as_typed in [Some(typed), Some("4.5"), None] {
                let reading = recorded(typed, dim, as_typed);
                for units in [Metric, Us] {
                    let text = typed_again(&reading, &asked, units);
                    let back = asked.read(&text, units).unwrap();
                    assert!(is_same(back, reading.value), "{typed}: {text}");
                }
            }
            let reading = recorded(typed, dim, Some(typed));
            assert_eq!(typed_again(&reading, &asked, Metric), typed);
        }
    }
}

//! The handful of inputs that decide, and the edits that they make to the text
//! of a room file.

use std::collections::BTreeMap;

use fields::edit::{Change, Written};
use quantity::Dim;

use super::super::survey::SurveyFile;
use super::Asked;
use crate::web::view::form::Filled;
use crate::web::view::layout::encoded;

/// What stands before the name of a trial's input in an address.
pub(super) const MARK: &str = "try.";

/// One input of the form.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Input {
    /// A field of the file.
    Field(&'static str, &'static str),
    /// The humidity of a target; its unit says in which form.
    Humidity(&'static str),
    /// Model of all units.
    Model,
    /// How many units.
    Number,
}

/// Forms in which a target holds humidity: key, and what it is.
const HUMIDITY: [(&str, Dim); 3] = [
    ("rh", Dim::RelHumidity),
    ("vpd", Dim::VapourPressure),
    ("dew_point", Dim::Temperature),
];

/// Most units that a trial may ask for, as many as a selection may consider.
const MOST_UNITS: usize = 60;

/// All inputs, with their labels.
pub(super) const INPUTS: [(Input, &str); 11] = [
    (
        Input::Field("target.lights_on", "dry_bulb"),
        "Dry bulb, lights on",
    ),
    (Input::Humidity("target.lights_on"), "Humidity, lights on"),
    (
        Input::Field("target.lights_off", "dry_bulb"),
        "Dry bulb, lights off",
    ),
    (Input::Humidity("target.lights_off"), "Humidity, lights off"),
    (Input::Field("crop", "water_fed"), "Water fed"),
    (Input::Field("crop", "canopy"), "Canopy"),
    (Input::Field("light", "photoperiod"), "Photoperiod"),
    (Input::Model, "Model of the units"),
    (Input::Number, "Number of units"),
    (
        Input::Field("cooling", "capacity"),
        "Cooling capacity of one",
    ),
    (
        Input::Field("cooling", "count"),
        "Number of cooling machines",
    ),
];

impl Input {
    /// Its name in a form and an address.
    pub(super) fn name(self) -> String {
        match self {
            Self::Field(section, key) => format!("{MARK}{section}.{key}"),
            Self::Humidity(section) => format!("{MARK}{section}.humidity"),
            Self::Model => format!("{MARK}unit.model"),
            Self::Number => format!("{MARK}unit.number"),
        }
    }

    /// What the file says of it, as a person would type it.
    fn stands(self, sections: &[Written]) -> String {
        let first = |section: &str, key: &str| {
            let mut all = sections.iter().filter(|w| w.section == section);
            all.next().and_then(|w| w.keys.get(key)).cloned()
        };
        match self {
            Self::Field(section, key) => first(section, key),
            Self::Humidity(section) => HUMIDITY.iter().find_map(|(key, _)| first(section, key)),
            Self::Model => {
                let mut models = units(sections).map(|w| w.keys.get("model"));
                let one = models.next().flatten();
                one.filter(|one| models.all(|m| m == Some(one))).cloned()
            }
            Self::Number => match units(sections).count() {
                0 => None,
                n => Some(n.to_string()),
            },
        }
        .unwrap_or_default()
    }

    /// Whether a problem of the file is about it.
    fn is_of(self, problem_key: &str) -> bool {
        match self {
            Self::Field(section, key) => problem_key == format!("{section}.{key}"),
            Self::Humidity(section) => HUMIDITY
                .iter()
                .any(|(key, _)| problem_key == format!("{section}.{key}")),
            Self::Model => problem_key == "unit.model",
            Self::Number => problem_key == "unit.tag",
        }
    }
}

fn units(sections: &[Written]) -> impl Iterator<Item = &Written> {
    sections.iter().filter(|w| w.section == "unit")
}

/// What is tried: texts by the names of their inputs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in super::super) struct Trial {
    typed: BTreeMap<String, String>,
}

/// Why a trial cannot be read.
#[derive(Debug, Default)]
pub(super) struct Wrong {
    /// By the name of an input.
    pub(super) by_input: BTreeMap<String, String>,
    /// What belongs to none.
    pub(super) others: Vec<String>,
}

impl Trial {
    /// What an address or a form asks to be tried.
    pub(in super::super) fn of(asked: &Asked) -> Self {
        let known = INPUTS.iter().filter_map(|(input, _)| {
            let name = input.name();
            let typed = asked.get(&name)?.trim().to_owned();
            Some((name, typed))
        });
        Self {
            typed: known.collect(),
        }
    }

    /// Whether nothing is tried.
    pub(in super::super) fn is_empty(&self) -> bool {
        self.typed.is_empty()
    }

    /// As the query of an address; empty for nothing.
    pub(in super::super) fn query(&self) -> String {
        let pairs: Vec<String> = self
            .typed
            .iter()
            .map(|(name, typed)| format!("{}={}", encoded(name), encoded(typed)))
            .collect();
        match pairs.is_empty() {
            true => String::new(),
            false => format!("?{}", pairs.join("&")),
        }
    }

    /// Names and texts, for hidden inputs of a form.
    pub(super) fn pairs(&self) -> impl Iterator<Item = (&String, &String)> {
        self.typed.iter()
    }

    /// What of it differs from the file.
    pub(super) fn differing(&self, sections: &[Written]) -> Self {
        let differs = |input: Input| {
            let name = input.name();
            let typed = self.typed.get(&name)?;
            (*typed != input.stands(sections)).then(|| (name, typed.clone()))
        };
        Self {
            typed: INPUTS.iter().filter_map(|(i, _)| differs(*i)).collect(),
        }
    }

    /// What the form shows: the file's texts with what is tried over them.
    pub(super) fn filled(&self, sections: &[Written]) -> Filled {
        let mut filled = Filled::default();
        for (input, _) in INPUTS {
            let name = input.name();
            let typed = self.typed.get(&name).cloned();
            let text = typed.unwrap_or_else(|| input.stands(sections));
            filled.texts.insert(name, text);
        }
        filled
    }

    /// What was changed: label, what the file says, what is tried.
    pub(super) fn said(&self, sections: &[Written]) -> Vec<(&'static str, String, String)> {
        INPUTS
            .iter()
            .filter_map(|(input, label)| {
                let typed = self.typed.get(&input.name())?;
                Some((*label, input.stands(sections), typed.clone()))
            })
            .collect()
    }

    /// The text of the room with what is tried.
    ///
    /// # Errors
    /// What cannot be read, in the command line's words, by input.
    pub(super) fn text(&self, file: &SurveyFile, sections: &[Written]) -> Result<String, Wrong> {
        let mut wrong = Wrong::default();
        let mut changes = Vec::new();
        for (input, _) in INPUTS {
            let Some(typed) = self.typed.get(&input.name()) else {
                continue;
            };
            match input {
                Input::Field(section, key) => changes.extend(change(sections, section, key, typed)),
                Input::Humidity(section) => match humidity(sections, section, typed) {
                    Ok(all) => changes.extend(all),
                    Err(words) => {
                        wrong.by_input.insert(input.name(), words);
                    }
                },
                Input::Model | Input::Number => {}
            }
        }
        match self.unit_changes(sections) {
            Ok(all) => changes.extend(all),
            Err((input, words)) => {
                wrong.by_input.insert(input.name(), words);
            }
        }
        if !wrong.by_input.is_empty() {
            return Err(wrong);
        }
        let text = file.changed(&changes).map_err(|words| Wrong {
            others: vec![words],
            ..Wrong::default()
        })?;
        for problem in file.new_problems(&text) {
            let of = INPUTS.iter().find(|(i, _)| i.is_of(&problem.key));
            match of {
                Some((input, _)) => {
                    wrong.by_input.insert(input.name(), problem.to_string());
                }
                None => wrong.others.push(problem.to_string()),
            }
        }
        match wrong.by_input.is_empty() && wrong.others.is_empty() {
            true => Ok(text),
            false => Err(wrong),
        }
    }

    /// Units taken out, added, or given another model. Those that stay keep
    /// their tags and places; with no number all are taken out, so that units
    /// are chosen anew.
    fn unit_changes(&self, sections: &[Written]) -> Result<Vec<Change>, (Input, String)> {
        let (model, number) = (
            self.typed.get(&Input::Model.name()),
            self.typed.get(&Input::Number.name()),
        );
        let there = units(sections).count();
        let remove = |from: usize| {
            (from..there).rev().map(|nth| Change::Remove {
                section: "unit".to_owned(),
                nth,
            })
        };
        let wanted = match number.map(String::as_str) {
            None => there,
            Some("") => return Ok(remove(0).collect()),
            Some(typed) => match typed.parse::<usize>() {
                Ok(n) if (1..=MOST_UNITS).contains(&n) => n,
                _ => {
                    let words = format!(
                        "\"{typed}\" is no number of units; allowed: 1 to {MOST_UNITS}, or nothing so that they are chosen"
                    );
                    return Err((Input::Number, words));
                }
            },
        };
        let model = model.filter(|m| !m.is_empty());
        if wanted == 0 && model.is_some() {
            return Err((Input::Number, "say how many units of this model".into()));
        }
        let first = units(sections).next().and_then(|w| w.keys.get("model"));
        let of_new = model.or(first);
        let set = |nth: usize, key: &str, typed: &str| Change::Set {
            section: "unit".to_owned(),
            nth,
            key: key.to_owned(),
            typed: typed.to_owned(),
        };
        let mut changes = Vec::new();
        if let Some(model) = model {
            changes.extend((0..there.min(wanted)).map(|nth| set(nth, "model", model)));
        }
        let taken: Vec<&String> = units(sections).filter_map(|w| w.keys.get("tag")).collect();
        let mut free = (1..)
            .map(|n| format!("D{n}"))
            .filter(|tag| !taken.contains(&tag));
        for nth in there..wanted {
            let Some(model) = of_new else {
                return Err((Input::Model, "choose the model of the units".into()));
            };
            let Some(tag) = free.next() else { break };
            changes.extend([set(nth, "tag", &tag), set(nth, "model", model)]);
        }
        changes.extend(remove(wanted));
        Ok(changes)
    }
}

/// The change of one key of the first section of its kind.
fn change(sections: &[Written], section: &str, key: &str, typed: &str) -> Option<Change> {
    let stands = sections
        .iter()
        .any(|w| w.section == section && w.nth == 0 && w.keys.contains_key(key));
    let (section, key) = (section.to_owned(), key.to_owned());
    match typed {
        "" => stands.then_some(Change::Unset {
            section,
            nth: 0,
            key,
        }),
        typed => Some(Change::Set {
            section,
            nth: 0,
            key,
            typed: typed.to_owned(),
        }),
    }
}

/// A humidity in the form that its unit says, in place of the one that stands.
fn humidity(sections: &[Written], section: &str, typed: &str) -> Result<Vec<Change>, String> {
    let reads = |dim: Dim| {
        typed
            .split("..")
            .last()
            .is_some_and(|high| quantity::read(high, dim).is_ok())
    };
    let said = HUMIDITY
        .iter()
        .find(|(_, dim)| reads(*dim))
        .map(|(k, _)| *k);
    if said.is_none() && !typed.is_empty() {
        return Err(format!(
            "\"{typed}\" is neither a relative humidity (%), a VPD (kPa) nor a dew point (°C or °F); write it with its unit, such as \"50..60 %\" or \"1.1..1.4 kPa\""
        ));
    }
    Ok(HUMIDITY
        .iter()
        .filter_map(|(key, _)| {
            let typed = if said == Some(*key) { typed } else { "" };
            change(sections, section, key, typed)
        })
        .collect())
}

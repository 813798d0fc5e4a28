//! Fields of a text file as inputs of a form, straight from the table of
//! fields.

use std::collections::BTreeMap;

use fields::{Field, Kind, Need, Section};
use maud::{Markup, html};
use quantity::UnitSystem;

/// What a form shows: texts and what is wrong with them, both by the name of
/// the input.
#[derive(Clone, Debug, Default)]
pub(crate) struct Filled {
    /// What stands in the inputs.
    pub(crate) texts: BTreeMap<String, String>,
    /// What is wrong with an input, in the words of the command line.
    pub(crate) errors: BTreeMap<String, String>,
    /// What is wrong and belongs to no input that is shown.
    pub(crate) others: Vec<String>,
}

impl Filled {
    /// Whether anything is wrong.
    pub(crate) fn is_wrong(&self) -> bool {
        !self.errors.is_empty() || !self.others.is_empty()
    }
}

/// The name of an input: section, which of its kind, key.
pub(crate) fn name_of(section: &str, nth: usize, key: &str) -> String {
    format!("{section}|{nth}|{key}")
}

/// The parts of such a name.
pub(crate) fn parts_of(name: &str) -> Option<(&str, usize, &str)> {
    let (section, rest) = name.split_once('|')?;
    let (nth, key) = rest.split_once('|')?;
    Some((section, nth.parse().ok()?, key))
}

/// A key as words for a label.
pub(crate) fn label_of(key: &str) -> String {
    // What the trade writes in capitals.
    if let "rh" | "vpd" | "ppfd" | "lai" | "co2" = key {
        return key.to_uppercase();
    }
    let words = key.replace('_', " ");
    let mut chars = words.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => words,
    }
}

/// The summary on top of a form that was not taken; each line leads to its
/// input.
pub(crate) fn summary(filled: &Filled) -> Markup {
    html! {
        @if filled.is_wrong() {
            div.problem #problems tabindex="-1" {
                div role="alert" {
                    h2 { "There is a problem" }
                    ul {
                        @for (name, words) in &filled.errors { li { a href={ "#" (name) } { (words) } } }
                        @for words in &filled.others { li { (words) } }
                    }
                }
            }
        }
    }
}

/// One field.
pub(crate) fn input(
    section: &Section,
    nth: usize,
    field: &Field,
    filled: &Filled,
    units: UnitSystem,
) -> Markup {
    let name = name_of(section.key, nth, field.key);
    let text = filled.texts.get(&name).map_or("", String::as_str);
    let error = filled.errors.get(&name);
    let described = match error {
        Some(_) => format!("{name}-help {name}-error"),
        None => format!("{name}-help"),
    };
    let invalid = error.map(|_| "true");
    html! {
        div.field {
            label for=(name) {
                (label_of(field.key))
                @if matches!(field.need, Need::Required) { " (asked for)" }
            }
            div id={ (name) "-help" } {
                p.help { (field.help) }
                @if let Need::Default { text, source } = &field.need {
                    p.assumed { "Left empty: assumed " b { (text) } ", " (source.cite) }
                }
            }
            @if let Some(words) = error { p.error id={ (name) "-error" } { (words) } }
            @match field.kind {
                Kind::Choice(words) => {
                    select id=(name) name=(name) aria-describedby=(described) aria-invalid=[invalid] {
                        option value="" selected[text.is_empty()] { "– left empty –" }
                        @if !text.is_empty() && !words.iter().any(|(w, _)| *w == text) {
                            option value=(text) selected { (text) }
                        }
                        @for (word, help) in words {
                            option value=(word) selected[*word == text] { (word) ": " (help) }
                        }
                    }
                }
                Kind::Map(_) => {
                    textarea id=(name) name=(name) rows="5" spellcheck="false"
                        aria-describedby=(described) aria-invalid=[invalid] { (text) }
                }
                kind => {
                    input id=(name) name=(name) type="text" value=(text) autocomplete="off"
                        spellcheck="false" inputmode=[mode(kind)]
                        aria-describedby=(described) aria-invalid=[invalid];
                    @if let Some(echo) = echo(kind, text, units) { p.help { (echo) } }
                }
            }
        }
    }
}

/// The keypad that fits; none where a sign or a unit may be typed.
const fn mode(kind: Kind) -> Option<&'static str> {
    match kind {
        Kind::Count { .. } => Some("numeric"),
        _ => None,
    }
}

/// How a quantity was read, in both systems.
fn echo(kind: Kind, text: &str, units: UnitSystem) -> Option<String> {
    let (Kind::Quantity { dim, .. } | Kind::Band { dim, .. }) = kind else {
        return None;
    };
    if text.is_empty() || text.contains("..") {
        return None;
    }
    let value = quantity::read(text, dim).ok()?;
    Some(format!("read as {}", value.show_both(units)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_inputs_come_apart_again() {
        let name = name_of("target.lights_on", 3, "dry_bulb");
        assert_eq!(parts_of(&name), Some(("target.lights_on", 3, "dry_bulb")));
        for bad in ["", "a", "a|b|c", "a|-1|c", "a|1"] {
            assert_eq!(parts_of(bad), None, "{bad}");
        }
        assert_eq!(label_of("water_fed"), "Water fed");
    }
}

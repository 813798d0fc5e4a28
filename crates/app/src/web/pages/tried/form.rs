//! The form on a sheet in which a change is tried.

use fields::Need;
use maud::{Markup, html};

use super::Trying;
use super::edits::{INPUTS, Input};
use crate::web::view::form::summary;

/// The form; `at` is the address of the sheet. Open where something is tried.
pub(in super::super) fn form(trying: &Trying, at: &str) -> Markup {
    let models: Vec<&String> = trying.saved.project.catalog.dehumidifiers.keys().collect();
    let open = !trying.trial.is_empty() || trying.filled.is_wrong();
    html! {
        details.try open[open] {
            summary { "Try a change; nothing is saved" }
            (summary(&trying.filled))
            form method="get" action=(at) novalidate data-try {
                div.inputs {
                    @for (input, label) in INPUTS { (field(trying, input, label, &models)) }
                }
                div.acts {
                    button { "Show what it does" }
                }
            }
        }
    }
}

fn field(trying: &Trying, input: Input, label: &str, models: &[&String]) -> Markup {
    let name = input.name();
    let text = trying.filled.texts.get(&name).map_or("", String::as_str);
    let error = trying.filled.errors.get(&name);
    let help = help(trying, input);
    let described = match error {
        Some(_) => format!("{name}-help {name}-error"),
        None => format!("{name}-help"),
    };
    let invalid = error.map(|_| "true");
    html! {
        div.field {
            label for=(name) { (label) }
            p.help id={ (name) "-help" } { (help) }
            @if let Some(words) = error { p.error id={ (name) "-error" } { (words) } }
            @if input == Input::Model {
                select id=(name) name=(name) aria-describedby=(described) aria-invalid=[invalid] {
                    option value="" selected[text.is_empty()] { "– as they are –" }
                    @if !text.is_empty() && !models.iter().any(|m| *m == text) {
                        option value=(text) selected { (text) }
                    }
                    @for model in models { option value=(model) selected[*model == text] { (model) } }
                }
            } @else {
                input id=(name) name=(name) type="text" value=(text) autocomplete="off"
                    spellcheck="false" inputmode=[is_count(input).then_some("numeric")]
                    aria-describedby=(described) aria-invalid=[invalid];
            }
        }
    }
}

fn is_count(input: Input) -> bool {
    matches!(input, Input::Number | Input::Field(_, "count"))
}

/// What to write, and what is taken where nothing is written: from the table
/// of fields where it is one of its fields.
fn help(trying: &Trying, input: Input) -> String {
    match input {
        Input::Field(section, key) => {
            let section = trying.file.format.section(section);
            let field = section.and_then(|s| s.fields.iter().find(|f| f.key == key));
            match field.map(|f| (f.help, &f.need)) {
                Some((help, Need::Default { text, .. })) => format!("{help} Left empty: {text}."),
                Some((help, _)) => help.to_owned(),
                None => String::new(),
            }
        }
        Input::Humidity(_) => {
            "RH, VPD of the air or dew point, as its unit says: 50..60 % or 1.1..1.4 kPa.".into()
        }
        Input::Model => "Given to all units in the room.".into(),
        Input::Number => "Left empty: chosen by the selection.".into(),
    }
}

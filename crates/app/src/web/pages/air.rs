//! A small calculator of air states: two properties in, all of them out, and
//! the point on the psychrometric chart.

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::Query;
use axum::routing::get;
use axum::{Extension, Router};
use maud::{Markup, html};
use quantity::UnitSystem;
use sheet::charts::{Process, PsychrometricChart, psychrometric};
use sheet::report::{Cell, Column, Table};
use sheet::{Block, Drawing};

use crate::cli::AirArgs;
use crate::commands::air::{AirProblem, rows, state};
use crate::web::app::App;
use crate::web::server::Visitor;
use crate::web::view::blocks::{blocks, figure};
use crate::web::view::layout::{Page, Place, page};

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/air", get(show))
}

/// Fields of the form: name, label, an example in metric and in US units.
const FIELDS: [(&str, &str, &str, &str); 10] = [
    ("dry_bulb", "Dry bulb", "24 °C", "75 °F"),
    ("rh", "Relative humidity", "60 %", "60 %"),
    ("dew_point", "Dew point", "15 °C", "59 °F"),
    ("wet_bulb", "Wet bulb", "18 °C", "64 °F"),
    ("humidity_ratio", "Humidity ratio", "11 g/kg", "77 gr/lb"),
    ("vpd", "VPD (air)", "1.1 kPa", "1.1 kPa"),
    ("enthalpy", "Enthalpy", "50 kJ/kg", "30 Btu/lb"),
    (
        "leaf",
        "Leaf temperature, for the leaf VPD",
        "23 °C",
        "73 °F",
    ),
    ("altitude", "Altitude", "1600 m", "5280 ft"),
    (
        "pressure",
        "Barometric pressure, instead of altitude",
        "83.5 kPa",
        "24.7 inHg",
    ),
];

async fn show(
    Extension(visitor): Extension<Visitor>,
    Query(asked): Query<BTreeMap<String, String>>,
) -> Markup {
    let units = visitor.session.units_or(UnitSystem::Metric);
    let asked: BTreeMap<String, String> = asked
        .into_iter()
        .map(|(k, v)| (k, v.trim().to_owned()))
        .filter(|(_, v)| !v.is_empty())
        .collect();
    let found = (!asked.is_empty()).then(|| state(&AirArgs::from_names(&asked), units));
    let problem = found.as_ref().and_then(|f| f.as_ref().err());
    let body = html! {
        h1 { "Air state" }
        p { "Any two properties of air give all the others." }
        @if let Some(problem) = problem { (summary(problem)) }
        form.air method="get" action="/air" {
            div.fields { @for field in FIELDS { (input(field, &asked, problem, units)) } }
            button.main { "Show the air state" }
        }
        @if let Some(Ok((air, leaf_c))) = &found {
            (blocks(vec![Block::Table(table(rows(air, *leaf_c)))], units))
            (figure(&chart(air, units), "The state, and what cooling it to its dew point does.", units))
            details {
                summary { "How these numbers came about" }
                (blocks(vec![Block::Workings(air::state_workings(air))], units))
            }
        }
    };
    let title = if problem.is_some() {
        "Error: Air state"
    } else {
        "Air state"
    };
    page(
        &Page {
            title: title.into(),
            place: Place::Folder,
            session: &visitor.session,
            scripts: &[],
        },
        &body,
    )
}

/// What is wrong, in words for someone with a form before them.
fn words(problem: &AirProblem) -> String {
    let label = problem
        .field
        .and_then(|f| FIELDS.iter().find(|(name, ..)| *name == f))
        .map(|(_, label, ..)| *label);
    match label {
        Some(label) => format!("{label}: {}", problem.words),
        None if problem.words.contains("exactly two") => {
            "Fill in exactly two of the first seven fields.".into()
        }
        None => problem.words.clone(),
    }
}

fn summary(problem: &AirProblem) -> Markup {
    let at = problem.field.unwrap_or("dry_bulb");
    html! {
        div.problem tabindex="-1" {
            div role="alert" {
                h2 { "There is a problem" }
                p { a href={ "#" (at) } { (words(problem)) } }
            }
        }
    }
}

fn input(
    (name, label, metric, us): (&str, &str, &str, &str),
    asked: &BTreeMap<String, String>,
    problem: Option<&AirProblem>,
    units: UnitSystem,
) -> Markup {
    let wrong = problem.filter(|p| p.field == Some(name));
    let example = match units {
        UnitSystem::Metric => metric,
        UnitSystem::Us => us,
    };
    html! {
        div.field {
            label for=(name) { (label) }
            p.help id={ (name) "-help" } { "such as " (example) }
            @if let Some(problem) = wrong { p.error id={ (name) "-error" } { (problem.words) } }
            input id=(name) name=(name) type="text" autocomplete="off" spellcheck="false"
                value=[asked.get(name)]
                aria-describedby={ (name) "-help" @if wrong.is_some() { " " (name) "-error" } }
                aria-invalid=[wrong.map(|_| "true")];
        }
    }
}

fn table(rows: Vec<(&'static str, quantity::Value)>) -> Table {
    Table {
        caption: "Air state".into(),
        columns: vec![Column::words("Property"), Column::mixed("Value")],
        rows: rows
            .into_iter()
            .map(|(name, value)| vec![Cell::from(name), value.into()])
            .collect(),
        total: None,
    }
}

fn chart(air: &air::MoistAir, units: UnitSystem) -> Drawing {
    let ratio = air.humidity_ratio();
    let states = vec![(air.dry_bulb_c(), ratio), (air.dew_point_c(), ratio)];
    psychrometric(
        &PsychrometricChart {
            title: "The air state on the chart".into(),
            pressure_pa: air.pressure_pa(),
            altitude_m: None,
            targets: Vec::new(),
            path: Vec::new(),
            processes: vec![Process {
                name: "dew point".into(),
                states,
            }],
        },
        units,
    )
}

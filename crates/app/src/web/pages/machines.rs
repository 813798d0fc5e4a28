//! Machines at hand: those built in and those of a job; one of them with its
//! map; a real one entered from nameplate and datasheet.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

use axum::extract::{Path, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Form, Router};
use equipment::{Catalog, Model};
use maud::{Markup, html};
use quantity::UnitSystem;
use serde::Deserialize;
use sheet::sheets;

use crate::cli::CatalogNewArgs;
use crate::commands::catalog::new::{plain, record};
use crate::commands::catalog::{DAY, NIGHT, SEA_LEVEL_PA, air_words};
use crate::files;
use crate::project::machine_files;
use crate::web::app::App;
use crate::web::gate::Session;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::view::blocks::blocks;
use crate::web::view::layout::{Page, Place, encoded, job_href, page};
use crate::web::work::busy;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/machines", get(all))
        .route("/machines/{code}", get(by_code))
        .route("/jobs/{job}/machines", get(all))
        .route("/jobs/{job}/machines/enter", get(blank).post(enter))
        .route("/jobs/{job}/machines/{code}", get(by_code))
}

/// Fields of the form for a real machine: name, label, what to write, whether
/// it is asked for.
const FIELDS: [(&str, &str, &str, Asked); 20] = [
    (
        "code",
        "Code",
        "names the file, such as unit-70",
        Asked::Always,
    ),
    (
        "document",
        "Document",
        "title of the sheet that the figures come from",
        Asked::Always,
    ),
    ("page", "Page or table", "such as p. 2", Asked::Always),
    ("read", "Read on", "such as 2026-11-25", Asked::Always),
    (
        "point",
        "Datasheet points",
        "one a line, the rated one first: dry bulb, RH, removal, power; such as 80 °F, 60 %, 150 pint/day, 1.05 kW",
        Asked::Always,
    ),
    ("airflow", "Air flow", "such as 415 cfm", Asked::Always),
    (
        "volts",
        "Supply on the plate",
        "such as 240 V",
        Asked::Always,
    ),
    (
        "low_volts",
        "Lower voltage of a plate with two",
        "such as 208 V",
        Asked::IfKnown,
    ),
    ("phases", "Phases", "1 or 3", Asked::IfKnown),
    ("frequency", "Frequency", "such as 60 Hz", Asked::IfKnown),
    (
        "amps",
        "Rated current on the plate",
        "such as 9.5 A",
        Asked::Always,
    ),
    (
        "min_circuit",
        "Minimum circuit ampacity",
        "such as 12 A",
        Asked::IfKnown,
    ),
    (
        "max_protection",
        "Largest overcurrent protection",
        "such as 20 A",
        Asked::IfKnown,
    ),
    (
        "refrigerant",
        "Refrigerant",
        "its designation, such as R-32",
        Asked::IfKnown,
    ),
    (
        "charge",
        "Refrigerant charge",
        "such as 1.2 lb",
        Asked::IfKnown,
    ),
    ("mass", "Mass", "such as 110 lb", Asked::Always),
    (
        "size",
        "Length, width, height",
        "such as 36 in, 20 in, 18 in",
        Asked::Always,
    ),
    (
        "min_inlet",
        "Lowest inlet air at which it runs",
        "such as 41 °F",
        Asked::IfKnown,
    ),
    (
        "max_inlet",
        "Highest inlet air at which it runs",
        "such as 100 °F",
        Asked::IfKnown,
    ),
    (
        "price",
        "Price",
        "in the currency of the site",
        Asked::IfKnown,
    ),
];

/// Whether a field must be filled in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Asked {
    Always,
    IfKnown,
}

/// Whose machines: a job's, or those that are built in.
#[derive(Deserialize)]
struct Whose {
    #[serde(default)]
    job: Option<String>,
}

/// One machine by its code.
#[derive(Deserialize)]
struct Which {
    #[serde(default)]
    job: Option<String>,
    code: String,
}

/// Machines built in, and of a job's own folder where one is named.
async fn catalog(app: &App, job: Option<&str>) -> Result<Catalog, Refused> {
    let folder = match job {
        Some(job) => app.jobs.job(job)?.path().to_path_buf(),
        // A folder that cannot exist leaves those that are built in.
        None => PathBuf::new(),
    };
    busy(move || {
        Ok(Catalog::read(
            &machine_files(&folder).map_err(Refused::Disk)?,
        )?)
    })
    .await
}

async fn all(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(of): Path<Whose>,
) -> Result<Markup, Refused> {
    let job = of.job.as_deref();
    let catalog = catalog(&app, job).await?;
    Ok(list(&visitor.session, job, &catalog))
}

async fn by_code(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(of): Path<Which>,
) -> Result<Markup, Refused> {
    let job = of.job.as_deref();
    let catalog = catalog(&app, job).await?;
    one(&visitor.session, job, &catalog, &of.code)
}

/// The address of the machines of a job, or of those built in.
fn at(job: Option<&str>) -> String {
    job.map_or_else(
        || "/machines".to_owned(),
        |job| format!("{}/machines", job_href(job)),
    )
}

fn place(job: Option<&str>) -> Place<'_> {
    job.map_or(Place::Folder, |job| Place::Job { job })
}

fn list(session: &Session, job: Option<&str>, catalog: &Catalog) -> Markup {
    let units = session.units_or(UnitSystem::Metric);
    let at = at(job);
    let body = html! {
        h1 { "Machines" }
        p {
            "Machines that are built in are invented. Real ones are entered from nameplate and datasheet"
            @if let Some(job) = job {
                ": " a.button href={ (job_href(job)) "/machines/enter" } { "Enter a real machine" }
            } @else { ", in a job." }
        }
        h2 { "Dehumidifiers" }
        div.wide tabindex="0" role="region" aria-label="Dehumidifiers" {
            table {
                thead {
                    tr {
                        th scope="col" { "Code" }
                        th.number scope="col" { "Rated" }
                        th scope="col" { "Rated at" }
                        th.number scope="col" { "At " (air_words(DAY.0, DAY.1, units)) }
                        th.number scope="col" { "At " (air_words(NIGHT.0, NIGHT.1, units)) }
                        th scope="col" { "What it is" }
                    }
                }
                tbody { @for model in catalog.dehumidifiers.values() { (row(&at, model, units)) } }
            }
        }
        p.remark { "Unlike ratings do not compare; capacities at crop-room air do. At sea level, filter clean." }
        h2 { "Cooling machines and controllers" }
        ul {
            @for c in catalog.coolers.values() { li { b { (c.code) } ", " (c.description) } }
            @for c in catalog.controllers.values() { li { b { (c.code) } ", " (c.description) } }
        }
    };
    page(
        &Page {
            title: "Machines".into(),
            place: place(job),
            session,
            scripts: &[],
        },
        &body,
    )
}

fn row(at: &str, model: &Model, units: UnitSystem) -> Markup {
    use quantity::{Dim, Value};
    let water = |kg_per_s: f64| Value::new(kg_per_s, Dim::WaterRate).show(units);
    let at_air = |(t, rh): (f64, f64)| {
        air::MoistAir::from_rel_humidity(t, rh, SEA_LEVEL_PA).map_or_else(
            |_| "?".to_owned(),
            |inlet| {
                water(
                    model
                        .at(inlet, equipment::FilterState::Clean)
                        .removal_kg_per_s,
                )
            },
        )
    };
    let rating = model.rating();
    html! {
        tr {
            td { a href={ (at) "/" (encoded(&model.code)) } { (model.code) } }
            td.number { (water(rating.removal_kg_per_s)) }
            td { (air_words(rating.dry_bulb_c, rating.rel_humidity, units)) }
            td.number { (at_air(DAY)) }
            td.number { (at_air(NIGHT)) }
            td { (model.description) }
        }
    }
}

fn one(
    session: &Session,
    job: Option<&str>,
    catalog: &Catalog,
    code: &str,
) -> Result<Markup, Refused> {
    let model = catalog
        .dehumidifiers
        .get(code)
        .ok_or_else(|| Refused::NotFound(format!("A dehumidifier \"{code}\"")))?;
    let units = session.units_or(UnitSystem::Metric);
    let body = html! {
        h1 { (model.code) }
        p { (model.description) }
        (blocks(sheets::machine::blocks(model, units), units))
        p { a href=(at(job)) { "All machines" } }
    };
    Ok(page(
        &Page {
            title: model.code.clone(),
            place: place(job),
            session,
            scripts: &[],
        },
        &body,
    ))
}

/// The form with what was typed, and what is wrong with it: label of a field,
/// or none, and words.
fn form(
    session: &Session,
    job: &str,
    typed: &BTreeMap<String, String>,
    problems: &[(Option<&str>, String)],
) -> Markup {
    let wrong = |name: &str| problems.iter().find(|(f, _)| *f == Some(name));
    let body = html! {
        h1 { "Enter a real machine" }
        p { "From its nameplate and datasheet. The more points the sheet gives, the better the map; what it does not tell is assumed and marked in the file." }
        @if !problems.is_empty() {
            div.problem tabindex="-1" {
                div role="alert" {
                    h2 { "There is a problem" }
                    ul { @for (field, words) in problems {
                        li { a href={ "#" (field.unwrap_or("code")) } { (words) } }
                    } }
                }
            }
        }
        form method="post" action={ (job_href(job)) "/machines/enter" } novalidate {
            @for (name, label, help, asked) in FIELDS {
                @let error = wrong(name);
                div.field {
                    label for=(name) { (label) @if asked == Asked::IfKnown { " (if known)" } }
                    p.help id={ (name) "-help" } { (help) }
                    @if let Some((_, words)) = error { p.error id={ (name) "-error" } { (words) } }
                    @let described = if error.is_some() { format!("{name}-help {name}-error") } else { format!("{name}-help") };
                    @if name == "point" {
                        textarea id=(name) name=(name) rows="6" spellcheck="false"
                            aria-describedby=(described) aria-invalid=[error.map(|_| "true")] {
                            (typed.get(name).map_or("", String::as_str))
                        }
                    } @else {
                        input id=(name) name=(name) type="text" autocomplete="off" spellcheck="false"
                            value=[typed.get(name)]
                            aria-describedby=(described) aria-invalid=[error.map(|_| "true")];
                    }
                }
            }
            button.main { "Fit its map and keep it" }
        }
    };
    page(
        &Page {
            title: if problems.is_empty() {
                "Enter a real machine".into()
            } else {
                "Error: Enter a real machine".into()
            },
            place: Place::Job { job },
            session,
            scripts: &[],
        },
        &body,
    )
}

async fn blank(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
) -> Result<Markup, Refused> {
    app.jobs.job(&job)?;
    let typed = BTreeMap::from([("phases".to_owned(), "1".to_owned())]);
    Ok(form(&visitor.session, &job, &typed, &[]))
}

async fn enter(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path(job): Path<String>,
    Form(typed): Form<BTreeMap<String, String>>,
) -> Result<Response, Refused> {
    let folder = app.jobs.job(&job)?;
    let refused = |problems: &[(Option<&str>, String)]| {
        (
            StatusCode::UNPROCESSABLE_ENTITY,
            form(&visitor.session, &job, &typed, problems),
        )
            .into_response()
    };
    let missing: Vec<(Option<&str>, String)> = FIELDS
        .iter()
        .filter(|(name, _, _, asked)| {
            *asked == Asked::Always && typed.get(*name).is_none_or(|t| t.trim().is_empty())
        })
        .map(|(name, label, help, _)| (Some(*name), format!("{label} is asked: {help}")))
        .collect();
    if !missing.is_empty() {
        return Ok(refused(&missing));
    }
    let args = match args(&typed) {
        Ok(args) => args,
        Err(problem) => return Ok(refused(&[problem])),
    };
    if let Err(error) = plain(&args.code) {
        return Ok(refused(&[(Some("code"), by_label(&error.to_string()))]));
    }
    let path = folder
        .path()
        .join("catalog")
        .join(format!("{}.toml", args.code));
    if path.symlink_metadata().is_ok() {
        return Ok(refused(&[(
            Some("code"),
            format!(
                "A machine of code \"{}\" is there already; choose another code.",
                args.code
            ),
        )]));
    }
    let code = args.code.clone();
    let made = busy(move || Ok(record(&args).map_err(|e| format!("{e:#}")))).await?;
    let made = match made {
        Ok(made) => made,
        Err(words) => {
            let problems: Vec<(Option<&str>, String)> = words
                .lines()
                .filter(|l| !l.starts_with("nothing was written"))
                .map(|line| (field_of(line), by_label(line)))
                .collect();
            return Ok(refused(&problems));
        }
    };
    busy(move || files::write_whole(&path, made.text.as_bytes()).map_err(Refused::Disk)).await?;
    Ok(Redirect::to(&format!("{}/{}", at(Some(&job)), encoded(&code))).into_response())
}

/// The field that a line of the command's words begins with.
fn field_of(line: &str) -> Option<&'static str> {
    let flag = line.strip_prefix("--")?;
    FIELDS
        .iter()
        .map(|(name, ..)| *name)
        .filter(|name| flag.starts_with(&name.replace('_', "-")))
        .max_by_key(|name| name.len())
}

/// The command's words with the label in place of the flag.
fn by_label(line: &str) -> String {
    let Some(name) = field_of(line) else {
        return line.to_owned();
    };
    let label = FIELDS
        .iter()
        .find(|(n, ..)| *n == name)
        .map_or(name, |(_, label, ..)| *label);
    format!("{label}{}", &line[2 + name.len()..])
}

fn args(
    typed: &BTreeMap<String, String>,
) -> Result<CatalogNewArgs, (Option<&'static str>, String)> {
    let known = |name: &str| {
        typed
            .get(name)
            .map(|t| t.trim().to_owned())
            .filter(|t| !t.is_empty())
    };
    let asked = |name: &str| known(name).unwrap_or_default();
    let phases = match known("phases").as_deref() {
        None | Some("1") => 1,
        Some("3") => 3,
        Some(other) => {
            return Err((
                Some("phases"),
                format!("Phases: \"{other}\" cannot be; allowed: 1 or 3"),
            ));
        }
    };
    Ok(CatalogNewArgs {
        code: asked("code"),
        document: asked("document"),
        page: asked("page"),
        read: asked("read"),
        points: asked("point")
            .lines()
            .map(|l| l.trim().to_owned())
            .filter(|l| !l.is_empty())
            .collect(),
        airflow: asked("airflow"),
        volts: asked("volts"),
        low_volts: known("low_volts"),
        phases,
        frequency: known("frequency"),
        amps: asked("amps"),
        min_circuit: known("min_circuit"),
        max_protection: known("max_protection"),
        refrigerant: known("refrigerant"),
        charge: known("charge"),
        mass: asked("mass"),
        size: asked("size"),
        min_inlet: known("min_inlet"),
        max_inlet: known("max_inlet"),
        price: known("price"),
        ..CatalogNewArgs::default()
    })
}

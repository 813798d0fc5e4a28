//! The sheet that every page is: index of sheets, content, title block.

use axum::http::StatusCode;
use maud::{DOCTYPE, Markup, Render, html};
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};
use sheet::shown::DEFER;

use super::super::assets;
use super::super::form_token;
use super::super::gate::{Kind, Session, Theme, Units};

/// One page.
pub(crate) struct Page<'a> {
    /// What it is, first words of the window's title.
    pub(crate) title: String,
    /// Where it belongs.
    pub(crate) place: Place<'a>,
    /// Who looks.
    pub(crate) session: &'a Session,
    /// Scripts beside the one that every page has.
    pub(crate) scripts: &'a [&'a str],
}

/// Where a page belongs.
#[derive(Clone, Copy)]
pub(crate) enum Place<'a> {
    /// The folder of jobs, and what belongs to no job.
    Folder,
    /// A job.
    Job {
        /// Its name.
        job: &'a str,
    },
    /// A sheet of a room.
    Room {
        /// Name of the job.
        job: &'a str,
        /// Name of the room.
        room: &'a str,
        /// Which sheet, by its word in the address.
        sheet: &'a str,
        /// First digits of the design id, revision and date; empty before
        /// there is a design.
        stamp: &'a str,
    },
}

/// Sheets of a room in the order of the job: word in the address, name.
pub(crate) const SHEETS: &[(&str, &str)] = &[
    ("survey", "Survey"),
    ("load", "Load"),
    ("units", "Units"),
    ("day", "Day"),
    ("plan", "Plan"),
    ("hanging", "Hanging"),
    ("drain", "Drain"),
    ("power", "Power"),
    ("control", "Control"),
    ("findings", "Findings"),
    ("compare", "Side by side"),
    ("dossier", "Dossier"),
    ("startup", "Start-up"),
    ("proof", "Proof from logs"),
    ("fault", "Find a fault"),
];

/// The whole page.
pub(crate) fn page(page: &Page<'_>, body: &impl Render) -> Markup {
    watching(page, None, body)
}

/// The whole page, asked for anew after so many seconds where there is no
/// script that looks.
pub(crate) fn watching(page: &Page<'_>, every_s: Option<u32>, body: &impl Render) -> Markup {
    let session = page.session;
    let drawn = html! {
        (DOCTYPE)
        html lang="en" data-theme=(session.theme.word()) {
            (head(&page.title, session, page.scripts, every_s))
            body {
                a.skip href="#content" { "To the content" }
                header.top {
                    nav.trail aria-label="Where you are" { (trail(page.place)) }
                    (choices(session))
                }
                div.desk {
                    @if let Place::Room { job, room, sheet, .. } = page.place {
                        (index(job, room, sheet))
                    }
                    main #content tabindex="-1" {
                        div #status role="status" aria-live="polite" {}
                        (body)
                        (title_block(page))
                    }
                }
            }
        }
    };
    form_token::in_forms(drawn, &session.form_token)
}

/// A page for someone who is not let in, or for what went wrong.
pub(crate) fn bare(title: &str, body: &Markup) -> Markup {
    without_session(title, &[], None, body)
}

/// A page for someone who waits to be let in; asked for anew after so many
/// seconds where there is no script that looks.
pub(crate) fn waiting(title: &str, scripts: &[&str], every_s: u32, body: &Markup) -> Markup {
    without_session(title, scripts, Some(every_s), body)
}

fn without_session(title: &str, scripts: &[&str], every_s: Option<u32>, body: &Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" data-theme=(Theme::Light.word()) {
            (bare_head(title, Theme::Light, scripts, every_s, None))
            body { div.desk { main #content { (body) } } }
        }
    }
}

/// Heading of a page that says why something was not done.
pub(crate) fn refusal_heading(status: StatusCode) -> &'static str {
    match status {
        StatusCode::NOT_FOUND => "Not here",
        StatusCode::PAYLOAD_TOO_LARGE => "Too large",
        StatusCode::REQUEST_TIMEOUT => "Too slow",
        StatusCode::CONFLICT => "Changed meanwhile",
        StatusCode::UNPROCESSABLE_ENTITY => "There is a problem",
        StatusCode::INSUFFICIENT_STORAGE => "Not saved",
        StatusCode::INTERNAL_SERVER_ERROR => "Something broke",
        _ => "Not done",
    }
}

/// The address of a sheet of a room.
pub(crate) fn sheet_href(job: &str, room: &str, sheet: &str) -> String {
    format!("/jobs/{}/rooms/{}/{sheet}", encoded(job), encoded(room))
}

/// The address of a job.
pub(crate) fn job_href(job: &str) -> String {
    format!("/jobs/{}", encoded(job))
}

/// What stands in an address as it is; the rest is written in percent codes.
const PLAIN: &AsciiSet = &NON_ALPHANUMERIC.remove(b'-').remove(b'_').remove(b'.');

/// A name as a part of an address.
pub(crate) fn encoded(name: &str) -> String {
    utf8_percent_encode(name, PLAIN).to_string()
}

fn head(title: &str, session: &Session, scripts: &[&str], every_s: Option<u32>) -> Markup {
    bare_head(
        title,
        session.theme,
        scripts,
        every_s,
        Some(&session.form_token),
    )
}

fn bare_head(
    title: &str,
    theme: Theme,
    scripts: &[&str],
    every_s: Option<u32>,
    form_token: Option<&str>,
) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="theme-color" content=(theme.ground());
            @if let Some(token) = form_token { meta name=(form_token::FIELD) content=(token); }
            title { (title) " · Drywright" }
            link rel="icon" href=(assets::href("icon.svg")) type="image/svg+xml";
            link rel="apple-touch-icon" href=(assets::href("icon-180.png"));
            link rel="manifest" href=(assets::MANIFEST);
            @if let Some(seconds) = every_s {
                noscript { meta http-equiv="refresh" content=(seconds); }
            }
            link rel="stylesheet" href=(assets::href("style.css"));
            script type="module" src=(assets::href("page.js")) {}
            @for script in scripts {
                script type="module" src=(assets::href(script)) {}
            }
        }
    }
}

fn trail(place: Place<'_>) -> Markup {
    html! {
        ol {
            li { a href="/" { "Jobs" } }
            @match place {
                Place::Folder => {}
                Place::Job { job } => { li { a href=(job_href(job)) { (job) } } }
                Place::Room { job, room, .. } => {
                    li { a href=(job_href(job)) { (job) } }
                    li { a href=(sheet_href(job, room, "survey")) { (room) } }
                }
            }
        }
    }
}

/// The register of sheets; folded away on a phone.
fn index(job: &str, room: &str, at: &str) -> Markup {
    let number = |i: usize| format!("{:02}", i + 1);
    let here = SHEETS.iter().find(|(word, _)| *word == at);
    html! {
        nav.register aria-label="Sheets of this room" {
            details {
                summary { "Sheet: " (here.map_or("", |(_, name)| name)) }
                ol {
                    @for (i, (word, name)) in SHEETS.iter().enumerate() {
                        li {
                            a href=(sheet_href(job, room, word))
                                aria-current=[(*word == at).then_some("page")] {
                                span.number aria-hidden="true" { (number(i)) } (name)
                            }
                        }
                    }
                }
            }
        }
    }
}

/// Units and looks, for the whole session; plain forms.
fn choices(session: &Session) -> Markup {
    let units = [
        (Units::Metric, "metric", "m °C"),
        (Units::Us, "us", "ft °F"),
    ];
    let themes = [
        (Theme::Light, "Light"),
        (Theme::Dark, "Dark"),
        (Theme::LightsOff, "Lights-off"),
    ];
    html! {
        div.choices {
            details {
                summary { "Units and looks" }
                form method="post" action="/choices" {
                    input type="hidden" name="back" value="" data-here;
                    fieldset {
                        legend { "Units" }
                        @for (unit, word, name) in units {
                            button name="units" value=(word)
                                aria-pressed=(pressed(session.units == Some(unit))) { (name) }
                        }
                    }
                    fieldset {
                        legend { "Looks" }
                        @for (theme, name) in themes {
                            button name="theme" value=(theme.word())
                                aria-pressed=(pressed(session.theme == theme)) { (name) }
                        }
                    }
                }
            }
            a href="/air" { "Air" }
            a href="/machines" { "Machines" }
            @if session.kind == Kind::Laptop { a href="/share" { "Sharing" } }
        }
    }
}

const fn pressed(is: bool) -> &'static str {
    if is { "true" } else { "false" }
}

/// Bottom right corner of a drawing sheet, as on paper.
fn title_block(page: &Page<'_>) -> Markup {
    let (job, room, stamp) = match page.place {
        Place::Folder => return html! {},
        Place::Job { job } => (job, "", ""),
        Place::Room {
            job, room, stamp, ..
        } => (job, room, stamp),
    };
    html! {
        footer.title-block {
            dl {
                div { dt { "Job" } dd { (job) } }
                @if !room.is_empty() { div { dt { "Room" } dd { (room) } } }
                // What is wrong with what was sent is no name of the sheet.
                div { dt { "Sheet" } dd { (page.title.strip_prefix("Error: ").unwrap_or(&page.title)) } }
                @if !stamp.is_empty() { div { dt { "Design" } dd { (stamp) } } }
            }
            p { (DEFER) }
        }
    }
}

//! Sharing with phones: the code, who asks to be let in, who is, and what to do
//! when a phone cannot reach this machine. For the laptop only.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::extract::{Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use axum::{Extension, Form, Json, Router};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use crate::web::app::App;
use crate::web::gate::{Kind, Session, Waiting, literal, now_s};
use crate::web::hash::sha256;
use crate::web::refused::Refused;
use crate::web::server::{Listening, Visitor};
use crate::web::view::code;
use crate::web::view::layout::{Page, Place, watching};

/// How often the page is asked for anew without script \[s\].
const LOOK_S: u32 = 10;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/share", get(show).post(act))
        .route("/share/state", get(state))
}

#[derive(Deserialize)]
struct Shown {
    /// Name or address that the code leads to.
    at: Option<String>,
}

async fn show(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Query(shown): Query<Shown>,
) -> Result<Markup, Refused> {
    visitor.session.only_here()?;
    let is_on = app.sharing.is_on();
    let body = html! {
        h1 { "Sharing" }
        @if is_on {
            div data-sharing=(tag(&app)) {
                (asks(&app.gate.waiting()))
                (unprotected(&app))
                (pairing(&app, shown.at.as_deref()))
                (certificate(&app))
                (reached(&app))
            }
        } @else {
            p { "The program answers on this machine only." }
            @if app.sharing.can_start() {
                form method="post" action="/share" { button name="act" value="start" { "Share again" } }
            } @else {
                p { "To offer it to phones on the same network, stop it and start it again with " code { "drywright serve --share" } "." }
            }
        }
        (let_in(&app.gate.visitors(), &visitor.session))
        @if is_on {
            h2 { "Stop" }
            form method="post" action="/share" {
                p { "The program then answers on this machine only, and no phone is let in any longer." }
                button.grave name="act" value="stop" { "Stop sharing" }
            }
        }
    };
    let page = Page {
        title: "Sharing".into(),
        place: Place::Folder,
        session: &visitor.session,
        scripts: if is_on { &["share.js"] } else { &[] },
    };
    Ok(watching(&page, is_on.then_some(LOOK_S), &body))
}

/// Names and addresses that a phone can ask for, the best first.
fn ways(app: &App) -> Vec<String> {
    let certified = app.sharing.certified_names().iter().cloned();
    let open = app.sharing.open();
    certified.chain(open.into_iter().map(literal)).collect()
}

/// The addresses that lead a phone to pairing, the best first; with the code
/// while it is good.
pub(crate) fn links(app: &App) -> Vec<String> {
    let path = match app.gate.code() {
        Some((digits, _)) => format!("/pair/{digits}"),
        None => "/pair".to_owned(),
    };
    let scheme = app.sharing.scheme();
    let names = &app.gate.names;
    let link = |way: String| names.href(&way, scheme, &path);
    ways(app).into_iter().map(link).collect()
}

/// The best address at which phones reach the app; none while it is not shared.
pub(super) fn reached_at(app: &App) -> Option<String> {
    let scheme = app.sharing.scheme();
    let best = ways(app)
        .into_iter()
        .next()
        .filter(|_| app.sharing.is_on())?;
    Some(app.gate.names.href(&best, scheme, ""))
}

fn asks(waiting: &[Waiting]) -> Markup {
    html! {
        @for one in waiting {
            section.asks {
                h2 { "Let this phone in?" }
                p { b { (one.name) } ", at " (one.from) ", shows" }
                p.shows { (one.shows) }
                p { "Say yes only if you see these digits on the phone." }
                form method="post" action="/share" {
                    input type="hidden" name="id" value=(one.id);
                    div.acts {
                        button.main name="act" value="admit" { "Yes, let it in" }
                        button.grave name="act" value="refuse" { "No" }
                    }
                }
            }
        }
    }
}

/// The warning of plain http.
fn unprotected(app: &App) -> Markup {
    html! {
        @if app.sharing.scheme() == "http" {
            div.cautions {
                p { b { "Not encrypted." } " Anyone on this network can read what is sent, the code and the cookie of a phone too, and could pass for that phone. Use this only on a network of your own, such as the laptop's hotspot; else start without " code { "--plain" } "." }
            }
        }
    }
}

/// Whether a phone will warn that it does not know the certificate.
fn phones_warn(app: &App) -> bool {
    app.sharing.scheme() == "https" && app.sharing.certified_names().is_empty()
}

fn certificate(app: &App) -> Markup {
    let doors = app.sharing.doors();
    let print = |how: &Result<Listening, String>| how.as_ref().ok()?.fingerprint.clone();
    let prints: Vec<(IpAddr, String)> = doors
        .iter()
        .filter_map(|(at, how)| Some((*at, print(how)?)))
        .collect();
    html! {
        @if phones_warn(app) {
            details {
                summary { "What a phone says about the certificate" }
                p { "What is sent is encrypted with a certificate that this machine made itself, so a phone warns that it does not know it, once for each address. Look at the certificate there and go on only if its fingerprint (SHA-256) is the one below: then nobody stands between." }
                @for (at, print) in &prints { p { (at) ": " code { (print) } } }
                p { "If the phone refuses all the same, a certificate of your firm (" code { "--tls" } ") or, on a network of your own, " code { "--plain" } " are the other ways." }
            }
        }
    }
}

fn pairing(app: &App, at: Option<&str>) -> Markup {
    let ways = ways(app);
    let code = app.gate.code();
    let scheme = app.sharing.scheme();
    let chosen = ways
        .iter()
        .find(|w| Some(w.as_str()) == at)
        .or(ways.first());
    html! {
        h2 { "Pair a phone" }
        @match (&code, chosen) {
            (_, None) => p { "This machine has no address on a local network now. Join a Wi-Fi, or open the laptop's own hotspot; this page shows it within seconds." },
            (Some((digits, left)), Some(way)) => {
                ol {
                    li { "On the phone join the same Wi-Fi as this machine." }
                    li { "Point its camera at the code below, or open " code { (app.gate.names.href(way, scheme, "/pair")) } " and type the digits." }
                    @if phones_warn(app) {
                        li { "The phone warns that it does not know this machine's certificate: compare the fingerprint below, then go on." }
                    }
                    li { "Press the button there, then say yes here." }
                }
                div.pairing {
                    (code::svg(&app.gate.names.href(way, scheme, &format!("/pair/{digits}")), "Code that leads a phone to the page for pairing"))
                    div {
                        p.shows { (digits.get(..4).unwrap_or_default()) " " (digits.get(4..).unwrap_or_default()) }
                        p { "Good once, for " span data-left-s=(left.as_secs()) { (minutes(*left)) } " more minutes. Ten wrong tries end it." }
                        (new_code("Make another code"))
                        @if 1 < ways.len() {
                            p { "The picture leads to " (way) ". Others:"
                                @for other in ways.iter().filter(|w| *w != way) {
                                    " " a.button href={ "/share?at=" (other) } { (other) }
                                }
                            }
                        }
                    }
                }
            }
            (None, Some(_)) => {
                p { "No code is good now: it was used, or ten minutes have passed, or it was tried wrongly ten times." }
                (new_code("Make a new code"))
            }
        }
    }
}

fn new_code(words: &str) -> Markup {
    html! {
        form method="post" action="/share" {
            button name="act" value="new-code" { (words) }
        }
    }
}

fn minutes(left: Duration) -> u64 {
    left.as_secs().div_ceil(60)
}

fn reached(app: &App) -> Markup {
    let doors = app.sharing.doors();
    let names = &app.gate.names;
    let scheme = app.sharing.scheme();
    html! {
        h2 { "Addresses" }
        @if doors.is_empty() { p { "None now." } }
        div.wide {
            table {
                caption { "Where this machine can be reached, and who came" }
                thead { tr { th { "Address" } th { "Last seen there" } } }
                tbody {
                    @for (at, how) in &doors {
                        tr {
                            td { code { (names.at(*at, scheme, "/")) } }
                            td { (seen(*at, how)) }
                        }
                    }
                }
            }
        }
        @if !names.of_machine.is_empty() && !doors.is_empty() {
            p.remark { "Where the network carries names: "
                @for name in &names.of_machine { code { (names.href(name, scheme, "/")) } " " }
            }
        }
        details {
            summary { "When a phone cannot reach this machine" }
            p { "Try it: open one of the addresses above on the phone. The table then says who came; a phone needs no code for that. If nobody comes:" }
            ol {
                li { "Both must be on the same network. Many guest networks keep their visitors apart: use the laptop's own hotspot, or the phone's." }
                li { "A phone leaves a Wi-Fi without internet for mobile data: tell it to stay, or switch mobile data off." }
                li { "The laptop's firewall has to let this program answer on this network, port " (names.port) "." }
                li { "A private relay or a tunnel on the phone or on the laptop sends everything elsewhere: switch it off for the while." }
                li { "Type the address with its digits; names often do not get through." }
            }
            p { "If somebody came and broke off, the phone did not take the certificate: go on at its warning." }
        }
    }
}

fn seen(at: IpAddr, how: &Result<Listening, String>) -> Markup {
    html! {
        @match how {
            Err(why) => { "Not listening at " (at) ": " (why) },
            Ok(Listening { last: None, .. }) => "nobody yet",
            Ok(Listening { last: Some(seen), .. }) => {
                (seen.from) ", " (ago(seen.when.elapsed().as_secs()))
                @if !seen.went_on { ", broke off at the certificate" }
            }
        }
    }
}

fn let_in(visitors: &[Session], me: &Session) -> Markup {
    let now = now_s();
    let phones = visitors.iter().filter(|v| v.kind == Kind::Phone).count();
    html! {
        h2 { "Who is let in" }
        p { "Whoever is not seen for twelve hours has to be let in again." }
        ul.entries {
            @for one in visitors {
                li {
                    form.line method="post" action="/share" {
                        input type="hidden" name="id" value=(one.id);
                        span { b { (one.name) } @if one.kind == Kind::Phone { ", paired" } ", seen " (ago(now.saturating_sub(one.last_seen_s))) }
                        @if one.id == me.id {
                            span.remark { "this window" }
                        } @else {
                            button.grave name="act" value="revoke" { "Let in no longer" }
                        }
                    }
                }
            }
        }
        @if 0 < phones {
            form method="post" action="/share" {
                button.grave name="act" value="revoke-phones" { "Let no phone in any longer" }
            }
        }
    }
}

/// How long ago, no finer than anyone needs.
fn ago(seconds: u64) -> String {
    match seconds {
        0..60 => "less than a minute ago".into(),
        60..7200 => format!("{} min ago", seconds / 60),
        _ => format!("{} h ago", seconds / 3600),
    }
}

/// What the page shows, in short: when it differs, the page is drawn anew.
fn tag(app: &App) -> String {
    let came: Vec<String> = app
        .sharing
        .doors()
        .iter()
        .map(|(at, how)| match how {
            Ok(door) => format!("{at} {:?}", door.last.map(|l| (l.from, l.went_on))),
            Err(why) => format!("{at} {why}"),
        })
        .collect();
    let waiting: Vec<String> = app.gate.waiting().into_iter().map(|w| w.id).collect();
    let mut visitors: Vec<String> = app.gate.visitors().into_iter().map(|v| v.id).collect();
    visitors.sort();
    let code = app.gate.code().map(|(digits, _)| digits);
    let all = format!("{:?}", (app.sharing.is_on(), came, waiting, visitors, code));
    sha256(all.as_bytes())
}

async fn state(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
) -> Result<Response, Refused> {
    visitor.session.only_here()?;
    Ok(Json(json!({ "state": tag(&app) })).into_response())
}

#[derive(Deserialize)]
struct Act {
    act: String,
    #[serde(default)]
    id: String,
}

async fn act(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Form(act): Form<Act>,
) -> Result<Redirect, Refused> {
    visitor.session.only_here()?;
    match act.act.as_str() {
        "admit" => app.gate.admit(&act.id),
        "refuse" => app.gate.refuse(&act.id),
        "new-code" => app.gate.new_code(),
        "revoke" => app.gate.revoke(&act.id),
        "revoke-phones" => app.gate.revoke_phones(),
        "start" if app.sharing.can_start() => {
            app.sharing.start();
            app.gate.new_code();
        }
        "stop" => {
            app.sharing.stop();
            app.gate.revoke_phones();
        }
        other => return Err(Refused::BadRequest(format!("\"{other}\" is no act here"))),
    }
    Ok(Redirect::to("/share"))
}

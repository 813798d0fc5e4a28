//! The cookie that stands for a visitor.

use axum::http::{HeaderMap, HeaderValue, header};

use super::IDLE_S;
use super::door::Door;

/// Cookies ignore the port, so two servers on one machine need two names. A
/// browser keeps the prefix only where a page came encrypted.
fn name(door: Door, port: u16) -> String {
    match door {
        Door::Lan { tls: true, .. } => format!("__Host-drywright-{port}"),
        _ => format!("drywright-{port}"),
    }
}

/// Every value of our cookie: a page at another port of this machine may have
/// planted one of the same name beside it.
pub(super) fn values(headers: &HeaderMap, door: Door, port: u16) -> Vec<&str> {
    let own = name(door, port);
    named(headers, &own).collect()
}

/// Every value of a cookie of this name, in the order of sending.
pub(crate) fn named<'a>(headers: &'a HeaderMap, name: &str) -> impl Iterator<Item = &'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .filter(move |(n, _)| *n == name)
        .map(|(_, value)| value)
}

/// The header that sets it. `Lax`, since after a link from elsewhere a
/// `Strict` one would not come along.
pub(super) fn set(token: &str, door: Door, port: u16) -> Option<HeaderValue> {
    let secure = match door.scheme() {
        "https" => "; Secure",
        _ => "",
    };
    let text = format!(
        "{}={token}; HttpOnly; SameSite=Lax; Path=/; Max-Age={IDLE_S}{secure}",
        name(door, port)
    );
    HeaderValue::from_str(&text).ok()
}

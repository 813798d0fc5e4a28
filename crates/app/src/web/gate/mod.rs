//! Who is let in: the key that the terminal prints, the cookie that it is
//! swapped for, and what each visitor chose to see.

mod keep;
mod secret;
mod visitor;

use std::net::{IpAddr, Ipv4Addr, Ipv6Addr};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use axum::http::{HeaderMap, HeaderValue, header};

use keep::Kept;
use secret::Secret;
pub(crate) use visitor::{Kind, Session, Theme, Units};

/// How long a cookie is good for without being used \[s\].
const IDLE_S: u64 = 12 * 3600;

/// Who is let in.
pub(crate) struct Gate {
    port: u16,
    kept: Mutex<Kept>,
    /// Where it is kept over a restart; outside of the folder that is served,
    /// so that nothing that serves files can reach it. None where there is no
    /// such place.
    file: Option<PathBuf>,
}

impl Gate {
    /// Opens what was kept for this folder, or starts anew.
    pub(crate) fn open(root: &Path, port: u16) -> Self {
        let file = keep::file_for(root);
        let kept = file
            .as_deref()
            .and_then(keep::read)
            .unwrap_or_else(Kept::anew);
        let gate = Self {
            port,
            kept: Mutex::new(kept),
            file,
        };
        gate.save(&gate.lock());
        gate
    }

    /// The key that the terminal prints; good on this machine only.
    pub(crate) fn laptop_key(&self) -> String {
        self.lock().laptop_key.clone()
    }

    /// "http" or "https".
    pub(crate) const fn scheme(&self) -> &'static str {
        "http"
    }

    /// Whether a Host header names this server: our port, and a name that no
    /// page from elsewhere can have.
    pub(crate) fn is_own_host(&self, host: &str) -> bool {
        let Some((name, port)) = host.rsplit_once(':') else {
            return false;
        };
        if port.parse() != Ok(self.port) {
            return false;
        }
        let name = name.trim_start_matches('[').trim_end_matches(']');
        name.eq_ignore_ascii_case("localhost")
            || name.parse() == Ok(IpAddr::V4(Ipv4Addr::LOCALHOST))
            || name.parse() == Ok(IpAddr::V6(Ipv6Addr::LOCALHOST))
    }

    /// Swaps the laptop's key for a cookie, from this machine only.
    pub(crate) fn enter(&self, key: &str, peer: IpAddr) -> Option<HeaderValue> {
        let mut kept = self.lock();
        if !peer.to_canonical().is_loopback() || !secret::same(key, &kept.laptop_key) {
            return None;
        }
        let token = Secret::new();
        kept.sessions
            .push(Session::new(&token, Kind::Laptop, "this machine".into()));
        self.save(&kept);
        self.cookie(&token)
    }

    /// The visitor that a request belongs to.
    pub(crate) fn session(&self, headers: &HeaderMap) -> Option<Session> {
        let name = self.cookie_name();
        let token = headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|v| v.to_str().ok())
            .flat_map(|v| v.split(';'))
            .filter_map(|pair| pair.trim().split_once('='))
            .find(|(n, _)| *n == name)?
            .1;
        let hash = secret::hash(token);
        let now = keep::now_s();
        let mut kept = self.lock();
        let session = kept
            .sessions
            .iter_mut()
            .find(|s| secret::same(&s.token_hash, &hash))?;
        if IDLE_S < now.saturating_sub(session.last_seen_s) {
            return None;
        }
        session.last_seen_s = now;
        Some(session.clone())
    }

    /// Keeps what a visitor chose.
    pub(crate) fn choose(&self, id: &str, change: impl FnOnce(&mut Session)) {
        let mut kept = self.lock();
        if let Some(session) = kept.sessions.iter_mut().find(|s| s.id == id) {
            change(session);
            self.save(&kept);
        }
    }

    fn cookie(&self, token: &Secret) -> Option<HeaderValue> {
        let text = format!(
            "{}={}; HttpOnly; SameSite=Lax; Path=/; Max-Age={IDLE_S}",
            self.cookie_name(),
            token.text()
        );
        HeaderValue::from_str(&text).ok()
    }

    /// Cookies ignore the port, so two servers on one machine need two names.
    fn cookie_name(&self) -> String {
        format!("drywright-{}", self.port)
    }

    fn save(&self, kept: &Kept) {
        if let Some(file) = &self.file {
            keep::write(file, kept);
        }
    }

    fn lock(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

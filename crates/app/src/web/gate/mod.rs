//! Who is let in: the key that the terminal prints, the code that pairs a
//! phone, the cookie that each is swapped for, and what each visitor chose to
//! see.

pub(super) mod cookie;
mod door;
mod keep;
mod pairing;
mod secret;
mod visitor;

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use axum::http::{HeaderMap, HeaderValue};

pub(crate) use door::{Door, Names, literal};
pub(crate) use keep::{folder as state_folder, now_s, write_private};
pub(crate) use pairing::Waiting;
pub(crate) use secret::same;
pub(crate) use visitor::{Kind, Session, Theme, Units};

use keep::Kept;
use pairing::Pairing;
use secret::Secret;

/// How long a cookie is good without being used \[s\].
const IDLE_S: u64 = 12 * 3600;
/// How often a cookie that is used is renewed, and its use kept \[s\].
const RENEW_S: u64 = 600;
/// Most visitors that are kept; those not seen for longest make room.
const MOST_KEPT: usize = 64;

/// Who is let in.
pub(crate) struct Gate {
    /// Names that this server answers to.
    pub(crate) names: Names,
    /// The key that the terminal prints; another one at each start.
    laptop_key: Secret,
    kept: Mutex<Kept>,
    pairing: Mutex<Pairing>,
    /// Where it is kept over a restart; none where there is no such place.
    file: Option<PathBuf>,
}

/// A visitor who is let in.
pub(crate) struct Admitted {
    /// Who.
    pub(crate) session: Session,
    /// Their cookie anew, where it is time for that.
    pub(crate) renewed: Option<HeaderValue>,
}

/// How somebody stands who gave a code.
pub(crate) enum Standing {
    /// Let in.
    In,
    /// Waits; the screen shows these digits.
    Waits(String),
    /// The answer was no.
    Refused,
    /// Unknown, or forgotten.
    Stranger,
}

impl Gate {
    /// Opens what was kept for this folder, or starts anew.
    pub(crate) fn open(root: &Path, names: Names) -> Self {
        let file = keep::file_for(root);
        let mut kept = file.as_deref().and_then(keep::read).unwrap_or_default();
        kept.port = Some(names.port);
        let gate = Self {
            names,
            laptop_key: Secret::new(),
            kept: Mutex::new(kept),
            pairing: Mutex::default(),
            file,
        };
        gate.save(&mut gate.lock());
        gate
    }

    /// The port that this folder was served at the last time.
    pub(crate) fn last_port(root: &Path) -> Option<u16> {
        keep::read(&keep::file_for(root)?)?.port
    }

    /// The key that the terminal prints; good on this machine only.
    pub(crate) fn laptop_key(&self) -> &str {
        self.laptop_key.text()
    }

    /// Swaps the laptop's key for a cookie, on this machine only.
    pub(crate) fn enter(&self, key: &str, door: Door) -> Option<HeaderValue> {
        if door != Door::Here || !secret::same(key, self.laptop_key.text()) {
            return None;
        }
        let token = Secret::new();
        let hash = secret::hash(token.text());
        self.add(Session::new(hash, Kind::Laptop, "this machine".into()));
        cookie::set(token.text(), door, self.names.port)
    }

    /// The visitor that a request belongs to. The laptop's own cookie is good
    /// on this machine only.
    pub(crate) fn admitted(&self, headers: &HeaderMap, door: Door) -> Option<Admitted> {
        let now = now_s();
        let mut kept = self.lock();
        for token in cookie::values(headers, door, self.names.port) {
            let hash = secret::hash(token);
            let found = kept.sessions.iter_mut().find(|s| {
                secret::same(&s.token_hash, &hash)
                    && !is_idle(s, now)
                    && (s.kind == Kind::Phone || door == Door::Here)
            });
            let Some(session) = found else { continue };
            session.last_seen_s = now;
            let is_due = session.renewed_s + RENEW_S <= now;
            if is_due {
                session.renewed_s = now;
            }
            let mut session = session.clone();
            session.form_token = secret::form_token(token);
            if is_due {
                self.save(&mut kept);
            }
            let renewed = is_due.then(|| cookie::set(token, door, self.names.port));
            return Some(Admitted {
                session,
                renewed: renewed.flatten(),
            });
        }
        None
    }

    /// Keeps what a visitor chose.
    pub(crate) fn choose(&self, id: &str, change: impl FnOnce(&mut Session)) {
        let mut kept = self.lock();
        if let Some(session) = kept.sessions.iter_mut().find(|s| s.id == id) {
            change(session);
            self.save(&mut kept);
        }
    }

    /// Everyone who is let in, the last seen first.
    pub(crate) fn visitors(&self) -> Vec<Session> {
        let now = now_s();
        let kept = self.lock();
        let live = kept.sessions.iter().filter(|s| !is_idle(s, now));
        let mut all: Vec<Session> = live.cloned().collect();
        all.sort_by_key(|s| std::cmp::Reverse(s.last_seen_s));
        all
    }

    /// Lets one visitor in no longer.
    pub(crate) fn revoke(&self, id: &str) {
        self.keep_only(|s| s.id != id);
    }

    /// Lets no phone in any longer, neither those that wait.
    pub(crate) fn revoke_phones(&self) {
        self.keep_only(|s| s.kind == Kind::Laptop);
        self.pairing().end();
    }

    /// A new code for pairing; the older one is dead.
    pub(crate) fn new_code(&self) {
        self.pairing().renew(Instant::now());
    }

    /// The code while it is good, and for how long it will be.
    pub(crate) fn code(&self) -> Option<(String, Duration)> {
        let pairing = self.pairing();
        let (digits, left) = pairing.code(Instant::now())?;
        Some((digits.to_owned(), left))
    }

    /// Swaps the code for a cookie that is good for nothing until the laptop
    /// says yes.
    pub(crate) fn pair(
        &self,
        typed: &str,
        name: &str,
        from: IpAddr,
        door: Door,
    ) -> Option<HeaderValue> {
        let mut pairing = self.pairing();
        let now = Instant::now();
        if !pairing.take(typed, now) {
            return None;
        }
        let token = Secret::new();
        let token_hash = secret::hash(token.text());
        pairing.wait(Waiting {
            id: visitor::id_of(&token_hash),
            name: called(name, from),
            from,
            shows: format!("{:02}", rand::random_range(0..100_u32)),
            token_hash,
            since: now,
            refused: false,
        });
        cookie::set(token.text(), door, self.names.port)
    }

    /// Who waits for a yes.
    pub(crate) fn waiting(&self) -> Vec<Waiting> {
        self.pairing().waiting(Instant::now())
    }

    /// The yes.
    pub(crate) fn admit(&self, id: &str) {
        let mut pairing = self.pairing();
        if let Some(one) = pairing.admit(id, Instant::now()) {
            self.add(Session::new(one.token_hash, Kind::Phone, one.name));
        }
    }

    /// The no.
    pub(crate) fn refuse(&self, id: &str) {
        self.pairing().refuse(id);
    }

    /// How somebody stands who gave the code.
    pub(crate) fn standing(&self, headers: &HeaderMap, door: Door) -> Standing {
        // Held first: the yes moves somebody from here to those let in.
        let mut pairing = self.pairing();
        if self.admitted(headers, door).is_some() {
            return Standing::In;
        }
        for token in cookie::values(headers, door, self.names.port) {
            let hash = secret::hash(token);
            match pairing.with_token(&hash, Instant::now()) {
                Some(one) if one.refused => return Standing::Refused,
                Some(one) => return Standing::Waits(one.shows.clone()),
                None => {}
            }
        }
        Standing::Stranger
    }

    fn add(&self, session: Session) {
        let mut kept = self.lock();
        kept.sessions.push(session);
        self.save(&mut kept);
    }

    fn keep_only(&self, stays: impl Fn(&Session) -> bool) {
        let mut kept = self.lock();
        kept.sessions.retain(stays);
        self.save(&mut kept);
    }

    fn save(&self, kept: &mut Kept) {
        let now = now_s();
        kept.sessions.retain(|s| !is_idle(s, now));
        while MOST_KEPT < kept.sessions.len() {
            let oldest = (0..kept.sessions.len()).min_by_key(|i| kept.sessions[*i].last_seen_s);
            kept.sessions.remove(oldest.unwrap_or(0));
        }
        if let Some(file) = &self.file {
            keep::write(file, kept);
        }
    }

    fn lock(&self) -> MutexGuard<'_, Kept> {
        self.kept.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn pairing(&self) -> MutexGuard<'_, Pairing> {
        self.pairing.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

const fn is_idle(session: &Session, now_s: u64) -> bool {
    IDLE_S < now_s.saturating_sub(session.last_seen_s)
}

/// What a phone is called: what was typed, cut short, or from where it came.
fn called(typed: &str, from: IpAddr) -> String {
    const LONGEST: usize = 40;
    let plain: String = typed
        .chars()
        .map(|c| if crate::letters::is_unseen(c) { ' ' } else { c })
        .take(LONGEST)
        .collect();
    match plain.trim() {
        "" => format!("a phone at {from}"),
        name => name.to_owned(),
    }
}

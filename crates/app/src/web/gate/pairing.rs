//! Pairing a phone: a code that lives for ten minutes and is good once, and
//! those who gave it and wait for a yes. Nothing of this is kept over a
//! restart.

use std::net::IpAddr;
use std::time::{Duration, Instant};

use super::secret;

/// How long a code is good, and how long somebody may wait for an answer.
const LIFE: Duration = Duration::from_secs(600);
/// Wrong tries, by all together, after which a code is dead. With eight digits
/// a guess comes through once in ten million codes.
const MOST_WRONG: u32 = 10;
/// Most that wait at one time.
const MOST_WAITING: usize = 8;
/// Digits of a code.
const DIGITS: usize = 8;

/// The code, and who waits.
#[derive(Default)]
pub(super) struct Pairing {
    code: Option<Code>,
    waiting: Vec<Waiting>,
}

struct Code {
    digits: String,
    since: Instant,
    wrong: u32,
}

/// Somebody who gave the code and waits for a yes on the laptop.
#[derive(Clone, Debug)]
pub(crate) struct Waiting {
    /// Names it in forms; no secret.
    pub(crate) id: String,
    /// What it is called.
    pub(crate) name: String,
    /// From where it came.
    pub(crate) from: IpAddr,
    /// Two digits that its screen shows, so that a yes goes to the right one.
    pub(crate) shows: String,
    /// Hash of its cookie, which is good for nothing before the yes.
    pub(super) token_hash: String,
    /// When it gave the code.
    pub(super) since: Instant,
    /// Whether the answer was no.
    pub(super) refused: bool,
}

impl Pairing {
    /// A new code; an older one is dead.
    pub(super) fn renew(&mut self, now: Instant) {
        let number: u32 = rand::random_range(0..100_000_000);
        self.code = Some(Code {
            digits: format!("{number:0DIGITS$}"),
            since: now,
            wrong: 0,
        });
    }

    /// The code while it is good, and for how long it will be.
    pub(super) fn code(&self, now: Instant) -> Option<(&str, Duration)> {
        let code = self.code.as_ref()?;
        let left = LIFE.checked_sub(now.saturating_duration_since(code.since))?;
        (!left.is_zero()).then_some((code.digits.as_str(), left))
    }

    /// Whether this is the code, which is used up by it. What cannot be a code
    /// is no try.
    pub(super) fn take(&mut self, typed: &str, now: Instant) -> bool {
        let digits: String = typed
            .chars()
            .filter(|c| !c.is_whitespace() && *c != '-')
            .collect();
        if digits.len() != DIGITS || !digits.bytes().all(|b| b.is_ascii_digit()) {
            return false;
        }
        let Some((good, _)) = self.code(now) else {
            self.code = None;
            return false;
        };
        if secret::same(good, &digits) {
            self.code = None;
            return true;
        }
        if let Some(code) = &mut self.code {
            code.wrong += 1;
            if MOST_WRONG <= code.wrong {
                self.code = None;
            }
        }
        false
    }

    /// Lets somebody who gave the code wait.
    pub(super) fn wait(&mut self, waiting: Waiting) {
        self.forget_old(waiting.since);
        if MOST_WAITING <= self.waiting.len() {
            self.waiting.remove(0);
        }
        self.waiting.push(waiting);
    }

    /// Who waits for an answer.
    pub(super) fn waiting(&mut self, now: Instant) -> Vec<Waiting> {
        self.forget_old(now);
        let open = self.waiting.iter().filter(|w| !w.refused);
        open.cloned().collect()
    }

    /// The one with this cookie.
    pub(super) fn with_token(&mut self, token_hash: &str, now: Instant) -> Option<&Waiting> {
        self.forget_old(now);
        let mut all = self.waiting.iter();
        all.find(|w| secret::same(&w.token_hash, token_hash))
    }

    /// Yes: it waits no longer.
    pub(super) fn admit(&mut self, id: &str, now: Instant) -> Option<Waiting> {
        self.forget_old(now);
        let at = self.waiting.iter().position(|w| w.id == id && !w.refused)?;
        Some(self.waiting.remove(at))
    }

    /// No; it is told so.
    pub(super) fn refuse(&mut self, id: &str) {
        if let Some(waiting) = self.waiting.iter_mut().find(|w| w.id == id) {
            waiting.refused = true;
        }
    }

    /// Ends the code and all waiting.
    pub(super) fn end(&mut self) {
        *self = Self::default();
    }

    fn forget_old(&mut self, now: Instant) {
        self.waiting
            .retain(|w| now.saturating_duration_since(w.since) < LIFE);
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    fn with_code(now: Instant) -> (Pairing, String) {
        let mut pairing = Pairing::default();
        pairing.renew(now);
        let code = pairing.code(now).unwrap().0.to_owned();
        assert_eq!(code.len(), 8);
        assert!(code.bytes().all(|b| b.is_ascii_digit()));
        (pairing, code)
    }

    fn other_than(code: &str) -> &'static str {
        if code == "00000000" {
            "00000001"
        } else {
            "00000000"
        }
    }

    #[test]
    fn a_code_is_good_once() {
        let now = Instant::now();
        let (mut pairing, code) = with_code(now);
        let spaced = format!(" {} {}-{} ", &code[..4], &code[4..6], &code[6..]);
        assert!(pairing.take(&spaced, now));
        assert!(!pairing.take(&code, now));
        assert!(pairing.code(now).is_none());
    }

    #[test]
    fn a_code_lives_for_ten_minutes() {
        let now = Instant::now();
        let (mut pairing, code) = with_code(now);
        let late = now + LIFE - Duration::from_secs(1);
        assert_eq!(pairing.code(late).unwrap().1, Duration::from_secs(1));
        assert!(pairing.code(now + LIFE).is_none());
        assert!(!pairing.take(&code, now + LIFE));
        // Dead for good, also for a clock that is read late.
        assert!(!pairing.take(&code, now));
    }

    #[test]
    fn ten_wrong_tries_end_a_code_and_what_is_no_code_is_no_try() {
        let now = Instant::now();
        let (mut pairing, code) = with_code(now);
        for not_a_code in ["", "1234567", "123456789", "abcdefgh", "١٢٣٤٥٦٧٨"] {
            for _ in 0..5 {
                assert!(!pairing.take(not_a_code, now));
            }
        }
        for _ in 0..9 {
            assert!(!pairing.take(other_than(&code), now));
        }
        assert!(pairing.code(now).is_some());
        assert!(!pairing.take(other_than(&code), now));
        assert!(pairing.code(now).is_none());
        assert!(!pairing.take(&code, now));
    }

    #[test]
    fn who_waits_is_admitted_refused_or_forgotten() {
        let now = Instant::now();
        let mut pairing = Pairing::default();
        let waiting = |id: &str| Waiting {
            id: id.into(),
            name: id.into(),
            from: IpAddr::from([127, 0, 0, 1]),
            shows: "07".into(),
            token_hash: format!("hash of {id}"),
            since: now,
            refused: false,
        };
        for id in ["a", "b", "c"] {
            pairing.wait(waiting(id));
        }
        assert_eq!(pairing.admit("a", now).unwrap().id, "a");
        assert!(pairing.admit("a", now).is_none());
        pairing.refuse("b");
        assert!(pairing.admit("b", now).is_none());
        assert!(pairing.with_token("hash of b", now).unwrap().refused);
        assert_eq!(pairing.waiting(now).len(), 1);
        assert!(pairing.waiting(now + LIFE).is_empty());
        for n in 0..20 {
            pairing.wait(waiting(&n.to_string()));
        }
        assert_eq!(pairing.waiting(now).len(), MOST_WAITING);
    }
}

//! Whether the app is offered on the local network, how, and who was seen
//! there.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use anyhow::Result;
use tokio::sync::Notify;

use super::super::gate::{Door, Names};
use super::certificate::{Certificate, Firm};
use super::lan;

/// What the command line asks for.
pub(crate) enum Shared {
    /// Nothing: this machine only.
    No,
    /// On the local network.
    At {
        /// At this address only; none: at every one of a local network.
        only: Option<IpAddr>,
        /// How.
        how: How,
    },
}

/// How what is said on the local network is protected.
pub(crate) enum How {
    /// Not at all.
    Plain,
    /// By a certificate of our own.
    Own,
    /// By the certificate of a firm.
    Firm(Firm),
}

/// Whether the app is offered on the local network, and what was seen there.
pub(crate) struct Sharing {
    only: Option<IpAddr>,
    how: Option<How>,
    state: Mutex<State>,
    change: Notify,
}

struct State {
    is_on: bool,
    doors: BTreeMap<IpAddr, Result<Listening, String>>,
}

/// An address that is listened at.
#[derive(Clone, Debug)]
pub(crate) struct Listening {
    /// Of the certificate, if there is one.
    pub(crate) fingerprint: Option<String>,
    /// Who came last.
    pub(crate) last: Option<Seen>,
}

/// Somebody who came to an address.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Seen {
    /// From where.
    pub(crate) from: IpAddr,
    /// When.
    pub(crate) when: Instant,
    /// False: it broke off while the certificate was looked at.
    pub(crate) went_on: bool,
}

impl Sharing {
    pub(crate) fn new(asked: Shared) -> Self {
        let (only, how) = match asked {
            Shared::No => (None, None),
            Shared::At { only, how } => (only, Some(how)),
        };
        Self {
            only,
            state: Mutex::new(State {
                is_on: how.is_some(),
                doors: BTreeMap::new(),
            }),
            how,
            change: Notify::new(),
        }
    }

    /// Whether the app is offered now.
    pub(crate) fn is_on(&self) -> bool {
        self.lock().is_on
    }

    /// "http" or "https" on the local network.
    pub(crate) const fn scheme(&self) -> &'static str {
        match self.how {
            Some(How::Own | How::Firm(_)) => "https",
            _ => "http",
        }
    }

    /// Names by which a phone can ask for this machine without a warning.
    pub(crate) fn certified_names(&self) -> &[String] {
        match &self.how {
            Some(How::Firm(firm)) => &firm.names,
            _ => &[],
        }
    }

    /// Ends it; connections that are open on the local network end too.
    pub(crate) fn stop(&self) {
        self.lock().is_on = false;
        self.change.notify_one();
    }

    /// Whether it can be offered again: the command line said how.
    pub(crate) const fn can_start(&self) -> bool {
        self.how.is_some()
    }

    /// Offers it again after a stop.
    pub(crate) fn start(&self) {
        self.lock().is_on = self.can_start();
        self.change.notify_one();
    }

    /// Every address, whether it is listened at, and who came.
    pub(crate) fn doors(&self) -> BTreeMap<IpAddr, Result<Listening, String>> {
        self.lock().doors.clone()
    }

    /// Addresses that are listened at, the one that a phone most likely reaches
    /// first.
    pub(crate) fn open(&self) -> Vec<IpAddr> {
        let doors = self.doors();
        let open = doors.iter().filter(|(_, how)| how.is_ok());
        let mut open: Vec<IpAddr> = open.map(|(at, _)| *at).collect();
        let usual = lan::usual();
        open.sort_by_key(|at| Some(*at) != usual);
        open
    }

    /// Addresses to listen at.
    pub(super) fn wanted(&self) -> Vec<IpAddr> {
        match (self.is_on(), self.only) {
            (false, _) => Vec::new(),
            (true, Some(at)) => vec![at],
            (true, None) => lan::addresses(),
        }
    }

    /// Whether one address was asked for by name.
    pub(super) const fn asked_by_name(&self) -> bool {
        self.only.is_some()
    }

    /// Waits until it changes.
    pub(super) async fn changed(&self) {
        self.change.notified().await;
    }

    /// What an address is encrypted with; none where it is not.
    pub(super) fn certificate(&self, at: IpAddr, names: &Names) -> Result<Option<Certificate>> {
        Ok(match &self.how {
            None | Some(How::Plain) => None,
            Some(How::Own) => Some(Certificate::own(at, &names.of_machine)?),
            Some(How::Firm(firm)) => Some(firm.certificate.clone()),
        })
    }

    pub(super) fn listens(&self, at: IpAddr, how: Result<Listening, String>) {
        self.lock().doors.insert(at, how);
    }

    pub(super) fn keep_only(&self, addresses: &[IpAddr]) {
        self.lock().doors.retain(|at, _| addresses.contains(at));
    }

    /// Notes that somebody came.
    pub(super) fn seen(&self, door: Door, from: IpAddr, went_on: bool) {
        let Door::Lan { at, .. } = door else { return };
        if let Some(Ok(listening)) = self.lock().doors.get_mut(&at) {
            let when = Instant::now();
            listening.last = Some(Seen {
                from,
                when,
                went_on,
            });
        }
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

//! Listening at the addresses of the local network, also at those that come
//! later: a laptop joins a network, or opens one of its own.

use std::collections::BTreeMap;
use std::net::{IpAddr, Ipv4Addr, UdpSocket};
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, Result};
use tokio::net::TcpListener;
use tokio::task::JoinSet;
use tokio_rustls::TlsAcceptor;

use super::super::app::App;
use super::super::gate::Door;
use super::listen::Taker;
use super::sharing::Listening;
use crate::out;

/// How often the machine is asked for its addresses.
const LOOK: Duration = Duration::from_secs(5);

/// The addresses that are listened at.
pub(super) struct Lan {
    taker: Taker,
    app: Arc<App>,
    /// One task an address; when it is dropped, its connections end.
    open: BTreeMap<IpAddr, JoinSet<()>>,
}

impl Lan {
    pub(super) fn new(taker: Taker, app: Arc<App>) -> Self {
        Self {
            taker,
            app,
            open: BTreeMap::new(),
        }
    }

    /// Looks again and again, until sharing and then the server stops.
    pub(super) async fn keep_looking(mut self) {
        let mut stopping = self.taker.stopping();
        loop {
            tokio::select! {
                () = tokio::time::sleep(LOOK) => {}
                () = self.app.sharing.changed() => {}
                _ = stopping.changed() => break,
            }
            // What cannot be had is shown on the page of sharing.
            let _ = self.look().await;
        }
        for (_, mut task) in self.open {
            while task.join_next().await.is_some() {}
        }
    }

    /// Opens what is new and closes what is gone.
    ///
    /// # Errors
    /// An address that was asked for by name cannot be listened at.
    pub(super) async fn look(&mut self) -> Result<()> {
        let sharing = &self.app.sharing;
        let wanted = sharing.wanted();
        self.open.retain(|at, _| wanted.contains(at));
        sharing.keep_only(&wanted);
        let mut failed = Ok(());
        for at in wanted {
            if self.open.contains_key(&at) {
                continue;
            }
            let port = self.app.gate.names.port;
            match self.listen(at, port).await {
                Ok((task, listening)) => {
                    self.open.insert(at, task);
                    sharing.listens(at, Ok(listening));
                }
                Err(error) => {
                    sharing.listens(at, Err(format!("{error:#}")));
                    failed = Err(error);
                }
            }
        }
        match sharing.asked_by_name() {
            true => failed,
            false => Ok(()),
        }
    }

    async fn listen(&self, at: IpAddr, port: u16) -> Result<(JoinSet<()>, Listening)> {
        let certificate = self.app.sharing.certificate(at, &self.app.gate.names)?;
        let listener = TcpListener::bind((at, port))
            .await
            .with_context(|| format!("cannot listen at {at}, port {port}"))?;
        let door = Door::Lan {
            at,
            tls: certificate.is_some(),
        };
        let acceptor = certificate
            .as_ref()
            .map(|c| TlsAcceptor::from(c.config.clone()));
        let mut task = JoinSet::new();
        task.spawn(self.taker.clone().take(listener, door, acceptor));
        Ok((
            task,
            Listening {
                fingerprint: certificate.map(|c| c.fingerprint),
                last: None,
            },
        ))
    }
}

/// Addresses of this machine on networks that are up and are not the internet;
/// a tunnel to elsewhere is none that a phone is on.
pub(super) fn addresses() -> Vec<IpAddr> {
    match if_addrs::get_if_addrs() {
        Ok(all) => all
            .iter()
            .filter(|one| one.is_oper_up() && !one.is_p2p())
            .map(if_addrs::Interface::ip)
            .filter(is_local)
            .collect(),
        Err(error) => {
            out::message(&format!(
                "cannot ask this machine for its addresses: {error}"
            ));
            Vec::new()
        }
    }
}

/// The address from which this machine would speak to the internet: of several,
/// the one that a phone most likely shares. Nothing is sent to find it.
pub(super) fn usual() -> Option<IpAddr> {
    // An address for documentation (RFC 5737): nobody has it.
    const ELSEWHERE: Ipv4Addr = Ipv4Addr::new(192, 0, 2, 1);
    let socket = UdpSocket::bind((Ipv4Addr::UNSPECIFIED, 0)).ok()?;
    socket.connect((ELSEWHERE, 9)).ok()?;
    Some(socket.local_addr().ok()?.ip())
}

/// Private and link-local addresses (RFC 1918, RFC 3927) of the fourth version
/// only: every phone has one.
fn is_local(at: &IpAddr) -> bool {
    match at {
        IpAddr::V4(v4) => v4.is_private() || v4.is_link_local(),
        IpAddr::V6(_) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_internet_is_no_local_network() {
        for (at, is) in [
            ("192.168.1.20", true),
            ("10.0.0.1", true),
            ("172.20.10.2", true),
            ("172.32.0.1", false),
            ("169.254.7.7", true),
            ("127.0.0.1", false),
            ("203.0.113.5", false),
            ("8.8.8.8", false),
            ("0.0.0.0", false),
            ("::1", false),
            ("fe80::1", false),
        ] {
            let at: IpAddr = at.parse().unwrap_or_else(|_| panic!("{at}"));
            assert_eq!(is_local(&at), is, "{at}");
        }
    }
}

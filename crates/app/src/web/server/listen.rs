//! The accept loop. Silent, dripping and idle connections end by the clock,
//! which `axum::serve` 0.8 does not do.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use axum::Extension;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use hyper_util::service::TowerToHyperService;
use tokio::net::TcpListener;

use super::super::app::App;
use super::guard::Peer;
use super::routes;
use crate::out;

/// Longest wait for a whole request head, and for the next request of a
/// connection that is kept open.
const HEAD: Duration = Duration::from_secs(20);
/// How long connections may finish what they are at when the server stops.
const LAST_WORDS: Duration = Duration::from_secs(5);
/// Connections at one time, from all and from one address.
const MOST: usize = 256;
const MOST_OF_ONE: usize = 16;
/// This machine's own browser and tools share one address.
const MOST_OF_LOOPBACK: usize = 128;

/// Serves until interrupted.
///
/// # Errors
/// None that a single connection makes; those only end that connection.
pub(crate) async fn run(listener: TcpListener, app: Arc<App>) -> anyhow::Result<()> {
    let router = routes::routes(&app);
    let graceful = GracefulShutdown::new();
    let open = Open::default();
    let mut stop = std::pin::pin!(stopped());
    loop {
        let accepted = tokio::select! {
            accepted = listener.accept() => accepted,
            () = &mut stop => break,
        };
        let (stream, peer) = match accepted {
            Ok(pair) => pair,
            Err(error) => {
                // Out of file handles, or a peer that went away: wait a little, go on.
                out::message(&format!("a connection was not taken: {error}"));
                tokio::time::sleep(Duration::from_millis(50)).await;
                continue;
            }
        };
        let Some(place) = open.take(peer.ip()) else {
            continue;
        };
        let service = TowerToHyperService::new(router.clone().layer(Extension(Peer(peer.ip()))));
        let connection = hyper::server::conn::http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(HEAD)
            .max_buf_size(64 * 1024)
            .serve_connection(TokioIo::new(stream), service);
        let connection = graceful.watch(connection);
        tokio::spawn(async move {
            // A connection that breaks off is the visitor's affair.
            let _ = connection.await;
            drop(place);
        });
    }
    out::message("stopping");
    let _ = tokio::time::timeout(LAST_WORDS, graceful.shutdown()).await;
    Ok(())
}

/// Interrupt or, where there is one, the signal to end.
async fn stopped() {
    let interrupt = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        let Ok(mut end) = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate())
        else {
            let _ = interrupt.await;
            return;
        };
        tokio::select! {
            _ = interrupt => {}
            _ = end.recv() => {}
        }
    }
    #[cfg(not(unix))]
    {
        let _ = interrupt.await;
    }
}

/// Open connections by address.
#[derive(Clone, Default)]
struct Open(Arc<Mutex<BTreeMap<IpAddr, usize>>>);

impl Open {
    /// A place for one more connection; none where there are enough.
    fn take(&self, ip: IpAddr) -> Option<Place> {
        let mut open = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let most = if ip.is_loopback() {
            MOST_OF_LOOPBACK
        } else {
            MOST_OF_ONE
        };
        if MOST <= open.values().sum() || most <= open.get(&ip).copied().unwrap_or(0) {
            return None;
        }
        *open.entry(ip).or_default() += 1;
        Some(Place {
            open: self.clone(),
            ip,
        })
    }
}

/// One open connection; gives its place back when it ends.
struct Place {
    open: Open,
    ip: IpAddr,
}

impl Drop for Place {
    fn drop(&mut self) {
        let mut open = self.open.0.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.ip) {
            *count -= 1;
            if *count == 0 {
                open.remove(&self.ip);
            }
        }
    }
}

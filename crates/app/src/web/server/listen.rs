//! The accept loop. Silent, dripping and idle connections end by the clock,
//! which `axum::serve` 0.8 does not do.

use std::net::IpAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::{Extension, Router};
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio_io_timeout::TimeoutStream;
use tokio_rustls::TlsAcceptor;

use super::super::app::App;
use super::super::gate::Door;
use super::guard::Peer;
use super::open::Open;
use super::routes;
use crate::out;

/// Longest wait for a whole request head, for a handshake, and for the next
/// request of a connection that is kept open.
const HEAD: Duration = Duration::from_secs(20);
/// Longest that what is answered may wait for a reader who takes nothing.
const UNREAD: Duration = Duration::from_secs(30);

/// Takes connections at any number of addresses.
#[derive(Clone)]
pub(crate) struct Taker {
    app: Arc<App>,
    pages: Router,
    elsewhere: Router,
    open: Open,
    stopping: watch::Receiver<bool>,
}

impl Taker {
    /// Takes connections until `stopping` says that the server stops.
    pub(crate) fn new(app: Arc<App>, stopping: watch::Receiver<bool>) -> Self {
        Self {
            pages: routes::routes(&app),
            elsewhere: routes::elsewhere(&app),
            app,
            open: Open::default(),
            stopping,
        }
    }

    /// Tells when the server stops.
    pub(super) fn stopping(&self) -> watch::Receiver<bool> {
        self.stopping.clone()
    }

    /// Takes connections at one address. When the server stops, those that are
    /// open finish what they are at; when this is dropped, they end.
    pub(crate) async fn take(
        mut self,
        listener: TcpListener,
        door: Door,
        encrypted: Option<TlsAcceptor>,
    ) {
        let mut connections = JoinSet::new();
        loop {
            let accepted = tokio::select! {
                accepted = listener.accept() => accepted,
                Some(_) = connections.join_next() => continue,
                _ = self.stopping.changed() => break,
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
            let Some(place) = self.open.take(peer.ip(), door) else {
                continue;
            };
            let (taker, encrypted) = (self.clone(), encrypted.clone());
            connections.spawn(async move {
                taker.one(stream, peer.ip(), door, encrypted).await;
                drop(place);
            });
        }
        drop(listener);
        while connections.join_next().await.is_some() {}
    }

    /// One connection, from its first byte to its last. One that breaks off is
    /// the visitor's affair.
    async fn one(
        self,
        stream: TcpStream,
        from: IpAddr,
        door: Door,
        encrypted: Option<TlsAcceptor>,
    ) {
        let Some(acceptor) = encrypted else {
            self.app.sharing.seen(door, from, true);
            let pages = self.pages.clone();
            return self.answer(patient(stream), pages, from, door).await;
        };
        let speaks_plainly = match tokio::time::timeout(HEAD, begins_plainly(&stream)).await {
            Ok(Ok(plain)) => plain,
            _ => return,
        };
        if speaks_plainly {
            // Somebody typed the address without "https".
            let elsewhere = self.elsewhere.clone();
            return self.answer(patient(stream), elsewhere, from, door).await;
        }
        let handshake = tokio::time::timeout(HEAD, acceptor.accept(patient(stream))).await;
        let is_done = matches!(handshake, Ok(Ok(_)));
        self.app.sharing.seen(door, from, is_done);
        if let Ok(Ok(stream)) = handshake {
            let pages = self.pages.clone();
            self.answer(stream, pages, from, door).await;
        }
    }

    async fn answer(
        mut self,
        stream: impl AsyncRead + AsyncWrite + Unpin,
        router: Router,
        ip: IpAddr,
        door: Door,
    ) {
        let service = TowerToHyperService::new(router.layer(Extension(Peer { ip, door })));
        let mut connection = std::pin::pin!(
            hyper::server::conn::http1::Builder::new()
                .timer(TokioTimer::new())
                .header_read_timeout(HEAD)
                .max_buf_size(64 * 1024)
                .serve_connection(TokioIo::new(stream), service)
        );
        tokio::select! {
            _ = connection.as_mut() => return,
            _ = self.stopping.changed() => connection.as_mut().graceful_shutdown(),
        }
        let _ = connection.await;
    }
}

/// Ends a connection whose other end does not take what it is sent.
fn patient(stream: TcpStream) -> std::pin::Pin<Box<TimeoutStream<TcpStream>>> {
    let mut stream = TimeoutStream::new(stream);
    stream.set_write_timeout(Some(UNREAD));
    Box::pin(stream)
}

/// Whether the first byte is none of a TLS handshake.
async fn begins_plainly(stream: &TcpStream) -> std::io::Result<bool> {
    const HANDSHAKE: u8 = 22;
    let mut first = [0];
    match stream.peek(&mut first).await? {
        0 => Err(std::io::ErrorKind::UnexpectedEof.into()),
        _ => Ok(first[0] != HANDSHAKE),
    }
}

//! The server from its first connection to its end.

use std::sync::Arc;
use std::time::Duration;

use tokio::net::TcpListener;
use tokio::sync::watch;

use super::super::app::App;
use super::super::gate::Door;
use super::lan::Lan;
use super::listen::Taker;
use crate::out;

/// How long connections may finish what they are at when the server stops.
const LAST_WORDS: Duration = Duration::from_secs(3);

/// Serves until interrupted. `started` is called once every address is
/// listened at that there is.
///
/// # Errors
/// An address that was asked for cannot be had. None that a single connection
/// makes; those only end that connection.
pub(crate) async fn run(
    listener: TcpListener,
    app: &Arc<App>,
    started: impl FnOnce() -> anyhow::Result<()>,
) -> anyhow::Result<()> {
    let (stop, stopping) = watch::channel(false);
    let taker = Taker::new(app.clone(), stopping);
    let mut lan = Lan::new(taker.clone(), app.clone());
    lan.look().await?;
    let here = tokio::spawn(taker.take(listener, Door::Here, None));
    let lan = tokio::spawn(lan.keep_looking());
    started()?;
    stopped().await;
    out::message("stopping; interrupt once more to end at once");
    tokio::spawn(async {
        stopped().await;
        std::process::exit(130);
    });
    app.dossiers.stop_all();
    app.proofs.stop_all();
    let _ = stop.send(true);
    let _ = tokio::time::timeout(LAST_WORDS, async {
        let _ = here.await;
        let _ = lan.await;
    })
    .await;
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

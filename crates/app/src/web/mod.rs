//! The local web app: a second face over the same crates, no arithmetic of
//! its own.
//!
//! `server` takes connections and keeps out what does not belong; `gate`
//! knows who is let in; `store` reads and saves the folder of jobs; `answers`
//! computes and remembers what the steps say; `view` turns reports, findings
//! and fields into HTML; `pages` has one file per page.

mod answers;
mod api;
mod app;
mod assets;
mod gate;
mod hash;
mod pages;
mod refused;
mod runs;
mod server;
mod store;
mod view;
mod work;

use std::net::{Ipv4Addr, SocketAddr};
use std::path::Path;
use std::sync::Arc;

use anyhow::{Context, Result};

use crate::Verdict;
use crate::out;
use app::App;

/// What the command line asks for.
pub(crate) struct Asked<'a> {
    /// Folder of jobs, or one job folder.
    pub(crate) dir: &'a Path,
    /// Port; 0 takes any that is free.
    pub(crate) port: u16,
}

/// Serves a folder of jobs until interrupted.
///
/// # Errors
/// The folder cannot be used, another server has it, or the port is taken.
pub(crate) fn serve(asked: &Asked<'_>) -> Result<Verdict> {
    let jobs = store::Jobs::open(asked.dir)?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("cannot start the server's threads")?;
    runtime.block_on(async {
        let at = SocketAddr::from((Ipv4Addr::LOCALHOST, asked.port));
        let listener = tokio::net::TcpListener::bind(at).await.with_context(|| {
            format!(
                "cannot listen at {at}; another program may have this port: try --port 0 for any free one"
            )
        })?;
        let port = listener.local_addr()?.port();
        let app = Arc::new(App::new(jobs, port));
        out::print(&format!(
            "http://127.0.0.1:{port}/enter?key={}\n",
            app.gate.laptop_key()
        ))?;
        out::message("Open this address in a browser on this machine. Ctrl-C stops the server.");
        server::log_panics();
        server::run(listener, app).await
    })?;
    Ok(Verdict::Clear)
}

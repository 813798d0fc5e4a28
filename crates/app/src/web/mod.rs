//! The local web app: a second face over the same crates, no arithmetic of
//! its own.
//!
//! `server` takes connections and keeps out what does not belong; `gate`
//! knows who is let in; `store` reads and saves the folder of jobs; `answers`
//! computes and remembers what the steps say, `drawn` how that looks; `view` turns reports, findings
//! and fields into HTML; `pages` has one file per page.

mod answers;
mod api;
mod app;
mod assets;
mod drawn;
mod form_token;
mod gate;
mod hash;
mod pages;
mod recording;
mod refused;
mod runs;
mod server;
mod store;
mod upload;
mod view;
mod work;

use std::io::{ErrorKind, IsTerminal};
use std::net::{IpAddr, Ipv4Addr};
use std::path::Path;
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use tokio::net::TcpListener;

use crate::Verdict;
use crate::out;
use app::App;
use gate::{Gate, Names};
pub(crate) use gate::{state_folder, write_private};
use server::{Firm, How, Shared, Sharing};

/// Where a folder is served that was served nowhere before.
const PORT: u16 = 8137;
/// How long work that keeps a thread busy may go on when the server stops.
const LAST_WORK: Duration = Duration::from_secs(2);

/// What the command line asks for.
pub(crate) struct Asked<'a> {
    /// Folder of jobs, or one job folder.
    pub(crate) dir: &'a Path,
    /// Port; 0 takes any that is free, none the one of the last time.
    pub(crate) port: Option<u16>,
    /// Offer the app on the local network: at every address, or at one.
    pub(crate) share: Option<Option<IpAddr>>,
    /// Not encrypted there.
    pub(crate) plain: bool,
    /// Certificate and key of a firm.
    pub(crate) tls: Option<(&'a Path, &'a Path)>,
}

impl Asked<'_> {
    fn shared(&self) -> Result<Shared> {
        let Some(only) = self.share else {
            return Ok(Shared::No);
        };
        if only.is_some_and(|at| at.is_unspecified()) {
            bail!("--share takes one address of this machine, or none for all on local networks");
        }
        let how = match self.tls {
            Some((certificate, key)) => How::Firm(Firm::read(certificate, key)?),
            None if self.plain => How::Plain,
            None => How::Own,
        };
        Ok(Shared::At { only, how })
    }
}

/// Serves a folder of jobs until interrupted.
///
/// # Errors
/// The folder cannot be used, another server has it, an address cannot be
/// listened at, or a certificate cannot be used.
pub(crate) fn serve(asked: &Asked<'_>) -> Result<Verdict> {
    let jobs = store::Jobs::open(asked.dir)?;
    let sharing = Sharing::new(asked.shared()?);
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .build()
        .context("cannot start the server's threads")?;
    let served = runtime.block_on(async {
        let listener = listener(jobs.root(), asked.port).await?;
        let names = Names {
            port: listener.local_addr()?.port(),
            of_machine: names_of_machine(&sharing),
        };
        let app = Arc::new(App::new(jobs, names, sharing));
        server::log_panics();
        server::run(listener, &app, || tell(&app)).await
    });
    runtime.shutdown_timeout(LAST_WORK);
    served?;
    Ok(Verdict::Clear)
}

/// Listens on this machine. The port stays the same for a folder: what
/// browsers keep, drafts and cookies, belongs to it.
async fn listener(root: &Path, asked: Option<u16>) -> Result<TcpListener> {
    let usual = asked.or_else(|| Gate::last_port(root)).unwrap_or(PORT);
    match TcpListener::bind((Ipv4Addr::LOCALHOST, usual)).await {
        Ok(listener) => Ok(listener),
        Err(error) if asked.is_none() && error.kind() == ErrorKind::AddrInUse => {
            out::message(&format!(
                "Port {usual} is taken by another program, so another one is used this time. \
                 Drafts that browsers keep belong to the old one; phones have to be paired again."
            ));
            let any = TcpListener::bind((Ipv4Addr::LOCALHOST, 0)).await;
            any.context("cannot listen on this machine")
        }
        Err(error) => Err(error).with_context(|| {
            format!(
                "cannot listen at 127.0.0.1:{usual}; another program may have this port: try --port 0 for any free one"
            )
        }),
    }
}

/// Names by which others may ask for this machine: those of a firm's
/// certificate, and the one that a network without a name server carries.
fn names_of_machine(sharing: &Sharing) -> Vec<String> {
    let mut names = sharing.certified_names().to_vec();
    let host = gethostname::gethostname().to_string_lossy().into_owned();
    let label = host.split('.').next().unwrap_or_default();
    if !label.is_empty()
        && label
            .bytes()
            .all(|b| b.is_ascii_alphanumeric() || b == b'-')
    {
        names.push(format!("{label}.local"));
    }
    names
}

/// Prints where the app is, and how a phone gets in.
fn tell(app: &App) -> Result<()> {
    out::print(&format!(
        "http://127.0.0.1:{}/enter?key={}\n",
        app.gate.names.port,
        app.gate.laptop_key()
    ))?;
    if app.sharing.is_on() {
        app.gate.new_code();
        let links = pages::links(app);
        for link in &links {
            out::print(&format!("{link}\n"))?;
        }
        if let Some(link) = links.first().filter(|_| std::io::stdout().is_terminal()) {
            out::print(&view::code::terminal(link))?;
        }
        out::message(match links.is_empty() {
            true => {
                "This machine has no address on a local network now; it is shared as soon as it has one."
            }
            false => {
                "Phones on the same network: open one of the later addresses, or point the camera at the code; good once, for ten minutes."
            }
        });
        for print in app.sharing.doors().values().flatten() {
            if let Some(print) = &print.fingerprint {
                out::message(&format!(
                    "A phone asks about a certificate once; its fingerprint (SHA-256) must be {print}"
                ));
            }
        }
        if app.sharing.scheme() == "http" {
            out::message("Not encrypted: anyone on this network can read what is sent (--plain).");
        }
    }
    out::message("Open the first address in a browser on this machine. Ctrl-C stops the server.");
    Ok(())
}

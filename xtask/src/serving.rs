//! `drywright serve` for a chore, ended with its owner.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};

use anyhow::{Context, Result};

/// A server on a folder of jobs.
pub(crate) struct Serving {
    child: Child,
    /// The address that lets in.
    pub(crate) address: String,
}

impl Drop for Serving {
    fn drop(&mut self) {
        // Ended already: nothing to do.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Serving {
    /// Starts one on `jobs`; what it keeps for the user lies in `state`.
    ///
    /// # Errors
    /// It cannot be built or started.
    pub(crate) fn on(root: &Path, jobs: &Path, state: &Path, release: bool) -> Result<Self> {
        let profile: &[&str] = if release { &["--release"] } else { &[] };
        let mut child = Command::new(std::env::var("CARGO").unwrap_or_else(|_| "cargo".into()))
            .current_dir(root)
            .args(["run", "--quiet"])
            .args(profile)
            .args(["--package", "drywright", "--", "serve"])
            .arg(jobs)
            .args(["--port", "0"])
            .env("XDG_STATE_HOME", state)
            .stdout(Stdio::piped())
            .spawn()
            .context("cannot start the server")?;
        let out = child.stdout.take().context("the server has no output")?;
        let mut address = String::new();
        BufReader::new(out)
            .read_line(&mut address)
            .context("the server said no address")?;
        Ok(Self {
            child,
            address: address.trim().to_owned(),
        })
    }

    /// The port that it listens at.
    ///
    /// # Errors
    /// It printed another kind of address.
    pub(crate) fn port(&self) -> Result<u16> {
        let after = self.address.strip_prefix("http://127.0.0.1:");
        let digits = after.and_then(|a| a.split('/').next());
        digits
            .and_then(|d| d.parse().ok())
            .with_context(|| format!("no port in {}", self.address))
    }

    /// The cookie that its address sets.
    ///
    /// # Errors
    /// It does not let in.
    pub(crate) fn cookie(&self) -> Result<String> {
        let port = self.port()?;
        let mut stream = TcpStream::connect(("127.0.0.1", port)).context("no connection")?;
        let path = self
            .address
            .split_once(&format!(":{port}"))
            .map_or("", |p| p.1);
        write!(
            stream,
            "GET {path} HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\nConnection: close\r\n\r\n"
        )?;
        let mut answer = String::new();
        stream.read_to_string(&mut answer)?;
        let set = answer
            .lines()
            .find(|l| l.to_ascii_lowercase().starts_with("set-cookie:"));
        let cookie = set.and_then(|l| l.split_once(':')?.1.split(';').next());
        Ok(cookie
            .context("the server set no cookie")?
            .trim()
            .to_owned())
    }
}

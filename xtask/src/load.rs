//! The web app under load: latency of the demonstration's pages at a steady
//! rate, what they weigh, and how long an edit takes to be answered.

use std::io::{BufRead as _, BufReader, Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::sync::Mutex;
use std::time::{Duration, Instant};

use anyhow::{Context, Result, bail};

use crate::peers::say;
use crate::serving::Serving;

/// Requests a second, over all pages in turn.
const RATE: u32 = 200;
/// How long it is kept up [s].
const FOR_S: u32 = 20;
/// Connections that share the requests.
const CONNECTIONS: u32 = 16;
/// Edits timed.
const EDITS: usize = 21;

/// Pages of one room, beside the list of jobs.
const SHEETS: [&str; 8] = [
    "survey", "load", "units", "day", "plan", "drain", "power", "findings",
];

/// Starts the release build, or the build for development where the command
/// line says `dev`, on a copy of the demonstration, asks its pages at
/// a steady rate, and prints latencies from the moment that each request was
/// due, weights on the wire, and the time from an edit to its answer.
///
/// # Errors
/// The server does not start, or an answer is none of 200.
pub(crate) fn run() -> Result<()> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"))
        .parent()
        .context("xtask has no parent folder")?;
    let folder = root.join("target/load");
    let job = folder.join("jobs/demonstration");
    std::fs::create_dir_all(&job).with_context(|| format!("cannot make {}", job.display()))?;
    for file in ["site.toml", "flower-2.room.toml"] {
        std::fs::copy(root.join("cases/demo").join(file), job.join(file))
            .with_context(|| format!("cannot copy {file}"))?;
    }
    let release = std::env::args().nth(2).as_deref() != Some("dev");
    let server = Serving::on(root, &folder.join("jobs"), &folder.join("state"), release)?;
    let (port, cookie) = (server.port()?, server.cookie()?);
    let room = "/jobs/demonstration/rooms/flower-2";
    let mut pages = vec!["/".to_owned()];
    pages.extend(SHEETS.iter().map(|s| format!("{room}/{s}")));

    let mut one = Connection::to(port, &cookie)?;
    for page in &pages {
        // Once to compute, once for what everybody after sees.
        one.get(page)?;
        let (bytes, took) = one.get(page)?;
        say(&format!(
            "{page:36} {:6.1} kB {:7.1} ms",
            bytes as f64 / 1000.0,
            ms(took)
        ))?;
    }

    let all = Mutex::new(Vec::new());
    let begin = Instant::now() + Duration::from_millis(200);
    std::thread::scope(|scope| -> Result<()> {
        let threads: Vec<_> = (0..CONNECTIONS)
            .map(|n| {
                let (all, pages, cookie) = (&all, &pages, &cookie);
                scope.spawn(move || -> Result<()> {
                    let mut own = Connection::to(port, cookie)?;
                    let mut took = Vec::new();
                    for k in (n..RATE * FOR_S).step_by(CONNECTIONS as usize) {
                        let due = begin + Duration::from_secs_f64(f64::from(k) / f64::from(RATE));
                        std::thread::sleep(due.saturating_duration_since(Instant::now()));
                        own.get(&pages[k as usize % pages.len()])?;
                        took.push(due.elapsed());
                    }
                    if let Ok(mut all) = all.lock() {
                        all.extend(took);
                    }
                    Ok(())
                })
            })
            .collect();
        for thread in threads {
            match thread.join() {
                Ok(done) => done?,
                Err(_) => bail!("a connection broke off"),
            }
        }
        Ok(())
    })?;
    let mut all = all.into_inner().unwrap_or_default();
    all.sort();
    say(&format!(
        "{} requests at {RATE} a second: half within {:.1} ms, 99 of 100 within {:.1} ms, all within {:.1} ms",
        all.len(),
        ms(share(&all, 0.5)),
        ms(share(&all, 0.99)),
        ms(share(&all, 1.0)),
    ))?;

    // An edit that nobody made before: load, first look and day anew. The first
    // connection was idle for too long.
    let mut one = Connection::to(port, &cookie)?;
    for sheet in ["load", "units", "day"] {
        let mut edits = Vec::new();
        for n in 0..EDITS {
            let canopy = format!("{}.{n:02}%20m2", 50 + sheet.len());
            let path = format!("{room}/{sheet}?try.crop.canopy={canopy}");
            edits.push(one.get(&path)?.1);
        }
        edits.sort();
        say(&format!(
            "an edit, answered on {sheet}: half within {:.0} ms, all within {:.0} ms",
            ms(share(&edits, 0.5)),
            ms(share(&edits, 1.0)),
        ))?;
    }
    Ok(())
}

fn ms(took: Duration) -> f64 {
    1000.0 * took.as_secs_f64()
}

/// The value that this share of sorted ones does not exceed.
fn share(sorted: &[Duration], share: f64) -> Duration {
    let last = sorted.len().saturating_sub(1);
    let at = (share * last as f64).ceil() as usize;
    sorted.get(at).copied().unwrap_or_default()
}

/// A connection that is kept.
struct Connection {
    stream: BufReader<TcpStream>,
    head: String,
}

impl Connection {
    fn to(port: u16, cookie: &str) -> Result<Self> {
        let stream = TcpStream::connect(("127.0.0.1", port)).context("no connection")?;
        stream.set_nodelay(true)?;
        Ok(Self {
            stream: BufReader::new(stream),
            head: format!(
                "Host: 127.0.0.1:{port}\r\nCookie: {cookie}\r\nAccept-Encoding: gzip\r\n"
            ),
        })
    }

    /// Asks a page: bytes of its body on the wire, and how long it took.
    fn get(&mut self, path: &str) -> Result<(usize, Duration)> {
        let begin = Instant::now();
        let request = format!("GET {path} HTTP/1.1\r\n{}\r\n", self.head);
        self.stream.get_mut().write_all(request.as_bytes())?;
        let mut status = String::new();
        self.stream.read_line(&mut status)?;
        if !status.starts_with("HTTP/1.1 200") {
            bail!("{path}: {}", status.trim());
        }
        let (mut length, mut chunked) = (None, false);
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line)?;
            let line = line.trim().to_ascii_lowercase();
            if line.is_empty() {
                break;
            }
            if let Some(n) = line.strip_prefix("content-length:") {
                length = Some(n.trim().parse::<usize>()?);
            }
            chunked |= line == "transfer-encoding: chunked";
        }
        let bytes = match (length, chunked) {
            (_, true) => self.chunks()?,
            (Some(length), _) => self.skip(length)?,
            (None, false) => bail!("{path}: an answer without a length"),
        };
        Ok((bytes, begin.elapsed()))
    }

    fn chunks(&mut self) -> Result<usize> {
        let mut bytes = 0;
        loop {
            let mut line = String::new();
            self.stream.read_line(&mut line)?;
            let size = usize::from_str_radix(line.trim(), 16)?;
            bytes += self.skip(size)?;
            self.skip(2)?;
            if size == 0 {
                return Ok(bytes);
            }
        }
    }

    fn skip(&mut self, bytes: usize) -> Result<usize> {
        let mut body = vec![0; bytes];
        self.stream.read_exact(&mut body)?;
        Ok(bytes)
    }
}

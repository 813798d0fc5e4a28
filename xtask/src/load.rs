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
/// How long as many as possible are asked \[s\].
const FLAT_OUT_S: u32 = 5;
/// Of 100 pages 99 are to be answered within this \[ms\].
const PAGE_MS: f64 = 50.0;
/// Half of the edits are to be answered within this \[ms\].
const EDIT_MS: f64 = 150.0;
/// Edits timed.
const EDITS: usize = 21;

/// The room.
const ROOM: &str = "/jobs/demonstration/rooms/flower-2";
/// Its pages, asked beside the list of jobs and that of rooms.
const SHEETS: [&str; 15] = [
    "survey", "load", "units", "day", "plan", "hanging", "drain", "power", "control", "findings",
    "compare", "dossier", "startup", "proof", "fault",
];

/// Starts the release build, or the build for development where the command
/// line says `dev`, on a copy of the demonstration, asks its pages at
/// a steady rate, and prints latencies from the moment that each request was
/// due, weights on the wire, how many requests it can answer at most, and the
/// time from an edit to its answer, by a socket and painted by a browser.
///
/// # Errors
/// The server does not start, an answer is none of 200, or the browser is
/// missing.
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
    let asked = Asked {
        port: server.port()?,
        cookie: server.cookie()?,
        pages: ["/".to_owned(), "/jobs/demonstration".to_owned()]
            .into_iter()
            .chain(SHEETS.iter().map(|s| format!("{ROOM}/{s}")))
            .collect(),
    };
    asked.weights()?;
    asked.at_a_rate()?;
    asked.flat_out()?;
    asked.edits()?;
    crate::browser::install_where_missing()?;
    // What is timed there is the server and the browser, not the bench itself.
    let bench = "bench --quiet --profile dev --package drywright --bench edit_to_paint --";
    let mut args: Vec<&str> = bench.split(' ').collect();
    args.extend([server.address.as_str(), ROOM]);
    crate::cargo(&args, &[])
}

/// What is asked, and of whom.
struct Asked {
    port: u16,
    cookie: String,
    pages: Vec<String>,
}

impl Asked {
    fn connection(&self) -> Result<Connection> {
        Connection::to(self.port, &self.cookie)
    }

    /// Each page once to compute, once for what everybody after sees.
    fn weights(&self) -> Result<()> {
        let mut one = self.connection()?;
        for page in &self.pages {
            one.get(page)?;
            let (bytes, took) = one.get(page)?;
            say(&format!(
                "{page:36} {:6.1} kB {:7.1} ms",
                bytes as f64 / 1000.0,
                ms(took)
            ))?;
        }
        Ok(())
    }

    /// Shares what `ask` does between all connections; each is told its number.
    fn together(
        &self,
        ask: impl Fn(u32, &mut Connection, &mut Vec<Duration>) -> Result<()> + Sync,
    ) -> Result<Vec<Duration>> {
        let all = Mutex::new(Vec::new());
        std::thread::scope(|scope| -> Result<()> {
            let threads: Vec<_> = (0..CONNECTIONS)
                .map(|n| {
                    let (all, ask) = (&all, &ask);
                    scope.spawn(move || -> Result<()> {
                        let (mut own, mut took) = (self.connection()?, Vec::new());
                        ask(n, &mut own, &mut took)?;
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
        Ok(all)
    }

    /// All pages in turn at [`RATE`], each timed from when it was due.
    fn at_a_rate(&self) -> Result<()> {
        let begin = Instant::now() + Duration::from_millis(200);
        let all = self.together(|n, own, took| {
            for k in (n..RATE * FOR_S).step_by(CONNECTIONS as usize) {
                let due = begin + Duration::from_secs_f64(f64::from(k) / f64::from(RATE));
                std::thread::sleep(due.saturating_duration_since(Instant::now()));
                own.get(&self.pages[k as usize % self.pages.len()])?;
                took.push(due.elapsed());
            }
            Ok(())
        })?;
        let late = ms(share(&all, 0.99));
        say(&format!(
            "{} requests at {RATE} a second: half within {:.1} ms, 99 of 100 within {late:.1} ms, {:.2} of the {PAGE_MS} ms aimed at; all within {:.1} ms",
            all.len(),
            ms(share(&all, 0.5)),
            late / PAGE_MS,
            ms(share(&all, 1.0)),
        ))
    }

    /// As many as it can answer, one after the other on each connection.
    fn flat_out(&self) -> Result<()> {
        let begin = Instant::now();
        let all = self.together(|n, own, took| {
            let pages = self.pages.iter().cycle().skip(n as usize);
            for page in pages.take_while(|_| begin.elapsed().as_secs() < u64::from(FLAT_OUT_S)) {
                took.push(own.get(page)?.1);
            }
            Ok(())
        })?;
        say(&format!(
            "at most {:.0} requests a second on {CONNECTIONS} connections, half within {:.1} ms",
            all.len() as f64 / begin.elapsed().as_secs_f64(),
            ms(share(&all, 0.5)),
        ))
    }

    /// Edits that nobody made before: load, first look and day anew.
    fn edits(&self) -> Result<()> {
        let mut one = self.connection()?;
        for sheet in ["load", "units", "day"] {
            let mut edits = Vec::new();
            for n in 0..EDITS {
                let canopy = format!("{}.{n:02}%20m2", 50 + sheet.len());
                let path = format!("{ROOM}/{sheet}?try.crop.canopy={canopy}");
                edits.push(one.get(&path)?.1);
            }
            edits.sort();
            let half = ms(share(&edits, 0.5));
            say(&format!(
                "an edit, answered on {sheet}: half within {half:.0} ms, {:.2} of the {EDIT_MS} ms aimed at; all within {:.0} ms",
                half / EDIT_MS,
                ms(share(&edits, 1.0)),
            ))?;
        }
        Ok(())
    }
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

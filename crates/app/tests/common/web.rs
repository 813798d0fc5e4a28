//! The web app run as a user runs it, and a small client that can also send
//! what no browser would.

use std::fs::File;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};

/// A room whose units are there, so that nothing has to be chosen.
pub(crate) const ROOM: &str = "# by hand\n[room]\nname = \"A\"\nlength = \"10 m\" # taped\nwidth = \"7 m\"\nheight = \"4 m\"\n\
    [light]\npower = \"8 kW\"\non = \"06:00\"\nphotoperiod = \"12 h\"\n\
    [crop]\nkind = \"tall flowering\"\ncanopy = \"40 m2\"\n\
    [target.lights_on]\ndry_bulb = \"24..27 °C\"\nrh = \"50..60 %\"\n\
    [[unit]]\ntag = \"D1\"\nmodel = \"generic-70\"\n[selection]\nmodels = [\"generic-70\"]\nmax_count = 2\n";

/// A server on a folder of its own.
pub(crate) struct Server {
    child: Child,
    flags: Vec<String>,
    /// The folder that is served.
    pub(crate) folder: tempfile::TempDir,
    /// What it keeps for this user.
    pub(crate) state: tempfile::TempDir,
    /// Where it listens.
    pub(crate) port: u16,
    /// The address that it printed.
    pub(crate) address: String,
    /// The addresses for phones that it printed.
    pub(crate) links: Vec<String>,
    /// The cookie of the machine that runs it.
    pub(crate) cookie: String,
}

/// What was answered.
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) headers: Vec<(String, String)>,
    pub(crate) body: String,
    /// The body as it came.
    pub(crate) bytes: Vec<u8>,
}

impl Answer {
    /// A header of this name, in small letters.
    pub(crate) fn header(&self, name: &str) -> Option<&str> {
        let found = self.headers.iter().find(|(n, _)| n == name)?;
        Some(&found.1)
    }

    /// The cookie that it sets, as it is sent back.
    pub(crate) fn cookie(&self) -> String {
        let cookie = self.header("set-cookie").unwrap();
        cookie.split(';').next().unwrap().to_owned()
    }
}

impl Server {
    /// Starts a server on a folder that `fill` has filled.
    pub(crate) fn start(fill: impl FnOnce(&Path)) -> Self {
        Self::with(&["--port", "0"], fill)
    }

    /// Starts one with these flags.
    pub(crate) fn with(flags: &[&str], fill: impl FnOnce(&Path)) -> Self {
        let folder = tempfile::tempdir().unwrap();
        fill(folder.path());
        let flags = flags.iter().map(|f| (*f).to_owned()).collect();
        Self::on(folder, tempfile::tempdir().unwrap(), flags)
    }

    /// Starts one with these flags on a job "one" with a room "a".
    pub(crate) fn with_room(flags: &[&str]) -> Self {
        Self::with(flags, |folder| {
            std::fs::create_dir(folder.join("one")).unwrap();
            std::fs::write(folder.join("one/a.room.toml"), ROOM).unwrap();
        })
    }

    fn on(folder: tempfile::TempDir, state: tempfile::TempDir, flags: Vec<String>) -> Self {
        let log = File::options()
            .create(true)
            .append(true)
            .open(state.path().join("log"))
            .unwrap();
        let mut child = Command::new(env!("CARGO_BIN_EXE_drywright"))
            .args(["serve", "."])
            .args(&flags)
            .current_dir(folder.path())
            .env("XDG_STATE_HOME", state.path())
            .stdout(Stdio::piped())
            .stderr(log)
            .spawn()
            .unwrap();
        let mut out = BufReader::new(child.stdout.take().unwrap());
        let mut line = || {
            let mut line = String::new();
            out.read_line(&mut line).unwrap();
            line.trim().to_owned()
        };
        let address = line();
        let links = match flags.iter().any(|f| f.starts_with("--share")) {
            true => vec![line()],
            false => Vec::new(),
        };
        let rest = address.strip_prefix("http://127.0.0.1:").unwrap();
        let (port, path) = rest.split_once('/').unwrap();
        let (port, path) = (port.parse().unwrap(), format!("/{path}"));
        let mut server = Self {
            child,
            flags,
            folder,
            state,
            port,
            address,
            links,
            cookie: String::new(),
        };
        let entered = server.ask("GET", &path, &[], b"");
        assert_eq!(entered.status, 303, "{}", entered.body);
        server.cookie = entered.cookie();
        server
    }

    /// Kills it as a power cut would, and starts another on the same folder
    /// and port.
    pub(crate) fn killed_and_back(self) -> Self {
        self.killed_changed_and_back(|_| ())
    }

    /// The same, with something done to what it keeps in between.
    pub(crate) fn killed_changed_and_back(mut self, change: impl FnOnce(&Path)) -> Self {
        self.child.kill().unwrap();
        self.child.wait().unwrap();
        change(self.state.path());
        let (folder, state) = (
            std::mem::replace(&mut self.folder, tempfile::tempdir().unwrap()),
            std::mem::replace(&mut self.state, tempfile::tempdir().unwrap()),
        );
        let mut flags = self.flags.clone();
        if let Some(at) = flags.iter().position(|f| f == "--port") {
            flags[at + 1] = self.port.to_string();
        }
        Self::on(folder, state, flags)
    }

    /// Interrupts it as Ctrl-C does; the code that it ends with.
    #[cfg(unix)]
    pub(crate) fn interrupted(&mut self) -> Option<i32> {
        let id = self.child.id().to_string();
        let sent = Command::new("kill").args(["-INT", &id]).status().unwrap();
        assert!(sent.success());
        self.child.wait().unwrap().code()
    }

    /// Most memory that it has ever taken \[MiB\]; only Linux tells.
    pub(crate) fn most_memory_mib(&self) -> Option<u64> {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id()));
        let status = status.ok().filter(|_| cfg!(target_os = "linux"))?;
        let peak = status.lines().find_map(|l| l.strip_prefix("VmHWM:"));
        let kib: u64 = peak
            .unwrap()
            .trim()
            .trim_end_matches(" kB")
            .parse()
            .unwrap();
        Some(kib / 1024)
    }

    /// What it said beside its results.
    pub(crate) fn log(&self) -> String {
        std::fs::read_to_string(self.state.path().join("log")).unwrap()
    }

    /// The file in which it keeps who is let in.
    pub(crate) fn visitors_file(&self) -> PathBuf {
        let all = super::files_below(self.state.path());
        let is = |p: &PathBuf| p.to_string_lossy().contains("visitors-");
        all.into_iter().find(is).unwrap()
    }

    /// A page as the machine's own browser asks for it.
    pub(crate) fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, &[("Cookie", &self.cookie)], b"")
    }

    /// A form as the machine's own browser sends it.
    pub(crate) fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let (origin, token) = (self.origin(), self.form_token());
        self.ask(
            "POST",
            path,
            &[
                ("Cookie", &self.cookie),
                ("Origin", &origin),
                ("Content-Type", "application/x-www-form-urlencoded"),
            ],
            form(&[&[(FORM_TOKEN, token.as_str())], fields].concat()).as_bytes(),
        )
    }

    /// A form with a file, as the machine's own browser sends it.
    pub(crate) fn upload(
        &self,
        path: &str,
        fields: &[(&str, &str)],
        (field, name, bytes): (&str, &str, &[u8]),
    ) -> Answer {
        let token = self.form_token();
        let mut body = Vec::new();
        for (name, text) in [&[(FORM_TOKEN, token.as_str())], fields].concat() {
            let part =
                format!("--x\r\nContent-Disposition: form-data; name=\"{name}\"\r\n\r\n{text}\r\n");
            body.extend_from_slice(part.as_bytes());
        }
        let part = format!(
            "--x\r\nContent-Disposition: form-data; name=\"{field}\"; filename=\"{name}\"\r\n\
             Content-Type: application/octet-stream\r\n\r\n"
        );
        body.extend_from_slice(part.as_bytes());
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n--x--\r\n");
        let headers = [
            ("Cookie", self.cookie.as_str()),
            ("Origin", &self.origin()),
            ("Content-Type", "multipart/form-data; boundary=x"),
        ];
        self.ask("POST", path, &headers, &body)
    }

    /// Where the machine's own browser says that its forms come from.
    pub(crate) fn origin(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// What the pages of this visitor carry in their forms.
    pub(crate) fn form_token(&self) -> String {
        form_token(&self.get("/"))
    }

    /// Anything; `Host` and `Content-Length` are added where they are not
    /// given.
    pub(crate) fn ask(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).unwrap();
        let host = format!("127.0.0.1:{}", self.port);
        exchange(stream, method, path, &host, headers, body)
    }
}

/// Name of the field that every form carries.
pub(crate) const FORM_TOKEN: &str = "form-token";

/// What the forms of a page carry; empty for those who are not let in.
pub(crate) fn form_token(page: &Answer) -> String {
    let found = page.body.split_once("name=\"form-token\" content=\"");
    let token = found.and_then(|(_, rest)| rest.split('"').next());
    token.unwrap_or_default().to_owned()
}

/// Sends one request and reads the answer to its end.
pub(crate) fn exchange(
    mut stream: impl Read + Write,
    method: &str,
    path: &str,
    host: &str,
    headers: &[(&str, &str)],
    body: &[u8],
) -> Answer {
    let given = |name: &str| headers.iter().any(|(n, _)| n.eq_ignore_ascii_case(name));
    let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
    if !given("host") {
        head.push_str(&format!("Host: {host}\r\n"));
    }
    if !given("content-length") && !given("transfer-encoding") && !body.is_empty() {
        head.push_str(&format!("Content-Length: {}\r\n", body.len()));
    }
    for (name, value) in headers {
        head.push_str(&format!("{name}: {value}\r\n"));
    }
    head.push_str("\r\n");
    // A server that refuses early may close before all is sent.
    let _ = stream.write_all(head.as_bytes());
    let _ = stream.write_all(body);
    let _ = stream.flush();
    let mut bytes = Vec::new();
    let _ = stream.read_to_end(&mut bytes);
    answer(&bytes)
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn answer(bytes: &[u8]) -> Answer {
    let end = bytes.windows(4).position(|w| w == b"\r\n\r\n").unwrap_or(0);
    let head = String::from_utf8_lossy(&bytes[..end]).into_owned();
    let mut lines = head.lines();
    let status = lines
        .next()
        .and_then(|l| l.split(' ').nth(1)?.parse().ok())
        .unwrap_or(0);
    let headers: Vec<(String, String)> = lines
        .filter_map(|l| l.split_once(": "))
        .map(|(n, v)| (n.to_lowercase(), v.to_owned()))
        .collect();
    let raw = bytes.get(end + 4..).unwrap_or_default();
    let chunked = headers
        .iter()
        .any(|(n, v)| n == "transfer-encoding" && v == "chunked");
    let body = if chunked { joined(raw) } else { raw.to_vec() };
    Answer {
        status,
        headers,
        body: String::from_utf8_lossy(&body).into_owned(),
        bytes: body,
    }
}

/// Chunks put together.
fn joined(mut raw: &[u8]) -> Vec<u8> {
    let mut body = Vec::new();
    while let Some(end) = raw.windows(2).position(|w| w == b"\r\n") {
        let size = std::str::from_utf8(&raw[..end])
            .ok()
            .and_then(|s| usize::from_str_radix(s.trim(), 16).ok())
            .unwrap_or(0);
        let from = end + 2;
        if size == 0 || raw.len() < from + size {
            break;
        }
        body.extend_from_slice(&raw[from..from + size]);
        raw = raw.get(from + size + 2..).unwrap_or_default();
    }
    body
}

/// Fields as a browser sends them.
pub(crate) fn form(fields: &[(&str, &str)]) -> String {
    let pair = |(k, v): &(&str, &str)| format!("{}={}", encoded(k), encoded(v));
    fields.iter().map(pair).collect::<Vec<_>>().join("&")
}

/// A text as a part of a form.
pub(crate) fn encoded(text: &str) -> String {
    text.bytes()
        .map(|b| match b {
            b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'_' | b'.' => {
                char::from(b).to_string()
            }
            _ => format!("%{b:02X}"),
        })
        .collect()
}

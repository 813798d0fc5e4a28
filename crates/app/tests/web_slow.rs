//! Connections that are silent, slow or too many: each ends by the clock or
//! is not taken, and nobody else is kept out meanwhile.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::io::{ErrorKind, Read, Write};
use std::net::TcpStream;
use std::thread::{sleep, spawn};
use std::time::{Duration, Instant};

use common::phone::{LAN, Phone, SHARED, connect};
use common::web::Server;

/// Far beyond every limit of the server.
const AT_LAST: Duration = Duration::from_secs(150);

fn served() -> Server {
    let flags = [&SHARED[..], &["--plain"]].concat();
    Server::with_room(&flags)
}

/// Sends the first part, then a byte a second for as long as that is taken;
/// what was answered before the other end closed.
fn dripped(port: u16, first: &[u8], then: Option<u8>) -> String {
    let mut stream = connect([127, 0, 1, 1], LAN, port).unwrap();
    stream.write_all(first).unwrap();
    stream
        .set_read_timeout(Some(Duration::from_secs(1)))
        .unwrap();
    let began = Instant::now();
    let mut answer = Vec::new();
    loop {
        assert!(began.elapsed() < AT_LAST, "held open");
        let mut some = [0; 4096];
        match stream.read(&mut some) {
            Ok(0) => break,
            Ok(n) => answer.extend_from_slice(&some[..n]),
            Err(e) if matches!(e.kind(), ErrorKind::WouldBlock | ErrorKind::TimedOut) => {
                if let Some(byte) = then {
                    let _ = stream.write_all(&[byte]);
                }
            }
            Err(_) => break,
        }
    }
    String::from_utf8_lossy(&answer).into_owned()
}

#[test]
fn silent_and_dripping_ones_end_and_others_are_served_meanwhile() {
    let server = served();
    let mut phone = Phone::new(&server, 9);
    phone.pair(&server);
    let port = server.port;
    let half = b"GET / HTTP/1.1\r\nHost: 127.0.0.2\r\nX: ";
    let body = format!(
        "POST /choices HTTP/1.1\r\nHost: 127.0.0.2:{port}\r\nOrigin: http://127.0.0.2:{port}\r\n\
         Cookie: {}\r\nContent-Type: application/x-www-form-urlencoded\r\nContent-Length: 5000\r\n\r\n",
        phone.cookie
    );
    let idle = format!("GET /pair HTTP/1.1\r\nHost: 127.0.0.2:{port}\r\n\r\n");
    let slow = [
        spawn(move || dripped(port, b"", None)),
        spawn(move || dripped(port, half, None)),
        spawn(move || dripped(port, half, Some(b'x'))),
        spawn(move || dripped(port, idle.as_bytes(), None)),
        spawn(move || dripped(port, body.as_bytes(), Some(b'x'))),
    ];
    let mut served = 0;
    while slow.iter().any(|s| !s.is_finished()) {
        assert_eq!(server.get("/").status, 200);
        assert_eq!(phone.get("/").status, 200);
        served += 1;
        sleep(Duration::from_millis(500));
    }
    assert!(0 < served);
    let [silent, half, dripping, idle, body] = slow.map(|s| s.join().unwrap());
    assert_eq!(silent, "");
    for head in [half, dripping] {
        assert!(head.is_empty() || head.starts_with("HTTP/1.1 4"), "{head}");
    }
    assert!(idle.starts_with("HTTP/1.1 200"), "{idle}");
    assert!(body.starts_with("HTTP/1.1 408"), "{body}");
    assert!(body.contains("did not arrive in time"), "{body}");
}

#[test]
fn a_reader_that_takes_nothing_does_not_keep_its_connection() {
    let server = served();
    let page = server.get("/").body;
    let (_, rest) = page.split_once("/assets/style-").unwrap();
    let style = format!("/assets/style-{}", rest.split('"').next().unwrap());
    let head = format!(
        "GET {style} HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n",
        server.port
    );
    let mut stream = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
    stream.set_nonblocking(true).unwrap();
    // Far more than the buffers on the way hold.
    let asked = head.repeat(4000);
    let (began, mut sent) = (Instant::now(), 0);
    loop {
        assert!(began.elapsed() < AT_LAST, "held open");
        let left = asked.as_bytes().get(sent..).filter(|l| !l.is_empty());
        match stream.write(left.unwrap_or(b"G")) {
            Ok(n) => sent += n,
            Err(e) if e.kind() == ErrorKind::WouldBlock => sleep(Duration::from_millis(200)),
            Err(_) => break,
        }
    }
    assert_eq!(server.get("/").status, 200);
}

/// How many of these the server holds open.
fn held(streams: &mut [TcpStream]) -> usize {
    let is_held = |stream: &mut TcpStream| {
        stream.set_nonblocking(true).unwrap();
        matches!(stream.read(&mut [0]), Err(e) if e.kind() == ErrorKind::WouldBlock)
    };
    streams
        .iter_mut()
        .filter_map(|s| is_held(s).then_some(()))
        .count()
}

#[test]
fn two_hundred_from_one_address_keep_no_other_out() {
    let server = served();
    let port = server.port;
    for (to, most) in [(LAN, 16), ([127, 0, 0, 1], 128)] {
        let mut streams: Vec<TcpStream> = (0..200)
            .filter_map(|_| connect([127, 0, 1, 1], to, port).ok())
            .collect();
        assert_eq!(streams.len(), 200);
        let began = Instant::now();
        while most < held(&mut streams) {
            assert!(began.elapsed() < Duration::from_secs(15), "all are taken");
            sleep(Duration::from_millis(20));
        }
        assert_eq!(held(&mut streams), most);
        // Another address, on the network and on this machine, is answered.
        assert_eq!(Phone::new(&server, 2).get("/pair").status, 200);
        assert_eq!(server.get("/").status, 200);
        // Those that go make room.
        drop(streams);
        let host = format!("127.0.0.{}:{port}", to[3]);
        let began = Instant::now();
        loop {
            let again = connect([127, 0, 1, 1], to, port).unwrap();
            match common::web::exchange(again, "GET", "/nothing", &host, &[], b"").status {
                404 => break,
                // Not taken yet.
                status => assert_eq!(status, 0),
            }
            assert!(began.elapsed() < AT_LAST, "no room is made");
        }
    }
}

/// A body of which no length is told ends where it is larger than a form, or a
/// zip, may be; nothing of it reaches the disk.
#[test]
fn a_body_without_an_end_is_cut_off() {
    let server = Server::with_room(&["--port", "0"]);
    let token = server.form_token();
    let upload = format!(
        "--x\r\nContent-Disposition: form-data; name=\"form-token\"\r\n\r\n{token}\r\n\
         --x\r\nContent-Disposition: form-data; name=\"zip\"; filename=\"a.zip\"\r\n\r\n"
    );
    let form = format!("form-token={token}&units=us&more=");
    let before = common::files_below(server.folder.path());
    for (path, kind, first, most) in [
        ("/choices", "application/x-www-form-urlencoded", &form, 10),
        (
            "/jobs/open",
            "multipart/form-data; boundary=x",
            &upload,
            120,
        ),
        ("/jobs/open", "multipart/form-data; boundary=x", &form, 10),
    ] {
        let head = format!(
            "POST {path} HTTP/1.1\r\nHost: 127.0.0.1:{0}\r\nOrigin: http://127.0.0.1:{0}\r\n\
             Cookie: {1}\r\nContent-Type: {kind}\r\nTransfer-Encoding: chunked\r\n\r\n",
            server.port, server.cookie
        );
        let mut stream = TcpStream::connect(("127.0.0.1", server.port)).unwrap();
        let chunk =
            |bytes: &[u8]| [format!("{:x}\r\n", bytes.len()).as_bytes(), bytes, b"\r\n"].concat();
        stream.write_all(head.as_bytes()).unwrap();
        stream.write_all(&chunk(first.as_bytes())).unwrap();
        let million = chunk(&vec![b'a'; 1_000_000]);
        let mut sent = 0;
        while sent < 1000 && stream.write_all(&million).is_ok() {
            sent += 1;
        }
        assert!(sent <= most, "{path}: {sent} MB were taken");
        assert_eq!(server.get("/").status, 200);
        assert_eq!(common::files_below(server.folder.path()), before);
    }
}

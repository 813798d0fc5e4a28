//! Sharing over TLS: a certificate of our own that stays, and one of a firm.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::io::{Read, Write};

use common::files_below;
use common::phone::{Phone, SHARED, asking, code};
use common::web::{Server, form_token};

/// The certificate that the server made for itself.
fn own_certificate(server: &Server) -> String {
    let all = files_below(server.state.path());
    let is = |p: &&std::path::PathBuf| p.to_string_lossy().contains("certificate-");
    let kept = std::fs::read_to_string(all.iter().find(is).unwrap()).unwrap();
    let kept: serde_json::Value = serde_json::from_str(&kept).unwrap();
    kept["certificate"].as_str().unwrap().to_owned()
}

#[test]
fn it_is_encrypted_with_a_certificate_that_stays() {
    let server = Server::with_room(&SHARED);
    assert!(
        server.links[0].starts_with("https://127.0.0.2:"),
        "{:?}",
        server.links
    );
    let certificate = own_certificate(&server);
    let mut phone = Phone::trusting(&server, 1, "127.0.0.2", &certificate);
    phone.give(&code(&server));
    assert!(
        phone.cookie.starts_with("__Host-drywright-"),
        "{}",
        phone.cookie
    );
    server.post("/share", &[("act", "admit"), ("id", &asking(&server))]);
    assert_eq!(phone.get("/").status, 200);
    assert_eq!(phone.post("/choices", &[("units", "us")]).status, 303);
    // From a page that was not encrypted: not ours.
    let own = format!("http://127.0.0.2:{}", server.port);
    let token = form_token(&phone.get("/"));
    let headers = [
        ("Cookie", phone.cookie.as_str()),
        ("Origin", &own),
        ("X-Form-Token", &token),
    ];
    assert_eq!(
        phone.ask("POST", "/choices", &headers, b"units=us").status,
        403
    );

    // Who speaks plainly is sent to the encrypted address, and told nothing.
    let plain = Phone::new(&server, 2);
    for path in ["/", "/pair/12345678", "/assets/page.js"] {
        let sent = plain.ask("GET", path, &[("Cookie", &phone.cookie)], b"");
        assert_eq!(sent.status, 307, "{path}");
        assert_eq!(
            sent.header("location"),
            Some(&*format!("https://127.0.0.2:{}/", server.port))
        );
        assert!(sent.body.is_empty());
    }
    let page = server.get("/share").body;
    assert!(page.contains("127.0.1.1"), "{page}");
    let shown = page
        .split("<code>")
        .find(|c| c.matches(':').count() == 31)
        .unwrap();
    let server = server.killed_and_back();
    assert_eq!(own_certificate(&server), certificate);
    assert!(server.get("/share").body.contains(&shown[..95]));
    assert_eq!(phone.get("/").status, 200);
}

#[test]
fn a_phone_that_breaks_off_at_the_certificate_is_seen() {
    let server = Server::with_room(&SHARED);
    let mut stream = Phone::new(&server, 7).connect();
    // The first byte of a handshake, then none of its rest.
    stream.write_all(&[22, 3, 1, 0, 1, 0]).unwrap();
    let _ = stream.read_to_end(&mut Vec::new());
    let page = server.get("/share").body;
    assert!(
        page.contains("127.0.1.7") && page.contains("broke off at the certificate"),
        "{page}"
    );
}

#[test]
fn a_firm_brings_its_own_certificate() {
    let files = tempfile::tempdir().unwrap();
    let names = ["laptop.firm.test", "*.firm.test"].map(str::to_owned);
    let made = rcgen::generate_simple_self_signed(names).unwrap();
    let other = rcgen::KeyPair::generate().unwrap().serialize_pem();
    let path = |name: &str| files.path().join(name).to_str().unwrap().to_owned();
    let (certificate, key, wrong) = (path("c.pem"), path("k.pem"), path("w.pem"));
    std::fs::write(&certificate, made.cert.pem()).unwrap();
    std::fs::write(&key, made.signing_key.serialize_pem()).unwrap();
    std::fs::write(&wrong, other).unwrap();

    let tls = |certificate: &str, key: &str| {
        let mut flags = SHARED.map(str::to_owned).to_vec();
        flags.extend(["--tls".to_owned(), certificate.to_owned(), key.to_owned()]);
        flags
    };
    for (certificate, key, says) in [
        (&certificate, &wrong, "cannot be used together"),
        (&key, &key, "holds no certificate"),
        (&certificate, &certificate, "key "),
        (&path("none.pem"), &key, "none.pem"),
    ] {
        let mut args = vec!["serve".to_owned(), ".".to_owned()];
        args.extend(tls(certificate, key));
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let ran = common::drywright(files.path(), &args);
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(ran.err.contains(says), "{}", ran.err);
    }

    let flags = tls(&certificate, &key);
    let server = Server::with_room(&flags.iter().map(String::as_str).collect::<Vec<_>>());
    assert!(
        server.links[0].starts_with("https://laptop.firm.test:"),
        "{:?}",
        server.links
    );
    let mut phone = Phone::trusting(&server, 1, "laptop.firm.test", &made.cert.pem());
    phone.pair(&server);
    assert_eq!(phone.get("/").status, 200);
    // A name that the certificate covers and that is not this machine's.
    let other = Phone::trusting(&server, 1, "else.firm.test", &made.cert.pem());
    assert_eq!(other.get("/pair").status, 421);
}

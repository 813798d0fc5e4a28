//! A phone on the local network, for which 127.0.0.2 stands here.

use std::net::TcpStream;
use std::sync::Arc;
use std::time::Duration;

use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, ServerName};
use tokio_rustls::rustls::{ClientConfig, ClientConnection, RootCertStore, StreamOwned};

use super::web::{Answer, FORM_TOKEN, Server, exchange, form, form_token};

/// The address of the local network at which tests share.
pub(crate) const LAN: [u8; 4] = [127, 0, 0, 2];

/// Flags that share there.
pub(crate) const SHARED: [&str; 3] = ["--port", "0", "--share=127.0.0.2"];

/// A connection from one address to another.
pub(crate) fn connect(from: [u8; 4], to: [u8; 4], port: u16) -> std::io::Result<TcpStream> {
    let runtime = tokio::runtime::Builder::new_current_thread()
        .enable_io()
        .build()?;
    let stream = runtime.block_on(async {
        let socket = tokio::net::TcpSocket::new_v4()?;
        socket.bind((from, 0).into())?;
        socket.connect((to, port).into()).await?.into_std()
    })?;
    stream.set_nonblocking(false)?;
    stream.set_read_timeout(Some(Duration::from_secs(120)))?;
    Ok(stream)
}

/// A phone.
pub(crate) struct Phone {
    port: u16,
    from: [u8; 4],
    /// What it asks for.
    host: String,
    trusts: Option<Arc<ClientConfig>>,
    /// What it was given.
    pub(crate) cookie: String,
}

impl Phone {
    /// One that speaks plainly, from 127.0.1.N.
    pub(crate) fn new(server: &Server, n: u8) -> Self {
        Self {
            port: server.port,
            from: [127, 0, 1, n],
            host: "127.0.0.2".into(),
            trusts: None,
            cookie: String::new(),
        }
    }

    /// One that takes this certificate and no other, for the name it asks for.
    pub(crate) fn trusting(server: &Server, n: u8, host: &str, pem: &str) -> Self {
        let mut roots = RootCertStore::empty();
        roots
            .add(CertificateDer::from_pem_slice(pem.as_bytes()).unwrap())
            .unwrap();
        let config = ClientConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()
            .unwrap()
            .with_root_certificates(roots)
            .with_no_client_auth();
        Self {
            host: host.into(),
            trusts: Some(Arc::new(config)),
            ..Self::new(server, n)
        }
    }

    /// A connection to the machine that shares.
    pub(crate) fn connect(&self) -> TcpStream {
        connect(self.from, LAN, self.port).unwrap()
    }

    pub(crate) fn ask(
        &self,
        method: &str,
        path: &str,
        headers: &[(&str, &str)],
        body: &[u8],
    ) -> Answer {
        let host = format!("{}:{}", self.host, self.port);
        match &self.trusts {
            None => exchange(self.connect(), method, path, &host, headers, body),
            Some(config) => {
                let name = ServerName::try_from(self.host.clone()).unwrap();
                let client = ClientConnection::new(config.clone(), name).unwrap();
                let stream = StreamOwned::new(client, self.connect());
                exchange(stream, method, path, &host, headers, body)
            }
        }
    }

    pub(crate) fn get(&self, path: &str) -> Answer {
        self.ask("GET", path, &[("Cookie", &self.cookie)], b"")
    }

    pub(crate) fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let scheme = if self.trusts.is_some() {
            "https"
        } else {
            "http"
        };
        let origin = format!("{scheme}://{}:{}", self.host, self.port);
        let headers = [
            ("Cookie", self.cookie.as_str()),
            ("Origin", &origin),
            ("Content-Type", "application/x-www-form-urlencoded"),
        ];
        // Before it is paired it has none.
        let token = match self.cookie.is_empty() {
            true => String::new(),
            false => form_token(&self.get("/")),
        };
        let fields = [&[(FORM_TOKEN, token.as_str())], fields].concat();
        self.ask("POST", path, &headers, form(&fields).as_bytes())
    }

    /// Gives the code; keeps the cookie. Not let in yet.
    pub(crate) fn give(&mut self, code: &str) {
        let given = self.post("/pair", &[("code", code), ("name", "Ana's phone")]);
        assert_eq!(given.status, 303, "{}", given.body);
        assert_eq!(given.header("location"), Some("/pair/wait"));
        self.cookie = given.cookie();
    }

    /// Is paired: gives the laptop's code, and the laptop says yes.
    pub(crate) fn pair(&mut self, server: &Server) {
        server.post("/share", &[("act", "new-code")]);
        self.give(&code(server));
        let asking = asking(server);
        assert_eq!(
            server
                .post("/share", &[("act", "admit"), ("id", &asking)])
                .status,
            303
        );
    }
}

/// The code that the laptop shows.
pub(crate) fn code(server: &Server) -> String {
    let page = server.get("/share").body;
    let (_, rest) = page.split_once("and type the digits").unwrap();
    let (_, rest) = rest.split_once("class=\"shows\">").unwrap();
    let shown = rest.split('<').next().unwrap();
    shown.chars().filter(char::is_ascii_digit).collect()
}

/// The one phone that asks to be let in.
pub(crate) fn asking(server: &Server) -> String {
    let page = server.get("/share").body;
    assert_eq!(page.matches("Let this phone in?").count(), 1, "{page}");
    let (_, rest) = page.split_once("Let this phone in?").unwrap();
    let (_, rest) = rest.split_once("name=\"id\" value=\"").unwrap();
    rest.split('"').next().unwrap().to_owned()
}

//! Through which address a connection came, and the names that this server
//! answers to there.

use std::net::IpAddr;

/// Through which address a connection came.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Door {
    /// This machine's own address, which no other machine reaches.
    Here,
    /// An address of the local network.
    Lan {
        /// The address.
        at: IpAddr,
        /// Whether what is said is encrypted.
        tls: bool,
    },
}

impl Door {
    /// "http" or "https".
    pub(crate) const fn scheme(self) -> &'static str {
        match self {
            Self::Lan { tls: true, .. } => "https",
            _ => "http",
        }
    }
}

/// Names of this server.
pub(crate) struct Names {
    /// Where it listens.
    pub(crate) port: u16,
    /// Names of the machine on the local network.
    pub(crate) of_machine: Vec<String>,
}

impl Names {
    /// Whether a Host header names this server as a browser writes it: a name
    /// that no page from elsewhere can have, and our port.
    pub(crate) fn is_own(&self, host: &str, door: Door) -> bool {
        let own = match door {
            Door::Here => vec!["localhost".into(), "127.0.0.1".into(), "[::1]".into()],
            Door::Lan { at, .. } => {
                let mut names = self.of_machine.clone();
                names.push(literal(at));
                names
            }
        };
        own.iter()
            .any(|name| host.eq_ignore_ascii_case(&self.with_port(name, door.scheme())))
    }

    /// The address of a path on the machine of this name.
    pub(crate) fn href(&self, name: &str, scheme: &str, path: &str) -> String {
        format!("{scheme}://{}{path}", self.with_port(name, scheme))
    }

    /// The address of a path at this address.
    pub(crate) fn at(&self, at: IpAddr, scheme: &str, path: &str) -> String {
        self.href(&literal(at), scheme, path)
    }

    /// A browser leaves a scheme's own port out.
    fn with_port(&self, name: &str, scheme: &str) -> String {
        match (scheme, self.port) {
            ("http", 80) | ("https", 443) => name.to_owned(),
            (_, port) => format!("{name}:{port}"),
        }
    }
}

/// An address as it stands in a URL.
pub(crate) fn literal(at: IpAddr) -> String {
    match at {
        IpAddr::V4(v4) => v4.to_string(),
        IpAddr::V6(v6) => format!("[{v6}]"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const LAN: Door = Door::Lan {
        at: IpAddr::V4(std::net::Ipv4Addr::new(192, 168, 1, 20)),
        tls: true,
    };

    #[test]
    fn only_the_names_of_a_door_are_own() {
        let names = Names {
            port: 8137,
            of_machine: vec!["barrow.local".into()],
        };
        for (host, here, lan) in [
            ("localhost:8137", true, false),
            ("LOCALHOST:8137", true, false),
            ("127.0.0.1:8137", true, false),
            ("[::1]:8137", true, false),
            ("192.168.1.20:8137", false, true),
            ("Barrow.local:8137", false, true),
            ("192.168.1.21:8137", false, false),
            ("192.168.1.20:8138", false, false),
            ("192.168.1.20", false, false),
            ("[localhost]:8137", false, false),
            ("localhost:+8137", false, false),
            ("localhost:08137", false, false),
            ("localhost.:8137", false, false),
            ("evil.example:8137", false, false),
            ("user@localhost:8137", false, false),
            ("127.1:8137", false, false),
            ("", false, false),
        ] {
            assert_eq!(names.is_own(host, Door::Here), here, "{host}");
            assert_eq!(names.is_own(host, LAN), lan, "{host}");
        }
        let web = Names {
            port: 443,
            of_machine: Vec::new(),
        };
        assert!(web.is_own("192.168.1.20", LAN) && !web.is_own("192.168.1.20:443", LAN));
        assert_eq!(web.href("a.local", "https", "/"), "https://a.local/");
        assert_eq!(
            names.href("[fe::1]", "https", "/x"),
            "https://[fe::1]:8137/x"
        );
    }
}

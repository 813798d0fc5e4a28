//! What pages are encrypted with on the local network: a certificate of our
//! own for each address, or the one of a firm.

use std::net::IpAddr;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use anyhow::{Context, Result, bail};
use rcgen::{CertificateParams, DnType, ExtendedKeyUsagePurpose, IsCa, KeyPair};
use serde::{Deserialize, Serialize};
use tokio_rustls::rustls::ServerConfig;
use tokio_rustls::rustls::crypto::ring::default_provider;
use tokio_rustls::rustls::pki_types::pem::PemObject;
use tokio_rustls::rustls::pki_types::{CertificateDer, PrivateKeyDer};

use super::super::gate::{now_s, state_folder, write_private};
use super::super::hash::sha256;
use crate::out;

const DAY_S: u64 = 24 * 3600;
/// How long a certificate of our own is good. Phones take none that is good
/// for longer than 825 days (from memory; well below it).
const GOOD_S: u64 = 397 * DAY_S;
/// It is made anew when it is good for less than this.
const RENEW_S: u64 = 30 * DAY_S;

/// A certificate in use.
#[derive(Clone)]
pub(crate) struct Certificate {
    /// What connections are taken with.
    pub(crate) config: Arc<ServerConfig>,
    /// SHA-256 of it, as a phone shows it too.
    pub(crate) fingerprint: String,
}

/// A firm's own certificate.
#[derive(Clone)]
pub(crate) struct Firm {
    /// What connections are taken with.
    pub(crate) certificate: Certificate,
    /// Names that it is made out to.
    pub(crate) names: Vec<String>,
}

impl Firm {
    /// Reads a chain and its key from PEM files.
    ///
    /// # Errors
    /// A file cannot be read, holds no certificate or no key, or the two do
    /// not belong together.
    pub(crate) fn read(chain: &Path, key: &Path) -> Result<Self> {
        let in_chain = || format!("certificate {}", chain.display());
        let in_key = || format!("key {}", key.display());
        let certificates: Vec<CertificateDer<'static>> = CertificateDer::pem_file_iter(chain)
            .with_context(in_chain)?
            .collect::<Result<_, _>>()
            .with_context(in_chain)?;
        let Some(first) = certificates.first() else {
            bail!("{} holds no certificate in PEM form", chain.display());
        };
        let leaf = webpki::EndEntityCert::try_from(first).with_context(in_chain)?;
        let names = leaf.valid_dns_names();
        let names = names.filter(|n| !n.contains('*')).map(str::to_owned);
        let names = names.collect();
        let secret = PrivateKeyDer::from_pem_file(key).with_context(in_key)?;
        let certificate = Certificate::of(certificates, secret).with_context(|| {
            format!(
                "{} and {} cannot be used together",
                chain.display(),
                key.display()
            )
        })?;
        Ok(Self { certificate, names })
    }
}

impl Certificate {
    fn of(chain: Vec<CertificateDer<'static>>, key: PrivateKeyDer<'static>) -> Result<Self> {
        let fingerprint = chain
            .first()
            .map_or_else(String::new, |c| pairs(&sha256(c)));
        let mut config = ServerConfig::builder_with_provider(Arc::new(default_provider()))
            .with_safe_default_protocol_versions()?
            .with_no_client_auth()
            .with_single_cert(chain, key)?;
        config.alpn_protocols = vec![b"http/1.1".to_vec()];
        Ok(Self {
            config: Arc::new(config),
            fingerprint,
        })
    }

    /// Our own for this address: the one of the last time while it is good, so
    /// that a phone that took it need not take another one.
    ///
    /// # Errors
    /// It cannot be made.
    pub(crate) fn own(at: IpAddr, names: &[String]) -> Result<Self> {
        let file = state_folder().map(|f| f.join(format!("certificate-{}.json", file_name(at))));
        let made = match file.as_deref().and_then(Made::kept) {
            Some(kept) => kept,
            None => Made::anew(at, names, file)?,
        };
        Self::of(
            vec![CertificateDer::from_pem_slice(made.certificate.as_bytes())?],
            PrivateKeyDer::from_pem_slice(made.key.as_bytes())?,
        )
    }
}

/// A certificate as it is kept.
#[derive(Serialize, Deserialize)]
struct Made {
    good_until_s: u64,
    certificate: String,
    key: String,
}

impl Made {
    fn kept(file: &Path) -> Option<Self> {
        let made: Self = serde_json::from_slice(&std::fs::read(file).ok()?).ok()?;
        (now_s() + RENEW_S < made.good_until_s).then_some(made)
    }

    fn anew(at: IpAddr, names: &[String], file: Option<PathBuf>) -> Result<Self> {
        let mut subjects = names.to_vec();
        subjects.push(at.to_string());
        let mut params = CertificateParams::new(subjects)?;
        params
            .distinguished_name
            .push(DnType::CommonName, format!("Drywright at {at}"));
        params.is_ca = IsCa::ExplicitNoCa;
        params.extended_key_usages = vec![ExtendedKeyUsagePurpose::ServerAuth];
        let now_s = now_s();
        let since_1970 = |s: u64| rcgen::date_time_ymd(1970, 1, 1) + Duration::from_secs(s);
        // A phone's clock may be a day behind.
        params.not_before = since_1970(now_s.saturating_sub(DAY_S));
        params.not_after = since_1970(now_s + GOOD_S);
        let key = KeyPair::generate()?;
        let made = Self {
            good_until_s: now_s + GOOD_S,
            certificate: params.self_signed(&key)?.pem(),
            key: key.serialize_pem(),
        };
        if let Some(file) = file
            && let Err(error) = write_private(&file, &made)
        {
            out::message(&format!(
                "cannot keep the certificate for {at}; phones will be asked about another one after a restart: {error}"
            ));
        }
        Ok(made)
    }
}

/// An address as a part of a file's name.
fn file_name(at: IpAddr) -> String {
    at.to_string().replace(':', "-")
}

/// "AB:CD:…", as fingerprints are shown.
fn pairs(hex: &str) -> String {
    let upper = hex.to_uppercase();
    let pairs: Vec<&str> = upper
        .as_bytes()
        .chunks(2)
        .filter_map(|pair| std::str::from_utf8(pair).ok())
        .collect();
    pairs.join(":")
}

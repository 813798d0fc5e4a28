//! What is answered, packed once and known by its hash: a page that did not
//! change costs neither packing nor, where the browser has it already, the way
//! over a slow network. Kept by what it says, so that it cannot be stale.

use std::collections::VecDeque;
use std::io::Write as _;
use std::sync::{Arc, Mutex, PoisonError};

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use flate2::Compression;
use flate2::write::GzEncoder;

use super::super::hash::sha256;
use super::super::refused::Refused;
use super::super::work::busy;

/// Smallest body that is packed \[bytes\]: less fits one packet anyway.
const SMALLEST: usize = 1000;
/// Most that is kept packed \[bytes\]; what was asked longest ago goes.
const MOST_KEPT: usize = 16 * 1024 * 1024;
/// Kinds that packing makes smaller.
const PACKABLE: [&str; 4] = [
    "text/",
    "application/json",
    "application/manifest",
    "image/svg",
];

/// Bodies packed before, by the hash of what they say; the latest asked last.
#[derive(Clone, Default)]
pub(super) struct Packed(Arc<Mutex<VecDeque<(String, Bytes)>>>);

impl Packed {
    fn known(&self, hash: &str) -> Option<Bytes> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let at = kept.iter().position(|(h, _)| h == hash)?;
        let found = kept.remove(at)?;
        let bytes = found.1.clone();
        kept.push_back(found);
        Some(bytes)
    }

    fn keep(&self, hash: String, bytes: Bytes) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.push_back((hash, bytes));
        let mut all: usize = kept.iter().map(|(_, b)| b.len()).sum();
        while MOST_KEPT < all
            && let Some((_, oldest)) = kept.pop_front()
        {
            all -= oldest.len();
        }
    }

    async fn of(&self, hash: &str, plain: Bytes) -> Result<Bytes, Refused> {
        if let Some(bytes) = self.known(hash) {
            return Ok(bytes);
        }
        let bytes = busy(move || {
            let mut gzip = GzEncoder::new(Vec::new(), Compression::default());
            let packed = gzip.write_all(&plain).and_then(|()| gzip.finish());
            packed.map_err(|e| Refused::Disk(e.into()))
        });
        let bytes = Bytes::from(bytes.await?);
        self.keep(hash.to_owned(), bytes.clone());
        Ok(bytes)
    }
}

/// Sends an answer packed to who takes it so, and a mere "as it was" to who
/// has it.
pub(super) async fn send(State(packed): State<Packed>, request: Request, next: Next) -> Response {
    let method = request.method().clone();
    let takes_gzip = takes_gzip(request.headers());
    let has = request.headers().get(header::IF_NONE_MATCH).cloned();
    let response = next.run(request).await;
    // A head alone has no body to know it by.
    if method == Method::HEAD || !is_packable(response.headers()) {
        return response;
    }
    let (mut parts, body) = response.into_parts();
    let plain = match to_bytes(body, usize::MAX).await {
        Ok(plain) => plain,
        Err(error) => return Refused::Disk(error.into()).into_response(),
    };
    let hash = sha256(&plain);
    let vary = HeaderValue::from_static("accept-encoding");
    parts.headers.append(header::VARY, vary);
    if method == Method::GET && parts.status == StatusCode::OK {
        // Weak: it says the same, packed or not.
        let tag = format!("W/\"{}\"", &hash[..32]);
        let is_had = has.is_some_and(|h| h.to_str().is_ok_and(|h| h.contains(&tag)));
        if let Ok(tag) = HeaderValue::from_str(&tag) {
            parts.headers.insert(header::ETAG, tag);
        }
        if is_had {
            parts.status = StatusCode::NOT_MODIFIED;
            parts.headers.remove(header::CONTENT_LENGTH);
            return Response::from_parts(parts, Body::empty());
        }
    }
    if !takes_gzip || plain.len() < SMALLEST {
        return Response::from_parts(parts, Body::from(plain));
    }
    match packed.of(&hash, plain).await {
        Ok(bytes) => {
            let gzip = HeaderValue::from_static("gzip");
            parts.headers.insert(header::CONTENT_ENCODING, gzip);
            parts.headers.remove(header::CONTENT_LENGTH);
            Response::from_parts(parts, Body::from(bytes))
        }
        Err(refused) => refused.into_response(),
    }
}

fn is_packable(headers: &HeaderMap) -> bool {
    let kind = headers.get(header::CONTENT_TYPE);
    let kind = kind.and_then(|k| k.to_str().ok()).unwrap_or_default();
    !headers.contains_key(header::CONTENT_ENCODING) && PACKABLE.iter().any(|p| kind.starts_with(p))
}

/// Whether packed answers are taken, as RFC 9110, 12.5.3 says it.
fn takes_gzip(headers: &HeaderMap) -> bool {
    let said = headers.get_all(header::ACCEPT_ENCODING).iter();
    let mut codings = said
        .filter_map(|v| v.to_str().ok())
        .flat_map(|v| v.split(','));
    codings.any(|coding| {
        let (name, weight) = coding.split_once(';').unwrap_or((coding, ""));
        let weight = weight.trim().trim_start_matches("q=");
        name.trim().eq_ignore_ascii_case("gzip") && weight.parse::<f32>() != Ok(0.0)
    })
}

#[cfg(test)]
mod tests {
    use std::io::Read as _;

    use axum::Router;
    use axum::middleware::from_fn_with_state;
    use axum::response::Html;
    use axum::routing::get;
    use tower::ServiceExt;

    use super::*;

    /// Says what the address asks for, 20 000 times.
    async fn says(uri: axum::http::Uri) -> Html<String> {
        Html(uri.query().unwrap_or_default().repeat(20_000))
    }

    async fn ask(router: &Router, method: Method, at: &str, headers: &[(&str, &str)]) -> Response {
        let mut request = Request::builder().method(method).uri(at);
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        let request = request.body(Body::empty()).unwrap_or_default();
        let answer = router.clone().oneshot(request).await;
        answer.unwrap_or_else(|never| match never {})
    }

    async fn body(response: Response) -> Vec<u8> {
        let body = to_bytes(response.into_body(), usize::MAX).await;
        body.unwrap_or_default().to_vec()
    }

    fn header_of(response: &Response, name: header::HeaderName) -> String {
        let value = response.headers().get(name);
        let text = value.and_then(|v| v.to_str().ok());
        text.unwrap_or_default().to_owned()
    }

    fn run(story: impl Future<Output = ()>) {
        let runtime = tokio::runtime::Builder::new_current_thread().build();
        runtime.unwrap_or_else(|e| panic!("{e}")).block_on(story);
    }

    fn served() -> (Router, Packed) {
        let packed = Packed::default();
        let layer = from_fn_with_state(packed.clone(), send);
        let router = Router::new().route("/", get(says).post(says)).layer(layer);
        (router, packed)
    }

    #[test]
    fn what_is_sent_is_what_was_said_and_packed_once() {
        run(async {
            let (router, packed) = served();
            let gzip = [("accept-encoding", "br, gzip;q=0.8")];
            for (at, says) in [("/?a", "a"), ("/?b", "b"), ("/?a", "a")] {
                let got = ask(&router, Method::GET, at, &gzip).await;
                assert_eq!(header_of(&got, header::CONTENT_ENCODING), "gzip");
                assert_eq!(header_of(&got, header::VARY), "accept-encoding");
                let (bytes, mut text) = (body(got).await, String::new());
                let read = flate2::read::GzDecoder::new(&bytes[..]).read_to_string(&mut text);
                assert!(read.is_ok() && bytes.len() < 1000);
                assert_eq!(text, says.repeat(20_000));
            }
            let kept = packed.0.lock().map_or(0, |kept| kept.len());
            assert_eq!(kept, 2);
            for takes in ["", "identity", "gzip;q=0", "deflate"] {
                let takes = [("accept-encoding", takes)];
                let got = ask(&router, Method::GET, "/?a", &takes).await;
                assert_eq!(header_of(&got, header::CONTENT_ENCODING), "");
                assert_eq!(body(got).await, "a".repeat(20_000).as_bytes());
            }
        });
    }

    #[test]
    fn who_has_it_is_told_so_until_it_changes() {
        run(async {
            let (router, _) = served();
            let first = ask(&router, Method::GET, "/?a", &[]).await;
            let tag = header_of(&first, header::ETAG);
            assert!(tag.starts_with("W/\""));
            for has in [tag.clone(), format!("\"x\", {tag}")] {
                let has = [("if-none-match", has.as_str())];
                let same = ask(&router, Method::GET, "/?a", &has).await;
                assert_eq!(same.status(), StatusCode::NOT_MODIFIED);
                assert_eq!(header_of(&same, header::ETAG), tag);
                assert!(body(same).await.is_empty());
                let other = ask(&router, Method::GET, "/?b", &has).await;
                assert_eq!(other.status(), StatusCode::OK);
                assert_eq!(body(other).await, "b".repeat(20_000).as_bytes());
                // What a form answers is never as it was.
                let sent = ask(&router, Method::POST, "/?a", &has).await;
                assert_eq!(sent.status(), StatusCode::OK);
                assert_eq!(header_of(&sent, header::ETAG), "");
            }
        });
    }

    #[test]
    fn what_was_asked_longest_ago_makes_room() {
        let packed = Packed::default();
        let part = Bytes::from(vec![0; MOST_KEPT / 4]);
        for n in 0..4 {
            packed.keep(n.to_string(), part.clone());
        }
        assert!(packed.known("0").is_some());
        packed.keep("4".into(), part);
        assert!(packed.known("1").is_none());
        assert!(packed.known("0").is_some() && packed.known("4").is_some());
        packed.keep("5".into(), Bytes::from(vec![0; MOST_KEPT + 1]));
        assert!(packed.known("5").is_none());
    }
}

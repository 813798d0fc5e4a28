//! What is sent has to arrive at some pace: a zip over a slow network may take
//! its time, one byte a second may not.

use std::pin::Pin;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::task::{Context, Poll};
use std::time::Duration;

use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Request;
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use hyper::body::{Frame, SizeHint};
use tokio::time::{Instant, Sleep, sleep_until};

use super::super::refused::Refused;

/// What may pass before anything has to have arrived.
const PATIENCE: Duration = Duration::from_secs(30);
/// Slowest mean pace after that \[bytes/s\]: 100 MB may take two hours.
const PACE: u64 = 16 * 1024;

/// How long after its beginning a body of which so much has arrived is waited
/// for.
fn patience(bytes: u64) -> Duration {
    PATIENCE + Duration::from_secs(bytes / PACE)
}

/// Ends a request whose body comes too slowly.
pub(super) async fn keep(request: Request, next: Next) -> Response {
    if request.body().is_end_stream() {
        return next.run(request).await;
    }
    let too_slow = Arc::new(AtomicBool::new(false));
    let request = request.map(|body| Body::new(Paced::new(body, too_slow.clone())));
    let response = next.run(request).await;
    match too_slow.load(Ordering::Relaxed) {
        true => Refused::TooSlow.into_response(),
        false => response,
    }
}

/// A body that fails when it comes too slowly.
struct Paced {
    inner: Body,
    since: Instant,
    bytes: u64,
    alarm: Pin<Box<Sleep>>,
    too_slow: Arc<AtomicBool>,
}

impl Paced {
    fn new(inner: Body, too_slow: Arc<AtomicBool>) -> Self {
        let since = Instant::now();
        Self {
            inner,
            since,
            bytes: 0,
            alarm: Box::pin(sleep_until(since + patience(0))),
            too_slow,
        }
    }
}

impl HttpBody for Paced {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        if let Poll::Ready(frame) = Pin::new(&mut self.inner).poll_frame(cx) {
            if let Some(Ok(frame)) = &frame {
                self.bytes += frame.data_ref().map_or(0, |d| d.len() as u64);
                let due = self.since + patience(self.bytes);
                self.alarm.as_mut().reset(due);
            }
            return Poll::Ready(frame);
        }
        if self.alarm.as_mut().poll(cx).is_pending() {
            return Poll::Pending;
        }
        self.too_slow.store(true, Ordering::Relaxed);
        Poll::Ready(Some(Err(axum::Error::new("it came too slowly"))))
    }

    fn is_end_stream(&self) -> bool {
        self.inner.is_end_stream()
    }

    fn size_hint(&self) -> SizeHint {
        self.inner.size_hint()
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::store::LARGEST;
    use super::*;

    /// A phone at the far end of a network, 1 Mbit/s, and one that drips.
    #[test]
    fn a_slow_network_has_time_and_a_drip_has_not() {
        const BYTES_PER_S: u64 = 1_000_000 / 8;
        let whole = Duration::from_secs(LARGEST as u64 / BYTES_PER_S);
        assert!(Duration::from_secs(600) < whole);
        for part in 0..=20 {
            let bytes = LARGEST as u64 * part / 20;
            assert!(Duration::from_secs(bytes / BYTES_PER_S) < patience(bytes));
        }
        assert!(patience(60) < Duration::from_secs(60));
    }
}

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
            alarm: Box::pin(sleep_until(since + PATIENCE)),
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
                let due = self.since + PATIENCE + Duration::from_secs(self.bytes / PACE);
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

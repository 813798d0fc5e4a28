//! Uploads, taken in few large pieces. The reader of forms looks through all
//! that it holds each time that a piece comes: a body without its boundary in
//! small pieces would cost the square of its length.

use std::pin::Pin;
use std::task::{Context, Poll};

use axum::body::{Body, Bytes, HttpBody};
use axum::extract::multipart::MultipartRejection;
use axum::extract::{FromRequest, Multipart, Request};
use hyper::body::Frame;

use super::store::LARGEST;

/// Most of a form with a file in it \[bytes\]: the largest file, and the other
/// fields.
pub(super) const MOST: usize = LARGEST + 1024 * 1024;
/// Least length of a piece, but for the last \[bytes\].
const PIECE: usize = 4 << 20;

/// A form with files.
pub(super) struct Upload(pub(super) Multipart);

impl<S: Send + Sync> FromRequest<S> for Upload {
    type Rejection = MultipartRejection;

    async fn from_request(request: Request, state: &S) -> Result<Self, Self::Rejection> {
        let request = request.map(|body| {
            Body::new(Gathered {
                from: body,
                held: Vec::new(),
            })
        });
        Multipart::from_request(request, state).await.map(Self)
    }
}

/// A body whose small pieces are put together.
struct Gathered {
    from: Body,
    held: Vec<u8>,
}

impl HttpBody for Gathered {
    type Data = Bytes;
    type Error = axum::Error;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, axum::Error>>> {
        while self.held.len() < PIECE {
            match Pin::new(&mut self.from).poll_frame(context) {
                Poll::Pending => return Poll::Pending,
                Poll::Ready(Some(Ok(frame))) => {
                    if let Ok(data) = frame.into_data() {
                        self.held.extend_from_slice(&data);
                    }
                }
                Poll::Ready(Some(Err(error))) => return Poll::Ready(Some(Err(error))),
                Poll::Ready(None) => break,
            }
        }
        let piece = std::mem::take(&mut self.held);
        Poll::Ready((!piece.is_empty()).then(|| Ok(Frame::data(piece.into()))))
    }
}

//! A panic in a handler becomes an error page and a line in the log that share
//! a number.

use std::any::Any;
use std::cell::Cell;
use std::panic::PanicHookInfo;

use axum::response::{IntoResponse, Response};
use rand::Rng;

use super::super::refused::Refused;
use crate::out;

thread_local! {
    static LAST: Cell<Option<String>> = const { Cell::new(None) };
}

/// Logs the place of every panic under a number; what was being handled is not
/// logged, since it may hold what a visitor typed.
pub(crate) fn log_panics() {
    std::panic::set_hook(Box::new(|info: &PanicHookInfo<'_>| {
        let place = info.location().map_or_else(
            || "an unknown place".to_owned(),
            |l| format!("{}:{}", l.file(), l.line()),
        );
        let number = number();
        out::message(&format!("fault {number} at {place}"));
        LAST.set(Some(number));
    }));
}

/// The number of the last panic on this thread, or a new one.
pub(crate) fn take_number() -> String {
    LAST.take().unwrap_or_else(|| {
        let number = number();
        out::message(&format!("fault {number} on another thread"));
        number
    })
}

/// The answer for a panic.
pub(super) fn answer(_: Box<dyn Any + Send>) -> Response {
    Refused::Fault(take_number()).into_response()
}

fn number() -> String {
    format!("{:08x}", rand::rng().next_u32())
}

#[cfg(test)]
mod tests {
    use axum::Router;
    use axum::body::{Body, to_bytes};
    use axum::extract::Request;
    use axum::http::StatusCode;
    use axum::routing::get;
    use tower::ServiceExt;
    use tower_http::catch_panic::CatchPanicLayer;

    use super::*;

    async fn breaks() -> &'static str {
        panic!("what a visitor typed")
    }

    #[test]
    fn a_panic_becomes_a_page_with_a_number_and_without_its_words() {
        let runtime = tokio::runtime::Builder::new_current_thread().build();
        let runtime = runtime.unwrap_or_else(|e| panic!("{e}"));
        let router = Router::new()
            .route("/", get(breaks))
            .layer(CatchPanicLayer::custom(answer));
        let (status, page) = runtime.block_on(async {
            let answer = router.oneshot(Request::new(Body::empty())).await;
            let (parts, body) = answer.unwrap_or_else(|never| match never {}).into_parts();
            let page = to_bytes(body, 10_000).await.unwrap_or_default();
            (parts.status, String::from_utf8_lossy(&page).into_owned())
        });
        assert_eq!(status, StatusCode::INTERNAL_SERVER_ERROR);
        assert!(!page.contains("visitor typed"), "{page}");
        let (_, after) = page.split_once("Report number ").unwrap_or(("", ""));
        let number = after.get(..8).unwrap_or_default();
        assert!(u32::from_str_radix(number, 16).is_ok(), "{page}");
    }
}

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

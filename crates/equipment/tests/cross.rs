//! Numbers of reference libraries and independent computation, with versions.
#![allow(clippy::print_stdout, reason = "the measured differences are shown")]

#[path = "cross/closure.rs"]
mod closure;
#[path = "cross/cooling.rs"]
mod cooling;
#[path = "cross/curves.rs"]
mod curves;
#[path = "cross/cycling.rs"]
mod cycling;

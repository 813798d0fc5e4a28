//! What happened on site: events that are only ever added.
//!
//! Each device writes one chain: an [`Event`] names the hash of the event
//! before it of the same device. Records of one job are merged by taking every
//! event of each ([`merge`]); [`verify`] says which event of which device was
//! altered, is missing, or stands twice; [`in_force`] says what holds after
//! corrections. Nothing here opens a file or asks a clock: the instant of an
//! event is given.

mod body;
mod chain;
mod clock;
mod event;
mod fold;
mod hash;
mod merge;
mod report;
mod text;
mod verify;

pub use body::{
    Answer, Basis, Body, Correction, FaultEntry, FindingClosed, MachineText, Measured, Mended,
    Note, Photo, Reading, Signature, Signed, SignedBy, StepDone, StepSkipped, TimerStarted,
    UnitSkipped,
};
pub use chain::{BadEvent, Draft, last_of};
pub use clock::{Elapsed, MeasuredBy, Moment, elapsed};
pub use event::{Event, FORMAT, Writer};
pub use fold::{Kept, entered_since, in_force, last_signed};
pub use hash::{Hash, NoHash};
pub use merge::{merge, ordered};
pub use report::{Chain, ClockSet, Fault, FaultKind, Head, Place, Report, Row};
pub use text::{BadText, from_text, to_text};
pub use verify::{disputed, verify, verify_rows};

//! Adding to a chain.

use super::body::Body;
use super::clock::Moment;
use super::event::{Event, Writer};

/// An event that is not yet in the record.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Name of the room.
    pub room: String,
    /// Who writes.
    pub writer: Writer,
    /// When.
    pub at: Moment,
    /// What.
    pub body: Body,
}

/// Why an event is not taken.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadEvent {
    /// Something that must be said is empty.
    #[error("{0} is empty")]
    Empty(&'static str),
    /// Text that is too long to be meant.
    #[error("{what} is {length} characters long; at most {MOST_TEXT} are kept")]
    TooLong {
        /// What.
        what: &'static str,
        /// How long.
        length: usize,
    },
    /// A number that is none.
    #[error("the reading \"{0}\" is not a number")]
    NotANumber(String),
    /// An uncertainty below zero, or none.
    #[error("the uncertainty of \"{0}\" must be a number from 0 up")]
    BadUncertainty(String),
    /// A correction of a correction inside a correction.
    #[error("a correction says what holds instead; it cannot be a correction itself")]
    CorrectionInCorrection,
    /// The chain has no more numbers.
    #[error("the chain of this device is full")]
    Full,
    /// The event before it belongs to another device.
    #[error("the event before it was written by device {0}, not by this one")]
    OtherDevice(String),
}

/// Longest text of a note, reason or remark, in characters.
const MOST_TEXT: usize = 4_000;

impl Draft {
    /// The event that follows `last`, the last one of this device; `None`: it
    /// is the first.
    ///
    /// # Errors
    /// Something that must be said is empty, a text is too long, a number is
    /// none, or `last` is of another device.
    pub fn after(self, last: Option<&Event>) -> Result<Event, BadEvent> {
        said("the name of the room", &self.room)?;
        said("the id of the device", &self.writer.device)?;
        said("the name of the person", &self.writer.person)?;
        body(&self.body)?;
        let (seq, previous) = match last {
            None => (1, None),
            Some(last) if last.writer.device != self.writer.device => {
                return Err(BadEvent::OtherDevice(last.writer.device.clone()));
            }
            Some(last) => {
                let next = last.seq.checked_add(1).ok_or(BadEvent::Full)?;
                (next, Some(last.hash))
            }
        };
        let mut event = Event {
            format: self.body.format(),
            room: self.room,
            writer: self.writer,
            seq,
            at: self.at,
            body: self.body,
            previous,
            hash: super::hash::Hash::of(b""),
        };
        event.hash = event.computed_hash();
        Ok(event)
    }
}

/// The last event of a device, which the next one follows; `None`: it wrote
/// none yet.
pub fn last_of<'a>(events: &'a [Event], device: &str) -> Option<&'a Event> {
    events
        .iter()
        .filter(|e| e.writer.device == device)
        .max_by_key(|e| (e.seq, e.hash))
}

fn said(what: &'static str, text: &str) -> Result<(), BadEvent> {
    if text.trim().is_empty() {
        return Err(BadEvent::Empty(what));
    }
    short(what, text)
}

fn short(what: &'static str, text: &str) -> Result<(), BadEvent> {
    let length = text.chars().count();
    if MOST_TEXT < length {
        return Err(BadEvent::TooLong { what, length });
    }
    Ok(())
}

fn body(body: &Body) -> Result<(), BadEvent> {
    if let Some(step) = body.step() {
        said("the step", step)?;
    }
    for reading in body.readings() {
        said("the entry of a reading", &reading.entry)?;
        if !reading.value.si.is_finite() {
            return Err(BadEvent::NotANumber(reading.entry.clone()));
        }
        if reading
            .standard_uncertainty
            .is_some_and(|u| !u.is_finite() || u < 0.0)
        {
            return Err(BadEvent::BadUncertainty(reading.entry.clone()));
        }
        short("a reading", reading.typed.as_deref().unwrap_or_default())?;
        short(
            "an instrument",
            reading.instrument.as_deref().unwrap_or_default(),
        )?;
    }
    match body {
        Body::StepDone(s) => {
            for answer in &s.answers {
                said("an answer", &answer.said)?;
            }
            short("the note", s.note.as_deref().unwrap_or_default())
        }
        Body::Measured(m) => short("the note", m.note.as_deref().unwrap_or_default()),
        Body::StepSkipped(s) => said("the reason for leaving the step out", &s.reason),
        Body::UnitSkipped(u) => {
            said("the unit", &u.unit)?;
            said("the reason for leaving the unit out", &u.reason)
        }
        Body::Correction(c) => {
            said("the reason for the correction", &c.reason)?;
            match &c.instead {
                Some(Body::Correction(_)) => Err(BadEvent::CorrectionInCorrection),
                Some(inside) => self::body(inside),
                None => Ok(()),
            }
        }
        Body::Note(n) => said("the note", &n.text),
        Body::Photo(p) => short("the caption", p.caption.as_deref().unwrap_or_default()),
        Body::FindingClosed(f) => {
            said("the finding", &f.check)?;
            said("what was done about the finding", &f.how)
        }
        Body::Signed(s) => said("the name of who signs", &s.name),
        Body::Fault(f) => short("the remedy", &f.remedy),
        Body::Started(_) | Body::RoomChanged(_) | Body::TimerStarted(_) => Ok(()),
    }
}

//! The record of a job on the disk: `record.sqlite` in the job folder, photos
//! beside it.
//!
//! What the events mean and whether they are whole is `job::record`'s to say.
//! Here they are kept: an event that was acknowledged is on the disk, an event
//! that was not is not there at all.

mod error;
mod photo;
mod salvage;
mod schema;
mod sql;
mod store;
#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests;
mod time;
mod writer;

pub(crate) use error::RecordError;
pub(crate) use photo::{LARGEST as LARGEST_PHOTO, Position, Taken};
pub(crate) use store::{Appended, Mended, Read, Request, Store, photos_named};
pub(crate) use time::{day as day_words, now, words as time_words};

/// Name of the record's file in the job folder.
pub(crate) const NAME: &str = "record.sqlite";
/// Folder of photos in the job folder.
pub(crate) const PHOTOS: &str = "photos";

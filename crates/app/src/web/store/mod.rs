//! The folder of jobs, read and saved. Nothing a visitor types reaches the
//! file system unchecked: names are looked up in listings, never joined to
//! paths as they come.

mod change;
mod job;
mod jobs;
mod lock;
mod logs;
mod name;
mod version;
mod zipped;

pub(crate) use job::{JobFolder, OlderCopy};
pub(crate) use jobs::Jobs;
pub(crate) use logs::{Logs, TAKEN_OUT};
pub(crate) use name::Name;
pub(crate) use version::Version;
pub(crate) use zipped::LARGEST;

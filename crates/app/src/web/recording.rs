//! What pages that write into the record share: who writes from where, forms
//! that count once, and what is said when it cannot be done.

use job::record::Hash;

use super::gate::{Kind, Session};
use super::refused::Refused;
use crate::record::{RecordError, Request};

/// What a visitor's device is called in the record; a phone by its own name,
/// this machine by the machine's.
pub(crate) fn device(session: &Session) -> Option<&str> {
    (session.kind == Kind::Phone).then_some(session.name.as_str())
}

/// Names a form of a visitor, so that it counts once.
pub(crate) fn request(session: &Session, key: &str, content: &str) -> Option<Request> {
    (!key.is_empty()).then(|| Request {
        name: format!(
            "{} {}",
            session.id,
            key.chars().take(64).collect::<String>()
        ),
        body: Hash::of(content.as_bytes()),
    })
}

/// A key for a form, drawn at random.
pub(crate) fn new_key() -> String {
    use rand::RngExt as _;
    format!("{:032x}", rand::rng().random::<u128>())
}

impl From<RecordError> for Refused {
    fn from(error: RecordError) -> Self {
        match error {
            RecordError::Newer { .. }
            | RecordError::NotARecord { .. }
            | RecordError::Damaged { .. }
            | RecordError::BadEvent(_)
            | RecordError::OtherBody
            | RecordError::Photo(_) => Self::Job(sentence(&error.to_string())),
            other => Self::Disk(other.into()),
        }
    }
}

/// With a capital in front and a stop at the end.
pub(crate) fn sentence(words: &str) -> String {
    let mut chars = words.chars();
    let first = chars.next().map(|c| c.to_uppercase().collect::<String>());
    format!("{}{}.", first.unwrap_or_default(), chars.as_str())
}

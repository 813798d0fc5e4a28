//! Events as the text that is stored.

use serde::Deserialize;

use super::event::{Event, FORMAT};

/// Why a stored text is no event.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum BadText {
    /// It cannot be read: cut off, or overwritten.
    #[error("it cannot be read: {0}")]
    Unreadable(String),
    /// A newer program wrote it.
    #[error(
        "it was written by a newer version (format {found}; this one reads up to {FORMAT}): bring this program up to date"
    )]
    Newer {
        /// Its format.
        found: u32,
    },
    /// It can be read, but this program would not have written it so.
    #[error("it was changed after it was written: character {at} differs")]
    Changed {
        /// First character that differs, from 1.
        at: usize,
    },
}

/// An event as it is stored: JSON on one line, written in one way only.
pub fn to_text(event: &Event) -> String {
    // Maps have text keys and no value refuses to be written.
    serde_json::to_string(event).unwrap_or_default()
}

/// An event from its stored text. Whether its hash fits is for
/// [`super::verify`] to say; here each event has one text, so that no change of
/// the text passes unseen.
///
/// # Errors
/// The text is torn, newer, or spelled otherwise than [`to_text`] spells it.
pub fn from_text(text: &str) -> Result<Event, BadText> {
    #[derive(Deserialize)]
    struct OnlyFormat {
        format: u32,
    }
    let unreadable = |e: serde_json::Error| BadText::Unreadable(e.to_string());
    let OnlyFormat { format } = serde_json::from_str(text).map_err(unreadable)?;
    if FORMAT < format {
        return Err(BadText::Newer { found: format });
    }
    let event: Event = serde_json::from_str(text).map_err(unreadable)?;
    let again = to_text(&event);
    if again == text {
        return Ok(event);
    }
    let same = again
        .chars()
        .zip(text.chars())
        .take_while(|(a, b)| a == b)
        .count();
    Err(BadText::Changed { at: same + 1 })
}

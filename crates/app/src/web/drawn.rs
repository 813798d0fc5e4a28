//! Contents of pages, kept beside the answer that they were drawn from: the
//! same answer in the same units always looks the same.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use maud::{Markup, PreEscaped};
use quantity::UnitSystem;

use super::answers::Answer;

/// Contents kept; what was asked longest ago goes.
const KEPT: usize = 64;

/// A content as it stands on a page.
pub(super) type Content = PreEscaped<Arc<str>>;

struct Kept {
    /// Held, so that no other answer takes its place in memory.
    answer: Arc<Answer>,
    what: String,
    units: UnitSystem,
    content: Content,
}

/// What was drawn, the latest asked last.
#[derive(Default)]
pub(super) struct Drawn(Mutex<VecDeque<Kept>>);

impl Drawn {
    /// What an answer looks like, drawn where it was not drawn before. `what`
    /// says which of its looks, and holds all that the look depends on beside
    /// the answer and the units.
    pub(super) fn of<E>(
        &self,
        answer: &Arc<Answer>,
        what: &str,
        units: UnitSystem,
        draw: impl FnOnce() -> Result<Markup, E>,
    ) -> Result<Content, E> {
        if let Some(content) = self.known(answer, what, units) {
            return Ok(content);
        }
        let content = PreEscaped(Arc::from(draw()?.into_string()));
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.push_back(Kept {
            answer: answer.clone(),
            what: what.to_owned(),
            units,
            content: content.clone(),
        });
        while KEPT < kept.len() {
            kept.pop_front();
        }
        Ok(content)
    }

    fn known(&self, answer: &Arc<Answer>, what: &str, units: UnitSystem) -> Option<Content> {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let is_it = |k: &Kept| Arc::ptr_eq(&k.answer, answer) && k.what == what && k.units == units;
        let at = kept.iter().position(is_it)?;
        let found = kept.remove(at)?;
        let content = found.content.clone();
        kept.push_back(found);
        Some(content)
    }
}

//! What the steps say, remembered by what it was computed from: the texts of
//! the files. The same texts always give the same answer.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use job::{Design, Effort, Silent};
use quantity::UnitSystem;

use super::gate::Session;
use super::refused::Refused;
use crate::project::Project;

/// Answers kept; older ones go.
const KEPT: usize = 24;

/// One room as its files stood, and what the steps say of it.
pub(super) struct Answer {
    /// The files.
    pub(super) project: Project,
    /// The steps.
    pub(super) design: Design,
}

impl Answer {
    /// Units for a visitor: theirs, else those of the site file.
    pub(super) fn units(&self, session: &Session) -> UnitSystem {
        session.units_or(self.project.room.site.display.value)
    }

    /// First digits of the design id, for the title block.
    pub(super) fn stamp(&self) -> &str {
        &self.design.id[..8]
    }
}

type Slot = Arc<OnceLock<Result<Arc<Answer>, String>>>;

/// What was computed.
#[derive(Default)]
pub(super) struct Answers {
    kept: Mutex<VecDeque<(Key, Slot)>>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Key {
    design_id: String,
    effort: Effort,
}

impl Answers {
    /// The most thorough answer at hand for a room, at least a first look,
    /// which is computed where there is none. Whoever asks the same meanwhile
    /// waits for it. Runs on a thread that may be kept busy.
    pub(super) fn best(&self, project: Project) -> Result<Arc<Answer>, Refused> {
        let inputs = project.inputs(&project.codes_in_play());
        let design_id = job::design_id(&inputs);
        let full = Key {
            design_id: design_id.clone(),
            effort: Effort::Full,
        };
        if let Some(answer) = self.at_hand(&full) {
            return Ok(answer);
        }
        let slot = self.slot(Key {
            design_id,
            effort: Effort::Preview,
        });
        slot.get_or_init(|| {
            let design = job::design(
                &project.room,
                &project.catalog,
                &inputs,
                Effort::Preview,
                &Silent,
            );
            match design {
                Ok(design) => Ok(Arc::new(Answer { project, design })),
                Err(error) => Err(error.to_string()),
            }
        })
        .clone()
        .map_err(Refused::Job)
    }

    /// Keeps what a full run found.
    pub(super) fn keep_full(&self, answer: Arc<Answer>) {
        let slot = self.slot(Key {
            design_id: answer.design.id.clone(),
            effort: Effort::Full,
        });
        // Kept already: the same inputs gave the same answer.
        let _ = slot.set(Ok(answer));
    }

    fn at_hand(&self, key: &Key) -> Option<Arc<Answer>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let (_, slot) = kept.iter().find(|(k, _)| k == key)?;
        slot.get()?.as_ref().ok().cloned()
    }

    fn slot(&self, key: Key) -> Slot {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(i) = kept.iter().position(|(k, _)| *k == key)
            && let Some(found) = kept.remove(i)
        {
            // The latest asked stands last, the first goes first.
            let slot = found.1.clone();
            kept.push_back(found);
            return slot;
        }
        let slot = Slot::default();
        kept.push_back((key, slot.clone()));
        while KEPT < kept.len() {
            kept.pop_front();
        }
        slot
    }
}

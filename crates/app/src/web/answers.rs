//! What the steps say, remembered by what it was computed from: the texts of
//! the files. The same texts always give the same answer.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use fields::Problems;
use job::{Design, Effort, Silent};
use quantity::UnitSystem;

use super::gate::Session;
use super::refused::Refused;
use crate::project::{Project, Texts};

/// Answers kept; older ones go.
const KEPT: usize = 64;

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

    /// First digits of the design id for the title block, and whether it is a
    /// first look only.
    pub(super) fn stamp(&self) -> String {
        let digits = self.design.id.get(..8).unwrap_or_default();
        match self.design.effort {
            Effort::Preview => format!("{digits}, first look"),
            Effort::Draft | Effort::Full => digits.to_owned(),
        }
    }
}

/// Why there is no answer; the same texts always give the same reason.
#[derive(Clone, Debug)]
enum Failed {
    Problems(Problems),
    Job(String),
}

impl From<Failed> for Refused {
    fn from(failed: Failed) -> Self {
        match failed {
            Failed::Problems(all) => Self::Problems(all),
            Failed::Job(words) => Self::Job(words),
        }
    }
}

type Slot = Arc<OnceLock<Result<Arc<Answer>, Failed>>>;

/// What was computed.
#[derive(Default)]
pub(super) struct Answers {
    kept: Mutex<VecDeque<(Key, Slot)>>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Key {
    /// Hash of the texts; they need not be read to find what is remembered.
    texts: String,
    effort: Effort,
}

impl Answers {
    /// The most thorough answer at hand for a room, at least a first look,
    /// which is computed where there is none. Whoever asks the same meanwhile
    /// waits for it. Runs on a thread that may be kept busy.
    pub(super) fn best(&self, texts: Texts) -> Result<Arc<Answer>, Refused> {
        let key = texts.key();
        if let Some(answer) = self.at_hand(&key, Effort::Full) {
            return Ok(answer);
        }
        let slot = self.slot(Key {
            texts: key,
            effort: Effort::Preview,
        });
        slot.get_or_init(|| first_look(texts).map(Arc::new))
            .clone()
            .map_err(Refused::from)
    }

    /// The most thorough answer that need not be computed.
    pub(super) fn known(&self, texts: &Texts) -> Option<Arc<Answer>> {
        let key = texts.key();
        self.at_hand(&key, Effort::Full)
            .or_else(|| self.at_hand(&key, Effort::Preview))
    }

    /// Keeps what a full run found.
    pub(super) fn keep_full(&self, answer: Arc<Answer>) {
        let slot = self.slot(Key {
            texts: answer.project.key.clone(),
            effort: Effort::Full,
        });
        // Kept already: the same inputs gave the same answer.
        let _ = slot.set(Ok(answer));
    }

    fn at_hand(&self, texts: &str, effort: Effort) -> Option<Arc<Answer>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let (_, slot) = kept
            .iter()
            .find(|(k, _)| k.texts == texts && k.effort == effort)?;
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

fn first_look(texts: Texts) -> Result<Answer, Failed> {
    let project = texts.read().map_err(Failed::Problems)?;
    let inputs = project.inputs(&project.codes_in_play());
    let (room, catalog) = (&project.room, &project.catalog);
    let design = job::design(room, catalog, &inputs, Effort::Preview, &Silent)
        .map_err(|error| Failed::Job(error.to_string()))?;
    Ok(Answer { project, design })
}

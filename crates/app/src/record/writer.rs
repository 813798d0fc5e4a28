//! Which chain this machine writes in a job folder. Kept outside of the
//! folder: a copy of the folder, or one taken back from yesterday, must not
//! write on in the same chain.

use std::path::{Path, PathBuf};

use job::record::{Event, Hash, Head};
use rand::Rng as _;
use serde::{Deserialize, Serialize};

use crate::web::{state_folder, write_private};

/// The chain of this machine in one job folder.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Chain {
    /// Id of the device, drawn at random.
    pub(super) device: String,
    /// The last event known to be written; none before the first.
    pub(super) head: Option<Head>,
}

/// Where a chain is kept, and what it is.
#[derive(Clone, Debug)]
pub(super) struct Kept {
    file: Option<PathBuf>,
    pub(super) chain: Chain,
}

impl Kept {
    /// What was kept for a job folder, or a chain begun.
    pub(super) fn of(folder: &Path, state: Option<&Path>) -> Self {
        let file = state.map(|s| s.join(name_for(folder)));
        let kept = file
            .as_deref()
            .and_then(|f| serde_json::from_slice(&std::fs::read(f).ok()?).ok());
        Self {
            file,
            chain: kept.unwrap_or_else(begun),
        }
    }

    /// Begins another chain.
    pub(super) fn begin(&mut self) {
        self.chain = begun();
    }

    /// Keeps that this event is written. If that fails, nothing is lost: the
    /// record itself has it.
    pub(super) fn wrote(&mut self, event: &Event) {
        self.chain.head = Some(Head {
            seq: event.seq,
            hash: event.hash,
        });
        if let Some(file) = &self.file
            && let Err(error) = write_private(file, &self.chain)
        {
            crate::out::message(&format!(
                "cannot keep which chain of the record is this machine's, so the next start begins another: {error}"
            ));
        }
    }
}

/// The folder in which chains are kept.
pub(super) fn state() -> Option<PathBuf> {
    state_folder()
}

/// The name of this machine, as people know it.
pub(super) fn machine_name() -> String {
    let name = gethostname::gethostname().to_string_lossy().into_owned();
    if name.trim().is_empty() {
        "unnamed machine".into()
    } else {
        name
    }
}

/// 16 random bytes as hexadecimal digits.
pub(super) fn random_id() -> String {
    let mut bytes = [0_u8; 16];
    rand::rng().fill_bytes(&mut bytes);
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

fn begun() -> Chain {
    Chain {
        device: random_id(),
        head: None,
    }
}

fn name_for(folder: &Path) -> String {
    let whole = folder
        .canonicalize()
        .unwrap_or_else(|_| folder.to_path_buf());
    let hash = Hash::of(whole.to_string_lossy().as_bytes());
    format!("chain-{}.json", &hash.to_string()[..16])
}

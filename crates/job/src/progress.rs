//! How long work tells where it is, and is told to stop.

use crate::machines::Nodes;

/// The person gave up waiting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("cancelled")]
pub struct Cancelled;

/// Somebody who watches long work.
pub trait Progress: Sync {
    /// Called as `doing` advances to `done` of `of`.
    ///
    /// # Errors
    /// [`Cancelled`] when the work shall stop.
    fn at(&self, doing: &str, done: usize, of: usize) -> Result<(), Cancelled>;
}

/// Nobody watches.
#[derive(Clone, Copy, Debug)]
pub struct Silent;

impl Progress for Silent {
    fn at(&self, _doing: &str, _done: usize, _of: usize) -> Result<(), Cancelled> {
        Ok(())
    }
}

/// How thoroughly to work.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effort {
    /// A first look, while somebody waits: only what decides is simulated, with
    /// coarse tables of the machines. [`Effort::left_out`] says what is not.
    Preview,
    /// All of the work over fewer draws.
    Draft,
    /// What a dossier needs.
    Full,
}

impl Effort {
    /// Draws of the uncertain inputs.
    pub const fn draws(self) -> usize {
        match self {
            Self::Preview | Self::Draft => 60,
            Self::Full => 400,
        }
    }

    /// Draws that are simulated for each set of units.
    pub const fn simulated(self) -> usize {
        match self {
            Self::Preview | Self::Draft => 20,
            Self::Full => 100,
        }
    }

    /// What is left to the full run, in words; `None` where nothing is.
    pub const fn left_out(self) -> Option<&'static str> {
        match self {
            Self::Preview => Some(
                "A first look: one set was found by its capacity and a few drawn days. Sets of two models, the runner-up, one unit out, the cooling coils' part, cheaper measures and what to measure are left to the full run, which may choose otherwise.",
            ),
            Self::Draft | Self::Full => None,
        }
    }

    /// How finely machines are tabulated.
    pub(crate) const fn nodes(self) -> Nodes {
        match self {
            Self::Preview => Nodes::Coarse,
            Self::Draft | Self::Full => Nodes::Fine,
        }
    }

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Preview => "Preview",
            Self::Draft => "Draft",
            Self::Full => "Full",
        }
    }
}

//! How long work tells where it is, and is told to stop.

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
    /// A first look: few draws.
    Preview,
    /// What a dossier needs.
    Full,
}

impl Effort {
    /// Draws of the uncertain inputs.
    pub const fn draws(self) -> usize {
        match self {
            Self::Preview => 60,
            Self::Full => 400,
        }
    }

    /// Draws that are simulated for each set of units.
    pub const fn simulated(self) -> usize {
        match self {
            Self::Preview => 20,
            Self::Full => 100,
        }
    }

    /// The word for it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Preview => "Preview",
            Self::Full => "Full",
        }
    }
}

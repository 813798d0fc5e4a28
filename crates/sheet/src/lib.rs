//! How it looks on paper and screen.
//!
//! [`Drawing`]s are views of a world on paper, [`Report`]s are blocks in
//! reading order; the writers [`svg::svg`] and `pdf::pdf` put both into
//! files. Charts are pure functions from plain data to a [`Drawing`].
//! Nothing is decided here: no limits, no physics but the curves of the
//! psychrometric chart, which are those of the `air` crate.

pub mod charts;
pub mod dossier;
pub mod drawing;
pub mod dxf;
pub mod families;
pub mod numbers;
#[cfg(feature = "pdf")]
pub mod pdf;
pub mod report;
pub mod sheets;
pub mod shown;
pub mod svg;

pub use drawing::{Drawing, Item, Paper, Role, Shape, View};
pub use report::{Block, Report};

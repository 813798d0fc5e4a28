//! Step: what feeds the units.

use equipment::Catalog;
use quantity::{Finding, Working};
use room::Room;

use crate::error::JobError;
use crate::parts::Part;
use crate::placement::Placement;

/// What this step found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Power {
    /// What to buy for it.
    pub parts: Vec<Part>,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
}

/// Plans this step for the units in their places.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn feed(_room: &Room, _catalog: &Catalog, _placement: &Placement) -> Result<Power, JobError> {
    Ok(Power::default())
}

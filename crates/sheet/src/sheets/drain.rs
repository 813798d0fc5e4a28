//! Sheet of the step "drain".

use equipment::Catalog;
use job::{Drain, Placement};
use quantity::UnitSystem;
use room::Room;

use crate::report::Block;

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    _room: &Room,
    _catalog: &Catalog,
    _placement: &Placement,
    _drain: &Drain,
    _units: UnitSystem,
) -> Vec<Block> {
    Vec::new()
}

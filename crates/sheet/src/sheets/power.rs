//! Sheet of the step "power".

use equipment::Catalog;
use job::{Placement, Power};
use quantity::UnitSystem;
use room::Room;

use crate::report::Block;

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    _room: &Room,
    _catalog: &Catalog,
    _placement: &Placement,
    _power: &Power,
    _units: UnitSystem,
) -> Vec<Block> {
    Vec::new()
}

//! Sheet of the step "control".

use equipment::Catalog;
use job::{Control, Placement};
use quantity::UnitSystem;
use room::Room;

use crate::report::Block;

/// Drawings, tables and findings of this step, in reading order.
pub fn blocks(
    _room: &Room,
    _catalog: &Catalog,
    _placement: &Placement,
    _control: &Control,
    _units: UnitSystem,
) -> Vec<Block> {
    Vec::new()
}

//! Step 4: where units, sensor and openings are, and what breathes what.

use equipment::{Catalog, Model};
use quantity::{Finding, Working};
use room::{Facing, Mount, Room};

use crate::error::JobError;
use crate::geometry::{Cuboid, Frame, Point};
use crate::units::UnitSet;

/// Who chose a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlacedBy {
    /// The room file.
    Survey,
    /// The search of this step.
    Search,
}

/// A unit in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedUnit {
    /// Tag on the drawings.
    pub tag: String,
    /// Code of its model.
    pub model: String,
    /// Where it is and where its front points.
    pub frame: Frame,
    /// How it is carried.
    pub mount: Mount,
    /// Who chose the position.
    pub by: PlacedBy,
    /// Share of its discharge that it, or another unit, breathes again.
    pub short_circuit: f64,
}

impl PlacedUnit {
    /// Its record.
    ///
    /// # Errors
    /// The catalogue does not have it.
    pub fn record<'a>(&self, catalog: &'a Catalog) -> Result<&'a Model, JobError> {
        catalog
            .dehumidifiers
            .get(&self.model)
            .ok_or_else(|| JobError::UnknownModel {
                place: format!("unit {}", self.tag),
                model: self.model.clone(),
                at_hand: catalog
                    .dehumidifiers
                    .keys()
                    .cloned()
                    .collect::<Vec<_>>()
                    .join(", "),
            })
    }
}

/// What step 4 found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placement {
    /// Units in their places, in the order of their tags.
    pub units: Vec<PlacedUnit>,
    /// Where the humidity sensor hangs \[m\].
    pub sensor_m: Point,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How shares and distances came about.
    pub workings: Vec<Working>,
}

/// The inside of the room.
pub fn inside(room: &Room) -> Cuboid {
    let g = &room.geometry;
    Cuboid {
        low_m: [0.0; 3],
        high_m: [g.length_m.value, g.width_m.value, g.height_m.value],
    }
}

/// Places the units of a set: those that the room file places stay where they
/// are, the others are searched a place for.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn place(room: &Room, catalog: &Catalog, set: &UnitSet) -> Result<Placement, JobError> {
    let mut left: Vec<&str> = set.models().collect();
    let mut units = Vec::new();
    for unit in &room.units {
        if let Some(i) = left.iter().position(|m| *m == unit.model.value) {
            left.remove(i);
        }
        units.push(PlacedUnit {
            tag: unit.tag.value.clone(),
            model: unit.model.value.clone(),
            frame: Frame {
                at_m: unit
                    .at_m
                    .as_ref()
                    .map_or_else(|| inside(room).middle_m(), |p| p.value),
                facing: unit.facing.as_ref().map_or(Facing::PlusX, |f| f.value),
            },
            mount: unit
                .mount
                .as_ref()
                .map_or(room.hanging.mount.value, |m| m.value),
            by: PlacedBy::Survey,
            short_circuit: room.selection.short_circuit.value,
        });
    }
    for (i, model) in left.iter().enumerate() {
        units.push(PlacedUnit {
            tag: format!("D{}", room.units.len() + i + 1),
            model: (*model).to_owned(),
            frame: Frame {
                at_m: inside(room).middle_m(),
                facing: Facing::PlusX,
            },
            mount: room.hanging.mount.value,
            by: PlacedBy::Search,
            short_circuit: room.selection.short_circuit.value,
        });
    }
    for unit in &units {
        unit.record(catalog)?;
    }
    Ok(Placement {
        units,
        sensor_m: room
            .control
            .sensor_at_m
            .as_ref()
            .map_or_else(|| inside(room).middle_m(), |p| p.value),
        findings: Vec::new(),
        workings: Vec::new(),
    })
}

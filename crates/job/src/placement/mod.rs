//! Step 4: where units, sensor and openings are, and what breathes what.

pub mod checks;
pub mod ducts;
pub mod jets;
pub mod scene;
pub mod shares;
pub mod sink;
pub mod suggest;

use air::MoistAir;
use equipment::{Catalog, Model};
use quantity::{Finding, Working};
use room::{Mount, Room};

use crate::airs;
use crate::error::JobError;
use crate::geometry::{Cuboid, Frame, Point};
use crate::machines;
use crate::units::{UnitAir, UnitSet};

pub use checks::working_space;
pub use scene::{Jet, JetKind, Thing, ThingKind, everything, things, ways};
pub use suggest::{Score, Suggestion, Suggestions, suggest};

pub use ducts::Ducted;
use scene::{Fixed, Scene};

/// Who chose a position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PlacedBy {
    /// The room file.
    Survey,
    /// The room file its place, the search of this step its direction.
    FacingSearched,
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
    /// Share of its inlet air that a unit, itself or another, dried before.
    pub short_circuit: f64,
    /// What its ducts take of its air.
    pub ducted: Ducted,
}

impl PlacedUnit {
    /// Its record.
    ///
    /// # Errors
    /// The catalogue does not have it.
    pub fn record<'a>(&self, catalog: &'a Catalog) -> Result<&'a Model, JobError> {
        record(catalog, &self.tag, &self.model)
    }

    /// The air that it has there.
    pub fn air(&self) -> UnitAir {
        UnitAir {
            short_circuit: self.short_circuit,
            ducted_m3_per_s: self
                .ducted
                .is_ducted()
                .then_some(self.ducted.air_flow_m3_per_s),
        }
    }
}

/// What step 4 found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Placement {
    /// Units in their places, in the order of their tags.
    pub units: Vec<PlacedUnit>,
    /// Where the humidity sensor hangs \[m\].
    pub sensor_m: Point,
    /// Discharges, cold supplies and fans, as free jets.
    pub jets: Vec<Jet>,
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

/// Where the humidity sensor hangs: as surveyed, else over the middle of the
/// room at the top of the canopy \[m\].
pub fn sensor_m(room: &Room) -> Point {
    if let Some(at) = &room.control.sensor_at_m {
        return at.value;
    }
    /// Height where no crop is surveyed \[m\]: that of a head.
    const HEAD_M: f64 = 1.5;
    let [x, y, _] = inside(room).middle_m();
    let tops: Vec<f64> = things(room)
        .iter()
        .filter(|t| t.kind == ThingKind::Canopy)
        .map(|t| t.cuboid.high_m[2])
        .collect();
    let z = if tops.is_empty() {
        HEAD_M.min(0.5 * room.geometry.height_m.value)
    } else {
        tops.iter().sum::<f64>() / tops.len() as f64
    };
    [x, y, z]
}

/// Ducts of a unit.
fn ducts_of<'a>(room: &'a Room, tag: &str) -> Vec<&'a room::Duct> {
    room.ducts.iter().filter(|d| d.unit.value == tag).collect()
}

/// The record of a unit.
fn record<'a>(catalog: &'a Catalog, tag: &str, model: &str) -> Result<&'a Model, JobError> {
    machines::record(&catalog.dehumidifiers, model, tag)
}

/// What its ducts take of a unit's air.
pub(crate) fn ducted(
    room: &Room,
    catalog: &Catalog,
    tag: &str,
    model: &str,
) -> Result<Ducted, JobError> {
    let model = record(catalog, tag, model)?;
    let ducts = ducts_of(room, tag);
    Ok(ducts::balance(model, &ducts, density_kg_per_m3(room)))
}

/// Density of room air for duct friction: 24 °C, 55 % at the site's pressure.
fn density_kg_per_m3(room: &Room) -> f64 {
    let pressure_pa = airs::pressure_pa(&room.site);
    MoistAir::from_rel_humidity(24.0, 0.55, pressure_pa).map_or(1.19, |a| a.density_kg_per_m3())
}

/// Units whose place and direction the room file gives.
pub(crate) fn present(room: &Room, catalog: &Catalog) -> Result<Vec<PlacedUnit>, JobError> {
    let mut units = Vec::new();
    for unit in &room.units {
        let (Some(at), Some(facing)) = (&unit.at_m, &unit.facing) else {
            continue;
        };
        let (tag, model) = (&unit.tag.value, &unit.model.value);
        let unit = PlacedUnit {
            tag: tag.clone(),
            model: model.clone(),
            frame: Frame {
                at_m: at.value,
                facing: facing.value,
            },
            mount: mount(room, unit),
            by: PlacedBy::Survey,
            short_circuit: room.selection.short_circuit.value,
            ducted: ducted(room, catalog, tag, model)?,
        };
        units.push(unit);
    }
    Ok(units)
}

fn mount(room: &Room, unit: &room::Unit) -> Mount {
    unit.mount
        .as_ref()
        .map_or(room.hanging.mount.value, |m| m.value)
}

/// Seed of the search that [`place`] runs.
pub const SEED: u64 = 1;

/// Places the units of a set: those that the room file places stay where they
/// are, the others are searched a place for. Where the file gives a unit only
/// its position or only its direction, that stays.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn place(room: &Room, catalog: &Catalog, set: &UnitSet) -> Result<Placement, JobError> {
    let found = suggest::first(room, catalog, set, SEED)?;
    judged(room, catalog, found.units, found.none_because)
}

/// Judges units in their places.
pub(crate) fn judged(
    room: &Room,
    catalog: &Catalog,
    mut units: Vec<PlacedUnit>,
    extra: Vec<Finding>,
) -> Result<Placement, JobError> {
    let sensor_m = sensor_m(room);
    let fixed = Fixed::of(room, catalog, sensor_m);
    let mut workings = Vec::new();
    let scene = Scene::of(room, catalog, &fixed, &units)?;
    let mut shares = Vec::new();
    for (i, seen) in scene.units.iter().enumerate() {
        if seen.in_room() {
            let share = shares::share(&scene, i);
            workings.push(shares::working(&scene, i, &share));
            shares.push(Some(share.sum()));
        } else {
            // Its ducts decide, and nobody said where they end.
            shares.push(None);
        }
    }
    let mut findings = extra;
    findings.extend(checks::findings(&scene));
    let jets: Vec<Jet> = scene
        .units
        .iter()
        .filter(|u| u.in_room())
        .map(|u| u.jet.clone())
        .chain(fixed.jets.iter().cloned())
        .collect();
    for (unit, share) in units.iter_mut().zip(shares) {
        if let Some(share) = share {
            unit.short_circuit = share;
        }
    }
    for unit in &units {
        if !ducts_of(room, &unit.tag).is_empty() {
            workings.push(ducts::working(&unit.tag, &unit.ducted));
        }
    }
    Ok(Placement {
        units,
        sensor_m,
        jets,
        findings,
        workings,
    })
}

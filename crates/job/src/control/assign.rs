//! Which controller serves which units.

use equipment::{Catalog, ControlFamily, Controller, Role, Terminal};
use room::{Room, Wall};

use crate::error::JobError;
use crate::geometry::Point;
use crate::machines;
use crate::placement::{Placement, inside};

/// Height of a controller on the wall \[m\]. Common practice: eye level.
const EYE_LEVEL_M: f64 = 1.4;

/// From the edge of the door to a controller \[m\]. Assumed.
const BESIDE_DOOR_M: f64 = 0.3;

/// Which controller serves which units.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Assignment {
    /// Each controller with its units.
    pub served: Vec<Served>,
    /// Controllers and tags that they serve, but no unit has.
    pub unknown: Vec<(String, String)>,
    /// Units that several controllers serve.
    pub twice: Vec<(String, Vec<String>)>,
    /// Controllers and units that they cannot tell to run.
    pub misfit: Vec<(String, String)>,
    /// Units that no controller serves and none of the catalogue fits.
    pub unserved: Vec<String>,
    /// Units with a humidistat of their own.
    pub on_board: Vec<String>,
}

/// A controller and its units.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Served {
    /// Tag of the controller.
    pub controller: String,
    /// Code of its record.
    pub model: String,
    /// Who chose it.
    pub by: ChosenBy,
    /// Tags of its units.
    pub units: Vec<String>,
    /// Most units that it can serve.
    pub most: u32,
}

/// Who chose a controller.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ChosenBy {
    /// The room file.
    Survey,
    /// This step, from the catalogue.
    Catalogue,
}

/// A controller in its place.
pub(super) struct Placed<'a> {
    pub(super) tag: String,
    pub(super) record: &'a Controller,
    pub(super) at_m: Point,
}

/// Groups of terminals of one role, in the order of the record.
pub(super) fn groups(terminals: &[Terminal], role: Role) -> Vec<Vec<&Terminal>> {
    let mut groups: Vec<Vec<&Terminal>> = Vec::new();
    for t in terminals.iter().filter(|t| t.role == Some(role)) {
        match groups
            .iter_mut()
            .find(|g| g.iter().any(|o| o.group == t.group))
        {
            Some(group) => group.push(t),
            None => groups.push(vec![t]),
        }
    }
    groups
}

/// Most units of a family that a controller can serve.
fn most(controller: &Controller, family: ControlFamily) -> usize {
    if !controller.families.contains(&family) {
        return 0;
    }
    let all = controller.max_units as usize;
    match family {
        ControlFamily::DryContact => {
            let relays = groups(&controller.terminals, Role::Relay);
            all.min(relays.iter().filter(|g| 2 <= g.len()).count())
        }
        ControlFamily::OnBoard => 0,
        _ => all,
    }
}

type Need = (String, ControlFamily);

/// Whether a controller with these units can take one more.
fn has_room_for(controller: &Controller, taken: &[Need], family: ControlFamily) -> bool {
    let alike = taken.iter().filter(|(_, f)| *f == family).count();
    taken.len() < controller.max_units as usize && alike < most(controller, family)
}

/// Gives each unit its controller: first as the room file says, then to those
/// of the room file that still have room, then to ones of the catalogue.
pub(super) fn assign<'a>(
    room: &Room,
    catalog: &'a Catalog,
    placement: &Placement,
) -> Result<(Assignment, Vec<Placed<'a>>), JobError> {
    let mut a = Assignment::default();
    let mut needs: Vec<Need> = Vec::new();
    for unit in &placement.units {
        match unit.record(catalog)?.control.family {
            ControlFamily::OnBoard => a.on_board.push(unit.tag.clone()),
            family => needs.push((unit.tag.clone(), family)),
        }
    }
    let mut placed = Vec::new();
    let mut taken: Vec<Vec<Need>> = Vec::new();
    for c in &room.controllers {
        let tag = c.tag.value.clone();
        let place = format!("controller {tag}");
        let record = machines::record(&catalog.controllers, &c.model.value, &place)?;
        let mut mine = Vec::new();
        for wish in &c.serves {
            let wish = &wish.value;
            match needs.iter().find(|(t, _)| t == wish) {
                _ if mine.iter().any(|(t, _): &Need| t == wish) => {}
                None => a.unknown.push((tag.clone(), wish.clone())),
                Some((t, family)) if !record.families.contains(family) => {
                    a.misfit.push((tag.clone(), t.clone()));
                }
                Some(need) => mine.push(need.clone()),
            }
        }
        taken.push(mine);
        placed.push(Placed {
            at_m: c
                .at_m
                .as_ref()
                .map_or_else(|| beside_door(room), |p| p.value),
            tag,
            record,
        });
    }
    for (unit, _) in &needs {
        let by: Vec<String> = placed
            .iter()
            .zip(&taken)
            .filter(|(_, units)| units.iter().any(|(t, _)| t == unit))
            .map(|(p, _)| p.tag.clone())
            .collect();
        if 1 < by.len() {
            a.twice.push((unit.clone(), by));
        }
    }
    // A unit that two serve is wired to the first; the finding says so.
    let mut seen: Vec<String> = Vec::new();
    for units in &mut taken {
        units.retain(|(t, _)| !seen.contains(t));
        seen.extend(units.iter().map(|(t, _)| t.clone()));
    }
    let mut left: Vec<Need> = needs
        .into_iter()
        .filter(|(t, _)| !seen.contains(t))
        .collect();
    for (i, c) in room.controllers.iter().enumerate() {
        if c.serves.is_empty()
            && let (Some(p), Some(units)) = (placed.get(i), taken.get_mut(i))
        {
            left.retain(|need| {
                let takes = has_room_for(p.record, units, need.1);
                if takes {
                    units.push(need.clone());
                }
                !takes
            });
        }
    }
    let surveyed = placed.len();
    while let Some((tag, family)) = left.first().cloned() {
        let Some(record) = fitting(catalog, &left, family) else {
            a.unserved.push(tag);
            left.remove(0);
            continue;
        };
        let mut units = Vec::new();
        left.retain(|need| {
            let takes = need.1 == family && has_room_for(record, &units, need.1);
            if takes {
                units.push(need.clone());
            }
            !takes
        });
        placed.push(Placed {
            tag: free_tag(&placed, placement),
            record,
            at_m: beside_door(room),
        });
        taken.push(units);
    }
    for (i, (p, units)) in placed.iter().zip(&taken).enumerate() {
        let most = units
            .iter()
            .map(|(_, f)| most(p.record, *f))
            .min()
            .unwrap_or(p.record.max_units as usize);
        a.served.push(Served {
            controller: p.tag.clone(),
            model: p.record.code.clone(),
            by: if i < surveyed {
                ChosenBy::Survey
            } else {
                ChosenBy::Catalogue
            },
            units: units.iter().map(|(t, _)| t.clone()).collect(),
            most: u32::try_from(most).unwrap_or(u32::MAX),
        });
    }
    Ok((a, placed))
}

/// The controller of the catalogue that fits with fewest of it, then the
/// smallest, then the first by code.
fn fitting<'a>(
    catalog: &'a Catalog,
    left: &[Need],
    family: ControlFamily,
) -> Option<&'a Controller> {
    let count = left.iter().filter(|(_, f)| *f == family).count();
    catalog
        .controllers
        .values()
        .filter(|c| 0 < most(c, family))
        .min_by_key(|c| (count.div_ceil(most(c, family)), c.max_units))
}

fn free_tag(placed: &[Placed<'_>], placement: &Placement) -> String {
    (1..)
        .map(|n: u32| format!("C{n}"))
        .find(|tag| {
            placed.iter().all(|p| p.tag != *tag) && placement.units.iter().all(|u| u.tag != *tag)
        })
        .unwrap_or_default()
}

/// On the wall beside the first door; without a door in the corner.
fn beside_door(room: &Room) -> Point {
    let size = inside(room).high_m;
    let z = EYE_LEVEL_M.min(size[2]);
    let Some(door) = room.doors.first() else {
        return [0.0, 0.0, z];
    };
    let along = door.along_m.value + 0.5 * door.width_m.value + BESIDE_DOOR_M;
    match door.wall.value {
        Wall::MinusX => [0.0, along.min(size[1]), z],
        Wall::PlusX => [size[0], along.min(size[1]), z],
        Wall::MinusY => [along.min(size[0]), 0.0, z],
        Wall::PlusY => [along.min(size[0]), size[1], z],
    }
}

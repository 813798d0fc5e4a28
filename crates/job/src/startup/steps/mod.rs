//! The steps that a design and its records call for.

mod carried;
mod control;
mod electric;
pub(super) mod ids;
mod running;
mod water;
mod whole;

use equipment::{Catalog, Model};
use quantity::Text;
use room::Room;

use super::Built;
use super::accept::Acceptance;
use super::ask::Entry;
use super::hazards::Hazard;
use super::step::{Kind, Step};
use crate::airs;
use crate::error::JobError;
use crate::placement::PlacedUnit;
use crate::power::Branch;

/// A unit with what the steps of the design say of it.
struct Scene<'a> {
    room: &'a Room,
    built: Built<'a>,
    unit: &'a PlacedUnit,
    model: &'a Model,
    pressure_pa: f64,
}

impl Scene<'_> {
    fn id(&self, kind: Kind) -> String {
        id(&self.unit.tag, kind)
    }

    /// Its circuit on the power sheet.
    fn branch(&self) -> Option<&Branch> {
        let branches = &self.built.power.branches;
        branches.iter().find(|b| b.tag == self.unit.tag)
    }

    fn step(&self, kind: Kind, title: impl Into<Text>, reason: impl Into<Text>) -> Step {
        step(self.id(kind), Some(&self.unit.tag), kind, title, reason)
    }
}

fn id(whose: &str, kind: Kind) -> String {
    format!("{whose}.{}", kind.slug())
}

fn step(
    id: String,
    unit: Option<&str>,
    kind: Kind,
    title: impl Into<Text>,
    reason: impl Into<Text>,
) -> Step {
    Step {
        id,
        unit: unit.map(str::to_owned),
        kind,
        title: title.into(),
        reason: reason.into(),
        how: Text::new(),
        hazards: Vec::new(),
        entries: Vec::new(),
        needs: Vec::new(),
        acceptance: Acceptance::Answers,
        wait: None,
    }
}

impl Step {
    fn hazards(self, hazards: &[Hazard]) -> Self {
        Self {
            hazards: hazards.to_vec(),
            ..self
        }
    }

    fn how(self, how: impl Into<Text>) -> Self {
        Self {
            how: how.into(),
            ..self
        }
    }

    fn asks(mut self, entries: impl IntoIterator<Item = Entry>) -> Self {
        self.entries.extend(entries);
        self
    }

    fn needs(mut self, needs: impl IntoIterator<Item = String>) -> Self {
        self.needs.extend(needs);
        self
    }

    fn accepts(self, acceptance: Acceptance) -> Self {
        Self { acceptance, ..self }
    }
}

/// Every step; none needs one that is not there.
pub(super) fn all(room: &Room, catalog: &Catalog, built: Built<'_>) -> Result<Vec<Step>, JobError> {
    let pressure_pa = airs::pressure_pa(&room.site);
    let mut steps = Vec::new();
    for unit in &built.placement.units {
        let scene = Scene {
            room,
            built,
            unit,
            model: unit.record(catalog)?,
            pressure_pa,
        };
        let mut own = Vec::new();
        own.extend(carried::steps(&scene));
        own.extend(water::steps(&scene));
        own.extend(electric::before(&scene));
        own.extend(control::wires(&scene));
        own.extend(electric::on(&scene, &own));
        own.extend(control::of_unit(&scene, &own));
        own.extend(running::steps(&scene, &own));
        steps.extend(own);
    }
    steps.extend(control::of_controllers(built));
    steps.extend(whole::steps(room, built, &steps, pressure_pa));
    let there: Vec<String> = steps.iter().map(|s| s.id.clone()).collect();
    for step in &mut steps {
        step.needs.retain(|n| there.contains(n));
    }
    Ok(in_order(steps))
}

/// The same steps, each after those that it needs, else as they were.
fn in_order(steps: Vec<Step>) -> Vec<Step> {
    let mut left = steps;
    let mut done: Vec<Step> = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let ready = |s: &Step| s.needs.iter().all(|n| done.iter().any(|d| d.id == *n));
        // A ring of needs would be our own mistake; then the first goes.
        let next = left.iter().position(ready).unwrap_or(0);
        done.push(left.remove(next));
    }
    done
}

/// Ids of steps of these kinds among `steps`.
fn of_kinds(steps: &[Step], kinds: &[Kind]) -> Vec<String> {
    steps
        .iter()
        .filter(|s| kinds.contains(&s.kind))
        .map(|s| s.id.clone())
        .collect()
}

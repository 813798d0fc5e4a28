//! The panel: what stands on it, on which legs, and what it can still give.

use quantity::Given;
use room::{Circuit, LoadTime, Panel};

use super::supply::Supply;
use crate::geometry::{Cuboid, Point};

/// Factor on loads of three hours or more (NEC 210.20, recalled).
pub const CONTINUOUS: f64 = 1.25;
/// Factor on the largest motor of a feeder (NEC 430.24, recalled).
pub const LARGEST_MOTOR: f64 = 1.25;

/// What a row of the schedule is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowKind {
    /// A dehumidifier.
    Unit,
    /// A load that was surveyed.
    Other(LoadTime),
}

/// A circuit of the panel.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// Tag of the unit, or name of the load.
    pub name: String,
    /// What it is.
    pub kind: RowKind,
    /// Legs that it loads, 0 to 2 for A, B, C.
    pub legs: Vec<usize>,
    /// Current \[A\].
    pub current_a: f64,
    /// Its protective device, of a unit \[A\].
    pub device_a: Option<f64>,
}

/// Space to keep free before a panel.
#[derive(Clone, Debug, PartialEq)]
pub struct WorkingSpace {
    /// The space \[m\].
    pub space: Cuboid,
    /// Depth from the panel \[m\].
    pub depth_m: f64,
    /// Each thing in it and the depth that it leaves \[m\].
    pub in_it: Vec<(String, f64)>,
}

/// A panel with its circuits.
#[derive(Clone, Debug, PartialEq)]
pub struct PanelSchedule {
    /// Its name.
    pub name: String,
    /// Where it is \[m\].
    pub at_m: Point,
    /// What it gives.
    pub supply: Supply,
    /// Surveyed loads, then units by falling current.
    pub rows: Vec<Row>,
    /// Current of each leg; legs that it has not are 0 \[A\].
    pub leg_a: [f64; 3],
    /// The same with the factors on continuous loads and on the largest motor
    /// \[A\].
    pub demand_a: [f64; 3],
    /// Current that the units add to the fullest leg, with the factor on the
    /// largest motor \[A\].
    pub added_a: f64,
    /// Rating of its main device \[A\].
    pub main_a: Option<f64>,
    /// Current that it could still give before the units \[A\].
    pub spare_a: Option<f64>,
    /// Poles that the units need.
    pub poles: u32,
    /// Poles that were free.
    pub free_spaces: Option<u32>,
    /// Current into a short circuit there \[A\].
    pub fault_a: Option<f64>,
    /// Measured between its phases \[V\].
    pub between_v: Option<[f64; 3]>,
    /// Space before it; `None` where it hangs outside the room.
    pub working_space: Option<WorkingSpace>,
}

/// What the schedule needs of a unit.
#[derive(Clone, Debug, PartialEq)]
pub struct UnitLoad {
    /// Its tag.
    pub tag: String,
    /// Poles of its device.
    pub poles: u32,
    /// Full-load current \[A\].
    pub full_load_a: f64,
    /// Its device \[A\].
    pub device_a: f64,
}

/// Letters of the legs.
pub const LEGS: [&str; 3] = ["A", "B", "C"];

/// Legs in letters: "AB".
pub fn legs_in_letters(legs: &[usize]) -> String {
    legs.iter().filter_map(|l| LEGS.get(*l)).copied().collect()
}

/// Legs that a surveyed load is on; those that the panel has not fall away,
/// and a load that would be on none is on all.
fn legs_of(circuit: &Circuit, legs: usize) -> Vec<usize> {
    let all = || (0..legs).collect::<Vec<_>>();
    if circuit.phases.value == "all" {
        return all();
    }
    let named: Vec<usize> = LEGS
        .iter()
        .enumerate()
        .filter(|(i, letter)| *i < legs && circuit.phases.value.contains(**letter))
        .map(|(i, _)| i)
        .collect();
    if named.is_empty() { all() } else { named }
}

/// Ways for a device of `poles` on `legs`.
fn ways(poles: u32, legs: usize) -> Vec<Vec<usize>> {
    match (poles, legs) {
        (1, _) => (0..legs).map(|i| vec![i]).collect(),
        (2, 3) => vec![vec![0, 1], vec![1, 2], vec![0, 2]],
        _ => vec![(0..legs).collect()],
    }
}

/// Puts loads on a panel: surveyed ones where they are, then units by falling
/// current (equal ones by tag), each where the fullest leg stays lowest, at a
/// tie on the first legs.
///
/// Currents of a leg are added as numbers, which is never too low.
pub fn schedule(
    panel: &Panel,
    supply: Supply,
    circuits: &[&Circuit],
    units: &[UnitLoad],
) -> PanelSchedule {
    let legs = supply.legs.clamp(1, 3) as usize;
    let mut rows: Vec<Row> = circuits
        .iter()
        .map(|c| Row {
            name: c.name.value.clone(),
            kind: RowKind::Other(c.runs.value),
            legs: legs_of(c, legs),
            current_a: c.current_a.value,
            device_a: None,
        })
        .collect();
    let mut leg_a = [0.0; 3];
    let mut demand_a = [0.0; 3];
    for row in &rows {
        let factor = match row.kind {
            RowKind::Other(LoadTime::Continuous) => CONTINUOUS,
            _ => 1.0,
        };
        for leg in &row.legs {
            leg_a[*leg] += row.current_a;
            demand_a[*leg] += factor * row.current_a;
        }
    }
    let before_a = demand_a;
    let mut order: Vec<&UnitLoad> = units.iter().collect();
    order.sort_by(|a, b| {
        b.full_load_a
            .total_cmp(&a.full_load_a)
            .then_with(|| a.tag.cmp(&b.tag))
    });
    for unit in &order {
        let fullest = |way: &Vec<usize>| way.iter().map(|l| leg_a[*l]).fold(0.0, f64::max);
        let spread = |way: &Vec<usize>| way.iter().map(|l| leg_a[*l]).sum::<f64>();
        let way = ways(unit.poles, legs)
            .into_iter()
            .min_by(|a, b| {
                fullest(a)
                    .total_cmp(&fullest(b))
                    .then_with(|| spread(a).total_cmp(&spread(b)))
            })
            .unwrap_or_default();
        for leg in &way {
            leg_a[*leg] += unit.full_load_a;
            demand_a[*leg] += unit.full_load_a;
        }
        rows.push(Row {
            name: unit.tag.clone(),
            kind: RowKind::Unit,
            legs: way,
            current_a: unit.full_load_a,
            device_a: Some(unit.device_a),
        });
    }
    if let Some(largest) = rows.iter().find(|r| r.kind == RowKind::Unit) {
        for leg in &largest.legs {
            demand_a[*leg] += (LARGEST_MOTOR - 1.0) * largest.current_a;
        }
    }
    let added_a = (0..3)
        .map(|i| demand_a[i] - before_a[i])
        .fold(0.0, f64::max);
    let known = |g: &Option<Given<f64>>| g.as_ref().map(|g| g.value);
    PanelSchedule {
        name: panel.name.value.clone(),
        at_m: panel.at_m.value,
        supply,
        rows,
        leg_a,
        demand_a,
        added_a,
        main_a: known(&panel.main_a),
        spare_a: known(&panel.spare_current_a),
        poles: units.iter().map(|u| u.poles).sum(),
        free_spaces: panel.free_spaces.as_ref().map(|g| g.value),
        fault_a: known(&panel.fault_a),
        between_v: panel.between_v,
        working_space: None,
    }
}

impl PanelSchedule {
    /// Greatest current of a leg, factors in \[A\].
    pub fn fullest_a(&self) -> f64 {
        self.demand_a.iter().copied().fold(0.0, f64::max)
    }

    /// Greatest departure of a leg from their mean, over the mean.
    pub fn unbalance(&self) -> f64 {
        let legs = self.supply.legs.clamp(1, 3) as usize;
        let leg_a = &self.leg_a[..legs];
        let mean = leg_a.iter().sum::<f64>() / legs as f64;
        let most = leg_a.iter().map(|a| (a - mean).abs()).fold(0.0, f64::max);
        if mean == 0.0 { 0.0 } else { most / mean }
    }

    /// What is left with the units on \[A\]: the least that main and spare
    /// current say; `None` where neither is known.
    pub fn left_a(&self) -> Option<f64> {
        let by_main = self.main_a.map(|main| main - self.fullest_a());
        let by_spare = self.spare_a.map(|spare| spare - self.added_a);
        match (by_main, by_spare) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        }
    }

    /// The row of a unit.
    pub fn row(&self, tag: &str) -> Option<&Row> {
        self.rows
            .iter()
            .find(|r| r.kind == RowKind::Unit && r.name == tag)
    }

    /// Whether a room's panel is this one.
    pub(crate) fn is(&self, name: &str) -> bool {
        self.name == name
    }
}

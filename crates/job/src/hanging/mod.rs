//! Step: how each unit is carried.
//!
//! Screening for a crew and an engineer: rods, strut, isolators, stands and the
//! reactions that they put on the building. What the building bears is for a
//! licensed engineer.

mod checks;
pub mod isolator;
pub mod level;
pub mod lifting;
mod list;
mod plan;
pub mod sharing;
pub mod stand;
pub mod structure;
pub mod strut;
pub mod sway;
pub mod thread;
mod workings;

use equipment::Catalog;
use quantity::{Finding, Working};
use room::{Rod, Room};

use crate::error::JobError;
use crate::geometry::{Cuboid, Point};
use crate::parts::Part;
use crate::placement::Placement;

pub use isolator::Hanger;
pub(crate) use workings::tolerance_working;

/// Clear distance of a trapeze rod from the side of the cabinet \[m\].
///
/// **Assumed**: room for a nut, a washer and a wrench.
pub const BESIDE_M: f64 = 0.075;

/// What this step found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hanging {
    /// Each unit, in the order of the placement.
    pub units: Vec<CarriedUnit>,
    /// What to buy for it.
    pub parts: Vec<Part>,
    /// Judgements.
    pub findings: Vec<Finding>,
    /// How its numbers came about.
    pub workings: Vec<Working>,
}

/// How a unit is carried in the end.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Way {
    /// Rods from the structure straight to its hanging points.
    Rods,
    /// Rods from strut channel that lies across the members overhead.
    RodsFromStrut,
    /// On strut channel under it, on rods beside it.
    Trapeze,
    /// On a stand on the floor.
    Stand,
    /// Outside the room.
    Outside,
}

/// A unit, and what carries it.
#[derive(Clone, Debug, PartialEq)]
pub struct CarriedUnit {
    /// Its tag.
    pub tag: String,
    /// Code of its model.
    pub model: String,
    /// How it is carried.
    pub way: Way,
    /// The cabinet in the room.
    pub cabinet: Cuboid,
    /// Mass without water \[kg\].
    pub dry_kg: f64,
    /// Mass with the pan full \[kg\].
    pub wet_kg: f64,
    /// Centre of gravity in the room \[m\].
    pub gravity_m: Point,
    /// Where its hanging points come from.
    pub points: PointsFrom,
    /// Factor on its loads.
    pub load_factor: f64,
    /// Rods; none for a stand and outside.
    pub rods: Vec<HangingRod>,
    /// Whether all rods are in tension: its centre of gravity is between them.
    pub balance: Balance,
    /// Strut channel.
    pub struts: Vec<Strut>,
    /// Where the building carries it.
    pub anchors: Vec<Anchor>,
    /// Its stand.
    pub stand: Option<Stand>,
    /// How level it must be.
    pub levelling: Option<Levelling>,
    /// How it swings.
    pub sway: Option<Sway>,
}

/// Where the hanging points of a unit come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointsFrom {
    /// Its record.
    Record,
    /// Assumed at the corners of its top.
    Corners,
    /// Not needed: nothing hangs.
    NotNeeded,
}

/// Where a centre of gravity is to its supports.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Balance {
    /// Between them.
    Between,
    /// Beside them: the unit would tip.
    Beside,
}

/// A threaded rod.
#[derive(Clone, Debug, PartialEq)]
pub struct HangingRod {
    /// Tag of the rod, "D1-1".
    pub tag: String,
    /// Its size.
    pub rod: Rod,
    /// Its lower end: where the unit, or the trapeze, hangs on it \[m\].
    pub foot_m: Point,
    /// Height of its upper end \[m\].
    pub top_m: f64,
    /// Load with all rods alike \[N\].
    pub even_n: f64,
    /// Largest load with one rod slack \[N\].
    pub worst_n: f64,
    /// The same with the load factor \[N\].
    pub design_n: f64,
    /// What the rod may carry \[N\].
    pub allowed_n: f64,
    /// Its isolator.
    pub hanger: Option<Hanger>,
    /// Length of rod to cut, both pieces together \[m\].
    pub cut_m: f64,
}

impl HangingRod {
    /// Free length between unit and structure \[m\]; negative where the unit
    /// is too high.
    pub fn clear_m(&self) -> f64 {
        self.top_m - self.foot_m[2]
    }

    /// Design load over what the rod may carry.
    pub fn utilisation(&self) -> f64 {
        self.design_n / self.allowed_n
    }
}

/// What a strut channel does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum StrutUse {
    /// Lies across the members overhead; rods hang from it.
    Across,
    /// Lies under the unit; hangs on two rods.
    Trapeze,
}

/// A strut channel as a beam.
#[derive(Clone, Debug, PartialEq)]
pub struct Strut {
    /// Tag, "D1-S1".
    pub tag: String,
    /// What it does.
    pub used: StrutUse,
    /// Its two ends \[m\].
    pub ends_m: [Point; 2],
    /// Span that bends \[m\].
    pub span_m: f64,
    /// Load that it is designed for, factor included \[N\]: each of two rods, or
    /// what lies on it.
    pub load_n: f64,
    /// The same without the factor and with all rods alike \[N\].
    pub even_load_n: f64,
    /// Bending moment \[N·m\].
    pub moment_n_m: f64,
    /// Bending stress \[Pa\].
    pub stress_pa: f64,
    /// Stress allowed \[Pa\].
    pub allowed_pa: f64,
    /// Deflection without the load factor \[m\].
    pub sag_m: f64,
    /// Deflection allowed \[m\].
    pub allowed_sag_m: f64,
}

/// A place where the building carries a unit.
#[derive(Clone, Debug, PartialEq)]
pub struct Anchor {
    /// Tag: that of its rod, strut or foot.
    pub tag: String,
    /// Where \[m\].
    pub at_m: Point,
    /// Force on the building, with the load factor \[N\]: a pull overhead, a
    /// push on a floor.
    pub reaction_n: f64,
}

/// A stand on the floor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stand {
    /// Height of its top above the floor \[m\].
    pub height_m: f64,
    /// Largest reaction of a foot, with the load factor \[N\].
    pub foot_n: f64,
    /// Least distance in plan from the centre of gravity to the edge between
    /// the feet \[m\].
    pub to_edge_m: f64,
    /// Tilt at which it tips, unbolted \[rad\].
    pub tips_at_rad: f64,
    /// Push at its centre of gravity that tips it, unbolted \[N\].
    pub push_n: f64,
}

/// How level a unit must be, both ways.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levelling {
    /// Fall of its pan to the outlet \[m/m\].
    pub pan_fall: f64,
    /// Out of level allowed, either way \[m/m\].
    pub tolerance: f64,
    /// Rod spacing back to front, and right to left \[m\].
    pub spacing_m: [f64; 2],
    /// Pitch of the rod's thread \[m\].
    pub pitch_m: f64,
}

impl Levelling {
    /// Turns of the nuts of one side that take out a tilt \[m/m\]; `way` 0 is
    /// back to front, 1 right to left.
    pub fn turns(&self, tilt: f64, way: Direction) -> f64 {
        let spacing_m = match way {
            Direction::BackToFront => self.spacing_m[0],
            Direction::RightToLeft => self.spacing_m[1],
        };
        level::nut_turns(tilt, spacing_m, self.pitch_m)
    }
}

/// A direction in which a unit is levelled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// From its back to its front.
    BackToFront,
    /// From its right to its left.
    RightToLeft,
}

/// How a hung unit swings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sway {
    /// Length that swings \[m\].
    pub length_m: f64,
    /// Period \[s\].
    pub period_s: f64,
    /// Horizontal seismic force, where the site has S_DS \[N\].
    pub seismic_n: Option<f64>,
    /// Whether ducts push it.
    pub ducts: u32,
}

/// Plans this step for the units in their places.
///
/// # Errors
/// A model that the catalogue does not have.
pub fn hang(room: &Room, catalog: &Catalog, placement: &Placement) -> Result<Hanging, JobError> {
    let units = placement
        .units
        .iter()
        .map(|unit| Ok(plan::carry(room, unit, unit.record(catalog)?)))
        .collect::<Result<Vec<_>, JobError>>()?;
    let mut hanging = Hanging {
        parts: list::parts(room, &units),
        workings: workings::of(room, &units),
        findings: Vec::new(),
        units,
    };
    hanging.findings = checks::findings(room, &hanging);
    Ok(hanging)
}

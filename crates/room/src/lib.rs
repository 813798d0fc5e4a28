//! What was surveyed: one room, in SI, checked.
//!
//! [`Room::read`] takes the text of a room file, and of a site file if there
//! is one, and gives a [`Room`] or every problem of both files. Each datum is a
//! [`quantity::Given`], so that what was assumed is told from what was
//! surveyed. [`ROOM_FORMAT`] and [`SITE_FORMAT`] are the tables of fields that
//! drive the reader, the schema and the manual.
//!
//! No physics lives here: geometry, clocks and choices only.

mod assumed;
mod check;
mod choice;
mod control;
mod crop;
mod crop_class;
mod envelope;
mod gains;
mod layout;
mod light;
mod period;
mod places;
mod plant;
mod practice;
mod read;
mod room;
mod site;
mod target;
mod units;
mod water;

pub use choice::{Facing, Hours, Side, Wall};
pub use control::{Control, Controller, FanHabit, Setpoint, Staging};
pub use crop::{AirMovement, Crop};
pub use crop_class::{CropClass, CropKind, Stage, StageTargets};
pub use envelope::{
    ColdSurface, Door, Envelope, Fabric, Face, Geometry, MoistureBuffer, Seal, ThermalMass,
};
pub use gains::{Activity, Burner, BurnerRate, Flue, Fuel, Gain, GainWater, People};
pub use layout::{
    Access, Aisle, Bench, Blow, Duct, DuctSection, DuctSide, DuctWall, Luminaires, Obstacle,
    ObstacleKind, Return, Supply,
};
pub use light::Light;
pub use period::{Period, TargetNow};
pub use places::{Circuit, Drain, DrainKind, EndTrap, LoadTime, Panel, Structure, StructureKind};
pub use plant::{AirMover, Cooling, CoolingControl, CoolingFan, HeatSource, Heating, RunsWhen};
pub use practice::{
    Connection, Generator, Hanging, Isolator, Mount, PipeMaterial, PipeSize, Piping, PlumbingRules,
    Rod, Surroundings, Wiring, WiringRules,
};
pub use read::{ROOM_FORMAT, SITE_FORMAT, allowed, default_of};
pub use room::Room;
pub use site::{AirGiven, AirHumidity, DesignDay, Site};
pub use target::{Humidity, Target, Targets};
pub use units::{CoilCredit, Price, Selection, Spare, Unit, UnitState};
pub use water::{DryingModel, HungCrop, Irrigation, Tank, WashDown, WetFloor};

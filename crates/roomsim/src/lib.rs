//! One well-mixed room over time, under its real controls.
//!
//! A [`Setup`] of plain SI numbers goes in, an [`Outcome`] comes out: the air
//! state minute by minute, water and heat by path, which machine ran when and
//! what it drew. [`run`] is the whole interface; [`Setup::check`] tells
//! beforehand whether a setup can be run.
//!
//! How it works: each step takes every flow of heat and water with its slopes
//! over dry bulb and humidity ratio, solves the two balances together in
//! closed form, and books each flow at the mean of the step, so that the books
//! close to rounding at any step. Saturation, machines and timetable are read
//! from tables made once.

mod air_now;
mod bank;
mod boundaries;
mod coil;
mod events;
mod floor;
mod linear;
mod open_water;
mod outcome;
mod parts;
mod performance;
mod plant;
mod saturation;
mod sensor;
pub mod setup;
mod simulation;
mod sources;
mod starts;
mod storage;
mod tally;
pub mod timetable;
mod wet_surface;

pub use outcome::{
    Balance, CoolingSummary, DehumidifierSummary, Disturbance, EnergySummary, HeatPath, Moment,
    Outcome, PeriodSummary, Record, Recovery, Series, Summary, WaterPath,
};
pub use performance::{
    CoolingAxes, CoolingPoint, CoolingTable, PointData, RemovalAxes, RemovalPoint, RemovalTable,
    TableError,
};
pub use setup::{Setup, SetupError};
pub use simulation::run;
pub use timetable::{Hours, Period, Timetable};

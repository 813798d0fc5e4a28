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
//! from tables made once; the loop allocates nothing but its results.
//!
//! A sealed, insulated box of 500 m³ that half a kilogram of water enters in a
//! day:
//!
//! ```
//! use std::sync::Arc;
//! use roomsim::setup::*;
//! use roomsim::timetable::Spell;
//! use roomsim::{Hours, Record, Timetable, WaterPath, run};
//!
//! let hours = Hours {
//!     other: vec![Spell::always(0.0, 0.5 / 86_400.0)],
//!     ..Hours::default()
//! };
//! let setup = Setup {
//!     zone: Zone {
//!         volume_m3: 500.0,
//!         pressure_pa: 101_325.0,
//!         outdoor_conductance_w_per_k: 0.0,
//!         adjacent_conductance_w_per_k: 0.0,
//!         fast_capacity_j_per_k: 0.0,
//!         mass: None,
//!         moisture: MoistureStorage::None,
//!         air_moisture_multiplier: 1.0,
//!         exchanges: Vec::new(),
//!         coldest_surface: None,
//!     },
//!     start: StartAir { dry_bulb_c: 26.0, humidity_ratio: 0.0126 },
//!     timetable: Arc::new(Timetable::new(hours)),
//!     lights: Lights::NONE,
//!     canopy: None,
//!     medium: None,
//!     water_surfaces: Vec::new(),
//!     floor: None,
//!     cooling: Vec::new(),
//!     heating: None,
//!     dehumidifiers: Vec::new(),
//!     humidity_control: HumidityControl {
//!         deadband: HumiditySpan::ZERO,
//!         sensor_lag_s: 0.0,
//!         sensor_offset: 0.0,
//!         staging: Staging::Together,
//!     },
//!     events: Vec::new(),
//!     run: RunLength { warm_up_days: 0, ..RunLength::default() },
//! };
//! setup.check()?;
//! let outcome = run(&setup, Record::Summary);
//! assert!((outcome.summary.water_kg(WaterPath::Other) - 0.5).abs() < 1e-9);
//! assert!(outcome.balance.run_water_kg.abs() < 1e-9);
//! # Ok::<(), SetupError>(())
//! ```

mod air_now;
mod bank;
mod boundaries;
mod coil;
mod events;
mod floor;
mod latent_share;
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

pub use coil::Coil;
pub use latent_share::LatentShares;
pub use outcome::{
    Balance, CoolingSummary, DehumidifierSummary, Disturbance, EnergySummary, HeatPath, Moment,
    Outcome, PeriodSummary, Record, Recovery, Series, Summary, WaterPath,
};
pub use performance::{
    CoolingAxes, CoolingPoint, CoolingTable, PointData, RemovalAxes, RemovalPoint, RemovalTable,
    TableError,
};
pub use setup::{Setup, SetupError};
pub use simulation::{Settled, run, run_from, settle};
pub use timetable::{Hours, Period, Timetable};

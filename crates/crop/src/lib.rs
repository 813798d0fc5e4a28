//! Water and heat given off by what grows, lies wet or breathes in a room.
//!
//! One file per family of equations: the canopy ([`canopy`], [`stomata`], the
//! second opinion [`stanghellini`] and the tested building block
//! [`penman_monteith`]), the growing medium ([`medium`]), water surfaces
//! ([`water_surface`]), wet floors ([`film`]), people ([`people`]), fuel burnt in the room
//! ([`combustion`]), air that comes and goes ([`air_exchange`]), the balance of
//! irrigation water ([`irrigation`]), a harvested crop hung to dry
//! ([`drying`]) and cold surfaces ([`envelope`]).
//!
//! The equations are plain functions of SI numbers (°C for temperature) and of
//! an air state. How a printed number came about is told by [`workings`].
//! This crate knows no room: areas, counts and schedules are the caller's.

mod air_side;
mod lag;

pub mod air_exchange;
pub mod canopy;
pub mod combustion;
pub mod drying;
pub mod envelope;
pub mod film;
pub mod irrigation;
pub mod medium;
pub mod penman_monteith;
pub mod people;
pub mod sources;
pub mod stanghellini;
pub mod stomata;
pub mod water_surface;
pub mod workings;

pub use canopy::{Canopy, CanopyFlux};
pub use lag::Lag;

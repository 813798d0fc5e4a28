//! One file per verb.

pub(crate) mod air;
pub(crate) mod as_wired;
pub(crate) mod catalog;
pub(crate) mod check;
pub(crate) mod day;
pub(crate) mod demo;
pub(crate) mod design;
pub(crate) mod fault;
pub(crate) mod load;
pub(crate) mod prove;
pub(crate) mod schema;
pub(crate) mod select;
mod shared;
pub(crate) mod start;
pub(crate) mod step;
pub(crate) mod suggest;
pub(crate) mod survey;

pub(crate) use step::placed;

//! Models of machines: what a dehumidifier or a cooling machine removes,
//! draws and blows out at the air that it stands in, and whether that is
//! inside its data.
//!
//! A [`Model`] is a catalogue record. [`Model::at`] asks it. What a record
//! does not say is carried by one small piece of physics, the [`Closure`].
//!
//! Machines know nothing of rooms.

mod at;
mod catalog;
pub mod closure;
mod control;
pub mod cooling;
pub mod curve;
mod cycling;
mod fan;
mod file;
mod findings;
mod fit;
mod model;
mod output;
mod provenance;
mod rating;
mod table;
mod workings;

pub use catalog::{Catalog, Machine, read_machine};
pub use closure::{
    Closure, ClosureError, ClosureRating, CoilPass, CoilState, frost_share, pass_at_removal,
    pass_coil,
};
pub use control::{CONTROL_FAMILIES, Control, ControlFamily, Controller, ROLES, Role, Terminal};
pub use cooling::{
    ChilledWater, CoilRating, Cooler, CoolerConditions, CoolerData, CoolerOutput, CoolingKind,
    CoolingMap, CoolingRating, RatedPoint, Valve, bypass_factor_from_rating,
};
pub use curve::{Biquadratic, Range};
pub use cycling::{
    CoilWetness, FanAlwaysOn, cooling_part_load_factor, net_latent_share, part_load_factor,
    run_time_fraction,
};
pub use fan::{FanCurve, FanCurveError, FanPoint, FilterState};
pub use file::{
    CONTROLLER_FORMAT, COOLER_FORMAT, MODEL_FORMAT, read_controller, read_cooler, read_model,
    write_cooler, write_record,
};
pub use findings::{rating_converted, rating_models_disagree, ratings_inconsistent};
pub use fit::{Datasheet, FitError, Fitted, Method, Residual, fit, fit_record, residual};
pub use model::{
    Body, Cabinet, ClosureData, Curve, Defrost, Delays, FACES, Face, FanHabit, Hanging, Model,
    Performance, Plate,
};
pub use output::{Beyond, Corrections, Data, Output};
pub use provenance::{Existence, Provenance};
pub use rating::{Rating, STANDARDS, Standard, UnlikeConditions, energy_factor_kg_per_j};
pub use table::{Cell, Table, TableError, TablePoint};
pub use workings::OutputWorkings;

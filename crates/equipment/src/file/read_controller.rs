//! A controller's file to a [`Controller`].

use fields::{Fault, Problem, Problems, Reading};

use super::read_model::{provenance, terminals};
use super::{CONTROLLER_FORMAT, wrong};
use crate::control::{ControlFamily, Controller};

/// Reads a controller's file.
///
/// # Errors
/// Every problem of the file, as [`crate::read_model`].
pub fn read_controller(file_name: &str, text: &str) -> Result<Controller, Problems> {
    let reading = CONTROLLER_FORMAT.read(file_name, text)?;
    build(&reading).map_err(|problem| {
        let mut problems = Problems::default();
        problems.push(*problem);
        problems
    })
}

fn build(reading: &Reading) -> Result<Controller, Box<Problem>> {
    let what = reading.once("controller");
    let families: Vec<ControlFamily> = what
        .choices("families")
        .into_iter()
        .map(|g| ControlFamily::from_word(g.value))
        .collect();
    if families.is_empty() {
        return Err(wrong(
            what,
            Fault::Missing,
            "families",
            "it can tell no unit to run",
            "write families = [\"dry contact\"]",
        ));
    }
    let value = |key: &str| what.value(key).map(|g| g.value);
    Ok(Controller {
        code: what.need_text("code").value,
        description: what.need_text("description").value,
        families,
        max_units: what.need_count("max_units").value,
        supply_v: value("supply_voltage"),
        supply_va: value("supply_power"),
        contact_v: value("contact_voltage"),
        contact_a: value("contact_current"),
        setpoint_step: value("setpoint_step"),
        terminals: terminals(reading)?,
        set_up: what.texts("set_up").into_iter().map(|g| g.value).collect(),
        provenance: provenance(reading)?,
    })
}

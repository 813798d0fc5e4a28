//! What a setup must be before it is run, one file per section.

mod control;
mod crop;
mod error;
mod events;
mod hours;
mod machines;
mod range;
mod run;
mod water;
mod zone;

pub use error::SetupError;

use super::Setup;

impl Setup {
    /// Whether this can be run.
    ///
    /// # Errors
    /// The first [`SetupError`] found.
    pub fn check(&self) -> Result<(), SetupError> {
        self.check_run()?;
        self.check_zone()?;
        self.check_crop()?;
        self.check_water()?;
        self.check_hours()?;
        for (index, machine) in self.cooling.iter().enumerate() {
            self.check_cooling(index, machine)?;
        }
        for (index, machine) in self.dehumidifiers.iter().enumerate() {
            self.check_dehumidifier(index, machine)?;
        }
        self.check_control()?;
        self.events.iter().try_for_each(|e| self.check_event(e))
    }
}

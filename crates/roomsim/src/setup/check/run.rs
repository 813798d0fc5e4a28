//! Step and length of the run.

use super::SetupError;
use super::range::{Allowed, number};
use crate::setup::Setup;
use crate::timetable::DAY_S;

impl Setup {
    pub(super) fn check_run(&self) -> Result<(), SetupError> {
        let step_s = self.run.step_s;
        number(
            "time step",
            step_s,
            Allowed {
                words: "1 to 600 s",
                low: 1.0,
                high: 600.0,
            },
        )?;
        let steps = DAY_S / step_s;
        if (steps - steps.round()).abs() > 1e-9 {
            return Err(SetupError::Step { step_s });
        }
        number(
            "number of days",
            f64::from(self.run.days),
            Allowed {
                words: "1 to 3660",
                low: 1.0,
                high: 3660.0,
            },
        )?;
        number(
            "number of warm-up days",
            f64::from(self.run.warm_up_days),
            Allowed {
                words: "0 to 3660",
                low: 0.0,
                high: 3660.0,
            },
        )
    }
}

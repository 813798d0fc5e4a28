//! What to buy: one list over all steps.

use quantity::{Place, Step, Text, Value};

/// One line of the parts list.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// The step that asks for it.
    pub step: Step,
    /// What it is ("threaded rod").
    pub what: Text,
    /// Size or rating ("3/8-16, zinc plated").
    pub size: Text,
    /// How many, or how long; lengths include waste.
    pub amount: Value,
    /// Where it goes.
    pub place: Place,
}

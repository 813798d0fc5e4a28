//! What can be set at a control: a humidity goes in steps.

use equipment::{ControlFamily, Controller, Model};

/// Rounding of a setpoint that is on a step already, over the step.
const TOUCH: f64 = 1e-6;

/// The coarsest step of those at which a humidity is set, as relative humidity,
/// 0 to 1: the units with a humidistat of their own, and controllers. `None`
/// where no record tells one.
pub(crate) fn coarsest<'a>(
    models: impl Iterator<Item = &'a Model>,
    controllers: impl Iterator<Item = &'a Controller>,
) -> Option<f64> {
    let own = models
        .filter(|m| m.control.family == ControlFamily::OnBoard)
        .filter_map(|m| m.control.setpoint_step);
    own.chain(controllers.filter_map(|c| c.setpoint_step))
        .max_by(f64::total_cmp)
}

/// A relative humidity as it can be set, inside its target where a step lies
/// there: the drier neighbour, since air that is too humid costs the crop and
/// air that is too dry costs electricity.
pub(crate) fn settable(rel_humidity: f64, [low, high]: [f64; 2], step: f64) -> f64 {
    let steps = rel_humidity / step;
    let drier = (steps + TOUCH).floor() * step;
    let damper = (steps - TOUCH).ceil() * step;
    let inside = |x: f64| low - TOUCH * step <= x && x <= high + TOUCH * step;
    if !inside(drier) && inside(damper) {
        damper
    } else {
        drier
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::catalog;

    #[test]
    fn setpoints_go_to_the_drier_step_that_lies_in_the_target() {
        let percent = |x: f64, low: f64, high: f64, step: f64| {
            let set = settable(x / 100.0, [low / 100.0, high / 100.0], step / 100.0);
            (set * 1000.0).round() / 10.0
        };
        // The middle of 55 to 62 %.
        assert_eq!(percent(58.5, 55.0, 62.0, 5.0), 55.0);
        // On a step already.
        assert_eq!(percent(60.0, 55.0, 65.0, 5.0), 60.0);
        assert_eq!(percent(58.5, 55.0, 62.0, 0.5), 58.5);
        // 55 % would leave the target, 60 % does not.
        assert_eq!(percent(58.5, 57.0, 60.0, 5.0), 60.0);
        assert_eq!(percent(52.0, 52.0, 62.0, 5.0), 55.0);
        // No step lies in the target: the safe side.
        assert_eq!(percent(57.5, 56.0, 59.0, 5.0), 55.0);
    }

    #[test]
    fn only_who_is_set_counts() {
        let catalog = catalog();
        let models = |codes: &[&str]| {
            let of = |c: &&str| &catalog.dehumidifiers[*c];
            coarsest(codes.iter().map(of), std::iter::empty())
        };
        assert_eq!(models(&["generic-30", "generic-150"]), Some(0.05));
        // It has no humidistat of its own: its controller's step counts.
        assert_eq!(models(&["generic-150"]), None);
        let mut controller = catalog.controllers["generic-relay-4"].clone();
        controller.setpoint_step = Some(0.01);
        let both = coarsest(std::iter::empty(), [&controller].into_iter());
        assert_eq!(both, Some(0.01));
    }
}

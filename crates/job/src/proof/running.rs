//! When a unit ran: by its power or state, else by the humidistat of the room
//! file.

use readings::Measure;
use room::Room;

use super::series::Series;
use super::setpoint::over_setpoint;

/// Share of each step that a unit ran.
pub(super) fn running(values: &[f64], measure: Measure) -> Vec<f64> {
    if measure == Measure::UnitState {
        return values.to_vec();
    }
    let mut sorted: Vec<f64> = values.iter().copied().filter(|x| x.is_finite()).collect();
    sorted.sort_by(f64::total_cmp);
    let at = |share: f64| sorted.get((share * sorted.len() as f64) as usize).copied();
    let (Some(rest), Some(full)) = (at(0.02), at(0.98)) else {
        return values.to_vec();
    };
    // A unit that never draws power never ran; one that always does always ran.
    const LEAST_W: f64 = 60.0;
    let (rest, full) = if full < LEAST_W {
        (0.0, f64::INFINITY)
    } else if 0.6 * full < rest {
        (0.0, rest)
    } else {
        (rest, full)
    };
    values
        .iter()
        .map(|x| {
            let share = (x - rest) / (full - rest);
            // Power follows the air by a tenth or two: what is nearly full is full.
            if 0.8 < share {
                1.0
            } else if share < 0.1 {
                0.0
            } else {
                share
            }
        })
        .collect()
}

/// On above setpoint and half the deadband, off below setpoint less half.
///
/// - `step`: the coarsest step of relative humidity of those where it is set
pub(super) fn humidistat(room: &Room, step: Option<f64>, series: &Series) -> Vec<f64> {
    let mut on = false;
    (0..series.len())
        .map(|i| {
            if !series.knows(i) {
                return f64::NAN;
            }
            let over = over_setpoint(room, step, series, i).unwrap_or(-2.0);
            on = 1.0 < over || (on && -1.0 < over);
            f64::from(u8::from(on))
        })
        .collect()
}

//! When a unit ran: by its power or state, else by the water that was counted,
//! else where the air and the setpoint of the room file leave no doubt.

use readings::Measure;
use room::{Room, Staging};

use super::counted::Counted;
use super::series::Series;
use super::setpoint::over_setpoint;
use super::units::RoomUnit;

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

/// From how far off the setpoint, over half the deadband, the logged air leaves
/// no doubt: the control's own sensor may read otherwise by half a deadband.
///
/// **Assumed**.
const NO_DOUBT: f64 = 2.0;

/// Share of each step that every unit ran, where the air leaves no doubt of it by
/// the setpoint of the room file: all of them once it has been far too humid for
/// so long that the last stage has come, none once it has been far too dry for so
/// long that the last has gone; not a number elsewhere. There a load and as much
/// more removal look alike in the air.
///
/// - `step`: the coarsest step of relative humidity of those where it is set
/// - `least_runs_s`: least time that each unit runs, and that it rests
pub(super) fn beyond_doubt(
    room: &Room,
    step: Option<f64>,
    series: &Series,
    least_runs_s: &[(f64, f64)],
) -> Vec<f64> {
    let control = &room.control;
    let stages_s = match control.staging.value {
        Staging::All => 0.0,
        Staging::Step => control.stage_delay_s.value * least_runs_s.len() as f64,
    };
    let longest = least_runs_s.iter().map(|(run, rest)| run.max(*rest));
    // A lag has forgotten what was before after three of its times.
    let wait_s = 3.0 * control.sensor_lag_s.value + stages_s + longest.fold(0.0, f64::max);
    // Since when it is so: too humid, or too dry.
    let mut since: Option<(bool, usize)> = None;
    (0..series.len())
        .map(|i| {
            let over = over_setpoint(room, step, series, i).filter(|x| NO_DOUBT < x.abs());
            since = over.map(|over| match since {
                Some((humid, from)) if humid == (0.0 < over) => (humid, from),
                _ => (0.0 < over, i),
            });
            match since {
                Some((humid, from)) if wait_s <= (i - from) as f64 * series.step_s => {
                    f64::from(u8::from(humid))
                }
                _ => f64::NAN,
            }
        })
        .collect()
}

/// Time over which counted water is laid out as running \[s\].
const COUNTED_OVER_S: f64 = 1800.0;
/// Of what all units remove by their records in that time, the most that they can.
///
/// **Assumed**: records are no further off.
const MOST_OVER_RECORD: f64 = 1.25;
/// Share of the counted water that may come in half hours in which units cannot
/// remove it: a vessel that is emptied once a day tells no half hour from another.
///
/// **Assumed**.
const LATE_SHARE: f64 = 0.05;

/// Share of each step that every unit ran, so that all of them together removed
/// by their records what was counted in that half hour; not a number where it is
/// not known. Nothing where it is counted too coarsely for that.
pub(super) fn by_count(counted: &Counted, series: &Series, units: &[RoomUnit]) -> Option<Vec<f64>> {
    if COUNTED_OVER_S < 2.0 * counted.interval_s {
        return None;
    }
    let per_span = (COUNTED_OVER_S / series.step_s).round().max(1.0) as usize;
    let mut shares = vec![f64::NAN; series.len()];
    let (mut all_kg, mut late_kg) = (0.0, 0.0);
    for from in (0..series.len()).step_by(per_span) {
        let span = from..(from + per_span).min(series.len());
        let counts = counted.kg[span.clone()].iter().filter(|kg| kg.is_finite());
        if counts.clone().count() == 0 || !span.clone().all(|i| series.knows(i)) {
            continue;
        }
        let kg: f64 = counts.sum();
        let by_record = |i: usize| units.iter().map(move |u| u.by_record_kg_per_s(series, i));
        let most_kg = series.step_s * span.clone().flat_map(by_record).sum::<f64>();
        all_kg += kg;
        late_kg += (kg - MOST_OVER_RECORD * most_kg).max(0.0);
        shares[span].fill((kg / most_kg).clamp(0.0, MOST_OVER_RECORD));
    }
    (0.0 < all_kg && late_kg <= LATE_SHARE * all_kg).then_some(shares)
}

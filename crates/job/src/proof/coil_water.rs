//! Water that a unit took and that went back from its resting coil, by its
//! record along the log.

use roomsim::Coil;
use roomsim::setup::Fan;

use super::series::Series;
use super::units::{RoomUnit, UnitRuns};

/// Water that a unit took from the air and gave back in each step by its
/// record \[kg\]; not a number where its running or the air is unknown.
pub(super) fn taken_and_given_back(
    series: &Series,
    unit: &RoomUnit,
    runs: &UnitRuns,
    pressure_pa: f64,
) -> Vec<(f64, f64)> {
    let run = &runs.run;
    let interval = (runs.interval_s / series.step_s).round() as usize;
    let dt = series.step_s;
    let mut coil = Coil::new(&unit.coil, dt);
    let on = switched(run, interval);
    (0..series.len())
        .map(|i| {
            if !series.knows(i) || !run[i].is_finite() {
                coil = Coil::new(&unit.coil, dt);
                return (f64::NAN, f64::NAN);
            }
            if on[i] {
                let taken = unit.by_record_kg_per_s(series, i) * coil.running() * dt;
                coil.wet(taken);
                (taken, 0.0)
            } else if unit.fan == Fan::Continuous && 0.0 < coil.water_kg() {
                let wet_bulb_c =
                    air::wet_bulb_c(series.dry_bulb_c[i], series.humidity_ratio[i], pressure_pa);
                (0.0, coil.drying(series.dry_bulb_c[i] - wet_bulb_c))
            } else {
                coil.resting();
                (0.0, 0.0)
            }
        })
        .collect()
}

/// The same of a unit on which counted water is laid out: what was drained has
/// been on the coil already, and none of it goes back.
pub(super) fn drained(series: &Series, unit: &RoomUnit, runs: &UnitRuns) -> Vec<(f64, f64)> {
    (0..series.len())
        .map(|i| match series.knows(i) {
            true => {
                let by_record = unit.by_record_kg_per_s(series, i) * series.step_s;
                (runs.run[i] * by_record, 0.0)
            }
            false => (f64::NAN, f64::NAN),
        })
        .collect()
}

/// Shares of a step as on and off, where a mean over each interval of the log
/// is all that is known: the unit ran at that end of an interval at which it
/// ran before or after.
fn switched(run: &[f64], interval: usize) -> Vec<bool> {
    let mut on = Vec::with_capacity(run.len());
    let intervals: Vec<&[f64]> = run
        .chunk_by(|a, b| a == b)
        .flat_map(|same| same.chunks(interval.max(1)))
        .collect();
    for (k, same) in intervals.iter().enumerate() {
        let share =
            |other: Option<usize>| other.and_then(|o| intervals.get(o)).map_or(0.0, |s| s[0]);
        let (before, after) = (share(k.checked_sub(1)), share(Some(k + 1)));
        let n = same.len();
        let ran = (same[0] * n as f64).round() as usize;
        // A pause between two runs lies in the middle.
        let first = match (0.5 <= before, 0.5 <= after) {
            (true, true) => ran.div_ceil(2),
            (false, true) => 0,
            _ if before < after => 0,
            _ => ran,
        };
        on.extend((0..n).map(|i| i < first || n <= i + ran - first));
    }
    on
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn means_of_running_become_runs_that_join() {
        let of = |shares: &[f64]| {
            let run: Vec<f64> = shares.iter().flat_map(|s| [*s; 5]).collect();
            let on = switched(&run, 5);
            on.iter()
                .map(|on| if *on { '1' } else { '0' })
                .collect::<String>()
        };
        assert_eq!(of(&[0.0, 0.4, 1.0, 0.6, 0.0]), "0000000011111111110000000");
        assert_eq!(of(&[1.0, 0.6, 1.0]), "111111100111111");
        assert_eq!(of(&[0.4, 0.4]).matches('1').count(), 4);
    }
}

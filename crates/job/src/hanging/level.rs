//! Levelling: how level is level, and how many turns of a nut.

/// How far a cabinet may be out of level, either way \[m/m\]: half the fall
/// that its pan has inside.
///
/// ```text
/// tolerance = fall / 2
/// ```
///
/// - `pan_fall`: fall of the pan to its outlet with the cabinet level \[m/m\]
///
/// **Valid** pans with a fall of their own; never tilted away from the outlet.
/// **Error** not known: what the unit's own instructions say rules.
/// **Assumed** half of the pan's fall is left for it to drain by.
pub fn tolerance(pan_fall: f64) -> f64 {
    0.5 * pan_fall
}

/// Turns of a nut that take out a tilt over a rod spacing.
///
/// ```text
/// n = s · L / P
/// ```
///
/// - `tilt`: slope to take out, or fall to give \[m/m\]
/// - `spacing_m`: distance of the rods along the slope \[m\]
/// - `pitch_m`: pitch of the thread \[m\]
///
/// **Valid** small slopes. A minus sign: the other way.
/// **Error** none: one turn is one pitch.
/// **Source** geometry of a thread.
/// **Checked** `tests/hanging.rs`, 1/8 in per foot over 40 in: 6.67 turns of
/// 3/8-16, 5.42 of 1/2-13.
///
/// ```
/// let turns = job::hanging::level::nut_turns(1.0 / 96.0, 40.0 * 0.0254, 0.0254 / 16.0);
/// assert!((turns - 6.67).abs() < 0.01);
/// ```
pub fn nut_turns(tilt: f64, spacing_m: f64, pitch_m: f64) -> f64 {
    tilt * spacing_m / pitch_m
}

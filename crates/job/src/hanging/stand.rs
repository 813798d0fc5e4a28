//! A stand on the floor: reactions of its feet, and how far from tipping.

/// Tilt that a stand must bear without tipping \[rad\].
///
/// From memory of IEC 60335-1, 20.1: 10°; not read.
pub const LEAST_TILT_RAD: f64 = 10.0 * std::f64::consts::PI / 180.0;

/// Angle at which a stand tips \[rad\].
///
/// ```text
/// φ = atan( d / h )
/// ```
///
/// - `to_edge_m`: least distance in plan from the centre of gravity to the
///   edge between feet \[m\]
/// - `height_m`: height of the centre of gravity above the floor \[m\]
///
/// **Valid** a stiff stand on a level floor, not bolted.
/// **Error** none: statics.
/// **Source** statics.
/// **Checked** beside the code.
pub fn tipping_angle_rad(to_edge_m: f64, height_m: f64) -> f64 {
    to_edge_m.atan2(height_m)
}

/// Push at the height of the centre of gravity that tips a stand \[N\].
///
/// ```text
/// F = W d / h
/// ```
///
/// - `weight_n`: weight \[N\]
/// - `to_edge_m`, `height_m`: as in [`tipping_angle_rad`]
///
/// **Valid** as [`tipping_angle_rad`].
/// **Error** none: statics.
/// **Source** statics.
/// **Checked** beside the code.
pub fn tipping_push_n(weight_n: f64, to_edge_m: f64, height_m: f64) -> f64 {
    weight_n * to_edge_m / height_m
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_push_is_the_weight_times_the_tangent_of_the_angle() {
        let angle = tipping_angle_rad(0.4, 0.4);
        assert!((angle.to_degrees() - 45.0).abs() < 1e-9);
        let push = tipping_push_n(1000.0, 0.3, 1.2);
        assert!((push - 1000.0 * tipping_angle_rad(0.3, 1.2).tan()).abs() < 1e-9);
    }
}

//! Free jets of air: speed, reach, width, air drawn in, temperature.
//!
//! All hold for an isothermal jet in free space, in the zone from about 8 to
//! 100 diameters of the opening. Nearer, less air is drawn in; a wall or a
//! ceiling along the jet carries it further (about 1.4 times); benches, canopy
//! and other jets shorten it; a warm jet rises and a cold one falls; and where
//! it fills more than about 40 % of the room's section, it is no free jet.

use quantity::Source;

/// Speed decay after the ASHRAE handbook.
pub const ASHRAE_JET: Source = Source::memory(
    "ASHRAE Handbook, Fundamentals, space air diffusion",
    "zone 3 of a free jet; K of round and square openings 5.0 to 6.2",
);
/// Round and plane turbulent jets.
pub const RAJARATNAM: Source = Source::memory(
    "Rajaratnam, Turbulent Jets, 1976",
    "round and plane free jets",
);
/// Included angle of a free jet.
pub const ANGLE: Source = Source::published(
    "textbook abstract on room air distribution: included angle 20 to 24 degrees",
    "22 degrees used",
);

/// K of a round or square free opening at 2.5 to 5 m/s.
pub const FREE_OPENING_K: f64 = 5.0;
/// Half of the included angle of a free jet \[rad\]: 11°.
pub const HALF_ANGLE_RAD: f64 = 11.0 * std::f64::consts::PI / 180.0;

/// The opening that a jet comes from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Mean speed in it \[m/s\].
    pub speed_m_per_s: f64,
    /// Its free area \[m²\].
    pub area_m2: f64,
    /// K of the decay: 5.0 to 6.2 for free openings, 3.6 to 5.0 for grilles.
    pub decay_k: f64,
}

/// Speed on the axis of a jet \[m/s\], never above that of the opening.
///
/// ```text
/// V_x = min(V_0, 1.13 K V_0 √A_0 / x)
/// ```
///
/// - `x_m`: distance from the opening \[m\], above 0
///
/// **Valid** 8 to 100 diameters. **Source** [`ASHRAE_JET`].
pub fn centreline_m_per_s(opening: &Opening, x_m: f64) -> f64 {
    let o = opening;
    if x_m <= 0.0 {
        return o.speed_m_per_s;
    }
    o.speed_m_per_s
        .min(1.13 * o.decay_k * o.speed_m_per_s * o.area_m2.sqrt() / x_m)
}

/// Distance at which the axis of a jet has slowed to a speed \[m\].
///
/// ```text
/// X = 1.13 K V_0 √A_0 / V_t
/// ```
///
/// **Valid** as [`centreline_m_per_s`]. **Source** [`ASHRAE_JET`].
pub fn throw_m(opening: &Opening, to_m_per_s: f64) -> f64 {
    1.13 * opening.decay_k * opening.speed_m_per_s * opening.area_m2.sqrt() / to_m_per_s
}

/// Air moving in a jet over that of its opening, at least 1.
///
/// ```text
/// Q_x / Q_0 = 2 x / (1.13 K √A_0)
/// ```
///
/// **Valid** as [`centreline_m_per_s`]. **Source** [`ASHRAE_JET`].
pub fn entrained(opening: &Opening, x_m: f64) -> f64 {
    (2.0 * x_m / (1.13 * opening.decay_k * opening.area_m2.sqrt())).max(1.0)
}

/// Difference of the axis to the room over that of the opening, of
/// temperature or water, at most 1.
///
/// ```text
/// ΔT_x / ΔT_0 = 0.8 V_x / V_0
/// ```
///
/// **Valid** zone 3. **Source** [`ASHRAE_JET`].
pub fn temperature_share(speed_ratio: f64) -> f64 {
    (0.8 * speed_ratio).clamp(0.0, 1.0)
}

/// Width of a jet, all of it \[m\].
///
/// ```text
/// w = d + 2 x tan 11°
/// ```
///
/// **Valid** free jets of any fluid. **Source** [`ANGLE`].
pub fn width_m(opening: &Opening, x_m: f64) -> f64 {
    diameter_m(opening) + 2.0 * x_m * HALF_ANGLE_RAD.tan()
}

/// Diameter of the round opening of equal area \[m\].
pub fn diameter_m(opening: &Opening) -> f64 {
    (4.0 * opening.area_m2 / std::f64::consts::PI).sqrt()
}

/// Distance from the axis at which a round jet has half the axis's speed \[m\].
///
/// ```text
/// b = max(0.10 x, d / 2)
/// ```
///
/// **Valid** beyond about six diameters; nearer, half the opening.
/// **Source** [`RAJARATNAM`].
pub fn half_width_m(opening: &Opening, x_m: f64) -> f64 {
    (0.10 * x_m).max(0.5 * diameter_m(opening))
}

/// Speed beside the axis over that on it.
///
/// ```text
/// V / V_x = 2 ^ −(r / b)²
/// ```
///
/// - `aside`: r / b
///
/// **Valid** round jets. **Source** the bell curve that [`RAJARATNAM`] gives.
pub fn beside_the_axis(aside: f64) -> f64 {
    (-std::f64::consts::LN_2 * aside * aside).exp()
}

/// Speed on the axis of a round jet over that of its opening.
///
/// ```text
/// u_m / U_0 = min(1, 6.3 d / x)
/// ```
///
/// **Valid** beyond the core of about six diameters. **Source**
/// [`RAJARATNAM`].
pub fn round_jet(diameters: f64) -> f64 {
    if diameters <= 6.3 {
        1.0
    } else {
        6.3 / diameters
    }
}

/// Air moving in a round jet over that of its opening.
///
/// ```text
/// Q / Q_0 = 0.32 x / d
/// ```
///
/// **Valid** beyond about six diameters. **Source** [`RAJARATNAM`].
pub fn round_entrained(diameters: f64) -> f64 {
    (0.32 * diameters).max(1.0)
}

/// Speed on the axis of a plane jet over that of its slot.
///
/// ```text
/// u_m / U_0 = min(1, 3.5 / √(x / b_0))
/// ```
///
/// - `half_heights`: distance over half the height of the slot
///
/// **Valid** beyond the core of about twelve half-heights. **Source**
/// [`RAJARATNAM`].
pub fn plane_jet(half_heights: f64) -> f64 {
    if half_heights <= 12.25 {
        1.0
    } else {
        3.5 / half_heights.sqrt()
    }
}

/// Air moving in a plane jet over that of its slot.
///
/// ```text
/// Q / Q_0 = 0.62 √(x / b_0)
/// ```
///
/// **Valid** as [`plane_jet`]. **Source** [`RAJARATNAM`].
pub fn plane_entrained(half_heights: f64) -> f64 {
    (0.62 * half_heights.max(0.0).sqrt()).max(1.0)
}

//! How four rods share an off-centre weight.

/// Half the spacing of four rods at the corners of a rectangle, and where the
/// centre of gravity is from its middle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rectangle {
    /// Half the spacing along x \[m\].
    pub half_x_m: f64,
    /// Half the spacing along y \[m\].
    pub half_y_m: f64,
    /// Centre of gravity along x \[m\].
    pub off_x_m: f64,
    /// Centre of gravity along y \[m\].
    pub off_y_m: f64,
}

/// Signs of the four corners: +x +y, +x −y, −x +y, −x −y.
const CORNERS: [(f64, f64); 4] = [(1.0, 1.0), (1.0, -1.0), (-1.0, 1.0), (-1.0, -1.0)];

/// Reactions where the cabinet rests on two simple beams \[unit of the weight\].
///
/// ```text
/// R = W/4 · (1 ± ex/a) · (1 ± ey/b)
/// ```
///
/// - `weight`: N or kg
/// - `at`: rods and centre of gravity
///
/// **Valid** centre of gravity between the rods; outside, reactions are
/// negative: a rod would have to push.
/// **Error** none: statics.
/// **Source** statics of two simple beams, derived.
/// **Checked** `tests/hanging.rs`, derived: 45.375 / 37.125 / 37.125 / 30.375.
pub fn two_beams(weight: f64, at: &Rectangle) -> [f64; 4] {
    let (x, y) = (at.off_x_m / at.half_x_m, at.off_y_m / at.half_y_m);
    CORNERS.map(|(sx, sy)| 0.25 * weight * (1.0 + sx * x) * (1.0 + sy * y))
}

/// Reactions of a rigid body on four equal springs \[unit of the weight\].
///
/// ```text
/// R = W/4 · (1 ± ex/a ± ey/b)
/// ```
///
/// - `weight`: N or kg
/// - `at`: rods and centre of gravity
///
/// **Valid** as [`two_beams`].
/// **Error** none: statics with equal stiffness.
/// **Source** derived.
/// **Checked** `tests/hanging.rs`, derived: 45 / 37.5 / 37.5 / 30.
pub fn springs(weight: f64, at: &Rectangle) -> [f64; 4] {
    let (x, y) = (at.off_x_m / at.half_x_m, at.off_y_m / at.half_y_m);
    CORNERS.map(|(sx, sy)| 0.25 * weight * (1.0 + sx * x + sy * y))
}

/// Largest reaction with one rod slack \[unit of the weight\].
///
/// ```text
/// R_max = W/2 · (1 + min(|ex|/a, |ey|/b))
/// ```
///
/// - `weight`: N or kg
/// - `at`: rods and centre of gravity
///
/// **Valid** a stiff cabinet on rods of unequal length, its centre of gravity
/// between the rods. Even a centred weight puts half of itself on each of two.
/// **Error** none: statics.
/// **Source** derived; the same as [`with_one_slack`] on any rectangle.
/// **Checked** `tests/hanging.rs`, derived: 82.5 and 75.0 of 150.
pub fn worst_on_rectangle(weight: f64, at: &Rectangle) -> f64 {
    let (x, y) = (at.off_x_m / at.half_x_m, at.off_y_m / at.half_y_m);
    0.5 * weight * (1.0 + x.abs().min(y.abs()))
}

/// Reactions of a rigid body on four equal springs at any four points \[unit
/// of the weight\]; `None` where the points lie in one line.
///
/// ```text
/// R_i = W/4 + θx · x_i + θy · y_i      from ΣR x = W ex, ΣR y = W ey
/// ```
///
/// - `weight`: N or kg
/// - `points_m`: in plan
/// - `gravity_m`: centre of gravity in plan
///
/// **Valid** any four points not in a line; a negative reaction would push.
/// **Error** none: statics with equal stiffness.
/// **Source** derived.
/// **Checked** against [`springs`] on rectangles.
pub fn on_equal_springs(
    weight: f64,
    points_m: &[[f64; 2]; 4],
    gravity_m: [f64; 2],
) -> Option<[f64; 4]> {
    let middle: [f64; 2] =
        std::array::from_fn(|i| points_m.iter().map(|p| p[i]).sum::<f64>() / 4.0);
    let from = |p: [f64; 2]| [p[0] - middle[0], p[1] - middle[1]];
    let arms = points_m.map(from);
    let sum = |f: &dyn Fn(&[f64; 2]) -> f64| arms.iter().map(f).sum::<f64>();
    let (xx, xy, yy) = (
        sum(&|a| a[0] * a[0]),
        sum(&|a| a[0] * a[1]),
        sum(&|a| a[1] * a[1]),
    );
    let det = xx * yy - xy * xy;
    if det <= 1e-9 * (xx * yy).max(f64::MIN_POSITIVE) {
        return None;
    }
    let e = from(gravity_m);
    let x = weight * (e[0] * yy - e[1] * xy) / det;
    let y = weight * (e[1] * xx - e[0] * xy) / det;
    Some(arms.map(|a| 0.25 * weight + x * a[0] + y * a[1]))
}

/// Largest reaction of each rod over all cases with one rod slack \[unit of
/// the weight\]; `None` where the centre of gravity is not between the rods.
///
/// - `weight`: N or kg
/// - `points_m`: in plan
/// - `gravity_m`: centre of gravity in plan
///
/// **Valid** any four points. Each three of them carry by statics; a case in
/// which a rod would push cannot be and is left out.
/// **Error** none: statics.
/// **Source** derived.
/// **Checked** against [`worst_on_rectangle`] over a raster of places.
pub fn with_one_slack(
    weight: f64,
    points_m: &[[f64; 2]; 4],
    gravity_m: [f64; 2],
) -> Option<[f64; 4]> {
    let mut worst = [0.0_f64; 4];
    let mut any = false;
    for slack in 0..4 {
        let rest: Vec<usize> = (0..4).filter(|i| *i != slack).collect();
        let [a, b, c] = [rest[0], rest[1], rest[2]].map(|i| points_m[i]);
        let cross = |p: [f64; 2], q: [f64; 2], r: [f64; 2]| {
            (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])
        };
        let whole = cross(a, b, c);
        if whole.abs() < 1e-9 {
            continue;
        }
        let shares = [
            cross(gravity_m, b, c) / whole,
            cross(a, gravity_m, c) / whole,
            cross(a, b, gravity_m) / whole,
        ];
        if shares.iter().any(|s| *s < -1e-9) {
            continue;
        }
        any = true;
        for (i, share) in rest.iter().zip(shares) {
            worst[*i] = worst[*i].max(weight * share);
        }
    }
    any.then_some(worst)
}

/// The rectangle of four points \[m\], if they are one within 1 mm.
pub fn rectangle(points_m: &[[f64; 2]; 4], gravity_m: [f64; 2]) -> Option<Rectangle> {
    const OFF_M: f64 = 1e-3;
    let end =
        |i: usize, f: fn(f64, f64) -> f64, start: f64| points_m.iter().map(|p| p[i]).fold(start, f);
    let low = [
        end(0, f64::min, f64::INFINITY),
        end(1, f64::min, f64::INFINITY),
    ];
    let high = [
        end(0, f64::max, f64::NEG_INFINITY),
        end(1, f64::max, f64::NEG_INFINITY),
    ];
    let corners = [
        [low[0], low[1]],
        [low[0], high[1]],
        [high[0], low[1]],
        [high[0], high[1]],
    ];
    let met = corners.iter().all(|c| {
        points_m
            .iter()
            .any(|p| (p[0] - c[0]).abs() < OFF_M && (p[1] - c[1]).abs() < OFF_M)
    });
    (met && OFF_M < high[0] - low[0] && OFF_M < high[1] - low[1]).then(|| Rectangle {
        half_x_m: 0.5 * (high[0] - low[0]),
        half_y_m: 0.5 * (high[1] - low[1]),
        off_x_m: gravity_m[0] - 0.5 * (low[0] + high[0]),
        off_y_m: gravity_m[1] - 0.5 * (low[1] + high[1]),
    })
}

//! Hatching as plain lines, so that every kind of file can hold it.

use super::PaperPoint;

/// Lines at `angle_deg` and `spacing_mm` inside the polygon `outline`
/// (even-odd rule). They lie on one raster of the paper, so that neighbouring
/// areas with the same hatch continue each other.
pub fn lines(
    outline: &[PaperPoint],
    angle_deg: f64,
    spacing_mm: f64,
) -> Vec<(PaperPoint, PaperPoint)> {
    let bad = outline.len() < 3
        || spacing_mm.is_nan()
        || spacing_mm < 0.1
        || outline.iter().any(|p| !p.is_drawable());
    if bad {
        return Vec::new();
    }
    let (sin, cos) = angle_deg.to_radians().sin_cos();
    // u along the hatch, v across it; paper y runs down.
    let turned: Vec<(f64, f64)> = outline
        .iter()
        .map(|p| (p.x_mm * cos - p.y_mm * sin, p.x_mm * sin + p.y_mm * cos))
        .collect();
    let low = turned.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let high = turned.iter().map(|p| p.1).fold(f64::NEG_INFINITY, f64::max);
    let first = (low / spacing_mm).ceil() as i64;
    let last = (high / spacing_mm).floor() as i64;
    let mut out = Vec::new();
    for k in first..=last {
        // Half a hair off the raster, so that no corner lies exactly on a line.
        let v = k as f64 * spacing_mm + 1e-7;
        let mut cuts: Vec<f64> = Vec::new();
        for (i, &(u0, v0)) in turned.iter().enumerate() {
            let (u1, v1) = turned[(i + 1) % turned.len()];
            if (v0 <= v) != (v1 <= v) {
                cuts.push(u0 + (v - v0) / (v1 - v0) * (u1 - u0));
            }
        }
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            if pair[1] - pair[0] < 0.05 {
                continue;
            }
            let back = |u: f64| PaperPoint {
                x_mm: u * cos + v * sin,
                y_mm: -u * sin + v * cos,
            };
            out.push((back(pair[0]), back(pair[1])));
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hatch_of_a_square_covers_its_area() {
        let p = |x_mm, y_mm| PaperPoint { x_mm, y_mm };
        let square = [p(0.0, 0.0), p(20.0, 0.0), p(20.0, 20.0), p(0.0, 20.0)];
        for angle in [0.0, 30.0, 45.0, 90.0, 135.0] {
            let total: f64 = lines(&square, angle, 0.5)
                .iter()
                .map(|(a, b)| (a.x_mm - b.x_mm).hypot(a.y_mm - b.y_mm))
                .sum();
            // Length times spacing is the area, to one line at the edge.
            assert!((total * 0.5 - 400.0).abs() < 11.0, "{angle}: {total}");
            for (a, b) in lines(&square, angle, 0.5) {
                for q in [a, b] {
                    assert!(q.x_mm > -1e-6 && q.x_mm < 20.0 + 1e-6);
                    assert!(q.y_mm > -1e-6 && q.y_mm < 20.0 + 1e-6);
                }
            }
        }
    }
}

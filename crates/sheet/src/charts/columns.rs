//! Curves with more points than a screen has columns: what is drawn of them
//! keeps every extreme.

use super::Hours;

/// Columns that the width of a chart is told apart in.
const COLUMNS: usize = 500;

/// The points of a curve inside some hours. Where the curve goes on outside, it
/// is led to the edge.
pub(super) fn within(points: &[(f64, f64)], hours: Hours) -> Vec<(f64, f64)> {
    let is_in = |h: f64| hours.from_h - 1e-9 <= h && h <= hours.to_h + 1e-9;
    let at =
        |h: f64, a: (f64, f64), b: (f64, f64)| (h, a.1 + (h - a.0) / (b.0 - a.0) * (b.1 - a.1));
    let mut out = Vec::new();
    for (i, p) in points.iter().enumerate() {
        if is_in(p.0) {
            let before = i.checked_sub(1).map(|k| points[k]);
            if let Some(b) = before.filter(|b| b.0 < hours.from_h - 1e-9) {
                out.push(at(hours.from_h, b, *p));
            }
            out.push(*p);
            let after = points.get(i + 1);
            if let Some(a) = after.filter(|a| hours.to_h + 1e-9 < a.0) {
                out.push(at(hours.to_h, *p, *a));
            }
        } else if let Some(next) = points.get(i + 1)
            && p.0 < hours.from_h
            && hours.to_h < next.0
        {
            // Nothing but a stretch between two points is shown.
            out.push(at(hours.from_h, *p, *next));
            out.push(at(hours.to_h, *p, *next));
        }
    }
    out
}

/// Of many points the lowest and the highest of each column, in the order of
/// time; a column in which nothing is known leaves a gap.
pub(super) fn extremes(points: &[(f64, f64)], hours: Hours) -> Vec<(f64, f64)> {
    if points.len() <= 4 * COLUMNS {
        return points.to_vec();
    }
    let width = (hours.to_h - hours.from_h) / COLUMNS as f64;
    let column = |h: f64| {
        ((h - hours.from_h) / width)
            .floor()
            .clamp(0.0, COLUMNS as f64 - 1.0)
    };
    let mut out = Vec::new();
    for column in points.chunk_by(|a, b| column(a.0) == column(b.0)) {
        let known = || column.iter().filter(|p| p.1.is_finite());
        let low = known().min_by(|a, b| a.1.total_cmp(&b.1));
        let high = known().max_by(|a, b| a.1.total_cmp(&b.1));
        match (low, high) {
            (Some(a), Some(b)) if a.0 < b.0 => out.extend([*a, *b]),
            (Some(a), Some(b)) if b.0 < a.0 => out.extend([*b, *a]),
            (Some(a), _) => out.push(*a),
            _ => out.extend(column.first()),
        }
    }
    out
}

/// Stretches of which there are more than can be told apart, joined over gaps
/// that are narrower than two columns.
pub(super) fn joined(stretches: Vec<Hours>, hours: Hours) -> Vec<Hours> {
    if stretches.len() <= COLUMNS / 2 {
        return stretches;
    }
    let width = 2.0 * (hours.to_h - hours.from_h) / COLUMNS as f64;
    let mut out: Vec<Hours> = Vec::new();
    for next in stretches {
        match out.last_mut() {
            Some(last) if next.from_h - last.to_h < width => last.to_h = last.to_h.max(next.to_h),
            _ => out.push(next),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const WEEK: Hours = Hours {
        from_h: 0.0,
        to_h: 168.0,
    };

    fn minutes(of: impl Fn(u32) -> f64) -> Vec<(f64, f64)> {
        (0..168 * 60)
            .map(|m| (f64::from(m) / 60.0, of(m)))
            .collect()
    }

    #[test]
    fn no_spike_of_a_minute_is_lost() {
        for spike in [0_u32, 1, 4321, 7777, 168 * 60 - 1] {
            let calm = |m: u32| (f64::from(m) / 300.0).sin();
            let up = minutes(|m| if m == spike { 9.0 } else { calm(m) });
            let drawn = extremes(&up, WEEK);
            assert!(drawn.len() <= 2 * COLUMNS, "{}", drawn.len());
            let at = f64::from(spike) / 60.0;
            assert!(drawn.contains(&(at, 9.0)), "{spike}");
            let least = |points: &[(f64, f64)]| points.iter().fold(9.0_f64, |l, p| l.min(p.1));
            assert_eq!(least(&drawn), least(&up));
            assert!(drawn.windows(2).all(|w| w[0].0 < w[1].0));
            // Nothing is drawn that was not there.
            assert!(drawn.iter().all(|p| up.contains(p)));
        }
    }

    #[test]
    fn a_gap_stays_a_gap_and_few_points_stay_as_they_are() {
        let gap = minutes(|m| {
            if (3000..4200).contains(&m) {
                f64::NAN
            } else {
                1.0
            }
        });
        let drawn = extremes(&gap, WEEK);
        let unknown = drawn.iter().filter(|p| p.1.is_nan());
        assert!(50 < unknown.count());
        let few: Vec<(f64, f64)> = (0..24).map(|h| (f64::from(h), f64::from(h * h))).collect();
        assert_eq!(extremes(&few, WEEK), few);
    }

    #[test]
    fn a_curve_is_led_to_the_edges() {
        let line: Vec<(f64, f64)> = (0..=10)
            .map(|h| (f64::from(h), 10.0 * f64::from(h)))
            .collect();
        let span = |from_h, to_h| Hours { from_h, to_h };
        let close = |a: &[(f64, f64)], b: &[(f64, f64)]| {
            let same = |(p, q): (&(f64, f64), &(f64, f64))| {
                (p.0 - q.0).abs() < 1e-9 && (p.1 - q.1).abs() < 1e-9
            };
            a.len() == b.len() && a.iter().zip(b).all(same)
        };
        let cut = within(&line, span(2.5, 4.5));
        assert!(
            close(&cut, &[(2.5, 25.0), (3.0, 30.0), (4.0, 40.0), (4.5, 45.0)]),
            "{cut:?}"
        );
        let inside = within(&line, span(2.2, 2.8));
        assert!(close(&inside, &[(2.2, 22.0), (2.8, 28.0)]), "{inside:?}");
        assert_eq!(within(&line, span(0.0, 10.0)), line);
        assert!(within(&line, span(20.0, 30.0)).is_empty());
    }

    #[test]
    fn stretches_are_joined_where_they_cannot_be_told_apart() {
        let runs = |every_h: f64| -> Vec<Hours> {
            let count = (168.0 / every_h) as u32;
            let begin = |n: u32| f64::from(n) * every_h;
            let one = |n: u32| Hours {
                from_h: begin(n),
                to_h: begin(n) + 0.05,
            };
            (0..count).map(one).collect()
        };
        assert_eq!(joined(runs(1.0), WEEK), runs(1.0));
        let often = joined(runs(0.1), WEEK);
        assert_eq!(often.len(), 1);
        let mut gap = runs(0.1);
        gap.retain(|r| r.from_h < 50.0 || 60.0 < r.from_h);
        assert_eq!(joined(gap, WEEK).len(), 2);
    }
}

//! The order in which one cable passes all devices, and how long it is.

use crate::geometry::Point;

/// Cable for make-up at each end \[m\]. Assumed: enough to land it again once.
pub const MAKE_UP_M: f64 = 0.5;

/// Most devices that the best order is searched for exactly.
const EXACT: usize = 12;

/// Cable between two terminals, up to `run_m`, along the walls' directions and
/// down again, with make-up at both ends \[m\].
///
/// - `a`, `b`: the two ends \[m\]
/// - `run_m`: height of the run \[m\]; a higher end counts as the run's height
///
/// **Valid** any room. **Assumed**: cable runs along x and y, never across.
pub fn cable_length_m(a: Point, b: Point, run_m: f64) -> f64 {
    let run_m = run_m.max(a[2]).max(b[2]);
    (a[0] - b[0]).abs() + (a[1] - b[1]).abs() + (run_m - a[2]) + (run_m - b[2]) + 2.0 * MAKE_UP_M
}

/// The order of `points` that needs least cable, starting at `start`.
/// Exact up to twelve points; beyond that the nearest next, then turned
/// stretches as long as that shortens it.
pub fn least_cable(start: Point, points: &[Point], run_m: f64) -> Vec<usize> {
    if points.len() <= EXACT {
        exact(start, points, run_m)
    } else {
        nearest(start, points, run_m)
    }
}

/// Length of a chain in an order \[m\].
pub(super) fn chain_length_m(start: Point, points: &[Point], order: &[usize], run_m: f64) -> f64 {
    let mut at = start;
    let mut sum_m = 0.0;
    for p in order.iter().filter_map(|i| points.get(*i)) {
        sum_m += cable_length_m(at, *p, run_m);
        at = *p;
    }
    sum_m
}

/// By the shortest chain over each set of points that ends at each of them
/// (Held and Karp, "A dynamic programming approach to sequencing problems", 1962).
fn exact(start: Point, points: &[Point], run_m: f64) -> Vec<usize> {
    let n = points.len();
    if n == 0 {
        return Vec::new();
    }
    let sets = 1_usize << n;
    let mut best_m = vec![f64::INFINITY; sets * n];
    let mut before = vec![usize::MAX; sets * n];
    for (i, p) in points.iter().enumerate() {
        best_m[(1 << i) * n + i] = cable_length_m(start, *p, run_m);
    }
    for set in 1..sets {
        for last in (0..n).filter(|i| set & (1 << i) != 0) {
            let here_m = best_m[set * n + last];
            if !here_m.is_finite() {
                continue;
            }
            for next in (0..n).filter(|i| set & (1 << i) == 0) {
                let there_m = here_m + cable_length_m(points[last], points[next], run_m);
                let slot = (set | (1 << next)) * n + next;
                if there_m < best_m[slot] - 1e-9 {
                    best_m[slot] = there_m;
                    before[slot] = last;
                }
            }
        }
    }
    let mut set = sets - 1;
    let mut last = (0..n)
        .reduce(|a, b| {
            if best_m[set * n + b] < best_m[set * n + a] - 1e-9 {
                b
            } else {
                a
            }
        })
        .unwrap_or(0);
    let mut order = vec![last];
    while before[set * n + last] != usize::MAX {
        let previous = before[set * n + last];
        set &= !(1 << last);
        last = previous;
        order.push(last);
    }
    order.reverse();
    order
}

fn nearest(start: Point, points: &[Point], run_m: f64) -> Vec<usize> {
    let mut left: Vec<usize> = (0..points.len()).collect();
    let mut order = Vec::with_capacity(points.len());
    let mut at = start;
    while let Some(k) = (0..left.len()).min_by(|a, b| {
        cable_length_m(at, points[left[*a]], run_m).total_cmp(&cable_length_m(
            at,
            points[left[*b]],
            run_m,
        ))
    }) {
        let next = left.remove(k);
        at = points[next];
        order.push(next);
    }
    let mut length_m = chain_length_m(start, points, &order, run_m);
    let mut shorter = true;
    while shorter {
        shorter = false;
        for i in 0..order.len() {
            for j in i + 1..order.len() {
                order[i..=j].reverse();
                let turned_m = chain_length_m(start, points, &order, run_m);
                if turned_m < length_m - 1e-9 {
                    length_m = turned_m;
                    shorter = true;
                } else {
                    order[i..=j].reverse();
                }
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_is_passed_from_one_end_to_the_other() {
        let points = [[6.0, 1.0, 3.0], [2.0, 1.0, 3.0], [4.0, 1.0, 3.0]];
        let order = least_cable([0.0, 1.0, 1.5], &points, 3.5);
        assert_eq!(order, [1, 2, 0]);
        // 6 m along; drops 2 + 0.5, then 0.5 six times less one end; six ends.
        let length_m = chain_length_m([0.0, 1.0, 1.5], &points, &order, 3.5);
        assert!((length_m - (6.0 + 2.0 + 5.0 * 0.5 + 6.0 * MAKE_UP_M)).abs() < 1e-9);
    }

    #[test]
    fn no_order_is_shorter_than_the_one_found() {
        let points: Vec<Point> = (0..6_u32)
            .map(|i| {
                let i = f64::from(i);
                [(7.3 * i) % 5.0, (4.1 * i) % 3.0, 2.0]
            })
            .collect();
        let found_m = chain_length_m([0.0; 3], &points, &least_cable([0.0; 3], &points, 3.0), 3.0);
        let mut order: Vec<usize> = (0..6).collect();
        let mut best_m = f64::INFINITY;
        permute(&mut order, 0, &mut |o| {
            best_m = best_m.min(chain_length_m([0.0; 3], &points, o, 3.0));
        });
        assert!((found_m - best_m).abs() < 1e-9, "{found_m} {best_m}");
        let near_m = chain_length_m([0.0; 3], &points, &nearest([0.0; 3], &points, 3.0), 3.0);
        assert!(best_m - 1e-9 <= near_m);
    }

    fn permute(order: &mut Vec<usize>, k: usize, each: &mut impl FnMut(&[usize])) {
        if k == order.len() {
            each(order);
            return;
        }
        for i in k..order.len() {
            order.swap(k, i);
            permute(order, k + 1, each);
            order.swap(k, i);
        }
    }
}

//! One root finder for all inversions.

/// Steps after which the interval has been halved to nothing even if every
/// Newton step was refused.
const MOST_STEPS: usize = 200;

/// Width of the bracket at which a temperature is called found \[K\].
const CLOSE_K: f64 = 1e-10;

/// Newton's step after which a temperature is called found \[K\]. The error
/// left is of the order of the step squared, here some 1e-16 K.
const LAST_STEP_K: f64 = 1e-7;

/// The root between `low` and `high` of a function that rises through zero.
///
/// Newton's step is taken where it stays inside the bracket, the middle of
/// the bracket otherwise; so it always ends. `f` returns value and slope; an
/// infinite or NaN slope only means that the bracket is halved. If `f` does
/// not change sign, the end nearest to the root is returned.
#[inline]
pub(crate) fn rising_root(
    (mut low, mut high): (f64, f64),
    start: f64,
    f: impl Fn(f64) -> (f64, f64),
) -> f64 {
    let mut x = start.clamp(low, high);
    for _ in 0..MOST_STEPS {
        let (value, slope) = f(x);
        if value == 0.0 {
            return x;
        }
        if value < 0.0 {
            low = x;
        } else {
            high = x;
        }
        let newton = x - value / slope;
        if low < newton && newton < high {
            if (newton - x).abs() < LAST_STEP_K {
                return newton;
            }
            x = newton;
        } else {
            x = 0.5 * (low + high);
        }
        if high - low < CLOSE_K {
            return x;
        }
    }
    x
}

#[cfg(test)]
mod tests {
    use super::rising_root;

    #[test]
    fn finds_the_root_of_a_curve_that_fools_newton() {
        // Flat far from the root: plain Newton from 50 would leave the bracket.
        let f = |x: f64| ((x - 3.0).atan(), 1.0 / (1.0 + (x - 3.0).powi(2)));
        assert!((rising_root((-100.0, 100.0), 50.0, f) - 3.0).abs() < 1e-9);
    }

    #[test]
    fn halves_where_the_slope_is_useless() {
        let f = |x: f64| (x - 0.25, f64::NAN);
        assert!((rising_root((0.0, 1.0), 1.0, f) - 0.25).abs() < 1e-9);
    }

    #[test]
    fn goes_to_the_end_when_there_is_no_root() {
        assert!((rising_root((0.0, 1.0), 0.5, |x| (x + 1.0, 1.0))).abs() < 1e-9);
        assert!((rising_root((0.0, 1.0), 0.5, |x| (x - 2.0, 1.0)) - 1.0).abs() < 1e-9);
    }
}

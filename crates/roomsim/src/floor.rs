//! The cell that a value falls in, without a slow conversion.

/// Adding this to a number of 0 to 2³¹ leaves its nearest whole number in the
/// lowest bits: 1.5 · 2⁵².
const WHOLE: f64 = 6_755_399_441_055_744.0;

/// Index of the cell of `raw` and the way into it, 0 to 1; exactly on a border
/// either side may come, with the same interpolated value.
///
/// - `raw`: 0 to 2³¹, not NaN (which gives cell 0)
#[inline]
pub(crate) fn cell(raw: f64) -> (usize, f64) {
    let shifted = raw - 0.5 + WHOLE;
    let index = (shifted.to_bits() & 0x7fff_ffff) as usize;
    (index, raw - (shifted - WHOLE))
}

#[cfg(test)]
mod tests {
    use super::cell;

    #[test]
    fn cells_cover_the_line() {
        for i in 0..10_000 {
            let raw = f64::from(i) * 0.0173;
            let (index, share) = cell(raw);
            assert!((0.0..=1.0).contains(&share), "{raw}");
            assert!((index as f64 + share - raw).abs() < 1e-12, "{raw}");
        }
        assert_eq!(cell(0.0), (0, 0.0));
    }
}

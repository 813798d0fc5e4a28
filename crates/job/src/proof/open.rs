//! Where the water balance does not close as it should, so that the load found
//! is a hint only: nothing is proposed and nothing selected by it.

use super::Found;
use super::unknown::Unknown;
use crate::stats::Z90;

/// Why the balance is open.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Open {
    /// The search for what fits the log did not settle.
    Unsettled,
    /// It closes only where cooling coils take so many times what is reckoned.
    Coils(f64),
    /// It closes only where the room stores so many times the water of its air.
    Store(f64),
    /// It closes only where units, whose runs or models are not known, remove so
    /// many times what their records say.
    Units(f64),
}

/// Deviations of what was known before beyond which something else is amiss.
const BEYOND: f64 = 2.0;
/// The same of what a room stores, which is known worse: some nine times the
/// water of its air, where nobody surveyed it.
const BEYOND_OF_STORE: f64 = 3.0;

/// Why the balance is open, if it is.
///
/// - `units_known`: the log tells when units ran, the room file which they are
pub(super) fn open(found: &[Found], settled: bool, units_known: bool) -> Option<Open> {
    if !settled {
        return Some(Open::Unsettled);
    }
    let coils = || beyond(found, Unknown::CoilWater, BEYOND).map(Open::Coils);
    let store = || beyond(found, Unknown::Store, BEYOND_OF_STORE).map(Open::Store);
    let units = || beyond(found, Unknown::UnitCapacity, BEYOND).map(Open::Units);
    coils()
        .or_else(store)
        .or_else(|| units().filter(|_| !units_known))
}

/// What was found of an unknown, where that is more than so many deviations from
/// what was known.
fn beyond(found: &[Found], unknown: Unknown, deviations: f64) -> Option<f64> {
    let of = found.iter().find(|f| f.unknown == unknown)?;
    let deviation = (of.before.high / of.before.likely).ln() / Z90;
    let off = (of.after.likely / of.before.likely).ln().abs();
    (deviations * deviation < off).then_some(of.after.likely)
}

#[cfg(test)]
mod tests {
    use quantity::Band;

    use super::*;

    /// Known to a tenth: 1.15 is let pass, 1.3 and 0.7 are told; units only where
    /// their runs or models are guessed.
    #[test]
    fn what_is_further_off_than_can_be_opens_the_balance() {
        let found = |unknown: Unknown, likely: f64| {
            [Found {
                unknown,
                before: Band::new((-0.1 * Z90).exp(), 1.0, (0.1 * Z90).exp()),
                after: Band::new(0.9 * likely, likely, 1.1 * likely),
                left: 0.5,
            }]
        };
        let coils = |likely: f64| open(&found(Unknown::CoilWater, likely), true, true);
        assert_eq!(coils(1.15), None);
        assert_eq!(coils(1.3), Some(Open::Coils(1.3)));
        assert_eq!(coils(0.7), Some(Open::Coils(0.7)));
        let units = |known: bool| open(&found(Unknown::UnitCapacity, 0.7), true, known);
        assert_eq!(units(true), None);
        assert_eq!(units(false), Some(Open::Units(0.7)));
        // A tenth at three deviations: 1.34.
        let store = |likely: f64| open(&found(Unknown::Store, likely), true, true);
        assert_eq!(store(1.3), None);
        assert_eq!(store(1.4), Some(Open::Store(1.4)));
        assert_eq!(open(&[], true, true), None);
        assert_eq!(open(&[], false, true), Some(Open::Unsettled));
    }
}

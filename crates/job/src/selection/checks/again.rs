//! Drawn days run once more, for a check that must see more of them than a
//! judgement keeps. Only where the judgement gives cause: it costs as much.

use rayon::prelude::*;
use roomsim::setup::Setup;
use roomsim::{Outcome, Record};

use super::Seen;
use crate::simulate::ONE_DAY;
use crate::units::UnitSet;
use crate::zone::{Circumstances, Compiled};

/// The days of a set under all draws.
///
/// - `edit`: what is changed before each run
/// - `pick`: what is kept of it
///
/// `None` where the room cannot be run with the set.
pub(super) fn again<T: Send>(
    seen: &Seen<'_>,
    set: &UnitSet,
    now: Circumstances,
    record: Record,
    edit: impl Fn(&mut Setup) + Sync,
    pick: impl Fn(&Setup, &Outcome) -> T + Sync,
) -> Option<Vec<T>> {
    let models = set.groups().iter().map(|(m, _)| m.as_str());
    let compiled = Compiled::new(seen.room, seen.catalog, models, now).ok()?;
    seen.load
        .draws
        .par_iter()
        .map(|draw| {
            let mut setup = compiled.setup(draw, set, ONE_DAY).ok()?;
            edit(&mut setup);
            Some(pick(&setup, &roomsim::run(&setup, record)))
        })
        .collect()
}

//! Drawn days run once more, for a check that must see more of them than a
//! judgement keeps. Only where the judgement gives cause: it costs as much.

use rayon::prelude::*;
use roomsim::setup::Setup;
use roomsim::{Outcome, Record};

use super::Seen;
use crate::progress::Effort;
use crate::simulate::ONE_DAY;
use crate::uncertain::Draw;
use crate::units::UnitSet;
use crate::zone::{Circumstances, Compiled};

/// At a first look, one draw in so many.
const FIRST_LOOK_STRIDE: usize = 4;

/// The days of a set under all draws, at a first look under some.
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
    let now = Circumstances {
        nodes: seen.load.effort.nodes(),
        ..now
    };
    let compiled = Compiled::new(seen.room, seen.catalog, models, now).ok()?;
    let stride = match seen.load.effort {
        Effort::Preview => FIRST_LOOK_STRIDE,
        Effort::Draft | Effort::Full => 1,
    };
    let draws: Vec<&Draw> = seen.load.draws.iter().step_by(stride).collect();
    draws
        .into_par_iter()
        .map(|draw| {
            let mut setup = compiled.setup(draw, set, ONE_DAY).ok()?;
            edit(&mut setup);
            Some(pick(&setup, &roomsim::run(&setup, record)))
        })
        .collect()
}

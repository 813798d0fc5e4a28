//! What to measure before buying: which uncertain input decides how many
//! units.
//!
//! The draws are split at each input into the third where it is low and the
//! third where it is high; if the two thirds need different numbers of units,
//! the input decides.

use room::Room;

use super::{Candidate, Trial};
use crate::error::JobError;
use crate::load::Load;
use crate::simulate::Judged;
use crate::uncertain::{Draw, Uncertain};
use crate::units::UnitSet;

/// How far below and above the chosen count the thirds may go.
const EITHER_SIDE: u32 = 2;

/// Something to measure, and what it decides.
#[derive(Clone, Debug, PartialEq)]
pub struct Errand {
    /// Which input.
    pub input: Uncertain,
    /// What to do.
    pub what: &'static str,
    /// Units needed if the input is in its lower third.
    pub units_if_low: u32,
    /// Units needed if it is in its upper third.
    pub units_if_high: u32,
}

impl Errand {
    /// How many units it decides.
    pub const fn decides(&self) -> u32 {
        self.units_if_low.abs_diff(self.units_if_high)
    }
}

/// The errands worth doing for a chosen set, the one that decides most first.
///
/// Sets are made larger and smaller by units of the chosen set's first model.
pub(super) fn errands(
    trial: &Trial<'_>,
    chosen: &Candidate,
    room: &Room,
    load: &Load,
) -> Result<Vec<Errand>, JobError> {
    let counted = chosen.judged.units.count();
    let Some((model, of_model)) = chosen.judged.units.groups().first() else {
        return Ok(Vec::new());
    };
    let fewest = counted - (*of_model).min(EITHER_SIDE);
    let most = (counted + EITHER_SIDE).min(room.selection.max_count.value.max(counted));
    let sets: Vec<(u32, Judged)> = (fewest..=most)
        .map(|count| {
            let set = resized(&chosen.judged.units, model, count);
            Ok((count, trial.counted(&set)?))
        })
        .collect::<Result<_, JobError>>()?;
    let wanted = room.selection.days_to_hold.value;
    let mut errands: Vec<Errand> = Uncertain::ALL
        .into_iter()
        .filter_map(|input| {
            let (low, high) = thirds(&load.draws, input)?;
            let errand = Errand {
                input,
                what: input.errand(),
                units_if_low: needed(&sets, &low, wanted),
                units_if_high: needed(&sets, &high, wanted),
            };
            (0 < errand.decides()).then_some(errand)
        })
        .collect();
    errands.sort_by_key(|e| std::cmp::Reverse(e.decides()));
    Ok(errands)
}

fn resized(set: &UnitSet, model: &str, count: u32) -> UnitSet {
    let now = set.count();
    if now <= count {
        return set.clone().and(model, count - now);
    }
    (count..now).fold(set.clone(), |s, _| s.without_one(model))
}

/// Draws with the input in its lower and in its upper third; `None` with too
/// few draws to split.
fn thirds(draws: &[Draw], input: Uncertain) -> Option<(Vec<usize>, Vec<usize>)> {
    let third = draws.len() / 3;
    if third < 5 {
        return None;
    }
    let mut order: Vec<usize> = (0..draws.len()).collect();
    order.sort_by(|&a, &b| draws[a].deviate(input).total_cmp(&draws[b].deviate(input)));
    let high = order[draws.len() - third..].to_vec();
    order.truncate(third);
    Some((order, high))
}

/// Fewest units that hold the wanted share of these draws; one more than was
/// tried if none does.
fn needed(sets: &[(u32, Judged)], draws: &[usize], wanted: f64) -> u32 {
    let share = |judged: &Judged| {
        let held = draws.iter().filter(|&&i| judged.each_held[i]).count();
        held as f64 / draws.len() as f64
    };
    sets.iter()
        .find(|(_, judged)| wanted <= share(judged))
        .or(sets.last())
        .map_or(0, |(count, judged)| {
            if wanted <= share(judged) {
                *count
            } else {
                count + 1
            }
        })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sets_grow_and_shrink_by_the_first_model() {
        let set = UnitSet::of("a", 2).and("b", 1);
        assert_eq!(resized(&set, "a", 5).words(), "4 × a + 1 × b");
        assert_eq!(resized(&set, "a", 1).words(), "1 × b");
    }

    #[test]
    fn thirds_are_the_ends_of_the_order() {
        let draws = crate::uncertain::draw(30);
        let (low, high) = thirds(&draws, Uncertain::LeafAir).unwrap();
        let value = |i: &usize| draws[*i].deviate(Uncertain::LeafAir);
        let top_of_low = low.iter().map(value).fold(f64::MIN, f64::max);
        let bottom_of_high = high.iter().map(value).fold(f64::MAX, f64::min);
        assert_eq!((low.len(), high.len()), (10, 10));
        assert!(top_of_low < bottom_of_high);
        assert!(thirds(&draws[..9], Uncertain::LeafAir).is_none());
    }
}

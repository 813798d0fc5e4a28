//! What to measure before buying: which uncertain input decides how many
//! units.
//!
//! The draws are split at each input into the third where it is low and the
//! third where it is high; if the two thirds need different numbers of units,
//! and fail on different numbers of days by more than chance, the input decides.

use quantity::Band;
use room::{Crop, Room};

use super::{Candidate, Trial};
use crate::error::JobError;
use crate::load::Load;
use crate::simulate::Judged;
use crate::uncertain::{Draw, Uncertain};
use crate::units::UnitSet;

/// Probability at which a difference between the thirds passes for chance.
///
/// **Assumed**: the usual twentieth.
const CHANCE: f64 = 0.05;

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
        .filter(|&input| is_uncertain(input, room))
        .filter_map(|input| {
            let (low, high) = thirds(&load.draws, input)?;
            let errand = Errand {
                input,
                what: input.errand(),
                units_if_low: needed(&sets, &low, wanted),
                units_if_high: needed(&sets, &high, wanted),
            };
            let smaller = errand.units_if_low.min(errand.units_if_high);
            let (_, judged) = sets.iter().find(|(count, _)| *count == smaller)?;
            let by_chance = chance(failing(judged, &low), failing(judged, &high), low.len());
            (0 < errand.decides() && by_chance <= CHANCE).then_some(errand)
        })
        .collect();
    errands.sort_by_key(|e| std::cmp::Reverse(e.decides()));
    Ok(errands)
}

/// Whether drawn days of this room differ by an input at all.
fn is_uncertain(input: Uncertain, room: &Room) -> bool {
    let of_crop = |pick: fn(&Crop) -> Band| room.crop.as_ref().map(pick);
    let band = match input {
        Uncertain::NightResistance => of_crop(|c| c.night_resistance_s_per_m.value),
        // Carbon dioxide widens a factor that was given exactly.
        Uncertain::DayResistance => return room.crop.is_some(),
        Uncertain::LeafAir => of_crop(|c| c.leaf_air_s_per_m.value),
        Uncertain::LeafArea => of_crop(|c| c.lai.value),
        Uncertain::Coverage => of_crop(|c| c.coverage.value),
        Uncertain::AirExchange => Some(room.envelope.air_exchange_per_s.value),
        Uncertain::UnitCapacity => return true,
    };
    band.is_some_and(|b| b.is_spread())
}

fn failing(judged: &Judged, draws: &[usize]) -> usize {
    draws.iter().filter(|&&i| !judged.each_held[i]).count()
}

/// Probability that two groups of `size` days differ in their failing days as
/// much as these, or more, if the groups do not matter.
///
/// ```text
/// p = Σ C(n, x) · C(n, a + b − x) / C(2n, a + b)      x from max(a, b) up
/// ```
///
/// **Source** the exact test of Fisher for two by two tables, one-sided.
fn chance(a: usize, b: usize, size: usize) -> f64 {
    let choose =
        |n: usize, k: usize| -> f64 { (0..k).map(|i| (n - i) as f64 / (i + 1) as f64).product() };
    let all = a + b;
    let ways: f64 = (a.max(b)..=all.min(size))
        .map(|x| choose(size, x) * choose(size, all - x))
        .sum();
    ways / choose(2 * size, all)
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

    /// The tea-tasting table of R. A. Fisher, The Design of Experiments (1935):
    /// 3 of 4 against 1 of 4 comes by chance 17 times in 70, 4 against 0 once.
    #[test]
    fn chance_is_that_of_the_exact_test() {
        assert!((chance(3, 1, 4) - 17.0 / 70.0).abs() < 1e-12);
        assert!((chance(0, 4, 4) - 1.0 / 70.0).abs() < 1e-12);
        assert_eq!(chance(0, 0, 6), 1.0);
        // Equal groups differ by chance more often than not.
        assert!(0.5 < chance(3, 3, 33));
    }

    #[test]
    fn inputs_that_are_known_or_absent_are_no_errand() {
        use crate::common::Sheet;
        let room = Sheet::leafy().room();
        assert!(Uncertain::ALL.iter().all(|&i| is_uncertain(i, &room)));
        let dark = Sheet::dark().set("envelope", "air_exchange", "\"0.5 ACH\"");
        let left: Vec<Uncertain> = Uncertain::ALL
            .into_iter()
            .filter(|&i| is_uncertain(i, &dark.room()))
            .collect();
        assert_eq!(left, [Uncertain::UnitCapacity]);
    }
}

//! Whether a column of water counts on, or tells what came since the row before.

use std::collections::HashMap;

use crate::layout::Layout;
use crate::measure::{Measure, Role};
use crate::number::{Cell, cell, is_fault_code};

/// Rises that a count shows before it is taken for one. Amounts that know
/// nothing of each other rise twelve times in a row once in 12! series.
const RISES: u64 = 12;
/// Rises for each reset of a count. Assumed: nobody sets one back more often
/// than every twenty readings that differ.
const RISES_TO_A_RESET: u64 = 20;
/// What a count that trembles falls, over what it rises.
const TREMBLES: f64 = 0.05;
/// Changes that amounts show before they are taken for such.
const CHANGES: u64 = 4;

/// What the numbers of a column of water show.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Shows {
    /// Nothing but zeros, or no number.
    Nothing,
    Measure(Measure),
    /// Too little to tell.
    Open,
}

/// How the numbers of one meter follow each other.
#[derive(Clone, Copy, Debug, Default)]
struct Steps {
    before: Option<f64>,
    most: f64,
    rises: u64,
    falls: u64,
    resets: u64,
    up: f64,
    down: f64,
    set_back: f64,
}

impl Steps {
    fn add(&mut self, number: f64, backward: bool) {
        self.most = self.most.max(number.abs());
        let Some(before) = self.before.replace(number) else {
            return;
        };
        let (from, to) = if backward {
            (number, before)
        } else {
            (before, number)
        };
        if from < to {
            self.rises += 1;
            self.up += to - from;
        } else if to < 0.5 * from {
            self.resets += 1;
            self.set_back += from - to;
        } else if to < from {
            self.falls += 1;
            self.down += from - to;
        }
    }

    /// A count does not fall but where it is set back. Amounts fall as far as
    /// they rise, and nearly as often.
    fn shows(&self) -> Shows {
        let falls = self.falls + self.resets;
        let is_count = RISES <= self.rises
            && self.down <= TREMBLES * self.up
            && RISES_TO_A_RESET * self.resets <= self.rises;
        let are_amounts = CHANGES <= self.rises + falls
            && self.rises <= 2 * falls
            && 0.5 * self.up <= self.down + self.set_back;
        match (is_count, are_amounts) {
            _ if self.most == 0.0 => Shows::Nothing,
            (true, false) => Shows::Measure(Measure::WaterCounter),
            (false, true) => Shows::Measure(Measure::Water),
            _ => Shows::Open,
        }
    }
}

/// How the numbers of a column follow each other, those of each meter that its
/// rows name for themselves.
#[derive(Debug, Default)]
pub(crate) struct Follows {
    backward: bool,
    by_meter: HashMap<Vec<u8>, Steps>,
}

impl Follows {
    /// - `backward`: rows run from the newest to the oldest
    pub(crate) fn new(backward: bool) -> Self {
        Self {
            backward,
            by_meter: HashMap::new(),
        }
    }

    /// Takes in the number of a row.
    ///
    /// - `meter`: what the row names it, nothing where it does not
    pub(crate) fn add(&mut self, meter: &[u8], number: f64) {
        if is_fault_code(number) || !number.is_finite() {
            return;
        }
        if !self.by_meter.contains_key(meter) {
            self.by_meter.insert(meter.to_vec(), Steps::default());
        }
        if let Some(steps) = self.by_meter.get_mut(meter) {
            steps.add(number, self.backward);
        }
    }

    /// Takes in the cell of a column of a row.
    pub(crate) fn add_row<'a, I: Iterator<Item = &'a [u8]>>(
        &mut self,
        layout: &Layout,
        column: usize,
        cells: impl Fn() -> I,
    ) {
        let Some(Cell::Number(number)) = cells().nth(column).map(|c| cell(c, layout.marks)) else {
            return;
        };
        let names = cells().zip(&layout.columns);
        let meter: Vec<&[u8]> = names
            .filter(|(_, c)| c.role == Role::Sensor)
            .map(|(cell, _)| cell)
            .collect();
        self.add(&meter.concat(), number);
    }

    /// What all meters show; open where they do not agree.
    pub(crate) fn shows(&self) -> Shows {
        let all = self.by_meter.values().map(Steps::shows);
        let mut told = all.filter(|s| *s != Shows::Nothing);
        let Some(first) = told.next() else {
            return Shows::Nothing;
        };
        if told.all(|s| s == first) {
            first
        } else {
            Shows::Open
        }
    }
}

/// What a column of water is by its head and its numbers, with how that was
/// told; `None` where they leave it open or contradict each other.
///
/// - `said`: what its head says, if it does
pub(crate) fn settled(said: Option<Measure>, shows: Shows) -> Option<(Measure, &'static str)> {
    const COUNTS: &str =
        "its numbers do not fall but for resets: a counter, and not amounts since the row before";
    const AMOUNTS: &str =
        "its numbers fall as often as they rise: amounts since the row before, and no counter";
    match (said, shows) {
        (Some(said), Shows::Nothing | Shows::Open) => Some((said, "")),
        (Some(said), Shows::Measure(shown)) if said == shown => Some((said, "")),
        (Some(_), Shows::Measure(_)) | (None, Shows::Open) => None,
        (None, Shows::Nothing) => Some((Measure::Water, "nothing but zeros")),
        (None, Shows::Measure(Measure::WaterCounter)) => Some((Measure::WaterCounter, COUNTS)),
        (None, Shows::Measure(shown)) => Some((shown, AMOUNTS)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shows(numbers: impl IntoIterator<Item = f64>, backward: bool) -> Shows {
        let mut follows = Follows::new(backward);
        numbers.into_iter().for_each(|x| follows.add(b"", x));
        follows.shows()
    }

    /// A bucket that tips, as a count, as amounts and with all that happens to
    /// logs; what each is, is known since it is made here.
    #[test]
    fn counts_and_amounts_are_told_by_how_they_follow() {
        const COUNT: Shows = Shows::Measure(Measure::WaterCounter);
        const AMOUNTS: Shows = Shows::Measure(Measure::Water);
        let tips = |i: u32| f64::from(i * 7 % 3 % 2);
        let amounts = || (0..300).map(|i| 0.1 * tips(i));
        let count = |from: f64| {
            (0..300u32).map(move |i| from + (0..=i).map(|k| 0.1 * tips(k)).sum::<f64>())
        };
        assert_eq!(shows(amounts(), false), AMOUNTS);
        assert_eq!(shows(count(0.0), false), COUNT);
        assert_eq!(shows(count(4711.0), false), COUNT);
        // Newest first.
        let mut back: Vec<f64> = count(3.0).collect();
        back.reverse();
        assert_eq!(shows(back, true), COUNT);
        // Set back once, and once written twice.
        assert_eq!(shows(count(0.0).chain(count(0.0)), false), COUNT);
        // It trembles by a hundredth.
        let trembles = count(5.0).enumerate();
        let trembles = trembles.map(|(i, x)| x + 0.0005 * f64::from(i as u32 % 2));
        assert_eq!(shows(trembles, false), COUNT);
        // Amounts of an hour that follow the day.
        let day = |i: u32| 3.0 + 2.0 * (f64::from(i) * std::f64::consts::TAU / 24.0).sin();
        assert_eq!(shows((0..96).map(day), false), AMOUNTS);
        // A fault code is no count.
        assert_eq!(shows(count(0.0).chain([9999.0]), false), COUNT);
    }

    #[test]
    fn what_is_not_shown_stays_open() {
        assert_eq!(shows([], false), Shows::Nothing);
        assert_eq!(shows([0.0; 50], false), Shows::Nothing);
        // Too few to tell, none that differs, a count set back at every fourth.
        assert_eq!(shows([0.1, 0.2, 0.3], false), Shows::Open);
        assert_eq!(shows([5.0; 50], false), Shows::Open);
        let often = (0..60u32).map(|i| f64::from(i % 4));
        assert_eq!(shows(often, false), Shows::Open);
    }

    #[test]
    fn meters_are_followed_each_for_itself() {
        let mut follows = Follows::new(false);
        for i in 0..40 {
            follows.add(b"D1", f64::from(i));
            follows.add(b"D2", 900.0 + f64::from(i));
        }
        assert_eq!(follows.shows(), Shows::Measure(Measure::WaterCounter));
    }
}

//! In which order the dates of a file name their parts.

use crate::stamp::DateParts;

/// In which order a date names its parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DateOrder {
    /// Year, month, day.
    Ymd,
    /// Day, month, year.
    Dmy,
    /// Month, day, year.
    Mdy,
}

impl DateOrder {
    /// All orders.
    pub const ALL: [Self; 3] = [Self::Ymd, Self::Dmy, Self::Mdy];

    /// As the option names it.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Ymd => "ymd",
            Self::Dmy => "dmy",
            Self::Mdy => "mdy",
        }
    }

    /// From the word of the option.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|o| o.word() == word)
    }
}

/// What the dates of a file say about their order.
#[derive(Clone, Debug, Default)]
pub(crate) struct OrderVotes {
    impossible: [bool; 3],
    /// Changes of date that go one day on or back, by order.
    next_day: [u32; 3],
    changes: u32,
    before: Option<[u32; 3]>,
    before_day: [Option<i32>; 3],
    sure: Option<DateOrder>,
}

impl OrderVotes {
    pub(crate) fn add(&mut self, date: &DateParts) {
        if date.sure.is_some() {
            self.sure = date.sure;
            return;
        }
        if self.before == Some(date.numbers) {
            return;
        }
        let mut days = [None; 3];
        for (i, order) in DateOrder::ALL.into_iter().enumerate() {
            days[i] = date.day(order);
            // Two digits for the year may be any; a year far off is none.
            self.impossible[i] |= days[i].is_none();
            if let (Some(day), Some(before)) = (days[i], self.before_day[i])
                && (day - before).abs() == 1
            {
                self.next_day[i] += 1;
            }
        }
        if self.before.is_some() {
            self.changes += 1;
        }
        (self.before, self.before_day) = (Some(date.numbers), days);
    }

    /// Whether more dates could change nothing.
    pub(crate) fn is_settled(&self) -> bool {
        self.sure.is_some() || 2 <= self.impossible.iter().filter(|i| **i).count()
    }

    /// The one order that fits, and why; what is open otherwise.
    pub(crate) fn decided(&self) -> Result<(DateOrder, &'static str), Vec<DateOrder>> {
        if let Some(order) = self.sure {
            return Ok((order, "as the dates are written"));
        }
        let open: Vec<usize> = (0..3).filter(|&i| !self.impossible[i]).collect();
        if let [one] = open[..] {
            return Ok((
                DateOrder::ALL[one],
                "no other order makes days of all dates",
            ));
        }
        // With one order each new date is the next day, with the others none is.
        let steady: Vec<usize> = open
            .iter()
            .copied()
            .filter(|&i| 2 <= self.changes && self.next_day[i] == self.changes)
            .collect();
        if let [one] = steady[..]
            && open.iter().all(|&i| i == one || self.next_day[i] == 0)
        {
            return Ok((
                DateOrder::ALL[one],
                "only so does each new date follow the one before",
            ));
        }
        Err(open.into_iter().map(|i| DateOrder::ALL[i]).collect())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stamp::stamp;

    #[test]
    fn order_is_decided_by_days_that_exist_or_follow() {
        let decided = |dates: &[&str]| {
            let mut votes = OrderVotes::default();
            for d in dates {
                votes.add(&stamp(d.as_bytes()).unwrap().date.unwrap());
            }
            votes.decided().map(|(o, _)| o)
        };
        assert_eq!(decided(&["13/02/2025"]), Ok(DateOrder::Dmy));
        assert_eq!(decided(&["02/13/2025"]), Ok(DateOrder::Mdy));
        assert_eq!(
            decided(&["01/02/2025", "02/02/2025", "03/02/2025"]),
            Ok(DateOrder::Dmy)
        );
        assert_eq!(
            decided(&["01/02/2025", "01/03/2025", "01/04/2025"]),
            Ok(DateOrder::Mdy)
        );
        assert_eq!(
            decided(&["01/02/2025", "01/02/2025"]),
            Err(vec![DateOrder::Dmy, DateOrder::Mdy])
        );
        assert_eq!(decided(&["2025-01-02"]), Ok(DateOrder::Ymd));
    }
}

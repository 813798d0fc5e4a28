//! How often a machine starts.

/// Starts of one machine.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Starts {
    pub(crate) all: u32,
    pub(crate) most_in_an_hour: u32,
    this_hour: u32,
    hour: i64,
}

impl Starts {
    /// Counts a start at a time \[s\].
    pub(crate) fn count(&mut self, time_s: f64) {
        let hour = (time_s / 3600.0).floor() as i64;
        if hour != self.hour {
            self.hour = hour;
            self.this_hour = 0;
        }
        self.all += 1;
        self.this_hour += 1;
        self.most_in_an_hour = self.most_in_an_hour.max(self.this_hour);
    }
}

#[cfg(test)]
mod tests {
    use super::Starts;

    #[test]
    fn most_starts_in_one_clock_hour() {
        let mut starts = Starts::default();
        for time_s in [100.0, 3590.0, 3610.0, 4000.0, 5000.0, 9000.0] {
            starts.count(time_s);
        }
        assert_eq!((starts.all, starts.most_in_an_hour), (6, 3));
    }
}

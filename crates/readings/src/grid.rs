//! Readings as means over even steps of time, in bounded memory.

use crate::measure::Measure;
use crate::read::Sink;

/// One channel over the steps.
#[derive(Clone, Debug, PartialEq)]
pub struct GridChannel {
    /// What it measures.
    pub measure: Measure,
    /// Its name.
    pub name: String,
    sums: Vec<f64>,
    counts: Vec<u32>,
}

/// Means of readings over even steps. Rows may come in any order and from
/// several logs. When the span outgrows the most steps, steps are joined two by
/// two.
#[derive(Clone, Debug)]
pub struct Grid {
    step_s: i64,
    most_steps: usize,
    /// Number of the step that stands first in the channels; a step begins at
    /// its number · `step_s`.
    first: i64,
    /// Numbers of the first and the last step with a row.
    span: Option<(i64, i64)>,
    channels: Vec<GridChannel>,
    /// The channel that the log being read calls 0.
    base: usize,
    now: usize,
}

/// Steps that are made ready at once.
const SLACK: usize = 4096;

impl Grid {
    /// An empty grid of steps of `step_s`, at most `most_steps` of them.
    ///
    /// # Panics
    /// A step without length, or fewer than two steps.
    pub fn new(step_s: i64, most_steps: usize) -> Self {
        assert!(
            0 < step_s && 2 <= most_steps,
            "{step_s} s, {most_steps} steps"
        );
        Self {
            step_s,
            most_steps,
            first: 0,
            span: None,
            channels: Vec::new(),
            base: 0,
            now: 0,
        }
    }

    /// Another log follows: its channels are new.
    pub const fn next_log(&mut self) {
        self.base = self.channels.len();
    }

    /// Length of a step \[s\].
    pub const fn step_s(&self) -> i64 {
        self.step_s
    }

    /// Number of steps from the first to the last row.
    pub fn steps(&self) -> usize {
        self.span.map_or(0, |(low, high)| (high - low + 1) as usize)
    }

    /// Begin of a step \[s since 1970 UTC\].
    pub fn instant_s(&self, step: usize) -> i64 {
        (self.span.map_or(0, |(low, _)| low) + step as i64) * self.step_s
    }

    /// All channels.
    pub fn channels(&self) -> &[GridChannel] {
        &self.channels
    }

    /// Mean of the readings of a channel over each step; not a number where
    /// there are none.
    pub fn means(&self, channel: usize) -> Vec<f64> {
        self.each(channel, |sum, count| {
            if count == 0 {
                f64::NAN
            } else {
                sum / f64::from(count)
            }
        })
    }

    /// Sum of the readings of a channel over each step.
    pub fn sums(&self, channel: usize) -> Vec<f64> {
        self.each(channel, |sum, _| sum)
    }

    /// Readings of a channel in each step.
    pub fn counts(&self, channel: usize) -> Vec<u32> {
        self.each(channel, |_, count| count)
    }

    fn each<T>(&self, channel: usize, of: impl Fn(f64, u32) -> T) -> Vec<T> {
        let before = self.span.map_or(0, |(low, _)| (low - self.first) as usize);
        let channel = &self.channels[channel];
        (before..before + self.steps())
            .map(|i| match (channel.sums.get(i), channel.counts.get(i)) {
                (Some(sum), Some(count)) => of(*sum, *count),
                _ => of(0.0, 0),
            })
            .collect()
    }

    fn place(&mut self, instant_s: i64) -> usize {
        let mut number = instant_s.div_euclid(self.step_s);
        loop {
            let (low, high) = self.span.unwrap_or((number, number));
            if self.span.is_none() {
                self.first = number;
            }
            let (low, high) = (low.min(number), high.max(number));
            if high - low < self.most_steps as i64 {
                self.span = Some((low, high));
                break;
            }
            self.join();
            number = instant_s.div_euclid(self.step_s);
        }
        if number < self.first {
            // What lies further back often follows, as in a log that runs
            // backward.
            let ready = (self.first - number) as usize + SLACK;
            for channel in &mut self.channels {
                channel.sums.splice(0..0, std::iter::repeat_n(0.0, ready));
                channel.counts.splice(0..0, std::iter::repeat_n(0, ready));
            }
            self.first -= ready as i64;
        }
        (number - self.first) as usize
    }

    /// Joins steps two by two.
    fn join(&mut self) {
        let odd = self.first.rem_euclid(2) as usize;
        for channel in &mut self.channels {
            let length = (channel.sums.len() + odd).div_ceil(2);
            let mut sums = vec![0.0; length];
            let mut counts = vec![0; length];
            for i in 0..channel.sums.len() {
                sums[(i + odd) / 2] += channel.sums[i];
                counts[(i + odd) / 2] += channel.counts[i];
            }
            (channel.sums, channel.counts) = (sums, counts);
        }
        self.first = self.first.div_euclid(2);
        self.span = self
            .span
            .map(|(low, high)| (low.div_euclid(2), high.div_euclid(2)));
        self.step_s *= 2;
    }
}

impl Sink for Grid {
    fn channel(&mut self, measure: Measure, name: &str) {
        self.channels.push(GridChannel {
            measure,
            name: name.to_owned(),
            sums: Vec::new(),
            counts: Vec::new(),
        });
    }

    #[inline]
    fn moment(&mut self, instant_s: i64) {
        // Most rows fall into the step of the row before.
        let begin = (self.first + self.now as i64) * self.step_s;
        let ahead = instant_s.wrapping_sub(begin);
        if self.span.is_none() || !(0..self.step_s).contains(&ahead) {
            self.now = self.place(instant_s);
        }
    }

    #[inline]
    fn reading(&mut self, channel: usize, value: f64) {
        self.add(channel, value, 1);
    }

    fn grid(&mut self) -> Option<&mut Grid> {
        Some(self)
    }
}

impl Grid {
    /// Readings of a channel in the step of the moment that was told last.
    #[inline]
    pub(crate) fn add(&mut self, channel: usize, sum: f64, count: u32) {
        let Some(channel) = self.channels.get_mut(self.base + channel) else {
            return;
        };
        if channel.sums.len() <= self.now {
            channel.sums.resize(self.now + SLACK, 0.0);
            channel.counts.resize(self.now + SLACK, 0);
        }
        channel.sums[self.now] += sum;
        channel.counts[self.now] += count;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid(times: impl Iterator<Item = i64>) -> Grid {
        let mut grid = Grid::new(60, 100);
        grid.channel(Measure::DryBulb, "a");
        for t in times {
            grid.moment(t);
            grid.reading(0, t as f64);
        }
        grid
    }

    #[test]
    fn the_order_of_rows_does_not_count() {
        for length in [50, 2000, 9001] {
            let times = move || (0..length).map(|i| 1_700_000_000 + 7 * i);
            let forward = grid(times());
            let backward = grid(times().rev());
            let mixed =
                grid(times().map(move |t| 1_700_000_000 + (t - 1_700_000_000) * 11 % (7 * length)));
            for other in [&backward, &mixed] {
                assert_eq!(forward.steps(), other.steps());
                assert_eq!(forward.instant_s(0), other.instant_s(0));
                assert_eq!(forward.counts(0), other.counts(0));
                assert_eq!(forward.means(0), other.means(0));
            }
            assert_eq!(forward.counts(0).iter().sum::<u32>() as i64, length);
            assert!(forward.steps() <= 100);
        }
    }

    #[test]
    fn steps_without_readings_are_no_numbers() {
        let grid = grid([0, 30, 300].into_iter());
        assert_eq!(grid.steps(), 6);
        assert_eq!(grid.means(0)[0], 15.0);
        assert!(grid.means(0)[1].is_nan());
        assert_eq!(grid.means(0)[5], 300.0);
    }

    #[test]
    fn logs_lie_side_by_side() {
        let mut grid = grid([600].into_iter());
        grid.next_log();
        grid.channel(Measure::RelHumidity, "b");
        grid.moment(0);
        grid.reading(0, 0.5);
        assert_eq!(grid.steps(), 11);
        assert_eq!((grid.means(0)[10], grid.means(1)[0]), (600.0, 0.5));
    }
}

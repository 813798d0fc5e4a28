//! What charts share: units of an axis, its ticks, the plot area, time axis.

use quantity::{Dim, UnitSystem};
use readings::date;

use super::Hours;
use super::behind::STEPS_H;
use crate::drawing::{
    Anchor, Label, Letters, PaperPoint, Point, Role, Shape, Stand, Transform, View, at,
};

/// How a kind of quantity is shown to the reader: `shown = (si - zero) / step`.
#[derive(Clone, Debug)]
pub(super) struct Scale {
    /// The unit's sign.
    pub(super) unit: String,
    zero: f64,
    step: f64,
}

impl Scale {
    /// The scale of `dim` in these units, from what `quantity` reads.
    pub(super) fn of(dim: Dim, units: UnitSystem) -> Self {
        let unit = dim.unit(units).to_string();
        let si = |n: u8| {
            quantity::read(&format!("{n} {unit}"), dim)
                .ok()
                .map(|v| v.si)
        };
        match (si(0), si(1)) {
            (Some(zero), Some(one)) if one != zero => Self {
                unit,
                zero,
                step: one - zero,
            },
            // A kind without a unit is shown as it is held.
            _ => Self {
                unit,
                zero: 0.0,
                step: 1.0,
            },
        }
    }

    /// From SI to the number that is shown.
    pub(super) fn show(&self, si: f64) -> f64 {
        (si - self.zero) / self.step
    }

    /// From the number that is shown to SI.
    pub(super) fn si(&self, shown: f64) -> f64 {
        shown * self.step + self.zero
    }
}

/// A number with `decimals` decimals and a true minus; "?" if not finite.
pub(super) fn number(x: f64, decimals: usize) -> String {
    if !x.is_finite() {
        return "?".to_owned();
    }
    let s = format!("{x:.decimals$}");
    match s.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| c == '0' || c == '.') => rest.to_owned(),
        Some(rest) => format!("−{rest}"),
        None => s,
    }
}

/// Decimals that tell apart numbers `step` apart.
pub(super) fn decimals(step: f64) -> usize {
    if !step.is_finite() || step <= 0.0 {
        return 0;
    }
    (0..6)
        .find(|d| {
            let scaled = step * 10f64.powi(*d);
            (scaled - scaled.round()).abs() < 1e-6 * scaled.max(1e-9) && scaled.round() >= 1.0
        })
        .unwrap_or(6) as usize
}

/// A round range with round ticks.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Axis {
    pub(super) low: f64,
    pub(super) high: f64,
    pub(super) step: f64,
}

impl Axis {
    /// The smallest round range around the finite numbers of `data`, with at
    /// most `most` steps of 1, 2 or 5 times a power of ten.
    pub(super) fn around(data: impl IntoIterator<Item = f64>, most: usize) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for x in data.into_iter().filter(|x| x.is_finite()) {
            low = low.min(x);
            high = high.max(x);
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        // A flat curve still needs an axis.
        let least = (low.abs().max(high.abs()) * 0.02).max(1e-9);
        if high - low < least {
            let middle = (low + high) / 2.0;
            (low, high) = if low >= 0.0 && middle < least {
                (0.0, 2.0 * least.max(0.5))
            } else {
                (middle - least / 2.0, middle + least / 2.0)
            };
        }
        let raw = (high - low) / most.max(1) as f64;
        let power = 10f64.powf(raw.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0, 20.0]
            .into_iter()
            .map(|k| k * power)
            .find(|s| ((high / s - 1e-9).ceil() - (low / s + 1e-9).floor()) <= most.max(1) as f64)
            .unwrap_or(20.0 * power);
        Self {
            low: (low / step + 1e-9).floor() * step,
            high: (high / step - 1e-9).ceil() * step,
            step,
        }
    }

    /// Its ticks, ends included.
    pub(super) fn ticks(&self) -> Vec<f64> {
        let n = ((self.high - self.low) / self.step)
            .round()
            .clamp(1.0, 200.0) as usize;
        (0..=n)
            .map(|i| {
                let t = self.low + i as f64 * self.step;
                if t.abs() < self.step * 1e-6 { 0.0 } else { t }
            })
            .collect()
    }

    pub(super) fn label(&self, tick: f64) -> String {
        number(tick, decimals(self.step))
    }
}

/// A rectangle on paper \[mm\], y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Area {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Area {
    /// The transform that puts these ranges into the area.
    pub(super) fn transform(&self, x: (f64, f64), y: (f64, f64)) -> Transform {
        let x_mm_per_unit = (self.right - self.left) / (x.1 - x.0);
        let y_mm_per_unit = (self.bottom - self.top) / (y.1 - y.0);
        Transform {
            origin: PaperPoint {
                x_mm: self.left - x.0 * x_mm_per_unit,
                y_mm: self.bottom + y.0 * y_mm_per_unit,
            },
            x_mm_per_unit,
            y_mm_per_unit,
        }
    }
}

/// Runs of finite points.
pub(super) fn runs(points: impl IntoIterator<Item = Point>) -> Vec<Vec<Point>> {
    let mut out = vec![Vec::new()];
    for p in points {
        if p.x.is_finite() && p.y.is_finite() {
            if let Some(run) = out.last_mut() {
                run.push(p);
            }
        } else if out.last().is_some_and(|r| !r.is_empty()) {
            out.push(Vec::new());
        }
    }
    out.retain(|r| !r.is_empty());
    out
}

/// A time axis: hours from the chart's start, labelled by the clock.
#[derive(Clone, Copy, Debug)]
pub(super) struct TimeAxis {
    pub(super) hours: Hours,
    pub(super) start_clock_h: f64,
    /// Day since 1970 of hour 0; `None` where days have no date.
    first_day: Option<i64>,
}

impl TimeAxis {
    /// A usable axis, whatever is given.
    pub(super) fn new(hours: Hours, start_clock_h: f64) -> Self {
        let ok = hours.from_h.is_finite() && hours.to_h.is_finite() && hours.to_h > hours.from_h;
        Self {
            hours: if ok {
                hours
            } else {
                Hours {
                    from_h: 0.0,
                    to_h: 24.0,
                }
            },
            start_clock_h: if start_clock_h.is_finite() {
                start_clock_h
            } else {
                0.0
            },
            first_day: None,
        }
    }

    /// The same with dates, from the day since 1970 of hour 0.
    pub(super) const fn dated(self, first_day: Option<i64>) -> Self {
        Self { first_day, ..self }
    }

    fn step(&self) -> f64 {
        let span = self.hours.to_h - self.hours.from_h;
        // Ticks a minute apart would crowd even the shortest span.
        let mut steps = STEPS_H.into_iter().skip(1);
        steps.find(|s| span / s <= 12.0).unwrap_or(span / 10.0)
    }

    /// Hours at which the clock shows round times.
    pub(super) fn ticks(&self) -> Vec<f64> {
        let step = self.step();
        let first = ((self.hours.from_h + self.start_clock_h) / step - 1e-9).ceil() * step
            - self.start_clock_h;
        (0..)
            .map(|i| first + f64::from(i) * step)
            .take_while(|h| *h <= self.hours.to_h + 1e-9)
            .take(400)
            .collect()
    }

    /// The clock at an hour of the chart; at midnight the date, where there
    /// is one.
    fn clock(&self, hour: f64) -> String {
        let clock = clock(hour + self.start_clock_h);
        match self.date(hour) {
            Some(date) if clock == "00:00" => date[5..].to_owned(),
            _ => clock,
        }
    }

    /// Date and clock, or the clock alone where there is no date.
    pub(super) fn moment(&self, hour: f64) -> String {
        let clock = clock(hour + self.start_clock_h);
        match self.date(hour) {
            Some(date) => format!("{date} {clock}"),
            None => clock,
        }
    }

    /// What its numbers are.
    pub(super) const fn name(&self) -> &'static str {
        match self.first_day {
            Some(_) => "Day and time",
            None => "Time of day",
        }
    }

    fn date(&self, hour: f64) -> Option<String> {
        // The clock is told to the minute; so is the day that it belongs to.
        let minutes = ((hour + self.start_clock_h) * 60.0).round();
        let day = (minutes / (24.0 * 60.0)).floor() as i64;
        self.first_day.map(|first| date(first.saturating_add(day)))
    }

    /// The part of `hours` that is on the axis.
    pub(super) fn clip(&self, hours: Hours) -> Option<Hours> {
        let from_h = hours.from_h.max(self.hours.from_h);
        let to_h = hours.to_h.min(self.hours.to_h);
        (from_h < to_h).then_some(Hours { from_h, to_h })
    }

    /// Ticks and clock under `area`, with the axis title.
    pub(super) fn draw(&self, paper: &mut View, area: &Area) {
        let t = area.transform((self.hours.from_h, self.hours.to_h), (0.0, 1.0));
        for h in self.ticks() {
            let x = t.to_paper(at(h, 0.0)).x_mm;
            paper.line(Role::Axis, at(x, area.bottom), at(x, area.bottom + 1.2));
            paper.text(
                Role::Text,
                Label::new(self.clock(h), at(x, area.bottom + 2.0))
                    .anchor(Anchor::Middle, Stand::Top),
            );
        }
        paper.text(
            Role::Text,
            Label::new(
                self.name(),
                at((area.left + area.right) / 2.0, area.bottom + 5.6),
            )
            .letters(Letters::Note)
            .anchor(Anchor::Middle, Stand::Top),
        );
    }
}

/// Height that a time axis takes under its area \[mm\].
pub(super) const TIME_AXIS_MM: f64 = 9.0;

/// Hours as the clock shows them.
pub(super) fn clock(hour: f64) -> String {
    if !hour.is_finite() {
        return "?".to_owned();
    }
    let minutes = (hour * 60.0).round().rem_euclid(24.0 * 60.0) as u32;
    format!("{:02}:{:02}", minutes / 60, minutes % 60)
}

/// Shades the hours with lights off over the height of `area`.
pub(super) fn shade(paper: &mut View, time: &TimeAxis, nights: &[Hours], area: &Area) {
    let t = area.transform((time.hours.from_h, time.hours.to_h), (0.0, 1.0));
    for n in nights.iter().filter_map(|n| time.clip(*n)) {
        let (a, b) = (t.to_paper(at(n.from_h, 0.0)), t.to_paper(at(n.to_h, 0.0)));
        paper.rect(Role::Night, at(a.x_mm, area.top), at(b.x_mm, area.bottom));
    }
}

/// The title of a figure at its top left.
pub(super) fn figure_title(paper: &mut View, title: &str, subtitle: &str) {
    paper.text(
        Role::TextStrong,
        Label::new(title, at(0.0, 0.6))
            .letters(Letters::Note)
            .anchor(Anchor::Start, Stand::Top),
    );
    if !subtitle.is_empty() {
        paper.text(
            Role::TextQuiet,
            Label::new(subtitle, at(0.0, 5.0)).anchor(Anchor::Start, Stand::Top),
        );
    }
}

/// Height that a title takes \[mm\].
pub(super) const TITLE_MM: f64 = 9.5;

/// Positions as near to `wanted` as they can be, in the same order, at least
/// `gap` apart and inside `low..high` as far as there is room.
pub(super) fn spread_out(wanted: &[f64], gap: f64, low: f64, high: f64) -> Vec<f64> {
    let mut order: Vec<usize> = (0..wanted.len()).collect();
    order.sort_by(|a, b| wanted[*a].total_cmp(&wanted[*b]));
    // Blocks of touching labels, each centred on the mean of what they want.
    let mut blocks: Vec<(Vec<usize>, f64)> = Vec::new();
    for i in order {
        blocks.push((vec![i], wanted[i].clamp(low, high.max(low))));
        while blocks.len() > 1 {
            let (b, a) = (blocks.len() - 1, blocks.len() - 2);
            let half = |n: usize| (n - 1) as f64 * gap / 2.0;
            let bottom_of_b = blocks[b].1 - half(blocks[b].0.len());
            let top_of_a = blocks[a].1 + half(blocks[a].0.len());
            if bottom_of_b - top_of_a >= gap - 1e-9 {
                break;
            }
            let Some((members, _)) = blocks.pop() else {
                break;
            };
            if let Some((all, centre)) = blocks.last_mut() {
                all.extend(members);
                let mean = all.iter().map(|i| wanted[*i]).sum::<f64>() / all.len() as f64;
                let h = half(all.len());
                *centre = mean.min(high - h).max(low + h);
            }
        }
    }
    let mut out = vec![0.0; wanted.len()];
    for (members, centre) in blocks {
        let first = centre - (members.len() - 1) as f64 * gap / 2.0;
        for (k, i) in members.into_iter().enumerate() {
            out[i] = first + k as f64 * gap;
        }
    }
    out
}

/// A closed area between two curves over the same points.
pub(super) fn between(upper: &[Point], lower: &[Point]) -> Shape {
    Shape::Polygon(upper.iter().chain(lower.iter().rev()).copied().collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn axes_are_round_and_hold_the_data() {
        for (low, high) in [
            (0.0, 1.0),
            (-3.2, 17.9),
            (21.93, 27.6),
            (0.0, 0.0),
            (5e-7, 8e-5),
        ] {
            let a = Axis::around([low, high], 5);
            assert!(a.low <= low + 1e-12 && a.high >= high - 1e-12, "{a:?}");
            assert!(a.ticks().len() <= 7 && a.ticks().len() >= 2, "{a:?}");
        }
        assert_eq!(Axis::around([f64::NAN], 5).ticks().first(), Some(&0.0));
        assert_eq!(
            Axis::around([0.0, 97.0], 5),
            Axis {
                low: 0.0,
                high: 100.0,
                step: 20.0
            }
        );
    }

    #[test]
    fn labels_are_spread_in_order() {
        let y = spread_out(&[10.0, 10.5, 11.0, 40.0], 3.5, 0.0, 50.0);
        assert!(y.windows(2).all(|w| w[1] - w[0] >= 3.5 - 1e-9), "{y:?}");
        assert!((y[1] - 10.5).abs() < 1e-9 && y[3] == 40.0);
        let y = spread_out(&[49.0, 50.0, 50.0], 3.5, 0.0, 50.0);
        assert!(y.iter().all(|y| *y <= 50.0 + 1e-9), "{y:?}");
    }

    #[test]
    fn numbers_have_a_true_minus_and_no_negative_zero() {
        assert_eq!(number(-1.26, 1), "−1.3");
        assert_eq!(number(-0.01, 1), "0.0");
        assert_eq!(number(f64::NAN, 1), "?");
        assert_eq!(decimals(0.2), 1);
        assert_eq!(decimals(5.0), 0);
        assert_eq!(decimals(0.05), 2);
    }

    #[test]
    fn the_clock_wraps() {
        assert_eq!(clock(25.5), "01:30");
        assert_eq!(clock(-0.5), "23:30");
        assert_eq!(clock(23.9999), "00:00");
    }

    #[test]
    fn a_dated_axis_tells_the_day_at_midnight() {
        let hours = Hours {
            from_h: 0.0,
            to_h: 40.0,
        };
        let axis = TimeAxis::new(hours, 22.0).dated(Some(20_147));
        assert_eq!(axis.clock(2.0), "03-01");
        assert_eq!(axis.clock(3.0), "01:00");
        assert_eq!(axis.moment(1.5), "2025-02-28 23:30");
        // 23:59:59 is told as the midnight that it is next to.
        assert_eq!(axis.moment(2.0 - 1.0 / 3600.0), "2025-03-01 00:00");
        assert_eq!(TimeAxis::new(hours, 22.0).moment(2.0), "00:00");
    }
}

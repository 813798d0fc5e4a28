//! The psychrometric chart: dry bulb along the bottom, humidity ratio upwards,
//! both axes plain, so that a logger's temperatures and limits stay upright.

use quantity::{Dim, UnitSystem};

mod fields;
mod grid;
mod path;
mod words;

use fields::{field_labels, processes, targets};
use grid::{axes, enthalpy_ticks, frame, grid, rel_humidity_lines, saturation, wet_bulb_lines};
use path::{path, path_labels};
use words::{alt, legend, subtitle};

use super::behind;
use super::kit::{Area, Axis, Scale, figure_title};
use super::labels::Obstacles;
use super::{Period, WIDTH_MM};
use crate::drawing::{Drawing, Point, Size, Transform, View, at};

/// What the chart shows.
#[derive(Clone, Debug, PartialEq)]
pub struct PsychrometricChart {
    /// What the reader shall see, in a line.
    pub title: String,
    /// Barometric pressure \[Pa\].
    pub pressure_pa: f64,
    /// Altitude \[m\], for the title.
    pub altitude_m: Option<f64>,
    /// Where the air shall be.
    pub targets: Vec<TargetField>,
    /// The path of one day, in order; hours are those of the clock.
    pub path: Vec<PathPoint>,
    /// Processes in coils and units.
    pub processes: Vec<Process>,
}

/// A field of air states between two limits of humidity and two temperatures.
#[derive(Clone, Debug, PartialEq)]
pub struct TargetField {
    /// When it holds.
    pub period: Period,
    /// Lowest and highest dry bulb \[°C\].
    pub dry_bulb_c: (f64, f64),
    /// Limits of humidity.
    pub humidity: Humidity,
}

/// Limits of humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Vapour pressure deficit \[Pa\], lowest and highest, of a leaf at the
    /// temperature of the air plus `leaf_rise_k` (zero: VPD of the air).
    Vpd {
        /// Lowest \[Pa\].
        low_pa: f64,
        /// Highest \[Pa\].
        high_pa: f64,
        /// Leaf less air \[K\].
        leaf_rise_k: f64,
    },
    /// Relative humidity, lowest and highest, 0 to 1.
    Rel {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
}

/// A state of the room's air at an hour of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PathPoint {
    /// Hour of the clock.
    pub clock_h: f64,
    /// Dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Humidity ratio.
    pub humidity_ratio: f64,
    /// Whether the lights are on.
    pub period: Period,
}

/// A process from state to state, with a name at its end.
#[derive(Clone, Debug, PartialEq)]
pub struct Process {
    /// Its name ("unit D1", "coil").
    pub name: String,
    /// Dry bulb \[°C\] and humidity ratio, from inlet to outlet.
    pub states: Vec<(f64, f64)>,
}

const PLOT: Area = Area {
    left: 6.0,
    top: 11.0,
    right: WIDTH_MM - 15.0,
    bottom: 116.0,
};
const HEIGHT_MM: f64 = 128.0;

/// The plot of one chart: how states lie on the paper.
#[derive(Clone, Debug)]
pub struct Plot {
    /// From dry bulb (x) and humidity ratio (y), both as they are shown to the
    /// reader, to the paper.
    pub transform: Transform,
    dry_bulb: Scale,
    ratio: Scale,
    t: Axis,
    w: Axis,
    pressure_pa: f64,
}

impl Plot {
    /// A state as a point of the plot.
    pub fn point(&self, dry_bulb_c: f64, humidity_ratio: f64) -> Point {
        at(
            self.dry_bulb.show(dry_bulb_c),
            self.ratio.show(humidity_ratio),
        )
    }

    /// The state at a point of the plot: dry bulb \[°C\], humidity ratio.
    pub fn state(&self, p: Point) -> (f64, f64) {
        (self.dry_bulb.si(p.x), self.ratio.si(p.y))
    }

    /// The shown humidity ratio of saturated air at a shown dry bulb.
    fn saturated(&self, x: f64) -> f64 {
        let w = air::saturation_humidity_ratio(self.dry_bulb.si(x), self.pressure_pa);
        self.ratio.show(w)
    }

    /// Points of a curve y(x) inside the plot and under saturation, in steps
    /// fine enough to look smooth.
    fn curve(&self, low: f64, high: f64, y: impl Fn(f64) -> f64) -> Vec<Point> {
        let (low, high) = (low.max(self.t.low), high.min(self.t.high));
        if low.is_nan() || high.is_nan() || low >= high {
            return Vec::new();
        }
        let n = (((high - low) * self.transform.x_mm_per_unit) / 1.5)
            .ceil()
            .max(2.0) as usize;
        let mut out: Vec<Point> = Vec::with_capacity(n + 2);
        let inside = |p: &Point| p.y >= self.w.low - 1e-9 && p.y <= self.w.high + 1e-9;
        let mut last: Option<Point> = None;
        for i in 0..=n {
            let x = low + (high - low) * i as f64 / n as f64;
            let p = at(x, y(x).min(self.saturated(x)));
            if let Some(q) = last
                && inside(&q) != inside(&p)
                && p.y.is_finite()
            {
                let edge = if p.y.max(q.y) > self.w.high {
                    self.w.high
                } else {
                    self.w.low
                };
                let k = (edge - q.y) / (p.y - q.y);
                out.push(at(q.x + k * (p.x - q.x), edge));
            }
            if inside(&p) {
                out.push(p);
            }
            last = Some(p);
        }
        out
    }
}

/// The plot for a chart in these units: 10 to 35 °C and 0 to 25 g/kg, or more
/// where the data asks for it.
pub fn plot(chart: &PsychrometricChart, units: UnitSystem) -> Plot {
    let dry_bulb = Scale::of(Dim::Temperature, units);
    let ratio = Scale::of(Dim::HumidityRatio, units);
    let pressure_pa = if chart.pressure_pa.is_finite() && chart.pressure_pa > 20_000.0 {
        chart.pressure_pa
    } else {
        101_325.0
    };
    let states = || {
        chart
            .path
            .iter()
            .map(|p| (p.dry_bulb_c, p.humidity_ratio))
            .chain(
                chart
                    .processes
                    .iter()
                    .flat_map(|p| p.states.iter().copied()),
            )
    };
    let fields = chart
        .targets
        .iter()
        .flat_map(|f| [f.dry_bulb_c.0, f.dry_bulb_c.1]);
    let (t_step, w_step) = match units {
        UnitSystem::Metric => (5.0, 5.0),
        UnitSystem::Us => (10.0, 20.0),
    };
    let (mut t_low, mut t_high): (f64, f64) = match units {
        UnitSystem::Metric => (10.0, 35.0),
        UnitSystem::Us => (50.0, 95.0),
    };
    for t in states()
        .map(|s| s.0)
        .chain(fields)
        .filter(|t| (-30.0..=60.0).contains(t))
    {
        // A degree of air round the outermost state.
        t_low = t_low.min((dry_bulb.show(t - 1.0) / t_step).floor() * t_step);
        t_high = t_high.max((dry_bulb.show(t + 1.0) / t_step).ceil() * t_step);
    }
    let mut w_high: f64 = match units {
        UnitSystem::Metric => 25.0,
        UnitSystem::Us => 180.0,
    };
    for w in states().map(|s| s.1).filter(|w| (0.0..=0.1).contains(w)) {
        w_high = w_high.max((ratio.show(w + 0.001) / w_step).ceil() * w_step);
    }
    let t = Axis {
        low: t_low,
        high: t_high,
        step: t_step,
    };
    let w = Axis {
        low: 0.0,
        high: w_high,
        step: w_step,
    };
    Plot {
        transform: PLOT.transform((t.low, t.high), (w.low, w.high)),
        dry_bulb,
        ratio,
        t,
        w,
        pressure_pa,
    }
}

/// Draws the chart.
pub fn psychrometric(chart: &PsychrometricChart, units: UnitSystem) -> Drawing {
    let plot = plot(chart, units);
    let size = Size {
        width_mm: WIDTH_MM,
        height_mm: HEIGHT_MM,
    };
    let mut drawing = Drawing::new(size, chart.title.clone());
    let mut back = View::paper("frame");
    let mut states = View::new("air states", plot.transform);
    let mut front = View::paper("labels");
    let mut keep = Obstacles::default();

    figure_title(&mut back, &chart.title, &subtitle(chart, &plot, units));
    grid(&mut states, &plot);
    rel_humidity_lines(&mut states, &mut front, &plot, &mut keep);
    wet_bulb_lines(&mut states, &mut front, &plot, &mut keep);
    saturation(&mut states, &plot);
    enthalpy_ticks(&mut front, &plot, units);
    frame(&mut states, &plot);
    axes(&mut front, &plot);
    let fields = targets(&mut states, &mut keep, chart, &plot);
    processes(&mut states, &mut front, &mut keep, chart, &plot);
    let kept = path(&mut states, &mut keep, chart, &plot);
    field_labels(&mut front, &mut keep, &fields, &plot);
    path_labels(&mut front, &mut keep, &plot, &kept, units);
    legend(&mut front, chart, units);

    drawing.behind = Some(Box::new(behind::of_path(&chart.path, |p| {
        plot.transform
            .to_paper(plot.point(p.dry_bulb_c, p.humidity_ratio))
    })));
    drawing.alt = alt(chart, &plot, units);
    drawing.views = vec![back, states, front];
    drawing
}

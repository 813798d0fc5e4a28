//! The psychrometric chart: dry bulb along the bottom, humidity ratio upwards,
//! both axes plain, so that a logger's temperatures and limits stay upright.

use quantity::{Dim, UnitSystem, Value};

use super::behind;
use super::kit::{Area, Axis, Scale, clock, figure_title, number, runs};
use super::labels::{Bounds, Obstacles};
use super::{Period, WIDTH_MM};
use crate::drawing::{
    Anchor, Drawing, Label, Letters, Mark, Point, Role, Shape, Size, Stand, Transform, View, at,
    font,
};

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

fn subtitle(chart: &PsychrometricChart, plot: &Plot, units: UnitSystem) -> String {
    let digits = if plot.pressure_pa < 99_950.0 { 3 } else { 4 };
    let p = Value::new(plot.pressure_pa, Dim::Pressure)
        .digits(digits)
        .show(units);
    match chart.altitude_m {
        Some(h) if h.is_finite() => {
            let h = Value::new(h, Dim::Length).digits(if h < 1000.0 { 3 } else { 4 });
            let h = if units == UnitSystem::Us {
                format!("{} ft", number(h.si / 0.3048, 0))
            } else {
                format!("{} m", number(h.si, 0))
            };
            format!("Psychrometric chart for {p} (altitude {h})")
        }
        _ => format!("Psychrometric chart for {p}"),
    }
}

fn grid(states: &mut View, plot: &Plot) {
    let fine_t = plot.t.step / 5.0;
    let n = ((plot.t.high - plot.t.low) / fine_t).round() as usize;
    for i in 1..=n {
        let x = plot.t.low + i as f64 * fine_t;
        let role = if i % 5 == 0 {
            Role::Grid
        } else {
            Role::GridMinor
        };
        let top = plot.saturated(x).min(plot.w.high);
        states.line(role, at(x, plot.w.low), at(x, top));
    }
    let fine_w = plot.w.step / 5.0;
    let n = ((plot.w.high - plot.w.low) / fine_w).round() as usize;
    for i in 1..n {
        let y = plot.w.low + i as f64 * fine_w;
        let role = if i % 5 == 0 {
            Role::Grid
        } else {
            Role::GridMinor
        };
        // Where the line meets saturation, by halving.
        let (mut low, mut high) = (plot.t.low, plot.t.high);
        if plot.saturated(high) < y {
            continue;
        }
        for _ in 0..40 {
            let middle = (low + high) / 2.0;
            if plot.saturated(middle) < y {
                low = middle;
            } else {
                high = middle;
            }
        }
        states.line(role, at(high, y), at(plot.t.high, y));
    }
}

fn saturation(states: &mut View, plot: &Plot) {
    let curve = plot.curve(plot.t.low, plot.t.high, |x| plot.saturated(x));
    states.push(Role::Saturation, Shape::Polyline(curve));
}

fn frame(states: &mut View, plot: &Plot) {
    let top = plot.saturated(plot.t.high).min(plot.w.high);
    let mut outline = vec![
        at(plot.t.low, plot.saturated(plot.t.low).min(plot.w.high)),
        at(plot.t.low, plot.w.low),
        at(plot.t.high, plot.w.low),
        at(plot.t.high, top),
    ];
    let curve = plot.curve(plot.t.low, plot.t.high, |x| plot.saturated(x));
    if let Some(end) = curve.last()
        && end.x < plot.t.high - 1e-6
    {
        outline.push(*end);
    }
    states.push(Role::Frame, Shape::Polyline(outline));
}

fn axes(front: &mut View, plot: &Plot) {
    let on_paper = |x: f64, y: f64| plot.transform.to_paper(at(x, y));
    for t in plot.t.ticks() {
        let p = on_paper(t, plot.w.low);
        front.line(Role::Axis, at(p.x_mm, p.y_mm), at(p.x_mm, p.y_mm + 1.2));
        front.text(
            Role::Text,
            Label::new(plot.t.label(t), at(p.x_mm, p.y_mm + 2.0))
                .anchor(Anchor::Middle, Stand::Top),
        );
    }
    front.text(
        Role::Text,
        Label::new(
            format!("Dry bulb, {}", plot.dry_bulb.unit),
            at((PLOT.left + PLOT.right) / 2.0, PLOT.bottom + 6.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Top),
    );
    for w in plot.w.ticks() {
        let p = on_paper(plot.t.high, w);
        front.line(Role::Axis, at(p.x_mm, p.y_mm), at(p.x_mm + 1.2, p.y_mm));
        front.text(
            Role::Text,
            Label::new(plot.w.label(w), at(p.x_mm + 2.0, p.y_mm))
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
    front.text(
        Role::Text,
        Label::new(
            format!("Humidity ratio, {}", plot.ratio.unit),
            at(WIDTH_MM - 1.2, (PLOT.top + PLOT.bottom) / 2.0),
        )
        .letters(Letters::Note)
        .anchor(Anchor::Middle, Stand::Base)
        .turn(90.0),
    );
}

/// Slope of a curve on paper at `i` \[°, counter-clockwise\].
fn slope_deg(plot: &Plot, points: &[Point], i: usize) -> f64 {
    let a = plot.transform.to_paper(points[i.saturating_sub(1)]);
    let b = plot
        .transform
        .to_paper(points[(i + 1).min(points.len() - 1)]);
    (-(b.y_mm - a.y_mm)).atan2(b.x_mm - a.x_mm).to_degrees()
}

/// Places a label on a curve, turned along it.
fn ride(
    front: &mut View,
    keep: &mut Obstacles,
    plot: &Plot,
    points: &[Point],
    i: usize,
    text: String,
) {
    // Down the curve until there is room.
    for i in (2..=i.min(points.len().saturating_sub(1))).rev().step_by(2) {
        let on = plot.transform.to_paper(points[i]);
        let label = Label::new(text.as_str(), at(on.x_mm, on.y_mm))
            .anchor(Anchor::Middle, Stand::Middle)
            .turn(slope_deg(plot, points, i))
            .halo();
        let bounds = Bounds::of(&label.corners(&Transform::PAPER, Role::TextQuiet)).grown(0.6);
        let inside = bounds.right < PLOT.right && bounds.top > PLOT.top;
        if inside && !keep.boxes.iter().any(|b| b.overlaps(&bounds)) {
            keep.boxes.push(bounds);
            front.text(Role::TextQuiet, label);
            return;
        }
    }
}

fn rel_humidity_lines(states: &mut View, front: &mut View, plot: &Plot, keep: &mut Obstacles) {
    let column = plot.t.low + 0.93 * (plot.t.high - plot.t.low);
    for tenth in 1..=9 {
        let rh = f64::from(tenth) / 10.0;
        let curve = plot.curve(plot.t.low, plot.t.high, |x| {
            let p_w_pa = rh * air::saturation_pressure_pa(plot.dry_bulb.si(x));
            plot.ratio.show(air::humidity_ratio_from_vapour_pressure(
                p_w_pa,
                plot.pressure_pa,
            ))
        });
        if curve.len() < 8 {
            continue;
        }
        // At one column, or 4 mm below the top where the line leaves earlier.
        let top = plot.w.high - 5.0 / plot.transform.y_mm_per_unit;
        let i = curve
            .iter()
            .rposition(|p| p.x <= column && p.y <= top)
            .unwrap_or(curve.len() / 2);
        let text = if tenth == 5 {
            "50 % RH".to_owned()
        } else {
            format!("{tenth}0 %")
        };
        ride(front, keep, plot, &curve, i, text);
        states.push(Role::RelHumidity, Shape::Polyline(curve));
    }
}

fn wet_bulb_lines(states: &mut View, front: &mut View, plot: &Plot, keep: &mut Obstacles) {
    let first = (plot.t.low / plot.t.step).ceil() as i32 + 1;
    let last = (plot.t.high / plot.t.step).floor() as i32;
    let mut named = false;
    for k in first..=last {
        let bulb = f64::from(k) * plot.t.step;
        let bulb_c = plot.dry_bulb.si(bulb);
        let curve = plot.curve(bulb, plot.t.high, |x| {
            plot.ratio.show(air::humidity_ratio_from_wet_bulb(
                plot.dry_bulb.si(x),
                bulb_c,
                plot.pressure_pa,
            ))
        });
        if curve.len() < 6 {
            continue;
        }
        // Near the lower end, where states of a crop room are rare.
        let low = plot.w.low + 5.0 / plot.transform.y_mm_per_unit;
        let right = plot.t.high - 12.0 / plot.transform.x_mm_per_unit;
        let i = curve
            .iter()
            .rposition(|p| p.y >= low && p.x <= right)
            .unwrap_or(curve.len() / 2)
            .min(curve.len() - 1);
        let text = if named {
            format!("{} {}", plot.t.label(bulb), plot.dry_bulb.unit)
        } else {
            format!("{} {} wet bulb", plot.t.label(bulb), plot.dry_bulb.unit)
        };
        named = true;
        ride(front, keep, plot, &curve, i, text);
        states.push(Role::WetBulb, Shape::Polyline(curve));
    }
}

/// Ticks outside saturation along lines of equal enthalpy.
fn enthalpy_ticks(front: &mut View, plot: &Plot, units: UnitSystem) {
    let scale = Scale::of(Dim::Enthalpy, units);
    let (step, labelled) = match units {
        UnitSystem::Metric => (5.0, 2),
        UnitSystem::Us => (2.0, 5),
    };
    let h_at = |x: f64| {
        let t_c = plot.dry_bulb.si(x);
        scale.show(air::enthalpy_j_per_kg(
            t_c,
            air::saturation_humidity_ratio(t_c, plot.pressure_pa),
        ))
    };
    let first = (h_at(plot.t.low) / step).ceil() as i32;
    let last = (h_at(plot.t.high) / step).floor().min(1000.0) as i32;
    let mut named = false;
    for k in first..=last {
        let h = f64::from(k) * step;
        let (mut low, mut high) = (plot.t.low, plot.t.high);
        for _ in 0..50 {
            let middle = (low + high) / 2.0;
            if h_at(middle) < h {
                low = middle
            } else {
                high = middle
            }
        }
        let (x, y) = (high, plot.saturated(high));
        if y > plot.w.high {
            break;
        }
        // Along the line of equal enthalpy, up and to the left.
        let on = plot.transform.to_paper(at(x, y));
        let dx = 1.0;
        let y2 = plot.ratio.show(air::humidity_ratio_from_enthalpy(
            plot.dry_bulb.si(x - dx),
            scale.si(h),
        ));
        let end = plot.transform.to_paper(at(x - dx, y2));
        let (vx, vy) = (end.x_mm - on.x_mm, end.y_mm - on.y_mm);
        let len = vx.hypot(vy);
        if len.is_nan() || len <= 0.0 {
            continue;
        }
        let (ux, uy) = (vx / len, vy / len);
        let tick = if k % labelled == 0 { 2.4 } else { 1.4 };
        front.line(
            Role::Axis,
            at(on.x_mm, on.y_mm),
            at(on.x_mm + ux * tick, on.y_mm + uy * tick),
        );
        if k % labelled == 0 {
            let text = if named {
                number(h, 0)
            } else {
                format!("Enthalpy, {}: {}", scale.unit, number(h, 0))
            };
            let x = on.x_mm + ux * 3.2;
            let w = font::width_mm(&text, Letters::Small, Role::TextQuiet);
            let text = if x - w < 0.5 {
                number(h, 0)
            } else {
                named = true;
                text
            };
            front.text(
                Role::TextQuiet,
                Label::new(text, at(x, on.y_mm + uy * 3.2)).anchor(Anchor::End, Stand::Middle),
            );
        }
    }
}

struct Field {
    name: String,
    outline: Vec<Point>,
}

fn field_humidity(h: &Humidity, t_c: f64, pressure_pa: f64) -> (f64, f64) {
    let ratio =
        |p_w_pa: f64| air::humidity_ratio_from_vapour_pressure(p_w_pa.max(0.0), pressure_pa);
    match *h {
        Humidity::Vpd {
            low_pa,
            high_pa,
            leaf_rise_k,
        } => {
            let e = air::saturation_pressure_pa(t_c + leaf_rise_k);
            (ratio(e - high_pa), ratio(e - low_pa))
        }
        Humidity::Rel { low, high } => {
            let e = air::saturation_pressure_pa(t_c);
            (ratio(e * low), ratio(e * high))
        }
    }
}

fn targets(
    states: &mut View,
    keep: &mut Obstacles,
    chart: &PsychrometricChart,
    plot: &Plot,
) -> Vec<Field> {
    let mut out = Vec::new();
    for f in &chart.targets {
        let (low, high) = (
            plot.dry_bulb.show(f.dry_bulb_c.0),
            plot.dry_bulb.show(f.dry_bulb_c.1),
        );
        let side = |pick: fn((f64, f64)) -> f64| {
            plot.curve(low, high, |x| {
                let both = field_humidity(&f.humidity, plot.dry_bulb.si(x), plot.pressure_pa);
                plot.ratio.show(pick(both))
            })
        };
        let (dry, wet) = (side(|b| b.0), side(|b| b.1));
        if dry.len() < 2 || wet.len() < 2 {
            continue;
        }
        let outline: Vec<Point> = wet.iter().chain(dry.iter().rev()).copied().collect();
        let edge = match f.period {
            Period::LightsOn => Role::Limit,
            Period::LightsOff => Role::LimitNight,
        };
        states.push(Role::Target, Shape::Polygon(outline.clone()));
        let mut closed = outline.clone();
        closed.extend(outline.first().copied());
        for pair in closed.windows(2) {
            keep.lines.push((
                plot.transform.to_paper(pair[0]),
                plot.transform.to_paper(pair[1]),
                3.0,
            ));
        }
        states.push(edge, Shape::Polyline(closed));
        out.push(Field {
            name: match f.period {
                Period::LightsOn => at_period(chart, "Target", "lights on"),
                Period::LightsOff => at_period(chart, "Target", "lights off"),
            },
            outline,
        });
    }
    out
}

fn processes(
    states: &mut View,
    front: &mut View,
    keep: &mut Obstacles,
    chart: &PsychrometricChart,
    plot: &Plot,
) {
    for process in &chart.processes {
        let points = process.states.iter().map(|s| plot.point(s.0, s.1));
        for run in runs(points) {
            for (k, pair) in run.windows(2).enumerate() {
                let (a, b) = (
                    plot.transform.to_paper(pair[0]),
                    plot.transform.to_paper(pair[1]),
                );
                keep.lines.push((a, b, 8.0));
                states.line(Role::Process, pair[0], pair[1]);
                states.push(
                    Role::Process,
                    Shape::Arrowhead {
                        tip: pair[1],
                        angle_rad: (a.y_mm - b.y_mm).atan2(b.x_mm - a.x_mm),
                    },
                );
                if k == 0 {
                    states.mark(Role::Process, Mark::Square, pair[0]);
                }
            }
            let Some(end) = run.last() else { continue };
            let p = plot.transform.to_paper(*end);
            let limits = free_space(plot);
            if let Some(place) = keep.place(&process.name, Letters::Small, p, limits) {
                leader_and_text(front, p, &place, &process.name, Letters::Small);
            }
        }
    }
}

/// Where labels may go: inside the plot, not across saturation.
fn free_space(plot: &Plot) -> impl Fn(&Bounds) -> bool + '_ {
    |b: &Bounds| {
        let inside = b.left > PLOT.left
            && b.right < PLOT.right - 1.0
            && b.top > PLOT.top + 1.0
            && b.bottom < PLOT.bottom - 1.0;
        let corner = plot.transform.to_world(crate::drawing::PaperPoint {
            x_mm: b.left,
            y_mm: b.top,
        });
        inside && corner.y < plot.saturated(corner.x) * 0.99
    }
}

fn leader_and_text(
    front: &mut View,
    from: crate::drawing::PaperPoint,
    place: &super::labels::Placed,
    text: &str,
    letters: Letters,
) {
    // The leader starts clear of the mark.
    let (dx, dy) = (
        place.leader_end.x_mm - from.x_mm,
        place.leader_end.y_mm - from.y_mm,
    );
    let len = dx.hypot(dy).max(1e-9);
    front.line(
        Role::Leader,
        at(from.x_mm + dx / len * 1.2, from.y_mm + dy / len * 1.2),
        at(place.leader_end.x_mm, place.leader_end.y_mm),
    );
    front.text(
        Role::Text,
        Label::new(
            text,
            at(
                place.bounds.left,
                (place.bounds.top + place.bounds.bottom) / 2.0,
            ),
        )
        .letters(letters)
        .anchor(Anchor::Start, Stand::Middle)
        .halo(),
    );
}

/// A point that is drawn, and the hours that it stands for.
struct Kept {
    at: Point,
    hours: Vec<f64>,
    period: Period,
}

/// Draws the day; gives the points that were kept.
fn path(
    states: &mut View,
    keep: &mut Obstacles,
    chart: &PsychrometricChart,
    plot: &Plot,
) -> Vec<Kept> {
    const NEAREST_MM: f64 = 1.5;
    let mut kept: Vec<Kept> = Vec::new();
    for p in &chart.path {
        let point = plot.point(p.dry_bulb_c, p.humidity_ratio);
        let on = plot.transform.to_paper(point);
        if !on.is_drawable() || point.y > plot.w.high || point.y < plot.w.low {
            continue;
        }
        let near = kept.last_mut().filter(|k| {
            let q = plot.transform.to_paper(k.at);
            k.period == p.period && (q.x_mm - on.x_mm).hypot(q.y_mm - on.y_mm) < NEAREST_MM
        });
        match near {
            Some(k) => k.hours.push(p.clock_h),
            None => kept.push(Kept {
                at: point,
                hours: vec![p.clock_h],
                period: p.period,
            }),
        }
    }
    let n = kept.len();
    let role = |p: Period| match p {
        Period::LightsOn => Role::LightsOn,
        Period::LightsOff => Role::LightsOff,
    };
    if n > 1 {
        let mut arrow_in = [false, false];
        for i in 0..n {
            let (a, b) = (&kept[i], &kept[(i + 1) % n]);
            if n == 2 && i == 1 {
                break;
            }
            states.line(role(b.period), a.at, b.at);
            let (pa, pb) = (plot.transform.to_paper(a.at), plot.transform.to_paper(b.at));
            keep.lines.push((pa, pb, 10.0));
            // One arrow at each change and one in each period, if there is room.
            let length = (pb.x_mm - pa.x_mm).hypot(pb.y_mm - pa.y_mm);
            let phase = usize::from(b.period == Period::LightsOff);
            let change = a.period != b.period;
            if length > 6.0 && (change || !arrow_in[phase]) {
                arrow_in[phase] |= !change;
                let angle_rad = (pa.y_mm - pb.y_mm).atan2(pb.x_mm - pa.x_mm);
                let k = 0.5 + 1.5 / length;
                states.push(
                    role(b.period),
                    Shape::Arrowhead {
                        tip: at(
                            a.at.x + k * (b.at.x - a.at.x),
                            a.at.y + k * (b.at.y - a.at.y),
                        ),
                        angle_rad,
                    },
                );
            }
        }
    }
    for k in &kept {
        let p = plot.transform.to_paper(k.at);
        keep.boxes.push(Bounds::of(&[p]).grown(0.9));
        states.mark(
            role(k.period),
            match k.period {
                Period::LightsOn => Mark::Dot,
                Period::LightsOff => Mark::Ring,
            },
            k.at,
        );
    }
    kept
}

fn rel_humidity(plot: &Plot, p: Point) -> f64 {
    let (t_c, w) = plot.state(p);
    air::vapour_pressure_from_humidity_ratio_pa(w, plot.pressure_pa)
        / air::saturation_pressure_pa(t_c)
}

fn path_labels(
    front: &mut View,
    keep: &mut Obstacles,
    plot: &Plot,
    kept: &[Kept],
    units: UnitSystem,
) {
    let n = kept.len();
    if n < 2 {
        return;
    }
    let mut says: Vec<(usize, Vec<String>)> = Vec::new();
    let mut say = |i: usize, words: String| match says.iter_mut().find(|s| s.0 == i) {
        Some(s) => s.1.push(words),
        None => says.push((i, vec![words])),
    };
    for i in 0..n {
        let before = &kept[(i + n - 1) % n];
        if before.period != kept[i].period {
            // The change happens at the last state of the old period.
            let hour = kept[i].hours.first().copied().unwrap_or(f64::NAN);
            match kept[i].period {
                Period::LightsOn => say(i, format!("lights on {}", clock(hour))),
                Period::LightsOff => say(i, format!("lights off {}", clock(hour))),
            }
        }
    }
    let rank = |i: &usize| rel_humidity(plot, kept[*i].at);
    let wettest = (0..n).max_by(|a, b| rank(a).total_cmp(&rank(b)));
    let driest = (0..n).min_by(|a, b| rank(a).total_cmp(&rank(b)));
    for (word, i) in [("wettest", wettest), ("driest", driest)] {
        if let Some(i) = i {
            let rh = Value::new(rel_humidity(plot, kept[i].at), Dim::RelHumidity)
                .digits(2)
                .show(units);
            say(i, format!("{word} {}, {rh}", hours_of(&kept[i].hours)));
        }
    }
    // Where the air stays for hours, which.
    for period in [Period::LightsOn, Period::LightsOff] {
        if let Some((i, hours)) = longest_stay(plot, kept, period) {
            say(i, hours_of(&hours));
        }
    }
    for (i, words) in says {
        let mut words = words;
        // "wettest 21:00–06:00" already says the hours.
        if let Some((last, before)) = words.split_last()
            && before.iter().any(|w| w.contains(last.as_str()))
        {
            words.pop();
        }
        let mut text = words.join("; ");
        if let Some(first) = text.get(..1) {
            text = first.to_uppercase() + &text[1..];
        }
        let p = plot.transform.to_paper(kept[i].at);
        // Its own dot is no obstacle to its leader.
        let own = keep
            .boxes
            .iter()
            .position(|b| {
                (b.left + 0.9 - p.x_mm).abs() < 1e-6 && (b.top + 0.9 - p.y_mm).abs() < 1e-6
            })
            .map(|k| keep.boxes.remove(k));
        if let Some(place) = keep.place(&text, Letters::Small, p, free_space(plot)) {
            leader_and_text(front, p, &place, &text, Letters::Small);
        }
        keep.boxes.extend(own);
    }
}

/// The longest time of at least four hours in a row within 4 mm of where it
/// began, and the point to name it at.
fn longest_stay(plot: &Plot, kept: &[Kept], period: Period) -> Option<(usize, Vec<f64>)> {
    const NEAR_MM: f64 = 4.0;
    let n = kept.len();
    let mut best: Option<(usize, Vec<f64>)> = None;
    for start in 0..n {
        let from = plot.transform.to_paper(kept[start].at);
        let mut hours: Vec<f64> = Vec::new();
        let mut last = start;
        for k in 0..n {
            let i = (start + k) % n;
            let p = plot.transform.to_paper(kept[i].at);
            let near = (p.x_mm - from.x_mm).hypot(p.y_mm - from.y_mm) < NEAR_MM;
            if kept[i].period != period || !near {
                break;
            }
            hours.extend(&kept[i].hours);
            last = i;
        }
        let longer = best.as_ref().is_none_or(|b| hours.len() > b.1.len());
        if hours.len() >= 4 && longer {
            best = Some((last, hours));
        }
    }
    best
}

fn hours_of(hours: &[f64]) -> String {
    match (hours.first(), hours.last()) {
        (Some(a), Some(b)) if hours.len() > 1 => format!("{}–{}", clock(*a), clock(*b)),
        (Some(a), _) => clock(*a),
        _ => String::new(),
    }
}

fn field_labels(front: &mut View, keep: &mut Obstacles, fields: &[Field], plot: &Plot) {
    for f in fields {
        // From the driest corner, away from the path as a rule.
        let Some(corner) = f.outline.last() else {
            continue;
        };
        let p = plot.transform.to_paper(*corner);
        if let Some(place) = keep.place(&f.name, Letters::Small, p, free_space(plot)) {
            leader_and_text(front, p, &place, &f.name, Letters::Small);
        }
    }
}

/// What it is and when; in a room that knows one period only, what it is.
fn at_period(chart: &PsychrometricChart, what: &str, when: &str) -> String {
    let mut periods = chart
        .path
        .iter()
        .map(|p| p.period)
        .chain(chart.targets.iter().map(|f| f.period));
    let first = periods.next();
    if periods.any(|p| Some(p) != first) {
        format!("{what}, {when}")
    } else {
        what.to_owned()
    }
}

/// The legend in the empty corner outside saturation.
fn legend(front: &mut View, chart: &PsychrometricChart, units: UnitSystem) {
    let mut y = PLOT.top + 4.0;
    let x = PLOT.left;
    let mut line = |front: &mut View, role: Option<Role>, mark: Option<Mark>, words: String| {
        if let Some(role) = role {
            if role == Role::Target {
                front.rect(role, at(x, y - 1.2), at(x + 10.0, y + 1.2));
            } else {
                front.line(role, at(x, y), at(x + 10.0, y));
            }
            if let Some(mark) = mark {
                front.mark(role, mark, at(x + 5.0, y));
            }
        }
        front.text(
            Role::Text,
            Label::new(words, at(x + 12.0, y)).anchor(Anchor::Start, Stand::Middle),
        );
        y += 4.2;
    };
    let has = |p: Period| chart.path.iter().any(|s| s.period == p);
    if has(Period::LightsOn) {
        line(
            front,
            Some(Role::LightsOn),
            Some(Mark::Dot),
            at_period(chart, "Room", "lights on"),
        );
    }
    if has(Period::LightsOff) {
        line(
            front,
            Some(Role::LightsOff),
            Some(Mark::Ring),
            at_period(chart, "Room", "lights off"),
        );
    }
    for p in [Period::LightsOn, Period::LightsOff] {
        for f in chart.targets.iter().filter(|f| f.period == p) {
            let (role, when) = match p {
                Period::LightsOn => (Role::Limit, "lights on"),
                Period::LightsOff => (Role::LimitNight, "lights off"),
            };
            line(
                front,
                Some(role),
                None,
                format!(
                    "{}: {}",
                    at_period(chart, "Target", when),
                    humidity_words(&f.humidity, units)
                ),
            );
        }
    }
    if !chart.processes.is_empty() {
        line(
            front,
            Some(Role::Process),
            Some(Mark::Square),
            "From inlet to outlet".into(),
        );
    }
}

fn humidity_words(h: &Humidity, units: UnitSystem) -> String {
    let range = |low: f64, high: f64, dim: Dim| {
        let unit = dim.unit(units);
        let n = |si: f64| Value::new(si, dim).digits(2).number(units);
        format!("{} to {} {unit}", n(low), n(high))
    };
    match *h {
        Humidity::Vpd {
            low_pa,
            high_pa,
            leaf_rise_k,
        } => {
            let vpd = range(low_pa, high_pa, Dim::VapourPressure);
            if leaf_rise_k == 0.0 {
                format!("VPD of air {vpd}")
            } else {
                let d = Value::new(leaf_rise_k.abs(), Dim::TemperatureDifference)
                    .digits(2)
                    .show(units);
                let side = if leaf_rise_k < 0.0 { "below" } else { "above" };
                format!("VPD of leaf, {d} {side} air, {vpd}")
            }
        }
        Humidity::Rel { low, high } => range(low, high, Dim::RelHumidity),
    }
}

fn alt(chart: &PsychrometricChart, plot: &Plot, units: UnitSystem) -> String {
    let finite = || {
        chart
            .path
            .iter()
            .filter(|p| p.dry_bulb_c.is_finite() && p.humidity_ratio.is_finite())
    };
    let bounds = |get: fn(&PathPoint) -> f64| {
        finite()
            .map(get)
            .fold((f64::INFINITY, f64::NEG_INFINITY), |b, x| {
                (b.0.min(x), b.1.max(x))
            })
    };
    let mut out = format!("{}.", subtitle(chart, plot, units));
    if finite().next().is_some() {
        let t = bounds(|p| p.dry_bulb_c);
        let w = bounds(|p| p.humidity_ratio);
        let show = |si: f64, dim: Dim| Value::new(si, dim).show(units);
        out.push_str(&format!(
            " The room's day runs from {} to {} dry bulb and from {} to {} humidity ratio.",
            show(t.0, Dim::Temperature),
            show(t.1, Dim::Temperature),
            show(w.0, Dim::HumidityRatio),
            show(w.1, Dim::HumidityRatio),
        ));
    }
    out
}

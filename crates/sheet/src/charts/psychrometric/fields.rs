//! Target fields and processes.

use super::path::{free_space, leader_and_text};
use super::words::at_period;
use super::{Humidity, Plot, PsychrometricChart};
use crate::charts::Period;
use crate::charts::kit::runs;
use crate::charts::labels::Obstacles;
use crate::drawing::{Letters, Mark, Point, Role, Shape, View};

pub(super) struct Field {
    name: String,
    outline: Vec<Point>,
}

pub(super) fn field_humidity(h: &Humidity, t_c: f64, pressure_pa: f64) -> (f64, f64) {
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

pub(super) fn targets(
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

pub(super) fn processes(
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

pub(super) fn field_labels(front: &mut View, keep: &mut Obstacles, fields: &[Field], plot: &Plot) {
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

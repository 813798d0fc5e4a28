//! The path of the air over the day, with its hours.

use quantity::{Dim, UnitSystem, Value};

use super::{PLOT, Plot, PsychrometricChart};
use crate::charts::Period;
use crate::charts::kit::clock;
use crate::charts::labels::{Bounds, Obstacles};
use crate::drawing::{Anchor, Label, Letters, Mark, Point, Role, Shape, Stand, View, at};

/// Where labels may go: inside the plot, not across saturation.
pub(super) fn free_space(plot: &Plot) -> impl Fn(&Bounds) -> bool + '_ {
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

pub(super) fn leader_and_text(
    front: &mut View,
    from: crate::drawing::PaperPoint,
    place: &crate::charts::labels::Placed,
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
pub(super) struct Kept {
    at: Point,
    hours: Vec<f64>,
    period: Period,
}

/// Draws the day; gives the points that were kept.
pub(super) fn path(
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

pub(super) fn rel_humidity(plot: &Plot, p: Point) -> f64 {
    let (t_c, w) = plot.state(p);
    air::vapour_pressure_from_humidity_ratio_pa(w, plot.pressure_pa)
        / air::saturation_pressure_pa(t_c)
}

pub(super) fn path_labels(
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
pub(super) fn longest_stay(
    plot: &Plot,
    kept: &[Kept],
    period: Period,
) -> Option<(usize, Vec<f64>)> {
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

pub(super) fn hours_of(hours: &[f64]) -> String {
    match (hours.first(), hours.last()) {
        (Some(a), Some(b)) if hours.len() > 1 => format!("{}–{}", clock(*a), clock(*b)),
        (Some(a), _) => clock(*a),
        _ => String::new(),
    }
}

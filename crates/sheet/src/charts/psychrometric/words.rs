//! Subtitle, legend and the chart in words.

use quantity::{Dim, UnitSystem, Value};

use super::{Humidity, PLOT, PathPoint, Plot, PsychrometricChart};
use crate::charts::Period;
use crate::charts::kit::number;
use crate::drawing::{Anchor, Label, Mark, Role, Stand, View, at};

pub(super) fn subtitle(chart: &PsychrometricChart, plot: &Plot, units: UnitSystem) -> String {
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

/// What it is and when; in a room that knows one period only, what it is.
pub(super) fn at_period(chart: &PsychrometricChart, what: &str, when: &str) -> String {
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
pub(super) fn legend(front: &mut View, chart: &PsychrometricChart, units: UnitSystem) {
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

pub(super) fn humidity_words(h: &Humidity, units: UnitSystem) -> String {
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

pub(super) fn alt(chart: &PsychrometricChart, plot: &Plot, units: UnitSystem) -> String {
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

//! Two designs side by side: the same figures of both with their difference,
//! and the findings that only one of them has.

use job::Design;
use quantity::{Dim, Finding, Text, UnitSystem, Value};
use room::{Period, Room};
use roomsim::Period as Simulated;

use super::first_page::{moment, on_and_off};
use super::loads::period_words;
use crate::report::{Align, Cell, Column, Table};

/// One of the two.
#[derive(Clone, Copy)]
pub struct Side<'a> {
    /// What it is called ("saved", "tried", the name of a room).
    pub name: &'a str,
    /// The room.
    pub room: &'a Room,
    /// Its design.
    pub design: &'a Design,
}

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figures {
    /// Water and heat.
    Load,
    /// The units.
    Units,
    /// The day with them.
    Day,
}

impl Figures {
    /// All, in the order of the job.
    pub const ALL: [Self; 3] = [Self::Load, Self::Units, Self::Day];

    const fn words(self) -> &'static str {
        match self {
            Self::Load => "Water and heat",
            Self::Units => "Units",
            Self::Day => "The typical day",
        }
    }
}

/// A figure of one side.
struct Figure {
    name: String,
    cell: Cell,
}

/// The figures of both, row by row.
pub fn table(a: &Side<'_>, b: &Side<'_>, which: Figures) -> Table {
    let (of_a, of_b) = (figures(a, which), figures(b, which));
    // A period that only one of them has stands too.
    let only_b = of_b.iter().filter(|f| find(&of_a, &f.name).is_none());
    let names: Vec<&str> = of_a.iter().chain(only_b).map(|f| f.name.as_str()).collect();
    let rows = names
        .into_iter()
        .map(|name| {
            let cell = |all: &[Figure]| find(all, name).cloned().unwrap_or(Cell::NotApplicable);
            let (a, b) = (cell(&of_a), cell(&of_b));
            let difference = difference(&a, &b);
            vec![Cell::from(name.to_owned()), a, b, difference]
        })
        .collect();
    Table {
        caption: which.words().into(),
        columns: vec![
            Column::words("Figure"),
            right(a.name),
            right(b.name),
            right("Difference"),
        ],
        rows,
        total: None,
    }
}

/// Findings that the first has and the second has not.
pub fn findings_of_one(one: &Design, other: &Design) -> Vec<Finding> {
    let others = other.findings();
    let alike = |f: &Finding| {
        others
            .iter()
            .any(|o| o.check == f.check && o.place == f.place && o.severity == f.severity)
    };
    let all = one.findings().into_iter();
    all.filter(|f| !alike(f)).cloned().collect()
}

fn right(head: &str) -> Column {
    Column {
        align: Align::Right,
        ..Column::words(head.to_owned())
    }
}

fn find<'a>(all: &'a [Figure], name: &str) -> Option<&'a Cell> {
    all.iter().find(|f| f.name == name).map(|f| &f.cell)
}

fn figures(side: &Side<'_>, which: Figures) -> Vec<Figure> {
    match which {
        Figures::Load => load(side),
        Figures::Units => units(side),
        Figures::Day => day(side),
    }
}

fn figure(name: impl Into<String>, value: Value) -> Figure {
    Figure {
        name: name.into(),
        cell: Cell::from(value),
    }
}

fn load(side: &Side<'_>) -> Vec<Figure> {
    let load = &side.design.load;
    let per_day = |kg: f64| Value::new(kg / 86_400.0, Dim::WaterRate);
    let mut all = vec![
        figure("Water a day, likely", per_day(load.water_kg_per_day.likely)),
        figure(
            "Water a day, 9 of 10 days below",
            per_day(load.water_kg_per_day.high),
        ),
    ];
    for p in &load.periods {
        let when = period_words(side.room, p.period);
        all.push(figure(
            format!("Water, {when}"),
            Value::new(p.mean.water_kg_per_s.likely, Dim::WaterRate),
        ));
        all.push(figure(
            format!("Heat, {when}"),
            Value::new(p.mean.sensible_w.likely, Dim::Power),
        ));
    }
    all
}

fn units(side: &Side<'_>) -> Vec<Figure> {
    let selection = &side.design.selection;
    let set = selection.design_set();
    let mut all = vec![
        Figure {
            name: "Set".into(),
            cell: Cell::from(set.words()),
        },
        figure("Units", Value::new(f64::from(set.count()), Dim::Count)),
    ];
    for period in on_and_off(side.design) {
        let kg_per_s: f64 = set
            .groups()
            .iter()
            .filter_map(|(code, count)| {
                let one = selection.capacities.iter().find(|c| c.code == *code)?;
                Some(moment(one, period).removal_kg_per_s * f64::from(*count))
            })
            .sum();
        all.push(figure(
            format!("Capacity at room air, {}", period_words(side.room, period)),
            Value::new(kg_per_s, Dim::WaterRate),
        ));
    }
    if let Some(candidate) = selection.design_candidate() {
        let judged = candidate.counted(selection.coil_credit);
        all.push(figure(
            format!("Drawn days held, of {}", judged.days),
            Value::new(judged.held_days as f64, Dim::Count),
        ));
        all.push(figure(
            "Electricity of the units a day",
            Value::new(candidate.judged.units_j_per_day.likely, Dim::Energy).digits(2),
        ));
        if let Some(cost) = candidate.first_cost {
            all.push(figure("First cost", Value::new(cost, Dim::Money)));
        }
    }
    all
}

fn day(side: &Side<'_>) -> Vec<Figure> {
    const PERIODS: [(Simulated, Period); 3] = [
        (Simulated::LightsOn, Period::LightsOn),
        (Simulated::Transition, Period::Transition),
        (Simulated::LightsOff, Period::LightsOff),
    ];
    let day = &side.design.day;
    let days = f64::from(day.summary.days);
    let mut all = vec![figure(
        format!("Drawn days held in place, of {}", day.judged.days),
        Value::new(day.judged.held_days as f64, Dim::Count),
    )];
    for (simulated, period) in PERIODS {
        let p = day.summary.period(simulated);
        if p.time_s <= 0.0 {
            continue;
        }
        let when = period_words(side.room, period);
        let rh = |x: f64| Value::new(x, Dim::RelHumidity).digits(2);
        all.extend([
            figure(
                format!("Mean dry bulb, {when}"),
                Value::new(p.mean_dry_bulb_c, Dim::Temperature),
            ),
            figure(
                format!("Highest RH, {when}"),
                rh(p.highest_rel_humidity.value),
            ),
            figure(
                format!("Least VPD, {when}"),
                Value::new(p.lowest_vpd_pa.value, Dim::VapourPressure).digits(2),
            ),
            figure(
                format!("Too wet, {when}"),
                Value::new(p.too_humid_s / days, Dim::Duration).digits(2),
            ),
        ]);
    }
    let energy = |j: f64| Value::new(j / days, Dim::Energy).digits(2);
    all.push(figure(
        "Electricity of the units",
        energy(day.summary.energy.dehumidifiers_j),
    ));
    all.push(figure(
        "Electricity of the cooling",
        energy(day.summary.energy.cooling_j),
    ));
    all
}

/// Second less first, to the last place that both are known to, but to two
/// digits as everything shown; a sign always stands before it.
fn difference(a: &Cell, b: &Cell) -> Cell {
    let (Cell::Value(a), Cell::Value(b)) = (a, b) else {
        return match a == b {
            true => Cell::from("same"),
            false => Cell::Blank,
        };
    };
    if a.dim != b.dim || !a.si.is_finite() || !b.si.is_finite() {
        return Cell::Blank;
    }
    let alike = |units| a.show(units) == b.show(units);
    if alike(UnitSystem::Metric) && alike(UnitSystem::Us) {
        return Cell::from("same");
    }
    let by = b.si - a.si;
    let dim = match a.dim {
        Dim::Temperature => Dim::TemperatureDifference,
        Dim::RelHumidity => Dim::RelHumidityDifference,
        other => other,
    };
    let decade = |x: f64| x.abs().log10().floor();
    let last = match a.dim {
        // Two digits of a temperature are whole degrees, three are tenths.
        Dim::Temperature => 2.0 - f64::from(a.digits),
        Dim::Count => 0.0,
        _ => decade(a.si.abs().max(b.si.abs())) - f64::from(a.digits) + 1.0,
    };
    let digits = (decade(by) - last + 1.0).clamp(2.0, f64::from(a.digits).max(2.0)) as u8;
    let value = Value::new(by, dim).digits(digits);
    let sign = if 0.0 < by { "+" } else { "" };
    Cell::from(Text::from(sign).value(value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shown;

    fn told(a: Value, b: Value) -> String {
        match difference(&Cell::from(a), &Cell::from(b)) {
            Cell::Text(text) => shown::words(&text, UnitSystem::Metric).replace('\u{a0}', " "),
            other => format!("{other:?}"),
        }
    }

    #[test]
    fn a_difference_claims_no_digit_that_the_figures_lack() {
        let t = |c: f64| Value::new(c, Dim::Temperature);
        assert_eq!(told(t(24.83), t(25.144)), "+0.31 K");
        assert_eq!(told(t(24.83), t(24.81)), "same");
        let rh = |x: f64| Value::new(x, Dim::RelHumidity).digits(2);
        assert_eq!(told(rh(0.612), rh(0.55)), "−6.2 %RH");
        let count = |n: f64| Value::new(n, Dim::Count);
        assert_eq!(told(count(3.0), count(14.0)), "+11");
        let power = |w: f64| Value::new(w, Dim::Power);
        assert_eq!(told(power(12_300.0), power(12_900.0)), "+600 W");
    }

    #[test]
    fn what_one_side_lacks_has_no_difference() {
        let value = Cell::from(Value::new(1.0, Dim::Count));
        assert_eq!(difference(&value, &Cell::NotApplicable), Cell::Blank);
        let words = Cell::from("2 × a");
        assert_eq!(difference(&words, &words.clone()), Cell::from("same"));
    }
}

//! Numbers and words as a machine file holds them, so that they read back as
//! the very same.

use quantity::{Dim, read};

/// A quantity as a string in quotes that reads back as exactly `si`: in the
/// first of these units that does so with the fewest digits.
///
/// The last unit must be the SI unit of `dim`, in which any number can be
/// written.
pub(super) fn quantity(si: f64, dim: Dim, units: &[&str]) -> String {
    format!("\"{}\"", exact(si, dim, units))
}

fn exact(si: f64, dim: Dim, units: &[&str]) -> String {
    let mut best: Option<String> = None;
    for unit in units {
        let Some(number) = number_in(si, dim, unit) else {
            continue;
        };
        for decimals in 0..=12 {
            let text = with_unit(&format!("{number:.decimals$}"), unit);
            if read(&text, dim).is_ok_and(|v| v.si == si) {
                if best.as_ref().is_none_or(|b| text.len() < b.len()) {
                    best = Some(text);
                }
                break;
            }
        }
    }
    best.unwrap_or_else(|| {
        let si_unit = units.last().copied().unwrap_or("");
        nearest(si, dim, si_unit)
    })
}

/// The shortest decimal of a number that no unit writes shortly; one step up
/// or down where a factor of the unit rounds.
fn nearest(si: f64, dim: Dim, unit: &str) -> String {
    let number = number_in(si, dim, unit).unwrap_or(si);
    [number, number.next_up(), number.next_down(), si]
        .iter()
        .map(|x| with_unit(&format!("{x}"), unit))
        .find(|t| read(t, dim).is_ok_and(|v| v.si == si))
        .unwrap_or_else(|| with_unit(&format!("{number}"), unit))
}

fn with_unit(number: &str, unit: &str) -> String {
    if unit.is_empty() {
        number.to_owned()
    } else {
        format!("{number} {unit}")
    }
}

/// `si` in a unit, by asking the reader what 0 and 1 of it are.
fn number_in(si: f64, dim: Dim, unit: &str) -> Option<f64> {
    let at = |x: &str| read(&with_unit(x, unit), dim).ok().map(|v| v.si);
    let (zero, one) = (at("0")?, at("1")?);
    Some((si - zero) / (one - zero))
}

/// A bare number for a cell of a map whose head says the unit; reads back as
/// exactly `si` in that unit, or nothing.
pub(super) fn cell(si: f64, dim: Dim, unit: &str) -> Option<String> {
    let number = number_in(si, dim, unit)?;
    (0..=12)
        .map(|decimals| format!("{number:.decimals$}"))
        .chain([number, number.next_up(), number.next_down()].map(|x| format!("{x}")))
        .find(|n| read(&with_unit(n, unit), dim).is_ok_and(|v| v.si == si))
}

/// One column of a map: its numbers in the first unit that writes all of
/// them exactly, with the head.
pub(super) struct Column {
    pub(super) head: String,
    pub(super) cells: Vec<String>,
}

/// Writes a column; see [`cell`]. The last unit must be SI.
pub(super) fn column(name: &str, values: &[f64], dim: Dim, units: &[&str]) -> Column {
    let mut best: Option<(usize, Column)> = None;
    for unit in units {
        let cells: Option<Vec<String>> = values.iter().map(|&v| cell(v, dim, unit)).collect();
        if let Some(cells) = cells {
            let width = cells.iter().map(String::len).sum();
            if best.as_ref().is_none_or(|(w, _)| width < *w) {
                let head = with_unit(name, unit);
                best = Some((width, Column { head, cells }));
            }
        }
    }
    best.map_or_else(
        || Column {
            head: with_unit(name, units.last().copied().unwrap_or("")),
            cells: values.iter().map(f64::to_string).collect(),
        },
        |(_, c)| c,
    )
}

/// `columns` and `rows` of a map.
pub(super) fn map(columns: &[Column]) -> String {
    let heads: Vec<String> = columns.iter().map(|c| words(&c.head)).collect();
    let n = columns.first().map_or(0, |c| c.cells.len());
    let mut text = format!("columns = [{}]\nrows = [\n", heads.join(", "));
    for i in 0..n {
        let cells: Vec<&str> = columns.iter().map(|c| c.cells[i].as_str()).collect();
        text.push_str(&format!("  [{}],\n", cells.join(", ")));
    }
    text.push_str("]\n");
    text
}

/// Words in quotes.
pub(super) fn words(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            c if c.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(c))),
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Builds a file line by line.
#[derive(Default)]
pub(super) struct Page(String);

impl Page {
    pub(super) fn line(&mut self, line: &str) {
        self.0.push_str(line);
        self.0.push('\n');
    }

    pub(super) fn section(&mut self, head: &str) {
        if !self.0.is_empty() {
            self.0.push('\n');
        }
        self.line(head);
    }

    pub(super) fn key(&mut self, key: &str, value: &str) {
        self.line(&format!("{key} = {value}"));
    }

    pub(super) fn number(&mut self, key: &str, si: f64, dim: Dim, units: &[&str]) {
        self.key(key, &quantity(si, dim, units));
    }

    pub(super) fn words(&mut self, key: &str, text: &str) {
        self.key(key, &words(text));
    }

    pub(super) fn block(&mut self, text: &str) {
        self.0.push_str(text);
    }

    pub(super) fn done(self) -> String {
        self.0
    }
}

/// Units tried for each kind of quantity; the last is SI.
pub(super) const WATER: &[&str] = &["L/d", "pt/d", "kg/h", "kg/s"];
pub(super) const POWER: &[&str] = &["W", "kW", "W"];
pub(super) const CAPACITY: &[&str] = &["kW", "ton", "Btu/h", "W"];
pub(super) const TEMPERATURE: &[&str] = &["°C", "°F", "°C"];
pub(super) const LENGTH: &[&str] = &["mm", "in", "m"];
pub(super) const MASS: &[&str] = &["kg", "lb", "oz", "kg"];
pub(super) const PRESSURE: &[&str] = &["Pa", "in w.g.", "kPa", "Pa"];
pub(super) const AIRFLOW: &[&str] = &["m³/h", "cfm", "L/s", "m³/s"];
pub(super) const RH: &[&str] = &["%"];
pub(super) const TIME: &[&str] = &["min", "s"];
pub(super) const PLAIN: &[&str] = &[""];
pub(super) const VOLTS: &[&str] = &["V"];
/// Steps of relative humidity.
pub(super) const RH_STEP: &[&str] = &["%RH"];
pub(super) const AMPS: &[&str] = &["A"];
pub(super) const SLOPE: &[&str] = &["mm/m", "%", "in/ft"];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_person_wrote_comes_back() {
        for (text, dim, units) in [
            ("150 pt/d", Dim::WaterRate, WATER),
            ("80 °F", Dim::Temperature, TEMPERATURE),
            ("2.5 ton", Dim::Cooling, CAPACITY),
            ("0.35 in w.g.", Dim::Pressure, PRESSURE),
            ("60 %", Dim::RelHumidity, RH),
        ] {
            let si = read(text, dim).expect("readable").si;
            assert_eq!(quantity(si, dim, units), format!("\"{text}\""));
        }
    }

    #[test]
    fn any_number_reads_back_as_itself() {
        let mut x = 0.123_456_789_012_345_67_f64;
        for _ in 0..2000 {
            x = (x * 997.13).fract();
            for (si, dim, units) in [
                (x * 0.003, Dim::WaterRate, WATER),
                (x * 40.0 - 10.0, Dim::Temperature, TEMPERATURE),
                (x, Dim::RelHumidity, RH),
                (x * 3.0, Dim::Length, LENGTH),
                (x * 4000.0, Dim::Power, POWER),
            ] {
                let text = exact(si, dim, units);
                assert_eq!(read(&text, dim).expect("readable").si, si, "{text}");
            }
        }
    }
}

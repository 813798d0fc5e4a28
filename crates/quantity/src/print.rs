//! From SI to text.

use crate::face::face;
use crate::units::{Unit, shown_as};
use crate::{Dim, Part, Text, UnitSystem, Value};

/// Between groups of three digits in running text: narrow no-break space.
pub(crate) const IN_TEXT: char = '\u{202F}';
/// Between groups of three digits in tables: thin space.
const IN_TABLE: char = '\u{2009}';
/// Minus sign.
const MINUS: char = '\u{2212}';
/// Stands for a number that is not finite.
const NO_NUMBER: &str = "?";

impl Value {
    /// The value with its unit, in the user's units, as in running text.
    ///
    /// Rounded to the digits known and never more; zeros that are known are
    /// kept after the point. Power, pressure, lengths, water and times pick the
    /// unit by size. US lengths are feet and inches, no finer than known nor
    /// than 1/16 in. Of a temperature two digits are whole degrees, three are
    /// tenths; a count is whole. What is not finite is shown as "?". Everything
    /// else shown can be read again with [`crate::read`].
    ///
    /// ```
    /// use quantity::{Dim, UnitSystem::*, read};
    /// let water = read("46 L/d", Dim::WaterRate)?;
    /// assert_eq!(water.show(Metric), "46 L/d");
    /// assert_eq!(water.show(Us), "97 pt/d");
    /// assert_eq!(read("3.81 m", Dim::Length)?.show(Us), "12 ft 6 in");
    /// # Ok::<(), quantity::ReadError>(())
    /// ```
    pub fn show(self, system: UnitSystem) -> String {
        if !self.si.is_finite() {
            return NO_NUMBER.to_owned();
        }
        if self.dim == Dim::Length
            && system == UnitSystem::Us
            && let Some(text) = feet_and_inches(self)
        {
            return text;
        }
        let (number, unit) = self.in_unit_by_size(system);
        let number = rounded(number, self, IN_TEXT);
        match unit {
            Some(unit) => format!("{number} {}", unit.shown),
            None => number,
        }
    }

    /// The number alone, in the unit of [`Dim::unit`], for a table whose head
    /// says the unit.
    ///
    /// ```
    /// use quantity::{Dim, UnitSystem::*, Value};
    /// let power = Value::new(21_600.0, Dim::Power);
    /// assert_eq!((power.number(Metric), Dim::Power.unit(Metric)), ("21.6".to_owned(), "kW"));
    /// ```
    pub fn number(self, system: UnitSystem) -> String {
        let head = shown_as(self.dim, self.dim.unit(system));
        let number = head.map_or(self.si, |unit| unit.number(self.si));
        rounded(number, self, IN_TABLE)
    }

    /// As [`Value::show`], with the other system behind it in brackets where
    /// that differs.
    ///
    /// ```
    /// use quantity::{Dim, UnitSystem::*, read};
    /// let water = read("46 L/d", Dim::WaterRate)?;
    /// assert_eq!(water.show_both(Metric), "46 L/d [97 pt/d]");
    /// let vpd = read("1.10 kPa", Dim::VapourPressure)?;
    /// assert_eq!(vpd.show_both(Us), "1.10 kPa");
    /// # Ok::<(), quantity::ReadError>(())
    /// ```
    pub fn show_both(self, primary: UnitSystem) -> String {
        let first = self.show(primary);
        let second = self.show(match primary {
            UnitSystem::Metric => UnitSystem::Us,
            UnitSystem::Us => UnitSystem::Metric,
        });
        if first == second {
            first
        } else {
            format!("{first} [{second}]")
        }
    }

    /// The number in the unit that suits its size after rounding: 999.6 W,
    /// known to three digits, is 1.00 kW.
    fn in_unit_by_size(self, system: UnitSystem) -> (f64, Option<&'static Unit>) {
        let steps = face(self.dim).side(system).steps;
        let mut chosen = (self.si, None);
        for step in steps {
            let Some(unit) = shown_as(self.dim, step.unit) else {
                continue;
            };
            let size = match chosen {
                (number, Some(below)) => Unit::to_si(below, significant_value(number, self.digits)),
                _ => f64::INFINITY,
            };
            if size.abs() < step.from * (1.0 - 1e-6) {
                break;
            }
            chosen = (unit.number(self.si), Some(unit));
        }
        chosen
    }
}

impl Dim {
    /// The unit that stands in the head of a table; empty for bare numbers.
    pub fn unit(self, system: UnitSystem) -> &'static str {
        face(self).side(system).head
    }

    /// The kind in words, with its article: "a length".
    pub const fn noun(self) -> &'static str {
        face(self).noun
    }
}

impl Text {
    /// The sentence, its values in the user's units.
    ///
    /// ```
    /// use quantity::{Dim, Text, UnitSystem, Value};
    /// let t = Text::from("the room reaches ").value(Value::new(0.684, Dim::RelHumidity));
    /// assert_eq!(t.show(UnitSystem::Metric), "the room reaches 68.4 %RH");
    /// ```
    pub fn show(&self, system: UnitSystem) -> String {
        let shown = |part: &Part| match part {
            Part::Words(words) => words.to_string(),
            Part::Value(value) => value.show(system),
            Part::Place(place) => place.0.to_string(),
        };
        self.parts().iter().map(shown).collect()
    }
}

/// `number`, in the unit to be shown, rounded as the kind of `of` asks.
pub(crate) fn rounded(number: f64, of: Value, separator: char) -> String {
    if !number.is_finite() {
        return NO_NUMBER.to_owned();
    }
    let plain = match of.dim {
        Dim::Temperature => decimals(number, usize::from(of.digits.saturating_sub(2)).min(15)),
        Dim::Count => decimals(number, 0),
        _ => significant(number, of.digits),
    };
    typeset(&plain, separator)
}

/// To so many places after the point; plain ASCII.
fn decimals(x: f64, places: usize) -> String {
    if x.abs() < 1e15 {
        format!("{x:.places$}")
    } else {
        significant(x, 15)
    }
}

fn clamped(digits: u8) -> usize {
    usize::from(digits).clamp(2, 17)
}

fn significant_value(x: f64, digits: u8) -> f64 {
    let places = clamped(digits) - 1;
    format!("{x:.places$e}").parse().unwrap_or(x)
}

/// To so many significant digits, at least two; plain ASCII, with a power of
/// ten only far outside what an engineer meets.
fn significant(x: f64, digits: u8) -> String {
    if x == 0.0 {
        return "0".to_owned();
    }
    let places = clamped(digits) - 1;
    let scientific = format!("{x:.places$e}");
    let Some((mantissa, exponent)) = scientific.split_once('e') else {
        return scientific;
    };
    let Ok(exponent) = exponent.parse::<i32>() else {
        return scientific;
    };
    let (sign, mantissa) = match mantissa.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", mantissa),
    };
    let all: String = mantissa.chars().filter(|c| *c != '.').collect();
    match usize::try_from(exponent) {
        Ok(e) if e < 15 => {
            let before = e + 1;
            if all.len() <= before {
                format!("{sign}{all:0<before$}")
            } else {
                format!("{sign}{}.{}", &all[..before], &all[before..])
            }
        }
        Err(_) if exponent > -8 => {
            let zeros = "0".repeat(exponent.unsigned_abs() as usize - 1);
            format!("{sign}0.{zeros}{all}")
        }
        _ => scientific,
    }
}

/// Sets a true minus and separates groups of three from five digits up; no
/// minus before zero.
fn typeset(plain: &str, separator: char) -> String {
    let (negative, size) = match plain.strip_prefix('-') {
        Some(rest) => (rest.contains(|c| matches!(c, '1'..='9')), rest),
        None => (false, plain),
    };
    let digits = size.bytes().take_while(u8::is_ascii_digit).count();
    let mut out = String::with_capacity(size.len() + 8);
    if negative {
        out.push(MINUS);
    }
    for (i, c) in size.chars().enumerate() {
        let to_go = digits.saturating_sub(i);
        if digits > 4 && i > 0 && to_go > 0 && to_go.is_multiple_of(3) {
            out.push(separator);
        }
        out.push(if c == '-' { MINUS } else { c });
    }
    out
}

/// A length in feet and inches, or nothing where it is not known well enough
/// for inches, or too long for them.
fn feet_and_inches(length: Value) -> Option<String> {
    let m = length.si.abs();
    if m == 0.0 {
        return Some("0 in".to_owned());
    }
    if m > 1e6 {
        return None;
    }
    // Place of the last digit known, in powers of ten of a metre.
    let place = m.log10().floor() as i32 + 1 - i32::try_from(clamped(length.digits)).ok()?;
    let parts_of_inch: u32 = match place {
        0.. => return None,
        -1 => 1,
        -2 => 2,
        _ => 16,
    };
    let inch_m = shown_as(Dim::Length, "in")?.factor;
    // At most 1e6 m in sixteenths of an inch: far inside u64.
    let parts = (m / inch_m * f64::from(parts_of_inch)).round() as u64;
    let per_inch = u64::from(parts_of_inch);
    let (inches, over) = (parts / per_inch, parts % per_inch);
    let (feet, inches) = (inches / 12, inches % 12);
    let mut words = Vec::new();
    if feet > 0 {
        words.push(format!("{} ft", typeset(&feet.to_string(), IN_TEXT)));
    }
    let fraction = lowest_terms(over, per_inch);
    match (inches, fraction) {
        (0, None) if feet > 0 => {}
        (whole, None) => words.push(format!("{whole} in")),
        (0, Some(f)) => words.push(format!("{f} in")),
        (whole, Some(f)) => words.push(format!("{whole} {f} in")),
    }
    let sign = if length.si < 0.0 && parts > 0 {
        String::from(MINUS)
    } else {
        String::new()
    };
    Some(sign + &words.join(" "))
}

fn lowest_terms(above: u64, below: u64) -> Option<String> {
    if above == 0 {
        return None;
    }
    // `below` is a power of two.
    let halvings = above.trailing_zeros().min(below.trailing_zeros());
    Some(format!("{}/{}", above >> halvings, below >> halvings))
}

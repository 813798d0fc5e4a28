//! From text to SI.

use crate::number::{NoNumber, Number, number, within_reach};
use crate::read_error::quote;
use crate::spellings::every_spelling;
use crate::typography::plain;
use crate::unit_text::{UnitText, UnknownPiece};
use crate::units::{Unit, find, kind_of, units};
use crate::{Band, Dim, ReadError, Value, Why};

/// Longest text that is looked at.
const LONGEST: usize = 200;

/// Reads one quantity of kind `dim`, in metric or US units.
///
/// The digits written are kept: "46 L/d" is known to two digits, and no more
/// are shown of it later. Temperatures keep their places after the point. A
/// length in feet or inches is taken as known to the inch, or to the fraction
/// of an inch that is written.
///
/// **Errors** when the text is empty, has no unit or the unit of something
/// else, is ambiguous ("1.200,5"), goes on after the unit, or is not finite; also
/// when the number is beyond 10^±300 in any unit of its kind, so that whatever
/// is read can be shown in each of them.
///
/// ```
/// use quantity::{Dim, read};
/// let height = read("14 ft 6 in", Dim::Length)?;
/// assert!((height.si - 4.4196).abs() < 1e-12);
/// let deadband = read("4 °F", Dim::TemperatureDifference)?;
/// assert!((deadband.si - 20.0 / 9.0).abs() < 1e-12);
/// assert_eq!(read("3,5 m", Dim::Length)?, read("3.5 m", Dim::Length)?);
/// assert!(read("1.200,5 m", Dim::Length).is_err());
/// # Ok::<(), quantity::ReadError>(())
/// ```
pub fn read(text: &str, dim: Dim) -> Result<Value, ReadError> {
    let fail = |why| ReadError::new(text, dim, why);
    let plain = checked(text).map_err(fail)?;
    if plain.contains("..") {
        return Err(fail(Why::RangeNotWanted));
    }
    let parts = parts(&plain, dim).map_err(fail)?;
    value(&parts, dim).map_err(fail)
}

/// Reads a quantity with its spread: `low..high`, `low..likely..high`, or one
/// value. The unit may stand after each number or once at the end. Of
/// `low..high`, likely is half-way.
///
/// **Errors** as [`read`]; also when the range runs downwards or is not
/// complete.
///
/// ```
/// use quantity::{Band, Dim, read_band};
/// let band = read_band("3.0..3.6..4.5 kg", Dim::Mass)?;
/// assert_eq!(band, Band::new(3.0, 3.6, 4.5));
/// assert_eq!(read_band("4 kg", Dim::Mass)?, Band::exact(4.0));
/// # Ok::<(), quantity::ReadError>(())
/// ```
pub fn read_band(text: &str, dim: Dim) -> Result<Band, ReadError> {
    band(text, dim).map_err(|why| ReadError::new(text, dim, why))
}

fn band(text: &str, dim: Dim) -> Result<Band, Why> {
    let plain = checked(text)?;
    let bounds: Vec<&str> = plain.split("..").collect();
    if bounds.len() > 3 || (bounds.len() > 1 && bounds.iter().any(|b| b.trim().is_empty())) {
        return Err(Why::RangeShape);
    }
    let mut parted = Vec::with_capacity(bounds.len());
    for bound in bounds {
        parted.push(parts(bound, dim)?);
    }
    let last_unit = match parted.last().map(Vec::as_slice) {
        Some([only]) => only.unit.clone(),
        _ => String::new(),
    };
    let mut si = Vec::with_capacity(parted.len());
    for bound in &mut parted {
        if let [only] = bound.as_mut_slice()
            && only.unit.is_empty()
        {
            only.unit.clone_from(&last_unit);
        }
        si.push(value(bound, dim)?.si);
    }
    if !si.is_sorted() {
        return Err(Why::RangeReversed);
    }
    Ok(match si[..] {
        [low, high] => Band::between(low, high),
        [low, likely, high] => Band::new(low, likely, high),
        _ => Band::exact(si[0]),
    })
}

/// The plain text, if there is a sensible amount of it.
fn checked(text: &str) -> Result<String, Why> {
    if text.chars().nth(LONGEST).is_some() {
        return Err(Why::NoNumber(quote(text)));
    }
    let plain = plain(text);
    if plain.trim().is_empty() {
        return Err(Why::Empty);
    }
    Ok(plain)
}

/// A number and the words after it.
struct Part {
    number: Number,
    unit: String,
    /// Both as they stand in the text.
    text: String,
}

/// Cuts `text` before each number that follows a space or a foot mark.
fn parts(text: &str, dim: Dim) -> Result<Vec<Part>, Why> {
    let chars: Vec<char> = text.trim().chars().collect();
    let mut parts = Vec::new();
    let mut at = 0;
    while at < chars.len() || parts.is_empty() {
        let (number, end) = number(&chars, at).map_err(|no| no_number(no, &chars[at..], dim))?;
        let unit_end = unit_end(&chars, end, dim);
        let unit: String = chars[end..unit_end].iter().collect();
        parts.push(Part {
            number,
            unit: unit.trim().to_owned(),
            text: chars[at..unit_end].iter().collect(),
        });
        at = next_number(&chars, unit_end);
        if unit_end < chars.len() && at == chars.len() {
            return Err(Why::MoreText(chars[unit_end..].iter().collect()));
        }
    }
    Ok(parts)
}

fn no_number(no: NoNumber, rest: &[char], dim: Dim) -> Why {
    match no {
        NoNumber::Absent => {
            let rest: String = rest.iter().collect();
            if dim == Dim::Transmittance && is_r_value(&rest) {
                return Why::Resistance;
            }
            Why::NoNumber(quote(&rest))
        }
        NoNumber::Ambiguous { point, thousands } => Why::AmbiguousNumber { point, thousands },
        NoNumber::NotFinite => Why::NotFinite,
        NoNumber::OutOfReach => Why::OutOfReach,
    }
}

/// "R-19", "R19", "RSI 3.3": insulation as it is sold.
fn is_r_value(text: &str) -> bool {
    let upper = text.to_ascii_uppercase();
    let rest = upper
        .strip_prefix("RSI")
        .or_else(|| upper.strip_prefix('R'));
    rest.is_some_and(|r| {
        r.trim_start_matches([' ', '-'])
            .starts_with(|c: char| c.is_ascii_digit())
    })
}

/// "3-4", "3 to 4": a range in another way of writing.
fn is_range_end(unit: &str) -> bool {
    if unit == "to" {
        return true;
    }
    let rest = unit.strip_prefix("to ").or_else(|| unit.strip_prefix('-'));
    rest.is_some_and(|r| r.trim_start().starts_with(|c: char| c.is_ascii_digit()))
}

fn starts_number(chars: &[char], at: usize) -> bool {
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    digit(at) || (chars.get(at) == Some(&'.') && digit(at + 1))
}

/// Where the unit that starts at `start` ends: at the next number.
fn unit_end(chars: &[char], start: usize, dim: Dim) -> usize {
    let mut named = false;
    for at in start..chars.len() {
        let c = chars[at];
        let after_gap = at > 0 && matches!(chars[at - 1], ' ' | '\'' | '"');
        if named && after_gap && starts_number(chars, at) {
            return at;
        }
        // 12'-6" as on drawings
        if named && dim == Dim::Length && c == '-' {
            return at;
        }
        named |= c.is_alphabetic() || matches!(c, '\'' | '"');
    }
    chars.len()
}

/// Where the next number starts, past a hyphen between feet and inches.
fn next_number(chars: &[char], at: usize) -> usize {
    let mut next = at;
    if chars.get(next) == Some(&'-') {
        next += 1;
        while chars.get(next) == Some(&' ') {
            next += 1;
        }
    }
    next
}

fn value(parts: &[Part], dim: Dim) -> Result<Value, Why> {
    if parts.iter().any(|p| is_range_end(&p.unit)) {
        return Err(Why::RangeShape);
    }
    match parts {
        [only] if units(dim).is_empty() => bare(only, dim),
        [only] => single(only, dim),
        _ => compound(parts, dim),
    }
}

fn bare(part: &Part, dim: Dim) -> Result<Value, Why> {
    if !part.unit.is_empty() {
        return Err(Why::UnitNotWanted(quote(&part.unit)));
    }
    let n = part.number;
    if dim == Dim::Count && (n.value < 0.0 || n.value.fract() != 0.0) {
        return Err(Why::NotWhole);
    }
    Ok(Value::new(n.value, dim).digits(at_least_two(n.digits)))
}

fn single(part: &Part, dim: Dim) -> Result<Value, Why> {
    let unit = unit_of(part, dim)?;
    let si = reckonable(unit.to_si(part.number.value), dim)?;
    Ok(Value::new(si, dim).digits(digits_known(si, &[(part.number, unit)], dim)))
}

/// `36 ft 6 1/2 in`, `5 lb 3 oz`, `1 h 30 min`.
fn compound(parts: &[Part], dim: Dim) -> Result<Value, Why> {
    if !matches!(dim, Dim::Length | Dim::Mass | Dim::Duration) {
        let extra: Vec<&str> = parts.iter().skip(1).map(|p| p.text.trim()).collect();
        return Err(Why::MoreText(quote(&extra.join(" "))));
    }
    let mut read = Vec::with_capacity(parts.len());
    for part in parts {
        read.push((part.number, unit_of(part, dim)?));
    }
    let falling = read.windows(2).all(|pair| {
        let [(large, by), (small, of)] = pair else {
            return false;
        };
        large.value.fract() == 0.0
            && large.denominator.is_none()
            && small.value * of.factor < by.factor * (1.0 - 1e-9)
    });
    if !falling {
        return Err(Why::Parts);
    }
    let negative = parts[0].number.value.is_sign_negative();
    let size: f64 = read.iter().map(|(n, u)| u.to_si(n.value.abs())).sum();
    let si = reckonable(if negative { -size } else { size }, dim)?;
    Ok(Value::new(si, dim).digits(digits_known(si, &read, dim)))
}

/// `si`, if its number is within reach in every unit of its kind.
fn reckonable(si: f64, dim: Dim) -> Result<f64, Why> {
    let in_each = units(dim).iter().map(|unit| unit.number(si));
    if std::iter::once(si).chain(in_each).all(within_reach) {
        Ok(si)
    } else {
        Err(Why::OutOfReach)
    }
}

fn unit_of(part: &Part, dim: Dim) -> Result<&'static Unit, Why> {
    if part.unit.is_empty() {
        return Err(Why::UnitMissing);
    }
    let unit = || quote(&part.unit);
    let text = UnitText::parse(&part.unit)
        .map_err(|UnknownPiece(piece)| unknown(&part.unit, &piece, dim))?;
    if let Some(found) = find(dim, &text) {
        return Ok(found);
    }
    if dim == Dim::Transmittance && find(dim, &text.inverse()).is_some() {
        return Err(Why::Resistance);
    }
    Err(match kind_of(&text) {
        Some(kind) => Why::OtherKind { unit: unit(), kind },
        None => Why::UnknownUnit {
            unit: unit(),
            nearest: None,
        },
    })
}

/// The unit is not known because of `piece`; says the nearest spelling with
/// which it would be allowed.
fn unknown(unit: &str, piece: &str, dim: Dim) -> Why {
    let lower = piece.to_lowercase();
    let within = (piece.chars().count() / 2).clamp(1, 2);
    let mut near: Vec<(usize, &'static str)> = every_spelling()
        .map(|s| (strsim::osa_distance(&lower, &s.to_lowercase()), s))
        .filter(|(distance, _)| *distance <= within)
        .collect();
    near.sort_unstable();
    let nearest = near.into_iter().find_map(|(_, spelling)| {
        let mended = unit.replacen(piece, spelling, 1);
        let text = UnitText::parse(&mended).ok()?;
        find(dim, &text).map(|_| mended)
    });
    Why::UnknownUnit {
        unit: quote(unit),
        nearest,
    }
}

fn at_least_two(digits: usize) -> u8 {
    u8::try_from(digits.clamp(2, 15)).unwrap_or(15)
}

/// Digits to keep of what was read, in the sense of [`Value::digits`].
fn digits_known(si: f64, read: &[(Number, &Unit)], dim: Dim) -> u8 {
    let digits = |n: &Number| match (n.denominator, dim) {
        // How fine a fraction of an inch is, is reckoned below.
        (Some(_), Dim::Length) => 0,
        _ => n.digits,
    };
    let written = read.iter().map(|(n, _)| digits(n)).max().unwrap_or(2);
    match dim {
        Dim::Temperature => at_least_two(2 + read[0].0.decimals),
        Dim::Length if read.iter().all(|(_, u)| matches!(u.shown, "ft" | "in")) => {
            let finest = read.iter().filter_map(|(n, _)| n.denominator).max();
            // Place of the last digit known [powers of ten of a metre]: an inch
            // is told by centimetres, a quarter by millimetres.
            let place = match finest {
                None | Some(1 | 2) => 2,
                Some(3..=16) => 3,
                Some(_) => 4,
            };
            let before_point = if si == 0.0 {
                0
            } else {
                // Within ±400: si is a finite f64.
                si.abs().log10().floor() as i64 + 1
            };
            let inch = usize::try_from(before_point + place).unwrap_or(0);
            at_least_two(inch.max(written))
        }
        Dim::Mass | Dim::Duration if read.len() > 1 => {
            let (_, last) = read[read.len() - 1];
            let parts = (si.abs() / last.factor).log10().floor();
            at_least_two(if parts.is_finite() && parts > 0.0 {
                parts as usize + 2
            } else {
                2
            })
        }
        _ => at_least_two(written),
    }
}

//! The grammar of a written number.

/// Largest size of a number in any unit.
pub(crate) const LARGEST: f64 = 1e300;
/// Smallest size of a number in any unit, 0 apart.
pub(crate) const SMALLEST: f64 = 1e-300;

/// Whether `x` can be reckoned with: no factor between two units of a kind
/// carries it out of what an `f64` holds with all its digits.
pub(crate) fn within_reach(x: f64) -> bool {
    x == 0.0 || (SMALLEST..=LARGEST).contains(&x.abs())
}

/// A number as it was written.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Number {
    pub(crate) value: f64,
    /// Significant digits written.
    pub(crate) digits: usize,
    /// Digits written after the point.
    pub(crate) decimals: usize,
    /// Denominator, if a fraction was written.
    pub(crate) denominator: Option<u32>,
}

/// Why there is no number.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum NoNumber {
    /// Nothing that looks like one.
    Absent,
    /// A comma that may be a point or may separate thousands.
    Ambiguous { point: String, thousands: String },
    /// NaN or infinity in words.
    NotFinite,
    /// Not [`within_reach`].
    OutOfReach,
}

/// Reads a number at `chars[at]`; also says where it ends.
///
/// Sign, then digits with a decimal point or comma, with commas or spaces
/// between groups of three, with a power of ten (`1.2e3`); or a fraction
/// `3/8`; or a whole and a fraction, `3 1/2` or `3-1/2`.
pub(crate) fn number(chars: &[char], at: usize) -> Result<(Number, usize), NoNumber> {
    let (negative, at) = match chars.get(at) {
        Some('-') => (true, at + 1),
        Some('+') => (false, at + 1),
        _ => (false, at),
    };
    if not_finite(chars, at) {
        return Err(NoNumber::NotFinite);
    }
    let (size, end) = unsigned(chars, at)?;
    let value = if negative { -size.value } else { size.value };
    Ok((Number { value, ..size }, end))
}

fn is_digit(chars: &[char], at: usize) -> bool {
    chars.get(at).is_some_and(char::is_ascii_digit)
}

/// End of the digits that start at `at`.
fn digits_end(chars: &[char], at: usize) -> usize {
    let mut end = at;
    while is_digit(chars, end) {
        end += 1;
    }
    end
}

fn not_finite(chars: &[char], at: usize) -> bool {
    let rest = chars.get(at..).unwrap_or_default();
    let word: String = rest
        .iter()
        .take_while(|c| c.is_alphabetic() || **c == '∞')
        .flat_map(|c| c.to_lowercase())
        .collect();
    matches!(word.as_str(), "nan" | "inf" | "infinity" | "∞")
}

fn unsigned(chars: &[char], at: usize) -> Result<(Number, usize), NoNumber> {
    let mut end = at;
    while is_digit(chars, end) || matches!(chars.get(end), Some('.' | ',')) {
        end += 1;
    }
    let mut written: String = chars[at.min(end)..end].iter().collect();
    if !written.contains(|c: char| c.is_ascii_digit()) {
        return Err(NoNumber::Absent);
    }
    let whole = written.bytes().all(|b| b.is_ascii_digit());
    if whole && let Some(found) = fraction(chars, &written, end) {
        return found;
    }
    if whole {
        end = spaced_groups(chars, end, &mut written);
    }
    if written.contains(',') {
        written = without_commas(&written)?;
    }
    if written.matches('.').count() > 1 {
        return Err(NoNumber::Absent);
    }
    let (digits, decimals) = count_digits(&written);
    let end = power_of_ten(chars, end, &mut written);
    let value: f64 = written.parse().map_err(|_| NoNumber::Absent)?;
    let mantissa = written.split('e').next().unwrap_or_default();
    let vanished = value == 0.0 && mantissa.contains(|c: char| matches!(c, '1'..='9'));
    if vanished || !within_reach(value) {
        return Err(NoNumber::OutOfReach);
    }
    let number = Number {
        value,
        digits,
        decimals,
        denominator: None,
    };
    Ok((number, end))
}

/// `3/8`, or the `1/2` of `3 1/2` after its whole part.
fn fraction(chars: &[char], whole: &str, end: usize) -> Option<Result<(Number, usize), NoNumber>> {
    if chars.get(end) == Some(&'/') && is_digit(chars, end + 1) {
        return Some(quotient(chars, 0.0, 0, whole, end + 1));
    }
    let mut at = end;
    while chars.get(at) == Some(&' ') {
        at += 1;
    }
    if at == end && chars.get(at) == Some(&'-') {
        at += 1;
    }
    let above_end = digits_end(chars, at);
    let is_fraction = end < at
        && at < above_end
        && chars.get(above_end) == Some(&'/')
        && is_digit(chars, above_end + 1);
    if !is_fraction {
        return None;
    }
    let above: String = chars[at..above_end].iter().collect();
    let count = whole.trim_start_matches('0').len();
    Some(match whole.parse() {
        Ok(w) => quotient(chars, w, count, &above, above_end + 1),
        Err(_) => Err(NoNumber::Absent),
    })
}

fn quotient(
    chars: &[char],
    whole: f64,
    whole_digits: usize,
    above: &str,
    below_at: usize,
) -> Result<(Number, usize), NoNumber> {
    let end = digits_end(chars, below_at);
    let below: String = chars[below_at..end].iter().collect();
    let (Ok(above), Ok(below)) = (above.parse::<u32>(), below.parse::<u32>()) else {
        return Err(NoNumber::OutOfReach);
    };
    // 6 1/2/3, 1/2.5 and 1/0 are no numbers.
    if below == 0 || matches!(chars.get(end), Some('.' | ',')) {
        return Err(NoNumber::Absent);
    }
    let value = whole + f64::from(above) / f64::from(below);
    if !within_reach(value) {
        return Err(NoNumber::OutOfReach);
    }
    let number = Number {
        value,
        digits: whole_digits + 2,
        decimals: 0,
        denominator: Some(below),
    };
    Ok((number, end))
}

/// Takes `12 345 678` and `12 345.6`, whose spaces separate thousands.
fn spaced_groups(chars: &[char], end: usize, written: &mut String) -> usize {
    if written.len() > 3 || written.starts_with('0') {
        return end;
    }
    let mut end = end;
    while chars.get(end) == Some(&' ') && digits_end(chars, end + 1) == end + 4 {
        let next_is_fraction = chars.get(end + 4) == Some(&'/') && is_digit(chars, end + 5);
        if next_is_fraction || chars.get(end + 4) == Some(&',') {
            break;
        }
        written.extend(&chars[end + 1..end + 4]);
        end += 4;
        if chars.get(end) == Some(&'.') && is_digit(chars, end + 1) {
            let stop = digits_end(chars, end + 1);
            written.extend(&chars[end..stop]);
            return stop;
        }
    }
    end
}

/// `1,200.5` without its commas, `24,5` with a point. A comma with three digits
/// after it separates thousands, but for `0,125`; one that may be either is
/// refused.
fn without_commas(written: &str) -> Result<String, NoNumber> {
    let (whole, decimals) = written.split_once('.').unwrap_or((written, ""));
    let mut groups = whole.split(',');
    let first = groups.next().unwrap_or_default();
    let in_threes = !decimals.contains([',', '.'])
        && (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && groups.all(|g| g.len() == 3);
    let thousands = written.replace(',', "");
    if in_threes && whole.contains(',') {
        return Ok(thousands);
    }
    let one_comma =
        written.matches(',').count() == 1 && !written.starts_with(',') && !written.ends_with(',');
    if !one_comma {
        return Err(NoNumber::Absent);
    }
    if !written.contains('.') {
        return Ok(written.replace(',', "."));
    }
    Err(NoNumber::Ambiguous {
        point: written.replace('.', "").replace(',', "."),
        thousands,
    })
}

/// Significant digits and digits after the point of a plain decimal.
fn count_digits(written: &str) -> (usize, usize) {
    let decimals = written.split_once('.').map_or(0, |(_, d)| d.len());
    let all: String = written.chars().filter(char::is_ascii_digit).collect();
    let significant = all.trim_start_matches('0').len();
    // "0.00" says that nothing is there, to two places.
    let digits = if significant == 0 {
        decimals
    } else {
        significant
    };
    (digits, decimals)
}

fn power_of_ten(chars: &[char], end: usize, written: &mut String) -> usize {
    if !matches!(chars.get(end), Some('e' | 'E')) {
        return end;
    }
    let signed = matches!(chars.get(end + 1), Some('-' | '+'));
    let at = end + 1 + usize::from(signed);
    let stop = digits_end(chars, at);
    if stop == at {
        return end;
    }
    written.push('e');
    written.extend(&chars[end + 1..stop]);
    stop
}

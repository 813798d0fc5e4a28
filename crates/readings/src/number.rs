//! Numbers and switch states as loggers write them.

/// Marks inside numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Marks {
    /// Before the decimals: `.` or `,`.
    pub decimal: u8,
    /// Between thousands, if there is one.
    pub thousands: Option<u8>,
}

impl Marks {
    /// Decimal point, nothing between thousands.
    pub const POINT: Self = Self {
        decimal: b'.',
        thousands: None,
    };

    /// Decimal point or comma, the other between thousands.
    pub const fn with(decimal: u8) -> Self {
        let thousands = if decimal == b',' { b'.' } else { b',' };
        Self {
            decimal,
            thousands: Some(thousands),
        }
    }
}

/// What a cell says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Cell {
    /// A number, or 1 and 0 for on and off.
    Number(f64),
    /// Nothing.
    Empty,
    /// That the logger had no reading: "Error", "---", "NaN".
    Fault,
    /// What is no reading.
    Unreadable,
}

/// Numbers by which loggers say that they have no reading.
const FAULT_CODES: [f64; 12] = [
    -999.0, -999.9, -9999.0, -99.9, -127.0, 9999.0, 999.9, 99_999.0, 32_767.0, 32_768.0, 65_535.0,
    -32_768.0,
];

/// Whether a number as written stands for a fault.
pub(crate) fn is_fault_code(number: f64) -> bool {
    FAULT_CODES.contains(&number)
}

const POWERS: [f64; 16] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
];

/// Words for "no reading", lower case.
const FAULTS: [&str; 24] = [
    "nan",
    "n/a",
    "na",
    "null",
    "none",
    "nil",
    "error",
    "err",
    "fault",
    "fail",
    "failed",
    "invalid",
    "bad",
    "no data",
    "nodata",
    "missing",
    "disconnected",
    "offline",
    "overflow",
    "ol",
    "inf",
    "-inf",
    "sensor error",
    "unavailable",
];

const ON: [&str; 13] = [
    "on", "true", "yes", "run", "running", "active", "open", "enabled", "ein", "an", "marche",
    "sí", "high",
];
const OFF: [&str; 13] = [
    "off", "false", "no", "stop", "stopped", "inactive", "idle", "closed", "disabled", "aus",
    "arrêt", "standby", "low",
];

/// Reads one cell.
#[inline]
pub(crate) fn cell(text: &[u8], marks: Marks) -> Cell {
    let text = text.trim_ascii();
    if text.is_empty() {
        return Cell::Empty;
    }
    match leading(text, marks.decimal) {
        Some((number, length)) if length == text.len() => Cell::Number(number),
        _ => other(text, marks),
    }
}

/// Sign, digits, one decimal mark, digits at the begin of a text, and how many
/// bytes they are: nearly every cell.
#[inline]
pub(crate) fn leading(text: &[u8], decimal: u8) -> Option<(f64, usize)> {
    let (sign, digits) = match text {
        [b'-', digits @ ..] => (Some(-1.0), digits),
        [b'+', digits @ ..] => (Some(1.0), digits),
        _ => (None, text),
    };
    let mut mantissa: u64 = 0;
    let mut mark = None;
    let mut length = digits.len();
    for (at, &byte) in digits.iter().enumerate() {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            // Too many digits may run over; they are refused below.
            mantissa = mantissa.wrapping_mul(10).wrapping_add(u64::from(digit));
        } else if byte == decimal && mark.is_none() {
            mark = Some(at);
        } else {
            length = at;
            break;
        }
    }
    let decimals = mark.map_or(0, |at| length - at - 1);
    if !(1..=15).contains(&(length - usize::from(mark.is_some()))) {
        return None;
    }
    // Up to fifteen digits and a power of ten are exact: one rounding. Signed
    // numbers are converted in one instruction; a division is a slow one.
    let mut number = mantissa as i64 as f64;
    if decimals != 0 {
        number /= POWERS[decimals];
    }
    Some(match sign {
        None => (number, length),
        Some(sign) => (sign * number, length + 1),
    })
}

fn other(text: &[u8], marks: Marks) -> Cell {
    let Ok(text) = std::str::from_utf8(text) else {
        return Cell::Unreadable;
    };
    let text = text.trim_matches(|c: char| c.is_whitespace() || c == '"' || c == '\'');
    let lower = text.to_lowercase();
    if text
        .chars()
        .all(|c| matches!(c, '-' | '–' | '—' | '*' | '#' | '?' | '.'))
    {
        return Cell::Fault;
    }
    if ON.contains(&lower.as_str()) {
        return Cell::Number(1.0);
    }
    if OFF.contains(&lower.as_str()) {
        return Cell::Number(0.0);
    }
    if FAULTS.contains(&lower.as_str()) || lower.starts_with('#') {
        return Cell::Fault;
    }
    let bare = text.trim_end_matches(|c: char| {
        c.is_whitespace() || c == '%' || c == '°' || (c.is_alphabetic() && c != 'e' && c != 'E')
    });
    number(bare, marks).map_or(Cell::Unreadable, Cell::Number)
}

/// A number with marks between thousands or an exponent.
fn number(text: &str, marks: Marks) -> Option<f64> {
    let mut plain = String::with_capacity(text.len());
    let mut seen_decimal = false;
    for c in text.chars() {
        let is = |mark: u8| c == char::from(mark);
        if is(marks.decimal) {
            seen_decimal = true;
            plain.push('.');
        } else if c.is_ascii_digit() || matches!(c, '-' | '+' | 'e' | 'E') {
            plain.push(c);
        } else if c == '−' {
            plain.push('-');
        } else if !seen_decimal
            && (marks.thousands.is_some_and(is)
                || matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '’'))
        {
            // Between thousands.
        } else {
            return None;
        }
    }
    grouped(text, marks).then_some(())?;
    plain.parse::<f64>().ok().filter(|x| x.is_finite())
}

/// Whether groups after the first, before the decimals, have three digits.
fn grouped(text: &str, marks: Marks) -> bool {
    let whole = text.split(char::from(marks.decimal)).next().unwrap_or("");
    let is_mark = |c: char| {
        marks.thousands.is_some_and(|m| c == char::from(m))
            || matches!(c, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '’')
    };
    whole
        .split(is_mark)
        .skip(1)
        .all(|group| group.len() == 3 && group.bytes().all(|b| b.is_ascii_digit()))
}

/// What the cells of a file say about its decimal mark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct MarkVotes {
    point: u32,
    comma: u32,
    /// "1,234": decimals or thousands.
    either: u32,
}

/// The decimal mark that a file decides.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Decided {
    Mark(u8),
    /// Only cells such as "1,234".
    Open,
    /// Some cells say point, some say comma.
    Both,
}

impl MarkVotes {
    /// Takes in a cell; `small`: what it says cannot be thousands (a
    /// temperature, a humidity).
    pub(crate) fn add(&mut self, text: &str, small: bool) {
        let text = text.trim();
        let mut chars = text.chars();
        if !chars.all(|c| {
            c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+' | ' ' | '\u{a0}' | '\'')
        }) {
            return;
        }
        let (points, commas) = (text.matches('.').count(), text.matches(',').count());
        match (points, commas) {
            (0, 0) => {}
            (1, 0) | (0, 1) => {
                let mark = if points == 1 { '.' } else { ',' };
                let (before, after) = text.split_once(mark).unwrap_or((text, ""));
                let before = before.trim_start_matches(['-', '+']);
                let thousands = after.len() == 3
                    && !before.is_empty()
                    && before.len() <= 3
                    && !before.starts_with('0');
                if thousands && !small {
                    self.either += 1;
                } else if mark == '.' {
                    self.point += 1;
                } else {
                    self.comma += 1;
                }
            }
            (0, _) => self.point += 1,
            (_, 0) => self.comma += 1,
            _ if text.rfind('.') > text.rfind(',') => self.point += 1,
            _ => self.comma += 1,
        }
    }

    pub(crate) const fn decided(self) -> Decided {
        match (self.point, self.comma, self.either) {
            (0, 0, 0) => Decided::Mark(b'.'),
            (0, 0, _) => Decided::Open,
            (_, 0, _) => Decided::Mark(b'.'),
            (0, _, _) => Decided::Mark(b','),
            _ => Decided::Both,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str, marks: Marks) -> Cell {
        cell(text.as_bytes(), marks)
    }

    #[test]
    fn numbers_of_all_spellings_are_read() {
        let (point, comma) = (Marks::with(b'.'), Marks::with(b','));
        for (text, marks, want) in [
            ("23.5", point, 23.5),
            ("-0.25", point, -0.25),
            ("23,5", comma, 23.5),
            ("1,234.5", point, 1234.5),
            ("1.234,5", comma, 1234.5),
            ("1 234.5", point, 1234.5),
            ("1'234", point, 1234.0),
            ("1.2e3", point, 1200.0),
            ("60 %", point, 60.0),
            ("23,5 °C", comma, 23.5),
            ("\u{2212}3.5", point, -3.5),
            ("On", point, 1.0),
            ("FALSE", point, 0.0),
        ] {
            assert_eq!(read(text, marks), Cell::Number(want), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_told_apart() {
        for (text, want) in [
            ("", Cell::Empty),
            ("  ", Cell::Empty),
            ("---", Cell::Fault),
            ("NaN", Cell::Fault),
            ("Error", Cell::Fault),
            ("#N/A", Cell::Fault),
            ("hello", Cell::Unreadable),
            ("1,23", Cell::Unreadable),
            ("1.2.3", Cell::Unreadable),
        ] {
            assert_eq!(read(text, Marks::with(b'.')), want, "{text}");
        }
    }

    #[test]
    fn decimal_marks_are_decided_by_what_can_be() {
        let votes = |cells: &[&str], small| {
            let mut votes = MarkVotes::default();
            cells.iter().for_each(|c| votes.add(c, small));
            votes.decided()
        };
        assert_eq!(votes(&["23,5"], false), Decided::Mark(b','));
        assert_eq!(votes(&["1,234", "23.5"], false), Decided::Mark(b'.'));
        assert_eq!(votes(&["1.234,5"], false), Decided::Mark(b','));
        assert_eq!(votes(&["1,234"], false), Decided::Open);
        assert_eq!(votes(&["23,512"], true), Decided::Mark(b','));
        assert_eq!(votes(&["0,123"], false), Decided::Mark(b','));
        assert_eq!(votes(&["1,5", "2.5"], false), Decided::Both);
        assert_eq!(votes(&["15"], false), Decided::Mark(b'.'));
    }
}

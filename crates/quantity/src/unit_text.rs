//! Takes the words of a unit apart: "Btu/h ft2 F" is Btu, per h, per ft twice,
//! per °F. After the first stroke everything is below it, as the trade writes.

use crate::spellings::{WITH_DIGITS, name_of, short_word};

/// A unit as the names it is made of with their powers, in a fixed order.
/// Nothing is cancelled: kg/kg stays kg per kg.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct UnitText(Vec<(&'static str, i8)>);

/// A piece of a unit that no spelling explains.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct UnknownPiece(pub(crate) String);

impl UnitText {
    /// Takes `text` apart; it has passed through `typography::plain`.
    pub(crate) fn parse(text: &str) -> Result<Self, UnknownPiece> {
        let plain = crate::typography::plain(text);
        let mut names = Vec::new();
        Scan::new(&plain).all(&mut names)?;
        if names.is_empty() {
            return Err(UnknownPiece(text.trim().to_owned()));
        }
        names.sort_unstable();
        Ok(Self(names))
    }

    /// The unit turned upside down.
    pub(crate) fn inverse(&self) -> Self {
        let mut names: Vec<_> = self.0.iter().map(|&(n, p)| (n, -p)).collect();
        names.sort_unstable();
        Self(names)
    }
}

struct Scan {
    chars: Vec<char>,
    at: usize,
    /// 1 above the stroke, −1 below it.
    side: i8,
    /// 2 after "square", 3 after "cubic".
    next_power: i8,
}

impl Scan {
    fn new(text: &str) -> Self {
        Self {
            chars: text.chars().collect(),
            at: 0,
            side: 1,
            next_power: 1,
        }
    }

    fn peek(&self, ahead: usize) -> Option<char> {
        self.chars.get(self.at + ahead).copied()
    }

    fn all(mut self, names: &mut Vec<(&'static str, i8)>) -> Result<(), UnknownPiece> {
        self.skip_one_over();
        while let Some(c) = self.peek(0) {
            match c {
                ' ' | '(' | ')' => self.at += 1,
                '/' => {
                    self.side = -1;
                    self.at += 1;
                }
                '-' if self.joins_names() => self.at += 1,
                _ => {
                    let word = self.word();
                    self.take(&word, names)?;
                }
            }
        }
        if self.next_power == 1 {
            Ok(())
        } else {
            Err(UnknownPiece(self.chars.iter().collect()))
        }
    }

    /// The 1 of "1/h".
    fn skip_one_over(&mut self) {
        while self.peek(0) == Some(' ') {
            self.at += 1;
        }
        let mut ahead = 1;
        while self.peek(ahead) == Some(' ') {
            ahead += 1;
        }
        if self.peek(0) == Some('1') && self.peek(ahead) == Some('/') {
            self.at += ahead;
        }
    }

    /// A hyphen between names, "hr-ft2-F", not before a power, "m-2".
    fn joins_names(&self) -> bool {
        let before = self.at.checked_sub(1).and_then(|i| self.chars.get(i));
        before.is_some_and(|c| c.is_alphanumeric()) && self.peek(1).is_some_and(char::is_alphabetic)
    }

    /// The next word: a sign such as `%`, a run of letters (dots of
    /// abbreviation dropped), or a spelling with a digit inside; else one
    /// character, which nothing will explain.
    fn word(&mut self) -> String {
        let rest = &self.chars[self.at..];
        for &with_digit in WITH_DIGITS {
            let n = with_digit.len();
            let same = rest.len() >= n
                && with_digit
                    .chars()
                    .zip(rest)
                    .all(|(a, b)| a.eq_ignore_ascii_case(b));
            if same && !rest.get(n).is_some_and(|c| c.is_alphanumeric()) {
                self.at += n;
                return with_digit.to_owned();
            }
        }
        let mut word = String::new();
        while let Some(c) = self.peek(0) {
            if c.is_alphabetic() {
                word.push(c);
            } else if c != '.' || word.is_empty() {
                break;
            }
            self.at += 1;
        }
        if word.is_empty()
            && let Some(c) = self.peek(0)
        {
            word.push(c);
            self.at += 1;
        }
        word
    }

    fn take(
        &mut self,
        word: &str,
        names: &mut Vec<(&'static str, i8)>,
    ) -> Result<(), UnknownPiece> {
        match word.to_ascii_lowercase().as_str() {
            "per" => {
                self.side = -1;
                return Ok(());
            }
            "sq" | "square" => {
                self.next_power = 2;
                return Ok(());
            }
            "cu" | "cubic" => {
                self.next_power = 3;
                return Ok(());
            }
            _ => {}
        }
        let power = self.power().unwrap_or(1).saturating_mul(self.next_power);
        self.next_power = 1;
        let signed = power.saturating_mul(self.side);
        if let Some(name) = name_of(word) {
            // "° C", "deg F" are one name.
            if matches!(name, "°C" | "°F") && names.last().is_some_and(|&(n, _)| n == "°") {
                names.pop();
            }
            names.push((name, signed));
            return Ok(());
        }
        let long = short_word(word).ok_or_else(|| UnknownPiece(word.to_owned()))?;
        let mut inner = Vec::new();
        Scan::new(long).all(&mut inner)?;
        names.extend(
            inner
                .into_iter()
                .map(|(n, p)| (n, p.saturating_mul(signed))),
        );
        Ok(())
    }

    /// A power right after a name: `2`, `^2`, `-2`, `^-2`.
    fn power(&mut self) -> Option<i8> {
        let mut ahead = 0;
        if self.peek(ahead) == Some('^') {
            ahead += 1;
        }
        let negative = self.peek(ahead) == Some('-');
        if negative {
            ahead += 1;
        }
        let digit = self.peek(ahead)?.to_digit(10)?;
        if self.peek(ahead + 1).is_some_and(|c| c.is_ascii_digit()) {
            return None;
        }
        self.at += ahead + 1;
        let power = i8::try_from(digit).ok()?;
        Some(if negative { -power } else { power })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use rstest::rstest;

    #[rstest]
    #[case("W/m2K", "W/(m²·K)")]
    #[case("W m-2 K-1", "W/(m²·K)")]
    #[case("Btu/h ft2 F", "BTU/(hr·sq ft·deg F)")]
    #[case("umol m^-2 s^-1", "µmol/m²/s")]
    #[case("cfm", "cubic feet per minute")]
    #[case("in w.g.", "inH2O")]
    #[case("\" w.c.", "in-wg")]
    #[case("gal/sf/day", "gallons per square foot per day")]
    #[case("1/h", "/hr")]
    #[case("% RH", "%RH")]
    fn two_spellings_of_one_unit(#[case] a: &str, #[case] b: &str) {
        assert_eq!(UnitText::parse(a), UnitText::parse(b));
        assert!(UnitText::parse(a).is_ok());
    }

    #[rstest]
    #[case("mW", "MW")]
    #[case("W/K", "K/W")]
    #[case("m2", "m3")]
    #[case("kg/kg", "g/kg")]
    fn two_units_that_differ(#[case] a: &str, #[case] b: &str) {
        assert_ne!(UnitText::parse(a), UnitText::parse(b));
    }
}

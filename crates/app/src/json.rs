//! The border at which results become JSON: numbers are rounded here and
//! nowhere else.

use std::io::{self, Write};

use anyhow::{Context, Result};
use serde::Serialize;
use serde_json::ser::{CharEscape, Formatter, PrettyFormatter, Serializer};

/// Significant digits of a number. More than any result is known to, fewer than
/// binary fractions betray themselves in.
const DIGITS: usize = 7;

/// A result as JSON, to be read by people too.
pub(crate) fn text(result: &impl Serialize) -> Result<String> {
    let mut bytes = Vec::new();
    let mut serializer = Serializer::with_formatter(&mut bytes, Rounding::default());
    result.serialize(&mut serializer)?;
    String::from_utf8(bytes).context("JSON is text")
}

/// To [`DIGITS`] significant digits; a negative zero is a zero.
fn rounded(x: f64) -> f64 {
    let near = format!("{x:.*e}", DIGITS - 1).parse().unwrap_or(x);
    if near == 0.0 { 0.0 } else { near }
}

/// Lays out as [`PrettyFormatter`] does, with rounded numbers.
#[derive(Default)]
struct Rounding<'a>(PrettyFormatter<'a>);

impl Formatter for Rounding<'_> {
    fn write_f64<W: ?Sized + Write>(&mut self, to: &mut W, value: f64) -> io::Result<()> {
        self.0.write_f64(to, rounded(value))
    }

    fn write_char_escape<W: ?Sized + Write>(
        &mut self,
        to: &mut W,
        c: CharEscape,
    ) -> io::Result<()> {
        self.0.write_char_escape(to, c)
    }

    fn begin_array<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.begin_array(to)
    }

    fn end_array<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_array(to)
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, to: &mut W, first: bool) -> io::Result<()> {
        self.0.begin_array_value(to, first)
    }

    fn end_array_value<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_array_value(to)
    }

    fn begin_object<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.begin_object(to)
    }

    fn end_object<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_object(to)
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, to: &mut W, first: bool) -> io::Result<()> {
        self.0.begin_object_key(to, first)
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.begin_object_value(to)
    }

    fn end_object_value<W: ?Sized + Write>(&mut self, to: &mut W) -> io::Result<()> {
        self.0.end_object_value(to)
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

    use super::*;

    #[test]
    fn numbers_are_rounded_and_nothing_else_is() {
        assert_eq!(rounded(0.1 + 0.5), 0.6);
        assert_eq!(rounded(3.0 * 0.2).to_string(), "0.6");
        assert_eq!(rounded(101_325.012_345), 101_325.0);
        assert_eq!(rounded(-1.234_567_890_12e-12), -1.234_568e-12);
        assert!(rounded(-0.0).is_sign_positive());
    }

    /// The layout is that of the library, with its keys in their order.
    #[test]
    fn layout_is_the_usual_one() {
        let value = serde_json::json!({
            "b": [1, 0.25, null, "a\"\n"], "a": {}, "c": [], "d": {"e": [{"f": true}]}
        });
        assert_eq!(
            text(&value).unwrap(),
            serde_json::to_string_pretty(&value).unwrap()
        );
        assert_eq!(text(&[0.6000000000000001]).unwrap(), "[\n  0.6\n]");
        assert_eq!(text(&[f64::NAN]).unwrap(), "[\n  null\n]");
    }
}

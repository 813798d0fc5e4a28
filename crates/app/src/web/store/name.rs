//! Names of jobs and rooms that are safe as file names everywhere.

use std::fmt;

/// A name that is one plain path component on every system.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Name(String);

/// Longest name, in characters.
const LONGEST: usize = 60;

/// Names that Windows keeps for devices.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];

impl Name {
    /// The name in this text.
    ///
    /// # Errors
    /// Empty, too long, other signs than letters, digits, `-`, `_`, space and
    /// `.`, a leading `.` or `-`, a trailing `.` or space, or a device of Windows.
    pub(crate) fn new(text: &str) -> Result<Self, String> {
        let text = text.trim();
        let plain = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_' | ' ' | '.');
        if text.is_empty() {
            return Err("a name is asked; nothing was typed".into());
        }
        if LONGEST < text.chars().count() {
            return Err(format!("the name is longer than {LONGEST} characters"));
        }
        if let Some(c) = text.chars().find(|c| !plain(*c)) {
            return Err(format!(
                "{} cannot stand in a name; letters, digits, spaces, - _ and . can",
                if crate::letters::is_unseen(c) {
                    "a letter that is not seen".to_owned()
                } else {
                    format!("\"{c}\"")
                }
            ));
        }
        let stem = text.split('.').next().unwrap_or_default().to_lowercase();
        let numbered = |kind: &str| {
            stem.strip_prefix(kind)
                .is_some_and(|n| n.len() == 1 && n.chars().all(|c| c.is_ascii_digit()))
        };
        if text.starts_with(['.', '-'])
            || text.ends_with('.')
            || DEVICES.contains(&stem.as_str())
            || numbered("com")
            || numbered("lpt")
        {
            return Err(format!(
                "\"{text}\" cannot be the name of a file on every system; choose another"
            ));
        }
        Ok(Self(text.to_owned()))
    }

    /// This name with a number before its ending, "meter 2.csv"; shortened where
    /// it would be too long.
    ///
    /// # Errors
    /// Its ending leaves no place for the number.
    pub(super) fn numbered(&self, n: usize) -> Result<Self, String> {
        let (stem, ending) = self.0.split_at(self.0.rfind('.').unwrap_or(self.0.len()));
        let tail = format!(" {n}{ending}");
        let left = LONGEST.saturating_sub(tail.chars().count());
        let stem: String = stem.chars().take(left).collect();
        Self::new(&format!("{}{tail}", stem.trim_end()))
    }

    /// The name in small letters: on some systems capitals tell no names apart.
    pub(crate) fn lower(&self) -> String {
        self.0.to_lowercase()
    }

    /// The name.
    pub(crate) fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_numbered_name_keeps_its_ending_and_is_not_too_long() {
        let numbered = |text: &str| Name::new(text).unwrap().numbered(2).map(|n| n.to_string());
        assert_eq!(numbered("meter.csv"), Ok("meter 2.csv".into()));
        assert_eq!(numbered("meter"), Ok("meter 2".into()));
        let long = numbered(&format!("{}.csv", "x".repeat(56))).unwrap();
        assert_eq!(long, format!("{} 2.csv", "x".repeat(54)));
        let ending = Name::new(&format!("x.{}", "y".repeat(58))).unwrap();
        assert!(ending.numbered(10).is_err());
    }

    #[test]
    fn plain_names_pass_and_paths_do_not() {
        for good in ["Flower 2", "clone-room_1", "Süd", "2026.1", "a"] {
            assert_eq!(Name::new(good).map(|n| n.to_string()), Ok(good.to_owned()));
        }
        assert_eq!(Name::new("  a  ").map(|n| n.to_string()), Ok("a".into()));
        for bad in [
            "",
            "  ",
            ".",
            "..",
            "-rf",
            ".git",
            "a.",
            "a/b",
            "a\\b",
            "C:a",
            "con",
            "NUL.txt",
            "com1",
            "lpt9.a",
            "a\0b",
            "a\nb",
            "<script>",
            "a\u{202e}b",
        ] {
            assert!(Name::new(bad).is_err(), "{bad:?} passed");
        }
        assert!(Name::new(&"x".repeat(61)).is_err());
    }
}

//! What is wrong with a file, where, and how to mend it.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

use quantity::Line;
use serde::Serialize;

/// What kind of mistake a [`Problem`] is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// The file cannot be taken as text at all.
    NotText,
    /// Not TOML.
    Syntax,
    /// A section that the format does not have.
    UnknownSection,
    /// A key that the section does not have.
    UnknownKey,
    /// A key or section that must be there and is not.
    Missing,
    /// A number where text is needed, text where a list is needed, and so on.
    WrongType,
    /// Text that is not a quantity of the kind asked for.
    Unreadable,
    /// Read, but outside the physical range of the field.
    OutOfRange,
    /// Not one of the words allowed.
    UnknownChoice,
    /// Said twice.
    Duplicate,
    /// Two statements that cannot both hold.
    Contradiction,
}

/// One mistake in a file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// File name as the person knows it.
    pub file: Arc<str>,
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// Place in the text, in bytes.
    pub span: Range<usize>,
    /// What kind of mistake.
    pub fault: Fault,
    /// Dotted key, or the section, or empty.
    pub key: String,
    /// What was read, as it stands in the file; empty if nothing stands there.
    pub read: String,
    /// What is wrong.
    pub what: String,
    /// What is allowed; may be empty.
    pub allowed: String,
    /// How to mend it; may be empty.
    pub mend: String,
}

impl Problem {
    /// The place of the mistake.
    pub fn at(&self) -> Line {
        Line {
            file: self.file.clone(),
            line: self.line,
            column: self.column,
        }
    }
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}:{}: ", self.file, self.line, self.column)?;
        match (self.key.as_str(), self.read.as_str()) {
            ("", "") => {}
            (key, "") => write!(f, "{key}: ")?,
            ("", read) => write!(f, "{read}: ")?,
            (key, read) => write!(f, "{key} = {read}: ")?,
        }
        f.write_str(&self.what)?;
        if !self.allowed.is_empty() {
            write!(f, "; allowed: {}", self.allowed)?;
        }
        if !self.mend.is_empty() {
            write!(f, "; {}", self.mend)?;
        }
        Ok(())
    }
}

impl std::error::Error for Problem {}

/// All mistakes found, in the order of the text.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Problems(pub Vec<Problem>);

impl Problems {
    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many were found.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// The mistakes in order.
    pub fn iter(&self) -> std::slice::Iter<'_, Problem> {
        self.0.iter()
    }

    /// Adds one.
    pub fn push(&mut self, problem: Problem) {
        self.0.push(problem);
    }

    /// Takes over those of another pass or file.
    pub fn append(&mut self, mut other: Self) {
        self.0.append(&mut other.0);
    }

    /// Puts them in the order of the text, file by file in the order given.
    pub fn sort(&mut self) {
        let mut files: Vec<Arc<str>> = Vec::new();
        for p in &self.0 {
            if !files.contains(&p.file) {
                files.push(p.file.clone());
            }
        }
        self.0.sort_by_key(|p| {
            let file = files.iter().position(|f| *f == p.file);
            (file, p.line, p.column)
        });
    }
}

impl fmt::Display for Problems {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (i, p) in self.0.iter().enumerate() {
            if i > 0 {
                f.write_str("\n")?;
            }
            write!(f, "{p}")?;
        }
        Ok(())
    }
}

impl std::error::Error for Problems {}

impl<'a> IntoIterator for &'a Problems {
    type Item = &'a Problem;
    type IntoIter = std::slice::Iter<'a, Problem>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

/// The text of one file with the starts of its lines.
pub(crate) struct Page<'a> {
    pub(crate) file: Arc<str>,
    pub(crate) text: &'a str,
    line_starts: Vec<usize>,
}

impl<'a> Page<'a> {
    pub(crate) fn new(file_name: &str, text: &'a str) -> Self {
        let newlines = text.match_indices('\n').map(|(i, _)| i + 1);
        Self {
            file: file_name.into(),
            text,
            line_starts: std::iter::once(0).chain(newlines).collect(),
        }
    }

    /// Line from 1 and column in characters from 1.
    pub(crate) fn line_column(&self, byte: usize) -> (usize, usize) {
        let byte = byte.min(self.text.len());
        let line = self.line_starts.partition_point(|&s| s <= byte);
        let start = self.line_starts[line - 1];
        let before = self.text.get(start..byte).unwrap_or("");
        (line, before.chars().count() + 1)
    }

    /// Byte range of a line, from 1, with its line end.
    pub(crate) fn line_range(&self, line: usize) -> Range<usize> {
        let start = self.line_starts[line - 1];
        let end = self.line_starts.get(line).copied();
        start..end.unwrap_or(self.text.len())
    }

    pub(crate) fn at(&self, span: &Range<usize>) -> Line {
        let (line, column) = self.line_column(span.start);
        Line {
            file: self.file.clone(),
            line,
            column,
        }
    }

    /// A problem at a place of this text, with what stands there if `show`.
    pub(crate) fn problem(&self, span: Range<usize>, fault: Fault, key: &str) -> Problem {
        let (line, column) = self.line_column(span.start);
        Problem {
            file: self.file.clone(),
            line,
            column,
            span,
            fault,
            key: key.to_owned(),
            read: String::new(),
            what: String::new(),
            allowed: String::new(),
            mend: String::new(),
        }
    }

    /// What stands at a place, on one line and not too long.
    pub(crate) fn excerpt(&self, span: &Range<usize>) -> String {
        const LONGEST: usize = 60;
        let text = self.text.get(span.clone()).unwrap_or("");
        let one_line: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
        if one_line.chars().count() > LONGEST {
            let head: String = one_line.chars().take(LONGEST).collect();
            format!("{head}…")
        } else {
            one_line
        }
    }
}

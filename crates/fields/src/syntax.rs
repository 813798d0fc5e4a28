//! TOML syntax: all mistakes in one pass.
//!
//! The parser stops at the first mistake. Here the line of the mistake is
//! blanked (so that every other place stays where it was) and the text parsed
//! again, until it parses.

use toml_edit::Document;

use crate::problem::{Fault, Page, Problem};

/// Enough for a file that a person wrote; a file with more is not TOML at all.
const MOST_MISTAKES: usize = 40;

/// A document with its bad lines left out.
pub(crate) struct Parsed {
    pub(crate) document: Document<String>,
    /// What was wrong in those lines.
    pub(crate) problems: Vec<Problem>,
    /// Those lines.
    pub(crate) lost: String,
}

/// Parses what can be parsed.
pub(crate) fn parse(page: &Page<'_>) -> Parsed {
    let mut text = page.text.to_owned();
    let mut problems = Vec::new();
    let mut lost = String::new();
    let mut last_line = None;
    for _ in 0..MOST_MISTAKES {
        let error = match Document::parse(text.clone()) {
            Ok(document) => {
                return Parsed {
                    document,
                    problems,
                    lost,
                };
            }
            Err(error) => error,
        };
        let span = error.span().unwrap_or(0..0);
        let line = statement_line(page, &text, span.start);
        if last_line.is_none_or(|last| line != last + 1) || is_statement(page, line) {
            problems.push(problem(page, &span, line, error.message()));
        }
        last_line = Some(line);
        lost.push_str(&blank(page, &mut text, line));
    }
    Parsed {
        document: empty(),
        problems,
        lost: page.text.to_owned(),
    }
}

fn empty() -> Document<String> {
    // An empty text always parses; an empty document is the only alternative.
    Document::parse(String::new()).unwrap_or_else(|_| unreachable!("empty text is TOML"))
}

fn problem(page: &Page<'_>, span: &std::ops::Range<usize>, line: usize, message: &str) -> Problem {
    let fault = if message.contains("duplicate") {
        Fault::Duplicate
    } else {
        Fault::Syntax
    };
    let at = if page.line_column(span.start).0 == line {
        span.clone()
    } else {
        page.line_range(line)
    };
    let mut p = page.problem(at, fault, "");
    p.read = page.excerpt(&page.line_range(line));
    if fault == Fault::Duplicate {
        p.what = "said twice".to_owned();
        p.mend = "keep one of the two".to_owned();
    } else {
        p.what = format!("not TOML: {}", message.replace('\n', ", "));
        p.mend = "a line is: key = \"value\", or [section], or # comment".to_owned();
    }
    p
}

/// The line to blame: that of the mistake, or the last line with text before
/// it when the mistake is at a line end or the end of the text.
fn statement_line(page: &Page<'_>, text: &str, byte: usize) -> usize {
    let mut line = page.line_column(byte).0;
    while line > 1 && text[page.line_range(line)].trim().is_empty() {
        line -= 1;
    }
    line
}

fn is_statement(page: &Page<'_>, line: usize) -> bool {
    let text = page.text[page.line_range(line)].trim_start();
    let is_key = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | ' ');
    text.starts_with('[')
        || text
            .split_once('=')
            .is_some_and(|(key, _)| !key.is_empty() && key.chars().all(is_key))
}

/// Blanks a line; a section header takes its section with it, because its keys
/// would otherwise fall to the section before. Returns what was blanked.
fn blank(page: &Page<'_>, text: &mut String, line: usize) -> String {
    let mut range = page.line_range(line);
    if text[range.clone()].trim_start().starts_with('[') {
        let rest = &text[range.end..];
        let next = rest
            .match_indices('\n')
            .map(|(i, _)| i + 1)
            .chain([0])
            .filter(|&i| rest[i..].trim_start_matches([' ', '\t']).starts_with('['))
            .min();
        range.end = next.map_or(text.len(), |i| range.end + i);
    }
    let blanked: String = text[range.clone()]
        .bytes()
        .map(|b| if b == b'\n' { '\n' } else { ' ' })
        .collect();
    let lost = text[range.clone()].to_owned();
    text.replace_range(range, &blanked);
    lost
}

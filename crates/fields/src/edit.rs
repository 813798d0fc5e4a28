//! Changes to a text that a person wrote: keys set and removed, sections added
//! and removed, all else left byte for byte, comments and order included.

use std::collections::BTreeMap;

use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, Value};

use crate::table::{Format, Kind, Repeat};

/// A section as it stands in a text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Written {
    /// Key of the section in the format.
    pub section: &'static str,
    /// Which of its kind, from 0.
    pub nth: usize,
    /// Line on which it begins, from 1.
    pub line: usize,
    /// What stands at each key, as a person would type it.
    pub keys: BTreeMap<String, String>,
}

/// One change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Change {
    /// Writes a value as a person typed it; the section is added where it is
    /// not there.
    Set {
        /// Key of the section.
        section: String,
        /// Which of its kind, from 0; the number there are adds one.
        nth: usize,
        /// Key in it.
        key: String,
        /// What was typed.
        typed: String,
    },
    /// Takes a key out.
    Unset {
        /// Key of the section.
        section: String,
        /// Which of its kind, from 0.
        nth: usize,
        /// Key in it.
        key: String,
    },
    /// Takes a whole section out.
    Remove {
        /// Key of the section.
        section: String,
        /// Which of its kind, from 0.
        nth: usize,
    },
}

/// Why a text was not changed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The text is no TOML, so that nobody knows where anything stands.
    #[error("the file cannot be read as it is ({0}); mend it in the text first")]
    Syntax(String),
    /// A section or key that the format does not have.
    #[error("there is no {0} in this kind of file")]
    Unknown(String),
    /// A section that is not there.
    #[error("section {0} is not in the file")]
    Absent(String),
    /// The file writes the section in another way than tables.
    #[error("{0} is written in a way that only the text can change")]
    OtherwiseWritten(String),
}

/// The sections that stand in a text, in the order of the format.
///
/// # Errors
/// The text is no TOML.
pub fn written(format: &Format, text: &str) -> Result<Vec<Written>, EditError> {
    let document = toml_edit::Document::parse(text.to_owned())
        .map_err(|e| EditError::Syntax(first_line(&e.to_string())))?;
    let mut all = Vec::new();
    for section in format.sections {
        let Some(item) = at(document.as_item(), section.key) else {
            continue;
        };
        let tables: Vec<&dyn toml_edit::TableLike> = match item {
            Item::ArrayOfTables(tables) => tables.iter().map(|t| t as _).collect(),
            item => item.as_table_like().into_iter().collect(),
        };
        for (nth, table) in tables.into_iter().enumerate() {
            let keys: BTreeMap<String, String> = section
                .fields
                .iter()
                .filter_map(|f| Some((f.key.to_owned(), typed(table.get(f.key)?)?)))
                .collect();
            let span = item_span(item, nth).or_else(|| {
                table
                    .iter()
                    .filter_map(|(_, i)| i.span())
                    .min_by_key(|s| s.start)
            });
            let is_header_only = keys.is_empty() && span.is_none();
            if is_header_only && section.repeat != Repeat::Many {
                continue;
            }
            let start = span.map_or(0, |s| s.start);
            all.push(Written {
                section: section.key,
                nth,
                line: 1 + text.get(..start).unwrap_or("").matches('\n').count(),
                keys,
            });
        }
    }
    Ok(all)
}

/// The text with all changes made, in order.
///
/// # Errors
/// The text is no TOML, or a change names what the format or the text does not
/// have. Nothing is changed then.
pub fn changed(format: &Format, text: &str, changes: &[Change]) -> Result<String, EditError> {
    let mut document: DocumentMut = text
        .parse()
        .map_err(|e: toml_edit::TomlError| EditError::Syntax(first_line(&e.to_string())))?;
    for change in changes {
        match change {
            Change::Set {
                section,
                nth,
                key,
                typed,
            } => {
                let kind = kind_of(format, section, key)?;
                let table = table_mut(format, &mut document, section, *nth, IfAbsent::Add)?;
                set(table, key, value(kind, typed));
            }
            Change::Unset { section, nth, key } => {
                kind_of(format, section, key)?;
                let table = table_mut(format, &mut document, section, *nth, IfAbsent::Refuse)?;
                table.remove(key);
            }
            Change::Remove { section, nth } => remove(format, &mut document, section, *nth)?,
        }
    }
    let made = document.to_string();
    // The document knows one kind of line end only.
    Ok(if text.contains("\r\n") {
        made.replace('\n', "\r\n")
    } else {
        made
    })
}

/// What to do where a section is not there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum IfAbsent {
    Add,
    Refuse,
}

fn first_line(text: &str) -> String {
    text.lines().next().unwrap_or_default().to_owned()
}

fn kind_of(format: &Format, section: &str, key: &str) -> Result<Kind, EditError> {
    let unknown = || EditError::Unknown(format!("{section}.{key}"));
    let section = format.section(section).ok_or_else(unknown)?;
    let field = section.fields.iter().find(|f| f.key == key);
    field.map(|f| f.kind).ok_or_else(unknown)
}

/// The item at a dotted key; the root for the empty one.
fn at<'a>(root: &'a Item, dotted: &str) -> Option<&'a Item> {
    if dotted.is_empty() {
        return Some(root);
    }
    dotted
        .split('.')
        .try_fold(root, |item, part| item.as_table_like()?.get(part))
}

/// Where the header of a table stands.
fn item_span(item: &Item, nth: usize) -> Option<std::ops::Range<usize>> {
    match item {
        Item::ArrayOfTables(tables) => tables.get(nth)?.span(),
        Item::Table(table) => table.span(),
        other => other.span(),
    }
}

/// What a value says, as a person would type it into a field.
fn typed(item: &Item) -> Option<String> {
    let of_value = |v: &Value| match v {
        Value::String(s) => s.value().clone(),
        other => other.to_string().trim().to_owned(),
    };
    match item.as_value()? {
        Value::Array(items) => Some(items.iter().map(of_value).collect::<Vec<_>>().join(", ")),
        value => Some(of_value(value)),
    }
}

/// What was typed as the value that the reader asks for.
fn value(kind: Kind, typed: &str) -> Value {
    let typed = typed.trim();
    let parts = || -> Array {
        typed
            .split(", ")
            .map(|p| p.trim().trim_end_matches(',').to_owned())
            .filter(|p| !p.is_empty())
            .collect()
    };
    match kind {
        Kind::Count { .. } => typed
            .parse::<i64>()
            .map_or_else(|_| typed.into(), Into::into),
        Kind::Point => Value::Array(parts()),
        Kind::List(_) => match typed {
            // Lists of points or of tables are written as they stand in the file.
            raw if raw.starts_with('[') => format!("[{raw}]")
                .parse::<Value>()
                .or_else(|_| raw.parse())
                .unwrap_or_else(|_| raw.into()),
            _ => Value::Array(parts()),
        },
        Kind::Map(_) => typed.parse().unwrap_or_else(|_| typed.into()),
        _ => typed.into(),
    }
}

/// Sets a value where it stands, with the blanks and the comment around it.
fn set(table: &mut dyn toml_edit::TableLike, key: &str, mut new: Value) {
    match table.get_mut(key) {
        Some(Item::Value(old)) => {
            *new.decor_mut() = old.decor().clone();
            *old = new;
        }
        _ => {
            table.insert(key, Item::Value(new));
        }
    }
}

fn table_mut<'a>(
    format: &Format,
    document: &'a mut DocumentMut,
    key: &str,
    nth: usize,
    absent: IfAbsent,
) -> Result<&'a mut dyn toml_edit::TableLike, EditError> {
    let section = format
        .section(key)
        .ok_or_else(|| EditError::Unknown(key.to_owned()))?;
    let other = || EditError::OtherwiseWritten(key.to_owned());
    if key.is_empty() {
        return Ok(document.as_table_mut());
    }
    let (parents, last) = key.rsplit_once('.').map_or(("", key), |(p, l)| (p, l));
    let is_new = at(document.as_item(), key).is_none();
    if is_new && absent == IfAbsent::Refuse {
        return Err(EditError::Absent(key.to_owned()));
    }
    let starts = document.to_string().is_empty();
    let mut table: &mut Table = document.as_table_mut();
    for part in parents.split('.').filter(|p| !p.is_empty()) {
        let parent = table.entry(part).or_insert_with(|| {
            let mut parent = Table::new();
            parent.set_implicit(true);
            Item::Table(parent)
        });
        table = parent.as_table_mut().ok_or_else(other)?;
    }
    let fresh = || {
        let mut fresh = Table::new();
        fresh.decor_mut().set_prefix(if starts { "" } else { "\n" });
        fresh
    };
    if section.repeat == Repeat::Many {
        let item = table
            .entry(last)
            .or_insert_with(|| Item::ArrayOfTables(ArrayOfTables::new()));
        let tables = item.as_array_of_tables_mut().ok_or_else(other)?;
        if nth == tables.len() && absent == IfAbsent::Add {
            tables.push(fresh());
        }
        let table = tables
            .get_mut(nth)
            .ok_or_else(|| EditError::Absent(format!("{key} {}", nth + 1)))?;
        return Ok(table);
    }
    let item = table.entry(last).or_insert_with(|| Item::Table(fresh()));
    if let Item::Table(table) = item {
        // `[a.b]` alone makes `a` without a header; a key of its own needs one.
        table.set_implicit(false);
    }
    item.as_table_like_mut().ok_or_else(other)
}

fn remove(
    format: &Format,
    document: &mut DocumentMut,
    key: &str,
    nth: usize,
) -> Result<(), EditError> {
    let section = format
        .section(key)
        .ok_or_else(|| EditError::Unknown(key.to_owned()))?;
    let absent = || EditError::Absent(key.to_owned());
    let (parents, last) = key.rsplit_once('.').map_or(("", key), |(p, l)| (p, l));
    let mut table: &mut Table = document.as_table_mut();
    for part in parents.split('.').filter(|p| !p.is_empty()) {
        table = table
            .get_mut(part)
            .and_then(Item::as_table_mut)
            .ok_or_else(absent)?;
    }
    if section.repeat == Repeat::Many {
        let tables = table
            .get_mut(last)
            .and_then(Item::as_array_of_tables_mut)
            .ok_or_else(absent)?;
        if tables.len() <= nth {
            return Err(absent());
        }
        tables.remove(nth);
        if tables.is_empty() {
            table.remove(last);
        }
        return Ok(());
    }
    table.remove(last).map(|_| ()).ok_or_else(absent)
}

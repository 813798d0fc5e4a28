//! One value of a file, read under the kind of its field.

use quantity::{Band, Dim};
use toml_edit::Value as Toml;

use crate::map::{Map, match_head};
use crate::problem::{Fault, Page, Problem};
use crate::table::{Column, Kind, limits};

/// A value that was read, in SI.
#[derive(Clone, Debug)]
pub(crate) enum Datum {
    Number(f64),
    Band(Band),
    Text(String),
    Choice(&'static str),
    Clock(u32),
    Date(String),
    Count(u32),
    Point([f64; 3]),
    List(Vec<Datum>),
    Map(Map),
}

/// What is wrong with a value, before its place is known.
#[derive(Debug)]
pub(crate) struct Trouble {
    fault: Fault,
    what: String,
    allowed: String,
    mend: String,
}

impl Trouble {
    fn new(fault: Fault, what: impl Into<String>) -> Self {
        Self {
            fault,
            what: what.into(),
            allowed: String::new(),
            mend: String::new(),
        }
    }

    fn allowed(self, allowed: impl Into<String>) -> Self {
        Self {
            allowed: allowed.into(),
            ..self
        }
    }

    fn mend(self, mend: impl Into<String>) -> Self {
        Self {
            mend: mend.into(),
            ..self
        }
    }
}

/// Reads a value of the file; every item of a list is judged.
pub(crate) fn read(
    page: &Page<'_>,
    key: &str,
    kind: &Kind,
    value: &Toml,
) -> Result<Datum, Vec<Problem>> {
    let one = |t: Trouble| vec![place(page, key, value, t)];
    match kind {
        Kind::List(item) => match value {
            Toml::Array(array) => {
                let whole = matches!(item, Kind::Point) && array.iter().all(|v| !v.is_array());
                if whole && !array.is_empty() {
                    return Ok(Datum::List(vec![read(page, key, item, value)?]));
                }
                all(array.iter().map(|v| read(page, key, item, v))).map(Datum::List)
            }
            _ => Ok(Datum::List(vec![read(page, key, item, value)?])),
        },
        Kind::Point => read_point(page, key, value),
        Kind::Map(_) => Err(one(Trouble::new(Fault::WrongType, "rows are needed here"))),
        _ => {
            let datum = match value {
                Toml::String(s) => read_text(kind, key, s.value()),
                other => read_bare(kind, key, other),
            };
            datum.map_err(one)
        }
    }
}

/// Attaches a trouble to the value that has it.
fn place(page: &Page<'_>, key: &str, value: &Toml, trouble: Trouble) -> Problem {
    let span = value.span().unwrap_or(0..0);
    let mut p = page.problem(span.clone(), trouble.fault, key);
    p.read = page.excerpt(&span);
    p.what = trouble.what;
    p.allowed = trouble.allowed;
    p.mend = trouble.mend;
    p
}

/// All items, or all their problems.
fn all<T>(items: impl Iterator<Item = Result<T, Vec<Problem>>>) -> Result<Vec<T>, Vec<Problem>> {
    let mut good = Vec::new();
    let mut bad = Vec::new();
    for item in items {
        match item {
            Ok(x) => good.push(x),
            Err(mut p) => bad.append(&mut p),
        }
    }
    if bad.is_empty() { Ok(good) } else { Err(bad) }
}

/// Reads text under a kind; also how every default of a table is read.
pub(crate) fn read_text(kind: &Kind, key: &str, text: &str) -> Result<Datum, Trouble> {
    match *kind {
        Kind::Quantity { dim, min, max } => {
            let value = quantity::read(text, dim).map_err(|e| unreadable(&e, dim, min, max))?;
            within(value.si, dim, min, max)?;
            Ok(Datum::Number(value.si))
        }
        Kind::Band { dim, min, max } => {
            let band = quantity::read_band(text, dim).map_err(|e| unreadable(&e, dim, min, max))?;
            for x in [band.low, band.likely, band.high] {
                within(x, dim, min, max)?;
            }
            Ok(Datum::Band(band))
        }
        Kind::Text => {
            let text = text.trim();
            if text.is_empty() {
                return Err(Trouble::new(Fault::WrongType, "nothing stands here")
                    .mend(format!("write words, or take {} out", last(key))));
            }
            Ok(Datum::Text(text.to_owned()))
        }
        Kind::Choice(words) => read_choice(words, text),
        Kind::Clock => read_clock(text).map(Datum::Clock),
        Kind::Date => read_date(text).map(Datum::Date),
        Kind::Count { min, max } => match text.trim().parse::<i64>() {
            Ok(n) => read_count(n, min, max),
            Err(_) => Err(Trouble::new(Fault::WrongType, "not a whole number")
                .allowed(format!("{min} to {max}"))),
        },
        Kind::List(item) => Ok(Datum::List(vec![read_text(item, key, text)?])),
        Kind::Point => Err(not_a_point(key)),
        Kind::Map(_) => Err(Trouble::new(Fault::WrongType, "rows are needed here")),
    }
}

fn unreadable(error: &quantity::ReadError, dim: Dim, min: f64, max: f64) -> Trouble {
    let what = format!("not {}: {}", error.expected(), error.why_text());
    Trouble::new(Fault::Unreadable, what)
        .allowed(limits(dim, min, max))
        .mend(error.hint())
}

fn within(x: f64, dim: Dim, min: f64, max: f64) -> Result<(), Trouble> {
    if x.is_finite() && in_limits(x, min, max) {
        return Ok(());
    }
    let what = if x > max { "too large" } else { "too small" };
    Err(Trouble::new(Fault::OutOfRange, what)
        .allowed(limits(dim, min, max))
        .mend("check the number and its unit"))
}

/// Inclusive limits; unit conversion may miss a limit by rounding.
fn in_limits(x: f64, min: f64, max: f64) -> bool {
    const ROUNDING: f64 = 1e-9;
    let slack = ROUNDING * min.abs().max(max.abs());
    (min - slack..=max + slack).contains(&x)
}

fn read_choice(words: &'static [(&str, &str)], text: &str) -> Result<Datum, Trouble> {
    let plain = plain(text);
    if let Some((word, _)) = words.iter().find(|(w, _)| self::plain(w) == plain) {
        return Ok(Datum::Choice(word));
    }
    let mut trouble = Trouble::new(Fault::UnknownChoice, "not known").allowed(quoted(words));
    if let Some(word) = nearest(&plain, words.iter().map(|(w, _)| *w)) {
        trouble = trouble.mend(format!("did you mean \"{word}\"?"));
    }
    Err(trouble)
}

/// The key without its section.
fn last(key: &str) -> &str {
    key.rsplit('.').next().unwrap_or(key)
}

/// Lower case, with spaces for hyphens and underscores.
fn plain(text: &str) -> String {
    let spaced = text.trim().to_lowercase().replace(['_', '-', '−'], " ");
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn quoted(words: &[(&str, &str)]) -> String {
    let quoted: Vec<_> = words.iter().map(|(w, _)| format!("\"{w}\"")).collect();
    quoted.join(", ")
}

/// The nearest of some names, if one is near.
pub(crate) fn nearest<'a>(name: &str, names: impl Iterator<Item = &'a str>) -> Option<&'a str> {
    const NEAR: f64 = 0.55;
    names
        .map(|n| (strsim::normalized_damerau_levenshtein(name, n), n))
        .filter(|(likeness, _)| *likeness >= NEAR)
        .max_by(|a, b| a.0.total_cmp(&b.0))
        .map(|(_, n)| n)
}

fn read_clock(text: &str) -> Result<u32, Trouble> {
    let trouble = || {
        Trouble::new(Fault::Unreadable, "not a time of day")
            .allowed("\"00:00\" to \"23:59\"")
            .mend("write hours and minutes on the 24-hour clock, such as \"07:00\"")
    };
    let (h, m) = text.trim().split_once(':').ok_or_else(trouble)?;
    let is_digits = |s: &str| (1..=2).contains(&s.len()) && s.bytes().all(|b| b.is_ascii_digit());
    if !is_digits(h) || m.len() != 2 || !is_digits(m) {
        return Err(trouble());
    }
    match (h.parse::<u32>(), m.parse::<u32>()) {
        (Ok(h), Ok(m)) if h < 24 && m < 60 => Ok(h * 3600 + m * 60),
        _ => Err(trouble()),
    }
}

fn read_date(text: &str) -> Result<String, Trouble> {
    let date = text.trim().parse::<toml_edit::Datetime>().ok();
    match date {
        Some(d) if d.date.is_some() && d.time.is_none() => Ok(d.to_string()),
        _ => Err(Trouble::new(Fault::Unreadable, "not a date")
            .mend("write year, month and day, such as \"2026-03-01\"")),
    }
}

fn read_count(n: i64, min: u32, max: u32) -> Result<Datum, Trouble> {
    match u32::try_from(n) {
        Ok(n) if (min..=max).contains(&n) => Ok(Datum::Count(n)),
        _ => {
            let what = if n > i64::from(max) {
                "too large"
            } else {
                "too small"
            };
            Err(Trouble::new(Fault::OutOfRange, what)
                .allowed(format!("{min} to {max}"))
                .mend("check the number"))
        }
    }
}

/// A value that is not in quotes.
fn read_bare(kind: &Kind, key: &str, value: &Toml) -> Result<Datum, Trouble> {
    let number = match value {
        Toml::Integer(i) => Some(*i.value() as f64),
        Toml::Float(f) => Some(*f.value()),
        _ => None,
    };
    match (*kind, value) {
        (Kind::Count { min, max }, Toml::Integer(i)) => return read_count(*i.value(), min, max),
        (Kind::Date, Toml::Datetime(d)) => {
            return read_date(&d.value().to_string()).map(Datum::Date);
        }
        _ => {}
    }
    if let (Kind::Quantity { dim, min, max } | Kind::Band { dim, min, max }, Some(x)) =
        (*kind, number)
    {
        if needs_no_unit(dim) {
            within(x, dim, min, max)?;
            return Ok(match kind {
                Kind::Band { .. } => Datum::Band(Band::exact(x)),
                _ => Datum::Number(x),
            });
        }
        return Err(Trouble::new(Fault::WrongType, "a bare number says no unit")
            .allowed(limits(dim, min, max))
            .mend(with_unit(key, value.to_string().trim(), dim)));
    }
    Err(Trouble::new(
        Fault::WrongType,
        format!("{} stands here", value.type_name()),
    )
    .mend(format!("write {key} = {}", example(kind))))
}

/// A bare number with the units that people most likely meant.
fn with_unit(key: &str, number: &str, dim: Dim) -> String {
    let number = number.trim();
    let key = last(key);
    let metric = dim.unit(quantity::UnitSystem::Metric);
    let us = dim.unit(quantity::UnitSystem::Us);
    if metric == us {
        format!("write the unit in quotes: {key} = \"{number} {metric}\"")
    } else {
        format!(
            "write the unit in quotes: {key} = \"{number} {us}\" or {key} = \"{number} {metric}\""
        )
    }
}

/// Kinds of number that people write without a unit.
pub(crate) fn needs_no_unit(dim: Dim) -> bool {
    matches!(dim, Dim::Number | Dim::Count | Dim::Money)
}

/// An example of what may stand in a field, as written in the file.
pub(crate) fn example(kind: &Kind) -> String {
    match kind {
        Kind::Quantity { dim, min, max } | Kind::Band { dim, min, max } => {
            let x = likely_between(*min, *max);
            let shown = quantity::Value::new(x, *dim)
                .digits(2)
                .show(quantity::UnitSystem::Metric);
            format!("\"{shown}\"")
        }
        Kind::Text => "\"words\"".to_owned(),
        Kind::Choice(words) => format!("\"{}\"", words[0].0),
        Kind::Clock => "\"07:00\"".to_owned(),
        Kind::Date => "\"2026-03-01\"".to_owned(),
        Kind::Count { min, .. } => format!("{min}"),
        Kind::Point => "[\"4 m\", \"1.5 m\", \"2.5 m\"]".to_owned(),
        Kind::List(item) => format!("[{}]", example(item)),
        Kind::Map(_) => "[[80, 60, 150]]".to_owned(),
    }
}

/// A number well inside a range: between the ends in ratio if both are
/// positive (ranges often span decades), else in the middle.
fn likely_between(min: f64, max: f64) -> f64 {
    if min > 0.0 {
        (min * max).sqrt()
    } else if min == 0.0 {
        max / 10.0
    } else {
        f64::midpoint(min, max)
    }
}

fn not_a_point(key: &str) -> Trouble {
    Trouble::new(Fault::WrongType, "not a point")
        .allowed("three lengths: x from the door wall, y, z from the floor")
        .mend(format!("write {} = {}", last(key), example(&Kind::Point)))
}

fn read_point(page: &Page<'_>, key: &str, value: &Toml) -> Result<Datum, Vec<Problem>> {
    /// Farther than this from the room's corner is not in the building.
    const FAR_M: f64 = 1000.0;
    const LENGTH: Kind = Kind::quantity(Dim::Length, -FAR_M, FAR_M);
    let array = match value {
        Toml::Array(array) if array.len() == 3 => array,
        _ => return Err(vec![place(page, key, value, not_a_point(key))]),
    };
    let read = all(array.iter().map(|v| read(page, key, &LENGTH, v)))?;
    let mut point = [0.0; 3];
    for (to, from) in point.iter_mut().zip(read) {
        if let Datum::Number(x) = from {
            *to = x;
        }
    }
    Ok(Datum::Point(point))
}

/// Reads `columns` and `rows` together.
pub(crate) fn read_map(
    page: &Page<'_>,
    keys: (&str, &str),
    known: &'static [Column],
    columns: &Toml,
    rows: &Toml,
) -> Result<Datum, Vec<Problem>> {
    let (columns_key, rows_key) = keys;
    let heads = read_heads(page, columns_key, known, columns)?;
    let Toml::Array(array) = rows else {
        let t = Trouble::new(Fault::WrongType, "rows are needed here")
            .mend("write rows = [[80, 60, 150], [73, 60, 126]]");
        return Err(vec![place(page, rows_key, rows, t)]);
    };
    let rows = all(array.iter().map(|row| match row {
        Toml::Array(cells) if cells.len() == heads.len() => all(cells
            .iter()
            .zip(&heads)
            .map(|(cell, head)| read_cell(page, rows_key, head, cell))),
        _ => {
            let what = format!("a row of {} numbers is needed", heads.len());
            let t =
                Trouble::new(Fault::WrongType, what).mend("give one number for each column head");
            Err(vec![place(page, rows_key, row, t)])
        }
    }))?;
    Ok(Datum::Map(Map {
        columns: heads.iter().map(|h| h.column.name).collect(),
        rows,
    }))
}

struct Head {
    column: &'static Column,
    unit: String,
}

fn read_heads(
    page: &Page<'_>,
    key: &str,
    known: &'static [Column],
    columns: &Toml,
) -> Result<Vec<Head>, Vec<Problem>> {
    let names = || {
        let names: Vec<_> = known.iter().map(|c| c.name).collect();
        names.join(", ")
    };
    let Toml::Array(array) = columns else {
        let t = Trouble::new(Fault::WrongType, "a list of column heads is needed")
            .allowed(names())
            .mend("write columns = [\"dry bulb °F\", \"RH %\"]");
        return Err(vec![place(page, key, columns, t)]);
    };
    let mut seen: Vec<&str> = Vec::new();
    let heads = all(array.iter().map(|v| {
        let fail = |t: Trouble| Err(vec![place(page, key, v, t)]);
        let Some((column, unit)) = v.as_str().and_then(|h| match_head(h.trim(), known)) else {
            return fail(
                Trouble::new(Fault::UnknownChoice, "not a column of this table").allowed(names()),
            );
        };
        // The unit is judged once, in the head, with a number that suits it.
        let middle = quantity::read(&format!("1 {unit}"), column.dim);
        if let Err(e) = middle {
            return fail(Trouble::new(
                Fault::Unreadable,
                format!("the unit of this column cannot be read: {e}"),
            ));
        }
        if seen.contains(&column.name) {
            return fail(Trouble::new(
                Fault::Duplicate,
                "this column stands here twice",
            ));
        }
        seen.push(column.name);
        Ok(Head {
            column,
            unit: unit.to_owned(),
        })
    }))?;
    let missing: Vec<_> = known
        .iter()
        .filter(|c| c.required && !heads.iter().any(|h| h.column.name == c.name))
        .map(|c| c.name)
        .collect();
    if missing.is_empty() {
        Ok(heads)
    } else {
        let what = format!("columns missing: {}", missing.join(", "));
        Err(vec![place(
            page,
            key,
            columns,
            Trouble::new(Fault::Missing, what),
        )])
    }
}

fn read_cell(page: &Page<'_>, key: &str, head: &Head, cell: &Toml) -> Result<f64, Vec<Problem>> {
    let Column { dim, min, max, .. } = *head.column;
    let number = match cell {
        Toml::Integer(i) => i.value().to_string(),
        Toml::Float(f) => f.value().to_string(),
        _ => {
            let t = Trouble::new(Fault::WrongType, "a plain number is needed here")
                .mend("the unit stands in the column head");
            return Err(vec![place(page, key, cell, t)]);
        }
    };
    let kind = Kind::Quantity { dim, min, max };
    match read_text(&kind, key, format!("{number} {}", head.unit).trim()) {
        Ok(Datum::Number(x)) => Ok(x),
        Ok(_) => unreachable!("a quantity is read as a number"),
        Err(mut t) => {
            t.what = format!("{} {}", head.column.name, t.what);
            Err(vec![place(page, key, cell, t)])
        }
    }
}

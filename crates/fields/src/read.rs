//! The reader: a file's text against the table.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use quantity::Given;
use toml_edit::{Item, TableLike, Value as Toml};

use crate::datum::{self, Datum, nearest};
use crate::problem::{Fault, Page, Problem, Problems};
use crate::reading::{Entry, Reading, Spot, surveyed};
use crate::syntax;
use crate::table::{Field, Format, Kind, Need, Repeat, Section};

impl Format {
    /// Reads a file of this format.
    ///
    /// # Errors
    /// Every [`Problem`] of the file, in the order of its lines.
    pub fn read(&self, file_name: &str, text: &str) -> Result<Reading, Problems> {
        let (reading, problems) = self.read_partly(file_name, text);
        if problems.is_empty() {
            Ok(reading)
        } else {
            Err(problems)
        }
    }

    /// Reads what can be read, and says what cannot. Fields with problems are
    /// absent from the reading, so that checks over several fields can still
    /// judge the rest of the file in the same pass.
    pub fn read_partly(&self, file_name: &str, text: &str) -> (Reading, Problems) {
        let page = Page::new(file_name, text);
        let parsed = syntax::parse(&page);
        let mut reader = Reader {
            format: self,
            page: &page,
            lost: &parsed.lost,
            problems: parsed.problems,
            mistyped: BTreeSet::new(),
            entries: Vec::new(),
        };
        reader.table("", parsed.document.as_table(), 0..0);
        reader.absent_sections();
        let reading = Reading {
            file: page.file.clone(),
            entries: reader.entries,
            keys: self.sections.iter().map(|s| s.key).collect(),
        };
        let mut problems = Problems(reader.problems);
        problems.sort();
        (reading, problems)
    }
}

struct Reader<'a> {
    format: &'a Format,
    page: &'a Page<'a>,
    /// Text of lines that are not TOML; what they may have said is not missing.
    lost: &'a str,
    /// Sections that were meant by one that is not known.
    mistyped: BTreeSet<&'static str>,
    problems: Vec<Problem>,
    entries: Vec<Entry>,
}

/// What the file says of one section.
#[derive(Default)]
struct Found<'a> {
    fields: BTreeMap<&'static str, (&'a Toml, Range<usize>)>,
    /// Heads of the columns of a map.
    heads: Option<&'a Toml>,
    /// Keys that were meant by others that are not known.
    mistyped: BTreeSet<&'static str>,
}

impl Reader<'_> {
    /// Reads one table at a dotted path: a section, a step on the way to
    /// nested sections, or both.
    fn table(&mut self, path: &str, table: &dyn TableLike, header: Range<usize>) {
        let section = self.format.section(path);
        let mut fields: BTreeMap<&'static str, (&Toml, Range<usize>)> = BTreeMap::new();
        let mut heads = None;
        let mut mistyped = BTreeSet::new();
        for (key, item) in table.iter() {
            let key_span = table
                .get_key_value(key)
                .and_then(|(k, _)| k.span())
                .unwrap_or(header.clone());
            let below = join(path, key);
            let field = section.and_then(|s| s.field(key));
            match (field, item) {
                (Some(field), Item::Value(value)) => {
                    fields.insert(field.key, (value, key_span));
                }
                (Some(field), _) => self.not_a_section(&below, field, key_span),
                (None, Item::Value(v)) if section.is_some_and(|s| s.is_map_head(key)) => {
                    heads = Some(v);
                }
                (None, item) if self.leads_to_section(&below) => {
                    self.item(&below, item, key_span);
                }
                (None, item) => mistyped.extend(self.unknown(path, key, item, key_span)),
            }
        }
        if let Some(section) = section {
            let found = Found {
                fields,
                heads,
                mistyped,
            };
            self.entry(section, &found, header, true);
        } else {
            self.mistyped.extend(mistyped);
        }
    }

    fn item(&mut self, path: &str, item: &Item, key_span: Range<usize>) {
        let section = self.format.section(path);
        let many = section.is_some_and(|s| s.repeat == Repeat::Many);
        let place = |span: Option<Range<usize>>| span.unwrap_or(key_span.clone());
        match item {
            Item::ArrayOfTables(tables) if many => {
                for table in tables {
                    self.table(path, table, place(table.span()));
                }
            }
            Item::Value(Toml::Array(array)) if many => {
                for value in array {
                    match value {
                        Toml::InlineTable(table) => self.table(path, table, place(table.span())),
                        other => self.wrong_shape(path, place(other.span())),
                    }
                }
            }
            Item::Table(table) if !many => self.table(path, table, place(table.span())),
            Item::Value(Toml::InlineTable(table)) if !many => {
                self.table(path, table, place(table.span()));
            }
            other => self.wrong_shape(path, place(other.span())),
        }
    }

    /// Reads the fields of one section and fills in its defaults.
    fn entry(
        &mut self,
        section: &'static Section,
        found: &Found<'_>,
        header: Range<usize>,
        written: bool,
    ) {
        let mut entry = Entry {
            section,
            written,
            spot: self.spot(header.clone()),
            data: BTreeMap::new(),
            spots: BTreeMap::new(),
        };
        for field in section.fields {
            match found.fields.get(field.key) {
                Some((value, key_span)) => {
                    let spot = self.spot(value.span().unwrap_or(key_span.clone()));
                    match self.value(section, field, value, found.heads, key_span) {
                        Ok(datum) => {
                            let origin = surveyed(&spot);
                            entry.data.insert(
                                field.key,
                                Given {
                                    value: datum,
                                    origin,
                                },
                            );
                        }
                        Err(mut problems) => self.problems.append(&mut problems),
                    }
                    entry.spots.insert(field.key, spot);
                }
                // Said where the key stands that was meant to be this one.
                None if found.mistyped.contains(field.key) => {}
                None => self.absent(section, field, &mut entry, &header, written),
            }
        }
        self.entries.push(entry);
    }

    fn value(
        &self,
        section: &'static Section,
        field: &'static Field,
        value: &Toml,
        heads: Option<&Toml>,
        key_span: &Range<usize>,
    ) -> Result<Datum, Vec<Problem>> {
        let key = section.dotted(field.key);
        let Kind::Map(columns) = field.kind else {
            return datum::read(self.page, &key, &field.kind, value);
        };
        let columns_key = section.dotted("columns");
        match heads {
            Some(heads) => datum::read_map(self.page, (&columns_key, &key), columns, heads, value),
            None => {
                let mut p = self
                    .page
                    .problem(key_span.clone(), Fault::Missing, &columns_key);
                p.what = "rows need column heads that carry the unit".to_owned();
                p.mend = "write columns = [\"dry bulb °F\", \"RH %\"] above the rows".to_owned();
                Err(vec![p])
            }
        }
    }

    /// A field that the file does not say: its default, or a problem.
    fn absent(
        &mut self,
        section: &'static Section,
        field: &'static Field,
        entry: &mut Entry,
        header: &Range<usize>,
        written: bool,
    ) {
        match &field.need {
            Need::Optional => {}
            Need::Default { text, source } => {
                let datum = datum::read_text(&field.kind, field.key, text)
                    .unwrap_or_else(|t| panic!("default of {}: {t:?}", section.dotted(field.key)));
                let given = Given::assumed(datum, source.clone());
                entry.data.insert(field.key, given);
            }
            Need::Required if self.lost.contains(field.key) => {}
            Need::Required => {
                let key = section.dotted(field.key);
                let mut p = self.page.problem(header.clone(), Fault::Missing, &key);
                p.what = format!("missing: {}", inside_a_sentence(field.help));
                let example = datum::example(&field.kind);
                p.mend = match (written, section.repeat) {
                    (true, _) => format!("write {} = {example}", field.key),
                    (false, _) => {
                        format!(
                            "write [{}] and under it {} = {example}",
                            section.key, field.key
                        )
                    }
                };
                self.problems.push(p);
            }
        }
    }

    /// Sections that are read even when they do not stand in the file.
    fn absent_sections(&mut self) {
        for section in self.format.sections {
            let there = self.entries.iter().any(|e| e.section.key == section.key);
            if section.repeat == Repeat::Once && !there && !self.mistyped.contains(section.key) {
                self.entry(section, &Found::default(), 0..0, false);
            }
        }
    }

    fn leads_to_section(&self, path: &str) -> bool {
        self.format.sections.iter().any(|s| {
            s.key
                .strip_prefix(path)
                .is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        })
    }

    /// Says that a key or a section is not known, and gives what was meant.
    fn unknown(
        &mut self,
        path: &str,
        key: &str,
        item: &Item,
        key_span: Range<usize>,
    ) -> Option<&'static str> {
        let section = self.format.section(path);
        let is_value = matches!(item, Item::Value(v) if !v.is_inline_table());
        let fault = if is_value {
            Fault::UnknownKey
        } else {
            Fault::UnknownSection
        };
        let mut p = self.page.problem(key_span, fault, &join(path, key));
        let known: Vec<&'static str> = if is_value {
            section.map(|s| s.fields.iter().map(|f| f.key).collect())
        } else {
            None
        }
        .unwrap_or_else(|| self.format.sections.iter().map(|s| s.key).collect());
        p.what = match (is_value, section) {
            (true, Some(s)) if s.key.is_empty() => "no such key here".to_owned(),
            (true, Some(s)) => format!("[{}] has no such key", s.key),
            (true, None) => "a key must stand under a section".to_owned(),
            (false, _) => format!("a {} has no such section", self.format.name),
        };
        let wanted = if is_value {
            key.to_owned()
        } else {
            join(path, key)
        };
        let near = nearest(&wanted, known.iter().copied());
        if let Some(near) = near {
            p.mend = format!("did you mean {near}?");
        } else {
            let elsewhere = is_value.then(|| self.sections_with(key)).flatten();
            p.mend = elsewhere.map_or(String::new(), |k| format!("did you mean {k}?"));
            let known: Vec<_> = known.into_iter().filter(|k| !k.is_empty()).collect();
            p.allowed = known.join(", ");
        }
        self.problems.push(p);
        near
    }

    /// Another section that has this very key.
    fn sections_with(&self, key: &str) -> Option<String> {
        let section = self.format.sections.iter().find(|s| s.field(key).is_some());
        section.map(|s| s.dotted(key))
    }

    fn not_a_section(&mut self, path: &str, field: &Field, key_span: Range<usize>) {
        let mut p = self.page.problem(key_span, Fault::WrongType, path);
        p.what = "a field, not a section".to_owned();
        p.mend = format!("write {} = {}", field.key, datum::example(&field.kind));
        self.problems.push(p);
    }

    fn wrong_shape(&mut self, path: &str, span: Range<usize>) {
        let many = self
            .format
            .section(path)
            .is_some_and(|s| s.repeat == Repeat::Many);
        let mut p = self.page.problem(span, Fault::WrongType, path);
        if many {
            p.what = "there may be several of this section".to_owned();
            p.mend = format!("write [[{path}]] with two brackets, once for each");
        } else {
            p.what = "this section stands once".to_owned();
            p.mend = format!("write [{path}] with its keys under it");
        }
        self.problems.push(p);
    }

    fn spot(&self, span: Range<usize>) -> Spot {
        Spot {
            line: self.page.at(&span),
            read: self.page.excerpt(&span),
            span,
        }
    }
}

/// A help text without its capital and full stop: "How many." is "how many".
fn inside_a_sentence(help: &str) -> String {
    let help = help.trim_end_matches('.');
    let mut chars = help.chars();
    match (chars.next(), chars.next()) {
        // "U-value" and "PPFD" keep their capitals.
        (Some(first), Some(second)) if second.is_lowercase() => {
            first.to_lowercase().chain(help.chars().skip(1)).collect()
        }
        _ => help.to_owned(),
    }
}

fn join(path: &str, key: &str) -> String {
    if path.is_empty() {
        key.to_owned()
    } else {
        format!("{path}.{key}")
    }
}

//! JSON Schema (draft 2020-12) from the table.

use serde_json::{Value as Json, json};

use crate::datum::example;
use crate::table::{Field, Format, Kind, Need, Repeat, Section, limits};

impl Format {
    /// JSON Schema of the file, as a TOML editor uses it.
    pub fn json_schema(&self) -> Json {
        let mut root = object(self.name, self.help);
        for section in self.sections {
            if section.key.is_empty() {
                fill(&mut root, section);
                continue;
            }
            let mut schema = object(section.title, section.help);
            fill(&mut schema, section);
            let schema = match section.repeat {
                Repeat::Many => json!({"type": "array", "items": schema}),
                _ => schema,
            };
            let must = section.repeat == Repeat::Once && has_required(section);
            insert(&mut root, section.key, schema, must);
        }
        root["$schema"] = json!("https://json-schema.org/draft/2020-12/schema");
        root
    }
}

fn object(title: &str, help: &str) -> Json {
    json!({
        "type": "object",
        "title": title,
        "description": help,
        "properties": {},
        "additionalProperties": false,
    })
}

fn has_required(section: &Section) -> bool {
    let mut fields = section.fields.iter();
    fields.any(|f| matches!(f.need, Need::Required))
}

/// Puts a schema at a dotted key, making the objects on the way.
fn insert(object: &mut Json, dotted: &str, schema: Json, must: bool) {
    let (key, rest) = match dotted.split_once('.') {
        Some((key, rest)) => (key, Some(rest)),
        None => (dotted, None),
    };
    if must {
        require(object, key);
    }
    let slot = &mut object["properties"][key];
    match rest {
        None if slot.is_null() => *slot = schema,
        // Nested sections stood first: keep them beside this section's fields.
        None => {
            let nested = slot["properties"].take();
            *slot = schema;
            if let (Json::Object(to), Json::Object(from)) = (&mut slot["properties"], nested) {
                to.extend(from);
            }
        }
        Some(rest) => {
            if slot.is_null() {
                *slot = self::object(key, "");
            }
            insert(slot, rest, schema, must);
        }
    }
}

fn require(object: &mut Json, key: &str) {
    let required = &mut object["required"];
    if required.is_null() {
        *required = json!([]);
    }
    if let Json::Array(keys) = required
        && !keys.iter().any(|k| k == key)
    {
        keys.push(json!(key));
    }
}

fn fill(schema: &mut Json, section: &Section) {
    for field in section.fields {
        if let Kind::Map(_) = field.kind {
            schema["properties"]["columns"] = json!({
                "type": "array",
                "items": {"type": "string"},
                "description": "Column heads; each is the name of a column and its unit.",
            });
        }
        schema["properties"][field.key] = field_schema(field);
        if matches!(field.need, Need::Required) {
            require(schema, field.key);
        }
    }
}

fn field_schema(field: &Field) -> Json {
    let Json::Object(mut schema) = kind_schema(&field.kind) else {
        return Json::Null;
    };
    let mut description = field.help.to_owned();
    if let Some(range) = range_words(&field.kind) {
        description.push_str(&format!(" Allowed: {range}."));
    }
    if let Need::Default { text, source } = &field.need {
        description.push_str(&format!(" Left out: {text} ({}).", source.cite));
        schema.insert("default".to_owned(), json!(text));
    }
    schema.insert("description".to_owned(), json!(description));
    Json::Object(schema)
}

/// The range of a kind in words, if it has one.
pub(crate) fn range_words(kind: &Kind) -> Option<String> {
    match *kind {
        Kind::Quantity { dim, min, max } => Some(limits(dim, min, max)),
        Kind::Band { dim, min, max } => Some(format!("{}, or a range", limits(dim, min, max))),
        Kind::Count { min, max } => Some(format!("{min} to {max}")),
        Kind::Choice(words) => {
            let words: Vec<_> = words.iter().map(|(w, _)| format!("\"{w}\"")).collect();
            Some(words.join(", "))
        }
        Kind::List(item) => range_words(item).map(|r| format!("list of {r}")),
        Kind::Map(columns) => {
            let columns: Vec<_> = columns
                .iter()
                .map(|c| format!("{} {}", c.name, limits(c.dim, c.min, c.max)))
                .collect();
            Some(format!("columns {}", columns.join("; ")))
        }
        Kind::Text | Kind::Clock | Kind::Date | Kind::Point => None,
    }
}

fn kind_schema(kind: &Kind) -> Json {
    let text = |pattern: &str| json!({"type": "string", "pattern": pattern});
    let mut schema = match *kind {
        // A quantity starts with a number; the unit is judged by the program.
        Kind::Quantity { .. } | Kind::Band { .. } => quantity_schema(kind),
        Kind::Text => json!({"type": "string", "minLength": 1}),
        Kind::Choice(words) => {
            let each: Vec<_> = words
                .iter()
                .map(|(word, help)| json!({"const": word, "description": help}))
                .collect();
            json!({"oneOf": each})
        }
        Kind::Clock => text("^([01]?[0-9]|2[0-3]):[0-5][0-9]$"),
        Kind::Date => text("^[0-9]{4}-[0-9]{2}-[0-9]{2}$"),
        Kind::Count { min, max } => json!({"type": "integer", "minimum": min, "maximum": max}),
        Kind::Point => json!({
            "type": "array",
            "items": {"type": "string"},
            "minItems": 3,
            "maxItems": 3,
        }),
        Kind::List(item) => {
            let item = kind_schema(item);
            json!({"anyOf": [item, {"type": "array", "items": item}]})
        }
        Kind::Map(_) => json!({
            "type": "array",
            "items": {"type": "array", "items": {"type": "number"}},
        }),
    };
    if let (Some(example), Json::Object(schema)) = (toml_example(kind), &mut schema) {
        schema.insert("examples".to_owned(), json!([example]));
    }
    schema
}

fn quantity_schema(kind: &Kind) -> Json {
    let text = json!({"type": "string", "pattern": "[0-9]"});
    match *kind {
        Kind::Quantity { dim, min, max } | Kind::Band { dim, min, max }
            if crate::datum::needs_no_unit(dim) =>
        {
            json!({"anyOf": [text, {"type": "number", "minimum": min, "maximum": max}]})
        }
        _ => text,
    }
}

/// The example of a kind where it is plain text.
fn toml_example(kind: &Kind) -> Option<String> {
    let example = example(kind);
    let inner = example.strip_prefix('"')?.strip_suffix('"')?;
    Some(inner.to_owned())
}

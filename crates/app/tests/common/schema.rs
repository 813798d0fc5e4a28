//! Does a document keep to a JSON Schema? The part of the standard that the
//! program's own schemas use; a keyword that is not known here fails the test
//! instead of being passed over.

use serde_json::Value;

/// Says nothing about what a document may be.
const ANNOTATIONS: &[&str] = &["$schema", "$defs", "title", "description", "format"];

/// Every place at which the document breaks the schema.
pub(crate) fn violations(schema: &Value, document: &Value) -> Vec<String> {
    let mut found = Vec::new();
    visit(schema, schema, document, "$", &mut found);
    found
}

fn visit(root: &Value, schema: &Value, at: &Value, place: &str, found: &mut Vec<String>) {
    let Some(rules) = schema.as_object() else {
        assert_eq!(schema, &Value::Bool(true), "no schema: {schema}");
        return;
    };
    for (keyword, rule) in rules {
        let wrong = |what: &str| Some(format!("{place}: {what} {rule}"));
        let broken = match keyword.as_str() {
            "$ref" => {
                let pointer = rule.as_str().unwrap().strip_prefix('#').unwrap();
                let target = root.pointer(pointer).unwrap();
                visit(root, target, at, place, found);
                None
            }
            "type" => match rule {
                Value::Array(any) if any.iter().any(|t| is(at, t)) => None,
                Value::String(_) if is(at, rule) => None,
                _ => wrong("is not"),
            },
            "required" => {
                let missing = rule.as_array().unwrap().iter().find(|key| {
                    at.as_object()
                        .is_some_and(|o| !o.contains_key(key.as_str().unwrap()))
                });
                missing.map(|key| format!("{place}: lacks {key}"))
            }
            "properties" => {
                let known = rule.as_object().unwrap();
                for (key, value) in at.as_object().into_iter().flatten() {
                    match known.get(key) {
                        Some(s) => visit(root, s, value, &format!("{place}.{key}"), found),
                        // A key that the schema does not tell of is a key
                        // that nobody can rely on.
                        None => found.push(format!("{place}: {key} is not in the schema")),
                    }
                }
                None
            }
            "items" => {
                for (i, item) in at.as_array().into_iter().flatten().enumerate() {
                    visit(root, rule, item, &format!("{place}[{i}]"), found);
                }
                None
            }
            "anyOf" => {
                let fits = |s: &Value| {
                    let mut inner = Vec::new();
                    visit(root, s, at, place, &mut inner);
                    inner.is_empty()
                };
                if rule.as_array().unwrap().iter().any(fits) {
                    None
                } else {
                    wrong("is none of")
                }
            }
            "minimum" => match (at.as_f64(), rule.as_f64()) {
                (Some(number), Some(least)) if number < least => wrong("is below"),
                // Only a number can be too small.
                _ => None,
            },
            "minItems" | "maxItems" => {
                let count = at.as_array().map_or(0, Vec::len) as u64;
                let bound = rule.as_u64().unwrap();
                let kept = if keyword == "minItems" {
                    bound <= count
                } else {
                    count <= bound
                };
                if kept { None } else { wrong("has not") }
            }
            // A map whose keys are the heads of a table: any value will do.
            "additionalProperties" if *rule == Value::Bool(true) => None,
            known if ANNOTATIONS.contains(&known) => None,
            unknown => panic!("{place}: keyword {unknown} is not checked here"),
        };
        found.extend(broken);
    }
}

fn is(at: &Value, kind: &Value) -> bool {
    match kind.as_str().unwrap() {
        "object" => at.is_object(),
        "array" => at.is_array(),
        "string" => at.is_string(),
        "boolean" => at.is_boolean(),
        "null" => at.is_null(),
        "integer" => at.is_u64() || at.is_i64(),
        "number" => at.is_number(),
        other => panic!("unknown type {other}"),
    }
}

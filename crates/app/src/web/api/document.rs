//! The OpenAPI document, made from the table of endpoints.

use serde_json::{Map, Value, json};

use super::RefusedResult;
use super::asked::{ENDPOINTS, Endpoint};

/// The document.
pub(super) fn openapi() -> Value {
    let mut paths = Map::new();
    for endpoint in ENDPOINTS {
        paths.insert(
            endpoint.path.to_owned(),
            json!({ "get": operation(endpoint) }),
        );
    }
    json!({
        "openapi": "3.1.0",
        "info": {
            "title": "Drywright",
            "version": env!("CARGO_PKG_VERSION"),
            "description": "Results of the steps as JSON, read only. Units stand in the keys.",
        },
        "components": {
            "securitySchemes": {
                "cookie": {
                    "type": "apiKey",
                    "in": "cookie",
                    "name": "drywright-PORT",
                    "description": "Set by opening the address that the terminal prints; PORT is the port.",
                }
            },
            "schemas": { "Refused": plain(schemars::schema_for!(RefusedResult).to_value()) },
        },
        "security": [{ "cookie": [] }],
        "paths": paths,
    })
}

fn operation(endpoint: &Endpoint) -> Value {
    let in_path = endpoint
        .path
        .split('/')
        .filter_map(|part| part.strip_prefix('{')?.strip_suffix('}'))
        .map(|name| {
            json!({
                "name": name, "in": "path", "required": true,
                "schema": { "type": "string", "minLength": 1 },
            })
        });
    let in_query = endpoint.query.iter().map(|name| {
        json!({
            "name": name, "in": "query", "required": false,
            "schema": { "type": "string" },
        })
    });
    let refusal = |why: &str| {
        json!({
            "description": why,
            "content": { "application/json": { "schema": { "$ref": "#/components/schemas/Refused" } } },
        })
    };
    let id: Vec<&str> = endpoint
        .path
        .split('/')
        .filter(|p| !p.is_empty() && !p.starts_with('{') && *p != "api")
        .collect();
    json!({
        "operationId": id.join("_"),
        "summary": endpoint.help,
        "parameters": in_path.chain(in_query).collect::<Vec<_>>(),
        "responses": {
            "200": {
                "description": "The result.",
                "content": { "application/json": { "schema": plain((endpoint.schema)()) } },
            },
            "400": refusal("What was asked cannot be used."),
            "401": { "description": "Not let in: no cookie, or one that is no longer good." },
            "404": refusal("Nothing of that name."),
            "422": refusal("The files cannot be read, or the steps not run on them."),
        },
    })
}

/// A schema as it may stand inside another document: its definitions moved in,
/// since references of the whole document start elsewhere.
fn plain(mut schema: Value) -> Value {
    let definitions = schema
        .as_object_mut()
        .and_then(|s| s.remove("$defs"))
        .unwrap_or_default();
    if let Some(object) = schema.as_object_mut() {
        object.remove("$schema");
    }
    inlined(schema, &definitions)
}

fn inlined(value: Value, definitions: &Value) -> Value {
    match value {
        Value::Object(object) => {
            let name = object
                .get("$ref")
                .and_then(Value::as_str)
                .and_then(|r| r.strip_prefix("#/$defs/"));
            match name.and_then(|n| definitions.get(n)) {
                Some(definition) => inlined(definition.clone(), definitions),
                None => object
                    .into_iter()
                    .map(|(k, v)| (k, inlined(v, definitions)))
                    .collect(),
            }
        }
        Value::Array(items) => items.into_iter().map(|v| inlined(v, definitions)).collect(),
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_endpoint_is_described_and_nothing_is_left_open() {
        let document = openapi();
        assert_eq!(
            document["paths"].as_object().map(Map::len),
            Some(ENDPOINTS.len())
        );
        let text = document.to_string();
        assert!(!text.contains("$defs"), "a definition is left out");
        let mut ids: Vec<String> = document["paths"]
            .as_object()
            .into_iter()
            .flatten()
            .map(|(_, p)| p["get"]["operationId"].to_string())
            .collect();
        let all = ids.len();
        ids.sort();
        ids.dedup();
        assert_eq!(ids.len(), all, "two operations of one name");
    }
}

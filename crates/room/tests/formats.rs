//! The tables of the room file and the site file themselves.

use fields::{Format, Need, Repeat};
use room::{ROOM_FORMAT, SITE_FORMAT};

/// Every section of a format written with its required fields only, so that
/// every default of the table is read.
#[test]
fn every_default_reads_under_its_own_field() {
    for format in [&ROOM_FORMAT, &SITE_FORMAT] {
        let mut text = String::new();
        for section in format.sections {
            let schema = schema_of(format, section.key);
            let head = match section.repeat {
                Repeat::Many => format!("[[{}]]\n", section.key),
                _ => format!("[{}]\n", section.key),
            };
            text.push_str(&head);
            for field in section.fields {
                if matches!(field.need, Need::Required) {
                    let example = &schema[field.key]["examples"][0];
                    let value = match (example.as_str(), field.key) {
                        (Some(example), _) => format!("\"{example}\""),
                        (None, "at") => "[\"0.5 m\", \"0.5 m\", \"0.5 m\"]".to_owned(),
                        (None, "times") => "[\"07:00\"]".to_owned(),
                        (None, _) => choice_or_count(&schema[field.key]),
                    };
                    text.push_str(&format!("{} = {value}\n", field.key));
                }
            }
        }
        let (reading, problems) = format.read_partly("all", &text);
        assert!(problems.is_empty(), "{problems}\n{text}");
        for section in format.sections {
            let entry = reading.section(section.key).expect("written");
            for field in section.fields {
                if matches!(field.need, Need::Default { .. }) {
                    assert!(!entry.says(field.key), "{}.{}", section.key, field.key);
                }
            }
        }
    }
}

fn schema_of(format: &Format, key: &str) -> serde_json::Value {
    let mut schema = format.json_schema();
    for part in key.split('.') {
        let next = schema["properties"][part].take();
        schema = if next["items"].is_object() {
            next["items"].clone()
        } else {
            next
        };
    }
    schema["properties"].take()
}

fn choice_or_count(schema: &serde_json::Value) -> String {
    match schema["oneOf"][0]["const"].as_str() {
        Some(word) => format!("\"{word}\""),
        None => schema["minimum"].to_string(),
    }
}

#[test]
fn schema_and_manual_name_every_field() {
    for format in [&ROOM_FORMAT, &SITE_FORMAT] {
        let manual = format.manual();
        for section in format.sections {
            let schema = schema_of(format, section.key);
            assert!(manual.contains(section.title), "{}", section.title);
            for field in section.fields {
                assert!(
                    schema[field.key].is_object(),
                    "{}.{}",
                    section.key,
                    field.key
                );
                assert!(
                    manual.contains(&format!("`{}`", field.key)),
                    "{}",
                    field.key
                );
                assert!(!field.help.is_empty() && !field.help.contains("  "));
            }
        }
    }
}

/// Keys are said once per section, sections once per format, and no field has
/// the name of a section nested beside it.
#[test]
fn no_key_stands_twice_in_a_table() {
    for format in [&ROOM_FORMAT, &SITE_FORMAT] {
        let mut sections: Vec<_> = format.sections.iter().map(|s| s.key).collect();
        sections.sort_unstable();
        assert!(sections.windows(2).all(|w| w[0] != w[1]));
        for section in format.sections {
            let mut keys: Vec<_> = section.fields.iter().map(|f| f.key).collect();
            keys.sort_unstable();
            assert!(keys.windows(2).all(|w| w[0] != w[1]), "{}", section.key);
            for key in keys {
                let nested = format!("{}.{key}", section.key);
                assert!(sections.iter().all(|s| !s.starts_with(&nested)), "{nested}");
            }
        }
    }
}

/// A default outside its own limits would be refused by the reader; a limit
/// pair upside down would refuse everything.
#[test]
fn limits_are_in_order() {
    for section in ROOM_FORMAT.sections.iter().chain(SITE_FORMAT.sections) {
        for field in section.fields {
            if let fields::Kind::Quantity { min, max, .. } | fields::Kind::Band { min, max, .. } =
                field.kind
            {
                assert!(min < max, "{}.{}", section.key, field.key);
            }
        }
    }
}

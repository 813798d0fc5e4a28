//! Changing a text that a person wrote.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use fields::edit::{Change, EditError, changed, written};
use fields::{Field, Format, Kind, Need, Repeat, Section};
use proptest::prelude::*;
use quantity::Dim;

const LENGTH: Kind = Kind::quantity(Dim::Length, 0.0, 1e3);

static FORMAT: Format = Format {
    name: "test file",
    help: "",
    sections: &[
        Section {
            key: "room",
            title: "",
            help: "",
            repeat: Repeat::Once,
            fields: &[
                Field::new("name", Kind::Text, Need::Optional, ""),
                Field::new("length", LENGTH, Need::Optional, ""),
                Field::new("width", LENGTH, Need::Optional, ""),
                Field::new("count", Kind::count(0, 9), Need::Optional, ""),
            ],
        },
        Section {
            key: "target.lights_on",
            title: "",
            help: "",
            repeat: Repeat::Optional,
            fields: &[Field::new("rh", Kind::Text, Need::Optional, "")],
        },
        Section {
            key: "bench",
            title: "",
            help: "",
            repeat: Repeat::Many,
            fields: &[
                Field::new("name", Kind::Text, Need::Optional, ""),
                Field::new("at", Kind::Point, Need::Optional, ""),
            ],
        },
    ],
};

const TEXT: &str = "# A room, surveyed by hand.
[room]
name = \"Flower 2\"   # what the grower calls it
length = \"40 ft\"
  width = \"24 ft\" # measured twice

# two blocks
[[bench]]
name = \"A\"
at = [\"1 m\", \"2 m\", \"3 m\"] # middle

[[bench]]
name = \"B\"
";

fn set(section: &str, nth: usize, key: &str, typed: &str) -> Change {
    Change::Set {
        section: section.into(),
        nth,
        key: key.into(),
        typed: typed.into(),
    }
}

fn done(changes: &[Change]) -> String {
    changed(&FORMAT, TEXT, changes).unwrap()
}

#[test]
fn what_is_written_is_told_as_it_was_typed() {
    let all = written(&FORMAT, TEXT).unwrap();
    let told: Vec<_> = all.iter().map(|w| (w.section, w.nth, w.line)).collect();
    assert_eq!(told, [("room", 0, 2), ("bench", 0, 8), ("bench", 1, 12)]);
    assert_eq!(all[0].keys["length"], "40 ft");
    assert_eq!(all[1].keys["at"], "1 m, 2 m, 3 m");
    assert!(matches!(
        written(&FORMAT, "[room"),
        Err(EditError::Syntax(_))
    ));
}

#[test]
fn one_value_changes_and_not_a_byte_beside_it() {
    assert_eq!(
        done(&[set("room", 0, "width", "7.5 m")]),
        TEXT.replace("\"24 ft\"", "\"7.5 m\"")
    );
    assert_eq!(
        done(&[set("bench", 0, "at", "1 ft, 2 ft, 3 ft")]),
        TEXT.replace(
            "[\"1 m\", \"2 m\", \"3 m\"]",
            "[\"1 ft\", \"2 ft\", \"3 ft\"]"
        )
    );
    assert_eq!(done(&[]), TEXT);
    // Windows line ends stay.
    let windows = TEXT.replace('\n', "\r\n");
    assert_eq!(
        changed(&FORMAT, &windows, &[set("bench", 1, "name", "C")]).unwrap(),
        windows.replace("\"B\"", "\"C\"")
    );
}

#[test]
fn keys_and_sections_come_and_go() {
    let added = done(&[
        set("room", 0, "count", "3"),
        set("target.lights_on", 0, "rh", "50..60 %"),
        set("bench", 2, "name", "C"),
    ]);
    assert!(added.contains("measured twice\ncount = 3\n"), "{added}");
    assert!(
        added.contains("\n[target.lights_on]\nrh = \"50..60 %\"\n"),
        "{added}"
    );
    assert!(added.contains("\n[[bench]]\nname = \"C\"\n"), "{added}");
    let back = changed(
        &FORMAT,
        &added,
        &[
            Change::Unset {
                section: "room".into(),
                nth: 0,
                key: "count".into(),
            },
            Change::Remove {
                section: "target.lights_on".into(),
                nth: 0,
            },
            Change::Remove {
                section: "bench".into(),
                nth: 2,
            },
        ],
    );
    assert_eq!(back.unwrap(), TEXT);

    let first = changed(&FORMAT, "", &[set("room", 0, "name", "A")]).unwrap();
    assert_eq!(first, "[room]\nname = \"A\"\n");
    // What is no number stays as it was typed, for the reader to judge.
    assert!(done(&[set("room", 0, "count", "three")]).contains("count = \"three\""));
}

#[test]
fn what_is_not_there_is_refused() {
    for (change, error) in [
        (
            set("room", 0, "colour", "red"),
            EditError::Unknown("room.colour".into()),
        ),
        (
            set("nothing", 0, "a", "b"),
            EditError::Unknown("nothing.a".into()),
        ),
        (
            set("bench", 3, "name", "D"),
            EditError::Absent("bench 4".into()),
        ),
        (
            Change::Remove {
                section: "bench".into(),
                nth: 2,
            },
            EditError::Absent("bench".into()),
        ),
    ] {
        assert_eq!(changed(&FORMAT, TEXT, &[change]), Err(error));
    }
}

proptest! {
    /// Whatever is typed into one field reads back as it was typed, and all
    /// other fields and all comments stay.
    #[test]
    fn anything_typed_reads_back(typed in "[ -~äöü°²]{1,40}") {
        prop_assume!(typed.trim() == typed && !typed.is_empty());
        let text = changed(&FORMAT, TEXT, &[set("room", 0, "name", &typed)]).unwrap();
        let all = written(&FORMAT, &text).unwrap();
        prop_assert_eq!(&all[0].keys["name"], &typed);
        let before = written(&FORMAT, TEXT).unwrap();
        for (a, b) in before.iter().zip(&all) {
            for (key, value) in &a.keys {
                if key != "name" || a.section != "room" {
                    prop_assert_eq!(value, &b.keys[key]);
                }
            }
        }
        for comment in ["# A room, surveyed by hand.", "# what the grower calls it", "# measured twice", "# two blocks", "# middle"] {
            prop_assert!(text.contains(comment));
        }
    }
}

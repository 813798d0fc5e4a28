//! Bad input: a clear message, exit 2, nothing half-written.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::Path;

use common::{EIGHT, drywright, files_below};
use tempfile::{TempDir, tempdir};

fn with_room(text: impl AsRef<[u8]>) -> TempDir {
    let folder = tempdir().unwrap();
    std::fs::write(folder.path().join("a.room.toml"), text).unwrap();
    folder
}

/// Runs a command that must refuse, and gives its message.
fn refused(folder: &Path, args: &[&str]) -> String {
    let ran = drywright(folder, args);
    assert_eq!(ran.code, 2, "{args:?}: {}{}", ran.out, ran.err);
    assert!(ran.out.is_empty(), "{}", ran.out);
    ran.err
}

#[test]
fn what_cannot_be_read_is_refused_with_a_reason() {
    let folder = tempdir().unwrap();
    let at = folder.path();
    assert!(refused(at, &["check", "none.room.toml"]).contains("none.room.toml"));
    assert!(refused(at, &["check", "."]).contains("no room file"));
    std::fs::create_dir(at.join("folder.room.toml")).unwrap();
    assert!(refused(at, &["load", "folder.room.toml"]).contains("folder.room.toml"));
    std::fs::write(at.join("binary.room.toml"), [0u8, 159, 146, 150]).unwrap();
    assert!(refused(at, &["check", "binary.room.toml"]).contains("binary"));
    std::fs::write(at.join("latin.room.toml"), b"[room]\nname = \"Caf\xe9\"\n").unwrap();
    assert!(refused(at, &["check", "latin.room.toml"]).contains("latin.room.toml:2"));
    let huge = std::fs::File::create(at.join("huge.room.toml")).unwrap();
    huge.set_len(100_000_000).unwrap();
    assert!(refused(at, &["check", "huge.room.toml"]).contains("100.0 MB"));
}

/// One line of the room changed, and what the message must say: its place and
/// a word of what is wrong.
#[test]
fn each_mistake_is_told_with_its_place() {
    let cases = [
        (
            "width = \"24 ft\"",
            "width = \"24 kg\"",
            "a.room.toml:4:",
            "mass",
        ),
        (
            "canopy = \"640 ft2\"",
            "canopy = \"-640 ft2\"",
            "a.room.toml:11:",
            "too small",
        ),
        (
            "photoperiod = \"12 h\"",
            "photoperiod = \"30 h\"",
            "a.room.toml:8:",
            "24 h",
        ),
        (
            "height = \"14 ft 6 in\"",
            "height = \"0 ft\"",
            "a.room.toml:5:",
            "too small",
        ),
        (
            "power = \"21.6 kW\"",
            "power = \"NaN kW\"",
            "a.room.toml:7:",
            "power",
        ),
        (
            "kind = \"tall flowering\"",
            "kind = \"moss\"",
            "a.room.toml:10:",
            "leafy greens",
        ),
        (
            "length = \"40 ft\"",
            "length = \"3,5 m\"",
            "a.room.toml:3:",
            "3.5",
        ),
        (
            "name = \"Phone call\"",
            "nmae = \"Phone call\"",
            "a.room.toml:2:",
            "did you mean name",
        ),
    ];
    for (line, wrong, place, word) in cases {
        let text = EIGHT.replace(line, wrong);
        assert_ne!(text, EIGHT, "{line}");
        let folder = with_room(&text);
        let message = refused(folder.path(), &["design", "a.room.toml"]);
        assert!(
            message.contains(place) && message.contains(word),
            "{wrong}: {message}"
        );
        assert_eq!(
            files_below(folder.path()).len(),
            1,
            "{wrong}: something was written"
        );
    }
}

#[test]
fn all_mistakes_are_told_in_one_pass() {
    let text = EIGHT
        .replace("24 ft", "24")
        .replace("12 h", "30 h")
        .replace("640 ft2", "640 lb");
    let message = refused(with_room(text).path(), &["check", "a.room.toml"]);
    assert!(message.contains("3 problems"), "{message}");
}

#[test]
fn two_units_of_one_tag_and_unknown_models_are_refused() {
    let twice = "[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\n".repeat(2);
    let message = refused(
        with_room(format!("{EIGHT}{twice}")).path(),
        &["check", "a.room.toml"],
    );
    assert!(message.contains("D1"), "{message}");
    let unknown = "[selection]\nmodels = [\"no-such\"]\n";
    let folder = with_room(format!("{EIGHT}{unknown}"));
    let message = refused(folder.path(), &["select", "--preview", "a.room.toml"]);
    assert!(
        message.contains("no-such") && message.contains("generic-150"),
        "{message}"
    );
}

#[test]
fn output_that_cannot_be_written_is_told_and_leaves_nothing() {
    let folder = with_room(format!("{EIGHT}[selection]\nmodels = [\"generic-150\"]\n"));
    std::fs::write(folder.path().join("taken"), "a file").unwrap();
    let args = ["design", "--preview", "a.room.toml", "-o", "taken"];
    let message = refused(folder.path(), &args);
    assert!(message.contains("taken"), "{message}");
    assert_eq!(
        std::fs::read_to_string(folder.path().join("taken")).unwrap(),
        "a file"
    );
    assert_eq!(files_below(folder.path()).len(), 2);
}

/// A device that is always full stands for a full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let folder = with_room(EIGHT);
    let full = std::fs::OpenOptions::new()
        .write(true)
        .open("/dev/full")
        .unwrap();
    let status = std::process::Command::new(env!("CARGO_BIN_EXE_drywright"))
        .args(["load", "a.room.toml", "--json"])
        .current_dir(folder.path())
        .stdout(full)
        .output()
        .unwrap();
    assert_eq!(status.status.code(), Some(2));
    let message = String::from_utf8(status.stderr).unwrap();
    assert!(message.to_lowercase().contains("space"), "{message}");
}

#[test]
fn a_reader_that_goes_away_is_no_error() {
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_drywright"))
        .arg("manual")
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

#[test]
fn air_refuses_what_cannot_be() {
    let folder = tempdir().unwrap();
    let at = folder.path();
    for (args, word) in [
        (&["air", "--rh", "60 %"][..], "exactly two"),
        (
            &["air", "--dry-bulb", "24 C", "--rh", "160 %"],
            "relative humidity",
        ),
        (
            &["air", "--dew-point", "30 C", "--dry-bulb", "20 C"],
            "cannot hold",
        ),
        (
            &["air", "--dew-point", "10 C", "--humidity-ratio", "8 g/kg"],
            "humidity ratio",
        ),
        (
            &["air", "--dry-bulb", "24 kg", "--rh", "60 %"],
            "--dry-bulb",
        ),
    ] {
        let message = refused(at, args);
        assert!(message.contains(word), "{args:?}: {message}");
    }
}

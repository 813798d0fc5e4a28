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
            "length = \"1.200,5 m\"",
            "a.room.toml:3:",
            "1200.5",
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
    let folder = with_room(text);
    let message = refused(folder.path(), &["check", "a.room.toml"]);
    for told in [
        "3 problems",
        "a.room.toml:4:9: room.width",
        "a.room.toml:8:15: light.photoperiod",
        "a.room.toml:11:10: crop.canopy",
    ] {
        assert!(message.contains(told), "{told}: {message}");
    }
    // What was read and what is allowed stand in the message too.
    assert!(
        message.contains("30 h") && message.contains("640 lb"),
        "{message}"
    );
    assert!(message.contains("24 h"), "{message}");
    // The same with --json: nothing on standard output that could be taken
    // for a result.
    refused(folder.path(), &["check", "a.room.toml", "--json"]);
}

#[test]
fn mistakes_in_every_file_of_a_job_are_told() {
    let folder = with_room(EIGHT.replace("12 h", "30 h"));
    let at = folder.path();
    std::fs::write(at.join("b.room.toml"), EIGHT.replace("24 ft", "24 kg")).unwrap();
    std::fs::write(at.join("site.toml"), "[site]\naltitude = \"5280 pints\"\n").unwrap();
    std::fs::create_dir(at.join("catalog")).unwrap();
    std::fs::write(at.join("catalog/mine.toml"), "[dehumidifier]\ncode = 3\n").unwrap();
    let message = refused(at, &["check", "."]);
    for told in [
        "a.room.toml:8:15",
        "b.room.toml:4:9",
        "site.toml:2:12",
        "mine.toml:2:8",
    ] {
        assert!(message.contains(told), "{told}: {message}");
    }
}

#[test]
fn an_empty_file_is_told_what_it_lacks() {
    let message = refused(with_room("").path(), &["check", "a.room.toml"]);
    assert!(message.contains("room"), "{message}");
    let message = refused(with_room("\u{feff}[room").path(), &["check", "a.room.toml"]);
    assert!(message.contains("a.room.toml:1:"), "{message}");
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

/// A limit on the size of files breaks the writing of the dossier in the
/// middle, as a disk that fills up does.
#[cfg(unix)]
#[test]
fn a_disk_that_fills_up_leaves_the_old_file_whole() {
    let folder = with_room(format!("{EIGHT}[selection]\nmodels = [\"generic-150\"]\n"));
    let out = folder.path().join("out");
    std::fs::create_dir(&out).unwrap();
    std::fs::write(out.join("dossier.pdf"), "the old one").unwrap();
    let ran = std::process::Command::new("sh")
        .args([
            "-c",
            "trap '' XFSZ; ulimit -f 8; exec \"$0\" design --preview a.room.toml",
            env!("CARGO_BIN_EXE_drywright"),
        ])
        .current_dir(folder.path())
        .output()
        .unwrap();
    let message = String::from_utf8(ran.stderr).unwrap();
    assert_eq!(ran.status.code(), Some(2), "{message}");
    assert!(
        message.contains("dossier.pdf") && message.contains("unchanged"),
        "{message}"
    );
    let old = std::fs::read_to_string(out.join("dossier.pdf")).unwrap();
    assert_eq!(old, "the old one");
    assert_eq!(files_below(folder.path()).len(), 2, "something was left");
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let folder = with_room(format!("{EIGHT}[selection]\nmodels = [\"generic-150\"]\n"));
    let locked = folder.path().join("locked");
    std::fs::create_dir(&locked).unwrap();
    std::fs::set_permissions(&locked, std::fs::Permissions::from_mode(0o555)).unwrap();
    if std::fs::write(locked.join("probe"), "").is_ok() {
        // The superuser may write anywhere: nothing to see.
        return;
    }
    let args = ["design", "--preview", "a.room.toml", "-o", "locked"];
    let message = refused(folder.path(), &args);
    assert!(message.contains("locked"), "{message}");
    assert!(files_below(&locked).is_empty());
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

/// As `| head -1` does: one line is read, then the pipe is closed while the
/// program still writes.
#[test]
fn one_line_may_be_read_and_the_rest_left() {
    use std::io::{BufRead, BufReader};
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_drywright"))
        .args(["schema", "room"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut line = String::new();
    let mut reader = BufReader::with_capacity(64, child.stdout.take().unwrap());
    reader.read_line(&mut line).unwrap();
    assert_eq!(line, "{\n");
    drop(reader);
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

/// The files that were asked for are written, whoever reads the report.
#[test]
fn a_reader_that_goes_away_stops_no_work() {
    let folder = with_room(format!("{EIGHT}[selection]\nmodels = [\"generic-150\"]\n"));
    let at = folder.path();
    std::fs::copy(at.join("a.room.toml"), at.join("b.room.toml")).unwrap();
    let mut child = std::process::Command::new(env!("CARGO_BIN_EXE_drywright"))
        .args(["design", "--preview", "."])
        .current_dir(at)
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(output.stderr.is_empty());
    for room in ["a", "b"] {
        assert!(
            at.join("out").join(room).join("dossier.pdf").exists(),
            "{room}"
        );
    }
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

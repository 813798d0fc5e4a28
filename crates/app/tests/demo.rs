//! The main job, as a new user runs it in an empty folder.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use common::schema::violations;
use common::{drywright, files_below};

fn contents(folder: &Path) -> BTreeMap<PathBuf, Vec<u8>> {
    files_below(folder)
        .into_iter()
        .map(|p| (p.clone(), std::fs::read(p).unwrap()))
        .collect()
}

#[test]
fn demo_writes_a_whole_job_and_the_same_bytes_again() {
    let folder = tempfile::tempdir().unwrap();
    let ran = drywright(folder.path(), &["demo", "job"]);
    assert_eq!(ran.code, 0, "{}", ran.err);
    assert!(ran.out.contains("invented"), "{}", ran.out);
    assert!(ran.out.contains("drywright check job"), "{}", ran.out);

    let job = folder.path().join("job");
    for file in ["site.toml", "flower-2.room.toml", "out/dossier.pdf"] {
        assert!(job.join(file).exists(), "{file}");
    }
    let schema = drywright(folder.path(), &["schema", "design"]).out;
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    for (room, model) in [
        ("flower-2", "generic-70"),
        ("drying-1", "generic-30"),
        ("veg-1", "generic-150"),
    ] {
        let out = job.join("out").join(room);
        let pdf = std::fs::read(out.join("dossier.pdf")).unwrap();
        assert!(pdf.starts_with(b"%PDF") && pdf.len() > 20_000);
        for figure in ["day", "load", "capacity", "psychrometric", "ranges"] {
            let svg = std::fs::read_to_string(out.join(format!("{figure}.svg"))).unwrap();
            assert!(svg.starts_with("<svg"), "{figure}");
            assert!(!svg.contains("NaN"), "{figure}");
        }
        let numbers = std::fs::read_to_string(out.join("numbers.json")).unwrap();
        let numbers: serde_json::Value = serde_json::from_str(&numbers).unwrap();
        assert_eq!(violations(&schema, &numbers), [""; 0], "{room}");
        let chosen = &numbers["selection"]["chosen"]["judged"];
        assert!(chosen["held_days"].as_u64() >= Some(90), "{room}");
        assert!(numbers["load"]["water_kg_per_day"]["likely"].as_f64() > Some(10.0));
        // Three models, each told to run in another way: the sets for which
        // `job/tests/control.rs` counts the families.
        assert_eq!(chosen["units"][0]["model"], model, "{room}");
        let residual = &numbers["day"]["water_balance_worst_step_kg"];
        assert!(residual.as_f64() < Some(1e-9), "{room}: {residual}");
    }

    // What two of the rooms share stands once, for the job.
    let shared = std::fs::read(job.join("out/shared.pdf")).unwrap();
    assert!(shared.starts_with(b"%PDF"));
    let shared = std::fs::read_to_string(job.join("out/shared.json")).unwrap();
    let shared: serde_json::Value = serde_json::from_str(&shared).unwrap();
    let schema = drywright(folder.path(), &["schema", "step"]).out;
    let schema: serde_json::Value = serde_json::from_str(&schema).unwrap();
    assert_eq!(violations(&schema, &shared), [""; 0]);
    assert_eq!(shared["step"], "shared");
    let main = &shared["tables"].as_array().unwrap().last().unwrap()["rows"][0];
    assert_eq!(main["rooms"], "Flower 2, Veg 1");

    let before = contents(&job);
    // A room that was edited is the user's; what belongs to the other one
    // comes out the same to the byte.
    let edited = job.join("drying-1.room.toml");
    let text = std::fs::read_to_string(&edited).unwrap() + "# measured again\n";
    std::fs::write(&edited, &text).unwrap();
    let again = drywright(folder.path(), &["demo", "job"]);
    assert_eq!(again.code, 0, "{}", again.err);
    assert_eq!(std::fs::read_to_string(&edited).unwrap(), text);
    for (path, bytes) in &before {
        let same = std::fs::read(path).unwrap() == *bytes;
        // Other words in the room file are another design id, which stands on
        // the dossier and in the numbers.
        let of_edited = path.starts_with(job.join("out/drying-1"))
            && path.extension().is_none_or(|e| e != "svg" && e != "csv");
        let expected = *path != edited && !of_edited;
        assert_eq!(same, expected, "{}", path.display());
    }
    assert_eq!(contents(&job).len(), before.len());
    // No temporary file is left; the folder of the test itself may be called so.
    let left = before.keys().filter(|p| {
        let inside = p.strip_prefix(&job).unwrap();
        inside.to_string_lossy().contains(".tmp")
    });
    assert_eq!(left.count(), 0);
}

#[test]
fn demo_leaves_other_peoples_folders_alone() {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("letter.txt"), "mine").unwrap();
    let ran = drywright(folder.path(), &["demo", "."]);
    assert_eq!(ran.code, 2);
    assert!(ran.err.contains("not a demonstration job"), "{}", ran.err);
    assert_eq!(files_below(folder.path()).len(), 1);
}

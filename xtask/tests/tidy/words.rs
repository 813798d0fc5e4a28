//! Words that say how or where a file was made are no part of the project.

use std::collections::BTreeSet;

use crate::files_under;

/// Taken apart, so that this file does not find itself.
fn banned_words() -> BTreeSet<String> {
    [["help", "er"], ["sess", "ion"], ["sand", "box"]]
        .into_iter()
        .flat_map(|parts| [parts.concat(), parts.concat() + "s"])
        .collect()
}

/// Two of them are terms of HTTP and of browsers: what a cookie stands for, a
/// directive
/// of the content policy and an option.
fn terms_of_http() -> [String; 3] {
    [["sess", "ion"], ["sess", "ions"], ["sand", "box"]].map(|parts| parts.concat())
}

/// Folders of one machine, where they stand at the front of a path.
fn banned_paths() -> [String; 4] {
    [
        ["/wo", "rk/"],
        ["/tm", "p/"],
        ["/ho", "me/"],
        ["/ro", "ot/"],
    ]
    .map(|parts| parts.concat())
}

fn faults(text: &str) -> Vec<String> {
    let (words, paths) = (banned_words(), banned_paths());
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let lower = line.to_lowercase();
        for word in lower.split(|c: char| !c.is_alphabetic()) {
            if words.contains(word) {
                found.push(format!("{}: {word}", i + 1));
            }
        }
        for path in &paths {
            let at_front = lower.match_indices(path).any(|(at, _)| {
                let before = lower[..at].chars().next_back();
                !before.is_some_and(|c| c.is_alphanumeric() || matches!(c, '.' | '_' | '-' | '*'))
            });
            if at_front {
                found.push(format!("{}: {path}", i + 1));
            }
        }
    }
    found
}

#[test]
fn words_and_paths_are_found() {
    let word = banned_words().pop_first().unwrap();
    let [work, ..] = banned_paths();
    assert_eq!(faults(&format!("a\n// A {word}.")), [format!("2: {word}")]);
    assert_eq!(faults(&word.to_uppercase()), [format!("1: {word}")]);
    assert_eq!(faults(&format!("\"{work}x\"")), [format!("1: {work}")]);
    assert_eq!(faults(&format!("cases{work}x, net{work}day")), [""; 0]);
    assert_eq!(faults(&format!("{word}ful")), [""; 0]);
}

#[test]
fn no_file_says_how_it_was_made() {
    let mut seen = 0;
    for (name, path) in files_under("") {
        // Third parties name their crates and fonts as they like.
        if name == "Cargo.lock" || name.starts_with("crates/sheet/assets/") {
            continue;
        }
        // What is not text has no words.
        if let Ok(text) = std::fs::read_to_string(&path) {
            let mut found = faults(&text);
            if ["crates/app/src/web/", "crates/app/tests/"]
                .iter()
                .any(|p| name.starts_with(p))
            {
                found.retain(|f| !terms_of_http().iter().any(|t| f.ends_with(t)));
            }
            assert_eq!(found, [""; 0], "{name}");
            seen += 1;
        }
        assert_eq!(faults(&name), [""; 0], "{name}");
    }
    assert!(300 < seen, "{seen}");
}

//! Only `app` prints, opens files and asks the machine; nobody reads a clock.

use crate::{crate_names, sources_of};

/// Belongs to `app` (and to the chores, which are no part of the program).
const IO: [&str; 11] = [
    "println!",
    "print!",
    "eprintln!",
    "eprint!",
    "dbg!",
    "io::stdout",
    "io::stderr",
    "std::fs",
    "std::env",
    "std::net",
    "std::process",
];

/// Belongs to no crate, but for the web pages and the record: the same files
/// give the same bytes at any time.
const CLOCK: [&str; 4] = ["SystemTime", "Instant::now", "Zoned::now", "Timestamp::now"];

/// Lines of code, not of comment, in which one of `terms` stands as a word.
fn faults(text: &str, terms: &[&str]) -> Vec<String> {
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let code = line.split("//").next().unwrap_or_default();
        for term in terms {
            let stands = code.match_indices(term).any(|(at, _)| {
                let before = code[..at].chars().next_back();
                !before.is_some_and(|c| c.is_alphanumeric() || c == '_')
            });
            if stands {
                found.push(format!("{}: {term}", i + 1));
            }
        }
    }
    found
}

#[test]
fn printing_and_asking_are_found() {
    assert_eq!(
        faults("fn f() {\n    println!(\"x\");\n}", &IO),
        ["2: println!"]
    );
    assert_eq!(faults("    eprintln!();", &IO), ["1: eprintln!"]);
    assert_eq!(faults("let x = dbg!(y);", &IO), ["1: dbg!"]);
    assert_eq!(faults("use std::fs;", &IO), ["1: std::fs"]);
    assert_eq!(
        faults("let t = Instant::now();", &CLOCK),
        ["1: Instant::now"]
    );
    assert_eq!(
        faults("/// println!(\"{x}\");\nlet footprint = 1;", &IO),
        [""; 0]
    );
}

/// Paths of the modules that are compiled for tests only, without their ending:
/// what the person who runs them asks for and reads is no result.
fn modules_of_tests(sources: &[(String, String)]) -> Vec<String> {
    let mut all = Vec::new();
    for (file, text) in sources {
        let folder = file.rsplit_once('/').map_or("", |(folder, _)| folder);
        let mut lines = text.lines().map(str::trim).peekable();
        while let Some(line) = lines.next() {
            let module = lines.peek().and_then(|l| l.strip_prefix("mod "));
            if let ("#[cfg(test)]", Some(name)) = (line, module.and_then(|m| m.strip_suffix(';'))) {
                all.extend([format!("{folder}/{name}/"), format!("{folder}/{name}.rs")]);
            }
        }
    }
    all
}

#[test]
fn modules_of_tests_are_told_from_others() {
    let source = |text: &str| vec![("a/src/x/mod.rs".to_owned(), text.to_owned())];
    assert_eq!(
        modules_of_tests(&source("mod a;\n#[cfg(test)]\nmod b;\n")),
        ["a/src/x/b/", "a/src/x/b.rs"]
    );
    assert_eq!(
        modules_of_tests(&source("#[cfg(test)]\nmod tests {\n}\n")),
        [""; 0]
    );
}

#[test]
fn only_the_app_does_input_and_output() {
    let mut seen = 0;
    for name in crate_names() {
        let sources = sources_of(&name);
        let tests = modules_of_tests(&sources);
        for (file, text) in &sources {
            if tests.iter().any(|module| file.starts_with(module)) {
                continue;
            }
            seen += 1;
            let io: &[&str] = if name == "app" { &[] } else { &IO };
            assert_eq!(faults(text, io), [""; 0], "{file}");
            // Who is let in, and for how long, goes by the clock; so does what
            // is recorded.
            let by_clock = ["crates/app/src/web/", "crates/app/src/record/"];
            let clock: &[&str] = if by_clock.iter().any(|f| file.starts_with(f)) {
                &[]
            } else {
                &CLOCK
            };
            assert_eq!(faults(text, clock), [""; 0], "{file}");
        }
    }
    assert!(100 < seen, "{seen}");
}

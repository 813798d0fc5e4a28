//! Chores of the project, one command each: `cargo xtask test | cases | pictures | peers | logs | load | fuzz | fuzz-api`.

use std::process::{Command, ExitCode};

use anyhow::{Context, Result, bail};

mod browser;
mod fuzz;
mod fuzz_api;
mod load;
mod logs;
mod peers;
mod pictures;
mod python;
mod serving;

const USAGE: &str = "\
usage: cargo xtask <chore>
  test      format, lints, all tests, doc tests, the demo: what CI runs
  cases     rewrite the golden results under cases/ and the snapshots, for review as a diff
  pictures  draw the README's pictures anew from the demonstration
  peers     time and compare moist-air states with reference libraries (makes its own virtual environment)
  logs      time the reading of five million rows beside two libraries for tables
  load      ask the web app's pages 200 times a second and time them; builds the release, or with dev the build for development
  fuzz      throw bounded random input at the readers of quantities, rooms and machines, 20 s each or as many as named
  fuzz-api  send the web app's JSON what its OpenAPI document allows and much that it does not, 40 requests of each kind or as many as named (makes its own virtual environment)";

fn main() -> ExitCode {
    let chore = std::env::args().nth(1).unwrap_or_default();
    let done = match chore.as_str() {
        "test" => test(),
        "cases" => cases(),
        "pictures" => pictures::run(),
        "peers" => peers::run(),
        "load" => load::run(),
        "logs" => logs::run(),
        "fuzz" => fuzz::run(),
        "fuzz-api" => fuzz_api::run(),
        _ => {
            say(USAGE);
            return ExitCode::from(2);
        }
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(e) => {
            say(&format!("xtask {chore}: {e:#}"));
            ExitCode::FAILURE
        }
    }
}

/// Everything that must hold before a change lands. The demo runs as one of
/// the tests of `app`, on the binary that the tests build. One failure does not
/// hide another: all tests are run.
fn test() -> Result<()> {
    cargo(&["fmt", "--all", "--check"], &[])?;
    cargo(
        &[
            "clippy",
            "--workspace",
            "--all-targets",
            "--",
            "-D",
            "warnings",
        ],
        &[],
    )?;
    browser::install_where_missing()?;
    let all = ["test", "--workspace", "--no-fail-fast"];
    cargo(&all, &[("NO_COLOR", "1")])
}

fn cases() -> Result<()> {
    cargo(
        &["test", "--workspace"],
        &[
            ("REWRITE_GOLDEN", "1"),
            ("INSTA_UPDATE", "always"),
            ("NO_COLOR", "1"),
        ],
    )
}

/// Runs cargo with these arguments and environment, and fails when it fails.
fn cargo(args: &[&str], env: &[(&str, &str)]) -> Result<()> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".into());
    say(&format!("cargo {}", args.join(" ")));
    let status = Command::new(&cargo)
        .args(args)
        .envs(env.iter().copied())
        .status()
        .with_context(|| format!("cannot start {cargo}"))?;
    if !status.success() {
        bail!("cargo {} failed", args.join(" "));
    }
    Ok(())
}

#[expect(
    clippy::print_stderr,
    reason = "a chore talks to the person who started it"
)]
fn say(line: &str) {
    eprintln!("{line}");
}

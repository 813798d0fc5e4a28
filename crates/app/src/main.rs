//! The command line of Drywright: the only crate that touches files, clock
//! and terminal.
//!
//! Exit codes: 0 done; 1 done, with at least one Stop finding; 2 could not be
//! done.

mod call;
mod cli;
mod commands;
mod fault;
mod files;
mod json;
mod kept;
mod letters;
mod logs;
mod out;
mod project;
mod record;
mod results;
mod startup;
mod watch;
mod web;

use std::process::ExitCode;

use clap::Parser;
use cli::{Cli, Command};
use job::Effort;

fn main() -> ExitCode {
    let cli = Cli::parse();
    match fault::caught(|| run(&cli)) {
        Ok(Verdict::Clear) => ExitCode::SUCCESS,
        Ok(Verdict::Stop) => ExitCode::from(1),
        Err(error) => {
            out::message(&format!("drywright: {error:#}"));
            ExitCode::from(2)
        }
    }
}

/// What a command that was done has to say to a script.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Verdict {
    /// Done, nothing in the way.
    Clear,
    /// Done, and at least one finding says Stop.
    Stop,
}

impl Verdict {
    pub(crate) const fn from_stops(stops: bool) -> Self {
        if stops { Self::Stop } else { Self::Clear }
    }
}

fn run(cli: &Cli) -> anyhow::Result<Verdict> {
    use commands as c;
    let shown = cli.shown;
    let effort = |preview: bool| {
        if preview {
            Effort::Preview
        } else {
            Effort::Full
        }
    };
    match &cli.command {
        Command::Demo { dir } => c::demo::run(dir, shown),
        Command::Air(args) => c::air::run(args, shown),
        Command::Check { path } => c::check::run(path, shown),
        Command::Load { path } => c::load::run(path, shown),
        Command::Select { path, preview } => c::select::run(path, effort(*preview), shown),
        Command::Day { path, csv } => c::day::run(path, csv.as_deref(), shown),
        Command::Place {
            path,
            suggest: true,
            seed,
            ..
        } => c::suggest::run(path, *seed, shown),
        Command::Place { path, out, .. } => {
            c::step::run(path, c::step::Step::Place, out.as_deref(), shown)
        }
        Command::Hang { path, out } => {
            c::step::run(path, c::step::Step::Hang, out.as_deref(), shown)
        }
        Command::Drain { path, out } => {
            c::step::run(path, c::step::Step::Drain, out.as_deref(), shown)
        }
        Command::Power { path, out } => {
            c::step::run(path, c::step::Step::Power, out.as_deref(), shown)
        }
        Command::Control {
            path,
            out,
            as_wired: None,
        } => c::step::run(path, c::step::Step::Control, out.as_deref(), shown),
        Command::Control {
            path,
            as_wired: Some(list),
            ..
        } => c::as_wired::run(path, list, shown),
        Command::Survey { file, paper } => c::survey::run(file, *paper, shown),
        Command::Design {
            path,
            out,
            paper,
            preview,
        } => c::design::run(
            &c::design::Asked {
                path,
                out: out.as_deref(),
                paper: *paper,
                effort: effort(*preview),
            },
            shown,
        ),
        Command::Fault(args) => c::fault::run(args, shown),
        Command::Prove(args) => c::prove::run(args, shown),
        Command::Start(args) => c::start::run(args, shown),
        Command::Catalog(command) => c::catalog::run(command, shown),
        Command::Serve {
            dir,
            port,
            share,
            plain,
            tls,
        } => web::serve(&web::Asked {
            dir,
            port: *port,
            share: *share,
            plain: *plain,
            tls: match tls.as_deref() {
                Some([certificate, key]) => Some((certificate, key)),
                _ => None,
            },
        }),
        Command::Schema { name } => c::schema::run(name.as_deref()),
        Command::Manual => c::schema::manual(),
    }
}

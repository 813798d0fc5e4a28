//! A kept proof is a chapter of the dossier, and says when the design changed
//! since.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::catalog;
use equipment::Catalog;
use job::proof::{Log, MOST_STEPS, Proof, STEP_S, prove};
use job::{Design, Effort, Inputs, Silent};
use quantity::UnitSystem;
use readings::{Grid, Measure, Sink as _, WallClock};
use room::Room;
use sheet::Block;
use sheet::dossier::{Dossier, Kept, KeptChapter, Workings};
use sheet::shown::{ShownBlock, shown};

const ROOM: &str = include_str!("../../job/tests/rooms/leafy.room.toml");

/// Three days of a room that is wetter with lights off, by hand.
fn proof(room: &Room, catalog: &Catalog) -> Proof {
    let mut grid = Grid::new(STEP_S, MOST_STEPS);
    grid.channel(Measure::DryBulb, "temp");
    grid.channel(Measure::RelHumidity, "rh");
    for i in 0..3 * 1440_i64 {
        grid.moment(1_740_787_200 + 60 * i);
        let lit = (360..1320).contains(&(i % 1440));
        grid.reading(0, if lit { 22.5 } else { 21.0 });
        grid.reading(1, if lit { 0.70 } else { 0.82 });
    }
    let log = Log {
        grid,
        clock: WallClock::Own,
    };
    prove(room, catalog, &log, Effort::Draft, &Silent).unwrap()
}

fn checks(dossier: &Dossier) -> Vec<String> {
    let blocks = dossier.report.blocks.iter();
    let findings = blocks.filter_map(|b| match b {
        Block::Findings(all) => Some(all),
        _ => None,
    });
    findings.flatten().map(|f| f.check.to_string()).collect()
}

fn headings(dossier: &Dossier) -> Vec<String> {
    let all = shown(&dossier.report).blocks;
    all.into_iter()
        .filter_map(|b| match b {
            ShownBlock::Heading { text, .. } => Some(text),
            _ => None,
        })
        .collect()
}

#[test]
fn a_kept_proof_is_a_chapter_and_says_when_the_design_changed() {
    let room = Room::read(None, ("a.room.toml", ROOM)).unwrap();
    let catalog = catalog();
    let design: Design = job::design(
        &room,
        &catalog,
        &Inputs::default(),
        Effort::Preview,
        &Silent,
    )
    .unwrap();
    let proof = proof(&room, &catalog);
    let with = |kept| {
        let how = (UnitSystem::Metric, Workings::Appended);
        Dossier::with_proof(&room, &catalog, &design, kept, how)
    };
    let chapter = KeptChapter {
        proof: &proof,
        logs: &[],
        design_id: &design.id,
        changed_logs: &[],
    };
    let has = |dossier: &Dossier| headings(dossier).contains(&"Proof from logs".to_owned());
    let changed = "design_changed_since_proof".to_owned();
    let same = with(Some(Kept::Made(chapter)));
    assert!(has(&same) && !checks(&same).contains(&changed));
    // Its workings are in the appendix with the others.
    let kinds = |dossier: &Dossier| {
        let blocks = dossier.report.blocks.iter();
        blocks
            .filter_map(|b| match b {
                Block::Families(all) => Some(all.len()),
                _ => None,
            })
            .sum::<usize>()
    };
    assert!(kinds(&with(None)) < kinds(&same));
    let other = KeptChapter {
        design_id: "0123456789abcdef",
        ..chapter
    };
    assert!(checks(&with(Some(Kept::Made(other)))).contains(&changed));
    let broken = with(Some(Kept::NotMade("cannot read logs/a.csv")));
    assert!(has(&broken) && checks(&broken) == checks(&with(None)));
    assert!(!has(&with(None)));
}

//! Writes a specimen of every block and chart, with invented data, to a folder:
//! `cargo run -p sheet --example specimen -- FOLDER [us] [letter]`.
//!
//! It is for looking at. No number in it means anything.

mod data;
#[cfg(feature = "pdf")]
mod report;

use std::fs;
use std::path::PathBuf;

use quantity::UnitSystem;
use sheet::svg::svg;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let folder = PathBuf::from(args.first().map_or("specimen", String::as_str));
    let units = if args.iter().any(|a| a == "us") {
        UnitSystem::Us
    } else {
        UnitSystem::Metric
    };
    fs::create_dir_all(&folder)?;
    for (name, drawing) in data::drawings(units) {
        fs::write(folder.join(format!("{name}.svg")), svg(&drawing))?;
    }
    #[cfg(feature = "pdf")]
    {
        let paper = if args.iter().any(|a| a == "letter") {
            sheet::Paper::Letter
        } else {
            sheet::Paper::A4
        };
        let bytes = sheet::pdf::pdf(&report::specimen(units), paper)?;
        fs::write(folder.join("specimen.pdf"), bytes)?;
    }
    Ok(())
}

//! Writes a [`Report`] as PDF, by way of typst; all that knows typst is here.
//!
//! The layout lives in `template.typ`, which reads the report as one JSON
//! file. No text of a report is ever read as typst code, so no sign in it can
//! do anything but be printed. Nothing comes from disk or clock: the same
//! report gives the same bytes.

mod world;

use serde::Serialize;
use typst::diag::SourceDiagnostic;
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};

use crate::drawing::{Paper, font};
use crate::report::Report;
use crate::shown::{Shown, ShownBlock, shown};
use crate::svg::svg;
use world::ClosedWorld;

/// Why a report could not be written as PDF.
#[derive(Debug, thiserror::Error)]
pub enum PdfError {
    /// The layout failed; a fault of this program.
    #[error("the layout of the report failed: {0}")]
    Layout(String),
    /// The layout could not be put into an accessible PDF; a fault of this
    /// program.
    #[error("the report could not be written as accessible PDF: {0}")]
    Write(String),
}

/// What the template reads.
#[derive(Serialize)]
struct Input<'a> {
    page: PageSize,
    report: &'a Shown,
}

#[derive(Serialize)]
struct PageSize {
    width_mm: f64,
    height_mm: f64,
}

/// The report as a tagged PDF (PDF/UA-1) on A4 or Letter.
///
/// # Errors
/// Only for a fault of this program: any text and any number can be printed.
pub fn pdf(report: &Report, paper: Paper) -> Result<Vec<u8>, PdfError> {
    let shown = shown(report);
    let size = paper.portrait();
    let input = Input {
        page: PageSize {
            width_mm: size.width_mm,
            height_mm: size.height_mm,
        },
        report: &shown,
    };
    let json = serde_json::to_value(&input)
        .map(printable_strings)
        .map_err(|e| PdfError::Layout(e.to_string()))?;
    let mut files = vec![("report.json".to_owned(), json.to_string().into_bytes())];
    for block in &shown.blocks {
        if let ShownBlock::Figure { file, drawing, .. } = block {
            let text: String = svg(drawing).chars().filter_map(printable).collect();
            files.push((file.clone(), text.into_bytes()));
        }
        if let ShownBlock::Photo { file, jpeg, .. } = block {
            files.push((file.clone(), jpeg.to_vec()));
        }
    }
    let world = ClosedWorld::new(include_str!("template.typ"), files);
    let document = typst::compile::<PagedDocument>(&world)
        .output
        .map_err(|e| PdfError::Layout(messages(&e)))?;
    let options = PdfOptions {
        creator: Smart::Custom(None),
        standards: PdfStandards::new(&[PdfStandard::Ua_1])
            .map_err(|e| PdfError::Write(e.message().to_string()))?,
        ..PdfOptions::default()
    };
    typst_pdf::pdf(&document, &options).map_err(|e| PdfError::Write(messages(&e)))
}

fn messages(errors: &[SourceDiagnostic]) -> String {
    let all: Vec<_> = errors.iter().map(|e| e.message.as_str()).collect();
    all.join("; ")
}

/// All strings of a JSON value with only signs that can be printed.
fn printable_strings(value: serde_json::Value) -> serde_json::Value {
    use serde_json::Value as V;
    match value {
        V::String(s) => V::String(s.chars().filter_map(printable).collect()),
        V::Array(all) => V::Array(all.into_iter().map(printable_strings).collect()),
        V::Object(all) => V::Object(
            all.into_iter()
                .map(|(key, v)| (key, printable_strings(v)))
                .collect(),
        ),
        other => other,
    }
}

/// What is printed for a sign: nothing for one that is invisible or turns the
/// direction of writing, "?" for one that the typeface lacks, since an
/// accessible PDF may hold no sign without a glyph.
fn printable(c: char) -> Option<char> {
    match c {
        '\n' | '\t' => Some(' '),
        c if c.is_control() => None,
        '\u{200B}'..='\u{200F}'
        | '\u{2028}'..='\u{202E}'
        | '\u{2060}'..='\u{206F}'
        | '\u{FE00}'..='\u{FE0F}'
        | '\u{FEFF}'
        | '\u{FFF0}'..='\u{FFFF}' => None,
        c if c.is_ascii() || font::has_glyph(c) => Some(c),
        _ => Some('?'),
    }
}

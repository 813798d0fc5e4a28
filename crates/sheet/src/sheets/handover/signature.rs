//! Two signatures: as they were drawn, or lines to sign on.

use job::record::{Signature, Signed, SignedBy, entered_since, last_signed};

use quantity::Text;

use super::HandOver;
use crate::drawing::{Drawing, Label, Letters, Role, Shape, Size, View, at};
use crate::report::{Block, Level, Report};

/// Field of a signature on paper \[mm\].
const FIELD: Size = Size {
    width_mm: 130.0,
    height_mm: 48.0,
};
/// Where the line lies, from the top \[mm\].
const LINE_MM: f64 = 38.0;

/// Both signatures, the last of each that was given.
pub(super) fn both(of: &HandOver<'_>, report: &mut Report) {
    report.push(Block::Heading(Level::One, "Signatures".into()));
    report.push(Block::Paragraph(
        "What stands in this hand-over was shown; what is open or was left out was told.".into(),
    ));
    for by in [SignedBy::Installer, SignedBy::Customer] {
        let given = last_signed(of.events, by);
        if let Some((at, _)) = given {
            report.push(Block::Remark(covers(of, at)));
        }
        let given = given.map(|(at, signed)| (signed, (of.when)(of.events[at].at.utc_ms)));
        report.push(Block::Figure {
            drawing: field(by, given.as_ref().map(|(s, when)| (*s, when.as_str()))),
            caption: words(by).into(),
        });
    }
}

/// What a signature covers, and what came after it.
fn covers(of: &HandOver<'_>, at: usize) -> Text {
    let signed = &of.events[at];
    let later = entered_since(of.events, at);
    let covers = format!(
        "Signed below: the record up to {} ({} entries).",
        signed.hash.short(),
        at + 1
    );
    Text::from(match later {
        0 => format!("{covers} Nothing was entered since."),
        n => format!("{covers} Entries since then that are not signed: {n}. Sign again."),
    })
}

const fn words(by: SignedBy) -> &'static str {
    match by {
        SignedBy::Installer => "Started up by",
        SignedBy::Customer => "Taken over by",
    }
}

fn field(by: SignedBy, given: Option<(&Signed, &str)>) -> Drawing {
    let mut view = View::paper("signature");
    view.push(
        Role::Frame,
        Shape::Line {
            from: at(4.0, LINE_MM),
            to: at(FIELD.width_mm - 4.0, LINE_MM),
        },
    );
    let under = match given {
        Some((signed, when)) => {
            if let Signature::Drawn(strokes) = &signed.signature {
                for stroke in strokes {
                    view.push(Role::Outline, Shape::Polyline(on_paper(stroke)));
                }
            }
            let how = match signed.signature {
                Signature::Drawn(_) => "signed",
                Signature::OnPaper => "to be signed on this sheet; noted",
            };
            format!("{}, {how} {when}", signed.name)
        }
        None => "name, date".to_owned(),
    };
    view.text(
        Role::Text,
        Label::new(&under, at(4.0, LINE_MM + 5.5)).letters(Letters::Note),
    );
    Drawing {
        size: FIELD,
        title: format!("Signature: {}", words(by)),
        alt: format!("{}: {under}.", words(by)),
        views: vec![view],
        notes: Vec::new(),
        behind: None,
    }
}

/// Thousandths of the field's width on the paper of the field; what was drawn
/// beyond it is held at its edge.
fn on_paper(stroke: &[[i32; 2]]) -> Vec<crate::drawing::Point> {
    let scale = (FIELD.width_mm - 8.0) / 1_000.0;
    stroke
        .iter()
        .map(|[x, y]| {
            at(
                4.0 + scale * f64::from((*x).clamp(0, 1_000)),
                (1.0 + scale * f64::from((*y).clamp(0, 1_000))).min(FIELD.height_mm - 1.0),
            )
        })
        .collect()
}

//! The one typeface, and how wide a text is in it.
//!
//! IBM Plex Sans 3.005 (OFL 1.1, `assets/fonts/OFL.txt`): its figures, plus,
//! equals and minus have one width without any feature being switched on, so
//! that columns align in every program that shows our files.

use std::sync::LazyLock;

use ttf_parser::Face;

use super::style::{Letters, Role};

/// Name of the typeface.
pub const FAMILY: &str = "IBM Plex Sans";

/// The upright font file.
pub const REGULAR: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-Regular.ttf");
/// The half-bold font file, weight 600.
pub const SEMIBOLD: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-SemiBold.ttf");
/// The italic font file, for symbols in equations.
pub const ITALIC: &[u8] = include_bytes!("../../assets/fonts/IBMPlexSans-Italic.ttf");

/// Height of capitals as a share of the em.
pub const CAP_PER_EM: f64 = 0.698;

struct Advances {
    per_em: f64,
    face: Face<'static>,
}

impl Advances {
    fn of(bytes: &'static [u8]) -> Option<Self> {
        let face = Face::parse(bytes, 0).ok()?;
        Some(Self {
            per_em: f64::from(face.units_per_em()),
            face,
        })
    }

    fn em(&self, text: &str) -> f64 {
        let total: f64 = text
            .chars()
            .map(|c| {
                self.face
                    .glyph_index(c)
                    .and_then(|g| self.face.glyph_hor_advance(g))
                    .map_or(self.per_em, f64::from)
            })
            .sum();
        total / self.per_em
    }
}

static UPRIGHT: LazyLock<Option<Advances>> = LazyLock::new(|| Advances::of(REGULAR));
static STRONG: LazyLock<Option<Advances>> = LazyLock::new(|| Advances::of(SEMIBOLD));

/// Whether the typeface has a glyph for `c`.
pub fn has_glyph(c: char) -> bool {
    UPRIGHT
        .as_ref()
        .is_some_and(|f| f.face.glyph_index(c).is_some())
}

/// Font size whose capitals are as high as `letters` ask \[mm\].
pub fn size_mm(letters: Letters) -> f64 {
    letters.cap_mm() / CAP_PER_EM
}

/// Width of `text` on paper \[mm\], from the font's own advances (kerning,
/// which only narrows, is left out).
pub fn width_mm(text: &str, letters: Letters, role: Role) -> f64 {
    let font = if role == Role::TextStrong {
        &STRONG
    } else {
        &UPRIGHT
    };
    let em = font
        .as_ref()
        .map_or(0.6 * text.chars().count() as f64, |f| f.em(text));
    em * size_mm(letters)
}

/// `text` in at most two lines of `room_mm`, broken at a space; what does not
/// fit even so ends in "…".
pub fn in_two_lines(text: &str, room_mm: f64, letters: Letters, role: Role) -> Vec<String> {
    if width_mm(text, letters, role) <= room_mm {
        return vec![text.to_owned()];
    }
    let first = text
        .match_indices(' ')
        .map(|(i, _)| i)
        .take_while(|i| width_mm(&text[..*i], letters, role) <= room_mm)
        .last();
    match first {
        Some(i) => vec![
            text[..i].to_owned(),
            shortened(&text[i + 1..], room_mm, letters, role),
        ],
        None => vec![shortened(text, room_mm, letters, role)],
    }
}

/// `text`, or as much of its beginning as fits into `room_mm`, with "…".
pub fn shortened(text: &str, room_mm: f64, letters: Letters, role: Role) -> String {
    if width_mm(text, letters, role) <= room_mm {
        return text.to_owned();
    }
    let mut out = String::new();
    for c in text.chars() {
        out.push(c);
        if width_mm(&format!("{out}…"), letters, role) > room_mm {
            out.pop();
            break;
        }
    }
    format!("{}…", out.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_lines_hold_a_long_name() {
        let two = |s: &str| in_two_lines(s, 40.0, Letters::Note, Role::TextStrong);
        assert_eq!(two("2 × generic-150"), ["2 × generic-150"]);
        let long = two("1\u{a0}×\u{a0}generic-150 + 1\u{a0}×\u{a0}generic-90-cold");
        assert_eq!(
            long,
            [
                "1\u{a0}×\u{a0}generic-150 +",
                "1\u{a0}×\u{a0}generic-90-cold"
            ]
        );
        for text in [
            "",
            " ",
            "x".repeat(300).as_str(),
            "a b ".repeat(200).as_str(),
        ] {
            let lines = two(text);
            assert!(lines.len() <= 2);
            for line in lines {
                assert!(
                    width_mm(&line, Letters::Note, Role::TextStrong) <= 40.0,
                    "{line}"
                );
            }
        }
    }
}

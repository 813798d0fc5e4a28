//! How level a unit hangs.

use quantity::{Dim, Place, Severity, Source, Step, Text, Value};

use super::{Estimate, Judgement, Verdict};
use crate::finding::Said;
use crate::hanging::{Direction, Levelling};

/// A unit's tilt in one direction \[m/m\]; positive: its front, or its left,
/// is low.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tilt {
    /// Which way.
    pub way: Direction,
    /// How much.
    pub slope: Estimate,
}

/// Judges a tilt against what the drawing allows.
pub fn judge(place: &Place, levelling: &Levelling, tilt: Tilt) -> Judgement {
    let slope = |si: f64| Value::new(si, Dim::Slope).digits(2);
    let (size, uncertain) = (tilt.slope.value.abs(), tilt.slope.expanded());
    let allowed = levelling.tolerance;
    let verdict = if size + uncertain <= allowed + 1e-9 {
        Verdict::Pass
    } else if allowed < size - uncertain {
        Verdict::Fail
    } else {
        Verdict::NotProven
    };
    let way = match tilt.way {
        Direction::BackToFront => "back to front",
        Direction::RightToLeft => "right to left",
    };
    let mut judgement = Judgement::plain(
        verdict,
        Text::from(format!("{way} "))
            .value(slope(tilt.slope.value))
            .words(" ±")
            .value(slope(uncertain))
            .words(", allowed ±")
            .value(slope(allowed)),
    );
    let turns = levelling.turns(size, tilt.way);
    let side = match (tilt.way, 0.0 < tilt.slope.value) {
        (Direction::BackToFront, true) => "front",
        (Direction::BackToFront, false) => "back",
        (Direction::RightToLeft, true) => "left",
        (Direction::RightToLeft, false) => "right",
    };
    let raise = Text::from(format!("raise the {side} by "))
        .value(Value::new(turns, Dim::Number).digits(2))
        .words(" turns of both nuts there, lock them, and read again; hold the weight before nuts are loosened");
    match verdict {
        Verdict::Pass => {}
        Verdict::NotProven => judgement.would_prove.push(
            Text::from("a level that is good to ")
                .value(slope((allowed - size).max(0.1 * allowed)))
                .words("; or ")
                .and(&raise),
        ),
        Verdict::Fail => judgement.findings.push(
            Said {
                check: "not_level",
                severity: Severity::Fix,
                step: Step::Startup,
                place: place.clone(),
                what: Text::from(format!("{way} the unit is "))
                    .value(slope(size))
                    .words(" out of level, ±")
                    .value(slope(uncertain))
                    .words("; allowed ")
                    .value(slope(allowed)),
                why: "its pan falls to the outlet by itself only as long as the cabinet does not lean the other way; water then stands and runs over a corner",
                remedy: raise,
                source: Source::assumed(
                    "half of the pan's own fall is left for it to drain by; the unit's own instructions rule",
                ),
            }
            .compared(slope(size), slope(allowed)),
        ),
    }
    judgement
}

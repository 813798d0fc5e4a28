//! What units can hang from, as far as it was surveyed.

use room::{Room, StructureKind};

/// Distance from the middle of a member at which a rod still meets it \[m\].
///
/// **Assumed**: half of the flange of a narrow joist.
pub const MEETS_M: f64 = 0.025;

/// What is overhead.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Overhead {
    /// The survey does not say.
    Unknown,
    /// A slab: a rod can start anywhere.
    Slab,
    /// A ceiling that carries nothing by itself.
    Panel,
    /// Members, whose spacing or direction was not surveyed.
    MembersSomewhere,
    /// Members.
    Members(Members),
}

/// Members at even distances.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Members {
    /// Axis across them: 0 is x, 1 is y.
    pub across: usize,
    /// Their spacing \[m\].
    pub spacing_m: f64,
    /// Middle of the first, if surveyed \[m\].
    pub first_m: Option<f64>,
}

impl Members {
    /// Distance from the middle of the nearest member \[m\]; `None`: where they
    /// are was not surveyed.
    pub fn off_m(&self, across_m: f64) -> Option<f64> {
        let steps = (across_m - self.first_m?) / self.spacing_m;
        // There is none before the first.
        let nearest = steps.round().max(0.0);
        Some(((steps - nearest) * self.spacing_m).abs())
    }

    /// The members at or outside two places, as near as may be \[m\]; `None`:
    /// not surveyed, or none before the first place.
    pub fn around_m(&self, low_m: f64, high_m: f64) -> Option<[f64; 2]> {
        let first_m = self.first_m?;
        let at = |n: f64| first_m + n * self.spacing_m;
        let low = ((low_m - first_m) / self.spacing_m).floor();
        let high = ((high_m - first_m) / self.spacing_m).ceil();
        (0.0 <= low).then(|| [at(low), at(high.max(low + 1.0))])
    }
}

/// What the survey says of the structure.
pub fn overhead(room: &Room) -> Overhead {
    let Some(structure) = &room.structure else {
        return Overhead::Unknown;
    };
    match structure.kind.value {
        StructureKind::Concrete => Overhead::Slab,
        StructureKind::Panel => Overhead::Panel,
        StructureKind::WoodJoist | StructureKind::SteelJoist | StructureKind::Strut => {
            match (&structure.spacing_m, &structure.runs) {
                (Some(spacing), Some(runs)) => Overhead::Members(Members {
                    across: usize::from(runs.value == "x"),
                    spacing_m: spacing.value,
                    first_m: structure.first_m.as_ref().map(|f| f.value),
                }),
                _ => Overhead::MembersSomewhere,
            }
        }
    }
}

/// Height of the underside of the structure \[m\]; the ceiling where it was not
/// surveyed.
pub fn underside_m(room: &Room) -> f64 {
    room.structure
        .as_ref()
        .and_then(|s| s.underside_m.as_ref())
        .map_or(room.geometry.height_m.value, |u| u.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn members_are_found_on_either_side() {
        let members = Members {
            across: 0,
            spacing_m: 0.5,
            first_m: Some(0.2),
        };
        let off = |x: f64| members.off_m(x).unwrap();
        assert!((off(1.2) - 0.0).abs() < 1e-12);
        assert!((off(1.3) - 0.1).abs() < 1e-12);
        assert!((off(0.0) - 0.2).abs() < 1e-12);
        let [low, high] = members.around_m(1.0, 1.4).unwrap();
        assert!((low - 0.7).abs() < 1e-12 && (high - 1.7).abs() < 1e-12);
        assert!(members.around_m(0.1, 0.4).is_none());
        let unknown = Members {
            first_m: None,
            ..members
        };
        assert_eq!(
            (unknown.off_m(1.0), unknown.around_m(1.0, 2.0)),
            (None, None)
        );
    }
}

//! Places of units as a form carries them: `x.D1=3.66 m`, `facing.D1=+x`; and
//! one move on top of them: `move=D1 +x`.

use std::collections::BTreeMap;

use job::PlacedUnit;
use job::geometry::{Frame, Point};
use quantity::{Dim, Given, Source, UnitSystem, Value};
use room::{Facing, Room, Unit, UnitState};

/// Axes as they stand in the form.
const AXES: [&str; 3] = ["x", "y", "z"];
/// Places in a room lie between these \[m\].
const FARTHEST_M: f64 = 500.0;

/// A unit and where it shall be.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spot {
    pub(super) tag: String,
    pub(super) model: String,
    pub(super) frame: Frame,
    /// What stands in the fields: as typed, or as it is now.
    pub(super) typed: [String; 3],
    /// What is wrong with a field.
    pub(super) errors: [Option<String>; 3],
}

impl Spot {
    /// Whether a field of it cannot be read.
    pub(super) fn is_wrong(&self) -> bool {
        self.errors.iter().any(Option::is_some)
    }

    /// A unit as it is placed now.
    fn of(unit: &PlacedUnit, units: UnitSystem) -> Self {
        Self {
            tag: unit.tag.clone(),
            model: unit.model.clone(),
            frame: unit.frame,
            typed: unit.frame.at_m.map(|m| written(m, units)),
            errors: [None, None, None],
        }
    }
}

/// A length as a person would write it into a field, to the centimetre or the
/// half inch.
pub(super) fn written(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Metric => format!("{m:.2} m"),
        UnitSystem::Us => {
            let inches = (m / 0.0127).round() / 2.0;
            format!("{inches:.1} in")
        }
    }
}

/// The places that a form asks for, over those that there are.
pub(super) fn spots(
    placed: &[PlacedUnit],
    form: &BTreeMap<String, String>,
    units: UnitSystem,
) -> Vec<Spot> {
    let mut spots: Vec<Spot> = placed.iter().map(|u| Spot::of(u, units)).collect();
    for spot in &mut spots {
        for (i, axis) in AXES.iter().enumerate() {
            let Some(text) = form.get(&format!("{axis}.{}", spot.tag)) else {
                continue;
            };
            spot.typed[i] = text.clone();
            match quantity::read(text, Dim::Length) {
                Ok(value) if value.si.abs() <= FARTHEST_M => spot.frame.at_m[i] = value.si,
                Ok(_) => {
                    spot.errors[i] = Some(format!(
                        "{text}: farther away than any room is long; allowed: up to {}",
                        Value::new(FARTHEST_M, Dim::Length).show(units)
                    ));
                }
                Err(error) => {
                    spot.errors[i] = Some(format!(
                        "{text}: {}; write it with its unit, such as \"{}\"",
                        error.why_text(),
                        written(3.5, units)
                    ));
                }
            }
        }
        if let Some(facing) = form
            .get(&format!("facing.{}", spot.tag))
            .and_then(|w| facing_of(w))
        {
            spot.frame.facing = facing;
        }
    }
    if let Some((tag, how)) = form.get("move").and_then(|m| m.rsplit_once(' '))
        && let Some(spot) = spots.iter_mut().find(|s| s.tag == tag)
    {
        moved(spot, how, units);
    }
    spots
}

/// One step of a button: a way along an axis, or a quarter turn.
fn moved(spot: &mut Spot, how: &str, units: UnitSystem) {
    /// A step is what one would shift a unit by on site: 10 cm or 4 in.
    const STEP_M: f64 = 0.1;
    const STEP_IN_M: f64 = 4.0 * 0.0254;
    let step_m = match units {
        UnitSystem::Metric => STEP_M,
        UnitSystem::Us => STEP_IN_M,
    };
    if how == "turn" {
        spot.frame.facing = match spot.frame.facing {
            Facing::PlusX => Facing::PlusY,
            Facing::PlusY => Facing::MinusX,
            Facing::MinusX => Facing::MinusY,
            Facing::MinusY => Facing::PlusX,
        };
        return;
    }
    let (sign, axis) = how.split_at(how.len().min(1));
    let way = match sign {
        "+" => step_m,
        "-" => -step_m,
        _ => return,
    };
    if let Some(i) = AXES.iter().position(|a| *a == axis) {
        spot.frame.at_m[i] += way;
        spot.typed[i] = written(spot.frame.at_m[i], units);
        spot.errors[i] = None;
    }
}

/// The direction of a word.
fn facing_of(word: &str) -> Option<Facing> {
    [Facing::PlusX, Facing::MinusX, Facing::PlusY, Facing::MinusY]
        .into_iter()
        .find(|f| f.word() == word)
}

/// The room with its units where the spots say.
pub(super) fn room_with(room: &Room, spots: &[Spot]) -> Room {
    const TRIED: Source = Source::assumed("a place that is being tried");
    let mut tried = room.clone();
    for spot in spots {
        let at: Given<Point> = Given::assumed(spot.frame.at_m, TRIED);
        let facing = Given::assumed(spot.frame.facing, TRIED);
        match tried.units.iter_mut().find(|u| u.tag.value == spot.tag) {
            Some(unit) => {
                unit.at_m = Some(at);
                unit.facing = Some(facing);
            }
            None => tried.units.push(Unit {
                tag: Given::assumed(spot.tag.clone(), TRIED),
                model: Given::assumed(spot.model.clone(), TRIED),
                at_m: Some(at),
                facing: Some(facing),
                mount: None,
                panel: None,
                state: Given::assumed(UnitState::InUse, TRIED),
                removal_factor: None,
            }),
        }
    }
    tried
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed() -> Vec<PlacedUnit> {
        vec![PlacedUnit {
            tag: "D 1".into(),
            model: "m".into(),
            frame: Frame {
                at_m: [1.0, 2.0, 3.0],
                facing: Facing::PlusX,
            },
            mount: room::Mount::Hung,
            by: job::PlacedBy::Search,
            short_circuit: 0.1,
            ducted: job::placement::Ducted::default(),
        }]
    }

    fn form(pairs: &[(&str, &str)]) -> BTreeMap<String, String> {
        pairs
            .iter()
            .map(|(k, v)| ((*k).to_owned(), (*v).to_owned()))
            .collect()
    }

    #[test]
    fn fields_are_read_in_either_system_and_kept_as_typed() {
        let spots = spots(
            &placed(),
            &form(&[("x.D 1", "10 ft"), ("y.D 1", "abc"), ("facing.D 1", "-y")]),
            UnitSystem::Metric,
        );
        let spot = &spots[0];
        assert!((spot.frame.at_m[0] - 3.048).abs() < 1e-9);
        assert_eq!(spot.frame.at_m[1], 2.0, "what cannot be read moves nothing");
        assert_eq!(spot.typed[1], "abc");
        assert!(spot.errors[1].as_deref().is_some_and(|e| e.contains("abc")));
        assert!(spot.errors[0].is_none());
        assert_eq!(spot.frame.facing, Facing::MinusY);
    }

    #[test]
    fn buttons_move_by_a_step_and_turn_by_a_quarter() {
        let moved = |how: &str, units| spots(&placed(), &form(&[("move", how)]), units)[0].frame;
        assert!((moved("D 1 +x", UnitSystem::Metric).at_m[0] - 1.1).abs() < 1e-9);
        assert!((moved("D 1 -z", UnitSystem::Us).at_m[2] - (3.0 - 0.1016)).abs() < 1e-9);
        assert_eq!(moved("D 1 turn", UnitSystem::Metric).facing, Facing::PlusY);
        for nothing in ["", "D 1 ", "D 1 ~x", "D2 +x", "D 1 +q"] {
            assert_eq!(moved(nothing, UnitSystem::Metric), placed()[0].frame);
        }
    }
}

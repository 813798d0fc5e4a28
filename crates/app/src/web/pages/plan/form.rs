//! The form that moves units: fields and buttons, so that it works by taps, by
//! keys and without script; a drag on the plan only fills it in.

use maud::{Markup, html};
use quantity::UnitSystem;
use room::Facing;

use super::Layer;
use super::places::Spot;

/// Buttons of one unit: move, words.
const MOVES: [(&str, &str); 6] = [
    ("-x", "x −"),
    ("+x", "x +"),
    ("-y", "y −"),
    ("+y", "y +"),
    ("-z", "Lower"),
    ("+z", "Higher"),
];

pub(super) fn form(
    at: &str,
    spots: &[Spot],
    layer: Layer,
    base: &str,
    units: UnitSystem,
) -> Markup {
    let step = match units {
        UnitSystem::Metric => "10 cm",
        UnitSystem::Us => "4 in",
    };
    html! {
        form.places method="get" action=(at) data-answer={ (at) "/answer" } {
            input type="hidden" name="base" value=(base);
            fieldset.layers {
                legend { "Show with the units" }
                @for l in Layer::ALL {
                    label.pick {
                        input type="radio" name="show" value=(l.word()) checked[l == layer];
                        " " (l.word())
                    }
                }
                button.quiet { "Show" }
            }
            @if !spots.is_empty() {
                p.remark {
                    "x runs from the door wall, y from the near side wall, z from the floor, all to the middle of the unit. "
                    "A button moves by " (step) "; on the plan, drag a unit, or tap it and then tap where it shall be."
                }
            }
            @for (i, spot) in spots.iter().enumerate() {
                details.spot open[spots.len() < 3 || !spot.errors.iter().all(Option::is_none)] {
                    summary { span { b { (spot.tag) } " " (spot.model) } }
                    div.fields {
                        @for (n, axis) in ["x", "y", "z"].iter().enumerate() {
                            (field(spot, n, axis))
                        }
                        div.field {
                            label for={ "facing-" (i) } { "Blows to" }
                            select id={ "facing-" (i) } name={ "facing." (spot.tag) } {
                                @for (word, help) in Facing::WORDS {
                                    option value=(word) selected[*word == spot.frame.facing.word()] {
                                        (word) ", " (help)
                                    }
                                }
                            }
                        }
                    }
                    div.moves role="group" aria-label={ "Move " (spot.tag) } {
                        @for (way, words) in MOVES {
                            button name="move" value={ (spot.tag) " " (way) } { (words) }
                        }
                        button name="move" value={ (spot.tag) " turn" } { "Turn" }
                    }
                }
            }
            @if !spots.is_empty() {
                p.remark {
                    "Saving writes each unit with its model and place into the room file; a set that was only chosen is decided by it."
                }
                div.acts {
                    button { "See what it does" }
                    a.button href={ (at) "/suggest" } { "Suggest places" }
                    a.button href=(at) { "Back to what is saved" }
                    button.main formmethod="post" { "Save these places" }
                }
            }
        }
    }
}

fn field(spot: &Spot, n: usize, axis: &str) -> Markup {
    let id = format!("{axis}-{}", spot.tag);
    let error = spot.errors[n].as_deref();
    html! {
        div.field {
            label for=(id) { (axis) }
            input id=(id) name={ (axis) "." (spot.tag) } value=(spot.typed[n]) type="text"
                autocomplete="off" spellcheck="false"
                aria-invalid=[error.map(|_| "true")]
                aria-describedby=[error.map(|_| format!("{id}-error"))];
            @if let Some(error) = error { p.error id={ (id) "-error" } { (error) } }
        }
    }
}

//! The plan: units to scale, to be moved and turned, with what that does to
//! clearances, jets and short-circuit shares.

mod form;
mod places;
mod save;
mod suggested;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, Query, State};
use axum::routing::get;
use axum::{Extension, Router};
use job::Placement;
use maud::{Markup, html};
use quantity::UnitSystem;
use room::Room;
use sheet::{Block, Drawing, sheets};

use crate::web::answers::Answer;
use crate::web::app::App;
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::store::Version;
use crate::web::view::blocks::{blocks, figure};
use crate::web::view::layout::{Page, Place, page, sheet_href};
use crate::web::work::{answer_for, busy};
use places::Spot;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/jobs/{job}/rooms/{room}/plan", get(whole).post(save::save))
        .route("/jobs/{job}/rooms/{room}/plan/answer", get(answer_only))
        .merge(suggested::routes())
}

/// What a visitor asks of the plan.
type Asked = BTreeMap<String, String>;

/// What the drawing shows beside room and units.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Layer {
    Air,
    Hanging,
    Drain,
    Power,
}

impl Layer {
    const ALL: [Self; 4] = [Self::Air, Self::Hanging, Self::Drain, Self::Power];

    const fn word(self) -> &'static str {
        match self {
            Self::Air => "air",
            Self::Hanging => "hanging",
            Self::Drain => "drain",
            Self::Power => "power",
        }
    }

    fn of(asked: &BTreeMap<String, String>) -> Self {
        let word = asked.get("show").map_or("", String::as_str);
        Self::ALL
            .into_iter()
            .find(|l| l.word() == word)
            .unwrap_or(Self::Air)
    }
}

/// The plan with its units where they are asked to be.
struct Tried {
    room: Room,
    spots: Vec<Spot>,
    placement: Placement,
}

impl Tried {
    fn new(
        answer: &Answer,
        asked: &BTreeMap<String, String>,
        units: UnitSystem,
    ) -> Result<Self, Refused> {
        let (project, design) = (&answer.project, &answer.design);
        let spots = places::spots(&design.placement.units, asked, units);
        let room = places::room_with(&project.room, &spots);
        let set =
            job::selection::present_set(&room).unwrap_or_else(|| design.selection.design_set());
        let placement = job::placement::place(&room, &project.catalog, &set)?;
        Ok(Self {
            room,
            spots,
            placement,
        })
    }

    /// The drawing of a layer.
    fn drawing(
        &self,
        answer: &Answer,
        layer: Layer,
        units: UnitSystem,
    ) -> Result<Drawing, Refused> {
        let (room, catalog, placed) = (&self.room, &answer.project.catalog, &self.placement);
        Ok(match layer {
            Layer::Air => sheets::placement::plan(room, catalog, placed, units),
            Layer::Hanging => {
                let found = job::hanging::hang(room, catalog, placed)?;
                sheets::hanging::layout(room, &found, units)
            }
            Layer::Drain => {
                let found = job::drain::route(room, catalog, placed)?;
                sheets::drain::route_plan(room, &found, units)
            }
            Layer::Power => {
                let power = job::power::feed(room, catalog, placed)?;
                let control = job::control::wire(room, catalog, placed)?;
                sheets::power::plan(room, catalog, placed, (&power, &control), units)
            }
        })
    }
}

async fn whole(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    busy(move || page_of(&app, &answer, &visitor, (&job, &room), &asked)).await
}

/// The page with the units where they are asked to be.
fn page_of(
    app: &App,
    answer: &Arc<Answer>,
    visitor: &Visitor,
    (job, room): (&str, &str),
    asked: &Asked,
) -> Result<Markup, Refused> {
    let units = answer.units(&visitor.session);
    let at = sheet_href(job, room, "plan");
    let spots = places::spots(&answer.design.placement.units, asked, units);
    let title = match spots.iter().any(Spot::is_wrong) {
        true => "Error: Plan",
        false => "Plan",
    };
    // Of the text that the places were tried on.
    let base = Version::of(answer.project.inputs(&[]).room).hash;
    let body = app
        .drawn
        .of(answer, &format!("{at} {asked:?}"), units, || {
            let tried = Tried::new(answer, asked, units)?;
            let layer = Layer::of(asked);
            let shown = Shown::of(answer, &tried, layer, units)?;
            Ok::<_, Refused>(html! {
                h1 { "Plan" }
                div.plan-desk {
                    (shown.first)
                    (form::form(&at, &tried.spots, layer, &base, units))
                }
                (shown.more)
            })
        })?;
    Ok(page(
        &Page {
            title: title.into(),
            place: Place::Room {
                job,
                room,
                sheet: "plan",
                stamp: &answer.stamp(),
            },
            session: &visitor.session,
            scripts: &["plan.js"],
        },
        &body,
    ))
}

/// The answer alone, for the script that moves a unit.
async fn answer_only(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Path((job, room)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Refused> {
    let answer = answer_for(&app, &job, &room).await?;
    let units = answer.units(&visitor.session);
    busy(move || {
        let tried = Tried::new(&answer, &asked, units)?;
        let shown = Shown::of(&answer, &tried, Layer::of(&asked), units)?;
        Ok(html! { (shown.first) (shown.more) })
    })
    .await
}

/// What a set of places does, in two parts between which the form stands.
struct Shown {
    /// Drawing, shares, findings.
    first: Markup,
    /// Tables; views from the side folded away.
    more: Markup,
}

impl Shown {
    fn of(
        answer: &Answer,
        tried: &Tried,
        layer: Layer,
        units: UnitSystem,
    ) -> Result<Self, Refused> {
        let catalog = &answer.project.catalog;
        let drawing = tried.drawing(answer, layer, units)?;
        let all = sheets::placement::blocks(&tried.room, catalog, &tried.placement, units);
        let (mut tables, mut findings, mut others) = (Vec::new(), Vec::new(), Vec::new());
        // The plan itself, the first figure, stands on top already.
        let mut figures = 0;
        for block in all {
            match block {
                Block::Table(_) => tables.push(block),
                Block::Findings(_) => findings.push(block),
                Block::Figure { .. } => {
                    figures += 1;
                    if 1 < figures {
                        others.push(block);
                    }
                }
                Block::Remark(_) | Block::Cautions(_) => others.push(block),
                _ => {}
            }
        }
        let workings = Block::Workings(tried.placement.workings.clone());
        Ok(Self {
            first: html! {
                div #answer {
                    (board(&drawing, &tried.placement, units))
                    p.shares { (shares(&tried.placement, units)) }
                    (blocks(findings, units))
                }
            },
            more: html! {
                div #answer-more {
                    h2 { "Places, clearances, jets" }
                    (blocks(tables, units))
                    details { summary { "From the side, and how to go about it" } (blocks(others, units)) }
                    details { summary { "How shares came about" } (blocks(vec![workings], units)) }
                }
            },
        })
    }
}

/// The drawing with what the script needs to know to move a unit on it: where
/// the room's corner lies on paper, and how many millimetres a metre takes.
fn board(drawing: &Drawing, placement: &Placement, units: UnitSystem) -> Markup {
    let to = drawing.views.first().map(|v| v.transform);
    let tags: Vec<&str> = placement.units.iter().map(|u| u.tag.as_str()).collect();
    html! {
        @if let Some(to) = to {
            div.board
                data-x-mm=(to.origin.x_mm) data-y-mm=(to.origin.y_mm)
                data-mm-per-m=(to.x_mm_per_unit)
                data-tags=(tags.join("\n")) {
                (figure(drawing, "Dimensions run from two walls to the middle of each unit; check them on site before drilling.", units))
            }
        }
    }
}

/// What each unit breathes, in a line.
fn shares(placement: &Placement, units: UnitSystem) -> String {
    let each: Vec<String> = placement
        .units
        .iter()
        .map(|u| {
            let share = quantity::Value::new(u.short_circuit, quantity::Dim::Fraction).digits(2);
            format!("{} {}", u.tag, share.show(units))
        })
        .collect();
    if each.is_empty() {
        "No units to place.".into()
    } else {
        format!("Short-circuit share: {}.", each.join(", "))
    }
}

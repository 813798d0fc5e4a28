//! A search for places: along walls and over aisles, in four directions.
//!
//! Each place is judged by the same checks as a surveyed one. A set of places
//! with a Stop finding is never suggested; among the others a score of what
//! crews and coils care about decides. The search is greedy, unit by unit, from
//! several starts drawn by the seed: good, quick, the same each time, and no
//! proof that nothing better exists.

use equipment::{Catalog, Face, Model};
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, UnitSystem, Value, counted};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use room::{Facing, Mount, Room};

use super::scene::{Fixed, Scene, ThingKind};
use super::{PlacedBy, PlacedUnit, checks, ducted, present, sensor_m, shares};
use crate::error::JobError;
use crate::finding::Said;
use crate::geometry::{Frame, Point, clearance_index, face_axis};
use crate::units::UnitSet;

/// Directions that are tried.
const FACINGS: [Facing; 4] = [Facing::PlusX, Facing::MinusX, Facing::PlusY, Facing::MinusY];
/// Places per unit model that go into the search, best first.
const KEPT: usize = 60;
/// Suggestions that are shown.
const SHOWN: usize = 3;
/// Starts of a thorough search.
const STARTS: usize = 6;
/// Space over a hung unit for rods and nuts where its record asks for less
/// \[m\]: Assumed.
const OVER_M: f64 = 0.15;
/// Height of a stand, for the trap under the drain \[m\]: Assumed.
const STAND_M: f64 = 0.3;

/// What a set of places is judged by; less is better, but for the margin.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Score {
    /// Findings that say stop.
    pub stops: usize,
    /// Findings that ask to put something right.
    pub fixes: usize,
    /// Sum of the units' short-circuit shares.
    pub short_circuit: f64,
    /// Fastest discharge on the crop \[m/s\].
    pub canopy_m_per_s: f64,
    /// Least free depth beyond what a face needs \[m\]; below 0 where one is
    /// short.
    pub least_margin_m: f64,
    /// Mean way of a unit to the nearest drain, along walls \[m\].
    pub drain_m: f64,
    /// Mean way of a unit to the nearest panel, along walls \[m\].
    pub panel_m: f64,
}

impl Score {
    /// One number to sort by. The weights are Assumed: a tenth of short circuit
    /// weighs as much as one thing to put right or 20 m of drain.
    pub fn total(&self) -> f64 {
        100.0 * self.stops as f64
            + self.fixes as f64
            + 10.0 * self.short_circuit
            + (self.canopy_m_per_s - 0.5).max(0.0)
            - 0.5 * self.least_margin_m.clamp(-1.0, 1.0)
            + 0.05 * self.drain_m
            + 0.03 * self.panel_m
    }
}

/// A set of places.
#[derive(Clone, Debug, PartialEq)]
pub struct Suggestion {
    /// All units in their places.
    pub units: Vec<PlacedUnit>,
    /// What it is judged by.
    pub score: Score,
    /// What it gains and gives up against the others.
    pub trades: Text,
}

/// What a search found.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Suggestions {
    /// Best first; empty where no places without a Stop finding were found.
    pub best: Vec<Suggestion>,
    /// Why there are none.
    pub none_because: Vec<Finding>,
}

/// The places that [`super::place`] takes.
pub(super) struct First {
    pub(super) units: Vec<PlacedUnit>,
    pub(super) none_because: Vec<Finding>,
}

/// A unit that has no place, or no direction, yet.
struct Wanted {
    tag: String,
    model: String,
    mount: Mount,
    /// Its surveyed place, of which only the direction is searched \[m\].
    at_m: Option<Point>,
    /// Its surveyed direction, for which only the place is searched.
    facing: Option<Facing>,
}

/// Steps to which a place can be measured and marked on site: 5 cm, or 1 in.
#[derive(Clone, Copy)]
struct Steps {
    step_m: f64,
}

impl Steps {
    /// In the units that the job is read in.
    fn of(room: &Room) -> Self {
        let step_m = match room.site.display.value {
            UnitSystem::Metric => 0.05,
            UnitSystem::Us => 0.0254,
        };
        Self { step_m }
    }

    /// A whole number of steps, as the figure that it is \[m\].
    fn whole(self, steps: f64) -> f64 {
        (steps * self.step_m * 1e6).round() / 1e6
    }

    fn nearest(self, m: f64) -> f64 {
        self.whole((m / self.step_m).round())
    }

    /// No less than a bound.
    fn up(self, m: f64) -> f64 {
        self.whole((m / self.step_m - 1e-6).ceil())
    }

    /// No more than a bound.
    fn down(self, m: f64) -> f64 {
        self.whole((m / self.step_m + 1e-6).floor())
    }
}

/// Room, catalogue and what does not move.
struct Search<'a> {
    room: &'a Room,
    catalog: &'a Catalog,
    fixed: Fixed,
    /// Units that stay where they are.
    present: Vec<PlacedUnit>,
    wanted: Vec<Wanted>,
    /// Places for each wanted unit, best alone first.
    places: Vec<Vec<PlacedUnit>>,
}

/// Units of the room file without a place, then those of the set that the file
/// does not have.
fn wanted(room: &Room, set: &UnitSet) -> Vec<Wanted> {
    let mut left: Vec<&str> = set.models().collect();
    let mut all = Vec::new();
    for unit in &room.units {
        if let Some(i) = left.iter().position(|m| *m == unit.model.value) {
            left.remove(i);
        }
        if unit.at_m.is_none() || unit.facing.is_none() {
            all.push(Wanted {
                tag: unit.tag.value.clone(),
                model: unit.model.value.clone(),
                mount: super::mount(room, unit),
                at_m: unit.at_m.as_ref().map(|a| a.value),
                facing: unit.facing.as_ref().map(|f| f.value),
            });
        }
    }
    let taken = |tag: &str| room.units.iter().any(|u| u.tag.value == tag);
    let mut number = room.units.len();
    for model in left {
        let mut tag;
        loop {
            number += 1;
            tag = format!("D{number}");
            if !taken(&tag) {
                break;
            }
        }
        all.push(Wanted {
            tag,
            model: model.to_owned(),
            mount: room.hanging.mount.value,
            at_m: None,
            facing: None,
        });
    }
    all
}

/// Depth that the record asks for on a side of the room, with the unit turned.
fn reach_m(model: &Model, facing: Facing, along: Point) -> f64 {
    let frame = Frame {
        at_m: [0.0; 3],
        facing,
    };
    equipment::FACES
        .iter()
        .map(|(face, _)| *face)
        .find(|f| {
            let out = frame.outward(*f);
            (0..3).map(|i| out[i] * along[i]).sum::<f64>() > 0.5
        })
        .map_or(0.0, |f| model.body.clearance_m[clearance_index(f)])
}

/// Heights of the middle that are tried \[m\].
fn heights_m(room: &Room, model: &Model, mount: Mount) -> Vec<f64> {
    let half = 0.5 * model.body.size_m[2];
    let ceiling = room.geometry.height_m.value;
    let clear = |face: Face| model.body.clearance_m[clearance_index(face)];
    let steps = Steps::of(room);
    match mount {
        Mount::Stand | Mount::Outside => {
            vec![steps.up(STAND_M.max(clear(Face::Bottom)) + half)]
        }
        Mount::Hung | Mount::Trapeze => {
            let under = room.structure.as_ref();
            let under = under.and_then(|s| s.underside_m.as_ref());
            let under = under.map_or(ceiling, |u| u.value.min(ceiling));
            let top = under - clear(Face::Top).max(OVER_M) - half;
            // Lower down where something fills the height under the ceiling.
            let top = steps.down(top);
            let mut all = vec![top, steps.down(top - 0.6)];
            all.retain(|z| *z - half > 0.0);
            if all.is_empty() {
                all.push(top.max(steps.up(half)));
            }
            all
        }
    }
}

/// Places in plan \[m\]: along the four walls as near as the record allows, on
/// the middle of each aisle, and on the middle lines of the room.
fn plan_m(room: &Room, model: &Model, facing: Facing, offset: f64) -> Vec<(f64, f64)> {
    let (l, w) = (room.geometry.length_m.value, room.geometry.width_m.value);
    let frame = Frame {
        at_m: [0.0; 3],
        facing,
    };
    let half = frame.turned(model.body.size_m).map(|s| 0.5 * s.abs());
    let near = |along: Point, axis: usize| reach_m(model, facing, along) + half[axis];
    let steps = Steps::of(room);
    let (x0, x1) = (
        steps.up(near([-1.0, 0.0, 0.0], 0)),
        steps.down(l - near([1.0, 0.0, 0.0], 0)),
    );
    let (y0, y1) = (
        steps.up(near([0.0, -1.0, 0.0], 1)),
        steps.down(w - near([0.0, 1.0, 0.0], 1)),
    );
    let step = (2.0 * (l + w) / 36.0).max(0.6);
    let line = |low: f64, high: f64| -> Vec<f64> {
        if high < low {
            return vec![steps.nearest(0.5 * (low + high))];
        }
        let n = ((high - low) / step).floor() as u32;
        let rest = (high - low) - f64::from(n) * step;
        let mut all: Vec<f64> = (0..=n)
            .map(|i| steps.nearest(low + offset * rest + f64::from(i) * step))
            .collect();
        all.push(low);
        all.push(high);
        all.push(steps.nearest(0.5 * (low + high)));
        all.sort_by(f64::total_cmp);
        all.dedup_by(|a, b| (*a - *b).abs() < 0.2);
        all
    };
    let (mid_x, mid_y) = (steps.nearest(0.5 * l), steps.nearest(0.5 * w));
    let mut all = Vec::new();
    for x in line(x0, x1) {
        all.extend([(x, y0), (x, y1), (x, mid_y)]);
    }
    for y in line(y0, y1) {
        all.extend([(x0, y), (x1, y), (mid_x, y)]);
    }
    for aisle in &room.aisles {
        let [x, y, _] = aisle.at_m.value.map(|v| steps.nearest(v));
        if aisle.width_m.value <= aisle.length_m.value {
            all.extend(line(x0, x1).into_iter().map(|x| (x, y)));
        } else {
            all.extend(line(y0, y1).into_iter().map(|y| (x, y)));
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    all.dedup_by(|a, b| (a.0 - b.0).abs() < 0.1 && (a.1 - b.1).abs() < 0.1);
    all
}

/// Way along walls between two points \[m\].
fn way_m(a: Point, b: Point) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).abs()).sum()
}

impl<'a> Search<'a> {
    fn new(
        room: &'a Room,
        catalog: &'a Catalog,
        set: &UnitSet,
        rng: &mut ChaCha8Rng,
    ) -> Result<Self, JobError> {
        let mut search = Self {
            room,
            catalog,
            fixed: Fixed::of(room, catalog, sensor_m(room)),
            present: present(room, catalog)?,
            wanted: wanted(room, set),
            places: Vec::new(),
        };
        let offset: f64 = rng.random_range(0.0..1.0);
        let mut done: Vec<(String, Mount, Vec<PlacedUnit>)> = Vec::new();
        for wanted in &search.wanted {
            let free = wanted.at_m.is_none() && wanted.facing.is_none();
            let known = done
                .iter()
                .find(|d| free && d.0 == wanted.model && d.1 == wanted.mount);
            let places = if let Some((_, _, places)) = known {
                places.clone()
            } else {
                let places = search.alone(wanted, offset)?;
                if free {
                    done.push((wanted.model.clone(), wanted.mount, places.clone()));
                }
                places
            };
            let named = places.into_iter().map(|p| PlacedUnit {
                tag: wanted.tag.clone(),
                ..p
            });
            search.places.push(named.collect());
        }
        Ok(search)
    }

    /// Places for one unit among those that stay, best first.
    fn alone(&self, wanted: &Wanted, offset: f64) -> Result<Vec<PlacedUnit>, JobError> {
        let unit = PlacedUnit {
            tag: wanted.tag.clone(),
            model: wanted.model.clone(),
            frame: Frame {
                at_m: self.fixed.inside.middle_m(),
                facing: Facing::PlusX,
            },
            mount: wanted.mount,
            by: match wanted.at_m {
                Some(_) => PlacedBy::FacingSearched,
                None => PlacedBy::Search,
            },
            short_circuit: self.room.selection.short_circuit.value,
            ducted: ducted(self.room, self.catalog, &wanted.tag, &wanted.model)?,
        };
        let model = unit.record(self.catalog)?;
        let mut all: Vec<(f64, PlacedUnit)> = Vec::new();
        let heights = wanted.at_m.map_or_else(
            || heights_m(self.room, model, wanted.mount),
            |[_, _, z]| vec![z],
        );
        let given = |facing: Facing| wanted.facing.is_none_or(|f| f == facing);
        for z in heights {
            for facing in FACINGS.into_iter().filter(|f| given(*f)) {
                let plan = wanted.at_m.map_or_else(
                    || plan_m(self.room, model, facing, offset),
                    |[x, y, _]| vec![(x, y)],
                );
                for (x, y) in plan {
                    let here = PlacedUnit {
                        frame: Frame {
                            at_m: [x, y, z],
                            facing,
                        },
                        ..unit.clone()
                    };
                    let mut units = self.present.clone();
                    units.push(here);
                    let total = self.score(&units)?.total();
                    if let Some(here) = units.pop() {
                        all.push((total, here));
                    }
                }
            }
            // Lower only where nothing is free of Stop findings higher up.
            if all.iter().any(|(total, _)| *total < 100.0) {
                break;
            }
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        // The best, then every so many of the rest, so that the places do not
        // all lie in one corner.
        let head = all.len().min(KEPT / 2);
        let stride = ((all.len() - head) / (KEPT / 2)).max(1);
        let kept = all
            .into_iter()
            .enumerate()
            .filter(|(i, _)| *i < head || (i - head).is_multiple_of(stride))
            .map(|(_, (_, unit))| unit)
            .take(KEPT + KEPT / 2)
            .collect();
        Ok(kept)
    }

    fn score(&self, units: &[PlacedUnit]) -> Result<Score, JobError> {
        let scene = Scene::of(self.room, self.catalog, &self.fixed, units)?;
        Ok(score(&scene))
    }

    /// Unit by unit, each where it does least harm; `first` is the place of the
    /// first.
    fn greedy(&self, first: usize) -> Result<(Vec<PlacedUnit>, Score), JobError> {
        let mut units = self.present.clone();
        let mut best_score = self.score(&units)?;
        for (n, places) in self.places.iter().enumerate() {
            let mut best: Option<(f64, Score, &PlacedUnit)> = None;
            for (i, place) in places.iter().enumerate() {
                if n == 0 && i != first.min(places.len() - 1) {
                    continue;
                }
                units.push(place.clone());
                let score = self.score(&units)?;
                units.pop();
                let total = score.total();
                if best.as_ref().is_none_or(|b| total < b.0) {
                    best = Some((total, score, place));
                }
            }
            if let Some((_, score, place)) = best {
                units.push(place.clone());
                best_score = score;
            }
        }
        Ok((in_order(units, self.room), best_score))
    }

    /// Why even the best places have a Stop finding.
    fn why(&self, units: &[PlacedUnit]) -> Result<Vec<Finding>, JobError> {
        let scene = Scene::of(self.room, self.catalog, &self.fixed, units)?;
        let stops: Vec<Finding> = checks::findings(&scene)
            .into_iter()
            .filter(|f| f.severity == Severity::Stop)
            .collect();
        let mut what = Text::from(format!(
            "of all places tried for {} none is free of faults; the least bad have these: ",
            counted(self.wanted.len(), "unit")
        ));
        for (i, stop) in stops.iter().take(3).enumerate() {
            if i > 0 {
                what = what.words("; ");
            }
            what = what.words(format!("{}: ", stop.place.0)).and(&stop.what);
        }
        Ok(vec![
            Said {
                check: "no_place_found",
                severity: Severity::Stop,
                step: Step::Placement,
                place: Place::new("room"),
                what,
                why: "the units cannot all be built in as the room stands",
                remedy: "take fewer or smaller units, set them on stands or outside with ducts, or raise the ceiling".into(),
                source: Source::assumed("search over places along walls and over aisles"),
            }
            .finding(),
        ])
    }
}

/// Units in the order of the room file, then as they were added.
fn in_order(mut units: Vec<PlacedUnit>, room: &Room) -> Vec<PlacedUnit> {
    let place = |u: &PlacedUnit| {
        let mut all = room.units.iter();
        all.position(|r| r.tag.value == u.tag).unwrap_or(usize::MAX)
    };
    units.sort_by_key(place);
    units
}

/// Judges a scene by numbers.
fn score(scene: &Scene<'_>) -> Score {
    let findings = checks::findings(scene);
    let count = |s: Severity| findings.iter().filter(|f| f.severity == s).count();
    let mut score = Score {
        stops: count(Severity::Stop),
        fixes: count(Severity::Fix),
        least_margin_m: f64::INFINITY,
        ..Score::default()
    };
    let mut inside = 0.0;
    for (i, u) in scene.units.iter().enumerate().filter(|(_, u)| u.in_room()) {
        inside += 1.0;
        score.short_circuit += shares::share(scene, i).sum();
        let canopies = scene.fixed.things.iter();
        for canopy in canopies.filter(|t| t.kind == ThingKind::Canopy) {
            let speed = scene.speed_on_m_per_s(&u.jet, canopy);
            score.canopy_m_per_s = score.canopy_m_per_s.max(speed);
        }
        for (face, _) in equipment::FACES {
            if face_axis(face)[2] != 0.0 {
                continue;
            }
            let need = u.model.body.clearance_m[clearance_index(face)];
            let (free, _) = scene.free_depth_m(i, face, need + 1.0);
            score.least_margin_m = score.least_margin_m.min(free - need);
        }
        let at = u.unit.frame.at_m;
        let nearest = |points: &mut dyn Iterator<Item = Point>| {
            points.map(|p| way_m(at, p)).reduce(f64::min).unwrap_or(0.0)
        };
        score.drain_m += nearest(&mut scene.room.drains.iter().map(|d| d.at_m.value));
        score.panel_m += nearest(&mut scene.room.panels.iter().map(|p| p.at_m.value));
    }
    if inside > 0.0 {
        score.drain_m /= inside;
        score.panel_m /= inside;
    } else {
        score.least_margin_m = 0.0;
    }
    score
}

/// Quick: one start.
pub(super) fn first(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    seed: u64,
) -> Result<First, JobError> {
    if wanted(room, set).is_empty() {
        return Ok(First {
            units: present(room, catalog)?,
            none_because: Vec::new(),
        });
    }
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let search = Search::new(room, catalog, set, &mut rng)?;
    let (units, score) = search.greedy(0)?;
    let none_because = if score.stops > 0 {
        search.why(&units)?
    } else {
        Vec::new()
    };
    Ok(First {
        units,
        none_because,
    })
}

/// The best few sets of places for units without a surveyed one.
///
/// - `seed`: same seed, same suggestions
///
/// # Errors
/// A model that the catalogue does not have.
pub fn suggest(
    room: &Room,
    catalog: &Catalog,
    set: &UnitSet,
    seed: u64,
) -> Result<Suggestions, JobError> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let search = Search::new(room, catalog, set, &mut rng)?;
    let first = search.places.first().map_or(0, Vec::len);
    let mut found: Vec<(Vec<PlacedUnit>, Score)> = Vec::new();
    for n in 0..STARTS {
        let start = if n == 0 || first == 0 {
            0
        } else {
            rng.random_range(0..first)
        };
        let one = search.greedy(start)?;
        if !found.iter().any(|f| alike(&f.0, &one.0)) {
            found.push(one);
        }
        if search.wanted.is_empty() {
            break;
        }
    }
    found.sort_by(|a, b| a.1.total().total_cmp(&b.1.total()));
    let none_because = match found.first() {
        Some((units, score)) if score.stops > 0 => search.why(units)?,
        _ => Vec::new(),
    };
    found.retain(|f| f.1.stops == 0);
    found.truncate(SHOWN);
    let scores: Vec<Score> = found.iter().map(|f| f.1).collect();
    let best = found
        .into_iter()
        .enumerate()
        .map(|(i, (units, score))| Suggestion {
            units,
            score,
            trades: trades(&scores, i),
        })
        .collect();
    Ok(Suggestions { best, none_because })
}

/// Whether two sets have units of the same models at the same places.
fn alike(a: &[PlacedUnit], b: &[PlacedUnit]) -> bool {
    a.iter().all(|u| {
        b.iter()
            .any(|v| u.model == v.model && u.frame == v.frame && u.mount == v.mount)
    })
}

/// What one set gains and gives up.
fn trades(scores: &[Score], i: usize) -> Text {
    let Some(score) = scores.get(i) else {
        return Text::new();
    };
    let length = |m: f64| Value::new(m, Dim::Length).digits(2);
    let mut text = Text::from("short circuit ")
        .value(Value::new(score.short_circuit, Dim::Fraction).digits(2))
        .words(" in sum, ")
        .value(length(score.drain_m))
        .words(" to the drain and ")
        .value(length(score.panel_m))
        .words(format!(" to the panel, {} to put right", score.fixes));
    let least = |of: Quality| {
        scores
            .iter()
            .enumerate()
            .all(|(j, s)| j == i || of(score) < of(s) - 1e-9)
    };
    let qualities: [(&'static str, Quality); 5] = [
        ("least short circuit", |s| s.short_circuit),
        ("nearest to a drain", |s| s.drain_m),
        ("nearest to a panel", |s| s.panel_m),
        ("gentlest on the crop", |s| s.canopy_m_per_s),
        ("widest margins", |s| -s.least_margin_m),
    ];
    if 1 < scores.len() {
        let mut best: Vec<&str> = Vec::new();
        for (words, of) in qualities {
            if least(of) {
                best.push(words);
            }
        }
        text = if best.is_empty() {
            text.words("; best in nothing by itself")
        } else {
            text.words(format!("; {}", best.join(", ")))
        };
    }
    text
}
/// One quality of a placement; less is better.
type Quality = fn(&Score) -> f64;

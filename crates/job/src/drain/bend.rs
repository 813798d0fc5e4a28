//! A line that bends round what stands in its way.
//!
//! Used where the plain way along the walls meets something. Units are led one
//! by one, the lowest first, each by the cheapest free way to the drain or to
//! the line that is there already; the line falls all the way and may start
//! lower, to pass under things.

use super::grid::{Grid, Height, Ways};
use super::network::{Build, Ground, Line, Member, Part, Receiver, SPARE_LIFT_M, UNDER_CEILING_M};
use crate::geometry::{Point, distance_m};
use crate::placement::ThingKind;

/// Pipe beyond its own outside, for what a check takes as its space \[m\].
const SLACK_M: f64 = 0.002;
/// Heights under things that are tried.
const HEIGHTS: usize = 8;
/// How much longer pipe low over the floor counts.
const LOW: f64 = 2.0;
/// Steps that small are left to the fall \[m\].
const STEP_M: f64 = 5e-3;

/// A point of the tree of pipes.
#[derive(Clone, Copy, Debug)]
struct Station {
    at_m: Point,
    next: Option<usize>,
    /// What leads to the next.
    part: Part,
}

/// What is laid so far.
struct Tree {
    stations: Vec<Station>,
    /// Station at each place of the grid, if the line passes it high up.
    high: Vec<Option<usize>>,
    /// Place where it drops, station at the drop's top and its foot's height.
    drop: Option<(usize, usize, f64)>,
    /// Of each member: station of its start, least height to start at.
    starts: Vec<(usize, f64)>,
    start_z_m: Vec<f64>,
}

/// Where a member's way ends.
#[derive(Clone, Copy)]
enum Goal {
    /// A drop of its own, down to the low pipe.
    Drop,
    /// A station of the line.
    Line(usize),
    /// In the line's drop.
    InDrop,
}

struct Bending<'a> {
    ground: &'a Ground<'a>,
    members: &'a [Member<'a>],
    grid: Grid,
    /// From the drain, uphill, low over the floor.
    low: Ways,
    end: usize,
    end_z_m: f64,
    /// Highest that any pipe may start \[m\].
    cap_m: f64,
}

/// The line that meets nothing but aisles, shortest of those with another
/// height to start at; `None`: there is none.
pub(super) fn line(
    ground: &Ground<'_>,
    receiver: &Receiver,
    members: &[Member<'_>],
) -> Option<Line> {
    let end = ground.line_end(receiver, members);
    let radius_m = end.outside_m + SLACK_M;
    let cuboids = |wanted: &dyn Fn(ThingKind) -> bool| {
        let things = ground.things.iter().filter(|t| wanted(t.kind));
        things.map(crate::placement::Thing::kept_clear).collect()
    };
    let mut through: Vec<Point> = members.iter().map(|m| m.source.start_m).collect();
    through.push(receiver.at_m);
    let grid = Grid::new(
        ground.ring.bounds_m(),
        cuboids(&|k| k != ThingKind::Aisle),
        cuboids(&|k| k == ThingKind::Aisle),
        radius_m,
        &through,
    );
    let place = grid.place(receiver.at_m)?;
    let uphill = Height {
        start_m: end.z_m,
        slope: ground.fall(),
    };
    let mut bending = Bending {
        ground,
        members,
        low: grid.ways(place, uphill),
        grid,
        end: place,
        end_z_m: end.z_m,
        cap_m: f64::INFINITY,
    };
    let given_m = ground.piping.run_height_m.as_ref().map(|h| h.value);
    let highest_m = members
        .iter()
        .map(|m| m.source.start_m[2])
        .fold(f64::NEG_INFINITY, f64::max);
    let mut caps: Vec<f64> = ground
        .things
        .iter()
        .filter(|t| t.kind != ThingKind::Aisle)
        .map(|t| t.kept_clear().low_m[2] - radius_m)
        .filter(|z| end.z_m < *z && *z < highest_m)
        .collect();
    caps.sort_by(|a, b| b.total_cmp(a));
    caps.dedup_by(|a, b| (*a - *b).abs() < 0.01);
    caps.truncate(HEIGHTS);
    caps.insert(0, f64::INFINITY);
    let mut best: Option<(usize, f64, Line)> = None;
    for cap_m in caps {
        bending.cap_m = given_m.map_or(cap_m, |h| cap_m.min(h));
        let Some(tree) = bending.tree() else { continue };
        let line = bending.built(&tree, end.air_gap_m);
        let met = ground.meetings(&line);
        let length_m: f64 = line.segments.iter().map(|s| s.length_m).sum();
        let better = |(m, l, _): &(usize, f64, Line)| met < *m || met == *m && length_m < l - 1e-9;
        if best.as_ref().is_none_or(better) {
            best = Some((met, length_m, line));
        }
    }
    best.map(|(_, _, line)| line)
}

impl Bending<'_> {
    fn fall(&self) -> f64 {
        self.ground.fall()
    }

    /// Lowest first, by where its water would come to the drain.
    fn order(&self) -> Vec<usize> {
        let end = self.grid.at(self.end, 0.0);
        let comes_m = |i: usize| {
            let [x, y, z] = self.members[i].source.start_m;
            z.min(self.cap_m) - self.fall() * ((x - end[0]).abs() + (y - end[1]).abs())
        };
        let mut order: Vec<usize> = (0..self.members.len()).collect();
        order.sort_by(|a, b| comes_m(*a).total_cmp(&comes_m(*b)).then(a.cmp(b)));
        order
    }

    fn tree(&self) -> Option<Tree> {
        let mut tree = Tree {
            stations: Vec::new(),
            high: vec![None; self.grid.len()],
            drop: None,
            starts: vec![(0, 0.0); self.members.len()],
            start_z_m: vec![0.0; self.members.len()],
        };
        for i in self.order() {
            self.lead(i, &mut tree)?;
        }
        Some(tree)
    }

    /// Leads one member; `None`: there is no free way that falls.
    fn lead(&self, i: usize, tree: &mut Tree) -> Option<()> {
        let source = self.members[i].source;
        let from = self.grid.place(source.start_m)?;
        let trap_z_m = source.start_m[2];
        let mut start_z_m = trap_z_m;
        // Lifted, the way may be another: its height is looked for again.
        for _ in 0..4 {
            let lifted = trap_z_m < start_z_m;
            let laid_z_m = if lifted {
                start_z_m
            } else {
                start_z_m.min(self.cap_m)
            };
            let top = self.grid.at(from, start_z_m);
            if laid_z_m < start_z_m && !self.grid.free(top, self.grid.at(from, laid_z_m)) {
                return None;
            }
            let height = Height {
                start_m: laid_z_m,
                slope: -self.fall(),
            };
            let ways = self.grid.ways(from, height);
            let goals = self.goals(&ways, height, tree);
            let falls = goals.iter().filter(|g| g.3 <= laid_z_m + 1e-9);
            let cheapest = |a: &&(f64, usize, Goal, f64), b: &&(f64, usize, Goal, f64)| {
                a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))
            };
            if let Some((_, place, goal, needed)) = falls.min_by(cheapest) {
                tree.start_z_m[i] = start_z_m;
                let start = self.lay(tree, from, *place, *goal, &ways, height, start_z_m);
                tree.starts[i] = (start, *needed);
                return Some(());
            }
            // Lower than it need be: another height is tried elsewhere.
            if laid_z_m < start_z_m {
                return None;
            }
            let (_, _, _, needed) = goals.iter().min_by(cheapest)?;
            start_z_m = needed + SPARE_LIFT_M;
            if self.ground.height_m - UNDER_CEILING_M < start_z_m {
                return None;
            }
        }
        None
    }

    /// Where the ways may end: cost, place, goal, and the height to start at so
    /// that water falls there.
    fn goals(&self, ways: &Ways, height: Height, tree: &Tree) -> Vec<(f64, usize, Goal, f64)> {
        let s = self.fall();
        let mut goals = Vec::new();
        for place in 0..self.grid.len() {
            let Some((cost_m, length_m)) = ways.to(place) else {
                continue;
            };
            let z = height.after_m(length_m);
            let down = |to_z: f64| {
                self.grid
                    .free(self.grid.at(place, z), self.grid.at(place, to_z))
            };
            match tree.drop {
                None => {
                    let Some((low_m, foot_m)) = self.low.to(place) else {
                        continue;
                    };
                    // Upright pipe stands at a wall, or over the drain itself.
                    if !self.grid.at_wall(place) && place != self.end {
                        continue;
                    }
                    let foot_z = self.end_z_m + s * foot_m;
                    if down(foot_z) {
                        let cost = cost_m + LOW * low_m + (z - foot_z).abs();
                        goals.push((cost, place, Goal::Drop, foot_z + s * length_m));
                    }
                }
                Some((drop_place, _, foot_z)) => {
                    let Some(station) = tree.high[place] else {
                        continue;
                    };
                    let line_z = tree.stations[station].at_m[2];
                    if place == drop_place && z < line_z {
                        if down(foot_z) {
                            goals.push((cost_m, place, Goal::InDrop, foot_z + s * length_m));
                        }
                    } else if down(line_z) {
                        let cost = cost_m + (z - line_z).abs();
                        goals.push((cost, place, Goal::Line(station), line_z + s * length_m));
                    }
                }
            }
        }
        goals
    }

    /// Adds a way to the tree; gives the station that it starts at.
    #[allow(clippy::too_many_arguments, reason = "one call, inside this file")]
    fn lay(
        &self,
        tree: &mut Tree,
        from: usize,
        place: usize,
        goal: Goal,
        ways: &Ways,
        height: Height,
        start_z_m: f64,
    ) -> usize {
        let path = ways.path(place);
        let mut chain: Vec<Station> = Vec::new();
        if height.start_m < start_z_m {
            chain.push(Station {
                at_m: self.grid.at(from, start_z_m),
                next: None,
                part: Part::Drop,
            });
        }
        let lead = chain.len();
        for (k, (at, length_m)) in path.iter().enumerate() {
            let part = match path.get(k + 1) {
                Some((next, _)) if self.grid.along_wall(*at, *next) => Part::Main,
                Some(_) => Part::Branch,
                None => Part::Drop,
            };
            chain.push(Station {
                at_m: self.grid.at(*at, height.after_m(*length_m)),
                next: None,
                part,
            });
        }
        let first = tree.stations.len();
        let mut after = None;
        match goal {
            Goal::Drop => {
                for (at, length_m) in self.low.path(place).iter().rev() {
                    let z = self.end_z_m + self.fall() * length_m;
                    chain.push(Station {
                        at_m: self.grid.at(*at, z),
                        next: None,
                        part: Part::Foot,
                    });
                }
                let foot_m = self.low.to(place).map_or(0.0, |(_, length_m)| length_m);
                let top = first + lead + path.len() - 1;
                tree.drop = Some((place, top, self.end_z_m + self.fall() * foot_m));
            }
            Goal::Line(station) => {
                // A small step is left to the fall: the way ends in the line.
                let line_z = tree.stations[station].at_m[2];
                let steps = chain.last().is_some_and(|s| s.at_m[2] - line_z < STEP_M);
                if steps && 1 < chain.len() {
                    chain.pop();
                }
                after = Some(station);
            }
            Goal::InDrop => {
                // The drop is parted where the way comes in.
                if let Some((_, top, _)) = tree.drop {
                    let mut above = top;
                    let z = height.after_m(path.last().map_or(0.0, |p| p.1));
                    while let Some(next) = tree.stations[above].next {
                        if tree.stations[next].at_m[2] <= z {
                            break;
                        }
                        above = next;
                    }
                    let joint = first + chain.len() - 1;
                    after = tree.stations[above].next;
                    tree.stations[above].next = Some(joint);
                }
            }
        }
        let count = chain.len();
        for (k, station) in chain.into_iter().enumerate() {
            let next = if k + 1 < count {
                Some(first + k + 1)
            } else {
                after
            };
            tree.stations.push(Station { next, ..station });
        }
        for (k, (at, _)) in path.iter().enumerate() {
            let station = first + lead + k;
            if tree.high[*at].is_none() && station < first + count {
                tree.high[*at] = Some(station);
            }
        }
        first
    }

    /// The tree as nodes and segments: only where it turns, joins or starts.
    fn built(&self, tree: &Tree, air_gap_m: Option<f64>) -> Line {
        let n = tree.stations.len();
        let mut carried: Vec<Vec<usize>> = vec![Vec::new(); n];
        let mut length_m = vec![0.0; self.members.len()];
        for (i, (start, _)) in tree.starts.iter().enumerate() {
            let mut at = Some(*start);
            while let Some(station) = at {
                carried[station].push(i);
                at = tree.stations[station].next;
                if let Some(next) = at {
                    let (a, b) = (tree.stations[station].at_m, tree.stations[next].at_m);
                    length_m[i] += (a[0] - b[0]).hypot(a[1] - b[1]);
                }
            }
        }
        let kept = |k: usize| {
            let from: Vec<usize> = (0..n)
                .filter(|j| tree.stations[*j].next == Some(k))
                .collect();
            let started = tree.starts.iter().any(|(s, _)| *s == k);
            let ([before], Some(next), false) = (from.as_slice(), tree.stations[k].next, started)
            else {
                return true;
            };
            let (a, b, c) = (
                tree.stations[*before].at_m,
                tree.stations[k].at_m,
                tree.stations[next].at_m,
            );
            // On the straight between its neighbours, of one kind of pipe.
            let straight = distance_m(a, b) + distance_m(b, c) - distance_m(a, c) < 1e-9;
            !straight || tree.stations[*before].part != tree.stations[k].part
        };
        let mut build = Build {
            ground: self.ground,
            line: Line {
                end_z_m: self.end_z_m,
                air_gap_m,
                start_z_m: tree.start_z_m.clone(),
                needed_z_m: tree.starts.iter().map(|(_, needed)| *needed).collect(),
                length_m,
                first: vec![0; self.members.len()],
                ..Line::default()
            },
        };
        let flows = self.ground.flows(self.members, &build.line);
        let mut node_of = vec![None; n];
        for k in (0..n).filter(|k| kept(*k)) {
            // Points on one another are one.
            node_of[k] = Some(build.node(tree.stations[k].at_m));
        }
        for (i, (start, _)) in tree.starts.iter().enumerate() {
            if let Some(node) = node_of[*start] {
                build.line.nodes[node]
                    .mark
                    .clone_from(&self.members[i].source.tag);
            }
        }
        let mut segment_of = vec![None; n];
        let mut ends = Vec::new();
        for k in 0..n {
            let (Some(from), Some(mut to)) = (node_of[k], tree.stations[k].next) else {
                continue;
            };
            while node_of[to].is_none() {
                let Some(next) = tree.stations[to].next else {
                    break;
                };
                to = next;
            }
            let Some(end) = node_of[to] else { continue };
            let segment = build.segment(
                from,
                end,
                tree.stations[k].part,
                &carried[k],
                self.members,
                &flows,
            );
            segment_of[k] = Some(segment);
            ends.push((segment, to));
        }
        for (segment, to) in ends {
            build.line.segments[segment].next = segment_of[to];
        }
        for (i, (start, _)) in tree.starts.iter().enumerate() {
            build.line.first[i] = segment_of[*start].unwrap_or(0);
        }
        let mut longest_first: Vec<usize> = (0..self.members.len()).collect();
        longest_first.sort_by(|a, b| build.line.length_m[*b].total_cmp(&build.line.length_m[*a]));
        build.line.number(&longest_first, self.members);
        build.line
    }
}

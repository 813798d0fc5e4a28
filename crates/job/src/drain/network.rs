//! From each unit's outlet along the walls to the drain, with heights.

use room::{PipeMaterial, PipeSize, Piping, Wall};

use super::bend;
use super::grid;
use super::pipe::{self, Demand};
use super::ring::{Ring, Turn, WALLS};
use crate::geometry::Point;
use crate::placement::{Thing, ThingKind};

/// Pipe's centre from the wall \[m\]. **Assumed** a strut and a clamp.
pub(super) const OFF_WALL_M: f64 = 0.08;
/// Longest piece of upright pipe on one support \[m\]: 10 ft.
///
/// **Source** trade article on the International Mechanical Code 2015.
const UPRIGHT_SUPPORT_M: f64 = 3.048;
/// Least room between the pump's high point and the ceiling \[m\]. **Assumed**.
pub(super) const UNDER_CEILING_M: f64 = 0.10;
/// What a pump lifts above the height that just serves \[m\]. **Assumed**.
pub(super) const SPARE_LIFT_M: f64 = 0.02;

/// A point of the line; its height is the invert.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Mark on the drawings.
    pub mark: String,
    /// Where; z is the lowest inside of the bore \[m\].
    pub at_m: Point,
}

/// What part of the line a segment is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// From one unit's trap to the common line, and off the walls.
    Branch,
    /// Along the walls.
    Main,
    /// Straight down.
    Drop,
    /// Low over the floor to the drain.
    Foot,
}

/// A straight piece of the line.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// Node that it starts at.
    pub from: usize,
    /// Node that it ends at, downstream.
    pub to: usize,
    /// What it is.
    pub part: Part,
    /// Length in plan, or upright for a drop \[m\].
    pub length_m: f64,
    /// How far it falls \[m\].
    pub drop_m: f64,
    /// Tags of the units whose water it carries.
    pub carries: Vec<String>,
    /// What it must serve.
    pub demand: Demand,
    /// Nominal size; `None`: the table has none.
    pub size: Option<PipeSize>,
    /// Inside diameter \[m\].
    pub inside_m: f64,
    /// Outside diameter \[m\].
    pub outside_m: f64,
    /// Supports.
    pub supports: u32,
    /// The segment after it; `None`: it ends at the drain.
    pub next: Option<usize>,
}

impl Segment {
    /// Fall over length; nothing for a drop.
    pub fn slope(&self) -> Option<f64> {
        (self.part != Part::Drop && self.length_m > 1e-6).then(|| self.drop_m / self.length_m)
    }
}

/// A unit that wants its water led away.
#[derive(Clone, Debug)]
pub(super) struct Source {
    pub(super) tag: String,
    /// Where its trap ends: its outlet's invert \[m\].
    pub(super) start_m: Point,
    pub(super) peak_kg_per_s: f64,
    pub(super) cooling_w: f64,
    pub(super) outlet_m: f64,
}

/// A drain that can take it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Receiver {
    /// Its rim or inlet \[m\].
    pub(super) at_m: Point,
    pub(super) open: bool,
}

/// A unit's way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Way {
    pub(super) drain: usize,
    wall: Wall,
    turn: Turn,
    /// From the trap to the wall \[m\].
    pub(super) branch_m: f64,
    /// Along the walls \[m\].
    pub(super) main_m: f64,
    /// From the wall to the drain \[m\].
    pub(super) foot_m: f64,
}

impl Way {
    pub(super) fn length_m(&self) -> f64 {
        self.branch_m + self.main_m + self.foot_m
    }
}

/// Where a line runs.
pub(super) struct Ground<'a> {
    pub(super) ring: Ring,
    pub(super) piping: &'a Piping,
    pub(super) things: &'a [Thing],
    /// Height of the room \[m\].
    pub(super) height_m: f64,
}

/// Whether a pipe of this radius between two points meets a thing.
pub(crate) fn meets(thing: &Thing, from: Point, to: Point, radius_m: f64) -> bool {
    thing.kept_clear().overlaps(&grid::pipe(from, to, radius_m))
}

/// Whether a piece of a line goes where a thing is. Upright pipe in an aisle
/// stands at the wall.
pub(crate) fn crosses(thing: &Thing, nodes: &[Node], s: &Segment) -> bool {
    let at_wall = thing.kind == ThingKind::Aisle && s.part == Part::Drop;
    !at_wall && meets(thing, nodes[s.from].at_m, nodes[s.to].at_m, s.outside_m)
}

/// What meeting a thing, or too little fall, costs against length \[m\].
const MEETING_M: f64 = 100.0;
const NO_FALL_M: f64 = 40.0;
/// Gap taken while ways are compared \[m\].
const USUAL_GAP_M: f64 = 0.05;
/// Pipe with insulation about its invert while ways are compared \[m\].
const USUAL_RADIUS_M: f64 = 0.04;

impl Ground<'_> {
    pub(super) fn fall(&self) -> f64 {
        self.piping.fall.value
    }

    /// How many things a line goes through.
    pub(super) fn meetings(&self, line: &Line) -> usize {
        let met = |t: &&Thing| line.segments.iter().any(|s| crosses(t, &line.nodes, s));
        self.things.iter().filter(met).count()
    }

    /// The way of a unit: shortest that meets nothing and falls, if one does.
    /// Where the ways along the walls all meet something, the drain is the one
    /// that a bent line comes to soonest.
    pub(super) fn way(&self, source: &Source, receivers: &[Receiver]) -> Option<Way> {
        let (cost_m, way) = self.way_to(source, receivers, &|_| true)?;
        if cost_m < MEETING_M || receivers.len() < 2 {
            return Some(way);
        }
        let mut best: Option<(usize, f64, Way)> = None;
        for (drain, receiver) in receivers.iter().enumerate() {
            let Some((_, way)) = self.way_to(source, receivers, &|d| d == drain) else {
                continue;
            };
            let alone = [Member { source, way }];
            let Some(line) = bend::line(self, receiver, &alone) else {
                continue;
            };
            let met = self.meetings(&line);
            let length_m: f64 = line.segments.iter().map(|s| s.length_m).sum();
            if best
                .as_ref()
                .is_none_or(|(m, l, _)| met < *m || met == *m && length_m < l - 1e-9)
            {
                best = Some((met, length_m, way));
            }
        }
        best.map_or(Some(way), |(_, _, way)| Some(way))
    }

    /// The cheapest way along the walls to one of some drains, and its cost.
    fn way_to(
        &self,
        source: &Source,
        receivers: &[Receiver],
        wanted: &dyn Fn(usize) -> bool,
    ) -> Option<(f64, Way)> {
        let mut best: Option<(f64, Way)> = None;
        for (drain, receiver) in receivers.iter().enumerate().filter(|(d, _)| wanted(*d)) {
            let foot_wall = self.ring.nearest(receiver.at_m);
            let end = self.ring.before(receiver.at_m, foot_wall);
            for wall in WALLS {
                for turn in [Turn::Forward, Turn::Back] {
                    let start = self.ring.before(source.start_m, wall);
                    let way = Way {
                        drain,
                        wall,
                        turn,
                        branch_m: self.ring.off_wall_m(source.start_m, wall),
                        main_m: self.ring.way_m(start, end, turn),
                        foot_m: self.ring.off_wall_m(receiver.at_m, foot_wall),
                    };
                    let cost = self.cost_m(source, receiver, &way);
                    if best.is_none_or(|(least, _)| cost < least - 1e-9) {
                        best = Some((cost, way));
                    }
                }
            }
        }
        best
    }

    fn cost_m(&self, source: &Source, receiver: &Receiver, way: &Way) -> f64 {
        let s = self.fall();
        let z_end = receiver.at_m[2] + USUAL_GAP_M;
        let needed = z_end + s * way.length_m();
        let z0 = source.start_m[2].max(needed);
        let end = self
            .ring
            .before(receiver.at_m, self.ring.nearest(receiver.at_m));
        let start = self.ring.before(source.start_m, way.wall);
        let mut points = vec![[source.start_m[0], source.start_m[1], z0]];
        points.push(self.ring.at(start, z0 - s * way.branch_m));
        let z_at = |to_end: f64| z0 - s * (way.branch_m + way.main_m - to_end);
        for corner in self.ring.corners_m(start, end, way.turn) {
            points.push(
                self.ring
                    .at(self.ring.back_from(end, corner, way.turn), z_at(corner)),
            );
        }
        points.push(self.ring.at(end, z_at(0.0)));
        points.push(self.ring.at(end, z_end + s * way.foot_m));
        points.push([receiver.at_m[0], receiver.at_m[1], z_end]);
        let meetings = points
            .windows(2)
            .map(|leg| {
                let met = |t: &&Thing| meets(t, leg[0], leg[1], USUAL_RADIUS_M);
                // The foot ends in the aisle where the drain is.
                self.things
                    .iter()
                    .filter(|t| t.kind != ThingKind::Aisle)
                    .filter(met)
                    .count()
            })
            .sum::<usize>();
        let no_fall = if source.start_m[2] < needed {
            NO_FALL_M
        } else {
            0.0
        };
        way.length_m() + MEETING_M * meetings as f64 + no_fall
    }
}

/// What a line to one drain is made of.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Line {
    pub(super) nodes: Vec<Node>,
    pub(super) segments: Vec<Segment>,
    /// First segment of each member.
    pub(super) first: Vec<usize>,
    /// Height at which each member's water starts to fall \[m\].
    pub(super) start_z_m: Vec<f64>,
    /// Least height at which each member's water would have to start \[m\].
    pub(super) needed_z_m: Vec<f64>,
    /// Length in plan of each member's way \[m\].
    pub(super) length_m: Vec<f64>,
    /// Height of the end \[m\].
    pub(super) end_z_m: f64,
    pub(super) air_gap_m: Option<f64>,
}

/// How a line ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct LineEnd {
    /// Invert there \[m\].
    pub(super) z_m: f64,
    pub(super) air_gap_m: Option<f64>,
    /// Outside diameter of its pipe \[m\].
    pub(super) outside_m: f64,
}

/// A unit on a line.
pub(super) struct Member<'a> {
    pub(super) source: &'a Source,
    pub(super) way: Way,
}

impl Ground<'_> {
    /// Where a line of all members ends over a drain.
    pub(super) fn line_end(&self, receiver: &Receiver, members: &[Member<'_>]) -> LineEnd {
        let whole = demand_of(
            members.iter().map(|m| (m.source, m.source.peak_kg_per_s)),
            self.fall(),
        );
        let (inside_m, outside_m) = inside(self.piping.material.value, self.size(&whole));
        let air_gap_m = receiver.open.then(|| air_gap_m(inside_m));
        LineEnd {
            z_m: receiver.at_m[2] + air_gap_m.unwrap_or(0.0),
            air_gap_m,
            outside_m,
        }
    }

    /// What each member sends \[kg/s\]: its peak, or a pump's flow where its
    /// water starts higher than its trap lets it go.
    pub(super) fn flows(&self, members: &[Member<'_>], line: &Line) -> Vec<f64> {
        members
            .iter()
            .zip(&line.start_z_m)
            .map(|(m, start_z_m)| {
                let lifted = m.source.start_m[2] < *start_z_m;
                let factor = if lifted {
                    super::pump::FLOW_FACTOR
                } else {
                    1.0
                };
                factor * m.source.peak_kg_per_s
            })
            .collect()
    }

    /// The height that a unit needs at its trap to fall to the end \[m\].
    fn needed_z_m(&self, way: &Way, end_z_m: f64) -> f64 {
        end_z_m + self.fall() * way.length_m()
    }

    fn size(&self, demand: &Demand) -> Option<PipeSize> {
        self.piping.size.as_ref().map_or_else(
            || pipe::least_size(self.piping.material.value, demand),
            |given| Some(given.value),
        )
    }

    /// The line that takes all members to one drain: along the walls, or bent
    /// where it would meet more there.
    pub(super) fn line(&self, receiver: &Receiver, members: &[Member<'_>]) -> Line {
        let plain = self.along_walls(receiver, members);
        let met = self.meetings(&plain);
        if met == 0 {
            return plain;
        }
        match bend::line(self, receiver, members) {
            Some(bent) if self.meetings(&bent) < met => bent,
            _ => plain,
        }
    }

    /// The line along the walls. Members without enough fall start where a pump
    /// must lift them to, and send a pump's flow.
    fn along_walls(&self, receiver: &Receiver, members: &[Member<'_>]) -> Line {
        let s = self.fall();
        let LineEnd {
            z_m: end_z_m,
            air_gap_m,
            ..
        } = self.line_end(receiver, members);
        let mut line = Line {
            end_z_m,
            air_gap_m,
            ..Line::default()
        };
        for member in members {
            let needed = self.needed_z_m(&member.way, end_z_m);
            let z = member.source.start_m[2];
            let z = if z < needed { needed + SPARE_LIFT_M } else { z };
            line.start_z_m.push(z);
            line.needed_z_m.push(needed);
            line.length_m.push(member.way.length_m());
        }
        let flows = self.flows(members, &line);
        let foot_wall = self.ring.nearest(receiver.at_m);
        let end_place = self.ring.before(receiver.at_m, foot_wall);
        let foot_m = self.ring.off_wall_m(receiver.at_m, foot_wall);
        line.first = vec![0; members.len()];
        // Both arms from the top: the higher one reaches the drop first.
        let mut arms: Vec<(f64, Turn, Vec<usize>)> = Vec::new();
        for turn in [Turn::Forward, Turn::Back] {
            let on_arm: Vec<usize> = (0..members.len())
                .filter(|i| members[*i].way.turn == turn)
                .collect();
            let height = on_arm
                .iter()
                .map(|i| {
                    line.start_z_m[*i] - s * (members[*i].way.branch_m + members[*i].way.main_m)
                })
                .fold(f64::INFINITY, f64::min);
            if height.is_finite() {
                let longest = on_arm
                    .iter()
                    .map(|i| members[*i].way.main_m)
                    .fold(0.0, f64::max);
                let low_z = end_z_m + s * foot_m;
                let capped = self
                    .piping
                    .run_height_m
                    .as_ref()
                    .map_or(height, |h| height.min(h.value - s * longest).max(low_z));
                arms.push((capped, turn, on_arm));
            }
        }
        arms.sort_by(|a, b| b.0.total_cmp(&a.0));
        let mut build = Build { ground: self, line };
        let mut waiting: Vec<usize> = Vec::new();
        let mut members_so_far: Vec<usize> = Vec::new();
        let mut above: Option<usize> = None;
        for (height, turn, on_arm) in &arms {
            let top = build.node(self.ring.at(end_place, *height));
            if let Some(over) = above {
                let seg = build.segment(over, top, Part::Drop, &members_so_far, members, &flows);
                build.join(&mut waiting, seg);
                waiting.push(seg);
            }
            let mut tails = build.arm(top, *height, end_place, *turn, on_arm, members, &flows);
            waiting.append(&mut tails);
            members_so_far.extend(on_arm);
            members_so_far.sort_unstable();
            above = Some(top);
        }
        if let Some(over) = above {
            let low = build.node(self.ring.at(end_place, end_z_m + s * foot_m));
            let seg = build.segment(over, low, Part::Drop, &members_so_far, members, &flows);
            build.join(&mut waiting, seg);
            let mut last = seg;
            if foot_m > 1e-3 {
                let end = build.node([receiver.at_m[0], receiver.at_m[1], end_z_m]);
                let foot = build.segment(low, end, Part::Foot, &members_so_far, members, &flows);
                build.line.segments[last].next = Some(foot);
                last = foot;
            }
            build.line.segments[last].next = None;
        }
        let mut longest_first: Vec<usize> = (0..members.len()).collect();
        longest_first.sort_by(|a, b| {
            let length = |i: &usize| members[*i].way.length_m();
            length(b).total_cmp(&length(a))
        });
        build.line.number(&longest_first, members);
        build.line
    }
}

impl Line {
    /// Numbers the points as the water passes them, the longest way first.
    pub(super) fn number(&mut self, longest_first: &[usize], members: &[Member<'_>]) {
        let mut order: Vec<usize> = Vec::new();
        for i in longest_first {
            let mut at = self.first.get(*i).copied();
            while let Some(segment) = at.and_then(|k| self.segments.get(k)) {
                if !order.contains(&segment.to) {
                    order.push(segment.to);
                }
                at = segment.next;
            }
        }
        // A unit's start has the unit's tag.
        order.retain(|n| members.iter().all(|m| m.source.tag != self.nodes[*n].mark));
        for (k, node) in order.into_iter().enumerate() {
            self.nodes[node].mark = (k + 1).to_string();
        }
    }
}

/// Air gap over a receiver \[m\].
///
/// ```text
/// g = max(2 D, 1 in)
/// ```
///
/// - `opening_m`: effective opening of the pipe's end, inside \[m\]
///
/// **Valid** open receivers.
/// **Source** International Plumbing Code 802.3.1, as adopted by Chicago; the
/// Uniform Plumbing Code, 801, asks for the inch.
pub fn air_gap_m(opening_m: f64) -> f64 {
    (2.0 * opening_m).max(0.0254)
}

fn inside(material: PipeMaterial, size: Option<PipeSize>) -> (f64, f64) {
    pipe::diameters_m(material, size.unwrap_or(PipeSize::Two))
}

fn demand_of<'a>(of: impl Iterator<Item = (&'a Source, f64)>, fall: f64) -> Demand {
    let mut demand = Demand {
        flow_kg_per_s: 0.0,
        cooling_w: 0.0,
        outlet_m: 0.0,
        fall,
    };
    for (source, flow) in of {
        demand.flow_kg_per_s += flow;
        demand.cooling_w += source.cooling_w;
        demand.outlet_m = demand.outlet_m.max(source.outlet_m);
    }
    demand
}

/// A line in the making.
pub(super) struct Build<'a> {
    pub(super) ground: &'a Ground<'a>,
    pub(super) line: Line,
}

impl Build<'_> {
    pub(super) fn node(&mut self, at_m: Point) -> usize {
        self.line.nodes.push(Node {
            mark: (self.line.nodes.len() + 1).to_string(),
            at_m,
        });
        self.line.nodes.len() - 1
    }

    pub(super) fn segment(
        &mut self,
        from: usize,
        to: usize,
        part: Part,
        of: &[usize],
        members: &[Member<'_>],
        flows: &[f64],
    ) -> usize {
        let (a, b) = (self.line.nodes[from].at_m, self.line.nodes[to].at_m);
        let drop_m = a[2] - b[2];
        let length_m = match part {
            Part::Drop => drop_m,
            _ => (a[0] - b[0]).hypot(a[1] - b[1]),
        };
        let fall = self.ground.fall();
        let demand = demand_of(of.iter().map(|i| (members[*i].source, flows[*i])), fall);
        let size = self.ground.size(&demand);
        let (inside_m, outside_m) = inside(self.ground.piping.material.value, size);
        let spacing_m = match part {
            Part::Drop => UPRIGHT_SUPPORT_M,
            _ => self.ground.piping.support_spacing_m.value,
        };
        self.line.segments.push(Segment {
            from,
            to,
            part,
            length_m,
            drop_m,
            carries: of.iter().map(|i| members[*i].source.tag.clone()).collect(),
            demand,
            size,
            inside_m,
            outside_m,
            // Stubs hang on their neighbours.
            supports: if length_m < 0.15 {
                0
            } else {
                (length_m / spacing_m).ceil() as u32
            },
            next: None,
        });
        self.line.segments.len() - 1
    }

    fn join(&mut self, waiting: &mut Vec<usize>, next: usize) {
        for i in waiting.drain(..) {
            self.line.segments[i].next = Some(next);
        }
    }

    /// One arm along the walls down to `top`; gives the segments that end
    /// there.
    #[allow(clippy::too_many_arguments, reason = "one call, inside this file")]
    fn arm(
        &mut self,
        top: usize,
        height_m: f64,
        end_place: f64,
        turn: Turn,
        on_arm: &[usize],
        members: &[Member<'_>],
        flows: &[f64],
    ) -> Vec<usize> {
        let ring = self.ground.ring;
        let s = self.ground.fall();
        // Stations by their way to the end, farthest first.
        let mut stations: Vec<f64> = on_arm.iter().map(|i| members[*i].way.main_m).collect();
        let farthest = stations.iter().copied().fold(0.0, f64::max);
        let from = ring.back_from(end_place, farthest, turn);
        stations.extend(ring.corners_m(from, end_place, turn));
        stations.retain(|w| *w > 1e-3);
        stations.sort_by(|a, b| b.total_cmp(a));
        stations.dedup_by(|a, b| (*a - *b).abs() < 1e-3);
        let mut nodes: Vec<usize> = Vec::new();
        for w in &stations {
            let p = ring.at(ring.back_from(end_place, *w, turn), height_m + s * w);
            nodes.push(self.node(p));
        }
        nodes.push(top);
        stations.push(0.0);
        let mut mains: Vec<usize> = Vec::new();
        for k in 1..nodes.len() {
            let upstream: Vec<usize> = on_arm
                .iter()
                .copied()
                .filter(|i| stations[k] + 5e-4 < members[*i].way.main_m)
                .collect();
            let seg = self.segment(
                nodes[k - 1],
                nodes[k],
                Part::Main,
                &upstream,
                members,
                flows,
            );
            if let Some(before) = mains.last() {
                self.line.segments[*before].next = Some(seg);
            }
            mains.push(seg);
        }
        let mut tails: Vec<usize> = mains.last().copied().into_iter().collect();
        for i in on_arm {
            let member = &members[*i];
            let station = stations
                .iter()
                .position(|w| (w - member.way.main_m).abs() < 1.5e-3)
                .unwrap_or(stations.len() - 1);
            let joint = nodes[station];
            let z0 = self.line.start_z_m[*i];
            let [x, y, _] = member.source.start_m;
            let start = self.node([x, y, z0]);
            self.line.nodes[start].mark.clone_from(&member.source.tag);
            let [jx, jy, jz] = self.line.nodes[joint].at_m;
            let z_wall = z0 - s * member.way.branch_m;
            let mut last = None;
            let mut at = start;
            if member.way.branch_m > 1e-3 {
                // A step of millimetres is left to the fall of the branch.
                let z_wall = if z_wall - jz < 5e-3 { jz } else { z_wall };
                let wall = if z_wall > jz {
                    self.node([jx, jy, z_wall])
                } else {
                    joint
                };
                let seg = self.segment(start, wall, Part::Branch, &[*i], members, flows);
                self.line.first[*i] = seg;
                last = Some(seg);
                at = wall;
            }
            if at != joint {
                let seg = self.segment(at, joint, Part::Drop, &[*i], members, flows);
                match last {
                    Some(branch) => self.line.segments[branch].next = Some(seg),
                    None => self.line.first[*i] = seg,
                }
                last = Some(seg);
            }
            if let Some(last) = last {
                match mains.get(station) {
                    Some(main) => self.line.segments[last].next = Some(*main),
                    None => tails.push(last),
                }
            }
        }
        tails
    }
}

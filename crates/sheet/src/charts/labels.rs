//! Finds free places for labels near their points.

use crate::drawing::{Letters, PaperPoint, Role, font};

/// A box on paper \[mm\].
#[derive(Clone, Copy, Debug)]
pub(super) struct Bounds {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Bounds {
    /// The box around points.
    pub(super) fn of(points: &[PaperPoint]) -> Self {
        let mut b = Self {
            left: f64::INFINITY,
            top: f64::INFINITY,
            right: f64::NEG_INFINITY,
            bottom: f64::NEG_INFINITY,
        };
        for p in points {
            b.left = b.left.min(p.x_mm);
            b.right = b.right.max(p.x_mm);
            b.top = b.top.min(p.y_mm);
            b.bottom = b.bottom.max(p.y_mm);
        }
        b
    }

    pub(super) fn grown(self, by: f64) -> Self {
        Self {
            left: self.left - by,
            top: self.top - by,
            right: self.right + by,
            bottom: self.bottom + by,
        }
    }

    pub(super) fn overlaps(&self, o: &Self) -> bool {
        self.left < o.right && o.left < self.right && self.top < o.bottom && o.top < self.bottom
    }

    fn holds(&self, p: PaperPoint) -> bool {
        (self.left..=self.right).contains(&p.x_mm) && (self.top..=self.bottom).contains(&p.y_mm)
    }

    /// Whether a straight line touches the box (Liang and Barsky's test).
    fn is_cut_by(&self, a: PaperPoint, b: PaperPoint) -> bool {
        if self.holds(a) || self.holds(b) {
            return true;
        }
        let (dx, dy) = (b.x_mm - a.x_mm, b.y_mm - a.y_mm);
        let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
        for (p, q) in [
            (-dx, a.x_mm - self.left),
            (dx, self.right - a.x_mm),
            (-dy, a.y_mm - self.top),
            (dy, self.bottom - a.y_mm),
        ] {
            if p == 0.0 {
                if q < 0.0 {
                    return false;
                }
            } else if p < 0.0 {
                t0 = t0.max(q / p);
            } else {
                t1 = t1.min(q / p);
            }
        }
        t0 <= t1
    }
}

/// What labels must keep clear of.
#[derive(Clone, Debug, Default)]
pub(super) struct Obstacles {
    /// Boxes that may not be touched.
    pub(super) boxes: Vec<Bounds>,
    /// Lines that should not be touched, with how much each matters.
    pub(super) lines: Vec<(PaperPoint, PaperPoint, f64)>,
}

/// Where a label goes: the start of its middle line, and the end of its leader.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub(super) bounds: Bounds,
    pub(super) leader_end: PaperPoint,
}

impl Obstacles {
    /// A place for `text` near `point`, inside `allowed`, as clear and as near
    /// as can be; it is then an obstacle itself.
    pub(super) fn place(
        &mut self,
        text: &str,
        letters: Letters,
        point: PaperPoint,
        allowed: impl Fn(&Bounds) -> bool,
    ) -> Option<Placed> {
        let w = font::width_mm(text, letters, Role::Text);
        let h = letters.cap_mm();
        let mut best: Option<(f64, Placed)> = None;
        for ring in 1..=12 {
            let r = 3.0 + 2.5 * f64::from(ring);
            for k in 0..24 {
                let angle = f64::from(k) * std::f64::consts::TAU / 24.0;
                let end = PaperPoint {
                    x_mm: point.x_mm + r * angle.cos(),
                    y_mm: point.y_mm - r * angle.sin(),
                };
                // The label hangs on its leader by the nearer end.
                let left = if angle.cos() >= 0.0 {
                    end.x_mm + 0.8
                } else {
                    end.x_mm - 0.8 - w
                };
                let bounds = Bounds {
                    left,
                    top: end.y_mm - h / 2.0,
                    right: left + w,
                    bottom: end.y_mm + h / 2.0,
                };
                let wide = bounds.grown(0.9);
                if !allowed(&wide) || self.boxes.iter().any(|b| b.overlaps(&wide)) {
                    continue;
                }
                let crossed: f64 = self
                    .lines
                    .iter()
                    .filter(|(a, b, _)| wide.is_cut_by(*a, *b))
                    .map(|l| l.2)
                    .sum();
                let leader: f64 = self
                    .boxes
                    .iter()
                    .filter(|b| b.is_cut_by(point, end))
                    .count() as f64
                    * 20.0;
                let tangled: f64 = self
                    .lines
                    .iter()
                    .filter(|(a, b, m)| *m >= 5.0 && cross(point, end, *a, *b))
                    .count() as f64
                    * 4.0;
                let cost = crossed + leader + tangled + 0.25 * r;
                if best.as_ref().is_none_or(|(c, _)| cost < *c - 1e-9) {
                    best = Some((
                        cost,
                        Placed {
                            bounds,
                            leader_end: end,
                        },
                    ));
                }
            }
        }
        let (_, placed) = best?;
        self.boxes.push(placed.bounds.grown(0.9));
        self.lines.push((point, placed.leader_end, 10.0));
        Some(placed)
    }
}

/// Whether two lines cross away from their first ends.
fn cross(a: PaperPoint, b: PaperPoint, c: PaperPoint, d: PaperPoint) -> bool {
    let side = |p: PaperPoint, q: PaperPoint, r: PaperPoint| {
        (q.x_mm - p.x_mm) * (r.y_mm - p.y_mm) - (q.y_mm - p.y_mm) * (r.x_mm - p.x_mm)
    };
    // Lines that start at the labelled point do not count.
    let near = |p: PaperPoint| (p.x_mm - a.x_mm).hypot(p.y_mm - a.y_mm) < 1.6;
    if near(c) || near(d) {
        return false;
    }
    side(a, b, c) * side(a, b, d) < 0.0 && side(c, d, a) * side(c, d, b) < 0.0
}

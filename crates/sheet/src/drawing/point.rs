//! Points in the world and on paper, and the one transform between them.

/// A point of the world that a view shows: metres in a room (y up), or the
/// units of a chart's axes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point {
    /// Along the horizontal axis.
    pub x: f64,
    /// Along the vertical axis, upwards.
    pub y: f64,
}

/// The point (`x`, `y`) of a world.
pub const fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

/// A point on paper, from its top left corner, y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperPoint {
    /// From the left edge \[mm\].
    pub x_mm: f64,
    /// From the top edge, downwards \[mm\].
    pub y_mm: f64,
}

impl PaperPoint {
    /// Whether the point can be drawn: finite, and within ten metres of the
    /// paper, beyond which a line is a mistake and dashes never end.
    pub fn is_drawable(self) -> bool {
        const FAR_MM: f64 = 10_000.0;
        self.x_mm.abs() < FAR_MM && self.y_mm.abs() < FAR_MM
    }
}

/// How a view's world lies on the paper. Only points are transformed; pens
/// and letters keep their size on paper.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Transform {
    /// Where the world's (0, 0) lies.
    pub origin: PaperPoint,
    /// Paper per unit of the world, to the right \[mm\].
    pub x_mm_per_unit: f64,
    /// Paper per unit of the world, upwards \[mm\].
    pub y_mm_per_unit: f64,
}

impl Transform {
    /// The paper itself as the world: millimetres from the top left corner,
    /// y down.
    pub const PAPER: Self = Self {
        origin: PaperPoint {
            x_mm: 0.0,
            y_mm: 0.0,
        },
        x_mm_per_unit: 1.0,
        y_mm_per_unit: -1.0,
    };

    /// A room in metres at the scale 1:`ratio`, its origin at `origin`.
    pub fn scale(ratio: f64, origin: PaperPoint) -> Self {
        Self {
            origin,
            x_mm_per_unit: 1000.0 / ratio,
            y_mm_per_unit: 1000.0 / ratio,
        }
    }

    /// From the world to the paper.
    pub fn to_paper(&self, p: Point) -> PaperPoint {
        PaperPoint {
            x_mm: self.origin.x_mm + p.x * self.x_mm_per_unit,
            y_mm: self.origin.y_mm - p.y * self.y_mm_per_unit,
        }
    }

    /// From the paper to the world.
    pub fn to_world(&self, p: PaperPoint) -> Point {
        Point {
            x: (p.x_mm - self.origin.x_mm) / self.x_mm_per_unit,
            y: (self.origin.y_mm - p.y_mm) / self.y_mm_per_unit,
        }
    }
}

//! A drawing: views of a world on paper, made of shapes that each have a role.
//!
//! Functions that make drawings say what is where; [`style`] says how it
//! looks; the writers only write.

pub mod font;
pub mod hatch;
mod paper;
mod point;
pub mod style;

use quantity::Place;

use crate::charts::Behind;

pub use paper::{Paper, Size};
pub use point::{PaperPoint, Point, Transform, at};
pub use style::{Letters, Role};

/// A drawing on one piece of paper.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Size of the paper, or of the figure in a report.
    pub size: Size,
    /// What it shows, for the reader who cannot see it too.
    pub title: String,
    /// Its content in words with the main numbers, for the reader who cannot
    /// see it.
    pub alt: String,
    /// Views, later ones over earlier ones.
    pub views: Vec<View>,
    /// Notes that belong to the drawing, in order.
    pub notes: Vec<String>,
    /// The numbers behind it, where it is a chart.
    pub behind: Option<Box<Behind>>,
}

/// A part of a drawing with its own world.
#[derive(Clone, Debug, PartialEq)]
pub struct View {
    /// Name of the view ("plan", "dry bulb").
    pub name: String,
    /// How its world lies on the paper.
    pub transform: Transform,
    /// Items, later ones over earlier ones.
    pub items: Vec<Item>,
}

/// Something drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Where and what.
    pub shape: Shape,
    /// What for; decides the look.
    pub role: Role,
    /// The part of the room or job that it shows, if it is one.
    pub part: Option<Place>,
}

/// A shape in the world of its view.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// Straight line.
    Line {
        /// From.
        from: Point,
        /// To.
        to: Point,
    },
    /// Open run of straight lines. A point that is not finite breaks it.
    Polyline(Vec<Point>),
    /// Closed area.
    Polygon(Vec<Point>),
    /// Circle; its radius follows the horizontal scale.
    Circle {
        /// Centre.
        centre: Point,
        /// Radius in units of the world.
        radius: f64,
    },
    /// Part of a circle, counter-clockwise.
    Arc {
        /// Centre.
        centre: Point,
        /// Radius in units of the world.
        radius: f64,
        /// First angle, from the horizontal \[rad\].
        start_rad: f64,
        /// Last angle \[rad\], larger than the first.
        end_rad: f64,
    },
    /// Filled arrowhead, 3 mm long on paper.
    Arrowhead {
        /// Its point.
        tip: Point,
        /// Where it points on paper, counter-clockwise from the right \[rad\].
        angle_rad: f64,
    },
    /// A mark of fixed size on paper.
    Mark {
        /// Where.
        at: Point,
        /// Which.
        mark: Mark,
    },
    /// Text.
    Text(Label),
}

/// A mark at a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Filled dot.
    Dot,
    /// Hollow dot.
    Ring,
    /// Filled square.
    Square,
    /// Filled triangle, point up.
    Triangle,
    /// Upright short line.
    Tick,
}

/// Which point of a text lies at its anchor, along the line of text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its start.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// What of a text's height lies at its anchor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stand {
    /// The line that capitals stand on.
    Base,
    /// Half the height of capitals.
    Middle,
    /// The top of capitals.
    Top,
}

/// Whether a white edge keeps lines away from a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Halo {
    /// No edge.
    None,
    /// White edge.
    White,
}

/// A line of text.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The words.
    pub text: String,
    /// Where, in the world of the view.
    pub at: Point,
    /// Moved from there on paper, right and down \[mm\].
    pub shift_mm: (f64, f64),
    /// Height of its letters.
    pub letters: Letters,
    /// What lies at the anchor, along the text.
    pub anchor: Anchor,
    /// What lies at the anchor, across the text.
    pub stand: Stand,
    /// Turned on paper, counter-clockwise \[°\].
    pub turn_deg: f64,
    /// White edge or not.
    pub halo: Halo,
}

impl Label {
    /// A text that starts at `at`, level, small letters, no halo.
    pub fn new(text: impl Into<String>, at: Point) -> Self {
        Self {
            text: text.into(),
            at,
            shift_mm: (0.0, 0.0),
            letters: Letters::Small,
            anchor: Anchor::Start,
            stand: Stand::Base,
            turn_deg: 0.0,
            halo: Halo::None,
        }
    }

    /// With letters of this height.
    #[must_use]
    pub fn letters(self, letters: Letters) -> Self {
        Self { letters, ..self }
    }

    /// With this point of the text at its anchor.
    #[must_use]
    pub fn anchor(self, anchor: Anchor, stand: Stand) -> Self {
        Self {
            anchor,
            stand,
            ..self
        }
    }

    /// Moved on paper, right and down \[mm\].
    #[must_use]
    pub fn shift(self, right_mm: f64, down_mm: f64) -> Self {
        Self {
            shift_mm: (right_mm, down_mm),
            ..self
        }
    }

    /// Turned counter-clockwise \[°\].
    #[must_use]
    pub fn turn(self, turn_deg: f64) -> Self {
        Self { turn_deg, ..self }
    }

    /// With a white edge.
    #[must_use]
    pub fn halo(self) -> Self {
        Self {
            halo: Halo::White,
            ..self
        }
    }

    /// The corners of the text's box on paper, in order round it.
    pub fn corners(&self, transform: &Transform, role: Role) -> [PaperPoint; 4] {
        // Descenders reach about 0.3 of the cap height under the line.
        let cap = self.letters.cap_mm();
        self.corners_at(transform.to_paper(self.at), role, [0.3 * cap, 0.0, 0.0])
    }

    /// The white field of a halo round the text anchored at `o` on paper.
    pub(crate) fn field(&self, o: PaperPoint, role: Role) -> [PaperPoint; 4] {
        self.corners_at(o, role, [0.45, 0.35, 0.35])
    }

    /// Corners with so much room under, beside and over the capitals \[mm\].
    fn corners_at(
        &self,
        o: PaperPoint,
        role: Role,
        [under, beside, over]: [f64; 3],
    ) -> [PaperPoint; 4] {
        let w = font::width_mm(&self.text, self.letters, role);
        let cap = self.letters.cap_mm();
        let left = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -w / 2.0,
            Anchor::End => -w,
        };
        let base = self.base_mm();
        let (sin, cos) = self.turn_deg.to_radians().sin_cos();
        [
            (left - beside, base + under),
            (left + w + beside, base + under),
            (left + w + beside, base - cap - over),
            (left - beside, base - cap - over),
        ]
        .map(|(x, y)| PaperPoint {
            x_mm: o.x_mm + self.shift_mm.0 + x * cos + y * sin,
            y_mm: o.y_mm + self.shift_mm.1 - x * sin + y * cos,
        })
    }

    /// How far the base line lies under the anchor, before turning \[mm\].
    pub(crate) fn base_mm(&self) -> f64 {
        let cap = self.letters.cap_mm();
        match self.stand {
            Stand::Base => 0.0,
            Stand::Middle => cap / 2.0,
            Stand::Top => cap,
        }
    }
}

impl View {
    /// An empty view.
    pub fn new(name: impl Into<String>, transform: Transform) -> Self {
        Self {
            name: name.into(),
            transform,
            items: Vec::new(),
        }
    }

    /// An empty view of the paper itself: millimetres, y down.
    pub fn paper(name: impl Into<String>) -> Self {
        Self::new(name, Transform::PAPER)
    }

    /// Adds a shape.
    pub fn push(&mut self, role: Role, shape: Shape) {
        self.items.push(Item {
            shape,
            role,
            part: None,
        });
    }

    /// Adds a shape that shows a part of the room.
    pub fn push_part(&mut self, role: Role, shape: Shape, part: Place) {
        self.items.push(Item {
            shape,
            role,
            part: Some(part),
        });
    }

    /// Adds a straight line.
    pub fn line(&mut self, role: Role, from: Point, to: Point) {
        self.push(role, Shape::Line { from, to });
    }

    /// Adds a text.
    pub fn text(&mut self, role: Role, label: Label) {
        self.push(role, Shape::Text(label));
    }

    /// Adds an upright rectangle between two corners.
    pub fn rect(&mut self, role: Role, a: Point, b: Point) {
        self.push(
            role,
            Shape::Polygon(vec![at(a.x, a.y), at(b.x, a.y), at(b.x, b.y), at(a.x, b.y)]),
        );
    }

    /// All texts with their boxes on paper, in order.
    pub fn texts(&self) -> impl Iterator<Item = (&Label, [PaperPoint; 4])> {
        self.items.iter().filter_map(|i| match &i.shape {
            Shape::Text(l) => Some((l, l.corners(&self.transform, i.role))),
            _ => None,
        })
    }

    /// Adds a mark.
    pub fn mark(&mut self, role: Role, mark: Mark, at: Point) {
        self.push(role, Shape::Mark { at, mark });
    }
}

impl Drawing {
    /// An empty drawing.
    pub fn new(size: Size, title: impl Into<String>) -> Self {
        Self {
            size,
            title: title.into(),
            alt: String::new(),
            views: Vec::new(),
            notes: Vec::new(),
            behind: None,
        }
    }

    /// All texts with their boxes on paper, in order.
    pub fn texts(&self) -> impl Iterator<Item = (&Label, [PaperPoint; 4])> {
        self.views.iter().flat_map(View::texts)
    }
}

//! DXF of one view of a drawing, at 1:1 in millimetres.
//!
//! Release 12 (`AC1009`), since the plainest form opens nearly everywhere:
//! header, tables of line types, layers and styles, and the entities LINE,
//! POLYLINE, CIRCLE, ARC, SOLID and TEXT, all by layer. The world of the view
//! is in metres; letters keep the height that they have on paper at the view's
//! scale. ASCII throughout: signs beyond it are spelt.

use std::fmt::Write as _;

use thiserror::Error;

use crate::drawing::{Anchor, Drawing, Item, Label, Mark, Point, Role, Shape, Stand, View};

/// Why a view cannot be written.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum DxfError {
    /// The drawing has no view of that name.
    #[error("the drawing \"{drawing}\" has no view \"{view}\"")]
    NoSuchView {
        /// Title of the drawing.
        drawing: String,
        /// Name that was asked for.
        view: String,
    },
    /// The view is no world in metres: its two scales differ.
    #[error("the view \"{0}\" is not drawn to scale")]
    NotToScale(String),
}

/// Discipline and name of a layer, its colour number, its line type.
struct Layer {
    name: &'static str,
    colour: u8,
    line: &'static str,
}

const fn layer(name: &'static str, colour: u8, line: &'static str) -> Layer {
    Layer { name, colour, line }
}

/// Every layer that is declared.
const LAYERS: [Layer; 10] = [
    layer("A-WALL", 7, "CONTINUOUS"),
    layer("A-HIDN", 8, "DASHED"),
    layer("A-CNTR", 8, "CENTER"),
    layer("M-EQPM", 7, "CONTINUOUS"),
    layer("M-EQPM-CLRN", 8, "PHANTOM"),
    layer("M-HVAC-ARRW", 5, "CONTINUOUS"),
    layer("P-DRAN", 3, "CONTINUOUS"),
    layer("A-HATC", 8, "CONTINUOUS"),
    layer("G-ANNO-DIMS", 7, "CONTINUOUS"),
    layer("G-ANNO-TEXT", 7, "CONTINUOUS"),
];

/// Line types: name, description, lengths on paper \[mm\], negative for gaps.
const LINES: [(&str, &str, &[f64]); 4] = [
    ("CONTINUOUS", "Solid line", &[]),
    ("DASHED", "__ __ __ __", &[3.0, -0.75]),
    ("CENTER", "____ _ ____ _", &[4.3, -0.54, 0.5, -0.54]),
    (
        "PHANTOM",
        "______ _ _ ______",
        &[6.0, -0.75, 0.5, -0.75, 0.5, -0.75],
    ),
];

/// Name of the layer that a role lies on.
const fn layer_of(role: Role) -> &'static str {
    match role {
        Role::Equipment => "M-EQPM",
        Role::Clearance => "M-EQPM-CLRN",
        Role::Hidden => "A-HIDN",
        Role::Centre => "A-CNTR",
        Role::Drain => "P-DRAN",
        Role::Process | Role::LightsOn | Role::LightsOff | Role::Series(_) => "M-HVAC-ARRW",
        Role::Dimension | Role::Leader => "G-ANNO-DIMS",
        Role::Text | Role::TextQuiet | Role::TextStrong => "G-ANNO-TEXT",
        Role::Cut | Role::Missed => "A-HATC",
        _ => "A-WALL",
    }
}

/// Writes one view of a drawing.
///
/// - `view`: its name
/// - `notes`: lines of text under the drawing: job, room, revision, what the
///   layers mean
///
/// # Errors
/// No such view, or one that is not drawn to scale.
pub fn dxf(drawing: &Drawing, view: &str, notes: &[String]) -> Result<String, DxfError> {
    let view = drawing
        .views
        .iter()
        .find(|v| v.name == view)
        .ok_or_else(|| DxfError::NoSuchView {
            drawing: drawing.title.clone(),
            view: view.to_owned(),
        })?;
    let t = view.transform;
    if (t.x_mm_per_unit - t.y_mm_per_unit).abs() > 1e-9 || t.x_mm_per_unit <= 0.0 {
        return Err(DxfError::NotToScale(view.name.clone()));
    }
    let mut page = Page {
        out: String::new(),
        ratio: 1000.0 / t.x_mm_per_unit,
        low: (f64::INFINITY, f64::INFINITY),
        high: (f64::NEG_INFINITY, f64::NEG_INFINITY),
    };
    page.items(view);
    page.notes(notes);
    Ok(page.finish())
}

/// The entities as they are written, and how far they reach \[mm\].
struct Page {
    out: String,
    /// Paper to world: 1:ratio.
    ratio: f64,
    low: (f64, f64),
    high: (f64, f64),
}

impl Page {
    fn items(&mut self, view: &View) {
        for item in &view.items {
            self.item(item);
        }
    }

    fn item(&mut self, item: &Item) {
        let layer = layer_of(item.role);
        match &item.shape {
            Shape::Line { from, to } => self.polyline(layer, &[*from, *to], false),
            Shape::Polyline(points) => {
                for run in points.split(|p| !p.x.is_finite() || !p.y.is_finite()) {
                    self.polyline(layer, run, false);
                }
            }
            Shape::Polygon(points) => self.polyline(layer, points, true),
            Shape::Circle { centre, radius } => self.circle(layer, *centre, 1000.0 * radius, None),
            Shape::Arc {
                centre,
                radius,
                start_rad,
                end_rad,
            } => self.circle(
                layer,
                *centre,
                1000.0 * radius,
                Some((*start_rad, *end_rad)),
            ),
            Shape::Arrowhead { tip, angle_rad } => self.arrowhead(layer, *tip, *angle_rad),
            Shape::Mark { at, mark } => self.mark(layer, *at, *mark),
            Shape::Text(label) => self.text(layer, label),
        }
    }

    fn polyline(&mut self, layer: &str, points: &[Point], closed: bool) {
        let mut places: Vec<(f64, f64)> = Vec::with_capacity(points.len());
        for p in points {
            let place = (round(1000.0 * p.x), round(1000.0 * p.y));
            // No line of no length.
            if place.0.is_finite() && place.1.is_finite() && places.last() != Some(&place) {
                places.push(place);
            }
        }
        if closed && places.len() > 1 && places.first() == places.last() {
            places.pop();
        }
        match places.as_slice() {
            [] | [_] => {}
            [from, to] => {
                self.entity("LINE", layer);
                self.place(10, *from);
                self.place(11, *to);
            }
            many => {
                self.entity("POLYLINE", layer);
                self.pair(66, "1");
                self.pair(70, if closed { "1" } else { "0" });
                for at in many {
                    self.entity("VERTEX", layer);
                    self.place(10, *at);
                }
                self.entity("SEQEND", layer);
            }
        }
    }

    fn circle(&mut self, layer: &str, centre: Point, radius_mm: f64, part: Option<(f64, f64)>) {
        let radius = round(radius_mm);
        if radius.is_nan() || radius <= 0.0 || !centre.x.is_finite() || !centre.y.is_finite() {
            return;
        }
        self.entity(if part.is_some() { "ARC" } else { "CIRCLE" }, layer);
        let at = (round(1000.0 * centre.x), round(1000.0 * centre.y));
        self.place(10, at);
        self.number(40, radius);
        self.reach((at.0 - radius, at.1 - radius));
        self.reach((at.0 + radius, at.1 + radius));
        if let Some((start, end)) = part {
            self.number(50, start.to_degrees().rem_euclid(360.0));
            self.number(51, end.to_degrees().rem_euclid(360.0));
        }
    }

    fn arrowhead(&mut self, layer: &str, tip: Point, angle_rad: f64) {
        let long = crate::drawing::style::ARROW_MM * self.ratio;
        let (sin, cos) = angle_rad.sin_cos();
        let tip = (1000.0 * tip.x, 1000.0 * tip.y);
        let back = (tip.0 - long * cos, tip.1 - long * sin);
        let side = (-sin * long / 6.0, cos * long / 6.0);
        self.solid(
            layer,
            [
                tip,
                (back.0 + side.0, back.1 + side.1),
                (back.0 - side.0, back.1 - side.1),
            ],
        );
    }

    fn solid(&mut self, layer: &str, corners: [(f64, f64); 3]) {
        if corners.iter().any(|c| !c.0.is_finite() || !c.1.is_finite()) {
            return;
        }
        self.entity("SOLID", layer);
        let [a, b, c] = corners.map(|(x, y)| (round(x), round(y)));
        self.place(10, a);
        self.place(11, b);
        self.place(12, c);
        // A triangle says its last corner twice.
        self.place(13, c);
    }

    fn mark(&mut self, layer: &str, at: Point, mark: Mark) {
        let r = 0.5e-3 * crate::drawing::style::MARK_MM * self.ratio;
        let point = |dx: f64, dy: f64| Point {
            x: at.x + dx * r,
            y: at.y + dy * r,
        };
        match mark {
            Mark::Dot | Mark::Ring => self.circle(layer, at, 1000.0 * r, None),
            Mark::Square => self.polyline(
                layer,
                &[
                    point(-1.0, -1.0),
                    point(1.0, -1.0),
                    point(1.0, 1.0),
                    point(-1.0, 1.0),
                ],
                true,
            ),
            Mark::Triangle => self.polyline(
                layer,
                &[point(-1.0, -1.0), point(1.0, -1.0), point(0.0, 1.0)],
                true,
            ),
            Mark::Tick => self.polyline(layer, &[point(0.0, -1.0), point(0.0, 1.0)], false),
        }
    }

    fn text(&mut self, layer: &str, label: &Label) {
        let at = (
            round(1000.0 * label.at.x + label.shift_mm.0 * self.ratio),
            round(1000.0 * label.at.y - label.shift_mm.1 * self.ratio),
        );
        let across = match label.anchor {
            Anchor::Start => 0,
            Anchor::Middle => 1,
            Anchor::End => 2,
        };
        let up = match label.stand {
            Stand::Base => 0,
            Stand::Middle => 2,
            Stand::Top => 3,
        };
        self.words(
            layer,
            &label.text,
            at,
            &Setting {
                height: label.letters.cap_mm() * self.ratio,
                turn_deg: label.turn_deg,
                across,
                up,
            },
        );
    }

    fn words(&mut self, layer: &str, text: &str, at: (f64, f64), set: &Setting) {
        let text = ascii(text);
        if text.trim().is_empty() || !at.0.is_finite() || !at.1.is_finite() {
            return;
        }
        self.entity("TEXT", layer);
        self.place(10, at);
        self.number(40, round(set.height));
        self.pair(1, &text);
        if set.turn_deg.abs() > 1e-9 {
            self.number(50, set.turn_deg.rem_euclid(360.0));
        }
        self.pair(7, "STANDARD");
        if set.across != 0 || set.up != 0 {
            self.pair(72, &set.across.to_string());
            self.pair(73, &set.up.to_string());
            self.place(11, at);
        }
    }

    /// Notes, and a line of 1000 mm to check the scale by, under everything.
    fn notes(&mut self, notes: &[String]) {
        if !self.low.0.is_finite() {
            self.reach((0.0, 0.0));
        }
        let (left, height) = (self.low.0, 2.5 * self.ratio);
        let mut y = self.low.1 - 4.0 * height;
        self.polyline(
            "G-ANNO-DIMS",
            &[
                Point {
                    x: left / 1000.0,
                    y: y / 1000.0,
                },
                Point {
                    x: left / 1000.0 + 1.0,
                    y: y / 1000.0,
                },
            ],
            false,
        );
        let plain = Setting {
            height,
            turn_deg: 0.0,
            across: 0,
            up: 0,
        };
        let own = [
            "The line above is 1000 mm. Drawn 1:1 in millimetres.".to_owned(),
            "Layers: A-WALL room; A-HIDN hidden; A-CNTR centre lines; M-EQPM units; M-EQPM-CLRN space kept free;"
                .to_owned(),
            "M-HVAC-ARRW air; P-DRAN drain; A-HATC areas; G-ANNO-DIMS, G-ANNO-TEXT dimensions, text."
                .to_owned(),
        ];
        for line in own.iter().chain(notes) {
            y -= 1.8 * height;
            self.words("G-ANNO-TEXT", line, (left, round(y)), &plain);
        }
    }

    fn entity(&mut self, kind: &str, layer: &str) {
        self.pair(0, kind);
        self.pair(8, layer);
    }

    fn place(&mut self, code: u16, at: (f64, f64)) {
        self.number(code, at.0);
        self.number(code + 10, at.1);
        self.reach(at);
    }

    fn reach(&mut self, at: (f64, f64)) {
        self.low = (self.low.0.min(at.0), self.low.1.min(at.1));
        self.high = (self.high.0.max(at.0), self.high.1.max(at.1));
    }

    fn number(&mut self, code: u16, x: f64) {
        self.pair(code, &format!("{:.4}", x + 0.0));
    }

    fn pair(&mut self, code: u16, value: &str) {
        put(&mut self.out, code, value);
    }

    /// Header and tables before the entities.
    fn finish(self) -> String {
        let mut out = String::new();
        let mut pair = |code: u16, value: &str| put(&mut out, code, value);
        pair(0, "SECTION");
        pair(2, "HEADER");
        let (low, high) = (self.low, self.high);
        for (name, values) in [
            ("$ACADVER", vec![(1, "AC1009".to_owned())]),
            ("$INSUNITS", vec![(70, "4".to_owned())]),
            ("$MEASUREMENT", vec![(70, "1".to_owned())]),
            ("$LTSCALE", vec![(40, "1.0".to_owned())]),
            (
                "$EXTMIN",
                vec![
                    (10, format!("{:.4}", low.0)),
                    (20, format!("{:.4}", low.1)),
                    (30, "0.0".to_owned()),
                ],
            ),
            (
                "$EXTMAX",
                vec![
                    (10, format!("{:.4}", high.0)),
                    (20, format!("{:.4}", high.1)),
                    (30, "0.0".to_owned()),
                ],
            ),
        ] {
            pair(9, name);
            for (code, value) in values {
                pair(code, &value);
            }
        }
        pair(0, "ENDSEC");
        pair(0, "SECTION");
        pair(2, "TABLES");
        pair(0, "TABLE");
        pair(2, "LTYPE");
        pair(70, &LINES.len().to_string());
        for (name, words, lengths) in LINES {
            pair(0, "LTYPE");
            pair(2, name);
            pair(70, "0");
            pair(3, words);
            pair(72, "65");
            pair(73, &lengths.len().to_string());
            let whole: f64 = lengths.iter().map(|l| l.abs()).sum();
            pair(40, &format!("{:.4}", whole * self.ratio));
            for l in lengths {
                pair(49, &format!("{:.4}", l * self.ratio));
            }
        }
        pair(0, "ENDTAB");
        pair(0, "TABLE");
        pair(2, "LAYER");
        pair(70, &(LAYERS.len() + 1).to_string());
        for l in [&layer("0", 7, "CONTINUOUS")].into_iter().chain(&LAYERS) {
            pair(0, "LAYER");
            pair(2, l.name);
            pair(70, "0");
            pair(62, &l.colour.to_string());
            pair(6, l.line);
        }
        pair(0, "ENDTAB");
        pair(0, "TABLE");
        pair(2, "STYLE");
        pair(70, "1");
        pair(0, "STYLE");
        pair(2, "STANDARD");
        pair(70, "0");
        for (code, value) in [
            (40, "0.0"),
            (41, "0.9"),
            (50, "0.0"),
            (71, "0"),
            (42, "2.5"),
            (3, "txt"),
            (4, ""),
        ] {
            pair(code, value);
        }
        pair(0, "ENDTAB");
        pair(0, "ENDSEC");
        pair(0, "SECTION");
        pair(2, "ENTITIES");
        out.push_str(&self.out);
        put(&mut out, 0, "ENDSEC");
        put(&mut out, 0, "EOF");
        out
    }
}

/// How a text is set: height \[mm in the world\], turn, alignment codes.
struct Setting {
    height: f64,
    turn_deg: f64,
    across: u8,
    up: u8,
}

fn put(out: &mut String, code: u16, value: &str) {
    // Writing to a String cannot fail.
    let _ = write!(out, "{code:>3}\r\n{value}\r\n");
}

/// To a tenth of a millimetre.
fn round(mm: f64) -> f64 {
    (10.0 * mm).round() / 10.0
}

/// Text without signs beyond ASCII: degree, plus-minus and diameter by their
/// codes, others spelt.
fn ascii(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '°' => out.push_str("%%d"),
            '±' => out.push_str("%%p"),
            'Ø' | '⌀' => out.push_str("%%c"),
            '\u{2212}' | '–' | '—' | '‑' => out.push('-'),
            '\u{202f}' | '\u{2009}' | '\u{a0}' | '\n' | '\r' | '\t' => out.push(' '),
            '×' => out.push('x'),
            '·' => out.push('.'),
            '²' => out.push('2'),
            '³' => out.push('3'),
            'µ' | 'μ' => out.push('u'),
            'Ω' => out.push_str("ohm"),
            '½' => out.push_str("1/2"),
            '≥' => out.push_str(">="),
            '≤' => out.push_str("<="),
            '→' => out.push_str("->"),
            c if c.is_ascii() && !c.is_ascii_control() => out.push(c),
            _ => out.push('?'),
        }
    }
    out
}

//! Writes a [`Drawing`] as SVG in which one unit is one millimetre of paper.
//!
//! Points are scaled, pens and letters never: a width of 0.35 in the file is
//! 0.35 mm in print. Looks are written as attributes, so that the file looks
//! the same alone, in a page and in a PDF; classes name the roles.

use std::fmt::Write;

use crate::drawing::style::{ARROW_MM, Colour, Fill, MARK_MM, Pen, Style};
use crate::drawing::{
    Anchor, Drawing, Halo, Item, Label, Mark, PaperPoint, Point, Role, Shape, Transform, View,
    font, hatch,
};

/// The drawing as the text of an SVG file. The same drawing gives the same
/// bytes. Shapes with coordinates that are not finite are left out.
pub fn svg(drawing: &Drawing) -> String {
    let (w, h) = (mm(drawing.size.width_mm), mm(drawing.size.height_mm));
    let mut out = String::new();
    // Writing to a String cannot fail.
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
         viewBox=\"0 0 {w} {h}\" role=\"img\" font-family=\"'{}', sans-serif\" \
         fill=\"none\" stroke-linecap=\"butt\" stroke-linejoin=\"round\">\n\
         <title>{}</title>\n<desc>{}</desc>\n",
        font::FAMILY,
        escape(&drawing.title),
        escape(&drawing.alt),
    );
    for view in &drawing.views {
        write_view(&mut out, view);
    }
    out.push_str("</svg>\n");
    out
}

fn write_view(out: &mut String, view: &View) {
    let _ = writeln!(
        out,
        "<g class=\"view\" data-view=\"{}\">",
        escape(&view.name)
    );
    for item in &view.items {
        write_item(out, item, &view.transform);
    }
    out.push_str("</g>\n");
}

fn write_item(out: &mut String, item: &Item, transform: &Transform) {
    let style = item.role.style();
    let pen = Pencil {
        class: attributes_of(item),
        style,
    };
    let to = |p: Point| transform.to_paper(p);
    match &item.shape {
        Shape::Line { from, to: end } => pen.open(out, &[to(*from), to(*end)]),
        Shape::Polyline(points) => {
            let points: Vec<_> = points.iter().map(|p| to(*p)).collect();
            for run in points.split(|p| !p.is_drawable()) {
                pen.open(out, run);
            }
        }
        Shape::Polygon(points) => {
            let points: Vec<_> = points.iter().map(|p| to(*p)).collect();
            pen.closed(out, &points);
        }
        Shape::Circle { centre, radius } => {
            let r = (radius * transform.x_mm_per_unit).abs();
            pen.circle(out, to(*centre), r, &pen.stroke(), style.fill);
        }
        Shape::Arc {
            centre,
            radius,
            start_rad,
            end_rad,
        } => {
            let r = (radius * transform.x_mm_per_unit).abs();
            pen.arc(out, to(*centre), r, *start_rad, *end_rad);
        }
        Shape::Arrowhead { tip, angle_rad } => pen.arrowhead(out, to(*tip), *angle_rad),
        Shape::Mark { at, mark } => pen.mark(out, to(*at), *mark),
        Shape::Text(label) => write_text(out, &pen, label, to(label.at), item.role),
    }
}

fn attributes_of(item: &Item) -> String {
    let mut class = format!("class=\"{}\"", item.role.name());
    if let Some(part) = &item.part {
        let _ = write!(class, " data-part=\"{}\"", escape(&part.0));
    }
    class
}

/// Writes shapes whose points are on paper already.
struct Pencil {
    class: String,
    style: Style,
}

impl Pencil {
    fn stroke(&self) -> String {
        let Some(Pen(width)) = self.style.pen else {
            return String::new();
        };
        let mut s = format!(
            " stroke=\"#{}\" stroke-width=\"{}\"",
            self.style.colour.0,
            mm(width)
        );
        if !self.style.dash_mm.is_empty() {
            let dashes: Vec<_> = self.style.dash_mm.iter().map(|d| mm(*d)).collect();
            let _ = write!(s, " stroke-dasharray=\"{}\"", dashes.join(" "));
        }
        s
    }

    /// The stroke without dashes, for small closed marks.
    fn edge(&self) -> String {
        self.style.pen.map_or(String::new(), |Pen(width)| {
            format!(
                " stroke=\"#{}\" stroke-width=\"{}\"",
                self.style.colour.0,
                mm(width.min(Pen::WIDE.0))
            )
        })
    }

    fn open(&self, out: &mut String, points: &[PaperPoint]) {
        if points.len() < 2 || points.iter().any(|p| !p.is_drawable()) {
            return;
        }
        let _ = writeln!(
            out,
            "<path {}{} d=\"{}\"/>",
            self.class,
            self.stroke(),
            path(points)
        );
    }

    fn closed(&self, out: &mut String, points: &[PaperPoint]) {
        if points.len() < 3 || points.iter().any(|p| !p.is_drawable()) {
            return;
        }
        let d = format!("{}Z", path(points));
        let fill = match self.style.fill {
            Some(Fill::Solid(c)) => format!(" fill=\"#{}\"", c.0),
            Some(Fill::Hatch { .. }) => format!(" fill=\"#{}\"", Colour::WHITE.0),
            None => String::new(),
        };
        if let Some(Fill::Hatch {
            angle_deg,
            spacing_mm,
        }) = self.style.fill
        {
            // White ground, hatch, then the edge over both.
            let _ = writeln!(out, "<path {}{fill} d=\"{d}\"/>", self.class);
            let lines = hatch::lines(points, angle_deg, spacing_mm);
            if !lines.is_empty() {
                let d: String = lines.iter().map(|(a, b)| path(&[*a, *b])).collect();
                let _ = writeln!(
                    out,
                    "<path {} stroke=\"#{}\" stroke-width=\"{}\" d=\"{d}\"/>",
                    self.class,
                    self.style.colour.0,
                    mm(Pen::THIN.0),
                );
            }
            if self.style.pen.is_some() {
                let _ = writeln!(out, "<path {}{} d=\"{d}\"/>", self.class, self.stroke());
            }
        } else {
            let _ = writeln!(
                out,
                "<path {}{}{fill} d=\"{d}\"/>",
                self.class,
                self.stroke()
            );
        }
    }

    fn circle(&self, out: &mut String, c: PaperPoint, r_mm: f64, stroke: &str, fill: Option<Fill>) {
        if !c.is_drawable() || !(0.0..10_000.0).contains(&r_mm) || r_mm == 0.0 {
            return;
        }
        let fill = match fill {
            Some(Fill::Solid(c)) => format!(" fill=\"#{}\"", c.0),
            _ => String::new(),
        };
        let _ = writeln!(
            out,
            "<circle {}{}{fill} cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
            self.class,
            stroke,
            mm(c.x_mm),
            mm(c.y_mm),
            mm(r_mm)
        );
    }

    fn arc(&self, out: &mut String, c: PaperPoint, r_mm: f64, start_rad: f64, end_rad: f64) {
        let ok = c.is_drawable() && r_mm > 0.0 && r_mm < 10_000.0 && end_rad > start_rad;
        if !ok {
            return;
        }
        let on = |a: f64| PaperPoint {
            x_mm: c.x_mm + r_mm * a.cos(),
            y_mm: c.y_mm - r_mm * a.sin(),
        };
        let (a, b) = (on(start_rad), on(end_rad));
        let large = u8::from(end_rad - start_rad > std::f64::consts::PI);
        let _ = writeln!(
            out,
            "<path {}{} d=\"M{} {}A{r} {r} 0 {large} 0 {} {}\"/>",
            self.class,
            self.stroke(),
            mm(a.x_mm),
            mm(a.y_mm),
            mm(b.x_mm),
            mm(b.y_mm),
            r = mm(r_mm),
        );
    }

    fn arrowhead(&self, out: &mut String, tip: PaperPoint, angle_rad: f64) {
        let (sin, cos) = angle_rad.sin_cos();
        let corner = |back: f64, side: f64| PaperPoint {
            x_mm: tip.x_mm - back * cos - side * sin,
            y_mm: tip.y_mm + back * sin - side * cos,
        };
        let points = [
            tip,
            corner(ARROW_MM, ARROW_MM / 6.0),
            corner(ARROW_MM, -ARROW_MM / 6.0),
        ];
        if points.iter().all(|p| p.is_drawable()) {
            let _ = writeln!(
                out,
                "<path {} fill=\"#{}\" d=\"{}Z\"/>",
                self.class,
                self.style.colour.0,
                path(&points)
            );
        }
    }

    fn mark(&self, out: &mut String, p: PaperPoint, mark: Mark) {
        if !p.is_drawable() {
            return;
        }
        let r = MARK_MM / 2.0;
        let solid = Some(Fill::Solid(self.style.colour));
        let shifted = |dx: f64, dy: f64| PaperPoint {
            x_mm: p.x_mm + dx,
            y_mm: p.y_mm + dy,
        };
        let shape: &[PaperPoint] = match mark {
            Mark::Dot => return self.circle(out, p, r - 0.1, &self.edge(), solid),
            Mark::Ring => {
                return self.circle(
                    out,
                    p,
                    r - 0.1,
                    &self.edge(),
                    Some(Fill::Solid(Colour::WHITE)),
                );
            }
            Mark::Square => &[
                shifted(-r, -r),
                shifted(r, -r),
                shifted(r, r),
                shifted(-r, r),
            ],
            Mark::Triangle => &[shifted(-r, r * 0.8), shifted(r, r * 0.8), shifted(0.0, -r)],
            Mark::Tick => &[shifted(0.0, -r), shifted(0.0, r)],
        };
        if mark == Mark::Tick {
            self.open(out, shape);
            return;
        }
        let _ = writeln!(
            out,
            "<path {} fill=\"#{}\" d=\"{}Z\"/>",
            self.class,
            self.style.colour.0,
            path(shape)
        );
    }
}

fn write_text(out: &mut String, pen: &Pencil, label: &Label, at: PaperPoint, role: Role) {
    if !at.is_drawable() || label.text.trim().is_empty() {
        return;
    }
    let (x, y) = (at.x_mm + label.shift_mm.0, at.y_mm + label.shift_mm.1);
    let (sin, cos) = label.turn_deg.to_radians().sin_cos();
    let base = label.base_mm();
    // The base line's start, moved across the text before turning.
    let (x, y) = (x + base * sin, y + base * cos);
    let anchor = match label.anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    };
    let weight = if role == Role::TextStrong {
        " font-weight=\"600\""
    } else {
        ""
    };
    let turn = if label.turn_deg == 0.0 {
        String::new()
    } else {
        format!(
            " transform=\"rotate({} {} {})\"",
            mm(-label.turn_deg),
            mm(x),
            mm(y)
        )
    };
    if label.halo == Halo::White {
        // A plain white field under the letters: strokes of letters are not
        // drawn the same by all programs.
        let field = label.field(at, role);
        let _ = writeln!(
            out,
            "<path class=\"halo\" fill=\"#{}\" d=\"{}Z\"/>",
            Colour::WHITE.0,
            path(&field)
        );
    }
    let _ = writeln!(
        out,
        "<text {} fill=\"#{}\" font-size=\"{}\"{weight}{anchor} x=\"{}\" y=\"{}\"{turn}>{}</text>",
        pen.class,
        pen.style.colour.0,
        mm(font::size_mm(label.letters)),
        mm(x),
        mm(y),
        escape(&label.text),
    );
}

fn path(points: &[PaperPoint]) -> String {
    let mut d = String::new();
    for (i, p) in points.iter().enumerate() {
        let _ = write!(
            d,
            "{}{} {}",
            if i == 0 { 'M' } else { 'L' },
            mm(p.x_mm),
            mm(p.y_mm)
        );
    }
    d
}

/// A length rounded to 0.01 mm, without trailing zeros and never "-0".
fn mm(x: f64) -> String {
    let mut s = format!("{x:.2}");
    let kept = s.trim_end_matches('0').trim_end_matches('.').len();
    s.truncate(kept);
    if s == "-0" { "0".to_owned() } else { s }
}

/// Text as XML allows it: its five signs escaped, control characters left out.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            '\n' | '\t' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => {}
            c => out.push(c),
        }
    }
    out
}

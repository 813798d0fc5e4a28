//! Terminal diagram: a strip of terminals for each device, every conductor
//! from one terminal to the other.

use job::Control;
use job::control::{Device, DeviceKind, Wire};

use crate::drawing::{Anchor, Drawing, Label, Letters, Mark, Role, Size, Stand, View, at};
use crate::sheets::kit;

const ROW_MM: f64 = 5.0;
const TITLE_MM: f64 = 6.0;
const GAP_MM: f64 = 4.0;
const NUMBER_MM: f64 = 8.0;
const MARK_MM: f64 = 13.0;
const WORDS_MM: f64 = 28.0;
const STRIP_MM: f64 = NUMBER_MM + MARK_MM + WORDS_MM;
/// Widest distance between two conductors that run side by side.
const LANE_MM: f64 = 4.5;
/// From a strip to the nearest of them; room for the name of a terminal on
/// another page where there is one.
const CLEAR_MM: f64 = 6.0;
const NAMED_MM: f64 = 28.0;
/// Two conductors at one terminal, off its middle.
const OFF_MM: f64 = 1.1;
/// Height for strips on a page; the rest is for the legend.
const STACK_MM: f64 = 158.0;
const LEGEND_MM: f64 = 18.0;

/// Which devices stand at the right of each page of a controller's diagram;
/// without a controller, devices that none serves.
pub fn pages<'a>(control: &'a Control, controller: Option<&str>) -> Vec<Vec<&'a Device>> {
    let units: Vec<&str> = match controller {
        Some(tag) => control
            .assignment
            .served
            .iter()
            .filter(|s| s.controller == tag)
            .flat_map(|s| ordered(control, tag, &s.units))
            .collect(),
        None => control
            .devices
            .iter()
            .filter(|d| d.kind == DeviceKind::Unit)
            .map(|d| d.tag.as_str())
            .filter(|t| {
                control
                    .assignment
                    .served
                    .iter()
                    .all(|s| !s.units.iter().any(|u| u == t))
            })
            .collect(),
    };
    let mut pages: Vec<Vec<&Device>> = Vec::new();
    let mut used_mm = f64::INFINITY;
    for tag in units {
        let float = format!("FS-{tag}");
        let group: Vec<&Device> = [tag, &float]
            .iter()
            .filter_map(|t| control.device(t))
            .filter(|d| !d.terminals.is_empty())
            .collect();
        let high_mm: f64 = group.iter().map(|d| height_mm(d)).sum();
        if STACK_MM < used_mm + high_mm {
            pages.push(Vec::new());
            used_mm = 0.0;
        }
        used_mm += high_mm;
        if let Some(page) = pages.last_mut() {
            page.extend(group);
        }
    }
    pages.retain(|p| !p.is_empty());
    pages
}

/// Units in the order in which the cable passes them.
fn ordered<'a>(control: &'a Control, controller: &str, units: &'a [String]) -> Vec<&'a str> {
    let mut order: Vec<&str> = Vec::new();
    let lines = control
        .lines
        .iter()
        .filter(|l| l.order.first().is_some_and(|f| f == controller));
    for tag in lines.flat_map(|l| l.order.iter().skip(1)).chain(units) {
        if units.contains(tag) && !order.contains(&tag.as_str()) {
            order.push(tag);
        }
    }
    order
}

fn height_mm(device: &Device) -> f64 {
    TITLE_MM + ROW_MM * device.terminals.len() as f64 + GAP_MM
}

/// Which side of the page a strip stands on.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Hand {
    Left,
    Right,
}

/// A terminal on the page.
struct Row<'a> {
    device: &'a str,
    mark: &'a str,
    hand: Hand,
    y_mm: f64,
}

/// The diagram of a controller at the left and some of its devices at the
/// right. Conductors to devices that are not on this page end in their name.
pub fn terminal_diagram(
    control: &Control,
    controller: Option<&str>,
    devices: &[&Device],
) -> Drawing {
    let left = controller.and_then(|t| control.device(t));
    let stack_mm = devices.iter().map(|d| height_mm(d)).sum::<f64>();
    let left_mm = left.map_or(0.0, height_mm) + 0.5 * ROW_MM;
    let foot_mm = stack_mm.max(left_mm);
    let size = Size {
        width_mm: kit::PAGE.width_mm,
        height_mm: foot_mm + LEGEND_MM,
    };
    let name = controller.unwrap_or("devices without a controller");
    let tags: Vec<&str> = devices.iter().map(|d| d.tag.as_str()).collect();
    let mut drawing = Drawing::new(size, format!("Terminal diagram of {name}"));
    drawing.alt = alt(control, name, &tags);

    let right_x = size.width_mm - STRIP_MM;
    let mut strips = View::paper("strips");
    let mut rows: Vec<Row<'_>> = Vec::new();
    if let Some(d) = left {
        // Half a row lower, so that no two conductors meet in one line.
        strip(
            &mut strips,
            control,
            d,
            Hand::Left,
            (0.0, 0.5 * ROW_MM),
            &mut rows,
        );
    }
    let mut y_mm = 0.0;
    for d in devices {
        strip(
            &mut strips,
            control,
            d,
            Hand::Right,
            (right_x, y_mm),
            &mut rows,
        );
        y_mm += height_mm(d);
    }
    let mut wires = View::paper("conductors");
    let screened = conductors(&mut wires, control, &rows, (STRIP_MM, right_x));
    drawing.views.push(wires);
    drawing.views.push(strips);
    drawing.views.push(legend(foot_mm, screened));
    drawing
}

fn alt(control: &Control, name: &str, tags: &[&str]) -> String {
    let wires: Vec<String> = control
        .wires
        .iter()
        .filter(|w| {
            [&w.from, &w.to]
                .iter()
                .all(|e| e.device == name || tags.contains(&e.device.as_str()))
        })
        .map(|w| format!("wire {} {} to {}", w.net, w.from.words(), w.to.words()))
        .collect();
    format!(
        "Strips of terminals of {name} and {}: {}.",
        tags.join(", "),
        wires.join("; ")
    )
}

/// One device: title, then a row for each terminal in the order of its record.
fn strip<'a>(
    view: &mut View,
    control: &Control,
    device: &'a Device,
    hand: Hand,
    (x, y): (f64, f64),
    rows: &mut Vec<Row<'a>>,
) {
    let title = if device.model.is_empty() {
        format!("{}  float switch", device.tag)
    } else {
        format!("{}  {}", device.tag, device.model)
    };
    view.text(
        Role::TextStrong,
        Label::new(title, at(x, y + TITLE_MM - 1.8)).letters(Letters::Note),
    );
    // From the outside: what it is for, its mark, the number of its wire.
    let cells = match hand {
        Hand::Left => [WORDS_MM, MARK_MM, NUMBER_MM],
        Hand::Right => [NUMBER_MM, MARK_MM, WORDS_MM],
    };
    let top = y + TITLE_MM;
    let foot = top + ROW_MM * device.terminals.len() as f64;
    view.rect(Role::Outline, at(x, top), at(x + STRIP_MM, foot));
    let mut edge = x;
    for width in cells.iter().take(2) {
        edge += width;
        view.line(Role::Dimension, at(edge, top), at(edge, foot));
    }
    for (i, t) in device.terminals.iter().enumerate() {
        let line = top + ROW_MM * i as f64;
        let middle = line + 0.5 * ROW_MM;
        if 0 < i {
            view.line(Role::Dimension, at(x, line), at(x + STRIP_MM, line));
        }
        let number = control
            .net_of(&device.tag, &t.mark)
            .map_or(String::new(), |n| n.number.to_string());
        let words = t.role.map_or("see its sheet", |r| r.word()).to_owned();
        let texts = match hand {
            Hand::Left => [words, t.mark.clone(), number],
            Hand::Right => [number, t.mark.clone(), words],
        };
        let mut cell = x;
        for (k, (text, width)) in texts.into_iter().zip(cells).enumerate() {
            let wordy = (hand == Hand::Left) == (k == 0) && k != 1;
            let (anchor, from) = if wordy {
                (Anchor::Start, cell + 1.2)
            } else {
                (Anchor::Middle, cell + 0.5 * width)
            };
            view.text(
                if k == 1 { Role::TextStrong } else { Role::Text },
                Label::new(text, at(from, middle))
                    .letters(Letters::Note)
                    .anchor(anchor, Stand::Middle),
            );
            cell += width;
        }
        rows.push(Row {
            device: &device.tag,
            mark: &t.mark,
            hand,
            y_mm: middle,
        });
    }
}

/// An end of a conductor on the page.
#[derive(Clone, Copy)]
struct Foot {
    hand: Hand,
    y_mm: f64,
}

/// Conductors; says whether a screen is among them.
fn conductors(
    view: &mut View,
    control: &Control,
    rows: &[Row<'_>],
    (left_x, right_x): (f64, f64),
) -> bool {
    let row = |e: &job::control::End| {
        rows.iter()
            .find(|r| r.device == e.device && r.mark == e.terminal)
    };
    // Several conductors at one terminal lie side by side.
    let foot = |w: &Wire, e: &job::control::End| -> Option<Foot> {
        let r = row(e)?;
        let here: Vec<&Wire> = control
            .wires
            .iter()
            .filter(|o| o.from == *e || o.to == *e)
            .collect();
        let k = here.iter().position(|o| *o == w).unwrap_or(0);
        let off = 2.0 * OFF_MM * (k as f64 - 0.5 * (here.len() as f64 - 1.0))
            / (here.len() as f64 - 1.0).max(1.0);
        Some(Foot {
            hand: r.hand,
            y_mm: r.y_mm + off,
        })
    };
    let mut whole: Vec<(&Wire, Foot, Foot)> = Vec::new();
    let mut screened = false;
    let (mut from_left, mut from_right) = (CLEAR_MM, CLEAR_MM);
    for w in &control.wires {
        let ends = (foot(w, &w.from), foot(w, &w.to));
        screened |= w.signal == "screen" && (ends.0.is_some() || ends.1.is_some());
        let (f, to) = match ends {
            (Some(a), Some(b)) => {
                whole.push((w, a, b));
                continue;
            }
            (Some(f), None) => (f, w.to.words()),
            (None, Some(f)) => (f, w.from.words()),
            (None, None) => continue,
        };
        match f.hand {
            Hand::Left => from_left = NAMED_MM,
            Hand::Right => from_right = NAMED_MM,
        }
        elsewhere(view, w, f, &to, (left_x, right_x));
    }
    whole.sort_by(|x, y| span(x).0.total_cmp(&span(y).0));
    // A lane may carry several conductors one below the other.
    let mut ends: Vec<f64> = Vec::new();
    let mut lanes: Vec<usize> = Vec::new();
    for w in &whole {
        let (low, high) = span(w);
        let lane = match ends.iter().position(|e| e + 2.0 < low) {
            Some(i) => i,
            None => {
                ends.push(f64::NEG_INFINITY);
                ends.len() - 1
            }
        };
        if let Some(e) = ends.get_mut(lane) {
            *e = high;
        }
        lanes.push(lane);
    }
    let wide = right_x - left_x - from_left - from_right;
    let step = (wide / (ends.len() as f64).max(1.0)).min(LANE_MM);
    let edge = |hand| if hand == Hand::Left { left_x } else { right_x };
    for ((w, a, b), lane) in whole.iter().zip(&lanes) {
        let x = right_x - from_right - step * *lane as f64;
        let points = [
            at(edge(a.hand), a.y_mm),
            at(x, a.y_mm),
            at(x, b.y_mm),
            at(edge(b.hand), b.y_mm),
        ];
        view.push(role(w), crate::drawing::Shape::Polyline(points.to_vec()));
    }
    screened
}

fn span((_, a, b): &(&Wire, Foot, Foot)) -> (f64, f64) {
    (a.y_mm.min(b.y_mm), a.y_mm.max(b.y_mm))
}

fn role(wire: &Wire) -> Role {
    if wire.signal == "screen" {
        Role::Hidden
    } else {
        Role::Outline
    }
}

/// A conductor to a device that stands on another page.
fn elsewhere(view: &mut View, wire: &Wire, f: Foot, to: &str, (left_x, right_x): (f64, f64)) {
    let (from, end, anchor, gap) = match f.hand {
        Hand::Left => (left_x, left_x + 4.0, Anchor::Start, 1.8),
        Hand::Right => (right_x, right_x - 4.0, Anchor::End, -1.8),
    };
    view.line(role(wire), at(from, f.y_mm), at(end, f.y_mm));
    view.mark(Role::Outline, Mark::Ring, at(end, f.y_mm));
    view.text(
        Role::TextQuiet,
        Label::new(format!("to {to}"), at(end, f.y_mm))
            .letters(Letters::Note)
            .anchor(anchor, Stand::Middle)
            .shift(gap, 0.0),
    );
}

fn legend(y_mm: f64, screened: bool) -> View {
    let mut view = View::paper("legend");
    let mut lines = vec![(Role::Outline, "conductor, by the installer")];
    if screened {
        lines.push((Role::Hidden, "screen"));
    }
    kit::legend(&mut view, kit::paper(0.0, y_mm + 4.0), &lines);
    for (i, words) in [
        "Conductors that cross are not joined. Not to scale.",
        "Terminals stand in the order of their records.",
        "Contacts are named as they are without power.",
    ]
    .into_iter()
    .enumerate()
    {
        view.text(
            Role::TextQuiet,
            Label::new(words, at(72.0, y_mm + 4.0 + 4.6 * i as f64))
                .letters(Letters::Note)
                .anchor(Anchor::Start, Stand::Middle),
        );
    }
    view
}

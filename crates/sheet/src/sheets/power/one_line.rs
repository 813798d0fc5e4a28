//! One-line diagram of a panel: supply on top, units at the bottom, one line
//! for all phases, ratings beside each device.
//!
//! Symbols are drawn with geometry of our own, in the family of the wiring
//! rules; the legend names each.

use job::power::schedule::{PanelSchedule, RowKind, legs_in_letters};
use job::power::{Branch, GroundFault};
use quantity::{Dim, UnitSystem, Value, counted};
use room::{Connection, Room, WiringRules};

use super::tables::plate;
use crate::drawing::{
    Anchor, Drawing, Label, Letters, Point, Role, Shape, Size, Stand, View, at, font,
};

/// Most branches on one drawing.
pub(super) const MOST_BRANCHES: usize = 3;

const SIZE: Size = Size {
    width_mm: 176.0,
    height_mm: 172.0,
};
const BUS_Y: f64 = 36.0;
/// Where the first branch stands, and how far the next \[mm\].
const FIRST_X: f64 = 32.0;
const STEP_X: f64 = 48.0;
const MOTOR_R: f64 = 6.0;
/// Height of a switching symbol \[mm\].
const SYMBOL: f64 = 8.0;
/// Between lines of text \[mm\].
const LINE: f64 = 4.6;
const MOTOR_Y: f64 = 112.0;

/// The diagram of a panel with some of its units.
pub fn one_line(
    room: &Room,
    panel: &PanelSchedule,
    branches: &[&Branch],
    units: UnitSystem,
) -> Drawing {
    let rules = room.wiring.rules.value;
    let mut view = View::paper("one-line");
    supply(&mut view, panel, rules, units);
    let others: f64 = panel
        .rows
        .iter()
        .filter(|r| r.kind != RowKind::Unit)
        .map(|r| r.current_a)
        .sum();
    if 0.0 < others {
        other_loads(&mut view, others, units);
    }
    let last = branches.len().saturating_sub(1) as f64;
    let from = if 0.0 < others { 10.0 } else { FIRST_X - 14.0 };
    let to = FIRST_X + STEP_X * last + 14.0;
    view.line(Role::Total, at(from, BUS_Y), at(to, BUS_Y));
    for (i, b) in branches.iter().enumerate() {
        branch(&mut view, FIRST_X + STEP_X * i as f64, b, rules, units);
    }
    legend(&mut view, branches, rules, panel.main_a.is_some());
    let mut drawing = Drawing::new(SIZE, format!("One-line diagram, panel {}", panel.name));
    let said: Vec<String> = branches
        .iter()
        .map(|b| {
            format!(
                "{}: device {}, {} × {} copper",
                b.tag,
                Value::new(b.device_a, Dim::Current).show(units),
                b.conductors,
                b.size.name
            )
        })
        .collect();
    drawing.alt = format!(
        "Panel {} feeds {}. {}.",
        panel.name,
        counted(branches.len(), "unit"),
        said.join("; ")
    );
    drawing.views.push(view);
    drawing
}

fn amps(a: f64, units: UnitSystem) -> String {
    Value::new(a, Dim::Current).show(units)
}

/// A note that starts at a point; what is too long for `room_mm` is shortened.
fn note(view: &mut View, p: Point, room_mm: f64, words: &str) {
    let words = font::shortened(words, room_mm, Letters::Note, Role::Text);
    view.text(
        Role::Text,
        Label::new(words, p)
            .letters(Letters::Note)
            .anchor(Anchor::Start, Stand::Middle),
    );
}

fn supply(view: &mut View, panel: &PanelSchedule, rules: WiringRules, units: UnitSystem) {
    let x = FIRST_X;
    view.text(
        Role::TextStrong,
        Label::new(
            font::shortened(
                &format!("Panel {}", panel.name),
                100.0,
                Letters::ViewTitle,
                Role::TextStrong,
            ),
            at(x + 5.0, 6.0),
        )
        .letters(Letters::ViewTitle)
        .anchor(Anchor::Start, Stand::Middle),
    );
    let volts = Value::new(panel.supply.volts, Dim::Voltage).show(units);
    let to_ground = Value::new(panel.supply.to_ground_v, Dim::Voltage).show(units);
    note(
        view,
        at(x + 5.0, 12.5),
        130.0,
        &format!(
            "supply {volts}, {} phase{}, {:.0} Hz, {to_ground} to ground",
            panel.supply.phases,
            if panel.supply.phases == 1 { "" } else { "s" },
            panel.supply.hertz
        ),
    );
    view.push(
        Role::Outline,
        Shape::Arrowhead {
            tip: at(x, 12.0),
            angle_rad: -std::f64::consts::FRAC_PI_2,
        },
    );
    view.line(Role::Outline, at(x, 4.0), at(x, 18.0));
    match panel.main_a {
        Some(main_a) => {
            breaker(view, at(x, 18.0), rules);
            note(
                view,
                at(x + 7.0, 22.0),
                120.0,
                &format!("main {}", amps(main_a, units)),
            );
        }
        None => {
            view.line(Role::Outline, at(x, 18.0), at(x, 18.0 + SYMBOL));
            note(view, at(x + 5.0, 22.0), 120.0, "main device not surveyed");
        }
    }
    view.line(Role::Outline, at(x, 18.0 + SYMBOL), at(x, BUS_Y));
}

fn other_loads(view: &mut View, current_a: f64, units: UnitSystem) {
    let x = 13.0;
    view.line(Role::Outline, at(x, BUS_Y), at(x, 62.0));
    view.push(
        Role::Outline,
        Shape::Arrowhead {
            tip: at(x, 64.0),
            angle_rad: -std::f64::consts::FRAC_PI_2,
        },
    );
    for (i, words) in ["other", "loads", &amps(current_a, units)]
        .into_iter()
        .enumerate()
    {
        view.text(
            Role::Text,
            Label::new(words, at(x, 69.0 + LINE * i as f64))
                .letters(Letters::Note)
                .anchor(Anchor::Middle, Stand::Middle),
        );
    }
}

fn branch(view: &mut View, x: f64, b: &Branch, rules: WiringRules, units: UnitSystem) {
    let right = x + 5.0;
    let room_mm = STEP_X - 7.0;
    let line = |view: &mut View, from: f64, to: f64| {
        view.line(Role::Outline, at(x, from), at(x, to));
    };
    line(view, BUS_Y, 42.0);
    breaker(view, at(x, 42.0), rules);
    note(
        view,
        at(x + 7.0, 44.0),
        room_mm - 2.0,
        &Value::new(b.device_a, Dim::Current).digits(2).show(units),
    );
    note(
        view,
        at(x + 7.0, 44.0 + LINE),
        room_mm - 2.0,
        &format!(
            "{}-pole, leg{} {}",
            b.hookup.poles,
            if b.legs.len() == 1 { "" } else { "s" },
            legs_in_letters(&b.legs)
        ),
    );
    line(view, 42.0 + SYMBOL, 90.0);
    // The slash says how many conductors one line stands for.
    view.line(Role::Dimension, at(x - 1.8, 58.6), at(x + 1.8, 55.4));
    let mut lines = vec![
        format!("{} × {} Cu", b.conductors, b.size.name),
        format!("ground {}", b.ground.unwrap_or("ask")),
    ];
    if let Some(run) = &b.run {
        lines.push(Value::new(run.conductor_m, Dim::Length).show_both(units));
        lines.push(format!(
            "drop {}, {}",
            Value::new(run.drop_v, Dim::Voltage).digits(2).show(units),
            Value::new(run.drop, Dim::Fraction).digits(2).show(units)
        ));
    }
    match b.ground_fault {
        GroundFault::None => {}
        GroundFault::ClassA => lines.push("GFCI, Class A".into()),
        GroundFault::Residual30 => lines.push("RCD 30 mA".into()),
    }
    for (i, words) in lines.iter().enumerate() {
        note(view, at(right, 57.0 + LINE * i as f64), room_mm, words);
    }
    match b.connection {
        Connection::HardWired => {
            disconnect(view, at(x, 90.0), rules);
            note(view, at(x + 7.0, 92.0), room_mm - 2.0, "disconnect");
            note(
                view,
                at(x + 7.0, 92.0 + LINE),
                room_mm - 2.0,
                &format!(
                    "{} away",
                    Value::new(b.disconnect.distance_m, Dim::Length).show(units)
                ),
            );
        }
        Connection::Cord => {
            receptacle(view, at(x, 90.0));
            let cord = b.cord_m.map_or_else(String::new, |m| {
                format!("cord {}", Value::new(m, Dim::Length).show(units))
            });
            note(view, at(x + 7.0, 92.0), room_mm - 2.0, "receptacle");
            note(view, at(x + 7.0, 92.0 + LINE), room_mm - 2.0, &cord);
        }
    }
    line(view, 90.0 + SYMBOL, MOTOR_Y - MOTOR_R);
    motor(view, at(x, MOTOR_Y), b.plate.phases);
    view.text(
        Role::TextStrong,
        Label::new(
            font::shortened(&b.tag, STEP_X - 4.0, Letters::ViewTitle, Role::TextStrong),
            at(x, MOTOR_Y + MOTOR_R + 5.0),
        )
        .letters(Letters::ViewTitle)
        .anchor(Anchor::Middle, Stand::Middle),
    );
    let below = [
        plate(b),
        format!("MCA {}", amps(b.plate.min_circuit_a, units)),
        format!("MOCP {}", amps(b.plate.max_protection_a, units)),
    ];
    for (i, words) in below.iter().enumerate() {
        let words = font::shortened(words, STEP_X - 2.0, Letters::Note, Role::Text);
        view.text(
            Role::Text,
            Label::new(words, at(x, MOTOR_Y + MOTOR_R + 11.0 + LINE * i as f64))
                .letters(Letters::Note)
                .anchor(Anchor::Middle, Stand::Middle),
        );
    }
}

/// A breaker from `top` down: US, a gap bridged by an arc; IEC, a blade with a
/// cross at the fixed contact.
fn breaker(view: &mut View, top: Point, rules: WiringRules) {
    match rules {
        WiringRules::Nec2023 => {
            let (a, b) = (top.y + 1.5, top.y + SYMBOL - 1.5);
            view.line(Role::Outline, top, at(top.x, a));
            view.line(Role::Outline, at(top.x, b), at(top.x, top.y + SYMBOL));
            let points = (0..=12).map(|i| {
                let t = f64::from(i) / 12.0;
                at(
                    top.x + 2.4 * (std::f64::consts::PI * t).sin(),
                    a + (b - a) * t,
                )
            });
            view.push(Role::Outline, Shape::Polyline(points.collect()));
        }
        WiringRules::Iec60364 => {
            blade(view, top);
            for s in [-1.0, 1.0] {
                view.line(
                    Role::Outline,
                    at(top.x - 1.2, top.y + 2.0 - 1.2 * s),
                    at(top.x + 1.2, top.y + 2.0 + 1.2 * s),
                );
            }
        }
    }
}

/// A disconnect from `top` down: an open blade; IEC with a bar at the fixed
/// contact.
fn disconnect(view: &mut View, top: Point, rules: WiringRules) {
    blade(view, top);
    if rules == WiringRules::Iec60364 {
        view.line(
            Role::Outline,
            at(top.x - 1.4, top.y + 2.0),
            at(top.x + 1.4, top.y + 2.0),
        );
    }
}

/// An open blade: fixed contact on top, hinge below.
fn blade(view: &mut View, top: Point) {
    view.line(Role::Outline, top, at(top.x, top.y + 2.0));
    view.line(
        Role::Outline,
        at(top.x, top.y + SYMBOL - 1.2),
        at(top.x - 3.0, top.y + 1.8),
    );
    view.line(
        Role::Outline,
        at(top.x, top.y + SYMBOL - 1.2),
        at(top.x, top.y + SYMBOL),
    );
}

/// A receptacle with its plug: a bowl over a stub.
fn receptacle(view: &mut View, top: Point) {
    let middle = top.y + 0.5 * SYMBOL;
    view.line(Role::Outline, top, at(top.x, middle - 2.5));
    let bowl = (0..=12).map(|i| {
        let a = std::f64::consts::PI * f64::from(i) / 12.0;
        at(top.x + 2.8 * a.cos(), middle - 2.5 * a.sin() + 0.8)
    });
    view.push(Role::Outline, Shape::Polyline(bowl.collect()));
    view.line(
        Role::Equipment,
        at(top.x, middle),
        at(top.x, top.y + SYMBOL),
    );
}

fn motor(view: &mut View, centre: Point, phases: u32) {
    view.push(
        Role::Equipment,
        Shape::Circle {
            centre,
            radius: MOTOR_R,
        },
    );
    for (words, dy) in [("M", -1.4), (if phases == 3 { "3~" } else { "1~" }, 2.6)] {
        view.text(
            Role::TextStrong,
            Label::new(words, at(centre.x, centre.y + dy))
                .letters(Letters::Note)
                .anchor(Anchor::Middle, Stand::Middle),
        );
    }
}

/// The symbols that are drawn, and no others.
fn legend(view: &mut View, branches: &[&Branch], rules: WiringRules, has_main: bool) {
    let top = 148.0;
    let mut samples: Vec<(&str, u8)> = Vec::new();
    if has_main || !branches.is_empty() {
        samples.push(("circuit breaker", 0));
    }
    let has = |c: Connection| branches.iter().any(|b| b.connection == c);
    if has(Connection::HardWired) {
        samples.push(("disconnect, lockable open", 1));
    }
    if has(Connection::Cord) {
        samples.push(("receptacle and plug", 2));
    }
    if !branches.is_empty() {
        samples.push(("dehumidifier", 3));
        samples.push(("a slash: conductors as written beside", 4));
    }
    samples.push(("bus of the panel", 5));
    for (i, (words, kind)) in samples.iter().enumerate() {
        let x = 12.0 + 58.0 * (i % 3) as f64;
        let y = top + 11.0 * (i / 3) as f64;
        let symbol = at(x, y - 0.5 * SYMBOL);
        match kind {
            0 => breaker(view, symbol, rules),
            1 => disconnect(view, symbol, rules),
            2 => receptacle(view, symbol),
            3 => view.push(
                Role::Equipment,
                Shape::Circle {
                    centre: at(x, y),
                    radius: 3.5,
                },
            ),
            4 => {
                view.line(Role::Outline, at(x, y - 4.0), at(x, y + 4.0));
                view.line(Role::Dimension, at(x - 1.8, y + 1.6), at(x + 1.8, y - 1.6));
            }
            _ => view.line(Role::Total, at(x - 4.0, y), at(x + 4.0, y)),
        }
        let two = font::in_two_lines(words, 44.0, Letters::Note, Role::Text);
        let high = 0.5 * LINE * (two.len() - 1) as f64;
        for (j, words) in two.iter().enumerate() {
            note(view, at(x + 6.0, y - high + LINE * j as f64), 48.0, words);
        }
    }
    note(
        view,
        at(8.0, SIZE.height_mm - 3.0),
        164.0,
        match rules {
            WiringRules::Nec2023 => {
                "Symbols in the US manner. MCA: minimum circuit ampacity. MOCP: largest overcurrent device."
            }
            WiringRules::Iec60364 => {
                "Symbols in the IEC manner. MCA: minimum circuit ampacity. MOCP: largest overcurrent device."
            }
        },
    );
}

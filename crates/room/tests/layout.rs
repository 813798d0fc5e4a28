//! What stands and hangs in the room, and what crews connect to.

use room::{Blow, DrainKind, DuctSection, Mount, Rod, Room, WiringRules};

const ROOM: &str = r#"
[room]
name = "A"
length = "40 ft"
width = "24 ft"
height = "14 ft 6 in"
[target.lights_on]
dry_bulb = "24 °C"
"#;

const LAYOUT: &str = r#"
[[bench]]
at = ["20 ft", "6 ft", "30 in"]
length = "32 ft"
width = "5 ft"
canopy = "3 ft"
[[aisle]]
at = ["20 ft", "12 ft", "0 ft"]
length = "40 ft"
width = "4 ft"
[[luminaire]]
at = [["10 ft", "6 ft", "9 ft"], ["20 ft", "6 ft", "9 ft"]]
length = "4 ft"
width = "4 ft"
[[cooling]]
name = "AC"
capacity = "5 ton"
[[supply]]
of = "AC"
at = ["0.1 m", "3 m", "4 m"]
blows = "+x"
width = "1 m"
height = "0.3 m"
[[obstacle]]
kind = "sprinkler"
at = ["5 m", "3 m", "4.3 m"]
length = "0.1 m"
width = "0.1 m"
height = "0.1 m"
[[unit]]
tag = "D1"
model = "m"
mount = "trapeze"
panel = "LP-1"
[[duct]]
unit = "D1"
side = "outlet"
length = "3 m"
diameter = "0.3 m"
[[drain]]
at = ["12 m", "3 m", "0.05 m"]
[[panel]]
name = "LP-1"
at = ["0 m", "6 m", "1.5 m"]
main = "100 A"
[[circuit]]
name = "fans"
panel = "LP-1"
current = "6 A"
[hanging]
rod = "1/2 in"
[wiring]
rules = "iec 60364"
"#;

fn read(text: &str) -> Result<Room, String> {
    Room::read(None, ("a.room.toml", text)).map_err(|p| p.to_string())
}

#[test]
fn all_sections_arrive_in_si() {
    let room = read(&format!("{ROOM}{LAYOUT}")).expect("readable");
    let bench = &room.benches[0];
    assert!((bench.at_m.value[2] - 0.762).abs() < 1e-12);
    assert!((bench.canopy_m.as_ref().expect("given").value - 0.9144).abs() < 1e-12);
    assert!((room.aisles[0].headroom_m.value - 2.032).abs() < 1e-12);
    assert!(room.aisles[0].headroom_m.is_assumed());
    assert_eq!(room.luminaires[0].at_m.len(), 2);
    assert_eq!(room.supplies[0].blows.value, Blow::PlusX);
    assert_eq!(
        room.units[0].mount.as_ref().map(|m| m.value),
        Some(Mount::Trapeze)
    );
    assert_eq!(
        room.ducts[0].section,
        DuctSection::Round { diameter_m: 0.3 }
    );
    assert_eq!(room.drains[0].kind.value, DrainKind::FloorDrain);
    assert_eq!(room.circuits[0].phases.value, "all");
    assert_eq!(room.hanging.rod.value, Rod::HalfInch);
    assert_eq!(room.wiring.rules.value, WiringRules::Iec60364);
    assert!((room.wiring.terminals_c.value - 60.0).abs() < 1e-12);
    // An eighth of an inch in a foot is 1/96.
    assert!((room.piping.fall.value - 1.0 / 96.0).abs() < 1e-12);
    // The defaults of practice are visible.
    assert!(
        room.assumptions
            .iter()
            .any(|a| a.key == "hanging.load_factor")
    );
}

#[test]
fn references_must_lead_somewhere() {
    for (from, to, told) in [
        ("unit = \"D1\"", "unit = \"D9\"", "duct.unit"),
        (
            "panel = \"LP-1\"\ncurrent",
            "panel = \"LP-9\"\ncurrent",
            "circuit.panel",
        ),
        (
            "mount = \"trapeze\"\npanel = \"LP-1\"",
            "panel = \"LP-9\"",
            "unit.panel",
        ),
        ("of = \"AC\"", "of = \"chiller\"", "supply.of"),
    ] {
        let text = format!("{ROOM}{}", LAYOUT.replace(from, to));
        let message = read(&text).expect_err("refused");
        assert!(
            message.contains(told) && message.contains("is called") && message.contains("known"),
            "{message}"
        );
    }
}

#[test]
fn a_duct_says_how_large_it_is_and_once() {
    for (to, told) in [
        ("", "how large the duct is"),
        ("width = \"0.3 m\"", "how large the duct is"),
        ("diameter = \"0.3 m\"\nwidth = \"0.3 m\"", "keep diameter"),
    ] {
        let text = format!("{ROOM}{}", LAYOUT.replace("diameter = \"0.3 m\"", to));
        let message = read(&text).expect_err("refused");
        assert!(message.contains(told), "{message}");
    }
}

#[test]
fn things_lie_in_the_room_but_units_outside_with_ducts_need_not() {
    let outside = |mount: &str| {
        let at = format!("mount = \"{mount}\"\nat = [\"13 m\", \"3 m\", \"4 m\"]");
        read(&format!(
            "{ROOM}{}",
            LAYOUT.replace("mount = \"trapeze\"", &at)
        ))
    };
    assert!(outside("outside").is_ok());
    assert!(
        outside("hung")
            .expect_err("refused")
            .contains("outside the room")
    );
    let text = format!(
        "{ROOM}{}",
        LAYOUT.replace(
            "\"20 ft\", \"6 ft\", \"30 in\"",
            "\"50 ft\", \"6 ft\", \"30 in\""
        )
    );
    assert!(read(&text).expect_err("refused").contains("bench.at"));
}

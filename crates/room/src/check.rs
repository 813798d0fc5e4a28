//! What no single field can tell: statements that contradict each other.
//!
//! Only what makes the file unreadable as a room is judged here. What breaks an
//! engineering limit is a finding of a later step.

use fields::{Entry, Fault, Problem, Problems, Reading};

use crate::read::SHARED;

/// Adds the problems of readings that may have gaps.
pub(crate) fn check(site: Option<&Reading>, room: &Reading, problems: &mut Problems) {
    let mut found = Vec::new();
    for file in site.into_iter().chain([room]) {
        for section in SHARED {
            let entry = file.once(section.key);
            if entry.table().field("wet_bulb").is_some() {
                at_most_one(entry, &["rh", "wet_bulb", "dew_point"], &mut found);
                not_above_dry_bulb(entry, &mut found);
            }
        }
    }
    let broken = Broken(problems.clone());
    targets(room, &broken, &mut found);
    tags(room, &mut found);
    references(room, &mut found);
    ducts(room, &mut found);
    hours(room, &mut found);
    gains(room, &broken, &mut found);
    surfaces(room, &broken, &mut found);
    canopy(room, &broken, &mut found);
    light(room, &mut found);
    cooling(room, &broken, &mut found);
    drying(room, &mut found);
    inside(room, &mut found);
    for problem in found {
        problems.push(problem);
    }
}

/// Keys that were said but could not be read: not to be called missing too.
struct Broken(Problems);

impl Broken {
    fn has(&self, entry: &Entry, keys: &[&str]) -> bool {
        let section = entry.table().key;
        self.0.iter().any(|p| {
            keys.iter()
                .any(|k| p.key.strip_suffix(k) == Some(&format!("{section}.")))
        })
    }
}

/// The fields of one statement in several forms: only one may be said.
fn at_most_one(entry: &Entry, keys: &[&str], found: &mut Vec<Problem>) {
    let said: Vec<_> = keys.iter().copied().filter(|k| entry.says(k)).collect();
    if let [first, rest @ ..] = said.as_slice() {
        for key in rest {
            found.push(entry.problem(
                Fault::Contradiction,
                key,
                &format!("{first} is given too, and one of them follows from the other"),
                &format!("keep one of {}", keys.join(", ")),
            ));
        }
    }
}

fn not_above_dry_bulb(entry: &Entry, found: &mut Vec<Problem>) {
    let Some(dry_bulb) = entry.value("dry_bulb") else {
        return;
    };
    for key in ["wet_bulb", "dew_point"] {
        if entry.value(key).is_some_and(|x| x.value > dry_bulb.value) {
            found.push(entry.problem(
                Fault::Contradiction,
                key,
                "above the dry bulb, which air cannot be",
                "check both readings",
            ));
        }
    }
}

fn targets(room: &Reading, broken: &Broken, found: &mut Vec<Problem>) {
    const FORMS: [&str; 3] = ["rh", "vpd", "dew_point"];
    for key in ["target.lights_on", "target.transition", "target.lights_off"] {
        at_most_one(room.once(key), &FORMS, found);
    }
    for key in ["control.lights_on", "control.lights_off"] {
        at_most_one(room.once(key), &FORMS, found);
    }
    let on = room.once("target.lights_on");
    let off = room.once("target.lights_off");
    let says = |e: &Entry| e.says("dry_bulb") || broken.has(e, &["dry_bulb"]);
    if room.section("crop").is_none() && !says(on) && !says(off) {
        found.push(on.problem(
            Fault::Missing,
            "dry_bulb",
            "missing: without a crop nothing says how warm the room is to be",
            "write [target.lights_on] and under it dry_bulb = \"24 °C\", or add [crop]",
        ));
    }
}

fn tags(room: &Reading, found: &mut Vec<Problem>) {
    for (section, key) in [
        ("unit", "tag"),
        ("panel", "name"),
        ("tank", "name"),
        ("price", "model"),
        ("cooling", "name"),
        ("controller", "tag"),
        ("circuit", "name"),
    ] {
        let mut seen: Vec<(String, usize)> = Vec::new();
        for entry in room.sections(section) {
            let Some(name) = entry.text(key) else {
                continue;
            };
            let line = entry.at().line;
            match seen.iter().find(|(n, _)| *n == name.value) {
                Some((_, first)) => found.push(entry.problem(
                    Fault::Duplicate,
                    key,
                    &format!("the [[{section}]] in line {first} has it already"),
                    "give each its own",
                )),
                None => seen.push((name.value, line)),
            }
        }
    }
}

/// What one section says of another must be there.
fn references(room: &Reading, found: &mut Vec<Problem>) {
    for (section, key, to, named_by) in [
        ("duct", "unit", "unit", "tag"),
        ("circuit", "panel", "panel", "name"),
        ("unit", "panel", "panel", "name"),
        ("supply", "of", "cooling", "name"),
        ("return", "of", "cooling", "name"),
    ] {
        let there: Vec<String> = room
            .sections(to)
            .filter_map(|e| e.text(named_by))
            .map(|g| g.value)
            .collect();
        // A section that could not be read in full may well have the name.
        if room.sections(to).count() != there.len() && to != "cooling" {
            continue;
        }
        for entry in room.sections(section) {
            let is_list = entry
                .table()
                .field(key)
                .is_some_and(|f| matches!(f.kind, fields::Kind::List(_)));
            let names = if is_list {
                entry.texts(key)
            } else {
                entry.text(key).into_iter().collect()
            };
            for name in names.into_iter().filter(|n| !there.contains(&n.value)) {
                let mend = if there.is_empty() {
                    format!("write a [[{to}]] with {named_by} = \"{}\"", name.value)
                } else {
                    format!("known: {}", there.join(", "))
                };
                found.push(entry.problem(
                    Fault::UnknownChoice,
                    key,
                    &format!("no [[{to}]] is called \"{}\"", name.value),
                    &mend,
                ));
            }
        }
    }
}

fn ducts(room: &Reading, found: &mut Vec<Problem>) {
    for duct in room.sections("duct") {
        let (round, wide, high) = (
            duct.says("diameter"),
            duct.says("width"),
            duct.says("height"),
        );
        if round && (wide || high) {
            found.push(duct.problem(
                Fault::Contradiction,
                "diameter",
                "width or height is given too",
                "keep diameter, or width and height",
            ));
        } else if !(round || wide && high) {
            found.push(duct.problem(
                Fault::Missing,
                if wide { "height" } else { "diameter" },
                "missing: how large the duct is",
                "write diameter = \"10 in\", or width and height",
            ));
        }
    }
}

fn hours(room: &Reading, found: &mut Vec<Problem>) {
    for section in ["wet_floor", "people", "burner", "gain"] {
        for entry in room.sections(section) {
            match (entry.clock("from"), entry.clock("to")) {
                (Some(_), None) => found.push(entry.problem(
                    Fault::Missing,
                    "from",
                    "says no end",
                    "write to = \"18:00\" beside it, or take it out for the whole day",
                )),
                (None, Some(_)) => found.push(entry.problem(
                    Fault::Missing,
                    "to",
                    "says no start",
                    "write from = \"08:00\" beside it, or take it out for the whole day",
                )),
                (Some(from), Some(to)) if from.value == to.value => found.push(entry.problem(
                    Fault::Contradiction,
                    "to",
                    "the same as from",
                    "take both out for the whole day",
                )),
                _ => {}
            }
        }
    }
}

fn gains(room: &Reading, broken: &Broken, found: &mut Vec<Problem>) {
    const RATES: [&str; 3] = ["fuel_rate", "co2_rate", "heat"];
    for burner in room.sections("burner") {
        at_most_one(burner, &RATES, found);
        if !RATES.iter().any(|k| burner.says(k)) && !broken.has(burner, &RATES) {
            found.push(burner.problem(
                Fault::Missing,
                "heat",
                "missing: how much it burns",
                "write one of fuel_rate, co2_rate, heat",
            ));
        }
    }
    for gain in room.sections("gain") {
        at_most_one(gain, &["latent", "water"], found);
    }
}

fn surfaces(room: &Reading, broken: &Broken, found: &mut Vec<Problem>) {
    const KEYS: [&str; 3] = ["u", "side", "temperature"];
    for surface in room.sections("cold_surface") {
        let (u, side) = (surface.says("u"), surface.says("side"));
        match (surface.says("temperature"), u || side) {
            (true, true) => found.push(surface.problem(
                Fault::Contradiction,
                "temperature",
                "u or side is given too",
                "keep the temperature, or u and side",
            )),
            (false, _) if (!u || !side) && !broken.has(surface, &KEYS) => {
                found.push(surface.problem(
                    Fault::Missing,
                    if u { "side" } else { "u" },
                    "missing: how cold the surface gets",
                    "write u and side, or temperature",
                ));
            }
            _ => {}
        }
    }
    let envelope = room.once("envelope");
    if envelope.says("conductance") {
        for key in [
            "wall_area",
            "roof_area",
            "floor_area",
            "wall_u",
            "roof_u",
            "floor_u",
        ] {
            if envelope.says(key) {
                found.push(envelope.problem(
                    Fault::Contradiction,
                    key,
                    "conductance is given too, and stands for all faces",
                    "keep conductance, or areas and U-values",
                ));
            }
        }
    }
}

fn canopy(room: &Reading, broken: &Broken, found: &mut Vec<Problem>) {
    let Some(crop) = room.section("crop") else {
        return;
    };
    let kind = crop.choice("kind").map(|k| k.value);
    let grows = kind.is_some_and(|k| k != "drying room");
    let canopy = crop.value("canopy").map(|c| c.value);
    if grows && canopy.is_none() && !broken.has(crop, &["canopy"]) {
        found.push(crop.problem(
            Fault::Missing,
            "canopy",
            "missing: canopy area, all tiers together",
            "write canopy = \"60 m2\"",
        ));
    }
    if grows && canopy == Some(0.0) {
        found.push(crop.problem(
            Fault::OutOfRange,
            "canopy",
            "nothing grows on no area",
            "write the canopy area, or take [crop] out",
        ));
    }
    if crop.says("runoff") && !crop.says("water_fed") && !broken.has(crop, &["water_fed"]) {
        found.push(crop.problem(
            Fault::Missing,
            "runoff",
            "a share of water fed, which is not given",
            "write water_fed beside it",
        ));
    }
}

fn light(room: &Reading, found: &mut Vec<Problem>) {
    let Some(light) = room.section("light") else {
        return;
    };
    if let (Some(photoperiod), Some(ramp)) = (light.value("photoperiod"), light.value("ramp"))
        && photoperiod.value > 0.0
        && 2.0 * ramp.value > photoperiod.value
    {
        found.push(light.problem(
            Fault::Contradiction,
            "ramp",
            "coming on and going out take longer than the photoperiod",
            "shorten the ramp",
        ));
    }
}

fn cooling(room: &Reading, broken: &Broken, found: &mut Vec<Problem>) {
    const EITHER: [&str; 2] = ["model", "capacity"];
    for machine in room.sections("cooling") {
        if !EITHER.iter().any(|k| machine.says(k)) && !broken.has(machine, &EITHER) {
            found.push(machine.problem(
                Fault::Missing,
                "capacity",
                "missing: how much it cools",
                "write model = \"name of a catalogue model\", or capacity = \"5 ton\"",
            ));
        }
    }
}

fn drying(room: &Reading, found: &mut Vec<Problem>) {
    for crop in room.sections("hung_crop") {
        let share = |key: &str| crop.value(key).map(|g| g.value);
        if let (Some(start), Some(end)) = (share("moisture_start"), share("moisture_end"))
            && end >= start
        {
            found.push(crop.problem(
                Fault::Contradiction,
                "moisture_end",
                "not drier than moisture_start",
                "both are the share of water in the whole mass (wet basis)",
            ));
        }
        if let (Some(end), Some(last)) = (share("moisture_end"), share("equilibrium_moisture"))
            && last >= end
        {
            found.push(crop.problem(
                Fault::Contradiction,
                "equilibrium_moisture",
                "not drier than moisture_end, which it then never reaches",
                "lower it, or raise moisture_end",
            ));
        }
    }
}

/// Points must lie in the room.
fn inside(room: &Reading, found: &mut Vec<Problem>) {
    let size = room.once("room");
    let (Some(x), Some(y), Some(z)) = (
        size.value("length"),
        size.value("width"),
        size.value("height"),
    ) else {
        return;
    };
    let size_m = [x.value, y.value, z.value];
    let outside = |p: [f64; 3]| {
        p.iter()
            .zip(size_m)
            .any(|(at, size)| !(0.0..=size).contains(at))
    };
    let mut judge = |entry: &Entry, key: &str, points: &[[f64; 3]]| {
        if points.iter().any(|p| outside(*p)) {
            found.push(entry.problem(
                Fault::OutOfRange,
                key,
                "outside the room",
                "x, y, z start at the corner of door wall and floor",
            ));
        }
    };
    for section in ["cooling", "bench", "aisle", "supply", "return", "obstacle"] {
        for entry in room.sections(section) {
            if let Some(p) = entry.point("at") {
                judge(entry, "at", &[p.value]);
            }
        }
    }
    // A unit that stands outside the room with ducts may be anywhere.
    let mount = room.once("hanging").choice("mount").map(|m| m.value);
    for entry in room.sections("unit") {
        let mount = entry.choice("mount").map(|m| m.value).or(mount);
        if let (Some(p), false) = (entry.point("at"), mount == Some("outside")) {
            judge(entry, "at", &[p.value]);
        }
    }
    for section in ["air_mover", "luminaire"] {
        for entry in room.sections(section) {
            let points: Vec<_> = entry.points("at").into_iter().map(|p| p.value).collect();
            judge(entry, "at", &points);
        }
    }
    let control = room.once("control");
    if let Some(p) = control.point("sensor_at") {
        judge(control, "sensor_at", &[p.value]);
    }
}

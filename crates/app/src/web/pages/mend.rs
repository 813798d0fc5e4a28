//! Where in the survey a finding is mended: the field that its remedy is
//! about.

use fields::Repeat;
use fields::edit::Written;
use room::ROOM_FORMAT;

use super::survey::GROUPS;
use crate::web::view::form::{label_of, name_of};
use crate::web::view::layout::{encoded, sheet_href};

/// Check, section and key of the field; for what is told in the survey only. Of
/// a check that stands here for several periods the place names the period.
const MENDED: &[(&str, &str, &str)] = &[
    ("no_cooling_with_lights", "cooling", "capacity"),
    ("runoff_not_measured", "crop", "runoff"),
    ("night_warmer_than_day", "target.lights_off", "dry_bulb"),
    ("target_too_humid", "target.lights_off", "rh"),
    ("target_outside_vpd_band", "target.lights_on", "vpd"),
    ("night_rate_guessed", "crop", "water_fed"),
    ("measured_water_disagrees", "crop", "water_fed"),
    ("more_than_fed", "crop", "water_fed"),
    ("crop_water_implausible", "crop", "canopy"),
    ("second_opinion_differs", "crop", "air_speed"),
    ("light_power_and_flux_disagree", "light", "ppfd"),
    ("cooling_short", "cooling", "capacity"),
    ("no_set_holds", "selection", "max_count"),
    ("no_spare", "selection", "spare"),
    ("latent_credit_decides", "selection", "coil_credit"),
    ("position_not_surveyed", "unit", "at"),
    ("discharge_on_sensor", "control", "sensor_at"),
    ("supply_on_sensor", "control", "sensor_at"),
    ("sensor_off_canopy", "control", "sensor_at"),
    ("structure_unknown", "structure", "kind"),
    ("hanging_points_unknown", "structure", "first"),
    ("no_drain_point", "drain", "at"),
    ("no_panel", "panel", "name"),
    ("panel_capacity_unknown", "panel", "main"),
    ("starts_too_often", "control", "deadband"),
    ("deadband_too_narrow", "control", "deadband"),
    ("deadband_leaves_band", "control", "deadband"),
    ("setpoint_between_steps", "control.lights_on", "rh"),
    ("setpoint_between_steps", "control.lights_off", "rh"),
    ("no_controller_fits", "controller", "model"),
    ("controller_chosen", "controller", "model"),
    ("main_size_unknown", "drain", "main_size"),
];

/// A field of the survey: its address, and what it is called.
pub(super) struct Field {
    pub(super) href: String,
    pub(super) words: String,
}

/// The field in which a finding of this check is mended; of a section that
/// stands several times the one that `place` names, else the first.
pub(super) fn field(
    (job, room): (&str, &str),
    check: &str,
    place: &str,
    written: &[Written],
) -> Option<Field> {
    let of_check = || MENDED.iter().filter(|(c, ..)| *c == check);
    let period = |section: &str| section.rsplit_once('.').map(|(_, p)| p.replace('_', " "));
    let of_place = |(_, section, _): &&(&str, &str, &str)| {
        period(section).is_some_and(|words| place.contains(&words))
    };
    let (_, section, key) = of_check().find(of_place).or_else(|| of_check().next())?;
    let group = GROUPS.iter().find(|g| g.sections.contains(section))?;
    let found = ROOM_FORMAT.section(section)?;
    let all: Vec<&Written> = written.iter().filter(|w| w.section == *section).collect();
    let named = |w: &&&Written| {
        let name = w.keys.get("tag").or_else(|| w.keys.get("name"));
        name.is_some_and(|n| place.split([' ', ',']).any(|word| word == n))
    };
    let nth = all.iter().find(named).map_or(0, |w| w.nth);
    // A section of which there is none yet is shown blank.
    let add = match found.repeat {
        Repeat::Many if all.is_empty() => format!("?add={}", encoded(section)),
        _ => String::new(),
    };
    let at = sheet_href(job, room, "survey");
    let input = encoded(&name_of(section, nth, key));
    Some(Field {
        href: format!("{at}/{}{add}#{input}", group.word),
        words: format!("{}: {}", found.title, label_of(key)),
    })
}

#[cfg(test)]
mod tests {
    use std::path::Path;

    use super::*;

    /// Files below a folder, by their names without ending.
    fn stems(folder: &Path, found: &mut Vec<String>) {
        for entry in std::fs::read_dir(folder).expect("a folder").flatten() {
            let path = entry.path();
            match path.is_dir() {
                true => stems(&path, found),
                false => found.extend(path.file_stem().map(|s| s.to_string_lossy().into_owned())),
            }
        }
    }

    #[test]
    fn every_check_and_field_is_there() {
        // A check is one file named after the fault.
        let mut checks = Vec::new();
        let steps = Path::new(env!("CARGO_MANIFEST_DIR")).join("../job/src");
        stems(&steps, &mut checks);
        for (check, section, key) in MENDED {
            assert!(checks.iter().any(|c| c == check), "no check {check}");
            let found = ROOM_FORMAT.section(section).expect("a section");
            assert!(
                found.fields.iter().any(|f| f.key == *key),
                "{section}.{key}"
            );
            assert!(field(("a", "b"), check, "", &[]).is_some(), "{check}");
        }
    }

    #[test]
    fn the_period_that_the_finding_names_is_led_to() {
        let at =
            |place: &str| field(("a", "b"), "setpoint_between_steps", place, &[]).map(|f| f.href);
        for (place, section) in [
            ("control, lights on", "control.lights_on"),
            ("control, lights off", "control.lights_off"),
        ] {
            let href = at(place).expect("a field");
            assert!(
                href.contains(&encoded(&name_of(section, 0, "rh"))),
                "{href}"
            );
        }
    }

    #[test]
    fn the_section_that_the_finding_names_is_led_to() {
        let unit = |nth: usize, tag: &str| Written {
            section: "unit",
            nth,
            line: 1,
            keys: [("tag".to_owned(), tag.to_owned())].into(),
        };
        let written = [unit(0, "D1"), unit(1, "D2")];
        let at = |place: &str, written: &[Written]| {
            field(("a", "b"), "position_not_surveyed", place, written).map(|f| f.href)
        };
        let base = "/jobs/a/rooms/b/survey/plant";
        assert_eq!(
            at("unit D2", &written),
            Some(format!("{base}#unit%7C1%7Cat"))
        );
        assert_eq!(at("", &written), Some(format!("{base}#unit%7C0%7Cat")));
        assert_eq!(
            at("D2", &[]),
            Some(format!("{base}?add=unit#unit%7C0%7Cat"))
        );
    }
}

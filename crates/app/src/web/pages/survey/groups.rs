//! Which sections of the room file stand on which page of the survey.

/// A page of the survey.
pub(in super::super) struct Group {
    /// Its word in the address.
    pub(in super::super) word: &'static str,
    /// Its title.
    pub(in super::super) title: &'static str,
    /// Keys of its sections, in order.
    pub(in super::super) sections: &'static [&'static str],
}

const fn group(
    word: &'static str,
    title: &'static str,
    sections: &'static [&'static str],
) -> Group {
    Group {
        word,
        title,
        sections,
    }
}

/// All pages, in the order of a walk through the room.
pub(in super::super) const GROUPS: [Group; 7] = [
    group(
        "room",
        "Room and walls",
        &[
            "room",
            "door",
            "envelope",
            "cold_surface",
            "moisture_buffer",
        ],
    ),
    group(
        "crop",
        "Lights, crop, water, people",
        &[
            "light",
            "crop",
            "irrigation",
            "tank",
            "wet_floor",
            "washdown",
            "hung_crop",
            "people",
            "burner",
            "gain",
        ],
    ),
    group(
        "targets",
        "Targets and control",
        &[
            "target.lights_on",
            "target.lights_off",
            "target.transition",
            "target",
            "control",
            "control.lights_on",
            "control.lights_off",
            "controller",
        ],
    ),
    group(
        "plant",
        "Cooling, heating, fans, units",
        &[
            "cooling",
            "heating",
            "air_mover",
            "unit",
            "selection",
            "price",
        ],
    ),
    group(
        "layout",
        "What stands and hangs where",
        &[
            "bench",
            "aisle",
            "luminaire",
            "supply",
            "return",
            "obstacle",
            "access",
            "duct",
            "structure",
        ],
    ),
    group(
        "services",
        "Drains, panels, rules and materials",
        &[
            "drain",
            "panel",
            "circuit",
            "hanging",
            "piping",
            "wiring",
            "generator",
        ],
    ),
    group(
        "site",
        "Site and outdoor air, where this room differs",
        &["site", "outdoor.summer", "outdoor.winter", "adjacent"],
    ),
];

/// What gives a first answer: section and key.
pub(super) const FIRST: [(&str, &str); 8] = [
    ("room", "name"),
    ("room", "length"),
    ("room", "width"),
    ("room", "height"),
    ("light", "power"),
    ("light", "photoperiod"),
    ("crop", "kind"),
    ("crop", "canopy"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_section_stands_on_one_page() {
        let mut on_pages: Vec<&str> = GROUPS.iter().flat_map(|g| g.sections).copied().collect();
        let mut all: Vec<&str> = room::ROOM_FORMAT.sections.iter().map(|s| s.key).collect();
        on_pages.sort_unstable();
        all.sort_unstable();
        assert_eq!(on_pages, all);
        for (section, key) in FIRST {
            let section = room::ROOM_FORMAT.section(section).expect("a section");
            assert!(section.fields.iter().any(|f| f.key == key), "{key}");
        }
    }
}

//! The two formats, and reading them together.

use fields::{Entry, Format, Kind, Need, Reading, Section};

use crate::{
    control, crop, envelope, gains, layout, light, places, plant, practice, site, target, units,
    water,
};

/// The site file.
pub static SITE_FORMAT: Format = Format {
    name: "site file",
    help: "What the rooms of one job share: `site.toml` beside the room files. \
           Every section of it may also stand in a room file, where it stands above the site file.",
    sections: &[site::SITE, site::SUMMER, site::WINTER, site::ADJACENT],
};

/// The room file.
pub static ROOM_FORMAT: Format = Format {
    name: "room file",
    help: "One room: `NAME.room.toml`. A quantity is a string with its unit, metric or US; \
           a range is \"3.0..4.5 L/day\". Eight lines are enough for a first answer; \
           what is left out is assumed and shown as assumed.",
    sections: &[
        envelope::ROOM,
        envelope::DOOR,
        envelope::ENVELOPE,
        envelope::COLD_SURFACE,
        envelope::MOISTURE_BUFFER,
        light::LIGHT,
        crop::CROP,
        water::IRRIGATION,
        water::TANK,
        water::WET_FLOOR,
        water::WASH_DOWN,
        water::HUNG_CROP,
        gains::PEOPLE,
        gains::BURNER,
        gains::GAIN,
        target::TARGET,
        target::TARGET_LIGHTS_ON,
        target::TARGET_TRANSITION,
        target::TARGET_LIGHTS_OFF,
        plant::COOLING,
        plant::HEATING,
        plant::AIR_MOVER,
        units::UNIT,
        units::SELECTION,
        units::PRICE,
        control::CONTROL,
        control::CONTROL_LIGHTS_ON,
        control::CONTROL_LIGHTS_OFF,
        control::CONTROLLER,
        layout::BENCH,
        layout::AISLE,
        layout::LUMINAIRE,
        layout::SUPPLY,
        layout::RETURN,
        layout::OBSTACLE,
        layout::ACCESS,
        layout::DUCT,
        places::STRUCTURE,
        places::DRAIN,
        places::PANEL,
        places::CIRCUIT,
        practice::HANGING,
        practice::PIPING,
        practice::WIRING,
        practice::GENERATOR,
        site::SITE,
        site::SUMMER,
        site::WINTER,
        site::ADJACENT,
    ],
};

/// Least and greatest value that a field of the room file takes, in SI; `None`
/// where there is no such field, or it holds no number.
///
/// ```
/// assert_eq!(room::allowed("envelope", "moisture_capacity"), Some([1.0, 30.0]));
/// assert_eq!(room::allowed("room", "name"), None);
/// ```
pub fn allowed(section: &str, key: &str) -> Option<[f64; 2]> {
    match ROOM_FORMAT.section(section)?.field(key)?.kind {
        Kind::Quantity { min, max, .. } | Kind::Band { min, max, .. } => Some([min, max]),
        _ => None,
    }
}

/// What is taken for a field of the room file that is left out, in SI; `None`
/// where there is no such field, it holds no single number, or nothing is taken.
///
/// ```
/// assert_eq!(room::default_of("control", "deadband"), Some(0.04));
/// assert_eq!(room::default_of("room", "length"), None);
/// ```
pub fn default_of(section: &str, key: &str) -> Option<f64> {
    let field = ROOM_FORMAT.section(section)?.field(key)?;
    match (&field.kind, &field.need) {
        (Kind::Quantity { dim, .. }, Need::Default { text, .. }) => {
            quantity::read(text, *dim).ok().map(|value| value.si)
        }
        _ => None,
    }
}

/// Sections that the room file and the site file share.
pub(crate) const SHARED: [&Section; 4] =
    [&site::SITE, &site::SUMMER, &site::WINTER, &site::ADJACENT];

/// The room file over the site file.
pub(crate) struct Layers<'a> {
    pub(crate) room: &'a Reading,
    pub(crate) site: Option<&'a Reading>,
}

impl<'a> Layers<'a> {
    /// One shared section of both files.
    pub(crate) fn section(&self, key: &str) -> Layered<'a> {
        Layered {
            room: self.room.once(key),
            site: self.site.map(|s| s.once(key)),
        }
    }
}

/// One section in the room file over the same section in the site file.
#[derive(Clone, Copy)]
pub(crate) struct Layered<'a> {
    room: &'a Entry,
    site: Option<&'a Entry>,
}

impl<'a> Layered<'a> {
    /// The entry that answers for a key: the room file if it says the key,
    /// else the site file.
    pub(crate) fn pick(&self, key: &str) -> &'a Entry {
        self.pick_any(&[key])
    }

    /// The same for keys of which one stands for the others.
    pub(crate) fn pick_any(&self, keys: &[&str]) -> &'a Entry {
        match self.site {
            Some(site) if !keys.iter().any(|k| self.room.says(k)) => site,
            _ => self.room,
        }
    }
}

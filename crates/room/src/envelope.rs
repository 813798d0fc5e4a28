//! Geometry of the room and what it loses through its faces and gaps.

use fields::{Entry, Field, Kind, Need, Repeat, Section};
use quantity::{Band, Dim, Given, Source};
use serde::Serialize;

use crate::choice::{AIR_SIDES, Side, Wall, choice, given};

const AREA: Kind = Kind::quantity(Dim::Area, 0.0, 100_000.0);
const U_VALUE: Kind = Kind::quantity(Dim::Transmittance, 0.0, 10.0);
const SIDE: Kind = Kind::Choice(Side::WORDS);

pub(crate) const ROOM: Section = Section {
    key: "room",
    title: "Room",
    help: "A box: x runs away from the door wall, y along it, z up from the floor.",
    repeat: Repeat::Once,
    fields: &[
        Field::new("name", Kind::Text, Need::Required, "Name of the room."),
        Field::new(
            "length",
            Kind::quantity(Dim::Length, 0.5, 300.0),
            Need::Required,
            "Inside length, x, from the door wall.",
        ),
        Field::new(
            "width",
            Kind::quantity(Dim::Length, 0.5, 300.0),
            Need::Required,
            "Inside width, y.",
        ),
        Field::new(
            "height",
            Kind::quantity(Dim::Length, 0.5, 30.0),
            Need::Required,
            "Inside height, z, to the ceiling.",
        ),
    ],
};

pub(crate) const DOOR: Section = Section {
    key: "door",
    title: "Doors",
    help: "Doors, for clearances and for what can be carried in.",
    repeat: Repeat::Many,
    fields: &[
        Field::new(
            "wall",
            Kind::Choice(Wall::WORDS),
            Need::Required,
            "The wall it is in.",
        ),
        Field::new(
            "along",
            Kind::quantity(Dim::Length, 0.0, 300.0),
            Need::Required,
            "From the wall's end at x = 0 or y = 0 to the near edge of the door.",
        ),
        Field::new(
            "width",
            Kind::quantity(Dim::Length, 0.3, 20.0),
            Need::Required,
            "Clear width.",
        ),
        Field::new(
            "height",
            Kind::quantity(Dim::Length, 0.3, 20.0),
            Need::Required,
            "Clear height.",
        ),
    ],
};

pub(crate) const ENVELOPE: Section = Section {
    key: "envelope",
    title: "Envelope",
    help: "Faces, air exchange and storage.",
    repeat: Repeat::Once,
    fields: &[
        Field::new(
            "wall_area",
            AREA,
            Need::Optional,
            "All walls; left out: from the room's size.",
        ),
        Field::new(
            "roof_area",
            AREA,
            Need::Optional,
            "Roof or ceiling; left out: from the room's size.",
        ),
        Field::new(
            "floor_area",
            AREA,
            Need::Optional,
            "Floor; left out: from the room's size.",
        ),
        Field::new(
            "wall_u",
            U_VALUE,
            Need::default(
                "0.35 W/m2K",
                Source::assumed("an insulated panel wall; ask for the build-up"),
            ),
            "U-value of the walls.",
        ),
        Field::new(
            "roof_u",
            U_VALUE,
            Need::default(
                "0.25 W/m2K",
                Source::assumed("an insulated roof; ask for the build-up"),
            ),
            "U-value of the roof or ceiling.",
        ),
        Field::new(
            "floor_u",
            U_VALUE,
            Need::default(
                "0.5 W/m2K",
                Source::assumed("a slab on ground without much insulation"),
            ),
            "U-value of the floor.",
        ),
        Field::new(
            "wall_side",
            SIDE,
            Need::default("adjacent", Source::assumed("a room inside a building")),
            "What the walls face.",
        ),
        Field::new(
            "roof_side",
            SIDE,
            Need::default("outdoor", Source::assumed("a room under the roof")),
            "What the roof or ceiling faces.",
        ),
        Field::new(
            "floor_side",
            SIDE,
            Need::default("ground", Source::assumed("a slab on ground")),
            "What the floor faces.",
        ),
        Field::new(
            "conductance",
            Kind::quantity(Dim::Conductance, 0.0, 1e6),
            Need::Optional,
            "Heat conductance of all faces together, in place of areas and U-values.",
        ),
        Field::new(
            "conductance_side",
            SIDE,
            Need::default(
                "outdoor",
                Source::assumed("a conductance of the whole room is mostly to outdoor air"),
            ),
            "What that conductance leads to.",
        ),
        Field::new(
            "thermal_mass",
            Kind::Choice(ThermalMass::WORDS),
            Need::default(
                "light",
                Source::assumed("panel walls over a slab that the crop covers"),
            ),
            "How much heat walls and floor store with the day.",
        ),
        Field::new(
            "heat_capacity",
            Kind::quantity(Dim::HeatCapacity, 0.0, 1e12),
            Need::Optional,
            "Heat that room and contents store per kelvin, in place of thermal_mass.",
        ),
        Field::new(
            "seal",
            Kind::Choice(Seal::WORDS),
            Need::default("average", Source::assumed("where nothing was tested")),
            "How tight the room is; stands in for air_exchange.",
        ),
        Field::new(
            "air_exchange",
            Kind::band(Dim::AirChange, 0.0, 100.0 / 3600.0),
            Need::Optional,
            "Air changes through gaps and doors, if tested or known.",
        ),
        Field::new(
            "fresh_air",
            Kind::quantity(Dim::AirFlow, 0.0, 100.0),
            Need::default(
                "0 m3/h",
                Source::assumed("a closed room without fresh-air fan"),
            ),
            "Outdoor air that a fan brings in, all day.",
        ),
        Field::new(
            "air_from",
            Kind::Choice(AIR_SIDES),
            Need::default(
                "outdoor",
                Source::assumed("the wetter or drier of the two, for safety"),
            ),
            "Where the air that leaks in comes from.",
        ),
        Field::new(
            "moisture_capacity",
            Kind::quantity(Dim::Number, 1.0, 30.0),
            Need::default(
                "1",
                Source::assumed("air alone stores water: on the safe side for peaks"),
            ),
            "Water that air, media, walls and leaves store together, as a multiple of the air alone.",
        ),
    ],
};

pub(crate) const COLD_SURFACE: Section = Section {
    key: "cold_surface",
    title: "Cold surfaces",
    help: "The coldest surfaces: a window, a duct, a steel frame. Either u and side, or temperature.",
    repeat: Repeat::Many,
    fields: &[
        Field::new("name", Kind::Text, Need::Required, "What it is."),
        Field::new("u", U_VALUE, Need::Optional, "U-value there."),
        Field::new("side", SIDE, Need::Optional, "What is on its other side."),
        Field::new(
            "temperature",
            Kind::quantity(Dim::Temperature, -40.0, 60.0),
            Need::Optional,
            "Its temperature, if it is fixed or was measured, in place of u and side.",
        ),
        Field::new(
            "film",
            Kind::quantity(Dim::Transmittance, 1.0, 30.0),
            Need::default(
                "7.7 W/m2K",
                Source::published(
                    "ISO 6946:2007, read in two public implementations",
                    "R_si 0.13 m2K/W, horizontal flow",
                ),
            ),
            "Heat transfer from room air to the surface.",
        ),
    ],
};

pub(crate) const MOISTURE_BUFFER: Section = Section {
    key: "moisture_buffer",
    title: "Moisture buffer",
    help: "One layer of material that takes up and gives back water.",
    repeat: Repeat::Optional,
    fields: &[
        Field::new("area", AREA, Need::Required, "Area of the material."),
        Field::new(
            "capacity",
            Kind::quantity(Dim::WaterDepth, 0.0, 100.0),
            Need::Required,
            "Water that the layer takes up per area from dry to saturated air.",
        ),
        Field::new(
            "resistance",
            Kind::quantity(Dim::Resistance, 0.0, 1e6),
            Need::Required,
            "Resistance between room air and the middle of the layer, to vapour density.",
        ),
    ],
};

choice! {
    /// How much heat the room's fabric stores with the day.
    ThermalMass {
        None = "none", "nothing: for test cases";
        Light = "light", "panels or studs, little bare slab";
        Medium = "medium", "some block or bare slab";
        Heavy = "heavy", "concrete or block all round";
    }
}

impl ThermalMass {
    /// Effective heat capacity per floor area \[J/(m² K)\].
    pub fn per_floor_j_per_m2_k(self) -> Given<f64> {
        const ISO_13790: Source = Source::memory(
            "ISO 13790:2008, Energy performance of buildings",
            "table 12, classes light, medium, heavy",
        );
        match self {
            Self::None => Given::assumed(0.0, Source::assumed("no storage was asked for")),
            Self::Light => Given::assumed(110e3, ISO_13790),
            Self::Medium => Given::assumed(165e3, ISO_13790),
            Self::Heavy => Given::assumed(260e3, ISO_13790),
        }
    }
}

choice! {
    /// How tight the room is.
    Seal {
        Tight = "tight", "panel joints sealed, gasketed doors";
        Average = "average", "closed room, ordinary doors";
        Leaky = "leaky", "open joints, doors often open";
    }
}

impl Seal {
    /// Air changes \[1/s\]. **Assumed**: no published survey of crop rooms is
    /// known to us; a tracer or fan test is cheap.
    pub fn air_exchange_per_s(self) -> Given<Band> {
        const GUESS: Source =
            Source::assumed("class of tightness; a tracer or fan test replaces it");
        let per_h = match self {
            Self::Tight => Band::new(0.05, 0.1, 0.2),
            Self::Average => Band::new(0.15, 0.3, 0.6),
            Self::Leaky => Band::new(0.5, 1.0, 2.0),
        };
        Given::assumed(per_h.map(|n| n / 3600.0), GUESS)
    }
}

/// The box.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Geometry {
    /// x \[m\].
    pub length_m: Given<f64>,
    /// y \[m\].
    pub width_m: Given<f64>,
    /// z \[m\].
    pub height_m: Given<f64>,
}

impl Geometry {
    /// Volume \[m³\].
    pub fn volume_m3(&self) -> f64 {
        self.floor_m2() * self.height_m.value
    }

    /// Floor, and ceiling \[m²\].
    pub fn floor_m2(&self) -> f64 {
        self.length_m.value * self.width_m.value
    }

    /// The four walls together \[m²\].
    pub fn walls_m2(&self) -> f64 {
        2.0 * (self.length_m.value + self.width_m.value) * self.height_m.value
    }
}

/// A door.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Door {
    /// The wall that it is in.
    pub wall: Given<Wall>,
    /// From the wall's end at x = 0 or y = 0 to its near edge \[m\].
    pub along_m: Given<f64>,
    /// Clear width \[m\].
    pub width_m: Given<f64>,
    /// Clear height \[m\].
    pub height_m: Given<f64>,
}

/// One face of the room, or all walls together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Face {
    /// "walls", "roof", "floor".
    pub name: &'static str,
    /// Area \[m²\].
    pub area_m2: Given<f64>,
    /// U-value \[W/(m² K)\].
    pub u_w_per_m2_k: Given<f64>,
    /// What it faces.
    pub side: Given<Side>,
}

/// What heat passes through.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fabric {
    /// Walls, roof, floor.
    Faces(Vec<Face>),
    /// One conductance for all.
    Whole {
        /// Conductance \[W/K\].
        conductance_w_per_k: Given<f64>,
        /// What it leads to.
        side: Given<Side>,
    },
}

/// Faces, air exchange, storage.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Envelope {
    /// What heat passes through.
    pub fabric: Fabric,
    /// Class of thermal mass; counts where `heat_capacity` was not given.
    pub thermal_mass: Given<ThermalMass>,
    /// Heat stored per kelvin by fabric and contents, without the air \[J/K\].
    pub heat_capacity_j_per_k: Given<f64>,
    /// Class of tightness.
    pub seal: Given<Seal>,
    /// Air changes through gaps and doors \[1/s\].
    pub air_exchange_per_s: Given<Band>,
    /// Outdoor air by fan \[m³/s\].
    pub fresh_air_m3_per_s: Given<f64>,
    /// Where leaking air comes from: outdoor or adjacent.
    pub air_from: Given<Side>,
    /// Water stored by air and contents as a multiple of the air alone.
    pub moisture_capacity: Given<f64>,
}

impl Envelope {
    /// Heat conductance to one side \[W/K\].
    pub fn conductance_w_per_k(&self, to: Side) -> f64 {
        match &self.fabric {
            Fabric::Faces(faces) => faces
                .iter()
                .filter(|f| f.side.value == to)
                .map(|f| f.area_m2.value * f.u_w_per_m2_k.value)
                .sum(),
            Fabric::Whole {
                conductance_w_per_k,
                side,
            } if side.value == to => conductance_w_per_k.value,
            Fabric::Whole { .. } => 0.0,
        }
    }
}

/// A surface that may fall below the dew point.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ColdSurface {
    /// What it is.
    pub name: Given<String>,
    /// U-value there \[W/(m² K)\].
    pub u_w_per_m2_k: Option<Given<f64>>,
    /// What is on its other side.
    pub side: Option<Given<Side>>,
    /// Its temperature, if fixed or measured \[°C\].
    pub temperature_c: Option<Given<f64>>,
    /// Heat transfer from room air to the surface \[W/(m² K)\].
    pub film_w_per_m2_k: Given<f64>,
}

/// One layer that takes up and gives back water.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MoistureBuffer {
    /// Area \[m²\].
    pub area_m2: Given<f64>,
    /// Water per area from dry to saturated air \[kg/m²\].
    pub capacity_kg_per_m2: Given<f64>,
    /// Resistance to vapour density \[s/m\].
    pub resistance_s_per_m: Given<f64>,
}

impl Geometry {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            length_m: e.need_value("length"),
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
        }
    }
}

impl Door {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            wall: given(e.need_choice("wall"), Wall::from_word),
            along_m: e.need_value("along"),
            width_m: e.need_value("width"),
            height_m: e.need_value("height"),
        }
    }
}

impl Envelope {
    pub(crate) fn new(e: &Entry, geometry: &Geometry) -> Self {
        let thermal_mass = given(e.need_choice("thermal_mass"), ThermalMass::from_word);
        let seal = given(e.need_choice("seal"), Seal::from_word);
        let per_floor = thermal_mass.value.per_floor_j_per_m2_k();
        Self {
            fabric: fabric(e, geometry),
            heat_capacity_j_per_k: e
                .value("heat_capacity")
                .unwrap_or_else(|| per_floor.map(|c| c * geometry.floor_m2())),
            thermal_mass,
            air_exchange_per_s: e
                .band("air_exchange")
                .unwrap_or_else(|| seal.value.air_exchange_per_s()),
            seal,
            fresh_air_m3_per_s: e.need_value("fresh_air"),
            air_from: given(e.need_choice("air_from"), Side::from_word),
            moisture_capacity: e.need_value("moisture_capacity"),
        }
    }
}

fn fabric(e: &Entry, geometry: &Geometry) -> Fabric {
    const BOX: Source = Source::assumed("from length, width and height");
    if let Some(conductance_w_per_k) = e.value("conductance") {
        return Fabric::Whole {
            conductance_w_per_k,
            side: given(e.need_choice("conductance_side"), Side::from_word),
        };
    }
    let face = |name, area: &str, u: &str, side: &str, box_m2: f64| Face {
        name,
        area_m2: e.value(area).unwrap_or(Given::assumed(box_m2, BOX)),
        u_w_per_m2_k: e.need_value(u),
        side: given(e.need_choice(side), Side::from_word),
    };
    Fabric::Faces(vec![
        face(
            "walls",
            "wall_area",
            "wall_u",
            "wall_side",
            geometry.walls_m2(),
        ),
        face(
            "roof",
            "roof_area",
            "roof_u",
            "roof_side",
            geometry.floor_m2(),
        ),
        face(
            "floor",
            "floor_area",
            "floor_u",
            "floor_side",
            geometry.floor_m2(),
        ),
    ])
}

impl ColdSurface {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            name: e.need_text("name"),
            u_w_per_m2_k: e.value("u"),
            side: e.choice("side").map(|s| given(s, Side::from_word)),
            temperature_c: e.value("temperature"),
            film_w_per_m2_k: e.need_value("film"),
        }
    }
}

impl MoistureBuffer {
    pub(crate) fn new(e: &Entry) -> Self {
        Self {
            area_m2: e.need_value("area"),
            capacity_kg_per_m2: e.need_value("capacity"),
            resistance_s_per_m: e.need_value("resistance"),
        }
    }
}

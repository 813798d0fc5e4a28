//! The room as a whole.

use fields::{Assumption, Entry, Problems, Reading};
use quantity::Given;
use serde::Serialize;

use crate::assumed::assumptions;
use crate::check;
use crate::control::{Control, Controller};
use crate::crop::Crop;
use crate::envelope::{ColdSurface, Door, Envelope, Geometry, MoistureBuffer};
use crate::gains::{Burner, Gain, People};
use crate::layout::{Access, Aisle, Bench, Duct, Luminaires, Obstacle, Return, Supply};
use crate::light::Light;
use crate::period::{Period, TargetNow};
use crate::places::{Circuit, Drain, Panel, Structure};
use crate::plant::{AirMover, Cooling, Heating};
use crate::practice::{Generator, Hanging, Piping, Wiring};
use crate::read::{Layers, ROOM_FORMAT, SITE_FORMAT};
use crate::site::Site;
use crate::target::{TargetEntries, Targets};
use crate::units::{Price, Selection, Unit};
use crate::water::{HungCrop, Irrigation, Tank, WashDown, WetFloor};

/// One room as it was surveyed, checked, in SI. What was assumed says so.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Room {
    /// What it shares with other rooms.
    pub site: Site,
    /// Name.
    pub name: Given<String>,
    /// The box.
    pub geometry: Geometry,
    /// Doors.
    pub doors: Vec<Door>,
    /// Faces, air exchange, storage.
    pub envelope: Envelope,
    /// Surfaces that may fall below the dew point.
    pub cold_surfaces: Vec<ColdSurface>,
    /// A layer that takes up water.
    pub moisture_buffer: Option<MoistureBuffer>,
    /// Lights.
    pub light: Option<Light>,
    /// Crop.
    pub crop: Option<Crop>,
    /// Irrigation.
    pub irrigation: Option<Irrigation>,
    /// Open water.
    pub tanks: Vec<Tank>,
    /// Floors that stay wet.
    pub wet_floors: Vec<WetFloor>,
    /// Hosing down.
    pub washdowns: Vec<WashDown>,
    /// Crop hung to dry.
    pub hung_crops: Vec<HungCrop>,
    /// People.
    pub people: Vec<People>,
    /// Burners.
    pub burners: Vec<Burner>,
    /// Plain gains.
    pub gains: Vec<Gain>,
    /// What is to be held.
    pub targets: Targets,
    /// Cooling.
    pub cooling: Vec<Cooling>,
    /// Heating.
    pub heating: Vec<Heating>,
    /// Circulation fans.
    pub air_movers: Vec<AirMover>,
    /// Dehumidifiers present.
    pub units: Vec<Unit>,
    /// What may be chosen.
    pub selection: Selection,
    /// Humidity control.
    pub control: Control,
    /// Controllers.
    pub controllers: Vec<Controller>,
    /// Benches and beds.
    pub benches: Vec<Bench>,
    /// Aisles.
    pub aisles: Vec<Aisle>,
    /// Luminaires.
    pub luminaires: Vec<Luminaires>,
    /// Openings that cooling blows from.
    pub supplies: Vec<Supply>,
    /// Openings that cooling draws from.
    pub returns: Vec<Return>,
    /// Obstacles.
    pub obstacles: Vec<Obstacle>,
    /// The way in.
    pub access: Option<Access>,
    /// Ducts of units.
    pub ducts: Vec<Duct>,
    /// Structure overhead.
    pub structure: Option<Structure>,
    /// Drains.
    pub drains: Vec<Drain>,
    /// Electrical panels.
    pub panels: Vec<Panel>,
    /// Other loads on panels.
    pub circuits: Vec<Circuit>,
    /// How units are carried.
    pub hanging: Hanging,
    /// Rules and materials of the drain.
    pub piping: Piping,
    /// Rules, conductors and surroundings of the circuits.
    pub wiring: Wiring,
    /// A generator.
    pub generator: Option<Generator>,
    /// Every input that nobody surveyed and that counts, for the list that the
    /// engineer goes through.
    pub assumptions: Vec<Assumption>,
}

impl Room {
    /// Reads a room file, over a site file if there is one; each as name and
    /// text.
    ///
    /// # Errors
    /// Every problem of both files.
    pub fn read(site: Option<(&str, &str)>, room: (&str, &str)) -> Result<Self, Problems> {
        let (site, mut problems) = match site {
            Some((name, text)) => {
                let (reading, problems) = SITE_FORMAT.read_partly(name, text);
                (Some(reading), problems)
            }
            None => (None, Problems::default()),
        };
        let (room, room_problems) = ROOM_FORMAT.read_partly(room.0, room.1);
        problems.append(room_problems);
        check::check(site.as_ref(), &room, &mut problems);
        if !problems.is_empty() {
            problems.sort();
            return Err(problems);
        }
        let mut read = Self::new(site.as_ref(), &room);
        read.assumptions = assumptions(site.as_ref(), &room, &read);
        Ok(read)
    }

    /// From readings without problems; the assumptions follow.
    fn new(site: Option<&Reading>, file: &Reading) -> Self {
        let room = file.once("room");
        let geometry = Geometry::new(room);
        let crop = file.section("crop").map(Crop::new);
        let targets = TargetEntries {
            general: file.once("target"),
            lights_on: file.once("target.lights_on"),
            transition: file.once("target.transition"),
            lights_off: file.once("target.lights_off"),
        };
        let prices = all(file, "price", Price::new);
        Self {
            site: Site::new(&Layers { room: file, site }),
            name: room.need_text("name"),
            doors: all(file, "door", Door::new),
            envelope: Envelope::new(file.once("envelope"), &geometry),
            geometry,
            cold_surfaces: all(file, "cold_surface", ColdSurface::new),
            moisture_buffer: file.section("moisture_buffer").map(MoistureBuffer::new),
            light: file.section("light").map(|e| Light::new(e, crop.as_ref())),
            targets: Targets::new(&targets, crop.as_ref())
                .unwrap_or_else(|| unreachable!("the checks ask for a dry bulb")),
            crop,
            irrigation: file.section("irrigation").map(Irrigation::new),
            tanks: all(file, "tank", Tank::new),
            wet_floors: all(file, "wet_floor", WetFloor::new),
            washdowns: all(file, "washdown", WashDown::new),
            hung_crops: all(file, "hung_crop", HungCrop::new),
            people: all(file, "people", People::new),
            burners: file.sections("burner").filter_map(Burner::new).collect(),
            gains: all(file, "gain", Gain::new),
            cooling: (1..)
                .zip(file.sections("cooling"))
                .map(|(number, e)| Cooling::new(e, number))
                .collect(),
            heating: all(file, "heating", Heating::new),
            air_movers: all(file, "air_mover", AirMover::new),
            units: all(file, "unit", Unit::new),
            selection: Selection::new(file.once("selection"), prices),
            control: Control::new(
                file.once("control"),
                file.once("control.lights_on"),
                file.once("control.lights_off"),
            ),
            controllers: all(file, "controller", Controller::new),
            benches: all(file, "bench", Bench::new),
            aisles: all(file, "aisle", Aisle::new),
            luminaires: all(file, "luminaire", Luminaires::new),
            supplies: all(file, "supply", Supply::new),
            returns: all(file, "return", Return::new),
            obstacles: all(file, "obstacle", Obstacle::new),
            access: file.section("access").map(Access::new),
            ducts: file.sections("duct").filter_map(Duct::new).collect(),
            structure: file.section("structure").map(Structure::new),
            drains: all(file, "drain", Drain::new),
            panels: all(file, "panel", Panel::new),
            circuits: all(file, "circuit", Circuit::new),
            hanging: Hanging::new(file.once("hanging")),
            piping: Piping::new(file.once("piping")),
            wiring: Wiring::new(file.once("wiring")),
            generator: file.section("generator").map(Generator::new),
            assumptions: Vec::new(),
        }
    }

    /// Volume of air \[m³\].
    pub fn volume_m3(&self) -> f64 {
        self.geometry.volume_m3()
    }

    /// Whether the lights are on at a second after midnight.
    pub fn lights_on_at(&self, second_of_day: f64) -> bool {
        self.light.as_ref().is_some_and(|l| l.on_at(second_of_day))
    }

    /// Output of the lights as a share of full, with the ramps.
    pub fn light_share_at(&self, second_of_day: f64) -> f64 {
        self.light
            .as_ref()
            .map_or(0.0, |l| l.share_at(second_of_day))
    }

    /// The period at a second after midnight.
    pub fn period_at(&self, second_of_day: f64) -> Period {
        self.targets.period_at(self.light.as_ref(), second_of_day)
    }

    /// The target at a second after midnight, with the ramps.
    pub fn target_at(&self, second_of_day: f64) -> TargetNow {
        self.targets.at(self.light.as_ref(), second_of_day)
    }

    /// Length of a period in a day \[s\].
    pub fn period_length_s(&self, period: Period) -> f64 {
        const DAY_S: f64 = 86_400.0;
        let photoperiod_s = self.light.as_ref().map_or(0.0, |l| l.photoperiod_s.value);
        let dark_s = DAY_S - photoperiod_s;
        let transition_s = if photoperiod_s > 0.0 {
            self.targets.transition_s.value.min(dark_s)
        } else {
            0.0
        };
        match period {
            Period::LightsOn => photoperiod_s,
            Period::Transition => transition_s,
            Period::LightsOff => dark_s - transition_s,
        }
    }
}

fn all<T>(file: &Reading, key: &str, new: impl Fn(&Entry) -> T) -> Vec<T> {
    file.sections(key).map(new).collect()
}

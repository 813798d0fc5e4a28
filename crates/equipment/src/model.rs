//! The record of a dehumidifier: what a catalogue file holds.

use crate::closure::Closure;
use crate::control::Control;
use crate::curve::{Biquadratic, Range};
use crate::fan::FanCurve;
use crate::provenance::Provenance;
use crate::rating::Rating;
use crate::table::Table;
use quantity::Given;

/// A catalogue record of a dehumidifier. Not a unit: a unit is one machine on
/// one hook, and has a tag.
#[derive(Clone, Debug, PartialEq)]
pub struct Model {
    /// Plain code; the key in the catalogue.
    pub code: String,
    /// What it is, in a line.
    pub description: String,
    /// Rated points; the first is the reference.
    pub ratings: Vec<Rating>,
    /// How removal and power follow the inlet air.
    pub performance: Performance,
    /// Barometric pressure that the data hold at \[Pa\].
    pub data_pressure_pa: f64,
    /// Bypass factor at the rating, as the record states it.
    pub bypass_factor: f64,
    /// Off-rating physics, through the first rating.
    pub closure: Closure,
    /// Air flow against pressure.
    pub fan: FanCurve,
    /// Power of the fan alone \[W\].
    pub fan_w: f64,
    /// Power when nothing runs \[W\].
    pub standby_w: f64,
    /// What the fan does when the compressor stops.
    pub fan_habit: FanHabit,
    /// Lowest inlet dry bulb at which the unit runs \[°C\].
    pub min_inlet_c: f64,
    /// Highest inlet dry bulb at which the unit runs \[°C\].
    pub max_inlet_c: f64,
    /// How it gets rid of frost.
    pub defrost: Defrost,
    /// Delays of its own control.
    pub delays: Delays,
    /// Electrical plate.
    pub plate: Plate,
    /// Refrigerant designation.
    pub refrigerant: String,
    /// Refrigerant charge \[kg\].
    pub charge_kg: f64,
    /// Body: size, mass, faces.
    pub body: Body,
    /// How it hangs and drains.
    pub hanging: Hanging,
    /// Where the fan stands to the coil.
    pub cabinet: Cabinet,
    /// Greatest magnitude of the pressure at the pan against the room, dirty
    /// filter, fan fastest \[Pa\]; negative (draw-through) or positive
    /// (blow-through).
    pub pan_pressure_pa: f64,
    /// Control.
    pub control: Control,
    /// Price, if given, in the currency of the site.
    pub first_cost: Option<f64>,
    /// Where the figures come from.
    pub provenance: Provenance,
}

/// How removal and power follow the inlet air.
#[derive(Clone, Debug, PartialEq)]
pub enum Performance {
    /// A table of the maker.
    Table(Table),
    /// Biquadratics over the first rating.
    Curve(Curve),
    /// Few points of a maker: the record's closure, fitted to them.
    Closure(ClosureData),
    /// Only the rating is known: public curve set A.
    RatingOnly,
}

impl Performance {
    /// Word for it in machine files.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::Table(_) => "table",
            Self::Curve(_) => "curve",
            Self::Closure(_) => "closure",
            Self::RatingOnly => "rating only",
        }
    }
}

/// Removal and power as biquadratics over the first rating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Removal over rated removal.
    pub removal: Biquadratic,
    /// Power over rated power.
    pub power: Biquadratic,
    /// Where both hold.
    pub valid: Range,
}

/// Where a fitted closure holds, and how power goes with it.
///
/// ```text
/// P / P_rated = 1 + a (T − T_rated) + b (R − R_rated)     R in percent
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosureData {
    /// a \[1/K\].
    pub power_per_k: f64,
    /// b \[1/%\].
    pub power_per_percent: f64,
    /// The box around the points that it was fitted to.
    pub valid: Range,
}

/// What the fan does when the compressor stops.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FanHabit {
    /// It stops too.
    FollowsCompressor,
    /// It never stops: water on the coil goes back into the room.
    Continuous,
}

/// How a unit gets rid of frost.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Defrost {
    /// Not at all: the inlet window must keep it from frosting.
    None,
    /// Compressor off, fan on, until the coil is warm.
    OffCycle {
        /// Coil temperature at which it starts \[°C\].
        start_c: f64,
        /// Coil temperature at which it ends \[°C\].
        end_c: f64,
    },
    /// Hot gas through the coil.
    HotGas {
        /// Coil temperature at which it starts \[°C\].
        start_c: f64,
        /// Coil temperature at which it ends \[°C\].
        end_c: f64,
        /// Share of the running time spent in defrost when frosting.
        time_share: f64,
    },
}

impl Defrost {
    /// Share of its removal that a coil of this apparatus dew point keeps.
    ///
    /// Off-cycle and none: [`crate::closure::frost_share`]. Hot gas: what its
    /// record says, from 0 °C down.
    pub fn removal_share(&self, adp_c: f64) -> f64 {
        match *self {
            Self::None | Self::OffCycle { .. } => crate::closure::frost_share(adp_c),
            Self::HotGas { time_share, .. } => {
                // From nothing at +2 °C to the whole at 0 °C, so that no step
                // stands in the map.
                1.0 - time_share * (1.0 - adp_c / 2.0).clamp(0.0, 1.0)
            }
        }
    }
}

/// Delays of a unit's own control.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Delays {
    /// From power-up or stop to start \[s\].
    pub restart_s: f64,
    /// Least running time \[s\].
    pub min_on_s: f64,
    /// Least time off \[s\].
    pub min_off_s: f64,
}

/// Electrical plate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plate {
    /// Rated voltage \[V\].
    pub volts: f64,
    /// Lower rated voltage of a plate with two, as 208 V of 208/240 V \[V\].
    pub low_volts: Option<f64>,
    /// Phases, 1 or 3.
    pub phases: u32,
    /// Frequency \[Hz\].
    pub hertz: f64,
    /// Full-load (rated) current \[A\].
    pub full_load_a: f64,
    /// Minimum circuit ampacity \[A\].
    pub min_circuit_a: f64,
    /// Greatest overcurrent protection \[A\].
    pub max_protection_a: f64,
    /// Rated-load current of the compressor alone \[A\].
    pub compressor_a: Option<f64>,
    /// Current with the compressor's rotor locked \[A\].
    pub locked_rotor_a: Option<f64>,
}

/// A face of the cabinet, seen standing behind it and looking the way that
/// `front` points. The unit's own axes start at the centre of the box:
/// x to the front, y to the left, z up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Face {
    /// +x.
    Front,
    /// −x.
    Back,
    /// +y.
    Left,
    /// −y.
    Right,
    /// +z.
    Top,
    /// −z.
    Bottom,
}

/// Each face with its word in machine files.
pub const FACES: [(Face, &str); 6] = [
    (Face::Front, "front"),
    (Face::Back, "back"),
    (Face::Left, "left"),
    (Face::Right, "right"),
    (Face::Top, "top"),
    (Face::Bottom, "bottom"),
];

/// Size, mass and faces.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Body {
    /// Size along x (back to front), y (right to left), z \[m\].
    pub size_m: [f64; 3],
    /// Mass without water \[kg\].
    pub dry_kg: f64,
    /// Mass with the pan full \[kg\].
    pub wet_kg: f64,
    /// Centre of gravity from the centre of the box \[m\].
    pub centre_of_gravity_m: [f64; 3],
    /// Face that air enters by.
    pub inlet: Face,
    /// Face that air leaves by.
    pub outlet: Face,
    /// Face that the filter is drawn from.
    pub filter: Face,
    /// Face of the electrical panel.
    pub panel: Face,
    /// Face of the drain outlet.
    pub drain: Face,
    /// Centre of the drain outlet from the centre of the box \[m\].
    pub drain_at_m: [f64; 3],
    /// Free space needed at front, back, left, right, top, bottom \[m\].
    pub clearance_m: [f64; 6],
}

/// Hanging points and levels.
#[derive(Clone, Debug, PartialEq)]
pub struct Hanging {
    /// Four points from the centre of the box \[m\]; `None`: the record names
    /// none.
    pub points_m: Option<[[f64; 3]; 4]>,
    /// Fall of the pan to its outlet with the cabinet level \[m/m\].
    pub pan_fall: Given<f64>,
    /// Inside diameter of the drain outlet \[m\].
    pub outlet_m: Given<f64>,
}

/// Where the fan stands to the coil.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Cabinet {
    /// Fan after the coil: the pan is below room pressure.
    DrawThrough,
    /// Fan before the coil: the pan is above room pressure.
    BlowThrough,
}

impl Face {
    /// The word for it.
    pub fn word(self) -> &'static str {
        FACES
            .iter()
            .find(|(f, _)| *f == self)
            .map_or("", |(_, w)| w)
    }
}

impl Curve {
    /// Whether removal rises with dry bulb and with relative humidity, and
    /// stays positive, everywhere in the range (on a grid of 25 by 25).
    pub fn rises(&self) -> bool {
        let v = &self.valid;
        let at = |i: i32, j: i32| {
            let x = f64::from(i) / 24.0;
            let y = f64::from(j) / 24.0;
            self.removal.at(
                v.min_dry_bulb_c + x * (v.max_dry_bulb_c - v.min_dry_bulb_c),
                v.min_rel_humidity + y * (v.max_rel_humidity - v.min_rel_humidity),
            )
        };
        (0..25).all(|i| {
            (0..25).all(|j| {
                let here = at(i, j);
                here > 0.0 && (i == 24 || at(i + 1, j) >= here) && (j == 24 || at(i, j + 1) >= here)
            })
        })
    }
}

impl Model {
    /// The rating that everything is referred to.
    ///
    /// # Panics
    /// Never for a record that was read: readers refuse one without ratings.
    pub fn rating(&self) -> &Rating {
        &self.ratings[0]
    }

    /// Power when the compressor is off \[W\]: the fan's if it never stops.
    pub const fn off_w(&self) -> f64 {
        match self.fan_habit {
            FanHabit::FollowsCompressor => self.standby_w,
            FanHabit::Continuous => self.standby_w + self.fan_w,
        }
    }
}

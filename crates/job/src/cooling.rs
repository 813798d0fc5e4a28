//! Cooling as the survey knows it: a catalogue model, or a capacity and a few
//! numbers put around the public single-stage curve.

use std::sync::Arc;

use air::MoistAir;
use equipment::{
    Catalog, CoilRating, Cooler, CoolerData, CoolingKind, CoolingRating, Existence, Provenance,
    RatedPoint, bypass_factor_from_rating,
};
use rayon::prelude::*;
use room::{Cooling, Room};
use roomsim::{CoolingAxes, CoolingPoint, CoolingTable, PointData};

use crate::error::JobError;
use crate::machines::{self, Nodes, machine_error};
use crate::remembered::Remembered;

/// Standard entering air and outdoor air of a rated capacity: 80/67 °F and
/// 95 °F.
///
/// **Source** AHRI Standard 210/240 rating point, from memory.
const RATED_DRY_BULB_C: f64 = 26.67;
const RATED_WET_BULB_C: f64 = 19.44;
const RATED_OUTDOOR_C: f64 = 35.0;

/// Barometric pressure of a rating \[Pa\].
const SEA_LEVEL_PA: f64 = 101_325.0;

/// Air flow where none was surveyed: 400 cfm per ton.
///
/// Common practice, no published source.
const AIR_FLOW_M3_PER_S_PER_W: f64 = 400.0 * 4.719_474_432e-4 / 3_516.852_842_066_7;

/// Indoor fan power where none was surveyed: 365 W per 1000 cfm.
///
/// **Source** AHRI Standard 210/240 default, from memory.
const FAN_W_PER_M3_PER_S: f64 = 365.0 / (1000.0 * 4.719_474_432e-4);

/// Capacity over power of compressor and outdoor fan where no power was
/// surveyed.
///
/// **Assumed**: an ordinary single-stage machine at 95 °F outdoors.
const CAPACITY_PER_POWER: f64 = 3.5;

/// Sensible share at the rating where none was surveyed.
///
/// **Assumed**: an ordinary air-conditioning coil.
const SENSIBLE_SHARE: f64 = 0.75;

/// C_d of the part-load rule where none was surveyed.
///
/// **Source** AHRI Standard 210/240 default, from memory.
const CYCLING_LOSS: f64 = 0.25;

/// Outdoor dry bulbs at which a machine is tabulated \[°C\].
const OUTDOOR_NODES_C: [f64; 10] = [-20.0, -10.0, 0.0, 10.0, 18.0, 24.0, 29.4, 35.0, 40.6, 46.1];

/// The machine behind a surveyed cooling section.
///
/// # Errors
/// An unknown model, no capacity, or numbers that no coil can have.
pub(crate) fn cooler(cooling: &Cooling, catalog: &Catalog) -> Result<Cooler, JobError> {
    let known = match &cooling.model {
        Some(code) => {
            let cooler = machines::record(&catalog.coolers, &code.value, &cooling.name)?;
            match &cooling.capacity_w {
                Some(capacity) => cooler.scaled(capacity.value / cooler.rating.total_w),
                None => cooler.clone(),
            }
        }
        None => from_numbers(cooling)?,
    };
    Ok(Cooler {
        fan_w: cooling
            .fan_power_w
            .as_ref()
            .map_or(known.fan_w, |w| w.value),
        degradation: cooling
            .cycling_loss
            .as_ref()
            .map_or(known.degradation, |c| c.value),
        ..known
    })
}

/// A single-stage machine of the surveyed numbers.
///
/// A capacity is stated at sea level, whatever the room's altitude.
fn from_numbers(cooling: &Cooling) -> Result<Cooler, JobError> {
    let Some(capacity) = &cooling.capacity_w else {
        return Err(JobError::CoolingWithoutCapacity {
            place: cooling.name.clone(),
        });
    };
    let total_w = capacity.value;
    let entering = MoistAir::from_pair(
        air::Property::DryBulb(RATED_DRY_BULB_C),
        air::Property::WetBulb(RATED_WET_BULB_C),
        SEA_LEVEL_PA,
    )
    .map_err(|e| machine_error(&cooling.name, &e))?;
    let airflow_m3_per_s = cooling
        .air_flow_m3_per_s
        .as_ref()
        .map_or(total_w * AIR_FLOW_M3_PER_S_PER_W, |v| v.value);
    let dry_air_kg_per_s =
        equipment::cooling::standard_dry_air_kg_per_s(airflow_m3_per_s, SEA_LEVEL_PA);
    let share = sensible_share(cooling, &entering);
    let sensible_w = share * total_w;
    let bypass_factor = match &cooling.bypass_factor {
        Some(bf) => bf.value,
        None if share < 1.0 => bypass_factor_from_rating(&CoilRating {
            entering,
            total_w,
            sensible_w,
            dry_air_kg_per_s,
        })
        .map_err(|e| JobError::Machine {
            machine: cooling.name.clone(),
            reason: format!("{e}; mend {}", what_gives_the_share(cooling)),
        })?,
        None => 0.1,
    };
    let condensing_unit_w = cooling
        .power_w
        .as_ref()
        .map_or(total_w / CAPACITY_PER_POWER, |p| p.value);
    Ok(Cooler {
        code: cooling.name.clone(),
        description: "cooling by its surveyed numbers".into(),
        kind: CoolingKind::RatedPoint(RatedPoint {
            total_w,
            condensing_unit_w,
            wet_bulb_c: RATED_WET_BULB_C,
            outdoor_c: RATED_OUTDOOR_C,
        }),
        rating: CoolingRating {
            dry_bulb_c: RATED_DRY_BULB_C,
            wet_bulb_c: RATED_WET_BULB_C,
            outdoor_c: RATED_OUTDOOR_C,
            total_w,
            sensible_w,
            compressor_w: condensing_unit_w,
        },
        bypass_factor,
        airflow_m3_per_s,
        fan_w: airflow_m3_per_s * FAN_W_PER_M3_PER_S,
        outdoor_fan_w: 0.0,
        degradation: CYCLING_LOSS,
        data_pressure_pa: SEA_LEVEL_PA,
        first_cost: cooling.first_cost.as_ref().map(|c| c.value),
        provenance: Provenance {
            existence: Existence::Documented {
                document: "survey of the room".into(),
                page: cooling.name.clone(),
                read_on: String::new(),
            },
            figures: Vec::new(),
        },
    })
}

/// The keys of the cooling section that set its sensible share at the rating.
const fn what_gives_the_share(cooling: &Cooling) -> &'static str {
    match (&cooling.sensible_share, &cooling.coil_dew_point_c) {
        (Some(_), _) => "sensible_share or air_flow",
        (None, Some(_)) => "coil_dew_point or air_flow",
        (None, None) => "air_flow, or say sensible_share",
    }
}

/// As surveyed; or that of the surveyed coil dew point; or assumed.
fn sensible_share(cooling: &Cooling, entering: &MoistAir) -> f64 {
    if let Some(share) = &cooling.sensible_share {
        return share.value;
    }
    let Some(adp) = &cooling.coil_dew_point_c else {
        return SENSIBLE_SHARE;
    };
    // Along the line from the entering air to the coil's dew point the share
    // does not depend on how far the air goes.
    let p_pa = entering.pressure_pa();
    let t_c = entering.dry_bulb_c();
    let coil_w = air::saturation_humidity_ratio(adp.value, p_pa).min(entering.humidity_ratio());
    let h_coil = air::enthalpy_j_per_kg(adp.value, coil_w);
    let h_warm = air::enthalpy_j_per_kg(t_c, coil_w);
    let h_in = entering.enthalpy_j_per_kg();
    ((h_warm - h_coil) / (h_in - h_coil)).clamp(0.05, 1.0)
}

/// Whether a cooling is taken that nobody surveyed: lights burn, and what
/// cools the room is not known yet, as on a first phone call.
pub(crate) fn is_assumed(room: &Room) -> bool {
    room.cooling.is_empty() && lights_w(room) > 0.0
}

fn lights_w(room: &Room) -> f64 {
    room.light
        .as_ref()
        .filter(|l| l.photoperiod_s.value > 0.0)
        .map_or(0.0, |l| l.power_w.value * l.heat_in_room.value)
}

/// The cooling that [`is_assumed`]: it holds the temperature, takes no water
/// and its electricity is not known.
///
/// # Errors
/// Never for a pressure that the room file allows.
pub(crate) fn assumed_table(
    room: &Room,
    setpoint_c: f64,
    pressure_pa: f64,
) -> Result<Arc<CoolingTable>, JobError> {
    /// Room for the units' heat beside that of the lights.
    const AMPLE: f64 = 3.0;
    let axes = CoolingAxes::around(setpoint_c, vec![OUTDOOR_NODES_C[0]]);
    CoolingTable::tabulate(&axes, pressure_pa, |_, _, _| CoolingPoint {
        gross_sensible_w: AMPLE * lights_w(room),
        latent_w: 0.0,
        power_w: 0.0,
        data: PointData::Inside,
    })
    .map(Arc::new)
    .map_err(|e| machine_error("assumed cooling", &e))
}

/// What counts of the water that a cooling coil takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum CoilWaterCounts {
    /// All of it, as simulated.
    Yes,
    /// None: the units must carry everything.
    No,
}

/// Where a cooling machine is tabulated.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct CoolingAt {
    /// Setpoint of the thermostat \[°C\].
    pub(crate) setpoint_c: f64,
    /// Barometric pressure \[Pa\].
    pub(crate) pressure_pa: f64,
    /// Coldest and warmest outdoor air of the day \[°C\].
    pub(crate) outdoor_c: (f64, f64),
    /// What counts of its water.
    pub(crate) water: CoilWaterCounts,
    /// How finely.
    pub(crate) nodes: Nodes,
}

impl CoolingAt {
    /// Outdoor dry bulbs of the nodes \[°C\]: those of [`OUTDOOR_NODES_C`]
    /// between which the day lies; at a first look the ends of the day.
    fn outdoor_nodes_c(&self) -> Vec<f64> {
        /// A day that varies by less has one air \[K\].
        const ONE_AIR_K: f64 = 0.1;
        let (coldest, warmest) = self.outdoor_c;
        if self.nodes == Nodes::Coarse {
            return if warmest - coldest < ONE_AIR_K {
                vec![0.5 * (coldest + warmest)]
            } else {
                vec![coldest, warmest]
            };
        }
        let last = OUTDOOR_NODES_C.len() - 1;
        let first = OUTDOOR_NODES_C.partition_point(|&o| o <= coldest);
        let first = first.saturating_sub(1);
        let end = OUTDOOR_NODES_C.partition_point(|&o| o < warmest).min(last);
        OUTDOOR_NODES_C[first..=end.max(first)].to_vec()
    }

    fn axes(&self, outdoor_c: f64) -> CoolingAxes {
        match self.nodes {
            Nodes::Fine => CoolingAxes::around(self.setpoint_c, vec![outdoor_c]),
            Nodes::Coarse => CoolingAxes::coarse_around(self.setpoint_c, vec![outdoor_c]),
        }
    }
}

/// A machine at one outdoor dry bulb \[°C\].
type PlaneKey = (Cooler, CoolingAt, f64);

static PLANES: Remembered<PlaneKey, CoolingTable> = Remembered::new(64);

/// The machine at every room air and at the outdoor air of a day.
///
/// # Errors
/// It gives something that is not a number somewhere.
pub(crate) fn cooling_table(cooler: &Cooler, at: CoolingAt) -> Result<Arc<CoolingTable>, JobError> {
    let plane = |outdoor_c: f64| {
        // A plane does not hang on the day that it is for.
        let anywhere = CoolingAt {
            outdoor_c: (outdoor_c, outdoor_c),
            ..at
        };
        PLANES.of((cooler.clone(), anywhere, outdoor_c), || {
            CoolingTable::tabulate(
                &at.axes(outdoor_c),
                at.pressure_pa,
                |dry_bulb_c, humidity_ratio, outdoor_c| {
                    point(cooler, dry_bulb_c, humidity_ratio, outdoor_c, &at)
                },
            )
        })
    };
    let planes: Vec<_> = at.outdoor_nodes_c().into_par_iter().map(plane).collect();
    // Of several errors the first is told, whichever came first.
    planes
        .into_iter()
        .collect::<Result<Vec<Arc<CoolingTable>>, _>>()
        .and_then(|planes| CoolingTable::stacked(planes.iter().map(Arc::as_ref)))
        .map(Arc::new)
        .map_err(|e| machine_error(&cooler.code, &e))
}

fn point(
    cooler: &Cooler,
    dry_bulb_c: f64,
    humidity_ratio: f64,
    outdoor_c: f64,
    at: &CoolingAt,
) -> CoolingPoint {
    let Ok(entering) = MoistAir::new(dry_bulb_c, humidity_ratio, at.pressure_pa) else {
        // `tabulate` refuses it and says where.
        return CoolingPoint {
            gross_sensible_w: f64::NAN,
            latent_w: f64::NAN,
            power_w: f64::NAN,
            data: PointData::Beyond,
        };
    };
    let out = cooler.at(entering, outdoor_c, cooler.airflow_m3_per_s);
    // Without its water the machine is taken as one that spends the same
    // capacity on dry heat: a warmer coil, not a smaller machine.
    let (gross_sensible_w, latent_w) = match at.water {
        CoilWaterCounts::Yes => (out.sensible_w, out.latent_w),
        CoilWaterCounts::No => (out.total_w, 0.0),
    };
    CoolingPoint {
        gross_sensible_w,
        latent_w,
        power_w: out.compressor_w + out.outdoor_fan_w,
        data: match out.data {
            CoolerData::Inside => PointData::Inside,
            _ => PointData::Beyond,
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nodes_c(coldest: f64, warmest: f64, nodes: Nodes) -> Vec<f64> {
        let at = CoolingAt {
            setpoint_c: 25.0,
            pressure_pa: SEA_LEVEL_PA,
            outdoor_c: (coldest, warmest),
            water: CoilWaterCounts::Yes,
            nodes,
        };
        at.outdoor_nodes_c()
    }

    #[test]
    fn a_day_lies_between_its_nodes_and_has_no_others() {
        assert_eq!(nodes_c(22.0, 33.0, Nodes::Fine), [18.0, 24.0, 29.4, 35.0]);
        assert_eq!(nodes_c(35.0, 35.0, Nodes::Fine), [35.0]);
        assert_eq!(nodes_c(30.0, 30.0, Nodes::Fine), [29.4, 35.0]);
        // Beyond the nodes the outermost holds.
        assert_eq!(nodes_c(-30.0, -25.0, Nodes::Fine), [-20.0]);
        assert_eq!(nodes_c(44.0, 50.0, Nodes::Fine), [40.6, 46.1]);
        assert_eq!(nodes_c(48.0, 50.0, Nodes::Fine), [46.1]);
        assert_eq!(nodes_c(22.0, 33.0, Nodes::Coarse), [22.0, 33.0]);
        assert_eq!(nodes_c(30.0, 30.0, Nodes::Coarse), [30.0]);
    }
}

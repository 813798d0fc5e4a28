//! How much water a unit sends into its drain at most.

use air::MoistAir;
use equipment::{FilterState, Model};
use quantity::Source;
use room::{Room, Target};

use crate::airs::{self, Edge};
use crate::error::JobError;

/// Peak flow over the greatest steady removal: pull-down of a warm wet room,
/// what a defrost lets go, water that waited in the pan.
pub const SURGE: f64 = 1.5;

/// What [`SURGE`] rests on.
pub const SURGE_SOURCE: Source = Source::assumed(
    "1.25 to 1.5 over the steady removal for pull-down, defrost and water that waited in the pan",
);

/// Water of one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitWater {
    /// Air in which it removes most: the wet edge of a target, or its rating.
    pub air: MoistAir,
    /// Removal there \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Peak flow for sizing \[kg/s\].
    pub peak_kg_per_s: f64,
    /// Dry air through its coil there \[kg/s\].
    pub dry_air_kg_per_s: f64,
    /// Enthalpy that this air loses at the coil there \[J/kg\].
    pub enthalpy_drop_j_per_kg: f64,
    /// Cooling capacity of its coil there \[W\].
    pub cooling_w: f64,
    /// Water and surface of the first pipe \[°C\], coldest of the airs.
    pub condensate_c: f64,
}

/// What a record gives at the wettest air of the targets and at its rating.
///
/// # Errors
/// A target's air cannot be.
pub fn unit_water(room: &Room, model: &Model) -> Result<UnitWater, JobError> {
    let mut airs = target_airs(room)?;
    let rating = model.rating();
    airs.extend(
        MoistAir::from_rel_humidity(
            rating.dry_bulb_c,
            rating.rel_humidity,
            airs::pressure_pa(&room.site),
        )
        .ok(),
    );
    let mut most: Option<UnitWater> = None;
    let mut coldest_c = f64::INFINITY;
    for air in airs {
        let out = model.at(air, FilterState::Clean);
        if !out.runs() {
            continue;
        }
        coldest_c = coldest_c.min(out.condensate_c);
        let drop = air.enthalpy_j_per_kg() - out.off_coil.enthalpy_j_per_kg();
        if most.is_none_or(|m| m.removal_kg_per_s < out.removal_kg_per_s) {
            most = Some(UnitWater {
                air,
                removal_kg_per_s: out.removal_kg_per_s,
                peak_kg_per_s: SURGE * out.removal_kg_per_s,
                dry_air_kg_per_s: out.dry_air_kg_per_s,
                enthalpy_drop_j_per_kg: drop,
                cooling_w: out.dry_air_kg_per_s * drop,
                condensate_c: out.condensate_c,
            });
        }
    }
    most.map(|m| UnitWater {
        condensate_c: coldest_c,
        ..m
    })
    .ok_or_else(|| JobError::Machine {
        machine: model.code.clone(),
        reason: "runs neither at the targets nor at its own rating".into(),
    })
}

/// Wettest air of each target.
fn target_airs(room: &Room) -> Result<Vec<MoistAir>, JobError> {
    let p_pa = airs::pressure_pa(&room.site);
    targets(room)
        .map(|t| {
            airs::target_air(
                t.dry_bulb_c.value.high,
                t.humidity.as_ref().map(|h| h.value),
                Edge::Wet,
                p_pa,
            )
        })
        .collect()
}

fn targets(room: &Room) -> impl Iterator<Item = &Target> {
    let t = &room.targets;
    [&t.lights_on, &t.transition, &t.lights_off].into_iter()
}

/// Highest dew point that the targets allow \[°C\].
///
/// # Errors
/// A target's air cannot be.
pub fn wettest_dew_point_c(room: &Room) -> Result<f64, JobError> {
    Ok(target_airs(room)?
        .iter()
        .map(MoistAir::dew_point_c)
        .fold(f64::NEG_INFINITY, f64::max))
}

/// Air over an idle trap: the driest of the middles of the targets and of the
/// space around.
///
/// # Errors
/// An air that cannot be.
pub fn idle_air(room: &Room) -> Result<MoistAir, JobError> {
    let p_pa = airs::pressure_pa(&room.site);
    let mut driest = airs::surveyed_air(&room.site.adjacent, "adjacent", p_pa)?;
    for target in targets(room) {
        let air = airs::air_of(target, Edge::Middle, p_pa)?;
        if driest.vpd_pa() < air.vpd_pa() {
            driest = air;
        }
    }
    Ok(driest)
}

/// Water that condenses from an air stream \[kg/s\].
///
/// ```text
/// m = V / v_da (W_in − W_out)
/// ```
///
/// - `airflow_m3_per_s`: air flow at the inlet
/// - `inlet`: air there
/// - `humidity_ratio_out`: of the air that leaves
///
/// **Valid** no water carried over.
/// **Source** mass balance; ASHRAE Fundamentals, Psychrometrics, recalled.
/// **Checked** `tests/drain.rs`.
pub fn condensate_kg_per_s(
    airflow_m3_per_s: f64,
    inlet: &MoistAir,
    humidity_ratio_out: f64,
) -> f64 {
    airflow_m3_per_s / inlet.specific_volume_m3_per_kg()
        * (inlet.humidity_ratio() - humidity_ratio_out)
}

/// Water that a cooling capacity could condense if all of it were latent
/// \[kg/s\].
///
/// ```text
/// m = Q / h_fg
/// ```
///
/// - `cooling_w`: Q
/// - `dry_bulb_c`: where h_fg is taken \[°C\]
///
/// **Valid** an upper bound.
/// **Source** energy balance.
/// **Checked** `tests/drain.rs`.
pub fn all_latent_kg_per_s(cooling_w: f64, dry_bulb_c: f64) -> f64 {
    cooling_w / air::latent_heat_j_per_kg(dry_bulb_c)
}

//! Water condenses on a duct, or in it.
//!
//! Outside on a duct that is colder than the dew point around it; inside where
//! the room's air passes through a cold space.

use air::MoistAir;
use equipment::FilterState;
use quantity::{Dim, Finding, Severity, Source, Step, Text, Value};
use room::{Duct, DuctSide};

use super::{metres, place};
use crate::airs::{self, Edge};
use crate::finding::Said;
use crate::placement::ducts::{INSULATION_W_PER_M_K, Sweating, heat_w, insulation_m2_k_per_w};
use crate::placement::scene::{Scene, Seen};

/// Side of the wall on which water condenses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Wet {
    Outside,
    Inside,
}

/// Air in a duct and around it, with what it asks for.
struct Worst {
    wet: Wet,
    /// Air that gives its water.
    moist: MoistAir,
    /// Temperature on the other side \[°C\].
    cold_c: f64,
    /// Insulation that keeps it dry \[m² K/W\]; infinite where none does.
    least_m2_k_per_w: f64,
}

pub(super) fn check(scene: &Scene<'_>) -> Vec<Finding> {
    let mut all = Vec::new();
    for u in &scene.units {
        for duct in scene
            .room
            .ducts
            .iter()
            .filter(|d| d.unit.value == u.unit.tag)
        {
            let Some(worst) = worst(scene, u, duct) else {
                continue;
            };
            let has_m = duct.insulation_m.value;
            let least_m = worst.least_m2_k_per_w * INSULATION_W_PER_M_K;
            if least_m <= has_m + 1e-6 {
                continue;
            }
            all.push(said(u, duct, &worst, least_m));
        }
    }
    all
}

fn said(u: &Seen<'_>, duct: &Duct, worst: &Worst, least_m: f64) -> Finding {
    let temperature = |c: f64| Value::new(c, Dim::Temperature);
    let side = match duct.side.value {
        DuctSide::Inlet => "inlet",
        DuctSide::Outlet => "outlet",
    };
    let (air, other, why) = match worst.wet {
        Wet::Outside => (
            "the air around it has a dew point of ",
            " and the air in it is at ",
            "the duct sweats and drips on what is below",
        ),
        Wet::Inside => (
            "the air in it has a dew point of ",
            " and the air around it is at ",
            "water condenses in the duct, stands in it and grows mould",
        ),
    };
    let passes_w = heat_w(duct, worst.moist.dry_bulb_c() - worst.cold_c);
    let said = Said {
        check: "duct_sweats",
        severity: Severity::Fix,
        step: Step::Placement,
        place: place(u),
        what: Text::from(format!("{side} duct: {air}"))
            .value(temperature(worst.moist.dew_point_c()))
            .words(other)
            .value(temperature(worst.cold_c))
            .words("; with ")
            .value(metres(duct.insulation_m.value))
            .words(" of insulation ")
            .value(Value::new(passes_w, Dim::Power).digits(2))
            .words(" pass through its wall"),
        why,
        remedy: "insulate it outside as thick or thicker, joints sealed against vapour; lay it with a fall and a drain at its low point".into(),
        source: Source::assumed(
            "heat balance of the surface, film 0.12 m2 K/W, insulation 0.04 W/m K; air of the wettest target and of the space around",
        ),
    };
    if least_m.is_finite() {
        said.compared(metres(duct.insulation_m.value), metres(least_m))
    } else {
        said.finding()
    }
}

/// The target at which a duct asks for most; `None`: it stays dry at all.
fn worst(scene: &Scene<'_>, u: &Seen<'_>, duct: &Duct) -> Option<Worst> {
    let room = scene.room;
    let p_pa = airs::pressure_pa(&room.site);
    let t = &room.targets;
    let mut worst: Option<Worst> = None;
    for target in [&t.lights_on, &t.transition, &t.lights_off] {
        // Air that cannot be is refused by the steps that need it.
        let Ok(inside) = airs::air_of(target, Edge::Wet, p_pa) else {
            continue;
        };
        let around = if u.in_room() {
            inside
        } else {
            let Ok(adjacent) = airs::surveyed_air(&room.site.adjacent, "adjacent", p_pa) else {
                continue;
            };
            adjacent
        };
        let carried = match duct.side.value {
            DuctSide::Inlet => inside,
            DuctSide::Outlet => {
                let out = u.model.at(inside, FilterState::Clean);
                if !out.runs() {
                    continue;
                }
                out.discharge
            }
        };
        for (wet, moist, other) in [
            (Wet::Outside, around, carried),
            (Wet::Inside, carried, around),
        ] {
            // A warmer or drier other side takes nothing.
            if moist.dew_point_c() <= other.dry_bulb_c() {
                continue;
            }
            let least_m2_k_per_w = insulation_m2_k_per_w(&Sweating {
                ambient_c: moist.dry_bulb_c(),
                dew_point_c: moist.dew_point_c(),
                duct_c: other.dry_bulb_c(),
            });
            if worst
                .as_ref()
                .is_none_or(|w| w.least_m2_k_per_w < least_m2_k_per_w)
            {
                worst = Some(Worst {
                    wet,
                    moist,
                    cold_c: other.dry_bulb_c(),
                    least_m2_k_per_w,
                });
            }
        }
    }
    worst
}

#[cfg(test)]
mod tests {
    use super::super::rig::found_in;
    use super::*;
    use crate::common::one;

    /// A unit outside the room, its inlet duct in a space of 13 °C: air of 24 °C
    /// and 60 % needs 0.0403 m² K/W, 1.6 mm of 0.04 W/m K.
    fn outside(mm: f64, adjacent_c: f64) -> Vec<Finding> {
        let text = format!(
            "{}rh = \"60 %\"\n{}mount = \"outside\"\n[adjacent]\ndry_bulb = \"{adjacent_c} °C\"\nrh = \"40 %\"\n[[duct]]\nunit = \"D1\"\nside = \"inlet\"\nlength = \"5 m\"\ndiameter = \"300 mm\"\ninsulation = \"{mm} mm\"\n",
            super::super::rig::HALL,
            super::super::rig::hung("D1", [5.0, 4.0, 1.0]),
        );
        found_in(check, &text)
    }

    #[test]
    fn insulation_just_keeps_the_duct_dry() {
        assert!(outside(1.65, 13.0).is_empty());
        let (finding, measured, limit) = one(outside(1.55, 13.0));
        assert_eq!(finding.severity, Severity::Fix);
        assert!((measured - 0.00155).abs() < 1e-9);
        assert!((limit - 0.0403 * 0.04).abs() < 2e-5, "{limit}");
        // At the dew point of 15.8 °C a bare duct is dry.
        assert!(outside(0.0, 15.8).is_empty());
        assert_eq!(outside(0.0, 15.7).len(), 1);
    }

    #[test]
    fn humid_air_around_a_cool_duct_wets_it_outside() {
        let text = format!(
            "{}rh = \"50 %\"\n{}mount = \"outside\"\n[adjacent]\ndry_bulb = \"35 °C\"\nrh = \"70 %\"\n[[duct]]\nunit = \"D1\"\nside = \"inlet\"\nlength = \"5 m\"\ndiameter = \"300 mm\"\n",
            super::super::rig::HALL,
            super::super::rig::hung("D1", [5.0, 4.0, 1.0]),
        );
        let (finding, _, _) = one(found_in(check, &text));
        assert!(
            finding
                .why
                .show(quantity::UnitSystem::Metric)
                .contains("sweats")
        );
    }
}

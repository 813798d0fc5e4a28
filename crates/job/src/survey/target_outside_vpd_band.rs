//! The middle of a humidity target does not lie in the crop stage's VPD band.

use quantity::{Dim, Finding, Place, Severity, Step, Text, Value};
use room::{Period, Room};

use crate::airs::{self, Edge};
use crate::finding::Said;

pub(super) fn check(room: &Room) -> Vec<Finding> {
    let Some(crop) = &room.crop else {
        return Vec::new();
    };
    let stage = crop.stage.value.targets();
    let p_pa = airs::pressure_pa(&room.site);
    let value = |x: f64| Value::new(x, Dim::VapourPressure);
    if room.period_length_s(Period::LightsOn) <= 0.0 {
        return Vec::new();
    }
    let Ok(air) = airs::air_of(room.targets.of(Period::LightsOn), Edge::Middle, p_pa) else {
        return Vec::new();
    };
    let vpd_pa = air.vpd_pa();
    if stage.vpd_pa.low <= vpd_pa && vpd_pa <= stage.vpd_pa.high {
        return Vec::new();
    }
    let limit = if vpd_pa < stage.vpd_pa.low {
        stage.vpd_pa.low
    } else {
        stage.vpd_pa.high
    };
    vec![
        Said {
            check: "target_outside_vpd_band",
            severity: Severity::Note,
            step: Step::Survey,
            place: Place::new("target"),
            what: Text::from("the middle of the target with lights on is a VPD of ")
                .value(value(vpd_pa))
                .words("; for this stage ")
                .value(value(stage.vpd_pa.low))
                .words(" to ")
                .value(value(stage.vpd_pa.high))
                .words(" is usual"),
            why: "a dry bulb and a relative humidity that are each usual can be an unusual VPD together",
            remedy: "ask the grower whether dry bulb, humidity or VPD is what is meant".into(),
            source: stage.source,
        }
        .compared(value(vpd_pa), value(limit)),
    ]
}

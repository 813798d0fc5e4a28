//! Measured water and the crop model do not speak of the same room.
//!
//! Looks at water fed less runoff against the drawn days. On site the usual
//! causes are a canopy area that counts aisles, a meter that feeds two rooms,
//! a leak, or light at the canopy that was never measured. Which input to
//! doubt follows from which of the two leaves the plausible band of the crop.

use quantity::{Band, Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::Room;

use crate::finding::Said;
use crate::load::Load;

pub(super) fn check(room: &Room, load: &Load) -> Vec<Finding> {
    let (Some(crop), Some(m)) = (&room.crop, &load.measured) else {
        return Vec::new();
    };
    let overlap = m.drawn_kg_per_day.low <= m.vapour_kg_per_day.high
        && m.vapour_kg_per_day.low <= m.drawn_kg_per_day.high;
    if m.agrees && overlap {
        return Vec::new();
    }
    let per_area = |kg: f64| kg / crop.canopy_m2.value;
    let plausible = crop
        .class()
        .plausible_kg_per_m2_day
        .as_ref()
        .map(|p| p.value);
    let doubt = whom_to_doubt(
        per_area(m.vapour_kg_per_day.likely),
        per_area(m.drawn_kg_per_day.likely),
        plausible,
    );
    vec![
        Said {
            check: "measured_water_disagrees",
            severity: Severity::Fix,
            step: Step::Load,
            place: Place::new("canopy"),
            what: Text::from("water fed less runoff leaves ")
                .value(water(m.vapour_kg_per_day.likely))
                .words(" to evaporate; the crop model gives ")
                .value(water(m.drawn_kg_per_day.low))
                .words(" to ")
                .value(water(m.drawn_kg_per_day.high)),
            why: "one of the two is wrong, and the units are sized by it",
            remedy: Text::from(doubt),
            source: Source::assumed(
                "agreement: the 10-90 % bands overlap, and the measurement leaves at least 2 % of the draws their weight",
            ),
        }
        .compared(
            water(m.vapour_kg_per_day.likely),
            water(m.drawn_kg_per_day.likely),
        ),
    ]
}

fn water(kg_per_day: f64) -> Value {
    Value::new(kg_per_day / 86_400.0, Dim::WaterRate)
}

/// Which input to doubt first.
fn whom_to_doubt(measured: f64, modelled: f64, plausible: Option<Band>) -> &'static str {
    let inside = |x: f64| plausible.is_none_or(|p| p.low <= x && x <= p.high);
    match (inside(measured), inside(modelled)) {
        (false, true) => {
            "doubt the measurement first: does the meter feed this room only, was runoff caught from all of it, is a day's mean meant?"
        }
        (true, false) => {
            "doubt the canopy first: measure the area under leaves, the light at the canopy and the leaf area again"
        }
        _ if measured < modelled => {
            "measure runoff for three days and the light at the canopy: both are plausible, and a young canopy gives off less"
        }
        _ => {
            "look for a leak, and measure light and air movement at the canopy: both are plausible"
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn doubts_the_one_outside_the_crops_band() {
        let band = Some(Band::new(3.5, 4.9, 6.0));
        assert!(whom_to_doubt(9.0, 5.0, band).starts_with("doubt the measurement"));
        assert!(whom_to_doubt(5.0, 9.0, band).starts_with("doubt the canopy"));
        assert!(whom_to_doubt(3.6, 5.9, band).contains("young canopy"));
        assert!(whom_to_doubt(5.9, 3.6, band).contains("leak"));
    }

    /// Measured and drawn bands that only just touch agree; so they do not
    /// when the draws could not be weighted.
    #[test]
    fn bands_must_touch_and_draws_must_keep_weight() {
        use crate::common::{Sheet, one};
        let sheet = Sheet::leafy()
            .set("crop", "water_fed", "\"60 L/day\"")
            .set("crop", "runoff", "\"10 %\"");
        let (room, load) = (sheet.room(), sheet.load());
        let with = |vapour: Band, agrees: bool| {
            let mut load = load.clone();
            let measured = load.measured.as_mut().unwrap();
            measured.vapour_kg_per_day = vapour;
            measured.drawn_kg_per_day = Band::new(40.0, 50.0, 60.0);
            measured.agrees = agrees;
            check(&room, &load)
        };
        assert!(with(Band::new(60.0, 65.0, 70.0), true).is_empty());
        assert!(with(Band::new(30.0, 35.0, 40.0), true).is_empty());
        for (band, agrees) in [
            (Band::new(60.1, 65.0, 70.0), true),
            (Band::new(30.0, 35.0, 39.9), true),
            (Band::new(60.0, 65.0, 70.0), false),
        ] {
            let (finding, measured, drawn) = one(with(band, agrees));
            assert_eq!(finding.severity, Severity::Fix);
            assert!((measured * 86_400.0 - band.likely).abs() < 1e-9);
            assert!((drawn * 86_400.0 - 50.0).abs() < 1e-9);
        }
    }
}

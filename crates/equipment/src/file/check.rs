//! Does a record agree with itself?

use fields::{Fault, Problems, Reading};

use crate::cooling::Cooler;
use crate::fan::FilterState;
use crate::model::{Defrost, Model, Performance};

/// How far a map may be from a rated point: maker's rounding.
pub(crate) const ROUNDING: f64 = 0.03;

/// Checks that the map gives the ratings back, rises with dry bulb and
/// relative humidity, and that the figures of the body and plate fit.
pub(super) fn check_model(reading: &Reading, model: &Model, problems: &mut Problems) {
    ratings(reading, model, problems);
    rising(reading, model, problems);
    plate_and_body(reading, model, problems);
}

fn ratings(reading: &Reading, model: &Model, problems: &mut Problems) {
    for (i, (rating, entry)) in model
        .ratings
        .iter()
        .zip(reading.sections("rating"))
        .enumerate()
    {
        // Only the rating itself is known: another rating then tests the
        // public curve, not the record.
        if i > 0 && matches!(model.performance, Performance::RatingOnly) {
            continue;
        }
        let Ok(inlet) = air::MoistAir::from_rel_humidity(
            rating.dry_bulb_c,
            rating.rel_humidity,
            model.data_pressure_pa,
        ) else {
            continue;
        };
        let out = model.at(inlet, FilterState::Clean);
        for (key, got, rated) in [
            ("removal", out.removal_kg_per_s, rating.removal_kg_per_s),
            ("power", out.power_w, rating.power_w),
        ] {
            let off = got / rated - 1.0;
            if off.abs() > ROUNDING || off.is_nan() {
                problems.push(entry.problem(
                    Fault::Contradiction,
                    key,
                    &format!(
                        "at the air of this rating the map gives {:+.1} % of what is rated",
                        100.0 * off
                    ),
                    "the two come from one machine at one air: check units, condition and map",
                ));
            }
        }
    }
}

fn rising(reading: &Reading, model: &Model, problems: &mut Problems) {
    match &model.performance {
        Performance::Table(table) => {
            if let Some(p) = table.falls_at()
                && let Some(entry) = reading.section("performance.table")
            {
                problems.push(entry.problem(
                    Fault::Contradiction,
                    "rows",
                    &format!(
                        "removal falls from {:.1} °C and {:.0} % to warmer or damper air",
                        p.dry_bulb_c,
                        100.0 * p.rel_humidity
                    ),
                    "removal rises with dry bulb and with relative humidity: check that row",
                ));
            }
        }
        Performance::Curve(curve) => {
            if let (false, Some(entry)) = (curve.rises(), reading.section("performance.curve")) {
                problems.push(entry.problem(
                    Fault::Contradiction,
                    "removal",
                    "somewhere in its range the curve falls with dry bulb or relative humidity, or runs below zero",
                    "narrow the range, or check the coefficients",
                ));
            }
        }
        Performance::Closure(_) | Performance::RatingOnly => {}
    }
}

fn plate_and_body(reading: &Reading, model: &Model, problems: &mut Problems) {
    let mut say = |section: &str, key: &str, what: &str, mend: &str| {
        problems.push(
            reading
                .once(section)
                .problem(Fault::Contradiction, key, what, mend),
        );
    };
    if model.max_inlet_c <= model.min_inlet_c {
        say(
            "limits",
            "max_inlet",
            "the highest inlet is not above the lowest",
            "exchange the two",
        );
    }
    if model.body.wet_kg < model.body.dry_kg {
        say(
            "body",
            "mass_wet",
            "the unit is lighter with water than without",
            "exchange mass_dry and mass_wet",
        );
    }
    if model.plate.phases == 2 {
        say(
            "electric",
            "phases",
            "two phases",
            "a supply between two lines is one phase: write 1",
        );
    }
    if model.plate.min_circuit_a < model.plate.full_load_a {
        say(
            "electric",
            "min_circuit",
            "the minimum circuit ampacity is below the full-load current",
            "check the nameplate",
        );
    }
    let full_load_a = model.plate.full_load_a;
    if model.plate.compressor_a.is_some_and(|a| full_load_a < a) {
        say(
            "electric",
            "compressor_current",
            "the compressor's current is above the full-load current of the whole",
            "check the nameplate",
        );
    }
    if model.plate.locked_rotor_a.is_some_and(|a| a < full_load_a) {
        say(
            "electric",
            "locked_rotor",
            "the locked-rotor current is below the full-load current",
            "check the nameplate",
        );
    }
    if model.plate.max_protection_a < model.plate.min_circuit_a {
        say(
            "electric",
            "max_protection",
            "the greatest protection is below the minimum circuit ampacity",
            "check the nameplate",
        );
    }
    if let Defrost::OffCycle { start_c, end_c } | Defrost::HotGas { start_c, end_c, .. } =
        model.defrost
        && end_c <= start_c
    {
        say(
            "limits",
            "defrost_end",
            "defrost ends colder than it starts",
            "exchange the two",
        );
    }
    let half = model.body.size_m.map(|x| 0.5 * x + 0.05);
    for (key, point) in [
        ("centre_of_gravity", model.body.centre_of_gravity_m),
        ("drain_at", model.body.drain_at_m),
    ] {
        if point.iter().zip(half).any(|(x, h)| x.abs() > h) {
            say(
                "body",
                key,
                "this point lies outside the box",
                "measure from the centre of the box: x to the front, y to the left, z up",
            );
        }
    }
}

/// Checks that a cooling machine gives its rating back.
pub(super) fn check_cooler(reading: &Reading, cooler: &Cooler, problems: &mut Problems) {
    let r = &cooler.rating;
    let Ok(entering) = air::MoistAir::from_pair(
        air::Property::DryBulb(r.dry_bulb_c),
        air::Property::WetBulb(r.wet_bulb_c),
        cooler.data_pressure_pa,
    ) else {
        return;
    };
    let out = cooler.at(entering, r.outdoor_c, cooler.airflow_m3_per_s);
    for (key, got, rated) in [
        ("total", out.total_w, r.total_w),
        ("sensible", out.sensible_w, r.sensible_w),
        ("compressor", out.compressor_w, r.compressor_w),
    ] {
        if (got - rated).abs() > ROUNDING * rated.max(1.0) || got.is_nan() {
            problems.push(reading.once("rating").problem(
                Fault::Contradiction,
                key,
                &format!("at the rated air the record gives {got:.0} W"),
                "check units, air flow and map",
            ));
        }
    }
}

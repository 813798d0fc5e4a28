//! What there is to say about a record.

use air::MoistAir;
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};

use crate::curve::{CURVE_SOURCE, SET_A_CLAMP, SET_A_REMOVAL};
use crate::model::{Model, Performance};
use crate::rating::{Rating, Standard};

/// Difference between the public curve and the closure that is worth a
/// finding: so far do public curve sets differ from each other.
const MODELS_APART: f64 = 0.10;

/// Difference between a second rating and what the first one promises there.
const RATINGS_APART: f64 = 0.10;

/// Two ways to carry one rating disagree at this inlet air: the public curve
/// and the closure differ by more than 10 %. Only for records of which
/// nothing but the rating is known.
///
/// The lower of the two should be planned with.
pub fn rating_models_disagree(model: &Model, inlet: &MoistAir) -> Option<Finding> {
    if !matches!(model.performance, Performance::RatingOnly) {
        return None;
    }
    let rating = model.rating();
    let (t_c, rh) = SET_A_CLAMP.clamp(inlet.dry_bulb_c(), inlet.rel_humidity().min(1.0));
    let air = MoistAir::from_rel_humidity(t_c, rh, model.data_pressure_pa).ok()?;
    let by_curve = rating.removal_kg_per_s * SET_A_REMOVAL.at(t_c, rh)
        / SET_A_REMOVAL.at(rating.dry_bulb_c, rating.rel_humidity);
    let pass = model.closure.at(&air, model.closure.airflow_m3_per_s);
    let by_closure = pass.water_kg_per_s * model.defrost.removal_share(pass.adp_c);
    let apart = (by_curve / by_closure - 1.0).abs();
    if apart.is_nan() || apart <= MODELS_APART {
        return None;
    }
    let water = |x: f64| Value::new(x, Dim::WaterRate);
    Some(Finding {
        check: "rating_models_disagree".into(),
        severity: Severity::Note,
        step: Step::Selection,
        place: Place::new(format!("model {}", model.code)),
        what: Text::from("at ")
            .value(Value::new(t_c, Dim::Temperature))
            .words(" and ")
            .value(Value::new(rh, Dim::RelHumidity).digits(2))
            .words(" the public curve promises ")
            .value(water(by_curve))
            .words(", the bypass-factor model ")
            .value(water(by_closure)),
        measured: Some(Value::new(apart, Dim::Fraction).digits(2)),
        limit: Some(Value::new(MODELS_APART, Dim::Fraction).digits(2)),
        why: "only the rating of this model is known, and what it does at other air is a guess that two methods make differently".into(),
        remedy: "ask the maker for the performance table and make a record of it; until then plan with the lower of the two".into(),
        source: CURVE_SOURCE,
    })
}

/// A record states more ratings than its data explain: one of them is more
/// than 10 % off what the first promises at that air.
pub fn ratings_inconsistent(model: &Model) -> Vec<Finding> {
    let mut findings = Vec::new();
    for rating in model.ratings.iter().skip(1) {
        let Ok(air) = MoistAir::from_rel_humidity(
            rating.dry_bulb_c,
            rating.rel_humidity,
            model.data_pressure_pa,
        ) else {
            continue;
        };
        let promised = model.at(air, crate::FilterState::Clean).removal_kg_per_s;
        let apart = promised / rating.removal_kg_per_s - 1.0;
        if apart.abs() <= RATINGS_APART {
            continue;
        }
        findings.push(Finding {
            check: "ratings_inconsistent".into(),
            severity: Severity::Fix,
            step: Step::Selection,
            place: Place::new(format!("model {}", model.code)),
            what: Text::from("the rating at ")
                .value(Value::new(rating.dry_bulb_c, Dim::Temperature))
                .words(" is ")
                .value(Value::new(rating.removal_kg_per_s, Dim::WaterRate))
                .words(", but the record gives ")
                .value(Value::new(promised, Dim::WaterRate))
                .words(" there"),
            measured: Some(Value::new(apart.abs(), Dim::Fraction).digits(2)),
            limit: Some(Value::new(RATINGS_APART, Dim::Fraction).digits(2)),
            why: "two ratings of one machine must come from one map; otherwise one of them was taken at other air".into(),
            remedy: "check the condition beside each rating in the document; add the maker's table if there is one".into(),
            source: Source::assumed("public curves themselves differ by 10 %"),
        });
    }
    findings
}

/// Two ratings were brought to one condition before they were compared, and
/// the reader should know.
pub fn rating_converted(model: &Model, to: Standard) -> Option<(Rating, Finding)> {
    let rating = model.rating();
    if rating.standard == to {
        return None;
    }
    let converted = rating.converted(to)?;
    let finding = Finding {
        check: "rating_converted".into(),
        severity: Severity::Note,
        step: Step::Selection,
        place: Place::new(format!("model {}", model.code)),
        what: Text::from("rated ")
            .value(Value::new(rating.removal_kg_per_s, Dim::WaterRate))
            .words(" at ")
            .value(Value::new(rating.dry_bulb_c, Dim::Temperature))
            .words("; that is ")
            .value(Value::new(converted.removal_kg_per_s, Dim::WaterRate))
            .words(" at ")
            .value(Value::new(converted.dry_bulb_c, Dim::Temperature))
            .words(", the condition of the comparison"),
        measured: None,
        limit: None,
        why: "a unit rated in cool air looks small beside one rated in warm air; only ratings at one air compare".into(),
        remedy: "compare at the air of the room, not at a rating".into(),
        source: CURVE_SOURCE,
    };
    Some((converted, finding))
}

//! What would decide: the budget of uncertainty read backwards.

use equipment::{Data, Output};
use quantity::{Dim, Text, Value};

use super::{Collection, Condensate, DECIDES_WITHIN, HOLD_UP_KG};
use crate::acceptance::COVERAGE;
use crate::acceptance::gum::rectangular;

/// Longest time that anybody would stand beside a jug \[s\].
const LONGEST_S: f64 = 6.0 * 3600.0;

/// How long water must be caught, at the same rate and with the same jug and
/// watch, for the whole to stay within `allowed_kg_per_s` \[s\]; `None`: no
/// time is long enough.
///
/// ```text
/// U² = U_exp² + k² (σ_M² + m² σ_t²) / t²        t = k √(σ_M² + m² σ_t²) / √(U² − U_exp²)
/// ```
///
/// **Source** the budget of `rate`, solved for the time.
pub(super) fn time_needed_s(
    found: &Condensate,
    collection: &Collection,
    allowed_kg_per_s: f64,
) -> Option<f64> {
    let water_kg = rectangular(collection.read_to_kg).hypot(rectangular(HOLD_UP_KG));
    let ends_s = 2.0_f64.sqrt() * rectangular(collection.ends_to_s);
    let per_time_kg = water_kg.hypot(found.measured.value * ends_s);
    let left = allowed_kg_per_s.powi(2) - found.expected.expanded().powi(2);
    (0.0 < left).then(|| COVERAGE * per_time_kg / left.sqrt())
}

/// By what factor the inlet's instruments must be better for the whole to stay
/// within `allowed_kg_per_s`; `None`: the best would not do.
pub(super) fn instruments_better(found: &Condensate, allowed_kg_per_s: f64) -> Option<f64> {
    let others = found
        .measured
        .expanded()
        .hypot(COVERAGE * found.from_map_kg_per_s);
    let left = allowed_kg_per_s.powi(2) - others.powi(2);
    let inlet = COVERAGE * found.from_inlet_kg_per_s;
    (0.0 < left && 0.0 < inlet).then(|| (left.sqrt() / inlet).min(1.0))
}

/// Everything that alone would decide, the easiest first.
pub(super) fn would_decide(found: &Condensate, collection: &Collection, out: &Output) -> Vec<Text> {
    /// Instruments for a site are not better than this part of the usual.
    const BEST: f64 = 0.2;
    let allowed = DECIDES_WITHIN * found.expected.value;
    let mut ways = Vec::new();
    if let Some(s) = time_needed_s(found, collection, allowed).filter(|s| *s <= LONGEST_S) {
        ways.push(
            Text::from("catch water for ")
                .value(Value::new(s.max(collection.over_s), Dim::Duration).digits(2))
                .words(" with the same jug and watch"),
        );
    }
    if let Some(better) = instruments_better(found, allowed).filter(|b| (BEST..1.0).contains(b)) {
        let k = better * collection.thermometer_k;
        let rh = better * collection.hygrometer;
        ways.push(
            Text::from("a thermometer good to ")
                .value(Value::new(k, Dim::TemperatureDifference).digits(1))
                .words(" and a hygrometer good to ")
                .value(Value::new(rh, Dim::RelHumidityDifference).digits(1))
                .words(" at the inlet (standard uncertainty), a salt-checked one for instance"),
        );
    }
    let map_alone = COVERAGE * found.from_map_kg_per_s;
    if let Data::Beyond { what } = out.data {
        ways.push(Text::from(format!(
            "the inlet air is {}: bring it inside, or ask the maker for the removal at this air",
            what.words()
        )));
    } else if allowed <= map_alone {
        ways.push("a table of the maker at this air: the map alone is too uncertain".into());
    }
    if ways.is_empty() {
        ways.push(
            "all of it together: a longer time, better instruments at the inlet, damper air so that there is more water to catch"
                .into(),
        );
    }
    ways
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::acceptance::condensate::Running;
    use crate::acceptance::{Estimate, Judgement, Verdict};

    fn found(measured: f64, inlet: f64, map: f64) -> Condensate {
        let expected = Estimate::new(1e-3, inlet.hypot(map));
        let measured = Estimate::new(1e-3, measured);
        Condensate {
            measured,
            expected,
            from_inlet_kg_per_s: inlet,
            from_map_kg_per_s: map,
            difference_kg_per_s: measured.expanded().hypot(expected.expanded()),
            judgement: Judgement::plain(Verdict::Pass, Text::new()),
        }
    }

    fn collection(over_s: f64) -> Collection {
        Collection {
            water_kg: 1e-3 * over_s,
            read_to_kg: 0.02,
            over_s,
            ends_to_s: 1.0,
            ran_before_s: 7_200.0,
            running: Running::Through,
            meanwhile: Vec::new(),
            inlet: Vec::new(),
            thermometer_k: 0.5,
            hygrometer: 0.02,
            pressure_pa: 101_325.0,
            ducted_m3_per_s: None,
        }
    }

    /// The time that is told is the one after which the budget is just met.
    #[test]
    fn the_time_told_is_just_long_enough() {
        let at = |over_s: f64| {
            let c = collection(over_s);
            let u = super::super::rate(&c).unwrap().result.standard_uncertainty;
            (c, found(u, 0.08e-3, 0.05e-3))
        };
        let (c, short) = at(300.0);
        let needed_s = time_needed_s(&short, &c, 0.25e-3).unwrap();
        assert!(300.0 < needed_s);
        let (_, after) = at(needed_s);
        assert!((after.difference_kg_per_s / 0.25e-3 - 1.0).abs() < 1e-3);
        let (c, hopeless) = (collection(300.0), found(0.0, 0.13e-3, 0.05e-3));
        assert_eq!(time_needed_s(&hopeless, &c, 0.25e-3), None);
    }

    #[test]
    fn instruments_so_much_better_are_just_good_enough() {
        let poor = found(0.02e-3, 0.15e-3, 0.05e-3);
        let better = instruments_better(&poor, 0.25e-3).unwrap();
        assert!((0.5..1.0).contains(&better));
        let then = found(0.02e-3, 0.15e-3 * better, 0.05e-3);
        assert!((then.difference_kg_per_s / 0.25e-3 - 1.0).abs() < 1e-9);
        assert_eq!(
            instruments_better(&found(0.0, 0.1e-3, 0.15e-3), 0.25e-3),
            None
        );
    }
}

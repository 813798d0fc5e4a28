//! Workings of people, burners, fans and gains with a plain number.

use crop::workings::{Known, burner_heat, burner_water, people_heat, people_water};
use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::{Flue, Gain, GainWater, Hours};

use super::surfaces::hours;
use super::{Likely, OfSource, under};
use crate::load::given_off::LoadSource;
use crate::machines;

/// A working times the share of the period in which it is so; nothing where it
/// never is.
fn for_a_share(of: &Likely<'_>, when: Hours, what: &str, working: Working) -> Option<Working> {
    let share = of.given_off.share_inside(when, of.period);
    if share == 0.0 {
        return None;
    }
    Some(Working {
        name: format!("{} {}", working.name, of.when).into(),
        symbol: "x_mean".into(),
        equation: Equation::Algebra("h * x".into()),
        result: Value {
            si: share * working.result.si,
            ..working.result
        },
        source: crop::sources::BALANCE,
        inputs: vec![hours(share, what), under("x", working)],
    })
}

/// People.
pub(super) fn people(of: &Likely<'_>) -> OfSource {
    let (mut water, mut heat) = (Vec::new(), Vec::new());
    for p in &of.room.people {
        let count = || Known::Given(f64::from(p.count.value), p.count.source());
        let activity = machines::activity(p);
        let at_work = |w| for_a_share(of, p.hours, "worked in", w);
        water.extend(at_work(people_water(count(), activity, &of.air)));
        heat.extend(at_work(people_heat(count(), activity)));
    }
    OfSource::new(LoadSource::People, water, heat)
}

/// Burners without a flue.
pub(super) fn burners(of: &Likely<'_>) -> OfSource {
    let (mut water, mut heat) = (Vec::new(), Vec::new());
    let open = of.room.burners.iter();
    for b in open.filter(|b| b.flue.value == Flue::Unvented) {
        let rate = || Known::Given(machines::burner_gain(b).fuel_kg_per_s, b.rate.source());
        let fuel = machines::fuel(b);
        let lit = |w| for_a_share(of, b.hours, "lit", w);
        water.extend(lit(burner_water(fuel, rate())));
        heat.extend(lit(burner_heat(fuel, rate())));
    }
    OfSource::new(LoadSource::Burner, water, heat)
}

/// Gains with a plain number.
pub(super) fn other(of: &Likely<'_>) -> OfSource {
    let gains = || of.room.gains.iter();
    OfSource::new(
        LoadSource::Other,
        gains().filter_map(|g| gain_water(of, g)).collect(),
        gains().filter_map(|g| gain_heat(of, g)).collect(),
    )
}

fn gain_water(of: &Likely<'_>, gain: &Gain) -> Option<Working> {
    let share = of.given_off.share_inside(gain.hours, of.period);
    let water = gain.water.as_ref()?;
    let (input, equation, si) = match water.value {
        GainWater::VapourKgPerS(rate) => (
            Input::given(
                "vapour given off",
                "w_given",
                Value::new(rate, Dim::WaterRate),
                water.source(),
            ),
            "h * w_given",
            rate,
        ),
        GainWater::LatentW(latent_w) => (
            Input::given(
                "latent heat given off",
                "Q_lat",
                Value::new(latent_w, Dim::Power),
                water.source(),
            ),
            "h * Q_lat / (2501000 + 1860 * T_a)",
            latent_w / air::vapour_enthalpy_j_per_kg(of.air.state.dry_bulb_c()),
        ),
    };
    (0.0 < share && si != 0.0).then(|| Working {
        name: format!("water of {} {}", gain.name.value, of.when).into(),
        symbol: "w_gain".into(),
        equation: Equation::Algebra(equation.into()),
        inputs: vec![hours(share, "on"), input, of.dry_bulb()],
        result: Value::new(share * si, Dim::WaterRate),
        source: crop::sources::BALANCE,
    })
}

fn gain_heat(of: &Likely<'_>, gain: &Gain) -> Option<Working> {
    let share = of.given_off.share_inside(gain.hours, of.period);
    let sensible = &gain.sensible_w;
    (0.0 < share && sensible.value != 0.0).then(|| Working {
        name: format!("heat of {} {}", gain.name.value, of.when).into(),
        symbol: "Q_gain".into(),
        equation: Equation::Algebra("h * Q_given".into()),
        inputs: vec![
            hours(share, "on"),
            Input::given(
                "sensible heat given off",
                "Q_given",
                Value::new(sensible.value, Dim::Power),
                sensible.source(),
            ),
        ],
        result: Value::new(share * sensible.value, Dim::Power),
        source: crop::sources::BALANCE,
    })
}

/// Circulation fans.
pub(super) fn fans(of: &Likely<'_>) -> OfSource {
    let running = of.room.air_movers.iter();
    let running = running.filter(|fan| fan.runs.value.runs_in(of.period));
    let heat = running.map(|fan| {
        let name = fan.name.as_ref().map_or("fans", |n| n.value.as_str());
        let count = f64::from(fan.count.value);
        Working {
            name: format!("heat of {name} {}", of.when).into(),
            symbol: "Q_fan".into(),
            equation: Equation::Algebra("n * P".into()),
            inputs: vec![
                Input::given(
                    "fans",
                    "n",
                    Value::new(count, Dim::Count),
                    fan.count.source(),
                ),
                Input::given(
                    "power of one",
                    "P",
                    Value::new(fan.power_w.value, Dim::Power),
                    fan.power_w.source(),
                ),
            ],
            result: Value::new(fan.power_w.value * count, Dim::Power),
            source: Source::published(
                "conservation of energy",
                "a fan's power ends as heat in the room that it stirs",
            ),
        }
    });
    OfSource::new(LoadSource::Fans, Vec::new(), heat.collect())
}

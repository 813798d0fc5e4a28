//! What share of its inlet air a unit has dried before: an estimate from jets.
//!
//! Own discharge: it goes to the wall or thing ahead, turns, and comes back
//! thinned by the air that it drew in; half of what turns back is taken to come
//! the inlet's way. Other units: the speed of their jet at the inlet, over that
//! of their opening, tells how much of their discharge is still in it. Both
//! leave out buoyancy, jets along ceilings and fans, and are good to a factor
//! of two either way.

use quantity::{Dim, Equation, Input, Source, Value, Working};

use super::jets::{ASHRAE_JET, entrained, temperature_share};
use super::scene::Scene;

/// Share of the turned-back air that comes the inlet's way.
const COMES_BACK: f64 = 0.5;
/// Largest share that is believed.
pub(crate) const MOST: f64 = 0.9;
/// Factor by which the true share may be larger or smaller.
pub const UNCERTAIN_BY: f64 = 2.0;

pub(crate) const OWN: Source = Source::assumed(
    "half of the discharge that turns at the wall comes the inlet's way, thinned as a free jet over the whole path; good to a factor of two",
);

/// A unit's share in its parts.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Share {
    pub(crate) own: f64,
    /// Tag of another unit, speed of its jet at the inlet, its share.
    pub(crate) others: Vec<(String, f64, f64)>,
}

impl Share {
    pub(crate) fn sum(&self) -> f64 {
        let others: f64 = self.others.iter().map(|o| o.2).sum();
        (self.own + others).min(MOST)
    }
}

/// Shares of one unit.
pub(crate) fn share(scene: &Scene<'_>, i: usize) -> Share {
    let me = &scene.units[i];
    let own = COMES_BACK / entrained(&me.jet.opening, scene.way_back_m(i));
    let mut others = Vec::new();
    for (j, other) in scene.units.iter().enumerate() {
        if i == j {
            continue;
        }
        let speed = scene.speed_m_per_s(&other.jet, me.inlet_m);
        let part = temperature_share(speed / other.jet.opening.speed_m_per_s);
        if part > 0.0 {
            others.push((other.unit.tag.clone(), speed, part));
        }
    }
    Share { own, others }
}

/// How a unit's share came about.
pub(crate) fn working(scene: &Scene<'_>, i: usize, share: &Share) -> Working {
    let me = &scene.units[i];
    let o = &me.jet.opening;
    let fraction = |si: f64| Value::new(si, Dim::Fraction).digits(2);
    let assumed = |name: &'static str, symbol: &'static str, value: Value, why: &'static str| {
        Input::given(name, symbol, value, Source::assumed(why))
    };
    let number = |si: f64| Value::new(si, Dim::Number);
    let path = scene.way_back_m(i);
    let own = Working {
        name: format!("own discharge of {} that comes back", me.unit.tag).into(),
        symbol: "f_own".into(),
        equation: Equation::Algebra("g / max(1, 2 * P / (1.13 * K * sqrt(A_0)))".into()),
        inputs: vec![
            assumed(
                "share of the turned-back air that comes the inlet's way",
                "g",
                fraction(COMES_BACK),
                "the other half goes the other ways",
            ),
            Input::given(
                "path from outlet to what turns the jet and back to the inlet",
                "P",
                Value::new(path, Dim::Length),
                Source::assumed("straight to the wall or thing ahead, straight back"),
            ),
            Input::given("decay of the jet", "K", number(o.decay_k), ASHRAE_JET),
            assumed(
                "free area of the outlet",
                "A_0",
                Value::new(o.area_m2, Dim::Area),
                "0.4 of the face that air leaves by, or the duct's section",
            ),
        ],
        result: fraction(share.own),
        source: OWN,
    };
    let mut terms = vec!["f_own".to_owned()];
    let mut inputs = vec![Input::computed(own)];
    for (n, (tag, speed, part)) in share.others.iter().enumerate() {
        let Some(other) = scene.units.iter().find(|u| u.unit.tag == *tag) else {
            continue;
        };
        let symbol = format!("f_{}", n + 1);
        terms.push(symbol.clone());
        inputs.push(Input::computed(Working {
            name: format!("discharge of {tag} at the inlet of {}", me.unit.tag).into(),
            symbol: symbol.into(),
            equation: Equation::Algebra("min(1, 0.8 * V_in / V_0)".into()),
            inputs: vec![
                Input {
                    name: "speed of its jet at the inlet".into(),
                    symbol: "V_in".into(),
                    value: Value::new(*speed, Dim::Speed),
                    from: Some(Box::new(Working {
                        name: "speed of its jet at the inlet".into(),
                        symbol: "V_in".into(),
                        equation: Equation::Procedure(
                            "free jet, bell curve about its axis, nothing between".into(),
                        ),
                        inputs: Vec::new(),
                        result: Value::new(*speed, Dim::Speed),
                        source: ASHRAE_JET,
                    })),
                    source: None,
                },
                assumed(
                    "speed in its outlet",
                    "V_0",
                    Value::new(other.jet.opening.speed_m_per_s, Dim::Speed),
                    "air flow over the free area of the outlet",
                ),
            ],
            result: fraction(*part),
            source: ASHRAE_JET,
        }));
    }
    Working {
        name: format!(
            "short-circuit share of {}, good to a factor of two either way",
            me.unit.tag
        )
        .into(),
        symbol: "f".into(),
        equation: Equation::Algebra(format!("min(0.9, {})", terms.join(" + ")).into()),
        inputs,
        result: fraction(share.sum()),
        source: OWN,
    }
}

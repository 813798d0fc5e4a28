//! Workings of what dries: medium, tanks, wet floor, wash-down, hung crop.

use crop::medium::light_on_medium_w_per_m2;
use crop::workings::{Known, KnownMedium, blown_water, drying_water, medium_water, still_water};
use quantity::{Dim, Equation, Given, Input, Source, Value, Working};
use room::{HungCrop, WashDown};

use super::leaves::likely;
use super::{Likely, OfSource, under};
use crate::load::given_off::LoadSource;
use crate::machines;

/// Water that evaporates, and the heat that this takes from the air.
fn dries(of: &Likely<'_>, source: LoadSource, water: Vec<Working>) -> OfSource {
    let heat = water.iter().map(|w| of.evaporation(w)).collect();
    OfSource::new(source, water, heat)
}

fn given(name: &'static str, symbol: &'static str, x: &Given<f64>, dim: Dim) -> Input {
    Input::given(name, symbol, Value::new(x.value, dim), x.source())
}

/// Water per area times the area and a share, with which it is covered or wet.
fn over_area(name: String, inputs: Vec<Input>, equation: &'static str, si: f64) -> Working {
    Working {
        name: name.into(),
        symbol: "w_surface".into(),
        equation: Equation::Algebra(equation.into()),
        inputs,
        result: Value::new(si, Dim::WaterRate),
        source: crop::sources::BALANCE,
    }
}

/// Growing medium that lies open.
pub(super) fn medium(of: &Likely<'_>) -> OfSource {
    let none = || OfSource::new(LoadSource::Medium, Vec::new(), Vec::new());
    let Some(irrigation) = &of.room.irrigation else {
        return none();
    };
    if irrigation.medium_m2.value <= 0.0 || irrigation.times_s.is_empty() {
        return none();
    }
    let crop = of.room.crop.as_ref();
    let lai = crop.map_or(0.0, |c| c.lai.value.likely);
    let light_w = of.room.light.as_ref().map_or(0.0, |l| {
        l.ppfd_umol_per_m2_s.value * l.light_energy_j_per_umol.value * of.light
    });
    let aero = crop.map_or_else(
        || {
            Known::Given(
                crop::canopy::AERO_RESISTANCE_FANS_ON_S_PER_M,
                Source::assumed("as over leaves with fans on"),
            )
        },
        |c| likely(&c.leaf_air_s_per_m),
    );
    let wet = medium_water(
        &KnownMedium {
            absorbed_light_w_per_m2: Known::Given(
                light_on_medium_w_per_m2(light_w, lai),
                Source::assumed("light that the leaves let through, extinction 0.5"),
            ),
            aero_resistance_s_per_m: aero,
            skin_resistance_s_per_m: Known::Given(
                0.0,
                Source::assumed("wet right after irrigation"),
            ),
        },
        &of.air,
    );
    let share = of.given_off.wet_share(irrigation, of.period);
    let si = irrigation.medium_m2.value * wet.result.si * share;
    let pulse = Working {
        name: "mean rate over that of wet medium".into(),
        symbol: "s_wet".into(),
        equation: Equation::Procedure(
            "mean over the period of 1 while it stays wet, then halving in each half time since the last watering"
                .into(),
        ),
        inputs: vec![
            given("time that it stays wet", "t_wet", &irrigation.wet_time_s, Dim::Duration),
            given("half time of drying", "t_half", &irrigation.half_time_s, Dim::Duration),
        ],
        result: Value::new(share, Dim::Fraction),
        source: crop::sources::MEDIUM_PULSE,
    };
    let water = over_area(
        format!("water of the medium {}, likely case", of.when),
        vec![
            given(
                "medium open to the air",
                "A",
                &irrigation.medium_m2,
                Dim::Area,
            ),
            under("w_wet", wet),
            Input::computed(pulse),
        ],
        "A * w_wet * s_wet",
        si,
    );
    dries(of, LoadSource::Medium, vec![water])
}

/// Tanks and wet floor.
pub(super) fn open_water(of: &Likely<'_>) -> OfSource {
    let air = &of.air;
    let tanks = of.room.tanks.iter().map(|tank| {
        let water_c = tank.temperature_c.as_ref().map_or_else(
            || {
                Known::Given(
                    air.state.dry_bulb_c(),
                    Source::assumed("water follows the room"),
                )
            },
            Known::from,
        );
        let per_m2 = match &tank.air_speed_m_per_s {
            Some(speed) => blown_water(water_c, air, Known::from(speed)),
            None => still_water(water_c, air),
        };
        let si = tank.area_m2.value * (1.0 - tank.covered.value) * per_m2.result.si;
        over_area(
            format!("water of {} {}", tank.name.value, of.when),
            vec![
                given("water surface", "A", &tank.area_m2, Dim::Area),
                given("share covered", "covered", &tank.covered, Dim::Fraction),
                under("w_open", per_m2),
            ],
            "A * (1 - covered) * w_open",
            si,
        )
    });
    let floors = of.room.wet_floors.iter().filter_map(|floor| {
        let share = of.given_off.share_inside(floor.hours, of.period);
        let water_c = floor.temperature_c.as_ref().map_or_else(
            || {
                Known::Given(
                    air.state.wet_bulb_c(),
                    Source::assumed("a wet floor tends to the wet bulb of the air"),
                )
            },
            Known::from,
        );
        let per_m2 = still_water(water_c, air);
        let si = floor.area_m2.value * share * per_m2.result.si;
        (0.0 < share).then(|| {
            over_area(
                format!("water of the wet floor {}", of.when),
                vec![
                    given("wet area", "A", &floor.area_m2, Dim::Area),
                    hours(share, "wet"),
                    under("w_open", per_m2),
                ],
                "A * h * w_open",
                si,
            )
        })
    });
    let water: Vec<Working> = tanks.chain(floors).collect();
    dries(of, LoadSource::OpenWater, water)
}

/// Share of a period in which something is so.
pub(super) fn hours(share: f64, what: &str) -> Input {
    Input::given(
        format!("share of the period in which it is {what}"),
        "h",
        Value::new(share, Dim::Fraction),
        Source::assumed("hours of the survey, in steps of 15 min"),
    )
}

/// Films left by hosing.
pub(super) fn wash_down(of: &Likely<'_>) -> OfSource {
    let water = of
        .room
        .washdowns
        .iter()
        .filter_map(|wash| film(of, wash))
        .collect();
    dries(of, LoadSource::WashDown, water)
}

fn film(of: &Likely<'_>, wash: &WashDown) -> Option<Working> {
    let kg = of.given_off.film_kg(wash, of.period);
    if kg == 0.0 {
        return None;
    }
    let mut inputs = vec![
        Input::given(
            "time of day of the hosing",
            "t_wash",
            Value::new(f64::from(wash.at_s.value), Dim::Duration),
            wash.at_s.source(),
        ),
        given("area washed", "A", &wash.area_m2, Dim::Area),
        given(
            "water left behind",
            "d",
            &wash.film_kg_per_m2,
            Dim::WaterDepth,
        ),
        of.dry_bulb(),
        Input::given(
            "air speed over the floor",
            "V",
            Value::new(machines::FLOOR_AIR.air_speed_m_per_s, Dim::Speed),
            Source::assumed("under benches, away from fans"),
        ),
    ];
    if let Some(t) = &wash.temperature_c {
        inputs.push(given(
            "temperature of the water",
            "T_w",
            t,
            Dim::Temperature,
        ));
    }
    let dried = Working {
        name: format!("water of the wash-down that dries {}", of.when).into(),
        symbol: "m_film".into(),
        equation: Equation::Procedure(
            "the film followed in steps of 15 min from the hosing until it is gone: its surface tends to the wet bulb of the air, its rate is that of water under moving air"
                .into(),
        ),
        inputs,
        result: Value::new(kg, Dim::Water),
        source: crop::sources::FILM,
    };
    Some(over_period(of, "water of the wash-down", vec![dried]))
}

/// Water of a period over its length.
fn over_period(of: &Likely<'_>, name: &str, water: Vec<Working>) -> Working {
    let length_s = of.given_off.length_s(of.period);
    let kg: f64 = water.iter().map(|w| w.result.si).sum();
    let symbols: Vec<String> = (1..=water.len()).map(|i| format!("m_{i}")).collect();
    let mut inputs: Vec<Input> = symbols
        .iter()
        .zip(water)
        .map(|(s, w)| under(s.clone(), w))
        .collect();
    inputs.push(Input::given(
        "length of the period",
        "t",
        Value::new(length_s, Dim::Duration),
        Source::assumed("light hours and targets of the survey, in steps of 15 min"),
    ));
    Working {
        name: format!("{name} {}", of.when).into(),
        symbol: "w_mean".into(),
        equation: Equation::Algebra(format!("({}) / t", symbols.join(" + ")).into()),
        inputs,
        result: Value::new(kg / length_s, Dim::WaterRate),
        source: crop::sources::BALANCE,
    }
}

/// Crop hung to dry.
pub(super) fn hung_crop(of: &Likely<'_>) -> OfSource {
    let one = |hung: &HungCrop| {
        let hung_for_s = hung.hung_for_s.value;
        let water = of
            .given_off
            .stretches(of.period)
            .into_iter()
            .map(|(from_s, to_s)| {
                drying_water(
                    &machines::hung_crop(hung),
                    &hung.wet_mass_kg.source(),
                    hung_for_s + from_s,
                    hung_for_s + to_s,
                )
            })
            .collect();
        over_period(of, "water of the hung crop", water)
    };
    let water = of.room.hung_crops.iter().map(one).collect();
    dries(of, LoadSource::HungCrop, water)
}

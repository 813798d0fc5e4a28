//! Workings of the canopy and of the light that falls on it.

use crop::workings::{
    CanopyInputs, CanopyWorkings, Known, KnownCanopy, canopy_balance, canopy_by_hand,
    irrigation_ceiling, net_radiation, stomatal_resistance,
};
use quantity::{Band, Dim, Equation, Given, Input, Source, Value, Working};
use room::{Crop, Light};

use super::{Likely, OfSource, under};
use crate::load::given_off::{LoadSource, day_factor};
use crate::load::measured::RUNOFF_NOT_MEASURED;
use crate::uncertain::Draw;

pub(super) fn likely(band: &Given<Band>) -> Known {
    Known::Given(band.value.likely, band.source())
}

/// Water and heat of the canopy.
pub(super) fn canopy(of: &Likely<'_>) -> OfSource {
    let Some((crop, balance)) = grown(of).map(|(crop, inputs)| (crop, canopy_balance(&inputs)))
    else {
        return OfSource::new(LoadSource::Canopy, Vec::new(), Vec::new());
    };
    let CanopyWorkings {
        water,
        sensible,
        flux,
        ..
    } = balance;
    let over_area = |name: &str, symbol: &'static str, per_m2: Working, si: f64, dim: Dim| {
        let letter = per_m2.symbol.clone();
        Working {
            name: format!("{name} {}, likely case", of.when).into(),
            symbol: symbol.into(),
            equation: Equation::Algebra(format!("A_canopy * {letter}").into()),
            inputs: vec![area(crop), Input::computed(per_m2)],
            result: Value::new(si * crop.canopy_m2.value, dim),
            source: Source::assumed("the canopy is even"),
        }
    };
    OfSource::new(
        LoadSource::Canopy,
        vec![over_area(
            "water of the canopy",
            "w_all",
            water,
            flux.water_kg_per_m2_s,
            Dim::WaterRate,
        )],
        vec![over_area(
            "heat of the canopy",
            "Q_all",
            sensible,
            flux.sensible_w_per_m2,
            Dim::Power,
        )],
    )
}

/// Heat of the lights, less the light that leaves take up.
pub(super) fn lights(of: &Likely<'_>) -> OfSource {
    let lit = of.room.light.as_ref().filter(|_| 0.0 < of.light);
    let heat = lit.map(|light| {
        let lights_w = light.power_w.value * light.heat_in_room.value * of.light;
        let given = |name: &'static str, symbol: &'static str, x: &Given<f64>, dim: Dim| {
            Input::given(name, symbol, Value::new(x.value, dim), x.source())
        };
        let mut inputs = vec![
            given("power of the lights", "P", &light.power_w, Dim::Power),
            given(
                "share of it that stays in the room",
                "f_room",
                &light.heat_in_room,
                Dim::Fraction,
            ),
            Input::given(
                "lights as a share of full",
                "L",
                Value::new(of.light, Dim::Fraction),
                light.ramp_s.source(),
            ),
        ];
        let mut equation = "P * f_room * L";
        let mut taken_w = 0.0;
        if let Some((crop, inputs_of_canopy)) = grown(of) {
            let taken = net_radiation(&inputs_of_canopy.canopy, inputs_of_canopy.ppfd);
            taken_w = (taken.result.si * crop.canopy_m2.value).min(lights_w);
            equation = "P * f_room * L - min(A_canopy * R_net, P * f_room * L)";
            inputs.push(area(crop));
            inputs.push(under("R_net", taken));
        }
        Working {
            name: format!("heat of the lights {}, less what leaves take up", of.when).into(),
            symbol: "Q_lamps".into(),
            equation: Equation::Algebra(equation.into()),
            inputs,
            result: Value::new(lights_w - taken_w, Dim::Power),
            source: Source::published("conservation of energy", ""),
        }
    });
    OfSource::new(LoadSource::Lights, Vec::new(), heat.into_iter().collect())
}

/// Two more ways to the canopy's water, beside the one that counts.
pub(super) fn second_look(of: &Likely<'_>) -> Vec<Working> {
    grown(of).map_or_else(Vec::new, |(_, inputs)| {
        vec![
            canopy_balance(&inputs).latent_check,
            canopy_by_hand(&inputs),
        ]
    })
}

/// The irrigation balance as a ceiling.
pub(super) fn ceiling(crop: &Crop) -> Option<Working> {
    let fed = crop.water_fed_kg_per_s.as_ref()?;
    let (share, source) = crop.runoff.as_ref().map_or_else(
        || {
            (
                RUNOFF_NOT_MEASURED.likely,
                Source::common_practice("10 to 30 % runoff where none was measured"),
            )
        },
        |r| (r.value.likely, r.source()),
    );
    Some(irrigation_ceiling(
        likely(fed),
        Known::Given(share * fed.value.likely, source),
    ))
}

fn area(crop: &Crop) -> Input {
    Input::given(
        "canopy area",
        "A_canopy",
        Value::new(crop.canopy_m2.value, Dim::Area),
        crop.canopy_m2.source(),
    )
}

/// The crop and what its balance starts from; `None` where nothing grows.
fn grown<'a>(of: &Likely<'a>) -> Option<(&'a Crop, CanopyInputs)> {
    let crop = of.room.crop.as_ref()?;
    if crop.lai.value.likely <= 0.0 || crop.canopy_m2.value <= 0.0 {
        return None;
    }
    let light = of.room.light.as_ref();
    let lit = light.filter(|_| 0.0 < of.light);
    let inputs = CanopyInputs {
        canopy: KnownCanopy {
            lai: likely(&crop.lai),
            coverage: likely(&crop.coverage),
            leaf_aero_resistance_s_per_m: likely(&crop.leaf_air_s_per_m),
            reflectance: Known::from(&crop.reflected),
            photon_energy_j_per_umol: light.map_or_else(
                || Known::Given(0.2, Source::assumed("no light")),
                |l| Known::from(&l.light_energy_j_per_umol),
            ),
        },
        air: of.air.clone(),
        ppfd: lit.map_or_else(
            || Known::Given(0.0, Source::assumed("no lamp burns")),
            |l| ppfd(l, of.light),
        ),
        stomatal_resistance: lit.map_or_else(
            || likely(&crop.night_resistance_s_per_m),
            |l| Known::from(leaf_resistance(crop, ppfd(l, of.light))),
        ),
    };
    Some((crop, inputs))
}

fn ppfd(light: &Light, share: f64) -> Known {
    Known::Given(
        light.ppfd_umol_per_m2_s.value * share,
        light.ppfd_umol_per_m2_s.source(),
    )
}

/// The published light response times the crop's factor, never above the
/// resistance in the dark.
fn leaf_resistance(crop: &Crop, ppfd: Known) -> Working {
    let response = stomatal_resistance(ppfd, None);
    let factor = day_factor(crop, &Draw::LIKELY);
    let night = &crop.night_resistance_s_per_m;
    let result = (response.result.si * factor).min(night.value.likely);
    Working {
        name: "stomatal resistance in the light".into(),
        symbol: "r_lit".into(),
        equation: Equation::Algebra("min(f_day * r_published, r_night)".into()),
        inputs: vec![
            Input::given(
                "factor on the published response",
                "f_day",
                Value::new(factor, Dim::Number),
                crop.day_resistance_factor.source(),
            ),
            under("r_published", response),
            Input::given(
                "resistance in the dark",
                "r_night",
                Value::new(night.value.likely, Dim::Resistance),
                night.source(),
            ),
        ],
        result: Value::new(result, Dim::Resistance),
        source: crop::sources::GRAAMANS_2017,
    }
}

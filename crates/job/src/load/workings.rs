//! How the loads came about, for the likely case of each period.

use air::MoistAir;
use crop::medium::light_on_medium_w_per_m2;
use crop::workings::{
    CanopyInputs, Known, KnownAir, KnownCanopy, KnownMedium, air_exchange_heat, air_exchange_water,
    blown_water, burner_heat, burner_water, canopy_balance, canopy_by_hand, drying_water,
    irrigation_ceiling, medium_water, people_heat, people_water, still_water, stomatal_resistance,
};
use quantity::{Band, Dim, Equation, Given, Input, Source, Value, Working};
use room::{Crop, Light, Period, Room, Side};

use super::given_off::GivenOff;
use super::measured::RUNOFF_NOT_MEASURED;
use crate::machines;
use crate::uncertain::Draw;

/// Workings of every source that the room has.
pub(super) fn workings(room: &Room, given_off: &GivenOff<'_>) -> Vec<Working> {
    let mut all = Vec::new();
    for period in [Period::LightsOn, Period::LightsOff] {
        let Some((air, light)) = given_off.moment_of(period) else {
            continue;
        };
        let known = KnownAir {
            state: air,
            source: target_source(room, period),
        };
        if let Some(crop) = &room.crop {
            all.extend(canopy(room, crop, &known, light));
        }
        all.extend(medium(room, &known, light));
        all.extend(tanks(room, &known));
        all.extend(exchange(room, given_off, period, &known));
        if period == Period::LightsOn || room.light.is_none() {
            all.extend(once(room, &known));
        }
    }
    all.extend(room.crop.as_ref().and_then(ceiling));
    all.extend(room.hung_crops.iter().map(|hung| {
        let from_s = hung.hung_for_s.value;
        drying_water(
            &machines::hung_crop(hung),
            &hung.wet_mass_kg.source(),
            from_s,
            from_s + 86_400.0,
        )
    }));
    all
}

fn target_source(room: &Room, period: Period) -> Source {
    room.targets.of(period).dry_bulb_c.source()
}

fn likely(band: &Given<Band>) -> Known {
    Known::Given(band.value.likely, band.source())
}

fn canopy(room: &Room, crop: &Crop, air: &KnownAir, light_share: f64) -> Vec<Working> {
    if crop.lai.value.likely <= 0.0 || crop.canopy_m2.value <= 0.0 {
        return Vec::new();
    }
    let lit = room.light.as_ref().filter(|_| 0.0 < light_share);
    let inputs = CanopyInputs {
        canopy: KnownCanopy {
            lai: likely(&crop.lai),
            coverage: likely(&crop.coverage),
            leaf_aero_resistance_s_per_m: likely(&crop.leaf_air_s_per_m),
            reflectance: Known::from(&crop.reflected),
            photon_energy_j_per_umol: room.light.as_ref().map_or_else(
                || Known::Given(0.2, Source::assumed("no light")),
                |l| Known::from(&l.light_energy_j_per_umol),
            ),
        },
        air: air.clone(),
        ppfd: lit.map_or_else(
            || Known::Given(0.0, Source::assumed("lights off")),
            |l| ppfd(l, light_share),
        ),
        stomatal_resistance: lit.map_or_else(
            || likely(&crop.night_resistance_s_per_m),
            |l| Known::from(stomatal_resistance(ppfd(l, light_share), None)),
        ),
    };
    let balance = canopy_balance(&inputs);
    let total_kg_per_s = balance.flux.water_kg_per_m2_s * crop.canopy_m2.value;
    let when = if lit.is_some() { "on" } else { "off" };
    let symbol = balance.water.symbol.clone();
    let total = Working {
        name: format!("water of the canopy, lights {when}, likely case").into(),
        symbol: format!("w_canopy_{when}").into(),
        equation: Equation::Algebra(format!("A_canopy * {symbol}").into()),
        inputs: vec![
            Input::given(
                "canopy area",
                "A_canopy",
                Value::new(crop.canopy_m2.value, Dim::Area),
                crop.canopy_m2.source(),
            ),
            Input::computed(balance.water),
        ],
        result: Value::new(total_kg_per_s, Dim::WaterRate),
        source: Source::assumed("the canopy is even"),
    };
    vec![
        total,
        balance.sensible,
        balance.latent_check,
        canopy_by_hand(&inputs),
    ]
}

fn ppfd(light: &Light, share: f64) -> Known {
    Known::Given(
        light.ppfd_umol_per_m2_s.value * share,
        light.ppfd_umol_per_m2_s.source(),
    )
}

fn medium(room: &Room, air: &KnownAir, light_share: f64) -> Option<Working> {
    let irrigation = room.irrigation.as_ref()?;
    if irrigation.medium_m2.value <= 0.0 || irrigation.times_s.is_empty() {
        return None;
    }
    let lai = room.crop.as_ref().map_or(0.0, |c| c.lai.value.likely);
    let light_w = room.light.as_ref().map_or(0.0, |l| {
        l.ppfd_umol_per_m2_s.value * l.light_energy_j_per_umol.value * light_share
    });
    let aero = room.crop.as_ref().map_or_else(
        || {
            Known::Given(
                crop::canopy::AERO_RESISTANCE_FANS_ON_S_PER_M,
                Source::assumed("as over leaves with fans on"),
            )
        },
        |c| likely(&c.leaf_air_s_per_m),
    );
    Some(medium_water(
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
        air,
    ))
}

fn tanks(room: &Room, air: &KnownAir) -> Vec<Working> {
    room.tanks
        .iter()
        .map(|tank| {
            let water_c = tank.temperature_c.as_ref().map_or_else(
                || {
                    Known::Given(
                        air.state.dry_bulb_c(),
                        Source::assumed("water follows the room"),
                    )
                },
                Known::from,
            );
            match &tank.air_speed_m_per_s {
                Some(speed) => blown_water(water_c, air, Known::from(speed)),
                None => still_water(water_c, air),
            }
        })
        .collect()
}

fn exchange(
    room: &Room,
    given_off: &GivenOff<'_>,
    period: Period,
    inside: &KnownAir,
) -> Vec<Working> {
    let envelope = &room.envelope;
    let flow_m3_per_s = machines::leak_m3_per_s(room, &Draw::LIKELY);
    let Some(outdoor) = given_off.outdoor_of(period).filter(|_| 0.0 < flow_m3_per_s) else {
        return Vec::new();
    };
    let (state, source): (MoistAir, Source) = match envelope.air_from.value {
        Side::Outdoor => (outdoor, room.site.summer.air.dry_bulb_c.source()),
        _ => (given_off.adjacent(), room.site.adjacent.dry_bulb_c.source()),
    };
    let outside = KnownAir { state, source };
    let flow = || Known::Given(flow_m3_per_s, envelope.air_exchange_per_s.source());
    vec![
        air_exchange_water(flow(), &outside, inside),
        air_exchange_heat(flow(), &outside, inside),
    ]
}

/// Sources that do not care for the period.
fn once(room: &Room, air: &KnownAir) -> Vec<Working> {
    let people = room.people.iter().flat_map(|p| {
        let count = || Known::Given(f64::from(p.count.value), p.count.source());
        [
            people_water(count(), machines::activity(p), air),
            people_heat(count(), machines::activity(p)),
        ]
    });
    let burners = room
        .burners
        .iter()
        .filter(|b| b.flue.value == room::Flue::Unvented)
        .flat_map(|b| {
            let rate = || Known::Given(machines::burner_gain(b).fuel_kg_per_s, b.rate.source());
            let fuel = machines::fuel(b);
            [burner_water(fuel, rate()), burner_heat(fuel, rate())]
        });
    people.chain(burners).collect()
}

/// The irrigation balance as a ceiling.
fn ceiling(crop: &Crop) -> Option<Working> {
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

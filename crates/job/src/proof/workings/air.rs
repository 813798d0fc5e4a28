//! Workings of the room's air against its targets, of nights and of surfaces.

use air::{MoistAir, state_workings};
use quantity::{Dim, Input, Source, Value, Working};
use room::{Period, Room};
use roomsim::setup::ColdSurfaceBoundary;

use super::{algebra, definition, logged, procedure};
use crate::airs;
use crate::finding::when;
use crate::proof::{Proof, Temperature};
use crate::zone::coldest_surface;

pub(super) fn workings(room: &Room, proof: &Proof) -> Vec<Working> {
    let mut all = Vec::new();
    for period in Period::ALL {
        all.extend(of_period(room, proof, period));
    }
    all.extend(most_humid(room, proof));
    all.extend(proof.nights.first().map(|night| {
        let n = night.too_humid_s / proof.series.step_s;
        algebra(
            ("time too humid in the worst night".into(), "s_night"),
            "n * dt",
            vec![
                logged("steps of it more humid than the target", "n", n, Dim::Count),
                logged("length of a step", "dt", proof.series.step_s, Dim::Duration),
            ],
            Value::new(night.too_humid_s, Dim::Duration).digits(2),
            definition(),
        )
    }));
    all.extend(margin(room, proof));
    all.extend(risk(proof));
    all
}

fn of_period(room: &Room, proof: &Proof, period: Period) -> Vec<Working> {
    let p = &proof.periods[period as usize];
    if p.known_s <= 0.0 {
        return Vec::new();
    }
    let when = when(room, period);
    let known = || logged("time with readings", "s_known", p.known_s, Dim::Duration);
    let share = |name: &str, what: &'static str, s: f64, result: f64| {
        algebra(
            (format!("{name} {when}"), "x"),
            "s / s_known",
            vec![logged(what, "s", s, Dim::Duration), known()],
            Value::new(result, Dim::Fraction).digits(2),
            definition(),
        )
    };
    let mean = |name: &str, result: Value| {
        procedure(
            (format!("{name} {when}"), "y"),
            "mean over the steps of the period that are known, each found from the logged readings as at the most humid moment",
            vec![known()],
            result,
            definition(),
        )
    };
    vec![
        share(
            "share of the time in target",
            "time with dry bulb and humidity in target",
            p.both_in_s,
            p.in_band_share(),
        ),
        share(
            "share of the time too humid",
            "time more humid than the target",
            p.too_humid_s,
            p.too_humid_share(),
        ),
        mean(
            "mean dry bulb",
            Value::new(p.mean_dry_bulb_c, Dim::Temperature),
        ),
        mean(
            "mean relative humidity",
            Value::new(p.mean_rel_humidity, Dim::RelHumidity).digits(2),
        ),
        mean(
            "mean VPD",
            Value::new(p.mean_vpd_pa, Dim::VapourPressure).digits(2),
        ),
        mean(
            "mean dew point",
            Value::new(p.mean_dew_point_c, Dim::Temperature),
        ),
    ]
}

/// The air at the most humid moment of the log.
fn most_humid(room: &Room, proof: &Proof) -> Vec<Working> {
    let series = &proof.series;
    let most = series
        .known()
        .max_by(|a, b| series.rel_humidity[*a].total_cmp(&series.rel_humidity[*b]));
    let state = most.and_then(|i| {
        let p_pa = airs::pressure_pa(&room.site);
        MoistAir::new(series.dry_bulb_c[i], series.humidity_ratio[i], p_pa).ok()
    });
    let Some(air) = state else {
        return Vec::new();
    };
    let mut all = state_workings(&air);
    for working in &mut all {
        working.name = format!("{} at the most humid moment", working.name).into();
        sourced(working);
    }
    all
}

/// Says of the air's own inputs that they were logged, and the pressure
/// surveyed.
fn sourced(working: &mut Working) {
    for input in &mut working.inputs {
        match &mut input.from {
            Some(from) => sourced(from),
            None => {
                input.source.get_or_insert(if input.symbol == "p" {
                    Source::measured("the site's altitude", "standard atmosphere")
                } else {
                    Source::measured(super::LOG, "")
                });
            }
        }
    }
}

/// The coldest surface where it is nearest to the dew point.
fn margin(room: &Room, proof: &Proof) -> Option<Working> {
    let surfaces = &proof.surfaces;
    let (margin_k, step) = surfaces.least_margin_k?;
    let dew_point_c = proof.series.dew_point_c[step];
    let inside_c = proof.series.dry_bulb_c[step];
    let surface_c = margin_k + dew_point_c;
    let temperature = |x: f64| Value::new(x, Dim::Temperature);
    let surface = match (surfaces.margin_from, coldest_surface(room)) {
        (Temperature::Reckoned | Temperature::ReckonedForWinter, Some(surface)) => {
            let survey = || Source::measured("the room file", "");
            let u = surface.transmittance_w_per_m2_k;
            let r = surface.surface_resistance_m2_k_per_w;
            let beyond_c = match surface.boundary {
                ColdSurfaceBoundary::At(t) => t,
                // From the surface's own temperature: logged outdoors or the
                // survey's.
                _ => inside_c - (inside_c - surface_c) / (u * r),
            };
            Input::computed(algebra(
                ("temperature of the coldest surface".into(), "t_s"),
                "t_i - U * R_si * (t_i - t_e)",
                vec![
                    logged("dry bulb", "t_i", inside_c, Dim::Temperature),
                    Input::given(
                        "thermal transmittance",
                        "U",
                        Value::new(u, Dim::Transmittance),
                        survey(),
                    ),
                    // m2 K/W
                    Input::given(
                        "inner surface resistance, m2 K/W",
                        "R_si",
                        Value::new(r, Dim::Number),
                        survey(),
                    ),
                    Input::given("temperature beyond", "t_e", temperature(beyond_c), survey()),
                ],
                temperature(surface_c),
                Source::published("ISO 13788:2012", "surface temperature factor 1 - U R_si"),
            ))
        }
        _ => logged(
            "temperature of the coldest surface",
            "t_s",
            surface_c,
            Dim::Temperature,
        ),
    };
    Some(algebra(
        ("least margin of the coldest surface".into(), "d"),
        "t_s - t_dp",
        vec![
            surface,
            logged("dew point then", "t_dp", dew_point_c, Dim::Temperature),
        ],
        Value::new(margin_k, Dim::TemperatureDifference).digits(2),
        definition(),
    ))
}

fn risk(proof: &Proof) -> Option<Working> {
    let surfaces = &proof.surfaces;
    let from = surfaces.leaf_from?;
    let all_s: f64 = surfaces.leaf_risk_s.iter().sum();
    Some(algebra(
        (
            format!(
                "time with leaves at risk of wetness (leaf temperature {})",
                from.words()
            ),
            "s_risk",
        ),
        "n * dt",
        vec![
            logged(
                "steps at which the air is at 90 % at the leaf, or the leaf within 1 K of the dew point",
                "n",
                all_s / proof.series.step_s,
                Dim::Count,
            ),
            logged("length of a step", "dt", proof.series.step_s, Dim::Duration),
        ],
        Value::new(all_s, Dim::Duration).digits(2),
        Source::common_practice("90 % relative humidity at the leaf stands for wet"),
    ))
}

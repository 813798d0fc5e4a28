//! Workings of the room's air against its targets, of nights and of surfaces.

use air::{MoistAir, state_workings};
use quantity::{Dim, Input, Source, Value, Working};
use room::{Period, Room};
use roomsim::setup::ColdSurfaceBoundary;

use super::{algebra, definition, logged, procedure};
use crate::airs;
use crate::finding::when;
use crate::proof::{Night, Proof, Temperature};
use crate::zone::coldest_surface;

pub(super) fn workings(room: &Room, proof: &Proof) -> Vec<Working> {
    let mut all = Vec::new();
    for period in Period::ALL {
        all.extend(of_period(room, proof, period));
    }
    all.extend(most_humid(room, proof));
    for night in &proof.nights {
        all.extend(of_night(room, proof, night));
    }
    let least = proof.surfaces.least_margin_k;
    let name = || "least margin of the coldest surface".into();
    all.extend(least.map(|(k, step)| margin(room, proof, name(), (k, step))));
    all.extend(risk(proof));
    all
}

/// Time of so many steps.
fn steps_long(
    (name, symbol): (String, &'static str),
    what: &'static str,
    (s, step_s): (f64, f64),
    source: Source,
) -> Working {
    algebra(
        (name, symbol),
        "n * dt",
        vec![
            logged(what, "n", s / step_s, Dim::Count),
            logged("length of a step", "dt", step_s, Dim::Duration),
        ],
        Value::new(s, Dim::Duration).digits(2),
        source,
    )
}

/// What is shown of a night; it is named by when it began, as its row is.
fn of_night(room: &Room, proof: &Proof, night: &Night) -> Vec<Working> {
    let series = &proof.series;
    let of = |what: &str| format!("{what} in the night from {}", series.moment(night.from));
    let time = |what: &str, symbol, counted, s: f64, source| {
        steps_long((of(what), symbol), counted, (s, series.step_s), source)
    };
    let mut all = vec![
        time(
            "time known",
            "s_known",
            "steps of it with readings",
            night.known_s,
            definition(),
        ),
        time(
            "time too humid",
            "s_night",
            "steps of it more humid than the target",
            night.too_humid_s,
            definition(),
        ),
    ];
    let (_, most_humid) = night.highest_rel_humidity;
    let (_, least_vpd) = night.lowest_vpd_pa;
    all.extend(at_moment(
        room,
        proof,
        most_humid,
        Dim::RelHumidity,
        of("highest relative humidity"),
    ));
    all.extend(at_moment(
        room,
        proof,
        least_vpd,
        Dim::VapourPressure,
        of("least VPD"),
    ));
    if proof.surfaces.leaf_from.is_some() {
        all.push(time(
            "time with leaves at risk of wetness",
            "s_risk",
            LEAVES_AT_RISK,
            night.leaf_risk_s,
            leaves_source(),
        ));
    }
    let name = || of("least margin of the coldest surface");
    let least = night.least_margin_k;
    all.extend(least.map(|(k, step)| margin(room, proof, name(), (k, step))));
    all
}

/// The working of relative humidity or VPD at a step.
fn at_moment(room: &Room, proof: &Proof, step: usize, which: Dim, name: String) -> Option<Working> {
    let of_which = |w: &Working| match which {
        Dim::RelHumidity => w.symbol == "phi",
        _ => w.symbol == "VPD",
    };
    let mut working = air_at(room, proof, step)?.into_iter().find(of_which)?;
    working.name = name.into();
    Some(working)
}

/// How the air of a step follows from what was logged.
fn air_at(room: &Room, proof: &Proof, step: usize) -> Option<Vec<Working>> {
    let (series, p_pa) = (&proof.series, airs::pressure_pa(&room.site));
    let (t_c, w) = (
        *series.dry_bulb_c.get(step)?,
        *series.humidity_ratio.get(step)?,
    );
    let mut all = state_workings(&MoistAir::new(t_c, w, p_pa).ok()?);
    let moment = proof.series.moment(step);
    all.iter_mut().for_each(|w| sourced(w, &moment));
    Some(all)
}

fn of_period(room: &Room, proof: &Proof, period: Period) -> Vec<Working> {
    let p = &proof.periods[period as usize];
    if p.known_s <= 0.0 {
        return Vec::new();
    }
    // Tables name the row so.
    let when = match period {
        Period::Transition => "just after lights-off, in the transition",
        _ => when(room, period),
    };
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
    let (_, most_humid) = p.highest_rel_humidity;
    let highest = format!("highest relative humidity {when}");
    let mut all = vec![
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
    ];
    all.extend(at_moment(
        room,
        proof,
        most_humid,
        Dim::RelHumidity,
        highest,
    ));
    if proof.surfaces.leaf_from.is_some() {
        all.push(steps_long(
            (
                format!("time with leaves at risk of wetness {when}"),
                "s_risk",
            ),
            LEAVES_AT_RISK,
            (
                proof.surfaces.leaf_risk_s[period as usize],
                proof.series.step_s,
            ),
            leaves_source(),
        ));
    }
    all
}

/// The air at the most humid moment of the log.
fn most_humid(room: &Room, proof: &Proof) -> Vec<Working> {
    let series = &proof.series;
    let most = series
        .known()
        .max_by(|a, b| series.rel_humidity[*a].total_cmp(&series.rel_humidity[*b]));
    let mut all = most
        .and_then(|step| air_at(room, proof, step))
        .unwrap_or_default();
    for working in &mut all {
        working.name = format!("{} at the most humid moment", working.name).into();
    }
    all
}

/// Says of the air's own inputs that they were logged, and when, and of the
/// pressure that it was surveyed.
fn sourced(working: &mut Working, moment: &str) {
    for input in &mut working.inputs {
        match &mut input.from {
            Some(from) => sourced(from, moment),
            None => {
                input.source.get_or_insert_with(|| {
                    if input.symbol == "p" {
                        Source::measured("the site's altitude", "standard atmosphere")
                    } else {
                        Source::measured(super::LOG, moment.to_owned())
                    }
                });
            }
        }
    }
}

/// How far the coldest surface stands above the dew point at a step.
fn margin(room: &Room, proof: &Proof, name: String, (margin_k, step): (f64, usize)) -> Working {
    let surfaces = &proof.surfaces;
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
                Source::published(
                    "ISO 13788:2012",
                    "surface temperature factor: one less transmittance times inner surface resistance",
                ),
            ))
        }
        _ => logged(
            "temperature of the coldest surface",
            "t_s",
            surface_c,
            Dim::Temperature,
        ),
    };
    algebra(
        (name, "d"),
        "t_s - t_dp",
        vec![
            surface,
            logged("dew point then", "t_dp", dew_point_c, Dim::Temperature),
        ],
        Value::new(margin_k, Dim::TemperatureDifference).digits(2),
        definition(),
    )
}

/// When leaves count as at risk.
const LEAVES_AT_RISK: &str =
    "steps at which the air is at 90 % at the leaf, or the leaf within 1 K of the dew point";

fn leaves_source() -> Source {
    Source::common_practice("90 % relative humidity at the leaf stands for wet")
}

fn risk(proof: &Proof) -> Option<Working> {
    let surfaces = &proof.surfaces;
    let from = surfaces.leaf_from?;
    let all_s: f64 = surfaces.leaf_risk_s.iter().sum();
    let name = format!(
        "time with leaves at risk of wetness (leaf temperature {})",
        from.words()
    );
    Some(steps_long(
        (name, "s_risk"),
        LEAVES_AT_RISK,
        (all_s, proof.series.step_s),
        leaves_source(),
    ))
}

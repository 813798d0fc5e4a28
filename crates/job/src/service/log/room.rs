//! The room in a log: whether it is too humid and when, how many units run at
//! lights-off, whether its water is more than designed.

use air::MoistAir;
use equipment::Catalog;
use quantity::{Dim, Text, Value};
use readings::Measure;

use super::super::readings::{below, classes, ratio, reading};
use super::super::taken::{HYGROMETER, THERMOMETER_K};
use super::{Line, Look, estimate, habit, some};
use crate::acceptance::Estimate;
use crate::proof::{RunsFrom, Unknown};

/// Too humid for more than this share of the time, a room is wet. **Assumed**.
const WET_SHARE: f64 = 0.10;
/// Standard uncertainty of that share beside the hygrometer's: other weeks.
/// **Assumed**.
const WEEKS_SHARE: f64 = 0.02;
/// Water over what was designed from which it is clearly more. **Assumed**.
const CLEARLY_MORE: f64 = 1.2;
/// Air exchange over what was surveyed from which outside air comes in.
/// **Assumed**.
const LEAKS: f64 = 2.0;
/// After lights-off, units are counted \[s\].
const COUNTED_AFTER_S: f64 = 900.0;
const HOUR_S: f64 = 3600.0;
/// Shares of the time less apart than this are told as one.
const TOLD: f64 = 0.005;

pub(super) fn lines(look: &Look<'_>, catalog: &Catalog) -> Vec<Line> {
    let mut lines = Vec::new();
    lines.extend(wet(look));
    lines.extend(worst_after_lights_off(look));
    lines.extend(units_at_lights_off(look, catalog));
    lines.extend(water(look));
    lines.extend(outside_air(look));
    lines.extend(surface(look));
    lines
}

fn share(x: f64) -> Value {
    Value::new(x, Dim::Fraction).digits(2)
}

fn wet(look: &Look<'_>) -> Option<Line> {
    let known: Vec<usize> = look.series.known().collect();
    let of = |shift: f64| {
        let over: Vec<f64> = some(&known)
            .filter_map(|i| look.over_band(i, shift))
            .collect();
        let wet = over.iter().filter(|x| 0.0 < **x).count();
        (!over.is_empty()).then(|| wet as f64 / over.len() as f64)
    };
    let (here, drier, damper) = (of(0.0)?, of(-HYGROMETER)?, of(HYGROMETER)?);
    let u = (0.5 * (damper - drier)).hypot(WEEKS_SHARE);
    let not = below(Estimate::new(here, u), WET_SHARE);
    let than = match look.of_room {
        Some(_) => "its target",
        None => "its control is set to, with its deadband,",
    };
    let said = Text::from(format!("more humid than {than} for "))
        .value(share(here))
        .words(" of the known time");
    let said = if damper - drier < TOLD {
        said.words(", by whatever a hygrometer is usually off")
    } else {
        said.words("; a hygrometer off by its uncertainty makes that ")
            .value(share(drier))
            .words(" to ")
            .value(share(damper))
    };
    Some(Line::Counts(reading(
        "room-wet",
        vec![1.0 - not, not],
        said,
    )))
}

/// Days whose most humid time is the hour after lights-off. An offset of the
/// hygrometer is the same in both. Where neither target nor setpoint is known,
/// it need not be too humid then.
fn worst_after_lights_off(look: &Look<'_>) -> Option<Line> {
    let lit = look.lit?;
    let hour = look.steps(HOUR_S);
    let end = look.series.len();
    let is_set = look.has_setpoint();
    let humid = |i: usize| match is_set {
        true => look.over_band(i, 0.0),
        false => Some(look.series.rel_humidity[i]),
    };
    let mut counts = [0_usize; 2];
    let mut highest = 0.0_f64;
    for (n, &out) in lit.went_out.iter().enumerate() {
        let next = lit.went_out.get(n + 1).copied().unwrap_or(end);
        let most = |from: usize, to: usize| {
            (from..to.min(end))
                .filter(|&i| look.series.knows(i))
                .filter_map(humid)
                .reduce(f64::max)
        };
        // Half a day at least must be known to be compared.
        if next - out < 12 * hour {
            continue;
        }
        if let (Some(after), Some(rest)) = (most(out, out + hour), most(out + hour, next)) {
            counts[usize::from(!(0.0 < after && rest < after))] += 1;
            let of = &look.series.rel_humidity[out..(out + hour).min(end)];
            highest = of.iter().copied().fold(highest, f64::max);
        }
    }
    let all = counts[0] + counts[1];
    if all == 0 {
        return None;
    }
    let too_humid = if is_set { "too humid and " } else { "" };
    let said = Text::from(format!(
        "on {} of {all} days the hour after lights-off is {too_humid}the most humid of the day; at most ",
        counts[0]
    ))
    .value(Value::new(highest, Dim::RelHumidity))
    .words(" in that hour");
    Some(Line::Counts(reading(
        "worst-after-lights-off",
        habit(&counts),
        said,
    )))
}

/// Nights on which all units run a quarter of an hour after lights-off, where
/// the air asks for them.
fn units_at_lights_off(look: &Look<'_>, catalog: &Catalog) -> Option<Line> {
    let (_, proof) = look.of_room?;
    let told: Vec<_> = proof.units.iter().filter(|u| u.channel.is_some()).collect();
    if proof.runs_from != RunsFrom::Log || told.is_empty() {
        return None;
    }
    // A unit whose delay has not run out is not late.
    let delay_s = told
        .iter()
        .filter_map(|u| catalog.dehumidifiers.get(&u.model))
        .map(|m| m.delays.restart_s)
        .fold(0.0, f64::max);
    let after = look.steps(COUNTED_AFTER_S.max(delay_s + 300.0));
    let mut counts = [0_usize; 2];
    let mut fewest = told.len();
    for &out in &proof.lit.went_out {
        let at = out + after;
        let asks = (out + after / 2..=at)
            .all(|i| i < proof.series.len() && look.over_setpoint(i).is_some_and(|x| 1.0 < x));
        if asks && told.iter().all(|u| u.run[at].is_finite()) {
            let run = told.iter().filter(|u| 0.5 <= u.run[at]).count();
            counts[usize::from(run == told.len())] += 1;
            fewest = fewest.min(run);
        }
    }
    let nights = counts[0] + counts[1];
    if nights == 0 {
        return Some(Line::Silent(
            "on no night did the air ask for all units after lights-off".into(),
        ));
    }
    let said = Text::from(format!(
        "on {} of {nights} nights not all {} units ran a quarter of an hour after lights-off though the air asked; at least {fewest} did",
        counts[0],
        told.len()
    ));
    Some(Line::Counts(reading(
        "units-at-lights-off",
        habit(&counts),
        said,
    )))
}

/// The room's water as found against as designed.
fn water(look: &Look<'_>) -> Option<Line> {
    let (_, proof) = look.of_room?;
    let water = proof.water.as_ref().filter(|w| w.open.is_none())?;
    let (found, designed) = (
        estimate(water.kg_per_day?),
        estimate(water.surveyed_kg_per_day),
    );
    // What was surveyed is not in doubt here: the design took its middle.
    let r = ratio(found, Estimate::new(designed.value, 0.0))?;
    let mut weights = classes(r, &[CLEARLY_MORE]);
    weights.reverse();
    let kg = |si: f64| Value::new(si, Dim::Mass);
    let said = Text::from("its moisture balance gives ")
        .value(kg(found.value))
        .words(" ± ")
        .value(kg(found.expanded()))
        .words(" of water a day, the design took ")
        .value(kg(designed.value));
    Some(Line::Counts(reading("water-against-design", weights, said)))
}

/// The air exchange as found, where the log says much of it.
fn outside_air(look: &Look<'_>) -> Option<Line> {
    let found = look.found(Unknown::AirExchange)?;
    let (room, _) = look.of_room?;
    let surveyed = room.envelope.air_exchange_per_s.value.likely;
    let r = ratio(found, Estimate::new(surveyed, 0.0)).filter(|_| 0.0 < surveyed)?;
    let mut weights = classes(r, &[LEAKS]);
    weights.reverse();
    let said = Text::from("its moisture balance gives an air exchange of ")
        .value(share(r.value))
        .words(" ± ")
        .value(share(r.expanded()))
        .words(" of what was surveyed");
    Some(Line::Counts(reading("smoke-at-openings", weights, said)))
}

/// The coldest logged surface against the dew point of the air, where it was
/// nearest to it for a twentieth of the time.
fn surface(look: &Look<'_>) -> Option<Line> {
    const NEAREST: f64 = 0.05;
    let channels = look.sensors.iter();
    let surfaces: Vec<_> = channels.filter(|s| s.measure == Measure::Surface).collect();
    let mut margins: Vec<(f64, usize)> = look
        .series
        .known()
        .filter_map(|i| {
            let coldest = surfaces
                .iter()
                .map(|s| s.values[i])
                .fold(f64::NAN, f64::min);
            coldest
                .is_finite()
                .then(|| (coldest - look.series.dew_point_c[i], i))
        })
        .collect();
    margins.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (margin_k, at) = *margins.get((NEAREST * margins.len() as f64) as usize)?;
    let dew_point = |shift: f64| {
        let rh = (look.series.rel_humidity[at] + shift).clamp(0.01, 1.0);
        MoistAir::from_rel_humidity(look.series.dry_bulb_c[at], rh, look.pressure_pa)
            .map(|air| air.dew_point_c())
            .ok()
    };
    let (damper, drier) = (dew_point(HYGROMETER)?, dew_point(-HYGROMETER)?);
    let u = (0.5 * (damper - drier)).hypot(THERMOMETER_K);
    let colder = below(Estimate::new(margin_k, u), 0.0);
    let difference = |k: f64| Value::new(k, Dim::TemperatureDifference).digits(2);
    let said = Text::from("for a twentieth of the time the coldest logged surface stands ")
        .value(difference(margin_k))
        .words(" or less above the dew point of the air, which is ")
        .value(Value::new(look.series.dew_point_c[at], Dim::Temperature))
        .words(" there");
    Some(Line::Counts(reading(
        "surface-temperature",
        vec![colder, 1.0 - colder],
        said,
    )))
}

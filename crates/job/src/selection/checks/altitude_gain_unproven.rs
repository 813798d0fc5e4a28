//! A unit is reckoned to take more water in thin air than its data say.
//!
//! Data are carried to the room's pressure by the coil alone, and a coil in thin
//! air takes more. That the condenser gets less air too is left out, so that the
//! gain is the most that it can be. Where the room holds only with it, the number
//! of units hangs on a number that nobody measured.

use air::MoistAir;
use equipment::{FilterState, Model};
use quantity::{Dim, Finding, Place, Severity, Source, Step, Text, Value};
use room::{Period, Spare};
use roomsim::Record;

use super::Seen;
use super::again::again;
use crate::airs;
use crate::finding::{Said, when};
use crate::selection::capacity::Moment;
use crate::selection::{Candidate, Selection, measures};
use crate::simulate::HoldRule;
use crate::units::UnitSet;

/// Gain that is let pass.
///
/// **Assumed**: the tolerance that a record with data of its own is trusted to.
const LET_PASS: f64 = 0.05;

pub(super) fn check(seen: &Seen<'_>) -> Vec<Finding> {
    let meeting = meeting(seen.selection);
    let set = meeting.map_or_else(
        || seen.selection.design_set(),
        |candidate| candidate.judged.units.clone(),
    );
    let gains: Vec<Gain<'_>> = set
        .groups()
        .iter()
        .filter_map(|(code, _)| most_gained(seen, code))
        .filter(|gain| LET_PASS < gain.share())
        .collect();
    if gains.is_empty() {
        return Vec::new();
    }
    let decides = meeting
        .and_then(|candidate| held_without(seen, candidate, &gains))
        .filter(|(held, of)| (*held as f64) < seen.room.selection.days_to_hold.value * *of as f64);
    gains
        .iter()
        .map(|gain| said(seen, gain, &set, decides))
        .collect()
}

/// A model whose data lie at another pressure, at the moment that gains most.
struct Gain<'a> {
    model: &'a Model,
    period: Period,
    here_kg_per_s: f64,
    at_its_data_kg_per_s: f64,
}

impl Gain<'_> {
    fn share(&self) -> f64 {
        self.here_kg_per_s / self.at_its_data_kg_per_s - 1.0
    }
}

fn most_gained<'a>(seen: &Seen<'a>, code: &str) -> Option<Gain<'a>> {
    let model = seen.catalog.dehumidifiers.get(code)?;
    let mut capacities = seen.selection.capacities.iter();
    let capacity = capacities.find(|c| c.code == code)?;
    [Period::LightsOn, Period::LightsOff]
        .into_iter()
        .filter(|&period| 0.0 < seen.room.period_length_s(period))
        .filter_map(|period| {
            let moment = capacity.at(period);
            let at_its_data_kg_per_s = at_its_data(model, moment)?;
            Some(Gain {
                model,
                period,
                here_kg_per_s: moment.removal_kg_per_s,
                at_its_data_kg_per_s,
            })
        })
        .max_by(|a, b| a.share().total_cmp(&b.share()))
}

/// What the unit takes at this inlet air under the pressure of its data
/// \[kg/s\]; `None` where it takes nothing.
fn at_its_data(model: &Model, moment: &Moment) -> Option<f64> {
    let inlet = MoistAir::from_rel_humidity(
        moment.inlet_dry_bulb_c,
        moment.inlet_rel_humidity.min(1.0),
        model.data_pressure_pa,
    );
    let removal = model.at(inlet.ok()?, FilterState::Clean).removal_kg_per_s;
    (0.0 < removal).then_some(removal)
}

/// What the room is held with: the units in it, else those to be installed.
fn meeting(selection: &Selection) -> Option<&Candidate> {
    let present = selection.present.as_ref().filter(|c| c.meets);
    present.or(selection.chosen.as_ref())
}

/// How many of the drawn days hold if no unit gains anything: of the set, or of
/// what is left of it where one may be out.
fn held_without(
    seen: &Seen<'_>,
    candidate: &Candidate,
    gains: &[Gain<'_>],
) -> Option<(usize, usize)> {
    let set = match seen.room.selection.spare.value {
        Spare::None => &candidate.judged.units,
        Spare::OneUnitOut => &candidate.one_unit_out.as_ref()?.units,
    };
    let factors: Vec<f64> = set
        .models()
        .map(|code| {
            let gain = gains.iter().find(|g| g.model.code == code);
            gain.map_or(1.0, |g| 1.0 / (1.0 + g.share()))
        })
        .collect();
    let held = again(
        seen,
        set,
        measures::counted(seen.room),
        Record::Summary,
        |setup| {
            for (unit, factor) in setup.dehumidifiers.iter_mut().zip(&factors) {
                unit.removal_factor *= factor;
            }
        },
        |_, outcome| HoldRule::DEFAULT.holds_all(&outcome.summary),
    )?;
    Some((held.iter().filter(|h| **h).count(), held.len()))
}

fn said(
    seen: &Seen<'_>,
    gain: &Gain<'_>,
    set: &UnitSet,
    decides: Option<(usize, usize)>,
) -> Finding {
    let water = |x: f64| Value::new(x, Dim::WaterRate);
    let pressure = |x: f64| Value::new(x, Dim::Pressure);
    let share = |x: f64| Value::new(x, Dim::Fraction).digits(2);
    let what = Text::from(format!(
        "{} one is reckoned to take ",
        when(seen.room, gain.period)
    ))
    .value(water(gain.here_kg_per_s))
    .words(" at the site's ")
    .value(pressure(airs::pressure_pa(&seen.room.site)))
    .words(", ")
    .value(share(gain.share()))
    .words(" more than the ")
    .value(water(gain.at_its_data_kg_per_s))
    .words(" at the ")
    .value(pressure(gain.model.data_pressure_pa))
    .words(" of its data");
    let (severity, what, remedy) = match decides {
        None => (
            Severity::Note,
            what,
            "ask the maker for the altitude factor of this unit and enter it as data at this pressure; no number of units hangs on it",
        ),
        Some((held, of)) => (
            Severity::Fix,
            what.words(format!(
                "; without that gain {} hold {held} of {of} drawn days",
                set.words()
            )),
            "ask the maker for the altitude factor of this unit before it is ordered; until it is known, plan with one unit more",
        ),
    };
    Said {
        check: "altitude_gain_unproven",
        severity,
        step: Step::Selection,
        place: Place::new(format!("model {}", gain.model.code)),
        what,
        why: "a coil takes more from thin air, but its condenser gets less air too, which is left out here: the gain is the most that it can be",
        remedy: remedy.into(),
        source: Source::assumed(
            "a gain within the 5 % that a maker's own data are trusted to is let pass",
        ),
    }
    .compared(share(gain.share()), share(LET_PASS))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::{Sheet, catalog, one};
    use quantity::UnitSystem;

    fn at(altitude_m: f64, canopy_m2: f64) -> Vec<Finding> {
        let sheet = Sheet::leafy()
            .without("site", "pressure")
            .set("site", "altitude", &format!("\"{altitude_m} m\""))
            .set("crop", "canopy", &format!("\"{canopy_m2} m2\""));
        let (room, load, selection) = (sheet.room(), sheet.load(), sheet.selection());
        check(&Seen {
            room: &room,
            catalog: catalog(),
            load: &load,
            selection: &selection,
        })
    }

    /// The gain grows with altitude and passes 5 % between two steps of 100 m.
    #[test]
    fn five_percent_are_let_pass() {
        let model = &catalog().dehumidifiers["generic-30"];
        let gain = |altitude_m: f64| {
            let p_pa = air::pressure_from_altitude_pa(altitude_m);
            let removal = |p_pa: f64| {
                let inlet = MoistAir::from_rel_humidity(22.0, 0.75, p_pa).unwrap();
                model.at(inlet, FilterState::Clean).removal_kg_per_s
            };
            removal(p_pa) / removal(model.data_pressure_pa) - 1.0
        };
        assert_eq!(gain(0.0), 0.0);
        let first = (1..40).map(|i| 100.0 * f64::from(i));
        let first = first.clone().find(|&m| LET_PASS < gain(m)).unwrap();
        assert!(at(0.0, 20.0).is_empty());
        // Its own discharge makes the inlet a little warmer than the room.
        assert!(at(first - 200.0, 20.0).is_empty());
        let (finding, measured, limit) = one(at(first + 100.0, 20.0));
        assert_eq!(limit, 0.05);
        assert!(0.05 < measured && measured < 0.07, "{measured}");
        for system in [UnitSystem::Metric, UnitSystem::Us] {
            let p_pa = air::pressure_from_altitude_pa(first + 100.0);
            let here = Value::new(p_pa, Dim::Pressure).show(system);
            assert!(finding.what.show(system).contains(&here));
        }
    }

    /// Over a growing canopy there are rooms that hold either way and rooms that
    /// hold by the gain alone.
    #[test]
    fn a_room_that_holds_by_the_gain_alone_is_to_be_put_right() {
        let mut seen = [false; 2];
        for canopy_m2 in (0..16).map(|i| 16.0 + 0.5 * f64::from(i)) {
            let (finding, ..) = one(at(2500.0, canopy_m2));
            let said = finding.what.show(UnitSystem::Metric);
            let fix = finding.severity == Severity::Fix;
            assert_eq!(fix, said.contains("without that gain"), "{said}");
            seen[usize::from(fix)] = true;
            if seen == [true; 2] {
                return;
            }
        }
        panic!("{seen:?}");
    }
}

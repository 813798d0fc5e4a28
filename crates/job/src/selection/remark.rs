//! How a set of units stands among the others, in a few words.

use quantity::{Dim, Text, Value};
use roomsim::Period;

use super::{Candidate, Selection};
use crate::simulate::Judged;

impl Selection {
    /// Chosen, runner-up, meets; or what it falls short in, and by how much.
    pub fn remark(&self, candidate: &Candidate) -> Text {
        let is = |other: &Option<Candidate>| {
            let units = other.as_ref().map(|o| &o.judged.units);
            units == Some(&candidate.judged.units)
        };
        if is(&self.chosen) {
            "chosen".into()
        } else if is(&self.runner_up) {
            "runner-up".into()
        } else if candidate.meets {
            "meets".into()
        } else {
            self.falls_short(candidate)
        }
    }

    /// The judgement that does not reach what is asked for decides: that of the
    /// set itself before that with one unit out.
    fn falls_short(&self, candidate: &Candidate) -> Text {
        let whole = candidate.counted(self.coil_credit);
        match &candidate.one_unit_out {
            Some(out) if self.days_to_hold <= whole.held_share() => {
                weakest(out, "falls short with one unit out")
            }
            _ => weakest(whole, "falls short"),
        }
    }
}

/// The period in which the fewest days hold, and how wet it gets there.
fn weakest(judged: &Judged, words: &str) -> Text {
    let Some(period) = judged.weakest_period() else {
        return words.to_owned().into();
    };
    let lit = judged.held_days_by_period[Period::LightsOn as usize].is_some();
    let when = match period {
        Period::LightsOn => "lights on",
        Period::Transition => "transition",
        Period::LightsOff if lit => "lights off",
        Period::LightsOff => "all hours",
    };
    let text = Text::from(format!("{words}: {when}"));
    match judged.highest_rel_humidity[period as usize] {
        None => text,
        Some(highest) => text
            .words(" to ")
            .value(Value::new(highest.likely, Dim::RelHumidity).digits(2)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::common::steps;
    use quantity::{Band, UnitSystem};
    use room::{CoilCredit, Spare};

    fn said(selection: &Selection, candidate: &Candidate) -> String {
        selection.remark(candidate).show(UnitSystem::Metric)
    }

    #[test]
    fn what_is_short_is_said_in_numbers() {
        let mut selection = steps().selection.clone();
        let chosen = selection.chosen.clone().unwrap();
        assert_eq!(said(&selection, &chosen), "chosen");
        selection.chosen = None;
        assert_eq!(said(&selection, &chosen), "meets");
        selection.runner_up = Some(chosen.clone());
        assert_eq!(said(&selection, &chosen), "runner-up");
        selection.runner_up = None;

        let mut short = chosen;
        short.meets = false;
        short.judged.held_days = 12;
        short.judged.held_days_by_period = [Some(20), Some(20), Some(12)];
        short.judged.highest_rel_humidity[2] = Some(Band::exact(0.82));
        assert_eq!(
            said(&selection, &short),
            "falls short: lights off to 82 %RH"
        );
        // In the dark there is no other time.
        short.judged.held_days_by_period = [None, None, Some(12)];
        assert_eq!(said(&selection, &short), "falls short: all hours to 82 %RH");
    }

    /// Where the set holds, it is the spare that is short.
    #[test]
    fn the_spare_is_named_where_it_is_what_is_short() {
        let mut selection = steps().selection.clone();
        selection.coil_credit = CoilCredit::Full;
        selection.spare = Spare::OneUnitOut;
        let mut short = selection.chosen.take().unwrap();
        short.meets = false;
        let out = short.one_unit_out.as_mut().unwrap();
        out.held_days = 3;
        out.held_days_by_period = [Some(3), Some(20), Some(20)];
        out.highest_rel_humidity[0] = Some(Band::exact(0.9));
        assert_eq!(
            said(&selection, &short),
            "falls short with one unit out: lights on to 90 %RH"
        );
    }
}

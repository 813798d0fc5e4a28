//! What happens once, in order of time.

use crate::setup::Event;

/// One thing to do at a time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Action {
    PowerIsCut,
    PowerIsBack,
    WashDown {
        film_kg: f64,
    },
    Irrigation,
    FilterLoaded {
        dehumidifier: usize,
        removal_factor: f64,
        power_factor: f64,
    },
    DehumidifierFails(usize),
    CoolingFails(usize),
}

/// Actions sorted by time.
#[derive(Debug)]
pub(crate) struct Agenda {
    actions: Vec<(f64, Action)>,
    next: usize,
    next_at_s: f64,
}

impl Agenda {
    pub(crate) fn new(events: &[Event]) -> Self {
        let mut actions = Vec::with_capacity(events.len() + 1);
        for event in events {
            let at_s = event.at_s();
            if let Event::PowerCut { lasts_s, .. } = *event {
                actions.push((at_s + lasts_s, Action::PowerIsBack));
            }
            actions.push((
                at_s,
                match *event {
                    Event::PowerCut { .. } => Action::PowerIsCut,
                    Event::WashDown { film_kg, .. } => Action::WashDown { film_kg },
                    Event::Irrigation { .. } => Action::Irrigation,
                    Event::FilterLoaded {
                        dehumidifier,
                        removal_factor,
                        power_factor,
                        ..
                    } => Action::FilterLoaded {
                        dehumidifier,
                        removal_factor,
                        power_factor,
                    },
                    Event::DehumidifierFails { dehumidifier, .. } => {
                        Action::DehumidifierFails(dehumidifier)
                    }
                    Event::CoolingFails { cooling, .. } => Action::CoolingFails(cooling),
                },
            ));
        }
        actions.sort_by(|a, b| a.0.total_cmp(&b.0));
        let next_at_s = actions.first().map_or(f64::INFINITY, |a| a.0);
        Self {
            actions,
            next: 0,
            next_at_s,
        }
    }

    /// The next action due before `end_s`, if any.
    #[inline]
    pub(crate) fn due(&mut self, end_s: f64) -> Option<Action> {
        if self.next_at_s >= end_s {
            return None;
        }
        let action = self.actions[self.next].1;
        self.next += 1;
        self.next_at_s = self.actions.get(self.next).map_or(f64::INFINITY, |a| a.0);
        Some(action)
    }
}

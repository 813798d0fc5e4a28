//! What happens when the supply comes back: who starts with whom, how much
//! current that draws, and how far a generator dips.

/// Units that start within this time start together \[s\]: start time and
/// recovery of a utility.
///
/// **Assumed** 5 to 10 s on a utility.
pub const STAGGER_UTILITY_S: f64 = 5.0;
/// The same on a generator \[s\].
///
/// **Assumed** 10 to 20 s on a generator.
pub const STAGGER_GENERATOR_S: f64 = 20.0;

/// Greatest dip of the voltage at a start.
///
/// **Assumed** 15 %; contactors drop out near 70 to 80 % of their voltage.
pub const MOST_DIP: f64 = 0.15;

/// A unit that starts.
#[derive(Clone, Debug, PartialEq)]
pub struct Starter {
    /// Its tag.
    pub tag: String,
    /// When it starts, from the return of the supply \[s\].
    pub at_s: f64,
    /// Current while it starts \[A\].
    pub locked_rotor_a: f64,
    /// Current once it runs \[A\].
    pub full_load_a: f64,
    /// Legs of the panel that it loads.
    pub legs: Vec<usize>,
}

/// Units that start together.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// When the first starts \[s\].
    pub at_s: f64,
    /// Tags, in order.
    pub tags: Vec<String>,
    /// Greatest current of any leg then: they start, the earlier ones run
    /// \[A\].
    pub peak_a: f64,
}

/// Events in the order of time: a unit joins the event of the one before it
/// where less than `apart_s` lies between them.
///
/// `base_a` flows in each leg all the time \[A\].
pub fn events(starters: &[Starter], apart_s: f64, base_a: &[f64; 3]) -> Vec<Event> {
    let mut order: Vec<&Starter> = starters.iter().collect();
    order.sort_by(|a, b| a.at_s.total_cmp(&b.at_s).then_with(|| a.tag.cmp(&b.tag)));
    let mut groups: Vec<Vec<&Starter>> = Vec::new();
    for starter in order {
        match groups.last_mut() {
            Some(group)
                if group
                    .last()
                    .is_some_and(|last| starter.at_s - last.at_s < apart_s - 1e-9) =>
            {
                group.push(starter);
            }
            _ => groups.push(vec![starter]),
        }
    }
    let mut running_a = *base_a;
    groups
        .into_iter()
        .map(|group| {
            let mut leg_a = running_a;
            for starter in &group {
                for leg in starter.legs.iter().filter(|l| **l < 3) {
                    leg_a[*leg] += starter.locked_rotor_a;
                    running_a[*leg] += starter.full_load_a;
                }
            }
            Event {
                at_s: group.first().map_or(0.0, |s| s.at_s),
                tags: group.iter().map(|s| s.tag.clone()).collect(),
                peak_a: leg_a.into_iter().fold(0.0, f64::max),
            }
        })
        .collect()
}

/// Start times with units one after the other \[s\].
///
/// ```text
/// t_k = t_off + (k − 1) · Δt
/// ```
///
/// **Assumed** order of tags; Δt of start time and recovery of the source.
pub fn staggered(starters: &[Starter], apart_s: f64) -> Vec<Starter> {
    let first_s = starters.iter().map(|s| s.at_s).fold(0.0, f64::max);
    starters
        .iter()
        .enumerate()
        .map(|(k, s)| Starter {
            at_s: first_s + k as f64 * apart_s,
            ..s.clone()
        })
        .collect()
}

/// Dip of a utility's voltage at a start, 0 to 1.
///
/// ```text
/// d = I_LR / (I_LR + I_sc)
/// ```
///
/// - `locked_rotor_a`: current of the start \[A\]
/// - `short_circuit_a`: current of the supply into a short circuit there \[A\]
///
/// **Valid** for positive currents of like power factor.
/// **Source** public power-quality notes; derived from a voltage divider.
/// **Checked** `power/checks/supply_dips.rs`, to each side of its limit.
pub fn utility_dip(locked_rotor_a: f64, short_circuit_a: f64) -> f64 {
    locked_rotor_a / (locked_rotor_a + short_circuit_a)
}

/// Dip of a generator's voltage at a start, linear, 0 to 1.
///
/// ```text
/// d = X''d · S_LR / S_gen
/// ```
///
/// - `start_va`: apparent power of the start \[VA\]
/// - `rating_va`: of the generator \[VA\]
/// - `reactance`: subtransient, per unit of the rating
///
/// **Valid** for dips to about 0.3; larger ones are overstated.
/// **Source** public generator-sizing notes.
/// **Checked** `tests/power.rs`: 30 kVA, 0.20, 75 A at 240 V: 12.0 %.
pub fn generator_dip_linear(start_va: f64, rating_va: f64, reactance: f64) -> f64 {
    reactance * start_va / rating_va
}

/// Dip of a generator's voltage at a start, as a divider, 0 to 1.
///
/// ```text
/// d = X S_LR / (S_gen + X S_LR)
/// ```
///
/// Arguments as [`generator_dip_linear`], always below it.
///
/// **Valid** for any start.
/// **Source** derived: source reactance against the reactance of the start.
/// **Checked** `tests/power.rs`: 30 kVA, 0.20, 75 A at 240 V: 10.7 %.
pub fn generator_dip_divider(start_va: f64, rating_va: f64, reactance: f64) -> f64 {
    reactance * start_va / (rating_va + reactance * start_va)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unit(tag: &str, at_s: f64, legs: &[usize]) -> Starter {
        Starter {
            tag: tag.into(),
            at_s,
            locked_rotor_a: 60.0,
            full_load_a: 10.0,
            legs: legs.to_vec(),
        }
    }

    #[test]
    fn equal_delays_start_together_and_a_stagger_parts_them() {
        let both = [unit("D1", 180.0, &[0, 1]), unit("D2", 180.0, &[0, 1])];
        let together = events(&both, 5.0, &[3.0; 3]);
        assert_eq!(together.len(), 1);
        assert_eq!(together[0].peak_a, 123.0);
        let apart = events(&staggered(&both, 5.0), 5.0, &[3.0; 3]);
        assert_eq!(apart.len(), 2);
        assert_eq!(apart[1].peak_a, 73.0);
        assert_eq!(apart[1].at_s, 185.0);
    }

    #[test]
    fn units_on_other_legs_do_not_add_up() {
        let parted = [unit("D1", 0.0, &[0]), unit("D2", 0.0, &[1])];
        assert_eq!(events(&parted, 5.0, &[0.0; 3])[0].peak_a, 60.0);
    }
}

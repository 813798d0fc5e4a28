//! A set of dehumidifiers: how many of which.

/// How many units of which models, largest group first as it was made.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct UnitSet {
    groups: Vec<(String, u32)>,
}

impl UnitSet {
    /// No unit at all.
    pub const EMPTY: Self = Self { groups: Vec::new() };

    /// `count` units of one model.
    pub fn of(model: &str, count: u32) -> Self {
        Self::EMPTY.and(model, count)
    }

    /// The same set with `count` more units of a model.
    #[must_use]
    pub fn and(mut self, model: &str, count: u32) -> Self {
        if count == 0 {
            return self;
        }
        match self.groups.iter_mut().find(|(m, _)| m == model) {
            Some((_, n)) => *n += count,
            None => self.groups.push((model.to_owned(), count)),
        }
        self
    }

    /// The same set without one unit of a model.
    #[must_use]
    pub fn without_one(&self, model: &str) -> Self {
        let mut groups = self.groups.clone();
        if let Some((_, n)) = groups.iter_mut().find(|(m, _)| m == model) {
            *n -= 1;
        }
        groups.retain(|(_, n)| 0 < *n);
        Self { groups }
    }

    /// Models and counts.
    pub fn groups(&self) -> &[(String, u32)] {
        &self.groups
    }

    /// The model of each unit, one after the other.
    pub fn models(&self) -> impl Iterator<Item = &str> {
        self.groups
            .iter()
            .flat_map(|(m, n)| std::iter::repeat_n(m.as_str(), *n as usize))
    }

    /// How many units in all.
    pub fn count(&self) -> u32 {
        self.groups.iter().map(|(_, n)| n).sum()
    }

    /// In words: "3 × generic-150 + 1 × generic-70".
    pub fn words(&self) -> String {
        if self.groups.is_empty() {
            return "no units".into();
        }
        let parts: Vec<String> = self
            .groups
            .iter()
            .map(|(m, n)| format!("{n} × {m}"))
            .collect();
        parts.join(" + ")
    }
}

/// The air of one unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct UnitAir {
    /// Share of its inlet air that a unit, itself or another, dried before, 0 to
    /// 0.95.
    pub short_circuit: f64,
    /// Air that it moves against its ducts \[m³/s\]; `None` without ducts: as its
    /// record says.
    pub ducted_m3_per_s: Option<f64>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn groups_add_up_and_come_apart() {
        let set = UnitSet::of("a", 2).and("b", 1).and("a", 1);
        assert_eq!(set.words(), "3 × a + 1 × b");
        assert_eq!(set.count(), 4);
        assert_eq!(set.models().collect::<Vec<_>>(), ["a", "a", "a", "b"]);
        assert_eq!(set.without_one("b").words(), "3 × a");
        assert_eq!(UnitSet::EMPTY.and("c", 0).words(), "no units");
    }
}

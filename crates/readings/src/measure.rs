//! What a column measures, and in which unit.

/// What a channel measures. Values come in the SI unit named here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Measure {
    /// Dry bulb of the room \[°C\].
    DryBulb,
    /// Relative humidity of the room, 0 to 1.
    RelHumidity,
    /// Dew point \[°C\].
    DewPoint,
    /// Wet bulb \[°C\].
    WetBulb,
    /// Vapour pressure deficit \[Pa\].
    Vpd,
    /// Temperature of leaves \[°C\].
    Leaf,
    /// Temperature of a surface \[°C\].
    Surface,
    /// Dry bulb outdoors \[°C\].
    OutdoorDryBulb,
    /// Relative humidity outdoors, 0 to 1.
    OutdoorRelHumidity,
    /// Carbon dioxide \[ppm\].
    Co2,
    /// Light in any unit, or on and off: only its rise and fall is used.
    Light,
    /// Electrical power of dehumidifiers \[W\].
    UnitPower,
    /// Whether a dehumidifier runs, 0 to 1.
    UnitState,
    /// Water removed, a counter that only rises \[kg\].
    WaterCounter,
    /// Water removed since the row before \[kg\].
    Water,
    /// Irrigation: on and off, flow or amount; only whether it flows is used.
    Irrigation,
}

/// What to make of a column.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// Date and time of day, or a count of seconds.
    Time,
    /// Date alone.
    Date,
    /// Time of day alone.
    Clock,
    /// Readings.
    Reading(Measure),
    /// Readings whose kind the rows name.
    Value,
    /// Name of the sensor or of what it measures, in each row.
    Sensor,
    /// Unit, in each row.
    Unit,
    /// Not used.
    Ignored,
}

/// From what is written to SI: `si = factor · x + offset`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// Factor.
    pub factor: f64,
    /// Offset, added after.
    pub offset: f64,
    /// The unit as people write it.
    pub unit: &'static str,
}

impl Scale {
    const fn new(unit: &'static str, factor: f64) -> Self {
        Self {
            factor,
            offset: 0.0,
            unit,
        }
    }

    /// To SI.
    #[inline]
    pub fn si(&self, written: f64) -> f64 {
        self.factor * written + self.offset
    }
}

/// States for each odd code among them: with fewer it is not told which are
/// which. Assumed.
const ODD_CODES: usize = 10;
/// Litres of water to kilograms, at 20 °C.
const KG_PER_L: f64 = 0.998;
const CELSIUS: Scale = Scale::new("°C", 1.0);
const FAHRENHEIT: Scale = Scale {
    factor: 5.0 / 9.0,
    offset: -160.0 / 9.0,
    unit: "°F",
};
const KELVIN: Scale = Scale {
    factor: 1.0,
    offset: -273.15,
    unit: "K",
};
const PERCENT: Scale = Scale::new("%", 0.01);
const SHARE: Scale = Scale::new("0 to 1", 1.0);
const AS_IT_IS: Scale = Scale::new("", 1.0);

const TEMPERATURES: &[(&str, Scale)] = &[
    ("c", CELSIUS),
    ("degc", CELSIUS),
    ("celsius", CELSIUS),
    ("f", FAHRENHEIT),
    ("degf", FAHRENHEIT),
    ("fahrenheit", FAHRENHEIT),
    ("k", KELVIN),
    ("kelvin", KELVIN),
];
const HUMIDITIES: &[(&str, Scale)] = &[
    ("%", PERCENT),
    ("%rh", PERCENT),
    ("rh%", PERCENT),
    ("%rf", PERCENT),
    ("%hr", PERCENT),
    ("percent", PERCENT),
    ("pct", PERCENT),
];
const PRESSURES: &[(&str, Scale)] = &[
    ("pa", Scale::new("Pa", 1.0)),
    ("hpa", Scale::new("hPa", 100.0)),
    ("mbar", Scale::new("mbar", 100.0)),
    ("kpa", Scale::new("kPa", 1000.0)),
    ("psi", Scale::new("psi", 6_894.757)),
];
const POWERS: &[(&str, Scale)] = &[
    ("w", Scale::new("W", 1.0)),
    ("watt", Scale::new("W", 1.0)),
    ("watts", Scale::new("W", 1.0)),
    ("kw", Scale::new("kW", 1000.0)),
];
const WATERS: &[(&str, Scale)] = &[
    ("l", Scale::new("L", KG_PER_L)),
    ("liter", Scale::new("L", KG_PER_L)),
    ("litre", Scale::new("L", KG_PER_L)),
    ("liters", Scale::new("L", KG_PER_L)),
    ("litres", Scale::new("L", KG_PER_L)),
    ("ml", Scale::new("mL", KG_PER_L / 1000.0)),
    ("kg", Scale::new("kg", 1.0)),
    ("g", Scale::new("g", 0.001)),
    // 231 in³ of 16.387 064 mL; an eighth of it.
    ("gal", Scale::new("gal", 3.785_411_784 * KG_PER_L)),
    ("gallons", Scale::new("gal", 3.785_411_784 * KG_PER_L)),
    ("pt", Scale::new("pt", 0.473_176_473 * KG_PER_L)),
    ("pints", Scale::new("pt", 0.473_176_473 * KG_PER_L)),
    ("m3", Scale::new("m³", 1000.0 * KG_PER_L)),
];
const STATES: &[(&str, Scale)] = &[("%", PERCENT), ("percent", PERCENT)];
const CO2S: &[(&str, Scale)] = &[("ppm", Scale::new("ppm", 1.0)), ("%", Scale::new("%", 1e4))];

impl Measure {
    /// All of them.
    pub const ALL: [Self; 16] = [
        Self::DryBulb,
        Self::RelHumidity,
        Self::DewPoint,
        Self::WetBulb,
        Self::Vpd,
        Self::Leaf,
        Self::Surface,
        Self::OutdoorDryBulb,
        Self::OutdoorRelHumidity,
        Self::Co2,
        Self::Light,
        Self::UnitPower,
        Self::UnitState,
        Self::WaterCounter,
        Self::Water,
        Self::Irrigation,
    ];

    /// The word for it, in results and in the option that names a column.
    pub const fn word(self) -> &'static str {
        match self {
            Self::DryBulb => "dry bulb",
            Self::RelHumidity => "rh",
            Self::DewPoint => "dew point",
            Self::WetBulb => "wet bulb",
            Self::Vpd => "vpd",
            Self::Leaf => "leaf",
            Self::Surface => "surface",
            Self::OutdoorDryBulb => "outdoor dry bulb",
            Self::OutdoorRelHumidity => "outdoor rh",
            Self::Co2 => "co2",
            Self::Light => "light",
            Self::UnitPower => "unit power",
            Self::UnitState => "unit state",
            Self::WaterCounter => "water counter",
            Self::Water => "water",
            Self::Irrigation => "irrigation",
        }
    }

    /// What a reading can be, in SI; the rest is a fault of the sensor.
    pub const fn possible(self) -> (f64, f64) {
        match self {
            Self::DryBulb | Self::WetBulb | Self::Leaf => (-30.0, 70.0),
            Self::DewPoint | Self::Surface | Self::OutdoorDryBulb => (-60.0, 80.0),
            // A few sensors show a little over saturation.
            Self::RelHumidity | Self::OutdoorRelHumidity => (0.0, 1.05),
            Self::Vpd => (-50.0, 15_000.0),
            Self::Co2 => (0.0, 9_990.0),
            Self::Light | Self::Irrigation => (-0.5, 1e7),
            Self::UnitPower => (-20.0, 1e6),
            Self::UnitState => (0.0, 1.0),
            Self::WaterCounter => (0.0, 1e9),
            Self::Water => (0.0, 1e5),
        }
    }

    /// Whether it is a temperature.
    pub const fn is_temperature(self) -> bool {
        matches!(
            self,
            Self::DryBulb
                | Self::DewPoint
                | Self::WetBulb
                | Self::Leaf
                | Self::Surface
                | Self::OutdoorDryBulb
        )
    }

    /// Whether it can never reach thousands in any unit that people write.
    pub(crate) const fn is_small(self) -> bool {
        self.is_temperature() || matches!(self, Self::RelHumidity | Self::OutdoorRelHumidity)
    }

    const fn units(self) -> &'static [(&'static str, Scale)] {
        match self {
            Self::RelHumidity | Self::OutdoorRelHumidity => HUMIDITIES,
            Self::Vpd => PRESSURES,
            Self::UnitPower => POWERS,
            Self::UnitState => STATES,
            Self::WaterCounter | Self::Water => WATERS,
            Self::Co2 => CO2S,
            Self::Light | Self::Irrigation => &[],
            _ => TEMPERATURES,
        }
    }

    /// The scale of a unit as it is written, if it is one of this measure.
    pub fn scale(self, unit: &str) -> Option<Scale> {
        let unit = plain_unit(unit);
        let found = self.units().iter().find(|(name, _)| *name == unit);
        found.map(|(_, scale)| *scale)
    }

    /// The units that people write, for messages.
    pub fn units_in_words(self) -> String {
        let mut names: Vec<&str> = self.units().iter().map(|(_, s)| s.unit).collect();
        names.dedup();
        names.sort_unstable();
        names.dedup();
        names.join(", ")
    }

    /// The unit that the numbers themselves leave no doubt about, with why;
    /// `None` if there is doubt.
    ///
    /// - `numbers`: what is written, the lowest first
    pub(crate) fn by_numbers(self, numbers: &[f64]) -> Option<(Scale, &'static str)> {
        const IN_CELSIUS: &str =
            "no unit is named; as °F these would be no air that people can work in";
        const IN_FAHRENHEIT: &str =
            "no unit is named; as °C these would be no air that people can work in";
        let middle = *numbers.get(numbers.len() / 2)?;
        let highest = *numbers.last()?;
        match self {
            m if m.is_temperature() && (2.0..=42.0).contains(&middle) => {
                Some((CELSIUS, IN_CELSIUS))
            }
            m if m.is_temperature() && (50.0..=120.0).contains(&middle) => {
                Some((FAHRENHEIT, IN_FAHRENHEIT))
            }
            Self::RelHumidity | Self::OutdoorRelHumidity if highest <= 1.05 => {
                Some((SHARE, "no unit is named; none is above 1"))
            }
            Self::RelHumidity | Self::OutdoorRelHumidity if 2.0 < middle => {
                Some((PERCENT, "no unit is named; these are above 1"))
            }
            Self::Vpd if highest <= 8.0 => Some((
                Scale::new("kPa", 1000.0),
                "no unit is named; none is above 8",
            )),
            Self::Vpd if 100.0 < middle => Some((
                Scale::new("Pa", 1.0),
                "no unit is named; these are above 100",
            )),
            Self::Co2 => Some((Scale::new("ppm", 1.0), "the usual unit")),
            Self::Light | Self::Irrigation => Some((AS_IT_IS, "only its rise and fall is used")),
            Self::UnitState if highest <= 1.0 => Some((AS_IT_IS, "on and off")),
            // A code that is no state here and there does not make shares of ones.
            Self::UnitState => {
                let above = |x: f64| numbers.len() - numbers.partition_point(|n| *n <= x);
                let ones = above(0.0) - above(1.0);
                if above(1.0) * ODD_CODES <= ones {
                    Some((AS_IT_IS, "on and off; other codes are no readings"))
                } else if ones * ODD_CODES <= above(1.0) && highest <= 100.0 {
                    Some((PERCENT, "no unit is named; these go up to 100"))
                } else {
                    None
                }
            }
            Self::UnitPower if 50.0 < highest => {
                Some((Scale::new("W", 1.0), "no unit is named; too large for kW"))
            }
            _ => None,
        }
    }
}

/// "(°C)" as "c", "% RH" as "%rh".
fn plain_unit(unit: &str) -> String {
    unit.to_lowercase()
        .chars()
        .filter(|c| c.is_alphanumeric() || *c == '%')
        .map(|c| match c {
            '³' => '3',
            '℃' => 'c',
            '℉' => 'f',
            c => c,
        })
        .collect()
}

impl Role {
    /// The words of the option that names a column.
    pub const WORDS: [(&'static str, Self); 7] = [
        ("time", Self::Time),
        ("date", Self::Date),
        ("clock", Self::Clock),
        ("value", Self::Value),
        ("sensor", Self::Sensor),
        ("unit", Self::Unit),
        ("ignore", Self::Ignored),
    ];

    /// From the words of the option.
    pub fn from_words(words: &str) -> Option<Self> {
        let words = words.trim().to_lowercase();
        let measure = Measure::ALL.into_iter().find(|m| m.word() == words);
        let other = Self::WORDS.iter().find(|(w, _)| *w == words);
        measure.map(Self::Reading).or(other.map(|(_, r)| *r))
    }

    /// The word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Reading(measure) => measure.word(),
            other => Self::WORDS
                .iter()
                .find(|(_, r)| *r == other)
                .map_or("", |(w, _)| w),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_go_to_si() {
        // 68 °F is 20 °C and 32 °F is 0 °C by definition; a US gallon is
        // 3.785 411 784 L (NIST SP 811, appendix B).
        let si = |m: Measure, unit, x| m.scale(unit).map(|s| s.si(x));
        assert!((si(Measure::DryBulb, "°F", 68.0).unwrap() - 20.0).abs() < 1e-12);
        assert!(si(Measure::DryBulb, "deg F", 32.0).unwrap().abs() < 1e-12);
        assert_eq!(si(Measure::Vpd, "kPa", 1.2), Some(1200.0));
        assert_eq!(si(Measure::RelHumidity, "% RH", 60.0), Some(0.6));
        assert!((si(Measure::Water, "gal", 1.0).unwrap() - 3.7778).abs() < 1e-4);
        assert_eq!(si(Measure::Vpd, "°C", 1.0), None);
    }

    #[test]
    fn units_are_taken_from_numbers_only_without_doubt() {
        let unit = |m: Measure, middle: f64, highest: f64| {
            m.by_numbers(&[middle, middle, highest])
                .map(|(s, _)| s.unit)
        };
        assert_eq!(unit(Measure::DryBulb, 24.0, 28.0), Some("°C"));
        assert_eq!(unit(Measure::DryBulb, 75.0, 82.0), Some("°F"));
        assert_eq!(unit(Measure::DryBulb, 46.0, 50.0), None);
        assert_eq!(unit(Measure::RelHumidity, 0.55, 0.8), Some("0 to 1"));
        assert_eq!(unit(Measure::RelHumidity, 55.0, 80.0), Some("%"));
        assert_eq!(unit(Measure::Vpd, 1.1, 2.0), Some("kPa"));
        assert_eq!(unit(Measure::Vpd, 11.0, 20.0), None);
        assert_eq!(unit(Measure::WaterCounter, 11.0, 20.0), None);
        // A few codes among ones and zeros; shares; neither.
        let state = |numbers: &[(f64, usize)]| {
            let all = numbers.iter().flat_map(|(x, n)| vec![*x; *n]);
            let all: Vec<f64> = all.collect();
            Measure::UnitState.by_numbers(&all).map(|(s, _)| s.unit)
        };
        assert_eq!(state(&[(0.0, 50), (1.0, 40)]), Some(""));
        assert_eq!(state(&[(0.0, 50), (1.0, 40), (2.0, 3)]), Some(""));
        assert_eq!(state(&[(0.0, 50), (40.0, 20), (100.0, 30)]), Some("%"));
        assert_eq!(state(&[(0.0, 50), (1.0, 10), (2.0, 10)]), None);
    }

    #[test]
    fn words_of_options_go_both_ways() {
        for measure in Measure::ALL {
            let role = Role::Reading(measure);
            assert_eq!(Role::from_words(role.word()), Some(role));
        }
        for (word, role) in Role::WORDS {
            assert_eq!(Role::from_words(word), Some(role));
            assert_eq!(role.word(), word);
        }
        assert_eq!(
            Role::from_words("Dew Point"),
            Some(Role::Reading(Measure::DewPoint))
        );
        assert_eq!(Role::from_words("pressure"), None);
    }
}

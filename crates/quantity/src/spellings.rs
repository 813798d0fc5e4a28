//! How people spell the names that units are made of.

/// One name and the spellings that mean it.
pub(crate) struct Name {
    /// The name, unique.
    pub(crate) name: &'static str,
    /// Spellings in which capitals tell it from another unit (MJ is not mJ).
    pub(crate) exact: &'static [&'static str],
    /// Spellings in which capitals do not matter.
    pub(crate) any_case: &'static [&'static str],
}

const fn name(name: &'static str, any_case: &'static [&'static str]) -> Name {
    Name {
        name,
        exact: &[],
        any_case,
    }
}

const fn cased(
    name: &'static str,
    exact: &'static [&'static str],
    any_case: &'static [&'static str],
) -> Name {
    Name {
        name,
        exact,
        any_case,
    }
}

/// Names of which units are made.
pub(crate) const NAMES: &[Name] = &[
    // length
    name("m", &["m", "metre", "metres", "meter", "meters"]),
    name(
        "mm",
        &[
            "mm",
            "millimetre",
            "millimetres",
            "millimeter",
            "millimeters",
        ],
    ),
    name(
        "cm",
        &[
            "cm",
            "centimetre",
            "centimetres",
            "centimeter",
            "centimeters",
        ],
    ),
    name(
        "km",
        &["km", "kilometre", "kilometres", "kilometer", "kilometers"],
    ),
    name("in", &["in", "inch", "inches", "\""]),
    name("ft", &["ft", "foot", "feet", "'"]),
    name("yd", &["yd", "yds", "yard", "yards"]),
    name("mi", &["mi", "mile", "miles"]),
    // volume
    name("L", &["l", "ltr", "litre", "litres", "liter", "liters"]),
    cased(
        "mL",
        &["mL", "ml"],
        &["millilitre", "millilitres", "milliliter", "milliliters"],
    ),
    name("gal", &["gal", "gals", "gallon", "gallons"]),
    name("qt", &["qt", "qts", "quart", "quarts"]),
    name("pt", &["pt", "pts", "pint", "pints"]),
    name("fl", &["fl", "fluid"]),
    // mass
    name(
        "kg",
        &[
            "kg",
            "kgs",
            "kilogram",
            "kilograms",
            "kilogramme",
            "kilogrammes",
        ],
    ),
    name("g", &["g", "gram", "grams", "gramme", "grammes"]),
    cased("mg", &["mg"], &["milligram", "milligrams"]),
    cased("t", &["t"], &["tonne", "tonnes"]),
    name("lb", &["lb", "lbs", "lbm", "pound", "pounds"]),
    name("oz", &["oz", "ounce", "ounces"]),
    name("gr", &["gr", "grain", "grains"]),
    name("ton", &["ton", "tons"]),
    name("metric", &["metric"]),
    name("short", &["short"]),
    // time
    name("s", &["s", "sec", "secs", "second", "seconds"]),
    name("min", &["min", "mins", "minute", "minutes"]),
    name("h", &["h", "hr", "hrs", "hour", "hours"]),
    name("d", &["d", "day", "days"]),
    name("wk", &["wk", "week", "weeks"]),
    // temperature, angle
    name("°C", &["c", "degc", "celsius"]),
    name("°F", &["f", "degf", "fahrenheit"]),
    name("K", &["k", "kelvin"]),
    name("°", &["°", "deg", "degree", "degrees"]),
    name("rad", &["rad", "radian", "radians"]),
    // humidity
    name("%", &["%", "percent", "pct"]),
    name("RH", &["rh"]),
    name("points", &["point", "points"]),
    name("ppm", &["ppm"]),
    name("CO2", &["co2"]),
    // pressure
    name("Pa", &["pa", "pascal", "pascals"]),
    name("hPa", &["hpa"]),
    name("kPa", &["kpa"]),
    name("mbar", &["mbar", "millibar", "millibars"]),
    name("bar", &["bar", "bars"]),
    name("psi", &["psi"]),
    name("wg", &["wg", "wc", "h2o", "water"]),
    name("Hg", &["hg"]),
    // energy, power
    name("J", &["j", "joule", "joules"]),
    name("kJ", &["kj"]),
    cased("MJ", &["MJ"], &["megajoule", "megajoules"]),
    name("Wh", &["wh"]),
    name("kWh", &["kwh"]),
    cased("MWh", &["MWh"], &[]),
    name("Btu", &["btu", "btus"]),
    name("kBtu", &["kbtu"]),
    name("W", &["w", "watt", "watts"]),
    name("kW", &["kw", "kilowatt", "kilowatts"]),
    cased("MW", &["MW"], &["megawatt", "megawatts"]),
    name("hp", &["hp", "horsepower"]),
    // light
    name(
        "µmol",
        &["µmol", "umol", "micromol", "micromole", "micromoles"],
    ),
    cased("mol", &["mol"], &["mole", "moles"]),
    // electricity
    name("V", &["v", "volt", "volts"]),
    cased("kV", &["kV"], &["kilovolt", "kilovolts"]),
    name("A", &["a", "amp", "amps", "ampere", "amperes"]),
    cased("mA", &["mA"], &["milliamp", "milliamps"]),
    cased("VA", &["VA"], &["voltampere", "voltamperes"]),
    name("kVA", &["kva"]),
    cased("Ω", &["Ω"], &["ohm", "ohms"]),
    name("kft", &["kft"]),
    // force, stress
    cased("N", &["N"], &["newton", "newtons"]),
    cased("kN", &["kN"], &["kilonewton", "kilonewtons"]),
    name("lbf", &["lbf"]),
    cased("MPa", &["MPa"], &["megapascal", "megapascals"]),
    name("ksi", &["ksi"]),
    // air changes
    name("ACH", &["ach"]),
];

/// Short words of the trade that stand for a unit of several names; capitals
/// do not matter. "ppd" is pints per day, as on dehumidifiers.
pub(crate) const SHORT_WORDS: &[(&str, &str)] = &[
    ("cfm", "ft3/min"),
    ("cmh", "m3/h"),
    ("fpm", "ft/min"),
    ("mph", "mi/h"),
    ("kph", "km/h"),
    ("gpd", "gal/d"),
    ("gph", "gal/h"),
    ("gpm", "gal/min"),
    ("ppd", "pt/d"),
    ("lpd", "L/d"),
    ("sqft", "ft2"),
    ("sf", "ft2"),
    ("sqm", "m2"),
    ("cuft", "ft3"),
    ("cf", "ft3"),
    ("btuh", "Btu/h"),
    ("kbtuh", "kBtu/h"),
    ("mbh", "kBtu/h"),
    ("inwg", "in wg"),
    ("inwc", "in wg"),
    ("inh2o", "in wg"),
    ("iwc", "in wg"),
    ("iwg", "in wg"),
    ("inhg", "in Hg"),
    ("mmhg", "mm Hg"),
    ("rh%", "% RH"),
];

/// Spellings with a digit inside, tried before a digit is taken as an exponent.
pub(crate) const WITH_DIGITS: &[&str] = &["inh2o", "h2o", "co2"];

/// The name that `spelling` means.
pub(crate) fn name_of(spelling: &str) -> Option<&'static str> {
    let exact = NAMES.iter().find(|n| n.exact.contains(&spelling));
    exact
        .or_else(|| {
            NAMES
                .iter()
                .find(|n| n.any_case.iter().any(|s| s.eq_ignore_ascii_case(spelling)))
        })
        .map(|n| n.name)
}

/// The unit text that a short word stands for.
pub(crate) fn short_word(spelling: &str) -> Option<&'static str> {
    SHORT_WORDS
        .iter()
        .find(|(word, _)| word.eq_ignore_ascii_case(spelling))
        .map(|(_, unit)| *unit)
}

/// Every spelling, to find the nearest.
pub(crate) fn every_spelling() -> impl Iterator<Item = &'static str> {
    NAMES
        .iter()
        .flat_map(|n| n.exact.iter().chain(n.any_case))
        .copied()
        .chain(SHORT_WORDS.iter().map(|(word, _)| *word))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn no_spelling_means_two_things() {
        let mut seen = BTreeMap::new();
        for n in NAMES {
            for s in n.any_case {
                assert_eq!(*s, s.to_lowercase(), "{s}");
                assert_eq!(seen.insert(s.to_string(), n.name), None, "{s}");
            }
        }
        for n in NAMES {
            for s in n.exact {
                // Exact spellings may differ from another name by capitals only.
                assert_eq!(seen.insert(s.to_string(), n.name), None, "{s}");
            }
        }
        for (word, _) in SHORT_WORDS {
            assert_eq!(seen.insert(word.to_string(), word), None, "{word}");
        }
    }

    #[test]
    fn every_name_is_reached_by_itself() {
        for n in NAMES {
            let spelling = n.name.trim_start_matches('°');
            let spelling = if spelling.is_empty() { "°" } else { spelling };
            assert_eq!(name_of(spelling), Some(n.name));
        }
    }
}

//! What the head of a column says: what it measures, in which unit.

use crate::measure::{Measure, Role, Scale};

/// What a head says.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Head {
    pub(crate) role: Option<Role>,
    /// The unit, where it names one of what it measures.
    pub(crate) scale: Option<Scale>,
    /// Of water: whether it says that it counts on, or tells amounts.
    pub(crate) water: Option<Measure>,
}

/// Reads the head of a column, or the name of a sensor with its unit.
pub(crate) fn head(text: &str) -> Head {
    let words = words(text);
    let unit = unit_text(text);
    let role = role(&words, unit.as_deref());
    let scale = match role {
        Some(Role::Reading(measure)) => unit
            .as_deref()
            .and_then(|u| measure.scale(u))
            .or_else(|| written_word(text, measure).filter(|_| unit.is_none()))
            .or_else(|| text.contains('%').then(|| measure.scale("%")).flatten()),
        _ => None,
    };
    Head {
        role,
        scale,
        water: water(&words),
    }
}

/// Whether words say that water counts on, or that amounts are told.
fn water(words: &[String]) -> Option<Measure> {
    const COUNTS: [&str; 7] = [
        "total",
        "totalizer",
        "totaliser",
        "counter",
        "cumulative",
        "meter",
        "sum",
    ];
    const AMOUNTS: [&str; 4] = ["interval", "amount", "increment", "delta"];
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    match (has(&COUNTS), has(&AMOUNTS)) {
        (true, false) => Some(Measure::WaterCounter),
        (false, true) => Some(Measure::Water),
        _ => None,
    }
}

/// The last word that is a unit: "temp_c", "Unit 1 kW".
fn written_word(text: &str, measure: Measure) -> Option<Scale> {
    let mut words = text.rsplit(|c: char| c.is_whitespace() || matches!(c, '_' | '-' | '.' | ':'));
    words.find_map(|w| (!w.is_empty()).then(|| measure.scale(w)).flatten())
}

/// Words in lower case: "AirTemp_C (°C)" as air, temp, c, c.
pub(crate) fn words(text: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut before = ' ';
    for c in text.chars() {
        let starts = c.is_uppercase() && before.is_lowercase();
        if starts || !c.is_alphanumeric() {
            words.push(String::new());
        }
        if c.is_alphanumeric()
            && let Some(word) = words.last_mut()
        {
            word.extend(c.to_lowercase());
        }
        before = c;
    }
    words.retain(|w| !w.is_empty());
    words.into_iter().flat_map(numbered).collect()
}

/// Words that end with a digit of their own.
const WITH_DIGIT: [&str; 3] = ["co2", "h2o", "o2"];

/// A word and the number after it: "rh1" as rh, 1.
fn numbered(word: String) -> Vec<String> {
    let name = word.trim_end_matches(|c: char| c.is_ascii_digit());
    let is_name = 2 <= name.chars().count() || name == "t";
    if name == word || !is_name || WITH_DIGIT.contains(&word.as_str()) {
        return vec![word];
    }
    let number = word[name.len()..].to_owned();
    vec![name.to_owned(), number]
}

/// What stands in brackets at the end, or after the last comma.
fn unit_text(text: &str) -> Option<String> {
    let text = text.trim();
    for (open, close) in [('(', ')'), ('[', ']')] {
        if let Some(start) = text.rfind(open)
            && let Some(end) = text[start..].find(close)
        {
            return Some(text[start + open.len_utf8()..start + end].to_owned());
        }
    }
    let tail = text
        .rsplit([',', '/'])
        .next()
        .filter(|tail| tail.len() < text.len());
    let tail = tail.or_else(|| text.find('°').map(|at| &text[at..]));
    tail.map(|t| t.split_whitespace().next().unwrap_or("").to_owned())
        .filter(|t| !t.is_empty())
}

const TEMPERATURE: [&str; 12] = [
    "temp",
    "temperature",
    "temperatur",
    "température",
    "temperatura",
    "temperaturen",
    "celsius",
    "fahrenheit",
    "tdb",
    "drybulb",
    "tair",
    "temps",
];
const HUMIDITY: [&str; 13] = [
    "rh",
    "humidity",
    "hum",
    "humid",
    "feuchte",
    "luftfeuchte",
    "luftfeuchtigkeit",
    "humedad",
    "humidité",
    "umidità",
    "vochtigheid",
    "rf",
    "hr",
];
const UNIT_OF_PLANT: [&str; 5] = [
    "dehu",
    "dehumidifier",
    "dehumidifiers",
    "dehum",
    "compressor",
];
const ELSEWHERE: [&str; 14] = [
    "soil",
    "substrate",
    "root",
    "medium",
    "slab",
    "tank",
    "reservoir",
    "feed",
    "nutrient",
    "coil",
    "supply",
    "discharge",
    "battery",
    "setpoint",
];

#[allow(clippy::cognitive_complexity)]
fn role(words: &[String], unit: Option<&str>) -> Option<Role> {
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.as_str()));
    let is = |word: &str| has(&[word]);
    let pair = |a: &str, b: &str| words.windows(2).any(|w| w[0] == a && w[1] == b);
    let reading = |m| Some(Role::Reading(m));
    let unit_is = |m: Measure| unit.is_some_and(|u| m.scale(u).is_some());
    let outdoor = has(&[
        "outdoor", "outside", "exterior", "oat", "weather", "ambient",
    ]) && !is("room");

    if is("vpd") || is("deficit") {
        return reading(Measure::Vpd);
    }
    if is("dew") || is("dewpoint") || is("taupunkt") {
        return reading(Measure::DewPoint);
    }
    if is("wetbulb") || pair("wet", "bulb") {
        return reading(Measure::WetBulb);
    }
    if is("co2") || pair("carbon", "dioxide") {
        return reading(Measure::Co2);
    }
    if has(&["setpoint", "target", "battery", "alarm", "dli", "ec", "ph"]) || pair("set", "point") {
        return Some(Role::Ignored);
    }
    if has(&[
        "irrigation",
        "irrigate",
        "valve",
        "drip",
        "watering",
        "fertigation",
    ]) || (is("pump") && !has(&UNIT_OF_PLANT))
    {
        return reading(Measure::Irrigation);
    }
    if has(&["condensate", "drained"]) || (is("water") && has(&["removed", "collected", "counter"]))
    {
        return reading(water(words).unwrap_or(Measure::Water));
    }
    if has(&[
        "lux", "ppfd", "par", "light", "lights", "lamp", "lamps", "licht", "umol", "fc",
    ]) && !(is("light") && has(&["red", "far"]))
    {
        return reading(Measure::Light);
    }
    let temperature = has(&TEMPERATURE) || (unit_is(Measure::DryBulb) && !is("co2"));
    if temperature && has(&["leaf", "leaves", "canopy"]) && !is("air") {
        let leaf = has(&["leaf", "leaves", "infrared", "ir"]);
        return reading(if leaf {
            Measure::Leaf
        } else {
            Measure::DryBulb
        });
    }
    if temperature
        && has(&[
            "surface", "wall", "glass", "glazing", "roof", "duct", "pipe",
        ])
    {
        return reading(Measure::Surface);
    }
    if has(&ELSEWHERE) {
        return Some(Role::Ignored);
    }
    if has(&HUMIDITY) || unit.is_some_and(|u| u.to_lowercase().contains("rh")) {
        if is("absolute") {
            return Some(Role::Ignored);
        }
        return reading(if outdoor {
            Measure::OutdoorRelHumidity
        } else {
            Measure::RelHumidity
        });
    }
    let is_number = |w: &str| w.bytes().all(|b| b.is_ascii_digit());
    let first_alone = words.iter().skip(1).all(|w| is_number(w));
    if temperature || pair("dry", "bulb") || (first_alone && is("t")) {
        return reading(if outdoor {
            Measure::OutdoorDryBulb
        } else {
            Measure::DryBulb
        });
    }
    if has(&["power", "watts", "watt", "kw", "w"]) || unit_is(Measure::UnitPower) {
        return reading(Measure::UnitPower);
    }
    if has(&UNIT_OF_PLANT)
        || (has(&[
            "state", "status", "run", "running", "relay", "stage", "demand",
        ]) && !has(&["fan", "heater", "cooling", "ac"]))
    {
        return reading(Measure::UnitState);
    }
    if has(&[
        "sensor",
        "probe",
        "logger",
        "device",
        "channel",
        "location",
        "point",
        "tag",
        "parameter",
        "quantity",
        "variable",
        "metric",
        "node",
    ]) || (words.len() == 1 && has(&["name", "id", "type", "entity", "measurement"]))
    {
        return Some(Role::Sensor);
    }
    if words.len() == 1 && has(&["unit", "units", "uom"]) {
        return Some(Role::Unit);
    }
    if words.len() <= 2 && has(&["value", "reading", "wert", "valeur", "valor"]) {
        return Some(Role::Value);
    }
    None
}

/// Whether a head speaks of time.
pub(crate) fn speaks_of_time(text: &str) -> bool {
    let words = words(text);
    words.iter().any(|w| {
        matches!(
            w.as_str(),
            "time"
                | "date"
                | "datetime"
                | "timestamp"
                | "epoch"
                | "unix"
                | "zeit"
                | "datum"
                | "uhrzeit"
                | "zeitstempel"
                | "heure"
                | "fecha"
                | "hora"
                | "when"
        )
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_name_measure_and_unit() {
        use Measure::*;
        for (text, measure, unit) in [
            ("Temp (°C)", DryBulb, Some("°C")),
            ("Temperature [°F]", DryBulb, Some("°F")),
            ("temp_c", DryBulb, Some("°C")),
            ("Celsius(°C)", DryBulb, Some("°C")),
            ("Temp, °F (LGR S/N: 123)", DryBulb, None),
            ("T", DryBulb, None),
            ("T1", DryBulb, None),
            ("Temp 2", DryBulb, None),
            ("Temp2 (°F)", DryBulb, Some("°F")),
            ("RH1 (%)", RelHumidity, Some("%")),
            ("rh2", RelHumidity, None),
            ("Humidity 3", RelHumidity, None),
            ("Humidity3 [%]", RelHumidity, Some("%")),
            ("VPD1 (kPa)", Vpd, Some("kPa")),
            ("CO2 (ppm)", Co2, Some("ppm")),
            ("Canopy temperature C", DryBulb, Some("°C")),
            ("Leaf temp °C", Leaf, Some("°C")),
            ("Wall surface temp (C)", Surface, Some("°C")),
            ("Outdoor Temp (°C)", OutdoorDryBulb, Some("°C")),
            ("Outdoor RH (%)", OutdoorRelHumidity, Some("%")),
            ("Humidity (%RH)", RelHumidity, Some("%")),
            ("RH, %", RelHumidity, Some("%")),
            ("Luftfeuchte [%]", RelHumidity, Some("%")),
            ("rel_humidity_percent", RelHumidity, Some("%")),
            ("Dew Point (°F)", DewPoint, Some("°F")),
            ("VPD (kPa)", Vpd, Some("kPa")),
            ("vpd_kpa", Vpd, Some("kPa")),
            ("CO2 (ppm)", Co2, Some("ppm")),
            ("Light (lux)", Light, None),
            ("PPFD (umol/m2/s)", Light, None),
            ("D1 power (W)", UnitPower, Some("W")),
            ("Dehumidifier 1 kW", UnitPower, Some("kW")),
            ("Dehumidifier 1 Watts", UnitPower, Some("W")),
            ("Dehu 2 state", UnitState, None),
            ("Condensate total (L)", WaterCounter, Some("L")),
            ("Condensate (mL)", Water, Some("mL")),
            ("Irrigation valve", Irrigation, None),
        ] {
            let head = head(text);
            assert_eq!(head.role, Some(Role::Reading(measure)), "{text}");
            if unit.is_some() {
                assert_eq!(head.scale.map(|s| s.unit), unit, "{text}");
            }
        }
        for (text, role) in [
            ("Sensor", Some(Role::Sensor)),
            ("Value", Some(Role::Value)),
            ("Units", Some(Role::Unit)),
            ("Soil temp (°C)", Some(Role::Ignored)),
            ("Temp setpoint", Some(Role::Ignored)),
            ("Notes", None),
        ] {
            assert_eq!(head(text).role, role, "{text}");
        }
        assert!(speaks_of_time("Date/Time") && !speaks_of_time("Temp"));
    }
}

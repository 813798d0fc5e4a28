//! What is refused, and with which words.

use quantity::{Dim, UnitSystem, Why, read, read_band};
use rstest::rstest;

#[rstest]
#[case(
    "",
    Dim::Length,
    "\"\" is not a length: nothing is written; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "  \u{a0}",
    Dim::Length,
    "\"\" is not a length: nothing is written; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "12",
    Dim::Length,
    "\"12\" is not a length: its unit is missing; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "12' 6",
    Dim::Length,
    "\"12' 6\" is not a length: its unit is missing; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "0.15",
    Dim::Fraction,
    "\"0.15\" is not a share: its unit is missing; write it like \"15 %\""
)]
#[case(
    "3 kg",
    Dim::Length,
    "\"3 kg\" is not a length: kg is a mass; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "78 °F",
    Dim::Length,
    "\"78 °F\" is not a length: °F is a temperature; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "62 %",
    Dim::Temperature,
    "\"62 %\" is not a temperature: % is a share; write it like \"25.5 °C\" or \"78 °F\""
)]
#[case(
    "46 L/dya",
    Dim::WaterRate,
    "\"46 L/dya\" is not a water flow: the unit \"L/dya\" is not known, perhaps \"L/day\"; write it like \"150 L/d\" or \"300 pt/d\""
)]
#[case(
    "46 pintts/day",
    Dim::WaterRate,
    "\"46 pintts/day\" is not a water flow: the unit \"pintts/day\" is not known, perhaps \"pints/day\"; write it like \"150 L/d\" or \"300 pt/d\""
)]
#[case(
    "4 furlong",
    Dim::Length,
    "\"4 furlong\" is not a length: the unit \"furlong\" is not known; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "1.200,5 m",
    Dim::Length,
    "\"1.200,5 m\" is not a length: the comma can be read as 1200.5 or as 1.2005; write 1200.5 or 1.2005, without the comma"
)]
#[case(
    "nan m",
    Dim::Length,
    "\"nan m\" is not a length: it is not a finite number; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "1e400 m",
    Dim::Length,
    "\"1e400 m\" is not a length: the number is too large or too small to reckon with; allowed is 0, or 1e-300 to 1e300 in size, in whichever unit; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "twelve m",
    Dim::Length,
    "\"twelve m\" is not a length: \"twelve m\" is no number; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
#[case(
    "5 kW 3",
    Dim::Power,
    "\"5 kW 3\" is not a power: one quantity is asked, and \"3\" follows; write it like \"21.6 kW\""
)]
#[case(
    "6 in 3 ft",
    Dim::Length,
    "\"6 in 3 ft\" is not a length: its parts do not go from a larger unit down to a smaller; write whole larger units first, like \"12 ft 6 in\""
)]
#[case(
    "R-19",
    Dim::Transmittance,
    "\"R-19\" is not a thermal transmittance (U-value): it is an R-value; divide 1 by it and write it like \"0.30 W/(m²·K)\" or \"0.053 Btu/(h·ft²·°F)\""
)]
#[case(
    "2.5",
    Dim::Count,
    "\"2.5\" is not a count: a count is a whole number from 0 up; write it like \"4\""
)]
#[case(
    "4 units",
    Dim::Count,
    "\"4 units\" is not a count: a bare number is asked, without \"units\"; write it like \"4\""
)]
#[case(
    "3..4 m",
    Dim::Length,
    "\"3..4 m\" is not a length: a single value is asked, not a range; write it like \"11.1 m\" or \"36 ft 6 in\""
)]
fn says_in_one_sentence(#[case] text: &str, #[case] dim: Dim, #[case] sentence: &str) {
    let error = read(text, dim).unwrap_err();
    assert_eq!(error.to_string(), sentence);
    assert!(!error.to_string().ends_with('.'));
    assert_eq!(error.read(), text.trim());
    assert_eq!(error.dim(), dim);
}

#[rstest]
#[case("12 -6 in", Dim::Length)]
#[case("12 m-", Dim::Length)]
#[case("12 m;", Dim::Length)]
#[case("12 m long", Dim::Length)]
#[case("12.5 ft 6 in", Dim::Length)]
#[case("12 ft 13 in", Dim::Length)]
#[case("12 ft 12 in", Dim::Length)]
#[case("1/0 in", Dim::Length)]
#[case("1/2.5 in", Dim::Length)]
#[case("1,20,300 m", Dim::Length)]
#[case("1.2.3 m", Dim::Length)]
#[case("10³ m", Dim::Length)]
#[case("-", Dim::Length)]
#[case("1,", Dim::Number)]
#[case("∞", Dim::Number)]
#[case("-inf", Dim::Number)]
#[case("1e-400", Dim::Number)]
// Once read as a length, and shown as "? ft".
#[case("1e308 m", Dim::Length)]
#[case("-1e308 m", Dim::Length)]
#[case("1.7976931348623157e308", Dim::Number)]
#[case("1e-310 m", Dim::Length)]
#[case("1e300 km", Dim::Length)]
#[case("1e-298 kg", Dim::Mass)]
#[case("0 lb 1e-310 oz", Dim::Mass)]
#[case("-1", Dim::Count)]
#[case("5 T", Dim::Mass)]
#[case("5 mW", Dim::Power)]
#[case("5 mj", Dim::Energy)]
#[case("5 m2", Dim::Length)]
#[case("5 W/m2", Dim::Transmittance)]
#[case("19 h ft2 F/Btu", Dim::Transmittance)]
#[case("3.3 m2K/W", Dim::Transmittance)]
#[case("5 °C 3", Dim::Temperature)]
#[case("4 °F", Dim::RelHumidity)]
#[case("12 $/kWh", Dim::EnergyPrice)]
fn refuses(#[case] text: &str, #[case] dim: Dim) {
    assert!(read(text, dim).is_err(), "{:?}", read(text, dim));
}

#[rstest]
#[case("19 h ft2 F/Btu")]
#[case("3.3 m2K/W")]
#[case("RSI 3.3")]
#[case("r19")]
fn an_r_value_is_told_from_a_u_value(#[case] text: &str) {
    let error = read(text, Dim::Transmittance).unwrap_err();
    assert_eq!(error.why(), &Why::Resistance);
}

#[rstest]
#[case("4.5..3.0 L/day", Why::RangeReversed)]
#[case("3.0..4.5..3.6 L/day", Why::RangeReversed)]
#[case("700 kW..1.2 W", Why::RangeReversed)]
#[case("..4.5 L/day", Why::RangeShape)]
#[case("3.0.. L/day", Why::NoNumber("L/day".to_owned()))]
#[case("3..", Why::RangeShape)]
#[case("1..2..3..4 L/d", Why::RangeShape)]
#[case("3-4 L/d", Why::RangeShape)]
#[case("3 to 4 L/d", Why::RangeShape)]
#[case("3..4", Why::UnitMissing)]
#[case("", Why::Empty)]
fn a_range_that_is_none_is_refused(#[case] text: &str, #[case] why: Why) {
    let dim = if text.contains("kW") {
        Dim::Power
    } else {
        Dim::WaterRate
    };
    assert_eq!(read_band(text, dim).unwrap_err().why(), &why);
}

#[test]
fn the_parts_of_an_error_can_be_laid_out() {
    let error = read("3 kg", Dim::AirFlow).unwrap_err();
    assert_eq!(error.expected(), "an air flow");
    assert_eq!(error.why_text(), "kg is a mass");
    assert_eq!(error.hint(), "write it like \"2000 m³/h\" or \"1200 cfm\"");
    assert_eq!(error.example(UnitSystem::Us), "1200 cfm");
    assert_eq!(
        error.allowed(),
        ["m³/h", "m³/s", "m³/min", "L/s", "L/min", "cfm", "ft³/h"]
    );
    assert_eq!(read("3 m", Dim::Count).unwrap_err().allowed(), [""; 0]);
}

#[test]
fn a_long_text_is_quoted_short_and_without_control_characters() {
    let long = "x\u{7}".repeat(500);
    let error = read(&long, Dim::Length).unwrap_err();
    assert_eq!(error.read().chars().count(), 49);
    assert!(!error.to_string().contains('\u{7}'));
}

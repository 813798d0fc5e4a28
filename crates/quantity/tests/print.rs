//! What is shown of a value, in both systems.

use quantity::UnitSystem::{Metric, Us};
use quantity::{Band, Dim, Place, Text, Value, read, read_band};
use rstest::rstest;

/// Values by hand: NIST SP 811 factors, rounded to the digits written.
#[rstest]
#[case("46 L/d", Dim::WaterRate, "46 L/d", "97 pt/d")] // 46/0.473176
#[case("300 pint/day", Dim::WaterRate, "142 L/d", "300 pt/d")] // 141.95
#[case("78 °F", Dim::Temperature, "26 °C", "78 °F")] // 25.56
#[case("25.5 C", Dim::Temperature, "25.5 °C", "77.9 °F")]
#[case("-0.2 C", Dim::Temperature, "−0.2 °C", "31.6 °F")] // 31.64
#[case("4 °F", Dim::TemperatureDifference, "2.2 K", "4.0 °F")]
#[case("62 %RH", Dim::RelHumidity, "62 %RH", "62 %RH")]
#[case("15 %", Dim::Fraction, "15 %", "15 %")]
#[case("1.10 kPa", Dim::VapourPressure, "1.10 kPa", "1.10 kPa")]
#[case("11.1 m", Dim::Length, "11.1 m", "36 ft 5 in")] // 437.0 in
#[case("36 ft 6 in", Dim::Length, "11.13 m", "36 ft 6 in")] // 11.1252
#[case("40 ft", Dim::Length, "12.19 m", "40 ft")]
#[case("12' 6 1/2\"", Dim::Length, "3.82 m", "12 ft 6 1/2 in")] // 3.8227
#[case("3 1/16 in", Dim::Length, "78 mm", "3 1/16 in")] // 77.79
#[case("3/8 in", Dim::Length, "9.5 mm", "3/8 in")] // 9.525
#[case("-3/8 in", Dim::Length, "−9.5 mm", "−3/8 in")]
#[case("1600 m", Dim::Length, "1600 m", "5249 ft")] // 5249.3
#[case("0 m", Dim::Length, "0 mm", "0 in")]
#[case("21.6 kW", Dim::Power, "21.6 kW", "21.6 kW")]
#[case("850 W", Dim::Power, "850 W", "850 W")]
#[case("5.0 ton", Dim::Cooling, "18 kW", "60 kBtu/h")] // 17.58
#[case("0.80 in w.g.", Dim::Pressure, "200 Pa", "0.80 in w.g.")] // 199.3
#[case("101.3 kPa", Dim::Pressure, "101.3 kPa", "29.91 in Hg")] // 29.914
#[case("24,5 °C", Dim::Temperature, "24.5 °C", "76.1 °F")]
#[case("0,125 kW", Dim::Power, "125 W", "125 W")]
#[case("1,200 cfm", Dim::AirFlow, "2039 m³/h", "1200 cfm")] // 2038.8
#[case("12000 cfm", Dim::AirFlow, "20\u{202f}388 m³/h", "12\u{202f}000 cfm")]
#[case("11.5 g/kg", Dim::HumidityRatio, "11.5 g/kg", "80.5 gr/lb")]
#[case("2.50 L/kWh", Dim::WaterPerEnergy, "2.50 L/kWh", "5.28 pt/kWh")] // 5.283
#[case("4", Dim::Count, "4", "4")]
#[case("90 s", Dim::Duration, "90 s", "90 s")]
#[case("180 s", Dim::Duration, "3.00 min", "3.00 min")]
#[case("12 h", Dim::Duration, "12 h", "12 h")]
#[case("6 /h", Dim::Rate, "6.0 /h", "6.0 /h")]
#[case("90 °", Dim::Angle, "90 °", "90 °")]
#[case(
    "1 Btu/h ft2 F",
    Dim::Transmittance,
    "5.7 W/(m²·K)",
    "1.0 Btu/(h·ft²·°F)"
)] // 5.678
fn shows(#[case] text: &str, #[case] dim: Dim, #[case] metric: &str, #[case] us: &str) {
    let value = read(text, dim).unwrap();
    assert_eq!(value.show(Metric), metric);
    assert_eq!(value.show(Us), us);
}

#[test]
fn a_right_angle_is_half_of_pi() {
    assert!((read("90 °", Dim::Angle).unwrap().si - std::f64::consts::FRAC_PI_2).abs() < 1e-15);
}

#[test]
fn rounding_up_moves_to_the_next_unit() {
    assert_eq!(Value::new(999.6, Dim::Power).show(Metric), "1.00 kW");
    assert_eq!(Value::new(999.4, Dim::Power).show(Metric), "999 W");
}

#[test]
fn no_more_digits_than_known() {
    let flow = Value::new(0.123_456, Dim::Number);
    let shown: Vec<_> = (0..5).map(|d| flow.digits(d).show(Metric)).collect();
    assert_eq!(shown, ["0.12", "0.12", "0.12", "0.123", "0.1235"]);
    assert_eq!(
        Value::new(123_456.0, Dim::Number).show(Metric),
        "123\u{202f}000"
    );
}

#[test]
fn what_is_not_finite_is_a_question_mark() {
    for dim in Dim::ALL {
        for si in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for system in [Metric, Us] {
                assert_eq!(Value::new(si, dim).show(system), "?");
                assert_eq!(Value::new(si, dim).number(system), "?");
            }
        }
    }
}

#[test]
fn a_table_has_its_unit_in_the_head() {
    let length = Value::new(3.81, Dim::Length);
    assert_eq!(length.number(Us), "12.5");
    assert_eq!(Dim::Length.unit(Us), "ft");
    let flow = Value::new(20_000.0 / 3600.0, Dim::AirFlow);
    assert_eq!(flow.number(Metric), "20\u{2009}000");
    assert_eq!(Dim::Money.unit(Metric), "");
}

#[test]
fn a_sentence_follows_the_user() {
    let text = Text::from("the cold spot of ")
        .place(Place::new("north wall"))
        .words(" is at ")
        .value(Value::new(11.0, Dim::Temperature));
    assert_eq!(
        text.show(Metric),
        "the cold spot of north wall is at 11.0 °C"
    );
    assert_eq!(text.show(Us), "the cold spot of north wall is at 51.8 °F");
}

#[test]
fn both_systems_side_by_side() {
    let water = read("97 pt/d", Dim::WaterRate).unwrap();
    assert_eq!(water.show_both(Us), "97 pt/d [46 L/d]");
    assert_eq!(Value::new(4.0, Dim::Count).show_both(Us), "4");
}

#[rstest]
#[case("3.0..4.5 kg", Band::between(3.0, 4.5))]
#[case("3.0..3.6..4.5 kg", Band::new(3.0, 3.6, 4.5))]
#[case("900 g..1.2 kg", Band::between(0.9, 1.2))]
#[case("3 .. 4 kg", Band::between(3.0, 4.0))]
#[case("4 kg", Band::exact(4.0))]
#[case("-1..1 kg", Band::between(-1.0, 1.0))]
fn bands(#[case] text: &str, #[case] band: Band) {
    assert_eq!(read_band(text, Dim::Mass).unwrap(), band);
}

#[test]
fn bands_of_temperatures_lengths_and_bare_numbers() {
    let t = read_band("68..77 °F", Dim::Temperature).unwrap();
    assert!((t.low - 20.0).abs() < 1e-12 && (t.high - 25.0).abs() < 1e-12);
    let l = read_band("3 ft..12 ft 6 in", Dim::Length).unwrap();
    assert!((l.high - 3.81).abs() < 1e-12);
    assert_eq!(read_band("3..5", Dim::Count), Ok(Band::between(3.0, 5.0)));
}

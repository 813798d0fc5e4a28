//! Whatever is shown can be read, and means the same to the last digit shown.

use proptest::prelude::*;
use quantity::{Dim, UnitSystem, Value, Why, read, read_band};

fn any_dim() -> impl Strategy<Value = Dim> {
    prop::sample::select(Dim::ALL.to_vec())
}

fn any_system() -> impl Strategy<Value = UnitSystem> {
    prop::sample::select(vec![UnitSystem::Metric, UnitSystem::Us])
}

/// The units in which a quantity of this kind may be written.
fn units_of(dim: Dim) -> Vec<&'static str> {
    read("", dim).expect_err("nothing is written").allowed()
}

/// SI units that half a unit of the last digit shown is worth.
fn half_last_digit(shown: &str, again: Value) -> f64 {
    let us_length = again.dim == Dim::Length && !shown.ends_with('m');
    if us_length && let Some(grain_in) = inch_grain(again) {
        return 0.5 * grain_in * 0.0254;
    }
    let number: String = shown
        .chars()
        .filter(|c| !matches!(c, '\u{202f}' | '\u{2009}'))
        .map(|c| if c == '\u{2212}' { '-' } else { c })
        .take_while(|c| c.is_ascii_digit() || matches!(c, '-' | '.' | 'e'))
        .collect();
    let parsed: f64 = number.parse().expect("what is shown begins with a number");
    let (mantissa, exponent) = number.split_once('e').unwrap_or((&number, "0"));
    let decimals = mantissa.split_once('.').map_or(0, |(_, d)| d.len() as i32);
    let exponent: i32 = exponent.parse().expect("a whole power of ten");
    let last = match (mantissa.contains('.'), again.dim) {
        (true, _) | (_, Dim::Temperature | Dim::Count) => 10f64.powi(exponent - decimals),
        // Zeros before the point may not be known: 1200 to two digits.
        _ if parsed != 0.0 => {
            let digits = i32::from(again.digits.max(2));
            10f64.powi((parsed.abs().log10() + 1e-12).floor() as i32 + 1 - digits)
        }
        _ => 0.0,
    };
    let per_unit = match again.dim {
        Dim::Temperature if shown.ends_with("°F") => 5.0 / 9.0,
        Dim::Temperature => 1.0,
        _ if parsed == 0.0 => 1.0,
        _ => again.si / parsed,
    };
    0.5 * last * per_unit
}

/// Inches in the finest step that a US length of these digits is shown in; none
/// where it is shown in decimal feet.
fn inch_grain(length: Value) -> Option<f64> {
    let place = length.si.abs().log10().floor() as i32 + 1 - i32::from(length.digits.clamp(2, 17));
    match place {
        _ if length.si.abs() > 1e6 => None,
        0.. => None,
        -1 => Some(1.0),
        -2 => Some(0.5),
        _ => Some(1.0 / 16.0),
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    #[test]
    fn shown_then_read_is_the_same_to_the_last_digit(
        dim in any_dim(),
        system in any_system(),
        digits in 0u8..9,
        exponent in -6.0..9.0f64,
        negative in any::<bool>(),
    ) {
        let size = 10f64.powf(exponent);
        let si = match dim {
            Dim::Count => size.round(),
            _ if negative => -size,
            _ => size,
        };
        let value = Value::new(si, dim).digits(digits);
        let shown = value.show(system);
        let again = read(&shown, dim);
        prop_assert!(again.is_ok(), "{shown}: {}", again.unwrap_err());
        let again = again.unwrap();
        let known = Value { si: if again.si == 0.0 { si } else { again.si }, ..value };
        let half = half_last_digit(&shown, known);
        // A feet-and-inches text near a power of ten of a metre may have been
        // rounded by the step of the value before rounding.
        let half = if dim == Dim::Length { half.max(half_last_digit(&shown, value)) } else { half };
        prop_assert!(
            (again.si - si).abs() <= half * (1.0 + 1e-9) + 1e-12 * si.abs(),
            "{si} {dim:?} shown as {shown}, read as {}, half a digit is {half}", again.si
        );
    }

    #[test]
    fn what_was_read_and_shown_stays_as_it_is(
        dim in any_dim(),
        system in any_system(),
        digits in 2u8..8,
        exponent in -3.0..6.0f64,
    ) {
        let shown = Value::new(10f64.powf(exponent).round().max(1.0), dim).digits(digits).show(system);
        let value = read(&shown, dim).unwrap();
        let again = read(&value.show(system), dim).unwrap();
        let third = read(&again.show(system), dim).unwrap();
        prop_assert_eq!(again.show(system), third.show(system));
    }

    #[test]
    fn any_finite_number_can_be_shown(si in any::<f64>(), dim in any_dim(), digits in any::<u8>()) {
        for system in [UnitSystem::Metric, UnitSystem::Us] {
            let value = Value::new(si, dim).digits(digits);
            prop_assert!(!value.show(system).is_empty());
            prop_assert!(!value.number(system).is_empty());
            prop_assert!(!value.show_both(system).is_empty());
        }
    }

    #[test]
    fn what_is_read_is_finite_in_every_unit_of_its_kind(
        dim in any_dim(),
        unit in any::<prop::sample::Index>(),
        mantissa in -9_999i32..=9_999,
        exponent in -345i32..=345,
    ) {
        let units = units_of(dim);
        let unit = if units.is_empty() { "" } else { unit.get(&units) };
        let text = format!("{mantissa}e{exponent} {unit}");
        match read(&text, dim) {
            Ok(value) => {
                prop_assert!(mantissa == 0 || exponent.abs() <= 310, "{text}");
                for system in [UnitSystem::Metric, UnitSystem::Us] {
                    let shown = value.show(system);
                    prop_assert!(value.number(system) != "?");
                    let again = read(&shown, dim);
                    prop_assert!(again.is_ok(), "{text} shown as {shown}: {}", again.unwrap_err());
                }
            }
            Err(e) => {
                let far = !(-280..=280).contains(&exponent);
                let no_count = dim == Dim::Count && *e.why() == Why::NotWhole;
                prop_assert!(no_count || (far && *e.why() == Why::OutOfReach), "{e}");
            }
        }
    }

    #[test]
    fn no_text_makes_the_reader_panic(text in "\\PC{0,40}", dim in any_dim()) {
        let _ = read(&text, dim).map_err(|e| e.to_string());
        let _ = read_band(&text, dim).map_err(|e| e.to_string());
    }

    #[test]
    fn no_text_of_the_right_pieces_makes_the_reader_panic(
        pieces in prop::collection::vec(prop::sample::select(vec![
            "1", "12", "200", "0", ",", ".", "..", "/", "-", "−", "e", " ", "\u{202f}", "'", "\"",
            "ft", "in", "m", "²", "^", "(", ")", "·", "½", "°", "F", "%", "RH", "per", "sq", "W",
            "h2o", "L", "d", "R", "nan", "to", "+",
        ]), 0..12),
        dim in any_dim(),
    ) {
        let text = pieces.concat();
        let read_one = read(&text, dim);
        let band = read_band(&text, dim);
        if let Ok(value) = read_one {
            prop_assert!(value.si.is_finite() && value.digits >= 2);
            prop_assert_eq!(band.map(|b| b.likely), Ok(value.si));
        } else if let Ok(band) = band {
            prop_assert!(band.low <= band.likely && band.likely <= band.high);
        }
    }
}

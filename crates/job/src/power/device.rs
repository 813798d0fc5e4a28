//! Sizes of protective devices, and the conductor that grounds.

use room::WiringRules;

/// Standard ratings up to 100 A, NEC 240.6(A) \[A\] (recalled).
const NEC_A: &[f64] = &[
    15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0,
];
/// Usual ratings of circuit breakers, IEC 60898-1 \[A\] (recalled).
const IEC_A: &[f64] = &[
    6.0, 10.0, 13.0, 16.0, 20.0, 25.0, 32.0, 40.0, 50.0, 63.0, 80.0, 100.0,
];

/// Ratings that devices are made in, rising \[A\].
pub const fn standard_a(rules: WiringRules) -> &'static [f64] {
    match rules {
        WiringRules::Nec2023 => NEC_A,
        WiringRules::Iec60364 => IEC_A,
    }
}

/// The largest standard device that is not above `limit_a` \[A\].
pub fn at_most_a(rules: WiringRules, limit_a: f64) -> Option<f64> {
    standard_a(rules)
        .iter()
        .copied()
        .rfind(|size| *size <= limit_a + 1e-9)
}

/// The smallest standard device that is not below `least_a` \[A\].
pub fn at_least_a(rules: WiringRules, least_a: f64) -> Option<f64> {
    standard_a(rules)
        .iter()
        .copied()
        .find(|size| least_a - 1e-9 <= *size)
}

/// The device for a plate \[A\].
///
/// NEC: the largest standard one that the plate allows, so that it starts.
/// IEC: the smallest one that carries the circuit, since the cable must carry
/// what the device lets pass. Where the plate allows less than the smallest
/// made, that one; checks then say so.
pub fn for_plate_a(rules: WiringRules, min_circuit_a: f64, max_protection_a: f64) -> f64 {
    let smallest = standard_a(rules)[0];
    match rules {
        WiringRules::Nec2023 => at_most_a(rules, max_protection_a).unwrap_or(smallest),
        WiringRules::Iec60364 => at_least_a(rules, min_circuit_a)
            .filter(|size| *size <= max_protection_a + 1e-9)
            .or_else(|| at_most_a(rules, max_protection_a))
            .unwrap_or(smallest),
    }
}

/// Device and copper equipment grounding conductor, NEC Table 250.122
/// \[A, AWG\] (recalled).
const GROUND_AWG: &[(f64, u8)] = &[(15.0, 14), (20.0, 12), (60.0, 10), (100.0, 8), (200.0, 6)];

/// Size of the copper equipment grounding conductor behind a device \[AWG\];
/// `None` beyond the table.
///
/// **Source** NEC Table 250.122, recalled.
pub fn ground_awg(device_a: f64) -> Option<u8> {
    GROUND_AWG
        .iter()
        .find(|(most_a, _)| device_a <= *most_a + 1e-9)
        .map(|(_, awg)| *awg)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn devices_round_down_to_what_is_allowed() {
        let nec = WiringRules::Nec2023;
        // Worked examples of a trade journal: 37.5 A to 35 A, 47.5 A to 45 A.
        assert_eq!(at_most_a(nec, 37.5), Some(35.0));
        assert_eq!(at_most_a(nec, 47.5), Some(45.0));
        assert_eq!(at_most_a(nec, 14.9), None);
        assert_eq!(for_plate_a(nec, 14.2, 20.0), 20.0);
        assert_eq!(for_plate_a(WiringRules::Iec60364, 7.8, 16.0), 10.0);
        assert_eq!(ground_awg(20.0), Some(12));
        assert_eq!(ground_awg(20.1), Some(10));
        assert_eq!(ground_awg(250.0), None);
    }
}

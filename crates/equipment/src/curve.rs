//! Biquadratic performance curves, and the two public sets of them.

use quantity::Source;

/// One biquadratic of dry bulb and relative humidity.
///
/// ```text
/// f = a + b T + c T² + d R + e R² + f T R      T in °C, R in percent
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Biquadratic {
    /// Constant.
    pub a: f64,
    /// Of T \[1/°C\].
    pub b: f64,
    /// Of T² \[1/°C²\].
    pub c: f64,
    /// Of R \[1/%\].
    pub d: f64,
    /// Of R² \[1/%²\].
    pub e: f64,
    /// Of T R \[1/(°C %)\].
    pub f: f64,
}

impl Biquadratic {
    /// Value of the curve, a plain number.
    ///
    /// - `dry_bulb_c`: inlet dry bulb \[°C\]
    /// - `rel_humidity`: inlet relative humidity, 0 to 1 (percent inside)
    ///
    /// **Valid** where the record that holds the curve says so; the polynomial
    /// itself is finite everywhere.
    /// **Source** form of Winkler, Christensen and Tomerlin 2011.
    pub const fn at(&self, dry_bulb_c: f64, rel_humidity: f64) -> f64 {
        let (t, r) = (dry_bulb_c, 100.0 * rel_humidity);
        self.a + self.b * t + self.c * t * t + self.d * r + self.e * r * r + self.f * t * r
    }

    /// The same curve with every coefficient multiplied by `factor`.
    #[must_use]
    pub const fn times(self, factor: f64) -> Self {
        Self {
            a: self.a * factor,
            b: self.b * factor,
            c: self.c * factor,
            d: self.d * factor,
            e: self.e * factor,
            f: self.f * factor,
        }
    }

    /// The same curve, scaled to read 1 at 26.67 °C (80 °F) and 60 %.
    ///
    /// The published sets read 0.97 to 0.99 there, so that a rating would not
    /// come back as itself.
    #[must_use]
    pub const fn normalised(self) -> Self {
        self.times(1.0 / self.at(WARM_C, WARM_RH))
    }
}

/// Dry bulb of the older rating condition: 80 °F.
const WARM_C: f64 = 80.0 / 1.8 - 32.0 / 1.8;
/// Relative humidity of every rating condition here.
const WARM_RH: f64 = 0.6;

/// Where the public curves come from.
pub const CURVE_SOURCE: Source = Source::published(
    "Winkler, Christensen and Tomerlin 2011, Laboratory test report for six dehumidifiers, NREL/TP-5500-52791",
    "generic model, coefficients as carried in public residential-energy workflow code",
);

/// Public set A, removal over rated removal, as published (reads 0.986 at the
/// rating; [`Biquadratic::normalised`] mends that).
pub const SET_A_REMOVAL: Biquadratic = Biquadratic {
    a: -1.162525707,
    b: 0.02271469,
    c: -0.000113208,
    d: 0.021110538,
    e: -0.0000693034,
    f: 0.000378843,
};
/// Public set A, energy factor over rated energy factor, as published.
pub const SET_A_ENERGY_FACTOR: Biquadratic = Biquadratic {
    a: -1.902154518,
    b: 0.063466565,
    c: -0.000622839,
    d: 0.039540407,
    e: -0.000125637,
    f: -0.000176722,
};
/// Public set B, removal: the example shipped with a public whole-building
/// simulation program, 21.0 to 32.22 °C and 40 to 80 %. Second opinion only.
pub const SET_B_REMOVAL: Biquadratic = Biquadratic {
    a: -2.724878664080,
    b: 0.100711983591,
    c: -0.000990538285,
    d: 0.050053043874,
    e: -0.000203629282,
    f: -0.000341750531,
};
/// Public set B, energy factor.
pub const SET_B_ENERGY_FACTOR: Biquadratic = Biquadratic {
    a: -2.388319068955,
    b: 0.093047739452,
    c: -0.001369700327,
    d: 0.066533716758,
    e: -0.000343198063,
    f: -0.000562490295,
};

/// Range of dry bulb and relative humidity in which data hold.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Range {
    /// Lowest dry bulb \[°C\].
    pub min_dry_bulb_c: f64,
    /// Highest dry bulb \[°C\].
    pub max_dry_bulb_c: f64,
    /// Lowest relative humidity, 0 to 1.
    pub min_rel_humidity: f64,
    /// Highest relative humidity, 0 to 1.
    pub max_rel_humidity: f64,
}

impl Range {
    /// Dry bulb \[°C\] and relative humidity, 0 to 1, of the point of the range
    /// that is nearest to this one.
    pub const fn clamp(&self, dry_bulb_c: f64, rel_humidity: f64) -> (f64, f64) {
        (
            dry_bulb_c.clamp(self.min_dry_bulb_c, self.max_dry_bulb_c),
            rel_humidity.clamp(self.min_rel_humidity, self.max_rel_humidity),
        )
    }

    /// Whether the point lies in the range, to rounding.
    pub const fn holds(&self, dry_bulb_c: f64, rel_humidity: f64) -> bool {
        let (t, r) = self.clamp(dry_bulb_c, rel_humidity);
        (t - dry_bulb_c).abs() < 1e-6 && (r - rel_humidity).abs() < 1e-8
    }
}

/// Where set A is clamped: chosen, since the published curves carry no limits.
pub const SET_A_CLAMP: Range = Range {
    min_dry_bulb_c: 15.0,
    max_dry_bulb_c: 35.0,
    min_rel_humidity: 0.35,
    max_rel_humidity: 0.80,
};
/// Where set A is taken as good; between this and the clamp it is flagged.
pub const SET_A_TRUSTED: Range = Range {
    min_dry_bulb_c: 18.0,
    max_dry_bulb_c: 32.25,
    min_rel_humidity: 0.35,
    max_rel_humidity: 0.80,
};

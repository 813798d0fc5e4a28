//! How good the usual instruments are, where nobody says.

use quantity::{Dim, Text, Value};

/// How well a level is read, either way \[m/m\].
const LEVEL: f64 = 0.001;

/// What a quantity is usually read off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Instrument {
    /// Spirit or digital level, 1 mm/m.
    Level,
    /// Steel rule or tape.
    Rule,
    /// Jug or bucket with marks.
    Jug,
    /// Watch in a hand.
    Watch,
    /// True-rms voltmeter.
    Voltmeter,
    /// True-rms clamp.
    Clamp,
    /// Electronic thermometer.
    Thermometer,
    /// Electronic hygrometer.
    Hygrometer,
    /// Glass or electronic thermometers of a psychrometer.
    Psychrometer,
    /// What a display or a plate says: no instrument.
    Told,
}

impl Instrument {
    /// Standard uncertainty of a reading of it, in the SI unit of the reading.
    ///
    /// **Assumed** usual classes: level ±1 mm/m, rule ±1 mm, jug ±20 mL or 1 %,
    /// watch ±1 s, voltmeter ±1 %, clamp ±2 % and 0.05 A, thermometer ±0.5 K,
    /// hygrometer ±2.5 %, psychrometer ±0.2 K; each a rectangular half-width,
    /// over √3.
    pub fn standard_uncertainty(self, reading: f64) -> f64 {
        let size = reading.abs();
        let half_width = match self {
            Self::Level => LEVEL,
            Self::Rule => 0.001,
            Self::Jug => f64::max(0.020, 0.01 * size),
            Self::Watch => 1.0,
            Self::Voltmeter => 0.01 * size,
            Self::Clamp => 0.02 * size + 0.05,
            Self::Thermometer => 0.5,
            Self::Hygrometer => 0.025,
            Self::Psychrometer => 0.2,
            Self::Told => 0.0,
        };
        crate::acceptance::gum::rectangular(half_width)
    }

    /// What it is called, as a record keeps it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Level => "level",
            Self::Rule => "steel rule or tape",
            Self::Jug => "jug with marks",
            Self::Watch => "watch",
            Self::Voltmeter => "true-rms voltmeter",
            Self::Clamp => "true-rms clamp",
            Self::Thermometer => "thermometer",
            Self::Hygrometer => "hygrometer, checked over salt",
            Self::Psychrometer => "aspirated psychrometer",
            Self::Told => "as shown",
        }
    }

    /// What to ask for.
    pub fn words(self) -> Text {
        let name = Text::from(self.name());
        match self {
            Self::Level => name
                .words(", ")
                .value(Value::new(LEVEL, Dim::Slope).digits(1))
                .words(" or better"),
            _ => name,
        }
    }
}

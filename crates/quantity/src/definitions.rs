//! What one of each unit is, by definition, in SI. All factors in the unit
//! table are products of these.
//!
//! Source: NIST Special Publication 811 (2008), appendix B, and NIST Handbook
//! 44, appendix C, unless a line says otherwise. Checked against the printed
//! factors in `tests/published/units.csv`.

/// Mass of a litre of water by which volumes of water are turned into mass:
/// 0.998 kg/L, water at 20 °C. The one place where the two are told apart:
/// a volume of [`crate::Dim::Water`], `WaterRate`, `WaterFlux`, `WaterDepth`
/// and `WaterPerEnergy` is multiplied by it on reading and divided on showing.
pub const WATER_KG_PER_L: f64 = 0.998;

/// Standard acceleration of free fall \[m/s²\]: the value of the General
/// Conference on Weights and Measures, 1901.
pub const STANDARD_GRAVITY_M_PER_S2: f64 = 9.806_65;

pub(crate) const WATER_KG_PER_M3: f64 = WATER_KG_PER_L * 1000.0;

pub(crate) const MINUTE_S: f64 = 60.0;
pub(crate) const HOUR_S: f64 = 3600.0;
pub(crate) const DAY_S: f64 = 86_400.0;

/// International inch, 1959: 25.4 mm exactly.
pub(crate) const INCH_M: f64 = 0.0254;
/// 12 inches.
pub(crate) const FOOT_M: f64 = 0.3048;
/// 3 feet.
pub(crate) const YARD_M: f64 = 0.9144;
/// 5280 feet.
pub(crate) const MILE_M: f64 = 1609.344;
pub(crate) const FOOT2_M2: f64 = 0.092_903_04;
pub(crate) const FOOT3_M3: f64 = 0.028_316_846_592;

pub(crate) const LITRE_M3: f64 = 1e-3;
/// US liquid gallon: 231 cubic inches.
pub(crate) const GALLON_M3: f64 = 3.785_411_784e-3;
/// A sixteenth of a pint.
pub(crate) const FLUID_OUNCE_M3: f64 = GALLON_M3 / 128.0;
/// An eighth of a gallon.
pub(crate) const PINT_M3: f64 = GALLON_M3 / 8.0;
/// A quarter of a gallon.
pub(crate) const QUART_M3: f64 = GALLON_M3 / 4.0;

/// International avoirdupois pound, 1959.
pub(crate) const POUND_KG: f64 = 0.453_592_37;
/// A sixteenth of a pound.
pub(crate) const OUNCE_KG: f64 = POUND_KG / 16.0;
/// 7000 grains are a pound.
pub(crate) const GRAIN_KG: f64 = POUND_KG / 7000.0;
/// US short ton, 2000 lb; the metric ton is spelled "t" or "tonne".
pub(crate) const SHORT_TON_KG: f64 = 2000.0 * POUND_KG;

/// Conventional inch of water: 1000 kg/m³ and 9.80665 m/s² (249.08891 Pa).
pub(crate) const INCH_WATER_PA: f64 = INCH_M * 1000.0 * STANDARD_GRAVITY_M_PER_S2;
/// Conventional inch of mercury (13 595.1 kg/m³, 9.80665 m/s²).
pub(crate) const INCH_MERCURY_PA: f64 = 3386.389;
/// Conventional millimetre of mercury.
pub(crate) const MM_MERCURY_PA: f64 = 133.322_4;
/// Pound-force: a pound under standard gravity.
pub(crate) const POUND_FORCE_N: f64 = POUND_KG * STANDARD_GRAVITY_M_PER_S2;
/// Pound-force per square inch.
pub(crate) const PSI_PA: f64 = POUND_FORCE_N / (INCH_M * INCH_M);

pub(crate) const KWH_J: f64 = 3.6e6;
/// International Table Btu.
pub(crate) const BTU_J: f64 = 1_055.055_852_62;
pub(crate) const BTU_PER_H_W: f64 = BTU_J / HOUR_S;
/// Ton of refrigeration: 12 000 Btu/h.
pub(crate) const COOLING_TON_W: f64 = 12_000.0 * BTU_PER_H_W;
/// 550 ft·lbf/s.
pub(crate) const HORSEPOWER_W: f64 = 550.0 * FOOT_M * POUND_KG * STANDARD_GRAVITY_M_PER_S2;

/// A Fahrenheit degree of difference: 5/9 K.
pub(crate) const FAHRENHEIT_K: f64 = 5.0 / 9.0;
/// 0 °C.
pub(crate) const ZERO_CELSIUS_K: f64 = 273.15;

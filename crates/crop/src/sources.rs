//! What the equations of this crate rest on, named once.

use quantity::Source;

/// The big-leaf canopy balance.
pub const GRAAMANS_2017: Source = Source::published(
    "Graamans, van den Dobbelsteen, Meinen, Stanghellini, Plant factories; crop transpiration and energy balance, Agricultural Systems 153 (2017) 138-147",
    "eqs 4-10, read in four independent transcriptions",
);
/// The tomato canopy model and its carbon dioxide factor.
pub const STANGHELLINI_1987: Source = Source::published(
    "Stanghellini, Transpiration of greenhouse crops: an aid to climate management, thesis, Wageningen (1987)",
    "eq. 3.51, read in two public codes",
);
/// Reference evapotranspiration.
pub const FAO_56: Source = Source::published(
    "Allen, Pereira, Raes, Smith, Crop evapotranspiration, FAO Irrigation and Drainage Paper 56 (1998)",
    "read in public codes that cite its examples",
);
/// Upper bound of the night resistance.
pub const SEGINER_1984: Source = Source::published(
    "Seginer, On the night transpiration of greenhouse roses under glass or plastic cover, Agric. Meteorol. 30 (1984) 257-268",
    "abstract",
);
/// The default night resistance.
pub const NIGHT_RESISTANCE: Source = Source::assumed(
    "1200 s/m: gives a night of about 18 % of the day's rate, inside the 12-23 % measured on bean and cotton (Resco de Dios et al., Sci. Rep. 5 (2015) 10975)",
);
/// The lag of stomata behind the lamps.
pub const STOMATAL_LAG: Source = Source::memory(
    "stomata follow the lamps with a time constant of 10 to 20 minutes",
    "",
);
/// Resistance of a drying soil surface.
pub const VAN_DE_GRIEND_OWE_1994: Source = Source::memory(
    "van de Griend, Owe, Bare soil surface resistance to evaporation, Water Resour. Res. 30 (1994) 181-188",
    "",
);
/// The pulse of evaporation after irrigation.
pub const MEDIUM_PULSE: Source = Source::assumed(
    "constant-rate stage, then first-order falling stage, as of any wet porous body; both times are inputs of the medium",
);
/// Evaporation from water under a stream of air.
pub const HANDBOOK_WATER_SURFACE: Source = Source::memory(
    "ASHRAE Handbook, HVAC Applications, natatoriums: evaporation from a water surface under moving air",
    "SI constants 0.089 and 0.0782",
);
/// Evaporation from water under still air.
pub const SHAH: Source = Source::published(
    "Shah, Methods for calculation of evaporation from swimming pools and other water surfaces, ASHRAE Trans. 120(2) (2014), SE-14-001",
    "undisturbed surface; constants confirmed against its look-up table, read second hand",
);
/// Wet films: the handbook form with a surface that tends to the wet bulb.
pub const FILM: Source = Source::assumed(
    "handbook water-surface form; film starts at floor temperature and tends to the wet bulb of the air",
);
/// Heat and water of people.
pub const PEOPLE: Source = Source::published(
    "ASHRAE Handbook, Fundamentals 2021, ch. 18",
    "table 1, read in a public package",
);
/// Masses of the products of burning.
pub const STOICHIOMETRY: Source = Source::memory(
    "stoichiometry of complete combustion with IUPAC standard atomic weights (2007)",
    "",
);
/// Heating values of fuels.
pub const HEATING_VALUES: Source = Source::memory(
    "handbook heating values: propane 46.35 / 50.35, methane 50.0 / 55.5 MJ/kg",
    "",
);
/// Balances of water, heat and air.
pub const BALANCE: Source = Source::published(
    "conservation of water and energy; moist-air enthalpy of ASHRAE Handbook, Fundamentals 2017",
    "ch. 1, eq. 30",
);
/// The ceiling that irrigation sets.
pub const IRRIGATION_BALANCE: Source = Source::published(
    "conservation of water: what evaporates was applied, and did not run off or stay",
    "",
);
/// Water content of fresh growth.
pub const FRESH_WATER_FRACTION: Source =
    Source::memory("water fraction of fresh lettuce, 0.95", "");
/// Thin-layer drying.
pub const THIN_LAYER: Source = Source::memory(
    "Lewis, Ind. Eng. Chem. 13 (1921) 427; Page, thesis, Purdue (1949); as drying handbooks give them",
    "moisture ratio exp(-k t^n)",
);
/// Surface temperatures and their risk.
pub const ISO_13788: Source = Source::published(
    "ISO 13788:2012, Hygrothermal performance of building components: surface humidity and interstitial condensation",
    "surface temperature factor; read in public worked notes",
);
/// Surface resistances.
pub const ISO_6946: Source = Source::published(
    "ISO 6946:2007, Building components: thermal resistance and transmittance",
    "table 1, read in two public implementations",
);

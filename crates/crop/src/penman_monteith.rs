//! Reference evapotranspiration of FAO paper 56: the combination equation with
//! published worked examples. Not used for rooms; it proves the algebra that is.
//!
//! The paper's own units stand here (kPa, MJ, mm), since its examples are the
//! test. Only [`latent_w_per_m2`] is in SI.

/// Saturation vapour pressure \[kPa\].
///
/// ```text
/// e° = 0.6108 · exp( 17.27·T/(T + 237.3) )
/// ```
///
/// - `t_c`: air temperature \[°C\]
///
/// **Valid** 0 to 40 °C, within 0.11 % of the equation in `air`; wrong for ice.
/// **Error** 0.11 % against ASHRAE Fundamentals 2017, ch. 1, eq. 6.
/// **Source** Allen et al., FAO-56 (1998), eq. 11.
/// **Checked** `tests/published/fao56.csv`, example 3.
///
/// ```
/// assert!((crop::penman_monteith::saturation_kpa(24.5) - 3.075).abs() < 0.0005);
/// ```
pub fn saturation_kpa(t_c: f64) -> f64 {
    0.6108 * (17.27 * t_c / (t_c + 237.3)).exp()
}

/// Slope of the saturation vapour pressure \[kPa/K\].
///
/// ```text
/// Δ = 4098·e°(T) / (T + 237.3)²
/// ```
///
/// - `t_c`: air temperature \[°C\]
///
/// **Valid**, **Error** as [`saturation_kpa`].
/// **Source** Allen et al., FAO-56 (1998), eq. 13.
/// **Checked** `tests/published/fao56.csv`, examples 17 to 19.
///
/// ```
/// assert!((crop::penman_monteith::slope_kpa_per_k(30.2) - 0.2458).abs() < 0.0001);
/// ```
pub fn slope_kpa_per_k(t_c: f64) -> f64 {
    4098.0 * saturation_kpa(t_c) / (t_c + 237.3).powi(2)
}

/// Air pressure at an altitude \[kPa\].
///
/// ```text
/// P = 101.3·( (293 − 0.0065·z)/293 )^5.26
/// ```
///
/// - `altitude_m`: height above the sea \[m\]
///
/// **Valid** −100 to 5000 m. **Error** 0.1 kPa as printed.
/// **Source** Allen et al., FAO-56 (1998), eq. 7.
/// **Checked** `tests/published/fao56.csv`, example 2.
///
/// ```
/// assert!((crop::penman_monteith::pressure_kpa(1800.0) - 81.8).abs() < 0.05);
/// ```
pub fn pressure_kpa(altitude_m: f64) -> f64 {
    101.3 * ((293.0 - 0.0065 * altitude_m) / 293.0).powf(5.26)
}

/// Psychrometric constant \[kPa/K\].
///
/// ```text
/// γ = 0.665e-3·P
/// ```
///
/// - `pressure_kpa`: air pressure \[kPa\]
///
/// **Valid** any pressure. **Error** 1 %, λ held at 2.45 MJ/kg.
/// **Source** Allen et al., FAO-56 (1998), eq. 8.
/// **Checked** `tests/published/fao56.csv`, example 2.
///
/// ```
/// assert!((crop::penman_monteith::psychrometric_kpa_per_k(81.8) - 0.054).abs() < 0.0005);
/// ```
pub fn psychrometric_kpa_per_k(pressure_kpa: f64) -> f64 {
    0.665e-3 * pressure_kpa
}

/// Wind at 2 m from wind at another height \[m/s\].
///
/// ```text
/// u₂ = u_z · 4.87 / ln(67.8·z − 5.42)
/// ```
///
/// - `wind_m_per_s`: wind at `height_m` \[m/s\]
/// - `height_m`: height of the instrument above short grass \[m\]
///
/// **Valid** over short grass, above about 0.5 m. **Error** not stated.
/// **Source** Allen et al., FAO-56 (1998), eq. 47.
/// **Checked** `tests/published/fao56.csv`, example 18.
///
/// ```
/// let u2 = crop::penman_monteith::wind_at_two_metres_m_per_s(2.778, 10.0);
/// assert!((u2 - 2.078).abs() < 0.001);
/// ```
pub fn wind_at_two_metres_m_per_s(wind_m_per_s: f64, height_m: f64) -> f64 {
    wind_m_per_s * 4.87 / (67.8 * height_m - 5.42).ln()
}

/// Day's extremes, humidity and sunshine, for the net radiation of a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayOfSun {
    /// Highest temperature \[°C\].
    pub highest_c: f64,
    /// Lowest temperature \[°C\].
    pub lowest_c: f64,
    /// Actual vapour pressure \[kPa\].
    pub vapour_pressure_kpa: f64,
    /// Solar radiation \[MJ/(m² d)\].
    pub solar_mj_per_m2_day: f64,
    /// Solar radiation outside the atmosphere \[MJ/(m² d)\].
    pub extraterrestrial_mj_per_m2_day: f64,
    /// Height above the sea \[m\].
    pub altitude_m: f64,
}

/// Radiation terms of a day \[MJ/(m² d)\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DayRadiation {
    /// Solar radiation under a clear sky.
    pub clear_sky_mj_per_m2_day: f64,
    /// Net solar radiation.
    pub net_solar_mj_per_m2_day: f64,
    /// Net long-wave radiation, outgoing.
    pub net_long_wave_mj_per_m2_day: f64,
}

impl DayRadiation {
    /// Net radiation \[MJ/(m² d)\].
    pub fn net_mj_per_m2_day(&self) -> f64 {
        self.net_solar_mj_per_m2_day - self.net_long_wave_mj_per_m2_day
    }
}

/// Net radiation of a day over grass, term by term \[MJ/(m² d)\].
///
/// ```text
/// R_so = (0.75 + 2e-5·z)·R_a            R_ns = 0.77·R_s
/// R_nl = 4.903e-9·mean(T_K⁴)·(0.34 − 0.14·√e_a)·(1.35·R_s/R_so − 0.35),  R_s/R_so ≤ 1
/// ```
///
/// - `day`: temperatures, vapour pressure, sunshine, altitude
///
/// **Valid** open land by day and month; R_a above zero. T_K = t + 273.16.
/// **Error** as printed in the examples, 0.01 MJ.
/// **Source** Allen et al., FAO-56 (1998), eqs 37 to 40.
/// **Checked** `tests/published/fao56.csv`, examples 17 and 18.
///
/// ```
/// use crop::penman_monteith::{DayOfSun, day_radiation};
/// let day = DayOfSun {
///     highest_c: 21.5, lowest_c: 12.3, vapour_pressure_kpa: 1.4086,
///     solar_mj_per_m2_day: 22.07, extraterrestrial_mj_per_m2_day: 41.09, altitude_m: 100.0,
/// };
/// assert!((day_radiation(&day).net_mj_per_m2_day() - 13.28).abs() < 0.01);
/// ```
pub fn day_radiation(day: &DayOfSun) -> DayRadiation {
    let clear = (0.75 + 2e-5 * day.altitude_m) * day.extraterrestrial_mj_per_m2_day;
    let fourth_powers = 0.5 * ((day.highest_c + 273.16).powi(4) + (day.lowest_c + 273.16).powi(4));
    let sky = 0.34 - 0.14 * day.vapour_pressure_kpa.sqrt();
    let cloud = 1.35 * (day.solar_mj_per_m2_day / clear).min(1.0) - 0.35;
    DayRadiation {
        clear_sky_mj_per_m2_day: clear,
        net_solar_mj_per_m2_day: 0.77 * day.solar_mj_per_m2_day,
        net_long_wave_mj_per_m2_day: 4.903e-9 * fourth_powers * sky * cloud,
    }
}

/// Weather of a period, for the reference evapotranspiration.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReferenceWeather {
    /// Mean air temperature \[°C\].
    pub mean_c: f64,
    /// Wind at 2 m \[m/s\].
    pub wind_m_per_s: f64,
    /// Saturation less actual vapour pressure \[kPa\].
    pub deficit_kpa: f64,
    /// Slope of the saturation vapour pressure \[kPa/K\].
    pub slope_kpa_per_k: f64,
    /// Psychrometric constant \[kPa/K\].
    pub psychrometric_kpa_per_k: f64,
    /// Net radiation less heat into the soil \[MJ/m² per period\].
    pub available_mj_per_m2: f64,
}

/// Period of a reference evapotranspiration.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Period {
    /// A day, or the mean day of a month.
    Day,
    /// An hour.
    Hour,
}

/// Reference evapotranspiration, radiation and aerodynamic terms \[mm per period\].
///
/// ```text
/// ET = [ 0.408·Δ·(R_n − G) + γ·C/(T + 273)·u₂·(e_s − e_a) ] / [ Δ + γ·(1 + 0.34·u₂) ]
/// C = 900 for a day, 37 for an hour
/// ```
///
/// - `weather`: means over the period; `period`: day or hour
///
/// **Valid** well-watered short grass outdoors. **Error** 0.01 mm as printed.
/// **Source** Allen et al., FAO-56 (1998), eqs 6 and 53.
/// **Checked** `tests/published/fao56.csv`, examples 17 to 19.
///
/// ```
/// use crop::penman_monteith::{Period, ReferenceWeather, reference_terms_mm};
/// let weather = ReferenceWeather {
///     mean_c: 16.9, wind_m_per_s: 2.078, deficit_kpa: 0.5889,
///     slope_kpa_per_k: 0.12211, psychrometric_kpa_per_k: 0.0666, available_mj_per_m2: 13.28,
/// };
/// let (radiation, aerodynamic) = reference_terms_mm(&weather, Period::Day);
/// assert!((radiation + aerodynamic - 3.88).abs() < 0.01);
/// ```
pub fn reference_terms_mm(weather: &ReferenceWeather, period: Period) -> (f64, f64) {
    let c = match period {
        Period::Day => 900.0,
        Period::Hour => 37.0,
    };
    let below = weather.slope_kpa_per_k
        + weather.psychrometric_kpa_per_k * (1.0 + 0.34 * weather.wind_m_per_s);
    let radiation = 0.408 * weather.slope_kpa_per_k * weather.available_mj_per_m2 / below;
    let aerodynamic = weather.psychrometric_kpa_per_k * c / (weather.mean_c + 273.0)
        * weather.wind_m_per_s
        * weather.deficit_kpa
        / below;
    (radiation, aerodynamic)
}

/// What the combination equation needs of a surface and its air, in SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Combination {
    /// Net radiation less heat into the ground \[W/m²\].
    pub available_w_per_m2: f64,
    /// Slope of the saturation pressure \[Pa/K\].
    pub slope_pa_per_k: f64,
    /// Psychrometric constant \[Pa/K\].
    pub psychrometric_pa_per_k: f64,
    /// Vapour pressure deficit of the air \[Pa\].
    pub vpd_pa: f64,
    /// Heat conductance from surface to air, LAI·ρc_p/r_a \[W/(m² K)\].
    pub conductance_w_per_m2_k: f64,
    /// Ratio of surface to air resistance, r_s/r_a \[–\].
    pub resistance_ratio: f64,
}

/// Latent heat of a surface by the combination equation \[W/m²\].
///
/// ```text
/// λE = [ Δ·A + g·VPD ] / [ Δ + γ·(1 + r_s/r_a) ]          g = LAI·ρc_p/r_a
/// ```
///
/// - `surface`: all of it in SI
///
/// **Valid** surfaces within a few kelvin of their air (straight-line
/// saturation). **Error** as its inputs; the straight line costs up to 4 %.
/// **Source** Allen et al., FAO-56 (1998), eq. 3.
/// **Checked** `tests/published/fao56.csv`, example 18 in full resistances.
///
/// ```
/// use crop::penman_monteith::{Combination, latent_w_per_m2};
/// let wet = Combination {
///     available_w_per_m2: 100.0, slope_pa_per_k: 145.0, psychrometric_pa_per_k: 66.5,
///     vpd_pa: 0.0, conductance_w_per_m2_k: 12.0, resistance_ratio: 0.0,
/// };
/// assert!((latent_w_per_m2(&wet) - 100.0 * 145.0 / 211.5).abs() < 1e-9);
/// ```
pub fn latent_w_per_m2(surface: &Combination) -> f64 {
    (surface.slope_pa_per_k * surface.available_w_per_m2
        + surface.conductance_w_per_m2_k * surface.vpd_pa)
        / (surface.slope_pa_per_k
            + surface.psychrometric_pa_per_k * (1.0 + surface.resistance_ratio))
}

//! What cycling costs: energy at part load, and water that a fan which never
//! stops carries back into the room.

/// Part-load factor of a dehumidifier: how much of the rated efficiency is
/// left when it runs a share of the time.
///
/// ```text
/// PLF = max(0.7, 0.90 + 0.10 PLR)
/// ```
///
/// - `part_load_ratio`: water to remove over capacity, 0 to 1 (clamped)
///
/// **Valid** units whose fan stops with the compressor.
/// **Source** Winkler, Christensen and Tomerlin 2011 (NREL/TP-5500-52791) as
/// carried in public residential-energy workflow code.
///
/// ```
/// assert!((equipment::part_load_factor(0.25) - 0.925).abs() < 1e-12);
/// ```
pub const fn part_load_factor(part_load_ratio: f64) -> f64 {
    (0.90 + 0.10 * part_load_ratio.clamp(0.0, 1.0)).max(0.7)
}

/// Share of the time that the compressor runs, 0 to 1.
///
/// ```text
/// RTF = PLR / PLF
/// ```
///
/// Water removed is PLR × capacity and power is RTF × running power: the
/// penalty falls on energy, not on capacity.
///
/// - `part_load_ratio`: water to remove over capacity, 0 to 1 (clamped)
///
/// **Valid** and **Source** as [`part_load_factor`].
pub const fn run_time_fraction(part_load_ratio: f64) -> f64 {
    part_load_ratio.clamp(0.0, 1.0) / part_load_factor(part_load_ratio)
}

/// Part-load factor of a cooling machine with cycling compressor.
///
/// ```text
/// CDF = 1 − C_d (1 − PLR)
/// ```
///
/// - `part_load_ratio`: net load over net capacity, 0 to 1 (clamped)
/// - `degradation`: C_d; 0.229 in the published cases E100 to E200
///
/// **Valid** single-speed machines; `degradation` 0 to 0.5.
/// **Source** Neymark and Judkoff 2002, NREL/TP-550-30152.
pub const fn cooling_part_load_factor(part_load_ratio: f64, degradation: f64) -> f64 {
    1.0 - degradation * (1.0 - part_load_ratio.clamp(0.0, 1.0))
}

/// How a wet coil behaves when the compressor stops and the fan does not.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoilWetness {
    /// Most starts an hour, at half load \[1/h\].
    pub max_cycles_per_h: f64,
    /// Time constant of the latent capacity at start \[s\].
    pub start_time_constant_s: f64,
    /// Time that rated latent capacity needs to wet the coil so far that
    /// water begins to leave \[s\].
    pub wetting_time_s: f64,
    /// First rate of evaporation over rated latent capacity.
    pub evaporation_ratio: f64,
    /// Latent capacity at the rating \[W\].
    pub rated_latent_w: f64,
}

impl CoilWetness {
    /// The published parameters for a coil of this rated latent capacity.
    ///
    /// They were measured on air-conditioning coils, not on dehumidifiers:
    /// 3 starts an hour, 45 s, 1400 s of wetting (990 to 1740 s measured),
    /// evaporation 1.5 times the rated latent capacity at first.
    ///
    /// **Source** Shirey, Henderson and Raustad 2006; Henderson and Rengarajan
    /// 1996 for the form (citation recalled); starts and time constant recalled.
    pub const fn published(rated_latent_w: f64) -> Self {
        Self {
            max_cycles_per_h: 3.0,
            start_time_constant_s: 45.0,
            wetting_time_s: 1400.0,
            evaporation_ratio: 1.5,
            rated_latent_w,
        }
    }

    /// Water that stays on coil and pan at each stop \[kg\].
    ///
    /// ```text
    /// m = Q_lat,r t_wet / h_fg,    h_fg at the room dry bulb
    /// ```
    ///
    /// - `dry_bulb_c`: dry bulb at the coil \[°C\]
    ///
    /// **Valid** 0 to 50 °C. **Source** follows from the definition of the
    /// wetting time.
    pub const fn retained_water_kg(&self, dry_bulb_c: f64) -> f64 {
        self.rated_latent_w * self.wetting_time_s / latent_heat_j_per_kg(dry_bulb_c)
    }
}

/// Latent heat of water \[J/kg\], FAO-56 equation 3-1.
const fn latent_heat_j_per_kg(t_c: f64) -> f64 {
    2_501_000.0 - 2361.0 * t_c
}

/// The air and the load at which [`net_latent_share`] is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanAlwaysOn {
    /// Share of the time that the compressor runs, 0 to 1.
    pub run_time_fraction: f64,
    /// Latent capacity now, compressor running \[W\].
    pub latent_w: f64,
    /// Wet-bulb depression of the entering air \[K\].
    pub wet_bulb_depression_k: f64,
}

/// Wet-bulb depression at which the published evaporation ratio was rated \[K\].
const RATED_DEPRESSION_K: f64 = 7.3;

/// Share of the steady latent capacity that is left as net removal when the
/// fan never stops, 0 to 1.
///
/// ```text
/// t_wet = t_wet,r Q_r / Q;   γ = γ_r (Q_r / Q) (T − T_wb) / 7.3 K
/// t_on = 3600 / [4 N (1 − RTF)];   t_off = min(3600 / [4 N RTF], 2 t_wet / γ)
/// a = γ t_off − γ² t_off² / (4 t_wet)
/// t_o = a − τ (exp(−t_o / τ) − 1)
/// share = max[(t_on − t_o) / (t_on + τ (exp(−t_on / τ) − 1)), 0]
/// ```
///
/// **Valid** RTF 0 to 1; 1 gives 1, 0 gives 0. A coil whose fan never stops
/// and whose compressor runs half of the time removes nothing.
/// **Error** parameters come from air-conditioning coils.
/// **Source** Henderson and Rengarajan 1996, ASHRAE Trans. 102(1) (citation
/// recalled; algorithm read in public ports of it).
/// **Checked** `tests/cross/cycling.rs`.
pub fn net_latent_share(coil: &CoilWetness, now: FanAlwaysOn) -> f64 {
    let rtf = now.run_time_fraction;
    if rtf >= 1.0 {
        return 1.0;
    }
    if rtf <= 0.0 || now.latent_w <= 0.0 || rtf.is_nan() {
        return 0.0;
    }
    let capacity_ratio = coil.rated_latent_w / now.latent_w;
    let wet_s = coil.wetting_time_s * capacity_ratio;
    let gamma = coil.evaporation_ratio * capacity_ratio * now.wet_bulb_depression_k.max(0.0)
        / RATED_DEPRESSION_K;
    let tau_s = coil.start_time_constant_s;
    let on_s = 3600.0 / (4.0 * coil.max_cycles_per_h * (1.0 - rtf));
    let mut off_s = 3600.0 / (4.0 * coil.max_cycles_per_h * rtf);
    if gamma > 0.0 {
        off_s = off_s.min(2.0 * wet_s / gamma);
    }
    let a_s = gamma * off_s - gamma * gamma * off_s * off_s / (4.0 * wet_s);
    // A contraction for t_o > 0: the derivative of the right-hand side is
    // exp(−t_o/τ) < 1, and t_o ≥ a.
    let mut start_s = a_s + tau_s;
    for _ in 0..200 {
        let next_s = a_s - tau_s * ((-start_s / tau_s).exp() - 1.0);
        let done = (next_s - start_s).abs() < 1e-9;
        start_s = next_s;
        if done {
            break;
        }
    }
    let wet_on_s = on_s + tau_s * ((-on_s / tau_s).exp() - 1.0);
    ((on_s - start_s) / wet_on_s).clamp(0.0, 1.0)
}

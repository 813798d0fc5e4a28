//! What a run says.

use crate::timetable::Period;

/// What to keep of a run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Record {
    /// Sums, extremes and times only.
    Summary,
    /// And one row per step.
    Minutes,
}

/// Everything that a run found.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Sums, extremes and times over the counted days.
    pub summary: Summary,
    /// One row per step of the counted days, with [`Record::Minutes`].
    pub series: Option<Series>,
    /// How well water and energy closed.
    pub balance: Balance,
}

/// Where water comes from and goes to. Positive is to the room air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum WaterPath {
    /// Leaves.
    Crop = 0,
    /// Growing medium.
    Medium,
    /// Open water and wet floor.
    Surfaces,
    /// People.
    People,
    /// Burner.
    Burner,
    /// Crop hung to dry.
    Drying,
    /// Other gains.
    Other,
    /// Air exchange.
    Exchange,
    /// Moisture storage.
    Storage,
    /// Cooling coils, re-evaporation counted in.
    Cooling,
    /// Dehumidifiers, re-evaporation counted in.
    Dehumidifiers,
    /// Dew on the coldest surface, and fog where the air would be above
    /// saturation.
    Condensation,
}

impl WaterPath {
    /// All, in the order of their numbers.
    pub const ALL: [Self; 12] = [
        Self::Crop,
        Self::Medium,
        Self::Surfaces,
        Self::People,
        Self::Burner,
        Self::Drying,
        Self::Other,
        Self::Exchange,
        Self::Storage,
        Self::Cooling,
        Self::Dehumidifiers,
        Self::Condensation,
    ];
    /// How many.
    pub const COUNT: usize = Self::ALL.len();
}

/// Where sensible heat comes from and goes to. Positive warms the room air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
#[repr(usize)]
pub enum HeatPath {
    /// Lamps, less what leaves take up and what goes to the thermal mass.
    Lights = 0,
    /// Leaves; negative where they cool the air.
    Crop,
    /// Growing medium: its heat of evaporation.
    Medium,
    /// Open water and wet floor: their heat of evaporation.
    Surfaces,
    /// People.
    People,
    /// Burner.
    Burner,
    /// Crop hung to dry: its heat of evaporation.
    Drying,
    /// Other gains: fans, pumps.
    Other,
    /// Through walls and roof.
    Envelope,
    /// Air exchange.
    Exchange,
    /// Thermal mass, and what follows the air at once.
    Mass,
    /// Cooling machines, their indoor fans included.
    Cooling,
    /// Heating.
    Heating,
    /// Dehumidifiers.
    Dehumidifiers,
    /// Heat set free by fog.
    Condensation,
}

impl HeatPath {
    /// All, in the order of their numbers.
    pub const ALL: [Self; 15] = [
        Self::Lights,
        Self::Crop,
        Self::Medium,
        Self::Surfaces,
        Self::People,
        Self::Burner,
        Self::Drying,
        Self::Other,
        Self::Envelope,
        Self::Exchange,
        Self::Mass,
        Self::Cooling,
        Self::Heating,
        Self::Dehumidifiers,
        Self::Condensation,
    ];
    /// How many.
    pub const COUNT: usize = Self::ALL.len();
}

/// An extreme and when it was.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// Time from midnight of the first counted day \[s\].
    pub at_s: f64,
    /// The value, in the unit of the field that holds it.
    pub value: f64,
}

/// One part of the day, over all counted days.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PeriodSummary {
    /// Which.
    pub period: Period,
    /// Time in it \[s\].
    pub time_s: f64,
    /// Time with dry bulb in band \[s\].
    pub dry_bulb_in_band_s: f64,
    /// Time with humidity in band \[s\].
    pub humidity_in_band_s: f64,
    /// Time with both in band \[s\].
    pub both_in_band_s: f64,
    /// Time more humid than the band \[s\].
    pub too_humid_s: f64,
    /// Time drier than the band \[s\].
    pub too_dry_s: f64,
    /// Highest relative humidity, 0 to 1.
    pub highest_rel_humidity: Moment,
    /// Lowest relative humidity, 0 to 1.
    pub lowest_rel_humidity: Moment,
    /// Lowest vapour pressure deficit of the air \[Pa\].
    pub lowest_vpd_pa: Moment,
    /// Highest vapour pressure deficit of the air \[Pa\].
    pub highest_vpd_pa: Moment,
    /// Highest dry bulb \[°C\].
    pub highest_dry_bulb_c: Moment,
    /// Lowest dry bulb \[°C\].
    pub lowest_dry_bulb_c: Moment,
    /// Mean dry bulb \[°C\].
    pub mean_dry_bulb_c: f64,
    /// Mean humidity ratio \[kg/kg\].
    pub mean_humidity_ratio: f64,
    /// Mean relative humidity, 0 to 1.
    pub mean_rel_humidity: f64,
    /// Water given to the air by path \[kg\], in the order of [`WaterPath`].
    pub water_kg: [f64; WaterPath::COUNT],
    /// Sensible heat given to the air by path \[J\], in the order of [`HeatPath`].
    pub heat_j: [f64; HeatPath::COUNT],
}

/// One dehumidifier over the counted days.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DehumidifierSummary {
    /// Electricity \[J\].
    pub energy_j: f64,
    /// Water taken from the air, re-evaporation not deducted \[kg\].
    pub removed_kg: f64,
    /// Water that left by the drain \[kg\].
    pub drained_kg: f64,
    /// Water that went back from the coil \[kg\].
    pub reevaporated_kg: f64,
    /// Compressor time \[s\].
    pub run_s: f64,
    /// Starts.
    pub starts: u32,
    /// Most starts in one clock hour.
    pub most_starts_in_an_hour: u32,
    /// Running time with frost on the coil \[s\].
    pub frosting_s: f64,
    /// Running time outside the data of its record \[s\].
    pub beyond_data_s: f64,
}

/// One cooling machine over the counted days.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct CoolingSummary {
    /// Electricity of compressor and outdoor fan \[J\].
    pub compressor_j: f64,
    /// Electricity of the indoor fan \[J\].
    pub indoor_fan_j: f64,
    /// Sensible heat taken by the coil, fan heat included \[J\].
    pub coil_sensible_j: f64,
    /// Latent heat taken by the coil, re-evaporation deducted \[J\].
    pub coil_latent_j: f64,
    /// Water taken from the air, re-evaporation not deducted \[kg\].
    pub removed_kg: f64,
    /// Water that left by the drain \[kg\].
    pub drained_kg: f64,
    /// Water that went back from the coil \[kg\].
    pub reevaporated_kg: f64,
    /// Compressor time; parts of a step count as such \[s\].
    pub run_s: f64,
    /// Starts (thermostat control).
    pub starts: u32,
    /// Most starts in one clock hour.
    pub most_starts_in_an_hour: u32,
    /// Running time outside the data of its record \[s\].
    pub beyond_data_s: f64,
}

/// How the room came back after a power cut or a wash-down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recovery {
    /// When it began: the end of the cut, the time of the wash-down \[s\].
    pub from_s: f64,
    /// What it was.
    pub after: Disturbance,
    /// Time until dry bulb and humidity were in band for half an hour on end
    /// (that half hour not counted) \[s\]; `None` if not by the next
    /// disturbance or the end of the run.
    pub in_band_after_s: Option<f64>,
    /// Highest relative humidity on the way, 0 to 1.
    pub highest_rel_humidity: f64,
    /// Highest dry bulb on the way \[°C\].
    pub highest_dry_bulb_c: f64,
}

/// What disturbed the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Disturbance {
    /// The power was cut.
    PowerCut,
    /// The floor was washed.
    WashDown,
}

/// Electricity by use over the counted days \[J\]; machines have their own.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EnergySummary {
    /// Lamps \[J\].
    pub lights_j: f64,
    /// All cooling, indoor fans included \[J\].
    pub cooling_j: f64,
    /// Heat given by heating \[J\].
    pub heating_heat_j: f64,
    /// Electricity for heating \[J\].
    pub heating_j: f64,
    /// All dehumidifiers \[J\].
    pub dehumidifiers_j: f64,
    /// Fans, pumps and the like \[J\].
    pub other_j: f64,
}

impl EnergySummary {
    /// All electricity \[J\].
    pub fn total_j(&self) -> f64 {
        self.lights_j + self.cooling_j + self.heating_j + self.dehumidifiers_j + self.other_j
    }
}

/// Sums, extremes and times over the counted days.
#[derive(Clone, Debug)]
pub struct Summary {
    /// Days counted.
    pub days: u32,
    /// By part of the day, in the order of [`Period::ALL`].
    pub periods: [PeriodSummary; 3],
    /// Electricity by use.
    pub energy: EnergySummary,
    /// Each dehumidifier, in the order of the setup.
    pub dehumidifiers: Vec<DehumidifierSummary>,
    /// Each cooling machine, in the order of the setup.
    pub cooling: Vec<CoolingSummary>,
    /// After each power cut and wash-down.
    pub recoveries: Vec<Recovery>,
    /// Smallest distance of the coldest surface above the dew point \[K\].
    pub least_surface_margin_k: Option<Moment>,
    /// Time with the coldest surface at or below the dew point \[s\].
    pub surface_wet_s: f64,
    /// Time with leaves at risk of wetness: relative humidity at leaf
    /// temperature 90 % or more, or the leaf less than 1 K above the dew
    /// point \[s\].
    pub leaf_wetness_risk_s: f64,
    /// The longest such spell \[s\].
    pub longest_leaf_wetness_risk_s: f64,
    /// Smallest distance of the leaves above the dew point \[K\].
    pub least_leaf_margin_k: Option<Moment>,
    /// Time more than 1 K above the cooling setpoint \[s\].
    pub cooling_shortfall_s: f64,
    /// Time with every dehumidifier running \[s\].
    pub all_dehumidifiers_s: f64,
}

impl Summary {
    /// One part of the day.
    pub const fn period(&self, period: Period) -> &PeriodSummary {
        &self.periods[period as usize]
    }

    /// Water given to the air by one path over all counted days \[kg\].
    pub fn water_kg(&self, path: WaterPath) -> f64 {
        self.periods.iter().map(|p| p.water_kg[path as usize]).sum()
    }

    /// Sensible heat given to the air by one path over all counted days \[J\].
    pub fn heat_j(&self, path: HeatPath) -> f64 {
        self.periods.iter().map(|p| p.heat_j[path as usize]).sum()
    }

    /// Time with both dry bulb and humidity in band, over all time, 0 to 1.
    pub fn share_in_band(&self) -> f64 {
        let (held, all) = self.periods.iter().fold((0.0, 0.0), |(held, all), p| {
            (held + p.both_in_band_s, all + p.time_s)
        });
        if all > 0.0 { held / all } else { 0.0 }
    }
}

/// How well a run closed. All should be rounding.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Balance {
    /// Largest |Σ paths − change held by the air| of any step \[kg\].
    pub worst_step_water_kg: f64,
    /// Largest |Σ paths − change of enthalpy of the air| of any step \[J\].
    pub worst_step_energy_j: f64,
    /// Σ paths − change held by the air, counted days \[kg\].
    pub run_water_kg: f64,
    /// Water into the moisture storage − change held by it \[kg\].
    pub run_storage_kg: f64,
    /// Water onto coils − drained − re-evaporated − change held by them \[kg\].
    pub run_coils_kg: f64,
    /// Water that passed through the air, counted days \[kg\]; to compare with.
    pub water_turned_over_kg: f64,
    /// Sensible and latent heat that passed through the air \[J\].
    pub energy_turned_over_j: f64,
}

/// One row per step of the counted days, held as columns.
#[derive(Clone, Debug, Default)]
pub struct Series {
    /// Step \[s\].
    pub step_s: f64,
    /// Dry bulb at the end of the step \[°C\].
    pub dry_bulb_c: Vec<f64>,
    /// Humidity ratio at the end of the step \[kg/kg\].
    pub humidity_ratio: Vec<f64>,
    /// Relative humidity, 0 to 1.
    pub rel_humidity: Vec<f64>,
    /// Vapour pressure deficit of the air \[Pa\].
    pub vpd_pa: Vec<f64>,
    /// Dew point \[°C\].
    pub dew_point_c: Vec<f64>,
    /// Leaf temperature \[°C\]; the air's without a crop.
    pub leaf_c: Vec<f64>,
    /// Temperature of the thermal mass \[°C\]; the air's without one.
    pub mass_c: Vec<f64>,
    /// Coldest surface above dew point \[K\]; NaN without one.
    pub surface_margin_k: Vec<f64>,
    /// Light, 0 to 1.
    pub light: Vec<f64>,
    /// Water to the air by path \[kg/s\], mean of the step.
    pub water_kg_per_s: Vec<[f64; WaterPath::COUNT]>,
    /// Sensible heat to the air by path \[W\], mean of the step.
    pub heat_w: Vec<[f64; HeatPath::COUNT]>,
    /// Which dehumidifiers run: bit 0 is the first.
    pub dehumidifiers_on: Vec<u64>,
    /// Run fraction of each cooling machine, machine after machine, step after
    /// step.
    pub cooling_run: Vec<f64>,
    /// Electrical power of lamps \[W\].
    pub lights_w: Vec<f64>,
    /// Electrical power of all cooling \[W\].
    pub cooling_w: Vec<f64>,
    /// Electrical power of all dehumidifiers \[W\].
    pub dehumidifiers_w: Vec<f64>,
    /// Heat of heating \[W\].
    pub heating_w: Vec<f64>,
    /// Part of the day.
    pub period: Vec<Period>,
}

impl Series {
    /// Steps recorded.
    pub fn len(&self) -> usize {
        self.dry_bulb_c.len()
    }

    /// Nothing recorded.
    pub fn is_empty(&self) -> bool {
        self.dry_bulb_c.is_empty()
    }

    /// Time of the end of a step, from midnight of the first counted day \[s\].
    pub fn time_s(&self, index: usize) -> f64 {
        (index + 1) as f64 * self.step_s
    }
}

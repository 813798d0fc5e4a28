//! From inlet air to what the unit does there.

use air::{MoistAir, dry_bulb_from_enthalpy_c, water_enthalpy_j_per_kg};

use crate::closure::{CoilPass, pass_at_removal};
use crate::curve::{Range, SET_A_CLAMP, SET_A_ENERGY_FACTOR, SET_A_REMOVAL, SET_A_TRUSTED};
use crate::fan::FilterState;
use crate::model::{ClosureData, Model, Performance};
use crate::output::{Beyond, Corrections, Data, Output};
use crate::table::Cell;

/// Hottest discharge before a unit stops on high pressure \[°C\]. **Assumed**.
const HOTTEST_DISCHARGE_C: f64 = 85.0;

/// Least power over rated power that set A is believed: below 18 °C and 40 %
/// its two curves run to zero at different places and their ratio means
/// nothing. **Assumed**.
const LEAST_POWER_SHARE: f64 = 0.6;

impl Model {
    /// What the unit does at this inlet air, running, at the external static
    /// pressure of its rating.
    ///
    /// Removal and power come from the record's own data at the nearest point
    /// of its range. What differs from that point (air beyond the range,
    /// altitude, air flow through a loaded filter) enters the removal as the
    /// ratio of the closure there to the closure at the point; the power is
    /// held. A coil that frosts more than at the point of the data also loses what
    /// its defrost takes.
    ///
    /// - `inlet`: air at the unit's inlet
    /// - `filter`: state of the filter
    ///
    /// **Valid** any `MoistAir`; outside the inlet window the unit is off.
    /// **Error** inside the data, that of the data; see [`crate::Closure`].
    pub fn at(&self, inlet: MoistAir, filter: FilterState) -> Output {
        let airflow_m3_per_s = self.fan.airflow_m3_per_s(filter, self.fan.rated_static_pa);
        self.at_airflow(inlet, airflow_m3_per_s)
    }

    /// As [`Model::at`], at this air flow \[m³/s\] (ducts, found by
    /// [`crate::FanCurve::airflow_m3_per_s`]).
    pub fn at_airflow(&self, inlet: MoistAir, airflow_m3_per_s: f64) -> Output {
        let t_c = inlet.dry_bulb_c();
        if t_c < self.min_inlet_c {
            return self.off(inlet, Beyond::TooColdToRun);
        }
        if t_c > self.max_inlet_c {
            return self.off(inlet, Beyond::TooHotToRun);
        }
        let rel_humidity = inlet.rel_humidity().min(1.0);
        let place = self.place(t_c, rel_humidity);
        let dry_air_kg_per_s = airflow_m3_per_s / inlet.specific_volume_m3_per_kg();
        let bypass_factor = self.closure.bypass_factor(&inlet, airflow_m3_per_s);
        let mut corrections = self.corrections(&inlet, airflow_m3_per_s, &place);
        let asked = place.cell.removal_kg_per_s * corrections.closure * corrections.frost;
        let pass = pass_at_removal(&inlet, asked, dry_air_kg_per_s, bypass_factor);
        let mut beyond = place.beyond;
        let mut removal_kg_per_s = asked;
        if pass.water_kg_per_s < asked * (1.0 - 1e-9) {
            removal_kg_per_s = pass.water_kg_per_s;
            corrections.cap = removal_kg_per_s / asked;
            beyond = beyond.or(Some(Beyond::MoreThanPhysical));
        }
        let data = match beyond {
            Some(what) => Data::Beyond { what },
            None if pass.adp_c < 0.0 => Data::Frosting { coil_c: pass.adp_c },
            None => Data::Inside,
        };
        self.close(
            inlet,
            airflow_m3_per_s,
            &pass,
            removal_kg_per_s,
            place.cell.power_w,
        )
        .map_or_else(
            || self.off(inlet, Beyond::TooHotToRun),
            |closed| Output {
                data,
                corrections,
                ..closed
            },
        )
    }

    /// What the record's own data say at the nearest point of their range.
    fn place(&self, dry_bulb_c: f64, rel_humidity: f64) -> PlaceInData {
        let (range, trusted) = self.ranges();
        let (t_c, rh) = range.clamp(dry_bulb_c, rel_humidity);
        let rating = self.rating();
        let cell = match &self.performance {
            Performance::Table(table) => table.at(t_c, rh),
            Performance::Curve(curve) => Cell {
                removal_kg_per_s: rating.removal_kg_per_s * curve.removal.at(t_c, rh),
                power_w: rating.power_w * curve.power.at(t_c, rh),
            },
            Performance::Closure(data) => self.closure_cell(data, t_c, rh),
            Performance::RatingOnly => {
                let ratio = |c: &crate::Biquadratic| {
                    c.at(t_c, rh) / c.at(rating.dry_bulb_c, rating.rel_humidity)
                };
                let removal = ratio(&SET_A_REMOVAL);
                let power = removal / ratio(&SET_A_ENERGY_FACTOR);
                Cell {
                    removal_kg_per_s: rating.removal_kg_per_s * removal,
                    power_w: rating.power_w * power.max(LEAST_POWER_SHARE),
                }
            }
        };
        PlaceInData {
            dry_bulb_c: t_c,
            rel_humidity: rh,
            clamped: !range.holds(dry_bulb_c, rel_humidity),
            beyond: beyond(&trusted, dry_bulb_c, rel_humidity),
            cell: Cell {
                removal_kg_per_s: cell.removal_kg_per_s.max(0.0),
                ..cell
            },
        }
    }

    /// What a closure fitted to few points says.
    fn closure_cell(&self, data: &ClosureData, dry_bulb_c: f64, rel_humidity: f64) -> Cell {
        let rating = self.rating();
        let power = 1.0
            + data.power_per_k * (dry_bulb_c - rating.dry_bulb_c)
            + data.power_per_percent * 100.0 * (rel_humidity - rating.rel_humidity);
        // Frost at the points is in the fit already.
        let removal_kg_per_s =
            MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, self.data_pressure_pa).map_or(
                0.0,
                |air| {
                    let airflow = self.closure.airflow_m3_per_s;
                    self.closure.at(&air, airflow).water_kg_per_s
                },
            );
        Cell {
            removal_kg_per_s,
            power_w: rating.power_w * power.max(LEAST_POWER_SHARE),
        }
    }

    /// Range that the data are read in, and range that they are trusted in.
    pub fn ranges(&self) -> (Range, Range) {
        match &self.performance {
            Performance::Table(table) => (table.range(), table.range()),
            Performance::Curve(curve) => (curve.valid, curve.valid),
            Performance::Closure(data) => (data.valid, data.valid),
            Performance::RatingOnly => (SET_A_CLAMP, SET_A_TRUSTED),
        }
    }

    fn corrections(&self, inlet: &MoistAir, airflow: f64, place: &PlaceInData) -> Corrections {
        let rated = self.closure.airflow_m3_per_s;
        let same_air = (inlet.pressure_pa() - self.data_pressure_pa).abs() < 0.5;
        if !place.clamped && same_air && (airflow / rated - 1.0).abs() < 1e-9 {
            return Corrections::NONE;
        }
        let Ok(edge_air) = MoistAir::from_rel_humidity(
            place.dry_bulb_c,
            place.rel_humidity,
            self.data_pressure_pa,
        ) else {
            return Corrections::NONE;
        };
        let here = self.closure.at(inlet, rated);
        let edge = self.closure.at(&edge_air, rated);
        let frost = self.defrost.removal_share(here.adp_c) / self.defrost.removal_share(edge.adp_c);
        let closure = if edge.water_kg_per_s > 0.0 {
            here.water_kg_per_s / edge.water_kg_per_s
        } else {
            0.0
        };
        Corrections {
            closure: closure * self.flow_share(inlet, airflow, &here),
            frost: frost.min(1.0),
            cap: 1.0,
        }
    }

    /// Removal at another air flow over that at the rated one, at most 1.
    ///
    /// Less air makes a coil colder and its air drier, so that the closure
    /// alone would promise a little more water; but it leaves out that the
    /// condenser gets less air too, and a gain is not believed.
    fn flow_share(&self, inlet: &MoistAir, airflow: f64, at_rated: &CoilPass) -> f64 {
        let same = (airflow / self.closure.airflow_m3_per_s - 1.0).abs() < 1e-9;
        if same || at_rated.water_kg_per_s <= 0.0 {
            return 1.0;
        }
        let water = self.closure.at(inlet, airflow).water_kg_per_s;
        (water / at_rated.water_kg_per_s).min(1.0)
    }

    /// Closes water and energy around the unit; nothing if the air would
    /// leave hotter than the condenser bears.
    fn close(
        &self,
        inlet: MoistAir,
        airflow_m3_per_s: f64,
        pass: &CoilPass,
        removal_kg_per_s: f64,
        power_w: f64,
    ) -> Option<Output> {
        let m = pass.dry_air_kg_per_s;
        let drained_w = removal_kg_per_s * water_enthalpy_j_per_kg(pass.condensate_c);
        let net_w = power_w - drained_w;
        let w_out = inlet.humidity_ratio() - removal_kg_per_s / m;
        let t_out = dry_bulb_from_enthalpy_c(inlet.enthalpy_j_per_kg() + net_w / m, w_out);
        let discharge = MoistAir::new(t_out, w_out, inlet.pressure_pa()).ok()?;
        if t_out > HOTTEST_DISCHARGE_C {
            return None;
        }
        let h_g = air::vapour_enthalpy_j_per_kg(inlet.dry_bulb_c());
        Some(Output {
            removal_kg_per_s,
            power_w,
            airflow_m3_per_s,
            dry_air_kg_per_s: m,
            off_coil: pass.off_coil,
            discharge,
            sensible_to_room_w: net_w + removal_kg_per_s * h_g,
            net_heat_to_room_w: net_w,
            condensate_c: pass.condensate_c,
            coil_c: pass.adp_c,
            data: Data::Inside,
            corrections: Corrections::NONE,
        })
    }

    /// The unit off at this air.
    fn off(&self, inlet: MoistAir, what: Beyond) -> Output {
        Output {
            removal_kg_per_s: 0.0,
            power_w: self.standby_w,
            airflow_m3_per_s: 0.0,
            dry_air_kg_per_s: 0.0,
            off_coil: inlet,
            discharge: inlet,
            sensible_to_room_w: self.standby_w,
            net_heat_to_room_w: self.standby_w,
            condensate_c: inlet.dry_bulb_c().max(0.0),
            coil_c: inlet.dry_bulb_c(),
            data: Data::Beyond { what },
            corrections: Corrections::NONE,
        }
    }
}

/// The nearest point of the data.
struct PlaceInData {
    dry_bulb_c: f64,
    rel_humidity: f64,
    clamped: bool,
    beyond: Option<Beyond>,
    cell: Cell,
}

/// How a point lies beyond a range; humidity is named first, since it moves
/// the removal most.
fn beyond(range: &Range, dry_bulb_c: f64, rel_humidity: f64) -> Option<Beyond> {
    if range.holds(dry_bulb_c, rel_humidity) {
        None
    } else if rel_humidity < range.min_rel_humidity - 1e-8 {
        Some(Beyond::Drier)
    } else if rel_humidity > range.max_rel_humidity + 1e-8 {
        Some(Beyond::Damper)
    } else if dry_bulb_c < range.min_dry_bulb_c {
        Some(Beyond::Colder)
    } else {
        Some(Beyond::Warmer)
    }
}

//! What a dehumidifier does, over dry bulb and relative humidity of the room.

use air::MoistAir;
use equipment::{Data, FilterState, Model};

use super::axis::Axis;
use super::{PointData, TableError};

/// What a running dehumidifier does at one air.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RemovalPoint {
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Power drawn \[W\].
    pub power_w: f64,
    /// Heat that leaves with the condensate, removal × its enthalpy \[W\].
    ///
    /// Sensible heat to the room is power − this + removal × vapour enthalpy
    /// at room temperature.
    pub drained_heat_w: f64,
    /// Dry air through the machine \[kg/s\].
    pub dry_air_kg_per_s: f64,
    /// What this rests on.
    pub data: PointData,
}

/// Nodes of a [`RemovalTable`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RemovalAxes {
    /// First dry bulb \[°C\].
    pub first_dry_bulb_c: f64,
    /// Step of dry bulb \[K\].
    pub dry_bulb_step_k: f64,
    /// Nodes of dry bulb.
    pub dry_bulbs: usize,
    /// Nodes of relative humidity, from 0 to 1.
    pub rel_humidities: usize,
}

impl RemovalAxes {
    /// The default with half its humidities, for a first look; the temperatures
    /// at which a machine stops stand where they do in the default.
    pub const COARSE: Self = Self {
        first_dry_bulb_c: 0.0,
        dry_bulb_step_k: 1.0,
        dry_bulbs: 46,
        rel_humidities: 21,
    };
}

impl Default for RemovalAxes {
    /// 0 to 45 °C by 1 K, relative humidity by 0.025.
    fn default() -> Self {
        Self {
            first_dry_bulb_c: 0.0,
            dry_bulb_step_k: 1.0,
            dry_bulbs: 46,
            rel_humidities: 41,
        }
    }
}

/// A dehumidifier over dry bulb and relative humidity of the room, at one
/// barometric pressure.
#[derive(Clone, Debug, PartialEq)]
pub struct RemovalTable {
    dry_bulb: Axis,
    rel_humidity: Axis,
    pressure_pa: f64,
    /// Removal, power, drained heat, dry air.
    nodes: Box<[[f64; 4]]>,
    data: Box<[PointData]>,
}

/// A point read from the table, with slopes of the removal.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct RemovalNow {
    pub(crate) removal_kg_per_s: f64,
    pub(crate) power_w: f64,
    pub(crate) drained_heat_w: f64,
    pub(crate) dry_air_kg_per_s: f64,
    /// At constant relative humidity \[kg/(s K)\].
    pub(crate) removal_per_k: f64,
    /// At constant temperature, over relative humidity \[kg/s\].
    pub(crate) removal_per_rel_humidity: f64,
    /// What the nearest node rests on.
    pub(crate) data: PointData,
}

impl RemovalTable {
    /// Asks a catalogue record at every node.
    ///
    /// - `model`: the record
    /// - `pressure_pa`: barometric pressure of the room \[Pa\]
    /// - `filter`: state of the filter
    ///
    /// # Errors
    /// [`TableError`] for an impossible pressure.
    pub fn compile(
        model: &Model,
        pressure_pa: f64,
        filter: FilterState,
    ) -> Result<Self, TableError> {
        Self::compile_at(RemovalAxes::default(), model, pressure_pa, filter)
    }

    /// As [`RemovalTable::compile`], at nodes of choice.
    ///
    /// # Errors
    /// [`TableError`] for impossible axes or pressure.
    pub fn compile_at(
        axes: RemovalAxes,
        model: &Model,
        pressure_pa: f64,
        filter: FilterState,
    ) -> Result<Self, TableError> {
        let airflow_m3_per_s = model
            .fan
            .airflow_m3_per_s(filter, model.fan.rated_static_pa);
        Self::compile_moving(axes, model, pressure_pa, airflow_m3_per_s)
    }

    /// As [`RemovalTable::compile_at`], of a machine that moves this air, as
    /// behind ducts.
    ///
    /// - `airflow_m3_per_s`: air at the inlet \[m³/s\]
    ///
    /// # Errors
    /// [`TableError`] for impossible axes or pressure.
    pub fn compile_moving(
        axes: RemovalAxes,
        model: &Model,
        pressure_pa: f64,
        airflow_m3_per_s: f64,
    ) -> Result<Self, TableError> {
        Self::tabulate(axes, pressure_pa, |dry_bulb_c, rel_humidity| {
            let Ok(inlet) = MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, pressure_pa)
            else {
                // Refused by `tabulate`, which knows where.
                return NOT_A_NUMBER;
            };
            let output = model.at_airflow(inlet, airflow_m3_per_s);
            RemovalPoint {
                removal_kg_per_s: output.removal_kg_per_s,
                power_w: output.power_w,
                drained_heat_w: output.power_w - output.net_heat_to_room_w,
                dry_air_kg_per_s: output.dry_air_kg_per_s,
                data: match output.data {
                    Data::Inside => PointData::Inside,
                    Data::Beyond { .. } => PointData::Beyond,
                    Data::Frosting { .. } => PointData::Frosting,
                },
            }
        })
    }

    /// Asks any function of dry bulb \[°C\] and relative humidity (0 to 1) at
    /// every node. Air without water gives none up, whatever the function says.
    ///
    /// # Errors
    /// [`TableError`] for impossible axes or pressure, or a function that
    /// gives something negative or not a number.
    pub fn tabulate(
        axes: RemovalAxes,
        pressure_pa: f64,
        mut machine: impl FnMut(f64, f64) -> RemovalPoint,
    ) -> Result<Self, TableError> {
        if !(50_000.0..=110_000.0).contains(&pressure_pa) {
            return Err(TableError::Pressure(pressure_pa));
        }
        let dry_bulb = Axis::new(
            "dry bulb",
            axes.first_dry_bulb_c,
            axes.dry_bulb_step_k,
            axes.dry_bulbs,
        )?;
        if axes.rel_humidities < 2 {
            return Err(TableError::Axis {
                axis: "relative humidity",
            });
        }
        let rel_humidity = Axis::new(
            "relative humidity",
            0.0,
            1.0 / (axes.rel_humidities - 1) as f64,
            axes.rel_humidities,
        )?;
        let count = dry_bulb.nodes() * rel_humidity.nodes();
        let mut nodes = Vec::with_capacity(count);
        let mut data = Vec::with_capacity(count);
        for i in 0..dry_bulb.nodes() {
            for j in 0..rel_humidity.nodes() {
                let (t_c, rh) = (dry_bulb.node(i), rel_humidity.node(j).min(1.0));
                let mut point = machine(t_c, rh);
                if j == 0 {
                    point.removal_kg_per_s = 0.0;
                    point.drained_heat_w = 0.0;
                }
                check(&point, t_c, rh)?;
                nodes.push([
                    point.removal_kg_per_s,
                    point.power_w,
                    point.drained_heat_w,
                    point.dry_air_kg_per_s,
                ]);
                data.push(point.data);
            }
        }
        Ok(Self {
            dry_bulb,
            rel_humidity,
            pressure_pa,
            nodes: nodes.into(),
            data: data.into(),
        })
    }

    /// Barometric pressure that it holds at \[Pa\].
    pub const fn pressure_pa(&self) -> f64 {
        self.pressure_pa
    }

    /// The machine at this room air, interpolated.
    ///
    /// - `dry_bulb_c`: \[°C\]; beyond the nodes the nearest holds
    /// - `rel_humidity`: 0 to 1
    pub fn at(&self, dry_bulb_c: f64, rel_humidity: f64) -> RemovalPoint {
        let now = self.now(dry_bulb_c, rel_humidity);
        RemovalPoint {
            removal_kg_per_s: now.removal_kg_per_s,
            power_w: now.power_w,
            drained_heat_w: now.drained_heat_w,
            dry_air_kg_per_s: now.dry_air_kg_per_s,
            data: now.data,
        }
    }

    #[inline]
    pub(crate) fn now(&self, dry_bulb_c: f64, rel_humidity: f64) -> RemovalNow {
        let t = self.dry_bulb.slot(dry_bulb_c);
        let r = self.rel_humidity.slot(rel_humidity);
        let row = self.rel_humidity.nodes();
        let at = t.index * row + r.index;
        let (a, b) = (&self.nodes[at], &self.nodes[at + 1]);
        let (c, d) = (&self.nodes[at + row], &self.nodes[at + row + 1]);
        let mut cold = [0.0; 4];
        let mut warm = [0.0; 4];
        let mut value = [0.0; 4];
        for k in 0..4 {
            cold[k] = a[k] + r.share * (b[k] - a[k]);
            warm[k] = c[k] + r.share * (d[k] - c[k]);
            value[k] = cold[k] + t.share * (warm[k] - cold[k]);
        }
        let over_rh = (b[0] - a[0]) + t.share * ((d[0] - c[0]) - (b[0] - a[0]));
        RemovalNow {
            removal_kg_per_s: value[0],
            power_w: value[1],
            drained_heat_w: value[2],
            dry_air_kg_per_s: value[3],
            removal_per_k: (warm[0] - cold[0]) * self.dry_bulb.per_step() * t.inside,
            removal_per_rel_humidity: over_rh * self.rel_humidity.per_step() * r.inside,
            data: self.data[at + usize::from(t.share > 0.5) * row + usize::from(r.share > 0.5)],
        }
    }

    pub(super) const fn axes(&self) -> RemovalAxes {
        RemovalAxes {
            first_dry_bulb_c: self.dry_bulb.first(),
            dry_bulb_step_k: 1.0 / self.dry_bulb.per_step(),
            dry_bulbs: self.dry_bulb.nodes(),
            rel_humidities: self.rel_humidity.nodes(),
        }
    }
}

const NOT_A_NUMBER: RemovalPoint = RemovalPoint {
    removal_kg_per_s: f64::NAN,
    power_w: f64::NAN,
    drained_heat_w: f64::NAN,
    dry_air_kg_per_s: f64::NAN,
    data: PointData::Beyond,
};

fn check(point: &RemovalPoint, dry_bulb_c: f64, rel_humidity: f64) -> Result<(), TableError> {
    let named = [
        ("a removal", point.removal_kg_per_s, 0.0),
        ("a power", point.power_w, 0.0),
        ("a drained heat", point.drained_heat_w, -1e9),
        ("an air flow", point.dry_air_kg_per_s, 0.0),
    ];
    for (what, value, least) in named {
        if !(least..=1e9).contains(&value) {
            return Err(TableError::NotANumber {
                machine: "the dehumidifier",
                what: format!("{what} of {value}"),
                dry_bulb_c,
                humidity: format!("{:.0} % relative humidity", 100.0 * rel_humidity),
            });
        }
    }
    Ok(())
}

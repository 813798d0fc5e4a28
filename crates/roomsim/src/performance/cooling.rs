//! What a cooling machine does, over dry bulb and humidity ratio of the room
//! and outdoor dry bulb.

use air::{MoistAir, saturation_humidity_ratio};
use equipment::{Cooler, CoolerData};

use super::axis::Axis;
use super::{PointData, TableError};

/// What a running cooling machine takes from the air that enters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoolingPoint {
    /// Sensible heat taken by the coil, indoor-fan heat not deducted \[W\].
    pub gross_sensible_w: f64,
    /// Latent heat taken, condensed water × vapour enthalpy at room
    /// temperature \[W\]; 0 on a dry coil.
    pub latent_w: f64,
    /// Power of compressor, outdoor fan, pump; not of the indoor fan \[W\].
    pub power_w: f64,
    /// What this rests on.
    pub data: PointData,
}

/// Nodes of a [`CoolingTable`].
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingAxes {
    /// First dry bulb of the room \[°C\].
    pub first_dry_bulb_c: f64,
    /// Step of dry bulb \[K\].
    pub dry_bulb_step_k: f64,
    /// Nodes of dry bulb.
    pub dry_bulbs: usize,
    /// Nodes of humidity between the air that just leaves the coil dry and
    /// saturated air.
    pub humidities: usize,
    /// Outdoor dry bulbs, rising; one for a machine that does not feel them
    /// \[°C\].
    pub outdoor_c: Vec<f64>,
    /// Halvings of the search for the driest air from which a coil condenses.
    pub kink_halvings: u32,
}

impl CoolingAxes {
    /// Nodes by half a kelvin that fall on a setpoint, within 10 K of it
    /// below and 15 K above.
    ///
    /// - `setpoint_c`: \[°C\]
    /// - `outdoor_c`: outdoor dry bulbs, rising \[°C\]
    pub const fn around(setpoint_c: f64, outdoor_c: Vec<f64>) -> Self {
        Self {
            first_dry_bulb_c: setpoint_c - 10.0,
            dry_bulb_step_k: 0.5,
            dry_bulbs: 51,
            humidities: 49,
            outdoor_c,
            kink_halvings: 50,
        }
    }

    /// The same range by a tenth of the nodes, for a first look: 1.25 K apart,
    /// a quarter of the humidities.
    ///
    /// - `setpoint_c`: \[°C\]
    /// - `outdoor_c`: outdoor dry bulbs, rising \[°C\]
    pub const fn coarse_around(setpoint_c: f64, outdoor_c: Vec<f64>) -> Self {
        Self {
            first_dry_bulb_c: setpoint_c - 10.0,
            dry_bulb_step_k: 1.25,
            dry_bulbs: 21,
            humidities: 13,
            outdoor_c,
            kink_halvings: 14,
        }
    }
}

/// A cooling machine at one barometric pressure.
///
/// The wet side is tabulated between the driest air from which the coil still
/// condenses and saturated air, so that the kink between dry and wet stands
/// exactly where it is.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingTable {
    dry_bulb: Axis,
    /// 0 at the kink, 1 at saturation.
    wetness: Axis,
    outdoor_c: Box<[f64]>,
    pressure_pa: f64,
    /// Humidity ratio at the kink and up to saturation, outdoor after outdoor,
    /// dry bulb after dry bulb.
    kinks: Box<[Kink]>,
    /// Gross sensible, latent, power, unused.
    nodes: Box<[[f64; 4]]>,
    data: Box<[PointData]>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Kink {
    humidity_ratio: f64,
    to_saturation: f64,
}

/// A point read from the table, with slopes.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct CoolingNow {
    pub(crate) gross_sensible_w: f64,
    pub(crate) latent_w: f64,
    pub(crate) power_w: f64,
    pub(crate) sensible_w_per_k: f64,
    pub(crate) sensible_w_per_humidity_ratio: f64,
    pub(crate) latent_w_per_humidity_ratio: f64,
    /// What the nearest node rests on.
    pub(crate) data: PointData,
}

/// Driest air that can be told from air without water in the search for the
/// kink \[kg/kg\].
const DRIEST: f64 = 1e-5;
/// Latent heat, as a share of sensible, below which a coil counts as dry.
const DRY_SHARE: f64 = 1e-9;

impl CoolingTable {
    /// Asks a catalogue record at every node, at its rated air flow.
    ///
    /// - `cooler`: the record
    /// - `axes`: where
    /// - `pressure_pa`: barometric pressure of the room \[Pa\]
    ///
    /// # Errors
    /// As [`CoolingTable::tabulate`].
    pub fn compile(
        cooler: &Cooler,
        axes: &CoolingAxes,
        pressure_pa: f64,
    ) -> Result<Self, TableError> {
        Self::tabulate(
            axes,
            pressure_pa,
            |dry_bulb_c, humidity_ratio, outdoor_c| {
                let Ok(entering) = MoistAir::new(dry_bulb_c, humidity_ratio, pressure_pa) else {
                    // Refused by `tabulate`, which knows where.
                    return NOT_A_NUMBER;
                };
                let output = cooler.at(entering, outdoor_c, cooler.airflow_m3_per_s);
                CoolingPoint {
                    gross_sensible_w: output.sensible_w,
                    latent_w: output.latent_w,
                    power_w: output.compressor_w + output.outdoor_fan_w,
                    data: match output.data {
                        CoolerData::Inside => PointData::Inside,
                        CoolerData::Icing => PointData::Frosting,
                        CoolerData::BeyondWetBulb
                        | CoolerData::BeyondDryBulb
                        | CoolerData::BeyondOutdoor
                        | CoolerData::BeyondAirflow => PointData::Beyond,
                    },
                }
            },
        )
    }

    /// Asks a machine at every node.
    ///
    /// - `pressure_pa`: barometric pressure \[Pa\]
    /// - `machine`: of room dry bulb \[°C\], humidity ratio and outdoor dry
    ///   bulb \[°C\]; dry bulb and humidity ratio are never supersaturated
    ///
    /// # Errors
    /// [`TableError`] for impossible axes or pressure, or a machine that gives
    /// something not a number.
    pub fn tabulate(
        axes: &CoolingAxes,
        pressure_pa: f64,
        mut machine: impl FnMut(f64, f64, f64) -> CoolingPoint,
    ) -> Result<Self, TableError> {
        if !(50_000.0..=110_000.0).contains(&pressure_pa) {
            return Err(TableError::Pressure(pressure_pa));
        }
        let rising = axes.outdoor_c.windows(2).all(|pair| pair[0] < pair[1]);
        if axes.outdoor_c.is_empty() || !rising || axes.humidities < 2 {
            return Err(TableError::Axis {
                axis: "outdoor dry bulb or humidity",
            });
        }
        let dry_bulb = Axis::new(
            "dry bulb",
            axes.first_dry_bulb_c,
            axes.dry_bulb_step_k,
            axes.dry_bulbs,
        )?;
        let wetness = Axis::new(
            "humidity",
            0.0,
            1.0 / (axes.humidities - 1) as f64,
            axes.humidities,
        )?;
        let mut kinks = Vec::new();
        let mut nodes = Vec::new();
        let mut data = Vec::new();
        for &outdoor_c in &axes.outdoor_c {
            for i in 0..dry_bulb.nodes() {
                let t_c = dry_bulb.node(i);
                let saturated = saturation_humidity_ratio(t_c, pressure_pa) * (1.0 - 1e-9);
                let kink = find_kink(saturated, axes.kink_halvings, |w| {
                    machine(t_c, w, outdoor_c)
                });
                kinks.push(kink);
                // A coil that is never wet has all its nodes in one place.
                let mut before: Option<(f64, CoolingPoint)> = None;
                for j in 0..wetness.nodes() {
                    let w =
                        (kink.humidity_ratio + wetness.node(j) * kink.to_saturation).min(saturated);
                    let mut point = match before {
                        Some((same, point)) if same == w => point,
                        _ => machine(t_c, w, outdoor_c),
                    };
                    before = Some((w, point));
                    if j == 0 {
                        point.latent_w = 0.0;
                    }
                    check(&point, t_c, w)?;
                    nodes.push([point.gross_sensible_w, point.latent_w, point.power_w, 0.0]);
                    data.push(point.data);
                }
            }
        }
        Ok(Self {
            dry_bulb,
            wetness,
            outdoor_c: axes.outdoor_c.clone().into(),
            pressure_pa,
            kinks: kinks.into(),
            nodes: nodes.into(),
            data: data.into(),
        })
    }

    /// One table of several that differ in their outdoor dry bulbs alone.
    ///
    /// - `parts`: rising in outdoor dry bulb
    ///
    /// # Errors
    /// [`TableError::Axis`] for none, for other nodes or another pressure, and
    /// for outdoor dry bulbs that do not rise.
    pub fn stacked<'a>(parts: impl IntoIterator<Item = &'a Self>) -> Result<Self, TableError> {
        const WRONG: TableError = TableError::Axis {
            axis: "outdoor dry bulb",
        };
        let mut parts = parts.into_iter();
        let first = parts.next().ok_or(WRONG)?;
        let (mut outdoor_c, mut kinks) = (first.outdoor_c.to_vec(), first.kinks.to_vec());
        let (mut nodes, mut data) = (first.nodes.to_vec(), first.data.to_vec());
        for part in parts {
            let same = part.dry_bulb == first.dry_bulb
                && part.wetness == first.wetness
                && part.pressure_pa == first.pressure_pa;
            let rises = outdoor_c.last() < part.outdoor_c.first();
            if !(same && rises) {
                return Err(WRONG);
            }
            outdoor_c.extend(&part.outdoor_c);
            kinks.extend(&part.kinks);
            nodes.extend(&part.nodes);
            data.extend(&part.data);
        }
        Ok(Self {
            outdoor_c: outdoor_c.into(),
            kinks: kinks.into(),
            nodes: nodes.into(),
            data: data.into(),
            ..*first
        })
    }

    /// Barometric pressure that it holds at \[Pa\].
    pub const fn pressure_pa(&self) -> f64 {
        self.pressure_pa
    }

    /// The machine at this room and outdoor air, interpolated.
    pub fn at(&self, dry_bulb_c: f64, humidity_ratio: f64, outdoor_c: f64) -> CoolingPoint {
        let now = self.now(dry_bulb_c, humidity_ratio, outdoor_c);
        CoolingPoint {
            gross_sensible_w: now.gross_sensible_w,
            latent_w: now.latent_w,
            power_w: now.power_w,
            data: now.data,
        }
    }

    #[inline]
    pub(crate) fn now(&self, dry_bulb_c: f64, humidity_ratio: f64, outdoor_c: f64) -> CoolingNow {
        let (plane, share) = self.outdoor_slot(outdoor_c);
        let low = self.in_plane(plane, dry_bulb_c, humidity_ratio);
        if share == 0.0 {
            return low;
        }
        let high = self.in_plane(plane + 1, dry_bulb_c, humidity_ratio);
        let mix = |a: f64, b: f64| a + share * (b - a);
        CoolingNow {
            gross_sensible_w: mix(low.gross_sensible_w, high.gross_sensible_w),
            latent_w: mix(low.latent_w, high.latent_w),
            power_w: mix(low.power_w, high.power_w),
            sensible_w_per_k: mix(low.sensible_w_per_k, high.sensible_w_per_k),
            sensible_w_per_humidity_ratio: mix(
                low.sensible_w_per_humidity_ratio,
                high.sensible_w_per_humidity_ratio,
            ),
            latent_w_per_humidity_ratio: mix(
                low.latent_w_per_humidity_ratio,
                high.latent_w_per_humidity_ratio,
            ),
            data: if share > 0.5 { high.data } else { low.data },
        }
    }

    /// The plane below an outdoor dry bulb and the share of the way to the
    /// next; 0 at and beyond either end, where the nearest plane holds.
    #[inline]
    fn outdoor_slot(&self, outdoor_c: f64) -> (usize, f64) {
        let last = self.outdoor_c.len() - 1;
        if outdoor_c <= self.outdoor_c[0] {
            return (0, 0.0);
        }
        if outdoor_c >= self.outdoor_c[last] {
            return (last, 0.0);
        }
        let mut plane = 0;
        while self.outdoor_c[plane + 1] <= outdoor_c {
            plane += 1;
        }
        let (low, high) = (self.outdoor_c[plane], self.outdoor_c[plane + 1]);
        (plane, (outdoor_c - low) / (high - low))
    }

    #[inline]
    fn in_plane(&self, plane: usize, dry_bulb_c: f64, humidity_ratio: f64) -> CoolingNow {
        let t = self.dry_bulb.slot(dry_bulb_c);
        let column = plane * self.dry_bulb.nodes() + t.index;
        let (k0, k1) = (self.kinks[column], self.kinks[column + 1]);
        let kink = k0.humidity_ratio + t.share * (k1.humidity_ratio - k0.humidity_ratio);
        let per_humidity_ratio =
            1.0 / (k0.to_saturation + t.share * (k1.to_saturation - k0.to_saturation));
        let u = self
            .wetness
            .slot((humidity_ratio - kink) * per_humidity_ratio);
        let row = self.wetness.nodes();
        let at = column * row + u.index;
        let (a, b) = (&self.nodes[at], &self.nodes[at + 1]);
        let (c, d) = (&self.nodes[at + row], &self.nodes[at + row + 1]);
        let mut cold = [0.0; 4];
        let mut warm = [0.0; 4];
        let mut value = [0.0; 4];
        let mut over_u = [0.0; 2];
        for k in 0..4 {
            cold[k] = a[k] + u.share * (b[k] - a[k]);
            warm[k] = c[k] + u.share * (d[k] - c[k]);
            value[k] = cold[k] + t.share * (warm[k] - cold[k]);
        }
        for k in 0..2 {
            over_u[k] = (b[k] - a[k]) + t.share * ((d[k] - c[k]) - (b[k] - a[k]));
        }
        let over_w = self.wetness.per_step() * per_humidity_ratio * u.inside;
        CoolingNow {
            gross_sensible_w: value[0],
            latent_w: value[1],
            power_w: value[2],
            sensible_w_per_k: (warm[0] - cold[0]) * self.dry_bulb.per_step() * t.inside,
            sensible_w_per_humidity_ratio: over_u[0] * over_w,
            latent_w_per_humidity_ratio: over_u[1] * over_w,
            data: self.data[at + usize::from(t.share > 0.5) * row + usize::from(u.share > 0.5)],
        }
    }
}

const NOT_A_NUMBER: CoolingPoint = CoolingPoint {
    gross_sensible_w: f64::NAN,
    latent_w: f64::NAN,
    power_w: f64::NAN,
    data: PointData::Beyond,
};

/// The driest air from which the coil still condenses, by bisection.
fn find_kink(saturated: f64, halvings: u32, mut at: impl FnMut(f64) -> CoolingPoint) -> Kink {
    let mut wet = |w: f64| {
        let point = at(w);
        point.latent_w > DRY_SHARE * point.gross_sensible_w.abs()
    };
    let humidity_ratio = if wet(DRIEST.min(0.5 * saturated)) {
        0.0
    } else if wet(saturated) {
        let (mut low, mut high) = (DRIEST.min(0.5 * saturated), saturated);
        for _ in 0..halvings {
            let middle = 0.5 * (low + high);
            if wet(middle) {
                high = middle;
            } else {
                low = middle;
            }
        }
        high
    } else {
        // Never wet at this dry bulb. The kink stands at saturation; a little
        // width keeps the interpolation finite.
        saturated
    };
    Kink {
        humidity_ratio,
        to_saturation: (saturated - humidity_ratio).max(1e-6),
    }
}

fn check(point: &CoolingPoint, dry_bulb_c: f64, humidity_ratio: f64) -> Result<(), TableError> {
    let named = [
        ("a sensible heat", point.gross_sensible_w, -1e9),
        ("a latent heat", point.latent_w, 0.0),
        ("a power", point.power_w, 0.0),
    ];
    for (what, value, least) in named {
        if !(least..=1e9).contains(&value) {
            return Err(TableError::NotANumber {
                machine: "the cooling machine",
                what: format!("{what} of {value}"),
                dry_bulb_c,
                humidity: format!("{humidity_ratio:.5} kg/kg"),
            });
        }
    }
    Ok(())
}

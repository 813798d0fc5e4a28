//! A maker's map: total and sensible capacity over outdoor dry bulb, entering
//! wet bulb and entering dry bulb.

use thiserror::Error;

use crate::cooling::carry::carry;
use crate::cooling::output::{Asked, CoolerData, CoolerOutput, settle};
use crate::cooling::{Cooler, CoolerConditions};

/// One row of a map.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapPoint {
    /// Outdoor dry bulb \[°C\].
    pub outdoor_c: f64,
    /// Entering wet bulb \[°C\].
    pub wet_bulb_c: f64,
    /// Entering dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Gross total capacity of a wet coil \[W\]; the same for each dry bulb.
    pub total_w: f64,
    /// Gross sensible capacity \[W\]; `total_w` or over it where the coil is dry.
    pub sensible_w: f64,
    /// Power of the compressor \[W\]; the same for each dry bulb.
    pub compressor_w: f64,
}

/// Why rows of numbers are no map.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum MapError {
    /// Too few values of an input.
    #[error("a cooling map needs at least two values of each of its three inputs")]
    TooSmall,
    /// A combination is missing or given twice.
    #[error(
        "outdoor {outdoor_c:.1} °C, wet bulb {wet_bulb_c:.1} °C, dry bulb {dry_bulb_c:.1} °C stands {times} times; a map is a full grid, each point once"
    )]
    NotOnce {
        /// Outdoor dry bulb \[°C\].
        outdoor_c: f64,
        /// Entering wet bulb \[°C\].
        wet_bulb_c: f64,
        /// Entering dry bulb \[°C\].
        dry_bulb_c: f64,
        /// How often it stands.
        times: usize,
    },
    /// Total or power differ between dry bulbs.
    #[error(
        "at outdoor {outdoor_c:.1} °C and wet bulb {wet_bulb_c:.1} °C, total capacity or power differ between dry bulbs"
    )]
    NotByWetBulb {
        /// Outdoor dry bulb \[°C\].
        outdoor_c: f64,
        /// Entering wet bulb \[°C\].
        wet_bulb_c: f64,
    },
    /// A column of wet points shorter than two.
    #[error(
        "outdoor {outdoor_c:.1} °C, dry bulb {dry_bulb_c:.1} °C has fewer than two wet points; the dry limit cannot be found"
    )]
    TooDry {
        /// Outdoor dry bulb \[°C\].
        outdoor_c: f64,
        /// Entering dry bulb \[°C\].
        dry_bulb_c: f64,
    },
}

/// Total and sensible capacity over outdoor dry bulb, entering wet bulb and
/// entering dry bulb. Straight between points; beyond the wet bulbs given, and
/// on the dry side of the last wet point, straight on from the two nearest wet
/// points. Where sensible would pass total the coil is dry: capacity is then
/// that of the wet bulb at which the two meet.
#[derive(Clone, Debug, PartialEq)]
pub struct CoolingMap {
    outdoors_c: Vec<f64>,
    wet_bulbs_c: Vec<f64>,
    dry_bulbs_c: Vec<f64>,
    /// By outdoor, wet bulb.
    total_w: Vec<f64>,
    compressor_w: Vec<f64>,
    /// By outdoor, dry bulb, wet bulb; as in the file.
    sensible_w: Vec<f64>,
}

const SAME_C: f64 = 0.03;

impl CoolingMap {
    /// A map from its rows, in any order.
    ///
    /// # Errors
    /// [`MapError`] unless the rows are a full grid with at least two wet
    /// points in each column.
    pub fn new(points: &[MapPoint]) -> Result<Self, MapError> {
        let axis = |take: fn(&MapPoint) -> f64| {
            let mut all: Vec<f64> = points.iter().map(take).collect();
            all.sort_by(f64::total_cmp);
            all.dedup_by(|b, a| *b - *a < SAME_C);
            all
        };
        let (os, ws, ds) = (
            axis(|p| p.outdoor_c),
            axis(|p| p.wet_bulb_c),
            axis(|p| p.dry_bulb_c),
        );
        if os.len() < 2 || ws.len() < 2 || ds.len() < 2 {
            return Err(MapError::TooSmall);
        }
        let mut map = Self {
            outdoors_c: os.clone(),
            wet_bulbs_c: ws.clone(),
            dry_bulbs_c: ds.clone(),
            total_w: Vec::new(),
            compressor_w: Vec::new(),
            sensible_w: Vec::new(),
        };
        let find = |o: f64, w: f64, d: f64| {
            let same = |a: f64, b: f64| (a - b).abs() < SAME_C;
            let here: Vec<&MapPoint> = points
                .iter()
                .filter(|p| same(p.outdoor_c, o) && same(p.wet_bulb_c, w) && same(p.dry_bulb_c, d))
                .collect();
            match here.as_slice() {
                [one] => Ok(**one),
                many => Err(MapError::NotOnce {
                    outdoor_c: o,
                    wet_bulb_c: w,
                    dry_bulb_c: d,
                    times: many.len(),
                }),
            }
        };
        for &o in &os {
            for &w in &ws {
                let first = find(o, w, ds[0])?;
                for &d in &ds {
                    let p = find(o, w, d)?;
                    if p.total_w != first.total_w || p.compressor_w != first.compressor_w {
                        return Err(MapError::NotByWetBulb {
                            outdoor_c: o,
                            wet_bulb_c: w,
                        });
                    }
                }
                map.total_w.push(first.total_w);
                map.compressor_w.push(first.compressor_w);
            }
            for &d in &ds {
                let start = map.sensible_w.len();
                for &w in &ws {
                    map.sensible_w.push(find(o, w, d)?.sensible_w);
                }
                let totals = &map.total_w[map.total_w.len() - ws.len()..];
                let wet = map.sensible_w[start..]
                    .iter()
                    .zip(totals)
                    .filter(|(s, q)| s < q)
                    .count();
                if wet < 2 {
                    return Err(MapError::TooDry {
                        outdoor_c: o,
                        dry_bulb_c: d,
                    });
                }
            }
        }
        Ok(map)
    }

    /// The rows, by outdoor, wet bulb, dry bulb.
    pub fn points(&self) -> Vec<MapPoint> {
        let (n_w, n_d) = (self.wet_bulbs_c.len(), self.dry_bulbs_c.len());
        let mut rows = Vec::new();
        for (i, &outdoor_c) in self.outdoors_c.iter().enumerate() {
            for (j, &wet_bulb_c) in self.wet_bulbs_c.iter().enumerate() {
                for (k, &dry_bulb_c) in self.dry_bulbs_c.iter().enumerate() {
                    rows.push(MapPoint {
                        outdoor_c,
                        wet_bulb_c,
                        dry_bulb_c,
                        total_w: self.total_w[i * n_w + j],
                        sensible_w: self.sensible_w[(i * n_d + k) * n_w + j],
                        compressor_w: self.compressor_w[i * n_w + j],
                    });
                }
            }
        }
        rows
    }

    /// Gross total, gross sensible and compressor power at these three
    /// temperatures, at the pressure of the data and the rated air flow.
    ///
    /// - `outdoor_c`, `wet_bulb_c`, `dry_bulb_c`: outdoor dry bulb, entering
    ///   wet and dry bulb \[°C\]
    ///
    /// **Valid** inside the map; beyond its wet bulbs straight on, beyond its
    /// outdoor and entering dry bulbs straight on.
    /// **Source** rule of the published cases E100 to E200 (Neymark and
    /// Judkoff 2002, NREL/TP-550-30152).
    pub fn read(&self, outdoor_c: f64, wet_bulb_c: f64, dry_bulb_c: f64) -> MapReading {
        let column = self.column(outdoor_c, dry_bulb_c);
        let excess = |w: f64| column.sensible(w) - column.total(w);
        if excess(wet_bulb_c) < 0.0 {
            return column.reading(wet_bulb_c);
        }
        // Dry: the wet bulb at which the two lines meet. Total rises with the
        // wet bulb and sensible falls, so there is one.
        let (mut low, mut high) = (wet_bulb_c, wet_bulb_c + 1.0);
        while excess(high) > 0.0 && high < 100.0 {
            low = high;
            high += 2.0;
        }
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            if excess(mid) > 0.0 {
                low = mid;
            } else {
                high = mid;
            }
        }
        let met = column.reading(high);
        // The file may print what the dry coil takes at a wet bulb below
        // that; between, straight.
        let total_w = match column.last_dry() {
            Some((w, printed_w)) if w < high => {
                let share = ((high - wet_bulb_c) / (high - w)).clamp(0.0, 1.0);
                met.total_w + share * (printed_w - met.total_w)
            }
            _ => met.total_w,
        };
        MapReading {
            total_w,
            sensible_w: total_w,
            ..met
        }
    }

    fn column(&self, outdoor_c: f64, dry_bulb_c: f64) -> Column<'_> {
        Column {
            map: self,
            outdoor: open_bracket(&self.outdoors_c, outdoor_c),
            dry_bulb: open_bracket(&self.dry_bulbs_c, dry_bulb_c),
        }
    }

    pub(super) fn under(&self, cooler: &Cooler, now: &CoolerConditions) -> CoolerOutput {
        let (t_c, w_c) = (now.entering.dry_bulb_c(), now.entering.wet_bulb_c());
        let r = self.read(now.outdoor_c, w_c, t_c);
        let flow_ratio = now.airflow_m3_per_s / cooler.airflow_m3_per_s;
        let outside = |list: &[f64], x: f64| x < list[0] - 1e-6 || x > list[list.len() - 1] + 1e-6;
        let data = if !(0.5..=1.5).contains(&flow_ratio) {
            CoolerData::BeyondAirflow
        } else if outside(&self.outdoors_c, now.outdoor_c) {
            CoolerData::BeyondOutdoor
        } else if outside(&self.dry_bulbs_c, t_c) {
            CoolerData::BeyondDryBulb
        } else if outside(&self.wet_bulbs_c, w_c) && r.sensible_w < r.total_w {
            CoolerData::BeyondWetBulb
        } else {
            CoolerData::Inside
        };
        let asked = Asked {
            total_w: r.total_w.max(0.0),
            sensible_w: r.sensible_w.max(0.0),
            compressor_w: r.compressor_w.max(0.0),
            adp_c: None,
            data,
        };
        settle(cooler, now, carry(cooler, now, asked))
    }

    pub(super) fn scaled(&self, factor: f64) -> Self {
        let times = |list: &[f64]| list.iter().map(|x| factor * x).collect();
        Self {
            total_w: times(&self.total_w),
            compressor_w: times(&self.compressor_w),
            sensible_w: times(&self.sensible_w),
            ..self.clone()
        }
    }
}

/// What a map says at three temperatures.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapReading {
    /// Gross total \[W\].
    pub total_w: f64,
    /// Gross sensible \[W\]; equal to the total where the coil is dry.
    pub sensible_w: f64,
    /// Power of the compressor \[W\].
    pub compressor_w: f64,
}

/// The four columns of wet bulbs around an outdoor and an entering dry bulb.
struct Column<'a> {
    map: &'a CoolingMap,
    outdoor: (usize, f64),
    dry_bulb: (usize, f64),
}

impl Column<'_> {
    /// Blends what `at` gives for the neighbouring outdoor (and dry-bulb)
    /// indices.
    fn blend(&self, at: impl Fn(usize, usize) -> f64) -> f64 {
        let ((i, x), (k, y)) = (self.outdoor, self.dry_bulb);
        let low = at(i, k) + y * (at(i, k + 1) - at(i, k));
        let high = at(i + 1, k) + y * (at(i + 1, k + 1) - at(i + 1, k));
        low + x * (high - low)
    }

    fn total(&self, wet_bulb_c: f64) -> f64 {
        let map = self.map;
        let n_w = map.wet_bulbs_c.len();
        self.blend(|i, _| {
            along(
                &map.wet_bulbs_c,
                &map.total_w[i * n_w..(i + 1) * n_w],
                wet_bulb_c,
            )
        })
    }

    fn sensible(&self, wet_bulb_c: f64) -> f64 {
        self.blend(|i, k| {
            let (list, first_wet) = self.sensibles(i, k);
            along(
                &self.map.wet_bulbs_c[first_wet..],
                &list[first_wet..],
                wet_bulb_c,
            )
        })
    }

    fn reading(&self, wet_bulb_c: f64) -> MapReading {
        let map = self.map;
        let n_w = map.wet_bulbs_c.len();
        MapReading {
            total_w: self.total(wet_bulb_c),
            sensible_w: self.sensible(wet_bulb_c),
            compressor_w: self.blend(|i, _| {
                along(
                    &map.wet_bulbs_c,
                    &map.compressor_w[i * n_w..(i + 1) * n_w],
                    wet_bulb_c,
                )
            }),
        }
    }

    /// The wettest bulb for which all four columns print a dry coil, and what
    /// they print there.
    fn last_dry(&self) -> Option<(f64, f64)> {
        let ((i, x), (k, y)) = (self.outdoor, self.dry_bulb);
        let mut last = usize::MAX;
        for (ii, used_i) in [(i, x != 1.0), (i + 1, x != 0.0)] {
            for (kk, used_k) in [(k, y != 1.0), (k + 1, y != 0.0)] {
                if used_i && used_k {
                    last = last.min(self.sensibles(ii, kk).1);
                }
            }
        }
        if last == 0 || last == usize::MAX {
            return None;
        }
        let printed = self.blend(|i, k| self.sensibles(i, k).0[last - 1]);
        Some((self.map.wet_bulbs_c[last - 1], printed))
    }

    /// Sensible capacities of one column by wet bulb, and the first wet point.
    fn sensibles(&self, i: usize, k: usize) -> (&[f64], usize) {
        let map = self.map;
        let (n_w, n_d) = (map.wet_bulbs_c.len(), map.dry_bulbs_c.len());
        let start = (i * n_d + k) * n_w;
        let list = &map.sensible_w[start..start + n_w];
        let totals = &map.total_w[i * n_w..(i + 1) * n_w];
        let first_wet = list
            .iter()
            .zip(totals)
            .position(|(s, q)| s < q)
            .unwrap_or(0);
        (list, first_wet)
    }
}

/// Interval of a rising list for `x`, and the place in it, also beyond its ends.
fn open_bracket(list: &[f64], x: f64) -> (usize, f64) {
    let i = list.partition_point(|&v| v <= x).clamp(1, list.len() - 1) - 1;
    (i, (x - list[i]) / (list[i + 1] - list[i]))
}

/// Straight between points, and straight on beyond the ends.
fn along(xs: &[f64], ys: &[f64], x: f64) -> f64 {
    let (i, place) = open_bracket(xs, x);
    ys[i] + place * (ys[i + 1] - ys[i])
}

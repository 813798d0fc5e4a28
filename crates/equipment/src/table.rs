//! A maker's table of removal and power over dry bulb and relative humidity.

use thiserror::Error;

use crate::curve::Range;

/// Removal and power on a full grid of dry bulb and relative humidity.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    dry_bulbs_c: Vec<f64>,
    rel_humidities: Vec<f64>,
    cells: Vec<Cell>,
}

/// What a table says at one point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cell {
    /// Water removed \[kg/s\].
    pub removal_kg_per_s: f64,
    /// Power drawn \[W\].
    pub power_w: f64,
}

/// A point of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TablePoint {
    /// Inlet dry bulb \[°C\].
    pub dry_bulb_c: f64,
    /// Inlet relative humidity, 0 to 1.
    pub rel_humidity: f64,
    /// What it says there.
    pub cell: Cell,
}

/// Why rows of numbers are no table.
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum TableError {
    /// Fewer than two dry bulbs or relative humidities.
    #[error("a table needs at least two dry bulbs and two relative humidities")]
    TooSmall,
    /// A pair of the grid is missing.
    #[error("no row for {dry_bulb_c:.1} °C and {rel_humidity_pct:.0} %: a table is a full grid")]
    Hole {
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Relative humidity, percent.
        rel_humidity_pct: f64,
    },
    /// A pair is given twice.
    #[error("two rows for {dry_bulb_c:.1} °C and {rel_humidity_pct:.0} %")]
    Twice {
        /// Dry bulb \[°C\].
        dry_bulb_c: f64,
        /// Relative humidity, percent.
        rel_humidity_pct: f64,
    },
}

/// Two grid values nearer than this are one: °F round to 0.06 K.
const SAME_C: f64 = 0.03;
const SAME_RH: f64 = 0.002;

impl Table {
    /// A table from its points, in any order.
    ///
    /// # Errors
    /// [`TableError`] unless every pair of dry bulb and relative humidity
    /// stands there once.
    pub fn new(points: &[TablePoint]) -> Result<Self, TableError> {
        let dry_bulbs_c = distinct(points.iter().map(|p| p.dry_bulb_c), SAME_C);
        let rel_humidities = distinct(points.iter().map(|p| p.rel_humidity), SAME_RH);
        if dry_bulbs_c.len() < 2 || rel_humidities.len() < 2 {
            return Err(TableError::TooSmall);
        }
        let mut cells = Vec::with_capacity(dry_bulbs_c.len() * rel_humidities.len());
        for &dry_bulb_c in &dry_bulbs_c {
            for &rel_humidity in &rel_humidities {
                let mut here = points.iter().filter(|p| {
                    (p.dry_bulb_c - dry_bulb_c).abs() < SAME_C
                        && (p.rel_humidity - rel_humidity).abs() < SAME_RH
                });
                let rel_humidity_pct = 100.0 * rel_humidity;
                match (here.next(), here.next()) {
                    (Some(p), None) => cells.push(p.cell),
                    (None, _) => {
                        return Err(TableError::Hole {
                            dry_bulb_c,
                            rel_humidity_pct,
                        });
                    }
                    (Some(_), Some(_)) => {
                        return Err(TableError::Twice {
                            dry_bulb_c,
                            rel_humidity_pct,
                        });
                    }
                }
            }
        }
        Ok(Self {
            dry_bulbs_c,
            rel_humidities,
            cells,
        })
    }

    /// The points, by dry bulb, then relative humidity.
    pub fn points(&self) -> impl Iterator<Item = TablePoint> + '_ {
        let columns = self.rel_humidities.len();
        self.cells
            .iter()
            .enumerate()
            .map(move |(i, &cell)| TablePoint {
                dry_bulb_c: self.dry_bulbs_c[i / columns],
                rel_humidity: self.rel_humidities[i % columns],
                cell,
            })
    }

    /// Dry bulbs of the grid, rising \[°C\].
    pub fn dry_bulbs_c(&self) -> &[f64] {
        &self.dry_bulbs_c
    }

    /// Relative humidities of the grid, rising.
    pub fn rel_humidities(&self) -> &[f64] {
        &self.rel_humidities
    }

    /// The range of the grid.
    pub fn range(&self) -> Range {
        Range {
            min_dry_bulb_c: self.dry_bulbs_c[0],
            max_dry_bulb_c: self.dry_bulbs_c[self.dry_bulbs_c.len() - 1],
            min_rel_humidity: self.rel_humidities[0],
            max_rel_humidity: self.rel_humidities[self.rel_humidities.len() - 1],
        }
    }

    /// Value of the table, straight between grid points in each direction.
    ///
    /// - `dry_bulb_c`: inlet dry bulb \[°C\]
    /// - `rel_humidity`: inlet relative humidity, 0 to 1
    ///
    /// **Valid** inside [`Table::range`]; outside: the value at the nearest
    /// edge. **Source** bilinear interpolation.
    pub fn at(&self, dry_bulb_c: f64, rel_humidity: f64) -> Cell {
        let (i, x) = bracket(&self.dry_bulbs_c, dry_bulb_c);
        let (j, y) = bracket(&self.rel_humidities, rel_humidity);
        let columns = self.rel_humidities.len();
        let mix = |take: fn(&Cell) -> f64| {
            let c = |di: usize, dj: usize| take(&self.cells[(i + di) * columns + j + dj]);
            let low = c(0, 0) + y * (c(0, 1) - c(0, 0));
            let high = c(1, 0) + y * (c(1, 1) - c(1, 0));
            low + x * (high - low)
        };
        Cell {
            removal_kg_per_s: mix(|c| c.removal_kg_per_s),
            power_w: mix(|c| c.power_w),
        }
    }

    /// The first neighbouring points between which removal falls although the
    /// air gets warmer or damper, if there are any.
    pub fn falls_at(&self) -> Option<TablePoint> {
        let columns = self.rel_humidities.len();
        self.points().enumerate().find_map(|(i, p)| {
            let less = |j: usize| {
                self.cells
                    .get(j)
                    .is_some_and(|c| c.removal_kg_per_s < p.cell.removal_kg_per_s)
            };
            let damper = (i + 1) % columns != 0 && less(i + 1);
            (damper || less(i + columns)).then_some(p)
        })
    }
}

/// Rising list of values that differ by at least `same`.
fn distinct(values: impl Iterator<Item = f64>, same: f64) -> Vec<f64> {
    let mut all: Vec<f64> = values.collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|b, a| *b - *a < same);
    all
}

/// Interval of a rising list that holds `x` (clamped), and the place in it.
pub(crate) fn bracket(list: &[f64], x: f64) -> (usize, f64) {
    let i = list.partition_point(|&v| v <= x).clamp(1, list.len() - 1) - 1;
    let place = (x - list[i]) / (list[i + 1] - list[i]);
    (i, place.clamp(0.0, 1.0))
}

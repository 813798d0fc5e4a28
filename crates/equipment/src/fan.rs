//! Air flow of a machine against what it must push through.

use thiserror::Error;

/// State of the filter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum FilterState {
    /// As new.
    Clean,
    /// Loaded: 0 is clean, 1 is due for change.
    Loaded(f64),
}

impl FilterState {
    /// 0 (clean) to 1 (due for change).
    pub const fn loading(self) -> f64 {
        match self {
            Self::Clean => 0.0,
            Self::Loaded(x) => {
                if x.is_nan() {
                    0.0
                } else {
                    x.clamp(0.0, 1.0)
                }
            }
        }
    }
}

/// Air flow against external static pressure, filter clean, and the pressure
/// that the filter takes.
#[derive(Clone, Debug, PartialEq)]
pub struct FanCurve {
    points: Vec<FanPoint>,
    /// External static pressure of the ratings \[Pa\].
    pub rated_static_pa: f64,
    /// Pressure over the clean filter at the rated flow \[Pa\].
    pub clean_filter_pa: f64,
    /// Pressure over the filter due for change at the rated flow \[Pa\].
    pub dirty_filter_pa: f64,
}

/// One point of a fan curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FanPoint {
    /// External static pressure, filter clean \[Pa\].
    pub static_pa: f64,
    /// Air flow \[m³/s\].
    pub airflow_m3_per_s: f64,
}

/// Why a fan curve is none.
#[derive(Clone, Copy, Debug, Error, PartialEq, Eq)]
pub enum FanCurveError {
    /// No points.
    #[error("a fan curve needs at least one point")]
    Empty,
    /// Pressures that do not rise, or flows that do not fall.
    #[error("along a fan curve the pressure must rise and the air flow fall")]
    NotFalling,
}

impl FanCurve {
    /// A curve through these points, pressure rising.
    ///
    /// # Errors
    /// [`FanCurveError`] when empty or when flow does not fall with pressure.
    pub fn new(points: Vec<FanPoint>) -> Result<Self, FanCurveError> {
        if points.is_empty() {
            return Err(FanCurveError::Empty);
        }
        let falling = points.windows(2).all(|p| {
            p[0].static_pa < p[1].static_pa && p[0].airflow_m3_per_s > p[1].airflow_m3_per_s
        });
        if !falling {
            return Err(FanCurveError::NotFalling);
        }
        Ok(Self {
            points,
            rated_static_pa: 0.0,
            clean_filter_pa: 0.0,
            dirty_filter_pa: 0.0,
        })
    }

    /// The points.
    pub fn points(&self) -> &[FanPoint] {
        &self.points
    }

    /// Air flow at the rated static pressure, filter clean \[m³/s\].
    pub fn rated_m3_per_s(&self) -> f64 {
        self.free_m3_per_s(self.rated_static_pa)
    }

    /// Air flow with this filter against this external static pressure
    /// \[m³/s\].
    ///
    /// ```text
    /// V = fan(p_ext + x (p_dirty − p_clean) (V / V_rated)²)
    /// ```
    ///
    /// - `filter`: loading x
    /// - `static_pa`: external static pressure \[Pa\]
    ///
    /// **Valid** inside the points; beyond them the last slope goes on, down
    /// to a tenth of the rated flow. **Source** filter loss taken as square of
    /// the flow, **Assumed** (between 1 for laminar media and 2).
    pub fn airflow_m3_per_s(&self, filter: FilterState, static_pa: f64) -> f64 {
        let added_pa = filter.loading() * (self.dirty_filter_pa - self.clean_filter_pa).max(0.0);
        let free = self.free_m3_per_s(static_pa);
        if added_pa == 0.0 {
            return free;
        }
        let rated = self.rated_m3_per_s();
        let (mut low, mut high) = (0.0, free);
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            let ratio = mid / rated;
            if self.free_m3_per_s(static_pa + added_pa * ratio * ratio) > mid {
                low = mid;
            } else {
                high = mid;
            }
        }
        0.5 * (low + high)
    }

    /// The curve itself, straight between points.
    fn free_m3_per_s(&self, static_pa: f64) -> f64 {
        let p = &self.points;
        let (first, last) = (p[0], p[p.len() - 1]);
        if p.len() == 1 {
            return first.airflow_m3_per_s;
        }
        if static_pa <= first.static_pa {
            return first.airflow_m3_per_s;
        }
        let i = p
            .partition_point(|q| q.static_pa < static_pa)
            .clamp(1, p.len() - 1);
        let (a, b) = (p[i - 1], p[i]);
        let slope = (b.airflow_m3_per_s - a.airflow_m3_per_s) / (b.static_pa - a.static_pa);
        (a.airflow_m3_per_s + slope * (static_pa - a.static_pa))
            .max(0.1 * first.airflow_m3_per_s)
            .min(if static_pa > last.static_pa {
                last.airflow_m3_per_s
            } else {
                f64::INFINITY
            })
    }
}

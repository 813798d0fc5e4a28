//! First-order lag, as of stomata behind lamps or a film behind its air.

/// Time passed and time constant of a first-order lag.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lag {
    /// Time passed \[s\].
    pub passed_s: f64,
    /// Time constant \[s\].
    pub time_constant_s: f64,
}

impl Lag {
    /// Share of the first difference that is left, 0 to 1.
    pub fn left(self) -> f64 {
        if self.time_constant_s > 0.0 {
            (-self.passed_s.max(0.0) / self.time_constant_s).exp()
        } else {
            0.0
        }
    }
}

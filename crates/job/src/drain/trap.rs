//! The trap that keeps air from rushing through a pan outlet.

use equipment::Cabinet;
use quantity::STANDARD_GRAVITY_M_PER_S2;
use std::f64::consts::PI;

/// Water by which pressures are turned into heights \[kg/m³\]: the density of
/// the conventional inch of water, cold and so on the safe side by 0.1 %.
pub const GAUGE_WATER_KG_PER_M3: f64 = 1000.0;

/// An inch: the margins of the trade are whole and half inches.
const INCH_M: f64 = 0.0254;

/// Bend of a trap, centre line over inside diameter.
///
/// **Assumed** a bend of two short elbows.
const BEND_PER_DIAMETER: f64 = 1.5;

/// Height of a column of water that holds a pressure \[m\].
///
/// ```text
/// z = p / (rho g)        rho = 1000 kg/m³
/// ```
///
/// - `pressure_pa`: pressure, of either sign \[Pa\]
///
/// **Valid** any finite pressure.
/// **Source** hydrostatics.
/// **Checked** one inch of water is 25.4 mm.
pub const fn water_head_m(pressure_pa: f64) -> f64 {
    pressure_pa / (GAUGE_WATER_KG_PER_M3 * STANDARD_GRAVITY_M_PER_S2)
}

/// How high water falls in the outlet leg when the fan starts on a trap that
/// nothing has flowed into yet \[m\].
///
/// ```text
/// z = h · A_in / (A_in + A_out)        equal bores: h / 2
/// ```
///
/// - `head_m`: water head of the pan's pressure \[m\]
/// - `inlet_bore_m`, `outlet_bore_m`: inside diameters of the two legs \[m\]
///
/// **Valid** draw-through; bores above zero.
/// **Source** conservation of the water in the two legs.
pub fn start_up_fall_m(head_m: f64, bores: Bores) -> f64 {
    let (a_in, a_out) = (bores.inlet_m.powi(2), bores.outlet_m.powi(2));
    head_m * a_in / (a_in + a_out)
}

/// Inside diameters of the legs of a trap.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bores {
    /// Leg from the pan \[m\].
    pub inlet_m: f64,
    /// Leg to the drain \[m\].
    pub outlet_m: f64,
}

impl Bores {
    /// Both the same.
    pub const fn equal(bore_m: f64) -> Self {
        Self {
            inlet_m: bore_m,
            outlet_m: bore_m,
        }
    }
}

/// What a trap must measure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rule {
    /// From the pan outlet's invert down to the trap outlet's invert, at
    /// least: H \[m\].
    pub drop_m: f64,
    /// From the trap outlet's invert down to the crown of the bottom bend, at
    /// least: J \[m\].
    pub seal_m: f64,
}

/// What a trap must measure for a pan pressure.
///
/// ```text
/// draw-through   H = h + 1 in        J = H / 2
/// blow-through   H = 1/2 in          J = h + 1/2 in
/// ```
///
/// - `head_m`: water head of the worst pan pressure, without sign \[m\]
///
/// **Valid** equal bores; heads up to a few hundred millimetres.
/// **Source** that water leaves needs H > h (draw-through); that the seal
/// outlasts a start needs J > h/2 (draw-through) and J > h (blow-through):
/// hydrostatics. The margins are common practice, no published source.
/// **Checked** `tests/drain.rs`.
pub fn rule(cabinet: Cabinet, head_m: f64) -> Rule {
    match cabinet {
        Cabinet::DrawThrough => {
            let drop_m = head_m + INCH_M;
            Rule {
                drop_m,
                seal_m: 0.5 * drop_m,
            }
        }
        Cabinet::BlowThrough => Rule {
            drop_m: 0.5 * INCH_M,
            seal_m: head_m + 0.5 * INCH_M,
        },
    }
}

/// How a trap of given dimensions behaves.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// It drains and keeps its seal, with the usual margin.
    Holds,
    /// It works, with less than the usual margin.
    Marginal {
        /// Which of its dimensions leave too little.
        short: Short,
    },
    /// The pan holds water while the fan runs.
    PanHolds {
        /// How much \[m\].
        depth_m: f64,
    },
    /// The seal is blown at each start.
    SealBlown {
        /// How much seal is missing \[m\].
        short_m: f64,
    },
}

/// What is less than the rule's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Short {
    /// H alone.
    Drop,
    /// J alone.
    Seal,
    /// Both.
    Both,
}

/// How a trap with this H and J, as built, behaves at a pan pressure.
///
/// ```text
/// draw-through   H ≤ h: the pan holds h − H;  J ≤ h/2: blown;  J < (h + 1 in)/2 or H < h + 1 in: marginal
/// blow-through   J ≤ h: blown;  J < h + 1/2 in or H < 1/2 in: marginal
/// ```
///
/// - `built`: H and J as measured on site
/// - `head_m`: water head of the worst pan pressure \[m\]
///
/// **Valid** equal bores.
/// **Source** as [`rule`].
pub fn verdict(cabinet: Cabinet, head_m: f64, built: Rule) -> Verdict {
    // Half of a sixteenth of an inch: a drawing shows no less, and who builds
    // to the drawing is not blamed for its rounding.
    const SAME_M: f64 = INCH_M / 32.0;
    let blown_below_m = match cabinet {
        Cabinet::DrawThrough if built.drop_m <= head_m => {
            return Verdict::PanHolds {
                depth_m: head_m - built.drop_m,
            };
        }
        Cabinet::DrawThrough => 0.5 * head_m,
        Cabinet::BlowThrough => head_m,
    };
    // A greater drop than the rule's wants no deeper seal: what the fan pulls
    // is the same.
    let wanted = rule(cabinet, head_m);
    if built.seal_m <= blown_below_m {
        Verdict::SealBlown {
            short_m: blown_below_m - built.seal_m,
        }
    } else {
        let drop = built.drop_m < wanted.drop_m - SAME_M;
        let seal = built.seal_m < wanted.seal_m - SAME_M;
        let short = match (drop, seal) {
            (false, false) => return Verdict::Holds,
            (true, false) => Short::Drop,
            (false, true) => Short::Seal,
            (true, true) => Short::Both,
        };
        Verdict::Marginal { short }
    }
}

/// Volume of water that fills a trap to its weir \[m³\].
///
/// ```text
/// V = pi D²/4 (2 L_s + pi R_c)        L_s = max(J − (R_c − D/2), 0)
/// ```
///
/// - `bore_m`: inside diameter D \[m\]
/// - `seal_m`: seal depth J \[m\]
/// - `bend_m`: radius of the bend's centre line R_c \[m\]
///
/// **Valid** a U of one bore; a seal less deep than the bend: too large.
/// **Source** geometry.
/// **Checked** `tests/drain.rs`.
pub fn priming_volume_m3(bore_m: f64, seal_m: f64, bend_m: f64) -> f64 {
    let straight_m = (seal_m - (bend_m - 0.5 * bore_m)).max(0.0);
    0.25 * PI * bore_m * bore_m * (2.0 * straight_m + PI * bend_m)
}

/// Speed of room air through a pan outlet without a trap \[m/s\].
///
/// ```text
/// v = sqrt(2 p / rho)
/// ```
///
/// - `pressure_pa`: pan pressure, without sign \[Pa\]
/// - `density_kg_per_m3`: of the air
///
/// **Valid** no losses: an upper bound.
/// **Source** Bernoulli.
/// **Checked** `tests/drain.rs`.
pub fn untrapped_air_m_per_s(pressure_pa: f64, density_kg_per_m3: f64) -> f64 {
    (2.0 * pressure_pa.abs() / density_kg_per_m3).sqrt()
}

/// A trap with all its dimensions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trap {
    /// Where the fan stands to the coil.
    pub cabinet: Cabinet,
    /// Water head of the worst pan pressure, without sign \[m\].
    pub head_m: f64,
    /// What the rule asks for.
    pub rule: Rule,
    /// H and J as drawn: the rule's, and not less seal than the bend gives.
    pub built: Rule,
    /// Inside diameter \[m\].
    pub bore_m: f64,
    /// Outside diameter \[m\].
    pub outside_m: f64,
    /// Radius of the bend's centre line \[m\].
    pub bend_m: f64,
    /// Water that fills it \[m³\].
    pub priming_m3: f64,
}

impl Trap {
    /// The trap for a pan pressure in a pipe.
    pub fn new(cabinet: Cabinet, head_m: f64, bore_m: f64, outside_m: f64) -> Self {
        let rule = rule(cabinet, head_m);
        let bend_m = BEND_PER_DIAMETER * bore_m;
        let built = Rule {
            seal_m: rule.seal_m.max(bend_m - 0.5 * bore_m),
            ..rule
        };
        Self {
            cabinet,
            head_m,
            rule,
            built,
            bore_m,
            outside_m,
            bend_m,
            priming_m3: priming_volume_m3(bore_m, built.seal_m, bend_m),
        }
    }

    /// From the pan outlet's invert to the bottom of the pipe: L = H + J + d
    /// \[m\].
    pub const fn depth_m(&self) -> f64 {
        self.built.drop_m + self.built.seal_m + self.outside_m
    }

    /// Water in the pan's leg while the fan runs, over the weir \[m\];
    /// negative below it.
    pub const fn running_pan_leg_m(&self) -> f64 {
        match self.cabinet {
            Cabinet::DrawThrough => self.head_m,
            Cabinet::BlowThrough => -self.head_m,
        }
    }

    /// From the running level up to the pan outlet's invert \[m\].
    pub const fn freeboard_m(&self) -> f64 {
        self.built.drop_m - self.running_pan_leg_m()
    }

    /// How far the seal falls at a start without new water \[m\].
    pub fn start_fall_m(&self) -> f64 {
        match self.cabinet {
            Cabinet::DrawThrough => start_up_fall_m(self.head_m, Bores::equal(self.bore_m)),
            Cabinet::BlowThrough => self.head_m,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn verdicts_change_at_their_limits() {
        let head = 0.030;
        let short = |short| Verdict::Marginal { short };
        let v = |drop_m, seal_m| verdict(Cabinet::DrawThrough, head, Rule { drop_m, seal_m });
        assert_eq!(v(0.030, 0.05), Verdict::PanHolds { depth_m: 0.0 });
        assert!(
            matches!(v(0.020, 0.05), Verdict::PanHolds { depth_m } if (depth_m - 0.01).abs() < 1e-12)
        );
        assert!(matches!(v(0.0554, 0.015), Verdict::SealBlown { .. }));
        assert_eq!(v(0.0554, 0.0151), short(Short::Seal));
        assert_eq!(v(0.0554, 0.0277), Verdict::Holds);
        assert_eq!(v(0.0500, 0.0277), short(Short::Drop));
        assert_eq!(v(0.0500, 0.0200), short(Short::Both));
        let v = |drop_m, seal_m| verdict(Cabinet::BlowThrough, head, Rule { drop_m, seal_m });
        assert!(matches!(v(0.02, 0.030), Verdict::SealBlown { .. }));
        assert_eq!(v(0.02, 0.031), short(Short::Seal));
        assert_eq!(v(0.02, 0.0427), Verdict::Holds);
        assert_eq!(v(0.01, 0.0427), short(Short::Drop));
    }

    #[test]
    fn the_rule_holds_at_any_pressure() {
        for cabinet in [Cabinet::DrawThrough, Cabinet::BlowThrough] {
            for i in 0..100 {
                let head = 0.002 * f64::from(i);
                let trap = Trap::new(cabinet, head, 0.02096, 0.02667);
                assert_eq!(verdict(cabinet, head, trap.rule), Verdict::Holds);
                assert!(trap.freeboard_m() > 0.0 && trap.start_fall_m() < trap.built.seal_m);
            }
        }
    }

    #[test]
    fn unequal_bores_share_the_fall_by_their_areas() {
        let wide_inlet = Bores {
            inlet_m: 0.04,
            outlet_m: 0.02,
        };
        assert!((start_up_fall_m(0.05, wide_inlet) - 0.04).abs() < 1e-12);
        assert!((start_up_fall_m(0.05, Bores::equal(0.02)) - 0.025).abs() < 1e-12);
    }
}

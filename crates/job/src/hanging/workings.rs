//! How the numbers of this step came about.

use quantity::{Dim, Equation, Input, STANDARD_GRAVITY_M_PER_S2, Source, Value, Working};
use room::Room;

use super::sharing::{Rectangle, rectangle};
use super::strut::{BeamLoad, STRUT, deflection_m};
use super::thread::allowable;
use super::{
    CarriedUnit, Direction, HangingRod, Strut, StrutUse, plan, structure::Overhead,
    structure::overhead,
};

const STATICS: Source = Source::published("statics", "");
const BEAMS: Source = Source::published("beam formulas of structural handbooks", "");
const CHANNEL: Source = Source::memory(
    "strut tables of the MFMA-4 era, 1 5/8 in × 1 5/8 in, 12 gauge",
    "not read",
);
const GRAVITY: Source = Source::published("standard gravity, CGPM 1901", "");

fn given(name: &'static str, symbol: &'static str, si: f64, dim: Dim, source: Source) -> Input {
    Input::given(name, symbol, Value::new(si, dim), source)
}

fn algebra(
    name: String,
    symbol: &'static str,
    equation: &'static str,
    inputs: Vec<Input>,
    result: Value,
    source: Source,
) -> Working {
    Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Algebra(equation.into()),
        inputs,
        result,
        source,
    }
}

fn gravity() -> Input {
    Input::given(
        "gravity",
        "g",
        // Its kind does not matter: it is shown as a plain number.
        Value::new(STANDARD_GRAVITY_M_PER_S2, Dim::Number).digits(6),
        GRAVITY,
    )
}

pub(super) fn of(room: &Room, units: &[CarriedUnit]) -> Vec<Working> {
    let mut out = Vec::new();
    for unit in units {
        of_rods(room, unit, &mut out);
        for strut in &unit.struts {
            of_strut(room, unit, strut, &mut out);
        }
        of_sway(room, unit, &mut out);
        of_level(unit, &mut out);
        of_stand(unit, &mut out);
    }
    out
}

fn record(unit: &CarriedUnit) -> Source {
    Source::measured("machine record", unit.model.clone())
}

fn weight(unit: &CarriedUnit) -> Working {
    algebra(
        format!("weight of {} with the pan full", unit.tag),
        "W",
        "m_wet * g",
        vec![
            given(
                "mass with the pan full",
                "m_wet",
                unit.wet_kg,
                Dim::Mass,
                record(unit),
            ),
            gravity(),
        ],
        Value::new(unit.wet_kg * STANDARD_GRAVITY_M_PER_S2, Dim::Force),
        STATICS,
    )
}

fn worst_rod(unit: &CarriedUnit) -> Option<&HangingRod> {
    unit.rods
        .iter()
        .max_by(|a, b| a.design_n.total_cmp(&b.design_n))
}

fn of_rods(room: &Room, unit: &CarriedUnit, out: &mut Vec<Working>) {
    let Some(rod) = worst_rod(unit) else {
        return;
    };
    let plan: Vec<[f64; 2]> = unit
        .rods
        .iter()
        .map(|r| [r.foot_m[0], r.foot_m[1]])
        .collect();
    let shape = <[[f64; 2]; 4]>::try_from(plan)
        .ok()
        .and_then(|p| rectangle(&p, [unit.gravity_m[0], unit.gravity_m[1]]))
        .filter(|r| r.off_x_m.abs() <= r.half_x_m && r.off_y_m.abs() <= r.half_y_m);
    let (even, worst) =
        shape.map_or_else(|| by_procedure(unit, rod), |r| on_rectangle(unit, rod, &r));
    out.push(even);
    let design = algebra(
        format!("load to design a rod of {} for", unit.tag),
        "F_rod",
        "R_max * f_load",
        vec![
            Input::computed(worst),
            given(
                "load factor",
                "f_load",
                unit.load_factor,
                Dim::Number,
                room.hanging.load_factor.source(),
            ),
        ],
        Value::new(rod.design_n, Dim::Force),
        Source::common_practice("worst load times a factor"),
    );
    out.push(algebra(
        format!("rod of {}: load over what it may carry", unit.tag),
        "u_rod",
        "F_rod / F_allow",
        vec![Input::computed(design), Input::computed(allowable(rod.rod))],
        Value::new(rod.utilisation(), Dim::Fraction),
        STATICS,
    ));
    let strut_side = if unit.struts.iter().any(|s| s.used == StrutUse::Across) {
        STRUT.side_m
    } else {
        0.0
    };
    let isolator_m = rod.hanger.map_or(0.0, |h| h.height_m);
    if isolator_m < rod.clear_m() {
        out.push(algebra(
            format!("rod to cut for {}, each", unit.tag),
            "l_cut",
            "z_under - h_strut - z_foot - h_iso + l_ends",
            vec![
                given(
                    "underside of the structure",
                    "z_under",
                    rod.top_m + strut_side,
                    Dim::Length,
                    room.structure
                        .as_ref()
                        .and_then(|s| s.underside_m.as_ref())
                        .map_or_else(|| room.geometry.height_m.source(), |u| u.source()),
                ),
                given(
                    "channel between",
                    "h_strut",
                    strut_side,
                    Dim::Length,
                    CHANNEL,
                ),
                given(
                    "height of the hanging point",
                    "z_foot",
                    rod.foot_m[2],
                    Dim::Length,
                    record(unit),
                ),
                given(
                    "length of the isolator",
                    "h_iso",
                    isolator_m,
                    Dim::Length,
                    Source::common_practice("box of a hanger for this rod; by its data sheet"),
                ),
                given(
                    "for nuts and fastening at both ends",
                    "l_ends",
                    plan::ENDS_M,
                    Dim::Length,
                    Source::assumed("50 mm at each end, cut flush after levelling"),
                ),
            ],
            Value::new(rod.cut_m, Dim::Length),
            Source::published("geometry", ""),
        ));
    }
}

/// Even share and worst share on a rectangle of rods.
fn on_rectangle(unit: &CarriedUnit, rod: &HangingRod, at: &Rectangle) -> (Working, Working) {
    let (gx, gy) = (unit.gravity_m[0], unit.gravity_m[1]);
    let side = |rod: f64, middle: f64| if middle <= rod { 1.0 } else { -1.0 };
    let sx = side(rod.foot_m[0], gx - at.off_x_m);
    let sy = side(rod.foot_m[1], gy - at.off_y_m);
    let inputs = |ex: f64, ey: f64| {
        vec![
            Input::computed(weight(unit)),
            given(
                "centre of gravity off the middle, along x",
                "e_x",
                ex,
                Dim::Length,
                record(unit),
            ),
            given(
                "centre of gravity off the middle, along y",
                "e_y",
                ey,
                Dim::Length,
                record(unit),
            ),
            given(
                "half the rod spacing along x",
                "a_x",
                at.half_x_m,
                Dim::Length,
                record(unit),
            ),
            given(
                "half the rod spacing along y",
                "a_y",
                at.half_y_m,
                Dim::Length,
                record(unit),
            ),
        ]
    };
    let even = algebra(
        format!("load of {} with all rods alike", rod.tag),
        "R_even",
        "W / 4 * (1 + e_x / a_x + e_y / a_y)",
        inputs(sx * at.off_x_m, sy * at.off_y_m),
        Value::new(rod.even_n, Dim::Force),
        Source::published("statics of a stiff body on four equal springs", ""),
    );
    let worst = algebra(
        format!("largest load of a rod of {} with one rod slack", unit.tag),
        "R_max",
        "W / 2 * (1 + min(e_x / a_x, e_y / a_y))",
        inputs(at.off_x_m.abs(), at.off_y_m.abs()),
        Value::new(rod.worst_n, Dim::Force),
        Source::published("statics of a stiff body on three of four rods", ""),
    );
    (even, worst)
}

/// Even and worst share at any four points.
fn by_procedure(unit: &CarriedUnit, rod: &HangingRod) -> (Working, Working) {
    let solved = |name: String, symbol: &'static str, how: &'static str, si: f64| Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Procedure(how.into()),
        inputs: vec![Input::computed(weight(unit))],
        result: Value::new(si, Dim::Force),
        source: STATICS,
    };
    (
        solved(
            format!("load of {} with all rods alike", rod.tag),
            "R_even",
            "stiff body on four equal springs at the points of the record",
            rod.even_n,
        ),
        solved(
            format!("largest load of a rod of {} with one rod slack", unit.tag),
            "R_max",
            "each three of the four rods by statics, without cases in which one would push; all of the weight where none is left",
            rod.worst_n,
        ),
    )
}

fn of_strut(room: &Room, unit: &CarriedUnit, strut: &Strut, out: &mut Vec<Working>) {
    let span = || given("span", "L", strut.span_m, Dim::Length, STATICS);
    let load = |name: &'static str, symbol: &'static str| {
        given(name, symbol, strut.load_n, Dim::Force, STATICS)
    };
    let (equation, inputs) = match strut.used {
        StrutUse::Trapeze => (
            "W_s * (2 * L - w) / 8",
            vec![
                load("load on the channel, with factor", "W_s"),
                span(),
                given(
                    "length that the cabinet lies on",
                    "w",
                    cabinet_over(unit, strut),
                    Dim::Length,
                    record(unit),
                ),
            ],
        ),
        StrutUse::Across => {
            let apart = apart_m(room, unit, strut);
            let alone = strut.load_n * strut.span_m / 4.0;
            // Two loads in one span, unless one alone is worse.
            if alone < strut.moment_n_m {
                (
                    "P * (L - s / 2)^2 / (2 * L)",
                    vec![
                        load("load of each rod, with factor", "P"),
                        span(),
                        given(
                            "distance of the rods",
                            "s",
                            apart,
                            Dim::Length,
                            record(unit),
                        ),
                    ],
                )
            } else {
                (
                    "P * L / 4",
                    vec![load("load of a rod, with factor", "P"), span()],
                )
            }
        }
    };
    let moment = algebra(
        format!("bending moment in {}", strut.tag),
        "M",
        equation,
        inputs,
        Value::new(strut.moment_n_m, Dim::Moment),
        BEAMS,
    );
    out.push(algebra(
        format!("bending stress in {}", strut.tag),
        "sigma",
        "M / S",
        vec![
            Input::computed(moment),
            Input::given(
                "section modulus of the channel, cubic metres",
                "S",
                Value::new(STRUT.modulus_m3, Dim::Number),
                CHANNEL,
            ),
        ],
        Value::new(strut.stress_pa, Dim::Stress),
        BEAMS,
    ));
    out.push(of_sag(room, unit, strut));
}

/// Deflection of a channel without the load factor.
fn of_sag(room: &Room, unit: &CarriedUnit, strut: &Strut) -> Working {
    let inputs = |last: Option<Input>| {
        let mut inputs = vec![
            given(
                "load without factor",
                "P",
                strut.even_load_n,
                Dim::Force,
                STATICS,
            ),
            given("span", "L", strut.span_m, Dim::Length, STATICS),
            given(
                "Young's modulus of steel",
                "E_s",
                STRUT.youngs_pa,
                Dim::Stress,
                CHANNEL,
            ),
            Input::given(
                "second moment of area of the channel, metres to the fourth",
                "I",
                Value::new(STRUT.inertia_m4, Dim::Number),
                CHANNEL,
            ),
        ];
        inputs.extend(last);
        inputs
    };
    let bent = |name: String, symbol, equation, last, sag_m| {
        algebra(
            name,
            symbol,
            equation,
            inputs(last),
            Value::new(sag_m, Dim::Length),
            BEAMS,
        )
    };
    let name = format!("deflection of {}", strut.tag);
    if strut.used == StrutUse::Trapeze {
        let over = given(
            "length that the cabinet lies on",
            "w",
            cabinet_over(unit, strut),
            Dim::Length,
            record(unit),
        );
        return bent(
            name,
            "d",
            "P * (8 * L^3 - 4 * w^2 * L + w^3) / (384 * E_s * I)",
            Some(over),
            strut.sag_m,
        );
    }
    let each_n = strut.even_load_n;
    let alone_m = deflection_m(strut.span_m, &BeamLoad::Middle { load_n: each_n }, &STRUT);
    let alone = bent(
        format!("{name} under one rod at mid-span"),
        "d_one",
        "P * L^3 / (48 * E_s * I)",
        None,
        alone_m,
    );
    let apart = apart_m(room, unit, strut);
    if strut.span_m <= apart {
        return alone;
    }
    let from_end_m = 0.5 * (strut.span_m - apart);
    let pair_m = deflection_m(
        strut.span_m,
        &BeamLoad::TwoPoints { each_n, from_end_m },
        &STRUT,
    );
    let pair = bent(
        format!("{name} under both rods"),
        "d_two",
        "P * (L - s) / 2 * (3 * L^2 - (L - s)^2) / (24 * E_s * I)",
        Some(given(
            "distance of the rods",
            "s",
            apart,
            Dim::Length,
            record(unit),
        )),
        pair_m,
    );
    algebra(
        name,
        "d",
        "max(d_one, d_two)",
        vec![Input::computed(alone), Input::computed(pair)],
        Value::new(strut.sag_m, Dim::Length),
        BEAMS,
    )
}

/// Length of a trapeze channel that the cabinet lies on \[m\].
fn cabinet_over(unit: &CarriedUnit, strut: &Strut) -> f64 {
    let [a, b] = strut.ends_m;
    let size = unit.cabinet.size_m();
    let width = if (a[0] - b[0]).abs() < (a[1] - b[1]).abs() {
        size[1]
    } else {
        size[0]
    };
    width.min(strut.span_m)
}

/// Distance of the two rods on a channel across the members \[m\].
fn apart_m(room: &Room, unit: &CarriedUnit, strut: &Strut) -> f64 {
    let Overhead::Members(members) = overhead(room) else {
        return 0.0;
    };
    let (u, v) = (members.across, 1 - members.across);
    let mut rods: Vec<&HangingRod> = unit.rods.iter().collect();
    let off = |r: &HangingRod| (r.foot_m[v] - strut.ends_m[0][v]).abs();
    rods.sort_by(|a, b| off(a).total_cmp(&off(b)));
    match rods.as_slice() {
        [a, b, ..] => (a.foot_m[u] - b.foot_m[u]).abs(),
        _ => 0.0,
    }
}

fn of_sway(room: &Room, unit: &CarriedUnit, out: &mut Vec<Working>) {
    let Some(sway) = &unit.sway else {
        return;
    };
    out.push(algebra(
        format!("period of {} on its rods", unit.tag),
        "T",
        "2 * 3.141592653589793 * sqrt(l / g)",
        vec![
            given(
                "free length of the rods",
                "l",
                sway.length_m,
                Dim::Length,
                STATICS,
            ),
            gravity(),
        ],
        Value::new(sway.period_s, Dim::Duration),
        Source::published("mathematical pendulum", ""),
    ));
    if let (Some(force), Some(of)) = (sway.seismic_n, plan::seismic(room, unit)) {
        let table = || Source::memory("ASCE 7-10 table 13.6-1", "not read");
        let number = |name, symbol, x| given(name, symbol, x, Dim::Number, table());
        let acceleration = || {
            given(
                "S_DS of the site",
                "S_DS",
                of.acceleration_g,
                Dim::Number,
                room.hanging
                    .seismic_acceleration_g
                    .as_ref()
                    .map_or_else(table, quantity::Given::source),
            )
        };
        let bounds = || Source::memory("ASCE 7-10, bounds of eq. 13.3-1", "not read");
        let weight_n = of.weight_n;
        let form_n =
            0.4 * of.amplification * of.acceleration_g * weight_n * (1.0 + 2.0 * of.height_share)
                / (of.response / of.importance);
        let form = algebra(
            format!("seismic force on {} by the formula alone", unit.tag),
            "F_form",
            "0.4 * a_p * S_DS * W * (1 + 2 * z_h) / (R_p / I_p)",
            vec![
                acceleration(),
                Input::computed(weight(unit)),
                number("amplification", "a_p", of.amplification),
                number("response", "R_p", of.response),
                number("importance", "I_p", of.importance),
                given(
                    "height in the building",
                    "z_h",
                    of.height_share,
                    Dim::Number,
                    Source::assumed("at the roof: the building's height is not surveyed"),
                ),
            ],
            Value::new(form_n, Dim::Force),
            Source::published("ASCE 7-10, as transcribed", "eq. 13.3-1"),
        );
        let more = algebra(
            format!("seismic force on {}, not below its lower bound", unit.tag),
            "F_more",
            "max(0.3 * S_DS * I_p * W, F_form)",
            vec![
                acceleration(),
                number("importance", "I_p", of.importance),
                Input::computed(weight(unit)),
                Input::computed(form),
            ],
            Value::new(
                form_n.max(0.3 * of.importance * of.acceleration_g * weight_n),
                Dim::Force,
            ),
            bounds(),
        );
        out.push(algebra(
            format!("horizontal seismic force on {}", unit.tag),
            "F_p",
            "min(1.6 * S_DS * I_p * W, F_more)",
            vec![
                acceleration(),
                number("importance", "I_p", of.importance),
                Input::computed(weight(unit)),
                Input::computed(more),
            ],
            Value::new(force, Dim::Force),
            bounds(),
        ));
    }
}

fn of_level(unit: &CarriedUnit, out: &mut Vec<Working>) {
    let Some(level) = &unit.levelling else {
        return;
    };
    let tolerance = tolerance_working(&unit.tag, level, record(unit));
    out.push(algebra(
        format!("turns of the front nuts of {} over that", unit.tag),
        "n",
        "s_max * L_rods / P",
        vec![
            Input::computed(tolerance),
            given(
                "rod spacing back to front",
                "L_rods",
                level.spacing_m[0],
                Dim::Length,
                record(unit),
            ),
            given(
                "pitch of the thread",
                "P",
                level.pitch_m,
                Dim::Length,
                STATICS,
            ),
        ],
        Value::new(
            level.turns(level.tolerance, Direction::BackToFront),
            Dim::Number,
        ),
        Source::published("geometry of a thread", ""),
    ));
}

/// How far a unit may be out of level.
pub(crate) fn tolerance_working(name: &str, level: &super::Levelling, record: Source) -> Working {
    algebra(
        format!("how far {name} may be out of level"),
        "s_max",
        "s_pan / 2",
        vec![given(
            "fall of the pan",
            "s_pan",
            level.pan_fall,
            Dim::Slope,
            record,
        )],
        Value::new(level.tolerance, Dim::Slope),
        Source::assumed("half of the pan's fall is left for it to drain by"),
    )
}

fn of_stand(unit: &CarriedUnit, out: &mut Vec<Working>) {
    let Some(stand) = &unit.stand else {
        return;
    };
    out.push(algebra(
        format!("push at its centre of gravity that tips {}", unit.tag),
        "F_tip",
        "W * d / h",
        vec![
            Input::computed(weight(unit)),
            given(
                "from the centre of gravity to the edge",
                "d",
                stand.to_edge_m,
                Dim::Length,
                record(unit),
            ),
            given(
                "height of the centre of gravity",
                "h",
                unit.gravity_m[2],
                Dim::Length,
                record(unit),
            ),
        ],
        Value::new(stand.push_n, Dim::Force),
        STATICS,
    ));
}

//! Hanging: against printed numbers, numbers computed apart, and what must hold
//! of any unit anywhere.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::Path;

use common::{Sheet, catalog};
use equipment::Catalog;
use exmex::Express;
use job::geometry::Frame;
use job::hanging::{Hanging, Way, hang};
use job::placement::{PlacedBy, PlacedUnit, Placement};
use quantity::{Equation, Working};
use room::{Facing, Mount, Rod, Room};

const POUND_FORCE_N: f64 = 4.448_221_615_260_5;
const INCH_M: f64 = 0.0254;
const PSI_PA: f64 = 6_894.757_293_168;

fn rows(file: &str) -> Vec<csv::StringRecord> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests")
        .join(file);
    let mut reader = csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(path)
        .unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert!(!rows.is_empty());
    rows
}

fn number(row: &csv::StringRecord, i: usize) -> f64 {
    row[i].parse().unwrap()
}

fn rod(word: &str) -> Rod {
    [
        Rod::QuarterInch,
        Rod::ThreeEighthsInch,
        Rod::HalfInch,
        Rod::FiveEighthsInch,
        Rod::M6,
        Rod::M8,
        Rod::M10,
        Rod::M12,
    ]
    .into_iter()
    .find(|r| r.word() == word)
    .unwrap_or_else(|| panic!("no rod {word}"))
}

#[track_caller]
fn near(found: f64, expected: f64, share: f64) {
    assert!(
        (found / expected - 1.0).abs() <= share,
        "{found} instead of {expected}: {:+.3} %",
        100.0 * (found / expected - 1.0)
    );
}

mod published {
    use super::*;
    use job::hanging::lifting::MANUAL_LIMIT_KG;
    use job::hanging::thread::{ROOT_STRESS_PA, allowable_n, root_area_m2, thread};

    /// Root areas and loads as hanger tables print them.
    #[test]
    fn rods_carry_what_the_older_table_says() {
        for row in rows("published/rod_loads.csv") {
            let rod = rod(&row[0]);
            let area_in2 = root_area_m2(&thread(rod)) / INCH_M.powi(2);
            assert!(
                (area_in2 - number(&row, 1)).abs() <= 0.0005,
                "{rod:?} {area_in2}"
            );
            let table_lbf = number(&row, 2);
            near(allowable_n(rod) / POUND_FORCE_N, table_lbf, 1e-12);
            // The table is 9 ksi on the root, its last figure dropped.
            let computed_lbf = ROOT_STRESS_PA * root_area_m2(&thread(rod)) / POUND_FORCE_N;
            assert!(
                (computed_lbf - table_lbf).abs() < 10.0,
                "{rod:?} {computed_lbf}"
            );
        }
    }

    /// NIOSH 94-110: load constant 23 kg (51 lb).
    #[test]
    fn manual_lifts_end_at_the_load_constant() {
        near(MANUAL_LIMIT_KG / 0.453_592_37, 51.0, 0.5 / 51.0);
    }
}

mod cross {
    use super::*;
    use job::hanging::strut::{STRUT, spread_by_deflection_n, spread_by_stress_n};
    use job::hanging::thread::{ROOT_STRESS_PA, root_area_m2, tensile_stress_area_m2, thread};

    #[test]
    fn thread_areas_and_loads_computed_apart() {
        for row in rows("cross/hanging_rods.csv") {
            let thread = thread(rod(&row[0]));
            near(
                1e6 * tensile_stress_area_m2(&thread),
                number(&row, 1),
                0.005,
            );
            near(1e6 * root_area_m2(&thread), number(&row, 2), 0.005);
            near(
                ROOT_STRESS_PA * root_area_m2(&thread),
                number(&row, 3),
                0.005,
            );
        }
    }

    #[test]
    fn span_table_computed_apart() {
        for row in rows("cross/hanging_spans.csv") {
            let span_m = number(&row, 0) * INCH_M;
            let at = |ksi: f64| {
                spread_by_stress_n(span_m, 1000.0 * ksi * PSI_PA, &STRUT) / POUND_FORCE_N
            };
            let sag = spread_by_deflection_n(span_m, &STRUT) / POUND_FORCE_N;
            for (found, i) in [(at(25.0), 1), (at(19.8), 2), (sag, 3)] {
                assert!((found - number(&row, i)).abs() <= 0.51, "{span_m} {found}");
            }
        }
    }
}

/// Numbers that follow from the physics, worked out by hand beside the formulas.
mod derived {
    use super::*;
    use job::hanging::level::nut_turns;
    use job::hanging::lifting::sling_tension_n;
    use job::hanging::sharing::{
        Rectangle, on_equal_springs, springs, two_beams, with_one_slack, worst_on_rectangle,
    };
    use job::hanging::strut::{BeamLoad, SAG_PER_SPAN, STRUT, deflection_m, moment_n_m};
    use job::hanging::sway::pendulum_period_s;
    use job::hanging::thread::{allowable_n, thread};
    use quantity::STANDARD_GRAVITY_M_PER_S2 as G;

    /// 150 kg on one 3/8 in rod by accident: 1471 N, 331 lbf, 0.54 of 610.
    #[test]
    fn one_rod_holds_the_whole_unit() {
        let load_n = 150.0 * G;
        assert!((load_n - 1471.0).abs() < 0.5);
        assert!((load_n / POUND_FORCE_N - 331.0).abs() < 0.5);
        let share = load_n / allowable_n(Rod::ThreeEighthsInch);
        assert!((share - 0.54).abs() < 0.005, "{share}");
    }

    const AT: Rectangle = Rectangle {
        half_x_m: 0.60,
        half_y_m: 0.35,
        off_x_m: 0.06,
        off_y_m: 0.035,
    };

    #[test]
    fn four_rods_share_an_off_centre_weight() {
        let exact = |found: [f64; 4], expected: [f64; 4]| {
            for (a, b) in found.iter().zip(expected) {
                assert!((a - b).abs() < 1e-9, "{found:?}");
            }
        };
        exact(two_beams(150.0, &AT), [45.375, 37.125, 37.125, 30.375]);
        exact(springs(150.0, &AT), [45.0, 37.5, 37.5, 30.0]);
        for (off_x_m, off_y_m, worst) in
            [(0.06, 0.035, 82.5), (0.12, 0.035, 82.5), (0.0, 0.07, 75.0)]
        {
            let at = Rectangle {
                off_x_m,
                off_y_m,
                ..AT
            };
            assert!((worst_on_rectangle(150.0, &at) - worst).abs() < 1e-9);
        }
    }

    /// The formulas of a rectangle against statics at any four points, over a
    /// raster of centres of gravity.
    #[test]
    fn a_rectangle_is_four_points_like_others() {
        let points = [[0.6, 0.35], [0.6, -0.35], [-0.6, 0.35], [-0.6, -0.35]];
        for i in -9..=9 {
            for j in -9..=9 {
                let at = Rectangle {
                    off_x_m: f64::from(i) * 0.06,
                    off_y_m: f64::from(j) * 0.035,
                    ..AT
                };
                let gravity = [at.off_x_m, at.off_y_m];
                let worst = with_one_slack(150.0, &points, gravity).unwrap();
                let largest = worst.into_iter().fold(0.0, f64::max);
                assert!((largest - worst_on_rectangle(150.0, &at)).abs() < 1e-9);
                let even = on_equal_springs(150.0, &points, gravity).unwrap();
                for (a, b) in even.iter().zip(springs(150.0, &at)) {
                    assert!((a - b).abs() < 1e-9);
                }
                assert!((even.iter().sum::<f64>() - 150.0).abs() < 1e-9);
            }
        }
        assert!(with_one_slack(150.0, &points, [0.61, 0.0]).is_none());
        let line = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [3.0, 3.0]];
        assert!(on_equal_springs(150.0, &line, [1.0, 1.0]).is_none());
        assert!(with_one_slack(150.0, &line, [1.0, 1.0]).is_none());
    }

    /// 150 kg on two struts, four points of 82.67 lbf, 48 in, 8 in from the ends.
    #[test]
    fn strut_under_two_loads() {
        let span_m = 48.0 * INCH_M;
        let load = BeamLoad::TwoPoints {
            each_n: 82.67 * POUND_FORCE_N,
            from_end_m: 8.0 * INCH_M,
        };
        let moment = moment_n_m(span_m, &load);
        near(moment / (INCH_M * POUND_FORCE_N), 661.0, 0.01);
        near(moment / STRUT.modulus_m3 / (1000.0 * PSI_PA), 3.27, 0.01);
        near(deflection_m(span_m, &load, &STRUT) / INCH_M, 0.0336, 0.01);
        near(SAG_PER_SPAN * span_m / INCH_M, 0.200, 1e-12);
    }

    /// 75 kg at mid-span of 48 in.
    #[test]
    fn strut_under_one_load() {
        let span_m = 48.0 * INCH_M;
        let load = BeamLoad::Middle { load_n: 75.0 * G };
        let moment = moment_n_m(span_m, &load);
        near(moment / (INCH_M * POUND_FORCE_N), 1984.0, 0.01);
        near(moment / STRUT.modulus_m3 / (1000.0 * PSI_PA), 9.82, 0.01);
        near(deflection_m(span_m, &load, &STRUT) / INCH_M, 0.070, 0.01);
    }

    /// 1/8 in per foot over 40 in: 0.4167 in, 6.67 turns of 3/8-16.
    #[test]
    fn turns_of_the_nut_for_a_fall() {
        let spacing_m = 40.0 * INCH_M;
        let turns = |rod| nut_turns(1.0 / 96.0, spacing_m, thread(rod).pitch_m);
        assert!((1000.0 * spacing_m / 96.0 - 10.58).abs() < 0.005);
        assert!((turns(Rod::ThreeEighthsInch) - 6.67).abs() < 0.005);
        assert!((turns(Rod::HalfInch) - 5.42).abs() < 0.005);
        for (rod, mm) in [
            (Rod::QuarterInch, 1.270),
            (Rod::ThreeEighthsInch, 1.588),
            (Rod::HalfInch, 1.954),
            (Rod::M10, 1.5),
        ] {
            assert!(
                (1000.0 * thread(rod).pitch_m - mm).abs() <= 0.0005 + 1e-9,
                "{rod:?}"
            );
        }
    }

    /// 0.9 m: 1.90 s.
    #[test]
    fn a_hung_unit_is_a_pendulum() {
        assert!((pendulum_period_s(0.9) - 1.90).abs() < 0.005);
        assert_eq!(pendulum_period_s(-1.0), 0.0);
    }

    /// 150 kg, two legs at 60° from the horizontal: 849 N each.
    #[test]
    fn legs_of_a_sling() {
        assert!((sling_tension_n(150.0, 60_f64.to_radians()) - 849.0).abs() < 0.5);
    }
}

const JOISTS: &str =
    "[structure]\nkind = \"wood joist\"\nunderside = \"4.2 m\"\nspacing = \"0.4 m\"\nruns = \"x\"";
const WIDE: &str = "[structure]\nkind = \"steel joist\"\nunderside = \"3.9 m\"\nspacing = \"1.2 m\"\nruns = \"y\"\nfirst = \"0.3 m\"";
const SLAB: &str = "[structure]\nkind = \"concrete\"\n[hanging]\nrod = \"M10\"\nisolators = \"none\"\nseismic_acceleration = \"0.4\"";
const SPRINGS: &str =
    "[structure]\nkind = \"concrete\"\n[hanging]\nrod = \"1/2 in\"\nisolators = \"spring\"";

fn rooms() -> Vec<Room> {
    ["", JOISTS, WIDE, SLAB, SPRINGS]
        .iter()
        .map(|more| Sheet::leafy().and(more).room())
        .collect()
}

/// Every mount in every direction.
fn placement(model: &str) -> Placement {
    let mounts = [Mount::Hung, Mount::Trapeze, Mount::Stand, Mount::Outside];
    let facings = [Facing::PlusX, Facing::MinusX, Facing::PlusY, Facing::MinusY];
    let mut units = Vec::new();
    for (i, mount) in mounts.into_iter().enumerate() {
        for (j, facing) in facings.into_iter().enumerate() {
            units.push(PlacedUnit {
                tag: format!("D{}", 4 * i + j + 1),
                model: model.into(),
                frame: Frame {
                    at_m: [1.3 + 2.3 * i as f64, 1.2 + 1.9 * j as f64, 2.4],
                    facing,
                },
                mount,
                by: PlacedBy::Survey,
                short_circuit: 0.1,
                ducted: job::placement::Ducted::default(),
            });
        }
    }
    Placement {
        units,
        ..Placement::default()
    }
}

/// The catalogue, with one record without points and one with odd ones.
fn odd_catalog() -> Catalog {
    let mut odd = catalog().clone();
    odd.dehumidifiers
        .get_mut("generic-70")
        .unwrap()
        .hanging
        .points_m = None;
    odd.dehumidifiers
        .get_mut("generic-250")
        .unwrap()
        .hanging
        .points_m = Some([
        [0.55, 0.37, 0.38],
        [0.50, -0.30, 0.38],
        [-0.55, 0.37, 0.38],
        [-0.45, -0.37, 0.38],
    ]);
    odd
}

fn all() -> Vec<(Room, Hanging)> {
    let odd = odd_catalog();
    let mut out = Vec::new();
    for room in rooms() {
        for model in ["generic-150", "generic-70", "generic-250"] {
            let hanging = hang(&room, &odd, &placement(model)).unwrap();
            out.push((room.clone(), hanging));
        }
    }
    out
}

fn evaluate(working: &Working, count: &mut usize) {
    assert!(!working.source.cite.is_empty(), "{}", working.name);
    for input in &working.inputs {
        assert!(
            input.from.is_some() || input.source.is_some(),
            "{}: {} comes from nowhere",
            working.name,
            input.name
        );
        if let Some(inner) = &input.from {
            evaluate(inner, count);
        }
    }
    let Equation::Algebra(rhs) = &working.equation else {
        return;
    };
    let expression = exmex::parse::<f64>(rhs).unwrap_or_else(|e| panic!("{rhs}: {e}"));
    let values: Vec<f64> = expression
        .var_names()
        .iter()
        .map(|name| {
            let inputs: Vec<_> = working
                .inputs
                .iter()
                .filter(|i| i.symbol == name.as_str())
                .collect();
            assert_eq!(inputs.len(), 1, "{}: {name} in {rhs}", working.name);
            inputs[0].value.si
        })
        .collect();
    let found = expression.eval(&values).unwrap();
    let expected = working.result.si;
    assert!(
        (found - expected).abs() <= 1e-9 * expected.abs().max(1e-9),
        "{}: {rhs} gives {found}, shown is {expected}",
        working.name
    );
    *count += 1;
}

#[test]
fn every_working_gives_its_result() {
    let mut count = 0;
    for (_, hanging) in all() {
        assert!(!hanging.workings.is_empty());
        for working in &hanging.workings {
            evaluate(working, &mut count);
        }
    }
    assert!(1000 < count, "{count}");
}

#[test]
fn rods_carry_the_unit_and_reach_the_structure() {
    let mut ways = Vec::new();
    for (room, hanging) in all() {
        for unit in &hanging.units {
            ways.push(unit.way);
            let weight_n = unit.wet_kg * quantity::STANDARD_GRAVITY_M_PER_S2;
            match unit.way {
                Way::Outside => {
                    assert!(unit.rods.is_empty() && unit.anchors.is_empty());
                    continue;
                }
                Way::Stand => {
                    let stand = unit.stand.unwrap();
                    let sum: f64 = unit.anchors.iter().map(|a| a.reaction_n).sum();
                    assert!(weight_n * unit.load_factor < sum);
                    assert!((stand.height_m - unit.cabinet.low_m[2]).abs() < 1e-12);
                    continue;
                }
                Way::Rods | Way::RodsFromStrut | Way::Trapeze => {}
            }
            assert_eq!(unit.rods.len(), 4);
            let even: f64 = unit.rods.iter().map(|r| r.even_n).sum();
            assert!((even / weight_n - 1.0).abs() < 1e-9);
            for rod in &unit.rods {
                assert!(rod.even_n <= rod.worst_n + 1e-9);
                assert!(rod.worst_n <= weight_n + 1e-9);
                assert!((rod.design_n - 1.5 * rod.worst_n).abs() < 1e-9);
                assert!(0.0 < rod.clear_m() && rod.clear_m() < room.geometry.height_m.value);
            }
            // Rod 1 is front left, rod 4 back right, whichever way it faces.
            let [one, four] = [&unit.rods[0], &unit.rods[3]];
            let middle = unit.cabinet.middle_m();
            for (i, middle) in middle.iter().take(2).enumerate() {
                let sum = one.foot_m[i] + four.foot_m[i] - 2.0 * middle;
                assert!(sum.abs() < 0.3);
            }
            // A strut spans what it says, or less than a member's distance.
            for strut in &unit.struts {
                assert!(0.0 < strut.stress_pa && 0.0 < strut.sag_m);
            }
            assert!(!unit.anchors.is_empty());
            let pull: f64 = unit.anchors.iter().map(|a| a.reaction_n).sum();
            assert!(weight_n * unit.load_factor <= pull + 1e-9);
        }
        assert!(!hanging.parts.is_empty());
        for finding in &hanging.findings {
            common::says(finding);
        }
        for part in &hanging.parts {
            assert!(0.0 < part.amount.si, "{part:?}");
        }
    }
    for way in [
        Way::Rods,
        Way::RodsFromStrut,
        Way::Trapeze,
        Way::Stand,
        Way::Outside,
    ] {
        assert!(ways.contains(&way), "{way:?}");
    }
}

#[test]
fn the_same_room_gives_the_same_hanging() {
    assert_eq!(all(), all());
}

#[test]
fn more_load_factor_loads_each_rod_more_and_thicker_rods_less() {
    let with = |more: &str| {
        let room = Sheet::leafy().and(more).room();
        let hanging = hang(&room, catalog(), &placement("generic-150")).unwrap();
        hanging.units[0].rods[0].utilisation()
    };
    let base = with("[hanging]\nload_factor = \"1.25\"");
    let more = with("[hanging]\nload_factor = \"2\"");
    near(more / base, 1.6, 1e-9);
    assert!(with("[hanging]\nrod = \"1/2 in\"") < with("[hanging]\nrod = \"3/8 in\""));
    assert!(with("[hanging]\nrod = \"M12\"") < with("[hanging]\nrod = \"M10\""));
}

/// A unit above the structure gives a Stop finding, not a panic.
#[test]
fn a_unit_above_the_structure_is_said() {
    let room = Sheet::leafy()
        .and("[structure]\nkind = \"concrete\"\nunderside = \"2 m\"")
        .room();
    let hanging = hang(&room, catalog(), &placement("generic-150")).unwrap();
    assert!(
        hanging
            .findings
            .iter()
            .any(|f| f.check == "rod_too_short" && f.severity == quantity::Severity::Stop)
    );
}

//! The drain against numbers from outside, and its lines as a whole.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::{Sheet, catalog};
use job::drain::{self, LinePart};
use job::{Drain, UnitSet, placement};
use room::Room;

fn near(found: f64, expected: f64, tolerance: f64) {
    assert!(
        (found / expected - 1.0).abs() <= tolerance,
        "{found} is not {expected} within {tolerance}"
    );
}

const LITRE_PER_H: f64 = 1e-3 / 3600.0;

/// Rows of the pipe table.
fn pipe_rows() -> Vec<Vec<f64>> {
    let text = include_str!("published/condensate_pipe.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader
        .records()
        .map(|r| r.unwrap().iter().map(|x| x.parse().unwrap()).collect())
        .collect()
}

/// Figures printed in codes and standards.
mod published {
    use super::*;
    use job::drain::pipe::{SIZES, TON_W, diameters_m, size_for_tons};
    use room::PipeMaterial;

    /// IPC table 314.2.2 and IMC table 307.2.2: each size to its last ton.
    #[test]
    fn the_codes_table_gives_its_sizes() {
        let rows = pipe_rows();
        assert_eq!(rows.len(), SIZES.len());
        for (i, row) in rows.iter().enumerate() {
            assert_eq!(size_for_tons(row[2] * TON_W), Some(SIZES[i]));
            // kW are printed to a tenth.
            assert!((row[2] * TON_W / 1000.0 - row[3]).abs() < 0.05);
            let next = size_for_tons((row[2] + 0.1) * TON_W);
            assert_eq!(next, SIZES.get(i + 1).copied());
            let (inside_m, _) = diameters_m(PipeMaterial::Pvc, SIZES[i]);
            assert!((1000.0 * inside_m - row[1]).abs() < 0.005);
        }
    }

    /// CRC Handbook: 0.242 cm²/s at 293.15 K and 101.325 kPa.
    #[test]
    fn diffusivity_is_that_of_the_handbook() {
        let d = job::drain::dry_out::vapour_diffusivity_m2_per_s(20.0, 101_325.0);
        assert!((1e4 * d - 0.242).abs() < 0.0005, "{d}");
    }
}

/// Numbers of open-source libraries: CoolProp 8.0.0, fluids 1.3.1.
mod cross {
    use super::*;
    use air::MoistAir;
    use job::drain::dry_out::{
        Open, Over, diffusion_time_s, stefan_kg_per_m_s, swept_kg_per_m2_s,
        vapour_diffusivity_m2_per_s,
    };
    use job::drain::pipe::{half_full_flow_m3_per_s, half_full_speed_m_per_s};
    use job::drain::pump::{friction_factor, friction_head_m, reynolds};
    use job::drain::water::{all_latent_kg_per_s, condensate_kg_per_s};

    /// CHK-1.1, CoolProp: 0.50 m³/s at 24 °C and 60 %, leaving saturated at
    /// 13 °C: 3.93 kg/h ± 1 %; 5.16 kg/h per ton ± 1 %.
    #[test]
    fn chk_1_1_condensate_of_an_air_stream() {
        let inlet = MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0).unwrap();
        let out = MoistAir::saturated(13.0, 101_325.0).unwrap();
        let found = 3600.0 * condensate_kg_per_s(0.50, &inlet, out.humidity_ratio());
        println!(
            "CHK-1.1 {found} kg/h, {:+.2} %",
            100.0 * (found / 3.93 - 1.0)
        );
        near(found, 3.93, 0.01);
        let per_ton = 3600.0 * all_latent_kg_per_s(3516.853, 20.0);
        println!("CHK-1.1 {per_ton} kg/h per ton");
        near(per_ton, 5.16, 0.01);
    }

    /// CHK-1.2, fluids `V_Manning`: half-full speed and flows ± 1 %.
    #[test]
    fn chk_1_2_manning_half_full() {
        for row in pipe_rows() {
            let d = row[1] / 1000.0;
            let flow = |s: f64, n: f64| half_full_flow_m3_per_s(d, s, n) / LITRE_PER_H;
            println!("CHK-1.2 {} in: {:.1} L/h", row[0], flow(1.0 / 96.0, 0.010));
            near(flow(1.0 / 96.0, 0.010), row[5], 0.01);
            near(flow(1.0 / 96.0, 0.013), row[6], 0.01);
            near(flow(1.0 / 48.0, 0.010), row[7], 0.01);
            near(half_full_speed_m_per_s(d, 1.0 / 96.0, 0.010), row[8], 0.01);
            let all_latent = 3600.0 * all_latent_kg_per_s(1000.0 * row[3], 20.0);
            near(all_latent, row[4], 0.01);
        }
    }

    /// CHK-1.3, fluids `friction_factor`: 9.5 mm tube, 8 m, 15 °C ± 5 %.
    #[test]
    fn chk_1_3_friction_of_a_pump_tube() {
        let at = |litre_per_h: f64| litre_per_h * LITRE_PER_H;
        let slow = friction_head_m(at(60.0), 0.0095, 8.0);
        let fast = friction_head_m(at(180.0), 0.0095, 8.0);
        let re = reynolds(at(180.0), 0.0095);
        println!(
            "CHK-1.3 {slow} m, {fast} m, Re {re}, f {}",
            friction_factor(re, 0.0095)
        );
        near(reynolds(at(60.0), 0.0095), 1961.0, 0.05);
        near(re, 5883.0, 0.05);
        near(friction_factor(re, 0.0095), 0.0359, 0.05);
        near(slow, 0.077, 0.05);
        near(fast, 0.767, 0.05);
    }

    /// CHK-2.4, CoolProp: a trap at 24 °C and 50 %, ± 3 %, and its table.
    #[test]
    fn chk_2_4_an_idle_trap_dries_out() {
        let over = |rel_humidity| Over {
            dry_bulb_c: 24.0,
            rel_humidity,
            pressure_pa: 101_325.0,
        };
        near(
            vapour_diffusivity_m2_per_s(24.0, 101_325.0),
            2.488e-5,
            0.005,
        );
        near(air::saturation_pressure_over_water_pa(24.0), 2998.0, 0.01);
        let k = stefan_kg_per_m_s(&over(0.5));
        near(k, 2.78e-7, 0.03);
        let days = |path_m: f64, rh: f64| {
            diffusion_time_s(path_m, 0.038, stefan_kg_per_m_s(&over(rh)), Open::BothLegs) / 86_400.0
        };
        println!("CHK-2.4 K {k}, {} d", days(0.075, 0.5));
        for (path_m, row) in [
            (
                0.075,
                [(0.4, 124.0), (0.5, 148.0), (0.6, 185.0), (0.8, 369.0)],
            ),
            (0.020, [(0.4, 51.0), (0.5, 61.0), (0.6, 77.0), (0.8, 153.0)]),
        ] {
            for (rh, expected) in row {
                near(days(path_m, rh), expected, 0.03);
            }
        }
        // 4.7 mm/d still and 6.8 mm/d at 0.5 m/s, printed to two digits.
        let mm_per_day = |v: f64| 86_400.0 * swept_kg_per_m2_s(&over(0.5), v);
        near(mm_per_day(0.0), 4.7, 0.02);
        near(mm_per_day(0.5), 6.8, 0.02);
    }
}

/// What follows from hydrostatics and geometry by hand.
mod derived {
    use super::*;
    use equipment::Cabinet;
    use job::drain::trap::{Trap, priming_volume_m3, rule, untrapped_air_m_per_s, water_head_m};

    const IN_M: f64 = 0.0254;
    const IN_WG_PA: f64 = 249.089;

    /// CHK-2.1: 1.2 in w.g., 1 in schedule 40. Exact.
    #[test]
    fn chk_2_1_a_draw_through_trap() {
        let head = water_head_m(1.2 * IN_WG_PA);
        let r = rule(Cabinet::DrawThrough, head);
        let inches = |m: f64, expected: f64| {
            println!("CHK-2.1 {} in, {expected} in", m / IN_M);
            assert!(
                (m / IN_M - expected).abs() < 1e-5,
                "{} {expected}",
                m / IN_M
            );
        };
        inches(r.drop_m, 2.2);
        inches(r.seal_m, 1.1);
        // Total depth with d = 1.315 in.
        let trap = Trap::new(Cabinet::DrawThrough, head, 0.02664, 1.315 * IN_M);
        inches(r.drop_m + r.seal_m + 1.315 * IN_M, 4.615);
        assert!(r.seal_m <= trap.built.seal_m + 1e-12);
        inches(trap.start_fall_m(), 0.6);
        assert!(trap.start_fall_m() < r.seal_m);
        inches(trap.freeboard_m(), 1.0);
    }

    /// CHK-2.2: blow-through, 0.8 in w.g.
    #[test]
    fn chk_2_2_a_blow_through_trap() {
        let r = rule(Cabinet::BlowThrough, water_head_m(0.8 * IN_WG_PA));
        assert!((r.seal_m / IN_M - 1.3).abs() < 1e-5 && (r.drop_m / IN_M - 0.5).abs() < 1e-9);
    }

    /// CHK-2.3: 26.64 mm bore, 38.1 mm seal, 38 mm bend: 0.0815 L ± 2 %.
    #[test]
    fn chk_2_3_priming_volume() {
        let litre = 1000.0 * priming_volume_m3(0.02664, 0.0381, 0.038);
        println!("CHK-2.3 {litre} L");
        near(litre, 0.0815, 0.02);
    }

    /// Section 2.1: 14.4 m/s at 0.5 in w.g., 20.4 m/s at 1 in w.g.
    #[test]
    fn air_rushes_through_an_open_outlet() {
        near(untrapped_air_m_per_s(0.5 * IN_WG_PA, 1.2), 14.4, 0.005);
        near(untrapped_air_m_per_s(IN_WG_PA, 1.2), 20.4, 0.005);
    }
}

fn laid(room: &Room, set: &UnitSet) -> Drain {
    let placement = placement::place(room, catalog(), set).unwrap();
    drain::route(room, catalog(), &placement).unwrap()
}

fn unit(i: usize, model: &str, [x, y, z]: [f64; 3], facing: &str) -> String {
    format!(
        "[[unit]]\ntag = \"D{i}\"\nmodel = \"{model}\"\nat = [\"{x} m\", \"{y} m\", \"{z} m\"]\nfacing = \"{facing}\"\n"
    )
}

/// Units here and there, drains of all kinds, all facings.
fn rooms() -> Vec<Room> {
    let models = [
        "generic-150",
        "generic-70",
        "generic-30",
        "generic-250",
        "generic-90-cold",
        "generic-200",
    ];
    let mut rooms = Vec::new();
    for seed in 0..24_usize {
        let mut text = Sheet::leafy();
        for i in 0..=(seed % 4) {
            let x = 1.2 + ((seed * 7 + i * 5) % 16) as f64 * 0.5;
            let y = 1.2 + ((seed * 3 + i * 11) % 12) as f64 * 0.5;
            let facing = ["+x", "-x", "+y", "-y"][(seed + i) % 4];
            let z = if seed % 5 == 4 { 1.0 } else { 3.0 };
            text = text.and(&unit(i + 1, models[(seed + i) % 6], [x, y, z], facing));
        }
        let kind = ["floor drain", "standpipe", "closed"][seed % 3];
        let z = [0.0, 0.6, 3.2][(seed / 3) % 3];
        let x = 0.1 + (seed % 10) as f64;
        let y = 0.1 + (seed % 7) as f64;
        text = text.and(&format!(
            "[[drain]]\nname = \"FD\"\nkind = \"{kind}\"\nat = [\"{x} m\", \"{y} m\", \"{z} m\"]\n"
        ));
        rooms.push(text.room());
    }
    rooms
}

/// Every line falls all the way at the least fall, its water adds up, and each
/// piece starts where the one before ended.
#[test]
fn each_line_falls_to_its_drain() {
    for (seed, room) in rooms().iter().enumerate() {
        let d = laid(room, &UnitSet::EMPTY);
        assert_eq!(d, laid(room, &UnitSet::EMPTY), "the same twice");
        let fall = room.piping.fall.value;
        for u in &d.units {
            let (run, path) = d.path_of(u).unwrap();
            let way = u.way.as_ref().unwrap();
            let segments: Vec<_> = path.iter().map(|i| &run.segments[*i]).collect();
            let start = run.nodes[segments[0].from].at_m;
            let lifted = way.pump.map_or(u.trap_end_m[2], |p| p.to_m);
            assert!((start[2] - lifted).abs() < 1e-9, "{seed}");
            assert_eq!(
                way.pump.is_some(),
                way.available_m < way.needed_m,
                "{seed} {}",
                u.tag
            );
            let mut plan = 0.0;
            for pair in segments.windows(2) {
                assert_eq!(pair[0].to, pair[1].from, "{seed}");
                assert!(pair[0].inside_m <= pair[1].inside_m + 1e-9);
                assert!(pair[0].demand.flow_kg_per_s <= pair[1].demand.flow_kg_per_s + 1e-12);
            }
            for s in &segments {
                assert!(s.drop_m >= -1e-9, "{seed}: {s:?}");
                assert!(s.carries.contains(&u.tag));
                if let Some(slope) = s.slope() {
                    assert!(slope >= fall - 1e-6, "{seed}: {slope} {s:?}");
                }
                if s.part != LinePart::Drop {
                    plan += s.length_m;
                }
            }
            assert!(
                (plan - way.length_m).abs() < 2e-3,
                "{seed}: {plan} {}",
                way.length_m
            );
            let end = run.nodes[segments.last().unwrap().to].at_m;
            let gap = run.air_gap_m.unwrap_or(0.0);
            assert!((end[2] - run.rim_m[2] - gap).abs() < 1e-9);
        }
        for run in &d.runs {
            let mut last = run.segments.iter().filter(|s| s.next.is_none());
            assert_eq!(last.clone().count(), 1, "{seed}");
            let mut carried = last.next_back().unwrap().carries.clone();
            let mut units = run.units.clone();
            carried.sort();
            units.sort();
            assert_eq!(carried, units);
        }
        assert!(
            d.parts
                .iter()
                .all(|p| p.amount.si > 0.0 && p.amount.si.is_finite())
        );
    }
}

/// Posts, ducts and pipes stand off the walls and apart: there is a way round.
/// No line passes through one of them, each falls, and it is the same twice.
#[test]
fn lines_bend_round_what_stands_in_their_way() {
    let mut bent = 0;
    for seed in 0..40_usize {
        let draw = |k: usize, n: usize| (seed * 7919 + k * 104_729 + seed * seed * 31) % n;
        let mut text = Sheet::leafy();
        for i in 0..=(seed % 3) {
            let x = 1.5 + 3.0 * i as f64;
            let y = [1.5, 4.0, 6.4][draw(i, 3)];
            let facing = ["+x", "-x", "+y", "-y"][draw(i + 3, 4)];
            text = text.and(&unit(i + 1, "generic-30", [x, y, 3.2], facing));
        }
        for k in 0..3 {
            // Between the units, off their traps.
            let x = [2.9, 5.9, 8.9][k] + 0.05 * draw(k + 11, 5) as f64;
            let y = 0.9 + 0.3 * draw(k + 17, 22) as f64;
            let (length, width) = (
                0.2 + 0.1 * draw(k + 23, 4) as f64,
                0.4 + 0.1 * draw(k, 9) as f64,
            );
            text = text.and(&format!(
                "[[obstacle]]\nname = \"P{k}\"\nat = [\"{x} m\", \"{y} m\", \"2 m\"]\nlength = \"{length} m\"\nwidth = \"{width} m\"\nheight = \"4 m\"\n"
            ));
        }
        // On a wall, as high as the lines: they pass before it or under it.
        let x = 2.0 + draw(5, 6) as f64;
        for (name, y) in [("near", 0.15), ("far", 7.85)] {
            text = text.and(&format!(
                "[[obstacle]]\nname = \"{name}\"\nkind = \"duct\"\nat = [\"{x} m\", \"{y} m\", \"2.6 m\"]\nlength = \"0.4 m\"\nwidth = \"0.3 m\"\nheight = \"2.8 m\"\n"
            ));
        }
        text = text.and("[[drain]]\nname = \"FD\"\nat = [\"9.7 m\", \"4 m\", \"0 m\"]\n");
        let room = text.room();
        let d = laid(&room, &UnitSet::EMPTY);
        assert_eq!(d, laid(&room, &UnitSet::EMPTY), "the same twice");
        let fall = room.piping.fall.value;
        for run in &d.runs {
            for s in &run.segments {
                let (a, b) = (run.nodes[s.from].at_m, run.nodes[s.to].at_m);
                for o in d
                    .things
                    .iter()
                    .filter(|t| matches!(t.kind, placement::ThingKind::Obstacle(_)))
                {
                    let meets = (0..3).all(|i| {
                        o.cuboid.low_m[i] + 1e-6 < a[i].max(b[i])
                            && a[i].min(b[i]) + 1e-6 < o.cuboid.high_m[i]
                    });
                    assert!(!meets, "{seed}: {} at {a:?} {b:?}", o.name);
                }
                if let Some(slope) = s.slope() {
                    assert!(slope >= fall - 1e-6, "{seed}: {slope} {s:?}");
                }
                assert!(s.drop_m >= -1e-9, "{seed}: {s:?}");
                // Along the room's axes, or upright.
                let moved = (0..2).filter(|i| (a[*i] - b[*i]).abs() > 1e-6).count();
                assert!(moved <= 1, "{seed}: {a:?} {b:?}");
            }
            bent += usize::from(8 < run.segments.len());
        }
        assert!(
            !d.findings
                .iter()
                .any(|f| f.check.starts_with("crosses_") && f.place.0.starts_with(['P', 'n', 'f'])),
            "{seed}: {:#?}",
            d.findings
        );
        for u in &d.units {
            let (run, path) = d.path_of(u).unwrap();
            let way = u.way.as_ref().unwrap();
            assert_eq!(way.pump.is_some(), way.available_m < way.needed_m, "{seed}");
            let plan: f64 = path
                .iter()
                .map(|i| &run.segments[*i])
                .filter(|s| s.part != LinePart::Drop)
                .map(|s| s.length_m)
                .sum();
            assert!(
                (plan - way.length_m).abs() < 2e-3,
                "{seed}: {plan} {}",
                way.length_m
            );
            for pair in path.windows(2) {
                assert_eq!(
                    run.segments[pair[0]].to, run.segments[pair[1]].from,
                    "{seed}"
                );
            }
            let last = &run.segments[*path.last().unwrap()];
            let end = run.nodes[last.to].at_m;
            assert!((end[2] - run.rim_m[2] - run.air_gap_m.unwrap_or(0.0)).abs() < 1e-9);
            assert!((end[0] - run.rim_m[0]).hypot(end[1] - run.rim_m[1]) < 1e-6);
        }
        for run in &d.runs {
            let carried = run.segments.iter().filter(|s| s.next.is_none());
            assert_eq!(
                carried.map(|s| s.carries.len()).sum::<usize>(),
                run.units.len()
            );
        }
    }
    assert!(5 < bent, "{bent} bent lines");
}

/// The trap that the room file tells of is at the line's end.
#[test]
fn a_trap_at_the_drain_is_taken_from_the_room_file() {
    let with = |key: &str| {
        let drain = format!("[[drain]]\nname = \"FD\"\nat = [\"9.5 m\", \"4 m\", \"0 m\"]\n{key}");
        let room = Sheet::leafy()
            .and(&unit(1, "generic-150", [3.0, 4.0, 3.0], "+x"))
            .and(&drain)
            .room();
        laid(&room, &UnitSet::EMPTY)
    };
    let has = |d: &Drain| d.findings.iter().any(|f| f.check == "long_indirect_waste");
    let (none, fitted) = (with(""), with("end_trap = \"fitted\"\n"));
    assert_eq!(none.runs[0].end_trap, drain::EndTrap::None);
    assert_eq!(fitted.runs[0].end_trap, drain::EndTrap::Fitted);
    assert!(has(&none) && !has(&fitted));
}

/// Every algebraic working gives its result.
#[test]
fn workings_give_their_results() {
    use exmex::Express;
    use quantity::{Equation, Working};
    fn evaluate(w: &Working, done: &mut usize) {
        for inner in w.inputs.iter().filter_map(|i| i.from.as_deref()) {
            evaluate(inner, done);
        }
        let Equation::Algebra(rhs) = &w.equation else {
            return;
        };
        let expression = exmex::parse::<f64>(rhs).unwrap();
        let values: Vec<f64> = expression
            .var_names()
            .iter()
            .map(|name| {
                w.inputs
                    .iter()
                    .find(|i| i.symbol == name.as_str())
                    .unwrap()
                    .value
                    .si
            })
            .collect();
        let found = expression.eval(&values).unwrap();
        let expected = w.result.si;
        assert!(
            (found - expected).abs() <= 1e-9 * expected.abs().max(1e-12),
            "{}: {rhs}: {found} {expected}",
            w.name
        );
        *done += 1;
    }
    let mut done = 0;
    for room in rooms() {
        for w in &laid(&room, &UnitSet::EMPTY).workings {
            evaluate(w, &mut done);
        }
    }
    assert!(200 < done, "{done}");
}

/// A pump's unit: its head is its lift and its losses, its flow twice the peak.
#[test]
fn a_low_unit_is_lifted_to_where_its_water_falls() {
    let room = Sheet::leafy()
        .and(&unit(1, "generic-150", [2.0, 2.0, 0.8], "+x"))
        .and("[[drain]]\nname = \"S\"\nkind = \"sink\"\nat = [\"9.9 m\", \"4 m\", \"0.9 m\"]\n")
        .room();
    let d = laid(&room, &UnitSet::EMPTY);
    let pump = d.units[0].way.as_ref().unwrap().pump.unwrap();
    let peak = d.units[0].water.peak_kg_per_s / 999.1;
    assert!((pump.flow_m3_per_s / peak - 2.0).abs() < 1e-9);
    assert!(0.9 < pump.to_m && pump.lift_m() < pump.head_m());
    assert!(
        d.parts
            .iter()
            .any(|p| p.what.show(quantity::UnitSystem::Metric).contains("pump"))
    );
    assert!(d.findings.iter().any(|f| f.check == "drain_above_pan"));
}

/// No drain: nothing is laid, and it is said.
#[test]
fn without_a_drain_nothing_is_laid() {
    let room = Sheet::leafy()
        .and(&unit(1, "generic-150", [2.0, 2.0, 3.0], "+x"))
        .room();
    let d = laid(&room, &UnitSet::EMPTY);
    assert!(d.runs.is_empty() && d.units[0].way.is_none() && d.units[0].trap.is_some());
    assert_eq!(d.findings[0].check, "no_drain_point");
}

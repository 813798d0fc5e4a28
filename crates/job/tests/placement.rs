//! Placement: jets, sinks and ducts against figures of others, units in rooms.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::path::{Path, PathBuf};
use std::time::Instant;

use common::{catalog, read};
use exmex::Express;
use job::UnitSet;
use job::placement::ducts::{
    DuctFlow, Sweating, elbow, equivalent_diameter_m, flexible_factor, friction_factor,
    friction_pa_per_m, haaland, insulation_m2_k_per_w,
};
use job::placement::jets::{
    Opening, centreline_m_per_s, diameter_m, entrained, plane_entrained, plane_jet,
    round_entrained, round_jet, temperature_share, throw_m, width_m,
};
use job::placement::sink::{Breathed, Flange, Inlet, breathed_again, suction_m_per_s};
use job::placement::{PlacedBy, Placement, inside, place, suggest, things};
use quantity::{Equation, Severity, Working};
use room::{Mount, Room};

fn within(found: f64, expected: f64, share: f64) {
    assert!(
        (found - expected).abs() <= share * expected.abs(),
        "{found} is not {expected} within {share}"
    );
}

mod published {
    //! Elbows of the ASHRAE fitting tables.

    use super::*;

    #[test]
    fn elbows_are_those_of_the_table() {
        let text = include_str!("published/placement_duct.csv");
        let mut rows = csv::ReaderBuilder::new()
            .comment(Some(b'#'))
            .from_reader(text.as_bytes());
        let mut count = 0;
        for row in rows.records() {
            let row = row.unwrap();
            let n = |i: usize| row[i].parse::<f64>().unwrap();
            assert!((elbow(n(0)) - n(1)).abs() <= n(2));
            count += 1;
        }
        assert_eq!(count, 3);
    }

    /// 0.40 × 0.25 m: 0.343 m, from the formula that a design handbook gives
    /// after ASHRAE.
    #[test]
    fn rectangular_ducts_have_their_round_equal() {
        within(equivalent_diameter_m(0.40, 0.25), 0.343, 0.002);
    }
}

mod cross {
    //! fluids 1.3.1 (Python), `friction.Colebrook`.

    use super::*;

    fn flow(diameter_m: f64, roughness_m: f64) -> DuctFlow {
        DuctFlow {
            air_flow_m3_per_s: 0.35,
            diameter_m,
            roughness_m,
            density_kg_per_m3: 1.19,
            viscosity_pa_s: 1.83e-5,
        }
    }

    #[test]
    fn friction_is_that_of_colebrook() {
        let galvanised = flow(0.305, 9e-5);
        within(galvanised.speed_m_per_s(), 4.790, 0.005);
        within(galvanised.reynolds(), 95_011.0, 0.005);
        let relative = 9e-5 / 0.305;
        within(
            friction_factor(galvanised.reynolds(), relative),
            0.01960,
            0.005,
        );
        within(haaland(galvanised.reynolds(), relative), 0.01933, 0.005);
        within(friction_pa_per_m(&galvanised), 0.878, 0.005);
        let flexible = flow(0.305, 9e-4);
        within(
            friction_factor(flexible.reynolds(), 9e-4 / 0.305),
            0.02743,
            0.005,
        );
        within(friction_pa_per_m(&flexible), 1.228, 0.005);
        within(friction_pa_per_m(&flow(0.254, 9e-5)), 2.162, 0.005);
    }
}

mod derived {
    //! Numbers worked out elsewhere from the same formulas, which are recalled
    //! (ASHRAE jets, Rajaratnam, duct compression) or quoted (DallaValle).

    use super::*;

    const JET: Opening = Opening {
        speed_m_per_s: 5.0,
        area_m2: 0.09,
        decay_k: 5.0,
    };

    #[test]
    fn a_jet_slows_spreads_and_mixes() {
        within(diameter_m(&JET), 0.3385, 0.001);
        within(centreline_m_per_s(&JET, 5.0), 1.695, 0.01);
        within(entrained(&JET, 5.0), 5.90, 0.01);
        let fast = Opening {
            decay_k: 6.2,
            ..JET
        };
        within(centreline_m_per_s(&fast, 5.0), 2.10, 0.01);
        within(entrained(&fast, 5.0), 4.76, 0.01);
        let diameters = 5.0 / diameter_m(&JET);
        within(5.0 * round_jet(diameters), 2.13, 0.01);
        within(round_entrained(diameters), 4.73, 0.01);
        within(throw_m(&JET, 0.5), 16.95, 0.01);
        within(throw_m(&JET, 0.25), 33.9, 0.01);
        within(10.0 * temperature_share(0.4265), 3.4, 0.01);
        within(width_m(&JET, 5.0), 2.28, 0.01);
    }

    #[test]
    fn a_plane_jet_slows_less() {
        let half_heights = 3.0 / 0.05;
        within(5.0 * plane_jet(half_heights), 2.26, 0.01);
        within(plane_entrained(half_heights), 4.80, 0.01);
    }

    #[test]
    fn suction_dies_within_a_metre() {
        let inlet = Inlet {
            air_flow_m3_per_s: 0.5,
            area_m2: 0.16,
            flange: Flange::None,
        };
        within(suction_m_per_s(&inlet, 0.0), 3.1, 0.01);
        within(suction_m_per_s(&inlet, 0.25), 0.637, 0.01);
        within(suction_m_per_s(&inlet, 0.5), 0.188, 0.01);
        within(suction_m_per_s(&inlet, 1.0), 0.049, 0.01);
        let flanged = Inlet {
            flange: Flange::Wide,
            ..inlet
        };
        within(
            suction_m_per_s(&flanged, 0.5) / suction_m_per_s(&inlet, 0.5),
            1.33,
            1e-9,
        );
    }

    #[test]
    fn mixing_tells_what_is_breathed_again() {
        let air = |outlet: f64| Breathed {
            room: 24.0,
            inlet: 26.0,
            outlet,
        };
        within(breathed_again(&air(34.0)).unwrap(), 0.20, 1e-9);
        assert_eq!(breathed_again(&air(24.0)), None);
    }

    #[test]
    fn loose_flexible_duct_takes_more() {
        within(flexible_factor(0.04, 0.152), 2.09, 0.01);
        within(flexible_factor(0.15, 0.152), 5.09, 0.01);
        within(flexible_factor(0.15, 0.254), 3.47, 0.01);
    }

    #[test]
    fn insulation_keeps_a_duct_dry() {
        let duct = |duct_c: f64| Sweating {
            ambient_c: 24.0,
            dew_point_c: 15.77,
            duct_c,
        };
        within(insulation_m2_k_per_w(&duct(13.0)), 0.0403, 0.01);
        within(insulation_m2_k_per_w(&duct(8.0)), 0.113, 0.01);
        assert_eq!(insulation_m2_k_per_w(&duct(18.0)), 0.0);
    }
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

fn case(path: &str) -> Room {
    let path = root().join("cases").join(path);
    let site = std::fs::read_to_string(path.with_file_name("site.toml")).ok();
    let site = site.as_deref().map(|s| ("site.toml", s));
    let text = std::fs::read_to_string(&path).unwrap();
    Room::read(site, ("case", &text)).unwrap_or_else(|p| panic!("{p}"))
}

const CASES: [(&str, &str, u32); 8] = [
    ("demo/flower-2.room.toml", "generic-150", 4),
    ("demo/drying-1.room.toml", "generic-70", 2),
    ("demo/veg-1.room.toml", "generic-150", 1),
    ("drying-room/drying-room.room.toml", "generic-70", 2),
    ("flower-altitude/flower-altitude.room.toml", "generic-70", 3),
    ("leafy-farm/leafy-farm.room.toml", "generic-150", 4),
    ("propagation/propagation.room.toml", "generic-70", 1),
    ("vine-room/vine-room.room.toml", "generic-150", 3),
];

fn whole(room: &Room, placement: &Placement) {
    let hall = inside(room);
    let catalog = catalog();
    let cabinets: Vec<_> = placement
        .units
        .iter()
        .filter(|u| u.mount != Mount::Outside)
        .map(|u| u.frame.cabinet(&u.record(catalog).unwrap().body))
        .collect();
    for (i, cabinet) in cabinets.iter().enumerate() {
        assert!(hall.holds(cabinet));
        assert!(cabinets.iter().skip(i + 1).all(|c| !c.overlaps(cabinet)));
        assert!(things(room).iter().all(|t| !t.cuboid.overlaps(cabinet)));
    }
}

/// Every room in `cases/` gets places without a Stop finding, or is told why.
#[test]
fn every_case_gets_places_or_a_reason() {
    for (path, model, count) in CASES {
        let room = case(path);
        let set = UnitSet::of(model, count);
        let found = suggest(&room, catalog(), &set, 7).unwrap();
        assert_eq!(found, suggest(&room, catalog(), &set, 7).unwrap(), "{path}");
        assert!(
            !found.best.is_empty() || !found.none_because.is_empty(),
            "{path}"
        );
        assert!(!found.best.is_empty(), "{path}: {:?}", found.none_because);
        for one in &found.best {
            assert_eq!(one.score.stops, 0, "{path}");
            assert_eq!(one.units.len() as u32, count.max(room.units.len() as u32));
            assert!((0.0..=0.9 * f64::from(count)).contains(&one.score.short_circuit));
        }
        let totals: Vec<f64> = found.best.iter().map(|s| s.score.total()).collect();
        assert!(totals.is_sorted(), "{path}: {totals:?}");
        let placed = place(&room, catalog(), &set).unwrap();
        whole(&room, &placed);
        assert!(
            placed.findings.iter().all(|f| f.severity != Severity::Stop),
            "{path}: {:#?}",
            placed.findings
        );
        assert!(
            placed
                .units
                .iter()
                .all(|u| (0.0..=0.9).contains(&u.short_circuit))
        );
    }
}

/// Rooms of many sizes: nothing overlaps and nothing stands outside, or a
/// finding says that no place was found.
#[test]
fn rooms_of_all_sizes_hold_their_units_or_say_why() {
    let (mut placed_some, mut refused_some) = (0, 0);
    for (l, w, h) in [
        (3.0, 2.5, 2.4),
        (1.2, 1.0, 2.4),
        (4.0, 3.0, 2.6),
        (6.0, 3.5, 3.0),
        (8.0, 8.0, 3.2),
        (14.0, 5.0, 4.0),
        (25.0, 18.0, 5.5),
    ] {
        for (model, count) in [("generic-30", 2), ("generic-150", 3), ("generic-200", 2)] {
            let text = format!(
                "[room]\nname = \"R\"\nlength = \"{l} m\"\nwidth = \"{w} m\"\nheight = \"{h} m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n[hanging]\nmount = \"{}\"\n",
                if model == "generic-200" {
                    "stand"
                } else {
                    "hung"
                }
            );
            let room = read(&text);
            let placed = place(&room, catalog(), &UnitSet::of(model, count)).unwrap();
            assert_eq!(placed.units.len() as u32, count);
            let none = placed.findings.iter().any(|f| f.check == "no_place_found");
            if none {
                refused_some += 1;
            } else {
                whole(&room, &placed);
                placed_some += 1;
            }
        }
    }
    assert!(
        0 < placed_some && 0 < refused_some,
        "{placed_some} {refused_some}"
    );
}

#[test]
fn a_unit_higher_than_the_room_is_said_so() {
    let room = read(
        "[room]\nname = \"R\"\nlength = \"6 m\"\nwidth = \"6 m\"\nheight = \"1.5 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n",
    );
    let placed = place(&room, catalog(), &UnitSet::of("generic-200", 1)).unwrap();
    for check in ["higher_than_room", "no_place_found"] {
        assert!(
            placed
                .findings
                .iter()
                .any(|f| f.check == check && f.severity == Severity::Stop),
            "{check}"
        );
    }
}

#[test]
fn a_surveyed_place_stays_where_only_the_direction_is_searched() {
    let text = |keys: &str| {
        format!(
            "[room]\nname = \"R\"\nlength = \"10 m\"\nwidth = \"8 m\"\nheight = \"4 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\n{keys}"
        )
    };
    let placed = |keys: &str| place(&read(&text(keys)), catalog(), &UnitSet::EMPTY).unwrap();
    let at = placed("at = [\"3.017 m\", \"1.2 m\", \"3.3 m\"]\n");
    assert_eq!(at.units[0].frame.at_m, [3.017, 1.2, 3.3]);
    assert_eq!(at.units[0].by, PlacedBy::FacingSearched);
    let facing = placed("facing = \"-y\"\n");
    assert_eq!(facing.units[0].frame.facing, room::Facing::MinusY);
    assert_eq!(facing.units[0].by, PlacedBy::Search);
    for found in [&at, &facing] {
        assert!(found.findings.iter().all(|f| f.severity != Severity::Stop));
        assert_eq!(
            found
                .findings
                .iter()
                .filter(|f| f.check == "position_not_surveyed")
                .count(),
            1
        );
    }
}

/// Proposed places are whole steps of a tape, and the clearances that they are
/// judged by are those of the rounded place.
#[test]
fn proposed_places_can_be_measured_out() {
    for (display, step_m) in [("metric", 0.05), ("us", 0.0254)] {
        let site = format!("[site]\ndisplay = \"{display}\"\n");
        let room = "[room]\nname = \"R\"\nlength = \"9.87 m\"\nwidth = \"7.53 m\"\nheight = \"3.91 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n";
        let room = Room::read(Some(("site.toml", &site)), ("room.toml", room)).unwrap();
        let found = suggest(&room, catalog(), &UnitSet::of("generic-150", 2), 1).unwrap();
        assert!(!found.best.is_empty());
        for unit in found.best.iter().flat_map(|s| &s.units) {
            for m in unit.frame.at_m {
                let steps = m / step_m;
                assert!((steps - steps.round()).abs() < 1e-4, "{display}: {m}");
            }
        }
        let placed = place(&room, catalog(), &UnitSet::of("generic-150", 2)).unwrap();
        assert!(placed.findings.iter().all(|f| f.severity != Severity::Stop));
    }
}

#[test]
fn surveyed_units_stay_and_tags_stay_apart() {
    let room = read(
        "[room]\nname = \"R\"\nlength = \"10 m\"\nwidth = \"8 m\"\nheight = \"4 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n[[unit]]\ntag = \"D2\"\nmodel = \"generic-150\"\nat = [\"3 m\", \"4 m\", \"3.3 m\"]\nfacing = \"+y\"\n",
    );
    let placed = place(&room, catalog(), &UnitSet::of("generic-150", 3)).unwrap();
    assert_eq!(placed.units.len(), 3);
    assert_eq!(placed.units[0].tag, "D2");
    assert_eq!(placed.units[0].by, PlacedBy::Survey);
    assert_eq!(placed.units[0].frame.at_m, [3.0, 4.0, 3.3]);
    let mut tags: Vec<&str> = placed.units.iter().map(|u| u.tag.as_str()).collect();
    tags.sort_unstable();
    tags.dedup();
    assert_eq!(tags.len(), 3);
    let noted = placed
        .findings
        .iter()
        .filter(|f| f.check == "position_not_surveyed");
    assert_eq!(noted.count(), 2);
}

/// Four units, without optimisation of this crate's own tests: half a second.
#[test]
fn places_are_found_quickly() {
    let room = case("demo/flower-2.room.toml");
    let set = UnitSet::of("generic-150", 4);
    let start = Instant::now();
    place(&room, catalog(), &set).unwrap();
    let took = start.elapsed();
    // Wide, since other tests run beside it.
    assert!(took.as_secs_f64() < 2.0, "{took:?}");
    println!("four units placed in {took:?}");
}

/// An outlet duct: less air, more pressure, both in balance with the fan.
#[test]
fn a_duct_costs_air() {
    let text = |duct: &str| {
        format!(
            "[room]\nname = \"R\"\nlength = \"10 m\"\nwidth = \"8 m\"\nheight = \"4 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\nat = [\"3 m\", \"4 m\", \"3.3 m\"]\nfacing = \"+x\"\n{duct}"
        )
    };
    let placed = |duct: &str| place(&read(&text(duct)), catalog(), &UnitSet::EMPTY).unwrap();
    let free = &placed("").units[0];
    assert_eq!(free.ducted.external_static_pa(), 0.0);
    // 824 cfm.
    within(free.ducted.air_flow_m3_per_s, 0.38889, 1e-3);
    let ducted = placed(
        "[[duct]]\nunit = \"D1\"\nside = \"inlet\"\nlength = \"4 m\"\ndiameter = \"0.3 m\"\nwall = \"flexible\"\nelbows = 1\n",
    );
    let unit = &ducted.units[0];
    assert!(unit.ducted.air_flow_m3_per_s < free.ducted.air_flow_m3_per_s);
    assert!(unit.ducted.external_static_pa() > 5.0);
    assert_eq!(unit.ducted.inlet_pa, unit.ducted.external_static_pa());
    let fan = &unit.record(catalog()).unwrap().fan;
    let again = fan.airflow_m3_per_s(
        equipment::FilterState::Clean,
        unit.ducted.external_static_pa(),
    );
    within(again, unit.ducted.air_flow_m3_per_s, 1e-6);
}

fn evaluate(working: &Working, evaluated: &mut usize) {
    for input in &working.inputs {
        if let Some(from) = &input.from {
            evaluate(from, evaluated);
            assert_eq!(from.result.si, input.value.si);
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
            let mut inputs = working.inputs.iter();
            inputs
                .find(|i| i.symbol == name.as_str())
                .unwrap_or_else(|| panic!("{rhs}: no {name}"))
                .value
                .si
        })
        .collect();
    within(expression.eval(&values).unwrap(), working.result.si, 1e-6);
    *evaluated += 1;
}

#[test]
fn every_working_gives_its_result() {
    let mut evaluated = 0;
    for (path, model, count) in CASES {
        let room = case(path);
        let placed = place(&room, catalog(), &UnitSet::of(model, count)).unwrap();
        assert_eq!(
            placed.workings.iter().filter(|w| w.symbol == "f").count(),
            placed.units.len(),
            "{path}"
        );
        for working in &placed.workings {
            evaluate(working, &mut evaluated);
        }
    }
    // Two units in line, so that one breathes the other's air; one with a duct.
    let room = read(
        "[room]\nname = \"R\"\nlength = \"12 m\"\nwidth = \"8 m\"\nheight = \"4 m\"\n[target.lights_on]\ndry_bulb = \"24 °C\"\n[[unit]]\ntag = \"D1\"\nmodel = \"generic-150\"\nat = [\"2 m\", \"4 m\", \"3.3 m\"]\nfacing = \"+x\"\n[[unit]]\ntag = \"D2\"\nmodel = \"generic-150\"\nat = [\"7 m\", \"4 m\", \"3.3 m\"]\nfacing = \"+x\"\n[[duct]]\nunit = \"D1\"\nside = \"inlet\"\nlength = \"2 m\"\ndiameter = \"0.3 m\"\n",
    );
    let placed = place(&room, catalog(), &UnitSet::EMPTY).unwrap();
    assert!(placed.units[1].short_circuit > 0.2);
    let before = evaluated;
    for working in &placed.workings {
        evaluate(working, &mut evaluated);
    }
    assert_eq!(evaluated - before, 6);
}

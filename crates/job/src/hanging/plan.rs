//! One unit: from its record and place to what carries it.

use equipment::Model;
use quantity::STANDARD_GRAVITY_M_PER_S2;
use room::{Mount, Room};

use super::sharing::{on_equal_springs, with_one_slack};
use super::structure::{MEETS_M, Members, Overhead, overhead, underside_m};
use super::strut::{
    BeamLoad, SAG_PER_SPAN, STRUT, deflection_m, moment_n_m, moving_pair_moment_n_m,
};
use super::sway::{Seismic, pendulum_period_s, seismic_force_n};
use super::thread::{allowable_n, thread};
use super::{
    Anchor, BESIDE_M, Balance, CarriedUnit, HangingRod, Levelling, PointsFrom, Stand, Strut,
    StrutUse, Sway, Way, isolator, level, stand,
};
use crate::geometry::{Cuboid, Point};
use crate::placement::PlacedUnit;

/// Rod beyond its clear length, for nuts and fastening at both ends \[m\].
pub(super) const ENDS_M: f64 = 0.10;

/// The middle of the lower ends, and how the four are named: 1 front left,
/// 2 front right, 3 back left, 4 back right, seen from behind.
fn ordered(mut points: [Point; 4]) -> [Point; 4] {
    points.sort_by(|a, b| b[0].total_cmp(&a[0]).then(b[1].total_cmp(&a[1])));
    // Two in front, two behind, the left one of each first.
    points[..2].sort_by(|a, b| b[1].total_cmp(&a[1]));
    points[2..].sort_by(|a, b| b[1].total_cmp(&a[1]));
    points
}

/// Plans one unit.
pub(super) fn carry(room: &Room, unit: &PlacedUnit, model: &Model) -> CarriedUnit {
    let body = &model.body;
    let cabinet = unit.frame.cabinet(body);
    let gravity_m = unit.frame.to_room_m(body.centre_of_gravity_m);
    let load_factor = room.hanging.load_factor.value;
    let mut carried = CarriedUnit {
        tag: unit.tag.clone(),
        model: unit.model.clone(),
        way: match unit.mount {
            Mount::Hung => Way::Rods,
            Mount::Trapeze => Way::Trapeze,
            Mount::Stand => Way::Stand,
            Mount::Outside => Way::Outside,
        },
        cabinet,
        dry_kg: body.dry_kg,
        wet_kg: body.wet_kg,
        gravity_m,
        points: PointsFrom::NotNeeded,
        load_factor,
        rods: Vec::new(),
        balance: Balance::Between,
        struts: Vec::new(),
        anchors: Vec::new(),
        stand: None,
        levelling: None,
        sway: None,
    };
    match unit.mount {
        Mount::Hung | Mount::Trapeze => hung(room, unit, model, &mut carried),
        Mount::Stand => on_stand(&mut carried),
        Mount::Outside => {}
    }
    carried
}

fn hung(room: &Room, unit: &PlacedUnit, model: &Model, carried: &mut CarriedUnit) {
    let size = model.body.size_m;
    let [hx, hy, hz] = size.map(|s| 0.5 * s);
    let corners = [[hx, hy, hz], [hx, -hy, hz], [-hx, hy, hz], [-hx, -hy, hz]];
    let own = model.hanging.points_m;
    carried.points = own.map_or(PointsFrom::Corners, |_| PointsFrom::Record);
    let mut points = ordered(own.unwrap_or(corners));
    if carried.way == Way::Trapeze {
        // On channel under the cabinet, at the stations of its hanging points.
        for p in &mut points {
            p[1] = p[1].signum() * (hy + BESIDE_M);
            p[2] = -hz - STRUT.side_m;
        }
    }
    let along = |a: usize, b: usize, axis: usize| (points[a][axis] - points[b][axis]).abs();
    let pitch_m = thread(room.hanging.rod.value).pitch_m;
    carried.levelling = Some(Levelling {
        pan_fall: model.hanging.pan_fall.value,
        tolerance: level::tolerance(model.hanging.pan_fall.value),
        spacing_m: [along(0, 2, 0), along(0, 1, 1)],
        pitch_m,
    });
    let feet = points.map(|p| unit.frame.to_room_m(p));
    let plan = feet.map(|p| [p[0], p[1]]);
    let gravity = [carried.gravity_m[0], carried.gravity_m[1]];
    let weight_n = carried.wet_kg * STANDARD_GRAVITY_M_PER_S2;
    let quarter = [0.25 * weight_n; 4];
    let even = on_equal_springs(weight_n, &plan, gravity).unwrap_or(quarter);
    let worst = with_one_slack(weight_n, &plan, gravity);
    carried.balance = worst.map_or(Balance::Beside, |_| Balance::Between);
    // Beside the rods no share can be trusted: all of it on each.
    let worst = worst.unwrap_or([weight_n; 4]);

    let members = match overhead(room) {
        Overhead::Members(m) => Some(m),
        _ => None,
    };
    let misses = members.filter(|m| !meets(m, &plan));
    let underside = underside_m(room);
    let top_m = underside - misses.map_or(0.0, |_| STRUT.side_m);
    let rod = room.hanging.rod.value;
    for (i, foot_m) in feet.into_iter().enumerate() {
        let hanger = isolator::choose(
            room.hanging.isolators.value,
            even[i],
            worst[i],
            model.plate.hertz,
        );
        let clear_m = top_m - foot_m[2];
        carried.rods.push(HangingRod {
            tag: format!("{}-{}", carried.tag, i + 1),
            rod,
            foot_m,
            top_m,
            even_n: even[i],
            worst_n: worst[i],
            design_n: worst[i] * carried.load_factor,
            allowed_n: allowable_n(rod),
            cut_m: (clear_m - hanger.map_or(0.0, |h| h.height_m)).max(0.0) + ENDS_M,
            hanger,
        });
    }
    if carried.way == Way::Trapeze {
        trapeze(room, carried, size[1]);
    }
    if let Some(members) = misses {
        if carried.way == Way::Rods {
            carried.way = Way::RodsFromStrut;
        }
        across(room, carried, &members, underside);
    } else {
        carried.anchors = carried
            .rods
            .iter()
            .map(|r| Anchor {
                tag: r.tag.clone(),
                at_m: [r.foot_m[0], r.foot_m[1], r.top_m],
                reaction_n: r.design_n,
            })
            .collect();
    }
    carried.sway = Some(sway(room, carried));
}

/// Whether each rod goes straight up to a member.
fn meets(members: &Members, plan: &[[f64; 2]; 4]) -> bool {
    plan.iter().all(|p| {
        members
            .off_m(p[members.across])
            .is_some_and(|off| off <= MEETS_M)
    })
}

/// Two channels under the cabinet, each on two rods.
fn trapeze(room: &Room, carried: &mut CarriedUnit, width_m: f64) {
    for (i, pair) in [[0, 1], [2, 3]].into_iter().enumerate() {
        let [a, b] = pair.map(|k| &carried.rods[k]);
        let span_m = (a.foot_m[0] - b.foot_m[0]).hypot(a.foot_m[1] - b.foot_m[1]);
        // The end that bears more, as two beams share it.
        let even_n = a.even_n + b.even_n;
        let design_n = even_n * carried.load_factor;
        let over_m = width_m.min(span_m);
        let load = |total_n| BeamLoad::Spread { total_n, over_m };
        let moment = moment_n_m(span_m, &load(design_n));
        carried.struts.push(Strut {
            tag: format!("{}-S{}", carried.tag, i + 1),
            used: StrutUse::Trapeze,
            ends_m: [a.foot_m, b.foot_m],
            span_m,
            load_n: design_n,
            even_load_n: even_n,
            moment_n_m: moment,
            stress_pa: moment / STRUT.modulus_m3,
            allowed_pa: room.hanging.strut_stress_pa.value,
            sag_m: deflection_m(span_m, &load(even_n), &STRUT),
            allowed_sag_m: SAG_PER_SPAN * span_m,
        });
    }
}

/// Two channels across the members, two rods on each.
fn across(room: &Room, carried: &mut CarriedUnit, members: &Members, underside_m: f64) {
    let (u, v) = (members.across, 1 - members.across);
    let mut order: Vec<usize> = (0..carried.rods.len()).collect();
    order.sort_by(|a, b| {
        let at = |i: &usize| carried.rods[*i].foot_m;
        at(a)[v]
            .total_cmp(&at(b)[v])
            .then(at(a)[u].total_cmp(&at(b)[u]))
    });
    let before = carried.struts.len();
    let mut struts = Vec::new();
    let mut anchors = Vec::new();
    for (i, pair) in order.chunks_exact(2).enumerate() {
        let [a, b] = [&carried.rods[pair[0]], &carried.rods[pair[1]]];
        let (low, high) = (a.foot_m[u].min(b.foot_m[u]), a.foot_m[u].max(b.foot_m[u]));
        let apart_m = high - low;
        let span_m = members.spacing_m;
        let [from, to] = members
            .around_m(low, high)
            .unwrap_or([low - span_m, high + span_m]);
        let each_n = a.design_n.max(b.design_n);
        let even_n = a.even_n.max(b.even_n);
        let moment = moving_pair_moment_n_m(span_m, apart_m, each_n);
        let alone = deflection_m(span_m, &BeamLoad::Middle { load_n: even_n }, &STRUT);
        let pair_sag = if apart_m < span_m {
            deflection_m(
                span_m,
                &BeamLoad::TwoPoints {
                    each_n: even_n,
                    from_end_m: 0.5 * (span_m - apart_m),
                },
                &STRUT,
            )
        } else {
            0.0
        };
        let middle_v = 0.5 * (a.foot_m[v] + b.foot_m[v]);
        let end = |at_u: f64| {
            let mut p = [0.0, 0.0, underside_m];
            p[u] = at_u;
            p[v] = middle_v;
            p
        };
        let tag = format!("{}-S{}", carried.tag, before + i + 1);
        for at_u in [from, to] {
            anchors.push(Anchor {
                tag: tag.clone(),
                at_m: end(at_u),
                // A member between the rods takes most of both.
                reaction_n: each_n * (2.0 - apart_m / span_m).max(1.0),
            });
        }
        struts.push(Strut {
            tag,
            used: StrutUse::Across,
            ends_m: [end(from), end(to)],
            span_m,
            load_n: each_n,
            even_load_n: even_n,
            moment_n_m: moment,
            stress_pa: moment / STRUT.modulus_m3,
            allowed_pa: room.hanging.strut_stress_pa.value,
            sag_m: alone.max(pair_sag),
            allowed_sag_m: SAG_PER_SPAN * span_m,
        });
    }
    carried.struts.extend(struts);
    carried.anchors = anchors;
}

fn sway(room: &Room, carried: &CarriedUnit) -> Sway {
    let length_m = carried
        .rods
        .iter()
        .map(HangingRod::clear_m)
        .fold(0.0, f64::max);
    let ducts = room
        .ducts
        .iter()
        .filter(|d| d.unit.value == carried.tag)
        .count();
    Sway {
        length_m,
        period_s: pendulum_period_s(length_m),
        seismic_n: seismic(room, carried).map(|s| seismic_force_n(&s)),
        ducts: u32::try_from(ducts).unwrap_or(u32::MAX),
    }
}

/// Inputs of the seismic force of a unit; `None`: the site has no S_DS.
///
/// Coefficients of ASCE 7-10 table 13.6-1 from memory: on isolators a_p 2.5,
/// R_p 2.5; rigidly hung fans and air units a_p 2.5, R_p 6. At the roof, since
/// the height of the building is not surveyed.
pub(super) fn seismic(room: &Room, carried: &CarriedUnit) -> Option<Seismic> {
    let acceleration_g = room.hanging.seismic_acceleration_g.as_ref()?.value;
    let isolated = carried.rods.iter().any(|r| r.hanger.is_some());
    Some(Seismic {
        acceleration_g,
        weight_n: carried.wet_kg * STANDARD_GRAVITY_M_PER_S2,
        amplification: 2.5,
        response: if isolated { 2.5 } else { 6.0 },
        importance: 1.0,
        height_share: 1.0,
    })
}

fn on_stand(carried: &mut CarriedUnit) {
    let Cuboid { low_m, high_m } = carried.cabinet;
    let feet = [
        [high_m[0], high_m[1]],
        [high_m[0], low_m[1]],
        [low_m[0], high_m[1]],
        [low_m[0], low_m[1]],
    ];
    let [gx, gy, gz] = carried.gravity_m;
    let weight_n = carried.wet_kg * STANDARD_GRAVITY_M_PER_S2;
    let worst = with_one_slack(weight_n, &feet, [gx, gy]);
    carried.balance = worst.map_or(Balance::Beside, |_| Balance::Between);
    let worst = worst.unwrap_or([weight_n; 4]);
    for (i, (foot, load_n)) in feet.iter().zip(worst).enumerate() {
        carried.anchors.push(Anchor {
            tag: format!("{}-F{}", carried.tag, i + 1),
            at_m: [foot[0], foot[1], 0.0],
            reaction_n: load_n * carried.load_factor,
        });
    }
    let to_edge_m = (gx - low_m[0])
        .min(high_m[0] - gx)
        .min(gy - low_m[1])
        .min(high_m[1] - gy);
    let foot_n = worst.into_iter().fold(0.0, f64::max) * carried.load_factor;
    carried.stand = Some(Stand {
        height_m: low_m[2],
        foot_n,
        to_edge_m,
        tips_at_rad: stand::tipping_angle_rad(to_edge_m, gz),
        push_n: stand::tipping_push_n(weight_n, to_edge_m, gz),
    });
}

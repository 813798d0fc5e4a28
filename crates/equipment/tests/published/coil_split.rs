//! The split of a coil alone against the published map of the cases E100 to
//! E200 (Neymark and Judkoff 2002, NREL/TP-550-30152): total taken from the
//! map, one bypass factor from the rating point, 96 wet points.

use air::{MoistAir, Property};
use equipment::cooling::{
    CoilRating, bypass_factor_from_rating, split_by_bypass, standard_dry_air_kg_per_s,
};

const P_PA: f64 = 101_325.0;
const AIRFLOW_M3_PER_S: f64 = 0.425;

fn entering(dry_bulb_c: f64, wet_bulb_c: f64) -> MoistAir {
    MoistAir::from_pair(
        Property::DryBulb(dry_bulb_c),
        Property::WetBulb(wet_bulb_c),
        P_PA,
    )
    .expect("possible air")
}

/// Rows of a CSV of numbers.
pub(crate) fn rows(text: &str) -> Vec<Vec<f64>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader
        .records()
        .map(|r| {
            r.expect("a row")
                .iter()
                .map(|x| x.parse().expect("a number"))
                .collect()
        })
        .collect()
}

pub(crate) const TOTAL: &str = include_str!("e1xx_map_total.csv");
pub(crate) const SENSIBLE: &str = include_str!("e1xx_map_sensible.csv");

fn rated_bypass_factor() -> f64 {
    let air = entering(26.7, 19.4);
    bypass_factor_from_rating(&CoilRating {
        entering: air,
        total_w: 8181.0,
        sensible_w: 6365.0,
        dry_air_kg_per_s: standard_dry_air_kg_per_s(AIRFLOW_M3_PER_S, P_PA),
    })
    .expect("a bypass factor")
}

#[test]
fn bypass_factor_of_the_rating() {
    let bf = rated_bypass_factor();
    println!("bypass factor {bf:.5}");
    // Printed to four places, from a mass flow printed to four (0.5117 kg/s).
    assert!((bf - 0.0881).abs() < 0.0001, "{bf}");
}

#[test]
fn one_bypass_factor_splits_the_whole_map() {
    let bf = rated_bypass_factor();
    let m = standard_dry_air_kg_per_s(AIRFLOW_M3_PER_S, P_PA);
    assert!((m - 0.5117).abs() < 0.0001);
    let totals = rows(TOTAL);
    let (mut n, mut sum, mut squares, mut worst) = (0, 0.0, 0.0, 0.0_f64);
    for row in rows(SENSIBLE).iter().filter(|r| r[5] == 0.0) {
        let total = totals
            .iter()
            .find(|t| t[0] == row[0] && t[1] == row[1])
            .expect("a total");
        let air = entering(row[2], row[1]);
        let split = split_by_bypass(&air, total[2], m, bf).expect("a coil");
        let e = split.sensible_w / row[3] - 1.0;
        n += 1;
        sum += e;
        squares += e * e;
        worst = worst.max(e.abs());
    }
    let rms = (squares / f64::from(n)).sqrt();
    println!(
        "{n} points, mean {:.2} %, rms {:.2} %, largest {:.2} %",
        100.0 * sum / f64::from(n),
        100.0 * rms,
        100.0 * worst
    );
    assert_eq!(n, 96);
    assert!(rms < 0.010 && worst < 0.025, "{rms} {worst}");
}

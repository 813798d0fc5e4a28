//! Records for real machines from points.

use air::MoistAir;
use equipment::{
    Cell, Datasheet, FilterState, FitError, Method, Model, Performance, TablePoint, fit,
    fit_record, read_model, residual, write_record,
};

fn model(code: &str) -> Model {
    let text = match code {
        "generic-150" => include_str!("../../../catalog/generic-150.toml"),
        _ => include_str!("../../../catalog/generic-250.toml"),
    };
    read_model(code, text).expect("readable")
}

/// What a person knows of a machine before the datasheet: all but the map.
fn draft(truth: &Model) -> Model {
    Model {
        performance: Performance::RatingOnly,
        ..truth.clone()
    }
}

fn sheet(m: &Model, airs: &[(f64, f64)]) -> Datasheet {
    Datasheet {
        rating: *m.rating(),
        points: airs
            .iter()
            .map(|&(dry_bulb_c, rel_humidity)| {
                let air = MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, 101_325.0)
                    .expect("possible air");
                let out = m.at(air, FilterState::Clean);
                TablePoint {
                    dry_bulb_c,
                    rel_humidity,
                    cell: Cell {
                        removal_kg_per_s: out.removal_kg_per_s,
                        power_w: out.power_w,
                    },
                }
            })
            .collect(),
        airflow_m3_per_s: m.fan.rated_m3_per_s(),
        pressure_pa: 101_325.0,
        document: "Data of a machine, edition 3".to_owned(),
        page: "page 4, table 2".to_owned(),
        read_on: "2026-03-01".to_owned(),
    }
}

const NINE: [(f64, f64); 9] = [
    (18.0, 0.45),
    (18.0, 0.60),
    (18.0, 0.75),
    (24.0, 0.45),
    (24.0, 0.60),
    (24.0, 0.75),
    (30.0, 0.45),
    (30.0, 0.60),
    (30.0, 0.75),
];

#[test]
fn many_points_give_a_curve_that_meets_the_rest_of_the_table() {
    let truth = model("generic-150");
    let (made, fitted) = fit_record(&draft(&truth), &sheet(&truth, &NINE)).expect("a fit");
    assert_eq!(fitted.method, Method::Biquadratic);
    println!("at the points: {:?} {:?}", fitted.removal, fitted.power);
    assert!(fitted.removal.rms < 0.01 && fitted.power.rms < 0.01);
    // Points of the table that the fit did not see.
    let Performance::Table(table) = &truth.performance else {
        panic!("a table");
    };
    let rest: Vec<TablePoint> = table
        .points()
        .filter(|p| {
            (18.0..=30.0).contains(&p.dry_bulb_c) && (0.45..=0.75).contains(&p.rel_humidity)
        })
        .collect();
    let (removal, power) = residual(&made, &rest);
    println!("at the rest: {removal:?} {power:?}");
    assert!(
        removal.max < 0.02 && power.max < 0.01,
        "{removal:?} {power:?}"
    );
}

#[test]
fn few_points_give_a_closure() {
    let truth = model("generic-250");
    for (airs, method) in [
        (&[(26.7, 0.6), (18.0, 0.6)][..], Method::ClosureSlope),
        (
            &[(26.7, 0.6), (18.0, 0.6), (24.0, 0.5), (22.0, 0.7)][..],
            Method::ClosureBoth,
        ),
    ] {
        let (made, fitted) = fit_record(&draft(&truth), &sheet(&truth, airs)).expect("a fit");
        assert_eq!(fitted.method, method);
        println!(
            "{method:?}: bypass {} slope {} {:?}",
            fitted.bypass_factor, fitted.slope_per_k, fitted.removal
        );
        assert!(fitted.removal.max < 0.02, "{fitted:?}");
        let (removal, _) = residual(&made, &sheet(&truth, airs).points);
        assert!(
            (removal.max - fitted.removal.max).abs() < 1e-3,
            "{removal:?} {fitted:?}"
        );
    }
}

/// The closure is recovered from points that a closure made.
#[test]
fn a_closure_finds_its_own_numbers() {
    let mut truth = model("generic-150");
    let airs = [
        (26.7, 0.6),
        (18.0, 0.6),
        (24.0, 0.45),
        (22.0, 0.75),
        (30.0, 0.5),
    ];
    let mut data = sheet(&truth, &airs);
    for p in &mut data.points {
        let air =
            MoistAir::from_rel_humidity(p.dry_bulb_c, p.rel_humidity, 101_325.0).expect("air");
        p.cell.removal_kg_per_s = truth
            .closure
            .at(&air, truth.closure.airflow_m3_per_s)
            .water_kg_per_s;
    }
    truth.ratings.truncate(1);
    let fitted = fit(&data).expect("a fit");
    assert!((fitted.bypass_factor - 0.18).abs() < 0.01, "{fitted:?}");
    assert!((fitted.slope_per_k - 0.013).abs() < 0.001, "{fitted:?}");
    assert!(fitted.removal.max < 2e-4);
}

#[test]
fn a_record_reads_back_as_the_same() {
    let truth = model("generic-150");
    for airs in [&NINE[..], &NINE[3..6]] {
        let (made, _) = fit_record(&draft(&truth), &sheet(&truth, airs)).expect("a fit");
        let text = write_record(&made);
        assert!(text.contains("Data of a machine, edition 3") && text.contains("2026-03-01"));
        assert_eq!(
            read_model("made.toml", &text).expect("readable"),
            made,
            "{text}"
        );
    }
}

#[test]
fn what_cannot_be_fitted_is_refused_with_a_reason() {
    let truth = model("generic-150");
    let good = sheet(&truth, &NINE);
    let with = |points: &[TablePoint]| Datasheet {
        points: points.to_vec(),
        ..good.clone()
    };
    for n in [0, 1] {
        assert!(
            matches!(fit(&with(&good.points[..n])), Err(FitError::TooFew { count }) if count == n)
        );
    }
    let close = sheet(&truth, &[(26.0, 0.60), (27.0, 0.62), (26.5, 0.58)]);
    assert!(matches!(fit(&close), Err(FitError::OneAir { .. })));
    let mut bad = good.clone();
    bad.points[3].cell.removal_kg_per_s = f64::NAN;
    assert!(matches!(
        fit(&bad),
        Err(FitError::NotPositive { index: 4, .. })
    ));
    let mut pints = sheet(&truth, &NINE[3..6]);
    for p in &mut pints.points {
        p.cell.removal_kg_per_s /= 2.113;
    }
    assert!(matches!(fit(&pints), Err(FitError::NotTheRating { .. })));
    let windy = Datasheet {
        airflow_m3_per_s: 1.2 * good.airflow_m3_per_s,
        ..good.clone()
    };
    assert!(matches!(
        fit_record(&draft(&truth), &windy),
        Err(FitError::AirFlow { .. })
    ));
    let unnamed = Datasheet {
        page: "  ".to_owned(),
        ..good.clone()
    };
    assert!(matches!(
        fit(&unnamed),
        Err(FitError::NoDocument { what: "page" })
    ));
}

/// Six points on one line of relative humidity cannot carry a biquadratic.
#[test]
fn badly_spread_points_fall_back_to_the_closure() {
    let truth = model("generic-150");
    let line: Vec<(f64, f64)> = (0..7).map(|i| (18.0 + 2.0 * f64::from(i), 0.6)).collect();
    let fitted = fit(&sheet(&truth, &line)).expect("a fit");
    assert_eq!(fitted.method, Method::ClosureBoth);
    assert!(fitted.removal.max < 0.05, "{:?}", fitted.removal);
}

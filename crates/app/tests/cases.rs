//! Whole rooms through the whole program.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::collections::BTreeMap;

use common::{drywright, root};
use serde::{Deserialize, Serialize};
use serde_json::Value as Json;

type Columns = BTreeMap<String, f64>;

/// Rows of a table under `tests/published` that are wanted, by case in lower
/// case, by column; what is no number is left out.
fn table(name: &str, wanted: impl Fn(&csv::StringRecord) -> bool) -> BTreeMap<String, Columns> {
    let path = root().join("crates/app/tests/published").join(name);
    let mut reader = csv::Reader::from_path(path).unwrap();
    let heads = reader.headers().unwrap().clone();
    reader
        .records()
        .map(Result::unwrap)
        .filter(wanted)
        .map(|row| {
            let columns = heads.iter().zip(row.iter()).skip(1);
            let values = columns
                .filter_map(|(h, x)| Some((h.to_owned(), x.parse().ok()?)))
                .collect();
            (row[0].to_lowercase(), values)
        })
        .collect()
}

/// The solution of this name of the cases E100 to E200.
///
/// **Source** Neymark and Judkoff 2002, NREL/TP-550-30152; see
/// `tests/published/README.md`.
fn published(solution: &str) -> BTreeMap<String, Columns> {
    table("e1xx_results_analytical.csv", |row| &row[1] == solution)
}

/// Least and most that the reference programs gave for the same cases.
///
/// **Source** as above.
fn program_ranges() -> BTreeMap<String, Columns> {
    table("e1xx_results_program_range.csv", |_| true)
}

/// A month of 672 h is 28 of the days that the program simulates.
const DAYS: f64 = 28.0;

/// Electricity, coil loads, COP and humidity at the tolerances for a model
/// that uses the published map: 0.3 %, 0.1 %, 0.3 %, 0.5 %, and the dry bulb
/// within 0.05 K all day; or else the print's last digit.
#[test]
fn published_room_cases_come_out_as_printed() {
    let cases = published("HTAL1");
    assert_eq!(cases.len(), 11);
    let ranges = program_ranges();
    let folder = root().join("cases/published");
    let mut electricity = BTreeMap::new();
    for (case, printed) in &cases {
        let ran = drywright(&folder, &["day", &format!("{case}.room.toml"), "--json"]);
        assert_eq!(ran.code, 0, "{case}: {}", ran.err);
        let day: Json = serde_json::from_str(&ran.out).unwrap();
        let of = |key: &str| day["cooling"][0][key].as_f64().unwrap() * DAYS;
        let near = |what: &str, found: f64, column: &str, share: f64, least: f64| {
            let expected = printed[column];
            let within = (share * expected).max(least);
            assert!(
                (found - expected).abs() <= within,
                "{case} {what}: {found} for {expected}"
            );
        };
        let kwh = of("compressor_and_outdoor_fan_kwh") + of("indoor_fan_kwh");
        near("electricity", kwh, "total_kWh", 0.003, 0.05);
        near(
            "sensible",
            of("coil_sensible_kwh"),
            "coil_sensible_kWh",
            0.001,
            0.1,
        );
        near(
            "latent",
            of("coil_latent_kwh"),
            "coil_latent_kWh",
            0.001,
            0.1,
        );
        // The fan's heat is in the coil's load, not in the zone's.
        let zone_kwh = of("coil_sensible_kwh") + of("coil_latent_kwh") - of("indoor_fan_kwh");
        near("COP", zone_kwh / kwh, "mean_cop", 0.003, 0.005);
        near(
            "indoor fan",
            of("indoor_fan_kwh"),
            "supply_fan_kWh",
            0.003,
            0.1,
        );
        let period = &day["periods"][0];
        let w = period["mean_humidity_ratio_kg_per_kg"].as_f64().unwrap();
        near(
            "humidity",
            w,
            "mean_zone_humidity_ratio_kg_per_kg",
            0.005,
            0.0,
        );
        for key in ["mean_dry_bulb_c", "lowest_dry_bulb_c", "highest_dry_bulb_c"] {
            near(
                key,
                period[key].as_f64().unwrap(),
                "mean_zone_db_C",
                0.0,
                0.05,
            );
        }
        // Ends of a range are printed to the kWh and to 0.0001 kg/kg.
        let inside = |what: &str, found: f64, columns: [&str; 2], rounding: f64| {
            let [least, most] = columns.map(|c| ranges[case][c]);
            assert!(
                least - rounding <= found && found <= most + rounding,
                "{case} {what}: {found} outside {least} to {most}"
            );
        };
        inside("electricity", kwh, ["total_kWh_min", "total_kWh_max"], 0.5);
        let coil_kwh = of("coil_sensible_kwh") + of("coil_latent_kwh");
        inside(
            "coil",
            coil_kwh,
            ["coil_total_kWh_min", "coil_total_kWh_max"],
            0.5,
        );
        inside(
            "humidity",
            w,
            [
                "mean_zone_humidity_ratio_min_kg_per_kg",
                "mean_zone_humidity_ratio_max_kg_per_kg",
            ],
            0.000_05,
        );
        // Printed to two or three digits after the point.
        inside(
            "COP",
            zone_kwh / kwh,
            ["mean_cop_min", "mean_cop_max"],
            0.005,
        );
        electricity.insert(case.clone(), kwh);
    }
    // Sensitivities by sign and size against HTAL1, as near as the source's
    // three independent solutions are to each other (0.6 to 2.9 kWh a month).
    let solutions = ["HTAL1", "HTAL2", "TUD"].map(published);
    for (a, b) in [
        ("e110", "e100"),
        ("e120", "e110"),
        ("e130", "e100"),
        ("e150", "e110"),
        ("e160", "e150"),
        ("e180", "e150"),
        ("e190", "e140"),
        ("e195", "e190"),
    ] {
        let printed = solutions
            .each_ref()
            .map(|s| s[a]["total_kWh"] - s[b]["total_kWh"]);
        let [least, most] = [f64::min, f64::max].map(|f| printed.into_iter().reduce(f).unwrap());
        let found = electricity[a] - electricity[b];
        assert!(
            found * printed[0] > 0.0 && (found - printed[0]).abs() <= most - least,
            "{a} − {b}: {found} for {printed:?}"
        );
    }
}

/// What a job must give.
#[derive(Serialize, Deserialize)]
struct Expected {
    by_hand: Vec<ByHand>,
    past: Vec<Past>,
}

/// Bounds reckoned without this program; never rewritten.
#[derive(Serialize, Deserialize)]
struct ByHand {
    result: String,
    between: [f64; 2],
    source: String,
}

/// Our own past output, to see what moved.
#[derive(Serialize, Deserialize)]
struct Past {
    result: String,
    was: Json,
    #[serde(skip_serializing_if = "Option::is_none")]
    within: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    within_share: Option<f64>,
    because: String,
}

/// Results of a job by name.
struct Results(BTreeMap<String, Json>);

impl Results {
    /// From what `load --json` and `select --json` wrote.
    fn new(load: &Json, select: &Json) -> Self {
        let mut all = BTreeMap::new();
        let mut put = |name: &str, value: Json| all.insert(name.to_owned(), value);
        let chosen = &select["chosen"];
        put(
            "water_kg_per_day",
            load["water_kg_per_day"]["likely"].clone(),
        );
        put(
            "canopy_kg_per_m2_day",
            load["canopy_kg_per_m2_day"]["likely"].clone(),
        );
        for (source, kg) in water_by_source(load) {
            put(&format!("water_kg_per_day of {source}"), kg.into());
        }
        put("chosen", units(&chosen["judged"]).into());
        put("binding", select["binding"].clone());
        put("held_days", chosen["judged"]["held_days"].clone());
        put(
            "held_days_without_coil_water",
            chosen["held_days_without_coil_water"].clone(),
        );
        put(
            "units_kwh_per_day",
            chosen["judged"]["units_kwh_per_day"]["likely"].clone(),
        );
        put(
            "present_held_days",
            select["present"]["judged"]["held_days"].clone(),
        );
        put("measures_that_help", measures_that_help(select).into());
        let mut checks: Vec<&str> = [load, select]
            .iter()
            .flat_map(|r| r["findings"].as_array().unwrap())
            .map(|f| f["check"].as_str().unwrap())
            .collect();
        checks.sort_unstable();
        put("findings", checks.into());
        Self(all)
    }

    fn of(&self, name: &str) -> &Json {
        self.0.get(name).unwrap_or_else(|| panic!("no {name}"))
    }

    fn number(&self, name: &str) -> f64 {
        let value = self.of(name);
        value
            .as_f64()
            .unwrap_or_else(|| panic!("{name} is {value}"))
    }
}

/// Water of each source over the 24 hours \[kg\].
fn water_by_source(load: &Json) -> BTreeMap<&str, f64> {
    let mut sums = BTreeMap::new();
    for hour in load["hours"].as_array().unwrap() {
        for source in hour["sources"].as_array().unwrap() {
            let name = source["source"].as_str().unwrap();
            *sums.entry(name).or_insert(0.0) += source["mean_water_kg_per_h"].as_f64().unwrap();
        }
    }
    sums
}

fn units(judged: &Json) -> String {
    let groups = judged["units"].as_array().unwrap().iter();
    let words: Vec<String> = groups
        .map(|g| format!("{} × {}", g["count"], g["model"].as_str().unwrap()))
        .collect();
    words.join(" + ")
}

fn measures_that_help(select: &Json) -> Vec<&str> {
    let measures = select["measures"].as_array().unwrap().iter();
    measures
        .filter(|m| m["held_days_before"].as_u64() < m["held_days_after"].as_u64())
        .map(|m| m["what"].as_str().unwrap())
        .collect()
}

/// As kept in a file: numbers to four digits.
fn rounded(value: &Json) -> Json {
    match value.as_f64() {
        Some(x) if value.is_f64() => format!("{x:.3e}").parse::<f64>().unwrap().into(),
        _ => value.clone(),
    }
}

fn moved(found: &Json, past: &Past) -> bool {
    let (Some(found), Some(was)) = (found.as_f64(), past.was.as_f64()) else {
        return *found != past.was;
    };
    let within = past.within.or(past.within_share.map(|s| s * was.abs()));
    within.unwrap_or(0.0) < (found - was).abs()
}

/// Five invented jobs: each result against bounds reckoned by hand, and against
/// our own past output within its band. `REWRITE_GOLDEN=1` rewrites the latter.
#[test]
fn invented_jobs_give_what_is_expected() {
    let rewrite = std::env::var_os("REWRITE_GOLDEN").is_some();
    let mut wrong = Vec::new();
    for job in [
        "leafy-farm",
        "flower-altitude",
        "vine-room",
        "propagation",
        "drying-room",
    ] {
        let folder = root().join("cases").join(job);
        let room = format!("{job}.room.toml");
        let json = |args: &[&str]| -> Json {
            let ran = drywright(&folder, args);
            // 1 says that a finding stops, which one of the jobs is for.
            assert!(ran.code < 2, "{job}: {}", ran.err);
            serde_json::from_str(&ran.out).unwrap()
        };
        let load = json(&["load", &room, "--json"]);
        let select = json(&["select", &room, "--json"]);
        let found = Results::new(&load, &select);

        // In each of them some set holds nine of ten drawn days.
        assert_eq!(select["chosen"]["meets"], true, "{job}");
        let days = select["chosen"]["judged"]["drawn_days"].as_f64().unwrap();
        assert!(0.9 * days <= found.number("held_days"), "{job}");

        let path = folder.join("expected.json");
        let text = std::fs::read_to_string(&path).unwrap();
        let mut expected: Expected = serde_json::from_str(&text).unwrap();
        assert!(!expected.by_hand.is_empty() && !expected.past.is_empty());
        for hand in &expected.by_hand {
            let [low, high] = hand.between;
            let x = found.number(&hand.result);
            if !(low..=high).contains(&x) {
                wrong.push(format!(
                    "{job}: {} is {x}, by hand {low} to {high}",
                    hand.result
                ));
            }
        }
        for past in &mut expected.past {
            let now = found.of(&past.result);
            if rewrite {
                past.was = rounded(now);
            } else if moved(now, past) {
                wrong.push(format!("{job}: {} was {}, is {now}", past.result, past.was));
            }
        }
        if rewrite {
            let text = serde_json::to_string_pretty(&expected).unwrap();
            std::fs::write(&path, format!("{text}\n")).unwrap();
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

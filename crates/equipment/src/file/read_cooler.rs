//! A cooling machine's file to a [`Cooler`].

use air::{MoistAir, Property};
use fields::{Entry, Fault, Problem, Problems, Reading};

use super::read_model::provenance;
use super::{COOLER_FORMAT, wrong};
use crate::cooling::{
    ChilledWater, ChilledWaterRating, CoilRating, Cooler, CoolingKind, CoolingMap, CoolingRating,
    MapPoint, RatedPoint, bypass_factor_from_rating, standard_dry_air_kg_per_s,
};

/// Reads a cooling machine's file and checks the record.
///
/// # Errors
/// Every problem of the file, as [`crate::read_model`].
pub fn read_cooler(file_name: &str, text: &str) -> Result<Cooler, Problems> {
    let reading = COOLER_FORMAT.read(file_name, text)?;
    let mut problems = Problems::default();
    match build(&reading) {
        Ok(cooler) => {
            super::check::check_cooler(&reading, &cooler, &mut problems);
            if problems.is_empty() {
                return Ok(cooler);
            }
        }
        Err(p) => problems.push(*p),
    }
    problems.sort();
    Err(problems)
}

fn build(reading: &Reading) -> Result<Cooler, Box<Problem>> {
    let what = reading.once("cooler");
    let data_pressure_pa = what.need_value("barometer").value;
    let airflow_m3_per_s = what.need_value("air_flow").value;
    let rated = reading.once("rating");
    let rating = CoolingRating {
        dry_bulb_c: rated.need_value("dry_bulb").value,
        wet_bulb_c: rated.need_value("wet_bulb").value,
        outdoor_c: rated.need_value("outdoor").value,
        total_w: rated.need_value("total").value,
        sensible_w: rated.need_value("sensible").value,
        compressor_w: rated.need_value("compressor").value,
    };
    let bad = |key: &str, what: &str| {
        wrong(
            rated,
            Fault::Contradiction,
            key,
            what,
            "check entering air, capacities and air flow",
        )
    };
    let entering = MoistAir::from_pair(
        Property::DryBulb(rating.dry_bulb_c),
        Property::WetBulb(rating.wet_bulb_c),
        data_pressure_pa,
    )
    .map_err(|e| bad("wet_bulb", &e.to_string()))?;
    let (kind, bypass_factor) = match what.need_choice("kind").value {
        "chilled water" => {
            let water = section(reading, what, "water")?;
            let (coil, bf) = ChilledWater::from_rating(&ChilledWaterRating {
                entering,
                total_w: rating.total_w,
                sensible_w: rating.sensible_w,
                airflow_m3_per_s,
                water_kg_per_s: water.need_value("flow").value,
                supply_c: water.need_value("supply").value,
            })
            .map_err(|e| bad("total", &e.to_string()))?;
            (CoolingKind::ChilledWater(coil), bf)
        }
        other => {
            let bf = bypass_factor_from_rating(&CoilRating {
                entering,
                total_w: rating.total_w,
                sensible_w: rating.sensible_w,
                dry_air_kg_per_s: standard_dry_air_kg_per_s(airflow_m3_per_s, data_pressure_pa),
            })
            .map_err(|e| bad("sensible", &e.to_string()))?;
            let kind = if other == "map" {
                CoolingKind::Map(map(reading, what)?)
            } else {
                CoolingKind::RatedPoint(RatedPoint {
                    total_w: rating.total_w,
                    condensing_unit_w: rating.compressor_w
                        + what.need_value("outdoor_fan_power").value,
                    wet_bulb_c: rating.wet_bulb_c,
                    outdoor_c: rating.outdoor_c,
                })
            };
            (kind, bf)
        }
    };
    Ok(Cooler {
        code: what.need_text("code").value,
        description: what.need_text("description").value,
        kind,
        rating,
        bypass_factor,
        airflow_m3_per_s,
        fan_w: what.need_value("fan_power").value,
        outdoor_fan_w: what.need_value("outdoor_fan_power").value,
        degradation: what.need_value("degradation").value,
        data_pressure_pa,
        first_cost: what.value("price").map(|g| g.value),
        provenance: provenance(reading)?,
    })
}

fn section<'a>(reading: &'a Reading, what: &Entry, key: &str) -> Result<&'a Entry, Box<Problem>> {
    reading.section(key).ok_or_else(|| {
        wrong(
            what,
            Fault::Missing,
            "kind",
            &format!("this kind needs the section [{key}]"),
            &format!("write [{key}], or choose another kind"),
        )
    })
}

fn map(reading: &Reading, what: &Entry) -> Result<CoolingMap, Box<Problem>> {
    let total_entry = section(reading, what, "map.total")?;
    let sensible_entry = section(reading, what, "map.sensible")?;
    let total = total_entry.need_map("rows").value;
    let sensible = sensible_entry.need_map("rows").value;
    let list = |m: &fields::Map, name: &str| m.column(name).unwrap_or_default();
    let totals: Vec<[f64; 4]> = list(&total, "outdoor")
        .into_iter()
        .zip(list(&total, "wet bulb"))
        .zip(list(&total, "total"))
        .zip(list(&total, "compressor"))
        .map(|(((o, w), q), p)| [o, w, q, p])
        .collect();
    let mut points = Vec::new();
    for (((o, w), d), s) in list(&sensible, "outdoor")
        .into_iter()
        .zip(list(&sensible, "wet bulb"))
        .zip(list(&sensible, "dry bulb"))
        .zip(list(&sensible, "sensible"))
    {
        let mut here = totals
            .iter()
            .filter(|t| (t[0] - o).abs() < 0.03 && (t[1] - w).abs() < 0.03);
        let (Some(t), None) = (here.next(), here.next()) else {
            return Err(wrong(
                total_entry,
                Fault::Contradiction,
                "rows",
                &format!("outdoor {o:.1} °C with wet bulb {w:.1} °C does not stand here once"),
                "give each pair of [map.sensible] once",
            ));
        };
        points.push(MapPoint {
            outdoor_c: o,
            wet_bulb_c: w,
            dry_bulb_c: d,
            total_w: t[2],
            sensible_w: s,
            compressor_w: t[3],
        });
    }
    CoolingMap::new(&points).map_err(|e| {
        wrong(
            sensible_entry,
            Fault::Contradiction,
            "rows",
            &e.to_string(),
            "give each combination once",
        )
    })
}

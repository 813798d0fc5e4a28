//! A [`Cooler`] to the text of its file.

use quantity::Dim;

use super::write::{
    AIRFLOW, CAPACITY, PLAIN, POWER, PRESSURE, Page, TEMPERATURE, WATER, column, map,
};
use super::write_model::provenance;
use crate::cooling::{Cooler, CoolingKind, MapPoint};

/// The file of a cooling machine; [`crate::read_cooler`] gives the same record
/// back.
pub fn write_cooler(cooler: &Cooler) -> String {
    let mut page = Page::default();
    page.section("[cooler]");
    page.words("code", &cooler.code);
    page.words("description", &cooler.description);
    page.words(
        "kind",
        match cooler.kind {
            CoolingKind::Map(_) => "map",
            CoolingKind::RatedPoint(_) => "rated point",
            CoolingKind::ChilledWater(_) => "chilled water",
        },
    );
    if let Some(price) = cooler.first_cost {
        page.number("price", price, Dim::Money, PLAIN);
    }
    page.number("air_flow", cooler.airflow_m3_per_s, Dim::AirFlow, AIRFLOW);
    page.number("fan_power", cooler.fan_w, Dim::Power, POWER);
    page.number("outdoor_fan_power", cooler.outdoor_fan_w, Dim::Power, POWER);
    page.number("degradation", cooler.degradation, Dim::Number, PLAIN);
    page.number(
        "barometer",
        cooler.data_pressure_pa,
        Dim::Pressure,
        PRESSURE,
    );
    provenance(&mut page, &cooler.provenance);
    page.section("[rating]");
    let r = &cooler.rating;
    for (key, t_c) in [
        ("dry_bulb", r.dry_bulb_c),
        ("wet_bulb", r.wet_bulb_c),
        ("outdoor", r.outdoor_c),
    ] {
        page.number(key, t_c, Dim::Temperature, TEMPERATURE);
    }
    page.number("total", r.total_w, Dim::Cooling, CAPACITY);
    page.number("sensible", r.sensible_w, Dim::Cooling, CAPACITY);
    page.number("compressor", r.compressor_w, Dim::Power, POWER);
    match &cooler.kind {
        CoolingKind::Map(m) => maps(&mut page, &m.points()),
        CoolingKind::RatedPoint(_) => {}
        CoolingKind::ChilledWater(c) => {
            page.section("[water]");
            page.number("supply", c.supply_c, Dim::Temperature, TEMPERATURE);
            page.number("flow", c.water_kg_per_s, Dim::WaterRate, WATER);
        }
    }
    page.done()
}

fn maps(page: &mut Page, points: &[MapPoint]) {
    let temperature =
        |name: &str, list: Vec<f64>| column(name, &list, Dim::Temperature, TEMPERATURE);
    let first = points.first().map_or(0.0, |p| p.dry_bulb_c);
    let wet: Vec<&MapPoint> = points.iter().filter(|p| p.dry_bulb_c == first).collect();
    let of = |take: fn(&MapPoint) -> f64| -> Vec<f64> { wet.iter().map(|p| take(p)).collect() };
    page.section("[map.total]");
    page.block(&map(&[
        temperature("outdoor", of(|p| p.outdoor_c)),
        temperature("wet bulb", of(|p| p.wet_bulb_c)),
        column("total", &of(|p| p.total_w), Dim::Cooling, CAPACITY),
        column("compressor", &of(|p| p.compressor_w), Dim::Power, POWER),
    ]));
    let all = |take: fn(&MapPoint) -> f64| -> Vec<f64> { points.iter().map(take).collect() };
    page.section("[map.sensible]");
    page.block(&map(&[
        temperature("outdoor", all(|p| p.outdoor_c)),
        temperature("wet bulb", all(|p| p.wet_bulb_c)),
        temperature("dry bulb", all(|p| p.dry_bulb_c)),
        column("sensible", &all(|p| p.sensible_w), Dim::Cooling, CAPACITY),
    ]));
}

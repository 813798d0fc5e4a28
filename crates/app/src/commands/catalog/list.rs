//! `drywright catalog list`: unlike ratings side by side, at one air.

use std::path::Path;

use air::MoistAir;
use anyhow::{Result, bail};
use equipment::curve::SET_A_CLAMP;
use equipment::{
    Cabinet, Catalog, Cooler, CoolingKind, Data, FilterState, Model, Output, Rating, Standard,
};
use quantity::{Dim, UnitSystem, Value};
use schemars::JsonSchema;
use serde::Serialize;

use super::{DAY, NIGHT, SEA_LEVEL_PA, units};
use crate::Verdict;
use crate::cli::Shown;
use crate::out;
use crate::project::{files_of, machine_files, refused};

/// Machines at hand.
#[derive(Serialize, JsonSchema)]
pub(crate) struct CatalogResult {
    schema: &'static str,
    dehumidifiers: Vec<ListedModel>,
    coolers: Vec<ListedCooler>,
    controllers: Vec<ListedController>,
}

/// One dehumidifier. Capacities hold at sea level with a clean filter.
#[derive(Serialize, JsonSchema)]
struct ListedModel {
    code: String,
    description: String,
    cabinet: &'static str,
    /// Form of its data: table, curve, closure, rating only.
    data: &'static str,
    rated_dry_bulb_c: f64,
    rated_rel_humidity: f64,
    rated_kg_per_h: f64,
    /// Whether the rating was taken at other air than 80 °F and 60 %, and the
    /// next figure is therefore a conversion by a public curve.
    converted: bool,
    /// Left out where the rating lies too far off to be converted.
    #[serde(skip_serializing_if = "Option::is_none")]
    at_80_f_60_percent_kg_per_h: Option<f64>,
    at_26_c_55_percent_kg_per_h: f64,
    /// inside, beyond or frosting.
    at_26_c_55_percent_data: &'static str,
    at_20_c_55_percent_kg_per_h: f64,
    at_20_c_55_percent_data: &'static str,
    energy_factor_at_26_c_55_percent_kg_per_kwh: f64,
    volts: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    low_volts: Option<f64>,
    phases: u32,
    frequency_hz: f64,
}

/// One cooling machine.
#[derive(Serialize, JsonSchema)]
struct ListedCooler {
    code: String,
    description: String,
    kind: &'static str,
    total_w: f64,
    sensible_w: f64,
    rated_dry_bulb_c: f64,
    rated_wet_bulb_c: f64,
    outdoor_c: f64,
}

/// One controller.
#[derive(Serialize, JsonSchema)]
struct ListedController {
    code: String,
    description: String,
    /// Families of unit that it can tell to run.
    families: Vec<&'static str>,
    max_units: u32,
}

pub(super) fn run(dir: Option<&Path>, shown: Shown) -> Result<Verdict> {
    let machine_files = match dir {
        Some(dir) if !dir.is_dir() => bail!("{} is not a folder", dir.display()),
        Some(dir) => {
            let found = files_of(dir)?;
            if found.is_empty() {
                bail!("{} holds no machine files (*.toml)", dir.display());
            }
            found
        }
        None => machine_files(Path::new("."))?,
    };
    let catalog = Catalog::read(&machine_files).map_err(|p| refused(&p))?;
    let result = CatalogResult::new(&catalog)?;
    if shown.json {
        out::json(&result)?;
    } else {
        out::print(&text(&result, units(shown)))?;
    }
    Ok(Verdict::Clear)
}

impl CatalogResult {
    /// All machines of a catalogue, rated beside their capacity at room air.
    pub(crate) fn new(catalog: &Catalog) -> Result<Self> {
        Ok(Self {
            schema: "drywright/catalog/1",
            dehumidifiers: catalog
                .dehumidifiers
                .values()
                .map(listed)
                .collect::<Result<_>>()?,
            coolers: catalog.coolers.values().map(listed_cooler).collect(),
            controllers: catalog
                .controllers
                .values()
                .map(|c| ListedController {
                    code: c.code.clone(),
                    description: c.description.clone(),
                    families: c.families.iter().map(|f| f.word()).collect(),
                    max_units: c.max_units,
                })
                .collect(),
        })
    }
}

fn listed(model: &Model) -> Result<ListedModel> {
    let rating = model.rating();
    let at = |(dry_bulb_c, rel_humidity): (f64, f64)| -> Result<Output> {
        let inlet = MoistAir::from_rel_humidity(dry_bulb_c, rel_humidity, SEA_LEVEL_PA)?;
        Ok(model.at(inlet, FilterState::Clean))
    };
    let (day, night) = (at(DAY)?, at(NIGHT)?);
    Ok(ListedModel {
        code: model.code.clone(),
        description: model.description.clone(),
        cabinet: match model.cabinet {
            Cabinet::DrawThrough => "draw-through",
            Cabinet::BlowThrough => "blow-through",
        },
        data: model.performance.word(),
        rated_dry_bulb_c: rating.dry_bulb_c,
        rated_rel_humidity: rating.rel_humidity,
        rated_kg_per_h: per_hour(rating.removal_kg_per_s),
        converted: rating.standard != Standard::Warm,
        at_80_f_60_percent_kg_per_h: at_warm(rating).map(|r| per_hour(r.removal_kg_per_s)),
        at_26_c_55_percent_kg_per_h: per_hour(day.removal_kg_per_s),
        at_26_c_55_percent_data: data_word(&day),
        at_20_c_55_percent_kg_per_h: per_hour(night.removal_kg_per_s),
        at_20_c_55_percent_data: data_word(&night),
        energy_factor_at_26_c_55_percent_kg_per_kwh: day.energy_factor_kg_per_j() * 3.6e6,
        volts: model.plate.volts,
        low_volts: model.plate.low_volts,
        phases: model.plate.phases,
        frequency_hz: model.plate.hertz,
    })
}

const fn per_hour(kg_per_s: f64) -> f64 {
    kg_per_s * 3600.0
}

/// The rating at 80 °F and 60 %; none where it was taken outside the range of
/// the public curve.
fn at_warm(rating: &Rating) -> Option<Rating> {
    match rating.standard {
        Standard::Warm => Some(*rating),
        _ if SET_A_CLAMP.holds(rating.dry_bulb_c, rating.rel_humidity) => {
            rating.converted(Standard::Warm)
        }
        _ => None,
    }
}

const fn data_word(output: &Output) -> &'static str {
    match output.data {
        Data::Inside => "inside",
        Data::Beyond { .. } => "beyond",
        Data::Frosting { .. } => "frosting",
    }
}

fn listed_cooler(cooler: &Cooler) -> ListedCooler {
    let r = &cooler.rating;
    ListedCooler {
        code: cooler.code.clone(),
        description: cooler.description.clone(),
        kind: match cooler.kind {
            CoolingKind::Map(_) => "map",
            CoolingKind::RatedPoint(_) => "rated point",
            CoolingKind::ChilledWater(_) => "chilled water",
        },
        total_w: r.total_w,
        sensible_w: r.sensible_w,
        rated_dry_bulb_c: r.dry_bulb_c,
        rated_wet_bulb_c: r.wet_bulb_c,
        outdoor_c: r.outdoor_c,
    }
}

/// Marks beside a capacity, told below the table where they occur.
const CONVERTED: &str = "~";
const BEYOND: &str = "*";
const FROSTING: &str = "f";

fn text(result: &CatalogResult, system: UnitSystem) -> String {
    let mut text = String::new();
    if !result.dehumidifiers.is_empty() {
        text.push_str(&dehumidifiers(&result.dehumidifiers, system));
    }
    if !result.coolers.is_empty() {
        text.push_str(&coolers(&result.coolers, system));
    }
    if !result.controllers.is_empty() {
        text.push_str(&controllers(&result.controllers));
    }
    text
}

fn dehumidifiers(models: &[ListedModel], system: UnitSystem) -> String {
    let water = |kg_per_h: f64| Value::new(kg_per_h / 3600.0, Dim::WaterRate).show(system);
    let marked = |kg_per_h: f64, data: &str| {
        let mark = match data {
            "beyond" => BEYOND,
            "frosting" => FROSTING,
            _ => "",
        };
        format!("{} {mark:1}", water(kg_per_h))
    };
    let warm_air = Standard::Warm
        .air()
        .map_or_else(String::new, |(t, rh)| air_words(t, rh, system));
    let heads = [
        "dehumidifier".to_owned(),
        "kind".to_owned(),
        "data".to_owned(),
        "rated at".to_owned(),
        "rated".to_owned(),
        format!("as if at {warm_air}"),
        format!("at {}", air_words(DAY.0, DAY.1, system)),
        format!("at {}", air_words(NIGHT.0, NIGHT.1, system)),
        format!("energy factor at {}", air_words(DAY.0, DAY.1, system)),
        "supply".to_owned(),
    ];
    let mut table = out::table(&heads.each_ref().map(String::as_str));
    for m in models {
        let warm = m.at_80_f_60_percent_kg_per_h.map_or_else(
            || "too far off".to_owned(),
            |w| format!("{}{}", if m.converted { CONVERTED } else { "" }, water(w)),
        );
        let energy_factor_kg_per_j = m.energy_factor_at_26_c_55_percent_kg_per_kwh / 3.6e6;
        table.add_row([
            m.code.clone(),
            m.cabinet.to_owned(),
            m.data.to_owned(),
            air_words(m.rated_dry_bulb_c, m.rated_rel_humidity, system),
            water(m.rated_kg_per_h),
            warm,
            marked(m.at_26_c_55_percent_kg_per_h, m.at_26_c_55_percent_data),
            marked(m.at_20_c_55_percent_kg_per_h, m.at_20_c_55_percent_data),
            Value::new(energy_factor_kg_per_j, Dim::WaterPerEnergy).show(system),
            supply(m),
        ]);
    }
    out::numbers_right(&mut table, 4);
    let mut text = format!("{table}\n\nCapacities hold at sea level with a clean filter.\n");
    if models.iter().any(|m| m.converted) {
        text.push_str(&format!(
            "{CONVERTED} rated at other air: converted to {warm_air} by a public curve (±10 %), since unlike ratings do not compare.\n"
        ));
    }
    let any = |word: &str| {
        models
            .iter()
            .any(|m| m.at_26_c_55_percent_data == word || m.at_20_c_55_percent_data == word)
    };
    if any("beyond") {
        text.push_str(&format!(
            "{BEYOND} beyond the data of the record: carried on by physics, or off.\n"
        ));
    }
    if any("frosting") {
        text.push_str(&format!(
            "{FROSTING} the coil is below freezing: defrost is in the figure.\n"
        ));
    }
    text.push('\n');
    text
}

fn coolers(coolers: &[ListedCooler], system: UnitSystem) -> String {
    let cooling = |w: f64| Value::new(w, Dim::Cooling).show(system);
    let temperature = |c: f64| Value::new(c, Dim::Temperature).show(system);
    let mut table = out::table(&[
        "cooling machine",
        "kind",
        "total",
        "sensible",
        "entering dry / wet bulb",
        "outdoor",
        "what it is",
    ]);
    for c in coolers {
        table.add_row([
            c.code.clone(),
            c.kind.to_owned(),
            cooling(c.total_w),
            cooling(c.sensible_w),
            format!(
                "{} / {}",
                temperature(c.rated_dry_bulb_c),
                temperature(c.rated_wet_bulb_c)
            ),
            temperature(c.outdoor_c),
            c.description.clone(),
        ]);
    }
    format!("{table}\n")
}

fn controllers(controllers: &[ListedController]) -> String {
    let mut table = out::table(&["controller", "tells to run", "most units", "what it is"]);
    for c in controllers {
        table.add_row([
            c.code.clone(),
            c.families.join(", "),
            c.max_units.to_string(),
            c.description.clone(),
        ]);
    }
    format!("\n{table}\n")
}

pub(crate) fn air_words(dry_bulb_c: f64, rel_humidity: f64, system: UnitSystem) -> String {
    format!(
        "{}, {:.0} %",
        Value::new(dry_bulb_c, Dim::Temperature).show(system),
        100.0 * rel_humidity
    )
}

fn supply(m: &ListedModel) -> String {
    let volts = m.low_volts.map_or_else(
        || format!("{:.0}", m.volts),
        |low| format!("{low:.0}/{:.0}", m.volts),
    );
    format!("{volts} V, {} phase, {:.0} Hz", m.phases, m.frequency_hz)
}

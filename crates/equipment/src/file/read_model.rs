//! A dehumidifier's machine file to a [`Model`].

use air::MoistAir;
use fields::{Entry, Fault, Problem, Problems, Reading};

use super::{MODEL_FORMAT, wrong};
use crate::closure::{Closure, ClosureRating};
use crate::control::{Control, ControlFamily, Role, Terminal};
use crate::curve::{Biquadratic, Range};
use crate::fan::{FanCurve, FanPoint};
use crate::model::{
    Body, Cabinet, ClosureData, Curve, Defrost, Delays, FACES, Face, FanHabit, Hanging, Model,
    Performance, Plate,
};
use crate::provenance::{Existence, Provenance};
use crate::rating::{Rating, STANDARDS, Standard};
use crate::table::{Cell, Table, TablePoint};

/// Reads a dehumidifier's machine file and checks the record.
///
/// - `file_name`: as the person knows it
/// - `text`: the file
///
/// # Errors
/// Every problem of the file: what cannot be read, what is out of range, and
/// what does not fit together (ratings that the map does not give back, air
/// flow too small for the removal, a map that falls where it must rise).
pub fn read_model(file_name: &str, text: &str) -> Result<Model, Problems> {
    let reading = MODEL_FORMAT.read(file_name, text)?;
    let mut problems = Problems::default();
    let model = build(&reading, &mut problems);
    match model {
        Some(model) if problems.is_empty() => {
            super::check::check_model(&reading, &model, &mut problems);
            if problems.is_empty() {
                Ok(model)
            } else {
                problems.sort();
                Err(problems)
            }
        }
        _ => {
            problems.sort();
            Err(problems)
        }
    }
}

/// Keeps a value or notes its problem.
fn keep<T>(problems: &mut Problems, result: Result<T, Box<Problem>>) -> Option<T> {
    result.map_err(|p| problems.push(*p)).ok()
}

fn build(reading: &Reading, problems: &mut Problems) -> Option<Model> {
    let what = reading.once("dehumidifier");
    let provenance = keep(problems, provenance(reading));
    let ratings = ratings(reading, problems);
    let data = reading.once("performance");
    let data_pressure_pa = data.need_value("barometer").value;
    let performance = keep(problems, performance(reading, data));
    let fan_entry = reading.once("fan");
    let fan = keep(problems, fan(fan_entry));
    let limits = reading.once("limits");
    let defrost = keep(problems, defrost(limits));
    let hanging = keep(problems, hanging(reading.once("hanging")));
    let control = keep(problems, control(reading));
    let fan = fan?;
    let ratings = ratings?;
    let first = ratings[0];
    let closure =
        MoistAir::from_rel_humidity(first.dry_bulb_c, first.rel_humidity, data_pressure_pa)
            .map_err(|e| e.to_string())
            .and_then(|inlet| {
                Closure::from_rating(&ClosureRating {
                    inlet,
                    removal_kg_per_s: first.removal_kg_per_s,
                    airflow_m3_per_s: fan.rated_m3_per_s(),
                    bypass_factor: data.need_value("bypass_factor").value,
                    slope_per_k: data.need_value("capacity_slope").value,
                })
                .map_err(|e| e.to_string())
            })
            .map_err(|e| {
                wrong(
                    fan_entry,
                    Fault::Contradiction,
                    "rows",
                    &e,
                    "check the rated removal, its condition and the air flow",
                )
            });
    let closure = keep(problems, closure);
    let electric = reading.once("electric");
    let refrigerant = reading.once("refrigerant");
    let body = reading.once("body");
    Some(Model {
        code: what.need_text("code").value,
        description: what.need_text("description").value,
        ratings,
        performance: performance?,
        data_pressure_pa,
        bypass_factor: data.need_value("bypass_factor").value,
        closure: closure?,
        fan,
        fan_w: fan_entry.need_value("power").value,
        standby_w: electric.need_value("standby").value,
        fan_habit: match fan_entry.need_choice("habit").value {
            "continuous" => FanHabit::Continuous,
            _ => FanHabit::FollowsCompressor,
        },
        min_inlet_c: limits.need_value("min_inlet").value,
        max_inlet_c: limits.need_value("max_inlet").value,
        defrost: defrost?,
        delays: Delays {
            restart_s: limits.need_value("restart_delay").value,
            min_on_s: limits.need_value("min_on").value,
            min_off_s: limits.need_value("min_off").value,
        },
        plate: plate(electric),
        refrigerant: refrigerant.need_text("name").value,
        charge_kg: refrigerant.need_value("charge").value,
        body: self::body(body, reading.once("clearance")),
        cabinet: match body.need_choice("cabinet").value {
            "blow-through" => Cabinet::BlowThrough,
            _ => Cabinet::DrawThrough,
        },
        pan_pressure_pa: limits.need_value("pan_pressure").value,
        hanging: hanging?,
        control: control?,
        first_cost: what.value("price").map(|g| g.value),
        provenance: provenance?,
    })
}

pub(super) fn provenance(reading: &Reading) -> Result<Provenance, Box<Problem>> {
    let source = reading.once("source");
    let text = |key: &str| source.text(key).map(|g| g.value);
    let existence = if source.need_choice("existence").value == "invented" {
        Existence::Invented
    } else {
        let date = source.date("date_read").map(|g| g.value);
        match (text("document"), text("page"), date) {
            (Some(document), Some(page), Some(read_on)) => Existence::Documented {
                document,
                page,
                read_on,
            },
            _ => {
                return Err(wrong(
                    source,
                    Fault::Missing,
                    "existence",
                    "a real machine names document, page and the day on which it was read",
                    "write document = \"...\", page = \"...\", date_read = \"2026-03-01\"",
                ));
            }
        }
    };
    let figures = reading
        .sections("figure")
        .map(|f| (f.need_text("name").value, f.need_text("from").value))
        .collect();
    Ok(Provenance { existence, figures })
}

fn ratings(reading: &Reading, problems: &mut Problems) -> Option<Vec<Rating>> {
    let all: Vec<Option<Rating>> = reading
        .sections("rating")
        .map(|entry| keep(problems, rating(entry)))
        .collect();
    if all.is_empty() {
        problems.push(reading.once("dehumidifier").problem(
            Fault::Missing,
            "code",
            "no rated point",
            "write [[rating]] and under it condition, removal and power",
        ));
    }
    all.into_iter()
        .collect::<Option<Vec<_>>>()
        .filter(|r| !r.is_empty())
}

fn rating(entry: &Entry) -> Result<Rating, Box<Problem>> {
    let word = entry.need_choice("condition").value;
    let standard = STANDARDS
        .iter()
        .find(|(_, w)| *w == word)
        .map_or(Standard::Other, |(s, _)| *s);
    let given = (
        entry.value("dry_bulb").map(|g| g.value),
        entry.value("rh").map(|g| g.value),
    );
    let (dry_bulb_c, rel_humidity) = match (standard.air(), given) {
        (Some(air), (None, None)) => air,
        (Some(_), _) => {
            return Err(wrong(
                entry,
                Fault::Contradiction,
                if entry.says("dry_bulb") {
                    "dry_bulb"
                } else {
                    "rh"
                },
                "the condition already says the air",
                "take dry_bulb and rh out, or write condition = \"other\"",
            ));
        }
        (None, (Some(t), Some(rh))) => (t, rh),
        (None, _) => {
            return Err(wrong(
                entry,
                Fault::Missing,
                "condition",
                "the condition \"other\" needs dry_bulb and rh",
                "write dry_bulb = \"75 °F\" and rh = \"50 %\"",
            ));
        }
    };
    let removal_kg_per_s = entry.need_value("removal").value;
    let power_w = match (entry.value("power"), entry.value("energy_factor")) {
        (Some(p), None) => p.value,
        (None, Some(ef)) => removal_kg_per_s / ef.value,
        (None, None) => {
            return Err(wrong(
                entry,
                Fault::Missing,
                "removal",
                "power or energy_factor is needed",
                "write power = \"1.2 kW\" or energy_factor = \"2.5 L/kWh\"",
            ));
        }
        (Some(_), Some(_)) => {
            return Err(wrong(
                entry,
                Fault::Contradiction,
                "energy_factor",
                "power and energy_factor are two ways to say one thing",
                "keep the one that the document states",
            ));
        }
    };
    Ok(Rating {
        standard,
        dry_bulb_c,
        rel_humidity,
        removal_kg_per_s,
        power_w,
    })
}

fn performance(reading: &Reading, data: &Entry) -> Result<Performance, Box<Problem>> {
    let kind = data.need_choice("kind").value;
    let section = |key: &str| {
        reading.section(key).ok_or_else(|| {
            wrong(
                data,
                Fault::Missing,
                "kind",
                &format!("this kind needs the section [{key}]"),
                &format!("write [{key}], or choose another kind"),
            )
        })
    };
    match kind {
        "table" => table(section("performance.table")?),
        "curve" => curve(section("performance.curve")?),
        "closure" => {
            let e = section("performance.closure")?;
            Ok(Performance::Closure(ClosureData {
                power_per_k: e.need_value("power_per_k").value,
                power_per_percent: e.need_value("power_per_percent").value,
                valid: range(e)?,
            }))
        }
        _ => Ok(Performance::RatingOnly),
    }
}

fn table(entry: &Entry) -> Result<Performance, Box<Problem>> {
    let map = entry.need_map("rows").value;
    let place = |name: &str| map.columns.iter().position(|c| *c == name);
    let (Some(t), Some(rh), Some(w), Some(p)) = (
        place("dry bulb"),
        place("RH"),
        place("removal"),
        place("power"),
    ) else {
        return Err(wrong(
            entry,
            Fault::Missing,
            "rows",
            "a column is missing",
            "columns are dry bulb, RH, removal, power",
        ));
    };
    let points: Vec<TablePoint> = map
        .rows
        .iter()
        .map(|r| TablePoint {
            dry_bulb_c: r[t],
            rel_humidity: r[rh],
            cell: Cell {
                removal_kg_per_s: r[w],
                power_w: r[p],
            },
        })
        .collect();
    Table::new(&points).map(Performance::Table).map_err(|e| {
        wrong(
            entry,
            Fault::Contradiction,
            "rows",
            &e.to_string(),
            "give each pair of dry bulb and relative humidity once",
        )
    })
}

fn curve(entry: &Entry) -> Result<Performance, Box<Problem>> {
    let six = |key: &str| {
        let n: Vec<f64> = entry.values(key).into_iter().map(|g| g.value).collect();
        match n.as_slice() {
            &[a, b, c, d, e, f] => Ok(Biquadratic { a, b, c, d, e, f }),
            other => Err(wrong(
                entry,
                Fault::WrongType,
                key,
                &format!("six coefficients are needed, not {}", other.len()),
                "write a, b, c, d, e, f in this order",
            )),
        }
    };
    Ok(Performance::Curve(Curve {
        removal: six("removal")?,
        power: six("power")?,
        valid: range(entry)?,
    }))
}

fn range(entry: &Entry) -> Result<Range, Box<Problem>> {
    let range = Range {
        min_dry_bulb_c: entry.need_value("min_dry_bulb").value,
        max_dry_bulb_c: entry.need_value("max_dry_bulb").value,
        min_rel_humidity: entry.need_value("min_rh").value,
        max_rel_humidity: entry.need_value("max_rh").value,
    };
    for (low, high, key) in [
        (range.min_dry_bulb_c, range.max_dry_bulb_c, "min_dry_bulb"),
        (range.min_rel_humidity, range.max_rel_humidity, "min_rh"),
    ] {
        if low > high {
            return Err(wrong(
                entry,
                Fault::Contradiction,
                key,
                "the lowest is above the highest",
                "exchange the two",
            ));
        }
    }
    Ok(range)
}

fn fan(entry: &Entry) -> Result<FanCurve, Box<Problem>> {
    let map = entry.need_map("rows").value;
    let (Some(pressures), Some(flows)) = (map.column("static"), map.column("air flow")) else {
        return Err(wrong(
            entry,
            Fault::Missing,
            "rows",
            "a column is missing",
            "columns are static, air flow",
        ));
    };
    let points = pressures
        .into_iter()
        .zip(flows)
        .map(|(static_pa, airflow_m3_per_s)| FanPoint {
            static_pa,
            airflow_m3_per_s,
        })
        .collect();
    let mut curve = FanCurve::new(points).map_err(|e| {
        wrong(
            entry,
            Fault::Contradiction,
            "rows",
            &e.to_string(),
            "put the rows in the order of rising pressure",
        )
    })?;
    let (clean_filter_pa, dirty_filter_pa) = (
        entry.need_value("clean_filter").value,
        entry.need_value("dirty_filter").value,
    );
    if dirty_filter_pa < clean_filter_pa {
        return Err(wrong(
            entry,
            Fault::Contradiction,
            "dirty_filter",
            "a dirty filter takes more pressure than a clean one",
            "exchange clean_filter and dirty_filter",
        ));
    }
    curve.rated_static_pa = entry.need_value("rated_static").value;
    curve.clean_filter_pa = clean_filter_pa;
    curve.dirty_filter_pa = dirty_filter_pa;
    Ok(curve)
}

fn defrost(entry: &Entry) -> Result<Defrost, Box<Problem>> {
    let kind = entry.need_choice("defrost").value;
    if kind == "none" {
        return Ok(Defrost::None);
    }
    let need = |key: &str, mend: &str| {
        entry.value(key).map(|g| g.value).ok_or_else(|| {
            wrong(
                entry,
                Fault::Missing,
                "defrost",
                &format!("this defrost needs {key}"),
                mend,
            )
        })
    };
    let start_c = need("defrost_start", "write defrost_start = \"28 °F\"")?;
    let end_c = need("defrost_end", "write defrost_end = \"45 °F\"")?;
    if kind == "off-cycle" {
        return Ok(Defrost::OffCycle { start_c, end_c });
    }
    Ok(Defrost::HotGas {
        start_c,
        end_c,
        time_share: need("defrost_share", "write defrost_share = \"8 %\"")?,
    })
}

fn plate(entry: &Entry) -> Plate {
    Plate {
        volts: entry.need_value("voltage").value,
        low_volts: entry.value("low_voltage").map(|g| g.value),
        phases: entry.need_count("phases").value,
        hertz: if entry.need_choice("frequency").value == "50 Hz" {
            50.0
        } else {
            60.0
        },
        full_load_a: entry.need_value("full_load").value,
        min_circuit_a: entry.need_value("min_circuit").value,
        max_protection_a: entry.need_value("max_protection").value,
        compressor_a: entry.value("compressor_current").map(|g| g.value),
        locked_rotor_a: entry.value("locked_rotor").map(|g| g.value),
    }
}

fn body(entry: &Entry, clearance: &Entry) -> Body {
    let face = |key: &str| {
        let word = entry.need_choice(key).value;
        FACES
            .iter()
            .find(|(_, w)| *w == word)
            .map_or(Face::Front, |(f, _)| *f)
    };
    let size = |key: &str| entry.need_value(key).value;
    let free = |key: &str| clearance.need_value(key).value;
    Body {
        size_m: [size("length"), size("width"), size("height")],
        dry_kg: size("mass_dry"),
        wet_kg: size("mass_wet"),
        centre_of_gravity_m: entry.need_point("centre_of_gravity").value,
        inlet: face("inlet"),
        outlet: face("outlet"),
        filter: face("filter"),
        panel: face("panel"),
        drain: face("drain"),
        drain_at_m: entry.need_point("drain_at").value,
        clearance_m: ["front", "back", "left", "right", "top", "bottom"].map(free),
    }
}

fn hanging(entry: &Entry) -> Result<Hanging, Box<Problem>> {
    let points: Vec<[f64; 3]> = entry
        .points("points")
        .into_iter()
        .map(|p| p.value)
        .collect();
    let points_m = match <[[f64; 3]; 4]>::try_from(points) {
        Ok(four) => Some(four),
        Err(none) if none.is_empty() => None,
        Err(other) => {
            return Err(wrong(
                entry,
                Fault::OutOfRange,
                "points",
                &format!("{} points, not four", other.len()),
                "write the four points that carry the unit",
            ));
        }
    };
    Ok(Hanging {
        points_m,
        pan_fall: entry.need_value("pan_fall"),
        outlet_m: entry.need_value("outlet"),
    })
}

fn control(reading: &Reading) -> Result<Control, Box<Problem>> {
    let entry = reading.once("control");
    let word = entry.need_choice("family").value;
    Ok(Control {
        family: ControlFamily::from_word(word),
        volts: entry.value("voltage").map(|g| g.value),
        current_a: entry.value("current").map(|g| g.value),
        setpoint_step: entry.value("setpoint_step").map(|g| g.value),
        terminals: terminals(reading)?,
        set_up: entry.texts("set_up").into_iter().map(|g| g.value).collect(),
    })
}

/// Terminals, each with a mark of its own.
pub(super) fn terminals(reading: &Reading) -> Result<Vec<Terminal>, Box<Problem>> {
    let mut all: Vec<Terminal> = Vec::new();
    for entry in reading.sections("terminal") {
        let mark = entry.need_text("mark").value;
        if all.iter().any(|t| t.mark == mark) {
            return Err(wrong(
                entry,
                Fault::Duplicate,
                "mark",
                "another terminal of this record has this mark",
                "give each terminal the mark that is printed beside it",
            ));
        }
        all.push(Terminal {
            mark,
            used_for: entry.need_text("used_for").value,
            role: entry.choice("role").and_then(|g| Role::from_word(g.value)),
            group: entry.text("group").map(|g| g.value),
        });
    }
    Ok(all)
}

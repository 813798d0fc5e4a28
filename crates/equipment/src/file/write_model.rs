//! A [`Model`] to the text of its machine file.

use quantity::Dim;

use super::write::{
    AIRFLOW, AMPS, LENGTH, MASS, PLAIN, POWER, PRESSURE, Page, RH, RH_STEP, SLOPE, TEMPERATURE,
    TIME, VOLTS, WATER, column, map, quantity, words,
};
use crate::curve::{Biquadratic, Range};
use crate::model::{Body, Cabinet, Defrost, FanHabit, Hanging, Model, Performance};
use crate::provenance::{Existence, Provenance};
use crate::rating::{Rating, Standard};

/// The machine file of a record; [`crate::read_model`] gives the same record
/// back, bit for bit.
pub fn write_record(model: &Model) -> String {
    let mut page = Page::default();
    page.section("[dehumidifier]");
    page.words("code", &model.code);
    page.words("description", &model.description);
    if let Some(price) = model.first_cost {
        page.number("price", price, Dim::Money, PLAIN);
    }
    provenance(&mut page, &model.provenance);
    for r in &model.ratings {
        rating(&mut page, r);
    }
    performance(&mut page, model);
    fan(&mut page, model);
    limits(&mut page, model);
    electric(&mut page, model);
    page.section("[refrigerant]");
    page.words("name", &model.refrigerant);
    page.number("charge", model.charge_kg, Dim::Mass, MASS);
    body(&mut page, &model.body, model.cabinet);
    hanging(&mut page, &model.hanging);
    page.section("[control]");
    page.words("family", model.control.family.word());
    if let Some(volts) = model.control.volts {
        page.number("voltage", volts, Dim::Voltage, VOLTS);
    }
    if let Some(amps) = model.control.current_a {
        page.number("current", amps, Dim::Current, AMPS);
    }
    if let Some(step) = model.control.setpoint_step {
        page.number("setpoint_step", step, Dim::RelHumidityDifference, RH_STEP);
    }
    page.line("set_up = [");
    for step in &model.control.set_up {
        page.line(&format!("  {},", words(step)));
    }
    page.line("]");
    for t in &model.control.terminals {
        page.section("[[terminal]]");
        page.words("mark", &t.mark);
        page.words("used_for", &t.used_for);
        if let Some(role) = t.role {
            page.words("role", role.word());
        }
        if let Some(group) = &t.group {
            page.words("group", group);
        }
    }
    page.done()
}

pub(super) fn provenance(page: &mut Page, p: &Provenance) {
    page.section("[source]");
    match &p.existence {
        Existence::Invented => page.words("existence", "invented"),
        Existence::Documented {
            document,
            page: place,
            read_on,
        } => {
            page.words("existence", "real");
            page.words("document", document);
            page.words("page", place);
            page.words("date_read", read_on);
        }
    }
    for (name, from) in &p.figures {
        page.section("[[figure]]");
        page.words("name", name);
        page.words("from", from);
    }
}

fn rating(page: &mut Page, r: &Rating) {
    page.section("[[rating]]");
    page.words("condition", r.standard.word());
    if r.standard == Standard::Other {
        page.number("dry_bulb", r.dry_bulb_c, Dim::Temperature, TEMPERATURE);
        page.number("rh", r.rel_humidity, Dim::RelHumidity, RH);
    }
    page.number("removal", r.removal_kg_per_s, Dim::WaterRate, WATER);
    page.number("power", r.power_w, Dim::Power, POWER);
}

fn performance(page: &mut Page, model: &Model) {
    page.section("[performance]");
    page.words("kind", model.performance.word());
    page.number("barometer", model.data_pressure_pa, Dim::Pressure, PRESSURE);
    page.number("bypass_factor", model.bypass_factor, Dim::Number, PLAIN);
    page.number(
        "capacity_slope",
        model.closure.slope_per_k,
        Dim::Number,
        PLAIN,
    );
    match &model.performance {
        Performance::Table(table) => {
            let points: Vec<_> = table.points().collect();
            let list = |take: fn(&crate::TablePoint) -> f64| -> Vec<f64> {
                points.iter().map(take).collect()
            };
            page.section("[performance.table]");
            page.block(&map(&[
                column(
                    "dry bulb",
                    &list(|p| p.dry_bulb_c),
                    Dim::Temperature,
                    TEMPERATURE,
                ),
                column("RH", &list(|p| p.rel_humidity), Dim::RelHumidity, RH),
                column(
                    "removal",
                    &list(|p| p.cell.removal_kg_per_s),
                    Dim::WaterRate,
                    WATER,
                ),
                column("power", &list(|p| p.cell.power_w), Dim::Power, POWER),
            ]));
        }
        Performance::Curve(curve) => {
            page.section("[performance.curve]");
            page.key("removal", &six(&curve.removal));
            page.key("power", &six(&curve.power));
            range(page, &curve.valid);
        }
        Performance::Closure(data) => {
            page.section("[performance.closure]");
            page.number("power_per_k", data.power_per_k, Dim::Number, PLAIN);
            page.number(
                "power_per_percent",
                data.power_per_percent,
                Dim::Number,
                PLAIN,
            );
            range(page, &data.valid);
        }
        Performance::RatingOnly => {}
    }
}

fn six(c: &Biquadratic) -> String {
    let list: Vec<String> = [c.a, c.b, c.c, c.d, c.e, c.f]
        .iter()
        .map(|x| quantity(*x, Dim::Number, PLAIN))
        .collect();
    format!("[{}]", list.join(", "))
}

fn range(page: &mut Page, r: &Range) {
    page.number(
        "min_dry_bulb",
        r.min_dry_bulb_c,
        Dim::Temperature,
        TEMPERATURE,
    );
    page.number(
        "max_dry_bulb",
        r.max_dry_bulb_c,
        Dim::Temperature,
        TEMPERATURE,
    );
    page.number("min_rh", r.min_rel_humidity, Dim::RelHumidity, RH);
    page.number("max_rh", r.max_rel_humidity, Dim::RelHumidity, RH);
}

fn fan(page: &mut Page, model: &Model) {
    page.section("[fan]");
    page.number("power", model.fan_w, Dim::Power, POWER);
    let habit = match model.fan_habit {
        FanHabit::FollowsCompressor => "follows compressor",
        FanHabit::Continuous => "continuous",
    };
    page.words("habit", habit);
    for (key, pa) in [
        ("rated_static", model.fan.rated_static_pa),
        ("clean_filter", model.fan.clean_filter_pa),
        ("dirty_filter", model.fan.dirty_filter_pa),
    ] {
        page.number(key, pa, Dim::Pressure, PRESSURE);
    }
    let points = model.fan.points();
    let pressures: Vec<f64> = points.iter().map(|p| p.static_pa).collect();
    let flows: Vec<f64> = points.iter().map(|p| p.airflow_m3_per_s).collect();
    page.block(&map(&[
        column("static", &pressures, Dim::Pressure, PRESSURE),
        column("air flow", &flows, Dim::AirFlow, AIRFLOW),
    ]));
}

fn limits(page: &mut Page, model: &Model) {
    page.section("[limits]");
    page.number(
        "min_inlet",
        model.min_inlet_c,
        Dim::Temperature,
        TEMPERATURE,
    );
    page.number(
        "max_inlet",
        model.max_inlet_c,
        Dim::Temperature,
        TEMPERATURE,
    );
    let mut ends = |kind: &str, start_c: f64, end_c: f64| {
        page.words("defrost", kind);
        page.number("defrost_start", start_c, Dim::Temperature, TEMPERATURE);
        page.number("defrost_end", end_c, Dim::Temperature, TEMPERATURE);
    };
    match model.defrost {
        Defrost::None => page.words("defrost", "none"),
        Defrost::OffCycle { start_c, end_c } => ends("off-cycle", start_c, end_c),
        Defrost::HotGas {
            start_c,
            end_c,
            time_share,
        } => {
            ends("hot gas", start_c, end_c);
            page.number("defrost_share", time_share, Dim::Fraction, RH);
        }
    }
    for (key, seconds) in [
        ("restart_delay", model.delays.restart_s),
        ("min_on", model.delays.min_on_s),
        ("min_off", model.delays.min_off_s),
    ] {
        page.number(key, seconds, Dim::Duration, TIME);
    }
    page.number(
        "pan_pressure",
        model.pan_pressure_pa,
        Dim::Pressure,
        PRESSURE,
    );
}

fn electric(page: &mut Page, model: &Model) {
    let plate = &model.plate;
    page.section("[electric]");
    page.number("voltage", plate.volts, Dim::Voltage, VOLTS);
    if let Some(volts) = plate.low_volts {
        page.number("low_voltage", volts, Dim::Voltage, VOLTS);
    }
    page.key("phases", &plate.phases.to_string());
    page.words(
        "frequency",
        if plate.hertz < 55.0 { "50 Hz" } else { "60 Hz" },
    );
    for (key, amps) in [
        ("full_load", plate.full_load_a),
        ("min_circuit", plate.min_circuit_a),
        ("max_protection", plate.max_protection_a),
    ] {
        page.number(key, amps, Dim::Current, AMPS);
    }
    for (key, amps) in [
        ("compressor_current", plate.compressor_a),
        ("locked_rotor", plate.locked_rotor_a),
    ] {
        if let Some(amps) = amps {
            page.number(key, amps, Dim::Current, AMPS);
        }
    }
    page.number("standby", model.standby_w, Dim::Power, POWER);
}

fn body(page: &mut Page, body: &Body, cabinet: Cabinet) {
    page.section("[body]");
    for (key, m) in ["length", "width", "height"].iter().zip(body.size_m) {
        page.number(key, m, Dim::Length, LENGTH);
    }
    page.number("mass_dry", body.dry_kg, Dim::Mass, MASS);
    page.number("mass_wet", body.wet_kg, Dim::Mass, MASS);
    page.key("centre_of_gravity", &point(body.centre_of_gravity_m));
    page.words(
        "cabinet",
        match cabinet {
            Cabinet::DrawThrough => "draw-through",
            Cabinet::BlowThrough => "blow-through",
        },
    );
    for (key, face) in [
        ("inlet", body.inlet),
        ("outlet", body.outlet),
        ("filter", body.filter),
        ("panel", body.panel),
        ("drain", body.drain),
    ] {
        page.words(key, face.word());
    }
    page.key("drain_at", &point(body.drain_at_m));
    page.section("[clearance]");
    for (key, m) in ["front", "back", "left", "right", "top", "bottom"]
        .iter()
        .zip(body.clearance_m)
    {
        page.number(key, m, Dim::Length, LENGTH);
    }
}

fn point(p: [f64; 3]) -> String {
    let list = p.map(|x| quantity(x, Dim::Length, LENGTH));
    format!("[{}]", list.join(", "))
}

fn hanging(page: &mut Page, hanging: &Hanging) {
    page.section("[hanging]");
    if let Some(points) = &hanging.points_m {
        page.key("points", &format!("[{}]", points.map(point).join(", ")));
    }
    if !hanging.pan_fall.is_assumed() {
        page.number("pan_fall", hanging.pan_fall.value, Dim::Slope, SLOPE);
    }
    if !hanging.outlet_m.is_assumed() {
        page.number("outlet", hanging.outlet_m.value, Dim::Length, LENGTH);
    }
}

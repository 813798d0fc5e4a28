//! How the numbers of the drain came about.

use equipment::Cabinet;
use quantity::{Dim, Equation, Input, STANDARD_GRAVITY_M_PER_S2, Source, Value, Working};

use super::trap::GAUGE_WATER_KG_PER_M3;
use super::water::{SURGE, SURGE_SOURCE};
use super::{Drain, Run, UnitDrain, pipe};

const HYDROSTATICS: Source = Source::published("hydrostatics", "");
const MARGIN: Source = Source::common_practice("one inch and half an inch of margin on traps");
const INCH_M: f64 = 0.0254;

pub(super) fn workings(drain: &Drain) -> Vec<Working> {
    let mut all = Vec::new();
    for unit in &drain.units {
        all.push(peak(unit));
        all.push(cooling(unit));
        all.extend(trap(unit));
        all.extend(dry_out(unit));
        all.extend(pump_head(unit));
        all.extend(needed(drain, unit));
    }
    for run in &drain.runs {
        all.extend(line(run));
    }
    all
}

fn of(unit: &UnitDrain, what: &str) -> String {
    format!("{what}, {}", unit.tag)
}

fn number(x: f64) -> Value {
    Value::new(x, Dim::Number).digits(4)
}

fn length(x: f64) -> Value {
    Value::new(x, Dim::Length)
}

fn peak(unit: &UnitDrain) -> Working {
    Working {
        name: of(unit, "peak condensate").into(),
        symbol: "m_peak".into(),
        equation: Equation::Algebra("f_surge * m_w".into()),
        inputs: vec![
            Input::given(
                "factor for pull-down, defrost and waiting water",
                "f_surge",
                number(SURGE),
                SURGE_SOURCE,
            ),
            Input::given(
                "greatest removal at the targets' wet edges and at the rating",
                "m_w",
                Value::new(unit.water.removal_kg_per_s, Dim::WaterRate),
                record(),
            ),
        ],
        result: Value::new(unit.water.peak_kg_per_s, Dim::WaterRate),
        source: Source::published("conservation of mass", ""),
    }
}

const fn record() -> Source {
    Source::assumed("computed from the unit's catalogue record")
}

fn cooling(unit: &UnitDrain) -> Working {
    let w = &unit.water;
    Working {
        name: of(unit, "cooling capacity of the coil, for the code's table").into(),
        symbol: "Q".into(),
        equation: Equation::Algebra("m_da * dh".into()),
        inputs: vec![
            Input::given(
                "dry air through the coil",
                "m_da",
                Value::new(w.dry_air_kg_per_s, Dim::MassRate),
                record(),
            ),
            Input::given(
                "enthalpy that the air loses at the coil",
                "dh",
                Value::new(w.enthalpy_drop_j_per_kg, Dim::Enthalpy),
                record(),
            ),
        ],
        result: Value::new(w.cooling_w, Dim::Cooling),
        source: Source::published("energy balance of the coil", ""),
    }
}

fn trap(unit: &UnitDrain) -> Vec<Working> {
    let Some(trap) = &unit.trap else {
        return Vec::new();
    };
    let pan = &unit.pan;
    let head = Working {
        name: of(unit, "water head of the worst pan pressure").into(),
        symbol: "h".into(),
        equation: Equation::Algebra("(p_pan + p_ducts) / (rho * g)".into()),
        inputs: vec![
            Input::given(
                "pan pressure of the record, dirty filter, fan fastest",
                "p_pan",
                Value::new(pan.record_pa.abs(), Dim::Pressure),
                record(),
            ),
            Input::given(
                "what ducts add",
                "p_ducts",
                Value::new(pan.ducts_pa.abs(), Dim::Pressure),
                Source::assumed("computed from the unit's ducts; nothing without ducts"),
            ),
            Input::given(
                "water of a gauge",
                "rho",
                Value::new(GAUGE_WATER_KG_PER_M3, Dim::Density),
                HYDROSTATICS,
            ),
            Input::given(
                "free fall",
                "g",
                number(STANDARD_GRAVITY_M_PER_S2).digits(6),
                HYDROSTATICS,
            ),
        ],
        result: length(trap.head_m),
        source: HYDROSTATICS,
    };
    let margin = |name: &'static str, symbol: &'static str, m: f64| {
        Input::given(name, symbol, length(m), MARGIN)
    };
    let (drop, seal) = match pan.cabinet {
        Cabinet::DrawThrough => {
            let drop = Working {
                name: of(unit, "H, pan outlet to trap outlet, at least").into(),
                symbol: "H".into(),
                equation: Equation::Algebra("h + a".into()),
                inputs: vec![Input::computed(head), margin("margin", "a", INCH_M)],
                result: length(trap.rule.drop_m),
                source: MARGIN,
            };
            let seal = Working {
                name: of(unit, "J, seal, at least").into(),
                symbol: "J".into(),
                equation: Equation::Algebra("H / 2".into()),
                inputs: vec![Input::computed(drop.clone())],
                result: length(trap.rule.seal_m),
                source: MARGIN,
            };
            (drop, seal)
        }
        Cabinet::BlowThrough => {
            let drop = Working {
                name: of(unit, "H, pan outlet to trap outlet, at least").into(),
                symbol: "H".into(),
                equation: Equation::Algebra("a".into()),
                inputs: vec![margin(
                    "least drop of a trap under pressure",
                    "a",
                    0.5 * INCH_M,
                )],
                result: length(trap.rule.drop_m),
                source: MARGIN,
            };
            let seal = Working {
                name: of(unit, "J, seal, at least").into(),
                symbol: "J".into(),
                equation: Equation::Algebra("h + a".into()),
                inputs: vec![Input::computed(head), margin("margin", "a", 0.5 * INCH_M)],
                result: length(trap.rule.seal_m),
                source: MARGIN,
            };
            (drop, seal)
        }
    };
    let bore = |m: f64| {
        Input::given(
            "inside diameter",
            "D",
            length(m).digits(4),
            pipe::TABLE_SOURCE,
        )
    };
    let built =
        Source::assumed("as drawn: the rule's seal, or what the bend gives if that is more");
    let priming = Working {
        name: of(unit, "water that primes the trap").into(),
        symbol: "m_prime".into(),
        equation: Equation::Algebra(
            "rho * 3.14159265358979 * D^2 / 4 * (2 * max(J_built - (R - D / 2), 0) + 3.14159265358979 * R)".into(),
        ),
        inputs: vec![
            Input::given("water", "rho", Value::new(1000.0 * quantity::WATER_KG_PER_L, Dim::Density), HYDROSTATICS),
            bore(trap.bore_m),
            Input::given("seal as drawn", "J_built", length(trap.built.seal_m).digits(4), built.clone()),
            Input::given("radius of the bend", "R", length(trap.bend_m).digits(4), built),
        ],
        result: Value::new(1000.0 * quantity::WATER_KG_PER_L * trap.priming_m3, Dim::Water),
        source: Source::published("geometry of a U of one bore", ""),
    };
    vec![drop, seal, priming]
}

fn dry_out(unit: &UnitDrain) -> Vec<Working> {
    let Some(dry) = &unit.dry_out else {
        return Vec::new();
    };
    let time = |name: &str, symbol: &'static str, s: f64, how: &'static str, source| Working {
        name: of(unit, name).into(),
        symbol: symbol.into(),
        equation: Equation::Procedure(how.into()),
        inputs: vec![
            Input::given(
                "air over the water",
                "t",
                Value::new(dry.over.dry_bulb_c, Dim::Temperature),
                record(),
            ),
            Input::given(
                "its humidity",
                "rh",
                Value::new(dry.over.rel_humidity, Dim::RelHumidity),
                record(),
            ),
        ],
        result: Value::new(s, Dim::Duration).digits(2),
        source,
    };
    vec![
        time(
            "longest time that an idle seal lasts",
            "t_long",
            dry.longest_s,
            "Stefan diffusion through still air in both legs",
            Source::published("Stefan's diffusion through a stagnant gas", ""),
        ),
        time(
            "shortest time that an idle seal lasts",
            "t_short",
            dry.shortest_s,
            "evaporation from water swept by air, by the form used for pools",
            Source::memory("ASHRAE Applications, evaporation from pools", "not read"),
        ),
    ]
}

fn pump_head(unit: &UnitDrain) -> Option<Working> {
    let pump = unit.way.as_ref()?.pump.as_ref()?;
    Some(Working {
        name: of(unit, "head of the pump").into(),
        symbol: "H_pump".into(),
        equation: Equation::Algebra("z_to - z_from + h_f".into()),
        inputs: vec![
            Input::given(
                "height that it lifts to",
                "z_to",
                length(pump.to_m).digits(4),
                record(),
            ),
            Input::given(
                "level in its tank",
                "z_from",
                length(pump.from_m).digits(4),
                record(),
            ),
            Input::given(
                "friction and losses at twice the peak",
                "h_f",
                length(pump.friction_m).digits(4),
                Source::published("Darcy and Weisbach; Colebrook (1939)", ""),
            ),
        ],
        result: length(pump.head_m()),
        source: Source::published("energy of the water in the tube", ""),
    })
}

fn needed(drain: &Drain, unit: &UnitDrain) -> Option<Working> {
    let way = unit.way.as_ref()?;
    let run = drain.runs.get(way.run)?;
    Some(Working {
        name: of(unit, "height needed from pan outlet to drain").into(),
        symbol: "z_need".into(),
        equation: Equation::Algebra("H_built + S * L + g_air".into()),
        inputs: vec![
            Input::given(
                "drop through the trap",
                "H_built",
                length(unit.trap.map_or(0.0, |t| t.built.drop_m)).digits(4),
                record(),
            ),
            Input::given(
                "fall",
                "S",
                Value::new(run.demand.fall, Dim::Slope),
                record(),
            ),
            Input::given("way in plan", "L", length(way.length_m).digits(4), record()),
            Input::given(
                "air gap",
                "g_air",
                length(run.air_gap_m.unwrap_or(0.0)).digits(4),
                record(),
            ),
        ],
        result: length(way.needed_m),
        source: HYDROSTATICS,
    })
}

fn line(run: &Run) -> Option<Working> {
    let last = run.segments.iter().find(|s| s.next.is_none())?;
    Some(Working {
        name: format!("what the line to {} may carry", run.drain).into(),
        symbol: "m_max".into(),
        equation: Equation::Algebra(
            "f_half * rho / n * 3.14159265358979 * D^2 / 8 * (D / 4)^(2 / 3) * sqrt(S)".into(),
        ),
        inputs: vec![
            Input::given(
                "share of its flow half full that is used",
                "f_half",
                number(pipe::SHARE_OF_HALF_FULL),
                Source::assumed("films of millimetres, slime and sags are not in the formula"),
            ),
            Input::given(
                "water",
                "rho",
                Value::new(pipe::WATER_KG_PER_M3, Dim::Density),
                HYDROSTATICS,
            ),
            Input::given(
                "roughness by Manning",
                "n",
                number(pipe::MANNING_N),
                Source::memory("Chow, Open-Channel Hydraulics (1959)", "smooth plastic"),
            ),
            Input::given(
                "inside diameter",
                "D",
                length(last.inside_m).digits(4),
                pipe::TABLE_SOURCE,
            ),
            Input::given(
                "fall",
                "S",
                Value::new(run.demand.fall, Dim::Slope),
                record(),
            ),
        ],
        result: Value::new(
            pipe::capacity_kg_per_s(last.inside_m, run.demand.fall),
            Dim::WaterRate,
        ),
        source: Source::published("Manning's formula, pipe half full", ""),
    })
}

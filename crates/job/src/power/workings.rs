//! How the numbers of the circuits came about.

use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::{Room, WiringRules};

use super::conductor::Phases;
use super::motor::{DeviceRule, MotorCurrents};
use super::route::{BENDS, TAIL_M};
use super::schedule::PanelSchedule;
use super::{Branch, GeneratorStart, Power, SupplyDip, motor, supply};

/// Workings of each circuit, of each panel's peak, of the generator.
pub(super) fn workings(room: &Room, power: &Power) -> Vec<Working> {
    let mut all: Vec<Working> = power
        .branches
        .iter()
        .flat_map(|b| branch(room, b))
        .collect();
    for restart in &power.restarts {
        for (name, symbol, peak_a) in [
            ("as the delays are", "I_peak", restart.peak_a),
            ("one after the other", "I_apart", restart.staggered_peak_a),
        ] {
            all.push(Working {
                name: format!("{}, current at a restart, {name}", restart.panel).into(),
                symbol: symbol.into(),
                equation: Equation::Procedure(
                    "greatest leg: other loads, locked rotors of those that start, full load of those that run"
                        .into(),
                ),
                inputs: Vec::new(),
                result: Value::new(peak_a, Dim::Current),
                source: Source::assumed(
                    "locked-rotor current of the plate, else 6 times full load",
                ),
            });
        }
        all.extend(
            restart
                .dip
                .as_ref()
                .map(|dip| supply_dip(&restart.panel, dip)),
        );
    }
    all.extend(power.panels.iter().filter_map(unbalance));
    all.extend(power.generator.as_ref().map(generator));
    all
}

fn number(si: f64) -> Value {
    Value::new(si, Dim::Number)
}

fn plate(b: &Branch) -> Source {
    Source::measured(format!("plate of {}", b.model), "")
}

fn branch(room: &Room, b: &Branch) -> Vec<Working> {
    let wiring = &room.wiring;
    let nec = wiring.rules.value == WiringRules::Nec2023;
    let table = if nec {
        Source::published(
            "NEC 2023, transcribed publicly",
            "Table 310.16, 310.15, 110.14(C)",
        )
    } else {
        Source::published(
            "IEC 60364-5-52, public extract",
            "method B2, three loaded, PVC",
        )
    };
    let insulation_c = if nec { wiring.insulation_c.value } else { 70.0 };
    let insulation = if nec {
        wiring.insulation_c.source()
    } else {
        Source::published("IEC 60364-5-52", "PVC works at 70 °C")
    };
    let ambient = Working {
        name: "correction for the air".into(),
        symbol: "f_a".into(),
        equation: if (30.0..insulation_c).contains(&wiring.ambient_c.value) {
            Equation::Algebra("sqrt((t_c - t_a) / (t_c - 30))".into())
        } else {
            Equation::Procedure("no credit below 30 °C, nothing left above the rating".into())
        },
        inputs: vec![
            Input::given(
                "rating of the insulation",
                "t_c",
                Value::new(insulation_c, Dim::Temperature),
                insulation,
            ),
            Input::given(
                "air around the conductor",
                "t_a",
                Value::new(wiring.ambient_c.value, Dim::Temperature),
                wiring.ambient_c.source(),
            ),
        ],
        result: number(b.ampacity.ambient),
        source: Source::published("NEC 310.15(B), equation of the corrections", ""),
    };
    let ampacity = Working {
        name: format!("{}, ampacity of {}", b.tag, b.size.name).into(),
        symbol: "I_z".into(),
        equation: Equation::Algebra("min(I_t * f_a * f_n, I_k)".into()),
        inputs: vec![
            Input::given(
                "ampacity of the table",
                "I_t",
                Value::new(b.ampacity.table_a, Dim::Current),
                table.clone(),
            ),
            Input::computed(ambient),
            Input::given(
                "correction for conductors together",
                "f_n",
                number(b.ampacity.bundling),
                table.clone(),
            ),
            Input::given(
                "what the terminals allow",
                "I_k",
                Value::new(b.ampacity.terminal_a, Dim::Current),
                table,
            ),
        ],
        result: Value::new(b.ampacity.allowed_a, Dim::Current),
        source: Source::published("NEC 310.15, 110.14(C); IEC 60364-5-52", ""),
    };
    let rotor = b.plate.locked_rotor_a.is_none().then(|| Working {
        name: format!("{}, locked-rotor current", b.tag).into(),
        symbol: "I_LR".into(),
        equation: Equation::Algebra("k * I_FL".into()),
        inputs: vec![
            Input::given(
                "locked-rotor over full-load current",
                "k",
                number(motor::LOCKED_ROTOR_RATIO),
                Source::memory("small hermetic compressors, 5 to 7", ""),
            ),
            Input::given(
                "full-load current",
                "I_FL",
                Value::new(b.plate.full_load_a, Dim::Current),
                plate(b),
            ),
        ],
        result: Value::new(b.locked_rotor_a, Dim::Current),
        source: Source::memory("where the plate states none", ""),
    });
    let mut all = vec![ampacity];
    all.extend(rotor);
    all.extend(
        MotorCurrents::of(&b.plate)
            .into_iter()
            .flat_map(|m| motors(b, m)),
    );
    all.extend(drop(b, nec));
    all
}

/// What the motors ask for, to be held against the plate.
fn motors(b: &Branch, currents: MotorCurrents) -> [Working; 2] {
    let inputs = || {
        vec![
            Input::given(
                "rated-load current of the compressor",
                "I_c",
                Value::new(currents.compressor_a, Dim::Current),
                plate(b),
            ),
            Input::given(
                "full-load current",
                "I_FL",
                Value::new(b.plate.full_load_a, Dim::Current),
                plate(b),
            ),
        ]
    };
    let working =
        |name: &str, symbol: &'static str, equation: String, result_a: f64, rule: &'static str| {
            Working {
                name: format!("{}, {name} by its motors", b.tag).into(),
                symbol: symbol.into(),
                equation: Equation::Algebra(equation.into()),
                inputs: inputs(),
                result: Value::new(result_a, Dim::Current),
                source: Source::published("NEC, as explained publicly", rule),
            }
        };
    let rule = DeviceRule::WillNotStart;
    [
        working(
            "least circuit",
            "I_MCA",
            "1.25 * I_c + (I_FL - I_c)".into(),
            motor::min_circuit_a(currents),
            "440.33",
        ),
        working(
            "largest device",
            "I_max",
            format!("{} * I_c + (I_FL - I_c)", rule.factor()),
            motor::max_protection_a(currents, rule),
            "440.22(A)",
        ),
    ]
}

fn supply_dip(panel: &str, dip: &SupplyDip) -> Working {
    Working {
        name: format!("{panel}, dip of the voltage, units as their delays are").into(),
        symbol: "d".into(),
        equation: Equation::Algebra("I_LR / (I_LR + I_sc)".into()),
        inputs: vec![
            Input::given(
                "rotors that start together",
                "I_LR",
                Value::new(dip.together_a, Dim::Current),
                Source::assumed("added as numbers over all legs"),
            ),
            Input::given(
                "current into a short circuit at the panel",
                "I_sc",
                Value::new(dip.fault_a, Dim::Current),
                Source::measured("survey", "panel"),
            ),
        ],
        result: Value::new(dip.together, Dim::Fraction),
        source: Source::published("public power-quality notes", "a divider of impedances"),
    }
}

fn unbalance(panel: &PanelSchedule) -> Option<Working> {
    Some(unbalance_working(
        format!("{}, unbalance of the voltages", panel.name),
        panel.between_v?,
        &Source::measured("survey", "panel"),
    ))
}

/// How the unbalance of three voltages came about.
pub(crate) fn unbalance_working(name: String, volts: [f64; 3], read: &Source) -> Working {
    let [ab, bc, ca] = volts;
    let inputs = || {
        [
            ("A and B", "V_a", ab),
            ("B and C", "V_b", bc),
            ("C and A", "V_c", ca),
        ]
        .map(|(phases, symbol, volts)| {
            Input::given(
                format!("between {phases}"),
                symbol,
                Value::new(volts, Dim::Voltage).digits(4),
                read.clone(),
            )
        })
    };
    let mean = Working {
        name: "mean of the three".into(),
        symbol: "V_m".into(),
        equation: Equation::Algebra("(V_a + V_b + V_c) / 3".into()),
        inputs: inputs().to_vec(),
        result: Value::new((ab + bc + ca) / 3.0, Dim::Voltage).digits(4),
        source: Source::assumed("arithmetic"),
    };
    let mut all = inputs().to_vec();
    all.push(Input::computed(mean));
    Working {
        name: name.into(),
        symbol: "u".into(),
        equation: Equation::Algebra(
            "max(max(abs(V_a - V_m), abs(V_b - V_m)), abs(V_c - V_m)) / V_m".into(),
        ),
        inputs: all,
        result: Value::new(supply::unbalance([ab, bc, ca]), Dim::Fraction),
        source: Source::published("NEMA MG 1, as quoted publicly", "voltage unbalance"),
    }
}

fn drop(b: &Branch, nec: bool) -> Option<Working> {
    let run = b.run.as_ref()?;
    let length = Working {
        name: "conductor, one way".into(),
        symbol: "L".into(),
        equation: Equation::Algebra("(1 + b) * l + 2 * l_t".into()),
        inputs: vec![
            Input::given(
                "length of the route",
                "l",
                Value::new(run.length_m, Dim::Length),
                Source::assumed("along walls and ceiling at right angles"),
            ),
            Input::given(
                "for bends",
                "b",
                number(BENDS),
                Source::common_practice("10 % on a route"),
            ),
            Input::given(
                "tail at each end",
                "l_t",
                Value::new(TAIL_M, Dim::Length),
                Source::common_practice("1 m at panel and unit"),
            ),
        ],
        result: Value::new(run.conductor_m, Dim::Length),
        source: Source::assumed("route, bends and tails"),
    };
    let (equation, law) = match b.phases() {
        Phases::Single => ("2 * L * I * R", "there and back"),
        Phases::Three => ("sqrt(3) * L * I * R", "three phases"),
    };
    let resistance = if nec {
        Source::memory("NEC chapter 9, Table 8, stranded copper at 75 °C", "")
    } else {
        Source::memory("IEC 60228 class 2 at 20 °C, taken to 70 °C", "")
    };
    Some(Working {
        name: format!("{}, voltage drop", b.tag).into(),
        symbol: "dV".into(),
        equation: Equation::Algebra(equation.into()),
        inputs: vec![
            Input::computed(length),
            Input::given(
                "full-load current",
                "I",
                Value::new(b.plate.full_load_a, Dim::Current),
                plate(b),
            ),
            Input::given(
                "resistance of the conductor",
                "R",
                Value::new(b.size.ohm_per_m, Dim::LineResistance),
                resistance,
            ),
        ],
        result: Value::new(run.drop_v, Dim::Voltage),
        source: Source::published("Ohm's law", law),
    })
}

fn generator(g: &GeneratorStart) -> Working {
    Working {
        name: "dip of the generator, units as their delays are".into(),
        symbol: "d".into(),
        equation: Equation::Algebra("X * S / S_g".into()),
        inputs: vec![
            Input::given(
                "subtransient reactance",
                "X",
                number(g.reactance),
                Source::measured("survey", "generator"),
            ),
            Input::given(
                "apparent power of the start",
                "S",
                Value::new(g.start_va, Dim::ApparentPower),
                Source::assumed("units that start together, at locked rotor"),
            ),
            Input::given(
                "rating",
                "S_g",
                Value::new(g.rating_va, Dim::ApparentPower),
                Source::measured("survey", "generator"),
            ),
        ],
        result: Value::new(g.dip, Dim::Fraction),
        source: Source::published("public generator-sizing notes", "linear, the larger of two"),
    }
}

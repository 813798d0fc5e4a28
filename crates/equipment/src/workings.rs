//! How the numbers of a dehumidifier came about.

use air::MoistAir;
use quantity::{Dim, Equation, Input, Source, Value, Working};

use crate::curve::{Biquadratic, CURVE_SOURCE, SET_A_CLAMP, SET_A_ENERGY_FACTOR, SET_A_REMOVAL};
use crate::fan::FilterState;
use crate::model::{Model, Performance};
use crate::output::Output;
use crate::rating::{Rating, Standard};

const BALANCE: Source = Source::published(
    "balances of water and enthalpy; ASHRAE Handbook - Fundamentals 2017, ch. 1",
    "eq. 30 for the enthalpy of moist air",
);
const CLOSURE: Source = Source::assumed(
    "apparatus dew point and bypass factor, capacity rising with coil temperature; fitted to the public curve set A",
);

/// The workings of one [`Output`].
#[derive(Clone, Debug, PartialEq)]
pub struct OutputWorkings {
    /// Water removed.
    pub removal: Working,
    /// Power drawn.
    pub power: Working,
    /// Water per energy.
    pub energy_factor: Working,
    /// Dry-bulb heat to the room.
    pub sensible_to_room: Working,
    /// Enthalpy to the room.
    pub net_heat_to_room: Working,
    /// Dry bulb of the discharge.
    pub discharge: Working,
}

impl Model {
    /// How the output at this inlet air came about; nothing when the unit is
    /// off there.
    pub fn workings(&self, inlet: MoistAir, filter: FilterState) -> Option<OutputWorkings> {
        let out = self.at(inlet, filter);
        if !out.runs() {
            return None;
        }
        let removal = self.removal_working(&inlet, &out);
        let power = self.power_working(&inlet, &out);
        let energy_factor = Working {
            name: "energy factor".into(),
            symbol: "EF".into(),
            equation: Equation::Algebra("m_w / P".into()),
            inputs: vec![
                Input::computed(removal.clone()),
                Input::computed(power.clone()),
            ],
            result: Value::new(out.energy_factor_kg_per_j(), Dim::WaterPerEnergy),
            source: Source::published("definition", ""),
        };
        let condensate = Input::given(
            "temperature of the condensate, that of the air leaving the coil",
            "T_c",
            Value::new(out.condensate_c, Dim::Temperature),
            CLOSURE,
        );
        let dry_bulb = Input::given(
            "inlet dry bulb",
            "T",
            Value::new(inlet.dry_bulb_c(), Dim::Temperature),
            Source::assumed("the inlet air asked for"),
        );
        let sensible_to_room = Working {
            name: "sensible heat to the room".into(),
            symbol: "Q_s".into(),
            equation: Equation::Algebra("P + m_w * (2501000 + 1860 * T - 4186 * T_c)".into()),
            inputs: vec![
                Input::computed(power.clone()),
                Input::computed(removal.clone()),
                dry_bulb.clone(),
                condensate.clone(),
            ],
            result: Value::new(out.sensible_to_room_w, Dim::Power),
            source: BALANCE,
        };
        let net_heat_to_room = Working {
            name: "net heat to the room".into(),
            symbol: "Q_net".into(),
            equation: Equation::Algebra("P - m_w * 4186 * T_c".into()),
            inputs: vec![
                Input::computed(power.clone()),
                Input::computed(removal.clone()),
                condensate,
            ],
            result: Value::new(out.net_heat_to_room_w, Dim::Power),
            source: BALANCE,
        };
        let discharge = discharge(&inlet, &out, dry_bulb, &removal, &net_heat_to_room);
        Some(OutputWorkings {
            removal,
            power,
            energy_factor,
            sensible_to_room,
            net_heat_to_room,
            discharge,
        })
    }

    fn removal_working(&self, inlet: &MoistAir, out: &Output) -> Working {
        let rating = self.rating();
        let result = Value::new(out.removal_kg_per_s, Dim::WaterRate);
        let name = "water removed at the inlet air";
        let rated = Input::given(
            "rated removal",
            "m_r",
            Value::new(rating.removal_kg_per_s, Dim::WaterRate),
            self.provenance.source_of("rating"),
        );
        let curve = match &self.performance {
            Performance::RatingOnly => Some((SET_A_REMOVAL, self.ranges().0, CURVE_SOURCE)),
            Performance::Curve(c) => {
                Some((c.removal, c.valid, self.provenance.source_of("performance")))
            }
            Performance::Table(_) | Performance::Closure(_) => None,
        };
        let Some((curve, range, source)) = curve else {
            let procedure = match &self.performance {
                Performance::Table(_) => {
                    "straight interpolation in the table of the record, times the closure's ratio for what lies beyond it"
                }
                _ => {
                    "closure: coil temperature at which the coil takes up what the compressor offers"
                }
            };
            return Working {
                name: name.into(),
                symbol: "m_w".into(),
                equation: Equation::Procedure(procedure.into()),
                inputs: self.air_inputs(inlet, out),
                result,
                source: self.provenance.source_of("performance"),
            };
        };
        let (t_c, rh) = range.clamp(inlet.dry_bulb_c(), inlet.rel_humidity().min(1.0));
        let mut inputs = vec![rated];
        inputs.extend(coefficients(&curve, &source));
        inputs.extend(point(t_c, rh, "", "the nearest point of the data"));
        inputs.extend(corrections(out));
        let poly = "(k0 + k1 * T + k2 * T^2 + k3 * 100 * R + k4 * (100 * R)^2 + k5 * T * 100 * R)";
        let equation = if matches!(self.performance, Performance::RatingOnly) {
            inputs.extend(point(
                rating.dry_bulb_c,
                rating.rel_humidity,
                "_r",
                "the air of the rating",
            ));
            let at_rating = "(k0 + k1 * T_r + k2 * T_r^2 + k3 * 100 * R_r + k4 * (100 * R_r)^2 + k5 * T_r * 100 * R_r)";
            format!("m_r * {poly} / {at_rating} * c_closure * c_frost * c_cap")
        } else {
            format!("m_r * {poly} * c_closure * c_frost * c_cap")
        };
        Working {
            name: name.into(),
            symbol: "m_w".into(),
            equation: Equation::Algebra(equation.into()),
            inputs,
            result,
            source,
        }
    }

    fn power_working(&self, inlet: &MoistAir, out: &Output) -> Working {
        let rating = self.rating();
        let rated = Input::given(
            "rated power",
            "P_r",
            Value::new(rating.power_w, Dim::Power),
            self.provenance.source_of("rating"),
        );
        let result = Value::new(out.power_w, Dim::Power);
        let (t_c, rh) = (inlet.dry_bulb_c(), inlet.rel_humidity().min(1.0));
        let (equation, inputs, source) = match &self.performance {
            Performance::RatingOnly => {
                let (t_c, rh) = SET_A_CLAMP.clamp(t_c, rh);
                let ratio = |curve: &Biquadratic, what: &'static str, symbol: &'static str| {
                    let x = curve.at(t_c, rh) / curve.at(rating.dry_bulb_c, rating.rel_humidity);
                    Input::given(what, symbol, Value::new(x, Dim::Number), CURVE_SOURCE)
                };
                let inputs = vec![
                    rated,
                    ratio(
                        &SET_A_REMOVAL,
                        "removal over rated by the public curve",
                        "f_W",
                    ),
                    ratio(
                        &SET_A_ENERGY_FACTOR,
                        "energy factor over rated by the public curve",
                        "f_EF",
                    ),
                ];
                // Below the least share the two curves mean nothing.
                let equation = Equation::Algebra("P_r * max(0.6, f_W / f_EF)".into());
                (equation, inputs, CURVE_SOURCE)
            }
            Performance::Curve(curve) => {
                let source = self.provenance.source_of("performance");
                let (t_c, rh) = curve.valid.clamp(t_c, rh);
                let mut inputs = vec![rated];
                inputs.extend(coefficients(&curve.power, &source));
                inputs.extend(point(t_c, rh, "", "the nearest point of the data"));
                let equation = "P_r * (k0 + k1 * T + k2 * T^2 + k3 * 100 * R + k4 * (100 * R)^2 + k5 * T * 100 * R)";
                (Equation::Algebra(equation.into()), inputs, source)
            }
            Performance::Closure(data) => {
                let source = self.provenance.source_of("performance");
                let (t_c, rh) = data.valid.clamp(t_c, rh);
                let mut inputs = vec![rated];
                for (name, symbol, x) in [
                    ("power per kelvin", "a", data.power_per_k),
                    ("power per percent", "b", data.power_per_percent),
                ] {
                    let x = Value::new(x, Dim::Number);
                    inputs.push(Input::given(name, symbol, x, source.clone()));
                }
                inputs.extend(point(t_c, rh, "", "the nearest point of the data"));
                let air = "the air of the rating";
                inputs.extend(point(rating.dry_bulb_c, rating.rel_humidity, "_r", air));
                let equation = "P_r * max(0.6, 1 + a * (T - T_r) + b * 100 * (R - R_r))";
                (Equation::Algebra(equation.into()), inputs, source)
            }
            Performance::Table(_) => (
                Equation::Procedure(
                    "straight interpolation in the table of the record, held beyond its edge"
                        .into(),
                ),
                self.air_inputs(inlet, out),
                self.provenance.source_of("performance"),
            ),
        };
        Working {
            name: "power drawn at the inlet air".into(),
            symbol: "P".into(),
            equation,
            inputs,
            result,
            source,
        }
    }

    fn air_inputs(&self, inlet: &MoistAir, out: &Output) -> Vec<Input> {
        let mut inputs: Vec<Input> = point(
            inlet.dry_bulb_c(),
            inlet.rel_humidity(),
            "",
            "the inlet air asked for",
        )
        .into();
        inputs.extend(corrections(out));
        inputs
    }
}

fn point(t_c: f64, rh: f64, suffix: &str, what: &'static str) -> [Input; 2] {
    [
        Input::given(
            "dry bulb",
            format!("T{suffix}"),
            Value::new(t_c, Dim::Temperature),
            Source::assumed(what),
        ),
        Input::given(
            "relative humidity",
            format!("R{suffix}"),
            Value::new(rh, Dim::RelHumidity),
            Source::assumed(what),
        ),
    ]
}

fn coefficients(c: &Biquadratic, source: &Source) -> Vec<Input> {
    [c.a, c.b, c.c, c.d, c.e, c.f]
        .iter()
        .enumerate()
        .map(|(i, &x)| {
            Input::given(
                format!("coefficient {i} of the curve"),
                format!("k{i}"),
                Value::new(x, Dim::Number).digits(9),
                source.clone(),
            )
        })
        .collect()
}

fn corrections(out: &Output) -> [Input; 3] {
    let c = out.corrections;
    let one = |name: &'static str, symbol: &'static str, x: f64| {
        Input::given(name, symbol, Value::new(x, Dim::Number), CLOSURE)
    };
    [
        one(
            "altitude, filter and what lies beyond the data",
            "c_closure",
            c.closure,
        ),
        one("frost, more than the data hold", "c_frost", c.frost),
        one("what this air can give up", "c_cap", c.cap),
    ]
}

fn discharge(
    inlet: &MoistAir,
    out: &Output,
    dry_bulb: Input,
    removal: &Working,
    net: &Working,
) -> Working {
    let given = |name: &'static str, symbol: &'static str, x: f64, dim: Dim| {
        Input::given(
            name,
            symbol,
            Value::new(x, dim).digits(4),
            Source::assumed("the inlet air asked for"),
        )
    };
    let w_in = given(
        "inlet humidity ratio",
        "W",
        inlet.humidity_ratio(),
        Dim::HumidityRatio,
    );
    let dry_air = Working {
        name: "dry air".into(),
        symbol: "m_da".into(),
        equation: Equation::Algebra("V / v".into()),
        inputs: vec![
            Input::given(
                "air flow at the inlet",
                "V",
                Value::new(out.airflow_m3_per_s, Dim::AirFlow),
                Source::assumed("fan curve of the record at the filter's state"),
            ),
            given(
                "specific volume of the inlet air",
                "v",
                inlet.specific_volume_m3_per_kg(),
                Dim::SpecificVolume,
            ),
        ],
        result: Value::new(out.dry_air_kg_per_s, Dim::MassRate),
        source: BALANCE,
    };
    let w_out = Working {
        name: "humidity ratio of the discharge".into(),
        symbol: "W_2".into(),
        equation: Equation::Algebra("W - m_w / m_da".into()),
        inputs: vec![
            w_in.clone(),
            Input::computed(removal.clone()),
            Input::computed(dry_air.clone()),
        ],
        result: Value::new(out.discharge.humidity_ratio(), Dim::HumidityRatio),
        source: BALANCE,
    };
    Working {
        name: "dry bulb of the discharge".into(),
        symbol: "T_2".into(),
        equation: Equation::Algebra(
            "(1006 * T + W * (2501000 + 1860 * T) + Q_net / m_da - 2501000 * W_2) / (1006 + 1860 * W_2)"
                .into(),
        ),
        inputs: vec![
            dry_bulb,
            w_in,
            Input::computed(net.clone()),
            Input::computed(dry_air),
            Input::computed(w_out),
        ],
        result: Value::new(out.discharge.dry_bulb_c(), Dim::Temperature),
        source: BALANCE,
    }
}

impl Rating {
    /// How a rating at another standard condition came about; nothing for
    /// [`Standard::Other`].
    pub fn conversion_working(&self, to: Standard) -> Option<Working> {
        let converted = self.converted(to)?;
        let ratio = |t: f64, rh: f64| SET_A_REMOVAL.at(t, rh);
        let number = |name: &'static str, symbol: &'static str, x: f64| {
            Input::given(name, symbol, Value::new(x, Dim::Number), CURVE_SOURCE)
        };
        Some(Working {
            name: "removal converted to another rating condition".into(),
            symbol: "m_to".into(),
            equation: Equation::Algebra("m_r * f_to / f_from".into()),
            inputs: vec![
                Input::given(
                    "removal as rated",
                    "m_r",
                    Value::new(self.removal_kg_per_s, Dim::WaterRate),
                    self.standard.source(),
                ),
                number(
                    "public curve at the condition asked for",
                    "f_to",
                    ratio(converted.dry_bulb_c, converted.rel_humidity),
                ),
                number(
                    "public curve at the condition of the rating",
                    "f_from",
                    ratio(self.dry_bulb_c, self.rel_humidity),
                ),
            ],
            result: Value::new(converted.removal_kg_per_s, Dim::WaterRate),
            source: CURVE_SOURCE,
        })
    }
}

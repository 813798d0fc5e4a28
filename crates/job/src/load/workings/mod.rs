//! How the loads came about.
//!
//! Each period opens to its sources, each source to the likely case of its
//! equation, that to the survey. Where draws make the mean of a source differ
//! from its likely case, the mean is a named procedure over that case.

mod leaves;
mod plain;
mod surfaces;
mod through_walls;

use air::MoistAir;
use crop::workings::KnownAir;
use quantity::{Dim, Equation, Input, Source, Value, Working};
use room::{Period, Room};

use super::given_off::{GivenOff, LoadSource};
use super::{Load, PeriodLoad, SourceLoad};

/// Likely case and mean of a source are the same number up to rounding.
const SAME: f64 = 1e-9;

/// Workings of the loads of all periods and of the day, then what checks them.
pub(super) fn workings(room: &Room, given_off: &GivenOff<'_>, load: &Load) -> Vec<Working> {
    let mut all = Vec::new();
    for span in &load.periods {
        let Some(likely) = Likely::of(room, given_off, span.period) else {
            continue;
        };
        let sources = likely.sources();
        all.push(total(&likely, span, &sources, Flow::Water));
        all.push(total(&likely, span, &sources, Flow::Heat));
        if span.period != Period::Transition {
            all.extend(leaves::second_look(&likely));
        }
    }
    all.extend(day(load, &all));
    all.extend(room.crop.as_ref().and_then(leaves::ceiling));
    all
}

/// Water of all sources in a period, among the workings of a load.
pub(crate) fn water_of_all_sources(load: &Load, period: Period) -> Option<&Working> {
    let symbol = format!("w_{}", tag(period));
    load.workings.iter().find(|w| w.symbol == symbol)
}

const fn tag(period: Period) -> &'static str {
    match period {
        Period::LightsOn => "on",
        Period::Transition => "after",
        Period::LightsOff => "off",
    }
}

/// What is summed up.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Flow {
    Water,
    Heat,
}

impl Flow {
    const fn dim(self) -> Dim {
        match self {
            Self::Water => Dim::WaterRate,
            Self::Heat => Dim::Power,
        }
    }

    const fn word(self) -> &'static str {
        match self {
            Self::Water => "water",
            Self::Heat => "sensible heat",
        }
    }

    const fn letter(self) -> &'static str {
        match self {
            Self::Water => "w",
            Self::Heat => "Q",
        }
    }

    const fn mean(self, source: &SourceLoad) -> f64 {
        match self {
            Self::Water => source.mean_water_kg_per_s,
            Self::Heat => source.mean_sensible_w,
        }
    }
}

/// The room in the middle of a period, everything uncertain at its likely
/// value.
struct Likely<'a> {
    room: &'a Room,
    given_off: &'a GivenOff<'a>,
    period: Period,
    air: KnownAir,
    outdoor: MoistAir,
    /// Light as a share of full.
    light: f64,
    /// "with lights on" and the like.
    when: &'static str,
}

/// What one source gives off, by its parts (each tank, each face).
struct OfSource {
    source: LoadSource,
    water: Vec<Working>,
    heat: Vec<Working>,
}

impl OfSource {
    const fn new(source: LoadSource, water: Vec<Working>, heat: Vec<Working>) -> Self {
        Self {
            source,
            water,
            heat,
        }
    }

    fn parts(&self, flow: Flow) -> &[Working] {
        match flow {
            Flow::Water => &self.water,
            Flow::Heat => &self.heat,
        }
    }
}

impl<'a> Likely<'a> {
    fn of(room: &'a Room, given_off: &'a GivenOff<'a>, period: Period) -> Option<Self> {
        let (state, light) = given_off.moment_of(period)?;
        Some(Self {
            room,
            given_off,
            period,
            air: KnownAir {
                state,
                source: room.targets.of(period).dry_bulb_c.source(),
            },
            outdoor: given_off.outdoor_of(period)?,
            light,
            when: crate::finding::when(room, period),
        })
    }

    fn sources(&self) -> Vec<OfSource> {
        vec![
            leaves::canopy(self),
            surfaces::medium(self),
            surfaces::open_water(self),
            surfaces::wash_down(self),
            surfaces::hung_crop(self),
            plain::people(self),
            plain::burners(self),
            through_walls::air_exchange(self),
            plain::other(self),
            leaves::lights(self),
            plain::fans(self),
            through_walls::envelope(self),
        ]
    }

    fn dry_bulb(&self) -> Input {
        Input::given(
            "air dry bulb",
            "T_a",
            Value::new(self.air.state.dry_bulb_c(), Dim::Temperature).digits(4),
            self.air.source.clone(),
        )
    }

    /// Heat that evaporation takes from the air.
    fn evaporation(&self, water: &Working) -> Working {
        let rate = water.result.si;
        Working {
            name: format!("heat of evaporation, {}", water.name).into(),
            symbol: "Q_evap".into(),
            equation: Equation::Algebra("-w * (2501000 - 2361 * T_a)".into()),
            inputs: vec![under("w", water.clone()), self.dry_bulb()],
            result: Value::new(
                -rate * air::latent_heat_j_per_kg(self.air.state.dry_bulb_c()),
                Dim::Power,
            ),
            source: crop::sources::BALANCE,
        }
    }
}

/// A working as an input under another symbol.
fn under(symbol: impl Into<std::borrow::Cow<'static, str>>, working: Working) -> Input {
    Input {
        symbol: symbol.into(),
        ..Input::computed(working)
    }
}

/// Parts as one working: the one there is, or their sum.
fn sum(name: String, symbol: &str, parts: &[Working], dim: Dim) -> Option<Working> {
    match parts {
        [] => None,
        [one] => Some(one.clone()),
        more => {
            let symbols: Vec<String> = (1..=more.len()).map(|i| format!("{symbol}_{i}")).collect();
            let inputs = symbols.iter().zip(more);
            Some(Working {
                name: name.into(),
                symbol: symbol.to_owned().into(),
                equation: Equation::Algebra(symbols.join(" + ").into()),
                inputs: inputs.map(|(s, w)| under(s.clone(), w.clone())).collect(),
                result: Value::new(more.iter().map(|w| w.result.si).sum(), dim),
                source: crop::sources::BALANCE,
            })
        }
    }
}

/// All sources of a period: means add up, and what the middle of the draws
/// differs from their mean stands beside them.
fn total(likely: &Likely<'_>, span: &PeriodLoad, sources: &[OfSource], flow: Flow) -> Working {
    let middle = match flow {
        Flow::Water => span.mean.water_kg_per_s.likely,
        Flow::Heat => span.mean.sensible_w.likely,
    };
    let mut inputs: Vec<Input> = span
        .mean
        .sources
        .iter()
        .filter(|s| flow.mean(s) != 0.0)
        .map(|s| {
            let of = sources.iter().find(|o| o.source == s.source);
            let parts = of.map_or(&[][..], |o| o.parts(flow));
            of_source(likely, s, parts, flow)
        })
        .collect();
    let means: f64 = inputs.iter().map(|i| i.value.si).sum();
    if SAME * middle.abs() < (middle - means).abs() {
        inputs.push(Input::computed(Working {
            name: "middle of the drawn days less their mean".into(),
            symbol: "d_middle".into(),
            equation: Equation::Procedure(
                "spreads reach further up than down, so that the middle of the draws is not their mean"
                    .into(),
            ),
            inputs: Vec::new(),
            result: Value::new(middle - means, flow.dim()),
            source: DRAWN,
        }));
    }
    let symbols: Vec<&str> = inputs.iter().map(|i| &*i.symbol).collect();
    Working {
        name: format!("{} of all sources {}", flow.word(), likely.when).into(),
        symbol: format!("{}_{}", flow.letter(), tag(span.period)).into(),
        equation: Equation::Algebra(if symbols.is_empty() {
            "0".into()
        } else {
            symbols.join(" + ").into()
        }),
        inputs,
        result: Value::new(middle, flow.dim()),
        source: crop::sources::BALANCE,
    }
}

const DRAWN: Source = Source::assumed(
    "spreads of the survey and the crop class; weighted by measured water where given",
);

/// Mean of a source over the period and the drawn days.
fn of_source(likely: &Likely<'_>, mean: &SourceLoad, parts: &[Working], flow: Flow) -> Input {
    let symbol = format!("{}_{}", flow.letter(), short(mean.source));
    let name = format!("{} of {} {}", flow.word(), mean.source.word(), likely.when);
    let of_draws = flow.mean(mean);
    let case = sum(format!("{name}, likely case"), &symbol, parts, flow.dim());
    match case {
        Some(case) if (case.result.si - of_draws).abs() <= SAME * of_draws.abs() => {
            under(symbol, case)
        }
        case => Input::computed(Working {
            name: name.into(),
            symbol: symbol.into(),
            equation: Equation::Procedure(
                "mean over the drawn days and over the period in steps of 15 min; the likely case in its middle is worked"
                    .into(),
            ),
            inputs: case.into_iter().map(|w| under("likely", w)).collect(),
            result: Value::new(of_draws, flow.dim()),
            source: DRAWN,
        }),
    }
}

const fn short(source: LoadSource) -> &'static str {
    match source {
        LoadSource::Canopy => "canopy",
        LoadSource::Medium => "medium",
        LoadSource::OpenWater => "open",
        LoadSource::WashDown => "wash",
        LoadSource::HungCrop => "hung",
        LoadSource::People => "people",
        LoadSource::Burner => "burner",
        LoadSource::AirExchange => "air",
        LoadSource::Other => "other",
        LoadSource::Lights => "lights",
        LoadSource::Fans => "fans",
        LoadSource::Envelope => "walls",
    }
}

/// Water of the whole day from that of its periods.
fn day(load: &Load, periods: &[Working]) -> Option<Working> {
    let mut inputs = Vec::new();
    let mut terms = Vec::new();
    let mut summed_kg = 0.0;
    for span in &load.periods {
        let symbol = format!("w_{}", tag(span.period));
        let water = periods.iter().find(|w| w.symbol == symbol)?;
        let length = format!("t_{}", tag(span.period));
        summed_kg += span.length_s * water.result.si;
        terms.push(format!("{length} * {symbol}"));
        inputs.push(Input::given(
            "length of the period",
            length,
            Value::new(span.length_s, Dim::Duration),
            Source::assumed("light hours and targets of the survey, in steps of 15 min"),
        ));
        inputs.push(Input::computed(water.clone()));
    }
    let middle_kg = load.water_kg_per_day.likely;
    if SAME * middle_kg.abs() < (middle_kg - summed_kg).abs() {
        terms.push("d_day".into());
        inputs.push(Input::computed(Working {
            name: "middle of the days less the sum of the middles of their periods".into(),
            symbol: "d_day".into(),
            equation: Equation::Procedure(
                "a day that is in the middle as a whole is not so in each of its periods".into(),
            ),
            inputs: Vec::new(),
            result: Value::new(middle_kg - summed_kg, Dim::Water),
            source: DRAWN,
        }));
    }
    Some(Working {
        name: "water of all sources in a day".into(),
        symbol: "m_day".into(),
        equation: Equation::Algebra(terms.join(" + ").into()),
        inputs,
        result: Value::new(middle_kg, Dim::Water),
        source: crop::sources::BALANCE,
    })
}

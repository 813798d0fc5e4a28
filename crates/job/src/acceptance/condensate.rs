//! Water caught over a time, against what the unit's map promises at the air
//! that it breathed: the test that counts.

mod proof;
mod workings;

use air::MoistAir;
use equipment::{Data, FilterState, Model, Output, Performance};
use quantity::{Dim, Place, Severity, Source, Step, Text, Value};

use super::gum::{self, Budget, rectangular};
use super::steadiness::{self, AirReading};
use super::{COVERAGE, Estimate, Judgement, Verdict};
use crate::finding::Said;

/// A timed collection of condensate.
#[derive(Clone, Debug, PartialEq)]
pub struct Collection {
    /// Water caught \[kg\].
    pub water_kg: f64,
    /// It was read to this, either way \[kg\].
    pub read_to_kg: f64,
    /// How long \[s\].
    pub over_s: f64,
    /// Begin and end were each hit to this, either way \[s\].
    pub ends_to_s: f64,
    /// How long the unit had run before \[s\].
    pub ran_before_s: f64,
    /// How its compressor ran meanwhile.
    pub running: Running,
    /// What was done meanwhile that stops the unit or adds water, in words.
    pub meanwhile: Vec<Text>,
    /// Inlet air meanwhile.
    pub inlet: Vec<AirReading>,
    /// Standard uncertainty of the thermometer \[K\].
    pub thermometer_k: f64,
    /// Standard uncertainty of the hygrometer, 0 to 1.
    pub hygrometer: f64,
    /// Barometric pressure \[Pa\].
    pub pressure_pa: f64,
    /// Air that it moves against its ducts \[m³/s\]; `None` without ducts.
    pub ducted_m3_per_s: Option<f64>,
}

/// How a compressor ran while water was caught.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Running {
    /// Without a stop.
    Through,
    /// It stopped and started again, or defrosted, this often in whole.
    Cycles(u32),
}

/// What pan, coil and trap may hold more or less at the end than at the begin
/// \[kg\], either way.
///
/// **Assumed** 50 mL: a pan that falls to its outlet, both ends at one point of
/// the running.
pub const HOLD_UP_KG: f64 = 0.050;
/// Most water that coil, pan and trap take up before the first drop runs at
/// full rate \[kg\].
///
/// **Source** 0.5 to 2 kg from memory; that there is such a lag: Shirey &
/// Henderson 2004, ASHRAE Journal 46(4).
pub const RETAINED_KG: f64 = 2.0;
/// Least running before water is caught \[s\]. Common practice, no published
/// source.
pub const LEAST_BEFORE_S: f64 = 1_800.0;
/// Least time of catching \[s\]. Common practice, no published source.
pub const LEAST_OVER_S: f64 = 1_800.0;
/// Least whole cycles of a unit that stops meanwhile. Common practice, no
/// published source.
pub const LEAST_CYCLES: u32 = 3;
/// Expanded uncertainty of both together, over the expected removal, up to
/// which a test decides: a unit that gives a quarter too little is seen.
/// **Assumed**.
pub const DECIDES_WITHIN: f64 = 0.25;

/// How the unit did.
#[derive(Clone, Debug, PartialEq)]
pub struct Condensate {
    /// Water caught per time \[kg/s\].
    pub measured: Estimate,
    /// What the map promises at the inlet air \[kg/s\].
    pub expected: Estimate,
    /// What the readings of the inlet add to that, standard \[kg/s\].
    pub from_inlet_kg_per_s: f64,
    /// What the map adds, standard \[kg/s\].
    pub from_map_kg_per_s: f64,
    /// Expanded uncertainty of the difference \[kg/s\].
    pub difference_kg_per_s: f64,
    /// The verdict.
    pub judgement: Judgement,
}

impl Condensate {
    /// Measured over expected.
    pub fn ratio(&self) -> f64 {
        self.measured.value / self.expected.value
    }
}

/// Expanded uncertainty of a map's removal, over the removal.
///
/// **Assumed** 10 % inside data of the maker; with only a rating and public
/// curves 14 % (the two public curve sets differ by 10 %); beyond the data 30 %.
pub fn map_uncertainty(model: &Model, out: &Output) -> f64 {
    match (&out.data, &model.performance) {
        (Data::Beyond { .. }, _) => 0.30,
        (_, Performance::RatingOnly) => 0.14,
        _ => 0.10,
    }
}

/// Water per time with its budget; the inputs are water read, water held up,
/// and the two ends of the time.
///
/// ```text
/// m = M / t        [kg/s]
/// ```
///
/// `None` without water read or without time.
///
/// **Valid** both ends at one point of the running.
/// **Source** definition; rectangular half-widths over √3, JCGM 100:2008 4.3.7.
/// **Checked** `tests/acceptance.rs`.
pub fn rate(collection: &Collection) -> Option<Budget> {
    if collection.over_s <= 0.0 || collection.water_kg < 0.0 {
        return None;
    }
    let zero = |half_width: f64| Estimate::new(0.0, rectangular(half_width));
    let inputs = [
        Estimate::new(collection.water_kg, rectangular(collection.read_to_kg)),
        zero(HOLD_UP_KG),
        zero(collection.ends_to_s),
        zero(collection.ends_to_s),
    ];
    gum::propagate(&inputs, |x| {
        let over_s = collection.over_s + x[3] - x[2];
        (0.0 < over_s).then(|| (x[0] + x[1]) / over_s)
    })
}

/// What the map says at a dry bulb \[°C\] and a relative humidity (0 to 1).
fn output(model: &Model, collection: &Collection, t_c: f64, rh: f64) -> Option<Output> {
    let inlet = MoistAir::from_rel_humidity(t_c, rh, collection.pressure_pa).ok()?;
    Some(collection.ducted_m3_per_s.map_or_else(
        || model.at(inlet, FilterState::Clean),
        |flow| model.at_airflow(inlet, flow),
    ))
}

/// Mean inlet air with its uncertainties: instrument and scatter together.
fn inlet(collection: &Collection) -> Option<[Estimate; 2]> {
    let spread = steadiness::spread(&collection.inlet)?;
    Some([
        Estimate::new(
            spread.dry_bulb_c,
            collection.thermometer_k.hypot(spread.scatter_k),
        ),
        Estimate::new(
            spread.rel_humidity,
            collection.hygrometer.hypot(spread.scatter_rh),
        ),
    ])
}

/// Judges what was caught.
pub fn judge(place: &Place, model: &Model, collection: &Collection) -> Option<Condensate> {
    let measured = rate(collection)?;
    let [dry_bulb, humidity] = inlet(collection)?;
    let out = output(model, collection, dry_bulb.value, humidity.value)?;
    let inlet = gum::propagate(&[dry_bulb, humidity], |x| {
        output(model, collection, x[0], x[1]).map(|o| o.removal_kg_per_s)
    })?;
    let expected_kg_per_s = out.removal_kg_per_s;
    let from_inlet_kg_per_s = inlet.result.standard_uncertainty;
    let from_map_kg_per_s = map_uncertainty(model, &out) / COVERAGE * expected_kg_per_s;
    let expected = Estimate::new(
        expected_kg_per_s,
        from_inlet_kg_per_s.hypot(from_map_kg_per_s),
    );
    let difference_kg_per_s = measured.result.expanded().hypot(expected.expanded());
    let mut found = Condensate {
        measured: measured.result,
        expected,
        from_inlet_kg_per_s,
        from_map_kg_per_s,
        difference_kg_per_s,
        judgement: steadiness::judge(&collection.inlet, collection.over_s),
    };
    found.judgement = conditions(&found, collection, &out)
        .into_iter()
        .fold(found.judgement.clone(), Judgement::and);
    if !out.runs() {
        found.judgement = found.judgement.and(Judgement {
            would_prove: vec![
                "catch water while the inlet air is inside the range that the unit runs in".into(),
            ],
            ..Judgement::plain(
                Verdict::NotProven,
                Text::from("by its record the unit does not run at ")
                    .value(Value::new(dry_bulb.value, Dim::Temperature)),
            )
        });
        return Some(found);
    }
    let is_fair = found.judgement.verdict == Verdict::Pass;
    found.judgement = found
        .judgement
        .clone()
        .and(compare(place, &found, collection, &out, is_fair));
    found.judgement.workings = workings::all(
        model,
        collection,
        &found,
        &workings::Budgets {
            measured: &measured,
            inlet: &inlet,
            air: [dry_bulb, humidity],
            out: &out,
        },
    );
    Some(found)
}

/// How long a unit that removes so much must have run before water is caught
/// \[s\].
pub fn least_before_s(removal_kg_per_s: f64) -> f64 {
    if 0.0 < removal_kg_per_s {
        LEAST_BEFORE_S.max(RETAINED_KG / removal_kg_per_s)
    } else {
        LEAST_BEFORE_S
    }
}

/// What must be so for water caught to be a measure of anything.
fn conditions(found: &Condensate, collection: &Collection, out: &Output) -> Vec<Judgement> {
    let duration = |s: f64| Value::new(s, Dim::Duration).digits(2);
    let mut all = Vec::new();
    let mut missing = |said: Text, would_prove: Text| {
        all.push(Judgement {
            would_prove: vec![would_prove],
            ..Judgement::plain(Verdict::NotProven, said)
        });
    };
    let before_s = least_before_s(found.expected.value);
    if collection.ran_before_s < before_s - 0.5 {
        missing(
            Text::from("it had run for only ")
                .value(duration(collection.ran_before_s))
                .words(" before"),
            Text::from("let it run for ")
                .value(duration(before_s))
                .words(" first: coil, pan and trap take up water before they give it"),
        );
    }
    if collection.over_s < LEAST_OVER_S - 0.5 {
        missing(
            Text::from("water was caught for only ").value(duration(collection.over_s)),
            Text::from("catch water for ")
                .value(duration(LEAST_OVER_S))
                .words(" at least"),
        );
    }
    if matches!(out.data, Data::Frosting { .. }) && collection.running == Running::Through {
        missing(
            "at this air its coil frosts, and water comes in pieces when it thaws".into(),
            Text::from(format!(
                "catch {LEAST_CYCLES} whole cycles, from the end of one defrost to the end of another, and enter how many"
            )),
        );
    }
    if let Running::Cycles(cycles) = collection.running
        && cycles < LEAST_CYCLES
    {
        missing(
            format!("{cycles} whole cycles; {LEAST_CYCLES} are wanted").into(),
            Text::from(format!(
                "lower the setpoint until it runs through, or catch {LEAST_CYCLES} whole cycles, from start to start"
            )),
        );
    }
    for done in &collection.meanwhile {
        missing(
            Text::from("while water was caught, this was done: ").and(done),
            "catch water again, and leave the unit alone from begin to end".into(),
        );
    }
    all
}

/// Measured against expected. A unit is only condemned by a fair catch: what
/// is wrong with another stands before this in the judgement.
fn compare(
    place: &Place,
    found: &Condensate,
    collection: &Collection,
    out: &Output,
    is_fair: bool,
) -> Judgement {
    let water = |si: f64| Value::new(si, Dim::WaterRate).digits(2);
    let (measured, expected) = (found.measured, found.expected);
    let off = measured.value - expected.value;
    let within = found.difference_kg_per_s;
    let decides = within <= DECIDES_WITHIN * expected.value * (1.0 + 1e-9);
    let short = off < -within;
    let verdict = if short && is_fair {
        Verdict::Fail
    } else if short || within < off || !decides {
        Verdict::NotProven
    } else {
        Verdict::Pass
    };
    let mut judgement = Judgement::plain(
        verdict,
        Text::from("caught ")
            .value(Value::new(measured.value, Dim::WaterRate))
            .words(" ±")
            .value(water(measured.expanded()))
            .words(", expected at this air ")
            .value(Value::new(expected.value, Dim::WaterRate))
            .words(" ±")
            .value(water(expected.expanded())),
    );
    if within < off {
        judgement.would_prove.push(
            "more water than the map allows: see that nothing else runs into the line, that priming water was not counted, and hold a second thermometer and hygrometer at the inlet"
                .into(),
        );
    }
    if !decides {
        judgement
            .would_prove
            .extend(proof::would_decide(found, collection, out));
    }
    if verdict == Verdict::Fail {
        judgement.findings.push(
            Said {
                check: "removes_too_little",
                severity: Severity::Fix,
                step: Step::Startup,
                place: place.clone(),
                what: Text::from("it removes ")
                    .value(water(measured.value))
                    .words(" ±")
                    .value(water(measured.expanded()))
                    .words("; at this air ")
                    .value(water(expected.value))
                    .words(" ±")
                    .value(water(expected.expanded()))
                    .words(" is expected"),
                why: "the design counts on what the map promises at this air: the difference stays in the room",
                remedy: "look in this order: are filter and ducts free; is the discharge drawn in again; is the coil wet all over, without frost; does water run somewhere else than into the jug; do the amps fit the plate; then have a licensed technician look at the refrigerant".into(),
                source: Source::common_practice(
                    "likeliest causes first; the limit is the joint expanded uncertainty of catch and map",
                ),
            }
            .compared(water(measured.value), water(expected.value - within)),
        );
    }
    judgement
}

//! How the numbers of an air state came about, for showing.

use quantity::{Dim, Equation, Input, Source, Value, Working};

use crate::altitude::pressure_from_altitude_pa;
use crate::saturation::{TRIPLE_POINT_C, saturation_pressure_pa};
use crate::state::MoistAir;

/// Digits that the equations carry against published tables.
const DIGITS: u8 = 4;

const OVER_WATER: &str = "exp(-5800.2206/(t + 273.15) + 1.3914993 - 0.048640239*(t + 273.15) \
     + 0.000041764768*(t + 273.15)^2 - 0.000000014452093*(t + 273.15)^3 \
     + 6.5459673*ln(t + 273.15))";

const OVER_ICE: &str = "exp(-5674.5359/(t + 273.15) + 6.3925247 - 0.009677843*(t + 273.15) \
     + 0.00000062215701*(t + 273.15)^2 + 0.0000000020747825*(t + 273.15)^3 \
     - 0.0000000000009484024*(t + 273.15)^4 + 4.1635019*ln(t + 273.15))";

const fn handbook(place_in_it: &'static str) -> Source {
    Source::published("ASHRAE Handbook - Fundamentals 2017, ch. 1", place_in_it)
}

/// How everything that [`MoistAir`] derives followed from its dry bulb,
/// humidity ratio and pressure, in the order in which it is computed: vapour
/// pressure, saturation pressure, relative humidity, VPD, dew point, wet
/// bulb, enthalpy, specific volume, density.
///
/// **Valid** as [`MoistAir`].
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1; the equation is named in each.
/// **Checked** `tests/workings.rs` evaluates each equation and compares.
///
/// ```
/// let room = air::MoistAir::from_rel_humidity(24.0, 0.60, 101_325.0)?;
/// let names: Vec<_> = air::state_workings(&room).into_iter().map(|w| w.name).collect();
/// assert_eq!(names[0], "vapour pressure");
/// # Ok::<(), air::AirError>(())
/// ```
pub fn state_workings(air: &MoistAir) -> Vec<Working> {
    let state = State {
        t: given("dry bulb", "t", air.dry_bulb_c(), Dim::Temperature),
        w: given(
            "humidity ratio",
            "W",
            air.humidity_ratio(),
            Dim::HumidityRatio,
        ),
        p: given("barometric pressure", "p", air.pressure_pa(), Dim::Pressure),
    };
    let vapour = vapour_pressure(air, &state);
    let saturation = saturation_pressure(air, &state);
    let volume = specific_volume(air, &state);
    vec![
        vapour.clone(),
        saturation.clone(),
        algebra(
            ("relative humidity", "phi"),
            "p_w/p_ws",
            vec![
                Input::computed(vapour.clone()),
                Input::computed(saturation.clone()),
            ],
            Value::new(air.rel_humidity(), Dim::RelHumidity),
            handbook("eq. 22"),
        ),
        algebra(
            ("vapour pressure deficit", "VPD"),
            "p_ws - p_w",
            vec![Input::computed(saturation), Input::computed(vapour.clone())],
            Value::new(air.vpd_pa(), Dim::VapourPressure),
            Source::published("definition", ""),
        ),
        dew_point(air, vapour),
        wet_bulb(air, &state),
        algebra(
            ("enthalpy", "h"),
            "1006*t + W*(2501000 + 1860*t)",
            vec![state.t.clone(), state.w.clone()],
            Value::new(air.enthalpy_j_per_kg(), Dim::Enthalpy),
            handbook("eq. 30"),
        ),
        volume.clone(),
        algebra(
            ("density", "rho"),
            "(1 + W)/v",
            vec![state.w.clone(), Input::computed(volume)],
            Value::new(air.density_kg_per_m3(), Dim::Density),
            handbook("eq. 11"),
        ),
    ]
}

/// How the pressure of the standard atmosphere followed from the altitude \[m\].
///
/// **Valid** as [`pressure_from_altitude_pa`].
/// **Source** ASHRAE Handbook - Fundamentals 2017, ch. 1, eq. 3.
/// **Checked** `tests/workings.rs`.
pub fn pressure_working(altitude_m: f64) -> Working {
    algebra(
        ("barometric pressure of the standard atmosphere", "p"),
        "101325*(1 - 0.0000225577*z)^5.2559",
        vec![given("altitude", "z", altitude_m, Dim::Length)],
        Value::new(pressure_from_altitude_pa(altitude_m), Dim::Pressure),
        handbook("eq. 3"),
    )
}

/// The three numbers that fix a state.
struct State {
    t: Input,
    w: Input,
    p: Input,
}

fn vapour_pressure(air: &MoistAir, state: &State) -> Working {
    algebra(
        ("vapour pressure", "p_w"),
        "p*W/(0.621945 + W)",
        vec![state.p.clone(), state.w.clone()],
        Value::new(air.vapour_pressure_pa(), Dim::VapourPressure),
        handbook("eq. 20"),
    )
}

fn saturation_pressure(air: &MoistAir, state: &State) -> Working {
    let t_c = air.dry_bulb_c();
    let (name, equation, place) = if TRIPLE_POINT_C < t_c {
        ("saturation pressure over water", OVER_WATER, "eq. 6")
    } else {
        ("saturation pressure over ice", OVER_ICE, "eq. 5")
    };
    algebra(
        (name, "p_ws"),
        equation,
        vec![state.t.clone()],
        Value::new(saturation_pressure_pa(t_c), Dim::VapourPressure),
        handbook(place),
    )
}

fn specific_volume(air: &MoistAir, state: &State) -> Working {
    algebra(
        ("specific volume", "v"),
        "287.042*(t + 273.15)*(1 + 1.607858*W)/p",
        vec![state.t.clone(), state.w.clone(), state.p.clone()],
        Value::new(air.specific_volume_m3_per_kg(), Dim::SpecificVolume),
        handbook("eq. 26"),
    )
}

fn dew_point(air: &MoistAir, vapour: Working) -> Working {
    let dew_c = air.dew_point_c();
    let (name, place) = if TRIPLE_POINT_C < dew_c {
        ("dew point", "eq. 6 solved for t")
    } else {
        ("frost point", "eq. 5 solved for t")
    };
    procedure(
        (name, "t_d"),
        "temperature at which the vapour pressure is that of saturation, by Newton's method in a bracket",
        vec![Input::computed(vapour)],
        dew_c,
        place,
    )
}

fn wet_bulb(air: &MoistAir, state: &State) -> Working {
    let wet_c = air.wet_bulb_c();
    let place = if 0.0 <= wet_c {
        "eq. 33 solved for t*"
    } else {
        "eq. 35 solved for t*"
    };
    procedure(
        ("wet bulb", "t_wb"),
        "temperature at which water evaporating adiabatically saturates the air, \
         by Newton's method in a bracket",
        vec![state.t.clone(), state.w.clone(), state.p.clone()],
        wet_c,
        place,
    )
}

/// A number that the state was made from; where it came from is the caller's to say.
fn given(name: &'static str, symbol: &'static str, si: f64, dim: Dim) -> Input {
    Input {
        name: name.into(),
        symbol: symbol.into(),
        value: Value::new(si, dim).digits(DIGITS),
        from: None,
        source: None,
    }
}

fn algebra(
    (name, symbol): (&'static str, &'static str),
    equation: &'static str,
    inputs: Vec<Input>,
    result: Value,
    source: Source,
) -> Working {
    Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Algebra(equation.into()),
        inputs,
        result: result.digits(DIGITS),
        source,
    }
}

fn procedure(
    (name, symbol): (&'static str, &'static str),
    how: &'static str,
    inputs: Vec<Input>,
    result_c: f64,
    place_in_it: &'static str,
) -> Working {
    Working {
        name: name.into(),
        symbol: symbol.into(),
        equation: Equation::Procedure(how.into()),
        inputs,
        result: Value::new(result_c, Dim::Temperature).digits(DIGITS),
        source: handbook(place_in_it),
    }
}

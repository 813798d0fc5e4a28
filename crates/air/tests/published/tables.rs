//! Rows of printed tables.

use crate::Worst;

/// Rows of a file beside this one, by column name.
fn rows(text: &str) -> Vec<std::collections::HashMap<String, String>> {
    csv::Reader::from_reader(text.as_bytes())
        .deserialize()
        .map(|row| row.unwrap())
        .collect()
}

fn number(row: &std::collections::HashMap<String, String>, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|e| panic!("{column}: {e}"))
}

#[test]
fn saturation_pressure() {
    let mut pressure = Worst::of("saturation pressure (ASHRAE table 3, IAPWS)");
    for row in rows(include_str!("saturation_pressure.csv")) {
        let (t_c, p_pa) = (number(&row, "t_c"), number(&row, "p_pa"));
        let tolerance = number(&row, "rel_tolerance") * p_pa + number(&row, "rounding_pa");
        pressure.compare(
            &format!("{t_c} °C"),
            air::saturation_pressure_pa(t_c),
            p_pa,
            tolerance,
        );
    }
    pressure.verdict();
}

#[test]
fn saturated_air() {
    let share = 0.007;
    let p_pa = 101_325.0;
    let mut humidity_ratio = Worst::of("humidity ratio of saturated air (ASHRAE table 2)");
    let mut volume = Worst::of("volume of saturated air (ASHRAE table 2)");
    let mut enthalpy = Worst::of("enthalpy of saturated air (ASHRAE table 2)");
    for row in rows(include_str!("saturated_air.csv")) {
        let t_c = number(&row, "t_c");
        let name = format!("{t_c} °C");
        let w_s = air::saturation_humidity_ratio(t_c, p_pa);

        let w = number(&row, "humidity_ratio");
        humidity_ratio.compare(&name, w_s, w, share * w + number(&row, "w_rounding"));
        let v = number(&row, "v_m3_per_kg");
        volume.compare(
            &name,
            air::specific_volume_m3_per_kg(t_c, w_s, p_pa),
            v,
            share * v,
        );
        let (h, h_dry) = (number(&row, "h_kj_per_kg"), number(&row, "h_dry_kj_per_kg"));
        let parts = h_dry.abs() + (h - h_dry).abs();
        enthalpy.compare(
            &name,
            air::enthalpy_j_per_kg(t_c, w_s) / 1000.0,
            h,
            share * parts,
        );
    }
    humidity_ratio.verdict();
    volume.verdict();
    enthalpy.verdict();
}

#[test]
fn standard_atmosphere() {
    let mut pressure = Worst::of("standard atmosphere, pressure (ASHRAE table 1)");
    let mut temperature = Worst::of("standard atmosphere, temperature (ASHRAE table 1)");
    for row in rows(include_str!("standard_atmosphere.csv")) {
        let altitude_m = number(&row, "altitude_m");
        let name = format!("{altitude_m} m");
        pressure.compare(
            &name,
            air::pressure_from_altitude_pa(altitude_m),
            number(&row, "p_pa"),
            1.0,
        );
        // Half a printed digit, and a hair for halves that were rounded.
        temperature.compare(
            &name,
            air::temperature_from_altitude_c(altitude_m),
            number(&row, "t_c"),
            0.05 + 1e-9,
        );
    }
    pressure.verdict();
    temperature.verdict();
}

#[test]
fn water_and_vapour() {
    let mut liquid = Worst::of("enthalpy of water (ASHRAE table 3)");
    let mut latent = Worst::of("latent heat, FAO-56 (ASHRAE table 3)");
    let mut vapour = Worst::of("enthalpy of vapour (ASHRAE table 3)");
    for row in rows(include_str!("water.csv")) {
        let t_c = number(&row, "t_c");
        let name = format!("{t_c} °C");
        let share = 0.001 * number(&row, "h_fg_kj_per_kg");
        let compare = |worst: &mut Worst, got_j_per_kg: f64, column: &str, tolerance: f64| {
            worst.compare(
                &name,
                got_j_per_kg / 1000.0,
                number(&row, column),
                tolerance,
            );
        };
        compare(
            &mut liquid,
            air::water_enthalpy_j_per_kg(t_c),
            "h_f_kj_per_kg",
            0.3,
        );
        compare(
            &mut latent,
            air::latent_heat_j_per_kg(t_c),
            "h_fg_kj_per_kg",
            share,
        );
        compare(
            &mut vapour,
            air::vapour_enthalpy_j_per_kg(t_c),
            "h_g_kj_per_kg",
            share,
        );
    }
    liquid.verdict();
    latent.verdict();
    vapour.verdict();
}

//! Single points computed with PsychroLib: altitude, VPD, chart points, coils.

use air::{MoistAir, Stream};

use crate::{Allowed, Worst, number, rows};

const P_PA: f64 = 101_325.0;

type Property = fn(&MoistAir) -> f64;
type Measure<'a> = &'a dyn Fn(&MoistAir) -> f64;

#[test]
fn altitude() {
    let mut worst = Worst::of("altitude, p [Pa]");
    for row in rows(include_str!("altitude.csv")) {
        let altitude_m = number(&row, "altitude_m");
        let p_pa = air::pressure_from_altitude_pa(altitude_m);
        worst.compare(
            &format!("{altitude_m} m"),
            p_pa,
            number(&row, "p_pa"),
            Allowed::Absolute(1.0),
        );
    }
    worst.verdict();
}

/// Both sides of 0 °C, far from saturation, where water or ice on the bulb matters.
#[test]
fn wet_bulb() {
    let mut humidity_ratio = Worst::of("humidity ratio from wet bulb");
    let mut wet_bulb = Worst::of("wet bulb back [°C]");
    for row in rows(include_str!("wet_bulb.csv")) {
        let (t_c, wet_c, p_pa) = (
            number(&row, "dry_bulb_c"),
            number(&row, "wet_bulb_c"),
            number(&row, "p_pa"),
        );
        let name = format!("{t_c} °C, wet bulb {wet_c} °C");
        let w = number(&row, "humidity_ratio");
        let got = air::humidity_ratio_from_wet_bulb(t_c, wet_c, p_pa);
        humidity_ratio.compare(&name, got, w, Allowed::Share(number(&row, "rel_tolerance")));
        wet_bulb.compare(
            &name,
            air::wet_bulb_c(t_c, w, p_pa),
            wet_c,
            Allowed::Absolute(0.01),
        );
    }
    humidity_ratio.verdict();
    wet_bulb.verdict();
}

#[test]
fn leaf_vpd() {
    let mut worst = Worst::of("leaf VPD [kPa]");
    for row in rows(include_str!("vpd.csv")) {
        let (t_c, leaf_c) = (number(&row, "dry_bulb_c"), number(&row, "leaf_c"));
        let air = MoistAir::from_rel_humidity(t_c, number(&row, "rel_humidity"), P_PA).unwrap();
        let got = air.leaf_vpd_pa(leaf_c) / 1000.0;
        worst.compare(
            &format!("{t_c} °C, leaf {leaf_c} °C"),
            got,
            number(&row, "leaf_vpd_kpa"),
            Allowed::Absolute(0.002),
        );
        if t_c == leaf_c {
            assert_eq!(air.leaf_vpd_pa(leaf_c), air.vpd_pa());
        }
    }
    worst.verdict();
}

#[test]
fn chart_points() {
    let columns: [(&str, f64, Property); 6] = [
        ("w_g_per_kg", 0.000_501, |a| 1000.0 * a.humidity_ratio()),
        ("h_kj_per_kg", 0.005, |a| a.enthalpy_j_per_kg() / 1000.0),
        ("wet_bulb_c", 0.006, |a| a.wet_bulb_c()),
        ("dew_point_c", 0.006, |a| a.dew_point_c()),
        ("v_m3_per_kg", 0.00005, |a| a.specific_volume_m3_per_kg()),
        ("vpd_kpa", 0.0005, |a| a.vpd_pa() / 1000.0),
    ];
    for (column, rounding, of) in columns {
        let mut worst = Worst::of(format!("chart points, {column}"));
        for row in rows(include_str!("chart_points.csv")) {
            let (t_c, rh) = (number(&row, "dry_bulb_c"), number(&row, "rel_humidity"));
            let air = MoistAir::from_rel_humidity(t_c, rh, P_PA).unwrap();
            worst.compare(
                &format!("{t_c} °C, {rh}"),
                of(&air),
                number(&row, column),
                Allowed::Absolute(rounding),
            );
        }
        worst.verdict();
    }
}

/// The same equations in US units: 14.696 psi, enthalpy from 0 °F.
#[test]
fn us_points() {
    const PSI_PA: f64 = 6_894.757_293_168;
    const FT3_PER_LB: f64 = 0.028_316_846_592 / 0.453_592_37;
    const BTU_PER_LB_F: f64 = 1_055.055_852_62 / 0.453_592_37;
    // The US form of the enthalpy, h = 0.240 t + W (1061 + 0.444 t), has three
    // digits: half of the last, 0.0005, times 80 °F is 0.04 Btu/lb.
    let zero_f = air::enthalpy_j_per_kg(-160.0 / 9.0, 0.0) / BTU_PER_LB_F;
    let f = |t_c: f64| 1.8 * t_c + 32.0;
    let columns: [(&str, f64, Measure); 5] = [
        ("w_gr_per_lb", 0.05, &|a| 7000.0 * a.humidity_ratio()),
        ("h_btu_per_lb", 0.04, &|a| {
            a.enthalpy_j_per_kg() / BTU_PER_LB_F - zero_f
        }),
        ("wet_bulb_f", 0.06, &|a| f(a.wet_bulb_c())),
        ("dew_point_f", 0.06, &|a| f(a.dew_point_c())),
        ("v_ft3_per_lb", 0.0005, &|a| {
            a.specific_volume_m3_per_kg() / FT3_PER_LB
        }),
    ];
    for (column, rounding, of) in columns {
        let mut worst = Worst::of(format!("US points, {column}"));
        for row in rows(include_str!("us_points.csv")) {
            let (t_f, rh) = (number(&row, "dry_bulb_f"), number(&row, "rel_humidity"));
            let air = MoistAir::from_rel_humidity((t_f - 32.0) / 1.8, rh, 14.696 * PSI_PA).unwrap();
            worst.compare(
                &format!("{t_f} °F, {rh}"),
                of(&air),
                number(&row, column),
                Allowed::Absolute(rounding),
            );
        }
        worst.verdict();
    }
}

#[test]
fn coils() {
    let mut water = Worst::of("coil, water [kg/h]");
    let mut sensible = Worst::of("coil, sensible [W]");
    let mut latent = Worst::of("coil, latent [W]");
    for row in rows(include_str!("coil.csv")) {
        let t_c = number(&row, "dry_bulb_c");
        let inlet =
            MoistAir::from_rel_humidity(t_c, number(&row, "rel_humidity"), number(&row, "p_pa"))
                .unwrap();
        let flow = number(&row, "flow_m3_per_s") / inlet.specific_volume_m3_per_kg();
        let out =
            air::cool_to_adp(inlet, number(&row, "adp_c"), number(&row, "bypass_factor")).unwrap();
        let (h_in, h_out) = (inlet.enthalpy_j_per_kg(), out.enthalpy_j_per_kg());
        let h_middle = air::enthalpy_j_per_kg(t_c, out.humidity_ratio());
        let kg_per_s = flow * (inlet.humidity_ratio() - out.humidity_ratio());
        let name = format!("{t_c} °C, apparatus dew point {} °C", row["adp_c"]);
        let share = Allowed::Share(0.005);
        water.compare(
            &name,
            3600.0 * kg_per_s,
            number(&row, "water_kg_per_h"),
            share,
        );
        latent.compare(
            &name,
            flow * (h_in - h_middle),
            number(&row, "latent_w"),
            share,
        );
        sensible.compare(
            &name,
            flow * (h_middle - h_out),
            number(&row, "sensible_w"),
            share,
        );
    }
    water.verdict();
    sensible.verdict();
    latent.verdict();
}

/// The whole worked case: coil, then condenser heat and 600 W on the same stream.
#[test]
fn dehumidifying_and_reheating() {
    let inlet = MoistAir::from_rel_humidity(26.6667, 0.60, P_PA).unwrap();
    let flow = 0.100 / inlet.specific_volume_m3_per_kg();
    let cold = air::cool_to_adp(inlet, 8.0, 0.20).unwrap();
    let kg_per_s = flow * (inlet.humidity_ratio() - cold.humidity_ratio());
    let total_w = flow * (inlet.enthalpy_j_per_kg() - cold.enthalpy_j_per_kg())
        - kg_per_s * air::water_enthalpy_j_per_kg(cold.dry_bulb_c());
    let out = air::heat(
        Stream {
            air: cold,
            dry_air_kg_per_s: flow,
        },
        total_w + 600.0,
    )
    .unwrap()
    .air;
    let gain_w =
        flow * (out.enthalpy_j_per_kg() - air::enthalpy_j_per_kg(26.6667, out.humidity_ratio()));
    for (column, got, want, allowed) in [
        (
            "reheat, dry air [kg/s]",
            flow,
            0.11530,
            Allowed::Share(0.005),
        ),
        (
            "reheat, coil leaving [°C]",
            cold.dry_bulb_c(),
            11.733,
            Allowed::Absolute(0.05),
        ),
        (
            "reheat, coil leaving RH",
            cold.rel_humidity(),
            0.929,
            Allowed::Share(0.005),
        ),
        ("reheat, total [W]", total_w, 3257.0, Allowed::Share(0.005)),
        (
            "reheat, discharge [°C]",
            out.dry_bulb_c(),
            44.5,
            Allowed::Absolute(0.05),
        ),
        (
            "reheat, discharge RH",
            out.rel_humidity(),
            0.137,
            Allowed::Share(0.005),
        ),
        (
            "reheat, sensible gain [W]",
            gain_w,
            2100.0,
            Allowed::Share(0.005),
        ),
    ] {
        let mut worst = Worst::of(column);
        worst.compare("26.7 °C, 60 %", got, want, allowed);
        worst.verdict();
    }
}

//! Whole room files.

use fields::Problems;
use quantity::{Band, UnitSystem};
use room::{
    Activity, AirHumidity, CropKind, Fabric, GainWater, Hours, Humidity, Period, Room, Setpoint,
    Side, Stage,
};

const EIGHT: &str = include_str!("rooms/eight_lines.room.toml");
const FULL: &str = include_str!("rooms/full.room.toml");
const SITE: &str = include_str!("rooms/site.toml");
const TWELVE: &str = include_str!("rooms/twelve_mistakes.room.toml");
const E180: &str = include_str!("rooms/e180.room.toml");

/// What is said of the file with twelve mistakes: line, column, message.
const TWELVE_MESSAGES: [&str; 12] = [
    "3:10: room.length = 40: a bare number says no unit; allowed: 0.50 m to 300 m (1 ft 7 1/2 in to 980 ft); write the unit in quotes: length = \"40 ft\" or length = \"40 m\"",
    "5:10: room.height = \"320 ft\": too large; allowed: 0.50 m to 30 m (1 ft 7 1/2 in to 98 ft); check the number and its unit",
    "8:15: light.photoperiod = \"30 h\": too large; allowed: 0 s to 24 h; check the number and its unit",
    "9:6: light.on = \"7 in the morning\": not a time of day; allowed: \"00:00\" to \"23:59\"; write hours and minutes on the 24-hour clock, such as \"07:00\"",
    "11:8: crop.kind = \"tall flowring\": not known; allowed: \"leafy greens\", \"propagation\", \"fruiting vine\", \"tall flowering\", \"drying room\"; did you mean \"tall flowering\"?",
    "12:10: crop.canopy = \"-640 ft2\": too small; allowed: 0 m² to 100\u{202f}000 m² (0 ft² to 1\u{202f}080\u{202f}000 ft²); check the number and its unit",
    "13:1: crop.waterfed: [crop] has no such key; did you mean water_fed?",
    "16:6: target.lights_on.rh = \"60..50 %\": not a relative humidity: the range runs from high to low; allowed: 0 %RH to 100 %RH; write the low number first, like \"3.0..4.5\", then the unit",
    "19:7: target.lights_off.vpd = \"1.1 kPa\": rh is given too, and one of them follows from the other; keep one of rh, vpd, dew_point",
    "24:7: unit.tag = \"D1\": the [[unit]] in line 20 has it already; give each its own",
    "26:2: contrl: a room file has no such section; did you mean control?",
    "28:1: people.count: missing: how many; write count = 1",
];

fn read(name: &str, text: &str) -> Room {
    Room::read(None, (name, text)).unwrap_or_else(|p| panic!("{p}"))
}

fn refuse(text: &str) -> Problems {
    Room::read(None, ("r.toml", text)).expect_err("mistakes")
}

#[track_caller]
fn close(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

#[test]
fn eight_lines_are_enough() {
    let room = read("eight_lines.room.toml", EIGHT);
    // 40 ft x 24 ft x 14.5 ft = 13 920 ft3; 1 ft = 0.3048 m exactly.
    close(room.volume_m3(), 13_920.0 * 0.3048_f64.powi(3));
    close(
        room.geometry.walls_m2(),
        2.0 * 64.0 * 14.5 * 0.3048_f64.powi(2),
    );
    let crop = room.crop.as_ref().expect("a crop");
    assert_eq!(crop.kind.value, CropKind::TallFlowering);
    assert_eq!(crop.stage.value, Stage::FlowerLate);
    let night = &crop.night_resistance_s_per_m;
    assert_eq!(night.value, Band::new(450.0, 1200.0, 2400.0));
    // Everything that was not written says that it was assumed.
    assert!(!crop.canopy_m2.is_assumed() && !room.geometry.length_m.is_assumed());
    assert!(crop.lai.is_assumed() && night.is_assumed());
    assert!(room.site.altitude_m.is_assumed());
    assert!(room.envelope.air_exchange_per_s.is_assumed());
    assert!(room.envelope.air_exchange_per_s.value.is_spread());
    assert!(room.targets.lights_on.dry_bulb_c.is_assumed());
    assert!(room.control.power_up_delay_s.is_assumed());
    close(room.control.power_up_delay_s.value, 180.0);
    // Photon flux: 21.6 kW x 2.5 umol/J x 0.9 over 640 ft2.
    let light = room.light.as_ref().expect("lights");
    let canopy_m2 = 640.0 * 0.3048_f64.powi(2);
    close(
        light.ppfd_umol_per_m2_s.value,
        21_600.0 * 2.5 * 0.9 / canopy_m2,
    );
    assert!(light.ppfd_umol_per_m2_s.is_assumed());
}

#[test]
fn a_full_room_is_read_in_si() {
    let room = Room::read(Some(("site.toml", SITE)), ("full.room.toml", FULL))
        .unwrap_or_else(|p| panic!("{p}"));
    // Site file, and what the room file puts above it.
    close(room.site.altitude_m.value, 5250.0 * 0.3048);
    assert_eq!(room.site.display.value, UnitSystem::Us);
    assert_eq!(
        room.site.revision.as_ref().map(|r| r.value.as_str()),
        Some("C")
    );
    assert_eq!(
        room.site.date.as_ref().map(|r| r.value.as_str()),
        Some("2026-03-01")
    );
    close(
        room.site.tariff_per_j.as_ref().expect("given").value,
        0.25 / 3.6e6,
    );
    close(room.site.summer.air.dry_bulb_c.value, 290.0 / 9.0);
    let AirHumidity::RelHumidity(summer_rh) = room.site.summer.air.humidity.value else {
        panic!("rh of the room file stands above wet bulb of the site file");
    };
    close(summer_rh, 0.35);
    close(room.site.summer.daily_range_k.value, 100.0 / 9.0);
    let coolest_c = room.site.summer.dry_bulb_at_c(4.0 * 3600.0);
    close(coolest_c, 190.0 / 9.0);
    close(room.site.summer.dry_bulb_at_c(16.0 * 3600.0), 290.0 / 9.0);
    assert_eq!(
        room.site.winter.air.humidity.value,
        AirHumidity::DewPointC(-14.0)
    );
    close(room.site.adjacent.dry_bulb_c.value, 20.0);
    // Envelope.
    let Fabric::Faces(faces) = &room.envelope.fabric else {
        panic!("faces were given");
    };
    assert!(faces[0].area_m2.is_assumed() && !faces[1].area_m2.is_assumed());
    // 1 Btu/(h ft2 F) = 5.678263 W/(m2 K), NIST SP 811 table B.8.
    assert!((faces[0].u_w_per_m2_k.value / (0.06 * 5.678_263) - 1.0).abs() < 1e-6);
    close(
        room.envelope.conductance_w_per_k(Side::Outdoor),
        960.0 * 0.3048_f64.powi(2) * 0.2,
    );
    close(
        room.envelope.heat_capacity_j_per_k.value,
        165e3 * room.geometry.floor_m2(),
    );
    close(room.envelope.air_exchange_per_s.value.high, 0.3 / 3600.0);
    assert_eq!(room.cold_surfaces.len(), 2);
    close(
        room.cold_surfaces[1]
            .temperature_c
            .as_ref()
            .expect("given")
            .value,
        80.0 / 9.0,
    );
    // Crop.
    let crop = room.crop.as_ref().expect("a crop");
    assert_eq!(crop.stage.value, Stage::FlowerEarly);
    let fed = crop.water_fed_kg_per_s.as_ref().expect("given").value;
    // 1 gal = 231 in3 exactly; 0.998 kg/L.
    let gal_kg = 231.0 * 0.0254_f64.powi(3) * 1000.0 * 0.998;
    assert!((fed.low / (210.0 * gal_kg / 86_400.0) - 1.0).abs() < 1e-3);
    close(crop.runoff.as_ref().expect("given").value.high, 0.2);
    assert_eq!(
        crop.night_resistance_s_per_m.value,
        Band::new(600.0, 1200.0, 2000.0)
    );
    // Water.
    let irrigation = room.irrigation.as_ref().expect("given");
    let times: Vec<u32> = irrigation.times_s.iter().map(|t| t.value / 3600).collect();
    assert_eq!(times, [2, 5, 20, 23]);
    close(room.washdowns[0].film_kg_per_m2.value, 0.4 * 0.998);
    assert_eq!(
        room.wet_floors[0].hours,
        Hours::Between {
            from_s: 72_000,
            to_s: 23_400
        }
    );
    assert_eq!(room.people[0].activity.value, Activity::BenchWork);
    let Some(GainWater::VapourKgPerS(water)) = room.gains[1].water.as_ref().map(|w| w.value) else {
        panic!("water was given by mass");
    };
    close(water, 0.5 / 3600.0);
    // Plant and control.
    let cooling = &room.cooling[0];
    // 1 ton of refrigeration = 12 000 Btu/h = 3516.853 W.
    assert!(
        (cooling.capacity_w.as_ref().expect("given").value / (5.0 * 3516.853) - 1.0).abs() < 1e-6
    );
    close(cooling.deadband_k.value, 10.0 / 9.0);
    assert_eq!(room.units[1].tag.value, "D2");
    close(
        room.units[0].at_m.as_ref().expect("given").value[2],
        11.0 * 0.3048,
    );
    assert_eq!(room.selection.models.len(), 2);
    close(room.selection.prices[0].first_cost.value, 3400.0);
    close(room.control.sensor_offset.value, -0.02);
    let day = room.control.lights_on.as_ref().expect("given").value;
    assert_eq!(day, Setpoint::VpdPa(1200.0));
    assert_eq!(room.panels[0].phases.as_ref().map(|p| p.value), Some(3));
}

/// Value of an assumption as an engineer sees it in metric units.
fn taken(room: &Room, key: &str) -> Option<String> {
    let found = room.assumptions.iter().find(|a| a.key == key)?;
    Some(found.taken.show(UnitSystem::Metric))
}

#[test]
fn assumptions_are_listed_with_what_was_taken() {
    let room = read("eight_lines.room.toml", EIGHT);
    assert_eq!(
        taken(&room, "control.power_up_delay").as_deref(),
        Some("3.00 min")
    );
    assert_eq!(
        taken(&room, "crop.night_resistance").as_deref(),
        Some("450 s/m to 2400 s/m, likely 1200 s/m")
    );
    assert_eq!(taken(&room, "crop.stage").as_deref(), Some("flower late"));
    assert_eq!(taken(&room, "light.on").as_deref(), Some("06:00"));
    assert_eq!(
        taken(&room, "target.lights_on.dry_bulb").as_deref(),
        Some("22.0 °C to 26.0 °C, likely 24.0 °C")
    );
    assert!(taken(&room, "outdoor.summer.rh").is_some());
    for said in [
        "room.length",
        "light.power",
        "light.photoperiod",
        "crop.canopy",
    ] {
        assert_eq!(taken(&room, said), None, "{said}");
    }
    let mut keys: Vec<_> = room.assumptions.iter().map(|a| &a.key).collect();
    keys.sort_unstable();
    let all = keys.len();
    keys.dedup();
    assert_eq!(keys.len(), all, "an assumption stands twice");
}

#[test]
fn what_was_surveyed_is_not_listed_as_assumed() {
    let room = Room::read(Some(("site.toml", SITE)), ("full.room.toml", FULL))
        .unwrap_or_else(|p| panic!("{p}"));
    for said in [
        "site.altitude",
        "site.display",
        "outdoor.summer.rh",
        "outdoor.winter.rh",
        "envelope.air_exchange",
        "envelope.seal",
        "light.reaching_canopy",
        "crop.night_resistance",
        "target.lights_off.rh",
        "control.deadband",
    ] {
        assert_eq!(taken(&room, said), None, "{said}");
    }
    assert!(taken(&room, "envelope.heat_capacity").is_some());
    let e180 = read("e180.room.toml", E180);
    for unused in ["envelope.wall_u", "site.altitude", "envelope.heat_capacity"] {
        assert_eq!(taken(&e180, unused), None, "{unused}");
    }
}

/// A datum knows its line in the file that said it.
#[test]
fn each_datum_knows_where_it_was_written() {
    let room = Room::read(Some(("site.toml", SITE)), ("full.room.toml", FULL))
        .unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(
        room.geometry.length_m.source().place_in_it,
        "full.room.toml:4"
    );
    assert_eq!(room.site.altitude_m.source().place_in_it, "site.toml:5");
}

#[test]
fn twelve_mistakes_are_all_said_at_once() {
    let problems = Room::read(None, ("twelve.room.toml", TWELVE)).expect_err("twelve mistakes");
    let found: Vec<String> = problems.iter().map(ToString::to_string).collect();
    for (found, expected) in found.iter().zip(TWELVE_MESSAGES) {
        assert_eq!(found, &format!("twelve.room.toml:{expected}"));
    }
    assert_eq!(found.len(), 12, "{problems}");
}

#[test]
fn both_files_are_judged_in_one_pass() {
    let site = "[site]\naltitude = \"high\"\n";
    let problems = Room::read(
        Some(("site.toml", site)),
        ("r.toml", "[room]\nname = \"x\"\n"),
    )
    .expect_err("mistakes in both");
    let files: Vec<_> = problems.iter().map(|p| (&*p.file, p.line)).collect();
    assert_eq!(files[0], ("site.toml", 2));
    assert!(files[1..].iter().all(|(f, _)| *f == "r.toml"));
}

/// Room of the published case E180 (NREL/TP-550-30152): 129.6 m3, conductance
/// of all faces 1.7133 W/K, no storage, no air exchange, gains 2100 W and
/// 4400 W, 22.2 °C inside and 29.4 °C outdoors.
#[test]
fn the_published_case_is_expressed_exactly() {
    let room = read("e180.room.toml", E180);
    close(room.volume_m3(), 129.6);
    assert_eq!(room.envelope.conductance_w_per_k(Side::Outdoor), 1.7133);
    assert_eq!(room.envelope.conductance_w_per_k(Side::Adjacent), 0.0);
    assert_eq!(room.envelope.heat_capacity_j_per_k.value, 0.0);
    assert_eq!(room.envelope.air_exchange_per_s.value, Band::exact(0.0));
    assert_eq!(room.envelope.fresh_air_m3_per_s.value, 0.0);
    assert_eq!(room.gains[0].sensible_w.value, 2100.0);
    let water = room.gains[0].water.as_ref().expect("given").value;
    assert_eq!(water, GainWater::LatentW(4400.0));
    assert_eq!(room.gains[0].hours, Hours::Always);
    assert_eq!(
        room.site.pressure_pa.as_ref().expect("given").value,
        101_325.0
    );
    assert_eq!(room.site.summer.air.dry_bulb_c.value, 29.4);
    assert_eq!(room.site.summer.dry_bulb_at_c(12_345.0), 29.4);
    assert!(room.crop.is_none() && room.light.is_none());
    for second in [0.0, 40_000.0, 86_399.0] {
        assert_eq!(room.period_at(second), Period::LightsOff);
        assert_eq!(room.target_at(second).dry_bulb_c, Band::exact(22.2));
        assert_eq!(room.target_at(second).humidity, None);
    }
    assert_eq!(room.cooling[0].deadband_k.value, 0.0);
    assert_eq!(
        room.cooling[0]
            .condenser_temperature_c
            .as_ref()
            .expect("given")
            .value,
        29.4
    );
}

#[test]
fn clocks_ramps_and_periods_go_past_midnight() {
    let room = Room::read(Some(("site.toml", SITE)), ("full.room.toml", FULL))
        .unwrap_or_else(|p| panic!("{p}"));
    let hour = |h: f64| h * 3600.0;
    // On at 19:00 for 12 h: off at 07:00; transition 90 min.
    for (at, period) in [
        (18.99, Period::LightsOff),
        (19.0, Period::LightsOn),
        (0.0, Period::LightsOn),
        (6.99, Period::LightsOn),
        (7.0, Period::Transition),
        (8.49, Period::Transition),
        (8.5, Period::LightsOff),
    ] {
        assert_eq!(room.period_at(hour(at)), period, "{at}");
        assert_eq!(
            room.lights_on_at(hour(at)),
            period == Period::LightsOn,
            "{at}"
        );
    }
    // Ramp of 15 min inside the photoperiod, both ends.
    close(room.light_share_at(hour(19.125)), 0.5);
    close(room.light_share_at(hour(19.25)), 1.0);
    close(room.light_share_at(hour(6.875)), 0.5);
    close(room.light_share_at(hour(12.0)), 0.0);
    // Dry bulb goes from 79 °F to 21 °C in 60 min after 07:00, and back in 30.
    let likely = |h: f64| room.target_at(hour(h)).dry_bulb_c.likely;
    let (day_c, night_c) = (235.0 / 9.0, 21.0);
    close(likely(6.9), day_c);
    close(likely(7.0), day_c);
    close(likely(7.5), f64::midpoint(day_c, night_c));
    close(likely(8.0), night_c);
    close(likely(12.0), night_c);
    close(likely(19.25), f64::midpoint(day_c, night_c));
    close(likely(19.5), day_c);
    assert_eq!(
        room.target_at(hour(0.0)).humidity,
        Some(Humidity::VpdPa(Band::new(1100.0, 1250.0, 1400.0)))
    );
    let dark = room.target_at(hour(8.0)).humidity;
    assert!(matches!(dark, Some(Humidity::RelHumidity(b)) if (b.high - 0.62).abs() < 1e-12));
    let lengths: Vec<f64> = Period::ALL
        .iter()
        .map(|p| room.period_length_s(*p))
        .collect();
    assert_eq!(lengths, [43_200.0, 5400.0, 37_800.0]);
}

/// Seconds counted over a day agree with the lengths of the periods.
#[test]
fn periods_fill_the_day() {
    let room = read("eight_lines.room.toml", EIGHT);
    for period in Period::ALL {
        let minutes = (0..1440)
            .filter(|m| room.period_at(f64::from(*m) * 60.0) == period)
            .count();
        assert_eq!(minutes as f64 * 60.0, room.period_length_s(period));
    }
}

#[test]
fn lights_may_burn_all_day_or_never() {
    let with = |h: &str| {
        EIGHT.replace(
            "photoperiod = \"12 h\"",
            &format!("photoperiod = \"{h}\"\nramp = \"10 min\""),
        )
    };
    let always = read("always", &with("24 h"));
    assert_eq!(always.period_at(6.0 * 3600.0), Period::LightsOn);
    close(always.light_share_at(6.0 * 3600.0), 1.0);
    close(always.period_length_s(Period::LightsOn), 86_400.0);
    close(always.period_length_s(Period::Transition), 0.0);
    let never = read("never", &with("0 h"));
    assert_eq!(never.period_at(6.0 * 3600.0), Period::LightsOff);
    close(never.period_length_s(Period::LightsOff), 86_400.0);
    close(never.light_share_at(6.0 * 3600.0), 0.0);
}

#[test]
fn a_drying_room_needs_no_canopy() {
    let room = read(
        "drying",
        "[room]\nname = \"Dry\"\nlength = \"6 m\"\nwidth = \"4 m\"\nheight = \"3 m\"\n\
         [crop]\nkind = \"drying room\"\n[[hung_crop]]\nwet_mass = \"120 kg\"\n",
    );
    assert_eq!(room.crop.as_ref().expect("a crop").canopy_m2.value, 0.0);
    assert_eq!(room.period_at(0.0), Period::LightsOff);
    assert!(room.target_at(0.0).humidity.is_some());
}

/// Each contradiction alone, at its line, column and key.
#[test]
fn contradictions_are_told() {
    const ROOM: &str = "[room]\nname = \"x\"\nlength = \"6 m\"\nwidth = \"4 m\"\nheight = \"3 m\"\n\
                        [target.lights_on]\ndry_bulb = \"24 °C\"\n";
    for (more, expected) in [
        ("rh = \"50 %\"\nvpd = \"1 kPa\"", "9:7 target.lights_on.vpd"),
        (
            "[control.lights_on]\nrh = \"50 %\"\ndew_point = \"9 °C\"",
            "10:13 control.lights_on.dew_point",
        ),
        (
            "[outdoor.summer]\nrh = \"50 %\"\nwet_bulb = \"9 °C\"",
            "10:12 outdoor.summer.wet_bulb",
        ),
        (
            "[outdoor.summer]\ndry_bulb = \"20 °C\"\nwet_bulb = \"21 °C\"",
            "10:12 outdoor.summer.wet_bulb",
        ),
        (
            "[[people]]\ncount = 1\nfrom = \"08:00\"",
            "10:8 people.from",
        ),
        ("[[people]]\ncount = 1\nto = \"08:00\"", "10:6 people.to"),
        (
            "[[people]]\ncount = 1\nfrom = \"08:00\"\nto = \"08:00\"",
            "11:6 people.to",
        ),
        ("[[burner]]\nfuel = \"propane\"", "8:1 burner.heat"),
        (
            "[[burner]]\nfuel = \"propane\"\nheat = \"9 kW\"\nco2_rate = \"1 kg/h\"",
            "10:8 burner.heat",
        ),
        (
            "[[gain]]\nname = \"x\"\nlatent = \"9 W\"\nwater = \"1 kg/h\"",
            "11:9 gain.water",
        ),
        ("[[cold_surface]]\nname = \"x\"", "8:1 cold_surface.u"),
        (
            "[[cold_surface]]\nname = \"x\"\nu = \"1 W/m2K\"",
            "8:1 cold_surface.side",
        ),
        (
            "[[cold_surface]]\nname = \"x\"\nu = \"1 W/m2K\"\ntemperature = \"9 °C\"",
            "11:15 cold_surface.temperature",
        ),
        (
            "[envelope]\nconductance = \"9 W/K\"\nwall_u = \"1 W/m2K\"",
            "10:10 envelope.wall_u",
        ),
        ("[crop]\nkind = \"leafy greens\"", "8:1 crop.canopy"),
        (
            "[crop]\nkind = \"leafy greens\"\ncanopy = \"0 m2\"",
            "10:10 crop.canopy",
        ),
        (
            "[crop]\nkind = \"leafy greens\"\ncanopy = \"9 m2\"\nrunoff = \"15 %\"",
            "11:10 crop.runoff",
        ),
        (
            "[light]\npower = \"9 kW\"\nphotoperiod = \"1 h\"\nramp = \"40 min\"",
            "11:8 light.ramp",
        ),
        ("[[cooling]]\nfan = \"auto\"", "8:1 cooling.capacity"),
        (
            "[[hung_crop]]\nwet_mass = \"9 kg\"\nmoisture_start = \"10 %\"",
            "8:1 hung_crop.moisture_end",
        ),
        (
            "[[hung_crop]]\nwet_mass = \"9 kg\"\nmoisture_end = \"5 %\"",
            "8:1 hung_crop.equilibrium_moisture",
        ),
        (
            "[[unit]]\ntag = \"D\"\nmodel = \"m\"\nat = [\"7 m\", \"1 m\", \"1 m\"]",
            "11:6 unit.at",
        ),
        (
            "[[unit]]\ntag = \"D\"\nmodel = \"m\"\n[[unit]]\ntag = \"D\"\nmodel = \"m\"",
            "12:7 unit.tag",
        ),
    ] {
        let problems = refuse(&format!("{ROOM}{more}\n"));
        let found: Vec<_> = problems
            .iter()
            .map(|p| format!("{}:{} {}", p.line, p.column, p.key))
            .collect();
        assert_eq!(found, [expected], "{more}\n{problems}");
        assert!(problems.iter().all(|p| !p.mend.is_empty()), "{problems}");
    }
}

#[test]
fn a_room_without_crop_must_say_how_warm() {
    let problems =
        refuse("[room]\nname = \"x\"\nlength = \"6 m\"\nwidth = \"4 m\"\nheight = \"3 m\"\n");
    assert_eq!(problems.len(), 1, "{problems}");
    assert!(
        problems.to_string().contains("target.lights_on.dry_bulb"),
        "{problems}"
    );
}

#[test]
fn bad_input_of_every_kind_is_refused() {
    for (text, key) in [
        (EIGHT.replace("\"40 ft\"", "\"0 ft\""), "room.length"),
        (EIGHT.replace("\"40 ft\"", "nan"), "room.length"),
        (EIGHT.replace("\"40 ft\"", "\"NaN ft\""), "room.length"),
        (EIGHT.replace("\"640 ft2\"", "\"-640 ft2\""), "crop.canopy"),
        (EIGHT.replace("\"640 ft2\"", "\"640 ft\""), "crop.canopy"),
        (EIGHT.replace("\"12 h\"", "\"30 h\""), "light.photoperiod"),
        (EIGHT.replace("tall flowering", "orchids"), "crop.kind"),
    ] {
        let problems = refuse(&text);
        assert_eq!(problems.len(), 1, "{problems}");
        assert_eq!(problems.0[0].key, key, "{problems}");
    }
}

proptest::proptest! {
    #[test]
    fn no_text_panics(text in "\\PC*") {
        let _ = Room::read(Some(("s", &text)), ("r", &text));
    }

    /// Lines of the full room left out at random: read or refused, no panic.
    #[test]
    fn no_subset_of_lines_panics(keep in proptest::collection::vec(proptest::bool::weighted(0.9), 260)) {
        let text: Vec<_> = FULL.lines().zip(keep.iter().chain(std::iter::repeat(&true)))
            .filter(|(_, k)| **k).map(|(l, _)| l).collect();
        let _ = Room::read(None, ("r", &text.join("\n")));
    }
}

//! What is wrong with a machine file is said, with its place.

use equipment::{Catalog, MODEL_FORMAT, read_cooler, read_machine, read_model};

const GOOD: &str = include_str!("../../../catalog/generic-150.toml");
const COOLER: &str = include_str!("../../../catalog/generic-split-14.toml");

/// The problems of the good file with one text exchanged.
fn spoiled(from: &str, to: &str) -> String {
    assert!(GOOD.contains(from), "{from}");
    let text = GOOD.replacen(from, to, 1);
    match read_model("m.toml", &text) {
        Ok(_) => panic!("{to} passed"),
        Err(problems) => problems.to_string(),
    }
}

#[test]
fn mistakes_are_found_and_placed() {
    for (from, to, says) in [
        (
            "removal = \"317 pt/d\"",
            "removal = \"317\"",
            "rating.removal",
        ),
        (
            "removal = \"317 pt/d\"",
            "removal = \"317 kW\"",
            "rating.removal",
        ),
        // A pint taken for a litre: the map no longer gives the rating back.
        (
            "removal = \"317 pt/d\"",
            "removal = \"317 L/d\"",
            "at the air of this rating",
        ),
        (
            "[80, 60, 317, 1950]",
            "[80, 60, 217, 1950]",
            "removal falls",
        ),
        ("  [80, 60, 317, 1950],\n", "", "full grid"),
        (
            "full_load = \"11.6 A\"",
            "full_load = \"21.6 A\"",
            "minimum circuit ampacity",
        ),
        (
            "mass_wet = \"221 lb\"",
            "mass_wet = \"201 lb\"",
            "lighter with water",
        ),
        (
            "family = \"data pair\"",
            "family = \"radio\"",
            "control.family",
        ),
        (
            "existence = \"invented\"",
            "existence = \"real\"",
            "document",
        ),
        (
            "defrost_end = \"42 °F\"",
            "defrost_end = \"20 °F\"",
            "defrost",
        ),
        ("[0.2, 751]", "[0.2, 851]", "air flow fall"),
        (
            "drain_at = [\"-6 in\"",
            "drain_at = [\"-60 in\"",
            "outside the box",
        ),
        ("phases = 1", "phases = 2", "phase"),
        (
            "condition = \"80 °F, 60 %\"",
            "condition = \"other\"",
            "needs dry_bulb",
        ),
    ] {
        let said = spoiled(from, to);
        assert!(said.contains(says), "{to}: {said}");
        assert!(said.starts_with("m.toml:"), "{said}");
    }
}

#[test]
fn an_air_flow_that_cannot_carry_the_water_is_refused() {
    let said = spoiled("[0.0, 824]", "[0.0, 124]");
    // The flows no longer fall, which is said first.
    assert!(said.contains("air flow fall"), "{said}");
    let start = GOOD.find("columns = [\"static").expect("a fan table");
    let end = start + GOOD[start..].find("\n]\n").expect("its end") + 3;
    let mut text = GOOD.to_owned();
    text.replace_range(
        start..end,
        "columns = [\"static in w.g.\", \"air flow cfm\"]\nrows = [[0.0, 124], [0.1, 100]]\n",
    );
    let said = read_model("m.toml", &text)
        .expect_err("too little air")
        .to_string();
    assert!(said.contains("colder than -20 °C"), "{said}");
}

#[test]
fn coolers_are_judged_too() {
    let spoiled = |from: &str, to: &str| {
        assert!(COOLER.contains(from), "{from}");
        read_cooler("c.toml", &COOLER.replacen(from, to, 1))
            .expect_err(to)
            .to_string()
    };
    let said = spoiled("total = \"14000 W\"", "total = \"16000 W\"");
    assert!(
        said.contains("c.toml:") && said.contains("rating."),
        "{said}"
    );
    let said = spoiled("wet_bulb = \"19.4 °C\"", "wet_bulb = \"29.4 °C\"");
    assert!(said.contains("rating.wet_bulb"), "{said}");
    let said = spoiled("kind = \"map\"", "kind = \"chilled water\"");
    assert!(said.contains("[water]"), "{said}");
}

#[test]
fn a_code_stands_once_and_both_kinds_are_told_apart() {
    let files = vec![
        ("a.toml".to_owned(), GOOD.to_owned()),
        ("b.toml".to_owned(), GOOD.to_owned()),
        ("c.toml".to_owned(), COOLER.to_owned()),
    ];
    let said = Catalog::read(&files).expect_err("twice").to_string();
    assert!(
        said.contains("b.toml:") && said.contains("generic-150"),
        "{said}"
    );
    let catalog = Catalog::read(&files[1..]).expect("readable");
    assert_eq!((catalog.dehumidifiers.len(), catalog.coolers.len()), (1, 1));
}

#[test]
fn rubbish_is_refused_without_panic() {
    for text in [
        "",
        "[dehumidifier]",
        "[cooler]",
        "a = 1",
        "[[rating]]\n",
        "\u{0}",
        "[cooler]\nkind = \"map\"\n",
    ] {
        assert!(read_machine("x.toml", text).is_err(), "{text}");
    }
}

#[test]
fn every_default_of_the_formats_can_be_read() {
    assert!(MODEL_FORMAT.manual().contains("capacity_slope"));
    assert!(equipment::COOLER_FORMAT.manual().contains("degradation"));
    let _ = (
        MODEL_FORMAT.json_schema(),
        equipment::COOLER_FORMAT.json_schema(),
    );
}

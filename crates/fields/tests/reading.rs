//! The reader over a small invented format: every kind of field, every kind of
//! mistake at its line and column.

use fields::{Column, Fault, Field, Format, Kind, Need, Problems, Repeat, Section, decode};
use proptest::prelude::*;
use quantity::{Band, Dim, Source};

const AIR: &[Column] = &[
    Column::required("dry bulb", Dim::Temperature, -20.0, 60.0),
    Column::required("RH", Dim::RelHumidity, 0.0, 1.0),
    Column::optional("removal", Dim::WaterRate, 0.0, 1.0),
    Column::optional("power", Dim::Power, 0.0, 1e6),
];

static SHED: Format = Format {
    name: "shed file",
    help: "A format for tests.",
    sections: &[
        Section {
            key: "shed",
            title: "Shed",
            help: "The shed.",
            repeat: Repeat::Once,
            fields: &[
                Field::new("name", Kind::Text, Need::Required, "Name."),
                Field::new(
                    "length",
                    Kind::quantity(Dim::Length, 1.0, 30.0),
                    Need::Required,
                    "Length.",
                ),
                Field::new(
                    "water",
                    Kind::band(Dim::WaterRate, 0.0, 1.0),
                    Need::Optional,
                    "Water.",
                ),
                Field::new(
                    "roof",
                    Kind::Choice(&[("flat roof", "no slope"), ("gable", "two slopes")]),
                    Need::default("gable", Source::assumed("most have one")),
                    "Roof.",
                ),
                Field::new("opens", Kind::Clock, Need::Optional, "Opens at."),
                Field::new("built", Kind::Date, Need::Optional, "Built on."),
                Field::new("shelves", Kind::count(0, 9), Need::Optional, "Shelves."),
                Field::new(
                    "lai",
                    Kind::quantity(Dim::Number, 0.0, 9.0),
                    Need::default("3", Source::assumed("chosen")),
                    "Leaf area per canopy area.",
                ),
            ],
        },
        Section {
            key: "shed.lamp",
            title: "Lamp",
            help: "The lamp.",
            repeat: Repeat::Optional,
            fields: &[
                Field::new("at", Kind::Point, Need::Required, "Where."),
                Field::new("times", Kind::List(&Kind::Clock), Need::Optional, "When."),
                Field::new(
                    "spots",
                    Kind::List(&Kind::Point),
                    Need::Optional,
                    "More places.",
                ),
            ],
        },
        Section {
            key: "tool",
            title: "Tools",
            help: "Each tool.",
            repeat: Repeat::Many,
            fields: &[
                Field::new("tag", Kind::Text, Need::Required, "Tag."),
                Field::new("rows", Kind::Map(AIR), Need::Optional, "What it does."),
            ],
        },
    ],
};

const GOOD: &str = r#"# a comment
[shed]
name = "Nord"
length = "36 ft 6 in"
water = "3.0..4.5 L/day"
opens = "07:05"
built = 2026-03-01
shelves = 4
[shed.lamp]
at = ["12 ft", "1 m", "11 ft"]
times = ["06:00", "18:30"]
spots = [["1 m", "1 m", "1 m"], ["2 m", "1 m", "1 m"]]
[[tool]]
tag = "A"
columns = ["dry bulb °F", "RH %", "power (kW)"]
rows = [[80, 60, 1.05], [73.4, 60, 1]]
[[tool]]
tag = "B"
"#;

/// `line:column fault` of every problem.
fn places(text: &str) -> Vec<String> {
    let problems = SHED.read("shed.toml", text).expect_err("mistakes");
    problems
        .iter()
        .map(|p| format!("{}:{} {:?} {}", p.line, p.column, p.fault, p.key))
        .collect()
}

/// The messages of a text with mistakes.
fn messages(text: &str) -> String {
    SHED.read("shed.toml", text)
        .expect_err("mistakes")
        .to_string()
}

/// The good text with one line replaced.
fn with(line: usize, new: &str) -> String {
    let mut lines: Vec<&str> = GOOD.lines().collect();
    lines[line - 1] = new;
    lines.join("\n")
}

#[test]
fn a_good_file_is_read_in_si() {
    let reading = SHED.read("shed.toml", GOOD).expect("no mistakes");
    let shed = reading.once("shed");
    let length = shed.need_value("length");
    assert!((length.value - 36.5 * 0.3048).abs() < 1e-12);
    assert_eq!(length.source().place_in_it, "shed.toml:4");
    let water = shed.need_band("water").value;
    let kg_per_s = |l_per_day: f64| l_per_day * 0.998 / 86_400.0;
    assert!((water.low / kg_per_s(3.0) - 1.0).abs() < 1e-3);
    assert!((water.high / kg_per_s(4.5) - 1.0).abs() < 1e-3);
    assert_eq!(shed.need_clock("opens").value, 7 * 3600 + 5 * 60);
    assert_eq!(shed.need_date("built").value, "2026-03-01");
    assert_eq!(shed.need_count("shelves").value, 4);
    let lamp = reading.section("shed.lamp").expect("the lamp stands there");
    let at = lamp.need_point("at").value;
    assert!((at[0] - 3.6576).abs() < 1e-12 && (at[1] - 1.0).abs() < 1e-12);
    let times: Vec<u32> = lamp.clocks("times").iter().map(|t| t.value).collect();
    assert_eq!(times, [21_600, 66_600]);
    assert_eq!(lamp.points("spots").len(), 2);
    let tags: Vec<_> = reading
        .sections("tool")
        .map(|t| t.need_text("tag").value)
        .collect();
    assert_eq!(tags, ["A", "B"]);
    let map = reading
        .section("tool")
        .expect("a tool")
        .need_map("rows")
        .value;
    assert_eq!(map.columns, ["dry bulb", "RH", "power"]);
    let dry_bulb = map.column("dry bulb").expect("given");
    assert!((dry_bulb[0] - 80.0 / 3.0).abs() < 1e-9 && (dry_bulb[1] - 23.0).abs() < 1e-9);
    assert_eq!(map.column("power").expect("given"), [1050.0, 1000.0]);
    assert_eq!(map.column("removal"), None);
}

#[test]
fn a_default_arrives_as_assumed() {
    let reading = SHED.read("shed.toml", GOOD).expect("no mistakes");
    let shed = reading.once("shed");
    let roof = shed.need_choice("roof");
    assert_eq!((roof.value, roof.is_assumed()), ("gable", true));
    assert_eq!(roof.source().cite, "most have one");
    assert!(!shed.says("roof") && shed.says("length"));
    assert_eq!(shed.need_value("lai").value, 3.0);
}

#[test]
fn choices_do_not_mind_capitals_and_hyphens() {
    let text = with(4, "length = \"9 m\"\nroof = \"Flat-Roof\"");
    let reading = SHED.read("shed.toml", &text).expect("no mistakes");
    assert_eq!(reading.once("shed").need_choice("roof").value, "flat roof");
}

#[test]
fn a_section_may_be_an_inline_table() {
    let text =
        "tool = [{ tag = \"A\" }, { tag = \"B\" }]\nshed = { name = \"N\", length = \"5 m\" }";
    let reading = SHED.read("shed.toml", text).expect("no mistakes");
    assert_eq!(reading.sections("tool").count(), 2);
}

#[test]
fn each_mistake_stands_at_its_place() {
    for (line, new, expected) in [
        (4, "length = 32", "4:10 WrongType shed.length"),
        (4, "length = \"32\"", "4:10 Unreadable shed.length"),
        (4, "length = \"32 kg\"", "4:10 Unreadable shed.length"),
        (4, "length = \"1.200,5 m\"", "4:10 Unreadable shed.length"),
        (4, "length = \"320 ft\"", "4:10 OutOfRange shed.length"),
        (4, "length = true", "4:10 WrongType shed.length"),
        (4, "length = [\"1 m\"]", "4:10 WrongType shed.length"),
        (4, "length = \"9 m\"\nlai = nan", "5:7 OutOfRange shed.lai"),
        (
            4,
            "length = \"9 m\"\nlai = \"ten\"",
            "5:7 Unreadable shed.lai",
        ),
        (5, "water = \"4.5..3.0 L/day\"", "5:9 Unreadable shed.water"),
        (
            5,
            "water = \"0..9000 gal/min\"",
            "5:9 OutOfRange shed.water",
        ),
        (6, "opens = \"25:00\"", "6:9 Unreadable shed.opens"),
        (6, "opens = \"7 am\"", "6:9 Unreadable shed.opens"),
        (7, "built = \"1 March\"", "7:9 Unreadable shed.built"),
        (8, "shelves = 12", "8:11 OutOfRange shed.shelves"),
        (8, "shelves = -1", "8:11 OutOfRange shed.shelves"),
        (8, "shelves = 2.5", "8:11 WrongType shed.shelves"),
        (8, "Ŝelfs_ö = 2", "8:1 Syntax "),
        (8, "shelfs = 2", "8:1 UnknownKey shed.shelfs"),
        (8, "name = \"twice\"", "8:1 Duplicate "),
        (8, "roof = \"thatch\"", "8:8 UnknownChoice shed.roof"),
        (9, "[shed.lmap]", "9:7 UnknownSection shed.lmap"),
        (
            10,
            "at = [\"12 ft\", \"1 m\"]",
            "10:6 WrongType shed.lamp.at",
        ),
        (
            10,
            "at = [\"µ\", \"1 m\", \"2 m\"]",
            "10:7 Unreadable shed.lamp.at",
        ),
        (
            11,
            "times = [\"06:00\", \"26:30\"]",
            "11:19 Unreadable shed.lamp.times",
        ),
        (13, "[tool]", "13:1 WrongType tool"),
        (14, "tag = \"\"", "14:7 WrongType tool.tag"),
        (
            15,
            "columns = [\"dry bulb °F\", \"power kW\"]",
            "15:11 Missing tool.columns",
        ),
        (
            15,
            "columns = [\"dry bulb °F\", \"RH %\", \"noise dB\"]",
            "15:35 UnknownChoice tool.columns",
        ),
        (
            15,
            "columns = [\"dry bulb ft\", \"RH %\", \"power kW\"]",
            "15:12 Unreadable tool.columns",
        ),
        (
            16,
            "rows = [[80, 60, 1.05], [73.4, 60]]",
            "16:25 WrongType tool.rows",
        ),
        (
            16,
            "rows = [[80, 160, 1.05], [73.4, 60, 1]]",
            "16:14 OutOfRange tool.rows",
        ),
        (
            16,
            "rows = [[80, \"60 %\", 1.05]]",
            "16:14 WrongType tool.rows",
        ),
    ] {
        // Where the section header is wrong, its keys are lost with it.
        let found = places(&with(line, new));
        assert_eq!(found[0], expected, "{new}: {found:?}");
        let alone = !new.starts_with('[');
        assert!(!alone || found.len() == 1, "{new}: {found:?}");
    }
}

#[test]
fn missing_things_are_asked_for() {
    assert_eq!(
        places(""),
        ["1:1 Missing shed.name", "1:1 Missing shed.length"]
    );
    assert_eq!(
        places("\n[shed]\nname = \"N\"\n[shed.lamp]\n[[tool]]\n"),
        [
            "2:1 Missing shed.length",
            "4:1 Missing shed.lamp.at",
            "5:1 Missing tool.tag",
        ]
    );
}

/// What stands under a name that is nearly the one wanted is not missing too.
#[test]
fn a_mistyped_key_is_told_once() {
    let shed = |key: &str| places(&format!("[shed]\nname = \"N\"\n{key} = \"5 m\""));
    assert_eq!(shed("lenght"), ["3:1 UnknownKey shed.lenght"]);
    // One that is like nothing does not stand for what is missing.
    assert_eq!(
        shed("colour"),
        ["1:1 Missing shed.length", "3:1 UnknownKey shed.colour"]
    );
    // Nor does one in another section, or one like a key that is there.
    assert_eq!(
        places("[shed]\nname = \"N\"\n[[tool]]\ntag = \"A\"\nlenght = \"5 m\""),
        ["1:1 Missing shed.length", "5:1 UnknownKey tool.lenght"]
    );
    assert_eq!(
        places("[shed]\nname = \"N\"\nnmae = \"M\""),
        ["1:1 Missing shed.length", "3:1 UnknownKey shed.nmae"]
    );
    // So it is with a section.
    assert_eq!(
        places("[shde]\nname = \"N\"\nlength = \"5 m\""),
        ["1:2 UnknownSection shde"]
    );
}

#[test]
fn a_column_counts_characters() {
    let text = "[shed]\nname = \"Ä€µ\" # ok\nlength = \"5 m\"\n[shed.lamp]\nat = [\"1 m\", \"µµµ\", \"x\"]";
    assert_eq!(
        places(text),
        [
            "5:14 Unreadable shed.lamp.at",
            "5:21 Unreadable shed.lamp.at"
        ]
    );
}

#[test]
fn all_mistakes_come_in_one_pass() {
    let text = "[shed]\nname = 5\nlenght = \"5 m\"\nroof = \"gabel\"\n= nonsense\nshelves = 99\n\
                [tools]\ntag = \"A\"\n[[tool]]\nmodel = \"x\"\nlast = \"never closed\n";
    assert_eq!(
        places(text),
        [
            "2:8 WrongType shed.name",
            "3:1 UnknownKey shed.lenght",
            "4:8 UnknownChoice shed.roof",
            "5:1 Syntax ",
            "6:11 OutOfRange shed.shelves",
            "7:2 UnknownSection tools",
            "9:1 Missing tool.tag",
            "10:1 UnknownKey tool.model",
            "11:21 Syntax ",
        ]
    );
}

#[test]
fn a_message_says_where_what_and_how_to_mend() {
    assert_eq!(
        messages(&with(4, "length = 32")),
        "shed.toml:4:10: shed.length = 32: a bare number says no unit; \
         allowed: 1.0 m to 30 m (3 ft 3 in to 98 ft); \
         write the unit in quotes: length = \"32 ft\" or length = \"32 m\""
    );
    assert_eq!(
        messages(&with(4, "length = \"320 ft\"")),
        "shed.toml:4:10: shed.length = \"320 ft\": too large; \
         allowed: 1.0 m to 30 m (3 ft 3 in to 98 ft); check the number and its unit"
    );
    assert_eq!(
        messages(&with(8, "shelfs = 2")),
        "shed.toml:8:1: shed.shelfs: [shed] has no such key; did you mean shelves?"
    );
    assert_eq!(
        messages(&with(8, "roof = \"gabel\"")),
        "shed.toml:8:8: shed.roof = \"gabel\": not known; \
         allowed: \"flat roof\", \"gable\"; did you mean \"gable\"?"
    );
    assert_eq!(
        messages(&with(8, "tag = \"A\"")),
        "shed.toml:8:1: shed.tag: [shed] has no such key; \
         allowed: name, length, water, roof, opens, built, shelves, lai; did you mean tool.tag?"
    );
}

#[test]
fn problems_serialize_flat() {
    let problems = SHED
        .read("shed.toml", &with(4, "length = 32"))
        .expect_err("mistake");
    let json = serde_json::to_value(&problems).expect("plain data");
    assert_eq!(json[0]["line"], 4);
    assert_eq!(json[0]["column"], 10);
    assert_eq!(json[0]["fault"], "wrong_type");
    assert_eq!(json[0]["key"], "shed.length");
}

#[test]
fn a_later_check_finds_the_place_of_a_key() {
    let reading = SHED.read("shed.toml", GOOD).expect("no mistakes");
    let shed = reading.once("shed");
    let p = shed.problem(Fault::Contradiction, "opens", "too early", "sleep");
    assert_eq!(
        p.to_string(),
        "shed.toml:6:9: shed.opens = \"07:05\": too early; sleep"
    );
    let absent = shed.problem(Fault::Missing, "roof", "needed", "build one");
    assert_eq!((absent.line, absent.column), (2, 1));
}

#[test]
fn bytes_that_are_no_text_are_refused() {
    let text = decode("a.toml", "\u{feff}[shed]".as_bytes()).expect("text");
    assert_eq!(text, "[shed]");
    let zero = decode("a.toml", b"[shed]\nn\0")
        .expect_err("binary")
        .0
        .remove(0);
    assert_eq!((zero.line, zero.column, zero.fault), (2, 2, Fault::NotText));
    let latin = decode("a.toml", b"ok\n\nK\xe4se")
        .expect_err("not UTF-8")
        .0
        .remove(0);
    assert_eq!((latin.line, latin.column), (3, 2));
    assert!(latin.to_string().contains("0xE4"), "{latin}");
    let large = vec![b' '; fields::MAX_BYTES + 1];
    assert!(decode("a.toml", &large).is_err());
    assert!(decode("a.toml", &large[1..]).is_ok());
}

#[test]
fn schema_and_manual_name_every_field() {
    let schema = SHED.json_schema();
    let shed = &schema["properties"]["shed"]["properties"];
    let lamp = &shed["lamp"]["properties"];
    let tool = &schema["properties"]["tool"]["items"]["properties"];
    let manual = SHED.manual();
    for (section, properties) in SHED.sections.iter().zip([shed, lamp, tool]) {
        for field in section.fields {
            assert!(properties[field.key].is_object(), "{}", field.key);
            assert!(
                manual.contains(&format!("`{}`", field.key)),
                "{}",
                field.key
            );
        }
    }
    assert_eq!(shed["lai"]["default"], "3");
    assert_eq!(schema["required"], serde_json::json!(["shed"]));
    assert_eq!(
        schema["properties"]["shed"]["required"],
        serde_json::json!(["name", "length"])
    );
    let length = shed["length"]["description"].as_str().expect("text");
    assert!(length.contains("1.0 m to 30 m"), "{length}");
}

/// The example that the schema and the messages offer must itself be read.
#[test]
fn examples_of_the_schema_can_be_read() {
    let schema = SHED.json_schema();
    for key in ["length", "water", "opens", "built", "roof"] {
        let field = &schema["properties"]["shed"]["properties"][key];
        let Some(example) = field["examples"][0].as_str() else {
            panic!("no example for {key}");
        };
        let text = format!("[shed]\nname = \"N\"\nlength = \"5 m\"\n{key} = \"{example}\"\n");
        let text = text.replacen(
            &format!("length = \"5 m\"\n{key} ="),
            &format!("{key} ="),
            usize::from(key == "length"),
        );
        assert_eq!(
            SHED.read("a", &text).err(),
            None::<Problems>,
            "{key} = {example}"
        );
    }
}

#[test]
fn one_value_of_a_band_has_no_spread() {
    let text = with(5, "water = \"4 L/day\"");
    let reading = SHED.read("shed.toml", &text).expect("no mistakes");
    let band: Band = reading.once("shed").need_band("water").value;
    assert!(!band.is_spread());
}

proptest! {
    #[test]
    fn no_text_panics(text in "\\PC*") {
        let _ = SHED.read("any", &text);
    }

    #[test]
    fn no_broken_file_panics(cut in 0..GOOD.len(), take in 0usize..40, put in "[\\[\\]=\"'#{},.a-z0-9 \n°µ-]{0,12}") {
        let start = (0..=cut).rev().find(|&i| GOOD.is_char_boundary(i)).unwrap_or(0);
        let end = (start..=GOOD.len()).find(|&i| i >= start + take && GOOD.is_char_boundary(i)).unwrap_or(GOOD.len());
        let text = format!("{}{put}{}", &GOOD[..start], &GOOD[end..]);
        if let Err(problems) = SHED.read("any", &text) {
            prop_assert!(!problems.is_empty());
            for p in &problems {
                prop_assert!(p.line >= 1 && p.column >= 1);
                prop_assert!(p.line <= text.split('\n').count());
            }
        }
    }

    #[test]
    fn no_bytes_panic(bytes in proptest::collection::vec(any::<u8>(), 0..200)) {
        if let Ok(text) = decode("any", &bytes) {
            let _ = SHED.read("any", &text);
        }
    }
}

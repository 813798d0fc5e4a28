//! Pages over a socket: trials, variants, workings, figures behind charts,
//! older copies, findings that lead to their field, and what pages weigh.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use common::web::{Answer, ROOM, Server, encoded};

fn served() -> Server {
    Server::start(|folder| {
        let job = folder.join("one");
        std::fs::create_dir(&job).unwrap();
        std::fs::write(job.join("a.room.toml"), ROOM).unwrap();
        let larger = ROOM.replace("\"A\"", "\"B\"").replace("40 m2", "50 m2");
        std::fs::write(job.join("b.room.toml"), larger).unwrap();
    })
}

fn file(server: &Server, name: &str) -> String {
    std::fs::read_to_string(server.folder.path().join("one").join(name)).unwrap()
}

const AT: &str = "/jobs/one/rooms/a";

/// What stands between two marks, each time.
fn all_between<'a>(text: &'a str, before: &str, after: &str) -> Vec<&'a str> {
    text.split(before)
        .skip(1)
        .filter_map(|rest| rest.split(after).next())
        .collect()
}

/// The version that a page's form carries.
fn base(page: &Answer) -> String {
    all_between(&page.body, "name=\"base\" value=\"", "\"")[0].to_owned()
}

#[test]
fn a_trial_stands_beside_what_is_saved_and_is_saved_when_asked() {
    let server = served();
    let query = format!(
        "?{}={}&{}={}",
        encoded("try.target.lights_on.dry_bulb"),
        encoded("22..25 °C"),
        encoded("try.unit.number"),
        "2"
    );
    for sheet in ["load", "units", "day", "compare"] {
        let page = server.get(&format!("{AT}/{sheet}{query}"));
        assert_eq!(page.status, 200, "{sheet}");
        for words in [
            "Tried, not saved",
            "Difference",
            "24..27 °C → <b>22..25 °C</b>",
            "Number of units: 1 → <b>2</b>",
            "Save these to the room file",
        ] {
            assert!(page.body.contains(words), "{sheet}: {words}");
        }
    }
    assert_eq!(file(&server, "a.room.toml"), ROOM, "a trial saves nothing");

    // What a form sends although it does not differ is left out.
    let wordy = server.get(&format!(
        "{AT}/load{query}&{}={}",
        encoded("try.crop.canopy"),
        encoded("40 m2")
    ));
    assert_eq!(wordy.status, 303);
    assert_eq!(
        wordy.header("location"),
        Some(&*format!("{AT}/load{query}"))
    );

    let drawn = server.get(&format!("{AT}/day{query}"));
    let hash = base(&drawn);
    let save = |number: &str| {
        server.post(
            &format!("{AT}/try"),
            &[
                ("base", hash.as_str()),
                ("back", "day"),
                ("try.target.lights_on.dry_bulb", "22..25 °C"),
                ("try.unit.number", number),
            ],
        )
    };
    let saved = save("2");
    assert_eq!(saved.status, 303, "{}", saved.body);
    assert_eq!(saved.header("location"), Some(&*format!("{AT}/day")));
    let text = file(&server, "a.room.toml");
    assert!(text.contains("dry_bulb = \"22..25 °C\""), "{text}");
    assert!(
        text.contains("# taped") && text.contains("tag = \"D2\""),
        "{text}"
    );
    // Drawn from a version that is not there any more.
    assert_eq!(save("3").status, 409);
    assert_eq!(file(&server, "a.room.toml"), text);
}

#[test]
fn a_trial_that_cannot_be_read_says_so_beside_its_field() {
    let server = served();
    for (name, typed, words) in [
        ("try.target.lights_on.dry_bulb", "abc", "abc"),
        (
            "try.target.lights_on.humidity",
            "12 m",
            "is neither a relative humidity",
        ),
        ("try.unit.number", "x", "no number of units"),
        ("try.light.photoperiod", "<b>", "&lt;b&gt;"),
        ("try.unit.model", "none-such", "none-such"),
    ] {
        let page = server.get(&format!("{AT}/load?{}={}", encoded(name), encoded(typed)));
        assert_eq!(page.status, 422, "{name}");
        assert!(page.body.contains("There is a problem"), "{name}");
        assert!(page.body.contains(words), "{name}");
        assert!(!page.body.contains("<b>\""), "{name}");
        // What is saved is still shown.
        assert!(page.body.contains("Water and heat given to the room"));
    }
}

#[test]
fn units_can_be_tried_in_any_number_and_a_humidity_in_any_form() {
    let server = served();
    let tried = |name: &str, typed: &str| {
        let page = server.get(&format!("{AT}/units?{}={}", encoded(name), encoded(typed)));
        assert_eq!(page.status, 200, "{name} {typed}: {}", page.body);
        page.body
    };
    assert!(tried("try.unit.number", "").contains("1 → <b>left empty</b>"));
    assert!(tried("try.unit.model", "generic-150").contains("generic-70 → <b>generic-150</b>"));
    assert!(tried("try.target.lights_on.humidity", "1.1..1.4 kPa").contains("1.1..1.4 kPa"));
    assert!(tried("try.target.lights_on.humidity", "12..14 °C").contains("12..14 °C"));
}

#[test]
fn two_rooms_stand_side_by_side() {
    let server = served();
    let page = server.get(&format!("{AT}/compare?with=b"));
    assert_eq!(page.status, 200);
    for words in ["Water a day, likely", "Drawn days held", "The day of each"] {
        assert!(page.body.contains(words), "{words}");
    }
    assert_eq!(all_between(&page.body, "<svg ", ">").len(), 2);
    assert_eq!(server.get(&format!("{AT}/compare?with=..%2fb")).status, 404);
}

#[test]
fn numbers_lead_to_their_working() {
    let server = served();
    for sheet in ["load", "units", "day", "hanging", "drain", "power"] {
        let page = server.get(&format!("{AT}/{sheet}"));
        let links = all_between(&page.body, "href=\"#working-", "\"");
        assert!(!links.is_empty(), "no number of {sheet} can be opened");
        for number in links {
            let target = format!("id=\"working-{number}\"");
            assert_eq!(page.body.matches(&target).count(), 1, "{sheet} {number}");
        }
    }
}

#[test]
fn the_figures_behind_a_chart_stand_under_it() {
    let server = served();
    let page = server.get(&format!("{AT}/day"));
    let rows = all_between(&page.body, "<tr data-x=\"", "</tr>");
    // A quarter of an hour is a row, both midnights included; and the path
    // through air states has one for each hour.
    assert_eq!(rows.len(), 97 + 24);
    assert!(rows[33].contains("08:15"), "{}", rows[33]);
    let places: Vec<f64> = rows[..97]
        .iter()
        .map(|r| r.split('"').next().unwrap().parse().unwrap())
        .collect();
    assert!(places.windows(2).all(|w| w[0] < w[1]));
    let load = server.get(&format!("{AT}/load"));
    assert!(load.body.contains("The numbers behind it"));
}

/// As every other page of the job does, also while the survey is not whole.
#[test]
fn the_survey_speaks_the_units_of_the_job() {
    let server = Server::start(|folder| {
        let job = folder.join("one");
        std::fs::create_dir(&job).unwrap();
        std::fs::write(job.join("site.toml"), "[site]\ndisplay = \"us\"\n").unwrap();
        std::fs::write(job.join("a.room.toml"), ROOM).unwrap();
        std::fs::write(job.join("b.room.toml"), "[room]\nlength = \"10 m\"\n").unwrap();
        let own = "[site]\ndisplay = \"metric\"\n[room]\nlength = \"10 m\"\n";
        std::fs::write(job.join("c.room.toml"), own).unwrap();
    });
    let first = |room: &str| {
        let page = server.get(&format!("/jobs/one/rooms/{room}/survey")).body;
        let echoes = all_between(&page, "read as ", " [");
        assert!(!echoes.is_empty(), "{page}");
        echoes.iter().any(|words| words.contains(" ft"))
    };
    assert!(first("a") && first("b"));
    assert!(!first("c"));
    let dossier = server.get("/jobs/one/rooms/a/dossier").body;
    assert!(dossier.contains("value=\"letter\" checked"), "{dossier}");
}

#[test]
fn a_stale_save_shows_what_each_changed() {
    let server = served();
    let at = format!("{AT}/survey");
    let hash = base(&server.get(&at));
    let save = |key: &str, typed: &str| server.post(&at, &[("base", &hash), (key, typed)]);
    assert_eq!(save("room|0|length", "11 m").status, 303);
    let stale = save("room|0|width", "8 m <b>");
    assert_eq!(stale.status, 422, "what cannot be read is told first");
    let stale = save("room|0|width", "8 m");
    assert_eq!(stale.status, 409);
    for words in ["What you changed", "What was changed meanwhile"] {
        assert!(stale.body.contains(words), "{words}");
    }
    let put_in = all_between(&stale.body, "<ins>", "</ins>");
    assert!(put_in.iter().any(|l| l.contains("11 m")), "{put_in:?}");
    assert!(put_in.iter().any(|l| l.contains("8 m")), "{put_in:?}");
    assert!(stale.body.contains("Yours, not saved"));
}

#[test]
fn an_older_copy_is_shown_and_put_back() {
    let server = served();
    let survey = format!("{AT}/survey");
    for length in ["11 m", "12 m"] {
        let hash = base(&server.get(&survey));
        let saved = server.post(&survey, &[("base", &hash), ("room|0|length", length)]);
        assert_eq!(saved.status, 303);
    }
    let older = format!("{AT}/older");
    let page = server.get(&older);
    assert_eq!(page.status, 200);
    assert!(page.body.contains("Copy 2") && page.body.contains("Copy 1"));
    assert!(
        page.body.contains("1 lines put in, 1 taken out"),
        "{}",
        page.body
    );
    let hash = base(&page);
    let put_back = |number: &str| server.post(&older, &[("base", &hash), ("number", number)]);
    assert_eq!(put_back("9").status, 404);
    assert_eq!(put_back("1").status, 303);
    assert_eq!(file(&server, "a.room.toml"), ROOM);
    // The page that it was done from is stale now.
    assert_eq!(put_back("2").status, 409);
    assert!(server.get(&older).body.contains("Copy 3"));
    assert_eq!(server.get("/jobs/one/site/older").status, 200);
}

#[test]
fn the_register_counts_findings_that_are_known() {
    let server = served();
    assert!(!server.get("/").body.contains("class=\"tally\""));
    assert!(server.get("/jobs/one").body.contains("not looked at yet"));
    server.get(&format!("{AT}/load"));
    let all = server.get("/").body;
    assert!(
        all.contains("class=\"tally\"") && all.contains("in 1 of them"),
        "{all}"
    );
    assert!(server.get("/jobs/one").body.contains("/rooms/a/findings"));
}

#[test]
fn a_finding_leads_to_the_field_that_mends_it() {
    let server = served();
    let page = server.get(&format!("{AT}/findings"));
    let links = all_between(&page.body, "<p class=\"mend\"><a href=\"", "\"");
    assert!(!links.is_empty(), "{}", page.body);
    for link in links {
        let (path, field) = link.split_once('#').unwrap();
        let form = server.get(path);
        let id = format!("id=\"{}\"", field.replace("%7C", "|"));
        assert!(form.body.contains(&id), "{link}");
    }
}

#[test]
fn quantities_are_read_as_they_are_typed() {
    let server = served();
    let at = format!("{AT}/survey/targets");
    let save = |typed: &str| {
        let hash = base(&server.get(&at));
        server.post(
            &at,
            &[("base", &hash), ("target.lights_on|0|dry_bulb", typed)],
        )
    };
    for good in [" 76.1 F ", "−3 °C", "24,5 °C"] {
        assert_eq!(save(good).status, 303, "{good}");
        let page = server.get(&at);
        assert!(page.body.contains("read as"), "{good}");
    }
    // A comma that may be read in two ways is asked about.
    for bad in ["24,5", "1.024,5 °C", "abc"] {
        let page = save(bad);
        assert_eq!(page.status, 422, "{bad}");
        assert!(page.body.contains("<title>Error: "), "{bad}");
        assert!(page.body.contains(&format!("value=\"{bad}\"")), "{bad}");
        let summary = all_between(&page.body, "href=\"#target.lights_on|0|dry_bulb\">", "<");
        let inline = all_between(&page.body, "id=\"target.lights_on|0|dry_bulb-error\">", "<");
        assert_eq!(summary, inline, "{bad}");
        assert_eq!(summary.len(), 1, "{bad}");
    }
}

/// Elements of all drawings of a page.
fn drawn_elements(page: &str) -> usize {
    let of = |svg: &&str| svg.matches('<').count() - svg.matches("</").count();
    all_between(page, "<svg ", "</svg>").iter().map(of).sum()
}

/// The pages of the demonstration, whose rooms are as large as rooms are.
#[test]
fn no_page_is_heavy_and_the_first_is_light() {
    let server = Server::start(|folder| {
        let job = folder.join("demo");
        std::fs::create_dir(&job).unwrap();
        for name in ["site.toml", "flower-2.room.toml", "veg-1.room.toml"] {
            std::fs::copy(common::root().join("cases/demo").join(name), job.join(name)).unwrap();
        }
    });
    let zipped = |path: &str| {
        let headers = [
            ("Cookie", server.cookie.as_str()),
            ("Accept-Encoding", "gzip"),
        ];
        let answer = server.ask("GET", path, &headers, b"");
        assert_eq!(answer.status, 200, "{path}");
        assert_eq!(answer.header("content-encoding"), Some("gzip"), "{path}");
        answer.bytes.len()
    };
    let page = server.get("/").body;
    let mut first: Vec<&str> = all_between(&page, "src=\"", "\"");
    first.extend(all_between(&page, "<link rel=\"stylesheet\" href=\"", "\""));
    first.push("/");
    assert!(first.len() <= 8, "{first:?}");
    let kind = |end: &str| -> usize {
        let all = first.iter().filter(|p| p.ends_with(end));
        all.map(|p| zipped(p)).sum()
    };
    assert!(zipped("/") <= 50 * 1024 && kind(".css") <= 20 * 1024 && kind(".js") <= 15 * 1024);
    let mut drawn = 0;
    for sheet in [
        "survey",
        "survey/plant",
        "load",
        "units",
        "day",
        "plan",
        "hanging",
        "drain",
        "power",
        "control",
        "findings",
        "compare?with=veg-1",
        "dossier",
        "text",
        "startup",
        "proof",
        "fault",
    ] {
        for room in ["flower-2", "veg-1"] {
            let path = format!("/jobs/demo/rooms/{room}/{sheet}");
            assert!(zipped(&path) <= 50 * 1024, "{path}");
            let page = server.get(&path).body;
            assert!(page.len() <= 300 * 1000, "{path}: {}", page.len());
            let elements = drawn_elements(&page);
            assert!(elements <= 1500, "{path}: {elements} elements");
            drawn = drawn.max(elements);
        }
    }
    assert!(300 < drawn, "no drawing was counted");
}

#[test]
fn places_that_were_tried_are_saved_over_what_they_were_tried_on() {
    let server = served();
    let at = format!("{AT}/plan");
    let hash = base(&server.get(&at));
    let save = |hash: &str, x: &str| {
        let form = [
            ("base", hash),
            ("x.D1", x),
            ("y.D1", "3 m"),
            ("z.D1", "2.5 m"),
            ("facing.D1", "-y"),
        ];
        server.post(&at, &form)
    };
    let wrong = save(&hash, "ten metres");
    assert_eq!(wrong.status, 422);
    assert!(wrong.body.contains("<title>Error: "), "{}", wrong.body);
    assert!(wrong.body.contains("value=\"ten metres\""));
    assert_eq!(file(&server, "a.room.toml"), ROOM);
    let saved = save(&hash, "12 ft");
    assert_eq!(saved.status, 303, "{}", saved.body);
    let text = file(&server, "a.room.toml");
    assert!(
        text.contains("at = [\"12 ft\", \"3 m\", \"2.5 m\"]"),
        "{text}"
    );
    assert!(
        text.contains("facing = \"-y\"") && text.contains("# taped"),
        "{text}"
    );
    assert_eq!(text.matches("[[unit]]").count(), 1, "{text}");
    assert!(server.get(&at).body.contains("value=\"3.66 m\""));
    assert_eq!(save(&hash, "4 m").status, 409, "tried on an older file");
    assert_eq!(file(&server, "a.room.toml"), text);
}

/// Units that the selection chose and nobody wrote down yet are written down
/// with their places.
#[test]
fn places_of_units_that_the_file_does_not_name_are_saved_with_them() {
    let server = Server::start(|folder| {
        let job = folder.join("one");
        std::fs::create_dir(&job).unwrap();
        let bare = ROOM.replace("[[unit]]\ntag = \"D1\"\nmodel = \"generic-70\"\n", "");
        assert!(!bare.contains("[[unit]]"));
        std::fs::write(job.join("a.room.toml"), bare).unwrap();
    });
    let at = format!("{AT}/plan");
    let page = server.get(&at);
    let tags: Vec<String> = all_between(&page.body, "name=\"x.", "\"")
        .iter()
        .map(ToString::to_string)
        .collect();
    assert!(!tags.is_empty());
    let saved = server.post(&at, &[("base", base(&page).as_str())]);
    assert_eq!(saved.status, 303, "{}", saved.body);
    let text = file(&server, "a.room.toml");
    assert_eq!(text.matches("[[unit]]").count(), tags.len(), "{text}");
    for tag in tags {
        assert!(text.contains(&format!("tag = \"{tag}\"")), "{text}");
    }
    assert_eq!(server.get(&at).status, 200);
}

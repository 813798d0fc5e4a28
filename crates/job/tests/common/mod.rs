//! Rooms from a short text with edits, shared by the tests beside the code and
//! by those of this folder.
#![allow(dead_code, reason = "each test program uses a part of it")]

use std::path::Path;
use std::sync::OnceLock;

use equipment::Catalog;
use exmex::Express;
use job::{Day, Effort, Load, Selection, Silent, UnitSet, day, load, selection};
use quantity::{Dim, Equation, Finding, UnitSystem, Value, Working};
use room::Room;

/// The small room of leafy greens.
pub(crate) const LEAFY: &str = include_str!("../rooms/leafy.room.toml");

/// Text of a room file that is edited key by key.
#[derive(Clone)]
pub(crate) struct Sheet(pub(crate) String);

impl Sheet {
    /// The small room of leafy greens.
    pub(crate) fn leafy() -> Self {
        Self(LEAFY.into())
    }

    /// The same room, empty and dark.
    pub(crate) fn dark() -> Self {
        let (before, rest) = LEAFY.split_once("[light]").unwrap();
        let (_, after) = rest.split_once("[target.lights_on]").unwrap();
        Self(format!("{before}[target.lights_on]{after}"))
    }

    /// The same text with a key of a section set anew; a section that is not
    /// there yet is added.
    #[must_use]
    pub(crate) fn set(&self, section: &str, key: &str, value: &str) -> Self {
        let header = format!("[{section}]");
        let mut lines = Vec::new();
        let (mut inside, mut found) = (false, false);
        for line in self.0.lines() {
            if line.starts_with('[') {
                inside = line == header;
            }
            if inside && line.split('=').next().is_some_and(|k| k.trim() == key) {
                continue;
            }
            lines.push(line.to_owned());
            if inside && line == header {
                found = true;
                lines.push(format!("{key} = {value}"));
            }
        }
        if !found {
            lines.push(header);
            lines.push(format!("{key} = {value}"));
        }
        Self(lines.join("\n") + "\n")
    }

    /// The same text without a key of a section.
    #[must_use]
    pub(crate) fn without(&self, section: &str, key: &str) -> Self {
        let marked = self.set(section, key, "REMOVED");
        let lines = marked.0.lines().filter(|l| !l.ends_with("= REMOVED"));
        Self(lines.map(|l| format!("{l}\n")).collect())
    }

    /// The same text with more at its end.
    #[must_use]
    pub(crate) fn and(&self, more: &str) -> Self {
        Self(format!("{}{more}\n", self.0))
    }

    /// The room, which must be readable.
    pub(crate) fn room(&self) -> Room {
        read(&self.0)
    }

    /// Its load over few draws.
    pub(crate) fn load(&self) -> Load {
        load::hourly(&self.room(), Effort::Draft).unwrap()
    }

    /// Its selection over few draws.
    pub(crate) fn selection(&self) -> Selection {
        let room = self.room();
        let load = load::hourly(&room, Effort::Draft).unwrap();
        selection::choose(&room, &load, catalog(), Effort::Draft, &Silent).unwrap()
    }
}

/// A room from its text, which must be readable.
pub(crate) fn read(text: &str) -> Room {
    match Room::read(None, ("test.room.toml", text)) {
        Ok(room) => room,
        Err(problems) => {
            let said: Vec<String> = problems.iter().map(ToString::to_string).collect();
            panic!("{}\n{text}", said.join("\n"))
        }
    }
}

/// Every record of the catalogue that is shipped.
pub(crate) fn catalog() -> &'static Catalog {
    static CATALOG: OnceLock<Catalog> = OnceLock::new();
    CATALOG.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../catalog");
        let mut files: Vec<(String, String)> = std::fs::read_dir(folder)
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .map(|path| {
                let text = std::fs::read_to_string(&path).unwrap();
                (path.display().to_string(), text)
            })
            .collect();
        files.sort();
        Catalog::read(&files).unwrap()
    })
}

/// The small room through all steps, to be edited around the limits of checks.
pub(crate) struct Steps {
    pub(crate) room: Room,
    pub(crate) load: Load,
    pub(crate) selection: Selection,
    pub(crate) day: Day,
}

/// The steps of the small room with three units, which hold it.
pub(crate) fn steps() -> &'static Steps {
    static STEPS: OnceLock<Steps> = OnceLock::new();
    STEPS.get_or_init(|| {
        let sheet = Sheet::leafy();
        let (room, load, selection) = (sheet.room(), sheet.load(), sheet.selection());
        let set = UnitSet::of("generic-30", 3);
        let day = day::prove(&room, &load, catalog(), &set).unwrap();
        Steps {
            room,
            load,
            selection,
            day,
        }
    })
}

/// A finding must say what, why and what to do, and what must hold the number
/// that was compared in the units of either system.
#[track_caller]
pub(crate) fn says(finding: &Finding) {
    for system in [UnitSystem::Metric, UnitSystem::Us] {
        let what = finding.what.show(system);
        let has_digit = what.contains(|c: char| c.is_ascii_digit());
        let says_number = match finding.measured {
            // Shares of drawn days are said in days, starts in plain words.
            None => true,
            Some(Value {
                dim: Dim::Fraction | Dim::Count,
                ..
            }) => has_digit,
            // Words say below what a sign says in a number.
            Some(v) => {
                what.contains(
                    &Value {
                        si: v.si.abs(),
                        ..v
                    }
                    .show(system),
                ) || what.contains(&v.show(system))
            }
        };
        assert!(says_number, "{}: {what}", finding.check);
        assert!(!what.is_empty(), "{}", finding.check);
        assert!(!finding.why.show(system).is_empty(), "{}", finding.check);
        assert!(!finding.remedy.show(system).is_empty(), "{}", finding.check);
    }
    assert!(!finding.source.cite.is_empty(), "{}", finding.check);
    assert!(!finding.place.0.is_empty(), "{}", finding.check);
    assert_eq!(
        finding.measured.is_some(),
        finding.limit.is_some(),
        "{}",
        finding.check
    );
}

/// The one finding of a check that just fails, and what it compared \[SI\].
#[track_caller]
pub(crate) fn one(found: Vec<Finding>) -> (Finding, f64, f64) {
    let [finding] = <[Finding; 1]>::try_from(found).unwrap();
    says(&finding);
    let si = |v: Option<Value>| v.map_or(f64::NAN, |v| v.si);
    let (measured, limit) = (si(finding.measured), si(finding.limit));
    (finding, measured, limit)
}

/// Every algebraic equation of a working gives its result, and every input comes
/// from somewhere; how many were evaluated.
#[track_caller]
pub(crate) fn evaluate(working: &Working) -> usize {
    assert!(!working.source.cite.is_empty(), "{}", working.name);
    let mut seen = 0;
    for input in &working.inputs {
        assert!(
            input.from.is_some() || input.source.is_some(),
            "{}: {}",
            working.name,
            input.name
        );
        seen += input.from.as_deref().map_or(0, evaluate);
    }
    if let Equation::Algebra(rhs) = &working.equation {
        let expression = exmex::parse::<f64>(rhs).unwrap();
        let values: Vec<f64> = expression
            .var_names()
            .iter()
            .map(|name| {
                let mut of = working.inputs.iter().filter(|i| i.symbol == name.as_str());
                let found = of.next().unwrap_or_else(|| panic!("{rhs}: {name}"));
                assert!(of.next().is_none(), "{rhs}: two {name}");
                found.value.si
            })
            .collect();
        let found = expression.eval(&values).unwrap();
        let expected = working.result.si;
        assert!(
            (found - expected).abs() <= 1e-6 * expected.abs().max(1e-12),
            "{}: {rhs} gives {found}, shown is {expected}",
            working.name
        );
        seen += 1;
    }
    seen
}

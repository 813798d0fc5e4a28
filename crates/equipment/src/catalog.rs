//! All machine files of a folder.

use std::collections::BTreeMap;

use fields::{Fault, Problem, Problems};

use crate::control::Controller;
use crate::cooling::Cooler;
use crate::file::{read_controller, read_cooler, read_model};
use crate::model::Model;

/// The machines known to a job, by code.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Catalog {
    /// Dehumidifiers.
    pub dehumidifiers: BTreeMap<String, Model>,
    /// Cooling machines.
    pub coolers: BTreeMap<String, Cooler>,
    /// Controllers.
    pub controllers: BTreeMap<String, Controller>,
}

/// What a machine file describes.
#[derive(Clone, Debug, PartialEq)]
pub enum Machine {
    /// A dehumidifier.
    Dehumidifier(Box<Model>),
    /// A cooling machine.
    Cooler(Box<Cooler>),
    /// A controller.
    Controller(Box<Controller>),
}

impl Machine {
    /// Its code.
    pub fn code(&self) -> &str {
        match self {
            Self::Dehumidifier(m) => &m.code,
            Self::Cooler(c) => &c.code,
            Self::Controller(c) => &c.code,
        }
    }
}

impl Catalog {
    /// Reads machine files: name as the person knows it, and text.
    ///
    /// # Errors
    /// Every problem of every file, and codes that stand twice.
    pub fn read(files: &[(String, String)]) -> Result<Self, Problems> {
        let mut catalog = Self::default();
        let mut problems = Problems::default();
        for (name, text) in files {
            match read_machine(name, text) {
                Ok(machine) => {
                    if let Err(code) = catalog.insert(machine) {
                        problems.push(twice(name, text, &code));
                    }
                }
                Err(p) => problems.append(p),
            }
        }
        if problems.is_empty() {
            Ok(catalog)
        } else {
            Err(problems)
        }
    }

    /// Adds a machine.
    ///
    /// # Errors
    /// Its code, if that is taken.
    pub fn insert(&mut self, machine: Machine) -> Result<(), String> {
        let code = machine.code().to_owned();
        if self.dehumidifiers.contains_key(&code)
            || self.coolers.contains_key(&code)
            || self.controllers.contains_key(&code)
        {
            return Err(code);
        }
        match machine {
            Machine::Dehumidifier(m) => {
                self.dehumidifiers.insert(code, *m);
            }
            Machine::Cooler(c) => {
                self.coolers.insert(code, *c);
            }
            Machine::Controller(c) => {
                self.controllers.insert(code, *c);
            }
        }
        Ok(())
    }
}

/// Reads one machine file: a cooling machine's has the section `[cooler]`, a
/// controller's `[controller]`, and any other is a dehumidifier's.
///
/// # Errors
/// Every problem of the file.
pub fn read_machine(file_name: &str, text: &str) -> Result<Machine, Problems> {
    let has = |section: &str| {
        text.lines()
            .any(|l| l.split('#').next().unwrap_or("").trim() == section)
    };
    if has("[cooler]") {
        read_cooler(file_name, text).map(|c| Machine::Cooler(Box::new(c)))
    } else if has("[controller]") {
        read_controller(file_name, text).map(|c| Machine::Controller(Box::new(c)))
    } else {
        read_model(file_name, text).map(|m| Machine::Dehumidifier(Box::new(m)))
    }
}

fn twice(file: &str, text: &str, code: &str) -> Problem {
    let (line, start) = text
        .lines()
        .scan(0, |at, l| {
            let start = *at;
            *at += l.len() + 1;
            Some((l, start))
        })
        .enumerate()
        .find(|(_, (l, _))| l.trim_start().starts_with("code"))
        .map_or((1, 0), |(i, (_, start))| (i + 1, start));
    Problem {
        file: file.into(),
        line,
        column: 1,
        span: start..start,
        fault: Fault::Duplicate,
        key: "code".to_owned(),
        read: code.to_owned(),
        what: "another file of this folder has this code".to_owned(),
        allowed: String::new(),
        mend: "give each machine a code of its own".to_owned(),
    }
}

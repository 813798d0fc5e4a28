//! What a file said, by section and key.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use quantity::{Band, Given, Line, Origin};

use crate::datum::Datum;
use crate::map::Map;
use crate::problem::{Fault, Problem};
use crate::table::Section;

/// A place in the file's text.
#[derive(Clone, Debug)]
pub(crate) struct Spot {
    pub(crate) line: Line,
    pub(crate) span: Range<usize>,
    pub(crate) read: String,
}

/// Everything that a file said, with the defaults of the table.
#[derive(Clone, Debug)]
pub struct Reading {
    pub(crate) file: Arc<str>,
    pub(crate) entries: Vec<Entry>,
    /// Keys of the format's sections, to tell a wrong ask from an absent one.
    pub(crate) keys: Vec<&'static str>,
}

/// One section that stands in the file (or is read as if it did).
#[derive(Clone, Debug)]
pub struct Entry {
    pub(crate) section: &'static Section,
    pub(crate) written: bool,
    pub(crate) spot: Spot,
    pub(crate) data: BTreeMap<&'static str, Given<Datum>>,
    pub(crate) spots: BTreeMap<&'static str, Spot>,
}

impl Reading {
    /// Name of the file.
    pub fn file(&self) -> &Arc<str> {
        &self.file
    }

    /// The section with this key, if it stands in the file or is one that is
    /// always read.
    ///
    /// # Panics
    /// If the format has no such section: a mistake of the program.
    pub fn section(&self, key: &str) -> Option<&Entry> {
        self.sections(key).next()
    }

    /// Every entry of a repeated section, in the order of the file.
    ///
    /// # Panics
    /// If the format has no such section: a mistake of the program.
    pub fn sections(&self, key: &str) -> impl Iterator<Item = &Entry> {
        assert!(self.keys.contains(&key), "no section {key} in this format");
        self.entries.iter().filter(move |e| e.section.key == key)
    }

    /// A section that is always read ([`crate::Repeat::Once`]).
    ///
    /// # Panics
    /// If the format has no such section or it may be absent: a mistake of
    /// the program.
    pub fn once(&self, key: &str) -> &Entry {
        let entry = self.section(key);
        entry.unwrap_or_else(|| panic!("section {key} is not always read"))
    }
}

macro_rules! accessors {
    ($($(#[$doc:meta])* $name:ident $need:ident $variant:ident $out:ty;)*) => {$(
        $(#[$doc])*
        /// `None` if the file does not say and the table has no default.
        ///
        /// # Panics
        /// If the table has no such key or another kind: a mistake of the program.
        pub fn $name(&self, key: &str) -> Option<Given<$out>> {
            self.get(key).map(|g| g.clone().map(|d| match d {
                Datum::$variant(x) => x,
                other => panic!("{} is {other:?}", self.section.dotted(key)),
            }))
        }

        #[doc = concat!("[`Entry::", stringify!($name), "`] of a field that is required or has a default.")]
        ///
        /// # Panics
        /// If the field may be absent: a mistake of the program.
        pub fn $need(&self, key: &str) -> Given<$out> {
            self.$name(key)
                .unwrap_or_else(|| panic!("{} may be absent", self.section.dotted(key)))
        }
    )*};
}

impl Entry {
    accessors! {
        /// A number, SI.
        value need_value Number f64;
        /// A band, SI.
        band need_band Band Band;
        /// Words.
        text need_text Text String;
        /// One of the words of the table.
        choice need_choice Choice &'static str;
        /// Seconds after midnight.
        clock need_clock Clock u32;
        /// A day, as year-month-day.
        date need_date Date String;
        /// A whole number.
        count need_count Count u32;
        /// x, y, z \[m\].
        point need_point Point [f64; 3];
        /// Rows of numbers, SI.
        map need_map Map Map;
    }

    /// The table of this section.
    pub fn table(&self) -> &'static Section {
        self.section
    }

    /// Whether the section stands in the file.
    pub fn is_written(&self) -> bool {
        self.written
    }

    /// Whether the file itself says this key (a default does not count).
    pub fn says(&self, key: &str) -> bool {
        self.get(key).is_some_and(|g| !g.is_assumed())
    }

    /// Where the section starts.
    pub fn at(&self) -> &Line {
        &self.spot.line
    }

    /// Items of a list of texts.
    ///
    /// # Panics
    /// If the table has no such key or another kind: a mistake of the program.
    pub fn texts(&self, key: &str) -> Vec<Given<String>> {
        self.list(key, |d| match d {
            Datum::Text(x) => Some(x),
            _ => None,
        })
    }

    /// Items of a list of times of day, seconds after midnight.
    ///
    /// # Panics
    /// If the table has no such key or another kind: a mistake of the program.
    pub fn clocks(&self, key: &str) -> Vec<Given<u32>> {
        self.list(key, |d| match d {
            Datum::Clock(x) => Some(x),
            _ => None,
        })
    }

    /// Items of a list of numbers, SI.
    ///
    /// # Panics
    /// If the table has no such key or another kind: a mistake of the program.
    pub fn values(&self, key: &str) -> Vec<Given<f64>> {
        self.list(key, |d| match d {
            Datum::Number(x) => Some(x),
            _ => None,
        })
    }

    /// Items of a list of points \[m\].
    ///
    /// # Panics
    /// If the table has no such key or another kind: a mistake of the program.
    pub fn points(&self, key: &str) -> Vec<Given<[f64; 3]>> {
        self.list(key, |d| match d {
            Datum::Point(x) => Some(x),
            _ => None,
        })
    }

    /// Items of a list of choices.
    ///
    /// # Panics
    /// If the table has no such key or another kind: a mistake of the program.
    pub fn choices(&self, key: &str) -> Vec<Given<&'static str>> {
        self.list(key, |d| match d {
            Datum::Choice(x) => Some(x),
            _ => None,
        })
    }

    /// A problem with what this key says, for checks that need more than one
    /// field. It stands at the key's value, or at the section if the file does
    /// not say the key.
    pub fn problem(&self, fault: Fault, key: &str, what: &str, mend: &str) -> Problem {
        let spot = self.spots.get(key).unwrap_or(&self.spot);
        let read = if self.spots.contains_key(key) {
            spot.read.clone()
        } else {
            String::new()
        };
        Problem {
            file: spot.line.file.clone(),
            line: spot.line.line,
            column: spot.line.column,
            span: spot.span.clone(),
            fault,
            key: self.section.dotted(key),
            read,
            what: what.to_owned(),
            allowed: String::new(),
            mend: mend.to_owned(),
        }
    }

    fn get(&self, key: &str) -> Option<&Given<Datum>> {
        assert!(
            self.section.field(key).is_some(),
            "no field {} in this format",
            self.section.dotted(key)
        );
        self.data.get(key)
    }

    fn list<T>(&self, key: &str, take: impl Fn(Datum) -> Option<T>) -> Vec<Given<T>> {
        let Some(given) = self.get(key) else {
            return Vec::new();
        };
        let Datum::List(items) = &given.value else {
            panic!("{} is no list", self.section.dotted(key));
        };
        items
            .iter()
            .map(|d| Given {
                value: take(d.clone())
                    .unwrap_or_else(|| panic!("{} lists {d:?}", self.section.dotted(key))),
                origin: given.origin.clone(),
            })
            .collect()
    }
}

/// Origin of what stands in a file.
pub(crate) fn surveyed(spot: &Spot) -> Origin {
    Origin::Surveyed(spot.line.clone())
}

//! Where the figures of a record come from.

use quantity::{Source, SourceKind};

/// Whether a machine exists.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Existence {
    /// Invented for demonstration: no such machine can be bought.
    Invented,
    /// A real machine, from a document.
    Documented {
        /// Title of the document.
        document: String,
        /// Page or table in it.
        page: String,
        /// Day on which it was read, ISO.
        read_on: String,
    },
}

/// Where the figures of a record come from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Provenance {
    /// Invented, or from which document.
    pub existence: Existence,
    /// Where single figures come from: figure and source, in order.
    pub figures: Vec<(String, String)>,
}

impl Provenance {
    /// The whole as a source.
    pub fn source(&self) -> Source {
        match &self.existence {
            Existence::Invented => Source::assumed("invented machine, for demonstration"),
            Existence::Documented {
                document,
                page,
                read_on,
            } => Source {
                kind: SourceKind::Published,
                cite: document.clone().into(),
                place_in_it: format!("{page}, read {read_on}").into(),
            },
        }
    }

    /// The source of one figure: its own note where there is one.
    pub fn source_of(&self, figure: &str) -> Source {
        let whole = self.source();
        match self.figures.iter().find(|(f, _)| f == figure) {
            Some((_, note)) => Source {
                place_in_it: note.clone().into(),
                ..whole
            },
            None => whole,
        }
    }
}

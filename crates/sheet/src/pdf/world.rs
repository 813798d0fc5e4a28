//! The world that typst sees: one template, three fonts, the files of one
//! report; no disk, no packages, no clock.

use std::collections::BTreeMap;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use crate::drawing::font;

/// A closed set of files and fonts.
pub(super) struct ClosedWorld {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
    main: Source,
    files: BTreeMap<String, Bytes>,
}

impl ClosedWorld {
    /// A world with this template and these files, by name.
    pub(super) fn new(template: &str, files: Vec<(String, Vec<u8>)>) -> Self {
        let fonts: Vec<Font> = [font::REGULAR, font::SEMIBOLD, font::ITALIC]
            .into_iter()
            .flat_map(|bytes| Font::iter(Bytes::new(bytes)))
            .collect();
        let main = VirtualPath::new("main.typ")
            .map(|path| RootedPath::new(VirtualRoot::Project, path).intern())
            .map(|id| Source::new(id, template.to_owned()))
            .unwrap_or_else(|_| Source::detached(template));
        // The half-bold file calls its family by a shortened name of its own.
        let book = FontBook::from_infos(fonts.iter().map(|f| {
            let mut info = f.info().clone();
            info.family = font::FAMILY.into();
            info
        }));
        Self {
            library: LazyHash::new(Library::default()),
            book: LazyHash::new(book),
            fonts,
            main,
            files: files
                .into_iter()
                .map(|(name, bytes)| (name, Bytes::new(bytes)))
                .collect(),
        }
    }
}

impl World for ClosedWorld {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &self.book
    }

    fn main(&self) -> FileId {
        self.main.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.main.id() {
            Ok(self.main.clone())
        } else {
            Err(FileError::AccessDenied)
        }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files
            .get(id.get().vpath().get_without_slash())
            .cloned()
            .ok_or(FileError::AccessDenied)
    }

    fn font(&self, index: usize) -> Option<Font> {
        self.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        None
    }
}

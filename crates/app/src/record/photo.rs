//! Photos: decoded within bounds, turned upright, made small, written anew
//! and kept by their hash. What a picture file carried beside the picture
//! (place, device, thumbnails, anything hidden) is not in the new file.
//!
//! They lie as files in `photos/` beside the record rather than in it: they
//! can be looked at without this program, a merge copies them, and the record
//! stays small enough to be synced at every event.

use std::io::Cursor;
use std::path::{Path, PathBuf};

use exif::{In, Tag};
use image::codecs::jpeg::JpegEncoder;
use image::imageops::FilterType;
use image::{DynamicImage, ImageDecoder as _, ImageFormat, ImageReader, Limits};
use job::record::{Hash, Photo};
use job::startup::Step;

use super::PHOTOS;
use super::error::RecordError;
use super::store::Store;
use crate::files;

/// Largest file that is taken \[bytes\].
pub(crate) const LARGEST: usize = 25 * 1024 * 1024;
/// Longest side and most dots that are decoded.
const MOST_SIDE: u32 = 12_000;
const MOST_DOTS: u64 = 50_000_000;
/// Most memory that decoding may take \[bytes\].
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
/// Longest side of what is kept: a nameplate can be read on it.
const KEPT_SIDE: u32 = 2_560;
/// Quality of what is kept, 1 to 100.
const QUALITY: u8 = 85;

/// Whether it is kept where a photo was taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Position {
    /// It is dropped.
    Drop,
    /// It is asked for.
    Keep,
}

/// A photo as it is kept.
#[derive(Debug)]
pub(crate) struct Taken {
    /// As JPEG.
    pub(crate) jpeg: Vec<u8>,
    /// Hash of that.
    pub(crate) hash: Hash,
    /// Width in dots.
    pub(crate) width: u32,
    /// Height in dots.
    pub(crate) height: u32,
    /// What the camera says of it, in words; empty if nothing.
    pub(crate) said: String,
}

impl Taken {
    /// A photo from the bytes of a file that somebody sent.
    pub(crate) fn read(bytes: &[u8], position: Position) -> Result<Self, RecordError> {
        let refuse = |words: String| Err(RecordError::Photo(words));
        if LARGEST < bytes.len() {
            return refuse(format!(
                "the photo is {:.0} MB; at most {} MB are taken: send it smaller",
                bytes.len() as f64 / 1e6,
                LARGEST / (1024 * 1024)
            ));
        }
        let format = format_of(bytes)?;
        let unreadable = |e: image::ImageError| {
            RecordError::Photo(format!(
                "the photo cannot be read ({e}): it may be cut off; take or send it again"
            ))
        };
        if format == ImageFormat::Jpeg && !is_whole(bytes) {
            return refuse(
                "the photo is cut off: its end is missing; take or send it again".into(),
            );
        }
        // The head of the file only; nothing is decoded yet.
        let (width, height) = ImageReader::with_format(Cursor::new(bytes), format)
            .into_dimensions()
            .map_err(unreadable)?;
        let dots = u64::from(width) * u64::from(height);
        if MOST_SIDE < width.max(height) || MOST_DOTS < dots {
            return refuse(format!(
                "the photo is {width} by {height} dots; at most {MOST_SIDE} a side and {} million in all are taken: send it smaller",
                MOST_DOTS / 1_000_000
            ));
        }
        let mut limits = Limits::default();
        limits.max_image_width = Some(MOST_SIDE);
        limits.max_image_height = Some(MOST_SIDE);
        limits.max_alloc = Some(MOST_MEMORY);
        let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
        reader.limits(limits);
        let mut decoder = reader.into_decoder().map_err(unreadable)?;
        let orientation = decoder.orientation().map_err(unreadable)?;
        let said = decoder
            .exif_metadata()
            .ok()
            .flatten()
            .map_or_else(String::new, |raw| what_it_says(raw, position));
        let mut picture = DynamicImage::from_decoder(decoder).map_err(unreadable)?;
        picture.apply_orientation(orientation);
        if KEPT_SIDE < picture.width().max(picture.height()) {
            picture = picture.resize(KEPT_SIDE, KEPT_SIDE, FilterType::Triangle);
        }
        let picture = picture.into_rgb8();
        let mut jpeg = Vec::new();
        picture
            .write_with_encoder(JpegEncoder::new_with_quality(&mut jpeg, QUALITY))
            .map_err(unreadable)?;
        Ok(Self {
            hash: Hash::of(&jpeg),
            width: picture.width(),
            height: picture.height(),
            jpeg,
            said,
        })
    }
}

/// Whether a JPEG goes on to its end (ITU-T T.81, B.1.1). Decoders make the best
/// of one that does not, and paint grey what is missing.
fn is_whole(jpeg: &[u8]) -> bool {
    const ONES: u8 = 0xff;
    const END: u8 = 0xd9;
    // Bytes after a byte of ones that begin no segment: filling, and within the
    // picture a byte of ones itself or a restart.
    let begins = |w: &[u8]| w[0] == ONES && !matches!(w[1], 0 | ONES | 0xd0..=0xd7);
    let mut at = 2;
    while let Some(found) = jpeg.get(at..).and_then(|r| r.windows(2).position(begins)) {
        at += found + 2;
        if jpeg[at - 1] == END {
            return true;
        }
        // How long the segment is, this length included.
        let Some(&[high, low]) = jpeg.get(at..at + 2) else {
            return false;
        };
        at += usize::from(u16::from_be_bytes([high, low]));
    }
    false
}

impl Taken {
    /// As an event of a step says it.
    pub(crate) fn of_step(&self, step: &Step) -> Photo {
        Photo {
            unit: step.unit.clone(),
            step: Some(step.id.clone()),
            hash: self.hash,
            bytes: self.jpeg.len() as u64,
            width: self.width,
            height: self.height,
            caption: (!self.said.is_empty()).then(|| self.said.clone()),
        }
    }
}

/// What kind of picture the bytes are; the name and the kind that somebody
/// says it is are not asked.
fn format_of(bytes: &[u8]) -> Result<ImageFormat, RecordError> {
    let refuse = |words: &str| Err(RecordError::Photo(words.to_owned()));
    let brand = bytes
        .get(4..12)
        .filter(|b| b.starts_with(b"ftyp"))
        .map(|b| &b[4..]);
    if let Some(b"heic" | b"heix" | b"hevc" | b"heim" | b"heis" | b"mif1" | b"msf1" | b"avif") =
        brand
    {
        return refuse(
            "this is a HEIC photo, which is not taken. In the settings of the phone's camera choose JPEG as the format, or send the photo as JPEG",
        );
    }
    match image::guess_format(bytes) {
        Ok(format @ (ImageFormat::Jpeg | ImageFormat::Png)) => Ok(format),
        Ok(other) => Err(RecordError::Photo(format!(
            "this is a picture of kind {}; JPEG and PNG are taken",
            other.extensions_str().first().unwrap_or(&"unknown")
        ))),
        Err(_) => refuse("this is not a photo that can be read; JPEG and PNG are taken"),
    }
}

/// When, and if asked where, the camera says that it was taken.
fn what_it_says(raw: Vec<u8>, position: Position) -> String {
    let Ok(data) = exif::Reader::new().read_raw(raw) else {
        return String::new();
    };
    let field = |tag: Tag| {
        let found = data.get_field(tag, In::PRIMARY)?;
        // What the file says is not trusted to be short or plain.
        let text: String = found.display_value().to_string();
        Some(
            text.chars()
                .filter(|c| !crate::letters::is_unseen(*c))
                .take(60)
                .collect::<String>(),
        )
    };
    let mut said = Vec::new();
    if let Some(when) = field(Tag::DateTimeOriginal) {
        said.push(format!("camera clock {when}"));
    }
    if position == Position::Keep
        && let (Some(latitude), Some(longitude)) =
            (field(Tag::GPSLatitude), field(Tag::GPSLongitude))
    {
        let side = |tag, of: &str| field(tag).unwrap_or_else(|| of.to_owned());
        said.push(format!(
            "position {latitude} {}, {longitude} {}",
            side(Tag::GPSLatitudeRef, "N"),
            side(Tag::GPSLongitudeRef, "E")
        ));
    }
    said.join("; ")
}

impl Store {
    /// Keeps a photo; when this returns, it is on the disk.
    pub(crate) fn keep_photo(&self, taken: &Taken) -> Result<(), RecordError> {
        let file = path_in(&self.folder().join(PHOTOS), &taken.hash);
        write(&file, &taken.jpeg)
    }

    /// A photo as it was kept; none where it is not there or is another one
    /// now.
    pub(crate) fn photo(&self, hash: &Hash) -> Option<Vec<u8>> {
        let bytes = std::fs::read(path_in(&self.folder().join(PHOTOS), hash)).ok()?;
        (Hash::of(&bytes) == *hash).then_some(bytes)
    }
}

/// Copies the photos beside another record that are what their names say and
/// are not here yet. Gives how many.
pub(super) fn copy_all(other: &Path, to: &Path) -> Result<usize, RecordError> {
    let from = other.parent().unwrap_or(Path::new(".")).join(PHOTOS);
    let Ok(entries) = std::fs::read_dir(&from) else {
        return Ok(0);
    };
    let mut copied = 0;
    for entry in entries.filter_map(Result::ok) {
        let name = entry.file_name().to_string_lossy().into_owned();
        let is_file = entry.file_type().is_ok_and(|t| t.is_file());
        if !is_file || !name.ends_with(ENDING) || to.join(&name).exists() {
            continue;
        }
        let bytes = std::fs::read(entry.path()).map_err(|e| RecordError::io(&entry.path(), &e))?;
        let target = path_in(to, &Hash::of(&bytes));
        if target == to.join(&name) {
            write(&target, &bytes)?;
            copied += 1;
        }
    }
    Ok(copied)
}

/// Keeps a photo that came with another record, if it is not here yet. Gives
/// whether it was kept.
pub(super) fn keep(jpeg: &[u8], folder: &Path) -> Result<bool, RecordError> {
    let file = path_in(folder, &Hash::of(jpeg));
    if std::fs::read(&file).is_ok_and(|there| there == jpeg) {
        return Ok(false);
    }
    write(&file, jpeg).map(|()| true)
}

const ENDING: &str = ".jpg";

/// Half of the hash tells photos apart and is a name that every disk and zip
/// takes; what is in the file is held against the whole of it.
fn path_in(folder: &Path, hash: &Hash) -> PathBuf {
    let name: String = hash.to_string().chars().take(32).collect();
    folder.join(format!("{name}{ENDING}"))
}

fn write(file: &Path, bytes: &[u8]) -> Result<(), RecordError> {
    files::write_whole(file, bytes).map_err(|error| {
        let io = error
            .chain()
            .find_map(|e| e.downcast_ref::<std::io::Error>());
        match io {
            Some(io) => RecordError::io(file, io),
            None => RecordError::Disk {
                file: file.to_path_buf(),
                why: format!("{error:#}"),
            },
        }
    })
}

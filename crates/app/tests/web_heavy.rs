//! Files that somebody sends and that unfold into far more than they are, or
//! into nothing: each is refused in words, and the server stays small.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

mod common;

use std::io::{Cursor, Write as _};

use common::root;
use common::web::Server;
use flate2::{Compress, Compression, FlushCompress, Status};
use zip::ZipWriter;
use zip::write::SimpleFileOptions;

const START: &str = "/jobs/one/rooms/veg-1/startup";
/// Most memory that the server may ever have taken \[MiB\].
const MOST_MIB: u64 = 300;
const TEN_GB: u64 = 10_000_000_000;

fn served() -> Server {
    Server::start(|folder| {
        let job = folder.join("one");
        std::fs::create_dir(&job).unwrap();
        for name in ["site.toml", "veg-1.room.toml"] {
            std::fs::copy(root().join("cases/demo").join(name), job.join(name)).unwrap();
        }
    })
}

/// Zeros as a zip holds them, about 10 MB for 10 GB: one packed megabyte that
/// needs nothing of what stands before it, as often as it takes.
fn packed_zeros(bytes: u64) -> Vec<u8> {
    const PIECE: usize = 1_000_000;
    let mut packer = Compress::new(Compression::best(), false);
    let mut pack = |zeros: &[u8], flush| {
        let mut packed = Vec::with_capacity(100_000);
        let done = packer.compress_vec(zeros, &mut packed, flush).unwrap();
        assert_ne!(done, Status::BufError);
        packed
    };
    let piece = pack(&vec![0; PIECE], FlushCompress::Full);
    let end = pack(&[], FlushCompress::Finish);
    let mut packed = piece.repeat((bytes / PIECE as u64) as usize);
    packed.extend(end);
    packed
}

/// A zip of one entry, with the size that it claims to unfold to, in the form
/// for files beyond 4 GiB (APPNOTE.TXT 6.3, 4.3.7, 4.3.12, 4.5.3).
fn zip_of(name: &str, packed: &[u8], claims_bytes: u64) -> Vec<u8> {
    const LARGE: u32 = u32::MAX;
    let name_bytes = name.as_bytes();
    let sizes = [
        &[1, 0, 16, 0][..],
        &claims_bytes.to_le_bytes(),
        &(packed.len() as u64).to_le_bytes(),
    ]
    .concat();
    // Version 4.5, no flags, deflated, no time, no check sum, sizes below.
    let common = [
        &[45, 0, 0, 0, 8, 0, 0, 0, 0, 0, 0, 0, 0, 0][..],
        &LARGE.to_le_bytes(),
        &LARGE.to_le_bytes(),
        &(name_bytes.len() as u16).to_le_bytes(),
        &(sizes.len() as u16).to_le_bytes(),
    ]
    .concat();
    let mut zip = [b"PK\x03\x04", &common[..], name_bytes, &sizes, packed].concat();
    let list_at = zip.len() as u32;
    let entry = [
        &b"PK\x01\x02\x2d\x00"[..],
        &common,
        // No remark, first disk, no attributes, at the start of the file.
        &[0; 14],
        name_bytes,
        &sizes,
    ]
    .concat();
    zip.extend_from_slice(&entry);
    zip.extend_from_slice(b"PK\x05\x06\0\0\0\0\x01\0\x01\0");
    zip.extend_from_slice(&(entry.len() as u32).to_le_bytes());
    zip.extend_from_slice(&list_at.to_le_bytes());
    zip.extend_from_slice(&[0, 0]);
    zip
}

#[test]
fn a_zip_that_unfolds_beyond_measure_is_refused() {
    let server = served();
    let zeros = packed_zeros(TEN_GB);
    let plain = SimpleFileOptions::default();
    let mut many = ZipWriter::new(Cursor::new(Vec::new()));
    for n in 0..=10_000 {
        many.start_file(format!("{n}.toml"), plain).unwrap();
    }
    let mut link = ZipWriter::new(Cursor::new(Vec::new()));
    link.add_symlink("a.room.toml", "/etc/passwd", plain)
        .unwrap();
    let mut two = ZipWriter::new(Cursor::new(Vec::new()));
    two.start_file("a.room.toml", plain).unwrap();
    two.write_all(b"# a\n").unwrap();
    // Cut off within its list.
    let mut cut = two.finish().unwrap().into_inner();
    cut.truncate(cut.len() - 30);
    for (zip, words) in [
        (zip_of("a.room.toml", &zeros, TEN_GB), "too large"),
        // Says that it is ten bytes.
        (zip_of("a.room.toml", &zeros, 10), "a.room.toml"),
        (many.finish().unwrap().into_inner(), "10001 entries"),
        (link.finish().unwrap().into_inner(), "is a link"),
        (cut, "no zip file"),
    ] {
        let refused = server.upload("/jobs/open", &[("name", "two")], ("zip", "sent.zip", &zip));
        assert!((400..500).contains(&refused.status), "{}", refused.status);
        assert!(refused.body.contains(words), "{words}: {}", refused.body);
        // Nothing of it stays behind.
        let left = std::fs::read_dir(server.folder.path()).unwrap();
        let left: Vec<_> = left.map(|e| e.unwrap().file_name()).collect();
        let mut visible = left
            .iter()
            .filter(|n| !n.to_string_lossy().starts_with('.'));
        assert_eq!(visible.next().unwrap(), "one");
        assert!(visible.next().is_none(), "{left:?}");
        assert!(
            !left
                .iter()
                .any(|n| n.to_string_lossy().starts_with(".new-")),
            "{left:?}"
        );
        assert_eq!(server.get("/").status, 200);
    }
    assert!(server.most_memory_mib().is_none_or(|m| m < MOST_MIB));
}

/// A PNG whose head says so many dots.
fn png_head(width: u32, height: u32) -> Vec<u8> {
    let chunk = |kind: &[u8], content: &[u8]| {
        let named = [kind, content].concat();
        let mut sum = flate2::Crc::new();
        sum.update(&named);
        let length = (content.len() as u32).to_be_bytes();
        [&length[..], &named, &sum.sum().to_be_bytes()].concat()
    };
    // Eight bits a colour, three colours.
    let head = [
        &width.to_be_bytes()[..],
        &height.to_be_bytes(),
        &[8, 2, 0, 0, 0],
    ]
    .concat();
    [
        &b"\x89PNG\r\n\x1a\n"[..],
        &chunk(b"IHDR", &head),
        &chunk(b"IDAT", &packed_zeros(1_000_000)),
        &chunk(b"IEND", b""),
    ]
    .concat()
}

#[test]
fn a_photo_that_is_huge_cut_off_or_of_another_kind_is_refused() {
    let mut server = served();
    let said = server.post(&format!("{START}/who"), &[("who", "A. Example")]);
    server.cookie = format!("{}; {}", server.cookie, said.cookie());
    let mut jpeg = Cursor::new(Vec::new());
    let dots = |x: u32, y: u32| image::Rgb([x as u8, (x ^ y) as u8, y as u8]);
    image::RgbImage::from_fn(1600, 1200, dots)
        .write_to(&mut jpeg, image::ImageFormat::Jpeg)
        .unwrap();
    let jpeg = jpeg.into_inner();
    let send = |photo: &[u8]| {
        let to = format!("{START}/units/D1/photo");
        server.upload(&to, &[("step", "D1.filter")], ("photo", "sent.jpg", photo))
    };
    for (photo, words) in [
        (png_head(60_000, 60_000), "60000 by 60000 dots"),
        // Within the longest side, far beyond the dots.
        (png_head(12_000, 12_000), "12000 by 12000 dots"),
        // As many dots as are taken, and none of them there.
        (png_head(7_000, 7_000), "cut off"),
        (jpeg[..jpeg.len() / 2].to_vec(), "cut off"),
        (jpeg[..300].to_vec(), "cut off"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic".to_vec(), "HEIC"),
    ] {
        let refused = send(&photo);
        assert_eq!(refused.status, 422, "{words}: {}", refused.body);
        assert!(refused.body.contains(words), "{words}: {}", refused.body);
        assert!(!server.folder.path().join("one/photos").exists(), "{words}");
    }
    assert_eq!(send(&jpeg).status, 303);
    assert!(server.most_memory_mib().is_none_or(|m| m < MOST_MIB));
}

//! Photos, and what is none.

use image::{DynamicImage, ImageFormat, RgbImage};

use super::super::photo::{Position, Taken};
use super::Site;

fn picture(width: u32, height: u32, format: ImageFormat) -> Vec<u8> {
    let dots = RgbImage::from_fn(width, height, |x, _| image::Rgb([(x % 256) as u8, 0, 90]));
    let mut bytes = std::io::Cursor::new(Vec::new());
    DynamicImage::from(dots)
        .write_to(&mut bytes, format)
        .unwrap();
    bytes.into_inner()
}

pub(super) fn png(width: u32, height: u32) -> Vec<u8> {
    picture(width, height, ImageFormat::Png)
}

/// A JPEG with EXIF: turned by 90°, taken at a time and a place. Made by hand
/// after the TIFF 6.0 and EXIF 2.3 layouts.
fn with_exif(width: u32, height: u32) -> Vec<u8> {
    let mut tiff = b"MM\0*\0\0\0\x08".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| {
        let mut e = [tag.to_be_bytes(), kind.to_be_bytes()].concat();
        e.extend(count.to_be_bytes());
        e.extend(value);
        e
    };
    // Three entries, then those of EXIF (one), then those of GPS (four).
    let exif_at: u32 = 8 + 2 + 3 * 12 + 4;
    let gps_at: u32 = exif_at + 2 + 12 + 4;
    let date_at: u32 = gps_at + 2 + 4 * 12 + 4;
    let degrees_at: u32 = date_at + 20;
    tiff.extend(3_u16.to_be_bytes());
    tiff.extend(entry(0x0112, 3, 1, [0, 6, 0, 0]));
    tiff.extend(entry(0x8769, 4, 1, exif_at.to_be_bytes()));
    tiff.extend(entry(0x8825, 4, 1, gps_at.to_be_bytes()));
    tiff.extend(0_u32.to_be_bytes());
    tiff.extend(1_u16.to_be_bytes());
    tiff.extend(entry(0x9003, 2, 20, date_at.to_be_bytes()));
    tiff.extend(0_u32.to_be_bytes());
    tiff.extend(4_u16.to_be_bytes());
    tiff.extend(entry(1, 2, 2, *b"N\0\0\0"));
    tiff.extend(entry(2, 5, 3, degrees_at.to_be_bytes()));
    tiff.extend(entry(3, 2, 2, *b"W\0\0\0"));
    tiff.extend(entry(4, 5, 3, degrees_at.to_be_bytes()));
    tiff.extend(0_u32.to_be_bytes());
    tiff.extend(*b"2026:11:25 14:02:00\0");
    for number in [47_u32, 1, 30, 1, 0, 1] {
        tiff.extend(number.to_be_bytes());
    }
    let jpeg = picture(width, height, ImageFormat::Jpeg);
    let mut with = jpeg[..2].to_vec();
    let length = u16::try_from(2 + 6 + tiff.len()).unwrap();
    with.extend([0xff, 0xe1]);
    with.extend(length.to_be_bytes());
    with.extend(*b"Exif\0\0");
    with.extend(tiff);
    with.extend(&jpeg[2..]);
    with
}

fn refused(bytes: &[u8]) -> String {
    Taken::read(bytes, Position::Drop)
        .expect_err("refused")
        .to_string()
}

#[test]
fn a_photo_is_turned_upright_and_loses_its_place() {
    let bytes = with_exif(40, 20);
    let taken = Taken::read(&bytes, Position::Drop).unwrap();
    assert_eq!((taken.width, taken.height), (20, 40));
    assert!(taken.said.contains("2026-11-25 14:02:00"), "{}", taken.said);
    assert!(!taken.said.contains("47"), "{}", taken.said);
    assert!(!taken.jpeg.windows(4).any(|w| w == b"Exif"));
    let kept = Taken::read(&bytes, Position::Keep).unwrap();
    assert!(
        kept.said.contains("47") && kept.said.contains('W'),
        "{}",
        kept.said
    );
    assert_eq!(kept.hash, taken.hash);
}

#[test]
fn a_large_photo_is_made_smaller_and_kept_by_its_hash() {
    let site = Site::new();
    let taken = Taken::read(&png(5_120, 100), Position::Drop).unwrap();
    assert_eq!((taken.width, taken.height), (2_560, 50));
    assert!(taken.jpeg.starts_with(&[0xff, 0xd8]));
    site.store().keep_photo(&taken).unwrap();
    assert_eq!(site.store().photo(&taken.hash).as_ref(), Some(&taken.jpeg));
    let folder = site.folder.path().join("photos");
    let file = std::fs::read_dir(folder).unwrap().next().unwrap().unwrap();
    std::fs::write(file.path(), b"another").unwrap();
    assert_eq!(site.store().photo(&taken.hash), None);
}

#[test]
fn what_is_no_photo_is_refused_with_words() {
    for (bytes, words) in [
        (
            &b"<svg xmlns='http://www.w3.org/2000/svg'/>"[..],
            "not a photo",
        ),
        (b"<!doctype html><script>1</script>", "not a photo"),
        (b"", "not a photo"),
        (b"GIF89a\x01\0\x01\0", "JPEG and PNG"),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic", "HEIC"),
        (b"\0\0\0\x18ftypmif1\0\0\0\0mif1heic", "HEIC"),
    ] {
        let said = refused(bytes);
        assert!(said.contains(words), "{said}");
    }
    let jpeg = picture(400, 300, ImageFormat::Jpeg);
    let cut = refused(&jpeg[..40]);
    assert!(cut.contains("cut off"), "{cut}");
    let png = png(400, 300);
    let cut = refused(&png[..png.len() / 2]);
    assert!(cut.contains("cut off"), "{cut}");
}

#[test]
fn a_bomb_is_refused_before_it_is_decoded() {
    // A head that promises 60,000 by 60,000 dots, and nothing behind it.
    let head = |width: u32, height: u32| {
        let mut png = b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR".to_vec();
        png.extend(width.to_be_bytes());
        png.extend(height.to_be_bytes());
        png.extend([8, 2, 0, 0, 0]);
        let crc = crc(&png[12..]);
        png.extend(crc.to_be_bytes());
        png.extend(*b"\0\0\0\0IDAT\x35\xaf\x06\x1e");
        png
    };
    for (width, height) in [(60_000, 60_000), (12_001, 10), (9_000, 9_000)] {
        let said = refused(&head(width, height));
        assert!(said.contains(&format!("{width} by {height}")), "{said}");
    }
    let large = vec![0_u8; super::super::photo::LARGEST + 1];
    assert!(refused(&large).contains("at most 25 MB"));
}

/// CRC-32 as PNG has it (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| {
            if c & 1 == 1 {
                0xedb8_8320 ^ c >> 1
            } else {
                c >> 1
            }
        })
    })
}

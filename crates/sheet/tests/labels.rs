//! The code on a label, read by a reader of another origin, the `rqrr` crate,
//! from the label as it is printed, sharp and after a bad print.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use sheet::sheets::labels::{label, modules, payload};
use sheet::svg::svg;

const DPI: f32 = 203.0;

/// The label as grey values, as a printer of 203 dots an inch prints it.
fn printed(text: &str) -> (usize, usize, Vec<u8>) {
    let drawing = label(&["Job · Room".into(), "model".into()], "D1", text);
    let tree =
        resvg::usvg::Tree::from_str(&svg(&drawing), &resvg::usvg::Options::default()).unwrap();
    let scale = DPI / 25.4 * drawing.size.width_mm as f32 / tree.size().width();
    let (w, h) = (
        (tree.size().width() * scale).ceil() as u32,
        (tree.size().height() * scale).ceil() as u32,
    );
    let mut map = resvg::tiny_skia::Pixmap::new(w, h).unwrap();
    map.fill(resvg::tiny_skia::Color::WHITE);
    resvg::render(
        &tree,
        resvg::tiny_skia::Transform::from_scale(scale, scale),
        &mut map.as_mut(),
    );
    let grey = map.pixels().iter().map(|p| p.red()).collect();
    (w as usize, h as usize, grey)
}

fn decode(width: usize, height: usize, grey: &[u8]) -> Vec<String> {
    let mut image =
        rqrr::PreparedImage::prepare_from_greyscale(width, height, |x, y| grey[y * width + x]);
    image
        .detect_grids()
        .iter()
        .filter_map(|g| g.decode().ok())
        .map(|(_, text)| text)
        .collect()
}

/// Each pixel the mean of a square round it.
fn blurred(width: usize, height: usize, grey: &[u8], reach: usize) -> Vec<u8> {
    let mut out = Vec::with_capacity(grey.len());
    for y in 0..height {
        for x in 0..width {
            let (mut sum, mut n) = (0_usize, 0_usize);
            for v in y.saturating_sub(reach)..(y + reach + 1).min(height) {
                for u in x.saturating_sub(reach)..(x + reach + 1).min(width) {
                    sum += usize::from(grey[v * width + u]);
                    n += 1;
                }
            }
            out.push((sum / n) as u8);
        }
    }
    out
}

#[test]
fn a_phone_reads_the_code_sharp_blurred_and_faded() {
    let text = payload("3fa91c02d4", "Flower 2", "D1");
    assert_eq!(text, "DW/3FA91C02/FLOWER 2/D1");
    let (w, h, grey) = printed(&text);
    assert_eq!(decode(w, h, &grey), [text.as_str()]);
    // A blur of a third of a module, and ink faded to three quarters.
    let bad: Vec<u8> = blurred(w, h, &grey, 2)
        .iter()
        .map(|g| 64 + (u16::from(*g) * 191 / 255) as u8)
        .collect();
    assert_eq!(decode(w, h, &bad), [text]);
}

/// The longest address, path and names that a label meets.
#[test]
fn a_phone_reads_a_long_address() {
    let path = payload("0123456789", "A room with a name that goes on", "D12");
    let text = format!("HTTPS://192.168.100.200:65535/{}", path.replace(' ', "%20"));
    let (w, h, grey) = printed(&text);
    assert_eq!(decode(w, h, &grey), [text.as_str()]);
}

#[test]
fn the_code_stays_small_whatever_the_names() {
    for (room, tag) in [
        ("A room with a name that goes on and on and on", "D12"),
        ("Ünïcödé 花", "Dé/1"),
        ("", ""),
        ("x", "a tag that is far too long to be called a tag at all"),
    ] {
        let text = payload("0123456789abcdef", room, tag);
        assert!(text.chars().count() <= 40, "{text}");
        let (width, dark) = modules(&text).unwrap();
        // Version 3 has 29 modules a side.
        assert!(width <= 29, "{text}: {width}");
        assert_eq!(dark.len(), width * width);
    }
}

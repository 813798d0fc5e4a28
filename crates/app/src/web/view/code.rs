//! An address as a QR code, for a page and for the terminal.

use maud::{Markup, html};
use sheet::sheets::labels::modules;

/// Modules of white round the code that its standard (ISO/IEC 18004) asks for.
const QUIET: usize = 4;

/// The code as a drawing; nothing where the address is too long for one.
pub(crate) fn svg(address: &str, called: &str) -> Markup {
    let Some((width, dark)) = modules(address) else {
        return html! {};
    };
    let side = width + 2 * QUIET;
    let mut path = String::new();
    for (row, line) in dark.chunks(width).enumerate() {
        let mut from = 0;
        for run in line.chunk_by(|a, b| a == b) {
            if run[0] {
                let (x, y, long) = (from + QUIET, row + QUIET, run.len());
                path.push_str(&format!("M{x} {y}h{long}v1h-{long}z"));
            }
            from += run.len();
        }
    }
    html! {
        svg.code xmlns="http://www.w3.org/2000/svg" role="img" aria-label=(called)
            viewBox={ "0 0 " (side) " " (side) } shape-rendering="crispEdges" {
            rect width=(side) height=(side) fill="#ffffff" {}
            path fill="#000000" d=(path) {}
        }
    }
}

/// The code in half blocks, two rows a line, black on white whatever the
/// terminal's own colours are.
pub(crate) fn terminal(address: &str) -> String {
    const BLACK_ON_WHITE: &str = "\x1b[30;107m";
    const AS_BEFORE: &str = "\x1b[0m";
    let mut text = String::new();
    for line in half_blocks(address) {
        text.push_str(&format!("{BLACK_ON_WHITE}{line}{AS_BEFORE}\n"));
    }
    text
}

fn half_blocks(address: &str) -> Vec<String> {
    let Some((width, dark)) = modules(address) else {
        return Vec::new();
    };
    let side = width + 2 * QUIET;
    let at = |x: usize, y: usize| {
        let inside = QUIET..QUIET + width;
        inside.contains(&x) && inside.contains(&y) && dark[(y - QUIET) * width + x - QUIET]
    };
    (0..side)
        .step_by(2)
        .map(|y| {
            let sign = |x| match (at(x, y), at(x, y + 1)) {
                (true, true) => '█',
                (true, false) => '▀',
                (false, true) => '▄',
                (false, false) => ' ',
            };
            (0..side).map(sign).collect()
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const ADDRESS: &str = "https://192.168.100.200:8137/pair/01234567";

    fn read(width: usize, height: usize, grey: impl Fn(usize, usize) -> u8) -> Vec<String> {
        let mut image = rqrr::PreparedImage::prepare_from_greyscale(width, height, grey);
        let grids = image.detect_grids();
        let texts = grids.iter().filter_map(|g| g.decode().ok());
        texts.map(|(_, text)| text).collect()
    }

    /// Read by a reader of another origin, the `rqrr` crate, from the drawing
    /// as `resvg` paints it.
    #[test]
    fn the_drawing_reads_as_the_address() {
        let drawn = svg(ADDRESS, "code").into_string();
        let options = resvg::usvg::Options::default();
        let tree = resvg::usvg::Tree::from_str(&drawn, &options).unwrap_or_else(|e| panic!("{e}"));
        let side = (tree.size().width() * 6.0) as u32;
        let mut map = resvg::tiny_skia::Pixmap::new(side, side).unwrap_or_else(|| panic!("{side}"));
        let scale = resvg::tiny_skia::Transform::from_scale(6.0, 6.0);
        resvg::render(&tree, scale, &mut map.as_mut());
        let grey: Vec<u8> = map.pixels().iter().map(|p| p.red()).collect();
        let side = side as usize;
        assert_eq!(read(side, side, |x, y| grey[y * side + x]), [ADDRESS]);
    }

    /// Each half block as a square of pixels.
    #[test]
    fn the_half_blocks_read_as_the_address() {
        const PIXELS: usize = 6;
        let lines: Vec<Vec<char>> = half_blocks(ADDRESS)
            .iter()
            .map(|l| l.chars().collect())
            .collect();
        let (width, height) = (lines[0].len() * PIXELS, lines.len() * 2 * PIXELS);
        let grey = |x: usize, y: usize| {
            let (column, row) = (x / PIXELS, y / PIXELS);
            let sign = lines[row / 2][column];
            match (sign, row % 2) {
                ('█', _) | ('▀', 0) | ('▄', 1) => 0,
                _ => 255,
            }
        };
        assert_eq!(read(width, height, grey), [ADDRESS]);
    }
}

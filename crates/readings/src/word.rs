//! Text read eight bytes at once.
//!
//! A word holds the bytes of a text in their order, the first one lowest.

/// The highest bit of each byte.
const HIGH: u64 = 0x8080_8080_8080_8080;

/// The first eight bytes of a text.
#[inline]
fn word(text: &[u8]) -> Option<u64> {
    text.first_chunk().map(|bytes| u64::from_le_bytes(*bytes))
}

/// What is added to a byte so that its highest bit says that it is above `most`.
const fn up_to(most: u8) -> u8 {
    0x7f - most
}

/// Bytes whose highest bits say which are too large; beyond the first of them
/// they say nothing.
const fn too_large(bytes: u64, up_to: u64) -> u64 {
    bytes | bytes.wrapping_add(up_to)
}

/// Eight digits, each 0 to 9, as a number.
const fn number(digits: u64) -> u32 {
    let twos = (10 * digits + (digits >> 8)) & 0x00ff_00ff_00ff_00ff;
    let fours = (100 * twos + (twos >> 16)) & 0x0000_ffff_0000_ffff;
    (10_000 * fours + (fours >> 32)) as u32
}

/// How a cell with a number is written, with what stands between it and the
/// next: which bytes are digits, and what the others are.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Picture {
    /// What is written, with all digits zero.
    zeros: u64,
    /// For [`too_large`]: digits go up to nine, other bytes are as they are.
    up_to: u64,
    /// Highest bits of these bytes.
    inside: u64,
    /// Digits before the decimal mark, and after it once it is left out.
    whole: u64,
    decimals: u64,
    /// Bits from the last digit to the end of a word.
    after: u32,
    divisor: f64,
    pub(crate) length: usize,
}

impl Picture {
    /// Of nothing.
    pub(crate) const NONE: Self = Self {
        zeros: 0,
        up_to: HIGH,
        inside: HIGH,
        whole: 0,
        decimals: 0,
        after: 0,
        divisor: 1.0,
        length: 0,
    };

    /// How a cell is written; `None` if it is longer than a word.
    pub(crate) fn of(written: &[u8], decimal: u8) -> Option<Self> {
        let mut picture = Self {
            up_to: 0,
            inside: 0,
            length: written.len(),
            ..Self::NONE
        };
        (written.len() <= 8).then_some(())?;
        let mark = written.iter().position(|b| *b == decimal);
        for (at, &byte) in written.iter().enumerate() {
            let here = |byte: u8| u64::from(byte) << (8 * at);
            picture.inside |= here(0x80);
            if !byte.is_ascii_digit() {
                picture.zeros |= here(byte);
                picture.up_to |= here(up_to(0));
                continue;
            }
            picture.zeros |= here(b'0');
            picture.up_to |= here(up_to(9));
            if mark.is_some_and(|mark| mark < at) {
                picture.decimals |= here(0xff) >> 8;
                picture.divisor *= 10.0;
            } else {
                picture.whole |= here(0xff);
            }
        }
        if written.contains(&b'-') {
            picture.divisor = -picture.divisor;
        }
        picture.after = (picture.whole | picture.decimals).leading_zeros();
        (picture.after < 64).then_some(picture)
    }

    /// The number at the begin of a text, if it is written so.
    #[inline]
    pub(crate) fn read(&self, text: &[u8]) -> Option<f64> {
        let bytes = word(text)? ^ self.zeros;
        if too_large(bytes, self.up_to) & self.inside != 0 {
            return None;
        }
        let digits = bytes & self.whole | bytes >> 8 & self.decimals;
        // Seven digits and a power of ten are exact: one rounding.
        Some(f64::from(number(digits << self.after)) / self.divisor)
    }
}

/// Which bits of a word are a time of day.
pub(crate) const WITH_SECONDS: u64 = u64::MAX;
pub(crate) const WITHOUT_SECONDS: u64 = u64::MAX >> 24;

/// Hours, and seconds of minutes and seconds, of `07:05:09` or `07:05` at the
/// begin of a text.
#[inline]
pub(crate) fn clock(text: &[u8], inside: u64) -> Option<(i64, i64)> {
    const MIDNIGHT: u64 = u64::from_le_bytes(*b"00:00:00");
    const UP_TO: u64 = {
        let (tens, ones, mark) = (up_to(5), up_to(9), up_to(0));
        u64::from_le_bytes([ones, ones, mark, tens, ones, mark, tens, ones])
    };
    let digits = (word(text)? ^ MIDNIGHT) & inside;
    if too_large(digits, UP_TO) & HIGH != 0 {
        return None;
    }
    let twos = 10 * digits + (digits >> 8);
    let two = |at: u32| (twos >> (8 * at) & 0xff) as i64;
    Some((two(0), 60 * two(3) + two(6)))
}

/// Up to sixteen bytes with which a text may begin.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Begin {
    bytes: u128,
    /// Which bits they are.
    inside: u128,
}

impl Begin {
    /// `None`: they are more.
    pub(crate) fn of(text: &[u8]) -> Option<Self> {
        let (mut bytes, mut inside) = ([0; 16], [0; 16]);
        bytes.get_mut(..text.len())?.copy_from_slice(text);
        inside[..text.len()].fill(0xff);
        Some(Self {
            bytes: u128::from_le_bytes(bytes),
            inside: u128::from_le_bytes(inside),
        })
    }

    /// Whether a text, of sixteen bytes or more, begins so.
    #[inline]
    pub(crate) fn is_in(&self, text: &[u8]) -> bool {
        text.first_chunk()
            .is_some_and(|bytes| (u128::from_le_bytes(*bytes) ^ self.bytes) & self.inside == 0)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        /// A number of the same writing is read as the standard library reads
        /// it, to the last bit; one byte of another kind, and it is not read.
        #[test]
        fn a_picture_reads_what_is_written_so(
            number in "[+-]?[0-9]{1,4}[.]?[0-9]{0,3}",
            end in prop::sample::select(vec![",", ";", "\t", "\n", "\r\n", "\",", "|\n"]),
            turn in 0_u8..10,
            place in 0_usize..8,
            byte in any::<u8>(),
        ) {
            let written = format!("{number}{end}");
            let picture = Picture::of(written.as_bytes(), b'.');
            prop_assert_eq!(picture.is_some(), written.len() <= 8);
            let Some(picture) = picture else { return Ok(()) };
            prop_assert_eq!(picture.length, written.len());

            let turned = |b: u8| if b.is_ascii_digit() { b'0' + (b - b'0' + turn) % 10 } else { b };
            let mut other: Vec<u8> = written.bytes().map(turned).collect();
            let parsed = |text: &[u8]| {
                let number = str::from_utf8(&text[..number.len()]).expect("digits");
                number.parse::<f64>().expect("a number").to_bits()
            };
            let read = |text: &[u8]| picture.read(&[text, b"12345678"].concat()).map(f64::to_bits);
            prop_assert_eq!(read(&other), Some(parsed(&other)));

            if place < other.len() && other[place] != byte {
                let is_digit = other[place].is_ascii_digit() && byte.is_ascii_digit();
                other[place] = byte;
                prop_assert_eq!(read(&other), is_digit.then(|| parsed(&other)));
            }
        }

        #[test]
        fn a_begin_is_what_a_text_starts_with(
            begin in prop::collection::vec(0_u8..3, 0..20),
            text in prop::collection::vec(0_u8..3, 16..40),
            same in any::<bool>(),
        ) {
            let text = if same { [&begin[..], &text].concat() } else { text };
            let known = Begin::of(&begin).map(|b| b.is_in(&text));
            prop_assert_eq!(known, (begin.len() <= 16).then(|| text.starts_with(&begin)));
        }
    }

    #[test]
    fn a_picture_of_no_digits_or_of_too_short_a_text_reads_nothing() {
        assert!(Picture::of(b"-,", b'.').is_none());
        assert!(Picture::NONE.read(b"12345678").is_none());
        let picture = Picture::of(b"1,5;", b',').unwrap();
        assert_eq!(picture.read(b"2,5;3,5;"), Some(2.5));
        assert_eq!(picture.read(b"2,5;3,5"), None);
    }

    #[test]
    fn every_time_of_day_is_read_and_nothing_else() {
        for (h, m, s) in
            (0..100).flat_map(|h| (0..100).flat_map(move |m| [0, 9, 59, 60].map(|s| (h, m, s))))
        {
            let text = format!("{h:02}:{m:02}:{s:02}");
            let want = (m < 60 && s < 60).then_some((h, 60 * m + s));
            assert_eq!(clock(text.as_bytes(), WITH_SECONDS), want, "{text}");
            let want = (m < 60).then_some((h, 60 * m));
            assert_eq!(clock(text.as_bytes(), WITHOUT_SECONDS), want, "{text}");
        }
        for at in 0..8 {
            for byte in (0..=255_u8).filter(|b| !b.is_ascii_digit() && *b != b':') {
                let mut text = *b"07:05:09";
                text[at] = byte;
                assert_eq!(clock(&text, WITH_SECONDS), None, "{text:?}");
            }
        }
    }
}

//! Letters of names that people type.

/// Whether a letter shows nothing by itself: controls, and marks that are
/// invisible or turn the writing round, so that a name reads as what it is not.
pub(crate) fn is_unseen(c: char) -> bool {
    c.is_control()
        || matches!(
            c,
            '\u{61c}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{feff}'
        )
}

#[cfg(test)]
mod tests {
    use super::is_unseen;

    #[test]
    fn what_turns_writing_round_is_unseen_and_words_are_not() {
        assert!(
            "\n\0\u{202e}\u{200b}\u{2066}\u{feff}"
                .chars()
                .all(is_unseen)
        );
        assert!(!"Süd Ø2 – «Halle» ٣".chars().any(is_unseen));
    }
}

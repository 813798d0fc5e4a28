//! What differs between two texts, line by line.

use maud::{Markup, html};
use similar::{ChangeTag, TextDiff};

use super::super::refused::Stale;

/// Lines around a change that are shown with it.
const AROUND: usize = 3;

/// How many lines were put in, and how many taken out.
pub(crate) fn counts(old: &str, new: &str) -> (usize, usize) {
    let diff = TextDiff::from_lines(old, new);
    let count = |tag: ChangeTag| diff.iter_all_changes().filter(|c| c.tag() == tag).count();
    (count(ChangeTag::Insert), count(ChangeTag::Delete))
}

/// Lines put in (+) and taken out (−), each with its number in the text that
/// it stands in.
pub(crate) fn lines(old: &str, new: &str) -> Markup {
    let diff = TextDiff::from_lines(old, new);
    let groups = diff.grouped_ops(AROUND);
    html! {
        @if groups.is_empty() { p { "No line differs." } }
        @for group in &groups {
            div.diff tabindex="0" role="region" aria-label="Lines that differ" {
                @for change in group.iter().flat_map(|op| diff.iter_changes(op)) {
                    @let text = change.value().trim_end_matches(['\r', '\n']);
                    @match change.tag() {
                        ChangeTag::Delete => { del { (number(change.old_index())) "− " (text) } }
                        ChangeTag::Insert => { ins { (number(change.new_index())) "+ " (text) } }
                        ChangeTag::Equal => { span { (number(change.new_index())) "  " (text) } }
                    }
                }
            }
        }
    }
}

/// The number of a line as people count, in four places.
fn number(index: Option<usize>) -> String {
    index.map_or_else(String::new, |i| format!("{:>4} ", i + 1))
}

/// Three versions of a text that two people changed, with all that was typed.
pub(crate) fn stale(stale: &Stale) -> Markup {
    html! {
        p { "Both texts are below in full. Copy what you need, open the file anew, and save again." }
        @if let Some(base) = &stale.base {
            h2 { "What you changed" }
            (lines(base, &stale.yours))
            h2 { "What was changed meanwhile" }
            (lines(base, &stale.on_disk))
        } @else {
            h2 { "What saving yours would change on the disk" }
            (lines(&stale.on_disk, &stale.yours))
        }
        h2 { "Yours, not saved" }
        textarea readonly rows="20" aria-label="Your text, not saved" { (stale.yours) }
        h2 { "On the disk now" }
        textarea readonly rows="20" aria-label="Text on the disk" { (stale.on_disk) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_changed_line_is_shown_as_text_with_its_number() {
        let (old, new) = ("a\nb\nc\n", "a\n<b>\nc\nd\n");
        assert_eq!(counts(old, new), (2, 1));
        let html = lines(old, new).into_string();
        assert!(html.contains("<del>   2 − b</del>"), "{html}");
        assert!(html.contains("<ins>   2 + &lt;b&gt;</ins>"), "{html}");
        assert!(html.contains("<ins>   4 + d</ins>"), "{html}");
        assert!(lines(old, old).into_string().contains("No line differs"));
    }
}

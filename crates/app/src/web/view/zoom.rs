//! A part of a chart's time: asked for in the address (`from=`, `to=`, hours of
//! the chart's axis), chosen by links beside it. The server draws every part
//! anew from all that is known, so nothing is hidden by an enlarged picture.

use maud::{Markup, html};
use sheet::charts::{Hours, TimeSpan};

/// The least that is shown \[h\].
const LEAST_H: f64 = 0.5;
/// Keys of the address.
const FROM: &str = "from";
const TO: &str = "to";

/// The part that an address asks for; none where it asks for none.
pub(crate) fn asked<'a>(address: impl Iterator<Item = (&'a str, &'a str)>) -> Option<Hours> {
    let (mut from, mut to) = (None, None);
    for (key, value) in address {
        match key {
            FROM => from = value.parse::<f64>().ok(),
            TO => to = value.parse::<f64>().ok(),
            _ => {}
        }
    }
    let part = Hours {
        from_h: from.filter(|h| h.is_finite())?,
        to_h: to.filter(|h| h.is_finite())?,
    };
    (part.from_h < part.to_h).then_some(part)
}

/// Where a link leads: sign, what it does, part of the time; none where it can
/// lead no farther.
type Way = (&'static str, &'static str, Option<Option<Hours>>);

/// Ways to other parts of the time.
fn ways(time: &TimeSpan) -> [Way; 5] {
    let (whole, shown) = (time.whole, time.shown);
    let (all_h, span_h) = (whole.to_h - whole.from_h, shown.to_h - shown.from_h);
    let middle = f64::midpoint(shown.from_h, shown.to_h);
    let is_whole = all_h <= span_h + 1e-6;
    let part = |begin_h: f64, span_h: f64| {
        let from_h = begin_h.min(whole.to_h - span_h).max(whole.from_h);
        Some(Hours {
            from_h,
            to_h: from_h + span_h,
        })
    };
    let nearer_h = (span_h / 2.0).max(LEAST_H.min(all_h));
    let farther_h = 2.0 * span_h;
    let farther = match farther_h < all_h {
        true => part(middle - farther_h / 2.0, farther_h),
        false => None,
    };
    let can = |can: bool, part: Option<Hours>| can.then_some(part);
    [
        (
            "+",
            "Show a shorter time",
            can(
                nearer_h + 1e-6 < span_h,
                part(middle - nearer_h / 2.0, nearer_h),
            ),
        ),
        ("−", "Show a longer time", can(!is_whole, farther)),
        (
            "◀",
            "Earlier",
            can(
                whole.from_h + 1e-6 < shown.from_h,
                part(shown.from_h - span_h / 2.0, span_h),
            ),
        ),
        (
            "▶",
            "Later",
            can(
                shown.to_h + 1e-6 < whole.to_h,
                part(shown.from_h + span_h / 2.0, span_h),
            ),
        ),
        ("Fit", "Fit: show all of the time", can(!is_whole, None)),
    ]
}

/// The links beside a chart of this id; `query` is the rest of the address.
pub(crate) fn links(time: &TimeSpan, query: &str, id: &str) -> Markup {
    let href = |part: Option<Hours>| {
        let rest = query.trim_start_matches('?');
        let part = part.map(|p| format!("{FROM}={}&{TO}={}", hours(p.from_h), hours(p.to_h)));
        let all: Vec<&str> = [Some(rest).filter(|r| !r.is_empty()), part.as_deref()]
            .into_iter()
            .flatten()
            .collect();
        format!("?{}#{id}", all.join("&"))
    };
    html! {
        nav.zoom aria-label="Time shown" data-words=(time.words) {
            @for (sign, words, to) in ways(time) {
                @match to {
                    Some(part) => { a.button href=(href(part)) data-zoom=(sign) aria-label=(words) title=(words) { (sign) } }
                    None => { a.button role="link" aria-disabled="true" aria-label=(words) { (sign) } }
                }
            }
            span.remark { (time.words) }
        }
    }
}

/// Hours to a few seconds.
fn hours(h: f64) -> String {
    format!("{h:.3}")
        .trim_end_matches('0')
        .trim_end_matches('.')
        .to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn span(from_h: f64, to_h: f64) -> Hours {
        Hours { from_h, to_h }
    }

    fn time(from_h: f64, to_h: f64) -> TimeSpan {
        TimeSpan {
            whole: span(0.0, 24.0),
            shown: span(from_h, to_h),
            words: String::new(),
        }
    }

    fn to(shown: (f64, f64), sign: &str) -> Option<Option<Hours>> {
        let ways = ways(&time(shown.0, shown.1));
        ways.into_iter().find(|w| w.0 == sign).and_then(|w| w.2)
    }

    #[test]
    fn ways_stay_on_the_axis() {
        assert_eq!(to((0.0, 24.0), "+"), Some(Some(span(6.0, 18.0))));
        for end in ["−", "◀", "▶", "Fit"] {
            assert_eq!(to((0.0, 24.0), end), None, "{end}");
        }
        assert_eq!(to((6.0, 18.0), "−"), Some(None), "all of it has no part");
        assert_eq!(to((0.0, 6.0), "−"), Some(Some(span(0.0, 12.0))));
        assert_eq!(to((22.0, 24.0), "−"), Some(Some(span(20.0, 24.0))));
        assert_eq!(to((22.0, 24.0), "▶"), None);
        assert_eq!(to((21.0, 23.0), "▶"), Some(Some(span(22.0, 24.0))));
        assert_eq!(to((0.5, 2.5), "◀"), Some(Some(span(0.0, 2.0))));
        assert_eq!(to((12.0, 12.5), "+"), None);
        assert_eq!(to((12.0, 12.5), "Fit"), Some(None));
    }

    #[test]
    fn an_address_asks_for_a_part_or_for_none() {
        let of = |pairs: &[(&'static str, &'static str)]| asked(pairs.iter().copied());
        assert_eq!(of(&[("from", "6.5"), ("to", "12")]), Some(span(6.5, 12.0)));
        for bad in [
            &[("from", "6")][..],
            &[("from", "7"), ("to", "7")],
            &[("from", "x"), ("to", "7")],
            &[("from", "NaN"), ("to", "7")],
            &[("from", "0"), ("to", "inf")],
        ] {
            assert_eq!(of(bad), None, "{bad:?}");
        }
    }
}

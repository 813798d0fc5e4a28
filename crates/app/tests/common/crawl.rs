//! Walks through all pages as links lead, and looks at the tags of a page as a
//! browser would take them apart.

use std::collections::{BTreeMap, BTreeSet};

use super::web::{Answer, Server};

/// A tag that opens: name and attributes in small letters, values as meant.
pub(crate) struct Tag {
    pub(crate) name: String,
    pub(crate) attributes: Vec<(String, String)>,
}

impl Tag {
    /// The value of an attribute.
    pub(crate) fn value(&self, name: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(n, _)| n == name)?;
        Some(&found.1)
    }
}

/// All tags that open, in order, with what follows each up to the next one.
pub(crate) fn tags(html: &str) -> Vec<(Tag, &str)> {
    let mut all = Vec::new();
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        rest = &rest[at + 1..];
        if !rest.starts_with(|c: char| c.is_ascii_alphabetic()) {
            continue;
        }
        let (tag, after) = tag(rest);
        rest = after;
        all.push((tag, &rest[..rest.find('<').unwrap_or(rest.len())]));
    }
    all
}

fn tag(text: &str) -> (Tag, &str) {
    let ends = |c: char| c.is_ascii_whitespace() || c == '>' || c == '/';
    let cut = text.find(ends).unwrap_or(text.len());
    let (name, mut rest) = text.split_at(cut);
    let mut attributes = Vec::new();
    loop {
        rest = rest.trim_start_matches(|c: char| c.is_ascii_whitespace() || c == '/');
        if rest.is_empty() || rest.starts_with('>') {
            rest = rest.get(1..).unwrap_or_default();
            break;
        }
        let cut = rest
            .find(|c: char| c == '=' || ends(c))
            .unwrap_or(rest.len())
            .max(1);
        let (name, after) = rest.split_at(cut);
        rest = after;
        let mut value = String::new();
        if let Some(after) = rest.strip_prefix('=') {
            let (quoted, after) = match after.chars().next() {
                Some(q @ ('"' | '\'')) => after[1..].split_once(q).unwrap_or((&after[1..], "")),
                _ => after.split_at(after.find(ends).unwrap_or(after.len())),
            };
            value = meant(quoted);
            rest = after;
        }
        attributes.push((name.to_lowercase(), value));
    }
    let tag = Tag {
        name: name.to_lowercase(),
        attributes,
    };
    (tag, rest)
}

/// A text with its entities as signs.
pub(crate) fn meant(text: &str) -> String {
    text.replace("&quot;", "\"")
        .replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&amp;", "&")
}

/// Addresses on this server that a page leads to, without fragments.
fn leads_to(path: &str, page: &Answer) -> Vec<String> {
    let is_page = page
        .header("content-type")
        .is_some_and(|t| t.starts_with("text/html"));
    if !is_page {
        return Vec::new();
    }
    let here = path.split('?').next().unwrap_or(path);
    let whole = |link: &str| {
        let link = link.split('#').next().unwrap_or_default();
        match link {
            "" => None,
            l if l.starts_with('/') && !l.starts_with("//") => Some(l.to_owned()),
            l if l.starts_with('?') => Some(format!("{here}{l}")),
            _ => None,
        }
    };
    tags(&page.body)
        .iter()
        .filter_map(|(tag, _)| tag.value("href").or(tag.value("src")))
        .filter_map(whole)
        .collect()
}

/// Pages of one path that differ in what is asked in the address only: some
/// lead on for ever, as a call about a fault and a chart's time do.
const ASKED: usize = 3;

/// Every address that links lead to from the first page, answered.
pub(crate) fn every_page(server: &Server) -> Vec<(String, Answer)> {
    let mut seen = BTreeSet::from(["/".to_owned()]);
    let mut asked: BTreeMap<String, usize> = BTreeMap::new();
    let mut next = vec!["/".to_owned()];
    let mut all = Vec::new();
    while let Some(path) = next.pop() {
        let answer = server.get(&path);
        for link in leads_to(&path, &answer) {
            if seen.contains(&link) {
                continue;
            }
            if let Some((path, _)) = link.split_once('?') {
                let count = asked.entry(path.to_owned()).or_default();
                *count += 1;
                if ASKED < *count {
                    continue;
                }
            }
            seen.insert(link.clone());
            next.push(link);
        }
        all.push((path, answer));
    }
    all
}

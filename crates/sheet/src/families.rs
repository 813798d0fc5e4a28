//! Workings of one kind told once: the same equation for several units,
//! periods or lines is one family with a case for each.
//!
//! A dossier that prints each working by itself is read by nobody. Here the
//! equation, the words and what all cases share stand once, and the cases are
//! rows. No number is left out.

use quantity::{Equation, Input, Source, Value, Working};

/// Workings that differ only in what they are about and in their numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Family {
    /// Its number in the report, from 1.
    pub number: usize,
    /// Chapter that begins with it, if one does.
    pub chapter: Option<String>,
    /// What the result is; "…" where the cases differ.
    pub name: String,
    /// Symbol of the result.
    pub symbol: String,
    /// How the result follows.
    pub equation: Equation,
    /// Source of the equation.
    pub source: Source,
    /// From what, in the order of the equation's working.
    pub inputs: Vec<FamilyInput>,
    /// The cases, as they come in the job.
    pub cases: Vec<Case>,
}

/// An input of a family.
#[derive(Clone, Debug, PartialEq)]
pub struct FamilyInput {
    /// What it is.
    pub name: String,
    /// Its symbol in the equation.
    pub symbol: String,
    /// Numbers of the families that it comes from, if it was computed.
    pub from: Vec<usize>,
    /// Where it comes from, if it was given.
    pub sources: Vec<Source>,
}

/// One working of a family.
#[derive(Clone, Debug, PartialEq)]
pub struct Case {
    /// What it is about, by which it is told from the other cases; may be
    /// empty.
    pub label: String,
    /// Values of the family's inputs, in their order.
    pub values: Vec<Value>,
    /// The result.
    pub result: Value,
}

/// The families of a report.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Families {
    /// All, by number; those that others build on come before them.
    pub all: Vec<Family>,
    /// For each chapter its title and the numbers of the families that it
    /// asked for by itself, in order.
    chapters: Vec<(String, Vec<usize>)>,
}

impl Families {
    /// Puts the workings of the chapters of a report into families.
    ///
    /// - `chapters`: title and workings of each, in reading order
    pub fn new(chapters: &[(&str, &[Working])]) -> Self {
        let mut gathered = Gathered::default();
        let mut begins = Vec::new();
        for (title, workings) in chapters {
            begins.push((gathered.kinds.len(), *title));
            let asked: Vec<usize> = workings.iter().map(|w| gathered.add(w)).collect();
            gathered.asked.push(asked);
        }
        let mut all: Vec<Family> = (0..gathered.kinds.len())
            .map(|kind| gathered.family(kind))
            .collect();
        // The last title wins where a chapter brings no family of its own.
        for (first, title) in begins {
            if let Some(family) = all.get_mut(first) {
                family.chapter = Some(title.to_owned());
            }
        }
        let chapters = chapters
            .iter()
            .zip(&gathered.asked)
            .map(|((title, _), members)| {
                let mut numbers = Vec::new();
                for &member in members {
                    let number = gathered.members[member].kind + 1;
                    if !numbers.contains(&number) {
                        numbers.push(number);
                    }
                }
                ((*title).to_owned(), numbers)
            })
            .collect();
        Self { all, chapters }
    }

    /// The families that a chapter asked for by itself.
    pub fn of(&self, title: &str) -> impl Iterator<Item = &Family> {
        self.chapters
            .iter()
            .filter(move |(t, _)| t == title)
            .flat_map(|(_, numbers)| numbers)
            .filter_map(|n| self.all.get(n.checked_sub(1)?))
    }
}

/// A working in its place among the others.
struct Member<'a> {
    working: &'a Working,
    kind: usize,
    /// The first that builds on it.
    parent: Option<usize>,
    /// Members that its inputs come from.
    from: Vec<Option<usize>>,
}

/// What the members of a family have in common.
struct Kind {
    /// Words of the name.
    name: Vec<String>,
    /// Words of the inputs' names.
    inputs: Vec<Vec<String>>,
}

#[derive(Default)]
struct Gathered<'a> {
    members: Vec<Member<'a>>,
    kinds: Vec<Kind>,
    /// Members that each chapter asked for.
    asked: Vec<Vec<usize>>,
}

impl<'a> Gathered<'a> {
    /// Adds a working after those that it builds on; gives its place.
    fn add(&mut self, working: &'a Working) -> usize {
        if let Some(known) = self.members.iter().position(|m| m.working == working) {
            return known;
        }
        let from: Vec<Option<usize>> = working
            .inputs
            .iter()
            .map(|i| i.from.as_deref().map(|w| self.add(w)))
            .collect();
        let kind = self.kind_of(working, &from);
        let place = self.members.len();
        for inner in from.iter().flatten() {
            self.members[*inner].parent.get_or_insert(place);
        }
        self.members.push(Member {
            working,
            kind,
            parent: None,
            from,
        });
        place
    }

    /// The kind of a working: one that is there, or a new one.
    fn kind_of(&mut self, working: &Working, from: &[Option<usize>]) -> usize {
        let name = words(&working.name);
        let inputs: Vec<Vec<String>> = working.inputs.iter().map(|i| words(&i.name)).collect();
        for k in 0..self.kinds.len() {
            let alike = self
                .members
                .iter()
                .filter(|m| m.kind == k)
                .all(|m| same_form(m.working, working) && self.same_from(&m.from, from));
            if !alike {
                continue;
            }
            let kind = &self.kinds[k];
            let merged = common(&kind.name, &name);
            let of_inputs: Vec<Vec<String>> = kind
                .inputs
                .iter()
                .zip(&inputs)
                .map(|(a, b)| common(a, b))
                .collect();
            let all_speak = says_enough(&merged, &name)
                && of_inputs
                    .iter()
                    .zip(&inputs)
                    .all(|(merged, own)| says_enough(merged, own));
            if all_speak {
                self.kinds[k] = Kind {
                    name: merged,
                    inputs: of_inputs,
                };
                return k;
            }
        }
        self.kinds.push(Kind { name, inputs });
        self.kinds.len() - 1
    }

    /// Whether inputs come from the same kinds, or are given, both.
    fn same_from(&self, a: &[Option<usize>], b: &[Option<usize>]) -> bool {
        a.len() == b.len()
            && a.iter().zip(b).all(|(a, b)| match (a, b) {
                (Some(a), Some(b)) => self.members[*a].kind == self.members[*b].kind,
                (None, None) => true,
                _ => false,
            })
    }

    /// What a member is about: the words by which its name differs from the
    /// family's; where it has none, those of what builds on it.
    fn label(&self, member: usize) -> String {
        let mut at = Some(member);
        // Parents come later than those that they build on, so this ends.
        while let Some(m) = at.and_then(|i| self.members.get(i)) {
            let (_, label) = told_apart(&self.kinds[m.kind].name, &words(&m.working.name));
            if !label.is_empty() {
                return label;
            }
            // One of its kind alone still says when it is.
            if let Some(phrase) = PHRASES.iter().find(|p| m.working.name.contains(**p)) {
                return (*phrase).to_owned();
            }
            at = m.parent;
        }
        String::new()
    }

    fn family(&self, kind: usize) -> Family {
        let members: Vec<usize> = (0..self.members.len())
            .filter(|m| self.members[*m].kind == kind)
            .collect();
        let first = self.members[members[0]].working;
        let (name, _) = told_apart(&self.kinds[kind].name, &words(&first.name));
        let inputs = first
            .inputs
            .iter()
            .enumerate()
            .map(|(i, input)| self.input(kind, &members, i, input))
            .collect();
        Family {
            number: kind + 1,
            chapter: None,
            name,
            symbol: first.symbol.to_string(),
            equation: self.equation(&members),
            source: first.source.clone(),
            inputs,
            cases: members
                .iter()
                .map(|&m| {
                    let working = self.members[m].working;
                    Case {
                        label: self.label(m),
                        values: working.inputs.iter().map(|i| i.value).collect(),
                        result: working.result,
                    }
                })
                .collect(),
        }
    }

    /// The equation; "…" for what procedures say of one case alone.
    fn equation(&self, members: &[usize]) -> Equation {
        let all = members.iter().map(|m| &self.members[*m].working.equation);
        let mut said: Option<(Vec<String>, Vec<String>)> = None;
        for equation in all {
            let Equation::Procedure(text) = equation else {
                return equation.clone();
            };
            let own = words(text);
            said = Some(match said {
                None => (own.clone(), own),
                Some((shared, first)) => (common(&shared, &own), first),
            });
        }
        let (shared, first) = said.unwrap_or_default();
        Equation::Procedure(told_apart(&shared, &first).0.into())
    }

    fn input(&self, kind: usize, members: &[usize], i: usize, first: &Input) -> FamilyInput {
        let (name, _) = told_apart(&self.kinds[kind].inputs[i], &words(&first.name));
        let mut from = Vec::new();
        let mut sources: Vec<Source> = Vec::new();
        for &m in members {
            let m = &self.members[m];
            if let Some(inner) = m.from[i] {
                let number = self.members[inner].kind + 1;
                if !from.contains(&number) {
                    from.push(number);
                }
            }
            if let Some(source) = &m.working.inputs[i].source
                && !sources.contains(source)
            {
                sources.push(source.clone());
            }
        }
        FamilyInput {
            name,
            symbol: first.symbol.to_string(),
            from,
            sources,
        }
    }
}

/// Whether two workings have one equation over the same symbols.
fn same_form(a: &Working, b: &Working) -> bool {
    a.symbol == b.symbol
        && match (&a.equation, &b.equation) {
            // A procedure may tell a number of its own, how near it came.
            (Equation::Procedure(a), Equation::Procedure(b)) => {
                let (a, b) = (words(a), words(b));
                a.len() == b.len() && a.len() <= 1 + common(&a, &b).len()
            }
            (a, b) => a == b,
        }
        && a.source == b.source
        && a.result.dim == b.result.dim
        && a.inputs.len() == b.inputs.len()
        && a.inputs
            .iter()
            .zip(&b.inputs)
            .all(|(a, b)| a.symbol == b.symbol && a.value.dim == b.value.dim)
}

/// Words that are one thing to the reader.
const PHRASES: [&str; 3] = ["with lights on", "with lights off", "just after lights-off"];

/// A name in words; signs of punctuation stand by themselves.
fn words(name: &str) -> Vec<String> {
    // A colon inside a word is that of a time of day.
    let mut name = name.replace(',', " , ").replace(": ", " : ");
    for phrase in PHRASES {
        name = name.replace(phrase, &phrase.replace(' ', "\u{a0}"));
    }
    let mut words: Vec<String> = Vec::new();
    for word in name.split(' ').filter(|w| !w.is_empty()) {
        match words.last_mut() {
            // A moment is one word: its date alone tells no night from another.
            Some(date) if is_of_digits(date, '-', 3) && is_of_digits(word, ':', 2) => {
                *date = format!("{date}\u{a0}{word}");
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// Whether a word is so many numbers with a sign between.
fn is_of_digits(word: &str, sign: char, numbers: usize) -> bool {
    let is_number = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    word.split(sign).count() == numbers && word.split(sign).all(is_number)
}

/// The longest row of words that both have in this order.
fn common(a: &[String], b: &[String]) -> Vec<String> {
    let mut best = vec![vec![0_usize; b.len() + 1]; a.len() + 1];
    for i in (0..a.len()).rev() {
        for j in (0..b.len()).rev() {
            best[i][j] = if a[i] == b[j] {
                1 + best[i + 1][j + 1]
            } else {
                best[i + 1][j].max(best[i][j + 1])
            };
        }
    }
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::new();
    while i < a.len() && j < b.len() {
        if a[i] == b[j] {
            out.push(a[i].clone());
            i += 1;
            j += 1;
        } else if best[i + 1][j] >= best[i][j + 1] {
            i += 1;
        } else {
            j += 1;
        }
    }
    out
}

/// Whether what names have in common still tells what they are.
fn says_enough(common: &[String], whole: &[String]) -> bool {
    let count = |all: &[String]| {
        all.iter()
            .filter(|w| w.chars().any(char::is_alphanumeric))
            .count()
    };
    count(whole) <= 2 * count(common) && 0 < count(common)
}

/// The name with "…" where something was taken out between words, and what
/// was taken out.
fn told_apart(common: &[String], whole: &[String]) -> (String, String) {
    let (mut name, mut label) = (Vec::new(), Vec::new());
    let mut next = common.iter().peekable();
    let mut gap = false;
    for word in whole {
        if next.peek() == Some(&word) {
            next.next();
            if gap && !name.is_empty() {
                name.push("…".to_owned());
            }
            gap = false;
            name.push(word.clone());
        } else {
            gap = true;
            label.push(word.clone());
        }
    }
    // "run contact of" lacks what comes after it.
    const LEADS_ON: [&str; 6] = ["of", "in", "to", "for", "on", "from"];
    if gap && name.last().is_some_and(|w| LEADS_ON.contains(&w.as_str())) {
        name.push("…".to_owned());
    }
    (joined(&name), joined(&label))
}

fn joined(words: &[String]) -> String {
    let text = words.join(" ").replace(" ,", ",").replace(" :", ":");
    text.replace('\u{a0}', " ")
        .trim_matches([',', ':', ' '])
        .replace("… ,", "…,")
}

#[cfg(test)]
mod tests {
    use quantity::Dim;

    use super::*;

    fn number(x: f64) -> Value {
        Value::new(x, Dim::Number)
    }

    fn working(name: &str, inputs: Vec<Input>, result: f64) -> Working {
        Working {
            name: name.to_owned().into(),
            symbol: "y".into(),
            equation: Equation::Algebra(if inputs.len() == 1 { "2 * a" } else { "a + b" }.into()),
            inputs,
            result: number(result),
            source: Source::assumed("sum"),
        }
    }

    fn given(symbol: &'static str, x: f64, source: &'static str) -> Input {
        Input::given("length", symbol, number(x), Source::assumed(source))
    }

    #[test]
    fn a_time_of_day_stays_whole() {
        let night = |at: &str| format!("time known in the night from {at}");
        let all = [
            working(&night("2026-03-06 19:00"), vec![given("a", 1.0, "s")], 2.0),
            working(&night("2026-03-02 19:00"), vec![given("a", 2.0, "s")], 4.0),
        ];
        let families = Families::new(&[("Proof", &all)]);
        let family = &families.all[0];
        assert_eq!(family.name, "time known in the night from …");
        let labels: Vec<&str> = family.cases.iter().map(|c| &*c.label).collect();
        assert_eq!(labels, ["2026-03-06 19:00", "2026-03-02 19:00"]);
    }

    #[test]
    fn one_equation_for_several_units_is_one_family() {
        let all = [
            working("load of D1-4 on its rods", vec![given("a", 1.0, "x")], 2.0),
            working("load of D2-1 on its rods", vec![given("a", 3.0, "z")], 6.0),
            working("sway of D1", vec![given("a", 1.0, "x")], 2.0),
        ];
        let families = Families::new(&[("Hanging", &all)]);
        let names: Vec<&str> = families.all.iter().map(|f| f.name.as_str()).collect();
        assert_eq!(names, ["load of … on its rods", "sway of D1"]);
        let labels: Vec<&str> = families.all[0].cases.iter().map(|c| &*c.label).collect();
        assert_eq!(labels, ["D1-4", "D2-1"]);
        assert_eq!(families.all[0].inputs[0].sources.len(), 2);
        assert_eq!(families.all[0].chapter.as_deref(), Some("Hanging"));
        assert_eq!(families.of("Hanging").count(), 2);
        assert_eq!(families.of("Drain").count(), 0);
    }

    #[test]
    fn what_has_no_name_of_its_own_goes_by_what_builds_on_it() {
        let outer = |name: &str, x: f64| {
            let inner = working("leaf", vec![given("a", x, "x")], 2.0 * x);
            let computed = Input {
                symbol: "b".into(),
                ..Input::computed(inner)
            };
            working(name, vec![given("a", x, "x"), computed], 3.0 * x)
        };
        let all = [
            outer("water with lights on", 1.0),
            outer("water with lights off", 2.0),
        ];
        let families = Families::new(&[("Loads", &all)]);
        assert_eq!(families.all.len(), 2);
        let labels = |f: &Family| f.cases.iter().map(|c| c.label.clone()).collect::<Vec<_>>();
        assert_eq!(families.all[0].name, "leaf");
        assert_eq!(
            labels(&families.all[0]),
            ["with lights on", "with lights off"]
        );
        assert_eq!(labels(&families.all[1]), labels(&families.all[0]));
        assert_eq!(families.all[1].inputs[1].from, [1]);
    }

    #[test]
    fn no_working_and_no_number_is_lost() {
        let all: Vec<Working> = (0..6)
            .map(|i| {
                let x = f64::from(i / 2);
                working(&format!("thing of D{i}"), vec![given("a", x, "x")], 2.0 * x)
            })
            .collect();
        let families = Families::new(&[("One", &all[..3]), ("Two", &all[2..])]);
        let cases: Vec<&Case> = families.all.iter().flat_map(|f| &f.cases).collect();
        assert_eq!(cases.len(), 6);
        for (case, w) in cases.iter().zip(&all) {
            assert_eq!((case.result, case.values[0]), (w.result, w.inputs[0].value));
        }
        assert_eq!(families.of("Two").count(), 1);
    }
}

//! Sheet of a service call: likely causes with what speaks for them, what to
//! ask or measure next, what to do.

use job::service::log::Line;
use job::service::{Knowledge, Next, Question, Ranking, findings, for_and_against};
use quantity::{Dim, Place, Text, Value};

use crate::report::{Block, Cell, Column, Level, Table};

/// Causes that are shown at most.
const MOST_CAUSES: usize = 6;
/// Causes less likely than this are not shown.
const LEAST_LIKELY: f64 = 0.01;
/// Answers that a log makes less likely than this are not named.
const LEAST_TOLD: f64 = 0.01;
/// Questions that are shown at most.
const MOST_QUESTIONS: usize = 4;

/// A call with what follows from it.
#[derive(Clone, Copy, Debug)]
pub struct Call<'a> {
    /// The list.
    pub knowledge: &'a Knowledge,
    /// Causes by what is known.
    pub ranking: &'a Ranking<'a>,
    /// Open questions, the most telling first.
    pub next: &'a [Next<'a>],
    /// Readings that could not be used, and why.
    pub unused: &'a [Text],
    /// What logs show, line by line.
    pub log: &'a [Line],
    /// The unit or the room that it is about.
    pub place: &'a Place,
}

/// Findings, causes, questions and cautions, in reading order.
pub fn blocks(call: &Call<'_>) -> Vec<Block> {
    let found = findings(call.knowledge, call.ranking, call.place);
    let is_found = call.ranking.found().is_some() && call.ranking.explained;
    let mut out = Vec::new();
    if !found.is_empty() {
        out.push(Block::Findings(found));
    }
    out.push(Block::Table(causes(call)));
    if !call.log.is_empty() {
        out.push(Block::Table(from_log(call)));
    }
    for why in call.unused {
        out.push(Block::Remark(Text::from("Not used: ").and(why).words(".")));
    }
    if call.next.is_empty() {
        out.push(Block::Paragraph(
            "Nothing on the list would tell more. Where the cause is still open, the unit's own instructions and a licensed technician come next.".into(),
        ));
    } else {
        let heading = if is_found {
            "To make sure"
        } else {
            "What to ask or measure next"
        };
        out.push(Block::Heading(Level::Two, heading.into()));
        out.push(Block::Table(questions(call.next)));
    }
    let mut cautions: Vec<Text> = Vec::new();
    for n in call.next.iter().take(MOST_QUESTIONS) {
        let caution = Text::from(n.danger().caution());
        if !cautions.contains(&caution) {
            cautions.push(caution);
        }
    }
    cautions.push("Probabilities rest on common practice, no published source: they order what to look at, they prove nothing. Local codes and licensed practice govern.".into());
    out.push(Block::Cautions(cautions));
    out
}

fn causes(call: &Call<'_>) -> Table {
    let speaks = |r: &job::service::Ranked<'_>| {
        let [speaks_for, against] = for_and_against(&r.why, call.knowledge);
        let named = speaks_for
            .iter()
            .take(2)
            .map(|t| ("for: ", t))
            .chain(against.iter().take(2).map(|t| ("against: ", t)));
        named.enumerate().fold(Text::new(), |text, (i, (side, t))| {
            let text = if i == 0 { text } else { text.words("; ") };
            text.words(side).and(t)
        })
    };
    let rows = call
        .ranking
        .causes
        .iter()
        .filter(|r| LEAST_LIKELY <= r.probability)
        .take(MOST_CAUSES)
        .map(|r| {
            vec![
                r.cause
                    .map_or("a cause that this list does not hold".into(), |c| {
                        Cell::from(c.name.clone())
                    }),
                Value::new(r.probability, Dim::Fraction).digits(1).into(),
                Cell::Text(speaks(r)),
                r.cause.map_or(Cell::Blank, |c| c.remedy.clone().into()),
            ]
        })
        .collect();
    Table {
        caption: "Causes by what is known, the most likely first".into(),
        columns: vec![
            Column::words("Cause"),
            Column::mixed("Probability"),
            Column::words("What speaks for it, and against"),
            Column::words("What to do"),
        ],
        rows,
        total: None,
    }
}

/// What the log shows, and what each line of it says to which question.
fn from_log(call: &Call<'_>) -> Table {
    let outcome = |of: &str, i: usize| match call.knowledge.test(of) {
        Some(test) => test.outcomes.get(i).cloned().unwrap_or_default(),
        None => ["it is seen", "it is not"]
            .get(i)
            .map_or_else(String::new, |w| (*w).into()),
    };
    let question = |of: &str| {
        let test = call.knowledge.test(of).map(|t| t.ask.clone());
        let seen = || call.knowledge.symptom(of).map(|s| s.words.clone());
        test.or_else(seen).unwrap_or_default()
    };
    let says = |line: &Line, of: &str| {
        let mut all: Vec<(usize, f64)> = line.outcomes().into_iter().enumerate().collect();
        all.sort_by(|a, b| b.1.total_cmp(&a.1));
        let told = all.iter().filter(|(_, p)| LEAST_TOLD <= *p).enumerate();
        told.fold(Text::new(), |text, (n, (i, p))| {
            let text = if n == 0 { text } else { text.words("; ") };
            text.words(outcome(of, *i))
                .words(" ")
                .value(Value::new(*p, Dim::Fraction).digits(2))
        })
    };
    let rows = call
        .log
        .iter()
        .map(|line| {
            let shows = Cell::Text(line.shows().clone());
            match line.known() {
                Some(known) => vec![
                    shows,
                    question(known.about()).into(),
                    Cell::Text(says(line, known.about())),
                    match line {
                        Line::Told(_) => "no: a person answered this, and that stands".into(),
                        _ => "yes".into(),
                    },
                ],
                None => vec![shows, Cell::Blank, Cell::Blank, "no".into()],
            }
        })
        .collect();
    Table {
        caption: "Taken from the log, line by line".into(),
        columns: vec![
            Column::words("What the log shows"),
            Column::words("Question that it answers"),
            Column::words("How likely it makes each answer"),
            Column::words("Counts"),
        ],
        rows,
        total: None,
    }
}

fn questions(next: &[Next<'_>]) -> Table {
    let rows = next
        .iter()
        .take(MOST_QUESTIONS)
        .map(|n| {
            let (ask, how) = match n.question {
                Question::Symptom(s) => (format!("Is this seen: {}?", s.words), "Ask the caller."),
                Question::Test(t) => (t.ask.clone(), t.how.as_str()),
            };
            vec![
                Cell::from(ask),
                how.to_owned().into(),
                Value::new(60.0 * n.minutes, Dim::Duration).digits(1).into(),
                n.id().to_owned().into(),
            ]
        })
        .collect();
    Table {
        caption: "The one that tells most per minute first".into(),
        columns: vec![
            Column::words("Question"),
            Column::words("How"),
            Column::mixed("Takes"),
            Column::words("Name"),
        ],
        rows,
        total: None,
    }
}

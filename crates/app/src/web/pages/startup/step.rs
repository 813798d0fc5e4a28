//! One step: why, what can hurt, what to enter, what came of it.

use job::record::{Answer, Reading};
use job::startup::{
    Asks, Entry, Instrument, Must, Often, Quantity, Standing, Step, StepState, Wait, WaitFrom, With,
};
use maud::{Markup, html};
use quantity::{Dim, Severity};

use super::Scene;
use super::act::Tried;
use super::overview::mark_of;
use crate::record::time_words;
use crate::startup::typed_again;
use crate::web::recording::new_key;

/// A step with everything that can be done about it; unfolded where it is the
/// one to go on with, so that the page stays short in the hand.
pub(super) fn section(
    scene: &Scene,
    (step, state): (&Step, &StepState),
    is_next: bool,
    tried: &Tried,
) -> Markup {
    let units = scene.units;
    let word = state.standing.word();
    let is_tried = tried.step == step.id;
    // Readings are entered again and again while a time runs.
    let runs = state.begun.is_some() && matches!(state.standing, Standing::Waiting { .. });
    let unfolded = is_tried || is_next || runs;
    let is_open = matches!(state.standing, Standing::Open | Standing::Waiting { .. });
    html! {
        section.step id=(step.id) data-standing=(word.replace(' ', "-")) {
            h2 {
                span.mark { (mark(&state.standing)) } " " (step.title.show(units))
            }
            (standing(scene, state))
            @if let Some(caution) = &state.caution {
                p.error { (capital(&caution.show(units))) "." }
            }
            @if let Some(judgement) = &state.judgement {
                @if !judgement.said.is_empty() { p { (judgement.said.show(units)) } }
                @for way in &judgement.would_prove {
                    p { b { "Would prove it: " } (way.show(units)) }
                }
                @for finding in &judgement.findings {
                    p.error[finding.severity != Severity::Note] {
                        (mark_of(finding.severity)) ": " (finding.what.show(units))
                        ". Do: " (finding.remedy.show(units))
                    }
                }
            }
            (kept(scene, state))
            @if unfolded { (why(scene, step)) }
            details open[unfolded] {
                summary {
                    @if unfolded { "What to do and enter" }
                    @else if is_open { "Why, and what to enter" }
                    @else if state.event.is_some() { "Look, correct or do it again" }
                    @else { "Look ahead" }
                }
                @if !unfolded { (why(scene, step)) }
                @if let Some(designed) = step.designed() {
                    p { b { "As designed: " } (designed.show(units)) }
                }
                @if !step.hazards.is_empty() {
                    section.cautions aria-label="Cautions" {
                        ul { @for hazard in &step.hazards { li { (hazard.caution) } } }
                    }
                }
                (wait(scene, step, state))
                (form(scene, step, state, tried))
                (photo(scene, step))
                (skip(scene, step))
                (correct(scene, step, state))
            }
        }
    }
}

fn why(scene: &Scene, step: &Step) -> Markup {
    html! {
        p { b { "Why: " } (step.reason.show(scene.units)) }
        @if !step.how.is_empty() { p { b { "How: " } (step.how.show(scene.units)) } }
    }
}

const fn mark(standing: &Standing) -> &'static str {
    match standing {
        Standing::Done => "✓",
        Standing::Failed => "✕",
        Standing::NotProven => "!",
        Standing::Skipped { .. } => "–",
        Standing::Waiting { .. } => "◷",
        Standing::Open => "○",
        Standing::Closed { .. } => "·",
    }
}

/// So many of the steps that a closed one waits for are named.
const NAMED: usize = 2;

/// How it stands, in words, and since when.
fn standing(scene: &Scene, state: &StepState) -> Markup {
    let title = |id: &String| {
        scene
            .start
            .plan
            .step(id)
            .map_or_else(|| id.clone(), |s| s.title.show(scene.units))
    };
    html! {
        p.standing {
            b { (capital(state.word())) }
            @match &state.standing {
                Standing::Closed { waits_for } => {
                    ": first " (waits_for.iter().take(NAMED).map(title).collect::<Vec<_>>().join("; "))
                    @if NAMED < waits_for.len() { " and " (waits_for.len() - NAMED) " more" }
                }
                Standing::Skipped { reason, with } => {
                    @if *with == With::Unit { " with its unit" } ": " (reason)
                }
                Standing::Waiting { left_ms, .. } => {
                    ": " span.left data-left-ms=(left_ms) { ((left_ms + 59_999) / 60_000) " min left" }
                }
                _ => {}
            }
            @if let Some(at) = &state.at {
                // What nobody saved was over by the clock.
                @if state.by.is_some() { " · saved " } @else { " · over since " }
                time data-utc-ms=(at.utc_ms) { (time_words(at.utc_ms)) }
            }
            @if let Some(by) = &state.by { " by " (by) }
            @if !state.corrections.is_empty() { " · corrected" }
        }
        @if state.clock_set_ms != 0 {
            p.error { "The clock was set by " (state.clock_set_ms / 1_000) " s while this waited; the time that passed is reckoned without that where it can be." }
        }
    }
}

/// What is recorded of it.
fn kept(scene: &Scene, state: &StepState) -> Markup {
    html! {
        @if !state.readings.is_empty() {
            ul.readings {
                @for (at, reading) in &state.readings {
                    li {
                        (entry_name(scene, &state.id, &reading.entry)) ": "
                        b { (reading.typed.as_deref().unwrap_or_default()) }
                        " = " (echoed(scene, &state.id, reading))
                        " · " time data-utc-ms=(at.utc_ms) { (time_words(at.utc_ms)) }
                    }
                }
            }
        }
        @if !state.answers.is_empty() {
            ul.readings {
                @for Answer { entry, said } in &state.answers {
                    li { (entry_name(scene, &state.id, entry)) ": " b { (said) } }
                }
            }
        }
        @for (who, text) in &state.notes { p.remark { (who) ": " (text) } }
        @if !state.photos.is_empty() {
            div.photos {
                @for hash in &state.photos {
                    @let at = scene.href(&format!("/photos/{hash}"));
                    a href=(at) { img src=(at) alt={ "Photo of " (state.id) } loading="lazy"; }
                }
            }
        }
    }
}

/// A reading in the units of its instrument.
fn echoed(scene: &Scene, step: &str, reading: &Reading) -> String {
    let entry = scene
        .start
        .plan
        .step(step)
        .and_then(|s| s.entry(&reading.entry));
    match entry.and_then(Entry::quantity) {
        Some(asked) => asked.show_both(reading.value, scene.units),
        None => reading.value.show_both(scene.units),
    }
}

fn entry_name(scene: &Scene, step: &str, entry: &str) -> String {
    let found = scene.start.plan.step(step).and_then(|s| s.entry(entry));
    let title = found.map_or_else(|| entry.to_owned(), |e| e.title.show(scene.units));
    // A set-up step is a sentence; what it is answered with follows a colon.
    title.trim_end_matches('.').to_owned()
}

/// Where a waiting time is started by hand: its button.
fn wait(scene: &Scene, step: &Step, state: &StepState) -> Markup {
    let by_hand = matches!(
        step.wait,
        Some(Wait {
            from: WaitFrom::Hand,
            ..
        })
    );
    html! {
        @if let Some(wait) = &step.wait {
            p { "Takes " (quantity::Value::new(wait.lasts_s, Dim::Duration).digits(2).show(scene.units)) "." }
        }
        @if by_hand {
            @if let Some(begun) = &state.begun {
                p.standing { "Started " time data-utc-ms=(begun.utc_ms) { (time_words(begun.utc_ms)) }
                    ", " span.since data-since-ms=(begun.utc_ms) {} }
            }
            form method="post" action={ (scene.unit_href(step.unit.as_deref())) "/act" } data-queue {
                (hidden(step))
                button.main name="act" value="timer" {
                    @if state.begun.is_some() { "Start the time anew" } @else { "Start the time" }
                }
            }
        }
    }
}

pub(super) fn hidden(step: &Step) -> Markup {
    html! {
        input type="hidden" name="key" value=(new_key());
        input type="hidden" name="step" value=(step.id);
    }
}

/// What to enter.
fn form(scene: &Scene, step: &Step, state: &StepState, tried: &Tried) -> Markup {
    let goes_on = step
        .entries
        .iter()
        .any(|e| matches!(e.often, Often::Series(_)));
    let is_done = state.event.is_some();
    let nothing = Tried::default();
    let tried = if tried.step == step.id {
        tried
    } else {
        &nothing
    };
    html! {
        @if !step.entries.is_empty() {
            form.entries-form method="post" action={ (scene.unit_href(step.unit.as_deref())) "/act" }
                novalidate data-queue {
                (hidden(step))
                @if scene.person.is_empty() {
                    div.field {
                        label for={ (step.id) "-who" } { "Your name, as the hand-over shows it" }
                        input id={ (step.id) "-who" } name="who" type="text" autocomplete="name" value=(tried.text("who"));
                    }
                }
                @for entry in &step.entries { (input(scene, step, entry, tried)) }
                (instruments(scene, step, tried))
                div.field {
                    label for={ (step.id) "-note" } { "Remark" }
                    textarea id={ (step.id) "-note" } name="note" rows="1" { (tried.text("note")) }
                }
                @if goes_on {
                    button name="act" value="measured" { "Save these readings, go on" }
                }
                button.main name="act" value="done" {
                    @if is_done { "Do it again" } @else if goes_on { "Finish" } @else { "Done" }
                }
            }
        } @else if !matches!(state.standing, Standing::Done) && step.wait.is_none() {
            form method="post" action={ (scene.unit_href(step.unit.as_deref())) "/act" } data-queue {
                (hidden(step))
                button.main name="act" value="done" { "Done" }
            }
        }
    }
}

/// What it was read off and how far that may be off, where it is not the usual
/// instrument: with a better one, what is not proven may be.
fn instruments(scene: &Scene, step: &Step, tried: &Tried) -> Markup {
    let read_off = step.entries.iter().filter_map(|entry| {
        let quantity = entry.quantity()?;
        let is_usual = matches!(quantity.instrument, Instrument::Told | Instrument::Watch);
        (!is_usual).then_some((entry, quantity))
    });
    let all: Vec<_> = read_off.collect();
    let typed = |entry: &Entry| {
        ["i.", "a."]
            .iter()
            .any(|field| !tried.text(&format!("{field}{}", entry.id)).is_empty())
    };
    html! {
        @if !all.is_empty() {
            details open[all.iter().any(|(entry, _)| typed(entry))] {
                summary { "Read off another instrument than is named" }
                @for (entry, quantity) in all {
                    @let id = format!("{}-{}", step.id, entry.id);
                    @let unit = quantity.accuracy().unit(scene.units);
                    div.field {
                        label for={ (id) "-i" } { (capital(&entry.title.show(scene.units))) ": read off" }
                        input id={ (id) "-i" } name={ "i." (entry.id) } type="text" autocomplete="off"
                            value=(tried.text(&format!("i.{}", entry.id)));
                    }
                    div.field {
                        label for={ (id) "-a" } { "It may be off either way by" @if !unit.is_empty() { ", " (unit) } }
                        div.with-unit {
                            input id={ (id) "-a" } name={ "a." (entry.id) } type="text" autocomplete="off"
                                inputmode="decimal" value=(tried.text(&format!("a.{}", entry.id)));
                            span aria-hidden="true" { (unit) }
                        }
                    }
                }
            }
        }
    }
}

fn input(scene: &Scene, step: &Step, entry: &Entry, tried: &Tried) -> Markup {
    let id = format!("{}-{}", step.id, entry.id);
    let name = format!("e.{}", entry.id);
    let title = entry.title.show(scene.units);
    let fault = tried.fault(&entry.id);
    let text = tried.text(&name);
    let may = if entry.must == Must::May {
        " (if you can)"
    } else {
        ""
    };
    let described = fault.map(|_| format!("{id}-error"));
    html! {
        @match &entry.asks {
            Asks::Quantity(quantity) => {
                @let unit = quantity.unit(scene.units);
                @let mode = (0.0 <= quantity.allowed[0]).then_some("decimal");
                div.field {
                    label for=(id) { (capital(&title)) (may) @if !unit.is_empty() { ", " (unit) } }
                    p.help { (quantity.instrument.words().show(scene.units))
                        @if let Often::Series(least) = entry.often { "; at least " (least) " times" } }
                    (error(&id, fault))
                    div.with-unit {
                        input id=(id) name=(name) type="text" autocomplete="off" spellcheck="false"
                            inputmode=[mode] value=(text)
                            aria-invalid=[fault.map(|_| "true")] aria-describedby=[described];
                        span aria-hidden="true" { (unit) }
                    }
                    @if fault.is_some_and(|f| f.may_be_meant) {
                        label.choice {
                            input type="checkbox" name={ "meant." (entry.id) } value="yes";
                            " It is meant"
                        }
                    }
                }
            }
            Asks::YesNo(_) => { (choices(&id, &name, &title, may, &["yes", "no"], &text, fault)) }
            Asks::Choice(words) => { (choices(&id, &name, &title, may, words, &text, fault)) }
        }
    }
}

fn choices(
    id: &str,
    name: &str,
    title: &str,
    may: &str,
    words: &[&str],
    chosen: &str,
    fault: Option<&crate::startup::Fault>,
) -> Markup {
    html! {
        fieldset.choices-row.two[words.len() == 2] id=(id) tabindex="-1" {
            legend { (capital(title)) (may) }
            (error(id, fault))
            @for word in words {
                label.choice {
                    input type="radio" name=(name) value=(word) checked[*word == chosen];
                    " " (capital(word))
                }
            }
        }
    }
}

fn error(id: &str, fault: Option<&crate::startup::Fault>) -> Markup {
    html! {
        @if let Some(fault) = fault { p.error id={ (id) "-error" } { (fault.words) } }
    }
}

/// A photo: one tap opens the camera, the next takes it.
fn photo(scene: &Scene, step: &Step) -> Markup {
    let at = format!("{}/photo", scene.unit_href(step.unit.as_deref()));
    let id = format!("{}-photo", step.id);
    html! {
        form.photo method="post" action=(at) enctype="multipart/form-data" data-queue data-photo {
            (hidden(step))
            label.button.shot for=(id) { "Photo" }
            input id=(id) name="photo" type="file" accept="image/jpeg,image/png" capture="environment";
            label.choice { input type="checkbox" name="position" value="keep"; " keep the place that is stored in it" }
            button { "Send the photo" }
        }
    }
}

fn skip(scene: &Scene, step: &Step) -> Markup {
    html! {
        details {
            summary { "Leave it out" }
            form method="post" action={ (scene.unit_href(step.unit.as_deref())) "/act" } data-queue {
                (hidden(step))
                label for={ (step.id) "-reason" } { "Why; the hand-over shows it" }
                textarea id={ (step.id) "-reason" } name="reason" rows="2" required {}
                button.grave name="act" value="skip" { "Leave this step out" }
            }
        }
    }
}

/// What was wrong with what was recorded; it is entered anew above with
/// another reason, or withdrawn here.
fn correct(scene: &Scene, step: &Step, state: &StepState) -> Markup {
    let Some(event) = &state.event else {
        return html! {};
    };
    let at = format!("{}/act", scene.unit_href(step.unit.as_deref()));
    let last = |id: &str, asked: &Quantity| {
        let mut of = state.readings.iter().rev().map(|(_, r)| r);
        let reading = of.find(|r| r.entry == id);
        reading.map_or_else(String::new, |r| typed_again(r, asked, scene.units))
    };
    html! {
        details {
            summary { "Correct what was entered" }
            form method="post" action=(at) novalidate data-queue {
                (hidden(step))
                input type="hidden" name="of" value=(event);
                @for entry in &step.entries {
                    @let id = format!("{}-{}-again", step.id, entry.id);
                    div.field {
                        @let unit = entry.quantity().map_or("", |q| q.unit(scene.units));
                        label for=(id) {
                            (capital(&entry.title.show(scene.units)))
                            @if !unit.is_empty() { ", " (unit) }
                        }
                        @match &entry.asks {
                            Asks::Quantity(asked) => {
                                input id=(id) name={ "e." (entry.id) } type="text" value=(last(&entry.id, asked));
                            }
                            asks => {
                                @let said = state.answers.iter().rev().find(|a| a.entry == entry.id);
                                select id=(id) name={ "e." (entry.id) } {
                                    @for word in words(asks) {
                                        option value=(word) selected[said.is_some_and(|a| a.said == word)] { (word) }
                                    }
                                }
                            }
                        }
                    }
                }
                label for={ (step.id) "-why" } { "Why it is corrected" }
                textarea id={ (step.id) "-why" } name="reason" rows="2" required {}
                button name="act" value="correct" { "Correct it" }
                button.grave name="act" value="withdraw" { "It never was so" }
            }
        }
    }
}

fn words(asks: &Asks) -> Vec<&'static str> {
    match asks {
        Asks::Choice(words) => words.clone(),
        _ => vec!["yes", "no"],
    }
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

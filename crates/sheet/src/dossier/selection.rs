//! What was chosen, what came next and why not, cheaper measures, errands.

use job::Design;
use job::selection::{COST_YEARS, Candidate, Measure, OrderedBy, Selection};
use quantity::{Dim, Text, Value};
use room::Room;

use super::first_page::{moment, on_and_off};
use super::loads::period_words;
use crate::report::{Block, Cell, Column, Errand, Level, Table};

/// Its blocks in reading order.
pub fn blocks(room: &Room, design: &Design) -> Vec<Block> {
    let selection = &design.selection;
    let mut blocks = vec![
        Block::Heading(Level::One, "Selection".into()),
        Block::Paragraph(reason(room, design)),
    ];
    blocks.extend(
        selection
            .effort
            .left_out()
            .map(|left| Block::Paragraph(left.into())),
    );
    blocks.extend([
        Block::Table(candidates(room, selection)),
        Block::Table(models(room, design)),
    ]);
    blocks.extend(measures(selection));
    if !selection.errands.is_empty() {
        blocks.push(Block::Heading(
            Level::Two,
            "Before you buy: what to measure".into(),
        ));
        blocks.push(Block::Errands(errands(selection)));
    }
    blocks
}

/// What decides it, in words.
fn reason(room: &Room, design: &Design) -> Text {
    let s = &design.selection;
    if let (false, Some(present)) = (s.searched(), &s.present) {
        let judged = present.counted(s.coil_credit);
        return Text::from(format!(
            "The units in the room, {}, hold {} of {} drawn days; no others were looked for ({} simulation).",
            judged.units.words(),
            judged.held_days,
            judged.days,
            s.effort.word().to_lowercase(),
        ));
    }
    let Some(chosen) = &s.chosen else {
        return "None of the sets tried meets what the room asks for; the best ones are listed."
            .into();
    };
    let judged = &chosen.judged;
    let mut text = Text::from(format!(
        "{} hold {} of {} drawn days ({} simulation).",
        judged.units.words(),
        judged.held_days,
        judged.days,
        s.effort.word().to_lowercase(),
    ));
    if let (Some(fewer), None) = (&s.one_fewer, &room.light) {
        // One period only: there is no moment to name.
        text = text.words(format!(
            " With {} {} of {} hold.",
            s.one_fewer_words(),
            fewer.held_days,
            fewer.days
        ));
    } else if let Some(binding) = s.binding {
        let when = match binding {
            roomsim::Period::LightsOn => "with lights on",
            roomsim::Period::Transition => "just after the lights switch",
            roomsim::Period::LightsOff => "with lights off",
        };
        let fewer = s.one_fewer_words();
        text = text.words(match &s.one_fewer {
            Some(judged) => format!(
                " With {fewer} {} of {} hold, and most of the others fail {when}: that moment decides.",
                judged.held_days, judged.days
            ),
            None if room.light.is_none() => String::new(),
            None => format!(" With {fewer} most days that fail do so {when}: that moment decides."),
        });
    }
    match &s.runner_up {
        None if s.effort.left_out().is_some() => text,
        Some(next) => why_not(text, chosen, next, s.ordered_by),
        None => text.words(" No other set tried meets it."),
    }
}

fn why_not(text: Text, chosen: &Candidate, next: &Candidate, by: OrderedBy) -> Text {
    let text = text.words(format!(
        " Runner-up: {}, {} of {} days;",
        next.judged.units.words(),
        next.judged.held_days,
        next.judged.days
    ));
    let energy = |c: &Candidate| c.judged.units_j_per_day.likely;
    let more = |c: Option<f64>, n: Option<f64>| c.zip(n).map_or(0.0, |(c, n)| n - c);
    match by {
        OrderedBy::CostOverYears => text
            .words(" it costs ")
            .value(Value::new(
                more(chosen.cost_over_years, next.cost_over_years),
                Dim::Money,
            ))
            .words(format!(
                " more over {COST_YEARS:.0} years, purchase and electricity."
            )),
        OrderedBy::FirstCost => text
            .words(" it costs ")
            .value(Value::new(
                more(chosen.first_cost, next.first_cost),
                Dim::Money,
            ))
            .words(" more to buy."),
        OrderedBy::Electricity => text
            .words(" it draws ")
            .value(Value::new(energy(next) - energy(chosen), Dim::Energy).digits(2))
            .words(" more a day."),
    }
}

fn candidates(room: &Room, selection: &Selection) -> Table {
    let credit = room.selection.coil_credit.value;
    let row = |c: &Candidate, remark: Text| {
        let days = |held: usize, of: usize| Cell::from(format!("{held} of {of}"));
        let money =
            |x: Option<f64>| x.map_or(Cell::Unknown, |m| Cell::from(Value::new(m, Dim::Money)));
        let counted = c.counted(credit);
        vec![
            Cell::from(c.judged.units.words()),
            Cell::from(remark),
            days(counted.held_days, counted.days),
            c.without_coil_water
                .as_ref()
                .map_or(Cell::NotApplicable, |w| days(w.held_days, w.days)),
            c.one_unit_out.as_ref().map_or_else(
                || Cell::from("full run"),
                |out| days(out.held_days, out.days),
            ),
            Cell::from(Value::new(c.judged.units_j_per_day.likely, Dim::Energy).digits(2)),
            Cell::from(Value::new(c.judged.cooling_shortfall_s.likely, Dim::Duration).digits(2)),
            money(c.first_cost),
            money(c.cost_over_years),
        ]
    };
    let mut rows: Vec<Vec<Cell>> = Vec::new();
    if let Some(present) = &selection.present {
        rows.push(row(present, "in the room".into()));
    }
    rows.extend(
        selection
            .candidates
            .iter()
            .map(|c| row(c, selection.remark(c))),
    );
    Table {
        caption: "Sets that were simulated; costs in the currency of the prices given".into(),
        columns: vec![
            Column::words("Set"),
            Column::words("Verdict"),
            Column::words("Days held"),
            Column::words("Without coil water"),
            Column::words("One unit out"),
            Column::of("Electricity a day", Dim::Energy),
            Column::mixed("Cooling short, a day"),
            Column::of("First cost", Dim::Money),
            Column::of(format!("Cost over {COST_YEARS:.0} years"), Dim::Money),
        ],
        rows,
        total: None,
    }
}

/// Each model at the room's air.
fn models(room: &Room, design: &Design) -> Table {
    let rows = design
        .selection
        .capacities
        .iter()
        .flat_map(|c| {
            on_and_off(design).map(move |period| {
                let m = moment(c, period);
                vec![
                    Cell::from(c.code.clone()),
                    Cell::from(period_words(room, period)),
                    Cell::from(Value::new(m.inlet_dry_bulb_c, Dim::Temperature)),
                    Cell::from(Value::new(m.inlet_rel_humidity, Dim::RelHumidity).digits(2)),
                    Cell::from(Value::new(m.removal_kg_per_s, Dim::WaterRate)),
                    Cell::from(Value::new(m.power_w, Dim::Power)),
                    Cell::from(Value::new(m.energy_factor_kg_per_j, Dim::WaterPerEnergy)),
                    Cell::from(Value::new(m.sensible_w, Dim::Power)),
                    Cell::from(Value::new(m.discharge_c, Dim::Temperature)),
                    Cell::from(m.beyond.unwrap_or("inside data")),
                ]
            })
        })
        .collect();
    Table {
        caption: "One unit of each model at the wet edge of the target, its assumed share of own discharge at the inlet included".into(),
        columns: vec![
            Column::words("Model"),
            Column::words("Period"),
            Column::of("Inlet", Dim::Temperature),
            Column::of("Inlet RH", Dim::RelHumidity),
            Column::of("Removal", Dim::WaterRate),
            Column::of("Power", Dim::Power),
            Column::of("Energy factor", Dim::WaterPerEnergy),
            Column::of("Heat to room", Dim::Power),
            Column::of("Discharge", Dim::Temperature),
            Column::words("Data"),
        ],
        rows,
        total: None,
    }
}

/// What helps most first; a sentence where nothing helps.
fn measures(selection: &Selection) -> Option<Block> {
    let first = selection.measures.first()?;
    let mut tried: Vec<&Measure> = selection.measures.iter().collect();
    tried.sort_by_key(|m| std::cmp::Reverse(m.after.held_days));
    let set = first.units.words();
    if tried.iter().all(|m| m.after.held_days <= m.before) {
        let start = format!(
            "Cheaper than one more unit? Nothing that was tried on {set} lets more days hold: "
        );
        let all = selection.measures.iter().enumerate();
        let text = all.fold(Text::from(start), |text, (i, m)| {
            let text = if i == 0 { text } else { text.words("; ") };
            text.and(&m.what)
        });
        return Some(Block::Paragraph(text.words(".")));
    }
    let days = |held: usize, of: usize| Cell::from(format!("{held} of {of}"));
    Some(Block::Table(Table {
        caption: Text::from(format!("Cheaper than one more unit? Tried on {set}")),
        columns: vec![
            Column::words("Measure"),
            Column::words("Days held before"),
            Column::words("Days held with it"),
        ],
        rows: tried
            .iter()
            .map(|m| {
                vec![
                    Cell::from(m.what.clone()),
                    days(m.before, m.after.days),
                    days(m.after.held_days, m.after.days),
                ]
            })
            .collect(),
        total: None,
    }))
}

fn errands(selection: &Selection) -> Vec<Errand> {
    selection
        .errands
        .iter()
        .map(|e| Errand {
            what: e.what.into(),
            why: Text::from(format!(
                "{} decides {}: {} if it is low, {} if it is high",
                e.input.name(),
                match e.decides() {
                    1 => "one unit".to_owned(),
                    n => format!("{n} units"),
                },
                e.units_if_low,
                e.units_if_high
            )),
        })
        .collect()
}

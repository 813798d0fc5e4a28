//! Who does what: one table a trade, what to buy, and the questions that stay
//! open to a licensed engineer.

use job::Design;
use job::parts::Part;
use quantity::{Finding, Severity, Step, Text, UnitSystem, Value};
use room::Room;

use crate::report::{Block, Cell, Column, Errand, Level, Table};

/// A trade, its steps and what it does whatever the room.
struct Trade {
    name: &'static str,
    steps: &'static [Step],
    sheets: &'static str,
    /// What to do, in order; `{units}` stands for the tags.
    does: &'static [&'static str],
}

const TRADES: &[Trade] = &[
    Trade {
        name: "Rigger",
        steps: &[Step::Placement, Step::Hanging],
        sheets: "placement, hanging",
        does: &[
            "Wait for the engineer's approval of every anchor; do not drill before.",
            "Set out the rod points from the two walls named on the sheet; mark the tag at each.",
            "Bring {units} in upright, lift with a rated lift, nobody beneath; temporary support until all nuts are locked.",
            "Level both ways, lock each pair of nuts, write the readings down; look again after a day under load.",
        ],
    },
    Trade {
        name: "Plumber",
        steps: &[Step::Drain],
        sheets: "drain",
        does: &[
            "Build each trap to its dimensions; its own trap for each of {units}, ahead of the common line.",
            "Run the line with the inverts of the profile, supports as shown, cleanouts where shown; end it over an air gap.",
            "Prime each trap, pour the test volume into each pan, see it leave at the drain.",
            "Trip each overflow switch and see its unit stop.",
        ],
    },
    Trade {
        name: "Electrician",
        steps: &[Step::Power, Step::Control],
        sheets: "power, control",
        does: &[
            "Check each plate against the schedule before pulling wire: voltage, phases, minimum circuit, largest protection.",
            "Set disconnects in sight, pull power and control apart from each other, label both ends.",
            "Land control wires by the name of the terminal at both ends, never by colour; fill in the as-wired list.",
            "Before power goes on, let the as-wired list be checked; then volts, unbalance, restart one after another.",
        ],
    },
    Trade {
        name: "Grower",
        steps: &[Step::Survey, Step::Load],
        sheets: "first page, control",
        does: &[
            "Cover or move the crop under the work; keep the room empty while units are lifted.",
            "Agree the setpoints by day and by night, and where the sensor hangs.",
            "Tell when sprays, sulphur, foggers or added carbon dioxide are used: they are kept away from coils and from people at work.",
            "Measure what the list on the first pages asks for: it decides how sure the answer is.",
        ],
    },
];

/// The page.
pub fn blocks(_room: &Room, design: &Design, units: UnitSystem) -> Vec<Block> {
    let tags: Vec<&str> = design
        .placement
        .units
        .iter()
        .map(|u| u.tag.as_str())
        .collect();
    if tags.is_empty() {
        return Vec::new();
    }
    let tags = tags.join(", ");
    let mut blocks = vec![
        Block::PageBreak,
        Block::Heading(Level::One, "Who does what".into()),
    ];
    for trade in TRADES {
        blocks.push(Block::Heading(
            Level::Two,
            Text::from(format!("{} (sheets: {})", trade.name, trade.sheets)),
        ));
        blocks.push(Block::Errands(
            trade
                .does
                .iter()
                .map(|d| Errand {
                    what: d.replace("{units}", &tags).into(),
                    why: Text::new(),
                })
                .collect(),
        ));
        let open = to_settle(design, trade.steps);
        if !open.is_empty() {
            blocks.push(Block::FindingsInShort {
                findings: open,
                note: Text::new(),
            });
        }
    }
    blocks.push(Block::Heading(
        Level::Two,
        "Open questions to the licensed engineer".into(),
    ));
    blocks.push(Block::Errands(
        [
            "Can the building carry the reactions of the anchor schedule, each at its point? Which anchors, installed and inspected how?",
            "Is bracing against sway or earthquake asked for here?",
            "Do the local codes ask for more than the editions that the sheets name?",
        ]
        .into_iter()
        .map(|what| Errand {
            what: what.into(),
            why: Text::new(),
        })
        .collect(),
    ));
    blocks.push(Block::Cautions(cautions()));
    blocks.extend(parts(design, units));
    blocks
}

/// Findings of these steps that somebody must settle.
fn to_settle(design: &Design, steps: &[Step]) -> Vec<Finding> {
    design
        .findings()
        .into_iter()
        .filter(|f| f.severity != Severity::Note && steps.contains(&f.step))
        .cloned()
        .collect()
}

/// Cautions that concern everybody in the room.
fn cautions() -> Vec<Text> {
    [
        "Carbon dioxide: in a room where it is added, shut it off, air the room and measure before anybody enters; it collects low and gives no warning.",
        "Sprays and fumigation: keep out until the label's re-entry time is over.",
        "Grow lights: intense; switch off or dim the rows above the work, wear eye protection, let them cool.",
        "Sulphur burners and foggers harm coils and people: none while units run or people work.",
        "Electricity: lock out, tag, verify dead; a unit starts by itself after its delay.",
        "Refrigerant: opened by certified technicians only.",
    ]
    .into_iter()
    .map(Text::from)
    .collect()
}

/// What to buy: what is alike is added up over all places.
fn parts(design: &Design, _units: UnitSystem) -> Vec<Block> {
    struct Line<'a> {
        part: &'a Part,
        amount_si: f64,
        places: Vec<&'a str>,
    }
    let mut lines: Vec<Line<'_>> = Vec::new();
    for part in design.parts() {
        let place: &str = &part.place.0;
        let alike = lines.iter_mut().find(|l| {
            l.part.step == part.step
                && l.part.what == part.what
                && l.part.size == part.size
                && l.part.amount.dim == part.amount.dim
        });
        match alike {
            Some(line) => {
                line.amount_si += part.amount.si;
                if !line.places.contains(&place) {
                    line.places.push(place);
                }
            }
            None => lines.push(Line {
                part,
                amount_si: part.amount.si,
                places: vec![place],
            }),
        }
    }
    let rows: Vec<Vec<Cell>> = lines
        .into_iter()
        .map(|line| {
            vec![
                Cell::from(line.part.what.clone()),
                Cell::from(line.part.size.clone()),
                Cell::from(Value {
                    si: line.amount_si,
                    ..line.part.amount
                }),
                Cell::from(line.places.join(", ")),
            ]
        })
        .collect();
    if rows.is_empty() {
        return Vec::new();
    }
    vec![
        Block::PageBreak,
        Block::Heading(Level::One, "Parts".into()),
        Block::Paragraph(
            "Lengths are as routed, with waste; amounts are sums over the places named. The list by place is in parts.csv.".into(),
        ),
        Block::Table(Table {
            caption: Text::new(),
            columns: vec![
                Column::words("What"),
                Column::words("Size"),
                Column::mixed("Amount"),
                Column::words("Where"),
            ],
            rows,
            total: None,
        }),
    ]
}

//! As wired against as designed: what is crossed, missing, doubled, or would
//! do harm when power goes on.
//!
//! Wiring is judged by what is joined electrically, not wire by wire: another
//! order along a bus, or the two sides of one contact turned round, is right.

use std::collections::BTreeMap;

use equipment::Role;
use quantity::{Finding, Place, Severity, Source, Step, Text};

use super::{Control, DeviceKind, End, Supply};

/// Most two-sided terminals of a circuit for which every turn is tried.
const ALL_TURNS: usize = 10;

const BY_NAME: Source = Source::assumed("terminals are joined by their names, as the records say");
const RS485: Source = Source::memory(
    "TIA-485-A: inputs of a data line stand −7 to +12 V",
    "limits as quoted in textbooks",
);
const DRY: Source = Source::memory(
    "the device behind a dry contact input wets it itself; bring no voltage",
    "",
);
const SUPPLIES: Source = Source::memory(
    "NFPA 70, Class 2 circuits: supplies are not joined",
    "Article 725, not read",
);

/// Judges an as-wired list of terminals joined two by two, such as
/// ("D1:V+", "C1:PWR+"), against the design.
///
/// Stop: would do harm when power goes on. Fix: crossed, missing, doubled, or
/// at a terminal that no device has. Note: an alarm that is not wired.
/// The right wiring gives nothing.
pub fn check_as_wired(control: &Control, wires: &[(String, String)]) -> Vec<Finding> {
    let book = Book::of(control);
    let mut findings = Vec::new();
    let mut landed = Vec::new();
    for (a, b) in wires {
        match (book.find(a), book.find(b)) {
            (Some(a), Some(b)) => landed.push((a, b)),
            (fa, fb) => {
                for (found, end) in [(fa, a), (fb, b)] {
                    if found.is_none() {
                        findings.push(unknown(control, end));
                    }
                }
            }
        }
    }
    let built = Joined::of(book.ends.len(), &landed);
    let net = book.turned_nets(&built, &landed);
    findings.extend(book.harm(&built));
    findings.extend(book.data_swapped(&built));
    findings.extend(book.doubled(&landed, &net));
    findings.extend(book.crossed(&landed, &net));
    findings.extend(book.missing(control, &built, &net));
    findings
}

/// All terminals by number.
struct Book<'a> {
    ends: Vec<Terminal<'a>>,
    names: BTreeMap<(&'a str, &'a str), usize>,
    /// Two-sided groups: (circuit, one side, other side).
    turns: Vec<(u32, usize, usize)>,
}

struct Terminal<'a> {
    device: &'a str,
    kind: DeviceKind,
    supply: Supply,
    mark: &'a str,
    role: Option<Role>,
    /// Number of the net and its circuit in the design.
    net: Option<(u32, u32)>,
}

impl Terminal<'_> {
    fn words(&self) -> String {
        format!("{}:{}", self.device, self.mark)
    }
}

/// Terminals that are one electrically, by a leader of each set.
struct Joined(Vec<usize>);

impl Joined {
    fn of(count: usize, wires: &[(usize, usize)]) -> Self {
        let mut joined = Self((0..count).collect());
        for (a, b) in wires {
            joined.join(*a, *b);
        }
        joined
    }

    fn leader(&self, mut i: usize) -> usize {
        while let Some(next) = self.0.get(i).copied().filter(|n| *n != i) {
            i = next;
        }
        i
    }

    /// Whether they were apart.
    fn join(&mut self, a: usize, b: usize) -> bool {
        let (a, b) = (self.leader(a), self.leader(b));
        if a != b
            && let Some(slot) = self.0.get_mut(a.max(b))
        {
            *slot = a.min(b);
        }
        a != b
    }

    fn one(&self, a: usize, b: usize) -> bool {
        self.leader(a) == self.leader(b)
    }
}

impl<'a> Book<'a> {
    fn of(control: &'a Control) -> Self {
        let mut nets: BTreeMap<(&str, &str), (u32, u32)> = BTreeMap::new();
        for n in &control.nets {
            for e in &n.ends {
                nets.insert((&e.device, &e.terminal), (n.number, n.circuit));
            }
        }
        let mut book = Self {
            ends: Vec::new(),
            names: BTreeMap::new(),
            turns: Vec::new(),
        };
        for d in &control.devices {
            let first = book.ends.len();
            for t in &d.terminals {
                let net = nets.get(&(d.tag.as_str(), t.mark.as_str())).copied();
                book.names.insert((&d.tag, &t.mark), book.ends.len());
                book.ends.push(Terminal {
                    device: &d.tag,
                    kind: d.kind,
                    supply: d.supply,
                    mark: &t.mark,
                    role: t.role,
                    net,
                });
            }
            for (i, t) in d.terminals.iter().enumerate() {
                let twin = d.terminals.iter().enumerate().skip(i + 1).find(|(_, o)| {
                    t.role == o.role && t.group == o.group && t.role.is_some_and(has_two_sides)
                });
                let circuit = nets.get(&(d.tag.as_str(), t.mark.as_str())).map(|n| n.1);
                if let (Some((j, _)), Some(circuit)) = (twin, circuit) {
                    book.turns.push((circuit, first + i, first + j));
                }
            }
        }
        book
    }

    fn find(&self, text: &str) -> Option<usize> {
        let (device, mark) = text.trim().split_once(':')?;
        self.names.get(&(device.trim(), mark.trim())).copied()
    }

    fn end(&self, i: usize) -> Option<&Terminal<'a>> {
        self.ends.get(i)
    }

    fn words(&self, i: usize) -> String {
        self.end(i).map(Terminal::words).unwrap_or_default()
    }

    /// The net of each terminal as designed, with two-sided ones turned so that
    /// the design comes nearest to what was built.
    fn turned_nets(&self, built: &Joined, landed: &[(usize, usize)]) -> Vec<Option<u32>> {
        let mut net: Vec<Option<u32>> = self.ends.iter().map(|t| t.net.map(|n| n.0)).collect();
        let mut circuits: Vec<u32> = self.turns.iter().map(|t| t.0).collect();
        circuits.dedup();
        circuits.sort_unstable();
        circuits.dedup();
        for circuit in circuits {
            let turns: Vec<(usize, usize)> = self
                .turns
                .iter()
                .filter(|t| t.0 == circuit)
                .map(|t| (t.1, t.2))
                .collect();
            let members: Vec<usize> = (0..self.ends.len())
                .filter(|i| {
                    self.end(*i)
                        .and_then(|t| t.net)
                        .is_some_and(|n| n.1 == circuit)
                })
                .collect();
            let far = |net: &[Option<u32>]| distance(net, &members, built, landed);
            if turns.len() <= ALL_TURNS {
                let mut best = (far(&net), net.clone());
                for turned in 1_usize..1 << turns.len() {
                    let mut now = net.clone();
                    for (k, (a, b)) in turns.iter().enumerate() {
                        if turned & (1 << k) != 0 {
                            now.swap(*a, *b);
                        }
                    }
                    let d = far(&now);
                    if d < best.0 {
                        best = (d, now);
                    }
                }
                net = best.1;
            } else {
                // One turn at a time, as long as it brings the two nearer.
                let mut d = far(&net);
                let mut nearer = true;
                while nearer {
                    nearer = false;
                    for (a, b) in &turns {
                        net.swap(*a, *b);
                        let now = far(&net);
                        if now < d {
                            d = now;
                            nearer = true;
                        } else {
                            net.swap(*a, *b);
                        }
                    }
                }
            }
        }
        net
    }

    fn harm(&self, built: &Joined) -> Vec<Finding> {
        let mut sets: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for i in 0..self.ends.len() {
            sets.entry(built.leader(i)).or_default().push(i);
        }
        let mut findings = Vec::new();
        for set in sets.values().filter(|s| 1 < s.len()) {
            let mut said: Vec<&str> = Vec::new();
            for (k, a) in set.iter().enumerate() {
                for b in set.iter().skip(k + 1) {
                    let (Some(x), Some(y)) = (self.end(*a), self.end(*b)) else {
                        continue;
                    };
                    let found = harm(x, y).or_else(|| harm(y, x));
                    if let Some(h) = found.filter(|h| !said.contains(&h.check)) {
                        said.push(h.check);
                        findings.push(h.finding(&x.words(), &y.words(), x.device, y.device));
                    }
                }
            }
        }
        findings
    }

    fn data_swapped(&self, built: &Joined) -> Vec<Finding> {
        let mut findings = Vec::new();
        for (i, x) in self.ends.iter().enumerate() {
            for (j, y) in self.ends.iter().enumerate() {
                if x.role == Some(Role::DataPlus)
                    && y.role == Some(Role::DataMinus)
                    && built.one(i, j)
                {
                    findings.push(Said {
                        check: "data_swapped",
                        severity: Severity::Fix,
                        place: format!("{}, {}", x.device, y.device),
                        what: format!("{} and {} are joined", x.words(), y.words()),
                        why: "the positive data line is on a negative one: no harm, but the devices do not hear each other",
                        remedy: "change the two data conductors over at one end, by the names of the terminals".into(),
                        source: BY_NAME,
                    }.finding());
                }
            }
        }
        findings
    }

    fn doubled(&self, landed: &[(usize, usize)], net: &[Option<u32>]) -> Vec<Finding> {
        let mut joined = Joined::of(self.ends.len(), &[]);
        let mut findings = Vec::new();
        for (a, b) in landed {
            let same = net.get(*a) == net.get(*b) && net.get(*a).is_some_and(Option::is_some);
            if a == b {
                findings.push(
                    Said {
                        check: "doubled",
                        severity: Severity::Fix,
                        place: self
                            .end(*a)
                            .map(|t| t.device.to_owned())
                            .unwrap_or_default(),
                        what: format!("a conductor goes from {} to itself", self.words(*a)),
                        why: "one of its two ends was read or landed wrongly",
                        remedy: "find its other end and write down where that is".into(),
                        source: BY_NAME,
                    }
                    .finding(),
                );
            } else if !joined.join(*a, *b) && same {
                findings.push(Said {
                    check: "doubled",
                    severity: Severity::Fix,
                    place: format!("{}, {}", self.device(*a), self.device(*b)),
                    what: format!(
                        "{} and {} are joined by one conductor more than needed",
                        self.words(*a),
                        self.words(*b)
                    ),
                    why: "a line that is joined twice makes a ring or hides a conductor that belongs elsewhere",
                    remedy: "take one of the two off and see where it was to go".into(),
                    source: BY_NAME,
                }.finding());
            }
        }
        findings
    }

    fn crossed(&self, landed: &[(usize, usize)], net: &[Option<u32>]) -> Vec<Finding> {
        let mut findings = Vec::new();
        for (a, b) in landed {
            let of = |i: &usize| net.get(*i).copied().flatten();
            let (na, nb) = (of(a), of(b));
            if a == b || (na == nb && na.is_some()) {
                continue;
            }
            let is = |n: Option<u32>| n.map_or("no wire".to_owned(), |n| format!("wire {n}"));
            let right = |n: Option<u32>, not: usize| {
                let others: Vec<String> = (0..self.ends.len())
                    .filter(|i| *i != not && n.is_some() && net.get(*i).copied().flatten() == n)
                    .map(|i| self.words(i))
                    .collect();
                if others.is_empty() {
                    format!("leave {} empty", self.words(not))
                } else {
                    format!("land {} with {}", self.words(not), others.join(", "))
                }
            };
            findings.push(
                Said {
                    check: "crossed",
                    severity: Severity::Fix,
                    place: format!("{}, {}", self.device(*a), self.device(*b)),
                    what: format!(
                        "{} ({}) is joined to {} ({})",
                        self.words(*a),
                        is(na),
                        self.words(*b),
                        is(nb)
                    ),
                    why: "each conductor joins the terminals of one net and no others",
                    remedy: format!("{}; {}", right(na, *a), right(nb, *b)),
                    source: BY_NAME,
                }
                .finding(),
            );
        }
        findings
    }

    fn missing(&self, control: &Control, built: &Joined, net: &[Option<u32>]) -> Vec<Finding> {
        let mut findings = Vec::new();
        for n in &control.nets {
            let members: Vec<usize> = n
                .ends
                .iter()
                .filter_map(|e| self.names.get(&(e.device.as_str(), e.terminal.as_str())))
                .copied()
                .collect();
            // Turned terminals change places within their circuit.
            let mut now: Vec<usize> = (0..self.ends.len())
                .filter(|i| net.get(*i).copied().flatten() == Some(n.number))
                .collect();
            now.sort_by_key(|i| members.iter().position(|m| m == i).unwrap_or(usize::MAX));
            let mut seen: Vec<usize> = Vec::new();
            for i in &now {
                let leader = built.leader(*i);
                if let (Some(first), false) = (now.first(), seen.contains(&leader))
                    && !seen.is_empty()
                {
                    findings.push(self.gap(control, n.number, *first, *i));
                }
                if !seen.contains(&leader) {
                    seen.push(leader);
                }
            }
        }
        findings
    }

    fn gap(&self, control: &Control, number: u32, a: usize, b: usize) -> Finding {
        let signal = control
            .nets
            .iter()
            .find(|n| n.number == number)
            .map_or("", |n| n.signal);
        let alarm = [a, b].iter().any(|i| {
            self.end(*i)
                .and_then(|t| t.role)
                .is_some_and(|r| matches!(r, Role::Alarm | Role::AlarmInput))
        });
        let (check, severity, why) = if alarm {
            (
                "alarm_not_wired",
                Severity::Note,
                "the unit works, but nobody hears of its fault",
            )
        } else {
            (
                "missing",
                Severity::Fix,
                "without it the circuit does not work, or a safety does not stop the unit",
            )
        };
        Said {
            check,
            severity,
            place: format!("{}, {}", self.device(a), self.device(b)),
            what: format!(
                "{} and {} are not joined: wire {number}, {signal}",
                self.words(a),
                self.words(b)
            ),
            why,
            remedy: format!(
                "join {} to {} with wire {number}",
                self.words(b),
                self.words(a)
            ),
            source: BY_NAME,
        }
        .finding()
    }

    fn device(&self, i: usize) -> &'a str {
        self.end(i).map_or("", |t| t.device)
    }
}

/// Roles whose two terminals may be turned round.
fn has_two_sides(role: Role) -> bool {
    matches!(
        role,
        Role::Pair
            | Role::ContactInput
            | Role::Relay
            | Role::FloatSwitch
            | Role::Alarm
            | Role::AlarmInput
    )
}

/// How far a design is from what was built, over the terminals of a circuit:
/// joints that are not there, and conductors to another net.
fn distance(
    net: &[Option<u32>],
    members: &[usize],
    built: &Joined,
    landed: &[(usize, usize)],
) -> usize {
    let of = |i: usize| net.get(i).copied().flatten();
    let mut sets: BTreeMap<Option<u32>, Vec<usize>> = BTreeMap::new();
    for i in members {
        let leaders = sets.entry(of(*i)).or_default();
        let leader = built.leader(*i);
        if !leaders.contains(&leader) {
            leaders.push(leader);
        }
    }
    let gaps: usize = sets.values().map(|s| s.len() - 1).sum();
    let wrong = landed
        .iter()
        .filter(|(a, b)| (members.contains(a) || members.contains(b)) && of(*a) != of(*b))
        .count();
    gaps + wrong
}

struct Harm {
    check: &'static str,
    what: &'static str,
    why: &'static str,
    remedy: &'static str,
    source: Source,
}

impl Harm {
    fn finding(&self, a: &str, b: &str, device_a: &str, device_b: &str) -> Finding {
        Said {
            check: self.check,
            severity: Severity::Stop,
            place: if device_a == device_b {
                device_a.to_owned()
            } else {
                format!("{device_a}, {device_b}")
            },
            what: format!("{a} and {b} are joined: {}", self.what),
            why: self.why,
            remedy: self.remedy.to_owned(),
            source: self.source.clone(),
        }
        .finding()
    }
}

/// Harm that two joined terminals do when power goes on; asked both ways round.
fn harm(x: &Terminal<'_>, y: &Terminal<'_>) -> Option<Harm> {
    use Role as R;
    let (a, b) = (x.role?, y.role?);
    let same = x.device == y.device;
    let gives = |t: &Terminal<'_>| t.supply == Supply::Gives;
    let live = matches!(a, R::SupplyPlus | R::Hot24 | R::Pair | R::PairPlus);
    let data = |r| matches!(r, R::DataPlus | R::DataMinus);
    match (a, b) {
        (R::SupplyPlus, r) if data(r) && gives(x) => Some(Harm {
            check: "supply_plus_on_data_pin",
            what: "supply + on a data pin",
            why: "the supply lies above what a data input stands and destroys it",
            remedy: "leave power off; land both by the names of the terminals",
            source: RS485,
        }),
        (R::SupplyPlus | R::SupplyMinus, r) if data(r) => Some(Harm {
            check: "supply_minus_on_data_pin",
            what: "a supply conductor on a data pin",
            why: "the supply current comes back through a data driver and destroys it",
            remedy: "leave power off; land both by the names of the terminals",
            source: RS485,
        }),
        (R::SupplyPlus, R::SupplyMinus) | (R::PairPlus, R::PairMinus) | (R::Hot24, R::Common24)
            if same =>
        {
            Some(Harm {
                check: "supply_shorted",
                what: "both sides of one supply",
                why: "the supply is shorted: its fuse blows or it burns",
                remedy: "leave power off; find the conductor that joins the two sides",
                source: BY_NAME,
            })
        }
        (R::SupplyPlus, R::SupplyMinus) | (R::PairPlus, R::PairMinus) | (R::Hot24, R::Common24) => {
            Some(Harm {
                check: "supply_reversed",
                what: "supply with reversed polarity",
                why: "a device that is not protected is destroyed when power goes on",
                remedy: "leave power off; change the two supply conductors over at one end",
                source: BY_NAME,
            })
        }
        (R::Pair, R::Pair) if same => Some(Harm {
            check: "supply_shorted",
            what: "both conductors of one powered pair",
            why: "the pair carries the supply: it is shorted",
            remedy: "leave power off; find where the two conductors meet",
            source: BY_NAME,
        }),
        (R::SupplyPlus, R::SupplyPlus) if gives(x) && gives(y) => Some(two_supplies()),
        (R::Hot24, R::Hot24) if !same => Some(two_supplies()),
        (R::Hot24, R::SupplyPlus | R::Pair | R::PairPlus | R::PairMinus) => Some(two_supplies()),
        (R::ContactInput, R::ContactInput) if !same => Some(Harm {
            what: "the inputs of two units, each with its own voltage",
            ..two_supplies()
        }),
        (_, R::ContactInput | R::AlarmInput) if live || voltage(a) => Some(Harm {
            check: "voltage_into_contact_input",
            what: "voltage into an input for a dry contact",
            why: "the input feeds its own voltage; another one destroys it",
            remedy: "leave power off; join the input to a free closure only",
            source: DRY,
        }),
        (_, R::FloatSwitch) if live => Some(Harm {
            check: "voltage_on_float_switch",
            what: "a supply on the loop of a float switch",
            why: "the loop is for a closure without voltage: the unit is damaged, or no longer stops on high water",
            remedy: "leave power off; join the float switch to its unit's terminals only",
            source: DRY,
        }),
        (_, R::DataPlus | R::DataMinus | R::Signal | R::SignalReference | R::Enable)
            if matches!(a, R::Hot24 | R::Pair | R::PairPlus)
                || (a == R::SupplyPlus && !data(b)) =>
        {
            Some(Harm {
                check: "supply_on_signal",
                what: "a supply on a signal terminal",
                why: "the terminal stands a few volts and is destroyed",
                remedy: "leave power off; land both by the names of the terminals",
                source: RS485,
            })
        }
        (R::Signal, R::SignalReference) if same && x.kind == DeviceKind::Controller => Some(Harm {
            check: "signal_shorted",
            what: "a 0-10 V output and its reference",
            why: "the output is shorted",
            remedy: "leave power off; part the two conductors",
            source: BY_NAME,
        }),
        _ => None,
    }
}

/// Roles that carry a voltage which an input does not expect.
fn voltage(role: Role) -> bool {
    matches!(
        role,
        Role::SupplyMinus | Role::PairMinus | Role::Common24 | Role::Signal
    )
}

fn two_supplies() -> Harm {
    Harm {
        check: "two_supplies_joined",
        what: "two supplies",
        why: "one feeds into the other; out of step there is twice the voltage between them",
        remedy: "leave power off; land supply + of one device only and cap the other",
        source: SUPPLIES,
    }
}

struct Said {
    check: &'static str,
    severity: Severity,
    place: String,
    what: String,
    why: &'static str,
    remedy: String,
    source: Source,
}

impl Said {
    fn finding(self) -> Finding {
        Finding {
            check: self.check.into(),
            severity: self.severity,
            step: Step::Control,
            place: Place::new(self.place),
            what: Text::from(self.what),
            measured: None,
            limit: None,
            why: self.why.into(),
            remedy: Text::from(self.remedy),
            source: self.source,
        }
    }
}

fn unknown(control: &Control, end: &str) -> Finding {
    let device = end.split_once(':').map_or(end, |(d, _)| d).trim();
    let (what, remedy) = match control.device(device) {
        Some(d) => {
            let marks: Vec<String> = d
                .terminals
                .iter()
                .map(|t| End::new(&d.tag, &t.mark).words())
                .collect();
            let at_hand = if marks.is_empty() {
                "it has none for field wiring".to_owned()
            } else {
                format!("at hand: {}", marks.join(", "))
            };
            (format!("\"{end}\": {device} has no such terminal"), at_hand)
        }
        None => {
            let tags: Vec<&str> = control.devices.iter().map(|d| d.tag.as_str()).collect();
            (
                format!("\"{end}\": no device has the tag \"{device}\""),
                format!("at hand: {}", tags.join(", ")),
            )
        }
    };
    Said {
        check: "unknown_terminal",
        severity: Severity::Fix,
        place: if device.is_empty() {
            "as-wired list".to_owned()
        } else {
            device.to_owned()
        },
        what,
        why: "a conductor that goes elsewhere than to a known terminal cannot be judged",
        remedy,
        source: BY_NAME,
    }
    .finding()
}

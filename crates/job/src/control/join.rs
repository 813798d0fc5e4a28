//! Terminals joined by their names: nets, conductors, cables.

use equipment::{Catalog, ControlFamily, Role, Terminal};
use room::Room;

use super::assign::{Assignment, Placed, groups};
use super::chain::{cable_length_m, least_cable};
use super::{
    CABLE_C, Cable, CableUse, Control, Device, DeviceKind, End, Line, Net, Supply, Unmatched, Wire,
    longest_cable_m, resistance_ohm_per_m, thinnest_gauge,
};
use crate::error::JobError;
use crate::geometry::Point;
use crate::placement::{PlacedUnit, Placement, inside};
use crate::power::conductor::{Phases, voltage_drop_v};

/// Below the ceiling, where cables run \[m\]. Assumed.
const BELOW_CEILING_M: f64 = 0.3;

/// Cable of a float switch from its unit's terminals \[m\]. Assumed: the pan is
/// under the unit.
const FLOAT_TAIL_M: f64 = 2.0;

/// Share of the voltage that may be lost on the way: 2.4 V of 24 V, which
/// leaves something for a low source. Source: see `checks::cable_too_long`.
const DROP_SHARE: f64 = 0.10;

/// Share of a 0 to 10 V signal that may be lost. Assumed.
const SIGNAL_SHARE: f64 = 0.01;

/// Gauge where no record says a current. Common practice.
const USUAL_GAUGE: u32 = 18;

struct Joiner<'a> {
    control: Control,
    catalog: &'a Catalog,
    placement: &'a Placement,
    run_m: f64,
    circuits: u32,
}

/// Joins all terminals by their names.
pub(super) fn join(
    room: &Room,
    catalog: &Catalog,
    placement: &Placement,
    assignment: &Assignment,
    controllers: Vec<Placed<'_>>,
) -> Result<Control, JobError> {
    let mut j = Joiner {
        control: Control::default(),
        catalog,
        placement,
        run_m: (inside(room).high_m[2] - BELOW_CEILING_M).max(0.0),
        circuits: 0,
    };
    j.devices(&controllers)?;
    for (served, placed) in assignment.served.iter().zip(&controllers) {
        j.serve(placed, &served.units);
    }
    let tags: Vec<String> = placement.units.iter().map(|u| u.tag.clone()).collect();
    for tag in &tags {
        j.own_float(tag);
    }
    Ok(j.control)
}

impl<'a> Joiner<'a> {
    fn devices(&mut self, controllers: &[Placed<'a>]) -> Result<(), JobError> {
        for c in controllers {
            self.control.devices.push(Device {
                tag: c.tag.clone(),
                kind: DeviceKind::Controller,
                model: c.record.code.clone(),
                family: None,
                at_m: c.at_m,
                supply: if c.record.supply_v.is_some() {
                    Supply::Gives
                } else {
                    Supply::Takes
                },
                terminals: c.record.terminals.clone(),
                set_up: c.record.set_up.clone(),
            });
        }
        for unit in &self.placement.units {
            let record = unit.record(self.catalog)?;
            self.control.devices.push(Device {
                tag: unit.tag.clone(),
                kind: DeviceKind::Unit,
                model: unit.model.clone(),
                family: Some(record.control.family),
                at_m: unit.frame.face_m(&record.body, record.body.panel),
                supply: Supply::Gives,
                terminals: record.control.terminals.clone(),
                set_up: record.control.set_up.clone(),
            });
        }
        Ok(())
    }

    fn serve(&mut self, placed: &Placed<'_>, units: &[String]) {
        let with = |j: &Self, family: ControlFamily| -> Vec<String> {
            let of = |tag: &String| j.control.device(tag).and_then(|d| d.family);
            units
                .iter()
                .filter(|t| of(t) == Some(family))
                .cloned()
                .collect()
        };
        if placed.record.supply_v.is_some() {
            for tag in units {
                self.set_supply(tag, Supply::Takes);
            }
        }
        let bus = with(self, ControlFamily::PoweredBus);
        self.bus(placed, &bus);
        let pair = with(self, ControlFamily::DataPair);
        self.pair(placed, &pair);
        let contact = with(self, ControlFamily::DryContact);
        self.contacts(placed, &contact);
        let signal = with(self, ControlFamily::ZeroToTenVolt);
        self.signals(placed, &signal);
        self.alarms(placed, units);
    }

    fn set_supply(&mut self, tag: &str, supply: Supply) {
        if let Some(d) = self.control.devices.iter_mut().find(|d| d.tag == tag) {
            d.supply = supply;
        }
    }

    // --- families ---

    fn bus(&mut self, placed: &Placed<'_>, units: &[String]) {
        let Some((order, circuit, line)) = self.chain(placed, units, CableUse::Bus, "bus") else {
            return;
        };
        // Where units feed the control, the nearest does it and no other: two
        // supplies are not to be joined.
        for (k, two) in order.windows(2).enumerate() {
            let [from, to] = two else { continue };
            let fed = placed.record.supply_v.is_some() || k == 0;
            let mut pairs = Vec::new();
            let wanted: [(Role, &'static str, bool); 5] = [
                (Role::SupplyPlus, "supply +", fed),
                (Role::SupplyMinus, "supply -, reference", true),
                (Role::DataPlus, "data +", true),
                (Role::DataMinus, "data -", true),
                (Role::Screen, "screen", true),
            ];
            for (role, signal, _) in wanted.into_iter().filter(|w| w.2) {
                let ends = [from, to].map(|d| self.terminal(d, role));
                match ends {
                    [Some(a), Some(b)] => pairs.push((signal, a, b)),
                    _ if role == Role::Screen => {}
                    [a, b] => {
                        for (end, device) in [(a, from), (b, to)] {
                            if end.is_none() {
                                self.miss(device, role.word());
                            }
                        }
                    }
                }
            }
            self.cable(CableUse::Bus, line, circuit, pairs, None);
        }
        self.size(line, placed, &order);
    }

    fn pair(&mut self, placed: &Placed<'_>, units: &[String]) {
        let Some((order, circuit, line)) = self.chain(placed, units, CableUse::Pair, "pair") else {
            return;
        };
        for two in order.windows(2) {
            let [from, to] = two else { continue };
            let ends = [from, to].map(|d| self.pair_of(d));
            for (end, device) in ends.iter().zip([from, to]) {
                if end.is_none() {
                    self.miss(device, Role::Pair.word());
                }
            }
            if let [Some(a), Some(b)] = ends {
                let [a0, a1] = a;
                let [b0, b1] = b;
                let pairs = vec![("pair, one side", a0, b0), ("pair, other side", a1, b1)];
                self.cable(CableUse::Pair, line, circuit, pairs, None);
            }
        }
        self.size(line, placed, &order);
    }

    fn contacts(&mut self, placed: &Placed<'_>, units: &[String]) {
        let relays: Vec<[End; 2]> = two_sided(&placed.tag, &placed.record.terminals, Role::Relay);
        for (k, unit) in units.iter().enumerate() {
            let Some([ka, kb]) = relays.get(k).cloned() else {
                self.miss(&placed.tag, Role::Relay.word());
                continue;
            };
            let inputs = self.two_of(unit, Role::ContactInput);
            let Some([in_a, in_b]) = inputs else {
                self.miss(unit, Role::ContactInput.word());
                continue;
            };
            let circuit = self.circuit();
            let order = vec![placed.tag.clone(), unit.clone()];
            let name = format!("run contact of {unit}");
            let line = self.line(name, CableUse::Contact, &order);
            // A unit with its own float terminals stops by those; otherwise the
            // float switch breaks the run circuit.
            if self.two_of(unit, Role::FloatSwitch).is_some() {
                let pairs = vec![("run, one side", ka, in_a), ("run, other side", kb, in_b)];
                self.cable(CableUse::Contact, line, circuit, pairs, None);
            } else {
                let float = self.float(unit);
                let pairs = vec![
                    ("run, one side", ka, in_a),
                    ("run, to float switch", kb, End::new(&float, "1")),
                ];
                let to = Some((placed.tag.clone(), unit.clone()));
                self.cable(CableUse::Contact, line, circuit, pairs, to);
                let tail = vec![("run, after float switch", End::new(&float, "2"), in_b)];
                self.cable(CableUse::Float, line, circuit, tail, None);
            }
            self.size(line, placed, &order);
        }
    }

    fn signals(&mut self, placed: &Placed<'_>, units: &[String]) {
        if units.is_empty() {
            return;
        }
        let outputs: Vec<[End; 2]> = groups(&placed.record.terminals, Role::Signal)
            .iter()
            .filter_map(|g| {
                let signal = g.first()?;
                let reference =
                    placed.record.terminals.iter().find(|t| {
                        t.role == Some(Role::SignalReference) && t.group == signal.group
                    })?;
                Some([signal, reference].map(|t| End::new(&placed.tag, &t.mark)))
            })
            .collect();
        if outputs.is_empty() {
            self.miss(&placed.tag, Role::Signal.word());
            return;
        }
        for (k, output) in outputs.iter().enumerate() {
            let mine: Vec<String> = units
                .iter()
                .skip(k)
                .step_by(outputs.len())
                .cloned()
                .collect();
            let name = format!("0-10 V, {}", output[0].terminal);
            let Some((order, circuit, line)) = self.chain(placed, &mine, CableUse::Signal, &name)
            else {
                continue;
            };
            let mut before = output.clone();
            for unit in order.iter().skip(1) {
                let ends = [Role::Signal, Role::SignalReference].map(|r| self.terminal(unit, r));
                let [Some(y), Some(m)] = ends else {
                    for (end, role) in ends.iter().zip([Role::Signal, Role::SignalReference]) {
                        if end.is_none() {
                            self.miss(unit, role.word());
                        }
                    }
                    continue;
                };
                let [by, bm] = before;
                let pairs = vec![("0-10 V", by, y.clone()), ("reference", bm, m.clone())];
                self.cable(CableUse::Signal, line, circuit, pairs, None);
                if let Some(e) = self.terminal(unit, Role::Enable) {
                    let float = self.float(unit);
                    let pairs = vec![
                        ("leave to run", e, End::new(&float, "1")),
                        ("reference", End::new(&float, "2"), m.clone()),
                    ];
                    self.cable(CableUse::Float, line, circuit, pairs, None);
                }
                before = [y, m];
            }
            self.size(line, placed, &order);
        }
    }

    fn alarms(&mut self, placed: &Placed<'_>, units: &[String]) {
        let mut inputs =
            two_sided(&placed.tag, &placed.record.terminals, Role::AlarmInput).into_iter();
        for unit in units {
            let Some([a, b]) = self.two_of(unit, Role::Alarm) else {
                continue;
            };
            let Some([in_a, in_b]) = inputs.next() else {
                self.control.alarms_unwatched.push(unit.clone());
                continue;
            };
            let circuit = self.circuit();
            let order = vec![placed.tag.clone(), unit.clone()];
            let line = self.line(format!("alarm of {unit}"), CableUse::Alarm, &order);
            let pairs = vec![("alarm, one side", in_a, a), ("alarm, other side", in_b, b)];
            self.cable(CableUse::Alarm, line, circuit, pairs, None);
        }
    }

    /// Float switch on terminals of the unit's own; a unit that has none and
    /// whose run circuit does not pass through one is told.
    fn own_float(&mut self, unit: &str) {
        let switch = float_tag(unit);
        if self.control.device(&switch).is_some() {
            return;
        }
        let Some([a, b]) = self.two_of(unit, Role::FloatSwitch) else {
            self.control.float_homeless.push(unit.to_owned());
            return;
        };
        let float = self.float(unit);
        let circuit = self.circuit();
        let order = vec![unit.to_owned(), float.clone()];
        let line = self.line(format!("float switch of {unit}"), CableUse::Float, &order);
        let pairs = vec![
            ("float switch, one side", a, End::new(&float, "1")),
            ("float switch, other side", b, End::new(&float, "2")),
        ];
        self.cable(CableUse::Float, line, circuit, pairs, None);
    }

    // --- terminals ---

    fn terminal(&self, device: &str, role: Role) -> Option<End> {
        let d = self.control.device(device)?;
        let t = d.terminals.iter().find(|t| t.role == Some(role))?;
        Some(End::new(device, &t.mark))
    }

    fn two_of(&self, device: &str, role: Role) -> Option<[End; 2]> {
        let d = self.control.device(device)?;
        two_sided(device, &d.terminals, role).into_iter().next()
    }

    fn pair_of(&self, device: &str) -> Option<[End; 2]> {
        let polar = [Role::PairPlus, Role::PairMinus].map(|r| self.terminal(device, r));
        if let [Some(a), Some(b)] = polar {
            return Some([a, b]);
        }
        let d = self.control.device(device)?;
        let marks: Vec<&Terminal> = d
            .terminals
            .iter()
            .filter(|t| t.role == Some(Role::Pair))
            .collect();
        match marks.as_slice() {
            [a, b, ..] => Some([a, b].map(|t| End::new(device, &t.mark))),
            _ => None,
        }
    }

    fn miss(&mut self, device: &str, role: &'static str) {
        let missing = Unmatched {
            device: device.to_owned(),
            role,
        };
        if !self.control.unmatched.contains(&missing) {
            self.control.unmatched.push(missing);
        }
    }

    fn float(&mut self, unit: &str) -> String {
        let tag = float_tag(unit);
        let at_m = self.control.device(unit).map_or([0.0; 3], |d| d.at_m);
        if self.control.device(&tag).is_none() {
            self.control.devices.push(Device {
                tag: tag.clone(),
                kind: DeviceKind::FloatSwitch,
                model: String::new(),
                family: None,
                at_m,
                supply: Supply::Takes,
                terminals: ["1", "2"]
                    .map(|mark| Terminal {
                        mark: mark.to_owned(),
                        used_for: "float switch, opens on high water".to_owned(),
                        role: Some(Role::FloatSwitch),
                        group: Some("switch".to_owned()),
                    })
                    .to_vec(),
                set_up: Vec::new(),
            });
        }
        tag
    }

    // --- cables ---

    fn circuit(&mut self) -> u32 {
        self.circuits += 1;
        self.circuits
    }

    fn line(&mut self, name: String, of: CableUse, order: &[String]) -> usize {
        self.control.lines.push(Line {
            name,
            of,
            length_m: 0.0,
            current_a: None,
            voltage_v: None,
            allowed_v: None,
            drop_v: None,
            longest_m: None,
            gauge: USUAL_GAUGE,
            order: order.to_vec(),
        });
        self.control.lines.len() - 1
    }

    /// The controller and its units in the order of least cable.
    fn chain(
        &mut self,
        placed: &Placed<'_>,
        units: &[String],
        of: CableUse,
        name: &str,
    ) -> Option<(Vec<String>, u32, usize)> {
        if units.is_empty() {
            return None;
        }
        let points: Vec<Point> = units
            .iter()
            .map(|t| self.control.device(t).map_or([0.0; 3], |d| d.at_m))
            .collect();
        let mut order = vec![placed.tag.clone()];
        let best = least_cable(placed.at_m, &points, self.run_m);
        order.extend(best.into_iter().filter_map(|i| units.get(i).cloned()));
        let line = self.line(format!("{name} of {}", placed.tag), of, &order);
        Some((order, self.circuit(), line))
    }

    /// One cable with its conductors. `between` where the ends of the
    /// conductors are not the ends of the cable.
    fn cable(
        &mut self,
        of: CableUse,
        line: usize,
        circuit: u32,
        pairs: Vec<(&'static str, End, End)>,
        between: Option<(String, String)>,
    ) {
        let Some((_, a, b)) = pairs.first() else {
            return;
        };
        let (from, to) = between.unwrap_or_else(|| (a.device.clone(), b.device.clone()));
        let at = |tag: &str| self.control.device(tag).map_or([0.0; 3], |d| d.at_m);
        let length_m = if of == CableUse::Float {
            FLOAT_TAIL_M
        } else {
            cable_length_m(at(&from), at(&to), self.run_m)
        };
        let tag = format!("W{}", self.control.cables.len() + 1);
        self.control.cables.push(Cable {
            tag: tag.clone(),
            of,
            from,
            to,
            length_m,
            // A float switch has two leads; one may be spliced at the unit.
            cores: u32::try_from(pairs.len()).unwrap_or(u32::MAX).max(2),
            gauge: USUAL_GAUGE,
            line,
        });
        for (signal, from, to) in pairs {
            let (net, signal) = self.net(circuit, signal, &from, &to);
            self.control.wires.push(Wire {
                net,
                signal,
                from,
                to,
                cable: tag.clone(),
            });
        }
    }

    /// The net that two ends share from now on, and what it carries.
    fn net(&mut self, circuit: u32, signal: &'static str, a: &End, b: &End) -> (u32, &'static str) {
        let nets = &mut self.control.nets;
        let holding = |nets: &[Net], e: &End| nets.iter().position(|n| n.ends.contains(e));
        let (i, new) = match (holding(nets, a), holding(nets, b)) {
            (Some(i), None) => (i, Some(b)),
            (None, Some(i)) => (i, Some(a)),
            (Some(i), Some(_)) => (i, None),
            (None, None) => {
                let number = u32::try_from(nets.len())
                    .unwrap_or(u32::MAX)
                    .saturating_add(1);
                nets.push(Net {
                    number,
                    circuit,
                    signal,
                    ends: vec![a.clone()],
                });
                (nets.len() - 1, Some(b))
            }
        };
        let Some(net) = nets.get_mut(i) else {
            return (0, signal);
        };
        net.ends.extend(new.cloned());
        (net.number, net.signal)
    }

    /// Current, voltage and gauge of a line.
    fn size(&mut self, line: usize, placed: &Placed<'_>, order: &[String]) {
        let of = match self.control.lines.get(line) {
            Some(l) => l.of,
            None => return,
        };
        let units: Vec<&PlacedUnit> = order
            .iter()
            .filter_map(|t| self.placement.units.iter().find(|u| u.tag == *t))
            .collect();
        let controls: Vec<&equipment::Control> = units
            .iter()
            .filter_map(|u| self.catalog.dehumidifiers.get(&u.model))
            .map(|m| &m.control)
            .collect();
        let lengths: Vec<f64> = self
            .control
            .cables
            .iter()
            .filter(|c| c.line == line && (of == CableUse::Contact || c.of == of))
            .map(|c| c.length_m)
            .collect();
        let currents: Option<Vec<f64>> = controls.iter().map(|c| c.current_a).collect();
        let (length_m, current_a) = match (of, currents) {
            // The first unit alone feeds the control: supply ends there.
            (CableUse::Bus, Some(i)) if placed.record.supply_v.is_none() => {
                (lengths.first().copied().unwrap_or(0.0), i.first().copied())
            }
            (CableUse::Contact, Some(i)) => (lengths.iter().sum(), i.first().copied()),
            (_, Some(i)) => {
                // Each stretch carries the current of all units beyond it.
                let total_m: f64 = lengths.iter().sum();
                let moment: f64 = lengths
                    .iter()
                    .enumerate()
                    .map(|(k, l)| l * i.iter().skip(k).sum::<f64>())
                    .sum();
                (total_m, (0.0 < total_m).then(|| moment / total_m))
            }
            (_, None) => (lengths.iter().sum(), None),
        };
        let voltage_v = placed
            .record
            .supply_v
            .filter(|_| of == CableUse::Bus)
            .or_else(|| {
                controls
                    .iter()
                    .map(|c| c.volts)
                    .collect::<Option<Vec<f64>>>()?
                    .into_iter()
                    .min_by(f64::total_cmp)
            });
        let share = if of == CableUse::Signal {
            SIGNAL_SHARE
        } else {
            DROP_SHARE
        };
        let allowed_v = voltage_v.map(|v| share * v);
        let current_a = current_a.filter(|i| 0.0 < *i);
        let gauge = match (allowed_v, current_a) {
            // Thinner than 22 does not stand pulling; common practice.
            (Some(v), Some(i)) => thinnest_gauge(v, length_m, i).unwrap_or(16).min(22),
            _ => USUAL_GAUGE,
        };
        let r = resistance_ohm_per_m(gauge, CABLE_C);
        if let Some(l) = self.control.lines.get_mut(line) {
            l.length_m = length_m;
            l.current_a = current_a;
            l.voltage_v = voltage_v;
            l.allowed_v = allowed_v;
            l.gauge = gauge;
            l.drop_v = current_a.map(|i| voltage_drop_v(Phases::Single, length_m, i, r));
            l.longest_m = allowed_v
                .zip(current_a)
                .map(|(v, i)| longest_cable_m(v, r, i));
        }
        for c in self.control.cables.iter_mut().filter(|c| c.line == line) {
            c.gauge = gauge;
        }
    }
}

fn float_tag(unit: &str) -> String {
    format!("FS-{unit}")
}

fn two_sided(device: &str, terminals: &[Terminal], role: Role) -> Vec<[End; 2]> {
    groups(terminals, role)
        .iter()
        .filter_map(|g| match g.as_slice() {
            [a, b, ..] => Some([a, b].map(|t| End::new(device, &t.mark))),
            _ => None,
        })
        .collect()
}

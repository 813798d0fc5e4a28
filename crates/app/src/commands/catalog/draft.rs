//! The draft of a record: a machine file with what nameplate and datasheet
//! say, in the person's own words, and what they do not tell, assumed.
//!
//! The draft is read by the table of fields of every machine file, so that
//! ranges and units are known in one place. It remembers which flag each line
//! came from.

use anyhow::{Context, Result, bail};
use equipment::Standard;
use quantity::Dim;

use crate::cli::CatalogNewArgs;

/// A draft, line by line.
pub(super) struct Draft {
    text: String,
    /// For each line, the flag that it came from; empty where assumed.
    flags: Vec<String>,
    assumed: Vec<&'static str>,
}

/// How near a point must be to a standard condition to be taken at it: as
/// near as two ratings that may be compared.
const SAME_AIR: (f64, f64) = (0.1, 0.005);

impl Draft {
    /// # Errors
    /// Flags that do not have the parts they must have, or numbers needed for
    /// what is derived that cannot be read.
    pub(super) fn new(args: &CatalogNewArgs) -> Result<Self> {
        let mut draft = Self {
            text: String::new(),
            flags: Vec::new(),
            assumed: Vec::new(),
        };
        draft.identity(args);
        draft.points(args)?;
        draft.fan(args)?;
        draft.limits(args);
        draft.electric(args)?;
        draft.refrigerant(args);
        draft.body(args)?;
        draft.control();
        draft.figures();
        Ok(draft)
    }

    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// Keys that were assumed.
    pub(super) fn assumed(&self) -> Vec<String> {
        self.assumed.iter().map(|s| (*s).to_owned()).collect()
    }

    /// The flag behind a line of the draft, or its key where there is none.
    pub(super) fn flag(&self, line: usize, key: &str) -> String {
        match line.checked_sub(1).and_then(|i| self.flags.get(i)) {
            Some(flag) if !flag.is_empty() => flag.clone(),
            _ => key.to_owned(),
        }
    }

    fn line(&mut self, flag: &str, line: &str) {
        self.text.push_str(line);
        self.text.push('\n');
        self.flags.push(flag.to_owned());
    }

    /// A section that a flag asks for: what is wrong with it as a whole is
    /// wrong with the flag.
    fn section(&mut self, flag: &str, head: &str) {
        self.line(flag, head);
    }

    fn said(&mut self, flag: &str, key: &str, said: &str) {
        self.line(flag, &format!("{key} = {}", quoted(said)));
    }

    fn taken(&mut self, key: &'static str, said: &str) {
        self.line("", &format!("{key} = {}", quoted(said)));
    }

    fn said_or_taken(
        &mut self,
        flag: &str,
        key: &'static str,
        said: Option<&String>,
        otherwise: &str,
    ) {
        match said {
            Some(said) => self.said(flag, key, said),
            None => {
                self.taken(key, otherwise);
                self.assumed.push(key);
            }
        }
    }

    fn identity(&mut self, args: &CatalogNewArgs) {
        self.section("", "[dehumidifier]");
        self.said("--code", "code", &args.code);
        let description = args
            .description
            .clone()
            .unwrap_or_else(|| format!("{}, {}", args.document, args.page));
        self.said("--description", "description", &description);
        if let Some(price) = &args.price {
            self.said("--price", "price", price);
        }
        self.section("", "[source]");
        self.taken("existence", "real");
        self.said("--document", "document", &args.document);
        self.said("--page", "page", &args.page);
        self.said("--read", "date_read", &args.read);
    }

    /// Each point as a rated point; the first is the reference.
    fn points(&mut self, args: &CatalogNewArgs) -> Result<()> {
        for (i, point) in args.points.iter().enumerate() {
            let flag = format!("--point {} \"{point}\"", i + 1);
            let parts: Vec<&str> = point.split(", ").map(str::trim).collect();
            let [dry_bulb, rh, removal, power] = parts[..] else {
                bail!(
                    "{flag} has {} parts; four are asked, with a comma and a space between: \"dry bulb, RH, removal, power\", e.g. \"80 °F, 60 %, 150 pint/day, 1.05 kW\"",
                    parts.len()
                );
            };
            self.section(&flag, "[[rating]]");
            match standard(dry_bulb, rh).filter(|_| i == 0) {
                Some(standard) => self.said(&flag, "condition", standard.word()),
                None => {
                    self.said(&flag, "condition", Standard::Other.word());
                    self.said(&flag, "dry_bulb", dry_bulb);
                    self.said(&flag, "rh", rh);
                }
            }
            self.said(&flag, "removal", removal);
            self.said(&flag, "power", power);
        }
        self.section("", "[performance]");
        self.taken("kind", "rating only");
        Ok(())
    }

    fn fan(&mut self, args: &CatalogNewArgs) -> Result<()> {
        let flow_m3_per_s = number("--airflow", &args.airflow, Dim::AirFlow)?;
        let power_w = args
            .points
            .first()
            .and_then(|p| p.split(", ").nth(3))
            .and_then(|text| quantity::read(text.trim(), Dim::Power).ok())
            .map_or(1000.0, |v| v.si);
        self.section("--airflow", "[fan]");
        self.taken("power", &format!("{:.0} W", (0.1 * power_w).max(1.0)));
        self.taken("habit", "follows compressor");
        self.taken("rated_static", "0 Pa");
        self.taken("clean_filter", "10 Pa");
        self.taken("dirty_filter", "40 Pa");
        self.line("", "columns = [\"static Pa\", \"air flow m3/s\"]");
        let rows: Vec<String> = [(0, 1.0), (25, 0.93), (50, 0.85), (75, 0.75)]
            .iter()
            .map(|(pa, share)| format!("[{pa}, {}]", share * flow_m3_per_s))
            .collect();
        self.line("--airflow", &format!("rows = [{}]", rows.join(", ")));
        self.assumed.push("fan");
        Ok(())
    }

    fn limits(&mut self, args: &CatalogNewArgs) {
        self.section("", "[limits]");
        self.said_or_taken("--min-inlet", "min_inlet", args.min_inlet.as_ref(), "5 °C");
        self.said_or_taken("--max-inlet", "max_inlet", args.max_inlet.as_ref(), "38 °C");
        self.taken("defrost", "off-cycle");
        self.taken("defrost_start", "-2 °C");
        self.taken("defrost_end", "5 °C");
        self.assumed.push("defrost");
        for key in ["restart_delay", "min_on", "min_off"] {
            self.taken(key, "3 min");
        }
        self.assumed.push("delays");
        self.taken("pan_pressure", "60 Pa");
        self.assumed.push("pan_pressure");
    }

    fn electric(&mut self, args: &CatalogNewArgs) -> Result<()> {
        let amps = number("--amps", &args.amps, Dim::Current)?;
        self.section("", "[electric]");
        self.said("--volts", "voltage", &args.volts);
        if let Some(low) = &args.low_volts {
            self.said("--low-volts", "low_voltage", low);
        }
        self.line("--phases", &format!("phases = {}", args.phases));
        self.said_or_taken("--frequency", "frequency", args.frequency.as_ref(), "60 Hz");
        self.said("--amps", "full_load", &args.amps);
        self.said_or_taken(
            "--min-circuit",
            "min_circuit",
            args.min_circuit.as_ref(),
            &format!("{} A", 1.25 * amps),
        );
        // The next size of five amperes above 1.75 times, 15 A at least.
        let protection = (1.75 * amps / 5.0).ceil() * 5.0;
        self.said_or_taken(
            "--max-protection",
            "max_protection",
            args.max_protection.as_ref(),
            &format!("{} A", protection.max(15.0)),
        );
        self.taken("standby", "3 W");
        self.assumed.push("standby");
        Ok(())
    }

    fn refrigerant(&mut self, args: &CatalogNewArgs) {
        self.section("", "[refrigerant]");
        match &args.refrigerant {
            Some(name) => self.said("--refrigerant", "name", name),
            None => {
                self.taken("name", "not given");
                self.assumed.push("refrigerant");
            }
        }
        self.said_or_taken("--charge", "charge", args.charge.as_ref(), "0.5 kg");
    }

    fn body(&mut self, args: &CatalogNewArgs) -> Result<()> {
        let parts: Vec<&str> = args.size.split(", ").map(str::trim).collect();
        let [length, width, height] = parts[..] else {
            bail!(
                "--size \"{}\" has {} parts; three are asked, with a comma and a space between: \"length, width, height\", e.g. \"36 in, 20 in, 18 in\"",
                args.size,
                parts.len()
            );
        };
        let mass_kg = number("--mass", &args.mass, Dim::Mass)?;
        let height_m = number("--size", height, Dim::Length)?;
        self.section("", "[body]");
        self.said("--size", "length", length);
        self.said("--size", "width", width);
        self.said("--size", "height", height);
        self.said("--mass", "mass_dry", &args.mass);
        self.line("--mass", &format!("mass_wet = \"{} kg\"", mass_kg + 2.0));
        self.line("", "centre_of_gravity = [\"0 m\", \"0 m\", \"0 m\"]");
        for (key, word) in [
            ("cabinet", "draw-through"),
            ("inlet", "back"),
            ("outlet", "front"),
            ("filter", "back"),
            ("panel", "right"),
            ("drain", "bottom"),
        ] {
            self.taken(key, word);
        }
        self.line(
            "--size",
            &format!("drain_at = [\"0 m\", \"0 m\", \"{} m\"]", -0.5 * height_m),
        );
        self.assumed.push("body");
        self.section("", "[clearance]");
        for (key, span) in [
            ("front", "0.6 m"),
            ("back", "0.3 m"),
            ("left", "0.3 m"),
            ("right", "0.9 m"),
            ("top", "0.1 m"),
            ("bottom", "0.1 m"),
        ] {
            self.taken(key, span);
        }
        self.assumed.push("clearance");
        Ok(())
    }

    fn control(&mut self) {
        self.section("", "[control]");
        self.taken("family", "on-board humidistat");
        self.line(
            "",
            "set_up = [\"Follow the maker's papers: none were entered.\"]",
        );
        self.assumed.push("control");
    }

    /// One note for each key that was assumed.
    fn figures(&mut self) {
        for key in self.assumed.clone() {
            self.section("", "[[figure]]");
            self.taken("name", key);
            self.taken("from", &format!("assumed: {}", reason(key)));
        }
    }
}

/// Why an assumed figure is what it is.
fn reason(key: &str) -> &'static str {
    match key {
        "fan" => {
            "blowing free at the rated air flow, three quarters of it at 75 Pa, filter 10 Pa clean and 40 Pa due for change, a tenth of the power for the fan"
        }
        "min_inlet" | "max_inlet" | "defrost" => "usual for a unit with off-cycle defrost",
        "delays" => "three minutes protect a compressor from short cycling, common practice",
        "frequency" => "60 Hz goes with supplies of North America",
        "min_circuit" => "1.25 times the rated current",
        "max_protection" => "1.75 times the rated current, next size up",
        "body" => {
            "size and dry mass are on the papers; cabinet, faces, centre of gravity and drain outlet are not, two kilograms of water in the pan"
        }
        _ => "not on the papers entered",
    }
}

/// The standard condition that a point was taken at.
fn standard(dry_bulb: &str, rh: &str) -> Option<Standard> {
    let dry_bulb_c = quantity::read(dry_bulb, Dim::Temperature).ok()?.si;
    let rel_humidity = quantity::read(rh, Dim::RelHumidity).ok()?.si;
    [Standard::Warm, Standard::Portable, Standard::Ducted]
        .into_iter()
        .find(|s| {
            s.air().is_some_and(|(t_c, rh)| {
                (t_c - dry_bulb_c).abs() <= SAME_AIR.0 && (rh - rel_humidity).abs() <= SAME_AIR.1
            })
        })
}

fn number(flag: &'static str, text: &str, dim: Dim) -> Result<f64> {
    Ok(quantity::read(text, dim).context(flag)?.si)
}

/// Text as the file holds it; escapes of JSON are escapes of TOML.
fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

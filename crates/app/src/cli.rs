//! The command line: verbs of the trade.

use std::collections::BTreeMap;
use std::net::IpAddr;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

/// Hold an indoor crop room's humidity: loads, dehumidifiers, a proven day, a dossier.
#[derive(Debug, Parser)]
#[command(name = "drywright", version, propagate_version = true)]
pub(crate) struct Cli {
    #[command(subcommand)]
    pub(crate) command: Command,
    #[command(flatten)]
    pub(crate) shown: Shown,
}

/// How results are shown.
#[derive(Args, Debug, Clone, Copy)]
pub(crate) struct Shown {
    /// Print the result as JSON on standard output; units stand in the keys
    #[arg(long, global = true)]
    pub(crate) json: bool,
    /// Units of what is shown; JSON is not affected [default: the site file's, else metric]
    #[arg(long, global = true, value_enum)]
    pub(crate) units: Option<Units>,
    /// Show how each number came about: equation, inputs, result, source
    #[arg(long, global = true)]
    pub(crate) working: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Units {
    Metric,
    Us,
}

impl From<Units> for quantity::UnitSystem {
    fn from(units: Units) -> Self {
        match units {
            Units::Metric => Self::Metric,
            Units::Us => Self::Us,
        }
    }
}

#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// An invented job: write the job folder, design it, write out/dossier.pdf
    Demo {
        /// Folder to make
        #[arg(default_value = "drywright-demo")]
        dir: PathBuf,
    },
    /// One air state from any two of its properties
    Air(AirArgs),
    /// Read and judge a room file, or every room of a job folder
    Check { path: PathBuf },
    /// Water and heat by source, lights on and off, low / likely / high
    Load { path: PathBuf },
    /// Which dehumidifiers and how many, and what decides it
    Select {
        path: PathBuf,
        /// A first look: one set by capacity and a few drawn days, no measures, no
        /// errands; the full run may choose otherwise
        #[arg(long)]
        preview: bool,
    },
    /// Minute by minute: air state, water, units on, energy, over days
    Day {
        path: PathBuf,
        /// Write the minutes as CSV to this file
        #[arg(long, value_name = "FILE")]
        csv: Option<PathBuf>,
    },
    /// Where units, sensor and drain go; what breathes what
    Place {
        path: PathBuf,
        /// Write its drawings (SVG) into this folder
        #[arg(short, long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Search places for units that have none; the best few with what each trades
        #[arg(long)]
        suggest: bool,
        /// Another start of the search; the same seed gives the same places
        #[arg(long, default_value_t = 1)]
        seed: u64,
    },
    /// Rods, struts, reactions, levels
    Hang {
        path: PathBuf,
        /// Write its drawings (SVG) into this folder
        #[arg(short, long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Traps, pipes, inverts, pumps; of a job folder: the mains that rooms share
    Drain {
        path: PathBuf,
        /// Write its drawings (SVG) into this folder
        #[arg(short, long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Circuits, conductors, panel schedule; of a job folder: the panels that rooms share
    Power {
        path: PathBuf,
        /// Write its drawings (SVG) into this folder
        #[arg(short, long, value_name = "DIR")]
        out: Option<PathBuf>,
    },
    /// Control wiring, set-up, setpoints; a wiring as it was done, checked
    Control {
        path: PathBuf,
        /// Write its drawings (SVG) into this folder
        #[arg(short, long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Check these connections, one a line: "D1:V+ - C1:PWR+"
        #[arg(long, value_name = "FILE")]
        as_wired: Option<PathBuf>,
    },
    /// Everything above: dossier.pdf, drawings (SVG, DXF), parts list (CSV), numbers.json
    Design {
        path: PathBuf,
        /// Where to write [default: out/ beside the room file]
        #[arg(short, long, value_name = "DIR")]
        out: Option<PathBuf>,
        /// Paper of the dossier
        #[arg(long, value_enum)]
        paper: Option<Paper>,
        /// A first look: fewer draws, one set, no measures, no errands; the full run
        /// may choose otherwise
        #[arg(long)]
        preview: bool,
    },
    /// From what is seen and measured to the likeliest cause and the next best test
    Fault(Box<FaultArgs>),
    /// What the logs say that room and units did
    Prove(ProveArgs),
    /// Start-up and measurements, step by step; resumes; hand-over PDF
    Start(Box<StartArgs>),
    /// Machine files: list, check, make one from nameplate and datasheet
    #[command(subcommand)]
    Catalog(CatalogCommand),
    /// A blank survey form to print and carry
    Survey {
        /// Where to write
        #[arg(default_value = "survey.pdf")]
        file: PathBuf,
        /// Paper of the form
        #[arg(long, value_enum)]
        paper: Option<Paper>,
    },
    /// Serve a folder of jobs to a browser on this machine; prints its address
    Serve {
        /// Folder of jobs, or one job folder
        #[arg(default_value = ".")]
        dir: PathBuf,
        /// Port; 0 takes any that is free; left out, the one of the last time, at first 8137
        #[arg(long)]
        port: Option<u16>,
        /// Offer it to phones on the local network too, at every address or at this one
        #[arg(long, value_name = "ADDRESS", num_args = 0..=1, require_equals = true)]
        share: Option<Option<IpAddr>>,
        /// Do not encrypt on the local network: anyone there can read along
        #[arg(long, requires = "share", conflicts_with = "tls")]
        plain: bool,
        /// Encrypt with a certificate and key of your firm, PEM files
        #[arg(long, requires = "share", num_args = 2, value_names = ["CERT", "KEY"])]
        tls: Option<Vec<PathBuf>>,
    },
    /// JSON Schema of the room file, the site file, the machine file and each result
    Schema {
        /// Which one; left out, the names are listed
        name: Option<String>,
    },
    /// The room file, the site file and the machine file explained, field by field
    Manual,
}

/// What happened at a start-up, or what to do with its record.
#[derive(Args, Debug, Default)]
pub(crate) struct StartArgs {
    /// Room file, or job folder with one room
    pub(crate) path: PathBuf,
    /// Record that a step is done: its id, or the end of it beside --unit
    #[arg(long, value_name = "STEP")]
    pub(crate) done: Option<String>,
    /// Tag of the unit
    #[arg(long, value_name = "TAG")]
    pub(crate) unit: Option<String>,
    /// What was read, "ENTRY=VALUE", e.g. "l1=9.8 A"; repeat
    #[arg(
        long = "reading",
        value_name = "ENTRY=VALUE",
        allow_hyphen_values = true
    )]
    pub(crate) readings: Vec<String>,
    /// What was answered, "ENTRY=yes"; repeat
    #[arg(long = "answer", value_name = "ENTRY=WORD")]
    pub(crate) answers: Vec<String>,
    /// An entry whose unusual number is meant; repeat
    #[arg(long, value_name = "ENTRY")]
    pub(crate) meant: Vec<String>,
    /// What it was read off, if not the usual
    #[arg(long)]
    pub(crate) instrument: Option<String>,
    /// How far that may be off either way, "ENTRY=VALUE", e.g. "l1=0.2 A"; repeat
    #[arg(long = "accuracy", value_name = "ENTRY=VALUE")]
    pub(crate) accuracies: Vec<String>,
    /// A remark; alone, a note to the room or to --unit
    #[arg(long)]
    pub(crate) note: Option<String>,
    /// Who did it
    #[arg(long, value_name = "NAME")]
    pub(crate) by: Option<String>,
    /// Leave a step out; needs --reason
    #[arg(long, value_name = "STEP", conflicts_with_all = ["done", "timer"])]
    pub(crate) skip: Option<String>,
    /// Leave a whole unit out, not delivered say; needs --reason
    #[arg(long, value_name = "TAG", conflicts_with_all = ["done", "skip", "timer"])]
    pub(crate) skip_unit: Option<String>,
    /// Take a unit up again that was left out as a whole; needs --reason
    #[arg(long, value_name = "TAG", conflicts_with_all = ["done", "skip", "timer", "skip_unit"])]
    pub(crate) take_up: Option<String>,
    /// Start the waiting time of a step
    #[arg(long, value_name = "STEP", conflicts_with = "done")]
    pub(crate) timer: Option<String>,
    /// Close a finding, "CHECK@PLACE"; needs --reason
    #[arg(long, value_name = "CHECK@PLACE")]
    pub(crate) close: Option<String>,
    /// Correct the event whose hash begins so; with --done what holds instead,
    /// without it the event is withdrawn; needs --reason
    #[arg(long, value_name = "HASH")]
    pub(crate) correct: Option<String>,
    /// Why
    #[arg(long)]
    pub(crate) reason: Option<String>,
    /// A photo of a step, JPEG or PNG; needs --step
    #[arg(long, value_name = "FILE", requires = "step", conflicts_with_all = ["done", "skip", "timer"])]
    pub(crate) photo: Option<PathBuf>,
    /// The step that the photo is of
    #[arg(long, value_name = "STEP", requires = "photo")]
    pub(crate) step: Option<String>,
    /// Keep where the photo was taken, if it says so
    #[arg(long, requires = "photo")]
    pub(crate) position: bool,
    /// Take the events of another record of this job
    #[arg(long, value_name = "FILE")]
    pub(crate) merge: Option<PathBuf>,
    /// Write the record into one file elsewhere
    #[arg(long, value_name = "FILE")]
    pub(crate) export: Option<PathBuf>,
    /// Check that the record is whole
    #[arg(long)]
    pub(crate) verify: bool,
    /// Put a damaged record aside and go on from what is intact in it
    #[arg(long)]
    pub(crate) mend: bool,
    /// Write the hand-over as PDF
    #[arg(long, value_name = "FILE")]
    pub(crate) handover: Option<PathBuf>,
    /// Write labels for the units, whose codes open their pages; needs --address
    #[arg(long, value_name = "FILE", requires = "address")]
    pub(crate) labels: Option<PathBuf>,
    /// Where phones reach the served jobs, e.g. "http://192.168.1.20:8137"
    #[arg(long, value_name = "ADDRESS", requires = "labels")]
    pub(crate) address: Option<String>,
    /// Paper of hand-over and labels
    #[arg(long, value_enum)]
    pub(crate) paper: Option<Paper>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Paper {
    A4,
    Letter,
}

/// What is seen and known of a fault.
#[derive(Args, Debug, Default)]
pub(crate) struct FaultArgs {
    /// Room file that has the unit
    pub(crate) room: Option<PathBuf>,
    /// Tag of the unit in the room file; without one, as a log names it
    #[arg(long)]
    pub(crate) unit: Option<String>,
    /// Model, where there is no room file or the unit does not stand in it
    #[arg(long, value_name = "CODE")]
    pub(crate) model: Option<String>,
    /// Something that is seen, by its name; repeat, or separate by commas
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub(crate) seen: Vec<String>,
    /// Something that is not seen
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub(crate) not_seen: Vec<String>,
    /// What a test came out as, e.g. level-check=2 for its second outcome
    #[arg(long, value_name = "TEST=NUMBER", value_delimiter = ',')]
    pub(crate) answer: Vec<String>,
    /// A reading, e.g. "current=5.5 A"; a bare number is in the unit that --list names
    #[arg(long, value_name = "NAME=VALUE", allow_hyphen_values = true)]
    pub(crate) reading: Vec<String>,
    /// A reading whose unusual number is meant, by its name; repeat
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub(crate) meant: Vec<String>,
    /// A log: what it shows of the fault counts; without a room file, what air,
    /// power and state tell by themselves; repeat
    #[arg(long = "log", value_name = "FILE")]
    pub(crate) logs: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) written: AsWritten,
    /// Write it into the record of the job, as this person
    #[arg(long, value_name = "PERSON", requires = "room")]
    pub(crate) record: Option<String>,
    /// It is mended
    #[arg(long, requires = "record")]
    pub(crate) mended: bool,
    /// What was done, as the hand-over shows it; else what the list advises
    #[arg(long, value_name = "TEXT", requires = "record")]
    pub(crate) did: Option<String>,
    /// List the names of symptoms, tests with their outcomes, and readings
    #[arg(long)]
    pub(crate) list: bool,
}

/// Logs, and what a person says about them.
#[derive(Args, Debug)]
pub(crate) struct ProveArgs {
    /// Room file
    pub(crate) room: PathBuf,
    /// Tables of loggers; several lie side by side
    #[arg(required = true)]
    pub(crate) logs: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) written: AsWritten,
    /// Write proof.pdf, proof.json and the proposed room file into this folder
    #[arg(short, long, value_name = "DIR")]
    pub(crate) out: Option<PathBuf>,
    /// Paper of the PDF
    #[arg(long, value_enum)]
    pub(crate) paper: Option<Paper>,
    /// As many drawn days as a design has; slower
    #[arg(long)]
    pub(crate) thorough: bool,
    /// Keep the proof for the dossier: logs are copied into the job folder
    #[arg(long)]
    pub(crate) keep: bool,
}

/// How logs are written, where they leave it open.
#[derive(Args, Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct AsWritten {
    /// Order of day, month and year, where the logs leave it open
    #[arg(long, value_enum)]
    pub(crate) dates: Option<Dates>,
    /// Zone of the logs' clocks, e.g. "America/Denver" or "-07:00"
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) zone: Option<String>,
    /// Sign between cells: one sign, or "tab"
    #[arg(long)]
    pub(crate) delimiter: Option<String>,
    /// Mark before decimals
    #[arg(long, value_enum)]
    pub(crate) decimal: Option<Decimal>,
    /// What a column is: "NAME=dry bulb °C", "#3=ignore"; repeat
    #[arg(long = "column", value_name = "NAME=WHAT")]
    pub(crate) columns: Vec<String>,
    /// When a log began that counts seconds, minutes or hours from its start:
    /// "2026-03-01 06:00", or "FILE=2026-03-01 06:00" of one of several; repeat
    #[arg(long, value_name = "[FILE=]WHEN")]
    pub(crate) start: Vec<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Dates {
    Dmy,
    Mdy,
    Ymd,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum Decimal {
    Comma,
    Point,
}

/// Exactly two properties, and the pressure.
#[derive(Args, Debug, Default)]
pub(crate) struct AirArgs {
    /// e.g. "24 C" or "78 °F"
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) dry_bulb: Option<String>,
    /// Relative humidity, e.g. "60 %"
    #[arg(long)]
    pub(crate) rh: Option<String>,
    /// e.g. "15 C"
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) dew_point: Option<String>,
    /// e.g. "18 C"
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) wet_bulb: Option<String>,
    /// e.g. "11 g/kg" or "77 gr/lb"
    #[arg(long)]
    pub(crate) humidity_ratio: Option<String>,
    /// Vapour pressure deficit of the air, e.g. "1.1 kPa"
    #[arg(long)]
    pub(crate) vpd: Option<String>,
    /// e.g. "50 kJ/kg"
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) enthalpy: Option<String>,
    /// Height above sea level, e.g. "1600 m" or "5280 ft"
    #[arg(long, allow_hyphen_values = true, conflicts_with = "pressure")]
    pub(crate) altitude: Option<String>,
    /// Barometric pressure at the room, e.g. "83.5 kPa"
    #[arg(long)]
    pub(crate) pressure: Option<String>,
    /// Leaf temperature, for the leaf VPD as well
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) leaf: Option<String>,
}

impl AirArgs {
    /// From texts by the names of the properties; others are left out.
    pub(crate) fn from_names(texts: &BTreeMap<String, String>) -> Self {
        let of = |name: &str| texts.get(name).cloned();
        Self {
            dry_bulb: of("dry_bulb"),
            rh: of("rh"),
            dew_point: of("dew_point"),
            wet_bulb: of("wet_bulb"),
            humidity_ratio: of("humidity_ratio"),
            vpd: of("vpd"),
            enthalpy: of("enthalpy"),
            altitude: of("altitude"),
            pressure: of("pressure"),
            leaf: of("leaf"),
        }
    }
}

#[derive(Debug, Subcommand)]
pub(crate) enum CatalogCommand {
    /// Machines at hand: rated beside capacity at crop-room air
    List {
        /// Folder of machine files [default: catalog/ here, and what is built in]
        dir: Option<PathBuf>,
    },
    /// Read and judge machine files, or folders of them
    Check {
        #[arg(required = true)]
        paths: Vec<PathBuf>,
    },
    /// Make a machine file for a real machine from its nameplate and datasheet points
    New(Box<CatalogNewArgs>),
}

/// What the nameplate and the datasheet say.
#[derive(Args, Debug, Default)]
pub(crate) struct CatalogNewArgs {
    /// Code of the machine; names the file
    #[arg(long)]
    pub(crate) code: String,
    /// Title of the document that the figures come from
    #[arg(long)]
    pub(crate) document: String,
    /// Page or table in it
    #[arg(long)]
    pub(crate) page: String,
    /// Date on which it was read, e.g. 2026-11-25
    #[arg(long)]
    pub(crate) read: String,
    /// One datasheet point: "dry bulb, RH, removal, power", e.g. "80 °F, 60 %, 150 pint/day, 1.05 kW"; repeat, the rated point first
    #[arg(long = "point", required = true, allow_hyphen_values = true)]
    pub(crate) points: Vec<String>,
    /// Air flow, e.g. "415 cfm"
    #[arg(long)]
    pub(crate) airflow: String,
    /// Supply on the plate, e.g. "240 V"
    #[arg(long)]
    pub(crate) volts: String,
    /// Lower voltage of a plate with two, e.g. "208 V"
    #[arg(long)]
    pub(crate) low_volts: Option<String>,
    /// Phases on the plate
    #[arg(long, default_value_t = 1)]
    pub(crate) phases: u8,
    /// Frequency on the plate [default: assumed 60 Hz]
    #[arg(long)]
    pub(crate) frequency: Option<String>,
    /// Rated current on the plate, e.g. "9.5 A"
    #[arg(long)]
    pub(crate) amps: String,
    /// Minimum circuit ampacity on the plate [default: assumed from --amps]
    #[arg(long)]
    pub(crate) min_circuit: Option<String>,
    /// Greatest overcurrent protection on the plate [default: assumed from --amps]
    #[arg(long)]
    pub(crate) max_protection: Option<String>,
    /// Refrigerant on the plate, e.g. "R-32"
    #[arg(long)]
    pub(crate) refrigerant: Option<String>,
    /// Refrigerant charge on the plate, e.g. "1.2 lb"
    #[arg(long)]
    pub(crate) charge: Option<String>,
    /// Mass, e.g. "110 lb"
    #[arg(long)]
    pub(crate) mass: String,
    /// Length, width and height, e.g. "36 in, 20 in, 18 in"
    #[arg(long)]
    pub(crate) size: String,
    /// Lowest inlet air at which it runs, e.g. "41 °F" [default: assumed]
    #[arg(long, allow_hyphen_values = true)]
    pub(crate) min_inlet: Option<String>,
    /// Highest inlet air at which it runs, e.g. "100 °F" [default: assumed]
    #[arg(long)]
    pub(crate) max_inlet: Option<String>,
    /// What it is, in a line [default: document and page]
    #[arg(long)]
    pub(crate) description: Option<String>,
    /// Price, in the currency of the site file
    #[arg(long)]
    pub(crate) price: Option<String>,
    /// Where to write [default: catalog/CODE.toml]
    #[arg(short, long, value_name = "FILE")]
    pub(crate) out: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long)]
    pub(crate) force: bool,
}

/// What to do with an older file of the same name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum OverOld {
    Refuse,
    Replace,
}

impl CatalogNewArgs {
    pub(crate) const fn over_old(&self) -> OverOld {
        if self.force {
            OverOld::Replace
        } else {
            OverOld::Refuse
        }
    }
}

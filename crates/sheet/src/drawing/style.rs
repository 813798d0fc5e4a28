//! Every pen, grey, colour, dash, hatch and letter height, by role.
//!
//! Pens are the ISO series about √2 apart. Colours are black, blue and
//! vermilion of the set of Okabe and Ito ("Color universal design", 2008),
//! which stay apart for colour-blind readers; each also has its own dash or
//! mark, so that nothing is lost in grey print.

/// Width of a pen \[mm\].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen(pub f64);

impl Pen {
    /// Minor grid only; never carries meaning alone.
    pub const FINE: Self = Self(0.13);
    /// Dimensions, leaders, hatch, grid.
    pub const THIN: Self = Self(0.18);
    /// Hidden edges, zones, existing work.
    pub const MEDIUM: Self = Self(0.25);
    /// Visible outlines, frames of charts.
    pub const WIDE: Self = Self(0.35);
    /// Equipment, cut faces, saturation, data.
    pub const HEAVY: Self = Self(0.5);
    /// Drain run, bus bar, ground line, total lines.
    pub const EXTRA: Self = Self(0.7);
}

/// A colour, as the six hexadecimal digits of sRGB.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Colour(pub &'static str);

impl Colour {
    /// Black.
    pub const BLACK: Self = Self("000000");
    /// White.
    pub const WHITE: Self = Self("FFFFFF");
    /// Secondary text; 7:1 on white.
    pub const QUIET: Self = Self("595959");
    /// Grid lines.
    pub const GRID: Self = Self("CCCCCC");
    /// The hours with lights off.
    pub const NIGHT: Self = Self("EDEDED");
    /// Blue.
    pub const BLUE: Self = Self("0072B2");
    /// Vermilion.
    pub const VERMILION: Self = Self("D55E00");
    /// Purple.
    pub const PURPLE: Self = Self("CC79A7");
    /// Pale blue of target fields.
    pub const PALE_BLUE: Self = Self("C9DFEE");
    /// Middle blue of spread bands.
    pub const MID_BLUE: Self = Self("94BEDC");
}

/// How an area is filled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Fill {
    /// One colour.
    Solid(Colour),
    /// Parallel lines over white.
    Hatch {
        /// Direction, counter-clockwise from the horizontal \[°\].
        angle_deg: f64,
        /// Distance between lines \[mm\], at least 0.7.
        spacing_mm: f64,
    },
}

/// How an item of some role is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Style {
    /// Pen of the outline; none for areas without one and for text.
    pub pen: Option<Pen>,
    /// Colour of outline, or of text.
    pub colour: Colour,
    /// Lengths on and off \[mm\]; empty for a continuous line.
    pub dash_mm: &'static [f64],
    /// How the inside of a closed shape is filled.
    pub fill: Option<Fill>,
}

/// What an item is for; decides how it looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Role {
    /// Frame of a chart or sheet.
    Frame,
    /// Axis line and ticks.
    Axis,
    /// Grid that carries labels.
    Grid,
    /// Grid between labels.
    GridMinor,
    /// Zero line of a chart.
    Zero,
    /// Hours with lights off.
    Night,
    /// Field in which the air shall be.
    Target,
    /// Edge of a target or limit.
    Limit,
    /// Edge of a target or limit with lights off.
    LimitNight,
    /// Where a target is missed.
    Missed,
    /// 10 % to 90 % of draws.
    Spread,
    /// Saturated air.
    Saturation,
    /// Line of equal relative humidity.
    RelHumidity,
    /// Line of equal wet bulb.
    WetBulb,
    /// Path or curve with lights on.
    LightsOn,
    /// Path or curve with lights off.
    LightsOff,
    /// Process in a coil or unit.
    Process,
    /// Data line by its place in the legend, from 0.
    Series(u8),
    /// Area of a part of a sum by its place from the bottom, from 0.
    Layer(u8),
    /// Area of a part that is taken out, by its place from zero, from 0.
    Taken(u8),
    /// Line of the sum.
    Total,
    /// Bar of the first kind (rated capacity).
    BarRated,
    /// Bar of the second kind (with lights on).
    BarDay,
    /// Bar of the third kind (with lights off).
    BarNight,
    /// Time in which a machine runs.
    Running,
    /// Time in which a machine waits or defrosts.
    Waiting,
    /// Need with lights on that a capacity is held against.
    NeedDay,
    /// Need with lights off that a capacity is held against.
    NeedNight,
    /// Leader from a label to its point.
    Leader,
    /// Visible edge of a room or part.
    Outline,
    /// Machine.
    Equipment,
    /// Cut face.
    Cut,
    /// Hidden edge.
    Hidden,
    /// Centre line.
    Centre,
    /// Space kept free.
    Clearance,
    /// Dimension and its extension lines.
    Dimension,
    /// Drain run.
    Drain,
    /// Dark module of a code that machines read.
    Code,
    /// Text in black.
    Text,
    /// Text of second rank.
    TextQuiet,
    /// Text that is read first.
    TextStrong,
}

const SOLID: &[f64] = &[];

const fn line(pen: Pen, colour: Colour, dash_mm: &'static [f64]) -> Style {
    Style {
        pen: Some(pen),
        colour,
        dash_mm,
        fill: None,
    }
}

const fn area(colour: Colour) -> Style {
    Style {
        pen: None,
        colour: Colour::BLACK,
        dash_mm: SOLID,
        fill: Some(Fill::Solid(colour)),
    }
}

const fn bordered(pen: Pen, edge: Colour, fill: Fill) -> Style {
    Style {
        pen: Some(pen),
        colour: edge,
        dash_mm: SOLID,
        fill: Some(fill),
    }
}

const fn letters(colour: Colour) -> Style {
    Style {
        pen: None,
        colour,
        dash_mm: SOLID,
        fill: None,
    }
}

impl Role {
    /// How this role is drawn.
    pub const fn style(self) -> Style {
        use Colour as C;
        match self {
            Self::Frame | Self::Outline => line(Pen::WIDE, C::BLACK, SOLID),
            Self::Axis | Self::Dimension => line(Pen::THIN, C::BLACK, SOLID),
            Self::Leader => line(Pen::THIN, C::QUIET, SOLID),
            Self::Grid => line(Pen::THIN, C::GRID, SOLID),
            Self::GridMinor => line(Pen::FINE, C("E3E3E3"), SOLID),
            Self::Zero => line(Pen::MEDIUM, C::BLACK, SOLID),
            Self::Night => area(C::NIGHT),
            Self::Target => area(C::PALE_BLUE),
            Self::Limit => line(Pen::WIDE, C::BLUE, SOLID),
            Self::LimitNight => line(Pen::WIDE, C::BLUE, &[2.0, 0.8]),
            Self::Missed => bordered(
                Pen::THIN,
                C::BLACK,
                Fill::Hatch {
                    angle_deg: 45.0,
                    spacing_mm: 0.9,
                },
            ),
            Self::Spread => area(C::MID_BLUE),
            Self::Saturation => line(Pen::HEAVY, C::BLACK, SOLID),
            Self::RelHumidity => line(Pen::THIN, C("8C8C8C"), SOLID),
            Self::WetBulb => line(Pen::THIN, C("8C8C8C"), &[1.6, 0.8]),
            Self::LightsOn => bordered(Pen::HEAVY, C::VERMILION, Fill::Solid(C::VERMILION)),
            Self::LightsOff => Style {
                pen: Some(Pen::HEAVY),
                colour: C::BLACK,
                dash_mm: &[2.0, 0.9],
                fill: Some(Fill::Solid(C::WHITE)),
            },
            Self::Process => bordered(Pen::WIDE, C::BLUE, Fill::Solid(C::BLUE)),
            Self::Series(0) => line(Pen::HEAVY, C::BLACK, SOLID),
            Self::Series(1) => line(Pen::HEAVY, C::BLUE, &[3.0, 1.0]),
            Self::Series(2) => line(Pen::HEAVY, C::VERMILION, &[1.0, 1.0]),
            Self::Series(_) => line(Pen::HEAVY, C::PURPLE, &[4.0, 1.0, 1.0, 1.0]),
            // Pale, middle, dark in turn, so that neighbours differ in grey;
            // the hatch in between needs no grey at all.
            Self::Layer(0) => bordered(Pen::THIN, C::BLACK, Fill::Solid(C("5D7F99"))),
            Self::Layer(1) => bordered(Pen::THIN, C::BLACK, Fill::Solid(C("E6EEF4"))),
            Self::Layer(2) => bordered(Pen::THIN, C::BLACK, Fill::Solid(C("A9C3D6"))),
            Self::Layer(3) => bordered(
                Pen::THIN,
                C::BLACK,
                Fill::Hatch {
                    angle_deg: 45.0,
                    spacing_mm: 1.2,
                },
            ),
            Self::Layer(_) => bordered(Pen::THIN, C::BLACK, Fill::Solid(C("C8C8C8"))),
            Self::Taken(0) => bordered(Pen::THIN, C::BLACK, Fill::Solid(C("F2F2F2"))),
            Self::Taken(n) => bordered(
                Pen::THIN,
                C::BLACK,
                Fill::Hatch {
                    angle_deg: if n % 2 == 1 { 135.0 } else { 90.0 },
                    spacing_mm: 1.8,
                },
            ),
            Self::Total => line(Pen::EXTRA, C::BLACK, SOLID),
            Self::BarRated => bordered(Pen::MEDIUM, C::BLACK, Fill::Solid(C::WHITE)),
            Self::BarDay => bordered(Pen::MEDIUM, C::BLACK, Fill::Solid(C("E9B48C"))),
            Self::BarNight => bordered(Pen::MEDIUM, C::BLACK, Fill::Solid(C("4A4A4A"))),
            Self::Running => bordered(Pen::THIN, C::BLACK, Fill::Solid(C("4A4A4A"))),
            Self::Waiting => bordered(Pen::MEDIUM, C::BLACK, Fill::Solid(C::WHITE)),
            Self::NeedDay => line(Pen::HEAVY, C::BLUE, SOLID),
            Self::NeedNight => line(Pen::HEAVY, C::BLUE, &[3.0, 1.0]),
            Self::Equipment => bordered(Pen::HEAVY, C::BLACK, Fill::Solid(C::WHITE)),
            Self::Cut => bordered(
                Pen::HEAVY,
                C::BLACK,
                Fill::Hatch {
                    angle_deg: 45.0,
                    spacing_mm: 1.2,
                },
            ),
            Self::Hidden => line(Pen::MEDIUM, C::BLACK, &[3.0, 0.75]),
            Self::Centre => line(Pen::THIN, C::BLACK, &[4.3, 0.54, 0.5, 0.54]),
            Self::Clearance => line(Pen::MEDIUM, C::BLACK, &[6.0, 0.75, 0.5, 0.75, 0.5, 0.75]),
            Self::Drain => line(Pen::EXTRA, C::BLACK, SOLID),
            Self::Code => area(C::BLACK),
            Self::Text | Self::TextStrong => letters(C::BLACK),
            Self::TextQuiet => letters(C::QUIET),
        }
    }

    /// Name of the role in the files that are written.
    pub fn name(self) -> String {
        match self {
            Self::Series(n) => format!("series-{n}"),
            Self::Layer(n) => format!("layer-{n}"),
            Self::Taken(n) => format!("taken-{n}"),
            other => {
                let mut out = String::new();
                for c in format!("{other:?}").chars() {
                    if c.is_uppercase() && !out.is_empty() {
                        out.push('-');
                    }
                    out.extend(c.to_lowercase());
                }
                out
            }
        }
    }
}

/// Height of letters on paper, measured on capitals and figures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Letters {
    /// 1.8 mm: ticks of axes and small print only.
    Small,
    /// 2.5 mm: notes and dimensions.
    Note,
    /// 3.5 mm: titles of views.
    ViewTitle,
    /// 5 mm: title of a sheet.
    SheetTitle,
    /// 7 mm: read from a metre away.
    Label,
}

impl Letters {
    /// Height of capitals \[mm\].
    pub const fn cap_mm(self) -> f64 {
        match self {
            Self::Small => 1.8,
            Self::Note => 2.5,
            Self::ViewTitle => 3.5,
            Self::SheetTitle => 5.0,
            Self::Label => 7.0,
        }
    }
}

/// Length of an arrowhead \[mm\]; it is a third as wide.
pub const ARROW_MM: f64 = 3.0;
/// Width of a mark at a data point \[mm\].
pub const MARK_MM: f64 = 1.7;

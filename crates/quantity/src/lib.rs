//! How people write numbers, and what the program says about them.
//!
//! Text becomes SI here ([`read`], [`read_band`]) and SI becomes text here
//! ([`Value::show`]); nowhere else in the project. Beside that live the small
//! records in which results travel: [`Value`], [`Band`], [`Text`], [`Source`],
//! [`Working`], [`Finding`], [`Place`], [`Given`].
//!
//! No physics lives here.

mod definitions;
mod dim;
mod face;
mod finding;
mod given;
mod number;
mod on_site;
mod print;
mod read;
mod read_error;
mod spellings;
mod text;
mod typography;
mod unit_text;
mod units;
mod value;
mod working;

pub use definitions::{STANDARD_GRAVITY_M_PER_S2, WATER_KG_PER_L};

pub use dim::{Dim, UnitSystem};
pub use finding::{Finding, Severity, Step};
pub use given::{Given, Line, Origin};
pub use on_site::names_unit;
pub use read::{read, read_band};
pub use read_error::{ReadError, Why};
pub use text::{Part, Place, Text, counted};
pub use value::{Band, Value};
pub use working::{Equation, Input, Source, SourceKind, Working};

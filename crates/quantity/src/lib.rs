//! How people write numbers, and what the program says about them.
//!
//! Text becomes SI here ([`read`], [`read_range`]) and SI becomes text here
//! ([`Value::show`]); nowhere else in the project. Beside that live the small
//! records in which results travel: [`Value`], [`Band`], [`Text`], [`Source`],
//! [`Working`], [`Finding`], [`Place`], [`Given`].
//!
//! No physics lives here.

mod dim;
mod finding;
mod given;
mod text;
mod value;
mod working;

pub use dim::{Dim, UnitSystem};
pub use finding::{Finding, Severity, Step};
pub use given::{Given, Line, Origin};
pub use text::{Part, Place, Text};
pub use value::{Band, Value};
pub use working::{Equation, Input, Source, SourceKind, Working};

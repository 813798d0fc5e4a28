//! Reads what loggers write: tables of times and readings, however they are
//! laid out.
//!
//! [`read`] takes any table with a column of times into a [`Sink`], in memory
//! that does not grow with the file, and says in [`Taken`] what it took each
//! column for. What a file leaves open is asked for by a [`Refusal`], as an
//! [`Ask`]; nothing is guessed silently. [`Grid`] is the sink that
//! keeps means over even steps of time.
//!
//! ```
//! use readings::{Grid, Measure, Options, read};
//!
//! let log = "Time;Temp (°C);RH (%)\n2025-03-01 07:00;23,5;60,1\n2025-03-01 07:05;23,7;59,8\n";
//! let mut grid = Grid::new(60, 1 << 20);
//! let taken = read(&mut std::io::Cursor::new(log), &Options::default(), &mut grid, &mut |_| true)?;
//! assert_eq!(taken.channels[0].measure, Measure::DryBulb);
//! assert_eq!(taken.rows, 2);
//! # Ok::<(), readings::Refusal>(())
//! ```

mod begun;
mod block;
mod checks;
mod clock;
mod day;
mod elapsed;
mod grid;
mod heads;
mod layout;
mod measure;
mod names;
mod number;
mod options;
mod order;
mod plan;
mod read;
mod recent;
mod refusal;
mod rows;
#[cfg(test)]
mod same;
mod sheet;
mod source;
mod stamp;
mod steps;
mod taking;
mod times;
mod water;
mod word;

pub use clock::{ClockChange, WallClock, Zone};
pub use day::date;
pub use elapsed::{Begin, Elapsed};
pub use grid::{Grid, GridChannel};
pub use layout::{Column, Count, Layout, TimeAt};
pub use measure::{Measure, Role, Scale};
pub use number::Marks;
pub use options::{ColumnChoice, Options};
pub use order::DateOrder;
pub use read::{Channel, Sink, Taken, read};
pub use refusal::{Ask, Refusal, Told};
pub use rows::{BadCell, Missing, Reason, Rejected};

//! Step: from what is seen to the cause, by the test that tells most per
//! minute.
//!
//! [`Knowledge`] is data: causes, symptoms, tests and how likely each is under
//! each cause, all common practice. [`rank`] weighs the causes by what is known;
//! [`next`] says what to ask or measure next, of what what is known leaves open; [`readings`] turn what was
//! measured into answers by the machine's own record, [`log`] what a log of the
//! room shows.

mod implied;
mod knowledge;
pub mod log;
mod next;
mod rank;
pub mod readings;
mod said;
mod taken;

pub use knowledge::{
    BadKnowledge, Cause, Danger, Knowledge, Symptom, Test, Trait, UnitState, traits,
};
pub use next::{Next, Question, next};
pub use rank::{BadCase, FOUND_AT, Known, Ranked, Ranking, Speaks, rank};
pub use said::{findings, for_and_against};
pub use taken::{Against, ENTRIES, Entry, Taken};

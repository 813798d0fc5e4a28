//! Chores of the project, one command each.
fn main() {}

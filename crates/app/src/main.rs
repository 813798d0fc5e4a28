//! The command line of Drywright.
fn main() {}

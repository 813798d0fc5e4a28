//! How the numbers of this crate came about.

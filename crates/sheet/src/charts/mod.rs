//! Charts: pure functions from plain data to a [`crate::Drawing`].

//! PDF, by way of typst.

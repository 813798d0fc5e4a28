//! Bounded random input.

/// To come.
pub fn run() -> anyhow::Result<()> {
    anyhow::bail!("to come")
}

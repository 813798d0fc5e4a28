//! Friction of a full pipe or duct in turbulent flow.

/// Friction factor (Darcy) by Colebrook.
///
/// ```text
/// 1/√f = −2 log10(ε / 3.7 D + 2.51 / (Re √f))
/// ```
///
/// - `reynolds`: Re, above zero
/// - `relative_roughness`: ε / D
///
/// **Valid** Re above 4000; nearer to laminar flow it only continues the curve.
/// **Source** Colebrook 1939, solved by iteration to 1e-12.
/// **Checked** `tests/drain.rs`, `tests/placement.rs`, against fluids 1.3.1.
pub(crate) fn colebrook(reynolds: f64, relative_roughness: f64) -> f64 {
    const CLOSE: f64 = 1e-12;
    let mut root: f64 = 7.0;
    for _ in 0..60 {
        let next = -2.0 * (relative_roughness / 3.7 + 2.51 * root / reynolds).log10();
        let settled = (next - root).abs() < CLOSE;
        root = next;
        if settled {
            break;
        }
    }
    1.0 / (root * root)
}

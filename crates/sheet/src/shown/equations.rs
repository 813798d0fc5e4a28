//! Equations set in letters: symbols, what stands below and above.

use super::{Piece, Set};

/// An equation in plain ASCII, typeset: symbols italic with what follows the
/// first `_` lowered and Greek letters that are spelled out, numbers after `^` raised, a raised dot for `*`, a true
/// minus for `-`. Nothing else is changed, so that it stays what was computed.
pub(super) fn typeset(text: &str) -> Vec<Piece> {
    let mut out: Vec<Piece> = Vec::new();
    let mut push = |text: &str, set: Set| {
        if text.is_empty() {
            return;
        }
        match out.last_mut() {
            Some(last) if last.set == set && set == Set::Plain => last.text.push_str(text),
            _ => out.push(Piece {
                text: text.to_owned(),
                set,
            }),
        }
    };
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let take = |ok: fn(char) -> bool| rest.find(|c| !ok(c)).unwrap_or(rest.len());
        if c.is_ascii_alphabetic() {
            let n = take(|c| c.is_ascii_alphanumeric() || c == '_');
            let name = &rest[..n];
            if matches!(name, "exp" | "ln" | "sqrt" | "min" | "max") {
                push(name, Set::Plain);
            } else {
                let (base, sub) = name.split_once('_').unwrap_or((name, ""));
                push(greek(base).unwrap_or(base), Set::Symbol);
                push(&sub.replace('_', " "), Set::Sub);
            }
            rest = &rest[n..];
        } else if c.is_ascii_digit() || c == '.' {
            let mut n = take(|c| c.is_ascii_digit() || c == '.');
            // An exponent belongs to the number.
            let tail = &rest[n..];
            let exponent = tail.strip_prefix(['e', 'E']).map(|t| {
                let digits = t.trim_start_matches(['+', '-']);
                (t.len() - digits.len(), digits)
            });
            if let Some((sign, digits)) = exponent {
                let k = digits
                    .find(|c: char| !c.is_ascii_digit())
                    .unwrap_or(digits.len());
                if k > 0 {
                    n += 1 + sign + k;
                }
            }
            push(&rest[..n].replace('-', "−"), Set::Plain);
            rest = &rest[n..];
        } else if c == '^' {
            let after = &rest[1..];
            let n = after
                .find(|c: char| !(c.is_ascii_digit() || c == '.'))
                .unwrap_or(after.len());
            if n > 0 {
                push(&after[..n], Set::Sup);
            } else {
                push("^", Set::Plain);
            }
            rest = &after[n..];
        } else {
            match c {
                '*' => push("·", Set::Plain),
                '-' => push("−", Set::Plain),
                c => push(c.encode_utf8(&mut [0; 4]), Set::Plain),
            }
            rest = &rest[c.len_utf8()..];
        }
    }
    out
}

/// The Greek letter that a name in ASCII stands for.
fn greek(name: &str) -> Option<&'static str> {
    Some(match name {
        "alpha" => "α",
        "beta" => "β",
        "gamma" => "γ",
        "delta" => "δ",
        "Delta" => "Δ",
        "epsilon" => "ε",
        "eta" => "η",
        "theta" => "θ",
        "lambda" => "λ",
        "mu" => "µ",
        "nu" => "ν",
        "rho" => "ρ",
        "sigma" => "σ",
        "tau" => "τ",
        "phi" => "φ",
        "psi" => "ψ",
        "omega" => "ω",
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(pieces: &[Piece]) -> String {
        pieces
            .iter()
            .map(|p| match p.set {
                Set::Plain => p.text.clone(),
                Set::Symbol => format!("<{}>", p.text),
                Set::Sub => format!("_{{{}}}", p.text),
                Set::Sup => format!("^{{{}}}", p.text),
            })
            .collect()
    }

    #[test]
    fn equations_are_set_without_changing_them() {
        assert_eq!(
            flat(&typeset("m_da * (W_in - W_out)")),
            "<m>_{da} · (<W>_{in} − <W>_{out})"
        );
        assert_eq!(
            flat(&typeset("0.5*exp(-1.2e-3 * t) + x^2 / y^n")),
            "0.5·exp(−1.2e−3 · <t>) + <x>^{2} / <y>^<n>"
        );
        assert_eq!(flat(&typeset("")), "");
        assert_eq!(flat(&typeset("µ ≤ \"x\"")), "µ ≤ \"<x>\"");
    }
}

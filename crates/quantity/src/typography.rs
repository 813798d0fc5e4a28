//! Brings the many ways to set a number on paper to one plain way.

/// `text` with its spaces, minus signs, marks, powers and fractions made plain.
pub(crate) fn plain(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        let after_digit = out.ends_with(|c: char| c.is_ascii_digit());
        match c {
            c if c.is_whitespace() => out.push(' '),
            // invisible joiners and the byte-order mark
            '\u{200B}' | '\u{2060}' | '\u{FEFF}' => {}
            '\u{2212}' | '\u{2013}' | '\u{2010}' | '\u{2011}' => out.push('-'),
            '·' | '⋅' | '∙' | '•' | '×' | '*' => out.push(' '),
            '⁄' | '∕' => out.push('/'),
            '\u{03BC}' => out.push('µ'),
            'º' | '˚' => out.push('°'),
            '℃' => out.push_str("°C"),
            '℉' => out.push_str("°F"),
            '’' | '‘' | '′' => out.push('\''),
            '”' | '“' | '″' => out.push('"'),
            '\'' if out.ends_with('\'') => {
                out.pop();
                out.push('"');
            }
            // A power only after a name: 10³ must not become 103.
            '²' if !after_digit => out.push('2'),
            '³' if !after_digit => out.push('3'),
            '¹' if !after_digit => out.push('1'),
            '⁻' if !after_digit => out.push('-'),
            c => match vulgar(c) {
                Some(fraction) => {
                    if after_digit {
                        out.push(' ');
                    }
                    out.push_str(fraction);
                }
                None => out.push(c),
            },
        }
    }
    out
}

fn vulgar(c: char) -> Option<&'static str> {
    Some(match c {
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '⅛' => "1/8",
        '⅜' => "3/8",
        '⅝' => "5/8",
        '⅞' => "7/8",
        '⅓' => "1/3",
        '⅔' => "2/3",
        _ => return None,
    })
}

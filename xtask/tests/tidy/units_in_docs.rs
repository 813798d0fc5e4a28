//! A public function of an equation crate that gives a number says its unit.

use syn::{Expr, FnArg, ImplItem, Item, Lit, Meta, Pat, ReturnType, Signature, Type, Visibility};

use crate::sources_of;

/// Crates of equations.
const CRATES: [&str; 4] = ["air", "crop", "equipment", "roomsim"];

/// Pieces of a unit as names spell them, and as print does.
const UNITS: [(&str, &str); 23] = [
    ("c", "°C"),
    ("k", "K"),
    ("pa", "Pa"),
    ("kpa", "kPa"),
    ("w", "W"),
    ("kw", "kW"),
    ("j", "J"),
    ("mj", "MJ"),
    ("m", "m"),
    ("mm", "mm"),
    ("m2", "m2"),
    ("m3", "m3"),
    ("s", "s"),
    ("h", "h"),
    ("day", "d"),
    ("kg", "kg"),
    ("g", "g"),
    ("umol", "µmol"),
    ("mol", "mol"),
    ("ppm", "ppm"),
    ("l", "L"),
    ("kwh", "kWh"),
    ("rad", "rad"),
];

/// What may stand behind a unit: of what it is.
const OF_WHAT: [&str; 3] = [" dry air", " water", " per period"];

/// Words that say that a number has no unit.
const BARE: [&str; 5] = ["share", "factor", "ratio", "fraction", "relative"];

/// The unit at the end of a name: `net_mj_per_m2_day` is in MJ over m2 and day.
fn unit_of_name(name: &str) -> Option<String> {
    let mut above = Vec::new();
    let mut below = Vec::new();
    for piece in name.rsplit('_') {
        if piece == "per" {
            below = std::mem::take(&mut above);
        } else if let Some((_, shown)) = UNITS.iter().find(|(spelled, _)| *spelled == piece) {
            above.push(*shown);
        } else {
            break;
        }
    }
    if above.is_empty() {
        return None;
    }
    Some(one_way(above, below))
}

fn one_way(mut above: Vec<&str>, mut below: Vec<&str>) -> String {
    above.sort_unstable();
    below.sort_unstable();
    format!("{}/{}", above.join(" "), below.join(" "))
}

/// The units in brackets in a docstring, written one way: `[kg/(m² s)]`.
fn units_in_docs(docs: &str) -> Vec<String> {
    let plain = docs.replace("\\[", "[").replace("\\]", "]");
    let mut plain = plain.replace('²', "2").replace('³', "3");
    for words in OF_WHAT {
        plain = plain.replace(words, "");
    }
    plain
        .split('[')
        .skip(1)
        .filter_map(|rest| rest.split(']').next())
        .filter(|inside| !inside.starts_with('`'))
        .map(|inside| {
            let (above, below) = inside.split_once('/').unwrap_or((inside, ""));
            let pieces = |text: &'_ str| -> Vec<String> {
                text.split([' ', '·', '(', ')', '/'])
                    .filter(|p| !p.is_empty())
                    .map(str::to_owned)
                    .collect()
            };
            let (above, below) = (pieces(above), pieces(below));
            one_way(
                above.iter().map(String::as_str).collect(),
                below.iter().map(String::as_str).collect(),
            )
        })
        .collect()
}

fn docs(attributes: &[syn::Attribute]) -> String {
    let mut lines = String::new();
    for attribute in attributes.iter().filter(|a| a.path().is_ident("doc")) {
        if let Meta::NameValue(pair) = &attribute.meta
            && let Expr::Lit(literal) = &pair.value
            && let Lit::Str(line) = &literal.lit
        {
            lines += &line.value();
            lines.push('\n');
        }
    }
    lines
}

/// Whether a number, or numbers, come back as such.
fn gives_numbers(output: &ReturnType) -> bool {
    fn numbers(of: &Type) -> bool {
        match of {
            Type::Path(path) => path.path.segments.last().is_some_and(|last| {
                last.ident == "f64"
                    || match &last.arguments {
                        syn::PathArguments::AngleBracketed(inside) => {
                            matches!(inside.args.first(), Some(syn::GenericArgument::Type(t)) if numbers(t))
                        }
                        _ => false,
                    }
            }),
            Type::Tuple(tuple) => tuple.elems.iter().any(numbers),
            Type::Reference(reference) => numbers(&reference.elem),
            Type::Slice(slice) => numbers(&slice.elem),
            Type::Array(array) => numbers(&array.elem),
            _ => false,
        }
    }
    matches!(output, ReturnType::Type(_, of) if numbers(of))
}

fn fault(
    visibility: &Visibility,
    attributes: &[syn::Attribute],
    sig: &Signature,
) -> Option<String> {
    if !matches!(visibility, Visibility::Public(_)) || !gives_numbers(&sig.output) {
        return None;
    }
    let docs = docs(attributes);
    let said = units_in_docs(&docs);
    let name = sig.ident.to_string();
    if let Some(unit) = unit_of_name(&name) {
        return (!said.contains(&unit)).then(|| format!("{name}: {unit} is not said"));
    }
    let argument_has_unit = sig.inputs.iter().any(|argument| match argument {
        FnArg::Typed(typed) => match &*typed.pat {
            Pat::Ident(pat) => unit_of_name(&pat.ident.to_string()).is_some(),
            _ => false,
        },
        FnArg::Receiver(_) => false,
    });
    let first_line = docs.lines().next().unwrap_or_default().to_lowercase();
    let bare = first_line
        .split(|c: char| !c.is_alphabetic())
        .chain(name.split('_'))
        .any(|word| BARE.contains(&word));
    (argument_has_unit && said.is_empty() && !bare).then(|| format!("{name}: no unit is said"))
}

/// Public functions that give a number without saying its unit.
fn faults(text: &str) -> Vec<String> {
    let file = syn::parse_file(text).unwrap();
    let mut found = Vec::new();
    for item in &file.items {
        match item {
            Item::Fn(f) => found.extend(fault(&f.vis, &f.attrs, &f.sig)),
            Item::Impl(block) if block.trait_.is_none() => {
                for inside in &block.items {
                    if let ImplItem::Fn(f) = inside {
                        found.extend(fault(&f.vis, &f.attrs, &f.sig));
                    }
                }
            }
            _ => {}
        }
    }
    found
}

#[test]
fn units_are_taken_from_names_and_from_docs() {
    let of = |name| unit_of_name(name).unwrap();
    assert_eq!(of("dew_point_c"), "°C/");
    assert_eq!(of("net_mj_per_m2_day"), "MJ/d m2");
    assert_eq!(of("u_w_per_m2_k"), "W/K m2");
    assert_eq!(unit_of_name("rel_humidity"), None);
    assert_eq!(
        units_in_docs(
            "Flow \\[kg/(m² s)\\] of [`Air`], at most \\[MJ/(m²·d)\\] of \\[J/kg dry air\\], \\[mm per period\\]"
        ),
        ["kg/m2 s", "MJ/d m2", "J/kg", "mm/"]
    );
}

#[test]
fn a_function_without_its_unit_is_found() {
    let one = |docs: &str, rest: &str| faults(&format!("/// {docs}\n{rest} {{ 0.0 }}"));
    let name = "pub fn speed_m_per_s() -> f64";
    assert_eq!(one("Speed \\[m/s\\].", name), [""; 0]);
    assert_eq!(
        one("Speed \\[km/h\\].", name),
        ["speed_m_per_s: m/s is not said"]
    );
    assert_eq!(one("Speed.", name), ["speed_m_per_s: m/s is not said"]);
    let argument = "pub fn evaporation(air_c: f64) -> Option<f64>";
    assert_eq!(
        one("Evaporation.", argument),
        ["evaporation: no unit is said"]
    );
    assert_eq!(one("Evaporation \\[kg/s\\].", argument), [""; 0]);
    assert_eq!(one("Share that evaporates.", argument), [""; 0]);
    let method = "impl A { /// Width.\n pub fn width_m(&self) -> f64 { 1.0 } }";
    assert_eq!(faults(method), ["width_m: m/ is not said"]);
    assert_eq!(one("Nobody sees it.", "fn width_m() -> f64"), [""; 0]);
    assert_eq!(one("No number.", "pub fn width_m() -> Width"), [""; 0]);
}

#[test]
fn public_functions_say_the_unit_of_what_they_give() {
    let mut found = Vec::new();
    for name in CRATES {
        for (file, text) in sources_of(name) {
            found.extend(faults(&text).into_iter().map(|f| format!("{file}: {f}")));
        }
    }
    assert_eq!(found, [""; 0]);
}

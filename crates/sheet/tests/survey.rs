//! The blank form asks for every field of the files, once.

use quantity::UnitSystem;
use sheet::report::{Block, Cell};
use sheet::sheets::survey::form;

#[test]
fn every_field_is_asked_for_once() {
    let report = form(&room::SITE_FORMAT, &room::ROOM_FORMAT, UnitSystem::Us);
    let tables: Vec<_> = report
        .blocks
        .iter()
        .filter_map(|b| match b {
            Block::Table(t) => Some(t),
            _ => None,
        })
        .collect();
    let asked: usize = tables.iter().map(|t| t.rows.len()).sum();
    let room_only = room::ROOM_FORMAT
        .sections
        .iter()
        .filter(|s| room::SITE_FORMAT.section(s.key).is_none());
    let fields: usize = room::SITE_FORMAT
        .sections
        .iter()
        .chain(room_only)
        .map(|s| s.fields.len())
        .sum();
    assert_eq!(asked, fields);
    // Units of the reader, and room to write on.
    let all: Vec<String> = tables
        .iter()
        .flat_map(|t| t.rows.iter().flatten())
        .filter_map(|c| match c {
            Cell::Text(t) => Some(t.show(UnitSystem::Us)),
            _ => None,
        })
        .collect();
    for unit in ["ft", "°F", "cfm", "pt/d"] {
        assert!(
            all.iter()
                .any(|t| t == unit || t.starts_with(&format!("{unit},"))),
            "{unit}"
        );
    }
    assert!(!all.iter().any(|t| t == "°C" || t == "m³/h"));
}

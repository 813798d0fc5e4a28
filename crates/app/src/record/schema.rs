//! The tables of a record, from the first schema on, and how a file of an older
//! one is brought up to date.

use rusqlite::{Connection, TransactionBehavior, params};

/// What turns each version of the tables into the next, from nothing on. Only
/// ever added to.
pub(super) const MIGRATIONS: &[&str] = &["
    CREATE TABLE record_version (
        version BIGINT NOT NULL
    );
    INSERT INTO record_version (version) VALUES (0);
    CREATE TABLE event (
        place BIGINT NOT NULL,
        device VARCHAR(64) NOT NULL,
        seq BIGINT NOT NULL,
        hash VARCHAR(64) NOT NULL,
        text TEXT NOT NULL,
        PRIMARY KEY (place)
    );
    CREATE INDEX event_by_device ON event (device, seq);
    CREATE TABLE request (
        name VARCHAR(128) NOT NULL,
        body VARCHAR(64) NOT NULL,
        hash VARCHAR(64) NOT NULL,
        at_ms BIGINT NOT NULL,
        PRIMARY KEY (name)
    );
"];

/// The newest version of the tables that is known here.
pub(super) const VERSION: i64 = MIGRATIONS.len() as i64;

/// Version of the tables of a file, by what it says itself; an error where it
/// does not say.
pub(super) fn version(connection: &Connection) -> Result<i64, rusqlite::Error> {
    let newest = "SELECT max(version) FROM record_version";
    let version = connection.query_row(newest, [], |row| row.get::<_, Option<i64>>(0))?;
    Ok(version.unwrap_or(0))
}

/// Brings the tables up to the last of these steps, all of those that are
/// missing or none. A file that has them all is not written to.
pub(super) fn bring_up(connection: &mut Connection, steps: &[&str]) -> Result<(), rusqlite::Error> {
    let newest = i64::try_from(steps.len()).unwrap_or(i64::MAX);
    if version(connection).is_ok_and(|version| newest <= version) {
        return Ok(());
    }
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Another program may have done it while this one waited. A file that does
    // not say its version has no tables yet: whoever opened it has looked.
    let done = usize::try_from(version(&transaction).unwrap_or(0)).unwrap_or(0);
    for step in steps.iter().skip(done) {
        transaction.execute_batch(step)?;
    }
    transaction.execute("UPDATE record_version SET version = ?1", params![newest])?;
    transaction.commit()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "a test fails by panicking")]
mod tests {
    use super::*;

    /// The steps as they are, and one that may come.
    fn and_one(more: &'static str) -> Vec<&'static str> {
        MIGRATIONS.iter().copied().chain([more]).collect()
    }

    fn tables(connection: &Connection) -> Vec<String> {
        let list = "SELECT sql FROM sqlite_master WHERE sql IS NOT NULL ORDER BY name";
        let mut all = connection.prepare(list).unwrap();
        let rows = all.query_map([], |row| row.get(0)).unwrap();
        rows.map(Result::unwrap).collect()
    }

    const ROW: &str = "INSERT INTO event (place, device, seq, hash, text)
        VALUES (1, 'a', 1, 'h', 'what happened')";

    #[test]
    fn the_missing_steps_are_taken_once_and_rows_stay() {
        let mut file = Connection::open_in_memory().unwrap();
        bring_up(&mut file, MIGRATIONS).unwrap();
        assert_eq!(version(&file).unwrap(), VERSION);
        file.execute_batch(ROW).unwrap();
        let steps = and_one("ALTER TABLE event ADD COLUMN more TEXT NOT NULL DEFAULT 'none';");
        for _ in 0..2 {
            bring_up(&mut file, &steps).unwrap();
            assert_eq!(version(&file).unwrap(), VERSION + 1);
        }
        let found: (String, String) = file
            .query_row("SELECT text, more FROM event", [], |row| {
                Ok((row.get(0)?, row.get(1)?))
            })
            .unwrap();
        assert_eq!(found, ("what happened".into(), "none".into()));
    }

    #[test]
    fn a_step_that_fails_leaves_all_as_it_was() {
        let mut file = Connection::open_in_memory().unwrap();
        bring_up(&mut file, MIGRATIONS).unwrap();
        file.execute_batch(ROW).unwrap();
        let before = tables(&file);
        let steps = and_one("CREATE TABLE half (x BIGINT); INSERT INTO nowhere VALUES (1);");
        assert!(bring_up(&mut file, &steps).is_err());
        assert_eq!(tables(&file), before);
        assert_eq!(version(&file).unwrap(), VERSION);
        let rows: i64 = file
            .query_row("SELECT count(*) FROM event", [], |row| row.get(0))
            .unwrap();
        assert_eq!(rows, 1);
    }

    #[test]
    fn step_by_step_and_all_at_once_come_to_the_same_tables() {
        let steps = and_one("CREATE TABLE later (x BIGINT);");
        let mut at_once = Connection::open_in_memory().unwrap();
        bring_up(&mut at_once, &steps).unwrap();
        let mut one_by_one = Connection::open_in_memory().unwrap();
        for n in 1..=steps.len() {
            bring_up(&mut one_by_one, &steps[..n]).unwrap();
        }
        assert_eq!(tables(&at_once), tables(&one_by_one));
    }
}

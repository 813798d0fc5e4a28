//! What stands before the page number of each kind of paper of a job: a sheet
//! is known by its number alone when it lies loose on a table.

/// Dossier of a room.
pub const DOSSIER: &str = "D";
/// Blank survey.
pub const SURVEY: &str = "S";
/// What rooms share.
pub const SHARED: &str = "SH";
/// Hand-over of a start-up.
pub const HAND_OVER: &str = "HO";
/// Card for the wall.
pub const CARD: &str = "MC";
/// Labels of units.
pub const LABELS: &str = "UL";
/// Proof from logs.
pub const PROOF: &str = "PR";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_two_papers_of_a_job_have_the_same_numbers() {
        let mut all = [DOSSIER, SURVEY, SHARED, HAND_OVER, CARD, LABELS, PROOF];
        all.sort_unstable();
        assert!(all.windows(2).all(|pair| pair[0] != pair[1]), "{all:?}");
    }
}

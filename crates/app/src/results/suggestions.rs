//! Places that a search found, as JSON.

use job::placement::Suggestions;
use quantity::UnitSystem;
use schemars::JsonSchema;
use serde::Serialize;

use super::day::{PlacedResult, placed};
use super::{FindingResult, findings};

/// The best few sets of places.
#[derive(Serialize, JsonSchema)]
pub(crate) struct SuggestionsResult {
    schema: &'static str,
    room: String,
    seed: u64,
    /// Best first; empty where no places without a Stop finding were found.
    suggestions: Vec<SuggestionResult>,
    /// Why there are none.
    none_because: Vec<FindingResult>,
}

#[derive(Serialize, JsonSchema)]
struct SuggestionResult {
    units: Vec<PlacedResult>,
    fixes: usize,
    short_circuit_sum: f64,
    fastest_on_canopy_m_per_s: f64,
    least_margin_m: f64,
    mean_way_to_drain_m: f64,
    mean_way_to_panel_m: f64,
    trades: String,
}

impl SuggestionsResult {
    pub(crate) fn new(room: &str, seed: u64, found: &Suggestions) -> Self {
        Self {
            schema: "drywright/suggestions/1",
            room: room.to_owned(),
            seed,
            suggestions: found
                .best
                .iter()
                .map(|s| SuggestionResult {
                    units: placed(&s.units),
                    fixes: s.score.fixes,
                    short_circuit_sum: s.score.short_circuit,
                    fastest_on_canopy_m_per_s: s.score.canopy_m_per_s,
                    least_margin_m: s.score.least_margin_m,
                    mean_way_to_drain_m: s.score.drain_m,
                    mean_way_to_panel_m: s.score.panel_m,
                    trades: s.trades.show(UnitSystem::Metric),
                })
                .collect(),
            none_because: findings(&found.none_because),
        }
    }
}

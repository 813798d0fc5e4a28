//! One file per page: a handler, what it needs, its HTML.

mod air;
mod choices;
mod compare;
mod dossier;
mod fault;
mod findings;
mod jobs;
mod logs;
mod machines;
mod mend;
mod pair;
mod plan;
mod proof;
mod share;
mod sheets;
mod startup;
mod survey;
mod tried;

use std::sync::Arc;

use axum::Router;

use super::app::App;
pub(super) use dossier::Dossier;
pub(super) use logs::Shown as LogsShown;
pub(super) use proof::Proved;
pub(super) use share::links;
pub(super) use startup::Starts;

/// Every page that asks for a visitor who has been let in.
pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .merge(jobs::routes())
        .merge(sheets::routes())
        .merge(plan::routes())
        .merge(dossier::routes())
        .merge(air::routes())
        .merge(machines::routes())
        .merge(survey::routes())
        .merge(findings::routes())
        .merge(proof::routes())
        .merge(fault::routes())
        .merge(choices::routes())
        .merge(startup::routes())
        .merge(share::routes())
        .merge(compare::routes())
        .merge(tried::routes())
}

/// Pages for those who have not been let in.
pub(super) fn outside() -> Router<Arc<App>> {
    pair::routes()
}

//! The survey: site and room files as forms by section, and as text.

mod file;
mod groups;
mod older;
mod show;
mod text;

use std::sync::Arc;

use axum::Router;
use axum::routing::get;

use crate::web::app::App;

pub(super) use file::SurveyFile;
pub(super) use groups::GROUPS;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new()
        .route("/jobs/{job}/site", get(show::site).post(show::save_site))
        .route("/jobs/{job}/site/text", get(text::show).post(text::save))
        .route(
            "/jobs/{job}/rooms/{room}/survey",
            get(show::first).post(show::save_first),
        )
        .route(
            "/jobs/{job}/rooms/{room}/survey/{group}",
            get(show::group).post(show::save_group),
        )
        .route(
            "/jobs/{job}/rooms/{room}/text",
            get(text::show).post(text::save),
        )
        .route(
            "/jobs/{job}/site/older",
            get(older::show).post(older::restore),
        )
        .route(
            "/jobs/{job}/rooms/{room}/older",
            get(older::show).post(older::restore),
        )
}

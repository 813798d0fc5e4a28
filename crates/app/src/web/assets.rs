//! Style, scripts and icon, under names that hold a hash of their content, so
//! that a browser may keep them for ever.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use super::app::App;
use super::store::Version;

/// Every file: name, kind, content.
const FILES: &[(&str, &str, &[u8])] = &[
    (
        "style.css",
        "text/css; charset=utf-8",
        include_bytes!("assets/style.css"),
    ),
    (
        "page.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/page.js"),
    ),
    (
        "dossier.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/dossier.js"),
    ),
    (
        "plan.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/plan.js"),
    ),
];

/// The files by the names under which they are served.
pub(super) struct Assets(Vec<Asset>);

struct Asset {
    served: String,
    kind: &'static str,
    bytes: &'static [u8],
}

impl Assets {
    pub(super) fn load() -> Self {
        Self(
            FILES
                .iter()
                .map(|(name, kind, bytes)| Asset {
                    served: served(name, bytes),
                    kind,
                    bytes,
                })
                .collect(),
        )
    }
}

/// The address of a file.
///
/// # Panics
/// If there is no file of that name: a mistake of the program.
pub(super) fn href(name: &str) -> String {
    let (_, _, bytes) = FILES
        .iter()
        .find(|(n, _, _)| *n == name)
        .unwrap_or_else(|| panic!("no asset {name}"));
    format!("/assets/{}", served(name, bytes))
}

fn served(name: &str, bytes: &[u8]) -> String {
    let hash = Version::of(String::from_utf8_lossy(bytes).into_owned()).hash;
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    format!("{stem}-{}.{ending}", &hash[..10])
}

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/assets/{name}", get(serve))
}

async fn serve(State(app): State<Arc<App>>, Path(name): Path<String>) -> Response {
    match app.assets.0.iter().find(|a| a.served == name) {
        Some(asset) => (
            [
                (header::CONTENT_TYPE, asset.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            asset.bytes,
        )
            .into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

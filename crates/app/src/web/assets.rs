//! Style, scripts and icon, under names that hold a hash of their content, so
//! that a browser may keep them for ever.

use std::sync::{Arc, LazyLock};

use axum::Router;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use super::app::App;
use super::hash::sha256;

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
        "survey.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/survey.js"),
    ),
    (
        "chart.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/chart.js"),
    ),
    (
        "try.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/try.js"),
    ),
    (
        "plan.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/plan.js"),
    ),
];

/// A file as it is served.
struct Asset {
    name: &'static str,
    served: String,
    kind: &'static str,
    bytes: Vec<u8>,
}

/// All files. What one of them imports is named by its hash too, so a file
/// stands after those that it imports.
static ASSETS: LazyLock<Vec<Asset>> = LazyLock::new(|| {
    let mut made: Vec<Asset> = Vec::new();
    for (name, kind, bytes) in FILES {
        let mut bytes = bytes.to_vec();
        if name.ends_with(".js") {
            let mut text = String::from_utf8_lossy(&bytes).into_owned();
            for earlier in &made {
                text = text.replace(
                    &format!("\"./{}\"", earlier.name),
                    &format!("\"./{}\"", earlier.served),
                );
            }
            bytes = text.into_bytes();
        }
        made.push(Asset {
            name,
            served: served(name, &bytes),
            kind,
            bytes,
        });
    }
    made
});

/// The address of a file.
///
/// # Panics
/// If there is no file of that name: a mistake of the program.
pub(super) fn href(name: &str) -> String {
    let asset = ASSETS.iter().find(|a| a.name == name);
    let asset = asset.unwrap_or_else(|| panic!("no asset {name}"));
    format!("/assets/{}", asset.served)
}

fn served(name: &str, bytes: &[u8]) -> String {
    let hash = sha256(bytes);
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    format!("{stem}-{}.{ending}", &hash[..10])
}

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/assets/{name}", get(serve))
}

async fn serve(Path(name): Path<String>) -> Response {
    match ASSETS.iter().find(|a| a.served == name) {
        Some(asset) => (
            [
                (header::CONTENT_TYPE, asset.kind),
                (header::CACHE_CONTROL, "public, max-age=31536000, immutable"),
            ],
            asset.bytes.as_slice(),
        )
            .into_response(),
        None => StatusCode::NOT_FOUND.into_response(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_script_imports_is_served() {
        for asset in ASSETS.iter().filter(|a| a.name.ends_with(".js")) {
            let text = String::from_utf8_lossy(&asset.bytes).into_owned();
            for line in text.lines().filter(|l| l.starts_with("import ")) {
                let from = line.split('"').nth(1).and_then(|p| p.strip_prefix("./"));
                assert!(
                    ASSETS.iter().any(|a| Some(a.served.as_str()) == from),
                    "{}: {line}",
                    asset.name
                );
            }
        }
    }
}

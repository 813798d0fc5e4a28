//! Style, scripts and icon, under names that hold a hash of their content, so
//! that a browser may keep them for ever.

use std::sync::{Arc, LazyLock};

use axum::Router;
use axum::extract::Path;
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;

use serde_json::json;

use super::app::App;
use super::gate::Theme;
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
        "run.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/run.js"),
    ),
    (
        "survey.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/survey.js"),
    ),
    (
        "pair.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/pair.js"),
    ),
    (
        "share.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/share.js"),
    ),
    (
        "icon.svg",
        "image/svg+xml",
        include_bytes!("assets/icon.svg"),
    ),
    (
        "icon-180.png",
        "image/png",
        include_bytes!("assets/icon-180.png"),
    ),
    (
        "icon-192.png",
        "image/png",
        include_bytes!("assets/icon-192.png"),
    ),
    (
        "icon-512.png",
        "image/png",
        include_bytes!("assets/icon-512.png"),
    ),
    (
        "queue.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/queue.js"),
    ),
    (
        "startup.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/startup.js"),
    ),
    (
        "sign.js",
        "text/javascript; charset=utf-8",
        include_bytes!("assets/sign.js"),
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
    Router::new()
        .route("/assets/{name}", get(serve))
        .route(MANIFEST, get(manifest))
}

/// Where the manifest is: what a phone reads when the app is added to its home
/// screen.
pub(super) const MANIFEST: &str = "/manifest.webmanifest";

async fn manifest() -> Response {
    let icon = |name: &str, kind: &str, sizes: &str| json!({ "src": href(name), "type": kind, "sizes": sizes, "purpose": "any maskable" });
    let manifest = json!({
        "name": "Drywright",
        "short_name": "Drywright",
        "id": "/",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": Theme::Light.ground(),
        "theme_color": Theme::Light.ground(),
        "icons": [
            icon("icon-192.png", "image/png", "192x192"),
            icon("icon-512.png", "image/png", "512x512"),
            icon("icon.svg", "image/svg+xml", "any"),
        ],
    });
    let kind = (header::CONTENT_TYPE, "application/manifest+json");
    ([kind], manifest.to_string()).into_response()
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

    /// A browser colours its own frame like the desk of the page.
    #[test]
    fn grounds_are_those_of_the_style() {
        let style = include_str!("assets/style.css");
        let desks: Vec<&str> = style
            .lines()
            .filter_map(|l| l.trim().strip_prefix("--desk: "))
            .collect();
        let grounds =
            [Theme::Light, Theme::Dark, Theme::LightsOff].map(|t| format!("{};", t.ground()));
        assert_eq!(desks, grounds);
    }

    /// The pixels are those of the drawing, as `resvg` paints it. Set
    /// `RENEW_ICONS` to paint them anew.
    #[test]
    fn icons_are_painted_from_the_drawing() {
        use resvg::tiny_skia::{Pixmap, Transform};
        let options = resvg::usvg::Options::default();
        let tree = resvg::usvg::Tree::from_str(include_str!("assets/icon.svg"), &options);
        let tree = tree.unwrap_or_else(|e| panic!("{e}"));
        for side in [180_u32, 192, 512] {
            let mut map = Pixmap::new(side, side).unwrap_or_else(|| panic!("{side}"));
            let scale = side as f32 / tree.size().width();
            resvg::render(
                &tree,
                Transform::from_scale(scale, scale),
                &mut map.as_mut(),
            );
            let name = format!("icon-{side}.png");
            if std::env::var_os("RENEW_ICONS").is_some() {
                let to = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/web/assets");
                map.save_png(to.join(&name))
                    .unwrap_or_else(|e| panic!("{e}"));
                continue;
            }
            let kept = ASSETS
                .iter()
                .find(|a| a.name == name)
                .map(|a| a.bytes.as_slice());
            let kept =
                Pixmap::decode_png(kept.unwrap_or_default()).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!((kept.width(), kept.height()), (side, side));
            let far = |(a, b): (&u8, &u8)| 8 < a.abs_diff(*b);
            let differ = kept
                .data()
                .iter()
                .zip(map.data())
                .filter(|p| far(*p))
                .count();
            assert_eq!(differ, 0, "{name}: run with RENEW_ICONS=1");
        }
    }
}

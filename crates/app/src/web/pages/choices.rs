//! Units and looks, chosen for the whole session.

use std::sync::Arc;

use axum::extract::State;
use axum::response::Redirect;
use axum::routing::post;
use axum::{Extension, Form, Router};
use serde::Deserialize;

use crate::web::app::App;
use crate::web::gate::{Theme, Units};
use crate::web::server::Visitor;

pub(super) fn routes() -> Router<Arc<App>> {
    Router::new().route("/choices", post(choose))
}

#[derive(Deserialize)]
struct Chosen {
    units: Option<String>,
    theme: Option<String>,
    back: Option<String>,
}

async fn choose(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    Form(chosen): Form<Chosen>,
) -> Redirect {
    app.gate.choose(&visitor.session.id, |session| {
        match chosen.units.as_deref() {
            Some("metric") => session.units = Some(Units::Metric),
            Some("us") => session.units = Some(Units::Us),
            _ => {}
        }
        if let Some(theme) = chosen.theme.as_deref().and_then(Theme::of) {
            session.theme = theme;
        }
    });
    Redirect::to(own_path(chosen.back.as_deref().unwrap_or("/")))
}

/// A way back that cannot leave this host; the first page for anything else.
pub(crate) fn own_path(back: &str) -> &str {
    let plain = |c: char| c.is_ascii_graphic() && c != '\\';
    if back.starts_with('/') && !back.starts_with("//") && back.chars().all(plain) {
        back
    } else {
        "/"
    }
}

#[cfg(test)]
mod tests {
    use super::own_path;

    #[test]
    fn a_way_back_stays_on_this_host() {
        for good in ["/", "/jobs/a/rooms/b/load?x=1#y"] {
            assert_eq!(own_path(good), good);
        }
        for bad in [
            "",
            "//evil",
            "/\\evil",
            "https:evil",
            "javascript:x",
            "jobs",
            "/a\r\nb",
        ] {
            assert_eq!(own_path(bad), "/", "{bad:?}");
        }
    }
}

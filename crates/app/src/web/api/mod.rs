//! The same results as JSON, read only. One table of endpoints makes the
//! routes and the OpenAPI document, so that the two cannot differ.

mod asked;
mod document;

use std::collections::BTreeMap;
use std::sync::Arc;

use axum::extract::{Path, Query, RawPathParams, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use axum::{Extension, Json, Router};
use serde::Serialize;
use serde_json::Value as JsonValue;

use super::app::App;
use super::refused::Refused;
use super::server::Visitor;
use asked::Endpoint;

/// Every address under `/api`.
pub(super) fn routes() -> Router<Arc<App>> {
    let mut router = Router::new().route("/api/openapi.json", get(openapi));
    for endpoint in asked::ENDPOINTS {
        let handler = move |State(app): State<Arc<App>>,
                            Extension(_): Extension<Visitor>,
                            names: RawPathParams,
                            Query(query): Query<BTreeMap<String, String>>| {
            answer(app, endpoint, names, query)
        };
        router = router.route(endpoint.path, get(handler));
    }
    router.route("/api/{*rest}", get(nothing))
}

async fn openapi() -> Response {
    json(StatusCode::OK, &document::openapi())
}

async fn nothing(Path(rest): Path<String>) -> Response {
    refused(&Refused::NotFound(format!("/api/{rest}")))
}

async fn answer(
    app: Arc<App>,
    endpoint: &'static Endpoint,
    names: RawPathParams,
    query: BTreeMap<String, String>,
) -> Response {
    let names: BTreeMap<String, String> = names
        .iter()
        .map(|(k, v)| (k.to_owned(), v.to_owned()))
        .collect();
    match (endpoint.answer)(app, names, query).await {
        Ok(found) => json(StatusCode::OK, &found),
        Err(why) => refused(&why),
    }
}

/// Why nothing is answered.
#[derive(Serialize, schemars::JsonSchema)]
pub(crate) struct RefusedResult {
    schema: &'static str,
    error: String,
    /// Problems of the files, each with its place and how to mend it.
    problems: Vec<String>,
}

fn refused(why: &Refused) -> Response {
    let problems = match why {
        Refused::Problems(all) => all.iter().map(ToString::to_string).collect(),
        _ => Vec::new(),
    };
    let result = RefusedResult {
        schema: "drywright/refused/1",
        error: why.words(),
        problems,
    };
    (why.status(), Json(result)).into_response()
}

fn json(status: StatusCode, found: &JsonValue) -> Response {
    let mut response = (status, found.to_string()).into_response();
    response.headers_mut().insert(
        header::CONTENT_TYPE,
        HeaderValue::from_static("application/json"),
    );
    response
}

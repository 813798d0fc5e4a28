//! Every address, in one list; guards around them from the outside in.

use std::sync::Arc;

use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::http::Uri;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::get;
use tower::ServiceBuilder;
use tower_http::catch_panic::CatchPanicLayer;

use super::super::app::App;
use super::super::refused::Refused;
use super::super::{api, assets, form_token, pages, refused};
use super::{guard, headers, pace, panic, refusals, sent};

/// Every address.
pub(super) fn routes(app: &Arc<App>) -> Router {
    let inside = pages::routes()
        .merge(api::routes())
        .layer(from_fn(form_token::check))
        .layer(from_fn_with_state(app.clone(), guard::let_in));
    let outside = Router::new()
        .route("/enter", get(guard::enter))
        .merge(pages::outside())
        .merge(assets::routes());
    inside
        .merge(outside)
        .fallback(nothing)
        .with_state(app.clone())
        .layer(
            ServiceBuilder::new()
                .layer(from_fn(headers::set))
                .layer(from_fn(refused::with_way_back))
                .layer(CatchPanicLayer::custom(panic::answer))
                .layer(from_fn_with_state(app.clone(), guard::own_name))
                .layer(from_fn_with_state(sent::Packed::default(), sent::send))
                .layer(from_fn(refusals::in_our_words))
                .layer(from_fn(guard::own_page))
                .layer(from_fn(guard::not_too_large))
                .layer(from_fn(pace::keep))
                .layer(DefaultBodyLimit::max(guard::FORM)),
        )
}

/// For those who speak plainly where it is encrypted: the way there.
pub(super) fn elsewhere(app: &Arc<App>) -> Router {
    Router::new()
        .fallback(guard::encrypted)
        .with_state(app.clone())
        .layer(from_fn(headers::set))
}

/// An address that is none of ours.
async fn nothing(uri: Uri) -> Refused {
    Refused::NotFound(format!("A page {}", uri.path()))
}

//! Photos of a step.

use std::sync::Arc;

use axum::Extension;
use axum::extract::{Path, State};
use axum::http::{HeaderMap, header};
use axum::response::{IntoResponse, Redirect, Response};
use job::record::{Body, Hash};
use tokio::sync::Semaphore;

use super::Scene;
use super::unit::unit_of;
use crate::record::{Position, Store, Taken};
use crate::web::app::App;
use crate::web::recording::{device, request};
use crate::web::refused::Refused;
use crate::web::server::Visitor;
use crate::web::upload::Upload;
use crate::web::view::layout::encoded;
use crate::web::work::busy;

/// Photos decoded at once: each may take a quarter of a gigabyte.
static DECODING: Semaphore = Semaphore::const_new(2);

pub(super) async fn take(
    State(app): State<Arc<App>>,
    Extension(visitor): Extension<Visitor>,
    headers: HeaderMap,
    Path((job, room, unit)): Path<(String, String, String)>,
    Upload(mut form): Upload,
) -> Result<Response, Refused> {
    let scene = Scene::of(&app, &visitor, &headers, (job, room)).await?;
    unit_of(&scene, &unit)?;
    if scene.person.is_empty() {
        return Err(Refused::Job(
            "Say who you are first: the record names who did what.".into(),
        ));
    }
    let broken = Refused::upload;
    let (mut key, mut step, mut bytes) = (String::new(), String::new(), Vec::new());
    let mut position = Position::Drop;
    while let Some(field) = form.next_field().await.map_err(broken)? {
        match field.name().unwrap_or_default() {
            "key" => key = field.text().await.map_err(broken)?,
            "step" => step = field.text().await.map_err(broken)?,
            "position" => position = Position::Keep,
            "photo" => bytes = field.bytes().await.map_err(broken)?.to_vec(),
            _ => {}
        }
    }
    let Some(step) = scene.start.plan.step(&step) else {
        return Err(Refused::NotFound(format!("The step \"{step}\"")));
    };
    let (id, tag) = (step.id.clone(), step.unit.clone());
    if bytes.is_empty() {
        return Err(Refused::Job("No photo was chosen.".into()));
    }
    let _turn = DECODING.acquire().await;
    busy(move || {
        let taken = Taken::read(&bytes, position)?;
        scene.store.keep_photo(&taken)?;
        let step = scene.start.plan.step(&id);
        let photo = taken.of_step(step.ok_or_else(|| Refused::NotFound(id.clone()))?);
        let body = Body::Photo(photo);
        let request = request(&visitor.session, &key, &format!("{id} {}", taken.hash));
        let who = (scene.person.as_str(), device(&visitor.session));
        scene
            .start
            .record(&scene.store, who, [body], request.as_ref())?;
        let to = format!("{}#{}", scene.unit_href(tag.as_deref()), encoded(&id));
        Ok(Redirect::to(&to).into_response())
    })
    .await
}

pub(super) async fn show(
    State(app): State<Arc<App>>,
    Path((job, room, hash)): Path<(String, String, String)>,
) -> Result<Response, Refused> {
    let folder = app.jobs.job(&job)?;
    folder.room_file(&room)?;
    let missing = || {
        Refused::NotFound(format!(
            "The photo {}",
            hash.chars().take(8).collect::<String>()
        ))
    };
    let named = Hash::read(&hash).map_err(|_| missing())?;
    let store = Store::of(folder.path());
    let bytes = busy(move || Ok(store.photo(&named))).await?;
    let bytes = bytes.ok_or_else(missing)?;
    Ok((
        [
            (header::CONTENT_TYPE, "image/jpeg"),
            (
                header::CACHE_CONTROL,
                "private, max-age=31536000, immutable",
            ),
        ],
        bytes,
    )
        .into_response())
}

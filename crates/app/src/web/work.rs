//! Work that keeps a thread busy, away from the threads that answer.

use std::path::Path;
use std::sync::Arc;

use super::answers::Answer;
use super::app::App;
use super::refused::Refused;
use super::server::take_number;
use crate::files;
use crate::project::{Project, Texts};

/// Runs something that takes a while.
pub(super) async fn busy<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Refused> + Send + 'static,
) -> Result<T, Refused> {
    match tokio::task::spawn_blocking(work).await {
        Ok(done) => done,
        Err(_) => Err(Refused::Fault(take_number())),
    }
}

/// The texts of a room as its files stand.
pub(super) fn texts(file: &Path) -> Result<Texts, Refused> {
    let text = files::read_text(file).map_err(Refused::Disk)?;
    Texts::in_folder(file, text).map_err(Refused::Disk)
}

/// A room as its files stand.
pub(super) fn read_project(file: &Path) -> Result<Project, Refused> {
    Ok(texts(file)?.read()?)
}

/// What the steps say of a room as its files stand.
pub(super) async fn answer_for(
    app: &Arc<App>,
    job: &str,
    room: &str,
) -> Result<Arc<Answer>, Refused> {
    let folder = app.jobs.job(job)?;
    let file = folder.room_file(room)?;
    let app = app.clone();
    busy(move || app.answers.best(texts(&file)?)).await
}

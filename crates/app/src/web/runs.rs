//! Full runs: long work that goes on when the tab is closed, tells where it
//! is, and can be stopped. What it makes lies in the job folder's `out/`.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use job::{Cancelled, Effort, Progress};

use super::answers::Answer;
use super::app::App;
use super::refused::Refused;
use super::server::take_number;
use crate::commands::design::{Wanted, outputs};
use crate::files;
use crate::project::Project;

/// Runs that may be asked for at one time.
const MOST: usize = 8;
/// Only one computes at a time: it uses all cores.
static COMPUTING: Mutex<()> = Mutex::new(());

/// Every run of this server, by what it is of.
#[derive(Default)]
pub(super) struct Runs {
    runs: Mutex<BTreeMap<(String, String), Arc<Run>>>,
    started: AtomicU64,
}

/// One run of one room.
pub(super) struct Run {
    /// Tells it from earlier runs of the same room.
    pub(super) number: u64,
    since: Instant,
    stop: AtomicBool,
    state: Mutex<State>,
}

/// Where a run is.
#[derive(Clone, Debug)]
pub(super) enum State {
    /// Another run computes first.
    Waiting,
    /// Under way.
    At {
        /// What it is at.
        doing: String,
        /// Of this many steps …
        of: usize,
        /// … so many are done.
        done: usize,
    },
    /// Finished: names of the files made, in `out/`.
    Done {
        /// Design that was made.
        design_id: String,
        /// Names of the files.
        files: Vec<String>,
    },
    /// Somebody stopped it.
    Stopped,
    /// It could not be finished.
    Failed(String),
}

impl State {
    /// Whether it goes on.
    pub(super) const fn is_open(&self) -> bool {
        matches!(self, Self::Waiting | Self::At { .. })
    }
}

impl Run {
    /// Where it is now.
    pub(super) fn state(&self) -> State {
        self.lock().clone()
    }

    /// Seconds since it was asked for.
    pub(super) fn for_s(&self) -> u64 {
        self.since.elapsed().as_secs()
    }

    /// Asks it to stop at its next step.
    pub(super) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    fn set(&self, state: State) {
        *self.lock() = state;
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Progress for Run {
    fn at(&self, doing: &str, done: usize, of: usize) -> Result<(), Cancelled> {
        if self.stop.load(Ordering::Relaxed) {
            return Err(Cancelled);
        }
        self.set(State::At {
            doing: doing.to_owned(),
            done,
            of,
        });
        Ok(())
    }
}

/// What a run is to make.
pub(super) struct Task {
    /// The room.
    pub(super) project: Project,
    /// Name of the job.
    pub(super) job: String,
    /// Name of the room.
    pub(super) room: String,
    /// Folder for what is made.
    pub(super) out: PathBuf,
    /// Units, paper and parts.
    pub(super) wanted: Wanted,
}

impl Runs {
    /// The latest run of a room.
    pub(super) fn of(&self, job: &str, room: &str) -> Option<Arc<Run>> {
        let runs = self.lock();
        runs.get(&(job.to_owned(), room.to_owned())).cloned()
    }

    /// Asks every run to stop at its next step.
    pub(super) fn stop_all(&self) {
        self.lock().values().for_each(|run| run.stop());
    }

    /// Starts a run, unless one of this room is under way: then that one.
    pub(super) fn start(app: &Arc<App>, task: Task) -> Result<Arc<Run>, Refused> {
        let me = &app.runs;
        let mut runs = me.lock();
        let key = (task.job.clone(), task.room.clone());
        if let Some(run) = runs.get(&key)
            && run.state().is_open()
        {
            return Ok(run.clone());
        }
        if MOST <= runs.values().filter(|r| r.state().is_open()).count() {
            return Err(Refused::BadRequest(format!(
                "{MOST} runs are under way already; wait for one of them, or stop one"
            )));
        }
        let run = Arc::new(Run {
            number: me.started.fetch_add(1, Ordering::Relaxed),
            since: Instant::now(),
            stop: AtomicBool::new(false),
            state: Mutex::new(State::Waiting),
        });
        runs.insert(key, run.clone());
        let (app, watched) = (app.clone(), run.clone());
        tokio::task::spawn_blocking(move || {
            let ended = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
                carry_out(&app, task, &watched)
            }));
            watched.set(match ended {
                Ok(state) => state,
                Err(_) => State::Failed(Refused::Fault(take_number()).words()),
            });
        });
        Ok(run)
    }

    fn lock(&self) -> MutexGuard<'_, BTreeMap<(String, String), Arc<Run>>> {
        self.runs.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

fn carry_out(app: &App, task: Task, run: &Run) -> State {
    let _one = COMPUTING.lock().unwrap_or_else(PoisonError::into_inner);
    let project = task.project;
    let inputs = project.inputs(&project.codes_in_play());
    let design = job::design(&project.room, &project.catalog, &inputs, Effort::Full, run);
    let design = match design {
        Ok(design) => design,
        Err(_) if run.stop.load(Ordering::Relaxed) => return State::Stopped,
        Err(error) => return State::Failed(error.to_string()),
    };
    if run.at("sheets", 0, 1).is_err() {
        return State::Stopped;
    }
    let answer = Arc::new(Answer { project, design });
    app.answers.keep_full(answer.clone());
    let made = match outputs(&answer.project, &answer.design, &task.wanted) {
        Ok(made) => made,
        Err(error) => return State::Failed(format!("{error:#}")),
    };
    let mut names = Vec::new();
    for (name, bytes) in made {
        if run.at("files", names.len(), 1 + names.len()).is_err() {
            return State::Stopped;
        }
        if let Err(error) = files::write_whole(&task.out.join(&name), &bytes) {
            return State::Failed(format!("{error:#}"));
        }
        names.push(name);
    }
    State::Done {
        design_id: answer.design.id.clone(),
        files: names,
    }
}

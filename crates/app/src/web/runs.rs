//! Long work on a room: it goes on when the tab is closed, tells where it is,
//! and can be stopped.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

use job::{Cancelled, Progress};

use super::refused::Refused;
use super::server::take_number;

/// Runs of a kind that may be asked for at one time.
const MOST: usize = 8;
/// Only one computes at a time, of whatever kind: it uses all cores.
static COMPUTING: Mutex<()> = Mutex::new(());

/// Runs by job and room.
type ByRoom<T> = BTreeMap<(String, String), Arc<Run<T>>>;

/// Every run of one kind; `T` is what a run makes.
pub(super) struct Runs<T> {
    runs: Mutex<ByRoom<T>>,
    started: AtomicU64,
    kept: usize,
}

impl<T> Runs<T> {
    /// None yet; of those that ended so many are remembered.
    pub(super) fn keeping(kept: usize) -> Self {
        Self {
            runs: Mutex::default(),
            started: AtomicU64::default(),
            kept,
        }
    }
}

/// One run of one room.
pub(super) struct Run<T> {
    /// Tells it from earlier runs of the same room.
    pub(super) number: u64,
    since: Instant,
    stop: AtomicBool,
    state: Mutex<State<T>>,
}

/// Where a run is.
#[derive(Debug)]
pub(super) enum State<T> {
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
    /// Finished, with what it made.
    Done(Arc<T>),
    /// Somebody stopped it.
    Stopped,
    /// It could not be finished.
    Failed(String),
}

// Not derived: what was made need not be cloned.
impl<T> Clone for State<T> {
    fn clone(&self) -> Self {
        match self {
            Self::Waiting => Self::Waiting,
            Self::At { doing, of, done } => Self::At {
                doing: doing.clone(),
                of: *of,
                done: *done,
            },
            Self::Done(made) => Self::Done(made.clone()),
            Self::Stopped => Self::Stopped,
            Self::Failed(why) => Self::Failed(why.clone()),
        }
    }
}

impl<T> State<T> {
    /// Whether it goes on.
    pub(super) const fn is_open(&self) -> bool {
        matches!(self, Self::Waiting | Self::At { .. })
    }
}

impl<T> Run<T> {
    /// Where it is now.
    pub(super) fn state(&self) -> State<T> {
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

    fn set(&self, state: State<T>) {
        *self.lock() = state;
    }

    fn lock(&self) -> MutexGuard<'_, State<T>> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl<T: Send + Sync> Progress for Run<T> {
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

impl<T: Send + Sync + 'static> Runs<T> {
    /// The latest run of a room.
    pub(super) fn of(&self, job: &str, room: &str) -> Option<Arc<Run<T>>> {
        let runs = self.lock();
        runs.get(&(job.to_owned(), room.to_owned())).cloned()
    }

    /// Asks every run to stop at its next step.
    pub(super) fn stop_all(&self) {
        self.lock().values().for_each(|run| run.stop());
    }

    /// Starts a run, unless one of this room is under way: then that one goes
    /// on. `work` tells what it made, or why it could not.
    pub(super) fn start(
        &self,
        job: String,
        room: String,
        work: impl FnOnce(&Run<T>) -> anyhow::Result<T> + Send + 'static,
    ) -> Result<(), Refused> {
        let mut runs = self.lock();
        let key = (job, room);
        if runs.get(&key).is_some_and(|run| run.state().is_open()) {
            return Ok(());
        }
        let open = runs.values().filter(|r| r.state().is_open());
        if MOST <= open.count() {
            return Err(Refused::BadRequest(format!(
                "{MOST} runs are under way already; wait for one of them, or stop one"
            )));
        }
        let run = Arc::new(Run {
            number: self.started.fetch_add(1, Ordering::Relaxed),
            since: Instant::now(),
            stop: AtomicBool::new(false),
            state: Mutex::new(State::Waiting),
        });
        runs.insert(key, run.clone());
        forget_old(&mut runs, self.kept);
        tokio::task::spawn_blocking(move || {
            let ended = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
                let _one = COMPUTING.lock().unwrap_or_else(PoisonError::into_inner);
                work(&run)
            }));
            run.set(match ended {
                Ok(Ok(made)) => State::Done(Arc::new(made)),
                Ok(Err(_)) if run.stop.load(Ordering::Relaxed) => State::Stopped,
                Ok(Err(why)) => State::Failed(format!("{why:#}")),
                Err(_) => State::Failed(Refused::Fault(take_number()).words()),
            });
        });
        Ok(())
    }

    fn lock(&self) -> MutexGuard<'_, ByRoom<T>> {
        self.runs.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Runs that ended make room for later ones, the first started first.
fn forget_old<T>(runs: &mut BTreeMap<(String, String), Arc<Run<T>>>, kept: usize) {
    while kept < runs.len() {
        let ended = runs.iter().filter(|(_, run)| !run.state().is_open());
        let oldest = ended.min_by_key(|(_, run)| run.number);
        let Some(key) = oldest.map(|(key, _)| key.clone()) else {
            return;
        };
        runs.remove(&key);
    }
}

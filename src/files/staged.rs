//! What is half-written, and how does it go when a run is interrupted? Every step of writing names its temporary path here.

use std::io;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

struct Staged {
    stopped: bool,
    paths: Vec<PathBuf>,
}

static STAGED: Mutex<Staged> = Mutex::new(Staged {
    stopped: false,
    paths: Vec::new(),
});

fn lock() -> MutexGuard<'static, Staged> {
    STAGED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// One step of writing below a temporary path: an interrupt waits for its end, and lets no further one begin.
pub(super) fn step<T>(path: &Path, work: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
    let mut staged = lock();
    if staged.stopped {
        return Err(io::Error::from(io::ErrorKind::Interrupted));
    }
    if !staged.paths.iter().any(|p| p == path) {
        staged.paths.push(path.to_path_buf());
    }
    work()
}

/// What is left under a temporary path goes: it has got its last name, or will never have one.
pub(super) fn clear(path: &Path) {
    let mut staged = lock();
    staged.paths.retain(|p| p != path);
    remove(path);
}

/// Everything half-written goes, and nothing more is written in this process.
pub fn interrupted() {
    let mut staged = lock();
    staged.stopped = true;
    staged.paths.drain(..).for_each(|path| remove(&path));
}

/// Best effort: there is nobody left to tell.
fn remove(path: &Path) {
    let _ = match path.is_dir() {
        true => std::fs::remove_dir_all(path),
        false => std::fs::remove_file(path),
    };
}

//! How far is a long task? A bar on a terminal; silent everywhere else.

use std::io::{IsTerminal, Write};
use std::sync::Mutex;

/// One long task.
pub struct Progress {
    label: &'static str,
    /// The last hundredth drawn; `None`: nobody is looking.
    shown: Option<Mutex<usize>>,
}

const WIDTH: usize = 30;

impl Progress {
    pub fn new(label: &'static str) -> Self {
        let looking =
            std::io::stderr().is_terminal() && std::env::var_os("TERM").is_none_or(|t| t != "dumb");
        Progress {
            label,
            shown: looking.then(|| Mutex::new(usize::MAX)),
        }
    }

    /// `done` of `all`; may be called from any thread.
    pub fn tell(&self, done: usize, all: usize) {
        let Some(mutex) = &self.shown else { return };
        let Ok(mut shown) = mutex.lock() else { return };
        let hundredth = (done * 100).checked_div(all).unwrap_or(100);
        // Threads may report out of order: never step back.
        if *shown != usize::MAX && hundredth <= *shown {
            return;
        }
        *shown = hundredth;
        let full = WIDTH * hundredth / 100;
        // Nothing to be done when the terminal goes away.
        let _ = write!(
            std::io::stderr().lock(),
            "\r{} [{}{}] {done} of {all} ",
            self.label,
            "=".repeat(full),
            " ".repeat(WIDTH - full.min(WIDTH))
        );
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        if let Some(mutex) = &self.shown
            && mutex.lock().is_ok_and(|shown| *shown != usize::MAX)
        {
            let _ = write!(std::io::stderr().lock(), "\r{}\r", " ".repeat(78));
        }
    }
}

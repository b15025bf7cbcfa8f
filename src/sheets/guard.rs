//! How long and how large may a template grow? A user's can neither run for ever nor fill the memory.

use super::template_error::failure;
use crate::diagnostic::{Failure, Problem};
use crate::files::{Content, resident_bytes};
use std::io::{Error, Write};
use std::sync::Arc;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;
use tera::{Context, Tera};

/// A sheet has some 20 KB, a page with both sides of a station 130 KB; a circuit has up to 60 stations.
const MOST_BYTES: usize = 1 << 20;
const MOST_OF_A_PAGE: usize = 16 << 20;
/// Rendering a sheet takes about a millisecond.
const MOST_TIME: Duration = Duration::from_secs(5);
const LOOK_EVERY: Duration = Duration::from_millis(10);
const MOST_MEMORY: u64 = 256 << 20;

/// Renders one template. The shipped templates are rendered as they are; with templates of the user's own among them, on a
/// thread of its own under watch. The watch looks at a clock, but only to give up: what is printed never depends on it.
///
/// # Errors
/// Exit code 1 when the template is wrong or goes out of bounds.
pub fn render(
    content: &Content,
    engine: &Arc<Tera>,
    name: &str,
    context: &Arc<Context>,
) -> Result<String, Failure> {
    let mine = content
        .under("templates/")
        .any(|s| s.overlaid && s.name.ends_with(".tera"));
    let outcome = if mine {
        watched(engine, name, context)?
    } else {
        bounded(engine, name, context)
    };
    outcome.map_err(|e| failure(content, &e))
}

fn bounded(engine: &Tera, name: &str, context: &Context) -> Result<String, tera::Error> {
    let mut out = Sink {
        bytes: Vec::new(),
        most: match name.ends_with(".html.tera") {
            true => MOST_OF_A_PAGE,
            false => MOST_BYTES,
        },
    };
    engine.render_to(name, context, &mut out)?;
    Ok(String::from_utf8_lossy(&out.bytes).into_owned())
}

fn watched(
    engine: &Arc<Tera>,
    name: &str,
    context: &Arc<Context>,
) -> Result<Result<String, tera::Error>, Failure> {
    let (tell, hear) = channel();
    let (engine, context, owned) = (engine.clone(), context.clone(), name.to_string());
    let before = resident_bytes();
    // The thread is left alone when it goes out of bounds: the command ends with the error, and the thread with it.
    std::thread::spawn(move || {
        // Nobody hears it any more after a time-out.
        let _ = tell.send(bounded(&engine, &owned, &context));
    });
    let mut waited = Duration::ZERO;
    loop {
        match hear.recv_timeout(LOOK_EVERY) {
            Ok(outcome) => return Ok(outcome),
            Err(RecvTimeoutError::Disconnected) => {
                return Err(out_of_bounds(name, "could not be filled in"));
            }
            Err(RecvTimeoutError::Timeout) => waited += LOOK_EVERY,
        }
        if waited >= MOST_TIME {
            let seconds = MOST_TIME.as_secs();
            return Err(out_of_bounds(
                name,
                &format!("is not done after {seconds} seconds"),
            ));
        }
        if resident_bytes().saturating_sub(before) > MOST_MEMORY {
            let most = MOST_MEMORY >> 20;
            return Err(out_of_bounds(
                name,
                &format!("takes more than {most} MB of memory"),
            ));
        }
    }
}

fn out_of_bounds(name: &str, what: &str) -> Failure {
    Failure::content(
        Problem::new(format!("templates/{name}: {what}"))
            .hint("look for loops within loops, and for texts that grow with each round"),
    )
}

/// Takes no more than a sheet can be.
struct Sink {
    bytes: Vec<u8>,
    most: usize,
}

impl Write for Sink {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        if self.bytes.len() + bytes.len() > self.most {
            return Err(Error::other(format!(
                "the sheet grows beyond {} KB",
                self.most >> 10
            )));
        }
        self.bytes.extend_from_slice(bytes);
        Ok(bytes.len())
    }
    fn flush(&mut self) -> std::io::Result<()> {
        Ok(())
    }
}

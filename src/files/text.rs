//! What does a file say? Bounded size, UTF-8 only, byte order mark dropped.

use crate::diagnostic::{Failure, Problem};
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Largest content file read, in bytes. YAML takes about 30 times its size in memory, so this bounds a run at some 60 MB.
pub const MAX_BYTES: u64 = 2 * 1024 * 1024;

/// Reads a content file.
///
/// # Errors
/// Exit code 3 when it cannot be read; exit code 2 when it is a folder, too large or not UTF-8.
pub fn read_text(path: &Path) -> Result<String, Failure> {
    read_text_up_to(path, MAX_BYTES)
}

/// Reads a text file of so many bytes at most.
///
/// # Errors
/// As [`read_text`].
pub fn read_text_up_to(path: &Path, most: u64) -> Result<String, Failure> {
    let shown = path.display();
    let file = File::open(path).map_err(|e| {
        Failure::disk(
            Problem::new(format!("{shown}: cannot be opened ({e})"))
                .hint("check the name and that you may read it"),
        )
    })?;
    let is_file = file.metadata().is_ok_and(|m| m.is_file());
    if !is_file {
        return Err(Failure::usage(
            Problem::new(format!("{shown}: is not a file"))
                .hint("name a text file, not a folder or device"),
        ));
    }
    let mut bytes = Vec::new();
    file.take(most.saturating_add(1))
        .read_to_end(&mut bytes)
        .map_err(|e| Failure::disk(Problem::new(format!("{shown}: cannot be read ({e})"))))?;
    if bytes.len() as u64 > most {
        return Err(Failure::usage(
            Problem::new(format!("{shown}: is larger than {} MiB", most >> 20))
                .hint("split it into several files"),
        ));
    }
    decode(&shown.to_string(), bytes)
}

/// UTF-8 text without a byte order mark.
///
/// # Errors
/// Exit code 2, with line and column, when the bytes are not UTF-8.
pub fn decode(shown: &str, bytes: Vec<u8>) -> Result<String, Failure> {
    match String::from_utf8(bytes) {
        Ok(text) => Ok(match text.strip_prefix('\u{feff}') {
            Some(rest) => rest.to_string(),
            None => text,
        }),
        Err(e) => {
            let good = e.utf8_error().valid_up_to();
            let before = String::from_utf8_lossy(&e.as_bytes()[..good]).into_owned();
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
            Err(Failure::usage(
                Problem::new("is not UTF-8 text from here on")
                    .at(crate::diagnostic::Place {
                        file: shown.to_string(),
                        line,
                        column,
                    })
                    .hint("save the file again with the encoding UTF-8"),
            ))
        }
    }
}

/// Memory of this process in bytes, as Linux tells it; 0 where nothing tells it.
pub fn resident_bytes() -> u64 {
    const PAGE: u64 = 4096;
    std::fs::read_to_string("/proc/self/statm")
        .ok()
        .and_then(|t| t.split_whitespace().nth(1)?.parse::<u64>().ok())
        .map_or(0, |pages| pages * PAGE)
}

//! Turns finished bytes into files, all of them or none: each is written under a temporary name, then all are renamed.

use crate::diagnostic::{Failure, Problem};
use std::fs;
use std::path::{Path, PathBuf};

/// A file to be written: its name within the out folder and its bytes.
#[derive(Debug, Clone)]
pub struct OutFile {
    pub name: String,
    pub bytes: Vec<u8>,
}

/// Writes all files into `folder`, which is made when it is missing.
///
/// # Errors
/// Exit code 3 when something cannot be written; then no file of the set is left behind under its final name
/// unless the system failed between two renames.
pub fn write_all(folder: &Path, files: &[OutFile]) -> Result<Vec<PathBuf>, Failure> {
    let fail = |path: &Path, e: std::io::Error| {
        Failure::disk(
            Problem::new(format!("{}: cannot be written ({e})", path.display()))
                .hint("choose another folder with --out, or free some space"),
        )
    };
    fs::create_dir_all(folder).map_err(|e| fail(folder, e))?;
    let mut staged: Vec<(PathBuf, PathBuf)> = Vec::new();
    let mut outcome = Ok(());
    for file in files {
        let last = folder.join(&file.name);
        let temporary = folder.join(format!(".{}.{}.part", file.name, std::process::id()));
        outcome = fs::write(&temporary, &file.bytes).map_err(|e| fail(&last, e));
        staged.push((temporary, last));
        if outcome.is_err() {
            break;
        }
    }
    if outcome.is_ok() {
        for (temporary, last) in &staged {
            outcome = fs::rename(temporary, last).map_err(|e| fail(last, e));
            if outcome.is_err() {
                break;
            }
        }
    }
    if let Err(e) = outcome {
        for (temporary, _) in &staged {
            // Best effort: the error that matters is the one being reported.
            let _ = fs::remove_file(temporary);
        }
        return Err(e);
    }
    Ok(staged.into_iter().map(|(_, last)| last).collect())
}

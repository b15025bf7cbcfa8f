//! Turns finished files into a whole folder, or into none at all.

use super::write::{OutFile, sound_folder, sound_name};
use crate::diagnostic::{Failure, Problem};
use std::fs;
use std::path::{Path, PathBuf};

/// A file that stands in every folder written by [`write_folder`], so that only such a folder is ever replaced.
const MARK: &str = ".vivasmith";

/// Writes a whole folder or nothing: everything is put together beside it and then renamed. Names may hold `/`.
///
/// # Errors
/// Exit code 2 when the folder is there already and not empty, and `replace` is not set or it was not written by this program;
/// 3 when something cannot be written: then nothing is left behind.
pub fn write_folder(folder: &Path, files: &[OutFile], replace: bool) -> Result<(), Failure> {
    let fail = |path: &Path, e: std::io::Error| {
        Failure::disk(
            Problem::new(format!("{}: cannot be written ({e})", path.display()))
                .hint("choose another folder with --out, or free some space"),
        )
    };
    sound_folder(folder)?;
    for step in files.iter().flat_map(|f| f.name.split('/')) {
        sound_name(step)?;
    }
    let full = fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
    if folder.exists() && !folder.is_dir() {
        return Err(Failure::usage(
            Problem::new(format!("{}: is not a folder", folder.display()))
                .hint("choose another folder with --out"),
        ));
    }
    if full && !replace {
        return Err(Failure::usage(
            Problem::new(format!("{}: is not empty", folder.display()))
                .hint("choose another folder with --out, or write --replace to put the new circuit in the place of the old"),
        ));
    }
    if full && !folder.join(MARK).is_file() {
        return Err(Failure::usage(
            Problem::new(format!(
                "{}: was not written by this program, so it is not replaced",
                folder.display()
            ))
            .hint("choose another folder with --out"),
        ));
    }
    let name = folder
        .file_name()
        .map_or_else(|| "out".to_string(), |n| n.to_string_lossy().into_owned());
    let parent = match folder.parent() {
        Some(p) if p.as_os_str().is_empty() => Path::new("."),
        Some(p) => p,
        None => Path::new("."),
    };
    fs::create_dir_all(parent).map_err(|e| fail(parent, e))?;
    let staged = parent.join(format!(".{name}.{}.part", std::process::id()));
    let old = parent.join(format!(".{name}.{}.old", std::process::id()));
    let outcome = stage(&staged, files)
        .map_err(|(path, e)| fail(&path, e))
        .and_then(|()| {
            if folder.exists() {
                fs::rename(folder, &old).map_err(|e| fail(folder, e))?;
            }
            fs::rename(&staged, folder).map_err(|e| {
                // Put the old one back: nothing may be lost.
                let _ = fs::rename(&old, folder);
                fail(folder, e)
            })
        });
    if outcome.is_err() {
        // Best effort: the error that matters is the one being reported.
        let _ = fs::remove_dir_all(&staged);
    } else {
        let _ = fs::remove_dir_all(&old);
    }
    outcome
}

fn stage(staged: &Path, files: &[OutFile]) -> Result<(), (PathBuf, std::io::Error)> {
    let at = |path: &Path| {
        let path = path.to_path_buf();
        move |e| (path, e)
    };
    // Left over from a run that was killed.
    if staged.symlink_metadata().is_ok_and(|m| m.is_dir()) {
        fs::remove_dir_all(staged).map_err(at(staged))?;
    }
    fs::create_dir(staged).map_err(at(staged))?;
    fs::write(staged.join(MARK), "Written whole by vivasmith.\n").map_err(at(staged))?;
    for file in files {
        let path = staged.join(&file.name);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(at(parent))?;
        }
        fs::write(&path, &file.bytes).map_err(at(&path))?;
    }
    Ok(())
}

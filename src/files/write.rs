//! How do finished bytes become files, all of them or none? Each is written under a temporary name, then all are renamed.

use super::staged::{clear, step};
use crate::diagnostic::{Failure, Problem, short};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};

/// A file to be written: its name within the out folder and its bytes.
#[derive(Debug, Clone)]
pub struct OutFile {
    pub name: String,
    pub bytes: Vec<u8>,
}

/// [`write_sets`] of one folder.
///
/// # Errors
/// As [`write_sets`].
pub fn write_all(folder: &Path, files: &[OutFile]) -> Result<Vec<PathBuf>, Failure> {
    write_sets(&[(folder, files)])
}

/// Writes all files of all sets, each set into its folder, which is made when it is missing. Nothing is written outside it: a name
/// that is a path is refused, and so is a folder that is a symbolic link; a link in the place of a file is replaced, not followed.
///
/// # Errors
/// Exit code 2 for such a name or folder; 3 when something cannot be written; then no file of any set is left behind under
/// its final name unless the system failed between two renames.
pub fn write_sets<'f>(sets: &[(&'f Path, &'f [OutFile])]) -> Result<Vec<PathBuf>, Failure> {
    let fail = |path: &Path, e: std::io::Error| {
        Failure::disk(
            Problem::new(format!("{}: cannot be written ({e})", path.display()))
                .hint("choose another folder with --out, or free some space"),
        )
    };
    for (folder, files) in sets {
        sound_folder(folder)?;
        for file in *files {
            sound_name(&file.name)?;
        }
    }
    // Deepest first.
    let missing = |folder: &'f Path| folder.ancestors().take_while(|f| !f.exists());
    let made: Vec<&Path> = sets.iter().flat_map(|s| missing(s.0)).collect();
    let own = |(folder, files): &(&'f Path, &'f [OutFile])| {
        let folder = *folder;
        files.iter().map(move |file| (folder, file))
    };
    let all: Vec<(&Path, &OutFile)> = sets.iter().flat_map(own).collect();
    let part = |file: &OutFile| format!(".{}.{}.part", file.name, std::process::id());
    let staged: Vec<(PathBuf, PathBuf)> = all
        .iter()
        .map(|(folder, file)| (folder.join(part(file)), folder.join(&file.name)))
        .collect();
    let mut folders = sets.iter().map(|s| s.0);
    let ready = folders.try_for_each(|f| fs::create_dir_all(f).map_err(|e| fail(f, e)));
    let written = ready.and_then(|()| {
        let mut each = all.iter().zip(&staged);
        each.try_for_each(|((_, file), (part, last))| {
            step(part, || stage(part, &file.bytes)).map_err(|e| fail(last, e))
        })
    });
    // All names in one step: an interrupt finds all of them or none, and takes temporary files away only.
    let first = staged.first().map_or(Path::new(""), |(part, _)| part);
    let outcome = written.and_then(|()| {
        step(first, || {
            Ok(staged
                .iter()
                .try_for_each(|(part, last)| fs::rename(part, last).map_err(|e| fail(last, e))))
        })
        .map_err(|e| fail(sets.first().map_or(first, |s| s.0), e))?
    });
    staged.iter().for_each(|(part, _)| clear(part));
    if outcome.is_err() {
        // Only folders that were not there before, and only while they are empty.
        made.iter().for_each(|folder| drop(fs::remove_dir(folder)));
    }
    outcome?;
    Ok(staged.into_iter().map(|(_, last)| last).collect())
}

/// Writes one new file that must not be there yet; its folders are made.
///
/// # Errors
/// Exit code 2 when the folder is a symbolic link or something of that name is there already; 3 when it cannot be written.
pub fn write_new(root: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf, Failure> {
    let path = root.join(name);
    sound_folder(root)?;
    let mut folder = root.to_path_buf();
    let (folders, last) = name.rsplit_once('/').unwrap_or(("", name));
    for step in folders.split('/').filter(|s| !s.is_empty()) {
        sound_name(step)?;
        folder.push(step);
        sound_folder(&folder)?;
    }
    sound_name(last)?;
    if path.symlink_metadata().is_ok() {
        return Err(Failure::usage(
            Problem::new(format!("{}: is there already", path.display()))
                .hint("choose another id, or move the file away first: nothing is overwritten"),
        ));
    }
    // The name itself is taken first, so that two runs cannot both have it; a file that is not whole goes again.
    let outcome = fs::create_dir_all(&folder).and_then(|()| {
        let mut file = OpenOptions::new()
            .write(true)
            .create_new(true)
            .open(&path)?;
        file.write_all(bytes).inspect_err(|_| {
            let _ = fs::remove_file(&path);
        })
    });
    match outcome {
        Ok(()) => Ok(path),
        Err(e) => Err(Failure::disk(
            Problem::new(format!("{}: cannot be written ({e})", path.display()))
                .hint("choose another folder with --content, or free some space"),
        )),
    }
}

/// A leftover of an earlier run under the temporary name goes; a link there is not followed.
fn stage(path: &Path, bytes: &[u8]) -> std::io::Result<()> {
    if path.symlink_metadata().is_ok() {
        fs::remove_file(path)?;
    }
    OpenOptions::new()
        .write(true)
        .create_new(true)
        .open(path)?
        .write_all(bytes)
}

/// An out folder must be a folder of its own, or not be there yet.
pub(super) fn sound_folder(folder: &Path) -> Result<(), Failure> {
    if folder.as_os_str().is_empty() {
        return Err(Failure::usage(
            Problem::new("the name of the folder is empty").hint("write a name, as in --out out"),
        ));
    }
    // Without the closing slash, which would follow a link.
    let bare: PathBuf = folder.components().collect();
    let link = bare.symlink_metadata().is_ok_and(|m| m.is_symlink());
    if link {
        return Err(Failure::usage(
            Problem::new(format!("{}: is a symbolic link", folder.display()))
                .hint("name the folder itself: links are not followed, so that nothing is written elsewhere"),
        ));
    }
    Ok(())
}

/// One plain name: no path, nothing hidden.
pub(super) fn sound_name(name: &str) -> Result<(), Failure> {
    let path_like = name.is_empty()
        || name.starts_with('.')
        || name.contains(['/', '\\', ':'])
        || name.chars().any(char::is_control);
    if path_like {
        return Err(Failure::usage(
            Problem::new(format!("`{}` cannot be the name of a file", short(name)))
                .hint("use letters, digits, _ and -"),
        ));
    }
    Ok(())
}

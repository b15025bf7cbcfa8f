//! How do finished files become a whole folder, or none at all?

use super::fingerprint::fnv1a;
use super::staged::{clear, step};
use super::write::{OutFile, sound_folder, sound_name};
use crate::diagnostic::{Failure, Problem};
use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};

/// A file that stands in every folder written by [`write_folder`], with a fingerprint of each of its files, so that only such a
/// folder is ever replaced, and only while nobody has worked in it.
const MARK: &str = ".vivasmith";

/// Folders that this process has begun to write: no two share a temporary name.
static RUNS: AtomicUsize = AtomicUsize::new(0);

fn fail(path: &Path, e: &std::io::Error) -> Failure {
    Failure::disk(
        Problem::new(format!("{}: cannot be written ({e})", path.display()))
            .hint("choose another folder with --out, or free some space"),
    )
}

fn parent(folder: &Path) -> &Path {
    match folder.parent() {
        Some(p) if !p.as_os_str().is_empty() => p,
        _ => Path::new("."),
    }
}

/// Whether [`write_folder`] may write here; makes the folder above.
///
/// # Errors
/// Exit code 2 when the folder is there already and not empty, and `replace` is not set, or it was not written by this program,
/// or a file in it was changed or added since; 3 when the folder above cannot be made.
pub fn ready_folder(folder: &Path, replace: bool) -> Result<(), Failure> {
    old_mark(folder, replace).map(drop)
}

/// The mark of the folder to be replaced; `None` when nothing is there.
fn old_mark(folder: &Path, replace: bool) -> Result<Option<String>, Failure> {
    sound_folder(folder)?;
    let refuse = |message: String, hint: &str| {
        Err(Failure::usage(
            Problem::new(format!("{}: {message}", folder.display())).hint(hint),
        ))
    };
    if folder.exists() && !folder.is_dir() {
        return refuse("is not a folder".into(), "choose another folder with --out");
    }
    let full = fs::read_dir(folder).is_ok_and(|mut entries| entries.next().is_some());
    if full && !replace {
        return refuse(
            "is not empty".into(),
            "choose another folder with --out, or write --replace to put the new one in the place of the old",
        );
    }
    let mut old = None;
    if full {
        let Ok(mark) = fs::read_to_string(folder.join(MARK)) else {
            return refuse(
                "was not written by this program, so it is not replaced".into(),
                "choose another folder with --out",
            );
        };
        if let Some(changed) = changed(folder, &mark) {
            return refuse(
                format!(
                    "{changed} was changed or added since it was written, so it is not replaced"
                ),
                "move your own files elsewhere, or choose another folder with --out",
            );
        }
        old = Some(mark);
    }
    let above = parent(folder);
    fs::create_dir_all(above).map_err(|e| fail(above, &e))?;
    Ok(old)
}

/// Writes a whole folder or nothing: everything is put together beside it and then renamed. Names may hold `/`.
///
/// # Errors
/// As [`ready_folder`], and exit code 2 when another run has taken the place meanwhile; 3 when something cannot be written. Then
/// nothing is left behind.
pub fn write_folder(folder: &Path, files: &[OutFile], replace: bool) -> Result<(), Failure> {
    for part in files.iter().flat_map(|f| f.name.split('/')) {
        sound_name(part)?;
    }
    let before = old_mark(folder, replace)?;
    let name = folder
        .file_name()
        .map_or_else(|| "out".to_string(), |n| n.to_string_lossy().into_owned());
    let run = (std::process::id(), RUNS.fetch_add(1, Ordering::Relaxed));
    let beside = |end: &str| parent(folder).join(format!(".{name}.{}-{}.{end}", run.0, run.1));
    let (staged, old) = (beside("part"), beside("old"));
    let outcome = stage(&staged, files)
        .map_err(|(path, e)| fail(&path, &e))
        .and_then(|()| {
            step(&staged, || {
                Ok(take(folder, &staged, &old, before.as_deref()))
            })
            .map_err(|e| fail(folder, &e))?
        });
    clear(&staged);
    clear(&old);
    outcome
}

/// Puts the new folder in its place. Whoever came in between keeps it.
fn take(folder: &Path, staged: &Path, old: &Path, before: Option<&str>) -> Result<(), Failure> {
    let taken = |_e: std::io::Error| {
        Failure::usage(
            Problem::new(format!(
                "{}: another run has written here meanwhile",
                folder.display()
            ))
            .hint("look at what is there, and run this again with another folder: --out"),
        )
    };
    let Some(before) = before else {
        // Goes only when it is empty.
        let _ = fs::remove_dir(folder);
        return fs::rename(staged, folder).map_err(taken);
    };
    fs::rename(folder, old).map_err(taken)?;
    // Put the old one back when anything is wrong: nothing may be lost.
    let back = || {
        let _ = fs::rename(old, folder);
    };
    let same = fs::read_to_string(old.join(MARK)).is_ok_and(|mark| mark == before);
    if !same || changed(old, before).is_some() {
        back();
        return Err(taken(std::io::ErrorKind::AlreadyExists.into()));
    }
    fs::rename(staged, folder).map_err(|e| {
        back();
        fail(folder, &e)
    })
}

fn stage(staged: &Path, files: &[OutFile]) -> Result<(), (PathBuf, std::io::Error)> {
    let one = |path: &Path, work: &dyn Fn() -> std::io::Result<()>| {
        step(staged, work).map_err(|e| (path.to_path_buf(), e))
    };
    one(staged, &|| {
        // Left over from a run that was killed.
        if staged.symlink_metadata().is_ok_and(|m| m.is_dir()) {
            fs::remove_dir_all(staged)?;
        }
        fs::create_dir(staged)
    })?;
    let mut mark = String::from("Written whole by vivasmith. Fingerprints of its files:\n");
    for file in files {
        let path = staged.join(&file.name);
        one(&path, &|| {
            fs::create_dir_all(path.parent().unwrap_or(staged))?;
            fs::write(&path, &file.bytes)
        })?;
        mark.push_str(&format!("{:016x} {}\n", fnv1a(&file.bytes), file.name));
    }
    one(staged, &|| fs::write(staged.join(MARK), &mark))
}

/// The first file that is not as it was written. A file that was taken away is no loss.
fn changed(folder: &Path, mark: &str) -> Option<String> {
    let known: BTreeMap<&str, &str> = mark
        .lines()
        .skip(1)
        .filter_map(|l| l.split_once(' ').map(|(print, name)| (name, print)))
        .collect();
    let mut names = Vec::new();
    collect(folder, "", &mut names);
    names.sort_unstable();
    names.into_iter().find(|name| {
        let bytes = fs::read(folder.join(name)).unwrap_or_default();
        *name != MARK
            && known.get(name.as_str()) != Some(&format!("{:016x}", fnv1a(&bytes)).as_str())
    })
}

/// The names of all files below, as far down as this program writes.
fn collect(root: &Path, below: &str, names: &mut Vec<String>) {
    for entry in fs::read_dir(root.join(below))
        .into_iter()
        .flatten()
        .flatten()
    {
        let name = entry.file_name().to_string_lossy().into_owned();
        let full = if below.is_empty() {
            name
        } else {
            format!("{below}/{name}")
        };
        let is_dir = entry.file_type().is_ok_and(|t| t.is_dir());
        if is_dir && full.matches('/').count() < 4 {
            collect(root, &full, names);
        } else {
            names.push(full);
        }
    }
}
